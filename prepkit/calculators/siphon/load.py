"""The load of a vessel: states of its gas, fillings; its facts for the cautions; a regulator.

Between the words of the siphon calculator and the relations of `science.charged_vessel`: takes a
Mixture apart into the phases that gas dissolves in, and puts every allowance of a verdict on the
cautious side, so that more gas, a fuller or warmer vessel, a lower rating or a higher place can
never look milder.
"""

import math
from collections.abc import Callable, Mapping
from datetime import date
from functools import lru_cache
from math import floor, inf, isfinite
from typing import NamedTuple

from prepkit.calculators.siphon import inputs as checks
from prepkit.calculators.siphon.inputs import (
    STYLES,
    Inputs,
    lower_end,
    plus_minus,
    through_regulator,
    told,
    upper_end,
)
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Step
from prepkit.record import Record
from prepkit.science import charged_vessel, dissolved_gas, ethanol, gases, solution
from prepkit.science.charged_vessel import Charge, Service, Settled
from prepkit.science.dissolved_gas import GasSolubility
from prepkit.science.gases import GAS_NAMES, STANDARD_PA
from prepkit.science.heat import ETHANOL_KG_MOL, WATER_KG_MOL
from prepkit.shared import room_check
from prepkit.shared.drink import ROUNDING
from prepkit.units import rounded_down

# ---- one charged vessel as plain numbers ----

# The verdict takes every vessel as filled near freezing: the coldest liquid and air swell most.
FILLED_AT_C, DENSEST_C = 1.0, 4.0
# Expansion where no density is published (hot spirit): that of pure ethanol, rounded up.
MOST_EXPANSION_PER_K = 0.0012
SMALLEST_HEADSPACE_M3 = 1e-7


class Load(Record):
    """What one vessel holds. Volumes in m3, gas in kg, pressures in Pa absolute.

    For show: `liquid_m3` in the vessel as told. For the bound: the fullest that may be meant
    (`liquid_most_m3`), the most room that as much takes when warmest (`hot_m3`, of the liquid as
    told), and that with all that a +/- can add (`liquid_hot_m3`). `vapour_pa` is the most vapour of
    the contents at the warmest; `set_pa` that of a regulator and `before_pa` what is in the vessel
    already, both above the air outside.
    """

    gas: str
    temperature_c: float
    warmest_c: float
    charges_kg: tuple[float, ...]
    shaken: tuple[bool, ...]
    vessel_m3: float
    liquid_m3: float
    liquid_most_m3: float
    cold_m3: tuple[float, ...]
    hot_m3: float
    liquid_hot_m3: float
    bulb_m3: float
    smallest_bulb_m3: float
    tolerance: float
    air_pa: float
    ambient_pa: float
    thinnest_pa: float
    vapour_pa: float
    set_pa: float | None
    before_pa: float
    solubility: GasSolubility | None
    lowest_hot: float

    @property
    def headspace_m3(self) -> float:
        """Headspace at the temperature of filling."""
        return self.vessel_m3 - self.liquid_m3

    @property
    def gas_kg(self) -> float:
        """Gas of all charges together."""
        return math.fsum(self.charges_kg)


class Bounds(NamedTuple):
    """Cautious bounds, Pa above the air outside: of each charge, and had nothing been shaken."""

    of_charges: tuple[float, ...]
    unshaken: tuple[float, ...]

    @property
    def highest(self) -> float:
        """The highest of the charges as they are done; infinite where no bound is known."""
        return max(self.of_charges)

    @property
    def highest_unshaken(self) -> float:
        """The highest had the vessel not been shaken at all."""
        return max(self.unshaken)


# the liquid


def phases(mixture: Mixture) -> tuple[float, float, float, float]:
    """Water phase (m3 per m3), sugar in it (kg/m3), strength of it (0-1), fat (kg per m3)."""
    volume = mixture.volume_20_m3
    phase = 0.0
    if mixture.solution_kg > 0:
        phase = mixture.solution_kg / solution.density_kg_m3(mixture.solution_fractions, 20.0)
    fat = mixture.of("milk_fat", "fat") / volume
    if phase <= 0:
        return 0.0, 0.0, 0.0, fat
    return (
        min(1.0, phase / volume),
        mixture.of(*SUGARS, "other_solubles") / phase,
        min(1.0, mixture.ethanol_kg / ethanol.PURE_KG_M3 / phase),
        fat,
    )


def solubility(gas: str, temperature_c: float, mixture: Mixture) -> GasSolubility | None:
    """Henry constant of the liquid, or None where no relation holds for it."""
    try:
        found = dissolved_gas.henry_in_liquid(gas, temperature_c, *phases(mixture))
    except BadInput:
        return None
    return found if found.low > 0.0 else None  # nitrogen in oil: no figure


def _volume(mixture: Mixture, temperature_c: float) -> float | None:
    try:
        return mixture.volume_m3(temperature_c)
    except BadInput:
        return None


def volume_m3(mixture: Mixture, temperature_c: float) -> float:
    """Room that the liquid takes at a temperature; that at 20 C where no density is known."""
    return _volume(mixture, temperature_c) or mixture.volume_20_m3


def cold_volumes_m3(mixture: Mixture) -> tuple[float, ...]:
    """Room that the liquid takes where it is coldest and densest, as far as that is known."""
    found = (_volume(mixture, at_c) for at_c in (FILLED_AT_C, DENSEST_C))
    return tuple(value for value in found if value is not None)


def hot_volume_m3(
    mixture: Mixture, temperature_c: float, cold: tuple[float, ...] | None = None
) -> float:
    """Most room that the liquid can take: measured when it was coldest, then warmed.

    `cold`: its `cold_volumes_m3`, where they are known already.
    """
    hot = _volume(mixture, temperature_c)
    cold = cold_volumes_m3(mixture) if cold is None else cold
    if hot is None or not cold:
        growth = 1.0 + MOST_EXPANSION_PER_K * max(0.0, temperature_c - FILLED_AT_C)
    else:
        growth = max(hot, *cold) / min(cold)
    return mixture.volume_20_m3 * max(1.0, growth)


# the vessel


def bounds(load: Load) -> Bounds:
    """The bounds that a verdict rests on, at the warmest temperature told."""
    headspace = load.vessel_m3 - load.liquid_hot_m3
    count = len(load.charges_kg)
    if headspace < SMALLEST_HEADSPACE_M3:
        return Bounds((inf,) * count, (inf,) * count)
    if load.set_pa is not None:
        one = kept_bound_pa(load, load.set_pa, headspace) + load.vapour_pa
        return Bounds((one,) * count, (one,) * count)
    beside = air_bound_pa(load, headspace) + load.vapour_pa
    if load.before_pa > 0.0:  # partial pressures of one gas add up to more than they make together
        before = kept_bound_pa(load, load.before_pa, headspace)
        if before == inf:
            return Bounds((inf,) * count, (inf,) * count)
        beside += before

    def run(shaken: tuple[bool, ...]) -> tuple[float, ...]:
        found = charged_vessel.sequence_bounds_pa(
            load.gas,
            load.warmest_c,
            load.charges_kg,
            shaken,
            headspace,
            load.liquid_hot_m3,
            load.lowest_hot,
            load.smallest_bulb_m3,
            load.tolerance,
            beside,
        )
        return tuple(bound - load.thinnest_pa for bound in found)

    still = run((False,) * count)
    return Bounds(run(load.shaken) if any(load.shaken[:-1]) else still, still)


def kept_bound_pa(load: Load, set_pa: float, headspace_m3: float) -> float:
    """Most pressure that gas which stood at `set_pa` comes to when it is warmest and shut in, Pa.

    Both above the air outside. The liquid has taken up all it can at the temperature of filling,
    and holds the least it can at the warmest; all the pressure is taken for the gas's own.
    """
    most = load.solubility.high if load.solubility else 0.0
    start_c = min(load.temperature_c, load.warmest_c)
    outside_pa = max(load.ambient_pa, load.thinnest_pa)
    held = charged_vessel.held_kg(
        load.gas, start_c, set_pa + outside_pa, load.vessel_m3 - load.liquid_m3, load.liquid_m3,
        most,
    )  # fmt: skip
    if held == inf or load.solubility is None:
        return inf
    hot = charged_vessel.settled(
        load.gas, load.warmest_c, held, headspace_m3, load.liquid_hot_m3, load.lowest_hot, 0.0, 0.0
    )
    if hot.state != charged_vessel.GAS:
        return inf
    return max(set_pa, hot.absolute_pa * (1.0 + charged_vessel.MODEL_MARGIN) - load.thinnest_pa)


def air_bound_pa(load: Load, headspace_m3: float) -> float:
    """Most pressure of the air left in: warmed from 0 C, and squeezed by liquid that has grown."""
    over = load.liquid_most_m3 / load.liquid_m3
    grown = max(0.0, load.hot_m3 - load.liquid_m3) * over
    air = charged_vessel.warmed_air_pa(STANDARD_PA, 0.0, load.warmest_c)
    return air * (headspace_m3 + grown) / headspace_m3


def vapour_bound_pa(mixture: Mixture, temperature_c: float) -> float:
    """Most vapour of water and spirit over the contents; [JUDGEMENT]: below 0 C that of 0 C."""
    water = mixture.of("water") / WATER_KG_MOL
    spirit = mixture.of("ethanol") / ETHANOL_KG_MOL
    share = spirit / (water + spirit) if spirit else 0.0
    return ethanol.most_vapour_pa(share, max(0.0, temperature_c))


def at_temperature(load: Load, mixture: Mixture, temperature_c: float) -> Load:
    """The same load standing at another temperature, for its bounds."""
    there = solubility(load.gas, max(FILLED_AT_C, temperature_c), mixture)
    grown = hot_volume_m3(mixture, temperature_c, load.cold_m3) - load.hot_m3
    over = load.liquid_most_m3 / load.liquid_m3
    return load.replaced(
        warmest_c=temperature_c,
        hot_m3=load.hot_m3 + grown,
        liquid_hot_m3=load.liquid_hot_m3 + grown * over,
        vapour_pa=vapour_bound_pa(mixture, temperature_c),
        lowest_hot=there.low if there else 0.0,
    )


def bounds_at(load: Load, mixture: Mixture, temperature_c: float) -> Bounds:
    """The bounds of the same load standing at another temperature."""
    return bounds(at_temperature(load, mixture, temperature_c))


def charges(load: Load, henry: float) -> tuple[Charge, ...]:
    """The charges one after another with one Henry constant."""
    return charged_vessel.charge_sequence(
        load.gas,
        load.temperature_c,
        load.charges_kg,
        load.shaken,
        load.headspace_m3,
        load.liquid_m3,
        henry,
        load.bulb_m3,
        load.air_pa,
    )


def without_bulb(load: Load, last: Charge) -> float:
    """Gas left in the vessel when the last spent bulb is taken off, kg."""
    room = load.headspace_m3 + load.bulb_m3
    return last.gas_kg - (last.gas_kg - last.dissolved_kg) * load.bulb_m3 / room


def warmed(load: Load, mixture: Mixture, temperature_c: float) -> Settled | None:
    """The settled vessel, bulb off, standing at another temperature (likely solubility)."""
    if load.solubility is None:
        return None
    there = solubility(load.gas, temperature_c, mixture)
    growth = volume_m3(mixture, temperature_c) / volume_m3(mixture, load.temperature_c)
    liquid = load.liquid_m3 * growth
    headspace = load.vessel_m3 - liquid
    if there is None or headspace < SMALLEST_HEADSPACE_M3:
        return None
    held = without_bulb(load, charges(load, load.solubility.middle)[-1])
    air = charged_vessel.warmed_air_pa(load.air_pa, load.temperature_c, temperature_c)
    return charged_vessel.settled(
        load.gas, temperature_c, held, headspace, liquid, there.middle, 0.0, air
    )


def carried_pa(load: Load, mixture: Mixture, read_pa: float, read_c: float | None) -> float:
    """Pressure at the warmest of a settled vessel that shows `read_pa`; both Pa above outside.

    read_c: of the vessel when it was read, -10 to 70 C; the colder of it and of the filling counts.
    By the settled balance at each end of the band of solubility, all that is read taken for the
    gas's own; infinite where no balance holds. Never below what was read. Source: [PREPKIT-GAS].
    """
    start_c = min(load.temperature_c, load.warmest_c, *(() if read_c is None else (read_c,)))
    start = solubility(load.gas, max(FILLED_AT_C, start_c), mixture)
    there = solubility(load.gas, max(FILLED_AT_C, load.warmest_c), mixture)
    at_filling_m3 = volume_m3(mixture, load.temperature_c)
    cold_m3, hot_m3 = (
        load.liquid_m3 * volume_m3(mixture, at_c) / at_filling_m3
        for at_c in (start_c, load.warmest_c)
    )
    if start is None or there is None or load.vessel_m3 - hot_m3 < SMALLEST_HEADSPACE_M3:
        return inf
    worst = read_pa
    for cold, hot in zip(start, there, strict=True):  # the same liquid, colder and warmer
        held = charged_vessel.held_kg(
            load.gas, start_c, read_pa + load.ambient_pa, load.vessel_m3 - cold_m3, cold_m3, cold
        )
        if held == inf:
            return inf
        found = charged_vessel.settled(
            load.gas, load.warmest_c, held, load.vessel_m3 - hot_m3, hot_m3, hot, 0.0, 0.0
        )
        if found.state != charged_vessel.GAS:
            return inf
        worst = max(worst, found.absolute_pa - load.ambient_pa)
    return worst


def service(
    load: Load,
    henry: float,
    portion_m3: float,
    shaken_between: bool,
    least_pa: float,
    nozzle_loss: float = 0.0,
) -> Service:
    """Portions drawn from the settled vessel; `least_pa` is above the air outside."""
    held = without_bulb(load, charges(load, henry)[-1])
    return charged_vessel.dispense(
        load.gas,
        load.temperature_c,
        held,
        load.headspace_m3,
        load.liquid_m3,
        henry,
        portion_m3,
        shaken_between,
        least_pa + load.ambient_pa,
        load.air_pa,
        load.ambient_pa,
        nozzle_loss,
    )


def last_portion_pa(load: Load, portion_m3: float, shaken_between: bool) -> float:
    """Pressure at the end of the last portion at the likely solubility, Pa above outside.

    More gas than is likely needed is never taken for it: the rating is no reason to.
    """
    if load.solubility is None:
        return -inf
    served = service(load, load.solubility.middle, portion_m3, shaken_between, 0.0)
    if served.liquid_left_m3 >= portion_m3 * (1.0 - 1e-9):
        return -inf
    return served.portions[-1].after_pa - load.ambient_pa


# how many charges


class Candidate(Record):
    """A number of charges: its bound, and how far it gets (last portion Pa, or dissolved kg/m3)."""

    count: int
    bound_pa: float
    reached: float
    enough: bool


def with_count(load: Load, count: int, shaken: bool) -> Load:
    """The same load with `count` equal charges, shaken after each or only after the last."""
    each = load.charges_kg[0]
    marks = tuple(shaken or place == count - 1 for place in range(count))
    return load.replaced(charges_kg=(each,) * count, shaken=marks)


def fewest(
    load: Load,
    rated_pa: float,
    most: int,
    reach: Callable[[Load], float],
    wanted: float,
) -> tuple[int | None, tuple[Candidate, ...]]:
    """The fewest charges that reach what is wanted within the rating, and all that were tried.

    Each is shaken after every charge; the bound does not count on it.
    """
    tried: list[Candidate] = []
    for count in range(1, most + 1):
        one = with_count(load, count, shaken=True)
        bound = bounds(one).highest_unshaken
        if bound > rated_pa:
            tried.append(Candidate(count, bound, 0.0, enough=False))
            return None, tuple(tried)
        reached = reach(one)
        tried.append(Candidate(count, bound, reached, reached >= wanted))
        if reached >= wanted:
            return count, tuple(tried)
    return None, tuple(tried)


# ---- the vessel as it is filled ----

LEAST_HEADSPACE_M3 = 1e-6


def batch(inputs: Inputs) -> tuple[int, Mixture, Mixture]:
    """Vessels, what is in the fullest of them, and what is in all of them."""
    mixture = inputs.contents.mixture
    if inputs.mode != "plan" or not inputs.max_fill:
        return 1, mixture, mixture
    vessel_count, in_one = checks.shared_out(inputs)
    portion = mixture.scaled(1e-6 * float(checks.told(inputs.portion_size)) / mixture.volume_20_m3)
    return vessel_count, portion.scaled(in_one), portion.scaled(checks.told(inputs.portions))


def load(
    inputs: Inputs, mixture: Mixture, marks: tuple[bool, ...], charger_g: float, warmest_c: float
) -> Load:
    """The vessel in plain numbers; what carries a +/- is taken at its worse end for the bound."""
    temperature_c = float(inputs.temperature)
    more = checks.share_over(inputs)
    vessel_m3 = 1e-3 * float(checks.told(inputs.vessel_volume))
    smaller_m3 = vessel_m3 - 1e-3 * checks.lower_end(inputs, "vessel_volume")
    # a volume is taken as measured where it is filled, a mass grows with its temperature
    by_mass = inputs.contents.amount.unit == "g" and inputs.mode != "plan"
    liquid_m3 = volume_m3(mixture, temperature_c) if by_mass else mixture.volume_20_m3
    checks.room_for_gas(liquid_m3, vessel_m3, LEAST_HEADSPACE_M3)
    cold_m3 = cold_volumes_m3(mixture)
    hot_m3 = hot_volume_m3(mixture, warmest_c, cold_m3)
    spread = 0.0
    if inputs.charger_gas_mass is not None:
        spread = 1.0 - checks.lower_end(inputs, "charger_gas_mass") / charger_g
    over = max(0.01 * checks.upper_end(inputs, "charger_tolerance"), spread)
    lowest = solubility(inputs.gas, max(1.0, warmest_c), mixture)
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    # no more bulb is counted on for the bound than so much gas must at least have
    bulb_m3 = 1e-6 * float(inputs.charger_volume)
    least_kg = 1e-3 * charger_g * (1.0 - spread)
    return Load(
        gas=inputs.gas,
        temperature_c=temperature_c,
        warmest_c=warmest_c,
        charges_kg=(charger_g / 1e3,) * len(marks),
        shaken=marks,
        vessel_m3=vessel_m3,
        liquid_m3=liquid_m3,
        liquid_most_m3=liquid_m3 * (1.0 + more),
        cold_m3=cold_m3,
        hot_m3=hot_m3,
        liquid_hot_m3=hot_m3 * (1.0 + more) + smaller_m3,
        bulb_m3=bulb_m3,
        smallest_bulb_m3=min(bulb_m3, gases.smallest_bulb_m3(inputs.gas, max(0.0, least_kg))),
        tolerance=over,
        air_pa=0.0 if inputs.purged else ambient_pa,
        ambient_pa=ambient_pa,
        thinnest_pa=gases.ambient_pressure_pa(checks.upper_end(inputs, "altitude")),
        set_pa=_upper_pa(inputs, "regulator"),
        before_pa=_upper_pa(inputs, "pressure_before") or 0.0,
        vapour_pa=vapour_bound_pa(mixture, warmest_c),
        solubility=solubility(inputs.gas, max(1.0, temperature_c), mixture),
        lowest_hot=lowest.low if lowest else 0.0,
    )


def _upper_pa(inputs: Inputs, name: str) -> float | None:
    return None if getattr(inputs, name) is None else 1e5 * checks.upper_end(inputs, name)


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


class HolderWords(Record):
    """How a stop of the peak speaks of what holds the gas."""

    rated: str  # what the rating is of
    lower: str  # what lowers the peak, as an action
    surer: str  # what makes a small margin surer, as an action


HELD = {
    "chargers": HolderWords(
        "the vessel", "Take less gas, a smaller fill or a vessel with a higher rating",
        "Weigh the fill, measure the inside volume with water, use one kind of charger, keep it "
        "cold",
    ),
    "regulator": HolderWords(
        "the vessel",
        "Set a lower pressure, keep it colder, or take a vessel with a higher rating",
        "Read the gauge with the outlet shut, weigh the fill, and keep it cold",
    ),
    "keg": HolderWords(
        "the weaker of keg and lines",
        "Take fewer volumes, keep it colder, or take keg and lines with a higher rating",
        "Read the gauge with the outlet shut, and keep it cold",
    ),
}  # fmt: skip


def held(inputs: Inputs) -> HolderWords:
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

    filled = load(inputs, mixture, (True,), charger_g, warmest_c)
    ends = bounds(filled)
    rated_bar = checks.lower_end(inputs, "rated")
    set_bar = checks.upper_end(inputs, "regulator")
    facts = of_pressure(filled, ends, rated_bar, max_fill_m3)
    facts |= _against({"rated": rated_bar}, set_bar)
    values = {"fill": 1e6 * filled.liquid_m3, "headspace": 1e6 * filled.headspace_m3}
    values["set_pressure"] = float(checks.told(inputs.regulator))
    if isfinite(ends.highest):
        values |= {"bound": ends.highest / BAR, "margin": rated_bar - ends.highest / BAR}
    step = Step(
        "upper bound of the pressure, gauge",
        f"set to {set_bar:g} bar. Gas taken up at {filled.temperature_c:g} °C comes out "
        f"at {warmest_c:g} °C. Vapour of the contents {filled.vapour_pa / BAR:.3f} bar",
        ends.highest / BAR if isfinite(ends.highest) else None,
        "bar",
        "PREPKIT-GAS",
    )
    return Regulated(facts, values, (step,))


def of_keg(inputs: Inputs, mixture: Mixture, warmest_c: float) -> Regulated:
    """The set pressure that gives the volumes wanted, and what the shut keg comes to when warm.

    The keg is taken as full: what is dissolved stays so, and its pressure rises the most.
    """
    temperature_c = float(inputs.temperature)
    there = solubility(inputs.gas, max(1.0, temperature_c), mixture)
    warm = solubility(inputs.gas, max(1.0, warmest_c), mixture)
    wanted = float(checks.told(inputs.target_volumes))
    per_mol = dissolved_gas.volumes(inputs.gas, 1.0)  # volumes for 1 mol/m3
    dissolved = wanted / per_mol
    ambient = gases.ambient_pressure_pa(float(inputs.altitude))
    thin = gases.ambient_pressure_pa(checks.upper_end(inputs, "altitude"))

    def over(found: dissolved_gas.GasSolubility | None, at_c: float, low: bool) -> float:
        if found is None:
            return inf
        henry = found.low if low else found.middle
        return charged_vessel.pressure_over_pa(inputs.gas, at_c, dissolved, henry)

    likely = max(0.0, over(there, temperature_c, low=False) - ambient) / BAR
    most = max(0.0, over(there, temperature_c, low=True) - thin) / BAR
    vapour = vapour_bound_pa(mixture, warmest_c)
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
