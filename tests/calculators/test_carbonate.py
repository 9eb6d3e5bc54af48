"""carbonate: setting, bound, refusals, gas named, glass, line, room."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit import mixture
from prepkit.errors import BadInput
from prepkit.registry import run

KEG: dict[str, Any] = {
    "contents": "18 l water", "into": "keg", "temperature": "4 C", "rated": "9 bar",
    "line_rated": "9 bar", "regulator_rated": "8 bar", "warmest": "20 C", "headspace": "5 %",
    "cylinder": "6.35 kg", "room_volume": "400 m3",
}  # fmt: skip
WORSE = {"clear": 0, "care": 1, "stop": 2}


def keg(**more: Any) -> Any:
    said = {**KEG, **({} if "pressure" in more else {"volumes": 3}), **more}
    return run("carbonate", {name: value for name, value in said.items() if value is not None})


def value(answer: Any, name: str) -> float:
    return float(answer.values[name].value)


def ids(answer: Any) -> set[str]:
    return {one.id for one in answer.cautions}


def test_volumes_and_pressure_are_one_another() -> None:
    by_volumes = keg(volumes=3.2)
    again = keg(pressure=f"{value(by_volumes, 'set_pressure'):.6f} bar")
    assert value(again, "volumes") == pytest.approx(3.2, rel=1e-3)
    assert value(by_volumes, "co2") == pytest.approx(3.2 * 1.977, rel=1e-3)
    assert value(by_volumes, "co2_mass") == pytest.approx(18 * 3.2 * 1.977, rel=3e-3)


def test_the_gas_travels_with_the_product() -> None:
    product = keg().product
    assert mixture.GASSY in product.tags
    assert product.mass_kg == pytest.approx(18 * 0.9982, rel=1e-3)
    with_tonic = run("siphon", {"contents": "500 ml tonic water", "gas": "co2", "chargers": 1,
                                "temperature": "5 C"})  # fmt: skip
    assert "siphon-already-gassy" in ids(with_tonic)


@given(step=st.sampled_from(["volumes", "warmest", "temperature", "rated", "first", "spirit"]),
       small=st.floats(0.0, 1.0), more=st.floats(0.01, 1.0))  # fmt: skip
@settings(max_examples=40, deadline=None)
def test_nothing_worse_looks_milder(step: str, small: float, more: float) -> None:
    ends = {
        "volumes": (2.0, 5.0), "warmest": (5.0, 60.0), "temperature": (0.0, 30.0),
        "rated": (20.0, 2.0), "first": (1.0, 8.0), "spirit": (0.0, 0.0),
    }[step]  # fmt: skip
    high = min(1.0, small + more)
    found = []
    for share in (small, high):
        at = ends[0] + share * (ends[1] - ends[0])
        extra = {
            "volumes": {"volumes": at}, "warmest": {"warmest": f"{at:.3f} C"},
            "temperature": {"pressure": "1.5 bar", "temperature": f"{30.0 - at:.3f} C",
                            "warmest": "40 C"},
            "rated": {"rated": f"{at:.3f} bar"},
            "first": {"how": "high-then-low", "first_pressure": f"{at:.3f} bar"},
            "spirit": {"contents": f"10 l water, {share:.4f} l spirit 40 %"},
        }[step]  # fmt: skip
        found.append(keg(**extra))
    assert WORSE[found[0].verdict] <= WORSE[found[1].verdict]
    facts = [one.result.facts for one in found]
    if step in ("volumes", "warmest", "temperature", "first"):
        assert facts[0]["bound_bar"] <= facts[1]["bound_bar"] * (1 + 1e-9)


@given(at_c=st.floats(0.0, 30.0), volumes=st.floats(2.0, 4.5), share=st.floats(0.3, 1.0),
       warmer=st.floats(0.0, 30.0))  # fmt: skip
@settings(max_examples=30, deadline=None)
def test_the_bound_is_above_all_it_is_set_to(
    at_c: float, volumes: float, share: float, warmer: float
) -> None:
    try:  # a mixture may need more than a drink's regulator gives
        found = keg(temperature=f"{at_c:.2f} C", volumes=volumes, gas=f"{100 * share:.1f} % co2",
                    warmest=f"{at_c + warmer + 0.01:.2f} C", rated="40 bar", line_rated="40 bar",
                    regulator_rated="40 bar")  # fmt: skip
    except BadInput:
        assert share < 0.7
        return
    facts = found.result.facts
    assert facts["bound_bar"] >= facts["set_bar"]


@pytest.mark.parametrize(
    ("change", "caution"),
    [
        ({"rated": None}, "siphon-keg-part-missing"),
        ({"line_rated": None}, "siphon-keg-part-missing"),
        ({"regulator_rated": None}, "siphon-keg-part-missing"),
        ({"into": "glass-bottle", "rated": None}, "siphon-keg-part-missing"),
        ({"into": "other-bottle"}, "carbonate-other-bottle"),
        ({"how": "priming"}, "carbonate-priming"),
        ({"how": "dry-ice"}, "carbonate-dry-ice"),
        ({"how": "powder"}, "carbonate-powder"),
        ({"contents": "18 l tonic water"}, "siphon-already-gassy"),
        ({"contents": "18 l water, 100 g baking soda"}, "siphon-carbonate"),
        ({"volumes": 5.5, "warmest": "40 C"}, "carbonate-bound-over-rating"),
        (
            {"into": "plastic-bottle", "rated": "8 bar", "warmest": "30 C"},
            "carbonate-bottle-over-half",
        ),
        ({"headspace": "0.2 %"}, "carbonate-filled-by-warmth"),
        (
            {"into": "glass-bottle", "headspace": None, "warmest": "5 C"},
            "carbonate-bottle-headspace-missing",
        ),
        ({"contents": "18 l cold brew coffee"}, "carbonate-low-acid-warm"),
        ({"contents": "18 l carrot juice"}, "carbonate-low-acid-warm"),
        ({"volumes": 0.5}, "carbonate-flat"),
        ({"room_volume": "20 m3"}, "siphon-room-too-small"),
        ({"regulator_rated": "0.9 bar"}, "siphon-regulator-over-rating"),
    ],
)
def test_stops_have_no_number_to_go_ahead_with(change: dict[str, Any], caution: str) -> None:
    found = keg(**change)
    assert found.verdict == "stop"
    assert caution in ids(found)
    assert set(found.values) <= {"bound", "margin"}
    if "bound" in found.values:
        assert value(found, "margin") < 0.0
    for way in found.result.ways_out:
        assert way.verdict != "stop"


@pytest.mark.parametrize(
    ("change", "caution"),
    [
        ({"warmest": None}, "carbonate-warmest-missing"),
        ({"headspace": None}, "carbonate-headspace-missing"),
        ({"cylinder": None}, "carbonate-cylinder-missing"),
        ({"room_volume": None}, "carbonate-room-missing"),
        ({"how": "shake"}, "carbonate-shaken"),
        ({"how": "high-then-low", "first_pressure": "2 bar"}, "carbonate-high-first"),
        ({"rated": "6 bar"}, "carbonate-keg-over-half"),
        ({"regulator_rated": "2 bar"}, "carbonate-bound-over-regulator"),
        ({"contents": "16 l water, 2 kg white sugar"}, "carbonate-can-ferment"),
        ({"contents": "17 l water, 1 l whole milk", "warmest": "5 C"}, "carbonate-fat"),
        ({"contents": "17 l water, 40 g olive oil", "warmest": "5 C"}, "carbonate-fat"),
        ({"contents": "8 l water, 10 l hazelnut drink", "warmest": "5 C"}, "carbonate-plant-fat"),
        ({"contents": "17 l water, 1 l lemon juice"}, "carbonate-pulp"),
        ({"bore": "6 mm", "lift": "25 m"}, "carbonate-line-not-balanced"),
    ],
)
def test_cares(change: dict[str, Any], caution: str) -> None:
    found = keg(**change)
    assert found.verdict == "care"
    assert caution in ids(found)


def test_the_fat_of_juice_is_not_called_milk_or_oil() -> None:
    for juice in ("lemon juice", "orange juice", "apple juice", "cola"):  # 0.1 to 0.4 % of its own
        found = ids(keg(contents=f"10 l water, 8 l {juice}"))
        assert not {"carbonate-fat", "carbonate-plant-fat"} & set(found), juice


def test_a_missing_warmest_is_judged_as_warm_as_a_hot_place() -> None:
    bare, hot = keg(warmest=None), keg(warmest="40 C")
    assert bare.result.facts["bound_bar"] == hot.result.facts["bound_bar"]
    assert WORSE[bare.verdict] >= WORSE[hot.verdict]


def test_two_numbers_are_asked_back_and_never_guessed() -> None:
    for words in ("70/30", "75/25", "60:40", "25/75 n2", "70 % / 30 %", "70-30"):
        with pytest.raises(BadInput, match="which of the two is carbon dioxide"):
            keg(gas=words)
    for words in ("n2o", "helium", "argon", "air", "", "120 % co2", "70 %", "0 % co2",
                  "60 % co2, 50 % n2", "co2, n2"):  # fmt: skip
        with pytest.raises(BadInput):
            keg(gas=words)
    same = {round(value(keg(gas=words), "set_pressure"), 9)
            for words in ("70 % co2", "30 % n2", "co2 70 %", "70 % co2, 30 % nitrogen",
                          "30 % N₂ + 70 % CO₂", "70 % carbon dioxide")}  # fmt: skip
    assert len(same) == 1
    pure = keg()
    total = value(pure, "set_pressure") + 1.01325
    assert same.pop() + 1.01325 == pytest.approx(total / 0.7, rel=1e-4)


def test_acid_of_the_gas() -> None:
    water, sour = keg(), keg(contents="18 l water, 100 g citric acid")
    assert 3.5 < value(water, "ph") < 3.75
    assert "ph_still" not in water.values
    assert value(sour, "ph_still") - 0.05 < value(sour, "ph") <= value(sour, "ph_still")
    assert value(water, "titration_adds") == pytest.approx(0.1335 * 6.404, rel=0.02)
    assert keg(volumes=4).values["ph"].value < value(water, "ph")


def test_pouring_keeps_what_open_gas_holds() -> None:
    found = keg()
    assert value(found, "left") < value(found, "left_wall") < value(found, "co2")
    assert value(found, "left_ten") < value(found, "left")
    flat = keg(volumes=1.75, temperature="0 C")
    assert value(flat, "left") == pytest.approx(value(flat, "co2"), rel=0.05)


def test_a_reading_at_rest_says_how_far_it_is() -> None:
    found = keg(read_pressure="0.5 bar")
    assert 0 < value(found, "reached") < 100
    at_set = keg(read_pressure=f"{value(found, 'set_pressure'):.6f} bar")
    assert value(at_set, "reached") == pytest.approx(100, abs=0.1)
    own = keg(own_time="36 h")
    assert value(own, "own_days") == pytest.approx(1.5)
    assert "days_low" not in own.values
    assert "carbonate-time-not-known" not in ids(own)


def test_the_line_balances() -> None:
    found = keg(bore="4.8 mm", lift="1 m", pressure="1 bar")
    for length, drop in (("line_low", "drop_high"), ("line_high", "drop_low")):
        taken = value(found, length) * value(found, drop) + value(found, "lift_pressure")
        assert taken == pytest.approx(1.0)
    assert value(found, "line_high") > value(found, "line_low")


def test_the_sentence_has_the_setting_only_where_it_may_be_set() -> None:
    assert keg().result.deciding.startswith("Set 1.10 bar: up to")
    changes: tuple[dict[str, Any], ...] = (
        {"warmest": "60 C", "volumes": 5}, {"how": "priming"}, {"headspace": "0.2 %"},
        {"into": "plastic-bottle", "rated": "8 bar", "warmest": "30 C"},
        {"contents": "18 l water, 100 g baking soda"},
    )  # fmt: skip
    for change in changes:
        found = keg(**change)
        assert found.verdict == "stop"
        assert found.result.deciding
        assert "Set" not in found.result.deciding


def test_the_keg_of_the_siphon_says_the_same_setting_and_no_higher_bound() -> None:
    for volumes in (2.5, 3.5):
        ours = keg(volumes=volumes)
        theirs = run("siphon", {
            "mode": "keg", "contents": "18 l water", "gas": "co2", "temperature": "4 C",
            "target_volumes": volumes, "rated": "9 bar", "line_rated": "9 bar",
            "regulator_rated": "8 bar", "warmest": "20 C",
        })  # fmt: skip
        assert value(ours, "set_pressure") == pytest.approx(value(theirs, "set_pressure"))
        # ours also counts what the liquid may take up beyond what was wanted
        assert value(ours, "bound") >= value(theirs, "bound")


def test_it_scales() -> None:
    one, many = keg(contents="1 l water"), keg(contents="50 l water")
    assert value(many, "co2_mass") == pytest.approx(50 * value(one, "co2_mass"))
    for name in ("set_pressure", "bound", "co2", "left"):
        assert value(many, name) == pytest.approx(value(one, name))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"pressure": "2 bar", "volumes": 3}, "either"),
        ({"volumes": None}, "either"),
        ({"how": "high-then-low"}, "first-pressure"),
        ({"warmest": "2 C"}, "colder than"),
        ({"contents": "0 l water"}, "amounts to 0"),
        ({"contents": "1 l spirit 90 %"}, "no solubility"),
        (
            {"volumes": 6, "temperature": "40 C", "gas": "20 % co2", "warmest": None},
            "more than 20 bar",
        ),
        ({"volumes": 40}, "at most"),
    ],
)
def test_bad_input_is_one_sentence(change: dict[str, Any], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        keg(**change)
