"""A plan as one HTML document to print and pin up, made from the plan's JSON form."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

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
    money_lines,
    money_rows,
    scale_marks,
    shopping_lines,
    shopping_rows,
    sure_lines,
    time_lines,
    time_rows,
    time_title,
    written_for,
)
from prepkit.render.plan_text import (
    NO_ALLERGENS,
    SHORT_VERDICT,
    decisive_words,
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
        PlanSheet,
        ReadingSheet,
        ServeSheet,
        Told,
        ValueSheet,
    )

WORKED_OUT = "worked out, not read"
_STOP_WORDS = "something below must not be made"


class Planned(Protocol):
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
    plan: Planned,
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


def plan_sheet(plan: Planned, said: PlanSheet, look: Look) -> str:
    """What the card shows below its verdict, to stand within a page; `said` is its JSON."""
    return page(
        "plan_sheet.html", look, stamp(look, {}), **{**_sheet(plan, said, look), "fold": True}
    )


def _sheet(plan: Planned, said: PlanSheet, look: Look) -> dict[str, object]:
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
        "learnt": [one["words"] for one in said.get("learnt", ())],
        **wall(said, look.system),
        "make": _make(said, look.system),
        "vessels": [vessel_words({**one, "item": f"{one['item']}:"}, look.system)
                    for one in said["vessels"]],
        "chargers": ", ".join(
            f"{count} of {GAS_NAMES.get(gas, gas)}" for gas, count in said["chargers"].items()
        ),
        "not_made": ", ".join(said["not_made"]),
        "shopping": _shopping(said, look.system),
        "bought": shopping_lines(said, look.system),
        "times": _times(said),
        "items": [_item(place, item, look, said, pictures.get(item["id"], ()))
                  for place, item in enumerate(said["items"], 1)],
        "portions": [_serve(place, one, look.system)
                     for place, one in enumerate(said["serve"], 1)],
        "allergens": _allergens(said),
        **_money(said),
        "sources": [Source(**one) for one in said["sources"]],
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
    return {"read": [[one["item"], one["what"], one["written"]] for one in account["readings"]]}


def narrowed(said: PlanSheet, item: str) -> PlanSheet:
    """The JSON form with one item alone, what is said of it, and what holds it."""
    known = [one["id"] for one in said["items"]]
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
        verdicts += [one for one in VERDICTS if one in found]
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
    return [" ".join(one.split()) for one in text.split("\n\n") if one.strip()]


def _triggered(said: PlanSheet) -> list[CautionSheet]:
    """What goes on the wall; a stop stands at the top and at its item."""
    return [one for one in said["cautions"] if one["severity"] != "stop"]


def wall(said: PlanSheet, system: str = "metric") -> dict[str, list[Warned]]:
    """The cautions of a plan: those to mind first, those to know, those that always stand."""
    return {
        "first": [_warned(one, system) for one in _triggered(said) if one["severity"] == "care"],
        "notes": [_warned(one, system) for one in _triggered(said) if one["severity"] == "note"],
        "standing": [_warned(one, system) for one in said["standing"]],
    }


def _warned(one: CautionSheet, system: str) -> Warned:
    told = one["said"]
    names = [
        f"One {', '.join(each['of'])}" if one["per_serve"] else ", ".join(each["of"])
        for each in told
    ]
    apart = one["per_serve"] or len(told) > 1
    return Warned(
        one["id"],
        one["severity"],
        one["kind"],
        [
            (
                name if apart else "",
                in_units(each["text"], system),
                in_units(advice(each), system),
            )
            for name, each in zip(names, told, strict=True)
        ],
        "" if one["standing"] else f"Of {', '.join(one['of'])}",
        source_words(one["source"]),
        one.get("number"),
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
    return [*(one.replace(" ", "\u00a0") for one in row[:3]), *row[3:]]


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
            (head, in_units(one["text"], system), in_units(advice(one), system))
            for one in item["stops"]
        ]
        return Shown(key, title, item["verdict"], note, stops)
    if item["held_by"]:
        return Shown(key, title, item["verdict"], note, held=held_words(item))
    lines = [*scale_marks(item, system), yield_words(item, system, said)] if item["makes"] else []
    if item["filling"]:
        lines.insert(0, vessel_words({"item": "fill", **item["filling"]}, system))
    others = [_value(one, system) for one in other_values(item, look.working)]
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
                one["name"],
                one["title"],
                tuple(Column(**column) for column in one["columns"]),
                tuple(tuple(row) for row in one["rows"]),
            ),
            system,
        )
        for one in item["tables"]
    ]
    return Shown(
        key,
        title,
        item["verdict"],
        note,
        weigh=_weigh(item, system) if item["makes"] else None,
        how=_steps(item),
        lines=lines,
        readings=[(*_value(one, system), _within(one, system)) for one in item["readings"]],
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
