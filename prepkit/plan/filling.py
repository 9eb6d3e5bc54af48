"""The load of an item shared out over whole vessels, and judged as each is really filled."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from typing import Any

from prepkit import registry, tolerance
from prepkit.errors import BadInput, PrepkitError
from prepkit.mixture import Mixture
from prepkit.model import Answer, Caution
from prepkit.pantry import Part
from prepkit.plan import scaling
from prepkit.plan.house import Vessel
from prepkit.plan.items import answered, wrong_input
from prepkit.plan.recipe import Item, Recipe
from prepkit.plan.weighings import scale_step_kg
from prepkit.shared.vessel_count import too_many
from prepkit.tolerance import Spread
from prepkit.units import Measured, convert

Load = Any  # Any: Inputs of whichever calculator fills vessels: with contents and max_fill


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
    plus_minus: Mapping[str, Spread] = field(default_factory=dict)  # with that of the bench
    also: tuple[Caution, ...] = ()  # of the load at the ends of what the bench can be off by

    @property
    def chargers(self) -> int | None:
        """Chargers for all vessels together."""
        return None if self.chargers_each is None else self.chargers_each * self.count


def over_vessels(recipe: Recipe, item: Item, inputs: Load, product: Mixture) -> Filling:
    """Equal shares of a product over whole vessels, none above its most, and what one will do."""
    most_ml = convert(float(inputs.max_fill), inputs.max_fill.unit, "ml")
    try:
        volume_ml = 1e6 * _largest_volume_m3(product, getattr(inputs, "temperature", None))
    except BadInput as error:
        return _no_volume(recipe, item, inputs, product, error)
    if why := too_many(volume_ml, most_ml, f"{volume_ml / 1000:.4g} l"):
        raise wrong_input(recipe, item, "max_fill", BadInput(why, "max_fill"), None)
    count = scaling.fills(volume_ml, most_ml)
    # rounding dust must not make a full vessel an overfull one
    each = product.scaled(min(1.0 / count, most_ml / volume_ml * (1.0 - scaling.DUST)))
    contents: Part = inputs.contents
    load = inputs.replaced(contents=contents.scaled(each.mass_kg / contents.mass_kg))
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
        _of_bench(item, _loosened(recipe, load), answer),
        _judged_loose(recipe, item, load, answer),
    )


def _no_volume(
    recipe: Recipe, item: Item, inputs: Load, product: Mixture, error: BadInput
) -> Filling:
    """What has no volume to share out is answered as it is written, where that is a stop."""
    answer = answered(recipe, item, inputs)
    if answer.verdict != "stop":
        raise wrong_input(recipe, item, "contents", error, None) from error
    most_ml = convert(float(inputs.max_fill), inputs.max_fill.unit, "ml")
    vessel = recipe.vessels.get(item.vessel or "", Vessel(item.vessel or item.id, {}))
    return Filling(vessel, 1, product, most_ml, answer, getattr(inputs, "gas", None), None)


def _loosened(recipe: Recipe, load: Load, *, weighed: bool = True) -> Load | None:
    """One load with the ± of scale, thermometer and chargers in it; None where there is none.

    `weighed`: with that of the scale too.
    """
    bench = recipe.house.bench
    if not bench:
        return None
    loose: dict[str, object] = {}
    part: Part = load.contents
    step_kg = scale_step_kg(bench, part.mass_kg)
    if weighed and step_kg and not part.amount.plus_minus:
        off = float(part.amount) * step_kg / part.mass_kg
        amount = Measured(float(part.amount), part.amount.unit, off)
        loose["contents"] = replace(part, amount=amount)
    for name, key, relative in (
        ("temperature", "thermometer", False), ("charger_gas_mass", "charger", True),
    ):  # fmt: skip
        value = getattr(load, name, None)
        if key in bench and isinstance(value, Measured) and not value.plus_minus:
            off = float(value) * float(bench[key]) / 100 if relative else float(bench[key])
            loose[name] = Measured(float(value), value.unit, off)
    allowed = getattr(load, "allowed_charger", None)
    if "charger_gas_mass" in loose and isinstance(allowed, Measured):
        # the plate names a size of charger, not the gas in it, which is off by the same
        times = 1.0 + float(bench["charger"]) / 100
        loose["allowed_charger"] = Measured(float(allowed) * times, allowed.unit)
    return load.replaced(**loose) if loose else None


def _of_bench(item: Item, inputs: Load | None, answer: Answer) -> dict[str, Spread]:
    """The ± of each value of one load with those of the bench in it."""
    if inputs is None or answer.verdict == "stop":
        return {}
    compute = registry.load(item.calculator).compute
    base = answer.result
    with suppress(PrepkitError):  # what is taken at its worse end starts from there
        worse = compute(inputs)
        base = worse if base.numbers().keys() <= worse.numbers().keys() else base
    ends = tolerance.ends(compute, inputs, base)
    corners = tolerance.corners(compute, inputs, base, ends)
    stated = {name: value.plus_minus or 0.0 for name, value in answer.values.items()}
    return tolerance.spreads(base, ends, corners, model_error=stated)


def _judged_loose(recipe: Recipe, item: Item, load: Load, answer: Answer) -> tuple[Caution, ...]:
    """What the load is judged at the ends of the bench's ±, beyond what it is judged as told.

    Without that of the scale: a vessel is filled to its mark, which is seen.
    """
    inputs = _loosened(recipe, load, weighed=False)
    if inputs is None or answer.verdict == "stop":
        return ()
    known = {caution.id for caution in answer.cautions}
    worse = answered(recipe, item, inputs, "within the bench's ±: ")
    return tuple(
        replace(caution, text=f"Within the bench's ±: {caution.text}")
        for caution in worse.cautions
        if caution.severity in ("stop", "care") and caution.id not in known
    )


def _largest_volume_m3(product: Mixture, temperature: float | None) -> float:
    """Volume at 20 C or at the filling temperature, whichever is larger and known."""
    volumes = [product.volume_m3(20.0)]
    if temperature is not None:
        with suppress(BadInput):
            volumes.append(product.volume_m3(float(temperature)))
    return max(volumes)
