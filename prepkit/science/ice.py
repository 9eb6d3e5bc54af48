"""Chilling with ice: how much melts, where long shaking ends.

Temperatures of ice are at or below 0 C. The drink itself is given by its mass, its specific heat,
and where it must be known by two callables of the melted ice: freezing point and heat of mixing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from prepkit.errors import OutOfRange, require
from prepkit.science.roots import bracketed

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
