"""What goes in is never silent in what comes out: milk, egg, spirit, in every calculator."""

from __future__ import annotations

import shlex
from typing import Any

import pytest

from prepkit import registry
from prepkit.errors import PrepkitError
from prepkit.index import CALCULATORS

MILK, EGG, SPIRIT = "90 ml whole milk", "30 g egg white", "60 ml spirit 60 %"
TAKES = ("part", "parts", "ingredient", "ingredients")
#: Calculators that answer for at least one field that is given milk; a new one may be in neither.
ANSWERED = frozenset(
    ("oleo", "cordial", "infuse", "fat-wash", "clarify", "reduce", "acid-adjust", "dose", "foam",
     "float", "siphon", "blend", "dilute", "chill", "warm", "window", "serve", "correct", "keep",
     "cryogen")
)  # fmt: skip
#: What would come out cannot be told, and is said of what went in.
NO_PRODUCT = frozenset(("reduce",))


def example(name: str) -> dict[str, Any]:
    """The inputs of a calculator's example."""
    specs = registry.load(name).inputs.specs()
    said: dict[str, Any] = {}
    words = shlex.split(registry.load(name).example)[2:]
    while words:
        key = words.pop(0).lstrip("-").replace("-", "_")
        if not words or words[0].startswith("--"):
            said[key] = True
        elif specs[key].kind in ("parts", "many words", "ingredients"):
            said.setdefault(key, []).append(words.pop(0))
        else:
            said[key] = words.pop(0)
    return said


def ran(name: str, said: dict[str, Any]) -> Any:
    try:
        return registry.run(name, said)
    except PrepkitError:  # what cannot be made of milk is refused
        return None


@pytest.mark.parametrize("name", CALCULATORS)
def test_milk_egg_and_spirit_are_said_of_what_comes_out(name: str) -> None:
    answered = False
    for field, spec in registry.load(name).inputs.specs().items():
        if spec.kind not in TAKES:
            continue
        many = spec.kind == "parts"
        given = [MILK, EGG, SPIRIT] if many else [MILK] if spec.kind == "part" else ["whole milk"]
        said = example(name)
        said[field] = [*said.get(field, ()), *given] if many else given[0]
        found = ran(name, said)
        if found is None:
            continue
        answered = True
        told = " ".join(one.text for one in found.cautions if one.kind == "allergen").lower()
        ids = {one.id for one in found.cautions}
        assert "milk" in told, field
        assert ids & {"milk-and-egg-out-of-the-cold", "reduce-milk-and-egg-catch"}, field
        if many:
            assert "egg" in told, field
            assert "raw-egg-unheated" in ids, field
            assert any(one.kind == "alcohol" for one in found.cautions), field
        if found.verdict != "stop" and name not in NO_PRODUCT:
            assert found.product is not None, field
            assert "milk" in found.product.allergens, field
    assert answered or name not in ANSWERED


def test_what_is_no_part_but_words_is_said_too() -> None:
    composed = registry.run("compose", {
        "shelf": ["spirit 43 %", "whole milk", "syrup 65 Bx"], "volume": "150 ml",
        "target": ["strength=15 %", "sugar=10 %"],
    })  # fmt: skip
    layered = registry.run(
        "layer", {"layer": ["60 ml espresso at 60 C", "30 ml whole milk at 5 C"]}
    )
    for found in (composed, layered):
        told = " ".join(one.text for one in found.cautions if one.kind == "allergen").lower()
        assert "milk" in told
