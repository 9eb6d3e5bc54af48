"""Worked back from an ingredient, two scales side by side, and CSV for a spreadsheet."""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.cli import main
from prepkit.errors import BadInput
from prepkit.plan import load_recipe, make_plan
from prepkit.plan.files import MOST_SERVES
from prepkit.plan.plan import need_kg, read_recipe, serves_from
from prepkit.plan.prepare import prepare

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


# CSV
