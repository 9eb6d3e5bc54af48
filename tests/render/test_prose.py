"""A sentence speaks the units that were asked for, and none of its figures is lost."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit import registry
from prepkit.render.html import Look, answer_parts
from prepkit.render.prose import answer_in, in_units
from prepkit.render.text import answer_text

PSI = 14.503773773  # pound-force on a square inch in a bar
OVER = {
    "contents": "500 ml cream 35 %", "vessel_volume": "0.78 l", "max_fill": "0.5 l",
    "rated": "17 bar", "gas": "n2o", "chargers": 3, "temperature": "5 C",
}  # fmt: skip
BAR = re.compile(r"\d bar\b")


@given(st.decimals(min_value=0, max_value=999, places=1))
def test_every_pressure_of_a_sentence_is_converted(bar: Decimal) -> None:
    said = in_units(f"Peak up to {bar} bar, rated 17 bar.", "us")
    shown = re.findall(r"([\d.]+) psi", said)
    assert len(shown) == 2
    assert float(shown[0]) == pytest.approx(float(bar) * PSI, abs=0.051)
    assert in_units(said, "us") == said
    assert in_units(f"{bar} bar", "metric") == f"{bar} bar"


@pytest.mark.parametrize(
    ("metric", "us"),
    [
        ("It holds 26 g/l and 3 g/kg.", "It holds 26 g/l and 3 g/kg."),
        ("From 2 to 8 C, 12 % vol.", "From 36 to 46 F, 12 % vol."),
        ("At -18 C.", "At 0 F."),
        ("5 ± 1 C", "41 ± 2 F"),
        ("1,000 m3 of air", "35,314.7 ft3 of air"),
        ("3 chargers in 10 minutes", "3 chargers in 10 minutes"),
    ],
)
def test_other_figures_of_a_sentence(metric: str, us: str) -> None:
    assert in_units(metric, "us") == us


def test_no_answer_in_us_units_speaks_of_bar() -> None:
    answer = registry.run("siphon", OVER)
    assert answer.verdict == "stop"
    assert answer.result.ways_out
    assert BAR.search(answer_text(answer))
    us = " ".join(answer_text(answer, system="us").split())
    assert not BAR.search(us)
    parts = answer_parts(answer, Look(date(2026, 1, 1), system="us"))
    assert not BAR.search(f"{parts['verdict']} {parts['ways']} {parts['first']}")


def test_labels_titles_columns_and_cells_follow_the_units() -> None:
    answer = registry.run("blend", {"part": ["700 ml spirit 43 %", "300 ml water"]})
    shown = answer_in(answer, "us")
    assert shown.values["abv"].label == "strength at 68 °F"
    heads = [column.label for table in shown.tables for column in table.columns]
    assert "volume at 68 °F" in heads
    assert not [one for one in heads if "°C" in one]
    assert answer.values["abv"].label == "strength at 20 °C"
