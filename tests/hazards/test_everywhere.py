"""A dangerous name stops every calculator that takes a part, whatever else is wrong."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from prepkit.index import CALCULATORS
from prepkit.pantry import Pantry
from prepkit.registry import answer, load, problems, run, validate

# fields of words that name no part
NO_PARTS = {"gas", "release", "rate", "allowed_gas", "vessel", "vessel_register", "sequence",
            "made", "inspection_due", "date", "today", "use_by", "jurisdiction", "amount", "target",
            "want", "noted", "aroma",
            "place", "cryogen"}  # fmt: skip
KINDS = ("part", "parts", "ingredient", "ingredients", "words", "many words")
FIELDS = [
    (name, field, spec.kind)
    for name in CALCULATORS
    for field, spec in load(name).inputs.specs().items()
    if spec.kind in KINDS and field not in NO_PARTS
]
NAMED = {
    "dry ice": "cryogen-named-as-a-part", "LN₂": "cryogen-named-as-a-part",
    "laughing gas": "gas-named-as-a-part", "methanol": "poison-named-as-a-part",
    "kava": "plant-refused", "fox glove": "plant-refused",
}  # fmt: skip


@pytest.mark.parametrize(("name", "field", "kind"), FIELDS)
def test_every_field_that_takes_a_part_stops(name: str, field: str, kind: str) -> None:
    for words, caution in NAMED.items():
        said = words if kind.startswith("ingredient") else f"20 g {words}"
        value = [said] if kind in ("parts", "many words", "ingredients") else said
        got = run(name, {field: value})
        assert got.verdict == "stop", words
        assert not got.values
        assert caution in {one.id for one in got.cautions}
        assert problems(name, {field: value}) == {}
        assert answer(name, validate(name, {field: value})).inputs[field]


def test_a_misspelt_name_stops_too() -> None:
    got = run("serve", {"part": ["60 ml gin 40 %", "2 g foxgluve"]})
    assert got.verdict == "stop"
    assert "Foxglove" in next(one.text for one in got.cautions if one.severity == "stop")


def test_raw_elderberries_stop_unless_they_are_cooked_or_boiled() -> None:
    said = {"liquid": "700 ml spirit 43 %", "botanical": "200 g elderberries"}
    assert run("infuse", said).verdict == "stop"
    assert run("infuse", {**said, "botanical": "200 g cooked elderberries"}).verdict != "stop"
    assert run("blend", {"part": ["100 g elderberries", "1 l water"]}).verdict == "stop"


def test_what_a_recipe_makes_may_bear_any_name() -> None:
    made = Pantry().part("1 l lemon juice").mixture
    pantry = Pantry().with_items({"holly": made})
    assert run("blend", {"part": ["1 l water", "100 ml holly"]}, pantry=pantry).verdict != "stop"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["siphon", "--contents", "200 g dry ice"], "no limit"),
        (["serve", "--part", "5 ml liquid nitrogen"], "stomach"),
        (["blend", "--part", "1 g kava"], "liver"),
        (["keep", "--part", "1 l foxglove tea"], "heart"),
        (["layer", "--layer", "30 ml methanol"], "blinds"),
    ],
)  # fmt: skip
def test_the_command_line_stops_with_the_reason_and_exit_3(words: list[str], says: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "prepkit", *words, "--json"],
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == 3, done.stderr
    said = json.loads(done.stdout)
    assert said["verdict"] == "stop"
    assert any(says in one["text"] for one in said["cautions"])


@pytest.mark.parametrize("word", ["kava", "dry ice", "fox glove", "foxgluve", "methanol"])
def test_the_pantry_search_answers_a_dangerous_name_with_its_reason(word: str) -> None:
    from prepkit.workflows.pantry_command import looked_up

    said = looked_up(word)
    assert said["why"]
    assert said["refused"]


def test_the_pantry_search_shows_what_is_food_once_it_is_cooked() -> None:
    from prepkit.workflows.pantry_command import looked_up

    assert looked_up("elderberries")["ingredient"] == "elderberries"
