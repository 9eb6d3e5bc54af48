"""A drink standing in its glass: heat from air and dew, ice that melts, gas that leaves."""

from __future__ import annotations

import math
from typing import NamedTuple

from prepkit.errors import require
from prepkit.science.humid_air import saturation_pressure_pa

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
