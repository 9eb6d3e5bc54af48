"""What a card says to do and not to do: sentences of the cautions, the most serious first.

No sentence is written here. A sentence that forbids ("Never ...", "Do not ...", "Nobody ...") goes
to what not to do, one of an action that asks for something to what to do.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from prepkit.render.fitting import sentences

MOST = 3  # of each kind, on one card
_FORBIDS = re.compile(r"(?:[^?]*\? )?(?:Never|Do not|Nobody|Nothing|No|Not)\b")
# in a hazard "No measurement was found" forbids nothing
_HAZARD_FORBIDS = re.compile(r"(?:[^?]*\? )?(?:Never|Do not|Nobody)\b|[^:]*: never\b")
# said by a note alone, such a word has lost what it stands for
_POINTS_BACK = re.compile(r"\b(?:it|its|them|they|these|those|both|one|each)\b", re.IGNORECASE)
# the symbol in the sign beside a sentence; a plain sign where none of these says it
_DONE = ((r"\bvent\b", "vent"), (r"\bgoggles\b|\beye protection\b", "goggles"))
_FORBIDDEN = (
    (r"\bflames?\b|\bhob\b", "flame"), (r"^nobody (?:goes|enters)\b", "person"),
    (r"\bseal\b|\bclosed?s?\b", "sealed"), (r"\bdry ice\b|\bnitrogen\b", "cold"),
)  # fmt: skip
_RANKS = {"stop": 0, "care": 1}
_ALWAYS, _NOTE = 2, 3


@dataclass(frozen=True)
class Point:
    """A caution as a card needs it: what can happen, what to do, how grave, of which item."""

    id: str
    kind: str
    severity: str
    text: str
    action: str
    standing: bool = False
    of: str = ""

    @property
    def rank(self) -> int:
        """0 for a stop, then care, then what always stands, then notes."""
        return _ALWAYS if self.standing else _RANKS.get(self.severity, _NOTE)


@dataclass(frozen=True)
class Advice:
    """One sentence for a card, and the caution that it is of."""

    words: str
    point: Point


@dataclass(frozen=True)
class Chosen:
    """What stands on a card, and the cautions to mind of which nothing does."""

    do: tuple[Advice, ...]
    never: tuple[Advice, ...]
    left: tuple[Point, ...]


def _told(text: str) -> list[str]:
    """The sentences of a text; a question stays with its answer."""
    told: list[str] = []
    for one in sentences(text):
        if told and told[-1].endswith("?"):
            told[-1] += f" {one}"
        else:
            told.append(one)
    return told


def split(point: Point) -> tuple[list[Advice], list[Advice]]:
    """What a caution asks for and what it forbids.

    >>> do, never = split(Point("a", "heat", "care", "It is hot.", "Never touch it. Let it cool."))
    >>> [one.words for one in do], [one.words for one in never]
    (['Let it cool.'], ['Never touch it.'])
    """
    of = f"{point.of}: " if point.of else ""
    do: list[Advice] = []
    never = [Advice(of + one, point) for one in _told(point.text) if _HAZARD_FORBIDS.match(one)]
    for one in _told(point.action):
        (never if _FORBIDS.match(one) else do).append(Advice(of + one, point))
    return do, never


def _lost(one: Advice) -> bool:
    """Whether a sentence of a note points back to words that are not on the card."""
    return one.point.rank == _NOTE and _POINTS_BACK.search(one.words) is not None


def symbol(words: str, forbids: bool) -> str:
    """The symbol in the sign beside a sentence; "" for a plain one.

    >>> symbol("Vent it before you open it.", False), symbol("Never drop it.", True)
    ('vent', '')
    """
    told = _FORBIDDEN if forbids else _DONE
    return next((name for look, name in told if re.search(look, words, re.IGNORECASE)), "")


def chosen(points: Sequence[Point], fits: Callable[[str], bool], most: int = MOST) -> Chosen:
    """At most `most` of each kind that fit their place.

    Each caution that asks for care has its first sentence before any has a second; then each
    hazard that always stands; then what is left, in this order. `left` are those cautions of
    which nothing found a place; notes are not counted.
    """
    ordered = sorted(points, key=lambda one: one.rank)
    do: list[Advice] = []
    never: list[Advice] = []
    told = {
        id(one): tuple([a for a in each if fits(a.words) and not _lost(a)] for each in split(one))
        for one in ordered
    }

    def place(found: Sequence[Advice], into: list[Advice]) -> bool:
        room = [one for one in found if one.words not in {each.words for each in into}]
        if len(into) >= most or not room:
            return False
        into.append(room[0])
        return True

    left = []
    for point in ordered:
        asked, forbidden = told[id(point)]
        first, second = ((forbidden, never), (asked, do))
        if point.rank < _ALWAYS:
            first, second = second, first
        if point.rank < _NOTE and not place(*first) and not place(*second):
            left.append(point)
    for point in ordered:
        asked, forbidden = told[id(point)]
        place(asked, do)
        place(forbidden, never)
    return Chosen(_in_order(do), _in_order(never), tuple(left))


def _in_order(found: Sequence[Advice]) -> tuple[Advice, ...]:
    return tuple(sorted(found, key=lambda one: one.point.rank))


def asks(point: Point) -> bool:
    """Whether a caution is of something gone wrong ("It will not vent? ..."); it is not split."""
    told = _told(point.text)
    return bool(told) and "? " in told[0]


def question(points: Sequence[Point]) -> Point | None:
    """The gravest caution that answers what to do when something goes wrong."""
    return min(filter(asks, points), key=lambda one: one.rank, default=None)
