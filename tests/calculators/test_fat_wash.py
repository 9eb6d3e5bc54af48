"""fat-wash: balance by mass, bands, each caution from words, bad input."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import BadInput
from prepkit.registry import run

SPIRIT = "700 ml spirit 40 %"
COLD: dict[str, Any] = {"spirit": SPIRIT, "fat": "100 g butter", "temperature": "-18 C"}


def washed(**more: Any) -> Any:
    return run("fat-wash", {**COLD, **more})


def value(answer: Any, name: str) -> float:
    return float(answer.values[name].value)


def ids(answer: Any) -> set[str]:
    return {one.id for one in answer.cautions}


def test_butter_brings_its_water() -> None:
    found = washed()
    assert value(found, "water") == pytest.approx(17.9, abs=0.1)  # USDA-SR28 01145
    assert value(found, "abv") == pytest.approx(39.0, abs=0.1)
    assert value(found, "fat_in") == pytest.approx(81.11, abs=0.01)
    assert {"fat-wash-water-comes-in", "fat-wash-allergens-stay", "fat-wash-not-weighed",
            "fat-wash-warm-spirit-burns", "fat-wash-rancid"} <= ids(found)  # fmt: skip


def test_browned_and_clarified_butter_bring_none() -> None:
    for found in (washed(browned=True), washed(fat="100 g clarified butter"),
                  washed(fat="100 g coconut oil")):  # fmt: skip
        assert value(found, "abv") == pytest.approx(40.0, abs=0.03)
        assert "fat-wash-water-comes-in" not in ids(found)
    assert "fat-wash-allergens-stay" in ids(washed(fat="100 g clarified butter"))
    assert "fat-wash-allergens-stay" not in ids(washed(fat="100 g coconut oil"))


@given(butter=st.integers(10, 400), kept=st.floats(0.5, 0.99))
@settings(max_examples=25)
def test_what_goes_in_comes_out(butter: int, kept: float) -> None:
    whole = 1000 * run("blend", {"part": [SPIRIT, f"{butter} g butter"]}).product.mass_kg
    by_filter = washed(fat=f"{butter} g butter", washed=f"{kept * (whole - butter):.2f} g")
    assert value(by_filter, "mass") == pytest.approx(kept * (whole - butter), abs=0.006)
    assert value(by_filter, "mass") + value(by_filter, "off") == pytest.approx(whole)
    by_fat = washed(fat=f"{butter} g butter", fat_out=f"{value(by_filter, 'off'):.2f} g")
    assert value(by_fat, "mass") == pytest.approx(value(by_filter, "mass"), abs=0.006)
    assert value(by_fat, "abv") == pytest.approx(value(by_filter, "abv"))
    assert "fat-wash-not-weighed" not in ids(by_fat) | ids(by_filter)


@given(factor=st.integers(1, 50))
@settings(max_examples=15)
def test_it_scales(factor: int) -> None:
    one = washed()
    many = washed(spirit=f"{700 * factor} ml spirit 40 %", fat=f"{100 * factor} g butter")
    for name in ("mass", "lost", "water", "ethanol_high", "off"):
        assert value(many, name) == pytest.approx(factor * value(one, name), rel=1e-6)
    for name in ("abv", "abv_low", "solid_low", "lost_share"):
        assert value(many, name) == pytest.approx(value(one, name))


@pytest.mark.parametrize(
    ("words", "least", "most"),
    [("100 g butter", 3, 10), ("100 g peanut butter", 10, 20), ("100 g coconut milk", 3, 20),
     ("100 g cream 35 %", 3, 20), ("100 g bacon fat", 3, 10)],
)  # fmt: skip
def test_what_the_trade_loses(words: str, least: float, most: float) -> None:
    found = washed(fat=words)
    assert value(found, "lost_share") == pytest.approx((least + most) / 2)
    half = (most - least) / 2
    assert found.values["lost_share"].plus_minus == pytest.approx(half)


def test_ethanol_in_the_fat_is_a_band() -> None:
    found = washed()
    assert 0.0 <= value(found, "ethanol_low") < value(found, "ethanol_high") < 2.2
    assert value(found, "abv_low") < value(found, "abv")
    cool = washed(mixed_at="25 C")
    assert value(cool, "ethanol_high") < value(found, "ethanol_high")
    weak = washed(spirit="700 ml spirit 15 %")
    assert "ethanol_high" not in weak.values
    assert "fat-wash-too-weak-to-keep" in ids(weak)


def test_no_fat_goes_under_gas() -> None:
    for gas in ("n2o", "co2"):
        for cold in ("-18 C", "25 C"):
            found = washed(gas=gas, temperature=cold)
            assert found.verdict == "stop"
            assert "fat-wash-under-gas" in ids(found)
            assert "mass" not in found.values


@pytest.mark.parametrize(
    ("more", "caution", "there"),
    [
        ({"temperature": "20 C"}, "fat-wash-sets-badly", True),
        ({"temperature": "4 C"}, "fat-wash-sets-badly", False),
        ({"fat": "100 g bacon fat", "temperature": "15 C"}, "fat-wash-sets-badly", True),
        ({"fat": "100 g olive oil"}, "fat-wash-setting-not-known", True),
        ({"fat": ["50 g butter", "5 g sesame oil"]}, "fat-wash-setting-not-known", True),
        ({}, "fat-wash-setting-not-known", False),
        ({"fat": "100 g bacon fat"}, "fat-wash-pork", True),
        ({"fat": "100 g lard"}, "fat-wash-pork", True),
        ({}, "fat-wash-pork", False),
        ({"fat": "100 g sesame oil"}, "fat-wash-rancid-soon", True),
        ({}, "fat-wash-rancid-soon", False),
        ({"fat": "100 g peanut butter"}, "fat-wash-allergens-stay", True),
        ({"fat": "100 g sesame oil"}, "fat-wash-allergens-stay", True),
        ({"fat": "300 g cream 35 %"}, "fat-wash-emulsion", True),
        ({}, "fat-wash-emulsion", False),
        ({"fat": "1 kg coconut milk"}, "fat-wash-too-weak-to-keep", True),
        ({"fat": "1 kg coconut milk"}, "fat-wash-rancid", False),
        ({"spirit": "700 ml spirit 25 %"}, "fat-wash-freezes", True),
        ({}, "fat-wash-freezes", False),
        ({"spirit": "700 ml red wine 12 %"}, "fat-wash-warm-spirit-burns", False),
        ({"spirit": "700 ml red wine 12 %"}, "fat-wash-warm-weak-burns", True),
        ({"spirit": "700 ml red wine 12 %", "mixed_at": "30 C"}, "fat-wash-warm-weak-burns", False),
        ({"spirit": "700 ml spirit 20.5 %"}, "fat-wash-too-weak-to-keep", True),
        ({"fat": "100 g butter", "spirit": "700 ml spirit 20.7 %"}, "fat-wash-rancid", False),
        ({"fat": "100 g pecans"}, "fat-wash-rancid-soon", True),
    ],
)
def test_cautions_from_words(more: dict[str, Any], caution: str, there: bool) -> None:
    assert (caution in ids(washed(**more))) is there


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"spirit": "700 ml water"}, "is no spirit"),
        ({"spirit": "100 g butter"}, "is no spirit"),
        ({"fat": "100 g white sugar"}, "0.0 % fat"),
        ({"fat": "0 g butter"}, "amounts to 0"),
        ({"spirit": "0 ml spirit 40 %"}, "amounts to 0"),
        ({"washed": "2 kg"}, "no more can run through"),
        ({"fat_out": "50 g"}, "weigh all of the fat again"),
        ({"fat_out": "2 kg"}, "weigh all of the fat again"),
        ({"washed": "600 g", "fat_out": "110 g"}, "give one of them"),
        ({"temperature": "20 C", "mixed_at": "10 C"}, "mixed in warm and set cold"),
        ({"mixed_at": "80 C"}, "60"),
    ],
)
def test_bad_input(more: dict[str, Any], said: str) -> None:
    with pytest.raises(BadInput) as error:
        washed(**more)
    assert said in error.value.message


def test_an_end_of_a_spread_may_be_nothing() -> None:
    found = washed(fat=["100 g butter", "5 g ± 5 g bacon fat"])
    assert found.values["fat_in"].plus_minus == pytest.approx(5.0, rel=0.02)
    assert washed(fat="5 g ± 5 g butter").verdict == "care"
    assert washed(spirit="50 ml ± 50 ml spirit 40 %").verdict == "care"


def test_sweet_coconut_keeps_as_food() -> None:
    found = washed(spirit="100 ml spirit 40 %", fat="500 g cream of coconut")
    assert value(found, "abv") < 20.0
    assert "fat-wash-too-weak-to-keep" in ids(found)
