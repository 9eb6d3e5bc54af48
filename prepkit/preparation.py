"""Preparation words before or after a name: chopped mint, roasted almonds, frozen raspberries.

A word that changes little is taken; one that takes water out or puts it in marks the mixture, so
that a caution asks for the scale; one that makes something else of it is refused with its reason.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from prepkit.errors import UnknownIngredient, named

TAG = "prepared"  # of a mixture: its water is not that of the plain ingredient
PLAIN = frozenset(
    ("fresh", "freshly", "squeezed", "pressed", "chopped", "sliced", "diced", "crushed", "peeled",
     "pitted", "stoned", "hulled", "halved", "quartered", "grated", "washed", "rinsed", "ripe",
     "organic", "strained", "filtered", "sieved", "chilled", "cold", "warm", "hot", "ground",
     "crumbled", "shredded", "torn", "muddled", "pureed", "blended", "cracked", "melted")
)  # fmt: skip
WATER = frozenset(
    ("roasted", "toasted", "grilled", "charred", "baked", "steamed", "boiled", "cooked", "blanched",
     "tinned", "canned", "drained", "frozen", "thawed", "defrosted")
)  # fmt: skip
OTHER = {
    "dried": "drying takes nearly all the water out",
    "dehydrated": "drying takes nearly all the water out",
    "freeze-dried": "drying takes nearly all the water out",
    "candied": "candying puts sugar in the place of water",
    "crystallised": "candying puts sugar in the place of water",
    "powdered": "a powder of it is dry",
    "smoked": "smoke adds what is not counted here",
    "fermented": "fermenting makes acid and alcohol of the sugar",
    "pickled": "a pickle adds acid, salt or sugar",
    "salted": "the salt is not counted",
    "sweetened": "the sugar added is not known",
    "concentrated": "how far it was concentrated is not known",
    "reduced": "how far it was reduced is not known",
    "clarified": "what was taken out is not known",
    "diluted": "how far it was diluted is not known",
}
_DRY_IS_PLAIN = ("dried", "dehydrated", "powdered")


class Prepared(NamedTuple):
    """Words of a preparation and the name that they stand beside."""

    words: tuple[str, ...]
    name: str


def split(name: str) -> Prepared | None:
    """The preparation words at either end of a name; None where there are none, or nothing else.

    >>> split("freshly squeezed lemon juice")
    Prepared(words=('freshly', 'squeezed'), name='lemon juice')
    >>> split("mint, chopped")
    Prepared(words=('chopped',), name='mint')
    >>> split("mint") is None, split("roasted") is None
    (True, True)
    """
    left = name.lower().replace(",", " ").split()
    found: list[str] = []
    while left and (left[0] in PLAIN or left[0] in WATER or left[0] in OTHER):
        found.append(left.pop(0))
    while left and (left[-1] in PLAIN or left[-1] in WATER or left[-1] in OTHER):
        found.append(left.pop())
    return Prepared(tuple(found), " ".join(left)) if found and left else None


def check(prepared: Prepared, entry: Mapping[str, Any], said: str, field: str) -> bool:
    """Whether the words change the water of the entry; UnknownIngredient where too much."""
    dry = entry.get("keeps") == "dry"
    for word in prepared.words:
        if word == "fresh" and dry and entry.get("group") in ("herb", "flower", "spice"):
            raise UnknownIngredient(
                f'{field} "{said}": {entry["name"]} is listed dried, and fresh it is mostly water; '
                f"write {entry['name']} for the dried one.",
                field,
            )
        if word in OTHER and not (dry and word in _DRY_IS_PLAIN):
            raise UnknownIngredient(
                f'{field} "{said}": {entry["name"]} is not listed {word}; {OTHER[word]}. Make an '
                f"entry from its label with prepkit pantry {named('new')}.",
                field,
            )
    return any(word in WATER for word in prepared.words) and not dry
