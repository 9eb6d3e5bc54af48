"""The food tables on their exact edges, the inversion of sucrose, Delle units."""

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


# inversion of sucrose


def test_rate_of_the_kinetic_study() -> None:
    # SUG-087 (read): 7.42e-4 per min in 0.1 mol/L strong acid at 24.7 C; the study's rate rises
    # as 10^(0.28 c), and 1 mol/L acid-free pH counts hydrogen activity.
    per_min = keeping.inversion_per_day(2.0, 24.7) / 1440.0
    assert per_min * 10.0 * 10 ** (0.28 * 0.1) == pytest.approx(7.42e-4, rel=0.02)


def test_activation_energy() -> None:
    # SUG-088 (read): 109.2 kJ/mol
    low, high = keeping.inversion_per_day(3.0, 20.0), keeping.inversion_per_day(3.0, 40.0)
    energy = 8.31446 * math.log(high / low) / (1.0 / 293.15 - 1.0 / 313.15)
    assert energy / 1000.0 == pytest.approx(109.2, abs=2.0)


@pytest.mark.parametrize(
    ("ph", "temperature_c", "days"),
    [
        (2.5, 20.0, 44.0),  # SUG-089
        (2.0, 4.0, 187.0),
        (3.0, 30.0, 32.0),
        (2.5, 60.0, 4.9 / 24.0),
        (3.5, 80.0, 5.3 / 24.0),
        (4.0, 100.0, 2.3 / 24.0),
    ],
)
def test_half_life(ph: float, temperature_c: float, days: float) -> None:
    # computed elsewhere with the same equation
    assert math.log(2.0) / keeping.inversion_per_day(ph, temperature_c) == pytest.approx(
        days, rel=0.04
    )


@pytest.mark.parametrize(
    ("days", "temperature_c", "percent", "within"),
    [
        (30.0, 20.0, 37.0, 3.7),  # SUG-090
        (30.0, 4.0, 3.5, 0.35),  # SUG-090
        (10.0 / 1440.0, 90.0, 46.0, 5.0),  # SUG-091
    ],
)
def test_inverted_share(days: float, temperature_c: float, percent: float, within: float) -> None:
    low, high = keeping.inverted_fraction(days, 2.5, temperature_c)
    assert 100.0 * low == pytest.approx(percent, abs=within)
    assert low < high < 1.0


@given(st.floats(0.0, 1e4), st.floats(2.0, 5.0), st.floats(0.0, 100.0), st.floats(0.0, 900.0))
def test_inverted_share_is_a_share(
    days: float, ph: float, temperature_c: float, sucrose: float
) -> None:
    low, high = keeping.inverted_fraction(days, ph, temperature_c, sucrose)
    assert 0.0 <= low <= high <= 1.0
    assert keeping.inverted_fraction(days, ph, temperature_c)[0] <= low


@pytest.mark.parametrize(
    ("ph", "temperature_c", "sucrose"),
    [(1.9, 20.0, 0.0), (5.1, 20.0, 0.0), (3.0, 101.0, 0.0), (3.0, 20.0, -1.0)],
)
def test_inversion_has_its_range(ph: float, temperature_c: float, sucrose: float) -> None:
    with pytest.raises(OutOfRange):
        keeping.inversion_per_day(ph, temperature_c, sucrose)


def test_sugar_factor() -> None:
    # GUGGENHEIM-WISEMAN-1950: 1.8 times as fast at 600 g/L
    plain = keeping.inversion_per_day(3.0, 20.0)
    assert keeping.inversion_per_day(3.0, 20.0, 600.0) / plain == pytest.approx(1.8, abs=0.02)


# Delle units and growth


@pytest.mark.parametrize(
    ("sugar", "abv", "units"),
    [(200.0, 0.15, 87.5), (300.0, 0.107, 78.0), (600.0, 0.04, 78.0), (0.0, 0.173, 78.0)],
)
def test_delle_units(sugar: float, abv: float, units: float) -> None:
    # SUG-097 and the examples beside it (read)
    assert keeping.delle_units(sugar, abv) == pytest.approx(units, abs=0.2)


def test_growth_limits_are_limits() -> None:
    for limit in keeping.GROWTH_LIMITS:
        low, high = limit.water_activity
        assert 0.5 < low <= high < 1.0
        assert limit.source
