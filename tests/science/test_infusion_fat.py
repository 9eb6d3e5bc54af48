"""Fat: bands that hold their ends, colder is never less solid, refusals."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import OutOfRange
from prepkit.science import infusion

DEGREES = st.floats(-40.0, 60.0)


@pytest.mark.parametrize("kind", ["milk", "coconut", "lard"])
@given(one=DEGREES, other=DEGREES)
@settings(max_examples=40)
def test_colder_fat_is_never_less_solid(kind: str, one: float, other: float) -> None:
    colder, warmer = (infusion.solid_share(kind, at) for at in sorted((one, other)))
    assert 0.0 <= warmer.low <= warmer.high <= 1.0
    assert colder.low >= warmer.low - 1e-12
    assert colder.high >= warmer.high - 1e-12


@given(abv=st.floats(0.20, 0.96), at=DEGREES)
@settings(max_examples=60)
def test_the_band_of_the_models_holds_its_ends(abv: float, at: float) -> None:
    low, high = infusion.partition(abv, at)
    assert 0.025 <= low < high <= 0.102


def test_the_values_from_memory() -> None:
    assert infusion.solid_share("milk", 10.0) == pytest.approx((0.48, 0.58))
    assert infusion.solid_share("coconut", 20.0) == pytest.approx((0.32, 0.42))
    assert infusion.solid_share("lard", 30.0) == pytest.approx((0.0, 0.10))
    assert infusion.solid_share("coconut", 28.0) == (0.0, 0.0)


def test_out_of_range() -> None:
    for abv, at in ((0.19, 20.0), (0.97, 20.0), (0.4, 61.0), (0.4, float("nan"))):
        with pytest.raises(OutOfRange):
            infusion.partition(abv, at)
    with pytest.raises(OutOfRange):
        infusion.solid_share("milk", -41.0)
    with pytest.raises(OutOfRange):
        infusion.ethanol_in_fat_kg(0.1, 1.1, 0.05)
