"""What the command line shows of the stock and its ledger, and CSV both ways."""

from __future__ import annotations

import math
from collections.abc import Iterable

from prepkit.errors import BadInput, FileProblem, named
from prepkit.stock import csv_files
from prepkit.stock.engine import Engine, connect, is_server
from prepkit.stock.events import now
from prepkit.stock.holding import Holding
from prepkit.stock.ledger import readable_events
from prepkit.stock.verify import rebuild
from prepkit.stock.verify import verify as verified
from prepkit.stock.words import amount_words
from prepkit.workflows.stock_desk import Desk, Said, desk, item_of, json_of, time_of

_MOST_EVENTS = 10_000


# showing


def list_(said: Said) -> str:
    """What stands."""
    from prepkit.workflows import stock_text

    at = desk(said)
    with at.open() as ledger:
        item = item_of(said.words, ledger) if said.words else None
        when = time_of(said) if said.at else None
        if said.all_sites and (said.site or said.place):
            other = "site" if said.site else "place"
            raise BadInput(
                f"{named('all_sites')} does not go with {named(other)}; give one of them.", other
            )
        site = None if said.all_sites else at.site
        found = ledger.stock_at(when, site=site, item=item, place=said.place)
        today = (when or now()).astimezone().date()
        if said.as_json:
            return json_of(stock_text.as_json(found, site, today))
        if said.all_sites:
            return stock_text.sums_table(found, today)
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
        item = item_of(said.words, ledger) if said.words else None
        site = at.site if said.site else None
        found = list(ledger.events(item=item, site=site, newest_first=True, most=int(most)))
        if said.as_json:
            return json_of(stock_text.events_as_json(found))
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
    return f"imported {added} events; {there} were here already.\n"


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
                    f"rebuilt the stock from {again.events} events; {len(found.wrong)} differed.\n"
                )
            found = again
    if said.as_json:
        return json_of(
            {"events": found.events, "cells": found.cells, "differences": list(found.wrong)}
        )
    if found.wrong:
        more = f" and {len(found.wrong) - 1} more" if len(found.wrong) > 1 else ""
        raise FileProblem(f"the stock differs from its events: {found.wrong[0]}{more}")
    return f"verified: the stock is what {found.events} events make of it.\n"
