"""The batch sheet: boxes to tick, and room for what was measured beside what is expected.

Made from the plan's JSON form alone. What must not be made has no boxes.
"""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from typing import Any

from prepkit.render.amounts import UNITS, Said, amount, digits_of, fill, title_lines
from prepkit.render.plan_text import (
    SHORT_VERDICT,
    head_text,
    held_words,
    not_stops,
    vessel_words,
    wall_text,
)
from prepkit.render.plan_time import moment, step_words
from prepkit.render.text import grid, number
from prepkit.units import shown_in

BOX = "[ ]"
ROOM = "_" * 12
_PRESSURES = ("settled",)  # what a gauge on the vessel shows


def batch_text(said: Said, system: str = "metric") -> str:
    """The whole batch sheet."""
    out = [*head_text(said, system), f"Made on {ROOM}  by {ROOM}  read by {ROOM}", ""]
    steps = _steps(said)
    for place, item in enumerate(said["items"], 1):
        if item["makes"]:
            out += _item(place, item, steps.get(item["id"], []), system)
    out += wall_text("Cautions for the wall", not_stops(said["cautions"]))
    out += wall_text("Always", said["standing"])
    return "\n".join(out).rstrip() + "\n"


def _steps(said: Said) -> dict[str, list[Mapping[str, Any]]]:
    found: dict[str, list[Mapping[str, Any]]] = {}
    for step in (said["timetable"] or {"steps": ()})["steps"]:
        found.setdefault(step["item"], []).append(step)
    return found


def _item(place: int, item: Said, steps: list[Mapping[str, Any]], system: str) -> list[str]:
    out = title_lines(f"{place}. {item['id']}: {SHORT_VERDICT[item['verdict']]}")
    if item["verdict"] == "stop":
        return [*out, *(fill(f"NOT TO BE MADE: {one['text']}") for one in item["stops"]), ""]
    if item["held_by"]:
        return [*out, fill(held_words(item)), ""]
    out += [textwrap.indent(_weigh(item, system), "  ")]
    if item["filling"]:
        out += _vessels(item["filling"], system)
    out += [
        fill(
            f"{BOX} {moment(step['start'], step['start_min'])}  {step_words(step)}", "  ", "      "
        )
        for step in sorted(steps, key=lambda one: one["number"])
    ]
    out += ["", textwrap.indent(_expected(item, system), "  ")]
    if item["cautions"]:
        out.append(fill(f"cautions on the wall: {', '.join(map(str, item['cautions']))}"))
    return [*out, ""]


def _weigh(item: Said, system: str) -> str:
    g, _ = UNITS[system]
    rows = []
    for line in item["weigh"]:
        off = line["plus_minus_g"]
        rows.append(
            [BOX, line["name"], amount(line["g"], "g", system),
             _off(off, line["g"], system), ROOM, line["how"]]
        )  # fmt: skip
    headers = ["", "weigh", g, "±", f"weighed, {g}", "how"]
    if not any(row[5] for row in rows):
        rows, headers = [row[:5] for row in rows], headers[:5]
    return grid(rows, headers, "llrrll"[: len(headers)])


def _off(off: float | None, value: float, system: str) -> str:
    """A ± in g, with the digits of what it belongs to and as many more as it needs."""
    if not off:
        return ""
    shown = shown_in(off, "g", system)[0]
    digits = digits_of(value, "g", system)
    while digits < 4 and shown < 0.95 * 10**-digits:
        digits += 1
    return number(shown, digits)


def _vessels(filling: Said, system: str) -> list[str]:
    out = vessel_words({"item": "fill", **filling}, system)
    boxes = "  ".join(f"{BOX} {n}" for n in range(1, filling["fills"] + 1))
    return [fill(out), fill(f"charged and shaken: {boxes}", "  ", "      ")]


def _expected(item: Said, system: str) -> str:
    """What is expected, how far it may be off, and room for what was measured."""
    digits = digits_of(item["made_g"], "g", system)
    rows = [_row("yield", item["made_g"], item["made_g_plus_minus"], "g", digits, system)]
    rows += [
        _row(one["label"], one["value"], one["tolerance"], one["unit"], one["digits"], system)
        for one in item["readings"]
        if one["name"] != "dissolved_solids"  # worked out, not read
    ]
    rows += [
        _row(one["label"], one["value"], one["tolerance"], one["unit"], one["digits"], system)
        for one in item["values"]
        if one["name"] in _PRESSURES and item["filling"]
    ]
    return grid(rows, ["check", "expected", "may be off by", "", "measured"], "lrrll")


def _row(
    label: str, value: float, off: float | None, unit: str, digits: int, system: str
) -> list[str]:
    shown, shown_unit = shown_in(value, unit, system)
    zero = shown_in(0.0, unit, system)[0]
    places = digits if unit in (shown_unit, "g") else max(digits, 2)
    spread = ""
    if off:  # never less than what the digits of the value leave open
        size = max(abs(shown_in(off, unit, system)[0] - zero), 10**-places)
        spread = number(size, places)
    return [label, number(shown, places), spread, shown_unit, ROOM]
