"""The page as a Flask application with its drawings, and the server behind it.

Each stands beside words that say the same and is hidden from what reads a page aloud.
"""

from __future__ import annotations

import errno
import logging
import secrets
import socket
from functools import cache
from pathlib import Path
from typing import Any

from flask import Flask, Response, render_template, request
from jinja2 import ChoiceLoader, FileSystemLoader, PrefixLoader, StrictUndefined
from markupsafe import Markup
from waitress.server import create_server
from werkzeug.exceptions import HTTPException, InternalServerError

from prepkit import __version__, render
from prepkit.cautions import page_line
from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.language import ENGLISH, _, speak, speaking
from prepkit.page import (
    answers,
    class_views,
    drills,
    guard,
    recipes,
    requests,
    stock,
    tastings,
    work,
)
from prepkit.page.drills import FOLDER, Classes
from prepkit.page.guard import Settings, as_json
from prepkit.page.tastings import Tastings
from prepkit.render import html, signs
from prepkit.render.plan_lists import made_for
from prepkit.render.signs import SYMBOLS

# ---- the drawings of the page ----

# in a square of 64 with a pen of 4.5, as the symbols of signs; small parts are filled
OWN = {
    "alarm": '<path d="M6 26v12h10l16 14V12L16 26z"/>'
    '<path d="M40 24a13 13 0 0 1 0 16M47 16a24 24 0 0 1 0 32"/>',
    "arrow": '<path d="M12 32h38M36 17l15 15-15 15"/>',
    "clock": '<circle cx="32" cy="32" r="25"/><path d="M32 16v17l11 8"/>',
    "cylinder": '<path d="M21 60V28c0-7 5-8 7-11h8c2 3 7 4 7 11v32z"/>'
    '<path d="M28 17V9h8v8M23 8h18"/><path d="M21 36h22"/>',
    "glass": '<path d="M16 12h32l-5 40a5 5 0 0 1-5 4H26a5 5 0 0 1-5-4z"/><path d="M19 28h26"/>'
    '<path d="M26 40c3-4 5 4 9 0M29 19c3-4 5 4 9 0" stroke-width="4"/>',
    "list": '<path d="M24 14h32M24 32h32M24 50h32"/><path d="M8 14h4M8 32h4M8 50h4"/>',
    "plant": '<path d="M32 60V20"/><path d="M32 52c-9 0-12-5-12-11 7 0 12 4 12 11zM32 52c9 0 12-5'
    " 12-11-7 0-12 4-12 11zM32 36c-9 0-12-5-12-11 7 0 12 4 12 11zM32 36c9 0 12-5 12-11-7 0-12 4"
    '-12 11zM32 20c-6-5-6-10 0-15 6 5 6 10 0 15z" stroke-width="4"/>',
    "tick": '<path d="M10 34l14 14 30-34"/>',
    "trained": '<circle cx="26" cy="18" r="9"/><path d="M8 56c0-14 8-21 18-21s18 7 18 21z"/>'
    '<path d="M44 24l5 5 9-11"/>',
    **signs.VERDICTS,
}


@cache
def icon(name: str) -> Markup:
    """A drawing by its name, those of the safety signs among them; KeyError where there is none."""
    shape = OWN[name] if name in OWN else SYMBOLS[name]
    return Markup(
        f'<svg class="icon" viewBox="0 0 64 64" aria-hidden="true" focusable="false">{shape}</svg>'
    )


# ---- the page as a Flask application ----

_log = logging.getLogger(__name__)
# what a person is told, by status: what it means, what to do
SAID = {
    400: ("That could not be read", "Go back, look at what was entered, and send it again."),
    403: ("Not allowed", "Nothing was changed."),
    404: ("There is nothing here", "The address may be mistyped, or what it named has moved."),
    405: ("Not this way", "This address does not take what was sent to it."),
    409: ("It has changed meanwhile", "Open it again and look at it before sending once more."),
    413: ("Too much at once", "That is larger than this page takes. Send less."),
    414: ("Too long an address", "Your entries are too long for an address. Enter less."),
    410: ("It is gone", "Ask for a new one."),
    429: ("Too many tries", "Wait a few minutes, then try again."),
    500: ("This page has a fault", "It is ours, not yours. Nothing was changed."),
}


def create_app(settings: Settings | None = None) -> Flask:
    """The page for these settings; nothing is read or opened until somebody asks."""
    chosen = settings if settings is not None else Settings()
    app = Flask(__name__)
    app.config["PREPKIT"] = chosen
    _templates(app)
    guard.protect(app, chosen)
    guard.start(app, chosen)
    for part in (
        work.blueprint,
        answers.solved_blueprint,
        answers.blueprint,
        work.words_blueprint,
        recipes.blueprint,
        drills.blueprint,
        class_views.lessons_blueprint,
        stock.bench_blueprint,
        stock.blueprint,
        class_views.blueprint,
        tastings.blueprint,
        answers.ladders_blueprint,
        class_views.join_blueprint,
        guard.offline_blueprint,
    ):
        app.register_blueprint(part)
    app.extensions["prepkit-classes"] = Classes(
        chosen.recipes / FOLDER if chosen.write and chosen.recipes is not None else None
    )
    app.extensions["prepkit-tastings"] = Tastings(chosen.recipes, chosen.write)
    app.extensions["prepkit-codes"] = guard.Tries(class_views.CODES_EACH, class_views.CODES_ALL)
    app.register_error_handler(HTTPException, _told)
    app.register_error_handler(PrepkitError, _refused)
    app.register_error_handler(Exception, _fault)
    return app


def _templates(app: Flask) -> None:
    """The page's own templates, and those of the cards under `render/`."""
    env = app.jinja_env
    beside = FileSystemLoader(Path(render.__file__).with_name("templates"))
    if app.jinja_loader is None:  # Flask has one whenever there is a templates folder
        raise RuntimeError("the page's templates are missing")
    # the last: what a card imports beside itself
    env.loader = ChoiceLoader([app.jinja_loader, PrefixLoader({"render": beside}), beside])
    env.undefined = StrictUndefined
    env.trim_blocks = env.lstrip_blocks = True
    env.finalize = html.plain
    env.filters["svg"] = html.drawn
    env.filters["drawing"] = Markup  # our own, escaped where it was drawn
    env.globals.update(
        version=__version__,
        sections=work.sections,
        decides=page_line("wall"),
        icon=icon,
        made_for=made_for,
        may_keep=guard.may_keep,
        who=guard.who,
        _=_,
        speaking=speaking,
    )
    app.before_request(lambda: speak(ENGLISH))  # a thread answers one after another


def _page(status: int, why: str) -> tuple[str | Response, int]:
    title, what = SAID.get(status, SAID[400 if status < 500 else 500])
    if request.path.endswith(".json"):
        return as_json(why or title), status
    return render_template("error.html", title=title, why=why, what=what, status=status), status


def _told(error: HTTPException) -> tuple[str | Response, int] | HTTPException:
    """An error that the web knows, in plain words."""
    status = error.code or 500
    if status < 400:
        return error
    own = error.description if error.description != type(error).description else ""
    return _page(status, own or "")


def _refused(error: PrepkitError) -> tuple[str | Response, int]:
    """An error of ours: one sentence."""
    return _page(404 if isinstance(error, FileProblem) else 400, error.message)


def _fault(error: Exception) -> tuple[str | Response, int]:
    """A defect: the reader gets plain words, the terminal the traceback."""
    _log.exception("a fault at %s", request.path, exc_info=error)
    return _page(InternalServerError.code, "")


# ---- the server behind the page ----

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
        requests.read_house(chosen.house)  # a house that cannot be read is told at the start
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
        raise _address_refused(chosen, error) from error
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


def _address_refused(chosen: Settings, error: Exception) -> Exception:
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
