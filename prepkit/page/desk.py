"""The recipes of a running page, and how it says that one cannot be planned."""

from __future__ import annotations

import json

from flask import Blueprint, Response, current_app, render_template, request
from werkzeug.exceptions import NotFound

from prepkit.errors import BadInput
from prepkit.page.recipe_folder import Book
from prepkit.page.refusals import as_json
from prepkit.page.settings import settings
from prepkit.page.sheets import Broken, Desk, Sheet, Typed, Wanted, words

NOT_PLANNED = 422


def desk() -> Desk:
    """The recipes of the folder that the page was started with; an error page without one."""
    found: Desk | None = current_app.extensions.get("prepkit-desk")
    if found is None:
        chosen = settings()
        if chosen.recipes is None:
            raise NotFound("The page was started without a folder of recipes.")
        found = Desk(Book(chosen.recipes, chosen.house, chosen.write))
        current_app.extensions["prepkit-desk"] = found
    return found


def planned(name: str, said: Wanted, readings: Typed | None = None) -> Sheet:
    """A recipe as the address asks, with the name of a file of readings and their tables."""
    return desk().plan(name, said, settings().today(), readings)


def broken(name: str, error: Broken) -> tuple[str, int]:
    """What is wrong with a recipe's file, by line, as the command line lists it."""
    book = desk().book
    try:
        found = book.problems(book.check(name, book.text(name)))
    except BadInput as unread:
        return render_template(
            "recipes/broken.html",
            name=name,
            problems=(),
            whole=book.plain(unread.message),
            write=False,
        ), NOT_PLANNED
    return render_template(
        "recipes/broken.html",
        name=name,
        problems=found,
        whole="" if found else error.message,
        write=book.write,
    ), NOT_PLANNED


def refusals(blueprint: Blueprint) -> None:
    """One sentence, or a list of problems, where an address of the blueprint cannot be answered."""
    blueprint.register_error_handler(BadInput, _not_planned)
    blueprint.register_error_handler(Broken, _broken)


def _not_planned(error: BadInput) -> tuple[str | Response, int]:
    """An address of a file or card that cannot be made: one sentence."""
    said = words(error.wording)
    return _one_sentence(f"{said[:1].upper()}{said[1:]}"), NOT_PLANNED


def _broken(error: Broken) -> tuple[str | Response, int]:
    """A file or card of a recipe that must be fixed first."""
    name = str((request.view_args or {}).get("name", ""))
    if request.path.endswith(".json"):
        return _one_sentence(error.message), NOT_PLANNED
    return broken(name, error)


def _one_sentence(said: str) -> str | Response:
    if request.path.endswith(".json"):
        return as_json(said)
    return render_template(
        "error.html",
        title="That cannot be made out",
        why=said,
        what="Go back, look at what was entered, and send it again.",
        status=NOT_PLANNED,
    )


def recent(to: str, name: str, word: str, say: str) -> str:
    """What the list of recent work keeps of a plan or a batch, as JSON."""
    return json.dumps({"to": to, "name": name, "word": word, "say": say})
