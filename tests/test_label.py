"""The paper of labels: listed sheets, cells of one's own, inches; what does not fit is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import BadInput
from prepkit.label import MOST_CELLS, LabelSheet, listed, on, own

SHEETS = [sheet for sheet, _, _ in listed()]


def test_24_on_one_a4_is_the_usual_sheet() -> None:
    sheet = on("a4")
    assert (sheet.columns, sheet.rows, sheet.cell) == (3, 8, (64.6, 33.8))
    assert (sheet.margin, sheet.gap) == ((5.6, 13.2), (2.5, 0.0))
    assert sum(usual for _, name, usual in listed() if name == "a4") == 1


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda one: one.name)
def test_a_listed_sheet_stands_on_its_paper(sheet: LabelSheet) -> None:
    for at, many in enumerate((sheet.columns, sheet.rows)):
        took = sheet.margin[at] + many * sheet.cell[at] + (many - 1) * sheet.gap[at]
        assert sheet.paper[at] - took >= 0
        assert abs(sheet.paper[at] - took - sheet.margin[at]) < 1.0  # in the middle


@given(st.integers(1, 12), st.integers(1, 12), st.floats(15, 90), st.floats(15, 90))
def test_own_cells_stand_on_the_paper_or_are_refused(
    columns: int, rows: int, wide: float, high: float
) -> None:
    words = f"{columns} x {rows} of {wide:.1f} x {high:.1f} mm"
    fits = columns * round(wide, 1) <= 210 and rows * round(high, 1) <= 297
    fits = fits and columns * rows <= MOST_CELLS
    try:
        sheet = own(words, "a4")
    except BadInput:
        assert not fits
        return
    assert fits
    assert min(sheet.margin) >= 0
    assert sheet.count == columns * rows


def test_inches_and_commas_are_read() -> None:
    assert own("2 x 5 of 4 x 2 in", "letter").cell == (101.6, 50.8)
    assert own("2 × 2 of 60,5 x 40 mm", "a4").cell == (60.5, 40)
