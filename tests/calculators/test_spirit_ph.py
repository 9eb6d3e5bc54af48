"""What a meter set in water buffers shows in spirit, beside the computed pH."""

from __future__ import annotations

import re

import pytest

from prepkit.registry import run


def sour(strength: str) -> dict[str, list[str]]:
    return {"part": [f"100 ml spirit {strength}", "0.5 g citric acid"]}


def test_a_strong_sour_is_told_what_the_meter_shows() -> None:
    # NBS-BENZOIC-ETHANOL (EV3-35): 44.1 % by mass, 51.8 % vol, 0.14 high; 12 % vol nothing to say
    answer = run("blend", sour("50 %"))
    said = next(one for one in answer.cautions if one.id == "acid-meter-in-spirit")
    shown, own = (float(one) for one in re.findall(r"\d\.\d\d", said.text))
    assert shown - own == pytest.approx(0.13, abs=0.02)
    assert own == pytest.approx(answer.values["ph"].value, abs=0.006)
    weak = run("blend", sour("15 %"))
    assert "acid-meter-in-spirit" not in {one.id for one in weak.cautions}


def test_what_is_too_strong_for_a_ph_has_no_reading_either() -> None:
    answer = run("blend", sour("60 %"))
    assert "ph" not in answer.values
    assert "acid-meter-in-spirit" not in {one.id for one in answer.cautions}


def test_coffee_steeped_in_rum_has_a_ph_near_that_of_coffee() -> None:
    # filter coffee is at pH 5.1 in the pantry; spirit lifts it, and its +/- says how little is sure
    water = run("infuse", {"liquid": "1 l water", "botanical": "60 g ground coffee"})
    rum = run("infuse", {"liquid": "700 ml rum 43 %", "botanical": "60 g ground coffee"})
    assert water.values["ph"].value == pytest.approx(5.1, abs=0.3)
    assert water.values["ph"].value < rum.values["ph"].value < 6.5
    assert (rum.values["ph"].plus_minus or 0) > 0.3


def test_a_vinegar_syrup_has_the_published_sums_and_a_citric_one_has_none() -> None:
    # CIMSCEE-1992 (EV3-84, 85): 50 % disaccharide, 2 % acetic acid, pH 3.0 give 96 and 56
    part = ["400 g white vinegar", "500 g white sugar", "100 g water"]
    said = {"part": part, "ph": "3.0", "fridge": "5 C", "jurisdiction": "us"}
    tables = {table.name: table for table in run("keep", said).tables}
    assert "vinegar" in tables
    assert float(tables["vinegar"].rows[0][1] or 0) > 63 > float(tables["vinegar"].rows[1][1] or 0)
    sour = {**said, "part": ["500 g white sugar", "480 g water", "20 g citric acid"]}
    assert "vinegar" not in {table.name for table in run("keep", sour).tables}


def test_raw_egg_in_spirit_is_told_the_measured_die_off() -> None:
    # EGG-LIQUOR-1990 (EV3-80, 81): three log in 3 weeks at 22 C, 7 weeks at 4 C
    part = ["4 eggs", "200 ml spirit 40 %", "300 g white sugar"]
    answer = run("keep", {"part": part, "fridge": "5 C", "jurisdiction": "us"})
    said = {one.id: one.text for one in answer.cautions}
    assert "keep-raw-egg-in-spirit" in said
    assert "3 weeks at 22" in said["keep-raw-egg-in-spirit"]
