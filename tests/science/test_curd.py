"""Milk, acid and curd: what must hold of any of it."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import OutOfRange
from prepkit.science import curd


def test_milk_takes_more_acid_the_sourer_it_gets_steepest_near_ph_5() -> None:
    steps = [3.0 + 0.05 * at for at in range(80)]
    taken = [curd.acid_uptake_mol_l(ph) for ph in steps]
    assert all(one >= other for one, other in pairwise(taken))
    assert curd.acid_uptake_mol_l(curd.MILK_PH) == 0.0
    slope = {
        ph: curd.acid_uptake_mol_l(ph - 0.1) - curd.acid_uptake_mol_l(ph + 0.1)
        for ph in (4.0, 4.5, 5.1, 5.8, 6.3)
    }
    assert max(slope, key=lambda ph: slope[ph]) == 5.1  # [MILK-BUFFER]


@given(st.floats(0.001, 0.3), st.floats(0.0, 0.6))
@settings(max_examples=30, deadline=None)
def test_more_milk_never_makes_it_sourer(acid: float, milk: float) -> None:
    one = curd.ph_with_milk({"citric": acid}, 0.0, milk)
    more = curd.ph_with_milk({"citric": acid}, 0.0, milk + 0.1)
    assert one <= more + 1e-6 <= curd.MILK_PH + 2e-6


def test_two_grams_of_citric_acid_bring_milk_to_the_ph_of_paneer() -> None:
    # 2 g to a litre of hot milk is practice, and comes to pH 5.5
    molal = {"citric": 2.0 / 192.12 / 0.908}
    assert curd.ph_with_milk(molal, 0.0, 1 / 0.908) == pytest.approx(5.5, abs=0.15)


def test_warm_milk_curdles_at_a_higher_ph_and_nothing_is_said_of_cold_milk() -> None:
    seen = [curd.curd_seen_ph(c) for c in (10, 20, 30, 40, 60, 75, 80)]
    assert seen == sorted(seen)
    assert seen[0] > curd.ISOELECTRIC_PH
    with pytest.raises(OutOfRange):
        curd.curd_seen_ph(4.0)


def test_liquid_in_curd_as_worked_for_four_moistures() -> None:
    for moisture, ml in ((0.80, 231), (0.75, 173), (0.65, 107), (0.55, 71)):
        kept = 1000 * curd.liquid_in_curd_kg(0.0577, moisture)
        assert kept == pytest.approx(ml, abs=1.5)
