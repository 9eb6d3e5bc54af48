"""Those who join by a code: a place for each, names that differ, a telephone that is lost.

A class and a tasting are both a room. The key of a place is what its telephone holds, and another
telephone gets the place only by a code of the host.
"""

from __future__ import annotations

import os
import secrets
import unicodedata
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from threading import RLock
from typing import Any, ClassVar, Generic, TypeVar

from prepkit.drill.sheet import alike
from prepkit.errors import BadInput
from prepkit.language import _

MOST_PLACES = 60
LONGEST_NAME = 40
LETTERS, LONG = "bcdfghjkmnpqrstvwxz", 6  # no letter that reads as another or makes a word


class Taken(BadInput):
    """A name that somebody else in the room has; `free` is one that nobody has."""

    def __init__(self, name: str, free: str, room: str) -> None:
        said = _('There is a "{name}" in this {room} already.', name=name, room=_(room))
        super().__init__(said, "name")
        self.name, self.free = name, free


@dataclass(kw_only=True, eq=False)
class Place:
    """One person in a room."""

    number: int
    name: str
    joined: datetime
    key: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    # the name under which a telephone keeps what is typed
    draft: str = field(default_factory=lambda: secrets.token_hex(8))
    sent: datetime | None = None
    again: str = ""  # the code by which another telephone takes the place


P = TypeVar("P", bound=Place)


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

        Raises: Taken where the name is, BadInput otherwise.
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
                raise Taken(name, _free_name(name, taken), room.called)
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
    said = "".join(one if one.isprintable() else " " for one in unicodedata.normalize("NFC", name))
    said = " ".join(said.split())
    if not any(one.isalnum() for one in said):
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
