"""Foam, cream and food properties against published values."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from science import beside

from prepkit import jurisdictions
from prepkit.science import foam, food, gases, water
from prepkit.science.solvers import bracketed
from published.rows import Row, load

ROWS = load("foam")

LAMB = {"water": 0.7342, "protein": 0.2029, "fat": 0.0525, "ash": 0.0106}
# USDA-SR28 01053, 01054, 09156
HEAVY_CREAM = {
    "water": 0.5781, "protein": 0.0284, "fat": 0.3608, "carbohydrate": 0.0274, "ash": 0.0053,
}  # fmt: skip
DISPENSED_CREAM = {
    "water": 0.6133, "protein": 0.0320, "fat": 0.2222, "carbohydrate": 0.1249, "ash": 0.0076,
}  # fmt: skip
LEMON_PEEL = {
    "water": 0.8160, "protein": 0.0150, "fat": 0.0030, "carbohydrate": 0.1600 - 0.106,
    "fibre": 0.106, "ash": 0.0060,
}  # fmt: skip
CUP_M3 = 236.588e-6
ATM = 101325.0
SOLIDS = ("protein", "fat", "carbohydrate", "fibre", "ash")


def _gas(gas: str) -> float:
    return gases.molar_density_mol_m3(gas, 20.0, ATM) * gases.molar_mass_kg_mol(gas)


def _floats(gas_kg_m3: float, air_kg_m3: float | None = None) -> float:
    air = _gas("air") if air_kg_m3 is None else air_kg_m3
    return foam.largest_liquid_fraction_that_floats(air, gas_kg_m3, water.density_kg_m3(20.0))


def _moist() -> float:
    helium = water.moist_gas_density_kg_m3(gases.molar_mass_kg_mol("he"), 20.0, ATM, 1.0)
    return _floats(helium, water.air_density_kg_m3(20.0, ATM, 0.5))


def _sign(value: float) -> float:
    return 1.0 if value > 0 else -1.0


def _component(call: Callable[[str, float], float], name: str, scale: float) -> Callable[[], float]:
    return lambda: scale * call(name, 20.0)


def _food_limit(name: str) -> Callable[[], float]:
    return lambda: float(jurisdictions.find(name).value)


def _same_as_hot_water() -> float:
    hot = water.density_kg_m3(60.0)
    return bracketed(lambda t: food.cream_density_kg_m3(0.36, 0.056, t) - hot, 5.0, 39.0)


def _over(density_kg_m3: float, hot_c: float) -> float:
    return 100 * foam.minimum_overrun_to_float(density_kg_m3, water.density_kg_m3(hot_c))


CHECKS: dict[str, Callable[[], float]] = {
    "FOM-01": lambda: food.specific_heat_j_kg_k(LAMB, 5.0) / 1000,
    "FOM-02": lambda: 150.0 * food.specific_heat_j_kg_k(LAMB, 5.0) / 1000 * 10.0,
    **{
        f"FOM-03{letter}": _component(food.component_density_kg_m3, name, 1.0)
        for letter, name in zip("abcde", SOLIDS, strict=True)
    },
    **{
        f"FOM-04{letter}": _component(food.component_specific_heat_j_kg_k, name, 1e-3)
        for letter, name in zip("abcde", SOLIDS, strict=True)
    },
    "FOM-05": lambda: food.specific_heat_j_kg_k(HEAVY_CREAM, 5.0) / 1000,
    "FOM-06": lambda: food.density_kg_m3(LEMON_PEEL, 20.0),
    "FOM-07": lambda: food.cold_density_kg_m3(0.36),
    "FOM-08": lambda: food.cold_density_kg_m3(0.30),
    "FOM-09": lambda: food.cream_density_kg_m3(0.3608, 0.0611, 10.0),
    "FOM-10": lambda: 100 * foam.overrun_from_weighing(0.238, 0.120),
    "FOM-11": lambda: foam.density_kg_m3(
        foam.liquid_fraction(foam.overrun_from_weighing(0.238, 0.120)),
        food.cream_density_kg_m3(0.3608, 0.0611, 10.0),
    ),
    "FOM-12": lambda: (
        100 * foam.overrun_from_weighing(food.density_kg_m3(DISPENSED_CREAM, 5.0) * CUP_M3, 0.060)
    ),
    "FOM-13": lambda: foam.gas_fraction(3.10),
    "FOM-14": lambda: _over(food.cold_density_kg_m3(0.36), 60.0),
    "FOM-15": lambda: _over(food.cold_density_kg_m3(0.36), 80.0),
    "FOM-16": lambda: 100 * beside.cold_fat_at_density(1000.0),
    "FOM-17": lambda: _floats(_gas("he")),
    "FOM-18": _moist,
    "FOM-19": lambda: _floats(_gas("n2")),
    "FOM-20a": lambda: _sign(_floats(_gas("n2o"))),
    "FOM-20b": lambda: _sign(_floats(_gas("co2"))),
    "FOM-21": lambda: 1e3 * foam.smallest_bubble_m(1e-6, _floats(_gas("he"))),
    "FOM-22": lambda: 1e3 * foam.smallest_bubble_m(1e-6, _floats(_gas("he")), alone=False),
    "FOM-23": lambda: 1e6 * foam.bubble_lift_kg(0.010, 1e-6, _gas("air"), _gas("he"), 998.2),
    "FOM-24": lambda: 1e6 * foam.shell_mass_kg(0.030, 1e-6, 1000.0),
    "FOM-25": lambda: foam.density_kg_m3(1 / 1000, water.density_kg_m3(20.0), _gas("he")),
    "FOM-26": lambda: foam.density_kg_m3(1 / 201, water.density_kg_m3(20.0), _gas("he")),
    "FOM-27": lambda: 100 * foam.equilibrium_liquid_fraction(3e-3, 0.050, 0.030, 1000.0),
    "FOM-28": lambda: 100 * foam.equilibrium_liquid_fraction(1e-3, 0.050, 0.030, 1000.0),
    "FOM-29": lambda: foam.PERMEABILITY_RIGID,
    "FOM-30": lambda: 1e3 * foam.drainage_velocity_rigid_m_s(1e-3, 0.02, 1e-3, 1000.0),
    "FOM-31a": _food_limit("cold-holding-us"),
    "FOM-31b": _food_limit("hot-holding-us"),
    "FOM-31c": _food_limit("time-only-us"),
    "FOM-31d": _food_limit("date-mark-us"),
    "FOM-40": lambda: food.cream_density_kg_m3(0.3660, 0.0555, 10.0),
    "FOM-41": lambda: food.cream_density_kg_m3(0.0002, 0.0890, 20.0),
    "FOM-42": lambda: food.cream_density_kg_m3(0.0400, 0.0895, 4.4),
    "FOM-43": lambda: food.cream_density_kg_m3(0.3608, 0.059, 5.0),
    "FOM-44": lambda: food.cream_density_kg_m3(0.36, 0.056, 35.0),
    "FOM-45": lambda: _over(food.cream_density_kg_m3(0.36, 0.056, 5.0), 60.0),
    "FOM-46": _same_as_hot_water,
    "FOM-47": lambda: beside.bubbles_per_m3(0.5, 1e-3),
    "FOM-48a": lambda: foam.BEER_HEAD_S[0],
    "FOM-48b": lambda: foam.BEER_HEAD_S[1],
    "FOM-49a": lambda: round(1e3 * foam.SAPONIN_TENSION_N_M[0], 9),
    "FOM-49b": lambda: round(1e3 * foam.SAPONIN_TENSION_N_M[1], 9),
}
EXCLUDED: dict[str, str] = {}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_published(row: Row) -> None:
    if row.id in EXCLUDED:
        pytest.skip(EXCLUDED[row.id])
    assert abs(CHECKS[row.id]() - row.value) <= row.tolerance


def test_every_row_is_checked_or_excluded() -> None:
    ids = [row.id for row in ROWS]
    assert len(ids) == len(set(ids))
    assert set(ids) == set(CHECKS) | set(EXCLUDED)
    assert not set(CHECKS) & set(EXCLUDED)
