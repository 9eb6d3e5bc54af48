"""A few linear equations at once, by elimination with the largest pivot."""

from __future__ import annotations

import math
from collections.abc import Sequence

SINGULAR = 1e-12  # a pivot below it is none


def solve(matrix: Sequence[Sequence[float]], right: Sequence[float]) -> list[float] | None:
    """The unknowns of `matrix` x = `right`; None where the equations have no single solution.

    >>> solve([[2.0, 1.0], [1.0, 3.0]], [5.0, 10.0])
    [1.0, 3.0]
    >>> solve([[1.0, 2.0], [2.0, 4.0]], [1.0, 2.0]) is None
    True
    """
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    count = len(rows)
    for at in range(count):
        best = max(range(at, count), key=lambda row: abs(rows[row][at]))
        if not abs(rows[best][at]) >= SINGULAR:
            return None
        rows[at], rows[best] = rows[best], rows[at]
        for row in range(at + 1, count):
            factor = rows[row][at] / rows[at][at]
            rows[row] = [a - factor * b for a, b in zip(rows[row], rows[at], strict=True)]
    found = [0.0] * count
    for at in range(count - 1, -1, -1):
        rest = math.fsum(rows[at][other] * found[other] for other in range(at + 1, count))
        found[at] = (rows[at][count] - rest) / rows[at][at]
    return found
