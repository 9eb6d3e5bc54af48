"""Refused plants: each name of the file, in any number and case, wherever it stands."""

from __future__ import annotations

from typing import Any

import pytest

from prepkit import blocks
from prepkit.jurisdictions import Refused, refused

ROWS = list(blocks.blocks("refused.toml", "refused"))


def test_each_name_finds_a_plant_whatever_stands_around_it() -> None:
    for row in ROWS:
        for name in (row["name"], *row["also"]):
            for words in (name, name.upper(), f"30 g of dried {name}", f"{name} tincture"):
                found = refused(words)
                assert found is not None, words
                assert found == refused(name), words


def many(name: str) -> list[str]:
    """The plurals of a name, by the ending of its last word."""
    if name.endswith("y") and name[-2] not in "aeiou":
        return [f"{name[:-1]}ies"]
    if name.endswith("leaf"):
        return [f"{name[:-1]}ves"]
    if name.endswith(("us", "ss", "x", "ch", "sh")):
        return [f"{name}es"]
    if name.endswith("s"):
        return []
    return [f"{name}s", f"{name}es"] if name.endswith("o") else [f"{name}s", f"{name}'s"]


def test_each_name_is_found_in_the_plural() -> None:
    for row in ROWS:
        for name in (row["name"], *row["also"]):
            for words in many(name):
                assert refused(words) == refused(name), words


def _laws(row: dict[str, Any]) -> tuple[tuple[str, str, str, str], ...]:
    cited, more = row.get("law_source", {}), row.get("law_more", {})
    return tuple(
        (place, why, more.get(place, ""), cited.get(place, row["source"]))
        for place, why in row.get("law", {}).items()
    )


def test_why_is_one_sentence_and_the_rest_a_field_of_its_own() -> None:
    for row in ROWS:
        assert not any(". " in one for one in (row["why"], *row.get("law", {}).values())), row[
            "name"
        ]
        assert row.get("law_more", {}).keys() <= row.get("law", {}).keys(), row["name"]
        plant = refused(row["name"])
        assert plant is not None
        assert plant.reason == f"{plant.why}. {plant.more}".removesuffix(". ")
        for place, why, more, source in plant.laws:
            under = plant.under((place,))
            assert (under.why, under.more, under.source) == (why, more, source)


def test_a_row_is_told_as_it_stands() -> None:
    for row in ROWS:
        found = refused(row["name"])
        # two rows may know one name: the first in the file speaks
        first = next(one for one in ROWS if one["name"] == found.name) if found else None
        assert found is not None
        assert first is not None
        assert found == Refused(
            first["name"], first["why"], first["source"], tuple(first.get("where", ())),
            first.get("unless", ""), first.get("flag", False),
            laws=_laws(first), more=first.get("more", ""),
        )  # fmt: skip
    assert {refused(row["name"]) for row in ROWS if row.get("flag")}
    assert sum(refused(row["name"]) == Refused(
        row["name"], row["why"], row["source"], tuple(row.get("where", ())), row.get("unless", ""),
        row.get("flag", False), laws=_laws(row), more=row.get("more", ""),
    ) for row in ROWS) > 0.9 * len(ROWS)  # fmt: skip


def test_a_plant_is_refused_for_good_everywhere_unless_its_row_says_less() -> None:
    plant = Refused("a", "b", "c")
    assert (plant.where, plant.unless, plant.flag) == ((), "", False)


def test_what_a_row_excepts_is_not_found_by_it() -> None:
    for row in ROWS:
        for other in row.get("except", ()):
            found = refused(other)
            assert found is None or found.name != row["name"], other


def test_rules_that_do_not_refuse_it_lift_it_and_no_others() -> None:
    local = [row for row in ROWS if row.get("where")]
    assert local
    for row in ROWS:
        for law in ("EU", "US"):
            found = refused(row["name"], law)
            lifted = bool(row.get("where")) and law not in row["where"]
            assert (found is None or found.name != row["name"]) is lifted, (row["name"], law)
        assert refused(row["name"], "") is not None


@pytest.mark.parametrize(
    ("words", "plural"),
    [
        ("yew berry", "yew berries"), ("rhubarb leaf", "rhubarb leaves"), ("foxglove", "foxgloves"),
        ("foxglove", "foxglove's"), ("autumn crocus", "autumn crocuses"), ("thuja", "thujas"),
        ("lily of the valley", "lilies of the valley"), ("yew", "yews"), ("oleander", "Oleanders"),
        ("castor bean", "castor beans"), ("peach stone", "peaches stones"),
        ("box leaf", "boxes leaves"), ("sweet grass", "sweet grass"), ("pie", "pies"),
        ("fly agaric", "flies agaric"), ("bush", "bushes"), ("grass", "grasses"),
        ("cloverleaf", "cloverleaves"), ("potato", "potatoes"),
    ],
)  # fmt: skip
def test_one_and_many_are_the_same_plant(words: str, plural: str) -> None:
    from prepkit.jurisdictions import _tokens

    assert _tokens(plural) == _tokens(words)
    assert refused(plural) == refused(words)


def test_a_name_is_found_by_whole_words_in_their_order() -> None:
    for words in ("foxgloved", "yewish", "valley of the lily", "lily of the deep valley", "", "12"):
        assert refused(words) is None, words
    for words in ("foxglove", "mint-foxglove", "mint,foxglove", "(foxglove)"):
        found = refused(words)
        assert found is not None, words
        assert found.name == "foxglove"
