"""Facts of cautions: each name has its kind, and a name that is none never passes."""

from __future__ import annotations

import pytest

from prepkit import facts


def test_every_fact_has_its_kind() -> None:
    assert {facts.kind(name) for name in facts.NAMES} <= {"number", "word", "words", "flag"}
    assert facts.kind("no_such_fact") is None


def test_a_name_that_is_no_fact_is_never_handed_on() -> None:
    with pytest.raises(AssertionError, match="no_such_fact"):
        facts.checked({"peel_g": 1.0, "no_such_fact": 1.0})


def test_what_is_not_known_is_left_out_and_zero_is_known() -> None:
    assert facts.known_only({"peel_g": None, "water_percent": 0.0}) == {"water_percent": 0.0}
