"""dilute: by strength, sugar and share; published examples, bad words, cautions."""

from __future__ import annotations

from typing import Any

import pytest
from calculators.helpers_drink import assert_finite, assert_same, assert_scales, ids, value
from hypothesis import given, settings
from hypothesis import strategies as st
from published.rows import load as load_rows

from prepkit.errors import BadInput
from prepkit.model import Answer
from prepkit.registry import run

PUBLISHED = {row.id: row for row in load_rows("ethanol")}


def dilute(part: Any, **more: Any) -> Answer:
    return run("dilute", {"part": part, **more})


def near(found: float, row_id: str) -> None:
    row = PUBLISHED[row_id]
    assert abs(found - row.value) <= row.tolerance


def test_published_examples() -> None:
    strong = dilute("1000 ml spirit 96 %", to_strength="40 %")
    near(value(strong, "diluent_mass"), "SPH-031a")
    near(value(strong, "diluent_volume"), "SPH-031b")
    near(value(dilute("1 l spirit 60 %", to_strength="40 %"), "diluent_mass"), "SPH-032")
    # 27-CFR-30 30.66: 100 gallons of 112 proof to 100 proof
    near(value(dilute("1 l spirit 112 us proof", to_proof=100), "us_water"), "SPH-022")


def test_alcoholometer_is_corrected_for_temperature() -> None:
    # SPH-036: reads 40.0 at 25 C, true 38.0
    read = dilute(
        "1 l spirit 45 %", alcoholometer="40 %", alcoholometer_temperature="25 C",
        dilution="0 %", base="start mass",
    )  # fmt: skip
    near(value(read, "abv"), "SPH-036")


def test_adding_volumes_is_too_little() -> None:
    answer = dilute("1 l spirit 96 %", to_strength="40 %")
    assert value(answer, "naive_diluent") == pytest.approx(1400.0)
    assert value(answer, "naive_diluent") < value(answer, "diluent_volume")
    assert value(answer, "naive_abv") > 41.0
    assert value(answer, "volume") == pytest.approx(2400.0)  # the ethanol fixes it


def test_strength_at_20_c_and_proof_at_60_f_are_kept_apart() -> None:
    by_strength = dilute("1 l spirit 60 %", to_strength="40 %")
    by_proof = dilute("1 l spirit 60 %", to_proof=80)
    assert value(by_strength, "us_proof") == pytest.approx(79.86, abs=0.02)  # SPH-018
    assert value(by_proof, "us_proof") == pytest.approx(80.0)
    assert value(by_proof, "abv") == pytest.approx(40.07, abs=0.01)


@settings(max_examples=30, deadline=None)
@given(st.floats(20.0, 95.0), st.floats(0.1, 0.95), st.floats(0.1, 20.0))
def test_mass_and_ethanol_are_conserved(abv: float, share: float, litres: float) -> None:
    answer = dilute(f"{litres!r} l spirit {abv:.3f} %", to_strength=f"{abv * share!r} % vol")
    parts = answer.tables[0].rows
    assert value(answer, "mass") == pytest.approx(sum(float(row[1] or 0) for row in parts))
    assert value(answer, "ethanol") == pytest.approx(
        litres * 789.24 * float(f"{abv:.3f}") / 100, rel=1e-4
    )
    assert value(answer, "abv") == pytest.approx(abv * share, rel=1e-6)


@settings(max_examples=20, deadline=None)
@given(st.floats(5.0, 35.0), st.floats(20.0, 350.0))
def test_both_strength_and_sugar_are_met(abv: float, sugar: float) -> None:
    answer = dilute("1 l spirit 70 %", to_strength=f"{abv!r} %", to_sugar=f"{sugar!r} g/l")
    assert value(answer, "abv") == pytest.approx(abv, rel=1e-6)
    assert value(answer, "sugar_g_l") == pytest.approx(sugar, rel=1e-6)


def test_sugar_level_by_water_and_by_sugar() -> None:
    down = dilute("1 kg syrup 65 Bx", to_sugar="50 % w/w")
    assert value(down, "diluent_mass") == pytest.approx(300.0)  # 650 g sugar in 1300 g
    up = dilute("1 kg syrup 50 Bx", to_sugar="60 % w/w", sweetener="white sugar")
    assert value(up, "sweetener_mass") == pytest.approx(250.0, rel=0.002)  # 750 in 1250 g


@pytest.mark.parametrize(
    ("base", "grams"),
    [("start mass", 250.0), ("final mass", 1000 / 3)],
)
def test_share_always_has_its_base(base: str, grams: float) -> None:
    answer = dilute("1 kg syrup 50 Bx", dilution="25 %", base=base)
    assert value(answer, "diluent_mass") == pytest.approx(grams)


def test_share_of_volumes() -> None:
    start = dilute("1 l spirit 40 %", dilution="25 %", base="start volume")
    assert value(start, "diluent_volume") == pytest.approx(250.0)
    assert value(start, "of_start_volume") == pytest.approx(25.0)
    final = dilute("1 l spirit 40 %", dilution="25 %", base="final volume")
    assert value(final, "of_final_volume") == pytest.approx(25.0)
    assert value(final, "diluent_volume") > 250.0


def test_scales_and_knows_no_units() -> None:
    words = {"to_strength": "24 %", "to_sugar": "100 g/l", "serve": "90 ml"}
    one = dilute("1 l spirit 60 %", **words)
    assert_scales(one, dilute("2.5 l spirit 60 %", **words), 2.5)
    metric = dilute("453.59237 g spirit 60 %", to_strength="40 %")
    assert_same(metric, dilute("16 oz wt spirit 60 %", to_strength="40 %"))
    assert_finite(one)


@pytest.mark.parametrize(
    ("part", "words", "says"),
    [
        ("1 l spirit 30 %", {"to_strength": "40 %"}, "strongest part"),
        (["1 l spirit 30 %", "50 ml spirit 60 %"], {"to_strength": "40 %"}, "take more of"),
        ("1 l orange liqueur 40 %", {"alcoholometer": "25 %", "to_strength": "20 %"}, "floating"),
        ("1 l spirit 60 %", {"dilution": "25 %"}, "of what"),
        ("1 l spirit 60 %", {}, "needs an aim"),
        ("1 l spirit 60 %", {"to_strength": "40 %", "to_proof": 80}, "takes one of"),
        ("1 l spirit 60 %", {"to_strength": "40 C"}, "strength is needed"),
        ("1 l spirit 60 %", {"to_strength": "0 % vol"}, "more than 0"),
        ("1 l spirit 60 %", {"to_strength": "nan % vol"}, "not a finite number"),
        ("1 kg syrup 60 Bx", {"to_sugar": "0 g/l"}, "above 0"),
        ("1 l spirit 60 %", {"to_strength": "20 %", "diluent": "spirit 40 %"}, "diluent"),
        ("1 l spirit 60 %", {"dilution": "100 %", "base": "final volume"}, "less than 99"),
        ("1 kg orange liqueur 40 %", {"to_strength": "30 %", "to_sugar": "50 g/l"}, "already"),
    ],
)
def test_bad_words_get_one_useful_sentence(part: Any, words: dict[str, Any], says: str) -> None:
    with pytest.raises(BadInput) as error:
        dilute(part, **words)
    assert says in str(error.value)
    assert str(error.value).count(". ") == 0


def test_cautions_come_past_their_limit_only() -> None:
    assert "dilute-strong-spirit-burns" in ids(dilute("1 l spirit 50 %", to_strength="20 %"))
    assert "dilute-strong-spirit-burns" not in ids(dilute("1 l spirit 49.5 %", to_strength="20 %"))
    assert "dilute-warms" in ids(dilute("1 l spirit 96 %", to_strength="40 %"))
    assert "dilute-warms" not in ids(dilute("1 l spirit 40 %", to_strength="38 %"))
    sweet = dilute("1 l orange liqueur 40 %", to_strength="20 %")
    assert "dilute-no-floating-scale" in ids(sweet)
    assert "dilute-no-floating-scale" not in ids(dilute("1 l spirit 40 %", to_strength="20 %"))
    assert sweet.verdict == "clear"
