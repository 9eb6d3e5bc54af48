"""A class that sits papers: who is in it, which paper each has, what was sent.

Each seat has a paper of its own. Where the page may write, a class is kept as a file beside the
recipes, so that a laptop that is started again has lost nobody's paper.
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any, ClassVar

from pydantic_core import SchemaValidator, ValidationError, core_schema

from prepkit import __version__, whole_files
from prepkit.drill.marking import Marked, Sheet, mark_paper
from prepkit.drill.paper import LARGEST_SEED, Paper, make_paper
from prepkit.errors import BadInput, PrepkitError
from prepkit.page import safe_files
from prepkit.page.rooms import LETTERS, LONG, Place, Room, Rooms, private

MOST_CLASSES, MOST_QUESTIONS = 20, 30
MOST_READ = 10  # of an earlier run, the latest
FOLDER, ENDING = "classes", ".class.json"


@dataclass(kw_only=True, eq=False)
class Seat(Place):
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

    @property
    def traps(self) -> dict[str, int]:
        """The traps that were fallen into, most often first."""
        found: dict[str, int] = {}
        for seat in self.seats:
            for name, times in (seat.marked.traps if seat.marked else {}).items():
                found[name] = found.get(name, 0) + times
        return dict(sorted(found.items(), key=lambda one: -one[1]))


class Classes(Rooms[Sitting, Seat]):
    """The classes of the page, kept in a folder where one is given."""

    def __init__(self, folder: Path | None = None) -> None:
        super().__init__()
        self.folder = folder
        self.unread: list[str] = []  # the files of classes that cannot be read
        if folder is not None and folder.is_dir():
            self._read_all(folder)

    def open(self, topic: str, count: int, level: int | None, now: datetime) -> Sitting:
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
                code=self._free_code(), topic=topic, count=count, level=level, opened=now
            )
            self._keep(sitting)
            self._by_code[sitting.code] = sitting
            return sitting

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
        paper = seat.paper
        sheet = Sheet(paper.topic, paper.seed, paper.count, paper.level, dict(answers))
        marked = mark_paper(sheet, paper)
        with self._lock:
            if seat.sent is None and found is not None:
                seat.marked, seat.sent, seat.answers = marked, now, dict(answers)
                seat.late = found.closed is not None
                try:
                    self._keep(found)
                except BadInput:
                    seat.marked, seat.sent, seat.late = None, None, False
                    raise

    def _new_place(self, room: Sitting, number: int, name: str, now: datetime) -> Seat:
        return Seat(number=number, name=name, joined=now, paper=self._new_paper(room))

    def _new_paper(self, sitting: Sitting) -> Paper:
        """A paper with a number that nobody in the class has."""
        taken = {seat.paper.seed for seat in sitting.seats}
        while (seed := secrets.randbelow(LARGEST_SEED + 1)) in taken:
            pass
        return make_paper(sitting.topic, sitting.count, seed, sitting.level)

    # on the disk

    def _keep(self, room: Sitting) -> None:
        if self.folder is None:
            return
        path = self.folder / f"{room.opened:%Y-%m-%d}-{room.code}{ENDING}"
        try:
            self.folder.mkdir(exist_ok=True)
            safe_files.plain(self.folder)
            private(path)
            whole_files.write(path, json.dumps(_told(room)), over=True)
        except (OSError, ValueError) as error:
            why = getattr(error, "strerror", None) or error
            raise BadInput(
                f"The laptop could not keep it: {why}. Nothing was changed; tell your trainer.",
                "name",
            ) from error

    def _read_all(self, folder: Path) -> None:
        for path in sorted(folder.glob(f"*{ENDING}"))[-MOST_READ:]:
            try:
                sitting = _read(path.read_text("utf-8"))
            except (OSError, ValueError, PrepkitError):
                self.unread.append(path.name)
                continue
            self._by_code[sitting.code] = sitting
            self._by_key |= {seat.key: (sitting, seat) for seat in sitting.seats}


_TEXT = core_schema.str_schema(strict=True, min_length=1, max_length=200)
_TIME = core_schema.datetime_schema()
_WHOLE = core_schema.int_schema(strict=True, ge=0)
_LATER = core_schema.nullable_schema(_TIME)


def _closed(**fields: core_schema.CoreSchema) -> core_schema.CoreSchema:
    return core_schema.typed_dict_schema(
        {key: core_schema.typed_dict_field(one) for key, one in fields.items()},
        extra_behavior="forbid",
    )


_FILE = SchemaValidator(
    _closed(
        version=_TEXT, code=core_schema.str_schema(pattern=f"^[{LETTERS}]{{{LONG}}}$"),
        topic=_TEXT, count=core_schema.int_schema(ge=1, le=MOST_QUESTIONS),
        level=core_schema.nullable_schema(_WHOLE), opened=_TIME, closed=_LATER,
        seats=core_schema.list_schema(
            _closed(
                number=_WHOLE, name=_TEXT, joined=_TIME, key=_TEXT, draft=_TEXT, sent=_LATER,
                late=core_schema.bool_schema(), seed=_WHOLE,
                answers=core_schema.dict_schema(core_schema.int_schema(), core_schema.str_schema()),
            )
        ),
    )
)  # fmt: skip


def _told(sitting: Sitting) -> dict[str, Any]:  # Any: what JSON holds
    """A class as its file has it; a paper is its number alone."""
    return {
        "version": __version__,
        "code": sitting.code,
        "topic": sitting.topic,
        "count": sitting.count,
        "level": sitting.level,
        "opened": sitting.opened.isoformat(),
        "closed": None if sitting.closed is None else sitting.closed.isoformat(),
        "seats": [
            {
                "number": seat.number, "name": seat.name, "joined": seat.joined.isoformat(),
                "key": seat.key, "draft": seat.draft, "late": seat.late, "seed": seat.paper.seed,
                "sent": None if seat.sent is None else seat.sent.isoformat(),
                "answers": {str(n): words for n, words in seat.answers.items()},
            }
            for seat in sitting.seats
        ],
    }  # fmt: skip


def _read(text: str) -> Sitting:
    """The class of a file; ValueError where it is none, or papers are made otherwise now."""
    try:
        said = _FILE.validate_json(text)
    except ValidationError as error:
        raise ValueError("it is not as the page writes it") from error
    if said.pop("version") != __version__:
        raise ValueError("it is of another prepkit, whose papers may differ")
    seats = said.pop("seats")
    sitting = Sitting(**said)
    for one in seats:
        paper = make_paper(sitting.topic, sitting.count, one.pop("seed"), sitting.level)
        seat = Seat(paper=paper, **one)
        if seat.sent is not None:
            sheet = Sheet(paper.topic, paper.seed, paper.count, paper.level, seat.answers)
            seat.marked = mark_paper(sheet, paper)
        sitting.seats.append(seat)
    return sitting
