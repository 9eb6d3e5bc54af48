"""prepkit pantry WORD: whole words, kinds, then spelling; no piece of another word."""

from __future__ import annotations

import pytest

from prepkit.errors import UnknownIngredient
from prepkit.pantry import Pantry
from prepkit.workflows.pantry_command import looked_up


def names(asked: str) -> set[str]:
    said = looked_up(asked)
    if "names" not in said:
        return {str(said["ingredient"])}
    return {name for group in said["names"].values() for name in group}


@pytest.mark.parametrize(
    ("asked", "never"),
    [("soda", "vodka"), ("maple", "pale ale beer"), ("juice", "dried orange peel"),
     ("ale", "maple syrup"), ("oat", "coconut meat"), ("tea", "steak")],
)  # fmt: skip
def test_no_piece_of_a_word(asked: str, never: str) -> None:
    assert never not in names(asked)


@pytest.mark.parametrize(
    ("asked", "one"),
    [("maple", "maple syrup"), ("soda", "soda water"), ("cane", "cane sugar"),
     ("sherry", "sherry"), ("herbs", "basil"), ("liqueur", "coffee liqueur"),
     ("coconut", "coconut cream"), ("blossoms", "cherry blossom"), ("puree", "mango"),
     ("leaf", "shiso leaf")],
)  # fmt: skip
def test_whole_words_and_kinds(asked: str, one: str) -> None:
    found = names(asked)
    assert one in found or any(one in name for name in found)


def test_near_spelling_is_one_or_two_letters() -> None:
    with pytest.raises(UnknownIngredient, match="if it is misspelt, write elderflower cordial"):
        looked_up("eldreflower cordial")
    with pytest.raises(UnknownIngredient):
        looked_up("unobtainium")
    assert looked_up("kava")["refused"] == "kava", "a dangerous name has no neighbour"


def test_every_word_must_be_there() -> None:
    assert all("dried" in name or "dried" in str(Pantry().entry(name)["also"])
               for name in names("dried orange"))  # fmt: skip


def test_a_house_is_searched_too() -> None:
    entry = {"name": "house plum vinegar", "group": "acid", "form": "liquid",
             "per_100_g": {"water": 100}}  # fmt: skip
    said = looked_up("plum vinegar", Pantry((entry,)))
    assert said["names"] == {"acid": ["house plum vinegar"]}
