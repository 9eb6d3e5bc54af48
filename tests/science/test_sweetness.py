"""Relative sweetness: the published figures, and the sum of a drink."""

from __future__ import annotations

import pytest

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import sweetness
from prepkit.science.sweetness import relative_sweetness


def test_published_values_and_what_is_refused() -> None:
    # EV3-70: about 1.5 at 5 C and 0.8 at 60 C
    assert relative_sweetness("fructose", 5.0) == pytest.approx(1.5, abs=0.05)
    assert relative_sweetness("fructose", 60.0) == pytest.approx(0.8, abs=0.02)
    assert relative_sweetness("sucrose", 60.0) == 1.0
    mix = {"fructose": 0.05, "glucose": 0.03, "sucrose": 0.02}
    whole = sum(share * relative_sweetness(sugar, 18.0) for sugar, share in mix.items())
    assert sweetness.sweetness(mix, 18.0).value == pytest.approx(whole)
    with pytest.raises(BadInput, match="no sweetness"):
        relative_sweetness("citric", 20.0)
    with pytest.raises(OutOfRange):
        relative_sweetness("sucrose", 61.0)
