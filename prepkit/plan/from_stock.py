"""What a plan takes from the stock: the oldest first, never past its date; what is left to make.

Nothing is taken from the ledger here. What could hide a stop is not taken either: an item that must
not be made, a check that it fails, what is made from such an item, and what goes into a vessel
under gas are planned as if there were none of it. So is a bottle that was filled under gas.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from prepkit.errors import BadInput
from prepkit.plan.filling import Planned
from prepkit.plan.house_file import HouseStock
from prepkit.plan.items import Shelf
from prepkit.plan.prepare import Prepared
from prepkit.registry import MARKS
from prepkit.stock.bottles import Container
from prepkit.stock.events import ON_THE_WAY, Event, Holding, oldest_first, shares
from prepkit.stock.ledger import Ledger
from prepkit.units import Measured

if TYPE_CHECKING:
    from prepkit.sheet import ShelfBatch, ShelfOut, ShelfRow, ShelfSheet

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
    for one in oldest_first(held):
        name = one.cell.item
        if name not in prepared.products and name not in prepared.pantry:
            continue
        why = why_not(one, on, kinds) or hidden.get(name)
        if why:
            out.append({**batch_sheet(one, one.mg), "name": name, "why": why})
        else:
            found.setdefault(name, []).append(one)
    return Stock({name: tuple(some) for name, some in found.items()}, tuple(out), site, on)


def with_stock(prepared: Prepared, stock: Stock, house: HouseStock) -> Prepared:
    """The recipe with what stands on the shelf, and the pars of the house for its items.

    Raises BadInput for a par in a volume of what has none.
    """
    kg = {name: math.fsum(one.kg for one in some) for name, some in stock.holdings.items()}
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
        have = sum(one.mg for one in holdings)
        used, _ = shares(holdings, min(have, round(_MG * need)))
        if not used and not par:
            continue
        used_mg = sum(one.mg for one in used)
        rows.append(
            {
                "name": name,
                "made_here": name in plan.prepared.products,
                "need_g": 1000 * need,
                "used_g": used_mg / 1000,
                "make_g": 1000 * make,
                "left_g": (have - used_mg) / 1000,
                "par_g": 1000 * par if par else None,
                "batches": [batch_sheet(one.holding, one.mg) for one in used],
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
        for one in shares(stock.holdings.get(name, ()), round(_MG * need))[0]:
            found.append(
                Event(
                    **one.holding.cell._asdict(), kind="taken", change_mg=-one.mg,
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
