"""The gauge of the page: no letter over another, none outside, the figures those of the answer."""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from prepkit.render.fitting import Gauge, _labels, _placed, wide_gauge

FIGURES = st.floats(0.01, 500.0)


@settings(max_examples=80)
@given(FIGURES, st.floats(1.0, 1.5), FIGURES)
@example(16.8, 1.001, 17.0)
@example(13.1, 1.17, 17.0)
@example(0.1, 1.0, 300.0)
@example(490.0, 1.2, 1.0)
def test_no_letters_cover_others_on_the_narrowest_phone(
    value: float, more: float, limit: float
) -> None:
    gauge = Gauge(value, value * more, limit, "bar", 1, "rated")
    scale = 100 / gauge.top
    for row in _labels(gauge, value * scale, value * more * scale, limit * scale):
        edge = 0.0
        for one in _placed(row):
            assert one.left >= edge - 0.02
            edge = one.left + one.wide
        assert edge <= 100.02


def test_a_margin_is_said_below_the_limit_and_an_excess_above_it() -> None:
    below = wide_gauge(Gauge(13.1, 15.3, 17.0, "bar", 1, "rated"))
    assert 'aria-label="Upper bound 15.3 bar; rated 17 bar; margin 1.7."' in below
    assert "margin" in below
    assert 'class="past"' not in below
    above = wide_gauge(Gauge(23.3, 27.6, 17.0, "bar", 1, "rated"))
    assert "over by" in above
    assert 'class="past"' in above


def test_words_of_a_gauge_are_escaped() -> None:
    assert "<b>" not in wide_gauge(Gauge(1.0, 1.0, 2.0, "<b>", 1, "<b>"))
