"""A recipe and a number of serves to a Plan: what is made of each item, and what it is.

Each item's calculator runs once, at the amounts of the recipe; what is extensive is multiplied.
An item in a vessel runs again on the load that really goes into each vessel, and that run's verdict
counts. What must not be made gets no amounts, and neither does what would be made from it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from prepkit import cautions, derived, registry
from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.model import Answer, Caution, Inputs
from prepkit.pantry import ITEM_GROUP, Part
from prepkit.plan import graph, scaling
from prepkit.plan.fields import whole_serves
from prepkit.plan.filling import Filling, shared_out
from prepkit.plan.items import (
    FOAMS,
    has_volume,
    no_pantry_names,
    product_of,
    refuse_volumes,
    run,
    sentence,
)
from prepkit.plan.recipe import Item, Recipe, Serve
from prepkit.plan.scaling import Demand, Weigh

WATER = Mixture({"water": 1.0})
MOST_KG = 1e6
_PER_GUEST = ("caffeine_mg",)  # judged on one serve, not on a batch


@dataclass(frozen=True)
class Made:
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


@dataclass(frozen=True)
class Portion:
    """What one serve holds; the mixture is of its parts, without the garnish."""

    serve: Serve
    parts: tuple[Part, ...]
    garnish: tuple[Part, ...]
    mixture: Mixture
    found: tuple[Caution, ...]
    held_by: tuple[str, ...] = ()

    @property
    def all_parts(self) -> tuple[Part, ...]:
        """Parts and garnish."""
        return (*self.parts, *self.garnish)

    @property
    def verdict(self) -> str:
        """The verdict on one serve."""
        return cautions.verdict(self.found)


@dataclass(frozen=True)
class Plan:
    """The amounts, yields, vessels and cautions of a recipe for a number of serves."""

    recipe: Recipe
    serves: int
    made: tuple[Made, ...]  # in making order
    unused: tuple[str, ...]
    portions: tuple[Portion, ...]
    pantry: Mapping[str, tuple[float | None, str]]  # piece in g and form by ingredient

    @property
    def verdict(self) -> str:
        """The worst verdict of all items and serves."""
        verdicts = [one.verdict for one in self.made] + [one.verdict for one in self.portions]
        return max(verdicts, key=cautions.VERDICTS.index)

    def to_dict(self) -> dict[str, Any]:
        """The JSON form; the printed sheet is made from it."""
        from prepkit.plan.sheet import said

        return said(self)


def make_plan(recipe: Recipe, serves: int | float | str | None = None) -> Plan:
    """The plan of a recipe for `serves` of each of its serves (the file's own number, if None)."""
    wanted = recipe.serves if serves is None else whole_serves(serves, "serves")
    specs = {
        name: registry.load(name).inputs.specs()
        for name in {item.calculator for item in recipe.items.values()}
    }
    no_pantry_names(recipe)
    uses = {
        id_: graph.references(item, specs[item.calculator], recipe.items)
        for id_, item in recipe.items.items()
    }
    order = graph.making_order(recipe, uses)
    ran: dict[str, tuple[Inputs, Answer | None]] = {}
    products: dict[str, Mixture] = {}
    for id_ in order:
        item = recipe.items[id_]
        refuse_volumes(recipe, item, specs[item.calculator], products)
        ran[id_] = run(recipe, item, specs[item.calculator], uses[id_], products)
        product = product_of(item, *ran[id_])
        if product is not None:
            products[id_] = product
    portions = [_portion(recipe, serve, products) for serve in recipe.serve]
    weigh = {
        id_: _weighed(recipe, recipe.items[id_], ran[id_], uses[id_]) if id_ in products else ()
        for id_ in order
    }
    taken = {id_: _taken(ran[id_][0], weigh[id_], uses[id_]) for id_ in order}
    found = scaling.demands(
        order,
        {one.serve.name: _items_of(one, wanted) for one in portions},
        taken,
        {id_: products[id_].mass_kg if id_ in products else 0.0 for id_ in order},
        {id_: recipe.items[id_].loss for id_ in order},
        {id_: _least_kg(recipe, recipe.items[id_], products.get(id_)) for id_ in order},
    )
    pantry = _ingredients(ran, weigh, portions, recipe)
    for id_ in reversed(order):
        _sane(recipe, id_, found[id_])
    looked_at = _behind([id_ for id_ in order if id_ not in products], uses)
    failed = _failed_checks(order, ran, products, uses)
    made: dict[str, Made] = {}
    for id_ in order:
        checks = id_ not in products
        if checks or found[id_].needed_kg > 0:
            made[id_] = _made(
                recipe, recipe.items[id_], ran[id_], found[id_], products.get(id_),
                _measured_right(recipe, pantry, weigh[id_]),
                tuple(dict.fromkeys((*failed.get(id_, ()), *_held(uses[id_], made)))),
            )  # fmt: skip
    return Plan(
        recipe,
        wanted,
        tuple(made.values()),
        tuple(id_ for id_ in order if id_ not in made and id_ not in looked_at),
        tuple(
            replace(one, held_by=_held([part.name for part in one.all_parts], made))
            for one in portions
        ),
        pantry,
    )


# serves


def _portion(recipe: Recipe, serve: Serve, products: Mapping[str, Mixture]) -> Portion:
    where = f'serve "{serve.name}"'
    parts = _parts(recipe, f"{where}.part", serve.part, products)
    garnish = _parts(recipe, f"{where}.garnish", serve.garnish, products)
    mixture = Mixture.total(part.mixture for part in parts)
    if not mixture.mass_kg > 0:
        raise recipe.wrong(f"{where}.part", "it uses nothing; write what goes into one.")
    around = Mixture.total(part.mixture for part in garnish)
    whole = mixture.marked(tags=around.tags, allergens=around.allergens)
    found = cautions.judge(cautions.ANY, {**cautions.about(whole), **derived.facts(whole)})
    return Portion(serve, parts, garnish, whole, found)


def _parts(
    recipe: Recipe, where: str, words_of: tuple[str, ...], products: Mapping[str, Mixture]
) -> tuple[Part, ...]:
    found: list[Part] = []
    field = where.rpartition(".")[2]
    for words in words_of:
        has_volume(recipe, where, words, products)
        id_ = graph.named(words, products)
        pantry = recipe.house.pantry.with_items({id_: products[id_]} if id_ else {})
        try:
            found.append(pantry.part(words, field))
        except BadInput as error:
            raise recipe.wrong(where, sentence(recipe, error, words, field)) from error
    return tuple(found)


def _items_of(portion: Portion, serves: int) -> dict[str, float]:
    """kg of each item that all the serves take."""
    taken: dict[str, float] = {}
    for part in portion.all_parts:
        if part.ingredient.group == ITEM_GROUP:
            taken[part.name] = taken.get(part.name, 0.0) + part.mass_kg * serves
    return taken


@cache
def _of_a_guest(calculator: str) -> frozenset[str]:
    """Cautions that speak of what one guest takes in."""
    return frozenset(
        candidate.row["id"]
        for candidate in cautions.candidates(calculator)
        if any(condition["fact"] in _PER_GUEST for condition in candidate.when or ())
    )


def _judged(item: Item, answer: Answer, product: Mixture | None) -> tuple[Caution, ...]:
    """The cautions of an item on all of what is made of it."""
    facts = {**cautions.about(product), **answer.result.facts}
    skip = _of_a_guest(item.calculator)
    return tuple(c for c in cautions.judge(item.calculator, facts) if c.id not in skip)


# amounts


def _weighed(
    recipe: Recipe, item: Item, ran: tuple[Inputs, Answer | None], uses: tuple[str, ...]
) -> tuple[Weigh, ...]:
    """All that an item weighs out at its own amounts, so that nothing is made of nothing.

    A calculator may take something without listing it, as a dose does with its stock and a
    dilution with its water: what the product holds beyond the weigh-out is then that.
    """
    lines = scaling.weigh_outs(*ran)
    answer = ran[1]
    if answer is None or answer.product is None:
        return lines
    made_g = 1000 * answer.product.mass_kg
    lacking_g = made_g - math.fsum(line.mass_g for line in lines)
    if lacking_g <= 1e-6 * made_g:
        return lines
    unlisted = [id_ for id_ in uses if id_ not in {line.name for line in lines}]
    if not unlisted:
        parts = Mixture.total(part.mixture for part in scaling.parts(ran[0]))
        water_g = 1000 * (answer.product.of("water") - parts.of("water"))
        if abs(water_g - lacking_g) <= 1e-6 * made_g:
            return (
                *lines,
                Weigh(
                    "water", lacking_g, derived.volume_ml(WATER.of_mass(lacking_g / 1000)), "to add"
                ),
            )
    if len(unlisted) != 1:
        raise recipe.wrong(
            f"items.{item.id}",
            f"{lacking_g:.3g} g of what it makes is in no weigh-out; make that, such as a stock, "
            f"an item of its own and name it here.",
        )
    return (*lines, Weigh(unlisted[0], lacking_g))


def _taken(inputs: Inputs, weigh: tuple[Weigh, ...], uses: tuple[str, ...]) -> dict[str, float]:
    """kg of other items that an item takes at its own amounts."""
    taken: dict[str, float] = {}
    for line in weigh:
        if line.name in uses:
            taken[line.name] = taken.get(line.name, 0.0) + line.mass_g / 1000
    by_part: dict[str, float] = {}
    for part in scaling.parts(inputs):
        if part.ingredient.group == ITEM_GROUP:
            by_part[part.name] = by_part.get(part.name, 0.0) + part.mass_kg
    return {**by_part, **taken}


def _least_kg(recipe: Recipe, item: Item, product: Mixture | None) -> float:
    """The smallest batch of an item, kg."""
    if item.least is None or product is None:
        return 0.0
    if item.least.unit == "g":
        return float(item.least) / 1000
    has_volume(
        recipe, f"items.{item.id}.least", f"{item.least.words()} {item.id}", {item.id: product}
    )
    return float(item.least) * 1e-6 * product.density_kg_m3(20.0)


def _measured_right(
    recipe: Recipe, pantry: Mapping[str, tuple[float | None, str]], weigh: tuple[Weigh, ...]
) -> tuple[Weigh, ...]:
    """Weigh-outs without the volumes of what no jug measures: powders, plants, foams."""
    return tuple(
        replace(line, volume_ml=None)
        if pantry.get(line.name, (None, ""))[1] not in ("liquid", "")
        or (line.name in recipe.items and recipe.items[line.name].calculator in FOAMS)
        else line
        for line in weigh
    )


def _sane(recipe: Recipe, id_: str, demand: Demand) -> None:
    if not math.isfinite(demand.made_kg) or demand.made_kg > MOST_KG or demand.scale > 1e12:
        raise recipe.wrong(
            f"items.{id_}",
            f"{demand.made_kg:.3g} kg of it would have to be made, {demand.scale:.3g} times what "
            f"is written; check the amounts of its users and of the serves.",
        )


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


def _failed_checks(
    order: tuple[str, ...],
    ran: Mapping[str, tuple[Inputs, Answer | None]],
    products: Mapping[str, Mixture],
    uses: Mapping[str, tuple[str, ...]],
) -> dict[str, list[str]]:
    """For each item the checks of it that say stop: it is held until they do not."""
    found: dict[str, list[str]] = {}
    for id_ in order:
        answer = ran[id_][1]
        if id_ not in products and answer is not None and answer.verdict == "stop":
            for used in uses[id_]:
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
    recipe: Recipe,
    item: Item,
    ran: tuple[Inputs, Answer | None],
    demand: Demand,
    own: Mixture | None,
    weigh: tuple[Weigh, ...],
    held_by: tuple[str, ...],
) -> Made:
    inputs, answer = ran
    filling = None
    if own is None:  # a check: it makes nothing, and its verdict stands as it is
        product, each, lines = None, None, tuple[Weigh, ...]()
    else:
        product = each = own.scaled(demand.scale)
        lines = tuple(line.scaled(demand.scale) for line in weigh)
        if answer is None:
            filling = shared_out(recipe, item, inputs, product)
            each, answer = filling.each, filling.answer
    assert answer is not None
    found = _judged(item, answer, each)
    return Made(item, answer, demand, product, lines, filling, found, held_by)


def _ingredients(
    ran: Mapping[str, tuple[Inputs, Answer | None]],
    weigh: Mapping[str, tuple[Weigh, ...]],
    portions: list[Portion],
    recipe: Recipe,
) -> dict[str, tuple[float | None, str]]:
    """Piece mass and form of every pantry ingredient that is weighed."""
    found: dict[str, tuple[float | None, str]] = {}
    all_parts = [part for inputs, _ in ran.values() for part in scaling.parts(inputs)]
    for part in [*all_parts, *(part for one in portions for part in one.all_parts)]:
        if part.ingredient.group != ITEM_GROUP:
            found[part.name] = (part.ingredient.piece_g, part.ingredient.form)
    for lines in weigh.values():
        for line in lines:
            if line.name not in found and line.name not in recipe.items:
                try:
                    one = recipe.house.pantry.ingredient(line.name)
                except BadInput:  # a name of the calculator's own, such as "your own juice"
                    found[line.name] = (None, "")
                else:
                    found[line.name] = (one.piece_g, one.form)
    return found
