"""reduce: balances, published syrups, freezing, alcohol on the heat, cautions, bad input."""

from __future__ import annotations

import json
import math
import shlex
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.calculators.reduce import less_water, most_water_kg, solids_kg
from prepkit.errors import BadInput, PrepkitError
from prepkit.mixture import Mixture
from prepkit.model import Answer
from prepkit.numbers import written
from prepkit.pantry import Pantry
from prepkit.registry import load, run
from prepkit.science import heat, sucrose

JUICE = "1 l orange juice"
ONE_TO_ONE = ["1 kg white sugar", "1 kg water"]
ALCOHOL = {"abv", "ethanol", "volume", "density", "refractometer", "ph", "water_activity"}


def reduce(*liquid: str, **more: Any) -> Answer:
    return run("reduce", {"liquid": list(liquid), **more})


def value(answer: Answer, name: str) -> float:
    return answer.values[name].value


def ids(answer: Answer) -> set[str]:
    return {caution.id for caution in answer.cautions if not caution.standing}


def product(answer: Answer) -> Mixture:
    assert answer.product is not None
    return answer.product


# balances


def test_one_to_one_boiled_to_two_to_one() -> None:
    # SUG-63: 66.67 Bx holds 500 g water per kg sugar, 1.1306 l, 884.5 g/l; SUG-53: 1.087 at 4 C
    answer = reduce(*ONE_TO_ONE, brix=200 / 3)
    assert value(answer, "to_boil_off") == pytest.approx(500, abs=1e-6)
    assert value(answer, "mass") == pytest.approx(1500, abs=1e-6)
    assert value(answer, "volume") == pytest.approx(1130.6, rel=1e-3)
    assert value(answer, "sugar_g_l") == pytest.approx(884.5, rel=1e-3)
    assert value(answer, "refractometer") == pytest.approx(66.67, abs=0.1)
    assert value(answer, "supersaturation_fridge") == pytest.approx(1.087, abs=0.02)
    assert value(answer, "left_share") == pytest.approx(75)


TARGETS = st.sampled_from(["brix", "mass", "volume"])
LIQUIDS = ["orange juice", "lemon juice", "whole milk", "syrup 30 Bx", "filter coffee"]


@settings(max_examples=50, deadline=None)
@given(
    name=st.sampled_from(LIQUIDS),
    target=TARGETS,
    share=st.floats(0.2, 0.9),
    method=st.sampled_from(["boil", "freeze"]),
)
def test_only_water_goes_and_the_target_is_met(
    name: str, target: str, share: float, method: str
) -> None:
    start = Pantry().part(f"1 kg {name}").mixture
    most = most_water_kg(start, freeze=True)
    aim = less_water(start, share * most).product
    wanted = {
        "brix": f"{100 * aim.dissolved_solids!r} Bx",
        "mass": f"{1000 * aim.mass_kg!r} g",
        "volume": f"{1e6 * aim.volume_20_m3!r} ml",
    }[target]
    answer = reduce(f"1 kg {name}", method=method, **{target: wanted})
    made = product(answer)
    gone = value(answer, "to_boil_off" if method == "boil" else "to_freeze_off") / 1000
    assert made.mass_kg + gone == pytest.approx(1.0, rel=1e-9)
    assert gone == pytest.approx(share * most, rel=1e-6)
    for component, kg in start.masses_kg.items():
        if component != "water":
            assert made.of(component) == pytest.approx(kg, rel=1e-12)
    # water put back gives the start again
    back = made + Mixture({"water": gone})
    assert back.dissolved_solids == pytest.approx(start.dissolved_solids, rel=1e-9)
    assert made.acidity_as_citric >= start.acidity_as_citric


def test_acid_stays_and_concentrates() -> None:
    answer = reduce("1 kg lemon juice", mass="500 g")
    assert value(answer, "acidity") == pytest.approx(2 * value(answer, "acidity_before"), rel=0.02)
    assert value(answer, "acidity_g_l") > 10 * value(answer, "acidity")
    assert "reduce-sharper" in ids(answer)
    assert "reduce-sharper" not in ids(reduce("1 kg lemon juice", mass="800 g"))


def test_way_leads_from_start_to_end() -> None:
    answer = reduce(JUICE, brix="45")
    way = next(table for table in answer.tables if table.name == "way")
    left = [row[1] for row in way.rows]
    solids = [row[3] for row in way.rows]
    assert left == sorted(left, reverse=True)
    assert solids == sorted(solids)
    assert left[-1] == pytest.approx(value(answer, "mass"))
    assert solids[-1] == pytest.approx(45)
    assert left[0] == pytest.approx(1000 * Pantry().part(JUICE).mass_kg)


def test_scaling_and_other_units() -> None:
    one = reduce(JUICE, volume="400 ml", method="freeze", ice_brix="2")
    two = reduce("2 l orange juice", volume="0.8 l", method="freeze", ice_brix="2")
    declared = load("reduce").result.outputs()
    assert set(one.values) == set(two.values)
    for name, shown in one.values.items():
        factor = 2 if declared[name].extensive else 1
        assert two.values[name].value == pytest.approx(factor * shown.value, rel=1e-6), name
    grams = reduce("1 kg orange juice", mass="400 g")
    ounces = reduce(f"{1000 / 453.59237!r} lb orange juice", mass=f"{400 / 28.349523125!r} oz")
    for name in ("to_boil_off", "dissolved_solids", "density"):
        assert value(ounces, name) == pytest.approx(value(grams, name), rel=1e-9)


def test_spread_of_the_target_is_carried() -> None:
    answer = reduce("1 kg orange juice", mass="400 g ± 10 g")
    assert answer.values["to_boil_off"].plus_minus == pytest.approx(10)


# freezing


def test_where_ice_ends_is_the_published_freezing_point() -> None:
    # SPH-047: 20 % sucrose freezes at -1.47 C; SPH-046: 40 % ethanol by mass at -29.26 C
    syrup = reduce("100 g white sugar", "900 g water", method="freeze", brix="20")
    assert value(syrup, "freezing_point") == pytest.approx(-1.47, abs=0.03)
    spirit = Pantry().part("1 kg spirit 30 %").mixture
    target_g = 1000 * spirit.ethanol_kg / 0.40
    frozen = reduce("1 kg spirit 30 %", method="freeze", mass=f"{written(target_g, 'g')} g")
    assert value(frozen, "freezing_point") == pytest.approx(-29.26, abs=0.3)
    assert value(frozen, "ethanol") == pytest.approx(1000 * spirit.ethanol_kg)
    assert "reduce-freezer-not-cold-enough" in ids(frozen)
    cold = reduce(
        "1 kg spirit 30 %", method="freeze", mass=f"{written(target_g, 'g')} g", freezer="-40 C"
    )
    assert "reduce-freezer-not-cold-enough" not in ids(cold)
    assert cold.verdict == "care"  # the law on concentrating alcohol


def test_ice_that_holds_some_back_is_balanced() -> None:
    plain = reduce(JUICE, method="freeze", brix="30")
    answer = reduce(JUICE, method="freeze", brix="30", ice_brix="3")
    start = Pantry().part(JUICE).mixture
    total = value(answer, "mass") + value(answer, "to_freeze_off")
    assert total == pytest.approx(1000 * start.mass_kg)
    # by hand: ice that melts to 3 Bx and a liquid of 30 Bx hold all that was dissolved
    made, lost = product(answer), value(answer, "lost_in_ice") / 1000
    clinging = lost * made.solution_kg / made.mass_kg  # without pulp
    ice_liquid = value(answer, "to_freeze_off") / 1000 - (lost - clinging)
    assert 0.30 * clinging == pytest.approx(0.03 * ice_liquid)
    assert 0.30 * made.solution_kg + 0.03 * ice_liquid == pytest.approx(solids_kg(start))
    assert value(answer, "mass") < value(plain, "mass")
    assert "lost_in_ice" not in plain.values
    assert "reduce-ice-keeps-some" in ids(plain) - ids(answer)


def test_freezing_alcohol_is_no_distilling_and_a_matter_of_law() -> None:
    answer = reduce("1 l red wine 13 %", method="freeze", volume="500 ml")
    assert value(answer, "abv") == pytest.approx(26.0, abs=0.01)  # all alcohol in half the volume
    assert answer.verdict == "care"
    said = next(c for c in answer.cautions if c.id == "reduce-freezing-alcohol")
    assert "not distilling" in said.more
    assert "authority" in said.action
    assert "reduce-freezing-alcohol" not in ids(reduce(JUICE, method="freeze", brix="20"))


# alcohol on the heat


@pytest.mark.parametrize("target", [{"brix": "20"}, {"mass": "200 g"}])
def test_no_figure_hangs_on_the_alcohol_that_is_left(target: dict[str, str]) -> None:
    answer = reduce("1 l red wine 13 %", **target)
    assert not ALCOHOL & set(answer.values)
    assert answer.product is None
    assert answer.verdict == "care"
    assert {"reduce-alcohol-vapour", "reduce-alcohol-left-unknown", "allergens-to-declare"} <= ids(
        answer
    )
    start = Pantry().part("1 l red wine 13 %").mixture
    assert value(answer, "mass") + value(answer, "to_leave") == pytest.approx(1000 * start.mass_kg)
    solids_g = value(answer, "dissolved_solids") / 100 * value(answer, "mass")
    assert solids_g == pytest.approx(1000 * solids_kg(start), rel=0.01)


def test_published_retention_is_given_with_its_source() -> None:
    # USDA retention factors: simmered 15 min 40 %, 2.5 h 5 %; SPH-068: flamed 75 %
    answer = reduce("1 l red wine 13 %", brix="20")
    table = next(table for table in answer.tables if table.name == "retained")
    shares = {str(row[0]): row[1] for row in table.rows}
    assert shares["flamed"] == pytest.approx(75)
    assert shares["simmered 15 min"] == pytest.approx(40)
    assert shares["simmered 2.5 h"] == pytest.approx(5)
    assert len(shares) == len(heat.RETAINED)
    assert "USDA-RETENTION-6" in {source.key for source in answer.sources}


def test_spirit_on_the_stove_is_a_stop_without_numbers() -> None:
    answer = reduce("1 l spirit 40 %", mass="300 g")
    assert answer.verdict == "stop"
    assert not answer.values
    assert not answer.tables
    just_below = reduce("1 l spirit 29.9 %", "20 g white sugar", mass="300 g")
    assert just_below.verdict == "care"
    assert "reduce-spirit-on-the-stove" not in ids(just_below)


@settings(max_examples=25, deadline=None)
@given(low=st.floats(15, 60), more=st.floats(0, 30))
def test_stronger_is_never_milder(low: float, more: float) -> None:
    def verdict(abv: float) -> int:
        words = [f"700 ml spirit {abv:.1f} %", "50 g white sugar"]
        return ("clear", "care", "stop").index(reduce(*words, mass="400 g").verdict)

    assert verdict(low) <= verdict(low + more)


# sugar on the heat


def test_acid_splits_sugar_on_the_heat() -> None:
    # SUG-91: pH 2.5, 10 min at 90 C: 46 % within 5
    answer = reduce(*ONE_TO_ONE, brix="55", time="10 min", heat="90 C", measured_ph=2.5)
    assert value(answer, "inverted") == pytest.approx(46, abs=5)
    assert value(answer, "inverted_most") > value(answer, "inverted")
    assert sucrose.RANGE_FACTOR == 2.0
    assert "reduce-sugar-inverts-on-the-heat" in ids(answer)
    mild = reduce(*ONE_TO_ONE, brix="55", time="1 min", heat="90 C", measured_ph=4.5)
    assert "reduce-sugar-inverts-on-the-heat" not in ids(mild)
    unknown = reduce(*ONE_TO_ONE, brix="55", time="10 min")
    assert "inverted" not in unknown.values
    assert any("split by acid" in step.label for step in unknown.working)


@pytest.mark.parametrize(
    ("brix", "wanted", "unwanted"),
    [
        ("64.5", {"syrup-crystals-may-start"}, {"syrup-crystals-in-the-fridge"}),
        ("66.7", {"syrup-crystals-in-the-fridge"}, {"syrup-beyond-saturation"}),
        ("74", {"syrup-beyond-saturation"}, {"reduce-sugar-catches"}),
        ("76", {"reduce-sugar-catches"}, {"reduce-boiling-does-not-keep-it"}),
    ],
)
def test_richer_and_richer(brix: str, wanted: set[str], unwanted: set[str]) -> None:
    found = ids(reduce(*ONE_TO_ONE, brix=brix))
    assert wanted <= found
    assert not unwanted & found
    assert "reduce-boiling-scalds" in found


def test_fruit_sugar_makes_crystals_an_estimate() -> None:
    liquid = ["900 g white sugar", "60 g honey", "500 g water"]
    assert "syrup-crystals-are-an-estimate" in ids(reduce(*liquid, brix="68"))
    assert "syrup-crystals-are-an-estimate" not in ids(reduce(*ONE_TO_ONE, brix="68"))


def test_milk_and_pulp_catch_on_the_heat_only() -> None:
    assert "reduce-milk-and-egg-catch" in ids(reduce("1 l milk", volume="500 ml"))
    cold = ids(reduce("1 l milk", volume="500 ml", method="freeze"))
    assert "reduce-milk-and-egg-catch" not in cold
    assert "reduce-boiling-scalds" not in cold
    mango = ["500 g mango", "500 g water"]
    with pytest.raises(BadInput, match="strain it off"):
        reduce(*mango, mass="500 g")
    assert "reduce-pulp-catches" in ids(reduce("1 kg tomato juice", mass="500 g"))


def test_boiled_juice_is_no_longer_called_raw() -> None:
    assert "juice-not-heated" not in ids(reduce(JUICE, brix="45"))
    assert "juice-not-heated" in ids(reduce(JUICE, brix="45", method="freeze"))


def test_not_acid_enough_is_said() -> None:
    said = {"liquid": ["1 l filter coffee", "300 g white sugar"], "brix": "40"}
    answer = run("reduce", said)
    assert value(answer, "ph") > 4.6
    assert "reduce-not-acid-enough" in ids(answer)
    sour = run("reduce", {**said, "liquid": [*said["liquid"], "10 g citric acid"]})
    assert value(sour, "ph") < 4.6
    assert "reduce-not-acid-enough" not in ids(sour)


# words


def test_refused_plants_get_a_stop_and_no_number() -> None:
    answer = reduce("1 l oleander tea", mass="500 g")
    assert answer.verdict == "stop"
    assert not answer.values


def test_example_runs_as_written() -> None:
    words = shlex.split(load("reduce").example)[2:]
    said: dict[str, Any] = {"liquid": []}
    for name, text in zip(words[::2], words[1::2], strict=True):
        if name == "--liquid":
            said["liquid"].append(text)
        else:
            said[name.lstrip("-")] = text
    assert run("reduce", said).values["dissolved_solids"].value == pytest.approx(45.0)


@pytest.mark.parametrize(
    "said",
    [{"brix": "45"}, {"volume": "300 ml", "method": "freeze", "ice_brix": "2"}, {"mass": "300 g"}],
)
def test_answer_is_finite_json_and_reads_back(said: dict[str, Any]) -> None:
    answer = reduce(JUICE, **said)
    text = json.dumps(answer.to_dict(), allow_nan=False)
    assert math.isfinite(json.loads(text)["values"]["mass"]["value"])
    again = run("reduce", answer.inputs)
    assert {k: v.value for k, v in again.values.items()} == {
        k: v.value for k, v in answer.values.items()
    }


@pytest.mark.parametrize(
    ("said", "match"),
    [
        ({}, "none is given"),
        ({"brix": "45", "mass": "300 g"}, "--brix and --mass"),
        ({"brix": "5"}, "already"),
        ({"brix": "86"}, "no syrup is richer"),
        ({"brix": "0"}, "more than 0"),
        ({"mass": "1.2 kg"}, "must be less"),
        ({"volume": "1 l"}, "must be less"),
        ({"mass": "50 g"}, "cannot be reached"),
        ({"volume": "20 ml"}, "cannot be reached"),
        ({"mass": "300"}, "no unit"),
        ({"mass": "300 ml"}, "volume"),
        ({"brix": "64", "method": "freeze"}, "62.5 % solids"),
        ({"brix": "30", "method": "freeze", "ice_brix": "12"}, "no weaker"),
        ({"mass": "100 g", "method": "freeze", "ice_brix": "3"}, "cannot be reached"),
        ({"brix": "45", "ice_brix": "3"}, "method freeze"),
        ({"brix": "30", "method": "freeze", "time": "10 min"}, "on the heat"),
        ({"brix": "45", "heat": "120 C"}, "published rate"),
        ({"brix": "45", "method": "vacuum"}, "boil"),
        ({"brix": "45", "freezer": "5 C"}, "freezer"),
        ({"liquid": ["1 l red wine 13 %"], "volume": "300 ml"}, "alcohol that boils off"),
        ({"liquid": ["1 l red wine 13 %"], "mass": "20 g"}, "all solids"),
        ({"liquid": ["1 l spirit 20 %"], "brix": "10"}, "nothing is dissolved"),
        ({"liquid": ["1 l water"], "brix": "10"}, "nothing is dissolved"),
        ({"liquid": ["1 kg white sugar"], "mass": "300 g"}, "no water"),
        ({"liquid": [JUICE, "20 g mint"], "mass": "300 g"}, "strain it off"),
        ({"liquid": ["0 l water"], "mass": "300 g"}, "amounts to 0"),
        ({"liquid": ["1 l moon juice"], "mass": "300 g"}, "no ingredient"),
        ({"brix": "45", "abv": "5"}, "takes no --abv"),
    ],
)
def test_bad_input_is_said_in_one_sentence(said: dict[str, Any], match: str) -> None:
    with pytest.raises(PrepkitError, match=match) as caught:
        run("reduce", {"liquid": [JUICE], **said})
    assert isinstance(caught.value, BadInput)
    assert caught.value.message.endswith((".", "?"))
    assert "\n" not in caught.value.message
