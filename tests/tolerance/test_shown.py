"""A +/- that is not the same both ways is marked, with one line of words, wherever it is shown."""

from __future__ import annotations

from datetime import date
from html import unescape

from page import asking

from prepkit import run
from prepkit.model import Value
from prepkit.plan import make_plan
from prepkit.plan.plan import read_recipe
from prepkit.render.html import Look, answer_card
from prepkit.render.plan_html import plan_card
from prepkit.render.plan_text import plan_text
from prepkit.render.text import UNEVEN, UNEVEN_WORDS, answer_text, value_words

UNEVEN_SAID = {"batch": "2 kg ± 20 g cordial", "brix": "45 ± 0.3", "abv": "0 % vol",
               "to_brix": "45"}  # fmt: skip
EVEN_SAID = {"part": ["400 g ± 4 g white sugar", "600 g ± 9 g water"]}
RECIPE = """
title = "A trial"
serves = 10
[items.my-cordial]
calculator = "cordial"
part = ["1 kg{} water"]
sweeten = "white sugar"
brix = "65 Bx{}"
[[serve]]
name = "Trial"
part = ["80 g my-cordial"]
"""


def line(text: str) -> str:
    return " ".join(text.split())


def test_the_key_is_there_only_where_it_is_true() -> None:
    values = run("correct", UNEVEN_SAID).to_dict()["values"]
    assert values["water_to_add"]["non_linear"] is True
    assert set(values["dissolved_solids"]) == {"value", "unit", "plus_minus"}
    for value in run("blend", EVEN_SAID).to_dict()["values"].values():
        assert set(value) == {"value", "unit", "plus_minus"}


def test_the_mark_and_its_line_in_text() -> None:
    answer = run("correct", UNEVEN_SAID)
    text = answer_text(answer)
    marked = [row for row in text.splitlines() if f" {UNEVEN}  " in row]
    assert len(marked) == sum(value.non_linear for value in answer.values.values()) > 0
    assert line(text).count(UNEVEN_WORDS) == 1
    assert UNEVEN not in answer_text(run("blend", EVEN_SAID))


def test_the_mark_and_its_line_on_a_card() -> None:
    look = Look(on=date(2026, 11, 26), details=True)
    page = line(unescape(answer_card(run("correct", UNEVEN_SAID), look)))
    assert page.count(f" {UNEVEN} ") >= 2
    assert page.count(UNEVEN_WORDS) == 1
    assert UNEVEN not in answer_card(run("blend", EVEN_SAID), look)


def test_the_mark_and_its_line_on_the_page() -> None:
    browser = asking.browser()
    page = browser.get(asking.address("correct", UNEVEN_SAID)).get_data(as_text=True)
    assert line(unescape(page)).count(UNEVEN_WORDS) == 1
    page = browser.get(asking.address("blend", EVEN_SAID)).get_data(as_text=True)
    assert UNEVEN not in page


def test_the_mark_and_its_line_in_a_plan() -> None:
    even, uneven = RECIPE.format("", ""), RECIPE.format(" ± 10 g", " ± 20 Bx")
    for text, wanted in ((even, 0), (uneven, 1)):
        plan = make_plan(read_recipe(text), 10)
        said = plan.to_dict()
        (item,) = said["items"]
        shown = [*item["readings"], *item["values"]]
        assert any("non_linear" in one for one in shown) == bool(wanted)
        assert line(plan_text(said)).count(UNEVEN_WORDS) == wanted
        page = plan_card(plan, Look(on=date(2026, 11, 26), details=True))
        assert line(unescape(page)).count(UNEVEN_WORDS) == wanted


def test_a_value_that_is_at_neither_end_shows_that() -> None:
    value = Value(3.0, "g", None, "mass", 1, non_linear=True)
    assert value_words(value, "metric") == (f"3.0 ± ? {UNEVEN}", "g")
