"""prepkit stock: what stands in the house, as tables and JSON."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from typing import Any, TypeVar

import click

from prepkit.cli import Chosen, Command, FileName, Group, house_option
from prepkit.errors import BadInput, FileProblem, named, one_line
from prepkit.render.text import grid
from prepkit.stock import events_of, put_in, readable_events, rebuild, text_of
from prepkit.stock import verify as verified
from prepkit.stock.engine import Engine, connect, is_server
from prepkit.stock.events import NO_DATE, Event, Holding, amount_words, now, oldest_first
from prepkit.workflows.stock_work import Said, StockLine, desk, item_of, json_of, time_of

# ---- the stock and its events as tables and as JSON ----

# of an event, beside what was read: what a batch was planned as, and what it says of a loss
NOT_READ = frozenset((
    "counted_mg", "recipe", "calculator", "serves", "expected_g", "weighed_g", "minutes", "loss",
    "loss_kind", "loss_of", "loss_unit", "loss_low", "loss_high", "loss_practice",
))  # fmt: skip
_UNITS = {
    "brix": " Bx", "abv": " % vol", "acidity": " % w/w", "density": " kg/m3",
    "acidity_percent": " % w/w", "abv_percent": " % vol", "density_kg_m3": " kg/m3",
    "yield_g": " g made", "temperature_c": " °C", "pressure_bar": " bar",
}  # fmt: skip


def table(
    found: Iterable[Holding], site: str, today: date, low: Sequence[tuple[str, str, str]] = ()
) -> str:
    """What stands: what is past its date and what is low first, then all by item, oldest first."""
    stock = sorted(oldest_first(found), key=lambda one: one.cell.item)
    if not stock and not low:
        return f"nothing stands at {site}.\n"
    items = len({holding.cell.item for holding in stock})
    out = [f"{items} {'item' if items == 1 else 'items'} at {site}, {today.isoformat()}"]
    expired = [holding for holding in stock if past(holding, today)]
    undated = [holding for holding in stock if holding.batch.use_by is None]
    for one in expired:
        out.append(f"CARE  past its date: {_named(one)}. Discard it.")
    if undated:
        names = ", ".join(dict.fromkeys(holding.cell.item for holding in undated))
        out.append(f"NOTE  no use by is known of {names}; a plan does not use it.")
    out += [f"NOTE  below par: {name}, {have} (par {par})" for name, have, par in low]
    rows = [
        [
            holding.cell.item,
            holding.cell.batch,
            holding.cell.place,
            " ".join(
                filter(None, (holding.cell.bottle, holding.container or "", gas_words(holding)))
            ),
            amount_words(holding.mg, holding.batch.density_g_m3),
            day_words(holding.batch.made_on),
            f"{day_words(holding.batch.use_by)}{' past' if past(holding, today) else ''}",
            reading_words(holding.batch.reading),
        ]
        for holding in stock
    ]
    headers = ["item", "batch", "place", "bottle", "amount", "made", "use by", "reading"]
    used = [place for place in range(len(headers)) if any(row[place] for row in rows)]
    if rows:
        out += [
            "",
            grid(
                [[row[place] for place in used] for row in rows],
                [headers[place] for place in used],
                "".join("r" if headers[place] == "amount" else "l" for place in used),
            ),
        ]
    return "\n".join(out) + "\n"


def sums_table(found: Iterable[Holding], today: date) -> str:
    """What stands at all sites: each item in all, and at each site; on the way is counted there."""
    items: dict[str, dict[str, list[Holding]]] = {}
    for holding in sorted(oldest_first(found), key=lambda held: (held.cell.item, held.cell.site)):
        items.setdefault(holding.cell.item, {}).setdefault(holding.cell.site, []).append(holding)
    if not items:
        return "nothing stands at any site.\n"
    sites = {site for of in items.values() for site in of}
    rows = []
    for item, of in items.items():
        every = [holding for some in of.values() for holding in some]
        gone = [holding for holding in every if past(holding, today)]
        rows.append(
            [
                item,
                _sum_words(every),
                ", ".join(f"{site} {_sum_words(some)}" for site, some in of.items()),
                _sum_words(gone) if gone else "",
            ]
        )
    headers = ["item", "in all", "at each site", "of it past its date"]
    used = 4 if any(row[3] for row in rows) else 3
    title = f"{len(items)} {'item' if len(items) == 1 else 'items'} at {len(sites)} sites"
    table_ = grid([row[:used] for row in rows], headers[:used], "lrlr"[:used])
    return f"{title}, {today.isoformat()}\n\n{table_}\n"


def _sum_words(held: Sequence[Holding]) -> str:
    """How much of one item; in g where its batches have several densities."""
    densities = {holding.batch.density_g_m3 for holding in held}
    return amount_words(
        sum(holding.mg for holding in held), densities.pop() if len(densities) == 1 else None
    )


def as_json(found: Iterable[Holding], site: str | None, today: date) -> dict[str, object]:
    """What stands, for a program; `site` is None where it is all of them."""
    return {
        "site": site,
        "on": today.isoformat(),
        "stock": [
            {
                **holding.cell._asdict(),
                "container": holding.container,
                "charged": holding.charged,
                "g": holding.mg / 1000,
                "ml": holding.ml,
                "made_on": day_words(holding.batch.made_on) or None,
                "use_by": day_words(holding.batch.use_by) or None,
                "past": past(holding, today),
                "reading": dict(holding.batch.reading),
            }
            for holding in found
        ],
    }


def events_table(found: Iterable[Event], densities: Mapping[tuple[str, str], int | None]) -> str:
    """The events, one in a line."""
    rows = []
    for one in found:
        amount = ""
        if one.change_mg:
            words = amount_words(abs(one.change_mg), densities.get((one.item, one.batch)))
            amount = f"{'-' if one.change_mg < 0 else '+'}{words} "
        told = (
            f"{amount}{one.item} {one.batch}", _went(one), reading_words(one.data), one.reason,
            one.note, one.who,
        )  # fmt: skip
        when = f"{one.at.astimezone():%Y-%m-%d %H:%M}"
        rows.append([str(one.id), when, one.kind, "; ".join(filter(None, told))])
    if not rows:
        return "the ledger has no such event.\n"
    return grid(rows, ["no", "when", "what", "of"], "rlll") + "\n"


def _went(event: Event) -> str:
    """Where it happened, or where it went from there."""
    to = event.to_cell
    if to is None:
        return " ".join(filter(None, (event.place, event.bottle and f"bottle {event.bottle}")))
    site = to.site if to.site != event.site else ""
    bottle = f"bottle {to.bottle}" if to.bottle != event.bottle else ""
    return " ".join(filter(None, ("to", site, to.place, bottle)))


def events_as_json(found: Iterable[Event]) -> dict[str, object]:
    """The events, for a program."""
    return {
        "events": [
            {
                "id": event.id,
                "mark": event.mark,
                "kind": event.kind,
                "at": event.at.isoformat(),
                **event.cell._asdict(),
                "change_g": event.change_mg / 1000,
                "to": None if event.to_cell is None else event.to_cell._asdict(),
                "corrects": event.corrects,
                "reason": event.reason,
                "who": event.who,
                "note": event.note,
                "data": dict(event.data),
            }
            for event in found
        ]
    }


def reading_words(data: Mapping[str, object]) -> str:
    """Figures that were measured, in words."""
    told = (
        f"{value:g}{_UNITS[name]}" if name in _UNITS and isinstance(value, int | float)
        else f"{name.replace('_', ' ')} {value}"
        for name, value in data.items()
        if name not in NOT_READ
    )  # fmt: skip
    return one_line(", ".join(told))


def gas_words(holding: Holding) -> str:
    """Of a bottle under gas, that it is; of one of which nobody told, that nobody did."""
    return {True: "under gas", False: "", None: "gas not told"}[holding.charged]


def past(holding: Holding, today: date) -> bool:
    return isinstance(holding.batch.use_by, date) and holding.batch.use_by < today


def day_words(day: date | str | None) -> str:
    if isinstance(day, date):
        return day.isoformat()
    return NO_DATE if day == NO_DATE else ""


def _named(holding: Holding) -> str:
    bottle = f" bottle {holding.cell.bottle}" if holding.cell.bottle else ""
    amount = amount_words(holding.mg, holding.batch.density_g_m3)
    return f"{amount} of {holding.cell.item} {holding.cell.batch}{bottle}"


# ---- what the command line shows of the stock and its ledger, and CSV both ways ----

_MOST_EVENTS = 10_000


# showing


def list_stock(said: Said) -> str:
    """What stands."""

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
            return json_of(as_json(found, site, today))
        if said.all_sites:
            return sums_table(found, today)
        return table(found, at.site, today, _below_par(found, at, item))


def _below_par(
    found: Iterable[Holding], at: StockLine, item: str | None
) -> list[tuple[str, str, str]]:
    """Items that stand below their par: name, what stands, the par."""
    held: dict[str, list[Holding]] = {}
    for holding in found:
        held.setdefault(holding.cell.item, []).append(holding)
    out = []
    for name, par in at.house.stock.par.items():
        if at.site != at.house.stock.site or (item is not None and name != item):
            continue
        known = [
            holding.mg / 1000 if par.unit == "g" else holding.ml for holding in held.get(name, ())
        ]
        amounts = [value for value in known if value is not None]
        if len(amounts) < len(known):
            out.append((name, "some of it of unknown density", _level(par, par.unit)))
        elif (have := math.fsum(amounts)) < par:
            out.append((name, _level(have, par.unit), _level(par, par.unit)))
    return out


def _level(value: float, unit: str) -> str:
    """A level in g or ml, in words."""
    return amount_words(round(1000 * value), 1_000_000 if unit == "ml" else None)


def list_events(said: Said) -> str:
    """The newest events of the ledger."""

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
            return json_of(events_as_json(found))
        densities = {
            (event.item, event.batch): ledger.batch(event.item, event.batch).density_g_m3
            for event in found
        }
        return events_table(found, densities)


def export_ledger(said: Said) -> str:
    """The ledger as CSV."""
    at = desk(said)
    if said.damaged and not is_server(at.ledger):
        engine: Engine = connect(at.ledger, damaged=True)
        try:
            return text_of(readable_events(engine))
        finally:
            engine.close()
    with at.open() as ledger:
        return text_of(ledger.events())


def import_ledger(said: Said) -> str:
    """Events of a CSV are added."""
    at = desk(said)
    try:
        with open(said.words, encoding="utf-8-sig", newline="") as file:
            text = file.read()
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "it is not UTF-8 text"
        raise FileProblem(f"{said.words} cannot be read: {why}.") from error
    found = events_of(text, said.words)
    with at.open(create=True) as ledger:
        added, there = put_in(ledger, found)
    return f"imported {added} events; {there} were here already.\n"


def verify_ledger(said: Said) -> str:
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


# ---- prepkit stock ----

F = TypeVar("F", bound=Callable[..., None])


@click.group(
    cls=Group,
    name="stock",
    help="The stock by place: how much, made when and use by. Every change is one event of a "
    "ledger that is never edited. A wrong one is undone by an event of its own.\n\n\b\n"
    "Examples:\n"
    '  prepkit stock add "2.1 l peel-oleo" --density "1.2 g/ml" --use-by "10 d" --new\n'
    "  prepkit stock list\n"
    '  prepkit stock take "700 ml peel-oleo"\n'
    '  prepkit stock count "1.3 l peel-oleo" --place fridge\n'
    '  prepkit stock discard "200 ml peel-oleo" --reason mould\n'
    "  prepkit stock undo 4\n\n"
    'The ledger is named by --ledger, or in the house file: [stock] ledger = "house.db".',
    short_help="The stock of the house: add, take, count, discard, fill bottles, undo.",
)
def command() -> None:
    """The commands of the stock."""


# the options that several of them take

_LEDGER = click.option(
    "--ledger",
    metavar="PLACE",
    type=FileName(),
    help="The ledger: a file, or postgresql://HOST/NAME [that of the house file].",
)
_SITE = click.option("--site", metavar="NAME", help="The house, of several [that of its file].")
_WHO = click.option("--who", metavar="NAME", help="Initials of who did it.")
_NOTE = click.option("--note", metavar="WORDS", help="A note on it.")
_PLACE = click.option("--place", metavar="NAME", help="Where it stands, such as fridge.")
_BATCH = click.option("--batch", metavar="NAME", help="Which batch [the oldest first].")
_BOTTLE = click.option("--bottle", metavar="NUMBER", help="Which bottle of the batch.")
_AT = click.option("--at", metavar="TIME", help='When it happened, "2026-03-01 18:30" [now].')
_JSON = click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
_DENSITY = click.option(
    "--density", metavar="WORDS", help="Density, where it is not known: 1.2 g/ml."
)
_MADE_ON = click.option("--made-on", metavar="DAY", help="The day it was made or bought [today].")
_USE_BY = click.option(
    "--use-by", metavar="DAY", help='Its last day: a day, "5 d" after it was made, or none.'
)
_NEW = click.option("--new", is_flag=True, help="Take a name that is not known yet.")
_RECIPE = click.option(
    "--recipe", metavar="FILE", type=FileName(), help="A recipe that has it: name and density."
)
_AMOUNT = click.argument("words", metavar="AMOUNT")
_OUT = click.option(
    "--out", metavar="FILE", type=FileName(), help="Write to this file instead of standard output."
)
_FORCE = click.option("--force", is_flag=True, help="Write over a file that is there already.")


def _options(*options: Any) -> Callable[[F], F]:  # Any: as click declares its decorators
    def put(run: F) -> F:
        for one in reversed((*options, _LEDGER, _SITE)):
            run = one(run)
        return run

    return put


class _OfStock(Command):
    """A command that takes an amount below 0 for the mistake that it is, and for no option."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Refuse it, and read the rest."""
        for arg in args:
            if re.match(r"[-−]\s*[\d.,]", arg):
                raise BadInput(f'"{arg}" is below 0; write an amount of 0 or more.', "amount")
        return super().parse_args(ctx, args)


def _told(name: str, told: str) -> Callable[[Callable[..., None]], click.Command]:
    """A command of the group, with the option of the house."""

    def make(run: Callable[..., None]) -> click.Command:
        one = command.command(name, cls=_OfStock, help=told, short_help=told)(run)
        one.params.append(house_option("Folder of the house file."))
        return one

    return make


_WHERE = {  # what does not change the stock by an amount
    "list_": "prepkit.workflows.stock_command.list_stock",
    "events": "prepkit.workflows.stock_command.list_events",
    "verify": "prepkit.workflows.stock_command.verify_ledger",
    "import_": "prepkit.workflows.stock_command.import_ledger",
    "measure": "prepkit.workflows.stock_work.measure",
}


def _do(work: str, said: dict[str, Chosen]) -> None:
    """Run a piece of work by its name and print what it says."""
    import importlib

    from prepkit.stdout import put_exact, put_text

    where = _WHERE.get(work, f"prepkit.workflows.stock_work.{work}")
    module, _, function = where.rpartition(".")
    text = getattr(importlib.import_module(module), function)(Said(**said))
    (put_exact if said.get("as_json") else put_text)(text)


@_told("list", "The stock, past its date first, and what is below its par.")
@click.argument("words", required=False, default="", metavar="[ITEM]")
@_options(_PLACE, _AT, _JSON)
@click.option("--all-sites", is_flag=True, help="Each item summed over all houses of the ledger.")
def list_(**said: Chosen) -> None:
    """The stock."""
    _do("list_", said)


@_told("add", "Add a batch that was made, or what was bought.")
@_AMOUNT
@_options(_PLACE, _BATCH, _MADE_ON, _USE_BY, _DENSITY, _RECIPE, _NEW, _AT, _WHO, _NOTE)
@click.option("--into", metavar="NAMES", help="Fill it into containers: bottle, or bottle,jar.")
@click.option("--frozen", is_flag=True, help="It is frozen in them.")
@click.option("--charged", is_flag=True, help="It is carbonated or under gas in them.")
@click.option("--still", is_flag=True, help="It is under no gas in them.")
@click.option("--pour", metavar="AMOUNT", help="Say how many of these one holds: 60 ml, 1 jigger.")
def add(**said: Chosen) -> None:
    """A new batch."""
    _do("add", said)


@_told("take", "Take an amount for use: the oldest first, nothing past its date.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _AT, _WHO, _NOTE)
def take(**said: Chosen) -> None:
    """An amount that is used."""
    _do("take", said)


@_told("serve", "Take an amount that was served: the oldest first, nothing past its date.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _AT, _WHO, _NOTE)
def serve(**said: Chosen) -> None:
    """An amount that is served."""
    _do("serve", said)


@_told("discard", "Throw an amount away, with the reason.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _AT, _WHO, _NOTE)
@click.option("--reason", metavar="WORDS", help="Why: mould, spilt, past its date.")
def discard(**said: Chosen) -> None:
    """An amount that is thrown away."""
    _do("discard", said)


@_told("count", "Set what stands to what you counted; the oldest is taken to have gone.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _MADE_ON, _USE_BY, _DENSITY, _RECIPE, _NEW, _AT, _WHO, _NOTE)
def count(**said: Chosen) -> None:
    """What was counted."""
    _do("count", said)


@_told("move", "Move an amount, or all of an item, to another place or house.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _WHO, _NOTE)
@click.option("--to", metavar="PLACE", help="The place it goes to.")
@click.option("--to-site", metavar="NAME", help="The house it is sent to; it must be received.")
def move(**said: Chosen) -> None:
    """An amount that goes elsewhere."""
    _do("move", said)


@_told("receive", "Receive what another house has sent, or a part of it.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _WHO, _NOTE)
def receive(**said: Chosen) -> None:
    """What arrived."""
    _do("receive", said)


@_told("fill", "Fill bottles, kegs, bags or jars from a batch, with a number for each.")
@click.argument("words", metavar="ITEM")
@_options(_PLACE, _BATCH, _RECIPE, _WHO)
@click.option("--into", metavar="NAMES", required=True, help="Containers: bottle, or bottle,jar.")
@click.option("--frozen", is_flag=True, help="It is frozen in them.")
@click.option("--charged", is_flag=True, help="It is carbonated or under gas in them.")
@click.option("--still", is_flag=True, help="It is under no gas in them.")
@click.option("--pour", metavar="AMOUNT", help="Say how many of these one holds: 60 ml, 1 jigger.")
def fill(**said: Chosen) -> None:
    """A batch into bottles."""
    _do("fill", said)


@_told("measure", "Tell what was read of a batch, its density, or its last day.")
@click.argument("words", metavar="ITEM")
@_options(_BATCH, _BOTTLE, _USE_BY, _DENSITY, _AT, _WHO, _NOTE)
@click.option("--charged", is_flag=True, help="The bottle is carbonated or under gas.")
@click.option("--still", is_flag=True, help="The bottle is under no gas.")
@click.option("--brix", metavar="READING", help="Refractometer reading, such as 61.5 Bx.")
@click.option("--abv", metavar="READING", help="Strength, such as 17 % vol.")
@click.option("--acidity", metavar="READING", help="By titration, as citric acid: 0.9 % w/w.")
@click.option("--ph", metavar="READING", help="pH, a bare number.")
def measure(**said: Any) -> None:  # Any: as click has them
    """What was read of a batch."""
    _do("measure", said)


@_told("events", "The events of the ledger, newest first, with their numbers.")
@click.argument("words", required=False, default="", metavar="[ITEM]")
@_options(_JSON)
@click.option("--most", metavar="N", default="20", help="How many [20].")
def events(**said: Chosen) -> None:
    """What happened."""
    _do("events", said)


@_told("undo", "Take an event back by its number, by an event of its own.")
@click.argument("words", metavar="NUMBER")
@_options(_WHO, _NOTE)
def undo(**said: Chosen) -> None:
    """An event that was wrong."""
    _do("undo", said)


@_told("export", "All events as CSV; also what can still be read of a damaged ledger.")
@_options()
@click.option("--damaged", is_flag=True, help="Read a damaged ledger as far as it goes.")
@_OUT
@_FORCE
def export(out: str | None, force: bool, **said: Chosen) -> None:
    """The ledger as CSV."""
    from prepkit.workflows import put

    put(export_ledger(Said(**said)), out, force, exact=True)


@_told("import", "Add the events of such a CSV; those that are here already are left out.")
@click.argument("words", metavar="FILE", type=FileName())
@_options()
def import_(**said: Chosen) -> None:
    """A CSV into the ledger."""
    _do("import_", said)


@_told("verify", "Work the stock out again from all events, and compare.")
@_options(_JSON)
@click.option("--rebuild", is_flag=True, help="Then write the stock again from the events.")
def verify(**said: Chosen) -> None:
    """The proof of the stock."""
    _do("verify", said)
