"""Working hours: read from a house, and jobs put into them as late as can be."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.plan.files import Reader, Wrong
from prepkit.plan.house import read_house
from prepkit.plan.house_file import DAY_MIN, Hours, HouseFile, HouseTable, hours_of


def read(**table: object) -> Hours | None:
    reader = Reader("house.toml")
    said = reader.model(HouseFile, table)
    return hours_of(reader, (), said.earliest_start, said.latest_finish)


def test_hours_are_read_and_may_end_after_midnight() -> None:
    assert read(earliest_start="10:00", latest_finish="22:00") == Hours(600, 1320)
    assert read(earliest_start="16:00", latest_finish="02:00") == Hours(960, 1560)
    assert read() is None


@pytest.mark.parametrize(
    ("table", "where", "said"),
    [
        ({"earliest_start": "10:00"}, "earliest_start", "latest_finish too"),
        ({"latest_finish": "22:00"}, "latest_finish", "earliest_start too"),
        ({"earliest_start": "10", "latest_finish": "22:00"}, "earliest_start", "it is '10'"),
        ({"earliest_start": "10:00", "latest_finish": "25:00"}, "latest_finish", "25:00"),
        ({"earliest_start": 10, "latest_finish": "22:00"}, "earliest_start", "10"),
        ({"earliest_start": "10:00", "latest_finish": "10:00"}, "latest_finish", "the same"),
    ],
)
def test_hours_that_cannot_be_used_are_one_sentence(
    table: dict[str, object], where: str, said: str
) -> None:
    with pytest.raises(Wrong, match=said) as error:
        read(**table)
    assert error.value.where == where


def test_a_recipe_s_own_hours_win_over_the_house_file(tmp_path: Path) -> None:
    (tmp_path / "house.toml").write_text('earliest_start = "10:00"\nlatest_finish = "22:00"\n')
    own = HouseTable(file="house.toml", earliest_start="08:00", latest_finish="16:00")
    assert read_house(Reader("r.toml"), own, tmp_path, None).hours == Hours(480, 960)
    filed = HouseTable(file="house.toml")
    assert read_house(Reader("r.toml"), filed, tmp_path, None).hours == Hours(600, 1320)


@settings(deadline=None, max_examples=100)
@given(
    st.integers(0, DAY_MIN - 1), st.integers(1, DAY_MIN - 1), st.floats(-5000, 3000),
    st.floats(0.5, 1500),
)  # fmt: skip
def test_a_job_lies_in_one_day_and_nowhere_later_would_do(
    earliest: int, length: int, wanted: float, job: float
) -> None:
    hours = Hours(earliest, earliest + length)
    start = hours.latest(wanted, job)
    assert start <= wanted
    if job > length:
        assert start == wanted
        assert not hours.fits(start, job)
        return
    assert hours.fits(start, job)
    assert wanted - start <= DAY_MIN
    for n in range(1, 40):  # no later start fits
        later = start + (wanted - start) * n / 40
        assert later - start < 1e-3 or not hours.fits(later, job)
