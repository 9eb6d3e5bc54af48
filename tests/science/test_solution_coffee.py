"""Coffee: the two yields, and what the bed holds."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import OutOfRange
from prepkit.science import solution


@given(st.floats(0.005, 0.15), st.floats(0.05, 1.0), st.floats(0.005, 0.05))
def test_immersion_counts_every_gram_of_water(solids: float, water: float, dose: float) -> None:
    dissolved = solution.extraction_immersion(solids, water, dose) * dose
    assert dissolved / (dissolved + water) == pytest.approx(solids)


def test_beverage_not_water_is_what_percolation_counts() -> None:
    # the mistake of taking the water poured: more by what the bed holds
    poured = solution.extraction_percolation(0.0135, 0.32, 0.02)
    ran_out = solution.extraction_percolation(0.0135, solution.beverage_kg(0.32, 0.02), 0.02)
    assert poured / ran_out == pytest.approx(0.32 / (0.32 - 2.05 * 0.02))


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="solids"):
        solution.extraction_percolation(1.35, 0.3, 0.02)  # per cent given for a fraction
    with pytest.raises(OutOfRange, match="dose_kg"):
        solution.extraction_immersion(0.01, 0.3, 0.0)
    with pytest.raises(OutOfRange, match="the bed holds the rest"):
        solution.beverage_kg(0.03, 0.02)
    with pytest.raises(OutOfRange, match="reading_brix"):
        solution.solids_from_brix(-1.0)
