"""No error pairs the number that was given with another unit, in any field of any calculator."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from prepkit import registry
from prepkit.errors import BadInput
from prepkit.index import CALCULATORS
from prepkit.page import forms
from prepkit.units import UNITS

KINDS = ("quantity", "number", "count", "part", "parts", "words", "many words")
WORDS = (
    *UNITS, "", "clove", "leaf", "l/s", "oz", "cup", "proof", "%", "furlong", "barg", "psia",
    "shot", "bottle of prosecco", "g clove", "clove of garlic", "pieces", "ml white sugar",
    "lemon juice", "US fl oz spirit 40 %", "C gin", "x 5", "g ± 2", "kg ± 3 C lemon juice",
)  # fmt: skip


@cache
def fields() -> list[tuple[str, str]]:
    return [
        (name, field)
        for name in CALCULATORS
        for field, spec in registry.load(name).inputs.specs().items()
        if spec.kind in KINDS
    ]


def complaint(name: str, field: str, words: str) -> str:
    """What is said to the calculator's example with one field changed; empty where it is taken."""
    said: dict[str, Any] = {**forms.example(name)}
    many = registry.load(name).inputs.specs()[field].kind in forms.MANY
    said[field] = [words] if many else words
    try:
        registry.answer(name, registry.validate(name, said))
    except BadInput as error:
        return error.message
    return ""


def pairs(message: str, words: str, number: str) -> list[str]:
    """What stands after the number in a message, besides the words as they were given."""
    left = message.replace(words.strip(), " ")
    after = re.findall(rf"(?<![0-9.,]){re.escape(number)}(?![0-9e])\s*(\S*)", left)
    said = words.removeprefix(number).split()
    allowed = {"", said[0].lower()} if said else {""}
    if "%" in allowed:  # per cent of the one scale that the field has
        allowed |= {"bx", "%"}
    return [one for one in after if one.strip('.,;:"()').lower() not in allowed]


@settings(max_examples=250)
@given(st.sampled_from(fields()), st.sampled_from(WORDS), st.sampled_from(("7.31", "731", "7")))
@example(("room", "air_changes"), "l/s", "50")
@example(("room", "air_changes"), "l/s", "4")
@example(("blend", "part"), "clove", "1")
@example(("siphon", "rated"), "C", "17")
@example(("infuse", "part"), "ml white sugar", "100")
def test_no_error_pairs_the_given_number_with_another_unit(
    place: tuple[str, str], unit: str, number: str
) -> None:
    name, field = place
    if field not in registry.load(name).inputs.specs():
        return
    words = f"{number} {unit}".strip()
    message = complaint(name, field, words)
    assert not pairs(message, words, number), message


def test_the_judge_sees_what_it_should() -> None:
    assert pairs('"1 clove" has no unit; write for example "1 g clove".', "1 clove", "1")
    assert pairs('"50 l/s" is a flow; a rate is needed, such as "50 /h".', "50 l/s", "50")
    assert not pairs('"50 l/s" is a flow; write a number per hour, such as "4 /h".', "50 l/s", "50")
