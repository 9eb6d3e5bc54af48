"""Ethanol and water: properties, round trips, ranges, independent libraries."""

from __future__ import annotations

from collections.abc import Callable
from math import nan

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from prepkit.errors import OutOfRange
from prepkit.science import ethanol

CoolProp = pytest.importorskip("CoolProp.CoolProp")
FRACTIONS = st.floats(0.0, 1.0)


@given(FRACTIONS)
def test_strength_round_trip(p: float) -> None:
    abv = ethanol.abv_from_mass_fraction(p)
    assert 0.0 <= abv <= 1.0
    assert ethanol.mass_fraction_from_abv(abv) == pytest.approx(p, abs=1e-9)


@given(FRACTIONS)
def test_strength_by_volume_is_above_strength_by_mass(p: float) -> None:
    assert ethanol.abv_from_mass_fraction(p) >= p * (1 - 1e-12)


@given(FRACTIONS, st.floats(5.0, 40.0))
def test_density_round_trip(p: float, t: float) -> None:
    density = ethanol.density_kg_m3(p, t)
    assume(density <= ethanol.density_kg_m3(0.0, t))
    assert ethanol.mass_fraction_from_density(density, t) == pytest.approx(p, abs=2e-6)


@given(st.floats(0.0, 0.99), st.floats(5.0, 40.0))
def test_more_ethanol_is_lighter(p: float, t: float) -> None:
    assert ethanol.density_kg_m3(p + 0.01, t) < ethanol.density_kg_m3(p, t)


@given(st.floats(0.0, 200.0))
def test_proof_round_trip(proof: float) -> None:
    assert ethanol.us_proof_from_abv(ethanol.abv_from_us_proof(proof)) == pytest.approx(
        proof, abs=1e-6
    )


@given(st.floats(0.0, 0.59))
def test_freezing_point_falls(p: float) -> None:
    assert ethanol.freezing_point_c(p + 0.005) < ethanol.freezing_point_c(p)


@given(st.floats(0.05, 0.99))
def test_flash_point_falls_with_strength(abv: float) -> None:
    assert ethanol.flash_point_c(abv + 0.01) < ethanol.flash_point_c(abv)


@pytest.mark.parametrize("percent", [5, 10, 20, 30, 40, 50, 60])
@pytest.mark.parametrize("temperature_c", [0, 20, 40])
def test_density_meets_melinder(percent: float, temperature_c: float) -> None:
    # CoolProp, Melinder 2010: a set of data apart from OIML R 22
    there = CoolProp.PropsSI(
        "D", "T", temperature_c + 273.15, "P", 101325, f"INCOMP::MEA[{percent / 100}]"
    )
    assert ethanol.density_kg_m3(percent / 100, temperature_c) == pytest.approx(there, abs=1.0)


@pytest.mark.parametrize("percent", [5, 10, 15, 25, 30, 40, 50, 60])
@pytest.mark.parametrize("temperature_c", [0, 20, 40])
def test_specific_heat_meets_melinder(percent: float, temperature_c: float) -> None:
    there = CoolProp.PropsSI(
        "C", "T", temperature_c + 273.15, "P", 101325, f"INCOMP::MEA[{percent / 100}]"
    )
    assert ethanol.specific_heat_j_kg_k(percent / 100, temperature_c) == pytest.approx(
        there, rel=0.02
    )


@pytest.mark.parametrize("percent", [10, 20, 30, 40])
def test_freezing_point_meets_melinder(percent: float) -> None:
    there = CoolProp.PropsSI("T_freeze", "T", 280, "P", 101325, f"INCOMP::MEA[{percent / 100}]")
    assert ethanol.freezing_point_c(percent / 100) == pytest.approx(there - 273.15, abs=0.8)


def test_a_linear_mix_of_heats_is_wrong() -> None:
    # 15 % by mass holds more heat than water, not less
    assert ethanol.specific_heat_j_kg_k(0.15, 20.0) > ethanol.specific_heat_j_kg_k(0.0, 20.0)


@given(st.floats(1.0, 200.0))
def test_water_parts_exceed_the_gap(proof: float) -> None:
    # contraction: water and alcohol by volume add to more than the whole
    assert ethanol.water_parts(proof) >= 100.0 - proof / 2.0 - 1e-9


def test_alcoholometer_at_its_own_temperature_is_right() -> None:
    assert ethanol.abv_from_alcoholometer(0.40, 20.0) == pytest.approx(0.40, abs=1e-8)


@given(st.floats(0.05, 0.95), st.floats(6.0, 39.0))
def test_warm_spirit_reads_high(reading: float, t: float) -> None:
    truth = ethanol.abv_from_alcoholometer(reading, t)
    assert (truth < reading) == (t > 20.0) or abs(t - 20.0) < 1e-6


RANGES: list[tuple[Callable[..., float], tuple[float, ...], str, float | None, float | None]] = [
    (ethanol.density_kg_m3, (1.01, 20.0), "mass_fraction", 0.0, 1.0),
    (ethanol.density_kg_m3, (0.4, 40.5), "temperature_c", -20.0, 40.0),
    (ethanol.density_kg_m3, (0.4, -20.5), "temperature_c", -20.0, 40.0),
    (ethanol.density_kg_m3, (0.4, nan), "temperature_c", -20.0, 40.0),
    (ethanol.mass_fraction_from_density, (990.0, 3.0), "temperature_c", 4.0, 40.0),
    (ethanol.mass_fraction_from_abv, (40.0,), "abv", 0.0, 1.0),
    (ethanol.us_proof_from_abv, (80.0,), "abv", 0.0, 1.0),
    (ethanol.abv_from_us_proof, (201.0,), "us_proof", 0.0, 200.0),
    (ethanol.specific_heat_j_kg_k, (0.4, 42.0), "temperature_c", -10.0, 41.0),
    (ethanol.freezing_point_c, (0.61,), "mass_fraction", 0.0, 0.60),
    (ethanol.flash_point_c, (0.04,), "abv", 0.05, 1.0),
    (ethanol.obscuration_proof, (601.0,), "solids_mg_100_ml", 0.0, 600.0),
]


@pytest.mark.parametrize(("function", "arguments", "name", "low", "high"), RANGES)
def test_out_of_range(
    function: Callable[..., float],
    arguments: tuple[float, ...],
    name: str,
    low: float | None,
    high: float | None,
) -> None:
    with pytest.raises(OutOfRange) as caught:
        function(*arguments)
    assert (caught.value.argument, caught.value.low, caught.value.high) == (name, low, high)


@pytest.mark.parametrize("density", [700.0, 1005.0])
def test_a_density_that_is_no_spirit_is_refused(density: float) -> None:
    with pytest.raises(OutOfRange, match="density_kg_m3"):
        ethanol.mass_fraction_from_density(density, 20.0)
