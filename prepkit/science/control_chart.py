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
_LOOKING_BACK = 3.5  # sigmas, of a batch among all others (judgement)
ENOUGH = 20  # batches, from which limits by the moving range are steady (practice)
RUN = 8  # batches in a row on one side
FEW_OUT = 8  # of so many values one may be out and is left aside (judgement)
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


def next_limits(values: Sequence[float], sigmas: float = SIGMAS) -> Limits:
    """The interval that the next value falls into with 99.73 %, by t: for few batches.

    values: at least 2. sigmas: 1 to 6, of a normal value, for another probability; 3.5 are 99.95 %.
    It is as wide as so few values make it; no model error for values that
    scatter normally about one mean.

    >>> [round(one, 1) for one in next_limits([10.0, 12.0, 11.0, 13.0])]
    [-1.8, 11.5, 24.8]

    Raises: BadInput for fewer than 2 values; OutOfRange for one that is not finite.
    Source: [BST-NORMAL] (read), with a flat prior: the usual t interval of one more value.
    """
    _finite(values, 2)
    require("sigmas", sigmas, 1.0, 6.0, "")
    count = len(values)
    centre, spread = _mean_and_spread(values)
    t = student.t_quantile(student.normal_probability(sigmas), count - 1.0)
    half = t * spread * math.sqrt(1.0 + 1.0 / count)
    return Limits(centre - half, centre, centre + half)


def limits(values: Sequence[float]) -> Limits:
    """The limits that the next value is held against: by t below 20 values, else moving ranges.

    values: at least 2, in the order they were made. Below 20 an odd one that is out is left aside.

    >>> limits([1.0, 2.0]) == next_limits([1.0, 2.0])
    True

    Raises: BadInput, OutOfRange.
    Source: [NIST-CHARTS] and [BST-NORMAL] (read); 20 is practice.
    """
    if len(values) >= ENOUGH:
        return individuals_limits(values)
    return next_limits(_typical(values))


def limits_at(values: Sequence[float]) -> list[Limits | None]:
    """The limits that each value is held against; None where there are none yet.

    values: in the order they were made. From 20 on, all against `individuals_limits`. Below that,
    each against the 99.73 % interval of those before it, from the third on, as when it was made.
    Seen from today, a value outside the 99.95 % interval of all others is held against that: an
    early one may have widened all after it. Values that are out are left aside. Where the others do
    not differ at all there is no interval. Error: 0.2 % to 0.5 % of good batches lie outside.

    >>> [one is not None for one in limits_at([48.0, 48.0, 48.3, 48.1])]
    [False, False, False, True]

    Raises: OutOfRange for a value that is not finite. Source: [NIST-CHARTS], [BST-NORMAL] (read);
    the look back is our own, [JUDGEMENT].
    """
    _finite(values, 0)
    if len(values) >= ENOUGH:
        return [individuals_limits(values)] * len(values)
    found: list[Limits | None] = []
    kept: list[int] = []
    for place, value in enumerate(values):
        found.append(_interval_of(values, kept, SIGMAS))
        if not _outside(value, found[-1], _rounding(values)):
            kept.append(place)
    while True:  # the one furthest outside of what all others give, until there is none
        seen = {
            at: _interval_of(values, [one for one in kept if one != at], _LOOKING_BACK)
            for at in kept
        }
        far = [(_how_far(values[at], held), at) for at, held in seen.items() if held is not None]
        worst, place = max(far, default=(0.0, 0))
        if worst <= 1.0:
            return found
        kept.remove(place)
        found[place] = seen[place]


def _interval_of(values: Sequence[float], places: Sequence[int], sigmas: float) -> Limits | None:
    """The interval that some of the values give for one more; None where they cannot."""
    some = [values[place] for place in places]
    known = len(some) >= FEWEST - 1 and min(some) < max(some)
    return next_limits(some, sigmas) if known else None


def _how_far(value: float, held: Limits) -> float:
    """How far a value is from the centre, in halves of the interval."""
    return abs(value - held.centre) / (held.upper - held.centre)


def rule_breaks(values: Sequence[float]) -> list[Break]:
    """The values that break a rule, in order: beyond the limits, or in a run of eight.

    values: in the order they were made. From 20 on, each is held against `individuals_limits`;
    below that against the 99.73 % interval of the values before it (`limits_at`). The eighth
    value in a row on one side of `run_centre` breaks the rule of runs, and so does each after it.
    Error: a false alarm comes in 16 % of good charts of 30 batches.

    >>> rule_breaks([5.0, 5.2, 4.9, 5.1, 5.0, 4.8, 5.1, 9.0])
    [Break(place=7, rule='beyond the limits')]

    Raises: OutOfRange for a value that is not finite. Source: [NIST-CHARTS] (read), the run of
    eight by [WECO-RULES] (read, secondary).
    """
    _finite(values, 0)
    if not values:
        return []
    close = _rounding(values)
    found = [Break(place, "beyond the limits") for place in _beyond(values)]
    centre = run_centre(values)
    run, side = 0, 0
    for place, value in enumerate(values):
        here = (value > centre + close) - (value < centre - close)
        run = run + 1 if here == side else 1
        side = here
        if here and run >= RUN:
            found.append(Break(place, "run of eight"))
    return sorted(found)


def run_centre(values: Sequence[float]) -> float:
    """The centre that runs are counted from: the mean, without the odd value that is out.

    values: at least 1. One value far out would put all others on one side of the mean of all;
    where more than one in eight is out, the mean is that of all.

    >>> run_centre([5.0, 5.2, 4.9, 5.1, 5.0, 4.8, 5.0, 9.0])
    5.0

    Raises: BadInput, OutOfRange. Source: [JUDGEMENT].
    """
    _finite(values, 1)
    kept = _typical(values)
    return math.fsum(kept) / len(kept)


def _typical(values: Sequence[float]) -> Sequence[float]:
    """The values without those that are out, where these are few."""
    out = _beyond(values)
    if FEW_OUT * len(out) > len(values):
        return values
    return [value for place, value in enumerate(values) if place not in out]


def _beyond(values: Sequence[float]) -> list[int]:
    """The places of the values beyond their limits."""
    close = _rounding(values)
    return [
        place
        for place, (value, held) in enumerate(zip(values, limits_at(values), strict=True))
        if _outside(value, held, close)
    ]


def _outside(value: float, limits: Limits | None, close: float) -> bool:
    return limits is not None and not limits.lower - close <= value <= limits.upper + close


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
