"""warm: the published hot drink, the balance, the lines of scald and flame."""

from __future__ import annotations

from typing import Any

import pytest
from calculators.helpers_drink import RANK, assert_finite, assert_same, assert_scales, ids, value
from hypothesis import given, settings
from hypothesis import strategies as st
from published.rows import load as load_rows

from prepkit import jurisdictions
from prepkit.errors import BadInput
from prepkit.model import Answer
from prepkit.numbers import written
from prepkit.registry import run
from prepkit.shared import keeping

PUBLISHED = {row.id: row for row in load_rows("heat")}
COLD = ["40 ml spirit 40 %", "15 g syrup 50 Bx"]


def warm(hot_c: float = 85.0, hot: str | None = "120 g filter coffee", **more: Any) -> Answer:
    words: dict[str, Any] = {"hot_temperature": f"{hot_c!r} C", "part": COLD, **more}
    if hot:
        words["hot"] = hot
    return run("warm", words)


def test_published_hot_drink() -> None:
    row = PUBLISHED["SPH-056"]
    assert abs(value(warm(), "temperature") - row.value) <= row.tolerance


def test_cold_cup_as_computed() -> None:
    # a 250 g ceramic cup at 20 C takes 16 K from 150 mL at 85 C at full equilibrium
    answer = warm(hot="150 g water", part=["1 g water"], cup="250 g")
    fall = value(answer, "temperature") - value(answer, "in_cup_low")
    assert fall == pytest.approx(16.0, abs=1.0)
    half = value(answer, "temperature") - value(answer, "in_cup")
    assert 0.45 * fall < half < 0.65 * fall
    warmed = warm(hot="150 g water", part=["1 g water"], cup="250 g", cup_temperature="84 C")
    assert value(warmed, "in_cup") == pytest.approx(value(warmed, "temperature"), abs=0.3)


@settings(max_examples=30, deadline=None)
@given(st.floats(60.0, 98.0), st.floats(40.0, 58.0), st.floats(0.0, 400.0))
def test_hot_part_needed_gives_the_target(hot_c: float, target: float, cup: float) -> None:
    asked = warm(hot_c, None, hot_ingredient="filter coffee", target=f"{target!r} C",
                 cup=f"{written(cup, 'g')} g")  # fmt: skip
    grams = value(asked, "hot_needed")
    again = warm(hot_c, f"{written(grams, 'g')} g filter coffee", cup=f"{written(cup, 'g')} g")
    assert value(again, "in_cup") == pytest.approx(target, abs=0.01)
    assert value(again, "temperature") >= target - 0.01


def test_lines_of_scald() -> None:
    by_served = {}
    for served in (48.0, 52.0, 59.9, 60.1, 64.9, 65.1):
        answer = warm(served, "150 g water", part=None)
        by_served[served] = answer
    assert [by_served[t].verdict for t in (48.0, 52.0, 59.9)] == ["clear"] * 3
    assert "warm-burns-slower" in ids(by_served[52.0])
    assert "warm-burns-slower" not in ids(by_served[48.0])
    at_55 = warm(55.0, "150 g water", part=None)  # MORITZ-HENRIQUES: 17 s and 30 s
    said = next(one for one in at_55.cautions if one.id == "warm-burns-slower")
    assert "in about 30 seconds" in said.text
    assert "about 17 seconds" in said.more
    assert by_served[60.1].verdict == by_served[64.9].verdict == "care"
    stop = by_served[65.1]
    assert stop.verdict == "stop"
    assert "mass" not in stop.values
    assert value(stop, "minutes_60_soon") < value(stop, "minutes_60_late")


def test_hotter_is_never_milder() -> None:
    ranks = [RANK[warm(float(t)).verdict] for t in range(40, 100, 3)]
    assert ranks == sorted(ranks)


def test_asking_for_too_hot_gives_no_amount() -> None:
    answer = warm(90.0, None, hot_ingredient="filter coffee", target="70 C")
    assert answer.verdict == "stop"
    assert "hot_needed" not in answer.values


def test_vapour_over_warm_spirit() -> None:
    assert "warm-above-flash-point" in ids(warm(75.0))  # 10 % vol, flash about 48 C
    assert "warm-above-flash-point" not in ids(warm(75.0, part=["100 ml whole milk"]))
    # 40 % vol: 26 C, less 4 K
    spirit = {"hot": "60 g water", "part": ["40 ml spirit 40 %"]}
    assert "warm-above-flash-point" in ids(warm(30.0, temperature="22.1 C", **spirit))
    cool = warm(30.0, temperature="21.5 C", **spirit)
    assert "warm-above-flash-point" not in ids(cool)


def test_alcohol_that_leaves_an_open_cup() -> None:
    # 1 % of the water gone takes about 7 % of the alcohol
    answer = warm(70.0, evaporated="1 %")
    lost = 1 - value(answer, "ethanol_left") / value(answer, "ethanol")
    assert lost == pytest.approx(0.07, abs=0.005)
    assert "ethanol_left" not in warm(70.0).values


def test_lid_and_cream() -> None:
    open_cup, lid = warm(72.0, serve="180 ml"), warm(72.0, lidded=True, cream_on_top=True)
    assert value(lid, "minutes_53_late") > 2 * value(open_cup, "minutes_53_late")
    assert {"warm-lid-keeps-it-hot", "warm-cream-hides-the-heat"} <= ids(lid)
    assert not {"warm-lid-keeps-it-hot", "warm-cream-hides-the-heat"} & ids(open_cup)
    assert "warm-cup-not-counted" in ids(lid)
    assert "warm-cup-not-counted" not in ids(warm(72.0, cup="250 g"))


def test_scales_and_knows_no_units() -> None:
    one = warm(75.0, cup="250 g", evaporated="1 %")
    two = warm(75.0, "240 g filter coffee", part=["80 ml spirit 40 %", "30 g syrup 50 Bx"],
               cup="500 g", evaporated="1 %")  # fmt: skip
    assert_scales(one, two, 2.0)
    ounces = run("warm", {"hot": "4 oz wt filter coffee", "hot_temperature": "167 F",
                          "part": ["1 oz wt spirit 40 %"]})  # fmt: skip
    grams = run("warm", {"hot": "113.3980925 g filter coffee", "hot_temperature": "75 C",
                         "part": ["28.349523125 g spirit 40 %"]})  # fmt: skip
    assert_same(grams, ounces)
    assert_finite(one)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ({"hot": None}, "needs --hot"),
        ({"hot_ingredient": "filter coffee"}, "needs --hot"),
        ({"hot": None, "hot_ingredient": "filter coffee"}, "give --target"),
        ({"hot": None, "hot_ingredient": "filter coffee", "target": "90 C"}, "hotter than"),
        ({"hot": None, "hot_ingredient": "filter coffee", "target": "30 C", "cup": "500 g",
          "cup_temperature": "90 C"}, "Nothing hot is needed"),
        ({"hot_temperature": "50 C", "target": "60 C"}, "must be hotter than"),
        ({"target": "60 C"}, "goes with --hot-ingredient"),
        ({"cup": "-3 g"}, "cup"),
        ({"evaporated": "40 %"}, "evaporated"),
    ],
)  # fmt: skip
def test_bad_words_get_one_useful_sentence(words: dict[str, Any], says: str) -> None:
    with pytest.raises(BadInput, match=says):
        warm(**words)


# figures of reference sections on hot holding, by place
HELD = {"UK": 63, "Ireland": 63, "Germany": 65, "Australia": 60, "New Zealand": 60, "US": 57}
MILK = {"hot": "120 g whole milk at 62 C", "part": ["40 ml spirit 40 %"]}


@pytest.mark.parametrize(("place", "least_c"), HELD.items())
def test_held_hot_by_the_rule_of_the_place(place: str, least_c: float) -> None:
    for held_c, stopped in ((least_c, False), (least_c - 0.1, True)):
        answer = run("warm", {**MILK, "held": f"{held_c} C", "jurisdiction": place})
        assert ("warm-held-too-cold" in ids(answer)) == stopped
        assert answer.verdict == ("stop" if stopped else "care")
    told = next(one for one in answer.cautions if one.id == "warm-held-too-cold")
    row = keeping.of(jurisdictions.key_of(place))
    assert told.source == row.source
    assert f"{least_c} °C" in told.text


def test_held_hot_where_no_place_was_told_takes_the_strictest() -> None:
    for key in jurisdictions.CHOICES:
        law = keeping.of(jurisdictions.of_choice(key))
        assert law.hot_c <= keeping.of(None).hot_c or law.obtained == "memory"
    stopped = run("warm", {**MILK, "held": "64.9 C"})
    assert "warm-held-too-cold" in ids(stopped)
    assert "Least: 65 °C (the strictest rule read)" in stopped.result.deciding


def test_held_hot_is_handed_over_as_hot_as_it_waits() -> None:
    assert "warm-too-hot-to-hand-over" in ids(run("warm", {**MILK, "held": "70 C"}))
    # 0.1 K of error of the thermometer counts to the side that is worse
    assert run("warm", {**MILK, "held": "63 C ± 1 C", "jurisdiction": "UK"}).verdict == "stop"


def test_strong_spirit_needs_no_hot_holding() -> None:
    spirit = {"hot": "100 ml spirit 40 % at 35 C", "part": None}
    assert "warm-held-too-cold" not in ids(run("warm", {**spirit, "held": "35 C"}))
