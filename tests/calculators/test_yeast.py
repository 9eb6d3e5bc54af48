"""Acid and sugar do not stop yeasts: it is said wherever a sour, sweet liquid is judged to keep.

YEASTS-2002 (EV3-87): three yeasts grew at pH 2.8 to 3.8, 0.2 to 0.6 % acid and 8 to 16 Bx.
"""

from __future__ import annotations

import pytest

from prepkit.registry import run

SAID = "yeast-not-stopped-by-acid-and-sugar"


def cautions(calculator: str, parts: list[str]) -> dict[str, str]:
    """What is said of the parts, by id."""
    said: dict[str, object] = {"part": parts}
    if calculator == "keep":
        said |= {"fridge": "5 C", "jurisdiction": "us"}
    return {one.id: f"{one.text} {one.action}" for one in run(calculator, said).cautions}


def sour(sugar_g: float, acid_g: float) -> list[str]:
    """A kilogram of water, white sugar and citric acid."""
    acid = [f"{acid_g:g} g citric acid"] if acid_g else []
    return [f"{1000 - sugar_g - acid_g:g} g water", f"{sugar_g:g} g white sugar", *acid]


@pytest.mark.parametrize("calculator", ["keep", "cordial"])
@pytest.mark.parametrize("sugar_g", [80, 120, 160, 370])
@pytest.mark.parametrize("acid_g", [2, 6, 20])
def test_a_sour_sweet_liquid_is_told_that_yeasts_grow(
    calculator: str, sugar_g: float, acid_g: float
) -> None:
    said = cautions(calculator, sour(sugar_g, acid_g))[SAID]
    assert "yeasts" in said
    assert "5 °C" in said


@pytest.mark.parametrize("calculator", ["keep", "cordial"])
def test_a_thicker_syrup_is_told_by_the_row_on_syrup(calculator: str) -> None:
    said = cautions(calculator, sour(500, 6))
    assert "yeast-can-grow" in said
    assert SAID not in said


@pytest.mark.parametrize("calculator", ["keep", "cordial"])
def test_between_8_and_70_bx_one_row_or_the_other_speaks_of_yeasts(calculator: str) -> None:
    for sugar_g in range(85, 690, 55):
        assert {SAID, "yeast-can-grow"} & set(cautions(calculator, sour(sugar_g, 6))), sugar_g


def test_it_is_not_said_of_spirit_nor_of_sugar_water_without_acid() -> None:
    assert SAID not in cautions("keep", ["500 ml spirit 60 %", *sour(120, 6)])
    assert SAID not in cautions("keep", sour(120, 0))


def test_no_acid_or_sugar_in_that_range_clears_a_drink_of_cold() -> None:
    # the paper's strongest corner: pH 2.8, 0.6 % acid, 16 Bx
    answer = run("keep", {"part": sour(160, 6), "ph": "2.8", "fridge": "5 C", "jurisdiction": "us"})
    assert answer.verdict != "clear"
    assert "cold" in " ".join(one.action for one in answer.cautions if one.severity == "care")
