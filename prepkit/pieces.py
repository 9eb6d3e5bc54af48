"""Pieces: words for a counted part of an ingredient, and what one weighs.

An entry of the pantry lists its pieces, each with a weight in g and the band in which one piece
lies. A word is taken only where the entry lists it: "5 basil leaves" is read, "5 cherry leaves" is
not read as cherries.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from prepkit.patterns import later

BAND = 0.25  # of a weight that has no band of its own: single pieces of a lot scatter 6 to 27 %
SIZES = ("small", "medium", "large", "extra large", "jumbo")
WHOLE = "piece"  # the key of a piece that needs no word: "12 lemons"
_PARTS = (
    "leaf", "sprig", "stick", "stalk", "clove", "bulb", "wheel", "wedge", "slice", "thin slice",
    "twist", "strip", "zest", "peel", "juice", "scoop", "bean", "pod", "star", "berry", "seed",
    "nut", "shot", "double shot", "cube", "packet", "sheet", "bag", "white", "yolk", "ring",
    "peppercorn", "handful", "flower", "petal", "bottle", "tsp", "tbsp",
)  # fmt: skip
SIZED = ("juice", "peel")  # what a fruit of another size gives more or less of
WORDS = (*_PARTS, *SIZES, *(f"{size} {part}" for size in SIZES for part in SIZED))
SPOONS = ("tsp", "tbsp")  # weights of a measure; no form of the thing itself
_OF = later(
    r"^(?P<part>zests?|peels?|juice|whites?|yolks?|twists?|wedges?|wheels?|slices?)\s+of\s+"
    r"(?P<count>(?:an?|one|half an?)(?=\s)|[0-9½¼¾][0-9.,/½¼¾ ]*)\s*(?P<of>\S.*)$",
    re.IGNORECASE,
)
_COUNTS = {"a": "1", "an": "1", "one": "1", "half a": "0.5", "half an": "0.5"}
# a word that is two things: the sentence that asks which
ASKED = {"clove": "A clove of garlic weighs about 3 g, the spice about 0.1 g"}
_WHICH = {"clove": '"garlic clove" or "whole spice clove"'}
_OF_PEEL = {"twist": "peel", "strip": "peel"}
_SPICE = {"spice clove": "clove", "whole spice clove": "clove", "clove spice": "clove"}


class Piece(NamedTuple):
    """What one piece weighs: the usual weight and the band in which one lies, g."""

    g: float
    low: float
    high: float
    source: str = ""
    note: str = ""

    @property
    def share(self) -> float:
        """Half the band as a share of the weight: the ± of a weight by pieces.

        Pieces of one lot are alike, so the ± of many is not taken as smaller than that of one.

        >>> round(Piece(3.0, 2.0, 4.5).share, 3)
        0.5
        """
        return max(self.high - self.g, self.g - self.low) / self.g


class Named(NamedTuple):
    """Words of a piece: which part of what ("leaf", "basil"); no part where none is said."""

    part: str
    name: str


def of_entry(entry: Mapping[str, Any]) -> dict[str, Piece]:
    """The pieces that an entry lists, by their word; `WHOLE` where it is counted by itself."""
    found: dict[str, Piece] = {}
    if "piece_g" in entry:
        whole = entry["piece_g"]
        low, high = whole * (1 - BAND), whole * (1 + BAND)
        found[WHOLE] = Piece(whole, low, high, entry.get("source", ""), entry.get("piece_note", ""))
    for word, row in entry.get("pieces", {}).items():
        g = row["g"]
        found[word] = Piece(
            g,
            row.get("low", g * (1 - BAND)),
            row.get("high", g * (1 + BAND)),
            row.get("source", entry.get("source", "")),
            row.get("note", ""),
        )
    return found


def spoon(known: Mapping[str, Piece], word: str) -> Piece | None:
    """One level spoon of what is dry, "tsp" or "tbsp"; None where neither is listed.

    A tablespoon is three teaspoons by definition. The spoons of all systems lie in the band.

    >>> spoon({"tsp": Piece(2.0, 1.5, 2.5)}, "tbsp").g, spoon({}, "tsp")
    (6.0, None)
    """
    if word in known:
        return known[word]
    other, times = ("tsp", 3.0) if word == "tbsp" else ("tbsp", 1 / 3)
    one = known.get(other)
    if one is None:
        return None
    return one._replace(g=times * one.g, low=times * one.low, high=times * one.high)


def single(word: str) -> str:
    """A word of a piece in the singular.

    >>> single("leaves"), single("Berries"), single("slices"), single("bus")
    ('leaf', 'berry', 'slice', 'bus')
    """
    word = word.lower()
    if word == "leaves":
        return "leaf"
    if word == "berries":
        return "berry"
    short = word[:-1]
    return short if word.endswith("s") and short.split(" ")[-1] in _LAST else word


_LAST = frozenset(word.split(" ")[-1] for word in WORDS)


def turned(words: str) -> str:
    """ "zest of 6 lemons" with its count first: "6 zest of lemons"; other words as they are.

    >>> turned("zest of 6 lemons"), turned("juice of a lime"), turned("200 g lemon juice")
    ('6 zest of lemons', '1 juice of lime', '200 g lemon juice')
    """
    match = _OF.match(words.strip())
    if match is None:
        return words
    count = " ".join(match["count"].lower().split())
    return f"{_COUNTS.get(count, count)} {single(match['part'])} of {match['of']}"


def part_of(words: str) -> str:
    """The part in "zest of 6 lemons", in the singular; empty where none is said so.

    >>> part_of("zests of 6 lemons"), part_of("6 limes")
    ('zest', '')
    """
    match = _OF.match(words.strip())
    return single(match["part"]) if match else ""


def readings(name: str) -> Iterator[Named]:
    """The ways to read words that are counted, the likeliest first.

    >>> list(readings("large eggs"))
    [Named(part='', name='large eggs'), Named(part='large', name='eggs')]
    >>> list(readings("zest of lemons"))[1:]
    [Named(part='zest', name='lemons'), Named(part='zest', name='lemon zest')]
    >>> list(readings("mint leaves"))[1:]
    [Named(part='leaf', name='mint')]
    """
    tidy = " ".join(name.lower().split())
    yield Named("", _SPICE.get(single(tidy), tidy))
    words = tidy.split()
    for count in (2, 1):
        part, rest = single(" ".join(words[:count])), words[count:]
        if part in WORDS and rest:
            of = " ".join(rest[1:] if rest[0] == "of" and len(rest) > 1 else rest)
            yield Named(part, of)
            yield from _sized(part, of)
            if part in _PARTS:
                yield Named(part, f"{of.removesuffix('s')} {_OF_PEEL.get(part, part)}")
        part, rest = single(" ".join(words[-count:])), words[:-count]
        if part in _PARTS and rest:
            yield Named(part, " ".join(rest))
            if part in _OF_PEEL:
                yield Named(part, f"{' '.join(rest)} {_OF_PEEL[part]}")


def _sized(part: str, of: str) -> Iterator[Named]:
    """ "juice of large oranges" as the large juice of an orange; of a medium one as the usual."""
    size, _, fruit = of.partition(" ")
    if part in SIZED and size in SIZES and fruit:
        name = f"{fruit.removesuffix('s')} {part}"
        yield Named(part if size == "medium" else f"{size} {part}", name)


def which(name: str) -> str:
    """The sentence that asks which of two things a counted word means; empty where it is plain.

    >>> which("cloves")
    'which one? A clove of garlic weighs about 3 g, the spice about 0.1 g'
    """
    said = ASKED.get(single(" ".join(name.lower().split())))
    return f"which one? {said}" if said else ""


def choices(name: str) -> str:
    """What to write instead of a word that is two things."""
    return _WHICH[single(" ".join(name.lower().split()))]
