"""Problems of recipe, house and reading files: one sentence each, with its file, line and place.

A Reader reads the tables of one file. It raises the first problem, or, where it gathers, notes it
and goes on with something harmless in its place, so that all problems come out in one go.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from prepkit.errors import BadInput, BadRecipe, one_line
from prepkit.file_lines import Path, line_said, lines, place_of
from prepkit.units import parse_number

if TYPE_CHECKING:
    from prepkit.file_models import FileModel, Problem

MOST_SERVES = 10_000
LEAST_SURE, MOST_SURE = 0.5, 0.999  # of a chance that nothing runs short
MOST_LOSS = 90.0  # per cent of what is made
MOST_PROBLEMS = 100  # that are told of one file
T = TypeVar("T")
M = TypeVar("M", bound="FileModel")
Table = Mapping[str, object]


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


def whole_serves(value: object, field: str) -> int:
    """A number of serves: whole, from 1 to MOST_SERVES; BadInput naming `field` otherwise.

    >>> whole_serves("40", "--serves")
    40
    """
    right = f"it must be a whole number from 1 to {MOST_SERVES}"
    said = f'"{value}"' if isinstance(value, str) else f"{value!r}"[:40]
    number = value
    if isinstance(value, str):
        if not any(one.isdigit() for one in value):
            raise BadInput(f"{field} is {said}; {right}, in figures, such as 40.", "serves")
        number, rest = parse_number(value, field)
        if rest:
            raise BadInput(f"{field} is {said}; {right}.", "serves")
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise BadInput(f"{field} is {said}; {right}.", "serves")
    if not 1 <= number <= MOST_SERVES or number != int(number):
        raise BadInput(f"{field} is {said}; {right}.", "serves")
    return int(number)


class Reader:
    """Reads the tables of one file; `found` holds the problems where it gathers them.

    `text` is that of the file, where there is one: errors then say the line. `variant` is the one
    that its tables are those of.
    """

    def __init__(
        self, file: str, text: str = "", *, variant: str | None = None, gather: bool = False
    ) -> None:
        self.file, self.text, self.variant, self.gather = file, text, variant, gather
        self.found: list[Wrong] = []

    @cached_property
    def _lines(self) -> Mapping[Path, int]:
        return lines(self.text)

    def wrong(self, path: Path, sentence: str) -> Wrong:
        """A problem of this file at a place."""
        line = None
        if path and self.text:
            line = line_said(self.text, self._lines, path, self.variant, sentence)
        return Wrong(self.file, place_of(path), sentence, line)

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
        """Note problems, or raise the first; Enough where there are too many to be told."""
        for one in problems:
            if not self.gather:
                raise one
            self.found.append(one)
            if len(self.found) >= MOST_PROBLEMS:
                raise Enough from one

    def model(self, model: type[M], table: Table) -> M:
        """The model of the tables of the file; BadRecipe with the first problem otherwise."""
        from prepkit.file_models import ValidationError, mended, problems

        try:
            return model.read(table)
        except ValidationError as error:
            if not self.gather:
                first = problems(model, error)[0]
                raise self.wrong(first.path, first.sentence) from error
        read = mended(model, table, self._note)
        if read is None:  # nothing of it can be read on
            raise Enough
        return read

    def _note(self, problem: Problem) -> None:
        self.tell(self.wrong(problem.path, problem.sentence))
