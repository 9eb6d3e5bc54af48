"""prepkit pantry: an ingredient in full, names by a part, plants that poison."""

from __future__ import annotations

import json
import re
import shlex

import pytest

from prepkit.cli import main
from prepkit.pantry import Pantry


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Exit status, standard output and standard error of one command line."""
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


def squeezed(text: str) -> str:
    """Text without line breaks and indents."""
    return " ".join(text.split())


def test_an_ingredient_in_full(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call("pantry cream 35 % --json", capsys)
    assert code == 0
    said = json.loads(out)
    assert said["ingredient"] == "cream 35 %"
    assert said["per_100_g"]["milk_fat"] == pytest.approx(35)
    assert sum(said["per_100_g"].values()) == pytest.approx(100)
    assert said["allergens"] == ["milk"]
    assert said["source"] == "USDA-SR28"


def test_a_strength_that_is_needed_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call("pantry cream", capsys)
    assert code == 0
    assert "18 to 48 %" in squeezed(out)
    assert "milk" in out
    suggested = re.search(r'prepkit pantry "([^"]+)"', squeezed(out))
    assert suggested
    code, out, _ = call(f'pantry "{suggested[1]}"', capsys)
    assert code == 0
    assert "In 100 g" in out


def test_a_part_of_a_name_lists_the_names(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call("pantry juice", capsys)
    assert code == 0
    assert "lime juice" in squeezed(out)
    assert "cream" not in squeezed(out)


def test_a_plant_that_poisons_is_refused_by_name(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call("pantry dried oleander flowers", capsys)
    assert code == 0
    assert "refused" in out


def test_every_name_can_be_looked_up() -> None:
    from prepkit.workflows.pantry_command import ingredient_text, looked_up

    for name in Pantry().names():
        said = looked_up(name)
        if "ingredient" in said:
            assert said["source"], name
            assert "source" in ingredient_text(said)
        else:
            assert "refused" in said, name
