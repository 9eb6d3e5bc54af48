"""The bulb before it is pierced, against CoolProp at mass over volume."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from science import beside

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import gases

FLUIDS = {"n2o": "NitrousOxide", "co2": "CO2", "n2": "Nitrogen"}


@pytest.mark.parametrize(
    ("gas", "filling"),
    [
        ("n2o", 727.3),
        ("n2o", 750.0),
        ("n2o", 780.0),
        ("n2o", 800.0),
        ("co2", 800.0),
        ("n2", 200.0),
        ("n2", 215.0),
        ("n2", 240.0),
    ],
)
def test_bulb_pressure_against_coolprop(gas: str, filling: float) -> None:
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    for t in (6.0, 12.0, 17.0, 20.0, 25.0, 30.0, 36.0, 40.0, 45.0, 50.0, 60.0, 65.0):
        there = props("P", "T", t + 273.15, "D", filling, FLUIDS[gas])
        here = gases.charger_pressure_pa(gas, t, filling)
        assert abs(here - there) < max(0.02 * there, 6e5), (t, here / 1e5, there / 1e5)


def test_liquid_full_temperatures_of_the_reference_table() -> None:
    """8 g of N2O in 10.0, 10.67, 11.0 cm3: 18, 24, about 27 C; CO2 in 10.0 cm3: 17 C."""
    assert gases.liquid_full_from_c("n2o", 800.0) == pytest.approx(18.0, abs=0.5)
    assert gases.liquid_full_from_c("n2o", 750.0) == pytest.approx(24.0, abs=0.6)
    assert gases.liquid_full_from_c("n2o", 8e3 / 11.0) == pytest.approx(27.0, abs=1.0)
    assert gases.liquid_full_from_c("co2", 800.0) == pytest.approx(17.0, abs=0.7)


@given(
    gas=st.sampled_from(["n2o", "co2", "n2"]),
    t=st.floats(5.0, 64.0),
    share=st.floats(0.0, 1.0),
)
def test_a_warmer_bulb_never_shows_less(gas: str, t: float, share: float) -> None:
    low, high = gases.TABLE_BAR[gas][0][0], gases.TABLE_BAR[gas][-1][0]
    filling = low + share * (high - low)
    here = gases.charger_pressure_pa(gas, t, filling)
    assert gases.charger_pressure_pa(gas, t + 1.0, filling) > here


@given(t=st.floats(5.0, 65.0), share=st.floats(0.0, 0.95))
def test_a_fuller_bulb_never_shows_less(t: float, share: float) -> None:
    for gas in ("n2o", "n2"):
        low, high = gases.TABLE_BAR[gas][0][0], gases.TABLE_BAR[gas][-1][0]
        here = gases.charger_pressure_pa(gas, t, low + share * (high - low))
        fuller = gases.charger_pressure_pa(gas, t, low + (share + 0.05) * (high - low))
        assert fuller >= here * (1.0 - 1e-9)


def test_nothing_is_guessed_outside_the_table() -> None:
    with pytest.raises(OutOfRange, match="filling is 300 kg/m3"):
        gases.charger_pressure_pa("n2", 20.0, 300.0)
    with pytest.raises(OutOfRange, match="temperature_c is 80 C"):
        gases.charger_pressure_pa("n2o", 80.0, 800.0)
    with pytest.raises(OutOfRange, match="filling is 850 kg/m3"):
        gases.charger_pressure_pa("n2o", 40.0, 850.0)
    with pytest.raises(OutOfRange, match="filling is 1 kg/m3"):
        gases.charger_pressure_pa("n2o", 20.0, 1.0)
    with pytest.raises(BadInput, match="no charger bulbs of he"):
        gases.charger_pressure_pa("he", 20.0, 10.0)
    with pytest.raises(BadInput, match="n2 is no liquid in a charger"):
        gases.liquid_full_from_c("n2", 200.0)


def test_most_filling_is_the_cold_liquid() -> None:
    for gas in ("n2o", "co2"):
        assert gases.most_filling_kg_m3(gas) == gases.saturated_densities_kg_m3(gas, 0.0)[0]
    assert beside.filling_kg_m3(0.008, 10e-6) == pytest.approx(800.0)
