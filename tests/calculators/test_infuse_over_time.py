"""infuse over time: own readings, the band, heat, gas, the plants' water, what likes what."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from science import beside

from prepkit.errors import BadInput
from prepkit.registry import run
from prepkit.science import infusion

SPIRIT, GINGER, BERRIES = "700 ml spirit 43 %", "50 g ginger", "300 g strawberries"
NOTED = ["6 h: 4", "24 h: 7"]
BAG: dict[str, Any] = {"method": "heated", "heated_in": "bag", "temperature": "55 C"}


def infuse(plant: str = GINGER, liquid: str = SPIRIT, **more: Any) -> Any:
    return run("infuse", {"liquid": liquid, "botanical": [plant], **more})


def value(answer: Any, name: str) -> float:
    return float(answer.values[name].value)


def ids(answer: Any) -> set[str]:
    return {one.id for one in answer.cautions}


def test_two_tastings_give_the_curve() -> None:
    found = infuse(noted=NOTED, time="24 h")
    # by hand: t/y is 1.5 and 24/7, so k2 = 0.10714 and k1 = 0.85714
    assert value(found, "half_time") == pytest.approx(8.0)
    assert value(found, "ninety_time") == pytest.approx(72.0)
    assert value(found, "share") == pytest.approx(75.0)
    assert "abv_at" not in found.values, "a taste says nothing of water"


@given(final=st.floats(1.0, 100.0), half=st.floats(0.5, 100.0), spread=st.floats(2.0, 9.0))
@settings(max_examples=30, deadline=None)
def test_a_curve_comes_back_from_its_own_readings(final: float, half: float, spread: float) -> None:
    times = (half / spread, half, half * spread)
    readings = [(t, final * t / (half + t)) for t in times]
    found = infusion.peleg(readings)
    assert found.final == pytest.approx(final, rel=1e-6)
    assert found.time_h(0.5) == pytest.approx(half, rel=1e-6)
    assert found.worst < 1e-6


def test_before_anything_was_noted_there_is_a_band() -> None:
    found = infuse(BERRIES, time="24 h", thickness="10 mm")
    assert "infuse-time-is-a-band" in ids(found)
    assert value(found, "share_low") < value(found, "share") < value(found, "share_high")
    assert value(found, "abv_at_least") <= value(found, "abv_at") <= value(found, "abv_at_most")
    assert value(found, "abv") - 1e-9 <= value(found, "abv_at_least")
    assert value(found, "abv_at_most") <= value(found, "abv_none") + 1e-9
    assert value(found, "ninety_high") == pytest.approx(100 * value(found, "ninety_low"))


@given(hours=st.floats(0.1, 500.0), more=st.floats(1.01, 10.0))
@settings(max_examples=15, deadline=None)
def test_strength_only_falls_and_sugar_only_rises(hours: float, more: float) -> None:
    first = infuse(BERRIES, time=f"{hours:.3f} h", thickness="8 mm")
    later = infuse(BERRIES, time=f"{hours * more:.3f} h", thickness="8 mm")
    assert value(later, "abv_at") <= value(first, "abv_at") + 1e-9
    assert value(later, "sugar_at") >= value(first, "sugar_at") - 1e-9
    table = next(one for one in later.tables if one.name == "course")
    strengths = [row[4] for row in table.rows]
    assert strengths == sorted(strengths, reverse=True)


def test_measured_strength_gives_the_exchange_itself() -> None:
    full = infuse(BERRIES)
    start, end = value(full, "abv_none"), value(full, "abv")
    half = start - 0.5 * (start - end)
    third = start - (start - end) / 3
    found = infuse(BERRIES, noted=[f"4 h: {third:.6f} % vol", f"8 h: {half:.6f} % vol"], time="8 h")
    assert value(found, "share") == pytest.approx(50, abs=0.1)


def test_heat_changes_the_speed_by_a_band() -> None:
    found = infuse(noted=NOTED, time="6 h", noted_at="20 C", temperature="30 C")
    assert value(found, "speed_low") == pytest.approx(1.26, abs=0.01)  # 17 kJ/mol
    assert value(found, "speed_high") == pytest.approx(1.72, abs=0.01)  # 40.3 kJ/mol
    assert value(found, "share_low") < value(found, "share") < value(found, "share_high")
    assert "infuse-heat-changes-speed" in ids(found)


def test_the_factor_under_gas_is_your_own() -> None:
    bare = infuse(method="pressure", gas="n2o")
    assert "infuse-gas-factor-missing" in ids(bare)
    found = infuse(method="pressure", gas="n2o", gas_time="3 min", tastes_as="24 h")
    assert value(found, "faster") == pytest.approx(480)
    assert "infuse-gas-factor-missing" not in ids(found)


@pytest.mark.parametrize(
    ("more", "caution"),
    [
        ({"temperature": "70 C"}, "infuse-near-boiling"),
        ({"heated_in": "open-pan"}, "infuse-open-pan-of-spirit"),
        ({"heated_in": "closed-jar"}, "infuse-closed-jar-heated"),
        ({"liquid": "500 ml water", "time": None}, "infuse-warm-and-weak"),
        ({"liquid": "500 ml water", "time": "6 h", "thickness": "3 mm"}, "infuse-warm-and-weak"),
    ],
)
def test_heat_that_hurts_is_stopped_without_a_number(more: dict[str, Any], caution: str) -> None:
    said = {name: one for name, one in {**BAG, **more}.items() if one is not None}
    found = infuse(**said)
    assert found.verdict == "stop"
    assert caution in ids(found)
    assert not found.values


def test_a_warm_bag_of_spirit_is_for_care() -> None:
    found = infuse(**BAG)
    assert found.verdict == "care"
    assert {"infuse-bag-swells", "infuse-warm-vapour-burns"} <= ids(found)
    assert infuse(liquid="500 ml water", **BAG, time="3 h", thickness="3 mm").verdict == "care"
    hot = infuse(liquid="500 ml water", **{**BAG, "temperature": "60 C"})
    assert "infuse-warm-and-weak" not in ids(hot)


@given(low=st.floats(20.0, 90.0), more=st.floats(0.5, 10.0), strength=st.integers(10, 90))
@settings(max_examples=15, deadline=None)
def test_hotter_is_never_milder_in_spirit(low: float, more: float, strength: int) -> None:
    order = {"clear": 0, "care": 1, "stop": 2}
    liquid = f"700 ml spirit {max(strength, 30)} %"
    found = [
        infuse("5 g ginger", liquid, **{**BAG, "temperature": f"{at:.3f} C"})
        for at in (low, min(100.0, low + more))
    ]
    assert order[found[0].verdict] <= order[found[1].verdict]


def test_fat_and_water_are_told_apart() -> None:
    found = infuse(liquid="700 ml spirit 20 %", aroma=["limonene", "vanillin", "diacetyl"])
    table = next(one for one in found.tables if one.name == "aroma")
    assert [row[2].split(",")[0] for row in table.rows] == ["fat", "spirit", "water"]
    assert "infuse-aroma-wants-fat" in ids(found)
    assert "infuse-aroma-wants-fat" not in ids(infuse(liquid="700 ml spirit 60 %",
                                                      aroma=["limonene"]))  # fmt: skip
    in_fat = infuse(liquid="200 g coconut oil", aroma=["diacetyl"])
    assert "infuse-aroma-wants-water" in ids(in_fat)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"time": "24 h"}, "says nothing"),
        ({"noted": ["6 h: 4"], "time": "24 h"}, "twice or more"),
        ({"noted": ["6 h: 4", "24 h: 7 Bx"]}, "all of one kind"),
        ({"noted": ["6 h: 4", "24 h: 16"]}, "no curve"),
        ({"noted": ["6 h: 7", "24 h: 4"]}, "no curve"),
        ({"noted": ["6 h: 4", "6 h: 5"]}, "no curve"),
        ({"noted": ["6 h: 9 Bx", "24 h: 10 Bx"]}, "nothing in spirit"),
        ({"noted": ["tomorrow", "24 h: 7"]}, "cannot be read"),
        ({"noted": ["6 h: nan", "24 h: 7"]}, "cannot be read"),
        ({"noted": ["6 h: 0", "24 h: 7"]}, "more than 0"),
        ({"noted": ["6 h: 43 % vol", "24 h: 40 % vol"]}, "no change"),
        ({"method": "heated"}, "needs"),
        ({"heated_in": "bag"}, "belongs to method heated"),
        ({"gas_time": "3 min", "tastes_as": "1 h"}, "belongs to method pressure"),
        ({"method": "pressure", "gas": "n2o", "gas_time": "3 min"}, "is missing"),
        ({"noted_at": "20 C"}, "needs"),
        ({"aroma": ["vanilin"]}, "did you mean vanillin"),
        ({"aroma": ["happiness"]}, "not known here"),
    ],
)  # fmt: skip
def test_bad_input_is_one_sentence(more: dict[str, Any], said: str) -> None:
    with pytest.raises(BadInput, match=said):
        infuse(**more)


def test_what_was_published_is_shown_for_those_plants_alone() -> None:
    tea = infuse("15 g black tea leaves", time="1 h", thickness="1 mm")
    rows = next(one for one in tea.tables if one.name == "evidence").rows
    assert {row[0] for row in rows} == {"tea"}
    # by the published rates: 2.303 / 0.99 and 2.303 / 0.257 per min
    assert f"{beside.first_order_time(0.9, 0.99):.1f} min" in str(rows[0][2])
    assert f"{beside.first_order_time(0.9, 0.257):.0f} min" in str(rows[1][2])
    for bare in (infuse("15 g black tea leaves"), infuse(time="1 h", thickness="1 mm")):
        assert "evidence" not in {one.name for one in bare.tables}


def test_past_the_readings_is_said() -> None:
    assert "infuse-past-your-readings" in ids(infuse(noted=NOTED, time="72 h"))
    assert "infuse-past-your-readings" not in ids(infuse(noted=NOTED, time="40 h"))


def test_heat_is_never_judged_as_steeping_in_the_cold() -> None:
    for more in ({}, {"method": "maceration"}, {"gas": "n2o"}):
        with pytest.raises(BadInput, match="above 35 C it is heated"):
            infuse(**more, temperature="36 C")


def test_a_pan_of_hot_water_is_no_bag_and_a_pan_of_spirit_is_a_stop() -> None:
    pan = {**BAG, "heated_in": "open-pan", "temperature": "90 C"}
    found = infuse(liquid="500 ml water", **pan)
    assert "infuse-near-boiling" not in {one.id for one in found.cautions}
    for spirit in ("500 ml spirit 20 %", "500 ml spirit 43 %", "500 ml spirit 75 %"):
        assert infuse(liquid=spirit, **pan).verdict == "stop"
