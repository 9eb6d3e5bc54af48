"""What the command line asks of the stock, and the text that answers it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import date, datetime
from typing import NamedTuple

from prepkit import house_place
from prepkit.clock import Moment
from prepkit.errors import BadInput, FileProblem, named
from prepkit.mixture import Mixture
from prepkit.numbers import parse_number
from prepkit.plan.house import House, house_in
from prepkit.stock import actions, bottles, csv_files
from prepkit.stock.actions import Where
from prepkit.stock.amounts import Amount, Known, day, known_of, read_amount, use_by
from prepkit.stock.engine import Engine, connect, is_server
from prepkit.stock.events import Event, not_ahead, now
from prepkit.stock.holding import Holding
from prepkit.stock.ledger import Ledger, cell_words, open_ledger, readable_events
from prepkit.stock.verify import rebuild
from prepkit.stock.verify import verify as verified
from prepkit.stock.words import amount_words
from prepkit.units import parse_quantity

_MOST_EVENTS = 10_000
_FIRST_YEAR, _LAST_YEAR = 2000, 9000


class Said(NamedTuple):
    """The words of one command line; None and False where they were not given."""

    words: str = ""
    ledger: str | None = None
    site: str | None = None
    house: str | None = None
    place: str | None = None
    batch: str | None = None
    bottle: str | None = None
    at: str | None = None
    made_on: str | None = None
    use_by: str | None = None
    density: str | None = None
    recipe: str | None = None
    new: bool = False
    who: str | None = None
    note: str | None = None
    reason: str | None = None
    into: str | None = None
    frozen: bool = False
    charged: bool = False
    pour: str | None = None
    to: str | None = None
    to_site: str | None = None
    most: str = "20"
    as_json: bool = False
    rebuild: bool = False
    damaged: bool = False


class Desk(NamedTuple):
    """The house, and where its ledger and its things are."""

    house: House
    ledger: str
    site: str

    def open(self, *, create: bool = False) -> Ledger:
        """Its ledger."""
        return open_ledger(self.ledger, create=create)


def desk(said: Said) -> Desk:
    """The house and its ledger; BadInput where no ledger is named."""
    house = house_in(house_place.folder(said.house))
    place = said.ledger or house.stock.ledger
    if not place:
        raise BadInput(
            f"no ledger is named. Give {named('ledger', 'house.db')}, or write it in the house "
            f'file: [stock] and ledger = "house.db".',
            "ledger",
        )
    return Desk(house, place, said.site or house.stock.site)


def _where(said: Said, at: Desk) -> Where:
    return Where(at.site, said.place, said.batch, said.bottle)


def _known(ledger: Ledger, said: Said) -> Known:
    """The items of the ledger and of the recipe that was named, with their densities."""
    products: dict[str, Mixture] = {}
    if said.recipe is not None:
        from prepkit.plan.prepare import prepare
        from prepkit.plan.recipe import load_recipe

        products = dict(prepare(load_recipe(said.recipe, house=said.house)).products)
    return known_of(ledger.densities(), products)


def _amount(said: Said, at: Desk, ledger: Ledger) -> Amount:
    return read_amount(
        said.words,
        at.house.pantry,
        _known(ledger, said),
        density=said.density,
        new=said.new,
    )


def _in_stock(said: Said, at: Desk, ledger: Ledger) -> Amount:
    """An amount of something that the ledger has; BadInput with the nearest names otherwise."""
    found = _amount(said, at, ledger)
    return found._replace(item=_item(found.item, ledger))


def _item(name: str, ledger: Ledger) -> str:
    """The name of an item of the ledger; BadInput with the nearest."""
    from prepkit.near import nearest

    known = ledger.items()
    for one in (name, name.lower()):
        if one in known:
            return one
    hint = nearest(name, known) if known else "the ledger is empty"
    raise BadInput(f'no "{name}" is in the ledger; {hint}.', "item")


def _time(said: Said) -> datetime:
    """When it happened: a time of day is of today."""
    if said.at is None:
        return now()
    moment = Moment.read(said.at, named("at"))
    here = moment.at
    if not moment.dated:
        here = datetime.combine(date.today(), moment.at.time())
    if not _FIRST_YEAR <= here.year < _LAST_YEAR:
        raise BadInput(
            f'{named("at")} is "{said.at}"; write a time from {_FIRST_YEAR} on that has passed.',
            "at",
        )
    return not_ahead(here.astimezone())


# adding


def add(said: Said) -> str:
    """A batch is added, and filled into containers where they are named."""
    at = desk(said)
    with at.open(create=True) as ledger:
        found = _amount(said, at, ledger)
        event = _new_batch(said, at, found, "bought" if found.pantry else "made")
        if event.use_by is None:
            raise BadInput(
                f"until when does {found.item} keep? Add {named('use_by', '5 d')}, a day, or none.",
                "use_by",
            )
        fills = _fills(said, at, found) if said.into else None
        stands = actions.add(ledger, event, _filled(fills, found) if fills else ())
        out = [f"added: {_of_event(ledger, stands)}"]
        if fills:
            out += _bottled(said, at, fills, 1)
    return _lines(out)


def _new_batch(said: Said, at: Desk, found: Amount, kind: str) -> Event:
    """The event that a batch begins with."""
    when = _time(said)
    here = when.astimezone().date()
    made_on = day(said.made_on, "made_on", here) if said.made_on else here
    return Event(
        kind=kind,
        item=found.item,
        batch=said.batch or made_on.isoformat(),
        change_mg=found.mg,
        site=at.site,
        place=said.place if said.place is not None else at.house.stock.place,
        at=when,
        density_g_m3=found.density_g_m3,
        made_on=made_on,
        use_by=use_by(said.use_by, made_on, found.keeps),
        who=said.who or "",
        note=said.note or "",
    )


def _fills(said: Said, at: Desk, found: Amount) -> bottles.Division:
    """The containers that an amount is divided over."""
    if found.density_g_m3 is None:
        raise BadInput(
            f"a container holds a volume, and the density of {found.item} is not known; add "
            f"{named('density', '1.05 g/ml')}.",
            "density",
        )
    names = [one for one in (said.into or "").split(",") if one.strip()]
    known = at.house.stock.containers
    return bottles.divide(
        1e3 * found.mg / found.density_g_m3,
        [bottles.container_of(one, known) for one in names],
        frozen=said.frozen,
        charged=said.charged,
    )


def _filled(division: bottles.Division, found: Amount) -> tuple[tuple[str, int], ...]:
    """The mass in each container: whole mg, and all of the batch together."""
    assert found.density_g_m3 is not None
    each = [round(one.ml * found.density_g_m3 / 1e3) for one in division.fills]
    each[-1] += found.mg - sum(each)
    return tuple(
        (one.container.name, mg) for one, mg in zip(division.fills, each, strict=True) if mg > 0
    )


def _bottled(said: Said, at: Desk, division: bottles.Division, first: int) -> list[str]:
    """What was filled, in words."""
    from prepkit.cautions import page_line

    last = first + len(division.fills) - 1
    numbers = f"number {first}" if last == first else f"numbers {first} to {last}"
    out = [f"filled: {division.words} ({numbers})"]
    if said.pour:
        pour = float(parse_quantity(said.pour, ("ml",), named("pour"), example="60 ml",
                                    measures=at.house.pantry.measures))  # fmt: skip
        sizes = dict.fromkeys(one.ml for one in division.fills)
        told = ", ".join(f"{bottles.pours(ml, pour)} in {ml:.0f} ml" for ml in sizes)
        out.append(f"pours of {pour:g} ml: {told}")
    if said.charged:
        out.append(f"CARE  {page_line('bottles-charged')}")
    if said.frozen:
        out.append(f"CARE  {page_line('bottles-frozen')}")
    return out


def fill(said: Said) -> str:
    """What stands loose of a batch is filled into containers."""
    at = desk(said)
    with at.open() as ledger:
        item = _item(said.words, ledger)
        where = _where(said, at)._replace(bottle="")
        loose = where.of(ledger, item)
        if not loose:
            raise BadInput(f"nothing of {where.words(item)} stands outside of bottles.", "item")
        one = loose[0]
        if len({each.cell.batch for each in loose}) > 1 and said.batch is None:
            names = ", ".join(f'"{each.cell.batch}"' for each in loose[:8])
            raise BadInput(f"which batch of {item}? Add {named('batch')}: {names}.", "batch")
        found = Amount(item, one.mg, one.batch.density_g_m3)
        division = _fills(said, at, found)
        first = actions.fill_bottles(ledger, one, _filled(division, found), who=said.who or "")[0]
        return _lines(_bottled(said, at, division, int(first.to_bottle or 1)))


# changing


def take(said: Said) -> str:
    """An amount is taken."""
    return _gone(said, "taken")


def serve(said: Said) -> str:
    """An amount is served."""
    return _gone(said, "served")


def discard(said: Said) -> str:
    """An amount is thrown away."""
    return _gone(said, "discarded")


def _gone(said: Said, kind: str) -> str:
    at = desk(said)
    with at.open() as ledger:
        found = _in_stock(said, at, ledger)
        where = _where(said, at)
        done = actions.take(
            ledger,
            found.item,
            found.mg,
            where,
            kind=kind,
            reason=said.reason or "",
            who=said.who or "",
            note=said.note or "",
            at=_time(said),
        )
        out = [f"{kind}: {_of_event(ledger, one)}" for one in done]
        return _lines([*out, _left(ledger, found.item, at.site)])


def count(said: Said) -> str:
    """What was counted is what stands."""
    at = desk(said)
    with at.open(create=True) as ledger:
        found = _amount(said, at, ledger)
        where = _where(said, at)
        opening = None
        if found.mg > 0:
            opening = _new_batch(said, at, found, "counted")
            if opening.use_by is None and not where.of(ledger, found.item) and not said.batch:
                raise BadInput(
                    f"{found.item} is new here. Until when does it keep? Add "
                    f"{named('use_by', '5 d')}, a day, or none.",
                    "use_by",
                )
        done = actions.count(
            ledger,
            found.item,
            found.mg,
            where,
            who=said.who or "",
            note=said.note or "",
            at=_time(said),
            opening=opening,
        )
        change = sum(one.change_mg for one in done)
        density = ledger.batch(found.item, done[0].batch).density_g_m3
        more = "as the ledger says" if not change else (
            f"{amount_words(abs(change), density)} {'more' if change > 0 else 'less'} than the "
            f"ledger said"
        )  # fmt: skip
        return _lines([f"counted: {more} (event {', '.join(str(one.id) for one in done)})",
                       _left(ledger, found.item, at.site)])  # fmt: skip


def move(said: Said) -> str:
    """An amount, or all of an item, goes elsewhere."""
    if (said.to is None) == (said.to_site is None):
        raise BadInput(
            f"where does it go? Give {named('to', 'fridge')} or {named('to_site', 'north bar')}.",
            "to",
        )
    at = desk(said)
    with at.open() as ledger:
        item, mg = _some_or_all(said, at, ledger)
        where, who, note = _where(said, at), said.who or "", said.note or ""
        if said.to_site is not None:
            done = actions.send(ledger, item, mg, where, said.to_site, who=who, note=note)
            return _lines([f"sent to {said.to_site}: {_of_event(ledger, one)}" for one in done])
        done = actions.move(ledger, item, mg, where, said.to or "", who=who, note=note)
        return _lines([f"moved to {said.to}: {_of_event(ledger, one)}" for one in done])


def receive(said: Said) -> str:
    """What another house has sent arrives."""
    at = desk(said)
    with at.open() as ledger:
        item, mg = _some_or_all(said, at, ledger)
        where = _where(said, at)
        if where.place is None:
            where = where._replace(place=at.house.stock.place)
        done = actions.receive(ledger, item, mg, where, who=said.who or "", note=said.note or "")
        return _lines([f"received: {_of_event(ledger, one)}" for one in done])


def _some_or_all(said: Said, at: Desk, ledger: Ledger) -> tuple[str, int | None]:
    """An item with an amount, or by its name alone: all of it."""
    name = " ".join(said.words.split())
    if name in ledger.items() or not _begins_with_number(name):
        return _item(name, ledger), None
    found = _in_stock(said, at, ledger)
    return found.item, found.mg


def _begins_with_number(words: str) -> bool:
    try:
        parse_number(words)
    except BadInput:
        return False
    return True


def undo(said: Said) -> str:
    """An event is taken back."""
    number = said.words.strip()
    if not number.isascii() or not number.isdigit() or len(number) > 9:
        raise BadInput(
            f'"{said.words}" is no number of an event; prepkit stock events shows them.', "number"
        )
    at = desk(said)
    with at.open() as ledger:
        found = ledger.event(int(number))
        if found is None:
            raise BadInput(f"the ledger has no event {int(number)}; see prepkit stock events.")
        back = ledger.undo(found, who=said.who or "", note=said.note or "")
        return _lines([f"undone by event {back.id}: {found.kind} {_of_event(ledger, found)}"])


# showing


def list_(said: Said) -> str:
    """What stands."""
    from prepkit.workflows import stock_text

    at = desk(said)
    with at.open() as ledger:
        item = _item(said.words, ledger) if said.words else None
        when = _time(said) if said.at else None
        found = ledger.stock_at(when, site=at.site, item=item, place=said.place)
        today = (when or now()).astimezone().date()
        if said.as_json:
            return _json(stock_text.as_json(found, at.site, today))
        return stock_text.table(found, at.site, today, _below_par(found, at, item))


def _below_par(found: Iterable[Holding], at: Desk, item: str | None) -> list[tuple[str, str, str]]:
    """Items that stand below their par: name, what stands, the par."""
    held: dict[str, list[Holding]] = {}
    for one in found:
        held.setdefault(one.cell.item, []).append(one)
    out = []
    for name, par in at.house.stock.par.items():
        if at.site != at.house.stock.site or (item is not None and name != item):
            continue
        known = [one.mg / 1000 if par.unit == "g" else one.ml for one in held.get(name, ())]
        amounts = [one for one in known if one is not None]
        if len(amounts) < len(known):
            out.append((name, "some of it of unknown density", _level(par, par.unit)))
        elif (have := math.fsum(amounts)) < par:
            out.append((name, _level(have, par.unit), _level(par, par.unit)))
    return out


def _level(value: float, unit: str) -> str:
    """A level in g or ml, in words."""
    return amount_words(round(1000 * value), 1_000_000 if unit == "ml" else None)


def events(said: Said) -> str:
    """The newest events of the ledger."""
    from prepkit.workflows import stock_text

    most = said.most.strip()
    if not most.isascii() or not most.isdigit() or not 0 < int(most[:9]) <= _MOST_EVENTS:
        raise BadInput(
            f'{named("most")} is "{said.most}"; write a number from 1 to {_MOST_EVENTS}.', "most"
        )
    at = desk(said)
    with at.open() as ledger:
        item = _item(said.words, ledger) if said.words else None
        site = at.site if said.site else None
        found = list(ledger.events(item=item, site=site, newest_first=True, most=int(most)))
        if said.as_json:
            return _json(stock_text.events_as_json(found))
        densities = {
            (one.item, one.batch): ledger.batch(one.item, one.batch).density_g_m3 for one in found
        }
        return stock_text.events_table(found, densities)


def export(said: Said) -> str:
    """The ledger as CSV."""
    at = desk(said)
    if said.damaged and not is_server(at.ledger):
        engine: Engine = connect(at.ledger, damaged=True)
        try:
            return csv_files.text_of(readable_events(engine))
        finally:
            engine.close()
    with at.open() as ledger:
        return csv_files.text_of(ledger.events())


def import_(said: Said) -> str:
    """Events of a CSV are added."""
    at = desk(said)
    try:
        with open(said.words, encoding="utf-8-sig", newline="") as file:
            text = file.read()
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "it is not UTF-8 text"
        raise FileProblem(f"{said.words} cannot be read: {why}.") from error
    found = csv_files.events_of(text, said.words)
    with at.open(create=True) as ledger:
        added, there = csv_files.put_in(ledger, found)
    return f"imported: {added} events; {there} were here already.\n"


def verify(said: Said) -> str:
    """The stock worked out again and compared; FileProblem where it differs."""
    at = desk(said)
    with at.open() as ledger:
        found = verified(ledger)
        if found.wrong and said.rebuild:
            rebuild(ledger)
            again = verified(ledger)
            if not again.wrong:
                return (
                    f"rebuilt: the stock is what {again.events} events make of it; "
                    f"{len(found.wrong)} differed.\n"
                )
            found = again
    if said.as_json:
        return _json(
            {"events": found.events, "cells": found.cells, "differences": list(found.wrong)}
        )
    if found.wrong:
        more = f" and {len(found.wrong) - 1} more" if len(found.wrong) > 1 else ""
        raise FileProblem(f"the stock differs from its events: {found.wrong[0]}{more}")
    return f"verified: the stock is what {found.events} events make of it.\n"


def _of_event(ledger: Ledger, one: Event) -> str:
    """An event in words, with its number: 700 ml of peel-oleo "2026-11-29" in fridge (event 4)."""
    cell = one.to_cell if one.kind == "received" and one.to_cell is not None else one.cell
    amount = amount_words(abs(one.change_mg), ledger.batch(one.item, one.batch).density_g_m3)
    return f"{amount} of {cell_words(cell)} (event {one.id})"


def _left(ledger: Ledger, item: str, site: str) -> str:
    """What is left of an item in a house."""
    found = ledger.stock_at(site=site, item=item)
    mg = sum(one.mg for one in found)
    densities = {one.batch.density_g_m3 for one in found}
    density = densities.pop() if len(densities) == 1 else None
    return f"left: {amount_words(mg, density)} of {item} at {site}" if mg else f"left: no {item}"


def _lines(lines: Iterable[str]) -> str:
    return "\n".join(lines) + "\n"


def _json(thing: object) -> str:
    import json

    return json.dumps(thing, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
