"""Working hours: read from a house, and jobs put into them as late as can be.

A batch over bottles, kegs and jars: nothing is lost, nothing overfilled, nothing assumed.
"""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest
from each import each
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit import units
from prepkit.errors import BadInput, BadRecipe
from prepkit.plan.files import Reader, Wrong
from prepkit.plan.house import read_house
from prepkit.plan.house_file import (
    DAY_MIN,
    ID,
    Container,
    Hours,
    HouseFile,
    HouseTable,
    Id,
    container_of,
    divide,
    hours_of,
    most_ml,
    pours,
)
from prepkit.science import heat


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


BOTTLE, JAR = Container("bottle", 750.0), Container("jar", 1000.0)
volumes = st.floats(0.1, 50_000.0)
containers = st.lists(
    st.builds(Container, st.just("one"), st.floats(100.0, 5000.0), st.floats(0.0, 50.0)),
    min_size=1,
    max_size=3,
)


@given(volumes, containers, st.booleans())
def test_all_of_it_is_filled_and_none_above_its_most(
    ml: float, some: list[Container], frozen: bool
) -> None:
    fills = divide(ml, some, frozen=frozen).fills
    assert math.fsum(one.ml for one in fills) == pytest.approx(ml)
    for one in fills:
        assert 0 < one.ml <= most_ml(one.container, frozen=frozen) + 1e-5


@given(volumes, containers)
def test_more_kinds_never_take_more_containers(ml: float, some: list[Container]) -> None:
    assert len(divide(ml, some).fills) <= len(divide(ml, some[:1]).fills)


@pytest.mark.parametrize(
    ("ml", "kinds", "words"),
    [
        (3776.0, [BOTTLE, JAR], "4 x 750 ml + 776 ml"),
        (3776.0, [BOTTLE], "5 x 750 ml + 26 ml"),
        (3000.0, [BOTTLE, JAR], "4 x 750 ml"),
        (200.0, [BOTTLE], "200 ml"),
    ],
)
def test_the_words_of_a_division(ml: float, kinds: list[Container], words: str) -> None:
    assert divide(ml, kinds).words == words


def test_headspace_is_left_and_ice_has_room() -> None:
    tub = Container("tub", 1000.0, 50.0)
    assert most_ml(tub) == 950.0
    # 9 % of what was filled, and not of what it holds: 999.8 / 916.7 [ICE-DENSITY]
    assert most_ml(tub, frozen=True) == pytest.approx(1000.0 * 916.7 / 999.8, rel=1e-4)
    assert most_ml(tub, frozen=True) * (1 + heat.GROWTH) <= 1000.0 + 1e-9
    assert most_ml(tub.replaced(headspace_ml=200.0), frozen=True) == 800.0


@pytest.mark.parametrize(
    ("one", "how", "said"),
    [
        (BOTTLE, {"frozen": True}, "headspace"),
        (BOTTLE, {"charged": True}, "headspace, how much stays empty, and rated"),
        (Container("keg", 5000.0, 100.0), {"charged": True}, "rated, the pressure"),
    ],
)
def test_what_the_house_has_not_said_is_asked_for(
    one: Container, how: dict[str, bool], said: str
) -> None:
    with pytest.raises(BadInput, match=said):
        divide(500.0, [one], **how)


def test_unknown_containers_and_too_many_are_refused() -> None:
    with pytest.raises(BadInput, match="the nearest is bottle"):
        container_of("botle", {"bottle": BOTTLE})
    with pytest.raises(BadInput, match=r"\[containers\.bottle\]"):
        container_of("bottle", {})
    with pytest.raises(BadInput, match="at most 1000"):
        divide(1e6, [BOTTLE])
    with pytest.raises(BadInput, match="more than 0"):
        divide(0.0, [BOTTLE])


def test_pours_are_whole() -> None:
    assert [pours(750.0, ml) for ml in (60.0, 750.0, 751.0, 75.0)] == [12, 1, 0, 10]


def known_units() -> set[str]:
    """The words of all units, and of those that are asked back, as far as an id can be one."""
    every = {*units.BY_WORD, *units.BY_SYSTEM, *units._ASKED, *units.PRESSURES}
    return {word for word in every if re.match(ID, word)}


@each(sorted(known_units()))
def test_no_id_is_a_unit(word: str) -> None:
    for said in (word, word.upper()):
        with pytest.raises(BadRecipe, match="is a unit; call it something else"):
            Id("").read(said)
    assert Id("").read(f"my-{word}") == f"my-{word}"


def test_a_word_is_a_unit_where_find_unit_knows_it() -> None:
    assert {"cup", "pint", "proof", "psig", "g"} <= known_units()
    for word in ("bottle", "gin", "cold-base", "cups-of", "unit"):
        assert not units.is_unit(word)
        with pytest.raises(BadInput, match="not a unit known here"):
            units.find_unit(word)
