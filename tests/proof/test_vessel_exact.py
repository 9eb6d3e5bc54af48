"""The closed vessel by hand: balances, allowances and counts written out beside the code's own."""

from __future__ import annotations

import math

import pytest

from prepkit.science import charged_vessel as vessel
from prepkit.science import dissolved_gas, gases

AIR, BULB, HEAD, LIQUID = 101325.0, 10e-6, 0.28e-3, 0.5e-3
HENRY = 3.2e-4


def moles_m3(gas: str, gas_kg: float, room_m3: float) -> float:
    return gas_kg / gases.molar_mass_kg_mol(gas) / room_m3


def test_what_is_not_said_of_bulb_and_air_is_no_bulb_and_one_atmosphere() -> None:
    one = ("n2o", 5.0, 0.008, HEAD)
    assert vessel.unshaken(*one) == vessel.unshaken(*one, 0.0, AIR)
    assert vessel.peak_bound_pa(*one) == vessel.peak_bound_pa(*one, 0.0, 0.05, AIR, 0.0)
    settled = ("n2o", 5.0, 0.008, HEAD, LIQUID, HENRY)
    assert vessel.settled(*settled) == vessel.settled(*settled, 0.0, AIR)
    sequence = ("n2o", 5.0, [0.008, 0.008], [True, False], HEAD, LIQUID, HENRY)
    assert vessel.charge_sequence(*sequence) == vessel.charge_sequence(*sequence, 0.0, AIR)
    assert vessel.sequence_bounds_pa(*sequence) == vessel.sequence_bounds_pa(
        *sequence, 0.0, 0.05, AIR
    )


def test_air_is_thinned_by_the_bulb_it_may_spread_into() -> None:
    """Boyle: two atmospheres over 0.28 l, a bulb of 10 ml more."""
    air = 2 * AIR * 0.28 / 0.29
    peak = vessel.unshaken("n2o", 5.0, 0.008, HEAD, BULB, 2 * AIR)
    rest = vessel.settled("n2o", 5.0, 0.008, HEAD, LIQUID, HENRY, BULB, 2 * AIR)
    for state in (peak, rest):
        assert state.air_pa == pytest.approx(air, rel=1e-12)
        assert state.absolute_pa == pytest.approx(state.gas_pa + air, rel=1e-12)


def test_air_warms_as_an_ideal_gas() -> None:
    assert vessel.warmed_air_pa(2e5, 5.0, 35.0) == pytest.approx(2e5 * 308.15 / 278.15, rel=1e-12)
    assert vessel.warmed_air_pa(2e5, 35.0, 5.0) == pytest.approx(2e5 * 278.15 / 308.15, rel=1e-12)


@pytest.mark.parametrize("gas", ["n2o", "co2", "n2"])
def test_a_settled_vessel_by_fugacity_and_the_pressure_on_the_liquid(gas: str) -> None:
    """n_liquid = H phi p exp(-v (P - 1 atm)/RT), v of a dissolved gas 34 ml/mol, by hand."""
    henry = dissolved_gas.henry_mol_m3_pa(gas, 20.0)
    state = vessel.settled(gas, 20.0, 0.012, HEAD, LIQUID, henry, BULB, 3 * AIR)
    line = gases.isotherm(gas, 20.0)
    density = moles_m3(gas, state.headspace_kg, HEAD + BULB)
    rt = 8.314462618 * 293.15
    dissolved = (
        henry * math.exp(line.log_fugacity_coefficient(density)) * state.gas_pa
        * math.exp(-34e-6 * (state.absolute_pa - AIR) / rt)
    )  # fmt: skip
    assert state.state == vessel.GAS
    assert state.gas_pa > 8e5
    molar = state.dissolved_kg_m3 / gases.molar_mass_kg_mol(gas)
    assert molar == pytest.approx(dissolved, rel=1e-7)


def test_a_liquid_that_takes_up_nothing_leaves_the_vessel_as_it_was() -> None:
    peak = vessel.unshaken("n2o", 5.0, 0.008, HEAD, BULB)
    for liquid, henry in ((0.0, HENRY), (LIQUID, 0.0)):
        state = vessel.settled("n2o", 5.0, 0.008, HEAD, liquid, henry, BULB)
        assert (state.absolute_pa, state.gas_pa, state.state) == (
            peak.absolute_pa, peak.gas_pa, peak.state,
        )  # fmt: skip
        assert (state.dissolved_kg, state.headspace_kg) == (0.0, pytest.approx(0.008))
    empty = vessel.settled("n2o", 5.0, 0.0, HEAD, LIQUID, HENRY, BULB)
    assert (empty.gas_pa, empty.dissolved_kg) == (0.0, 0.0)


@pytest.mark.parametrize(
    ("gas", "gas_kg", "state"),
    [("n2o", 0.008, vessel.GAS), ("n2o", 0.03, vessel.LIQUID_GAS), ("n2", 0.02, vessel.BEYOND)],
)
def test_a_settled_vessel_says_its_state(gas: str, gas_kg: float, state: str) -> None:
    henry = 4e-4 if gas == "n2o" else 9e-6
    assert vessel.settled(gas, 5.0, gas_kg, 0.08e-3, 0.1e-3, henry).state == state


def test_liquid_full_is_judged_by_the_density_at_0_c_where_it_is_colder() -> None:
    liquid, _ = gases.saturated_densities_kg_m3("n2o", 0.0)
    full_kg = liquid * HEAD
    for t in (-5.0, 0.0):
        assert vessel.unshaken("n2o", t, full_kg, HEAD).state == vessel.BEYOND
        less = vessel.unshaken("n2o", t, 0.9999 * full_kg, HEAD)
        assert less.state == vessel.LIQUID_GAS
        assert less.gas_pa == pytest.approx(gases.vapour_pressure_pa("n2o", t), rel=0.02)


def test_next_to_no_gas_settles_as_exactly() -> None:
    """A milligram in a litre of water and a third of a litre of air; Henry's law by hand."""
    state = vessel.settled("co2", 20.0, 1e-6, 0.3e-3, 1e-3, 3.4e-4)
    moles = 1e-6 / gases.molar_mass_kg_mol("co2")
    rt = 8.314462618 * 293.15
    # n = p V/RT + V_liquid H p, the gas ideal at a few hundred pascal
    pressure = moles / (0.3e-3 / rt + 1e-3 * 3.4e-4)
    assert state.gas_pa == pytest.approx(pressure, rel=1e-4)
    assert state.dissolved_kg + state.headspace_kg == pytest.approx(1e-6, rel=1e-12)
    assert state.dissolved_kg == pytest.approx(1e-3 * 3.4e-4 * pressure * 0.0440095, rel=1e-3)


@pytest.mark.parametrize("shaken", [True, False])
def test_a_spent_bulb_takes_its_share_of_the_headspace_away(shaken: bool) -> None:
    gas, each, air = "n2o", 0.008, 0.5 * AIR
    first, second = vessel.charge_sequence(
        gas, 5.0, [each, each], [shaken, True], HEAD, LIQUID, HENRY, BULB, air
    )
    rest = vessel.settled(gas, 5.0, each, HEAD, LIQUID, HENRY, BULB, air)
    dissolved = rest.dissolved_kg if shaken else 0.0
    held = each - (each - dissolved) * 10.0 / 290.0 + each
    assert first.peak == vessel.unshaken(gas, 5.0, each, HEAD, BULB, air)
    assert (first.settled == rest) if shaken else (first.settled is None)
    assert (first.gas_kg, first.dissolved_kg) == (each, dissolved)
    assert second.gas_kg == pytest.approx(held, rel=1e-12)
    assert second.peak.gas_pa == pytest.approx(
        vessel.unshaken(gas, 5.0, held - dissolved, HEAD, BULB, air).gas_pa, rel=1e-12
    )
    assert second.settled is not None
    assert second.settled.absolute_pa == pytest.approx(
        vessel.settled(gas, 5.0, held, HEAD, LIQUID, HENRY, BULB, air).absolute_pa, rel=1e-12
    )
    assert second.dissolved_kg == second.settled.dissolved_kg


# bounds


@pytest.mark.parametrize("gas", ["n2o", "co2", "n2"])
def test_a_bound_is_the_pressure_with_its_stated_allowances(gas: str) -> None:
    """5 % more gas, 1 % on the equation, the air as it was: nothing else is added."""
    bound = vessel.peak_bound_pa(gas, 5.0, 0.003, HEAD, BULB, air_pa=0.7e5)
    line = gases.isotherm(gas, 5.0)
    by_hand = line.pressure(moles_m3(gas, 1.05 * 0.003, HEAD + BULB)) * 1.01 + 0.7e5
    assert bound == pytest.approx(by_hand, rel=1e-12)
    there = vessel.peak_bound_pa(gas, 5.0, 0.0, HEAD, BULB, 0.05, 0.7e5, settled_gas_kg=1.05 * 3e-3)
    assert there == pytest.approx(bound, rel=1e-12)


def test_a_bound_rises_from_0_c_on_and_is_that_of_0_c_below() -> None:
    below, cold, warmer, one = (
        vessel.peak_bound_pa("n2o", t, 0.008, HEAD, BULB) for t in (-10.0, 0.0, 0.5, 1.0)
    )
    assert below == cold < warmer < one
    below, cold, warmer, one = (
        vessel.sequence_bounds_pa("n2o", t, [0.008], [False], HEAD, LIQUID, 0.0, BULB)[0]
        for t in (-10.0, 0.0, 0.5, 1.0)
    )
    assert below == cold < warmer < one


@pytest.mark.parametrize(("gas", "fluid"), [("n2o", "NitrousOxide"), ("co2", "CO2")])
def test_no_bound_from_where_gas_could_condense_at_0_c(gas: str, fluid: str) -> None:
    """CoolProp's own vapour density at 0 C, the gas equation within 2 % of it."""
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    vapour = props("D", "T", 273.15, "Q", 1, fluid)
    for t in (0.0, 20.0, 60.0):
        assert vessel.peak_bound_pa(gas, t, 0.99 * vapour * HEAD, HEAD, 0.0, 0.0) < math.inf
        assert vessel.peak_bound_pa(gas, t, 1.02 * vapour * HEAD, HEAD, 0.0, 0.0) == math.inf
    # what cannot condense has a bound to 50 bar
    assert vessel.peak_bound_pa("n2", 0.0, 0.97 * 62.6 * HEAD, HEAD, 0.0, 0.0) < math.inf
    assert vessel.peak_bound_pa("n2", 0.0, 1.03 * 62.6 * HEAD, HEAD, 0.0, 0.0) == math.inf


@pytest.mark.parametrize("gas", ["n2o", "co2", "n2"])
def test_bounds_of_a_sequence_by_hand(gas: str) -> None:
    """Each charge over-filled, a spent bulb not credited, shaking only with what dissolved."""
    each, over, air = 0.002, 1.08, 0.9e5
    low = 0.5 * dissolved_gas.henry_mol_m3_pa(gas, 5.0)
    still = vessel.sequence_bounds_pa(
        gas, 5.0, [each] * 3, [False] * 3, HEAD, LIQUID, low, BULB, 0.08, air
    )
    for count, bound in enumerate(still, 1):
        assert bound == pytest.approx(
            vessel.peak_bound_pa(gas, 5.0, count * each, HEAD, BULB, 0.08, air), rel=1e-12
        )
    shaken = vessel.sequence_bounds_pa(
        gas, 5.0, [each] * 3, [True, False, False], HEAD, LIQUID, low, BULB, 0.08, air
    )
    taken = vessel.settled(gas, 5.0, over * each, HEAD, LIQUID, low, BULB, air).dissolved_kg
    assert taken > 0.0
    for count, bound in enumerate(shaken, 1):
        left = count * over * each - (taken if count > 1 else 0.0)
        assert bound == pytest.approx(
            vessel.peak_bound_pa(gas, 5.0, left, HEAD, BULB, 0.0, air), rel=1e-12
        )


def test_a_liquid_is_credited_with_no_more_gas_than_its_own_room_would_hold() -> None:
    def bounds(henry: float) -> tuple[float, ...]:
        return vessel.sequence_bounds_pa(
            "co2", 5.0, [0.004, 0.004], [True, False], HEAD, LIQUID, henry, BULB
        )

    own_volume = 1.0 / (8.314462618 * 278.15)  # mol/(m3 Pa) of the ideal gas at 5 C
    assert bounds(0.9 * own_volume) > bounds(own_volume)
    for more in (1.5, 2.0, 400.0):
        assert bounds(more * own_volume) == pytest.approx(bounds(own_volume), rel=1e-6)


def test_where_one_charge_has_no_bound_shaking_gives_none_back() -> None:
    bounds = vessel.sequence_bounds_pa(
        "n2o", 5.0, [0.02, 0.0], [True, True], 0.1e-3, 5e-3, 4e-4, BULB
    )
    assert bounds == (math.inf, math.inf)


@pytest.mark.parametrize("gas", ["n2o", "co2"])
def test_the_last_bound_is_at_the_lower_of_two_vapour_densities_at_0_c(gas: str) -> None:
    table = gases.SATURATION[gas][0][2] / gases.molar_mass_kg_mol(gas)
    lowest = min(table, gases.isotherm(gas, 0.0).most_mol_m3)
    kg = lowest * gases.molar_mass_kg_mol(gas) * HEAD
    assert vessel.peak_bound_pa(gas, 20.0, kg * (1.0 - 1e-9), HEAD, 0.0, 0.0) < math.inf
    assert vessel.peak_bound_pa(gas, 20.0, kg * (1.0 + 1e-9), HEAD, 0.0, 0.0) == math.inf


# energy


@pytest.mark.parametrize(
    ("gas", "exponent"),
    # cp/cv of triatomic, diatomic and single atoms (memory): 1.30, 1.40, 1.667
    [("n2o", 1.30), ("co2", 1.30), ("n2", 1.40), ("air", 1.40), ("o2", 1.40), ("he", 1.667),
     ("ar", 1.667)],
)  # fmt: skip
def test_energy_by_the_three_textbook_forms(gas: str, exponent: float) -> None:
    p, p0, volume = 9e5, 0.8e5, 0.3e-3
    energy = vessel.stored_energy(gas, p, volume, p0)
    power = (exponent - 1.0) / exponent
    assert energy.isentropic_j == pytest.approx(
        p * volume / (exponent - 1.0) * (1.0 - (p0 / p) ** power), rel=1e-12
    )
    assert energy.isothermal_j == pytest.approx(
        p * volume * math.log(p / p0) - (p - p0) * volume, rel=1e-12
    )
    assert energy.overpressure_j == pytest.approx((p - p0) * volume / (exponent - 1.0), rel=1e-12)


# portions


@pytest.mark.parametrize("shaken", [True, False])
def test_service_portion_by_portion_by_hand(shaken: bool) -> None:
    gas, t, held, portion, air0, ambient = "n2o", 5.0, 0.0075, 50e-6, 0.6e5, 0.8e5
    least = 3.2e5 if shaken else 2.5e5
    service = vessel.dispense(
        gas, t, held, HEAD, LIQUID, HENRY, portion, shaken, least, air0, ambient
    )
    line = gases.isotherm(gas, t)
    state = vessel.settled(gas, t, held, HEAD, LIQUID, HENRY, 0.0, air0)
    pressure, in_it, head_kg = state.absolute_pa, state.dissolved_kg_m3, state.headspace_kg
    room, left, enough = HEAD, LIQUID, 0
    for count, one in enumerate(service.portions, 1):
        assert one.before_pa == pytest.approx(pressure, rel=1e-9)
        assert one.dissolved_kg_m3 == pytest.approx(in_it, rel=1e-9)
        held -= in_it * portion
        room, left = HEAD + count * portion, LIQUID - count * portion
        air = air0 * HEAD / room
        pressure = line.pressure(moles_m3(gas, head_kg, room)) + air
        assert one.after_pa == pytest.approx(pressure, rel=1e-9)
        assert one.liquid_left_m3 == pytest.approx(left, abs=1e-15)
        enough += one.after_pa >= least
        if shaken:
            state = vessel.settled(gas, t, held, room, max(0.0, left), HENRY, 0.0, air)
            pressure, in_it, head_kg = state.absolute_pa, state.dissolved_kg_m3, state.headspace_kg
    assert len(service.portions) == 10
    assert 1 < enough < 10
    assert service.served == enough
    assert service.liquid_left_m3 == pytest.approx(0.0, abs=1e-12)
    assert service.gas_left_kg == pytest.approx(held, rel=1e-9)
    per_kg = gases.gas_volume_m3_kg(gas, t, ambient)
    assert service.vented_m3 == pytest.approx(held * per_kg, rel=1e-9)


def test_served_counts_down_to_the_very_pressure_asked_for() -> None:
    def service(least: float) -> vessel.Service:
        return vessel.dispense("n2o", 5.0, 0.0078, HEAD, LIQUID, HENRY, 50e-6, False, least)

    after = [one.after_pa for one in service(0.0).portions]
    assert after == sorted(after, reverse=True)
    for count, pressure in enumerate(after, 1):
        assert service(pressure).served == count
        assert service(math.nextafter(pressure, math.inf)).served == count - 1


def test_nothing_is_poured_from_a_vessel_at_the_pressure_outside() -> None:
    still = vessel.dispense("n2", 5.0, 0.0, HEAD, LIQUID, 1e-5, 50e-6, True, 0.0, AIR, AIR)
    assert still.portions == ()
    assert (still.served, still.liquid_left_m3) == (0, LIQUID)
    pushed = vessel.dispense("n2", 5.0, 0.0, HEAD, LIQUID, 1e-5, 50e-6, True, 0.0, 1.01 * AIR, AIR)
    assert len(pushed.portions) == 1


def test_as_many_portions_as_can_be_counted_and_no_more() -> None:
    one = ("n2", 5.0, 0.0, HEAD, 1e-3, 1e-5)
    assert vessel.dispense(*one, 1e-3 / 10_000, True, 0.0).portions == ()
    with pytest.raises(ValueError, match="portion_m3"):
        vessel.dispense(*one, 1e-3 / 10_001, True, 0.0)
