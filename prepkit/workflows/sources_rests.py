"""What rests on each source: the working, the relations, the data, the cautions, the checks.

The working, relations and checks are a file of data written from the code and its tests; the data
rows are looked through as they are.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache

from prepkit import blocks, cautions, sources
from prepkit.caution_rows import Row

FILE = "rests.toml"
KINDS = ("steps", "relations", "calculators", "checks")
# data that names sources elsewhere than in rows of its own
NOT_ROWS = ("sources", "cautions", "drills", "weak")


@cache
def written() -> Mapping[str, Mapping[str, list[str]]]:
    """By key: steps, relations, calculators and checks."""
    return tomllib.loads(blocks.read(FILE))


@cache
def cautions_by_key() -> Mapping[str, list[Row]]:
    """The rows of cautions by the key of their source."""
    found: dict[str, list[Row]] = {}
    for row in cautions.rows():
        found.setdefault(row.source, []).append(row)
    return found


@cache
def data_by_key() -> Mapping[str, list[str]]:
    """Rows of data, such as "limits: quinine-carbonated-us", by the key of a source they name."""
    known = frozenset(sources.keys())
    found: dict[str, list[str]] = {}
    for folder, path in _files():
        for kind, rows in tomllib.loads(blocks.read(path)).items():
            for row in rows if isinstance(rows, list) else ():
                name = row.get("id") or row.get("name") or row.get("text", kind)
                for key in sorted(known.intersection(_words(row))):
                    found.setdefault(key, []).append(f"{folder}: {name}")
    return found


def _files() -> Iterator[tuple[str, str]]:
    for path in blocks.all_names():
        folder = path.split("/")[0].removesuffix(".toml")
        if folder not in NOT_ROWS and path != FILE:
            yield folder.replace("_", " "), path


def _words(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from _words(one)
    elif isinstance(value, list):
        for one in value:
            yield from _words(one)


@cache
def made_from() -> Mapping[str, list[str]]:
    """The sources of this project that were made from each key."""
    found: dict[str, list[str]] = {}
    every = sources.keys()
    for key in every:
        for one in sources.rests_on(key):
            found.setdefault(one, []).append(key)
    return found


def on(key: str) -> dict[str, list[str]]:
    """Everything that rests on a source, by kind, empty kinds too."""
    row = written().get(key, {})
    return {
        **{kind: list(row.get(kind, ())) for kind in KINDS},
        "data": data_by_key().get(key, []),
        "cautions": [one.id for one in cautions_by_key().get(key, ())],
        "made_from": list(sources.rests_on(key)),
        "made_into": made_from().get(key, []),
    }


def of_calculator(name: str) -> list[str]:
    """The keys that a calculator's answers or cautions can rest on, in file order."""
    spoken = {key for key, rows in cautions_by_key().items() for row in rows if row.concerns(name)}
    every = sources.keys()
    return [
        key
        for key in every
        if key in spoken or name in written().get(key, {}).get("calculators", ())
    ]
