"""Blind tastings: against a library of statistics, and what must hold of any tasting.

Item analysis: the worked table of SAF-400 to SAF-403, the guessing of SAF-411, its properties.

The rows are computed from the definitions, by hand, outside this project.
"""

from __future__ import annotations

import statistics
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from science import beside
from scipy import stats

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import tasting
from prepkit.science import tasting as items

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


TABLE = "11111 11110 11101 11100 10110 11000 01010 10000 01000 00000"
ROWS = [[one == "1" for one in row] for row in TABLE.split()]


def near(found: tuple[float | None, ...], wanted: str) -> bool:
    assert None not in found
    return [round(one, 3) for one in found if one is not None] == [float(w) for w in wanted.split()]


def test_the_worked_table() -> None:
    assert near(items.share_right(ROWS), "0.7 0.7 0.5 0.4 0.2")  # SAF-400
    assert statistics.fmean(items.totals(ROWS)) == 2.5
    assert statistics.pvariance(items.totals(ROWS)) == 2.25
    assert near(items.discrimination(ROWS, False), "0.655 0.509 0.867 0.544 0.667")  # SAF-401
    assert near(items.discrimination(ROWS), "0.419 0.230 0.730 0.251 0.473")  # SAF-401
    assert near(beside.groups_apart(ROWS, 3), "0.667 0.667 1.0 0.667 0.667")  # SAF-402
    reliability, error = items.kuder_richardson_20(ROWS), items.standard_error(ROWS)
    assert reliability is not None
    assert error is not None
    assert round(reliability, 3) == 0.656  # SAF-403
    assert round(error, 3) == 0.880  # SAF-403


def test_guessing_is_taken_off() -> None:
    assert beside.without_guessing(32, 18, 4) == 26  # SAF-411


@given(st.data())
@settings(max_examples=25, deadline=None)
def test_no_order_of_people_changes_a_figure(data: st.DataObject) -> None:
    wide = data.draw(st.integers(1, 4))
    row = st.lists(st.booleans(), min_size=wide, max_size=wide)
    rows = data.draw(st.lists(row, min_size=2, max_size=24))
    other = data.draw(st.permutations(rows))
    for figure in (items.share_right, items.discrimination, beside.upper_less_lower):
        first, second = figure(rows), figure(other)
        for one, two in zip(first, second, strict=True):
            assert one == pytest.approx(two, abs=1e-12)
            assert one is None or -1.0 - 1e-9 <= one <= 1.0 + 1e-9


@pytest.mark.parametrize("rows", [[], [[True]], [[True], [True, False]], [[], []]])
def test_what_cannot_be_compared_is_refused(rows: list[list[bool]]) -> None:
    with pytest.raises(BadInput):
        items.share_right(rows)


def test_what_tells_nothing_has_no_figure() -> None:
    assert items.discrimination([[True, True], [True, False]])[0] is None
    assert items.kuder_richardson_20([[True], [False]]) is None
    assert items.standard_error([[True, False], [False, True]]) is None
    with pytest.raises(BadInput):
        beside.groups_apart([[True], [False]], 2)
    with pytest.raises(BadInput):
        beside.without_guessing(1, 1, 1)


def test_where_all_did_alike_no_question_tells_them_apart() -> None:
    rows = [[True, False, True], [False, True, True], [True, True, False]]
    assert items.discrimination(rows) == (None, None, None)
