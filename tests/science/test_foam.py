"""Foam: identities, floating, drainage; air and gases against an independent library."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from science import beside

from prepkit.errors import OutOfRange
from prepkit.science import foam, gases, water

ATM = 101325.0
# COOLPROP (read), kg/m3 at 5, 20, 60 C and 101325 Pa
DENSITIES = {
    "air": (1.26974, 1.20458, 1.05963),
    "he": (0.17527, 0.16631, 0.14635),
    "n2": (1.22784, 1.16483, 1.02468),
    "n2o": (1.94154, 1.84028, 1.61618),
    "co2": (1.94051, 1.83934, 1.61549),
}
FLUID = {"air": "Air", "he": "Helium", "n2": "Nitrogen", "n2o": "NitrousOxide", "co2": "CO2"}
fractions = st.floats(1e-4, 0.9)
overruns = st.floats(0.0, 50.0)


@pytest.mark.parametrize("gas", DENSITIES)
@pytest.mark.parametrize(("place", "temperature_c"), [(0, 5.0), (1, 20.0), (2, 60.0)])
def test_gas_densities(gas: str, place: int, temperature_c: float) -> None:
    ours = gases.molar_density_mol_m3(gas, temperature_c, ATM) * gases.molar_mass_kg_mol(gas)
    assert ours == pytest.approx(DENSITIES[gas][place], rel=2e-4)
    ideal = water.moist_gas_density_kg_m3(gases.molar_mass_kg_mol(gas), temperature_c, ATM, 0.0)
    assert ideal == pytest.approx(DENSITIES[gas][place], rel=7.5e-3)
    if gas in ("air", "he", "n2"):
        assert ideal == pytest.approx(DENSITIES[gas][place], rel=1e-3)


@pytest.mark.parametrize("temperature_c", [0.1, 5.0, 20.0, 37.0, 60.0, 99.0])
def test_vapour_pressure_of_water_against_coolprop(temperature_c: float) -> None:
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    theirs = props("P", "T", temperature_c + 273.15, "Q", 0, "Water")
    assert water.saturation_pressure_pa(temperature_c) == pytest.approx(theirs, rel=5e-4)


@pytest.mark.parametrize("temperature_c", [5.0, 20.0, 30.0, 40.0])
@pytest.mark.parametrize("humidity", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("absolute_pa", [80e3, ATM])
def test_humid_air_against_coolprop(
    temperature_c: float, humidity: float, absolute_pa: float
) -> None:
    humid = pytest.importorskip("CoolProp.CoolProp").HAPropsSI
    volume = humid("Vha", "T", temperature_c + 273.15, "P", absolute_pa, "R", humidity)
    assert water.air_density_kg_m3(temperature_c, absolute_pa, humidity) == pytest.approx(
        1 / volume, rel=1e-3
    )


def test_published_humid_air_and_wet_helium() -> None:
    # COOLPROP (read): air at 20 C and 50 % 1.19936; helium saturated with water 0.17976
    assert water.air_density_kg_m3(20.0) == pytest.approx(1.19936, abs=1e-3)
    helium = water.moist_gas_density_kg_m3(4.0026e-3, 20.0, ATM, 1.0)
    assert helium == pytest.approx(0.17976, abs=2e-4)


def test_damp_air_is_lighter_and_damp_helium_heavier() -> None:
    dry, damp = (water.air_density_kg_m3(25.0, ATM, h) for h in (0.0, 1.0))
    assert damp < dry
    dry, damp = (water.moist_gas_density_kg_m3(4.0026e-3, 25.0, ATM, h) for h in (0.0, 1.0))
    assert damp > dry


@given(overruns)
def test_overrun_identities(overrun: float) -> None:
    gas, liquid = foam.gas_fraction(overrun), foam.liquid_fraction(overrun)
    assert gas + liquid == pytest.approx(1.0)
    assert foam.overrun_from_liquid_fraction(liquid) == pytest.approx(overrun, abs=1e-9)
    assert foam.expansion(liquid) == pytest.approx(1.0 + overrun)
    assert foam.overrun(1.0, 1.0 + overrun) == pytest.approx(overrun, abs=1e-9)
    density = foam.density_kg_m3(liquid, 1000.0)
    # the same cup, once with liquid and once with foam
    assert foam.overrun_from_weighing(1000.0, density) == pytest.approx(overrun, abs=1e-9)


def test_a_hundred_per_cent_is_half_gas_and_three_hundred_three_quarters() -> None:
    assert foam.gas_fraction(1.0) == 0.5
    assert foam.gas_fraction(3.0) == 0.75


@given(fractions, st.floats(900.0, 1300.0), st.floats(0.1, 2.0))
def test_foam_lies_between_gas_and_liquid(liquid: float, rho: float, gas: float) -> None:
    assert gas < foam.density_kg_m3(liquid, rho, gas) < rho


@given(st.floats(950.0, 1200.0), st.floats(950.0, 1200.0))
def test_minimum_overrun_makes_it_just_as_light(layer: float, drink: float) -> None:
    least = foam.minimum_overrun_to_float(layer, drink)
    whipped = foam.density_kg_m3(foam.liquid_fraction(least), layer)
    assert whipped <= drink * (1 + 1e-12)
    assert (least == 0.0) == (layer <= drink)


@given(st.floats(0.05, 3.0), st.floats(900.0, 1400.0))
def test_floating_limit_is_the_density_of_air(gas: float, liquid: float) -> None:
    air = water.air_density_kg_m3(20.0)
    largest = foam.largest_liquid_fraction_that_floats(air, gas, liquid)
    assert (largest > 0) == (gas < air)
    if largest > 0:
        assert foam.density_kg_m3(largest, liquid, gas) == pytest.approx(air)


@pytest.mark.parametrize("gas", ["n2", "n2o", "co2", "air", "ar", "o2"])
def test_no_other_gas_floats_a_foam_that_can_be_made(gas: str) -> None:
    # a lecithin air keeps 1 to 5 % liquid; nitrogen could lift 0.004 %, the heavy gases nothing
    air = water.air_density_kg_m3(20.0)
    inside = gases.molar_density_mol_m3(gas, 20.0, ATM) * gases.molar_mass_kg_mol(gas)
    assert foam.largest_liquid_fraction_that_floats(air, inside, 1000.0) < 1e-4


@given(st.floats(1e-3, 0.2), st.floats(1e-8, 1e-5))
def test_smallest_bubble_neither_rises_nor_sinks(diameter: float, film: float) -> None:
    air, helium = 1.2046, 0.1663
    lift = foam.bubble_lift_kg(diameter, film, air, helium, 1000.0)
    critical = foam.smallest_bubble_m(film, (air - helium) / 1000.0)
    if diameter > critical * (1 + 1e-9):
        assert lift > 0
    if diameter < critical * (1 - 1e-9):
        assert lift < 0


@given(st.floats(1e-3, 1e-2), st.floats(0.05, 0.5))
def test_higher_and_coarser_foam_is_drier(diameter: float, height: float) -> None:
    here = foam.equilibrium_liquid_fraction(diameter, height, 0.03, 1000.0)
    assert foam.equilibrium_liquid_fraction(diameter, 2 * height, 0.03, 1000.0) == pytest.approx(
        here / 4
    )
    assert foam.equilibrium_liquid_fraction(2 * diameter, height, 0.03, 1000.0) == pytest.approx(
        here / 4
    )


def test_drainage_scales_as_published() -> None:
    # half-drainage time as 1/d^2 of the bubbles and as viscosity
    for call in (foam.drainage_velocity_rigid_m_s, beside.drainage_velocity_mobile_m_s):
        here = call(1e-3, 0.02, 1e-3, 1000.0)
        assert call(2e-3, 0.02, 1e-3, 1000.0) == pytest.approx(4 * here)
        assert call(1e-3, 0.02, 3e-3, 1000.0) == pytest.approx(here / 3)
        assert call(1e-3, 0.04, 1e-3, 1000.0) > here


def test_standing_time_is_a_factor_of_three_either_way() -> None:
    low, high = foam.standing_time_range_s(0.04, 2e-4)
    assert high / low == pytest.approx(9.0)
    assert math.sqrt(low * high) == pytest.approx(200.0)


def test_the_range_covers_a_beer_head() -> None:
    # FOAM-TIMES (read): 206 to 300 s; a head of 3 cm, bubbles 0.5 mm, 10 % liquid, 1.5 mPa s
    velocity = foam.drainage_velocity_rigid_m_s(0.5e-3, 0.10, 1.5e-3, 1010.0)
    low, high = foam.standing_time_range_s(0.03, velocity)
    assert low < foam.BEER_HEAD_S[1]
    assert high > foam.BEER_HEAD_S[0]


@given(st.floats(0.01, 0.99), st.floats(1e-4, 1e-2))
def test_bubbles_add_up_to_the_gas(gas: float, diameter: float) -> None:
    count = beside.bubbles_per_m3(gas, diameter)
    assert count * math.pi * diameter**3 / 6 == pytest.approx(gas)
    assert count * math.pi * diameter**2 == pytest.approx(
        beside.bubble_surface_m2_m3(gas, diameter)
    )


def test_food_foams_hold_as_many_bubbles_as_the_lecture_says() -> None:
    # FOAM-LECTURE (read): 0.1 to 1 mm, 1e9 to 1e12 per m3, 0.005 to 0.05 m2/ml
    assert 9e8 < beside.bubbles_per_m3(0.5, 1e-3) < 1.1e9
    assert 9e11 < beside.bubbles_per_m3(0.5, 1e-4) < 1.1e12
    assert 1e-6 * beside.bubble_surface_m2_m3(0.5, 1e-4) == pytest.approx(0.03)


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: foam.gas_fraction(-0.1), r"overrun is -0\.1; it must be at least 0"),
        (lambda: foam.gas_fraction(math.inf), "overrun is inf"),
        (lambda: foam.overrun(1.0, 0.5), r"foam_m3 is 0\.5 m3"),
        (lambda: foam.overrun_from_weighing(0.1, 0.2), r"liquid_kg is 0\.1 kg"),
        (lambda: foam.expansion(0.0), "liquid_fraction is 0"),
        (lambda: foam.density_kg_m3(1.5, 1000.0), r"liquid_fraction is 1\.5"),
        (lambda: foam.smallest_bubble_m(1.0, 0.1), "film_m is 1 m"),
        (
            lambda: foam.equilibrium_liquid_fraction(1e-4, 1e-3, 0.07, 1000.0),
            r"liquid fraction .* 0 and 0\.01",
        ),
        (lambda: foam.drainage_velocity_rigid_m_s(1e-3, 0.5, 1e-3, 1000.0), r"0 and 0\.36"),
        (lambda: foam.minimum_overrun_to_float(math.nan, 1000.0), "nan"),
        (lambda: water.air_density_kg_m3(20.0, ATM, 1.1), r"relative_humidity is 1\.1"),
        (lambda: water.saturation_pressure_pa(-5.0), r"-5 C; .* 0 and 100 C"),
        (lambda: water.air_density_kg_m3(95.0, 60e3, 1.0), "vapour pressure"),
    ],
)
def test_out_of_range_names_all(call: object, match: str) -> None:
    assert callable(call)
    with pytest.raises(OutOfRange, match=match):
        call()
