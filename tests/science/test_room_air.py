"""Air of a room: conservation, limits, direction, and a time-stepped integration."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from science import beside

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import room_air
from prepkit.science.room_air import Release

ROOM = st.floats(5.0, 2000.0)
CHANGES = st.one_of(st.just(0.0), st.floats(0.01, 60.0))
RELEASES = st.lists(
    st.builds(
        Release,
        st.floats(0.0, 4.0),
        st.floats(0.0, 7200.0),
        st.one_of(st.just(0.0), st.floats(60.0, 14400.0)),
    ),
    min_size=1,
    max_size=5,
)
TIME = st.floats(0.0, 40000.0)


@given(ROOM, st.floats(0.0, 1.0))
def test_displacement_is_never_milder_than_mixing(room: float, share: float) -> None:
    gas = room * share
    pushed = room_air.oxygen_fraction_after_release(room, gas)
    assert 0.0 <= pushed <= room_air.oxygen_fraction_mixing(room, gas) + 1e-15
    assert pushed == pytest.approx(
        room_air.oxygen_fraction(room_air.gas_fraction_after_release(room, gas))
    )


@given(ROOM, RELEASES, CHANGES, TIME, st.floats(1.0, 3.0))
def test_smaller_room_more_gas_or_less_air_is_never_milder(
    room: float, releases: list[Release], changes: float, time: float, factor: float
) -> None:
    here = room_air.concentration(time, room, releases, changes)
    assert room_air.concentration(time, room * factor, releases, changes) <= here + 1e-12
    less = [Release(r.gas_m3 / factor, r.start_s, r.duration_s) for r in releases]
    assert room_air.concentration(time, room, less, changes) <= here + 1e-12
    assert room_air.concentration(time, room, releases, changes * factor) <= here + 1e-12
    for window in (900.0, 28800.0):
        mean = room_air.highest_average(window, room, releases, changes)
        assert room_air.highest_average(window, room, less, changes) <= mean + 1e-12
        assert mean <= room_air.highest(room, releases, changes)[1] + 1e-12


@given(ROOM, RELEASES, TIME)
def test_without_ventilation_it_is_displacement(
    room: float, releases: list[Release], time: float
) -> None:
    out = sum(
        r.gas_m3
        * (
            (time >= r.start_s)
            if not r.duration_s
            else min(max((time - r.start_s) / r.duration_s, 0.0), 1.0)
        )
        for r in releases
    )
    got = room_air.concentration(time, room, releases)
    assert got == pytest.approx(min(out / room, 1.0), abs=1e-12)


@given(ROOM, st.floats(0.001, 2.0), st.floats(0.5, 30.0))
def test_long_leak_comes_to_the_steady_state(room: float, leak: float, changes: float) -> None:
    hours = 40.0 / changes
    late = room_air.concentration(
        hours * 3600.0, room, [Release(leak * hours, 0.0, hours * 3600.0)], changes
    )
    assert late == pytest.approx(room_air.steady_concentration(room, leak, changes), rel=1e-6)
    milder = beside.leak_concentration_supply(hours * 3600.0, room, leak, changes)
    steady = room_air.steady_concentration(room, leak, changes, "supply")
    assert milder == pytest.approx(steady, rel=1e-6)
    assert steady <= room_air.steady_concentration(room, leak, changes, "exhaust")


@given(ROOM, RELEASES, st.floats(0.1, 30.0), st.floats(60.0, 40000.0))
def test_gas_is_conserved(
    room: float, releases: list[Release], changes: float, time: float
) -> None:
    """What is in the room and what has left by the ventilation is what was set free."""
    in_room = room * room_air.concentration(time, room, releases, changes)
    if in_room > 0.999 * room:
        return
    mean = room_air.average_concentration(0.0, time, room, releases, changes)
    if mean > 0.999:
        return
    left = changes / 3600.0 * room * mean * time
    out = sum(
        r.gas_m3
        * (
            (time >= r.start_s)
            if not r.duration_s
            else min(max((time - r.start_s) / r.duration_s, 0.0), 1.0)
        )
        for r in releases
    )
    assert in_room + left == pytest.approx(out, rel=1e-7, abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(20.0, 300.0), st.floats(0.0, 10.0), st.floats(0.0, 0.02), st.floats(0.0, 0.001),
    st.floats(100.0, 3000.0),
)  # fmt: skip
def test_against_a_time_stepped_integration(
    room: float, changes: float, start: float, supply: float, begin: float
) -> None:
    integrate = pytest.importorskip("scipy.integrate")
    leak, spill = Release(1.5, begin, 2400.0), Release(0.7, begin + 5000.0)
    rate = leak.gas_m3 / leak.duration_s

    def slope(t: float, c: list[float]) -> list[float]:
        flow = rate if leak.start_s <= t <= leak.start_s + leak.duration_s else 0.0
        return [flow / room - changes / 3600.0 * (c[0] - supply)]

    c, at = start, 0.0
    turns = [leak.start_s, leak.start_s + leak.duration_s, spill.start_s, spill.start_s + 4000.0]
    for turn in turns:
        solved = integrate.solve_ivp(slope, (at, turn), [c], rtol=1e-9, atol=1e-12, max_step=60.0)
        c, at = float(solved.y[0][-1]), turn
        if turn == spill.start_s:
            c += spill.gas_m3 / room
        got = room_air.concentration(turn, room, [leak, spill], changes, start, supply)
        assert got == pytest.approx(c, rel=1e-4, abs=1e-7)


@settings(max_examples=25, deadline=None)
@given(st.floats(20.0, 300.0), st.floats(0.01, 10.0), st.floats(0.1, 20.0))
def test_supply_convention_against_a_time_stepped_integration(
    room: float, changes: float, leak: float
) -> None:
    integrate = pytest.importorskip("scipy.integrate")
    # exhaust carries away supply and leak together
    solved = integrate.solve_ivp(
        lambda t, c: [(leak / room - (changes + leak / room) * c[0]) / 3600.0],
        (0.0, 7200.0), [0.0], rtol=1e-9, atol=1e-12,
    )  # fmt: skip
    got = beside.leak_concentration_supply(7200.0, room, leak, changes)
    assert got == pytest.approx(float(solved.y[0][-1]), rel=1e-5)
    bound = room_air.concentration(7200.0, room, [Release(2 * leak, 0.0, 7200.0)], changes)
    assert got <= bound + 1e-12


@given(ROOM, RELEASES, CHANGES, st.floats(1e-4, 0.3))
def test_hazard_and_clear_times_are_where_the_curve_crosses(
    room: float, releases: list[Release], changes: float, limit: float
) -> None:
    first = room_air.hazard_time_s(limit, room, releases, changes)
    peak_at, peak = room_air.highest(room, releases, changes)
    if first is None:
        assert peak <= limit * (1 + 1e-9)
        return
    assert first <= peak_at + 1e-3
    assert room_air.concentration(first, room, releases, changes) >= limit * (1 - 1e-6)
    if first > 1.0:
        assert room_air.concentration(first - 0.5, room, releases, changes) <= limit * (1 + 1e-6)
    clear = room_air.clear_time_s(limit, room, releases, changes)
    if clear is None:
        assert changes == 0.0
    else:
        later = room_air.concentration(clear + 1.0, room, releases, changes)
        assert later <= limit * (1 + 1e-6)
        slow = room_air.clear_time_s(limit, room, releases, changes, mixing_factor=4.0)
        assert slow is not None
        assert slow >= clear - 1e-6


def test_more_gas_is_sooner() -> None:
    times = [
        room_air.hazard_time_s(0.005, 50.0, [Release(gas, 0.0, 3600.0)], 2.0) or math.inf
        for gas in (0.3, 0.6, 1.0, 2.0, 5.0)
    ]
    assert times == sorted(times, reverse=True)
    assert times[0] == math.inf


def test_largest_release_is_just_at_the_floor() -> None:
    gas = beside.largest_release_m3(42.0, 0.195)
    assert room_air.oxygen_fraction_after_release(42.0, gas) == pytest.approx(0.195)


def test_co2_room_of_the_german_rule() -> None:
    # BGN-DISPENSING: 17 m3/kg counted at 0 C; at 20 C the same room reaches 3.2 %
    assert room_air.gas_fraction_after_release(17.0, 0.5437) == pytest.approx(0.032, abs=0.0003)
    assert beside.least_room_m3_kg(0.5437) == pytest.approx(18.1, abs=0.05)


def test_supply_richer_than_the_limit_is_never_clear() -> None:
    assert room_air.clear_time_s(0.001, 50.0, [Release(1.0)], 3.0, supply=0.002) is None
    assert room_air.hazard_time_s(0.001, 50.0, [Release(0.0)], 3.0, supply=0.002) is not None


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: room_air.oxygen_fraction_after_release(0.0, 0.0), "room_m3"),
        (lambda: room_air.oxygen_fraction_after_release(10.0, 11.0), "gas_m3"),
        (lambda: room_air.concentration(1.0, 10.0, [Release(11.0)]), "gas_m3"),
        (lambda: room_air.concentration(1.0, 10.0, [Release(1.0)], -1.0), "air_changes_h"),
        (lambda: room_air.concentration(1.0, 10.0, [Release(1.0)], 5000.0), "air_changes_h"),
        (lambda: room_air.concentration(-1.0, 10.0, [Release(1.0)]), "time_s"),
        (lambda: room_air.concentration(1.0, float("nan"), [Release(1.0)]), "room_m3"),
        (lambda: beside.removal_time_s(1.0, 6.0), "efficiency"),
        (lambda: beside.removal_time_s(0.9, 0.0), "air_changes_h"),
        (lambda: room_air.net_room_m3(3.0, 3.0, -1.0), "height_m"),
        (lambda: beside.least_room_m3_kg(0.5, 0.0), "limit"),
        (lambda: room_air.dewar_gas_m3_h(1.0, 700.0, 0.5), "factor"),
    ],
)
def test_out_of_range_names_the_argument(call: Callable[[], object], argument: str) -> None:
    with pytest.raises(OutOfRange) as error:
        call()
    assert error.value.argument == argument


def test_unknown_convention_is_refused() -> None:
    with pytest.raises(BadInput, match="supply, exhaust or unknown"):
        room_air.steady_concentration(50.0, 1.0, 1.0, "both")


@given(st.floats(0.0, 100.0), st.floats(0.1, 1e5), st.floats(0.0, 0.5))
def test_smoke_by_fuel_and_space(fuel: float, space: float, emission: float) -> None:
    one = room_air.carbon_monoxide_ppm(fuel, space, emission)
    assert 0.0 <= one <= 1e6
    assert room_air.carbon_monoxide_ppm(fuel, 2 * space, emission) <= one + 1e-9
    assert room_air.carbon_monoxide_ppm(fuel, space, emission / 2) <= one + 1e-9


@given(st.floats(0.0, 1.0))
def test_ethanol_in_air_both_ways(fraction: float) -> None:
    assert beside.ethanol_fraction(room_air.ethanol_g_m3(fraction)) == pytest.approx(fraction)


@given(st.floats(0.0, 7.0), st.floats(0.0, 0.9), st.floats(0.6, 8.0))
def test_each_breath_of_gas_leaves_less(gas: float, more: float, before: float) -> None:
    first = room_air.lung_oxygen(gas, before)
    assert first <= room_air.LUNG_OXYGEN
    assert room_air.lung_oxygen(gas + more, before) <= first + 1e-12
    assert room_air.lung_oxygen(more, before, first) <= first + 1e-12


def test_refusals() -> None:
    with pytest.raises(OutOfRange, match="space_l"):
        room_air.carbon_monoxide_ppm(0.5, 0.0)
    with pytest.raises(OutOfRange, match="emission"):
        room_air.carbon_monoxide_ppm(0.5, 1.0, 100.0)  # grams for a share
    with pytest.raises(OutOfRange, match="gas_l"):
        room_air.lung_oxygen(500.0, 2.4)  # millilitres for litres
    with pytest.raises(OutOfRange, match="fraction"):
        room_air.ethanol_g_m3(3.1)
