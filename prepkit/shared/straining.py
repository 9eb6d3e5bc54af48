"""Straining: what leaves a plant, what stays in it, and the liquid that the drained solids keep."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from prepkit.mixture import Mixture
from prepkit.pantry import Part

STRAINED_GROUPS = frozenset(("peel", "herb", "flower", "spice", "fruit", "tea", "coffee"))
STAYS_IN = frozenset(("instant coffee", "matcha"))  # powders that go into the drink whole
INSOLUBLE = ("fat", "milk_fat", "protein", "fibre")
DRY_BELOW = 0.25  # water by mass: a dried plant

# Liquid kept per g of plant as weighed: trade figures [SYRUP-TRADE], wide; weigh instead.
KEPT_BY_NAME = {"dried hibiscus": (3.0, 6.0)}
KEPT_DRY = {
    "flower": (4.0, 8.0),
    "tea": (2.0, 4.0),
    "fruit": (0.5, 1.5),
    "spice": (0.2, 0.8),
    "coffee": (2.0, 3.0),
}
KEPT_FRESH = {"peel": (0.1, 0.4), "herb": (0.3, 1.0)}
KEPT_OTHERWISE = (0.3, 1.0)  # our judgement, after fresh herbs


class Steeped(NamedTuple):
    """A plant in the liquid: what of it goes into the liquid, and what is strained off."""

    part: Part
    liquid: Mixture
    solids_kg: float
    kept_range: tuple[float, float]  # g liquid per g of plant as weighed, practice


class LiquidKept(NamedTuple):
    """Liquid that the drained plants keep, kg: the least, what is taken, the most."""

    least_kg: float
    taken_kg: float
    most_kg: float


def is_strained(part: Part) -> bool:
    """Whether a part is a plant that is strained off again."""
    ingredient = part.ingredient
    return (
        ingredient.group in STRAINED_GROUPS
        and ingredient.form != "liquid"
        and ingredient.name not in STAYS_IN
    )


def steeped(part: Part) -> Steeped:
    """A plant with all that dissolves gone evenly into the liquid (its equilibrium)."""
    mixture = part.mixture
    solids = {name: mixture.of(name) for name in INSOLUBLE if mixture.of(name)}
    return Steeped(part, mixture.without(solids), math.fsum(solids.values()), kept_range(part))


def kept_range(part: Part) -> tuple[float, float]:
    """The trade's range of liquid kept, g per g of the plant as weighed."""
    ingredient = part.ingredient
    if ingredient.name in KEPT_BY_NAME:
        return KEPT_BY_NAME[ingredient.name]
    dry = ingredient.mixture.fraction("water") < DRY_BELOW
    table = KEPT_DRY if dry else KEPT_FRESH
    return table.get(ingredient.group, KEPT_OTHERWISE)


def kept_kg(plants: Iterable[Steeped], given: float | None) -> LiquidKept:
    """Liquid that the drained plants keep. `given` is g per g."""
    least = most = 0.0
    for plant in plants:
        low, high = (given, given) if given is not None else plant.kept_range
        least += low * plant.part.mass_kg
        most += high * plant.part.mass_kg
    return LiquidKept(least, 0.5 * (least + most), most)
