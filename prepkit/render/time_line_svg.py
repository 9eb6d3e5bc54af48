"""One time line with several lanes as a small self-contained SVG: what holds when.

A lane has bars (what is sure is dark, what is likely is light), or a band between two courses.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING, NamedTuple

from prepkit.model import Answer, Table

if TYPE_CHECKING:
    from prepkit.sheet import RoutineSheet

WIDTH, FONT = 420, 13
LEFT, RIGHT, TOP = 12, 12, 30
NAME, BAND, BAR, GAP = 18, 44, 16, 10
LONGEST_MIN = 70.0  # that the table of the course has
STEPS = (5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600)  # s between two marks of the axis
FILLS = {"sure": "#555", "likely": "#ccc", "work": "white", "path": "#ddd"}


class Bar(NamedTuple):
    """A length of time, and its words where there is room for them."""

    start: float
    end: float
    fill: str
    words: str = ""


class Lane(NamedTuple):
    """One thing on the time line."""

    name: str
    bars: Sequence[Bar] = ()
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
    y = float(TOP)
    for lane in line.lanes:
        parts.append(_text(LEFT, y + 12, lane.name, bold=True))
        y += NAME
        drawn, tall = _lane(lane, line.end, y)
        parts += drawn
        y += tall + GAP
    height = round(y + 6)
    axis = _axis(line, y)
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


def _x(seconds: float, end: float) -> float:
    return LEFT + min(max(seconds / end, 0.0), 1.0) * (WIDTH - LEFT - RIGHT)


def _text(x: float, y: float, words: str, anchor: str = "start", bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" stroke="white" stroke-width="3" '
        f'paint-order="stroke"{weight}>{escape(words)}</text>'
    )


def _axis(line: TimeLine, bottom: float) -> list[str]:
    step = next((one for one in STEPS if line.end / one <= 7), STEPS[-1])
    parts = []
    for place in range(int(line.end // step) + 1):
        x = _x(place * step, line.end)
        parts.append(
            f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{TOP - 8}" y2="{bottom:.1f}" stroke="#bbb" '
            f'stroke-width="0.6"/>'
        )
        near = line.limit is not None and abs(_x(line.limit[0], line.end) - 20 - x) < 40
        if (WIDTH - x > 34 and not near) or place == 0:
            parts.append(_text(x, 16, _clock(place * step), "start" if place == 0 else "middle"))
    if line.limit is not None and line.limit[0] <= line.end:
        x = _x(line.limit[0], line.end)
        parts.append(
            f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{TOP - 10}" y2="{bottom:.1f}" stroke="black" '
            f'stroke-width="3"/>'
        )
        parts.append(_text(min(x, WIDTH - RIGHT), 16, line.limit[1], "end", bold=True))
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
        x = _x(mark, end)
        parts.append(
            f'<path d="M{x:.1f} {y + tall + 1:.1f}l-5 8h10z" fill="black" stroke="white"/>'
        )
    return parts, tall + (8 if lane.marks else 0)


def _bars(bars: Sequence[Bar], end: float, y: float) -> list[str]:
    parts = [
        f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y + BAR:.1f}" y2="{y + BAR:.1f}" '
        f'stroke="#bbb" stroke-width="0.6"/>'
    ]
    for one in bars:
        left, right = _x(one.start, end), _x(one.end, end)
        parts.append(
            f'<rect x="{left:.1f}" y="{y:.1f}" width="{max(1.0, right - left):.1f}" '
            f'height="{BAR}" fill="{FILLS[one.fill]}" stroke="black" stroke-width="0.8"/>'
        )
        room = int((right - left - 6) / 6.6)
        if one.words and room >= 3:
            said = one.words if len(one.words) <= room else f"{one.words[: room - 1]}…"
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
    ends = [one for one in lane.wanted or () if math.isfinite(one)]
    low, high = min([*values, *ends]), max([*values, *ends])
    room = (high - low) or abs(high) or 1.0

    def at(value: float) -> float:
        return y + BAND * (1 - (value - low) / room)

    around = [(_x(t, end), at(most)) for t, _, most in seen]
    around += [(_x(t, end), at(least)) for t, least, _ in reversed(seen)]
    points = " ".join(f"{x:.1f},{height:.1f}" for x, height in around)
    parts = [f'<polygon points="{points}" fill="#ccc" stroke="black" stroke-width="1.2"/>']
    for one in ends:
        parts.append(
            f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{at(one):.1f}" y2="{at(one):.1f}" '
            f'stroke="black" stroke-dasharray="6 4"/>'
        )
    unit = "°C" if lane.unit == "C" else lane.unit
    for value, height in ((high, y + 11), (low, y + BAND - 3)):
        parts.append(_text(WIDTH - RIGHT, height, f"{value:.3g} {unit}", "end"))
    return parts


# of a window


def _table(answer: Answer, name: str) -> Table | None:
    return next((one for one in answer.tables if one.name == name), None)


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
    values = {name: float(one.value) for name, one in answer.values.items()}
    whole = [
        (values[f"{kind}_from"], values[f"{kind}_to"]) if f"{kind}_to" in values else None
        for kind in ("sure", "likely")
    ]
    last = [one[1] for _, pair in spans.values() for one in pair if one is not None]
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
                _ends(wanted, unit), unit,
            )
        )  # fmt: skip
    lanes += [Lane(f"{name}, wanted {wanted}", _spans(pair)) for name, (wanted, pair) in
              spans.items()]  # fmt: skip
    lanes.append(Lane("the window, in which all of it is as wanted", _spans(whole)))
    title = "In the glass, min:s after the pour: dark is sure, light is likely"
    return TimeLine(title, answer.headline() or title, end, lanes)


def _spans(pair: Sequence[tuple[float, float] | None]) -> list[Bar]:
    """The likely span, and the sure one on top of it."""
    sure, likely = pair
    found = [Bar(60 * likely[0], 60 * likely[1], "likely")] if likely else []
    return [*found, Bar(60 * sure[0], 60 * sure[1], "sure")] if sure else found


def _ends(wanted: str, unit: str) -> tuple[float, float] | None:
    """The ends of words such as "at most 6 C" or "2 C to 8 C"; None where there are none."""
    from prepkit.errors import BadInput
    from prepkit.units import parse_quantity

    side = next((one for one in ("at least ", "at most ") if wanted.startswith(one)), "")
    said = [wanted.removeprefix(side)] if side else wanted.split(" to ")
    try:
        read = [float(parse_quantity(one, (unit,), "want", True)) for one in said]
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
            Bar(one["start_s"], one["end_s"], "path" if one["critical"] else "work", one["text"])
            for one in said["steps"]
            if (person in one["people"] if person else not one["people"])
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
                    Bar(pour + 60 * span[0], pour + 60 * span[1], kind)
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
    return max(one["end_s"] for one in said["steps"] if drink in one["drinks"])
