"""A plan as HTML, made from its JSON form: one document to print and pin up; four panes.

The panes are of a phone, each a screen or two. The times are a strip with a column for each person.
Idle time is folded, and its length is written where it was. The table beside it says the same. What
is weighed for an item stands on its batch sheet.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple, Protocol

from prepkit.cautions import VERDICTS
from prepkit.errors import BadInput, named
from prepkit.model import Answer, Column, Source, Step, Table
from prepkit.numbers import Moment, length_words, nearest
from prepkit.render import charts, html
from prepkit.render.batch import measured_parts, of_item
from prepkit.render.charts import Chart
from prepkit.render.front import set_on
from prepkit.render.html import Cells, Look, Warned, cells, page, stamp, step_words, verdict
from prepkit.render.plan_first import first_page
from prepkit.render.plan_lists import (
    TIME_HEADERS,
    TIME_LETTERS,
    UNITS,
    allergen_rows,
    amount,
    hands_words,
    moment,
    money_lines,
    money_rows,
    money_words,
    scale_marks,
    shopping_lines,
    shopping_rows,
    sure_lines,
    time_lines,
    time_rows,
    time_title,
    timed_step_words,
    written_for,
)
from prepkit.render.plan_text import (
    NO_ALLERGENS,
    SHORT_VERDICT,
    decisive_words,
    each_words,
    from_words,
    held_words,
    must_not,
    other_values,
    routine_views,
    serve_facts,
    shown_value,
    uneven,
    vessel_words,
    yield_words,
)
from prepkit.render.text import UNEVEN_WORDS, advice, in_units, source_words
from prepkit.science.gases import GAS_NAMES

if TYPE_CHECKING:
    from prepkit.sheet import (
        CautionSheet,
        ItemSheet,
        PlacedStep,
        PlanSheet,
        ReadingSheet,
        ServeSheet,
        TimetableSheet,
        Told,
        ValueSheet,
        VesselSheet,
    )

# ---- a plan as one document ----

WORKED_OUT = "worked out, not read"
_STOP_WORDS = "something below must not be made"


class CardPlan(Protocol):
    """What a card needs of a plan beside its sheet."""

    def to_dict(self, service: Moment | None = None) -> PlanSheet:
        """The sheet."""

    def rests_on(self) -> dict[str, object]:
        """All that was given, for the hash that a card is traced by."""

    def answers(self) -> Mapping[str, Answer]:
        """By item that may be made its place in the plan and its answer, for pictures."""


@dataclass(frozen=True)
class Shown:
    """An item of the plan, or a serve, as it is shown."""

    key: str
    title: str
    verdict: str
    note: Sequence[str]
    stops: Sequence[tuple[str, str, str]] = ()
    held: str = ""
    weigh: Cells | None = None
    lines: Sequence[str] = ()
    readings: Sequence[tuple[str, str, str, str]] = ()  # the last: how far a measured one may be
    readings_title: str = ""
    others: Sequence[tuple[str, str, str]] = ()
    others_title: str = ""
    tables: Sequence[Cells] = ()
    charts: Sequence[Chart] = ()
    cautions: Sequence[int] = ()
    steps: Sequence[tuple[str, str, str, str]] = ()
    allergens: str = ""
    how: Sequence[str] = ()
    extra: Mapping[str, object] = field(default_factory=dict)


def plan_card(
    plan: CardPlan,
    look: Look,
    service: Moment | None = None,
    item: str | None = None,
    said: PlanSheet | None = None,
    address: str = "",
) -> str:
    """The card of a whole recipe for its serves, or of one of its items: one page.

    The details follow where they are asked for.

    `address` is that of the plan on a page that others can reach, for the code. Times of day where
    `service` is one; `said` is the plan's JSON form where that holds more than
    the plan alone says, such as readings. BadInput where there is no such item.
    """
    said = plan.to_dict(service) if said is None else said
    title = said["title"]
    if item is not None:
        said = narrowed(said, item)
        title = f"{item}: {title}"
    traced = stamp(look, plan.rests_on() | _read(said))
    return page(
        "plan.html",
        look,
        traced,
        front=set_on(
            html.of_plan(said, plan.answers(), look, traced, item, address), look.paper.name
        ),
        title=look.title or title,
        file=said["file"],
        serves=written_for(said),
        **_sheet(plan, said, look),
    )


def plan_verdict(said: PlanSheet, system: str = "metric") -> dict[str, object]:
    """The verdict of a plan and what must not be made, each as (what, why, what changes it)."""
    stop = said["verdict"] == "stop"
    return {
        "verdict": verdict(said["verdict"], _STOP_WORDS if stop else ""),
        "stops": [
            (must_not(one), in_units(one["text"], system), in_units(advice(one), system))
            for one in said["stops"]
        ],
    }


def plan_sheet(plan: CardPlan, said: PlanSheet, look: Look) -> str:
    """What the card shows below its verdict, to stand within a page; `said` is its JSON."""
    return page(
        "plan_sheet.html", look, stamp(look, {}), **{**_sheet(plan, said, look), "fold": True}
    )


def _sheet(plan: CardPlan, said: PlanSheet, look: Look) -> dict[str, object]:
    answers = plan.answers()
    pictures = {
        item["id"]: charts.of(answers[item["id"]], f"item-{place}")
        for place, item in enumerate(said["items"], 1)
        if item["id"] in answers
    }
    return {
        "page": first_page(said, look.system),
        "fold": False,  # on a screen each item's figures are folded, and a list leads there
        **plan_verdict(said, look.system),
        "have": from_words(said, look.system),
        "measured": measured_parts(said.get("measured"), look.system),
        "note": _paragraphs(said["note"]),
        "decisive": decisive_words(said["decisive"], look.system) if said["decisive"] else "",
        "sure": sure_lines(said, look.system),
        "routines": routine_views(said.get("routines", ())),
        "learnt": [learnt["words"] for learnt in said.get("learnt", ())],
        **wall(said, look.system),
        "make": _make(said, look.system),
        "vessels": [vessel_words({**vessel, "item": f"{vessel['item']}:"}, look.system)
                    for vessel in said["vessels"]],
        "chargers": ", ".join(
            f"{count} of {GAS_NAMES.get(gas, gas)}" for gas, count in said["chargers"].items()
        ),
        "not_made": ", ".join(said["not_made"]),
        "shopping": _shopping(said, look.system),
        "bought": shopping_lines(said, look.system),
        "times": _times(said),
        "items": [_item(place, item, look, said, pictures.get(item["id"], ()))
                  for place, item in enumerate(said["items"], 1)],
        "portions": [_serve(place, serve, look.system)
                     for place, serve in enumerate(said["serve"], 1)],
        "allergens": _allergens(said),
        **_money(said),
        "sources": [Source(**source) for source in said["sources"]],
    }  # fmt: skip


def _money(said: PlanSheet) -> dict[str, object]:
    """The table of money and its lines, where anything has a price."""
    money = said["money"]
    if money is None:
        return {"money": None, "money_said": ()}
    headers, letters, rows = money_rows(money)
    return {
        "money": Cells("money of each drink", headers, letters, rows),
        "money_said": money_lines(money),
    }


def _allergens(said: PlanSheet) -> Cells | None:
    """Which drink has which allergen, where there are several drinks and one has any."""
    headers, rows = allergen_rows(said)
    if len(headers) < (3 if "sites" in said else 2):
        return None
    return Cells(f"An empty cell: {NO_ALLERGENS}", headers, "l" * len(headers), rows)


def _read(said: PlanSheet) -> dict[str, object]:
    """What was read, as it was written, for the hash."""
    account = said.get("measured")
    if account is None:
        return {}
    return {
        "read": [
            [reading["item"], reading["what"], reading["written"]]
            for reading in account["readings"]
        ]
    }


def narrowed(said: PlanSheet, item: str) -> PlanSheet:
    """The JSON form with one item alone, what is said of it, and what holds it."""
    known = [item_sheet["id"] for item_sheet in said["items"]]
    if item not in known:
        raise BadInput(
            f'{named("item")} is "{item[:60]}"; {nearest(item, known) or "nothing is made"}.',
            "item",
        )
    one = next(each for each in said["items"] if each["id"] == item)
    used = {step["source"] for step in one.get("working", ())}
    triggered = [_of_item(each, item) for each in said["cautions"] if item in each["of"]]
    standing = [_of_item(each, item) for each in said["standing"] if item in each["of"]]
    keys = used | {each["source"] for each in (*triggered, *standing)}
    filling = one.get("filling")
    verdicts = ["stop" if one["held_by"] else one["verdict"]]
    decisive = said["decisive"]
    whole: PlanSheet = {**said, "cautions": triggered, "standing": standing}
    if "measured" in said:
        account = of_item(said["measured"], item)
        whole["measured"] = account
        found = {each["severity"] for each in account["cautions"]}
        verdicts += [text for text in VERDICTS if text in found]
    return {
        **whole,
        "note": "",
        "verdict": max(verdicts, key=VERDICTS.index),
        "stops": [each for each in said["stops"] if each["of"] == item],
        "decisive": decisive if decisive and decisive["item"] == item else None,
        "learnt": [each for each in said.get("learnt", ()) if each["item"] == item],
        "vessels": [each for each in said["vessels"] if each["item"] == item],
        "chargers": {filling["gas"]: filling["chargers"]}
        if filling and filling["chargers"] and filling["gas"]
        else {},
        "shopping": [],
        "timetable": None,
        "items": [one],
        "not_made": [],
        "serve": [],
        "sources": [each for each in said["sources"] if each["key"] in keys],
    }


def _of_item(caution: CautionSheet, item: str) -> CautionSheet:
    """What a caution says of one item; where it speaks of one serve, as it is."""
    told: list[Told] = [{**one, "of": [item]} for one in caution["said"] if item in one["of"]]
    alone: CautionSheet = {**caution, "of": [item]}
    if not told:
        return alone
    return {**alone, "said": told, "per_serve": False}


def _paragraphs(text: str) -> list[str]:
    return [" ".join(word.split()) for word in text.split("\n\n") if word.strip()]


def _triggered(said: PlanSheet) -> list[CautionSheet]:
    """What goes on the wall; a stop stands at the top and at its item."""
    return [caution for caution in said["cautions"] if caution["severity"] != "stop"]


def wall(said: PlanSheet, system: str = "metric") -> dict[str, list[Warned]]:
    """The cautions of a plan: those to mind first, those to know, those that always stand."""
    return {
        "first": [
            _warned(caution, system)
            for caution in _triggered(said)
            if caution["severity"] == "care"
        ],
        "notes": [
            _warned(caution, system)
            for caution in _triggered(said)
            if caution["severity"] == "note"
        ],
        "standing": [_warned(caution, system) for caution in said["standing"]],
    }


def _warned(caution_sheet: CautionSheet, system: str) -> Warned:
    told = caution_sheet["said"]
    names = [
        f"One {', '.join(each['of'])}" if caution_sheet["per_serve"] else ", ".join(each["of"])
        for each in told
    ]
    apart = caution_sheet["per_serve"] or len(told) > 1
    return Warned(
        caution_sheet["id"],
        caution_sheet["severity"],
        caution_sheet["kind"],
        [
            (
                name if apart else "",
                in_units(each["text"], system),
                in_units(advice(each), system),
            )
            for name, each in zip(names, told, strict=True)
        ],
        "" if caution_sheet["standing"] else f"Of {', '.join(caution_sheet['of'])}",
        source_words(caution_sheet["source"]),
        caution_sheet.get("number"),
    )


def _make(said: PlanSheet, system: str) -> Cells:
    g, ml = UNITS[system]
    rows = []
    for item in said["items"]:
        if not item["makes"]:
            continue
        if "made_g" in item:
            amounts = [amount(item["made_g"], "g", system), amount(item["made_ml"], "ml", system)]
            rows.append([item["id"], *amounts, SHORT_VERDICT[item["verdict"]]])
        else:
            held = f"held by {', '.join(item['held_by'])}"
            stop = "STOP, not to be made" if item["verdict"] == "stop" else held
            rows.append([item["id"], "-", "-", stop])
    return Cells(
        "make, in this order", ["item", g, f"{ml} at 20 °C", "verdict"], "lrrl", rows, True
    )


def _shopping(said: PlanSheet, system: str) -> Cells | None:
    if not said["shopping"]:
        return None
    headers, letters, rows = shopping_rows(said, system)
    if said["cost"]:  # packs are not broken over two lines
        rows = [[*row[:4], row[4].replace(" ", "\u00a0"), *row[5:]] for row in rows]
    without = any("weigh" not in item for item in said["items"])
    title = "what to have" + (", without what is stopped or held" if without else "")
    return Cells(title, headers, letters, rows, True)


def _times(said: PlanSheet) -> dict[str, object] | None:
    """The timetable; none where the recipe has no steps."""
    table = said["timetable"]
    if table is None:
        return None
    return {
        "title": time_title(table),
        "hands": hands_words(table),
        "cells": Cells("steps, by when they start", TIME_HEADERS, TIME_LETTERS,
                       [_unbroken(row) for row in time_rows(table)], True),
        "lines": time_lines(table),
    }  # fmt: skip


def _unbroken(row: Sequence[str]) -> list[str]:
    """A row of the timetable, no time of it broken over two lines."""
    return [*(text.replace(" ", "\u00a0") for text in row[:3]), *row[3:]]


def _steps(item: ItemSheet) -> list[str]:
    """How an item is made, with its times."""
    told = []
    for step in item["steps"]:
        times = [f"takes {length_words(step['takes_min'])}"] if step["takes_min"] else []
        if step["hands_on_min"]:
            times.append(f"hands on {length_words(step['hands_on_min'])}")
        if times and step["each_vessel"]:
            times.append("for each vessel")
        told.append(f"{step['text']} ({', '.join(times)})" if times else step["text"])
    return told


def _item(
    place: int, item: ItemSheet, look: Look, said: PlanSheet, pictures: Sequence[Chart]
) -> Shown:
    system = look.system
    kind = ", a check" if item["check"] else ""
    title = f"{place}. {item['id']} ({item['calculator']}{kind})"
    key = f"item-{place}"
    note = _paragraphs(item["note"])
    if item["verdict"] == "stop":
        head = "STOP" if item["check"] else "NOT TO BE MADE"
        stops = [
            (head, in_units(stop["text"], system), in_units(advice(stop), system))
            for stop in item["stops"]
        ]
        return Shown(key, title, item["verdict"], note, stops)
    if item["held_by"]:
        return Shown(key, title, item["verdict"], note, held=held_words(item))
    lines = [*scale_marks(item, system), yield_words(item, system, said)] if item["makes"] else []
    if item["filling"]:
        lines.insert(0, vessel_words({"item": "fill", **item["filling"]}, system))
    others = [_value(value, system) for value in other_values(item, look.working)]
    also = "; ".join(f"{label} {words}" for _, label, words in others)
    if also and not item["filling"]:
        lines.append(f"also: {also}")
    lines += [
        f"{'pH' if name == 'ph' else name} is not shown: {why.rstrip('.')}."
        for name, why in item["not_shown"].items()
    ]
    if uneven(item):
        lines.append(f"{UNEVEN_WORDS}.")
    when = ""
    if item["family"] == "gas":
        when = ", before it is charged" if item["filling"] else ", before it is foamed"
    obtained = {source["key"]: source["obtained"] for source in said["sources"]}
    scaled = item["makes"] and not item["filling"]
    tables = [
        cells(
            Table(
                table["name"],
                table["title"],
                tuple(Column(**column) for column in table["columns"]),
                tuple(tuple(row) for row in table["rows"]),
            ),
            system,
        )
        for table in item["tables"]
    ]
    return Shown(
        key,
        title,
        item["verdict"],
        note,
        weigh=_weigh(item, system) if item["makes"] else None,
        how=_steps(item),
        lines=lines,
        readings=[
            (*_value(reading, system), _within(reading, system)) for reading in item["readings"]
        ],
        readings_title=f"check{when}",
        others=others if item["filling"] else (),
        others_title="in each vessel",
        tables=tables,
        charts=pictures,
        cautions=item["cautions"],
        steps=[
            step_words(Step(**step), obtained.get(step["source"], "")) for step in item["working"]
        ],
        extra={"working": "Working, at the recipe's own amounts" if scaled else "Working"},
    )


def _value(value: ValueSheet, system: str) -> tuple[str, str, str]:
    return value["name"], value["label"], " ".join(shown_value(value, system)).strip()


def _within(reading: ReadingSheet, system: str) -> str:
    """How far what is measured may be from what is expected, the instrument's own ± included."""
    if reading["name"] == "dissolved_solids":
        return WORKED_OUT
    within: ReadingSheet = {**reading, "plus_minus": reading["tolerance"]}
    spread = shown_value(within, system)[0]
    return f"± {spread.partition(' ± ')[2]}" if " ± " in spread else ""


def _weigh(item: ItemSheet, system: str) -> Cells:
    g, ml = UNITS[system]
    rows = []
    for line in item["weigh"]:
        volume = amount(line["ml"], "ml", system) if line["ml"] is not None else ""
        if line["drops"] is not None:
            volume += f" ({line['drops']:.0f} drops)"
        rows.append([line["name"], amount(line["g"], "g", system), volume, line["how"]])
    headers, letters = ["what", g, f"{ml} at 20 °C", "how"], "lrrl"
    if not any(row[3] for row in rows):
        rows, headers, letters = [row[:3] for row in rows], headers[:3], letters[:3]
    return Cells("weigh", headers, letters, rows, True)


def _serve(place: int, serve: ServeSheet, system: str) -> Shown:
    g, ml = UNITS[system]
    title = f"{serve['name']} ({serve['serves']} of them)"
    key, note = f"serve-{place}", _paragraphs(serve["note"])
    allergens = ", ".join(serve["allergens"]) or NO_ALLERGENS
    if "parts" not in serve:
        held = held_words(serve) if serve["held_by"] else "NOT TO BE SERVED: see the verdict."
        return Shown(key, title, serve["verdict"], note, held=held, allergens=allergens)
    rows = [
        [
            part["words"],
            amount(part["g"], "g", system),
            amount(part["ml"], "ml", system) if part["ml"] is not None else "",
        ]
        for part in serve["parts"]
    ]
    rows.append(["in all", amount(serve["g"], "g", system), amount(serve["ml"], "ml", system)])
    lines = []
    if serve["garnish"]:
        garnish = ", ".join(
            f"{one['words']} ({amount(one['g'], 'g', system)} {g})" for one in serve["garnish"]
        )
        lines.append(f"garnish, not counted in what follows: {garnish}")
    lines.append("; ".join(serve_facts(serve, system)))
    return Shown(
        key,
        title,
        serve["verdict"],
        note,
        weigh=Cells("portion", ["what", g, f"{ml}, no gas"], "lrr", rows),
        lines=lines,
        allergens=allergens,
    )


# ---- a plan in panes of a phone ----

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


class TimeMark(NamedTuple):
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
    marks: Sequence[TimeMark]
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
    for vessel in said["vessels"]:
        has = vessel["house_has"] or vessel["fills"]
        first = [
            step for step in (table["steps"] if table else ()) if step["item"] == vessel["item"]
        ]
        later = {each["item"]: each["min"] for each in (table["later"] if table else ())}
        start = next((s["start_min"] for s in first if s["times"] > 1), 0.0)
        start = start or min((s["start_min"] for s in first), default=0.0)
        for number in range(1, math.ceil(vessel["fills"] / has) + 1):
            count = min(has, vessel["fills"] - has * (number - 1))
            takes = later.get(vessel["item"], 0.0)
            begin = start if number == 1 else takes * (number - 2)
            found.append(
                Round(vessel["item"], vessel["vessel"], number, count, begin,
                      0.0 if number == 1 else takes * (number - 1))
            )  # fmt: skip
    return found


def strip(said: PlanSheet) -> Strip | None:
    """The picture of a plan's times; None without steps, or where it would not be readable."""
    table = said["timetable"]
    if table is None:
        return None
    work = [step for step in table["steps"] if step["person"]]
    turns = rounds(said)
    more = any(turn.number > 1 for turn in turns)
    people = max((step["person"] for step in work), default=0)
    columns = people + more
    if not work or columns > MOST_COLUMNS or len(work) > MOST_STEPS:
        return None
    wide = (WIDE - LEFT - APART * (columns - 1)) / columns
    at = [LEFT + n * (wide + APART) for n in range(columns)]
    spans = [(step["start_min"], step["start_min"] + step["hands_on_min"]) for step in work]
    spans += [(turn.start, turn.end) for turn in turns if more] + [(0.0, 0.0)]
    moment = _service(table)
    axis = _Axis(spans, None if moment is None else 60 * moment.at.hour + moment.at.minute)
    bars = _bars(work, axis, at, wide)
    if more:
        bars += _turns(turns, axis, at[-1], wide)
    names = [f"Person {n}" if people > 1 else "Hands" for n in range(1, people + 1)]
    names += ["Vessels"] if more else []
    bottom = max([axis.bottom, *(bar.top + bar.high for bar in bars)])
    return Strip(
        list(zip(at, names, strict=True)),
        bars,
        _marks(axis, moment),
        axis.pauses(),
        axis.at(0.0),
        max([axis.at(0.0), *(bar.top + bar.high for bar in bars if not bar.vessels)]) + 14,
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


def _service(table: TimetableSheet) -> Moment | None:
    return None if table["service"] is None else Moment.read(table["service"], "service")


def _bars(work: Sequence[PlacedStep], axis: _Axis, at: Sequence[float], wide: float) -> list[Bar]:
    below = [0.0] * len(at)
    found = []
    for step in work:
        column = step["person"] - 1
        high = max(LEAST, PER_MIN * step["hands_on_min"] - 1.5)
        end = axis.at(step["start_min"] + step["hands_on_min"]) - 1.5
        top = max(min(axis.at(step["start_min"]), end - high), below[column], 26.0)
        below[column] = top + high + 1.5
        words = _fitted(step["item"], step["text"], wide, high)
        found.append(Bar(at[column], wide, top, high, words))
    return found


def _turns(turns: Sequence[Round], axis: _Axis, x: float, wide: float) -> list[Bar]:
    found: list[Bar] = []
    for turn in turns:
        top = max([axis.at(turn.start), *(bar.top + bar.high + 1.5 for bar in found[-1:])])
        high = max(2 * LINE + 4, axis.at(turn.end) - axis.at(turn.start) - 1.5)
        many = f"{turn.vessels} vessel{'' if turn.vessels == 1 else 's'}"
        found.append(Bar(x, wide, top, high, [f"Round {turn.number}", many], vessels=True))
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


def _marks(axis: _Axis, moment: Moment | None) -> list[TimeMark]:
    """Half hours, and the line where a day begins."""
    found: list[TimeMark] = []
    zero = 0 if moment is None else 60 * moment.at.hour + moment.at.minute
    day: int | None = None
    for first, last, where in axis.parts:
        if moment is not None and day != axis.day(first):
            day = axis.day(first)
            found.append(TimeMark(where - 12, day_words(moment, day), day=True))
        begin = HALF_HOUR * math.ceil((zero + first - 12) / HALF_HOUR)
        for clock in range(begin, math.floor(zero + last + 1e-6) + 1, HALF_HOUR):
            top = axis.at(max(clock - zero, first))
            if moment is None:
                words = "service" if clock == 0 else f"-{length_words(-clock)}"
                found.append(TimeMark(top, words if clock <= 0 else f"+{clock} min"))
                continue
            if day != clock // 1440:
                day = clock // 1440
                found.append(TimeMark(top, day_words(moment, day), day=True))
                continue
            found.append(TimeMark(top, f"{clock // 60 % 24:02}:{clock % 60:02}"))
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


class ItemRow(NamedTuple):
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


class ServeShown(NamedTuple):
    """What one serve is."""

    name: str
    parts: Sequence[str]
    facts: str
    allergens: str
    why: str


class ShoppingLine(NamedTuple):
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

    rows: Sequence[ItemRow]
    vessels: Sequence[Vessels]
    serves: Sequence[ServeShown]
    buy: Sequence[ShoppingLine]
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
        [_row(item, system) for item in said["items"]],
        [_vessels(vessel, turns, system) for vessel in said["vessels"]],
        [_served(serve, system) for serve in said["serve"]],
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


def _row(item: ItemSheet, system: str) -> ItemRow:
    why = held_words(item) if item["held_by"] else ""
    if item["verdict"] == "stop":
        why = "Not passed." if item["check"] else "Not to be made."
    if item["made_g"] is None if "made_g" in item else True:
        return ItemRow(item["id"], "", "", item["verdict"], why or "A check.", item["makes"])
    made_ml = item["made_ml"]
    return ItemRow(
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


def _served(serve: ServeSheet, system: str) -> ServeShown:
    allergens = ", ".join(serve["allergens"]) or NO_ALLERGENS
    if "parts" not in serve:
        why = held_words(serve) if serve["held_by"] else "Not to be served: see the verdict."
        return ServeShown(serve["name"], [], "", allergens, why)
    g, ml = UNITS[system]
    parts = []
    for part in (*serve["parts"], *serve["garnish"]):
        volume = part.get("ml")
        size = f"{amount(part['g'], 'g', system)} {g}"
        if isinstance(volume, float):
            size += f", {amount(volume, 'ml', system)} {ml}"
        parts.append(f"{part['words']} ({size})")
    return ServeShown(serve["name"], parts, "; ".join(serve_facts(serve, system)), allergens, "")


def _buy(said: PlanSheet, system: str) -> list[ShoppingLine]:
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
        found.append(ShoppingLine(row["name"], need, packs))
    for pack in said["charger_packs"]:
        packs = f"{pack['packs']} × {pack['pack']}" if pack["packs"] else "no price"
        found.append(ShoppingLine(f"{pack['gas']} charger", str(pack["count"]), packs))
    if not said["cost"]:
        found += [
            ShoppingLine(f"{gas} charger", str(count), "")
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
