"""The rows of the stock on a screen: what stands, and what was typed beside it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from hashlib import sha256

from prepkit.errors import BadInput, named
from prepkit.stock.events import MOST_MG, ON_THE_WAY, Cell
from prepkit.stock.holding import Holding, oldest_first
from prepkit.stock.ledger import Ledger
from prepkit.stock.words import amount_words
from prepkit.units import parse_quantity
from prepkit.workflows.stock_text import day_words, gas_words, past, reading_words

_LOOK_BACK = 1000  # events that are looked through for what no longer stands
_MOST = 10 * MOST_MG / 1000  # g or ml, above what any batch has


def key_of(cell: Cell) -> str:
    """The name of a cell in a form: the same at every look, and nobody's own words."""
    return sha256(json.dumps(cell).encode()).hexdigest()[:16]


@dataclass(frozen=True)
class Row:
    """One cell of the stock with what is known of it, and what was typed of it."""

    held: Holding
    today: date
    typed: str = ""
    reason: str = ""
    problem: str = ""

    @property
    def key(self) -> str:
        """Its name in the form."""
        return key_of(self.held.cell)

    @property
    def amount(self) -> str:
        """How much stands."""
        return amount_words(self.held.mg, self.held.batch.density_g_m3)

    @property
    def unit(self) -> str:
        """The unit of a bare number: ml where the density is known, else g."""
        return "ml" if self.held.batch.density_g_m3 else "g"

    @property
    def about(self) -> str:
        """Where it stands, its batch, its dates and its reading, in one line."""
        cell, batch = self.held.cell, self.held.batch
        use_by = day_words(batch.use_by)
        told = (
            cell.place,
            f"batch {cell.batch}",
            " ".join(filter(None, ("bottle", cell.bottle, self.held.container)))
            if cell.bottle
            else "",
            gas_words(self.held),
            f"made {day_words(batch.made_on)}" if batch.made_on else "",
            use_by and f"use by {use_by}",
            reading_words(batch.reading),
        )
        return ", ".join(filter(None, told))

    @property
    def short(self) -> str:
        """Its name for a label, so that no two rows sound the same."""
        cell = self.held.cell
        bottle = cell.bottle and f"bottle {cell.bottle}"
        return " ".join(filter(None, (cell.item, cell.batch, bottle, cell.place)))

    @property
    def past(self) -> bool:
        """Whether its last day has passed."""
        return past(self.held, self.today)

    @property
    def undated(self) -> bool:
        """Whether nobody told its last day."""
        return self.held.batch.use_by is None

    @property
    def on_the_way(self) -> bool:
        """Whether it was sent here and not received yet."""
        return self.held.cell.place == ON_THE_WAY


def in_order(rows: Iterable[Row]) -> list[Row]:
    """What is past its date first, then place by place, each item oldest first."""
    found = {one.key: one for one in rows}
    oldest = [found[key_of(one.cell)] for one in oldest_first(row.held for row in found.values())]
    return sorted(
        oldest,
        key=lambda one: (False,) if one.past else (True, one.held.cell.place, one.held.cell.item),
    )


def with_gone(
    ledger: Ledger, site: str, stands: Iterable[Holding], keys: Iterable[str]
) -> dict[str, Holding]:
    """What stands by its key, with cells of `keys` that stood until lately, as 0."""
    found = {key_of(one.cell): one for one in stands}
    lacking = set(keys) - set(found)
    if lacking:
        for event in ledger.events(site=site, newest_first=True, most=_LOOK_BACK):
            for cell, _ in event.effects():
                if cell.site == site and key_of(cell) in lacking:
                    gone = Holding(cell, 0, ledger.batch(cell.item, cell.batch))
                    found.setdefault(key_of(cell), gone)
    return found


def mg_of(words: str, held: Holding) -> int:
    """An amount as it was typed, in whole mg; a bare number is in the row's unit.

    Raises BadInput where it is not an amount, is less than 0, or more than any batch.
    """
    density = held.batch.density_g_m3
    found = parse_quantity(words, ("ml", "g") if density else ("g",), named("amount"), bare=True)
    if found.plus_minus:
        raise BadInput(f'{named("amount")} is "{words}"; write one number, without a ±.', "amount")
    if not 0 <= found <= _MOST:
        right = "write 0 or more" if found < 0 else "no batch is that large"
        raise BadInput(f'{named("amount")} is "{words}"; {right}.', "amount")
    return round(found * density / 1000 if density and found.unit == "ml" else 1000 * found)


def all_if_shown(mg: int, held: Holding) -> int:
    """All that stands, where an amount is the one that the row shows of it."""
    density = held.batch.density_g_m3
    return held.mg if amount_words(mg, density) == amount_words(held.mg, density) else mg


def seen_of(form: Mapping[str, str], key: str) -> int | None:
    """What the row showed to who counted, mg; None where it did not say."""
    words = form.get(f"seen.{key}", "")
    return int(words) if words.isascii() and words.isdigit() and len(words) < 20 else None
