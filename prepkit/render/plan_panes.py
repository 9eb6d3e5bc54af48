"""A plan in four panes, and its times as a strip with a column for each person.

Idle time is folded, and its length is written where it was. The table beside it says the same.

Each is a screen or two of a phone. What is weighed for an item stands on its batch sheet.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

from prepkit.numbers import Moment, length_words
from prepkit.render.plan_lists import (
    UNITS,
    amount,
    hands_words,
    moment,
    money_words,
    shopping_lines,
    time_lines,
    timed_step_words,
)
from prepkit.render.plan_text import NO_ALLERGENS, each_words, held_words, serve_facts

if TYPE_CHECKING:
    from prepkit.sheet import (
        ItemSheet,
        PlacedStep,
        PlanSheet,
        ServeSheet,
        TimetableSheet,
        VesselSheet,
    )

# ---- the timetable as a strip that runs downwards ----

WIDE, LEFT, APART = 328, 48, 7  # of the picture, of the times at its left, between columns
MOST_COLUMNS, MOST_STEPS = 4, 80
PER_MIN = 2.05  # height of a minute
LONGEST_IDLE = 45.0  # minutes that are drawn as they are; a longer pause is folded
FOLDED = 46.0  # height of a folded pause
LEAST = 17.0  # height of a bar with one line in it
LINE = 14.5
LETTER = 5.9  # width of one
DAY_ROOM = 24.0  # for the name of a day above its first line
HALF_HOUR = 30


class Bar(NamedTuple):
    """Some work, or a round of vessels, in its column."""

    x: float
    wide: float
    top: float
    high: float
    lines: Sequence[str]
    vessels: bool = False


class Mark(NamedTuple):
    """A line across, with a time or a day."""

    top: float
    words: str
    day: bool = False


class Pause(NamedTuple):
    """Idle time that is folded."""

    top: float
    words: str


class Strip(NamedTuple):
    """The picture: columns by where they begin, bars, lines across, pauses, service."""

    columns: Sequence[tuple[float, str]]
    bars: Sequence[Bar]
    marks: Sequence[Mark]
    pauses: Sequence[Pause]
    service: float
    service_at: float  # of its words
    service_words: str
    high: float
    says: str


class Round(NamedTuple):
    """Vessels of one item that are charged together."""

    item: str
    vessel: str
    number: int
    vessels: int
    start: float
    end: float


def rounds(said: PlanSheet) -> list[Round]:
    """The rounds of vessels: the first before service, the others as vessels come free."""
    table = said["timetable"]
    found = []
    for one in said["vessels"]:
        has = one["house_has"] or one["fills"]
        first = [step for step in (table["steps"] if table else ()) if step["item"] == one["item"]]
        later = {each["item"]: each["min"] for each in (table["later"] if table else ())}
        start = next((s["start_min"] for s in first if s["times"] > 1), 0.0)
        start = start or min((s["start_min"] for s in first), default=0.0)
        for number in range(1, math.ceil(one["fills"] / has) + 1):
            count = min(has, one["fills"] - has * (number - 1))
            takes = later.get(one["item"], 0.0)
            begin = start if number == 1 else takes * (number - 2)
            found.append(
                Round(one["item"], one["vessel"], number, count, begin,
                      0.0 if number == 1 else takes * (number - 1))
            )  # fmt: skip
    return found


def strip(said: PlanSheet) -> Strip | None:
    """The picture of a plan's times; None without steps, or where it would not be readable."""
    table = said["timetable"]
    if table is None:
        return None
    work = [one for one in table["steps"] if one["person"]]
    turns = rounds(said)
    more = any(one.number > 1 for one in turns)
    people = max((one["person"] for one in work), default=0)
    columns = people + more
    if not work or columns > MOST_COLUMNS or len(work) > MOST_STEPS:
        return None
    wide = (WIDE - LEFT - APART * (columns - 1)) / columns
    at = [LEFT + n * (wide + APART) for n in range(columns)]
    spans = [(one["start_min"], one["start_min"] + one["hands_on_min"]) for one in work]
    spans += [(one.start, one.end) for one in turns if more] + [(0.0, 0.0)]
    moment = _read(table)
    axis = _Axis(spans, None if moment is None else 60 * moment.at.hour + moment.at.minute)
    bars = _bars(work, axis, at, wide)
    if more:
        bars += _turns(turns, axis, at[-1], wide)
    names = [f"Person {n}" if people > 1 else "Hands" for n in range(1, people + 1)]
    names += ["Vessels"] if more else []
    bottom = max([axis.bottom, *(one.top + one.high for one in bars)])
    return Strip(
        list(zip(at, names, strict=True)),
        bars,
        _marks(axis, moment),
        axis.pauses(),
        axis.at(0.0),
        max([axis.at(0.0), *(one.top + one.high for one in bars if not one.vessels)]) + 14,
        f"Service {moment.at:%H:%M}" if moment else "Service",
        bottom + 22.0,
        f"The work of {people} {'person' if people == 1 else 'people'} back from service"
        f"{' and the rounds of vessels' if more else ''}. The table says the same.",
    )


class _Axis:
    """Minutes from service to places downwards, idle time folded."""

    def __init__(self, spans: Iterable[tuple[float, float]], zero: int | None) -> None:
        self.parts: list[tuple[float, float, float]] = []  # from, to, its top
        self.zero = zero  # service, minutes after midnight
        top = 24.0 + DAY_ROOM * (zero is not None)
        for start, end in sorted(spans):
            if self.parts and start - self.parts[-1][1] <= LONGEST_IDLE:
                first, last, where = self.parts[-1]
                self.parts[-1] = (first, max(last, end), where)
                continue
            if self.parts:
                first, last, where = self.parts[-1]
                top = where + max(LEAST, PER_MIN * (last - first)) + FOLDED
                top += DAY_ROOM * (self.day(last) != self.day(start))
            self.parts.append((start, end, top))

    def day(self, minutes: float) -> int:
        """The day of a moment, 0 that of service."""
        return 0 if self.zero is None else math.floor((self.zero + round(minutes)) / 1440)

    @property
    def bottom(self) -> float:
        """Where it ends."""
        first, last, where = self.parts[-1]
        return where + max(LEAST, PER_MIN * (last - first))

    def at(self, minutes: float) -> float:
        """The place of a moment."""
        for first, last, where in reversed(self.parts):
            if minutes >= first:
                return where + PER_MIN * (min(minutes, last) - first)
        return self.parts[0][2]

    def pauses(self) -> list[Pause]:
        """The folded pauses, each with its length."""
        found = []
        for (_, last, _), (first, _, where) in zip(self.parts, self.parts[1:], strict=False):
            top = where - FOLDED / 2 - DAY_ROOM * (self.day(last) != self.day(first))
            found.append(Pause(top, f"{length_words(first - last)} no hands"))
        return found


def _read(table: TimetableSheet) -> Moment | None:
    return None if table["service"] is None else Moment.read(table["service"], "service")


def _bars(work: Sequence[PlacedStep], axis: _Axis, at: Sequence[float], wide: float) -> list[Bar]:
    below = [0.0] * len(at)
    found = []
    for one in work:
        column = one["person"] - 1
        high = max(LEAST, PER_MIN * one["hands_on_min"] - 1.5)
        end = axis.at(one["start_min"] + one["hands_on_min"]) - 1.5
        top = max(min(axis.at(one["start_min"]), end - high), below[column], 26.0)
        below[column] = top + high + 1.5
        words = _fitted(one["item"], one["text"], wide, high)
        found.append(Bar(at[column], wide, top, high, words))
    return found


def _turns(turns: Sequence[Round], axis: _Axis, x: float, wide: float) -> list[Bar]:
    found: list[Bar] = []
    for one in turns:
        top = max([axis.at(one.start), *(bar.top + bar.high + 1.5 for bar in found[-1:])])
        high = max(2 * LINE + 4, axis.at(one.end) - axis.at(one.start) - 1.5)
        many = f"{one.vessels} vessel{'' if one.vessels == 1 else 's'}"
        found.append(Bar(x, wide, top, high, [f"Round {one.number}", many], vessels=True))
    return found


def _fitted(item: str, text: str, wide: float, high: float) -> list[str]:
    """As many lines as a bar has room for: the item, then what is done."""
    lines = max(1, int((high - 2) / LINE))
    room = max(6, int((wide - 8) / LETTER))
    if lines == 1:
        return [item if len(item) <= room else f"{item[: room - 1]}…"]
    return [
        *textwrap.wrap(item, room)[:lines],
        *textwrap.wrap(text, room, max_lines=lines, placeholder="…", break_on_hyphens=False),
    ][:lines]


def _marks(axis: _Axis, moment: Moment | None) -> list[Mark]:
    """Half hours, and the line where a day begins."""
    found: list[Mark] = []
    zero = 0 if moment is None else 60 * moment.at.hour + moment.at.minute
    day: int | None = None
    for first, last, where in axis.parts:
        if moment is not None and day != axis.day(first):
            day = axis.day(first)
            found.append(Mark(where - 12, day_words(moment, day), day=True))
        begin = HALF_HOUR * math.ceil((zero + first - 12) / HALF_HOUR)
        for clock in range(begin, math.floor(zero + last + 1e-6) + 1, HALF_HOUR):
            top = axis.at(max(clock - zero, first))
            if moment is None:
                words = "service" if clock == 0 else f"-{length_words(-clock)}"
                found.append(Mark(top, words if clock <= 0 else f"+{clock} min"))
                continue
            if day != clock // 1440:
                day = clock // 1440
                found.append(Mark(top, day_words(moment, day), day=True))
                continue
            found.append(Mark(top, f"{clock // 60 % 24:02}:{clock % 60:02}"))
    return found


def day_words(service: Moment, days: int) -> str:
    """The day so many days after that of service, which is 0.

    >>> day_words(Moment.read("2026-11-28 18:00", "service"), -1)
    'Fri 27 Nov'
    >>> day_words(Moment.read("18:00", "service"), -1), day_words(Moment.read("18:00", "x"), 0)
    ('The day before', 'Day of service')
    """
    if service.dated:
        day = datetime.combine(service.at.date(), datetime.min.time()) + timedelta(days=days)
        return f"{day:%a %d %b}"
    if days == 0:
        return "Day of service"
    side = "before" if days < 0 else "after"
    return f"The day {side}" if abs(days) == 1 else f"{abs(days)} days {side}"


# ---- a plan in four panes ----

MOST_ROWS = 200  # of the table of times; a plan of hundreds of items has it on its whole sheet


class Row(NamedTuple):
    """An item that is made, or why it is not."""

    id: str
    g: str
    ml: str
    verdict: str
    why: str
    makes: bool


class Vessels(NamedTuple):
    """The vessels of one item, in rounds where the house has fewer of them."""

    title: str
    rounds: Sequence[tuple[str, str, str]]
    each: str


class Served(NamedTuple):
    """What one serve is."""

    name: str
    parts: Sequence[str]
    facts: str
    allergens: str
    why: str


class Bought(NamedTuple):
    """Something to buy: how much is needed, and in which packs."""

    name: str
    need: str
    packs: str


class Start(NamedTuple):
    """A step: when it starts, of which item, what is done, and by whom."""

    time: str
    item: str
    words: str
    person: str
    moved: bool


class Panes(NamedTuple):
    """All four of them."""

    rows: Sequence[Row]
    vessels: Sequence[Vessels]
    serves: Sequence[Served]
    buy: Sequence[Bought]
    packs: bool
    bought: str
    left: Sequence[str]
    hands: str
    strip: Strip | None
    days: Sequence[tuple[str, Sequence[Start]]]
    lines: Sequence[str]
    people: bool
    steps: int


def panes(said: PlanSheet, system: str) -> Panes:
    """The panes of a plan."""
    turns = rounds(said)
    cost = said["cost"]
    table = said["timetable"]
    lines = shopping_lines(said, system)
    return Panes(
        [_row(one, system) for one in said["items"]],
        [_vessels(one, turns, system) for one in said["vessels"]],
        [_served(one, system) for one in said["serve"]],
        _buy(said, system),
        bool(cost),
        f"in all {money_words(cost)}" if cost else "",
        lines[1:] if cost else lines,
        hands_words(table) if table else "",
        strip(said),
        _days(said),
        time_lines(table) if table else [],
        bool(table and table["hands"] > 1),
        len(table["steps"]) if table else 0,
    )


def _row(item: ItemSheet, system: str) -> Row:
    why = held_words(item) if item["held_by"] else ""
    if item["verdict"] == "stop":
        why = "Not passed." if item["check"] else "Not to be made."
    if item["made_g"] is None if "made_g" in item else True:
        return Row(item["id"], "", "", item["verdict"], why or "A check.", item["makes"])
    made_ml = item["made_ml"]
    return Row(
        item["id"],
        amount(item["made_g"], "g", system),
        "" if made_ml is None else amount(made_ml, "ml", system),
        item["verdict"],
        why,
        item["makes"],
    )


def _vessels(one: VesselSheet, turns: Sequence[Round], system: str) -> Vessels:
    g, ml = UNITS[system]
    has = one["house_has"]
    own = f", own {has}" if has is not None and has < one["fills"] else ""
    each = f"Each: {each_words(one, system)} {g}"
    if one["each_ml"] is not None:
        each += f" ({amount(one['each_ml'], 'ml', system)} {ml})"
    if one["chargers_each"]:
        gas = f" {one['gas']}" if one["gas"] else ""
        each += f", {one['chargers_each']}{gas} charger{'s' * (one['chargers_each'] != 1)}"
    mine = [turn for turn in turns if turn.item == one["item"]]
    rows = []
    for turn in mine:
        when = "before service" if turn.number == 1 else "as vessels come free"
        chargers = turn.vessels * (one["chargers_each"] or 0)
        rows.append((f"{turn.number}, {when}", str(turn.vessels), str(chargers or "")))
    title = f"{one['item']}: fill vessel {one['vessel']} {one['fills']} times{own}"
    return Vessels(title, rows, f"{each}.")


def _served(serve: ServeSheet, system: str) -> Served:
    allergens = ", ".join(serve["allergens"]) or NO_ALLERGENS
    if "parts" not in serve:
        why = held_words(serve) if serve["held_by"] else "Not to be served: see the verdict."
        return Served(serve["name"], [], "", allergens, why)
    g, ml = UNITS[system]
    parts = []
    for part in (*serve["parts"], *serve["garnish"]):
        volume = part.get("ml")
        size = f"{amount(part['g'], 'g', system)} {g}"
        if isinstance(volume, float):
            size += f", {amount(volume, 'ml', system)} {ml}"
        parts.append(f"{part['words']} ({size})")
    return Served(serve["name"], parts, "; ".join(serve_facts(serve, system)), allergens, "")


def _buy(said: PlanSheet, system: str) -> list[Bought]:
    g, ml = UNITS[system]
    found = []
    for row in said["shopping"]:
        if row["ml"] is not None:
            need = f"{amount(row['ml'], 'ml', system)} {ml}"
        else:
            need = f"{amount(row['g'], 'g', system)} {g}"
        pieces = f"about {math.ceil(row['pieces'] - 1e-9)}" if row["pieces"] else ""
        packs = pieces
        if said["cost"]:
            packs = f"{row['packs']} × {row['pack']}" if row["packs"] else "no price"
            packs = "" if row["name"] == "water" else packs
        found.append(Bought(row["name"], need, packs))
    for one in said["charger_packs"]:
        packs = f"{one['packs']} × {one['pack']}" if one["packs"] else "no price"
        found.append(Bought(f"{one['gas']} charger", str(one["count"]), packs))
    if not said["cost"]:
        found += [
            Bought(f"{gas} charger", str(count), "")
            for gas, count in said["chargers"].items()
            if not said["charger_packs"]
        ]
    return found


def _days(said: PlanSheet) -> list[tuple[str, list[Start]]]:
    """The steps by their day; one day without a name where service has no time of day."""
    table = said["timetable"]
    if table is None:
        return []
    service = None if table["service"] is None else Moment.read(table["service"], "service")
    found: list[tuple[str, list[Start]]] = []
    for step in table["steps"][:MOST_ROWS]:
        name, time = "", moment(step["start"], step["start_min"])
        if service is not None:
            clock = 60 * service.at.hour + service.at.minute + round(step["start_min"])
            name, time = day_words(service, clock // 1440), _clock(clock)
        if not found or found[-1][0] != name:
            found.append((name, []))
        found[-1][1].append(_start(step, time))
    return found


def _start(step: PlacedStep, time: str) -> Start:
    who = str(step["person"]) if step["person"] else ""
    return Start(time, step["item"], timed_step_words(step), who, step["moved_days"] > 0)


def _clock(minutes: int) -> str:
    return f"{minutes // 60 % 24:02}:{minutes % 60:02}"
