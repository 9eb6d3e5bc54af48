"""Items of a plan that are looked at and judged, and water that a calculator adds."""

from __future__ import annotations

import pytest
from plan.trial import RECIPE, plan, weighed

from prepkit.render.plan_text import plan_text

CHECKED = (
    RECIPE
    + """
[items.my-look]
calculator = "layer"
check = true
layer = ["100 ml my-mix at 4 C", "20 g cream 35 % at 4 C whipped 50 %"]
"""
)


def test_a_check_is_shown_and_asks_for_nothing() -> None:
    said = plan(CHECKED)
    look = next(item for item in said["items"] if item["id"] == "my-look")
    assert look["check"]
    assert not look["weigh"]
    assert look["values"]
    assert look["tables"]
    without = {key: g for key, g in weighed(said).items() if key[0] != "my-look"}
    assert without == weighed(plan())
    assert said["not_made"] == []
    sheet = plan_text(said)
    assert "my-look (layer, a check)" in sheet
    assert {"layer-stands-pressure"} <= {c["id"] for c in said["standing"]}


def test_what_only_a_check_looks_at_is_not_made_and_not_missed() -> None:
    text = CHECKED.replace("100 ml my-mix at", "100 ml my-glass at")
    text += '[items.my-glass]\ncalculator = "blend"\npart = ["50 g my-mix", "50 g water"]\n'
    said = plan(text)
    assert said["not_made"] == []
    assert "my-glass" not in {item["id"] for item in said["items"]}


def test_a_check_that_says_stop_holds_what_it_looks_at() -> None:
    text = (
        RECIPE
        + """
[items.my-look]
calculator = "siphon"
check = true
contents = "500 ml my-mix"
gas = "n2"
chargers = 1
temperature = "4 C"
vessel_volume = "1.3 l"
max_fill = "1 l"
rated = "1 bar"
"""
    )
    said = plan(text)
    assert said["verdict"] == "stop"
    by_id = {item["id"]: item for item in said["items"]}
    assert by_id["my-mix"]["held_by"] == ["my-look"]
    assert by_id["my-nitro"]["held_by"] == ["my-look"]
    assert "weigh" not in by_id["my-mix"]
    assert by_id["my-base"]["weigh"]
    assert "my-look says stop" in plan_text(said)


def test_water_that_a_calculator_adds_is_weighed() -> None:
    text = (
        RECIPE.replace("100 g my-nitro", "100 g my-cold")
        + """
[items.my-cold]
calculator = "chill"
part = ["300 ml spirit 40 %", "100 g my-mix"]
way = "no ice"
target = "2 C"
"""
    )
    cold = next(item for item in plan(text, 10)["items"] if item["id"] == "my-cold")
    water = next(line for line in cold["weigh"] if line["name"] == "water")
    others = sum(line["g"] for line in cold["weigh"] if line is not water)
    assert water["g"] > 0
    assert water["g"] + others == pytest.approx(cold["made_g"], rel=1e-9)
