"""Acids off the shelf: how they are asked for, what parts and strength mean, what a base leaves."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.shared import acidity
from prepkit.shared.acidity import ShelfAcid
from prepkit.units import Measured

PANTRY = Pantry()


def shelf(*words: str) -> list[ShelfAcid]:
    return [ShelfAcid.read(one, PANTRY, "acid") for one in words]


def test_parts_of_an_acid_are_read() -> None:
    two, alone, bottle = shelf("2 parts citric acid", "malic acid", "1.5 parts lactic acid 80 %")
    assert (two.parts, two.acid, two.purity, two.powder) == (2.0, "citric", 1.0, True)
    assert (alone.parts, alone.acid) == (1.0, "malic")
    assert (bottle.parts, bottle.acid, bottle.powder) == (1.5, "lactic", False)
    assert bottle.purity == pytest.approx(0.8)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("acid", "does not say which"), ("20 g citric acid", "in parts"),
        ("0 parts citric acid", "more than 0"), ("lemon juice", "no single acid"),
    ],
)  # fmt: skip
def test_what_is_no_acid_by_parts_is_refused(words: str, said: str) -> None:
    with pytest.raises(BadInput, match=said):
        shelf(words)


def test_a_ratio_may_be_of_weight_base_or_moles() -> None:
    both = shelf("citric acid", "malic acid")  # 192.124 and 134.087 g/mol, 3 and 2 protons
    assert acidity.by_mass(both, "mass") == pytest.approx([0.5, 0.5])
    base = 192.124 / 3 / (192.124 / 3 + 134.087 / 2)
    assert acidity.by_mass(both, "titratable") == pytest.approx([base, 1 - base], abs=1e-5)
    moles = 192.124 / (192.124 + 134.087)
    assert acidity.by_mass(both, "molarity") == pytest.approx([moles, 1 - moles], abs=1e-5)


@given(st.floats(0.1, 40.0), st.sampled_from(["% w/w", "% w/v"]))
def test_a_stock_of_a_strength_has_it(percent: float, unit: str) -> None:
    acids, shares = shelf("citric acid", "malic acid"), [0.5, 0.5]
    fraction = acidity.acid_fraction(acids, shares, Measured(percent, unit))
    stock = acidity.made_up(acids, shares, fraction)
    assert stock.mass_kg == pytest.approx(1.0)
    per_kg = stock.of("citric") + stock.of("malic")
    per = 100.0 if unit == "% w/w" else 0.1 * acidity.density_kg_m3(stock)
    assert per_kg * per == pytest.approx(percent, rel=1e-6)


def test_no_stock_is_stronger_than_its_acid() -> None:
    with pytest.raises(BadInput, match="80"):
        acidity.acid_fraction(shelf("lactic acid 80 %"), [1.0], Measured(81.0, "% w/w"))


@pytest.mark.parametrize(
    ("name", "gas_g"), [("sodium bicarbonate", 523.9), ("potassium bicarbonate", 439.6)]
)
def test_a_bicarbonate_loses_its_gas_and_no_more(name: str, gas_g: float) -> None:
    left, gas_kg = acidity.bicarbonate(name, 1.0)
    assert 1000 * gas_kg == pytest.approx(gas_g, abs=0.1)  # 44.010 of 84.007 and of 100.115 g/mol
    assert gas_kg + sum(left.values()) == pytest.approx(1.0)


def test_acidity_is_that_of_the_acid_less_the_base() -> None:
    plain = Mixture({"water": 0.99, "citric": 0.01})
    assert acidity.acidity_as_citric(plain, "% w/w") == pytest.approx(1.0, rel=0.01)
    base = Mixture(acidity.bicarbonate("sodium bicarbonate", 0.005)[0])
    weaker = acidity.acidity_as_citric(plain + base, "% w/w")
    assert weaker < 1.0 - 0.3
    assert acidity.acidity_as_citric(Mixture({"water": 1.0}), "g/l") == 0.0


def test_powders_dissolve_before_liquids_the_least_soluble_first() -> None:
    items = [(one, 1.0) for one in shelf("lactic acid 80 %", "citric acid", "fumaric acid")]
    order = [one.acid for one, _ in acidity.dissolving_order(items)]
    assert order == ["fumaric", "citric", "lactic"]
