"""The pictures that answers have: courses, layers, pressures.

Narrow on purpose, so that its words stay legible on a telephone and on a roll of 80 mm.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from math import ceil

from prepkit.model import Answer, Table
from prepkit.render.time_line_svg import time_line_svg, window_line
from prepkit.units import rounded_down, rounded_up

# ---- a course of points as a small self-contained SVG ----

WIDTH, HEIGHT = 420, 290
LEFT, RIGHT, TOP, BOTTOM = 44, 12, 34, 66
FONT = 13
_MOST_WORDS = 9  # places on the axis below that get their words
_APART = 15.0  # least distance of two lines of words


@dataclass(frozen=True)
class Level:
    """A limit or another value to be seen against the course: a line with its words."""

    value: float
    words: str
    heavy: bool = False


@dataclass(frozen=True)
class Course:
    """What is drawn: named points in the order they happen, one or two curves, and levels."""

    title: str
    unit: str
    points: Sequence[tuple[str, float]]
    levels: Sequence[Level] = ()
    upper: Sequence[float] = ()  # where the course is a band, its upper edge
    digits: int = 1
    from_zero: bool = True
    axis: str = ""  # words at the axis, where they say more than the unit
    touched: Sequence[str] = ()  # words of each point, shown where it is touched or pointed at
    marked: Collection[int] = ()  # places of points that are ringed and always have their value

    @property
    def words(self) -> str:
        """The same in words."""
        told = []
        for place, (label, value) in enumerate(self.points):
            top = f" to {self.upper[place]:.{self.digits}f}" if self.upper else ""
            told.append(f"{label} {value:.{self.digits}f}{top} {self.unit}")
        levels = [level.words for level in self.levels]
        return ". ".join(one for one in ("; ".join(levels), "; ".join(told)) if one) + "."


@dataclass(frozen=True)
class _Scale:
    low: float
    high: float
    step: float

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return HEIGHT - BOTTOM - min(max(share, 0.0), 1.0) * (HEIGHT - TOP - BOTTOM)


def line_svg(course: Course, key: str) -> str:
    """The course as SVG; `key` makes the ids of its title and description its own."""
    scale = _scale(course)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'aria-labelledby="{key}-title {key}-desc" font-family="sans-serif" font-size="{FONT}">'
        f'<title id="{key}-title">{escape(course.title)}</title>'
        f'<desc id="{key}-desc">{escape(course.words)}</desc>'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>',
        *_axis(scale, course),
        *_curves(scale, course),
        *_levels(scale, course),
        *_touched(scale, course),
    ]
    return "".join([*parts, "</svg>"])


def _scale(course: Course) -> _Scale:
    values = [value for _, value in course.points]
    values += [*course.upper, *(level.value for level in course.levels)]
    low, high = min(values), max(values)
    if course.from_zero:
        low, high = 0.0, max(high, 0.0) or 1.0
    room = (high - low) or abs(high) or 1.0
    low, high = low if course.from_zero else low - 0.08 * room, high + 0.1 * room
    step = 1e-6
    while (high - low) / step > 8:
        digit = float(f"{step:e}"[0])
        step *= 2.5 if digit == 2 else 2.0
    return _Scale(low, high, step)


def _axis(scale: _Scale, course: Course) -> list[str]:
    parts = [
        f'<text x="4" y="{TOP - 18}" font-weight="bold">{escape(course.axis or course.unit)}</text>'
    ]
    digits = 0 if scale.step >= 1 else len(f"{scale.step:f}".rstrip("0").partition(".")[2])
    for place in range(ceil(scale.low / scale.step), int(scale.high / scale.step) + 1):
        tick = place * scale.step
        y = scale.y(tick)
        parts.append(
            f'<line x1="{LEFT - 4}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}" '
            f'stroke="#bbb" stroke-width="0.6"/>'
            f'<text x="{LEFT - 7}" y="{y + 4:.1f}" text-anchor="end">{tick:.{digits}f}</text>'
        )
    return parts


def _places(count: int) -> list[float]:
    wide = (WIDTH - LEFT - RIGHT) / count
    return [LEFT + wide * (place + 0.5) for place in range(count)]


def _curves(scale: _Scale, course: Course) -> list[str]:
    xs = _places(len(course.points))
    lower = [(x, scale.y(value)) for x, (_, value) in zip(xs, course.points, strict=True)]
    upper = [(x, scale.y(value)) for x, value in zip(xs, course.upper, strict=False)]
    parts = []
    if upper:
        around = " ".join(f"{x:.1f},{y:.1f}" for x, y in [*upper, *reversed(lower)])
        parts.append(f'<polygon points="{around}" fill="#ddd" stroke="none"/>')
    for line in filter(None, (lower, upper)):
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in line)
        parts.append(f'<polyline points="{path}" fill="none" stroke="black" stroke-width="1.6"/>')
    every = ceil(len(xs) / _MOST_WORDS)
    last = len(xs) - 1
    for place, ((x, y), (label, value)) in enumerate(zip(lower, course.points, strict=True)):
        parts.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5"/>')
        if place in course.marked:
            parts.append(
                f'<circle cx="{x:.1f}" cy="{y:.1f}" r="8" fill="none" stroke="black" '
                f'stroke-width="2"/>'
            )
            few = len(course.marked) <= _MOST_WORDS // 2
            if few and (place % every or 0 < last - place < every):
                up = y - 12 if y - 12 > TOP else y + 24
                parts.append(_words(x, up, f"{value:.{course.digits}f}", bold=True))
        if place % every and place != last:
            continue
        if place != last and last - place < every:
            continue  # the last one's words would lie on it
        shown = f"{value:.{course.digits}f}"
        if upper:
            parts.append(_words(x, upper[place][1] - 7, f"{course.upper[place]:.{course.digits}f}"))
        floor = HEIGHT - BOTTOM
        parts.append(_words(x, y + 17 if y + 20 < floor else y - 8, shown))
        parts.append(
            f'<text transform="rotate(-38 {x:.1f} {floor + 14})" x="{x + 4:.1f}" y="{floor + 14}" '
            f'text-anchor="end">{escape(label)}</text>'
        )
    return parts


def _touched(scale: _Scale, course: Course) -> list[str]:
    """Places to touch over the points; a style sheet shows the words of the one that is touched."""
    xs = _places(len(course.points))
    return [
        f'<g class="point" tabindex="0"><circle cx="{x:.1f}" cy="{scale.y(value):.1f}" r="11" '
        f'fill="transparent"/><text class="said" x="{WIDTH - RIGHT}" y="{TOP - 18}" '
        f'text-anchor="end" font-weight="bold">{escape(said)}</text></g>'
        for x, (_, value), said in zip(xs, course.points, course.touched, strict=False)
    ]


def _words(x: float, y: float, words: str, anchor: str = "middle", bold: bool = False) -> str:
    """Words with a white edge, so that lines behind them do not strike them through."""
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" stroke="white" stroke-width="3" '
        f'paint-order="stroke"{weight}>{escape(words)}</text>'
    )


def _levels(scale: _Scale, course: Course) -> list[str]:
    """Lines over the whole width; words that would lie on each other are moved apart."""
    parts = []
    taken: list[float] = []
    for level in sorted(course.levels, key=lambda one: -one.value):
        y = scale.y(level.value)
        stroke = 'stroke-width="3"' if level.heavy else 'stroke-dasharray="6 4"'
        parts.append(
            f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}" stroke="black" '
            f"{stroke}/>"
        )
        at = y - 5
        if any(abs(at - one) < _APART for one in taken):
            at = y + FONT + 2
        taken.append(at)
        parts.append(_words(WIDTH - RIGHT, at, level.words, "end", level.heavy))
    return parts


# ---- a stack of layers as a picture ----

LAYER_WIDTH = 420
TOP_EDGE, PITCH, FOOT = 44, 46, 40
GLASS_LEFT, GLASS_WIDE = 8, 78
WORDS_LEFT = 122
SCALE_LEFT, SCALE_RIGHT = 130, LAYER_WIDTH - 14
_MOST_NAME = 42


@dataclass(frozen=True)
class Drawn:
    """One layer, the top one first in a stack."""

    name: str
    temperature_c: float
    density: float
    error: float
    volume_ml: float

    @property
    def words(self) -> str:
        """The layer in words."""
        return f"{self.name} at {self.temperature_c:g} °C, {self.density:.1f} kg/m3"


def stack(answer: Answer) -> tuple[Drawn, ...]:
    """The layers of an answer from the top down; empty where it has none."""
    for table in answer.tables:
        if table.name == "stack":
            return tuple(
                Drawn(str(row[0]), *(float(row[at] or 0.0) for at in (1, 3, 4, 5)))
                for row in table.rows
            )
    return ()


def layer_title(answer: Answer) -> str:
    """What the picture shows."""
    words = "The stack, top first: volumes to scale in the glass, densities on one scale."
    turning = [one.name for one in _turning(stack(answer))]
    return f"{words} Heavier than what lies below it: {', '.join(turning)}." if turning else words


def layer_words(answer: Answer) -> str:
    """The picture in words."""
    return (
        "; ".join(f"{one.words} ± {one.error:.1f}, {one.volume_ml:.0f} ml" for one in stack(answer))
        + "."
    )


def _turning(drawn: tuple[Drawn, ...]) -> list[Drawn]:
    """Layers that are heavier than the one below them."""
    return [one for one, below in pairwise(drawn) if one.density > below.density]


def layer_svg(answer: Answer, key: str = "layers") -> str | None:
    """The stack as a self-contained SVG; None where the answer has no stack."""
    drawn = stack(answer)
    if not drawn or not math.fsum(one.volume_ml for one in drawn) > 0:
        return None
    height = TOP_EDGE + PITCH * len(drawn) + FOOT
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {LAYER_WIDTH} {height}" role="img" '
        f'aria-labelledby="{key}-title {key}-desc" font-family="sans-serif" font-size="{FONT}">'
        f'<title id="{key}-title">{escape(layer_title(answer))}</title>'
        f'<desc id="{key}-desc">{escape(layer_words(answer))}</desc>'
        f'<rect width="{LAYER_WIDTH}" height="{height}" fill="white"/>',
        f'<text x="{GLASS_LEFT}" y="20" font-weight="bold">glass</text>',
        f'<text x="{SCALE_LEFT}" y="20" font-weight="bold">density, kg/m3: heavier to the right'
        "</text>",
    ]
    low, high = _ends(drawn)
    parts += _layer_scale(low, high, TOP_EDGE + PITCH * len(drawn))
    y = float(TOP_EDGE)
    whole = math.fsum(one.volume_ml for one in drawn)
    turning = _turning(drawn)
    for place, one in enumerate(drawn):
        tall = PITCH * len(drawn) * one.volume_ml / whole
        parts += _slice(one, y, tall, place, (low, high))
        parts += _row(one, place, (low, high), one in turning)
        y += tall
    return "".join([*parts, "</svg>"])


def _ends(drawn: tuple[Drawn, ...]) -> tuple[float, float]:
    low = min(one.density - one.error for one in drawn)
    high = max(one.density + one.error for one in drawn)
    room = max(high - low, 1.0)
    return low - 0.08 * room, high + 0.08 * room


def _x(density: float, ends: tuple[float, float]) -> float:
    low, high = ends
    return SCALE_LEFT + (density - low) / (high - low) * (SCALE_RIGHT - SCALE_LEFT)


def _layer_scale(low: float, high: float, bottom: int) -> list[str]:
    step = next(one for one in (1, 2, 5, 10, 20, 50, 100, 200, 500) if (high - low) / one <= 5)
    parts = []
    for tick in range(int(low // step + 1) * step, int(high) + 1, step):
        x = _x(tick, (low, high))
        parts.append(
            f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{TOP_EDGE - 12}" y2="{bottom + 4}" stroke="#bbb" '
            f'stroke-width="0.6"/>'
            f'<text x="{x:.1f}" y="{bottom + 20}" text-anchor="middle">{tick}</text>'
        )
    return parts


def _slice(one: Drawn, y: float, tall: float, place: int, ends: tuple[float, float]) -> list[str]:
    """The layer in the glass, the darker the denser, and a line to its row."""
    low, high = ends
    grey = round(250 - 130 * (one.density - low) / (high - low))
    middle, row = y + tall / 2, TOP_EDGE + PITCH * (place + 0.5)
    right = GLASS_LEFT + GLASS_WIDE
    return [
        f'<rect x="{GLASS_LEFT}" y="{y:.1f}" width="{GLASS_WIDE}" height="{tall:.1f}" '
        f'fill="rgb({grey},{grey},{grey})" stroke="black"/>',
        f'<polyline points="{right},{middle:.1f} {right + 10},{middle:.1f} '
        f'{WORDS_LEFT - 8},{row:.1f}" fill="none" stroke="black" stroke-width="0.8"/>',
    ]


def _row(one: Drawn, place: int, ends: tuple[float, float], turns: bool) -> list[str]:
    """Name, and density with its ±."""
    top = TOP_EDGE + PITCH * place
    y = top + 32
    left, at, right = (_x(one.density + sign * one.error, ends) for sign in (-1, 0, 1))
    name = one.name if len(one.name) <= _MOST_NAME else f"{one.name[: _MOST_NAME - 3]}..."
    words = f"{name}, {one.temperature_c:g} °C"
    if turns:
        words = f"{name}: HEAVIER THAN BELOW"
    after = at < 0.5 * (SCALE_LEFT + SCALE_RIGHT)
    number_x, anchor = (right + 8, "start") if after else (left - 8, "end")
    return [
        f'<text x="{SCALE_LEFT}" y="{top + 14}" stroke="white" stroke-width="3" '
        f'paint-order="stroke">{escape(words)}</text>',
        f'<line x1="{left:.1f}" x2="{right:.1f}" y1="{y}" y2="{y}" stroke="black" '
        f'stroke-width="2"/>',
        f'<circle cx="{at:.1f}" cy="{y}" r="4.5"/>',
        f'<text x="{number_x:.1f}" y="{y + 4}" text-anchor="{anchor}" stroke="white" '
        f'stroke-width="3" paint-order="stroke">{one.density:.1f}</text>',
    ]


# ---- the pressure in a charged vessel as a picture ----

MOST_PORTIONS = 24


def course(answer: Answer) -> list[tuple[str, float]]:
    """Steps of a siphon answer with the gauge pressure in bar, in the order they happen."""
    tables = {table.name: table for table in answer.tables}
    points: list[tuple[str, float]] = []
    for place, row in enumerate(_rows(tables.get("charges")), 1):
        peak, settled = row[1], row[3]
        if isinstance(peak, float):
            points.append((f"charge {place}", peak))
        if isinstance(settled, float):
            points.append(("shaken", settled))
    shaken = answer.inputs.get("shake_between") is True
    for row in _rows(tables.get("service"))[:MOST_PORTIONS]:
        after = row[1] if shaken else row[2]
        if isinstance(after, float):
            points.append((f"portion {row[0]}", after))
    if not points and "peak" in answer.values:
        points.append(("peak", answer.values["peak"].value))
    return points


def _rows(table: Table | None) -> tuple[tuple[str | float | None, ...], ...]:
    return table.rows if table is not None else ()


def pressure(answer: Answer) -> Course | None:
    """What is drawn of a siphon answer; None where nothing was computed."""
    points = course(answer)
    rated = answer.result.facts.get("rated_bar")  # as judged: the lower end of a ±
    if not points or rated is None:
        return None
    words = f"{rounded_down(rated):g} bar"
    levels = [Level(rated, f"rated {words}", heavy=True)]
    if "bound" in answer.values:
        bound = answer.values["bound"].value
        levels.append(Level(bound, f"upper bound {rounded_up(bound, 1):.1f} bar"))
    title = f"Pressure in the vessel, gauge. Rated {words}."
    return Course(title, "bar", points, levels, axis="bar, gauge")


def pressure_svg(answer: Answer, key: str = "pressure") -> str | None:
    """The course of the pressure as a self-contained SVG; None where nothing was computed.

    The heavy line is the rated pressure, the thin dashed one the upper bound; both are
    named in words, so that nothing rests on colour.
    """
    drawn = pressure(answer)
    return line_svg(drawn, key) if drawn is not None else None


# ---- the pictures that answers have ----

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
