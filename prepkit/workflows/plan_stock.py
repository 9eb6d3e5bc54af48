"""The stock of a house for a plan: read from its ledger, and taken from it where that is asked."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from prepkit.clock import Moment
from prepkit.errors import BadInput, named
from prepkit.plan.from_stock import Stock, account, read_stock, taking, usable, with_stock
from prepkit.plan.made import Planned
from prepkit.plan.plan import Plan, plan_of
from prepkit.plan.prepare import Prepared
from prepkit.plan.sites import Ready, add_sites, events_of, for_sites
from prepkit.sheet import PlanSheet, ShelfSheet
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


class Kitchen(NamedTuple):
    """A production kitchen's plan: what its sites want of it, and its own stock where asked."""

    ready: Ready
    plan: Plan
    shelf: Shelved | None

    def sheet(self, said: PlanSheet, *, take: bool) -> PlanSheet:
        """The sheet with the sites; with `take` what leaves the kitchen is put into the ledger."""
        if self.shelf is not None:
            said["stock"] = account(self.plan, self.shelf.stock)
            if take:
                note = f"for {self.plan.recipe.title}"
                events = events_of(self.plan, self.shelf.stock, self.ready, note)
                if events:
                    with open_ledger(self.shelf.ledger) as ledger:
                        ledger.append(*events)
                said["stock"]["taken"] = bool(events)
        add_sites(said, self.ready, self.plan)
        return said


def kitchen(asked: PlanOptions, prepared: Prepared) -> Kitchen:
    """The plan of a production kitchen for all its sites, less what stands there and here."""
    for key, given in (
        ("serves", asked.serves is not None),
        ("from", bool(asked.have)),
        ("fill", bool(asked.fill)),
        ("compare", asked.compare is not None),
    ):
        if given:
            raise BadInput(
                f"{named(key)} does not go with a menu of several sites; write serves at each "
                f"[[site]].",
                key,
            )
    if asked.stock is None:
        ready, shelf = for_sites(prepared, None, date.today()), None
    else:
        place, day = _ledger(asked, prepared), _day(asked)
        with open_ledger(place) as ledger:
            held = ledger.stock_at()
        ready = for_sites(prepared, held, day)
        house = prepared.recipe.house.stock
        here = [one for one in held if one.cell.site == house.site]
        stock = usable(here, ready.prepared, house.site, day)
        shelf = Shelved(place, stock, with_stock(ready.prepared, stock, house))
    whole = ready.prepared if shelf is None else shelf.prepared
    counts = prepared.recipe.counts()
    for one in ready.sites:  # what is stopped at a site is not served there
        if one.stopped:
            counts = {name: n - one.site.counts.get(name, 0) for name, n in counts.items()}
    return Kitchen(ready, plan_of(whole, counts), shelf)


def shelf_of(asked: PlanOptions, prepared: Prepared) -> Shelved:
    """The stock that a plan may use: on the day of service, never judged by a day before today."""
    house = prepared.recipe.house.stock
    place, day = _ledger(asked, prepared), _day(asked)
    with open_ledger(place) as ledger:
        stock = read_stock(ledger, prepared, house.site, day)
    return Shelved(place, stock, with_stock(prepared, stock, house))


def _ledger(asked: PlanOptions, prepared: Prepared) -> str:
    """Where the ledger is: as it was said, else as the house file names it."""
    house = prepared.recipe.house.stock
    place = asked.stock or house.ledger
    if not place:
        raise BadInput(
            f"no ledger is named. Give {named('stock', 'house.db')}, or write it in the house "
            f'file: [stock] and ledger = "house.db".',
            "stock",
        )
    return place


def _day(asked: PlanOptions) -> date:
    """The day of service, and no day before today."""
    day = date.today()
    if asked.service is not None:
        service = Moment.read(asked.service, named("service"))
        day = max(day, service.at.date()) if service.dated else day
    return day
