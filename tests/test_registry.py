"""One way to run any calculator: words in, a whole answer out, refusals included."""

from __future__ import annotations

import json

import pytest

from prepkit import run
from prepkit.errors import BadInput
from prepkit.index import CALCULATORS
from prepkit.registry import load, problems


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
