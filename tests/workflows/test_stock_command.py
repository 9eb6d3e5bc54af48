"""prepkit stock: what a list shows."""

from __future__ import annotations

from learn_bar import plan, readings

from prepkit import learn
from prepkit.workflows.stock_command import NOT_READ, reading_words

BAR = plan()


def test_a_list_of_the_stock_shows_what_was_read_alone() -> None:
    words = '[peel-oleo]\nmass = "355 g"\nrefractometer = "62 Bx"\ntemperature = "20 C"\n'
    own = learn.figures(BAR, readings(words), "x")["peel-oleo"]
    read = {*learn.FIGURES.values(), "temperature_c"}
    assert {*own} - read <= NOT_READ
    assert not read & NOT_READ
    assert reading_words(own) == "355 g made, 62 Bx, 20 °C"
