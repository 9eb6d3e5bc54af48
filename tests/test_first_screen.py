"""A figure has no more decimals than two figures of its ± allow, in any units."""

from __future__ import annotations

import pytest

from prepkit.first_screen import amount, decimals
from prepkit.model import Value
from prepkit.render.text import value_words


@pytest.mark.parametrize(
    ("value", "spread", "digits", "shown"),
    [
        (1246.04, 62.3, 1, "1246 ± 62"), (8.574, 2.19, 2, "8.6 ± 2.2"),
        (13.1, 0.7, 1, "13.1 ± 0.7"),
        (1.424, 0.002, 3, "1.424 ± 0.002"), (1246.04, None, 1, "1246.0"), (30.2, 0.0, 1, "30.2"),
        (1246.04, 162.0, 1, "1246 ± 162"),
    ],
)  # fmt: skip
def test_digits_follow_the_spread(
    value: float, spread: float | None, digits: int, shown: str
) -> None:
    held = Value(value, "bar", spread, "peak", digits, False)
    assert value_words(held, "metric")[0] == shown
    assert amount(held, "metric") == f"{shown.partition(' ±')[0]} bar"


def test_the_spread_in_us_units_decides_there() -> None:
    held = Value(1246.04, "ml", 62.3, "volume", 1, False)
    assert decimals(held, "us") == 1  # 2.1 US fl oz
    assert value_words(held, "us") == ("42.1 ± 2.1", "US fl oz")
