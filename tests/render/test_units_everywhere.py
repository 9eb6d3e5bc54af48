"""Where US units are asked for, no sentence of a sheet, label or list speaks of bar or C."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from prepkit.cli import cli
from prepkit.render.text import in_units

METRIC = re.compile(r"\d ?(?:bar|°C|C|ml|litres?)\b")
RECIPE = """
title = "Foam"
serves = 10
[vessels.a]
vessel_volume = "0.78 l"
max_fill = "0.5 l"
rated = "10 bar"
[items.foam]
calculator = "siphon"
contents = "450 ml cream 35 %"
gas = "n2o"
chargers = {chargers}
temperature = "5 C"
vessel = "a"
[items.hot]
calculator = "warm"
hot = "120 g whole milk at 70 C"
part = "40 ml spirit 40 %"
[[serve]]
name = "Glass"
part = ["40 ml foam", "100 ml hot"]
"""


def printed(*words: str) -> str:
    found = CliRunner().invoke(cli, list(words))
    assert found.exit_code in (0, 3), found.output
    return found.output


@pytest.fixture(params=[1, 2])
def recipe(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    path = tmp_path / "foam.toml"
    path.write_text(RECIPE.format(chargers=request.param), encoding="utf-8")
    return str(path)


def test_a_plan_compared_speaks_us_units(recipe: str) -> None:
    text = printed("plan", recipe, "--units", "us", "--compare", "10,20")
    assert "psi" in text
    assert not METRIC.search(text), METRIC.search(text)


def test_the_sentences_of_a_spreadsheet_speak_us_units(recipe: str) -> None:
    rows = csv.reader(io.StringIO(printed("plan", recipe, "--units", "us", "--csv")))
    said = [row for row in rows if row[0] in ("stop", "caution")]
    assert said
    for row in said:
        assert not METRIC.search(f"{row[3]} {row[6]}"), row


@pytest.mark.parametrize("form", ["text", "html"])
def test_a_label_speaks_us_units(form: str, tmp_path: Path) -> None:
    path = tmp_path / "milk.toml"
    path.write_text(
        'title = "Milk"\nserves = 10\n[items.mix]\ncalculator = "blend"\n'
        'part = ["1 l whole milk", "100 ml spirit 40 %"]\n[[serve]]\nname = "G"\n'
        'part = "100 ml mix"\n', encoding="utf-8",
    )  # fmt: skip
    text = printed("label", str(path), "--item", "mix", "--units", "us", "--format", form,
                   "--made", "2026-11-29")  # fmt: skip
    words = re.sub(r"<style.*?</style>", "", text, flags=re.DOTALL)
    assert not METRIC.search(re.sub(r"<[^>]*>", "", words)), METRIC.search(words)


def test_the_list_of_cautions_speaks_us_units() -> None:
    text = printed("cautions", "--units", "us")
    assert "°F" in text
    assert not re.search(r"\d (?:bar|°C)\b(?! colder)", text)


def test_a_charger_is_known_by_its_grams() -> None:
    said = "A charger of 16 g is larger than the 8.4 g that this vessel takes at 5 C."
    assert in_units(said, "us") == said.replace("5 C", "41 F")
    assert "oz" in in_units("Add 16 g of salt.", "us")
