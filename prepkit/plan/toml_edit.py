"""A TOML text changed in places: comments, order and spacing of all else stay as they are.

What comes out is read again and must hold exactly what was meant; a text whose way of writing does
not allow that is refused, never mangled.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import Any

from prepkit import file_lines
from prepkit.errors import BadInput
from prepkit.plan.toml_words import key_words, value_words

Path = tuple[str | int, ...]
AS_TEXT = (
    "This recipe is written in a way that a form cannot change without harm. Change its text "
    "instead."
)


class AsText(BadInput):
    """A text that can only be changed by hand."""

    code = "as-text"


@dataclass(frozen=True)
class Set:
    """One key of a table to be written; None takes it away."""

    table: Path
    key: str
    value: object | None


@dataclass(frozen=True)
class Add:
    """A table to be added: its header's keys, whether it is one of an array, what it holds."""

    path: tuple[str, ...]
    many: bool
    holds: Mapping[str, object]


@dataclass(frozen=True)
class Drop:
    """A table to be taken away with all tables below it."""

    path: Path


Change = Set | Add | Drop


def changed(text: str, changes: Sequence[Change]) -> str:
    """The text with the changes made one after the other; AsText where they cannot be."""
    for one in changes:
        meant = _meant(tomllib.loads(text), one)
        if isinstance(one, Set):
            text = _set(text, one)
        elif isinstance(one, Add):
            text = _add(text, one)
        else:
            text = _drop(text, one.path)
        try:
            right = tomllib.loads(text) == meant
        except tomllib.TOMLDecodeError:
            right = False
        if not right:
            raise AsText(AS_TEXT)
    return text


def _meant(tables: dict[str, Any], change: Change) -> dict[str, Any]:  # Any: TOML
    """What the text must hold after a change."""
    tables = deepcopy(tables)
    try:
        if isinstance(change, Add):
            place = tables
            for key in change.path[:-1]:
                place = place.setdefault(key, {})
            if change.many:
                place.setdefault(change.path[-1], []).append(dict(change.holds))
            elif change.path[-1] in place:
                raise AsText(AS_TEXT)
            else:
                place[change.path[-1]] = dict(change.holds)
            return tables
        path = change.table if isinstance(change, Set) else change.path[:-1]
        at: Any = tables  # Any: a table, a list or a value, as TOML has it
        for step in path:
            at = at[step]
        if isinstance(change, Drop):
            del at[change.path[-1]]
        elif change.value is None:
            at.pop(change.key, None)
        else:
            at[change.key] = change.value
    except (KeyError, IndexError, TypeError, AttributeError) as error:
        raise AsText(AS_TEXT) from error
    # a table without rows is written by leaving it out
    if isinstance(change, Drop) and isinstance(at, list) and not at:
        _prune(tables, change.path[:-1])
    return tables


def _prune(tables: dict[str, Any], path: Path) -> None:  # Any: TOML
    at: Any = tables  # Any: a table, a list or a value
    for step in path[:-1]:
        at = at[step]
    del at[path[-1]]


def _set(text: str, change: Set) -> str:
    known = file_lines.lines(text)
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
    """The row after the value that begins in a row: the fewest rows that can be read."""
    for end in range(start + 1, len(rows) + 1):
        try:
            tomllib.loads("\n".join(rows[start:end]))
        except tomllib.TOMLDecodeError:
            continue
        return end
    raise AsText(AS_TEXT)


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


def _last_of(known: Mapping[file_lines.Path, int], rows: Sequence[str], table: Path) -> int:
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
    known = file_lines.lines(text)
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
    known = file_lines.lines(text)
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
