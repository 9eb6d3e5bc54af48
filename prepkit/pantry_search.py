"""Searching the pantry: whole words first, then kinds, then a spelling one or two letters off."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

# words people use for a kind, and the group that holds it
KINDS = {
    "sweeteners": "sweetener", "sugars": "sweetener", "syrups": "syrup", "juices": "juice",
    "fruits": "fruit", "peels": "peel", "zests": "peel", "herbs": "herb", "flowers": "flower",
    "blossoms": "flower", "spices": "spice", "nuts": "nut", "oils": "oil", "waters": "water",
    "wines": "wine", "spirits": "spirit", "liquors": "spirit", "acids": "acid", "gums": "gum",
    "foamers": "foamer", "teas": "tea", "coffees": "coffee", "eggs": "egg", "salts": "salt",
}  # fmt: skip


def stem(word: str) -> str:
    """A word without its plural ending.

    >>> stem("berries"), stem("leaves"), stem("limes"), stem("glass")
    ('berry', 'leaf', 'lime', 'glass')
    """
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word == "leaves":
        return "leaf"
    if word.endswith(("ches", "shes", "xes", "oes")):
        return word[:-2]
    return word[:-1] if word.endswith("s") and not word.endswith("ss") and len(word) > 3 else word


def words_of(text: str) -> tuple[str, ...]:
    """The words of a name, each in the singular."""
    return tuple(stem(word) for word in re.findall(r"[a-z0-9]+", text.lower()))


def edits(one: str, other: str, most: int) -> int:
    """Letters to change, add, drop or swap with the next; `most` + 1 where it is more.

    >>> edits("lemmon", "lemon", 2), edits("soda", "vodka", 2), edits("maple", "ale", 1)
    (1, 2, 2)
    """
    if abs(len(one) - len(other)) > most:
        return most + 1
    before: list[int] = []
    row = list(range(len(other) + 1))
    for i, letter in enumerate(one, 1):
        older, before, row = before, row, [i]
        for j, beside in enumerate(other, 1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (letter != beside))
            if i > 1 and j > 1 and letter == other[j - 2] and one[i - 2] == beside:
                cost = min(cost, older[j - 2] + 1)
            row.append(cost)
    return min(row[-1], most + 1)


def allowed(word: str) -> int:
    """How many letters of a word may be off: none below 5, one below 8, else two.

    >>> allowed("kava"), allowed("lemmon"), allowed("elderflwer")
    (0, 1, 2)
    """
    return 0 if len(word) < 5 else 1 if len(word) < 8 else 2


def found(entries: Iterable[Mapping[str, Any]], asked: str) -> list[Mapping[str, Any]]:
    """The entries that the words mean: every word whole, else a kind, else a near spelling."""
    listed = list(entries)
    wanted = words_of(asked)
    if not wanted:
        return listed
    spellings = [
        (entry, [words_of(name) for name in (entry["name"], *entry.get("also", ()))])
        for entry in listed
    ]
    whole = [
        entry
        for entry, names in spellings
        if any(all(word in name for word in wanted) for name in names)
    ]
    kind = KINDS.get(asked.lower().strip(), asked.lower().strip())
    of_kind = [entry for entry in listed if entry["group"] == kind]
    if of_kind or whole:
        return [*whole, *(entry for entry in of_kind if entry not in whole)]
    return []


def near(names: Iterable[str], asked: str) -> list[str]:
    """The names whose every word is one or two letters off at most, the nearest first.

    >>> near(["lemon juice", "lemon oil", "vodka"], "lemmon juise")
    ['lemon juice']
    """
    wanted = words_of(asked)
    return [
        name
        for name in names
        if len(words_of(name)) == len(wanted)
        and all(_near(word, words_of(name)) for word in wanted)
    ]


def _near(word: str, name: tuple[str, ...]) -> bool:
    most = allowed(word)
    return any(edits(word, other, most) <= most for other in name)
