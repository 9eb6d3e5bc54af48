"""Whatever is done to stock, in whatever order, and wherever it is cut off: no mass is lost."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import textwrap
from collections.abc import Callable, Iterator, Sequence
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from prepkit.errors import BadInput, NamedHazard
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.stock import Ledger, actions, open_ledger, rebuild, verify
from prepkit.stock.actions import KnownItems, Where, read_amount, use_by
from prepkit.stock.actions import day as day_of
from prepkit.stock.engine import Engine, Row, Value, connect, is_server
from prepkit.stock.events import NO_DATE, ON_THE_WAY, Cell, Event

Place = Callable[[], str]
TODAY = date.today()


class Crash(BaseException):
    """The power is gone: it is no error that a program answers."""


class Mortal:
    """An engine that dies before a statement, and then does nothing any more."""

    def __init__(self, engine: Engine) -> None:
        self.engine, self.name, self.place = engine, engine.name, engine.place
        self.left: int | None = None

    def run(self, statement: str, values: Sequence[Value] = ()) -> list[Row]:
        self._live()
        return self.engine.run(statement, values)

    def rows(self, statement: str, values: Sequence[Value] = ()) -> Iterator[Row]:
        self._live()
        return self.engine.rows(statement, values)

    def begin(self) -> None:
        self._live()
        self.engine.begin()

    def commit(self) -> None:
        self._live()
        self.engine.commit()

    def rollback(self) -> None:
        if self.left != 0:
            self.engine.rollback()

    def close(self) -> None:
        self.engine.close()

    def _live(self) -> None:
        if self.left is None:
            return
        if self.left == 0:
            raise Crash
        self.left -= 1
        if self.left == 0:
            self.engine.close()  # without a word: what was not kept is gone
            raise Crash


items = st.sampled_from(["oleo", "cordial"])
sites = st.sampled_from(["north", "south"])
places = st.sampled_from(["fridge", "bar"])
amounts = st.integers(1, 900)
gases = st.sampled_from([None, False, True])
dates = st.sampled_from([NO_DATE, *(TODAY + timedelta(days=n) for n in (-2, 0, 3))])


class Bar(RuleBasedStateMachine):
    """Two houses with two items, and a power cut now and then."""

    place = ""

    def __init__(self) -> None:
        super().__init__()
        self.engine = Mortal(connect(self.place, create=True))
        self.ledger = Ledger(self.engine)
        self.came = self.went = 0
        self.cut: int | None = None

    @initialize(item=items, mg=amounts)
    def first(self, item: str, mg: int) -> None:
        self.add(item, "north", "fridge", 1000 + mg, NO_DATE, [])

    def teardown(self) -> None:
        self.ledger.engine.close()

    def stock(self) -> dict[Cell, int]:
        return {one.cell: one.mg for one in self.ledger.stock_at()}

    def do(self, work: Callable[[], Sequence[Event]]) -> Sequence[Event] | None:
        """Do one thing, cut off where it was said; None where it was refused or cut off."""
        before, count = self.stock(), len(list(self.ledger.events()))
        self.engine.left, self.cut = self.cut, None
        try:
            done = work()
        except Crash:
            self.engine = Mortal(connect(self.place))
            self.ledger = Ledger(self.engine)
            assert (self.stock(), len(list(self.ledger.events()))) == (before, count)
            return None
        except BadInput:
            self.engine.left = None
            assert (self.stock(), len(list(self.ledger.events()))) == (before, count)
            return None
        self.engine.left = None
        for one in done:
            self._book(one)
        return done

    def _book(self, one: Event) -> None:
        if one.to_cell is None:
            self.came += max(one.change_mg, 0)
            self.went -= min(one.change_mg, 0)

    @rule(n=st.integers(1, 25))
    def power_is_cut_at(self, n: int) -> None:
        self.cut = n

    @rule(item=items, site=sites, place=places, mg=amounts, use_by=dates,
          shares=st.lists(st.integers(1, 400), max_size=3), gas=gases)  # fmt: skip
    def add(
        self, item: str, site: str, place: str, mg: int, use_by: object, shares: list[int],
        gas: bool | None = None,
    ) -> None:  # fmt: skip
        event = Event(
            kind="made", item=item, batch="today", change_mg=mg, site=site, place=place,
            made_on=TODAY - timedelta(days=5), use_by=use_by, density_g_m3=1_000_000,
        )  # fmt: skip
        jars = [("jar", one) for one in shares]
        done = self.do(lambda: [actions.add(self.ledger, event, jars, charged=gas)])
        if done is not None:
            assert sum(shares) <= mg

    @rule(item=items, site=sites, mg=amounts, kind=st.sampled_from(["taken", "served"]))
    def take(self, item: str, site: str, mg: int, kind: str) -> None:
        where = Where(site)
        before = {one.cell: one for one in where.of(self.ledger, item)}
        usable = [one for one in before.values() if one.keeps_on(TODAY)]
        done = self.do(lambda: actions.take(self.ledger, item, mg, where, kind=kind))
        if done is None:
            return
        assert sum(one.change_mg for one in done) == -mg
        assert mg <= sum(one.mg for one in usable)
        order = [one.cell for one in usable]
        used = [order.index(one.cell) for one in done]  # none of them was past its date
        assert used == list(range(len(used)))
        assert all(-one.change_mg == before[one.cell].mg for one in done[:-1])

    @rule(item=items, site=sites, mg=amounts)
    def discard(self, item: str, site: str, mg: int) -> None:
        self.do(
            lambda: actions.take(
                self.ledger, item, mg, Where(site), kind="discarded", reason="spilt"
            )
        )

    @rule(item=items, site=sites, place=places, mg=st.integers(0, 900))
    def count(self, item: str, site: str, place: str, mg: int) -> None:
        where = Where(site, place)
        new = Event(kind="counted", item=item, batch="found", change_mg=1, site=site, place=place)
        done = self.do(lambda: actions.count(self.ledger, item, mg, where, opening=new))
        if done is not None:
            assert sum(one.mg for one in where.of(self.ledger, item)) == mg

    @rule(item=items, site=sites, mg=st.none() | amounts, place=places)
    def move(self, item: str, site: str, mg: int | None, place: str) -> None:
        self.do(lambda: actions.move(self.ledger, item, mg, Where(site), place))

    @rule(item=items, site=sites, to=sites, mg=st.none() | amounts)
    def send(self, item: str, site: str, to: str, mg: int | None) -> None:
        self.do(lambda: actions.send(self.ledger, item, mg, Where(site), to))

    @rule(item=items, site=sites, mg=st.none() | amounts, place=places)
    def receive(self, item: str, site: str, mg: int | None, place: str) -> None:
        self.do(lambda: actions.receive(self.ledger, item, mg, Where(site, place)))

    @rule(item=items, site=sites, mg=amounts, gas=gases)
    def fill(self, item: str, site: str, mg: int, gas: bool | None) -> None:
        loose = Where(site, bottle="").of(self.ledger, item)
        if loose:
            jar = [("jar", mg)]
            self.do(lambda: actions.fill_bottles(self.ledger, loose[0], jar, charged=gas))

    @rule(item=items, gas=st.booleans())
    def tell_gas(self, item: str, gas: bool) -> None:
        bottles = [one.cell for one in self.ledger.stock_at(item=item) if one.cell.bottle]
        if bottles:
            told = Event(**bottles[0]._asdict(), kind="measured", charged=gas)
            self.do(lambda: self.ledger.append(told))

    @rule(number=st.integers(1, 12))
    def undo(self, number: int) -> None:
        event = self.ledger.event(number)
        if event is not None:
            self.do(lambda: [self.ledger.undo(event)])

    @rule()
    @precondition(lambda self: self.cut is None)
    def open_again(self) -> None:
        self.ledger.engine.close()
        self.engine = Mortal(connect(self.place))
        self.ledger = Ledger(self.engine)

    @invariant()
    def no_mass_is_lost(self) -> None:
        stock = self.stock()
        assert all(mg > 0 for mg in stock.values())
        assert sum(stock.values()) == self.came - self.went

    @invariant()
    def a_bottle_is_under_gas_as_it_was_told_last(self) -> None:
        told: dict[tuple[str, str, str], bool] = {}
        for one in self.ledger.events(standing=True):
            if one.charged is not None:
                told[one.item, one.batch, one.to_bottle or one.bottle] = one.charged
        for held in self.ledger.stock_at():
            item, batch, bottle = held.cell[2:]
            assert held.charged == (told.get((item, batch, bottle)) if bottle else False)

    @invariant()
    def the_stock_is_what_the_events_make_of_it(self) -> None:
        assert verify(self.ledger).wrong == ()


def test_no_mass_is_lost_whatever_is_done_and_wherever_it_is_cut_off(a_place: Place) -> None:
    def machine() -> Bar:
        made = type("TheBar", (Bar,), {"place": a_place()})
        bar: Bar = made()
        return bar

    examples = 6 if is_server(a_place()) else 12
    run_state_machine_as_test(
        machine, settings=settings(max_examples=examples, stateful_step_count=20, deadline=None)
    )


def add(ledger: Ledger, mg: int, **more: object) -> Event:
    said: dict[str, object] = {
        "kind": "made", "item": "oleo", "batch": "a", "change_mg": mg, "site": "north",
        "made_on": TODAY - timedelta(days=3), "use_by": TODAY,
    }  # fmt: skip
    return actions.add(ledger, Event(**{**said, **more}))


def test_what_must_go_first_is_taken_first(ledger: Ledger) -> None:
    add(ledger, 10, batch="late", use_by=TODAY + timedelta(days=2))
    add(ledger, 10, batch="soon")
    add(ledger, 10, batch="never", use_by=NO_DATE)
    done = actions.take(ledger, "oleo", 25, Where("north"), on=TODAY)
    assert [(one.batch, one.change_mg) for one in done] == [
        ("soon", -10), ("late", -10), ("never", -5),
    ]  # fmt: skip


def test_nothing_past_its_date_is_taken_or_served_and_it_can_be_discarded(ledger: Ledger) -> None:
    add(ledger, 10, use_by=TODAY - timedelta(days=1))
    for where in (Where("north"), Where("north", batch="a")):
        with pytest.raises(BadInput, match=r"there is none. .* past its date"):
            actions.take(ledger, "oleo", 5, where)
    actions.take(ledger, "oleo", 10, Where("north"), kind="discarded", reason="past its date")
    assert ledger.stock_at() == []


def test_what_has_no_date_is_taken_only_by_its_batch(ledger: Ledger) -> None:
    add(ledger, 10, use_by=None)
    with pytest.raises(BadInput, match="there is none"):
        actions.take(ledger, "oleo", 5, Where("north"))
    assert actions.take(ledger, "oleo", 5, Where("north", batch="a"))


def test_two_batches_of_one_day_have_two_names(ledger: Ledger) -> None:
    assert [add(ledger, 10).batch for _ in range(3)] == ["a", "a-2", "a-3"]


def test_a_count_above_several_batches_asks_which(ledger: Ledger) -> None:
    add(ledger, 10)
    add(ledger, 10)
    with pytest.raises(BadInput, match="count each of them"):
        actions.count(ledger, "oleo", 30, Where("north"))
    actions.count(ledger, "oleo", 30, Where("north", batch="a"))
    assert sum(one.mg for one in ledger.stock_at()) == 40


def test_what_is_sent_is_on_the_way_until_it_is_received(ledger: Ledger) -> None:
    add(ledger, 100)
    actions.send(ledger, "oleo", 60, Where("north"), "south")
    with pytest.raises(BadInput, match="there is none"):
        actions.take(ledger, "oleo", 1, Where("south"))
    actions.receive(ledger, "oleo", 50, Where("south", "fridge"))
    held = {(one.cell.site, one.cell.place): one.mg for one in ledger.stock_at()}
    assert held == {("north", ""): 40, ("south", ON_THE_WAY): 10, ("south", "fridge"): 50}


def test_a_bottle_is_not_larger_than_its_batch(ledger: Ledger) -> None:
    add(ledger, 100)
    (loose,) = ledger.stock_at()
    with pytest.raises(BadInput, match=r"a bottle of .* is more than what is left of the batch"):
        actions.fill_bottles(ledger, loose, [("jar", 60), ("jar", 60)])
    done = actions.fill_bottles(ledger, loose, [("jar", 60), ("bag", 40)])
    assert [one.to_bottle for one in done] == ["1", "2"]
    held = {one.cell.bottle: (one.container, one.mg) for one in ledger.stock_at()}
    assert held == {"1": ("jar", 60), "2": ("bag", 40)}


def test_a_stock_that_was_tampered_with_is_found_and_made_anew(ledger: Ledger) -> None:
    add(ledger, 100, density_g_m3=1_000_000)
    ledger.engine.run("UPDATE stock SET mg = 99")
    ledger.engine.run("UPDATE batch SET use_by = 'none'")
    assert len(verify(ledger).wrong) == 2
    rebuild(ledger)
    assert verify(ledger).wrong == ()
    assert ledger.stock_at()[0].mg == 100


def test_a_process_that_is_killed_loses_nothing_that_was_kept(tmp_path: Path) -> None:
    place = str(tmp_path / "house.db")
    script = textwrap.dedent(
        f"""
        from prepkit.stock import actions
        from prepkit.stock.events import Event
        from prepkit.stock import open_ledger
        ledger = open_ledger({place!r}, create=True)
        ledger.append(Event(kind="made", item="oleo", batch="a", change_mg=10**9))
        for number in range(10**6):
            ledger.append(Event(kind="taken", item="oleo", batch="a", change_mg=-1))
            print(number, flush=True)
        """
    )
    at = Path(__file__).parents[2]
    with subprocess.Popen(
        [sys.executable, "-c", script], stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(at)},
    ) as writer:  # fmt: skip
        assert writer.stdout is not None
        kept = -1
        for line in writer.stdout:
            kept = int(line)
            if kept >= 20:
                writer.send_signal(signal.SIGKILL)
                break
        writer.wait(30)
    with open_ledger(place) as ledger:
        taken = sum(1 for _ in ledger.events(kind="taken"))
        assert taken >= kept + 1  # all that it said it had kept, and at most what it kept since
        assert ledger.stock_at()[0].mg == 10**9 - taken
        assert verify(ledger).wrong == ()


DAY = date(2026, 3, 1)
KNOWN = KnownItems({"peel-oleo": 1_250_000, "base": None}, {"syrup": Mixture({"water": 1.0})})


@pytest.mark.parametrize(
    ("words", "item", "mg"),
    [
        ("2 l peel-oleo", "peel-oleo", 2_500_000),
        ("500 g of base", "base", 500_000),
        ("1 l syrup", "syrup", 998_200),  # water at 20 C
        ("2 kg white sugar", "white sugar", 2_000_000),
        ("0.5 oz wt peel-oleo", "peel-oleo", 14_175),
    ],
)
def test_an_amount_of_what_is_known(words: str, item: str, mg: int) -> None:
    found = read_amount(words, Pantry(), KNOWN)
    assert found.item == item
    assert found.mg == pytest.approx(mg, rel=1e-4)


def test_only_what_the_pantry_has_is_bought() -> None:
    known = KnownItems({"lemon juice": 1_030_000, "peel-oleo": 1_250_000})
    assert read_amount("1 kg lemon juice", Pantry(), known).pantry
    assert not read_amount("1 kg peel-oleo", Pantry(), known).pantry


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("1 l base", "density of base is not known"),
        ("1 l pel-oleo", "the nearest is peel-oleo"),
        ("3 peel-oleo", "number of pieces"),
        ("1 l", "names nothing|no ingredient"),
        ("peel-oleo", "number"),
    ],
)
def test_what_is_not_known_is_asked_for(words: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        read_amount(words, Pantry(), KNOWN)


def test_a_new_name_is_taken_only_where_that_is_said() -> None:
    with pytest.raises(BadInput):
        read_amount("1 kg night mix", Pantry())
    assert read_amount("1 kg night mix", Pantry(), new=True).item == "night mix"
    assert read_amount("1 l night mix", Pantry(), new=True, density="1.1 g/ml").mg == 1_100_000


def test_a_danger_is_refused_by_its_name_also_as_something_new() -> None:
    with pytest.raises(NamedHazard):
        read_amount("1 kg antifreeze", Pantry(), new=True)


@pytest.mark.parametrize(
    ("words", "keeps", "last"),
    [
        ("5 d", "", date(2026, 3, 6)),
        ("1.9 d", "", date(2026, 3, 2)),  # a part of a day does not count
        ("2026-03-04", "", date(2026, 3, 4)),
        ("none", "", "none"),
        (None, "dairy", None),
        (None, "dry", "none"),
    ],
)
def test_the_last_day(words: str | None, keeps: str, last: object) -> None:
    assert use_by(words, DAY, keeps) == last


@pytest.mark.parametrize("words", ["soon", "2026-02-28", "-1 d", "2026-13-01", "4000 d"])
def test_a_last_day_that_cannot_be(words: str) -> None:
    with pytest.raises(BadInput):
        use_by(words, DAY)


def test_days_in_words() -> None:
    assert day_of("yesterday", "made_on", DAY) == date(2026, 2, 28)
    with pytest.raises(BadInput, match="write a day"):
        day_of("last week", "made_on", DAY)
