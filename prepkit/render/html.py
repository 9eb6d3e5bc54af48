"""An answer as one HTML document to print and pin up; the first page of a card.

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

from prepkit import __version__, model
from prepkit.cautions import page_line
from prepkit.model import Answer, Caution, Source, Step, Table, Value, Way, degrees
from prepkit.registry import load
from prepkit.render import charts, fitting, signs
from prepkit.render.charts import Chart
from prepkit.render.fitting import shorter
from prepkit.render.front import CardCaution, Face, Fact, set_on
from prepkit.render.plan_lists import UNITS, amount, made_for, weighing
from prepkit.render.plan_text import SHORT_VERDICT, must_not, shown_value
from prepkit.render.short import Brief, brief, marked, to_weigh
from prepkit.render.text import (
    UNEVEN_WORDS,
    VERDICT_WORDS,
    answer_in,
    exact_of,
    in_units,
    source_words,
    table_cells,
    value_words,
)
from prepkit.render.text import verdict_words as text_verdict_words

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

    from prepkit.sheet import PlanSheet

__all__ = [
    "PAPERS",
    "Cells",
    "Chart",
    "Look",
    "PaperSize",
    "Source",
    "Stamp",
    "Verdict",
    "Warned",
    "answer_card",
    "answer_parts",
    "cells",
    "drawn",
    "fingerprint",
    "macro",
    "page",
    "plain",
    "shown",
    "source_words",
    "stamp",
    "step_words",
    "verdict",
    "warned",
]


# ---- an answer as one HTML document to print and pin up ----

SVG_SPACE = ' xmlns="http://www.w3.org/2000/svg"'
_CONTROL = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]"
)


@dataclass(frozen=True)
class PaperSize:
    """A paper by name: its CSS size, margin and size of letters."""

    name: str
    size: str
    margin: str
    letters: str


# a roll has no end of its own: it is fed in lengths
PAPERS = {
    paper.name: paper
    for paper in (
        PaperSize("a4", "210mm 297mm", "14mm 13mm 16mm", "10pt"),
        PaperSize("letter", "8.5in 11in", "14mm 13mm 16mm", "10pt"),
        PaperSize("a5", "148mm 210mm", "11mm 10mm 13mm", "9pt"),
        PaperSize("roll", "80mm 297mm", "8mm 4mm 10mm", "8.5pt"),
    )
}


@dataclass(frozen=True)
class Look:
    """How a card is made out: paper, date, units, with its details and their working or not."""

    on: date
    paper: PaperSize = PAPERS["a4"]
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

    traced = stamp(look, {"calculator": answer.calculator, "inputs": answer.inputs})
    return page(
        "answer.html",
        look,
        traced,
        front=set_on(of_answer(answer, look, traced, address), look.paper.name),
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
            text_verdict_words(answer.verdict, deciding).partition(" ")[2].strip(),
        ),
        "ways": _ways(answer.result.ways_out),
        "first": [warned(caution) for caution in triggered if caution.severity != "note"],
        "notes": [warned(caution) for caution in triggered if caution.severity == "note"],
        "standing": [warned(caution) for caution in answer.cautions if caution.standing],
        "values": [
            (name, value.label, shown(value, look.system)) for name, value in answer.values.items()
        ],
        "uneven": UNEVEN_WORDS if any(value.non_linear for value in answer.values.values()) else "",
        "do_this": told.do_this,
        "weigh": [
            cells(to_weigh(table), look.system) for table in answer.tables if table.name == weigh
        ],
        "tables": [cells(table, look.system) for table in answer.tables if table.name != weigh],
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


def macro(template: str, name: str, *said: object) -> Markup:
    """What a macro of a template makes of its arguments."""
    from markupsafe import Markup

    module = _templates().get_template(template).module
    return Markup(getattr(module, name)(*said))


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
    made.filters["mark"] = lambda name: Markup(signs.of_verdict(name))
    made.filters["sign"] = lambda shape, symbol: Markup(_sign(shape, symbol))
    made.filters["modules"] = signs.path
    return made


def _sign(shape: str, symbol: str) -> str:
    """The sign beside a sentence of a card."""
    if symbol or shape == "mandatory":
        return signs.drawn(f"{shape} {symbol or 'general'}")
    return signs.prohibition()


def drawn(chart: Chart) -> Markup:
    """Our own drawing, escaped where it was drawn; inside HTML it needs no name space."""
    from markupsafe import Markup

    return Markup(chart.svg.replace(SVG_SPACE, "", 1))


# ---- what the first page of a card says, of an answer and of a plan ----

_ASIDE = re.compile(r" \([^()]*\)")
_MOST_BESIDE_STOP = 3
_GOES_IN = {"part", "parts", "ingredient", "many words"}  # kinds of input that are weighed
_ON_THE_GAUGE = {"peak", "bound", "margin"}
_MOST_PARTS = 4
_WITH_GAS = {"siphon", "cryogen", "room", "foam"}  # what stands for these comes first on a plan


def closing(traced: Stamp) -> tuple[str, ...]:
    """Who ranks before the card, and what traces it back to its inputs."""
    return page_line("card"), f"prepkit {traced.version}, {traced.on}, {traced.inputs}"


def verdict_words(name: str) -> tuple[str, str]:
    """The signal word of a verdict, and its sentence."""
    word, _, rest = VERDICT_WORDS[name].partition(" ")
    sentence = rest.strip()
    return word, f"{sentence[0].upper()}{sentence[1:]}."


def headlines(name: str, deciding: str) -> tuple[str, ...]:
    """What decides, the fullest wording first; the words of the verdict where nothing does."""
    if not deciding:
        return (verdict_words(name)[1],)
    bare = _ASIDE.sub("", deciding)
    return tuple(dict.fromkeys((deciding, *shorter(bare))))


def of_answer(answer: Answer, look: Look, traced: Stamp, address: str = "") -> Face:
    """The card of one calculation."""
    shown = brief(answer, look.system)
    answer = marked(answer_in(answer, look.system))
    word, words = verdict_words(answer.verdict)
    compared = answer.result.compared
    gauge = fitting.of(answer, look.system) or fitting.against(
        compared, answer.verdict, look.system
    )
    return Face(
        title=str(plain(look.title or answer.calculator)),
        about=traced.on,
        verdict=answer.verdict,
        word=word,
        words=words,
        headline=tuple(
            str(plain(headline)) for headline in headlines(answer.verdict, shown.deciding)
        ),
        gauge=gauge,
        facts=_facts(shown, answer, look.system),
        points=[_point(caution) for caution in answer.cautions],
        always=shown.always._asdict(),
        fewer="",
        ways=[(way.label, way.verdict.upper(), way.figure) for way in shown.ways],
        closing=closing(traced),
        qr=signs.rows(address),
    )


def _point(one: Caution) -> CardCaution:
    return CardCaution(one.id, one.kind, one.severity, str(plain(one.text)), str(plain(one.action)),
                 one.standing)  # fmt: skip


def _facts(shown: Brief, answer: Answer, system: str) -> list[Fact]:
    """What to weigh and to do, then the figures that decide, then what to check by."""
    found = [
        Fact(str(plain(text)), "")
        for text in (
            *shown.do_this,
            *(line.line for line in shown.weigh[:_MOST_PARTS]),
        )
    ]
    if len(shown.weigh) > _MOST_PARTS:
        found.append(
            Fact(f"and {len(shown.weigh) - _MOST_PARTS} more to weigh: see the details", "")
        )
    if not found and answer.verdict != "stop":
        specs = load(answer.calculator).inputs.specs()
        for name, value in answer.inputs.items():
            if specs[name].kind in _GOES_IN:
                words = given(value)
                more = [f"and {len(words) - _MOST_PARTS} more"] if len(words) > _MOST_PARTS else []
                found.append(_fact(specs[name].label, ", ".join([*words[:_MOST_PARTS], *more])))
    drawn = [_worded(answer, name, system) for name in _ON_THE_GAUGE]
    on_gauge = drawn if answer.calculator == "siphon" else []
    figures = [
        _fact(figure.label, figure.value)
        for figure in shown.figures
        if figure.value not in on_gauge
    ]
    check = [_fact(f"check: {figure.label}", figure.value) for figure in shown.check]
    if answer.verdict == "stop":
        return figures[:_MOST_BESIDE_STOP]
    return [*found, *figures, *check]


def of_plan(
    said: PlanSheet,
    answers: Mapping[str, Answer],
    look: Look,
    traced: Stamp,
    item: str | None = None,
    address: str = "",
) -> Face:
    """The card of a plan, or of the one item that `said` was narrowed to."""
    system = look.system
    word, words = verdict_words(said["verdict"])
    about = f"{made_for(said)}, {traced.on}"
    title = look.title or (f"{item}: {said['title']}" if item else said["title"])
    charged = [
        (gauge, id_, answer)
        for id_, answer in answers.items()
        if (gauge := fitting.of(answer, system)) is not None
        and any(item_sheet["id"] == id_ and "weigh" in item_sheet for item_sheet in said["items"])
    ]
    worst = max(charged, key=lambda one: one[0].bound / one[0].limit, default=None)
    gauge, told = None, _plan_headlines(said, system)
    if worst is not None and said["verdict"] != "stop":
        gauge, id_, answer = worst
        deciding = in_units(answer.result.deciding, system, exact_of(answer))
        told = headlines(said["verdict"], deciding)
        if item is None:
            told = (f"{id_}: {deciding}", *told)
    return Face(
        title=str(plain(title)),
        about=about,
        verdict=said["verdict"],
        word=word,
        words=words,
        headline=tuple(str(plain(text)) for text in told),
        gauge=gauge,
        wanted=8,
        least=_least(said, item),
        always=_always(said),
        facts=_to_make(said, system) if item is None else _of_item(said, answers, system),
        points=_plan_points(said, system, item),
        closing=closing(traced),
        qr=signs.rows(address),
    )


def _least(said: PlanSheet, item: str | None) -> int:
    """How many rows of a plan stand before any sentence: all to make, or all to weigh, up to 8."""
    rows = said["items"] if item is None else said["items"][0].get("weigh", ())
    return min(len(rows), 8)


def _always(said: PlanSheet) -> dict[str, str]:
    """The short lines of the work with gas in a plan, else of its first item."""
    calculators = [item["calculator"] for item in said["items"]]
    usual = said["always"]["of"] if "sites" in said or not calculators else calculators[0]
    first = next((calculator for calculator in calculators if calculator in _WITH_GAS), usual)
    return dict(model.lines(first)._asdict())


def _plan_headlines(said: PlanSheet, system: str) -> tuple[str, ...]:
    """What must not be made, and why; the words of the verdict where all may be."""
    if not said["stops"]:
        return (verdict_words(said["verdict"])[1],)
    first = said["stops"][0]
    head = f"{must_not(first)}."
    return f"{head} {in_units(first['text'], system)}", head


def _to_make(said: PlanSheet, system: str) -> list[Fact]:
    """What to make, in order."""
    found = []
    for item in said["items"]:
        brief = ""
        if item["verdict"] == "stop":
            words = "STOP" if item["check"] else "STOP: not to be made"
        elif item["held_by"]:
            words = f"held by {', '.join(item['held_by'])}"
        elif item["makes"]:
            words = _amounts(item.get("made_g"), item.get("made_ml"), system)
            brief = _amounts(item.get("made_g"), None, system)
        else:
            words = SHORT_VERDICT[item["verdict"]]
        found.append(Fact(item["id"], str(plain(words)), brief or str(plain(words))))
    return found


def _of_item(said: PlanSheet, answers: Mapping[str, Answer], system: str) -> list[Fact]:
    """What to weigh for an item, how it is filled, and what to check it by; what a check found."""
    (one,) = said["items"]
    if one["verdict"] == "stop":
        return []
    if one["held_by"]:
        return [Fact("Held by", ", ".join(one["held_by"]))]
    units = UNITS[system]
    found = [
        _fact(line["name"], f"{weighing(line, system)} {units[0]}") for line in one.get("weigh", ())
    ]
    filling = one.get("filling")
    if filling:
        found.append(Fact("Vessels to fill", str(filling["fills"])))
        found.append(Fact("Each with", _amounts(filling["each_g"], filling["each_ml"], system)))
        if filling["chargers"]:
            each = f"{filling['chargers_each']} of {filling['gas'] or ''}".rstrip(" of")
            found.append(Fact("Chargers in each", each))
    elif one["makes"]:
        found.append(Fact("Yield", _amounts(one.get("made_g"), one.get("made_ml"), system)))
    if not one["makes"] and one["id"] in answers:
        shown = brief(answers[one["id"]], system)
        found += [_fact(figure.label, figure.value) for figure in shown.figures]
    for reading in one.get("readings", ()):
        found.append(_fact(f"Check: {reading['label']}", " ".join(shown_value(reading, system))))
    return found


def _amounts(g: float | None, ml: float | None, system: str) -> str:
    """A weight and a volume."""
    units = UNITS[system]
    told = [f"{amount(value, name, system)} {unit}" for value, name, unit in
            ((g, "g", units[0]), (ml, "ml", units[1])) if value is not None]  # fmt: skip
    return ", ".join(told)


def _plan_points(said: PlanSheet, system: str, item: str | None) -> list[CardCaution]:
    """The cautions of a plan: of which item each is; what stands for work with gas first."""
    calculators = {item_sheet["id"]: item_sheet["calculator"] for item_sheet in said["items"]}
    standing = sorted(
        said["standing"],
        key=lambda one: not any(calculators.get(of) in _WITH_GAS for of in one["of"]),
    )
    found = []
    for one in (*said["cautions"], *standing):
        for told in one["said"]:
            of = "" if item or one["standing"] else ", ".join(told["of"])
            words = (str(plain(in_units(told[key], system))) for key in ("text", "action"))
            text, action = words
            found.append(
                CardCaution(
                    one["id"], one["kind"], one["severity"], text, action, one["standing"], of
                )
            )
    return found


def _worded(answer: Answer, name: str, system: str) -> str:
    """A value of an answer as the first screen has it; "" where there is none."""
    if name not in answer.values:
        return ""
    words, unit = value_words(answer.values[name], system)
    return f"{words} {degrees(unit)}".rstrip()


def _fact(label: str, value: str) -> Fact:
    head = label if label[1:2].isupper() else f"{label[:1].upper()}{label[1:]}"
    return Fact(head, str(plain(value)))
