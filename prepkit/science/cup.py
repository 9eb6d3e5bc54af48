"""Cups and bottles: how a hot drink cools, what alcohol leaves it, how a bottle chills.

Orders of magnitude from few measurements: ranges, never promises.
"""

from __future__ import annotations

from math import exp, log

from prepkit.errors import BadInput, OutOfRange, require

# per min, open 300 ml ceramic mug, two stretches of one measurement [MUG-COOLING] (read)
OPEN_PER_MIN = (0.022, 0.027)
OPEN_ML = 300.0
OPEN_POWER = 0.485  # from 0.025 at 300 ml to 0.035 at 150 ml: surface over volume (computed)
LIDDED_PER_MIN = (0.009, 0.017)  # takeaway cups: 30 to 60 min scalding [WARNER-2012] (computed)
CUP_LOW_ML, CUP_HIGH_ML = 60.0, 600.0
CERAMIC_J_KG_K = 850.0  # memory
CUP_SHARE_FIRST_MINUTES = 0.5  # of the cup's heat that takes part at first (practice)

VOLATILITY_POWER = 7.0  # 11.4 times 0.6 for the slower diffusion in air [PREPKIT-HEAT] (computed)
EVAPORATED_HIGH = 0.2
# share of the alcohol that cooking leaves [USDA-RETENTION-6] (read, secondary)
RETAINED = {
    "into boiling liquid, then off the heat": 0.85,
    "flamed": 0.75,
    "no heat, overnight": 0.70,
    "baked 25 min, not stirred in": 0.45,
    "simmered 15 min": 0.40,
    "simmered 30 min": 0.35,
    "simmered 1 h": 0.25,
    "simmered 1.5 h": 0.20,
    "simmered 2 h": 0.10,
    "simmered 2.5 h": 0.05,
}

GLASS_J_KG_K = 840.0  # memory
# W/(m2 K) assumed for a bottle standing in it [PREPKIT-HEAT]: right within a factor of 2
BATHS_W_M2_K = {
    "fridge": 7.0,
    "freezer": 9.0,
    "ice water": 90.0,
    "stirred ice water": 200.0,
}
BOTTLE_KG_PER_L, BOTTLE_M2_700_ML = 0.45 / 0.7, 0.065  # a 700 ml glass bottle (practice)


def cooling_rates_per_min(volume_ml: float, lidded: bool = False) -> tuple[float, float]:
    """Slowest and fastest rate at which a cup comes down to the room, per minute.

    volume_ml: 60 to 600; a lidded takeaway cup is taken as one size. After the first 5 minutes.
    Error: the two ends are the spread of one open mug or of a report, not a bound.

    >>> [round(rate, 3) for rate in cooling_rates_per_min(300.0)]
    [0.022, 0.027]

    Raises: OutOfRange.
    Source: [MUG-COOLING] (read, informal), scaled by surface over volume; [WARNER-2012] (read).
    """
    require("volume_ml", volume_ml, CUP_LOW_ML, CUP_HIGH_ML, "ml", "MUG-COOLING")
    if lidded:
        return LIDDED_PER_MIN
    scale = (OPEN_ML / volume_ml) ** OPEN_POWER
    return OPEN_PER_MIN[0] * scale, OPEN_PER_MIN[1] * scale


def temperature_after_c(
    start_c: float, room_c: float, minutes: float, rate_per_min: float
) -> float:
    """Temperature of a cup that has stood for a time, C.

    start_c and room_c: -40 to 100 C. minutes from 0. rate_per_min: from 0, `cooling_rates_per_min`.
    Error: 3 K with the right rate.

    >>> round(temperature_after_c(75.0, 20.0, 10.0, 0.025), 1)
    62.8

    Raises: OutOfRange. Source: Newton's law of cooling.
    """
    require("start_c", start_c, -40.0, 100.0, "C")
    require("room_c", room_c, -40.0, 100.0, "C")
    require("minutes", minutes, 0.0, None, "min")
    require("rate_per_min", rate_per_min, 0.0, None, "per min")
    return room_c + (start_c - room_c) * exp(-rate_per_min * minutes)


def minutes_until(start_c: float, target_c: float, room_c: float, rate_per_min: float) -> float:
    """Minutes until a cup (or a bottle) reaches a temperature on its way to the room's (bath's).

    target_c: between start_c and room_c, not room_c itself.

    >>> round(minutes_until(75.0, 60.0, 20.0, 0.025), 1)
    12.7

    Raises: OutOfRange. Source: Newton's law of cooling.
    """
    require("rate_per_min", rate_per_min, 1e-9, None, "per min")
    require("start_c", start_c, -40.0, 100.0, "C")
    require("room_c", room_c, -196.0, 100.0, "C")
    low, high = min(start_c, room_c), max(start_c, room_c)
    require("target_c", target_c, low, high, "C", "between the start and the surroundings")
    if target_c == start_c:
        return 0.0
    if target_c == room_c:
        raise OutOfRange("target_c", target_c, low, high, "C", "it is approached, never reached")
    return log((start_c - room_c) / (target_c - room_c)) / rate_per_min


def ethanol_remaining(water_evaporated: float) -> float:
    """Share of the ethanol that is left in an open hot drink.

    water_evaporated: share of the mass of its water that evaporated, 0 to 0.2 (weigh the cup).
    Error: an unverified estimate for weak drinks at 60 to 80 C.

    >>> round(ethanol_remaining(0.01), 2)
    0.93

    Raises: OutOfRange. Source: [PREPKIT-HEAT] (computed).
    """
    require("water_evaporated", water_evaporated, 0.0, EVAPORATED_HIGH, "", "PREPKIT-HEAT")
    return float((1.0 - water_evaporated) ** VOLATILITY_POWER)


def bottle_rate_per_min(
    liquid_kg: float,
    specific_heat_j_kg_k: float,
    glass_kg: float,
    area_m2: float,
    bath: str,
) -> float:
    """Rate at which a glass bottle comes to the temperature around it, per minute.

    bath: fridge, freezer, ice water, stirred ice water. Error: a factor of 2 either way.

    >>> round(1 / bottle_rate_per_min(0.665, 4190.0, 0.45, 0.065, "fridge"))
    116

    Raises: OutOfRange; BadInput for an unknown bath. Source: [PREPKIT-HEAT] (computed).
    """
    if bath not in BATHS_W_M2_K:
        raise BadInput(f'"{bath}" is no bath; they are {", ".join(BATHS_W_M2_K)}.', "bath")
    require("liquid_kg", liquid_kg, 1e-6, None, "kg")
    require("specific_heat_j_kg_k", specific_heat_j_kg_k, 1.0, 20000.0, "J/(kg K)")
    require("glass_kg", glass_kg, 0.0, None, "kg")
    require("area_m2", area_m2, 1e-6, None, "m2")
    capacity = liquid_kg * specific_heat_j_kg_k + glass_kg * GLASS_J_KG_K
    return 60.0 * BATHS_W_M2_K[bath] * area_m2 / capacity
