"""Heat of drinks: conservation, limits, ranges; CoolProp where it applies."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import ethanol, heat, sucrose

MASS = st.floats(0.001, 5.0)
TEMPERATURE = st.floats(-20.0, 95.0)
PART = st.tuples(MASS, st.floats(1000.0, 4500.0), TEMPERATURE)


@given(st.lists(PART, min_size=1, max_size=6), st.floats(0.0, 500.0), TEMPERATURE)
def test_energy_is_conserved(
    parts: list[tuple[float, float, float]], cup: float, cup_c: float
) -> None:
    m, cp, t = ([part[i] for part in parts] for i in range(3))
    end = heat.mixing_temperature_c(m, cp, t, cup, cup_c)
    lost = sum(a * b * (c - end) for a, b, c in parts) + cup * (cup_c - end)
    assert abs(lost) < 1e-6 * (sum(a * b for a, b, _ in parts) + cup) * 100
    assert min([*t, cup_c]) - 1e-9 <= end <= max([*t, cup_c]) + 1e-9


@given(st.lists(PART, min_size=2, max_size=6))
def test_mixing_in_any_order_is_the_same(parts: list[tuple[float, float, float]]) -> None:
    m, cp, t = ([part[i] for part in parts] for i in range(3))
    first = heat.mixing_temperature_c(m[:2], cp[:2], t[:2])
    both = m[0] + m[1]
    joined_cp = (m[0] * cp[0] + m[1] * cp[1]) / both
    stepwise = heat.mixing_temperature_c([both, *m[2:]], [joined_cp, *cp[2:]], [first, *t[2:]])
    assert stepwise == pytest.approx(heat.mixing_temperature_c(m, cp, t), abs=1e-6)


@given(MASS, st.floats(-5.0, 30.0), st.floats(60.0, 99.0), st.floats(0.05, 0.95))
def test_hot_part_needed_reaches_its_target(
    cold_kg: float, cold_c: float, hot_c: float, share: float
) -> None:
    own = heat.mixing_temperature_c([cold_kg], [3900.0], [cold_c], 100.0, 20.0)
    target = own + share * (hot_c - own)
    hot = heat.hot_part_needed_kg([cold_kg], [3900.0], [cold_c], 4190.0, hot_c, target, 100.0, 20.0)
    end = heat.mixing_temperature_c([cold_kg, hot], [3900.0, 4190.0], [cold_c, hot_c], 100.0, 20.0)
    assert end == pytest.approx(target, abs=1e-6)


def test_hot_part_cooler_than_the_target_is_refused() -> None:
    with pytest.raises(OutOfRange) as error:
        heat.hot_part_needed_kg([0.1], [4200.0], [20.0], 4190.0, 60.0, 65.0)
    assert (error.value.argument, error.value.value, error.value.high) == ("target_c", 65.0, 60.0)
    with pytest.raises(OutOfRange, match="target_c"):
        heat.hot_part_needed_kg([0.1], [4200.0], [20.0], 4190.0, 80.0, 15.0)


def test_specific_heat_joins_its_parts() -> None:
    assert heat.specific_heat_j_kg_k(0.1, 0.3, 0.0, 20.0) == pytest.approx(
        ethanol.specific_heat_j_kg_k(0.25, 20.0)
    )
    # above water where spirit is weak (PERRY-7)
    assert heat.specific_heat_j_kg_k(0.15, 0.85, 0.0, 20.0) > 4200.0
    # the published syrup equation at 20 C, within 2 % to 60 %
    for w in (0.2, 0.4, 0.6):
        mixed = heat.specific_heat_j_kg_k(0.0, 1 - w, w, 20.0)
        assert mixed == pytest.approx(sucrose.specific_heat_j_kg_k(w, 20.0), rel=0.02)


@given(st.floats(0.0, 1.0), st.floats(-30.0, 41.0))
def test_mixing_warms_when_cold_and_nothing_mixes_in_pure_liquids(x: float, at_c: float) -> None:
    value = heat.excess_enthalpy_j_mol(x, at_c)
    if at_c <= 20.0 and 0.001 < x < 0.6:
        assert value < 0.0
    assert heat.excess_enthalpy_j_mol(0.0, at_c) == pytest.approx(0.0, abs=1e-9)
    assert heat.excess_enthalpy_j_mol(1.0, at_c) == pytest.approx(0.0, abs=1e-9)


@given(st.floats(0.01, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(-5.0, 35.0))
def test_mixing_heat_is_a_state_function(
    spirit: float, water: float, more: float, at_c: float
) -> None:
    at_once = heat.mixing_heat_j([(spirit, 0.0), (0.0, water + more)], at_c)
    first = heat.mixing_heat_j([(spirit, 0.0), (0.0, water)], at_c)
    second = heat.mixing_heat_j([(spirit, water), (0.0, more)], at_c)
    assert first + second == pytest.approx(at_once, rel=1e-9, abs=1e-6)
    same = heat.mixing_heat_j([(spirit, water), (2 * spirit, 2 * water)], at_c)
    assert same == pytest.approx(0.0, abs=1e-6 * (1.0 + abs(at_once)))


def test_no_spirit_no_heat_of_mixing() -> None:
    assert heat.mixing_heat_j([(0.0, 1.0), (0.0, 2.0)], 5.0) == 0.0


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: heat.specific_heat_j_kg_k(-0.1, 1.0, 0.0, 20.0), "ethanol_kg"),
        (lambda: heat.specific_heat_j_kg_k(0.1, 1.0, 0.0, 60.0), "temperature_c"),
        (lambda: heat.specific_heat_j_kg_k(0.0, 1.0, 0.0, float("nan")), "temperature_c"),
        (lambda: heat.excess_enthalpy_j_mol(1.1, 20.0), "mole_fraction"),
        (lambda: heat.excess_enthalpy_j_mol(0.1, 60.0), "temperature_c"),
        (lambda: heat.mixing_temperature_c([1.0], [4200.0], [float("inf")]), "temperatures_c"),
        (lambda: heat.mixing_temperature_c([-1.0], [4200.0], [20.0]), "masses_kg"),
        (lambda: heat.mixing_heat_j([(-0.1, 1.0)], 20.0), "ethanol in a part"),
    ],
)
def test_out_of_range_names_the_argument(call: Callable[[], object], argument: str) -> None:
    with pytest.raises(OutOfRange) as error:
        call()
    assert error.value.argument == argument


def test_empty_is_refused() -> None:
    with pytest.raises(BadInput):
        heat.specific_heat_j_kg_k(0.0, 0.0, 0.0, 20.0)
    with pytest.raises(BadInput):
        heat.mixing_temperature_c([], [], [])
    with pytest.raises(BadInput):
        heat.mixing_temperature_c([1.0], [4200.0], [])


@given(st.floats(60.0, 600.0))
def test_smaller_cups_cool_faster(volume: float) -> None:
    low, high = heat.cooling_rates_per_min(volume)
    assert 0.0 < low < high
    assert heat.cooling_rates_per_min(60.0)[0] >= low
    assert heat.cooling_rates_per_min(volume, lidded=True)[1] < 0.022


@given(st.floats(30.0, 95.0), st.floats(0.0, 25.0), st.floats(0.005, 0.05), st.floats(0.1, 0.9))
def test_time_and_temperature_are_inverse(
    start: float, room: float, rate: float, share: float
) -> None:
    target = room + share * (start - room)
    minutes = heat.minutes_until(start, target, room, rate)
    assert heat.temperature_after_c(start, room, minutes, rate) == pytest.approx(target, abs=1e-9)


def test_ends() -> None:
    assert heat.temperature_after_c(80.0, 20.0, 0.0, 0.02) == 80.0
    assert heat.temperature_after_c(80.0, 20.0, 1e6, 0.02) == pytest.approx(20.0)
    assert heat.minutes_until(80.0, 80.0, 20.0, 0.02) == 0.0
    with pytest.raises(OutOfRange, match="never reached"):
        heat.minutes_until(80.0, 20.0, 20.0, 0.02)
    with pytest.raises(OutOfRange, match="target_c"):
        heat.minutes_until(80.0, 90.0, 20.0, 0.02)


@given(st.floats(0.0, 0.2), st.floats(0.0, 0.2))
def test_alcohol_goes_faster_than_water(one: float, other: float) -> None:
    assert heat.ethanol_remaining(one) <= 1.0 - one + 1e-12
    if one < other:
        assert heat.ethanol_remaining(one) >= heat.ethanol_remaining(other)


def test_alcohol_loss_agrees_with_cooking_table() -> None:
    # USDA-RETENTION-6: stirred into boiling liquid, 85 %; 2 % of the water gone gives that
    assert heat.ethanol_remaining(0.02) == pytest.approx(0.85, abs=0.03)
    with pytest.raises(OutOfRange, match="water_evaporated"):
        heat.ethanol_remaining(0.5)


def test_bottle_times_are_those_of_the_page() -> None:
    # 700 ml glass bottle, minutes: fridge 110, freezer 90, ice water 9, stirred 4; all assumed h
    times = {
        bath: 1 / heat.bottle_rate_per_min(0.664, 4190.0, 0.45, 0.065, bath)
        for bath in heat.BATHS_W_M2_K
    }
    assert times["fridge"] == pytest.approx(110, rel=0.1)
    assert times["freezer"] == pytest.approx(90, rel=0.1)
    assert times["ice water"] == pytest.approx(9, rel=0.1)
    assert times["stirred ice water"] == pytest.approx(4, rel=0.1)
    with pytest.raises(BadInput, match="fridge, freezer"):
        heat.bottle_rate_per_min(0.664, 4190.0, 0.45, 0.065, "snow")


def test_burn_times_fall_and_meet_the_table() -> None:
    for at_c, least, seconds in heat.BURN_TABLE:
        assert heat.no_lasting_damage_s(at_c) == pytest.approx(least)
        assert heat.full_thickness_burn_s(at_c) == pytest.approx(seconds)
    for of in (heat.no_lasting_damage_s, heat.full_thickness_burn_s):
        times = [of(45.0 + 0.25 * i) for i in range(61)]
        assert times == sorted(times, reverse=True)
        for outside in (44.9, 60.1):
            with pytest.raises(OutOfRange, match="temperature_c"):
                of(outside)
