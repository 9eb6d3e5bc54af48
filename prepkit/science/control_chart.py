"""Run charts of single batches, Student's t, and what a bar's own batches tell of a loss.

Two rules only: one batch beyond the limits, and a run of eight on one side of the centre. All
published rules together call out a quarter of the good charts of thirty batches.

The prior is a normal-inverse-gamma one. A published range is how bars, fruits and hands differ, and
not how one bar scatters: so it counts as a fraction of one batch, and not as many. The mean of a
loss and the next batch's loss are two intervals; a plan uses the second.

Learnt losses say how much to make. They are no input of a pressure, a fill, the air or a date.
"""

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Literal, NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science.solvers import bracketed

# ---- probabilities and quantiles of the normal distribution and of Student's t ----

LEAST_PROBABILITY = 1e-12
MOST_DEGREES = 1e6
_TERMS = 500  # of the continued fraction; about 30 are needed
_SMALL = 1e-300
_CLOSE = 1e-16
_STEP = 0.5  # of log t, in the search of a quantile


def normal_probability(z: float) -> float:
    """Probability that a standard normal value is at most `z`.

    Error: rounding, relative 1e-15 also far out on the low side.

    >>> round(normal_probability(1.96), 4)
    0.975

    Raises: OutOfRange for what is no finite number. Source: [DEFINITION], by the error function.
    """
    require("z", z, None, None, "")
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


@lru_cache(maxsize=4096)
def normal_quantile(probability: float) -> float:
    """The value that a standard normal value stays at or below with this probability.

    probability: 1e-12 to 1 - 1e-12. Error: 1e-10.

    >>> round(normal_quantile(0.975), 5)
    1.95996

    Raises: OutOfRange. Source: [DEFINITION], the probability turned round.
    """
    _require_probability(probability)
    low = min(probability, 1.0 - probability)
    z = bracketed(lambda at: normal_probability(at) - low, -8.0, 0.0, 1e-13)
    return z if probability < 0.5 else -z


def t_probability(t: float, degrees: float) -> float:
    """Probability that Student's t is at most `t`.

    degrees: degrees of freedom, from 1 to 1e6, not necessarily whole. Error: relative 1e-8.

    >>> round(t_probability(2.228139, 10.0), 6)
    0.975

    Raises: OutOfRange. Source: [DEFINITION], by the incomplete beta function.
    """
    require("t", t, None, None, "")
    require("degrees", degrees, 1.0, MOST_DEGREES, "")
    if abs(t) < 1.0:  # from the middle: the tail's argument is too near 1 to tell small t apart
        middle = 0.5 * incomplete_beta(0.5, 0.5 * degrees, t * t / (degrees + t * t))
        return 0.5 - middle if t < 0.0 else 0.5 + middle
    tail = 0.5 * incomplete_beta(0.5 * degrees, 0.5, degrees / (degrees + t * t))
    return tail if t < 0.0 else 1.0 - tail


@lru_cache(maxsize=4096)
def t_quantile(probability: float, degrees: float) -> float:
    """The value that Student's t stays at or below with this probability.

    probability: 1e-12 to 1 - 1e-12. degrees: from 1 to 1e6. Error: relative 2e-8.

    >>> round(t_quantile(0.975, 10.0), 6), round(t_quantile(0.975, 1.0), 3)
    (2.228139, 12.706)

    Raises: OutOfRange. Source: [DEFINITION], the probability turned round.
    """
    _require_probability(probability)
    require("degrees", degrees, 1.0, MOST_DEGREES, "")
    low = min(probability, 1.0 - probability)
    if 0.5 - low < 1e-12:
        return 0.0

    def gap(log_t: float) -> float:
        return math.log(t_probability(-math.exp(log_t), degrees) / low)

    near = math.log(-normal_quantile(low))  # t lies beyond it
    far = near + _STEP
    while gap(far) > 0.0:
        far += _STEP
    t = math.exp(bracketed(gap, near - _STEP, far, 1e-13))
    return -t if probability < 0.5 else t


def incomplete_beta(a: float, b: float, x: float) -> float:
    """The regularised incomplete beta function I_x(a, b).

    a and b above 0; x from 0 to 1. Error: 1e-13 for a and b up to 1e6.

    >>> round(incomplete_beta(2.0, 3.0, 0.4), 6)
    0.5248

    Raises: OutOfRange. Source: [DEFINITION], its continued fraction.
    """
    require("a", a, _SMALL, None, "")
    require("b", b, _SMALL, None, "")
    require("x", x, 0.0, 1.0, "")
    if x in (0.0, 1.0):
        return x
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _fraction(a, b, x) / a
    return 1.0 - front * _fraction(b, a, 1.0 - x) / b


def _fraction(a: float, b: float, x: float) -> float:
    """The continued fraction of the incomplete beta function, from its front (Lentz)."""
    c, d = 1.0, 1.0 / _away(1.0 - (a + b) * x / (a + 1.0))
    value, step, term = d, 2.0, 0
    while abs(step - 1.0) > _CLOSE and term < _TERMS:
        term += 1
        for times in (
            term * (b - term) * x / ((a + 2 * term - 1.0) * (a + 2 * term)),
            -(a + term) * (a + b + term) * x / ((a + 2 * term) * (a + 2 * term + 1.0)),
        ):
            d = 1.0 / _away(1.0 + times * d)
            c = _away(1.0 + times / c)
            step = c * d
            value *= step
    return value


def _away(value: float) -> float:
    """A divisor that is not 0."""
    return value if abs(value) > _SMALL else _SMALL


def _require_probability(probability: float) -> None:
    require("probability", probability, LEAST_PROBABILITY, 1.0 - LEAST_PROBABILITY, "")


# ---- run charts of single batches ----

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
    t = t_quantile(normal_probability(sigmas), count - 1.0)
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
            at: _interval_of(values, [number for number in kept if number != at], _LOOKING_BACK)
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
    return mean, math.sqrt(math.fsum((value - mean) ** 2 for value in values) / (len(values) - 1))


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


# ---- what a bar's own batches tell of a loss ----

FEW_DEGREES = 4.0  # that a guess of the own scatter counts as (judgement, rule EC6)
OWN_OF_RANGE = 0.5  # own scatter over the spread between bars, where nothing is known (judgement)
LOGIT_BELOW, LOGIT_ABOVE, LOGIT_WIDTH = 0.15, 0.85, 0.5  # of a share's range (judgement)
_EDGE = 5e-3  # a share of 0 or 1 has no logit: a kitchen weighing tells no finer
CONFIDENCE = 0.95

Scale = Literal["plain", "logit", "log"]


class Interval(NamedTuple):
    """Lower end, middle and upper end, in the unit of what was learnt."""

    low: float
    middle: float
    high: float


class Belief(NamedTuple):
    """What is known of a loss: a mean worth `weight` batches, a scatter worth `degrees`.

    `mean` and `scatter` are on the scale: plain, the logit of a share, the logarithm of a ratio.
    `most` is the highest value that can be; the lowest is 0.
    """

    mean: float
    weight: float
    scatter: float
    degrees: float
    scale: Scale = "plain"
    most: float = math.inf


def share_prior(low: float, high: float) -> Belief:
    """The prior of a share of 0 to 1 from its published range, taken as 95 % of all bars.

    low, high: of the range, 0 to 1. Bars differ by a quarter of its width, one bar's batches by
    half of that; so the range counts as a quarter of a batch. A range below 15 %, above 85 % or
    wider than 50 % is worked in logits, so that no result leaves 0 to 100 %.

    >>> prior = share_prior(0.20, 0.60)
    >>> prior.mean, round(prior.weight, 9), round(prior.scatter, 9), prior.degrees, prior.scale
    (0.4, 0.25, 0.05, 4.0, 'plain')

    Raises: OutOfRange, BadInput. Source: [BST-NORMAL] (read); its weight of 25 batches is not
    taken, [JUDGEMENT].
    """
    require("low", low, 0.0, 1.0, "")
    require("high", high, 0.0, 1.0, "")
    _require_order(low, high)
    wide = low < LOGIT_BELOW or high > LOGIT_ABOVE or high - low > LOGIT_WIDTH
    if not wide:
        return _prior(low, high, "plain", 1.0)
    return _prior(_onto("logit", low), _onto("logit", high), "logit", 1.0)


def ratio_prior(low: float, high: float) -> Belief:
    """The prior of a ratio above 0, such as g of liquid kept for 1 g of plant, from its range.

    low, high: above 0, one unit. It is worked in logarithms, so that no result falls below 0.

    >>> belief = ratio_prior(3.0, 6.0)
    >>> round(next_interval(belief).middle, 2), belief.weight
    (4.24, 0.25)

    Raises: OutOfRange, BadInput. Source: as `share_prior`.
    """
    require("low", low, 1e-9, 1e9, "")
    require("high", high, 1e-9, 1e9, "")
    _require_order(low, high)
    return _prior(math.log(low), math.log(high), "log", math.inf)


def learnt(prior: Belief, values: Sequence[float]) -> Belief:
    """The prior narrowed by a bar's own batches. One batch at a time gives the same.

    values: as measured, in the unit of the prior; within what can be, 0 to `most`.

    >>> seven = learnt(share_prior(0.2, 0.6), [0.28, 0.33, 0.36, 0.25, 0.31, 0.38, 0.26])
    >>> round(seven.mean, 4), seven.weight, round(seven.scatter, 4), seven.degrees
    (0.3131, 7.25, 0.0493, 11.0)

    Raises: OutOfRange. Source: [BST-NORMAL] (read), conjugate normal-inverse-gamma.
    """
    for value in values:
        require("values", value, 0.0, None if prior.most == math.inf else prior.most, "")
    if not values:
        return prior
    on = [_onto(prior.scale, value) for value in values]
    count = len(on)
    own = math.fsum(on) / count
    squares = math.fsum((number - own) ** 2 for number in on)
    weight = prior.weight + count
    degrees = prior.degrees + count
    apart = prior.weight * count / weight * (own - prior.mean) ** 2
    spread = (prior.degrees * prior.scatter**2 + squares + apart) / degrees
    mean = (prior.weight * prior.mean + math.fsum(on)) / weight
    return Belief(mean, weight, math.sqrt(spread), degrees, prior.scale, prior.most)


def mean_interval(belief: Belief, confidence: float = CONFIDENCE) -> Interval:
    """Where the bar's long-run mean lies with a probability of `confidence`, 0.5 to 0.9999.

    On a scale of logits or logarithms it is the median batch. A plan uses `next_interval`.

    >>> [round(100 * one, 1) for one in mean_interval(share_prior(0.2, 0.6))]
    [12.2, 40.0, 67.8]

    Raises: OutOfRange. Source: [BST-NORMAL] (read).
    """
    return _interval(belief, math.sqrt(1.0 / belief.weight), confidence)


def next_interval(belief: Belief, confidence: float = CONFIDENCE) -> Interval:
    """Where the next batch lies with a probability of `confidence`, 0.5 to 0.9999.

    >>> [round(100 * one, 1) for one in next_interval(share_prior(0.2, 0.6))]
    [9.0, 40.0, 71.0]

    Raises: OutOfRange. Source: [BST-NORMAL] (read).
    """
    return _interval(belief, math.sqrt(1.0 + 1.0 / belief.weight), confidence)


def next_upper(belief: Belief, confidence: float = CONFIDENCE) -> float:
    """What the next batch stays below with a probability of `confidence`, 0.5 to 0.9999.

    >>> round(next_upper(share_prior(0.2, 0.6), 0.95), 3)
    0.638

    Raises: OutOfRange. Source: [BST-NORMAL] (read), one-sided.
    """
    _require_confidence(confidence)
    t = t_quantile(confidence, belief.degrees)
    return _back(belief, belief.mean + t * belief.scatter * math.sqrt(1.0 + 1.0 / belief.weight))


LEAST_KINDS = 4  # fruits or plants from which their common mean is asked (published rule)
MOST_OF_OTHERS = 10.0  # batches that the mean of the others counts as, at most (judgement)


class Together(NamedTuple):
    """The common mean of several like things, and how far their own means lie about it, squared."""

    mean: float
    variance: float

    def kept(self, error: float) -> float:
        """The share of a mean's distance from the common one that is kept; `error` is its own."""
        whole = error * error + self.variance
        return self.variance / whole if whole > 0.0 else 1.0


def together(means: Sequence[float], errors: Sequence[float]) -> Together | None:
    """What like things have in common: means that scatter by chance are drawn toward each other.

    means, errors: of each, one unit, with its standard error above 0. None below four of them.
    With equal errors e the share kept is 1 - (k - 3) e^2 / sum((y - mean)^2), never below 0.

    >>> hits = (18, 17, 16, 15, 14, 14, 13, 12, 11, 11, 10, 10, 10, 10, 10, 9, 8, 7)
    >>> means = [one / 45 for one in hits]
    >>> error = (0.2654 * (1 - 0.2654) / 45) ** 0.5
    >>> round(together(means, [error] * 18).kept(error), 3)
    0.212

    Raises: OutOfRange. Source: [SHRINK-BATTING] (read).
    """
    for error in errors:
        require("errors", error, 1e-12, None, "")
    if len(means) < LEAST_KINDS:
        return None

    def at(variance: float) -> tuple[float, float]:
        weights = [1.0 / (error * error + variance) for error in errors]
        mean = math.fsum(w * y for w, y in zip(weights, means, strict=True)) / math.fsum(weights)
        apart = math.fsum(w * (y - mean) ** 2 for w, y in zip(weights, means, strict=True))
        return mean, apart

    wanted, low = float(len(means) - 3), 0.0
    high = max(1e-24, (max(means) - min(means)) ** 2)
    if at(low)[1] <= wanted:
        return Together(at(0.0)[0], 0.0)
    while at(high)[1] > wanted:
        high *= 2.0
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if at(middle)[1] > wanted else (low, middle)
    return Together(at(high)[0], high)


def like_others(groups: Sequence[Sequence[float]], prior: Belief) -> Belief | None:
    """The prior of one of several like losses: their common mean, counted by how alike they are.

    groups: the values of each, in the unit of the prior, which gives the scale and the guess of the
    own scatter. None below four groups that were measured.

    >>> groups = [[0.30, 0.32], [0.33, 0.29], [0.31], [0.34, 0.30, 0.32]]
    >>> drawn = like_others(groups, share_prior(0.2, 0.6))
    >>> round(drawn.mean, 3), drawn.weight
    (0.314, 10.0)

    Raises: OutOfRange. Source: [SHRINK-BATTING] (read); the least count of ten, [JUDGEMENT].
    """
    on = [[_onto(prior.scale, value) for value in values] for values in groups if values]
    means = [math.fsum(row) / len(row) for row in on]
    squares = math.fsum(
        (value - mean) ** 2 for row, mean in zip(on, means, strict=True) for value in row
    )
    degrees = prior.degrees + math.fsum(len(row) - 1 for row in on)
    variance = (prior.degrees * prior.scatter**2 + squares) / degrees
    found = together(means, [math.sqrt(variance / len(row)) for row in on])
    if found is None:
        return None
    weight = variance / found.variance if found.variance > 0.0 else math.inf
    return prior._replace(
        mean=found.mean,
        weight=min(weight, MOST_OF_OTHERS),
        scatter=math.sqrt(variance),
    )


class Bias(NamedTuple):
    """What an instrument reads too much, with its standard deviation, in the instrument's unit."""

    mean: float
    sd: float
    checks: int

    def interval(self, confidence: float = CONFIDENCE) -> Interval:
        """Where the bias lies with a probability of `confidence`. Raises OutOfRange."""
        _require_confidence(confidence)
        half = normal_quantile(0.5 + 0.5 * confidence) * self.sd
        return Interval(self.mean - half, self.mean, self.mean + half)

    @property
    def certain(self) -> bool:
        """Whether it may be corrected for: five checks, and 0 outside of its 95 %."""
        low, _, high = self.interval()
        return self.checks >= ENOUGH_CHECKS and not low <= 0.0 <= high


ENOUGH_CHECKS = 5  # of an instrument against what is known, before it is corrected for (practice)


def instrument_bias(
    off: Sequence[float], spread: float, expected_within: float, prior_mean: float = 0.0
) -> Bias:
    """The bias of an instrument from checks against what is known, each read less known.

    spread: of one reading, above 0. expected_within: standard deviation of the bias of such
    instruments before a check, above 0. Both in the instrument's unit. No model error.

    >>> bias = instrument_bias([10.5] * 5, 0.2, 2.0, prior_mean=10.0)
    >>> round(bias.mean, 3), round(bias.sd, 4)
    (10.499, 0.0894)

    Raises: OutOfRange. Source: [BST-NORMAL] (read), normal with a known spread.
    """
    require("spread", spread, 1e-12, None, "")
    require("expected_within", expected_within, 1e-12, None, "")
    require("prior_mean", prior_mean, None, None, "")
    for value in off:
        require("off", value, None, None, "")
    own, between = spread * spread, expected_within * expected_within
    whole = own + len(off) * between
    return Bias(
        (prior_mean * own + between * math.fsum(off)) / whole,
        math.sqrt(own * between / whole),
        len(off),
    )


# scales


def _prior(low: float, high: float, scale: Scale, most: float) -> Belief:
    scatter = OWN_OF_RANGE * 0.25 * (high - low)
    return Belief(0.5 * (low + high), OWN_OF_RANGE**2, scatter, FEW_DEGREES, scale, most)


def _logit(share: float) -> float:
    return math.log(share / (1.0 - share))


def _onto(scale: Scale, value: float) -> float:
    if scale == "logit":
        return _logit(min(max(value, _EDGE), 1.0 - _EDGE))
    if scale == "log":
        return math.log(max(value, 1e-9))
    return value


def _back(belief: Belief, at: float) -> float:
    """A place on the scale as a value, never outside of what can be."""
    if belief.scale == "logit":
        return 1.0 / (1.0 + math.exp(-max(-700.0, at)))
    if belief.scale == "log":
        return math.exp(min(at, 700.0))
    return min(max(at, 0.0), belief.most)


def _interval(belief: Belief, times: float, confidence: float) -> Interval:
    _require_confidence(confidence)
    half = t_quantile(0.5 + 0.5 * confidence, belief.degrees) * belief.scatter * times
    low, middle, high = (
        _back(belief, at) for at in (belief.mean - half, belief.mean, belief.mean + half)
    )
    return Interval(low, middle, high)


def _require_confidence(confidence: float) -> None:
    require("confidence", confidence, 0.5, 0.9999, "")


def _require_order(low: float, high: float) -> None:
    if not low < high:
        raise BadInput(
            f"the range is {low:g} to {high:g}; its low end must lie below its high end.", "low"
        )
