"""The recipes of the folder: listed, planned, printed, edited as a form and as text."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from flask import Blueprint, Response, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

from prepkit import history
from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.index import CALCULATORS, FAMILIES
from prepkit.label import JURISDICTIONS
from prepkit.numbers import Moment
from prepkit.page import batch_views, forms, guard, recipe_folder, recipe_form, requests
from prepkit.page.batch_files import Batches
from prepkit.page.guard import settings
from prepkit.page.recipe_folder import NEW, READ_ONLY, FileChanged, ReadOnly, version_of
from prepkit.page.recipe_form import PortionForm, TypedForm
from prepkit.page.requests import (
    NOT_PLANNED,
    Broken,
    NotAsked,
    Sheet,
    Wanted,
    broken,
    desk,
    planned,
    recent,
    refusals,
    wanted,
)
from prepkit.plan.check import Checked
from prepkit.plan.files import AsText, tables_of
from prepkit.render import html
from prepkit.render.html import PAPERS, Look
from prepkit.render.plan_first import first_page
from prepkit.render.plan_html import panes, plan_card, plan_sheet, plan_verdict, wall
from prepkit.render.plan_lists import UNITS, made_for
from prepkit.render.plan_text import routine_views
from prepkit.workflows import label_command
from prepkit.workflows.plan_command import printed

if TYPE_CHECKING:
    from prepkit.sheet import PlanSheet

# ---- the form of a recipe ----

form_blueprint = Blueprint("form", __name__)


@form_blueprint.get("/new")
def new() -> str:
    """An empty form, with the items of the address in it."""
    typed = recipe_form.of_args(request.args)
    typed.portions = typed.portions or [PortionForm(0, "", [], [], True)]
    return _page(None, typed, NEW)


@form_blueprint.get("/into")
def into() -> str:
    """Which recipe a calculation is saved into."""
    book = desk().book
    recipe_form.of_args(request.args)  # refused here already where it cannot be an item
    return render_template(
        "recipes/into.html",
        entries=[entry for entry in book.entries() if not entry.problem],
        query=urlencode(list(request.args.items(multi=True))),
        write=book.write,
    )


@form_blueprint.get("/<name>/form")
def change(name: str) -> str | AnyResponse:
    """The form of a recipe, with the items of the address behind its own."""
    book = desk().book
    text = book.text(name)
    try:
        tables = tables_of(text, name)
        if recipe_form.is_menu(tables):
            return redirect(url_for("recipes.menu.change", name=name), 303)
        typed = recipe_form.of_file(tables)
    except (AsText, PrepkitError) as error:
        if isinstance(error, FileProblem):
            raise
        return redirect(url_for("recipes.text", name=name), 303)
    for one in recipe_form.of_args(request.args).bits:
        there = one.id in {bit.id for bit in typed.bits}
        recipe_form.add(typed, one.calculator, one.words, "" if there else one.id)
    return _page(name, typed, version_of(text))


@form_blueprint.post("/new")
def make() -> AnyResponse | tuple[str, int]:
    """Save a new recipe, or show the form again with one thing more in it."""
    return _sent(None)


@form_blueprint.post("/<name>/form")
def save(name: str) -> AnyResponse | tuple[str, int]:
    """Save what was changed, or show the form again with one thing more in it."""
    return _sent(name)


def _sent(name: str | None) -> AnyResponse | tuple[str, int]:
    book, args = desk().book, request.form
    text = "" if name is None else book.text(name)
    tables = {} if name is None else tables_of(text, name)
    seen = args.get("seen", "")
    typed = recipe_form.of_args(args, tables.get("items", {}), len(tables.get("serve", [])))
    said = args.get("do", "")
    if said == "add" and args.get("add", "") in CALCULATORS:
        recipe_form.add(typed, args["add"])
        return _page(name, typed, seen, opened=typed.bits[-1].number), 200
    if said == "serve":
        number = 1 + max((portion.number for portion in typed.portions), default=-1)
        typed.portions.append(PortionForm(number, "", [], [], True))
        return _page(name, typed, seen), 200
    if (
        said == "show"
        or forms.MORE in args
        or any(bit.args.get("other", "") and said == f"other{bit.number}" for bit in typed.bits)
    ):
        return _page(name, typed, seen), 200
    try:
        made = recipe_form.new_text(typed) if name is None else recipe_form.text_of(typed, text)
        found = recipe_folder.checked(book, name, typed.title, "recipe", made)
    except PrepkitError as error:
        typed.problems.append(error.message)
        return _page(name, typed, seen), NOT_PLANNED
    if found.problems:
        recipe_form.put_problems(typed, book.problems(found))
    if said == "live":
        return render_template("recipes/live.html", typed=typed, count=len(found.problems)), 200
    if said != "save":
        why = "" if found.problems else "No problem was found; nothing is saved yet."
        return _page(name, typed, seen, told=why), 200
    if found.problems:
        return _page(name, typed, seen), NOT_PLANNED
    return _saved(name, typed, made, seen)


def _saved(
    name: str | None, typed: TypedForm, made: str, seen: str
) -> AnyResponse | tuple[str, int]:
    """Write it; what stands in the way is told, and nothing that was typed is lost."""
    note = request.form.get("why", "")
    done = recipe_folder.keep(desk().book, name, typed.title, "recipe", made, seen, note)
    if done.status != 303:
        typed.problems += done.problems
        return _page(done.name, typed, done.seen), done.status
    return redirect(url_for("recipes.view", name=done.name, saved="1"), 303)


def _page(
    name: str | None, typed: TypedForm, seen: str, told: str = "", opened: int | None = None
) -> str:
    book = desk().book
    action = (
        url_for("recipes.form.make") if name is None else url_for("recipes.form.save", name=name)
    )
    said: dict[str, object] = {
        "name": name,
        "typed": typed,
        "seen": seen,
        "told": told,
        "opened": opened,
        "action": action,
        "sent": request.method == "POST",
        "write": book.write,
        "read_only": READ_ONLY,
        "why": request.form.get("why", ""),
        "own": forms,
        "vessels": list(requests.house().vessels),
        "families": [
            (title, [key for key, (_, of, _) in CALCULATORS.items() if of == family])
            for family, title in FAMILIES.items()
        ],
    }
    return render_template("recipes/form.html", **said)


# ---- what is done to a recipe as a whole ----

edit_blueprint = Blueprint("edit", __name__)


@edit_blueprint.get("/<name>/versions")
def all_versions(name: str) -> str:
    """Every version of a recipe with what it changed, and the way back to it."""
    return _versions(name)


def _versions(name: str, problem: str = "") -> str:
    book = desk().book
    path = book.path(name).resolve()
    return render_template(
        "recipes/versions.html",
        name=name,
        versions=recipe_folder.shown(path),
        earlier=book.kept(name),
        undo=recipe_folder.before_last(path),
        seen=version_of(book.text(name)),
        write=book.write,
        problem=problem,
    )


@edit_blueprint.post("/<name>/back")
def back(name: str) -> AnyResponse | tuple[str, int]:
    """Make a recipe what a version was; nothing is written where another has saved meanwhile."""
    book = desk().book
    book.may_write()
    said = request.form.get("number", "")
    number = int(said) if said.isdecimal() and len(said) < 6 else 0
    try:
        recipe_folder.back(book.path(name).resolve(), number, request.form.get("seen", ""))
    except FileChanged:
        why = "Another has saved this recipe since it was opened here: nothing was written."
        return _versions(name, why), 409
    return redirect(url_for("recipes.view", name=name, saved="1"), 303)


# another name


@edit_blueprint.get("/<name>/name")
def name_form(name: str) -> str:
    """The form that gives a recipe another name, or makes a copy of it."""
    book = desk().book
    path = book.path(name)
    entry = book.entry(name)
    return _name_form(name, entry.title, path.stem, version_of(book.text(name)))


def _name_form(
    name: str, title: str, file: str, seen: str, problem: FileProblem | BadInput | None = None
) -> str:
    return render_template(
        "recipes/name.html",
        name=name,
        title=title,
        file=file,
        seen=seen,
        problem=None if problem is None else problem.message,
        at=getattr(problem, "field", None) or "title",
        write=desk().book.write,
    )


@edit_blueprint.post("/<name>/name")
def name_it(name: str) -> AnyResponse | tuple[str, int]:
    """Another name for the recipe, or a copy under it."""
    book = desk().book
    title, file = request.form.get("title", ""), request.form.get("file", "")
    seen = request.form.get("seen", "")
    try:
        if "copy" in request.form:
            own = file.strip() == book.path(name).stem
            new = recipe_folder.copy(book, name, title, "" if own else file)
        else:
            new = recipe_folder.rename(book, name, title, file, seen)
    except FileChanged as error:
        now = version_of(book.text(name))
        changed = FileProblem(f"{error.message} Look at the recipe before you send it again.")
        return _name_form(name, title, file, now, changed), 409
    except ReadOnly as error:
        return _name_form(name, title, file, seen, error), 403
    except (BadInput, FileProblem) as error:
        return _name_form(name, title, file, seen, error), NOT_PLANNED
    return redirect(url_for("recipes.view", name=new, saved="1"), 303)


# ---- the recipes of the folder ----

blueprint = Blueprint("recipes", __name__, url_prefix="/recipes")
blueprint.register_blueprint(batch_views.blueprint)
blueprint.register_blueprint(edit_blueprint)
blueprint.register_blueprint(form_blueprint)
blueprint.register_blueprint(recipe_form.blueprint)
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
        undo=recipe_folder.before_last(book.path(name).resolve())
        if "saved" in request.args
        else None,
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
    for note in warned["notes"]:  # the most serious kind first, as they are in order
        kinds.setdefault(note.kind, []).append(note)
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
        "learnt": [learnt["words"] for learnt in shown.get("learnt", ())],
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
    asked = sheet.asked.replaced(as_json=form == "json", csv=form == "csv")
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


def _paper() -> html.PaperSize:
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
    except FileChanged as error:
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
    for file, problem in problems:
        if file == own and problem.line:
            at[problem.line].append(problem.text)
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
        differs=[]
        if theirs is None
        else list(recipe_folder.in_words(theirs, shown_text, Path(own))),
        earlier=earlier,
        failed=failed,
        write=write,
        too_long=len(shown_text) > MOST_TEXT,
        longest=MOST_TEXT,
    )
