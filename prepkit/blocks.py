"""Data files of many small TOML tables, read block by block so that one look-up stays fast."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator
from functools import cache
from typing import Any

DATA = os.path.join(os.path.dirname(__file__), "data")


@cache
def read(path: str) -> str:
    """Text of a data file of the package."""
    with open(os.path.join(DATA, path), encoding="utf-8") as file:
        return file.read()


@cache
def names(folder: str) -> tuple[str, ...]:
    """The TOML files of a data folder, as paths below the data folder, in order."""
    return tuple(
        f"{folder}/{name}".removeprefix("./")
        for name in sorted(os.listdir(os.path.join(DATA, folder)))
        if name.endswith(".toml")
    )


@cache
def all_names() -> tuple[str, ...]:
    """Every TOML file of the data, as paths below the data folder, in order."""
    below = (name for name in sorted(os.listdir(DATA)) if os.path.isdir(os.path.join(DATA, name)))
    return (*names("."), *(path for name in below for path in names(name)))


@cache
def _split(path: str, header: str) -> tuple[str, ...]:
    return tuple(part for part in read(path).split(f"[[{header}]]")[1:])


def texts(path: str, header: str, having: tuple[str, ...] = ()) -> Iterator[str]:
    """The text of each [[header]] table that holds any of `having` (all, where empty)."""
    for text in _split(path, header):
        if not having or any(word in text for word in having):
            yield text


@cache
def parsed(text: str) -> dict[str, Any]:  # Any: values of a TOML file
    """A TOML text as a table, parsed once; not to be changed by the caller."""
    return tomllib.loads(text)


def blocks(
    path: str, header: str, having: tuple[str, ...] = ()
) -> Iterator[dict[str, Any]]:  # Any: values of a TOML file
    """Each [[header]] table of a file whose text holds any of `having` (all, where empty)."""
    return map(parsed, texts(path, header, having))


def table(path: str, key: str) -> dict[str, Any] | None:  # Any: values of a TOML file
    """The one [key] table of a file, or None."""
    _, found, rest = f"\n{read(path)}".partition(f"\n[{key}]")
    return tomllib.loads(rest.partition("\n[")[0]) if found else None
