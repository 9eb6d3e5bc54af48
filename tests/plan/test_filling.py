"""Weighings as a scale shows them: whole steps, those that are too few, stocks in their place."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.mixture import Mixture
from prepkit.plan import make_plan
from prepkit.plan.filling import (
    FEWEST_STEPS,
    rounded_down,
    scale_for,
    stocks,
    weighed_by_hand,
    whole,
)
from prepkit.plan.items import Weigh
from prepkit.plan.plan import read_recipe

STEPS = st.sampled_from((0.001, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 28.349523125))
GRAMS = st.floats(1e-4, 1e6)
MADE = st.floats(1e-2, 1e6)
RECIPE = """
title = "A trial"
serves = 1
[house.bench]
scale = "1 g"
fine_scale = "0.1 g"
fine_scale_most = "500 g"
[vessels.north]
vessel_volume = "1.3 l"
max_fill = "1 l"
rated = "17 bar"
[items.my-sour]
calculator = "blend"
part = ["90 g water", "0.6 g citric acid", "0.5 g sunflower lecithin", "20 g ± 0.02 g white sugar"]
[items.my-nitro]
calculator = "siphon"
vessel = "north"
contents = "500 ml my-sour"
gas = "n2"
chargers = 1
temperature = "4 C"
[[serve]]
name = "x"
part = "100 g my-nitro"
"""


@st.composite
def benches(draw: st.DrawFn) -> dict[str, float]:
    bench = {"scale": draw(STEPS)}
    if draw(st.booleans()):
        bench |= {"fine_scale": draw(STEPS), "fine_scale_most": draw(st.floats(1.0, 5000.0))}
    return bench


@given(GRAMS, benches(), MADE)
def test_a_weighing_is_whole_steps_and_at_most_half_a_step_off(
    g: float, bench: dict[str, float], made_g: float
) -> None:
    found = weighed_by_hand(Weigh("x", g), bench, None, made_g)
    assert found is not None
    steps = found["g"] / found["step_g"]
    assert steps == pytest.approx(round(steps), abs=1e-6)
    assert round(steps) == found["steps"]
    assert abs(found["g"] - g) <= 0.5 * found["step_g"] * (1 + 1e-6) + 1e-9 * g


@given(GRAMS, benches(), MADE)
def test_it_is_marked_just_where_it_is_under_ten_steps(
    g: float, bench: dict[str, float], made_g: float
) -> None:
    found = weighed_by_hand(Weigh("x", g), bench, None, made_g)
    assert found is not None
    few = g < FEWEST_STEPS * found["step_g"] * (1 - 1e-9)
    assert found["too_few"] is few
    assert (found["batch_g"] is not None) is few
    if found["batch_g"] is not None:  # so much of it brings the weighing to ten steps
        again = g * found["batch_g"] / made_g
        assert again == pytest.approx(FEWEST_STEPS * found["step_g"])
        assert found["batch_g"] > made_g


@given(GRAMS, benches())
def test_a_fine_scale_is_never_loaded_above_what_it_takes(
    g: float, bench: dict[str, float]
) -> None:
    scale = scale_for(bench, g)
    assert scale is not None
    if scale.name == "fine_scale":
        found = weighed_by_hand(Weigh("x", g), bench, None, None)
        assert found is not None
        assert max(g, found["g"]) <= bench["fine_scale_most"] * (1 + 1e-9)


@given(GRAMS, benches())
def test_a_load_of_a_vessel_is_never_rounded_up(g: float, bench: dict[str, float]) -> None:
    scale = scale_for(bench, g)
    assert scale is not None
    found = rounded_down(g, scale)
    assert g - scale.step_g * (1 + 1e-6) <= found <= g * (1 + 2e-9)


@given(st.floats(0.01, 20.0), STEPS, st.floats(0.0, 500.0))
def test_a_stock_brings_what_was_asked_and_no_water_that_is_not_there(
    g: float, step_g: float, water_g: float
) -> None:
    lines = [Weigh("acid", g), Weigh("water", water_g)]
    bench = {"scale": step_g}
    found = stocks(lines, bench, {"acid": Mixture({"citric": 1.0})})
    if "acid" not in found:
        return
    one = found["acid"]
    share = one["solid_g"] / (one["solid_g"] + one["water_g"])
    assert share == pytest.approx(one["percent"] / 100)
    assert one["take_g"] * share == pytest.approx(g, abs=0.5 * step_g * share * (1 + 1e-6))
    assert one["less_water_g"] == pytest.approx(g * (1 / share - 1))
    assert one["less_water_g"] <= water_g
    for weighed in (one["solid_g"], one["take_g"]):
        assert weighed >= FEWEST_STEPS * step_g * (1 - 0.05)
    assert one["take_g"] <= one["solid_g"] + one["water_g"] + step_g


def test_no_stock_of_what_is_not_known_to_dissolve() -> None:
    """Fumaric acid has no figure at 20 C, lecithin none at all; succinic acid not at 10 %."""
    lines = [Weigh(name, 0.5) for name in ("fumaric", "lecithin", "both")] + [Weigh("water", 999)]
    known = {
        "fumaric": Mixture({"fumaric": 1.0}),
        "lecithin": Mixture({"foamer": 1.0}),
        "both": Mixture({"citric": 0.5, "malic": 0.5}),
    }
    assert stocks(lines, {"scale": 0.1}, known) == {}
    weak = stocks(
        [Weigh("succinic", 0.5), Weigh("water", 999)],
        {"scale": 0.1}, {"succinic": Mixture({"succinic": 1.0})},
    )  # fmt: skip
    assert weak["succinic"]["percent"] == pytest.approx(1.0)
    no_water = [Weigh("citric", 0.5), Weigh("juice", 999)]
    assert stocks(no_water, {"scale": 0.1}, {"citric": Mixture({"citric": 1.0})}) == {}


def test_no_scale_named_is_no_rounding() -> None:
    assert weighed_by_hand(Weigh("x", 5.0), {}, None, 10.0) is None
    assert (
        weighed_by_hand(Weigh("x", 900.0), {"fine_scale": 0.1, "fine_scale_most": 500.0}, None, 1e3)
        is None
    )
    assert scale_for({}, 5.0) is None


@given(st.integers(0, 10**7), STEPS)
def test_whole_steps_carry_no_dust(steps: int, step_g: float) -> None:
    found = whole(steps, step_g)
    assert math.isclose(found, steps * step_g, rel_tol=1e-11)
    assert len(repr(found)) <= 20


def lines(text: str = RECIPE, serves: int = 1) -> dict[str, dict[str, Any]]:
    said = make_plan(read_recipe(text), serves).to_dict()
    (sour,) = (one for one in said["items"] if one["id"] == "my-sour")
    return {line["name"]: {**line["hand"], "made_g": sour["made_g"]} for line in sour["weigh"]}


def test_a_plan_says_how_each_line_is_weighed() -> None:
    found = lines()
    acid = found["citric acid"]
    assert acid["too_few"]
    assert acid["batch_g"] == pytest.approx(acid["made_g"] * 1.0 / (0.6 * acid["made_g"] / 111.1))
    assert acid["stock"]["percent"] == 10
    lecithin = found["sunflower lecithin"]
    assert lecithin["too_few"]
    assert lecithin["stock"] is None
    sugar = found["white sugar"]
    assert not sugar["too_few"]
    assert sugar["finer_than_scale"]  # ± 0.02 g asked, half a step is 0.05 g
    assert not found["water"]["finer_than_scale"]
    assert not any(one["too_few"] for one in lines(serves=20).values())


def test_a_vessel_is_filled_with_no_more_than_was_worked_out() -> None:
    said = make_plan(read_recipe(RECIPE), 37).to_dict()
    (vessel,) = said["vessels"]
    assert vessel["each_g"] - 1.0 < vessel["each_hand_g"] <= vessel["each_g"]
    without = RECIPE.replace('scale = "1 g"\nfine_scale = "0.1 g"\nfine_scale_most = "500 g"', "")
    said = make_plan(read_recipe(without), 37).to_dict()
    assert said["vessels"][0]["each_hand_g"] is None
    assert all(line["hand"] is None for one in said["items"] for line in one["weigh"])
