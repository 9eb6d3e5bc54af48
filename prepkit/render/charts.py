"""The pictures that answers have: courses, layers, pressures, time lines; run charts.

Narrow on purpose, so that its words stay legible on a telephone and on a roll of 80 mm.

A lane of a time line has bars (what is sure is dark, what is likely is light), or a band between
two courses.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape
from itertools import pairwise
from math import ceil
from typing import TYPE_CHECKING, NamedTuple

from prepkit.learn.using import ChartPoint, RunChart
from prepkit.model import Answer, Table
from prepkit.units import rounded_down, rounded_up

if TYPE_CHECKING:
    from prepkit.sheet import RoutineSheet

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
class ChartCourse:
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
        return ". ".join(text for text in ("; ".join(levels), "; ".join(told)) if text) + "."


@dataclass(frozen=True)
class _Scale:
    low: float
    high: float
    step: float

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return HEIGHT - BOTTOM - min(max(share, 0.0), 1.0) * (HEIGHT - TOP - BOTTOM)


def line_svg(course: ChartCourse, key: str) -> str:
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


def _scale(course: ChartCourse) -> _Scale:
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


def _axis(scale: _Scale, course: ChartCourse) -> list[str]:
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


def _curves(scale: _Scale, course: ChartCourse) -> list[str]:
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


def _touched(scale: _Scale, course: ChartCourse) -> list[str]:
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


def _levels(scale: _Scale, course: ChartCourse) -> list[str]:
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
        if any(abs(at - value) < _APART for value in taken):
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
    turning = [drawing.name for drawing in _turning(stack(answer))]
    return f"{words} Heavier than what lies below it: {', '.join(turning)}." if turning else words


def layer_words(answer: Answer) -> str:
    """The picture in words."""
    return (
        "; ".join(f"{one.words} ± {one.error:.1f}, {one.volume_ml:.0f} ml" for one in stack(answer))
        + "."
    )


def _turning(drawn: tuple[Drawn, ...]) -> list[Drawn]:
    """Layers that are heavier than the one below them."""
    return [drawing for drawing, below in pairwise(drawn) if drawing.density > below.density]


def layer_svg(answer: Answer, key: str = "layers") -> str | None:
    """The stack as a self-contained SVG; None where the answer has no stack."""
    drawn = stack(answer)
    if not drawn or not math.fsum(drawing.volume_ml for drawing in drawn) > 0:
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
    whole = math.fsum(drawing.volume_ml for drawing in drawn)
    turning = _turning(drawn)
    for place, drawing in enumerate(drawn):
        tall = PITCH * len(drawn) * drawing.volume_ml / whole
        parts += _slice(drawing, y, tall, place, (low, high))
        parts += _row(drawing, place, (low, high), drawing in turning)
        y += tall
    return "".join([*parts, "</svg>"])


def _ends(drawn: tuple[Drawn, ...]) -> tuple[float, float]:
    low = min(drawing.density - drawing.error for drawing in drawn)
    high = max(drawing.density + drawing.error for drawing in drawn)
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


def _slice(
    drawing: Drawn, y: float, tall: float, place: int, ends: tuple[float, float]
) -> list[str]:
    """The layer in the glass, the darker the denser, and a line to its row."""
    low, high = ends
    grey = round(250 - 130 * (drawing.density - low) / (high - low))
    middle, row = y + tall / 2, TOP_EDGE + PITCH * (place + 0.5)
    right = GLASS_LEFT + GLASS_WIDE
    return [
        f'<rect x="{GLASS_LEFT}" y="{y:.1f}" width="{GLASS_WIDE}" height="{tall:.1f}" '
        f'fill="rgb({grey},{grey},{grey})" stroke="black"/>',
        f'<polyline points="{right},{middle:.1f} {right + 10},{middle:.1f} '
        f'{WORDS_LEFT - 8},{row:.1f}" fill="none" stroke="black" stroke-width="0.8"/>',
    ]


def _row(drawing: Drawn, place: int, ends: tuple[float, float], turns: bool) -> list[str]:
    """Name, and density with its ±."""
    top = TOP_EDGE + PITCH * place
    y = top + 32
    left, at, right = (_x(drawing.density + sign * drawing.error, ends) for sign in (-1, 0, 1))
    name = (
        drawing.name if len(drawing.name) <= _MOST_NAME else f"{drawing.name[: _MOST_NAME - 3]}..."
    )
    words = f"{name}, {drawing.temperature_c:g} °C"
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
        f'stroke-width="3" paint-order="stroke">{drawing.density:.1f}</text>',
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


def pressure(answer: Answer) -> ChartCourse | None:
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
    return ChartCourse(title, "bar", points, levels, axis="bar, gauge")


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


def _lines(courses: list[ChartCourse], key: str) -> tuple[Chart, ...]:
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
                ChartCourse(
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
            said = next((ask for word, ask in _ASKS.items() if word in asks), "warn")
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
    course = ChartCourse(
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


# ---- run charts ----

_WIDE = 31  # places of the row of a batch
_LABEL = 10  # letters of a batch at the axis


def chart_text(chart: RunChart) -> str:
    """The answer, the limits, then each batch on a line of its own with a mark at its place."""
    of = chart.of
    out = [f"{chart.item}, {of.label}: {chart.verdict()}", *chart.sentences(), ""]
    if chart.limits is not None:
        low, centre, high = chart.limits
        out += [
            f"Next batch: {low:.{of.digits}f} to {chart.value(high)}, "
            f"mean {chart.value(centre)}.",
            "",
        ]  # fmt: skip
    name = max(len("batch"), *(len(point.batch) for point in chart.points))
    wide = max(len(of.unit), *(len(f"{point.value:.{of.digits}f}") for point in chart.points))
    out.append(f"{'batch':<{name}}  {of.unit:>{wide}}  {_run_axis(chart)}".rstrip())
    for one in chart.points:
        value = f"{one.value:>{wide}.{of.digits}f}"
        line = (
            f"{one.batch:<{name}}  {value}  {_run_row(chart, one.value)}  {', '.join(one.breaks)}"
        )
        out.append(line.rstrip())
    return "\n".join(out).rstrip() + "\n"


def _run_ends(chart: RunChart) -> tuple[float, float]:
    values = [point.value for point in chart.points]
    values += chart.limits or ()
    return min(values), max(values)


def _place(chart: RunChart, value: float) -> int:
    low, high = _run_ends(chart)
    return round((_WIDE - 1) * (value - low) / (high - low)) if high > low else _WIDE // 2


def _run_lines(chart: RunChart) -> dict[int, str]:
    if chart.limits is None:
        return {}
    low, centre, high = chart.limits
    return {_place(chart, centre): ":", _place(chart, low): "|", _place(chart, high): "|"}


def _run_row(chart: RunChart, value: float) -> str:
    marks = {**_run_lines(chart), _place(chart, value): "o"}
    return "".join(marks.get(place, " ") for place in range(_WIDE))


def _run_axis(chart: RunChart) -> str:
    return "| limits, : mean" if chart.limits is not None else ""


def chart_svg(chart: RunChart, key: str = "run", touch: bool = False) -> str:
    """The picture; its title and description say the same in words.

    `touch`: a page shows the figures of the batch that is touched, by its own style sheet.
    """
    return line_svg(run_course(chart, touch), key)


def run_course(chart: RunChart, touch: bool = False) -> ChartCourse:
    """What is drawn: the batches in order, the limits and the mean."""
    of = chart.of
    levels = []
    if chart.limits is not None:
        low, centre, high = chart.limits
        levels = [
            Level(high, f"upper limit {high:.{of.digits}f}"),
            Level(centre, f"mean {centre:.{of.digits}f}"),
            Level(low, f"lower limit {low:.{of.digits}f}"),
        ]
    points = [(_short(point.batch), point.value) for point in chart.points]
    out = [place for place, point in enumerate(chart.points) if point.breaks]
    return ChartCourse(
        f"{chart.item}, {of.label}: {chart.verdict()}", of.unit, points, levels,
        digits=of.digits, from_zero=False, marked=out,
        touched=[_point(chart, point) for point in chart.points] if touch else (),
    )  # fmt: skip


def _point(chart: RunChart, point: ChartPoint) -> str:
    """The figures of one batch."""
    rules = f", {', '.join(point.breaks)}" if point.breaks else ""
    return f"{point.batch}: {chart.value(point.value)}{rules}"


def _short(batch: str) -> str:
    """A batch as the axis has room for it: of a day month and day, else its end.

    >>> _short("2026-11-09"), _short("2026-11-09-2"), _short("flower cordial 17"), _short("b7")
    ('11-09', '11-09-2', '...dial 17', 'b7')
    """
    try:
        date.fromisoformat(batch[:10])
    except ValueError:
        return batch if len(batch) <= _LABEL else f"...{batch[3 - _LABEL :]}"
    return batch[5:]


# ---- several lanes on one time line ----

SIDE, HEAD = 12, 30
NAME, BAND, BAR, GAP = 18, 44, 16, 10
LONGEST_MIN = 70.0  # that the table of the course has
STEPS = (5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600)  # s between two marks of the axis
FILLS = {"sure": "#555", "likely": "#ccc", "work": "white", "path": "#ddd"}


class ScaleBar(NamedTuple):
    """A length of time, and its words where there is room for them."""

    start: float
    end: float
    fill: str
    words: str = ""


class Lane(NamedTuple):
    """One thing on the time line."""

    name: str
    bars: Sequence[ScaleBar] = ()
    band: Sequence[tuple[float, float, float]] = ()  # time, least, most
    wanted: tuple[float, float] | None = None  # of the band; infinite where it has no such end
    unit: str = ""
    marks: Sequence[float] = ()


class TimeLine(NamedTuple):
    """What is drawn; times in seconds. `limit` is a line over all lanes with its words."""

    title: str
    words: str
    end: float
    lanes: Sequence[Lane]
    limit: tuple[float, str] | None = None


def time_line_svg(line: TimeLine, key: str) -> str:
    """The time line as SVG; `key` makes the ids of its title and description its own."""
    parts: list[str] = []
    y = float(HEAD)
    for lane in line.lanes:
        parts.append(_text(SIDE, y + 12, lane.name, bold=True))
        y += NAME
        drawn, tall = _lane(lane, line.end, y)
        parts += drawn
        y += tall + GAP
    height = round(y + 6)
    axis = _time_axis(line, y)
    return "".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img" '
            f'aria-labelledby="{key}-title {key}-desc" font-family="sans-serif" '
            f'font-size="{FONT}"><title id="{key}-title">{escape(line.title)}</title>'
            f'<desc id="{key}-desc">{escape(line.words)}</desc>'
            f'<rect width="{WIDTH}" height="{height}" fill="white"/>',
            *axis,
            *parts,
            "</svg>",
        ]
    )


def _at_time(seconds: float, end: float) -> float:
    return SIDE + min(max(seconds / end, 0.0), 1.0) * (WIDTH - SIDE - SIDE)


def _text(x: float, y: float, words: str, anchor: str = "start", bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" stroke="white" stroke-width="3" '
        f'paint-order="stroke"{weight}>{escape(words)}</text>'
    )


def _time_axis(line: TimeLine, bottom: float) -> list[str]:
    step = next((number for number in STEPS if line.end / number <= 7), STEPS[-1])
    parts = []
    for place in range(int(line.end // step) + 1):
        x = _at_time(place * step, line.end)
        parts.append(
            f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{HEAD - 8}" y2="{bottom:.1f}" stroke="#bbb" '
            f'stroke-width="0.6"/>'
        )
        near = line.limit is not None and abs(_at_time(line.limit[0], line.end) - 20 - x) < 40
        if (WIDTH - x > 34 and not near) or place == 0:
            parts.append(_text(x, 16, _clock(place * step), "start" if place == 0 else "middle"))
    if line.limit is not None and line.limit[0] <= line.end:
        x = _at_time(line.limit[0], line.end)
        parts.append(
            f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{HEAD - 10}" y2="{bottom:.1f}" stroke="black" '
            f'stroke-width="3"/>'
        )
        parts.append(_text(min(x, WIDTH - SIDE), 16, line.limit[1], "end", bold=True))
    return parts


def _clock(seconds: float) -> str:
    """Minutes and seconds, such as 2:30.

    >>> _clock(150), _clock(45)
    ('2:30', '0:45')
    """
    return f"{int(seconds) // 60}:{int(seconds) % 60:02}"


def _lane(lane: Lane, end: float, y: float) -> tuple[list[str], float]:
    """A lane, and how tall it is."""
    parts: list[str] = []
    tall = 0.0
    if lane.band:
        parts += _band(lane, end, y)
        tall += BAND + 4
    if lane.bars or not lane.band:
        parts += _bars(lane.bars, end, y + tall)
        tall += BAR
    for mark in lane.marks:
        x = _at_time(mark, end)
        parts.append(
            f'<path d="M{x:.1f} {y + tall + 1:.1f}l-5 8h10z" fill="black" stroke="white"/>'
        )
    return parts, tall + (8 if lane.marks else 0)


def _bars(bars: Sequence[ScaleBar], end: float, y: float) -> list[str]:
    parts = [
        f'<line x1="{SIDE}" x2="{WIDTH - SIDE}" y1="{y + BAR:.1f}" y2="{y + BAR:.1f}" '
        f'stroke="#bbb" stroke-width="0.6"/>'
    ]
    for bar in bars:
        left, right = _at_time(bar.start, end), _at_time(bar.end, end)
        parts.append(
            f'<rect x="{left:.1f}" y="{y:.1f}" width="{max(1.0, right - left):.1f}" '
            f'height="{BAR}" fill="{FILLS[bar.fill]}" stroke="black" stroke-width="0.8"/>'
        )
        room = int((right - left - 6) / 6.6)
        if bar.words and room >= 3:
            said = bar.words if len(bar.words) <= room else f"{bar.words[: room - 1]}…"
            parts.append(_text(left + 3, y + 12.5, said))
    return parts


def _band(lane: Lane, end: float, y: float) -> list[str]:
    """The band between two courses, with the lines between which it is wanted."""
    seen = [point for point in lane.band if point[0] <= end]
    after = next((point for point in lane.band if point[0] > end), None)
    if after is not None and seen:  # cut where the line ends
        last = seen[-1]
        share = (end - last[0]) / (after[0] - last[0])
        least, most = (last[at] + share * (after[at] - last[at]) for at in (1, 2))
        seen.append((end, least, most))
    values = [value for point in seen for value in point[1:]]
    ends = [number for number in lane.wanted or () if math.isfinite(number)]
    low, high = min([*values, *ends]), max([*values, *ends])
    room = (high - low) or abs(high) or 1.0

    def at(value: float) -> float:
        return y + BAND * (1 - (value - low) / room)

    around = [(_at_time(t, end), at(most)) for t, _, most in seen]
    around += [(_at_time(t, end), at(least)) for t, least, _ in reversed(seen)]
    points = " ".join(f"{x:.1f},{height:.1f}" for x, height in around)
    parts = [f'<polygon points="{points}" fill="#ccc" stroke="black" stroke-width="1.2"/>']
    for one in ends:
        parts.append(
            f'<line x1="{SIDE}" x2="{WIDTH - SIDE}" y1="{at(one):.1f}" y2="{at(one):.1f}" '
            f'stroke="black" stroke-dasharray="6 4"/>'
        )
    unit = "°C" if lane.unit == "C" else lane.unit
    for value, height in ((high, y + 11), (low, y + BAND - 3)):
        parts.append(_text(WIDTH - SIDE, height, f"{value:.3g} {unit}", "end"))
    return parts


# of a window


def window_line(answer: Answer) -> TimeLine | None:
    """What goes on in the glass, and the window; None where an answer has none."""
    bands = _table(answer, "bands")
    if bands is None:
        return None
    spans: dict[str, tuple[str, list[tuple[float, float] | None]]] = {}
    for row in bands.rows:
        pairs = [(row[at], row[at + 1]) for at in (4, 2)]
        spans[str(row[0])] = (
            str(row[1]),
            [(float(a), float(b)) if isinstance(a, float | int) and isinstance(b, float | int)
             else None for a, b in pairs],
        )  # fmt: skip
    values = {name: float(value.value) for name, value in answer.values.items()}
    whole = [
        (values[f"{kind}_from"], values[f"{kind}_to"]) if f"{kind}_to" in values else None
        for kind in ("sure", "likely")
    ]
    last = [entry[1] for _, pair in spans.values() for entry in pair if entry is not None]
    likely = whole[1]
    end = 60 * max(2.0, min(LONGEST_MIN, 1.25 * (likely[1] if likely else min(last, default=20.0))))
    lanes = []
    for name, unit, points in _courses(answer):
        if name.split()[0] in ("cream", "aroma"):  # there or gone: its bars say it
            continue
        wanted, pair = spans.pop(name, ("", [None, None]))
        lanes.append(
            Lane(
                f"{name}{f', wanted {wanted}' if wanted else ''}", _spans(pair), points,
                _wanted_ends(wanted, unit), unit,
            )
        )  # fmt: skip
    lanes += [Lane(f"{name}, wanted {wanted}", _spans(pair)) for name, (wanted, pair) in
              spans.items()]  # fmt: skip
    lanes.append(Lane("the window, in which all of it is as wanted", _spans(whole)))
    title = "In the glass, min:s after the pour: dark is sure, light is likely"
    return TimeLine(title, answer.headline() or title, end, lanes)


def _spans(pair: Sequence[tuple[float, float] | None]) -> list[ScaleBar]:
    """The likely span, and the sure one on top of it."""
    sure, likely = pair
    found = [ScaleBar(60 * likely[0], 60 * likely[1], "likely")] if likely else []
    return [*found, ScaleBar(60 * sure[0], 60 * sure[1], "sure")] if sure else found


def _wanted_ends(wanted: str, unit: str) -> tuple[float, float] | None:
    """The ends of words such as "at most 6 C" or "2 C to 8 C"; None where there are none."""
    from prepkit.errors import BadInput
    from prepkit.units import parse_quantity

    side = next((name for name in ("at least ", "at most ") if wanted.startswith(name)), "")
    said = [wanted.removeprefix(side)] if side else wanted.split(" to ")
    try:
        read = [float(parse_quantity(text, (unit,), "want", True)) for text in said]
    except BadInput:
        return None
    if side:
        return (read[0], math.inf) if side == "at least " else (-math.inf, read[0])
    return (read[0], read[1]) if len(read) == 2 else None


def _courses(answer: Answer) -> list[tuple[str, str, list[tuple[float, float, float]]]]:
    """Each course by its name: its unit, and its band by time."""
    found = []
    for name in ("course", "left"):
        table = _table(answer, name)
        if table is None:
            continue
        for place in range(1, len(table.columns), 2):
            column = table.columns[place]
            label = column.label.removeprefix("least ")
            points = [
                (60 * float(str(row[0]).split()[0]), float(row[place] or 0.0),
                 float(row[place + 1] or 0.0))
                for row in table.rows
            ]  # fmt: skip
            found.append(("temperature" if label == "coldest" else label, column.unit, points))
    return found


# of a routine


def routine_line(said: RoutineSheet) -> TimeLine | None:
    """Each pair of hands, and each drink's window from its glass on; None beside a stop."""
    if not said["steps"]:
        return None
    lanes = []
    for person in range(said["hands"] + 1):
        bars = [
            ScaleBar(
                step["start_s"], step["end_s"], "path" if step["critical"] else "work", step["text"]
            )
            for step in said["steps"]
            if (person in step["people"] if person else not step["people"])
        ]
        name = f"hands {person}" if person else "runs by itself"
        if bars:
            lanes.append(Lane(name, bars))
    lanes = [*lanes[1:], lanes[0]] if lanes[0].name == "runs by itself" else lanes
    end = said["end_s"][1]
    for drink in said["drinks"]:
        window, sips = drink["window"], drink["first_sip_min"]
        if window is None or not sips:
            continue
        pour = end_of_glass(said, drink["name"]) - 60 * sips[2]
        lanes.append(
            Lane(
                f"{drink['name']}: {drink['words']}",
                [
                    ScaleBar(pour + 60 * span[0], pour + 60 * span[1], kind)
                    for kind in ("likely", "sure")
                    if (span := window["likely_min" if kind == "likely" else "sure_min"])
                ],
                marks=sorted({pour + 60 * sips[2], pour + 60 * drink["last_sip_min"][2]}),
            )
        )
    marks = [mark for lane in lanes for mark in lane.marks]
    clock = said["clock_s"]
    last = max([end, clock or 0.0, *(mark for mark in marks)])
    return TimeLine(
        f"{said['name']}, min:s from the start: dark is sure, light is likely, grey steps are the "
        "critical path, a triangle is the first and the last sip",
        said["headline"], 1.04 * last, lanes, None if clock is None else (clock, "clock"),
    )  # fmt: skip


def end_of_glass(said: RoutineSheet, drink: str) -> float:
    """When the last step of a drink ends, likely, s."""
    return max(step["end_s"] for step in said["steps"] if drink in step["drinks"])
