"""cloud: every breathed cloud but clean water is a stop, whatever the figures."""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any

import pytest
from each import each
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.calculators.cloud import FUELS, WAYS
from prepkit.errors import BadInput, PrepkitError
from prepkit.plan import load_recipe, make_plan
from prepkit.registry import run
from prepkit.solving import solve

DOME: dict[str, Any] = {"way": "smoke dome", "burnt": "oak", "fuel": "0.5 g", "space": "1 l"}
ROOM: dict[str, Any] = {"room_volume": "50 m3", "air_changes": "4 /h", "clouds": "10 /h"}
GLASS: dict[str, Any] = {"way": "smoked glass", "burnt": "apple wood", "fuel": "0.5 g",
                         "space": "0.4 l", "aired": "10 s", **ROOM}  # fmt: skip


def made(way: str, **more: Any) -> Any:
    return run("cloud", {"way": way, **more})


def value(answer: Any, name: str) -> float:
    return float(answer.values[name].value)


def ids(answer: Any) -> set[str]:
    return {one.id for one in answer.cautions}


def test_the_rule_is_about_the_face_at_the_dome() -> None:
    at_it = run("cloud", {**DOME, **ROOM, "face": "at it"})
    assert at_it.verdict == "stop"
    assert "cloud-smoke-at-the-face" in ids(at_it)
    assert value(at_it, "co_face") == pytest.approx(42900, rel=0.01)
    assert value(at_it, "co_room") < 1
    assert "42,900 ppm" in at_it.result.deciding
    away = run("cloud", {**DOME, **ROOM, "face": "away", "alarm": True})
    assert away.verdict == "care"
    assert {"cloud-smoke-lifted-away"} == {one for one in ids(away) if "stands" not in one}
    untold = run("cloud", {**DOME, **ROOM})
    assert untold.verdict == "stop"
    assert "cloud-face-not-told" in ids(untold)


@given(
    fuel=st.floats(0.001, 900), space=st.floats(0.01, 900), room=st.floats(1, 1e5),
    clouds=st.floats(0.1, 900),
)  # fmt: skip
@settings(max_examples=30)
def test_no_figure_clears_a_face_at_smoke(
    fuel: float, space: float, room: float, clouds: float
) -> None:
    said = {"way": "smoke dome", "burnt": "oak", "fuel": f"{fuel:.5f} g", "space": f"{space:.5f} l",
            "room_volume": f"{room:.5f} m3", "clouds": f"{clouds:.5f} /h",
            "air_changes": "50 /h"}  # fmt: skip
    assert run("cloud", {**said, "face": "at it"}).verdict == "stop"
    less = run("cloud", {**said, "face": "away"})
    shift = less.result.facts["cloud_shift_ppm"]
    assert (less.verdict == "stop") is (shift > 25)
    assert ("cloud-smoke-room-above-limit" in ids(less)) is (shift > 25)


def test_the_limit_of_a_shift_is_not_rounded() -> None:
    said = {**DOME, "face": "away", "room_volume": "50 m3", "hours": "1 h"}
    one = run("cloud", {**said, "clouds": "1 /h"}).result.facts["cloud_shift_ppm"]
    for ppm, over in ((24.99, False), (25.01, True)):
        found = run("cloud", {**said, "clouds": f"{ppm / one:.6f} /h"})
        assert ("cloud-smoke-room-above-limit" in ids(found)) is over


def test_what_is_not_known_of_the_source_is_a_stop() -> None:
    for way in WAYS:
        nothing = made(way)
        assert nothing.verdict == "stop", way
        assert "cloud-source-not-told" in ids(nothing), way
    for plant in ("pine", "treated oak", "painted wood", "plywood", "wibble", "old barrel", "wood"):
        found = run("cloud", {**GLASS, "burnt": plant})
        assert "cloud-fuel-not-known" in ids(found), plant
        assert found.verdict == "stop"
        assert not found.values, plant  # no figure of wood for what is no known wood
    for plant in FUELS:
        assert run("cloud", {**GLASS, "burnt": f"{plant} chips"}).verdict == "care"
    lone = {"way": "smoked glass", "burnt": "oak", "aired": "10 s", "space": "1 l"}
    for grams, verdict in (("1 g", "care"), ("5 g", "care"), ("6 g", "stop"), ("1 kg", "stop")):
        assert run("cloud", {**lone, "fuel": grams}).verdict == verdict
    charcoal = run("cloud", {**GLASS, "burnt": "oak charcoal"})
    assert "cloud-charcoal" in ids(charcoal)
    assert charcoal.verdict == "stop"
    assert not charcoal.values


@each(["tobacco", "cigar leaf", "cannabis", "oleander", "20 g kava", "nicotine"])
def test_poisons_are_refused_as_smoke(plant: str) -> None:
    assert run("cloud", {**GLASS, "burnt": plant}).verdict == "stop"


@each([
    ("3 ml gin 43 %", "cloud-spirit-breathed"),
    ("30 ml beer 5 %", "cloud-spirit-breathed"),
    ("10 ml olive oil", "cloud-oil-breathed"),
    ("5 ml lemon oil", "cloud-oil-breathed"),
    ("10 g glycerol", "cloud-glycerol-breathed"),
    ("50 ml lemon juice", "cloud-flavour-breathed"),
    ("50 ml brewed black tea", "cloud-flavour-breathed"),
    ("50 ml cream 35 %", "cloud-oil-breathed"),
    ("50 ml milk", "cloud-flavour-breathed"),
])  # fmt: skip
def test_nothing_but_water_is_breathed(row: tuple[str, str]) -> None:
    words, caution = row
    for way in ("mist", "aroma bubble"):
        for liquid in ([words], [words, "2 l water"]):
            found = made(way, liquid=liquid)
            assert caution in ids(found), (way, liquid)
            assert found.verdict == "stop"
            # the scent without the breath is offered, and is no stop
            assert any("rim" in one.label for one in found.result.ways_out), (way, liquid)
    for way in ("mist", "aroma bubble"):
        assert made(way, liquid="50 ml water").verdict == "care"
        assert "cloud-water-mist-germs" in ids(made(way, liquid="50 ml water"))


def test_a_mist_strong_enough_to_matter_is_near_its_flammable_limit() -> None:
    base = {"way": "mist", "liquid": ["1 l spirit 40 %", "3 l water"], "room_volume": "50 m3",
            "hours": "1 h"}  # fmt: skip
    found = run("cloud", {**base, "rate": "6.5 l/h"})
    assert value(found, "flammable") == pytest.approx(17, abs=0.5)
    assert "cloud-spirit-mist-burns" in ids(found)
    weak = run("cloud", {**base, "rate": "3 l/h"})
    assert value(weak, "flammable") < 10
    assert "cloud-spirit-mist-burns" not in ids(weak)
    assert weak.verdict == "stop"  # it is breathed
    claim = next(s for s in found.working if s.label == "air for a large drink in 40 min")
    assert claim.value == pytest.approx(84, abs=1)
    # no dose of breathed spirit is shown to anybody
    assert not {name for name in found.values if "ethanol" in name or "inhaled" in name}


def test_no_breath_of_gas() -> None:
    for gas in ("helium", "nitrogen", "argon", "n2o", "co2", "neon"):
        found = made("gas to breathe", gas=gas)
        assert found.verdict == "stop"
        assert value(found, "lung_oxygen") == pytest.approx(2.8, abs=0.1)
        assert "cloud-gas-breathed" in ids(found)
        assert [one.label for one in found.result.ways_out] == ["a foam, eaten with a spoon"]
        assert made("foam by the spoon", gas=gas, foam_volume="100 ml").verdict == "clear"
    for way in ("gas to breathe", "foam by the spoon"):
        assert "cloud-gas-refused" in ids(made(way, gas="hydrogen"))
    assert made("gas to breathe", gas="air").verdict == "stop"
    with pytest.raises(PrepkitError, match="not a gas known here"):
        made("gas to breathe", gas="wibble")


def test_a_smoked_glass_is_aired() -> None:
    assert run("cloud", {**GLASS, "alarm": True}).verdict == "care"
    for seconds in ("0 s", "9.9 s"):
        short = run("cloud", {**GLASS, "aired": seconds})
        assert short.verdict == "stop"
        assert "cloud-glass-aired-too-short" in ids(short)
    untold = run("cloud", {name: one for name, one in GLASS.items() if name != "aired"})
    assert "cloud-glass-not-aired" in ids(untold)
    assert untold.verdict == "stop"


def test_fog() -> None:
    base = {"way": "fog", "liquid": "100 ml water", "face": "away", "fog_from": "separate vessel"}
    assert run("cloud", base).verdict == "care"
    for change, caution in (
        ({"face": "at it"}, "cloud-fog-at-the-face"),
        ({"fog_from": "the drink"}, "cloud-fog-ice-in-the-drink"),
        ({"fog_from": None}, "cloud-fog-ice-not-told"),
        ({"face": None}, "cloud-face-not-told"),
        ({"place": "cellar"}, "cloud-smoke-indoors-closed"),
        ({"liquid": "100 ml gin 43 %"}, "cloud-spirit-breathed"),
    ):
        said = {name: one for name, one in {**base, **change}.items() if one is not None}
        found = run("cloud", said)
        assert caution in ids(found), change
        assert found.verdict == "stop", change


def test_closed_rooms_take_no_smoke() -> None:
    for place in ("cellar", "cold room", "lift", "van"):
        for said in ({**DOME, **ROOM, "face": "away"}, GLASS):
            assert "cloud-smoke-indoors-closed" in ids(run("cloud", {**said, "place": place}))


def test_more_is_never_milder() -> None:
    rank = {"clear": 0, "care": 1, "stop": 2}
    fuels, rooms = ("0.2 g", "1 g", "5 g", "20 g"), ("200 m3", "50 m3", "10 m3")
    for base in ({"way": "smoke dome", "burnt": "oak", "space": "1 l", "face": "away"},
                 {**GLASS}):  # fmt: skip
        more = {"air_changes": "2 /h", "clouds": "6 /h"}
        seen = {
            (f, r): rank[run("cloud", {**base, **more, "fuel": fuel, "room_volume": room}).verdict]
            for (f, fuel), (r, room) in itertools.product(enumerate(fuels), enumerate(rooms))
        }
        for (f, r), verdict in seen.items():
            assert verdict <= seen.get((f + 1, r), 2)
            assert verdict <= seen.get((f, r + 1), 2)


def test_the_ways_out_are_judged_and_none_is_a_stop() -> None:
    found = run("cloud", {**DOME, **ROOM, "face": "at it"})
    labels = [one.label for one in found.result.ways_out]
    assert any("empty glass" in one for one in labels)
    assert any("lift the dome" in one for one in labels)
    assert {one.verdict for one in found.result.ways_out} <= {"clear", "care"}
    for way in found.result.ways_out:
        said = {**found.inputs, **way.inputs}
        again = run("cloud", {name: one for name, one in said.items() if one is not None})
        assert again.verdict == way.verdict


def test_who_breathes_what_is_told() -> None:
    for said in ({**DOME, **ROOM, "face": "at it"}, GLASS, {"way": "mist", "liquid": "1 l water"},
                 {"way": "gas to breathe", "gas": "helium"},
                 {"way": "spray on the rim", "liquid": "2 ml gin 43 %",
                  "face": "away"}):  # fmt: skip
        table = next(one for one in run("cloud", said).tables if one.name == "who")
        assert [row[0] for row in table.rows] == ["guest", "bartender", "neighbour"]


def test_solved_for_the_clouds_of_a_shift() -> None:
    found = solve("cloud", "clouds 1 /h to 200 /h: in the room, whole shift = 10 ppm",
                  {**DOME, "face": "away", "room_volume": "50 m3",
                   "air_changes": "4 /h"})  # fmt: skip
    clouds = found.solutions[0].value
    assert clouds * 0.859 / 4 == pytest.approx(10, rel=0.01)  # each 0.86 ppm, gone at 4 an hour


RECIPE = """
title = "Emberwick"
serves = 10
[items.base]
calculator = "blend"
part = ["500 ml spirit 40 %", "400 ml water"]
[items.scent]
calculator = "cloud"
check = true
way = "{way}"
liquid = "2 ml base"
{more}
[[serve]]
name = "Emberwick"
part = ["80 ml base"]
"""


def test_a_cloud_is_a_check_of_a_recipe(tmp_path: Path) -> None:
    path = tmp_path / "emberwick.toml"
    for way, more, verdict in (
        ("spray on the rim", 'face = "away"', "clear"),
        ("mist", "", "stop"),
    ):
        path.write_text(RECIPE.format(way=way, more=more), encoding="utf-8")
        said = make_plan(load_recipe(path), 10).to_dict()
        item = next(one for one in said["items"] if one["id"] == "scent")
        assert item["verdict"] == verdict
        assert (said["verdict"] == "stop") is (verdict == "stop")


@each([
    ({"way": "mist", "gas": "helium"}, "does not go with mist"),
    ({"way": "gas to breathe", "gas": "helium", "face": "away"}, "does not go with gas to breathe"),
    ({**DOME, "aired": "10 s"}, "does not go with smoke dome"),
    ({**GLASS, "face": "away"}, "does not go with smoked glass"),
    ({"way": "foam by the spoon", "gas": "helium", "burnt": "oak"}, "leave it out"),
    ({"way": "vape"}, "smoke dome"),
    ({"way": "mist", "liquid": "20 ml aroma concentrate"}, "Not listed is not the same as safe"),
    ({**DOME, "fuel": "0 g"}, "fuel"),
])  # fmt: skip
def test_bad_input_is_one_sentence(row: tuple[dict[str, Any], str]) -> None:
    said, words = row
    with pytest.raises(BadInput, match=words):
        run("cloud", said)
