"""What an evening costs and brings: nothing is lost between the packs and the drinks."""

from __future__ import annotations

from pathlib import Path

import pytest

from prepkit.errors import BadRecipe
from prepkit.plan.plan import load_recipe, make_plan, read_recipe
from prepkit.render.plan_lists import money_lines, pour_words
from prepkit.render.plan_text import plan_text
from prepkit.sheet import MoneySheet, PlanSheet

DEMO = Path(__file__).parents[2] / "recipes"
RECIPE = """
title = "t"
serves = 10
{top}
[items.base]
calculator = "blend"
part = ["500 g water", "500 g white sugar"]
loss = "20 %"
[[price]]
ingredient = "white sugar"
pack = "1 kg"
cost = 2.0
[[serve]]
name = "A"
part = "80 g base"
{price}
[[serve]]
name = "B"
part = ["40 g base", "{more}"]
price = 3.0
"""


def sheet(price: str = "price = 6.0", more: str = "1 g water", top: str = "") -> PlanSheet:
    return make_plan(read_recipe(RECIPE.format(price=price, more=more, top=top))).to_dict()


def money(price: str = "price = 6.0", more: str = "1 g water", top: str = "") -> MoneySheet:
    found = sheet(price, more, top)["money"]
    assert found is not None
    return found


def test_pour_cost_and_margin_of_each_drink_and_of_all() -> None:
    """80 g of a syrup of half sugar, a fifth of it lost, take 50 g of sugar at 2.00 a kg."""
    found = money()
    first, other = found["drinks"]
    assert first["cost"]["value"] == pytest.approx(0.10)
    assert first["pour_cost_percent"] == pytest.approx(100 * 0.10 / 6.0)
    assert first["margin"] == pytest.approx(5.90)
    assert other["pour_cost_percent"] == pytest.approx(100 * 0.05 / 3.0)
    assert found["sales"] == pytest.approx(90.0)
    assert found["served"]["value"] == pytest.approx(1.5)
    assert found["margin"] == pytest.approx(88.5)
    assert found["lost"]["value"] == pytest.approx(0.2 * 1.5)
    assert found["left_packs"]["value"] == pytest.approx(0.5)


@pytest.mark.parametrize("serves", [1, 7, 40])
def test_all_that_is_bought_is_served_left_over_or_left_in_packs(serves: int) -> None:
    said = make_plan(load_recipe(DEMO / "menu.toml"), serves).to_dict()
    found, bought = said["money"], said["cost"]
    assert found is not None
    assert bought is not None
    parts = [found[key]["value"] or 0.0 for key in ("served", "left_made", "left_packs")]
    assert sum(parts) == pytest.approx(bought["value"])
    served = [one["serves"] * (one["cost"]["value"] or 0.0) for one in found["drinks"]]
    assert sum(served) == pytest.approx(found["served"]["value"])


def test_a_missing_price_never_looks_whole() -> None:
    found = money(more="5 g lemon juice")
    assert found["drinks"][1]["pour_cost_percent"] is None
    assert found["drinks"][0]["pour_cost_percent"] is not None
    assert found["pour_cost_percent"] is None
    assert found["margin"] is None
    assert "lemon juice" in " ".join(money_lines(found))
    unsold = money(price="")
    assert unsold["sales"] is None
    assert unsold["unsold"] == ["A"]
    assert "No price: A." in pour_words(sheet(price=""))
    text = plan_text(sheet(more="5 g lemon juice"))
    assert "over 0.05" in text
    assert "incomplete" in text


def test_tax_is_taken_out_as_the_house_says(tmp_path: Path) -> None:
    house = (
        '[tax]\nsold = "with tax"\nsold_rate = "25 %"\npacks = "with tax"\npacks_rate = "10 %"\n'
    )
    (tmp_path / "house.toml").write_text(house, encoding="utf-8")
    recipe = tmp_path / "r.toml"
    text = RECIPE.format(price="price = 6.0", more="1 g water", top='house = "house.toml"')
    recipe.write_text(text, encoding="utf-8")
    found = make_plan(load_recipe(recipe)).to_dict()["money"]
    assert found is not None
    assert found["drinks"][0]["price_net"] == pytest.approx(4.8)
    assert found["drinks"][0]["cost"]["value"] == pytest.approx(0.10 / 1.1)
    assert "25 % in menu prices, 10 % in prices of packs" in " ".join(money_lines(found))
    assert "does not say whether tax" in " ".join(money_lines(money()))
    (tmp_path / "house.toml").write_text(house.replace('sold_rate = "25 %"\n', ""), "utf-8")
    with pytest.raises(BadRecipe, match="sold_rate"):
        load_recipe(recipe)


@pytest.mark.parametrize("price", ["price = 0", "price = -1", 'price = "6"', "price = true"])
def test_a_wrong_price_is_refused(price: str) -> None:
    with pytest.raises(BadRecipe, match=r"such as price = 9\.5"):
        sheet(price)


def test_nothing_is_said_where_nothing_has_a_price() -> None:
    text = RECIPE.format(price="", more="1 g water", top="").replace("price = 3.0", "")
    text = text.replace(text[text.index("[[price]]") : text.index("[[serve]]")], "")
    assert make_plan(read_recipe(text)).to_dict()["money"] is None
