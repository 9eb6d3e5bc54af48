"""How cold and how hot food is held, by place (data/holding.toml)."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from prepkit import blocks, jurisdictions
from prepkit.facts import Facts
from prepkit.mixture import Mixture
from prepkit.model import Column, Table
from prepkit.shared import use_by

FILE = "holding.toml"


class Holding(NamedTuple):
    """One place: cold food at most `cold_c`, hot food at least `hot_c`, both in C."""

    jurisdiction: str
    cold_c: float
    hot_c: float
    more: str
    source: str
    obtained: str


@cache
def rows() -> tuple[Holding, ...]:
    """Every place, in file order."""
    return tuple(Holding(**row) for row in blocks.blocks(FILE, "holding"))


@cache
def of(key: str | None) -> Holding:
    """What holds in a place; the strictest of those read where it is None or has no figure.

    >>> of("UK").hot_c, of("California").hot_c, of("DE").hot_c
    (63, 57, 65)
    >>> of(None).cold_c, of(None).hot_c
    (5, 65)
    """
    for place in jurisdictions.chain(key) if key is not None else ():
        for row in rows():
            if row.jurisdiction == place:
                return row
    read = [row for row in rows() if row.obtained == "read"]
    coldest = min(read, key=lambda row: row.cold_c)
    return coldest._replace(
        jurisdiction=jurisdictions.STRICTEST,
        hot_c=max(row.hot_c for row in read),
        more="The strictest of the figures that were read.",
    )


def hot_facts(held_c: float, product: Mixture, key: str | None) -> Facts:
    """Facts of a product kept hot at `held_c`, C, by the rule of a place.

    A ± of the temperature counts to the cold side. What needs no last day needs no heat.
    """
    law = of(key)
    least_c = float(held_c) - float(getattr(held_c, "plus_minus", 0.0))
    exempt = use_by.chosen(use_by.facts(product)).exempt
    return {
        "held_c": float(held_c),
        "held_short_k": 0.0 if exempt else max(law.hot_c - least_c, 0.0),
        "hot_limit_c": float(law.hot_c),
        "holding_place": where(law),
        "holding_source": law.source,
    }


def where(row: Holding) -> str:
    """The place as a sentence names it.

    >>> where(of("UK")), where(of(None))
    ('the UK', 'the strictest rule read')
    """
    if row.jurisdiction == jurisdictions.STRICTEST:
        return "the strictest rule read"
    return jurisdictions.name(row.jurisdiction)


def table(key: str | None) -> Table:
    """One place's holding, with how its figures were obtained."""
    row = of(key)
    memory = " (from memory)" if row.obtained == "memory" else ""
    columns = (Column("place"), Column("cold, at most", "C", 0), Column("hot, at least", "C", 0),
               Column("also"))  # fmt: skip
    line = (where(row) + memory, float(row.cold_c), float(row.hot_c), row.more)
    return Table("holding", "hot and cold holding", columns, (line,))
