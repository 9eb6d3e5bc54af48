"""Files of a plan: read within bounds, problems as sentences with their line, changed in places.

A Reader reads the tables of one file. It raises the first problem, or, where it gathers, notes it
and goes on with something harmless in its place, so that all problems come out in one go.

What comes out is read again and must hold exactly what was meant; a text whose way of writing does
not allow that is refused, never mangled.
"""

import os
import sys
import tomllib
from collections.abc import Callable, Mapping, Sequence
from copy import deepcopy
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING, Any, TypeVar

from prepkit import files
from prepkit.errors import BadInput, BadRecipe, FileProblem, later, one_line
from prepkit.files import KeyPath, line_said, lines, place_of
from prepkit.record import Record
from prepkit.units import parse_number

if TYPE_CHECKING:
    from prepkit.file_models import FileModel, TableProblem


# ---- plain values as TOML ----

_BARE = later(r"[A-Za-z0-9_-]+")
_SHORT = 90  # characters of a list that stands in one line


def key_words(name: str) -> str:
    """A key, in quotes where it needs them.

    >>> key_words("my-base"), key_words("a b")
    ('my-base', '"a b"')
    """
    return name if _BARE.fullmatch(name) else quoted(name)


def value_words(value: object) -> str:
    """A value; a long list has a line for each of its texts.

    >>> value_words(["1 g salt", "2 g sugar"]), value_words(True), value_words("x")
    ('["1 g salt", "2 g sugar"]', 'true', '"x"')
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, list | tuple):
        said = [value_words(one) for one in value]
        line = f"[{', '.join(said)}]"
        return (
            line if len(line) <= _SHORT else "\n".join(["[", *(f"  {one}," for one in said), "]"])
        )
    return quoted(str(value))


def quoted(text: str) -> str:
    """A text as a TOML string.

    >>> import tomllib
    >>> tomllib.loads('x = ' + quoted('a "b" \\\\ \\x7f é'))["x"] == 'a "b" \\\\ \\x7f é'
    True
    """
    said = "".join(
        f"\\{word}" if word in '"\\' else word if word.isprintable() else f"\\U{ord(word):08X}"
        for word in text
    )
    return f'"{said}"'


# ---- problems of recipe, house and reading files ----

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
        if not any(text.isdigit() for text in value):
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
    def _lines(self) -> Mapping[KeyPath, int]:
        return lines(self.text)

    def wrong(self, path: KeyPath, sentence: str) -> Wrong:
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
        for problem in problems:
            if not self.gather:
                raise problem
            self.found.append(problem)
            if len(self.found) >= MOST_PROBLEMS:
                raise Enough from problem

    def model(self, model: type[M], table: Table) -> M:
        """The model of the tables of the file; BadRecipe with the first problem otherwise."""
        from pydantic_core import ValidationError

        from prepkit.file_models import mended, problems

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

    def _note(self, problem: "TableProblem") -> None:
        self.tell(self.wrong(problem.path, problem.sentence))


# ---- files that a plan reads and writes ----

MOST_BYTES = 1 << 19
Named = str | os.PathLike[str]  # a file or folder, as it is named
STDIN, STDIN_NAME = "-", "standard input"  # as it is asked for, as it is called
_TWICE = later(r"Cannot declare \('(\w+)', '([^']+)'\) twice \(at line (\d+)")


def read_text(path: Named, kind: str = "recipe") -> str:
    """The text of a file; FileProblem where it cannot be read, Wrong where it is not text."""
    shown = str(path)
    try:
        with open(path, "rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise FileProblem(f"{shown} cannot be read: {error.strerror or error}.") from error
    except ValueError as error:  # a path with a null in it
        raise FileProblem(f"{shown!r} cannot be read: {error}.") from error
    return _text(raw, shown, kind)


def read_stdin(kind: str = "recipe") -> str:
    """The text of standard input, judged as a file is."""
    try:
        stream = getattr(sys.stdin, "buffer", None)
        if stream is not None:
            raw = stream.read(MOST_BYTES + 1)
        elif sys.stdin is not None:
            raw = sys.stdin.read(MOST_BYTES + 1).encode()
        else:
            raise FileProblem(f"{STDIN_NAME} is closed; name a {kind} file, or send one.")
    except (OSError, ValueError) as error:
        raise FileProblem(f"{STDIN_NAME} cannot be read: {error}.") from error
    return _text(raw, STDIN_NAME, kind)


def _text(raw: bytes, shown: str, kind: str) -> str:
    if len(raw) > MOST_BYTES:
        raise Wrong(shown, "", f"a {kind} file has at most {MOST_BYTES} bytes, and this has more.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Wrong(
            shown, "", f"byte {error.start} is not UTF-8 text; save the file as UTF-8."
        ) from error


def tables_of(
    text: str, file: str, kind: str = "recipe"
) -> dict[str, Any]:  # Any: whatever a TOML file has
    """A text as TOML tables."""
    try:
        return files.tables(text)
    except files.TooDeep as error:
        raise Wrong(file, "", f"it is nested too deeply to be a {kind}.") from error
    except ValueError as error:
        raise Wrong(file, "", _toml_words(error)) from error


def _toml_words(error: ValueError) -> str:
    said = str(error)
    twice = _TWICE.search(said)
    if twice:
        return (
            f"line {twice[3]}: [{twice[1]}.{twice[2]}] is written twice. Give each of the "
            f"{twice[1]} an id of its own."
        )
    return f"it is not valid TOML: {said.rstrip('.')}."


def below(folder: Named, name: str) -> str | None:
    """The file of a name in a folder or below it; None where it lies outside, links followed."""
    try:
        root = os.path.realpath(folder)
        path = os.path.realpath(os.path.join(root, name))
        inside = path != root and os.path.commonpath((root, path)) == root
    except (OSError, ValueError):  # a null in the name
        return None
    return path if inside and not os.path.islink(path) else None  # links in a circle


def write_new(path: Named, text: str) -> None:
    """Write a file that is not there yet, whole or not at all; FileProblem otherwise."""
    from pathlib import Path as Path_of_pathlib  # slow to import, and most runs write nothing

    target = Path_of_pathlib(path)
    there = f"{path} is there already and is not overwritten; name another file."
    try:
        if target.exists() or target.is_symlink():
            raise FileProblem(there)
        files.write(target, text, over=False)
    except FileExistsError as error:
        raise FileProblem(there) from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise FileProblem(f"{path} cannot be written: {why}.") from error


# ---- a TOML text changed in places ----

Path = tuple[str | int, ...]
AS_TEXT = (
    "This recipe is written in a way that a form cannot change without harm. Change its text "
    "instead."
)


class AsText(BadInput):
    """A text that can only be changed by hand."""

    code = "as-text"


class Set(Record):
    """One key of a table to be written; None takes it away."""

    table: Path
    key: str
    value: object | None


class Add(Record):
    """A table to be added: its header's keys, whether it is one of an array, what it holds."""

    path: tuple[str, ...]
    many: bool
    holds: Mapping[str, object]


class TableDrop(Record):
    """A table to be taken away with all tables below it."""

    path: Path


Change = Set | Add | TableDrop


def changed(text: str, changes: Sequence[Change]) -> str:
    """The text with the changes made one after the other; AsText where they cannot be."""
    tables = tomllib.loads(text) if changes else {}
    for change in changes:
        meant = _meant(tables, change)
        if isinstance(change, Set):
            text = _set(text, change)
        elif isinstance(change, Add):
            text = _add(text, change)
        else:
            text = _drop(text, change.path)
        try:
            right = tomllib.loads(text) == meant
        except tomllib.TOMLDecodeError:
            right = False
        if not right:
            raise AsText(AS_TEXT)
        tables = meant
    return text


def _meant(tables: dict[str, Any], change: Change) -> dict[str, Any]:  # Any: TOML
    """What the text must hold after a change; the tables themselves are changed."""
    try:
        if isinstance(change, Add):
            place = tables
            for key in change.path[:-1]:
                place = place.setdefault(key, {})
            if change.many:
                place.setdefault(change.path[-1], []).append(deepcopy(dict(change.holds)))
            elif change.path[-1] in place:
                raise AsText(AS_TEXT)
            else:
                place[change.path[-1]] = deepcopy(dict(change.holds))
            return tables
        path = change.table if isinstance(change, Set) else change.path[:-1]
        at: Any = tables  # Any: a table, a list or a value, as TOML has it
        for step in path:
            at = at[step]
        if isinstance(change, TableDrop):
            del at[change.path[-1]]
        elif change.value is None:
            at.pop(change.key, None)
        else:
            at[change.key] = deepcopy(change.value)
    except (KeyError, IndexError, TypeError, AttributeError) as error:
        raise AsText(AS_TEXT) from error
    # a table without rows is written by leaving it out
    if isinstance(change, TableDrop) and isinstance(at, list) and not at:
        _prune(tables, change.path[:-1])
    return tables


def _prune(tables: dict[str, Any], path: Path) -> None:  # Any: TOML
    at: Any = tables  # Any: a table, a list or a value
    for step in path[:-1]:
        at = at[step]
    del at[path[-1]]


def _set(text: str, change: Set) -> str:
    known = files.lines(text)
    rows = text.split("\n")
    start = known.get((*change.table, change.key))
    if start is not None:
        end = _end(rows, start - 1)
        indent = rows[start - 1][: len(rows[start - 1]) - len(rows[start - 1].lstrip())]
        after = _comment(rows, start - 1, end)
        written = [] if change.value is None else [indent + _line(change.key, change.value) + after]
        return "\n".join([*rows[: start - 1], *written, *rows[end:]])
    if change.value is None:
        return text
    at = _last_of(known, rows, change.table)
    return "\n".join([*rows[:at], _line(change.key, change.value), *rows[at:]])


def _line(key: str, value: object) -> str:
    return f"{key_words(key)} = {value_words(value)}"


def _end(rows: Sequence[str], start: int) -> int:
    """The row after the value that begins in a row: read once, from its first row to its last."""
    end = files.value_end(rows, start)
    try:
        tomllib.loads("\n".join(rows[start:end]))
    except tomllib.TOMLDecodeError as error:
        raise AsText(AS_TEXT) from error
    return end


def _comment(rows: Sequence[str], start: int, end: int) -> str:
    """The comment behind a value of one row, with the space before it."""
    if end != start + 1:
        return ""
    row = rows[start]
    for place in [n for n, letter in enumerate(row) if letter == "#"]:
        try:
            if tomllib.loads(row[:place]):
                bare = row[:place].rstrip()
                return row[len(bare) :]
        except tomllib.TOMLDecodeError:
            continue
    return ""


def _last_of(known: Mapping[files.KeyPath, int], rows: Sequence[str], table: Path) -> int:
    """The row after the last key of a table itself."""
    keys = [line for path, line in known.items() if path[:-1] == table and _is_key(rows, line)]
    if keys:
        return _end(rows, max(keys) - 1)
    header = known.get(table)
    if table == ():
        heads = [line for line in known.values() if rows[line - 1].lstrip().startswith("[")]
        return min(heads) - 1 if heads else len(rows)
    if header is None:
        raise AsText(AS_TEXT)
    return header


def _is_key(rows: Sequence[str], line: int) -> bool:
    return not rows[line - 1].lstrip().startswith("[")


def _add(text: str, change: Add) -> str:
    """A table behind the last one of its kind, else at the end."""
    known = files.lines(text)
    rows = text.rstrip("\n").split("\n")
    head = ".".join(map(key_words, change.path))
    block = [f"[[{head}]]" if change.many else f"[{head}]"]
    block += [_line(key, value) for key, value in change.holds.items()]
    kind = change.path if change.many else change.path[:-1]
    alike = [line for path, line in known.items() if path[: len(kind)] == kind and kind]
    at = _block_end(rows, max(alike) - 1) if alike else len(rows)
    before = rows[:at]
    while before and not before[-1].strip():
        before.pop()
    after = rows[at:]
    while after and not after[0].strip():
        after.pop(0)
    return "\n".join(
        [*before, *([""] if before else []), *block, *(["", *after] if after else []), ""]
    )


def _block_end(rows: Sequence[str], inside: int) -> int:
    """The row of the next header after a row, or of the comments that belong to it."""
    row = inside
    if not rows[row].lstrip().startswith("["):
        row = _end(rows, row) - 1
    row += 1
    while row < len(rows) and not rows[row].lstrip().startswith("["):
        if rows[row].strip() and not rows[row].lstrip().startswith("#"):
            row = _end(rows, row)
        else:
            row += 1
    if row < len(rows):
        while row > inside + 1 and rows[row - 1].lstrip().startswith("#"):
            row -= 1
    return row


def _drop(text: str, path: Path) -> str:
    """Take the rows of a table and of those below it, with the comments right above."""
    known = files.lines(text)
    rows = text.split("\n")
    heads = sorted(
        line for of, line in known.items()
        if of[: len(path)] == path and rows[line - 1].lstrip().startswith("[")
        and (len(of) > len(path) or of == path)
    )  # fmt: skip
    if not heads:
        raise AsText(AS_TEXT)
    for head in sorted(set(heads), reverse=True):
        end = _block_end(rows, head - 1)
        start = head - 1
        while start and rows[start - 1].lstrip().startswith("#"):
            start -= 1
        while end < len(rows) and not rows[end].strip():
            end += 1
        rows[start:end] = []
    return "\n".join(rows).rstrip("\n") + "\n"
