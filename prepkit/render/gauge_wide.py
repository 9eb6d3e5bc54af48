"""The gauge of the page: a bar that stretches with its screen, while its letters keep their size.

Places are in per cent of the width. Letters are placed as on the narrowest phone, so that none
covers another on any. Solid is the figure itself, hatched how far it may go, the heavy line the
limit, a bracket the margin or what is over; each is named by its figure.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import NamedTuple

from prepkit.render.fitting import width
from prepkit.render.gauge_svg import Gauge

_LETTERS_SHARE = 100 * 15.9 / 296  # one em of the largest letters in the narrowest bar, per cent
_GAP = 2.5
_TOP, _HIGH = 28, 32  # of the bar, px
_DIVISIONS = (4, 5, 3, 6)


class _Label(NamedTuple):
    """A text, the place that it names, and how it stands to it: start, middle or end."""

    at: float
    text: str
    figure: str  # in bold after the text
    anchor: str

    @property
    def wide(self) -> float:
        """Its width, per cent."""
        return _LETTERS_SHARE * width(f"{self.text} {self.figure}", bold=True)

    @property
    def left(self) -> float:
        """Where it would like to begin."""
        return self.at - self.wide * {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor]


def drawn(gauge: Gauge) -> str:
    """The gauge as SVG for HTML; what it holds of words is escaped."""
    scale = 100 / gauge.top
    value, bound, limit = (min(100.0, max(0.0, one * scale)) for one in _three(gauge))
    over = gauge.bound > gauge.limit
    words = escape(gauge.words)
    parts = [
        f'<svg role="img" aria-label="{words}"><title>Gauge</title><defs><pattern id="hatch" '
        'width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        '<line class="hatch" x1="0" x2="0" y1="0" y2="6"/></pattern></defs>',
        _bar("track", 0, 100),
        _bar("peak", 0, min(value, limit) if over else value),
    ]
    tall = (-6, 12) if over else (0, 0)
    if over and value > limit:
        parts.append(_bar("past", limit, value, *tall))
    if bound > value:
        parts.append(_bar("may", max(value, limit) if over and value < limit else value, bound,
                          *tall))  # fmt: skip
        if over and value < limit:
            parts.append(_bar("may", value, limit))
        parts.append(_line("end", bound, _TOP, _TOP + _HIGH))
    parts.append(
        _line("limit", limit, _TOP - (10 if over else 4), _TOP + _HIGH + (10 if over else 4))
    )
    above, below = _labels(gauge, value, bound, limit)
    parts += [_text(one, 14 if over else 20) for one in _placed(above)]
    low, high = sorted((bound, limit))
    of = "over" if over else "span"
    parts += [_line(of, low, 68, 68, high), _line(of, low, 64, 72), _line(of, high, 64, 72)]
    parts += [_text(one, 86, over) for one in _placed(below)]
    return f"{''.join([*parts, *_scale(gauge)])}</svg>"


def _three(gauge: Gauge) -> tuple[float, float, float]:
    return gauge.value, gauge.bound, gauge.limit


def _labels(
    gauge: Gauge, value: float, bound: float, limit: float
) -> tuple[list[_Label], list[_Label]]:
    """What stands above the bar and below it, each row from left to right."""
    hatched = gauge.bound > gauge.value
    up_to, off = gauge.up_to, gauge.off
    figure = f"{gauge.value:.{gauge.digits}f}" if hatched else up_to
    name, _, at_most = gauge.limit_words.rpartition(" ")
    over = gauge.bound > gauge.limit
    if over:
        most = _Label(bound, "up to" if hatched else "", up_to, "end")
        return [_Label(limit, name, at_most, "end"), most], [
            _Label((limit + bound) / 2, "over by", off, "middle")
        ]
    above = [_Label(value, "peak" if hatched else "", figure, "end")]
    above.append(_Label(limit, name, at_most, "middle"))
    margin = _Label(bound, "margin", off, "start")
    return above, [_Label(bound, "up to", up_to, "end"), margin] if hatched else [margin]


def _placed(row: Sequence[_Label]) -> list[_Label]:
    """A row with none over another and none outside."""
    lefts: list[float] = []
    edge = 0.0
    for one in row:
        lefts.append(max(one.left, edge))
        edge = lefts[-1] + one.wide + _GAP
    edge = 100.0
    for place in range(len(row) - 1, -1, -1):
        lefts[place] = max(0.0, min(lefts[place], edge - row[place].wide))
        edge = lefts[place] - _GAP
    return [_moved(one, left) for one, left in zip(row, lefts, strict=True)]


def _moved(one: _Label, left: float) -> _Label:
    """A label at a place; one moved left keeps to its right end, where its own place is."""
    if abs(left - one.left) < 0.01:
        return one
    if left > one.left:
        return one._replace(at=left, anchor="start")
    return one._replace(at=left + one.wide, anchor="end")


def _bar(name: str, left: float, right: float, up: int = 0, taller: int = 0) -> str:
    kind = 'fill="url(#hatch)"' if name == "may" else f'class="{name}"'
    return (
        f'<rect {kind} x="{left:.2f}%" y="{_TOP + up}" width="{max(0.0, right - left):.2f}%" '
        f'height="{_HIGH + taller}"/>'
    )


def _line(name: str, x: float, top: int, bottom: int, to: float | None = None) -> str:
    end = x if to is None else to
    return f'<line class="{name}" x1="{x:.2f}%" x2="{end:.2f}%" y1="{top}" y2="{bottom}"/>'


def _text(one: _Label, y: int, over: bool = False) -> str:
    shift = {"start": 3, "middle": 0, "end": -3}[one.anchor] if 0 < one.at < 100 else 0
    words = f"{escape(one.text)} " if one.text else ""
    kind = ' class="over"' if over else ""
    return (
        f'<text{kind} x="{one.at:.2f}%" dx="{shift}" y="{y}" text-anchor="{one.anchor}">{words}'
        f'<tspan class="bold">{escape(one.figure)}</tspan></text>'
    )


def _scale(gauge: Gauge) -> list[str]:
    """Marks below the bar at round numbers, with the unit at the last."""
    count = next(
        (n for n in _DIVISIONS if float(f"{gauge.top / n:.2g}") == gauge.top / n), _DIVISIONS[0]
    )
    out = []
    for step in range(count + 1):
        anchor = "start" if step == 0 else "end" if step == count else "middle"
        unit = f" {escape(gauge.unit)}" if step == count else ""
        x = 100 * step / count
        out.append(_line("span", x, 92, 96))
        out.append(
            f'<text class="scale" x="{x:.2f}%" y="108" text-anchor="{anchor}">'
            f"{gauge.top * step / count:g}{unit}</text>"
        )
    return out
