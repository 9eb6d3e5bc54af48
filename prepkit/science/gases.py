"""Charger gases: pressure, density, fugacity, saturation; what stands in a charger bulb.

Pressures are absolute. The headspace of a vessel follows a three-term virial equation,
p = R T rho (1 + B rho + C rho^2), up to 50 bar or to saturation, whichever comes first. What a
full charger bulb holds is far beyond it: see `prepkit.science.gases`.

N2O and CO2 are liquefied: the bulb shows the vapour pressure until the liquid has grown to fill it,
then about 5 bar per degree. Nitrogen is a gas at 170-270 bar, beyond the virial equation. Both come
from a table of values; nothing outside the table is guessed.
"""

from functools import lru_cache
from itertools import pairwise
from math import exp, log, sqrt
from typing import NamedTuple

from prepkit.errors import BadInput, OutOfRange, UnknownIngredient, require
from prepkit.science import water
from prepkit.science.solvers import bracketed

# ---- charger gases ----

GAS_NAMES = {
    "n2o": "nitrous oxide", "co2": "carbon dioxide", "n2": "nitrogen", "he": "helium",
    "ar": "argon", "o2": "oxygen", "air": "air",
}  # fmt: skip

GAS_CONSTANT_J_MOL_K, KELVIN = water.GAS_CONSTANT_J_MOL_K, water.KELVIN
STANDARD_PA = water.STANDARD_PA
GASES = ("n2o", "n2", "co2", "he", "ar", "o2", "air")
LOW_C, HIGH_C = -10.0, 70.0
VIRIAL_HIGH_PA = 50e5
SATURATION_LOW_C = -30.0


class _Constants(NamedTuple):
    """[GAS-EOS]: molar mass, critical point, liquid density at the boiling point of 1 atm."""

    molar_mass_kg_mol: float
    critical_k: float
    critical_pa: float
    boiling_c: float
    boiling_liquid_kg_m3: float | None


CONSTANTS = {
    "n2o": _Constants(44.0128e-3, 309.52, 72.4482e5, -88.47, 1230.0),
    "co2": _Constants(44.0098e-3, 304.1282, 73.7730e5, -78.5, None),
    "n2": _Constants(28.0135e-3, 126.19, 33.96e5, -195.80, 806.1),
    "he": _Constants(4.0026e-3, 5.195, 2.283e5, -268.93, 124.7),
    "o2": _Constants(31.9988e-3, 154.60, 50.46e5, -182.96, 1141.0),
    "ar": _Constants(39.948e-3, 150.69, 48.63e5, -185.85, 1395.0),
    "air": _Constants(28.9655e-3, 132.53, 37.86e5, -194.25, 875.2),
}
# [PREPKIT-GAS]: by powers of 298.15 K / T - 1; B in 1e-6 m3/mol, C in 1e-12 m6/mol2.
VIRIAL = {
    "n2o": ((-133.27, -285.93, -123.20, -45.79), (5992.0, 4471.0, -46790.0, -295705.0)),
    "co2": ((-123.01, -282.81, -160.63, -80.30), (4747.0, 5472.0, -3854.0, -17886.0)),
    "n2": ((-4.91, -57.88, -10.59, 1.50), (1414.0, 681.0, 674.0, 113.0)),
    "o2": ((-15.86, -63.17, -11.82, 1.24), (946.0, 924.0, 644.0, -239.0)),
    "ar": ((-15.55, -60.67, -11.12, 0.69), (1062.0, 835.0, 662.0, -30.0)),
    "he": ((11.84, 1.24, -1.47, 0.83), (107.0, 49.0, -19.0, 8.0)),
    "air": ((-8.12, -58.48, -10.60, 1.38), (1817.0, 813.0, 244.0, -31.0)),
}
# [PREPKIT-GAS]: ln(p/pc) = Tc/T (a x + b x^1.5 + c x^2.5 + d x^5), x = 1 - T/Tc.
VAPOUR_PRESSURE = {
    "n2o": (-6.8437, 1.8291, -2.6367, 6.4122),
    "co2": (-7.0321, 1.5602, -2.3989, 0.2206),
}
# [GAS-EOS]: temperature C, liquid and vapour at saturation kg/m3.
SATURATION = {
    "n2o": (
        (0.0, 907.1, 85.2),
        (5.0, 880.7, 98.8),
        (10.0, 852.2, 114.9),
        (20.0, 785.1, 158.0),
        (30.0, 688.1, 232.7),
        (35.0, 589.5, 320.7),
    ),
    "co2": (
        (0.0, 927.4, 97.7),
        (5.0, 896.0, 114.6),
        (10.0, 861.1, 135.2),
        (20.0, 773.4, 194.2),
        (30.0, 593.3, 345.1),
    ),
}
CRITICAL_EXPONENT = 0.325  # of the difference between the two densities near Tc (memory)


class Isotherm(NamedTuple):
    """One gas at one temperature: R T, B and C, and the last state that the equation covers."""

    rt: float
    b: float
    c: float
    most_pa: float
    most_mol_m3: float
    saturated: bool

    def pressure(self, molar_density: float) -> float:
        """Pressure at a molar density, without its limits."""
        return self.rt * molar_density * (1.0 + molar_density * (self.b + molar_density * self.c))

    def log_fugacity_coefficient(self, molar_density: float) -> float:
        """ln(phi) at a molar density, without its limits."""
        first, second = self.b * molar_density, self.c * molar_density * molar_density
        return 2.0 * first + 1.5 * second - log(1.0 + first + second)


def known_gas(gas: str) -> str:
    """The gas itself where it is one of ours.

    >>> known_gas("n2o")
    'n2o'

    Raises: UnknownIngredient.
    """
    if gas not in CONSTANTS:
        raise UnknownIngredient(f"{gas!r} is not a gas here; known are {', '.join(GASES)}.", "gas")
    return gas


def _power_row(row: tuple[float, float, float, float], t: float) -> float:
    return row[0] + t * (row[1] + t * (row[2] + t * row[3]))


def _density_root(rt: float, b: float, c: float, absolute_pa: float) -> float:
    """Smallest positive root of the virial equation by Newton's method from the ideal gas.

    Below the first maximum of the isotherm the curve bends one way, so the steps from the dilute
    side cannot pass the root by more than one step (B < 0) or run away from it (B > 0).
    """
    rho = absolute_pa / rt
    for _ in range(50):  # pragma: no branch (ends by its break; the cap is against a hang)
        value = rt * rho * (1.0 + rho * (b + rho * c)) - absolute_pa
        slope = rt * (1.0 + rho * (2.0 * b + rho * 3.0 * c))
        step = value / slope
        rho -= step
        if abs(step) <= 1e-13 * rho:
            break
    return rho


@lru_cache(maxsize=512)
def isotherm(gas: str, temperature_c: float) -> Isotherm:
    """The virial equation of a gas at one temperature and where it stops.

    -10 to 70 C. It stops at 50 bar, or at saturation where that is lower.

    >>> round(isotherm("n2o", 5.0).most_pa / 1e5, 2)
    35.42

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed from [GAS-EOS]).
    """
    known_gas(gas)
    require("temperature_c", temperature_c, LOW_C, HIGH_C, "C", "PREPKIT-GAS")
    kelvin = temperature_c + KELVIN
    t = 298.15 / kelvin - 1.0
    b_row, c_row = VIRIAL[gas]
    b, c = _power_row(b_row, t) * 1e-6, _power_row(c_row, t) * 1e-12
    rt = GAS_CONSTANT_J_MOL_K * kelvin
    most_pa, saturated = VIRIAL_HIGH_PA, False
    if gas in VAPOUR_PRESSURE and kelvin < CONSTANTS[gas].critical_k:
        vapour = vapour_pressure_pa(gas, temperature_c)
        if vapour < most_pa:
            most_pa, saturated = vapour, True
    return Isotherm(rt, b, c, most_pa, _density_root(rt, b, c, most_pa), saturated)


def _require_pressure(line: Isotherm, gas: str, temperature_c: float, absolute_pa: float) -> None:
    if 0.0 <= absolute_pa <= line.most_pa:
        return
    if line.saturated and absolute_pa > line.most_pa:
        error = OutOfRange("absolute_pa", absolute_pa, 0.0, line.most_pa, "Pa", "PREPKIT-GAS")
        error.wording = (
            f"absolute_pa is {absolute_pa:g} Pa. At {temperature_c:g} °C {gas} turns liquid at "
            f"{line.most_pa:.6g} Pa and cannot stand higher as a gas (PREPKIT-GAS)."
        )
        error.args = (error.wording,)
        raise error
    require("absolute_pa", absolute_pa, 0.0, line.most_pa, "Pa", "PREPKIT-GAS")


def molar_mass_kg_mol(gas: str) -> float:
    """Molar mass, kg/mol.

    >>> molar_mass_kg_mol("n2o")
    0.0440128

    Raises: UnknownIngredient. Source: [GAS-EOS] (read).
    """
    return CONSTANTS[known_gas(gas)].molar_mass_kg_mol


def critical_temperature_c(gas: str) -> float:
    """Temperature above which there is no liquid at any pressure, C.

    >>> round(critical_temperature_c("n2o"), 2)
    36.37

    Raises: UnknownIngredient. Source: [GAS-EOS] (read).
    """
    return CONSTANTS[known_gas(gas)].critical_k - KELVIN


def vapour_pressure_pa(gas: str, temperature_c: float) -> float:
    """Pressure over the liquefied gas, Pa absolute; N2O and CO2, -30 C to the critical point.

    Residual 0.013 % (N2O), 0.004 % (CO2) against the reference equations. The other gases are above
    their critical temperature at any kitchen temperature: refused.

    >>> round(vapour_pressure_pa("n2o", 20.0) / 1e5, 1)
    50.5

    Raises: OutOfRange, UnknownIngredient, BadInput where the gas has no liquid.
    Source: [PREPKIT-GAS] (computed from [GAS-EOS]).
    """
    known_gas(gas)
    if gas not in VAPOUR_PRESSURE:
        raise BadInput(
            f"{gas} has no vapour pressure at kitchen temperatures: above "
            f"{critical_temperature_c(gas):.1f} °C it is a gas at any pressure.",
            "gas",
        )
    constants = CONSTANTS[gas]
    high = constants.critical_k - KELVIN
    require("temperature_c", temperature_c, SATURATION_LOW_C, high, "C", f"{gas}, PREPKIT-GAS")
    kelvin = temperature_c + KELVIN
    x = max(0.0, 1.0 - kelvin / constants.critical_k)
    a, b, c, d = VAPOUR_PRESSURE[gas]
    root = sqrt(x)
    curve = x * (a + root * (b + x * (c + d * x * x * root)))
    return constants.critical_pa * exp(constants.critical_k / kelvin * curve)


def molar_density_mol_m3(gas: str, temperature_c: float, absolute_pa: float) -> float:
    """Molar density of the gas, mol/m3; -10 to 70 C, to 50 bar or saturation.

    Within 0.15 % of the reference equations to 30 bar (0.02 % but for N2O); N2O to 0.6 % at 40 bar
    and 1.6 % at 50 bar near saturation. At one density the pressure is then never more than 0.01 %
    too low (CO2: 0.2 % at 50 bar).

    >>> round(molar_density_mol_m3("n2o", 5.0, 12.62e5), 1)
    600.0

    Raises: OutOfRange (saturation included), UnknownIngredient.
    Source: [PREPKIT-GAS] (computed from [GAS-EOS]).
    """
    line = isotherm(gas, temperature_c)
    _require_pressure(line, gas, temperature_c, absolute_pa)
    return _density_root(line.rt, line.b, line.c, absolute_pa) if absolute_pa > 0.0 else 0.0


def compressibility(gas: str, temperature_c: float, absolute_pa: float) -> float:
    """Z = p/(R T rho): 1 for an ideal gas; -10 to 70 C, to 50 bar or saturation.

    Error as `molar_density_mol_m3`.

    >>> round(compressibility("n2o", 5.0, 30e5), 3)
    0.751

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed from [GAS-EOS]).
    """
    line = isotherm(gas, temperature_c)
    rho = molar_density_mol_m3(gas, temperature_c, absolute_pa)
    return 1.0 + rho * (line.b + rho * line.c)


def fugacity_coefficient(gas: str, temperature_c: float, absolute_pa: float) -> float:
    """phi = fugacity/pressure, what Henry's law wants; -10 to 70 C, to 50 bar or saturation.

    Within 0.0002 of the reference equations at 10-30 bar for N2O, CO2 and N2.

    >>> round(fugacity_coefficient("n2o", 5.0, 20e5), 3)
    0.868

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed from [GAS-EOS]).
    """
    rho = molar_density_mol_m3(gas, temperature_c, absolute_pa)
    return exp(isotherm(gas, temperature_c).log_fugacity_coefficient(rho))


def gas_volume_m3_kg(
    gas: str, temperature_c: float = 20.0, absolute_pa: float = STANDARD_PA
) -> float:
    """Volume that one kg takes as a gas, m3/kg; at 1 atm unless told otherwise.

    >>> round(gas_volume_m3_kg("n2o"), 4)
    0.5434

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed from [GAS-EOS]).
    """
    require("absolute_pa", absolute_pa, 1.0, None, "Pa", "PREPKIT-GAS")
    molar = molar_density_mol_m3(gas, temperature_c, absolute_pa)
    return 1.0 / (molar * molar_mass_kg_mol(gas))


def data_sheet_l_kg(gas: str) -> float:
    """Litres of gas of one kg at 20 C and 1 atm, to the tenth: as it is printed for work by hand.

    >>> data_sheet_l_kg("co2"), data_sheet_l_kg("n2o")
    (543.7, 543.4)

    Raises: UnknownIngredient. Source: [GAS-EOS] (read, to the tenth the same as computed).
    """
    return round(1000.0 * gas_volume_m3_kg(gas, 20.0), 1)


def saturated_densities_kg_m3(gas: str, temperature_c: float) -> tuple[float, float]:
    """Densities of the liquid and of the vapour at saturation, kg/m3.

    N2O 0-35 C, CO2 0-30 C; a table joined in (Tc - T)^0.325, within 0.6 % of the reference
    equations between its rows.

    >>> [round(value, 1) for value in saturated_densities_kg_m3("n2o", 5.0)]
    [880.7, 98.8]

    Raises: OutOfRange, UnknownIngredient, BadInput where the gas has no table.
    Source: [GAS-EOS] (read).
    """
    known_gas(gas)
    if gas not in SATURATION:
        raise BadInput(f"{gas} is no liquid at kitchen temperatures.", "gas")
    rows = SATURATION[gas]
    require("temperature_c", temperature_c, rows[0][0], rows[-1][0], "C", f"{gas}, GAS-EOS")
    critical_c = CONSTANTS[gas].critical_k - KELVIN
    high = next(i for i in range(1, len(rows)) if temperature_c <= rows[i][0])
    (t0, liquid0, vapour0), (t1, liquid1, vapour1) = rows[high - 1], rows[high]
    x0, x1 = (critical_c - t0) ** CRITICAL_EXPONENT, (critical_c - t1) ** CRITICAL_EXPONENT
    share = (x0 - (critical_c - temperature_c) ** CRITICAL_EXPONENT) / (x0 - x1)
    return liquid0 + share * (liquid1 - liquid0), vapour0 + share * (vapour1 - vapour0)


def ambient_pressure_pa(altitude_m: float) -> float:
    """Air pressure at an altitude, Pa; the standard atmosphere, -500 to 9000 m.

    Weather moves it by about +/-3 %.

    >>> round(ambient_pressure_pa(1500.0))
    84556

    Raises: OutOfRange. Source: [STANDARD-ATMOSPHERE] (read in public code).
    """
    require("altitude_m", altitude_m, -500.0, 9000.0, "m", "STANDARD-ATMOSPHERE")
    return STANDARD_PA * float((1.0 - 2.25577e-5 * altitude_m) ** 5.25588)


# ---- what stands inside a charger bulb before it is pierced ----

HOTTEST_STORAGE_C = 50.0  # [CHARGER-SHEET]
TABLE_C = (5.0, 20.0, 30.0, 40.0, 50.0, 65.0)
# [GAS-EOS] at mass over volume: kg/m3 in the bulb, then bar absolute at the temperatures above.
TABLE_BAR = {
    "n2o": (
        (8.0 / 11.0 * 1e3, (35.0, 51.0, 72.0, 111.0, 150.0, 211.0)),
        (750.0, (35.0, 51.0, 80.0, 122.0, 165.0, 230.0)),
        (800.0, (35.0, 58.0, 108.0, 159.0, 210.0, 287.0)),
    ),
    "co2": ((800.0, (40.0, 66.0, 115.0, 164.0, 214.0, 289.0)),),
    "n2": (
        (200.0, (168.0, 181.0, 189.0, 198.0, 206.0, 219.0)),
        (240.0, (207.0, 223.0, 234.0, 245.0, 256.0, 273.0)),
    ),
}
# [JUDGEMENT], kg/m3: with less in it a bulb is no charger of its gas. Chargers hold 727-800 of the
# liquefied gases and 200-240 of nitrogen.
LEAST_FILLING_KG_M3 = {"n2o": 500.0, "co2": 500.0, "n2": 100.0}
_NEAR = 1e-9


def most_filling_kg_m3(gas: str) -> float:
    """Largest mass per volume that a real charger of this gas can have, kg/m3.

    Liquefied gases: the density of the liquid at 0 C, which leaves no vapour at all. Nitrogen: the
    top of the table, some 220 bar at 20 C.

    >>> most_filling_kg_m3("n2o"), most_filling_kg_m3("n2")
    (907.1, 240.0)

    Raises: UnknownIngredient, BadInput for a gas not sold in bulbs. Source: [GAS-EOS] (read).
    """
    known_gas(gas)
    if gas not in TABLE_BAR:
        raise BadInput(f"no charger bulbs of {gas} are known here.", "gas")
    return SATURATION[gas][0][1] if gas in SATURATION else TABLE_BAR[gas][-1][0]


def least_filling_kg_m3(gas: str) -> float:
    """Smallest mass per volume that is still taken for a charger of this gas, kg/m3.

    Far below what is filled by custom; with less, mass or volume of the bulb is a slip.

    >>> least_filling_kg_m3("n2o"), least_filling_kg_m3("n2")
    (500.0, 100.0)

    Raises: UnknownIngredient, BadInput for a gas not sold in bulbs. Source: [JUDGEMENT].
    """
    most_filling_kg_m3(gas)
    return LEAST_FILLING_KG_M3[gas]


def smallest_bulb_m3(gas: str, gas_kg: float) -> float:
    """Inside volume of the smallest bulb that can hold this much gas, m3.

    What a bound on pressure may count on as room beside the headspace, and no more.

    >>> round(smallest_bulb_m3("n2o", 0.008) * 1e6, 2)
    8.82

    Raises: OutOfRange, UnknownIngredient, BadInput for a gas not sold in bulbs.
    Source: [GAS-EOS] (read), by `most_filling_kg_m3`.
    """
    require("gas_kg", gas_kg, 0.0, 10.0, "kg")
    return gas_kg / most_filling_kg_m3(gas)


def liquid_full_from_c(gas: str, filling: float) -> float:
    """Temperature from which the liquid fills the whole bulb, C; N2O and CO2.

    Above it the pressure rises by about 5 bar per degree.

    >>> round(liquid_full_from_c("n2o", 800.0))
    18

    Raises: OutOfRange where the filling is outside 0-35 C (N2O) or 0-30 C (CO2) of the table.
    Source: [GAS-EOS] (read).
    """
    known_gas(gas)
    if gas not in SATURATION:
        raise BadInput(f"{gas} is no liquid in a charger.", "gas")
    rows = SATURATION[gas]
    require("filling", filling, rows[-1][1], rows[0][1], "kg/m3", f"{gas}, GAS-EOS")
    return bracketed(
        lambda t: saturated_densities_kg_m3(gas, t)[0] - filling,
        rows[0][0],
        rows[-1][0],
        1e-6,
    )


def charger_pressure_pa(gas: str, temperature_c: float, filling: float) -> float:
    """Pressure inside an unpierced charger, Pa absolute; n2o, co2, n2.

    filling: kg/m3 in the bulb. With vapour left: the vapour pressure. Liquid-full: N2O 727-800
    kg/m3, CO2 800 kg/m3, to 65 C. Nitrogen: 200-240 kg/m3, 5-65 C. Within 2 % (nitrogen 0.5 %) of
    the reference equations; a reading near the start of liquid-full within 6 bar.

    >>> round(charger_pressure_pa("n2o", 50.0, 800.0) / 1e5)
    210

    Raises: OutOfRange outside the table, UnknownIngredient, BadInput. Source: [GAS-EOS] (computed).
    """
    most_filling_kg_m3(gas)
    if gas == "n2":
        return _between_fillings(gas, temperature_c, filling)
    rows = SATURATION[gas]
    require("temperature_c", temperature_c, rows[0][0], TABLE_C[-1], "C", "GAS-EOS")
    if temperature_c <= rows[-1][0]:
        liquid, vapour = saturated_densities_kg_m3(gas, temperature_c)
        if filling < vapour:
            raise OutOfRange("filling", filling, vapour, None, "kg/m3", f"{gas}, GAS-EOS")
        if filling <= liquid:
            return vapour_pressure_pa(gas, temperature_c)
    return _between_fillings(gas, temperature_c, filling)


def _between_fillings(gas: str, temperature_c: float, filling: float) -> float:
    table = TABLE_BAR[gas]
    require("temperature_c", temperature_c, TABLE_C[0], TABLE_C[-1], "C", "GAS-EOS")
    low, high = table[0][0] * (1.0 - _NEAR), table[-1][0] * (1.0 + _NEAR)
    require("filling", filling, low, high, "kg/m3", f"{gas}, GAS-EOS")
    for (fill0, row0), (fill1, row1) in pairwise(table):
        if filling <= fill1 * (1.0 + _NEAR):
            share = (filling - fill0) / (fill1 - fill0)
            first = _at(gas, temperature_c, fill0, row0)
            return first + share * (_at(gas, temperature_c, fill1, row1) - first)
    return _at(gas, temperature_c, *table[-1])


def _at(gas: str, temperature_c: float, filling: float, row: tuple[float, ...]) -> float:
    """One row of the table at a temperature: joined by straight lines, from liquid-full upwards."""
    points = list(zip(TABLE_C, (bar * 1e5 for bar in row), strict=True))
    if gas in SATURATION:
        start = liquid_full_from_c(gas, filling)
        if temperature_c <= start:
            return vapour_pressure_pa(gas, temperature_c)
        points = [(start, vapour_pressure_pa(gas, start))] + [p for p in points if p[0] > start]
    high = next(i for i in range(1, len(points)) if temperature_c <= points[i][0])
    (t0, p0), (t1, p1) = points[high - 1], points[high]
    return p0 + (temperature_c - t0) / (t1 - t0) * (p1 - p0)
