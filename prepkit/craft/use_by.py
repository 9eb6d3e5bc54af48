"""The last day on a label: day 1 is the oldest part's, the strictest rule that holds counts.

A date here is the latest that the rules allow and never says that anything is good until then;
where they know none the answer is to ask.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any, NamedTuple

from prepkit import blocks, cautions, derived
from prepkit.craft import keeping_rules
from prepkit.errors import BadInput
from prepkit.mixture import Mixture

FILE = "use_by.toml"


class UseBy(NamedTuple):
    """The last day, or None for ask, with what sets it and how it is stored until then."""

    last: date | None
    days: int | None
    first: date
    first_by: str
    rule: str
    why: str
    storage: str
    source: str


def facts(mixture: Mixture) -> dict[str, Any]:
    """What the rules are judged on."""
    return {
        **cautions.about(mixture),
        **derived.facts(mixture),
        "sugar_percent": 100 * mixture.sugar,
        "water_percent": 100 * mixture.fraction("water"),
        "holds": keeping_rules.held((), mixture),
    }


def use_by(mixture: Mixture, made: date, oldest: date | None = None) -> UseBy:
    """The last day of a preparation; `oldest` is the day of its oldest part that had one.

    Raises BadInput where the oldest part is younger than what was made of it.
    """
    if oldest is not None and oldest > made:
        raise BadInput(
            f"--oldest is {oldest}, after the day of making, {made}; check the dates.", "oldest"
        )
    row = min(_holding(facts(mixture)), key=lambda one: one.get("days", keeping_rules.DAYS + 1))
    days = row.get("days")
    if days is None:
        return UseBy(None, None, oldest or made, "", row["id"], row["why"], row["storage"],
                     row["source"])  # fmt: skip
    parts = () if oldest is None else (("a part", oldest),)
    counted = keeping_rules.count_days(made, parts, (), days, 0)
    by = "the day of making" if counted.first == made else "the day of the oldest part"
    return UseBy(counted.last, days, counted.first, by, row["id"], row["why"], row["storage"],
                 row["source"])  # fmt: skip


def rules() -> Iterator[Mapping[str, Any]]:
    """Every rule, in the order of the file."""
    return iter(blocks.blocks(FILE, "rule"))


def _holding(known: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    return [row for row in rules() if all(cautions.holds(one, known) for one in row["when"])]
