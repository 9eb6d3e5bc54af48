"""Peel and sugar: balances, kinetics, diffusion."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from science import beside

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import infusion, sucrose


@given(
    st.floats(0.01, 10.0),
    st.floats(0.0, 20.0),
    st.floats(0.0, 0.8),
    st.floats(0.0, 0.2),
    st.floats(0.5, 0.85),
)
def test_balance_loses_nothing(
    peel: float, sugar: float, loss: float, gain: float, soluble: float
) -> None:
    if gain * peel > sugar:
        with pytest.raises(OutOfRange, match="sugar taken up"):
            infusion.peel_balance(peel, sugar, loss, gain, soluble)
        return
    got = infusion.peel_balance(peel, sugar, loss, gain, soluble)
    after = got.peel_kg + got.syrup_kg + got.undissolved_sugar_kg
    assert after == pytest.approx(peel + sugar)
    assert got.dissolved_sugar_kg + got.undissolved_sugar_kg + got.sugar_to_peel_kg == (
        pytest.approx(sugar)
    )
    if got.syrup_kg > 1e-12:  # never above saturation, as far as a float can tell
        assert got.dissolved_sugar_kg / got.syrup_kg <= soluble + 1e-9
    assert got.undissolved_sugar_kg >= 0


@given(st.floats(0.0, 0.7), st.floats(0.01, 0.1))
def test_more_water_leaves_less_sugar_undissolved(loss: float, more: float) -> None:
    here = infusion.peel_balance(0.1, 0.2, loss, 0.05, 0.666)
    there = infusion.peel_balance(0.1, 0.2, loss + more, 0.05, 0.666)
    assert there.undissolved_sugar_kg < here.undissolved_sugar_kg
    assert there.syrup_kg > here.syrup_kg


def test_solubility_of_the_sugar_module_gives_the_same_balance() -> None:
    # our own 20 C solubility stays within the row's tolerance of the older 66.6 %
    soluble = sucrose.solubility_mass_fraction(20.0)
    assert infusion.water_to_dissolve(soluble) == pytest.approx(0.5015, abs=0.01)


def test_drying_balance_keeps_the_dry_mass() -> None:
    # MAREY-2016: 79.6 to 10 % per 1000 kg
    left = 1000.0 - beside.water_removed_kg(1000.0, 0.796, 0.10)
    assert left * 0.90 == pytest.approx(1000.0 * 0.204)


@given(st.floats(0.05, 5.0), st.floats(0.05, 0.8), st.floats(0.2, 3.0), st.floats(1.5, 10.0))
def test_two_weighings_give_the_curve_back(
    rate: float, final: float, first_h: float, ratio: float
) -> None:
    times = (first_h, first_h * ratio)
    points = [(t, infusion.azuara(t, rate, final)) for t in times]
    got_rate, got_final = infusion.fit(points[1], points[0])
    assert got_rate == pytest.approx(rate, rel=1e-6)
    assert got_final == pytest.approx(final, rel=1e-6)


@given(st.floats(0.05, 5.0), st.floats(0.05, 0.8), st.floats(0.0, 100.0))
def test_the_two_forms_are_one_curve(rate: float, final: float, time_h: float) -> None:
    assert beside.peleg(time_h, *beside.peleg_constants(rate, final)) == pytest.approx(
        infusion.azuara(time_h, rate, final), abs=1e-12
    )


def test_weighings_on_no_curve_are_refused() -> None:
    with pytest.raises(BadInput, match="rises and levels off"):
        infusion.fit((1.0, 0.10), (4.0, 0.50))  # faster than in proportion
    with pytest.raises(BadInput, match=r"above 0\.2"):
        infusion.fit((1.0, 0.20), (4.0, 0.15))  # falls
    with pytest.raises(OutOfRange, match="second time_h"):
        infusion.fit((1.0, 0.1), (1.0, 0.2))


@given(st.floats(0.0, 50.0), st.floats(0.5e-3, 1e-2), st.floats(1e-11, 1e-9))
def test_diffusion_share_is_a_share(time_h: float, thickness: float, d: float) -> None:
    share = infusion.diffusion_share(time_h, thickness, d)
    assert 0.0 <= share <= 1.0
    assert infusion.diffusion_share(time_h + 1.0, thickness, d) >= share
    assert infusion.diffusion_share(time_h, thickness, d, one_face=True) <= share + 1e-12
    # thickness squared over time is all that counts
    assert infusion.diffusion_share(4 * time_h, 2 * thickness, d) == pytest.approx(share, abs=1e-9)


def test_early_time_law_joins_the_series() -> None:
    # at 0.02 of the time scale; the series is taken just above, the square root below
    scale_h = 1e-3**2 / 1e-10 / 3600
    low, high = (
        infusion.diffusion_share(x * scale_h, 2e-3, 1e-10) for x in (0.01999999, 0.02000001)
    )
    assert low == pytest.approx(high, abs=1e-6)


@pytest.mark.parametrize(("share", "factor"), [(0.5, 0.1967), (0.9, 0.8481)])
def test_textbook_times(share: float, factor: float) -> None:
    scale_h = 1e-3**2 / 1e-10 / 3600
    assert infusion.diffusion_time_h(share, 2e-3, 1e-10) == pytest.approx(
        factor * scale_h, rel=2e-3
    )


def test_band_is_ordered_and_carries_trade_practice() -> None:
    # PEEL-PRACTICE: 1 to 3 h at the quickest, overnight is safe, for thin strips
    low, middle, high = infusion.diffusion_band(2.0, 2e-3)
    assert low < middle < high
    assert infusion.diffusion_band(12.0, 2e-3)[1] > 0.99
    assert infusion.diffusion_band(12.0, 2e-3)[0] > 0.88


def test_vacuum_binds_about_85_g_per_kg() -> None:
    mean, spread = infusion.vacuum_uptake_kg(2.0)
    assert mean == pytest.approx(0.170)
    assert spread == pytest.approx(0.024)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: infusion.peel_balance(0.1, 0.1, 1.2, 0.0, 0.666), r"water_loss is 1\.2"),
        (lambda: infusion.peel_balance(-0.1, 0.1, 0.2, 0.0, 0.666), r"peel_kg is -0\.1"),
        (lambda: infusion.water_to_dissolve(1.0), "solubility_mass_fraction"),
        (lambda: beside.water_removed_kg(1.0, 0.5, 0.6), r"moisture_after is 0\.6"),
        (lambda: infusion.diffusion_share(1.0, 1.0, 1e-10), "thickness_m is 1 m"),
        (lambda: infusion.diffusion_share(1.0, 2e-3, 1.0), "diffusivity_m2_s"),
        (lambda: infusion.diffusion_time_h(1.0, 2e-3, 1e-10), "share is 1"),
        (lambda: infusion.azuara(math.nan, 0.5, 0.4), "nan"),
        (lambda: beside.liquid_kept_per_dry_kg(0.99, 0.2), r"moisture is 0\.99"),
    ],
)
def test_out_of_range_names_all(call: object, match: str) -> None:
    assert callable(call)
    with pytest.raises(OutOfRange, match=match):
        call()


def test_milk_takes_more_acid_the_sourer_it_gets_steepest_near_ph_5() -> None:
    steps = [3.0 + 0.05 * at for at in range(80)]
    taken = [infusion.acid_uptake_mol_l(ph) for ph in steps]
    assert all(one >= other for one, other in pairwise(taken))
    assert infusion.acid_uptake_mol_l(infusion.MILK_PH) == 0.0
    slope = {
        ph: infusion.acid_uptake_mol_l(ph - 0.1) - infusion.acid_uptake_mol_l(ph + 0.1)
        for ph in (4.0, 4.5, 5.1, 5.8, 6.3)
    }
    assert max(slope, key=lambda ph: slope[ph]) == 5.1  # [MILK-BUFFER]


@given(st.floats(0.001, 0.3), st.floats(0.0, 0.6))
@settings(max_examples=30, deadline=None)
def test_more_milk_never_makes_it_sourer(acid: float, milk: float) -> None:
    one = infusion.ph_with_milk({"citric": acid}, 0.0, milk)
    more = infusion.ph_with_milk({"citric": acid}, 0.0, milk + 0.1)
    assert one <= more + 1e-6 <= infusion.MILK_PH + 2e-6


def test_two_grams_of_citric_acid_bring_milk_to_the_ph_of_paneer() -> None:
    # 2 g to a litre of hot milk is practice, and comes to pH 5.5
    molal = {"citric": 2.0 / 192.12 / 0.908}
    assert infusion.ph_with_milk(molal, 0.0, 1 / 0.908) == pytest.approx(5.5, abs=0.15)


def test_warm_milk_curdles_at_a_higher_ph_and_nothing_is_said_of_cold_milk() -> None:
    seen = [infusion.curd_seen_ph(c) for c in (10, 20, 30, 40, 60, 75, 80)]
    assert seen == sorted(seen)
    assert seen[0] > infusion.ISOELECTRIC_PH
    with pytest.raises(OutOfRange):
        infusion.curd_seen_ph(4.0)


def test_liquid_in_curd_as_worked_for_four_moistures() -> None:
    for moisture, ml in ((0.80, 231), (0.75, 173), (0.65, 107), (0.55, 71)):
        kept = 1000 * infusion.liquid_in_curd_kg(0.0577, moisture)
        assert kept == pytest.approx(ml, abs=1.5)
