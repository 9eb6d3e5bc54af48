"""Heat in drinks: mixing, ice, shaking, liquid nitrogen and dry ice.

Masses are of plain components: ethanol, water, sugar. Ice is in `ice`, cups and bottles in `cup`.

Temperatures of ice are at or below 0 C. The drink itself is given by its mass, its specific heat,
and where it must be known by two callables of the melted ice: freezing point and heat of mixing.

Size the room for the larger end: how much of the gas leaves while it is still cold is not known.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import fsum
from typing import NamedTuple

from prepkit.errors import BadInput, OutOfRange, UnknownIngredient, require
from prepkit.science import ethanol, gases, water
from prepkit.science.solvers import bracketed

# ---- heat in drinks ----

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


# ---- chilling with ice ----

MELTING_J_KG = 333600.0  # at 0 C, 6010 J/mol [CHEMICALS] (read), 334 in [ICE-APPENDIX]
GROWTH = 0.0907  # 0.9998 / 0.9167 - 1: water that turns to ice at 0 C [ICE-DENSITY] (read)
ICE_J_KG_K = 2100.0  # [ICE-APPENDIX] 2.101 (read)
WATER_J_KG_K = 4220.0  # at 0 C [ICE-APPENDIX] 4.218 (read)
LOW_C, HIGH_C = -40.0, 100.0
ICE_LOW_C = -40.0
_STEPS = 64


class EndPoint(NamedTuple):
    """Where shaking or stirring with ice ends."""

    temperature_c: float
    melt_kg: float
    all_melted: bool  # there was too little ice: nothing is left to chill with


def melting_heat_j_kg(temperature_c: float) -> float:
    """Heat that ice takes up in melting at a temperature at or below 0 C, J/kg.

    temperature_c: -40 to 0 C. Error: 1 %.

    >>> round(melting_heat_j_kg(-7.0))
    318760

    Raises: OutOfRange.
    Source: 333.6 kJ/kg at 0 C [CHEMICALS] (read), carried by the specific heats of both
    [ICE-APPENDIX] (read).
    """
    require("temperature_c", temperature_c, ICE_LOW_C, 0.0, "C", "ICE-APPENDIX")
    return MELTING_J_KG + (WATER_J_KG_K - ICE_J_KG_K) * temperature_c


def heat_taken_by_melt_j_kg(temperature_c: float, ice_c: float) -> float:
    """Heat that a kg of ice takes up until it is water at a temperature, J/kg.

    temperature_c: of the drink at the end, -40 to 100 C. ice_c: of the ice, -40 to 0 C.
    Error: 1 %.

    >>> round(heat_taken_by_melt_j_kg(7.0, 0.0))
    363140

    Raises: OutOfRange.
    Source: [ICE-APPENDIX] (read).
    """
    require("temperature_c", temperature_c, ICE_LOW_C, HIGH_C, "C", "ICE-APPENDIX")
    require("ice_c", ice_c, ICE_LOW_C, 0.0, "C", "ice is at or below 0 °C")
    if temperature_c > 0.0:
        return MELTING_J_KG + WATER_J_KG_K * temperature_c - ICE_J_KG_K * ice_c
    return melting_heat_j_kg(temperature_c) + ICE_J_KG_K * (temperature_c - ice_c)


def melt_to_kg(
    drink_kg: float,
    specific_heat_j_kg_k: float,
    start_c: float,
    target_c: float,
    ice_c: float = 0.0,
    mixing_heat_j: Callable[[float], float] | None = None,
    vessel_j_k: float = 0.0,
    vessel_c: float | None = None,
) -> float:
    """Ice that melts while a drink is stirred to a temperature, kg. Energy only: whether ice can
    bring it there at all is for `end_point`.

    specific_heat_j_kg_k: of the drink, at the middle of its way. target_c: at or below start_c.
    mixing_heat_j: heat set free by mixing, as a function of the melt in kg. vessel_j_k and
    vessel_c: heat capacity and temperature of what else is chilled. Error: 3 %, of which 15 % of
    the heat of mixing.

    >>> round(1000 * melt_to_kg(0.09622, 4281, 20, 0), 1)
    24.7

    Raises: OutOfRange.
    Source: [DEFINITION] energy balance with [ICE-APPENDIX] (read).
    """
    _require_drink(drink_kg, specific_heat_j_kg_k, start_c)
    require("target_c", target_c, ICE_LOW_C, start_c, "C", "ice only cools")
    vessel_at_c = start_c if vessel_c is None else vessel_c
    require("vessel_c", vessel_at_c, LOW_C, HIGH_C, "C")
    per_kg = heat_taken_by_melt_j_kg(target_c, ice_c)
    sensible = drink_kg * specific_heat_j_kg_k * (start_c - target_c)
    sensible += vessel_j_k * (vessel_at_c - target_c)
    if mixing_heat_j is None:
        return max(sensible, 0.0) / per_kg
    heat = mixing_heat_j

    def surplus(melt: float) -> float:
        return sensible + heat(melt) - melt * per_kg

    if surplus(0.0) <= 0.0:
        return 0.0
    most = (max(sensible, 0.0) + 1.0) / per_kg
    while surplus(most) > 0.0:
        most *= 2.0
    return bracketed(surplus, 0.0, most, 1e-12)


def end_point(
    drink_kg: float,
    specific_heat_j_kg_k: float | Callable[[float], float],
    start_c: float,
    ice_kg: float,
    freezing_point_c: Callable[[float], float],
    ice_c: float = 0.0,
    mixing_heat_j: Callable[[float, float], float] | None = None,
    vessel_j_k: float = 0.0,
    vessel_c: float | None = None,
) -> EndPoint:
    """Where long shaking or stirring with ice ends: on the freezing line of the diluted drink.

    specific_heat_j_kg_k: of the drink, or a function of the end temperature. freezing_point_c: of
    the drink after so much melt (kg). mixing_heat_j: heat set free, of the melt and the end
    temperature. The ice that does not melt gives or takes heat too. Where a strong or rich start is
    outside the range of these functions, the search begins at the first dilution that they know.
    Where all the ice melts first, the end is above the freezing line and all_melted is true. A
    drink below its freezing line at the start is refused. Error: 0.5 K and 8 % of the melt, with
    heat of mixing.

    >>> found = end_point(0.2, 4180, 20, 0.5, lambda melt: 0.0)
    >>> found.temperature_c, round(1000 * found.melt_kg, 1)
    (0.0, 50.1)

    Raises: OutOfRange.
    Source: [DEFINITION] energy balance with [ICE-APPENDIX] (read).
    """
    first_cp = _cp(specific_heat_j_kg_k, start_c)
    _require_drink(drink_kg, first_cp, start_c)
    require("ice_kg", ice_kg, 0.0, None, "kg")
    require("ice_c", ice_c, ICE_LOW_C, 0.0, "C", "ice is at or below 0 °C")
    vessel_at_c = start_c if vessel_c is None else vessel_c
    require("vessel_c", vessel_at_c, LOW_C, HIGH_C, "C")

    def given_j(temperature_c: float, melt: float) -> float:
        """Heat that drink, vessel and mixing set free down to a temperature."""
        heat = drink_kg * _cp(specific_heat_j_kg_k, temperature_c) * (start_c - temperature_c)
        heat += vessel_j_k * (vessel_at_c - temperature_c)
        return heat + (mixing_heat_j(melt, temperature_c) if mixing_heat_j else 0.0)

    def surplus(melt: float) -> float:
        at_c = min(freezing_point_c(melt), 0.0)
        left = (ice_kg - melt) * ICE_J_KG_K * (ice_c - at_c)
        return given_j(at_c, melt) + left - melt * heat_taken_by_melt_j_kg(at_c, ice_c)

    low, first = _first_known(surplus, ice_kg)
    if low == 0.0 and start_c < (freezes_c := freezing_point_c(0.0)):
        raise OutOfRange("start_c", start_c, freezes_c, None, "C", "the drink would be frozen")
    if first <= 0.0:
        return EndPoint(freezing_point_c(low), low, low >= ice_kg)
    if surplus(ice_kg) < 0.0:
        melt = bracketed(surplus, low, ice_kg, 1e-12)
        return EndPoint(min(freezing_point_c(melt), 0.0), melt, False)

    def balance(at_c: float) -> float:
        return given_j(at_c, ice_kg) - ice_kg * heat_taken_by_melt_j_kg(at_c, ice_c)

    coldest = max(min(freezing_point_c(ice_kg), 0.0), ICE_LOW_C)
    warmest = max(start_c, vessel_at_c)
    if balance(warmest) > 0.0:  # little ice in strong spirit ends warmer than it began
        warmest = min(warmest + 15.0, HIGH_C)
    if balance(coldest) <= 0.0:
        return EndPoint(coldest, ice_kg, True)
    return EndPoint(bracketed(balance, coldest, warmest, 1e-10), ice_kg, True)


def _first_known(surplus: Callable[[float], float], ice_kg: float) -> tuple[float, float]:
    """The least melt at which the surplus of heat is known, and that surplus.

    Raises OutOfRange where it is known nowhere, or only from where it is already negative.
    """
    problem: OutOfRange | None = None
    for step in range(_STEPS + 1):
        melt = ice_kg * step / _STEPS
        try:
            value = surplus(melt)
        except OutOfRange as error:
            problem = error
            continue
        if problem and value <= 0.0:
            break
        return melt, value
    assert problem is not None
    raise problem


def _cp(of: float | Callable[[float], float], end_c: float) -> float:
    return of(end_c) if callable(of) else of


def _require_drink(drink_kg: float, cp: float, start_c: float) -> None:
    require("drink_kg", drink_kg, 1e-9, None, "kg")
    require("specific_heat_j_kg_k", cp, 1.0, 20000.0, "J/(kg K)")
    require("start_c", start_c, LOW_C, HIGH_C, "C")


# ---- liquid nitrogen and dry ice ----

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
