"""The load of an item shared out over whole vessels, and judged as each is really filled."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.model import Answer
from prepkit.pantry import Part
from prepkit.plan import scaling
from prepkit.plan.house import Vessel
from prepkit.plan.items import answered
from prepkit.plan.recipe import Item, Recipe
from prepkit.units import convert


@dataclass(frozen=True)
class Filling:
    """How the load of an item is shared out over vessels, and the answer for one of them."""

    vessel: Vessel
    count: int
    each: Mixture
    most_ml: float
    answer: Answer
    gas: str | None
    chargers_each: int | None

    @property
    def chargers(self) -> int | None:
        """Chargers for all vessels together."""
        return None if self.chargers_each is None else self.chargers_each * self.count


def shared_out(recipe: Recipe, item: Item, inputs: Any, product: Mixture) -> Filling:
    """Equal shares of a product over whole vessels, none above its most, and what one will do."""
    most_ml = convert(float(inputs.max_fill), inputs.max_fill.unit, "ml")
    volume_ml = 1e6 * _largest_volume_m3(product, getattr(inputs, "temperature", None))
    count = scaling.fills(volume_ml, most_ml)
    # rounding dust must not make a full vessel an overfull one
    each = product.scaled(min(1.0 / count, most_ml / volume_ml * (1.0 - scaling.DUST)))
    contents: Part = inputs.contents
    load = inputs.model_copy(update={"contents": contents.scaled(each.mass_kg / contents.mass_kg)})
    answer = answered(recipe, item, load, f"shared out over {count} vessels: ")
    chargers = answer.result.facts.get("chargers_all", getattr(inputs, "chargers", None))
    return Filling(
        recipe.vessels.get(item.vessel or "", Vessel(item.vessel or item.id, {})),
        count,
        each,
        most_ml,
        answer,
        getattr(inputs, "gas", None),
        chargers,
    )


def _largest_volume_m3(product: Mixture, temperature: float | None) -> float:
    """Volume at 20 C or at the filling temperature, whichever is larger and known."""
    volumes = [product.volume_m3(20.0)]
    if temperature is not None:
        with suppress(BadInput):
            volumes.append(product.volume_m3(float(temperature)))
    return max(volumes)
