"""The one writer of standard output, and how wide text may be.

The command line sets it once (`measure`); everything that draws text asks `columns`. The page and
Python always draw at the usual width.

Documents for other programs (JSON, CSV, HTML) are UTF-8 whatever the locale. Text for a terminal is
in the terminal's own encoding, with a plain stand-in for each character that it cannot show. A
reader that closes the pipe early changes nothing; a full disk is a file problem (exit status 4).
"""

from __future__ import annotations

import codecs
import errno
import os
import select
import sys
import textwrap
from contextlib import suppress
from contextvars import ContextVar
from typing import IO, Any

from prepkit.errors import FileProblem

# ---- how wide text may be ----

USUAL = 96
NARROWEST = 30
_chosen: ContextVar[int | None] = ContextVar("columns", default=None)


def measure() -> None:
    """Take the width from COLUMNS or from the terminal that standard output is."""
    _chosen.set(_measured())


def _measured() -> int | None:
    said = os.environ.get("COLUMNS", "")
    if said.isascii() and said.isdigit() and int(said[:6]) > 0:
        return max(int(said[:6]), NARROWEST)
    try:
        found = os.get_terminal_size(sys.stdout.fileno()).columns
    except (OSError, ValueError, AttributeError):  # not a terminal
        return None
    return max(found, NARROWEST) if found > 0 else None


def columns() -> int:
    """The most characters of one line."""
    return min(_chosen.get() or USUAL, USUAL)


def fitted(text: str) -> str:
    """The text with every line that is too long for the terminal broken; no other is touched."""
    most = _chosen.get()
    if most is None or all(len(line) <= most for line in text.split("\n")):
        return text
    return "\n".join(line if len(line) <= most else broken(line, most) for line in text.split("\n"))


def broken(line: str, most: int) -> str:
    """A line as several, each indented a little more than it was; a path stays whole."""
    indent = " " * min(len(line) - len(line.lstrip()), most // 3)
    if set(line) <= {"-", " "}:  # a rule
        return line[:most].rstrip()
    return textwrap.fill(
        line.strip(), most, initial_indent=indent, subsequent_indent=f"{indent}  ",
        break_on_hyphens=False, break_long_words=False,
    )  # fmt: skip


SCREEN = 80


def screen() -> int:
    """The most characters of one line of a short answer, which fits any terminal."""
    return min(_chosen.get() or SCREEN, SCREEN)


# ---- the one writer of standard output ----

# stand-ins for characters that an old terminal does not have; any other becomes a question mark
PLAIN = {
    "±": "+/-", "°": " ", "×": "x", "·": ".", "µ": "u", "μ": "u", "½": "1/2", "¼": "1/4",
    "¾": "3/4", "²": "2", "³": "3", "₂": "2", "≤": "<=", "≥": ">=", "≈": "~", "−": "-", "–": "-",
    "—": "-", "…": "...", "→": "->", "‰": "per mille", "☐": "[ ]", "☑": "[x]", "•": "-",
    "’": "'", "‘": "'", "“": '"', "”": '"', "é": "e", "è": "e", "ê": "e", "à": "a", "â": "a",
    "ç": "c", "ñ": "n", "ö": "oe", "ä": "ae", "ü": "ue", "ß": "ss", "ø": "oe", "å": "a",
    "€": "EUR", "£": "GBP", "\u00a0": " ", "\u2009": " ", "\u202f": " ",
}  # fmt: skip


def _plain(error: UnicodeError) -> tuple[str | bytes, int]:
    """The stand-ins of what cannot be encoded."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    said = error.object[error.start : error.end]
    return "".join(PLAIN.get(text, "?") for text in said), error.end


codecs.register_error("prepkit-plain", _plain)


def put_text(text: str, fit: bool = True) -> None:
    """Print text for a person: in the encoding of the terminal and, with `fit`, its width."""
    stream = sys.stdout
    if fit:
        text = fitted(text)
    if os.linesep != "\n":
        text = text.replace("\n", os.linesep)
    encoding = getattr(stream, "encoding", None) or "utf-8"
    _put(text.encode(encoding, "prepkit-plain"))


def put_exact(text: str) -> None:
    """Print a document for a program: UTF-8, byte for byte the same everywhere."""
    _put(text.encode("utf-8", "replace"))


def put_error(text: str) -> None:
    """Print to standard error; where nobody can read it the exit status still tells."""
    stream = sys.stderr
    if stream is None:
        return
    try:
        encoding = getattr(stream, "encoding", None) or "utf-8"
        stream.write(text.encode(encoding, "prepkit-plain").decode(encoding))
        stream.flush()
    except (OSError, ValueError):
        _abandon(stream)


def _put(data: bytes) -> None:
    stream = sys.stdout
    if stream is None:  # closed before the start: only the exit status is wanted
        return
    try:
        stream.flush()
        _whole(stream, data)
    except OSError as error:
        _abandon(stream)
        if not _hung_up(error):
            why = error.strerror or str(error)
            raise FileProblem(f"standard output cannot be written: {why}.") from error


def _whole(stream: IO[Any], data: bytes) -> None:  # Any: of text or bytes
    """Write all of it: a write may take less than it was given, and is then repeated."""
    try:
        number = stream.fileno()
    except (OSError, ValueError, AttributeError):  # not a file: a test, another program's stream
        inner = getattr(stream, "buffer", None)
        if inner is not None:
            inner.write(data)
        else:
            stream.write(data.decode(getattr(stream, "encoding", None) or "utf-8"))
        stream.flush()
        return
    left = memoryview(data)
    while left:
        try:
            left = left[os.write(number, left) :]
        except BlockingIOError:  # a pipe that does not wait: wait for it here
            select.select([], [number], [])


def _hung_up(error: OSError) -> bool:
    """The reader has closed the pipe; one system says it by another number."""
    return isinstance(error, BrokenPipeError) or (
        sys.platform == "win32" and error.errno == errno.EINVAL
    )


def _abandon(stream: IO[Any]) -> None:  # Any: of text or bytes
    """Send what a stream still holds nowhere: the end of the program must not fail on it."""
    with suppress(OSError, ValueError, AttributeError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
