"""The trainer's side of a class: it is opened, seen on a screen, followed in a table, closed.

The key stands here alone: none of these addresses answers to a browser that sits in a class.
"""

from __future__ import annotations

import csv
import io
from datetime import datetime

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
from werkzeug.wrappers import Response as AnyResponse

from prepkit.drill.paper import REMINDER
from prepkit.drill.templates import LEVELS, TOPICS
from prepkit.drill.traps import TRAPS
from prepkit.errors import BadInput
from prepkit.page import entry
from prepkit.page.classes import MOST_QUESTIONS, Classes, Seat, Sitting
from prepkit.page.drills import NOT_MADE, QUESTIONS, Asked, asked, shown_marks
from prepkit.page.rooms import shown_code
from prepkit.page.settings import settings

blueprint = Blueprint("classes", __name__, url_prefix="/class")
NOT_REACHED = (
    "Phones cannot reach this page: it answers on this machine alone. Stop it and start it with "
    "--host 0.0.0.0."
)


def classes() -> Classes:
    """The classes of the page that answers."""
    found: Classes = current_app.extensions["prepkit-classes"]
    return found


def now() -> datetime:
    """The time of a thing that happens in a class."""
    return datetime.now()


def _sitting(code: str) -> Sitting:
    found = classes().find(code)
    if found is None:
        abort(404, "No class has this code; it ended when the page was stopped.")
    return found


@blueprint.get("/")
def index() -> str:
    """The form that opens a class, and the classes of today."""
    return _index(None)[0]


def _index(problem: BadInput | None, status: int = NOT_MADE) -> tuple[str, int]:
    return render_template(
        "classes/index.html",
        topics=TOPICS,
        levels=LEVELS,
        said=request.form,
        problem=problem,
        count=QUESTIONS,
        most=MOST_QUESTIONS,
        sittings=classes().all(),
        unread=classes().unread,
        shown_code=shown_code,
        reached=not settings().local,
        reminder=REMINDER,
    ), status


@blueprint.post("/")
def open_class() -> AnyResponse | tuple[str, int]:
    """Open a class; never where the page asks nobody for the pass words."""
    if settings().pass_phrase is None:  # every phone that gets here would get to the key
        return _index(BadInput(NOT_REACHED, "topic"), 409)
    try:
        made = asked(request.form)
        sitting = classes().open(made.topic, made.count, made.level, now())
    except BadInput as error:
        return _index(error)
    return redirect(url_for("classes.view", code=sitting.code), 303)


@blueprint.get("/<code>/")
def view(code: str) -> str:
    """The table of a class as its results come in."""
    return _view(_sitting(code))


def _view(sitting: Sitting, again: Seat | None = None) -> str:
    drawn = None
    if again is not None:
        drawn = entry.code(entry.for_a_phone(url_for("join.again", code=again.again)))
    part = "part" in request.args
    return render_template(
        "classes/table.html" if part else "classes/view.html",
        sitting=sitting,
        title=_title(sitting),
        again=again,
        code=drawn,
        shown_code=shown_code,
        traps=TRAPS,
        kept=classes().folder is not None,
    )


def _title(sitting: Sitting) -> str:
    level = f"level {sitting.level}" if sitting.level is not None else "levels 1 to 3"
    plural = "s" if sitting.count != 1 else ""
    return f"{sitting.topic}, {sitting.count} question{plural}, {level}"


@blueprint.get("/<code>/screen")
def screen(code: str) -> str:
    """What the whole class may see: the code, and how many are in."""
    sitting = _sitting(code)
    address = entry.for_a_phone(url_for("join.name", code=sitting.code))
    part = "part" in request.args
    return render_template(
        "classes/count.html" if part else "classes/screen.html",
        sitting=sitting,
        title=_title(sitting),
        code=entry.code(address),
        start=entry.for_a_phone(url_for("join.index")),
        shown_code=shown_code,
    )


@blueprint.post("/<code>/close")
def close(code: str) -> AnyResponse:
    """Close a class: nobody else joins, and what is sent afterwards is marked as late."""
    sitting = _sitting(code)
    classes().close(sitting, now())
    return redirect(url_for("classes.view", code=sitting.code), 303)


@blueprint.post("/<code>/again")
def again(code: str) -> str:
    """A code by which one phone takes the seat of a phone that is lost."""
    sitting = _sitting(code)
    number = request.form.get("number", "")
    return _view(sitting, classes().let_again(sitting, int(number) if number.isdecimal() else 0))


@blueprint.post("/<code>/remove")
def remove(code: str) -> AnyResponse:
    """Take somebody out of a class."""
    sitting = _sitting(code)
    number = request.form.get("number", "")
    classes().remove(sitting, int(number) if number.isdecimal() else 0)
    return redirect(url_for("classes.view", code=sitting.code), 303)


@blueprint.get("/<code>/<int:number>")
def marked(code: str, number: int) -> str:
    """One paper as it was sent, with its marks and its key."""
    sitting = _sitting(code)
    seat = next((one for one in sitting.seats if one.number == number), None)
    if seat is None or seat.marked is None:
        abort(404, "No paper of this number was sent.")
    paper = seat.paper
    made = Asked(paper.topic, paper.count, paper.seed, paper.level)
    return render_template(
        "classes/marked.html", sitting=sitting, seat=seat, **shown_marks(made, seat.marked)
    )


@blueprint.get("/<code>/results.csv")
def results(code: str) -> AnyResponse:
    """The table as a file, to keep after the page is stopped."""
    sitting = _sitting(code)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["number", "name", "joined", "sent", "late", "right", "of", "paper", "traps"])
    for seat in sitting.seats:
        found = seat.marked
        writer.writerow(
            [
                seat.number,
                _no_formula(seat.name),
                f"{seat.joined:%Y-%m-%d %H:%M}",
                "" if seat.sent is None else f"{seat.sent:%Y-%m-%d %H:%M}",
                "late" if seat.late else "",
                "" if found is None else found.right,
                sitting.count,
                seat.paper.seed,
                "" if found is None else "; ".join(found.traps),
            ]
        )
    response = Response(out.getvalue(), mimetype="text/csv")
    response.headers["Content-Disposition"] = 'attachment; filename="class.csv"'
    return response


def _no_formula(name: str) -> str:
    """A name that a spreadsheet does not work out."""
    return f"'{name}" if name[:1] in "=+-@" else name
