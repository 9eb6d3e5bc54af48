"""What is not acid in a drink: minerals, sugar, alcohol."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import OutOfRange
from prepkit.science import acid_medium, acids


def test_alcohol_and_minerals_are_brackets() -> None:
    low, point, high = acids.food_acid_pk_shift(0.10)
    assert 0.0 < low < point < high < acids.ethanol_pk_shift(0.11)
    plain = acids.equilibrium({"lactic": 0.1}).ph
    assert 0.4 * point < acids.equilibrium({"lactic": 0.1}, pk_shift=point).ph - plain < point
    found = acids.strong_cations_mol(1e-4, 1e-6, 1e-5, 1e-5)
    assert found.low < found.point < found.high
    assert found.point == pytest.approx(0.5 * (found.low + found.high))


@given(st.floats(0.0, 0.6), st.floats(1e-4, 0.04))
def test_more_ethanol_makes_every_acid_weaker(ethanol: float, more: float) -> None:
    first, second = map(acid_medium.food_acid_pk_shift, (ethanol, ethanol + more))
    assert first.low <= first.point <= first.high
    assert all(less < greater for less, greater in zip(first, second, strict=True))


@pytest.mark.parametrize(
    "of",
    [acid_medium.ethanol_pk_shift, acid_medium.food_acid_pk_shift, acid_medium.meter_offset_ph],
)
def test_no_shift_is_told_beyond_what_was_measured(of: Callable[[float], object]) -> None:
    of(0.648)
    for ethanol in (-0.001, 0.649, float("nan")):
        with pytest.raises(OutOfRange, match="ethanol_mass_fraction"):
            of(ethanol)


def test_one_equivalent_of_each_mineral() -> None:
    # a mole of potassium or sodium is one; of calcium or magnesium two, which acids bind in part
    for minerals in ((0.039098, 0.0), (0.0, 0.02298977)):
        found = acid_medium.strong_cations_mol(*minerals, 0.0, 0.0)
        assert found == pytest.approx((1.0, 1.0, 1.0), abs=1e-4)
    for minerals in ((0.040078, 0.0), (0.0, 0.024305)):
        found = acid_medium.strong_cations_mol(0.0, 0.0, *minerals)
        assert found == pytest.approx((0.0, 1.0, 2.0), abs=1e-3)
