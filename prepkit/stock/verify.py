"""The stock worked out again from the events alone, and compared with what the ledger holds."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from prepkit.errors import PrepkitError
from prepkit.stock.engine import writing
from prepkit.stock.events import ALL_COLUMNS, Cell, Event, of_row
from prepkit.stock.holding import Batch
from prepkit.stock.ledger import SUMS, Ledger, cell_words
from prepkit.stock.words import amount_words

MOST_TOLD = 20
_BATCHES = (
    "SELECT item, batch, made_on, use_by, density_g_m3, reading, containers, charged FROM batch"
)
_STOCK = "SELECT site, place, item, batch, bottle, mg FROM stock"
_TELLING = (
    "-- events that tell a fact of a batch\n"
    f"SELECT {ALL_COLUMNS} FROM event WHERE made_on IS NOT NULL OR use_by IS NOT NULL"
    " OR density_g_m3 IS NOT NULL OR container IS NOT NULL OR charged IS NOT NULL"
    " OR kind IN ('measured', 'corrected')"
    " ORDER BY item, batch, id"
)
_MISSING = "SELECT MAX(id) - COUNT(id) FROM event"  # numbers are given without a gap


class Verified(NamedTuple):
    """How many events and parts of stock were compared, and what differs, a sentence each."""

    events: int
    cells: int
    wrong: tuple[str, ...]


def verify(ledger: Ledger) -> Verified:
    """Compare the stock with the sums of all events, and each batch with what was told of it."""
    run = ledger.engine.run
    count = int(run("SELECT COUNT(id) FROM event")[0][0])
    wrong = []
    if ledger.engine.name == "sqlite":
        wrong = [f"{row[0]}." for row in run("PRAGMA quick_check(20)") if row[0] != "ok"]
    sums = {Cell(*row[:5]): int(row[5]) for row in run(SUMS.format(first="1 = 1"))}
    held = {Cell(*row[:5]): int(row[5]) for row in run(_STOCK)}
    wrong += _odd_events(ledger)
    for cell in sorted({*sums, *held}):
        by_events, stands = sums.get(cell, 0), held.get(cell, 0)
        if by_events != stands:
            wrong.append(
                f"{cell_words(cell)}: the events make {amount_words(by_events)}, the stock says "
                f"{amount_words(stands)}."
            )
    told, known = _told(ledger), {(row[0], row[1]): row[2:] for row in run(_BATCHES)}
    for key, row in known.items():
        if tuple(row) != told.get(key, Batch()).row():
            wrong.append(f'{key[0]} "{key[1]}": its dates, density, reading or bottles differ.')
    of_events = {(row[0], row[1]) for row in run("SELECT DISTINCT item, batch FROM event")}
    wrong += [f'{item} "{batch}" is missing.' for item, batch in sorted(of_events - known.keys())]
    return Verified(count, len(sums), tuple(wrong))


def rebuild(ledger: Ledger) -> None:
    """Write the stock and the batches again from the events, whole or not at all."""
    with writing(ledger.engine):
        run = ledger.engine.run
        told = _told(ledger)
        run("DELETE FROM stock")
        run(
            f"INSERT INTO stock (site, place, item, batch, bottle, mg) {SUMS.format(first='1 = 1')}"
        )
        run("DELETE FROM batch")
        for item, batch in run("SELECT DISTINCT item, batch FROM event"):
            run(
                "INSERT INTO batch"
                " (item, batch, made_on, use_by, density_g_m3, reading, containers, charged)"
                " VALUES (?,?,?,?,?,?,?,?)",
                (item, batch, *told.get((item, batch), Batch()).row()),
            )


def _told(ledger: Ledger) -> dict[tuple[str, str], Batch]:
    """What the events say of each batch."""
    events = map(of_row, ledger.engine.rows(_TELLING))
    return {key: Batch.of(some) for key, some in groupby(events, lambda one: (one.item, one.batch))}


def _odd_events(ledger: Ledger) -> Iterator[str]:
    """Events that no prepkit wrote: numbers that are missing, corrections that do not cancel."""
    run = ledger.engine.run
    missing = run(_MISSING)[0][0]
    if missing:
        yield f"{missing} events are missing from the row of numbers."
    rows = ledger.engine.rows(
        f"SELECT {ALL_COLUMNS} FROM event WHERE kind = 'corrected' ORDER BY id"
    )
    for row in list(rows):
        try:
            one = of_row(row)
            of = ledger.event(one.corrects or "")
        except (PrepkitError, ValueError) as error:
            yield f"event {row[0]} cannot be read: {error}."
            continue
        if of is None or not _cancels(one, of):
            yield f"event {one.id} does not take back what it names."


def _cancels(one: Event, of: Event) -> bool:
    return {cell: -mg for cell, mg in of.effects()} == dict(one.effects())
