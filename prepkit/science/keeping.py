"""Keeping: what the food tables say about two numbers, and how an acid syrup changes in store.

Nothing here declares a food fit to keep. A table answers whether it asks for time and temperature
control on pH and water activity alone; the authority, a laboratory and a calibrated meter decide.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from prepkit.errors import require

# [FOOD-CODE-TCS] tables (read in four state codes that agree). Columns are pH limits with
# whether the limit itself belongs to the milder column; rows are water activities from the dry end.
_Limits = tuple[tuple[float, bool], ...]
_Rows = tuple[tuple[tuple[float, bool], str], ...]
_PH_PACKAGED: _Limits = ((4.6, True), (5.6, True))
_ROWS_PACKAGED: _Rows = (
    ((0.92, True), "N N N"),
    ((0.95, True), "N N PA"),
    ((1.0, True), "N PA PA"),
)
_PH_OPEN: _Limits = ((4.2, False), (4.6, True), (5.0, True))
_ROWS_OPEN: _Rows = (
    ((0.88, False), "N N N N"),
    ((0.90, True), "N N N PA"),
    ((0.92, True), "N N PA PA"),
    ((1.0, True), "N PA PA PA"),
)

# 21 CFR 114.3 (read).
ACID_FOOD_PH = 4.6
ACIDIFIED_FOOD_WATER_ACTIVITY = 0.85

# Inversion of sucrose, per day: k = K 10^-pH exp(E (1/T0 - 1/T)).
INVERSION_PER_DAY = 10.0
INVERSION_ACTIVATION_K = 13134.0
INVERSION_REFERENCE_K = 297.85
INVERSION_SUGAR_FACTOR = 0.00136  # per g/L of sucrose
INVERSION_SPREAD = 2.0
_ZERO_C_K = 273.15

DELLE_PER_PERCENT_VOL = 4.5
DELLE_WINE_YEAST = 78.0


class GrowthLimit(NamedTuple):
    """What a kind of organism has been seen to need; `water_activity` is where it stops."""

    organism: str
    water_activity: tuple[float, float]
    note: str
    source: str


#: Where growth stops, by water activity (low, high). Information, never a verdict.
GROWTH_LIMITS = (
    GrowthLimit("most bacteria", (0.90, 0.91), "", "WATER-ACTIVITY-LIMITS"),
    GrowthLimit(
        "Clostridium botulinum type A",
        (0.93, 0.93),
        "pH 4.8 at the lowest",
        "WATER-ACTIVITY-LIMITS",
    ),
    GrowthLimit("Staphylococcus aureus", (0.83, 0.83), "", "WATER-ACTIVITY-LIMITS"),
    GrowthLimit("most yeasts", (0.87, 0.88), "", "WATER-ACTIVITY-LIMITS"),
    GrowthLimit("most moulds", (0.80, 0.80), "", "WATER-ACTIVITY-LIMITS"),
    GrowthLimit(
        "yeasts that like sugar",
        (0.60, 0.62),
        "grow at 60 to 70 % sucrose, from pH 2 to 7",
        "WATER-ACTIVITY-LIMITS",
    ),
)


def _column(value: float, limits: _Limits) -> int:
    """Number of limits that `value` has passed."""
    return sum(not (value < limit or (value == limit and within)) for limit, within in limits)


def time_temperature_control(
    ph: float, water_activity: float, heat_treated_and_packaged: bool
) -> Literal["N", "PA"]:
    """Ask the Food Code tables whether pH and water activity alone call for control.

    "N": the table asks for no time/temperature control on these two numbers. "PA": product
    assessment needed, so keep it as a food that needs control until somebody competent has shown
    otherwise. heat_treated_and_packaged: heated to kill vegetative cells and packaged afterwards.
    Use measured values and leave a margin; alcohol is no part of the tables. Edges are exact:
    pH 4.2 lies in the second column of the open table, 4.6 in the acid one of both, water activity
    0.92 in the row at or below 0.92.

    >>> time_temperature_control(4.1, 0.97, False), time_temperature_control(4.2, 0.97, False)
    ('N', 'PA')

    Raises: OutOfRange for pH outside 0 to 14 or water activity outside 0 to 1.
    Source: [FOOD-CODE-TCS] tables A and B (read).
    """
    require("ph", ph, 0.0, 14.0)
    require("water_activity", water_activity, 0.0, 1.0)
    if heat_treated_and_packaged:
        limits, rows = _PH_PACKAGED, _ROWS_PACKAGED
    else:
        limits, rows = _PH_OPEN, _ROWS_OPEN
    row = min(_column(water_activity, tuple(edge for edge, _ in rows)), len(rows) - 1)
    return "N" if rows[row][1].split()[_column(ph, limits)] == "N" else "PA"


def acidified_food_class(
    ph: float,
    water_activity: float,
    acid_was_added_to_low_acid_food: bool,
    alcoholic_beverage: bool = False,
) -> Literal["low-acid", "acid", "acidified", "outside"]:
    """Name the class of a shelf-stored food by the United States line of pH 4.6.

    ph: of the finished food at equilibrium, every piece of it. "low-acid": above 4.6 with a water
    activity above 0.85. "acidified": a low-acid food that added acid or acid food brought to 4.6
    or below: a regulated process. "acid": 4.6 or below by nature. "outside": dry enough, or an
    alcoholic beverage, neither of which this definition reaches. Carbonated drinks, jams and food
    that is kept refrigerated are outside the part as well. A class, not a permission.

    >>> acidified_food_class(4.6, 0.97, True), acidified_food_class(4.61, 0.97, True)
    ('acidified', 'low-acid')

    Raises: OutOfRange. Source: [CFR-21-114] (read).
    """
    require("ph", ph, 0.0, 14.0)
    require("water_activity", water_activity, 0.0, 1.0)
    if alcoholic_beverage or water_activity <= ACIDIFIED_FOOD_WATER_ACTIVITY:
        return "outside"
    if ph > ACID_FOOD_PH:
        return "low-acid"
    return "acidified" if acid_was_added_to_low_acid_food else "acid"


def inversion_per_day(ph: float, temperature_c: float, sucrose_kg_m3: float = 0.0) -> float:
    """First-order rate at which acid splits sucrose into glucose and fructose, per day.

    sucrose_kg_m3: give it where pH was calculated from a recipe; leave it at 0 where pH was
    measured in that very syrup. Range: pH 2 to 5, 0 to 100 C, sucrose to 900 kg/m3. Error: up to a
    factor INVERSION_SPREAD too low (show the range from 1 to 2 times).

    >>> round(math.log(2.0) / inversion_per_day(2.5, 20.0))
    44

    Raises: OutOfRange.
    Source: [GUGGENHEIM-WISEMAN-1950] rate, [TOMBARI-2007] activation energy (read); the use
    of the sugar factor for calculated pH is our reading.
    """
    require("ph", ph, 2.0, 5.0, "pH", "GUGGENHEIM-WISEMAN-1950")
    require("temperature_c", temperature_c, 0.0, 100.0, "C", "GUGGENHEIM-WISEMAN-1950")
    require("sucrose_kg_m3", sucrose_kg_m3, 0.0, 900.0, "kg/m3", "GUGGENHEIM-WISEMAN-1950")
    t = temperature_c + _ZERO_C_K
    hotter = math.exp(INVERSION_ACTIVATION_K * (1.0 / INVERSION_REFERENCE_K - 1.0 / t))
    strong = INVERSION_PER_DAY * math.pow(10.0, -ph)
    return strong * hotter * (1.0 + INVERSION_SUGAR_FACTOR * sucrose_kg_m3)


def inverted_fraction(
    days: float, ph: float, temperature_c: float, sucrose_kg_m3: float = 0.0
) -> tuple[float, float]:
    """Least and greatest share of the sucrose that has split after some days.

    Range and source as `inversion_per_day`; the greatest takes the rate times INVERSION_SPREAD.

    >>> low, high = inverted_fraction(30.0, 2.5, 20.0)
    >>> round(low, 2), round(high, 2)
    (0.37, 0.61)

    Raises: OutOfRange.
    """
    require("days", days, 0.0, None, "d")
    rate = inversion_per_day(ph, temperature_c, sucrose_kg_m3)
    return -math.expm1(-rate * days), -math.expm1(-rate * INVERSION_SPREAD * days)


def delle_units(sugar_kg_m3: float, abv: float) -> float:
    """Delle units of a sweet wine or cordial: g sugar per 100 ml plus 4.5 times % vol.

    sugar_kg_m3 to 1400, abv as a fraction. From 78 on, wine yeast was taken as stopped; it says
    nothing about the yeasts that like sugar, about mould on the surface, or about juice solids.

    >>> delle_units(200.0, 0.15)
    87.5

    Raises: OutOfRange. Source: [KUNKEE-AMERINE-1968] through a wine laboratory's note (read).
    """
    require("sugar_kg_m3", sugar_kg_m3, 0.0, 1400.0, "kg/m3")
    require("abv", abv, 0.0, 1.0, "as a fraction by volume")
    return sugar_kg_m3 / 10.0 + DELLE_PER_PERCENT_VOL * (100.0 * abv)


__all__ = [
    "ACIDIFIED_FOOD_WATER_ACTIVITY",
    "ACID_FOOD_PH",
    "DELLE_WINE_YEAST",
    "GROWTH_LIMITS",
    "INVERSION_SPREAD",
    "GrowthLimit",
    "acidified_food_class",
    "delle_units",
    "inversion_per_day",
    "inverted_fraction",
    "time_temperature_control",
]
