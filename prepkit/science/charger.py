"""What stands inside a charger bulb before it is pierced.

N2O and CO2 are liquefied: the bulb shows the vapour pressure until the liquid has grown to fill it,
then about 5 bar per degree. Nitrogen is a gas at 170-270 bar, beyond the virial equation. Both come
from a table of values; nothing outside the table is guessed.
"""

from __future__ import annotations

from itertools import pairwise

from prepkit.errors import BadInput, OutOfRange, require
from prepkit.science import gases
from prepkit.science.roots import bracketed

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
    gases.known_gas(gas)
    if gas not in TABLE_BAR:
        raise BadInput(f"no charger bulbs of {gas} are known here.", "gas")
    return gases.SATURATION[gas][0][1] if gas in gases.SATURATION else TABLE_BAR[gas][-1][0]


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
    gases.known_gas(gas)
    if gas not in gases.SATURATION:
        raise BadInput(f"{gas} is no liquid in a charger.", "gas")
    rows = gases.SATURATION[gas]
    require("filling", filling, rows[-1][1], rows[0][1], "kg/m3", f"{gas}, GAS-EOS")
    return bracketed(
        lambda t: gases.saturated_densities_kg_m3(gas, t)[0] - filling,
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
    rows = gases.SATURATION[gas]
    require("temperature_c", temperature_c, rows[0][0], TABLE_C[-1], "C", "GAS-EOS")
    if temperature_c <= rows[-1][0]:
        liquid, vapour = gases.saturated_densities_kg_m3(gas, temperature_c)
        if filling < vapour:
            raise OutOfRange("filling", filling, vapour, None, "kg/m3", f"{gas}, GAS-EOS")
        if filling <= liquid:
            return gases.vapour_pressure_pa(gas, temperature_c)
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
    if gas in gases.SATURATION:
        start = liquid_full_from_c(gas, filling)
        if temperature_c <= start:
            return gases.vapour_pressure_pa(gas, temperature_c)
        points = [(start, gases.vapour_pressure_pa(gas, start))] + [
            p for p in points if p[0] > start
        ]
    high = next(i for i in range(1, len(points)) if temperature_c <= points[i][0])
    (t0, p0), (t1, p1) = points[high - 1], points[high]
    return p0 + (temperature_c - t0) / (t1 - t0) * (p1 - p0)
