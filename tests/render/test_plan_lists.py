"""Lines and rows of a plan: amounts as they can be weighed, money in words."""

from __future__ import annotations

import math

from hypothesis import given
from hypothesis import strategies as st

from prepkit.plan import make_plan
from prepkit.plan.plan import load_recipe
from prepkit.render.plan_lists import money_words
from prepkit.render.plan_text import amount, plan_text


def test_amounts_have_the_digits_that_can_be_weighed() -> None:
    shown = {123.456: "123", 12.345: "12.3", 1.2345: "1.23", 0.0123: "0.012", 2500.4: "2500"}
    for grams, words in shown.items():
        assert amount(grams, "g") == words


@given(st.floats(1e-3, 1e6))
def test_no_amount_is_shown_wrong_by_more_than_weighing(grams: float) -> None:
    assert math.isclose(float(amount(grams, "g")), grams, rel_tol=0.05, abs_tol=5e-4)


def test_money_in_words() -> None:
    both = {"known": 2.0, "unpriced": ["mint", "lime"], "currency": "EUR"}
    assert money_words(both) == "2.00 EUR and what mint, lime cost: incomplete, they have no price"
    assert money_words({"known": 2.0, "unpriced": [], "currency": ""}) == "2.00"


def test_juice_is_told_in_fruit_as_a_range() -> None:
    said = make_plan(load_recipe("recipes/cold-semaphore.toml"), 40).to_dict()
    row = next(one for one in said["shopping"] if one["name"] == "lemon juice")
    fruit = row["fruit"]
    assert fruit is not None
    # one lemon yields 34 to 64 g of juice, 48 g as a rule (USDA SR28, row 09152)
    for key, juice_g in (("least", 64), ("usual", 48), ("most", 34)):
        count = {**fruit}[key]
        assert isinstance(count, int)
        assert (count - 1) * juice_g < row["g"] <= count * juice_g
    assert fruit["source"] == "USDA-SR28"
    shown = f"lemon juice from {fruit['least']} to {fruit['most']} fruits (USDA-SR28)"
    assert shown in " ".join(plan_text(said).split())
    others = [one for one in said["shopping"] if one["name"] != "lemon juice"]
    assert all(one["fruit"] is None for one in others)
