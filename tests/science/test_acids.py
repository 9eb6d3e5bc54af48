"""The acid equilibrium: properties, ranges, and a general speciation library beside it."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from science import beside

from prepkit.errors import BadInput, OutOfRange, UnknownIngredient
from prepkit.science import acids

FOOD = st.sampled_from(acids.FOOD_ACIDS)


# properties: cations of at most 0.2 mol/kg keep the ionic strength, at most 2 C with trivalent
# anions, inside the stated 0.5


# temperature


# titration


@pytest.mark.parametrize(
    ("acid", "ph_end", "protons"),
    [
        ("citric", 7.0, 2.935),
        ("citric", 8.1, 2.995),
        ("succinic", 7.0, 1.977),
        ("succinic", 8.2, 1.999),
        ("malic", 8.2, 2.0),
        ("tartaric", 8.1, 2.0),
        ("lactic", 8.2, 1.0),
        ("acetic", 8.2, 1.0),
        ("phosphoric", 8.1, 1.937),
        ("phosphoric", 8.3, 1.960),
    ],
)
def test_protons_titrated(acid: str, ph_end: float, protons: float) -> None:
    # computed elsewhere by the same equations: guards against change only
    assert acids.protons_titrated(acid, ph_end) == pytest.approx(protons, abs=0.006)


@given(
    st.dictionaries(FOOD, st.floats(0.01, 1.0), min_size=1, max_size=3),
    st.floats(0.05, 1.0),
    st.floats(0.0, 0.1),
    st.sampled_from([7.0, 8.1, 8.2, 8.3]),
)
def test_acids_from_titration_titrate_again(
    shares: dict[str, float], titrated: float, cation: float, ph_end: float
) -> None:
    found = beside.acids_from_titration(titrated, shares, cation, ph_end)
    again = acids.titratable_acidity_eq_kg(found, cation, ph_end)
    assert again == pytest.approx(titrated, rel=1e-6)
    whole, parts = sum(found.values()), sum(shares.values())
    for name, share in shares.items():
        assert found[name] / whole == pytest.approx(share / parts, rel=1e-9)


def test_potassium_is_counted_once() -> None:
    # Lemon juice: total citrate 4.64 g, of which 4.42 titrate; going back must find 4.64.
    water_kg, cation_eq = 0.09231, 0.00347
    titrated = 4.42 / 64.041 / water_kg
    found = beside.acids_from_titration(titrated, {"citric": 1.0}, cation_eq / water_kg)
    assert found["citric"] * 192.124 * water_kg == pytest.approx(4.64, abs=0.03)
    wrong = acids.ph({"citric": 4.42 / 192.124 / water_kg}, cation_eq / water_kg)
    right = acids.ph(found, cation_eq / water_kg)
    assert right < wrong


@pytest.mark.parametrize(
    ("acid", "as_acid", "factor"),
    [
        ("tartaric", "citric", 0.8534),
        ("malic", "citric", 0.9552),
        ("acetic", "citric", 1.0664),
        ("lactic", "citric", 0.711),
        ("citric", "tartaric", 1.1718),
        ("citric", "malic", 1.0469),
        ("citric_monohydrate", "citric", 0.9143),
    ],
)
def test_conversions(acid: str, as_acid: str, factor: float) -> None:
    assert acids.equivalent_factor(acid, as_acid) == pytest.approx(factor, abs=1e-4)
    assert acids.equivalent_factor(as_acid, acid) * factor == pytest.approx(1.0, abs=2e-4)


def test_a_titration_of_an_alkaline_liquid_is_negative() -> None:
    assert acids.titratable_acidity_eq_kg({"citric": 0.01}, 0.1) < 0.0


# stock


@pytest.mark.parametrize(
    ("label", "acts", "monomer"),
    [(0.10, 0.0996, 0.0991), (0.50, 0.481, 0.464), (0.80, 0.707, 0.626), (0.90, 0.735, 0.601)],
)
def test_lactic_acid_acts_weaker_than_its_label(label: float, acts: float, monomer: float) -> None:
    # VU-2005 constant; computed elsewhere
    assert acids.lactic_acts_as(label) == pytest.approx(acts, abs=0.001)
    assert beside.lactic_monomer(label) == pytest.approx(monomer, abs=0.001)


@given(st.floats(0.0, 0.95))
def test_lactic_acid_never_acts_stronger_than_its_label(label: float) -> None:
    assert 0.0 <= beside.lactic_monomer(label) <= acids.lactic_acts_as(label) <= label


@given(st.floats(0.0, 0.85))
def test_phosphoric_acid_has_one_density(mass_fraction: float) -> None:
    from prepkit.science import solution

    whole = solution.density_kg_m3({"phosphoric": mass_fraction})
    assert acids.density_kg_m3("phosphoric", mass_fraction) == whole


def test_density_between_rows_is_within_its_error() -> None:
    # Leave one row out, go straight in specific volume over it, and look at what is missed.
    from prepkit.science.acids import DENSITY

    for acid, rows in DENSITY.items():
        for (w0, r0), (w1, r1), (w2, r2) in zip(rows, rows[1:], rows[2:], strict=False):
            v = 1.0 / r0 + (1.0 / r2 - 1.0 / r0) * (w1 - w0) / (w2 - w0)
            # over double the step the miss is four times as large
            assert abs(1.0 / v - r1) / 4.0 <= acids.DENSITY_ERROR[acid]


@given(FOOD)
def test_solubility_rises_with_temperature(acid: str) -> None:
    low, high = acids.solubility_range_c(acid)
    steps = [low + (high - low) * n / 10.0 for n in range(11)]
    found = [acids.solubility_mass_fraction(acid, t) for t in steps]
    assert found == sorted(found)
    assert all(0.0 < value <= 1.0 for value in found)


@pytest.mark.parametrize(
    ("grams_per_kg", "ratio"), [(1.0, 0.35), (2.0, 0.67), (3.0, 0.96), (5.0, 1.45)]
)
def test_cream_of_tartar_in_orange_juice(grams_per_kg: float, ratio: float) -> None:
    # computed elsewhere; potassium 200 mg per 100 g of juice with 88.3 g of water
    water = 0.883 * (1.0 - grams_per_kg / 1000.0)
    mixture = {
        "citric": 9.2 / 192.124 / 0.883,
        "malic": 1.8 / 134.087 / 0.883,
        "tartaric": grams_per_kg / 150.087 / water,
    }
    assert acids.cream_of_tartar_ratio(mixture, 2.0 / 39.098 / 0.883) == pytest.approx(
        ratio, abs=0.05
    )


def test_no_tartaric_acid_no_cream_of_tartar() -> None:
    assert acids.cream_of_tartar_ratio({"citric": 0.1}, 0.05) == 0.0


# ranges


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: acids.ph({"citric": 0.1}, 0.0, 51.0), "temperature_c"),
        (lambda: acids.ph({"citric": 0.1}, 0.0, -0.1), "temperature_c"),
        (lambda: acids.ph({"citric": 0.1}, 0.0, math.nan), "temperature_c"),
        (lambda: acids.ph({"citric": -0.1}), "molality of citric acid"),
        (lambda: acids.ph({"citric": math.nan}), "molality of citric acid"),
        (lambda: acids.ph({"citric": math.inf}), "molality of citric acid"),
        (lambda: acids.ph({"citric": 0.1}, math.inf), "strong_cation_molality"),
        (lambda: acids.ph({"citric": 0.4}, 0.8), "ionic strength"),
        (lambda: acids.ph({"citric": 0.1}, 1e300), "ionic strength"),
        (lambda: acids.ph({"tartaric": 2e5, "phosphoric": 440.0}), "ionic strength"),
        (lambda: acids.ph({"phthalic": 1e-7, "tartaric": 6e5}, 0.02), "ionic strength"),
        (lambda: acids.ph({"lactic": 1.5e-4}, 0.3, 0.0), "alkali"),
        (lambda: acids.ph_error(0.51), "ionic_strength"),
        (lambda: acids.ph_error(0.1, 1.1), "acid_molality"),
        (lambda: acids.ethanol_pk_shift(0.649), "ethanol_mass_fraction"),
        (lambda: acids.require_medium(sugar_mass_fraction=0.51), "sugar_mass_fraction"),
        (lambda: acids.strong_cations_mol(potassium_kg=-1e-6), "potassium_kg"),
        (lambda: acids.protons_titrated("citric", 4.0), "ph_end"),
        (lambda: acids.solubility_mass_fraction("citric", 9.9), "temperature_c"),
        (lambda: acids.solubility_mass_fraction("tartaric", 4.0), "temperature_c"),
        (lambda: acids.density_kg_m3("citric", 0.31), "mass_fraction"),
        (lambda: acids.lactic_acts_as(0.96), "mass_fraction_label"),
        (lambda: beside.acceptable_daily_intake_kg("tartaric", 0.0), "body_kg"),
    ],
)
def test_outside_the_range_raises(call: Callable[[], float], argument: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        call()
    assert caught.value.argument == argument
    assert "must be" in str(caught.value)


@pytest.mark.parametrize(
    "call",
    [
        lambda: acids.ph({"boric": 0.1}),
        lambda: acids.equivalent_factor("citric", "boric"),
        lambda: acids.pka("boric"),
        lambda: acids.solubility_mass_fraction("formic", 20.0),
        lambda: acids.density_kg_m3("tartaric", 0.1),
        lambda: beside.acceptable_daily_intake_kg("citric", 70.0),
    ],
)
def test_an_unknown_acid_is_named_with_the_known(call: Callable[[], float]) -> None:
    with pytest.raises(UnknownIngredient, match=r"citric|lactic|phosphoric"):
        call()


def test_shares_of_nothing_are_refused() -> None:
    with pytest.raises(BadInput):
        beside.acids_from_titration(0.1, {"citric": 0.0})


# speed


# a general speciation library
