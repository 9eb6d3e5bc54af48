"""What a planned evening is: its items as they are made, its serves, and its verdict."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from prepkit import cautions
from prepkit.mixture import Mixture
from prepkit.model import Answer, Caution
from prepkit.plan.filling import Filling
from prepkit.plan.prepare import Portion, Prepared
from prepkit.plan.recipe import Item, Recipe
from prepkit.plan.scaling import Demand, Weigh


class Made(NamedTuple):
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


class Stocked(NamedTuple):
    """An item of which stock is used and none is made: what holds of it all the same."""

    item: Item
    found: tuple[Caution, ...]


class Planned(NamedTuple):
    """The amounts, yields, vessels and cautions of a recipe for a number of serves."""

    recipe: Recipe
    counts: Mapping[str, int]  # of each serve
    made: tuple[Made, ...]  # in making order
    unused: tuple[str, ...]
    portions: tuple[Portion, ...]
    prepared: Prepared
    stocked: tuple[Stocked, ...] = ()

    @property
    def serves(self) -> int:
        """How many of each serve; where they differ, of the one of which most are planned."""
        return max(self.counts.values())

    @property
    def verdict(self) -> str:
        """The worst verdict of all items, made or from stock, and serves."""
        verdicts = [one.verdict for one in self.made] + [one.verdict for one in self.portions]
        verdicts += [cautions.verdict(one.found) for one in self.stocked]
        # a kitchen whose sites all stop makes nothing: they are what says stop
        return max(verdicts, key=cautions.VERDICTS.index, default=cautions.VERDICTS[0])
