"""Worked back from an ingredient, two scales side by side, and CSV for a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
import shlex
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.cli import main
from prepkit.errors import BadInput
from prepkit.plan import load_recipe, make_plan
from prepkit.plan.files import MOST_SERVES
from prepkit.plan.plan import need_kg, read_recipe, serves_from
from prepkit.plan.prepare import prepare
from prepkit.render.plan_csv import HEADER, guarded, plan_csv

FOLDER = Path(__file__).parents[2] / "recipes"
RECIPES = sorted(FOLDER.glob("*.toml"))
RECIPE = """
title = "=HYPERLINK(A trial)"
serves = 8
[items.my-juice]
calculator = "blend"
part = ["900 g grapefruit juice", "100 g white sugar"]
loss = "10 %"
[items.my-sour]
calculator = "blend"
part = ["100 g lemon juice", "100 g water"]
least = "300 g"
[[serve]]
name = "Trial, \\"short\\""
part = ["80 g my-juice", "10 g my-sour", "20 g grapefruit juice"]
note = "line one"
"""


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


@pytest.fixture
def path(tmp_path: Path) -> Path:
    file = tmp_path / "tonight.toml"
    file.write_text(RECIPE, encoding="utf-8")
    return file


# from what there is


def test_serves_worked_back_by_hand() -> None:
    prepared = prepare(read_recipe(RECIPE))
    # of each serve: 80 g of juice, a tenth of what is made lost, nine tenths grapefruit: 80 g,
    # and 20 g poured in: 100 g
    assert need_kg(prepared, "grapefruit juice", prepared.recipe.counts(7)) == pytest.approx(0.7)
    serves, (one,) = serves_from(prepared, ["3.25 kg grapefruit juice"])
    assert serves == 32
    assert one.have_kg - one.need_kg == pytest.approx(0.05)
    assert serves_from(prepared, ["3.2 kg grapefruit juice"])[0] == 32
    assert serves_from(prepared, ["3.199 kg grapefruit juice"])[0] == 31


def test_a_finished_item_may_be_what_there_is() -> None:
    prepared = prepare(read_recipe(RECIPE))
    # with what is lost of it on the way
    assert serves_from(prepared, ["1 kg my-juice"])[0] == int(1000 * 0.9 / 80)


def test_the_scarcest_decides() -> None:
    prepared = prepare(read_recipe(RECIPE))
    serves, found = serves_from(prepared, ["5 kg grapefruit juice", "1 kg my-juice"])
    assert serves == 11
    assert [one.limits for one in found] == [False, True]
    assert [one.serves for one in found] == [50, 11]


def test_a_smallest_batch_asks_for_its_own() -> None:
    prepared = prepare(read_recipe(RECIPE))
    with pytest.raises(BadInput, match="for one serve 150 g"):
        serves_from(prepared, ["149 g lemon juice"])
    # 300 g are made in any case, and are enough for thirty
    assert serves_from(prepared, ["150 g lemon juice"])[0] == 30


@settings(deadline=None, max_examples=30)
@given(st.floats(0.11, 900))
def test_one_serve_more_would_need_more_than_there_is(kg: float) -> None:
    prepared = prepare(read_recipe(RECIPE))
    serves, _ = serves_from(prepared, [f"{kg!r} kg grapefruit juice"])
    assert need_kg(prepared, "grapefruit juice", prepared.recipe.counts(serves)) <= kg * (1 + 1e-6)
    assert need_kg(prepared, "grapefruit juice", prepared.recipe.counts(serves + 1)) > kg * (
        1 - 1e-6
    )


def test_no_more_serves_than_a_plan_takes() -> None:
    prepared = prepare(read_recipe(RECIPE))
    assert serves_from(prepared, ["90 t grapefruit juice".replace("90 t", "90000 kg")])[0] == (
        MOST_SERVES
    )


@pytest.mark.parametrize("path_of", RECIPES, ids=lambda one: one.stem)
def test_back_from_the_shopping_list_is_the_number_of_serves(path_of: Path) -> None:
    recipe = load_recipe(path_of)
    prepared = prepare(recipe)
    for row in make_plan(recipe, 37).to_dict()["shopping"]:
        if row["name"] == "water":
            continue
        words = f"{row['g']!r} g {row['name']}"
        serves, _ = serves_from(prepared, [words])
        # exactly so many, unless a smallest batch leaves room for more
        assert serves >= 37
        least = any(item.least for item in recipe.items.values())
        assert serves == 37 or least


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("3 kg vodka 40 %", "uses no vodka"),
        ("3 kg grapefruit juce", "grapefruit juice"),
        ("3 kg", "names no ingredient"),
        ("grapefruit juice", "number"),
        ("1 g grapefruit juice", "for one serve 100 g"),
        ("3 kg my-juices", "my-juice"),
    ],
)
def test_bad_words_of_what_there_is(
    words: str, says: str, path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(f"plan {path} --from '{words}'", capsys)
    assert (code, out) == (2, "")
    assert says in err
    assert "--from" in err
    assert err.strip().count("\n") == 0


def test_from_on_the_command_line(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call(f"plan {path} --from '3.25 kg grapefruit juice'", capsys)
    assert code == 0
    assert "32 serves, from" in out
    assert "from 3.25 kg grapefruit juice, as many as it allows: 3200 g needed, 50.0 g left" in out
    _, out, _ = call(f"plan {path} --from '3,25 kg grapefruit juice' --json", capsys)
    said = json.loads(out)
    assert said["serves"] == 32
    assert said["from"][0]["left_g"] == pytest.approx(50)


# side by side


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


# CSV


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
