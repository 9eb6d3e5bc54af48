"""The batch sheet before it is laid out: what is weighed, done, filled and read of each item.

Made from the plan's JSON form alone. What must not be made has nothing to do in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from prepkit.first_screen import number
from prepkit.render.amounts import UNITS, digits_of, weighing
from prepkit.render.plan_time import moment, step_words
from prepkit.sheet import ItemSheet, PlacedStep, PlanSheet
from prepkit.units import shown_in

_PRESSURES = ("settled",)  # what a gauge on the vessel shows
_NOT_READ = ("dissolved_solids",)  # worked out, not read


class Weighing(NamedTuple):
    """One thing to weigh; `off` is how far the weighing may be off, or empty."""

    name: str
    amount: str
    off: str
    unit: str
    how: str


class Task(NamedTuple):
    """One step of making an item, and when."""

    number: int
    when: str
    words: str
    text: str  # as the recipe has it
    takes_min: float


class Expected(NamedTuple):
    """One reading beside what it should be; `what` is its key in a file of readings."""

    what: str
    label: str
    value: str
    off: str
    unit: str


class ItemRows(NamedTuple):
    """One item of the sheet; empty lists where it must not be made or is held."""

    place: int
    id: str
    verdict: str
    item: ItemSheet
    weigh: Sequence[Weighing] = ()
    tasks: Sequence[Task] = ()
    expected: Sequence[Expected] = ()

    @property
    def go(self) -> bool:
        """Whether it may be made."""
        return self.verdict != "stop" and not self.item["held_by"]

    @property
    def fills(self) -> int:
        """How many vessels are charged."""
        filling = self.item["filling"] if self.go else None
        return int(filling["fills"]) if filling else 0


def batches(said: PlanSheet, system: str = "metric") -> list[ItemRows]:
    """Every item of the plan that makes something, in making order."""
    steps: dict[str, list[PlacedStep]] = {}
    for step in (said["timetable"] or {"steps": ()})["steps"]:
        steps.setdefault(step["item"], []).append(step)
    found = []
    for place, item in enumerate(said["items"], 1):
        if not item["makes"]:
            continue
        one = ItemRows(place, item["id"], item["verdict"], item)
        if one.go:
            one = one._replace(
                weigh=_weigh(item, system),
                tasks=_tasks(steps.get(item["id"], ())),
                expected=_expected(item, system),
            )
        found.append(one)
    return found


def _tasks(steps: Sequence[PlacedStep]) -> list[Task]:
    return [
        Task(
            step["number"],
            moment(step["start"], step["start_min"]),
            step_words(step),
            step["text"],
            step["takes_min"],
        )
        for step in sorted(steps, key=lambda one: int(one["number"]))
    ]


def _weigh(item: ItemSheet, system: str) -> list[Weighing]:
    g, _ = UNITS[system]
    return [
        Weighing(
            line["name"],
            weighing(line, system),
            _off(line["plus_minus_g"], line["g"], system),
            g,
            line["how"],
        )
        for line in item["weigh"]
    ]


def _off(off: float | None, value: float, system: str) -> str:
    """A ± in g, with the digits of what it belongs to and as many more as it needs."""
    if not off:
        return ""
    shown = shown_in(off, "g", system)[0]
    digits = digits_of(value, "g", system)
    while digits < 4 and shown < 0.95 * 10**-digits:
        digits += 1
    return number(shown, digits)


def _expected(item: ItemSheet, system: str) -> list[Expected]:
    """What is expected, and how far it may be off."""
    made_g = item["made_g"]
    assert made_g is not None  # of an item that makes something
    digits = digits_of(made_g, "g", system)
    rows = [_row("mass", "yield", made_g, item["made_g_plus_minus"], "g", digits, system)]
    rows += [
        _row(one["name"], one["label"], one["value"], one["tolerance"], one["unit"],
             one["digits"], system)
        for one in item["readings"]
        if one["name"] not in _NOT_READ
    ]  # fmt: skip
    rows += [
        _row("pressure", one["label"], one["value"], one["tolerance"], one["unit"],
             one["digits"], system)
        for one in item["values"]
        if one["name"] in _PRESSURES and item["filling"]
    ]  # fmt: skip
    return rows


def _row(
    what: str, label: str, value: float, off: float | None, unit: str, digits: int, system: str
) -> Expected:
    shown, shown_unit = shown_in(value, unit, system)
    zero = shown_in(0.0, unit, system)[0]
    places = digits if unit in (shown_unit, "g") else max(digits, 2)
    spread = ""
    if off:  # never less than what the digits of the value leave open
        size = max(abs(shown_in(off, unit, system)[0] - zero), 10**-places)
        spread = number(size, places)
    return Expected(what, label, number(shown, places), spread, shown_unit)
