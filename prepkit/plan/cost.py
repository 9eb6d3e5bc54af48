"""What is bought, in whole packs, what it costs, and what an evening brings.

What has no price makes a cost incomplete: it is named, and never counted as nothing. Water that has
no price is left out of costs and not missed. A serve costs what went into it, with its share of
what was lost on the way; what is left over is not in it.

A serve costs what went into it, with its share of what was lost on the way. What is made and left
over, and what is left in packs, is paid for too and in no serve. What has no price makes a figure
incomplete: it is named, and no share of a price is worked out from it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from prepkit import derived
from prepkit.errors import BadInput
from prepkit.ingredient import Ingredient, Part
from prepkit.plan.files import MOST_PROBLEMS, Wrong
from prepkit.plan.filling import Made, Planned
from prepkit.plan.house import PackPrice
from prepkit.plan.house_file import Tax
from prepkit.plan.items import FOAMS, Weigh, of_part
from prepkit.plan.recipe_types import Recipe
from prepkit.record import Record
from prepkit.units import split_amount

if TYPE_CHECKING:
    from prepkit.sheet import (
        Bought,
        ChargerPack,
        DrinkMoney,
        FruitSheet,
        Left,
        Money,
        MoneyShares,
        MoneySheet,
        ShoppingRow,
    )

# ---- what is bought, in whole packs, what it costs, and what one serve costs ----

FREE = ("water",)  # not missed where it has no price
_DUST = 1e-9


class Pack(Record):
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


class Prices(Record):
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
    name, _, thing = price.ingredient.lower().rpartition(" ")
    if thing in ("charger", "chargers") and name.isascii() and name.isalnum():
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


# ---- the shopping list by packs, what it costs, and what is left over ----

_JUICE = " juice"


def shopping(plan: Planned, prices: Prices) -> list[ShoppingRow]:
    """Every ingredient of the pantry over all that may be made, most first, water last."""
    items = set(plan.recipe.items)
    lines: list[tuple[Weigh, str]] = [
        (line, made.item.id)
        for made in plan.made
        if made.go
        for line in made.weigh
        if line.name not in items
    ]
    for portion in plan.portions if plan.prepared.sites is None else ():
        if portion.verdict != "stop" and not portion.held_by:
            lines += [
                (of_part(part).scaled(plan.counts[portion.serve.name]), portion.serve.name)
                for part in portion.all_parts
                if part.name not in items
            ]
    by_name: dict[str, list[tuple[Weigh, str]]] = {}
    for line, where in _beyond_stock(lines, plan.prepared.shelf.kg):
        by_name.setdefault(line.name, []).append((line, where))
    sites = plan.prepared.sites
    for line, site in sites.buys if sites is not None else ():  # beyond what stands there
        by_name.setdefault(line.name, []).append((line, site))
    found: list[ShoppingRow] = []
    for name, told in by_name.items():
        mass_g = math.fsum(line.mass_g for line, _ in told)
        volumes = [line.volume_ml for line, _ in told]
        one = plan.prepared.pantry.get(name)
        piece_g, form = (one.piece_g, one.form) if one else (None, "")
        known = [volume for volume in volumes if volume is not None]
        found.append(
            {
                "name": name,
                "g": mass_g,
                "ml": math.fsum(known) if known and len(known) == len(volumes) else None,
                "pieces": mass_g / piece_g if piece_g else None,
                "form": form,
                "fruit": _fruit(one, mass_g),
                "for": list(dict.fromkeys(where for _, where in told)),
                **_bought(prices.packs.get(name), mass_g),
            }
        )
    return sorted(found, key=lambda row: (row["name"] == "water", -row["g"], row["name"]))


def _beyond_stock(
    lines: Sequence[tuple[Weigh, str]], stock_kg: Mapping[str, float]
) -> Iterator[tuple[Weigh, str]]:
    """What is to be bought of each line beyond what stands in stock."""
    whole: dict[str, list[float]] = {}
    for line, _ in lines:
        whole.setdefault(line.name, []).append(line.mass_g)
    share: dict[str, float] = {}
    for name, masses in whole.items():
        mass_g = math.fsum(masses)
        left_g = max(0.0, mass_g - 1000 * stock_kg.get(name, 0.0))
        share[name] = left_g / mass_g if left_g > 1e-9 * mass_g else 0.0
    for line, where in lines:
        if share[line.name] > 0:
            yield line.scaled(share[line.name]), where


def _fruit(juice: Ingredient | None, mass_g: float) -> FruitSheet | None:
    """The fruits that an amount of juice takes, by the pantry's yield of one; None of no juice."""
    if (
        mass_g <= 0.0
        or juice is None
        or not juice.name.endswith(_JUICE)
        or "juice" not in juice.pieces
    ):
        return None
    one = juice.pieces["juice"]
    least, usual, most = (math.ceil(mass_g / g - 1e-9) for g in (one.high, one.g, one.low))
    return {
        "name": juice.name.removesuffix(_JUICE), "least": least, "usual": usual, "most": most,
        "juice_g": one.g, "source": one.source or juice.source,
    }  # fmt: skip


def _bought(pack: Pack | None, mass_g: float) -> Bought:
    """The packs that hold an amount, their cost, and what is left in them."""
    if pack is None:
        return {"pack": None, "packs": None, "cost": None, "left_g": None, "left_ml": None}
    count = pack.packs(mass_g / 1000)
    left_kg = max(0.0, count * pack.holds - mass_g / 1000)
    volume = pack.liquid_m3_kg
    return {
        "pack": pack.words,
        "packs": count,
        "cost": count * pack.cost,
        "left_g": 1000 * left_kg,
        "left_ml": 1e6 * left_kg * volume if volume is not None else None,
    }


def charger_packs(chargers: dict[str, int], prices: Prices) -> list[ChargerPack]:
    """Chargers by gas in packs."""
    found: list[ChargerPack] = []
    for gas, count in chargers.items():
        pack = prices.chargers.get(gas)
        packs = pack.packs(count) if pack else None
        found.append(
            {
                "gas": gas,
                "count": count,
                "pack": pack.words if pack else None,
                "packs": packs,
                "cost": packs * pack.cost if pack and packs else None,
                "left": int(packs * pack.holds) - count if pack and packs else None,
            }
        )
    return found


def bought(rows: list[ShoppingRow], chargers: list[ChargerPack], currency: str) -> Money:
    """What everything that is bought costs; None as a whole where a price is missing."""
    priced = [row["cost"] for row in (*rows, *chargers) if row["cost"] is not None]
    unpriced = [row["name"] for row in rows if row["cost"] is None and row["name"] != "water"]
    unpriced += [f"{row['gas']} charger" for row in chargers if row["cost"] is None]
    return money_of(Cost(math.fsum(priced), tuple(unpriced)), currency)


def money_of(cost: Cost, currency: str) -> Money:
    """A cost as plain data."""
    return {
        "value": cost.whole,
        "known": cost.known,
        "unpriced": list(cost.unpriced),
        "complete": cost.whole is not None,
        "currency": currency,
    }


def serve_costs(plan: Planned, prices: Prices) -> dict[str, Money]:
    """What one of each serve costs; none where there are no prices at all."""
    if not prices:
        return {}
    items = of_items(plan, prices)
    currency = plan.recipe.house.currency
    return {
        portion.serve.name: money_of(of_parts(portion.all_parts, items, prices), currency)
        for portion in plan.portions
        if portion.verdict != "stop" and not portion.held_by
    }


def leftovers(plan: Planned, rows: list[ShoppingRow]) -> list[Left]:
    """What is left of preparations, because less is not worth making, and in opened packs."""
    found: list[Left] = []
    for made in plan.made:
        left = made.demand.left_kg
        if made.product is None or not made.go or left <= 1e-9 * made.demand.made_kg:
            continue
        ml = None
        if made.item.calculator not in FOAMS:
            ml = derived.volume_ml(made.product.of_mass(left))
        found.append({"name": made.item.id, "g": 1000 * left, "ml": ml, "of": "made"})
    for row in rows:
        if row["left_g"] is not None and row["left_g"] > 1e-6 * row["g"]:
            found.append(
                {"name": row["name"], "g": row["left_g"], "ml": row["left_ml"], "of": "pack"}
            )
    return found


# ---- what an evening costs and brings ----


def money(
    plan: Planned, prices: Prices, rows: Iterable[ShoppingRow], packs: Iterable[ChargerPack]
) -> MoneySheet | None:
    """The money of a plan; None where no drink and no pack has a price."""
    sold = {serve.name: serve.price for serve in plan.recipe.serve if serve.price is not None}
    if not prices and not sold:
        return None
    house = plan.recipe.house
    tax, currency = house.tax or Tax(), house.currency
    items = of_items(plan, prices)
    drinks: list[DrinkMoney] = []
    served, sales, unsold = Cost(), 0.0, []
    for portion in plan.portions:
        if portion.verdict == "stop" or portion.held_by:
            continue
        name, count = portion.serve.name, plan.counts[portion.serve.name]
        cost = _net(of_parts(portion.all_parts, items, prices), tax)
        price = sold.get(name)
        net = None if price is None else tax.sold_net(price)
        drinks.append({
            "name": name, "serves": count, "price": price, "price_net": net,
            "cost": money_of(cost, currency), **_shares(net, cost),
        })  # fmt: skip
        served = served.plus(cost, count)
        if net is None:
            unsold.append(name)
        else:
            sales += net * count
    whole = None if unsold else sales
    return {
        "currency": currency,
        "tax_said": house.tax is not None,
        "sold_tax_percent": 100 * tax.sold,
        "packs_tax_percent": 100 * tax.packs,
        "drinks": drinks,
        "unsold": unsold,
        "sales": whole,
        "served": money_of(served, currency),
        **_shares(whole, served),
        "lost": money_of(_net(_lost(plan, items, prices), tax), currency),
        "left_made": money_of(_net(_left_made(plan, items, prices), tax), currency),
        "left_packs": money_of(_net(_left_packs(rows, packs, prices), tax), currency),
    }


def _shares(net: float | None, cost: Cost) -> MoneyShares:
    """Pour cost and margin; None of both unless price and cost are whole."""
    if net is None or cost.whole is None:
        return {"pour_cost_percent": None, "margin": None}
    share = 100 * cost.whole / net if net > 0 else None
    return {"pour_cost_percent": share, "margin": net - cost.whole}


def _net(cost: Cost, tax: Tax) -> Cost:
    return cost._replace(known=tax.packs_net(cost.known))


def _batches(
    plan: Planned, items: Mapping[str, Cost], prices: Prices
) -> Iterable[tuple[str, Cost]]:
    """What 1 kg of each item costs as it is made, before anything is lost and without chargers."""
    for made in plan.made:
        cost = items.get(made.item.id)
        demand = made.demand
        if cost is None or made.product is None or not demand.needed_kg + demand.lost_kg > 0:
            continue
        whole = cost.times(demand.needed_kg).plus(chargers_of(made, prices), -1.0)
        yield made.item.id, whole.times(1.0 / (demand.needed_kg + demand.lost_kg))


def _lost(plan: Planned, items: Mapping[str, Cost], prices: Prices) -> Cost:
    """What is lost on the way costs; it is in the cost of the serves too."""
    by_id = {item.item.id: item.demand.lost_kg for item in plan.made}
    found = Cost()
    for id_, cost in _batches(plan, items, prices):
        if by_id[id_] > 0:
            found = found.plus(cost, by_id[id_])
    return found


def _left_made(plan: Planned, items: Mapping[str, Cost], prices: Prices) -> Cost:
    """What is made and left over costs."""
    by_id = {item.item.id: (item.demand.left_kg, item.demand.made_kg) for item in plan.made}
    found = Cost()
    for id_, cost in _batches(plan, items, prices):
        left_kg, made_kg = by_id[id_]
        if left_kg > 1e-9 * made_kg:
            found = found.plus(cost, left_kg)
    return found


def _left_packs(rows: Iterable[ShoppingRow], packs: Iterable[ChargerPack], prices: Prices) -> Cost:
    """What is bought and not used costs, by its share of a pack."""
    known: list[float] = []
    unpriced: list[str] = []
    for row in rows:
        pack = prices.packs.get(row["name"])
        if pack is not None and row["left_g"] is not None:
            known.append(row["left_g"] / 1000 / pack.holds * pack.cost)
        elif row["name"] != "water":
            unpriced.append(row["name"])
    for charger_pack in packs:
        of = prices.chargers.get(charger_pack["gas"])
        if of is not None and charger_pack["left"] is not None:
            known.append(charger_pack["left"] / of.holds * of.cost)
        else:
            unpriced.append(f"{charger_pack['gas']} charger")
    return Cost(math.fsum(known), tuple(unpriced))
