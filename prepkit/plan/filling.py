"""Items as they are made: what is weighed, whole vessels and their rounds.

A scale weighs whole steps. Below ten of them half a step is over a twentieth of what is weighed, so
such a weighing is marked, with the smallest batch that would do and, where that is known to
dissolve, with a stock solution that is weighed in its place.

What another item is made from is emptied into that, and its vessels are free again at once. What
is served from the vessel keeps it: items that want the same vessels at service share them.
"""

import math
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any, NamedTuple

from prepkit import cautions, registry, tolerance
from prepkit.errors import BadInput, PrepkitError
from prepkit.ingredient import Part
from prepkit.mixture import ACIDS, Mixture
from prepkit.model import Answer, Caution
from prepkit.plan import items
from prepkit.plan.house import Vessel
from prepkit.plan.items import Demand, Weigh, answered, wrong_input
from prepkit.plan.prepare import Portion, Prepared
from prepkit.plan.recipe_types import Item, Recipe
from prepkit.record import EMPTY, Record
from prepkit.science import acids, sucrose
from prepkit.shared.drink import too_many
from prepkit.tolerance import Spread
from prepkit.units import Measured, convert

if TYPE_CHECKING:
    from prepkit.sheet import HandSheet, StockSheet

# ---- what is weighed by hand ----

FEWEST_STEPS = 10  # of the scale, in a weighing (practice)
DUST = 1e-9  # relative rounding that must not cost a step
WATER = "water"
_TIMES = (10, 100)  # what a stock weighs to 1 of what is in it
_ROOM_C = 20.0
_FOREIGN = 0.01  # mass fraction of anything else in what is called pure


class Scale(NamedTuple):
    """A scale of the house: its word in the bench, its smallest step and the most that it takes."""

    name: str
    step_g: float
    most_g: float | None


def scale_for(bench: Mapping[str, float], g: float) -> Scale | None:
    """The finest scale that takes so much as it is shown; None where none is named."""
    most = bench.get("fine_scale_most")
    fine = bench.get("fine_scale")
    if most is not None and fine is not None and g <= most >= steps_of(g, fine) * fine:
        return Scale("fine_scale", float(fine), float(most))
    step = bench.get("scale")
    return None if step is None else Scale("scale", float(step), None)


def scale_step_kg(bench: Mapping[str, float], kg: float) -> float | None:
    """What a weighing is off by: one step of the finest scale that takes so much."""
    most = bench.get("fine_scale_most")
    fine = most is not None and 1000 * kg <= most
    step = bench.get("fine_scale" if fine else "scale")
    return None if step is None else float(step) / 1000


def steps_of(g: float, step_g: float) -> int:
    """The whole steps nearest to a weight.

    >>> steps_of(5.96, 0.1), steps_of(0.04, 0.1), steps_of(2136.4, 1.0)
    (60, 0, 2136)
    """
    return round(g / step_g)


def whole(steps: int, step_g: float) -> float:
    """So many steps in g, without the dust of binary fractions.

    >>> whole(1942, 0.1)
    194.2
    """
    return float(f"{steps * step_g:.12g}")


def too_few(g: float, step_g: float) -> bool:
    """Whether a weighing is under ten steps of its scale."""
    return g < FEWEST_STEPS * step_g * (1.0 - DUST)


def weighed_by_hand(
    line: Weigh,
    bench: Mapping[str, float],
    plus_minus_g: float | None,
    made_g: float | None,
    stock: "StockSheet | None" = None,
) -> "HandSheet | None":
    """A line as it is weighed; None where the house names no scale for it.

    plus_minus_g: what the line itself may be off by. made_g: all that is made of the item, which
    the smallest batch goes by.
    """
    scale = scale_for(bench, line.mass_g)
    if scale is None or not line.mass_g > 0.0:
        return None
    steps = steps_of(line.mass_g, scale.step_g)
    few = too_few(line.mass_g, scale.step_g)
    batch = None
    if few and made_g is not None:
        batch = made_g * FEWEST_STEPS * scale.step_g / line.mass_g
    return {
        "g": whole(steps, scale.step_g),
        "step_g": scale.step_g,
        "steps": steps,
        "scale": scale.name,
        "too_few": few,
        "batch_g": batch,
        "finer_than_scale": plus_minus_g is not None and plus_minus_g < 0.5 * scale.step_g,
        "stock": stock if few else None,
    }


def rounded_down(g: float, scale: Scale) -> float:
    """A load as the scale shows it, never above what was worked out.

    >>> rounded_down(914.9, Scale("scale", 1.0, None))
    914.0
    """
    return whole(math.floor(g / scale.step_g * (1.0 + DUST)), scale.step_g)


def stocks(
    lines: Sequence[Weigh], bench: Mapping[str, float], known: Mapping[str, Mixture]
) -> "dict[str, StockSheet]":
    """By name, the stock solution in water that stands for a weighing under ten steps.

    Only of a solid that is known to dissolve, for an item that weighs water itself: what the stock
    brings of it is left out there, and it must be enough for all of them together. `known`: what
    1 kg of each solid is made of.
    """
    left_g = math.fsum(line.mass_g for line in lines if line.name == WATER)
    found = {}
    for line in lines:
        scale = scale_for(bench, line.mass_g)
        if scale is None or not line.mass_g > 0.0 or not too_few(line.mass_g, scale.step_g):
            continue
        of = known.get(line.name)
        one = None if of is None else _stock(line, scale, _dissolves(of), bench)
        if one is not None and one["less_water_g"] <= left_g:
            left_g -= one["less_water_g"]
            found[line.name] = one
    return found


def _stock(
    line: Weigh, scale: Scale, most_fraction: float, bench: Mapping[str, float]
) -> "StockSheet | None":
    """The strongest stock of which so little is ten steps, and how it is made."""
    for times in _TIMES:
        taken = scale_for(bench, line.mass_g * times)
        if taken is None or too_few(line.mass_g * times, taken.step_g):
            continue
        if 1.0 / times > most_fraction:
            continue
        solid = whole(FEWEST_STEPS, scale.step_g)
        return {
            "percent": 100.0 / times,
            "solid_g": solid,
            "water_g": whole((times - 1) * FEWEST_STEPS, scale.step_g),
            "take_g": whole(steps_of(line.mass_g * times, taken.step_g), taken.step_g),
            "less_water_g": line.mass_g * (times - 1),
        }
    return None


def _dissolves(of: Mixture) -> float:
    """The most of a solid that is known to dissolve at room temperature, kg per kg of solution."""
    if not of.mass_kg:
        return 0.0
    parts = [name for name, kg in of.masses_kg.items() if kg > _FOREIGN * of.mass_kg]
    solids = [name for name in parts if name != WATER]
    if len(solids) != 1:
        return 0.0
    (name,) = solids
    if name == "sucrose":
        return sucrose.solubility_mass_fraction(_ROOM_C)
    if name not in ACIDS:
        return 0.0
    try:
        return acids.solubility_mass_fraction(name, _ROOM_C)
    except PrepkitError:  # not known at that temperature: no stock is offered
        return 0.0


# ---- the load of an item shared out over whole vessels, and judged as each is really filled ----

Load = Any  # Any: Inputs of whichever calculator fills vessels: with contents and max_fill


class Filling(Record):
    """How the load of an item is shared out over vessels, and the answer for one of them."""

    vessel: Vessel
    count: int
    each: Mixture
    most_ml: float
    answer: Answer
    gas: str | None
    chargers_each: int | None
    plus_minus: Mapping[str, Spread] = EMPTY  # with that of the bench
    also: tuple[Caution, ...] = ()  # of the load at the ends of what the bench can be off by

    @property
    def chargers(self) -> int | None:
        """Chargers for all vessels together."""
        return None if self.chargers_each is None else self.chargers_each * self.count


def over_vessels(recipe: Recipe, item: Item, inputs: Load, product: Mixture) -> Filling:
    """Equal shares of a product over whole vessels, none above its most, and what one will do."""
    most_ml = convert(float(inputs.max_fill), inputs.max_fill.unit, "ml")
    try:
        volume_ml = 1e6 * _largest_volume_m3(product, getattr(inputs, "temperature", None))
    except BadInput as error:
        return _no_volume(recipe, item, inputs, product, error)
    if why := too_many(volume_ml, most_ml, f"{volume_ml / 1000:.4g} l"):
        raise wrong_input(recipe, item, "max_fill", BadInput(why, "max_fill"), None)
    count = items.fills(volume_ml, most_ml)
    # rounding dust must not make a full vessel an overfull one
    each = product.scaled(min(1.0 / count, most_ml / volume_ml * (1.0 - items.DUST)))
    contents: Part = inputs.contents
    load = inputs.replaced(contents=contents.scaled(each.mass_kg / contents.mass_kg))
    answer = answered(recipe, item, load, f"shared out over {count} vessels: ")
    chargers = answer.result.facts.get("chargers_all", getattr(inputs, "chargers", None))
    return Filling(
        recipe.vessels.get(item.vessel or "", Vessel(item.vessel or item.id, {})),
        count,
        each,
        most_ml,
        answer,
        getattr(inputs, "gas", None),
        chargers,
        _of_bench(item, _loosened(recipe, load), answer),
        _judged_loose(recipe, item, load, answer),
    )


def _no_volume(
    recipe: Recipe, item: Item, inputs: Load, product: Mixture, error: BadInput
) -> Filling:
    """What has no volume to share out is answered as it is written, where that is a stop."""
    answer = answered(recipe, item, inputs)
    if answer.verdict != "stop":
        raise wrong_input(recipe, item, "contents", error, None) from error
    most_ml = convert(float(inputs.max_fill), inputs.max_fill.unit, "ml")
    vessel = recipe.vessels.get(item.vessel or "", Vessel(item.vessel or item.id, {}))
    return Filling(vessel, 1, product, most_ml, answer, getattr(inputs, "gas", None), None)


def _loosened(recipe: Recipe, load: Load, *, weighed: bool = True) -> Load | None:
    """One load with the ± of scale, thermometer and chargers in it; None where there is none.

    `weighed`: with that of the scale too.
    """
    bench = recipe.house.bench
    if not bench:
        return None
    loose: dict[str, object] = {}
    part: Part = load.contents
    step_kg = scale_step_kg(bench, part.mass_kg)
    if weighed and step_kg and not part.amount.plus_minus:
        off = float(part.amount) * step_kg / part.mass_kg
        amount = Measured(float(part.amount), part.amount.unit, off)
        loose["contents"] = part.replaced(amount=amount)
    for name, key, relative in (
        ("temperature", "thermometer", False), ("charger_gas_mass", "charger", True),
    ):  # fmt: skip
        value = getattr(load, name, None)
        if key in bench and isinstance(value, Measured) and not value.plus_minus:
            off = float(value) * float(bench[key]) / 100 if relative else float(bench[key])
            loose[name] = Measured(float(value), value.unit, off)
    allowed = getattr(load, "allowed_charger", None)
    if "charger_gas_mass" in loose and isinstance(allowed, Measured):
        # the plate names a size of charger, not the gas in it, which is off by the same
        times = 1.0 + float(bench["charger"]) / 100
        loose["allowed_charger"] = Measured(float(allowed) * times, allowed.unit)
    return load.replaced(**loose) if loose else None


def _of_bench(item: Item, inputs: Load | None, answer: Answer) -> dict[str, Spread]:
    """The ± of each value of one load with those of the bench in it."""
    if inputs is None or answer.verdict == "stop":
        return {}
    compute = registry.load(item.calculator).compute
    base = answer.result
    with suppress(PrepkitError):  # what is taken at its worse end starts from there
        worse = compute(inputs)
        base = worse if base.numbers().keys() <= worse.numbers().keys() else base
    ends = tolerance.ends(compute, inputs, base)
    corners = tolerance.corners(compute, inputs, base, ends)
    stated = {name: value.plus_minus or 0.0 for name, value in answer.values.items()}
    return tolerance.spreads(base, ends, corners, model_error=stated)


def _judged_loose(recipe: Recipe, item: Item, load: Load, answer: Answer) -> tuple[Caution, ...]:
    """What the load is judged at the ends of the bench's ±, beyond what it is judged as told.

    Without that of the scale: a vessel is filled to its mark, which is seen.
    """
    inputs = _loosened(recipe, load, weighed=False)
    if inputs is None or answer.verdict == "stop":
        return ()
    known = {caution.id for caution in answer.cautions}
    worse = answered(recipe, item, inputs, "within the bench's ±: ")
    return tuple(
        caution.replaced(text=f"Within the bench's ±: {caution.text}")
        for caution in worse.cautions
        if caution.severity in ("stop", "care") and caution.id not in known
    )


def _largest_volume_m3(product: Mixture, temperature: float | None) -> float:
    """Volume at 20 C or at the filling temperature, whichever is larger and known."""
    volumes = [product.volume_m3(20.0)]
    if temperature is not None:
        with suppress(BadInput):
            volumes.append(product.volume_m3(float(temperature)))
    return max(volumes)


# ---- what a planned evening is ----


class Made(Record):
    """One item of the plan; `held_by` are the stopped items that it would need."""

    item: Item
    answer: Answer
    demand: Demand
    product: Mixture | None  # all of what is made
    weigh: tuple[Weigh, ...]
    filling: Filling | None
    found: tuple[Caution, ...]
    held_by: tuple[str, ...]

    @property
    def verdict(self) -> str:
        """The item's own verdict, on the load that is made."""
        return cautions.verdict(self.found)

    @property
    def go(self) -> bool:
        """Whether its amounts may be shown."""
        return self.verdict != "stop" and not self.held_by


class Stocked(Record):
    """An item of which stock is used and none is made: what holds of it all the same."""

    item: Item
    found: tuple[Caution, ...]


class Planned(Record):
    """The amounts, yields, vessels and cautions of a recipe for a number of serves."""

    recipe: Recipe
    counts: Mapping[str, int]  # of each serve
    made: tuple[Made, ...]  # in making order
    unused: tuple[str, ...]
    portions: tuple[Portion, ...]
    prepared: Prepared
    stocked: tuple[Stocked, ...] = ()

    @property
    def serves(self) -> int:
        """How many of each serve; where they differ, of the one of which most are planned."""
        return max(self.counts.values())

    @property
    def verdict(self) -> str:
        """The worst verdict of all items, made or from stock, and serves."""
        verdicts = [one.verdict for one in self.made] + [one.verdict for one in self.portions]
        verdicts += [cautions.verdict(one.found) for one in self.stocked]
        # a kitchen whose sites all stop makes nothing: they are what says stop
        return max(verdicts, key=cautions.VERDICTS.index, default=cautions.VERDICTS[0])


# ---- vessels that the house has too few of ----


class Rounds(Record):
    """The loads of one item that are ready together, and its vessel over all items that want it.

    `loads` are those of all of them; `others` are the other items.
    """

    at_once: int
    rounds: int = 1
    loads: int = 0
    others: tuple[str, ...] = ()


def vessel_rounds(plan: Planned) -> dict[str, Rounds]:
    """The rounds of each item that goes into vessels and may be made."""
    made = {one.item.id: one for one in plan.made if one.filling and one.go}
    emptied = {used for one in plan.made if one.go for used in plan.prepared.uses[one.item.id]}
    kept: dict[str, list[Made]] = {}
    for id_, one in made.items():
        if id_ not in emptied and one.filling is not None:
            kept.setdefault(one.filling.vessel.id, []).append(one)
    found: dict[str, Rounds] = {}
    for id_, one in made.items():
        assert one.filling is not None
        has, fills = one.filling.vessel.count, one.filling.count
        if id_ in emptied or has is None:
            rounds = 1 if has is None else math.ceil(fills / has)
            found[id_] = Rounds(fills, rounds, fills)
    for of in kept.values():
        found |= _shared(of)
    return {id_: found[id_] for id_ in made}


def _shared(of: list[Made]) -> Mapping[str, Rounds]:
    """The vessels of one kind among the items that keep them: each its part, one at least."""
    fills = {one.item.id: one.filling.count for one in of if one.filling is not None}
    has = next((one.filling.vessel.count for one in of if one.filling is not None), None)
    if has is None:
        return {}
    loads = sum(fills.values())
    at_once = dict.fromkeys(fills, 0)
    for _ in range(min(has, loads)):  # the next vessel goes where the smallest part is ready
        first = min(fills, key=lambda id_: (at_once[id_] / fills[id_], -fills[id_]))
        at_once[first] += 1
    rounds = math.ceil(loads / has)
    return {
        id_: Rounds(at_once[id_], rounds, loads, tuple(one for one in fills if one != id_))
        for id_ in fills
    }
