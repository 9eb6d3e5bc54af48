"""acid-match: composed again it is what it says, and it says when the shelf cannot make it."""

from __future__ import annotations

import json
import random
from typing import Any

import pytest

from prepkit.errors import BadInput, PrepkitError
from prepkit.model import Answer
from prepkit.pantry import Pantry
from prepkit.registry import load, run
from prepkit.science.solvers import non_negative

SHELF = ["citric acid", "malic acid", "tripotassium citrate"]


def match(**said: Any) -> Answer:
    return run("acid-match", {"acid": SHELF, "make": "1 kg", **said})


def value(answer: Answer, name: str) -> float:
    return answer.values[name].value


def weighed(answer: Answer) -> dict[str, float]:
    table = next(table for table in answer.tables if table.name == "weigh")
    return {str(row[0]): float(row[1] or 0.0) for row in table.rows}


def ids(answer: Answer) -> set[str]:
    return {caution.id for caution in answer.cautions if not caution.standing}


@pytest.mark.parametrize("juice", ["lime juice", "lemon juice", "orange juice", "grapefruit juice"])
def test_match_of_a_juice_composed_again(juice: str) -> None:
    wanted = Pantry().ingredient(juice).mixture
    answer = match(like=juice)
    parts = [f"{grams:.9f} g {name}" for name, grams in weighed(answer).items()]
    again = run("blend", {"part": parts}).product
    assert again is not None
    assert again.mass_kg == pytest.approx(1.0, rel=1e-6)
    assert again.acidity_as_citric == pytest.approx(wanted.acidity_as_citric, rel=0.001)
    assert again.ph.value == pytest.approx(wanted.ph.value, abs=0.03)
    assert 100.0 * again.acidity_as_citric == pytest.approx(value(answer, "acidity"), rel=1e-6)
    assert again.ph.value == pytest.approx(value(answer, "ph"), abs=1e-6)


@pytest.mark.parametrize(("percent", "ph"), [(1.0, 2.8), (4.5, 2.3), (6.0, 2.1), (0.6, 3.4)])
def test_match_of_an_own_measurement(percent: float, ph: float) -> None:
    answer = match(acidity=f"{percent} % w/w", ph=ph)
    assert value(answer, "acidity") == pytest.approx(percent, rel=0.005)
    assert value(answer, "ph") == pytest.approx(ph, abs=0.02)
    assert not {"acid-match-acidity-missed", "acid-match-ph-missed"} & ids(answer)


def test_acidity_in_grams_per_litre() -> None:
    answer = match(acidity="45 g/l", ph=2.3)
    per_litre = value(answer, "acidity") / 100.0 * value(answer, "density")
    assert per_litre == pytest.approx(45.0, rel=0.005)


def test_without_potassium_the_ph_of_a_juice_is_out_of_reach() -> None:
    # Lemon juice is pH 2.3 (FDA-PH 2.00-2.60); its acid alone stands at 1.87 (ACD-33)
    answer = match(acid=["citric acid"], like="lemon juice")
    assert "acid-match-ph-missed" in ids(answer)
    assert value(answer, "ph") == pytest.approx(1.87, abs=0.03)
    assert value(answer, "ph_highest") == pytest.approx(value(answer, "ph"), abs=0.05)
    with_salt = match(acid=["citric acid", "trisodium citrate"], like="lemon juice")
    assert "acid-match-ph-missed" not in ids(with_salt)


def test_bicarbonate_does_what_a_citrate_does() -> None:
    answer = match(acid=["citric acid", "baking soda"], like="lemon juice")
    assert "acid-match-ph-missed" not in ids(answer)
    assert weighed(answer)["baking soda"] > 0.0
    assert "acid-meets-carbonate" in ids(answer)


def test_other_acids_than_wanted_are_said() -> None:
    # apple juice is malic acid (C5 of its survey); citric alone is another taste
    assert "acid-match-other-acids" in ids(match(acid=["citric acid"], like="apple juice"))
    assert "acid-match-other-acids" not in ids(
        match(acid=["malic acid", "potassium bicarbonate", "citric acid"], like="apple juice")
    )


def test_make_up_follows_the_juice_where_the_aims_allow() -> None:
    answer = match(acid=["citric acid", "malic acid", "potassium bicarbonate"], like="orange juice")
    rows = {str(row[0]): row for row in next(t for t in answer.tables if t.name == "profile").rows}
    for name in ("citric acid", "malic acid"):
        assert float(rows[name][2] or 0) == pytest.approx(float(rows[name][1] or 0), rel=0.2)


@pytest.mark.parametrize("juice", ["lime juice", "orange juice", "apple juice", "mandarin juice"])
@pytest.mark.parametrize(
    "shelf",
    [["citric acid", "malic acid"], ["malic acid", "citric acid", "tartaric acid"],
     ["citric acid", "malic acid", "baking soda"], ["tartaric acid"], ["lactic acid 80 %"]],
)  # fmt: skip
def test_acidity_first_then_the_kinds_of_acid_and_ph_last(juice: str, shelf: list[str]) -> None:
    # kitchen lead: lime came out all malic, orange without malic and 12 % short, both chasing pH
    wanted = Pantry().ingredient(juice).mixture
    answer = match(acid=shelf, like=juice)
    made = answer.product
    assert made is not None
    assert made.acidity_as_citric == pytest.approx(wanted.acidity_as_citric, rel=1e-3)
    assert 0.0 <= value(answer, "make_up_off") <= 100.0
    if {"citric acid", "malic acid"} <= set(shelf):
        of_malic = made.of("malic") / made.of("citric", "malic")
        in_juice = wanted.of("malic") / wanted.of("citric", "malic")
        assert of_malic == pytest.approx(in_juice, abs=0.06)
        assert made.of("tartaric") <= 0.02 * made.of("citric", "malic")


def test_ph_that_needs_minerals_is_left_out_and_it_is_said() -> None:
    answer = match(acid=["citric acid", "malic acid"], like="lime juice")
    assert set(weighed(answer)) == {"water", "citric acid"}  # the published lime has no malic acid
    caution = next(c for c in answer.cautions if c.id == "acid-match-ph-missed")
    assert "nothing on the shelf brings minerals, so it was left out" in caution.text
    assert any("left out" in step.formula for step in answer.working if step.label == "pH")
    lower = match(like="lime juice", ph=1.7)
    caution = next(c for c in lower.cautions if c.id == "acid-match-ph-missed")
    assert "minerals only raise it" in caution.text
    assert set(weighed(lower)) == {"water", "citric acid"}


def test_all_of_another_kind_is_a_hundred_per_cent() -> None:
    answer = match(acid=["tartaric acid"], like="lime juice")
    assert value(answer, "make_up_off") == pytest.approx(100.0)
    assert "acid-match-other-acids" in ids(answer)


def test_tartaric_with_potassium_is_warned_of() -> None:
    answer = match(acid=["tartaric acid", "potassium bicarbonate"], acidity="1 % w/w", ph=3.2)
    assert "acid-cream-of-tartar" in ids(answer)


def test_fumaric_stops_where_it_does_not_dissolve() -> None:
    answer = match(acid=["fumaric acid"], acidity="3 % w/w")
    assert answer.verdict == "stop"
    assert not answer.values


def test_concentrated_lactic_acid_is_said_to_act_weaker() -> None:
    answer = match(acid=["lactic acid 88 %"], acidity="1 % w/w")
    assert {"acid-lactic-weaker-at-first", "acid-lactic-concentrate"} <= ids(answer)


def test_doubling_doubles_what_is_weighed_and_nothing_else() -> None:
    one, two = match(like="lime juice", make="1 l"), match(like="lime juice", make="2 l")
    outputs = load("acid-match").result.outputs()
    for name, found in one.values.items():
        factor = 2.0 if outputs[name].extensive else 1.0
        assert two.values[name].value == pytest.approx(factor * found.value, rel=1e-9), name
    us = match(like="lime juice", make="1 lb")
    metric = match(like="lime juice", make="453.59237 g")
    assert weighed(us) == pytest.approx(weighed(metric))


def test_no_amount_is_negative_and_water_is_there() -> None:
    for juice in ("lime juice", "apple juice", "passion fruit juice", "pineapple juice"):
        found = weighed(match(acid=[*SHELF, "tartaric acid", "lactic acid 80 %"], like=juice))
        assert all(grams >= 0.0 for grams in found.values())
        assert sum(found.values()) == pytest.approx(1000.0)


def test_json_is_finite() -> None:
    json.dumps(match(like="lime juice").to_dict(), allow_nan=False)


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({}, "needs a juice or your own"),
        ({"ph": 2.3}, "needs a juice or your own"),
        ({"like": "water"}, "no acids to match"),
        ({"like": "lime jiuce"}, "lime juice"),
        ({"like": "lime juice", "acid": "2 parts citric acid"}, "finds the amounts itself"),
        ({"like": "lime juice", "acid": "white sugar"}, "not an acid or an acid salt"),
        ({"like": "lime juice", "acid": []}, "1 to 8"),
        ({"like": "lime juice", "acid": "lactic acid"}, "needs its strength"),
        ({"like": "lime juice", "acid": "trisodium citrate"}, "nothing on the shelf"),
        ({"acidity": "5 % w/w", "ph": 1.2, "acid": ["citric acid"]}, "out of reach"),
        ({"acidity": "5 % w/w", "ph": 4.0, "acid": ["citric acid"]}, "out of reach"),
        ({"acidity": "5 %vol", "ph": 2.0}, "such as"),
        ({"acidity": "0 % w/w", "ph": 2.0}, "more than 0"),
    ],
)
def test_bad_input_is_one_useful_sentence(said: dict[str, Any], sentence: str) -> None:
    with pytest.raises(PrepkitError) as caught:
        match(**said)
    assert isinstance(caught.value, BadInput)
    assert sentence in str(caught.value)
    assert "\n" not in str(caught.value)


def test_least_squares_agrees_with_a_library() -> None:
    # scipy.optimize.nnls on random systems
    optimize = pytest.importorskip("scipy.optimize")
    rng = random.Random(5)
    for _ in range(60):
        count, size = rng.randint(1, 6), rng.randint(2, 8)
        rows = [[rng.gauss(0.0, 1.0) for _ in range(count)] for _ in range(size)]
        wanted = [rng.gauss(0.0, 1.0) for _ in range(size)]
        ours = non_negative(rows, wanted)
        theirs, _ = optimize.nnls(rows, wanted)
        miss = [
            sum((sum(a * b for a, b in zip(row, x, strict=True)) - v) ** 2
                for row, v in zip(rows, wanted, strict=True))
            for x in (ours, list(theirs))
        ]  # fmt: skip
        assert miss[0] == pytest.approx(miss[1], rel=1e-6, abs=1e-9)
        assert min(ours) >= 0.0


def test_too_many_unknowns_are_refused() -> None:
    with pytest.raises(BadInput):
        non_negative([[1.0] * 9], [1.0])
    with pytest.raises(BadInput):
        non_negative([[1.0], [1.0, 2.0]], [1.0, 1.0])
