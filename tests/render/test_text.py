"""A sentence speaks the units that were asked for, and none of its figures is lost."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit import registry
from prepkit.model import Answer, amount
from prepkit.render.html import Look, answer_parts
from prepkit.render.text import answer_in, answer_text, exact_of, in_units, table_cells

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
    assert float(shown[1]) == 246.5  # 246.564: what is rated is never shown as more
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


@pytest.mark.parametrize("words", ["rated 17 bar", "stays within 17 bar", "half of the 17 bar"])
def test_a_rating_is_shown_down_where_only_the_words_are_known(words: str) -> None:
    assert in_units(words, "us").endswith("246.5 psi")  # 246.564


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


FIGURE = re.compile(r"-?[\d,]*\d(?:\.\d+)? (?:bar|psi)")


def sentences(answer: Answer) -> list[str]:
    told = [f"{one.text} {one.action} {one.more}" for one in answer.cautions]
    ways = [f"{one.label} {one.figure}" for one in answer.result.ways_out]
    return [answer.result.deciding, *ways, *told]


@settings(max_examples=25)
@given(
    st.integers(100, 500), st.floats(5, 40), st.integers(1, 3), st.floats(0, 30),
    st.sampled_from(["n2o", "co2", "n2"]),
)  # fmt: skip
def test_a_figure_of_a_value_is_the_same_in_every_us_sentence(
    fill: int, rated: float, chargers: int, at_c: float, gas: str
) -> None:
    said = {**OVER, "contents": f"{fill} ml cream 35 %", "rated": f"{rated:.2f} bar",
            "chargers": chargers, "temperature": f"{at_c:.1f} C", "gas": gas}  # fmt: skip
    answer = registry.run("siphon", said)
    shown: dict[str, set[str]] = {}
    for value in answer.values.values():
        shown.setdefault(amount(value, "metric"), set()).add(amount(value, "us"))
    seen = 0
    for metric, us in zip(sentences(answer), sentences(answer_in(answer, "us")), strict=True):
        figures = FIGURE.findall(metric)
        assert len(figures) == len(FIGURE.findall(us))
        for one, other in zip(figures, FIGURE.findall(us), strict=True):
            if one in shown:
                assert other in shown[one], (metric, us)
                seen += 1
    assert seen or "bound" not in answer.values


@settings(max_examples=15)
@given(st.floats(5, 40), st.integers(1, 3))
def test_no_us_answer_shows_a_rating_above_the_plate_or_a_bound_below_it(
    rated: float, chargers: int
) -> None:
    answer = registry.run("siphon", {**OVER, "rated": f"{rated:.2f} bar", "chargers": chargers})
    words = " ".join(sentences(answer_in(answer, "us")))
    shown = re.findall(r"\b(?:rated|half of the) ([\d.]+) psi", words)
    assert shown
    most = answer.result.facts["rated_bar"] * PSI
    assert all(most - 0.1001 <= float(one) <= most + 1e-6 for one in shown)
    for table in answer.tables:
        heads, _, rows = table_cells(table, "us")
        for place, (head, column) in enumerate(zip(heads, table.columns, strict=True)):
            for row, source in zip(rows, table.rows, strict=True):
                if column.limit and source[place] is not None:
                    off = float(row[place]) - float(source[place] or 0.0) * PSI
                    assert (off >= -1e-6) == head.startswith("upper") or abs(off) < 1e-6, head


def test_a_limit_of_a_rule_is_exact_as_it_is_written() -> None:
    answer = registry.run("siphon", OVER)
    hot = answer.result.replaced(facts={"charger_c": 50.4, "bound_bar": 49.96})
    exact = exact_of(answer.replaced(result=hot))
    assert exact("50", "C") == 50.0
    assert exact("50", "bar") == 50.0
    assert exact("50.4", "C") == 50.4
    assert exact("50.0", "bar") == 49.96
