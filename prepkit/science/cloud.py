"""Clouds that somebody breathes: smoke, spirit in air, a breath without oxygen."""

from __future__ import annotations

from typing import NamedTuple

from prepkit.errors import require

MOLAR_L = 24.06  # litres of a mol of gas at 20 C and 1 atm, DEFINITION
CO_G_MOL, ETHANOL_G_MOL = 28.01, 46.07
# CO by weight of dry fuel: mean 0.104, smouldering peat 0.210 [FIRE-EMISSIONS] (read)
CO_USUAL_KG_KG, CO_MOST_KG_KG = 0.1, 0.21
CO_SHIFT_PPM = 25.0  # 8 hours [CO-LIMITS] (read)
CO_HEADACHE_PPM = 200.0  # for hours [CO-LIMITS] (read)
CO_DANGER_PPM = 1200.0  # at once dangerous to life [CO-IDLH-MEMORY] (memory)
LOWER_FLAMMABLE = 0.031  # of ethanol vapour in air, by volume [CLOUD-MEMORY] (memory)
MIST_LIGHTS_FROM = 0.1  # of that limit: a mist lights from about a tenth [HSE-RR980] (read)
BREATHED_M3_H, TAKEN_UP = 0.5, 0.6  # at rest; share of ethanol kept [CLOUD-MEMORY] (memory)
# lungs at rest, l: all of them, after a normal breath out, emptied; oxygen in them
LUNG_L, RESTING_L, EMPTY_L, LUNG_OXYGEN = 6.0, 2.4, 1.2, 0.14  # [CLOUD-MEMORY] (memory)
FOG_SHIFT_MG_M3, FOG_PEAK_MG_M3 = 10.0, 40.0  # glycol and glycerol [FOG-LIMITS] (read)
CHARCOAL_AIR_M3_H_KW = (41.2, 55.6)  # fresh air for each kW of glow [CHARCOAL-2011] (read)


class Ends(NamedTuple):
    """The least and the most of a band."""

    low: float
    high: float


def carbon_monoxide_ppm(
    fuel_g: float, space_l: float, emission_kg_kg: float = CO_USUAL_KG_KG
) -> float:
    """Carbon monoxide where dry plant matter smoulders and nothing leaves, ppm by volume, 20 C.

    fuel_g: 0 to 1e5, what burns away. space_l: of dome, glass or room, above 0. emission_kg_kg: CO
    by weight of fuel, 0 to 0.5; 0.104 with a standard deviation of 0.058 in fires outdoors. Never
    above 1e6. Error: the emission, which was not measured for this use.

    >>> round(carbon_monoxide_ppm(0.5, 1.0), -2), round(carbon_monoxide_ppm(0.5, 50_000.0), 1)
    (42900.0, 0.9)

    Raises: OutOfRange. Source: [FIRE-EMISSIONS] (read).
    """
    require("fuel_g", fuel_g, 0.0, 1e5, "g")
    require("space_l", space_l, 1e-3, None, "l")
    require("emission_kg_kg", emission_kg_kg, 0.0, 0.5, "kg/kg")
    return min(1e6, 1e6 * fuel_g * emission_kg_kg / CO_G_MOL * MOLAR_L / space_l)


def ethanol_g_m3(fraction: float) -> float:
    """Ethanol in air by weight, g/m3 at 20 C and 1 atm, from its share by volume, 0 to 1.

    >>> round(ethanol_g_m3(0.031), 1)
    59.4

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("fraction", fraction, 0.0, 1.0, "")
    return 1000.0 * fraction * ETHANOL_G_MOL / MOLAR_L


def ethanol_fraction(g_m3: float) -> float:
    """Ethanol in air by volume, as if all of it were vapour, from g/m3; `ethanol_g_m3` turned.

    >>> round(ethanol_fraction(59.36), 4)
    0.031

    Raises: OutOfRange, also above the weight of the pure vapour. Source: [DEFINITION].
    """
    require("g_m3", g_m3, 0.0, 1000.0 * ETHANOL_G_MOL / MOLAR_L, "g/m3")
    return g_m3 * MOLAR_L / ETHANOL_G_MOL / 1000.0


def flammable_share(air_g_m3: float) -> float:
    """Ethanol in air over its lower flammable limit, as if all of it were vapour.

    >>> round(flammable_share(50.0), 2)
    0.84

    Raises: OutOfRange. Source: [CLOUD-MEMORY] (memory).
    """
    require("air_g_m3", air_g_m3, 0.0, None, "g/m3")
    return air_g_m3 / ethanol_g_m3(LOWER_FLAMMABLE)


def lung_oxygen(gas_l: float, before_l: float, before: float = LUNG_OXYGEN) -> float:
    """Oxygen left in the lungs after a gas without oxygen is breathed in, as a fraction.

    gas_l: 0 to 8. before_l: what the lungs still hold, 0.5 to 8 l; 1.2 emptied, 2.4 at rest.
    before: its oxygen, 0.14. The blood then gives up oxygen too, which makes it worse. Error: lungs
    differ by a third.

    >>> round(lung_oxygen(LUNG_L - EMPTY_L, EMPTY_L), 3), round(lung_oxygen(0.5, RESTING_L), 3)
    (0.028, 0.116)

    Raises: OutOfRange. Source: [CLOUD-MEMORY] (memory), [INERT-GAS-BULLETIN] (read).
    """
    require("gas_l", gas_l, 0.0, 8.0, "l")
    require("before_l", before_l, 0.5, 8.0, "l")
    require("before", before, 0.0, 0.21, "")
    return before * before_l / (before_l + gas_l)


def charcoal_air_m3_h(power_kw: float) -> Ends:
    """Fresh air that glowing charcoal asks for to keep its carbon monoxide down, m3/h.

    >>> [round(one) for one in charcoal_air_m3_h(3.0)]
    [124, 167]

    Raises: OutOfRange. Source: [CHARCOAL-2011] (read).
    """
    require("power_kw", power_kw, 0.0, 1000.0, "kW")
    return Ends(*(power_kw * each for each in CHARCOAL_AIR_M3_H_KW))
