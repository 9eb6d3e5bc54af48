"""siphon: what a charged vessel will do, from the first hiss to the last portion."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Self

from prepkit.calculators.siphon import checks, contents, filling, regulator, report, ways
from prepkit.calculators.siphon import facts as load_facts
from prepkit.calculators.siphon import load as vessel_load
from prepkit.calculators.siphon.customs import CHARGER_G
from prepkit.calculators.siphon.inputs import Inputs as Inputs
from prepkit.calculators.siphon.load import Bounds, Load
from prepkit.calculators.siphon.ways import ways_out as ways_out
from prepkit.facts import Facts
from prepkit.first_screen import Figure, Screen
from prepkit.mixture import Mixture
from prepkit.model import Later, Table, output
from prepkit.model import Result as BaseResult
from prepkit.shared import part_heat
from prepkit.units import Measured

EXAMPLE = (
    'prepkit siphon --contents "500 ml cream 35 %" --vessel-volume "0.78 l" --max-fill "0.5 l" '
    '--rated "17 bar" --gas n2o --chargers 1 --temperature "5 C"'
)
MOST_TRIED = 8
# what may stand beside a stop: the reasons, nothing to go ahead with
REASONS = frozenset(("fill", "headspace", "gas_mass", "peak", "bound", "margin"))
PRESSURES = frozenset(("peak", "bound", "margin"))


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """What the vessel will do; only the reasons where the answer is no. Pressures are gauge."""

    screen = Screen(
        headline=(
            "Peak up to {bound}, {margin} below the rated pressure.",
            "Settled {settled}.",
            "{left} stay in the vessel after the last portion.",
        ),
        primary=(
            Figure("peak, gauge", "peak"),
            Figure("upper bound, gauge", "bound"),
            Figure("margin below rated", "margin"),
            Figure("headspace", "headspace"),
            Figure("settled, gauge", "settled_low", "settled_high"),
            Figure("gas if all vented", "vented"),
            "dissolved",
            "served",
            "last_pressure",
            "left",
        ),
        check=("settled",),
        do_this=(
            "Fill {contents} at {temperature}.",
            "Vessels: {vessels}, with {fill} in the fullest.",
            "Charge with {gas_name}. Chargers for each vessel: {chargers_each}.",
            "Charge with {gas_name}. Chargers for each vessel: {chargers}.",
            "Set the regulator to {set_pressure}.",
        ),
    )

    fill: float | None = output("liquid in the fullest vessel", "ml", 0)
    set_pressure: float | None = output("regulator set pressure (gauge)", "bar", 2)
    headspace: float | None = output("headspace", "ml", 0)
    gas_mass: float | None = output("gas into one vessel", "g", 1)
    peak: float | None = output("peak before shaking (gauge)", "bar", 1)
    bound: float | None = output(
        "upper bound of peak pressure (gauge)", "bar", 1, worst=True, limit="least"
    )
    margin: float | None = output("margin below rated pressure", "bar", 1, worst=True, limit="most")
    settled: float | None = output("settled pressure (gauge)", "bar", 1)
    settled_low: float | None = output(
        "settled pressure, lower bound (gauge)", "bar", 1, limit="most"
    )
    settled_high: float | None = output(
        "settled pressure, upper bound (gauge)", "bar", 1, limit="least"
    )
    dissolved: float | None = output("gas dissolved", "g/l", 2)
    volumes: float | None = output("gas dissolved, volumes (0 °C, 1 atm)", "", 2)
    overrun: float | None = output("overrun, upper bound", "%", 0)
    energy: float | None = output("energy in headspace (order of magnitude)", "J", 0)
    vented: float | None = output("gas if all is vented", "l", 1)
    vessels: float | None = output("vessels", "", 0)
    chargers_each: float | None = output("chargers per vessel", "", 0)
    chargers_all: float | None = output("chargers in all", "", 0)
    practice_each: float | None = output("usual chargers per vessel", "", 0)
    served: float | None = output("portions above least pressure", "", 0)
    last_pressure: float | None = output("pressure after last portion (gauge)", "bar", 1)
    last_pressure_low: float | None = output(
        "last portion pressure, lower bound (gauge)", "bar", 1, limit="most"
    )
    left: float | None = output("liquid left in the vessel", "ml", 0)
    vented_after: float | None = output("gas vented after service", "l", 1)

    standing: tuple[Load, Mixture] | None = None  # one vessel, to carry a reading of it

    def carried_bar(self, read_bar: float, read_c: float | None) -> float | None:
        """Hook of the base: a gauge reading as it will be at the warmest told, bar gauge."""
        if self.standing is None:
            return None
        return vessel_load.carried_pa(*self.standing, 1e5 * read_bar, read_c) / 1e5

    def beside_stop(self) -> Self:
        """Hook of the base: only the reasons. Pressures within the rating must not look checked."""
        kept = set(REASONS)
        if (self.margin or 0.0) > 0.0:
            kept -= PRESSURES
        working = self.working[: 1 if kept != REASONS else 2]
        if kept == REASONS:  # the figures that the stop rests on, to be followed
            working += tuple(one for one in self.working if "bound" in one.label)
        values = {name: getattr(self, name) for name in kept}
        return type(self)(
            product=self.product, facts=self.facts, working=working, deciding=self.deciding,
            **values,
        )  # fmt: skip


def _as_warm_as_all(inputs: Inputs) -> Inputs:
    """The inputs at the temperature of all contents, where some of them say their own."""
    parts, given = inputs.contents.each, inputs.temperature
    if all(one.temperature_c is None for one in parts):
        return inputs
    if all(one.temperature_c is not None for one in parts):
        return inputs  # what they say is what was given, by the reading of it
    spec = inputs.spec("temperature")
    at_c = part_heat.together_c(parts, part_heat.each_c(parts, float(given), "contents", spec))
    spread = getattr(given, "plus_minus", 0.0)
    return inputs.replaced(temperature=Measured(at_c, "C", spread))


def _regulated(
    inputs: Inputs, mixture: Mixture, product: Mixture, facts: Facts, charger_g: float,
    warmest_c: float,
) -> Result:  # fmt: skip
    """Gas through a regulator: nothing is charged, and what is missing is a stop."""
    found = None
    if inputs.mode == "keg":
        facts |= dict.fromkeys(("vessel_l", "max_fill_l"), 0.0)  # a keg is taken as full
        found = regulator.of_keg(inputs, mixture, warmest_c)
    elif None not in (inputs.rated, inputs.vessel_volume, inputs.max_fill, inputs.regulator):
        max_fill_m3 = 1e-3 * checks.lower_end(inputs, "max_fill")
        found = regulator.of_siphon(inputs, mixture, charger_g, warmest_c, max_fill_m3)
    if found is None:
        return Result(product=product, facts=facts, deciding=ways.deciding(facts))
    facts |= found.facts
    values: report.Values = dict(found.values)
    return Result(
        product=product, facts=facts, deciding=ways.deciding(facts), working=found.steps,
        **values,
    )  # fmt: skip


def refused(inputs: Inputs) -> Result:
    """Hook of the registry: what is known of the contents alone; a stop of it is never computed."""
    checks.something(inputs.contents.mixture)
    warmest_c = max(float(inputs.temperature), float(inputs.warmest or inputs.temperature))
    facts = {
        **contents.unfit(inputs.contents),
        **contents.of_plugging(inputs.contents, float(inputs.temperature), warmest_c),
    }
    return Result(product=inputs.contents.mixture, facts=facts, deciding=ways.deciding(facts))


def compute(inputs: Inputs) -> Result:
    """The vessel that is asked about, the load in it, and what follows."""
    checks.something(inputs.contents.mixture)
    inputs = _as_warm_as_all(inputs)
    unfit = contents.unfit(inputs.contents)
    checks.asked_well(inputs)
    charger_g = float(inputs.charger_gas_mass or CHARGER_G[inputs.gas])
    warmest_c = checks.warmest_c(inputs)
    vessel_count, mixture, product = filling.batch(inputs)
    facts: Facts = {
        **unfit,
        **load_facts.missing(inputs),
        **load_facts.of_charger(inputs, charger_g),
        **load_facts.of_style(inputs),
        **contents.of_contents(inputs, mixture, warmest_c),
    }
    marks = checks.marks(inputs) or (True,)
    if checks.through_regulator(inputs):
        facts |= load_facts.of_vessel(inputs, 0, charger_g, warmest_c) | regulator.always(inputs)
        facts |= load_facts.of_room(inputs, 0.0)
        return _regulated(inputs, mixture, product, facts, charger_g, warmest_c)
    if None in (inputs.rated, inputs.vessel_volume, inputs.max_fill):
        facts |= load_facts.of_vessel(inputs, len(marks), charger_g, warmest_c)
        return Result(product=product, facts=facts, deciding=ways.deciding(facts))
    load = filling.load(inputs, mixture, marks, charger_g, warmest_c)
    checks.portion_fits(inputs, load.liquid_m3)
    rated_bar = checks.lower_end(inputs, "rated")
    shown: report.Values = {}
    tried: list[Table] = []
    if inputs.mode in ("plan", "targets"):
        load, choice_facts, shown, table = report.chosen(load, inputs, rated_bar, MOST_TRIED)
        facts |= choice_facts
        tried.append(table)
    count = len(load.charges_kg)
    bounds = vessel_load.bounds(load)
    max_fill_m3 = 1e-3 * checks.lower_end(inputs, "max_fill")
    places = load_facts.WARM_C if inputs.warmest is None else ()
    warmer = {c: vessel_load.bounds_at(load, mixture, c) for c in places if c > warmest_c}
    facts |= load_facts.of_vessel(inputs, count, charger_g, warmest_c)
    facts |= load_facts.of_pressure(load, bounds, rated_bar, max_fill_m3)
    facts |= load_facts.of_warmth(warmer, rated_bar)
    known = {**warmer, warmest_c: bounds}

    def at(place_c: float) -> Bounds:
        if place_c not in known:
            known[place_c] = vessel_load.bounds_at(load, mixture, place_c)
        return known[place_c]

    facts |= load_facts.of_passing(at, bounds, warmest_c, rated_bar)
    # what is charged in one place: a plan that fills more vessels puts its own count here
    facts["chargers_in_all"] = facts["chargers_all"] = vessel_count * count
    most_kg = vessel_count * load.gas_kg * (1.0 + load.tolerance)
    facts |= load_facts.of_room(inputs, most_kg)
    facts["maker_allows"] = facts.get("over_most_chargers", 1) <= 0 and facts["fill_over_max"] <= 1
    fat = mixture.of("milk_fat", "fat") > 0
    states = report.states(load, bounds, rated_bar, fat)
    facts |= load_facts.of_hydrate(load, states.settled_pa) | states.facts
    served, tables = report.tables(load, bounds, inputs, mixture, rated_bar, known)
    shown |= states.values | served
    if inputs.mode in ("plan", "targets"):
        shown["chargers_each"] = count
    if inputs.mode == "plan":
        shown |= {"vessels": vessel_count, "chargers_all": vessel_count * count}
    return Result(
        product=product,
        facts=facts | report.of_last_portion(inputs, served),
        deciding=ways.deciding(facts),
        working=(
            *report.steps(load, bounds, fat),
            *contents.cream_steps(mixture, load.temperature_c),
        ),
        tables=Later(lambda: (*tried, *tables())),
        model_error=states.errors,
        standing=(load, mixture),
        **shown,
    )
