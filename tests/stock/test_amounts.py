"""Words of stock: whose density, which item, which day; what is not known is asked for."""

from __future__ import annotations

from datetime import date

import pytest

from prepkit.errors import BadInput, NamedHazard
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.stock.amounts import Known, read_amount, use_by
from prepkit.stock.amounts import day as day_of

DAY = date(2026, 3, 1)
KNOWN = Known({"peel-oleo": 1_250_000, "base": None}, {"syrup": Mixture({"water": 1.0})})


@pytest.mark.parametrize(
    ("words", "item", "mg"),
    [
        ("2 l peel-oleo", "peel-oleo", 2_500_000),
        ("500 g of base", "base", 500_000),
        ("1 l syrup", "syrup", 998_200),  # water at 20 C
        ("2 kg white sugar", "white sugar", 2_000_000),
        ("0.5 oz wt peel-oleo", "peel-oleo", 14_175),
    ],
)
def test_an_amount_of_what_is_known(words: str, item: str, mg: int) -> None:
    found = read_amount(words, Pantry(), KNOWN)
    assert found.item == item
    assert found.mg == pytest.approx(mg, rel=1e-4)


def test_only_what_the_pantry_has_is_bought() -> None:
    known = Known({"lemon juice": 1_030_000, "peel-oleo": 1_250_000})
    assert read_amount("1 kg lemon juice", Pantry(), known).pantry
    assert not read_amount("1 kg peel-oleo", Pantry(), known).pantry


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("1 l base", "density of base is not known"),
        ("1 l pel-oleo", "the nearest is peel-oleo"),
        ("3 peel-oleo", "number of pieces"),
        ("1 l", "names nothing|no ingredient"),
        ("peel-oleo", "number"),
    ],
)
def test_what_is_not_known_is_asked_for(words: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        read_amount(words, Pantry(), KNOWN)


def test_a_new_name_is_taken_only_where_that_is_said() -> None:
    with pytest.raises(BadInput):
        read_amount("1 kg night mix", Pantry())
    assert read_amount("1 kg night mix", Pantry(), new=True).item == "night mix"
    assert read_amount("1 l night mix", Pantry(), new=True, density="1.1 g/ml").mg == 1_100_000


def test_a_danger_is_refused_by_its_name_also_as_something_new() -> None:
    with pytest.raises(NamedHazard):
        read_amount("1 kg antifreeze", Pantry(), new=True)


@pytest.mark.parametrize(
    ("words", "keeps", "last"),
    [
        ("5 d", "", date(2026, 3, 6)),
        ("1.9 d", "", date(2026, 3, 2)),  # a part of a day does not count
        ("2026-03-04", "", date(2026, 3, 4)),
        ("none", "", "none"),
        (None, "dairy", None),
        (None, "dry", "none"),
    ],
)
def test_the_last_day(words: str | None, keeps: str, last: object) -> None:
    assert use_by(words, DAY, keeps) == last


@pytest.mark.parametrize("words", ["soon", "2026-02-28", "-1 d", "2026-13-01", "4000 d"])
def test_a_last_day_that_cannot_be(words: str) -> None:
    with pytest.raises(BadInput):
        use_by(words, DAY)


def test_days_in_words() -> None:
    assert day_of("yesterday", "made_on", DAY) == date(2026, 2, 28)
    with pytest.raises(BadInput, match="write a day"):
        day_of("last week", "made_on", DAY)
