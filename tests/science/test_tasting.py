"""Blind tastings: against a library of statistics, and what must hold of any tasting."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import tasting

CHANCES = st.sampled_from([tasting.TRIANGLE, tasting.PAIR])


@given(st.integers(1, 1000), st.floats(0.0, 1.0), st.floats(0.01, 0.99))
def test_the_tail_is_the_binomial_one(tasters: int, share: float, chance: float) -> None:
    correct = round(share * tasters)
    wanted = float(stats.binom.sf(correct - 1, tasters, chance))
    found = tasting.chance_p_value(correct, tasters, chance)
    assert found == pytest.approx(wanted, rel=1e-9, abs=1e-12)


@given(st.integers(1, 200), CHANCES, st.floats(0.001, 0.2))
def test_the_least_number_is_the_least(tasters: int, chance: float, alpha: float) -> None:
    needed = tasting.least_correct(tasters, chance, alpha)
    if needed is None:
        assert tasting.chance_p_value(tasters, tasters, chance) > alpha
        return
    assert tasting.chance_p_value(needed, tasters, chance) <= alpha
    assert tasting.chance_p_value(needed - 1, tasters, chance) > alpha


@given(st.integers(1, 100), st.floats(0.0, 1.0), CHANCES)
@settings(max_examples=40)
def test_the_interval_of_the_share_holds_the_share(
    tasters: int, share: float, chance: float
) -> None:
    correct = round(share * tasters)
    found = tasting.discriminators(correct, tasters, chance)
    assert 0.0 <= found.low <= found.share <= found.high <= 1.0
    ends = stats.binomtest(correct, tasters).proportion_ci(0.95, "exact")
    for own, end in zip((found.low, found.high), ends, strict=True):
        assert own == pytest.approx(max(0.0, (end - chance) / (1 - chance)), abs=1e-7)


@pytest.mark.parametrize("method", ["triangle", "duo-trio", "pair", "three"])
def test_distance_and_right_share_are_inverse_and_rise(method: str) -> None:
    shares = [tasting.right_share(method, 0.5 * step) for step in range(13)]
    assert all(one < two for one, two in pairwise(shares))
    for step in (2, 5, 9):
        assert tasting.d_prime(method, shares[step]) == pytest.approx(0.5 * step, abs=1e-6)


def test_bad_input_is_refused() -> None:
    with pytest.raises(OutOfRange):
        tasting.chance_p_value(13, 12, tasting.PAIR)
    with pytest.raises(OutOfRange):
        tasting.least_correct(12, 1.0, 0.05)
    with pytest.raises(BadInput, match="no tasting"):
        tasting.right_share("guess", 1.0)
    with pytest.raises(BadInput, match="add up to 120"):
        tasting.friedman([17, 31, 32, 23, 16], 8)
    assert tasting.most_correct_for_similarity(6, tasting.TRIANGLE, 0.2, 0.05) is None
