"""Rankings and serving orders: against a library of statistics, and what must hold of any."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from prepkit.errors import BadInput
from prepkit.science import tasting


@st.composite
def rankings(draw: st.DrawFn) -> list[tuple[float, ...]]:
    samples, tasters = draw(st.integers(3, 4)), draw(st.integers(2, 4))
    scores = st.lists(st.integers(1, 6), min_size=samples, max_size=samples)
    return [tasting.mid_ranks(draw(scores)) for _ in range(tasters)]


@given(rankings())
@settings(max_examples=25, deadline=None)
def test_statistics_of_rankings_are_those_of_the_library(given_: list[tuple[float, ...]]) -> None:
    found = tasting.ranked(given_)
    assert 0.0 <= found.p_value <= 1.0
    if found.statistic > 0.0 and all(len(set(ranks)) > 1 for ranks in given_):
        columns = list(zip(*given_, strict=True))
        wanted = stats.friedmanchisquare(*columns)
        assert found.statistic == pytest.approx(float(wanted.statistic), rel=1e-9)
    ordered = tasting.page(given_)
    untied = all(len(set(ranks)) == len(ranks) for ranks in given_)
    if untied:
        wanted_page = stats.page_trend_test(given_, ranked=True, method="exact")
        assert ordered.statistic == pytest.approx(float(wanted_page.statistic))
        assert ordered.p_value == pytest.approx(float(wanted_page.pvalue), abs=1e-9)


@pytest.mark.parametrize("freedom", range(1, 9))
def test_chi_square_tail(freedom: int) -> None:
    for value in (0.0, 0.3, 2.0, 9.5, 40.0):
        found = tasting._chi_square_tail(value, freedom)
        assert found == pytest.approx(float(stats.chi2.sf(value, freedom)), rel=1e-10)


@pytest.mark.parametrize("samples", range(2, 10))
def test_williams_squares_are_balanced(samples: int) -> None:
    rows = tasting.williams_square(samples)
    assert all(sorted(row) == list(range(1, samples + 1)) for row in rows)
    for place in range(samples):
        assert len(set(Counter(row[place] for row in rows).values())) == 1
    after = Counter(pair for row in rows for pair in pairwise(row))
    assert len(after) == samples * (samples - 1)
    assert len(set(after.values())) == 1


def test_what_is_no_ranking_is_refused() -> None:
    with pytest.raises(BadInput, match="taster 2"):
        tasting.ranked([(1, 2, 3), (1, 1, 3)])
    with pytest.raises(BadInput):
        tasting.page([])
    assert tasting.ranked([(2, 2, 2), (2, 2, 2)]).p_value == 1.0
