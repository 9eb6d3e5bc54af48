"""Run charts of single batches: limits from the moving range, or by t while batches are few.

Two rules only: one batch beyond the limits, and a run of eight on one side of the centre. All
published rules together call out a quarter of the good charts of thirty batches.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Literal, NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science import student

# mean range of two normal values over their spread: 1.12838 [NIST-CHARTS] (read), exact 2/sqrt(pi)
D2 = 2.0 / math.sqrt(math.pi)
SIGMAS = 3.0
ENOUGH = 20  # batches, from which limits by the moving range are steady (practice)
RUN = 8  # batches in a row on one side
FEWEST = 3  # batches, from which one can be judged by those before it

Rule = Literal["beyond the limits", "run of eight"]


class Limits(NamedTuple):
    """Lower limit, centre and upper limit, in the unit of the values."""

    lower: float
    centre: float
    upper: float


class Break(NamedTuple):
    """A value that breaks a rule; `place` counts from 0."""

    place: int
    rule: Rule


def individuals_limits(values: Sequence[float]) -> Limits:
    """Limits of a chart of single values: the mean -/+ 3 moving ranges over 1.128.

    values: at least 2, in the order they were made; any one unit. Error: with few values the limits
    are unsure: of good batches 5.7 % fall outside with 5 values, 1.1 % with 20, 0.27 % at best.

    >>> [round(one, 2) for one in individuals_limits([10.0, 12.0, 11.0, 13.0])]
    [7.07, 11.5, 15.93]

    Raises: BadInput for fewer than 2 values; OutOfRange for one that is not finite.
    Source: [NIST-CHARTS] (read).
    """
    _finite(values, 2)
    centre = math.fsum(values) / len(values)
    ranges = [abs(b - a) for a, b in pairwise(values)]
    half = SIGMAS * math.fsum(ranges) / len(ranges) / D2
    return Limits(centre - half, centre, centre + half)


def next_limits(values: Sequence[float]) -> Limits:
    """The interval that the next value falls into with 99.73 %, by t: for few batches.

    values: at least 2. It is as wide as so few values make it; no model error for values that
    scatter normally about one mean.

    >>> [round(one, 1) for one in next_limits([10.0, 12.0, 11.0, 13.0])]
    [-1.8, 11.5, 24.8]

    Raises: BadInput for fewer than 2 values; OutOfRange for one that is not finite.
    Source: [BST-NORMAL] (read), with a flat prior: the usual t interval of one more value.
    """
    _finite(values, 2)
    count = len(values)
    centre, spread = _mean_and_spread(values)
    t = student.t_quantile(student.normal_probability(SIGMAS), count - 1.0)
    half = t * spread * math.sqrt(1.0 + 1.0 / count)
    return Limits(centre - half, centre, centre + half)


def limits(values: Sequence[float]) -> Limits:
    """The limits that a chart of these values shows: by t below 20 values, else moving ranges.

    values: at least 2. Raises: BadInput, OutOfRange.
    Source: [NIST-CHARTS] and [BST-NORMAL] (read); 20 is practice.

    >>> limits([1.0, 2.0]) == next_limits([1.0, 2.0])
    True
    """
    return individuals_limits(values) if len(values) >= ENOUGH else next_limits(values)


def q_values(values: Sequence[float]) -> list[float | None]:
    """Each value by those before it, as a standard normal value; None for the first two.

    values: in the order they were made. Beyond -3 or +3 a value lies outside the 99.73 % interval
    of one more value. None also where all before it are equal, which tells no spread.

    >>> [round(one, 2) for one in q_values([49.6, 47.6, 49.9]) if one is not None]
    [0.54]

    Raises: OutOfRange for a value that is not finite. Source: [BST-NORMAL] (read), its interval of
    one more value put as a normal value; [QUESENBERRY-1993] (abstract read) for their behaviour.
    """
    _finite(values, 0)
    found: list[float | None] = []
    for index, value in enumerate(values):
        before = values[:index]
        if index < FEWEST - 1 or min(before) == max(before):
            found.append(None)
            continue
        mean, spread = _mean_and_spread(before)
        t = math.sqrt(index / (index + 1.0)) * (value - mean) / spread
        tail = max(student.t_probability(-abs(t), index - 1.0), student.LEAST_PROBABILITY)
        found.append(math.copysign(student.normal_quantile(tail), t))
    return found


def rule_breaks(values: Sequence[float]) -> list[Break]:
    """The values that break a rule, in order: beyond the limits, or in a run of eight.

    values: in the order they were made. From 20 on, each is held against `individuals_limits`;
    below that, against the 99.73 % interval of the values before it, from the third on. The eighth
    value in a row on one side of the centre breaks the rule of runs, and so does each after it.
    Error: a false alarm comes in 16 % of good charts of 30 batches.

    >>> rule_breaks([5.0, 5.2, 4.9, 5.1, 5.0, 4.8, 5.1, 9.0])
    [Break(place=7, rule='beyond the limits')]

    Raises: OutOfRange for a value that is not finite. Source: [NIST-CHARTS] (read), the run of
    eight by [WECO-RULES] (read, secondary).
    """
    _finite(values, 0)
    if len(values) < FEWEST:
        return []
    found = [Break(index, "beyond the limits") for index in _beyond(values)]
    centre = math.fsum(values) / len(values)
    run, side = 0, 0
    close = _rounding(values)
    for index, value in enumerate(values):
        here = (value > centre + close) - (value < centre - close)
        run = run + 1 if here == side else 1
        side = here
        if here and run >= RUN:
            found.append(Break(index, "run of eight"))
    return sorted(found)


def _beyond(values: Sequence[float]) -> list[int]:
    if len(values) >= ENOUGH:
        lower, _, upper = individuals_limits(values)
        close = _rounding(values)
        return [
            index
            for index, value in enumerate(values)
            if not lower - close <= value <= upper + close
        ]
    found: list[int] = []
    kept: list[float] = []  # a batch that was out tells nothing of how far the others scatter
    for index, value in enumerate(values):
        q = q_values([*kept, value])[-1]
        if q is not None and abs(q) > SIGMAS:
            found.append(index)
        else:
            kept.append(value)
    return found


def _mean_and_spread(values: Sequence[float]) -> tuple[float, float]:
    """Mean and sample standard deviation."""
    mean = math.fsum(values) / len(values)
    return mean, math.sqrt(math.fsum((one - mean) ** 2 for one in values) / (len(values) - 1))


def _rounding(values: Sequence[float]) -> float:
    """How far equal values may lie from their own mean by rounding alone."""
    return 1e-12 * max(abs(value) for value in values)


def _finite(values: Sequence[float], fewest: int) -> None:
    if len(values) < fewest:
        raise BadInput(
            f"there are {len(values)} values; a chart's limits need at least {fewest}.", "values"
        )
    for value in values:
        require("values", value, None, None, "")
