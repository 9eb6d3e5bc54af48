"""A ledger as CSV and back, also to the other engine: the same events, the same stock."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date

import pytest

from prepkit.errors import BadInput
from prepkit.stock import actions, events_of, open_ledger, put_in, text_of
from prepkit.stock.actions import Where
from prepkit.stock.events import Event

DAY = date(2026, 3, 1)


def filled(place: str) -> tuple[str, list[object]]:
    """A small ledger as text, and its stock."""
    with open_ledger(place, create=True) as ledger:
        made = Event(
            kind="made", item="=oleo", batch="a", change_mg=1000, made_on=DAY, use_by="none",
            density_g_m3=1_200_000, note='a "note", with\' all', data={"brix": 60.5},
        )  # fmt: skip
        actions.add(ledger, made, [("jar", 300)], charged=True)
        jar = Event(
            kind="measured", item="=oleo", batch="a", bottle="1", container="jar", charged=True
        )
        ledger.append(jar)
        ledger.append(Event(kind="measured", item="=oleo", batch="a", data={"ph": 3.1}))
        (one,) = actions.take(ledger, "=oleo", 5, Where())
        ledger.undo(one)
        actions.send(ledger, "=oleo", 100, Where(), "south")
        return text_of(ledger.events()), list(ledger.stock_at())


def test_a_ledger_comes_back_whole_and_only_once(a_place: Callable[[], str]) -> None:
    text, stock = filled(a_place())
    assert "'=oleo" in text  # a spreadsheet would work it out
    with open_ledger(a_place(), create=True) as other:
        events = events_of(text, "x.csv")
        assert put_in(other, events) == (len(events), 0)
        assert put_in(other, events) == (0, len(events))
        assert list(other.stock_at()) == stock
        assert text_of(other.events()) == text
        assert next(one.charged for one in other.stock_at() if one.cell.bottle)


def test_a_csv_of_an_earlier_release_says_nothing_of_gas(a_place: Callable[[], str]) -> None:
    text, _ = filled(a_place())
    rows = list(csv.DictReader(io.StringIO(text)))
    out = io.StringIO()
    writer = csv.DictWriter(
        out, [one for one in rows[0] if one != "charged"], extrasaction="ignore"
    )
    writer.writeheader()
    writer.writerows(rows)
    with open_ledger(a_place(), create=True) as other:
        put_in(other, events_of(out.getvalue(), "x.csv"))
        assert [one.charged for one in other.stock_at() if one.cell.bottle] == [None]
    with pytest.raises(BadInput, match='row 3: charged is "maybe"; write yes or no'):
        events_of(text.replace(",yes\n", ",maybe\n"), "x.csv")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("mark,kind", "mark,kund", 'the column "kund" is not known; the nearest is kind'),
        ("mark,kind", "mark", "cells|missing"),
        (",made,", ",eaten,", 'row 2: "eaten" is not a kind of event'),
        (",1000,", ",ten,", "row 2: change_mg is"),
        ("2026-03-01", "2099-03-01", "row 2: 2099-03-01 is in the future"),
        ("2026-03-01", "soon", 'row 2: made_on is "soon"; write it as 2026-03-01'),
        (",made,20", ",made,in 20", 'row 2: at is "in 20'),
        ("+00:00,20", ",20", "row 2: at is .*; write a time with its zone, such as"),
        (",1200000,", ",1,", "row 2: the density"),
    ],
)
def test_a_row_that_cannot_be_is_named(
    a_place: Callable[[], str], old: str, new: str, said: str
) -> None:
    text, _ = filled(a_place())
    assert old in text
    with pytest.raises(BadInput, match=said):
        events_of(text.replace(old, new, 1), "x.csv")


def test_nothing_is_added_where_one_event_cannot_be(a_place: Callable[[], str]) -> None:
    text, _ = filled(a_place())
    with open_ledger(a_place(), create=True) as other:
        with pytest.raises(BadInput):
            put_in(other, reversed(events_of(text, "x.csv")))
        assert list(other.events()) == []


def test_an_event_with_other_figures_is_refused(a_place: Callable[[], str]) -> None:
    place = a_place()
    text, _ = filled(place)
    with open_ledger(place) as ledger, pytest.raises(BadInput, match="never edited"):
        put_in(ledger, events_of(text.replace(",1000,", ",1001,", 1), "x.csv"))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('""brix"": 60.5', '""brix"": NaN', "row 2: the data of =oleo"),
        ('"{""brix"": 60.5}"', "[" * 90_000, 'row 2: data is "\\[+"; it must be JSON'),
        ('"{""brix"": 60.5}"', "x" * 200_000, "line 2: it cannot be read as CSV"),
        (",1000,", ",1_000,", 'row 2: change_mg is "1_000"'),
        ("mark,kind", "kind,kind", 'the column "kind" is there twice'),
    ],
)
def test_what_no_export_has_is_one_sentence(
    a_place: Callable[[], str], old: str, new: str, said: str
) -> None:
    text, _ = filled(a_place())
    assert old in text
    with pytest.raises(BadInput, match=said):
        events_of(text.replace(old, new, 1), "x.csv")


def test_the_last_hour_of_all_is_no_time_of_an_event(a_place: Callable[[], str]) -> None:
    header, row, *_ = filled(a_place())[0].splitlines()
    cells = row.split(",")
    for number in (2, 3):
        wrong = [*cells[:number], "9999-12-31T23:59:59-23:59", *cells[number + 1 :]]
        with pytest.raises(BadInput, match="row 2: 9999-12-31 is out of range"):
            events_of(f"{header}\n{','.join(wrong)}\n", "x.csv")
