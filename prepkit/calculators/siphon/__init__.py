"""siphon: what a charged vessel will do, and the ways out of a stop."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import partial
from itertools import chain, repeat
from math import ceil
from typing import Self

from prepkit.calculators.siphon import inputs as checks
from prepkit.calculators.siphon import load as siphon_load
from prepkit.calculators.siphon import load as vessel_load
from prepkit.calculators.siphon import report
from prepkit.calculators.siphon.inputs import CHARGER_G
from prepkit.calculators.siphon.inputs import Inputs as Inputs
from prepkit.calculators.siphon.load import Bounds, Load, always, of_keg, of_siphon
from prepkit.errors import PrepkitError
from prepkit.facts import Facts
from prepkit.mixture import Mixture
from prepkit.model import Figure, Judge, MadeLater, Screen, Table, Way, output
from prepkit.model import Result as BaseResult
from prepkit.science.keeping import COLD_HOLDING_C
from prepkit.shared import drink, room_check
from prepkit.units import Measured, rounded_down, rounded_up

# ---- the figure that decides about a load, and the ways out of a stop, each of them judged ----

SMALL_MARGIN_BAR = 1.0
_LEAST_FILL = 0.05


def deciding(facts: Facts) -> str:
    """The figure that decides with its limit, as a sentence.

    >>> deciding({"rated_bar": None})
    'The rated pressure of the vessel is not known.'
    """
    return next(filter(None, chain(_of_contents(facts), _of_plate(facts))), "")


def _of_contents(facts: Facts) -> Iterator[str]:
    if facts.get("already_gassy"):
        yield "Part of the contents is a sparkling drink, with gas that is not counted."
    if facts.get("fermenting"):
        yield "Part of the contents ferments and makes gas without limit."
    if facts.get("carbonate"):
        yield f"Up to {facts['carbonate_co2_g_kg']:.3g} g/kg of carbon dioxide can come free."
    if facts.get("does_plug"):
        yield f"The contents hold {facts['plug_words']}, which plugs the valve."
    if facts.get("no_liquid"):
        yield "The contents are no liquid and plug the valve."
    if facts.get("corrosive_share", 0.0) >= 1.0:
        yield "The contents burn skin and eyes."
    if facts.get("acid_citric_percent", 0.0) >= 20:
        yield f"The contents hold {facts['acid_citric_percent']:.0f} % of acid."
    if facts.get("oil_percent", 0.0) >= 5:
        yield f"The contents hold {facts['oil_percent']:.0f} % of essential oil."
    for name, label in (
        ("rated_bar", "The rated pressure"), ("vessel_l", "The inside volume"),
        ("max_fill_l", "The maximum fill"),
    ):  # fmt: skip
        if name in facts and facts.get(name) is None:
            yield f"{label} of the vessel is not known."
    if facts.get("regulator_missing"):
        yield "The set pressure of the regulator is not known."


def _of_plate(facts: Facts) -> Iterator[str]:
    rated = facts.get("rated_bar")
    what = facts.get("rated_what", "the vessel").removeprefix("the ")
    vessel = f"{what} rated {rounded_down(rated):g} bar" if rated else ""
    if facts.get("fill_over_max", 0.0) > 1.0:
        yield f"{facts['fill_ml']:.0f} ml filled; at most {1e3 * facts['max_fill_l']:.0f} ml."
    if facts.get("bound_known") is False or facts.get("still_known") is False:
        yield f"No upper bound of the pressure is known; {vessel}."
    if facts.get("bound_over_rating", 0.0) > 1.0:
        yield f"Peak up to {rounded_up(facts['bound_bar'], 1):.1f} bar, {vessel}."
    if facts.get("set_over_rating", 0.0) > 1.0:
        yield (
            f"Regulator set to {facts['set_bar']:.2f} bar, weakest part rated "
            f"{rounded_down(facts['weakest_bar']):g} bar."
        )
    if facts.get("gas") == "n2o" and facts.get("over_flash_c", -1.0) >= 0:
        yield (
            f"{facts['warmest_c']:g} °C under nitrous oxide; vapour can be lit from "
            f"{facts['flash_limit_c']:.0f} °C."
        )
    if facts.get("gas_allowed") is False or facts.get("plastic_head_not_cleared"):
        yield f"The vessel is not known to be made for {facts['gas_name']}."
    if facts.get("charger_g", 0.0) >= 30:
        yield f"{facts['charger_g']:g} g of gas is a cylinder, no charger."
    if facts.get("charger_over_allowed", 0.0) > 1.0:
        yield f"Charger of {facts['charger_g']:g} g; allowed {facts['allowed_charger_g']:g} g."
    if facts.get("over_most_chargers", 0) > 0:
        yield f"{facts['chargers']} chargers; the maker allows {facts['most_chargers']}."
    if facts.get("over_hottest_c", 0.0) > 0:
        yield f"{facts['warmest_c']:g} °C; the vessel is made for {facts['hottest_c']:g} °C."
    if facts.get("warm_without_limit_c", 0.0) > 45:
        yield f"{facts['warmest_c']:g} °C; the temperature limit of the vessel is not known."
    if facts.get("days_overdue", 0) > 0:
        yield f"Inspection was due on {facts['inspection_due']}."
    if facts.get("room_over_least", 0.0) > 1.0:
        yield (
            f"{facts['room_gas_g']:.0f} g of {facts['gas_name']} in {facts['room_m3']:g} m3; it "
            f"needs {facts['least_room_m3']:.1f} m3."
        )
    if facts.get("charger_over_storage_c", 0.0) > 0:
        yield f"Chargers at {facts['charger_c']:g} °C; limit 50 °C."
    if "bound_bar" in facts and rated:
        margin = rated - facts["bound_bar"]
        small = " Small margin." if margin < SMALL_MARGIN_BAR else ""
        up_to = f"{rounded_up(facts['bound_bar'], 1):.1f} bar"
        yield f"Peak up to {up_to}, {vessel}.{small}"


# the ways out


def ways_out(inputs: Inputs, judge: Judge) -> tuple[Way, ...]:
    """Fewer chargers, shaking between, lower set pressure or fewer volumes, smaller fill, colder
    place, larger room: best margin first.

    Each is worked out and judged as the load itself; one that is still a stop says so. Where all
    of them are, two changes at once are tried, and the pair that is no stop comes first.
    """
    keg = inputs.mode == "keg"  # taken as full: it has no other fill
    if not keg and None in (inputs.rated, inputs.vessel_volume, inputs.max_fill):
        return ()
    found: list[tuple[float, Way]] = []
    for way in (_fewer, _shaken, _lower, *(() if keg else (_smaller,)), _colder, _roomier):
        with suppress(PrepkitError):  # what such a load cannot be asked is no way out
            found += way(inputs, judge)
    said = judge.full(inputs).result.deciding
    found = [entry for entry in found if entry[1].verdict != "stop" or entry[1].figure != said]
    singles = tuple(way for _, way in sorted(found, key=lambda one: -one[0]))
    if any(way.verdict != "stop" for way in singles):
        return singles
    pair: tuple[Way, ...] = ()
    with suppress(PrepkitError):
        pair = tuple(_pair(inputs, judge))
    return pair + singles if pair else ()  # without one, another reason, which no load mends


def _judged(judge: Judge, other: Inputs, label: str) -> tuple[float, Way]:
    answer = judge.full(other)
    margin = answer.values["margin"].value if "margin" in answer.values else float("-inf")
    margin = float("-inf") if answer.verdict == "stop" else margin
    return margin, Way(label, answer.verdict, answer.result.deciding, answer.inputs)


def _charges(inputs: Inputs) -> int:
    return len(checks.marks(inputs) or ()) if inputs.mode in ("check", "dispense") else 0


def _fewer(inputs: Inputs, judge: Judge) -> Iterator[tuple[float, Way]]:
    for count in range(_charges(inputs) - 1, 0, -1):
        other = inputs.replaced(chargers=count, sequence=None)
        if count == 1 or judge.quick(other) != "stop":
            yield _judged(judge, other, f"{count} charger{'s' if count > 1 else ''}")
            return


def _shaken(inputs: Inputs, judge: Judge) -> Iterator[tuple[float, Way]]:
    count = _charges(inputs)
    if count < 2 or all(checks.marks(inputs) or ()):
        return
    sequence = " ".join(repeat("charge shake", count))
    other = inputs.replaced(sequence=sequence, chargers=count)
    yield _judged(judge, other, "shake between the charges")


def _lower(inputs: Inputs, judge: Judge) -> Iterator[tuple[float, Way]]:
    """A regulator set lower; fewer volumes in a keg, which sets its regulator lower."""
    keg = inputs.mode == "keg"
    told = inputs.target_volumes if keg else inputs.regulator
    if told is None:
        return
    most = float(told)

    def made(share: float) -> Inputs:
        if keg:
            return inputs.replaced(target_volumes=share * most)
        off = checks.plus_minus(told)  # a gauge reads no better for being set lower
        return inputs.replaced(regulator=Measured(share * most, "bar", off))

    def words(share: float) -> str:
        return f"{share * most:.3g} volumes" if keg else f"regulator set to {share * most:.3g} bar"

    edge = room_check.found_edge(judge, made, _LEAST_FILL, 1.0)
    yield from _edge(judge, made, edge, most, words)


def _filled(inputs: Inputs, share: float) -> Inputs:
    return inputs.replaced(contents=inputs.contents.scaled(share))


def _fill_words(inputs: Inputs, share: float) -> str:
    amount, unit = float(inputs.contents.amount), inputs.contents.amount.unit
    return f"{share * amount:.3g} {unit} instead of {amount:.4g} {unit}"


def _smaller(inputs: Inputs, judge: Judge) -> Iterator[tuple[float, Way]]:
    if inputs.mode == "plan":
        return
    made = partial(_filled, inputs)
    edge = room_check.found_edge(judge, made, _LEAST_FILL, 1.0)
    most = float(inputs.contents.amount)
    yield from _edge(judge, made, edge, most, partial(_fill_words, inputs))


def _pair(inputs: Inputs, judge: Judge) -> Iterator[Way]:
    """Fewer chargers with shaking between, as many as can be; else one with a smaller fill.

    With one charger the fill can be larger than with any more. At most one, and no stop.
    """
    count = _charges(inputs)
    if count < 2:
        return
    one = inputs.replaced(chargers=1, sequence=None)
    if judge.quick(_filled(one, _LEAST_FILL)) == "stop":  # the mildest of all
        return
    for fewer in range(count - 1, 1, -1):
        shaken = inputs.replaced(chargers=fewer, sequence=" ".join(repeat("charge shake", fewer)))
        if judge.quick(shaken) != "stop":
            _, way = _judged(judge, shaken, f"{fewer} chargers, and shake between the charges")
            if way.verdict != "stop":
                yield way
                return
    made = partial(_filled, one)
    edge = room_check.found_edge(judge, made, _LEAST_FILL, 1.0)
    most = float(inputs.contents.amount)
    for _, way in _edge(
        judge, made, edge, most, lambda share: f"1 charger, and {_fill_words(inputs, share)}"
    ):
        if way.verdict != "stop":
            yield way


def _edge(
    judge: Judge, make: Callable[[float], Inputs], edge: float | None, most: float,
    words: Callable[[float], str],
) -> Iterator[tuple[float, Way]]:  # fmt: skip
    """The way at a share of what was told (`most`); the figure judged is the figure shown."""
    if edge is not None:
        share = room_check.rounded(edge * most, up=False) / most
        yield _judged(judge, make(share), words(share))


def _colder(inputs: Inputs, judge: Judge) -> Iterator[tuple[float, Way]]:
    told = any(part.temperature_c is not None for part in inputs.contents.each)
    if told or checks.warmest_c(inputs) <= COLD_HOLDING_C:
        return
    cold = Measured(COLD_HOLDING_C, "C")
    start = inputs.temperature if float(inputs.temperature) < COLD_HOLDING_C else cold
    other = inputs.replaced(temperature=start, warmest=cold)
    label = f"filled and kept at {COLD_HOLDING_C:g} °C or colder"
    yield _judged(judge, other, label)


def _roomier(inputs: Inputs, judge: Judge) -> Iterator[tuple[float, Way]]:
    if inputs.room_volume is None:
        return
    needed = judge.full(inputs).result.facts.get("least_room_m3", 0.0)
    if needed <= checks.lower_end(inputs, "room_volume"):
        return
    larger_m3 = ceil(needed)
    other = inputs.replaced(room_volume=Measured(larger_m3, "m3"))
    yield _judged(judge, other, f"a room of {larger_m3} m3 or more")


# ---- siphon ----

EXAMPLE = (
    'prepkit siphon --contents "500 ml cream 35 %" --vessel-volume "0.78 l" --max-fill "0.5 l" '
    '--rated "17 bar" --gas n2o --chargers 1 --temperature "5 C"'
)
MOST_TRIED = 8
# what may stand beside a stop: the reasons, nothing to go ahead with
REASONS = frozenset(("fill", "headspace", "gas_mass", "peak", "bound", "margin"))
PRESSURES = frozenset(("peak", "bound", "margin"))


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
    overrun: float | None = output("overrun, upper bound", "%", 0, limit="least")
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
        working = [*self.working[: 1 if kept != REASONS else 2]]
        if kept == REASONS:  # the figures that the stop rests on, to be followed
            working += [step for step in self.working if "bound" in step.label]
        values = {name: getattr(self, name) for name in kept}
        return type(self)(
            product=self.product, facts=self.facts, working=tuple(working),
            deciding=self.deciding, **values,
        )  # fmt: skip


def _as_warm_as_all(inputs: Inputs) -> Inputs:
    """The inputs at the temperature of all contents, where some of them say their own."""
    parts, given = inputs.contents.each, inputs.temperature
    if all(part.temperature_c is None for part in parts):
        return inputs
    if all(part.temperature_c is not None for part in parts):
        return inputs  # what they say is what was given, by the reading of it
    spec = inputs.spec("temperature")
    at_c = drink.together_c(parts, drink.each_c(parts, float(given), "contents", spec))
    spread = getattr(given, "plus_minus", 0.0)
    return inputs.replaced(temperature=Measured(at_c, "C", spread))


def _regulated(
    inputs: Inputs, mixture: Mixture, product: Mixture, facts: Facts, charger_g: float,
    warmest_c: float,
) -> Result:  # fmt: skip
    """Gas through a regulator: nothing is charged, and what is missing is a stop."""
    found = None
    if inputs.mode == "keg":
        facts |= {"vessel_l": 0.0, "max_fill_l": 0.0}  # a keg is taken as full
        found = of_keg(inputs, mixture, warmest_c)
    elif None not in (inputs.rated, inputs.vessel_volume, inputs.max_fill, inputs.regulator):
        max_fill_m3 = 1e-3 * checks.lower_end(inputs, "max_fill")
        found = of_siphon(inputs, mixture, charger_g, warmest_c, max_fill_m3)
    if found is None:
        return Result(product=product, facts=facts, deciding=deciding(facts))
    facts |= found.facts
    values: report.Values = dict(found.values)
    return Result(
        product=product, facts=facts, deciding=deciding(facts), working=found.steps,
        **values,
    )  # fmt: skip


def refused(inputs: Inputs) -> Result:
    """Hook of the registry: what is known of the contents alone; a stop of it is never computed."""
    checks.something(inputs.contents.mixture)
    warmest_c = max(float(inputs.temperature), float(inputs.warmest or inputs.temperature))
    facts: Facts = {
        **checks.unfit(inputs.contents),
        **checks.of_plugging(inputs.contents, float(inputs.temperature), warmest_c),
    }
    return Result(product=inputs.contents.mixture, facts=facts, deciding=deciding(facts))


def compute(inputs: Inputs) -> Result:
    """The vessel that is asked about, the load in it, and what follows."""
    checks.something(inputs.contents.mixture)
    inputs = _as_warm_as_all(inputs)
    unfit = checks.unfit(inputs.contents)
    checks.asked_well(inputs)
    charger_g = float(inputs.charger_gas_mass or CHARGER_G[inputs.gas])
    warmest_c = checks.warmest_c(inputs)
    vessel_count, mixture, product = siphon_load.batch(inputs)
    facts: Facts = {
        **unfit,
        **vessel_load.missing(inputs),
        **vessel_load.of_charger(inputs, charger_g),
        **vessel_load.of_style(inputs),
        **checks.of_contents(inputs, mixture, warmest_c),
    }
    marks = checks.marks(inputs) or (True,)
    if checks.through_regulator(inputs):
        facts |= vessel_load.of_vessel(inputs, 0, charger_g, warmest_c) | always(inputs)
        facts |= vessel_load.of_room(inputs, 0.0)
        return _regulated(inputs, mixture, product, facts, charger_g, warmest_c)
    if None in (inputs.rated, inputs.vessel_volume, inputs.max_fill):
        facts |= vessel_load.of_vessel(inputs, len(marks), charger_g, warmest_c)
        return Result(product=product, facts=facts, deciding=deciding(facts))
    load = siphon_load.load(inputs, mixture, marks, charger_g, warmest_c)
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
    places = vessel_load.WARM_C if inputs.warmest is None else ()
    warmer = {c: vessel_load.bounds_at(load, mixture, c) for c in places if c > warmest_c}
    facts |= vessel_load.of_vessel(inputs, count, charger_g, warmest_c)
    facts |= vessel_load.of_pressure(load, bounds, rated_bar, max_fill_m3)
    facts |= vessel_load.of_warmth(warmer, rated_bar)
    known = {**warmer, warmest_c: bounds}

    def at(place_c: float) -> Bounds:
        if place_c not in known:
            known[place_c] = vessel_load.bounds_at(load, mixture, place_c)
        return known[place_c]

    facts |= vessel_load.of_passing(at, bounds, warmest_c, rated_bar)
    # what is charged in one place: a plan that fills more vessels puts its own count here
    facts["chargers_in_all"] = facts["chargers_all"] = vessel_count * count
    most_kg = vessel_count * load.gas_kg * (1.0 + load.tolerance)
    facts |= vessel_load.of_room(inputs, most_kg)
    facts["maker_allows"] = facts.get("over_most_chargers", 1) <= 0 and facts["fill_over_max"] <= 1
    fat = mixture.of("milk_fat", "fat") > 0
    states = report.states(load, bounds, rated_bar, fat)
    facts |= vessel_load.of_hydrate(load, states.settled_pa) | states.facts
    served, tables = report.tables(load, bounds, inputs, mixture, rated_bar, known)
    shown |= states.values | served
    if inputs.mode in ("plan", "targets"):
        shown["chargers_each"] = count
    if inputs.mode == "plan":
        shown |= {"vessels": vessel_count, "chargers_all": vessel_count * count}
    return Result(
        product=product,
        facts=facts | report.of_last_portion(inputs, served),
        deciding=deciding(facts),
        working=MadeLater(
            lambda: (
                *report.steps(load, bounds, fat),
                *checks.cream_steps(mixture, load.temperature_c),
            )
        ),
        tables=MadeLater(lambda: (*tried, *tables())),
        model_error=states.errors,
        standing=(load, mixture),
        **shown,
    )
