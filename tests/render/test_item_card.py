"""The card of one item of a recipe: what is said of it, and nothing of the others."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from render.page_reader import assert_reads_well, assert_stands_alone, read

from prepkit.errors import BadInput
from prepkit.plan import load_recipe, make_plan
from prepkit.render.html import Look
from prepkit.render.plan_html import narrowed, plan_card

FOLDER = Path(__file__).parents[2] / "recipes"
RECIPES = sorted(FOLDER.glob("*.toml"))
LOOK = Look(date(2026, 11, 26), details=True)


@pytest.mark.parametrize("path", RECIPES, ids=lambda one: one.stem)
def test_each_item_has_its_card_with_all_its_cautions(path: Path) -> None:
    plan = make_plan(load_recipe(path), 40)
    said = plan.to_dict()
    for item in said["items"]:
        card = plan_card(plan, LOOK, item=item["id"])
        assert_stands_alone(card)
        assert_reads_well(card)
        root = read(card)
        assert root.first("h1").text == f"{item['id']}: {said['title']}"
        assert len(list(root.all("section", class_="item"))) == 1
        shown = {one.attributes["id"] for one in root.all("article") if "id" in one.attributes}
        assert shown == {f"caution-{number}" for number in item["cautions"]}
        of = [one for one in said["standing"] if item["id"] in one["of"]]
        assert len(narrowed(said, item["id"])["standing"]) == len(of)


def test_a_stopped_or_held_item_says_stop_and_no_amount(tmp_path: Path) -> None:
    (otter,) = FOLDER.glob("free-*.toml")
    weak = tmp_path / "weak.toml"
    weak.write_text(otter.read_text("utf-8").replace("16 bar", "6 bar"), encoding="utf-8")
    card = plan_card(make_plan(load_recipe(weak), 40), LOOK, item="otter-soda")
    assert "STOP" in read(card).first("section", class_="verdict").text
    assert "NOT TO BE MADE" in read(card).text
    assert not list(read(card).first("section", class_="item").all("table"))


def test_another_name_is_refused_with_the_nearest() -> None:
    plan = make_plan(load_recipe(RECIPES[0]))
    with pytest.raises(BadInput, match="nearest is tonight-nitro"):
        plan_card(plan, LOOK, item="tonight-nitr")
