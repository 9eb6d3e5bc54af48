"""An answer as one HTML document to print and pin up: verdict first, no outside file, no script.

Templates are filled with text that is escaped everywhere; a card is legible in black and white,
because severity is told by its word and its border. Every number is the JSON's, at its shown
digits.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import TYPE_CHECKING

from prepkit import __version__
from prepkit.cautions import page_line
from prepkit.model import Answer, Caution, Source, Step, Table, Value, Way
from prepkit.registry import load
from prepkit.render import charts, marks, qr, signs
from prepkit.render.brief import brief, to_weigh
from prepkit.render.charts import Chart
from prepkit.render.front import set_on
from prepkit.render.prose import answer_in
from prepkit.render.text import (
    UNEVEN_WORDS,
    VERDICT_WORDS,
    source_words,
    table_cells,
    value_words,
    verdict_words,
)

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

SVG_SPACE = ' xmlns="http://www.w3.org/2000/svg"'
_CONTROL = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]"
)


@dataclass(frozen=True)
class Paper:
    """A paper by name: its CSS size, margin and size of letters."""

    name: str
    size: str
    margin: str
    letters: str


# a roll has no end of its own: it is fed in lengths
PAPERS = {
    paper.name: paper
    for paper in (
        Paper("a4", "210mm 297mm", "14mm 13mm 16mm", "10pt"),
        Paper("letter", "8.5in 11in", "14mm 13mm 16mm", "10pt"),
        Paper("a5", "148mm 210mm", "11mm 10mm 13mm", "9pt"),
        Paper("roll", "80mm 297mm", "8mm 4mm 10mm", "8.5pt"),
    )
}


@dataclass(frozen=True)
class Look:
    """How a card is made out: paper, date, units, with its details and their working or not."""

    on: date
    paper: Paper = PAPERS["a4"]
    system: str = "metric"
    working: bool = False
    title: str = ""
    details: bool = False


@dataclass(frozen=True)
class Cells:
    """A table as it is shown: headers, the letter l or r of each column, rows of words."""

    title: str
    headers: Sequence[str]
    letters: str
    rows: Sequence[Sequence[str]]
    tick: bool = False  # a box to tick before each row
    blank: str = ""  # header of an empty column to write into


@dataclass(frozen=True)
class Warned:
    """A caution as it is shown; `said` holds whom it concerns, the words, and what to do."""

    key: str
    severity: str
    kind: str
    said: Sequence[tuple[str, str, str]]
    of: str
    source: str
    number: int | None = None


@dataclass(frozen=True)
class Verdict:
    """The verdict in words, with what would change a stop or what care asks for."""

    name: str
    word: str
    words: str


@dataclass(frozen=True)
class Stamp:
    """What traces a card on a wall back to its inputs."""

    version: str
    on: str
    inputs: str


def fingerprint(inputs: Mapping[str, object]) -> str:
    """Twelve letters of the SHA-256 of the inputs, the same for the same inputs in any order.

    >>> fingerprint({"a": 1, "b": "x"}) == fingerprint({"b": "x", "a": 1})
    True
    """
    text = json.dumps(inputs, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
    return "-".join(digest[at : at + 4] for at in (0, 4, 8))


def stamp(look: Look, inputs: Mapping[str, object]) -> Stamp:
    """Version, date and hash of the inputs."""
    return Stamp(__version__, look.on.isoformat(), fingerprint(inputs))


def verdict(name: str, words: str = "") -> Verdict:
    """A verdict by name, in the words that the terminal has."""
    word, _, rest = VERDICT_WORDS[name].partition(" ")
    return Verdict(name, word, words or rest.strip())


def shown(value: Value, system: str) -> str:
    """A value with its +/- and unit."""
    return " ".join(value_words(value, system)).strip()


def cells(table: Table, system: str) -> Cells:
    """A table of an answer."""
    return Cells(table.title, *table_cells(table, system))


def warned(caution: Caution) -> Warned:
    """A caution of an answer."""
    return Warned(
        caution.id,
        caution.severity,
        caution.kind,
        (("", caution.text, caution.advice),),
        "",
        source_words(caution.source),
    )


def step_words(step: Step, obtained: str) -> tuple[str, str, str, str]:
    """Label, formula, outcome and source of a step."""
    outcome = f"{step.value:.6g} {step.unit}".strip() if step.value is not None else ""
    source = f"{step.source}, {obtained}" if step.source and obtained else step.source
    return step.label, step.formula, outcome, source


def answer_card(answer: Answer, look: Look, address: str = "") -> str:
    """The card of one calculation: one page, and the details where they are asked for.

    `address` is that of the calculation on a page that others can reach, for the code.
    """
    from prepkit.render import card_face

    traced = stamp(look, {"calculator": answer.calculator, "inputs": answer.inputs})
    return page(
        "answer.html",
        look,
        traced,
        front=set_on(card_face.of_answer(answer, look, traced, address), look.paper.name),
        name=answer.calculator,
        title=look.title or answer.calculator,
        summary=load(answer.calculator).summary,
        **answer_parts(answer, look),
    )


def answer_parts(answer: Answer, look: Look) -> dict[str, object]:
    """An answer by the parts that a document shows, in the words that are shown."""
    told = brief(answer, look.system)
    answer = answer_in(answer, look.system)
    deciding = "" if told.decides_by_stop else told.deciding
    weigh = answer.result.screen.weigh if told.weigh else ""
    specs = load(answer.calculator).inputs.specs()
    obtained = {source.key: source.obtained for source in answer.sources}
    triggered = [caution for caution in answer.cautions if not caution.standing]
    return {
        "verdict": verdict(
            answer.verdict,
            verdict_words(answer.verdict, deciding).partition(" ")[2].strip(),
        ),
        "ways": _ways(answer.result.ways_out),
        "first": [warned(one) for one in triggered if one.severity != "note"],
        "notes": [warned(one) for one in triggered if one.severity == "note"],
        "standing": [warned(one) for one in answer.cautions if one.standing],
        "values": [
            (name, value.label, shown(value, look.system)) for name, value in answer.values.items()
        ],
        "uneven": UNEVEN_WORDS if any(one.non_linear for one in answer.values.values()) else "",
        "do_this": told.do_this,
        "weigh": [cells(to_weigh(one), look.system) for one in answer.tables if one.name == weigh],
        "tables": [cells(one, look.system) for one in answer.tables if one.name != weigh],
        "charts": charts.of(answer),
        "inputs": [(specs[name].label, given(value)) for name, value in answer.inputs.items()],
        "steps": [step_words(step, obtained.get(step.source, "")) for step in answer.working],
        "sources": answer.sources,
    }


def _ways(ways: Sequence[Way]) -> Cells | None:
    """The ways out of a stop; None where none was worked out."""
    if not ways:
        return None
    rows = [(way.label, way.verdict.upper(), way.figure) for way in ways]
    headers = ("what you could do", "verdict", "figure")
    return Cells("Ways out, each worked out and judged", headers, "lll", rows)


def given(value: object) -> list[str]:
    """An input as entered, or its default."""
    if isinstance(value, bool):
        return ["yes" if value else "no"]
    if isinstance(value, list | tuple):
        return [str(one) for one in value]
    return [f"{value:g}" if isinstance(value, float) else str(value)]


def page(template: str, look: Look, traced: Stamp, **said: object) -> str:
    """A whole document."""
    defers = page_line("card")
    return (
        _templates()
        .get_template(template)
        .render(look=look, paper=look.paper, stamp=traced, defers=defers, **said)
    )


def document(template: str, **said: object) -> str:
    """A whole document that is no card: nothing of a look or a stamp in it."""
    return _templates().get_template(template).render(**said)


def plain(value: object) -> object:
    """Without control characters, which HTML has no place for and which could turn text round."""
    if type(value) is str and _CONTROL.search(value):
        return _CONTROL.sub("\ufffd", value)
    return value


@cache
def _templates() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    made = Environment(
        loader=FileSystemLoader(os.path.join(os.path.dirname(__file__), "templates")),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=plain,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["svg"] = drawn
    made.filters["mm"] = lambda length: f"{length:.3f}mm"
    made.filters["drawing"] = Markup  # our own drawing, escaped where it was drawn
    made.filters["mark"] = lambda name: Markup(marks.of_verdict(name))
    made.filters["sign"] = lambda shape, symbol: Markup(_sign(shape, symbol))
    made.filters["modules"] = qr.path
    return made


def _sign(shape: str, symbol: str) -> str:
    """The sign beside a sentence of a card."""
    if symbol or shape == "mandatory":
        return signs.drawn(f"{shape} {symbol or 'general'}")
    return marks.prohibition()


def drawn(chart: Chart) -> Markup:
    """Our own drawing, escaped where it was drawn; inside HTML it needs no name space."""
    from markupsafe import Markup

    return Markup(chart.svg.replace(SVG_SPACE, "", 1))


__all__ = [
    "PAPERS", "Cells", "Chart", "Look", "Paper", "Source", "Stamp", "Verdict", "Warned",
    "answer_card", "answer_parts", "cells", "drawn", "fingerprint", "page", "plain", "shown",
    "source_words", "stamp", "step_words", "verdict", "warned",
]  # fmt: skip
