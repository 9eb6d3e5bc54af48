"""A plan in four panes: what is made, what is bought, when, and with which cautions.

Each is a screen or two of a phone. What is weighed for an item stands on its batch sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from prepkit.clock import Moment
from prepkit.render.amounts import UNITS, amount
from prepkit.render.plan_shop import money_words, shopping_lines
from prepkit.render.plan_strip import Round, Strip, day_words, rounds, strip
from prepkit.render.plan_text import NO_ALLERGENS, each_words, held_words, serve_facts
from prepkit.render.plan_time import hands_words, moment, step_words, time_lines
from prepkit.sheet import ItemSheet, PlacedStep, PlanSheet, ServeSheet, VesselSheet

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
    return Start(time, step["item"], step_words(step), who, step["moved_days"] > 0)


def _clock(minutes: int) -> str:
    return f"{minutes // 60 % 24:02}:{minutes % 60:02}"
