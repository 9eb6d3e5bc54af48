"""Water against independent libraries."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from prepkit.errors import OutOfRange
from prepkit.science import ethanol, water

CoolProp = pytest.importorskip("CoolProp.CoolProp")
refractivity = pytest.importorskip("chemicals.refractivity")


@pytest.mark.parametrize("temperature_c", [0.1, 4, 10, 20, 35, 50, 65, 80, 99])
def test_density_meets_iapws_95(temperature_c: float) -> None:
    # CoolProp, IAPWS-95 at 1 atm
    there = CoolProp.PropsSI("D", "T", temperature_c + 273.15, "P", 101325, "Water")
    assert water.density_kg_m3(temperature_c) == pytest.approx(there, abs=0.01)


@pytest.mark.parametrize("temperature_c", [0.1, 5, 20, 37, 60, 85, 99])
def test_specific_heat_meets_iapws_95(temperature_c: float) -> None:
    # CoolProp, IAPWS-95 at 1 atm
    there = CoolProp.PropsSI("C", "T", temperature_c + 273.15, "P", 101325, "Water")
    assert water.specific_heat_j_kg_k(temperature_c) == pytest.approx(there, abs=1.0)


@pytest.mark.parametrize("temperature_c", [0, 10, 20, 30, 50, 80])
def test_refractive_index_meets_iapws_1997(temperature_c: float) -> None:
    # library chemicals, IAPWS 1997 at 589.3 nm in vacuum; air 1.000272
    density = water.density_kg_m3(temperature_c)
    there = refractivity.RI_IAPWS(temperature_c + 273.15, density, 5.893e-7) / 1.000272
    assert water.refractive_index(temperature_c) == pytest.approx(there, abs=1e-5)


@pytest.mark.parametrize("temperature_c", range(0, 41, 4))
def test_two_water_equations_agree(temperature_c: float) -> None:
    # SPS-4 against OIML R 22 at no ethanol
    there = ethanol.density_kg_m3(0.0, temperature_c)
    assert water.density_kg_m3(temperature_c) == pytest.approx(there, abs=0.006)


@pytest.mark.parametrize(
    "function", [water.density_kg_m3, water.specific_heat_j_kg_k, water.refractive_index]
)
@pytest.mark.parametrize("bad", [-0.1, 100.1, float("nan"), float("inf")])
def test_out_of_range_names_the_argument(function: Callable[[float], float], bad: float) -> None:
    with pytest.raises(OutOfRange, match=r"temperature_c is .* C; it must be between 0 and \d+ C"):
        function(bad)
