"""The shopping list of a sheet: amounts, packs, cost, leftovers."""

from __future__ import annotations

import math
import textwrap

from prepkit.render.amounts import UNITS, amount, fill, listed, title_lines
from prepkit.render.grid import grid
from prepkit.sheet import ChargerPack, FruitSheet, Money, PlanSheet, ShoppingRow


def shopping_text(said: PlanSheet, system: str) -> list[str]:
    """The shopping list, or nothing where nothing is bought."""
    if not said["shopping"]:
        return []
    headers, letters, rows = shopping_rows(said, system, 24 if said["cost"] else 44)
    out = [*title_lines("Shopping list"), grid(rows, headers, letters)]
    if any("weigh" not in item for item in said["items"]):
        out.append("Without what is stopped or held.")
    out += [fill(line, "", "  ") for line in shopping_lines(said, system)]
    return [*out, ""]


def shopping_rows(
    said: PlanSheet, system: str, width: int = 1000
) -> tuple[list[str], str, list[list[str]]]:
    """Headers, the letters l or r for each column, and rows; packs where there are prices."""
    g, ml = UNITS[system]
    rows = [
        [
            row["name"],
            amount(row["g"], "g", system),
            amount(row["ml"], "ml", system) if row["ml"] is not None else "",
            f"{math.ceil(row['pieces'] - 1e-9)}" if row["pieces"] else "",
            *_packs(row, said),
            textwrap.shorten(listed(row["for"]), width, placeholder=" ..."),
        ]
        for row in said["shopping"]
    ]
    headers, letters = ["what", g, ml, "pieces, about", "for"], "lrrrl"
    if said["cost"]:
        money = f"cost ({said['cost']['currency']})" if said["cost"]["currency"] else "cost"
        headers[4:4], letters = ["packs", money], "lrrrlrl"
        rows += [
            [f"{one['gas']} charger", "", "", f"{one['count']}", *_packs(one, said), "charging"]
            for one in said["charger_packs"]
        ]
    return headers, letters, rows


def shopping_lines(said: PlanSheet, system: str) -> list[str]:
    """What all of it costs, and what is left over."""
    cost = [f"all that is bought: {money_words(said['cost'])}"] if said["cost"] else []
    return [*cost, *_fruits(said), *_leftovers(said, system)]


def _fruits(said: PlanSheet) -> list[str]:
    """Juice in fruit: as many as it takes, from juicy ones to dry ones."""
    told = []
    for row in said["shopping"]:
        fruit = row["fruit"]
        if fruit is not None:
            told.append(f"{row['name']} from {fruit_words(fruit)} ({fruit['source']})")
    return [f"if you press it yourself: {', '.join(told)}"] if told else []


def fruit_words(fruit: FruitSheet) -> str:
    """How many fruits an amount of juice takes.

    >>> fruit_words({"name": "lemon", "least": 3, "usual": 3, "most": 4, "juice_g": 48.0,
    ...              "source": "X"})
    '3 to 4 fruits'
    """
    few, many = fruit["least"], fruit["most"]
    return f"{few} to {many} fruits" if few < many else f"{few} fruit{'s' * (few > 1)}"


def _packs(row: ShoppingRow | ChargerPack, said: PlanSheet) -> list[str]:
    """Packs and their cost, where there are prices at all."""
    if not said["cost"]:
        return []
    if row["packs"] is None:
        return ["", "" if row.get("name") == "water" else "no price"]
    return [f"{row['packs']} x {row['pack']}", f"{row['cost']:.2f}"]


def money_words(cost: Money) -> str:
    """A cost; what has no price is named, so that it is not read as nothing.

    >>> money_words({"known": 1.5, "unpriced": ["mint"], "currency": "EUR"})
    '1.50 EUR and what mint costs: incomplete, it has no price'
    """
    text = f"{cost['known']:.2f} {cost['currency']}".rstrip()
    if not cost["unpriced"]:
        return text
    many = len(cost["unpriced"]) > 1
    return (
        f"{text} and what {listed(cost['unpriced'])} cost{'' if many else 's'}: incomplete, "
        f"{'they have' if many else 'it has'} no price"
    )


def _leftovers(said: PlanSheet, system: str) -> list[str]:
    """What is left of preparations and in packs."""
    g, ml = UNITS[system]
    told: dict[str, list[str]] = {"made": [], "pack": []}
    for one in said["leftovers"]:
        volume = f" = {amount(one['ml'], 'ml', system)} {ml}" if one["ml"] else ""
        told[one["of"]].append(f"{one['name']} {amount(one['g'], 'g', system)} {g}{volume}")
    told["pack"] += [
        f"{one['left']} {one['gas']} chargers" for one in said["charger_packs"] if one["left"]
    ]
    words = {"made": "left over of what is made", "pack": "left over in packs"}
    return [f"{words[of]}: {'; '.join(each)}" for of, each in told.items() if each]
