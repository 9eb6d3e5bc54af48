"""The package's own data: TOML files that a person edits, and the one form of them that is read.

`python -m prepkit.blocks` writes data/tables.txt: a line of JSON for each table of each file, for
each caution row, and for each name of a hazard. Only what is asked for is read of it. Where a file
is not the one that its lines were made of, or where lines are missing or not as they were written,
that is a FileProblem: without its data a calculation has no answer.
"""

from __future__ import annotations

import os
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from prepkit.errors import FileProblem

Entry = Mapping[str, Any]  # Any: values of a table of a TOML file of ours
DATA = os.path.join(os.path.dirname(__file__), "data")
FORM = "tables.txt"
CAUTIONS = "caution rows"  # groups of lines that are made of several files
HAZARDS = "names of hazards"
_SHIPPED = "shipped"  # a folder of an installed prepkit: recipes, no data
_MAKE = "Run python -m prepkit.blocks"

# ---- what is asked for ----


@cache
def read(path: str) -> str:
    """Text of a data file of the package. Raises FileProblem."""
    return _text(_bytes(path), path)


@cache
def names(folder: str) -> tuple[str, ...]:
    """The TOML files of a data folder, as paths below the data folder, in order.

    Raises FileProblem where they are not the files that the lines were made of.
    """
    found, inside = _listed(folder), folder.removeprefix(".")
    made = tuple(path for path in _head().files if os.path.dirname(path) == inside)
    if found != made:
        other = ", ".join(sorted({*found} ^ {*made}))
        raise FileProblem(f"data/{FORM} was made of other files than there are ({other}). {_MAKE}.")
    return found


@cache
def all_names() -> tuple[str, ...]:
    """Every TOML file of the data and of its folders, as paths below the data, in order."""
    return tuple(path for folder in _folders() for path in names(folder))


def blocks(
    path: str, header: str, having: str = ""
) -> Iterator[dict[str, Any]]:  # Any: values of a TOML file
    """Each [[header]] table of a file in which a text stands (all, where it is empty).

    having: a whole value, such as a name, wherever it stands in the table; who asks looks again.
    The tables are shared: not to be changed.
    """
    return map(_value, texts(path, header, having))


def texts(path: str, header: str, having: str = "") -> Iterator[str]:
    """The same tables, each as its line of JSON: for who looks through them before `value`."""
    start = f"[[{header}]]\t"
    for line in _holding(path, _said(having)) if having else _lines(path):
        if line.startswith(start):
            yield line


def table(path: str, key: str) -> dict[str, Any] | None:  # Any: values of a TOML file
    """The one [key] table of a file, or None. It is shared: not to be changed."""
    line = _keyed(path).get(key)
    return None if line is None else _value(line)


def keys(path: str) -> tuple[str, ...]:
    """The keys of the [key] tables of a file, in order."""
    return tuple(_keyed(path))


def words(path: str, key: str) -> frozenset[str]:
    """Every text that a file has under a key, in any table, by itself or in a list of texts."""
    text, mark = _of_file(path), f'"{key}":'
    found: list[object] = []
    at = text.find(mark)
    while at >= 0:
        one, at = _decode()(text, at + len(mark))
        found.extend(one if isinstance(one, list) else [one])
        at = text.find(mark, at)
    return frozenset(one for one in found if isinstance(one, str))


@cache
def document(path: str) -> dict[str, Any]:  # Any: values of a TOML file
    """A whole file as TOML gives it. It is shared: not to be changed."""
    found: dict[str, Any] = {}  # Any: as above
    for line in _lines(path):
        name = line.partition("\t")[0]
        if name.startswith("[["):
            found.setdefault(name[2:-2], []).append(_value(line))
        else:
            found[name.strip("[]")] = _value(line)
    return found


def is_there(path: str) -> bool:
    """Whether there is such a TOML file, or lines of it."""
    return path in _head().files or os.path.exists(os.path.join(DATA, path))


def group(name: str, of: Iterable[str]) -> str:
    """The lines of CAUTIONS or HAZARDS, which were made of these files. Raises FileProblem."""
    for path in of:
        _check(path)
    return _made(name)


def value(line: str) -> Any:  # Any: values of a TOML file
    """What stands in a line behind its tab. Raises FileProblem."""
    try:
        found, end = _decode()(line, line.index("\t") + 1)
    except (ValueError, StopIteration) as error:
        raise _broken() from error
    if end != len(line):
        raise _broken()
    return found


# ---- reading the lines ----


def _bytes(path: str, start: int = 0, length: int = -1) -> bytes:
    try:
        with open(os.path.join(DATA, path), "rb", buffering=0) as file:
            if start:
                file.seek(start)
            return file.read(length)
    except OSError as error:
        raise FileProblem(f"the data of prepkit cannot be read: {error}.") from error


def _text(found: bytes, path: str) -> str:
    try:
        return found.decode()
    except UnicodeDecodeError as error:
        raise FileProblem(f"data/{path} cannot be read: {error}.") from error


def _listed(folder: str) -> tuple[str, ...]:
    try:
        found = sorted(os.listdir(os.path.join(DATA, folder)))
    except OSError as error:
        raise FileProblem(f"the data of prepkit cannot be read: {error}.") from error
    below = "" if folder == "." else f"{folder}/"
    return tuple(f"{below}{name}" for name in found if name.endswith(".toml"))


def _folders() -> Iterator[str]:
    yield "."
    for name in sorted(os.listdir(DATA)):
        if name != _SHIPPED and os.path.isdir(os.path.join(DATA, name)):
            yield name


def _sum(text: bytes) -> list[int]:
    return [len(text), zlib.crc32(text)]


def _broken() -> FileProblem:
    return FileProblem(f"data/{FORM} is not as it was written. {_MAKE}, or install prepkit again.")


class _Head(NamedTuple):
    """The first line of the form, and where the lines begin."""

    files: dict[str, list[int]]  # length and sum of each file
    lines: dict[str, list[int]]  # of each group of lines: where it begins, length, sum
    begin: int


@cache
def _head() -> _Head:
    try:
        with open(os.path.join(DATA, FORM), "rb") as file:
            first = file.readline()
    except OSError as error:
        raise FileProblem(f"data/{FORM} cannot be read ({error}). {_MAKE}.") from error
    if not first.startswith(b"%d\t" % zlib.crc32(first.partition(b"\t")[2])):
        raise _broken()
    return _Head(**value(_text(first, FORM).rstrip("\n")), begin=len(first))


@cache
def _check(path: str) -> None:
    """Raises FileProblem where a file is not the one that lines were made of."""
    if _head().files.get(path) != _sum(_bytes(path)):
        raise FileProblem(f"data/{path} is not the file that data/{FORM} was made of. {_MAKE}.")


@cache
def _made(group: str) -> str:
    """The lines of a group, as they were written."""
    if group not in _head().lines:
        raise FileProblem(f"data/{FORM} has no lines of {group}. {_MAKE}.")
    start, *right = _head().lines[group]
    found = _bytes(FORM, _head().begin + start, right[0])
    if _sum(found) != right:
        raise _broken()
    return _text(found, FORM)


@cache
def _of_file(path: str) -> str:
    _check(path)
    return _made(path)


@cache
def _lines(path: str) -> tuple[str, ...]:
    return tuple(_of_file(path).split("\n"))


def _holding(path: str, text: str) -> Iterator[str]:
    """The lines in which a text stands as a value."""
    lines = _of_file(path)
    at = lines.find(text)
    while at >= 0:
        end = at + len(text)
        if not lines.startswith(":", end):  # else it is a key
            start, end = lines.rfind("\n", 0, at) + 1, lines.find("\n", at)
            end = len(lines) if end < 0 else end
            yield lines[start:end]
        at = lines.find(text, end)


@cache
def _keyed(path: str) -> dict[str, str]:
    """The lines of [key] tables, by key."""
    split = ((line.partition("\t")[0], line) for line in _lines(path))
    return {name[1:-1]: line for name, line in split if name[0] == "[" != name[1]}


class _Plain:
    """How the scanner reads: as JSONDecoder does where nothing is asked for."""

    strict = True
    object_hook = object_pairs_hook = None
    parse_float, parse_int, parse_constant = float, int, float


_value = cache(value)  # for the tables that are asked for again and again


@cache
def _decode() -> Callable[[str, int], tuple[Any, int]]:  # Any: values of a TOML file
    """The scanner of the json package, without the patterns that the package compiles first."""
    try:
        from _json import make_scanner

        return make_scanner(_Plain())  # type: ignore[arg-type] # it asks for these attributes
    except (ImportError, AttributeError):  # another Python
        from json import JSONDecoder

        return JSONDecoder().raw_decode


def _said(text: str) -> str:
    """A text as a line holds it."""
    plain = '"' not in text and "\\" not in text and text.isprintable()
    return f'"{text}"' if plain else json_of(text)


# ---- writing them ----


def json_of(value: object) -> str:
    """A value of a TOML file as JSON. Raises FileProblem for one that JSON would not hold as it is.

    JSON has no dates: one is written as text in the file, and read as a date where it is used.

    >>> json_of({"g": 1.0, "of": ["é", 2, True]})
    '{"g":1.0,"of":["é",2,true]}'
    """
    import json

    try:
        found = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    except (TypeError, ValueError) as error:  # a date or a time; nan or inf
        raise FileProblem(
            f"{value!r:.200} cannot be kept as JSON ({error}). Write it as text."
        ) from None
    if repr(json.loads(found)) != repr(value):
        raise FileProblem(
            f"{value!r:.200} does not come back from JSON as it was. Write it another way."
        )
    return found


def _lines_of(path: str, text: str) -> Iterator[str]:
    import tomllib

    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FileProblem(f"data/{path} cannot be read: {error}.") from error
    for key, value in tables.items():
        if any(letter in key for letter in "[]\t\n"):
            raise FileProblem(f"data/{path} has the key {key!r}. Take letters, digits and hyphens.")
        if isinstance(value, dict):
            yield f"[{key}]\t{json_of(value)}"
        elif isinstance(value, list) and value and all(isinstance(one, dict) for one in value):
            yield from (f"[[{key}]]\t{json_of(one)}" for one in value)
        else:
            yield f"{key}\t{json_of(value)}"


def _every() -> Iterator[str]:
    for folder, _, found in sorted(os.walk(DATA)):
        below = os.path.relpath(folder, DATA).replace(os.sep, "/")
        if below.partition("/")[0] != _SHIPPED:
            for name in sorted(found):
                if name.endswith(".toml"):
                    yield name if below == "." else f"{below}/{name}"


def forget() -> None:
    """Read everything again: the files or their lines are others now."""
    for one in (
        read, names, all_names, document, _head, _check, _made, _of_file, _lines,
        _keyed,
    ):  # fmt: skip
        one.cache_clear()


def form() -> bytes:
    """data/tables.txt as it should be. Raises FileProblem for a file that cannot be used."""
    from prepkit import cautions, hazard_names

    pairs = (f"{json_of(key)}:{json_of(id_)}" for key, id_ in hazard_names.indexed().items())
    names_of_hazards = ",\n".join(pairs)
    return _form({CAUTIONS: "\n".join(cautions.lines()), HAZARDS: f"\t{{{names_of_hazards}}}"})


def _form(more: Mapping[str, str]) -> bytes:
    """The first line, then the lines of each file and more."""
    files = {path: _bytes(path) for path in _every()}
    groups = {
        path: "\n".join(_lines_of(path, _text(text, path)))
        for path, text in files.items()
        if os.path.dirname(path) != "cautions"  # they are kept as rows
    }
    lines, body = {}, b""
    for name, text in {**groups, **more}.items():
        made = text.encode()
        lines[name] = [len(body), *_sum(made)]
        body += made + b"\n"
    sums = {path: _sum(text) for path, text in files.items()}
    head = f"{json_of({'files': sums, 'lines': lines})}\n".encode()
    return b"%d\t%b%b" % (zlib.crc32(head), head, body)


def main() -> None:
    """Write data/tables.txt again; its tables first, as the groups are made with them."""
    _write(_form({}))
    _write(form())


def _write(made: bytes) -> None:
    with open(os.path.join(DATA, FORM), "wb") as file:
        file.write(made)
    forget()


if __name__ == "__main__":  # pragma: no cover
    try:
        main()
    except FileProblem as error:
        raise SystemExit(f"prepkit: {error.message}") from None
