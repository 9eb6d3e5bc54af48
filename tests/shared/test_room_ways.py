"""Ways out of a stop for gas in a room: none of them reads as a permit for the place itself."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from prepkit import run
from prepkit.shared import fresh_air, places

GASES = ("co2", "n2o", "n2", "ar", "dry ice", "liquid nitrogen")
COLD = ("dry ice", "liquid nitrogen")


def asked(gas: str, kg: float, m3: float, place: str, air: float | None) -> list[Any]:
    """The answers of room and, of a cryogen, of cryogen."""
    told: dict[str, Any] = {"place": place} | ({} if air is None else {"air_changes": air})
    out = [run("room", {"release": f"{kg!r} kg {gas}", "volume": f"{m3!r} m3", **told})]
    if gas in COLD:
        words = {"cryogen": gas, "stored": f"{kg!r} kg", "room_volume": f"{m3!r} m3"}
        out.append(run("cryogen", {**words, **told}))
    return out


@settings(max_examples=40, deadline=None)
@example("co2", 8.0, 4.0, "lift", None)
@example("dry ice", 0.25, 20.0, "cellar", 4.0)
@example("liquid nitrogen", 5.0, 4.0, "lift", None)
@given(
    st.sampled_from(GASES), st.floats(0.001, 20.0), st.floats(2.0, 200.0),
    st.sampled_from(places.PLACES), st.none() | st.floats(0.0, 30.0),
)  # fmt: skip
def test_no_amount_is_a_way_out_of_a_place(
    gas: str, kg: float, m3: float, place: str, air: float | None
) -> None:
    for answer in asked(gas, kg, m3, place, air):
        forbidden = places.forbids(place, gas in COLD)
        assert answer.verdict == "stop" or not forbidden
        for way in answer.result.ways_out:
            if forbidden:
                assert way.label.startswith(f"not in the {place}: a net room of ")
                assert "at most" not in way.label
            if place in places.CLOSED and not forbidden:
                assert "air changes" not in way.label
            if gas in COLD and "not enough" not in way.label and "air changes" in way.label:
                changes = float(way.label.partition(" measured")[0].split()[-1])
                assert changes >= fresh_air.USUAL_AIR_H
        if forbidden:
            assert "room_stands" not in answer.values
            assert "room_needed" not in answer.values


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(GASES), st.floats(0.001, 5.0), st.floats(5.0, 300.0), st.floats(0.01, 20.0))
def test_within_a_tenth_of_a_limit_is_never_clear(
    gas: str, kg: float, m3: float, air: float
) -> None:
    answer = asked(gas, kg, m3, "room", air)[0]
    assert answer.verdict != "clear" or answer.result.facts["nearest_share"] <= 0.9


@pytest.mark.parametrize("gas", COLD)
@pytest.mark.parametrize("place", ["room", "bar", "kitchen"])
def test_no_fresh_air_is_no_milder_than_air_that_is_not_known(gas: str, place: str) -> None:
    for answer in asked(gas, 0.05, 900.0, place, 0.0):
        assert answer.verdict == "stop"
        assert answer.result.deciding.startswith("No fresh air comes into the room")
        assert "room_stands" not in answer.values
        assert next(way.verdict for way in answer.result.ways_out) != "stop"
    words = {"part": "60 ml spirit 40 %", "way": gas, "target": "-5 C", "room_volume": "900 m3"}
    assert run("chill", {**words, "air_changes": 0}).verdict == "stop"
    assert run("chill", {**words, "air_changes": 4}).verdict == "care"


@settings(max_examples=40, deadline=None)
@example("co2", 8.0, 30.0, 0.0)
@example("n2o", 0.192, 30.0, 4.0)
@given(
    st.sampled_from(GASES), st.floats(0.001, 20.0), st.floats(5.0, 300.0),
    st.none() | st.floats(0.0, 20.0),
)  # fmt: skip
def test_no_way_out_breaks_a_limit_at_work(
    gas: str, kg: float, m3: float, air: float | None
) -> None:
    for answer in asked(gas, kg, m3, "room", air):
        for way in answer.result.ways_out:
            found = re.match(r"(\d+) ppm .* Limit: (\d+) ppm", way.figure)
            if found and "not enough" not in way.label:
                assert float(found[1]) <= float(found[2])


def test_oxygen_is_judged_by_its_rise() -> None:
    answer = run("room", {"release": "0.2 kg o2", "volume": "30 m3"})
    assert answer.result.facts["nearest_share"] == pytest.approx(0.4 / 2.55, abs=0.01)
    assert answer.verdict == "clear"


def test_the_edge_of_a_room_is_for_care() -> None:
    answer = run("room", {"release": "8 kg co2", "volume": "4 m3", "air_changes": 4})
    assert {way.verdict for way in answer.result.ways_out} <= {"care", "stop"}
