"""Sweet and sour: published figures stand in tests/published, here what must hold of any drink."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import OutOfRange, UnknownIngredient
from prepkit.registry import run
from prepkit.science import acids, sweetness

TEMPERATURES = st.floats(0.0, 60.0)


def test_invert_syrup_is_sweeter_than_sucrose_cold_and_less_sweet_warm() -> None:
    # EV3-70, worked out there with glucose at 0.74: 1.10, 1.01, 0.87, 0.77
    invert = {"glucose": 0.5, "fructose": 0.5}
    for at_c, published in ((5.0, 1.10), (18.0, 1.01), (40.0, 0.87), (60.0, 0.77)):
        found = sweetness.sweetness(invert, at_c)
        assert found.value == pytest.approx(published, abs=0.01)
        assert found.plus_minus >= 0.199 * found.value


@given(TEMPERATURES, TEMPERATURES, st.floats(0.0, 0.5))
def test_warmer_is_never_sweeter_and_sucrose_is_the_measure(
    one_c: float, other_c: float, share: float
) -> None:
    cold, warm = sorted((one_c, other_c))
    mix = {"sucrose": share, "fructose": 0.2, "citric": 0.01}
    assert sweetness.sweetness(mix, warm).value <= sweetness.sweetness(mix, cold).value
    assert sweetness.sweetness({"sucrose": share}, cold) == pytest.approx((share, 0.0))


def test_beyond_the_published_temperatures_is_refused() -> None:
    for at_c in (-0.1, 60.1):
        with pytest.raises(OutOfRange, match="temperature_c"):
            sweetness.fructose_sweetness(at_c)
    for flask in (0.0, 0.03):
        with pytest.raises(OutOfRange, match="flask_molality"):
            sweetness.sour_eq_mol("citric", flask)
    with pytest.raises(UnknownIngredient):
        sweetness.sour_eq_mol("oxalic")


@given(st.sampled_from(sorted(acids.FOOD_ACIDS)), st.floats(1e-4, 0.3), st.floats(0.0, 0.5))
def test_base_to_ph_4_4_is_between_none_and_the_full_titration(
    acid: str, molality: float, cations: float
) -> None:
    sour = sweetness.sour_eq_kg({acid: molality}, cations)
    assert sour >= 0.0
    assert sour <= max(0.0, acids.titratable_acidity_eq_kg({acid: molality}, cations)) + 1e-9
    assert sour <= sweetness.sour_eq_kg({acid: molality})


def test_a_liquid_at_or_above_ph_4_4_is_not_sour_by_this_measure() -> None:
    strong = acids.strong_cation_at_ph({"citric": 0.02}, 4.4)
    assert sweetness.sour_eq_kg({"citric": 0.02}, strong) == pytest.approx(0.0, abs=2e-4)
    assert sweetness.sour_eq_kg({"citric": 0.02}, 1.5 * strong) == 0.0


def test_the_swap_says_that_its_measures_differ() -> None:
    by_acid = {one.acid: one for one in sweetness.swaps()}
    assert by_acid["citric"][1:] == pytest.approx((1.0, 1.0, 1.0, 1.0))
    # reference page E: shown from the lowest to the highest of four published rules
    for acid, low, high in (("malic", 7.0, 10.5), ("tartaric", 6.6, 11.7), ("lactic", 4.7, 14.1)):
        assert 10 * by_acid[acid].range[0] == pytest.approx(low, abs=0.2)
        assert 10 * by_acid[acid].range[1] == pytest.approx(high, abs=0.1)
    assert by_acid["lactic"].sour < 0.6 * by_acid["lactic"].titrated
    answer = run(
        "acid-match", {"like": "lime juice", "acid": ["citric acid", "malic acid"], "make": "1 l"}
    )
    table = next(one for one in answer.tables if one.name == "swap")
    assert all(row[1] <= min(row[3:6]) <= max(row[3:6]) <= row[2] for row in table.rows)
    assert [row[0] for row in table.rows][:3] == ["citric acid", "malic acid", "tartaric acid"]


def test_a_serve_shows_both_and_goes_by_the_temperature_when_drunk() -> None:
    said = {"part": ["25 ml lemon juice", "20 ml agave syrup", "60 ml water"]}
    cold, hot = (run("serve", {**said, "served_at": at}).values for at in ("5 C", "60 C"))
    assert cold["sweetness"].value > 1.3 * hot["sweetness"].value
    assert cold["sweetness"].plus_minus > 0.15 * cold["sweetness"].value
    assert cold["sourness"].value == hot["sourness"].value > 0.5
    plain = run("serve", {"part": ["100 ml syrup 30 Bx"]}).values
    assert plain["sweetness"].value == pytest.approx(30.0, abs=0.01)
    assert "sourness" not in plain
    for shown in (cold, hot, plain):  # never a figure of taste without its spread
        for name in {"sweetness", "sourness"} & set(shown):
            assert shown[name].plus_minus >= 0.19 * shown[name].value
