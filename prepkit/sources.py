"""Sources: what a figure rests on, and how it was obtained."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from prepkit import blocks
from prepkit.model import Source

OBTAINED = ("read", "memory", "practice", "computed")


@cache
def find(key: str) -> Source | None:
    """The source of a key, or None where no file has it."""
    for path in blocks.names("sources"):
        if f"[{key}]" in blocks.read(path):
            row = blocks.table(path, key)
            if row is not None:
                return Source(key, row["title"], row["obtained"], row.get("note", ""))
    return None


def keys() -> list[str]:
    """Every source key, in file order."""
    return [
        key
        for path in blocks.names("sources")
        for key in re.findall(r"^\[([^\[\]]+)\]", blocks.read(path), re.MULTILINE)
    ]


def cited(wanted: Iterable[str]) -> tuple[Source, ...]:
    """The sources of the keys, once each; keys without an entry are left out."""
    found = (find(key) for key in dict.fromkeys(wanted) if key)
    return tuple(source for source in found if source is not None)
