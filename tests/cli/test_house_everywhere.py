"""The house's own ingredients in every calculator: by option, variable, prepkit.toml and Python."""

from __future__ import annotations

from pathlib import Path

import pytest

from prepkit import run
from prepkit.cli import main
from prepkit.errors import BadRecipe, FileProblem, UnknownIngredient
from prepkit.pantry_file import house_entries

HOUSE = Path(__file__).parents[2] / "recipes" / "house"
WORDS = {"part": ["100 g lamp syrup", "100 g water"]}
LINE = ["blend", "--part", "100 g lamp syrup"]


def ended(line: list[str]) -> int:
    with pytest.raises(SystemExit) as found:
        main(line)
    return int(found.value.code or 0)


def test_unknown_without_a_house(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("PREPKIT_HOUSE", raising=False)
    assert ended(LINE) == 2
    with pytest.raises(UnknownIngredient):
        run("blend", WORDS)


def test_by_option_variable_and_python(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(tmp_path)
    assert ended([*LINE, "--house", str(HOUSE)]) == 0
    assert ended(["siphon", "--contents", "250 g lamp syrup", "--gas", "n2o", "--chargers", "1",
                  "--vessel-volume", "0.78 l", "--rated", "17 bar", "--temperature", "5 C",
                  "--house", str(HOUSE)]) in (0, 3)  # fmt: skip
    assert ended(["pantry", "lamp", "syrup", "--house", str(HOUSE)]) == 0
    monkeypatch.setenv("PREPKIT_HOUSE", str(HOUSE))
    assert ended(LINE) == 0
    assert run("blend", WORDS, house=HOUSE).values["mass"].value == pytest.approx(200)


def test_by_a_file_in_the_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("PREPKIT_HOUSE", raising=False)
    Path("prepkit.toml").write_text(f'house = "{HOUSE}"\n', encoding="utf-8")
    assert ended(LINE) == 0
    assert run("blend", WORDS).values["mass"].value == pytest.approx(200)


@pytest.mark.parametrize("text", ["hause = 'x'", "house = 3", "house = ''", "x", "[house]"])
def test_a_wrong_file_is_one_sentence(
    text: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("prepkit.toml").write_text(text, encoding="utf-8")
    with pytest.raises(BadRecipe):
        run("blend", {"part": ["1 l water"]})


def test_a_house_that_is_not_there_is_a_file_problem(tmp_path: Path) -> None:
    with pytest.raises(FileProblem):
        run("blend", {"part": ["1 l water"]}, house=tmp_path / "nowhere")


@pytest.mark.parametrize("form", ["solid", "powder"])
def test_a_dry_ingredient_of_a_house_needs_no_density(form: str) -> None:
    row = {"name": "house sugar", "group": "sweetener", "form": form,
           "per_100_g": {"water": 0.5, "sucrose": 99.5}}  # fmt: skip
    (entry,) = house_entries({"ingredient": [row]})
    assert entry["name"] == "house sugar"
