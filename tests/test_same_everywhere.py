"""The same question has the same answer: on each Python, and in whatever order the parts are given.

Sums of floats differ between versions of Python (from 3.12 the built-in one makes up for rounding)
and with the order of what is added. So nothing that an answer rests on is added by it: `math.fsum`
rounds once, at the end, whatever the order and the version.
"""

from __future__ import annotations

import ast
import builtins
import itertools
import json
import math
import shlex
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import prepkit
from prepkit import registry
from prepkit.cli import main
from prepkit.errors import PrepkitError
from prepkit.index import CALCULATORS

PACKAGE = Path(prepkit.__file__).parent
NUMERIC = [
    path
    for path in sorted(PACKAGE.rglob("*.py"))
    if path.relative_to(PACKAGE).parts[0]
    in ("science", "shared", "calculators", "mixture.py", "pantry.py", "derived.py", "inputs.py",
        "derived.py", "cautions.py")
]  # fmt: skip


def counts(call: ast.Call) -> bool:
    """Whether a sum is of truths or of whole numbers, which have no rounding."""
    of = call.args[0]
    element = of.elt if isinstance(of, ast.GeneratorExp | ast.ListComp) else of
    negated = isinstance(element, ast.UnaryOp) and isinstance(element.op, ast.Not)
    named = isinstance(element, ast.Attribute) and element.attr == "number"
    return isinstance(element, ast.Compare) or negated or named


@pytest.mark.parametrize("path", NUMERIC, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_floats_are_added_with_one_rounding(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "sum":
            assert counts(node), f"line {node.lineno}: add floats with math.fsum, not sum"


def shown(name: str, capsys: pytest.CaptureFixture[str]) -> Any:
    with pytest.raises(SystemExit) as ended:
        main([*shlex.split(registry.load(name).example)[1:], "--json"])
    assert ended.value.code in (0, 3, None)
    return json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("name", CALCULATORS)
def test_examples_are_the_same_where_sums_make_up_for_rounding(
    name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = sum  # as this version of Python has it

    def compensated(items: Iterable[Any], start: Any = 0) -> Any:
        found = list(items)
        floats = start == 0 and any(isinstance(one, float) for one in found)
        return math.fsum(found) if floats else plain(found, start)

    def naive(items: Iterable[Any], start: Any = 0) -> Any:
        for one in items:
            start = start + one
        return start

    answers = []
    for way in (naive, compensated):
        monkeypatch.setattr(builtins, "sum", way)
        answers.append(shown(name, capsys))
    assert answers[0] == answers[1]


# calculators that put parts together: the words that hold the parts, parts, and what else is asked
WET = ("300 ml water", "700 ml spirit 43 %", "0.1 l lemon juice", "200 g simple syrup 50 Bx",
       "0.7 kg orange juice", "30 g white sugar", "90 ml cream 35 %", "150 g apple juice",
       "3 g citric acid", "0.3 l whole milk")  # fmt: skip
PLANTS = ("50 g dried hibiscus", "300 g strawberries", "0.2 kg raspberries", "10 g mint")
SOUR = ("0.1 kg lemon juice", "0.7 kg orange juice", "0.3 kg apple juice", "20 g white sugar",
        "1.1 kg grapefruit juice", "200 g water", "3 g citric acid")  # fmt: skip
# fmt: off
CASES: dict[str, tuple[str, tuple[str, ...], tuple[dict[str, Any], ...]]] = {
    "blend": ("part", WET, ({}, {"free": "water", "abv": "5 % vol"})),
    "serve": ("part", WET, ({"country": "uk"}, {"serves": 3})),
    "chill": ("part", WET, ({"way": "shake"}, {"way": "stir"})),
    "keep": ("part", WET, ({"ph": 3.1}, {})),
    "foam": ("liquid", WET, ({"foamer": "lecithin", "dose": "0.6 %"},)),
    "dilute": ("part", WET, ({"to_strength": "10 %"}, {"to_sugar": "2 % w/w"})),
    "cordial": (
        "part", (*SOUR, *PLANTS),
        ({"sweeten": "white sugar", "brix": "45"}, {},
         {"sweeten": "white sugar", "brix": "45", "acidity": "1.2 %"},
         {"sweeten": "white sugar", "brix": "50", "acidity": "0.5 %"}),
    ),
    "reduce": (
        "liquid", SOUR, ({"brix": "45"}, {"mass": "90 g"}, {"method": "freeze", "brix": "30"})
    ),
    "acid-adjust": (
        "part", SOUR, ({"acid": "citric acid", "target": "2 % w/w"},
                       {"acid": "citric acid", "target": "1 % w/w", "lower": "water"})
    ),
    "infuse": ("botanical", PLANTS, ({"liquid": "700 ml spirit 43 %"}, {"liquid": "1 l water"})),
}
# fmt: on


def answered(name: str, said: dict[str, Any]) -> Any:
    """What must not hang on the order: verdict, cautions, values; or what was refused."""
    try:
        answer = prepkit.run(name, said)
    except PrepkitError as error:
        return type(error).__name__, getattr(error, "field", None)
    cautions = sorted((one.id, one.severity) for one in answer.cautions)
    values = {key: (one.value, one.plus_minus or 0.0) for key, one in answer.values.items()}
    return answer.verdict, cautions, values


@given(st.data(), st.sampled_from(sorted(CASES)))
def test_order_of_parts_changes_nothing(data: st.DataObject, name: str) -> None:
    field, words, more = CASES[name]
    parts = data.draw(st.lists(st.sampled_from(words), min_size=2, max_size=5, unique=True))
    other = data.draw(st.permutations(parts))
    said = data.draw(st.sampled_from(more))
    first, second = (answered(name, {**said, field: list(one)}) for one in (parts, other))
    assert first[:2] == second[:2]
    if len(first) > 2:
        assert first[2].keys() == second[2].keys()
        for key, value in first[2].items():
            assert value == pytest.approx(second[2][key], rel=1e-9, abs=1e-9), key


EXACT: dict[str, tuple[str, tuple[str, ...], dict[str, Any]]] = {
    "reduce": ("liquid", ("0.1 kg white sugar", "0.2 kg white sugar", "0.15 kg white sugar",
                          "0.55 kg water"), {"brix": "45"}),
    "cordial": ("part", ("1 kg grapefruit juice", "50 g dried hibiscus", "0.1 kg lemon juice"),
                {"sweeten": "white sugar", "brix": "45", "acidity": "1.2 %"}),
    "dilute": ("part", ("0.1 l spirit 40 %", "0.2 l spirit 40 %", "0.7 l spirit 40 %"),
               {"to_strength": "40 %"}),
    "blend": ("part", ("0.1 l spirit 40 %", "0.2 l spirit 40 %", "0.7 l spirit 40 %"),
              {"free": "water", "abv": "40 % vol"}),
}  # fmt: skip


@pytest.mark.parametrize("name", EXACT)
def test_a_target_that_is_met_already_is_met_in_any_order(name: str) -> None:
    """Where the last digit would decide whether there is anything left to add or to take away."""
    field, parts, said = EXACT[name]
    found = [
        answered(name, {**said, field: list(order)})[:2] for order in itertools.permutations(parts)
    ]
    assert all(one == found[0] for one in found)
    if name == "reduce":
        assert found[0][1] == "brix"  # refused: there already


@given(st.integers(1, 40), st.sampled_from(["to-brix", "to-acidity"]))
def test_less_than_a_millionth_of_the_batch_is_nothing(tenths: int, target: str) -> None:
    """A batch that reads what is wanted gets no addition, and no caution of one."""
    level = tenths / 10
    said = {"batch": "2 kg cordial", "brix": "45", "acidity": f"{level:g} % w/w", "abv": "0"}
    said |= {"to_brix": "45"} if target == "to-brix" else {"to_acidity": f"{level:g} % w/w"}
    answer = prepkit.run("correct", said)
    added = answer.values.get("added")
    assert added is None or added.value == 0.0 or added.value > 2e-3


@given(st.data(), st.sampled_from(sorted(CASES)))
def test_a_part_of_nothing_changes_nothing(data: st.DataObject, name: str) -> None:
    """0 g of one more part, or an amount that its ± may take to 0, is never divided by."""
    field, words, more = CASES[name]
    parts = data.draw(st.lists(st.sampled_from(words), min_size=2, max_size=4, unique=True))
    said = data.draw(st.sampled_from(more))
    nothing = f"0 g {parts[0].split(' ', 2)[2]}"
    found = answered(name, {**said, field: [nothing, *parts[1:]]})
    without = answered(name, {**said, field: parts[1:]})
    if len(found) > 2 and len(without) > 2:
        assert {key: value[0] for key, value in found[2].items()} == pytest.approx(
            {key: value[0] for key, value in without[2].items()}, rel=1e-9, abs=1e-9
        )
    amount = " ".join(parts[0].split(" ", 2)[:2])
    loose = f"{amount} ± {amount} {parts[0].split(' ', 2)[2]}"
    answered(name, {**said, field: [loose, *parts[1:]]})
