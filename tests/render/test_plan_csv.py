"""A plan as CSV for a spreadsheet, and two scales of it side by side."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan.test_scales import RECIPE, call

from prepkit.plan import load_recipe, make_plan
from prepkit.render.plan_csv import HEADER, guarded, plan_csv

FOLDER = Path(__file__).parents[2] / "recipes"
RECIPES = sorted(FOLDER.glob("*.toml"))


@pytest.fixture
def path(tmp_path: Path) -> Path:
    file = tmp_path / "tonight.toml"
    file.write_text(RECIPE, encoding="utf-8")
    return file


def test_two_scales_side_by_side(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call(f"plan {path} --compare 20,40", capsys)
    assert code == 0
    words = " ".join(out.split())
    assert "my-juice 1778 3556" in words
    assert "my-sour 300 400" in words
    _, out, _ = call(f"plan {path} --compare 20,40 --json", capsys)
    said = json.loads(out)
    assert said["compare"] == [20, 40]
    for serves, one in zip((20, 40), said["plans"], strict=True):
        assert one == json.loads(json.dumps(make_plan(load_recipe(path), serves).to_dict()))


@pytest.mark.parametrize("path_of", RECIPES, ids=lambda one: one.stem)
def test_the_demo_recipes_side_by_side(path_of: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = call(f"plan {path_of} --compare 8,40,200 --units us", capsys)
    assert (code, err) == (0, "")
    assert "200 serves" in out
    assert all(len(line) <= 140 for line in out.splitlines())


def test_a_stop_at_one_scale_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (otter,) = FOLDER.glob("free-*.toml")
    weak = tmp_path / "weak.toml"
    weak.write_text(otter.read_text("utf-8").replace("16 bar", "6 bar"), encoding="utf-8")
    code, out, _ = call(f"plan {weak} --compare 20,40", capsys)
    assert code == 3
    assert "Verdict at 20 serves: STOP" in out
    assert "otter-soda STOP STOP" in " ".join(out.split())


@pytest.mark.parametrize(
    "words",
    ["--compare 20", "--compare 20,x", "--compare 20,0", "--compare 20,20",
     "--compare 1,2,3,4,5", "--compare ,",
     "--compare 20,40 --serves 3", "--compare 20,40 --csv", "--csv --json",
     "--serves 3 --from '3 kg grapefruit juice'", "--compare 2,3 --service 18:00"],
)  # fmt: skip
def test_what_does_not_go_together(
    words: str, path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(f"plan {path} {words}", capsys)
    assert (code, out) == (2, "")
    assert err.strip().count("\n") == 0


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_the_csv_reads_back_with_the_numbers_of_the_json(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = call(f"plan {path} --serves 40 --csv", capsys)
    assert code == 0
    said = make_plan(load_recipe(path), 40).to_dict()
    read = rows(out)
    assert tuple(read[0]) == HEADER
    weighed = {(r["of"], r["what"]): float(r["value"]) for r in read if r["section"] == "weigh"}
    assert weighed == {
        (item["id"], line["name"]): line["g"] for item in said["items"] for line in item["weigh"]
    }
    bought = {r["of"]: float(r["value"]) for r in read
              if r["section"] == "shopping" and r["what"] == "needed"}  # fmt: skip
    assert bought == {row["name"]: row["g"] for row in said["shopping"]}
    assert {r["of"] for r in read if r["section"] == "serve"} == {'Trial, "short"'}


def test_every_record_ends_as_the_standard_asks(path: Path) -> None:
    text = plan_csv(make_plan(load_recipe(path), 40).to_dict())
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    assert '"Trial, ""short"""' in text
    assert {len(row) for row in csv.reader(io.StringIO(text, newline=""))} == {len(HEADER)}


def test_a_title_cannot_become_a_formula(path: Path) -> None:
    text = plan_csv(make_plan(load_recipe(path), 40).to_dict())
    assert "'=HYPERLINK" in text
    for row in rows(text):
        for name, cell in row.items():
            if name not in ("value", "plus_minus"):
                assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


@given(st.text())
def test_no_text_is_left_that_a_spreadsheet_would_run(text: str) -> None:
    cell = guarded(text)
    assert not cell.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r"))
    assert cell.removeprefix("'") == text or cell == text


@pytest.mark.parametrize("number", [-1.5, 0, 3, 1e-9])
def test_numbers_stay_numbers(number: Any) -> None:
    assert guarded(number) == number


@pytest.mark.parametrize("path_of", RECIPES, ids=lambda one: one.stem)
def test_the_demo_recipes_as_csv(path_of: Path) -> None:
    said = make_plan(load_recipe(path_of), 40).to_dict()
    read = rows(plan_csv(said))
    assert {"plan", "item", "weigh", "shopping", "serve", "portion", "caution"} <= {
        row["section"] for row in read
    }


def test_a_stopped_load_has_no_amounts_in_the_csv(tmp_path: Path) -> None:
    (otter,) = FOLDER.glob("free-*.toml")
    weak = otter.read_text(encoding="utf-8").replace("16 bar", "6 bar")
    file = tmp_path / "weak.toml"
    file.write_text(weak, encoding="utf-8")
    read = rows(plan_csv(make_plan(load_recipe(file), 40).to_dict()))
    of = [row["section"] for row in read if row["of"] == "otter-soda"]
    assert "stop" in of
    assert not {"weigh", "yield", "check", "vessel"} & set(of)
