"""The pictures that answers have: only where a curve or a stack answers a question."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from prepkit.model import Answer, Table
from prepkit.render.layer_svg import layer_svg, layer_title, layer_words
from prepkit.render.line_svg import Course, Level, line_svg
from prepkit.render.pressure_svg import pressure
from prepkit.render.time_line_svg import time_line_svg, window_line

PPM_IN_PERCENT = 1e4


@dataclass(frozen=True)
class Chart:
    """A picture, its title and the same in words."""

    title: str
    words: str
    svg: str


def of(answer: Answer, key: str = "chart") -> tuple[Chart, ...]:
    """The pictures of an answer; `key` begins the ids in them, one for each answer of a page."""
    draw = _BY_CALCULATOR.get(answer.calculator)
    return draw(answer, key) if draw is not None else ()


def _lines(courses: list[Course], key: str) -> tuple[Chart, ...]:
    return tuple(
        Chart(course.title, course.words, line_svg(course, f"{key}-{place}"))
        for place, course in enumerate(courses, 1)
    )


def _siphon(answer: Answer, key: str) -> tuple[Chart, ...]:
    course = pressure(answer)
    return _lines([course], key) if course is not None else ()


def _layer(answer: Answer, key: str) -> tuple[Chart, ...]:
    svg = layer_svg(answer, key)
    if svg is None:
        return ()
    return (Chart(layer_title(answer), layer_words(answer), svg),)


def _table(answer: Answer, name: str) -> Table | None:
    return next((table for table in answer.tables if table.name == name), None)


def _room(answer: Answer, key: str) -> tuple[Chart, ...]:
    """Oxygen, and each gas, over time, with the alarm levels that are published for it."""
    course = _table(answer, "course")
    if course is None:
        return ()
    found = []
    for place, column in enumerate(course.columns[1:], 1):
        times = 1.0 if column.unit == "%" else PPM_IN_PERCENT
        points = [
            (f"{row[0]:g} min", value / times)
            for row in course.rows
            if isinstance(row[0], int | float) and isinstance(value := row[place], int | float)
        ]
        oxygen = column.label == "oxygen"
        if points:
            found.append(
                Course(
                    f"{column.label.capitalize()} in the air over time (unequal steps of time).",
                    "%",
                    points,
                    _alarms(answer, column.label),
                    digits=2,
                    from_zero=not oxygen,
                    axis="% of the air",
                )
            )
    return _lines(found, key)


# what an alarm asks, in the one word that a line of a picture has room for
_ASKS = {"leaves": "leave", "nobody goes in": "nobody in"}


def _alarms(answer: Answer, gas: str) -> list[Level]:
    alarms = _table(answer, "alarms")
    found: dict[float, Level] = {}
    for row in alarms.rows if alarms is not None else ():
        level = row[2]
        if row[0] == gas and isinstance(level, int | float):
            asks = str(row[1])
            said = next((one for word, one in _ASKS.items() if word in asks), "warn")
            heavy = said != "warn"
            found.setdefault(float(level), Level(level, f"{said} at {level:g} %", heavy=heavy))
    return list(found.values())


def _warm(answer: Answer, key: str) -> tuple[Chart, ...]:
    """The band in which it cools in the cup, from the coldest to the warmest."""
    table = _table(answer, "cooling")
    if table is None or [column.unit for column in table.columns[:3]] != ["", "C", "C"]:
        return ()
    rows = [
        (str(row[0]), low, high)
        for row in table.rows
        if isinstance(low := row[1], int | float) and isinstance(high := row[2], int | float)
    ]
    if len(rows) < 2:
        return ()
    title = "Cooling in the cup, order of magnitude, from coldest to hottest"
    course = Course(
        f"{title} (unequal steps of time).", "C", [(after, low) for after, low, _ in rows],
        upper=[high for _, _, high in rows], digits=0, from_zero=False,
    )  # fmt: skip
    return _lines([course], key)


def _window(answer: Answer, key: str) -> tuple[Chart, ...]:
    """All that goes on in the glass on one time line, with the window."""
    line = window_line(answer)
    return () if line is None else (Chart(line.title, line.words, time_line_svg(line, key)),)


_BY_CALCULATOR: dict[str, Callable[[Answer, str], tuple[Chart, ...]]] = {
    "siphon": _siphon,
    "layer": _layer,
    "room": _room,
    "warm": _warm,
    "window": _window,
}
