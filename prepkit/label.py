"""What a label says, as it is handed from the plan to those who print it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from prepkit import jurisdictions
from prepkit.shared.use_by import UseBy
from prepkit.sheet import ValueSheet

LISTS = jurisdictions.LISTS
JURISDICTIONS = tuple(LISTS)
MOST_OPENED_DAYS = 365


@dataclass(frozen=True)
class Content:
    """One ingredient as it went in; `allergens` are the words to emphasise at it."""

    name: str
    g: float
    allergens: tuple[str, ...] = ()
    strained: bool = False


@dataclass(frozen=True)
class Label:
    """All that a label says; readings are those of the answer, each with label, unit, digits."""

    name: str
    calculator: str
    made: date
    use_by: UseBy
    g: float
    ml: float | None
    contents: tuple[Content, ...]
    contains: tuple[str, ...]  # the allergens to declare, by the list of the jurisdiction
    apart: tuple[str, ...]  # of these, what no ingredient in the list stands for
    also: tuple[str, ...]  # allergens of the other list
    jurisdiction: str
    readings: tuple[ValueSheet, ...]
    charged: str
    strength: str  # of a stock, in its own words
    hazards: tuple[tuple[str, str], ...]  # kind, words
    verdict: str
    inputs: Mapping[str, object]
    item: str = ""  # its id in the recipe
    shorts: tuple[str, ...] = ()  # the hazards in the words of a printed label
    sign: str = ""  # the sign of the gravest of them
    opened_days: int | None = None  # once opened; the user's own rule
    bottle: str = ""  # which of how many, where the batch is divided


@dataclass(frozen=True)
class NoLabel:
    """What must not be made has no label, but the reasons."""

    name: str
    calculator: str
    made: date
    reasons: tuple[str, ...]
    inputs: Mapping[str, object]
    verdict: str = "stop"
    item: str = ""
