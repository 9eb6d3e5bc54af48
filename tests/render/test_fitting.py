"""Text that fits its place: no line is wider than asked, nothing is lost, figures keep units."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.render import fitting

WORDS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=120)
WIDE = st.floats(2.0, 40.0)


def letters(text: str) -> str:
    return re.sub(r"[\s\u00a0]+", "", text)


@given(WORDS, WIDE, st.booleans())
def test_no_line_is_wider_than_its_place_and_no_letter_is_lost(
    text: str, wide: float, bold: bool
) -> None:
    broken = fitting.lines(text, wide, bold)
    assert letters("".join(broken)) == letters(text)
    for line in broken:
        assert line
        assert len(line) == 1 or fitting.width(line, bold) <= wide + 1e-9


@given(WORDS, WIDE, st.integers(1, 4), st.booleans())
def test_a_name_is_cut_to_its_lines(text: str, wide: float, most: int, bold: bool) -> None:
    cut = fitting.shortened(text, wide * 5, 5, most, bold)
    assert len(cut) <= most
    for line in cut:
        assert len(line) <= 2 or fitting.width(line, bold) <= wide + 1e-9
    whole = fitting.lines(text, wide, bold)
    assert (cut == whole) == (len(whole) <= most)


@given(st.lists(WORDS, max_size=4), WIDE, st.integers(1, 4))
def test_the_first_wording_that_fits_is_taken_whole(
    wordings: list[str], wide: float, most: int
) -> None:
    found = fitting.fitted(wordings, wide * 5, 5, most)
    fits = [one for one in wordings if len(fitting.lines(one, wide)) <= most]
    assert found == (fitting.lines(fits[0], wide) if fits else None)


def test_figures_keep_their_units() -> None:
    for text in ("up to 13.9 bar", "below 38 °C now", "at 5 C", "13.1 ± 0.7 bar", "3 chargers"):
        for wide in range(4, 12):
            for line in fitting.lines(text, wide):
                assert not re.search(r"\d$", line), (text, wide, line)


@pytest.mark.parametrize("letter", "…“”é ñ Ж Ω ½ ± ≥ → ₂ ² ‰ ° €".replace(" ", ""))
def test_letters_in_use_are_measured(letter: str) -> None:
    assert 0.1 < fitting.width(letter) < 1.2
    assert fitting.width(letter, bold=True) >= 0.1


def test_what_was_not_measured_takes_no_less_than_a_square() -> None:
    # a square of CJK, a picture, a mark above a letter
    assert fitting.width("柠") >= 1.0
    assert fitting.width("\U0001f34b") >= 1.3
    assert fitting.width("e\u0301") == fitting.width("e")


def test_letters_by_reading_distance() -> None:
    # SIGN-DISTANCE: 2 m asks for letters of 8 mm on a sign; distance / 300 gives 6.7 mm
    assert pytest.approx(10.0) == fitting.READ_PER_M_MM * 3
    assert fitting.type_mm(10.0) * fitting.CAPITAL == pytest.approx(10.0)
