"""The first page of a plan: short enough to work from, and nothing that stops is left out."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from plan.trial import RECIPE, STOPPED, plan

from prepkit.plan import load_recipe, make_plan
from prepkit.plan.labels import of_items
from prepkit.plan.plan import read_recipe
from prepkit.render.batch import batch_text
from prepkit.render.label import label_text
from prepkit.render.plan_first import first_page, first_text, most_lines
from prepkit.render.plan_lists import amount, weighing
from prepkit.render.plan_text import plan_text
from prepkit.stdout import SCREEN
from prepkit.workflows.plan_command import PlanOptions, answer

FOLDER = Path(__file__).parents[2] / "recipes"
RECIPES = sorted(FOLDER.glob("*.toml"))
SERVES = (1, 2, 4, 8, 12, 40, 100, 250, 1000)
SCALES = '[house.bench]\nscale = "1 g"\nfine_scale = "0.1 g"\nfine_scale_most = "500 g"\n'


def one_line(text: str) -> str:
    return " ".join(text.split())


def fits(text: str, items: int) -> None:
    lines = text.rstrip("\n").split("\n")
    assert len(lines) <= most_lines(items)
    assert max(map(len, lines)) <= SCREEN
    assert all(line == line.rstrip() for line in lines)
    assert "None" not in text
    assert "nan" not in text.split()


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("serves", SERVES)
@pytest.mark.parametrize(
    "path", [one for one in RECIPES if one.stem != "menu"], ids=lambda p: p.stem
)
def test_a_demo_plan_is_one_page(path: Path, serves: int, system: str) -> None:
    said = make_plan(load_recipe(path), serves).to_dict()
    assert len(said["items"]) <= 8
    text = first_text(said, system)
    fits(text, len(said["items"]))
    shown = one_line(text)
    assert shown.startswith(f"plan: {said['verdict'].upper()} ")
    for item in said["items"]:
        assert item["id"] in shown
        for line in item.get("weigh", ()):
            unit = {"metric": "g", "us": "oz"}[system]
            assert f"{weighing(line, system)} {unit} {line['name']}" in shown
    for one in said["shopping"]:
        assert one["name"] in shown
    for one in said["vessels"]:
        assert f"{one['item']}: {one['fills']} x {one['vessel']}" in shown
    for caution in said["cautions"]:
        for told in caution["said"] if caution["severity"] == "care" and system == "metric" else ():
            assert one_line(told["text"]) in shown
            assert one_line(told["action"]) in shown
    for kind in ("pressure", "cryogen", "inhalation"):
        assert system == "us" or f"{kind} {said['always'][kind]}" in shown
    assert shown.rsplit("More: ", 1)[1].startswith("--full (")


@pytest.mark.parametrize("serves", SERVES)
@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_items_stand_in_the_order_of_their_starts_and_after_what_they_use(
    path: Path, serves: int
) -> None:
    planned = make_plan(load_recipe(path), serves)
    said = planned.to_dict()
    order = [item["id"] for item in said["items"]]
    assert sorted(order) == sorted(made.item.id for made in planned.made)
    for place, id_ in enumerate(order):
        assert set(planned.prepared.uses[id_]) & set(order) <= set(order[:place])
    steps = said["timetable"]["steps"] if said["timetable"] else []
    starts: dict[str, float] = {}
    for step in steps:
        starts[step["item"]] = min(step["start_min"], starts.get(step["item"], step["start_min"]))
    timed = [starts[id_] for id_ in order if id_ in starts]
    assert timed == sorted(timed)
    assert [row.id.split(" ")[0] for row in first_page(said).make] == order


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("serves", SERVES)
@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_each_item_of_a_demo_plan_stands_in_its_columns(
    path: Path, serves: int, system: str
) -> None:
    said = make_plan(load_recipe(path), serves).to_dict()
    lines = first_text(said, system).split("\n")
    header = next(line for line in lines if "shelf life" in line)
    for row in first_page(said, system).make:
        if row.keeps:
            line = next(line for line in lines if line.startswith(f"{row.place} {row.id}"))
            assert line.find(row.keeps) == header.find("shelf life")


def test_what_always_stands_is_of_what_is_charged() -> None:
    assert plan()["always"]["of"] == "siphon"
    assert plan(STOPPED)["always"]["of"] == "siphon"
    said = make_plan(load_recipe(FOLDER / "warm-brasswick.toml"), 40).to_dict()
    assert said["always"]["of"] != "siphon"


def variants() -> list[tuple[Path, str]]:
    return [(path, name) for path in RECIPES for name in _names(path)]


def _names(path: Path) -> list[str]:
    return re.findall(r"^\[variant\.([a-z-]+)\]$", path.read_text("utf-8"), re.MULTILINE)


@pytest.mark.parametrize(("path", "name"), variants())
def test_a_variant_is_one_page_with_its_times(path: Path, name: str) -> None:
    text, _ = answer(PlanOptions(str(path), serves="40", variant=name, service="2026-11-29 18:00"))
    fits(text, 8)
    assert "None" not in text


def stops_stand(said: Any, text: str) -> None:
    shown = one_line(text)
    assert shown.startswith("plan: STOP ")
    assert said["stops"]
    for stop in said["stops"]:
        assert one_line(stop["text"]) in shown
        assert one_line(stop["action"]) in shown
        assert stop["of"] in shown


def test_every_reason_to_stop_stands_on_it() -> None:
    said = plan(STOPPED)
    text = first_text(said)
    stops_stand(said, text)
    fits(text, len(said["items"]))
    shown = one_line(text)
    assert shown.startswith("plan: STOP my-nitro is stopped.")
    assert "It is for my-nitro, which must not be made as planned." in shown
    assert "Each Trial: HELD: not before my-nitro is no longer a stop; allergens: milk" in shown
    assert "5 x north" not in shown


def test_what_is_stopped_or_held_has_no_amounts_on_it() -> None:
    text = RECIPE.replace('part = ["300 g my-base"', 'part = ["300 g my-nitro"')
    text = text.replace('contents = "500 ml my-mix"', 'contents = "500 ml my-base"')
    said = plan(text.replace("17 bar", "3 bar"))
    shown = first_text(said)
    stops_stand(said, shown)
    page = first_page(said)
    for one in page.make:
        item = next(each for each in said["items"] if each["id"] == one.id)
        if item["verdict"] == "stop" or item["held_by"]:
            assert (one.mass, one.volume, one.start, one.keeps, one.weigh) == ("", "", "", "", ())
            assert one.verdict in ("STOP", "HELD")


def wide(items: int, parts: int) -> str:
    """A recipe of many items with long names, each of which weighs something of its own."""
    pantry = (
        "lemon juice", "lime juice", "white sugar", "demerara sugar", "citric acid", "malic acid",
        "grapefruit juice", "orange juice", "cold brew coffee", "brewed black tea",
    )  # fmt: skip
    told = ['title = "' + "A long evening " * 5 + '"', "serves = 8", SCALES]
    for place in range(items):
        of = ['"200 g water"']
        of += [f'"{2 + 7 * n} g {pantry[(place + n) % len(pantry)]}"' for n in range(parts - 1)]
        told += [f"[items.quite-a-long-name-of-a-base-{place}]", 'calculator = "blend"',
                 f"part = [{', '.join(of)}]"]  # fmt: skip
    used = ", ".join(f'"10 g quite-a-long-name-of-a-base-{n}"' for n in range(items))
    return "\n".join([*told, "[[serve]]", 'name = "All of it"', f"part = [{used}]"])


@pytest.mark.parametrize(("items", "parts"), [(8, 2), (8, 5), (8, 8), (20, 4)])
def test_many_long_names_are_still_one_page(items: int, parts: int) -> None:
    said = make_plan(read_recipe(wide(items, parts)), 40).to_dict()
    text = first_text(said)
    fits(text, items)
    shown = one_line(text)
    for item in said["items"]:
        for line in item["weigh"]:
            assert f"{weighing(line, 'metric')} g {line['name']}" in shown


def test_a_weighing_that_is_too_small_is_marked_with_what_would_do() -> None:
    text = RECIPE.replace("[vessels.north]", f"{SCALES}[vessels.north]")
    text = text.replace('"10 g my-sour"]', '"0.2 g citric acid", "0.1 g sunflower lecithin"]')
    said = make_plan(read_recipe(text), 8).to_dict()
    shown = one_line(first_text(said))
    mix = next(one for one in said["items"] if one["id"] == "my-mix")
    few = [line["name"] for line in mix["weigh"] if line["hand"]["too_few"]]
    assert few
    assert f"Under 10 steps of your 0.1 g scale: {', '.join(few)}." in shown
    assert "Smallest batch that would do: " in shown
    assert ("Or a stock of citric acid: 1.0 g in 9.0 g water" in shown) is ("citric acid" in few)
    assert "stock of sunflower lecithin" not in shown
    assert "Under 10 steps" not in first_text(plan())  # no scale is named there
    assert "no scale is named" in first_text(plan())


def test_what_is_too_small_is_marked_wherever_it_is_weighed_from() -> None:
    text = RECIPE.replace("[vessels.north]", '[house.bench]\nscale = "5 g"\n[vessels.north]')
    said = plan(text, 8)
    for sheet in (first_text(said), plan_text(said), batch_text(said)):
        assert "Under 10 steps of your 5 g scale: water, malic acid, citric acid." in one_line(
            sheet
        )


@pytest.mark.parametrize("count", [2, 4, 7])
def test_many_reasons_to_stop_all_stand_on_it(count: int) -> None:
    """Loads of different fills at different places in vessels that are rated too low."""
    head = """
title = "Too much"
serves = 8
[vessels.weak]
vessel_volume = "1.3 l"
max_fill = "1 l"
rated = "3 bar"
inspection_due = "2001-01-01"
allowed_gas = ["n2o"]
[items.base]
calculator = "blend"
part = ["500 ml whole milk", "90 g water"]
"""
    told = [head]
    for place in range(count):
        told.append(f"""
[items.load-{place}]
calculator = "siphon"
vessel = "weak"
gas = "co2"
contents = "{300 + 60 * place} ml base"
chargers = 2
temperature = "{4 + 3 * place} C"
warmest = "{30 + 5 * place} C"
""")
    parts = ", ".join(f'"20 g load-{place}"' for place in range(count))
    said = plan("\n".join([*told, "[[serve]]", 'name = "x"', f"part = [{parts}]"]), 40)
    assert len({stop["of"] for stop in said["stops"]}) == count
    assert len({stop["id"] for stop in said["stops"]}) > 1
    text = first_text(said)
    shown = one_line(text)
    assert shown.startswith("plan: STOP ")
    for stop in said["stops"]:
        assert one_line(stop["text"]) in shown
        assert stop["of"] in shown
    fits(text, len(said["items"]))


def test_under_ten_steps_nothing_is_shown_as_if_the_scale_could_weigh_it() -> None:
    """0.4 of a step rounds to nothing and 1.4 steps to a quarter less; neither is shown."""
    text = RECIPE.replace("[vessels.north]", '[house.bench]\nscale = "5 g"\n[vessels.north]')
    said = plan(text, 8)
    lines = [line for one in said["items"] for line in one["weigh"]]
    assert {line["hand"]["too_few"] for line in lines} == {True, False}
    assert any(not line["hand"]["steps"] for line in lines)
    for line in lines:
        as_it_is = weighing(line, "metric") == amount(line["g"], "g")
        assert as_it_is if line["hand"]["too_few"] else weighing(line, "metric").isdigit()
    assert not re.search(r"(^|\s)0 g ", first_text(said))


def test_a_shelf_life_that_is_habit_says_so() -> None:
    recipe = load_recipe(FOLDER / "warm-brasswick.toml")
    said = make_plan(recipe, 40).to_dict()
    syrup = next(one for one in said["items"] if one["id"] == "spice-syrup")
    assert syrup["keeps"]["source"] == "SYRUP-TRADE"
    assert "7 days, habit" in first_text(said)
    assert "7 days, habit" in plan_text(said)
    (label,) = of_items(make_plan(recipe, 40), ["spice-syrup"], date(2026, 11, 29), None, "eu")
    assert "fridge (habit)" in one_line(label_text(label, "traced"))


@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_the_whole_sheet_stands_behind_full(path: Path) -> None:
    said = make_plan(load_recipe(path), 40).to_dict()
    full, _ = answer(PlanOptions(str(path), serves="40", full=True))
    assert full == plan_text(said)
    shown = one_line(full)
    for caution in (*said["cautions"], *said["standing"]):
        for told in caution["said"]:
            for words in (told["text"], told["action"], told["more"]):
                assert one_line(words) in shown
    assert answer(PlanOptions(str(path), serves="40"))[0] == first_text(said)


@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_no_figure_stands_among_the_reasons_why_none_is_shown(path: Path) -> None:
    said = make_plan(load_recipe(path), 40).to_dict()
    for item in said["items"]:
        assert not re.search(r"pH (is|would be) \d", item["not_shown"].get("ph", ""))


@pytest.mark.parametrize("other", ["csv", "batch", "quiet"])
def test_full_goes_with_no_other_form(other: str) -> None:
    with pytest.raises(Exception, match="does not go with"):
        answer(PlanOptions(str(RECIPES[0]), full=True, **{other: True}))
