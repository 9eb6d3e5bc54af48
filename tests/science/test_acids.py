"""The acid equilibrium: properties, ranges, and a general speciation library beside it."""

from __future__ import annotations

import math
import random
import statistics
import time
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from science import beside

from prepkit.errors import BadInput, OutOfRange, UnknownIngredient
from prepkit.science import acid_equilibrium, acids

FOOD = st.sampled_from(acids.FOOD_ACIDS)
MIXTURES = st.dictionaries(FOOD, st.floats(1e-4, 0.15), min_size=1, max_size=4)


# properties: cations of at most 0.2 mol/kg keep the ionic strength, at most 2 C with trivalent
# anions, inside the stated 0.5


@given(MIXTURES, st.floats(0.0, 0.1), st.floats(0.001, 0.1))
def test_strong_base_raises_ph(mixture: dict[str, float], cation: float, more: float) -> None:
    assert acids.ph(mixture, cation + more) > acids.ph(mixture, cation)


@given(MIXTURES, st.floats(0.0, 0.1), st.floats(0.001, 0.1))
def test_strong_anions_lower_ph(mixture: dict[str, float], cation: float, more: float) -> None:
    assert acids.ph(mixture, cation - more) < acids.ph(mixture, cation)


@given(MIXTURES, FOOD, st.floats(0.001, 0.1))
def test_more_of_an_acid_lowers_the_ph_of_a_plain_solution(
    mixture: dict[str, float], acid: str, more: float
) -> None:
    richer = {**mixture, acid: mixture.get(acid, 0.0) + more}
    # An added weak acid may also thicken the ion atmosphere; it never lifts pH beyond 0.01.
    assert acids.ph(richer) < acids.ph(mixture) + 0.01


@given(MIXTURES, st.floats(-0.1, 0.2), st.randoms(use_true_random=False))
def test_order_of_addition_is_irrelevant(
    mixture: dict[str, float], cation: float, shuffle: random.Random
) -> None:
    items = list(mixture.items())
    shuffle.shuffle(items)
    assert acids.ph(dict(items), cation) == pytest.approx(acids.ph(mixture, cation), abs=1e-9)


@given(MIXTURES, st.floats(0.0, 0.2), st.floats(0.2, 5.0), st.floats(0.1, 50.0))
def test_a_bigger_batch_has_the_same_ph(
    mixture: dict[str, float], cation: float, water_kg: float, times: float
) -> None:
    # pH follows from amounts per kg of water: any number of batches together have the pH of one
    def of_batch(size: float) -> float:
        moles = {name: size * water_kg * molality for name, molality in mixture.items()}
        water = size * water_kg
        return acids.ph({n: m / water for n, m in moles.items()}, size * water_kg * cation / water)

    assert of_batch(times) == pytest.approx(of_batch(1.0), abs=1e-6)


@given(MIXTURES, st.floats(0.0, 0.2))
def test_absent_acids_change_nothing(mixture: dict[str, float], cation: float) -> None:
    padded = dict.fromkeys(acids.FOOD_ACIDS, 0.0) | mixture
    assert acids.ph(padded, cation) == pytest.approx(acids.ph(mixture, cation), abs=1e-6)


@given(MIXTURES, st.floats(-0.1, 0.2), st.sampled_from([0.0, 5.0, 25.0, 37.0, 50.0]))
def test_the_solution_is_electrically_neutral(
    mixture: dict[str, float], cation: float, temperature_c: float
) -> None:
    solved = acids.equilibrium(mixture, cation, temperature_c)
    shares = acids.undissociated(mixture, cation, temperature_c)
    gamma = acids.activity_coefficient(1, solved.ionic_strength, temperature_c)
    t = temperature_c + 273.15
    hydrogen = 10.0**-solved.ph / gamma
    hydroxide = 10.0 ** (solved.ph - (4470.99 / t - 6.0875 + 0.01706 * t)) / gamma
    acid_charge = sum(z * m for states in shares.values() for z, m in enumerate(states))
    assert hydrogen + cation == pytest.approx(hydroxide + acid_charge, abs=2e-6)
    for name, states in shares.items():
        assert sum(states) == pytest.approx(mixture[name], rel=1e-9)


@given(MIXTURES, st.floats(0.0, 0.2))
def test_cations_at_a_ph_are_the_inverse(mixture: dict[str, float], cation: float) -> None:
    here = acids.ph(mixture, cation)
    if here < 13.0:
        assert acids.strong_cation_at_ph(mixture, here) == pytest.approx(cation, abs=2e-6)


@given(MIXTURES, st.floats(-0.1, 0.2))
@settings(max_examples=60)
def test_the_fast_solver_agrees_with_the_bracketed_one(
    mixture: dict[str, float], cation: float
) -> None:
    slope, kw = acid_equilibrium._slope_and_water(25.0)
    rows = acid_equilibrium._rows(mixture, 25.0)
    ln_h, ionic = acid_equilibrium._solve_slowly(rows, cation, slope, kw)
    fast = acids.equilibrium(mixture, cation)
    assert fast.ph == pytest.approx(-ln_h / math.log(10.0), abs=1e-5)
    assert fast.ionic_strength == pytest.approx(ionic, abs=1e-6)


def test_the_fast_solver_hardly_ever_needs_the_bracketed_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("fell back")

    monkeypatch.setattr(acid_equilibrium, "_solve_slowly", refuse)
    rng = random.Random(3)
    for _ in range(2000):
        mixture = {a: 10 ** rng.uniform(-6, -0.8) for a in rng.sample(list(acids.ACIDS), 3)}
        cation = rng.choice((0.0, 1.0, 1.0, -1.0)) * 10 ** rng.uniform(-6, -0.8)
        acids.ph(mixture, cation)


def test_the_bracketed_solver_takes_over(monkeypatch: pytest.MonkeyPatch) -> None:
    usual = acids.ph({"citric": 0.1}, 0.1)
    monkeypatch.setattr(acid_equilibrium, "_MOST_PASSES", 1)
    assert acids.ph({"citric": 0.1}, 0.1) == pytest.approx(usual, abs=1e-6)


def test_water_alone_is_neutral() -> None:
    # half of pKw 13.996 at 25 C
    assert acids.ph({}) == pytest.approx(6.998, abs=0.005)
    assert acids.ph({}, 0.1) == pytest.approx(12.88, abs=0.03)  # 0.1 mol/kg NaOH, textbook


def test_leaving_out_activities_would_fail_the_buffer_standards(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # The standards must be able to tell: an ideal model is 0.11 to 0.34 off.
    cases = [({"citric": 0.05}, 0.05, 3.776), ({"phosphoric": 0.05}, 0.075, 6.865)]
    monkeypatch.setattr(acid_equilibrium, "_inverse_gamma", lambda _slope, _ionic: 1.0)
    for mixture, cation, certified in cases:
        assert acids.ph(mixture, cation) - certified > 0.1


# temperature


@pytest.mark.parametrize(
    ("temperature_c", "certified"), [(0.0, 3.2205), (5.0, 3.198), (20.0, 3.142), (50.0, 3.095)]
)
def test_first_constant_of_citric_acid(temperature_c: float, certified: float) -> None:
    # CITRIC-NACL-KCL, an equation independent of ours
    assert acids.pka("citric", temperature_c)[0] == pytest.approx(certified, abs=0.005)


def test_a_citric_solution_hardly_moves_with_temperature() -> None:
    five_percent = {"citric": 50.0 / 192.124 / 0.95}
    assert abs(acids.ph(five_percent, 0.0, 5.0) - acids.ph(five_percent, 0.0, 25.0)) < 0.05


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


@pytest.mark.parametrize("strength", [0.49, 0.51])
def test_ionic_strength_limit(strength: float) -> None:
    # salt alone: the strong ions are half of it, the acid's own anion the other half
    acid = {"acetic": strength + 0.3}
    if strength < 0.5:
        assert acids.ionic_strength(acid, strength) == pytest.approx(strength, abs=0.001)
    else:
        with pytest.raises(OutOfRange):
            acids.ionic_strength(acid, strength)


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


def test_stated_error_grows() -> None:
    assert acids.ph_error(0.099) == 0.05
    assert acids.ph_error(0.1) == 0.1
    assert acids.ph_error(0.05, 0.3) == 0.05
    assert acids.ph_error(0.05, 0.31) == 0.1


def test_alcohol_and_minerals_are_brackets() -> None:
    low, point, high = acids.food_acid_pk_shift(0.10)
    assert 0.0 < low < point < high < acids.ethanol_pk_shift(0.11)
    plain = acids.equilibrium({"lactic": 0.1}).ph
    assert 0.4 * point < acids.equilibrium({"lactic": 0.1}, pk_shift=point).ph - plain < point
    found = acids.strong_cations_mol(1e-4, 1e-6, 1e-5, 1e-5)
    assert found.low < found.point < found.high
    assert found.point == pytest.approx(0.5 * (found.low + found.high))


# speed


def test_a_solve_is_fast() -> None:
    # The target is 50 microseconds in the median on an idle machine; four times that here, since
    # the machine of a test run is seldom idle. The benchmark has the strict figure.
    mixture, times = {"citric": 0.26, "malic": 0.03, "ascorbic": 0.002}, []
    for _ in range(300):
        start = time.perf_counter()
        acids.ph(mixture, 0.035)
        times.append(time.perf_counter() - start)
    assert statistics.median(times) < 200e-6


# a general speciation library

NAME_IN_LIBRARY = {
    "citric": "Cit",
    "malic": "Malate",
    "tartaric": "Tartrate",
    "lactic": "Lactate",
    "acetic": "Acetate",
    "phosphoric": "P",
    "succinic": "Succinat",
    "fumaric": "Fumarate",
    "ascorbic": "Ascorbate",
}
# Acids that its sit.dat lacks, with the constants of our table.
ADDED = """
SOLUTION_MASTER_SPECIES
Tartrate Tartrate-2 2 Tartrate 148.071
Malate Malate-2 2 Malate 132.071
Lactate Lactate- 1 Lactate 89.070
Fumarate Fumarate-2 2 Fumarate 114.056
Ascorbate Ascorbate- 1 Ascorbate 175.116
SOLUTION_SPECIES
Tartrate-2 = Tartrate-2
  log_k 0
H+ + Tartrate-2 = HTartrate-
  log_k 4.366
2 H+ + Tartrate-2 = H2Tartrate
  log_k 7.402
Malate-2 = Malate-2
  log_k 0
H+ + Malate-2 = HMalate-
  log_k 5.0956
2 H+ + Malate-2 = H2Malate
  log_k 8.5554
Lactate- = Lactate-
  log_k 0
H+ + Lactate- = HLactate
  log_k 3.86
Fumarate-2 = Fumarate-2
  log_k 0
H+ + Fumarate-2 = HFumarate-
  log_k 4.602
2 H+ + Fumarate-2 = H2Fumarate
  log_k 7.697
Ascorbate- = Ascorbate-
  log_k 0
H+ + Ascorbate- = HAscorbate
  log_k 4.10
"""
# Our constants in place of the library's own, and its alkali phosphate pairs out of reach.
OUR_CONSTANTS = """
SOLUTION_SPECIES
H+ + Cit-3 = H(Cit)-2
  log_k 6.396
2 H+ + Cit-3 = H2(Cit)-
  log_k 11.157
3 H+ + Cit-3 = H3(Cit)
  log_k 14.285
H+ + Acetate- = HAcetate
  log_k 4.756
H+ + Succinat-2 = H(Succinat)-
  log_k 5.636
2 H+ + Succinat-2 = H2(Succinat)
  log_k 9.843
H+ + H2(PO4)- = H3(PO4)
  log_k 2.148
- H+ + H2(PO4)- = HPO4-2
  log_k -7.198
K+ - H+ + H2(PO4)- = K(HPO4)-
  log_k -40
Na+ - H+ + H2(PO4)- = Na(HPO4)-
  log_k -40
Na+ + H2(PO4)- = NaH2PO4
  log_k -40
"""


def _library(*texts: str) -> Any:
    phreeqc = pytest.importorskip("phreeqc")
    library = phreeqc.Phreeqc()
    assert library.LoadBuiltInDatabase("sit.dat") == 0
    for text in texts:
        assert library.RunString(text) == 0, library.GetErrorString()
    return library


def _library_ph(library: Any, mixture: dict[str, float], cation: str, strong: float) -> float:
    lines = ["SELECTED_OUTPUT 1", "-reset false", "-high_precision true", "-pH true"]
    lines += ["SOLUTION 1", "units mol/kgw", "temp 25", "pH 3 charge"]
    lines += [f"{NAME_IN_LIBRARY[acid]} {molality:.12g}" for acid, molality in mixture.items()]
    if strong:
        lines.append(f"{cation if strong > 0 else 'Cl'} {abs(strong):.12g}")
    assert library.RunString("\n".join([*lines, "END"])) == 0, library.GetErrorString()
    return float(library.GetSelectedOutput()["pH"][-1])


def _random_mixtures(
    among: list[str], count: int, most_neutralised: float, seed: int
) -> list[tuple[dict[str, float], str, float]]:
    """Mixtures inside the stated range; one in ten has strong anions instead of cations."""
    rng = random.Random(seed)
    found: list[tuple[dict[str, float], str, float]] = []
    while len(found) < count:
        names = rng.sample(among, rng.randint(1, 4))
        mixture = {name: 10 ** rng.uniform(-3.0, -0.5) for name in names}
        protons = sum(m * acids.ACIDS[name].equivalents for name, m in mixture.items())
        strong = protons * rng.uniform(0.0, most_neutralised)
        if rng.random() < 0.1:
            strong = -0.1 * rng.random()
        try:
            acids.ph(mixture, strong)
        except OutOfRange:
            continue
        found.append((mixture, rng.choice(("K", "Na")), strong))
    return found


def _differences(
    library: Any, mixtures: list[tuple[dict[str, float], str, float]]
) -> list[tuple[float, dict[str, float], float]]:
    return [
        (abs(acids.ph(m, strong) - _library_ph(library, m, cation, strong)), m, strong)
        for m, cation, strong in mixtures
    ]


def test_random_mixtures_agree_with_the_library() -> None:
    """250 mixtures of the five usual acids, up to the full ionic strength of 0.5.

    The library keeps its own citrate and acetate constants and specific ion interactions. Up to
    60 % of the protons are neutralised (pH 5.5): beyond, its third citrate constant, 6.36 against
    the 6.397 that was read for ours, shows by itself as 0.036 pH.
    """
    library = _library(ADDED)
    mixtures = _random_mixtures(["citric", "malic", "tartaric", "lactic", "acetic"], 250, 0.6, 11)
    assert max(acids.ionic_strength(m, strong) for m, _, strong in mixtures) > 0.4
    worst = max(_differences(library, mixtures), key=lambda item: item[0])
    assert worst[0] <= 0.03, worst


def test_random_mixtures_of_all_acids_agree_on_equal_constants() -> None:
    """250 mixtures of all food acids, up to 95 % neutralised, ionic strength to 0.5.

    Same constants on both sides, so that solver and activities alone are compared. Its pairs of
    alkali metal and phosphate, which our model does not have, are put out of reach: with them and
    its own constants the difference grows to 0.14 pH in 0.2 mol/kg of phosphate.
    """
    library = _library(ADDED, OUR_CONSTANTS)
    mixtures = _random_mixtures(list(NAME_IN_LIBRARY), 250, 0.95, 12)
    worst = max(_differences(library, mixtures), key=lambda item: item[0])
    assert worst[0] <= 0.03, worst


def test_dilute_phosphate_agrees_with_the_library_as_it_is() -> None:
    """Phosphate below 0.01 mol/kg (a cola, a juice) among the others, nothing put out of reach."""
    library = _library(ADDED)
    mixtures = _random_mixtures(["citric", "malic", "lactic", "acetic"], 60, 0.6, 13)
    rng = random.Random(14)
    with_phosphate = [({**m, "phosphoric": rng.uniform(1e-4, 0.01)}, c, s) for m, c, s in mixtures]
    inside = [case for case in with_phosphate if acids.ionic_strength(case[0], case[2]) < 0.3]
    worst = max(_differences(library, inside), key=lambda item: item[0])
    assert len(inside) > 40
    assert worst[0] <= 0.03, worst


@pytest.mark.parametrize(
    ("mixture", "cation", "strong", "in_reference"),
    [
        ({"citric": 0.05}, "K", 0.05, 3.779),
        ({"citric": 0.1}, "Na", 0.15, 4.362),
        ({"citric": 0.3}, "K", 0.0, 1.838),
    ],
)
def test_the_library_is_driven_rightly(
    mixture: dict[str, float], cation: str, strong: float, in_reference: float
) -> None:
    assert _library_ph(_library(), mixture, cation, strong) == pytest.approx(
        in_reference, abs=0.001
    )
