"""Heat in drinks: mixing, ice, shaking, liquid nitrogen and dry ice; cups, bottles and glasses.

Masses are of plain components: ethanol, water, sugar.

Temperatures of ice are at or below 0 C. The drink itself is given by its mass, its specific heat,
and where it must be known by two callables of the melted ice: freezing point and heat of mixing.

Size the room for the larger end: how much of the gas leaves while it is still cold is not known.

How a drink cools or warms in its cup, what melts and what scalds are orders of magnitude from few
measurements: ranges, never promises.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from math import exp, fsum, log
from typing import NamedTuple

from prepkit.errors import BadInput, OutOfRange, UnknownIngredient, require
from prepkit.science import ethanol, gases, water
from prepkit.science.solvers import bracketed
from prepkit.science.water import STANDARD_PA, WATER_G_MOL, saturation_pressure_pa

# ---- heat in drinks ----

SUGAR_J_KG_K = 1820.0  # dissolved sucrose, slope of the published syrup equation at 20 C
ETHANOL_G_MOL = ethanol.MOLAR_MASS_G_MOL
# kg in a mol
WATER_KG_MOL, ETHANOL_KG_MOL = 18.015e-3, 46.069e-3
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


# ---- a drink in its cup, bottle or glass ----

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
    for value in humidity:
        require("humidity", value, 0.0, 1.0, "", "GLASS-DEW-2013")
    ends = []
    for film, damp in zip(STILL_W_M2_K, humidity, strict=True):
        at_wall = _humidity_ratio(max(wall_c, 0.0), 1.0)
        dew = max(0.0, _humidity_ratio(air_c, damp) - at_wall)
        ends.append(film * area_m2 * (air_c - wall_c + LEWIS * LATENT_OVER_CP_K * dew))
    return Band(ends[0], math.sqrt(ends[0] * ends[1]), ends[1])


def _humidity_ratio(temperature_c: float, relative: float) -> float:
    vapour = relative * saturation_pressure_pa(temperature_c)
    return 0.622 * vapour / (STANDARD_PA - vapour)


def melt_g_min(gain_w: Band) -> Band:
    """Ice that melts in a drink that stays as cold as its ice, g/min.

    >>> [round(one, 2) for one in melt_g_min(Band(5.0, 7.0, 10.0))]
    [0.9, 1.26, 1.8]

    Source: [DEFINITION] heat over the heat of melting.
    """
    return Band(*(60.0 * value / MELTING_J_G for value in gain_w))


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
