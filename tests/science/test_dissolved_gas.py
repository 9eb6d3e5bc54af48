"""Solubility: the spread of its sources, factors of the liquid, ranges."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import dissolved_gas as dg
from prepkit.science import gases, water

T_CO2 = st.floats(0.0, 60.0)
CREAM = (0.61, 45.0, 0.0, 350.0)


@given(t=T_CO2)
def test_co2_is_the_lower_of_two_constants(t: float) -> None:
    both = (dg.weiss_co2_mol_m3_pa(t), dg.carroll_co2_mol_m3_pa(t))
    assert dg.henry_mol_m3_pa("co2", t) == min(both)
    assert max(both) / min(both) < 1.04


@pytest.mark.parametrize("t", [0.0, 5.0, 15.0, 25.0, 35.0])
def test_n2o_against_the_second_source(t: float) -> None:
    """Young 1981: ln of the mole fraction at 1 atm; 2.2 to 2.9 % lower over 0-35 C."""
    k = (t + 273.15) / 100.0
    x = math.exp(-60.7467 + 88.8280 / k + 21.2531 * math.log(k))
    second = x * water.density_kg_m3(t) / dg.WATER_KG_MOL / gases.STANDARD_PA
    assert 0.020 < 1.0 - second / dg.henry_mol_m3_pa("n2o", t) < 0.031


@pytest.mark.parametrize("t", [5.0, 15.0, 25.0, 40.0, 50.0])
def test_n2_against_the_second_source(t: float) -> None:
    """CRC/IUPAC fit: within 0.5 % at 15-50 C, 1.4 % at 5 C."""
    k = (t + 273.15) / 100.0
    x = math.exp(-67.38765 + 86.32129 / k + 24.79808 * math.log(k))
    second = x * water.density_kg_m3(t) / dg.WATER_KG_MOL / gases.STANDARD_PA
    assert dg.henry_mol_m3_pa("n2", t) == pytest.approx(second, rel=0.0150)


def test_nitrogen_at_pressure() -> None:
    """Kennan and Pollack 1981 (abstract): the second point, 115.8 atm, is beyond the gas equation,
    so the liquid side alone is compared: volume term between the two published points."""
    published = math.log(100340.0 / 90269.0)
    here = math.log(dg.pressure_factor(25.0, 44.6 * 101325.0)) - math.log(
        dg.pressure_factor(25.0, 115.8 * 101325.0)
    )
    assert here == pytest.approx(published, abs=0.015)


@pytest.mark.parametrize(
    ("bar", "percent", "published"), [(19.61, -0.4, 1.1846), (29.42, 0.0, 1.641)]
)
def test_fugacity_form_against_the_1935_series(
    bar: float, percent: float, published: float
) -> None:
    """Kritschewsky 1935, 20 C, mole %; with p in place of f the constant is 12 to 22 % high."""
    gas_pa = (bar - 0.0234) * 1e5
    weiss = dg.weiss_co2_mol_m3_pa(20.0)
    c = dg.dissolved_mol_m3("co2", 20.0, gas_pa, weiss, bar * 1e5)
    x = 100.0 * dg.mole_fraction(c, 20.0)
    assert x == pytest.approx(published * (1.0 + percent / 100.0), rel=0.008)
    assert 100.0 * dg.mole_fraction(weiss * gas_pa, 20.0) > 1.12 * published


@given(gas=st.sampled_from(["n2o", "co2", "n2"]), t=st.floats(1.0, 59.0))
def test_colder_water_holds_more(gas: str, t: float) -> None:
    assert dg.henry_mol_m3_pa(gas, t) > dg.henry_mol_m3_pa(gas, t + 1.0)


@given(
    gas=st.sampled_from(["n2o", "co2", "n2"]), t=st.floats(1.0, 60.0), share=st.floats(0.01, 0.97)
)
def test_more_pressure_dissolves_more(gas: str, t: float, share: float) -> None:
    henry = dg.henry_mol_m3_pa(gas, t)
    pa = share * min(40e5, gases.isotherm(gas, t).most_pa)
    here = dg.dissolved_mol_m3(gas, t, pa, henry)
    assert dg.dissolved_mol_m3(gas, t, pa * 1.02, henry) > here
    assert here <= henry * pa * 1.005  # never above the plain form: phi and the volume term take


def test_sugar_factor_against_the_linear_wine_form() -> None:
    """1 - 0.00144 S: 0.3 % at 50 g/L, 1.1 % at 100."""
    assert dg.sugar_factor(0.0) == 1.0
    assert dg.sugar_factor(50.0) == pytest.approx(1.0 - 0.072, rel=0.0035)
    assert dg.sugar_factor(100.0) == pytest.approx(1.0 - 0.144, rel=0.0125)


def test_wine_formula_as_printed() -> None:
    """1.951e-5 p (0.86 - 0.01 A)(1 - 0.00144 S) g/L at 20 C: the whole at 12 % vol, 20 g/L."""
    published = 1.951e-5 * 1e5 * (0.86 - 0.12) * (1.0 - 0.0288)
    liquid = dg.henry_in_liquid("co2", 20.0, sugar_kg_m3=20.0, abv=0.12)
    here = dg.dissolved_mol_m3("co2", 20.0, 1e5, liquid.middle) * gases.molar_mass_kg_mol("co2")
    assert here == pytest.approx(published, rel=0.02)


@pytest.mark.parametrize("abv", [0.30, 0.37, 0.50])
def test_strong_spirit_is_a_band_and_not_the_wine_formula(abv: float) -> None:
    low, middle, high = dg.ethanol_factor(abv)
    assert (low, high) == (0.75, 1.10 if abv <= 0.45 else 1.20)
    for gas, ends in (("n2o", (1.20, 1.35)), ("n2", (1.50, 2.00)), ("he", (1.50, 2.00))):
        by_gas = dg.ethanol_factor(abv, gas)
        assert by_gas[:2] == (low, middle), "the end that decides safety is the same for every gas"
        assert by_gas[2] == ends[abv > 0.45]
    assert low < middle < high
    assert low > 1.0 - dg.ETHANOL_SLOPE * abv


@given(t=st.floats(1.0, 60.0), gas=st.sampled_from(["n2o", "co2"]))
def test_bounds_hold_the_middle_and_ignore_melting(t: float, gas: str) -> None:
    liquid = dg.henry_in_liquid(gas, t, *CREAM)
    assert liquid.low < liquid.middle < liquid.high
    fat_low = liquid.low - dg.henry_in_liquid(gas, t, *CREAM[:3]).low
    cold = dg.henry_in_liquid(gas, 4.0, *CREAM)
    assert fat_low == pytest.approx(cold.low - dg.henry_in_liquid(gas, 4.0, *CREAM[:3]).low)


@given(t=st.floats(1.0, 59.0), gas=st.sampled_from(["n2o", "co2", "n2"]))
def test_lowest_solubility_never_rises_with_temperature(t: float, gas: str) -> None:
    here = dg.henry_in_liquid(gas, t, *CREAM).low
    assert dg.henry_in_liquid(gas, t + 1.0, *CREAM).low < here


def test_cold_cream_holds_less_than_water() -> None:
    cream = dg.henry_in_liquid("n2o", 5.0, *CREAM)
    assert cream.middle == pytest.approx(3.2e-4, rel=0.02)
    assert cream.middle < dg.henry_mol_m3_pa("n2o", 5.0)


def test_milk_fat_passes_its_three_points_and_is_clamped() -> None:
    """Abstract of 2017: 1.19e-7 at 4 C, 3.9e-7 at 24 C, 5.75e-7 at 35 C, mol/(kg Pa)."""
    for t, value in ((4.0, 1.19e-7), (24.0, 3.9e-7), (35.0, 5.75e-7)):
        assert dg.milk_fat_mol_kg_pa("co2", t) == pytest.approx(value, rel=0.01)
    assert dg.milk_fat_mol_kg_pa("co2", 0.0) == dg.milk_fat_mol_kg_pa("co2", 4.0)
    assert dg.milk_fat_mol_kg_pa("co2", 50.0) == dg.milk_fat_mol_kg_pa("co2", 35.0)
    with pytest.raises(BadInput, match="no figure was found for n2 in milk fat"):
        dg.milk_fat_mol_kg_pa("n2", 5.0)


def test_stated_errors() -> None:
    assert dg.henry_relative_error("n2o", 5.0) == 0.03
    assert dg.henry_relative_error("n2o", 50.0) == 0.06
    assert dg.henry_relative_error("co2", 5.0, 10e5) == 0.04
    assert dg.henry_relative_error("co2", 20.0, 10e5) == 0.03
    assert dg.henry_relative_error("n2", 5.0) == 0.015


def test_hydrate_lines_pass_their_published_points() -> None:
    """CO2: 45 bar at 10 C (1965 abstract); about 12.6 bar at 0 C on the log line."""
    assert dg.hydrate_pa("co2", 10.0) == pytest.approx(45e5)
    assert dg.hydrate_pa("co2", 0.0) == pytest.approx(12.6e5, rel=0.01)
    assert dg.hydrate_pa("n2o", 5.0) == pytest.approx(18e5, rel=0.02)
    with pytest.raises(BadInput, match="no hydrate line"):
        dg.hydrate_pa("n2", 5.0)
    with pytest.raises(OutOfRange, match="temperature_c is 20 C"):
        dg.hydrate_pa("co2", 20.0)


def test_gas_to_leave_is_what_is_above_equilibrium() -> None:
    """8.6 g/L at 5 C in cold cream: 1.84 L of gas from 0.5 L (computed illustration)."""
    freed = dg.gas_to_leave_m3_m3("n2o", 5.0, 8.6, 3.2e-4)
    assert freed * 0.5 == pytest.approx(1.84, abs=0.03)
    assert dg.gas_to_leave_m3_m3("n2o", 5.0, 0.1, 3.2e-4) == 0.0


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: dg.henry_mol_m3_pa("n2o", 61.0), "temperature_c is 61 C.*WEISS-PRICE-1980"),
        (lambda: dg.henry_mol_m3_pa("n2", 0.0), "temperature_c is 0 C.*between 1 and 60"),
        (lambda: dg.henry_mol_m3_pa("co2", math.nan), "temperature_c is nan"),
        (lambda: dg.sugar_factor(700.0), "sugar_kg_m3 is 700"),
        (lambda: dg.ethanol_factor(0.7), "abv is 0.7"),
        (lambda: dg.pressure_factor(20.0, math.inf), "total_pa is inf"),
        (lambda: dg.henry_in_liquid("n2o", 5.0, 1.2), "aqueous_fraction is 1.2"),
        (lambda: dg.henry_in_liquid("n2o", 5.0, 0.5, 0.0, 0.0, -1.0), "fat_kg_m3 is -1"),
    ],
)
def test_out_of_range_names_argument_and_limits(call: object, says: str) -> None:
    assert callable(call)
    with pytest.raises(OutOfRange, match=says):
        call()


def test_air_is_a_mixture() -> None:
    with pytest.raises(BadInput, match="air is a mixture"):
        dg.henry_mol_m3_pa("air", 20.0)
