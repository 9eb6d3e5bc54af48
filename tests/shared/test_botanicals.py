"""Refused plants, citrus fruit and limits: the data, and how names are found in words."""

from __future__ import annotations

import re

import pytest

from prepkit import blocks, jurisdictions, model
from prepkit.errors import UnknownIngredient
from prepkit.pantry import Pantry
from prepkit.registry import run
from prepkit.shared import botanicals

ROWS = list(blocks.blocks("refused.toml", "refused"))
# plants that must be on the list whatever else is, by common name
MUST = [
    "foxglove",
    "oleander",
    "lily of the valley",
    "monkshood",
    "larkspur",
    "datura",
    "brugmansia",
    "deadly nightshade",
    "autumn crocus",
    "yew",
    "hemlock",
    "daffodil",
    "hydrangea",
    "azalea",
    "rhododendron",
    "wisteria",
    "pokeweed",
    "tobacco",
    "calamus",
    "tonka",
    "sassafras root bark",
    "cherry stones",
    "apricot kernels",
    "peach stones",
    "plum stones",
    "elder leaves",
    "elder twigs",
    "elder root",
    "unripe elderberries",
    "castor beans",
    "rhubarb leaves",
    "japanese star anise",
    "pennyroyal",
    "comfrey",
    "coltsfoot",
    "rue",
    "tansy",
    "thuja",
]
FLAGGED = ["wormwood", "borage"]  # fmt: skip


@pytest.mark.parametrize("name", MUST)
@pytest.mark.parametrize("words", ["100 g {}", "a handful of dried {} from the garden", "{} tea"])
def test_refused_whatever_is_written_around_it(name: str, words: str) -> None:
    assert botanicals.refused(words.format(name)) is not None
    assert botanicals.refused(words.format(name).upper()) is not None


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["name"])
def test_every_synonym_is_found_singular_and_plural(row: dict[str, object]) -> None:
    also = row["also"]
    assert isinstance(also, list)
    for name in (str(row["name"]), *map(str, also)):
        plural = name if name.endswith(("s", "x")) else f"{name}s"
        for words in (name, plural, f"50 g of dried {name}"):
            found = botanicals.refused(words)
            assert found is not None, words
    assert model.source_of(str(row["source"])) is not None


def test_nothing_that_the_pantry_sells_is_refused() -> None:
    refused = [name for name in Pantry().names() if botanicals.refused(name)]
    assert sorted(refused) == ["elderberries", "elderberry"]  # unless the words say cooked


@pytest.mark.parametrize(
    "words",
    [
        "elderflower", "dried elder flowers", "elderberry syrup", "sassafras leaves", "saffron",
        "castor sugar", "rhubarb", "star anise", "sage", "nutmeg", "mint", "bay laurel leaf",
        "prune", "salted cherry leaves", "almonds", "cherries", "plum", "peach",
        "rose petals", "wild garlic", "angelica",
    ],
)  # fmt: skip
def test_kin_that_are_food_are_not_refused(words: str) -> None:
    assert botanicals.refused(words) is None


def test_what_is_refused_only_under_some_rules() -> None:
    for words in ("tonka beans", "sweet flag root"):
        assert botanicals.refused(words) is not None  # nobody said whose rules
        assert botanicals.refused(words, "US") is not None
    assert botanicals.refused("tonka beans", "EU") is None
    assert botanicals.refused("sweet flag root", "EU") is not None  # Annex IV A bars it too
    assert botanicals.refused("foxglove", "EU") is not None


def test_facts_of_a_refusal_hold_no_amount() -> None:
    part = botanicals.refused_part("100 g foxglove leaves", "--peel")
    assert part is not None
    assert part.mass_kg == 0.0
    facts = botanicals.refusal([part])
    assert facts["refused_count"] == 1
    assert not re.search(r"[0-9]", facts["refused_plants"])
    assert botanicals.refusal([]) == {}


def test_raw_inputs_keep_what_is_not_refused() -> None:
    said = {"part": ["1 l water", "20 g oleander flowers"], "peel": "300 g lemon peel", "n": 3}
    found = botanicals.spotted(said, ("part", "peel", "absent"))
    assert found["part"][0] == "1 l water"
    assert found["part"][1].ingredient.group == botanicals.REFUSED_GROUP
    assert found["peel"] == "300 g lemon peel"
    assert said["part"][1] == "20 g oleander flowers"


# citrus


def test_citrus_rows_name_peels_and_sources_that_exist() -> None:
    pantry = Pantry()
    for fruit in botanicals.fruits():
        assert pantry.ingredient(fruit.peel).group == "peel"
        assert model.source_of(fruit.oil_source) is not None
        assert 0 < fruit.peel_share <= fruit.refuse
        assert fruit.oil[0] < fruit.oil[1]
        if fruit.strips_kg:
            assert fruit.strips_kg[1] <= fruit.peel_kg * 1.05
        # the pantry's whole fruit weighs the same, by the same table
        piece = 1000 * pantry.part(f"1 {fruit.name}").mass_kg
        assert piece == pytest.approx(1000 * fruit.whole_kg, abs=0.15)


def test_strips_and_zest_are_not_the_whole_peel() -> None:
    lemon = botanicals.fruit("lemon")
    assert lemon is not None
    assert lemon.strips_kg is not None
    assert lemon.zest_kg is not None
    assert lemon.zest_kg[1] < lemon.strips_kg[0] < lemon.peel_kg / 3
    assert botanicals.fruit("banana") is None
    with pytest.raises(UnknownIngredient, match="teaspoon or tablespoon"):
        botanicals.zest_kg("ladle")


# limits


def test_limits_have_unique_ids_and_sources() -> None:
    ids = [row.id for row in jurisdictions.rows()]
    assert len(ids) == len(set(ids))
    for row in jurisdictions.rows():
        assert row.jurisdiction in jurisdictions.JURISDICTIONS
        assert model.source_of(row.source) is not None, row.source
        assert row.obtained in model.OBTAINED
        assert row.value > 0
        assert row.year is None or 1950 <= row.year <= 2030
    assert jurisdictions.find("polysorbate-intake-eu").year == 2015
    with pytest.raises(UnknownIngredient, match="no limit"):
        jurisdictions.find("no-such-limit")


def test_repealed_limits_are_not_there() -> None:
    # Directive 88/388/EEC, repealed in 2011: coumarin 2 and 10 mg/kg, thujone 5 mg/kg in drinks
    drinks = [row for row in jurisdictions.rows() if "drink" in row.product]
    assert not [row for row in drinks if row.substance == "coumarin"]
    assert not [row for row in drinks if row.substance == "thujone" and row.value == 5]


@pytest.mark.parametrize("plant", [*MUST, *FLAGGED])
def test_no_substitute_is_suggested_for_a_plant_on_the_list(plant: str) -> None:
    with pytest.raises(UnknownIngredient, match="is refused") as caught:
        Pantry().part(f"50 g {plant}", "--botanical")
    assert "nearest" not in str(caught.value)


@pytest.mark.parametrize(
    ("calculator", "said"),
    [
        ("infuse", {"liquid": "700 ml spirit 43 %", "botanical": "50 g {}"}),
        ("blend", {"part": ["1 kg water", "50 g {}"]}),
        ("oleo", {"oil": "0.5 g {} oil", "liquid": "500 g syrup 65 Bx"}),
        ("oleo", {"drops": "12 {} oil", "liquid": "500 g syrup 65 Bx"}),
    ],
)  # fmt: skip
@pytest.mark.parametrize(
    ("plant", "caution"),
    [("pennyroyal", "plant-refused"), ("rue", "plant-refused"), ("wormwood", "plant-flagged"),
     ("borage", "plant-flagged")],
)  # fmt: skip
def test_every_calculator_stops_by_name(
    calculator: str, said: dict[str, object], plant: str, caution: str
) -> None:
    words = {
        key: [one.format(plant) for one in value] if isinstance(value, list)
        else str(value).format(plant)
        for key, value in said.items()
    }  # fmt: skip
    answer = run(calculator, words)
    assert answer.verdict == "stop"
    assert not answer.values
    said_of = next(one for one in answer.cautions if one.id == caution)
    assert plant in said_of.text.lower()


def test_wormwood_is_told_its_limits() -> None:
    # Regulation (EC) 1334/2008, Annex III B: thujone 10, 35 and 0.5 mg/kg
    plant = botanicals.refused("wormwood")
    assert plant is not None
    assert plant.flag
    for row in jurisdictions.of("thujone", "EU"):
        assert f"{row.value:g}" in plant.reason


def test_a_house_entry_lifts_a_flag_and_no_refusal() -> None:
    row = {"group": "herb", "form": "solid", "per_100_g": {"water": 80.0, "fibre": 20.0},
           "source": "house", "obtained": "practice"}  # fmt: skip
    house = Pantry(house=({"name": "wormwood", **row}, {"name": "rue", **row}))
    said = {"liquid": "700 ml spirit 43 %", "botanical": "50 g wormwood"}
    assert run("infuse", said, pantry=house).verdict != "stop"
    assert run("infuse", {**said, "botanical": "50 g rue"}, pantry=house).verdict == "stop"
