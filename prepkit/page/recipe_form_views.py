"""The form of a recipe: a new one, one that is changed, a calculation saved into either."""

from __future__ import annotations

from urllib.parse import urlencode

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.index import CALCULATORS, FAMILIES
from prepkit.page import forms, house, menu_form, recipe_form, recipe_moves, versions
from prepkit.page.desk import NOT_PLANNED, desk
from prepkit.page.recipe_folder import READ_ONLY, ReadOnly
from prepkit.page.recipe_form import Portion, Typed
from prepkit.page.safe_files import Changed, version_of
from prepkit.plan.check import Checked
from prepkit.plan.files import tables_of
from prepkit.plan.toml_edit import AsText

blueprint = Blueprint("form", __name__)
NEW = "new"  # the version of a recipe that is not there yet


@blueprint.get("/new")
def new() -> str:
    """An empty form, with the items of the address in it."""
    typed = recipe_form.of_args(request.args)
    typed.portions = typed.portions or [Portion(0, "", [], [], True)]
    return _page(None, typed, NEW)


@blueprint.get("/into")
def into() -> str:
    """Which recipe a calculation is saved into."""
    book = desk().book
    recipe_form.of_args(request.args)  # refused here already where it cannot be an item
    return render_template(
        "recipes/into.html",
        entries=[one for one in book.entries() if not one.problem],
        query=urlencode(list(request.args.items(multi=True))),
        write=book.write,
    )


@blueprint.get("/<name>/form")
def change(name: str) -> str | AnyResponse:
    """The form of a recipe, with the items of the address behind its own."""
    book = desk().book
    text = book.text(name)
    try:
        tables = tables_of(text, name)
        if menu_form.is_menu(tables):
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


@blueprint.post("/new")
def make() -> AnyResponse | tuple[str, int]:
    """Save a new recipe, or show the form again with one thing more in it."""
    return _sent(None)


@blueprint.post("/<name>/form")
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
        number = 1 + max((one.number for one in typed.portions), default=-1)
        typed.portions.append(Portion(number, "", [], [], True))
        return _page(name, typed, seen), 200
    if (
        said == "show"
        or forms.MORE in args
        or any(bit.args.get("other", "") and said == f"other{bit.number}" for bit in typed.bits)
    ):
        return _page(name, typed, seen), 200
    try:
        made = recipe_form.new_text(typed) if name is None else recipe_form.text_of(typed, text)
        found = _checked(name, typed, made)
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
    return _saved(name, typed, made, seen, text)


def _checked(name: str | None, typed: Typed, made: str) -> Checked:
    book = desk().book
    if name is not None:
        return book.check(name, made)
    stem = recipe_moves.file_name(typed.title) or "new-recipe"
    return recipe_moves.check(book, book.folder / f"{stem}.toml", made)


def _saved(
    name: str | None, typed: Typed, made: str, seen: str, text: str
) -> AnyResponse | tuple[str, int]:
    """Write it; what stands in the way is told, and nothing that was typed is lost."""
    book, note = desk().book, request.form.get("why", "")
    try:
        if name is None:
            name, path = recipe_moves.free(book, None, typed.title)
            recipe_moves.create(book, path, made, note or "written on the page")
        else:
            book.save(name, made, seen, note)
    except Changed:
        typed.problems.append(
            "Another has saved this recipe since it was opened here, and nothing was written. If "
            "you save now, this form replaces that, and these lines change:"
        )
        typed.problems += versions.in_words(text, made, book.path(name or ""))
        return _page(name, typed, version_of(text)), 409
    except ReadOnly as error:
        typed.problems.append(error.message)
        return _page(name, typed, seen), 403
    except (BadInput, FileProblem) as error:
        typed.problems.append(book.plain(error.message))
        return _page(None if seen == NEW else name, typed, seen), NOT_PLANNED
    return redirect(url_for("recipes.view", name=name, saved="1"), 303)


def _page(
    name: str | None, typed: Typed, seen: str, told: str = "", opened: int | None = None
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
        "vessels": list(house.house().vessels),
        "families": [
            (title, [one for one, (_, of, _) in CALCULATORS.items() if of == family])
            for family, title in FAMILIES.items()
        ],
    }
    return render_template("recipes/form.html", **said)
