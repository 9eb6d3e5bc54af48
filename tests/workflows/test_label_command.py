"""Labels of bottles: a number on each, and all of the batch in them together."""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from typing import Any

import pytest

from prepkit.cli import main

ROOT = Path(__file__).parents[2]
HOUSE = """
[containers.bottle]
volume = "100 ml"
[containers.jar]
volume = "150 ml"
headspace = "10 ml"
"""
WORDS = 'label blend --part "380 ml spirit 43 %" --part "50 ml water" --name mix'
LABEL = f"{WORDS} --made 2026-03-01"


@pytest.fixture
def told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Any:
    (tmp_path / "house.toml").write_text(HOUSE, encoding="utf-8")
    monkeypatch.setenv("PREPKIT_HOUSE", str(tmp_path))

    def said(words: str) -> str:
        with pytest.raises(SystemExit):
            main(shlex.split(words))
        out = capsys.readouterr()
        return out.out + out.err

    return said


def test_each_bottle_has_its_number_and_its_share(told: Any) -> None:
    (whole,) = json.loads(told(f"{LABEL} --json"))["labels"]
    labels = json.loads(told(f"{LABEL} --into bottle,jar --json"))["labels"]
    assert [one["bottle"] for one in labels] == [
        "bottle 1 of 4", "bottle 2 of 4", "bottle 3 of 4", "jar 4 of 4",
    ]  # fmt: skip
    assert sum(one["ml"] for one in labels) == pytest.approx(whole["ml"])
    assert sum(one["g"] for one in labels) == pytest.approx(whole["g"])
    assert {one["use_by"]["last"] for one in labels} == {whole["use_by"]["last"]}
    assert whole["bottle"] is None


def test_numbers_go_on_from_the_bottles_that_stand_already(told: Any) -> None:
    labels = json.loads(told(f"{LABEL} --into bottle --first 7 --json"))["labels"]
    assert [one["bottle"] for one in labels][:2] == ["bottle 7", "bottle 8"]


def test_a_bottle_that_is_filled_under_gas_says_so(told: Any, tmp_path: Path) -> None:
    (tmp_path / "house.toml").write_text(f'{HOUSE}rated = "6 bar"\n', encoding="utf-8")
    labels = json.loads(told(f"{LABEL} --into jar --charged --json"))["labels"]
    assert {one["charged"] for one in labels} == {"filled under gas"}
    assert "UNDER PRESSURE: filled under gas" in told(f"{LABEL} --into jar --charged")
    assert {one["ml"] for one in labels[:-1]} == {140.0}


@pytest.mark.parametrize("form", ["text", "html"])
def test_the_number_is_printed(told: Any, form: str) -> None:
    said = told(f"{LABEL} --into bottle,jar --format {form}").lower()
    for number in range(1, 5):
        assert f"{number} of 4" in said


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("--into botle", "the nearest is bottle"),
        ("--into bottle --frozen", "headspace, how much stays empty"),
        ("--frozen", "--frozen, --charged and --first go with --into"),
        ("--charged", "--frozen, --charged and --first go with --into"),
        ("--into bottle --charged", "headspace, how much stays empty"),
        ("--into bottle --first 0", "--first is"),
    ],
)
def test_wrong_words(told: Any, more: str, said: str) -> None:
    assert said in told(f"{LABEL} {more}")


def test_what_is_under_gas_goes_only_into_what_is_rated(told: Any) -> None:
    recipe = ROOT / "recipes/cold-semaphore.toml"
    words = f"label {recipe} --item tonight-nitro --serves 8 --house {ROOT / 'recipes'} --into jar"
    assert "rated, the pressure its maker allows" in told(words)
