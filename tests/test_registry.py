"""One way to run any calculator: words in, a whole answer out, refusals included.

The +/- of an answer: linear shares in quadrature, against sampling of the same inputs.
"""

from __future__ import annotations

import json
import random
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit import run
from prepkit.errors import BadInput
from prepkit.index import CALCULATORS
from prepkit.model import Value
from prepkit.registry import load, problems
from prepkit.render.text import value_words


@pytest.mark.parametrize(
    "plant", ["foxglove leaves", "oleander", "monkshood root", "lily of the valley"]
)
def test_a_plant_that_poisons_is_refused_by_any_calculator(plant: str) -> None:
    answer = run("blend", {"part": ["1 l water", f"10 g {plant}"]})
    assert answer.verdict == "stop"
    assert not answer.values
    assert not answer.tables
    assert "plant-refused" in {caution.id for caution in answer.cautions}
    json.dumps(answer.to_dict(), allow_nan=False)


def test_an_unknown_calculator_brings_the_nearest() -> None:
    with pytest.raises(BadInput, match="siphon"):
        run("syphon")


def test_every_problem_is_listed_by_field() -> None:
    found = problems("blend", {"part": "1 l watr", "temperature": "5 furlong"})
    assert set(found) == {"part", "temperature"}


@pytest.mark.parametrize("name", CALCULATORS)
def test_a_wrong_word_is_one_sentence_in_every_calculator(name: str) -> None:
    with pytest.raises(BadInput) as wrong:
        run(name, {"no_such_input": "1 g"})
    assert str(wrong.value).count("\n") == 0
    assert load(name).name == name


@pytest.mark.parametrize("said", ["", [""], ["citric acid", " "]])
def test_empty_words_are_called_empty(said: object) -> None:
    with pytest.raises(BadInput, match="--acid is empty; write words such as 2 parts citric acid"):
        run("acid-solution", {"acid": said, "strength": "6 % w/w", "make": "1 kg"})


PARTS = ["400 g ± 4 g white sugar", "600 g ± 9 g water"]


def test_no_tolerance_given_none_shown() -> None:
    answer = run("blend", {"part": ["400 g white sugar", "600 g water"]})
    assert answer.values["mass"].plus_minus is None


def test_shares_add_in_quadrature() -> None:
    mass = run("blend", {"part": PARTS}).values["mass"]
    assert mass.value == pytest.approx(1000.0)
    assert mass.plus_minus == pytest.approx((4**2 + 9**2) ** 0.5, rel=1e-6)


def test_linear_spread_meets_sampling() -> None:
    """Monte Carlo with normal errors and a fixed seed: the linear +/- is within 15 % of it."""
    random.seed(20261125)
    sampled = [
        run(
            "blend",
            {"part": [f"{random.gauss(400, 4)} g white sugar", f"{random.gauss(600, 9)} g water"]},
        )
        .values["dissolved_solids"]
        .value
        for _ in range(400)
    ]
    stated = run("blend", {"part": PARTS}).values["dissolved_solids"].plus_minus
    assert stated is not None
    assert stated == pytest.approx(statistics.stdev(sampled), rel=0.15)


def test_the_models_own_error_is_in_it() -> None:
    reading = run("blend", {"part": ["400 g white sugar", "600 g water"]}).values["refractometer"]
    assert reading.plus_minus is not None
    assert reading.plus_minus >= 0.05


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (Value(235.0, "g", 350.0, "yield", 0), "235 (0 to 585)"),
        (Value(235.0, "g", 35.0, "yield", 0), "235 ± 35"),
        (Value(99.0, "% w/w", 3.0, "sugar", 0), "99 (96 to 100)"),
        (Value(-1.0, "C", 3.0, "freezing point", 0), "-1 ± 3"),
    ],
)
def test_a_spread_goes_no_further_than_the_quantity_can(value: Value, shown: str) -> None:
    assert value_words(value, "metric")[0] == shown


@given(st.floats(0, 1e6), st.floats(0.001, 1e7), st.sampled_from(["g", "ml", "% w/w", "Bx"]))
def test_no_amount_is_ever_shown_below_zero(at: float, off: float, unit: str) -> None:
    found = Value(at, unit, off, "x", 0).bounds
    assert found is not None
    assert 0.0 <= found[0] <= at <= found[1]
