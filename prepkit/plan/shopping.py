"""The shopping list by packs, what it costs, and what is left over."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from prepkit import derived
from prepkit.pantry import Ingredient
from prepkit.plan.cost import Cost, Pack, Prices, of_items, of_parts
from prepkit.plan.items import FOAMS
from prepkit.plan.made import Planned
from prepkit.plan.scaling import Weigh, of_part
from prepkit.sheet import Bought, ChargerPack, FruitSheet, Left, Money, ShoppingRow

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
