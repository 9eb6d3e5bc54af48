"""Run charts: limits, rules, what rounding must not do, and the stated rate of false alarms."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import control_chart
from prepkit.science.control_chart import Break

VALUES = st.lists(st.floats(0.1, 1e3), min_size=2, max_size=30)


@settings(max_examples=60)
@given(VALUES, st.floats(0.01, 100.0), st.floats(-50.0, 50.0))
def test_another_unit_gives_the_same_chart(values: list[float], times: float, more: float) -> None:
    for limits in (control_chart.individuals_limits, control_chart.next_limits):
        own = limits(values)
        other = limits([times * one + more for one in values])
        for a, b in zip(own, other, strict=True):
            size = max(abs(own.upper), abs(own.lower), 1.0)
            assert b == pytest.approx(times * a + more, abs=1e-8 * (times * size + abs(more)))
        assert own.lower <= own.centre <= own.upper


@given(st.floats(-1e3, 1e3), st.integers(0, 60))
def test_equal_values_break_no_rule(value: float, count: int) -> None:
    assert control_chart.rule_breaks([value] * count) == []


@settings(max_examples=40)
@given(st.integers(0, 2**32), st.integers(4, 40), st.integers(-1, 1))
def test_a_batch_far_out_is_named(seed: int, count: int, sign: int) -> None:
    draw = random.Random(seed)
    values = [draw.gauss(50.0, 1.0) for _ in range(count)]
    values[-1] = 50.0 + sign * 400.0
    found = control_chart.rule_breaks(values)
    out = [one.place for one in found if one.rule == "beyond the limits"]
    assert (count - 1 in out) == bool(sign)


def test_eight_on_one_side() -> None:
    values = [9.0] * 4 + [10.0, 12.0] + [9.0] * 7 + [15.0]
    assert [one for one in control_chart.rule_breaks(values) if one.rule == "run of eight"] == []
    low = [9.0, 9.2, 9.1, 9.3, 9.0, 9.2, 9.1, 9.3]
    found = control_chart.rule_breaks([*low, *(9.9 + one / 10 for one in low)])
    assert Break(7, "run of eight") in found
    assert Break(15, "run of eight") in found
    assert Break(6, "run of eight") not in found


def test_the_odd_batch_far_out_makes_no_run_of_the_others() -> None:
    # the mean of all twelve is 48.5, above each of the eleven good ones
    values = [48.4, 47.6] * 5 + [48.4, 54.0]
    assert control_chart.rule_breaks(values) == [Break(11, "beyond the limits")]
    # the standard rule has the mean as its centre, also where most batches lie on one side
    shifted = [9.0, 11.0, 9.0, 11.0] + [12.0] * 8
    assert Break(11, "run of eight") in control_chart.rule_breaks(shifted)


def test_twenty_batches_use_the_moving_range() -> None:
    values = [10.0, 11.0] * 10
    assert control_chart.limits(values) == control_chart.individuals_limits(values)
    assert control_chart.limits(values[:19]) == control_chart.next_limits(values[:19])
    assert control_chart.rule_breaks([*values, 14.0]) == [Break(20, "beyond the limits")]
    assert control_chart.rule_breaks([*values, 13.0]) == []


def test_a_batch_that_was_out_hides_no_later_one() -> None:
    found = control_chart.rule_breaks([5.0, 5.1, 4.9, 5.05, 4.95, 9.0, 5.0, 9.1])
    assert [one.place for one in found] == [5, 7]


def test_an_early_batch_that_was_out_is_seen_later() -> None:
    # as it was made, one batch before it told nothing; in the end fourteen do
    values = [48.6, 51.5, 48.3, 48.5, 48.2, 48.2, 48.5, 48.4, 48.0, 48.6]
    assert control_chart.rule_breaks(values[:3]) == []
    assert control_chart.rule_breaks(values) == [Break(1, "beyond the limits")]


def test_too_few_and_what_is_no_number() -> None:
    assert control_chart.rule_breaks([]) == control_chart.rule_breaks([1.0, 99.0]) == []
    with pytest.raises(BadInput, match="at least 2"):
        control_chart.individuals_limits([1.0])
    with pytest.raises(OutOfRange):
        control_chart.next_limits([1.0, float("inf")])
    with pytest.raises(OutOfRange):
        control_chart.rule_breaks([1.0, float("nan"), 2.0])


def test_few_batches_are_called_out_at_the_stated_rate() -> None:
    # 0.27 % of good batches from the third on as they are made, 0.05 % more seen from the end:
    # about 0.35 % of 10,000 judged in 2,000 charts; its 99.9 % binomial limits are 16 and 55
    draw = random.Random(20)
    out = 0
    for _ in range(2000):
        values = [draw.gauss(48.0, 0.6) for _ in range(7)]
        out += len(control_chart.rule_breaks(values))  # seven make no run of eight
    assert 16 <= out <= 55
    # limits by the moving range from the same five batches would call out 5.7 %


def test_fixed_limits_of_few_batches_call_out_more() -> None:
    # reference: 5.7 % with limits of 5 batches by moving ranges, 1.1 % with 20 (binomial 99.9 %)
    draw = random.Random(21)
    for count, low, high in ((5, 0.047, 0.068), (20, 0.006, 0.017)):
        out = 0
        for _ in range(5000):
            lower, _, upper = control_chart.individuals_limits(
                [draw.gauss(0.0, 1.0) for _ in range(count)]
            )
            out += not lower <= draw.gauss(0.0, 1.0) <= upper
        assert low <= out / 5000 <= high
