"""The tables of a ledger as numbered steps, in words that both engines take.

A step is never changed once it has been released: what changes the tables is a further step. A
ledger with more steps than are known here was written by a newer prepkit and is left alone.
"""

from __future__ import annotations

from datetime import UTC, datetime

from prepkit.errors import FileProblem
from prepkit.stock.engine import Engine, NoRight, writing

# amounts are whole milligrams, so that sums are exact; densities are whole g/m3
STEPS: tuple[tuple[str, ...], ...] = (
    (
        "-- every event, never edited\n"
        "CREATE TABLE event ("
        " id INTEGER PRIMARY KEY,"
        " mark TEXT NOT NULL UNIQUE,"
        " kind TEXT NOT NULL CHECK (kind IN ('made', 'bought', 'counted', 'taken', 'served',"
        " 'moved', 'sent', 'received', 'discarded', 'measured', 'corrected')),"
        " at TEXT NOT NULL,"
        " noted TEXT NOT NULL,"
        " site TEXT NOT NULL CHECK (site <> ''),"
        " place TEXT NOT NULL,"
        " item TEXT NOT NULL CHECK (item <> ''),"
        " batch TEXT NOT NULL CHECK (batch <> ''),"
        " bottle TEXT NOT NULL,"
        " change_mg BIGINT NOT NULL,"
        " to_site TEXT,"
        " to_place TEXT,"
        " to_bottle TEXT,"
        " container TEXT,"
        " density_g_m3 BIGINT,"
        " made_on TEXT,"
        " use_by TEXT,"
        " reason TEXT NOT NULL,"
        " who TEXT NOT NULL,"
        " note TEXT NOT NULL,"
        " corrects TEXT UNIQUE REFERENCES event (mark),"
        " data TEXT NOT NULL)",
        "CREATE INDEX event_of_batch ON event (item, batch)",
        "CREATE INDEX event_of_kind ON event (kind, item)",
        "-- the stock, the sums of the events\n"
        "CREATE TABLE stock ("
        " site TEXT NOT NULL,"
        " place TEXT NOT NULL,"
        " item TEXT NOT NULL,"
        " batch TEXT NOT NULL,"
        " bottle TEXT NOT NULL,"
        " mg BIGINT NOT NULL CHECK (mg > 0),"
        " PRIMARY KEY (item, site, place, batch, bottle))",
        "-- the facts of each batch\n"
        "CREATE TABLE batch ("
        " item TEXT NOT NULL,"
        " batch TEXT NOT NULL,"
        " made_on TEXT,"
        " use_by TEXT,"
        " density_g_m3 BIGINT,"
        " reading TEXT NOT NULL,"
        " containers TEXT NOT NULL,"
        " PRIMARY KEY (item, batch))",
    ),
    (  # an earlier prepkit does not know which bottle is under gas, and leaves the ledger alone
        "-- whether a bottle is under gas\n"
        "ALTER TABLE event ADD COLUMN charged TEXT CHECK (charged IN ('yes', 'no'))",
        "ALTER TABLE batch ADD COLUMN charged TEXT NOT NULL DEFAULT '{}'",
    ),
)
# in a file nothing but its own rights keeps another program from editing an event
FILE_ONLY: dict[int, tuple[str, ...]] = {
    1: (
        "CREATE TRIGGER event_stays BEFORE UPDATE ON event BEGIN"
        " SELECT RAISE(ABORT, 'an event is never edited'); END",
        "CREATE TRIGGER event_is_kept BEFORE DELETE ON event BEGIN"
        " SELECT RAISE(ABORT, 'an event is never deleted'); END",
    ),
}
VERSION = len(STEPS)


def settle(engine: Engine) -> None:
    """Bring the tables of a ledger up to date, each step whole or not at all.

    Raises FileProblem where a newer prepkit has written it.
    """
    have = version(engine)
    if have > VERSION:
        raise FileProblem(
            f"{engine.place} was written by a newer prepkit (tables {have}, known here "
            f"{VERSION}). It was left as it is; install the newer one."
        )
    if have == VERSION:
        return
    try:
        _brought_up(engine)
    except NoRight as error:
        raise FileProblem(
            f"the tables of {engine.place} are of an earlier prepkit. The login that owns them "
            f"must open it once with this one."
        ) from error


def _brought_up(engine: Engine) -> None:
    """Run the steps that are lacking, in one transaction."""
    with writing(engine):
        have = version(engine)  # another may have done it while this one waited
        for number in range(have + 1, VERSION + 1):
            if number == 1:
                engine.run("CREATE TABLE step (number INTEGER PRIMARY KEY, done TEXT NOT NULL)")
            for statement in STEPS[number - 1]:
                engine.run(statement)
            if engine.name == "sqlite":
                for statement in FILE_ONLY.get(number, ()):
                    engine.run(statement)
            now = datetime.now(UTC).isoformat(timespec="seconds")
            engine.run("INSERT INTO step (number, done) VALUES (?, ?)", (number, now))


def version(engine: Engine) -> int:
    """How many steps a ledger has; 0 where it has no tables yet.

    Raises FileProblem for a database of another program, which is left as it is.
    """
    if engine.name == "sqlite":
        there = engine.run("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'step'")
    else:
        rows = engine.run(
            "SELECT table_name, column_name FROM information_schema.columns"
            " WHERE table_name IN ('step', 'event', 'stock', 'batch')"
            " AND table_schema = current_schema()"
        )
        there = [row for row in rows if row == ("step", "number")]
        if rows and not (there and ("event", "mark") in rows):
            raise FileProblem(
                f"{engine.place} is a database of another program. It was left as it is; name "
                f"another one."
            )
    return int(engine.run("SELECT MAX(number) FROM step")[0][0] or 0) if there else 0
