"""Heat in drinks: specific heat of a mixture, mixing hot with cold, heat set free by mixing.

Masses are of plain components: ethanol, water, sugar. Ice is in `ice`, cups and bottles in `cup`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import fsum

from prepkit.errors import BadInput, OutOfRange, require
from prepkit.science import ethanol, water

SUGAR_J_KG_K = 1820.0  # dissolved sucrose, slope of the published syrup equation at 20 C
ETHANOL_G_MOL, WATER_G_MOL = 46.069, 18.015
# [PREPKIT-HEAT]: J/mol of mixture at 20 C, x the mole fraction of ethanol:
# -x (1 - x) * A * (1 + b x) / (1 + c x + d x^2)
MIXING = (11000.0, 5.3002, 2.7706, 72.654)
MIXING_ERROR_20_C, MIXING_ERROR_COLD = 0.05, 0.15  # of the value, 0.05 <= x <= 0.3
COLD_C, WARM_C = -10.0, 41.0  # where the specific heat of spirit is known
MIXING_COLD_C = -30.0


def specific_heat_j_kg_k(
    ethanol_kg: float, water_kg: float, sugar_kg: float, temperature_c: float
) -> float:
    """Specific heat of a drink or syrup, J/(kg K): spirit and water, and dissolved sugar 1820.

    Masses from 0, not all 0. temperature_c: -10 to 41 C with ethanol, to 100 C without (below 0 C
    water as at 0 C: it is supercooled). Error: 2 %, above 30 % sugar 3 %.

    >>> round(specific_heat_j_kg_k(0.0, 0.5, 0.5, 20.0))
    3002

    Raises: OutOfRange; BadInput where all masses are 0.
    Source: [PREPKIT-SPIRIT] (computed), water by [COOLPROP] (read), sugar by the slope of the
    published syrup equation (read) as a mass-weighted sum.
    """
    for name, mass in (("ethanol_kg", ethanol_kg), ("water_kg", water_kg), ("sugar_kg", sugar_kg)):
        require(name, mass, 0.0, None, "kg")
    solvent = ethanol_kg + water_kg
    total = solvent + sugar_kg
    if total <= 0.0:
        raise BadInput("all masses are 0 kg; a drink needs at least one above 0.")
    if ethanol_kg > 0.0:
        of_solvent = ethanol.specific_heat_j_kg_k(ethanol_kg / solvent, temperature_c)
    else:
        require("temperature_c", temperature_c, COLD_C, 100.0, "C", "COOLPROP")
        of_solvent = water.specific_heat_j_kg_k(max(temperature_c, 0.0))
    return (solvent * of_solvent + sugar_kg * SUGAR_J_KG_K) / total


def mixing_temperature_c(
    masses_kg: Sequence[float],
    specific_heats_j_kg_k: Sequence[float],
    temperatures_c: Sequence[float],
    cup_j_k: float = 0.0,
    cup_c: float = 20.0,
    released_j: float = 0.0,
) -> float:
    """Temperature of parts put together, C; with the cup and the heat of mixing where given.

    masses_kg from 0, specific heats above 0, temperatures -80 to 120 C. cup_j_k: heat capacity of
    the cup that takes part. released_j: heat set free by mixing. No loss to the room. Error: that
    of the inputs; liquids that neither freeze nor boil.

    >>> round(mixing_temperature_c([0.12, 0.038], [4190, 4200], [85, 20]), 1)
    69.3

    Raises: OutOfRange; BadInput where the lists differ in length or nothing has heat capacity.
    Source: [DEFINITION] energy balance.
    """
    if not len(masses_kg) == len(specific_heats_j_kg_k) == len(temperatures_c):
        raise BadInput("masses, specific heats and temperatures must be equally many.")
    require("cup_j_k", cup_j_k, 0.0, None, "J/K")
    require("cup_c", cup_c, -80.0, 120.0, "C")
    require("released_j", released_j, None, None, "J")
    capacities, contents = [cup_j_k], [cup_j_k * cup_c, released_j]
    for mass, cp, at_c in zip(masses_kg, specific_heats_j_kg_k, temperatures_c, strict=True):
        require("masses_kg", mass, 0.0, None, "kg")
        require("specific_heats_j_kg_k", cp, 1.0, 20000.0, "J/(kg K)")
        require("temperatures_c", at_c, -80.0, 120.0, "C")
        capacities.append(mass * cp)
        contents.append(mass * cp * at_c)
    total = fsum(capacities)
    if total <= 0.0:
        raise BadInput("nothing has a heat capacity; give a part with a mass above 0 kg.")
    return fsum(contents) / total


def hot_part_needed_kg(
    cold_masses_kg: Sequence[float],
    cold_specific_heats_j_kg_k: Sequence[float],
    cold_temperatures_c: Sequence[float],
    hot_specific_heat_j_kg_k: float,
    hot_c: float,
    target_c: float,
    cup_j_k: float = 0.0,
    cup_c: float = 20.0,
) -> float:
    """Mass of the hot part that brings cold parts (and the cup) to a temperature, kg.

    target_c: above what the cold parts reach by themselves and below hot_c. No loss to the room.

    >>> round(hot_part_needed_kg([0.0379], [4200], [20], 4190, 85, 66), 3)
    0.092

    Raises: OutOfRange; BadInput as `mixing_temperature_c`.
    Source: [DEFINITION] energy balance.
    """
    own_c = mixing_temperature_c(
        cold_masses_kg, cold_specific_heats_j_kg_k, cold_temperatures_c, cup_j_k, cup_c
    )
    require("hot_c", hot_c, -80.0, 120.0, "C")
    require("hot_specific_heat_j_kg_k", hot_specific_heat_j_kg_k, 1.0, 20000.0, "J/(kg K)")
    if not own_c <= target_c < hot_c:
        raise OutOfRange("target_c", target_c, own_c, hot_c, "C", "cold parts and hot part")
    cold = fsum(m * cp for m, cp in zip(cold_masses_kg, cold_specific_heats_j_kg_k, strict=True))
    return (cold + cup_j_k) * (target_c - own_c) / (hot_specific_heat_j_kg_k * (hot_c - target_c))


def excess_enthalpy_j_mol(mole_fraction: float, temperature_c: float) -> float:
    """Heat taken up on mixing ethanol and water, J per mol of mixture: negative, it warms.

    mole_fraction: of ethanol, 0 to 1. temperature_c: -30 to 41 C, a straight line. Error: 5 % at
    20 C and 15 % at 0 C for 0.05 to 0.3, more outside and in the cold.

    >>> round(excess_enthalpy_j_mol(0.25, 20.0))
    -769

    Raises: OutOfRange.
    Source: [PREPKIT-HEAT] fit through three heats of [BOSE-HEATS] (read, secondary) and the limit
    of dilution (memory); moved in temperature by the excess specific heat of [PREPKIT-SPIRIT].
    """
    x = mole_fraction
    require("mole_fraction", x, 0.0, 1.0, "", "PREPKIT-HEAT")
    require("temperature_c", temperature_c, MIXING_COLD_C, WARM_C, "C", "PREPKIT-HEAT")
    a, b, c, d = MIXING
    at_20_c = -x * (1.0 - x) * a * (1.0 + b * x) / (1.0 + x * (c + x * d))
    molar = ETHANOL_G_MOL * x + WATER_G_MOL * (1.0 - x)
    excess_cp = 1e-3 * (
        molar * ethanol.specific_heat_j_kg_k(ETHANOL_G_MOL * x / molar, 20.0)
        - ETHANOL_G_MOL * x * ethanol.specific_heat_j_kg_k(1.0, 20.0)
        - WATER_G_MOL * (1.0 - x) * ethanol.specific_heat_j_kg_k(0.0, 20.0)
    )
    return at_20_c + (temperature_c - 20.0) * excess_cp


def _taken_up_j(ethanol_kg: float, water_kg: float, temperature_c: float) -> float:
    spirit = 1000.0 * ethanol_kg / ETHANOL_G_MOL
    total = spirit + 1000.0 * water_kg / WATER_G_MOL
    return total * excess_enthalpy_j_mol(spirit / total, temperature_c) if total else 0.0


def mixing_heat_j(parts_kg: Iterable[tuple[float, float]], temperature_c: float) -> float:
    """Heat set free when separate parts become one, J (the sugar in them left out).

    parts_kg: (ethanol, water) of each part, kg, from 0. temperature_c: -30 to 41 C. Error: 5 % at
    20 C, 15 % near 0 C.

    >>> round(mixing_heat_j([(0.3157, 0.6323), (0.0, 0.3)], 20.0), -2)
    11800.0

    Raises: OutOfRange.
    Source: [PREPKIT-HEAT].
    """
    spirit = water_kg = apart = 0.0
    for one_spirit, one_water in parts_kg:
        require("ethanol in a part", one_spirit, 0.0, None, "kg")
        require("water in a part", one_water, 0.0, None, "kg")
        spirit += one_spirit
        water_kg += one_water
        if one_spirit:
            apart += _taken_up_j(one_spirit, one_water, temperature_c)
    if not spirit:
        return 0.0
    return apart - _taken_up_j(spirit, water_kg, temperature_c)
