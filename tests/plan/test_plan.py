"""Scaling, vessels, verdicts and the sheet of a plan."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan.trial import RECIPE, STOPPED, plan, weighed

from prepkit import cautions
from prepkit.errors import BadRecipe
from prepkit.plan import make_plan
from prepkit.plan.items import Weigh
from prepkit.plan.plan import read_recipe
from prepkit.render.plan_text import plan_text
from prepkit.units import convert

# worked by hand


def test_amounts_are_those_worked_by_hand() -> None:
    said = plan(serves=10)
    got = weighed(said)
    # 10 x 100 g of nitro is 1000 g of mix; of 610 g mix, 300 g are base; a tenth of the base is
    # lost, so 300/610 x 1000 / 0.9 of it is made
    assert got["my-nitro", "my-mix"] == pytest.approx(1000)
    assert got["my-mix", "my-base"] == pytest.approx(1000 * 300 / 610)
    assert got["my-mix", "my-sour"] == pytest.approx(1000 * 10 / 610)
    base = next(item for item in said["items"] if item["id"] == "my-base")
    assert base["made_g"] == pytest.approx(1000 * 300 / 610 / 0.9)
    assert base["lost_g"] == pytest.approx(1000 * 300 / 610 / 9)
    sour = next(item for item in said["items"] if item["id"] == "my-sour")
    assert sour["needed_g"] == pytest.approx(50 + 1000 * 10 / 610)
    assert sour["goes_to"] == [
        {"name": "Trial", "g": pytest.approx(50)},
        {"name": "my-mix", "g": pytest.approx(1000 * 10 / 610)},
    ]
    # 6 % acid, two to one
    assert got["my-sour", "citric acid"] == pytest.approx(0.04 * sour["made_g"], rel=1e-3)
    # what the serves bring with them
    bought = {row["name"]: row["g"] for row in said["shopping"]}
    assert bought["cream 35 %"] == pytest.approx(200)
    assert bought["coffee beans"] == pytest.approx(10)


def test_mass_is_kept_from_shopping_to_glass() -> None:
    said = plan()
    bought = sum(row["g"] for row in said["shopping"])
    served = said["serves"] * sum(serve["g"] for serve in said["serve"])
    served += said["serves"] * sum(one["g"] for s in said["serve"] for one in s["garnish"])
    lost = sum(item["lost_g"] + item["left_g"] for item in said["items"])
    assert bought == pytest.approx(served + lost, rel=1e-9)


# properties of scaling


def test_doubling_the_serves_doubles_what_is_linear_and_leaves_what_is_not() -> None:
    one, two = plan(serves=20), plan(serves=40)
    for before, after in zip(one["items"], two["items"], strict=True):
        assert after["made_g"] == pytest.approx(2 * before["made_g"], rel=1e-9)
        if before["filling"]:
            continue
        for then, now in zip(before["readings"], after["readings"], strict=True):
            assert now["value"] == pytest.approx(then["value"], rel=1e-9)
    assert one["serve"][0]["readings"] == two["serve"][0]["readings"]


@settings(deadline=None, max_examples=25)
@given(st.floats(0.01, 100))
def test_amounts_written_in_an_item_do_not_matter_only_their_ratio(factor: float) -> None:
    said = RECIPE.replace("500 ml spirit", f"{500 * factor:.9f} ml spirit")
    said = said.replace("500 g cold brew", f"{500 * factor:.9f} g cold brew")
    got, want = weighed(plan(said)), weighed(plan())
    assert got == {key: pytest.approx(g, rel=1e-9) for key, g in want.items()}


@given(st.floats(1e-3, 1e3))
def test_a_weigh_out_scaled_there_and_back(factor: float) -> None:
    line = Weigh("water", 123.4, 123.6)
    back = line.scaled(factor).scaled(1 / factor)
    assert back.mass_g == pytest.approx(line.mass_g, rel=1e-12)
    assert back.volume_ml == pytest.approx(line.volume_ml, rel=1e-12)


@pytest.mark.parametrize("serves", [1, 40, 200])
def test_there_and_back_is_the_same_sheet(serves: int) -> None:
    """The recipe written at the amounts of another evening gives the sheet of the first."""
    scales = {one["id"]: one["scale"] for one in plan(serves=serves)["items"]}
    blocks = RECIPE.split("[items.")
    for place, block in enumerate(blocks[1:], 1):
        own, end, rest = block.partition("[[serve]]")
        times = scales[own.partition("]")[0]]
        for amount_of in set(re.findall(r'"(\d+) (?:g|ml)\b', own)):
            own = re.sub(rf'"{amount_of} (?=g|ml)', f'"{int(amount_of) * times!r} ', own)
        blocks[place] = own + end + rest
    written = "[items.".join(blocks)
    assert written != RECIPE
    assert plan_text(plan(written, 8)) == plan_text(plan(serves=8))


def test_the_same_in_ounces_and_grams() -> None:
    ounces = f"{convert(300.0, 'g', 'oz')!r} oz wt water"
    got, want = weighed(plan(RECIPE.replace("300 g water", ounces))), weighed(plan())
    assert got == {key: pytest.approx(g, rel=1e-9) for key, g in want.items()}


def test_a_smallest_batch_is_made_and_what_is_left_is_said() -> None:
    text = RECIPE.replace('make = "100 ml"', 'make = "100 ml"\nleast = "500 g"')
    sour = next(item for item in plan(text, 10)["items"] if item["id"] == "my-sour")
    assert sour["made_g"] == pytest.approx(500)
    assert sour["left_g"] == pytest.approx(500 - sour["needed_g"])
    assert weighed(plan(text, 2000)) == pytest.approx(weighed(plan(serves=2000)))


# vessels


def test_the_house_has_fewer_vessels_than_fills() -> None:
    said = plan(serves=40)
    assert said["vessels"][0]["house_has"] == 2
    # 4 kg of a mix lighter than water is a little more than 4 l
    assert said["vessels"][0]["fills"] == 5
    assert "3 rounds" in plan_text(said)


def test_the_mode_that_counts_vessels_itself_is_refused() -> None:
    text = RECIPE.replace("chargers = 1", 'mode = "plan"\nportions = 3\nportion_size = "20 ml"\n'
                                          'style = "nitro"')  # fmt: skip
    with pytest.raises(BadRecipe, match=r"items.my-nitro.mode"):
        plan(text)


def test_vessel_facts_are_written_once() -> None:
    text = RECIPE.replace("chargers = 1", 'chargers = 1\nrated = "30 bar"')
    with pytest.raises(BadRecipe, match=r"items.my-nitro.rated.*vessel north"):
        plan(text)
    with pytest.raises(BadRecipe, match=r"vessels.north.rated"):
        plan(RECIPE.replace("17 bar", "17 kg"))
    with pytest.raises(BadRecipe, match=r"vessels.north.colour"):
        plan(RECIPE.replace('rated = "17 bar"', 'rated = "17 bar"\ncolour = "red"'))


# stop


def stopped_sheets() -> list[str]:
    missing = RECIPE.replace('rated = "17 bar"\n', "")
    no_fill = RECIPE.replace('max_fill = "1 l"\n', "")
    no_volume = RECIPE.replace('vessel_volume = "1.3 l"\n', "")
    return [STOPPED, missing, no_fill, no_volume]


@pytest.mark.parametrize("text", stopped_sheets(), ids=["low", "no-rating", "no-fill", "no-volume"])
def test_a_stop_shows_its_reason_and_no_amounts(text: str) -> None:
    said = plan(text)
    assert said["verdict"] == "stop"
    assert said["stops"]
    assert {stop["of"] for stop in said["stops"]} == {"my-nitro"}
    nitro = next(item for item in said["items"] if item["id"] == "my-nitro")
    assert nitro["verdict"] == "stop"
    assert nitro["stops"]
    for amounts in ("weigh", "filling", "made_g", "made_ml", "values", "readings", "working"):
        assert amounts not in nitro
    assert not said["vessels"]
    assert not said["chargers"]
    serve = said["serve"][0]
    assert serve["held_by"] == ["my-nitro"]
    assert "parts" not in serve
    # what does not go through the stopped load is still worked out
    assert next(item for item in said["items"] if item["id"] == "my-mix")["weigh"]
    sheet = plan_text(said)
    assert sheet.index("Verdict: STOP") < sheet.index("Tonight in one look")
    item = sheet[sheet.index("4. my-nitro") : sheet.index("Each serve")]
    assert "NOT TO BE MADE" in item
    assert said["stops"][0]["text"].split()[0] in item
    assert "chargers in all" not in sheet
    assert not re.search(r"\d+ (g|ml)\b", item.replace("NOT TO BE MADE", ""))


def test_what_is_made_from_a_stopped_item_is_held() -> None:
    # 80 % citric acid does not dissolve: the stock is stopped, the mix and the nitro are held
    text = RECIPE.replace("6 % w/w", "80 % w/w")
    said = plan(text)
    assert said["verdict"] == "stop"
    by_id = {item["id"]: item for item in said["items"]}
    assert by_id["my-sour"]["verdict"] == "stop"
    assert by_id["my-mix"]["held_by"] == ["my-sour"]
    assert by_id["my-nitro"]["held_by"] == ["my-sour"]
    for held in ("my-sour", "my-mix", "my-nitro"):
        assert "weigh" not in by_id[held]
    assert by_id["my-base"]["weigh"]
    assert said["serve"][0]["held_by"] == ["my-sour"]
    bought = {row["name"] for row in said["shopping"]}
    assert "citric acid" not in bought
    assert "cold brew coffee 1.3 %" in bought
    assert not said["chargers"]
    assert plan_text(said).count("HELD") == 3


def test_nothing_is_milder_at_more_serves() -> None:
    order = cautions.VERDICTS.index
    hot = RECIPE.replace('temperature = "4 C"', 'temperature = "4 C"\nwarmest = "40 C"')
    for bar in (5, 8, 10, 12, 17):
        text = hot.replace("17 bar", f"{bar} bar")
        full = plan(text, 10)["verdict"]  # one vessel, filled to the mark
        part = plan(text, 2)["verdict"]
        assert order(full) >= order(part)


# cautions


def test_a_caution_of_a_guest_is_told_for_one_serve() -> None:
    said = plan(serves=200)
    alcohol = next(c for c in said["cautions"] if c["id"] == "alcohol-content")
    assert alcohol["per_serve"]
    assert len(alcohol["said"]) == 1
    ethanol = next(r["value"] for r in said["serve"][0]["readings"] if r["name"] == "ethanol")
    assert f"{ethanol:.0f} g in all" in alcohol["said"][0]["text"]
    # a batch holds grams of caffeine; what counts is what is in one serve
    assert "caffeine-above-one-dose" not in {c["id"] for c in said["cautions"]}
    strong = RECIPE.replace("20 g cream", '900 g cold brew coffee", "20 g cream')
    assert "caffeine-above-one-dose" in {c["id"] for c in plan(strong)["cautions"]}


def test_allergens_of_part_and_garnish_are_on_the_serve() -> None:
    text = RECIPE.replace("1 g coffee beans", "2 g orgeat")
    allergens = " ".join(plan(text)["serve"][0]["allergens"])
    assert "milk" in allergens
    assert "nuts" in allergens


def test_a_stock_that_a_dose_takes_is_made() -> None:
    dosed = """
[items.my-dosed]
calculator = "dose"
stock = "my-sour"
into = "100 g my-mix"
amount = "10 g"
"""
    text = RECIPE.replace("100 g my-nitro", "110 g my-dosed") + dosed
    said = plan(text, 10)
    assert weighed(said)["my-dosed", "my-sour"] == pytest.approx(100)
    assert weighed(said)["my-dosed", "my-mix"] == pytest.approx(1000)
    sour = next(item for item in said["items"] if item["id"] == "my-sour")
    assert {to["name"] for to in sour["goes_to"]} == {"Trial", "my-mix", "my-dosed"}
    unnamed = text.replace('stock = "my-sour"', 'stock = "citric acid"\nstrength = "6 % w/w"')
    with pytest.raises(BadRecipe, match=r"items.my-dosed: .* in no weigh-out"):
        plan(unnamed, 10)


# the sheet


def test_what_nothing_uses_is_not_made_and_is_said() -> None:
    text = RECIPE + '[items.my-spare]\ncalculator = "blend"\npart = "1 l water"\n'
    said = plan(text)
    assert said["not_made"] == ["my-spare"]
    assert "my-spare" in plan_text(said)
    assert weighed(said) == weighed(plan())


def test_house_facts_reach_the_calculators_that_have_such_inputs() -> None:
    text = RECIPE.replace("[vessels.north]", '[house]\naltitude = "2000 m"\n[vessels.north]')
    made = make_plan(read_recipe(text), 40)
    nitro = next(one for one in made.made if one.item.id == "my-nitro")
    assert nitro.answer.inputs["altitude"] == "2000.0 m"
    blend = next(one for one in made.made if one.item.id == "my-base")
    assert "altitude" not in blend.answer.inputs


def test_two_kinds_of_serve() -> None:
    text = RECIPE + '[[serve]]\nname = "Small"\npart = "50 g my-nitro"\n'
    assert weighed(plan(text, 10))["my-nitro", "my-mix"] == pytest.approx(1500)
    assert "10 serves of each drink" in plan_text(plan(text, 10))


@pytest.mark.parametrize("calculator", ["siphon", "blend", "serve", "keep"])
@pytest.mark.parametrize("hazard", ["20 g dry ice", "1 g kava", "5 ml methanol", "2 g fox glove"])
def test_an_item_that_names_a_hazard_is_a_stop_with_its_reason(
    calculator: str, hazard: str
) -> None:
    if calculator == "siphon":
        text = RECIPE.replace('"500 ml my-mix"', f'["400 ml my-mix", "{hazard}"]')
    else:
        item = f'[items.odd]\ncalculator = "{calculator}"\npart = ["1 l water", "{hazard}"]\n'
        text = RECIPE.replace("[[serve]]", f"{item}\n[[serve]]", 1)
    said = plan(text, 8)
    assert said["verdict"] == "stop"
    name = hazard.partition(" ")[2].partition(" ")[2].replace(" ", "").lower()
    assert any(name in one["text"].replace(" ", "").lower() for one in said["stops"])


def test_nutmeg_of_an_item_is_counted_in_the_glass() -> None:
    spiced = RECIPE.replace('"300 g water"', '"300 g water", "{0} g nutmeg"')
    few, many = (plan(spiced.replace("{0}", grams), 8) for grams in ("2", "20"))
    assert few["verdict"] != "stop"
    assert any(one["id"] == "nutmeg-by-the-spoon" for one in many["stops"])
