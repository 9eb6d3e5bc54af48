"""A calculation the other way round, and ladders of small glasses, on a screen.

The words of the calculation stand in the address as they do for its answer; each solution leads to
the answer that it gives. A solution that is a STOP is shown as one and leads nowhere.

The words of a ladder stand in its address, as those of a calculation do; what is kept is the same
words as a file beside the recipes.
"""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as AnyResponse

from prepkit import files, solving
from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.model import degrees
from prepkit.page import forms, guard, requests, versions
from prepkit.page.guard import settings
from prepkit.page.recipe_folder import LADDERS, READ_ONLY, ReadOnly, file_name, named
from prepkit.page.requests import Request, asked, known
from prepkit.plan.files import read_text, value_words
from prepkit.render.html import Cells, Warned, verdict
from prepkit.tasting import command
from prepkit.tasting.ladder import TASTES, Ladder

# ---- any calculator the other way round ----

blueprint = Blueprint("solved", __name__)
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


@blueprint.get("/make/<name>/solve")
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
            one.answer.verdict,
            verdict(one.answer.verdict).word,
            f"{sentence[:1].upper()}{sentence[1:]}",
            _query(one, carried),
        )
        for one, sentence in zip(solved.solutions, solved.sentences(system), strict=True)
    ), ""


def _query(one: solving.Solution, carried: tuple[requests.Carried, ...]) -> str:
    """The address of the answer with a solution in it; "" where that is a STOP."""
    if one.answer.verdict == "stop":
        return ""
    return urlencode(
        forms.query(one.said, requests.carried_lines(requests.needed(carried, one.said)))
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
class Shown:
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


def _shown(one: Ladder) -> Shown:
    weigh, made, tables = command.weigh_rows(one), command.property_rows(one), []
    for title, (heads, rows) in (("Weigh into each glass, in g", weigh), ("Each glass", made)):
        tables.append(Cells(title, heads, "l" + "r" * (len(heads) - 1), rows))
    tables.append(Cells("In all", ("what", "g"), "lr", command.totals(one)))
    minds = [
        Warned(c.id, c.severity, c.kind, [("", c.text, c.action)], "", c.source)
        for c in command.cautions(one)
    ]
    return Shown(one, command.stock_lines(one), tables, command.notes(one), minds, _tasting(one))


def _tasting(one: Ladder) -> str:
    """The address of a tasting of these glasses in their order.

    Allergens that nobody knows of are asked for there, never taken as none.
    """
    if len(one.steps) > 1:
        return ""
    allergens = ", ".join(one.allergens)
    pairs = [("taste", TASTES[one.steps[0].kind])]
    pairs += [("glass", glass.name.partition(": ")[2]) for glass in one.glasses]
    pairs += [
        ("in_order", "yes"), ("glass_volume", f"{one.volume_ml:g} ml"),
        ("abv", f"{math.ceil(10 * one.abv_percent - 1e-9) / 10:g} % vol"),
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
    names = [one.stem for one in folder.glob("*.toml") if one.is_file() and not one.is_symlink()]
    return sorted(one for one in names if named(one))[:MOST_KEPT]


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
    args = MultiDict([one for one in request.form.items(multi=True) if one[0] != "token"])
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
    with versions.one_writer(folder):
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
