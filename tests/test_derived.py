"""Fat that floats and milk that curdles are seen in every calculator that mixes."""

from __future__ import annotations

from typing import Any

import pytest

from prepkit.derived import curdles
from prepkit.registry import run

FAT = ["100 ml olive oil", "30 g butter", "20 g coconut oil"]


def ids(answer: Any) -> set[str]:
    return {one.id for one in answer.cautions if not one.standing}


@pytest.mark.parametrize("fat", FAT)
def test_fat_with_spirit_is_seen(fat: str) -> None:
    answer = run("blend", {"part": ["500 ml spirit 35 %", fat]})
    assert answer.verdict == "care"
    assert "fat-does-not-mix" in ids(answer)


@pytest.mark.parametrize("part", ["200 ml cream 35 %", "200 g almond", "100 ml coconut milk"])
def test_fat_that_is_held_in_an_emulsion_or_a_nut_is_not_plain_fat(part: str) -> None:
    assert "fat-does-not-mix" not in ids(run("blend", {"part": ["500 ml spirit 35 %", part]}))


@pytest.mark.parametrize("sour", ["100 ml lemon juice", "5 g citric acid", "5 g malic acid"])
@pytest.mark.parametrize("milk", ["500 ml whole milk", "300 ml cream 35 %"])
def test_milk_with_acid_is_seen(milk: str, sour: str) -> None:
    assert "milk-curdles-with-acid" in ids(run("blend", {"part": [milk, sour]}))
    served = run("serve", {"part": [milk, sour], "serves": 6})
    assert "milk-curdles-with-acid" in ids(served)


def test_milk_alone_and_milk_with_spirit_do_not_curdle() -> None:
    for parts in (["500 ml whole milk"], ["300 ml cream 35 %", "100 ml rum 40 %"]):
        assert "milk-curdles-with-acid" not in ids(run("blend", {"part": parts}))


@pytest.mark.parametrize("sour", ["apple juice", "lemon juice", "red wine 13 %", "citric acid"])
@pytest.mark.parametrize("share", [0.02, 0.3])
def test_curdling_is_one_rule_under_gas_and_without(sour: str, share: float) -> None:
    grams = 500 * share * (0.1 if sour == "citric acid" else 1.0)
    both = f"500 g whole milk, {grams:g} g {sour}"
    blended = "milk-curdles-with-acid" in ids(run("blend", {"part": both.split(", ")}))
    charged = run(
        "siphon", {"contents": both, "vessel_volume": "1.5 l", "max_fill": "1 l", "rated": "17 bar",
                   "gas": "n2o", "chargers": 1, "temperature": "5 C"},
    )  # fmt: skip
    assert ("milk-curdles-with-acid" in ids(charged)) == blended


def test_cream_on_coffee_does_not_curdle_but_is_seen_where_curds_plug_a_valve() -> None:
    """Coffee's minerals bind most of its acid; milk in espresso is common practice."""
    layers = ["38 g espresso at 60 C", "20 ml cream 35 % at 5 C whipped 15 %"]
    assert "milk-curdles-with-acid" not in ids(run("layer", {"layer": layers}))
    both = run("blend", {"part": ["100 g espresso", "10 g cream 35 %"]}).product
    assert both is not None
    assert curdles(both, charged=True) >= curdles(both)
