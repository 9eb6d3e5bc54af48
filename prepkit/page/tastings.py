"""Blind tastings of the page: who sits in each, and what is kept of them beside the recipes.

A tasting is its file, as `prepkit tasting` reads it, with the answers in it; who joined stands in
another file beside it. Both are written whole, so that a reload or a stop of the page loses none.
The key follows from the file and never leaves the host's pages.
"""

from __future__ import annotations

import json
import re
import secrets
from dataclasses import dataclass, field, replace
from datetime import datetime
from pathlib import Path
from typing import Any, ClassVar

from prepkit import whole_files
from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.page import safe_files
from prepkit.page.recipe_folder import READ_ONLY, TASTINGS, ReadOnly
from prepkit.page.rooms import LETTERS, LONG, LONGEST_NAME, Place, Room, Rooms, private
from prepkit.plan.files import read_text
from prepkit.tasting.design import LARGEST_SEED, Sheet, Tasting, sheets
from prepkit.tasting.file import load, read_answer, save, written
from prepkit.tasting.judge import Judged, judge

MOST_TASTINGS = 200
CLOSED = "This tasting is closed, and nothing more is taken. Your answer was not sent."
_CODE = re.compile(f"[{LETTERS}]{{{LONG}}}")


@dataclass(kw_only=True, eq=False)
class Taster(Place):
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

    def sheet(self, taster: int) -> Sheet:
        """What one taster tastes."""
        return sheets(self.tasting)[taster - 1]

    def name(self, taster: int) -> str:
        """Who has a sheet; "" where nobody has joined with it."""
        return next((seat.name for seat in self.seats if seat.number == taster), "")

    def judged(self) -> Judged | None:
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
            with safe_files.one_writer(folder):
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
        with self._lock, safe_files.one_writer(panel.path.parent):
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

    def _new_place(self, room: Panel, number: int, name: str, now: datetime) -> Taster:
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
        with safe_files.one_writer(room.path.parent):
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
            {"number": one.number, "name": one.name, "joined": one.joined.isoformat(),
             "key": one.key, "draft": one.draft,
             "sent": None if one.sent is None else one.sent.isoformat()}
            for one in panel.seats
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
        seats = [_taster(one, tasting) for one in said["tasters"]]
    else:  # written by hand or by the command line
        opened, closed, seats = datetime.fromtimestamp(path.stat().st_mtime), None, []
    if opened is None or len({one.number for one in seats}) < len(seats):
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
        whole_files.write(path, text, over=over)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise FileProblem(f"{path.name} cannot be written: {why}.") from error
