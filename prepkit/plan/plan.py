"""A recipe and a number of serves to a Plan: what is made of each item, and what it is.

Each item's calculator runs once, at the amounts of the recipe; what is extensive is multiplied.
An item in a vessel runs again on the load that really goes into each vessel, and that run's verdict
counts. What must not be made gets no amounts, and neither does what would be made from it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache

from prepkit import cautions, registry
from prepkit.clock import Moment
from prepkit.mixture import Mixture
from prepkit.model import Answer, Caution, Inputs
from prepkit.plan import sheet
from prepkit.plan.fields import whole_serves
from prepkit.plan.filling import over_vessels
from prepkit.plan.items import FOAMS
from prepkit.plan.made import Made, Planned, Stocked
from prepkit.plan.prepare import Prepared, prepare
from prepkit.plan.recipe import Item, Recipe
from prepkit.plan.scaling import Demand, Weigh
from prepkit.shared import glass
from prepkit.sheet import PlanSheet

_PER_GUEST = frozenset({"caffeine_mg"})  # judged on one serve, not on a batch


class Plan(Planned):
    """A planned recipe with its JSON form."""

    __slots__ = ()

    def to_dict(self, service: Moment | None = None) -> PlanSheet:
        """The JSON form; the printed sheet is made from it."""
        return sheet.said(self, service)

    def answers(self) -> dict[str, Answer]:
        """The answer of each item that may be made."""
        return {one.item.id: one.answer for one in self.made if one.go}

    def rests_on(self) -> dict[str, object]:
        """All that it rests on: the words of the recipe, the serves, what each item was given."""
        recipe = self.recipe
        return {
            "title": recipe.title,
            "serves": self.serves if len(set(self.counts.values())) == 1 else dict(self.counts),
            "variant": recipe.variant,
            "items": {
                id_: {
                    "calculator": item.calculator,
                    "inputs": dict(item.inputs),
                    "loss": item.loss,
                    "vessel": item.vessel,
                }
                for id_, item in recipe.items.items()
            },
            "house": {
                "facts": {name: str(fact) for name, fact in recipe.house.facts.items()},
                "bench": {name: one.words() for name, one in recipe.house.bench.items()},
            },
            "serve": [[one.name, *one.part, *one.garnish] for one in recipe.serve],
            "given": {one.item.id: dict(one.answer.inputs) for one in self.made},
        }


def make_plan(recipe: Recipe, serves: int | float | str | None = None) -> Plan:
    """The plan of a recipe for `serves` of each of its serves (the file's own number, if None)."""
    wanted = None if serves is None else whole_serves(serves, "serves")
    return plan_of(prepare(recipe), recipe.counts(wanted))


def plan_of(
    prepared: Prepared,
    serves: Mapping[str, int] | int,
    also: Mapping[str, tuple[Caution, ...]] | None = None,
) -> Plan:
    """The plan of a prepared recipe for a number of each serve; one of which are 0 is left off.

    `also` holds, by item, cautions of what was found when it was made, which count as its own.
    Where losses were learnt, what the plan without them stops or warns of stands in it too.
    """
    counts = prepared.recipe.counts(serves) if isinstance(serves, int) else serves
    plan = _plan_of(prepared, counts, also)
    if prepared.plain is None:
        return plan
    before = _plan_of(prepared.plain, counts, also)
    made = {one.item.id: one for one in plan.made}  # the stock may cover more or less of them
    lacking = {
        old.item.id: _lacking(old.found, made[old.item.id].found)
        for old in before.made
        if old.item.id in made
    }
    if any(lacking.values()):
        whole = {id_: (*found, *(also or {}).get(id_, ())) for id_, found in lacking.items()}
        plan = _plan_of(prepared, counts, {**(also or {}), **whole})
    portions = tuple(
        new._replace(found=(*new.found, *_lacking(old.found, new.found)))
        for old, new in zip(before.portions, plan.portions, strict=True)
    )
    return plan._replace(portions=portions)


def _lacking(before: Iterable[Caution], now: Iterable[Caution]) -> tuple[Caution, ...]:
    """The stops and warnings that were there before and are not there now as severe."""
    order = cautions.SEVERITIES.index
    known = {one.id: one.severity for one in now}
    return tuple(
        one
        for one in before
        if one.severity != "note"
        and not (one.id in known and order(known[one.id]) <= order(one.severity))
    )


def _plan_of(
    prepared: Prepared, counts: Mapping[str, int], also: Mapping[str, tuple[Caution, ...]] | None
) -> Plan:
    recipe, products, uses = prepared.recipe, prepared.products, prepared.uses
    found = prepared.demands(counts)
    looked_at = _behind([id_ for id_ in prepared.order if id_ not in products], uses)
    failed = _failed_checks(prepared)
    made: dict[str, Made] = {}
    for id_ in prepared.order:
        checks = id_ not in products
        demand = found[id_]
        if not demand.needed_kg > 0 and registry.not_run(
            recipe.items[id_].calculator, prepared.ran[id_][0]
        ):
            checks, demand = True, demand._replace(scale=1.0)  # a stop, wanted by a serve or not
        if checks or demand.needed_kg > 0:
            made[id_] = _made(
                prepared,
                recipe.items[id_],
                demand,
                tuple(dict.fromkeys((*failed.get(id_, ()), *_held(uses[id_], made)))),
                (also or {}).get(id_, ()),
            )
    stocked = tuple(
        _stocked(prepared, recipe.items[id_], found[id_])
        for id_ in prepared.order
        if id_ not in made and found[id_].stock_kg > 0
    )
    bad = {one.item.id for one in stocked if cautions.verdict(one.found) == "stop"}
    if bad:  # so much of it says stop: planned as if there were none, so that the stop stands
        kg = {name: kg for name, kg in prepared.shelf.kg.items() if name not in bad}
        shelf = prepared.shelf._replace(kg=kg)
        return _plan_of(prepared._replace(shelf=shelf), counts, also)
    return Plan(
        recipe,
        counts,
        tuple(made.values()),
        tuple(
            id_
            for id_ in prepared.order
            if id_ not in made and id_ not in looked_at and not found[id_].stock_kg
        ),
        tuple(
            one._replace(held_by=_held([part.name for part in one.all_parts], made))
            for one in prepared.portions
            if counts[one.serve.name]
        ),
        prepared,
        stocked,
    )


def _stocked(prepared: Prepared, item: Item, demand: Demand) -> Stocked:
    """What is said of an item that comes from stock, as of so much that is made."""
    inputs, answer = prepared.ran[item.id]
    assert answer is not None  # what fills vessels is never taken from stock
    product = prepared.products[item.id].of_mass(demand.stock_kg)
    found = _judged(item, inputs, answer, product, None)
    found = (*found, *_of_ends(item.calculator, answer, found))
    told = tuple(one for one in found if not one.standing and one.severity in ("stop", "care"))
    return Stocked(item, cautions.consistent(cautions.ordered(told)))


@cache
def _of_a_guest(calculator: str) -> frozenset[str]:
    """Cautions that speak of what one guest takes in."""
    return frozenset(
        row.id for row in cautions.candidates(calculator) if not _PER_GUEST.isdisjoint(row.about)
    )


def _of_ends(calculator: str, answer: Answer, found: Iterable[Caution]) -> tuple[Caution, ...]:
    """What an answer says of the ends of a ± alone: it holds for what is made of it too."""
    known = {one.id for one in found} | _of_a_guest(calculator)
    return tuple(
        one
        for one in answer.cautions
        if one.text.startswith(registry.WITHIN) and one.id not in known
    )


def _judged(
    item: Item, inputs: Inputs, answer: Answer, product: Mixture | None, chargers: int | None
) -> tuple[Caution, ...]:
    """The cautions of an item on all of what is made of it, and on all chargers of the evening."""
    of_glass = glass.facts(item.calculator, inputs, answer.result.product)
    about = {**cautions.told(inputs), **cautions.about(product)}
    facts = {**about, **of_glass, **answer.result.facts}
    if chargers is not None:
        facts["chargers_in_all"] = chargers
        for name in ("room_gas_g", "room_gas_percent", "least_room_m3", "room_over_least"):
            if name in facts:  # of the vessel that was worked out: they grow with the chargers
                facts[name] *= chargers / facts["chargers_all"]
    skip = _of_a_guest(item.calculator)
    return tuple(c for c in cautions.judge(item.calculator, facts) if c.id not in skip)


def _measured_right(prepared: Prepared, weigh: tuple[Weigh, ...]) -> tuple[Weigh, ...]:
    """Weigh-outs without the volumes of what no jug measures: powders, plants, foams."""
    items = prepared.recipe.items
    found = []
    for line in weigh:
        one = prepared.pantry.get(line.name)
        dry = one is not None and one.form != "liquid"
        foam = line.name in items and items[line.name].calculator in FOAMS
        found.append(line._replace(volume_ml=None) if dry or foam else line)
    return tuple(found)


def _behind(ids: Iterable[str], uses: Mapping[str, tuple[str, ...]]) -> set[str]:
    """All items that the named ones use, and what those use."""
    found: set[str] = set()
    left = list(ids)
    while left:
        for used in uses[left.pop()]:
            if used not in found:
                found.add(used)
                left.append(used)
    return found


def _failed_checks(prepared: Prepared) -> dict[str, list[str]]:
    """For each item the checks of it that say stop: it is held until they do not."""
    found: dict[str, list[str]] = {}
    for id_ in prepared.order:
        answer = prepared.ran[id_][1]
        if id_ not in prepared.products and answer is not None and answer.verdict == "stop":
            for used in prepared.uses[id_]:
                found.setdefault(used, []).append(id_)
    return found


def _held(uses: Iterable[str], made: Mapping[str, Made]) -> tuple[str, ...]:
    """The stopped items among what is used, and behind it."""
    found: dict[str, None] = {}
    for id_ in uses:
        one = made.get(id_)
        if one is None:
            continue
        if one.verdict == "stop":
            found[id_] = None
        found |= dict.fromkeys(one.held_by)
    return tuple(found)


def _made(
    prepared: Prepared,
    item: Item,
    demand: Demand,
    held_by: tuple[str, ...],
    also: tuple[Caution, ...],
) -> Made:
    inputs, answer = prepared.ran[item.id]
    own = prepared.products.get(item.id)
    filling = None
    if own is None:  # a check: it makes nothing, and its verdict stands as it is
        product, each, lines = None, None, tuple[Weigh, ...]()
    else:
        product = each = own.scaled(demand.scale)
        weigh = _measured_right(prepared, prepared.weigh[item.id])
        lines = tuple(line.scaled(demand.scale) for line in weigh)
        if answer is None:
            filling = over_vessels(prepared.recipe, item, inputs, product)
            each, answer = filling.each, filling.answer
    assert answer is not None
    if own is None:
        found = answer.cautions
    else:
        found = _judged(item, inputs, answer, each, filling.chargers if filling else None)
        found = (*found, *_of_ends(item.calculator, answer, found))
    also = (*also, *(filling.also if filling else ()))
    found = cautions.consistent(cautions.ordered((*found, *also)))
    return Made(item, answer, demand, product, lines, filling, found, held_by)
