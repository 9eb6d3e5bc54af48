"""What was charged, or met a cryogen, is not worked with again: one rule for all front ends."""

from __future__ import annotations

from typing import Any

import pytest
from page import asking
from plan import trial

from prepkit import registry
from prepkit.errors import BadInput
from prepkit.index import CALCULATORS
from prepkit.page import forms, requests
from prepkit.pantry import Pantry
from prepkit.plan import make_plan
from prepkit.plan.plan import read_recipe
from prepkit.registry import load, run

PARTS = ("part", "parts")
TAKES = {
    name: next(key for key, spec in load(name).inputs.specs().items() if spec.kind in PARTS)
    for name in CALCULATORS
    if any(spec.kind in PARTS for spec in load(name).inputs.specs().values())
}
CARE = {
    "contents": "500 ml water", "vessel_volume": "1.3 l", "max_fill": "1 l", "rated": "17 bar",
    "gas": "n2", "chargers": 1, "temperature": "4 C",
}  # fmt: skip


def _pantry(tag: str) -> Pantry:
    return Pantry().with_items(
        {"my-base": Pantry().part("1 l lemon juice").mixture.marked(tags=(tag,))}
    )


@pytest.mark.parametrize("name", [name for name in TAKES if name not in registry.LAST])
@pytest.mark.parametrize("tag", sorted(registry.MARKS))
def test_every_work_that_is_not_the_last_stops(name: str, tag: str) -> None:
    field, said = TAKES[name], _example(name)
    joined = ("300 g water, 20 ml my-base",) if name in ("siphon", "blend") else ()
    for one in ("300 g my-base", *joined):
        value = [one] if load(name).inputs.specs()[field].kind == "parts" else one
        got = run(name, {**said, field: value}, pantry=_pantry(tag))
        assert got.verdict == "stop", one
        assert not got.values
        assert "charged-or-frozen-before" in {caution.id for caution in got.cautions}


def _example(name: str) -> dict[str, Any]:
    specs = load(name).inputs.specs()
    said: dict[str, Any] = {}
    for key, value in asking.words_of(load(name).example)[1]:
        if specs[key].kind in forms.MANY:
            said.setdefault(key, []).append(value)
        else:
            said[key] = value
    return said


@pytest.mark.parametrize("tag", sorted(registry.MARKS))
def test_the_last_works_take_it(tag: str) -> None:
    for name in registry.LAST:
        got = run(name, {**_example(name), requests.NEXT[name]: ["90 g my-base", "30 ml water"]},
                  pantry=_pantry(tag))  # fmt: skip
        assert "charged-or-frozen-before" not in {caution.id for caution in got.cautions}


def test_what_marks_a_product() -> None:
    charged = run("siphon", CARE)
    assert charged.product is not None
    assert registry.CHARGED in charged.product.tags
    cold = run(
        "chill", {"part": ["90 ml gin 40 %", "30 ml water"], "way": "dry ice", "target": "-2 C"}
    )
    assert cold.product is None or registry.MET_CRYOGEN in cold.product.tags
    stirred = run("chill", {"part": ["90 ml gin 40 %", "30 ml water"], "target": "2 C"})
    assert stirred.product is not None
    assert not stirred.product.tags & registry.MARKS


AGAIN = """
[items.my-more]
calculator = "{name}"
{words}
[[serve]]
name = "Second"
part = ["100 g my-more"]
"""


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("siphon", 'vessel = "north"\ncontents = "300 g my-nitro"\ngas = "n2o"\nchargers = 1\n'
                   'temperature = "4 C"'),
        ("siphon", 'vessel = "north"\ncontents = ["300 g water", "1 g my-nitro"]\ngas = "n2o"\n'
                   'chargers = 1\ntemperature = "4 C"'),
        ("blend", 'part = ["300 g my-nitro", "1 l water"]'),
        ("chill", 'part = ["90 g my-nitro"]'),
    ],
)  # fmt: skip
def test_a_plan_stops_what_the_page_does_not_take(name: str, words: str) -> None:
    recipe = trial.RECIPE + AGAIN.format(name=name, words=words)
    said = make_plan(read_recipe(recipe), 8).to_dict()
    more = next(item for item in said["items"] if item["id"] == "my-more")
    assert more["verdict"] == "stop"
    assert said["verdict"] == "stop"


def test_the_page_takes_it_where_the_rule_says() -> None:
    answer = run("siphon", CARE)
    made = requests.of(answer, CARE)
    assert made is not None
    assert {one.calculator for one in requests.onward(made)} == set(registry.LAST)


def _warmest(house: str, of_item: str) -> Any:
    recipe = trial.RECIPE.replace('temperature = "4 C"', f'temperature = "4 C"\n{of_item}')
    planned = make_plan(read_recipe(recipe + house), 8)
    item = next(one for one in planned.made if one.item.id == "my-nitro")
    assert item.filling is not None
    return item.filling.answer.inputs.get("warmest")


def test_the_room_of_a_house_is_the_warmest_place_of_a_plan() -> None:
    house = '[house]\nroom_temperature = "27 C"\n'
    assert _warmest("", "") is None
    assert _warmest(house, "") == "27.0 C"
    assert _warmest(house, 'warmest = "31 C"') == "31.0 C"


def test_a_room_too_hot_for_a_vessel_is_told_where_it_is_written() -> None:
    with pytest.raises(BadInput, match=r"house\.room_temperature.*90") as caught:
        _warmest('[house]\nroom_temperature = "90 C"\n', "")
    assert "warmest" not in str(caught.value).partition(":")[0]


def test_a_food_is_not_taken_to_have_been_as_cool_as_the_room() -> None:
    keep = (
        '[items.my-check]\ncalculator = "keep"\ncheck = true\npart = "500 ml milk"\n'
        'out_of_cold = "5 h"\nfridge = "4 C"\n'
    )
    house = '[house]\nroom_temperature = "18 C"\n'
    planned = make_plan(read_recipe(trial.RECIPE + keep + house), 8)
    (kept,) = (one for one in planned.made if one.item.id == "my-check")
    assert "warmest" not in kept.answer.inputs
    assert kept.verdict == "stop"
