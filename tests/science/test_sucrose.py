"""Sucrose: properties, round trips, ranges, and tables that the fits did not see."""

from __future__ import annotations

from collections.abc import Callable
from math import exp, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from science import beside

from prepkit.errors import OutOfRange
from prepkit.science import sucrose, water

FRACTIONS = st.floats(0.0, 0.85)
TEMPERATURES = st.floats(0.0, 80.0)


@given(FRACTIONS, TEMPERATURES)
def test_density_round_trip(w: float, t: float) -> None:
    assert sucrose.mass_fraction_from_density(sucrose.density_kg_m3(w, t), t) == pytest.approx(
        w, abs=1e-8
    )


@given(FRACTIONS, TEMPERATURES)
def test_index_round_trip(w: float, t: float) -> None:
    index = sucrose.refractive_index(w, t)
    assert sucrose.mass_fraction_from_refractive_index(index, t) == pytest.approx(w, abs=1e-7)


@given(st.floats(0.0, 0.84), TEMPERATURES)
def test_more_sugar_is_denser_and_bends_light_more(w: float, t: float) -> None:
    assert sucrose.density_kg_m3(w + 0.01, t) > sucrose.density_kg_m3(w, t)
    assert sucrose.refractive_index(w + 0.01, t) > sucrose.refractive_index(w, t)


@given(st.floats(0.0, 0.69))
def test_more_sugar_is_drier_colder_thicker(w: float) -> None:
    assert sucrose.water_activity(w + 0.01) < sucrose.water_activity(w)
    assert sucrose.viscosity_pa_s(w + 0.01, 20.0) > sucrose.viscosity_pa_s(w, 20.0)
    assert sucrose.specific_heat_j_kg_k(w + 0.01, 20.0) < sucrose.specific_heat_j_kg_k(w, 20.0)


@given(st.floats(0.0, 0.61))
def test_freezing_point_falls_all_the_way(w: float) -> None:
    # also across the join of the fit and the ice equation at 2.1 mol/kg
    assert sucrose.freezing_point_c(w + 0.005) < sucrose.freezing_point_c(w)


def test_water_is_the_zero_of_everything() -> None:
    assert sucrose.density_kg_m3(0.0, 37.0) == water.density_kg_m3(37.0)
    assert sucrose.refractive_index(0.0, 37.0) == pytest.approx(
        water.refractive_index(37.0), abs=1e-9
    )
    assert sucrose.water_activity(0.0) == 1.0
    assert sucrose.freezing_point_c(0.0) == 0.0


@pytest.mark.parametrize("reading", [1, 10, 20, 30, 40, 50, 60, 70])
@pytest.mark.parametrize("t", [10.0, 15.0, 25.0, 30.0, 35.0])
def test_index_by_temperature_agrees_with_the_reading_correction(reading: float, t: float) -> None:
    # two ways to the same number: Lorentz-Lorenz at t, and the correction of a 20 C scale
    index = sucrose.refractive_index(reading / 100, 20.0)
    there = 100 * sucrose.mass_fraction_from_refractive_index(index, t)
    assert sucrose.brix_at_20_c(reading, t) == pytest.approx(there, abs=0.02)


@pytest.mark.parametrize(
    ("percent", "table"),
    [(0.5, 998.2 + 1.9), (2, 1006.0), (8, 1029.9), (15, 1059.2), (26, 1108.2), (30, 1127.0)],
)
def test_density_between_the_published_rows(percent: float, table: float) -> None:
    # CRC Handbook, 20 C (read: 15, 26 and 30 %; the dilute ones from its linear start, wide)
    width = 0.15 if percent >= 15 else 0.4
    assert sucrose.density_kg_m3(percent / 100, 20.0) == pytest.approx(table, abs=width)


@pytest.mark.parametrize(
    ("percent", "depression"), [(10, 0.63), (20, 1.47), (30, 2.64), (40, 4.45)]
)
def test_water_activity_meets_ice(percent: float, depression: float) -> None:
    # CRC Handbook freezing points (read) turned into the activity of ice
    ice = exp(-(9.6918e-3 * depression + 4.955e-6 * depression**2))
    assert sucrose.water_activity(percent / 100) == pytest.approx(ice, abs=0.0015)


@given(st.floats(-5.0, 100.0))
def test_saturation_temperature_round_trip(t: float) -> None:
    w = sucrose.solubility_mass_fraction(t)
    assert beside.saturation_temperature_c(w) == pytest.approx(t, abs=1e-5)


def test_a_warm_sample_reads_low_and_a_cold_one_high() -> None:
    assert sucrose.brix_at_20_c(30.0, 25.0) > 30.0 > sucrose.brix_at_20_c(30.0, 15.0)
    assert sucrose.brix_at_20_c(30.0, 20.0) == 30.0


RANGES: list[tuple[Callable[..., float], tuple[float, ...], str, float, float]] = [
    (sucrose.density_kg_m3, (0.851, 20.0), "mass_fraction", 0.0, 0.85),
    (sucrose.density_kg_m3, (0.5, 80.1), "temperature_c", 0.0, 80.0),
    (sucrose.density_kg_m3, (nan, 20.0), "mass_fraction", 0.0, 0.85),
    (sucrose.refractive_index, (-0.01, 20.0), "mass_fraction", 0.0, 0.85),
    (sucrose.brix_at_20_c, (75.1, 20.0), "reading_brix", 0.0, 75.0),
    (sucrose.brix_at_20_c, (20.0, 4.9), "temperature_c", 5.0, 40.0),
    (sucrose.brix_at_20_c, (20.0, 40.1), "temperature_c", 5.0, 40.0),
    (sucrose.solubility_mass_fraction, (101.0,), "temperature_c", -13.0, 100.0),
    (sucrose.water_activity, (0.71,), "mass_fraction", 0.0, 0.70),
    (sucrose.freezing_point_c, (0.63,), "mass_fraction", 0.0, 0.625),
    (sucrose.viscosity_pa_s, (0.76, 20.0), "mass_fraction", 0.0, 0.75),
    (sucrose.viscosity_pa_s, (0.5, -1.0), "temperature_c", 0.0, 80.0),
    (sucrose.specific_heat_j_kg_k, (0.5, 81.0), "temperature_c", 0.0, 80.0),
]


@pytest.mark.parametrize(("function", "arguments", "name", "low", "high"), RANGES)
def test_out_of_range(
    function: Callable[..., float],
    arguments: tuple[float, ...],
    name: str,
    low: float,
    high: float,
) -> None:
    with pytest.raises(OutOfRange) as caught:
        function(*arguments)
    assert (caught.value.argument, caught.value.low, caught.value.high) == (name, low, high)
    assert caught.value.source


@pytest.mark.parametrize("density", [997.0, 1450.0, nan])
def test_density_off_the_scale(density: float) -> None:
    with pytest.raises(OutOfRange, match="density_kg_m3"):
        sucrose.mass_fraction_from_density(density, 20.0)


@pytest.mark.parametrize("index", [1.33, 1.55, nan])
def test_index_off_the_scale(index: float) -> None:
    with pytest.raises(OutOfRange, match="index"):
        sucrose.mass_fraction_from_refractive_index(index, 20.0)


def test_rich_two_to_one_is_saturated_at_room_and_over_in_the_fridge() -> None:
    w = 2 / 3
    assert w == pytest.approx(sucrose.solubility_mass_fraction(20.0), abs=0.001)
    assert w > sucrose.solubility_mass_fraction(4.0) > 0.64
