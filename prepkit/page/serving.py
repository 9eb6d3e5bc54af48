"""The server behind the page: one small waitress, bounded in time, size and connections."""

from __future__ import annotations

import errno
import secrets
import socket
from pathlib import Path
from typing import Any

from waitress.server import create_server

from prepkit.errors import BadInput, FileProblem
from prepkit.page import guard
from prepkit.page import house as houses
from prepkit.page.app import create_app
from prepkit.page.settings import Settings

THREADS = 4
SLOWEST_S = 20  # a connection that neither sends nor takes anything is closed
CONNECTIONS = 200
WORDS = Path(__file__).with_name("pass_words.txt")
PHRASE = 6  # words of 256: 48 bits, with few tries


def pass_phrase() -> str:
    """Six words by chance."""
    words = WORDS.read_text(encoding="utf-8").split()
    return " ".join(secrets.choice(words) for _ in range(PHRASE))


def listening(chosen: Settings) -> Any:  # Any: waitress has no types
    """A server that holds its address already; one sentence where it cannot."""
    if chosen.house is not None:
        houses.read(chosen.house)  # a house that cannot be read is told at the start
    family = socket.AF_INET6 if ":" in chosen.host else socket.AF_INET
    held = socket.socket(family, socket.SOCK_STREAM)
    held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        held.bind((chosen.host, chosen.port))
    except socket.gaierror as error:
        held.close()
        raise BadInput(
            f'--host is "{chosen.host}", which is no address of a machine; leave it out, or write '
            f"this machine's address in numbers.",
            "host",
        ) from error
    except (OSError, UnicodeError) as error:
        held.close()
        raise _refused(chosen, error) from error
    return create_server(
        create_app(chosen),
        sockets=[held],
        threads=THREADS,
        ident=None,
        expose_tracebacks=False,
        connection_limit=CONNECTIONS,
        channel_timeout=SLOWEST_S,
        cleanup_interval=5,
        max_request_header_size=2 * guard.MOST_QUERY,
        max_request_body_size=2 * guard.MOST_BYTES,
        clear_untrusted_proxy_headers=True,
    )


def _refused(chosen: Settings, error: Exception) -> Exception:
    number = getattr(error, "errno", None)
    if number == errno.EADDRINUSE:
        return FileProblem(
            f"port {chosen.port} is taken by another program; name another with --port."
        )
    if number == errno.EADDRNOTAVAIL:
        return BadInput(
            f'--host is "{chosen.host}", which is no address of this machine; leave it out, or '
            f"write one of its own.",
            "host",
        )
    if number == errno.EACCES:
        return FileProblem(f"port {chosen.port} may not be opened here; name one above 1023.")
    why = getattr(error, "strerror", None) or str(error)
    return BadInput(f'--host "{chosen.host}" cannot be answered on: {why}.', "host")


def serve(server: Any) -> None:  # Any: waitress has no types
    """Answer until it is stopped."""
    try:
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()
