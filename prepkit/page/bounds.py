"""Rows of "name=from to": a name, at least, at most, each in a field of its own.

Whatever was typed into the fields is put together to the words that the calculation reads; words
that cannot be taken apart and put together again stand in one field as they were typed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from werkzeug.datastructures import MultiDict

SPARE = 3  # rows to begin with
_FIELD = re.compile(r"(?P<name>[a-z_]+)\.(?P<row>\d{1,3})\.(?P<part>what|low|high)")
_SIDE = re.compile(r"at (?P<side>least|most) (?P<value>.+)")
_BOTH = re.compile(r"(?P<low>.+?) to (?P<high>.+)")


@dataclass(frozen=True)
class Row:
    """One row; `raw` where the words cannot be taken apart."""

    number: int
    what: str = ""
    low: str = ""
    high: str = ""
    raw: str = ""


def joined(what: str, low: str, high: str, needs_end: bool) -> str:
    """The words of a row; "" where nothing is in it.

    >>> joined("rum 40 %", "30 ml", "60 ml", False), joined("ph", "3", "3", True)
    ('rum 40 %=30 ml to 60 ml', 'ph=3')
    >>> joined("rum 40 %", "", "60 ml", False), joined("rum 40 %", "", "", False)
    ('rum 40 %=at most 60 ml', 'rum 40 %')
    """
    if low and high:
        ends = low if low == high else f"{low} to {high}"
    elif low or high:
        ends = f"at least {low}" if low else f"at most {high}"
    elif what and not needs_end:
        return what
    else:
        return f"{what}=" if what else ""
    return f"{what}={ends}"


def apart(number: int, words: str, names: Mapping[str, str]) -> Row:
    """A row of words; `names` are those that it can have, none where any.

    >>> apart(1, "strength=18 % to 22 %", {"strength": ""})
    Row(number=1, what='strength', low='18 %', high='22 %', raw='')
    >>> apart(1, "warmth=3", {"strength": ""}).raw
    'warmth=3'
    """
    what, _, ends = (one.strip() for one in words.partition("="))
    low = high = ends
    if side := _SIDE.fullmatch(ends):
        low, high = (side["value"], "") if side["side"] == "least" else ("", side["value"])
    elif both := _BOTH.fullmatch(ends):
        low, high = both["low"], both["high"]
    odd = "=" in ends or (names and what not in names)
    if odd or joined(what, low, high, bool(names)) != words:
        return Row(number, raw=words)
    return Row(number, what, low, high)


def rows(typed: Sequence[str], names: Mapping[str, str], most: int, more: bool) -> tuple[Row, ...]:
    """The rows of what was typed, and one to type in; with `more` another."""
    found = [apart(at, words, names) for at, words in enumerate(typed) if words.strip()]
    spare = (1 if found else SPARE) + more
    return tuple([*found, *(Row(at) for at in range(len(found), len(found) + spare))][:most])


def gathered(
    args: MultiDict[str, str], bounded: Mapping[str, Mapping[str, str]]
) -> MultiDict[str, str]:
    """What was sent, with the fields of each row put together."""
    if not bounded:
        return args
    found: MultiDict[str, str] = MultiDict()
    parts: dict[str, dict[int, dict[str, str]]] = {}
    for key, value in args.items(multi=True):
        field = _FIELD.fullmatch(key)
        if field is None or field["name"] not in bounded:
            found.add(key, value)
        else:
            row = parts.setdefault(field["name"], {}).setdefault(int(field["row"]), {})
            row[field["part"]] = " ".join(value.split())
    for name, every in parts.items():
        for row in (every[at] for at in sorted(every)):
            what, low, high = (row.get(one, "") for one in ("what", "low", "high"))
            said = joined(what, low, high, bool(bounded[name]))
            if said:
                found.add(name, said)
    return found
