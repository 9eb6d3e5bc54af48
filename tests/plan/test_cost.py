"""Packs, costs and leftovers of a plan, worked by hand; a missing price is never nothing."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import BadRecipe
from prepkit.plan import make_plan
from prepkit.plan.plan import read_recipe
from prepkit.render.plan_text import plan_text

RECIPE = """
title = "A trial"
serves = 8
[house]
currency = "EUR"
[vessels.north]
vessel_volume = "1.3 l"
max_fill = "1 l"
rated = "17 bar"
[items.my-syrup]
calculator = "blend"
part = ["600 g white sugar", "400 g water"]
loss = "20 %"
least = "500 g"
[items.my-mix]
calculator = "blend"
part = ["300 g spirit 40 %", "200 g my-syrup"]
[items.my-nitro]
calculator = "siphon"
vessel = "north"
contents = "500 ml my-mix"
gas = "n2"
chargers = 2
temperature = "4 C"
[[serve]]
name = "Trial"
part = ["100 g my-nitro"]
garnish = "1 piece lime"
[[price]]
ingredient = "white sugar"
pack = "1 kg"
cost = 2.0
[[price]]
ingredient = "spirit 40 %"
pack = "700 ml"
cost = 21
[[price]]
ingredient = "n2 charger"
pack = "10 pieces"
cost = 9.0
[[price]]
ingredient = "lime"
pack = "6 pieces"
cost = 3.0
"""
NO_LIME = RECIPE.partition('[[price]]\ningredient = "lime"')[0]


def plan(text: str = RECIPE, serves: int = 10) -> dict[str, Any]:
    return make_plan(read_recipe(text), serves).to_dict()


def row(said: dict[str, Any], name: str) -> dict[str, Any]:
    found: dict[str, Any] = next(one for one in said["shopping"] if one["name"] == name)
    return found


def test_packs_and_their_cost_worked_by_hand() -> None:
    said = plan(serves=20)
    # 2000 g of nitro: 1200 g spirit, 800 g syrup of which a fifth is lost: 1000 g, 600 g sugar
    assert row(said, "white sugar")["g"] == pytest.approx(600)
    assert row(said, "white sugar")["packs"] == 1
    assert row(said, "white sugar")["cost"] == pytest.approx(2.0)
    assert row(said, "white sugar")["left_g"] == pytest.approx(400)
    # 700 ml of spirit at 40 % is 664 g: two bottles hold 1200 g
    spirit = row(said, "spirit 40 %")
    assert spirit["packs"] == 2
    assert spirit["left_g"] == pytest.approx(2 * 664.1 - 1200, abs=1)
    assert spirit["left_ml"] == pytest.approx(1400 - 1200 / 0.9487, abs=1)
    assert row(said, "lime")["packs"] == 4
    # a little more than two litres at the density of the mix: 2 vessels of 2 chargers
    assert said["charger_packs"] == [
        {"gas": "n2", "count": 4, "pack": "10 pieces", "packs": 1, "cost": 9.0, "left": 6}
    ]
    assert said["cost"]["value"] == pytest.approx(2.0 + 2 * 21 + 4 * 3.0 + 9.0)
    assert said["cost"]["complete"]


def test_a_serve_costs_what_went_into_it_and_its_share_of_losses() -> None:
    said = plan(serves=20)
    sugar = 600 / 1000 * 2.0
    spirit = 1200 / 664.1 * 21
    charged = 4 / 10 * 9.0
    lime = 20 / 6 * 3.0
    got = said["serve"][0]["cost"]["value"]
    assert got == pytest.approx((sugar + spirit + charged + lime) / 20, rel=1e-3)


def test_what_is_left_over_of_a_smallest_batch_is_not_in_the_cost_of_a_serve() -> None:
    said = plan(serves=2)
    # 80 g of syrup wanted, 100 with the loss, 500 made
    left = next(one for one in said["leftovers"] if one["name"] == "my-syrup")
    assert left["g"] == pytest.approx(500 - 80 - 20)
    assert left["of"] == "made"
    sugar = 60 / 1000 * 2.0
    spirit, charged, lime = 120 / 664.1 * 21, 2 / 10 * 9.0, 2 / 6 * 3.0
    got = said["serve"][0]["cost"]["value"]
    assert got == pytest.approx((sugar + spirit + charged + lime) / 2, rel=1e-3)


def test_a_missing_price_makes_a_cost_incomplete_and_never_nothing() -> None:
    said = plan(NO_LIME, 20)
    assert said["cost"]["value"] is None
    assert said["cost"]["unpriced"] == ["lime"]
    assert not said["cost"]["complete"]
    assert said["cost"]["known"] == pytest.approx(plan(serves=20)["cost"]["value"] - 12.0)
    serve = said["serve"][0]["cost"]
    assert (serve["value"], serve["unpriced"]) == (None, ["lime"])
    assert row(said, "lime")["cost"] is None
    sheet = plan_text(said)
    assert "what lime costs: incomplete, it has no price" in sheet
    assert "no price" in sheet
    chargers = RECIPE.replace("n2 charger", "co2 charger")
    assert plan(chargers)["cost"]["unpriced"] == ["n2 charger"]
    assert "n2 charger" in plan(chargers)["serve"][0]["cost"]["unpriced"]


def test_a_price_of_another_strength_is_no_price() -> None:
    said = plan(RECIPE.replace('ingredient = "spirit 40 %"', 'ingredient = "spirit 43 %"'))
    assert said["cost"]["unpriced"] == ["spirit 40 %"]


def test_water_is_not_missed_but_counts_where_it_has_a_price() -> None:
    assert "water" not in plan()["cost"]["unpriced"]
    priced = RECIPE + '[[price]]\ningredient = "water"\npack = "1 l"\ncost = 1.0\n'
    assert plan(priced)["cost"]["value"] == pytest.approx(plan()["cost"]["value"] + 1.0)


def test_without_prices_there_is_no_cost_on_the_sheet() -> None:
    said = plan(RECIPE.partition("[[price]]")[0])
    assert said["cost"] is None
    assert said["serve"][0]["cost"] is None
    sheet = plan_text(said)
    assert "cost" not in sheet
    assert "left over of what is made" not in plan_text(plan(serves=200))


def test_a_free_pack_is_a_price() -> None:
    free = RECIPE.replace("cost = 3.0", "cost = 0")
    assert plan(free)["cost"]["complete"]


def test_what_is_stopped_is_not_bought() -> None:
    said = plan(RECIPE.replace('rated = "17 bar"', 'rated = "3 bar"'))
    assert said["verdict"] == "stop"
    assert said["charger_packs"] == []
    assert said["serve"][0]["cost"] is None


@settings(deadline=None, max_examples=20)
@given(st.integers(1, 3000))
def test_packs_hold_what_is_needed_and_none_is_bought_too_many(serves: int) -> None:
    said = plan(serves=serves)
    for one in said["shopping"]:
        if one["packs"] is not None:
            held = one["g"] + one["left_g"]
            assert one["left_g"] >= -1e-6
            assert one["packs"] == 1 or one["left_g"] < held / one["packs"] * (1 + 1e-9)
    assert said["cost"]["value"] >= serves * said["serve"][0]["cost"]["value"] * (1 - 1e-9)


def test_the_recipe_s_own_price_wins(tmp_path: Any) -> None:
    from prepkit.plan import load_recipe

    (tmp_path / "house.toml").write_text(
        '[[price]]\ningredient = "lime"\npack = "1 piece"\ncost = 99\n'
        '[[price]]\ningredient = "white sugar"\npack = "1 kg"\ncost = 99\n', "utf-8"
    )  # fmt: skip
    path = tmp_path / "tonight.toml"
    path.write_text(RECIPE.replace("[house]", '[house]\nfile = "house.toml"'), encoding="utf-8")
    # the currency of the file is not said, and two are refused
    with pytest.raises(BadRecipe, match="currency"):
        load_recipe(path)
    path.write_text(path.read_text("utf-8").replace('currency = "EUR"', ""), encoding="utf-8")
    said = make_plan(load_recipe(path), 6).to_dict()
    assert row(said, "lime")["cost"] == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('pack = "6 pieces"', 'pack = "6"', ""),
        ('pack = "6 pieces"', 'pack = "a box"', "price 4"),
        ('pack = "6 pieces"', 'pack = "6 pieces big"', "price 4"),
        ('pack = "1 kg"', 'pack = "0 kg"', "price 1"),
        ('pack = "1 kg"', 'pack = "1 C"', "price 1"),
        (
            'ingredient = "lime"',
            'ingredient = "white sugar"\npack = "2 kg"\ncost = 3\n[[price]]\ningredient = "lime"',
            "price 4.ingredient",
        ),
        ('ingredient = "lime"', 'ingredient = "limme"', "price 4"),
        ('pack = "10 pieces"', 'pack = "10 kg"', "price 3.pack"),
        ('pack = "10 pieces"', 'pack = "1.5 pieces"', "price 3.pack"),
    ],
)
def test_wrong_prices(old: str, new: str, says: str) -> None:
    text = RECIPE.replace(old, new, 1)
    if not says:
        plan(text)
        return
    with pytest.raises(BadRecipe) as caught:
        plan(text)
    assert says in str(caught.value)
    assert "--" not in str(caught.value)
