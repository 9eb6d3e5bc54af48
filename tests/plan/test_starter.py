"""plan --new: questions, a commented recipe that plans, and never over another file."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from prepkit.cli import cli, main
from prepkit.plan import load_recipe, make_plan
from prepkit.plan.check import check
from prepkit.plan.recipe import read_recipe
from prepkit.plan.starter import Answers, recipe_text

ENTER = "\n" * 10
PLATE = "1.3 l\n1 l\n17 bar\n2.4 g\n"


def new(path: Path, answers: str) -> tuple[int, str]:
    done = CliRunner().invoke(cli, ["plan", "--new", str(path)], input=answers)
    return done.exit_code, done.output


def test_enter_throughout_makes_a_recipe_that_plans(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    code, out = new(path, ENTER)
    assert code == 0, out
    assert f"{path} is written" in out
    assert check(path).problems == ()
    plan = make_plan(load_recipe(path)).to_dict()
    assert plan["serves"] == 8
    assert plan["verdict"] != "stop"
    assert plan["not_made"] == []
    assert path.read_text("utf-8").count("#") > 8
    assert sorted(one.name for one in tmp_path.iterdir()) == ["mine.toml"]


def test_a_charged_drink_without_its_plate_is_a_stop_and_says_what_is_missing(
    tmp_path: Path,
) -> None:
    path = tmp_path / "mine.toml"
    code, out = new(path, "\n" * 9 + "n2\n\n\n\n\n")
    assert code == 0, out
    text = path.read_text("utf-8")
    assert text.count("FILL IN") == 4
    assert "\ncharger_gas_mass" not in text  # nothing is guessed
    assert make_plan(load_recipe(path)).verdict == "stop"
    other = tmp_path / "other.toml"
    assert new(other, "\n" * 9 + "n2\n" + PLATE)[0] == 0
    assert make_plan(load_recipe(other)).verdict != "stop"
    assert 'rated = "17 bar"' in other.read_text("utf-8")
    assert 'charger_gas_mass = "2.4 g"  # as it is printed' in other.read_text("utf-8")
    unprinted = tmp_path / "unprinted.toml"
    assert new(unprinted, "\n" * 9 + "n2\n" + PLATE.replace("2.4 g", ""))[0] == 0
    found = {one["id"] for one in make_plan(load_recipe(unprinted)).to_dict()["cautions"]}
    assert "siphon-charger-mass-assumed" in found


def test_a_wrong_answer_is_asked_again(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    answers = (
        "Night\n0\nmany\n12\nspirt 40 %\nwhite sugar\nrum 40 %\n40 g\n0 ml\n45 ml\nwater\n"
        "demerara sugar\n90\n60\n20 ml\n30 ml\n40 C\n5 C\nxenon\nnone\n"
    )
    code, out = new(path, answers)
    assert code == 0, out
    assert out.count("Error:") == 10
    recipe = load_recipe(path)
    assert recipe.serves == 12
    assert "rum 40 %" in str(recipe.items["tonight-mix"].inputs["part"])
    assert check(path).problems == ()


def test_no_alcohol(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    assert new(path, "\n\n-\n" + ENTER)[0] == 0
    said = make_plan(load_recipe(path)).to_dict()
    assert not any(one["name"] == "abv" for one in said["serve"][0]["readings"])


def test_nothing_is_overwritten_and_nothing_asked_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("precious", encoding="utf-8")
    link = tmp_path / "link.toml"
    os.symlink(tmp_path / "nowhere.toml", link)
    for taken in (path, link, tmp_path, tmp_path / "no" / "such.toml", tmp_path / "a\0b"):
        with pytest.raises(SystemExit) as ended:
            main(["plan", "--new", str(taken)])
        out, err = capsys.readouterr()
        assert ended.value.code == 4
        assert out == ""
        assert err.strip().count("\n") == 0
    assert path.read_text("utf-8") == "precious"
    assert not (tmp_path / "nowhere.toml").exists()


def test_stopping_half_way_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    import io

    monkeypatch.setattr("sys.stdin", io.StringIO("Night\n8\n"))
    with pytest.raises(SystemExit) as ended:
        main(["plan", "--new", str(tmp_path / "mine.toml")])
    assert ended.value.code == 2
    assert "stopped" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_new_reads_no_other_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["plan", "some.toml", "--new", str(tmp_path / "mine.toml")])
    assert ended.value.code == 2
    assert "--new" in capsys.readouterr().err


@given(st.text(min_size=1, max_size=60).filter(lambda one: one.isprintable() and one.strip()))
def test_any_title_reads_back_as_it_was_given(title: str) -> None:
    tidy = " ".join(title.split())
    said = Answers(tidy, 8, "rum 40 %", "40 ml", "white sugar", "50 Bx", "20 ml", "40 ml", "4 C",
                 "none", {})  # fmt: skip
    recipe = read_recipe(recipe_text(said))
    assert recipe.title == tidy
    assert recipe.serve[0].name == tidy
