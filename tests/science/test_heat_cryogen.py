"""Cryogens: the range, its direction, and the gas."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import OutOfRange, UnknownIngredient
from prepkit.science.heat import (
    CRYOGENS,
    dry_ice_left_kg,
    gas_heat_j_kg,
    gas_m3,
    heat_to_remove_j,
    known,
    litres_of_liquid,
    needed_range_kg,
)

NAMES = st.sampled_from(sorted(CRYOGENS))


@given(NAMES, st.floats(0.0, 1e6), st.floats(-40.0, 20.0))
def test_range_is_ordered_and_linear(name: str, heat: float, end_c: float) -> None:
    low, high = needed_range_kg(name, heat, end_c)
    assert 0.0 <= low <= high
    double = needed_range_kg(name, 2 * heat, end_c)
    assert double == (pytest.approx(2 * low), pytest.approx(2 * high))


@given(st.floats(-20.0, 15.0), st.floats(0.0, 5.0))
def test_colder_end_needs_more(end_c: float, less: float) -> None:
    for name in CRYOGENS:
        warm, cold = (
            needed_range_kg(name, heat_to_remove_j(1.0, 4000.0, 20.0, t), t)
            for t in (end_c, end_c - less)
        )
        assert cold[0] >= warm[0]
        assert cold[1] >= warm[1]


def test_nitrogen_gas_heat_against_coolprop() -> None:
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    boils = coolprop.PropsSI("T", "P", 101325, "Q", 1, "Nitrogen")
    vapour = coolprop.PropsSI("H", "P", 101325, "Q", 1, "Nitrogen")
    liquid = coolprop.PropsSI("H", "P", 101325, "Q", 0, "Nitrogen")
    assert boils - 273.15 == pytest.approx(known("liquid nitrogen").at_c, abs=0.01)
    assert vapour - liquid == pytest.approx(199180, rel=1e-3)
    for end_c in (-40.0, 0.0, 20.0):
        gas = coolprop.PropsSI("H", "P", 101325, "T", end_c + 273.15, "Nitrogen")
        assert gas_heat_j_kg("liquid nitrogen", end_c) == pytest.approx(gas - vapour, rel=0.01)


def test_dry_ice_gas_heat_against_coolprop() -> None:
    coolprop = pytest.importorskip("CoolProp.CoolProp")
    for end_c in (-20.0, 4.0, 20.0):
        warm, cold = (
            coolprop.PropsSI("H", "P", 101325, "T", at + 273.15, "CO2") for at in (end_c, -50.0)
        )
        ours = gas_heat_j_kg("dry ice", end_c) - gas_heat_j_kg("dry ice", -50.0)
        assert ours == pytest.approx(warm - cold, rel=0.05)


def test_gas_is_on_the_safe_side_of_the_printed_ratios() -> None:
    litre = 0.8061
    for at_c in (0.0, 10.0, 20.0, 30.0):
        assert gas_m3("liquid nitrogen", litre, at_c) >= 0.700 - 1e-12
    assert gas_m3("dry ice", 10.0) == pytest.approx(5.4, abs=0.1)  # YORK-DRY-ICE
    assert litres_of_liquid(litre) == pytest.approx(1.0)


def test_refusals() -> None:
    with pytest.raises(UnknownIngredient, match="dry ice"):
        needed_range_kg("freon", 1.0, 0.0)
    with pytest.raises(OutOfRange, match="end_c"):
        heat_to_remove_j(1.0, 4000.0, 5.0, 10.0)
    with pytest.raises(OutOfRange, match="ice_kg"):
        heat_to_remove_j(1.0, 4000.0, 5.0, -5.0, 2.0)
    least, most = dry_ice_left_kg(5.0, 100.0)
    assert (least, most) == (0.0, pytest.approx(0.0))
