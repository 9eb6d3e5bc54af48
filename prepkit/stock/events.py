"""One event and what it changes; what stands of a batch, oldest first.

Amounts are whole milligrams; a volume is worked out from the density of the batch. Nothing of an
event is edited later: a correction is an event of its own, which takes back the one it names.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields
from datetime import UTC, date, datetime, timedelta
from types import MappingProxyType
from typing import NamedTuple

from prepkit.errors import BadInput, one_line
from prepkit.stock.engine import Row, Value

# ---- amounts of stock as a person reads them ----


def amount_words(mg: int, density_g_m3: int | None = None) -> str:
    """An amount by its volume where the density is known, else by its weight.

    >>> amount_words(1_500_000), amount_words(2_400), amount_words(2_100_000, 1_050_000)
    ('1.5 kg', '2.4 g', '2 l')
    >>> amount_words(0, 1_050_000), amount_words(787_500, 1_050_000), amount_words(5)
    ('0 ml', '750 ml', '0.005 g')
    """
    if density_g_m3:
        ml = 1e3 * mg / density_g_m3
        return f"{_figure(ml / 1000)} l" if round(ml) >= 1000 else f"{_figure(ml)} ml"
    g = mg / 1000
    return f"{_figure(g / 1000)} kg" if round(g) >= 1000 else f"{_figure(g)} g"


def two_amounts(one_mg: int, other_mg: int, density_g_m3: int | None = None) -> tuple[str, str]:
    """Two amounts that are not the same, in words that show it.

    >>> two_amounts(1_000_000, 1_000_001), two_amounts(1_000_000, 500_000)
    (('1000.000 g', '1000.001 g'), ('1 kg', '500 g'))
    """
    one, other = amount_words(one_mg, density_g_m3), amount_words(other_mg, density_g_m3)
    if one != other:
        return one, other
    return f"{one_mg / 1000:.3f} g", f"{other_mg / 1000:.3f} g"


def _figure(value: float) -> str:
    """Four figures without noughts at the end, and never a power of ten."""
    if abs(value) >= 1000:
        return f"{value:.0f}"
    said = f"{value:.4g}"
    return f"{value:.6f}".rstrip("0").rstrip(".") if "e" in said else said


# ---- one event of a ledger ----

KINDS = (
    "made", "bought", "counted", "taken", "served", "moved", "sent", "received", "discarded",
    "measured", "corrected",
)  # fmt: skip
IN, OUT = ("made", "bought"), ("taken", "served", "discarded")
BETWEEN = ("moved", "sent", "received")
NO_DATE = "none"  # a use-by that was said to be none: dry goods, spirits
ON_THE_WAY = "on the way"  # the place of what was sent and has not been received
MOST_MG = 10**14  # 100 tonnes, as for any batch
MOST_LETTERS = 200
_YEARS = range(2000, 9000)  # of a time; beyond them there is no room for its zone
_CLOCK = timedelta(minutes=5)  # that two clocks of a house may be apart


class Cell(NamedTuple):
    """Where a part of the stock stands: an item of one batch, in one place, in a bottle or none."""

    site: str
    place: str
    item: str
    batch: str
    bottle: str


def now() -> datetime:
    """The time, to the second, in UTC."""
    return datetime.now(UTC).replace(microsecond=0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Event:
    """One event.

    `change_mg` is what it changes at its site and place: more than 0 where something comes in. A
    `moved`, `sent` or `received` event takes it from there and puts it at `to_...`. `data` holds
    what was measured (figures by name, with the unit in the name: `yield_g`, `brix`, `ph`), for a
    `counted` event `counted_mg`. `corrects` is the mark of the event that it takes back. `charged`
    says of a bottle whether it is under gas; None is not told.

    Raises BadInput for an unknown kind, a wrong sign, a date in the future, an empty name.
    """

    kind: str
    item: str
    batch: str
    change_mg: int = 0
    site: str = "house"
    place: str = ""
    bottle: str = ""
    to_site: str | None = None
    to_place: str | None = None
    to_bottle: str | None = None
    at: datetime = field(default_factory=now)
    container: str | None = None
    density_g_m3: int | None = None
    made_on: date | None = None
    use_by: date | str | None = None  # a date, NO_DATE, or None: not told
    reason: str = ""
    who: str = ""
    note: str = ""
    corrects: str | None = None
    data: Mapping[str, object] = field(default_factory=dict)
    charged: bool | None = None
    mark: str = field(default_factory=lambda: uuid.uuid4().hex)
    id: int = 0  # its number in the ledger; 0 until it is there
    noted: datetime = field(default_factory=now)

    def __post_init__(self) -> None:
        """Refuse what no event can be."""
        _words(self)
        _amount(self)
        _dates(self)
        _figures(self)
        object.__setattr__(self, "data", MappingProxyType(dict(self.data)))

    @property
    def cell(self) -> Cell:
        """Where it happened."""
        return Cell(self.site, self.place, self.item, self.batch, self.bottle)

    @property
    def to_cell(self) -> Cell | None:
        """Where it went, of what was moved, sent or received."""
        if self.to_site is None:
            return None
        return Cell(self.to_site, self.to_place or "", self.item, self.batch, self.to_bottle or "")

    def effects(self) -> tuple[tuple[Cell, int], ...]:
        """What it changes in the stock: mg by cell; what is moved changes nothing in all."""
        if not self.change_mg:
            return ()
        here, there = (self.cell, self.change_mg), self.to_cell
        return (here,) if there is None else (here, (there, -self.change_mg))

    def values(self) -> tuple[Value, ...]:
        """The values of its row, in the order of COLUMNS."""
        return (
            self.mark, self.kind, _time(self.at), _time(self.noted), self.site, self.place,
            self.item, self.batch, self.bottle, self.change_mg, self.to_site, self.to_place,
            self.to_bottle, self.container, self.density_g_m3, _day(self.made_on),
            _day(self.use_by), self.reason, self.who, self.note, self.corrects,
            json.dumps(dict(self.data), sort_keys=True, ensure_ascii=False, allow_nan=False),
            None if self.charged is None else GAS_WORDS[self.charged],
        )  # fmt: skip


COLUMNS = (
    "mark", "kind", "at", "noted", "site", "place", "item", "batch", "bottle", "change_mg",
    "to_site", "to_place", "to_bottle", "container", "density_g_m3", "made_on", "use_by",
    "reason", "who", "note", "corrects", "data", "charged",
)  # fmt: skip
LATER_COLUMNS = ("charged",)  # that no CSV of an earlier release has; left out, nothing was told
GAS_WORDS = {True: "yes", False: "no"}  # of `charged` in a row
ALL_COLUMNS = ", ".join(("id", *COLUMNS))
_SLOTS = tuple(one.name for one in fields(Event))


def of_row(row: Row) -> Event:
    """The event of a row of ALL_COLUMNS, which was judged when it was written."""
    said = dict(zip(("id", *COLUMNS), row, strict=True))
    said["at"], said["noted"] = time_of(said["at"]), time_of(said["noted"])
    said["made_on"], said["use_by"] = date_of(said["made_on"]), use_by_of(said["use_by"])
    said["data"] = MappingProxyType(json.loads(said["data"]))
    said["charged"] = charged_of(said["charged"])
    event = object.__new__(Event)
    for name in _SLOTS:
        object.__setattr__(event, name, said[name])
    return event


def time_of(words: str) -> datetime:
    """The time of a row."""
    return datetime.fromisoformat(words)


def date_of(words: str | None) -> date | None:
    """The date of a row."""
    return date.fromisoformat(words) if words else None


def use_by_of(words: str | None) -> date | str | None:
    """The use-by of a row: a date, NO_DATE, or None."""
    return words if words == NO_DATE else date_of(words)


def charged_of(words: str | None) -> bool | None:
    """Whether a row says that a bottle is under gas; None where it does not say."""
    return None if words is None else words == GAS_WORDS[True]


def _time(at: datetime) -> str:
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S+00:00")


def _day(day: date | str | None) -> str | None:
    return day.isoformat() if isinstance(day, date) else day


# what is refused


def not_ahead(at: datetime) -> datetime:
    """The time itself; BadInput where it is in the future."""
    if at > datetime.now(UTC) + _CLOCK:
        raise BadInput(
            f"{at.astimezone():%Y-%m-%d %H:%M} is in the future. Write when it happened.", "at"
        )
    return at


_TEXTS = ("item", "batch", "site", "place", "bottle", "reason", "who", "note", "mark")
_NEEDED = ("item", "batch", "site", "mark")


def _words(event: Event) -> None:
    if event.kind not in KINDS:
        raise BadInput(
            f'"{event.kind}" is not a kind of event; write one of {", ".join(KINDS)}.', "kind"
        )
    for name in (*_TEXTS, "to_site", "to_place", "to_bottle", "container", "corrects"):
        words = getattr(event, name)
        if words is None and name not in _TEXTS:
            continue
        if not isinstance(words, str) or words != one_line(words) or words != words.strip():
            raise BadInput(f"{name} is {words!r}; write plain words on one line.", name)
        if len(words) > MOST_LETTERS:
            raise BadInput(f"{name} has {len(words)} letters; at most {MOST_LETTERS}.", name)
        if not words and (name in _NEEDED or name == "to_site"):
            raise BadInput(f"{name} is empty; write a name.", name)
    if event.kind == "discarded" and not event.reason:
        raise BadInput("why was it thrown away? Write the reason in a word or two.", "reason")
    if (event.kind == "corrected") != (event.corrects is not None):
        raise BadInput("a correction names the event that it takes back.", "corrects")
    if event.kind != "corrected" and (event.kind in BETWEEN) != (event.to_site is not None):
        raise BadInput(f'a "{event.kind}" event names where it went only if it moved.', "to_site")
    if event.to_site is None and (event.to_place is not None or event.to_bottle is not None):
        raise BadInput("to_place and to_bottle go with to_site.", "to_site")


def _amount(event: Event) -> None:
    change = event.change_mg
    if isinstance(change, bool) or not isinstance(change, int) or abs(change) > MOST_MG:
        raise BadInput(
            f"change_mg is {change!r}; write whole milligrams, at most 100 tonnes.", "change_mg"
        )
    wrong = (
        (event.kind in IN and change <= 0)
        or (event.kind in (*OUT, *BETWEEN) and change >= 0)
        or (event.kind == "measured" and change != 0)
    )
    if wrong:
        raise BadInput(
            f'the amount of a "{event.kind}" event is {abs(change) / 1000:g} g; it must be more '
            f"than 0.",
            "change_mg",
        )
    if event.to_cell == event.cell:
        raise BadInput(f"{event.item} stands there already; name another place.", "to_place")
    density = event.density_g_m3
    if density is not None and not 1_000 <= density <= 25_000_000:
        raise BadInput(
            f"the density is {density / 1e6:g} kg/l; it must be between 0.001 and 25 kg/l.",
            "density",
        )


def _figures(event: Event) -> None:
    if event.charged is not None:
        if not isinstance(event.charged, bool):
            raise BadInput(f'charged is "{event.charged}"; write yes or no.', "charged")
        if event.charged and not (event.bottle or event.to_bottle):
            raise BadInput(
                f"{event.item} is under gas in no container; say in which bottle or keg.", "charged"
            )
    try:
        json.dumps(dict(event.data), allow_nan=False)
    except (TypeError, ValueError, RecursionError) as error:
        raise BadInput(
            f"the data of {event.item} cannot be kept; write words and finite numbers.", "data"
        ) from error


def _dates(event: Event) -> None:
    for name in ("at", "noted"):
        moment = getattr(event, name)
        if not isinstance(moment, datetime) or moment.tzinfo is None:
            raise BadInput(
                f'{name} is "{moment}"; write a time with its zone, such as '
                f"2026-03-01T18:00:00+00:00.",
                name,
            )
        if moment.year not in _YEARS:
            raise BadInput(
                f"{moment:%Y-%m-%d} is out of range; write a year from {_YEARS[0]} on.",
                name,
            )
    latest = datetime.now(UTC) + _CLOCK
    not_ahead(event.at)
    if event.made_on is not None and event.made_on > latest.astimezone().date():
        raise BadInput(
            f"{event.made_on.isoformat()} is in the future. Write the day it was made.", "made_on"
        )
    use_by = event.use_by
    if isinstance(use_by, str) and use_by != NO_DATE:
        raise BadInput(f'use by is "{use_by}"; write a date, or "{NO_DATE}".', "use_by")
    if isinstance(use_by, date) and event.made_on is not None and use_by < event.made_on:
        raise BadInput(
            f"use by {use_by.isoformat()} is before the day it was made, "
            f"{event.made_on.isoformat()}.",
            "use_by",
        )


# ---- what stands ----


class Batch(NamedTuple):
    """What the standing events of one batch say of it."""

    made_on: date | None = None
    use_by: date | str | None = None
    density_g_m3: int | None = None
    reading: Mapping[str, object] = {}
    containers: Mapping[str, str] = {}  # by bottle
    charged: Mapping[str, bool] = {}  # whether it is under gas, by bottle, where that was told

    @classmethod
    def of(cls, events: Iterable[Event]) -> Batch:
        """The facts of all events of one batch in their order: the last that was told holds.

        Of several last days the earliest holds: none is made later but by taking its event back.
        """
        told = list(events)
        back = {event.corrects: event.mark for event in told if event.corrects is not None}
        found = cls()
        for event in told:
            if event.kind == "corrected" or not stands(event.mark, back):
                continue
            bottle = event.bottle if event.to_bottle is None else event.to_bottle
            found = cls(
                event.made_on or found.made_on,
                _earliest(found.use_by, event.use_by),
                event.density_g_m3 or found.density_g_m3,
                {**found.reading, **event.data} if event.kind == "measured" else found.reading,
                {**found.containers, bottle: event.container}
                if event.container
                else found.containers,
                found.charged
                if event.charged is None
                else {**found.charged, bottle: event.charged},
            )
        return found

    def row(self) -> tuple[str | None, str | None, int | None, str, str, str]:
        """Its row in the ledger, without item and batch."""
        use_by = self.use_by.isoformat() if isinstance(self.use_by, date) else self.use_by
        return (
            self.made_on.isoformat() if self.made_on else None,
            use_by,
            self.density_g_m3,
            json.dumps(dict(self.reading), sort_keys=True, ensure_ascii=False),
            json.dumps(dict(self.containers), sort_keys=True, ensure_ascii=False),
            json.dumps(dict(self.charged), sort_keys=True, ensure_ascii=False),
        )


def later(use_by: date | str, told: date | str | None) -> bool:
    """Whether a last day is later than the one that was told; NO_DATE is the latest."""
    return isinstance(told, date) and (not isinstance(use_by, date) or use_by > told)


def _earliest(told: date | str | None, use_by: date | str | None) -> date | str | None:
    return told if use_by is None or later(use_by, told) else use_by


def stands(mark: str, back: Mapping[str, str]) -> bool:
    """Whether an event holds: taken back once it does not, and that taken back it does again.

    back: by mark, the mark of the event that takes it back.
    """
    holds = True
    while mark in back:
        mark, holds = back[mark], not holds
    return holds


class Holding(NamedTuple):
    """A part of the stock: where it stands, how much it is, and what is known of its batch."""

    cell: Cell
    mg: int
    batch: Batch = Batch()

    @property
    def kg(self) -> float:
        """Mass, kg."""
        return self.mg / 1e6

    @property
    def ml(self) -> float | None:
        """Volume at the density of the batch; None where that is not known."""
        return 1e3 * self.mg / self.batch.density_g_m3 if self.batch.density_g_m3 else None

    @property
    def container(self) -> str | None:
        """The container that its bottle is."""
        return self.batch.containers.get(self.cell.bottle)

    @property
    def charged(self) -> bool | None:
        """Whether its bottle is under gas; None where nobody told. What stands loose is not."""
        return self.batch.charged.get(self.cell.bottle, None if self.cell.bottle else False)

    def keeps_on(self, day: date) -> bool:
        """Whether it may be used on a day; not where its date has passed or was never told."""
        use_by = self.batch.use_by
        return use_by == NO_DATE or (isinstance(use_by, date) and day <= use_by)


def oldest_first(holdings: Iterable[Holding]) -> list[Holding]:
    """The order in which stock is used: what must go first, then what was made first.

    What has no date goes last; open stock before bottles, and bottles by their number.
    """

    def order(holding: Holding) -> tuple[object, ...]:
        use_by, made_on = holding.batch.use_by, holding.batch.made_on
        return (
            use_by if isinstance(use_by, date) else date.max,
            made_on or date.max,
            holding.cell.batch,
            holding.cell.place,
            len(holding.cell.bottle),
            holding.cell.bottle,
        )

    return sorted(holdings, key=order)


class Share(NamedTuple):
    """So much of one holding."""

    holding: Holding
    mg: int


def shares(holdings: Iterable[Holding], mg: int) -> tuple[tuple[Share, ...], int]:
    """At most `mg` out of holdings in their order, and what is lacking."""
    found: list[Share] = []
    for holding in holdings:
        if mg <= 0:
            break
        take = min(holding.mg, mg)
        found.append(Share(holding, take))
        mg -= take
    return tuple(found), max(mg, 0)
