"""The food tables on their exact edges, the acidified-food line, growth limits."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import OutOfRange
from prepkit.science import keeping

UP = math.inf


def _above(value: float) -> float:
    return math.nextafter(value, UP)


def _below(value: float) -> float:
    return math.nextafter(value, -UP)


# FOOD-CODE-TCS (read), table A: heat-treated and then packaged. Columns of pH: at or below
# 4.6; above 4.6 to 5.6; above 5.6.
A_COLUMNS = [(3.0, 4.6), (_above(4.6), 5.6), (_above(5.6), 7.0)]
A_ROWS = [
    ((0.50, 0.92), "N N N"),
    ((_above(0.92), 0.95), "N N PA"),
    ((_above(0.95), 1.0), "N PA PA"),
]
# Table B: not heat-treated, or not packaged. Columns: below 4.2; 4.2 to 4.6; above 4.6 to 5.0;
# above 5.0.
B_COLUMNS = [(3.0, _below(4.2)), (4.2, 4.6), (_above(4.6), 5.0), (_above(5.0), 7.0)]
B_ROWS = [
    ((0.50, _below(0.88)), "N N N N"),
    ((0.88, 0.90), "N N N PA"),
    ((_above(0.90), 0.92), "N N PA PA"),
    ((_above(0.92), 1.0), "N PA PA PA"),
]


def _cells() -> list[tuple[float, float, bool, str]]:
    cells = []
    for packaged, columns, rows in ((True, A_COLUMNS, A_ROWS), (False, B_COLUMNS, B_ROWS)):
        for water_activities, answers in rows:
            for column, answer in zip(columns, answers.split(), strict=True):
                cells += [(p, w, packaged, answer) for p in column for w in water_activities]
    return cells


@pytest.mark.parametrize(("ph", "water_activity", "packaged", "answer"), _cells())
def test_both_ends_of_every_cell(
    ph: float, water_activity: float, packaged: bool, answer: str
) -> None:
    assert keeping.time_temperature_control(ph, water_activity, packaged) == answer


@given(
    st.floats(0.0, 14.0),
    st.floats(0.0, 1.0),
    st.booleans(),
    st.floats(0.0, 7.0),
    st.floats(0.0, 1.0),
)
def test_more_ph_or_more_water_is_never_milder(
    ph: float, water_activity: float, packaged: bool, rise: float, wetter: float
) -> None:
    if keeping.time_temperature_control(ph, water_activity, packaged) == "PA":
        assert (
            keeping.time_temperature_control(min(ph + rise, 14.0), water_activity, packaged) == "PA"
        )
        assert (
            keeping.time_temperature_control(ph, min(water_activity + wetter, 1.0), packaged)
            == "PA"
        )


@given(st.floats(0.0, 14.0), st.floats(0.0, 1.0))
def test_unpackaged_is_never_milder_than_packaged(ph: float, water_activity: float) -> None:
    if keeping.time_temperature_control(ph, water_activity, True) == "PA":
        assert keeping.time_temperature_control(ph, water_activity, False) == "PA"


@pytest.mark.parametrize(
    ("ph", "water_activity", "argument"),
    [
        (-0.1, 0.9, "ph"),
        (14.1, 0.9, "ph"),
        (4.0, 1.01, "water_activity"),
        (4.0, math.nan, "water_activity"),
    ],
)
def test_impossible_readings_are_refused(ph: float, water_activity: float, argument: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        keeping.time_temperature_control(ph, water_activity, False)
    assert caught.value.argument == argument
    with pytest.raises(OutOfRange):
        keeping.acidified_food_class(ph, water_activity, True)


@pytest.mark.parametrize(
    ("ph", "water_activity", "added", "drink", "answer"),
    [
        # CFR-21-114 (read): pH 4.6 and water activity 0.85; alcoholic beverages excepted
        (4.6, 0.97, True, False, "acidified"),
        (4.6, 0.97, False, False, "acid"),
        (_above(4.6), 0.97, True, False, "low-acid"),
        (_above(4.6), 0.85, True, False, "outside"),
        (_above(4.6), _above(0.85), False, False, "low-acid"),
        (6.5, 0.99, False, True, "outside"),
    ],
)
def test_acidified_food_line(
    ph: float, water_activity: float, added: bool, drink: bool, answer: str
) -> None:
    assert keeping.acidified_food_class(ph, water_activity, added, drink) == answer


def test_no_answer_and_no_sentence_declares_a_food_safe() -> None:
    source = Path(keeping.__file__).read_text(encoding="utf-8").lower()
    assert "safe" not in source


def test_growth_limits_are_those_that_were_read() -> None:
    # WATER-ACTIVITY-LIMITS
    assert {limit.organism: limit.water_activity for limit in keeping.GROWTH_LIMITS} == {
        "most bacteria": (0.90, 0.91),
        "Clostridium botulinum type A": (0.93, 0.93),
        "Staphylococcus aureus": (0.83, 0.83),
        "most yeasts": (0.87, 0.88),
        "most moulds": (0.80, 0.80),
        "yeasts that like sugar": (0.60, 0.62),
    }


def test_what_is_not_said_to_be_alcoholic_is_food() -> None:
    assert keeping.acidified_food_class(6.5, 0.99, False) == "low-acid"


def test_growth_limits_are_limits() -> None:
    for limit in keeping.GROWTH_LIMITS:
        low, high = limit.water_activity
        assert 0.5 < low <= high < 1.0
        assert limit.source
