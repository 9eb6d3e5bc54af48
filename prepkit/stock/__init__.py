"""Stock: one append-only ledger of what was made, bought, taken and measured, and what stands.

    with open_ledger("house.db") as ledger:
        ledger.append(Event(kind="made", item="peel-oleo", batch="2026-11-29", change_mg=2_100_000))
        for event in ledger.events(kind="measured", item="peel-oleo", standing=True): ...
        for holding in ledger.stock_at(): ...

Each transaction is whole. The tables `stock` and `batch` hold what follows from the events, so that
a question is quick; `verify` works them out again and compares. Both engines run the same
statements. Nothing here prints.
"""

import csv
import io
import json
import math
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, date, datetime
from itertools import groupby
from types import TracebackType
from typing import NamedTuple, NoReturn

from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.numbers import nearest
from prepkit.stock.engine import Damaged, Engine, Value, connect, settle, version, writing
from prepkit.stock.events import (
    ALL_COLUMNS,
    COLUMNS,
    GAS_WORDS,
    LATER_COLUMNS,
    Batch,
    Cell,
    Event,
    Holding,
    amount_words,
    charged_of,
    date_of,
    of_row,
    stands,
    time_of,
    two_amounts,
    use_by_of,
)

_MARKS = ", ".join("?" for _ in COLUMNS)
_INSERT = (
    f"INSERT INTO event (id, {', '.join(COLUMNS)})"
    f" VALUES ((SELECT COALESCE(MAX(id), 0) + 1 FROM event), {_MARKS})"
)
_AT_CELL = " WHERE item = ? AND site = ? AND place = ? AND batch = ? AND bottle = ?"
READ_THROUGH_BYTES = 1 << 26  # 64 MB: some years of one bar, read in a part of a second
_LAST = 1000
_FACTS = ("made_on", "use_by", "density_g_m3", "container", "charged")
# what an event that was taken back twice stands for is followed in Python, see Batch.of
_HELD = (
    "-- each part of the stock, with its batch\n"
    "SELECT stock.site, stock.place, stock.item, stock.batch, stock.bottle, stock.mg,"
    " batch.made_on, batch.use_by, batch.density_g_m3, batch.reading, batch.containers,"
    " batch.charged"
    " FROM stock LEFT JOIN batch ON batch.item = stock.item AND batch.batch = stock.batch"
)
# every event with a change at its own cell, and at the one it went to
SUMS = (
    "-- the sums of the changes\n"
    "SELECT site, place, item, batch, bottle, SUM(mg) FROM ("
    " SELECT site, place, item, batch, bottle, change_mg AS mg FROM event WHERE {first}"
    " UNION ALL"
    " SELECT to_site, to_place, item, batch, to_bottle, -change_mg FROM event"
    " WHERE to_site IS NOT NULL AND {first}"
    ") AS changes GROUP BY site, place, item, batch, bottle HAVING SUM(mg) <> 0"
)


def open_ledger(place: str, *, create: bool = False, check: bool = True) -> "Ledger":
    """Open a ledger: a file, or a PostgreSQL address.

    `create` makes a file that is not there; `check` reads a file through for damage. Raises
    FileProblem where there is none, where it is damaged, of another program or of a newer prepkit;
    it is then left as it is.
    """
    try:
        engine = connect(place, create=create)
    except Damaged:
        left = connect(place, damaged=True)
        try:
            _not_whole(place, readable(left))
        finally:
            left.close()
    try:
        return Ledger(engine, check=check)
    except BaseException:
        engine.close()
        raise


class Ledger:
    """An open ledger; a context manager that closes it."""

    def __init__(self, engine: Engine, *, check: bool = True) -> None:
        self.engine = engine
        if check and engine.name == "sqlite":
            _whole(engine)
        settle(engine)

    def __enter__(self) -> "Ledger":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.engine.close()

    # writing

    def append(self, *events: Event) -> tuple[Event, ...]:
        """Append events in one transaction: all of them, or none.

        Returns them as they stand in the ledger, with their numbers. Raises BadInput where more
        would be taken than there is, where a batch was never made, bought or counted, or where a
        correction does not take back exactly what it names.
        """
        with writing(self.engine):
            return tuple(self.put(event) for event in events)

    def put(self, event: Event) -> Event:
        """Append one event inside a transaction that is open already (`writing(ledger.engine)`)."""
        if event.kind == "corrected":
            self._takes_back(event)
        elif event.kind not in ("made", "bought", "counted") and not self._known(event):
            raise BadInput(
                f'{event.item} "{event.batch}" is not in the ledger; add it first.', "batch"
            )
        self.engine.run(_INSERT, event.values())
        for cell, mg in event.effects():
            self._change(cell, mg, event)
        told = any(getattr(event, name) is not None for name in _FACTS)
        if told or event.kind in ("measured", "corrected") or not self._known(event):
            self._tell_batch(event.item, event.batch)
        return of_row(
            self.engine.run(f"SELECT {ALL_COLUMNS} FROM event WHERE mark = ?", (event.mark,))[0]
        )

    def undo(self, event: Event, *, who: str = "", note: str = "") -> Event:
        """Take an event back by an event of its own.

        Raises BadInput where it is taken back already, where what came in has been taken since,
        or where it was counted since, which settled whatever was before.
        """
        with writing(self.engine):
            return self.put(correction(event, who=who, note=note))

    def _known(self, event: Event) -> bool:
        return bool(
            self.engine.run(
                "SELECT 1 FROM batch WHERE item = ? AND batch = ?", (event.item, event.batch)
            )
        )

    def _takes_back(self, event: Event) -> None:
        """BadInput unless a correction takes back exactly what it names, which nothing settled."""
        found = self.event(event.corrects or "")
        if found is None:
            raise BadInput(f'no event "{event.corrects}" is in the ledger.', "corrects")
        again = self.engine.run("SELECT id FROM event WHERE corrects = ?", (found.mark,))
        if again:
            raise BadInput(
                f"event {found.id} was taken back already, by event {again[0][0]}.", "corrects"
            )
        same = (event.cell, event.to_cell) == (found.cell, found.to_cell)
        if not same or event.change_mg != -found.change_mg:
            raise BadInput(
                f"a correction takes back all of event {found.id}; add what is right as an event "
                f"of its own.",
                "corrects",
            )
        for cell, _ in found.effects():
            counted = self.engine.run(
                "SELECT MAX(id) FROM event AS one WHERE one.kind = 'counted' AND one.id > ?"
                " AND one.item = ? AND one.site = ? AND one.place = ? AND one.batch = ?"
                " AND one.bottle = ? AND NOT EXISTS"
                " (SELECT 1 FROM event AS other WHERE other.corrects = one.mark)",
                (found.id, *_key(cell)),
            )
            if counted[0][0]:
                raise BadInput(
                    f"event {found.id} cannot be taken back: event {counted[0][0]} counted what "
                    f"stands since, and that holds. If the count is wrong, count again, or take "
                    f"back event {counted[0][0]} first.",
                    "corrects",
                )

    def _change(self, cell: Cell, mg: int, event: Event) -> None:
        """Change the stock of a cell; BadInput where less than nothing would be left."""
        found = self.engine.run(f"SELECT mg FROM stock{_AT_CELL}", _key(cell))
        have = int(found[0][0]) if found else 0
        left = have + mg
        if left < 0:
            raise BadInput(self._too_little(cell, have, -mg, event), "amount")
        if left == 0:
            self.engine.run(f"DELETE FROM stock{_AT_CELL}", _key(cell))
        elif found:
            self.engine.run(f"UPDATE stock SET mg = ?{_AT_CELL}", (left, *_key(cell)))
        else:
            self.engine.run(
                "INSERT INTO stock (item, site, place, batch, bottle, mg)"
                " VALUES (?, ?, ?, ?, ?, ?)",
                (*_key(cell), left),
            )

    def _too_little(self, cell: Cell, have: int, want: int, event: Event) -> str:
        density = self.batch(cell.item, cell.batch).density_g_m3
        stands, wanted = two_amounts(have, want, density)
        there = f"{stands} of {cell_words(cell)}"
        if event.kind == "corrected":
            return f"it cannot be taken back: {there} is left of the {wanted} that came in."
        if event.to_bottle:
            return f"a bottle of {wanted} is more than what is left of the batch, {there}."
        return f"there is {there}; {wanted} cannot be taken from it."

    def _tell_batch(self, item: str, batch: str) -> None:
        """Write what the events of a batch say of it."""
        key = (item, batch)
        rows = self.engine.run(
            f"SELECT {ALL_COLUMNS} FROM event WHERE item = ? AND batch = ? ORDER BY id", key
        )
        said = Batch.of(map(of_row, rows)).row()
        self.engine.run("DELETE FROM batch WHERE item = ? AND batch = ?", key)
        self.engine.run(
            "INSERT INTO batch"
            " (item, batch, made_on, use_by, density_g_m3, reading, containers, charged)"
            " VALUES (?,?,?,?,?,?,?,?)",
            (*key, *said),
        )

    # reading

    def event(self, mark: str | int) -> Event | None:
        """One event, by its mark or its number; None where there is none."""
        by = "id" if isinstance(mark, int) else "mark"
        rows = self.engine.run(f"SELECT {ALL_COLUMNS} FROM event WHERE {by} = ?", (mark,))
        return of_row(rows[0]) if rows else None

    def events(
        self,
        *,
        kind: str | None = None,
        item: str | None = None,
        batch: str | None = None,
        site: str | None = None,
        since: datetime | None = None,
        until: datetime | None = None,
        standing: bool = False,
        newest_first: bool = False,
        most: int | None = None,
    ) -> Iterator[Event]:
        """The events in the order in which they were written, those that fit all that is asked.

        `since` and `until` are times with a zone, both included. `standing`: without corrections
        and without what a correction took back.
        """
        asked: list[tuple[str, Value]] = [
            (f"{name} = ?", value)
            for name, value in (("kind", kind), ("item", item), ("batch", batch), ("site", site))
            if value is not None
        ]
        asked += [("at >= ?", _moment(since))] if since else []
        asked += [("at <= ?", _moment(until))] if until else []
        where = [words for words, _ in asked]
        if standing:
            where.append("kind <> 'corrected'")
        statement = (
            f"SELECT {ALL_COLUMNS} FROM event WHERE {' AND '.join(where) or '1 = 1'}"
            f" ORDER BY id {'DESC' if newest_first else 'ASC'}"
        )
        back = self._back() if standing else frozenset[str]()
        given = 0
        for row in self.engine.rows(statement, [value for _, value in asked]):
            one = of_row(row)
            if one.mark in back:
                continue
            yield one
            given += 1
            if given == most:
                return

    def measured(self, item: str | None = None, site: str | None = None) -> Iterator[Event]:
        """The measurements that stand, oldest first; `event.data` holds the figures.

        Without those of a making that was taken back after they were written: they go with it.
        """
        gone = self._unmade()
        for event in self.events(kind="measured", item=item, site=site, standing=True):
            if not gone or not _hangs(event, gone.get((event.item, event.batch), ())):
                yield event

    def _unmade(self) -> dict[tuple[str, str], list[tuple[int, str, float]]]:
        """Makings of every batch of which one was taken back: number, site, number of the taking.

        The last is infinite for a making that stands. Empty where none was taken back.
        """
        rows = self.engine.run("SELECT id, mark, corrects FROM event WHERE kind = 'corrected'")
        by = {corrects: mark for _, mark, corrects in rows}
        at = {corrects: int(id_) for id_, _, corrects in rows if not stands(corrects, by)}
        found: dict[tuple[str, str], list[tuple[int, str, float]]] = {}
        if not at:
            return found
        made = "SELECT id, mark, item, batch, site FROM event WHERE kind = 'made' ORDER BY id"
        for id_, mark, item, batch, site in self.engine.run(made):
            found.setdefault((item, batch), []).append((int(id_), site, at.get(mark, math.inf)))
        return {
            key: every
            for key, every in found.items()
            if any(entry[2] < math.inf for entry in every)
        }

    def _back(self) -> frozenset[str]:
        """The marks of events that are taken back."""
        rows = self.engine.run("SELECT mark, corrects FROM event WHERE kind = 'corrected'")
        by = {corrects: mark for mark, corrects in rows}
        return frozenset(one for one in by if not stands(one, by))

    def stock_at(
        self,
        when: datetime | None = None,
        *,
        site: str | None = None,
        item: str | None = None,
        place: str | None = None,
    ) -> list[Holding]:
        """What stands, by item, site, place, batch and bottle; `when`: what stood at that time.

        What is known of a batch (dates, density, reading) is what is known today.
        """
        asked: list[tuple[str, Value]] = [
            (name, value)
            for name, value in (("site", site), ("item", item), ("place", place))
            if value is not None
        ]
        if when is None:
            where = " AND ".join(f"stock.{name} = ?" for name, _ in asked)
            rows = self.engine.run(
                f"{_HELD}{' WHERE ' if where else ''}{where}", [value for _, value in asked]
            )
            found = [Holding(Cell(*row[:5]), int(row[5]), _batch(row[6:])) for row in rows]
        else:
            wanted = dict(asked)
            moment = _moment(when)
            sums = self.engine.run(SUMS.format(first="at <= ?"), (moment, moment))
            found = []
            for row in sums:
                cell = Cell(*row[:5])
                if all(getattr(cell, name) == value for name, value in wanted.items()):
                    found.append(Holding(cell, int(row[5]), self.batch(cell.item, cell.batch)))
        return sorted(found, key=lambda one: _key(one.cell))

    def batch(self, item: str, batch: str) -> Batch:
        """What is known of a batch; empty where it is not in the ledger."""
        rows = self.engine.run(
            "SELECT made_on, use_by, density_g_m3, reading, containers, charged FROM batch"
            " WHERE item = ? AND batch = ?",
            (item, batch),
        )
        return _batch(rows[0]) if rows else Batch()

    def batches(self, item: str) -> list[str]:
        """The names of all batches that an item ever had."""
        rows = self.engine.run("SELECT batch FROM batch WHERE item = ? ORDER BY batch", (item,))
        return [row[0] for row in rows]

    def densities(self) -> list[tuple[str, int | None]]:
        """Every item that was ever here with the density of its last batch that has one, g/m3."""
        known: dict[str, int | None] = dict.fromkeys(self.items())
        rows = self.engine.run(
            "SELECT item, density_g_m3 FROM batch WHERE density_g_m3 IS NOT NULL"
            " ORDER BY item, made_on, batch"
        )
        known.update({item: int(density) for item, density in rows})
        return list(known.items())

    def items(self) -> list[str]:
        """The names of all items that were ever here."""
        return [row[0] for row in self.engine.run("SELECT DISTINCT item FROM batch ORDER BY item")]


def _hangs(one: Event, makings: Sequence[tuple[int, str, float]]) -> bool:
    """Whether a measurement is of a making that was taken back after it was written.

    It is of the last making before it, at its own site where there is one.
    """
    before = [made for made in makings if made[0] < one.id]
    mine = [made for made in before if made[1] == one.site] or before
    return bool(mine) and one.id < mine[-1][2] < math.inf


def correction(event: Event, *, who: str = "", note: str = "") -> Event:
    """The event that takes another back."""
    return Event(
        kind="corrected",
        item=event.item,
        batch=event.batch,
        change_mg=-event.change_mg,
        site=event.site,
        place=event.place,
        bottle=event.bottle,
        to_site=event.to_site,
        to_place=event.to_place,
        to_bottle=event.to_bottle,
        corrects=event.mark,
        who=who,
        note=note,
    )


def readable_events(engine: Engine) -> Iterator[Event]:
    """The events of a damaged ledger, from the first on, as far as they can be read."""
    try:
        known = {row[1] for row in engine.run("PRAGMA table_info(event)")}
        columns = ", ".join(
            text if text in known or text not in LATER_COLUMNS else f"NULL AS {text}"
            for text in ("id", *COLUMNS)
        )
        for row in engine.rows(f"SELECT {columns} FROM event ORDER BY id"):
            yield of_row(row)
    except (PrepkitError, ValueError, TypeError):
        return


class LedgerRemains(NamedTuple):
    """What can still be read of a damaged ledger."""

    events: int
    last: datetime | None


def readable(engine: Engine) -> LedgerRemains:
    """How many events can be read from the first on, and when the last of them was noted."""
    count, last = 0, None
    try:
        for row in engine.rows("SELECT noted FROM event ORDER BY id"):
            count, last = count + 1, datetime.fromisoformat(row[0])
    except (PrepkitError, ValueError, TypeError):
        pass
    return LedgerRemains(count, last)


def _whole(engine: Engine) -> None:
    """FileProblem where a file is damaged: what is whole of it is said, and nothing is changed.

    A large file (a group's year) is not read through each time: its stock, its batches and its last
    events are; `verify` reads all of it.
    """
    try:
        pages, size = (engine.run(f"PRAGMA {one}")[0][0] for one in ("page_count", "page_size"))
        if pages * size <= READ_THROUGH_BYTES:
            said = [row[0] for row in engine.run("PRAGMA quick_check(1)")]
            odd = engine.run("PRAGMA foreign_key_check")
            said += [f"row {row[1]} of {row[0]} points nowhere" for row in odd]
        else:
            if version(engine):
                engine.run(f"SELECT * FROM event ORDER BY id DESC LIMIT {_LAST}")
                for table in ("step", "stock", "batch"):
                    engine.run(f"SELECT COUNT(*) FROM {table} NOT INDEXED")
            said = ["ok"]
    except FileProblem as error:
        said = [error.message]
    if said == ["ok"]:
        return
    _not_whole(engine.place, readable(engine))


def _not_whole(place: str, whole: LedgerRemains) -> NoReturn:
    until = f" up to {whole.last.astimezone():%Y-%m-%d %H:%M}" if whole.last else ""
    raise FileProblem(
        f"{place} is damaged; {whole.events} events{until} can still be read. Nothing was "
        f"changed; copy the file, save them with prepkit stock export --damaged, and import them "
        f"into a new one."
    )


def cell_words(cell: Cell) -> str:
    """A cell as a sentence names it: `peel-oleo "2026-11-29" bottle 2 in the fridge`."""
    bottle = f" bottle {cell.bottle}" if cell.bottle else ""
    place = f" in {cell.place}" if cell.place else ""
    return f'{cell.item} "{cell.batch}"{bottle}{place} at {cell.site}'


def _key(cell: Cell) -> tuple[str, str, str, str, str]:
    return (cell.item, cell.site, cell.place, cell.batch, cell.bottle)


def _moment(at: datetime) -> str:
    if at.tzinfo is None:
        raise BadInput(f"{at.isoformat()} has no zone; give a time with its zone.", "at")
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S+00:00")


def _batch(
    row: tuple[str | None, str | None, int | None, str | None, str | None, str | None],
) -> Batch:
    made_on: date | None = date_of(row[0])
    return Batch(
        made_on,
        use_by_of(row[1]),
        row[2],
        json.loads(row[3] or "{}"),
        json.loads(row[4] or "{}"),
        json.loads(row[5] or "{}"),
    )


# ---- the stock worked out again from the events, and CSV both ways ----

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
    for event in events:
        row = dict(zip(COLUMNS, event.values(), strict=True))
        if event.to_site is None:
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
    header = [word.strip() for word in rows[0]]
    wrong = next((word for word in header if word not in COLUMNS), None)
    if wrong is not None:
        raise BadInput(f'{file}: the column "{wrong}" is not known; {nearest(wrong, COLUMNS)}.')
    twice = next((word for word in header if header.count(word) > 1), None)
    if twice is not None:
        raise BadInput(f'{file}: the column "{twice}" is there twice; it must be there once.')
    lacking = [column for column in COLUMNS if column not in header and column not in LATER_COLUMNS]
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
        for event in events:
            stands = ledger.event(event.mark)
            if stands is None:
                ledger.put(event)
                added += 1
            elif stands.values() == event.values():
                there += 1
            else:
                raise BadInput(
                    f"event {event.mark} is in the ledger with other figures; an event is never "
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
        values[key] = _whole_number(key, said[key]) if said[key] else None
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


def _whole_number(key: str, words: str) -> int:
    if not _WHOLE_NUMBER.fullmatch(words):
        raise BadInput(f'{key} is "{words[:60]}"; write a whole number.')
    return int(words)
