"""An entry from a label: its sums, its energy, what is asked for, what it reads back as."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from prepkit import pantry_file
from prepkit.cli import cli
from prepkit.errors import BadInput
from prepkit.pantry import Pantry
from prepkit.pantry_file import house_entries

LABEL = pantry_file.read(pantry_file.EXAMPLE)


def test_the_printed_entry_is_one_of_a_house() -> None:
    row = pantry_file.entry(
        "rum syrup", "syrup", "liquid", LABEL, [], keeps="none", caffeine_mg=0.0
    )
    said = tomllib.loads(pantry_file.toml(row))
    made = Pantry(house_entries(said)).ingredient("rum syrup").mixture
    assert made.sugar == pytest.approx(0.60, abs=1e-3)
    assert made.fraction("water") == pytest.approx(0.40, abs=1e-3)


def test_a_label_of_100_ml_holds_its_grams_in_100_ml() -> None:
    label = pantry_file.read(
        "energy 290 kcal, fat 0 g, carbohydrate 35 g, sugars 35 g, protein 0 g, salt 0 g"
    )
    row = pantry_file.entry(
        "house liqueur",
        "spirit",
        "liquid",
        label,
        [],
        per_ml=True,
        abv=25,
        keeps="none",
        caffeine_mg=0.0,
    )
    made = Pantry(house_entries({"ingredient": [row]})).ingredient("house liqueur").mixture
    assert made.sugar * made.density_kg_m3() == pytest.approx(350, abs=1)
    assert 100 * made.abv == pytest.approx(25, abs=0.1)


def test_a_powder_needs_no_density() -> None:
    label = pantry_file.read(
        "energy 380 kcal, fat 1 g, carbohydrate 90 g, sugars 80 g, protein 3 g, salt 0.5 g"
    )
    row = pantry_file.entry(
        "foam powder", "other", "powder", label, ["milk"], keeps="none", caffeine_mg=0.0
    )
    assert row["allergens"] == ["milk"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("energy 100 kJ, fat 0 g, carbohydrate 60 g, sugars 60 g, protein 0 g, salt 0 g",
         "its own parts give"),
        ("energy 1020 kJ, fat 0 g, carbohydrate 50 g, sugars 60 g, protein 0 g, salt 0 g",
         "part of it"),
        ("energy 1020 kJ, fat 0 g", "does not say carbohydrate"),
        ("energy 1020 g, fat 0 g", "kJ or kcal"),
        ("energy 1020 kJ, energy 5 kJ", "twice"),
        ("fat lots", 'has "fat lots"'),
        ("moonlight 3 g", 'has "moonlight"'),
        ("energy 900 kcal, fat 100 g, carbohydrate 10 g, sugars 0 g, protein 0 g, salt 0 g",
         "sums to 110"),
    ],
)  # fmt: skip
def test_a_wrong_label_is_one_sentence(words: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        pantry_file.entry(
            "thing", "other", "liquid", pantry_file.read(words), [], keeps="none", caffeine_mg=0.0
        )


def test_an_unknown_allergen_is_refused() -> None:
    with pytest.raises(BadInput):
        pantry_file.entry(
            "thing", "syrup", "liquid", LABEL, ["moonlight"], keeps="none", caffeine_mg=0.0
        )


COLD = {"keeps": "dairy", "caffeine_mg": 32.0}


def test_what_cautions_rest_on_is_not_lost() -> None:
    label = pantry_file.read(
        "energy 66 kcal, fat 2 g, carbohydrate 9 g, sugars 9 g, protein 3 g, salt 0.1 g"
    )
    row = pantry_file.entry("cold milk coffee", "dairy", "liquid", label, ["milk"], **COLD)
    made = Pantry(house_entries({"ingredient": [row]})).ingredient("cold milk coffee").mixture
    assert made.keeps == {"dairy"}
    assert {"dairy", "caffeine"} <= made.tags
    assert 1e5 * made.fraction("caffeine") == pytest.approx(32, rel=0.02)
    assert made.of("milk_fat") > 0
    with pytest.raises(BadInput, match="does not say milk"):
        pantry_file.entry("cold milk coffee", "dairy", "liquid", label, [], **COLD)


def test_polyols_have_a_line_of_their_own() -> None:
    label = pantry_file.read(
        "energy 144 kcal, fat 0 g, carbohydrate 60 g, sugars 0 g, polyols 60 g, protein 0 g, "
        "salt 0 g"
    )
    row = pantry_file.entry(
        "light syrup", "syrup", "liquid", label, [], keeps="syrup", caffeine_mg=0.0
    )
    assert row["per_100_g"]["sorbitol"] == pytest.approx(60)
    assert "polyol" in row["hazards"]


def test_the_command_adds_it_whole_and_loses_nothing(tmp_path: Path) -> None:
    (tmp_path / "house.toml").write_text('pantry = "pantry.toml"\n')
    words = ["pantry", "--new", "rum syrup", "--label", pantry_file.EXAMPLE, "--allergens", "none",
             "--group", "syrup", "--form", "liquid", "--house", str(tmp_path), "--add"]  # fmt: skip
    file = tmp_path / "pantry.toml"
    first = "# ours\n" + pantry_file.toml(
        pantry_file.entry("old syrup", "syrup", "liquid", LABEL, [], keeps="none", caffeine_mg=0.0)
    )
    file.write_text(first)

    def run(*more: str) -> int:
        return CliRunner().invoke(cli, [*words, *more]).exit_code

    assert run() != 0  # how it keeps and its caffeine are asked for
    assert file.read_text() == first
    asked = ("--keeps", "syrup", "--caffeine", "0 mg")
    assert run(*asked) == 0
    assert file.read_text().startswith(first)
    assert len(house_entries(tomllib.loads(file.read_text()))) == 2
    assert run(*asked) != 0  # the name is taken now
    assert len(house_entries(tomllib.loads(file.read_text()))) == 2
