"""Aligned columns for a terminal: plain, or with headers over a line of dashes.

Drawn here because every answer prints one, and the library that draws such tables reads package
metadata when it is imported, which costs more than a whole calculation. The tests hold this
against that library.
"""

from __future__ import annotations

from collections.abc import Sequence

_BETWEEN = "  "
_HEADER_ROOM = 2  # a column is at least so much wider than its header


def grid(rows: Sequence[Sequence[str]], headers: Sequence[str] = (), right: str = "") -> str:
    """Rows as aligned columns; `right` holds the letters l or r for each column (l where short).

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
    return "\n".join([*head, *map(line, cells)])
