"""The stock worked out again from the events, and compared; CSV both ways."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable, Iterable, Iterator
from itertools import groupby
from typing import NamedTuple

from prepkit.errors import BadInput, PrepkitError
from prepkit.numbers import nearest
from prepkit.stock.engine import writing
from prepkit.stock.events import (
    ALL_COLUMNS,
    COLUMNS,
    GAS_WORDS,
    LATER_COLUMNS,
    Batch,
    Cell,
    Event,
    amount_words,
    charged_of,
    date_of,
    of_row,
    time_of,
    use_by_of,
)
from prepkit.stock.ledger import SUMS, Ledger, cell_words

# ---- the stock worked out again from the events alone ----

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


# ---- a ledger as CSV, and back ----

MOST_BYTES = 1 << 31
_WHOLE = ("change_mg", "density_g_m3")
_MAYBE = ("to_site", "to_place", "to_bottle", "container", "corrects")
_WHOLE_NUMBER = re.compile(r"-?[0-9]{1,20}")
_FORMULA = ("=", "+", "-", "@", "\t")


def text_of(events: Iterable[Event]) -> str:
    """Events as CSV with a header; a text that a spreadsheet would run has a ' before it."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for one in events:
        row = dict(zip(COLUMNS, one.values(), strict=True))
        if one.to_site is None:
            row["to_place"] = row["to_bottle"] = None
        writer.writerow(
            [
                "" if value is None else _shielded(value) if isinstance(value, str) else value
                for value in row.values()
            ]
        )
    return out.getvalue()


def events_of(text: str, file: str) -> list[Event]:
    """The events of such a text; BadInput with the row where one cannot be."""
    read = csv.reader(io.StringIO(text, newline=""))
    try:
        rows = list(read)
    except csv.Error as error:
        raise BadInput(f"{file}, line {read.line_num}: it cannot be read as CSV.") from error
    if not rows:
        raise BadInput(f"{file} is empty; it must be what stock export writes.")
    header = [one.strip() for one in rows[0]]
    wrong = next((one for one in header if one not in COLUMNS), None)
    if wrong is not None:
        raise BadInput(f'{file}: the column "{wrong}" is not known; {nearest(wrong, COLUMNS)}.')
    twice = next((one for one in header if header.count(one) > 1), None)
    if twice is not None:
        raise BadInput(f'{file}: the column "{twice}" is there twice; it must be there once.')
    lacking = [one for one in COLUMNS if one not in header and one not in LATER_COLUMNS]
    if lacking:
        raise BadInput(f"{file}: the columns {', '.join(lacking)} are missing.")
    found = []
    for number, row in enumerate(rows[1:], 2):
        if not row:
            continue
        if len(row) != len(header):
            raise BadInput(f"{file}, row {number}: {len(row)} cells; there must be {len(header)}.")
        try:
            found.append(_event(dict(zip(header, map(_open, row), strict=True))))
        except PrepkitError as error:
            raise BadInput(f"{file}, row {number}: {error.wording}") from error
    return found


def put_in(ledger: Ledger, events: Iterable[Event]) -> tuple[int, int]:
    """Append events that are not there yet, all of them or none; how many, and how many were there.

    Raises BadInput where one cannot be: more taken than there is, a batch that was never added.
    """
    added = there = 0
    with writing(ledger.engine):
        for one in events:
            stands = ledger.event(one.mark)
            if stands is None:
                ledger.put(one)
                added += 1
            elif stands.values() == one.values():
                there += 1
            else:
                raise BadInput(
                    f"event {one.mark} is in the ledger with other figures; an event is never "
                    f"edited. Undo it, and add what is right."
                )
    return added, there


def _shielded(words: str) -> str:
    return f"'{words}" if words.startswith((*_FORMULA, "'")) else words


def _open(words: str) -> str:
    return words[1:] if words.startswith("'") else words


_TIMES: tuple[tuple[str, Callable[[str], object], str], ...] = (
    ("at", time_of, "2026-03-01T18:00:00+00:00"),
    ("noted", time_of, "2026-03-01T18:00:00+00:00"),
    ("made_on", date_of, "2026-03-01"),
    ("use_by", use_by_of, "2026-03-01 or none"),
)


def _event(said: dict[str, str]) -> Event:
    """The event of one row of words."""
    values: dict[str, object] = dict(said)
    for key in _WHOLE:
        values[key] = _whole(key, said[key]) if said[key] else None
    for key in _MAYBE:
        values[key] = said[key] or None
    if said["to_site"]:
        values["to_place"], values["to_bottle"] = said["to_place"], said["to_bottle"]
    for key, read, example in _TIMES:
        try:
            values[key] = read(said[key])
        except ValueError as error:
            raise BadInput(f'{key} is "{said[key][:60]}"; write it as {example}.') from error
    try:
        data = json.loads(said["data"] or "{}")
    except (ValueError, RecursionError) as error:
        raise BadInput(f'data is "{said["data"][:60]}"; it must be JSON.') from error
    if not isinstance(data, dict):
        raise BadInput(f'data is "{said["data"][:60]}"; it must be a JSON object.')
    values["data"] = data
    told = said.get("charged") or None
    if told is not None and told not in GAS_WORDS.values():
        raise BadInput(f'charged is "{told[:60]}"; write yes or no, or leave it empty.')
    values["charged"] = charged_of(told)
    if values["change_mg"] is None:
        raise BadInput("change_mg is empty; write whole milligrams.")
    return Event(**values)  # type: ignore[arg-type] # each is judged by the event itself


def _whole(key: str, words: str) -> int:
    if not _WHOLE_NUMBER.fullmatch(words):
        raise BadInput(f'{key} is "{words[:60]}"; write a whole number.')
    return int(words)
