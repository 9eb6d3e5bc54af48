"""Blind tastings on a screen: planned, poured, answered, judged.

A tasting is its file, as `prepkit tasting` reads it, with the answers in it; who joined stands in
another file beside it. Both are written whole, so that a reload or a stop of the page loses none.
The key follows from the file and never leaves the host's pages.

The key stands here alone: none of these addresses answers to a browser that sits in a room.
"""

from __future__ import annotations

import json
import re
import secrets
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any, ClassVar
from urllib.parse import urlencode

from flask import Blueprint, abort, current_app, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as AnyResponse

from prepkit import files
from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.page import forms, guard, recipe_folder, requests
from prepkit.page.drills import (
    LETTERS,
    LONG,
    LONGEST_NAME,
    Participant,
    Room,
    Rooms,
    private,
    shown_code,
)
from prepkit.page.guard import settings
from prepkit.page.recipe_folder import READ_ONLY, TASTINGS, ReadOnly
from prepkit.plan.files import read_text
from prepkit.render.html import Cells
from prepkit.tasting import (
    DISTANCES,
    LARGEST_SEED,
    TESTS,
    TasterSheet,
    Tasting,
    TastingFindings,
    command,
    judge,
    lines,
    load,
    needed,
    read_answer,
    save,
    sheets,
    written,
)

# ---- blind tastings of the page ----

MOST_TASTINGS = 200
CLOSED = "This tasting is closed, and nothing more is taken. Your answer was not sent."
_CODE = re.compile(f"[{LETTERS}]{{{LONG}}}")


@dataclass(kw_only=True, eq=False)
class Taster(Participant):
    """One taster; the number is that of their sheet."""


@dataclass(kw_only=True, eq=False)
class Panel(Room[Taster]):
    """One tasting: what is compared, who tastes, where it is kept."""

    called: ClassVar[str] = "tasting"

    tasting: Tasting
    path: Path
    answers: dict[int, str] = field(default_factory=dict)
    problem: str = ""  # why its file cannot be read any more

    @property
    def over(self) -> bool:
        """Whether nothing more is to come."""
        return self.closed is not None or len(self.answers) >= self.tasting.tasters

    def sheet(self, taster: int) -> TasterSheet:
        """What one taster tastes."""
        return sheets(self.tasting)[taster - 1]

    def name(self, taster: int) -> str:
        """Who has a sheet; "" where nobody has joined with it."""
        return next((seat.name for seat in self.seats if seat.number == taster), "")

    def judged(self) -> TastingFindings | None:
        """The result; None while answers are still to come, or where there is none."""
        return judge(self.tasting, self.answers) if self.over and self.answers else None


class Tastings(Rooms[Panel, Taster]):
    """The tastings that are kept in the folder of a page."""

    def __init__(self, recipes: Path | None, write: bool) -> None:
        super().__init__()
        self._folder = None if recipes is None else recipes / TASTINGS
        self._write = write
        self._read = False
        self.unread: list[str] = []  # files that cannot be read, in words

    def seat(self, key: str) -> tuple[Panel, Taster] | None:
        """The place of a telephone, also of one that joined before the page was started again."""
        self._load()
        return super().seat(key)

    def all(self) -> list[Panel]:
        """Every tasting, the latest first."""
        self._load()
        return sorted(super().all(), key=lambda one: one.opened, reverse=True)

    def find(self, code: str) -> Panel | None:
        """The tasting of a code, with the answers that its file has now."""
        self._load()
        found = super().find(code)
        if found is not None:
            with self._lock:
                _refresh(found)
        return found

    def open(self, tasting: Tasting, now: datetime) -> Panel:
        """Open a tasting with codes and orders of its own. Raises ReadOnly, BadInput, FileProblem.

        The seed of `tasting` is drawn fresh, so that nobody who knows the drinks knows the codes.
        """
        folder = self._writable()
        self._load()
        with self._lock:
            if len(self._by_code) >= MOST_TASTINGS:
                raise BadInput(
                    f"{MOST_TASTINGS} tastings are kept. Move some of the files in {TASTINGS} to "
                    f"another folder first.",
                    "title",
                )
            code = self._free_code()
            drawn = _drawn(tasting)
            panel = Panel(code=code, opened=now, tasting=drawn, path=folder / f"{code}.toml")
            with recipe_folder.one_writer(folder):
                _written(panel.path, written(drawn), over=False)
                _keep_people(panel)
            self._by_code[code] = panel
            return panel

    def send(
        self, panel: Panel, taster: int, words: str, now: datetime, force: bool = False
    ) -> None:
        """Take a taster's answer; one that was sent stays, unless the host says otherwise.

        Raises BadInput with the codes that can be answered, FileProblem where it cannot be kept.
        """
        self._writable()
        with self._lock, recipe_folder.one_writer(panel.path.parent):
            tasting, answers = _as_it_is(panel)
            number, said = read_answer(tasting, f"{taster}: {words}")
            if number not in answers or force:
                if panel.closed is not None and not force:
                    raise BadInput(CLOSED, "answer")
                answers[number] = said
                save(panel.path, answers)
            panel.tasting, panel.answers = tasting, answers
            seat = next((one for one in panel.seats if one.number == number), None)
            if seat is not None:
                seat.sent = seat.sent or now
            _keep_people(panel)

    def _new_place(
        self, room: Panel, number: int, name: str, now: datetime, language: str
    ) -> Taster:
        free = [
            one for one in range(1, room.tasting.tasters + 1)
            if one not in room.answers and not room.name(one)
        ]  # fmt: skip
        if not free:
            raise BadInput(
                f"This tasting is full: it is planned for {room.tasting.tasters} tasters.", "code"
            )
        return Taster(number=free[0], name=name, joined=now)

    def _keep(self, room: Panel) -> None:
        self._writable()
        with recipe_folder.one_writer(room.path.parent):
            _keep_people(room)

    def _writable(self) -> Path:
        if self._folder is None or not self._write:
            raise ReadOnly(READ_ONLY)
        return self._folder

    def _load(self) -> None:
        """Read what is kept, once; a file that cannot be read is told and left as it is."""
        with self._lock:
            if self._read or self._folder is None:
                return
            self._read = True
            if self._folder.is_symlink() or not self._folder.is_dir():
                return
            for path in sorted(self._folder.glob("*.toml"))[:MOST_TASTINGS]:
                if path.is_symlink() or not _CODE.fullmatch(path.stem):
                    continue
                try:
                    panel = self._by_code[path.stem] = _panel(path)
                    self._by_key |= {seat.key: (panel, seat) for seat in panel.seats}
                except (PrepkitError, ValueError, KeyError, TypeError, RecursionError) as error:
                    why = error.message if isinstance(error, PrepkitError) else "it is damaged."
                    self.unread.append(f"{path.name}: {why.replace(str(path), '').lstrip(': ')}")


def _drawn(tasting: Tasting) -> Tasting:
    return replace(tasting, seed=secrets.randbelow(LARGEST_SEED + 1))


def _as_it_is(panel: Panel) -> tuple[Tasting, dict[int, str]]:
    """The tasting of the file as it is now; FileProblem where a taster has no sheet in it."""
    tasting, answers = load(panel.path)
    if any(seat.number > tasting.tasters for seat in panel.seats):
        raise FileProblem(
            f"{panel.path.name} is for {tasting.tasters} tasters, and more have joined."
        )
    return tasting, answers


def _refresh(panel: Panel) -> None:
    """The answers as the file has them now: the command line writes there too."""
    try:
        panel.tasting, panel.answers = _as_it_is(panel)
        panel.problem = ""
    except PrepkitError as error:
        panel.problem = error.message.replace(str(panel.path.parent), "").lstrip("/")


# the file of who joined


def _people(path: Path) -> Path:
    return path.with_suffix(".json")


def _people_text(panel: Panel) -> str:
    said = {
        "opened": panel.opened.isoformat(),
        "closed": None if panel.closed is None else panel.closed.isoformat(),
        "tasters": [
            {"number": seat.number, "name": seat.name, "joined": seat.joined.isoformat(),
             "key": seat.key, "draft": seat.draft,
             "sent": None if seat.sent is None else seat.sent.isoformat()}
            for seat in panel.seats
        ],
    }  # fmt: skip
    return json.dumps(said, indent=1, ensure_ascii=False) + "\n"


def _panel(path: Path) -> Panel:
    """A tasting as it is kept; PrepkitError, ValueError, KeyError or TypeError where it is not."""
    tasting, answers = load(path)
    beside = _people(path)
    if beside.exists():
        said = json.loads(read_text(beside, "tasting"))
        opened, closed = _time(said["opened"]), _time(said["closed"])
        seats = [_taster(taster, tasting) for taster in said["tasters"]]
    else:  # written by hand or by the command line
        opened, closed, seats = datetime.fromtimestamp(path.stat().st_mtime), None, []
    if opened is None or len({seat.number for seat in seats}) < len(seats):
        raise ValueError
    return Panel(
        code=path.stem, opened=opened, closed=closed, seats=seats, tasting=tasting, path=path,
        answers=answers,
    )  # fmt: skip


def _taster(said: dict[str, Any], tasting: Tasting) -> Taster:  # Any: what JSON holds
    number, name, joined = said["number"], said["name"], _time(said["joined"])
    if not isinstance(name, str) or len(name) > LONGEST_NAME or joined is None:
        raise ValueError
    if not isinstance(number, int) or not 1 <= number <= tasting.tasters:
        raise ValueError
    kept = {key: said[key] for key in ("key", "draft") if key in said}
    if not all(isinstance(one, str) and one for one in kept.values()):
        raise ValueError
    return Taster(number=number, name=name, joined=joined, sent=_time(said["sent"]), **kept)


def _time(said: str | None) -> datetime | None:
    return None if said is None else datetime.fromisoformat(said).replace(tzinfo=None)


def _keep_people(panel: Panel) -> None:
    path = _people(panel.path)
    try:
        private(path)
    except OSError as error:
        raise FileProblem(f"{path.name} cannot be written: {error.strerror}.") from error
    _written(path, _people_text(panel), over=True)


def _written(path: Path, text: str, *, over: bool) -> None:
    try:
        files.write(path, text, over=over)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise FileProblem(f"{path.name} cannot be written: {why}.") from error


# ---- the host's side of a tasting ----

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


def _tasting_views_panel(code: str) -> Panel:
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
    made, wrong = forms.read(NAME, words, requests.house_pantry())
    return (None if made is None else made.tasting(1)), wrong


def _without_token(args: MultiDict[str, str]) -> MultiDict[str, str]:
    return MultiDict([pair for pair in args.items(multi=True) if pair[0] != "token"])


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
        found = (needed(way, distance, plan.two_sided and way == plan.test) for way in ways)
        rows.append([word, *(str(size.stable) if size else "over 1000" for size in found)])
    return {
        **before_first_glass(plan),
        "test": plan.kind.name,
        "sizes": command.sizes(plan),
        "needed": Cells(
            "Tasters who find it 8 times in 10",
            ("how far apart", *(TESTS[way].name for way in ways)),
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
        "alcohol": command.alcohol(plan).replace(" g ", "\u00a0g "),
        "lines": [line.text for line in lines()][1:],  # the first is about the order of these
        "glasses": plan.glasses_each,
        "glass_ml": f"{plan.glass_ml:g}",
    }


# the host's table


@blueprint.get("/<code>/")
def view(code: str) -> str:
    """Who has joined and answered; the pouring list; the result once all have answered."""
    return _view(_tasting_views_panel(code))


def _view(panel: Panel, again: Taster | None = None, problem: str = "", typed: str = "") -> str:
    drawn = None
    if again is not None:
        drawn = guard.code(guard.for_a_phone(url_for("join.again", code=again.again)))
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
        never=command.NEVER,
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
    panel = _tasting_views_panel(code)
    part = "part" in request.args
    return render_template(
        "tastings/count.html" if part else "tastings/screen.html",
        sitting=panel,
        plan=panel.tasting,
        first=before_first_glass(panel.tasting),
        code=guard.code(guard.for_a_phone(url_for("join.name", code=panel.code))),
        start=guard.for_a_phone(url_for("join.index")),
        shown_code=shown_code,
        reached=not settings().local,
        not_reached=NOT_REACHED,
    )


@blueprint.get("/<code>/sheets")
def to_print(code: str) -> AnyResponse:
    """A sheet for each taster without a phone, as a document to print; no key in it."""
    return guard.document(command.sheets_html(_tasting_views_panel(code).tasting))


@blueprint.post("/<code>/answer")
def answer(code: str) -> AnyResponse | tuple[str, int]:
    """An answer from paper, or in the place of one that was sent by mistake."""
    panel = _tasting_views_panel(code)
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
    panel = _tasting_views_panel(code)
    tastings().close(panel, now())
    return redirect(url_for("tastings.view", code=panel.code), 303)


@blueprint.post("/<code>/again")
def again(code: str) -> str:
    """A code by which one phone takes the place of a phone that is lost."""
    panel = _tasting_views_panel(code)
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
        "last": command.NO_GOING_BACK,
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
