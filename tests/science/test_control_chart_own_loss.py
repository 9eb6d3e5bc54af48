"""Learning a loss: conjugacy, what outweighs what, honesty of the intervals by simulated bars."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import control_chart

SHARES = st.lists(st.floats(0.01, 0.99), min_size=1, max_size=12)
RANGES = st.tuples(st.floats(0.01, 0.45), st.floats(0.5, 0.99))


@settings(max_examples=60)
@given(RANGES, SHARES)
def test_one_batch_at_a_time_gives_the_same(ends: tuple[float, float], values: list[float]) -> None:
    prior = control_chart.share_prior(*ends)
    at_once = control_chart.learnt(prior, values)
    step = prior
    for value in values:
        step = control_chart.learnt(step, [value])
    assert step[:4] == pytest.approx(at_once[:4], rel=1e-9)
    assert control_chart.learnt(prior, values[::-1])[:4] == pytest.approx(at_once[:4], rel=1e-9)


@settings(max_examples=60)
@given(RANGES, SHARES, st.floats(0.5, 0.999))
def test_a_share_stays_a_share_and_the_next_batch_is_less_sure_than_the_mean(
    ends: tuple[float, float], values: list[float], confidence: float
) -> None:
    belief = control_chart.learnt(control_chart.share_prior(*ends), values)
    mean = control_chart.mean_interval(belief, confidence)
    batch = control_chart.next_interval(belief, confidence)
    assert 0.0 <= batch.low <= mean.low <= mean.middle <= mean.high <= batch.high <= 1.0
    assert batch.middle <= control_chart.next_upper(belief, confidence) <= batch.high + 1e-12


def test_own_batches_outweigh_the_published_range() -> None:
    # one own batch counts four times what the range counts; with 25 of the range it hardly would
    prior = control_chart.share_prior(0.20, 0.60)
    assert prior.weight == 0.25
    belief = control_chart.learnt(prior, [0.10] * 3)
    assert control_chart.next_interval(belief).middle == pytest.approx(0.123, abs=0.001)


def test_scales() -> None:
    assert control_chart.share_prior(0.2, 0.6).scale == "plain"
    for low, high in ((0.02, 0.15), (0.7, 0.9), (0.2, 0.75), (0.0, 1.0)):
        assert control_chart.share_prior(low, high).scale == "logit"
    ratio = control_chart.ratio_prior(2.0, 8.0)
    assert control_chart.mean_interval(ratio).middle == pytest.approx(4.0)
    assert control_chart.next_interval(control_chart.learnt(ratio, [0.0, 6.0])).low >= 0.0


@pytest.mark.parametrize(
    "call",
    [
        lambda: control_chart.share_prior(0.6, 0.2),
        lambda: control_chart.share_prior(-0.1, 0.2),
        lambda: control_chart.ratio_prior(3.0, 3.0),
        lambda: control_chart.learnt(control_chart.share_prior(0.2, 0.6), [1.2]),
        lambda: control_chart.learnt(control_chart.ratio_prior(1.0, 2.0), [-0.1]),
        lambda: control_chart.learnt(control_chart.share_prior(0.2, 0.6), [float("nan")]),
        lambda: control_chart.next_interval(control_chart.share_prior(0.2, 0.6), 1.0),
        lambda: control_chart.instrument_bias([0.1], 0.0, 1.0),
        lambda: control_chart.instrument_bias([float("inf")], 0.1, 1.0),
    ],
)
def test_what_cannot_be_is_refused(call: object) -> None:
    assert callable(call)
    with pytest.raises((BadInput, OutOfRange)):
        call()


def test_a_bias_is_certain_only_after_five_checks_that_exclude_none() -> None:
    assert not control_chart.instrument_bias([0.5] * 4, 0.1, 0.5).certain
    assert control_chart.instrument_bias([0.5] * 5, 0.1, 0.5).certain
    assert not control_chart.instrument_bias([0.05, -0.05] * 3, 0.1, 0.5).certain
    assert control_chart.instrument_bias([], 0.1, 0.5).sd == pytest.approx(0.5)


# honesty: simulated bars


def _limits(count: int, rate: float, sure: float = 0.99) -> tuple[int, int]:
    """The counts that a true rate of hits gives with a probability of `sure`."""
    low, high = stats.binom.interval(sure, count, rate)
    return int(low), int(high)


def test_next_batch_intervals_hold_at_their_rate_over_bars() -> None:
    # every bar's true mean and scatter drawn from the prior: exact, so 95 % within 99 % limits
    draw = random.Random(7)
    prior = control_chart.share_prior(0.20, 0.60)
    held = dict.fromkeys((0, 1, 3, 8, 19), 0)
    bars = 1000
    for _ in range(bars):
        chi2 = draw.gammavariate(prior.degrees / 2, 2.0)
        scatter = math.sqrt(prior.degrees * prior.scatter**2 / chi2)
        true = draw.gauss(prior.mean, scatter / math.sqrt(prior.weight))
        batches = [draw.gauss(true, scatter) for _ in range(20)]
        if not all(0.0 <= one <= 1.0 for one in batches):
            batches = [min(max(one, 0.0), 1.0) for one in batches]
        for count in held:
            found = control_chart.next_interval(control_chart.learnt(prior, batches[:count]))
            held[count] += found.low <= batches[count] <= found.high
    low, high = _limits(bars, 0.95)
    assert (low, high) == (931, 967)
    for count, hits in held.items():
        assert low <= hits <= high, f"after {count} batches {hits} of {bars}"


@pytest.mark.parametrize(
    ("true", "scatter"), [(0.31, 0.05), (0.75, 0.04), (0.12, 0.02)], ids=["in", "above", "below"]
)
def test_two_hundred_batches_of_one_bar(true: float, scatter: float) -> None:
    # the hidden loss is one number; the ledger must find it, also outside the published range:
    # the next batch lies in its 95 % interval at that rate after ten batches (99 % binomial
    # limits), and the mean's interval holds the hidden loss in the end
    draw = random.Random(200)
    belief = control_chart.share_prior(0.20, 0.60)
    hits = 0
    for batch in range(210):
        value = min(max(draw.gauss(true, scatter), 0.0), 1.0)
        found = control_chart.next_interval(belief)
        if batch >= 10:
            hits += found.low <= value <= found.high
        belief = control_chart.learnt(belief, [value])
    low, high = _limits(200, 0.95)
    assert (low, high) == (181, 197)
    assert low <= hits <= high
    mean = control_chart.mean_interval(belief, 0.999)
    assert mean.low <= true <= mean.high
    assert mean.high - mean.low < 0.35 * scatter * 2


@pytest.mark.parametrize(
    ("prior", "true", "scatter"),
    [
        (control_chart.share_prior(0.005, 0.08), 0.03, 0.01),
        (control_chart.share_prior(0.02, 0.15), 0.10, 0.02),
        (control_chart.ratio_prior(3.0, 6.0), 5.0, 0.6),
    ],
    ids=["small-share", "share", "ratio"],
)
def test_the_rate_holds_on_every_scale(
    prior: control_chart.Belief, true: float, scatter: float
) -> None:
    # batches scatter evenly and the scale does not: the rate holds all the same, 181 to 197 of 200
    draw = random.Random(77)
    belief, hits = prior, 0
    for batch in range(210):
        value = max(0.0, draw.gauss(true, scatter))
        found = control_chart.next_interval(belief)
        if batch >= 10:
            hits += found.low <= value <= found.high
        belief = control_chart.learnt(belief, [value])
    low, high = _limits(200, 0.95)
    assert low <= hits <= high


def test_the_mean_interval_finds_the_hidden_loss_at_its_rate() -> None:
    # 400 bars with hidden losses inside the published range, twelve batches each
    draw = random.Random(400)
    prior = control_chart.share_prior(0.20, 0.60)
    hits = 0
    for _ in range(400):
        true = draw.gauss(0.4, 0.1)
        batches = [min(max(draw.gauss(true, 0.05), 0.0), 1.0) for _ in range(12)]
        mean = control_chart.mean_interval(control_chart.learnt(prior, batches))
        hits += mean.low <= true <= mean.high
    low, high = _limits(400, 0.95)
    assert low <= hits <= high
