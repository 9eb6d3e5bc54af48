"""Clouds: what they come to, and that no argument makes a breath look better than it is."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import OutOfRange
from prepkit.science import cloud


@given(st.floats(0.0, 100.0), st.floats(0.1, 1e5), st.floats(0.0, 0.5))
def test_smoke_by_fuel_and_space(fuel: float, space: float, emission: float) -> None:
    one = cloud.carbon_monoxide_ppm(fuel, space, emission)
    assert 0.0 <= one <= 1e6
    assert cloud.carbon_monoxide_ppm(fuel, 2 * space, emission) <= one + 1e-9
    assert cloud.carbon_monoxide_ppm(fuel, space, emission / 2) <= one + 1e-9


@given(st.floats(0.0, 1.0))
def test_ethanol_in_air_both_ways(fraction: float) -> None:
    assert cloud.ethanol_fraction(cloud.ethanol_g_m3(fraction)) == pytest.approx(fraction)


@given(st.floats(0.0, 7.0), st.floats(0.0, 0.9), st.floats(0.6, 8.0))
def test_each_breath_of_gas_leaves_less(gas: float, more: float, before: float) -> None:
    first = cloud.lung_oxygen(gas, before)
    assert first <= cloud.LUNG_OXYGEN
    assert cloud.lung_oxygen(gas + more, before) <= first + 1e-12
    assert cloud.lung_oxygen(more, before, first) <= first + 1e-12


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="space_l"):
        cloud.carbon_monoxide_ppm(0.5, 0.0)
    with pytest.raises(OutOfRange, match="emission"):
        cloud.carbon_monoxide_ppm(0.5, 1.0, 100.0)  # grams for a share
    with pytest.raises(OutOfRange, match="gas_l"):
        cloud.lung_oxygen(500.0, 2.4)  # millilitres for litres
    with pytest.raises(OutOfRange, match="fraction"):
        cloud.ethanol_g_m3(3.1)
