"""Everything of a recipe that does not depend on how many are served, computed once.

Each item's calculator runs at the amounts of the recipe; from that any number of serves is only
arithmetic, so that two scales, or the scale that an ingredient allows, cost no second run.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from prepkit import cautions, derived, jurisdictions, registry
from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.model import Answer, Caution, Inputs
from prepkit.pantry import ITEM_GROUP, Ingredient, Part
from prepkit.plan import graph, scaling
from prepkit.plan.items import (
    has_volume,
    pantry_names,
    product_of,
    refuse_volumes,
    run,
    sentence,
)
from prepkit.plan.items import windows as routine_windows
from prepkit.plan.learnt import LearntLoss
from prepkit.plan.recipe import Item, Recipe, Serve
from prepkit.plan.scaling import NO_SHELF, Demand, ForSites, Shelf, Weigh
from prepkit.plan.sure import SURE, Deviation, Sure, sure, yield_deviation
from prepkit.shared import drink_units, glass, one_serve

WATER = Mixture({"water": 1.0})
MOST_KG = 1e6


class Portion(NamedTuple):
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


class Prepared(NamedTuple):
    """A recipe with every item run at its own amounts; all by the item's id."""

    recipe: Recipe
    order: tuple[str, ...]  # in which they are made
    uses: Mapping[str, tuple[str, ...]]
    ran: Mapping[str, tuple[Inputs, Answer | None]]
    products: Mapping[str, Mixture]  # of those that make something
    weigh: Mapping[str, tuple[Weigh, ...]]
    taken: Mapping[str, Mapping[str, float]]  # kg of other items
    least_kg: Mapping[str, float]
    portions: tuple[Portion, ...]
    pantry: Mapping[str, Ingredient | None]  # by name; None: a calculator's own name
    corrected: frozenset[str] = frozenset()
    learnt: tuple[LearntLoss, ...] = ()  # losses of the bar's own batches
    plain: Prepared | None = None  # the same without them, which verdicts never fall behind
    shelf: Shelf = NO_SHELF
    chance: float = SURE  # that it covers its serves
    windows: Mapping[tuple[str, str], Answer] = {}  # by routine and drink
    sites: ForSites | None = None  # of a production kitchen

    def for_sure(self, chance: float) -> Prepared:
        """The same with another chance that its plans cover their serves."""
        plain = None if self.plain is None else self.plain._replace(chance=chance)
        return self._replace(chance=chance, plain=plain)

    def sure(self, counts: Mapping[str, int]) -> Sure:
        """What is made more of each item for a number of each serve, to be enough for sure."""
        learnt = {one.item: one for one in self.learnt}
        items = self.recipe.items
        deviations = {
            id_: yield_deviation(items[id_], self.ran[id_][1], learnt.get(id_))
            for id_ in self.products
        }
        if not any(one.share for one in deviations.values()):
            return Sure(self.chance)
        made: dict[str, Deviation] = {}
        found = Sure(self.chance)
        while True:  # what stock just covers is made where more of what uses it is
            needed = self._demands(counts, found.factors)
            more = {id_: one for id_, one in deviations.items() if needed[id_].needed_kg > 0}
            if more.keys() <= made.keys():
                return found
            made |= more
            found = sure(self.chance, made)
            if not self.shelf.kg:
                return found

    def demands(self, counts: Mapping[str, int]) -> dict[str, Demand]:
        """What must be made of each item for a number of each serve, enough for sure."""
        return self._demands(counts, self.sure(counts).factors)

    def _demands(
        self, counts: Mapping[str, int], factors: Mapping[str, float] | None = None
    ) -> dict[str, Demand]:
        found = scaling.demands(
            self.order,
            {one.serve.name: _items_of(one, counts[one.serve.name]) for one in self.portions}
            if self.sites is None
            else self.sites.sent_kg,
            self.taken,
            {
                id_: self.products[id_].mass_kg if id_ in self.products else 0.0
                for id_ in self.order
            },
            {id_: self.recipe.items[id_].loss for id_ in self.order},
            self.least_kg,
            self.shelf,
            factors,
        )
        for id_ in reversed(self.order):
            _sane(self.recipe, id_, found[id_])
        return found


def prepare(
    recipe: Recipe,
    corrected: Mapping[str, Mixture] | None = None,
    before: Prepared | None = None,
) -> Prepared:
    """Run every item of a recipe once.

    `corrected` holds what an item was found to be instead of what it was worked out to be; what is
    made from it is worked out from that. `before` is nearly the same recipe in the same house: an
    item whose words, and all that it is made from, are as they were there is not run again.
    """
    specs = {
        name: registry.load(name).inputs.specs()
        for name in {item.calculator for item in recipe.items.values()}
    }
    for problem in pantry_names(recipe):
        raise problem
    uses = {
        id_: graph.references(item, specs[item.calculator], recipe.items)
        for id_, item in recipe.items.items()
    }
    order = graph.making_order(recipe, uses)
    ran: dict[str, tuple[Inputs, Answer | None]] = {}
    products: dict[str, Mixture] = {}
    weigh: dict[str, tuple[Weigh, ...]] = {}
    for id_ in order:
        item = recipe.items[id_]
        if before is not None and not corrected and _as_before(before, item, uses[id_], products):
            ran[id_], weigh[id_] = before.ran[id_], before.weigh[id_]
            if id_ in before.products:
                products[id_] = before.products[id_]
            continue
        refuse_volumes(recipe, item, specs[item.calculator], products)
        ran[id_] = run(recipe, item, specs[item.calculator], uses[id_], products)
        product = product_of(item, *ran[id_])
        weigh[id_] = ()
        if product is not None:
            weigh[id_] = weighed(recipe, item, ran[id_], uses[id_])
            products[id_] = (corrected or {}).get(id_, product)
    spice = _nutmeg_shares(order, ran, weigh, products, recipe)
    portions = tuple(_portion(recipe, serve, products, spice) for serve in recipe.serve)
    windows: Mapping[tuple[str, str], Answer] = {}
    if recipe.routines:
        windows = routine_windows(recipe, products)
        portions = _with_windows(portions, windows)
    return Prepared(
        recipe,
        order,
        uses,
        ran,
        products,
        weigh,
        {id_: _taken(ran[id_][0], weigh[id_], uses[id_]) for id_ in order},
        {id_: _least_kg(recipe, recipe.items[id_], products.get(id_)) for id_ in order},
        portions,
        _ingredients(ran, weigh, portions, recipe),
        frozenset(corrected or ()),
        windows=windows,
    )


def _as_before(
    before: Prepared, item: Item, uses: tuple[str, ...], products: Mapping[str, Mixture]
) -> bool:
    """Whether an item, and all that it is made from, was run just so before."""
    was = before.recipe.items.get(item.id)
    return (
        was is not None
        and was._replace(loss=item.loss) == item
        and all(products.get(used) is before.products.get(used) for used in uses)
    )


# serves


def _nutmeg_shares(
    order: tuple[str, ...],
    ran: Mapping[str, tuple[Inputs, Answer | None]],
    weigh: Mapping[str, tuple[Weigh, ...]],
    products: Mapping[str, Mixture],
    recipe: Recipe,
) -> dict[str, float]:
    """kg of nutmeg and mace in 1 kg of each product, as if none of it were strained out."""
    found: dict[str, float] = {}
    for id_ in order:
        if id_ not in products or not products[id_].mass_kg:
            continue
        here = 1e-3 * one_serve.nutmeg_g(scaling.parts(ran[id_][0]))
        named = math.fsum(
            line.mass_g / 1000 * found[line.name]
            for line in weigh[id_]
            if line.name in recipe.items and line.name in found
        )
        found[id_] = (here + named) / products[id_].mass_kg
    return found


def _portion(
    recipe: Recipe, serve: Serve, products: Mapping[str, Mixture], spice: Mapping[str, float]
) -> Portion:
    where = f'serve "{serve.name}"'
    parts = _parts(recipe, f"{where}.part", serve.part, products)
    garnish = _parts(recipe, f"{where}.garnish", serve.garnish, products)
    mixture = Mixture.total(part.mixture for part in parts)
    if not mixture.mass_kg > 0:
        raise recipe.wrong(f"{where}.part", "it uses nothing; write what goes into one.")
    around = Mixture.total(part.mixture for part in garnish)
    whole = mixture.marked(tags=around.tags, allergens=around.allergens)
    every = (*parts, *garnish)
    held = math.fsum(one.mass_kg * spice.get(one.name, 0.0) for one in every)
    said = recipe.house.facts.get("jurisdiction")
    facts = {
        "law_place": jurisdictions.key_of(said) if isinstance(said, str) else None,
        **cautions.about(whole),
        **glass.of_glass(1e-3 * one_serve.nutmeg_g(every) + held, whole),
        **derived.facts(whole),
        "serve_ethanol_g": 1000 * whole.ethanol_kg,
        "serve_us_drinks": drink_units.us_drinks(1000 * whole.ethanol_kg),
        "serve_caffeine_mg": 1e6 * whole.of("caffeine"),
    }
    # a guest drinks it: judged as the serve that it is
    found = tuple(one for one in cautions.judge("serve", facts) if not one.standing)
    return Portion(serve, parts, garnish, whole, found)


def _with_windows(
    portions: Iterable[Portion], found: Mapping[tuple[str, str], Answer]
) -> tuple[Portion, ...]:
    """Serves with what a routine's window of them stops or warns of, as their own."""
    out = []
    for one in portions:
        known = {caution.id for caution in one.found}
        new: dict[str, Caution] = {}
        for (_, name), answer in found.items():
            for caution in answer.cautions:
                serious = caution.severity != "note" and not caution.standing
                if name == one.serve.name and serious and caution.id not in known:
                    new.setdefault(caution.id, caution)
        if new:
            every = cautions.ordered((*one.found, *new.values()))
            out.append(one._replace(found=cautions.consistent(every)))
        else:
            out.append(one)
    return tuple(out)


def _parts(
    recipe: Recipe, where: str, words_of: tuple[str, ...], products: Mapping[str, Mixture]
) -> tuple[Part, ...]:
    return tuple(part_of(recipe, where, words, products) for words in words_of)


def part_of(recipe: Recipe, where: str, words: str, products: Mapping[str, Mixture]) -> Part:
    """One part of a serve: an amount of an item or of an ingredient."""
    field = where.rpartition(".")[2]
    has_volume(recipe, where, words, products)
    id_ = graph.named(words, products)
    pantry = recipe.house.pantry.with_items({id_: products[id_]} if id_ else {})
    try:
        return pantry.part(words, field)
    except BadInput as error:
        raise recipe.wrong(where, sentence(recipe, error, words, field)) from error


def _items_of(portion: Portion, serves: int) -> dict[str, float]:
    """kg of each item that all the serves take."""
    taken: dict[str, float] = {}
    for part in portion.all_parts:
        if part.ingredient.group == ITEM_GROUP:
            taken[part.name] = taken.get(part.name, 0.0) + part.mass_kg * serves
    return taken


# amounts


def weighed(
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


def _ingredients(
    ran: Mapping[str, tuple[Inputs, Answer | None]],
    weigh: Mapping[str, tuple[Weigh, ...]],
    portions: tuple[Portion, ...],
    recipe: Recipe,
) -> dict[str, Ingredient | None]:
    """Every pantry ingredient that is weighed."""
    found: dict[str, Ingredient | None] = {}
    all_parts = [part for inputs, _ in ran.values() for part in scaling.parts(inputs)]
    for part in [*all_parts, *(part for one in portions for part in one.all_parts)]:
        if part.ingredient.group != ITEM_GROUP:
            found[part.name] = part.ingredient
    for lines in weigh.values():
        for line in lines:
            if line.name not in found and line.name not in recipe.items:
                try:
                    found[line.name] = recipe.house.pantry.ingredient(line.name)
                except BadInput:  # a name of the calculator's own, such as "your own juice"
                    found[line.name] = None
    return found


def _sane(recipe: Recipe, id_: str, demand: Demand) -> None:
    if not math.isfinite(demand.made_kg) or demand.made_kg > MOST_KG or demand.scale > 1e12:
        raise recipe.wrong(
            f"items.{id_}",
            f"{demand.made_kg:.3g} kg of it would have to be made, {demand.scale:.3g} times what "
            f"is written; check the amounts of its users and of the serves.",
        )
