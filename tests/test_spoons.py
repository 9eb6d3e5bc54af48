"""Spoons of what is dry, counts in words, and the fruit that a part is said of."""

from __future__ import annotations

import pytest

from prepkit.calculators.room.release import Released
from prepkit.errors import BadInput, BadQuantity
from prepkit.numbers import in_figures
from prepkit.pantry import Pantry
from prepkit.registry import run, validate

PANTRY = Pantry()
# level spoons of the national nutrient database, release 28, by its row
SR28 = [
    ("ground nutmeg", "tsp", 2.2), ("cinnamon", "tsp", 2.6), ("cardamom", "tsp", 2.0),
    ("allspice", "tsp", 1.9), ("coriander seed", "tbsp", 5.0), ("saffron", "tsp", 0.7),
    ("salt", "tsp", 6.0), ("salt", "tbsp", 18.0), ("icing sugar", "tsp", 2.5),
    ("cocoa powder", "tbsp", 5.4), ("white sugar", "tsp", 4.2), ("lemon peel", "tbsp", 6.0),
]  # fmt: skip


@pytest.mark.parametrize(("name", "spoon", "grams"), SR28)
def test_a_spoon_weighs_what_is_published(name: str, spoon: str, grams: float) -> None:
    for words in (f"1 {spoon} {name}", f"2 US {spoon}s of {name}", f"half a {spoon} {name}"):
        part = PANTRY.part(words)
        times = {"1": 1.0, "2": 2.0, "h": 0.5}[words[0]]
        assert 1000 * part.mass_kg == pytest.approx(times * grams)
        assert part.amount.plus_minus >= 0.24 * part.amount
        again = part.scaled(3.0)
        assert PANTRY.part(again.words).mass_kg == pytest.approx(3 * part.mass_kg, rel=1e-6)


def test_a_tablespoon_is_three_teaspoons() -> None:
    assert 1000 * PANTRY.part("1 tablespoon ground nutmeg").mass_kg == pytest.approx(6.6)


@pytest.mark.parametrize("words", ["1 tsp nutmeg", "1 teaspoon of grated nutmeg", "a tsp nutmeg"])
def test_nutmeg_by_the_spoon_in_one_glass_stops(words: str) -> None:
    got = run("serve", {"part": ["60 ml rum 40 %", words]})
    assert got.verdict == "stop"
    assert "nutmeg" in next(one.text for one in got.cautions if one.severity == "stop")


@pytest.mark.parametrize("words", ["1 tsp mace", "2 tbsp dried hibiscus", "1 tsp tartaric acid"])
def test_a_spoon_without_a_weight_is_asked_by_weight(words: str) -> None:
    with pytest.raises(BadInput, match="give it by weight, in g"):
        PANTRY.part(words)


def test_a_spoon_of_a_liquid_is_still_asked_which() -> None:
    with pytest.raises(BadQuantity, match="not the same everywhere"):
        PANTRY.part("1 tsp lemon juice")


LOAD = {
    "contents": "250 ml cream 35 %", "vessel_volume": "1 l", "gas": "n2o", "rated": "17 bar",
    "temperature": "5 C",
}  # fmt: skip


@pytest.mark.parametrize(("word", "count"), [("two", 2), ("Twelve", 12), ("one", 1)])
def test_counts_are_read_in_words(word: str, count: int) -> None:
    assert Released.read(f"{word} n2o chargers").amount == pytest.approx(0.008 * count)
    inputs = validate("siphon", {**LOAD, "chargers": word})
    assert dict(vars(inputs))["chargers"] == count


def test_cylinders_are_counted_in_words_and_tonic_is_no_ten() -> None:
    assert Released.read("two co2 cylinders of 10 kg").amount == pytest.approx(20)
    assert in_figures("tonic water") == "tonic water"


@pytest.mark.parametrize("wrong", ["thirteen", "a", "two and a bit"])
def test_other_words_for_a_count_are_refused(wrong: str) -> None:
    with pytest.raises(BadInput):
        run("siphon", {**LOAD, "chargers": wrong})


@pytest.mark.parametrize(
    ("said", "place"), [("van", "van"), ("the walk-in", "cold room"), ("Basement", "cellar")]
)
def test_a_place_given_as_the_volume_is_told_where_it_goes(said: str, place: str) -> None:
    with pytest.raises(BadInput, match=f'kind of room.*"{place}".*net volume in m3'):
        run("room", {"volume": said, "release": ["8 kg co2"]})


@pytest.mark.parametrize("part", ["zest", "juice", "peel"])
def test_a_part_is_of_both_fruits_that_are_joined(part: str) -> None:
    try:
        apart = PANTRY.parts(f"{part} of 12 lemons") + PANTRY.parts(f"{part} of 6 limes")
    except BadQuantity:
        with pytest.raises(BadQuantity):
            PANTRY.parts(f"{part} of 12 lemons and 6 limes")
        return
    joined = PANTRY.parts(f"{part} of 12 lemons and 6 limes")
    assert [one.mass_kg for one in joined] == [one.mass_kg for one in apart]
    assert [one.name for one in joined] == [one.name for one in apart]


def test_after_a_comma_a_fruit_is_asked_whether_it_is_whole() -> None:
    with pytest.raises(BadQuantity, match="zest too, or whole"):
        PANTRY.parts("zest of 12 lemons, 6 limes")
    whole = PANTRY.parts("zest of 12 lemons and 6 whole limes")[1]
    assert whole.name == "lime"
    egg = PANTRY.parts("juice of 2 lemons and 2 egg whites")[1]
    assert egg.name == "egg white"


def test_a_brine_is_a_stock_and_a_serve_of_it_is_a_stop() -> None:
    brine = {"part": ["800 g water", "200 g salt"]}
    got = run("blend", brine)
    assert got.verdict == "care"
    assert "brine-is-a-stock" in {one.id for one in got.cautions}
    for calculator in ("blend", "serve"):
        each = run(calculator, {**brine, "serves": 10})  # 20 g in one serve
        assert each.verdict == "stop"
        assert "serve-salt-of-a-day" in {one.id for one in each.cautions}
    seasoned = run("blend", {"part": ["1 l water", "5 g salt"], "serves": 10})
    assert not {one.id for one in seasoned.cautions} & {"brine-is-a-stock", "serve-salt-of-a-day"}
