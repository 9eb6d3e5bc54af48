"""What the scales of a house cannot weigh well, item by item, and what would do instead."""

from __future__ import annotations

import math
from collections.abc import Iterator

from prepkit.first_screen import number
from prepkit.render.amounts import UNITS, digits_of, in_steps, listed, step_words
from prepkit.sheet import ItemSheet, StockSheet
from prepkit.units import shown_in


def scale_marks(item: ItemSheet, system: str) -> Iterator[str]:
    """What is under ten steps of its scale, what would do instead, and what it cannot hold."""
    yield from _too_few(item, system)
    names = [
        line["name"]
        for line in item.get("weigh", ())
        if line["hand"] is not None and line["hand"]["finer_than_scale"]
    ]
    if names:
        yield f"The recipe asks for a ± finer than your scale shows: {listed(names)}."


def _too_few(item: ItemSheet, system: str) -> Iterator[str]:
    """What is under ten steps of its scale, the batch that would do, and the stocks."""
    g, _ = UNITS[system]
    few = [
        (line, hand)
        for line in item.get("weigh", ())
        if (hand := line["hand"]) is not None and hand["too_few"]
    ]
    for step_g in sorted({hand["step_g"] for _, hand in few}):
        names = [line["name"] for line, hand in few if hand["step_g"] == step_g]
        yield (f"Under 10 steps of your {step_words(step_g, system)} scale: {listed(names)}.")
    batches = [hand["batch_g"] for _, hand in few if hand["batch_g"] is not None]
    if batches:
        yield f"Smallest batch that would do: {_at_least(max(batches), system)} {g}."
    for line, hand in few:
        if hand["stock"] is not None:
            yield stock_words(line["name"], hand["stock"], system)


def _at_least(value_g: float, system: str) -> str:
    """An amount as it is shown, rounded up.

    >>> _at_least(200.2, "metric"), _at_least(12.34, "metric")
    ('201', '12.4')
    """
    shown, _ = shown_in(value_g, "g", system)
    digits = digits_of(value_g, "g", system)
    return number(math.ceil(shown * 10**digits - 1e-6) / 10**digits, digits)


def stock_words(name: str, stock: StockSheet, system: str) -> str:
    """How a stock solution is made and how much of it is taken."""
    g, _ = UNITS[system]
    step_g = stock["solid_g"] / 10
    solid, water, take, less = (
        in_steps(stock[key], step_g, system)
        for key in ("solid_g", "water_g", "take_g", "less_water_g")
    )
    return (
        f"Or a stock of {name}: {solid} {g} in {water} {g} water ({stock['percent']:g} %). "
        f"Take {take} {g} of it, and {less} {g} less water."
    )
