"""Searching the pantry: whole words first, then kinds."""

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


def found(entries: Iterable[Mapping[str, Any]], asked: str) -> list[Mapping[str, Any]]:
    """The entries that the words mean: every word whole, or a kind."""
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
