"""Items as they are made: what is weighed, whole vessels and their rounds; the ± of weighing.

A scale weighs whole steps. Below ten of them half a step is over a twentieth of what is weighed, so
such a weighing is marked, with the smallest batch that would do and, where that is known to
dissolve, with a stock solution that is weighed in its place.

What another item is made from is emptied into that, and its vessels are free again at once. What
is served from the vessel keeps it: items that want the same vessels at service share them.

Things are weighed as planned and come out as weighed. Each weighing is off by its own ±: what the
recipe says of it, else one step of the scale. To first order a weighing changes what is made by
its own make-up, less the share of each component that the preparation does not keep (peel, plants,
what sticks); that change goes on into all that is made from it, and weighings are independent, so
that their effects add in quadrature. The calculators' own stated errors come on top elsewhere.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from functools import lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

from prepkit import cautions, derived, registry
from prepkit.errors import BadInput, PrepkitError
from prepkit.ingredient import Part
from prepkit.mixture import ACIDS, MINERALS, SUGARS, Mixture
from prepkit.model import Answer, Caution
from prepkit.plan import items
from prepkit.plan.house import HouseVessel
from prepkit.plan.items import Demand, Weigh, answered, wrong_input
from prepkit.plan.prepare import Prepared, ServeContents
from prepkit.plan.recipe_types import Item, Recipe
from prepkit.record import EMPTY, Record
from prepkit.registry import UNEVEN, PlusMinus
from prepkit.science import acids, sucrose
from prepkit.shared.drink import too_many
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

    vessel: HouseVessel
    count: int
    each: Mixture
    most_ml: float
    answer: Answer
    gas: str | None
    chargers_each: int | None
    plus_minus: Mapping[str, PlusMinus] = EMPTY  # with that of the bench
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
        recipe.vessels.get(item.vessel or "", HouseVessel(item.vessel or item.id, {})),
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
    vessel = recipe.vessels.get(item.vessel or "", HouseVessel(item.vessel or item.id, {}))
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


def _of_bench(item: Item, inputs: Load | None, answer: Answer) -> dict[str, PlusMinus]:
    """The ± of each value of one load with those of the bench in it."""
    if inputs is None or answer.verdict == "stop":
        return {}
    compute = registry.load(item.calculator).compute
    base = answer.result
    with suppress(PrepkitError):  # what is taken at its worse end starts from there
        worse = compute(inputs)
        base = worse if base.numbers().keys() <= worse.numbers().keys() else base
    ends = registry.error_ends(compute, inputs, base)
    corners = registry.error_corners(compute, inputs, base, ends)
    stated = {name: value.plus_minus or 0.0 for name, value in answer.values.items()}
    return registry.spreads(base, ends, corners, model_error=stated)


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
    portions: tuple[ServeContents, ...]
    prepared: Prepared
    stocked: tuple[Stocked, ...] = ()

    @property
    def serves(self) -> int:
        """How many of each serve; where they differ, of the one of which most are planned."""
        return max(self.counts.values())

    @property
    def verdict(self) -> str:
        """The worst verdict of all items, made or from stock, and serves."""
        verdicts = [item.verdict for item in self.made] + [
            portion.verdict for portion in self.portions
        ]
        verdicts += [cautions.verdict(stocked.found) for stocked in self.stocked]
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
    made = {item.item.id: item for item in plan.made if item.filling and item.go}
    emptied = {used for item in plan.made if item.go for used in plan.prepared.uses[item.item.id]}
    kept: dict[str, list[Made]] = {}
    for id_, item in made.items():
        if id_ not in emptied and item.filling is not None:
            kept.setdefault(item.filling.vessel.id, []).append(item)
    found: dict[str, Rounds] = {}
    for id_, item in made.items():
        assert item.filling is not None
        has, fills = item.filling.vessel.count, item.filling.count
        if id_ in emptied or has is None:
            rounds = 1 if has is None else math.ceil(fills / has)
            found[id_] = Rounds(fills, rounds, fills)
    for of in kept.values():
        found |= _shared(of)
    return {id_: found[id_] for id_ in made}


def _shared(of: list[Made]) -> Mapping[str, Rounds]:
    """The vessels of one kind among the items that keep them: each its part, one at least."""
    fills = {item.item.id: item.filling.count for item in of if item.filling is not None}
    has = next((item.filling.vessel.count for item in of if item.filling is not None), None)
    if has is None:
        return {}
    loads = sum(fills.values())
    at_once = dict.fromkeys(fills, 0)
    for _ in range(min(has, loads)):  # the next vessel goes where the smallest part is ready
        first = min(fills, key=lambda id_: (at_once[id_] / fills[id_], -fills[id_]))
        at_once[first] += 1
    rounds = math.ceil(loads / has)
    return {
        id_: Rounds(at_once[id_], rounds, loads, tuple(fill for fill in fills if fill != id_))
        for id_ in fills
    }


# ---- the ± of weighing, carried through the whole plan ----

Weighing = tuple[str, str]  # the item that it is for, and what is weighed
Change = dict[str, float]  # kg by component
COARSE = 0.05  # of what is weighed, from which it is looked at whether its ± is even
MOST_WEIGHINGS = 40  # followed one by one through an item; smaller ones are taken together
_STEP = 1e-4  # kg to 1 kg, for slopes
_STEP_SHARE = 1e-3  # and no more than this of what is there: a trace mineral bends the pH sooner
_TRACE = 1e-2  # of what moves most, below which a trace does not matter
_ALWAYS = frozenset((*SUGARS, *ACIDS, *MINERALS, "water", "ethanol"))
_OF_AMOUNT = ("ethanol", "energy")  # values of all that there is, not of its make-up
# below it a drink is not about that value
_WORTH: dict[derived.Name, float] = {"abv": 0.5, "sugar": 0.5, "acidity": 0.05}


class WeighingSpread(Record):
    """What the weighings do to one preparation, and the ± of each weighing, in kg."""

    changes: Mapping[Weighing, Change]
    mass_kg: float

    def total_kg(self) -> float:
        """± of the whole mass."""
        return math.hypot(*(math.fsum(change.values()) for change in self.changes.values()))


class Spreads(Record):
    """The weighings of a plan and what they do to each item and serve."""

    weighed_kg: Mapping[Weighing, tuple[float, float]]  # how much, and its ±
    items: Mapping[str, WeighingSpread]
    serves: Mapping[str, WeighingSpread]


def spreads(plan: Planned) -> Spreads | None:
    """Follow every weighing through the plan; None where nothing says how well it is weighed."""
    weighed: dict[Weighing, tuple[float, float]] = {}
    found: dict[str, WeighingSpread] = {}
    for made in plan.made:
        if made.product is None or not made.go:
            continue
        found[made.item.id] = _of_item(plan.prepared, made, found, weighed)
    if not weighed:
        return None
    serves = {}
    for portion in plan.portions:
        changes: dict[Weighing, Change] = {}
        for part in portion.parts:
            if part.name in found:
                _pass_on(changes, found[part.name], plan.prepared.products[part.name],
                         part.mass_kg, None)  # fmt: skip
        serves[portion.serve.name] = WeighingSpread(changes, portion.mixture.mass_kg)
    return Spreads(weighed, found, serves)


def _of_item(
    prepared: Prepared,
    made: Made,
    found: Mapping[str, WeighingSpread],
    weighed: dict[Weighing, tuple[float, float]],
) -> WeighingSpread:
    """What the weighings of an item, and those behind it, do to it."""
    assert made.product is not None
    own = _own_spreads(prepared, made)
    lines = [(line.name, line.mass_g / 1000, _make_up(prepared, line.name)) for line in made.weigh]
    kept = _kept(made.product, [(kg, of) for _, kg, of in lines if of is not None])
    changes: dict[Weighing, Change] = {}
    for name, kg, of in lines:
        off = own.get(name, 0.0) * kg or scale_step_kg(prepared.recipe.house.bench, kg)
        if off:
            key = (made.item.id, name)
            weighed[key] = (weighed.get(key, (0.0, 0.0))[0] + kg, off)
            if of is not None:
                _add(changes, key, {c: off * share * kept.get(c, 0.0) for c, share in of.items()})
        if name in found and of is not None:
            _pass_on(changes, found[name], prepared.products[name], kg, kept)
    return WeighingSpread(_largest(changes, made.item.id), made.product.mass_kg)


def _own_spreads(prepared: Prepared, made: Made) -> dict[str, float]:
    """Relative ± by ingredient, where the recipe itself says one."""
    parts: tuple[Part, ...] = items.parts(prepared.ran[made.item.id][0])
    return {
        part.name: part.amount.plus_minus / float(part.amount)
        for part in parts
        if part.amount.plus_minus and float(part.amount) > 0
    }


def _make_up(prepared: Prepared, name: str) -> Mapping[str, float] | None:
    """Mass fractions of what is weighed; None of what only the calculator knows."""
    mixture: Mixture | None = prepared.products.get(name)
    if mixture is None:
        ingredient = prepared.pantry.get(name)
        mixture = ingredient.mixture if ingredient is not None else None
    if mixture is None or not mixture.mass_kg:
        return None
    return {c: kg / mixture.mass_kg for c, kg in mixture.masses_kg.items() if kg > 0}


def _kept(product: Mixture, lines: list[tuple[float, Mapping[str, float]]]) -> dict[str, float]:
    """The share of each component that was weighed in and is still there."""
    put_in: dict[str, float] = {}
    for kg, of in lines:
        for component, share in of.items():
            put_in[component] = put_in.get(component, 0.0) + kg * share
    return {
        component: min(1.0, product.of(component) / kg)
        for component, kg in put_in.items()
        if kg > 0
    }


def _add(changes: dict[Weighing, Change], key: Weighing, change: Mapping[str, float]) -> None:
    into = changes.setdefault(key, {})
    for component, kg in change.items():
        if kg:
            into[component] = into.get(component, 0.0) + kg


def _pass_on(
    changes: dict[Weighing, Change],
    behind: WeighingSpread,
    product: Mixture,
    kg: float,
    kept: Mapping[str, float] | None,
) -> None:
    """What the weighings behind an item do, through `kg` of it, to what it goes into.

    Only the make-up of the item matters: so much of it is weighed whatever there is of it.
    """
    if not behind.mass_kg:
        return
    share = {c: mass / product.mass_kg for c, mass in product.masses_kg.items() if mass > 0}
    for key, change in behind.changes.items():
        whole = math.fsum(change.values())
        moved = {
            c: kg * (change.get(c, 0.0) - share.get(c, 0.0) * whole) / behind.mass_kg
            for c in {**share, **change}
        }
        if kept is not None:
            moved = {c: value * kept.get(c, 0.0) for c, value in moved.items()}
        _add(changes, key, moved)


def _largest(changes: dict[Weighing, Change], item: str) -> dict[Weighing, Change]:
    """The weighings that do most, one by one; the rest together, as if they were one."""
    if len(changes) <= MOST_WEIGHINGS:
        return changes
    size = {key: math.hypot(*change.values()) for key, change in changes.items()}
    order = sorted(changes, key=lambda key: -size[key])
    rest: Change = {}
    for key in order[MOST_WEIGHINGS:]:
        for component, kg in changes[key].items():
            rest[component] = math.hypot(rest.get(component, 0.0), kg)
    return {**{key: changes[key] for key in order[:MOST_WEIGHINGS]}, (item, ""): rest}


def effects(
    mixture: Mixture, spread: WeighingSpread, names: tuple[str, ...]
) -> dict[str, dict[Weighing, float]]:
    """What each weighing does to each named value of a mixture, in the value's unit.

    `spread` is of as much as its own mass says; the mixture may be any amount of the same.
    """
    if not spread.changes or not mixture.mass_kg or not spread.mass_kg:
        return {}
    share = {c: round(kg / mixture.mass_kg, 12) for c, kg in mixture.masses_kg.items() if kg > 0}
    slopes = _slopes(tuple(sorted(share.items())), mixture.tags, _moving(spread), names)
    found = {}
    for name, slope in slopes:
        times = (mixture.mass_kg if name in _OF_AMOUNT else 1.0) / spread.mass_kg
        found[name] = {
            key: times * math.fsum([slope[c] * kg for c, kg in change.items() if c in slope])
            for key, change in spread.changes.items()
        }
    return found


def uneven(
    mixture: Mixture,
    found: Spreads,
    spread: WeighingSpread,
    name: str,
    of: Mapping[Weighing, float],
) -> float | None:
    """The ± of the weighings together, where the one that does most does not do it evenly.

    None where it does: `of` is what each does to the value to first order, which holds for all but
    coarse weighings. Off by all of its ±, the one is taken at the side where it does more.
    """
    most = max(of, key=lambda key: abs(of[key]), default=None)
    if most is None or most not in found.weighed_kg:
        return None
    weighed_kg, off_kg = found.weighed_kg[most]
    if off_kg < COARSE * weighed_kg:
        return None
    whole = mixture.scaled(spread.mass_kg / mixture.mass_kg)
    base = _values(whole, (name,)).get(name)
    sides = []
    for sign in (1, -1):
        masses = dict(whole.masses_kg)
        for component, kg in spread.changes[most].items():
            masses[component] = max(masses.get(component, 0.0) + sign * kg, 0.0)
        side = _values(Mixture(masses, tags=mixture.tags), (name,)).get(name)
        if base is not None and side is not None:
            sides.append(abs(side - base))
    even = together(of)
    larger = math.hypot(max(sides, default=0.0), together({**of, most: 0.0}))
    return larger if len(sides) < 2 or larger > (1.0 + UNEVEN) * even else None


def _moving(spread: WeighingSpread) -> tuple[str, ...]:
    """The components that move: all that make a drink what it is, others where they matter."""
    size: dict[str, float] = {}
    for change in spread.changes.values():
        for component, kg in change.items():
            size[component] = max(size.get(component, 0.0), abs(kg))
    least = _TRACE * max(size.values(), default=0.0)
    return tuple(sorted(c for c, kg in size.items() if kg > least or c in _ALWAYS))


@lru_cache(maxsize=128)
def _slopes(
    share: tuple[tuple[str, float], ...],
    tags: frozenset[str],
    components: tuple[str, ...],
    names: tuple[str, ...],
) -> tuple[tuple[str, dict[str, float]], ...]:
    """The change of each value of 1 kg with kg of each component; of none that has no value."""
    base = _values(Mixture(dict(share), tags=tags), names)
    slopes: dict[str, dict[str, float]] = {name: {} for name in base}
    for component in components:
        masses = dict(share)
        there = masses.get(component, 0.0)
        step = min(_STEP, _STEP_SHARE * there) if there > 1e-9 else _STEP
        masses[component] = there + step
        moved = _values(Mixture(masses, tags=tags), tuple(base))
        for name, value in moved.items():
            slopes[name][component] = (value - base[name]) / step
    return tuple((name, slope) for name, slope in slopes.items() if slope)


def _ph(mixture: Mixture) -> float:
    """pH without the shift by alcohol, which a weighing does not move."""
    return _ph_of(tuple(mixture.acid_molalities.items()), mixture.strong_cation_molality[1])


@lru_cache(maxsize=128)  # sugar and spirit leave it as it is
def _ph_of(molalities: tuple[tuple[str, float], ...], strong_cations: float) -> float:
    return acids.ph(dict(molalities), strong_cations)


_OF: dict[str, Callable[[Mixture], float]] = {
    "refractometer": lambda m: m.refractometer_brix,
    "dissolved_solids": lambda m: 100 * m.dissolved_solids,
    "sugar": lambda m: 100 * m.sugar,
    "acidity": lambda m: 100 * m.acidity_as_citric,
    "abv": lambda m: 100 * m.abv,
    "ethanol": lambda m: 1000 * m.ethanol_kg,
    "density": lambda m: m.density_kg_m3(20.0),
    "ph": _ph,
    "energy": lambda m: m.energy_kcal,
}


def _values(mixture: Mixture, names: tuple[str, ...]) -> dict[str, float]:
    """The values of a mixture that its relations give."""
    found = {}
    for name in names:
        try:
            found[name] = _OF[name](mixture)
        except BadInput:
            continue
    return found


def together(of_weighings: Mapping[Weighing, float]) -> float:
    """The ± of independent weighings together."""
    return math.hypot(*of_weighings.values())


class Decisive(Record):
    """The weighing that moves a value of a serve most, for its size."""

    item: str
    name: str
    weighed_g: float
    plus_minus_g: float
    serve: str
    value: derived.Name  # which value it moves
    moves: float  # in the value's unit
    share: float  # of the value


def decisive(plan: Planned, found: Spreads, names: tuple[derived.Name, ...]) -> Decisive | None:
    """The one weighing that matters most for what is served; `names` are the values of a serve."""
    best: Decisive | None = None
    for portion in plan.portions:
        spread = found.serves[portion.serve.name]
        if portion.held_by or portion.verdict == "stop" or not spread.changes:
            continue
        base, _ = derived.of(portion.mixture, *names)
        moved = effects(portion.mixture, spread, names)
        for value, worth in _WORTH.items():
            size = abs(base.get(value) or 0.0)
            if size < worth:
                continue
            for key, moves in moved.get(value, {}).items():
                share = abs(moves) / size
                if key in found.weighed_kg and (best is None or share > best.share):
                    kg, off = found.weighed_kg[key]
                    best = Decisive(
                        *key, 1000 * kg, 1000 * off, portion.serve.name, value, abs(moves), share
                    )
    return best
