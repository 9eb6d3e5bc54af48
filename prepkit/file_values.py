"""Values of a file that a person wrote: what one is called, and whether it can be used.

What is wrong is a BadRecipe with the sentence alone; the reader of the file adds the place.
"""

from __future__ import annotations

import re
from datetime import date, datetime

from prepkit.errors import BadRecipe

MOST_WORDS = 1000  # characters of one text
MOST_LISTED = 200  # texts in one list
Input = str | int | float | list[str]
_CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069]")


def shown(value: object) -> str:
    """A value of a file as a sentence names it.

    >>> shown("a"), shown(True), shown({}), shown([1]), shown(None)
    ("'a'", 'true', 'a table', 'a list', 'a date or time')
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    return f"{value!r}"[:60] if isinstance(value, str | int | float) else "a date or time"


def text(value: object, sample: str = "", *, needed: bool = True) -> str:
    """Text without control characters, of a bounded length; only a note has several lines.

    >>> text("  Night   Tide ")
    'Night Tide'
    """
    if value is None and needed:
        raise BadRecipe(f"it is missing; write text{sample}.")
    if not isinstance(value, str):
        raise BadRecipe(f"it is {shown(value)}; write text{sample}.")
    tidy = " ".join(value.split()) if needed else value.strip()
    if needed and not tidy:
        raise BadRecipe(f"it is empty; write text{sample}.")
    if len(tidy) > MOST_WORDS:
        raise BadRecipe(f"it has {len(tidy)} characters; at most {MOST_WORDS} are taken.")
    if _CONTROL.search(tidy):
        raise BadRecipe("it has a control character in it; write plain text.")
    return tidy


def short(many: list[object]) -> None:
    """BadRecipe for a list that is too long."""
    if len(many) > MOST_LISTED:
        raise BadRecipe(f"it has {len(many)} entries; at most {MOST_LISTED} are taken.")


def input_of(value: object) -> Input:
    """An input of a calculator as a file gives it: words, a number, a day, or a list of words.

    >>> input_of(date(2027, 3, 1)), input_of(["1  l water"])
    ('2027-03-01', ['1 l water'])
    """
    if isinstance(value, list):
        if not value:
            raise BadRecipe("the list is empty; fill it or leave it out.")
        short(value)
        return [text(one) for one in value]
    if isinstance(value, str):
        return text(value)
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, bool | int | float):
        if not isinstance(value, bool) and not abs(value) < 1e15:
            raise BadRecipe(f"{shown(value)} is not a number that can be used.")
        return value
    raise BadRecipe(f"it is {shown(value)}; write words, a number or a list of words.")
