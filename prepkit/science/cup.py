"""A drink in its cup, bottle or glass: how it cools or warms, what melts, what scalds.

Orders of magnitude from few measurements: ranges, never promises.
"""

from __future__ import annotations

import math
from math import exp, log
from typing import NamedTuple

from prepkit.errors import BadInput, OutOfRange, require
from prepkit.science.water import saturation_pressure_pa

# ---- cups and bottles ----

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


# ---- a drink standing in its glass ----

STILL_W_M2_K = (10.0, 18.0)  # [GLASS-DEW-2013]: still air with its radiation, to damp moving air
LATENT_OVER_CP_K = 2450.0
LEWIS = 1.1
MELTING_J_G = 334.0
TUMBLER_ML, TUMBLER_M2 = 300.0, 0.025  # wetted outside (practice)
GLASS_J_K = (0.0, 250.0)  # heat in the glass itself that takes part: none, or 0.3 kg of it
GAS_PER_MIN = (0.042, 0.087)  # [GLASS-GAS-2019] (read): open glass, of the gas at pouring
PRESSURE_PA = 101_325.0
AIR_LOW_C, AIR_HIGH_C = 0.0, 45.0


class Band(NamedTuple):
    """The slow end, the likely middle (of their ratio), and the fast end."""

    slow: float
    likely: float
    fast: float


def outside_m2(volume_ml: float) -> float:
    """Outside of a glass that a drink cools, by its volume, m2.

    volume_ml: 20 to 1000. Error: a third; a coupe has more, a tall glass less.

    >>> outside_m2(300.0)
    0.025

    Raises: OutOfRange. Source: [PRACTICE], scaled by surface over volume.
    """
    require("volume_ml", volume_ml, 20.0, 1000.0, "ml", "PRACTICE")
    return float(TUMBLER_M2 * (volume_ml / TUMBLER_ML) ** (2.0 / 3.0))


def heat_gain_w(wall_c: float, air_c: float, humidity: tuple[float, float], area_m2: float) -> Band:
    """Heat that a cold glass takes from the air and from the dew on it, W.

    wall_c: of the glass, 0 C or as the drink. air_c: 0 to 45 C, not colder than the wall.
    humidity: lowest and highest relative humidity, 0 to 1. Error: a factor of 2, as the band.

    >>> [round(60 * one / 334, 1) for one in heat_gain_w(1.5, 22.0, (0.5, 0.5), 0.025)]
    [1.4, 1.9, 2.5]

    Raises: OutOfRange. Source: [GLASS-DEW-2013] (read): heat and vapour reach the wall alike.
    """
    require("wall_c", wall_c, -10.0, AIR_HIGH_C, "C", "GLASS-DEW-2013")
    require("air_c", air_c, max(wall_c, AIR_LOW_C), AIR_HIGH_C, "C", "GLASS-DEW-2013")
    require("area_m2", area_m2, 1e-4, 1.0, "m2", "GLASS-DEW-2013")
    for one in humidity:
        require("humidity", one, 0.0, 1.0, "", "GLASS-DEW-2013")
    ends = []
    for film, damp in zip(STILL_W_M2_K, humidity, strict=True):
        at_wall = _humidity_ratio(max(wall_c, 0.0), 1.0)
        dew = max(0.0, _humidity_ratio(air_c, damp) - at_wall)
        ends.append(film * area_m2 * (air_c - wall_c + LEWIS * LATENT_OVER_CP_K * dew))
    return Band(ends[0], math.sqrt(ends[0] * ends[1]), ends[1])


def _humidity_ratio(temperature_c: float, relative: float) -> float:
    vapour = relative * saturation_pressure_pa(temperature_c)
    return 0.622 * vapour / (PRESSURE_PA - vapour)


def melt_g_min(gain_w: Band) -> Band:
    """Ice that melts in a drink that stays as cold as its ice, g/min.

    >>> [round(one, 2) for one in melt_g_min(Band(5.0, 7.0, 10.0))]
    [0.9, 1.26, 1.8]

    Source: [DEFINITION] heat over the heat of melting.
    """
    return Band(*(60.0 * one / MELTING_J_G for one in gain_w))


def warming_per_min(gain_w: Band, gap_c: float, drink_j_k: float) -> Band:
    """Rate at which a drink without ice comes up to the room, per minute.

    gain_w: heat it takes at `gap_c` below the room, above 0. drink_j_k: its heat capacity, J/K.

    >>> [round(one, 4) for one in warming_per_min(Band(5.0, 7.0, 10.0), 20.0, 500.0)]
    [0.02, 0.0346, 0.06]

    Raises: OutOfRange. Source: Newton's law of cooling; the glass itself counts at the slow end.
    """
    require("gap_c", gap_c, 1e-6, 100.0, "C")
    require("drink_j_k", drink_j_k, 1e-3, None, "J/K")
    slow = 60.0 * gain_w.slow / gap_c / (drink_j_k + GLASS_J_K[1])
    fast = 60.0 * gain_w.fast / gap_c / (drink_j_k + GLASS_J_K[0])
    return Band(slow, math.sqrt(slow * fast), fast)


# ---- hot drinks and skin ----

# [MORITZ-HENRIQUES] (read): C, seconds without lasting damage, seconds to a full-thickness burn
BURN_TABLE = (
    (45.0, 7200.0, 10800.0),
    (47.0, 1200.0, 2700.0),
    (48.0, 900.0, 1200.0),
    (49.0, 480.0, 600.0),
    (51.0, 120.0, 252.0),
    (55.0, 17.0, 30.0),
    (60.0, 3.0, 5.0),
)
WARN_C = 60.0  # 5 s to a full-thickness burn [MORITZ-HENRIQUES]
VERY_HOT_C = 65.0  # [IARC-2016] (read)
PREFERRED_C, PREFERRED_SPREAD_C = 60.0, 8.3  # [LEE-OMAHONY-2002] (read), mean and deviation
OPTIMUM_C = 57.8  # of scald and taste [BROWN-DILLER-2008] (read)
SERVICE_LOW_C, SERVICE_HIGH_C = 54.0, 71.0  # [ABRAHAM-DILLER-2019] (read)
SURVEY_MEAN_C, SURVEY_SPREAD_C = 75.0, 5.0  # [COFFEE-SERVICE-SURVEY] (read)


def full_thickness_burn_s(temperature_c: float) -> float:
    """Contact with water until a full-thickness burn of adult skin, s.

    temperature_c: 45 to 60 C; hotter takes less than 5 s. Children burn faster. Error: a factor
    of 2 between persons and places of skin (judgement).

    >>> round(full_thickness_burn_s(55.0))
    30

    Raises: OutOfRange. Source: [MORITZ-HENRIQUES] (read), straight in the logarithm between rows.
    """
    return _seconds(temperature_c, 2)


def no_lasting_damage_s(temperature_c: float) -> float:
    """Longest contact with water that leaves no lasting damage to adult skin, s.

    temperature_c: 45 to 60 C; hotter takes less than 3 s. Children burn faster. Error: a factor
    of 2 between persons and places of skin (judgement).

    >>> round(no_lasting_damage_s(55.0))
    17

    Raises: OutOfRange. Source: [MORITZ-HENRIQUES] (read), straight in the logarithm between rows.
    """
    return _seconds(temperature_c, 1)


def facts(served_c: float) -> dict[str, float]:
    """What the cautions of a hot drink ask of its temperature as it is handed over.

    served_c: any; the seconds are those of the nearest row of the table, 45 to 60 C.

    >>> {name: round(value) for name, value in facts(80.0).items()}
    {'served_c': 80, 'seconds': 5, 'hurt_seconds': 3}

    Source: [MORITZ-HENRIQUES] (read).
    """
    within_c = min(max(served_c, BURN_TABLE[0][0]), BURN_TABLE[-1][0])
    return {
        "served_c": served_c,
        "seconds": full_thickness_burn_s(within_c),
        "hurt_seconds": no_lasting_damage_s(within_c),
    }


def _seconds(temperature_c: float, column: int) -> float:
    """A column of the table at a temperature."""
    low, high = BURN_TABLE[0][0], BURN_TABLE[-1][0]
    require("temperature_c", temperature_c, low, high, "C", "MORITZ-HENRIQUES")
    place = next(i for i in range(1, len(BURN_TABLE)) if temperature_c <= BURN_TABLE[i][0])
    before, after = BURN_TABLE[place - 1], BURN_TABLE[place]
    share = (temperature_c - before[0]) / (after[0] - before[0])
    s0, s1 = before[column], after[column]
    return exp(log(s0) + share * (log(s1) - log(s0)))
