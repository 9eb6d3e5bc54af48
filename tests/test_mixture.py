"""The currency: masses add, readings follow, and the mixture meets the published tables."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from published.rows import load

from prepkit.errors import BadInput, OutOfRange
from prepkit.mixture import COMPONENTS, Mixture
from prepkit.pantry import Pantry

PANTRY = Pantry()
SYRUP = Mixture({"sucrose": 1.0, "water": 1.0})
ROWS = {row.id: row for topic in ("sugar", "ethanol", "acid") for row in load(topic)}

masses = st.dictionaries(
    st.sampled_from(COMPONENTS), st.floats(min_value=1e-6, max_value=10.0), min_size=1, max_size=8
)


@given(masses, masses)
def test_adding_adds_masses(a: dict[str, float], b: dict[str, float]) -> None:
    total = Mixture(a) + Mixture(b)
    assert total.mass_kg == pytest.approx(math.fsum(a.values()) + math.fsum(b.values()))


@given(masses, st.floats(min_value=1e-3, max_value=1e3))
def test_scaling_leaves_every_share(a: dict[str, float], factor: float) -> None:
    one, many = Mixture(a), Mixture(a).scaled(factor)
    for component in a:
        assert many.fraction(component) == pytest.approx(one.fraction(component))


@pytest.mark.parametrize("bad", [{"sugar": 1.0}, {"water": -1.0}, {"water": math.nan}])
def test_wrong_masses_are_refused(bad: dict[str, float]) -> None:
    with pytest.raises(BadInput):
        Mixture(bad)


def test_taking_out_more_than_there_is_is_refused() -> None:
    with pytest.raises(OutOfRange, match="water removed"):
        SYRUP.without({"water": 1.1})
    assert SYRUP.without({"water": 0.5}).mass_kg == pytest.approx(1.5)


def test_syrup_one_to_one_by_weight() -> None:
    """SUG-62: 50.00 Bx, 1.6265 L at 20 C, 614.8 g sugar per litre."""
    assert 100 * SYRUP.dissolved_solids == pytest.approx(50.0)
    assert 1000 * SYRUP.volume_20_m3 == pytest.approx(1.6265, rel=1e-3)
    assert SYRUP.of("sucrose") / SYRUP.volume_20_m3 == pytest.approx(614.8, rel=1e-3)
    assert SYRUP.refractometer_brix == pytest.approx(50.0, abs=0.05)


def test_96_percent_spirit_to_40() -> None:
    """SPH-031: 1 L of 96 % asks for 1467.9 g of water to reach 40 % vol."""
    spirit = PANTRY.part("1 l neutral spirit 96 %").mixture
    diluted = spirit + Mixture({"water": 1.4679})
    assert 100 * diluted.abv == pytest.approx(40.0, abs=0.03)


def test_contraction_of_equal_volumes() -> None:
    """SPH-029: 50 mL ethanol and 50 mL water make 96.46 mL at 20 C."""
    mixed = Mixture({"ethanol": 50e-6 * 789.24, "water": 50e-6 * 998.20})
    assert 1e6 * mixed.volume_20_m3 == pytest.approx(96.46, abs=0.05)


@pytest.mark.parametrize(
    ("words", "temperature_c", "expected", "tolerance"),
    [  # FOM-40, FOM-41, FOM-42: a published table of milk and cream (read)
        ("1 kg cream 36.6 %", 10.0, 1005.0, 2.0),
        ("1 kg skimmed milk", 20.0, 1033.0, 2.0),
        ("1 kg whole milk", 4.4, 1035.0, 2.0),
    ],
)
def test_dairy_density(words: str, temperature_c: float, expected: float, tolerance: float) -> None:
    mixture = PANTRY.part(words).mixture
    assert mixture.density_kg_m3(temperature_c) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(
    ("words", "low", "high"),
    [  # FDA list of approximate pH of foods (read), see ACD-31 and ACD-34
        ("1 kg lemon juice", 2.00, 2.60),
        ("1 kg lime juice", 2.00, 2.40),
        ("1 kg orange juice", 3.30, 4.19),
        ("1 kg grapefruit juice", 2.90, 3.25),
    ],
)
def test_juice_ph_within_the_published_range(words: str, low: float, high: float) -> None:
    assert low <= PANTRY.part(words).mixture.ph.value <= high


def test_sugar_leaves_ph_unchanged() -> None:
    """ACD-36: lemon juice with sucrose to 50 % by weight keeps its pH."""
    juice = PANTRY.part("1 kg lemon juice").mixture
    sweet = juice + Mixture({"sucrose": 0.9})
    assert sweet.ph.value == pytest.approx(juice.ph.value, abs=0.03)


def test_lemon_juice_titrates_below_its_total_acid() -> None:
    """ACD-35: 4.64 g citrate with the minerals of the table titrates as 4.42 g per 100 g."""
    juice = Mixture(
        {"water": 0.9231, "citric": 0.0464, "potassium": 103e-5, "sodium": 1e-5,
         "calcium": 6e-5, "magnesium": 6e-5}
    )  # fmt: skip
    of_100_g = 100 * juice.acidity_as_citric * juice.mass_kg
    assert of_100_g == pytest.approx(ROWS["ACD-35"].value, abs=ROWS["ACD-35"].tolerance)


@pytest.mark.parametrize(
    "words", ["1 kg spirit 40 %", "1 kg egg white", "1 kg water", "1 kg cucumber"]
)
def test_no_ph_where_the_model_does_not_hold(words: str) -> None:
    with pytest.raises(BadInput):
        _ = PANTRY.part(words).mixture.ph


@pytest.mark.parametrize("words", ["1 kg melon", "1 kg watermelon juice", "1 kg cola"])
def test_no_ph_that_is_less_sure_than_one(words: str) -> None:
    with pytest.raises(BadInput, match="calibrated meter"):
        _ = PANTRY.part(words).mixture.ph
    drink = PANTRY.part("1 kg lemon juice").mixture + PANTRY.part("100 g melon").mixture
    assert drink.ph.plus_minus < 0.4


def test_ice_and_water_activity_of_a_syrup() -> None:
    """SUG-48 and SUG-44: aw 0.935 at 50 %; 2.64 K freezing depression at 30 %."""
    assert SYRUP.water_activity.value == pytest.approx(0.935, abs=0.003)
    thin = Mixture({"sucrose": 0.3, "water": 0.7})
    assert thin.freezing_point_c == pytest.approx(-2.64, abs=0.08)


def test_allergens_tags_and_keeping_are_united() -> None:
    both = PANTRY.part("100 g cream 35 %").mixture + PANTRY.part("30 g egg white").mixture
    assert {"milk", "eggs"} <= both.allergens
    assert {"dairy", "raw-egg"} <= both.tags
    assert {"dairy", "egg"} <= both.keeps


@pytest.mark.parametrize("temperature_c", [0.0, 20.0, 40.0])
def test_specific_heat_of_water_and_syrup(temperature_c: float) -> None:
    """Water 4.18 to 4.22 kJ/(kg K); SUG-60: 50 % sucrose 3004 J/(kg K) at 20 C within 60."""
    assert Mixture({"water": 1.0}).specific_heat_j_kg_k(temperature_c) == pytest.approx(
        4190, abs=35
    )
    assert SYRUP.specific_heat_j_kg_k(20.0) == pytest.approx(3004, abs=60)


def test_what_is_made_of_a_mixture_is_made_once_for_each_work() -> None:
    made = []

    def work(of: Mixture) -> float:
        made.append(of)
        return of.mass_kg

    one = Mixture({"water": 1.0, "citric": 0.1})
    assert one.once(work) == one.once(work) == 1.1
    assert made == [one]
    assert one.scaled(2.0).once(work) == 2.2
    assert one == Mixture(dict(one.masses_kg))
