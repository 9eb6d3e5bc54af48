"""layer: published cream densities, the order by density, what makes a top float, bad input."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.calculators import layer as layers
from prepkit.calculators.layer import Layer
from prepkit.errors import PrepkitError
from prepkit.model import Answer
from prepkit.pantry import Pantry
from prepkit.registry import load, run
from prepkit.science import food

WATER_60 = "120 ml water at 60 C"


def stack(*layer: str, **more: Any) -> Answer:
    return run("layer", {"layer": list(layer), **more})


def value(answer: Answer, name: str) -> float:
    return answer.values[name].value


def ids(answer: Answer) -> set[str]:
    return {caution.id for caution in answer.cautions if not caution.standing}


def table(answer: Answer, name: str) -> tuple[tuple[Any, ...], ...]:
    return next(one for one in answer.tables if one.name == name).rows


def states(answer: Answer) -> list[str]:
    return [str(row[3]) for row in table(answer, "pairs")]


def layer(words: str, default_c: float = 20.0) -> Layer:
    return Layer.read(words, Pantry(), default_c)


# published


def test_cold_cream_on_hot_water() -> None:
    # FOM-14: cold 36 % cream needs 2.07 % on water of 60 C by the cold regression (FOM-07: 1003.5)
    answer = stack(WATER_60, "30 ml cream 36 % at 10 C")
    by = {row[0]: row[1:] for row in table(answer, "float")}
    assert by["cold creams, about 10 °C"] == pytest.approx((1003.5, 2.07), abs=0.1)
    # the largest of all relations is shown, and two points more advised
    assert value(answer, "least_overrun") == pytest.approx(max(row[1] for row in by.values()))
    assert value(answer, "advised_overrun") == pytest.approx(value(answer, "least_overrun") + 2)
    assert states(answer) == ["turns over"]
    assert {"layer-turns-over", "layer-needs-overrun"} <= ids(answer)
    # whipped just that far, the relations disagree by more than the step: nothing turns over
    just = stack(WATER_60, "30 ml cream 36 % at 10 C whipped 2.07 %")
    assert states(just) == ["too close to call"]
    assert "layer-turns-over" not in ids(just)


def test_what_is_no_cream_is_not_whipped() -> None:
    answer = stack("30 ml water", "30 ml syrup 50 Bx")
    assert states(answer) == ["turns over"]
    assert not {"least_overrun", "advised_overrun"} & set(answer.values)
    assert "layer-needs-overrun" not in ids(answer)
    assert not [one for one in answer.tables if one.name == "float"]
    assert "GUELPH-MILK-DENSITY" not in str(answer.to_dict())


def test_hotter_water_needs_more() -> None:
    # FOM-15: 3.26 % on water of 80 C
    answer = stack("120 ml water at 80 C", "30 ml cream 36 % at 10 C")
    by = {row[0]: row[2] for row in table(answer, "float")}
    assert by["cold creams, about 10 °C"] == pytest.approx(3.26, abs=0.1)


def test_warmed_cream_floats_by_itself() -> None:
    # FOM-46: a 36 % cream of 5.6 % other solids equals water of 60 C at 33.5 C; the pantry's cream
    # holds 6.1 %, which is heavier and turns a little later
    answer = stack(WATER_60, "30 ml cream 36 % at 5 C")
    assert value(answer, "equal_temperature") == pytest.approx(33.5, abs=2.0)
    assert states(stack(WATER_60, "30 ml cream 36 % at 38 C")) == ["stays"]


def test_cream_at_its_own_temperature_follows_the_dairy_table() -> None:
    # GUELPH-MILK-DENSITY (read): heavy cream 1008 at 4.4 C, 1005 at 10, 994 at 20
    for celsius, rho in ((4.4, 1008), (10, 1005), (20, 994)):
        got, error = layer(f"30 ml cream 36.6 % at {celsius} C").density()
        assert got == pytest.approx(rho, abs=4.5)
        assert error >= food.ERROR_KG_M3


def test_rich_cream_on_cold_water() -> None:
    # FOM-16: at 40.6 % fat the cold regression reaches 1000 kg/m3, so 48 % is lighter than water;
    # the step of 3 to 4 kg/m3 lies within the errors of rich cream, and that is the answer
    rich = stack("100 ml water at 10 C", "30 ml double cream 48 % at 10 C")
    assert value(rich, "margin") > 0
    assert states(rich) == ["too close to call"]
    assert states(stack("100 ml water at 10 C", "30 ml double cream 48 % at 20 C")) == ["stays"]
    assert states(stack("100 ml water at 10 C", "30 ml cream 36 % at 10 C")) == ["turns over"]


# order


POOL = ["grenadine", "orange juice", "vodka 40 %", "water", "syrup 50 Bx", "rum 60 %", "milk"]


@given(st.permutations(POOL), st.integers(2, 7))
@settings(deadline=None, max_examples=40)
def test_order_is_the_density_order_at_equal_temperature(order: list[str], count: int) -> None:
    made = tuple(layer(f"20 ml {name}") for name in order[:count])
    densities = [one.mixture.density_kg_m3(20.0) for one in layers.by_density(made)]
    assert densities == sorted(densities)
    answer = stack(*(f"20 ml {name}" for name in order[:count]))
    for row, pair in zip(reversed(table(answer, "pairs")), layers.pairs(made), strict=True):
        assert row[1] == pytest.approx(pair.margin)
        if pair.margin > pair.error:
            assert row[3] == "stays"
        if pair.margin < -pair.error:
            assert row[3] == "turns over"
        assert row[3] == row[6]  # equally warm already: nothing changes


def test_the_right_order_is_named() -> None:
    answer = stack("20 ml vodka 40 %", "20 ml orange juice", "20 ml grenadine")
    caution = next(c for c in answer.cautions if c.id == "layer-turns-over")
    assert "grenadine, orange juice, vodka" in caution.action
    assert answer.verdict == "care"
    assert stack("20 ml grenadine", "20 ml orange juice", "20 ml vodka 40 %").verdict == "clear"


def test_too_close_to_call_is_an_answer() -> None:
    answer = stack("100 ml syrup 12.0 Bx", "100 ml syrup 11.9 Bx")
    assert states(answer) == ["too close to call"]
    assert "layer-too-close" in ids(answer)
    assert states(stack("100 ml syrup 14 Bx", "100 ml syrup 10 Bx")) == ["stays"]


@given(st.floats(-30, 30), st.floats(0, 10))
def test_word_turns_at_the_error_on_both_sides(margin: float, error: float) -> None:
    said = layers.word(margin, error)
    assert (said == layers.STAYS) == (margin > error)
    assert (said == layers.TURNS) == (margin < -error)


def test_lies_now_and_not_for_long() -> None:
    # hot syrup water is lighter than cold water only while it is hot
    answer = stack("100 ml water at 5 C", "100 ml syrup 2 Bx at 60 C")
    assert states(answer) == ["stays"]
    assert "layer-does-not-last" in ids(answer)
    assert table(answer, "pairs")[0][6] == "turns over"


# what makes it float


@given(st.floats(3, 15), st.floats(50, 80), st.floats(30, 40))
@settings(deadline=None, max_examples=25)
def test_the_least_overrun_is_enough(celsius: float, hot: float, fat: float) -> None:
    said = f"30 ml cream {fat:.1f} % at {celsius:.1f} C"
    base = f"120 ml water at {hot:.1f} C"
    answer = stack(base, said)
    if "least_overrun" not in answer.values:
        return
    least = value(answer, "least_overrun")
    whipped = stack(base, f"{said} whipped {least + 0.0001:.4f} %")
    assert value(whipped, "margin") >= -1e-3
    advised = stack(base, f"{said} whipped {value(answer, 'advised_overrun'):.3f} %")
    assert states(advised) == ["stays"]
    assert "layer-needs-overrun" not in ids(advised)


def test_sugar_in_the_drink_carries_it() -> None:
    answer = stack(WATER_60, "30 ml cream 36 % at 5 C")
    sugar = value(answer, "sugar_to_add")
    brix = 100 * sugar / (sugar + 1000 * layer(WATER_60).mixture.mass_kg)
    sweet = stack(f"120 ml syrup {brix + 0.1:.3f} Bx at 60 C", "30 ml cream 36 % at 5 C")
    assert states(sweet) == ["stays"]
    plain = stack(f"120 ml syrup {brix - 0.6:.3f} Bx at 60 C", "30 ml cream 36 % at 5 C")
    assert states(plain) != ["stays"]


def test_twice_the_amounts() -> None:
    outputs = load("layer").result.outputs()
    one = stack(WATER_60, "30 ml cream 36 % at 5 C", glass="65 mm")
    two = stack("240 ml water at 60 C", "60 ml cream 36 % at 5 C", glass="65 mm")
    assert one.values.keys() == two.values.keys()
    for name, output in outputs.items():
        factor = 2 if output.extensive else 1
        assert value(two, name) == pytest.approx(factor * value(one, name), rel=1e-4), name


def test_ounces_and_millilitres_agree() -> None:
    us = stack("4 fl oz water at 140 F", "1 fl oz cream 36 % at 41 F")
    metric = stack("118.2941 ml water at 60 C", "29.57353 ml cream 36 % at 5 C")
    for name in us.values:
        assert value(us, name) == pytest.approx(value(metric, name), rel=1e-5), name


def test_whipped_volume_and_glass() -> None:
    answer = stack("100 ml water", "50 ml cream 36 % whipped 100 %", glass="100 mm")
    rows = table(answer, "stack")
    plain = layer("50 ml cream 36 %").density()[0]
    assert rows[0][3] == pytest.approx(plain / 2)  # 100 % overrun is half gas
    assert rows[0][5] == pytest.approx(100, rel=0.02)
    assert value(answer, "height") == pytest.approx(200e3 / (math.pi * 50**2), rel=0.02)


# spirit in the heat, fat, scalding


def test_hot_spirit_is_a_guess_with_a_larger_error() -> None:
    warm, hot = layer("100 ml whisky 40 % at 40 C"), layer("100 ml whisky 40 % at 40.5 C")
    assert hot.density()[0] == pytest.approx(warm.density()[0], abs=0.6)
    assert hot.density()[1] > warm.density()[1] + 10
    drink = "120 ml whisky 40 % at 60 C"
    assert "layer-hot-spirit-is-a-guess" in ids(stack(drink, "30 ml cream 36 % at 5 C"))
    assert "layer-hot-spirit-is-a-guess" not in ids(stack(WATER_60, "30 ml cream 36 % at 5 C"))


@pytest.mark.parametrize(("hot", "cautioned"), [(65.0, False), (65.1, True)])
def test_scalding_just_inside_and_past(hot: float, cautioned: bool) -> None:
    answer = stack(f"120 ml water at {hot} C", "30 ml cream 36 % at 5 C whipped 30 %")
    assert ("layer-scalds" in ids(answer)) == cautioned


@pytest.mark.parametrize(("fat", "cautioned"), [("30 %", False), ("29.9 %", True)])
def test_lean_cream_does_not_whip(fat: str, cautioned: bool) -> None:
    answer = stack(WATER_60, f"30 ml cream {fat} at 5 C whipped 30 %")
    assert ("layer-cream-too-lean-to-whip" in ids(answer)) == cautioned
    assert "layer-cream-too-lean-to-whip" not in ids(stack(WATER_60, f"30 ml cream {fat} at 5 C"))


@pytest.mark.parametrize(
    ("said", "match"),
    [
        (["120 ml water"], "a stack has 2 to 20"),
        (["10 ml water"] * 21, "a stack has 2 to 20"),
        (["120 ml watter", "30 ml cream 36 %"], "water"),
        (["120 ml water", "30 ml cream 36 % whipped -20 %"], "overrun of -20"),
        (["120 ml water", "30 ml cream 36 % whipped 1001 %"], "0 to 1000"),
        (["120 ml water at 95 C", "30 ml cream 36 %"], "0 and 80"),
        (["120 ml water at -5 C", "30 ml cream 36 %"], "0 and 80"),
        (["120 ml water", "cream 36 %"], "does not start with a number"),
        (["120 ml water", "0 ml cream 36 %"], "has no amount"),
        (["120 ml water", "30 ml cream"], "needs its fat"),
        (["120 ml water", "30 ml cream 36 % at warm"], "no ingredient"),
    ],
)
def test_bad_input_is_one_sentence(said: list[str], match: str) -> None:
    with pytest.raises(PrepkitError, match=match) as caught:
        stack(*said)
    assert "\n" not in caught.value.message


def test_json_is_finite_and_reads_back() -> None:
    answer = stack(WATER_60, "20 ml rum 60 %", "30 ml cream 36 % at 5 C whipped 20 %")
    text = json.dumps(answer.to_dict(), allow_nan=False)
    again = run("layer", json.loads(text)["inputs"])
    assert again.to_dict()["values"] == answer.to_dict()["values"]


@given(st.floats(20, 60), st.floats(5, 40), st.floats(1, 19))
@settings(max_examples=15, deadline=None)
def test_a_mixed_layer_has_the_temperature_of_its_heat(hot: float, ml: float, cold: float) -> None:
    mixed = f"30 ml water at {hot:.2f} C and {ml:.2f} ml water at {cold:.2f} C"
    found = stack("40 ml syrup 60 Bx", mixed)
    at = table(found, "stack")[0][1]
    assert at == pytest.approx((30 * hot + ml * cold) / (30 + ml), abs=0.15)
    plain = f"30 ml water and {ml:.2f} ml water"
    same = stack("40 ml syrup 60 Bx", plain, temperature=f"{cold:.2f} C")
    assert table(same, "stack")[0][1] == pytest.approx(round(cold, 2))
