"""What an evening costs and brings: each drink and all of it, without tax where that is known.

A serve costs what went into it, with its share of what was lost on the way. What is made and left
over, and what is left in packs, is paid for too and in no serve. What has no price makes a figure
incomplete: it is named, and no share of a price is worked out from it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from prepkit.plan.cost import Cost, Prices, chargers_of, of_items, of_parts
from prepkit.plan.made import Planned
from prepkit.plan.shopping import money_of
from prepkit.plan.tax import Tax
from prepkit.sheet import ChargerPack, DrinkMoney, MoneyShares, MoneySheet, ShoppingRow


def money(
    plan: Planned, prices: Prices, rows: Iterable[ShoppingRow], packs: Iterable[ChargerPack]
) -> MoneySheet | None:
    """The money of a plan; None where no drink and no pack has a price."""
    sold = {one.name: one.price for one in plan.recipe.serve if one.price is not None}
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
    by_id = {one.item.id: one.demand.lost_kg for one in plan.made}
    found = Cost()
    for id_, cost in _batches(plan, items, prices):
        if by_id[id_] > 0:
            found = found.plus(cost, by_id[id_])
    return found


def _left_made(plan: Planned, items: Mapping[str, Cost], prices: Prices) -> Cost:
    """What is made and left over costs."""
    by_id = {one.item.id: (one.demand.left_kg, one.demand.made_kg) for one in plan.made}
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
    for one in packs:
        of = prices.chargers.get(one["gas"])
        if of is not None and one["left"] is not None:
            known.append(one["left"] / of.holds * of.cost)
        else:
            unpriced.append(f"{one['gas']} charger")
    return Cost(math.fsum(known), tuple(unpriced))
