"""An entry from a label: its sums, its energy, what is asked for, what it reads back as."""

from __future__ import annotations

import tomllib

import pytest

from prepkit import label_entry
from prepkit.errors import BadInput
from prepkit.pantry import Pantry
from prepkit.pantry_file import house_entries

LABEL = label_entry.read(label_entry.EXAMPLE)


def test_the_printed_entry_is_one_of_a_house() -> None:
    row = label_entry.entry("rum syrup", "syrup", "liquid", LABEL, [])
    said = tomllib.loads(label_entry.toml(row))
    made = Pantry(house_entries(said)).ingredient("rum syrup").mixture
    assert made.sugar == pytest.approx(0.60, abs=1e-3)
    assert made.fraction("water") == pytest.approx(0.40, abs=1e-3)


def test_a_label_of_100_ml_holds_its_grams_in_100_ml() -> None:
    label = label_entry.read(
        "energy 290 kcal, fat 0 g, carbohydrate 35 g, sugars 35 g, protein 0 g, salt 0 g"
    )
    row = label_entry.entry("house liqueur", "spirit", "liquid", label, [], per_ml=True, abv=25)
    made = Pantry(house_entries({"ingredient": [row]})).ingredient("house liqueur").mixture
    assert made.sugar * made.density_kg_m3() == pytest.approx(350, abs=1)
    assert 100 * made.abv == pytest.approx(25, abs=0.1)


def test_a_powder_needs_no_density() -> None:
    label = label_entry.read(
        "energy 380 kcal, fat 1 g, carbohydrate 90 g, sugars 80 g, protein 3 g, salt 0.5 g"
    )
    row = label_entry.entry("foam powder", "other", "powder", label, ["milk"])
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
        label_entry.entry("thing", "other", "liquid", label_entry.read(words), [])


def test_an_unknown_allergen_is_refused() -> None:
    with pytest.raises(BadInput):
        label_entry.entry("thing", "syrup", "liquid", LABEL, ["moonlight"])
