"""Legal limits and reference intakes by id, substance and jurisdiction (data/limits.toml)."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from prepkit import blocks, jurisdictions
from prepkit.errors import UnknownIngredient

JURISDICTIONS = ("EU", "US", "Codex")


class Limit(NamedTuple):
    """One row: the most of a substance in a product under one set of rules."""

    id: str
    substance: str
    product: str
    jurisdiction: str
    value: float
    unit: str
    source: str
    obtained: str
    note: str = ""
    year: int | None = None  # of the text; None where it is not known


@cache
def rows() -> tuple[Limit, ...]:
    """Every limit, in file order."""
    return tuple(Limit(**row) for row in blocks.blocks("limits.toml", "limit"))


def find(name: str) -> Limit:
    """The limit of an id; UnknownIngredient where there is none.

    >>> find("gum-arabic-drinks-us").value
    2.0
    """
    for row in rows():
        if row.id == name:
            return row
    raise UnknownIngredient(f'there is no limit "{name}"; see data/limits.toml for the ids.')


@cache
def rule(substance: str, key: str | None) -> tuple[str, str]:
    """What a place says of a substance, as a sentence, and its source; `key` None: none was told.

    >>> rule("quinine", "US")
    ('US rules allow it in carbonated drinks only, up to 83 mg/kg', 'CFR-21-172-QUININE')
    >>> rule("thujone", "New Zealand")[1]
    'CFR-21-172-510'
    """
    rows_ = blocks.blocks("place_rules.toml", "rule", (f'substance = "{substance}"',))
    by_place = {row["place"]: row for row in rows_}
    wanted = ("",) if key is None else (*jurisdictions.chain(key), "other")
    row = next(by_place[place] for place in wanted if place in by_place)
    values = {one.id: one.value for one in rows()}
    return row["text"].format_map(values), row["source"]


def rules(tags: frozenset[str], key: str | None) -> dict[str, str]:
    """Facts of what a place says of the substances among the tags of a mixture."""
    found: dict[str, str] = {}
    for substance in ("quinine", "thujone"):
        if substance in tags:
            text, source = rule(substance, key)
            found |= {f"{substance}_rule": text, f"{substance}_source": source}
    return found


def of(substance: str, jurisdiction: str | None = None) -> tuple[Limit, ...]:
    """The limits of a substance, all or those of one jurisdiction.

    >>> [(row.jurisdiction, row.value) for row in of("ester gum")]
    [('US', 100), ('Codex', 150)]
    >>> [row.product for row in of("coumarin", "EU")]  # no limit of the EU for drinks
    ['daily intake per kg of body']
    """
    return tuple(
        row
        for row in rows()
        if row.substance == substance and jurisdiction in (None, row.jurisdiction)
    )
