"""A small recipe that the tests of plans share."""

from __future__ import annotations

from typing import Any

from prepkit.plan import make_plan
from prepkit.plan.plan import read_recipe

RECIPE = """
title = "A trial <b>night</b>"
serves = 8
[vessels.north]
vessel_volume = "1.3 l"
max_fill = "1 l"
rated = "17 bar"
count = 2
[items.my-base]
calculator = "blend"
part = ["500 ml spirit 40 %", "500 g cold brew coffee"]
loss = "10 %"
[items.my-sour]
calculator = "acid-solution"
acid = ["2 parts citric acid", "1 part malic acid"]
strength = "6 % w/w"
make = "100 ml"
[items.my-mix]
calculator = "blend"
part = ["300 g my-base", "300 g water", "10 g my-sour"]
[items.my-nitro]
calculator = "siphon"
vessel = "north"
contents = "500 ml my-mix"
gas = "n2"
chargers = 1
temperature = "4 C"
[[serve]]
name = "Trial"
part = ["100 g my-nitro", "5 g my-sour", "20 g cream 35 %"]
garnish = "1 g coffee beans"
"""
STOPPED = RECIPE.replace("17 bar", "3 bar")


def plan(text: str = RECIPE, serves: int = 40) -> dict[str, Any]:
    return make_plan(read_recipe(text), serves).to_dict()


def weighed(said: dict[str, Any]) -> dict[tuple[str, str], float]:
    """Every weigh-out in g, by item and ingredient."""
    return {
        (item["id"], line["name"]): line["g"] for item in said["items"] for line in item["weigh"]
    }
