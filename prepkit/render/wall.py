"""Cautions as wall sheets: the rows themselves, with no case at hand to fill in their figures."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable

from prepkit import cautions
from prepkit.caution_rows import Row
from prepkit.render.prose import in_units
from prepkit.width import columns

BLANK = "…"
LEGEND = f"{BLANK} stands for the figure or the name of the case; a calculator fills it in."
_PLACE = re.compile(r"\{[a-z][a-z0-9_]*(?::[^{}]*)?\}")
_HEADS = {"stop": "STOP", "care": "CARE", "note": "note"}
ALWAYS = "always"


def plain(text: str) -> str:
    """A caution's text without a case: each {fact} becomes an ellipsis.

    >>> plain("It can reach {bound_bar:.1f} bar at {warmest_c:g} C.")
    'It can reach … bar at … C.'
    """
    return _PLACE.sub(BLANK, text)


def selected(kind: str | None = None, calculator: str | None = None) -> list[Row]:
    """The rows of a kind and of a calculator, by kind, most serious first, standing ones last."""
    rows = [
        row
        for row in cautions.rows()
        if (kind is None or row.kind == kind) and (calculator is None or row.concerns(calculator))
    ]
    return sorted(
        rows,
        key=lambda row: (
            cautions.KINDS.index(row.kind),
            row.standing,
            cautions.SEVERITIES.index(row.severity),
            row.id,
        ),
    )


def row_dict(row: Row) -> dict[str, object]:
    """One row in its JSON form."""
    return {
        "id": row.id,
        "kind": row.kind,
        "severity": row.severity,
        "standing": row.standing,
        "calculators": list(row.calculators),
        "text": plain(row.text),
        "action": plain(row.advice),
        "source": row.source,
    }


def row_text(row: Row, system: str = "metric") -> str:
    """One row: how serious, what can happen, what to do, where it belongs."""
    head = ALWAYS if row.standing else _HEADS[row.severity]
    where = ", ".join("every calculator" if n == cautions.ANY else n for n in row.calculators)
    lines = (
        _fill(f"[{head}] {in_units(plain(row.text), system)}", "  ", "    "),
        _fill(f"-> {in_units(plain(row.advice), system)}", "    ", "       "),
        _fill(f"({where}; {row.id}; {row.source})", "    ", "    "),
    )
    return "\n".join(lines)


def _fill(text: str, first: str, rest: str) -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest,
        break_on_hyphens=False, break_long_words=False,
    )  # fmt: skip


def wall_text(rows: Iterable[Row], system: str = "metric") -> str:
    """The sheets, one for each kind."""
    chosen = list(rows)
    out: list[str] = []
    for kind in cautions.KINDS:
        of_kind = [row for row in chosen if row.kind == kind]
        if not of_kind:
            continue
        out += [kind.upper(), "=" * len(kind)]
        for row in of_kind:
            out += [row_text(row, system), ""]
        out += [_fill(cautions.page_line("wall"), "", ""), "", ""]
    if any(BLANK in plain(row.text + row.advice) for row in chosen):
        out.append(LEGEND)
    return "\n".join(out).rstrip() + "\n"
