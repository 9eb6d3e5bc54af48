"""What the cautions of a siphon load are judged on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from functools import lru_cache
from math import floor, isfinite
from typing import NamedTuple

from prepkit.calculators.siphon.checks import (
    lower_end,
    plus_minus,
    through_regulator,
    told,
    upper_end,
)
from prepkit.calculators.siphon.customs import STYLES
from prepkit.calculators.siphon.inputs import Inputs
from prepkit.calculators.siphon.load import Bounds, Load
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.science import charger, dissolved_gas, gases
from prepkit.science.gases import GAS_NAMES, STANDARD_PA
from prepkit.shared import fresh_air, room_check, room_limits
from prepkit.shared.vessel_count import ROUNDING

# A ratio or pressure that has no bound is shown and judged as this.
NO_BOUND = 999.0
BAR = 1e5
# Where it may stand if the warmest place is not entered: a room, a warm bar [JUDGEMENT].
WARM_C = (20.0, 35.0)
# The warmest that is looked at: a shut car in the sun [JUDGEMENT].
HOTTEST_C = 50.0
ROOM_C = 20.0  # of the air that the gas ends in, at least [JUDGEMENT]


def missing(inputs: Inputs) -> Facts:
    """The three facts that every answer needs; None for one that was not entered."""
    return {
        "rated_bar": None if inputs.rated is None else float(inputs.rated),
        "vessel_l": None if inputs.vessel_volume is None else float(inputs.vessel_volume),
        "max_fill_l": None if inputs.max_fill is None else float(inputs.max_fill),
    }


def gas_is_allowed(inputs: Inputs) -> bool | None:
    """Whether the vessel's manual was said to allow the gas; None where nothing was said."""
    return inputs.gas in inputs.allowed_gas if inputs.allowed_gas else None


class Held(NamedTuple):
    """How a stop of the peak speaks of what holds the gas."""

    rated: str  # what the rating is of
    lower: str  # what lowers the peak, as an action
    surer: str  # what makes a small margin surer, as an action


HELD = {
    "chargers": Held(
        "the vessel", "Take less gas, a smaller fill or a vessel with a higher rating",
        "Weigh the fill, measure the inside volume with water, use one kind of charger, keep it "
        "cold",
    ),
    "regulator": Held(
        "the vessel",
        "Set a lower pressure, keep it colder, or take a vessel with a higher rating",
        "Read the gauge with the outlet shut, weigh the fill, and keep it cold",
    ),
    "keg": Held(
        "the weaker of keg and lines",
        "Take fewer volumes, keep it colder, or take keg and lines with a higher rating",
        "Read the gauge with the outlet shut, and keep it cold",
    ),
}  # fmt: skip


def held(inputs: Inputs) -> Held:
    """What holds the gas: a keg, a vessel at a regulator, or one with chargers."""
    if inputs.mode == "keg":
        return HELD["keg"]
    return HELD["regulator" if through_regulator(inputs) else "chargers"]


def of_vessel(inputs: Inputs, chargers: int, charger_g: float, warmest_c: float) -> Facts:
    """The load against what the vessel's plate and manual say."""
    allowed = gas_is_allowed(inputs)
    not_told = _not_told(inputs)
    heaviest_g = charger_g + plus_minus(inputs.charger_gas_mass)
    holds = held(inputs)
    facts: Facts = {
        "rated_what": holds.rated,
        "peak_lower": holds.lower,
        "margin_surer": holds.surer,
        "gas": inputs.gas,
        "gas_name": GAS_NAMES[inputs.gas],
        "gas_allowed": allowed,
        "chargers": chargers,
        "charger_g": heaviest_g,
        "warmest_c": warmest_c,
        "temperature_c": float(inputs.temperature),
        "warmest_told": inputs.warmest is not None,
        "plastic_head_not_cleared": inputs.head == "plastic" and allowed is not True,
        "plastic_head": inputs.head == "plastic",
        "before_bar": 0.0
        if inputs.pressure_before is None
        else upper_end(inputs, "pressure_before"),
        "not_told": ", ".join(not_told),
        "something_not_told": bool(not_told),
    }
    if inputs.allowed_charger is not None:
        facts["allowed_charger_g"] = lower_end(inputs, "allowed_charger")
        facts["charger_over_allowed"] = heaviest_g / facts["allowed_charger_g"]
    if inputs.most_chargers is not None:
        facts["over_most_chargers"] = chargers - inputs.most_chargers
        facts["most_chargers"] = inputs.most_chargers
    if inputs.hottest is not None:
        facts["hottest_c"] = lower_end(inputs, "hottest")
        facts["over_hottest_c"] = warmest_c - facts["hottest_c"]
    else:
        facts["warm_without_limit_c"] = warmest_c
    if inputs.inspection_due is not None:
        facts["days_overdue"] = _days(inputs.inspection_due, told(inputs.date))
        facts["inspection_due"] = inputs.inspection_due
    return facts


# what was not entered; where to read it stands in the caution
WHERE = {
    "allowed_gas": "the allowed gases",
    "allowed_charger": "the largest charger",
    "most_chargers": "the most chargers",
    "hottest": "the highest temperature",
    "inspection_due": "the next inspection",
    "head": "the material of the head",
}


_NO_KEG = ("allowed_charger", "most_chargers", "head")  # of a siphon with chargers


def _not_told(inputs: Inputs) -> list[str]:
    return [
        where
        for name, where in WHERE.items()
        if getattr(inputs, name) in (None, ()) and not (inputs.mode == "keg" and name in _NO_KEG)
    ]


def _days(first: str, last: str) -> int:
    return (date.fromisoformat(last) - date.fromisoformat(first)).days


def of_charger(inputs: Inputs, charger_g: float) -> Facts:
    """The bulb itself: heat, being full of liquid, size; BadInput for a bulb that cannot be."""
    facts: Facts = {"charger_mass_assumed": inputs.charger_gas_mass is None}
    bulb_ml = float(inputs.charger_volume)
    if bulb_ml > 0:
        _possible(inputs.gas, charger_g, plus_minus(inputs.charger_gas_mass), bulb_ml)
        facts.update(_full_from(inputs.gas, 1e3 * charger_g / bulb_ml))
    if inputs.charger_temperature is not None:
        at_c = upper_end(inputs, "charger_temperature")
        facts["charger_c"] = at_c
        facts["charger_over_storage_c"] = at_c - charger.HOTTEST_STORAGE_C
        if "charger_full_c" in facts:
            facts["charger_above_full_c"] = at_c - facts["charger_full_c"]
    return facts


def _possible(gas: str, charger_g: float, off_g: float, bulb_ml: float) -> None:
    """BadInput where so much gas, within its +/-, cannot be in such a bulb or is no charger."""
    filling = 1e3 * charger_g / bulb_ml
    least, most = charger.least_filling_kg_m3(gas), charger.most_filling_kg_m3(gas)
    off = 1e3 * off_g / bulb_ml
    if least * (1 - ROUNDING) - off <= filling <= most * (1 + ROUNDING) + off:
        return
    wrong = "more than can be in one" if filling > most else "far less than a charger holds"
    said = f"{filling:.0f}" if filling > 10 else f"{filling:.2g}"
    raise BadInput(
        f"{charger_g:g} g of {gas} in a bulb of {bulb_ml:g} ml is {said} g/l, {wrong}; it must be "
        f"{least:.0f} to {most:.0f} g/l, and {charger_g:g} g need {1e3 * charger_g / most:.3g} to "
        f"{1e3 * charger_g / least:.3g} ml: check {named('charger_gas_mass')} and "
        f"{named('charger_volume')} (0 ml "
        f"where gas comes through a regulator).",
        "charger_gas_mass",
    )


@lru_cache(maxsize=64)  # a house has few kinds of bulb
def _full_from(gas: str, filling: float) -> Facts:
    """When such a bulb is full of liquid, with its pressure at 50 C where the table has it."""
    try:
        facts: Facts = {"charger_full_c": charger.liquid_full_from_c(gas, filling)}
    except BadInput:
        return {}
    try:
        hot_bar = charger.charger_pressure_pa(gas, 50.0, filling) / BAR
        facts["charger_hot_words"] = f" and reach {hot_bar:.0f} bar at 50 °C"
    except BadInput:
        facts["charger_hot_words"] = ""
    return facts


def of_room(inputs: Inputs, gas_kg: float) -> Facts:
    """All gas at once in the room where it is charged, by the limits of the place.

    gas_kg: of all vessels, at its upper end; 0 where it comes from a cylinder of unknown size.
    """
    if inputs.room_volume is None:
        return {}
    room_m3 = lower_end(inputs, "room_volume")
    if gas_kg <= 0.0:
        return {"room_m3": room_m3}
    at_c = max(ROOM_C, float(inputs.temperature))
    gas_m3 = gas_kg * gases.gas_volume_m3_kg(inputs.gas, at_c)
    told = fresh_air.changes_h(inputs.air_changes, room_m3)
    changes_h = fresh_air.counted(told, "room") or 0.0
    law = room_check.jurisdiction(inputs.jurisdiction)
    least_m3 = room_limits.least_room_m3(inputs.gas, gas_m3, room_m3, changes_h, law)
    return {
        "room_m3": room_m3,
        "room_gas_g": 1e3 * gas_kg,
        "room_gas_percent": 100 * min(1.0, gas_m3 / room_m3),
        "least_room_m3": least_m3,
        "room_over_least": least_m3 / room_m3,
    }


def of_style(inputs: Inputs) -> Facts:
    """Whether another gas is usual for this style."""
    style = STYLES[inputs.style] if inputs.style else None
    return {
        "style_wants_other_gas": style is not None and inputs.gas not in style.gases,
        "style": inputs.style or "",
        "style_gases": " or ".join(style.gases) if style else "",
    }


def _bar(pascal: float) -> float:
    return pascal / BAR if isfinite(pascal) else NO_BOUND


def of_pressure(load: Load, bounds: Bounds, rated_bar: float, max_fill_m3: float) -> Facts:
    """The bounds against the plate. Ratios and pressures without a bound are NO_BOUND."""
    bound, still = _bar(bounds.highest), _bar(bounds.highest_unshaken)
    return {
        "rated_bar": rated_bar,
        "max_fill_l": 1e3 * max_fill_m3,
        "bound_bar": bound,
        "bound_known": isfinite(bounds.highest),
        "bound_over_rating": bound / rated_bar,
        "still_bar": still,
        "shaking_saves": still / rated_bar if bound < still and bound <= rated_bar else 0.0,
        "still_known": isfinite(bounds.highest_unshaken),
        "fill_over_max": load.liquid_most_m3 / max_fill_m3 * (1 - ROUNDING),
        "fill_ml": load.liquid_most_m3 * 1e6,
        "gas_total_g": load.gas_kg * 1e3,
        "solubility_unknown": load.solubility is None,
    }


def of_warmth(warmer: Mapping[float, Bounds], rated_bar: float) -> Facts:
    """The bounds at warmer places, if the warmest place was not entered."""
    found = {
        at_c: max(_bar(bounds.highest), 0.0 if isfinite(bounds.highest_unshaken) else NO_BOUND)
        for at_c, bounds in warmer.items()
    }
    said = [
        f"{bar:.1f} bar at {at_c:g} °C" if bar < NO_BOUND else f"no known limit at {at_c:g} °C"
        for at_c, bar in sorted(found.items())
    ]
    return {
        "warm_over_rating": max(found.values(), default=0.0) / rated_bar,
        "warm_words": " and ".join(said),
    }


def of_passing(
    at: Callable[[float], Bounds], told: Bounds, warmest_c: float, rated_bar: float
) -> Facts:
    """The warmest whole degree at which it still is within the rating, if warmer it is not.

    `at`: the bounds at a temperature, `told` those at `warmest_c`. Nothing where the rating is
    passed already, or not up to HOTTEST_C.
    """

    def passed(bounds: Bounds) -> bool:
        return not isfinite(bounds.highest_unshaken) or bounds.highest > rated_bar * BAR

    if warmest_c >= HOTTEST_C or passed(told) or not passed(at(HOTTEST_C)):
        return {}
    within, over = floor(warmest_c), int(HOTTEST_C)
    while over - within > 1:
        middle = (within + over) // 2
        within, over = (within, middle) if passed(at(float(middle))) else (middle, over)
    return {"within_to_c": float(within)}


def of_hydrate(load: Load, settled_pa: float | None) -> Facts:
    """Settled pressure over the line where a gas hydrate may form; nothing above 10 C."""
    if settled_pa is None or load.gas not in dissolved_gas.HYDRATE:
        return {}
    try:
        line = dissolved_gas.hydrate_pa(load.gas, max(0.0, load.temperature_c))
    except BadInput:
        return {}
    return {"over_hydrate_line": settled_pa / line, "hydrate_bar": (line - STANDARD_PA) / BAR}
