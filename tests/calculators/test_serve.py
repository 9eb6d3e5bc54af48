"""serve: units of alcohol, caffeine, allergens by both lists, cost."""

from __future__ import annotations

from typing import Any

import pytest
from calculators.helpers_drink import assert_finite, assert_same, assert_scales, ids, value
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import BadInput
from prepkit.model import Answer, Table
from prepkit.registry import run

SOUR = ["60 ml spirit 40 %", "25 ml lemon juice", "20 ml syrup 50 Bx"]


def serve(part: Any, **more: Any) -> Answer:
    return run("serve", {"part": part, **more})


def table(answer: Answer, name: str) -> Table:
    return next(one for one in answer.tables if one.name == name)


def test_units_of_alcohol() -> None:
    # SPH-062, SPH-063: 25 ml of 40 % is one UK unit, 45 ml 14.21 g
    assert value(serve("25 ml spirit 40 %", country="uk"), "drinks") == pytest.approx(1.0, abs=0.02)
    us = serve("45 ml spirit 40 %", country="us")
    assert value(us, "ethanol") == pytest.approx(14.21, abs=0.02)
    assert value(us, "drinks") == pytest.approx(1.01, abs=0.01)
    assert [row[0] for row in table(us, "units").rows] == [
        "US standard drink", "UK unit", "WHO AUDIT drink", "Australian standard drink",
        "New Zealand standard drink", "Irish standard drink", "French standard drink",
        "Canadian standard drink",
    ]  # fmt: skip


def test_a_batch_over_its_serves_is_one_serve() -> None:
    one = serve(SOUR)
    ten = serve(["600 ml spirit 40 %", "250 ml lemon juice", "200 ml syrup 50 Bx"], serves=10)
    assert_same(one, ten, 1e-9)
    less = serve(SOUR, loss="4 %")
    assert value(less, "ethanol") == pytest.approx(0.96 * value(one, "ethanol"))
    assert value(less, "abv") == pytest.approx(value(one, "abv"))


def test_sugar_energy_and_mass() -> None:
    answer = serve("100 g syrup 50 Bx")
    assert value(answer, "mass") == pytest.approx(100.0)
    assert value(answer, "sugar_g") == pytest.approx(50.0, rel=0.01)
    assert value(answer, "energy") == pytest.approx(200.0, rel=0.01)  # 4 kcal per g of sugar
    assert value(answer, "energy_kj") == pytest.approx(836.8, rel=0.01)
    assert "drinks" not in answer.values


def test_caffeine_lines() -> None:
    # espresso of the pantry: 2.12 mg per g, so 63.6 mg in 30 g (USDA: 63 mg a shot)
    shot = serve("30 g espresso")
    assert value(shot, "caffeine") == pytest.approx(63, abs=2)
    assert not {"serve-caffeine-above-dose", "serve-caffeine-above-day"} & ids(shot)
    grams = 30 * 200 / value(shot, "caffeine")
    assert "serve-caffeine-above-dose" not in ids(serve(f"{0.999 * grams!r} g espresso"))
    dose = serve(f"{1.001 * grams!r} g espresso")
    assert "serve-caffeine-above-dose" in ids(dose)
    assert dose.verdict == "care"
    day = serve(f"{2.002 * grams!r} g espresso")
    assert day.verdict == "stop"
    assert set(day.values) == {"caffeine", "caffeine_of_dose"}


def test_allergens_by_both_lists() -> None:
    answer = serve([*SOUR, "20 g orgeat", "15 g egg white", "30 ml white wine 12 %"])
    rows = {str(row[0]): row for row in table(answer, "allergens").rows}
    assert rows["nuts: almond"][1] == "tree nuts: almond"
    assert rows["eggs"][2] == "egg white"
    sulphites = next(row for name, row in rows.items() if "sulphites" in name)
    assert sulphites[1] == "not on the list"
    assert "allergens" not in [one.name for one in serve(SOUR).tables]
    beer = serve("200 ml beer 5 %")
    row = next(row for row in table(beer, "allergens").rows if "gluten" in str(row[0]))
    assert "barley" in str(row[0])
    assert row[1] == "not on the list"  # wheat only, in the US


def test_cost() -> None:
    prices = ["18.50 per 700 ml spirit 40 %", "6 per 1 kg lemon juice", "0 per 1 kg syrup 50 Bx"]
    answer = serve(SOUR, price=prices)
    spirit = 18.50 * 60 / 700
    juice = float(table(answer, "cost").rows[1][1] or 0)
    assert value(answer, "cost") == pytest.approx(spirit + juice)
    assert juice == pytest.approx(6 * 0.0258, rel=0.02)
    some = serve(SOUR, price=prices[:1])
    assert "cost" not in some.values
    assert "serve-part-without-price" in ids(some)
    assert "serve-part-without-price" not in ids(answer)


def test_two_drinks_and_traces() -> None:
    # 28 g at 40 % vol: 88.7 ml
    assert "serve-two-drinks-in-one" in ids(serve("88.8 ml spirit 40 %"))
    assert "serve-two-drinks-in-one" not in ids(serve("88.6 ml spirit 40 %"))
    trace = serve(["200 ml orange juice", "1 ml aromatic bitters"])
    assert "serve-traces-of-alcohol" in ids(trace)
    assert "serve-traces-of-alcohol" not in ids(serve("200 ml orange juice"))


def test_scales_and_knows_no_units() -> None:
    double = ["120 ml spirit 40 %", "50 ml lemon juice", "40 ml syrup 50 Bx"]
    prices = ["20 per 700 ml spirit 40 %", "6 per kg lemon juice", "3 per kg syrup 50 Bx"]
    prices = [one.replace("per kg", "per 1 kg") for one in prices]
    assert_scales(serve(SOUR, price=prices), serve(double, price=prices), 2.0)
    assert_same(serve("56.69904625 g spirit 40 %"), serve("2 oz wt spirit 40 %"))
    answer = serve(SOUR, price=prices)
    assert_finite(answer)
    assert run("serve", answer.inputs).values["cost"].value == pytest.approx(value(answer, "cost"))


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"serves": 0}, "serves"),
        ({"serves": 2.5}, "whole number"),
        ({"country": "mars"}, "who, us, uk"),
        ({"loss": "95 %"}, "loss"),
        ({"price": "18.50"}, "write it as"),
        ({"price": "cheap per 700 ml spirit 40 %"}, "price"),
        ({"price": "18 per 700 ml gin 40 %"}, "the parts are"),
        ({"price": "-2 per 700 ml spirit 40 %"}, "zero or more"),
        ({"price": "3 per 0 g lemon juice"}, "more than nothing"),
    ],
)
def test_bad_words_get_one_useful_sentence(words: dict[str, Any], says: str) -> None:
    with pytest.raises(BadInput, match=says):
        serve(SOUR, **words)


def test_nothing_is_refused() -> None:
    with pytest.raises(BadInput, match="amounts to 0"):
        serve("0 ml lemon juice")


@pytest.mark.parametrize(
    ("part", "stop", "grams_below"),
    [  # what a stock may be, a guest must not drink
        ("lactic acid 80 %", "serve-lactic-acid-undiluted", 6),
        ("phosphoric acid 85 %", "serve-phosphoric-acid-undiluted", 11),
        ("acetic acid 80 %", "serve-acetic-acid-undiluted", 12),
        ("citric acid", "serve-acid-is-a-stock", 9),
        ("orange oil", "serve-essential-oil-undiluted", 0.3),
    ],
)
def test_a_guest_is_served_no_concentrate(part: str, stop: str, grams_below: float) -> None:
    strong = run("serve", {"part": [f"15 g {part}", "85 g water"]})
    assert strong.verdict == "stop"
    assert stop in {caution.id for caution in strong.cautions}
    weak = run("serve", {"part": [f"{grams_below} g {part}", f"{100 - grams_below} g water"]})
    assert stop not in {caution.id for caution in weak.cautions}
    stock = run("blend", {"part": [f"15 g {part}", "85 g water"]})
    assert stock.verdict != "stop"


def test_sour_things_that_guests_do_drink() -> None:
    for part in ("30 g lemon juice", "30 g cider vinegar", "30 g lime juice"):
        assert run("serve", {"part": part}).verdict != "stop"


@pytest.mark.parametrize(("part", "verdict"), [
    ("177.0 ml spirit 40 %", "care"), ("177.9 ml spirit 40 %", "stop"),
    ("700 ml spirit 60 %", "stop"), ("40 ml spirit 40 %", "clear"),
])  # fmt: skip
def test_four_drinks_in_one_serve_stop(part: str, verdict: str) -> None:
    """56 g, four US standard drinks of 14 g in one glass, is a binge [NIAAA-BINGE]."""
    answer = run("serve", {"part": [part]})
    assert answer.verdict == verdict
    found = [one for one in answer.cautions if one.id in ("serve-binge-in-one",
                                                          "serve-two-drinks-in-one")]  # fmt: skip
    assert len(found) == (0 if verdict == "clear" else 1)
    if verdict != "clear":
        assert f"{answer.values['ethanol'].value:.0f} g" in found[0].text
    if verdict == "stop":
        assert set(answer.values) == {"ethanol", "drinks"}


@given(st.floats(0.0, 20.0), st.floats(0.0, 20.0))
def test_more_salt_is_never_milder(first: float, second: float) -> None:
    """Above 26.4 % of salt and water it does not dissolve [SALT-SOLUBILITY]."""
    less, more = sorted((first, second))
    order = ["clear", "care", "stop"]
    verdicts = [
        order.index(run("serve", {"part": [f"{kg:.4f} kg salt", "1 l water"]}).verdict)
        for kg in (less, more)
    ]
    assert verdicts[0] <= verdicts[1]
    assert verdicts[1] == 2 or more < 0.362


def test_brine_is_judged_at_its_solubility() -> None:
    inside = run("serve", {"part": ["355 g salt", "1 kg water"]})
    past = run("serve", {"part": ["370 g salt", "1 kg water"]})
    assert "salt-does-not-dissolve" not in ids(inside)
    assert "salt-does-not-dissolve" in ids(past)
    assert inside.verdict == past.verdict == "stop"  # no guest drinks either


@pytest.mark.parametrize(("name", "said", "verdict"), [
    ("serve", {"part": ["60 ml gin 40 %", "1 g nutmeg"]}, "stop"),
    ("serve", {"part": ["60 ml gin 40 %", "0.9 g nutmeg"]}, "care"),
    ("serve", {"part": ["60 ml gin 40 %", "0.9 g ± 0.2 g nutmeg"]}, "stop"),
    ("serve", {"part": ["600 ml gin 40 %", "6 g mace"], "serves": 12}, "care"),
    ("blend", {"part": ["60 ml gin 40 %", "2.2 g nutmeg"], "serves": 1}, "stop"),
    ("blend", {"part": ["60 ml gin 40 %", "5 ml lemon oil"], "serves": 1}, "stop"),
    ("layer", {"layer": ["30 ml gin 40 %", "30 ml lemon oil"]}, "stop"),
    ("warm", {"hot": "150 ml black coffee at 60 C", "part": "1 g nutmeg"}, "stop"),
])  # fmt: skip
def test_spice_and_oil_by_the_spoon(name: str, said: dict[str, object], verdict: str) -> None:
    got = run(name, said)
    assert got.verdict == verdict
    ids = {caution.id for caution in got.cautions if caution.severity == "stop"}
    assert ids <= {"nutmeg-by-the-spoon", "serve-essential-oil-undiluted"}
