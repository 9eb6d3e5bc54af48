"""Item analysis: the worked table of SAF-400 to SAF-403, the guessing of SAF-411, its properties.

The rows are computed from the definitions, by hand, outside this project.
"""

from __future__ import annotations

import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import BadInput
from prepkit.science import item_analysis as items

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
    assert near(items.groups_apart(ROWS, 3), "0.667 0.667 1.0 0.667 0.667")  # SAF-402
    reliability, error = items.kuder_richardson_20(ROWS), items.standard_error(ROWS)
    assert reliability is not None
    assert error is not None
    assert round(reliability, 3) == 0.656  # SAF-403
    assert round(error, 3) == 0.880  # SAF-403


def test_guessing_is_taken_off() -> None:
    assert items.without_guessing(32, 18, 4) == 26  # SAF-411


@given(st.data())
@settings(max_examples=25, deadline=None)
def test_no_order_of_people_changes_a_figure(data: st.DataObject) -> None:
    wide = data.draw(st.integers(1, 4))
    row = st.lists(st.booleans(), min_size=wide, max_size=wide)
    rows = data.draw(st.lists(row, min_size=2, max_size=24))
    other = data.draw(st.permutations(rows))
    for figure in (items.share_right, items.discrimination, items.upper_less_lower):
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
        items.groups_apart([[True], [False]], 2)
    with pytest.raises(BadInput):
        items.without_guessing(1, 1, 1)


def test_where_all_did_alike_no_question_tells_them_apart() -> None:
    rows = [[True, False, True], [False, True, True], [True, True, False]]
    assert items.discrimination(rows) == (None, None, None)
