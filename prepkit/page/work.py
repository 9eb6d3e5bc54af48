"""The home page, and each calculator's form and answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from urllib.parse import urlencode

from flask import (
    Blueprint,
    Response,
    abort,
    current_app,
    redirect,
    render_template,
    request,
    url_for,
)
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

from prepkit import registry
from prepkit.index import CALCULATORS, FAMILIES
from prepkit.page import forms, house, names_known
from prepkit.page.asked import Asked, asked, held_pair, known
from prepkit.page.people import PEOPLE
from prepkit.page.refusals import to_script
from prepkit.page.settings import settings
from prepkit.page.shown import answered
from prepkit.pantry import Pantry
from prepkit.render import json

blueprint = Blueprint("work", __name__)
BAD_INPUT = 422
PARTS = ("top", "rest", "hold", "foot")  # of an answer, by the names of their templates


@dataclass(frozen=True)
class Section:
    """A place that the bar at the top leads to."""

    name: str
    address: str
    start: str  # how the addresses of the place begin


def sections() -> list[Section]:
    """The places of the page, in the order of a day."""
    kept = [
        Section("Stock", url_for("stock.index"), "/stock"),
        Section("Bench", url_for("bench.index"), "/bench"),
    ]
    return [
        Section("Work", url_for("work.home"), "/make/"),
        Section("Recipes", url_for("recipes.index"), "/recipes/"),
        *(kept if house.ledger() else ()),
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
        count=len(CALCULATORS),
        edit=forms.EDIT,
    )


@blueprint.get("/make/<name>")
def calculation(name: str) -> AnyResponse | tuple[str, int]:
    """The form, and the answer to what it was filled with."""
    known(name)
    if forms.VESSEL in request.args:
        return _filled_in(name)
    only_form = forms.MORE in request.args or forms.EDIT in request.args
    started = any(not key.startswith(".") for key in request.args) or forms.GO in request.args
    got = asked(name, compute=started and not only_form)
    if got.answer is not None:
        short = [*got.query, *held_pair()]
        if sorted(short) != sorted(request.args.items(multi=True)):
            return redirect(f"{url_for('work.calculation', name=name)}?{urlencode(short)}")
    status = BAD_INPUT if got.wrong else 200
    return render_template("work.html", **_shown(got)), status


def _filled_in(name: str) -> AnyResponse:
    """To the form with the plate of a vessel of the house in it, and all else as it was typed."""
    chosen = request.args[forms.VESSEL]
    facts = dict(_plates(name)).get(chosen)
    if facts is None:
        abort(404, f"The house has no vessel “{chosen[:60]}”.")
    kept = [
        (key, value) for key, value in request.args.items(multi=True)
        if key not in (forms.VESSEL, forms.GO, forms.EDIT)
        and key.removesuffix(forms.UNIT) not in facts
    ]  # fmt: skip
    pairs = [*kept, *forms.query(facts), (forms.EDIT, "1")]
    return redirect(f"{url_for('work.calculation', name=name)}?{urlencode(pairs)}")


def _shown(got: Asked) -> dict[str, object]:
    """All that the page of a calculation shows."""
    calculator = registry.load(got.name)
    today = settings().today().isoformat()
    form = forms.form(got.name, request.args, got.wrong, house.system(request.args), today)
    said: dict[str, object] = {
        "name": got.name,
        "title": got.name.replace("-", " ").capitalize(),
        "summary": calculator.summary,
        "form": form,
        "own": forms,
        "carried": got.carried,
        "example": urlencode([*forms.query(forms.example(got.name)), (forms.EDIT, "1")]),
        "vessels": [
            (id_, current_app.json.dumps(forms.as_typed(got.name, facts)))
            for id_, facts in _plates(got.name)
        ],
        "held_pair": held_pair(),
        "names": _names(form),
        "answer": None,
        "added": request.args.get(forms.MORE, ""),
    }
    if got.answer is not None:
        said |= answered(got, got.answer, form.system)
    return said


def _plates(name: str) -> list[tuple[str, dict[str, object]]]:
    """The vessels of the house, each with what is on its plate that the form asks for."""
    specs = forms.inputs(name)
    if "max_fill" not in specs:
        return []
    plates = (
        (id_, {key: value for key, value in vessel.facts.items() if key in specs})
        for id_, vessel in house.house().vessels.items()
    )
    return [(id_, facts) for id_, facts in plates if facts]


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


@blueprint.get("/make/<name>/answer.json")
def as_parts(name: str) -> AnyResponse:
    """The answer as the page shows it, part by part, for a form that is worked out as it changes.

    Where something is wrong: what, at which field, and no part of any answer. Asked for at first
    alone, a stop comes without its ways out, which are the most work, and says that there is more.
    """
    first = forms.FIRST in request.args
    got = asked(known(name), ways=not first)
    if got.answer is None:
        form = forms.form(name, request.args, got.wrong, house.system(request.args))
        text = render_template("answer/problems.html", form=form, first_look=False)
        return to_script({"problems": list(form.problems), "top": text}, BAD_INPUT)
    said = answered(got, got.answer, house.system(request.args)) | {"own": forms}
    parts = {part: render_template(f"answer/{part}.html", **said) for part in PARTS}
    address = urlencode([*got.query, *held_pair()])
    found = {
        **parts,
        "more": first and got.answer.verdict == "stop",
        "title": f"{said['verdict'].word}: {said['title']}",
        "address": f"{url_for('work.calculation', name=name)}?{address}",
        "said": f"{said['top'].word}. {said['top'].say.striptags()}",
    }
    return to_script(found)


@blueprint.get("/ingredients.json")
def ingredients() -> AnyResponse:
    """What the pantry knows, for who types: name, strength to write after it, what it is."""
    return to_script({"names": names_known.rows(house.pantry())})


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

    def to_dict(self) -> dict[str, object]:
        """The JSON form."""
        return {"error": "bad-input", "problems": dict(self.by_field)}
