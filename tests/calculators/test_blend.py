"""blend: published volumes, balances, the free part, rounding, bottles, cost, cautions."""

from __future__ import annotations

import math
import shlex
from typing import Any

import pytest
from calculators.helpers_drink import assert_finite, assert_same, assert_scales, ids, value
from hypothesis import given, settings
from hypothesis import strategies as st
from published.rows import load as load_rows

from prepkit import registry
from prepkit.calculators import blend as module
from prepkit.errors import BadInput
from prepkit.model import Answer
from prepkit.numbers import written
from prepkit.pantry import Pantry

PUBLISHED = {row.id: row for row in load_rows("ethanol")}
PURE = Pantry(
    (
        {"name": "pure ethanol", "group": "spirit", "form": "liquid", "per_100_g": {"ethanol": 100},
         "source": "house", "obtained": "practice"},
    )
)  # fmt: skip


def blend(*part: str, pantry: Pantry | None = None, **more: Any) -> Answer:
    return registry.run("blend", {"part": part, **more}, pantry=pantry)


def near(found: float, row_id: str) -> None:
    row = PUBLISHED[row_id]
    assert abs(found - row.value) <= row.tolerance


def table(answer: Answer, name: str) -> list[dict[str, Any]]:
    found = next(one for one in answer.tables if one.name == name)
    labels = [column.label for column in found.columns]
    return [dict(zip(labels, row, strict=True)) for row in found.rows]


def has_table(answer: Answer, name: str) -> bool:
    return any(one.name == name for one in answer.tables)


# published figures


def test_fifty_and_fifty() -> None:
    near(value(blend("50 ml pure ethanol", "50 ml water", pantry=PURE), "volume"), "SPH-029")


def test_largest_contraction_and_where_it_is() -> None:
    shares = [grams / 1000 for grams in range(50, 1000, 10)]
    found = []
    for p in shares:
        answer = blend(f"{p!r} kg pure ethanol", f"{1 - p!r} kg water", pantry=PURE)
        lost = value(answer, "contraction")
        found.append((100 * lost / (value(answer, "volume") + lost), p, value(answer, "abv")))
    most, p, abv = max(found)
    near(most, "SPH-030")
    assert p == pytest.approx(0.466, abs=0.015)  # SPH-030, flat at the top
    assert abv == pytest.approx(54.4, abs=1.5)
    before = [one for one in found if one[1] <= p]
    assert before == sorted(before)  # one maximum
    assert all(one > 0 for one, _, _ in found)


def test_water_to_a_strength_as_the_free_part() -> None:
    answer = blend("1000 ml spirit 96 %", free="water", abv="40 %")
    near(value(answer, "free_mass"), "SPH-031a")
    near(value(answer, "free_volume"), "SPH-031b")
    near(value(blend("1 l spirit 60 %", free="water", abv=40), "free_mass"), "SPH-032")
    assert value(answer, "abv") == pytest.approx(40.0)


def test_grams_of_ethanol() -> None:
    near(value(blend("100 ml spirit 40 %"), "ethanol"), "SPH-013")  # a pharmacy's table


def test_bar_volumes_at_other_temperatures() -> None:
    # a litre of 40 % at 20 C is 0.977 l at -18 C and 1.007 l at 30 C (international formula)
    cold = blend("977 ml spirit 40 %", measured_at="-18 C")
    warm = blend("1007 ml spirit 40 %", measured_at="30 C")
    for answer in (cold, warm):
        assert table(answer, "weigh")[0]["volume at 20 °C"] == pytest.approx(1000, abs=0.7)


def test_volume_adds_up_to_less() -> None:
    # 100 l of 60 % and 100 l of water: 198.3 l at 30.26 % (international formula, by hand)
    answer = blend("100 l spirit 60 %", "100 l water")
    assert value(answer, "volume") / 1000 == pytest.approx(198.3, abs=0.1)
    assert value(answer, "abv") == pytest.approx(30.26, abs=0.02)


# conservation and scale

amounts = st.floats(1.0, 5000.0)


@settings(max_examples=40, deadline=None)
@given(amounts, amounts, amounts, st.floats(20, 90))
def test_mass_ethanol_and_sugar_are_conserved(a: float, b: float, c: float, abv: float) -> None:
    parts = [
        f"{written(a, 'ml')} ml spirit {abv:.3f} %",
        f"{written(b, 'g')} g syrup 50 Bx",
        f"{written(c, 'ml')} ml lemon juice",
    ]
    whole = blend(*parts)
    alone = [blend(one) for one in parts]
    assert value(whole, "mass") == pytest.approx(sum(value(one, "mass") for one in alone))
    assert value(whole, "mass") == pytest.approx(
        sum(row["mass"] for row in table(whole, "weigh")), rel=1e-12
    )
    assert value(whole, "ethanol") == pytest.approx(value(alone[0], "ethanol"))
    sugar_g = value(whole, "sugar") * value(whole, "mass")
    assert sugar_g == pytest.approx(
        sum(value(one, "sugar") * value(one, "mass") for one in alone), rel=1e-9
    )
    strengths = [one.values["abv"].value if "abv" in one.values else 0.0 for one in alone]
    assert min(strengths) < value(whole, "abv") < max(strengths)


FULL: dict[str, Any] = {
    "free": "rum 40 %",
    "abv": "18 %",
    "measured_at": ["4 C", "rum 40 %=-5 C"],
    "temperature": "4 C",
    "price": ["rum 40 %=18 per 700 ml", "lemon juice=4 per l", "syrup 65 Bx=3 per kg"],
}


def test_scales_with_the_batch() -> None:
    one = blend("200 ml lemon juice", "150 ml syrup 65 Bx", serves=10, bottle="700 ml", **FULL)
    more = blend("500 ml lemon juice", "375 ml syrup 65 Bx", serves=25, bottle="700 ml", **FULL)
    assert_scales(one, more, 2.5)
    assert_finite(one)
    assert {"free_mass", "bottles", "cost", "cost_per_serve", "mixed_temperature"} <= set(
        one.values
    )


def test_ounces_and_grams_agree() -> None:
    metric = blend("453.59237 g spirit 60 %", "59.1470592 ml lemon juice", free="water", abv="20 %",
                   measured_at="5 C", bottle="710 ml")  # fmt: skip
    us = blend("16 oz wt spirit 60 %", "2 US fl oz lemon juice", free="water", abv="20 %",
               measured_at="41 F", bottle="710 ml")  # fmt: skip
    assert_same(metric, us, rel=1e-7)


def test_plus_minus_comes_through() -> None:
    answer = blend("700 ml ± 7 ml spirit 40 %", "300 ml water")
    assert answer.values["ethanol"].plus_minus == pytest.approx(
        0.01 * value(answer, "ethanol"), rel=1e-6
    )


def test_example_runs() -> None:
    words = shlex.split(module.EXAMPLE)
    assert words[:2] == ["prepkit", "blend"]
    answer = blend(*[words[place + 1] for place, word in enumerate(words) if word == "--part"])
    assert answer.verdict == "clear"
    assert len(table(answer, "weigh")) == 2


# the free part


@settings(max_examples=40, deadline=None)
@given(st.floats(50, 5000), st.floats(50, 1000), st.floats(1.0, 39.0))
def test_solved_strength_is_met_when_blended_again(juice: float, syrup: float, abv: float) -> None:
    parts = [f"{written(juice, 'g')} g grapefruit juice", f"{written(syrup, 'g')} g syrup 50 Bx"]
    solved = blend(*parts, free="spirit 43 %", abv=f"{abv!r} %")
    again = blend(*parts, f"{value(solved, 'free_mass')!r} g spirit 43 %")
    assert value(again, "abv") == pytest.approx(abv, rel=1e-6)
    assert_same(again, blend(*parts, f"{value(solved, 'free_volume')!r} ml spirit 43 %"), rel=1e-6)


@pytest.mark.parametrize(
    ("part", "free", "target", "name", "level"),
    [
        ("1 kg water", "white sugar", {"sugar": "50 % w/w"}, "sugar", 50.0),
        ("1 kg white sugar", "water", {"sugar": "300 g/l"}, "sugar_g_l", 300.0),
        ("1 kg white sugar", "water", {"sugar": "700 g/l"}, "sugar_g_l", 700.0),
        ("1 l spirit 40 %", "syrup 65 Bx", {"sugar": "120 g/l"}, "sugar_g_l", 120.0),
        ("1 l spirit 40 %", "white sugar", {"sugar": "250 g/l"}, "sugar_g_l", 250.0),
        ("1 kg syrup 65 Bx", "lemon juice", {"sugar": "30 %"}, "sugar", 30.0),
        ("1 kg orange juice", "lemon juice", {"acidity": "2 %"}, "acidity", 2.0),
        ("1 kg lemon juice", "water", {"acidity": "10 g/l"}, "acidity_g_l", 10.0),
        ("1 l water", "citric acid", {"acidity": "60 g/l"}, "acidity_g_l", 60.0),
        ("1 kg white sugar", "lemon juice", {"acidity": "20 g/l"}, "acidity_g_l", 20.0),
        ("1 kg white sugar", "water", {"sugar": "1100 g/l"}, "sugar_g_l", 1100.0),
        ("1 l water", "white sugar", {"sugar": "1100 g/l"}, "sugar_g_l", 1100.0),
        ("1 kg citric acid", "water", {"acidity": "2 % w/w"}, "acidity", 2.0),
        ("1 kg citric acid", "water", {"acidity": "300 g/l"}, "acidity_g_l", 300.0),
        ("1 kg water", "citric acid", {"acidity": "50 % w/w"}, "acidity", 50.0),
        ("1 l wine 12 %", "spirit 60 %", {"abv": "20 %"}, "abv", 20.0),
        ("1 l spirit 60 %", "wine 12 %", {"abv": 20}, "abv", 20.0),
    ],
)
def test_each_target_up_and_down(
    part: str, free: str, target: dict[str, Any], name: str, level: float
) -> None:
    if "wine" in part + free:
        part, free = (text.replace("wine", "red wine") for text in (part, free))
    solved = blend(part, free=free, **target)
    assert value(solved, name) == pytest.approx(level, rel=1e-7)
    again = blend(part, f"{value(solved, 'free_mass')!r} g {free}")
    assert value(again, name) == pytest.approx(level, rel=1e-7)
    assert ("free_volume" in solved.values) == (free not in ("white sugar", "citric acid"))


def test_sugar_to_half_is_its_own_weight() -> None:
    assert value(blend("1 kg water", free="white sugar", sugar="50 %"), "free_mass") == (
        pytest.approx(1000.0, rel=2e-4)  # the pantry's white sugar is 99.98 % sugar
    )


def test_nothing_to_add_where_the_target_is_met() -> None:
    answer = blend("1 l spirit 40 %", free="water", abv="40 %", round_to="5 ml",
                   measured_at="10 C", bottle="700 ml")  # fmt: skip
    assert value(answer, "free_mass") == pytest.approx(0.0, abs=1e-6)
    assert_finite(answer)


def test_more_strength_asks_for_more_spirit() -> None:
    grams = [
        value(blend("1 l lemon juice", free="spirit 43 %", abv=abv), "free_mass")
        for abv in (1, 5, 20, 35, 42, 42.9)
    ]
    assert grams == sorted(grams)


# at other temperatures


def test_a_mass_does_not_care_about_temperature() -> None:
    assert value(blend("1 kg spirit 40 %", measured_at="-10 C"), "ethanol") == pytest.approx(
        value(blend("1 kg spirit 40 %"), "ethanol")
    )


def test_cold_spirit_holds_more_alcohol_in_a_jigger() -> None:
    ethanol = [
        value(blend("1 l spirit 40 %", measured_at=f"{t} C"), "ethanol") for t in (-18, 4, 20, 30)
    ]
    assert ethanol == sorted(ethanol, reverse=True)
    assert ethanol[0] / ethanol[2] == pytest.approx(1.024, abs=0.001)  # 2.4 % more from a freezer


def test_one_part_by_name_and_the_rest() -> None:
    answer = blend("500 ml rum 40 %", "500 ml water", measured_at=["rum 40 %=-10 C", "4 C"])
    rum, water = table(answer, "weigh")
    assert (rum["at"], water["at"]) == (-10.0, 4.0)
    assert rum["volume as measured"] == pytest.approx(500.0)
    assert rum["volume at 20 °C"] > 505.0
    steps = {step.label: step for step in answer.working}
    assert steps["rum 40 % at -10 °C"].value == pytest.approx(rum["mass"])
    assert "500.0 ml x" in steps["water at 4 °C"].formula
    assert water["mass"] == pytest.approx(500.0, abs=0.05)  # water at 4 C, 999.97 kg/m3


def test_mixing_temperature_lies_between_and_keeps_the_heat() -> None:
    hot = blend("1 kg water", "1 kg syrup 50 Bx", measured_at=["water=40 C", "10 C"])
    # heat balance by hand: water 4.18, half sugar half water 0.5 x (1.82 + 4.19) = 3.00 kJ/(kg K)
    by_hand = (4.18 * 40 + 3.00 * 10) / (4.18 + 3.00)
    assert value(hot, "mixed_temperature") == pytest.approx(by_hand, abs=0.15)
    equal = blend("1 kg water", "1 kg lemon juice", measured_at="12 C")
    assert value(equal, "mixed_temperature") == pytest.approx(12.0)
    # 40 % vol brought to 30 % vol, both at 20 C: 2.4 K warmer (published heats of mixing)
    warm = blend("1 l spirit 40 %", free="water", abv="30 %", measured_at="20 C")
    assert value(warm, "mixed_temperature") == pytest.approx(22.36, abs=0.25)
    # 50 ml of water and 50 ml of 95 %, both at 22 C: 7.2 K (SPH-083)
    half = blend("50 ml water", "50 ml spirit 95 %", measured_at="22 C")
    assert value(half, "mixed_temperature") == pytest.approx(29.2, abs=0.6)
    assert "mixed_temperature" not in blend("1 l water", "100 g white sugar",
                                            measured_at="20 C").values  # fmt: skip
    assert "mixed_temperature" not in blend("1 l water").values


# serves, bottles, cost


def test_serves_share_the_batch() -> None:
    answer = blend("700 ml spirit 40 %", "300 ml syrup 50 Bx", serves=20)
    assert value(answer, "ethanol_per_serve") == pytest.approx(value(answer, "ethanol") / 20)
    assert value(answer, "serve_volume") == pytest.approx(value(answer, "volume") / 20)
    assert value(answer, "sugar_per_serve") * 2000 == pytest.approx(
        value(answer, "sugar") * value(answer, "mass")
    )
    assert "ethanol_per_serve" not in blend("1 l lemon juice", serves=4).values


def test_bottles_and_what_stays_in_them() -> None:
    answer = blend("1500 ml water", bottle="700 ml", hold_up="10 ml", serves=21)
    (row,) = table(answer, "bottles")
    assert (row["bottles begun"], row["full"]) == (3, 2)
    assert row["in the last"] == pytest.approx(100.0)
    assert row["left behind in all"] == pytest.approx(30.0)
    assert row["poured out"] == pytest.approx(1470.0)
    assert value(answer, "serve_volume") == pytest.approx(70.0)
    assert value(answer, "bottles") == pytest.approx(1500 / 700)


def test_a_last_bottle_gives_no_more_than_it_holds() -> None:
    (row,) = table(blend("704 ml water", bottle="700 ml", hold_up="10 ml"), "bottles")
    assert row["left behind in all"] == pytest.approx(14.0)
    (row,) = table(blend("1400 ml water", bottle="700 ml"), "bottles")
    assert (row["bottles begun"], row["full"], row["in the last"]) == (
        2, 2, pytest.approx(700.0),
    )  # fmt: skip
    assert row["poured out"] == pytest.approx(1400.0)


@settings(max_examples=40, deadline=None)
@given(st.floats(10, 20000), st.floats(50, 2000), st.floats(0, 40))
def test_bottles_hold_it_all(volume: float, bottle: float, hold_up: float) -> None:
    answer = blend(
        f"{written(volume, 'ml')} ml water",
        bottle=f"{written(bottle, 'ml')} ml",
        hold_up=f"{written(hold_up, 'ml')} ml",
    )
    (row,) = table(answer, "bottles")
    inside = (row["bottles begun"] - 1) * bottle + row["in the last"]
    assert inside == pytest.approx(volume, rel=1e-9)
    assert 0 < row["in the last"] <= bottle * (1 + 1e-9)
    assert row["poured out"] + row["left behind in all"] == pytest.approx(volume, rel=1e-9)
    assert row["poured out"] >= -1e-9


def test_cost_of_everything_that_is_priced() -> None:
    answer = blend(
        "350 ml rum 40 %", "500 g white sugar", "2 piece egg white", "1 l water", serves=10,
        price=["rum 40 %=18 per 700 ml", "white sugar=1,20 per kg", "egg white=0.30 per piece",
               "water=0 per l"],
    )  # fmt: skip
    assert value(answer, "cost") == pytest.approx(9.0 + 0.60 + 0.60)
    assert value(answer, "cost_per_serve") == pytest.approx(1.02)
    assert "cost_so_far" not in answer.values
    assert [row["cost"] for row in table(answer, "weigh")] == pytest.approx([9.0, 0.6, 0.6, 0.0])


def test_a_missing_price_is_never_zero() -> None:
    answer = blend("700 ml rum 40 %", "1 l lemon juice", price="rum 40 %=18 EUR per 700 ml",
                   serves=10)  # fmt: skip
    assert "cost" not in answer.values
    assert "cost_per_serve" not in answer.values
    assert value(answer, "cost_so_far") == pytest.approx(18.0)
    assert "incomplete" in answer.values["cost_so_far"].label
    assert table(answer, "weigh")[1]["cost EUR"] is None
    assert any("no price for lemon juice" in step.formula for step in answer.working)
    assert not {"cost", "cost_so_far"} & set(blend("1 l water").values)


def test_the_free_part_costs_too() -> None:
    answer = blend("1 l water", free="spirit 40 %", abv="20 %",
                   price=["water=0 per l", "spirit 40 %=20 per l"])  # fmt: skip
    assert value(answer, "cost") == pytest.approx(0.02 * value(answer, "free_volume"), rel=1e-9)


def test_price_per_mass_and_per_volume_agree() -> None:
    by_volume = blend("1 l rum 40 %", price="rum 40 %=10 per l")
    by_mass = blend("1 l rum 40 %", price=f"rum 40 %=10 per {value(by_volume, 'mass')!r} g")
    assert value(by_mass, "cost") == pytest.approx(10.0)


# rounding


def test_rounding_and_what_it_changes() -> None:
    exact = blend("200 ml lemon juice", free="rum 40 %", abv="18 %")
    answer = blend("200 ml lemon juice", free="rum 40 %", abv="18 %", round_to="5 ml")
    assert_same(exact, answer)  # the values stay the exact ones
    juice, rum = table(answer, "rounded")
    assert juice["measure"] == pytest.approx(200.0)
    assert rum["measure"] % 5 == pytest.approx(0.0)
    assert abs(rum["measure"] - value(exact, "free_volume")) <= 2.5
    again = blend("200 ml lemon juice", f"{rum['measure']!r} ml rum 40 %")
    effect = {row["what"]: row for row in table(answer, "rounding")}
    strength = effect["strength at 20 °C"]
    assert strength["exact"] == pytest.approx(18.0)
    assert strength["rounded"] == pytest.approx(value(again, "abv"), rel=1e-9)
    assert strength["change"] == pytest.approx(value(again, "abv") - 18.0, rel=1e-6)
    acidity = effect["titratable acidity, as citric"]
    assert acidity["rounded"] == pytest.approx(value(again, "acidity"))
    assert effect["mass"]["change"] == pytest.approx(value(again, "mass") - value(exact, "mass"))


def test_rounding_by_jigger_and_balance() -> None:
    parts = ("212 ml rum 40 %", "33.4 g white sugar", "87.3 g lemon juice")
    both = table(blend(*parts, round_to=["5 ml", "1 g"]), "rounded")
    assert [row["measure"] for row in both[:2]] == [210.0, None]
    assert [row["weigh"] for row in both[:2]] == [None, 33.0]
    assert both[2]["measure"] % 5 == 0  # a liquid goes by the jigger, however it was given
    weighed = table(blend(*parts, round_to="1 g"), "rounded")
    assert [row["weigh"] for row in weighed] == [201.0, 33.0, 87.0]
    poured = table(blend(*parts, round_to="5 ml"), "rounded")
    assert (poured[1]["measure"], poured[1]["weigh"], poured[1]["more or less"]) == (None, None, 0)
    assert not has_table(blend(*parts), "rounded")


@settings(max_examples=40, deadline=None)
@given(st.floats(20, 3000), st.floats(20, 3000), st.sampled_from([0.5, 1.0, 5.0, 10.0]))
def test_rounding_is_within_half_a_step(a: float, b: float, step: float) -> None:
    answer = blend(
        f"{written(a, 'ml')} ml rum 40 %",
        f"{written(b, 'ml')} ml lemon juice",
        round_to=f"{step} ml",
    )
    for wanted, row in zip((a, b), table(answer, "rounded"), strict=True):
        assert abs(row["measure"] - wanted) <= 0.5 * step * (1 + 1e-9)
        assert math.isclose(row["measure"] / step, round(row["measure"] / step), rel_tol=1e-12)


# allergens


def test_allergens_and_where_they_come_from() -> None:
    answer = blend("200 ml cream 35 %", "30 g egg white", "100 ml rum 40 %")
    assert {row["allergen"]: row["comes with"] for row in table(answer, "allergens")} == {
        "milk": "cream 35 %",
        "eggs": "egg white",
    }
    assert "allergens-to-declare" in ids(answer)
    assert not has_table(blend("1 l rum 40 %"), "allergens")


# bad words


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"part": []}, "empty"),
        ({"part": "0 ml spirit 40 %"}, "amounts to 0"),
        ({"part": "1 l lemonade of dragons"}, "no ingredient"),
        ({"part": "1 l lemon juice", "abv": "20 %"}, "needs --free"),
        ({"part": "1 l lemon juice", "free": "rum 40 %"}, "one target"),
        ({"part": "1 l lemon juice", "free": "rum 40 %", "abv": 20, "sugar": "5 %"}, "one target"),
        ({"part": "1 l lemon juice", "free": "rum 40 %", "abv": "50 %"},
         "above the strongest part, rum 40 % with 40.0 % vol"),
        ({"part": "1 l lemon juice", "free": "rum 40 %", "abv": "40 %"}, "strongest part"),
        ({"part": ["1 l rum 60 %", "1 l vodka 40 %"], "free": "gin 45 %", "abv": "30 %"},
         "below the weakest part, vodka 40 % with 40.0 % vol"),
        ({"part": ["1 l rum 60 %", "1 l water"], "free": "water", "abv": "40 %"},
         "no nearer; name rum 60 % with --free"),
        ({"part": ["1 l rum 60 %", "1 l water"], "free": "rum 60 %", "abv": "20 %"},
         "no nearer; name water with --free"),
        ({"part": "1 l lemon juice", "free": "rum 40 %", "abv": "0 %"}, "more than 0"),
        ({"part": "1 l lemon juice", "free": "rum 40 %", "abv": "nan %"}, "not a finite"),
        ({"part": "1 l lemon juice", "free": "rum 40 %", "abv": "20 g"}, "strength is needed"),
        ({"part": "1 kg syrup 50 Bx", "free": "syrup 65 Bx", "sugar": "70 %"}, "sweetest part"),
        ({"part": "1 kg syrup 50 Bx", "free": "syrup 65 Bx", "sugar": "40 % w/w"},
         "least sweet part"),
        ({"part": "1 kg white sugar", "free": "white sugar", "sugar": "500 g/l"},
         "no water of its own"),
        ({"part": "1 l spirit 80 %", "free": "white sugar", "sugar": "900 g/l"}, "ask for less"),
        ({"part": "1 kg lemon juice", "free": "lime juice", "acidity": "20 % w/w"}, "sourest part"),
        ({"part": "1 l rum 40 %", "measured_at": "rum 50 %=4 C"}, "no part rum 50 %"),
        ({"part": "1 l rum 40 %", "measured_at": ["4 C", "5 C"]}, "twice for all parts"),
        ({"part": "1 l rum 40 %", "measured_at": "4"}, "no unit"),
        ({"part": "1 l rum 40 %", "measured_at": "-40 C"}, "between -20 and 80"),
        ({"part": "1 l rum 40 %", "measured_at": "60 C"}, "not known there"),
        ({"part": "1 l water", "free": "rum 40 %", "abv": "20 %", "measured_at": "60 C"},
         "not known there"),
        ({"part": "1 l rum 40 %", "temperature": "90 C"}, "between -20 and 40"),
        ({"part": "1 l rum 40 %", "price": "18 per 700 ml"}, "ingredient=money per amount"),
        ({"part": "1 l rum 40 %", "price": "rum 40 %=18"}, "ingredient=money per amount"),
        ({"part": "1 l rum 40 %", "price": "rum 40 %=cheap per l"}, "number"),
        ({"part": "1 l rum 40 %", "price": "rum 40 %=-3 per l"}, "negative"),
        ({"part": "1 l rum 40 %", "price": "rum 40 %=1,800 per l"}, "could be"),
        ({"part": "1 l rum 40 %", "price": "rum 40 %=18 per bottle"}, "how much a bottle holds"),
        ({"part": "1 l rum 40 %", "price": "rum 40 %=18 per 0 ml"}, "more than 0"),
        ({"part": "1 l rum 40 %", "price": "gin 40 %=18 per l"}, "there is no part gin 40 %"),
        ({"part": "1 l rum 40 %", "price": ["rum 40 %=18 per l", "rum 40 %=9 per l"]}, "twice"),
        ({"part": ["1 l rum 40 %", "1 l water"],
          "price": ["rum 40 %=18 EUR per l", "water=9 USD per l"]}, "one money"),
        ({"part": "1 kg white sugar", "price": "white sugar=2 per l"}, "by weight"),
        ({"part": "1 l rum 40 %", "hold_up": "10 ml"}, "needs --bottle"),
        ({"part": "1 l rum 40 %", "hold_up": "700 ml", "bottle": "700 ml"}, "all of a 700 ml"),
        ({"part": "1 l rum 40 %", "bottle": "0 ml"}, "more than 0"),
        ({"part": "1 l rum 40 %", "bottle": "700 g"}, "volume is needed"),
        ({"part": "1 l rum 40 %", "serves": 0}, "must be"),
        ({"part": "1 l rum 40 %", "serves": 2.5}, "whole number"),
        ({"part": "1 l rum 40 %", "round_to": "0 ml"}, "above 0"),
        ({"part": "1 l rum 40 %", "round_to": "5"}, "no unit"),
        ({"part": "1 l rum 40 %", "round_to": "5 C"}, "needed"),
        ({"part": "1 l rum 40 %", "round_to": ["5 ml", "1 cl"]}, "two steps"),
        ({"part": ["1 l rum 40 %", "2 ml lemon juice"], "round_to": "5 ml"}, "leaves nothing"),
        ({"part": "1 l rum 40 %", "colour": "red"}, "takes no --colour"),
    ],
)  # fmt: skip
def test_bad_words_get_one_useful_sentence(words: dict[str, Any], says: str) -> None:
    with pytest.raises(BadInput) as error:
        registry.run("blend", words)
    message = str(error.value)
    assert says in message
    assert message.endswith(".")
    assert message.count(". ") <= 2  # the cause, and what would be right
    assert "inf " not in message
    assert "nan" not in message.replace(str(words.get("abv")), "")


# cautions


def test_cautions_come_past_their_limit_only() -> None:
    def found(*part: str, **more: Any) -> set[str]:
        return ids(blend(*part, **more))

    assert "blend-strong-part-burns" in found("1 l spirit 50 %", "1 l water")
    assert "blend-strong-part-burns" not in found("1 l spirit 49.5 %", "1 l water")
    assert "blend-strong-part-burns" not in found("1 l spirit 60 %")  # said of the whole then
    assert "spirit-lights-cold" in found("1 l spirit 60 %")
    cold = {"bottle": "700 ml", "temperature": "-10 C"}
    assert "blend-bottled-cold" in found("1 l spirit 40 %", **cold)
    assert "blend-bottled-cold" not in found("1 l spirit 40 %", bottle="700 ml")
    assert "blend-bottled-cold" not in found("1 l spirit 40 %", temperature="-10 C")
    coarse = {"round_to": "30 ml"}
    assert "blend-rounding-moves-strength" in found("46 ml rum 40 %", "104 ml water", **coarse)
    assert "blend-rounding-moves-strength" not in found("60 ml rum 40 %", "90 ml water", **coarse)


def test_stronger_parts_never_give_a_milder_verdict() -> None:
    rank = {"clear": 0, "care": 1, "stop": 2}
    found = [rank[blend(f"1 l spirit {abv} %", "500 ml water").verdict] for abv in range(20, 97, 4)]
    assert found == sorted(found)
