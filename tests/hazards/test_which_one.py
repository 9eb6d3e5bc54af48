"""A bare common name is asked back with what is listed, and never with a hazard."""

from __future__ import annotations

from typing import Any

import pytest

from prepkit import hazard_names
from prepkit.errors import NamedHazard, UnknownIngredient
from prepkit.pantry import Pantry

PANTRY = Pantry()


def refusal(words: str) -> str:
    """What the pantry says to a name that it does not have."""
    with pytest.raises(UnknownIngredient) as problem:
        PANTRY.entry(words, "part")
    return problem.value.message


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("yuzu", ": which one? yuzu juice, yuzu puree or yuzu peel."),
        ("vermouth", ": which one? dry vermouth, sweet vermouth, bianco vermouth"),
        ("black tea", ": which one? black tea leaf or brewed black tea."),
        ("green tea", ": which one? green tea leaf, brewed green tea"),
        ("vanilla", "others are in prepkit pantry."),
        ("calamansi", "is not listed by itself; listed is calamansi juice."),
        ("sloe", "is not listed by itself; listed is sloe gin."),
    ],
)
def test_a_bare_name_is_asked_back(name: str, told: str) -> None:
    assert told in refusal(name)


@pytest.mark.parametrize("name", ["fino", "cava", "tea"])
def test_a_name_that_is_plainly_one_thing_is_taken(name: str) -> None:
    assert PANTRY.entry(name)["name"]


@pytest.mark.parametrize("name", ["foxglove", "elderberry leaf", "nitrogen", "pine nuts", "gloob"])
def test_a_hazard_or_an_unknown_name_is_asked_back_with_nothing(name: str) -> None:
    with pytest.raises((NamedHazard, UnknownIngredient)) as problem:
        PANTRY.entry(name)
    assert "which one" not in problem.value.message
    assert "; listed is" not in problem.value.message


def test_each_word_of_a_name_is_answered_with_whole_words_and_no_hazard() -> None:
    names = tuple(PANTRY.names())
    entries: dict[str, Any] = {one: PANTRY.entry(one) for one in names}
    for word in sorted({word for one in names for word in hazard_names.tokens(one)}):
        for listed in hazard_names.containing(word, names, entries.__getitem__):
            assert word in hazard_names.tokens(listed), (word, listed)
            assert hazard_names.find(listed) is None, (word, listed)


def test_a_question_names_five_at_most() -> None:
    told = refusal("vanilla").partition("which one? ")[2].partition(";")[0]
    assert len(told.replace(" or ", ", ").split(", ")) == hazard_names.MOST_NAMED


@pytest.mark.parametrize(
    "words",
    [
        "organic elderberriess", "wild foxgloves", "fresh foxglovess", "raw kidney beanss",
        "organic elderberrys", "dried hellebores",
    ],
)  # fmt: skip
def test_a_slip_in_a_plural_after_another_word_is_still_the_plant(words: str) -> None:
    with pytest.raises(NamedHazard):
        PANTRY.entry(words)
