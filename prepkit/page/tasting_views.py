"""The host's side of a tasting: planned, opened, seen on a screen, followed in a table, judged.

The key stands here alone: none of these addresses answers to a browser that sits in a room.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, abort, current_app, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as AnyResponse

from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.page import entry, forms, guard, house
from prepkit.page.recipe_folder import READ_ONLY
from prepkit.page.rooms import shown_code
from prepkit.page.settings import settings
from prepkit.page.tastings import Panel, Taster, Tastings
from prepkit.render.html import Cells
from prepkit.tasting import show
from prepkit.tasting.design import DISTANCES, TESTS, Tasting, lines, needed, sheets

blueprint = Blueprint("tastings", __name__, url_prefix="/tasting")
NAME = "tasting"
NOT_MADE = 422
NO_FOLDER = "Start the page with a folder of recipes and --write: a tasting is kept beside them."
NOT_REACHED = (
    "Phones cannot reach this page: it answers on this machine alone. Print the sheets, or start "
    "the page with --host 0.0.0.0."
)


def tastings() -> Tastings:
    """The tastings of the page that answers."""
    found: Tastings = current_app.extensions["prepkit-tastings"]
    return found


def now() -> datetime:
    """The time of a thing that happens in a tasting, to the second as it is kept."""
    return datetime.now().replace(microsecond=0)


def _panel(code: str) -> Panel:
    found = tastings().find(code)
    if found is None:
        abort(404, "No tasting has this code.")
    return found


# planned


@blueprint.get("/")
def index() -> tuple[str, int]:
    """The form that plans a tasting; what it proposes; the tastings that are kept."""
    if forms.GO not in request.args or {forms.MORE, forms.EDIT} & set(request.args):
        return _index(request.args, {}, None), 200
    plan, wrong = _read(request.args)
    return _index(request.args, wrong, plan), NOT_MADE if wrong else 200


@blueprint.post("/")
def open_tasting() -> AnyResponse | tuple[str, int]:
    """Open the tasting that was proposed."""
    plan, wrong = _read(request.form)
    if plan is None:
        return _index(request.form, wrong, None), NOT_MADE
    try:
        panel = tastings().open(plan, now())
    except (BadInput, FileProblem) as error:
        return _index(request.form, {"": error}, plan), 409
    return redirect(url_for("tastings.view", code=panel.code), 303)


def _read(args: MultiDict[str, str]) -> tuple[Tasting | None, dict[str, PrepkitError]]:
    words = forms.said(NAME, _without_token(args))
    made, wrong = forms.read(NAME, words, house.pantry())
    return (None if made is None else made.tasting(1)), wrong


def _without_token(args: MultiDict[str, str]) -> MultiDict[str, str]:
    return MultiDict([one for one in args.items(multi=True) if one[0] != "token"])


def _index(args: MultiDict[str, str], wrong: dict[str, PrepkitError], plan: Tasting | None) -> str:
    args = _without_token(args)
    words = forms.said(NAME, args)
    return render_template(
        "tastings/index.html",
        form=forms.form(NAME, args, wrong),
        own=forms,
        added=args.get(forms.MORE, ""),
        example=urlencode([*forms.query(forms.example(NAME)), (forms.EDIT, "1")]),
        plan=plan,
        proposal=None if plan is None else _proposal(plan),
        pairs=forms.query(words),
        tastings=tastings().all(),
        unread=tastings().unread,
        shown_code=shown_code,
        why_not=_why_not(),
        reached=not settings().local,
        not_reached=NOT_REACHED,
    )


def _why_not() -> str:
    """Why no tasting can be opened; "" where one can."""
    if settings().recipes is None:
        return NO_FOLDER
    return "" if settings().write else READ_ONLY


def _proposal(plan: Tasting) -> dict[str, Any]:  # Any: the values of a template
    """What is proposed, in words: the test, the tasters it needs, what to pour."""
    ways = ("triangle",) if plan.test == "ranking" else ("three", "pair", "triangle", "duo-trio")
    rows = []
    for word, distance in DISTANCES:
        found = (needed(one, distance, plan.two_sided and one == plan.test) for one in ways)
        rows.append([word, *(str(size.stable) if size else "over 1000" for size in found)])
    return {
        **before_first_glass(plan),
        "test": plan.kind.name,
        "sizes": show.sizes(plan),
        "needed": Cells(
            "Tasters who find it 8 times in 10",
            ("how far apart", *(TESTS[one].name for one in ways)),
            "l" + "r" * len(ways),
            rows,
        ),
        "pour": Cells(
            "Pour in all",
            ("drink", "ml"),
            "lr",
            [[name, f"{ml:g}"] for name, ml in plan.volume_ml.items()],
        ),
    }


def before_first_glass(plan: Tasting) -> dict[str, Any]:  # Any: the values of a template
    """What is said before the first glass: allergens, alcohol, who may taste, how many glasses."""
    return {
        "allergens": f"Allergens: {', '.join(plan.allergens) or 'none'}.",
        "alcohol": show.alcohol(plan).replace(" g ", "\u00a0g "),
        "lines": [one.text for one in lines()][1:],  # the first is about the order of these
        "glasses": plan.glasses_each,
        "glass_ml": f"{plan.glass_ml:g}",
    }


# the host's table


@blueprint.get("/<code>/")
def view(code: str) -> str:
    """Who has joined and answered; the pouring list; the result once all have answered."""
    return _view(_panel(code))


def _view(panel: Panel, again: Taster | None = None, problem: str = "", typed: str = "") -> str:
    drawn = None
    if again is not None:
        drawn = entry.code(entry.for_a_phone(url_for("join.again", code=again.again)))
    part = "part" in request.args
    found = panel.judged()
    return render_template(
        "tastings/table.html" if part else "tastings/view.html",
        sitting=panel,
        plan=panel.tasting,
        first=before_first_glass(panel.tasting),
        judged=found,
        rows=_rows(panel),
        pour=_pour(panel.tasting),
        never=show.NEVER,
        again=again,
        code=drawn,
        problem=problem,
        typed=typed,
        shown_code=shown_code,
        reached=not settings().local,
        not_reached=NOT_REACHED,
        why_not=_why_not(),
    )


def _rows(panel: Panel) -> list[tuple[int, str, str, str]]:
    """Each taster who has joined or answered: number, name, state, answer."""
    times = {seat.number: seat for seat in panel.seats}
    rows = []
    for number in sorted({*times, *panel.answers}):
        seat = times.get(number)
        if number in panel.answers:
            at = "" if seat is None or seat.sent is None else f" {seat.sent:%H:%M}"
            state = f"answered{at}"
        else:
            state = f"joined {seat.joined:%H:%M}" if seat is not None else ""
        name = seat.name if seat is not None else "on paper"
        rows.append((number, name, state, panel.answers.get(number, "")))
    return rows


def _pour(plan: Tasting) -> Cells:
    """The key, for who pours: which drink goes under which code."""
    places = [f"glass {at}" for at in range(1, plan.glasses_each + 1)]
    rows = [
        [str(sheet.taster), *(f"{pour.code}: {plan.glasses[pour.glass]}" for pour in sheet.pours)]
        for sheet in sheets(plan)
    ]
    return Cells("Which drink under which code", ("taster", *places), "r" + "l" * len(places), rows)


@blueprint.get("/<code>/screen")
def screen(code: str) -> str:
    """What all may see: the code, what to know before the first glass, how many have answered."""
    panel = _panel(code)
    part = "part" in request.args
    return render_template(
        "tastings/count.html" if part else "tastings/screen.html",
        sitting=panel,
        plan=panel.tasting,
        first=before_first_glass(panel.tasting),
        code=entry.code(entry.for_a_phone(url_for("join.name", code=panel.code))),
        start=entry.for_a_phone(url_for("join.index")),
        shown_code=shown_code,
        reached=not settings().local,
        not_reached=NOT_REACHED,
    )


@blueprint.get("/<code>/sheets")
def to_print(code: str) -> AnyResponse:
    """A sheet for each taster without a phone, as a document to print; no key in it."""
    return guard.document(show.sheets_html(_panel(code).tasting))


@blueprint.post("/<code>/answer")
def answer(code: str) -> AnyResponse | tuple[str, int]:
    """An answer from paper, or in the place of one that was sent by mistake."""
    panel = _panel(code)
    number, words = request.form.get("number", ""), request.form.get("answer", "")
    problem = _not_taken(panel, number)
    if not problem:
        try:
            tastings().send(panel, int(number), words, now(), force=True)
        except (BadInput, FileProblem) as error:
            problem = f"{error.message[:1].upper()}{error.message[1:]}"
    if problem:
        return _view(panel, problem=problem, typed=words[:200]), NOT_MADE
    return redirect(url_for("tastings.view", code=panel.code), 303)


def _not_taken(panel: Panel, number: str) -> str:
    """Why no answer of this taster is taken; "" where one is."""
    most = panel.tasting.tasters
    if not (number.isdecimal() and len(number) < 5 and 1 <= int(number) <= most):
        return f"Choose a taster from 1 to {most}."
    said = panel.answers.get(int(number))
    if said is None or "sure" in request.form:
        return ""
    return f"Taster {number} has answered {said} already. Tick “change it” to replace that."


@blueprint.post("/<code>/close")
def close(code: str) -> AnyResponse:
    """Close a tasting: nobody else joins or answers by phone, and the result is worked out."""
    panel = _panel(code)
    tastings().close(panel, now())
    return redirect(url_for("tastings.view", code=panel.code), 303)


@blueprint.post("/<code>/again")
def again(code: str) -> str:
    """A code by which one phone takes the place of a phone that is lost."""
    panel = _panel(code)
    number = request.form.get("number", "")
    return _view(panel, tastings().let_again(panel, int(number) if number.isdecimal() else 0))


def sheet_of(panel: Panel, seat: Taster) -> dict[str, Any]:  # Any: the values of a template
    """A taster's own sheet: codes in their order, and nothing of the key."""
    plan = panel.tasting
    codes = [pour.code for pour in panel.sheet(seat.number).pours]
    return {
        **before_first_glass(plan),
        "codes": codes,
        "choices": list(panel.sheet(seat.number).codes),
        "ranked": plan.test == "ranking",
        "question": plan.question,
        "title": plan.title,
        "places": _places(plan),
        "last": show.NO_GOING_BACK,
    }


def _places(plan: Tasting) -> list[str]:
    """The places of a ranking, in words."""
    count = len(plan.glasses)
    ends = ("liked least", "liked most") if plan.taste == "liked" else (
        f"least {plan.taste}" if plan.taste else "least",
        f"most {plan.taste}" if plan.taste else "most",
    )  # fmt: skip
    return [
        f"{at}: {ends[0]}" if at == 1 else f"{at}: {ends[1]}" if at == count else str(at)
        for at in range(1, count + 1)
    ]
