"""The three lines that stand under every short answer: pressure, cryogen and inhalation.

They are data (`data/always.toml`), one table for each calculator, each line made for its work. The
standing cautions say the same at length.
"""

from __future__ import annotations

from typing import NamedTuple

from prepkit import blocks
from prepkit.errors import FileProblem

FILE = "always.toml"
MOST_WORDS = 12


class Always(NamedTuple):
    """The three lines of one calculator, in the order in which they are shown."""

    pressure: str
    cryogen: str
    inhalation: str


def lines(calculator: str) -> Always:
    """The three lines of a calculator. Raises FileProblem unless all three stand, each short.

    >>> lines("siphon").inhalation
    'Vent in moving air. Never breathe the gas.'
    """
    table = blocks.table(FILE, calculator) or {}
    if table.keys() != set(Always._fields):
        raise FileProblem(
            f"{FILE} must have one line each for {', '.join(Always._fields)} under [{calculator}], "
            f"and has {', '.join(table) or 'none'}."
        )
    for kind, line in table.items():
        if not isinstance(line, str) or not 0 < len(line.split()) <= MOST_WORDS:
            raise FileProblem(
                f"{FILE}: {kind} of {calculator} must be one to {MOST_WORDS} words: {line!r}."
            )
    return Always(**table)
