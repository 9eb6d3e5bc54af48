"""infuse: balance by mass, the band of exchange, what solids keep, refusals, bad input."""

from __future__ import annotations

import json
import math
import shlex
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from science import beside

from prepkit import blocks, model
from prepkit.calculators.infuse import steeping
from prepkit.errors import BadInput, PrepkitError
from prepkit.mixture import Mixture
from prepkit.model import Answer
from prepkit.numbers import written
from prepkit.pantry import Pantry
from prepkit.registry import load, run
from prepkit.science import ethanol, solution
from prepkit.shared import syrup

SPIRIT = "700 ml spirit 43 %"
BERRIES = "300 g strawberries"
PRESSURE = {"infuse-load-not-judged", "infuse-solids-block-the-valve", "infuse-gas-of-the-vent"}


def infuse(*botanical: str, liquid: Any = SPIRIT, **more: Any) -> Answer:
    return run("infuse", {"liquid": liquid, "botanical": list(botanical), **more})


def value(answer: Answer, name: str) -> float:
    return answer.values[name].value


def ids(answer: Answer) -> set[str]:
    return {caution.id for caution in answer.cautions if not caution.standing}


def product(answer: Answer) -> Mixture:
    assert answer.product is not None
    return answer.product


def reach(answer: Answer) -> dict[str, tuple[Any, ...]]:
    table = next(table for table in answer.tables if table.name == "reach")
    return {str(row[0]): row[1:] for row in table.rows}


# the balance


def test_strength_is_that_of_all_water_and_all_ethanol_together() -> None:
    # by hand: 700 ml of 43 % vol hold 700 x 0.43 x 0.78924 g ethanol; density by the formula
    w = ethanol.mass_fraction_from_abv(0.43)
    spirit_g = 0.7 * ethanol.density_kg_m3(w, 20.0)
    berries = Pantry().part(BERRIES).mixture
    juice_g = 1000 * (berries.mass_kg - berries.of("fat", "protein", "fibre"))
    kept_g = 0.5 * 300
    answer = infuse(BERRIES, kept="0.5 g/g")
    assert value(answer, "mass") == pytest.approx(spirit_g + juice_g - kept_g, rel=1e-6)
    share = 700 * 0.43 * 0.78924 / (spirit_g + juice_g)
    assert value(answer, "ethanol") == pytest.approx(share * value(answer, "mass"), rel=1e-4)
    assert value(answer, "ethanol_kept") == pytest.approx(share * kept_g, rel=1e-4)
    assert value(answer, "kept_per_gram") == pytest.approx(0.5)
    assert value(answer, "strength_lost") == pytest.approx(43 - value(answer, "abv"))
    total = value(answer, "ethanol") + value(answer, "ethanol_kept")
    assert total == pytest.approx(700 * 0.43 * 0.78924, rel=1e-4)
    assert value(answer, "poured_lost") == pytest.approx(
        700 * value(answer, "ethanol_kept") / total, rel=1e-9
    )


def test_nearly_all_water_plant_dilutes_as_water_does() -> None:
    # cucumber is 95 % water: strength within 2 % of the same spirit with that water alone
    answer = infuse("200 g cucumber", kept=0.0)
    cucumber = Pantry().part("200 g cucumber").mixture
    water = Pantry().part("1 g water").mixture.of_mass(cucumber.of("water"))
    blend = Pantry().part(SPIRIT).mixture + water
    assert value(answer, "abv") == pytest.approx(100 * blend.abv, rel=0.02)


PLANTS = ["strawberries", "lemon peel", "mint", "cinnamon", "ground coffee", "black tea leaf",
          "dried hibiscus", "walnuts", "gentian root", "pineapple"]  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(
    plants=st.lists(st.tuples(st.sampled_from(PLANTS), st.floats(1, 200)), min_size=1, max_size=3),
    liquid=st.sampled_from(["700 ml spirit 40 %", "1 l water", "700 ml red wine 13 %",
                            "1 kg syrup 50 Bx"]),
    kept=st.floats(0, 0.7),
)  # fmt: skip
def test_nothing_is_made_and_nothing_lost(
    plants: list[tuple[str, float]], liquid: str, kept: float
) -> None:
    words = [f"{written(grams, 'g')} g {name}" for name, grams in plants]
    answer = infuse(*words, liquid=liquid, kept=kept)
    solids = [steeping.solid(Pantry().part(one)) for one in words]
    poured = Pantry().part(liquid).mixture
    all_kg = poured.mass_kg + sum(one.put_in.mass_kg for one in solids)
    kept_kg = kept * sum(one.put_in.mass_kg for one in solids)
    left_kg = sum(one.left_kg for one in solids)
    assert product(answer).mass_kg + kept_kg + left_kg == pytest.approx(all_kg, rel=1e-9)
    juice = Mixture.total(one.juice for one in solids)
    for exchanged in (0.0, 0.3, 1.0):
        split = steeping.strained(poured, juice, kept_kg, exchanged)
        assert split.liquid.mass_kg == pytest.approx(product(answer).mass_kg, rel=1e-9)
        for name in ("water", "ethanol", "sucrose", "caffeine", "citric"):
            whole = poured.of(name) + juice.of(name)
            assert split.liquid.of(name) + split.kept.of(name) == pytest.approx(whole, abs=1e-12)
    if poured.ethanol_kg:
        row = reach(answer)
        strengths = [row[at][3] for at in ("nothing exchanged", "half", "all mixed")]
        assert strengths == pytest.approx(sorted(strengths, reverse=True), rel=1e-12)  # none added


def test_band_goes_from_the_strength_poured_to_full_equilibrium() -> None:
    answer = infuse(BERRIES)
    row = reach(answer)
    assert row["nothing exchanged"][3] == pytest.approx(43.0, abs=0.01)
    assert value(answer, "abv_none") == pytest.approx(row["nothing exchanged"][3])
    assert row["all mixed"][3] == pytest.approx(value(answer, "abv"))
    assert value(answer, "abv") < row["half"][3] < value(answer, "abv_none")
    # how much is kept does not change a liquid that is evenly mixed
    assert row["all mixed, least kept"][3] == pytest.approx(row["all mixed, most kept"][3])
    spread = row["all mixed, least kept"][1] - row["all mixed, most kept"][1]
    assert answer.values["mass"].plus_minus == pytest.approx(spread / 2)
    assert any("full equilibrium" in step.formula for step in answer.working)


def test_scaling_and_other_units() -> None:
    one = infuse(BERRIES, "20 g ground coffee", method="pressure", gas="n2o", drained="250 g")
    two = infuse("600 g strawberries", "40 g ground coffee", liquid="1.4 l spirit 43 %",
                 method="pressure", gas="n2o", drained="0.5 kg")  # fmt: skip
    declared = load("infuse").result.outputs()
    assert set(one.values) == set(two.values)
    for name, shown in one.values.items():
        factor = 2 if declared[name].extensive else 1
        assert two.values[name].value == pytest.approx(factor * shown.value, rel=1e-9), name
    ounces = infuse(f"{300 / 28.349523125!r} oz wt strawberries", liquid="70 cl spirit 86 US proof")
    grams = infuse(BERRIES)
    for name in ("mass", "ethanol", "sugar"):
        assert value(ounces, name) == pytest.approx(value(grams, name), rel=2e-3)


def test_spread_of_what_was_weighed_is_carried() -> None:
    answer = infuse(BERRIES, drained="270 g ± 5 g")
    assert answer.values["mass"].plus_minus == pytest.approx(5.0, rel=1e-6)
    assert "infuse-yield-not-weighed" not in ids(answer)


# what solids keep


@pytest.mark.parametrize(("moisture", "published"), [(0.80, 3.1), (0.85, 4.4)])
def test_drained_tea_keeps_what_was_published(moisture: float, published: float) -> None:
    # OLE-52: 80 to 85 % wet moisture and 22 % extracted: 3.1 to 4.4 g per g dry leaf
    solid = steeping.solid(Pantry().part("100 g black tea leaf"))
    dry_g = 1000 * (solid.put_in.mass_kg - solid.put_in.of("water"))
    left_g = (1 - 0.22) * dry_g
    drained_g = left_g / (1 - moisture)
    share = f"{0.22 * dry_g!r} %"  # of the leaf as weighed, 6 % of it water
    answer = infuse(
        "100 g black tea leaf",
        liquid="5 l water",
        drained=f"{written(drained_g, 'g')} g",
        extraction=share,
    )
    assert value(answer, "kept") / dry_g == pytest.approx(published, abs=0.1)
    assert beside.liquid_kept_per_dry_kg(moisture, 0.22) == pytest.approx(published, abs=0.1)


def test_range_of_tea_holds_what_was_published() -> None:
    # OLE-52, drained and after a screw press
    tea = Pantry().part("100 g black tea leaf")
    drained, pressed = steeping.solid(tea).kept, steeping.solid(tea, pressed=True).kept
    assert drained.low <= 3.1
    assert drained.high == pytest.approx(4.4)
    assert (pressed.low, pressed.high) == (1.2, 1.3)
    assert drained.source == pressed.source == "TEA-RESIDUE"


def test_ranges_agree_with_those_of_straining() -> None:
    # the trade's figures stand in two places; tea has a published upper end here
    fresh = ("lemon peel", "mint")
    for name in ("dried hibiscus", "chamomile", "star anise", "ground coffee", *fresh):
        solid = steeping.solid(Pantry().part(f"10 g {name}"))
        low, high = syrup.kept_range(solid.part)
        own = solid.juice.mass_kg / solid.put_in.mass_kg if name in fresh else 0.0
        assert (solid.kept.low, solid.kept.high) == pytest.approx((low, high + own)), name


def test_every_kind_and_extraction_has_a_known_source() -> None:
    kinds = list(blocks.blocks("absorption.toml", "kind"))
    for row in [*kinds, *blocks.blocks("absorption.toml", "extraction")]:
        assert model.source_of(row["source"]) is not None
    for row in kinds:
        assert 0 < row["kept"][0] < row["kept"][1]
    assert not {"names", "groups"} & set(kinds[-1])  # the last takes whatever is left


def test_every_coffee_and_tea_of_the_pantry_steeps_without_a_reading() -> None:
    """What holds less that can dissolve than the published share gives all of it."""
    pantry = Pantry()
    steeped = []
    for name in pantry.names():
        entry = pantry.entry(name)
        if entry["group"] in steeping.EXTRACTED_GROUPS and entry["form"] != "liquid":
            solid = steeping.solid(pantry.part(f"20 g {name}"))
            assert solid.juice.mass_kg <= solid.put_in.mass_kg
            steeped.append(name)
    assert {"cocoa nibs", "ground coffee", "black tea leaf"} <= set(steeped)


def test_own_weighing_wins_over_the_range() -> None:
    rough, given_, weighed = infuse(BERRIES), infuse(BERRIES, kept="0.3 g/g"), None
    assert value(given_, "kept") == pytest.approx(90)
    assert given_.values["mass"].plus_minus == pytest.approx(0.0, abs=1e-9) or (
        given_.values["mass"].plus_minus is None
    )
    assert value(rough, "kept") == pytest.approx(195)
    assert "infuse-yield-not-weighed" in ids(rough)
    assert "infuse-yield-not-weighed" not in ids(given_)
    left_g = 1000 * steeping.solid(Pantry().part(BERRIES)).left_kg
    weighed = infuse(BERRIES, drained=f"{90 + left_g!r} g")
    assert value(weighed, "mass") == pytest.approx(value(given_, "mass"))


def test_pressing_gives_back_two_thirds() -> None:
    assert value(infuse(BERRIES, pressed=True), "kept") == pytest.approx(195 / 3)


# dried and roasted


def test_water_lost_before_is_left_out() -> None:
    fresh, roasted = infuse(BERRIES, kept=0.3), infuse(BERRIES, kept=0.3, water_lost="20 %")
    assert value(roasted, "plants_put_in") == pytest.approx(240)
    assert value(fresh, "water_from_plants") - value(roasted, "water_from_plants") == (
        pytest.approx(60)
    )
    assert value(roasted, "dissolved") == pytest.approx(value(fresh, "dissolved"))
    assert value(roasted, "abv") > value(fresh, "abv")
    weigh = next(table for table in roasted.tables if table.name == "weigh")
    assert weigh.rows[1][1] == pytest.approx(300)  # what is bought
    assert "infuse-half-dry-fruit-spoils" in ids(roasted) - ids(fresh)


def test_dried_far_enough_it_keeps_as_dried_fruit_does() -> None:
    part = Pantry().part(BERRIES)
    assert steeping.solid(part).kept.kind == "fresh fruit"
    assert steeping.solid(part, water_lost=0.89).kept.kind == "dried fruit"


# coffee and tea


def test_steeped_coffee_reads_what_its_extraction_says() -> None:
    # 21 % of the dose whatever the ratio (published): solids by the immersion formula
    for grams in (30, 60, 120):
        answer = infuse(f"{written(grams, 'g')} g ground coffee", liquid="1 l water", kept="2 g/g")
        liquor = product(answer)
        solids = 1 - liquor.fraction("water")
        dry_water = 0.9982 + 0.025 * grams / 1000  # what was poured and the dose's own 2.5 %
        found = solution.extraction_immersion(solids, dry_water, grams / 1000)
        assert found == pytest.approx(0.21, rel=1e-3)
        assert liquor.of("other_solubles") > 0.5 * solids * liquor.mass_kg
    more = infuse("60 g ground coffee", liquid="1 l water", extraction="18 %")
    assert value(more, "dissolved") == pytest.approx(0.18 * 60)


def test_caffeine_is_counted_whole() -> None:
    answer = infuse("50 g ground coffee", kept=0.0)
    whole = 1e6 * Pantry().part("50 g ground coffee").mixture.of("caffeine")
    assert value(answer, "caffeine") == pytest.approx(whole)
    per_100 = whole / value(answer, "volume") * 100
    assert value(answer, "caffeine_per_100_ml") == pytest.approx(per_100)
    assert {"caffeine-with-alcohol", "infuse-extraction-of-water"} <= ids(answer)
    assert "infuse-extraction-of-water" not in ids(infuse("50 g ground coffee", extraction="20 %"))
    assert "caffeine" not in infuse(BERRIES).values


# refusals


@pytest.mark.parametrize(
    "plant",
    ["tobacco", "oleander flowers", "foxglove", "cherry stones", "crushed apricot kernels",
     "elder twigs", "sassafras root bark", "tonka beans", "calamus root", "daffodils"],
)  # fmt: skip
def test_refused_plants_get_a_stop_and_no_number(plant: str) -> None:
    answer = infuse(f"10 g {plant}")
    assert answer.verdict == "stop"
    assert "plant-refused" in ids(answer)
    assert not answer.values
    assert not answer.tables
    assert answer.product is None


def test_a_refused_plant_among_others_stops_all_of_it() -> None:
    answer = infuse(BERRIES, "1 g yew needles")
    assert answer.verdict == "stop"
    assert not answer.values


def test_tonka_and_calamus_are_refused_where_us_rules_hold() -> None:
    assert infuse("1 g tonka beans", jurisdiction="us").verdict == "stop"
    with pytest.raises(BadInput, match="tonka"):  # not refused, and not in the pantry either
        infuse("1 g tonka beans", jurisdiction="eu")


def test_cinchona_asks_for_an_assay() -> None:
    without = infuse("5 g cinchona bark")
    assert without.verdict == "stop"
    assert "infuse-cinchona-without-assay" in ids(without)
    assert not without.values
    answer = infuse("5 g cinchona bark", alkaloids="6 %", kept=0.0)
    assert answer.verdict == "care"
    # all 0.3 g of alkaloids in what was poured and dissolved
    assert value(answer, "alkaloids") == pytest.approx(3e5 / value(answer, "mass"), rel=1e-6)
    assert value(answer, "dilute_to") == pytest.approx(value(answer, "alkaloids") / 83)
    assert {"infuse-cinchona-over-limit", "quinine-to-declare"} <= ids(answer)
    weak = infuse("0.8 g cinchona bark", alkaloids="6 %", kept=0.0)
    assert value(weak, "alkaloids") < 83
    assert value(weak, "dilute_to") == 1.0
    assert "infuse-cinchona-over-limit" not in ids(weak)


# under gas


def test_pressure_hands_the_load_to_siphon() -> None:
    answer = infuse(BERRIES, method="pressure", gas="n2o")
    assert answer.verdict == "care"
    assert ids(answer) >= PRESSURE | {"infuse-oxidiser-and-spirit"}
    assert value(answer, "fill") == pytest.approx(700 + 300)  # the plants count as fill
    step = next(step for step in answer.working if "siphon" in step.label)
    assert "as the contents" in step.formula
    texts = " ".join(c.text + c.action for c in answer.cautions) + step.formula
    assert "charger per" not in texts  # no number of chargers from here
    assert infuse(BERRIES, gas="n2o").values.keys() == answer.values.keys()
    assert not PRESSURE & ids(infuse(BERRIES))
    assert "fill" not in infuse(BERRIES, method="maceration").values


def test_oxidiser_caution_only_with_alcohol() -> None:
    answer = infuse(BERRIES, liquid="700 ml water", method="pressure", gas="n2o")
    assert "infuse-oxidiser-and-spirit" not in ids(answer)
    assert ids(answer) >= PRESSURE


def test_carbon_dioxide_is_refused_with_the_reason() -> None:
    for method in (None, "pressure", "maceration"):
        answer = infuse(BERRIES, gas="co2", method=method)
        assert answer.verdict == "stop"
        assert not answer.values
        said = next(c for c in answer.cautions if c.id == "infuse-carbonating-gas")
        assert "carbonates" in said.more


def test_pressure_asks_for_its_gas() -> None:
    with pytest.raises(BadInput, match="--gas n2o"):
        infuse(BERRIES, method="pressure")


# fat, little liquor, how sure the strength is


@pytest.mark.parametrize("plant", ["50 g garlic", "20 g rosemary"])
def test_in_oil_nothing_of_one_mixture_is_said(plant: str) -> None:
    answer = infuse(plant, liquid="700 ml olive oil")
    assert set(answer.values) == {"plants_put_in"}
    assert answer.product is None
    assert answer.verdict == "care"
    assert ids(answer) >= {"infuse-liquid-is-fat", "plant-in-oil"}
    assert ("garlic-in-oil" in ids(answer)) == ("garlic" in plant)
    text = " ".join(c.text for c in answer.cautions if not c.standing)
    assert "% vol" not in text
    assert "infuse-liquid-is-fat" not in ids(infuse(plant, liquid="700 ml cream 35 %"))


def test_of_strength_only_where_there_was_some() -> None:
    answer = infuse(BERRIES, liquid="700 ml water")
    assert "infuse-too-weak-to-keep" not in ids(answer)
    assert "infuse-fresh-plants-without-alcohol" in ids(answer)
    table = next(table for table in answer.tables if table.name == "reach")
    assert not {"strength", "ethanol"} & {column.label for column in table.columns}
    assert all(len(row) == len(table.columns) for row in table.rows)
    assert "infuse-fresh-plants-without-alcohol" not in ids(infuse(BERRIES))


def test_strength_claims_no_more_than_the_exchange_knows() -> None:
    answer = infuse(BERRIES)
    for name in ("abv", "strength_lost"):
        assert answer.values[name].plus_minus is None
        assert "at full exchange" in answer.values[name].label


def test_a_small_rest_of_two_large_weights() -> None:
    little = infuse("300 g strawberries", liquid="300 ml spirit 43 %", kept="1.78 g/g")
    assert value(little, "yield_volume") < 20
    assert "infuse-little-runs-off" in ids(little)
    assert little.verdict == "care"
    for name in ("mass", "volume", "yield_volume"):
        assert little.values[name].plus_minus is None
    more = infuse("300 g strawberries", liquid="300 ml spirit 43 %", kept="1.7 g/g")
    assert value(more, "yield_volume") > 20
    assert "infuse-little-runs-off" not in ids(more)


# keeping


def test_diluted_below_what_holds_yeasts_back() -> None:
    weak = infuse("300 g strawberries", liquid="300 ml spirit 30 %")
    assert value(weak, "abv") < 18
    assert "infuse-too-weak-to-keep" in ids(weak)
    assert weak.verdict == "care"
    assert "infuse-too-weak-to-keep" not in ids(infuse(BERRIES))
    dry = infuse("20 g cinnamon", liquid="700 ml red wine 13 %")
    assert "infuse-too-weak-to-keep" not in ids(dry)


def test_mixing_note_only_where_the_band_is_wide() -> None:
    assert "infuse-mixed-is-assumed" in ids(infuse(BERRIES))
    assert "infuse-mixed-is-assumed" not in ids(infuse("5 g cinnamon"))


def test_allergens_and_marks_come_along() -> None:
    assert "nuts:walnut" in product(infuse("100 g walnuts")).allergens
    assert "grapefruit-and-medicines" in ids(infuse("30 g grapefruit peel"))


# words


def test_example_runs_as_written() -> None:
    words = shlex.split(load("infuse").example)[2:]
    said: dict[str, Any] = {"liquid": [], "botanical": []}
    for name, text in zip(words[::2], words[1::2], strict=True):
        said[name.lstrip("-")].append(text)
    assert 25 < run("infuse", said).values["abv"].value < 43


def test_answer_is_finite_json_and_reads_back() -> None:
    answer = infuse(BERRIES, "30 g black tea leaf", method="pressure", gas="n2o", kept="0.4 g/g")
    text = json.dumps(answer.to_dict(), allow_nan=False)
    assert math.isfinite(json.loads(text)["values"]["abv"]["value"])
    again = run("infuse", answer.inputs)
    assert {k: v.value for k, v in again.values.items()} == {
        k: v.value for k, v in answer.values.items()
    }


@pytest.mark.parametrize(
    ("said", "match"),
    [
        ({"botanical": ["300 ml orange juice"]}, "is a liquid"),
        ({"botanical": ["30 g white sugar"]}, "stays in the liquid"),
        ({"botanical": ["3 g instant coffee"]}, "stays in the liquid"),
        ({"botanical": ["300 ml strawberries"]}, "by weight"),
        ({"botanical": ["300 g moonberries"]}, "no ingredient"),
        ({"botanical": ["0 g strawberries"]}, "amounts to 0"),
        ({"botanical": []}, "empty"),
        ({"liquid": ["0 ml spirit 43 %"]}, "amounts to 0"),
        ({"liquid": [SPIRIT, "20 g mint"]}, "as --botanical"),
        ({"liquid": ["100 ml spirit 43 %"], "botanical": ["100 g dried hibiscus"]}, "run off"),
        ({"kept": "21"}, "between 0 and 20"),
        ({"kept": "-0.1 g/g"}, "between 0 and 20"),
        ({"kept": "some"}, "number"),
        ({"kept": "0.3", "drained": "200 g"}, "same thing"),
        ({"drained": "2 g"}, "cannot dissolve"),
        ({"drained": "5 kg"}, "run off"),
        ({"drained": "200 ml"}, "volume"),
        ({"water_lost": "93 %"}, "holds only 90.9 % water"),
        ({"water_lost": "20 g"}, "share"),
        ({"extraction": "20 %"}, "coffee and tea"),
        ({"botanical": ["30 g ground coffee"], "extraction": "44 %"}, "can dissolve"),
        ({"alkaloids": "5 %"}, "no bark"),
        ({"method": "sous vide"}, "maceration"),
        ({"gas": "n2"}, "n2o"),
        ({"gas": "n2o", "method": "maceration"}, "needs no gas"),
        ({"jurisdiction": "mars"}, "strictest"),
        ({"time": "3 d"}, "says nothing"),
    ],
)  # fmt: skip
def test_bad_input_is_said_in_one_sentence(said: dict[str, Any], match: str) -> None:
    with pytest.raises(PrepkitError, match=match) as caught:
        run("infuse", {"liquid": [SPIRIT], "botanical": [BERRIES], **said})
    assert isinstance(caught.value, BadInput)
    assert caught.value.message.endswith((".", "?"))
    assert "\n" not in caught.value.message


def test_missing_inputs_are_asked_for() -> None:
    with pytest.raises(BadInput, match="--botanical"):
        run("infuse", {"liquid": [SPIRIT]})
    with pytest.raises(BadInput, match="--liquid"):
        run("infuse", {"botanical": [BERRIES]})
