"""TOML that a person wrote, as tables: whatever it is, in time, and refused in plain words."""

from __future__ import annotations

import re
import tomllib
from typing import Any

MOST_DOTS = 200  # of one dotted key; the reader's work grows with the square of them
_STRING = re.compile(r'"[^"\n]*"|\'[^\'\n]*\'')
_APART = re.compile(r"[=,\[\]{}#]")


class TooDeep(ValueError):
    """A text that is nested beyond what anybody writes."""


def tables(text: str) -> dict[str, Any]:
    """The tables of a TOML text; TooDeep, or ValueError with what is wrong and where.

    >>> tables("a = 1")
    {'a': 1}
    >>> tables("a." * 300 + "b = 1")
    Traceback (most recent call last):
    ...
    prepkit.toml_text.TooDeep: it is nested too deeply
    """
    if any(line.count(".") > MOST_DOTS and _dots(line) > MOST_DOTS for line in text.splitlines()):
        raise TooDeep("it is nested too deeply")
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise TooDeep("it is nested too deeply") from error


def _dots(line: str) -> int:
    """The most dots of one key in a line."""
    bare = "".join(_STRING.sub("", line).split())
    return max(piece.count(".") for piece in _APART.split(bare))
