"""What a recipe is once it is read: names of its items, their order, serves said."""

from __future__ import annotations

from plan.test_recipe_file import GOOD

from prepkit.plan.plan import read_recipe
from prepkit.plan.recipe_types import in_proportion, item_of, making_order


def test_what_an_item_is_called_by() -> None:
    ids = {"my-base", "gin"}
    assert item_of("1.5 l my-base", ids) == "my-base"
    assert item_of("20 g of my-base", ids) == "my-base"
    assert item_of("20 g my-base 40 %", ids) is None
    assert item_of("my-base", ids) is None


def test_order_is_that_of_the_file_where_nothing_is_needed_first() -> None:
    recipe = read_recipe(GOOD)
    uses = {"my-base": (), "my-mix": ("my-base",)}
    assert making_order(recipe, uses) == ("my-base", "my-mix")
    assert making_order(recipe, {"my-base": ("my-mix",), "my-mix": ()}) == ("my-mix", "my-base")


def test_shares_are_rounded_down() -> None:
    assert in_proportion({"a": 3, "b": 2}, 0) == {"a": 0, "b": 0}
    assert in_proportion({"a": 3, "b": 2}, 2) == {"a": 2, "b": 1}
