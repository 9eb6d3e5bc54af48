"""Cautions that every calculator exposes about its product, tried on real mixtures."""

from __future__ import annotations

import string
from typing import Any

import pytest

from prepkit import blocks, cautions, derived, ingredient, jurisdictions, run
from prepkit.cautions import Row
from prepkit.mixture import Mixture
from prepkit.numbers import written
from prepkit.pantry import Pantry

COMMON = "cautions/common.toml"
ROWS = cautions.parsed({COMMON: blocks.read(COMMON)})
BY_ID = {row.id: row for row in ROWS}
PANTRY = Pantry()
# siphon and foam speak of pulp, siphon of gas and of what sets; pasteurised egg and dairy are kept
# by their keeping class
TOLD_ELSEWHERE = {
    "pulp", "pasteurised-egg", "dairy", "gassy", "fermenting", "sets-cold", "sets-hot", "solid-fat",
}  # fmt: skip


def facts_of(*parts: str) -> dict[str, Any]:
    mixture = Mixture.total(PANTRY.part(words).mixture for words in parts)
    law = jurisdictions.rules(frozenset({"quinine", "thujone"}), None)  # said wherever it is judged
    return {**law, **cautions.about(mixture), **derived.facts(mixture)}


def ids_of(*parts: str) -> set[str]:
    facts = facts_of(*parts)
    return {row.id for row in ROWS if all(cautions.holds(one, facts) for one in row.when)}


def test_rows_speak_to_every_calculator_of_facts_that_every_mixture_gives() -> None:
    always = set(facts_of("1 kg water", "10 g citric acid"))
    for row in ROWS:
        assert row.calculators == ("any",)
        assert not row.standing
        named = {
            name for text in (row.text, row.action)
            for _, name, _, _ in string.Formatter().parse(text) if name
        }  # fmt: skip
        judged = {condition.fact for condition in row.when}
        assert named | judged <= always, row.id


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_text_is_plain_and_whole(row: Row) -> None:
    facts = dict.fromkeys(facts_of("1 kg water", "10 g citric acid"), 1.0)
    said = row.text.format_map({**facts, "allergen_list": "milk"})
    assert "{" not in said
    assert row.text[0].isupper()
    assert row.action[0].isupper()
    assert len(row.text) < 330
    assert " safe " not in f" {row.text} {row.action} ".lower()


def test_every_hazard_of_the_pantry_is_told() -> None:
    told = {
        tag
        for row in ROWS
        for condition in row.when
        if condition.fact == "tags"
        for tag in (condition.limit if isinstance(condition.limit, tuple) else [condition.limit])
    }
    carried = {
        tag
        for path in blocks.names("pantry")
        for entry in blocks.blocks(path, "ingredient")
        for tag in entry["hazards"]
    }
    assert carried - told == TOLD_ELSEWHERE & carried
    assert told - {ingredient.TAG} <= carried, "a caution waits for a tag that nothing carries"


def test_every_allergen_is_told() -> None:
    known = {row["id"] for row in blocks.blocks("allergens.toml", "allergen")}
    assert set(BY_ID["allergens-to-declare"].when[0].limit) == known


@pytest.mark.parametrize(
    ("parts", "present", "absent"),
    [
        (("500 ml cream 36 %",), {"allergens-to-declare", "milk-and-egg-out-of-the-cold"},
         {"raw-egg-unheated", "alcohol-content", "allergens-sulphites"}),
        (("30 g egg white", "60 ml gin 40 %"), {"raw-egg-unheated", "alcohol-content"},
         {"spirit-lights-cold"}),
        (("30 g pasteurised egg white",), {"milk-and-egg-out-of-the-cold"}, {"raw-egg-unheated"}),
        (("1 kg grapefruit juice",), {"grapefruit-and-medicines", "juice-not-heated"},
         {"citrus-oil-skin-and-sun"}),
        (("300 g lime peel",), {"citrus-oil-skin-and-sun"}, {"grapefruit-and-medicines"}),
        (("30 g espresso", "40 ml rum 40 %"), {"caffeine-with-alcohol"},
         {"caffeine-above-one-dose"}),
        (("1 kg filter coffee",), {"caffeine-above-one-dose"}, {"caffeine-with-alcohol"}),
        (("100 g mint", "1 kg syrup 50 Bx"), {"low-acid-plant-in-water", "yeast-can-grow"},
         {"plant-in-oil"}),
        (("100 g mint", "1 kg vodka 40 %"), {"spirit-near-flame"}, {"low-acid-plant-in-water"}),
        (("50 g garlic", "500 g olive oil"), {"garlic-in-oil", "plant-in-oil"}, set()),
        (("50 g garlic", "1 kg water"), {"low-acid-plant-in-water", "garlic-without-acid"},
         {"garlic-in-oil"}),
        (("50 g garlic", "1 kg syrup 65 Bx"), {"garlic-without-acid"}, {"garlic-in-oil"}),
        (("20 g garlic", "1 kg cider vinegar"), set(), {"garlic-without-acid"}),
        (("50 g garlic", "1 kg vodka 40 %"), set(), {"garlic-without-acid"}),
        (("5 g orange oil", "95 g neutral spirit 96 %"),
         {"essential-oil-handling", "essential-oil-strong", "spirit-lights-cold"}, set()),
        (("0.05 g orange oil", "1 kg syrup 50 Bx"), {"essential-oil-handling"},
         {"essential-oil-strong"}),
        (("10 g cinchona bark",), {"quinine-to-declare"}, set()),
        (("10 g cinnamon",), {"coumarin-in-cassia"}, set()),
        (("10 g sage",), {"thujone-limits"}, set()),
        (("100 g fresh elderflower",), {"stones-stalks-and-prussic-acid"}, set()),
        (("1 g nutmeg",), {"nutmeg-in-quantity"}, set()),
        (("1 g activated charcoal",), {"charcoal-and-medicines"}, set()),
        (("10 g lactic acid 80 %", "990 g water"), {"concentrated-acid-used", "acid-and-chlorine"},
         {"lactic-acid-burns"}),
        (("100 g lactic acid 80 %", "900 g water"), {"lactic-acid-burns"}, set()),
        (("100 g phosphoric acid 85 %",), {"phosphoric-acid-burns"}, {"lactic-acid-burns"}),
        (("100 g acetic acid 80 %",), {"acetic-acid-burns"}, set()),
        (("500 g cider vinegar",), {"acid-and-chlorine"}, {"acetic-acid-burns"}),
        (("10 g citric acid", "990 g water"), {"citric-powder-used"},
         {"concentrated-acid-used", "tartaric-powder-used", "succinic-powder-used",
          "acid-stays-undissolved", "phosphoric-above-drinks-limit"}),
        (("10 g malic acid", "100 g lemon juice"), {"malic-powder-used"}, {"citric-powder-used"}),
        (("10 g tartaric acid", "990 g water"), {"tartaric-powder-used"}, {"citric-powder-used"}),
        (("10 g succinic acid", "990 g water"), {"succinic-powder-used"}, {"citric-powder-used"}),
        (("30 g fumaric acid", "1 l water"), {"fumaric-powder-used", "acid-stays-undissolved"},
         set()),
        (("6 g fumaric acid", "1 l water"), {"fumaric-powder-used"}, {"acid-stays-undissolved"}),
        (("1.6 kg citric acid", "1 kg water"), {"acid-stays-undissolved"}, set()),
        (("1 g phosphoric acid 85 %", "1 l water"), set(), {"phosphoric-above-drinks-limit"}),
        (("1.3 g phosphoric acid 85 %", "1 l water"), {"phosphoric-above-drinks-limit"}, set()),
        (("5 g baking soda", "1 kg lemon juice"), {"acid-meets-carbonate"}, set()),
        (("5 g potassium bicarbonate", "1 kg lemon juice"), {"acid-meets-carbonate"}, set()),
        (("5 g baking soda", "1 kg water"), set(), {"acid-meets-carbonate"}),
        (("100 ml red wine",), {"allergens-sulphites", "alcohol-content"}, {"spirit-near-flame"}),
        (("1 kg syrup 72 Bx",), set(), {"yeast-can-grow"}),
        (("1 kg water",), set(), set(BY_ID)),
    ],
)  # fmt: skip
def test_mixture_is_told_what_is_in_it(
    parts: tuple[str, ...], present: set[str], absent: set[str]
) -> None:
    found = ids_of(*parts)
    assert present <= found
    assert not absent & found


def test_more_of_it_is_never_told_more_mildly() -> None:
    seen: set[str] = set()
    for grams in (1, 10, 40, 60, 100, 400, 900):
        found = ids_of(f"{written(grams, 'g')} g lactic acid 80 %", "1000 g water")
        assert seen <= found
        seen = found
    seen = set()
    for percent in (15, 20, 40, 50, 96):
        found = ids_of(f"500 g neutral spirit {percent} %")
        assert seen <= found
        seen = found


def test_an_answer_carries_them_once_each() -> None:
    answer = run(
        "blend", part=["60 ml gin 45 %", "30 g lemon juice", "30 g egg white", "20 g orgeat"]
    )
    ids = [caution.id for caution in answer.cautions]
    assert len(ids) == len(set(ids))
    assert {"allergens-to-declare", "raw-egg-unheated", "juice-not-heated", "alcohol-content",
            "spirit-near-flame"} <= set(ids)  # fmt: skip
    said = next(c.text for c in answer.cautions if c.id == "allergens-to-declare")
    assert "eggs" in said
    assert "nuts: almond" in said
    assert answer.verdict == "care"


def test_a_plain_syrup_is_clear() -> None:
    answer = run("blend", part=["1 kg white sugar", "1 kg water"])
    assert answer.verdict == "clear"


def test_an_allergen_that_is_not_decided_is_asked_for_wherever_it_goes() -> None:
    """Plain lecithin asks which in every calculator that takes it; a named kind never does."""
    for kind, asked in (("lecithin", True), ("soy lecithin", False), ("sunflower lecithin", False)):
        blended = run("blend", {"part": ["1 l water", f"2 g {kind}"]})
        foamed = run("foam", {"liquid": ["1 l water"], "foamer": kind, "dose": "0.5 %"})
        for answer in (blended, foamed):
            assert ("lecithin-kind-not-told" in {one.id for one in answer.cautions}) is asked, kind
            assert not asked or answer.verdict == "care"
