"""Roots, linear equations, least squares and linear programmes without a numeric library.

The simplex method on a dictionary: what is in the basis is written as a sum of what is not. Rows
that cannot be met are met as nearly as they can, by the least weighted sum of what is missing.
"""

import math
from collections.abc import Callable, Sequence
from itertools import combinations, pairwise
from typing import NamedTuple

from prepkit.errors import BadInput, require

# ---- a bracketed root finder, so that no numeric library is needed at run time ----


def bracketed(
    function: Callable[[float], float],
    low: float,
    high: float,
    tolerance: float = 1e-12,
    most_steps: int = 200,
) -> float:
    """Root of `function` between `low` and `high` (a sign change is required), to `tolerance` in x.

    Illinois variant of false position: keeps the bracket, converges faster than bisection.
    Raises ValueError where the ends do not differ in sign.

    >>> round(bracketed(lambda x: x * x - 2.0, 0.0, 2.0), 9)
    1.414213562
    """
    f_low, f_high = function(low), function(high)
    if f_low == 0.0:
        return low
    if f_high == 0.0:
        return high
    if (f_low > 0.0) == (f_high > 0.0):
        raise ValueError(f"no sign change between {low:g} and {high:g}")
    side = 0
    middle = low
    for _ in range(most_steps):
        if high - low <= tolerance:
            break
        middle = (low * f_high - high * f_low) / (f_high - f_low)
        if not low < middle < high:
            middle = 0.5 * (low + high)
        f_middle = function(middle)
        if f_middle == 0.0:
            return middle
        if (f_middle > 0.0) == (f_high > 0.0):
            high, f_high = middle, f_middle
            if side == -1:
                f_low *= 0.5
            side = -1
        else:
            low, f_low = middle, f_middle
            if side == 1:
                f_high *= 0.5
            side = 1
        if abs(f_middle) < 1e-300:
            break
    return middle


# ---- a few linear equations at once, and straight lines between known points ----

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


# ---- least squares with unknowns that cannot be negative, for a handful of unknowns ----

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
    found = solve(matrix, right)
    return None if found is None else [value / by for value, by in zip(found, scale, strict=True)]


# ---- a linear programme with limits on every unknown and every row, for a dozen of each ----

INFINITE = math.inf
_ZERO = 1e-9
_MOST_STEPS = 500
_PATIENCE = 60  # steps by the steepest column, before the first column that helps is taken


class Constraint(NamedTuple):
    """A row: low <= sum(coefficients x unknowns) <= high; its weight where it cannot be met."""

    coefficients: tuple[float, ...]
    low: float
    high: float
    weight: float = 1.0


class Optimum(NamedTuple):
    """The unknowns, their cost, and what is missing of each row (0 where it is met).

    `prices`: change of the cost for one unit more of the limit that binds a row, else 0; they hold
    for small changes only. `feasible`: every row is met.
    """

    unknowns: tuple[float, ...]
    cost: float
    missing: tuple[float, ...]
    prices: tuple[float, ...]
    feasible: bool


def minimised(
    cost: Sequence[float], rows: Sequence[Constraint], bounds: Sequence[tuple[float, float]]
) -> Optimum:
    """The unknowns within `bounds` that meet the rows at the lowest cost, or as nearly as can be.

    >>> soda = Constraint((1.0, 3.0), 20.0, INFINITE), Constraint((0.5, 0.25), -INFINITE, 4.0)
    >>> found = minimised([2.0, 3.0], [*soda, Constraint((1.0, 1.0), 10.0, 10.0)], [(0, 10)] * 2)
    >>> [round(one, 6) for one in (*found.unknowns, found.cost, found.prices[0])]
    [5.0, 5.0, 25.0, 0.5]

    Raises: BadInput for bounds or rows that do not fit together.
    Source: the simplex method with bounded unknowns; checked against a library's solver.
    """
    work = _begun(cost, rows, bounds)
    if work.missing_sum() > work.tolerance:
        return _nearest(cost, rows, bounds)
    work.run(missing=False)
    return work.found()


def extremes(
    rows: Sequence[Constraint], bounds: Sequence[tuple[float, float]]
) -> list[tuple[Optimum, Optimum]]:
    """For each unknown the answer with least and that with most of it; none where rows are unmet.

    >>> found = extremes([Constraint((1.0, 1.0), 5.0, 5.0)], [(0.0, 9.0), (1.0, 9.0)])
    >>> [(least.unknowns, most.unknowns) for least, most in found][0]
    ((0.0, 5.0), (4.0, 1.0))

    Raises: BadInput as `minimised`.
    Source: as `minimised`, each from the answer before it.
    """
    work = _begun([0.0] * len(bounds), rows, bounds)
    if work.missing_sum() > work.tolerance:
        return []
    found = []
    for at in range(len(bounds)):
        pair = []
        for way in (1.0, -1.0):
            work.cost = [way * (index == at) for index in range(len(bounds))]
            work.run(missing=False)
            pair.append(work.found())
        found.append((pair[0], pair[1]))
    return found


def _begun(
    cost: Sequence[float], rows: Sequence[Constraint], bounds: Sequence[tuple[float, float]]
) -> "_Dictionary":
    """A first basis, with as little missing as can be."""
    count = len(cost)
    if len(bounds) != count or any(len(row.coefficients) != count for row in rows):
        raise BadInput("every row and the cost need one number for each unknown.", "rows")
    for low, high in (*bounds, *((row.low, row.high) for row in rows)):
        if not low <= high or math.isnan(low + high if math.isfinite(low + high) else 0.0):
            raise BadInput(f"a limit from {low:g} to {high:g} holds nothing.", "bounds")
    if any(not math.isfinite(low) or not math.isfinite(high) for low, high in bounds):
        raise BadInput("every unknown needs a lowest and a highest value.", "bounds")
    work = _Dictionary(list(cost), list(rows), list(bounds))
    work.run(missing=True)
    return work


def _nearest(
    cost: Sequence[float], rows: Sequence[Constraint], bounds: Sequence[tuple[float, float]]
) -> Optimum:
    """The least weighted sum of what is missing: two unknowns more for each row take it up."""
    count, height = len(cost), len(rows)
    most = [
        math.fsum(
            abs(a) * max(map(abs, pair)) for a, pair in zip(row.coefficients, bounds, strict=True)
        )
        for row in rows
    ]
    beyond = [
        far + math.fsum(abs(end) for end in (row.low, row.high) if math.isfinite(end))
        for far, row in zip(most, rows, strict=True)
    ]
    elastic = []
    for at, row in enumerate(rows):
        under, over = [0.0] * height, [0.0] * height
        under[at], over[at] = 1.0, -1.0
        elastic.append(Constraint((*row.coefficients, *under, *over), row.low, row.high))
    weights = [row.weight for row in rows]
    work = _Dictionary(
        [0.0] * count + weights * 2, elastic, [*bounds, *((0.0, far) for far in beyond * 2)]
    )
    work.run(missing=True)
    work.run(missing=False)
    found = work.found().unknowns
    missing = [found[count + at] + found[count + height + at] for at in range(height)]
    unknowns = found[:count]
    return Optimum(
        unknowns, math.fsum(a * b for a, b in zip(cost, unknowns, strict=True)),
        tuple(0.0 if one <= work.tolerance else one for one in missing), (0.0,) * height, False,
    )  # fmt: skip


def conflict(rows: Sequence[Constraint], bounds: Sequence[tuple[float, float]]) -> tuple[int, ...]:
    """A smallest set of rows that contradict each other: leave out any, and the rest can be met.

    Such a set is one of several, as a rule. Empty where all rows can be met. Rows that come first
    are left out first where that is enough.

    >>> ranges = ((5.0, 9.0), (0.0, 9.0), (0.0, 4.0))
    >>> conflict([Constraint((1.0,), low, high) for low, high in ranges], [(0, 9)])
    (0, 2)

    Raises: BadInput as `minimised`.
    Source: the deletion filter (read).
    """
    nothing = [0.0] * len(bounds)
    if minimised(nothing, rows, bounds).feasible:
        return ()
    kept = list(range(len(rows)))
    for at in range(len(rows)):
        without = [number for number in kept if number != at]
        if not minimised(nothing, [rows[number] for number in without], bounds).feasible:
            kept = without
    return tuple(kept)


class _Dictionary:
    """Basic unknowns as sums of the others; unknowns first, then the sum of each row."""

    def __init__(
        self, cost: list[float], rows: list[Constraint], bounds: list[tuple[float, float]]
    ) -> None:
        count = len(cost)
        self.cost, self.rows = cost, rows
        self.scales = [max(map(abs, row.coefficients), default=0.0) or 1.0 for row in rows]
        self.table = [
            [coefficient / scale for coefficient in row.coefficients]
            for row, scale in zip(rows, self.scales, strict=True)
        ]
        self.bounds = bounds + [
            (row.low / scale, row.high / scale)
            for row, scale in zip(rows, self.scales, strict=True)
        ]
        self.outside = list(range(count))
        self.at_high = [False] * count
        self.basic = list(range(count, count + len(self.rows)))
        size = max((abs(end) for pair in self.bounds for end in pair if math.isfinite(end)),
                   default=1.0)  # fmt: skip
        self.tolerance = _ZERO * max(1.0, size)

    def at(self, place: int) -> float:
        """The value of what stands outside the basis: one of its limits."""
        low, high = self.bounds[self.outside[place]]
        if self.at_high[place] and math.isfinite(high):
            return high
        return low if math.isfinite(low) else high if math.isfinite(high) else 0.0

    def values(self) -> list[float]:
        """The values of the basis."""
        now = [(place, at) for place in range(len(self.outside)) if (at := self.at(place))]
        return [math.fsum([row[place] * at for place, at in now]) for row in self.table]

    def _missing(self, number: int, value: float) -> float:
        low, high = self.bounds[number]
        return max(low - value, value - high, 0.0)

    def missing_sum(self) -> float:
        """How far the basis is outside its limits."""
        return math.fsum(
            self._missing(number, value)
            for number, value in zip(self.basic, self.values(), strict=True)
        )

    def gradient(self, values: list[float], missing: bool) -> list[float]:
        """Change of the cost, or of what is missing, for one unit more of each outside one."""
        if missing:
            slopes = []
            for number, value in zip(self.basic, values, strict=True):
                low, high = self.bounds[number]
                over, under = value > high + self.tolerance, value < low - self.tolerance
                slopes.append(float(over) - float(under))
            own = [0.0] * len(self.outside)
        else:
            slopes = [self._cost(number) for number in self.basic]
            own = [self._cost(number) for number in self.outside]
        steep = [(s, row) for s, row in zip(slopes, self.table, strict=True) if s]
        return [
            number + math.fsum([s * row[at] for s, row in steep]) for at, number in enumerate(own)
        ]

    def _cost(self, number: int) -> float:
        return self.cost[number] if number < len(self.cost) else 0.0

    def run(self, missing: bool) -> None:
        """Steps until none makes it better."""
        for step in range(_MOST_STEPS):
            values = self.values()
            slopes = self.gradient(values, missing)
            biggest = max(map(abs, slopes), default=0.0)
            helps = [
                place for place, slope in enumerate(slopes)
                if abs(slope) > _ZERO * max(1.0, biggest) and self._free(place, slope)
            ]  # fmt: skip
            if not helps:
                return
            if step < _PATIENCE:
                place = max(helps, key=lambda one: abs(slopes[one]))
            else:  # the first one, so that it cannot go round in circles
                place = min(helps, key=lambda one: self.outside[one])
            self._move(place, -1.0 if slopes[place] > 0.0 else 1.0, values)
        raise BadInput("the targets were not worked out; leave some of them out.", "rows")

    def _free(self, place: int, slope: float) -> bool:
        low, high = self.bounds[self.outside[place]]
        if low == high:
            return False
        now = self.at(place)
        return now > low if slope > 0.0 else now < high

    def _move(self, place: int, way: float, values: list[float]) -> None:
        """Move one outside unknown as far as its own limit or one of the basis lets it."""
        low, high = self.bounds[self.outside[place]]
        furthest, leaving, to_high = high - low, -1, False
        for at, (number, value) in enumerate(zip(self.basic, values, strict=True)):
            slope = way * self.table[at][place]
            if abs(slope) <= _ZERO:
                continue
            least, most = self.bounds[number]
            if slope > 0.0:
                end = least if value < least - self.tolerance else most
                if value > most + self.tolerance:
                    continue
            else:
                end = most if value > most + self.tolerance else least
                if value < least - self.tolerance:
                    continue
            if not math.isfinite(end):
                continue
            far = max(0.0, (end - value) / slope)
            if far < furthest - _ZERO * max(
                1.0, abs(furthest) if math.isfinite(furthest) else 1.0
            ) or (far <= furthest and leaving >= 0 and number < self.basic[leaving]):
                furthest, leaving, to_high = far, at, end == most
        if leaving < 0:
            self.at_high[place] = way > 0.0
            return
        self._exchange(place, leaving, to_high)

    def _exchange(self, place: int, leaving: int, to_high: bool) -> None:
        row = self.table[leaving]
        pivot = row[place]
        fresh = [-value / pivot for value in row]
        fresh[place] = 1.0 / pivot
        self.table[leaving] = fresh
        for at, other in enumerate(self.table):
            if at != leaving and (by := other[place]):
                changed = [a + by * b for a, b in zip(other, fresh, strict=True)]
                changed[place] = by * fresh[place]
                self.table[at] = changed
        self.outside[place], self.basic[leaving] = self.basic[leaving], self.outside[place]
        self.at_high[place] = to_high

    def found(self) -> Optimum:
        """The answer of the present basis, every row met."""
        count = len(self.cost)
        values = self.values()
        every = {number: self.at(place) for place, number in enumerate(self.outside)}
        every |= dict(zip(self.basic, values, strict=True))
        unknowns = tuple(
            min(max(every[index], self.bounds[index][0]), self.bounds[index][1])
            for index in range(count)
        )
        slopes = self.gradient(values, False)
        prices = [0.0] * len(self.rows)
        for place, number in enumerate(self.outside):
            if number >= count:
                prices[number - count] = slopes[place] / self.scales[number - count]
        cost = math.fsum(a * b for a, b in zip(self.cost, unknowns, strict=True))
        return Optimum(unknowns, cost, (0.0,) * len(self.rows), tuple(prices), True)
