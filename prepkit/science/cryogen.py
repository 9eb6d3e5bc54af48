"""Liquid nitrogen and dry ice: how much a cold takes, as a range, and the gas that it becomes.

Size the room for the larger end: how much of the gas leaves while it is still cold is not known.
"""

from __future__ import annotations

from typing import NamedTuple

from prepkit.errors import UnknownIngredient, require
from prepkit.science import gases
from prepkit.science.ice import MELTING_J_KG

LIQUID_NITROGEN_KG_L = 0.8061  # at its boiling point [GAS-EOS] (read)
LIQUID_NITROGEN_GAS_RATIO = 700.0  # 692 at 20 C [GAS-EOS]; guides print 682 to 700: the safe side
# per hour of the mass: in a cooler 1 to 2 %, small pellets 2.0 +/- 0.3 % [FAA-2006] (read)
DRY_ICE_LOSS_H = (0.01, 0.02)
PELLET_LOSS_H = 0.02
# litres a day from a small open dewar [OXFORD-S4-03], [LN2-GUIDE-2014] (read, worked examples)
DEWAR_LOSS_L_D = (0.15, 0.5)


class _Cryogen(NamedTuple):
    """Gas, boiling or subliming point, heat at that point, heat of the gas per kg and K."""

    gas: str
    at_c: float
    latent_j_kg: float
    gas_j_kg_k: float


CRYOGENS = {
    # [GAS-EOS] (read): 206.1 kJ/kg from -195.8 to 0 C, 226.9 to 20 C: 1.04 per K between
    "liquid nitrogen": _Cryogen("n2", -195.8, 199180.0, 1040.0),
    # sublimation 137 kcal/kg [DRY-ICE-HEAT] (read), gas 0.80 kJ/(kg K) [GAS-EOS]
    "dry ice": _Cryogen("co2", -78.5, 573000.0, 800.0),
}
_NITROGEN_GAS_TO_0_C = 206100.0
END_LOW_C, END_HIGH_C = -60.0, 40.0


def known(cryogen: str) -> _Cryogen:
    """What is known of a cryogen; UnknownIngredient otherwise.

    >>> known("dry ice").gas
    'co2'

    Raises: UnknownIngredient. Source: [GAS-EOS].
    """
    if cryogen not in CRYOGENS:
        raise UnknownIngredient(
            f'"{cryogen}" is no cryogen here; they are {" and ".join(CRYOGENS)}.', "cryogen"
        )
    return CRYOGENS[cryogen]


def gas_heat_j_kg(cryogen: str, end_c: float) -> float:
    """Heat that the gas takes up from its boiling point to a temperature, J/kg.

    end_c: -60 to 40 C. Error: 1 % nitrogen, 3 % dry ice.

    >>> round(gas_heat_j_kg("dry ice", 4.0))
    66000

    Raises: OutOfRange, UnknownIngredient. Source: [GAS-EOS] (read).
    """
    one = known(cryogen)
    require("end_c", end_c, END_LOW_C, END_HIGH_C, "C", "GAS-EOS")
    if cryogen == "liquid nitrogen":
        return _NITROGEN_GAS_TO_0_C + one.gas_j_kg_k * end_c
    return one.gas_j_kg_k * (end_c - one.at_c)


def heat_to_remove_j(
    mass_kg: float, specific_heat_j_kg_k: float, start_c: float, end_c: float, ice_kg: float = 0.0
) -> float:
    """Heat to take from a batch to bring it from one temperature to another, J.

    end_c at or below start_c; ice_kg: what freezes out on the way, to the whole mass. Error: 3 %.

    >>> round(heat_to_remove_j(1.0, 4193.0, 20.0, 4.0))
    67088

    Raises: OutOfRange. Source: [DEFINITION]; ice [CHEMICALS] (read).
    """
    require("mass_kg", mass_kg, 0.0, None, "kg")
    require("specific_heat_j_kg_k", specific_heat_j_kg_k, 1.0, 20000.0, "J/(kg K)")
    require("start_c", start_c, END_LOW_C, 100.0, "C")
    require("end_c", end_c, END_LOW_C, start_c, "C", "a cryogen only cools")
    require("ice_kg", ice_kg, 0.0, mass_kg, "kg")
    return mass_kg * specific_heat_j_kg_k * (start_c - end_c) + ice_kg * MELTING_J_KG


def needed_range_kg(cryogen: str, heat_j: float, end_c: float) -> tuple[float, float]:
    """Least and most of a cryogen that takes up so much heat, kg.

    The least has its gas leave as warm as the batch ends, the most as cold as it boils off. heat_j
    from 0. end_c: -60 to 40 C. Error: the range is a factor of two for nitrogen; losses of pouring
    and of the vessel come on top.

    >>> [round(kg, 3) for kg in needed_range_kg("dry ice", 67090.0, 4.0)]
    [0.105, 0.117]

    Raises: OutOfRange, UnknownIngredient. Source: [GAS-EOS] (read), dry ice [PREPKIT-HEAT].
    """
    require("heat_j", heat_j, 0.0, None, "J")
    latent = known(cryogen).latent_j_kg
    return heat_j / (latent + gas_heat_j_kg(cryogen, end_c)), heat_j / latent


def gas_m3(cryogen: str, mass_kg: float, temperature_c: float = 20.0) -> float:
    """Gas that a mass becomes at 1 atm, m3; nitrogen on the safe side of the printed ratios.

    mass_kg from 0. temperature_c: of the room, -10 to 70 C.

    >>> round(gas_m3("dry ice", 10.0), 2), round(gas_m3("liquid nitrogen", 0.8061), 2)
    (5.44, 0.7)

    Raises: OutOfRange, UnknownIngredient. Source: [GAS-EOS] (read).
    """
    require("mass_kg", mass_kg, 0.0, None, "kg")
    gas = known(cryogen).gas
    volume = mass_kg * gases.gas_volume_m3_kg(gas, temperature_c)
    if gas == "n2":
        by_guide = mass_kg / LIQUID_NITROGEN_KG_L * LIQUID_NITROGEN_GAS_RATIO / 1000.0
        return max(volume, by_guide)
    return volume


def litres_of_liquid(mass_kg: float) -> float:
    """Litres of liquid nitrogen at its boiling point from its mass.

    >>> round(litres_of_liquid(0.8061), 3)
    1.0

    Raises: OutOfRange. Source: [GAS-EOS] (read).
    """
    require("mass_kg", mass_kg, 0.0, None, "kg")
    return mass_kg / LIQUID_NITROGEN_KG_L


def dry_ice_left_kg(mass_kg: float, hours: float) -> tuple[float, float]:
    """Least and most dry ice that is left in an insulated box after some hours, kg.

    mass_kg from 0. hours: 0 to 200. Error: boxes and sizes differ; the fast end counts 2 % of the
    first mass an hour, the slow end 1 %.

    >>> [round(kg, 2) for kg in dry_ice_left_kg(5.0, 12.0)]
    [3.8, 4.4]

    Raises: OutOfRange. Source: [FAA-2006] (read), coolers (practice).
    """
    require("mass_kg", mass_kg, 0.0, None, "kg")
    require("hours", hours, 0.0, 200.0, "h")
    slow, fast = DRY_ICE_LOSS_H
    return mass_kg * max(0.0, 1.0 - fast * hours), mass_kg * max(0.0, 1.0 - slow * hours)
