"""What is bought, in whole packs, what it costs, and what one serve costs.

What has no price makes a cost incomplete: it is named, and never counted as nothing. Water that has
no price is left out of costs and not missed. A serve costs what went into it, with its share of
what was lost on the way; what is left over is not in it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from prepkit.errors import BadInput
from prepkit.pantry import Part
from prepkit.plan.fields import MOST_PROBLEMS, Wrong
from prepkit.plan.house import PackPrice
from prepkit.plan.made import Made, Planned
from prepkit.plan.recipe import Recipe
from prepkit.units import split_amount

FREE = ("water",)  # not missed where it has no price
_CHARGER = re.compile(r"([a-z0-9]+) chargers?", re.IGNORECASE)
_DUST = 1e-9


class Pack(NamedTuple):
    """What a pack holds, kg (chargers: how many), and what it costs."""

    words: str
    holds: float
    cost: float
    liquid_m3_kg: float | None = None  # of a liquid, to say what is left in ml

    def packs(self, wanted: float) -> int:
        """Whole packs that hold at least so much."""
        return max(1, math.ceil(wanted / self.holds * (1.0 - _DUST)))


class Cost(NamedTuple):
    """Money that is known of, and the names of what has no price."""

    known: float = 0.0
    unpriced: tuple[str, ...] = ()

    @property
    def whole(self) -> float | None:
        """The whole cost; None where a price is missing."""
        return None if self.unpriced else self.known

    def plus(self, other: Cost, times: float = 1.0) -> Cost:
        """With `times` another."""
        names = dict.fromkeys((*self.unpriced, *other.unpriced))
        return Cost(self.known + times * other.known, tuple(names))

    def times(self, factor: float) -> Cost:
        """So many times it."""
        return Cost(self.known * factor, self.unpriced)


class Prices(NamedTuple):
    """Packs by the ingredient's own name, and of chargers by their gas."""

    packs: Mapping[str, Pack] = {}
    chargers: Mapping[str, Pack] = {}

    def __bool__(self) -> bool:
        return bool(self.packs or self.chargers)

    def of(self, name: str, kg: float) -> Cost:
        """What so much of an ingredient costs, by its share of a pack."""
        pack = self.packs.get(name)
        if pack is None:
            return Cost() if name in FREE else Cost(0.0, (name,))
        return Cost(kg / pack.holds * pack.cost)

    def of_chargers(self, gas: str, count: int) -> Cost:
        """What so many chargers cost."""
        pack = self.chargers.get(gas)
        return (
            Cost(0.0, (f"{gas} charger",)) if pack is None else Cost(count / pack.holds * pack.cost)
        )


def read_prices(recipe: Recipe, gathered: list[Wrong] | None = None) -> Prices:
    """The prices of a recipe and its house as packs; those of the recipe win.

    Problems are raised, or gathered where a list is given for them.
    """
    packs: dict[str, Pack] = {}
    chargers: dict[str, Pack] = {}
    for rows in (recipe.house.prices, recipe.prices):
        seen: set[str] = set()
        for price in rows:
            try:
                _read(recipe, price, packs, chargers, seen)
            except Wrong as error:
                if gathered is None:
                    raise
                gathered.append(error)
                if len(gathered) >= MOST_PROBLEMS:
                    return Prices(packs, chargers)
    return Prices(packs, chargers)


def _read(
    recipe: Recipe,
    price: PackPrice,
    packs: dict[str, Pack],
    chargers: dict[str, Pack],
    seen: set[str],
) -> None:
    """One row, put in its place; `seen` are the names that its file has had."""
    charger = _CHARGER.fullmatch(price.ingredient)
    if charger:
        name = charger[1].lower()
        chargers[name] = Pack(price.pack, _count(recipe, price), price.cost)
    else:
        part = _part(recipe, price)
        name = part.name
        volume = _volume_of(part) if part.ingredient.form == "liquid" else None
        packs[name] = Pack(price.pack, part.mass_kg, price.cost, volume)
    if name in seen:
        raise recipe.wrong_in(
            price.file, f"{price.where}.ingredient",
            f"{price.ingredient} has a price already; give each one price.",
        )  # fmt: skip
    seen.add(name)


def _part(recipe: Recipe, price: PackPrice) -> Part:
    try:
        part = recipe.house.pantry.part(f"{price.pack} {price.ingredient}", "pack")
    except BadInput as error:
        message = error.message.removeprefix("pack: ").removeprefix("pack ")
        raise recipe.wrong_in(price.file, price.where, message) from error
    if part.words_without_amount != " ".join(price.ingredient.split()) or not part.mass_kg > 0:
        raise recipe.wrong_in(
            price.file, f"{price.where}.pack",
            f'it is "{price.pack}"; write one amount, such as "700 ml", "1 kg" or "12 pieces".',
        )  # fmt: skip
    return part


def _volume_of(part: Part) -> float | None:
    try:
        return part.mixture.volume_20_m3 / part.mass_kg
    except BadInput:
        return None


def _count(recipe: Recipe, price: PackPrice) -> float:
    try:
        amount, rest = split_amount(price.pack, "pack")
    except BadInput as error:
        raise recipe.wrong_in(price.file, f"{price.where}.pack", error.message) from error
    if amount.unit != "piece" or rest or not amount >= 1 or not float(amount).is_integer():
        raise recipe.wrong_in(
            price.file, f"{price.where}.pack",
            f'it is "{price.pack}"; write how many chargers are in a pack, such as "10 pieces".',
        )  # fmt: skip
    return float(amount)


# what a plan costs


def of_items(plan: Planned, prices: Prices) -> dict[str, Cost]:
    """What 1 kg that is used of each item costs, with its share of losses and chargers."""
    found: dict[str, Cost] = {}
    by_id = {made.item.id: made for made in plan.made}
    for id_ in plan.prepared.order:
        made = by_id.get(id_)
        if made is None:
            if id_ in plan.prepared.products and plan.prepared.shelf.kg.get(id_):
                found[id_] = _of_stock(plan, id_, found, prices)
            continue
        if made.product is None or not made.go:
            continue
        batch = Cost()
        for line in made.weigh:
            kg = line.mass_g / 1000
            one = found[line.name].times(kg) if line.name in found else prices.of(line.name, kg)
            batch = batch.plus(one)
        batch = batch.times((made.demand.needed_kg + made.demand.lost_kg) / made.demand.made_kg)
        batch = batch.plus(chargers_of(made, prices))
        found[made.item.id] = batch.times(1.0 / made.demand.needed_kg)
    return found


def _of_stock(plan: Planned, id_: str, found: Mapping[str, Cost], prices: Prices) -> Cost:
    """What 1 kg of an item that stands in stock cost, as if it were made now."""
    prepared = plan.prepared
    batch = Cost()
    for line in prepared.weigh[id_]:
        kg = line.mass_g / 1000
        one = found[line.name].times(kg) if line.name in found else prices.of(line.name, kg)
        batch = batch.plus(one)
    kept_kg = prepared.products[id_].mass_kg * (1.0 - plan.recipe.items[id_].loss)
    return batch.times(1.0 / kept_kg)


def chargers_of(made: Made, prices: Prices) -> Cost:
    """What the chargers of an item cost."""
    filling = made.filling
    if filling is None or not filling.chargers:
        return Cost()
    return prices.of_chargers(filling.gas or "unnamed gas", filling.chargers)


def of_parts(parts: Iterable[Part], items: Mapping[str, Cost], prices: Prices) -> Cost:
    """What the parts of one serve cost."""
    found = Cost()
    for part in parts:
        of_item = items.get(part.name)
        found = found.plus(
            of_item.times(part.mass_kg) if of_item else prices.of(part.name, part.mass_kg)
        )
    return found
