"""The fields of recipe, house and reading files: read, checked, and refused in one sentence.

A Reader reads the tables of one file. It raises the first problem, or, where it gathers, notes it
and goes on with something harmless in its place, so that all problems come out in one go.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import TypeVar

from prepkit import file_values
from prepkit.errors import BadInput, BadRecipe, one_line
from prepkit.file_values import shown
from prepkit.near import nearest
from prepkit.units import Measured, find_unit, parse_number, parse_quantity

MOST_SERVES = 10_000
MOST_KEYS = 200  # of one table with words of its own
MOST_PROBLEMS = 100  # that are told of one file
_ID = re.compile(r"[A-Za-z][A-Za-z0-9]*(?:[-_][A-Za-z0-9]+)*")
T = TypeVar("T")
Table = Mapping[str, object]
NO_TABLES: Mapping[str, Table] = {}
NO_ROWS: list[Table] = []


class Wrong(BadRecipe):
    """A problem of a file with the place in it that has the problem, and its sentence alone."""

    def __init__(self, file: str, where: str, sentence: str, line: int | None = None) -> None:
        where, sentence = one_line(where), one_line(sentence)
        place = f"{where}: " if where else ""
        at = file if line is None else f"{file}:{line}"
        super().__init__(f"{at}: {place}{sentence}", where or None)
        self.file, self.where, self.sentence = file, where, sentence


class Enough(Exception):
    """So many problems were gathered that looking for more of them helps nobody."""


def is_unit(word: str) -> bool:
    """Whether a word is read as a unit.

    >>> is_unit("drops"), is_unit("my-drops")
    (True, False)
    """
    if "-" in word:  # as most ids have, and no unit
        return False
    try:
        find_unit(word)
    except BadInput as error:
        return "ambiguous" in error.message
    return True


def whole_serves(value: object, field: str) -> int:
    """A number of serves: whole, from 1 to MOST_SERVES; BadInput naming `field` otherwise.

    >>> whole_serves("40", "--serves")
    40
    """
    right = f"it must be a whole number from 1 to {MOST_SERVES}"
    said = f'"{value}"' if isinstance(value, str) else f"{value!r}"[:40]
    number = value
    if isinstance(value, str):
        number, rest = parse_number(value, field)
        if rest:
            raise BadInput(f"{field} is {said}; {right}.", "serves")
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise BadInput(f"{field} is {said}; {right}.", "serves")
    if not 1 <= number <= MOST_SERVES or number != int(number):
        raise BadInput(f"{field} is {said}; {right}.", "serves")
    return int(number)


class Reader:
    """Reads the tables of one file; `found` holds the problems where it gathers them."""

    def __init__(self, file: str, *, gather: bool = False) -> None:
        self.file = file
        self.gather = gather
        self.found: list[Wrong] = []

    def wrong(self, where: str, sentence: str) -> Wrong:
        """A problem of this file at a place."""
        return Wrong(self.file, where, sentence)

    def take(self, instead: T, read: Callable[..., T], *words: object, **more: object) -> T:
        """What `read` gives; where it finds a problem and all are gathered, `instead`."""
        if not self.gather:
            return read(*words, **more)
        try:
            return read(*words, **more)
        except Wrong as error:
            self.tell(error)
            return instead

    def tell(self, *problems: Wrong) -> None:
        """Note problems; Enough where there are too many of them to be told."""
        for one in problems:
            self.found.append(one)
            if len(self.found) >= MOST_PROBLEMS:
                raise Enough from one

    # one field

    def only(self, where: str, table: Table, known: Iterable[str]) -> None:
        """Refuse keys that are not known."""
        if not self.take(False, self._few, where, table):
            return
        for key in table:
            self.take(None, self._known, where, key, known)

    def _few(self, where: str, table: Table) -> bool:
        if len(table) > MOST_KEYS:
            raise self.wrong(where, f"it has {len(table)} keys; at most {MOST_KEYS} are taken.")
        return True

    def _known(self, where: str, key: str, known: Iterable[str]) -> None:
        if key not in known:
            raise self.wrong(
                f"{where}.{key[:60]}".lstrip("."),
                f'the key "{key[:60]}" is not known here; {nearest(key, known)}.',
            )

    def text(self, where: str, value: object, example: str, *, needed: bool = True) -> str:
        """Text without control characters, of a bounded length; only a note has several lines."""
        sample = f', such as {where.rpartition(".")[2]} = "{example}"' if example else ""
        try:
            return file_values.text(value, sample, needed=needed)
        except BadRecipe as error:
            raise self.wrong(where, error.wording) from error

    def note(self, where: str, table: Table) -> str:
        """The note of a table, which may have several lines."""
        place = f"{where}.note".lstrip(".")
        return self.take("", self.text, place, table.get("note", ""), "", needed=False)

    def flag(self, where: str, value: object) -> bool:
        """True or false."""
        if not isinstance(value, bool):
            raise self.wrong(where, f"it is {shown(value)}; write true or false.")
        return value

    def whole(self, where: str, value: object, most: int) -> int:
        """A whole number of things, from 1."""
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= most:
            raise self.wrong(
                where, f"it is {shown(value)}; write how many there are, from 1 to {most}."
            )
        return value

    def words_in(self, where: str, value: object, choices: tuple[str, ...]) -> str:
        """One word of a closed list."""
        word = self.text(where, value, choices[0])
        if word not in choices:
            raise self.wrong(where, f'it is "{word}"; it must be one of {", ".join(choices)}.')
        return word

    def quantity(self, where: str, value: object, *units: str) -> Measured:
        """A quantity in words."""
        if not isinstance(value, str):
            raise self.wrong(
                where, f'it is {shown(value)}; write it with its unit, such as "1 {units[0]}".'
            )
        value = self.text(where, value, "")
        try:
            return parse_quantity(value, units, where.rpartition(".")[2])
        except BadInput as error:
            raise self.wrong(where, error.message) from error

    def listing(self, where: str, value: object) -> tuple[str, ...]:
        """One text or a list of texts."""
        many = value if isinstance(value, list) else [value]
        self._short(where, many)
        return tuple(self.text(where, one, "") for one in many)

    def _short(self, where: str, many: list[object]) -> None:
        try:
            file_values.short(many)
        except BadRecipe as error:
            raise self.wrong(where, error.wording) from error

    # tables

    def tables(
        self, where: str, value: object, *, required: bool = False, most: int = 1000
    ) -> Mapping[str, Table]:
        """Tables by id, each id one that can be written after an amount."""
        if value is None or (required and value == {}):
            raise self.wrong(where, "there are none; write one, such as [items.my-base].")
        if not isinstance(value, dict):
            raise self.wrong(
                where, f"it is {shown(value)}; write a table, such as [{where}.north]."
            )
        if len(value) > most:
            raise self.wrong(where, f"there are {len(value)}; at most {most} are taken.")
        found: dict[str, Table] = {}
        for id_, table in value.items():
            if self.take(False, self._table, where, id_, table):
                found[id_] = table
        return found

    def _table(self, where: str, id_: str, table: object) -> bool:
        if not _ID.fullmatch(id_) or len(id_) > 60:
            raise self.wrong(
                where,
                f'the id "{id_[:60]}" cannot be used. Write letters and digits joined by hyphens, '
                f"starting with a letter, such as cold-base.",
            )
        if is_unit(id_):
            raise self.wrong(f"{where}.{id_}", f'"{id_}" is a unit; call it something else.')
        if not isinstance(table, dict):
            raise self.wrong(f"{where}.{id_}", f"it is {shown(table)}; it must be a table.")
        return True

    def rows(self, where: str, value: object, example: str, most: int) -> list[Table]:
        """The tables of a [[header]]."""
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            raise self.wrong(where, f"it must be written as {example}.")
        if len(value) > most:
            raise self.wrong(where, f"there are {len(value)}; at most {most} are taken.")
        return value

    def inputs(self, where: str, table: Table, own: Iterable[str]) -> dict[str, object]:
        """The inputs of a table: words, numbers, dates, yes or no, or lists of words."""
        found: dict[str, object] = {}
        if not self.take(False, self._few, where, table):
            return found
        for key, value in table.items():
            if key not in own:
                name = key.replace("-", "_")
                read = self.take(None, self._input, f"{where}.{name}", value, name in found)
                if read is not None:
                    found[name] = read
        return found

    def _input(self, place: str, value: object, twice: bool) -> object:
        if twice:
            raise self.wrong(place, "it is written twice, with a hyphen and with an underscore.")
        try:
            return file_values.input_of(value)
        except BadRecipe as error:
            raise self.wrong(place, error.wording) from error
