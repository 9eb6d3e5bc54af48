"""Text that is known to fit its place, and the gauges of card and page.

Lines are broken here, from the widths of letters in `data/letter_widths.toml`, and printed as they
stand. What does not fit gives way by priority: a shorter wording, then what matters less is left
out. Type is never set smaller than `SMALLEST_MM` and nothing runs over its place. Lengths are in
millimetres on paper; a width without a unit in its name is in em, the size of the type.

Black is the figure itself, hatched how far it may go, the heavy line the limit. Each is named
by its figure, so that nothing rests on colour.

Places are in per cent of the width. Letters are placed as on the narrowest phone, so that none
covers another on any. Solid is the figure itself, hatched how far it may go, the heavy line the
limit, a bracket the margin or what is over; each is named by its figure.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from html import escape
from typing import NamedTuple

from prepkit import blocks
from prepkit.model import Answer, Compared, degrees
from prepkit.render.signs import RED
from prepkit.units import convert, rounded_down, rounded_up, shown_digits, shown_in

# ---- text that is known to fit its place on paper before it is printed ----

CAPITAL = 0.65
"""Height of a capital letter in em: the lower of the faces in `templates/letters.css`."""
SMALLEST_MM = 3.0
"""Height of the smallest capital letter on a card or a sheet for the wall."""
READ_PER_M_MM = 10 / 3
"""Height of a capital letter that is read at one metre, mm: distance / 300 [SIGN-DISTANCE]."""
CUT = "…"
NO_BREAK = "\u00a0"
_UNKNOWN = 1.05  # a letter that is not in the table: a full square and a little
_PICTURE = 1.4  # beyond the first plane: pictures and rare scripts
_INVISIBLE = {"Mn", "Me", "Cf"}
# a figure stays with its unit or the word that counts it, a sign with its figure
_UNIT = (
    r"%|‰|°C|°F|C|F|bar|psi|kPa|mg|g|kg|oz|lb|ml|cl|l|fl|mm|m|m3|ft|ft3|min|h|d|days?|"
    r"J|N|pH|ppm|Bx|units?|chargers?|vessels?|times|in|US|UK"
)
_GLUED = re.compile(
    rf"(?<=\d) (?=(?:{_UNIT})(?![\w]))|(?<=[±<>≤≥]) (?=\d)|(?<=\d) (?=[±])|"
    r"(?<=\bfl) (?=oz)|(?<=\b(?:US|mp)) (?=fl)"
)
_SENTENCE = re.compile(r"(?<=[.!?]) +(?=[\"“(]?[A-Z0-9])")


def type_mm(capital_mm: float) -> float:
    """The size of type whose capital letters are at least `capital_mm` high.

    >>> round(type_mm(3.0), 2)
    4.62
    """
    return capital_mm / CAPITAL


SMALLEST_TYPE_MM = type_mm(SMALLEST_MM)


def width(text: str, bold: bool = False) -> float:
    """The most that a line of text takes in em, whichever of the faces it is printed in.

    >>> round(width("Peak up to 13.9 bar"), 2)
    8.95
    >>> width("Peak", bold=True) > width("Peak")
    True
    """
    widths = _widths("bold" if bold else "regular")
    return sum(widths.get(letter, 0.0) or _other(letter, widths) for letter in text)


@cache
def _widths(weight: str) -> dict[str, float]:
    table = blocks.table("letter_widths.toml", weight) or {}
    return {letter: int(wide) / 1000 for wide, letters in table.items() for letter in letters}


def _other(letter: str, widths: dict[str, float]) -> float:
    """A letter that was not measured: the parts it is made of, at least a full square."""
    if unicodedata.category(letter) in _INVISIBLE:
        return 0.0
    parts = unicodedata.normalize("NFKC", letter)
    apart = sum(widths.get(part, _UNKNOWN) for part in parts) if parts != letter else 0.0
    return max(apart, _PICTURE if ord(letter) > 0xFFFF else _UNKNOWN)


def glued(text: str) -> str:
    """The text on one line, each figure held to its unit.

    >>> glued("up to  13.9 bar").endswith("13.9\\u00a0bar")
    True
    """
    return _GLUED.sub(NO_BREAK, " ".join(text.split(" ")).strip())


def lines(text: str, wide: float, bold: bool = False) -> tuple[str, ...]:
    """The text broken into lines of at most `wide` em: at blanks, after hyphens, else anywhere.

    >>> lines("Vent to zero, nozzle up, then unscrew.", 10)
    ('Vent to zero, nozzle', 'up, then unscrew.')
    """
    found: list[str] = []
    line = ""
    for word in re.split(r"[ \t\r\n\f\v]+", glued(" ".join(text.split()))):
        for place, piece in enumerate(_pieces(word, wide, bold)):
            joined = line + (" " if line and not place else "") + piece
            if line and width(joined, bold) > wide:
                found.append(line)
                joined = piece
            line = joined
    return tuple([*found, line] if line else found)


def _pieces(word: str, wide: float, bold: bool) -> Iterator[str]:
    """A word whole where it fits; else after its hyphens; else wherever the line ends."""
    if width(word, bold) <= wide:
        yield word
        return
    for part in re.split(rf"(?<=[-/{NO_BREAK}])", word):
        piece = ""
        for letter in part:
            if piece and width(piece + letter, bold) > wide:
                yield piece
                piece = ""
            piece += letter
        if piece:
            yield piece


def fitted(
    wordings: Sequence[str], wide_mm: float, size_mm: float, most: int, bold: bool = False
) -> tuple[str, ...] | None:
    """The lines of the first wording that fits `most` lines; None where none of them does.

    `wordings` are ordered from the fullest to the shortest. Nothing is cut: what does not fit is
    for the caller to leave out, to set elsewhere or to refuse.
    """
    for wording in wordings:
        broken = lines(wording, wide_mm / size_mm, bold)
        if len(broken) <= most:
            return broken
    return None


def shortened(
    text: str, wide_mm: float, size_mm: float, most: int, bold: bool = False
) -> tuple[str, ...]:
    """The lines of a name or title, cut after a whole word where it is too long, with an ellipsis.

    For names alone: a sentence on safety is fitted or left out, never cut. At least one line.
    """
    wide = wide_mm / size_mm
    broken = lines(text, wide, bold)
    if len(broken) <= most:
        return broken
    kept = broken[: max(most, 1)]
    last = kept[-1].rstrip(" ,;:-")
    while last and width(last + CUT, bold) > wide:
        last = last.rpartition(" ")[0].rstrip(" ,;:-") or last[:-1]
    return (*kept[:-1], last + CUT)


def sentences(text: str) -> tuple[str, ...]:
    """The sentences of a text.

    >>> sentences("Never force it. Cover it at 0.5 C, keep away.")
    ('Never force it.', 'Cover it at 0.5 C, keep away.')
    """
    return tuple(word for word in _SENTENCE.split(" ".join(text.split())) if word)


def shorter(text: str) -> tuple[str, ...]:
    """A text and its shorter forms: one sentence less each time, from the end.

    >>> shorter("Peak 14 bar. Rated 17 bar. Keep it cold.")[1:]
    ('Peak 14 bar. Rated 17 bar.', 'Peak 14 bar.')
    """
    told = sentences(text)
    return tuple(" ".join(told[:most]) for most in range(len(told), 0, -1))


# ---- the gauge of a card ----

_STEPS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)


@dataclass(frozen=True)
class Gauge:
    """A figure up to its bound against its limit, all in the unit that is shown."""

    value: float
    bound: float
    limit: float
    unit: str
    digits: int
    limit_name: str

    @property
    def top(self) -> float:
        """The end of the scale: a round number above all of it."""
        most = 1.1 * max(self.bound, self.limit)
        power = 10.0
        while power > most:
            power /= 10
        while 10 * power < most:
            power *= 10
        return next(power * step for step in _STEPS if power * step >= most - 1e-12)

    @property
    def figure(self) -> str:
        """The bound with its unit."""
        return f"{self.up_to} {self.unit}"

    @property
    def up_to(self) -> str:
        """The bound as a number: never less than it is."""
        return f"{rounded_up(self.bound, self.digits):.{self.digits}f}"

    @property
    def off(self) -> str:
        """The margin, rounded down; beyond the limit the excess, rounded up."""
        off = self.limit - self.bound
        shown = rounded_down(off, self.digits) if off >= 0 else rounded_up(-off, self.digits)
        return f"{shown:.{self.digits}f}"

    @property
    def limit_words(self) -> str:
        """The limit with its name; it is compared unrounded."""
        return f"{self.limit_name} {rounded_down(self.limit, max(self.digits, 1)):g}"

    @property
    def words(self) -> str:
        """The picture in words."""
        told = f"{'margin' if self.bound <= self.limit else 'over by'} {self.off}"
        head = "Upper bound " if self.bound > self.value else ""
        return f"{head}{self.figure}; {self.limit_words} {self.unit}; {told}."


def of(answer: Answer, system: str = "metric") -> Gauge | None:
    """The gauge of a charged vessel; None where no pressure was computed or none is rated."""
    if answer.calculator != "siphon" or not {"peak", "bound"} <= set(answer.values):
        return None
    rated = answer.result.facts.get("rated_bar")  # what it was judged against: the lower end of a ±
    if rated is None:
        return None
    peak, bound = answer.values["peak"], answer.values["bound"]
    unit = shown_in(0.0, peak.unit, system)[1]
    # exact, as the sentence beside it converts it, so that both are the same in US units
    one, most, limit = (convert(value, "bar", unit) for value in (peak.value, bound.value, rated))
    return Gauge(one, most, limit, unit, peak.digits, "rated")


def against(compared: Compared | None, verdict: str, system: str = "metric") -> Gauge | None:
    """The gauge of a figure and its upper limit; None where there is none.

    None too where the figure, as it is shown, and its limit do not say what the verdict says.

    >>> against(Compared(14.52, 3.0, "%", 1), "stop").figure
    '14.5 %'
    >>> against(Compared(2.0, 3.0, "%", 1), "stop")
    """
    if compared is None:
        return None
    digits = shown_digits(compared.digits, compared.unit, system)
    # rounded first, as the sentence beside it is converted from what it shows
    stated = round(compared.value, compared.digits)
    value = round(shown_in(stated, compared.unit, system)[0], digits)
    limit = round(shown_in(compared.limit, compared.unit, system)[0], 6)
    if (value > limit) != (verdict == "stop") or limit <= 0:
        return None
    unit = degrees(shown_in(0.0, compared.unit, system)[1])
    return Gauge(value, value, limit, unit, digits, "limit")


def card_gauge(gauge: Gauge, wide_mm: float, bar_mm: float, type_mm: float) -> str:
    """The gauge as SVG, in millimetres, with letters of `type_mm` below the bar."""

    at = wide_mm / gauge.top
    shown = (gauge.value, gauge.bound, gauge.limit)
    value, bound, limit = (min(number * at, wide_mm) for number in shown)
    high = bar_mm + 1.25 * type_mm
    stop = gauge.bound > gauge.limit
    fill = RED if stop else "#000"
    marks = [(0.0, "0", "start"), (wide_mm, f"{gauge.top:g} {gauge.unit}", "end")]
    up_to = f"{'up to ' if gauge.bound > gauge.value else ''}{gauge.up_to}"
    named = sorted([(bound, up_to), (limit, gauge.limit_words)], key=lambda one: one[0])
    texts = _gauge_svg_placed(named, marks, wide_mm, type_mm)
    words = escape(gauge.words)
    said = "".join(
        f'<text x="{x:.2f}" y="{bar_mm + type_mm:.2f}">{escape(text)}</text>' for x, text in texts
    )
    return (
        f'<svg class="gauge" role="img" aria-label="{words}" viewBox="0 0 {wide_mm:g} {high:.2f}">'
        f"<title>Gauge</title><desc>{words}</desc>"
        f'<rect x=".25" y=".25" width="{wide_mm - 0.5:g}" height="{bar_mm - 0.5:g}" fill="#fff" '
        'stroke="#000" stroke-width=".5"/>'
        f'<rect x="0" y="0" width="{value:.2f}" height="{bar_mm:g}" fill="{fill}"/>'
        f'<rect x="{value:.2f}" y=".25" width="{max(bound - value, 0):.2f}" '
        f'height="{bar_mm - 0.5:g}" fill="#fff" stroke="{fill}" stroke-width=".5"/>'
        f'<path d="{_hatched(value, bound, bar_mm)}" stroke="{fill}" stroke-width="1.2"/>'
        f'<path d="M{limit:.2f} 0v{bar_mm + 1:g}" stroke="#fff" stroke-width="3"/>'
        f'<path d="M{limit:.2f} 0v{bar_mm + 1:g}" stroke="{RED}" stroke-width="2"/>'
        f'<g font-size="{type_mm:.3f}" font-weight="700">{said}</g></svg>'
    )


def _gauge_svg_placed(
    named: list[tuple[float, str]],
    ends: list[tuple[float, str, str]],
    wide_mm: float,
    type_mm: float,
) -> list[tuple[float, str]]:
    """Texts below the bar from left to right, none over another; the ends give way first."""
    gap = 0.6 * type_mm
    wides = [type_mm * width(text, True) for _, text in named]
    lefts = [max(0.0, min(x - w / 2, wide_mm - w)) for (x, _), w in zip(named, wides, strict=True)]
    over = lefts[0] + wides[0] + gap - lefts[1]
    if over > 0:
        lefts[0] = max(0.0, lefts[0] - over)
        lefts[1] = min(max(lefts[1], lefts[0] + wides[0] + gap), wide_mm - wides[1])
    found = [(x, text) for x, (_, text) in zip(lefts, named, strict=True)]
    for x, text, anchor in ends:
        w = type_mm * width(text, True)
        left = 0.0 if anchor == "start" else x - w
        if left + w + gap <= lefts[0] or left >= lefts[1] + wides[1] + gap:
            found.append((left, text))
    return sorted(found)


def _hatched(left: float, right: float, high: float, apart: float = 2.8) -> str:
    """Slanted lines that fill a bar from `left` to `right`."""
    drawn = []
    start = left - high
    while start < right:
        begin, end = max(0.0, (left - start) / high), min(1.0, (right - start) / high)
        if begin < end:
            drawn.append(
                f"M{start + begin * high:.2f} {high * (1 - begin):.2f}"
                f"L{start + end * high:.2f} {high * (1 - end):.2f}"
            )
        start += apart
    return "".join(drawn)


# ---- the gauge of the page ----

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


def wide_gauge(gauge: Gauge) -> str:
    """The gauge as SVG for HTML; what it holds of words is escaped."""
    scale = 100 / gauge.top
    value, bound, limit = (min(100.0, max(0.0, number * scale)) for number in _three(gauge))
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
    parts += [_text(label, 14 if over else 20) for label in _placed(above)]
    low, high = sorted((bound, limit))
    of = "over" if over else "span"
    parts += [_line(of, low, 68, 68, high), _line(of, low, 64, 72), _line(of, high, 64, 72)]
    parts += [_text(label, 86, over) for label in _placed(below)]
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
    for label in row:
        lefts.append(max(label.left, edge))
        edge = lefts[-1] + label.wide + _GAP
    edge = 100.0
    for place in range(len(row) - 1, -1, -1):
        lefts[place] = max(0.0, min(lefts[place], edge - row[place].wide))
        edge = lefts[place] - _GAP
    return [_moved(label, left) for label, left in zip(row, lefts, strict=True)]


def _moved(label: _Label, left: float) -> _Label:
    """A label at a place; one moved left keeps to its right end, where its own place is."""
    if abs(left - label.left) < 0.01:
        return label
    if left > label.left:
        return label._replace(at=left, anchor="start")
    return label._replace(at=left + label.wide, anchor="end")


def _bar(name: str, left: float, right: float, up: int = 0, taller: int = 0) -> str:
    kind = 'fill="url(#hatch)"' if name == "may" else f'class="{name}"'
    return (
        f'<rect {kind} x="{left:.2f}%" y="{_TOP + up}" width="{max(0.0, right - left):.2f}%" '
        f'height="{_HIGH + taller}"/>'
    )


def _line(name: str, x: float, top: int, bottom: int, to: float | None = None) -> str:
    end = x if to is None else to
    return f'<line class="{name}" x1="{x:.2f}%" x2="{end:.2f}%" y1="{top}" y2="{bottom}"/>'


def _text(label: _Label, y: int, over: bool = False) -> str:
    shift = {"start": 3, "middle": 0, "end": -3}[label.anchor] if 0 < label.at < 100 else 0
    words = f"{escape(label.text)} " if label.text else ""
    kind = ' class="over"' if over else ""
    return (
        f'<text{kind} x="{label.at:.2f}%" dx="{shift}" y="{y}" text-anchor="{label.anchor}">{words}'
        f'<tspan class="bold">{escape(label.figure)}</tspan></text>'
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
