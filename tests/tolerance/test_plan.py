"""The ± of weighing through the plans of the demo recipes, against weighing them at random.

Every line of every batch sheet is drawn within its own ±, each item is put together again from what
was drawn (what the preparation does not keep of a component stays out, in the same share), and goes
into what is made of it. No slope and no quadrature is used here.
"""

from __future__ import annotations

import math
import random
import statistics
from collections.abc import Mapping
from pathlib import Path

import pytest
from tolerance.cases import RECIPES

from prepkit.errors import PrepkitError
from prepkit.mixture import Mixture
from prepkit.plan import load_recipe, make_plan
from prepkit.plan.plan import Plan
from prepkit.science import acids
from prepkit.units import Measured

ALLOWED = 0.15
DRAWS = 300
VALUES = {
    "refractometer": lambda m: m.refractometer_brix,
    "dissolved_solids": lambda m: 100 * m.dissolved_solids,
    "sugar": lambda m: 100 * m.sugar,
    "acidity": lambda m: 100 * m.acidity_as_citric,
    "abv": lambda m: 100 * m.abv,
    "density": lambda m: m.density_kg_m3(20.0),
    "ph": lambda m: acids.ph(m.acid_molalities, m.strong_cation_molality[1]),
}
Kg = dict[str, float]


def make_up(plan: Plan, made: Mapping[str, Mixture], name: str) -> Kg:
    """kg by component in 1 kg of what is weighed."""
    mixture = made.get(name)
    if mixture is None:
        ingredient = plan.prepared.pantry.get(name)
        mixture = ingredient.mixture if ingredient is not None else None
    if mixture is None:
        return {}
    return {one: kg / mixture.mass_kg for one, kg in mixture.masses_kg.items()}


def put_together(plan: Plan, grams: Mapping[tuple[str, str], float]) -> dict[str, Kg]:
    """What was weighed into each item, by component, with what is behind it as it was weighed."""
    made: dict[str, Mixture] = {}
    found: dict[str, Kg] = {}
    for one in plan.made:
        if one.product is None or not one.go:
            continue
        nominal: Kg = {}
        weighed: Kg = {}
        for line in one.weigh:
            as_planned = make_up(plan, plan.prepared.products, line.name)
            as_made = make_up(plan, made, line.name)
            for component, share in as_planned.items():
                nominal[component] = nominal.get(component, 0.0) + line.mass_g / 1000 * share
            kg = grams[one.item.id, line.name] / 1000
            for component, share in as_made.items():
                weighed[component] = weighed.get(component, 0.0) + kg * share
        masses = dict(one.product.masses_kg)
        for component, kg in nominal.items():
            if kg > 0:
                kept = min(1.0, one.product.of(component) / kg)
                masses[component] = masses.get(component, 0.0) + kept * (
                    weighed.get(component, 0.0) - kg
                )
        found[one.item.id] = masses
        made[one.item.id] = Mixture(
            {component: kg for component, kg in masses.items() if kg > 0}, tags=one.product.tags
        )
    return found


def of_plan(path: Path, step_g: float | None) -> Plan:
    recipe = load_recipe(path)
    bench = recipe.house.bench
    if step_g is not None:
        bench = {"scale": Measured(step_g, "g")}
    elif "scale" not in bench:
        bench = {"scale": Measured(1.0, "g")}
    return make_plan(recipe._replace(house=recipe.house._replace(bench=bench)), 40)


@pytest.mark.parametrize("step_g", [None, 2.0], ids=["own-scale", "2-g-scale"])
@pytest.mark.parametrize("path", sorted(RECIPES.glob("*.toml")), ids=lambda path: path.stem)
def test_readings_against_weighing_at_random(path: Path, step_g: float | None) -> None:
    plan = of_plan(path, step_g)
    said = plan.to_dict()
    items = {item["id"]: item for item in said["items"]}
    off = {
        (id_, line["name"]): (line["g"], line["plus_minus_g"] or 0.0)
        for id_, item in items.items()
        for line in item.get("weigh", ())
    }
    rng = random.Random(20261126)
    drawn: dict[tuple[str, str], list[float]] = {}
    for _ in range(DRAWS):
        grams = {key: max(g + rng.uniform(-most, most), 0.0) for key, (g, most) in off.items()}
        for id_, masses in put_together(plan, grams).items():
            mixture = Mixture({one: max(kg, 0.0) for one, kg in masses.items()})
            for reading in items[id_]["readings"]:
                try:
                    value = VALUES[reading["name"]](mixture)
                except PrepkitError:
                    continue
                drawn.setdefault((id_, reading["name"]), []).append(value)
    checked = 0
    wrong = {}
    for (id_, name), values in drawn.items():
        sampled = math.sqrt(3.0) * statistics.pstdev(values)
        (reading,) = [one for one in items[id_]["readings"] if one["name"] == name]
        stated, linear = reading["weighing"] or 0.0, not reading.get("non_linear")
        if max(sampled, stated) < 1e-3 * 10.0 ** -reading["digits"]:
            continue  # what a thousandth of the last digit is off by nobody sees
        checked += 1
        low = stated < (1.0 - ALLOWED) * sampled
        if low or (linear and stated > (1.0 + ALLOWED) * sampled):
            wrong[id_, name] = (stated, sampled, linear)
    assert not wrong
    assert checked > 5
