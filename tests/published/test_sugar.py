"""Sugar solutions against published values."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from science import beside

from prepkit.science import ethanol, keeping, solution, sucrose, water
from published.rows import Row, load

ROWS = load("sugar")
HONEY_INDEX = 1.4865
PORT = {"sucrose": 0.20, "ethanol": 0.10}
SYRUP_AND_ACID = {"sucrose": 600 / 1040, "citric": 40 / 1040}
# 1 L of sugar at 0.85 kg/L and 1 L of water at 20 C
BY_VOLUME_KG = 0.85 + 0.9982


def _density(percent: float, temperature_c: float) -> Callable[[], float]:
    return lambda: sucrose.density_kg_m3(percent / 100, temperature_c)


def _index(brix: float) -> Callable[[], float]:
    return lambda: sucrose.refractive_index(brix / 100, 20.0)


def _correction(reading: float, temperature_c: float) -> Callable[[], float]:
    return lambda: sucrose.brix_at_20_c(reading, temperature_c) - reading


def _depression(percent: float) -> Callable[[], float]:
    return lambda: -sucrose.freezing_point_c(percent / 100)


def _activity(percent: float) -> Callable[[], float]:
    return lambda: sucrose.water_activity(percent / 100)


def _solubility(temperature_c: float) -> Callable[[], float]:
    return lambda: 100 * sucrose.solubility_mass_fraction(temperature_c)


def _saturation(brix: float) -> Callable[[], float]:
    return lambda: beside.saturation_temperature_c(brix / 100)


def _viscosity(percent: float, temperature_c: float) -> Callable[[], float]:
    return lambda: 1000 * sucrose.viscosity_pa_s(percent / 100, temperature_c)


def _baume(brix: float) -> Callable[[], float]:
    return lambda: beside.baume_from_density(sucrose.density_kg_m3(brix / 100, 20.0))


def _syrup(water_kg: float) -> dict[str, float]:
    """What 1 kg of sugar and some water give: Bx, L, g/L, specific gravity at 20 C."""
    w = 1.0 / (1.0 + water_kg)
    density = solution.density_kg_m3({"sucrose": w})
    litres = 1000.0 * (1.0 + water_kg) / density
    return {
        "bx": 100 * w,
        "litres": litres,
        "g_l": 1000.0 / litres,
        "sg": solution.specific_gravity(density),
    }


def _one(water_kg: float, name: str) -> Callable[[], float]:
    return lambda: _syrup(water_kg)[name]


def _chilled(w: float) -> Callable[[], float]:
    return lambda: (
        100 * (sucrose.density_kg_m3(w, 20.0) / sucrose.density_kg_m3(w, 4.0) - 1.0)
    )  # volume change of one mass


def _port_strength() -> float:
    density = solution.density_from_baume(4.0)
    _, spirit = solution.sucrose_and_ethanol_from_readings(20.0, density, 0.005)
    return 100 * spirit * density / ethanol.PURE_KG_M3


def _ethanol_activity(abv: float) -> Callable[[], float]:
    return lambda: keeping.of_ethanol(ethanol.mass_fraction_from_abv(abv))


def _inverted(percent: float) -> dict[str, float]:
    """Fully inverted sucrose syrup, by mass fraction of the same total mass."""
    left, glucose, fructose, _ = sucrose.after(percent / 100, 1.0)
    return {"sucrose": left, "glucose": glucose, "fructose": fructose}


def _with_water(mass_fractions: dict[str, float]) -> dict[str, float]:
    return {**mass_fractions, "water": 1.0 - sum(mass_fractions.values())}


def _strong_acid_rate() -> float:
    return beside.rate_in_strong_acid_per_min(0.1)


def _activation_kj_mol() -> float:
    """Back from two rates of the module, 20 and 40 C."""
    from math import log

    rates = [sucrose.rate_per_day(3.0, t) for t in (20.0, 40.0)]
    return 8.31446e-3 * log(rates[1] / rates[0]) / (1 / 293.15 - 1 / 313.15)


def _share(temperature_c: float, days: float) -> Callable[[], float]:
    return lambda: 100 * sucrose.inverted_share(2.5, temperature_c, days)


def _saturated_in_spirit() -> float:
    """% sugar in the solution that 1 kg of half-ethanol solvent holds at 14 C."""
    sugar = 0.5 * sucrose.saturated_kg_per_kg_water(14.0, ethanol_share=0.5)
    return 100 * sugar / (1.0 + sugar)


def _rich_and_strong() -> float:
    p = ethanol.mass_fraction_from_abv(0.96)
    return sucrose.supersaturation(66.67, 33.33 + 30 * (1 - p), 20.0, ethanol_kg=30 * p)


CHECKS: dict[str, Callable[[], float]] = {
    "SUG-01": _density(5, 20.0),
    "SUG-02": _density(10, 20.0),
    "SUG-03": _density(20, 20.0),
    "SUG-04": _density(40, 20.0),
    "SUG-05": _density(50, 20.0),
    "SUG-06": _density(60, 20.0),
    "SUG-07": _density(70, 20.0),
    "SUG-08": _density(50, 15.0),
    "SUG-09": _density(40, 25.0),
    "SUG-10": _density(20, 55.0),
    "SUG-11": lambda: water.density_kg_m3(20.0),
    "SUG-12": _density(65, 5.0),
    "SUG-13": _index(10),
    "SUG-14": _index(20),
    "SUG-15": _index(40),
    "SUG-16": _index(60),
    "SUG-17": _index(20),
    "SUG-18": _index(40),
    "SUG-19": _index(60),
    "SUG-20": _index(65),
    "SUG-21": lambda: water.refractive_index(20.0),
    "SUG-22": _correction(20.0, 10.0),
    "SUG-23": _correction(60.0, 10.0),
    "SUG-24": _correction(10.0, 15.0),
    "SUG-25": _correction(50.0, 15.0),
    "SUG-26": _correction(0.0, 10.0),
    "SUG-27": _correction(30.0, 21.0),
    "SUG-28": _correction(50.0, 25.0),
    "SUG-29": _correction(20.0, 30.0),
    "SUG-30": lambda: solution.refractive_index({"ethanol": 0.10}),
    "SUG-31": lambda: solution.density_kg_m3({"ethanol": 0.20}),
    "SUG-32": lambda: solution.refractive_index({"citric": 0.10}),
    "SUG-33": lambda: solution.density_kg_m3({"citric": 0.20}),
    "SUG-34": lambda: solution.refractometer_brix({"citric": 0.10}),
    "SUG-35": lambda: solution.refractometer_brix({"ethanol": 0.10}),
    "SUG-36a": lambda: solution.refractometer_brix(PORT),
    "SUG-36b": lambda: solution.hydrometer_brix(PORT),
    "SUG-37": lambda: 0.5 * (solution.refractometer_brix(PORT) + solution.hydrometer_brix(PORT)),
    "SUG-38": lambda: solution.density_kg_m3({"sucrose": 0.25, "ethanol": 0.15}),
    "SUG-39": _port_strength,
    "SUG-40": lambda: solution.juice_acid_correction_bx(5.0),
    "SUG-41": lambda: solution.juice_acid_correction_bx(10.0),
    "SUG-42": lambda: solution.refractometer_brix(SYRUP_AND_ACID),
    "SUG-43": _depression(10),
    "SUG-44": _depression(30),
    "SUG-45": _depression(40),
    "SUG-46": _activity(50.66),
    "SUG-47": _activity(67.26),
    "SUG-48a": _activity(50),
    "SUG-48b": _activity(60),
    "SUG-48c": _activity(65),
    "SUG-48d": _activity(67),
    "SUG-49": _solubility(0.0),
    "SUG-50": _solubility(20.0),
    "SUG-51": _solubility(40.0),
    "SUG-52": _solubility(25.0),
    "SUG-53": lambda: sucrose.supersaturation(66.67, 33.33, 4.0),
    "SUG-54a": _saturation(65.0),
    "SUG-54b": _saturation(66.67),
    "SUG-54c": _saturation(70.0),
    "SUG-55": _viscosity(20, 20.0),
    "SUG-56": _viscosity(50, 20.0),
    "SUG-57": _viscosity(60, 20.0),
    "SUG-58": _viscosity(60, 40.0),
    "SUG-59": _viscosity(40, 30.0),
    "SUG-60": lambda: sucrose.specific_heat_j_kg_k(0.50, 20.0),
    "SUG-61a": _baume(10),
    "SUG-61b": _baume(60),
    "SUG-62a": _one(1.0, "bx"),
    "SUG-62b": _one(1.0, "litres"),
    "SUG-62c": _one(1.0, "g_l"),
    "SUG-62d": _one(1.0, "sg"),
    "SUG-63a": _one(0.5, "bx"),
    "SUG-63b": _one(0.5, "litres"),
    "SUG-63c": _one(0.5, "g_l"),
    "SUG-63d": _one(0.5, "sg"),
    "SUG-64a": lambda: 100 * 0.85 / BY_VOLUME_KG,
    "SUG-64b": lambda: (
        1000 * BY_VOLUME_KG / solution.density_kg_m3({"sucrose": 0.85 / BY_VOLUME_KG})
    ),
    "SUG-65a": lambda: 100 * sucrose.mass_fraction_from_refractive_index(HONEY_INDEX, 20.0),
    "SUG-65b": lambda: solution.solids_with_invert(78.4, 80.0),
    "SUG-66a": _chilled(0.50),
    "SUG-66b": _chilled(2 / 3),
    "SUG-080": _correction(20.1, 30.0),
    "SUG-081": _correction(51.3, 30.0),
    "SUG-082": _correction(0.0, 30.0),
    "SUG-083a": _correction(20.0, 22.0),
    "SUG-083b": _correction(10.0, 22.0),
    "SUG-084": _ethanol_activity(0.95),
    "SUG-085a": _ethanol_activity(0.20),
    "SUG-085b": _ethanol_activity(0.40),
    "SUG-086": lambda: keeping.of_mixture({"sucrose": 0.276, "ethanol": 0.145, "water": 0.579})[0],
    "SUG-087": _strong_acid_rate,
    "SUG-088": _activation_kj_mol,
    "SUG-089": lambda: sucrose.half_life_days(2.5, 20.0),
    "SUG-090a": _share(20.0, 30.0),
    "SUG-090b": _share(4.0, 30.0),
    "SUG-091": _share(90.0, 10.0 / 1440.0),
    "SUG-092": lambda: solution.refractometer_brix(_inverted(50)),
    "SUG-093": lambda: solution.density_kg_m3(_inverted(50)),
    "SUG-094": lambda: keeping.of_mixture(_with_water(_inverted(60)))[0],
    "SUG-095": _saturated_in_spirit,
    "SUG-096": _rich_and_strong,
    "SUG-097": lambda: solution.delle_units(200.0, 0.15),
}
EXCLUDED = {
    "SUG-098a": "a limit of law, held by the keeping rules and checked with them",
    "SUG-098b": "a limit of law, held by the keeping rules and checked with them",
}


@pytest.mark.parametrize("row", [r for r in ROWS if r.id in CHECKS], ids=lambda row: row.id)
def test_published(row: Row) -> None:
    assert abs(CHECKS[row.id]() - row.value) <= row.tolerance, (row.quantity, row.conditions)


def test_every_row_is_checked_or_excluded() -> None:
    ids = [row.id for row in ROWS]
    assert len(ids) == len(set(ids))
    assert set(CHECKS) | set(EXCLUDED) == set(ids)
    assert not set(CHECKS) & set(EXCLUDED)
