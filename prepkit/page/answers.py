"""An answer as the page draws it, held beside another, as a card or label; solved; as a ladder.

Everything is the answer's own: the figures that decide, cautions, ways out. Nothing is judged here.

The answer held stands in the address as the words of its calculation, as a ladder's words do. It is
worked out again, so that it outlives a restart of the page.

A solution that is a STOP is shown as one and leads nowhere.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import parse_qsl, urlencode

from flask import Blueprint, abort, current_app, redirect, render_template, request, url_for
from markupsafe import Markup, escape
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as AnyResponse

from prepkit import files, solving
from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.label import JURISDICTIONS, MOST_CELLS, MOST_OPENED_DAYS, on
from prepkit.model import Answer, Way, degrees
from prepkit.numbers import whole
from prepkit.page import forms, guard, recipe_folder, recipe_form, requests
from prepkit.page.guard import settings
from prepkit.page.recipe_folder import LADDERS, READ_ONLY, ReadOnly, file_name, named
from prepkit.page.requests import Request, asked, asked_in, held_pair, known
from prepkit.plan.files import read_text, value_words
from prepkit.plan.labels import of_answer
from prepkit.render import fitting, html
from prepkit.render.html import PAPERS, Cells, Look, PaperSize, Warned, answer_card, given, verdict
from prepkit.render.label import label_sheet
from prepkit.render.short import Brief, ShownFigure, WeighLine, as_printed, brief
from prepkit.render.text import VERDICT_WORDS
from prepkit.shared.keeping import read_date
from prepkit.tasting import command
from prepkit.tasting.ladder import TASTES, Ladder

# ---- an answer as the page draws it ----

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
    weigh: tuple[WeighLine, ...]
    ways: tuple[Out, ...]
    strip: Markup  # the figure in a few words, for the strip that stays below
    always: Mapping[str, str]
    shown: frozenset[str]  # ids of the notes that stand on the first screen


def top_of_answer(answer: Answer, words: Mapping[str, object], carried: Sequence[requests.Carried],
        system: str, asked_in: str) -> Top:  # fmt: skip
    """The first screen of an answer to words, in metric or US units.

    carried: the mixtures that the words name. asked_in: the units that an address must say, or "".
    """
    told = brief(answer, system)
    gauge = fitting.of(answer, system) or fitting.against(
        answer.result.compared, answer.verdict, system
    )
    large = () if answer.verdict == "stop" else _large(told, answer, gauge is not None)
    return Top(
        answer.verdict,
        verdict(answer.verdict).word,
        figures(_sentence(told)),
        Markup(fitting.wide_gauge(gauge)) if gauge is not None else None,
        large,
        tuple(weighed(line) for line in told.weigh),
        tuple(
            _out(way, words, carried, asked_in)
            for way in sorted(told.ways, key=lambda way: way.verdict == "stop")
        ),
        _strip(gauge, large, told),
        told.always._asdict(),
        frozenset(note.id for note in told.notes),
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
    return tuple(large(figure) for figure in told.figures if figure.label not in taken)[:FIGURES]


def large(shown: ShownFigure) -> Large:
    """A figure in its parts, whose number never parts from its unit.

    >>> large(ShownFigure("gas dissolved", "8.57 ± 2.19 g/l", "8.57", "± 2.19", "g/l"))
    Large(number='8.57', unit='g/l', label='Gas dissolved, ±\\xa02.19')
    >>> large(ShownFigure("settled, gauge", "4.4 to 6.9 bar", "4.4 to 6.9", "", "bar"))
    Large(number='4.4\\xa0to\\xa06.9', unit='bar', label='Settled, gauge')
    """
    label = shown.label if shown.label[1:2].isupper() else shown.label[:1].upper() + shown.label[1:]
    off = f", {shown.off.replace(' ', _FIRM)}" if shown.off else ""
    return Large(shown.number.replace(" ", _FIRM), shown.unit, f"{label}{off}")


def weighed(line: WeighLine) -> WeighLine:
    """A line to weigh whose numbers never part from their units.

    >>> weighed(WeighLine("spirit 43 %", "660.1 g", "700.0 ml"))
    WeighLine(what='spirit 43 %', amount='660.1\\xa0g', poured='700.0\\xa0ml')
    """
    return WeighLine(line.what, line.amount.replace(" ", _FIRM), line.poured.replace(" ", _FIRM))


def _strip(gauge: fitting.Gauge | None, shown: Sequence[Large], told: Brief) -> Markup:
    if gauge is not None:
        return Markup("<b>{}</b>, {}\u00a0{}").format(gauge.up_to, gauge.limit_words, gauge.unit)
    if shown:
        return Markup("<b>{}</b> {}").format(shown[0].number, shown[0].unit)
    return Markup("{}").format(told.deciding)


# the ways out


def _out(
    way: Way, words: Mapping[str, object], carried: Sequence[requests.Carried], asked_in: str
) -> Out:
    query = applied(way, words, carried, asked_in) if way.verdict != "stop" else ""
    label = f"{way.label[:1].upper()}{way.label[1:]}"
    return Out(label, way.verdict, figures(way.figure), query)


def applied(
    way: Way,
    words: Mapping[str, object],
    carried: Sequence[requests.Carried] = (),
    asked_in: str = "",
) -> str:
    """The address of the load with a way out applied; "" where a way says no inputs."""
    if not way.inputs:
        return ""
    changed = {
        key: "yes" if value is True else value
        for key, value in {**words, **way.inputs}.items()
        if value not in (None, False)
    }
    return urlencode(
        forms.query(changed, requests.carried_lines(requests.needed(carried, changed)), asked_in)
    )


# ---- an answer compared with the present one ----

_ABSENT = "-"


@dataclass(frozen=True)
class Held:
    """The lines that differ: label, what was held, what is now; `back` is what is held."""

    rows: tuple[tuple[str, str, str], ...]
    back: str
    none: str = "Nothing differs."


def args_of(text: str) -> MultiDict[str, str]:
    """What is held, as an address holds it, without anything held of its own."""
    pairs = parse_qsl(text)  # no field of an address is longer than guard.MOST_LETTERS
    return MultiDict([(key, value) for key, value in pairs if key != forms.HELD])


def text_of(query: list[tuple[str, str]]) -> str:
    """The words of a calculation, as an address holds them for comparison."""
    return urlencode([pair for pair in query if pair[0] != forms.HELD])


def differing(name: str, was: Answer | None, now: Answer, text: str, system: str) -> Held:
    """The lines of two answers that differ: verdict, inputs, then the figures that decide."""
    if was is None:
        return Held((), text, "The answer to compare with cannot be worked out any more.")
    rows = [("Verdict", was.verdict.upper(), now.verdict.upper())]
    specs = forms.inputs(name)
    for key in dict.fromkeys([*now.inputs, *was.inputs]):
        if key in specs:
            rows.append((specs[key].label, _words(was.inputs, key), _words(now.inputs, key)))
    before, after = ({figure.label: figure.value for figure in brief(answer, system).figures}
                     for answer in (was, now))  # fmt: skip
    for label in dict.fromkeys([*after, *before]):
        rows.append((label, before.get(label, _ABSENT), after.get(label, _ABSENT)))
    return Held(
        tuple((label[:1].upper() + label[1:], old, new) for label, old, new in rows if old != new),
        text,
    )


def _words(inputs: Mapping[str, Any], key: str) -> str:  # Any: words, numbers, lists of words
    return ", ".join(given(inputs[key])) if key in inputs else _ABSENT


# ---- an answer by the parts that the page shows of it, and what a browser keeps of it ----

# where tables or a picture are what was asked for: the words over them, the tables that stand open
ASKED_FOR = {
    "compose": ("Targets, and other ways", ("targets", "others", "rounded", "rounding")),
    "window": ("From pour to last sip", ("bands",)),
}


def answered(
    got: Request, answer: Answer, system: str
) -> dict[str, Any]:  # Any: what templates take
    """All that is shown of an answer to what an address asks, in metric or US units."""
    made = requests.of(answer, got.words, got.carried)
    look = html.Look(settings().today(), system=system)
    said: dict[str, Any] = html.answer_parts(answer, look)  # Any: what templates take
    for key in ("first", "notes", "standing"):
        said[key] = [_in_page_words(got.name, one) for one in said[key]]
    top = top_of_answer(answer, got.words, got.carried, system, asked_in())
    words, names = ASKED_FOR.get(got.name, ("", ()))
    open_ = {table.title for table in answer.tables if table.name in names}
    seen = [note for note in said["notes"] if note.key in top.shown]
    said |= {
        "inputs": [
            (label, [forms.GASES.get(word, word) for word in words])
            for label, words in said["inputs"]
        ],
        "name": got.name,
        "title": got.name.replace("-", " ").capitalize(),
        "top": top,
        "stops": [one for one in said["first"] if one.severity == "stop"],
        "minds": [*(one for one in said["first"] if one.severity != "stop"), *seen],
        "more_notes": [note for note in said["notes"] if note.key not in top.shown],
        "held": _held(got, answer, system),
        "hold": urlencode([*got.query, (forms.HELD, text_of(got.query))]),
        "recent": _recent(got, top),
        "answer": answer,
        "asked_for": words,
        "open_tables": [table for table in said["tables"] if table.title in open_],
        "tables": [table for table in said["tables"] if table.title not in open_],
        "query": urlencode(got.query),
        "pairs": got.query,
        "made": made,
        "keep": _keep(got),
        "onward": requests.onward(made) if made is not None else [],
        "papers": tuple(html.PAPERS),
        "today": settings().today().isoformat(),
        "trace": html.stamp(look, {"calculator": got.name, "inputs": answer.inputs}),
    }
    return said


def _keep(got: Request) -> str:
    """The address that saves a calculation into a recipe; "" where none can be saved."""
    if settings().recipes is None or not settings().write:
        return ""
    used = requests.needed(got.carried, got.words)
    return urlencode(recipe_form.query(got.name, got.words, used))


def _held(got: Request, answer: Answer, system: str) -> Held | None:
    """What differs from the answer to compare with; None where there is none."""
    pair = held_pair()
    if not pair:
        return None
    text = pair[0][1]
    was = asked(got.name, args=args_of(text))
    return differing(got.name, was.answer, answer, text, system)


def _recent(got: Request, top: Top) -> str:
    """What the list of recent work keeps of an answer: no day that will be over."""
    again = [pair for pair in got.query if pair[0] not in forms.TODAY]
    first = next((value for key, value in got.query if not key.startswith(".")), "")
    return current_app.json.dumps(
        {
            "to": f"{url_for('work.calculation', name=got.name)}?{urlencode(again)}",
            "name": f"{got.name.replace('-', ' ').capitalize()}, {first}",
            "word": top.name,
            "say": top.say.striptags(),
        }
    )


def _in_page_words(name: str, warned: html.Warned) -> html.Warned:
    """A caution that points at a field by the label which it has on the page."""
    specs = forms.inputs(name)

    def printed(words: str) -> str:
        return as_printed(forms.sentence(words, specs))

    said = [(of, printed(text), printed(action)) for of, text, action in warned.said]
    return replace(warned, said=said)


# ---- the card and the label of a calculation ----

blueprint = Blueprint("prints", __name__)
MOST_TITLE = 200


@blueprint.get("/make/<name>/card")
def card(name: str) -> AnyResponse:
    """The card of an answer."""
    got = asked(known(name))
    if got.answer is None:
        return _back(got)
    return guard.document(answer_card(got.answer, _look(), _address(got)))


@blueprint.get("/make/<name>/label")
def label(name: str) -> AnyResponse:
    """The labels of what an answer makes, as many as the sheet takes."""
    got = asked(known(name))
    if got.answer is None:
        return _back(got)
    made = _day(".day", "The day of making") or settings().today()
    oldest = _day(".oldest", "The day of its oldest part")
    law = request.args.get(".law", JURISDICTIONS[0])
    if law not in JURISDICTIONS:
        raise BadInput(
            f"The list of allergens is “{law[:40]}”; it is one of {', '.join(JURISDICTIONS)}."
        )
    paper = _paper()
    said = request.args.get(".sheet", "").strip()
    cells = on(paper.name, _count("Labels on a sheet", said) if said else None)
    opened = request.args.get(".opened", "").strip()
    days = _count("Days once opened", opened, MOST_OPENED_DAYS, 0) if opened else None
    title = _title() or name
    found = of_answer(title, got.inputs, got.answer, made, oldest, law, days)
    copies = cells.count if found.verdict != "stop" else 1
    look = Look(made, paper, requests.system(request.args), title=f"Label: {title}")
    return guard.document(label_sheet([found] * copies, look, cells))


def _back(got: Request) -> AnyResponse:
    """To the form, which says what is wrong."""
    if not got.words:
        abort(404, "There are no words of a calculation in this address.")
    return redirect(f"{url_for('work.calculation', name=got.name)}?{urlencode(got.query)}")


def _look() -> Look:
    return Look(
        settings().today(),
        _paper(),
        requests.system(request.args),
        ".working" in request.args,
        _title(),
        ".details" in request.args or ".working" in request.args,
    )


def _address(got: Request) -> str:
    """Where others find this calculation; "" where only this machine reaches the page."""
    return guard.outside(f"{url_for('work.calculation', name=got.name)}?{urlencode(got.query)}")


def _paper() -> PaperSize:
    name = request.args.get(".paper", "a4")
    if name not in PAPERS:
        raise BadInput(f"The paper is “{name[:40]}”; it is one of {', '.join(PAPERS)}.")
    return PAPERS[name]


def _title() -> str:
    tidy = " ".join(request.args.get(".title", "").split())
    if len(tidy) > MOST_TITLE:
        raise BadInput(f"The headline has {len(tidy)} characters; at most {MOST_TITLE} are taken.")
    return tidy


def _day(key: str, what: str) -> date | None:
    said = request.args.get(key, "").strip()
    return read_date(said, what) if said else None


def _count(what: str, said: str, most: int = MOST_CELLS, least: int = 1) -> int:
    found = whole(said, least, most)
    if found is None:
        raise BadInput(f"{what} is “{said[:40]}”; it is a whole number from {least} to {most}.")
    return found


# ---- any calculator the other way round ----

solved_blueprint = Blueprint("solved", __name__)
FIND, LOW, HIGH, OUTPUT, VALUE = ".find", ".from", ".to", ".output", ".value"
ASKED = ".solve"  # says that a solution is asked for, not only the form
OWN = (FIND, LOW, HIGH, OUTPUT, VALUE)
NOT_SOLVED = 422


@dataclass(frozen=True)
class Found:
    """One solution as it is shown; `query` leads to its answer, "" where it is a STOP."""

    verdict: str
    word: str
    sentence: str
    query: str


@solved_blueprint.get("/make/<name>/solve")
def solve(name: str) -> tuple[str, int]:
    """The form, and what was found."""
    got = asked(known(name), compute=False)
    system = requests.system(request.args)
    said = {key: request.args.get(key, "").strip() for key in OWN}
    found: tuple[Found, ...] = ()
    problem = ""
    if got.wrong:
        problem = _told(name, next(iter(got.wrong.values())))
    elif ASKED in request.args:
        found, problem = _solutions(got, said, system)
    inputs, outputs = solving.choices(name, got.words)
    return render_template(
        "solve.html",
        name=name,
        title=name.replace("-", " ").capitalize(),
        said=said,
        own=dict(
            zip(("find", "low", "high", "output", "value", "asked"), (*OWN, ASKED), strict=True)
        ),
        pairs=got.query,
        given=_given(got),
        inputs=inputs,
        outputs=[(key, label, degrees(unit)) for key, label, unit in outputs],
        found=found,
        problem=problem,
        back=urlencode([*got.query, (forms.EDIT, "1")]),
    ), NOT_SOLVED if problem else 200


def _given(got: Request) -> list[tuple[str, str]]:
    """What stands in the address, by the labels of its fields."""
    specs = forms.inputs(got.name)
    return [
        (specs[key].label, ", ".join(value) if isinstance(value, list) else str(value))
        for key, value in got.words.items() if key in specs
    ]  # fmt: skip


def _solutions(got: Request, said: dict[str, str], system: str) -> tuple[tuple[Found, ...], str]:
    """What was found, or why nothing was."""
    name, find = got.name, said[FIND]
    if not said[VALUE]:
        return (), "Write the value that it shall have."
    if bool(said[LOW]) != bool(said[HIGH]):
        return (), "Fill in both ends of where to look, or none."
    if said[LOW]:
        find = f"{find} {said[LOW]} to {said[HIGH]}"
    try:
        carried, pantry = requests.read_carried(
            request.args.getlist(forms.MADE), requests.house_pantry()
        )
        words = f"{find}: {said[OUTPUT]} = {said[VALUE]}"
        solved = solving.solve(name, words, got.words, pantry)
    except PrepkitError as error:
        return (), _told(name, error)
    return tuple(
        Found(
            solution.answer.verdict,
            verdict(solution.answer.verdict).word,
            f"{sentence[:1].upper()}{sentence[1:]}",
            _query(solution, carried),
        )
        for solution, sentence in zip(solved.solutions, solved.sentences(system), strict=True)
    ), ""


def _query(solution: solving.Solution, carried: tuple[requests.Carried, ...]) -> str:
    """The address of the answer with a solution in it; "" where that is a STOP."""
    if solution.answer.verdict == "stop":
        return ""
    return urlencode(
        forms.query(solution.said, requests.carried_lines(requests.needed(carried, solution.said)))
    )


def _told(name: str, error: PrepkitError) -> str:
    said = forms.sentence(error.wording, forms.inputs(name))
    return f"{said[:1].upper()}{said[1:]}"


# ---- a ladder of small glasses ----

ladders_blueprint = Blueprint("ladders", __name__, url_prefix="/ladder")
NAME, TABLE = "ladder", "ladder"
NOT_MADE = 422
MOST_KEPT = 200


@dataclass(frozen=True)
class ShownLadder:
    """A ladder as the page shows it."""

    one: Ladder
    stocks: list[str]
    tables: list[Cells]
    notes: list[str]
    minds: list[Warned]
    tasting: str  # the address of the tasting that judges it; "" for a grid


@ladders_blueprint.get("/")
def index() -> tuple[str, int]:
    """The form, the ladder that it asks for, those that are kept."""
    args = request.args
    started = any(not key.startswith(".") for key in args) or forms.GO in args
    if not started or {forms.MORE, forms.EDIT} & set(args):
        return _index(args, None, {}), 200
    found, wrong = _read(args)
    return _index(args, found, wrong), NOT_MADE if wrong else 200


def _index(args: MultiDict[str, str], found: Ladder | None, wrong: dict[str, PrepkitError]) -> str:
    words = forms.said(NAME, args)
    return render_template(
        "ladders/index.html",
        form=forms.form(NAME, args, wrong),
        own=forms,
        added=args.get(forms.MORE, ""),
        example=urlencode([*forms.query(forms.example(NAME)), (forms.EDIT, "1")]),
        shown=None if found is None else _shown(found),
        pairs=forms.query(words),
        query=urlencode(forms.query(words)),
        kept=_kept(),
        why_not=_why_not(),
        title=args.get(".title", "")[:80],
    )


def _read(args: MultiDict[str, str]) -> tuple[Ladder | None, dict[str, PrepkitError]]:
    """The ladder of an address; None, and all that is wrong with it, by field."""
    words = forms.said(NAME, args)
    pantry = requests.house_pantry()
    wish, wrong = forms.read(NAME, words, pantry)
    if wish is None:
        return None, wrong
    parts = words["part"]
    try:
        return wish.ladder([parts] if isinstance(parts, str) else parts, pantry), {}
    except PrepkitError as error:
        return None, forms.of_answer(NAME, error)


def _shown(ladder: Ladder) -> ShownLadder:
    weigh, made, tables = command.weigh_rows(ladder), command.property_rows(ladder), []
    for title, (heads, rows) in (("Weigh into each glass, in g", weigh), ("Each glass", made)):
        tables.append(Cells(title, heads, "l" + "r" * (len(heads) - 1), rows))
    tables.append(Cells("In all", ("what", "g"), "lr", command.totals(ladder)))
    minds = [
        Warned(c.id, c.severity, c.kind, [("", c.text, c.action)], "", c.source)
        for c in command.cautions(ladder)
    ]
    return ShownLadder(
        ladder, command.stock_lines(ladder), tables, command.notes(ladder), minds, _tasting(ladder)
    )


def _tasting(ladder: Ladder) -> str:
    """The address of a tasting of these glasses in their order.

    Allergens that nobody knows of are asked for there, never taken as none.
    """
    if len(ladder.steps) > 1:
        return ""
    allergens = ", ".join(ladder.allergens)
    pairs = [("taste", TASTES[ladder.steps[0].kind])]
    pairs += [("glass", glass.name.partition(": ")[2]) for glass in ladder.glasses]
    pairs += [
        ("in_order", "yes"), ("glass_volume", f"{ladder.volume_ml:g} ml"),
        ("abv", f"{math.ceil(10 * ladder.abv_percent - 1e-9) / 10:g} % vol"),
        ("allergens", allergens), (forms.GO if allergens else forms.EDIT, "1"),
    ]  # fmt: skip
    return urlencode(pairs)


@ladders_blueprint.get("/sheet")
def sheet() -> AnyResponse | tuple[str, int]:
    """The weigh-out sheet as a document of one A4."""
    found, wrong = _read(request.args)
    if found is None:
        return _index(request.args, None, wrong), NOT_MADE
    return guard.document(command.ladder_html(found))


# what is kept


def _why_not() -> str:
    if settings().recipes is None:
        return "Start the page with a folder of recipes and --write to keep it."
    return "" if settings().write else READ_ONLY


def _folder() -> Path | None:
    found = settings().recipes
    return None if found is None or (found / LADDERS).is_symlink() else found / LADDERS


def _kept() -> list[str]:
    """The names of the ladders that are kept."""
    folder = _folder()
    if folder is None or not folder.is_dir():
        return []
    names = [
        path.stem for path in folder.glob("*.toml") if path.is_file() and not path.is_symlink()
    ]
    return sorted(name for name in names if named(name))[:MOST_KEPT]


@ladders_blueprint.get("/<name>")
def kept(name: str) -> AnyResponse:
    """A ladder that is kept: its address."""
    folder = _folder()
    if folder is None or name not in _kept():
        abort(404, f"No ladder “{name[:60]}” is kept.")
    text = read_text(folder / f"{name}.toml", "ladder")
    try:
        said = tomllib.loads(text)[TABLE]
        pairs = [
            (str(key), str(one))
            for key, value in said.items()
            for one in (value if isinstance(value, list) else [value])
        ]
    except (tomllib.TOMLDecodeError, KeyError, AttributeError) as error:
        raise FileProblem(f"{name}.toml cannot be read as a ladder.") from error
    return redirect(f"{url_for('ladders.index')}?{urlencode([*pairs, ('.title', name)])}", 303)


@ladders_blueprint.post("/")
def keep() -> AnyResponse | tuple[str, int]:
    """Keep a ladder under a title, as a new file and never over another."""
    args = MultiDict([pair for pair in request.form.items(multi=True) if pair[0] != "token"])
    found, wrong = _read(args)
    if found is None:
        return _index(args, None, wrong), NOT_MADE
    try:
        name = _write(args)
    except (BadInput, FileProblem) as error:
        status = 403 if isinstance(error, ReadOnly) else NOT_MADE
        return _index(args, found, {"": error}), status
    return redirect(url_for("ladders.kept", name=name), 303)


def _write(args: MultiDict[str, str]) -> str:
    folder, title = _folder(), args.get(".title", "")
    if folder is None or not settings().write:
        raise ReadOnly(READ_ONLY)
    name = file_name(title)
    if not name or not named(name):
        raise BadInput("Write a title with letters or digits.", "title")
    words = forms.said(NAME, args)
    lines = [f"[{TABLE}]", *(f"{key} = {value_words(value)}" for key, value in words.items())]
    with recipe_folder.one_writer(folder):
        if len(_kept()) >= MOST_KEPT:
            raise BadInput(f"{MOST_KEPT} ladders are kept; move some of them first.", "title")
        try:
            files.write(folder / f"{name}.toml", "\n".join(lines) + "\n", over=False)
        except FileExistsError as error:
            raise BadInput(f"A ladder “{name}” is kept already; write another title.") from error
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or error
            raise FileProblem(f"{name}.toml cannot be written: {why}.") from error
    return name
