"""The last day on a label: day 1 is the oldest part's, the strictest rule that holds counts.

A date here is the latest that the rules allow and never says that anything is good until then;
where they know none the answer is to ask.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import NamedTuple

from prepkit import blocks, caution_rows, cautions, derived, sources
from prepkit.errors import BadInput, FileProblem, named
from prepkit.mixture import Mixture
from prepkit.shared import keeping_rules

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
    exempt: bool = False  # the rules ask for no last day, and why says so


def is_habit(source: str) -> bool:
    """Whether what names this source rests on the trade's habit alone, or on nothing known.

    >>> is_habit("SYRUP-TRADE"), is_habit("FOOD-CODE-TIME")
    (True, False)
    """
    found = sources.find(source)
    return found is None or found.obtained == "practice"


class Rule(NamedTuple):
    """A row of the file: the days it allows (None: it knows no date) where all of `when` hold."""

    id: str
    when: tuple[caution_rows.Condition, ...]
    why: str
    storage: str
    source: str
    days: int | None = None
    exempt: bool = False  # none is asked for, where no other rule holds


def facts(mixture: Mixture) -> dict[str, object]:
    """What the rules are judged on."""
    return {
        **cautions.about(mixture),
        **derived.facts(mixture),
        "sugar_percent": 100 * mixture.sugar,
        "water_percent": 100 * mixture.fraction("water"),
        "wet_percent": _wet_percent(mixture),
        "holds": keeping_rules.held((), mixture),
    }


def use_by(mixture: Mixture, made: date, oldest: date | None = None) -> UseBy:
    """The last day of a preparation; `oldest` is the day of its oldest part that had one.

    Raises BadInput where the oldest part is younger than what was made of it.
    """
    if oldest is not None and oldest > made:
        raise BadInput(
            f"{named('oldest')} is {oldest}, after the day of making, {made}; check the dates.",
            "oldest",
        )
    row = chosen(facts(mixture))
    days = row.days
    if days is None:
        return UseBy(None, None, oldest or made, "", row.id, row.why, row.storage,
                     row.source, row.exempt)  # fmt: skip
    parts = () if oldest is None else (("a part", oldest),)
    counted = keeping_rules.count_days(made, parts, (), days, 0)
    by = "the day of making" if counted.first == made else "the day of the oldest part"
    return UseBy(counted.last, days, counted.first, by, row.id, row.why, row.storage,
                 row.source)  # fmt: skip


def chosen(known: Mapping[str, object]) -> Rule:
    """The strictest rule that holds: the fewest days, then "ask", then "exempt", then not known."""

    def order(rule: Rule) -> tuple[int, int]:
        return (
            (0, rule.days) if rule.days is not None else (1 + rule.exempt + 2 * (not rule.when), 0)
        )

    return min(_holding(known), key=order)


def _wet_percent(mixture: Mixture) -> float:
    """Water in what is not fat, %: what germs in it have; 0 in plain fat."""
    rest = 1.0 - mixture.fraction("fat", "milk_fat")
    return 100 * mixture.fraction("water") / rest if rest > 1e-6 else 0.0


@cache
def rules() -> tuple[Rule, ...]:
    """Every rule, in the order of the file. Raises FileProblem on one that cannot be used."""
    found = []
    for table in blocks.blocks(FILE, "rule"):
        try:
            when = tuple(map(caution_rows.condition, table["when"]))
            found.append(Rule(**{**table, "when": when}))
        except (KeyError, TypeError, ValueError) as error:
            name = table.get("id", "no id")
            raise FileProblem(f"the rule {name} in {FILE} cannot be used: {error}.") from error
    return tuple(found)


def _holding(known: Mapping[str, object]) -> list[Rule]:
    return [row for row in rules() if all(one.holds(known) for one in row.when)]
