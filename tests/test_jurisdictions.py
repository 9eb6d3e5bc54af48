"""One list of places: what holds there, in calculators, labels and refused plants."""

from __future__ import annotations

from typing import Any

import pytest

from prepkit import blocks, jurisdictions, model
from prepkit.calculators.oleo import applicable
from prepkit.errors import BadInput
from prepkit.hazard_names import find
from prepkit.plan.labels import declared
from prepkit.registry import run
from prepkit.shared import keeping, room_check

# SAF-150, 152, 154, 155, 157, 159, 160
HOLDING = {
    "UK": (8, 63), "Ireland": (5, 63), "DE": (7, 65), "France": (4, 63), "US": (5, 57),
    "California": (5, 57), "Australia": (5, 60), "New Zealand": (5, 60), "Canada": (4, 60),
}  # fmt: skip


@pytest.mark.parametrize(("place", "figures"), HOLDING.items())
def test_hot_and_cold_holding_by_place(place: str, figures: tuple[float, float]) -> None:
    row = keeping.of(place)
    assert (row.cold_c, row.hot_c) == figures


def test_a_place_without_a_figure_gets_the_strictest_that_was_read() -> None:
    for row in (keeping.of("EU"), keeping.of(None)):
        assert (row.cold_c, row.hot_c) == (5, 65)


@pytest.mark.parametrize(
    ("place", "fridge", "verdict"),
    [("uk", "7 C", "care"), ("uk", "9 C", "stop"), ("us", "7 C", "stop"), ("de", "7 C", "care"),
     ("france", "5 C", "stop"), ("strictest", "7 C", "stop"), ("Germany", "7.5 C", "stop")],
)  # fmt: skip
def test_keep_judges_a_fridge_by_the_place(place: str, fridge: str, verdict: str) -> None:
    said: dict[str, Any] = {"part": ["1 l whole milk"], "fridge": fridge, "jurisdiction": place}
    answer = run("keep", said)
    assert answer.verdict == verdict
    assert "days_allowed" not in answer.values  # days hold at 5 C or colder only


def test_all_calculators_know_the_same_places() -> None:
    assert set(room_check.jurisdictions()) <= set(jurisdictions.KEYS)
    assert set(jurisdictions.ALSO.values()) <= set(jurisdictions.KEYS)
    assert {row.jurisdiction for row in keeping.rows()} <= set(jurisdictions.FOOD)
    with pytest.raises(BadInput, match="California or Canada"):
        jurisdictions.key_of("CA")


def test_allergen_lists_by_place() -> None:
    assert declared("nuts:pine", "us")
    assert declared("nuts:pine", "canada")
    assert declared("nuts:pine", "anz")
    assert declared("nuts:pine", "eu") is None
    assert declared("lupin", "anz")
    assert declared("lupin", "us") is None
    assert declared("mustard", "canada")
    assert declared("mustard", "anz") is None
    assert declared("celery", "canada") is None
    assert {jurisdictions.allergen_list(one) for one in jurisdictions.FOOD} == {
        "eu", "us", "anz", "canada",
    }  # fmt: skip


@pytest.mark.parametrize("place", jurisdictions.FOOD)
def test_calamus_is_refused_everywhere_by_its_own_law(place: str) -> None:
    found = find("calamus root", place)
    assert found is not None
    if place in ("EU", "DE", "Ireland", "France", "Australia"):
        assert "US law" not in found.why


@pytest.mark.parametrize("place", jurisdictions.FOOD)
def test_tonka_is_refused_under_us_rules_only(place: str) -> None:
    assert (find("tonka bean", place) is not None) is (place in ("US", "California"))


@pytest.mark.parametrize(
    ("place", "alcoholic", "value", "product"),
    [
        ("us", False, 300, "alcohol-free drinks"), ("eu", True, 300, "alcoholic drinks"),
        ("germany", True, 300, "alcoholic drinks"),
        ("australia", False, 500, "alcohol-free drinks"),
    ],
)  # fmt: skip
def test_limits_go_by_the_class_of_drink(
    place: str, alcoholic: bool, value: float, product: str
) -> None:
    row = applicable("sucrose acetate isobutyrate", place, alcoholic)
    assert row is not None
    assert (row.value, row.product) == (value, product)


def test_quinine_in_the_us_is_for_carbonated_drinks_only() -> None:
    assert {row.product for row in jurisdictions.of("quinine", "US")} == {"carbonated drinks"}
    said = run(
        "cordial", {"part": ["500 ml tonic water"], "sweeten": "white sugar", "brix": "30 Bx"}
    )
    texts = [one.text for one in said.cautions if one.id == "quinine-to-declare"]
    assert texts
    assert "carbonated drinks only" in texts[0]


PLACES = ("us", "eu", "germany", "uk", "australia", "canada")


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("plant", ["wormwood", "borage", "calamus root"])
def test_a_plant_is_refused_by_the_law_that_was_asked_for(plant: str, place: str) -> None:
    said = {"liquid": "700 ml spirit 43 %", "botanical": f"50 g {plant}", "jurisdiction": place}
    answer = run("infuse", said)
    assert answer.verdict == "stop"
    told = next(one for one in answer.cautions if one.id.startswith("plant-"))
    key = jurisdictions.key_of(place)
    assert key is not None
    row = next(one for one in blocks.blocks("refused.toml", "refused")
               if one["name"] == plant.removesuffix(" root"))  # fmt: skip
    under = next(one for one in jurisdictions.chain(key) if one in row["law"])
    short, rest = row["law"][under], row.get("law_more", {}).get(under, "")
    assert short in told.text
    assert rest in told.more
    here = {"us": "US law", "australia": "Australia", "canada": "Canada"}.get(place)
    for name in {"US law", "Australia", "New Zealand", "Canada"} - {here}:
        assert name not in told.text
    assert told.source != "TOXIC-PLANT-LISTS" or "read" in f"{short} {rest}"


@pytest.mark.parametrize("place", [*PLACES, None])
@pytest.mark.parametrize("substance", ["quinine", "thujone"])
def test_a_substance_is_told_by_the_rule_of_the_place(substance: str, place: str | None) -> None:
    part = {"quinine": "500 ml tonic water", "thujone": "500 ml absinthe 60 %"}[substance]
    words: dict[str, Any] = {"part": [part]}
    if place is not None:
        words["jurisdiction"] = place
    answer = run("keep", words)
    id_ = {"quinine": "quinine-to-declare", "thujone": "thujone-limits"}[substance]
    told = next(one for one in answer.cautions if one.id == id_)
    text, source = jurisdictions.rule(
        substance, None if place is None else jurisdictions.key_of(place)
    )
    assert text in told.text
    assert told.source == source
    assert source in {one.key for one in answer.sources}
    if place in ("eu", "germany", "uk"):
        assert "US" not in told.text
        assert f"{jurisdictions.find(substance + '-alcoholic-eu').value:g} mg/kg" in told.text
    if place == "us":
        assert "EU" not in told.text


@pytest.mark.parametrize("place", jurisdictions.KEYS)
def test_every_place_has_a_rule_for_each_substance(place: str) -> None:
    for substance in ("quinine", "thujone"):
        text, source = jurisdictions.rule(substance, place)
        assert "{" not in text
        assert model.cited([source])
