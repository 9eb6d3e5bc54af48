"""A few linear equations at once, and straight lines between known points."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

SINGULAR = 1e-12  # a pivot below it is none


def between(points: Sequence[tuple[float, float]], at: float) -> float:
    """The value on straight lines through points in rising order; the ends are held beyond them.

    >>> between(((0.0, 1.0), (10.0, 3.0)), 5.0), between(((0.0, 1.0), (10.0, 3.0)), 99.0)
    (2.0, 3.0)
    """
    if at <= points[0][0]:
        return points[0][1]
    for (left, low), (right, high) in pairwise(points):
        if at <= right:
            return low + (high - low) * (at - left) / (right - left)
    return points[-1][1]


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
