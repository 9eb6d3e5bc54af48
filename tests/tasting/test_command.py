"""prepkit tasting from the plan to the result, and what it refuses."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from prepkit.cli import main

SOUR = ["--taste", "sour", "--expected", "0.62 %"]
SAFE = ["--glass-volume", "15 ml", "--abv", "12 %", "--allergens", "milk"]
TWO = ["--glass", "0.55 %", "--glass", "0.62 %"]
Run = Callable[..., tuple[int, str]]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command; its exit status, and all that it printed."""

    def call(*words: str, command: str = "tasting") -> tuple[int, str]:
        with pytest.raises(SystemExit) as stopped:
            main([command, *words])
        out, err = capsys.readouterr()
        return int(stopped.value.code or 0), out + err

    return call


def test_none_among_allergens_is_refused(run: Run) -> None:
    code, said = run("plan", *TWO, *SOUR, *SAFE[:4], "--allergens", "milk, none")
    assert code == 2
    assert "say none alone" in said


def test_the_command_from_plan_to_result(tmp_path: Path, run: Run) -> None:
    path = str(tmp_path / "sour.toml")
    code, said = run("plan", *TWO, *SOUR, *SAFE, "--out", path)
    assert code == 0
    assert said.index("Test of three") < said.index("Allergens: milk.")
    assert "Alcohol: at most 4.3 g for each person" in said
    code, said = run("pour", path, "--json")
    pours = json.loads(said)["pour"]
    answers = []
    for row in pours:
        more = next(code for code, glass in row["pours"].items() if glass == "0.62 %")
        answers.append(f"{row['taster']}: {more}")
    assert run("answer", path, *answers[:6]) == (0, "6 of 12 tasters have answered.\n")
    assert run("answer", path, *answers[6:])[0] == 0
    code, said = run("result", path)
    assert code == 0
    assert "12 of 12 picked the expected glass, p = less than 0.001: they differ" in said
    assert json.loads(run("result", path, "--json")[1])["found"] is True
    other = (
        answers[0].split(": ")[0]
        + ": "
        + next(code for code in pours[0]["pours"] if code != answers[0].split(": ")[1])
    )
    code, said = run("answer", path, other)
    assert (code, "--force" in said) == (2, True)
    assert run("answer", path, other, "--force")[0] == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([*TWO, *SOUR], "--glass-volume"),
        ([*TWO, *SOUR, "--glass-volume", "15 ml"], "--abv"),
        ([*TWO, *SOUR, *SAFE[:4]], "--allergens"),
        ([*TWO[:2], *SAFE], "--glass"),
        ([*TWO, *SAFE, "--test", "three"], "--taste"),
        ([*TWO, *SAFE, "--taste", "sour", "--test", "three"], "--expected"),
        ([*TWO, *SAFE, *SOUR[:2], "--expected", "0.7 %"], "none of the glasses"),
        ([*TWO, *SAFE, "--tasters", "many"], "whole number"),
        ([*TWO, *SAFE, "--tasters", "0"], "1 to 1000"),
        ([*TWO, *SAFE, "--test", "ranking"], "3 or more"),
        ([*TWO, *TWO[:2], *SAFE], "one name"),
        ([*TWO, *SAFE[:5], " , "], "none"),
        ([*TWO, "--glass-volume", "0 ml", *SAFE[2:]], "1 to 200 ml"),
    ],
)
def test_wrong_words_are_one_sentence(words: list[str], said: str, run: Run) -> None:
    code, out = run("plan", *words)
    assert code == 2
    assert said in out
    assert out.count("\n") == 1
