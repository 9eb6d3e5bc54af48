"""A production kitchen and its sites, what is sent; what any plan takes from the stock.

The menu file of the kitchen names a menu for each site. The kitchen makes what the sites' drinks
are made of. Foams, and what is under gas or met a cryogen, are never sent: a site makes them from
what is. Its own plan, in its own house, judges that: where it says stop, nothing is made for it.

The oldest is taken first, never past its date, and nothing leaves the ledger here. What could hide
a stop is not taken either: an item that must not be made, a check that it fails, what is made from
such an item, and what goes into a vessel under gas are planned as if there were none of it. So is a
bottle that was filled under gas.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from prepkit.cautions import VERDICTS
from prepkit.errors import BadInput, named
from prepkit.numbers import Moment
from prepkit.plan.filling import Planned
from prepkit.plan.house_file import Container, HouseStock
from prepkit.plan.items import FOAMS, ForSites, Shelf, Weigh, of_part
from prepkit.plan.plan import Plan, plan_of
from prepkit.plan.prepare import Prepared, prepare
from prepkit.plan.recipe_types import Site
from prepkit.plan.sheet import always_of, chargers_of_plan, stops_of
from prepkit.registry import MARKS
from prepkit.stock import Ledger, open_ledger
from prepkit.stock.events import ON_THE_WAY, Event, Holding, oldest_first, shares
from prepkit.units import Measured

if TYPE_CHECKING:
    from prepkit.sheet import (
        PlanSheet,
        SendSheet,
        ShelfBatch,
        ShelfOut,
        ShelfRow,
        ShelfSheet,
        SiteSheet,
        Stop,
    )
    from prepkit.workflows.plan_command import PlanOptions

_MG = 1e6  # in a kg


class Stock(NamedTuple):
    """What a recipe can use of a stock on a day: by name what is used, the oldest first."""

    holdings: Mapping[str, tuple[Holding, ...]] = {}
    out: tuple[ShelfOut, ...] = ()
    site: str = "house"
    on: date = date.min


def read_stock(ledger: Ledger, prepared: Prepared, site: str, on: date) -> Stock:
    """The stock of a site that a recipe can use on a day, and what it cannot use, and why."""
    return usable(ledger.stock_at(site=site), prepared, site, on)


def usable(held: Iterable[Holding], prepared: Prepared, site: str, on: date) -> Stock:
    """The same of what stands there."""
    hidden, kinds = _not_taken(prepared), prepared.recipe.house.stock.containers
    found: dict[str, list[Holding]] = {}
    out: list[ShelfOut] = []
    for holding in oldest_first(held):
        name = holding.cell.item
        if name not in prepared.products and name not in prepared.pantry:
            continue
        why = why_not(holding, on, kinds) or hidden.get(name)
        if why:
            out.append({**batch_sheet(holding, holding.mg), "name": name, "why": why})
        else:
            found.setdefault(name, []).append(holding)
    return Stock({name: tuple(some) for name, some in found.items()}, tuple(out), site, on)


def with_stock(prepared: Prepared, stock: Stock, house: HouseStock) -> Prepared:
    """The recipe with what stands on the shelf, and the pars of the house for its items.

    Raises BadInput for a par in a volume of what has none.
    """
    kg = {name: math.fsum(holding.kg for holding in some) for name, some in stock.holdings.items()}
    hidden = _not_taken(prepared)
    pars = {
        item: par_kg(prepared, item, level)
        for item, level in house.par.items()
        if item in prepared.products and item not in hidden
    }
    shelf = Shelf(kg, pars, prepared.shelf.asked_kg)
    plain = prepared.plain.replaced(shelf=shelf) if prepared.plain is not None else None
    return prepared.replaced(shelf=shelf, plain=plain)


def account(plan: Planned, stock: Stock) -> ShelfSheet:
    """What the plan uses of the stock, by batch, what that leaves, and what is still to be made."""
    rows: list[ShelfRow] = []
    for name, (need, make, par) in _needs(plan).items():
        holdings = stock.holdings.get(name, ())
        have = sum(holding.mg for holding in holdings)
        used, _ = shares(holdings, min(have, round(_MG * need)))
        if not used and not par:
            continue
        used_mg = sum(share.mg for share in used)
        rows.append(
            {
                "name": name,
                "made_here": name in plan.prepared.products,
                "need_g": 1000 * need,
                "used_g": used_mg / 1000,
                "make_g": 1000 * make,
                "left_g": (have - used_mg) / 1000,
                "par_g": 1000 * par if par else None,
                "batches": [batch_sheet(share.holding, share.mg) for share in used],
            }
        )
    return {
        "site": stock.site, "on": stock.on.isoformat(), "rows": rows,
        "not_used": list(stock.out), "taken": False,
    }  # fmt: skip


def taking(plan: Planned, stock: Stock, note: str) -> tuple[Event, ...]:
    """The events that take from the ledger what a plan uses; BadInput where it says stop."""
    if plan.verdict == "stop":
        raise BadInput("the plan says stop, so nothing is taken from the stock.", "take_stock")
    found = []
    for name, (need, _, _) in _needs(plan).items():
        for share in shares(stock.holdings.get(name, ()), round(_MG * need))[0]:
            found.append(
                Event(
                    **share.holding.cell._asdict(), kind="taken", change_mg=-share.mg,
                    note=note[:200].strip(),
                )
            )  # fmt: skip
    return tuple(found)


def _needs(plan: Planned) -> dict[str, tuple[float, float, float]]:
    """By name what is wanted, what must be made or bought beyond the stock, and the par; all kg."""
    prepared, shelf = plan.prepared, plan.prepared.shelf
    demands = prepared.demands(plan.counts)
    found = {}
    for id_, demand in demands.items():
        if demand.stock_kg > 0 or id_ in shelf.par_kg:
            par = shelf.par_kg.get(id_, 0.0)
            found[id_] = (demand.wanted_kg, demand.made_kg, par)
    for name, kg in bought_kg(plan).items():
        if shelf.kg.get(name, 0.0) > 0:
            found[name] = (kg, max(0.0, kg - shelf.kg[name]), 0.0)
    return found


def bought_kg(plan: Planned) -> dict[str, float]:
    """What is weighed of each ingredient over all that may be made and served, kg."""
    items = plan.recipe.items
    found: dict[str, list[float]] = {}
    for made in plan.made:
        for line in made.weigh if made.go else ():
            if line.name not in items:
                found.setdefault(line.name, []).append(line.mass_g / 1000)
    for portion in plan.portions if plan.prepared.sites is None else ():
        if portion.verdict != "stop" and not portion.held_by:
            for part in portion.all_parts:
                if part.name not in items:
                    kg = part.mass_kg * plan.counts[portion.serve.name]
                    found.setdefault(part.name, []).append(kg)
    return {name: math.fsum(some) for name, some in found.items()}


def par_kg(prepared: Prepared, item: str, level: Measured) -> float:
    """A par in kg; BadInput for a volume of what has none."""
    if level.unit == "g":
        return float(level) / 1000
    try:
        return float(level) * 1e-6 * prepared.products[item].density_kg_m3(20.0)
    except BadInput as error:
        raise BadInput(
            f"par.{item} is {level.words()}, and the density of {item} is not known; write its par "
            f"as a weight.",
            "par",
        ) from error


# what is not taken off


def why_not(
    one: Holding, on: date, kinds: Mapping[str, Container], *, on_the_way: bool = False
) -> str:
    """Why a plan may not use a holding on a day; "" where it may.

    `kinds` are the containers of the house; `on_the_way` lets what was sent count as there.
    """
    if one.cell.place == ON_THE_WAY and not on_the_way:
        return "it is still on the way"
    if one.charged:
        return "its bottle is under gas, and a plan would take it as still"
    if one.charged is None and not _never_charged(one, kinds):
        return "nobody told whether its bottle is under gas; tell it with stock measure"
    if one.keeps_on(on):
        return ""
    use_by = one.batch.use_by
    return f"its last day was {use_by.isoformat()}" if isinstance(use_by, date) else (
        "its use by is not known"
    )  # fmt: skip


def _never_charged(one: Holding, kinds: Mapping[str, Container]) -> bool:
    """Whether a bottle of which nobody told can be under no gas: its maker allows no pressure."""
    kind = kinds.get(one.container or "")
    return kind is not None and kind.rated_bar is None


def _not_taken(prepared: Prepared) -> dict[str, str]:
    """By item why its stock is not taken off, where that could hide a stop or a pressure."""
    stopped: set[str] = set()
    found: dict[str, str] = {}
    for one in (prepared, prepared.plain or prepared):
        for id_ in one.order:
            answer = one.ran[id_][1]
            if answer is not None and answer.verdict == "stop":
                stopped.add(id_)
                if id_ not in one.products:  # a check: it stops what it looks at
                    stopped.update(one.uses[id_])
    for id_ in prepared.order:
        if id_ in stopped or stopped.intersection(behind(prepared, id_)):
            found[id_] = "the recipe says stop"
        elif id_ in prepared.products and (
            prepared.ran[id_][1] is None or prepared.products[id_].tags & MARKS
        ):
            found[id_] = "it is under gas or met a cryogen, and is made fresh"
    return found


def behind(prepared: Prepared, id_: str) -> Iterable[str]:
    """All items that one is made from."""
    found: set[str] = set()
    left = [id_]
    while left:
        for used in prepared.uses[left.pop()]:
            if used not in found:
                found.add(used)
                left.append(used)
    return found


def batch_sheet(one: Holding, mg: int) -> ShelfBatch:
    """So much of one holding, as plain data."""
    use_by = one.batch.use_by
    density = one.batch.density_g_m3
    return {
        "batch": one.cell.batch,
        "bottle": one.cell.bottle,
        "place": one.cell.place,
        "g": mg / 1000,
        "ml": 1e3 * mg / density if density else None,
        "use_by": use_by.isoformat() if isinstance(use_by, date) else use_by,
    }


# ---- a production kitchen and its sites ----

_PLENTY_KG = 1e9  # of what the kitchen sends, when a site's own plan is worked out


class SitePlan(NamedTuple):
    """What one site needs: its own plan, what it makes itself, what is sent, what it must buy."""

    site: Site
    plan: Plan
    makes: tuple[str, ...]
    sends: tuple[SendSheet, ...]
    not_used: tuple[ShelfOut, ...] = ()
    buys: tuple[Weigh, ...] = ()

    @property
    def stopped(self) -> bool:
        """Whether its own plan says stop; then nothing is made for it."""
        return self.plan.verdict == "stop"


class Ready(NamedTuple):
    """The kitchen's recipe with what the sites want of it, and each site's plan."""

    prepared: Prepared
    sites: tuple[SitePlan, ...]


def for_sites(prepared: Prepared, stock: Iterable[Holding] | None, on: date) -> Ready:
    """What each site needs beyond what stands there, as what the kitchen must make.

    `stock` is what stands at all sites; None where no ledger is asked.
    """
    held: dict[str, list[Holding]] = {}
    for holding in oldest_first(stock or ()):
        held.setdefault(holding.cell.site, []).append(holding)
    ready: dict[int, Prepared] = {}
    found: list[SitePlan] = []
    for site in prepared.recipe.sites:
        if id(site.recipe) not in ready:
            ready[id(site.recipe)] = prepare(site.recipe)
        own = ready[id(site.recipe)].for_sure(prepared.chance)
        found.append(_of_site(site, own, held.get(site.name, ()), on, par=stock is not None))
    sent = {
        plan.site.name: {
            row["item"]: row["send_g"] / 1000 for row in plan.sends if row["send_g"] > 0
        }
        for plan in found
    }  # fmt: skip
    lines = tuple((line, plan.site.name) for plan in found for line in plan.buys)
    chargers: dict[str, int] = {}
    for plan in found:
        if not plan.stopped:
            for gas, count in chargers_of_plan(plan.plan).items():
                chargers[gas] = chargers.get(gas, 0) + count
    sites = ForSites(sent, lines, chargers)
    plain = None if prepared.plain is None else prepared.plain.replaced(sites=sites)
    return Ready(prepared.replaced(sites=sites, plain=plain), tuple(found))


def _of_site(
    site: Site, prepared: Prepared, held: Iterable[Holding], on: date, *, par: bool
) -> SitePlan:
    """The plan of one site, as if there were plenty of what the kitchen can send."""
    own = _made_there(prepared, site.makes)
    sendable = [id_ for id_ in prepared.products if id_ not in own]
    stock = site.recipe.house.stock
    shelf = Shelf(dict.fromkeys(sendable, _PLENTY_KG))
    plan = plan_of(prepared.replaced(shelf=shelf), site.counts)
    makes = tuple(item.item.id for item in plan.made if item.item.id in prepared.products)
    if plan.verdict == "stop":
        return SitePlan(site, plan, makes, ())
    demands = plan.prepared.demands(plan.counts)
    usable: dict[str, list[Holding]] = {}
    out: list[ShelfOut] = []
    for holding in held:
        name = holding.cell.item
        if name in prepared.products or name in prepared.pantry:
            why = why_not(holding, on, stock.containers, on_the_way=True)
            if not why and name in own:
                why = "it is made fresh at the site"
            if why:
                out.append({**batch_sheet(holding, holding.mg), "name": name, "why": why})
            else:
                usable.setdefault(name, []).append(holding)
    sends: list[SendSheet] = []
    for id_ in sendable:
        need = demands[id_].stock_kg
        level = par_kg(prepared, id_, stock.par[id_]) if par and id_ in stock.par else 0.0
        stands, way = (
            math.fsum(
                holding.kg for holding in usable.get(id_, ())
                if (holding.cell.place == ON_THE_WAY) == there
            )
            for there in (False, True)
        )  # fmt: skip
        if need <= 0 and level <= 0:
            continue
        send = need + level - stands - way
        sends.append(
            {
                "item": id_, "need_g": 1000 * need, "stands_g": 1000 * stands,
                "on_the_way_g": 1000 * way, "par_g": 1000 * level if level else None,
                "send_g": 1000 * send if send > 1e-9 * (need + level) else 0.0,
            }
        )  # fmt: skip
    buys = _bought(
        plan, {name: math.fsum(holding.kg for holding in some) for name, some in usable.items()}
    )
    return SitePlan(site, plan, makes, tuple(sends), tuple(out), tuple(buys))


def _made_there(prepared: Prepared, makes: Iterable[str]) -> set[str]:
    """What is made at the site: what the file says, foams, what is under gas or met a cryogen."""
    own = set(makes)
    for id_ in prepared.order:
        product = prepared.products.get(id_)
        foam = prepared.recipe.items[id_].calculator in FOAMS
        gas = prepared.ran[id_][1] is None or (product is not None and product.tags & MARKS)
        if product is None or foam or gas:
            own.add(id_)
    return own


def _bought(plan: Planned, stands_kg: Mapping[str, float]) -> Iterable[Weigh]:
    """What a site weighs of each ingredient beyond what stands there."""
    items = plan.recipe.items
    lines = [line for made in plan.made if made.go for line in made.weigh]
    for portion in plan.portions:
        lines += [
            of_part(part).scaled(plan.counts[portion.serve.name]) for part in portion.all_parts
        ]
    for name, kg in bought_kg(plan).items():
        share = max(0.0, 1.0 - stands_kg.get(name, 0.0) / kg) if kg > 0 else 0.0
        if share > 0 and name not in items:
            yield from (line.scaled(share) for line in lines if line.name == name)


# as plain data


def add_sites(said: PlanSheet, ready: Ready, plan: Planned) -> str:
    """Put the sites on the sheet of the kitchen's plan; the verdict of all of it.

    What the kitchen must not make has no amount to send.
    """
    out = {item.item.id for item in plan.made if not item.go}
    # what is sent is made of what the kitchen has, so that its allergens count at each site too
    here = {portion.serve.name: portion.mixture.allergens for portion in plan.portions}
    said["sites"] = [_site_sheet(site, out, here) for site in ready.sites]
    there = {id_ for site in ready.sites for id_ in site.makes}
    said["not_made"] = [id_ for id_ in said["not_made"] if id_ not in there]
    gassy = [site.plan for site in ready.sites if any(made.filling for made in site.plan.made)]
    if gassy:  # the short lines are those of the work that is most dangerous
        said["always"] = always_of(gassy[0])
    verdicts = [said["verdict"], *(site.plan.verdict for site in ready.sites)]
    said["verdict"] = max(verdicts, key=VERDICTS.index)
    said["stops"] = [*said["stops"], *(stop for site in ready.sites for stop in _stops(site))]
    return said["verdict"]


def _stops(site_plan: SitePlan) -> list[Stop]:
    return [
        {**stop, "of": f"{site_plan.site.name}: {stop['of']}"} for stop in stops_of(site_plan.plan)
    ]


def _site_sheet(
    site_plan: SitePlan, out: Collection[str], here: Mapping[str, frozenset[str]]
) -> SiteSheet:
    return {
        "site": site_plan.site.name,
        "menu": site_plan.site.recipe.file,
        "verdict": site_plan.plan.verdict,
        "drinks": [
            {
                "name": portion.serve.name,
                "serves": site_plan.plan.counts[portion.serve.name],
                "allergens": sorted(
                    name.replace(":", ": ")
                    for name in portion.mixture.allergens
                    | here.get(portion.serve.name, frozenset())
                ),
            }
            for portion in site_plan.plan.portions
        ],
        "makes": list(site_plan.makes),
        "sends": [row for row in site_plan.sends if row["item"] not in out],
        "held": [row["item"] for row in site_plan.sends if row["item"] in out],
        "not_used": list(site_plan.not_used),
    }


def events_of(plan: Planned, stock: Stock, ready: Ready, note: str) -> tuple[Event, ...]:
    """What leaves the kitchen's stock: sent to the sites what stands ready, taken what is used.

    BadInput where anything says stop.
    """
    if plan.verdict == "stop" or any(site_plan.stopped for site_plan in ready.sites):
        raise BadInput("the plan says stop, so nothing is taken from the stock.", "take_stock")
    demands = plan.prepared.demands(plan.counts)
    sites = plan.prepared.sites
    sent = {} if sites is None else sites.sent_kg
    found: list[Event] = []
    for name, holdings in stock.holdings.items():
        left = list(holdings)
        for site, items in sent.items() if name in demands else ():
            took, _ = shares(left, round(1e6 * items.get(name, 0.0)))
            for share in took:
                cell = share.holding.cell
                found.append(
                    Event(
                        **cell._asdict(), kind="sent", change_mg=-share.mg, to_site=site,
                        to_place=ON_THE_WAY, to_bottle=cell.bottle, note=note[:200].strip(),
                    )
                )  # fmt: skip
            left = _less(left, took)
        used = demands[name].by if name in demands else {}
        wanted = math.fsum(kg for by, kg in used.items() if by in demands)
        if name not in demands:
            wanted = bought_kg(plan).get(name, 0.0)
        for share in shares(left, round(1e6 * wanted))[0]:
            found.append(
                Event(
                    **share.holding.cell._asdict(), kind="taken", change_mg=-share.mg,
                    note=note[:200].strip(),
                )
            )  # fmt: skip
    return tuple(found)


def _less(holdings: Sequence[Holding], took: Iterable[tuple[Holding, int]]) -> list[Holding]:
    """What is left of holdings after shares of them."""
    gone = {holding.cell: mg for holding, mg in took}
    return [
        holding._replace(mg=holding.mg - gone.get(holding.cell, 0))
        for holding in holdings
        if holding.mg > gone.get(holding.cell, 0)
    ]


# ---- the stock of a house for a plan ----


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
        here = [holding for holding in held if holding.cell.site == house.site]
        stock = usable(here, ready.prepared, house.site, day)
        shelf = Shelved(place, stock, with_stock(ready.prepared, stock, house))
    whole = ready.prepared if shelf is None else shelf.prepared
    counts = prepared.recipe.counts()
    for site in ready.sites:  # what is stopped at a site is not served there
        if site.stopped:
            counts = {name: n - site.site.counts.get(name, 0) for name, n in counts.items()}
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
