"""The recipes of the folder: listed, planned for any number of serves, printed, and edited."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path
from urllib.parse import urlencode

from flask import Blueprint, Response, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

from prepkit.clock import Moment
from prepkit.errors import BadInput, FileProblem
from prepkit.history import versions as history
from prepkit.label import JURISDICTIONS
from prepkit.page import (
    batch_views,
    guard,
    menu_form,
    recipe_edits,
    recipe_form_views,
    versions,
)
from prepkit.page.batch_files import Batches
from prepkit.page.desk import NOT_PLANNED, broken, desk, planned, recent, refusals
from prepkit.page.recipe_folder import READ_ONLY
from prepkit.page.safe_files import Changed, version_of
from prepkit.page.settings import settings
from prepkit.page.sheets import Broken, NotAsked, Sheet, Wanted, wanted
from prepkit.plan.check import Checked
from prepkit.render import html
from prepkit.render.amounts import UNITS, made_for
from prepkit.render.html import PAPERS, Look
from prepkit.render.plan_first import first_page
from prepkit.render.plan_html import plan_card, plan_sheet, plan_verdict, wall
from prepkit.render.plan_panes import panes
from prepkit.render.routine import routine_views
from prepkit.sheet import PlanSheet
from prepkit.workflows import label_command
from prepkit.workflows.plan_work import printed

blueprint = Blueprint("recipes", __name__, url_prefix="/recipes")
blueprint.register_blueprint(batch_views.blueprint)
blueprint.register_blueprint(recipe_edits.blueprint)
blueprint.register_blueprint(recipe_form_views.blueprint)
blueprint.register_blueprint(menu_form.blueprint)
refusals(blueprint)
KIND_ICONS = {"pressure": "vent", "cryogen": "cold", "inhalation": "air"}
BESIDE = 2  # lines shown before and after one with a problem
MOST_TEXT = guard.LONG["recipes.save_text", "text"]


@blueprint.get("/")
def index() -> str:
    """Every recipe of the folder."""
    if settings().recipes is None:
        return render_template("recipes/none.html")
    book = desk().book
    return render_template(
        "recipes/index.html",
        entries=book.entries(),
        unreadable=book.unreadable(),
        write=book.write,
    )


# one recipe


@blueprint.get("/<name>/")
def view(name: str) -> tuple[str, int]:
    """A recipe's sheet for the serves that are asked for, and the form that asks."""
    book = desk().book
    book.path(name)
    said, problem, sheet = Wanted(), None, None
    try:
        said = wanted(request.args)
        sheet = planned(name, said)
    except NotAsked as error:
        problem = error
        said = said if said != Wanted() else _typed()
    except Broken as error:
        return broken(name, error)
    entry = book.entry(name)
    day = _day(said)
    query = urlencode(said.query())
    return render_template(
        "recipes/view.html",
        name=name,
        entry=entry,
        said=said,
        problem=problem,
        sheet=sheet,
        day=day,
        **({} if sheet is None else _panes(name, sheet, said)),
        query=query,
        batch_address=f"{url_for('recipes.batch.view', name=name)}?"
        f"{urlencode(said.query(on=day or settings().today().isoformat()))}",
        write=book.write,
        batches=Batches(book).of_recipe(name),
        undo=versions.before_last(book.path(name).resolve()) if "saved" in request.args else None,
        seen=version_of(book.text(name)),
        today=settings().today().isoformat(),
        papers=tuple(PAPERS),
        laws=JURISDICTIONS,
    ), 200 if problem is None else NOT_PLANNED


def _day(said: Wanted) -> str:
    """The day of service: that of the address, or that which a time of service has."""
    on = _said("on") or ""
    try:
        at = Moment.read(said.service, "service") if said.service else None
    except BadInput:  # it is told at its field
        return on
    return at.at.date().isoformat() if at is not None and at.dated else on


def _panes(name: str, sheet: Sheet, said: Wanted) -> dict[str, object]:
    """What the panes show of a plan."""
    come_to = sheet.worked
    shown: PlanSheet = {**come_to.said, "file": desk().book.shown(come_to.said["file"])}
    warned = wall(shown, sheet.units)
    kinds: dict[str, list[html.Warned]] = {}
    for one in warned["notes"]:  # the most serious kind first, as they are in order
        kinds.setdefault(one.kind, []).append(one)
    return {
        "kinds": kinds,
        "panes": panes(shown, sheet.units),
        "first_page": first_page(shown, sheet.units),
        "unit": UNITS[sheet.units],
        "recent": recent(
            f"{url_for('recipes.view', name=name)}?{urlencode(said.query())}",
            come_to.said["title"],
            come_to.said["verdict"],
            made_for(come_to.said),
        ),
        "kind_icons": KIND_ICONS,
        "learnt": [one["words"] for one in shown.get("learnt", ())],
        "routines": routine_views(shown.get("routines", ())),
        "timed": bool(said.service),
        "hours": come_to.plan.recipe.house.hours is not None,
        **warned,
        **plan_verdict(come_to.said, sheet.units),
    }


@blueprint.get("/<name>/whole")
def whole(name: str) -> str:
    """Everything of a plan on one page, as the details of its card have it."""
    said = wanted(request.args)
    sheet = planned(name, said)
    return render_template(
        "recipes/whole.html",
        name=name,
        sheet=sheet,
        drawn=_drawn(sheet),
        query=urlencode(said.query()),
        **plan_verdict(sheet.worked.said, sheet.units),
    )


def _typed() -> Wanted:
    """What was typed, units aside."""
    return Wanted(
        request.args.get("serves", ""),
        request.args.get("variant", ""),
        request.args.get("service", ""),
        tuple(request.args.getlist("from")[:1]),
    )


def _drawn(sheet: Sheet) -> str:
    """The sheet as HTML, made once."""
    if "sheet" not in sheet.drawn:
        come_to = sheet.worked
        said: PlanSheet = {**come_to.said, "file": desk().book.shown(come_to.said["file"])}
        look = Look(settings().today(), system=sheet.units)
        sheet.drawn["sheet"] = Markup(plan_sheet(come_to.plan, said, look))
    return sheet.drawn["sheet"]


# the same as files


@blueprint.get("/<name>/plan.<any(json, csv):form>")
def as_file(name: str, form: str) -> AnyResponse:
    """The plan letter by letter as the command line prints it with --json or --csv."""
    sheet = planned(name, wanted(request.args))
    asked = sheet.asked._replace(as_json=form == "json", csv=form == "csv")
    text = printed(asked, sheet.worked)
    kind = "application/json" if form == "json" else "text/csv"
    response = Response(text, mimetype=kind)
    if form == "csv":
        response.headers["Content-Disposition"] = 'attachment; filename="plan.csv"'
    return response


@blueprint.get("/<name>/card")
def card(name: str) -> AnyResponse:
    """A card to print, of the recipe or of one item."""
    said = wanted(request.args)
    sheet = planned(name, said)
    at = None if not said.service else Moment.read(said.service, "service")
    working = "working" in request.args
    details = working or "details" in request.args
    look = Look(settings().today(), _paper(), sheet.units, working, details=details)
    come_to = sheet.worked
    item = _said("item")
    address = guard.outside(f"{url_for('recipes.view', name=name)}?{urlencode(said.query())}")
    return guard.document(plan_card(come_to.plan, look, at, item, come_to.said, address))


@blueprint.get("/<name>/labels")
def labels(name: str) -> AnyResponse:
    """Sheets of labels to print."""
    asked = wanted(request.args)
    sheet = planned(name, asked)
    said = {
        "made": _said("made") or settings().today().isoformat(),
        "oldest": _said("oldest"),
        "jurisdiction": _said("jurisdiction"),
        "per_sheet": _said("per-sheet"),
        "once_opened": _said("once-opened"),
        "copies": _said("copies"),
        "units": asked.units or None,
        "form": "html",
        "paper": _paper().name,
    }
    items = tuple(filter(None, map(str.strip, request.args.getlist("item"))))
    found = label_command.of_plan(sheet.worked.plan, items, said, sheet.worked.said)
    return guard.document(label_command.made_out(*found))


def _said(name: str) -> str | None:
    """A word of the address; None where it is blank."""
    return " ".join(request.args.get(name, "").split()) or None


def _paper() -> html.Paper:
    name = _said("paper") or "a4"
    if name not in PAPERS:
        raise BadInput(f'Paper is "{name[:40]}"; it must be one of {", ".join(PAPERS)}.', "paper")
    return PAPERS[name]


# its text


@blueprint.get("/<name>/text")
def text(name: str) -> AnyResponse | str:
    """The recipe's file, to be edited where the page was started with --write."""
    book = desk().book
    now = book.text(name)
    earlier = request.args.get("version", "")
    if earlier.isdecimal() and len(earlier) < 6:
        shown_text = history.text_of(book.path(name).resolve(), int(earlier))
    else:
        shown_text = book.kept_text(name, earlier) if earlier else now
    return _text(name, shown_text, version_of(now), earlier=earlier, failed=False)


@blueprint.post("/<name>/text")
def save_text(name: str) -> AnyResponse | tuple[str, int]:
    """Save the text where nothing is wrong with it; else list what is, and keep what was typed."""
    book = desk().book
    typed = request.form.get("text", "").replace("\r\n", "\n").replace("\r", "\n")
    typed = typed if typed.endswith("\n") or not typed else f"{typed}\n"
    seen = request.form.get("seen", "")
    if not book.write:
        return _text(name, typed, seen, why=READ_ONLY), 403
    if len(typed) > MOST_TEXT:
        why = f"The text has {len(typed)} characters; at most {MOST_TEXT} are saved from here."
        return _text(name, typed, seen, why=why), NOT_PLANNED
    try:
        if "check" in request.form:
            found = book.check(name, typed)
            why = "" if found.problems else "No problem was found; nothing is saved yet."
            return _text(name, typed, seen, found, why, failed=False), 200
        found = book.save(name, typed, seen, request.form.get("note", ""))
    except Changed as error:
        now = book.text(name)
        return _text(name, typed, version_of(now), why=error.message, theirs=now), 409
    except BadInput as error:
        return _text(name, typed, seen, why=error.message), NOT_PLANNED
    except FileProblem as error:
        return _text(name, typed, seen, why=book.plain(error.message)), 500
    if found.problems:
        why = "Nothing was saved; what was typed stands below."
        return _text(name, typed, seen, found, why), NOT_PLANNED
    return redirect(url_for("recipes.view", name=name, saved="1"), 303)


def _text(
    name: str,
    shown_text: str,
    seen: str,
    checked: Checked | None = None,
    why: str = "",
    theirs: str | None = None,
    earlier: str = "",
    *,
    failed: bool = True,
) -> str:
    book = desk().book
    problems = book.problems(checked) if checked is not None else []
    own = book.shown(str(book.path(name)))
    at: defaultdict[int, list[str]] = defaultdict(list)
    for file, one in problems:
        if file == own and one.line:
            at[one.line].append(one.text)
    write = book.write and len(shown_text) <= MOST_TEXT
    near = {row + away for row in at for away in range(-BESIDE, BESIDE + 1)}
    return render_template(
        "recipes/text.html",
        name=name,
        text=shown_text,
        note=request.form.get("note", ""),
        typed=request.method == "POST",
        seen=seen,
        problems=problems,
        own=own if problems or not write else "",
        at=at,
        rows=[
            (row, line)
            for row, line in enumerate(shown_text.splitlines(), 1)
            if not write or row in near
        ],
        why=why,
        theirs=theirs,
        differs=[] if theirs is None else list(versions.in_words(theirs, shown_text, Path(own))),
        earlier=earlier,
        failed=failed,
        write=write,
        too_long=len(shown_text) > MOST_TEXT,
        longest=MOST_TEXT,
    )
