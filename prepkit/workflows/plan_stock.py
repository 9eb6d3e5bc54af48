"""The stock of a house for a plan: read from its ledger, and taken from it where that is asked."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from prepkit.clock import Moment
from prepkit.errors import BadInput, named
from prepkit.plan.from_stock import Stock, account, read_stock, taking, with_stock
from prepkit.plan.made import Planned
from prepkit.plan.prepare import Prepared
from prepkit.sheet import ShelfSheet
from prepkit.stock.ledger import open_ledger

if TYPE_CHECKING:
    from prepkit.workflows.plan_work import PlanOptions


class Shelved(NamedTuple):
    """A recipe with the stock of its house."""

    ledger: str
    stock: Stock
    prepared: Prepared

    def account(self, plan: Planned, *, take: bool) -> ShelfSheet:
        """What the plan uses; with `take` it is taken from the ledger, all of it or nothing."""
        said = account(plan, self.stock)
        if take:
            events = taking(plan, self.stock, f"for {plan.recipe.title}")
            if events:
                with open_ledger(self.ledger) as ledger:
                    ledger.append(*events)
            said["taken"] = bool(events)
        return said


def shelf_of(asked: PlanOptions, prepared: Prepared) -> Shelved:
    """The stock that a plan may use: on the day of service, never judged by a day before today."""
    house = prepared.recipe.house.stock
    place = asked.stock or house.ledger
    if not place:
        raise BadInput(
            f"no ledger is named. Give {named('stock', 'house.db')}, or write it in the house "
            f'file: [stock] and ledger = "house.db".',
            "stock",
        )
    day = date.today()
    if asked.service is not None:
        service = Moment.read(asked.service, named("service"))
        day = max(day, service.at.date()) if service.dated else day
    with open_ledger(place) as ledger:
        stock = read_stock(ledger, prepared, house.site, day)
    return Shelved(place, stock, with_stock(prepared, stock, house))
