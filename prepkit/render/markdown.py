"""Tables for the README and SAFETY.md, made from the data so that they cannot go stale."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from prepkit import blocks, cautions, sources
from prepkit.index import CALCULATORS, FAMILIES


def _cell(text: str) -> str:
    return " ".join(text.replace("|", "\\|").split())


def table(headers: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """A markdown table; bars in cells are escaped."""
    heads = list(headers)
    lines = [f"| {' | '.join(heads)} |", f"|{'---|' * len(heads)}"]
    lines += [f"| {' | '.join(_cell(cell) for cell in row)} |" for row in rows]
    return "\n".join(lines)


def calculators() -> str:
    """The calculators by family."""
    return table(
        ("command", "what it answers", "family"),
        ((f"`{name}`", text, FAMILIES[family]) for name, (_, family, text) in CALCULATORS.items()),
    )


def triggered_cautions() -> str:
    """Every caution that a result can trigger, by kind and severity."""
    rows = [row for row in cautions.rows() if not row.standing]
    rows.sort(
        key=lambda r: (
            cautions.KINDS.index(r.kind), cautions.SEVERITIES.index(r.severity), r.id,
        )
    )  # fmt: skip
    return table(
        ("kind", "severity", "what can happen", "what to do", "id", "source"),
        ((r.kind, r.severity, r.text, r.advice, f"`{r.id}`", r.source) for r in rows),
    )


def first_aid() -> str:
    """What to do by case, each with the key of its source."""
    return "\n".join(
        textwrap.fill(
            f"- **{row['name']}:** {row['do']} [{row['source']}]", 100, subsequent_indent="  ",
            break_long_words=False, break_on_hyphens=False,
        )
        for row in blocks.blocks("first_aid.toml", "case")
    )  # fmt: skip


def standing_cautions() -> str:
    """The three lines that stand on every calculator."""
    rows = [row for row in cautions.rows() if row.standing]
    order = list(CALCULATORS)
    rows.sort(key=lambda r: (order.index(r.calculators[0]), cautions.KINDS.index(r.kind)))
    return table(
        ("calculator", "kind", "what can happen", "what to do"),
        ((f"`{r.calculators[0]}`", r.kind, r.text, r.advice) for r in rows),
    )


def caution_sources() -> str:
    """The sources that the cautions rest on and how each was obtained."""
    keys = dict.fromkeys(row.source for row in cautions.rows())
    return table(
        ("source", "what it is", "obtained"),
        ((s.key, s.title, s.obtained) for s in sources.cited(sorted(keys))),
    )
