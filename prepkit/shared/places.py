"""Kinds of room by the words that people use, and those in which no fresh air is counted."""

from __future__ import annotations

PLACES = ("room", "bar", "kitchen", "cellar", "cold room", "lift", "car", "van")
CLOSED = ("cold room", "lift", "car", "van")  # no fresh air is counted in them, whatever was said
BOXES = ("lift", "car", "van")  # no gas is set free in them at all
NO_CRYOGEN = ("cellar", *CLOSED)  # never with dry ice or liquid nitrogen
_ALSO = {
    "kitchen": ("prep kitchen", "prep room", "galley"),
    "bar": ("bar room", "barroom", "pub", "taproom", "behind the bar"),
    "cellar": (
        "basement", "beer cellar", "keg cellar", "wine cellar", "cave", "pit", "crawl space",
    ),
    "cold room": (
        "walk in", "walkin", "walk in fridge", "walk in cooler", "walk in freezer", "coldroom",
        "fridge", "refrigerator", "cooler", "freezer", "keg room", "keg cooler", "chiller",
        "cold store", "reach in",
    ),
    "lift": ("elevator", "dumb waiter", "dumbwaiter", "goods lift", "service lift"),
    "car": ("taxi", "cab", "vehicle", "boot", "boot of a car", "trunk"),
    "van": ("truck", "lorry", "delivery van", "camper", "trailer", "minibus", "food truck"),
}  # fmt: skip
_BY_WORD = {word: place for place, words in _ALSO.items() for word in words}


def forbids(place: str, cold: bool) -> bool:
    """Whether the place itself is the reason for a stop, so that no amount helps there.

    cold: dry ice or liquid nitrogen is there.

    >>> forbids("lift", False), forbids("cellar", False), forbids("cellar", True)
    (True, False, True)
    """
    return place in BOXES or (cold and place in NO_CRYOGEN)


def less(place: str, cold: bool) -> dict[str, str]:
    """The facts that tell how to come below a limit; in a place that forbids it, no amount.

    >>> less("bar", False)["less_gas"], less("lift", False)["less_gas"]
    ('Take less gas or a larger room', 'Set none free in a lift')
    """
    if forbids(place, cold):
        none = f"Set none free in a {place}"
        return {"less_gas": none, "less_gas_or_air": none}
    return {
        "less_gas": "Take less gas or a larger room",
        "less_gas_or_air": "Take less gas, a larger room or more measured fresh air",
    }


def tidy(said: str) -> str:
    """The kind of room that a word means; a word that is not known stays as it is.

    >>> tidy("Walk-in"), tidy("the elevator"), tidy("attic")
    ('cold room', 'lift', 'attic')
    """
    words = " ".join(said.lower().replace("-", " ").split())
    for article in ("in ", "a ", "an ", "the "):
        words = words.removeprefix(article)
    return _BY_WORD.get(words, words)
