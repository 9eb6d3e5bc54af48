"""Cups and bottles: direction, ends, round trips."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import cup


@given(st.floats(60.0, 600.0))
def test_smaller_cups_cool_faster(volume: float) -> None:
    low, high = cup.cooling_rates_per_min(volume)
    assert 0.0 < low < high
    assert cup.cooling_rates_per_min(60.0)[0] >= low
    assert cup.cooling_rates_per_min(volume, lidded=True)[1] < 0.022


@given(st.floats(30.0, 95.0), st.floats(0.0, 25.0), st.floats(0.005, 0.05), st.floats(0.1, 0.9))
def test_time_and_temperature_are_inverse(
    start: float, room: float, rate: float, share: float
) -> None:
    target = room + share * (start - room)
    minutes = cup.minutes_until(start, target, room, rate)
    assert cup.temperature_after_c(start, room, minutes, rate) == pytest.approx(target, abs=1e-9)


def test_ends() -> None:
    assert cup.temperature_after_c(80.0, 20.0, 0.0, 0.02) == 80.0
    assert cup.temperature_after_c(80.0, 20.0, 1e6, 0.02) == pytest.approx(20.0)
    assert cup.minutes_until(80.0, 80.0, 20.0, 0.02) == 0.0
    with pytest.raises(OutOfRange, match="never reached"):
        cup.minutes_until(80.0, 20.0, 20.0, 0.02)
    with pytest.raises(OutOfRange, match="target_c"):
        cup.minutes_until(80.0, 90.0, 20.0, 0.02)


@given(st.floats(0.0, 0.2), st.floats(0.0, 0.2))
def test_alcohol_goes_faster_than_water(one: float, other: float) -> None:
    assert cup.ethanol_remaining(one) <= 1.0 - one + 1e-12
    if one < other:
        assert cup.ethanol_remaining(one) >= cup.ethanol_remaining(other)


def test_alcohol_loss_agrees_with_cooking_table() -> None:
    # USDA-RETENTION-6: stirred into boiling liquid, 85 %; 2 % of the water gone gives that
    assert cup.ethanol_remaining(0.02) == pytest.approx(0.85, abs=0.03)
    with pytest.raises(OutOfRange, match="water_evaporated"):
        cup.ethanol_remaining(0.5)


def test_bottle_times_are_those_of_the_page() -> None:
    # 700 ml glass bottle, minutes: fridge 110, freezer 90, ice water 9, stirred 4; all assumed h
    times = {
        bath: 1 / cup.bottle_rate_per_min(0.664, 4190.0, 0.45, 0.065, bath)
        for bath in cup.BATHS_W_M2_K
    }
    assert times["fridge"] == pytest.approx(110, rel=0.1)
    assert times["freezer"] == pytest.approx(90, rel=0.1)
    assert times["ice water"] == pytest.approx(9, rel=0.1)
    assert times["stirred ice water"] == pytest.approx(4, rel=0.1)
    with pytest.raises(BadInput, match="fridge, freezer"):
        cup.bottle_rate_per_min(0.664, 4190.0, 0.45, 0.065, "snow")


def test_burn_times_fall_and_meet_the_table() -> None:
    for at_c, least, seconds in cup.BURN_TABLE:
        assert cup.no_lasting_damage_s(at_c) == pytest.approx(least)
        assert cup.full_thickness_burn_s(at_c) == pytest.approx(seconds)
    for of in (cup.no_lasting_damage_s, cup.full_thickness_burn_s):
        times = [of(45.0 + 0.25 * i) for i in range(61)]
        assert times == sorted(times, reverse=True)
        for outside in (44.9, 60.1):
            with pytest.raises(OutOfRange, match="temperature_c"):
                of(outside)
