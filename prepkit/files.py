"""Files that a person wrote: their tables, the line of each key, values as said; the one writer
of files.

What is wrong is a BadRecipe with the sentence alone; the reader of the file adds the place.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from datetime import date, datetime
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from prepkit.errors import BadRecipe, later

if TYPE_CHECKING:
    from pathlib import Path  # slow to import, and most runs write nothing

# ---- TOML that a person wrote, as tables ----

MOST_DOTS = 200  # of one dotted key; the reader's work grows with the square of them
_STRING = later(r'"[^"\n]*"|\'[^\'\n]*\'')
_APART = later(r"[=,\[\]{}#]")


class TooDeep(ValueError):
    """A text that is nested beyond what anybody writes."""


def tables(text: str) -> dict[str, Any]:  # Any: whatever a TOML file has
    """The tables of a TOML text; TooDeep, or ValueError with what is wrong and where.

    >>> tables("a = 1")
    {'a': 1}
    >>> tables("a." * 300 + "b = 1")
    Traceback (most recent call last):
    ...
    prepkit.files.TooDeep: it is nested too deeply
    """
    if any(line.count(".") > MOST_DOTS and _dots(line) > MOST_DOTS for line in text.splitlines()):
        raise TooDeep("it is nested too deeply")
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise TooDeep("it is nested too deeply") from error


def _dots(line: str) -> int:
    """The most dots of one key in a line."""
    bare = "".join(_STRING.sub("", line).split())
    return max(piece.count(".") for piece in _APART.split(bare))


# ---- where in a TOML text each table and key stands ----

KeyPath = tuple[str | int, ...]
_KEY = later(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*(\.)?""")
_ROW = later(r"(serve|price|step|ingredient|recipe|routine|drink) (\d+)")
_QUOTED = later(r'"([^"]+)"')
_NAMED = later(r'serve "(.*)"')


@lru_cache(maxsize=4)  # every error of a file asks for the lines of the same text
def lines(text: str) -> dict[KeyPath, int]:
    """The line, from 1, of every table and key of a TOML text that can be read.

    Tables of an array carry their number, from 0; an inline table has the line of its key.

    >>> lines('a = 1\\n[b]\\nc = [\\n 2]\\n[[d]]\\ne = 3\\n')[("d", 0, "e")]
    6
    """
    found: dict[KeyPath, int] = {}
    rows: dict[KeyPath, int] = {}
    table: KeyPath = ()
    inside = _Inside()
    for number, line in enumerate(text.splitlines(), 1):
        if inside.open:
            inside.read(line)
            continue
        bare = line.strip()
        if not bare or bare.startswith("#"):
            continue
        if bare.startswith("["):
            many = bare.startswith("[[")
            keys = _keys(bare.lstrip("[ "))
            parent = _at(keys[:-1] if many else keys, rows)
            if many and keys:
                place = (*parent, keys[-1])
                rows[place] = rows.get(place, -1) + 1
                parent = (*place, rows[place])
                found.setdefault(place, number)
            table = parent
            found.setdefault(table, number)
            continue
        keys = _keys(bare)
        for length in range(1, len(keys) + 1):
            found.setdefault((*table, *keys[:length]), number)
        inside.read(bare.partition("=")[2] if "=" in bare else "")
    return found


def value_end(rows: Sequence[str], start: int) -> int:
    """The row after the last one of the key and value that begin in a row, both from 0.

    >>> value_end(["a = [", " 1, # ]", "]", "b = 2"], 0)
    3
    """
    inside = _Inside()
    row, place = rows[start], 0
    while match := _KEY.match(row, place):
        place = match.end()
        if not match[4]:
            break
    inside.read(row[place:].partition("=")[2])
    end = start + 1
    while inside.open and end < len(rows):
        inside.read(rows[end])
        end += 1
    return end


def _keys(text: str) -> tuple[str, ...]:
    """The parts of a dotted key at the start of a text."""
    found: list[str] = []
    place = 0
    while match := _KEY.match(text, place):
        found.append(next(value for value in match.groups()[:3] if value is not None))
        place = match.end()
        if not match[4]:
            break
    return tuple(found)


def _at(keys: tuple[str, ...], rows: Mapping[KeyPath, int]) -> KeyPath:
    """The path of a header: the last row of each array on the way."""
    path: KeyPath = ()
    for key in keys:
        path = (*path, key)
        if path in rows:
            path = (*path, rows[path])
    return path


class _Inside:
    """Whether a value goes on in the next line: an open bracket or a string of several lines."""

    def __init__(self) -> None:
        self.depth = 0
        self.quote = ""

    @property
    def open(self) -> bool:
        return bool(self.depth or self.quote)

    def read(self, text: str) -> None:
        """Go through one line of a value."""
        place = 0
        while place < len(text):
            if self.quote:
                end = text.find(self.quote, place)
                while self.quote[0] == '"' and end > 0 and _escaped(text, end):
                    end = text.find(self.quote, end + 1)
                if end < 0:
                    break
                place, self.quote = end + len(self.quote), ""
                continue
            one = text[place]
            if one == "#":
                break
            if one in "\"'":
                self.quote = one * 3 if text.startswith(one * 3, place) else one
                place += len(self.quote)
                continue
            self.depth = max(0, self.depth + (one in "[{") - (one in "]}"))
            place += 1
        if len(self.quote) == 1:
            self.quote = ""  # such a string ends with its line


def _escaped(text: str, place: int) -> bool:
    """Whether a quote has an odd number of backslashes before it."""
    before = text[:place]
    return (len(before) - len(before.rstrip("\\"))) % 2 == 1


def path_of(where: str, names: tuple[str, ...] = ()) -> KeyPath:
    """The path of a place as sentences name it; `names` are those of the serves in order.

    >>> path_of("items.my-base.step 2.takes")
    ('items', 'my-base', 'step', 1, 'takes')
    >>> path_of('serve "No. 7".part', ("No. 6", "No. 7"))
    ('serve', 1, 'part')
    """
    found: list[str | int] = []
    named = _NAMED.match(where)
    if named:
        found += ["serve"]
        found += [names.index(named[1])] if named[1] in names else []
        where = where[named.end() :].lstrip(".")
    for word in filter(None, where.split(".")):
        row = _ROW.fullmatch(word)
        found += [row[1], int(row[2]) - 1] if row else [word]
    return tuple(found)


def place_of(path: KeyPath) -> str:
    """A path as sentences name it: keys with dots, rows of an array by their number from 1.

    >>> place_of(("items", "my-base", "step", 1, "takes"))
    'items.my-base.step 2.takes'
    """
    found: list[str] = []
    for key in path:
        if isinstance(key, int) and found:
            found[-1] += f" {key + 1}"
        else:
            found.append(str(key)[:60])
    return ".".join(found)


def line_of(known: Mapping[KeyPath, int], path: KeyPath, variant: str | None = None) -> int | None:
    """The line of a place or, where that is not written, of the nearest thing around it."""
    tries = [("variant", variant, *path), path] if variant else [path]
    best: tuple[int, int] | None = None
    for entry in tries:
        for length in range(len(entry), 0, -1):
            line = known.get(entry[:length]) or known.get(_hyphened(entry[:length]))
            if line is not None:
                missing = len(entry) - length
                if best is None or missing < best[0]:
                    best = (missing, line)
                break
    return best[1] if best else None


def line_said(
    text: str, known: Mapping[KeyPath, int], path: KeyPath, variant: str | None, sentence: str
) -> int | None:
    """The line of a place; in a value of many lines, that of the words that a sentence quotes."""
    line = line_of(known, path, variant)
    if line is None:
        return None
    after = [number for number in known.values() if number > line]
    written = text.splitlines()[line - 1 : min(after) - 1 if after else None]
    for quoted in _QUOTED.findall(sentence):
        for more, said in enumerate(written):
            if quoted in said.partition(" #")[0]:
                return line + more
    return line


def _hyphened(path: KeyPath) -> KeyPath:
    last = path[-1]
    return (*path[:-1], last.replace("_", "-")) if isinstance(last, str) else path


# ---- values of a file that a person wrote ----

MOST_WORDS = 1000  # characters of one text
MOST_LISTED = 200  # texts in one list
Input = str | int | float | list[str]
_CONTROL = later(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069]")


def shown(value: object) -> str:
    """A value of a file as a sentence names it.

    >>> shown("a"), shown(True), shown({}), shown([1]), shown(None)
    ("'a'", 'true', 'a table', 'a list', 'a date or time')
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    return f"{value!r}"[:60] if isinstance(value, str | int | float) else "a date or time"


def text(value: object, sample: str = "", *, needed: bool = True) -> str:
    """Text without control characters, of a bounded length; only a note has several lines.

    >>> text("  Night   Tide ")
    'Night Tide'
    """
    if value is None and needed:
        raise BadRecipe(f"it is missing; write text{sample}.")
    if not isinstance(value, str):
        raise BadRecipe(f"it is {shown(value)}; write text{sample}.")
    tidy = " ".join(value.split()) if needed else value.strip()
    if needed and not tidy:
        raise BadRecipe(f"it is empty; write text{sample}.")
    if len(tidy) > MOST_WORDS:
        raise BadRecipe(f"it has {len(tidy)} characters; at most {MOST_WORDS} are taken.")
    if not tidy.isprintable() and _CONTROL.search(tidy):
        raise BadRecipe("it has a control character in it; write plain text.")
    return tidy


def short(many: list[object]) -> None:
    """BadRecipe for a list that is too long."""
    if len(many) > MOST_LISTED:
        raise BadRecipe(f"it has {len(many)} entries; at most {MOST_LISTED} are taken.")


def input_of(value: object) -> Input:
    """An input of a calculator as a file gives it: words, a number, a day, or a list of words.

    >>> input_of(date(2027, 3, 1)), input_of(["1  l water"])
    ('2027-03-01', ['1 l water'])
    """
    if isinstance(value, list):
        if not value:
            raise BadRecipe("the list is empty; fill it or leave it out.")
        short(value)
        return [text(one) for one in value]
    if isinstance(value, str):
        return text(value)
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, bool | int | float):
        if not isinstance(value, bool) and not abs(value) < 1e15:
            raise BadRecipe(f"{shown(value)} is not a number that can be used.")
        return value
    raise BadRecipe(f"it is {shown(value)}; write words, a number or a list of words.")


# ---- the one writer of files ----


def write(path: Path, text: str, *, over: bool, errors: str = "strict") -> None:
    """Write a text into a new file beside `path`, onto the disk, and give it the name at the end.

    `over`: a file of that name is replaced and its permissions are kept; otherwise FileExistsError.
    Raises OSError or ValueError; `path` then holds what it held.
    """
    import secrets  # slow to import, and most runs write nothing

    beside = path.with_name(f".prepkit-{secrets.token_hex(8)}.part")
    try:
        with beside.open("x", encoding="utf-8", errors=errors, newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if over:
            if path.exists():
                beside.chmod(path.stat().st_mode & 0o777)
            os.replace(beside, path)
        else:
            _name_once(beside, path)
        _settle(path.parent)
    finally:
        with suppress(OSError, ValueError):
            beside.unlink()


def write_folder(path: Path, texts: Mapping[str, str], *, over: bool) -> None:
    """Write the files of a folder by their names: all of them, or none.

    They are written whole beside the folder first. A folder that is there stays the same one.
    `over`: in one with something in it the files of these names are replaced and the others stay;
    otherwise FileExistsError. Where one cannot be put in its place, those before it are put back.

    Raises OSError or ValueError; `path` then holds what it held.
    """
    import secrets
    import shutil

    there = path.is_dir()
    if there and not over and any(path.iterdir()):
        raise FileExistsError(f"{path} has files in it")
    beside = path.parent / f".prepkit-{secrets.token_hex(8)}.part"
    old = beside.with_suffix(".old")
    try:
        beside.mkdir()
        for name, text in texts.items():
            write(beside / name, text, over=False)
        if there:
            old.mkdir()
            _exchange(path, beside, old, texts)
            _settle(path)
            shutil.rmtree(old, ignore_errors=True)
        else:
            beside.replace(path)
        _settle(path.parent)
    finally:
        shutil.rmtree(beside, ignore_errors=True)
        with suppress(OSError):
            old.rmdir()  # empty, unless something in it could not be put back


def _exchange(path: Path, new: Path, old: Path, names: Iterable[str]) -> None:
    """Put new files into a folder, and those that they replace into another; undone on failure."""
    moved: list[tuple[Path, Path]] = []
    folders = [name for name in names if (path / name).is_dir()]
    if folders:
        raise IsADirectoryError(f"{folders[0]} is a folder there")
    try:
        for name in names:
            place = path / name
            for file, other in ((place, old / name), (new / name, place)):
                if file is place and not os.path.lexists(place):
                    continue
                os.replace(file, other)
                moved.append((file, other))
    except BaseException:
        for file, other in reversed(moved):
            os.replace(other, file)
        raise


def _name_once(beside: Path, path: Path) -> None:
    """Give a finished file its name, never over another that has taken it meanwhile."""
    try:
        os.link(beside, path)
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        path.open("x").close()
        try:
            os.replace(beside, path)
        except OSError:
            path.unlink()  # the empty one that held the name
            raise


def _settle(folder: Path) -> None:
    """The folder's own entry onto the disk, where the system can do that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
