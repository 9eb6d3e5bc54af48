"""Least squares with unknowns that cannot be negative, for a handful of unknowns."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from prepkit.errors import BadInput, require
from prepkit.science import linear

MOST_UNKNOWNS = 8


def non_negative(rows: Sequence[Sequence[float]], wanted: Sequence[float]) -> list[float]:
    """The x >= 0 for which rows * x comes nearest to wanted (least sum of squares).

    Every choice of unknowns that are not zero is tried, so the answer is exact; among equal ones
    the choice with fewer unknowns wins. At most 8 unknowns.

    >>> non_negative([[1.0, 1.0], [1.0, -1.0]], [2.0, 4.0])
    [3.0, 0.0]

    Raises: OutOfRange for too many unknowns, BadInput for rows of unequal length.
    Source: the conditions of Kuhn and Tucker for a convex sum of squares; no approximation.
    """
    count = len(rows[0]) if rows else 0
    require("unknowns", float(count), 1.0, float(MOST_UNKNOWNS), "", "non_negative")
    if len(rows) != len(wanted) or any(len(row) != count for row in rows):
        raise BadInput("every row must have as many numbers as there are unknowns.", "rows")
    best = [0.0] * count
    best_miss = math.fsum(value * value for value in wanted)
    for size in range(1, count + 1):
        for chosen in combinations(range(count), size):
            found = _solve(rows, wanted, chosen)
            if found is None or min(found) < 0.0:
                continue
            x = [0.0] * count
            for place, value in zip(chosen, found, strict=True):
                x[place] = value
            miss = math.fsum(
                (math.fsum(a * b for a, b in zip(row, x, strict=True)) - value) ** 2
                for row, value in zip(rows, wanted, strict=True)
            )
            if miss < best_miss * (1.0 - 1e-9) - 1e-18:
                best, best_miss = x, miss
    return best


def _solve(
    rows: Sequence[Sequence[float]], wanted: Sequence[float], chosen: tuple[int, ...]
) -> list[float] | None:
    """Unconstrained least squares of some unknowns by the normal equations; None where singular."""
    scale = [math.fsum(row[i] ** 2 for row in rows) ** 0.5 for i in chosen]
    if min(scale) <= 0.0:
        return None
    matrix = [
        [
            math.fsum(row[i] * row[j] for row in rows) / (scale[a] * scale[b])
            for b, j in enumerate(chosen)
        ]
        for a, i in enumerate(chosen)
    ]
    right = [
        math.fsum(row[i] * value for row, value in zip(rows, wanted, strict=True)) / scale[a]
        for a, i in enumerate(chosen)
    ]
    found = linear.solve(matrix, right)
    return None if found is None else [one / by for one, by in zip(found, scale, strict=True)]


__all__ = ["MOST_UNKNOWNS", "non_negative"]
