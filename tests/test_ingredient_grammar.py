"""Preparation words: taken, taken with a mark, or refused; never passed over."""

from __future__ import annotations

import pytest

from prepkit import ingredient, registry
from prepkit.errors import BadInput, UnknownIngredient
from prepkit.pantry import Pantry

PANTRY = Pantry()


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("200 g chopped mint", "mint"),
        ("100 g freshly squeezed lemon juice", "lemon juice"),
        ("100 g strained lime juice", "lime juice"),
        ("50 g ginger root, peeled", "ginger root"),
        ("10 g ground cinnamon", "cinnamon"),
        ("10 g dried chamomile", "chamomile"),
        ("200 ml chilled water", "water"),
        ("2 chopped lemons", "lemon"),
    ],
)
def test_words_that_change_nothing_are_taken(words: str, name: str) -> None:
    part = PANTRY.part(words)
    assert part.name == name
    assert ingredient.TAG not in part.mixture.tags


@pytest.mark.parametrize(
    "words", ["300 g frozen mango", "300 g tinned peach", "500 g grilled mango",
              "200 g roasted beetroot"]
)  # fmt: skip
def test_words_that_move_water_bring_a_caution(words: str) -> None:
    assert ingredient.TAG in PANTRY.part(words).mixture.tags
    answer = registry.run("blend", {"part": [words, "1 l water"]})
    assert "prepared-changes-water" in {one.id for one in answer.cautions}


def test_a_listed_preparation_has_its_own_figures() -> None:
    roasted = PANTRY.part("100 g roasted pineapple")
    assert roasted.name == "roasted pineapple"
    assert ingredient.TAG not in roasted.mixture.tags
    assert roasted.mixture.fraction("water") < PANTRY.part("1 g pineapple").mixture.fraction(
        "water"
    )


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("100 g dried strawberries", "water out"),
        ("100 g candied lemon", "sugar in the place"),
        ("100 g smoked pineapple", "smoke"),
        ("100 g fermented plum", "acid and alcohol"),
        ("100 g powdered raspberries", "powder of it is dry"),
        ("100 g concentrated orange juice", "how far"),
        ("10 g fresh chamomile", "mostly water"),
    ],
)
def test_words_that_make_something_else_are_refused(words: str, why: str) -> None:
    with pytest.raises(BadInput, match=why):
        PANTRY.part(words)


@pytest.mark.parametrize("word", sorted({*ingredient.PLAIN, *ingredient.WATER}))
def test_a_poisonous_name_stays_refused_behind_any_word(word: str) -> None:
    for name in ("foxglove", "oleander", "monkshood"):
        with pytest.raises(UnknownIngredient):
            PANTRY.ingredient(f"{word} {name}")


@pytest.mark.parametrize("words", ["100 g purple mint", "100 g haunted lemon juice"])
def test_any_other_word_is_no_preparation(words: str) -> None:
    with pytest.raises(UnknownIngredient):
        PANTRY.part(words)
