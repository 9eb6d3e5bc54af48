"""How wide text may be: COLUMNS, else the terminal, else what is usual.

The command line sets it once (`measure`); everything that draws text asks `columns`. The page and
Python always draw at the usual width.
"""

from __future__ import annotations

import os
import sys
import textwrap
from contextvars import ContextVar

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
