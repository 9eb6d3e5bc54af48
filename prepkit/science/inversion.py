"""Inversion: acid and warmth split dissolved sucrose into glucose and fructose, first order.

Split sugar weighs more (it takes up water), reads higher, lowers the water activity and
crystallises less; a syrup that inverts has not lost water.
"""

from __future__ import annotations

from math import exp, expm1, log

from prepkit.errors import require

GAS_CONSTANT = 8.31446  # J/(mol K)
ACTIVATION_J_MOL = 109_200.0  # [TOMBARI-2007]
PER_DAY_AT_PH_0 = 10.0  # [GUGGENHEIM-WISEMAN-1950] at 24.7 C, per 10^-pH
REFERENCE_K = 297.85
PER_G_L = 0.00136  # [GUGGENHEIM-WISEMAN-1950]: faster in rich syrup, at a pH that was calculated
HEXOSE_PER_SUCROSE = 1.0526  # g glucose + fructose from 1 g sucrose
PH_LOW, PH_HIGH = 2.0, 5.0
RANGE_FACTOR = 2.0  # show the rate as a range from once to twice


def rate_per_day(ph: float, temperature_c: float, sucrose_g_l: float = 0.0) -> float:
    """Rate constant of inversion, 1/day.

    ph: 2 to 5. temperature_c: 0 to 100 C. sucrose_g_l: give it where the pH was calculated from a
    recipe, leave it 0 where the pH was measured in that very syrup; 0 to 950. Error: a factor
    from 1 to 2 (RANGE_FACTOR), catalysis by citric acid itself is left out.

    >>> round(0.6931 / rate_per_day(2.5, 20.0))
    44

    Raises: OutOfRange.
    Source: [GUGGENHEIM-WISEMAN-1950] (read) with the activation energy of [TOMBARI-2007] (read).
    """
    require("ph", ph, PH_LOW, PH_HIGH, "", "GUGGENHEIM-WISEMAN-1950")
    require("temperature_c", temperature_c, 0.0, 100.0, "C", "TOMBARI-2007")
    require("sucrose_g_l", sucrose_g_l, 0.0, 950.0, "g/L", "GUGGENHEIM-WISEMAN-1950")
    warmth = ACTIVATION_J_MOL / GAS_CONSTANT * (1.0 / REFERENCE_K - 1.0 / (temperature_c + 273.15))
    return float(PER_DAY_AT_PH_0 * 10.0**-ph * exp(warmth) * (1.0 + PER_G_L * sucrose_g_l))


def inverted_share(ph: float, temperature_c: float, days: float, sucrose_g_l: float = 0.0) -> float:
    """Share of the sucrose that is split after a time, 0 to 1.

    Ranges and error of the rate as for `rate_per_day`; days: 0 to 3650.

    >>> round(inverted_share(2.5, 20.0, 30.0), 2)
    0.37

    Raises: OutOfRange. Source: first order with `rate_per_day`.
    """
    require("days", days, 0.0, 3650.0, "d")
    return -expm1(-rate_per_day(ph, temperature_c, sucrose_g_l) * days)


def half_life_days(ph: float, temperature_c: float, sucrose_g_l: float = 0.0) -> float:
    """Days until half of the sucrose is split.

    Ranges and error as for `rate_per_day`.

    >>> round(half_life_days(3.0, 30.0))
    32

    Raises: OutOfRange. Source: first order with `rate_per_day`.
    """
    return log(2.0) / rate_per_day(ph, temperature_c, sucrose_g_l)


def after(sucrose_kg: float, share: float) -> tuple[float, float, float, float]:
    """Sucrose left, glucose and fructose formed, water taken up, all kg.

    sucrose_kg: from 0. share inverted: 0 to 1. Mass is kept: the four add up to sucrose_kg less
    twice the water taken up.

    >>> [round(one, 4) for one in after(1.0, 1.0)]
    [0.0, 0.5263, 0.5263, 0.0526]

    Raises: OutOfRange. Source: stoichiometry, 1 g sucrose to 1.0526 g hexose.
    """
    require("sucrose_kg", sucrose_kg, 0.0, None, "kg")
    require("share", share, 0.0, 1.0)
    split = sucrose_kg * share
    each = 0.5 * HEXOSE_PER_SUCROSE * split
    return sucrose_kg - split, each, each, (HEXOSE_PER_SUCROSE - 1.0) * split
