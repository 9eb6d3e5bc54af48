"""A group's year in one ledger: how long it takes to open, to ask, to plan, to take, to verify.

Two plans are timed: of one site, and of the production kitchen from the menus of all forty.

    python tests/bench/ledger.py [EVENTS] [PLACE]

EVENTS is 2,000,000 unless it is told: 40 sites for a year. PLACE is a new file, or the address of
an empty PostgreSQL ledger. It is not in the gate. What is written is invented, from one seed.
"""

from __future__ import annotations

import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from prepkit.plan.plan import load_recipe, plan_of
from prepkit.plan.prepare import prepare
from prepkit.plan.sites import account, read_stock, with_stock
from prepkit.stock import Ledger, actions, open_ledger, rebuild, verify
from prepkit.stock.events import COLUMNS
from prepkit.workflows.plan_command import PlanOptions, worked

ROOT = Path(__file__).parents[2]
SITES, DAYS, OF_ONE_BATCH = 40, 365, 20
MOST_PLAN_S = 10.0  # a plan, from opening the ledger on


def rows(events: int, items: list[str]) -> Iterator[tuple[Any, ...]]:
    """Batches that are made, taken in 18 parts, and gone; those of the last two days stand."""
    draw = random.Random(7)
    batches = events // OF_ONE_BATCH
    standing = max(10 * SITES, 2 * batches // DAYS)
    begin = datetime.now(UTC) - timedelta(days=DAYS)
    number = 0
    for batch in range(batches):
        at = begin + timedelta(seconds=batch * DAYS * 86400 / batches)
        day, told = at.date(), at.strftime("%Y-%m-%dT%H:%M:%S+00:00")
        item, stands = draw.choice(items), batch >= batches - standing
        common = {
            "at": told, "noted": told, "site": f"site {batch % SITES}", "place": "fridge",
            "item": item, "batch": f"{day.isoformat()} {batch}", "bottle": "", "reason": "",
            "who": "AB", "note": "", "data": "{}",
        }  # fmt: skip
        changes = [2_000_000, *[-90_000] * (OF_ONE_BATCH - 2), 0 if stands else -380_000]
        for place, change in enumerate(changes):
            number += 1
            one = {**common, "mark": f"{number:032x}", "change_mg": change}
            if place == 0:
                last = "none" if stands else (day + timedelta(days=10)).isoformat()
                one |= {"kind": "made", "density_g_m3": 1_100_000, "made_on": day.isoformat()}
                one |= {"use_by": last}
            elif change:
                one |= {"kind": "taken"}
            else:
                one |= {"kind": "measured", "data": '{"brix": 61.5}'}
            yield (number, *(one.get(name) for name in COLUMNS))


def fill(ledger: Ledger, events: int, items: list[str]) -> None:
    """Write events by the fastest way that the engine has."""
    names = f"(id, {', '.join(COLUMNS)})"
    database: Any = ledger.engine._db  # as fast as the engine itself
    ledger.engine.begin()
    if ledger.engine.name == "sqlite":
        places = ", ".join("?" * (1 + len(COLUMNS)))
        database.executemany(f"INSERT INTO event {names} VALUES ({places})", rows(events, items))
    else:
        with database.cursor().copy(f"COPY event {names} FROM STDIN") as copy:
            for row in rows(events, items):
                copy.write_row(row)
    ledger.engine.commit()
    rebuild(ledger)


def timed(what: str, work: Callable[[], object]) -> float:
    """Do it, say how long it took, and give that back."""
    begin, worked_for = time.perf_counter(), time.process_time()
    work()
    took, own = time.perf_counter() - begin, time.process_time() - worked_for
    print(f"{what:<40} {took:9.3f} s, {own:9.3f} s of this process", flush=True)
    return took


def plan(place: str) -> None:
    """The evening of a demo recipe at one site, from what stands there."""
    prepared = prepare(load_recipe(ROOT / "recipes/cold-semaphore.toml"))
    with open_ledger(place) as ledger:
        today = datetime.now(UTC).date()
        stock = read_stock(ledger, prepared, "site 3", today)
    counts = {one.name: 40 for one in prepared.recipe.serve}
    planned = plan_of(with_stock(prepared, stock, prepared.recipe.house.stock), counts)
    print(f"  {len(account(planned, stock)['rows'])} items from stock")


def kitchen(place: str, folder: Path) -> None:
    """The plan of a kitchen for the menus of all sites, less what stands at each."""
    shutil.copytree(ROOT / "recipes", folder, dirs_exist_ok=True)
    sites = "".join(
        f'[[site]]\nname = "site {n}"\nmenu = "menu.toml"\nserves = {20 + n}\n'
        for n in range(SITES)
    )
    file = folder / "kitchen.toml"
    text = f'title = "All bars"\nhouse = "house/house.toml"\n{sites}'
    file.write_text(text, encoding="utf-8")
    said = worked(PlanOptions(str(file), stock=place), str(file)).said
    print(f"  {sum(len(one['sends']) for one in said['sites'])} rows to send")


def main(events: int, place: str, folder: Path) -> int:
    """All of it; 1 where a plan takes longer than it may."""
    recipe = load_recipe(ROOT / "recipes/cold-semaphore.toml")
    items = [*recipe.items, *(f"prep-{number}" for number in range(50))]
    with open_ledger(place, create=True) as ledger:
        timed(f"fill with {events} events", lambda: fill(ledger, events, items))
    timed("open", lambda: Ledger.__exit__(open_ledger(place), None, None, None))
    took = timed("plan with the stock of one site", lambda: plan(place))
    took = max(took, timed("plan of the kitchen for 40 sites", lambda: kitchen(place, folder)))
    with open_ledger(place) as ledger:
        timed("all that stands, 40 sites", lambda: len(ledger.stock_at()))
        timed("what stands at one site", lambda: ledger.stock_at(site="site 3"))
        some = ledger.stock_at(site="site 3")[0].cell
        where = actions.Where(some.site)
        timed("take", lambda: actions.take(ledger, some.item, 1000, where))
        timed("measurements of one item", lambda: sum(1 for _ in ledger.measured(some.item)))
        timed("verify", lambda: print(" ", verify(ledger)))
    return 1 if took > MOST_PLAN_S else 0


if __name__ == "__main__":
    told = sys.argv[1:]
    with tempfile.TemporaryDirectory() as folder:
        sys.exit(
            main(
                int(told[0]) if told else 2_000_000,
                told[1] if len(told) > 1 else str(Path(folder) / "house.db"),
                Path(folder) / "recipes",
            )
        )
