"""dose: weight of drops, doses found and checked by composing the drink, what a scale can do."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest

from prepkit.errors import BadInput, PrepkitError
from prepkit.mixture import Mixture
from prepkit.model import Answer
from prepkit.pantry import Pantry
from prepkit.registry import load, run

DRINK = ["120 ml water", "30 ml syrup 65 Bx"]
BLEND = ["2 parts citric acid", "1 part malic acid"]


def dose(**said: Any) -> Answer:
    usual: dict[str, Any] = {"stock": BLEND, "strength": "20 % w/w", "into": DRINK}
    return run("dose", {**usual, **said})


def value(answer: Answer, name: str) -> float:
    return answer.values[name].value


def ids(answer: Answer) -> set[str]:
    return {caution.id for caution in answer.cautions if not caution.standing}


def drink() -> Mixture:
    return Mixture.total(Pantry().part(words).mixture for words in DRINK)


def test_drop_of_water_from_a_standard_tip() -> None:
    # OLE-12: 47.5 mg from a 3 mm tip; the pharmacopoeia asks for 45 to 55 mg
    answer = dose(stock="water", strength=None, amount="1 drop")
    assert value(answer, "drop_mass") == pytest.approx(47.5, abs=1.5)


def test_drop_of_spirit_is_far_smaller() -> None:
    # OLE-13: ethanol 13.4 mg from the same tip; spirit of 40 % vol lies between
    answer = dose(stock="spirit 40 %", strength=None, amount="1 drop")
    assert 13.4 < value(answer, "drop_mass") < 30.0


def test_drop_of_an_essential_oil_is_its_own() -> None:
    # OLE-14: limonene 16.8 mg from a 3 mm tip; OLE-15: 33 mg +- 10 from the insert of a bottle
    answer = dose(stock="lemon oil", strength=None, amount="10 drops")
    assert value(answer, "drop_mass") == pytest.approx(16.8, abs=1.0)
    assert value(answer, "drop_least") == pytest.approx(value(answer, "drop_mass") / 2.0)
    assert value(answer, "drop_most") == pytest.approx(43.0, abs=0.1)
    assert "dose-essential-oil-by-drops" in ids(answer)
    assert answer.verdict == "care"
    weighed = dose(stock="lemon oil", strength=None, amount="0.02 g")
    assert "dose-essential-oil-by-drops" not in ids(weighed)


def test_drop_of_an_unknown_dropper_is_within_a_factor_of_two() -> None:
    answer = dose(amount="10 drops")
    mass = answer.values["drop_mass"]
    assert value(answer, "drop_least") == pytest.approx(0.5 * mass.value)
    assert value(answer, "drop_most") == pytest.approx(2.0 * mass.value)
    assert mass.plus_minus == pytest.approx(mass.value)
    assert value(answer, "dose_least") == pytest.approx(0.5 * value(answer, "dose"))
    assert value(answer, "dose_most") == pytest.approx(2.0 * value(answer, "dose"))
    assert "dose_batch" not in answer.values  # of one serve it is the dose
    for name in ("dose", "dose_ml"):
        assert answer.values[name].plus_minus == pytest.approx(value(answer, name))
    assert answer.values["dose_drops"].plus_minus is None  # ten were counted
    most = dose(amount=f"{value(answer, 'dose_most')} g")
    reach = value(answer, "acidity") + (answer.values["acidity"].plus_minus or 0.0)
    assert reach == pytest.approx(value(most, "acidity"))
    known_tip = dose(amount="10 drops", tip="3 mm")
    assert known_tip.values["drop_mass"].plus_minus == pytest.approx(0.15 * mass.value)
    by_weight = dose(amount="0.5 g")
    assert by_weight.values["dose"].plus_minus is None
    assert by_weight.values["dose_drops"].plus_minus == pytest.approx(
        value(by_weight, "dose_drops")
    )


def test_a_concentrate_by_uncounted_drops_is_to_be_weighed() -> None:
    assert "dose-concentrate-by-drops" in ids(dose(amount="3 drops"))
    assert "dose-concentrate-by-drops" not in ids(dose(amount="3 drops", strength="5 % w/w"))
    assert "dose-concentrate-by-drops" not in ids(dose(amount="0.15 g"))
    calibrated = dose(amount="3 drops", weighed_drops=20, weighed="1.1 g")
    assert "dose-concentrate-by-drops" not in ids(calibrated)


def test_a_drop_that_is_not_known_does_not_block_millilitres() -> None:
    # 85 % phosphoric acid, 1.689 g/ml (LALIBERTE-2009), is heavier than the law of drops was tried
    answer = dose(stock="phosphoric acid 85 %", strength=None, amount="0.5 ml")
    assert value(answer, "dose") == pytest.approx(0.5 * 1.689, abs=0.001)
    assert "drop_mass" not in answer.values
    assert "phosphoric-above-drinks-limit" in ids(answer)
    drop = next(step for step in answer.working if step.label == "drop")
    assert "not shown" in drop.formula
    weighed = dose(
        stock="phosphoric acid 85 %", strength=None, amount="5 drops", weighed_drops=20,
        weighed="1.4 g",
    )  # fmt: skip
    assert value(weighed, "dose") == pytest.approx(0.35)


@pytest.mark.parametrize(
    ("stock", "strength", "storage", "verdict"),
    [
        ("fumaric acid", "20 % w/w", "25 C", "stop"),
        ("fumaric acid", "0.7 % w/w", "4 C", "stop"),
        ("fumaric acid", "0.6 % w/w", "25 C", "care"),
        ("fumaric acid", "0.3 % w/w", "25 C", "clear"),
        ("citric acid", "59.3 % w/w", "20 C", "stop"),
        ("citric acid", "45 % w/w", "4 C", "care"),
    ],
)
def test_the_stock_is_judged_as_acid_solution_judges_it(
    stock: str, strength: str, storage: str, verdict: str
) -> None:
    answer = dose(stock=stock, strength=strength, storage=storage, amount="0.5 g")
    made = run(
        "acid-solution", {"acid": stock, "strength": strength, "storage": storage, "make": "1 kg"}
    )
    solubility = {
        "acid-beyond-saturation", "acid-near-saturation", "acid-solubility-unknown-cold"
    }  # fmt: skip
    assert ids(answer) & solubility == ids(made) & solubility
    assert made.verdict == verdict or "acid-stock-strong" in ids(made)
    if verdict == "stop":
        assert answer.verdict == "stop"
        assert not answer.values


def test_strength_by_volume_is_that_of_the_stock() -> None:
    by_volume = dose(stock="citric acid", strength="20 % w/v", amount="1 ml")
    made = run("acid-solution", {"acid": "citric acid", "strength": "20 % w/v", "make": "1 ml"})
    assert value(by_volume, "dose") == pytest.approx(value(made, "mass"))
    # 0.2 g in 1 ml, in the drink
    acid_g = (
        value(by_volume, "acidity") / 100.0 * (value(by_volume, "dose") + 1000 * drink().mass_kg)
    )
    assert acid_g == pytest.approx(0.2, abs=0.001)


def test_no_acidity_below_zero_is_shown() -> None:
    answer = dose(into="150 ml whole milk", amount="5 g")
    assert "acidity_before" not in answer.values
    assert value(answer, "acidity") > 0.0


def test_calibration_by_weighing() -> None:
    answer = dose(amount="10 drops", weighed_drops=20, weighed="1.1 g")
    assert value(answer, "drop_mass") == pytest.approx(55.0)
    assert value(answer, "dose") == pytest.approx(0.55)
    # one step of the scale over twenty drops
    assert answer.values["drop_mass"].plus_minus == pytest.approx(5.0)
    assert "dose-drops-not-calibrated" not in ids(answer)
    assert "dose-drops-not-calibrated" in ids(dose(amount="10 drops"))


@pytest.mark.parametrize(
    ("amount", "millilitres"),
    [("2 ml", 2.0), ("1 dash", 0.9), ("2 barspoons", 10.0), ("1 US tsp", 4.92892)],
)
def test_amounts_by_volume(amount: str, millilitres: float) -> None:
    answer = dose(amount=amount)
    assert value(answer, "dose_ml") == pytest.approx(millilitres, rel=1e-4)
    assert "dose-drops-not-calibrated" not in ids(answer)


def test_amount_by_weight() -> None:
    assert value(dose(amount="2.5 g"), "dose") == pytest.approx(2.5)


@pytest.mark.parametrize("target", ["0.3 % w/w", "0.8 % w/w", "8 g/l"])
def test_dose_for_an_acidity_composed_again(target: str) -> None:
    answer = dose(target=target)
    stock = run("acid-solution", {"acid": BLEND, "strength": "20 % w/w", "make": "1 kg"}).product
    assert stock is not None
    after = drink() + stock.of_mass(value(answer, "dose") / 1000.0)
    found = 100.0 * after.acidity_as_citric
    if target.endswith("g/l"):
        found *= after.density_kg_m3(20.0) / 100.0
    assert found == pytest.approx(float(target.split(maxsplit=1)[0]), rel=1e-6)


@pytest.mark.parametrize("target_ph", [2.4, 2.8, 3.2])
def test_dose_for_a_ph(target_ph: float) -> None:
    answer = dose(target_ph=target_ph)
    assert value(answer, "ph") == pytest.approx(target_ph, abs=1e-5)


def test_into_a_juice() -> None:
    answer = dose(into="100 g orange juice", target="1.5 % w/w")
    assert value(answer, "ph") < value(answer, "ph_before")
    assert value(answer, "acidity_before") < 1.0
    assert value(answer, "acidity") == pytest.approx(1.5, abs=1e-4)


def test_smallest_batch_that_a_scale_can_dose() -> None:
    # steps of 0.1 g within 5 %: 2 g at the least, so a 0.55 g dose needs 4 serves
    answer = dose(amount="10 drops", weighed_drops=20, weighed="1.1 g")
    assert value(answer, "smallest_batch") == 4.0
    assert value(answer, "dilute") == pytest.approx(2.0 / 0.55)
    assert "dose-too-small-for-the-scale" in ids(answer)
    batch = dose(amount="10 drops", weighed_drops=20, weighed="1.1 g", serves=4)
    assert "dose-too-small-for-the-scale" not in ids(batch)
    fewer = dose(amount="10 drops", weighed_drops=20, weighed="1.1 g", serves=3)
    assert "dose-too-small-for-the-scale" in ids(fewer)


@pytest.mark.parametrize(("scale", "within"), [("0.1 g", "5 %"), ("1 g", "2 %"), ("0.01 g", "1 %")])
def test_the_batch_is_just_large_enough(scale: str, within: str) -> None:
    answer = dose(amount="0.7 g", scale=scale, within=within)
    serves = int(value(answer, "smallest_batch"))
    step, share = float(scale.split(maxsplit=1)[0]), float(within.split(maxsplit=1)[0]) / 100.0
    assert step / (0.7 * serves) <= share * (1 + 1e-9)
    assert serves == 1 or step / (0.7 * (serves - 1)) > share


def test_doubling_the_serves_doubles_the_batch_alone() -> None:
    one, two = dose(amount="1 g", serves=6), dose(amount="1 g", serves=12)
    outputs = load("dose").result.outputs()
    for name, found in one.values.items():
        factor = 2.0 if outputs[name].extensive else 1.0
        assert two.values[name].value == pytest.approx(factor * found.value), name


def test_a_larger_dose_is_sourer() -> None:
    answers = [dose(amount=f"{ml} ml") for ml in (0.5, 1, 2, 5)]
    acidity = [value(a, "acidity") for a in answers]
    ph = [value(a, "ph") for a in answers]
    assert acidity == sorted(acidity)
    assert ph == sorted(ph, reverse=True)


def test_a_bought_concentrate_and_its_cautions() -> None:
    answer = dose(stock="lactic acid 80 %", strength=None, amount="5 drops")
    assert {"acid-lactic-concentrate", "dose-stock-is-a-concentrate"} <= ids(answer)
    assert answer.verdict == "care"


def test_json_is_finite() -> None:
    text = json.dumps(dose(amount="10 drops").to_dict(), allow_nan=False)
    assert all(math.isfinite(v.value) for v in dose(amount="3 drops").values.values())
    assert "NaN" not in text


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({}, "needs one of --amount"),
        ({"amount": "1 ml", "target": "1 % w/w"}, "needs one of --amount"),
        ({"amount": "0 drops"}, "more than 0"),
        ({"amount": "1e9 drops"}, "more than 1000 drops"),
        ({"amount": "1 l"}, "outweighs"),
        ({"amount": "3 drops", "into": "0 ml water"}, "amounts to 0"),
        ({"amount": "3 drops", "weighed_drops": 20, "weighed": "100 g"}, "5000 mg a drop"),
        ({"amount": "3 drops", "weighed_drops": 100, "weighed": "0.4 g"}, "5 to 100 mg"),
        ({"amount": "3 drops", "stock": "phosphoric acid 85 %", "strength": None}, "weigh 20"),
        ({"amount": "3 drops", "stock": "olive oil", "strength": None}, "surface tension"),
        ({"amount": "1 ml", "strength": "20 %"}, "per cent of what"),
        ({"target_ph": 5.5}, "follow a meter"),
        ({"target_ph": 1.2, "strength": "40 % w/w"}, "brought down to|more than half"),
        ({"amount": "3 C"}, "temperature"),
        ({"amount": "some"}, "start with a number"),
        ({"amount": "3 drops", "weighed": "1 g"}, "needs both"),
        ({"amount": "3 drops", "weighed_drops": 20}, "needs both"),
        ({"strength": None, "amount": "1 ml"}, "--strength"),
        ({"stock": "citric acid", "strength": None, "amount": "1 ml"}, "not a stock"),
        ({"stock": "lactic acid", "strength": None, "amount": "1 ml"}, "needs its strength"),
        ({"strength": "120 % w/w", "amount": "1 ml"}, "at most 100"),
        ({"stock": "lactic acid 80 %", "strength": "90 % w/w", "amount": "1 ml"}, "ask for less"),
        ({"target": "19 % w/w"}, "more than half"),
        ({"into": "100 g lemon juice", "target": "1 % w/w"}, "as sour as that already"),
        ({"into": "100 g lemon juice", "target_ph": 3.0}, "as sour as that already"),
        ({"stock": [], "amount": "1 ml"}, "--stock"),
        ({"amount": "1 ml", "serves": 0}, "at least 1|between 1"),
    ],
)
def test_bad_input_is_one_useful_sentence(said: dict[str, Any], sentence: str) -> None:
    with pytest.raises(PrepkitError, match=sentence.replace("(", r"\(")) as caught:
        dose(**said)
    assert isinstance(caught.value, BadInput)
    assert "\n" not in str(caught.value)
