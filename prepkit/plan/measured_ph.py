"""A measured pH: what it tells of a plan, and what it does not.

It says how a preparation is to be judged, not how much acid is in it: minerals and salts hold a pH
up or down at the same acid. So it is given to whatever judges by a measured pH, and nothing to add
is worked out from it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, NamedTuple

from prepkit import cautions, registry
from prepkit.model import Caution
from prepkit.plan import scaling
from prepkit.plan.drift import Drift
from prepkit.plan.prepare import Prepared
from prepkit.plan.recipe import Item, Recipe
from prepkit.sheet import PhSheet

if TYPE_CHECKING:
    from prepkit.plan.readings import Readings

_INPUTS = ("measured_ph", "ph")  # what calculators call a pH that was measured


class Given(NamedTuple):
    """A measured pH as the input of an item: of which item it is, and what it goes to."""

    of: str
    to: str
    field: str
    ph: float


def ph_given(prepared: Prepared, read: Mapping[str, Readings]) -> tuple[Given, ...]:
    """Every item that judges by a measured pH, and got none from the recipe.

    Those are the item that was measured itself, and checks of that item alone.
    """
    found = []
    for of, readings in read.items():
        if "ph" not in readings.values:
            continue
        for item in prepared.recipe.items.values():
            parts = {part.name for part in scaling.parts(prepared.ran[item.id][0])}
            looks_at_it = item.id not in prepared.products and parts == {of}
            if item.id != of and not looks_at_it:
                continue
            specs = registry.load(item.calculator).inputs.specs()
            field = next((name for name in _INPUTS if name in specs), None)
            if field is not None and field not in item.inputs:
                found.append(Given(of, item.id, field, float(readings.values["ph"])))
    return tuple(found)


def of_ph(item: Item, one: Given) -> list[tuple[str, Caution]]:
    """What a check that is judged by a pH as it was read has to be careful with."""
    found = cautions.judge(item.calculator, {"read_ph": one.ph})
    return [(item.id, caution) for caution in found if not caution.standing]


def with_ph(recipe: Recipe, given: Iterable[Given]) -> Recipe:
    """The recipe with what was measured as inputs of its items."""
    items = dict(recipe.items)
    for one in given:
        item = items[one.to]
        items[one.to] = item._replace(inputs={**item.inputs, one.field: one.ph})
    return recipe._replace(items=items)


def ph_told(found: Iterable[Drift], given: Iterable[Given]) -> list[PhSheet]:
    """Of each item with a measured pH: which items are judged by it, and whether to titrate."""
    told = list(found)
    titrated = {one.item for one in told if one.what == "acidity"}
    return [
        {
            "item": one.item,
            "measured": one.measured,
            "off": one.off,
            "given_to": [each.to for each in given if each.of == one.item],
            "titrate": one.beyond and one.item not in titrated,
        }
        for one in told
        if one.what == "ph"
    ]
