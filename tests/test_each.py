"""A loop over rows fails with each fault by name, and never passes with no row."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from each import each


def test_every_fault_is_reported_by_its_row() -> None:
    seen = []

    @each(range(5), lambda row: f"row {row}")
    def test_even(row: int) -> None:
        seen.append(row)
        assert row % 2 == 0, "odd"

    with pytest.raises(pytest.fail.Exception, match=r"2 of 5 rows:\nrow 1: .*odd(.|\n)*row 3: "):
        test_even()
    assert seen == [0, 1, 2, 3, 4]


@each(["greengage", "medlar"])
def test_found_by_the_name_of_a_row(row: str) -> None:
    assert any(row in one for one in vars(test_found_by_the_name_of_a_row))


def test_an_error_is_a_fault_too() -> None:
    @each(["a"])
    def test_number(row: str) -> None:
        float(row)

    with pytest.raises(pytest.fail.Exception, match="1 of 1 rows:\na: ValueError"):
        test_number()


def test_no_row_is_no_pass() -> None:
    @each([])
    def test_nothing(row: str) -> None:
        raise AssertionError(row)

    with pytest.raises(AssertionError, match="there is no row"):
        test_nothing()


def test_a_skip_hides_no_row() -> None:
    @each(["a", "b"])
    def test_skipped(row: str) -> None:
        pytest.skip(row)

    with pytest.raises(pytest.fail.Exception, match="2 of 2 rows"):
        test_skipped()


@pytest.mark.parametrize("end", [pytest.fail, pytest.xfail])
def test_a_row_that_ends_its_test_hides_no_row(end: Callable[[str], None]) -> None:
    @each(["a", "b"])
    def test_ended(row: str) -> None:
        end(row)

    with pytest.raises(pytest.fail.Exception, match=r"2 of 2 rows:\na: .*\nb: "):
        test_ended()


def test_an_error_that_is_not_raised_is_told_by_its_row() -> None:
    @each(["1", "x", "2"])
    def test_no_number(row: str) -> None:
        with pytest.raises(ValueError, match="could not convert"):
            float(row)

    with pytest.raises(pytest.fail.Exception, match=r"2 of 3 rows:\n1: (.|\n)*\n2: "):
        test_no_number()
