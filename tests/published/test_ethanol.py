"""Ethanol and water against published values."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil

import pytest
from science import beside

from prepkit.science import ethanol, keeping, solution, water
from published.rows import Row, load

ROWS = load("ethanol")
WATER_4_KG_M3 = 999.972  # what the handbook's relative densities are counted in
WATER_20 = ethanol.density_kg_m3(0.0, 20.0)


def _g_cm3(percent: float, temperature_c: float = 20.0) -> Callable[[], float]:
    return lambda: ethanol.density_kg_m3(percent / 100, temperature_c) / 1000


def _relative(percent: float, temperature_c: float) -> Callable[[], float]:
    return lambda: ethanol.density_kg_m3(percent / 100, temperature_c) / WATER_4_KG_M3


def _at_abv(percent: float) -> Callable[[], float]:
    return lambda: ethanol.density_kg_m3(ethanol.mass_fraction_from_abv(percent / 100), 20.0)


def _mass_percent(abv_percent: float) -> Callable[[], float]:
    return lambda: 100 * ethanol.mass_fraction_from_abv(abv_percent / 100)


def _mass_percent_60f(percent: float) -> Callable[[], float]:
    return lambda: 100 * ethanol.mass_fraction_from_us_proof(2 * percent)


def _mixed_volume_ml(ethanol_ml: float, water_ml: float) -> float:
    spirit = ethanol_ml * ethanol.PURE_KG_M3
    total = spirit + water_ml * WATER_20
    return total / ethanol.density_kg_m3(spirit / total, 20.0)


def _contraction() -> float:
    p = 0.466
    apart = p / ethanol.PURE_KG_M3 + (1 - p) / WATER_20
    return 100 * (1 - 1 / ethanol.density_kg_m3(p, 20.0) / apart)


def _water_g(from_percent: float, to_percent: float) -> float:
    """Grams of water for 1000 mL at 20 C."""
    p1 = ethanol.mass_fraction_from_abv(from_percent / 100)
    p2 = ethanol.mass_fraction_from_abv(to_percent / 100)
    grams = ethanol.density_kg_m3(p1, 20.0)
    return grams * p1 / p2 - grams


def _pounds_rounded_up(gallons: float, us_proof: float) -> float:
    return ceil(16 * gallons * beside.pounds_per_gallon(us_proof)) / 16


def _apparent(sugar_g_l: float) -> float:
    """What an alcoholometer shows in 40 % vol with sugar dissolved in it."""
    spirit_g = 0.40 * ethanol.PURE_KG_M3
    density = 950.0
    for _ in range(60):
        density = solution.density_kg_m3(
            {"sucrose": sugar_g_l / density, "ethanol": spirit_g / density}
        )
    return 100 * ethanol.abv_from_mass_fraction(ethanol.mass_fraction_from_density(density, 20.0))


def _heat(percent: float, temperature_c: float) -> Callable[[], float]:
    return lambda: ethanol.specific_heat_j_kg_k(percent / 100, temperature_c) / 1000


def _shortfall() -> float:
    grid = [
        ethanol.specific_heat_j_kg_k(p / 100, t) / 1000
        for p in range(5, 26)
        for t in range(0, 41, 5)
    ]
    return max(0.0, 4.2 - min(grid))


def _freezing(percent: float) -> Callable[[], float]:
    return lambda: ethanol.freezing_point_c(percent / 100)


CHECKS: dict[str, Callable[[], float]] = {
    "SPH-001": _g_cm3(10),
    "SPH-002": _g_cm3(20),
    "SPH-003": _g_cm3(40),
    "SPH-004": _g_cm3(50),
    "SPH-005": _g_cm3(92),
    "SPH-006": _relative(30, 10.0),
    "SPH-007": _relative(50, 25.0),
    "SPH-008": _relative(80, 30.0),
    "SPH-009": _at_abv(40),
    "SPH-010": _at_abv(10),
    "SPH-011": lambda: ethanol.density_kg_m3(1.0, 40.0),
    "SPH-012": _mass_percent(40),
    "SPH-013": lambda: 100 * 0.40 * ethanol.PURE_KG_M3 / 1000,
    "SPH-014": _mass_percent_60f(20),
    "SPH-015": _mass_percent_60f(30),
    "SPH-016": lambda: 50 * ethanol.us_proof_from_abv(ethanol.abv_from_mass_fraction(0.10)) / 100,
    "SPH-017": lambda: ethanol.specific_gravity_in_air(20.0),
    "SPH-018": lambda: ethanol.us_proof_from_abv(0.40) / 2,
    "SPH-019": _mass_percent(96),
    "SPH-020": lambda: beside.pounds_of_water_to_reduce(1000.0, 200.0, 190.0),
    "SPH-021": lambda: beside.proof_gallons_per_pound(190.0),
    "SPH-022": lambda: ethanol.water_to_reduce_per_100(112.0, 100.0),
    "SPH-023": lambda: ethanol.water_parts(100.0),
    "SPH-024": lambda: ethanol.water_parts(112.0),
    "SPH-025": lambda: _pounds_rounded_up(10, 190.0),
    "SPH-026": lambda: _pounds_rounded_up(1, 200.0),
    "SPH-027": lambda: ethanol.obscuration_proof(500.0),
    "SPH-028": lambda: ethanol.obscuration_proof(100.0),
    "SPH-029": lambda: _mixed_volume_ml(50, 50),
    "SPH-030": _contraction,
    "SPH-031a": lambda: _water_g(96, 40),
    "SPH-031b": lambda: _water_g(96, 40) / water.density_kg_m3(20.0) * 1000,
    "SPH-032": lambda: _water_g(60, 40),
    "SPH-033": lambda: solution.OIV_FACTOR,
    "SPH-034a": lambda: solution.relative_density_without_alcohol(1030.0, 0.12),
    "SPH-034b": lambda: solution.extract_g_l(1030.0, 0.12),
    "SPH-035": lambda: solution.extract_g_l(1080.0, 0.25),
    "SPH-036": lambda: 100 * ethanol.abv_from_alcoholometer(0.40, 25.0),
    "SPH-037": lambda: 100 * ethanol.abv_from_alcoholometer(0.40, 10.0),
    "SPH-038": lambda: _apparent(10),
    "SPH-039": lambda: _apparent(100),
    "SPH-040": _heat(10, 23.0),
    "SPH-041": _heat(60, 3.0),
    "SPH-042": _heat(30, 20.0),
    "SPH-043": _shortfall,
    "SPH-044": _freezing(10),
    "SPH-045": _freezing(20),
    "SPH-046": _freezing(40),
    "SPH-047": lambda: keeping.of_mixture_c({"sucrose": 0.2, "water": 0.8}),
    "SPH-048": lambda: ethanol.freezing_point_c(ethanol.mass_fraction_from_abv(0.40)),
    "SPH-067": lambda: ethanol.flash_point_c(0.40),
    "SPH-091": lambda: 100 * ethanol.TRANSPORT_EXEMPT_ABV,
    "SPH-092": lambda: ethanol.flash_point_c(0.24),
}
EXCLUDED: dict[str, str] = {}


@pytest.mark.parametrize("row", [r for r in ROWS if r.id in CHECKS], ids=lambda row: row.id)
def test_published(row: Row) -> None:
    assert abs(CHECKS[row.id]() - row.value) <= row.tolerance, (row.quantity, row.conditions)


def test_every_row_is_checked_or_excluded() -> None:
    ids = [row.id for row in ROWS]
    assert len(ids) == len(set(ids))
    assert set(CHECKS) | set(EXCLUDED) == set(ids)
    assert not set(CHECKS) & set(EXCLUDED)
