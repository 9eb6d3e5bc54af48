"""The page as a Flask application: views from their modules, guarded, with plain error pages."""

from __future__ import annotations

import logging
from pathlib import Path

from flask import Flask, Response, render_template, request
from jinja2 import ChoiceLoader, FileSystemLoader, PrefixLoader, StrictUndefined
from markupsafe import Markup
from werkzeug.exceptions import HTTPException, InternalServerError

from prepkit import __version__, render
from prepkit.cautions import page_line
from prepkit.errors import FileProblem, PrepkitError
from prepkit.page import (
    bench,
    class_views,
    drills,
    entry,
    guard,
    join,
    ladders,
    offline,
    prints,
    recipes,
    solved,
    stock,
    tasting_views,
    words,
    work,
)
from prepkit.page.classes import FOLDER, Classes
from prepkit.page.icons import icon
from prepkit.page.refusals import as_json
from prepkit.page.settings import Settings
from prepkit.page.tastings import Tastings
from prepkit.render import html
from prepkit.render.amounts import made_for

_log = logging.getLogger(__name__)
# what a person is told, by status: what it means, what to do
SAID = {
    400: ("That could not be read", "Go back, look at what was entered, and send it again."),
    403: ("Not allowed", "Nothing was changed."),
    404: ("There is nothing here", "The address may be mistyped, or what it named has moved."),
    405: ("Not this way", "This address does not take what was sent to it."),
    409: ("It has changed meanwhile", "Open it again and look at it before sending once more."),
    413: ("Too much at once", "That is larger than this page takes. Send less."),
    414: ("Too long an address", "Your entries are too long for an address. Enter less."),
    410: ("It is gone", "Ask for a new one."),
    429: ("Too many tries", "Wait a few minutes, then try again."),
    500: ("This page has a fault", "It is ours, not yours. Nothing was changed."),
}


def create_app(settings: Settings | None = None) -> Flask:
    """The page for these settings; nothing is read or opened until somebody asks."""
    chosen = settings if settings is not None else Settings()
    app = Flask(__name__)
    app.config["PREPKIT"] = chosen
    _templates(app)
    guard.protect(app, chosen)
    entry.start(app, chosen)
    for part in (
        work, solved, prints, words, recipes, drills, bench, stock, class_views, tasting_views,
        ladders, join, offline,
    ):  # fmt: skip
        app.register_blueprint(part.blueprint)
    app.extensions["prepkit-classes"] = Classes(
        chosen.recipes / FOLDER if chosen.write and chosen.recipes is not None else None
    )
    app.extensions["prepkit-tastings"] = Tastings(chosen.recipes, chosen.write)
    app.extensions["prepkit-codes"] = entry.Tries(join.CODES_EACH, join.CODES_ALL)
    app.register_error_handler(HTTPException, _told)
    app.register_error_handler(PrepkitError, _refused)
    app.register_error_handler(Exception, _fault)
    return app


def _templates(app: Flask) -> None:
    """The page's own templates, and those of the cards under `render/`."""
    env = app.jinja_env
    beside = FileSystemLoader(Path(render.__file__).with_name("templates"))
    if app.jinja_loader is None:  # Flask has one whenever there is a templates folder
        raise RuntimeError("the page's templates are missing")
    # the last: what a card imports beside itself
    env.loader = ChoiceLoader([app.jinja_loader, PrefixLoader({"render": beside}), beside])
    env.undefined = StrictUndefined
    env.trim_blocks = env.lstrip_blocks = True
    env.finalize = html.plain
    env.filters["svg"] = html.drawn
    env.filters["drawing"] = Markup  # our own, escaped where it was drawn
    env.globals.update(
        version=__version__,
        sections=work.sections,
        decides=page_line("wall"),
        icon=icon,
        made_for=made_for,
        may_keep=offline.may_keep,
        who=offline.who,
    )


def _page(status: int, why: str) -> tuple[str | Response, int]:
    title, what = SAID.get(status, SAID[400 if status < 500 else 500])
    if request.path.endswith(".json"):
        return as_json(why or title), status
    return render_template("error.html", title=title, why=why, what=what, status=status), status


def _told(error: HTTPException) -> tuple[str | Response, int] | HTTPException:
    """An error that the web knows, in plain words."""
    status = error.code or 500
    if status < 400:
        return error
    own = error.description if error.description != type(error).description else ""
    return _page(status, own or "")


def _refused(error: PrepkitError) -> tuple[str | Response, int]:
    """An error of ours: one sentence."""
    return _page(404 if isinstance(error, FileProblem) else 400, error.message)


def _fault(error: Exception) -> tuple[str | Response, int]:
    """A defect: the reader gets plain words, the terminal the traceback."""
    _log.exception("a fault at %s", request.path, exc_info=error)
    return _page(InternalServerError.code, "")
