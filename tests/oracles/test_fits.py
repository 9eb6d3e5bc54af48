"""Constants that are fits of this project, fitted again by scipy to the same read values."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from published.rows import load

from prepkit.science import dissolved_gas, ethanol, food, gases, heat, solution, sucrose, water

optimize = pytest.importorskip("scipy.optimize")
coolprop = pytest.importorskip("CoolProp.CoolProp")
FLUIDS = {"n2o": "NitrousOxide", "co2": "CO2", "n2": "Nitrogen", "o2": "Oxygen", "ar": "Argon",
          "he": "Helium", "air": "Air"}  # fmt: skip
READ = {row.id: row.value for topic in ("sugar_tables", "spirit_tables", "foam_tables", "sugar",
                                        "ethanol") for row in load(topic)}  # fmt: skip
GRID_K = [250.0 + 2.0 * i for i in range(41)]


def fitted(columns: list[list[float]], wanted: list[float]) -> list[float]:
    """Unbounded linear least squares: one list of numbers for each unknown."""
    rows = [list(row) for row in zip(*columns, strict=True)]
    found: Any = optimize.lsq_linear(rows, wanted, tol=1e-14, lsmr_tol=1e-14)
    return [float(x) for x in found.x]


def curve(coefficients: list[float], powers: list[Callable[[float], float]], x: float) -> float:
    return sum(c * power(x) for c, power in zip(coefficients, powers, strict=True))


def _power(n: float) -> Callable[[float], float]:
    return lambda x: x**n


@pytest.mark.parametrize("gas", FLUIDS)
def test_virial_coefficients(gas: str) -> None:
    """B and C of the reference equations over 250 to 330 K, cubics in 298.15/T - 1."""
    state = coolprop.AbstractState("HEOS", FLUIDS[gas])
    seconds, thirds = [], []
    for kelvin in GRID_K:
        state.update(coolprop.DmolarT_INPUTS, 1e-6, kelvin)
        seconds.append(1e6 * state.Bvirial())
        thirds.append(1e12 * state.Cvirial())
    at = [298.15 / kelvin - 1.0 for kelvin in GRID_K]
    columns = [[x**n for x in at] for n in range(4)]
    b, c = (fitted(columns, values) for values in (seconds, thirds))
    cubic = [_power(n) for n in range(4)]
    for x in at[::5]:
        ours = [curve(list(row), cubic, x) for row in gases.VIRIAL[gas]]
        assert ours[0] == pytest.approx(curve(b, cubic, x), abs=0.02)
        assert ours[1] == pytest.approx(curve(c, cubic, x), rel=0.01, abs=5.0)


@pytest.mark.parametrize("gas", gases.VAPOUR_PRESSURE)
def test_vapour_pressure(gas: str) -> None:
    """ln(p/pc) T/Tc over -30 C to 1 K below the critical point."""
    from math import exp, log

    constants = gases.CONSTANTS[gas]
    tc, pc = constants.critical_k, constants.critical_pa
    kelvins = [243.15 + (tc - 1.0 - 243.15) * i / 60 for i in range(61)]
    wanted = [
        log(coolprop.PropsSI("P", "T", kelvin, "Q", 0, FLUIDS[gas]) / pc) * kelvin / tc
        for kelvin in kelvins
    ]
    powers = [_power(n) for n in (1.0, 1.5, 2.5, 5.0)]
    columns = [[power(1.0 - kelvin / tc) for kelvin in kelvins] for power in powers]
    found = fitted(columns, wanted)
    for kelvin in kelvins[::6]:
        there = pc * exp(tc / kelvin * curve(found, powers, 1.0 - kelvin / tc))
        here = gases.vapour_pressure_pa(gas, kelvin - 273.15)
        assert here == pytest.approx(there, rel=3e-4)


@pytest.mark.parametrize(
    ("solute", "degree", "within"),
    [("acetic", 2, 0.1), ("lactic", 4, 0.1), ("fructose", 1, 0.15), ("glycerol", 2, 0.4),
     ("citric", 1, 0.2), ("glucose", 1, 0.6)],
)  # fmt: skip
def test_volumes_of_solutes(solute: str, degree: int, within: float) -> None:
    """Apparent volume by powers of the share, least squares of the density."""
    cells = {
        float(name.split("-")[2]) / 100: value
        for name, value in READ.items()
        if name.startswith(f"CRC-{solute}-") and name.endswith("-density")
    }
    cells = {w: rho for w, rho in cells.items() if w <= 0.6}
    if solute == "lactic":
        cells[0.8] = 1184.8  # CRC102, as in the published acid rows
    plain = solution.density_kg_m3({})

    def density(c: list[float], w: float) -> float:
        volume = sum(v * w**n for n, v in enumerate(c))
        return float(1000.0 / ((1 - w) * 1000.0 / plain + w * volume))

    found = optimize.least_squares(
        lambda c: [density(c, w) - rho for w, rho in cells.items()],
        [0.7] + [0.0] * degree, xtol=1e-15, ftol=1e-15, gtol=1e-15,
    )  # fmt: skip
    for i in range(2, 56, 6):
        if i / 100 <= max(cells):
            here = solution.density_kg_m3({solute: i / 100})
            assert here == pytest.approx(density(list(found.x), i / 100), abs=within)


def test_refraction_of_spirit() -> None:
    cells = {w: READ[f"CRC-ethanol-{w}-index"] for w in (1, 5, 10, 20, 40, 60, 100)} | {80: 1.3658}

    def index(c: list[float], p: float) -> float:
        r = (1 - p) * _plain_refraction() + p * sum(f * p**n for n, f in enumerate(c))
        q = r * ethanol.density_kg_m3(p, 20.0) / 1000.0
        return float(((1 + 2 * q) / (1 - q)) ** 0.5)

    found = optimize.least_squares(
        lambda c: [1e4 * (index(c, w / 100) - n) for w, n in cells.items()],
        [0.28, 0.0, 0.0, 0.0], xtol=1e-15, ftol=1e-15, gtol=1e-15,
    )  # fmt: skip
    for i in range(0, 101, 10):
        here = solution.refractive_index({"ethanol": i / 100})
        assert here == pytest.approx(index(list(found.x), i / 100), abs=2e-5)


def _plain_refraction() -> float:
    n = solution.refractive_index({})
    return (n * n - 1) / (n * n + 2) * 1000.0 / solution.density_kg_m3({})


def test_freezing_of_spirit_and_syrup() -> None:
    molar = {"ethanol": 46.069, "sucrose": sucrose.MOLAR_MASS_G_MOL}
    spirit = {w: READ[f"CRC-ethanol-{w}-freezing"] for w in (1, 2, 4, 5, 6, 8, 12, 14, 18)}
    spirit |= {10: 4.47, 20: 10.92}
    at = [10.0 * w / (1 - w / 100) / molar["ethanol"] for w in spirit]
    found = fitted([[m**n for m in at] for n in (1, 2, 3)], list(spirit.values()))
    for p in (0.02, 0.07, 0.13, 0.19):
        m = 1000 * p / (1 - p) / molar["ethanol"]
        there = sum(c * m**n for n, c in enumerate(found, 1))
        assert -ethanol.freezing_point_c(p) == pytest.approx(there, abs=0.03)
    syrup = {w: READ[f"CRC-sucrose-{w}-freezing"] for w in (5, 15, 24, 26, 36)}
    syrup |= {10: 0.63, 20: 1.47, 30: 2.64, 40: 4.45}
    at = [10.0 * w / (1 - w / 100) / molar["sucrose"] for w in syrup]
    found = fitted([at, [m * m for m in at]], list(syrup.values()))
    for w in (0.08, 0.22, 0.33, 0.40):
        m = 1000 * w / (1 - w) / molar["sucrose"]
        there = found[0] * m + found[1] * m * m
        assert -sucrose.freezing_point_c(w) == pytest.approx(there, abs=0.03)


def test_milk_and_cream() -> None:
    """1000/rho = water + fat (a + b T + c T^2) + solids (d + e T), on the table's 20 points."""
    points = []
    for name, rho in READ.items():
        if name.startswith("milk-"):
            fat, solids, t = (float(part) for part in name.split("-")[1:])
            points.append((fat / 100, solids / 100, t, rho))
    assert len(points) == 20
    columns: list[list[float]] = [[], [], [], [], []]
    wanted = []
    for f, s, t, rho in points:
        wanted.append(1000 / rho - 1000 * (1 - f - s) / water.density_kg_m3(t))
        for column, value in zip(columns, (f, f * t, f * t * t, s, s * t), strict=True):
            column.append(value)
    a, b, c, d, e = fitted(columns, wanted)
    for f, s, t, _ in points:
        volume = f * (a + b * t + c * t * t) + s * (d + e * t)
        there = 1000 / (volume + 1000 * (1 - f - s) / water.density_kg_m3(t))
        assert food.cream_density_kg_m3(f, s, t) == pytest.approx(there, abs=0.3)


def test_extract_of_a_density() -> None:
    """Grams of sucrose in a litre by the relative density, on the handbook's rows."""
    table = {5: 1017.8, 10: 1038.1, 20: 1081.0, 40: 1176.5, 50: 1229.5, 60: 1286.4}
    table |= {w: READ[f"CRC-sucrose-{w}-density"] for w in (15, 24, 26, 30, 36)}
    at = [rho / 998.20 - 1.0 for rho in table.values()]
    found = fitted(
        [at, [x**2 for x in at], [x**3 for x in at]],
        [w / 100 * rho for w, rho in table.items()],
    )
    for x in (0.02, 0.08, 0.15, 0.25):
        there = found[0] * x + found[1] * x**2 + found[2] * x**3
        here = sum(c * x**n for n, c in enumerate(solution.EXTRACT, 1))
        assert here == pytest.approx(there, abs=0.35)


def test_milk_fat_passes_its_three_points() -> None:
    """ln k by powers of t through 4, 24 and 35 C: three equations, solved here."""
    from math import exp, log

    rows = {4.0: 1.19e-7, 24.0: 3.9e-7, 35.0: 5.75e-7}
    found = fitted([[t**n for t in rows] for n in range(3)], [log(k) for k in rows.values()])
    for t in (4.0, 12.0, 20.0, 30.0):
        there = exp(sum(c * t**n for n, c in enumerate(found)))
        assert dissolved_gas.milk_fat_mol_kg_pa("co2", t) == pytest.approx(there, rel=1e-4)


def test_heat_of_mixing_passes_its_three_heats() -> None:
    """The form with the limit of dilution given, through three heats at 20 C."""
    heats = {1 / 13: 8700 / 13, 0.25: 3077 / 4, 0.75: 934 / 4}

    def form(c: list[float], x: float) -> float:
        return x * (1 - x) * 11000 * (1 + c[0] * x) / (1 + c[1] * x + c[2] * x * x)

    found = optimize.root(
        lambda c: [form(c, x) - j for x, j in heats.items()], [5.0, 3.0, 70.0], tol=1e-10
    )
    assert found.success
    for x in (0.05, 0.1, 0.158, 0.3, 0.5, 0.8):
        there = -form(list(found.x), x)
        assert heat.excess_enthalpy_j_mol(x, 20.0) == pytest.approx(there, rel=2e-3)
