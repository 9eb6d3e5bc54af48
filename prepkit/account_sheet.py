"""Sheets of measured batches: drift, corrections and what they change. See `prepkit.sheet`."""

from __future__ import annotations

from typing import Any, NotRequired, TypedDict


class DriftSheet(TypedDict):
    """One reading beside what was expected of it."""

    item: str
    what: str
    label: str
    unit: str
    digits: int
    expected: float
    tolerance: float | None
    may_be_off: float
    measured: float
    written: str
    off: float
    beyond: bool


class AccountCaution(TypedDict):
    """A caution that follows from a reading."""

    item: str
    id: str
    kind: str
    severity: str
    text: str
    action: str
    source: str


class AddSheet(TypedDict):
    """What a correction adds."""

    name: str
    g: float
    ml: float | None


class CorrectionCaution(TypedDict):
    """What a correction asks to be careful with."""

    id: str
    severity: str
    text: str
    action: str
    source: str


class CorrectionSheet(TypedDict):
    """What sets an item right, or why nothing does (`refused`); then it becomes nothing."""

    item: str
    mass_g: float
    verdict: str
    refused: str | None
    add: list[AddSheet]
    becomes_g: NotRequired[float]
    becomes_abv: NotRequired[float | None]
    inputs: NotRequired[dict[str, Any]]  # words and numbers, as a calculator was given them
    cautions: NotRequired[list[CorrectionCaution]]


class PhSheet(TypedDict):
    """What becomes of a measured pH."""

    item: str
    measured: float
    off: float
    given_to: list[str]
    titrate: bool


class ShortDrink(TypedDict):
    """How many of a drink an item is enough for, of those that are planned."""

    name: str
    planned: int
    serves: int


class ShortSheet(TypedDict):
    """An item of which less was made than is needed: what is to be made more, or served less.

    `serves` is that of the drink of which most are planned; `drinks` are all that it goes into.
    """

    item: str
    have_g: float
    needed_g: float
    more_g: float
    serves: int
    drinks: list[ShortDrink]


class ChangedLine(TypedDict):
    """A weighing that changes."""

    name: str
    before_g: float
    after_g: float


class ChangedReading(TypedDict):
    """A reading that changes."""

    label: str
    unit: str
    digits: int
    before: float
    after: float


class ChangedItem(TypedDict):
    """What is weighed or read differently after what drifted."""

    item: str
    lines: list[ChangedLine]
    readings: list[ChangedReading]
    verdict: str
    held_by: list[str]


class AccountSheet(TypedDict):
    """The account of the readings."""

    file: str
    verdict: str
    readings: list[DriftSheet]
    beyond: list[str]
    cautions: list[AccountCaution]
    ph: list[PhSheet]
    unstated: list[str]
    corrections: list[CorrectionSheet]
    short: list[ShortSheet]
    downstream: list[ChangedItem]
    unread: list[str]  # the items of which something was typed that cannot be used
