"""Papers on a screen, a class that sits them, and those who join it by a code.

Questions, answers and marks are the drill's own; the address holds what makes the paper, so that a
class has the same one, and, once it is marked, the answers.

Each seat has a paper of its own. Where the page may write, a class is kept as a file beside the
recipes, so that a laptop that is started again has lost nobody's paper.

A class and a tasting are both a room. The key of a place is what its telephone holds, and another
telephone gets the place only by a code of the host.
"""

from __future__ import annotations

import json
import os
import secrets
import unicodedata
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from threading import RLock
from typing import Any, ClassVar, Generic, TypeVar
from urllib.parse import urlencode

from flask import Blueprint, Response, redirect, render_template, request, url_for
from markupsafe import Markup
from pydantic_core import SchemaValidator, ValidationError, core_schema
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as AnyResponse

from prepkit import __version__, files
from prepkit.drill.command import AnswerSheet, Mark, Marked, mark_paper, printed
from prepkit.drill.paper import LARGEST_SEED, LONGEST_ANSWER, REMINDER, Paper, make_paper
from prepkit.drill.paper import MOST_QUESTIONS as PAPER_MOST_QUESTIONS
from prepkit.drill.sheet import (
    Results,
    alike,
    asked_html,
    keyed_html,
    needed,
    paper_html,
    results,
    sheet_html,
)
from prepkit.drill.templates import LEVELS, PAPERS
from prepkit.errors import BadInput, PrepkitError
from prepkit.language import ENGLISH, _, checked, languages, names, speak
from prepkit.numbers import whole
from prepkit.page import guard, recipe_folder

# ---- those who join by a code ----

MOST_PLACES = 60
LONGEST_NAME = 40
LETTERS, LONG = "bcdfghjkmnpqrstvwxz", 6  # no letter that reads as another or makes a word


class NameTaken(BadInput):
    """A name that somebody else in the room has; `free` is one that nobody has."""

    def __init__(self, name: str, free: str, room: str) -> None:
        said = _('There is a "{name}" in this {room} already.', name=name, room=_(room))
        super().__init__(said, "name")
        self.name, self.free = name, free


@dataclass(kw_only=True, eq=False)
class Participant:
    """One person in a room."""

    number: int
    name: str
    joined: datetime
    key: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    # the name under which a telephone keeps what is typed
    draft: str = field(default_factory=lambda: secrets.token_hex(8))
    sent: datetime | None = None
    again: str = ""  # the code by which another telephone takes the place


P = TypeVar("P", bound=Participant)


@dataclass(kw_only=True, eq=False)
class Room(Generic[P]):
    """Those who have joined under one code."""

    called: ClassVar[str] = "room"  # what it is, and whom to ask, in words
    host: ClassVar[str] = "host"

    code: str
    opened: datetime
    closed: datetime | None = None
    seats: list[P] = field(default_factory=list)

    @property
    def sent(self) -> int:
        """How many have sent what they were asked for."""
        return sum(seat.sent is not None for seat in self.seats)


R = TypeVar("R", bound=Room[Any])  # Any: a place of any kind


class Rooms(Generic[R, P]):
    """The rooms of one kind: who is in them, and by which telephone."""

    def __init__(self) -> None:
        self._by_code: dict[str, R] = {}
        self._by_key: dict[str, tuple[R, P]] = {}
        self._again: dict[str, tuple[R, P]] = {}
        self._lock = RLock()

    # what each kind says of itself

    def _new_place(self, room: R, number: int, name: str, now: datetime, language: str) -> P:
        """A place for somebody who joins; BadInput where there is none."""
        raise NotImplementedError

    def _keep(self, room: R) -> None:
        """Hook: a room has changed; what this raises undoes a new place."""

    # what is the same in each

    def all(self) -> list[R]:
        """Every room, the latest first."""
        with self._lock:
            return list(self._by_code.values())[::-1]

    def find(self, code: str) -> R | None:
        """The room of a code, as it is typed: large or small letters, with or without spaces."""
        with self._lock:
            return self._by_code.get(plain_code(code))

    def seat(self, key: str) -> tuple[R, P] | None:
        """The place of a telephone; None where it has none, or another has taken it."""
        with self._lock:
            return self._by_key.get(key)

    def join(self, code: str, name: str, now: datetime, language: str = "") -> P:
        """A new place, its sheet in the language that is chosen.

        Raises: NameTaken where the name is, BadInput otherwise.
        """
        room = self.find(code)
        if room is None:
            raise BadInput(_("Nothing has this code. Read it again from the screen."), "code")
        name = tidy_name(name)
        with self._lock:
            if room.closed is not None:
                closed = "This {room} is closed. Ask your {host}."
                raise BadInput(_(closed, room=_(room.called), host=_(room.host)), "code")
            if len(room.seats) >= MOST_PLACES:
                words = _(room.called)
                full = _("This {room} is full: {n} are in it.", room=words, n=MOST_PLACES)
                raise BadInput(full, "code")
            taken = {alike(seat.name) for seat in room.seats}
            if alike(name) in taken:
                raise NameTaken(name, _free_name(name, taken), room.called)
            number = 1 + max((one.number for one in room.seats), default=0)
            seat: P = self._new_place(room, number, name, now, language)
            room.seats.append(seat)
            try:
                self._keep(room)
            except Exception:
                room.seats.remove(seat)
                raise
            self._by_key[seat.key] = (room, seat)
            return seat

    def close(self, room: R, now: datetime) -> None:
        """Let nobody else in."""
        with self._lock:
            before, room.closed = room.closed, room.closed or now
            try:
                self._keep(room)
            except Exception:  # nothing is said to be closed that is open again after a start
                room.closed = before
                raise

    def let_again(self, room: R, number: int) -> P:
        """Give a place a code by which one telephone takes it; BadInput where there is no place."""
        with self._lock:
            seat: P | None = next((one for one in room.seats if one.number == number), None)
            if seat is None:
                raise BadInput(f"No number {number} is in this {room.called}.", "number")
            self._again.pop(seat.again, None)
            seat.again = self._free_code()
            self._again[seat.again] = (room, seat)
            return seat

    def is_again(self, code: str) -> bool:
        """Whether a code gives a place back."""
        with self._lock:
            return plain_code(code) in self._again

    def take(self, code: str) -> P | None:
        """Give the place of a code to the telephone that asks; the one before loses it."""
        with self._lock:
            found = self._again.get(plain_code(code))
            if found is None:
                return None
            room, seat = found
            before, seat.key = seat.key, secrets.token_urlsafe(24)
            try:
                self._keep(room)
            except Exception:  # the code and the telephone before keep the place
                seat.key = before
                raise
            self._again.pop(seat.again, None)
            self._by_key.pop(before, None)
            seat.again = ""
            self._by_key[seat.key] = found
            return seat

    def _free_code(self) -> str:
        while True:
            code = "".join(secrets.choice(LETTERS) for _ in range(LONG))
            if code not in self._by_code and code not in self._again:
                return code


def private(path: Path) -> None:
    """Make a file of keys that only who runs the page reads, where it is not there yet; OSError."""
    if not path.exists():
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))


def plain_code(code: str) -> str:
    """A code as it was typed, without spaces, in small letters.

    >>> plain_code(" BCD fgh")
    'bcdfgh'
    """
    return "".join(code[:40].split()).lower()


def shown_code(code: str) -> str:
    """A code to be read aloud.

    >>> shown_code("bcdfgh")
    'BCD FGH'
    """
    return f"{code[:3]} {code[3:]}".upper()


def tidy_name(name: str) -> str:
    """A name as it is shown; BadInput where there is none or it is too long."""
    said = "".join(
        text if text.isprintable() else " " for text in unicodedata.normalize("NFC", name)
    )
    said = " ".join(said.split())
    if not any(text.isalnum() for text in said):
        raise BadInput(_("Write your name."), "name")
    if len(said) > LONGEST_NAME:
        raise BadInput(
            _(
                "Your name has {n} characters; write at most {most}.",
                n=len(said),
                most=LONGEST_NAME,
            ),
            "name",
        )
    return said


def _free_name(name: str, taken: set[str]) -> str:
    number = 2
    while alike(f"{name[: LONGEST_NAME - 4]} {number}") in taken:
        number += 1
    return f"{name[: LONGEST_NAME - 4]} {number}"


# ---- papers, and a class that sits them ----

# ---- the trainer's papers on a screen ----

blueprint = Blueprint("drills", __name__, url_prefix="/drills")
NOT_MADE = 422
QUESTIONS, FIRST_SEED = 10, 1000
WORDS = {"right": "right", "wrong": "wrong", "blank": "not answered", "unreadable": "asked again"}
_KEPT = 16
_LABELS = {"count": "Questions", "pass_mark": "Pass mark"}


@dataclass(frozen=True)
class PaperRequest:
    """What makes a paper."""

    topic: str
    count: int
    seed: int
    level: int | None
    language: str = ENGLISH

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """The same as the end of an address."""
        found = [("topic", self.topic), ("count", str(self.count)), ("seed", str(self.seed))]
        found += [] if self.level is None else [("level", str(self.level))]
        return found if self.language == ENGLISH else [*found, ("language", self.language)]

    @property
    def query(self) -> str:
        """The same, written out."""
        return urlencode(self.pairs)


def labelled(error: BadInput) -> BadInput:
    """What was refused, with inputs named as the fields of the page."""
    said = error.said(lambda name, _example: _LABELS.get(name, name.replace("_", " ")))
    return BadInput(f"{said[:1].upper()}{said[1:]}", error.field)


@lru_cache(maxsize=_KEPT)
def paper_of(asked: PaperRequest) -> Paper:
    """The paper; the last ones are kept."""
    return make_paper(asked.topic, asked.count, asked.seed, asked.level, language=asked.language)


def asked(args: Mapping[str, str]) -> PaperRequest:
    """What an address asks; BadInput with the field where it cannot be made. It is spoken then."""
    topic = args.get("topic", "").strip()
    if topic not in PAPERS:
        raise BadInput(f'Topic is "{topic[:40]}"; it must be one of {", ".join(PAPERS)}.', "topic")
    count = _whole(args, "count", "Questions", 1, PAPER_MOST_QUESTIONS, QUESTIONS)
    seed = _whole(args, "seed", "Paper number", 0, LARGEST_SEED, 1)
    level = _whole(args, "level", "Level", LEVELS[0], LEVELS[-1], 0)
    language = args.get("language", "").strip() or ENGLISH
    speak(language)
    return PaperRequest(topic, count, seed, level or None, language)


def _whole(
    args: Mapping[str, str], name: str, label: str, low: int, high: int, otherwise: int
) -> int:
    said = args.get(name, "").strip()
    if not said:
        return otherwise
    found = whole(said, low, high)
    if found is None:
        raise BadInput(
            f'{label} is "{said[:40]}"; it must be a whole number from {low} to {high}.', name
        )
    return found


@blueprint.get("/")
def index() -> AnyResponse | tuple[str, int]:
    """The form that asks for a paper; without a number a new paper is drawn."""
    problem: BadInput | None = None
    if request.args:
        try:
            made = asked(request.args)
        except BadInput as error:
            problem = error
        else:
            if not request.args.get("seed", "").strip():
                made = PaperRequest(made.topic, made.count, _drawn(), made.level, made.language)
            return redirect(f"{url_for('drills.paper')}?{made.query}", 303)
    return render_template(
        "drills/index.html",
        topics=PAPERS,
        levels=LEVELS,
        args=request.args,
        problem=problem,
        count=QUESTIONS,
        most=PAPER_MOST_QUESTIONS,
        reminder=REMINDER,
        languages=names(),
    ), 200 if problem is None else NOT_MADE


def _drawn() -> int:
    """The number of a new paper, short enough to be called out in a class."""
    return FIRST_SEED + secrets.randbelow(9 * FIRST_SEED)


@blueprint.get("/paper")
def paper() -> str:
    """A paper to be filled in."""
    made = asked(request.args)
    return render_template(
        "drills/paper.html",
        asked=made,
        paper=paper_of(made),
        given=answers_of(request.args, made.count),
        sheet=Markup(sheet_html(paper_of(made))),
        question=lambda one: Markup(asked_html(one)),
        longest=LONGEST_ANSWER,
    )


def answers_of(values: MultiDict[str, str], count: int) -> dict[int, str]:
    """The answers that were sent, by question: what was typed, else the letter that was chosen.

    BadInput where one is too long.
    """
    found = {}
    for number in range(1, count + 1):
        said = [text.strip() for text in values.getlist(f"a{number}") if text.strip()]
        if said:
            if len(said[-1]) > LONGEST_ANSWER:
                raise BadInput(
                    _(
                        "Answer {n} has {many} characters; write a number with its unit, or the "
                        "letter.",
                        n=number,
                        many=len(said[-1]),
                    ),
                    f"a{number}",
                )
            found[number] = "".join(c if c.isprintable() else " " for c in said[-1])
    return found


@blueprint.get("/marked")
def marked() -> str:
    """A filled-in paper with its marks, the working, and what to go over."""
    made = asked(request.args)
    given = answers_of(request.args, made.count)
    sheet = AnswerSheet(
        made.topic, made.seed, made.count, made.level, given, language=made.language
    )
    found = mark_paper(sheet, paper_of(made))
    again = urlencode([*made.pairs, *((f"a{number}", said) for number, said in given.items())])
    return render_template("drills/marked.html", again=again, **shown_marks(made, found))


def shown_marks(made: PaperRequest, found: Marked) -> dict[str, object]:
    """What `drills/marked.html` shows of a paper with its marks."""
    return {
        "asked": made,
        "marked": found,
        "words": WORDS,
        "question": lambda one: Markup(asked_html(one)),
        "key": lambda one: Markup(keyed_html(one)),
        "deciders": dict.fromkeys(mark.question.template.decides for mark in found.marks),
        "reminder": REMINDER,
    }


@blueprint.get("/key")
def key() -> str:
    """The key of a paper, for the marker."""
    made = asked(request.args)
    return render_template(
        "drills/key.html",
        asked=made,
        paper=paper_of(made),
        key=lambda one: Markup(keyed_html(one)),
        reminder=REMINDER,
    )


@blueprint.get("/print")
def to_print() -> AnyResponse:
    """The paper as a document to print, with its key on a page of its own where it is asked for."""
    made = asked(request.args)
    keyed = "key" in request.args
    return guard.document(paper_html([paper_of(made)], keyed, keyed, sheet=True))


@blueprint.get("/paper.json")
def as_json() -> AnyResponse:
    """The paper letter by letter as the command line prints it with --format json."""
    text = printed(paper_of(asked(request.args)), "json", "key" in request.args)
    return Response(text, mimetype="application/json")


@blueprint.errorhandler(BadInput)
def _not_made(error: BadInput) -> tuple[str | Response, int]:
    why = labelled(error).message
    if request.path.endswith(".json"):
        return guard.as_json(why), NOT_MADE
    return render_template(
        "error.html",
        title="There is no such paper",
        why=why,
        what="Go back, look at what was entered, and send it again.",
        status=NOT_MADE,
    ), NOT_MADE


# ---- a class that sits papers ----

MOST_CLASSES, MOST_QUESTIONS = 20, 30
MOST_READ = 10  # of an earlier run, the latest
FOLDER, ENDING = "classes", ".class.json"


@dataclass(kw_only=True, eq=False)
class Seat(Participant):
    """One person of a class, with a paper of their own."""

    paper: Paper
    late: bool = False
    marked: Marked | None = None
    answers: dict[int, str] = field(default_factory=dict)


@dataclass(kw_only=True, eq=False)
class Sitting(Room[Seat]):
    """One class: its code, what its papers are about, who sits in it."""

    called: ClassVar[str] = "class"
    host: ClassVar[str] = "trainer"

    topic: str
    count: int
    level: int | None
    seed: int  # of all its papers, which the names tell apart
    language: str = ENGLISH
    pass_mark: str | None = None  # as the trainer wrote it: "70 %", or how many questions

    @property
    def results(self) -> Results | None:
        """The papers that were sent, compared, in English as all of the trainer's page."""
        marked = [seat.marked for seat in self.seats if seat.marked is not None]
        return results(marked, self.pass_mark) if marked else None

    @property
    def fallen(self) -> tuple[tuple[Mark, int], ...]:
        """An answer for each trap that was fallen into, and how often, most often first."""
        seats = [seat.marked.in_language(ENGLISH) for seat in self.seats if seat.marked]
        marks = [mark for seat in seats for mark in seat.marks]
        first = {mark.trap: mark for mark in reversed(marks) if mark.trap}
        many = Counter(mark.trap for mark in marks if mark.trap)
        return tuple((first[name], times) for name, times in many.most_common())


class Classes(Rooms[Sitting, Seat]):
    """The classes of the page, kept in a folder where one is given."""

    def __init__(self, folder: Path | None = None) -> None:
        super().__init__()
        self.folder = folder
        self.unread: list[str] = []  # the files of classes that cannot be read
        if folder is not None and folder.is_dir():
            self._read_all(folder)

    def open(
        self, topic: str, count: int, level: int | None, now: datetime, language: str = ENGLISH
    ) -> Sitting:
        """Open a class; BadInput where too many are kept, of which none is ever dropped."""
        if not 1 <= count <= MOST_QUESTIONS:
            raise BadInput(
                f"Questions is {count}; a class takes from 1 to {MOST_QUESTIONS}.", "count"
            )
        with self._lock:
            if len(self._by_code) >= MOST_CLASSES:
                raise BadInput(
                    f"{MOST_CLASSES} classes are kept, and no more can be. Stop the page and start "
                    f"it again; keep the tables before that.",
                    "topic",
                )
            sitting = Sitting(
                code=self._free_code(),
                topic=topic,
                count=count,
                level=level,
                seed=secrets.randbelow(LARGEST_SEED + 1),
                opened=now,
                language=checked(language),
            )
            make_paper(topic, count, sitting.seed, level)  # refused where it has not as many
            self._keep(sitting)
            self._by_code[sitting.code] = sitting
            return sitting

    def set_pass_mark(self, sitting: Sitting, said: str) -> None:
        """Say what passes, or "" for nothing; BadInput where it is no pass mark."""
        tidy = " ".join(said.split())
        if tidy:
            needed(tidy, sitting.count)
        with self._lock:
            before, sitting.pass_mark = sitting.pass_mark, tidy or None
            try:
                self._keep(sitting)
            except BadInput:
                sitting.pass_mark = before
                raise

    def remove(self, sitting: Sitting, number: int) -> None:
        """Take somebody out, with the paper; the telephone then sits nowhere."""
        with self._lock:
            seat = next((one for one in sitting.seats if one.number == number), None)
            if seat is None:
                raise BadInput(f"No number {number} is in this class.", "number")
            before = list(sitting.seats)
            sitting.seats.remove(seat)
            try:
                self._keep(sitting)
            except BadInput:
                sitting.seats[:] = before
                raise
            self._by_key.pop(seat.key, None)
            self._again.pop(seat.again, None)

    def send(self, seat: Seat, answers: Mapping[int, str], now: datetime) -> None:
        """Take a paper in and mark it; one that was sent stays as it was sent."""
        found = next((of for of, one in self._by_key.values() if one is seat), None)
        marked = marked_of(seat, answers)
        with self._lock:
            if seat.sent is None and found is not None:
                seat.marked, seat.sent, seat.answers = marked, now, dict(answers)
                seat.late = found.closed is not None
                try:
                    self._keep(found)
                except BadInput:
                    seat.marked, seat.sent, seat.late, seat.answers = None, None, False, {}
                    raise

    def _new_place(
        self, room: Sitting, number: int, name: str, now: datetime, language: str
    ) -> Seat:
        paper = paper_in(room, name, language if language in languages() else room.language)
        return Seat(number=number, name=name, joined=now, paper=paper)

    # on the disk

    def _keep(self, room: Sitting) -> None:
        if self.folder is None:
            return
        path = self.folder / f"{room.opened:%Y-%m-%d}-{room.code}{ENDING}"
        try:
            self.folder.mkdir(exist_ok=True)
            recipe_folder.plain(self.folder)
            private(path)
            files.write(path, json.dumps(_told(room)), over=True)
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or error
            raise BadInput(
                _(
                    "The laptop could not keep it: {why}. Nothing was changed; tell your trainer.",
                    why=str(why),
                ),
                "name",
            ) from error

    def _read_all(self, folder: Path) -> None:
        for path in sorted(folder.glob(f"*{ENDING}"))[-MOST_READ:]:
            try:
                sitting = _read(path.read_text("utf-8"))
            except (OSError, ValueError, PrepkitError):
                self.unread.append(path.name)
                continue
            keys = {seat.key: (sitting, seat) for seat in sitting.seats}
            if sitting.code in self._by_code or keys.keys() & self._by_key.keys():
                self.unread.append(path.name)  # another file has this class
                continue
            self._by_code[sitting.code] = sitting
            self._by_key |= keys


def paper_in(sitting: Sitting, name: str, language: str) -> Paper:
    """The paper of a name in a class: the questions of all, numbers of its own."""
    return make_paper(sitting.topic, sitting.count, sitting.seed, sitting.level, name, language)


def marked_of(seat: Seat, answers: Mapping[int, str]) -> Marked:
    """The paper of a seat with its marks, nothing of it kept."""
    paper = seat.paper
    sheet = AnswerSheet(paper.topic, paper.seed, paper.count, paper.level, dict(answers))
    return mark_paper(sheet, paper)


_TEXT = core_schema.str_schema(strict=True, min_length=1, max_length=200)
_TIME = core_schema.datetime_schema(tz_constraint="naive")
_WHOLE = core_schema.int_schema(strict=True, ge=0)
_LATER = core_schema.nullable_schema(_TIME)
_LANGUAGE = core_schema.literal_schema(list(languages()))


def _closed(**fields: core_schema.CoreSchema) -> core_schema.CoreSchema:
    return core_schema.typed_dict_schema(
        {key: core_schema.typed_dict_field(entry) for key, entry in fields.items()},
        extra_behavior="forbid",
    )


_FILE = SchemaValidator(
    _closed(
        version=_TEXT, code=core_schema.str_schema(pattern=f"^[{LETTERS}]{{{LONG}}}$"),
        topic=core_schema.literal_schema(list(PAPERS)),
        count=core_schema.int_schema(ge=1, le=MOST_QUESTIONS),
        level=core_schema.nullable_schema(core_schema.literal_schema(list(LEVELS))),
        opened=_TIME, closed=_LATER, language=_LANGUAGE,
        seed=core_schema.int_schema(strict=True, ge=0, le=LARGEST_SEED),
        pass_mark=core_schema.nullable_schema(_TEXT),
        seats=core_schema.list_schema(
            _closed(
                number=_WHOLE, name=_TEXT, joined=_TIME, key=_TEXT, draft=_TEXT, sent=_LATER,
                paper=_TEXT,
                late=core_schema.bool_schema(), language=_LANGUAGE,
                answers=core_schema.dict_schema(
                    core_schema.int_schema(ge=1, le=MOST_QUESTIONS),
                    core_schema.str_schema(max_length=LONGEST_ANSWER),
                ),
            ),
            max_length=MOST_PLACES,
        ),
    )
)  # fmt: skip


def _told(sitting: Sitting) -> dict[str, Any]:  # Any: what JSON holds
    """A class as its file has it; a paper follows from its number and a name."""
    return {
        "version": __version__,
        "code": sitting.code,
        "topic": sitting.topic,
        "count": sitting.count,
        "level": sitting.level,
        "seed": sitting.seed,
        "pass_mark": sitting.pass_mark,
        "language": sitting.language,
        "opened": sitting.opened.isoformat(),
        "closed": None if sitting.closed is None else sitting.closed.isoformat(),
        "seats": [
            {
                "number": seat.number, "name": seat.name, "joined": seat.joined.isoformat(),
                "key": seat.key, "draft": seat.draft, "late": seat.late,
                "language": seat.paper.language, "paper": _traced(seat.paper),
                "sent": None if seat.sent is None else seat.sent.isoformat(),
                "answers": {str(n): words for n, words in seat.answers.items()},
            }
            for seat in sitting.seats
        ],
    }  # fmt: skip


def _traced(paper: Paper) -> str:
    """A mark of all that a paper shows, by which one that is made again is known."""
    shown = [(one.text, one.plate, one.job, [of.words for of in one.choices], one.letter)
             for one in paper.questions]  # fmt: skip
    return sha256(repr(shown).encode()).hexdigest()[:16]


def _read(text: str) -> Sitting:
    """The class of a file; ValueError where it is none, or a paper is made otherwise now."""
    try:
        said = _FILE.validate_json(text)
    except ValidationError as error:
        raise ValueError("it is not as the page writes it") from error
    if said.pop("version") != __version__:
        raise ValueError("it is of another prepkit, whose papers may differ")
    seats = said.pop("seats")
    for what in ("number", "name", "key", "draft"):
        if len({alike(str(one[what])) for one in seats}) < len(seats):
            raise ValueError(f"two in it have the same {what}")
    sitting = Sitting(**said)
    if sitting.pass_mark is not None:
        needed(sitting.pass_mark, sitting.count)
    make_paper(sitting.topic, sitting.count, sitting.seed, sitting.level)
    for one in seats:
        paper = paper_in(sitting, one["name"], one.pop("language"))
        if one.pop("paper") != _traced(paper):  # such as a name that was changed by hand
            raise ValueError(f"the paper of number {one['number']} is made otherwise now")
        seat = Seat(paper=paper, **one)
        if seat.sent is not None:
            seat.marked = marked_of(seat, seat.answers)
        sitting.seats.append(seat)
    return sitting
