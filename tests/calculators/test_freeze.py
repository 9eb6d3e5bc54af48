"""freeze: ice by temperature, water for a stirred strength, room to grow, who may not have it."""

from __future__ import annotations

from typing import Any

import pytest
from calculators.helpers_drink import RANK, assert_finite, assert_scales, ids, value
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import BadInput
from prepkit.model import Answer
from prepkit.registry import run
from prepkit.solving import solve

MIX = ["500 ml spirit 43 %", "250 ml dry vermouth"]
SLUSH = ["1 l orange juice", "120 g white sugar", "200 ml spirit 40 %", "400 ml water"]


def freeze(part: Any = MIX, **more: Any) -> Answer:
    return run("freeze", {"part": part, **more})


@given(water=st.integers(0, 1500), sugar=st.integers(0, 250), at=st.floats(-25, -1))
@settings(max_examples=25, deadline=None)
def test_colder_is_never_less_ice_nor_a_milder_verdict(water: int, sugar: int, at: float) -> None:
    part = ["500 ml spirit 40 %", f"{water + 1} g water", f"{sugar + 1} g white sugar"]
    room = {"container": "1 l", "filled": "960 ml"}
    one, colder = (freeze(part, temperature=f"{t:.3f} C", **room) for t in (at, at - 2))
    assert 0 <= value(one, "ice") <= value(colder, "ice") <= 100
    assert value(one, "fill_most") >= value(colder, "fill_most") - 1e-9
    assert RANK[one.verdict] <= RANK[colder.verdict]
    assert_finite(one)


@given(factor=st.integers(2, 40))
@settings(max_examples=8, deadline=None)
def test_it_scales(factor: int) -> None:
    more = [f"{500 * factor} ml spirit 43 %", f"{250 * factor} ml dry vermouth"]
    assert_scales(freeze(dilute_like="-2 C"), freeze(more, dilute_like="-2 C"), factor)


def test_what_stays_liquid_holds_all_the_spirit() -> None:
    found = freeze(["500 ml spirit 40 %", "500 ml water"])
    liquid_g = value(found, "mass") * (1 - value(found, "ice") / 100)
    # [DEFINITION]: all the ethanol between the ice
    strength = value(found, "ethanol") / liquid_g
    assert value(found, "liquid_abv") / 100 > strength > value(found, "abv") / 100 * 0.7
    assert value(found, "liquid_abv") > value(found, "abv")


def test_the_water_of_stirring_is_that_of_chill() -> None:
    stirred = run("chill", {"part": MIX, "target": "-2 C"})
    found = freeze(dilute_like="-2 C")
    assert value(found, "water_to_add") == pytest.approx(value(stirred, "water_in"), rel=0.01)
    assert value(found, "abv") == pytest.approx(value(stirred, "abv"), abs=0.1)
    weaker = freeze(abv="26")
    assert value(weaker, "abv") == pytest.approx(26.0, abs=1e-6)


def test_bands_stand_where_they_say() -> None:
    pours = freeze(temperature=f"{value(freeze(), 'pours_to'):.6f} C")
    assert value(pours, "ice") == pytest.approx(15.0, abs=0.01)
    slush = freeze(SLUSH, way="slush")
    for name, share in (("slush_warm", 25.0), ("slush_cold", 45.0)):
        at = freeze(SLUSH, way="slush", temperature=f"{value(slush, name):.6f} C")
        assert value(at, "ice") == pytest.approx(share, abs=0.01)


def test_it_is_solved_for() -> None:
    found = solve("freeze", "abv: ice, of the weight = 10 %", {"part": MIX, "abv": "28"})
    assert value(found.answer, "ice") == pytest.approx(10.0, abs=0.05)


@pytest.mark.parametrize(
    ("part", "more", "caution", "there"),
    [
        (MIX, {}, "freeze-fill-not-told", True),
        (MIX, {"container": "1 l", "filled": "900 ml"}, "freeze-fill-not-told", False),
        (MIX, {"container": "1 l", "filled": "900 ml"}, "freeze-bursts", False),
        (["1 l water"], {"container": "1 l", "filled": "920 ml"}, "freeze-bursts", True),
        (["1 l water"], {"container": "1 l", "filled": "910 ml"}, "freeze-bursts", False),
        ("1 l spirit 60 %", {}, "freeze-fill-not-told", False),
        ("1 l spirit 40 %", {}, "freeze-cold-lips", True),
        ("1 l spirit 96 %", {}, "freeze-cold-lips", True),
        ("1 l orange juice", {}, "freeze-cold-lips", False),
        ("1 l spirit 40 %", {"temperature": "-9 C"}, "freeze-cold-lips", False),
        (MIX, {"temperature": "-21 C"}, "freeze-too-cold-to-eat", True),
        (MIX, {"temperature": "-20 C"}, "freeze-too-cold-to-eat", False),
        ("1 l spirit 20 %", {}, "freeze-liquid-is-stronger", True),
        ("1 l spirit 40 %", {}, "freeze-liquid-is-stronger", False),
        (SLUSH, {"way": "slush"}, "freeze-slush-too-firm", False),
        (SLUSH, {"way": "slush", "temperature": "-8 C"}, "freeze-slush-too-firm", True),
        (SLUSH, {"way": "slush", "temperature": "-3 C"}, "freeze-slush-too-thin", True),
        (SLUSH, {"way": "slush"}, "freeze-slush-too-strong", False),
        ([*SLUSH, "400 ml spirit 40 %"], {"way": "slush"}, "freeze-slush-too-strong", True),
        (["1 l water", "50 g white sugar"], {"way": "slush"}, "freeze-slush-too-little-sugar",
         True),
        (SLUSH, {"way": "slush"}, "freeze-slush-too-little-sugar", False),
        (SLUSH, {"way": "spin"}, "freeze-spin-blade", True),
        (["500 ml rum 40 %", "200 ml cream 35 %"], {"way": "spin"}, "freeze-spin-stays-soft", True),
        (["1 l orange juice"], {"way": "spin"}, "freeze-spin-stays-soft", False),
        ("1 kg syrup 70 Bx", {}, "freeze-not-known", True),
        (MIX, {}, "freeze-not-known", False),
        (["500 ml whole milk", "120 g white sugar"], {"way": "spin"}, "freeze-at-least", True),
        (["500 ml whole milk", "120 g white sugar"], {"way": "spin", "temperature": "-6 C"},
         "freeze-at-least", False),
    ],
)  # fmt: skip
def test_cautions_from_words(part: Any, more: dict[str, Any], caution: str, there: bool) -> None:
    assert (caution in ids(freeze(part, **more))) is there


SWEET = ["1 l water", "100 g white sugar", "50 g glycerol"]


@pytest.mark.parametrize(
    ("part", "guests", "caution", "verdict"),
    [
        (SWEET, "under 7", "freeze-glycerol-small-child", "stop"),
        (SWEET, "7 to 10", "freeze-glycerol-child", "care"),
        (SWEET, None, "freeze-glycerol-guests-not-told", "care"),
        (SLUSH, "under 7", "freeze-alcohol-child", "stop"),
        (SLUSH, "11 to 17", "freeze-alcohol-child", "stop"),
        ([*SWEET, "200 ml rum 40 %"], "7 to 10", "freeze-alcohol-child", "stop"),
    ],
)
def test_who_may_not_have_it(part: Any, guests: str | None, caution: str, verdict: str) -> None:
    found = freeze(part, way="slush", **({"guests": guests} if guests else {}))
    assert caution in ids(found)
    assert found.verdict == verdict
    if verdict == "stop":
        assert "ice" not in found.values
    plain = freeze(["1 l water", "150 g white sugar"], way="slush", guests="under 7")
    assert plain.verdict != "stop"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"abv": "50"}, "water only weakens"),
        ({"abv": "20", "dilute_like": "-2 C"}, "give one of them"),
        ({"dilute_like": "10 C", "start": "5 C"}, "ice only cools"),
        ({"filled": "500 ml"}, "the inside volume of one"),
        ({"container": "500 ml", "filled": "600 ml"}, "the container holds 500 ml"),
        ({"temperature": "4 C"}, "between -40 and 0"),
        ({"way": "sorbet"}, "must be one of"),
        ({"part": "0 ml water"}, "amounts to 0"),
        ({"part": "1 l water", "abv": "10"}, "the parts have 0.0"),
    ],
)
def test_bad_input_is_one_sentence(more: dict[str, Any], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        run("freeze", {"part": MIX, **more})


def test_a_fizzy_drink_is_not_frozen_shut() -> None:
    for drink in ("750 ml sparkling wine 12 %", "750 ml beer 5 %", "500 ml kombucha"):
        for way in ("bottle", "spin"):
            found = freeze([drink, "100 ml water"], way=way)
            assert found.verdict == "stop", drink
            assert "freeze-fizzy-bursts" in ids(found)
        assert "freeze-fizzy-foams" in ids(freeze([drink], way="slush"))
