"""What rests on memory, by how far an answer of a user could move: the largest first."""

from __future__ import annotations

import textwrap
import tomllib
from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

from prepkit import blocks, sources
from prepkit.width import columns
from prepkit.workflows import sources_rests

FILE = "weak.toml"


class Weak(NamedTuple):
    """A source that was not read, what is answered by it, and how far that could move."""

    source: str
    answer: str
    percent: float
    why: str


@cache
def _all() -> tuple[Weak, ...]:
    found = (Weak(**row) for row in tomllib.loads(blocks.read(FILE))["weak"])
    return tuple(sorted(found, key=lambda row: (-row.percent, row.source)))


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


def text(listed: Iterable[Weak]) -> str:
    """The rows as text: how far, what, why, source."""
    out = []
    for row in listed:
        out.append(f"{row.percent:g} %  {row.answer} [{row.source}]")
        out.append(
            textwrap.fill(
                f"{row.why[0].upper()}{row.why[1:]}.", columns(), initial_indent="  ",
                subsequent_indent="  ", break_on_hyphens=False, break_long_words=False,
            )
        )  # fmt: skip
    if not out:
        return "Nothing of it rests on memory.\n"
    out += [
        "",
        textwrap.fill(
            "The percentage is how far that answer could move, judged from stated errors. "
            f"{len(besides())} more sources from memory stand behind limits, pantry figures and "
            "cautions, with no relation.",
            columns(),
        ),
    ]
    return "\n".join(out) + "\n"


def table() -> str:
    """All rows as a table in Markdown, for DEVELOPERS.md."""
    out = ["| answer that could move | by | source | why |", "|---|---|---|---|"]
    out += [f"| {row.answer} | {row.percent:g} % | `{row.source}` | {row.why} |" for row in rows()]
    return "\n".join(out)
