"""Gas taken up at the setting, what the shut vessel can come to, what gas does to the pH."""

from __future__ import annotations

from math import inf, isfinite
from typing import NamedTuple

from prepkit import mixing_facts
from prepkit.calculators.carbonate.inputs import Inputs
from prepkit.calculators.siphon.contents import clogs, of_plugging
from prepkit.calculators.siphon.load import (
    hot_volume_m3,
    solubility,
    vapour_bound_pa,
    volume_m3,
)
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.mixture import Mixture
from prepkit.science import acids, carbonation, charged_vessel, dissolved_gas, gases
from prepkit.science.dissolved_gas import Solubility
from prepkit.shared import fresh_air, room_check, room_limits

BAR = 1e5
#: Where nothing is entered it is judged as here, and the answer asks: a bar or a car in summer.
WARMEST_C = 40.0
ROOM_C = 20.0  # of the air that the gas ends in, at least


class Held(NamedTuple):
    """The gas in the drink at its setting. Pa; volumes low, likely, high."""

    set_pa: float
    set_low_pa: float
    set_high_pa: float
    dissolved: float  # mol/m3, likely
    least: float
    most: float
    there: Solubility


def warmest_c(inputs: Inputs) -> float:
    told = WARMEST_C if inputs.warmest is None else float(inputs.warmest)
    return max(told, float(inputs.temperature))


def of_contents(inputs: Inputs) -> Facts:
    mixture, at_c = inputs.contents.mixture, float(inputs.temperature)
    return {
        "co2_with_fat_percent": 100 * mixture.fraction("milk_fat", "fat"),
        "sugar_percent": 100 * mixture.sugar,
        "clogs": clogs(inputs.contents, mixture),
        "curdles": mixing_facts.curdles(mixture, charged=True),
        **of_plugging(inputs.contents, at_c, warmest_c(inputs)),
    }


def of_headspace(inputs: Inputs, mixture: Mixture) -> Facts:
    """How far the drink, warmed, fills the headspace; None where that was not entered."""
    if inputs.headspace is None:
        return {"headspace_left": None}
    empty = float(inputs.headspace) / 100
    at_c = float(inputs.temperature)
    growth = hot_volume_m3(mixture, warmest_c(inputs)) / volume_m3(mixture, at_c)
    return {
        "headspace_left": 100 * (1.0 - (1.0 - empty) * max(1.0, growth)),
        "headspace_percent": 100 * empty,
    }


def of_room(inputs: Inputs) -> Facts:
    """The whole cylinder at once in its room; None for what was not entered."""
    facts: Facts = {"cylinder_kg": None, "room_told": None}
    if inputs.cylinder is not None:
        facts["cylinder_kg"] = float(inputs.cylinder)
    if inputs.room_volume is None:
        return facts
    room_m3 = float(inputs.room_volume)
    facts |= {"room_told": room_m3, "room_m3": room_m3}
    if inputs.cylinder is None:
        return facts
    at_c = max(ROOM_C, float(inputs.temperature))
    gas_m3 = float(inputs.cylinder) * gases.gas_volume_m3_kg("co2", at_c)
    changes_h = fresh_air.counted(fresh_air.changes_h(inputs.air_changes, room_m3), "room") or 0.0
    law = room_check.jurisdiction(inputs.jurisdiction)
    least_m3 = room_limits.least_room_m3("co2", gas_m3, room_m3, changes_h, law)
    return facts | {
        "room_gas_g": 1e3 * float(inputs.cylinder),
        "room_gas_percent": 100 * min(1.0, gas_m3 / room_m3),
        "least_room_m3": least_m3,
        "room_over_least": least_m3 / room_m3,
    }


def _known(mixture: Mixture, temperature_c: float) -> Solubility:
    """The solubility of carbon dioxide in the drink; BadInput where none is known."""
    found = solubility("co2", temperature_c, mixture)
    if found is None:
        raise BadInput(
            f"{named('contents')}: no solubility of carbon dioxide is known for it; it is known "
            "up to 60 % vol and 600 g/l of sugar.",
            "contents",
        )
    return found


def _over_pa(temperature_c: float, dissolved: float, henry: float) -> float:
    return charged_vessel.pressure_over_pa("co2", temperature_c, dissolved, henry)


def taken_up(temperature_c: float, co2_pa: float, henry: float, total_pa: float) -> float:
    return dissolved_gas.dissolved_mol_m3("co2", temperature_c, co2_pa, henry, total_pa)


def gas_held(inputs: Inputs, mixture: Mixture) -> Held:
    at_c, share = float(inputs.temperature), inputs.gas.share
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    there = _known(mixture, at_c)
    if inputs.volumes is not None:
        wanted = float(inputs.volumes) / dissolved_gas.volumes("co2", 1.0)
        middle, low, high = (
            carbonation.mixture_gauge_pa(share, one, ambient_pa)
            if isfinite(one := _over_pa(at_c, wanted, henry)) else inf
            for henry in (there.middle, there.high, there.low)
        )  # fmt: skip
        if not isfinite(high) or high > 20 * BAR:
            raise BadInput(
                f"{named('volumes')} is {float(inputs.volumes):g}; that takes more than 20 bar at "
                f"{at_c:g} C: take a colder drink, less gas or purer carbon dioxide.",
                "volumes",
            )
        return Held(middle, low, high, wanted, wanted, wanted, there)
    assert inputs.pressure is not None
    set_pa = BAR * float(inputs.pressure)
    total_pa = set_pa + ambient_pa
    found = [taken_up(at_c, share * total_pa, henry, total_pa) for henry in there]
    return Held(set_pa, set_pa, set_pa, found[1], found[0], found[2], there)


def open_gas_volumes(inputs: Inputs, mixture: Mixture) -> float:
    """Volumes that the drink holds under open gas of the cylinder, with no pressure set."""
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    at_c = float(inputs.temperature)
    henry = _known(mixture, at_c).high
    held = taken_up(at_c, inputs.gas.share * ambient_pa, henry, ambient_pa)
    return held * dissolved_gas.volumes("co2", 1.0)


def first_pa(inputs: Inputs) -> float:
    return 0.0 if inputs.first_pressure is None else BAR * float(inputs.first_pressure)


def shut_bound_pa(inputs: Inputs, mixture: Mixture, gas: Held, ambient_pa: float) -> float:
    """Most pressure of the shut vessel where it is warmest, Pa gauge; infinite where not known.

    It has taken up all it can at the highest pressure it was set to, by the highest solubility;
    warm, it holds the least it can and the vessel is taken as full, so that no gas finds room.
    """
    at_c, warm_c = float(inputs.temperature), warmest_c(inputs)
    set_pa = max(gas.set_high_pa, first_pa(inputs), 0.0)
    total_pa = set_pa + ambient_pa
    share = inputs.gas.share
    held = max(gas.most, taken_up(at_c, share * total_pa, gas.there.high, total_pa))
    hot_pa = _over_pa(warm_c, held, _known(mixture, warm_c).low)
    if not isfinite(hot_pa):
        return inf
    nitrogen = (1.0 - share) * total_pa
    if nitrogen:  # as little of it dissolves warm as cold gas expands, or more
        cold_c, hot_c = max(1.0, at_c), max(1.0, warm_c)
        cold, hot = (dissolved_gas.henry_mol_m3_pa("n2", one) for one in (cold_c, hot_c))
        nitrogen *= max(cold / hot, (warm_c + gases.KELVIN) / (at_c + gases.KELVIN))
    hot_pa = hot_pa * (1.0 + charged_vessel.MODEL_MARGIN) + nitrogen
    hot_pa += vapour_bound_pa(mixture, warm_c)
    return max(set_pa, hot_pa - ambient_pa)


def ph_with(mixture: Mixture, dissolved: float) -> tuple[float | None, float | None, float]:
    """pH of the still drink, pH with its gas, and the error of that; None where not known."""
    water_kg, carbonic = mixture.of("water"), dissolved * mixture.volume_20_m3
    _, point, most = mixture.strong_cation_molality
    try:
        still, error = mixture.ph.value, mixture.ph.plus_minus
    except BadInput:
        if mixture.acid_molalities or most > 0.0 or mixture.fraction("protein") > 0.01:
            return None, None, 0.0
        if mixture.sugar > acids.SUGAR_HIGH or mixture.abv > acids.ABV_HIGH:
            return None, None, 0.0
        still, error = None, 0.1
    solvent_kg = water_kg + mixture.ethanol_kg
    shrink = water_kg / solvent_kg
    molal = {acid: m * shrink for acid, m in mixture.acid_molalities.items()}
    molal["carbonic"] = carbonic / solvent_kg
    shift = acids.food_acid_pk_shift(mixture.ethanol_kg / solvent_kg)
    return still, acids.equilibrium(molal, point * shrink, pk_shift=shift.point).ph, error
