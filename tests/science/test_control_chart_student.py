"""Probabilities and quantiles against an independent library, and that they are inverse."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy import special, stats

from prepkit.errors import OutOfRange
from prepkit.science import control_chart

DEGREES = (1.0, 2.0, 3.5, 4.0, 7.0, 11.0, 30.0, 250.0, 1e4, 1e6)
PROBABILITIES = (1e-9, 1e-4, 0.00135, 0.025, 0.05, 0.3, 0.5, 0.8, 0.975, 0.99865, 1 - 1e-7)


def test_quantiles_are_those_of_the_library() -> None:
    for p in PROBABILITIES:
        assert control_chart.normal_quantile(p) == pytest.approx(
            stats.norm.ppf(p), rel=1e-9, abs=1e-11
        )
        for degrees in DEGREES:
            expected = stats.t.ppf(p, degrees)
            assert control_chart.t_quantile(p, degrees) == pytest.approx(
                expected, rel=2e-8, abs=1e-9
            )


@settings(max_examples=60)
@given(st.floats(-60.0, 60.0), st.floats(1.0, 1e5))
@example(4.938674647731605e-08, 18.0)
def test_probabilities_are_those_of_the_library(t: float, degrees: float) -> None:
    assert control_chart.t_probability(t, degrees) == pytest.approx(
        float(stats.t.cdf(t, degrees)), rel=1e-8, abs=1e-13
    )
    z = t / 8.0
    assert control_chart.normal_probability(z) == pytest.approx(float(stats.norm.cdf(z)), rel=1e-11)


@settings(max_examples=60)
@given(st.floats(0.1, 400.0), st.floats(0.1, 400.0), st.floats(0.0, 1.0))
def test_incomplete_beta(a: float, b: float, x: float) -> None:
    assert control_chart.incomplete_beta(a, b, x) == pytest.approx(
        float(special.betainc(a, b, x)), rel=1e-9, abs=1e-12
    )


def test_ends_are_refused() -> None:
    for call in (
        lambda: control_chart.normal_quantile(0.0),
        lambda: control_chart.t_quantile(1.0, 5.0),
        lambda: control_chart.t_quantile(0.5, 0.5),
        lambda: control_chart.t_probability(float("nan"), 5.0),
        lambda: control_chart.incomplete_beta(1.0, 1.0, 1.5),
    ):
        with pytest.raises(OutOfRange):
            call()
