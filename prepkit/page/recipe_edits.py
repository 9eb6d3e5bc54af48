"""What is done to a recipe as a whole: its versions and the way back, a copy, another name."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from prepkit.errors import BadInput, FileProblem
from prepkit.page import recipe_moves, versions
from prepkit.page.desk import NOT_PLANNED, desk
from prepkit.page.recipe_folder import ReadOnly
from prepkit.page.safe_files import Changed, version_of

blueprint = Blueprint("edit", __name__)


@blueprint.get("/<name>/versions")
def all_versions(name: str) -> str:
    """Every version of a recipe with what it changed, and the way back to it."""
    return _versions(name)


def _versions(name: str, problem: str = "") -> str:
    book = desk().book
    path = book.path(name).resolve()
    return render_template(
        "recipes/versions.html",
        name=name,
        versions=versions.shown(path),
        earlier=book.kept(name),
        undo=versions.before_last(path),
        seen=version_of(book.text(name)),
        write=book.write,
        problem=problem,
    )


@blueprint.post("/<name>/back")
def back(name: str) -> AnyResponse | tuple[str, int]:
    """Make a recipe what a version was; nothing is written where another has saved meanwhile."""
    book = desk().book
    book.may_write()
    said = request.form.get("number", "")
    number = int(said) if said.isdecimal() and len(said) < 6 else 0
    try:
        versions.back(book.path(name).resolve(), number, request.form.get("seen", ""))
    except Changed:
        why = "Another has saved this recipe since it was opened here: nothing was written."
        return _versions(name, why), 409
    return redirect(url_for("recipes.view", name=name, saved="1"), 303)


# another name


@blueprint.get("/<name>/name")
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


@blueprint.post("/<name>/name")
def name_it(name: str) -> AnyResponse | tuple[str, int]:
    """Another name for the recipe, or a copy under it."""
    book = desk().book
    title, file = request.form.get("title", ""), request.form.get("file", "")
    seen = request.form.get("seen", "")
    try:
        if "copy" in request.form:
            own = file.strip() == book.path(name).stem
            new = recipe_moves.copy(book, name, title, "" if own else file)
        else:
            new = recipe_moves.rename(book, name, title, file, seen)
    except Changed as error:
        now = version_of(book.text(name))
        changed = FileProblem(f"{error.message} Look at the recipe before you send it again.")
        return _name_form(name, title, file, now, changed), 409
    except ReadOnly as error:
        return _name_form(name, title, file, seen, error), 403
    except (BadInput, FileProblem) as error:
        return _name_form(name, title, file, seen, error), NOT_PLANNED
    return redirect(url_for("recipes.view", name=new, saved="1"), 303)
