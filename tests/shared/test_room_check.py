"""Ways out of a stop for gas in a room: none of them reads as a permit for the place itself."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from prepkit import cautions, run
from prepkit.shared import room_check

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
    st.sampled_from(room_check.PLACES), st.none() | st.floats(0.0, 30.0),
)  # fmt: skip
def test_no_amount_is_a_way_out_of_a_place(
    gas: str, kg: float, m3: float, place: str, air: float | None
) -> None:
    for answer in asked(gas, kg, m3, place, air):
        forbidden = room_check.forbids(place, gas in COLD)
        assert answer.verdict == "stop" or not forbidden
        for way in answer.result.ways_out:
            if forbidden:
                assert way.label.startswith(f"not in the {place}: a net room of ")
                assert "at most" not in way.label
            if place in room_check.CLOSED and not forbidden:
                assert "air changes" not in way.label
            if gas in COLD and "not enough" not in way.label and "air changes" in way.label:
                changes = float(way.label.partition(" measured")[0].split()[-1])
                assert changes >= room_check.USUAL_AIR_H
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


_WORK = {"part": "60 ml spirit 40 %", "target": "-5 C", "room_volume": "900 m3"}


@settings(max_examples=40, deadline=None)
@example("dry ice", 1e-9)
@example("liquid nitrogen", 0.39999999)
@example("dry ice", 0.4)
@given(st.sampled_from(COLD), st.floats(0.0, 1.0))
def test_fresh_air_beside_a_cryogen_has_a_least_and_no_trace_of_it_will_do(
    gas: str, air: float
) -> None:
    """No step at zero: whatever is below the least is a stop, in all three calculators."""
    answers = asked(gas, 0.05, 900.0, "room", air)
    answers.append(run("chill", {**_WORK, "way": gas, "air_changes": air}))
    too_little = room_check.too_little_for_cold(air)
    for answer in answers:
        ids = {one.id for one in answer.cautions}
        assert bool(ids & {"room-cryogen-no-fresh-air", "cryogen-no-fresh-air"}) == too_little
        assert (answer.verdict == "stop") == too_little
    if too_little:
        assert "room_stands" not in answers[0].values
        assert answers[0].result.deciding.startswith(("No fresh air", f"{air:.3g} air changes"))


def test_the_rows_and_the_least_of_fresh_air_are_one_figure() -> None:
    limits = [
        one.limit
        for row in cautions.rows()
        if row.id in ("room-cryogen-no-fresh-air", "cryogen-no-fresh-air")
        for one in row.when
        if one.fact == "air_changes"
    ]
    assert limits == [room_check.LEAST_COLD_AIR_H] * 2


def test_a_flow_that_is_the_least_by_its_last_bit_is_the_least() -> None:
    words = {"release": "50 g dry ice", "volume": "36 m3", "air_changes": "14.4 m3/h"}
    assert "room-cryogen-no-fresh-air" not in {one.id for one in run("room", words).cautions}


_LESS = re.compile(r"\b(less|fewer|smaller|larger room)\b")


@settings(max_examples=30, deadline=None)
@example("co2", 8.0, 4.0, "lift", None)
@example("dry ice", 5.0, 4.0, "lift", 4.0)
@example("dry ice", 5.0, 4.0, "cold room", 4.0)
@example("n2o", 5.0, 4.0, "car", 4.0)
@given(
    st.sampled_from(GASES), st.floats(0.001, 20.0), st.floats(2.0, 200.0),
    st.sampled_from(room_check.PLACES), st.none() | st.floats(0.0, 30.0),
)  # fmt: skip
def test_no_stop_advises_less_gas_where_no_amount_will_do(
    gas: str, kg: float, m3: float, place: str, air: float | None
) -> None:
    for answer in asked(gas, kg, m3, place, air):
        if room_check.forbids(place, gas in COLD):
            for one in answer.cautions:
                assert one.severity != "stop" or not _LESS.search(one.action), one


def test_a_large_room_is_told_in_whole_cubic_metres() -> None:
    told = {"release": "10 l liquid nitrogen", "volume": "1000 m3", "air_changes": 4}
    assert "% oxygen in 1000 m3." in run("room", told).result.deciding
