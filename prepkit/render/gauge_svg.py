"""The gauge of a card: how far the figure that decides is from its limit.

Black is the figure itself, hatched how far it may go, the heavy line the limit. Each is named
by its figure, so that nothing rests on colour.
"""

from __future__ import annotations

from dataclasses import dataclass

from prepkit.first_screen import degrees
from prepkit.model import Answer, Compared
from prepkit.render.fitting import width
from prepkit.render.signs import RED
from prepkit.units import convert, rounded_down, rounded_up, shown_digits, shown_in

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
        return next(power * one for one in _STEPS if power * one >= most - 1e-12)

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


def drawn(gauge: Gauge, wide_mm: float, bar_mm: float, type_mm: float) -> str:
    """The gauge as SVG, in millimetres, with letters of `type_mm` below the bar."""
    from html import escape

    at = wide_mm / gauge.top
    shown = (gauge.value, gauge.bound, gauge.limit)
    value, bound, limit = (min(one * at, wide_mm) for one in shown)
    high = bar_mm + 1.25 * type_mm
    stop = gauge.bound > gauge.limit
    fill = RED if stop else "#000"
    marks = [(0.0, "0", "start"), (wide_mm, f"{gauge.top:g} {gauge.unit}", "end")]
    up_to = f"{'up to ' if gauge.bound > gauge.value else ''}{gauge.up_to}"
    named = sorted([(bound, up_to), (limit, gauge.limit_words)], key=lambda one: one[0])
    texts = _placed(named, marks, wide_mm, type_mm)
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


def _placed(
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
