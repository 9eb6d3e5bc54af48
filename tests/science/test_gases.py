"""Gas equation against CoolProp (reference equations) and the virial table of `chemicals`."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from science import beside

from prepkit.errors import BadInput, OutOfRange, UnknownIngredient
from prepkit.science import gases

# Names in CoolProp, the outside source of the grids.
FLUIDS = {
    "n2o": "NitrousOxide",
    "co2": "CO2",
    "n2": "Nitrogen",
    "o2": "Oxygen",
    "ar": "Argon",
    "he": "Helium",
    "air": "Air",
}
GRID_C = (0.0, 5.0, 10.0, 20.0, 30.0, 40.0, 50.0)
GRID_BAR = (1.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0)


@pytest.mark.parametrize("gas", gases.GASES)
def test_density_to_30_bar_against_coolprop(gas: str) -> None:
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    limit = 0.0015  # stated; 0.5 % is asked for
    for t in GRID_C:
        for bar in GRID_BAR:
            if bar * 1e5 > gases.isotherm(gas, t).most_pa:
                continue
            there = props("Dmolar", "T", t + 273.15, "P", bar * 1e5, FLUIDS[gas])
            here = gases.molar_density_mol_m3(gas, t, bar * 1e5)
            assert abs(here / there - 1.0) < limit, (gas, t, bar)


@pytest.mark.parametrize("gas", gases.GASES)
def test_density_40_to_50_bar_against_coolprop(gas: str) -> None:
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    for t in (*GRID_C, 60.0, 70.0):
        for bar, limit in ((40.0, 0.006), (50.0, 0.017)):
            if bar * 1e5 > gases.isotherm(gas, t).most_pa:
                continue
            there = props("Dmolar", "T", t + 273.15, "P", bar * 1e5, FLUIDS[gas])
            assert abs(gases.molar_density_mol_m3(gas, t, bar * 1e5) / there - 1.0) < limit


@pytest.mark.parametrize("gas", ["n2o", "co2", "n2"])
def test_pressure_is_never_much_below_coolprop(gas: str) -> None:
    """The cautious margin of a charged vessel (1 %) rests on this."""
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    for t in (-10.0, *GRID_C, 60.0, 70.0):
        most = gases.isotherm(gas, t).most_mol_m3
        for share in (0.05, 0.2, 0.4, 0.6, 0.8, 0.95):
            there = props("P", "T", t + 273.15, "Dmolar", share * most, FLUIDS[gas])
            here = beside.pressure_pa(gas, t, share * most)
            assert -0.002 < here / there - 1.0 < 0.008, (gas, t, share)


@pytest.mark.parametrize("gas", ["n2o", "co2", "n2"])
def test_fugacity_against_coolprop(gas: str) -> None:
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    for t in (5.0, 20.0, 35.0):
        for bar in (10.0, 20.0, 30.0):
            state = coolprop.AbstractState("HEOS", FLUIDS[gas])
            state.update(coolprop.PT_INPUTS, bar * 1e5, t + 273.15)
            here = gases.fugacity_coefficient(gas, t, bar * 1e5)
            assert here == pytest.approx(state.fugacity_coefficient(0), abs=3e-4)


@pytest.mark.parametrize(("gas", "high"), [("n2o", 36.0), ("co2", 30.5)])
def test_vapour_pressure_against_coolprop(gas: str, high: float) -> None:
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    for i in range(20):
        t = -30.0 + (high + 30.0) * i / 19.0
        there = props("P", "T", t + 273.15, "Q", 0, FLUIDS[gas])
        assert gases.vapour_pressure_pa(gas, t) == pytest.approx(there, rel=3e-4)


@pytest.mark.parametrize(("gas", "high"), [("n2o", 35.0), ("co2", 30.0)])
def test_saturated_densities_against_coolprop(gas: str, high: float) -> None:
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    for i in range(40):
        t = high * i / 39.0
        for here, quality in zip(gases.saturated_densities_kg_m3(gas, t), (0, 1), strict=True):
            there = props("D", "T", t + 273.15, "Q", quality, FLUIDS[gas])
            assert here == pytest.approx(there, rel=0.0065)


@pytest.mark.parametrize(("gas", "most"), [("n2o", 4.5e-6), ("co2", 4.5e-6), ("n2", 1.2e-6)])
def test_second_virial_against_the_handbook_table(gas: str, most: float) -> None:
    """An independent table: powers of 298.15/T - 1, cm3/mol."""
    table = {"n2o": (-130, -307, -248), "co2": (-127, -288, -118), "n2": (-4, -56, -12)}[gas]
    for t in (0.0, 10.0, 25.0, 40.0, 50.0):
        x = 298.15 / (t + 273.15) - 1.0
        there = sum(a * x**i for i, a in enumerate(table)) * 1e-6
        assert abs(beside.second_virial_m3_mol(gas, t) - there) < most


@given(
    gas=st.sampled_from(gases.GASES),
    t=st.floats(-10.0, 70.0),
    share=st.floats(1e-4, 1.0),
)
def test_density_and_pressure_round_trip(gas: str, t: float, share: float) -> None:
    pa = share * gases.isotherm(gas, t).most_pa
    density = gases.molar_density_mol_m3(gas, t, pa)
    back = beside.pressure_pa(gas, t, min(density, gases.isotherm(gas, t).most_mol_m3))
    assert back == pytest.approx(pa, rel=1e-9)


@given(gas=st.sampled_from(gases.GASES), t=st.floats(-10.0, 69.0), share=st.floats(1e-3, 0.98))
def test_pressure_rises_with_density_and_temperature(gas: str, t: float, share: float) -> None:
    warm = gases.isotherm(gas, t + 1.0)
    rho = share * min(gases.isotherm(gas, t).most_mol_m3, warm.most_mol_m3)
    here = beside.pressure_pa(gas, t, rho)
    assert beside.pressure_pa(gas, t, rho * 1.01) > here
    assert beside.pressure_pa(gas, t + 1.0, rho) > here


def test_ideal_gas_is_the_dilute_limit() -> None:
    for gas in gases.GASES:
        assert gases.compressibility(gas, 20.0, 1.0) == pytest.approx(1.0, abs=1e-6)
        assert gases.fugacity_coefficient(gas, 20.0, 0.0) == 1.0
        assert gases.molar_density_mol_m3(gas, 20.0, 0.0) == 0.0


def test_gas_stops_at_saturation() -> None:
    with pytest.raises(OutOfRange, match=r"absolute_pa is 4e\+06 Pa. At 5 °C n2o turns liquid at"):
        gases.molar_density_mol_m3("n2o", 5.0, 40e5)
    with pytest.raises(OutOfRange, match=r"molar_density_mol_m3 is 5000 mol/m3.*saturation"):
        beside.pressure_pa("n2o", 5.0, 5000.0)
    with pytest.raises(OutOfRange, match="50 bar"):
        beside.pressure_pa("n2", 5.0, 5000.0)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, -40.0, 90.0])
def test_temperatures_out_of_range(bad: float) -> None:
    for call in (
        lambda: gases.compressibility("n2", bad, 1e5),
        lambda: gases.vapour_pressure_pa("n2o", bad),
        lambda: gases.saturated_densities_kg_m3("co2", bad),
        lambda: beside.mg_m3_from_ppm("n2o", 25.0, bad),
    ):
        with pytest.raises(OutOfRange, match="temperature_c is"):
            call()


def test_no_vapour_pressure_where_there_is_no_liquid() -> None:
    with pytest.raises(OutOfRange, match=r"temperature_c is 37 C.*n2o"):
        gases.vapour_pressure_pa("n2o", 37.0)
    with pytest.raises(BadInput, match="n2 has no vapour pressure"):
        gases.vapour_pressure_pa("n2", 20.0)
    with pytest.raises(BadInput, match="he is no liquid"):
        gases.saturated_densities_kg_m3("he", 20.0)
    with pytest.raises(BadInput, match="co2 is a solid"):
        beside.gas_per_boiling_liquid("co2")


def test_unknown_gas_names_the_known() -> None:
    with pytest.raises(UnknownIngredient, match="'xenon' is not a gas here; known are n2o"):
        gases.compressibility("xenon", 20.0, 1e5)


@given(low=st.floats(-500.0, 8000.0), step=st.floats(1.0, 1000.0))
def test_air_thins_with_altitude(low: float, step: float) -> None:
    assert gases.ambient_pressure_pa(low + step) < gases.ambient_pressure_pa(low)


def test_ambient_pressure_at_the_sea_and_out_of_range() -> None:
    assert gases.ambient_pressure_pa(0.0) == 101325.0
    with pytest.raises(OutOfRange, match="altitude_m is 10000 m"):
        gases.ambient_pressure_pa(10000.0)
