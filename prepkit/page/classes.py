"""A class that sits papers: who is in it, which paper each has, what was sent.

All of it is kept in memory, until the page is stopped. Each seat has a paper of its own; the key of
a seat is what its telephone holds, and another telephone gets a seat only by a code of the trainer.
"""

from __future__ import annotations

import secrets
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from threading import RLock

from prepkit.drill.marking import Marked, Sheet, mark_paper
from prepkit.drill.paper import LARGEST_SEED, Paper, make_paper
from prepkit.errors import BadInput

MOST_CLASSES, MOST_SEATS, MOST_QUESTIONS = 20, 60, 30
LONGEST_NAME = 40
LETTERS, LONG = "bcdfghjkmnpqrstvwxz", 6  # no letter that reads as another or makes a word


class Taken(BadInput):
    """A name that somebody else in the class has; `free` is one that nobody has."""

    def __init__(self, name: str, free: str) -> None:
        super().__init__(f'There is a "{name}" in this class already.', "name")
        self.name, self.free = name, free


@dataclass
class Seat:
    """One person of a class, with a paper of their own."""

    number: int
    name: str
    paper: Paper
    key: str
    draft: str  # the name under which a telephone keeps what is typed
    joined: datetime
    sent: datetime | None = None
    late: bool = False
    marked: Marked | None = None
    again: str = ""  # the code by which another telephone takes the seat


@dataclass
class Sitting:
    """One class: its code, what its papers are about, who sits in it."""

    code: str
    topic: str
    count: int
    level: int | None
    opened: datetime
    closed: datetime | None = None
    seats: list[Seat] = field(default_factory=list)

    @property
    def sent(self) -> int:
        """How many have sent their paper."""
        return sum(seat.sent is not None for seat in self.seats)

    @property
    def traps(self) -> dict[str, int]:
        """The traps that were fallen into, most often first."""
        found: dict[str, int] = {}
        for seat in self.seats:
            for name, times in (seat.marked.traps if seat.marked else {}).items():
                found[name] = found.get(name, 0) + times
        return dict(sorted(found.items(), key=lambda one: -one[1]))


class Classes:
    """The classes of one run of the page."""

    def __init__(self) -> None:
        self._by_code: dict[str, Sitting] = {}
        self._by_key: dict[str, tuple[Sitting, Seat]] = {}
        self._again: dict[str, tuple[Sitting, Seat]] = {}
        self._lock = RLock()

    def all(self) -> list[Sitting]:
        """Every class, the latest first."""
        with self._lock:
            return list(self._by_code.values())[::-1]

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
            sitting = Sitting(self._free_code(), topic, count, level, now)
            self._by_code[sitting.code] = sitting
            return sitting

    def find(self, code: str) -> Sitting | None:
        """The class of a code, as it is typed: large or small letters, with or without spaces."""
        with self._lock:
            return self._by_code.get(plain_code(code))

    def seat(self, key: str) -> tuple[Sitting, Seat] | None:
        """The seat of a telephone; None where it has none, or another has taken it."""
        with self._lock:
            return self._by_key.get(key)

    def join(self, code: str, name: str, now: datetime) -> Seat:
        """A new seat with a new paper. Raises Taken where the name is, BadInput otherwise."""
        sitting = self.find(code)
        if sitting is None:
            raise BadInput("No class has this code. Read it again from the screen.", "code")
        name = tidy_name(name)
        paper = self._new_paper(sitting)
        with self._lock:
            if sitting.closed is not None:
                raise BadInput("This class is closed. Ask your trainer.", "code")
            if len(sitting.seats) >= MOST_SEATS:
                raise BadInput(f"This class is full: {MOST_SEATS} are in it.", "code")
            taken = {_alike(seat.name) for seat in sitting.seats}
            if _alike(name) in taken:
                raise Taken(name, _free_name(name, taken))
            seat = Seat(
                len(sitting.seats) + 1, name, paper, _key(), secrets.token_hex(8), now
            )  # fmt: skip
            sitting.seats.append(seat)
            self._by_key[seat.key] = (sitting, seat)
            return seat

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

    def close(self, sitting: Sitting, now: datetime) -> None:
        """Let nobody else in; what is sent from now on is late."""
        with self._lock:
            sitting.closed = sitting.closed or now

    def let_again(self, sitting: Sitting, number: int) -> Seat:
        """Give a seat a code by which one telephone takes it; BadInput where there is no seat."""
        with self._lock:
            seat = next((one for one in sitting.seats if one.number == number), None)
            if seat is None:
                raise BadInput(f"No number {number} sits in this class.", "number")
            self._again.pop(seat.again, None)
            seat.again = self._free_code()
            self._again[seat.again] = (sitting, seat)
            return seat

    def is_again(self, code: str) -> bool:
        """Whether a code gives a seat back."""
        with self._lock:
            return plain_code(code) in self._again

    def take(self, code: str) -> Seat | None:
        """Give the seat of a code to the telephone that asks; the one before loses it."""
        with self._lock:
            found = self._again.pop(plain_code(code), None)
            if found is None:
                return None
            sitting, seat = found
            self._by_key.pop(seat.key, None)
            seat.key, seat.again = _key(), ""
            self._by_key[seat.key] = (sitting, seat)
            return seat

    def _free_code(self) -> str:
        while True:
            code = "".join(secrets.choice(LETTERS) for _ in range(LONG))
            if code not in self._by_code and code not in self._again:
                return code

    def _new_paper(self, sitting: Sitting) -> Paper:
        """A paper with a number that nobody in the class has."""
        taken = {seat.paper.seed for seat in sitting.seats}
        while (seed := secrets.randbelow(LARGEST_SEED + 1)) in taken:
            pass
        return make_paper(sitting.topic, sitting.count, seed, sitting.level)


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
    said = "".join(one if one.isprintable() else " " for one in unicodedata.normalize("NFC", name))
    said = " ".join(said.split())
    if not any(one.isalnum() for one in said):
        raise BadInput("Write your name.", "name")
    if len(said) > LONGEST_NAME:
        raise BadInput(
            f"Your name has {len(said)} characters; write at most {LONGEST_NAME}.", "name"
        )
    return said


def _alike(name: str) -> str:
    return unicodedata.normalize("NFKC", name).casefold()


def _free_name(name: str, taken: set[str]) -> str:
    number = 2
    while _alike(f"{name[: LONGEST_NAME - 4]} {number}") in taken:
        number += 1
    return f"{name[: LONGEST_NAME - 4]} {number}"


def _key() -> str:
    return secrets.token_urlsafe(24)
