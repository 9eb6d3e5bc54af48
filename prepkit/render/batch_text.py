"""The batch sheet as text: boxes to tick, and room for what is read beside what is expected."""

from __future__ import annotations

from prepkit.render.amounts import UNITS, fill, title_lines
from prepkit.render.batch import ItemRows, batches
from prepkit.render.grid import grid
from prepkit.render.plan_scale import scale_marks
from prepkit.render.plan_text import (
    SHORT_VERDICT,
    head_text,
    held_words,
    not_stops,
    vessel_words,
    wall_text,
)
from prepkit.render.prose import in_units
from prepkit.sheet import PlanSheet

BOX = "[ ]"
ROOM = "_" * 12


def batch_text(said: PlanSheet, system: str = "metric") -> str:
    """The whole batch sheet."""
    out = [*head_text(said, system), f"Made on {ROOM}  by {ROOM}  read by {ROOM}", ""]
    for one in batches(said, system):
        out += _item(one, system)
    out += wall_text("Cautions for the wall", not_stops(said["cautions"]), system)
    out += wall_text("Always", said["standing"], system)
    return "\n".join(out).rstrip() + "\n"


def _item(one: ItemRows, system: str) -> list[str]:
    item = one.item
    out = title_lines(f"{one.place}. {one.id}: {SHORT_VERDICT[one.verdict]}")
    if one.verdict == "stop":
        return [
            *out,
            *(fill(in_units(f"NOT TO BE MADE: {stop['text']}", system)) for stop in item["stops"]),
            "",
        ]
    if item["held_by"]:
        return [*out, fill(held_words(item)), ""]
    out += [_weigh(one, system)]
    out += [fill(line) for line in scale_marks(item, system)]
    filling = item["filling"]
    if one.fills and filling:
        out.append(fill(vessel_words({"item": "fill", **filling}, system)))
        boxes = "  ".join(f"{BOX} {n}" for n in range(1, one.fills + 1))
        out.append(fill(f"charged and shaken: {boxes}", "  ", "      "))
    out += [fill(f"{BOX} {task.when}  {task.words}", "  ", "      ") for task in one.tasks]
    out += ["", _expected(one)]
    if item["cautions"]:
        out.append(fill(f"cautions on the wall: {', '.join(map(str, item['cautions']))}"))
    return [*out, ""]


def _weigh(one: ItemRows, system: str) -> str:
    g, _ = UNITS[system]
    rows = [[BOX, line.name, line.amount, line.off, ROOM, line.how] for line in one.weigh]
    headers = ["", "weigh", g, "±", f"weighed, {g}", "how"]
    if not any(row[5] for row in rows):
        rows, headers = [row[:5] for row in rows], headers[:5]
    return grid(rows, headers, "llrrll"[: len(headers)], "  ")


def _expected(one: ItemRows) -> str:
    """What is expected, how far it may be off, and room for what was measured."""
    rows = [[row.label, row.value, row.off, row.unit, ROOM] for row in one.expected]
    return grid(rows, ["check", "expected", "may be off by", "", "measured"], "lrrll", "  ")
