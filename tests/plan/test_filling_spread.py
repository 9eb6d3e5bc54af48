"""The ± of weighing through the whole plan, against moving each weighing for real."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import BadRecipe
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.plan import make_plan
from prepkit.plan.filling import MOST_WEIGHINGS, scale_step_kg, spreads
from prepkit.plan.plan import read_recipe
from prepkit.registry import run
from prepkit.render.plan_text import plan_text

RECIPE = """
title = "A trial"
serves = 10
[house.bench]
scale = "1 g"
[items.my-syrup]
calculator = "blend"
part = ["600 g white sugar", "390 g water", "10 g citric acid"]
[items.my-mix]
calculator = "blend"
part = ["300 g spirit 40 %", "100 g my-syrup", "100 g water"]
loss = "10 %"
[items.my-long]
calculator = "blend"
part = ["200 g my-mix", "50 g my-syrup", "100 g brewed black tea"]
[[serve]]
name = "Trial"
part = ["100 g my-long", "20 g water"]
"""


def plan(text: str = RECIPE, serves: int = 10) -> dict[str, Any]:
    return make_plan(read_recipe(text), serves).to_dict()


def item(said: dict[str, Any], id_: str) -> dict[str, Any]:
    found: dict[str, Any] = next(one for one in said["items"] if one["id"] == id_)
    return found


def reading(said: dict[str, Any], id_: str, name: str) -> dict[str, Any]:
    of = item(said, id_)["readings"]
    found: dict[str, Any] = next(one for one in of if one["name"] == name)
    return found


# the real thing: weigh each line a step more and mix again, by hand


def mixed(said: dict[str, Any], more: tuple[str, str] | None = None) -> dict[str, Mixture]:
    """What the three preparations become as weighed, one line moved by a gram."""
    pantry = Pantry()
    made: dict[str, Mixture] = {}
    for one in said["items"]:
        parts = []
        for line in one["weigh"]:
            grams = line["g"] + (1.0 if more == (one["id"], line["name"]) else 0.0)
            source = made.get(line["name"]) or pantry.ingredient(line["name"]).mixture
            parts.append(source.of_mass(grams / 1000))
        made[one["id"]] = Mixture.total(parts)
    return made


@pytest.mark.parametrize("name", ["abv", "acidity", "refractometer", "density"])
def test_each_reading_against_moving_every_weighing(name: str) -> None:
    said = plan()
    value = {
        "abv": lambda m: 100 * m.abv,
        "acidity": lambda m: 100 * m.acidity_as_citric,
        "refractometer": lambda m: m.refractometer_brix,
        "density": lambda m: m.density_kg_m3(20.0),
    }[name]
    base = mixed(said)
    lines = [(one["id"], line["name"]) for one in said["items"] for line in one["weigh"]]
    for id_ in ("my-syrup", "my-mix", "my-long"):
        if name == "abv" and id_ == "my-syrup":
            continue
        moved = [value(mixed(said, line)[id_]) - value(base[id_]) for line in lines]
        got = reading(said, id_, name)["weighing"]
        assert got == pytest.approx(math.hypot(*moved), rel=0.02)


def test_one_blend_agrees_with_the_tolerance_of_its_calculator() -> None:
    said = plan()
    syrup = item(said, "my-syrup")
    words = [f"{line['g']!r} g ± 1 g {line['name']}" for line in syrup["weigh"]]
    answer = run("blend", {"part": words})
    got = reading(said, "my-syrup", "acidity")["weighing"]
    want = answer.values["acidity"].plus_minus
    assert want is not None
    assert got == pytest.approx(want, rel=0.01)
    assert syrup["made_g_plus_minus"] == pytest.approx(math.sqrt(3.0), rel=1e-6)


def test_the_decisive_weighing_by_hand() -> None:
    said = plan()
    best = said["decisive"]
    assert (best["item"], best["name"]) == ("my-syrup", "citric acid")
    # a gram of a few grams of acid; the other grams in the syrup are many more
    acid = next(one for one in item(said, "my-syrup")["weigh"] if one["name"] == "citric acid")
    assert best["g"] == pytest.approx(acid["g"])
    assert best["percent"] == pytest.approx(100 / acid["g"], rel=0.1)
    assert "citric acid for my-syrup" in plan_text(said)
    assert reading(said, "my-long", "acidity")["by"] == {"item": "my-syrup", "name": "citric acid"}


@settings(deadline=None, max_examples=15)
@given(st.floats(0.01, 5.0))
def test_twice_the_step_is_twice_the_spread(grams: float) -> None:
    one, two = (plan(RECIPE.replace('"1 g"', f'"{f * grams!r} g"')) for f in (1, 2))
    for id_ in ("my-syrup", "my-mix", "my-long"):
        a, b = (reading(said, id_, "acidity")["weighing"] for said in (one, two))
        assert b == pytest.approx(2 * a, rel=1e-6)


@settings(deadline=None, max_examples=15)
@given(st.integers(1, 500), st.integers(2, 9))
def test_a_larger_batch_is_weighed_better(serves: int, times: int) -> None:
    small, large = plan(serves=serves), plan(serves=serves * times)
    for id_ in ("my-syrup", "my-mix", "my-long"):
        a, b = (reading(said, id_, "acidity")["weighing"] for said in (small, large))
        assert b == pytest.approx(a / times, rel=1e-6)


def test_a_finer_scale_takes_the_small_weighings() -> None:
    fine = RECIPE.replace('"1 g"', '"1 g"\nfine_scale = "0.01 g"\nfine_scale_most = "100 g"')
    said = plan(fine, serves=4)
    offs = {line["name"]: line["plus_minus_g"] for line in item(said, "my-syrup")["weigh"]}
    assert offs["citric acid"] == pytest.approx(0.01)
    assert offs["white sugar"] == pytest.approx(0.01)
    large = {
        line["name"]: line["plus_minus_g"] for line in item(plan(fine, 40), "my-syrup")["weigh"]
    }
    assert large["white sugar"] == pytest.approx(1)
    assert scale_step_kg({"scale": 1.0, "fine_scale": 0.1, "fine_scale_most": 500.0}, 0.5) == (
        pytest.approx(1e-4)
    )
    assert scale_step_kg({}, 0.5) is None
    with pytest.raises(BadRecipe, match="fine_scale_most"):
        read_recipe(RECIPE.replace('"1 g"', '"1 g"\nfine_scale = "0.01 g"'))


def test_without_a_scale_nothing_is_said_of_weighing() -> None:
    said = plan(RECIPE.replace('[house.bench]\nscale = "1 g"\n', ""))
    assert said["decisive"] is None
    assert reading(said, "my-mix", "abv")["weighing"] is None
    assert item(said, "my-mix")["weigh"][0]["plus_minus_g"] is None
    assert "matters most" not in plan_text(said)


def test_what_the_recipe_says_of_an_amount_wins() -> None:
    text = RECIPE.replace("10 g citric acid", "10 g ± 1 g citric acid")
    said = plan(text)
    line = next(one for one in item(said, "my-syrup")["weigh"] if one["name"] == "citric acid")
    assert line["plus_minus_g"] == pytest.approx(0.1 * line["g"])


def test_instruments_widen_what_a_measured_value_may_be_off_by() -> None:
    bench = '"1 g"\nrefractometer = "0.3 Bx"\nph_meter = 0.2'
    said = plan(RECIPE.replace('"1 g"', bench))
    one = reading(said, "my-mix", "refractometer")
    assert one["instrument"] == pytest.approx(0.3)
    assert one["tolerance"] == pytest.approx(math.hypot(one["plus_minus"], 0.3))
    stated = reading(plan(RECIPE.replace('[house.bench]\nscale = "1 g"\n', "")), "my-mix",
                     "refractometer")["plus_minus"]  # fmt: skip
    assert one["plus_minus"] == pytest.approx(math.hypot(stated, one["weighing"]))


def test_what_is_strained_off_carries_no_spread_of_its_own() -> None:
    text = RECIPE.replace(
        'calculator = "blend"\npart = ["600 g white sugar", "390 g water", "10 g citric acid"]',
        'calculator = "cordial"\npart = ["600 g water", "30 g dried elderflower"]\n'
        'sweeten = "white sugar"\nbrix = "50 Bx"',
    )
    said = plan(text)
    got = reading(said, "my-syrup", "dissolved_solids")
    # as if only the water and the sugar were weighed, by a gram each, in 50 % solids
    sugar = next(line for line in item(said, "my-syrup")["weigh"] if line["name"] == "white sugar")
    want = 100 * math.hypot(0.5, 0.5) / (2 * sugar["g"])
    assert got["weighing"] == pytest.approx(want, rel=0.1)


# a charged vessel


CHARGED = """
title = "A trial"
serves = 10
[house.bench]
scale = "1 g"
charger = "3 %"
thermometer = "0.5 C"
[vessels.north]
vessel_volume = "1.3 l"
max_fill = "1 l"
rated = "17 bar"
allowed_charger = "8 g"
[items.my-nitro]
calculator = "siphon"
vessel = "north"
contents = "500 ml cold brew coffee"
gas = "n2"
chargers = 1
charger_gas_mass = "2.4 g"
temperature = "4 C"
[[serve]]
name = "Trial"
part = ["80 g my-nitro"]
"""


def value(said: dict[str, Any], name: str) -> dict[str, Any]:
    found: dict[str, Any] = next(
        one for one in item(said, "my-nitro")["values"] if one["name"] == name
    )
    return found


def test_a_charger_s_spread_reaches_the_pressure() -> None:
    said = plan(CHARGED)
    base = plan(CHARGED.replace('charger = "3 %"', ""))
    peak, before = value(said, "peak"), value(base, "peak")
    assert peak["value"] == pytest.approx(before["value"])
    # the peak is nearly linear in the gas: three per cent of it
    only_charger = CHARGED.replace('scale = "1 g"', "").replace('thermometer = "0.5 C"', "")
    none = CHARGED.replace('scale = "1 g"\ncharger = "3 %"\nthermometer = "0.5 C"', "")
    stated = value(plan(none), "peak")["plus_minus"] or 0.0
    spread = value(plan(only_charger), "peak")["plus_minus"]
    assert math.sqrt(spread**2 - stated**2) == pytest.approx(0.03 * peak["value"], rel=0.1)
    assert value(said, "gas_mass")["plus_minus"] == pytest.approx(0.03 * 2.4, rel=1e-3)


BENCH = 'scale = "1 g"\ncharger = "3 %"\nthermometer = "0.5 C"'


def amounts(said: dict[str, Any]) -> list[dict[str, Any]]:
    """The vessels, without what a scale shows of a load."""
    return [
        {key: value for key, value in one.items() if key not in ("each_hand_g", "each_step_g")}
        for one in said["vessels"]
    ]


def test_the_bench_makes_no_verdict_milder_and_changes_no_amount() -> None:
    order = ("clear", "care", "stop")
    for rated in (3, 6, 8, 17):
        text = CHARGED.replace('rated = "17 bar"', f'rated = "{rated} bar"')
        none = text.replace(BENCH, "")
        assert order.index(plan(text)["verdict"]) >= order.index(plan(none)["verdict"])
        assert amounts(plan(text)) == amounts(plan(none))


def test_chargers_that_vary_are_judged_and_not_only_shown() -> None:
    """With a rating just above the bound of the charger as told, its ± makes the load a stop."""
    bound = value(plan(CHARGED), "bound")["value"]
    text = CHARGED.replace('rated = "17 bar"', f'rated = "{1.02 * bound:.3f} bar"')
    loose = text.replace('charger = "3 %"', 'charger = "20 %"')
    assert plan(text)["verdict"] == "care"
    assert plan(loose)["verdict"] == "stop"
    (nitro,) = (one for one in plan(loose)["items"] if one["verdict"] == "stop")
    assert not {"weigh", "values"} & nitro.keys()


@pytest.mark.parametrize(
    ("charger", "too_large"), [("7.9 g", False), ("8 g", False), ("8.01 g", True), ("8.3 g", True)]
)
@pytest.mark.parametrize("off", ["", 'charger = "3 %"', 'charger = "20 %"'])
def test_a_charger_of_the_plate_s_size_passes_and_no_larger_one(
    charger: str, too_large: bool, off: str
) -> None:
    """A plate names a size of charger: what one holds more or less is not a larger size."""
    text = CHARGED.replace('gas = "n2"', 'gas = "n2o"').replace('"2.4 g"', f'"{charger}"')
    said = plan(text.replace('"17 bar"', '"50 bar"').replace('charger = "3 %"', off))
    found = {one["id"] for one in said["cautions"]}
    assert ("siphon-charger-too-large" in found) == too_large


def test_a_stop_has_no_spread() -> None:
    said = plan(CHARGED.replace('rated = "17 bar"', 'rated = "2 bar"'))
    assert said["verdict"] == "stop"
    assert said["decisive"] is None


def test_a_long_chain_follows_only_so_many_weighings() -> None:
    items = ['[items.a0]\ncalculator = "blend"\npart = ["100 g water", "100 g white sugar"]']
    items += [
        f'[items.a{n}]\ncalculator = "blend"\npart = ["100 g a{n - 1}", "1 g water"]'
        for n in range(1, 120)
    ]
    text = "\n".join(items)
    text = (
        f'title = "t"\nserves = 1\n[house.bench]\nscale = "0.1 g"\n{text}\n[[serve]]\n'
        f'name = "n"\npart = "1 kg a119"'
    )
    made = make_plan(read_recipe(text))
    found = spreads(made)
    assert found is not None
    assert max(len(one.changes) for one in found.items.values()) <= MOST_WEIGHINGS + 1
    assert made.to_dict()["decisive"] is not None
