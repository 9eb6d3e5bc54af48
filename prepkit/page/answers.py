"""An answer as the page draws it: verdict with its picture, ways out as links, rows that open.

Everything is the answer's own: the figures that decide, cautions, ways out. Nothing is judged here.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple
from urllib.parse import urlencode

from markupsafe import Markup, escape

from prepkit.model import Answer, Way
from prepkit.page import carry, forms
from prepkit.render import gauge_svg, gauge_wide
from prepkit.render.brief import Brief, Shown, Weighed, brief
from prepkit.render.html import verdict
from prepkit.render.text import VERDICT_WORDS

FIGURES = 3
_FIRM = "\u00a0"  # a space that is never broken
_ON_THE_GAUGE = ("peak", "bound", "margin")
_UNITS = (
    r"(?:bar|psi|kPa|ml|cl|l|g/l|g|kg|mg|oz|US fl oz|lb|%(?: vol| w/w)?|ppm|°[CF]|Bx|m3|m³|h|min|d"
    r"|cm|mm|kcal|kJ|J)(?![\w/])"
)
_FIGURE = re.compile(rf"(-?\d[\d.,]*) ({_UNITS})")


class Large(NamedTuple):
    """A figure in large letters: its number, its unit, and its label with the ±."""

    number: str
    unit: str
    label: str


class Out(NamedTuple):
    """A way out of a stop; `query` applies it, "" where it cannot be applied by a link."""

    label: str
    verdict: str
    figure: Markup
    query: str


@dataclass(frozen=True)
class Top:
    """What stands on the first screen."""

    name: str
    word: str
    say: Markup
    gauge: Markup | None
    large: tuple[Large, ...]
    weigh: tuple[Weighed, ...]
    ways: tuple[Out, ...]
    strip: Markup  # the figure in a few words, for the strip that stays below
    always: Mapping[str, str]
    shown: frozenset[str]  # ids of the notes that stand on the first screen


def top(answer: Answer, words: Mapping[str, object], carried: Sequence[carry.Carried],
        system: str, asked_in: str) -> Top:  # fmt: skip
    """The first screen of an answer to words, in metric or US units.

    carried: the mixtures that the words name. asked_in: the units that an address must say, or "".
    """
    told = brief(answer, system)
    gauge = gauge_svg.of(answer, system) or gauge_svg.against(
        answer.result.compared, answer.verdict, system
    )
    large = () if answer.verdict == "stop" else _large(told, answer, gauge is not None)
    return Top(
        answer.verdict,
        verdict(answer.verdict).word,
        figures(_sentence(told)),
        Markup(gauge_wide.drawn(gauge)) if gauge is not None else None,
        large,
        tuple(weighed(one) for one in told.weigh),
        tuple(
            _out(way, words, carried, asked_in)
            for way in sorted(told.ways, key=lambda way: way.verdict == "stop")
        ),
        _strip(gauge, large, told),
        told.always._asdict(),
        frozenset(one.id for one in told.notes),
    )


def _sentence(told: Brief) -> str:
    """The sentence of the verdict: the figure that decides; what a stop forbids before it."""
    words = VERDICT_WORDS[told.verdict].partition(" ")[2].strip()
    words = f"{words[:1].upper()}{words[1:]}."
    if not told.deciding:
        return words
    return f"{words} {told.deciding}" if told.verdict == "stop" else told.deciding


def figures(text: str) -> Markup:
    """A sentence whose first figure is bold, and whose numbers never part from their units.

    >>> figures("Peak up to 15.3 bar, vessel rated 17 bar.")
    Markup('Peak up to <b>15.3\\xa0bar</b>, vessel rated 17\\xa0bar.')
    """
    joined = _FIGURE.sub("\\1\u00a0\\2", text)
    return Markup(
        re.sub(rf"(-?\d[\d.,]*\u00a0{_UNITS})", r"<b>\1</b>", str(escape(joined)), count=1)
    )


def _large(told: Brief, answer: Answer, drawn: bool) -> tuple[Large, ...]:
    """The three figures in large letters: those that decide and are not on the gauge."""
    taken = set()
    if drawn and answer.calculator == "siphon":
        screen = [one for one in answer.result.screen.primary if not isinstance(one, str)]
        taken = {one.label for one in screen if one.low in _ON_THE_GAUGE}
    return tuple(large(one) for one in told.figures if one.label not in taken)[:FIGURES]


def large(shown: Shown) -> Large:
    """A figure in its parts, whose number never parts from its unit.

    >>> large(Shown("gas dissolved", "8.57 ± 2.19 g/l", "8.57", "± 2.19", "g/l"))
    Large(number='8.57', unit='g/l', label='Gas dissolved, ±\\xa02.19')
    >>> large(Shown("settled, gauge", "4.4 to 6.9 bar", "4.4 to 6.9", "", "bar"))
    Large(number='4.4\\xa0to\\xa06.9', unit='bar', label='Settled, gauge')
    """
    label = shown.label if shown.label[1:2].isupper() else shown.label[:1].upper() + shown.label[1:]
    off = f", {shown.off.replace(' ', _FIRM)}" if shown.off else ""
    return Large(shown.number.replace(" ", _FIRM), shown.unit, f"{label}{off}")


def weighed(line: Weighed) -> Weighed:
    """A line to weigh whose numbers never part from their units.

    >>> weighed(Weighed("spirit 43 %", "660.1 g", "700.0 ml"))
    Weighed(what='spirit 43 %', amount='660.1\\xa0g', poured='700.0\\xa0ml')
    """
    return Weighed(line.what, line.amount.replace(" ", _FIRM), line.poured.replace(" ", _FIRM))


def _strip(gauge: gauge_svg.Gauge | None, shown: Sequence[Large], told: Brief) -> Markup:
    if gauge is not None:
        most = f"{gauge.bound:.{gauge.digits}f}"
        return Markup("<b>{}</b>, {}\u00a0{}").format(most, gauge.limit_words, gauge.unit)
    if shown:
        return Markup("<b>{}</b> {}").format(shown[0].number, shown[0].unit)
    return Markup("{}").format(told.deciding)


# the ways out


def _out(
    way: Way, words: Mapping[str, object], carried: Sequence[carry.Carried], asked_in: str
) -> Out:
    query = applied(way, words, carried, asked_in) if way.verdict != "stop" else ""
    label = f"{way.label[:1].upper()}{way.label[1:]}"
    return Out(label, way.verdict, figures(way.figure), query)


def applied(
    way: Way, words: Mapping[str, object], carried: Sequence[carry.Carried] = (), asked_in: str = ""
) -> str:
    """The address of the load with a way out applied; "" where a way says no inputs."""
    if not way.inputs:
        return ""
    changed = {
        key: "yes" if value is True else value
        for key, value in {**words, **way.inputs}.items()
        if value not in (None, False)
    }
    return urlencode(forms.query(changed, carry.lines(carry.needed(carried, changed)), asked_in))
