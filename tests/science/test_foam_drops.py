"""Drops and creaming: table, pharmacopoeia, limits, ranges."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from science import beside

from prepkit.errors import OutOfRange
from prepkit.science import foam

# HARKINS-BROWN correction table (memory): x, f
TABLE = [
    (0.30, 0.7256), (0.40, 0.6828), (0.50, 0.6515), (0.60, 0.6250), (0.70, 0.6093),
    (0.80, 0.6000), (0.85, 0.5992), (0.90, 0.5998), (1.00, 0.6098), (1.10, 0.6280), (1.20, 0.6535),
]  # fmt: skip


@pytest.mark.parametrize(("x", "f"), TABLE)
def test_correction_table(x: float, f: float) -> None:
    tolerance = 0.0035 if 0.40 <= x <= 1.15 else 0.009
    assert foam.harkins_brown_factor(x) == pytest.approx(f, abs=tolerance)


def test_pharmacopoeia_dropper() -> None:
    # USP-DROPPER (read): a 3 mm tip gives drops of water of 45 to 55 mg
    assert 45e-6 < foam.drop_mass_kg(1.5e-3, 0.0728, 998.2) < 55e-6


def test_a_drop_is_not_a_measure() -> None:
    water = foam.drop_mass_kg(1.5e-3, 0.0728, 998.2)
    limonene = foam.drop_mass_kg(1.5e-3, foam.LIMONENE_N_M, foam.LIMONENE_KG_M3)
    assert water / limonene > 2.5
    assert foam.BOTTLE_INSERT_KG / limonene > 1.7


@given(st.floats(1.2e-3, 2.2e-3), st.floats(0.025, 0.075), st.floats(750.0, 1100.0))
def test_drop_obeys_its_own_law(radius: float, tension: float, density: float) -> None:
    mass = foam.drop_mass_kg(radius, tension, density)
    x = radius / (mass / density) ** (1 / 3)
    falls = 2 * math.pi * radius * tension * foam.harkins_brown_factor(x) / foam.GRAVITY_M_S2
    assert mass == pytest.approx(falls, rel=1e-7)
    assert foam.drop_mass_kg(radius * 1.05, tension, density) > mass
    assert foam.drop_mass_kg(radius, tension * 1.05, density) > mass


def test_surface_tension_table_and_monotone() -> None:
    for mass_fraction, tension in foam.ETHANOL_WATER_N_M.items():
        assert foam.ethanol_water_surface_tension_n_m(mass_fraction) == pytest.approx(tension)
    values = [foam.ethanol_water_surface_tension_n_m(x / 50) for x in range(51)]
    assert values == sorted(values, reverse=True)


@given(st.floats(1e-7, 5e-5), st.floats(800.0, 1300.0), st.floats(5e-4, 1.0))
def test_creaming_scales(diameter: float, liquid: float, viscosity: float) -> None:
    here = foam.creaming_velocity_m_s(diameter, liquid, 845.0, viscosity)
    assert (here > 0) == (liquid > 845.0) or here == 0
    assert foam.creaming_velocity_m_s(2 * diameter, liquid, 845.0, viscosity) == pytest.approx(
        4 * here
    )
    assert foam.creaming_velocity_m_s(diameter, liquid, 845.0, 2 * viscosity) == pytest.approx(
        here / 2
    )


@given(st.floats(0.0, 1.0), st.floats(0.001, 0.05), st.floats(0.01, 5.0))
def test_oil_load_is_a_mass_balance(peel: float, oil: float, syrup: float) -> None:
    assert beside.oil_load(peel, oil, syrup) * syrup == pytest.approx(peel * oil)


def test_gum_arabic_range_is_ordered() -> None:
    low, high = foam.gum_arabic_needed_kg(0.001)
    assert 0 < low < high


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: foam.harkins_brown_factor(0.2), r"x is 0\.2; .* 0\.3 and 1\.2"),
        (lambda: foam.drop_mass_kg(0.1, 0.07, 998.0), r"tip_radius_m is 0\.1 m"),
        (lambda: foam.drop_mass_kg(5e-3, 0.015, 1500.0), r"r / V"),
        (lambda: foam.drop_mass_kg(1.5e-3, math.nan, 998.0), "nan"),
        (lambda: foam.ethanol_water_surface_tension_n_m(1.2), "mass_fraction"),
        (lambda: foam.creaming_velocity_m_s(1.0, 1000.0, 850.0, 1e-3), "diameter_m"),
        (lambda: beside.oil_load(0.1, 0.01, 0.0), "syrup_kg"),
        (lambda: beside.largest_dose(1.0, 0.0), "share"),
        (lambda: beside.kernel_at_dose_kg(0.0, 2e-8, 70.0), "amygdalin"),
    ],
)
def test_out_of_range_names_all(call: object, match: str) -> None:
    assert callable(call)
    with pytest.raises(OutOfRange, match=match):
        call()
