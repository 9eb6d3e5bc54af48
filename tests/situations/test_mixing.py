"""Fat with spirit and milk with acid are seen at once by calculator, plan and page alike."""

from __future__ import annotations

import json
from typing import Any

import pytest
from page import asking

from prepkit.page import forms
from prepkit.plan import make_plan
from prepkit.plan.plan import read_recipe
from prepkit.registry import load, run

VESSEL = {"vessel_volume": "1 l", "max_fill": "0.6 l", "rated": "17 bar", "gas": "n2o",
          "chargers": 1, "temperature": "5 C"}  # fmt: skip
SEEN = (
    ("blend", {"part": ["500 ml spirit 35 %", "100 ml olive oil"]}, "fat-does-not-mix"),
    ("infuse", {"liquid": ["500 ml spirit 35 %", "50 g butter"], "botanical": ["5 g sage"]},
     "fat-does-not-mix"),
    ("siphon", {"contents": "300 ml spirit 35 %, 50 g butter", **VESSEL}, "fat-does-not-mix"),
    ("blend", {"part": ["500 ml whole milk", "100 ml lemon juice"]}, "milk-curdles-with-acid"),
    ("serve", {"part": ["100 ml whole milk", "2 g citric acid"]}, "milk-curdles-with-acid"),
    ("siphon", {"contents": "300 ml whole milk, 60 ml lemon juice", **VESSEL},
     "milk-curdles-with-acid"),
)  # fmt: skip


@pytest.mark.parametrize(("calculator", "words", "id_"), SEEN)
def test_what_parts_is_seen_everywhere(calculator: str, words: dict[str, Any], id_: str) -> None:
    answer = run(calculator, words)
    assert id_ in {one.id for one in answer.cautions}
    assert answer.verdict in ("care", "stop")

    lines = "\n".join(f"{key} = {json.dumps(value)}" for key, value in words.items())
    planned = make_plan(
        read_recipe(
            f'title = "T"\nserves = 1\n[items.a]\ncalculator = "{calculator}"\n{lines}\n'
            'check = true\n[[serve]]\nname = "G"\npart = "100 ml water"\n'
        ),
        1,
    )
    assert id_ in {one.id for made in planned.made for one in made.found}

    specs = load(calculator).inputs.specs()
    many = {
        key: [value] if specs[key].kind in forms.MANY and isinstance(value, str) else value
        for key, value in words.items()
    }
    said = asking.browser().get(asking.address(calculator, forms.query(many, []), ".json"))
    assert id_ in {one["id"] for one in said.get_json()["cautions"]}
