"""The facts of a load for the cautions; gas through a regulator."""

from collections.abc import Callable, Mapping
from datetime import date
from functools import lru_cache
from math import floor, inf, isfinite

from prepkit.calculators.siphon import checks
from prepkit.calculators.siphon import load as siphon_load
from prepkit.calculators.siphon import load as vessel_load
from prepkit.calculators.siphon.checks import (
    lower_end,
    plus_minus,
    through_regulator,
    told,
    upper_end,
)
from prepkit.calculators.siphon.inputs import STYLES, Inputs
from prepkit.calculators.siphon.load import Bounds, Load
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.mixture import Mixture
from prepkit.model import Step
from prepkit.record import Record
from prepkit.science import charged_vessel, dissolved_gas, gases
from prepkit.science.gases import GAS_NAMES, STANDARD_PA
from prepkit.shared import room_check
from prepkit.shared.drink import ROUNDING
from prepkit.units import rounded_down

# ---- what the cautions of a siphon load are judged on ----

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


class Held(Record):
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
        facts["charger_over_storage_c"] = at_c - gases.HOTTEST_STORAGE_C
        if "charger_full_c" in facts:
            facts["charger_above_full_c"] = at_c - facts["charger_full_c"]
    return facts


def _possible(gas: str, charger_g: float, off_g: float, bulb_ml: float) -> None:
    """BadInput where so much gas, within its +/-, cannot be in such a bulb or is no charger."""
    filling = 1e3 * charger_g / bulb_ml
    least, most = gases.least_filling_kg_m3(gas), gases.most_filling_kg_m3(gas)
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
        facts: Facts = {"charger_full_c": gases.liquid_full_from_c(gas, filling)}
    except BadInput:
        return {}
    try:
        hot_bar = gases.charger_pressure_pa(gas, 50.0, filling) / BAR
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
    told = room_check.changes_h(inputs.air_changes, room_m3)
    changes_h = room_check.counted(told, "room") or 0.0
    law = room_check.jurisdiction(inputs.jurisdiction)
    least_m3 = room_check.room_limits_least_room_m3(inputs.gas, gas_m3, room_m3, changes_h, law)
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


# ---- gas out of a cylinder through a regulator ----

KEG_PARTS = {
    "rated": "the rating of the keg",
    "line_rated": "the rating of the lines",
    "regulator_rated": "the rating of the regulator",
}


class Regulated(Record):
    """What a regulator does: its facts, its values by name of the Result, the working."""

    facts: Facts
    values: dict[str, float]
    steps: tuple[Step, ...]


def always(inputs: Inputs) -> Facts:
    """What is said of every regulator, whatever else is known."""
    rated = None if inputs.rated is None else checks.lower_end(inputs, "rated")
    below = f"{rounded_down(rated):g} bar" if rated else "the rating of the weakest part"
    return {
        "through_regulator": True,
        "regulator_missing": inputs.mode != "keg" and inputs.regulator is None,
        "relief_words": below,
    }


def of_siphon(
    inputs: Inputs, mixture: Mixture, charger_g: float, warmest_c: float, max_fill_m3: float
) -> Regulated:
    """A vessel that is filled at the set pressure, shut, and comes to stand at its warmest."""

    load = siphon_load.load(inputs, mixture, (True,), charger_g, warmest_c)
    bounds = vessel_load.bounds(load)
    rated_bar = checks.lower_end(inputs, "rated")
    set_bar = checks.upper_end(inputs, "regulator")
    facts = of_pressure(load, bounds, rated_bar, max_fill_m3)
    facts |= _against({"rated": rated_bar}, set_bar)
    values = {"fill": 1e6 * load.liquid_m3, "headspace": 1e6 * load.headspace_m3}
    values["set_pressure"] = float(checks.told(inputs.regulator))
    if isfinite(bounds.highest):
        values |= {"bound": bounds.highest / BAR, "margin": rated_bar - bounds.highest / BAR}
    step = Step(
        "upper bound of the pressure, gauge",
        f"set to {set_bar:g} bar. Gas taken up at {load.temperature_c:g} °C comes out "
        f"at {warmest_c:g} °C. Vapour of the contents {load.vapour_pa / BAR:.3f} bar",
        bounds.highest / BAR if isfinite(bounds.highest) else None,
        "bar",
        "PREPKIT-GAS",
    )
    return Regulated(facts, values, (step,))


def of_keg(inputs: Inputs, mixture: Mixture, warmest_c: float) -> Regulated:
    """The set pressure that gives the volumes wanted, and what the shut keg comes to when warm.

    The keg is taken as full: what is dissolved stays so, and its pressure rises the most.
    """
    temperature_c = float(inputs.temperature)
    there = vessel_load.solubility(inputs.gas, max(1.0, temperature_c), mixture)
    warm = vessel_load.solubility(inputs.gas, max(1.0, warmest_c), mixture)
    wanted = float(checks.told(inputs.target_volumes))
    per_mol = dissolved_gas.volumes(inputs.gas, 1.0)  # volumes for 1 mol/m3
    dissolved = wanted / per_mol
    ambient = gases.ambient_pressure_pa(float(inputs.altitude))
    thin = gases.ambient_pressure_pa(checks.upper_end(inputs, "altitude"))

    def over(found: dissolved_gas.Solubility | None, at_c: float, low: bool) -> float:
        if found is None:
            return inf
        henry = found.low if low else found.middle
        return charged_vessel.pressure_over_pa(inputs.gas, at_c, dissolved, henry)

    likely = max(0.0, over(there, temperature_c, low=False) - ambient) / BAR
    most = max(0.0, over(there, temperature_c, low=True) - thin) / BAR
    vapour = vessel_load.vapour_bound_pa(mixture, warmest_c)
    hot = over(warm, warmest_c, low=True) * (1.0 + charged_vessel.MODEL_MARGIN)
    bound = max(most, (hot + vapour - thin) / BAR)
    missing = [words for name, words in KEG_PARTS.items() if getattr(inputs, name) is None]
    facts: Facts = {
        "keg_not_known": bool(missing),
        "keg_missing": " and ".join(missing),
        "bound_known": isfinite(bound),
        "still_known": isfinite(bound),
    }
    if missing or not isfinite(bound):
        return Regulated(facts, {}, ())
    ratings = {name: checks.lower_end(inputs, name) for name in KEG_PARTS}
    facts |= _against(ratings, most)
    shut_in = min(ratings["rated"], ratings["line_rated"])  # the weaker of what the gas stands in
    facts |= {
        "rated_bar": shut_in,
        "bound_bar": bound,
        "bound_over_rating": bound / shut_in,
        "gas_total_g": 1e3 * dissolved * gases.molar_mass_kg_mol(inputs.gas) * mixture.volume_20_m3,
    }
    values = {
        "set_pressure": likely,
        "bound": bound,
        "margin": shut_in - bound,
        "volumes": wanted,
        "dissolved": dissolved * gases.molar_mass_kg_mol(inputs.gas),
    }
    assert there is not None
    steps = (
        Step("gas wanted", f"{wanted:g} volumes / {per_mol:.5f} volumes per mol/m3", dissolved,
             "mol/m3"),
        Step("set pressure, gauge",
             f"{dissolved:.1f} mol/m3 over {1e4 * there.middle:.3f}e-4 mol/(m3 Pa), by fugacity, "
             f"less {ambient / BAR:.3f} bar outside", likely, "bar", "PREPKIT-GAS"),
        Step("upper bound of the shut keg, gauge",
             f"the same gas at {warmest_c:g} °C in a full keg, lowest solubility, 1 % over, "
             f"vapour {vapour / BAR:.3f} bar", bound, "bar", "PREPKIT-GAS"),
    )  # fmt: skip
    return Regulated(facts, values, steps)


def _against(ratings: dict[str, float], set_bar: float) -> Facts:
    weakest = min(ratings.values())
    return {
        "set_bar": set_bar,
        "weakest_bar": weakest,
        "set_over_rating": set_bar / weakest,
        "relief_words": f"{rounded_down(weakest):g} bar",
    }
