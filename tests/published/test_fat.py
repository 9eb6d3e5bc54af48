"""Fat beside spirit against published values."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from prepkit.pantry import Pantry
from prepkit.registry import run
from prepkit.science import ethanol, infusion
from published.rows import Row, load

ROWS = load("fat")


def _wash(words: str, name: str, **more: Any) -> float:
    found = run("fat-wash", {"spirit": "700 ml spirit 40 %", "fat": words, "temperature": "-18 C",
                             **more})  # fmt: skip
    return float(found.values[name].value)


def _pantry(name: str, component: str) -> float:
    return 100 * Pantry().ingredient(name).mixture.fraction(component)


def _in_butter(end: int) -> float:
    fraction = ethanol.mass_fraction_from_abv(0.40)
    return 1000 * infusion.ethanol_in_fat_kg(0.08111, fraction, infusion.partition(0.40, 25.0)[end])


CHECKS: dict[str, Callable[[], float]] = {
    "FAT-01a": lambda: _wash("100 g butter", "abv"),
    "FAT-01b": lambda: _wash("100 g salted butter", "abv"),
    "FAT-02a": lambda: _in_butter(0),
    "FAT-02b": lambda: _in_butter(1),
    "FAT-03a": lambda: _pantry("coconut milk", "water"),
    "FAT-03b": lambda: _pantry("coconut milk", "fat"),
    "FAT-05a": lambda: infusion.partition(0.40, 5.0).low,
    "FAT-05b": lambda: infusion.partition(0.40, 5.0).high,
    "FAT-05c": lambda: infusion.partition(0.40, 60.0).low,
    "FAT-05d": lambda: infusion.partition(0.40, 60.0).high,
    "FAT-06": lambda: _wash("191 g coconut milk", "abv"),
    "FAT-07a": lambda: _wash("100 g butter", "water"),
    "FAT-07b": lambda: _wash("100 g salted butter", "water"),
    "FAT-08a": lambda: 100 * infusion.solid_share("milk", 0.0).high,
    "FAT-08b": lambda: 100 * infusion.solid_share("milk", 25.0).low,
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_published(row: Row) -> None:
    assert abs(CHECKS[row.id]() - row.value) <= row.tolerance


def test_no_butter_is_under_the_least_of_solid_fat() -> None:
    lowest = next(row.value for row in ROWS if row.id == "FAT-08b")
    assert CHECKS["FAT-08b"]() <= lowest


def test_every_row_is_checked() -> None:
    ids = [row.id for row in ROWS]
    assert len(ids) == len(set(ids))
    assert set(ids) == set(CHECKS)
