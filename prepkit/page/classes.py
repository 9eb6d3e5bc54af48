"""A class that sits papers: who is in it, which paper each has, what was sent.

All of it is kept in memory, until the page is stopped. Each seat has a paper of its own.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar

from prepkit.drill.marking import Marked, Sheet, mark_paper
from prepkit.drill.paper import LARGEST_SEED, Paper, make_paper
from prepkit.errors import BadInput
from prepkit.page.rooms import Place, Room, Rooms

MOST_CLASSES, MOST_QUESTIONS = 20, 30


@dataclass(kw_only=True, eq=False)
class Seat(Place):
    """One person of a class, with a paper of their own."""

    paper: Paper
    late: bool = False
    marked: Marked | None = None


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
    """The classes of one run of the page."""

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
                    f"it again; their results end with it.",
                    "topic",
                )
            sitting = Sitting(
                code=self._free_code(), topic=topic, count=count, level=level, opened=now
            )
            self._by_code[sitting.code] = sitting
            return sitting

    def send(self, seat: Seat, answers: Mapping[int, str], now: datetime) -> None:
        """Take a paper in and mark it; one that was sent stays as it was sent."""
        found = next((of for of, one in self._by_key.values() if one is seat), None)
        paper = seat.paper
        sheet = Sheet(paper.topic, paper.seed, paper.count, paper.level, dict(answers))
        marked = mark_paper(sheet, paper)
        with self._lock:
            if seat.sent is None and found is not None:
                seat.marked, seat.sent = marked, now
                seat.late = found.closed is not None

    def _new_place(self, room: Sitting, number: int, name: str, now: datetime) -> Seat:
        return Seat(number=number, name=name, joined=now, paper=self._new_paper(room))

    def _new_paper(self, sitting: Sitting) -> Paper:
        """A paper with a number that nobody in the class has."""
        taken = {seat.paper.seed for seat in sitting.seats}
        while (seed := secrets.randbelow(LARGEST_SEED + 1)) in taken:
            pass
        return make_paper(sitting.topic, sitting.count, seed, sitting.level)
