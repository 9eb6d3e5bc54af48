"""A charged vessel worked out a second time, from outside: nothing of prepkit.science in it.

The gas of the chargers lies in headspace and bulb and none of it dissolves; the air (or the gas
that drove the air out) was shut in when the vessel was filled and is squeezed by the liquid as that
swells; the warm liquid adds its own vapour. Pressures of the three are added up (Dalton).

- gas: the reference equations of state as CoolProp evaluates them; where gas condenses, the vapour
  pressure, and no limit once the room is full of liquid.
- liquid: density of water (IAPWS-95) and of ethanol and water (Melinder's table for secondary
  fluids, to 40 C; above, its slope and curvature from 20 to 40 C carried on), both by CoolProp.
- vapour: Raoult's law with van Laar's activity coefficients of ethanol and water at 1 atm
  (1.6798 and 0.9227: handbook values from memory), pure vapour pressures by CoolProp.
- air outside: the standard atmosphere, 101325 Pa (1 - 2.25577e-5 h)^5.25588.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import exp, inf
from typing import Any

FLUIDS = {"n2o": "NitrousOxide", "co2": "CO2", "n2": "Nitrogen"}
R, ATM, KELVIN = 8.314462618, 101325.0, 273.15
WATER_KG_MOL, ETHANOL_KG_MOL = 0.018015, 0.046069
VAN_LAAR = (1.6798, 0.9227)  # ethanol in water, water in ethanol
OVERFILL = 0.05


def _coolprop() -> Any:  # CoolProp has no types of its own
    from CoolProp import CoolProp

    return CoolProp


@cache
def _state(fluid: str) -> Any:
    return _coolprop().AbstractState("HEOS", fluid)


@cache
def molar_mass_kg_mol(gas: str) -> float:
    """Of one of the three gases."""
    return float(_state(FLUIDS[gas]).molar_mass())


def outside_pa(altitude_m: float) -> float:
    """The air outside, by the standard atmosphere."""
    return float(ATM * (1.0 - 2.25577e-5 * altitude_m) ** 5.25588)


def gas_pa(gas: str, temperature_c: float, mol_m3: float) -> float:
    """Pressure of a gas of that molar density; its vapour pressure where it condenses, inf where
    the room is full of liquid or denser than a gas above its critical point can be trusted."""
    state = _state(FLUIDS[gas])
    kelvin = temperature_c + KELVIN
    cool = _coolprop()
    if kelvin < state.T_critical():
        state.unspecify_phase()
        state.update(cool.QT_INPUTS, 1.0, kelvin)
        saturated_pa, vapour = float(state.p()), float(state.rhomolar())
        if mol_m3 >= vapour:
            state.update(cool.QT_INPUTS, 0.0, kelvin)
            return inf if mol_m3 >= float(state.rhomolar()) else saturated_pa
        state.specify_phase(cool.iphase_gas)
    else:
        if mol_m3 >= state.rhomolar_critical():
            return inf
        state.specify_phase(cool.iphase_supercritical_gas)
    state.update(cool.DmolarT_INPUTS, mol_m3, kelvin)
    return float(state.p())


@cache
def _water_kg_m3(tenths_c: int) -> float:
    found = _coolprop().PropsSI("D", "T", 0.1 * tenths_c + KELVIN, "P", ATM, "Water")
    return float(found)


def _melinder_kg_m3(mass_fraction: float, temperature_c: float) -> float:
    fluid = f"INCOMP::MEA[{mass_fraction:.6f}]"
    return float(_coolprop().PropsSI("D", "T", temperature_c + KELVIN, "P", ATM, fluid))


@cache
def _spirit_kg_m3(mass_fraction: float, tenths_c: int) -> float:
    at_c = 0.1 * tenths_c
    if at_c <= 39.9:
        return _melinder_kg_m3(mass_fraction, at_c)
    low, middle, high = (_melinder_kg_m3(mass_fraction, t) for t in (20.0, 29.95, 39.9))
    step = 9.95
    slope = (high - middle) / step
    curve = (high - 2.0 * middle + low) / step**2
    beyond = at_c - 39.9
    return high + (slope + 0.5 * curve * step) * beyond + 0.5 * curve * beyond**2


def liquid_kg_m3(ethanol_fraction: float, temperature_c: float) -> float:
    """Density of water, or of ethanol and water by mass fraction; straight between tenths."""
    tenths = 10.0 * max(0.1, temperature_c)
    low = int(tenths)

    def at(place: int) -> float:
        if ethanol_fraction == 0.0:
            return _water_kg_m3(place)
        return _spirit_kg_m3(ethanol_fraction, place)

    return at(low) + (tenths - low) * (at(low + 1) - at(low))


@cache
def _pure_vapour_pa(fluid: str, tenths_c: int) -> float:
    return float(_coolprop().PropsSI("P", "T", 0.1 * tenths_c + KELVIN, "Q", 0, fluid))


def vapour_pa(ethanol_fraction: float, temperature_c: float) -> float:
    """Vapour pressure over ethanol and water."""
    tenths = round(10.0 * max(0.1, temperature_c))
    water = (1.0 - ethanol_fraction) / WATER_KG_MOL
    ethanol = ethanol_fraction / ETHANOL_KG_MOL
    x = ethanol / (ethanol + water)
    y = 1.0 - x
    if x == 0.0:
        return _pure_vapour_pa("Water", tenths)
    a, b = VAN_LAAR
    of_ethanol = exp(a / (1.0 + a * x / (b * y)) ** 2)
    of_water = exp(b / (1.0 + b * y / (a * x)) ** 2)
    return x * of_ethanol * _pure_vapour_pa("Ethanol", tenths) + y * of_water * _pure_vapour_pa(
        "Water", tenths
    )


@dataclass(frozen=True)
class Vessel:
    """What was put into one vessel, where and when, in plain numbers; the charger as it says."""

    gas: str
    vessel_m3: float
    liquid_kg: float
    ethanol_fraction: float
    chargers: int
    charger_kg: float
    bulb_m3: float
    filled_c: float
    warmest_c: float
    altitude_m: float
    purged: bool


def peak_pa(load: Vessel) -> float:
    """Highest gauge pressure on the way from the place of filling to the warmest; inf: no room."""
    return max(_gauge_pa(load, at_c) for at_c in {load.filled_c, load.warmest_c})


def _gauge_pa(load: Vessel, at_c: float) -> float:
    outside = outside_pa(load.altitude_m)
    empty = load.vessel_m3 - load.liquid_kg / liquid_kg_m3(load.ethanol_fraction, load.filled_c)
    head = load.vessel_m3 - load.liquid_kg / liquid_kg_m3(load.ethanol_fraction, at_c)
    if head <= 0.0:
        return inf
    # shut in when it was filled: air under the pressure outside, damp from the liquid
    dry_pa = max(0.0, outside - vapour_pa(load.ethanol_fraction, load.filled_c))
    shut_in_mol = dry_pa * empty / (R * (load.filled_c + KELVIN))
    room = head + load.bulb_m3
    charged_mol = load.chargers * load.charger_kg * (1.0 + OVERFILL) / molar_mass_kg_mol(load.gas)
    if load.purged:  # what drove the air out is the same gas
        charged_mol += shut_in_mol
        air = 0.0
    else:
        air = shut_in_mol * R * (at_c + KELVIN) / room
    gas = gas_pa(load.gas, at_c, charged_mol / room)
    return gas + air + vapour_pa(load.ethanol_fraction, at_c) - outside
