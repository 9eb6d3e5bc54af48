"""What is not acid in a drink: minerals, sugar, alcohol."""

from __future__ import annotations

import pytest

from prepkit.science import acids


def test_alcohol_and_minerals_are_brackets() -> None:
    low, point, high = acids.food_acid_pk_shift(0.10)
    assert 0.0 < low < point < high < acids.ethanol_pk_shift(0.11)
    plain = acids.equilibrium({"lactic": 0.1}).ph
    assert 0.4 * point < acids.equilibrium({"lactic": 0.1}, pk_shift=point).ph - plain < point
    found = acids.strong_cations_mol(1e-4, 1e-6, 1e-5, 1e-5)
    assert found.low < found.point < found.high
    assert found.point == pytest.approx(0.5 * (found.low + found.high))
