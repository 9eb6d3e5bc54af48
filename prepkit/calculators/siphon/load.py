"""The load of a vessel: states of its gas, fillings.

Between the words of the siphon calculator and the relations of `science.charged_vessel`: takes a
Mixture apart into the phases that gas dissolves in, and puts every allowance of a verdict on the
cautious side, so that more gas, a fuller or warmer vessel, a lower rating or a higher place can
never look milder.
"""

import math
from collections.abc import Callable
from math import inf
from typing import NamedTuple

from prepkit.calculators.siphon import checks
from prepkit.calculators.siphon.inputs import Inputs
from prepkit.errors import BadInput
from prepkit.mixture import SUGARS, Mixture
from prepkit.record import Record
from prepkit.science import charged_vessel, dissolved_gas, ethanol, gases, solution
from prepkit.science.charged_vessel import Charge, Service, Settled
from prepkit.science.dissolved_gas import Solubility
from prepkit.science.gases import STANDARD_PA
from prepkit.science.heat import ETHANOL_KG_MOL, WATER_KG_MOL

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
    solubility: Solubility | None
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


def solubility(gas: str, temperature_c: float, mixture: Mixture) -> Solubility | None:
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
    return tuple(one for one in found if one is not None)


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
