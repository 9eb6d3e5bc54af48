"""A course of points as a small self-contained SVG: black on white, words instead of colours.

Narrow on purpose, so that its words stay legible on a telephone and on a roll of 80 mm.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil

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
