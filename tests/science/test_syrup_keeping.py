"""Water activity, freezing, crystallisation, inversion and readings: laws and refusals."""

from __future__ import annotations

from collections.abc import Callable
from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from science import beside

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import ethanol, keeping, sucrose
from prepkit.science.solution import (
    delle_units,
    density_from_baume,
    extract_g_l,
    juice_acid_correction_bx,
    solids_with_invert,
    sugar_and_strength_quick,
    sugar_from_reading,
)

SHARES = st.floats(0.0, 0.60)


# water activity


@given(st.floats(0.0, 0.70), st.floats(0.1, 1e4))
def test_sucrose_alone_meets_its_own_function_at_any_scale(w: float, kg: float) -> None:
    value, error = keeping.of_mixture({"sucrose": w * kg, "water": (1 - w) * kg})
    assert value == pytest.approx(sucrose.water_activity(w), abs=1e-9)
    assert error == (0.002 if w <= 0.70 else 0.02)


@given(SHARES, st.floats(0.0, 0.3))
def test_every_solute_dries(w: float, e: float) -> None:
    base = {"water": 1.0, "sucrose": w, "ethanol": e}
    here, _ = keeping.of_mixture(base)
    assert 0.0 < here <= 1.0
    for more in ("sucrose", "glucose", "citric", "glycerol", "ethanol", "other_solubles"):
        added = {**base, more: base.get(more, 0.0) + 0.01}
        assert keeping.of_mixture(added)[0] < here


def test_hexose_dries_more_than_sucrose_of_the_same_mass() -> None:
    assert (
        keeping.of_mixture({"water": 1, "fructose": 1})[0]
        < keeping.of_mixture({"water": 1, "sucrose": 1})[0]
    )


@pytest.mark.parametrize(
    ("abv", "activity"),
    [(0.10, 0.970), (0.30, 0.912), (0.50, 0.855), (0.70, 0.779)],
)
def test_spirits_by_strength(abv: float, activity: float) -> None:
    # computed apart from this code with the same published method; Raoult would give 0.837 at 40 %
    assert keeping.of_ethanol(ethanol.mass_fraction_from_abv(abv)) == pytest.approx(
        activity, abs=0.002
    )


@pytest.mark.parametrize(("percent", "inverted"), [(50, 0.880), (60, 0.814), (65, 0.766)])
def test_inversion_dries(percent: float, inverted: float) -> None:
    # reference: from 0.935, 0.895, 0.865 (computed apart from this code)
    left, glucose, fructose, taken = sucrose.after(percent, 1.0)
    masses = {"sucrose": left, "glucose": glucose, "fructose": fructose,
              "water": 100 - percent - taken}  # fmt: skip
    assert keeping.of_mixture(masses)[0] == pytest.approx(inverted, abs=0.004)


@pytest.mark.parametrize(
    "masses", [{"sucrose": 1.0}, {"water": 0.0, "sucrose": 1.0}, {"water": 1.0, "sand": 1.0}]
)
def test_water_activity_needs_water_and_known_names(masses: dict[str, float]) -> None:
    with pytest.raises(BadInput):
        keeping.of_mixture(masses)


@pytest.mark.parametrize(
    "masses", [{"water": 1.0, "sucrose": 5.0}, {"water": 1.0, "sucrose": -1.0},
               {"water": 1.0, "sucrose": nan}, {"water": 0.01, "ethanol": 1.0}]
)  # fmt: skip
def test_water_activity_ranges(masses: dict[str, float]) -> None:
    with pytest.raises(OutOfRange):
        keeping.of_mixture(masses)


# freezing


@given(st.floats(0.0, 0.6))
def test_freezing_of_sucrose_alone_meets_its_own_function(w: float) -> None:
    assert keeping.of_mixture_c({"sucrose": w, "water": 1 - w}) == pytest.approx(
        sucrose.freezing_point_c(w), abs=1e-6
    )


@given(st.floats(0.0, 0.55))
def test_freezing_of_spirit_alone_meets_its_own_function(p: float) -> None:
    assert keeping.of_mixture_c({"ethanol": p, "water": 1 - p}) == pytest.approx(
        ethanol.freezing_point_c(p), abs=1e-6
    )


@given(st.floats(0.0, 0.7), st.floats(0.0, 0.5))
def test_every_solute_lowers_the_freezing_point(s: float, e: float) -> None:
    base = {"water": 1.0, "sucrose": s, "ethanol": e}
    here = keeping.of_mixture_c(base)
    for more in ("sucrose", "fructose", "citric", "ethanol"):
        assert keeping.of_mixture_c({**base, more: base.get(more, 0.0) + 0.01}) < here


def test_freezing_counts_the_water_only() -> None:
    # the same 10 g of ethanol per 90 g of water freezes lower once sugar takes water's place
    assert keeping.of_mixture_c({"ethanol": 0.1, "water": 0.7, "sucrose": 0.2}) < min(
        ethanol.freezing_point_c(0.1), sucrose.freezing_point_c(0.2)
    )


def test_freezing_beyond_the_eutectic_is_refused() -> None:
    with pytest.raises(OutOfRange, match="dissolved solids"):
        keeping.of_mixture_c({"sucrose": 0.65, "water": 0.35})


# crystallisation


@given(st.floats(-13.0, 100.0))
def test_a_saturated_syrup_has_supersaturation_one(t: float) -> None:
    s = sucrose.solubility_mass_fraction(t)
    assert sucrose.supersaturation(s, 1 - s, t) == pytest.approx(1.0, abs=1e-12)


@given(st.floats(0.0, 0.59))
def test_ethanol_drives_sugar_out(p: float) -> None:
    assert sucrose.ethanol_factor(p + 0.01) < sucrose.ethanol_factor(p)


@pytest.mark.parametrize(
    ("percent", "sugar"), [(0, 66.2), (10, 62.2), (20, 58.55), (30, 54.05), (40, 47.75), (60, 26.7)]
)
def test_ethanol_factor_meets_its_table(percent: float, sugar: float) -> None:
    # Schrefeld at 14 C as printed by Seidell (memory): % sugar in the saturated solution
    w = sugar / 100
    water = (1 - w) * (1 - percent / 100)
    against = (w / water) / (0.662 / 0.338)
    assert sucrose.ethanol_factor(percent / 100) == pytest.approx(against, abs=0.02)


def test_table_spirit_in_syrup_is_harmless() -> None:
    # 100 g of 65 Bx with 50 g of 40 % spirit: 0.52 (reference, computed)
    p = ethanol.mass_fraction_from_abv(0.40)
    y = sucrose.supersaturation(65, 35 + 50 * (1 - p), 20.0, ethanol_kg=50 * p)
    assert y == pytest.approx(0.52, abs=0.02)


def test_64_bx_stays_clear_in_the_fridge_and_two_to_one_does_not() -> None:
    assert sucrose.supersaturation(64, 36, 4.0) < sucrose.CLEAR_BELOW
    assert sucrose.supersaturation(2, 1, 4.0) > sucrose.SEEDS_ABOVE


@pytest.mark.parametrize(
    ("call", "name"),
    [(lambda: sucrose.supersaturation(1, 1, 101.0), "temperature_c"),
     (lambda: sucrose.supersaturation(1, 0, 20.0), "water_kg"),
     (lambda: sucrose.supersaturation(1, 1, 20.0, ethanol_kg=2.0), "ethanol_share"),
     (lambda: sucrose.supersaturation(1, 1, 20.0, invert_kg=2.0), "invert_per_water")],
)  # fmt: skip
def test_crystallisation_ranges(call: Callable[[], float], name: str) -> None:
    with pytest.raises(OutOfRange, match=name):
        call()


# inversion


HALF_LIVES = [
    (2.0, 4, 187), (2.0, 20, 14), (2.0, 30, 3.2), (2.5, 4, 590), (3.0, 4, 1870), (3.0, 20, 140),
    (3.5, 30, 101), (4.0, 20, 1400), (3.0, 60, 16 / 24), (3.5, 80, 5.3 / 24), (3.0, 100, 14 / 1440),
]  # fmt: skip


@pytest.mark.parametrize(("ph", "t", "days"), HALF_LIVES)
def test_half_lives(ph: float, t: float, days: float) -> None:
    # reference table (computed apart from this code)
    assert sucrose.half_life_days(ph, t) == pytest.approx(days, rel=0.04)


@pytest.mark.parametrize("t", [4.0, 20.0, 50.0, 90.0])
def test_inversion_meets_the_sugar_house_rate(t: float) -> None:
    # log10 k = 16.91 - 5670/T - pH per min (memory): 3 to 10 % above ours
    sugar_house = 1440 * 10 ** (16.91 - 5670 / (t + 273.15) - 3.0)
    assert 1.0 < sugar_house / sucrose.rate_per_day(3.0, t) < 1.12


@given(st.floats(2.0, 4.9), st.floats(0.0, 99.0), st.floats(0.0, 365.0))
def test_more_acid_warmth_and_time_invert_more(ph: float, t: float, days: float) -> None:
    here = sucrose.inverted_share(ph, t, days)
    assert 0.0 <= here <= 1.0
    assert sucrose.inverted_share(ph + 0.1, t, days) <= here
    assert sucrose.inverted_share(ph, t + 1.0, days) >= here
    assert sucrose.inverted_share(ph, t, days + 1.0) >= here


@given(st.floats(0.0, 10.0), st.floats(0.0, 1.0))
def test_inversion_keeps_mass(kg: float, share: float) -> None:
    left, glucose, fructose, taken = sucrose.after(kg, share)
    assert left + glucose + fructose - taken == pytest.approx(kg, abs=1e-9)
    # 18.015 g of water for 342.3 g of sucrose
    assert taken == pytest.approx(kg * share * 18.015 / 342.297, abs=1e-4 * kg + 1e-12)


@pytest.mark.parametrize(("ph", "t"), [(1.9, 20.0), (5.1, 20.0), (3.0, -1.0), (nan, 20.0)])
def test_inversion_ranges(ph: float, t: float) -> None:
    with pytest.raises(OutOfRange):
        sucrose.rate_per_day(ph, t)


# readings


@given(st.floats(0.0, 47.0))
def test_baume_round_trip(baume: float) -> None:
    assert beside.baume_from_density(density_from_baume(baume)) == pytest.approx(baume, abs=1e-9)


def test_acid_is_taken_off_for_sugar_and_added_for_juice() -> None:
    assert sugar_from_reading(50.0, 2.0) == pytest.approx(50 - 1.76)
    assert juice_acid_correction_bx(2.0) > 0.0


def test_quick_rule_meets_the_full_inversion() -> None:
    from prepkit.science import solution

    for s in (0.1, 0.25, 0.4):
        for e in (0.03, 0.10):
            mix = {"sucrose": s, "ethanol": e}
            sugar, strength = sugar_and_strength_quick(
                solution.refractometer_brix(mix), solution.hydrometer_brix(mix)
            )
            abv = 100 * e * solution.density_kg_m3(mix) / ethanol.PURE_KG_M3
            assert sugar == pytest.approx(100 * s, abs=0.5)
            assert strength == pytest.approx(abv, rel=0.05)


def test_an_overstated_strength_is_an_error_not_a_negative_sugar() -> None:
    with pytest.raises(OutOfRange, match="sugar by density"):
        extract_g_l(940.0, 0.30)


@pytest.mark.parametrize(
    "call",
    [lambda: beside.baume_from_density(990.0), lambda: density_from_baume(-1.0),
     lambda: juice_acid_correction_bx(21.0), lambda: sugar_from_reading(1.0, 5.0),
     lambda: solids_with_invert(86.0, 1.0), lambda: delle_units(200.0, 15.0),
     lambda: sugar_and_strength_quick(20.0, 21.0)],
)  # fmt: skip
def test_reading_ranges(call: Callable[[], object]) -> None:
    with pytest.raises(OutOfRange):
        call()
