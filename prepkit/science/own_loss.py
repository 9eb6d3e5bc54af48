"""What a bar's own batches tell of a loss: a published range as a prior that they can outweigh.

The prior is a normal-inverse-gamma one. A published range is how bars, fruits and hands differ, and
not how one bar scatters: so it counts as a fraction of one batch, and not as many. The mean of a
loss and the next batch's loss are two intervals; a plan uses the second.

Learnt losses say how much to make. They are no input of a pressure, a fill, the air or a date.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal, NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science import student

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
    squares = math.fsum((one - own) ** 2 for one in on)
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
    t = student.t_quantile(confidence, belief.degrees)
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
    for one in errors:
        require("errors", one, 1e-12, None, "")
    if len(means) < LEAST_KINDS:
        return None

    def at(variance: float) -> tuple[float, float]:
        weights = [1.0 / (one * one + variance) for one in errors]
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
    means = [math.fsum(one) / len(one) for one in on]
    squares = math.fsum(
        (value - mean) ** 2 for one, mean in zip(on, means, strict=True) for value in one
    )
    degrees = prior.degrees + math.fsum(len(one) - 1 for one in on)
    variance = (prior.degrees * prior.scatter**2 + squares) / degrees
    found = together(means, [math.sqrt(variance / len(one)) for one in on])
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
        half = student.normal_quantile(0.5 + 0.5 * confidence) * self.sd
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
    for one in off:
        require("off", one, None, None, "")
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
    half = student.t_quantile(0.5 + 0.5 * confidence, belief.degrees) * belief.scatter * times
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
