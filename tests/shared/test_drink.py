"""One serve that poisons with everyday things is a stop, in serve and in dose alike."""

from __future__ import annotations

from typing import Any

import pytest

from prepkit import cautions
from prepkit.registry import run
from prepkit.shared import drink

POISONS = [
    (["12 g salt", "300 ml tomato juice"], "serve-salt-of-a-day"),
    (["10 g baking soda", "300 ml water"], "serve-salt-of-a-day"),
    (["10 g potassium bicarbonate", "200 ml water"], "serve-potassium-dose"),
    (["3 g nutmeg", "100 ml whole milk"], "nutmeg-by-the-spoon"),
    (["150 g nutmeg"], "nutmeg-by-the-spoon"),
    (["10 g citric acid", "100 ml water"], "serve-added-acid-as-lemon-juice"),
    (["400 ml lemon juice"], "serve-acid-in-grams"),
    (["480 ml spirit 40 %"], "serve-binge-in-one"),
]


def ids(answer: Any) -> set[str]:
    return {one.id for one in answer.cautions if not one.standing}


@pytest.mark.parametrize(("parts", "row"), POISONS, ids=lambda one: str(one)[:40])
def test_what_poisons_by_the_spoon_is_a_stop(parts: list[str], row: str) -> None:
    answer = run("serve", {"part": parts})
    assert answer.verdict == "stop"
    assert row in ids(answer)
    assert not {"energy", "volume", "abv", "cost"} & answer.values.keys()


@pytest.mark.parametrize(
    "parts",
    [
        ["60 ml gin 40 %", "25 ml lemon juice", "20 ml syrup 50 Bx"],
        ["0.1 g nutmeg", "120 ml whole milk", "40 ml rum 40 %"],
        ["1 g salt", "200 ml tomato juice", "40 ml vodka 40 %"],
        ["60 ml lemon juice"],
    ],
    ids=str,
)
def test_drinks_that_are_served_every_day_are_no_stop(parts: list[str]) -> None:
    assert run("serve", {"part": parts}).verdict != "stop"


@pytest.mark.parametrize(
    ("into", "stock", "amount"),
    [
        ("100 ml water", "lactic acid 80 %", "20 ml"),
        ("460 ml spirit 40 %", "lactic acid 80 %", "1 ml"),
    ],
)
def test_dose_judges_a_serve_as_serve_does(into: str, stock: str, amount: str) -> None:
    dosed = run("dose", {"into": [into], "stock": [stock], "amount": amount})
    served = run("serve", {"part": [into, f"{amount} {stock}"]})
    assert dosed.verdict == served.verdict == "stop"
    both = ("serve-binge", "serve-added", "serve-lactic", "serve-acid")
    assert {one for one in ids(dosed) if one.startswith(both)} == {
        one for one in ids(served) if one.startswith(both)
    }


def test_the_figures_of_the_rows_are_those_that_hide_the_numbers() -> None:
    found = {
        condition.fact: condition.limit
        for row in cautions.load()
        for condition in row.when
        if row.severity == "stop" and condition.fact in drink.STOPS
    }
    assert found == dict(drink.STOPS)


def test_more_of_it_is_never_milder() -> None:
    order = ("clear", "care", "stop")
    for name in ("salt", "nutmeg", "potassium citrate", "citric acid"):
        seen = [
            run("serve", {"part": [f"{g} g {name}", "200 ml water"]}).verdict
            for g in (0.1, 0.5, 2, 6, 20, 60)
        ]
        assert [order.index(one) for one in seen] == sorted(order.index(one) for one in seen)
        assert seen[-1] == "stop"


@pytest.mark.parametrize(("g", "stops"), [("70 g", True), ("1 g", False)])
def test_nutmeg_in_an_infusion_is_judged_as_in_a_serve(g: str, stops: bool) -> None:
    answer = run("infuse", {"botanical": [f"{g} nutmeg"], "liquid": ["700 ml rum 40 %"]})
    assert (answer.verdict == "stop") is stops


@pytest.mark.parametrize(("words", "stops"), [
    ("1 g nutmeg", True), ("0.9 g ± 0.1 g nutmeg", True), ("0.9 g nutmeg", False),
    ("1 g mace", True),
])  # fmt: skip
def test_nutmeg_is_counted_by_one_rule_in_every_glass(words: str, stops: bool) -> None:
    served = {"serve": {"part": ["100 ml water", words]}, "blend": {"serves": 1,
              "part": ["100 ml water", words]}, "chill": {"part": ["100 ml water", words],
              "way": "shake"}}  # fmt: skip
    for name, said in served.items():
        answer = run(name, said)
        assert (answer.verdict == "stop") is stops, name
