"""Keeping: what the food tables say about pH and water activity, and where growth stops.

Nothing here declares a food fit to keep. A table answers whether it asks for time and temperature
control on pH and water activity alone; the authority, a laboratory and a calibrated meter decide.
"""

from __future__ import annotations

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
    row = _column(water_activity, tuple(edge for edge, _ in rows))
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


__all__ = [
    "ACIDIFIED_FOOD_WATER_ACTIVITY",
    "ACID_FOOD_PH",
    "GROWTH_LIMITS",
    "GrowthLimit",
    "acidified_food_class",
    "time_temperature_control",
]
