"""acid-solution: strengths, grades, ratios, what dissolves, what is said about it."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import BadInput, PrepkitError
from prepkit.model import Answer
from prepkit.registry import load, run
from prepkit.science import acids

BLEND = ["2 parts citric acid", "1 part malic acid"]


def stock(acid: Any, strength: str = "6 % w/w", make: str = "1 kg", **more: Any) -> Answer:
    return run("acid-solution", {"acid": acid, "strength": strength, "make": make, **more})


def value(answer: Answer, name: str) -> float:
    return answer.values[name].value


def weighed(answer: Answer) -> dict[str, float]:
    table = next(table for table in answer.tables if table.name == "weigh")
    return {str(row[1]): float(row[2] or 0.0) for row in table.rows}


def ids(answer: Answer) -> set[str]:
    return {caution.id for caution in answer.cautions if not caution.standing}


# by hand


def test_blend_by_weight() -> None:
    found = weighed(stock(BLEND))
    assert found == pytest.approx({"water": 940.0, "citric acid": 40.0, "malic acid": 20.0})


def test_per_cent_by_volume_holds_that_much_in_a_litre() -> None:
    answer = stock("citric acid", "10 % w/v", "1 l")
    assert weighed(answer)["citric acid"] == pytest.approx(100.0, rel=1e-6)
    # CRC102 (read): 9.6 % w/w citric acid lies between 1.0189 (5 %) and 1.0402 (10 %)
    assert 1030.0 < value(answer, "density") < 1041.0


def test_density_is_the_published_one() -> None:
    # CRC102 (read): 10 % citric acid 1.0402 g/ml; ACD-49: 10 % phosphoric acid 1.0531
    assert value(stock("citric acid", "10 % w/w"), "density") == pytest.approx(1040.2, abs=0.5)
    found = value(stock("phosphoric acid 85 %", "10 % w/w"), "density")
    assert found == pytest.approx(1053.1, abs=1.0)


def test_no_refractometer_figure_that_rests_on_another_acid() -> None:
    answer = stock("phosphoric acid 85 %", "10 % w/w")
    assert "refractometer" not in answer.values
    said = next(step.formula for step in answer.working if step.label == "refractometer")
    assert "no refractive index of it was read" in said
    assert "refractometer" in stock("phosphoric acid 85 %", "0.9 % w/w").values
    assert "refractometer" in stock("citric acid", "10 % w/w").values


def test_monohydrate_needs_more_and_less_water() -> None:
    # ACD-42: 10.0 g monohydrate are 9.143 g anhydrous
    found = weighed(stock("citric acid monohydrate", "9.143 % w/w"))
    assert found["citric acid monohydrate"] == pytest.approx(100.0, abs=0.05)
    assert found["water"] == pytest.approx(900.0, abs=0.05)


@pytest.mark.parametrize(("grade", "grams"), [("80 %", 125.0), ("88 %", 113.636)])
def test_lactic_acid_goes_by_its_label(grade: str, grams: float) -> None:
    answer = stock(f"lactic acid {grade}", "10 % w/w")
    assert weighed(answer)[f"lactic acid {grade}"] == pytest.approx(grams, abs=0.01)
    # ACD-39: 88 % acts at once as 73.4 %
    if grade == "88 %":
        ratio = value(answer, "acidity_at_first") / value(answer, "acidity")
        assert ratio == pytest.approx(73.4 / 88.0, abs=0.02)


@pytest.mark.parametrize(("grade", "grams"), [("75 %", 66.67), ("85 %", 58.82)])
def test_phosphoric_acid_goes_by_its_assay(grade: str, grams: float) -> None:
    answer = stock(f"phosphoric acid {grade}", "5 % w/w")
    assert weighed(answer)[f"phosphoric acid {grade}"] == pytest.approx(grams, abs=0.01)
    # ACD-45b: 1.95 protons to pH 8.2, ACD-45a 1.52 to pH 7
    eq = value(answer, "acidity") / 64.041
    assert eq / (5.0 / 97.994) == pytest.approx(1.95, abs=0.03)
    to_seven = stock(f"phosphoric acid {grade}", "5 % w/w", end_point=7.0)
    assert value(to_seven, "acidity") / 64.041 / (5.0 / 97.994) == pytest.approx(1.52, abs=0.03)


def test_volume_of_strong_phosphoric_acid() -> None:
    # LALIBERTE-2009 (read): 85 % is 1.689 g/ml
    answer = stock("phosphoric acid 85 %", "10 % w/w")
    row = next(t for t in answer.tables if t.name == "weigh").rows[1]
    assert float(row[2] or 0) / float(row[3] or 0) == pytest.approx(1.689, abs=0.001)


def test_acidity_in_every_convention() -> None:
    # ACD-41 and the equivalent weights: as citric x 1.1718 tartaric, x 1.0469 malic
    answer = stock("citric acid", "6 % w/w")
    rows = {str(row[0]): row for row in next(t for t in answer.tables if t.name == "acidity").rows}
    citric = float(rows["citric acid"][1] or 0)
    assert citric == pytest.approx(6.0, abs=0.01)
    assert float(rows["tartaric acid"][1] or 0) / citric == pytest.approx(1.1718, abs=1e-4)
    assert float(rows["malic acid"][1] or 0) / citric == pytest.approx(1.0469, abs=1e-4)
    assert float(rows["lactic acid"][1] or 0) / citric == pytest.approx(90.078 / 64.041, abs=1e-4)
    per_litre = float(rows["citric acid"][3] or 0)
    assert per_litre == pytest.approx(10.0 * float(rows["citric acid"][2] or 0))
    assert value(answer, "acidity_meq") == pytest.approx(1000.0 * per_litre / 64.041, rel=1e-4)


@pytest.mark.parametrize(
    ("ratio_by", "unit"),
    [("mass", 1.0), ("titratable", 67.043 / 64.041), ("molarity", 134.087 / 192.124)],
)
def test_ratio_by(ratio_by: str, unit: float) -> None:
    found = weighed(stock(["1 part citric acid", "1 part malic acid"], ratio_by=ratio_by))
    assert found["malic acid"] / found["citric acid"] == pytest.approx(unit, rel=1e-4)
    assert found["malic acid"] + found["citric acid"] == pytest.approx(60.0)


@pytest.mark.parametrize("as_acid", ["citric", "tartaric", "malic", "lactic"])
def test_strength_as_titratable_acidity(as_acid: str) -> None:
    answer = stock(["tartaric acid", "lactic acid 80 %"], "5 % w/w", strength_as=as_acid)
    rows = {str(row[0]): row for row in next(t for t in answer.tables if t.name == "acidity").rows}
    assert float(rows[f"{as_acid} acid"][1] or 0) == pytest.approx(5.0, abs=0.005)


def test_ph_of_plain_acids() -> None:
    # ACD-59: 5 % citric acid 1.857; ACD-16/-24 by the published table of 0.1 mol/kg solutions
    assert value(stock("citric acid", "5 % w/w"), "ph") == pytest.approx(1.857, abs=0.03)
    # 9.0078 g of lactic acid with 1000 g of water
    tenth_molal = stock("lactic acid 80 %", "0.8927 % w/w")
    assert value(tenth_molal, "ph") == pytest.approx(2.44, abs=0.03)
    assert stock("citric acid", "5 % w/w").values["ph"].plus_minus == pytest.approx(0.05)


def test_no_ph_outside_the_model_and_the_reason_is_said() -> None:
    answer = stock("citric acid", "30 % w/w")
    assert "ph" not in answer.values
    caution = next(c for c in answer.cautions if c.id == "acid-no-ph")
    assert "must be between 0 and 1" in caution.text


# properties

AMOUNTS = st.floats(0.5, 5.0)


@given(AMOUNTS, AMOUNTS, st.floats(0.5, 25.0), st.sampled_from(["% w/w", "% w/v"]))
@settings(max_examples=30, deadline=None)
def test_mass_balance_and_the_stock_composed_again(
    citric: float, malic: float, strength: float, unit: str
) -> None:
    acid = [f"{citric:.3f} parts citric acid", f"{malic:.3f} parts malic acid"]
    answer = stock(acid, f"{strength:.3f} {unit}", "2 l")
    found = weighed(answer)
    assert sum(found.values()) == pytest.approx(value(answer, "mass"))
    assert value(answer, "mass") == pytest.approx(2.0 * value(answer, "density"))
    again = run("blend", {"part": [f"{grams:.9f} g {name}" for name, grams in found.items()]})
    product, blended = answer.product, again.product
    assert product is not None
    assert blended is not None
    assert blended.volume_20_m3 == pytest.approx(2e-3, rel=1e-6)
    assert 100.0 * blended.acidity_as_citric == pytest.approx(value(answer, "acidity"), rel=1e-6)
    in_stock = blended.of("citric", "malic")
    wanted = strength / 100.0 * (blended.mass_kg if unit == "% w/w" else 2.0)
    assert in_stock == pytest.approx(wanted, rel=1e-3)


@pytest.mark.parametrize("make", ["500 ml", "500 g"])
def test_doubling_doubles_what_is_weighed_and_nothing_else(make: str) -> None:
    one, two = stock(BLEND, make=make), stock(BLEND, make=make.replace("500", "1000"))
    outputs = load("acid-solution").result.outputs()
    for name, found in one.values.items():
        factor = 2.0 if outputs[name].extensive else 1.0
        assert two.values[name].value == pytest.approx(factor * found.value, rel=1e-9), name
    for name, grams in weighed(one).items():
        assert weighed(two)[name] == pytest.approx(2.0 * grams)


def test_same_answer_in_other_units() -> None:
    metric, us = stock(BLEND, make="453.59237 g"), stock(BLEND, make="1 lb")
    assert weighed(us) == pytest.approx(weighed(metric))
    litre, fluid = stock(BLEND, make="29.5735295625 ml"), stock(BLEND, make="1 US fl oz")
    assert weighed(fluid) == pytest.approx(weighed(litre))


def test_order_of_the_acids_does_not_matter() -> None:
    assert weighed(stock(BLEND[::-1])) == pytest.approx(weighed(stock(BLEND)))


def test_the_same_acid_twice_is_weighed_twice() -> None:
    answer = stock(["1 part citric acid", "1 part citric acid"])
    rows = next(t for t in answer.tables if t.name == "weigh").rows
    assert [row[1] for row in rows] == ["water", "citric acid", "citric acid"]
    assert sum(float(row[2] or 0) for row in rows) == pytest.approx(1000.0)


def test_spread_of_the_strength_reaches_the_weights() -> None:
    answer = stock(BLEND, "6 % w/w ± 0.1 % w/w")
    assert answer.values["water"].plus_minus == pytest.approx(1.0, abs=0.01)


def test_water_first_then_powders_then_liquids() -> None:
    answer = stock(["citric acid", "succinic acid", "lactic acid 80 %"])
    rows = next(t for t in answer.tables if t.name == "weigh").rows
    assert [row[1] for row in rows] == ["water", "succinic acid", "citric acid", "lactic acid 80 %"]


@pytest.mark.parametrize("strength", ["0.1 % w/w", "6 % w/w", "40 % w/w", "80 % w/v"])
def test_json_is_finite(strength: str) -> None:
    text = json.dumps(stock(["lactic acid 88 %"], strength).to_dict(), allow_nan=False)
    assert "Infinity" not in text


# what dissolves


def test_fumaric_acid_is_refused_beyond_what_dissolves() -> None:
    # ACD-48: 0.63 g per 100 ml at 25 C, 0.625 % w/w
    answer = stock("fumaric acid", "0.7 % w/w", storage="25 C")
    assert answer.verdict == "stop"
    assert not answer.values
    assert not answer.tables
    assert stock("fumaric acid", "0.6 % w/w", storage="25 C").verdict == "care"
    assert stock("fumaric acid", "0.3 % w/w", storage="25 C").verdict == "clear"


def test_too_much_where_it_is_known_is_too_much_colder() -> None:
    assert stock("fumaric acid", "0.7 % w/w", storage="4 C").verdict == "stop"
    assert stock("citric acid", "56 % w/w", storage="4 C").verdict == "stop"


def test_citric_acid_at_its_limit() -> None:
    # ACD-47: 59.2 % w/w at 20 C
    assert stock("citric acid", "59.3 % w/w", storage="20 C").verdict == "stop"
    near = stock("citric acid", "59.0 % w/w", storage="20 C")
    assert "acid-near-saturation" in ids(near)
    cold = stock("citric acid", "45 % w/w", storage="4 C")
    assert "acid-solubility-unknown-cold" in ids(cold)


def test_a_colder_store_is_never_milder() -> None:
    order = ["clear", "care", "stop"]
    for strength in ("30 % w/w", "52 % w/w", "60 % w/w", "68 % w/w"):
        verdicts = [
            stock("citric acid", strength, storage=f"{t} C").verdict for t in (40, 30, 20, 10, 4)
        ]
        ranks = [order.index(verdict) for verdict in verdicts]
        assert ranks == sorted(ranks)


# what is said


@pytest.mark.parametrize(
    ("acid", "strength", "expected", "absent"),
    [
        (
            "citric acid",
            "1 % w/w",
            {"citric-powder-used", "acid-reactive-metal", "acid-teeth"},
            {"acid-stock-label"},
        ),
        ("citric acid", "9.9 % w/w", {"acid-stock-label"}, {"acid-stock-irritates-eyes"}),
        ("citric acid", "10.1 % w/w", {"acid-stock-irritates-eyes"}, {"acid-stock-strong"}),
        ("citric acid", "20.1 % w/w", {"acid-stock-strong"}, set()),
        (
            "tartaric acid",
            "2.9 % w/w",
            {"acid-tartaric-powder", "acid-tartaric-intake"},
            {"acid-stock-damages-eyes"},
        ),
        ("tartaric acid", "3.1 % w/w", {"acid-stock-damages-eyes"}, set()),
        (
            "malic acid",
            "1 % w/w",
            {"malic-powder-used", "acid-malic-infants"},
            {"acid-tartaric-powder", "citric-powder-used", "tartaric-powder-used"},
        ),
        ("succinic acid", "1 % w/w", {"acid-succinic-powder"}, set()),
        ("fumaric acid", "0.3 % w/w", {"fumaric-powder-used"}, set()),
        ("ascorbic acid", "1 % w/w", set(), {"citric-powder-used"}),
        (
            "lactic acid 80 %",
            "4 % w/w",
            {"acid-lactic-concentrate", "acid-lactic-weaker-at-first"},
            {"lactic-acid-burns"},
        ),
        ("lactic acid 80 %", "5.1 % w/w", {"lactic-acid-burns"}, set()),
        (
            "lactic acid 30 %",
            "4 % w/w",
            {"acid-lactic-concentrate"},
            {"acid-lactic-weaker-at-first"},
        ),
        (
            "phosphoric acid 85 %",
            "9 % w/w",
            {"acid-phosphoric-concentrate", "acid-phosphoric-intake"},
            {"acid-stock-phosphoric-irritant"},
        ),
        ("phosphoric acid 85 %", "11 % w/w", {"acid-stock-phosphoric-irritant"}, set()),
        (
            "phosphoric acid 85 %",
            "26 % w/w",
            {"phosphoric-acid-burns"},
            {"acid-stock-phosphoric-irritant"},
        ),
        (
            "phosphoric acid 24 %",
            "5 % w/w",
            {"acid-phosphoric-irritant"},
            {"acid-phosphoric-concentrate"},
        ),
        (
            "acetic acid 99 %",
            "9 % w/w",
            {"acid-acetic-glacial"},
            {"acid-acetic-concentrate", "acid-stock-acetic-irritant"},
        ),
        (
            "acetic acid 80 %",
            "11 % w/w",
            {"acid-acetic-concentrate", "acid-stock-acetic-irritant"},
            {"acid-acetic-glacial"},
        ),
        ("acetic acid 12 %", "5 % w/w", {"acid-acetic-irritant"}, {"acid-acetic-concentrate"}),
    ],
)
def test_cautions(acid: str, strength: str, expected: set[str], absent: set[str]) -> None:
    found = ids(stock(acid, strength))
    assert expected <= found
    assert not absent & found
    assert "acid-ph-is-an-estimate" in found or "acid-no-ph" in found


def test_three_standing_lines() -> None:
    standing = [c for c in stock(BLEND).cautions if c.standing]
    assert sorted(c.kind for c in standing) == ["cryogen", "inhalation", "pressure"]


def test_a_plain_weak_stock_is_clear() -> None:
    assert stock(BLEND).verdict == "clear"


def test_every_source_is_known() -> None:
    answer = stock(["citric acid", "tartaric acid", "lactic acid 80 %"], "12 % w/w")
    keys = {source.key for source in answer.sources}
    cited = {step.source for step in answer.working} | {c.source for c in answer.cautions}
    assert cited - {""} <= keys


# bad input


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"acid": "citric acid", "strength": "6 %"}, "per cent of what"),
        ({"acid": "citric acid", "strength": "6"}, "has no unit"),
        ({"acid": "citric acid", "strength": "101 % w/w"}, "at most 100"),
        ({"acid": "citric acid", "strength": "0 % w/w"}, "more than 0"),
        ({"acid": "citric acid", "strength": "nan % w/w"}, "finite"),
        ({"acid": "citric acid", "strength": "6 C"}, "temperature"),
        ({"acid": "acid blend"}, "does not say which acids"),
        ({"acid": "6 parts acid"}, "does not say which acids"),
        ({"acid": "lactic acid"}, "lactic acid 80 %"),
        ({"acid": "phosphoric acid"}, "needs its strength"),
        ({"acid": "lactic acid 100 %"}, "from 1 to 92"),
        ({"acid": "20 g citric acid"}, "needs either --strength or --make"),
        ({"acid": "0 parts citric acid"}, "more than 0"),
        ({"acid": "citrik acid"}, "citric acid"),
        ({"acid": "lemon juice"}, "no single acid"),
        ({"acid": "trisodium citrate"}, "no single acid"),
        ({"acid": []}, "2 parts citric acid"),
        ({"acid": "lactic acid 80 %", "strength": "81 % w/w"}, "80.0 % w/w"),
        ({"acid": "lactic acid 50 %", "strength": "70 % w/v"}, "% w/v"),
        ({"acid": "citric acid monohydrate", "strength": "95 % w/w"}, "91.4 % w/w"),
        ({"make": "0 ml"}, "more than 0"),
        ({"make": "500"}, "has no unit"),
        ({"make": "5 bar"}, "pressure"),
        ({"ratio_by": "taste"}, "mass, titratable, molarity"),
        ({"storage": "60 C"}, "between 0 and 50"),
        ({"end_point": 4}, "between 6.5 and 9"),
        ({"colour": "red"}, "takes no --colour"),
    ],
)
def test_bad_input_is_one_useful_sentence(said: dict[str, Any], sentence: str) -> None:
    usual = {"acid": BLEND, "strength": "6 % w/w", "make": "500 ml"}
    with pytest.raises(PrepkitError) as caught:
        run("acid-solution", {**usual, **said})
    assert isinstance(caught.value, BadInput)
    assert sentence in str(caught.value)
    assert str(caught.value).count("\n") == 0


@pytest.mark.parametrize("left_out", ["acid", "strength", "make"])
def test_a_missing_input_is_asked_for(left_out: str) -> None:
    usual: dict[str, Any] = {"acid": BLEND, "strength": "6 % w/w", "make": "500 ml"}
    del usual[left_out]
    with pytest.raises(BadInput, match=f"needs --{left_out}"):
        run("acid-solution", usual)


def test_molality_of_the_answer_is_that_of_the_product() -> None:
    answer = stock("citric acid", "6 % w/w")
    assert answer.product is not None
    molal = 60.0 / 192.124 / 0.94
    assert answer.product.acid_molalities["citric"] == pytest.approx(molal)
    assert value(answer, "ph") == pytest.approx(acids.ph({"citric": molal}))
    assert math.isfinite(value(answer, "refractometer"))


def test_label_carries_contents_and_the_hazard_lines_of_that_strength() -> None:
    """Mixture limits: eye irritant from 10 %, so 6 % carries no H319 and 12 % does."""

    def label(strength: str) -> dict[str, str]:
        answer = run("acid-solution", {"acid": "citric acid", "strength": strength, "make": "1 kg"})
        table = next(table for table in answer.tables if table.name == "label")
        return {str(row[1]): str(row[0]) for row in table.rows}

    weak, strong = label("6 % w/w"), label("12 % w/w")
    assert any("6.00 % citric acid" in words for words in weak)
    assert not any("H319" in words for words in weak)
    assert any("H319" in words for words in strong)


@pytest.mark.parametrize(
    ("acid", "strength"),
    [
        ("citric acid", "30 % w/w"),
        ("lactic acid 80 %", "40 % w/w"),
        ("phosphoric acid 85 %", "20 % w/w"),
        ("phosphoric acid 85 %", "24 % w/w ± 2 % w/w"),
        ("citric acid", "1 % w/w"),
    ],
)
def test_the_label_bears_every_hazard_of_the_acid_in_the_answer(acid: str, strength: str) -> None:
    answer = run("acid-solution", {"acid": [acid], "strength": strength, "make": "500 ml"})
    label = next(one for one in answer.tables if one.name == "label")
    wanted = [
        (one.kind, one.text)
        for one in answer.cautions
        if (one.id.startswith("acid-stock-") or one.id.endswith("-acid-burns"))
        and not one.text.startswith("Within your ±")
    ]
    assert list(label.rows[1:-1]) == wanted
    assert (label.rows[0][0], label.rows[-1]) == ("contents", ("made on", ""))
