"""A batch over bottles, kegs and jars: nothing is lost, nothing overfilled, nothing assumed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import BadInput
from prepkit.science import heat
from prepkit.stock.bottles import (
    Container,
    container_of,
    divide,
    most_ml,
    pours,
    total_ml,
)

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
    assert total_ml(fills) == pytest.approx(ml)
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
