"""What rests on memory, by how far an answer of a user could move: the largest first."""

from __future__ import annotations

import textwrap
import tomllib
from collections.abc import Iterable, Iterator
from functools import cache
from typing import NamedTuple

from prepkit import blocks, sources
from prepkit.width import columns
from prepkit.workflows import sources_rests

FILE = "weak.toml"
BEHIND = (
    "From memory behind data, cautions or checks alone: unknown effects first, then the largest."
)


class Weak(NamedTuple):
    """A source that was not read, what is answered by it, and how far that could move."""

    source: str
    answer: str
    percent: float
    why: str


class Behind(NamedTuple):
    """A source from memory behind data, cautions or checks alone; percent None: not known."""

    source: str
    answer: str
    why: str
    percent: float | None = None


@cache
def _all() -> tuple[Weak, ...]:
    found = (Weak(**row) for row in tomllib.loads(blocks.read(FILE))["weak"])
    return tuple(sorted(found, key=lambda row: (-row.percent, row.source)))


@cache
def _behind() -> tuple[Behind, ...]:
    found = (Behind(**row) for row in tomllib.loads(blocks.read(FILE))["besides"])
    return tuple(
        sorted(found, key=lambda row: (row.percent is not None, -(row.percent or 0.0), row.source))
    )


def behind(calculator: str | None = None) -> tuple[Behind, ...]:
    """Sources from memory with no relation, unknown effects first, then the largest.

    Of a calculator: those of its own working and cautions. Rows of data belong to no calculator.
    """
    if calculator is None:
        return _behind()
    its = frozenset(sources_rests.of_calculator(calculator))
    return tuple(row for row in _behind() if row.source in its)


def calculators(row: Weak) -> tuple[str, ...]:
    """The calculators whose answers come to it."""
    return tuple(sources_rests.written().get(row.source, {}).get("calculators", ()))


def rows(calculator: str | None = None) -> tuple[Weak, ...]:
    """Every weak relation, or those that a calculator comes to; the largest first."""
    return tuple(row for row in _all() if calculator is None or calculator in calculators(row))


def expected() -> frozenset[str]:
    """The sources from memory, whole or in part, that a relation or a step rests on."""
    found = set()
    for source in sources.cited(sources.keys()):
        if "memory" in source.obtained:
            written = sources_rests.written().get(source.key, {})
            if written.get("relations") or written.get("steps"):
                found.add(source.key)
    return frozenset(found)


def besides() -> tuple[str, ...]:
    """Sources from memory on which only rows of data or cautions rest, no relation."""
    listed = expected()
    return tuple(
        source.key
        for source in sources.cited(sources.keys())
        if source.obtained == "memory" and source.key not in listed
    )


def text(listed: Iterable[Weak], others: Iterable[Behind]) -> str:
    """Both lists as text: how far, what, why, source."""
    out = [line for row in listed for line in _lines(row)]
    second = [line for row in others for line in _lines(row)]
    if not out and not second:
        return "Nothing of it rests on memory.\n"
    if not out:
        out = ["No relation of it rests on memory."]
    out += [
        "",
        _fill("The percentage is how far that answer could move, judged from stated errors."),
    ]
    if second:
        out += ["", _fill(BEHIND), "", *second]
    return "\n".join(out) + "\n"


def said_percent(row: Weak | Behind) -> str:
    """How far, in words: "20 %" or "unknown"."""
    return "unknown" if row.percent is None else f"{row.percent:g} %"


def _lines(row: Weak | Behind) -> Iterator[str]:
    yield f"{said_percent(row)}  {row.answer} [{row.source}]"
    yield _fill(f"{row.why[0].upper()}{row.why[1:]}.", "  ")


def _fill(words: str, indent: str = "") -> str:
    return textwrap.fill(
        words, columns(), initial_indent=indent, subsequent_indent=indent,
        break_on_hyphens=False, break_long_words=False,
    )  # fmt: skip


def table(listed: Iterable[Weak | Behind] | None = None) -> str:
    """Rows as a table in Markdown, for DEVELOPERS.md: the relations, or the rows given."""
    out = ["| answer that could move | by | source | why |", "|---|---|---|---|"]
    out += [
        f"| {row.answer} | {said_percent(row)} | `{row.source}` | {row.why} |"
        for row in (rows() if listed is None else listed)
    ]
    return "\n".join(out)
