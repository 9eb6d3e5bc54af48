"""The air of a room by hand: each curve, mean and time written out beside the code's own."""

from __future__ import annotations

import math
from itertools import pairwise
from math import exp, inf, log

import pytest
from science import beside

from prepkit.science import room_air
from prepkit.science.room_air import Release

ROOM, HOUR = 50.0, 3600.0


def near(value: float) -> object:
    return pytest.approx(value, rel=1e-9, abs=1e-15)


def test_displacement_and_mixing_by_hand() -> None:
    # fresh air holds 20.95 % oxygen
    assert room_air.gas_fraction_after_release(ROOM, 5.0) == 0.1
    assert room_air.oxygen_fraction_after_release(ROOM, 5.0) == near(0.2095 * 0.9)
    assert room_air.oxygen_fraction_after_release(ROOM, 5.0, 0.2) == near(0.2 * 0.9)
    assert room_air.oxygen_fraction_mixing(ROOM, 5.0) == near(0.2095 * exp(-0.1))
    assert room_air.oxygen_fraction_mixing(ROOM, 5.0, 0.2) == near(0.2 * exp(-0.1))
    assert room_air.oxygen_fraction(0.1) == near(0.2095 * 0.9)
    assert room_air.oxygen_fraction(0.1, 0.2) == near(0.18)


@pytest.mark.parametrize("changes", [0.0, 0.3, 6.0])
def test_a_spill_and_a_leak_by_hand(changes: float) -> None:
    """V dC/dt = L - N V (C - supply), solved on paper and added up."""
    start, supply = 0.002, 0.0004
    spill, leak = Release(1.0, 0.5 * HOUR), Release(3.0, 1.0 * HOUR, 2.0 * HOUR)

    def by_hand(hours: float) -> float:
        found = supply + (start - supply) * exp(-changes * hours)
        if hours >= 0.5:
            found += 1.0 / ROOM * exp(-changes * (hours - 0.5))
        if hours > 1.0:
            lasted = min(hours - 1.0, 2.0)
            rising = lasted if not changes else (1.0 - exp(-changes * lasted)) / changes
            found += 1.5 / ROOM * rising * exp(-changes * (hours - 1.0 - lasted))
        return found

    for hours in (0.0, 0.25, 0.4999, 0.5, 0.75, 1.0, 1.5, 3.0, 3.5, 9.0):
        got = room_air.concentration(
            hours * HOUR, ROOM, [spill, leak], changes, start, supply
        )  # fmt: skip
        assert got == near(by_hand(hours)), hours


def test_what_is_not_said_is_still_pure_air() -> None:
    spill = [Release(1.0)]
    assert room_air.concentration(60.0, ROOM, spill) == 0.02
    assert room_air.average_concentration(0.0, 60.0, ROOM, spill) == near(0.02)
    assert room_air.highest_average(60.0, ROOM, spill) == near(0.02)
    assert room_air.highest(ROOM, spill) == (0.0, 0.02)
    assert room_air.hazard_time_s(0.01, ROOM, [Release(1.0, 60.0)]) == 60.0
    assert room_air.clear_time_s(0.03, ROOM, spill) == 0.0
    assert Release(1.0) == Release(1.0, 0.0, 0.0)
    assert room_air.concentration(HOUR, ROOM, spill, 6.0) == near(0.02 * exp(-6.0))
    twice = [Release(1.0), Release(1.0, HOUR)]
    assert room_air.highest(ROOM, twice) == (HOUR, 0.04)
    assert room_air.clear_time_s(0.005, ROOM, spill) is None
    assert room_air.average_concentration(0.0, 0.5, ROOM, spill) == near(0.02)


def test_the_order_in_which_releases_are_told_changes_nothing() -> None:
    """Also where the first that is told has not begun yet."""
    late, early = Release(1.0, 2.0 * HOUR, HOUR), Release(1.0, 0.5 * HOUR)
    for call in (
        lambda several: room_air.concentration(HOUR, ROOM, several, 2.0),
        lambda several: room_air.average_concentration(0.0, HOUR, ROOM, several, 2.0),
        lambda several: room_air.highest_average(900.0, ROOM, several, 2.0),
        lambda several: room_air.highest(ROOM, several, 2.0)[1],
        lambda several: room_air.hazard_time_s(0.015, ROOM, several, 2.0) or -1.0,
        lambda several: room_air.clear_time_s(0.001, ROOM, several, 2.0) or -1.0,
    ):
        assert call([late, early]) == near(call([early, late]))
        assert call([late, early]) > 0.0


def test_no_air_is_more_than_gas() -> None:
    flood = [Release(500.0, 0.0, HOUR)]
    assert room_air.concentration(HOUR, ROOM, flood) == 1.0
    assert room_air.concentration(0.05 * HOUR, ROOM, flood) == near(0.5)
    assert room_air.average_concentration(0.0, HOUR, ROOM, flood) == 1.0
    assert room_air.average_concentration(0.0, 0.1 * HOUR, ROOM, flood) == near(0.5)
    assert room_air.highest_average(900.0, ROOM, flood) == 1.0
    # the rate does not stop because the room is full of it: from then on it stays so
    assert room_air.highest(ROOM, flood) == (HOUR, 1.0)
    assert room_air.hazard_time_s(1.0, ROOM, flood) == pytest.approx(0.1 * HOUR, abs=1e-6)


# means


@pytest.mark.parametrize("changes", [0.0, 0.001, 0.3, 6.0])
@pytest.mark.parametrize(("first", "last"), [(0.0, 0.4), (0.2, 1.7), (0.75, 5.0), (4.0, 9.0)])
def test_a_mean_is_the_area_under_the_curve(changes: float, first: float, last: float) -> None:
    """Simpson's rule on the curve itself, between the times at which it jumps or bends."""
    releases = [Release(1.0, 0.5 * HOUR), Release(3.0, 1.0 * HOUR, 2.0 * HOUR)]
    turns = [first, *(t for t in (0.5, 1.0, 3.0) if first < t < last), last]
    area = 0.0
    for a, b in pairwise(turns):
        step = (b - a) / 200
        for i in range(200):
            ends = (a + i * step, a + (i + 0.5) * step, a + (i + 1) * step)
            values = [
                room_air.concentration(
                    # the jump at half past belongs to what follows it
                    (t - 1e-12 if t == b == 0.5 else t) * HOUR, ROOM, releases, changes, 0.01, 4e-4
                )
                for t in ends
            ]  # fmt: skip
            area += step / 6.0 * (values[0] + 4.0 * values[1] + values[2])
    got = room_air.average_concentration(
        first * HOUR, last * HOUR, ROOM, releases, changes, 0.01, 4e-4
    )
    assert got == pytest.approx(area / (last - first), rel=1e-7)


@pytest.mark.parametrize("x", [1e-6, 2e-4, 9e-4, 1.1e-3, 0.5])
def test_mean_of_a_leak_with_next_to_no_ventilation(x: float) -> None:
    """The mean over the leak by the series of (t - (1 - e^-Nt)/N)/N, many terms of it."""
    hours = 2.0
    changes = x / hours
    series = sum((-x) ** k / math.factorial(k + 2) for k in range(12))
    got = room_air.average_concentration(
        0.0, hours * HOUR, ROOM, [Release(3.0, 0.0, hours * HOUR)], changes
    )
    assert got == pytest.approx(3.0 / ROOM * series, rel=2e-12 if x < 1e-3 else 1e-9)


def test_highest_mean_by_hand() -> None:
    window = 900.0
    # at once: best from the release on, (1 - e^-Nw)/(Nw) of the peak
    x = 6.0 * 0.25
    got = room_air.highest_average(window, ROOM, [Release(1.0, 1234.5)], 6.0)
    assert got == near(0.02 * (1.0 - exp(-x)) / x)
    # a leak that goes on: the mean around its end, where ventilation has long caught up
    steady = 3.0 / 2.0 / 6.0 / ROOM
    got = room_air.highest_average(window, ROOM, [Release(3.0, 0.0, 2.0 * HOUR)], 6.0)
    assert got == pytest.approx(steady, rel=1e-3)
    # nothing set free: what is there at first, or comes in
    assert room_air.highest_average(window, ROOM, [], 0.0, 0.01) == near(0.01)
    # what is there at first counts from the first second, before anything is set free
    got = room_air.highest_average(window, ROOM, [Release(0.1, HOUR)], 6.0, 0.02)
    assert got == near(0.02 * (1.0 - exp(-x)) / x)
    # air that comes in as rich as what is there
    assert room_air.highest_average(window, ROOM, [], 6.0, 0.01, 0.01) == near(0.01)
    # a window that ends as the leak does, where the air is quickly clean again
    got = room_air.highest_average(window, ROOM, [Release(3.0, 0.0, 2.0 * HOUR)], 60.0)
    assert got == pytest.approx(3.0 / 2.0 / 60.0 / ROOM, rel=1e-6)


@pytest.mark.parametrize("changes", [0.5, 2.0, 20.0])
def test_highest_mean_is_within_one_per_cent_of_a_fine_search(changes: float) -> None:
    releases = [Release(2.0, 600.0, 5000.0), Release(0.3, 4000.0), Release(1.0, 7000.0, 400.0)]
    for window in (300.0, 900.0, 7200.0):
        fine = max(
            room_air.average_concentration(at, at + window, ROOM, releases, changes)
            for at in range(0, 7400, 10)
        )
        got = room_air.highest_average(window, ROOM, releases, changes)
        assert 0.99 * fine <= got <= fine * (1.0 + 1e-3)


# peaks and times


def test_when_it_is_highest() -> None:
    assert room_air.highest(ROOM, [Release(1.0, 60.0)]) == (60.0, 0.02)
    # of two equal heights the first, so that nobody is told a later time
    assert room_air.highest(ROOM, [Release(1.0, 60.0), Release(0.0, 90.0)]) == (60.0, 0.02)
    at, peak = room_air.highest(ROOM, [Release(3.0, 0.0, 2.0 * HOUR)], 6.0)
    assert at == 2.0 * HOUR
    assert peak == near(3.0 / 2.0 / 6.0 / ROOM * (1.0 - exp(-12.0)))
    # air that comes in richer than the room: it only ever approaches it
    assert room_air.highest(ROOM, [], 6.0, 0.0, 0.01) == (inf, 0.01)
    assert room_air.highest(ROOM, [], 6.0, 0.02, 0.01) == (0.0, 0.02)
    assert room_air.highest(ROOM, [], 6.0, 0.01, 0.01) == (0.0, 0.01)
    assert room_air.highest(ROOM, [], 0.0, 0.005, 0.01) == (0.0, 0.005)


def test_first_time_at_a_limit_by_hand() -> None:
    leak, spill = Release(1.0, 0.0, HOUR), Release(1.0, HOUR)
    assert room_air.hazard_time_s(0.005, ROOM, [leak]) == pytest.approx(900.0, abs=1e-6)
    # reached while it leaks, though more is spilled as the leak ends
    assert room_air.hazard_time_s(0.015, ROOM, [leak, spill]) == pytest.approx(2700.0, abs=1e-6)
    # reached by the spill alone
    assert room_air.hazard_time_s(0.03, ROOM, [leak, spill]) == HOUR
    assert room_air.hazard_time_s(0.04, ROOM, [leak, spill]) == HOUR
    assert room_air.hazard_time_s(0.0401, ROOM, [leak, spill]) is None
    # there from the first
    assert room_air.hazard_time_s(0.02, ROOM, [Release(1.0, 60.0)], 0.0, 0.03) == 0.0
    assert room_air.hazard_time_s(0.02, ROOM, [Release(1.0)]) == 0.0
    # with ventilation: (rate/N)(1 - e^-Nt) = limit
    got = room_air.hazard_time_s(0.005, ROOM, [leak], 2.0)
    assert got == pytest.approx(-log(1.0 - 0.005 * 2.0 * ROOM / 1.0) / 2.0 * HOUR, abs=1e-6)
    assert room_air.hazard_time_s(0.0101, ROOM, [leak], 2.0) is None
    # a second leak after a pause in which the air had time to clear
    again = Release(1.0, 10.0 * HOUR, HOUR)
    small = Release(0.2, 0.0, HOUR)
    got = room_air.hazard_time_s(0.005, ROOM, [small, again], 2.0)
    assert got == pytest.approx((10.0 - log(1.0 - 0.5) / 2.0) * HOUR, abs=1e-3)


def test_first_time_at_a_limit_by_air_that_comes_in() -> None:
    # supply (1 - e^-Nt) = limit, long after all was set free
    got = room_air.hazard_time_s(0.009, ROOM, [], 6.0, 0.0, 0.01)
    assert got == pytest.approx(log(10.0) / 6.0 * HOUR, abs=1e-4)
    late = room_air.hazard_time_s(0.009, ROOM, [Release(0.0, 60.0)], 6.0, 0.0, 0.01)
    assert late == pytest.approx(got, abs=1e-4)
    # 1 - e^-48: as near as a float comes to the supply within a day
    almost = 0.01 * (1.0 - 1e-12)
    got = room_air.hazard_time_s(almost, ROOM, [], 6.0, 0.0, 0.01)
    assert got == pytest.approx(log(1e12) / 6.0 * HOUR, rel=1e-3)
    assert room_air.hazard_time_s(0.01, ROOM, [], 6.0, 0.0, 0.01) is None
    assert room_air.hazard_time_s(0.009, ROOM, [], 0.0, 0.0, 0.01) is None


def test_time_until_it_is_clear_by_hand() -> None:
    def clear(limit: float, releases: list[Release], changes: float, **more: float) -> float | None:
        return room_air.clear_time_s(limit, ROOM, releases, changes, **more)

    # 2 % at once to half a per cent: ln 4 / N
    one = log(4.0) / 6.0 * HOUR
    assert clear(0.005, [Release(1.0)], 6.0) == near(one)
    assert clear(0.005, [Release(1.0)], 6.0, mixing_factor=3.0) == near(3.0 * one)
    # the factor stretches what comes after the last release, and that alone
    assert clear(0.005, [Release(1.0, 600.0)], 6.0, mixing_factor=3.0) == near(600.0 + 3.0 * one)
    # over fresh air that holds some itself: ln((2 % - s)/(limit - s))
    got = clear(0.005, [Release(1.0)], 6.0, supply=0.001, start=0.001)
    assert got == near(log(0.02 / 0.004) / 6.0 * HOUR)
    # at the very limit it is clear at once; just above it is not
    assert clear(0.02, [Release(1.0)], 6.0) == 0.0
    assert clear(0.0199, [Release(1.0)], 6.0) == near(log(0.02 / 0.0199) / 6.0 * HOUR)
    # never without fresh air, nor with air as rich as the limit
    assert clear(0.005, [Release(1.0)], 0.0) is None
    assert clear(0.005, [Release(1.0)], 6.0, supply=0.005) is None
    assert clear(0.02, [Release(1.0)], 0.0) is None
    assert clear(0.0201, [Release(1.0)], 0.0) == 0.0


def test_clear_before_the_last_release() -> None:
    """A big spill, then little ones that never bring it back."""
    big, little = Release(1.0), Release(0.05, 4.0 * HOUR)
    got = room_air.clear_time_s(0.005, ROOM, [big, little], 6.0)
    assert got == pytest.approx(log(4.0) / 6.0 * HOUR, abs=1e-6)
    more = [big, Release(1.0, 0.1 * HOUR), little, Release(0.01, 8.0 * HOUR)]
    got = room_air.clear_time_s(0.005, ROOM, more, 6.0, mixing_factor=2.0)
    at_second = 0.02 * exp(-0.6) + 0.02
    assert got == pytest.approx((0.1 + log(at_second / 0.005) / 6.0) * HOUR, abs=1e-5)
    nothing = [Release(0.01), Release(0.01, HOUR)]
    assert room_air.clear_time_s(0.005, ROOM, nothing, 6.0) == 0.0


# steady


def test_steady_state_by_hand() -> None:
    # 2 m3/h into 50 m3 at 0.5 changes an hour, 25 m3 of fresh air an hour
    assert room_air.steady_concentration(ROOM, 2.0, 0.5, "supply") == near(2.0 / 27.0)
    for counted in ("exhaust", "unknown"):
        assert room_air.steady_concentration(ROOM, 2.0, 0.5, counted) == near(0.08)
    assert room_air.steady_concentration(ROOM, 2.0, 0.5) == near(0.08)
    assert room_air.steady_concentration(ROOM, 30.0, 0.5) == 1.0
    for counted in ("supply", "exhaust", "unknown"):
        assert room_air.steady_concentration(ROOM, 0.0, 0.0, counted) == 0.0
        assert room_air.steady_concentration(ROOM, 0.0, 0.5, counted) == 0.0
        assert room_air.steady_concentration(ROOM, 1e-6, 0.0, counted) == 1.0


def test_a_leak_against_a_fixed_supply_by_hand() -> None:
    # L/(L + NV) (1 - e^-(N + L/V)t)
    got = beside.leak_concentration_supply(1.5 * HOUR, ROOM, 2.0, 0.5)
    assert got == near(2.0 / 27.0 * (1.0 - exp(-(0.5 + 0.04) * 1.5)))
    assert beside.leak_concentration_supply(1.5 * HOUR, ROOM, 2.0, 0.0) == near(0.06)
    assert beside.leak_concentration_supply(30.0 * HOUR, ROOM, 2.0, 0.0) == 1.0


def test_removal_time_by_hand() -> None:
    # MMWR-1994 (read): 99 % at 6 changes in 46 min, 99.9 % at 2 in 207 min
    assert beside.removal_time_s(0.99, 6.0) == near(log(100.0) / 6.0 * HOUR)
    assert round(beside.removal_time_s(0.999, 2.0) / 60.0) == 207
    assert beside.removal_time_s(0.99, 6.0, 3.0) == near(3.0 * log(100.0) / 6.0 * HOUR)
    assert beside.removal_time_s(0.0, 6.0) == 0.0
