"""Constants in the code against general libraries of properties, one by one."""

from __future__ import annotations

import pytest
from science import beside

from prepkit import blocks
from prepkit.science import acid_equilibrium, ethanol, foam, gases, heat, keeping, sucrose

coolprop = pytest.importorskip("CoolProp.CoolProp")
safety = pytest.importorskip("chemicals.safety")
elements = pytest.importorskip("chemicals.elements")
phase_change = pytest.importorskip("chemicals.phase_change")
FLUIDS = {"n2o": "NitrousOxide", "co2": "CO2", "n2": "Nitrogen", "o2": "Oxygen", "ar": "Argon",
          "he": "Helium", "air": "Air"}  # fmt: skip
FORMULAS = {
    "citric": "C6H8O7", "malic": "C4H6O5", "tartaric": "C4H6O6", "lactic": "C3H6O3",
    "acetic": "C2H4O2", "phosphoric": "H3PO4", "succinic": "C4H6O4", "fumaric": "C4H4O4",
    "ascorbic": "C6H8O6", "phthalic": "C8H6O4", "formic": "CH2O2",
}  # fmt: skip
ETHANOL, CO2, N2O = "64-17-5", "124-38-9", "10024-97-2"


def molar(formula: str) -> float:
    return float(elements.molecular_weight(elements.nested_formula_parser(formula)))


def exposure(name: str) -> float:
    rows = blocks.blocks("exposure_limits.toml", "limit")
    return float(next(row["value"] for row in rows if row["id"] == name))


@pytest.mark.parametrize("gas", FLUIDS)
def test_constants_of_a_gas(gas: str) -> None:
    ours = gases.CONSTANTS[gas]
    props = coolprop.PropsSI
    assert ours.molar_mass_kg_mol == pytest.approx(props("M", FLUIDS[gas]), rel=5e-5)
    if gas != "air":  # a mixture: its library has no single critical point
        assert ours.critical_k == pytest.approx(props("TCRIT", FLUIDS[gas]), rel=2e-4)
        assert ours.critical_pa == pytest.approx(props("PCRIT", FLUIDS[gas]), rel=2e-3)
    if gas == "co2":  # at one atmosphere it is a solid
        assert ours.boiling_liquid_kg_m3 is None
        return
    boils = props("T", "P", 101325.0, "Q", 0, FLUIDS[gas])
    assert ours.boiling_c == pytest.approx(boils - 273.15, abs=0.02)
    liquid = props("D", "P", 101325.0, "Q", 0, FLUIDS[gas])
    assert ours.boiling_liquid_kg_m3 == pytest.approx(liquid, rel=8e-4)


def test_liquid_nitrogen() -> None:
    props = coolprop.PropsSI
    there = props("H", "P", 101325.0, "Q", 1, "Nitrogen") - props(
        "H", "P", 101325.0, "Q", 0, "Nitrogen"
    )
    assert heat.known("liquid nitrogen").latent_j_kg == pytest.approx(there, rel=2e-4)
    assert pytest.approx(806.1, abs=0.05) == 1000 * heat.LIQUID_NITROGEN_KG_L


@pytest.mark.parametrize("acid", FORMULAS)
def test_molar_mass_of_an_acid(acid: str) -> None:
    assert acid_equilibrium.ACIDS[acid].molar_mass_g_mol == pytest.approx(
        molar(FORMULAS[acid]), abs=0.006
    )


def test_molar_masses_of_salts_sugars_and_poisons() -> None:
    weighed = acid_equilibrium.WEIGHED_FORMS
    assert weighed["citric_monohydrate"][0] == pytest.approx(molar("C6H10O8"), abs=0.006)
    assert weighed["sulfuric"][0] == pytest.approx(molar("H2SO4"), abs=0.006)
    assert pytest.approx(molar("C12H22O11"), abs=0.006) == sucrose.MOLAR_MASS_G_MOL
    assert pytest.approx(molar("C2H6O"), abs=0.006) == ethanol.MOLAR_MASS_G_MOL
    hexose = keeping.SOLUTES["glucose"][0]
    assert hexose == pytest.approx(molar("C6H12O6"), abs=0.006)
    # two quinines to a sulfate with two waters; one hydrogen cyanide to an amygdalin
    quinine, salt = molar("C20H24N2O2"), molar("C40H54N4O10S")
    assert beside.quinine_in_sulfate_dihydrate() == pytest.approx(2 * quinine / salt, abs=5e-5)
    cyanide = molar("CHN") / molar("C20H27NO11")
    assert beside.hydrogen_cyanide_from_amygdalin() == pytest.approx(cyanide, rel=1e-4)


def test_limits_of_the_air_and_of_fire() -> None:
    assert exposure("co2-us-twa") == safety.TWA(CO2)[0]
    assert exposure("co2-us-stel") == safety.STEL(CO2)[0]
    assert exposure("ethanol-us-stel") == safety.STEL(ETHANOL)[0]
    assert exposure("n2o-niosh-in-use") == safety.TWA(N2O)[0]
    assert ethanol.flash_point_c(1.0) + 273.15 == pytest.approx(safety.T_flash(ETHANOL), abs=1.01)


def test_ice_and_surface_tension() -> None:
    melting = phase_change.Hfus("7732-18-5") / molar("H2O") * 1000
    assert pytest.approx(melting, rel=1e-4) == heat.MELTING_J_KG
    tension = coolprop.PropsSI("surface_tension", "T", 293.15, "Q", 0, "Water")
    assert foam.ethanol_water_surface_tension_n_m(0.0) == pytest.approx(tension, rel=2e-3)
