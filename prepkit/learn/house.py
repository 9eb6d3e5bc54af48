"""What the ledger of a house tells the next plan."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from prepkit.learn.batches import batches
from prepkit.learn.using import taught
from prepkit.plan.prepare import Prepared, prepare
from prepkit.plan.recipe import Recipe
from prepkit.stock.engine import is_server
from prepkit.stock.ledger import open_ledger


def prepared(recipe: Recipe, today: date | None = None) -> Prepared:
    """The recipe prepared with what its house's ledger tells; without a ledger as written.

    Only batches of the house's own site count, and those of today from tomorrow on: a sheet does
    not change while it is worked from. Raises what `prepare` raises, and FileProblem for a
    ledger that cannot be read.
    """
    stock = recipe.house.stock
    if not stock.ledger or not (is_server(stock.ledger) or Path(stock.ledger).exists()):
        return prepare(recipe)
    with open_ledger(stock.ledger, check=False) as ledger:
        found = batches(ledger.measured(site=stock.site))
    today = today or date.today()
    return taught(recipe, [one for one in found if one.day < today])
