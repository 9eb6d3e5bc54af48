"""Aligned columns for a terminal: plain, or with headers over a line of dashes.

Drawn here because every answer prints one, and the library that draws such tables reads package
metadata when it is imported, which costs more than a whole calculation. The tests hold this
against that library.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from itertools import zip_longest

from prepkit.width import columns

_BETWEEN = "  "
_HEADER_ROOM = 2  # a column is at least so much wider than its header


def grid(
    rows: Sequence[Sequence[str]], headers: Sequence[str] = (), right: str = "", indent: str = ""
) -> str:
    """Rows as aligned columns; `right` holds the letters l or r for each column (l where short).

    `indent` stands before every line. What is then wider than the terminal is stacked: each row as
    lines of its own, the header before each cell.

    Cells are words of one line; blanks at their ends are taken off, those of headers are kept.

    >>> print(grid([["water", "300"], ["gin", "1200"]], ("what", "g"), "lr"))
    what       g
    ------  ----
    water    300
    gin     1200
    """
    cells = [[cell.strip() for cell in row] for row in rows]
    names = list(headers)
    count = max((len(row) for row in (*cells, names)), default=0)
    letters = right.ljust(count, "l")
    widths = [
        max(
            len(names[place]) + _HEADER_ROOM if place < len(names) else 0,
            *(len(row[place]) for row in cells if place < len(row)),
            0,
        )
        for place in range(count)
    ]

    def line(row: Sequence[str]) -> str:
        padded = (*row, *[""] * (count - len(row)))
        return _BETWEEN.join(
            cell.rjust(width) if letter == "r" else cell.ljust(width)
            for cell, width, letter in zip(padded, widths, letters, strict=True)
        ).rstrip()

    head = [line(names), _BETWEEN.join("-" * width for width in widths)] if names else []
    drawn = [indent + one for one in (*head, *map(line, cells))]
    if all(len(one) <= columns() for one in drawn):
        return "\n".join(drawn)
    return "\n".join(_stacked(cells, names, indent))


def _stacked(cells: Sequence[Sequence[str]], names: Sequence[str], indent: str) -> list[str]:
    """Each row as lines of its own: its first cell, then the others below it."""
    out: list[str] = []
    for row in cells:
        for place, words in enumerate(_pieces(row, names)):
            before = indent if place == 0 else f"{indent}  "
            out += textwrap.wrap(
                words, columns(), initial_indent=before, subsequent_indent=f"{indent}    ",
                break_on_hyphens=False,
            )  # fmt: skip
    return out


def _pieces(row: Sequence[str], names: Sequence[str]) -> list[str]:
    """The cells of a row, each with its header; one without a header belongs to its neighbour."""
    if not names:  # a label, then its value and unit
        return [*row[:1], *filter(None, [" ".join(filter(None, row[1:]))])]
    told: list[str] = []
    box = ""
    for name, cell in zip_longest(map(str.strip, names), row, fillvalue=""):
        if name and cell:
            told.append(f"{name}: {cell}" if told else f"{box}{cell}")
        elif cell and told:  # the unit of what stands before it
            told[-1] += f" {cell}"
        elif cell:  # a box to tick
            box = f"{cell} "
    return told
