"""The home page, and each calculator's form and answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any
from urllib.parse import urlencode

from flask import (
    Blueprint,
    Response,
    abort,
    redirect,
    render_template,
    request,
    url_for,
)
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

from prepkit import registry, spelling
from prepkit.errors import BadInput, PrepkitError
from prepkit.index import CALCULATORS, FAMILIES
from prepkit.model import Answer
from prepkit.page import carry, forms, house, wording
from prepkit.page.people import PEOPLE
from prepkit.page.settings import settings
from prepkit.pantry import Pantry
from prepkit.plan.house import House
from prepkit.render import html, json

blueprint = Blueprint("work", __name__)
BAD_INPUT = 422


@dataclass(frozen=True)
class Section:
    """A place that the bar at the top leads to."""

    name: str
    address: str
    start: str  # how the addresses of the place begin


def sections() -> list[Section]:
    """The places of the page, in the order of a day."""
    kept = [Section("Bench", url_for("bench.index"), "/bench")] if house.ledger() else []
    return [
        Section("Work", url_for("work.home"), "/make/"),
        Section("Recipes", url_for("recipes.index"), "/recipes/"),
        *kept,
        Section("Drills", url_for("drills.index"), "/drills/"),
        Section("Ingredients", url_for("words.index"), "/words"),
        Section("Cautions", url_for("words.walls"), "/cautions"),
    ]


@blueprint.get("/")
def home() -> str:
    """Where to begin, by who asks and by family."""
    families = [
        (title, [(name, text) for name, (_, of, text) in CALCULATORS.items() if of == family])
        for family, title in FAMILIES.items()
    ]
    return render_template(
        "home.html",
        people=PEOPLE,
        families=families,
        edit=forms.EDIT,
    )


@dataclass(frozen=True)
class Asked:
    """What an address asks: the words, what is carried into them, and what came of it."""

    name: str
    words: dict[str, Any]
    carried: tuple[carry.Carried, ...] = ()
    answer: Answer | None = None
    inputs: Any = None
    wrong: Mapping[str, PrepkitError] | None = None

    @property
    def query(self) -> list[tuple[str, str]]:
        """The same as a short address."""
        lines = carry.lines(carry.needed(self.carried, self.words))
        shown_in = house.system(request.args)
        return forms.query(self.words, lines, "" if shown_in == house.usual_system() else shown_in)


def asked(name: str, *, compute: bool = True) -> Asked:
    """Read an address and, unless it only asks for the form, work it out."""
    words = forms.said(name, request.args)
    try:
        carried, pantry = carry.read(request.args.getlist(forms.MADE), house.pantry())
    except PrepkitError as error:
        return Asked(name, words, wrong={"": error})
    if not compute:
        return Asked(name, words, carried)
    wrong = {**forms.problems(name, words), **carry.problems(name, carried, words)}
    read = {key: value for key, value in words.items() if key not in wrong}
    if wrong and not _stopped(name, read, wrong, pantry):
        return Asked(name, words, carried, wrong={**_others(name, words, wrong, pantry), **wrong})
    try:
        inputs = registry.validate(name, read, pantry)
        answer = registry.answer(name, inputs)
    except BadInput as error:
        found = registry.problems(name, read, pantry) or forms.of_answer(name, error)
        return Asked(name, words, carried, wrong=found)
    return Asked(name, words, carried, answer, inputs)


def _stopped(
    name: str, read: Mapping[str, Any], wrong: Mapping[str, PrepkitError], pantry: Pantry
) -> bool:
    """Whether a hazard is named, which stops whatever is missing beside it.

    Nothing else is answered while what is needed is missing.
    """
    missing = any(spec.required and key in wrong for key, spec in forms.inputs(name).items())
    return missing and not registry.problems(name, read, pantry)


def _others(
    name: str, words: Mapping[str, Any], wrong: Mapping[str, PrepkitError], pantry: Pantry
) -> dict[str, PrepkitError]:
    """What is wrong with the words that were not found wrong yet."""
    left = {key: value for key, value in words.items() if key not in wrong}
    found = registry.problems(name, left, pantry)
    return {key: error for key, error in found.items() if key in left}


def known(name: str) -> str:
    """A calculator's name, or the page that says which is nearest."""
    if name not in CALCULATORS:
        near = spelling.close(name, CALCULATORS, 1)
        hint = f"The nearest is {near[0]}." if near else "The work is listed at the beginning."
        abort(404, f"No work is called “{name[:60]}”. {hint}")
    return name


@blueprint.get("/make/<name>")
def calculation(name: str) -> AnyResponse | tuple[str, int]:
    """The form, and the answer to what it was filled with."""
    known(name)
    only_form = forms.MORE in request.args or forms.EDIT in request.args
    started = any(not key.startswith(".") for key in request.args) or forms.GO in request.args
    got = asked(name, compute=started and not only_form)
    if got.answer is not None:
        short = got.query
        if sorted(short) != sorted(request.args.items(multi=True)):
            return redirect(f"{url_for('work.calculation', name=name)}?{urlencode(short)}")
    status = BAD_INPUT if got.wrong else 200
    return render_template("work.html", **_shown(got)), status


def _shown(got: Asked) -> dict[str, Any]:
    """All that the page of a calculation shows."""
    calculator = registry.load(got.name)
    form = forms.form(got.name, request.args, got.wrong, house.system(request.args))
    said: dict[str, Any] = {
        "name": got.name,
        "title": got.name.replace("-", " ").capitalize(),
        "summary": calculator.summary,
        "form": form,
        "own": forms,
        "carried": got.carried,
        "example": urlencode([*forms.query(forms.example(got.name)), (forms.EDIT, "1")]),
        "vessels": _vessels(got.name, house.house()),
        "names": _names(form),
        "answer": None,
        "added": request.args.get(forms.MORE, ""),
    }
    if got.answer is not None:
        made = carry.of(got.answer, got.words, got.carried)
        look = html.Look(settings().today(), system=form.system)
        said |= html.answer_parts(got.answer, look)
        for key in ("first", "notes", "standing"):
            said[key] = [_in_page_words(got.name, one) for one in said[key]]
        said |= {
            "answer": got.answer,
            "query": urlencode(got.query),
            "pairs": got.query,
            "made": made,
            "onward": carry.onward(made) if made is not None else [],
            "papers": tuple(html.PAPERS),
            "today": settings().today().isoformat(),
            "trace": html.stamp(look, {"calculator": got.name, "inputs": got.answer.inputs}),
        }
    return said


def _in_page_words(name: str, one: html.Warned) -> html.Warned:
    """A caution that points at a field by the label which it has on the page."""
    specs = forms.inputs(name)
    said = [
        (of, wording.sentence(text, specs), wording.sentence(action, specs))
        for of, text, action in one.said
    ]
    return replace(one, said=said)


def _vessels(name: str, place: House) -> list[tuple[str, str]]:
    """The vessels of the house, each with an address that fills in what is on its plate."""
    specs = forms.inputs(name)
    found = []
    for id_, vessel in place.vessels.items():
        facts = {key: value for key, value in vessel.facts.items() if key in specs}
        if facts and "max_fill" in specs:
            kept = {
                key: value for key, value in forms.said(name, request.args).items()
                if key not in facts
            }  # fmt: skip
            pairs = forms.query({**kept, **facts}, request.args.getlist(forms.MADE))
            found.append((id_, urlencode([*pairs, (forms.EDIT, "1")])))
    return found


def _names(form: forms.Form) -> Markup:
    """The names of ingredients to choose from, where a field of the form takes one."""
    if not any(field.names for field in (*form.main, *form.more)):
        return Markup()
    return _options(tuple(house.pantry().own_names()))


@cache
def _options(own: tuple[str, ...]) -> Markup:
    """The package's names and a house's own, written once: there are many."""
    names = sorted({*Pantry().names(), *own})
    return Markup("\n").join(Markup('<option value="{}"></option>').format(name) for name in names)


@blueprint.get("/make/<name>.json")
def as_json(name: str) -> AnyResponse:
    """The answer as the command line prints it with --json, letter by letter."""
    got = asked(known(name))
    if got.answer is None:
        wrong = {key or "other": error.message for key, error in (got.wrong or {}).items()} or {
            "other": "No words of a calculation were given."
        }
        return Response(json.text(_Wrong(wrong)), status=BAD_INPUT, mimetype="application/json")
    return Response(json.text(got.answer), mimetype="application/json")


@dataclass(frozen=True)
class _Wrong:
    """What is wrong with an address, by field."""

    by_field: Mapping[str, str]

    def to_dict(self) -> dict[str, Any]:
        """The JSON form."""
        return {"error": "bad-input", "problems": dict(self.by_field)}
