"""prepkit stock: what a list shows."""

from __future__ import annotations

from datetime import date, timedelta

from learn_bar import plan, readings

from prepkit import learn
from prepkit.stock.events import NO_DATE, Batch, Cell, Holding
from prepkit.workflows.stock_command import NOT_READ, day_words, past, reading_words

BAR = plan()


def test_a_list_of_the_stock_shows_what_was_read_alone() -> None:
    words = '[peel-oleo]\nmass = "355 g"\nrefractometer = "62 Bx"\ntemperature = "20 C"\n'
    own = learn.figures(BAR, readings(words), "x")["peel-oleo"]
    read = {*learn.FIGURES.values(), "temperature_c"}
    assert {*own} - read <= NOT_READ
    assert not read & NOT_READ
    assert reading_words(own) == "355 g made, 62 Bx, 20 °C"


def test_no_date_and_no_day_are_told_apart() -> None:
    assert day_words(date(2026, 3, 1)) == "2026-03-01"
    assert day_words(NO_DATE) == NO_DATE
    assert day_words(None) == ""


def test_the_last_day_itself_is_not_past() -> None:
    def held(use_by: date | str | None) -> Holding:
        return Holding(Cell("", "fridge", "oleo", "a", ""), 1000, Batch(use_by=use_by))

    today = date(2026, 3, 1)
    assert past(held(today - timedelta(days=1)), today)
    assert not any(past(held(day), today) for day in (today, None, NO_DATE))
