"""Air and gas amounts in the words of a bar: flows, cylinders, mixtures, places, ways out."""

from __future__ import annotations

from typing import Any

import pytest
from calculators.helpers_drink import RANK, ids, value

from prepkit.calculators.room.release import Released
from prepkit.registry import run
from prepkit.shared import room_check


@pytest.mark.parametrize(
    "said", ["6 /h", "6 air changes per hour", "50 l/s", "180 m3/h", "3 m3/min", "105.944 cfm"]
)
def test_fresh_air_is_the_same_in_any_unit(said: str) -> None:
    # 50 l/s are 180 m3/h, 6 changes of 30 m3; a cubic foot is 0.0283168 m3
    want = run("room", {"release": "1 kg co2 over 2 h", "volume": "30 m3", "air_changes": 6})
    got = run("room", {"release": "1 kg co2 over 2 h", "volume": "30 m3", "air_changes": said})
    assert got.verdict == want.verdict
    assert value(got, "co2") == pytest.approx(value(want, "co2"), rel=1e-4)


def test_more_than_twenty_changes_are_questioned_and_not_counted() -> None:
    words = {"release": "1 kg co2 over 2 h", "volume": "10 m3"}
    many = run("room", {**words, "air_changes": "500 l/s"})
    twenty = run("room", {**words, "air_changes": 20})
    assert "room-air-changes-questioned" in ids(many)
    assert RANK[many.verdict] >= RANK["care"]
    assert value(many, "co2") == pytest.approx(value(twenty, "co2"))


@pytest.mark.parametrize(
    ("said", "gas", "kg"),
    [
        ("10 kg co2 cylinder", "co2", 10.0),
        ("1 co2 cylinder of 10 kg", "co2", 10.0),
        ("2 x 10 kg co2 cylinders", "co2", 20.0),
        ("a 50-litre CO2 cylinder", "co2", 38.0),  # ADR-P200: 0.76 kg/l
        # 201 bar absolute x 50 l / (8.314 x 288.15 K) x 28.01 g/mol is 11.77 kg, over z 0.99
        ("50 l cylinder of nitrogen at 200 bar", "n2", 11.77 / 0.99),
    ],
)
def test_a_cylinder_by_weight_or_size(said: str, gas: str, kg: float) -> None:
    found = Released.read(said)
    assert found.gas == gas
    assert found.amount == pytest.approx(kg, rel=2e-3)


@pytest.mark.parametrize("said", ["2 m3 70/30 nitrogen and carbon dioxide",
                                  "2 m3 of 30 % co2 and 70 % nitrogen"])  # fmt: skip
def test_a_mixture_is_each_of_its_gases(said: str) -> None:
    amounts = {one.gas: one.amount for one in Released.read(said).components}
    assert amounts == pytest.approx({"n2": 1.4, "co2": 0.6})
    mixed = run("room", {"release": said, "volume": "100 m3", "air_changes": 2})
    alone = run("room", {"release": ["1.4 m3 n2", "0.6 m3 co2"], "volume": "100 m3",
                         "air_changes": 2})  # fmt: skip
    for name in ("oxygen", "co2"):
        assert value(mixed, name) == pytest.approx(value(alone, name))


@pytest.mark.parametrize(
    ("said", "place"),
    [("basement", "cellar"), ("Walk-in", "cold room"), ("fridge", "cold room"),
     ("elevator", "lift"), ("van", "van"), ("kitchen", "kitchen")],
)  # fmt: skip
def test_places_by_the_words_of_people(said: str, place: str) -> None:
    assert room_check.tidy(said) == place
    answer = run("room", {"release": "1 kg dry ice", "volume": "200 m3", "air_changes": 6,
                          "place": said})  # fmt: skip
    assert (answer.verdict == "stop") == (place in room_check.NO_CRYOGEN)


@pytest.mark.parametrize("place", room_check.PLACES)
@pytest.mark.parametrize("volume", ["0.02 m3", "2 m3"])
@pytest.mark.parametrize("release", ["1e9 kg co2", "5000 l liquid nitrogen", "1e6 m3 n2o"])
def test_the_largest_release_in_the_smallest_place_stops(
    release: str, volume: str, place: str
) -> None:
    answer = run("room", {"release": release, "volume": volume, "place": place})
    assert answer.verdict == "stop"
    assert answer.result.deciding


def test_unknown_ventilation_stops_a_cryogen() -> None:
    for name in ("dry ice", "liquid nitrogen"):
        words: dict[str, Any] = {"cryogen": name, "stored": "100 g", "room_volume": "900 m3"}
        assert run("cryogen", words).verdict == "stop"
        assert run("cryogen", {**words, "air_changes": 4}).verdict == "care"
        assert run("room", {"release": f"100 g {name}", "volume": "900 m3"}).verdict == "stop"


def test_ways_out_are_worked_out_and_judged() -> None:
    words = {"release": "8 kg co2", "volume": "30 m3", "air_changes": 0, "jurisdiction": "us"}
    answer = run("room", words)
    assert answer.result.deciding.startswith("14.6 % carbon dioxide in 30 m3")
    ways = {way.label: way.verdict for way in answer.result.ways_out}
    less = next(label for label in ways if label.startswith("at most "))
    larger = next(label for label in ways if label.startswith("a net room of "))
    again = run("room", {**words, "release": less.removeprefix("at most ")})
    assert again.verdict == ways[less] != "stop"
    m3 = larger.split()[4]
    assert run("room", {**words, "volume": f"{m3} m3"}).verdict == ways[larger] != "stop"
    assert answer.to_dict()["ways_out"][0].keys() == {"label", "verdict", "figure", "inputs"}


def test_a_flow_into_an_unknown_room_is_not_known() -> None:
    assert room_check.changes_h(None, 30.0) is None


def test_the_thresholds_that_the_drills_ask_for() -> None:
    """By hand: 1 % of a 15-minute limit less 0.04 % outside; 0.5437 m3/kg at 20 °C (GAS-EOS)."""
    room = run("room", {"release": "8 kg co2", "volume": "400 m3", "air_changes": 0})
    assert room.values["room_needed"].value == pytest.approx(8 * 0.5437 / 0.0096, rel=2e-3)
    words = {"cryogen": "dry ice", "stored": "0.4 kg", "room_volume": "60 m3", "air_changes": 6}
    kept = run("cryogen", words)
    assert kept.values["room_stands"].value == pytest.approx(60e3 * 0.0096 / 0.5437, rel=2e-3)
