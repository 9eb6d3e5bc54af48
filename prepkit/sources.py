"""Sources: what a figure rests on, and how it was obtained."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from prepkit import blocks
from prepkit.blocks import Entry
from prepkit.model import Source

OBTAINED = ("read", "memory", "practice", "computed")
WEAK = ("memory", "practice")


@cache
def find(key: str) -> Source | None:
    """The source of a key, or None where no file has it.

    What was worked out from something remembered or customary says so: "computed, in part from
    memory".
    """
    row = _row(key)
    if row is None:
        return None
    return Source(key, row["title"], _obtained(row), row.get("note", ""))


def rests_on(key: str) -> tuple[str, ...]:
    """The keys that a source of this project was made from."""
    return tuple((_row(key) or {}).get("rests_on", ()))


@cache
def _files() -> dict[str, str]:
    """The file of each key."""
    return {key: path for path, key in reversed(_keys())}


@cache
def _keys() -> tuple[tuple[str, str], ...]:
    return tuple((path, key) for path in blocks.names("sources") for key in blocks.keys(path))


def _row(key: str) -> Entry | None:
    path = _files().get(key)
    return None if path is None else blocks.table(path, key)


def _obtained(row: Entry) -> str:
    below = [source.obtained for source in cited(row.get("rests_on", ()))]
    weak = [word for word in WEAK if any(word in one for one in below)]
    obtained: str = row["obtained"]
    return f"{obtained}, in part from {' and '.join(weak)}" if weak else obtained


def keys() -> list[str]:
    """Every source key, in file order."""
    return [key for _, key in _keys()]


def cited(wanted: Iterable[str]) -> tuple[Source, ...]:
    """The sources of the keys, once each; keys without an entry are left out."""
    found = (find(key) for key in dict.fromkeys(wanted) if key)
    return tuple(source for source in found if source is not None)
