"""Counted parts: which words are read, what they weigh, and what is asked back."""

from __future__ import annotations

import pytest

from prepkit import ingredient, registry
from prepkit.errors import BadInput, BadQuantity, BadRecipe, UnknownIngredient
from prepkit.pantry import Pantry
from prepkit.pantry_file import house_entries

PANTRY = Pantry()


@pytest.mark.parametrize(
    ("words", "name", "grams"),
    [
        ("12 lemons", "lemon", 12 * 109.4),
        ("zest of 6 lemons", "lemon peel", 30),
        ("6 lemon zests", "lemon peel", 30),
        ("zest of a lime", "lime peel", 3),
        ("juice of 2 limes", "lime juice", 88),
        ("5 basil leaves", "basil", 2.5),
        ("5 leaves of basil", "basil", 2.5),
        ("2 sprigs rosemary", "rosemary", 3),
        ("1 clove of garlic", "garlic", 3),
        ("3 garlic cloves", "garlic", 9),
        ("3 spice cloves", "clove", 0.24),
        ("2 cinnamon sticks", "cinnamon", 6),
        ("1 star anise", "star anise", 1.5),
        ("2 vanilla beans", "vanilla pod", 6),
        ("3 large eggs", "whole egg", 150),
        ("3 eggs", "whole egg", 150),
        ("white of 2 eggs", "egg white", 66),
        ("2 small oranges", "orange", 263),
        ("2 orange wheels", "orange", 32),
        ("4 lime wedges", "lime", 40),
        ("1 orange twist", "orange peel", 1.2),
        ("1 scoop ice", "ice", 120),
        ("10 coffee beans", "coffee beans", 1.3),
        ("2 large egg whites", "egg white", 66),
    ],
)
def test_counted_words_weigh_what_the_pantry_says(words: str, name: str, grams: float) -> None:
    part = PANTRY.part(words)
    assert part.name.startswith(name)
    assert 1000 * part.mass_kg == pytest.approx(grams, abs=0.1)
    assert part.amount.unit == "piece"
    assert 0 < part.amount.plus_minus < 2 * part.amount, "a weight by pieces has a band"


@pytest.mark.parametrize("words", ["12 lemons", "zest of 6 lemons", "5 basil leaves", "1 clove of "
                                   "garlic", "3 large eggs", "3 spice cloves"])  # fmt: skip
def test_scaled_words_read_back_as_the_same(words: str) -> None:
    part = PANTRY.part(words).scaled(1.5)
    again = PANTRY.part(part.words)
    assert again.mass_kg == pytest.approx(part.mass_kg)
    assert again.ingredient.name == part.ingredient.name
    assert again.amount.plus_minus == pytest.approx(part.amount.plus_minus)


@pytest.mark.parametrize("words", ["1 clove", "3 cloves", "2 whole cloves"])
def test_a_clove_is_asked_which(words: str) -> None:
    with pytest.raises(BadQuantity, match=r"which one\? A clove of garlic weighs about 3 g"):
        PANTRY.part(words)


@pytest.mark.parametrize("words", ["3 rosemary", "2 large mangoes", "1 basil", "2 gin 40 %"])
def test_a_count_without_a_weight_is_refused_and_never_turned_into_grams(words: str) -> None:
    with pytest.raises(BadQuantity) as caught:
        PANTRY.part(words)
    assert " g " not in caught.value.message
    assert "weight of one piece is not known" in caught.value.message


@pytest.mark.parametrize(
    "words", ["5 peach leaves", "10 g tomato leaf", "2 slices of garlic", "3 apple seeds"]
)
def test_a_piece_that_no_entry_lists_is_not_read_as_the_whole(words: str) -> None:
    try:
        part = PANTRY.part(words)
    except (UnknownIngredient, BadInput):
        return
    assert part.ingredient.group == "refused plant"


def test_words_of_a_piece_may_stand_beside_a_weight() -> None:
    assert PANTRY.part("5 g basil leaves").name == "basil"
    assert PANTRY.part("12 g cinnamon sticks").name == "cinnamon"


def test_every_listed_piece_is_read_in_both_orders() -> None:
    from prepkit import blocks

    for path in blocks.names("pantry"):
        for entry in blocks.blocks(path, "ingredient"):
            for word, row in entry.get("pieces", {}).items():
                if word == ingredient.WHOLE:
                    continue
                if entry["name"] == "clove":
                    continue  # asked which; tried above
                for words in (f"2 {word} {entry['name']}", f"2 {word} of {entry['name']}"):
                    part = PANTRY.part(words)
                    assert part.ingredient.group == entry["group"], words
                    assert 1000 * part.mass_kg == pytest.approx(2 * row["g"]), words


HOUSE = {
    "name": "house herb", "group": "herb", "form": "solid", "per_100_g": {"water": 90, "fibre": 10},
}  # fmt: skip


def test_a_house_lists_its_own_pieces() -> None:
    row = {**HOUSE, "pieces": {"leaf": {"g": 2.0, "low": 1.5, "high": 3.0}}}
    part = Pantry(house_entries({"ingredient": [row]})).part("3 house herb leaves")
    assert 1000 * part.mass_kg == pytest.approx(6.0)
    assert part.amount.plus_minus == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([], "pieces.leaf"),
        ({"leef": {"g": 1}}, "did you mean leaf"),
        ({"leaf": {"low": 1}}, "weight is missing"),
        ({"leaf": {"g": 1, "weight": 2}}, "weight"),
        ({"leaf": {"g": 1, "low": 2}}, "between its ends"),
        ({"leaf": {"g": 0}}, "more than 0"),
        ({"leaf": {"g": "one"}}, "number"),
    ],
)
def test_wrong_pieces_of_a_house_are_refused(rows: object, said: str) -> None:
    with pytest.raises(BadRecipe, match=said):
        house_entries({"ingredient": [{**HOUSE, "pieces": rows}]})


def test_juice_and_peel_by_size_with_their_source() -> None:
    # USDA-SR28: fruit by size at its refuse, juice by the share of the usual fruit
    for words, grams in (
        ("juice of 6 lemons", 6 * 48), ("juice of 3 medium oranges", 3 * 86),
        ("juice of 2 large lemons", 2 * 0.44 * 158.5),
        ("juice of 3 large oranges", 3 * 0.48 * 252.1),
        ("peel of 3 oranges", 3 * 0.27 * 179.5), ("peel of 2 large lemons", 2 * 0.45 * 158.5),
        ("2 large lemons", 2 * 158.5),
    ):  # fmt: skip
        answer = registry.run("cordial", {"part": [words, "1 kg white sugar", "1 l water"]})
        step = answer.working[0]
        assert step.label == words
        assert step.value == pytest.approx(grams, rel=0.01), words
        assert step.source == "USDA-SR28"
        assert " g each" in step.formula
    assert not [one for one in registry.run("blend", {"part": "2 g lemon juice"}).working
                if " each" in one.formula]  # fmt: skip


@pytest.mark.parametrize("words", ["juice of 3 large limes", "peel of 2 grapefruits"])
def test_a_size_that_no_table_has_is_refused(words: str) -> None:
    with pytest.raises(BadInput):
        registry.run("blend", {"part": words})
