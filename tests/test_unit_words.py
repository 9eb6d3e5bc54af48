"""Cups, shots and bottles: what a house means by them, and that they are asked back without it."""

from __future__ import annotations

from pathlib import Path

import pytest

from prepkit import registry
from prepkit.errors import BadInput, BadQuantity
from prepkit.pantry import Pantry
from prepkit.plan.files import Reader
from prepkit.plan.house import read_house
from prepkit.plan.house_file import HouseTable
from prepkit.unit_words import Measures
from prepkit.units import parse_quantity, split_amount

HOUSE = """
measures = "us"
pantry = "pantry.toml"
[sizes]
jigger = "1.5 US fl oz"
shot = "40 ml"
part = "30 ml"
bottle = "700 ml"
case = 6
[[price]]
ingredient = "sparkling wine"
pack = "1 500 ml"
cost = 9
[[price]]
ingredient = "rum 40 %"
pack = "5 l"
cost = 60
"""


# cup, tablespoon, teaspoon: US as in units.txt (exact); metric 250, 15 and 5 ml by definition
@pytest.mark.parametrize(
    ("system", "words", "ml"),
    [
        ("us", "1 cup", 236.5882365),
        ("metric", "1 cup", 250.0),
        ("us", "2 tbsp", 29.5735295625),
        ("metric", "2 tablespoons", 30.0),
        ("imperial", "1 tsp.", 5.0),
        ("us", "1 pt", 473.176473),
        ("imperial", "1 pint", 568.26125),
        ("us", "1 qt", 946.352946),
        ("imperial", "1 gal", 4546.09),
        ("", "1 fl oz", 29.5735295625),
        ("imperial", "1 fl oz", 28.4130625),
    ],
)
def test_a_word_is_what_the_house_means(system: str, words: str, ml: float) -> None:
    measures = Measures(system)
    assert split_amount(f"{words} water", "--part", measures)[0] == pytest.approx(ml, rel=1e-12)
    assert parse_quantity(words, ("ml",), measures=measures) == pytest.approx(ml, rel=1e-12)


@pytest.mark.parametrize("word", ["cup", "tbsp", "tsp", "pint", "quart", "gallon", "qt"])
def test_without_a_house_it_is_asked_back_with_the_choices(word: str) -> None:
    with pytest.raises(BadQuantity, match='"US ') as caught:
        split_amount(f"2 {word} water")
    assert "2" not in caught.value.message.split(";")[0]
    for choice in caught.value.message.split('"')[3::2][:2]:
        assert split_amount(f"2 {choice} water")[0] > 0


@pytest.mark.parametrize("word", ["jigger", "shot", "part", "case", "bottle"])
def test_a_size_that_nobody_told_is_asked(word: str) -> None:
    with pytest.raises(BadQuantity, match="not known here"):
        Pantry().part(f"2 {word}s of rum 40 %")


def house(tmp_path: Path, text: str = HOUSE) -> Pantry:
    (tmp_path / "house.toml").write_text(text, encoding="utf-8")
    (tmp_path / "pantry.toml").write_text("", encoding="utf-8")
    return read_house(Reader("tonight.toml"), HouseTable(file="house.toml"), tmp_path, None).pantry


def test_a_house_tells_its_sizes(tmp_path: Path) -> None:
    pantry = house(tmp_path)
    for words, ml in (
        ("2 shots rum 40 %", 80.0),
        ("1 jigger rum 40 %", 44.36029434375),
        ("3 parts rum 40 %", 90.0),
        ("half a bottle of rum 40 %", 350.0),  # a pack of 5 l is no bottle
        ("1 case of rum 40 %", 4200.0),
        ("1 bottle of sparkling wine", 1500.0),
        ("1 cup water", 236.5882365),
    ):
        assert float(pantry.part(words).amount) == pytest.approx(ml, rel=1e-12), words


def test_a_scaled_bottle_reads_back_as_the_same(tmp_path: Path) -> None:
    pantry = house(tmp_path)
    part = pantry.part("1 bottle of rum 40 %").scaled(2.5)
    assert pantry.part(part.words).mass_kg == pytest.approx(part.mass_kg, rel=1e-12)


def test_us_proof_is_proof_only_in_a_us_house() -> None:
    said = Pantry(measures=Measures("us")).part("700 ml spirit 80 proof")
    assert said.mass_kg == Pantry().part("700 ml spirit 80 US proof").mass_kg
    for measures in (Measures(), Measures("imperial")):
        with pytest.raises(BadInput, match="US proof"):
            Pantry(measures=measures).part("700 ml spirit 80 proof")
    assert parse_quantity("80 proof", ("% vol",), measures=Measures("us")) == pytest.approx(
        40.07, abs=0.01
    )


def test_an_espresso_shot_is_its_own_size(tmp_path: Path) -> None:
    assert house(tmp_path).part("1 shot espresso").mass_kg < 0.035
    assert Pantry().part("1 bottle of prosecco").mass_kg == pytest.approx(0.743)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ('measures = "british"', "us, metric, imperial"),
        ("sizes = 3", r"\[sizes\]"),
        ('[sizes]\nbottle = "9 l"', "between 20 and 5000"),
        ('[sizes]\nshot = "30 g"', "volume"),
        ('[sizes]\nglass = "30 ml"', "not known"),
        ("[sizes]\ncase = 0", "from 1"),
    ],
)
def test_a_wrong_size_is_one_sentence(tmp_path: Path, wrong: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        house(tmp_path, wrong)


def test_measures_reach_a_calculation(tmp_path: Path) -> None:
    inputs = registry.validate("blend", {"part": ["1 cup water"]}, house(tmp_path))
    answer = registry.answer("blend", inputs)
    assert answer.values["volume"].value == pytest.approx(236.5882365, rel=1e-9)
