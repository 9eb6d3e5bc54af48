"""The recipes that come with it: each makes a sheet at any number of serves."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from prepkit.cli import main
from prepkit.plan import load_recipe, make_plan

FOLDER = Path(__file__).parents[2] / "recipes"
RECIPES = sorted(FOLDER.glob("*.toml"))
SERVES = (1, 8, 40, 200)


def call(words: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(words)
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


def numbers(thing: Any) -> list[float]:
    """Every number in a JSON form."""
    if isinstance(thing, dict):
        return [n for value in thing.values() for n in numbers(value)]
    if isinstance(thing, list):
        return [n for value in thing for n in numbers(value)]
    return [thing] if isinstance(thing, int | float) and not isinstance(thing, bool) else []


def test_there_are_the_three_of_the_scenario() -> None:
    assert {path.name.partition("-")[0] for path in RECIPES} >= {"cold", "warm", "free"}


@pytest.mark.parametrize("serves", SERVES)
@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_it_prints_a_sheet(path: Path, serves: int, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = call(["plan", str(path), "--serves", str(serves), "--full"], capsys)
    assert (code, err) == (0, "")
    for part in ("Verdict:", "Tonight in one look", "Shopping list", "weigh", "yields",
                 "expected refractometer reading", "density", "allergens:", "Cautions for the wall",
                 "Always"):  # fmt: skip
        assert part in out
    assert "NOT TO BE MADE" not in out
    assert "nan" not in out.split()


@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_the_same_as_json_and_with_working(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call(["plan", str(path), "--serves", "40", "--json"], capsys)
    assert code == 0
    said = json.loads(out)
    assert said == make_plan(load_recipe(path), 40).to_dict()
    assert said["serves"] == 40
    assert numbers(said)
    _, working, _ = call(["plan", str(path), "--working", "--units", "us"], capsys)
    assert "Sources" in working
    assert "US fl oz" in working


@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_every_item_is_used_and_nothing_is_lost(path: Path) -> None:
    said = make_plan(load_recipe(path), 40).to_dict()
    assert not said["not_made"]
    for item in said["items"]:
        if item["check"]:
            continue
        gone = sum(to["g"] for to in item["goes_to"])
        assert item["made_g"] == pytest.approx(gone + item["lost_g"] + item["left_g"])
        weighed = sum(line["g"] for line in item["weigh"])
        assert weighed >= item["made_g"] * (1 - 1e-6)  # more where peel or plants are strained off


@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_vessels_hold_what_goes_through_them(path: Path) -> None:
    for serves in SERVES:
        said = make_plan(load_recipe(path), serves).to_dict()
        made = {item["id"]: item["made_g"] for item in said["items"]}
        for one in said["vessels"]:
            assert one["each_g"] * one["fills"] == pytest.approx(made[one["item"]])
            assert one["each_ml"] <= one["most_ml"]
        assert sum(said["chargers"].values()) == sum(one["chargers"] for one in said["vessels"])


def test_the_cold_recipe_says_what_the_job_asks_for() -> None:
    (path,) = FOLDER.glob("cold-*.toml")
    said = make_plan(load_recipe(path), 40).to_dict()
    used = {item["calculator"] for item in said["items"]}
    assert used >= {"blend", "oleo", "cordial", "acid-solution", "siphon", "foam"}
    assert said["chargers"]["n2"] >= said["vessels"][0]["fills"]
    (nitro,) = (item for item in said["items"] if item["calculator"] == "siphon")
    assert {"refractometer", "acidity", "abv", "density", "ph"} <= {
        one["name"] for one in nitro["readings"]
    }
    (serve,) = said["serve"]
    # 110 ml at the strength of the mix, and almost nothing from the rest
    strength = next(one["value"] for one in nitro["readings"] if one["name"] == "abv")
    ethanol = next(one["value"] for one in serve["readings"] if one["name"] == "ethanol")
    assert ethanol == pytest.approx(1.1 * strength * 0.789, rel=0.01)


def test_the_alcohol_free_recipe_has_no_alcohol() -> None:
    (path,) = FOLDER.glob("free-*.toml")
    said = make_plan(load_recipe(path), 40).to_dict()
    for serve in said["serve"]:
        assert not {"abv", "ethanol"} & {one["name"] for one in serve["readings"]}
    assert "alcohol-content" not in {caution["id"] for caution in said["cautions"]}
    assert set(said["chargers"]) == {"co2"}


@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_vessel_facts_are_said_to_be_invented(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert ("[vessels." in text) == ("INVENTED for the example" in text)


@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_a_plan_writes_nothing(path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = path.read_bytes()
    monkeypatch.chdir(tmp_path)
    make_plan(load_recipe(path), 40).to_dict()
    assert not list(tmp_path.iterdir())
    assert path.read_bytes() == before


def test_a_recipe_with_a_vessel_rated_too_low_ends_with_status_three(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (path,) = FOLDER.glob("free-*.toml")
    weak = tmp_path / "weak.toml"
    weak.write_text(path.read_text(encoding="utf-8").replace("16 bar", "6 bar"), encoding="utf-8")
    for full in ([], ["--full"]):
        code, out, err = call(["plan", str(weak), "--serves", "40", *full], capsys)
        assert (code, err) == (3, "")
        assert ("Verdict: STOP" if full else "plan: STOP") in out
        assert "otter-soda must not be made" in out
        assert "HELD" in out
        assert "chargers in all" not in out
        assert "charger each" not in out
    code, out, _ = call(["plan", str(weak), "--json"], capsys)
    assert code == 3
    assert json.loads(out)["verdict"] == "stop"


def test_many_chargers_in_one_evening_are_said() -> None:
    """One load takes two; it is the whole evening's gas that ends in the room's air."""
    recipe = load_recipe(next(path for path in RECIPES if path.stem == "cold-semaphore"))
    plans = [make_plan(recipe, serves).to_dict() for serves in (8, 200)]
    ids = [{caution["id"] for caution in plan["cautions"]} for plan in plans]
    assert ["siphon-many-chargers" in found for found in ids] == [False, True]
