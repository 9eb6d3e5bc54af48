"""A ledger of each engine: events stay, stock follows, and what cannot be is one sentence."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from prepkit.errors import BadInput, FileProblem
from prepkit.stock import Ledger, open_ledger, readable_events, verify
from prepkit.stock.engine import connect
from prepkit.stock.events import Event

Place = Callable[[], str]
DAY = date(2026, 3, 1)


def made(mg: int = 2_000_000, **more: object) -> Event:
    said: dict[str, object] = {
        "kind": "made", "item": "peel-oleo", "batch": "a", "change_mg": mg, "place": "fridge",
        "density_g_m3": 1_250_000, "made_on": DAY, "use_by": DAY + timedelta(days=9),
    }  # fmt: skip
    return Event(**{**said, **more})


def taken(mg: int, **more: object) -> Event:
    said: dict[str, object] = {
        "kind": "taken", "item": "peel-oleo", "batch": "a", "change_mg": -mg, "place": "fridge",
    }  # fmt: skip
    return Event(**{**said, **more})


def grams(ledger: Ledger) -> dict[str, float]:
    return {one.cell.place: one.mg / 1000 for one in ledger.stock_at()}


def test_stock_is_what_came_in_less_what_went(ledger: Ledger) -> None:
    ledger.append(made(), taken(500_000))
    (one,) = ledger.stock_at()
    assert (one.mg, one.ml) == (1_500_000, 1200.0)
    assert (one.batch.made_on, one.batch.use_by) == (DAY, DAY + timedelta(days=9))
    ledger.append(taken(1_500_000))
    assert ledger.stock_at() == []
    assert verify(ledger).wrong == ()


def test_no_more_is_taken_than_there_is_and_then_nothing_is_written(ledger: Ledger) -> None:
    ledger.append(made())
    with pytest.raises(BadInput, match=r'there is 1\.6 l of peel-oleo "a" in fridge at house; 2 l'):
        ledger.append(taken(1), taken(2_500_000))
    assert len(list(ledger.events())) == 1
    assert grams(ledger) == {"fridge": 2000.0}


def test_what_never_came_in_cannot_be_taken_or_measured(ledger: Ledger) -> None:
    for event in (taken(1), Event(kind="measured", item="x", batch="y", data={"brix": 3})):
        with pytest.raises(BadInput, match="not in the ledger"):
            ledger.append(event)


def test_a_move_is_one_event_and_changes_nothing_in_all(ledger: Ledger) -> None:
    ledger.append(made())
    ledger.append(taken(300_000, kind="moved", to_site="house", to_place="bar", to_bottle=""))
    assert grams(ledger) == {"fridge": 1700.0, "bar": 300.0}


def test_undo_is_an_event_and_can_be_undone(ledger: Ledger) -> None:
    ledger.append(made())
    (away,) = ledger.append(taken(700_000))
    back = ledger.undo(away, who="A.B.")
    assert grams(ledger) == {"fridge": 2000.0}
    assert [one.kind for one in ledger.events(standing=True)] == ["made"]
    ledger.undo(back)
    assert grams(ledger) == {"fridge": 1300.0}
    assert [one.kind for one in ledger.events(standing=True)] == ["made", "taken"]
    with pytest.raises(BadInput, match="taken back already, by event 3"):
        ledger.undo(away)
    assert verify(ledger).wrong == ()


def test_what_was_taken_since_keeps_its_batch_from_being_undone(ledger: Ledger) -> None:
    (came, _) = ledger.append(made(), taken(1))
    with pytest.raises(BadInput, match="cannot be taken back"):
        ledger.undo(came)


def test_a_count_settles_what_was_before(ledger: Ledger) -> None:
    (_, away) = ledger.append(made(), taken(500_000))
    (counted,) = ledger.append(taken(100_000, kind="counted"))
    with pytest.raises(BadInput, match=r"event 3 counted .* count again, or take back event 3"):
        ledger.undo(away)
    ledger.undo(counted)
    ledger.undo(away)
    assert grams(ledger) == {"fridge": 2000.0}


def test_a_correction_takes_back_all_of_what_it_names(ledger: Ledger) -> None:
    (came,) = ledger.append(made())
    half = Event(
        kind="corrected", item="peel-oleo", batch="a", change_mg=-1, place="fridge",
        corrects=came.mark,
    )  # fmt: skip
    with pytest.raises(BadInput, match="takes back all of event 1"):
        ledger.append(half)


def test_the_last_reading_stands_until_it_is_taken_back(ledger: Ledger) -> None:
    ledger.append(made())
    said = {"item": "peel-oleo", "batch": "a", "kind": "measured"}
    ledger.append(Event(**said, data={"brix": 60.0, "ph": 3.0}))
    (last,) = ledger.append(Event(**said, data={"brix": 61.0}))
    assert dict(ledger.batch("peel-oleo", "a").reading) == {"brix": 61.0, "ph": 3.0}
    ledger.undo(last)
    assert dict(ledger.batch("peel-oleo", "a").reading) == {"brix": 60.0, "ph": 3.0}
    assert [dict(one.data) for one in ledger.measured("peel-oleo")] == [{"brix": 60.0, "ph": 3.0}]


def test_a_last_day_is_never_made_later_by_any_event_but_an_undo(ledger: Ledger) -> None:
    first = DAY + timedelta(days=9)

    def last_day() -> object:
        return ledger.batch("peel-oleo", "a").use_by

    ledger.append(made())
    for kind, use_by in (("measured", first + timedelta(days=5)), ("measured", "none")):
        ledger.append(taken(0, kind=kind, use_by=use_by))
        assert last_day() == first
    ledger.append(made(use_by=first + timedelta(days=30), place="cellar"))  # a copy from elsewhere
    assert last_day() == first
    (sooner,) = ledger.append(taken(0, kind="measured", use_by=DAY))
    assert last_day() == DAY
    ledger.undo(sooner)
    assert last_day() == first
    assert verify(ledger).wrong == ()


def test_stock_at_a_time_is_that_of_the_events_until_then(ledger: Ledger) -> None:
    early, late = (datetime(2026, 3, day, 12, tzinfo=UTC) for day in (1, 3))
    ledger.append(made(at=early), taken(500_000, at=late))
    (then,) = ledger.stock_at(early + timedelta(days=1))
    assert then.mg == 2_000_000
    assert ledger.stock_at(early - timedelta(days=1)) == []
    assert [one.kind for one in ledger.events(since=late)] == ["taken"]


def test_two_writers_at_once_lose_nothing_and_never_take_the_same(a_place: Place) -> None:
    import threading

    place = a_place()
    with open_ledger(place, create=True) as first:
        first.append(made(40))
    refused: list[BadInput] = []

    def take() -> None:
        with open_ledger(place) as mine:
            for _ in range(15):
                try:
                    mine.append(taken(1))
                except BadInput as error:
                    refused.append(error)

    writers = [threading.Thread(target=take) for _ in range(3)]
    for one in writers:
        one.start()
    for one in writers:
        one.join()
    with open_ledger(place) as ledger:
        assert ledger.stock_at() == []
        assert len(list(ledger.events(kind="taken"))) == 40
        assert len(refused) == 5
        assert verify(ledger).wrong == ()


# files


def test_an_event_in_a_file_is_neither_edited_nor_deleted(tmp_path: Path) -> None:
    place = str(tmp_path / "house.db")
    with open_ledger(place, create=True) as ledger:
        ledger.append(made())
    database = sqlite3.connect(place)
    for statement in ("UPDATE event SET change_mg = 5", "DELETE FROM event"):
        with pytest.raises(sqlite3.DatabaseError, match="never"):
            database.execute(statement)
    database.close()


def test_a_file_that_is_not_there_is_not_made_by_reading(tmp_path: Path) -> None:
    with pytest.raises(FileProblem, match="is not there"):
        open_ledger(str(tmp_path / "house.db"))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("kind", ["text", "database", "folder"])
def test_a_foreign_file_is_refused_and_left_as_it_is(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "house.db"
    if kind == "text":
        path.write_bytes(b"not a ledger" * 40)
    elif kind == "folder":
        path.mkdir()
    else:
        with sqlite3.connect(path) as database:
            database.execute("CREATE TABLE event (id INTEGER)")
        database.close()
    before = None if kind == "folder" else path.read_bytes()
    with pytest.raises(FileProblem, match=r"no ledger|another program|a folder"):
        open_ledger(str(path), create=True)
    assert before is None or path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == ["house.db"]


def test_a_damaged_file_says_what_is_whole_and_is_left_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "house.db"
    with open_ledger(str(path), create=True) as ledger:
        ledger.append(made(), *(taken(1, note="x" * 150) for _ in range(60)))
    said = bytearray(path.read_bytes())
    middle = len(said) // 2 // 4096 * 4096
    said[middle : middle + 4096] = b"\xff" * 4096
    path.write_bytes(said)
    with pytest.raises(FileProblem, match=r"is damaged; \d+ events"):
        open_ledger(str(path))
    assert path.read_bytes() == bytes(said)


def test_a_large_damaged_file_is_refused_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("prepkit.stock.READ_THROUGH_BYTES", 0)
    path = tmp_path / "house.db"
    with open_ledger(str(path), create=True) as ledger:
        ledger.append(made(), *(taken(1, note="x" * 150) for _ in range(60)))
    open_ledger(str(path)).engine.close()
    said = path.read_bytes()
    for page in range(1, len(said) // 4096):  # tables, indexes and all
        path.write_bytes(said[: page * 4096] + b"\xff" * 4096 + said[(page + 1) * 4096 :])
        try:
            with open_ledger(str(path)) as ledger:
                wrong = verify(ledger).wrong
        except FileProblem as error:
            wrong = (error.message,)
        assert wrong, page


def test_a_file_that_was_cut_off_is_read_as_far_as_it_goes(tmp_path: Path) -> None:
    path = tmp_path / "house.db"
    with open_ledger(str(path), create=True) as ledger:
        ledger.append(made(), *(taken(1, note="x" * 150) for _ in range(300)))
    said = path.read_bytes()
    for share in (0.2, 0.5, 0.8):
        path.write_bytes(said[: round(share * len(said))])
        with pytest.raises(FileProblem, match=r"is damaged; \d+ events"):
            open_ledger(str(path))
        left = connect(str(path), damaged=True)
        assert 0 <= len(list(readable_events(left))) < 301
        left.close()
        assert path.read_bytes() == said[: round(share * len(said))]


def test_a_full_disk_loses_nothing_and_adds_nothing(tmp_path: Path) -> None:
    place = str(tmp_path / "house.db")
    with open_ledger(place, create=True) as ledger:
        ledger.append(made())
        pages = ledger.engine.run("PRAGMA page_count")[0][0]
        ledger.engine.run(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(FileProblem, match=r"disk of .* is full. Nothing was lost"):
            ledger.append(*(taken(1, note="x" * 200) for _ in range(200)))
        assert grams(ledger) == {"fridge": 2000.0}
    with open_ledger(place) as again:
        assert len(list(again.events())) == 1
        assert verify(again).wrong == ()


def test_what_hangs_on_a_making_that_was_taken_back_teaches_nothing(ledger: Ledger) -> None:
    """A measurement goes with its making, and comes back with it; nothing is deleted."""

    def made(site: str = "house") -> Event:
        return ledger.append(
            Event(kind="made", item="base", batch="one", change_mg=1000, site=site)
        )[0]

    def read(grams: float, site: str = "house") -> Event:
        told = {"yield_g": grams}
        return ledger.append(
            Event(kind="measured", item="base", batch="one", site=site, data=told)
        )[0]

    def taught() -> list[object]:
        return [one.data["yield_g"] for one in ledger.measured("base")]

    wrong = made()
    read(2.0)
    made("bar")
    read(3.0, "bar")
    assert taught() == [2.0, 3.0]
    back = ledger.undo(wrong)
    assert taught() == [3.0]
    made()  # as it was right
    read(4.0)
    assert taught() == [3.0, 4.0]
    ledger.undo(back)  # the making stands after all
    assert taught() == [2.0, 3.0, 4.0]
    assert len(list(ledger.events(kind="measured", item="base"))) == 3
