"""An input that takes one value refuses two, in Python and in a recipe; no figure is NaN."""

from __future__ import annotations

import math
import shlex
from collections.abc import Iterator
from typing import Any

import pytest
from cli import test_plain_words as plain_words
from plan.trial import RECIPE, plan

import prepkit
from prepkit.errors import BadInput, BadRecipe
from prepkit.index import CALCULATORS
from prepkit.inputs import MANY
from prepkit.registry import load, problems

ONE = [
    (name, field)
    for name in CALCULATORS
    for field, spec in load(name).inputs.specs().items()
    if spec.kind not in MANY and not spec.several
]


@pytest.mark.parametrize("name", CALCULATORS)
def test_python_refuses_two_values_where_one_is_taken(name: str) -> None:
    for field in [one for of, one in ONE if of == name]:
        spec = load(name).inputs.specs()[field]
        said = spec.example or "yes"
        found = problems(name, {field: [said, said]})
        told = " ".join(str(one) for one in found.values())
        # of a vessel and its register both must be given before either is read
        assert "given twice" in told or field in ("vessel", "vessel_register"), field
        assert found, field


def test_the_higher_rating_is_not_taken_for_the_lower() -> None:
    load = {
        "contents": "250 ml cream 35 %", "vessel_volume": "1 l", "gas": "n2o", "chargers": "1",
        "temperature": "5 C",
    }  # fmt: skip
    for two in (["17 bar", "25 bar"], ("25 bar", "17 bar"), ["17 bar", "17 bar"]):
        with pytest.raises(BadInput, match="given twice"):
            prepkit.run("siphon", {**load, "rated": two})
        assert "given twice" in str(problems("siphon", {"rated": two})["rated"])


@pytest.mark.parametrize(
    "key",
    ['rated = ["17 bar", "25 bar"]', 'gas = ["n2o", "co2"]', 'temperature = ["5 C", "8 C"]',
     "chargers = [1, 2]"],
)  # fmt: skip
def test_a_recipe_takes_no_list_for_a_single_value(key: str) -> None:
    given = {
        "contents": '"250 ml cream 35 %"', "vessel_volume": '"1 l"', "gas": '"n2o"',
        "chargers": "1", "rated": '"17 bar"', "temperature": '"5 C"',
    }  # fmt: skip
    given[key.partition(" ")[0]] = key.partition("= ")[2]
    item = "\n".join(f"{name} = {value}" for name, value in given.items())
    text = RECIPE.replace("[[serve]]", f'[items.odd]\ncalculator = "siphon"\n{item}\n[[serve]]', 1)
    with pytest.raises(BadRecipe, match=key.partition(" ")[0]) as problem:
        plan(text, 8)
    assert "odd" in problem.value.message


def said(line: str) -> tuple[str, dict[str, Any]]:
    """The calculator and the inputs of a command line."""
    name, *rest = shlex.split(line.removeprefix("prepkit "))
    specs = load(name).inputs.specs()
    found: dict[str, Any] = {}
    while rest:
        key = rest.pop(0).removeprefix("--").replace("-", "_")
        if key not in specs:
            continue
        value = True if specs[key].kind == "flag" else rest.pop(0)
        if specs[key].kind in MANY or specs[key].several:
            found.setdefault(key, []).append(value)
        else:
            found[key] = value
    return name, found


def numbers(value: Any) -> Iterator[float]:
    """Every number inside a value."""
    if isinstance(value, dict):
        for one in value.values():
            yield from numbers(one)
    elif isinstance(value, list | tuple | set | frozenset):
        for one in value:
            yield from numbers(one)
    elif isinstance(value, float):
        yield value


LINES = [
    *(load(name).example for name in CALCULATORS),
    *(line for line, *_ in (*plain_words.HOTEL, *plain_words.COFFEE, *plain_words.BENCH)),
]


@pytest.mark.parametrize("line", LINES)
def test_no_figure_and_no_fact_is_without_a_value(line: str) -> None:
    name, inputs = said(line)
    result = prepkit.run(name, inputs)
    told = (result.result.facts, result.to_dict())
    assert all(math.isfinite(one) for one in numbers(told)), line
