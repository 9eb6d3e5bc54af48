"""The card of a whole recipe: its numbers are those of the JSON, its cautions stand once each."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from render.page_reader import (
    Node,
    assert_reads_well,
    assert_stands_alone,
    close,
    named,
    read,
)

from prepkit import registry
from prepkit.cli import main
from prepkit.model import Value, decimals, strictly
from prepkit.plan import load_recipe, make_plan
from prepkit.render.html import Look
from prepkit.render.plan_html import WORKED_OUT, plan_card

ROOT = Path(__file__).parent.parent.parent
RECIPES = sorted((ROOT / "recipes").glob("*-*.toml"))
ON = date(2026, 11, 25)


def call(words: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(words)
    out, err = capsys.readouterr()
    return int(ended.value.code or 0), out, err


@pytest.fixture(scope="module", params=RECIPES, ids=lambda path: path.stem)
def planned(request: pytest.FixtureRequest) -> tuple[dict[str, Any], str]:
    plan = make_plan(load_recipe(request.param), 40)
    return plan.to_dict(), plan_card(plan, Look(ON, details=True))


def test_three_recipes_are_there() -> None:
    assert len(RECIPES) >= 3


def test_recipe_stands_alone_and_reads_well(planned: tuple[dict[str, Any], str]) -> None:
    _, card = planned
    assert_stands_alone(card)
    assert_reads_well(card)


def test_amounts_of_the_recipe_are_those_of_the_json(planned: tuple[dict[str, Any], str]) -> None:
    said, card = planned
    root = read(card)
    make = _table(root, "make, in this order")
    made = [one for one in said["items"] if one["makes"]]
    for row, item in zip(make, made, strict=True):
        assert row[1] == item["id"]
        assert close(row[2], item["made_g"])
        assert row[3] == "-" if item["made_ml"] is None else close(row[3], item["made_ml"])
    shopping = _table(root, "what to have")
    packs = said["charger_packs"] if said["cost"] else []
    assert len(shopping) == len(said["shopping"]) + len(packs)
    for row, of in zip(shopping, said["shopping"], strict=False):
        assert row[1] == of["name"]
        assert close(row[2], of["g"])
        assert row[3] == "" if of["ml"] is None else close(row[3], of["ml"])
        if said["cost"] and of["packs"] is not None:
            assert row[5].replace("\u00a0", " ") == f"{of['packs']} x {of['pack']}"
            assert close(row[6], of["cost"])
    if said["cost"]:
        known = f"all that is bought: {said['cost']['known']:.2f} {said['cost']['currency']}"
        assert known in root.text
    if said["timetable"]:
        steps = _table(root, "steps, by when they start")
        for row, step in zip(steps, said["timetable"]["steps"], strict=True):
            assert row[4] == step["item"]
            assert row[5].startswith(step["text"])
    sections = [
        one
        for one in root.all("section", class_="item")
        if one.attributes["aria-labelledby"].startswith("item-")
    ]
    for section, item in zip(sections, said["items"], strict=True):
        assert section.first("h3").text.endswith(item["verdict"])
        if item["makes"]:
            for row, line in zip(_table(section, "weigh"), item["weigh"], strict=True):
                assert row[1] == line["name"]
                assert close(row[2], line["g"])
                if line["ml"] is not None:
                    assert close(row[3].split()[0], line["ml"])
        rows = {one.attributes["data-name"]: one for one in section.all("tr") if named(one)}
        for one in item["readings"]:
            shown = rows[one["name"]].first("td").text
            assert close(shown.split()[0], one["value"])
            assert shown.endswith(one["unit"])
            value = Value(one["value"], one["unit"], one["plus_minus"], "", one["digits"])
            last = 10 ** -decimals(value, "metric")  # a ± is never less than that
            if "±" in shown:
                want = max(one["plus_minus"], last)
                assert _spread(shown) == pytest.approx(want, abs=0.5001 * last)
                assert len(shown.split()[2]) <= len(shown.split()[0])
            else:
                assert (one["plus_minus"] or 0) < 0.1 * last
            within = rows[one["name"]].first("td", class_="blank").text
            if one["name"] == "dissolved_solids":
                assert within == WORKED_OUT
            elif within:
                last = 10 ** -decimals(value.replaced(plus_minus=one["tolerance"]), "metric")
                want = max(one["tolerance"], last)
                assert _spread(within) == pytest.approx(want, abs=0.5001 * last)
        if item["makes"] and (off := item["made_g_plus_minus"]):
            told = re.search(r"yields [\d.]+ ± ([\d.]+) g", section.text)
            assert told is not None
            assert float(told[1]) > 0
            last = 10.0 ** -len(told[1].partition(".")[2])
            assert float(told[1]) == pytest.approx(max(off, last), abs=0.5001 * last)
        if item["filling"]:
            outputs = registry.load(item["calculator"]).result.outputs()
            for one in item["values"]:
                shown = rows[one["name"]].first("td").text.split()[0]
                limit = outputs[one["name"]].limit  # such a value is shown on its strict side
                assert close(shown, strictly(one["value"], len(shown.partition(".")[2]), limit))


def _spread(words: str) -> float:
    return float(words.partition("± ")[2].split()[0])


def _table(root: Node, caption: str) -> list[list[str]]:
    """The rows of the table with a caption that begins so, the box to tick included."""
    found = next(one for one in root.all("table") if one.first("caption").text.startswith(caption))
    return [
        [one.text for one in row.all() if one.tag in ("td", "th")]
        for row in found.first("tbody").all("tr")
    ]


def test_times_of_day_on_demand(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = call(["card", "plan", str(RECIPES[0]), "--service", "18:00", "--details"], capsys)
    assert "Timetable, back from service at 18:00" in read(out).text
    code, _, err = call(["card", "plan", str(RECIPES[0]), "--service", "soon"], capsys)
    assert code == 2
    assert "18:00" in err


def test_cautions_of_the_recipe_once_each(planned: tuple[dict[str, Any], str]) -> None:
    said, card = planned
    root = read(card)
    shown = [one.text for one in root.all("article", class_="caution")]
    wall = [one for one in said["cautions"] if one["severity"] != "stop"]
    assert len(shown) == len(wall) + len(said["standing"])
    for one in wall:
        assert root.first("article", id=f"caution-{one['number']}").text.startswith(
            f"{one['number']}. {one['severity']} {one['kind']}"
        )
        for told in one["said"]:
            assert any(" ".join(told["text"].split()) in text for text in shown)


def test_pictures_of_the_recipe(planned: tuple[dict[str, Any], str]) -> None:
    said, card = planned
    drawn = [item for item in said["items"] if item["calculator"] in ("siphon", "layer")]
    pictures = len(drawn) + len(said.get("routines", ()))
    assert len(list(read(card).all("figure"))) == pictures


STOPPED = """
title = "Stopped"
serves = 4
[vessels.small]
vessel_volume = "0.60 l"
max_fill = "0.5 l"
rated = "10 bar"
[items.load]
calculator = "siphon"
vessel = "small"
contents = "500 ml water"
gas = "n2o"
chargers = 2
temperature = "4 C"
[items.over]
calculator = "blend"
part = ["100 g load", "20 g white sugar"]
[[serve]]
name = "One"
part = ["100 g over"]
"""


def test_a_stopped_recipe_shows_no_amounts_to_go_by(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "stopped.toml"
    file.write_text(STOPPED)
    code, out, _ = call(["card", "plan", str(file), "--details"], capsys)
    assert code == 3
    assert_reads_well(out)
    root = read(out)
    verdict = root.first("section", class_="verdict").text
    assert verdict.startswith("STOP load must not be made.")
    assert "Do not do this." in verdict
    assert not any(one.text[:1].isdigit() for one in root.first("div", class_="front").all("dd"))
    verdict = root.first("div", class_="details").first("section", class_="verdict").text
    assert verdict.startswith("STOP something below must not be made load must not be made:")
    assert "Do this:" in verdict
    items = list(root.all("section", class_="item"))
    assert "NOT TO BE MADE" in items[0].text
    assert "NOT TO BE MADE" in items[1].text  # what was charged goes into nothing but a serve
    assert not any(list(one.all("table")) or list(one.all("figure")) for one in items)
