"""Where in a TOML text each table and key stands: tomllib gives values without their lines."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache

Path = tuple[str | int, ...]
_KEY = re.compile(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*(\.)?""")
_ROW = re.compile(r"(serve|price|step|ingredient|recipe|routine|drink) (\d+)")
_QUOTED = re.compile(r'"([^"]+)"')
_NAMED = re.compile(r'serve "(.*)"')


@lru_cache(maxsize=4)  # every error of a file asks for the lines of the same text
def lines(text: str) -> dict[Path, int]:
    """The line, from 1, of every table and key of a TOML text that can be read.

    Tables of an array carry their number, from 0; an inline table has the line of its key.

    >>> lines('a = 1\\n[b]\\nc = [\\n 2]\\n[[d]]\\ne = 3\\n')[("d", 0, "e")]
    6
    """
    found: dict[Path, int] = {}
    rows: dict[Path, int] = {}
    table: Path = ()
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


def _keys(text: str) -> tuple[str, ...]:
    """The parts of a dotted key at the start of a text."""
    found: list[str] = []
    place = 0
    while match := _KEY.match(text, place):
        found.append(next(one for one in match.groups()[:3] if one is not None))
        place = match.end()
        if not match[4]:
            break
    return tuple(found)


def _at(keys: tuple[str, ...], rows: Mapping[Path, int]) -> Path:
    """The path of a header: the last row of each array on the way."""
    path: Path = ()
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


def path_of(where: str, names: tuple[str, ...] = ()) -> Path:
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


def place_of(path: Path) -> str:
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


def line_of(known: Mapping[Path, int], path: Path, variant: str | None = None) -> int | None:
    """The line of a place or, where that is not written, of the nearest thing around it."""
    tries = [("variant", variant, *path), path] if variant else [path]
    best: tuple[int, int] | None = None
    for one in tries:
        for length in range(len(one), 0, -1):
            line = known.get(one[:length]) or known.get(_hyphened(one[:length]))
            if line is not None:
                missing = len(one) - length
                if best is None or missing < best[0]:
                    best = (missing, line)
                break
    return best[1] if best else None


def line_said(
    text: str, known: Mapping[Path, int], path: Path, variant: str | None, sentence: str
) -> int | None:
    """The line of a place; in a value of many lines, that of the words that a sentence quotes."""
    line = line_of(known, path, variant)
    if line is None:
        return None
    after = [one for one in known.values() if one > line]
    written = text.splitlines()[line - 1 : min(after) - 1 if after else None]
    for quoted in _QUOTED.findall(sentence):
        for more, said in enumerate(written):
            if quoted in said.partition(" #")[0]:
                return line + more
    return line


def _hyphened(path: Path) -> Path:
    last = path[-1]
    return (*path[:-1], last.replace("_", "-")) if isinstance(last, str) else path
