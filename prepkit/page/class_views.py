"""A class: the trainer's side, and a telephone that joins; a lesson made on the page.

The key stands here alone: none of a class's addresses answers to a browser that sits in one.

Those of a telephone that joins are open to a browser that was not let in. One that takes a seat
gives up whatever else it could open, so that no trainee's browser reaches a key, a recipe or
another paper.
"""

from __future__ import annotations

import csv
import io
import secrets
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, TypeAlias

from flask import (
    Blueprint,
    Response,
    abort,
    current_app,
    redirect,
    render_template,
    request,
    session,
    url_for,
)
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

from prepkit.drill.command import Mark
from prepkit.drill.paper import LARGEST_SEED, LONGEST_ANSWER, REMINDER
from prepkit.drill.sheet import asked_html, paper_html, sheet_html
from prepkit.drill.templates import LEVELS, PAPERS
from prepkit.errors import BadInput, FileProblem
from prepkit.language import ENGLISH, _, checked, languages, names, speak
from prepkit.lesson import AUDIENCES, LENGTHS_MIN, LessonFacts
from prepkit.lesson.lesson import one_file
from prepkit.numbers import whole
from prepkit.page import guard
from prepkit.page.drills import (
    LONGEST_NAME,
    MOST_QUESTIONS,
    NOT_MADE,
    QUESTIONS,
    Classes,
    NameTaken,
    PaperRequest,
    Participant,
    Room,
    Rooms,
    Seat,
    Sitting,
    answers_of,
    asked,
    labelled,
    marked_of,
    shown_code,
    shown_marks,
)
from prepkit.page.guard import Tries, settings, wait_words
from prepkit.page.tastings import NOT_REACHED as TASTINGS_NOT_REACHED
from prepkit.page.tastings import Panel, Taster, before_first_glass, sheet_of, tastings
from prepkit.page.tastings import now as tasting_now
from prepkit.plan.house import house_in

# ---- the trainer's side of a class ----

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
        topics=PAPERS,
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
        languages=names(),
    ), status


@blueprint.post("/")
def open_class() -> AnyResponse | tuple[str, int]:
    """Open a class; never where the page asks nobody for the pass words."""
    if settings().pass_phrase is None:  # every phone that gets here would get to the key
        return _index(BadInput(NOT_REACHED, "topic"), 409)
    try:
        made = asked(request.form)
        sitting = classes().open(made.topic, made.count, made.level, now(), made.language)
    except BadInput as error:
        return _index(labelled(error))
    return redirect(url_for("classes.view", code=sitting.code), 303)


@blueprint.get("/<code>/")
def view(code: str) -> str:
    """The table of a class as its results come in."""
    return _view(_sitting(code))


def _view(sitting: Sitting, again: Seat | None = None, problem: BadInput | None = None) -> str:
    drawn = None
    if again is not None:
        drawn = guard.code(guard.for_a_phone(url_for("join.again", code=again.again)))
    part = "part" in request.args
    return render_template(
        "classes/table.html" if part else "classes/view.html",
        sitting=sitting,
        title=_title(sitting),
        again=again,
        problem=problem,
        found=sitting.results,
        of=_of,
        said=request.form,
        code=drawn,
        shown_code=shown_code,
        kept=classes().folder is not None,
    )


def _of(share: float, many: int) -> str:
    return f"{round(share * many)} of {many}"


def _title(sitting: Sitting) -> str:
    level = _("levels 1 to 3") if sitting.level is None else _("level {n}", n=sitting.level)
    count = _("1 question") if sitting.count == 1 else _("{n} questions", n=sitting.count)
    return f"{_(sitting.topic)}, {count}, {level}"


@blueprint.get("/<code>/screen")
def screen(code: str) -> str:
    """What the whole class may see: the code, and how many are in."""
    sitting = _sitting(code)
    speak(sitting.language)
    address = guard.for_a_phone(url_for("join.name", code=sitting.code))
    part = "part" in request.args
    return render_template(
        "classes/count.html" if part else "classes/screen.html",
        sitting=sitting,
        title=_title(sitting),
        code=guard.code(address),
        start=guard.for_a_phone(url_for("join.index")),
        shown_code=shown_code,
    )


@blueprint.post("/<code>/close")
def close(code: str) -> AnyResponse:
    """Close a class: nobody else joins, and what is sent afterwards is marked as late."""
    sitting = _sitting(code)
    classes().close(sitting, now())
    return redirect(url_for("classes.view", code=sitting.code), 303)


@blueprint.post("/<code>/pass-mark")
def pass_mark(code: str) -> AnyResponse | tuple[str, int]:
    """Say what passes in a class."""
    sitting = _sitting(code)
    try:
        classes().set_pass_mark(sitting, request.form.get("pass_mark", "")[:LONGEST_NAME])
    except BadInput as error:
        return _view(sitting, problem=labelled(error)), NOT_MADE
    return redirect(url_for("classes.view", code=sitting.code), 303)


@blueprint.post("/<code>/person")
def person(code: str) -> AnyResponse | tuple[str, int]:
    """Add somebody who has no phone; the paper is printed and typed in."""
    sitting = _sitting(code)
    try:
        classes().join(code, request.form.get("name", ""), now())
    except BadInput as error:
        return _view(sitting, problem=BadInput(error.message, "person")), NOT_MADE
    return redirect(url_for("classes.view", code=sitting.code), 303)


@blueprint.get("/<code>/print")
def to_print(code: str) -> AnyResponse:
    """The papers that are not sent yet, to print, each with its data sheet; no key, no seed."""
    sitting = _sitting(code)
    papers = [seat.paper for seat in sitting.seats if seat.sent is None]
    if not papers:
        abort(404, "Every paper of this class was sent.")
    return guard.document(paper_html(papers, sheet=True, seed=False))


def _place(sitting: Sitting, number: int) -> Seat:
    seat = next((one for one in sitting.seats if one.number == number), None)
    if seat is None:
        abort(404, "Nobody in this class has this number.")
    return seat


@blueprint.get("/<code>/<int:number>/type")
def typing(code: str, number: int) -> str:
    """The answers of a paper on paper, to be typed in."""
    sitting = _sitting(code)
    return _typing(sitting, _place(sitting, number), {}, ())


@blueprint.post("/<code>/<int:number>/type")
def typed(code: str, number: int) -> AnyResponse | tuple[str, int]:
    """Keep what was typed in; what cannot be read is asked again first."""
    sitting = _sitting(code)
    seat = _place(sitting, number)
    try:
        answers = answers_of(request.form, seat.paper.count)
        unread = _unread(seat, answers)
        if unread:
            return _typing(sitting, seat, answers, unread), NOT_MADE
        classes().send(seat, answers, now())
    except BadInput as error:
        return _typing(sitting, seat, _typed(seat), (), error.message), NOT_MADE
    return redirect(url_for("classes.view", code=sitting.code), 303)


def _typing(
    sitting: Sitting,
    seat: Seat,
    given: dict[int, str],
    unread: tuple[Mark, ...],
    problem: str = "",
) -> str:
    return render_template(
        "classes/type.html",
        sitting=sitting,
        seat=seat,
        paper=seat.paper,
        given=given,
        unread=unread,
        problem=problem,
        question=lambda one: Markup(asked_html(one)),
        longest=LONGEST_ANSWER,
    )


def _unread(seat: Seat, answers: Mapping[int, str]) -> tuple[Mark, ...]:
    """What cannot be read and is asked again before anything is kept."""
    if seat.sent is not None or "sure" in request.form:
        return ()
    return marked_of(seat, answers).again


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
    made = PaperRequest(paper.topic, paper.count, paper.seed, paper.level, paper.language)
    speak(paper.language)
    return render_template(
        "classes/marked.html", sitting=sitting, seat=seat, **shown_marks(made, seat.marked)
    )


@blueprint.get("/<code>/results.csv")
def results(code: str) -> AnyResponse:
    """The table as a file, to keep after the page is stopped."""
    sitting = _sitting(code)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(_COLUMNS)
    found = sitting.results
    passed = {} if found is None else {one.name: one.passed for one in found.people}
    for seat in sitting.seats:
        marks = seat.marked
        writer.writerow(
            [
                seat.number,
                _no_formula(seat.name),
                f"{seat.joined:%Y-%m-%d %H:%M}",
                "" if seat.sent is None else f"{seat.sent:%Y-%m-%d %H:%M}",
                "late" if seat.late else "",
                "" if marks is None else marks.right,
                sitting.count,
                {None: "", True: "passed", False: "not passed"}[passed.get(seat.name)],
                seat.paper.seed,
                ""
                if marks is None
                else " ".join(str(mark.question.number) for mark in marks.again),
                "" if marks is None else "; ".join(marks.traps),
            ]
        )
    response = Response(out.getvalue(), mimetype="text/csv")
    response.headers["Content-Disposition"] = 'attachment; filename="class.csv"'
    return response


_COLUMNS = (
    "number", "name", "joined", "sent", "late", "right", "of", "passed", "paper", "ask again",
    "traps",
)  # fmt: skip


def _no_formula(name: str) -> str:
    """A name that a spreadsheet does not work out."""
    return f"'{name}" if name[:1] in "=+-@" else name


# ---- a telephone in a class or a tasting ----

PREFIX = "/join"
join_blueprint = Blueprint(guard.OPEN_TO_CLASSES, __name__, url_prefix=PREFIX)
SEAT, A_DAY_S = "prepkit-seat", 86_400  # a place outlives the run of the page that gave it
CODES_EACH, CODES_ALL = 20, 400  # wrong codes in ten minutes
NO_GAP = "A guess counts, no answer does not."
NOT_CHOSEN = f"Not sent yet: choose a glass. {NO_GAP}"
TIED = "Taste those again and put one before the other; a guess counts."
NOTHING = "Nothing has this code. Read it again from the screen."
NO_PLACE = (
    "This phone has no place here: it has ended, or another phone took the place. "
    "This phone still keeps your answers."
)

AnyRoom: TypeAlias = Room[Any]  # Any: a place of any kind
AnyRooms: TypeAlias = Rooms[Any, Any]  # Any: rooms and places of any kind


def _all_rooms() -> tuple[AnyRooms, ...]:
    """Whatever can be joined."""
    return (classes(), tastings())


def _rooms_of(code: str) -> AnyRooms | None:
    """The rooms among which one has a code."""
    return next((room for room in _all_rooms() if room.find(code) is not None), None)


def _find(code: str) -> AnyRoom | None:
    rooms = _rooms_of(code)
    return None if rooms is None else rooms.find(code)


def _gives_again(code: str) -> AnyRooms | None:
    """The rooms in which a code gives a place back."""
    return next((room for room in _all_rooms() if room.is_again(code)), None)


def _seat() -> tuple[AnyRoom, Participant] | None:
    """The place of the browser that asks."""
    held = str(session.get(guard.SEAT, ""))
    key = held or ("" if session.get("in") else request.cookies.get(SEAT, ""))
    found = next((found for room in _all_rooms() if (found := room.seat(key)) is not None), None)
    if found is not None and not held:  # the laptop was started again
        session.clear()
        session[guard.SEAT] = key
    return found


def _sit(seat: Participant) -> AnyResponse:
    """Give this browser a seat, and nothing else."""
    session.clear()
    session[guard.SEAT] = seat.key
    told = redirect(url_for("join.paper"), 303)
    told.set_cookie(SEAT, seat.key, A_DAY_S, path=PREFIX, httponly=True, samesite="Strict")
    return told


@join_blueprint.get("/", endpoint="index")
def join_index() -> AnyResponse | tuple[str, int]:
    """The form that asks for the code of a class."""
    if _seat() is not None:
        return redirect(url_for("join.paper"), 303)
    _as_the_phone()
    said = request.args.get("code", "")
    if not said.strip():
        return _code_asked("", 200)
    if (late := _too_many()) is not None:
        return late
    if _gives_again(said) is not None:
        return redirect(url_for("join.again", code=said), 303)
    room = _find(said)
    if room is None:
        _wrong_code()
        return _code_asked(_(NOTHING), 404)
    return redirect(url_for("join.name", code=room.code), 303)


def _as_the_phone() -> None:
    """Speak the language that the browser asks for, where there is a catalogue of it."""
    speak(request.accept_languages.best_match(languages(), ENGLISH))


def _tries() -> tuple[Tries, str]:
    """The wrong codes of the last minutes, and the address that asks."""
    tries: Tries = current_app.extensions["prepkit-codes"]
    return tries, request.remote_addr or ""


def _too_many() -> tuple[str, int] | None:
    """That this address must wait, before any code of it is looked at; None where it is heard."""
    tries, address = _tries()
    wait = tries.wait_s(address)
    if wait <= 0:
        return None
    return _code_asked(_("Too many wrong codes. Try again in {time}.", time=wait_words(wait)), 429)


def _wrong_code() -> None:
    tries, address = _tries()
    tries.wrong(address)


def _code_asked(problem: str, status: int) -> tuple[str, int]:
    return render_template(
        "classes/code.html", problem=problem, said=request.args.get("code", "")[:40]
    ), status


@join_blueprint.get("/<code>")
def name(code: str) -> AnyResponse | tuple[str, int]:
    """The form that asks for a name."""
    if _seat() is not None:
        return redirect(url_for("join.paper"), 303)
    return _too_many() or _name_asked(code, None)


def _name_asked(code: str, problem: BadInput | None) -> tuple[str, int]:
    room = _find(code)
    if room is None:
        _wrong_code()
        _as_the_phone()
        return _code_asked(_(NOTHING), 404)
    chosen = request.form.get("language", "")
    if isinstance(room, Sitting):
        chosen = chosen if chosen in languages() else room.language
        speak(chosen)
    return render_template(
        "classes/name.html",
        languages=names(),
        chosen=chosen,
        sitting=room,
        shown_code=shown_code,
        problem=problem,
        taken=problem if isinstance(problem, NameTaken) else None,
        said=request.form.get("name", "")[:LONGEST_NAME],
        longest=LONGEST_NAME,
        gives_up=bool(session.get("in")),
        first=before_first_glass(room.tasting) if isinstance(room, Panel) else None,
    ), 200 if problem is None else NOT_MADE


@join_blueprint.post("/<code>")
def take_seat(code: str) -> AnyResponse | tuple[str, int]:
    """A name, and a seat with a paper of its own."""
    if _seat() is not None:
        return redirect(url_for("join.paper"), 303)
    if (late := _too_many()) is not None:
        return late
    rooms = _rooms_of(code)
    if rooms is None:
        return _name_asked(code, None)
    if settings().pass_phrase is None:  # the browser that asks is the host's own
        return _name_asked(code, BadInput(TASTINGS_NOT_REACHED, "name"))
    try:
        language = request.form.get("language", "")
        return _sit(rooms.join(code, request.form.get("name", ""), now(), language))
    except BadInput as error:
        return _name_asked(code, error)
    except FileProblem as error:  # nothing can be kept, so nobody joins
        return _name_asked(code, BadInput(error.message, "name"))


@join_blueprint.get("/again/<code>", endpoint="again")
def join_again(code: str) -> tuple[str, int]:
    """A page with one button by which this phone takes its seat again."""
    if (late := _too_many()) is not None:
        return late
    _as_the_phone()
    there = _gives_again(code) is not None
    if not there:
        _wrong_code()
    return render_template("classes/again.html", code=code, there=there), 200 if there else 404


@join_blueprint.post("/again/<code>")
def take_again(code: str) -> AnyResponse | tuple[str, int]:
    """The place of a phone that is lost, with the same paper."""
    if (late := _too_many()) is not None:
        return late
    rooms = _gives_again(code)
    seat = None if rooms is None else rooms.take(code)
    if seat is None:
        _wrong_code()
        return render_template("classes/again.html", code=code, there=False), 404
    return _sit(seat)


@join_blueprint.get("/paper")
def paper() -> str | tuple[str, int]:
    """The paper of this browser, to be filled in; once it is sent, that it is."""
    found = _seat()
    if found is None:
        return _no_seat()
    room, seat = found
    if isinstance(room, Panel) and isinstance(seat, Taster):
        return _sheet(room, seat, {})
    if isinstance(room, Sitting) and isinstance(seat, Seat):
        return _paper(room, seat, {}, ())
    return _no_seat()


@join_blueprint.post("/paper")
def send() -> AnyResponse | str | tuple[str, int]:
    """Send the paper; one with gaps is asked about once more."""
    found = _seat()
    if found is None:
        return _no_seat()
    room, seat = found
    if isinstance(room, Panel) and isinstance(seat, Taster):
        return _send_answer(room, seat)
    if isinstance(room, Sitting) and isinstance(seat, Seat):
        return _send_paper(room, seat)
    return _no_seat()


def _send_paper(sitting: Sitting, seat: Seat) -> AnyResponse | str | tuple[str, int]:
    """Send a paper of a class."""
    speak(seat.paper.language)
    try:
        answers = answers_of(request.form, seat.paper.count)
    except BadInput as error:
        return _paper(sitting, seat, _typed(seat), (), error.message), NOT_MADE
    left = tuple(n for n in range(1, seat.paper.count + 1) if n not in answers)
    unread = _unread(seat, answers)
    if unread or (left and "sure" not in request.form and seat.sent is None):
        return _paper(sitting, seat, answers, left, unread=unread)
    try:
        classes().send(seat, answers, now())
    except BadInput as error:
        return _paper(sitting, seat, answers, (), error.message), NOT_MADE
    return redirect(url_for("join.paper"), 303)


def _typed(seat: Seat) -> dict[int, str]:
    """Whatever was typed, so that it stands in the form again."""
    names = {n: request.form.getlist(f"a{n}") for n in range(1, seat.paper.count + 1)}
    return {n: said[-1] for n, said in names.items() if said}


def _paper(
    sitting: Sitting,
    seat: Seat,
    given: dict[int, str],
    left: tuple[int, ...],
    problem: str = "",
    unread: tuple[Mark, ...] = (),
) -> str:
    speak(seat.paper.language)
    return render_template(
        "classes/paper.html",
        sitting=sitting,
        seat=seat,
        paper=seat.paper,
        given=given,
        left=left,
        unread=unread,
        sheet=Markup(sheet_html(seat.paper)) if seat.paper.sheet else "",
        problem=problem,
        question=lambda one: Markup(asked_html(one)),
        longest=LONGEST_ANSWER,
    )


def _send_answer(panel: Panel, seat: Taster) -> AnyResponse | tuple[str, int]:
    """Send the answer of a taster; a gap or a tie is asked about once more."""
    sheet, form = panel.sheet(seat.number), request.form
    given = {code: form.get(f"p{code}", "")[:3] for code in sheet.codes}
    picked = form.get("pick", "")[:10]
    if panel.tasting.test == "ranking":
        words, problem, tied = ranked(given)
        if tied and "sure" in form:
            problem = ""
    else:
        words, tied = picked, False
        problem = "" if picked in sheet.codes else NOT_CHOSEN
        given = {"pick": picked}
    if problem and seat.sent is None:
        return _sheet(panel, seat, given, problem, tied), NOT_MADE
    try:
        tastings().send(panel, seat.number, words, tasting_now())
    except (BadInput, FileProblem) as error:
        said = error.message
        return _sheet(panel, seat, given, f"{said[:1].upper()}{said[1:]}"), 409
    return redirect(url_for("join.paper"), 303)


def ranked(places: Mapping[str, str]) -> tuple[str, str, bool]:
    """A ranking in the words of its file, what is missing in it, and whether only a tie is left.

    >>> ranked({"417": "2", "238": "1", "911": "2"})[0::2]
    ('238 417=911', True)
    >>> ranked({"417": "2", "238": ""})[1]
    'Not sent yet: 238 has no place. A guess counts, no answer does not.'
    """
    open_ = [code for code, place in places.items() if not place.isdecimal()]
    if open_:
        have = "has" if len(open_) == 1 else "have"
        return "", f"Not sent yet: {_and(open_)} {have} no place. {NO_GAP}", False
    groups: dict[int, list[str]] = {}
    for code, place in places.items():
        groups.setdefault(int(place), []).append(code)
    words = " ".join("=".join(groups[place]) for place in sorted(groups))
    alike = [_and(group) for group in groups.values() if len(group) > 1]
    if not alike:
        return words, "", False
    return words, f"Not sent yet: {'; '.join(alike)} stand at one place. {TIED}", True


def _and(codes: Sequence[str]) -> str:
    return " and ".join(codes)


def _sheet(
    panel: Panel, seat: Taster, given: Mapping[str, str], problem: str = "", tied: bool = False
) -> str:
    return render_template(
        "tastings/sheet.html",
        sitting=panel,
        seat=seat,
        given=given,
        problem=problem,
        tied=tied,
        answered=seat.number in panel.answers,
        **sheet_of(panel, seat),
    )


def _no_seat() -> tuple[str, int]:
    """This browser sits in no class, or another has taken its seat."""
    session.pop(guard.SEAT, None)
    _as_the_phone()
    return render_template(
        "classes/code.html",
        problem=_(NO_PLACE),
        said="",
    ), 403


@join_blueprint.post("/leave")
def leave() -> AnyResponse:
    """Leave the class, so that somebody else can join with this phone."""
    session.clear()
    told = redirect(url_for("join.index"), 303)
    told.delete_cookie(SEAT, path=PREFIX)
    return told


# ---- a lesson made on the page ----

lessons_blueprint = Blueprint("lessons", __name__, url_prefix="/lessons")
FIRST_SEED = 1000


@lessons_blueprint.get("/", endpoint="index")
def lessons_index() -> AnyResponse | tuple[str, int]:
    """The form that asks for a lesson; without a number a new one is drawn."""
    problem: BadInput | None = None
    if request.args:
        try:
            made = _facts(request.args)
        except BadInput as error:
            problem = error
        else:
            to = url_for(
                "lessons.document",
                audience=made.audience,
                minutes=made.minutes,
                seed=made.seed,
                language=made.language,
            )
            return redirect(to, 303)
    return render_template(
        "lessons.html",
        audiences=AUDIENCES,
        lengths=LENGTHS_MIN,
        languages=names(),
        args=request.args,
        problem=problem,
        house=guard.settings().house is not None,
    ), 200 if problem is None else NOT_MADE


@lessons_blueprint.get("/lesson")
def document() -> AnyResponse:
    """The lesson as one document; its address makes it again."""
    return guard.document(one_file(_facts(request.args)))


def _facts(args: Mapping[str, str]) -> LessonFacts:
    """What an address asks for; BadInput with the field where it cannot be made."""
    audience = args.get("audience", "").strip()
    if audience not in AUDIENCES:
        raise BadInput(
            f"For whom is “{audience[:40]}”; it is one of {', '.join(AUDIENCES)}.", "audience"
        )
    minutes = whole(args.get("minutes", ""), LENGTHS_MIN[0], LENGTHS_MIN[-1])
    if minutes not in LENGTHS_MIN:
        lengths = ", ".join(map(str, LENGTHS_MIN))
        raise BadInput(
            f"Minutes are “{args.get('minutes', '')[:40]}”; they are one of {lengths}.", "minutes"
        )
    said = args.get("seed", "").strip()
    seed = whole(said, 0, LARGEST_SEED) if said else FIRST_SEED + secrets.randbelow(9 * FIRST_SEED)
    if seed is None:
        raise BadInput(
            f"Number of the lesson is “{said[:40]}”; it is a whole number from 0 to "
            f"{LARGEST_SEED}.",
            "seed",
        )
    language = checked(args.get("language", "").strip() or ENGLISH)
    return LessonFacts(audience, minutes, seed, language, house=house_in(guard.settings().house))
