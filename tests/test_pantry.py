"""Ingredient words, and a house's own pantry file."""

from __future__ import annotations

import tomllib
from pathlib import Path

import fastjsonschema
import pytest

from prepkit.errors import BadInput, BadRecipe, UnknownIngredient
from prepkit.file_models import TableProblem
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.pantry_file import house_entries
from prepkit.plan.check import pantry_schema

PANTRY = Pantry()


@pytest.mark.parametrize(
    ("words", "mass_g"),
    [
        ("700 ml spirit 43 %", 660.1),
        ("0.7 l spirit 43 % vol", 660.1),
        ("70 cl spirit 43%", 660.1),
        ("24 fl oz water", 708.5),
        ("1 kg syrup 65 Bx", 1000.0),
        ("200 g of lemon juice", 200.0),
        ("25 g lactic acid 80 %", 25.0),
        ("1,5 kg Lemon Juice", 1500.0),
        ("2 lemons", 218.8),
    ],
)
def test_amounts(words: str, mass_g: float) -> None:
    assert 1000 * PANTRY.part(words).mass_kg == pytest.approx(mass_g, rel=1e-3)


@pytest.mark.parametrize(
    ("words", "because"),
    [
        ("700 ml spirit", "needs its strength"),
        ("1 kg syrup", "needs its Brix"),
        ("1 l cream", "needs its fat"),
        ("10 g lactic acid", "needs its strength by weight"),
        ("100 g water 5 %", "takes no strength"),
        ("100 ml white sugar", "by weight"),
        ("3 white sugar", "no unit"),
        ("100 g", "names no ingredient"),
        ("100 g unobtainium", "no ingredient"),
        ("100 g lemmon juice", "lemon juice"),
        ("100 ml spirit 120 %", "from"),
        ("700 ml spirit 80 proof", "write US proof, .* or % vol"),
        ("700 ml spirit 43 % ± 1 %", "takes no ±"),
        ("1 kg grapefruit juice ± 5 g", "next to the amount"),
        ("1e9 l water", "more than 100 tonnes"),
        ("1000000 lemons", "tonnes"),
    ],
)
def test_words_that_cannot_be_used(words: str, because: str) -> None:
    with pytest.raises(BadInput, match=because):
        PANTRY.part(words)


def test_a_tanker_is_still_a_batch() -> None:
    assert PANTRY.part("100000 kg water").mass_kg == pytest.approx(1e5)


def test_strength_is_kept() -> None:
    assert 100 * PANTRY.part("1 l spirit 43 %").mixture.abv == pytest.approx(43.0, abs=1e-6)
    vermouth = PANTRY.part("1 l sweet vermouth").mixture
    assert 0.14 < vermouth.abv < 0.19
    assert 100 * PANTRY.part("1 kg syrup 65 Bx").mixture.dissolved_solids == pytest.approx(65.0)
    assert PANTRY.part("1 kg cream 36 %").mixture.fraction("milk_fat") == pytest.approx(0.36)


def test_us_proof_is_read_at_60_f() -> None:
    """SPH-018: 40.00 % vol at 20 C is 79.86 US proof."""
    assert 100 * PANTRY.part("1 l spirit 79.86 US proof").mixture.abv == pytest.approx(
        40.0, abs=0.02
    )


def test_items_of_a_recipe_come_first() -> None:
    pantry = PANTRY.with_items({"peel-oleo": Mixture({"sucrose": 1.0, "water": 1.0})})
    part = pantry.part("300 g peel-oleo")
    assert part.mass_kg == pytest.approx(0.3)
    assert part.ingredient.group == "made here"


HOUSE = """
[[ingredient]]
name = "house bitters"
group = "other"
form = "liquid"
per_100_g = { water = 60, ethanol = 40 }
"""


def test_a_house_adds_its_own() -> None:
    pantry = Pantry(house_entries(tomllib.loads(HOUSE)))
    assert pantry.part("10 g house bitters").mixture.ethanol_kg == pytest.approx(0.004)


@pytest.mark.parametrize(
    ("text", "because"),
    [
        (HOUSE.replace("water = 60", "water = 6"), "sums to 46"),
        (HOUSE.replace("water", "watter"), "not a component"),
        (HOUSE.replace("= 40", "= -40"), "zero or more"),
        (HOUSE.replace('name = "house bitters"', ""), '"name" is missing'),
        (HOUSE.replace("house bitters", "  "), '"name" is missing'),
        (HOUSE.replace("house bitters", "b" * 200), "200 characters"),
        (HOUSE.replace("bitters", "bit\\u0007ters"), "control character"),
        (HOUSE + HOUSE, "taken by another"),
        (HOUSE.replace("ingredient", "ingredints"), "not known here"),
        (HOUSE + "piece_g = 0", "one piece weighs"),
        (HOUSE + "piece_g = inf", "from 0 to"),
        (HOUSE + 'piece_g = "5"', "must be a number"),
        (HOUSE + 'alergens = ["milk"]', "the nearest is allergens"),
        (HOUSE + 'allergens = ["dairy"]', "must be one of gluten"),
        (HOUSE + 'allergens = ["nuts:acorn"]', "write nuts: and almond"),
        (HOUSE + 'hazards = ["raw-eg"]', "did you mean raw-egg"),
        (HOUSE + 'keeps = "for ever"', "must be one of"),
        (HOUSE + 'strength = "abv"', "goes into per_litre"),
        (HOUSE + 'strength = "fat"', "nothing that its strength .fat. could count"),
        (HOUSE + 'strength = "brix"\nstrength_range = [5]', "the least and the most"),
        (HOUSE + 'strength = "brix"\nstrength_range = [nan, 5]', "from 0 to 100"),
        (HOUSE + 'strength = "brix"\nstrength_range = [60, 5]', "least is above its most"),
        (HOUSE + "strength_default = 5", "without strength"),
        (HOUSE.replace("water = 60, ethanol = 40", "water = 100") + 'strength = "brix"', "count"),
        (HOUSE.replace("per_100_g", "per_litre"), "goes into per_100_g"),
        (HOUSE.replace("water = 60", "water = inf"), "sums to inf"),
    ],
)
def test_a_wrong_house_file_gets_one_sentence(text: str, because: str) -> None:
    with pytest.raises(BadRecipe, match=because) as caught:
        house_entries(tomllib.loads(text))
    assert "\n" not in caught.value.message
    assert caught.value.field


def test_names_of_a_house_are_found_however_they_are_written() -> None:
    pantry = Pantry(house_entries(tomllib.loads(HOUSE.replace("house bitters", "House  Bitters"))))
    assert pantry.part("10 g HOUSE bitters").name == "house bitters"


def test_unknown_names_bring_the_nearest() -> None:
    with pytest.raises(UnknownIngredient, match="grapefruit juice"):
        PANTRY.ingredient("grapefruit juce")


def test_all_that_is_wrong_with_a_pantry_is_told_at_once() -> None:
    text = HOUSE.replace("water = 60", "water = 6") + HOUSE.replace('"other"', "3") + HOUSE
    text += HOUSE.replace("house bitters", "kava") + 'piece_g = "5"\ncolour = 1\n'
    found: list[TableProblem] = []
    entries = house_entries(tomllib.loads(text), found.append)
    assert [one["name"] for one in entries] == ["house bitters"]
    assert {(one.path, one.sentence.partition(";")[0]) for one in found} == {
        (("ingredient", 0, "per_100_g"), "per_100_g sums to 46 g"),
        (("ingredient", 1, "group"), '"group" is missing'),
        (("ingredient", 3, "piece_g"), "it is '5'"),
        (("ingredient", 3, "colour"), 'the key "colour" is not known here'),
    }


def test_the_demo_pantry_fits_its_schema() -> None:
    judged = fastjsonschema.compile(pantry_schema())
    text = (Path(__file__).parents[1] / "recipes/house/pantry.toml").read_text(encoding="utf-8")
    judged(tomllib.loads(text))
    judged(tomllib.loads(HOUSE))
    for wrong in ("colour = 1", "piece_g = 0", 'form = "wet"', "also = [3]", "allergens = 1"):
        said = tomllib.loads(HOUSE.replace('form = "liquid"', "") + wrong)
        with pytest.raises(fastjsonschema.JsonSchemaException):
            judged(said)
