"""What a room is judged on, fact by fact, written out by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest

from prepkit import blocks
from prepkit.calculators import room
from prepkit.errors import BadInput
from prepkit.registry import validate
from prepkit.science import room_air
from prepkit.science.room_air import Release
from prepkit.shared import room_check
from prepkit.shared.room_check import Against, GasCourse

LIMITS = list(blocks.blocks("exposure_limits.toml", "limit"))


def asked(**more: Any) -> Any:
    return validate("room", {"release": "8 kg co2", "volume": "50 m3", **more})


def near(value: float) -> Any:
    return pytest.approx(value, rel=1e-9)


# the air after a release at once


def test_the_levels_are_those_that_were_read() -> None:
    # OSHA-1910-146: 19.5 and 23.5 % oxygen; BGN-ASI-6-80: 3 %; CO2-ROOM-HANDBOOK: 400 ppm
    assert (room_check.OXYGEN_STOP, room_check.OXYGEN_ENRICHED) == (19.5, 23.5)
    assert (room_check.CO2_STOP, room_check.OUTSIDE_CO2) == (3.0, 400e-6)
    assert (room_check.N2O_STOP_PPM, room_check.LEAST_ROOM_M3) == (10_000.0, 0.5)
    assert room_check.shares() == {
        "n2": near(1.0 - 19.5 / 20.95), "he": near(1.0 - 19.5 / 20.95),
        "ar": near(1.0 - 19.5 / 20.95), "co2": near(0.03 - 0.0004), "n2o": near(0.01),
        "o2": near((0.235 - 0.2095) / (1.0 - 0.2095)),
    }  # fmt: skip


def test_names_and_places_of_the_gases() -> None:
    assert room_check.GAS_NAMES == {
        "n2o": "nitrous oxide", "co2": "carbon dioxide", "n2": "nitrogen", "he": "helium",
        "ar": "argon", "o2": "oxygen", "air": "air",
    }  # fmt: skip
    assert room_check.COLLECTS == {
        "n2o": "low", "co2": "low", "ar": "low", "he": "high", "n2": "low while it is cold",
        "o2": "everywhere", "air": "everywhere",
    }  # fmt: skip


def test_facts_of_a_release_at_once_by_hand() -> None:
    assert room_check.cold_facts(None, "n2", 1.0) == {"room_m3": None}
    facts = room_check.cold_facts(20.0, "n2", 4.0)
    assert facts == {
        "room_m3": 20.0, "gas_m3": 4.0, "gas_name": "nitrogen", "co2_percent": 0.0,
        "oxygen_percent": near(20.95 * 0.8),
        "oxygen_effect": room_check.effect("o2", 16.76)["text"],
    }  # fmt: skip
    dry_ice = room_check.cold_facts(20.0, "co2", 1.0, 0.2)
    assert dry_ice["co2_percent"] == near(5.04)
    assert dry_ice["oxygen_percent"] == near(19.0)
    assert dry_ice["oxygen_effect"] == room_check.effect("o2", 19.0)["text"]
    assert room_check.cold_facts(20.0, "co2", 0.0)["co2_percent"] == 0.0
    # 19.45 %, just below the line, and air that was thin before
    near_line = room_check.cold_facts(20.0, "n2", 20.0 * (1.0 - 19.45 / 20.95))
    assert near_line["oxygen_effect"] == room_check.effect("o2", 19.45)["text"]
    thin = room_check.cold_facts(20.0, "n2", 0.0, 0.19)
    assert thin["oxygen_effect"] == room_check.effect("o2", 19.0)["text"]
    # more gas than room leaves none
    for m3 in (20.0, 30.0):
        full = room_check.cold_facts(20.0, "co2", m3)
        assert (full["oxygen_percent"], full["co2_percent"]) == (0.0, 100.0)


@pytest.mark.parametrize("gas", ["o2", "co2"])
def test_an_effect_is_the_line_it_falls_into_and_the_milder_at_its_edge(gas: str) -> None:
    rows = [row for row in blocks.blocks("air_effects.toml", "effect") if row["gas"] == gas]
    for row in rows:
        middle = 0.5 * (row["low"] + row["high"])
        assert room_check.effect(gas, middle)["text"] == row["text"]
        edge = row["low"] if gas == "o2" else row["high"]
        assert room_check.effect(gas, edge)["text"] == row["text"]
    assert room_check.effect("o2", 19.5)["text"] == "no effect is listed"
    assert room_check.effect("o2", 19.49)["text"] != "no effect is listed"


def test_stops_past_each_level_and_not_at_it() -> None:
    at = {"room_m3": 20.0, "oxygen_percent": 19.5, "co2_percent": 3.0}
    assert room_check.stops(at) is False
    assert room_check.stops({**at, "oxygen_percent": 19.499}) is True
    assert room_check.stops({**at, "co2_percent": 3.001}) is True
    assert room_check.stops({**at, "room_m3": None}) is True
    assert room_check.stops({"room_m3": None}) is True


@pytest.mark.parametrize("gas", ["n2", "he", "ar", "co2", "n2o", "o2"])
def test_least_room_and_largest_release_are_each_others_reverse(gas: str) -> None:
    share = room_check.shares()[gas]
    room_m3 = room_check.least_room_m3({gas: 1.0})
    assert 1.0 / share <= room_m3 <= 1.0 / share + 0.1001
    assert round(10.0 * room_m3, 9) == round(10.0 * room_m3)
    kg = room_check.largest_kg(gas, 30.0, 0.5)
    assert share * 30.0 / 0.5 - 0.00101 <= kg <= share * 30.0 / 0.5
    assert room_check.largest_kg(gas, 30.0, 0.5, 1) == pytest.approx(kg, abs=0.1)
    assert room_check.largest_kg(gas, 30.0, 0.5, 1) <= kg
    # a threshold itself passes for its rounding neither way
    exact = room_check.least_room_m3({gas: 2.0 * share})
    assert exact in (pytest.approx(2.0), pytest.approx(2.1))
    assert 2.0 * share / exact <= share


def test_least_room_of_several_gases_together() -> None:
    inert = 1.0 - 19.5 / 20.95
    # nitrogen and argon take oxygen's place together; oxygen does not
    assert room_check.least_room_m3({"n2": 1.0, "ar": 1.0}) == pytest.approx(2.0 / inert, abs=0.11)
    assert room_check.least_room_m3({"n2": 1.0, "o2": 0.1}) == pytest.approx(1.0 / inert, abs=0.11)
    assert room_check.least_room_m3({"n2o": 1.0, "n2": 1.0}) == pytest.approx(100.0, abs=0.11)
    assert room_check.least_room_m3({"n2": 0.001}) == 0.5
    # rounded up from the very threshold too: 1 % of 2 m3
    assert room_check.least_room_m3({"n2o": 0.02}) == 2.1
    # 2.96 % of 30 m3 at 0.5437 m3/kg are 1.6333 kg
    assert room_check.largest_kg("co2", 30.0, 0.5437) == 1.633
    assert room_check.largest_kg("co2", 30.0, 0.5437, 1) == 1.6
    assert room_check.largest_kg("co2", 30.0, 0.5437, 0) == 1.0


# limits


def test_limits_are_the_rows_of_the_file() -> None:
    for gas in ("n2o", "co2", "o2"):
        assert list(room_check.limits(gas)) == [row for row in LIMITS if row["gas"] == gas]
    assert set(room_check.jurisdictions()) == {row["jurisdiction"] for row in LIMITS}
    assert {"DE", "EU", "UK", "US", "Ireland", "France", "Canada", "Australia", "New Zealand",
            "California"} <= set(room_check.jurisdictions())  # fmt: skip
    assert room_check.ppm({"value": 50, "unit": "ppm"}) == near(50e-6)
    assert room_check.ppm({"value": 19.5, "unit": "%"}) == near(0.195)


@pytest.mark.parametrize("gas", ["n2o", "co2"])
@pytest.mark.parametrize("place", [None, "US", "UK", "DE", "EU"])
def test_a_place_has_its_own_limits_and_all_others_where_it_has_none(
    gas: str, place: str | None
) -> None:
    kinds = ("twa", "twa-in-use", "stel", "danger", "alarm", "alarm-main")
    assert tuple(room_check.KINDS) == kinds
    rows = [row for row in LIMITS if row["gas"] == gas and row["kind"] in kinds]
    own = [row for row in rows if row["jurisdiction"] == place]
    found = room_check.chosen(gas, place)
    assert found[: len(own)] == own
    work = {"twa", "stel"}
    has = {row["kind"] for row in own}
    has |= work if has & work else set()
    for kind in kinds:
        others = [row for row in rows if row["kind"] == kind and kind not in has]
        stand_in = [row for row in found if row["kind"] == kind and row not in own]
        assert len(stand_in) == bool(others)
        assert all(stand_in[0]["value"] <= row["value"] for row in others)
    assert len(found) == len({row["id"] for row in found})


def course(factor: float = 1.0, supply: float = 0.0004, changes: float = 6.0) -> GasCourse:
    return GasCourse("co2", 50.0, (Release(1.0, 600.0), Release(2.0, 0.0, 3600.0)), changes, supply,
                  factor)  # fmt: skip


@pytest.mark.parametrize("factor", [1.0, 3.0])
def test_a_course_by_hand(factor: float) -> None:
    """What is over the supply is so much more in the worst corner."""
    one = course(factor)
    said = (50.0, one.releases, 6.0, 0.0004, 0.0004)

    def worse(fraction: float) -> Any:
        return near(0.0004 + factor * (fraction - 0.0004))

    assert one.peak() == worse(room_air.highest(*said)[1])
    assert one.at(1000.0) == worse(room_air.concentration(1000.0, *said))
    assert one.mean(900.0) == worse(room_air.highest_average(900.0, *said))
    assert one.mean_in_use() == worse(room_air.average_concentration(0.0, 3600.0, *said))
    limit = 0.01
    within = 0.0004 + (limit - 0.0004) / factor
    assert one.reached_s(limit) == room_air.hazard_time_s(within, *said)
    assert one.clear_s(limit) == room_air.clear_time_s(within, *said, mixing_factor=factor)


def test_a_course_never_holds_more_than_gas_and_stretches_no_further_than_published() -> None:
    flood = GasCourse("n2", 50.0, (Release(40.0),), 6.0, 0.0, 2.0)
    assert flood.peak() == 1.0
    assert flood.at(0.0) == 1.0
    assert flood.mean(10.0) == 1.0
    # a limit below what comes in from outside is passed from the first, and for ever
    assert course().reached_s(300e-6) == 0.0
    assert course().clear_s(300e-6) is None
    # a corner 20 times as bad: the stretch ends at the published 10
    corner = GasCourse("n2", 50.0, (Release(1.0),), 6.0, 0.0, 20.0)
    got = corner.clear_s(0.005)
    assert got == near(10.0 * math.log(0.02 / 0.00025) / 6.0 * 3600.0)
    # nobody asks after more than all of it
    assert GasCourse("n2", 50.0, (Release(1.0),), 0.0, 0.0, 1.0).reached_s(5.0) is None
    assert GasCourse("n2", 50.0, (Release(1.0),), 6.0, 0.0, 1.0).clear_s(5.0) == 0.0


def test_in_use_is_from_the_first_gas_to_the_last_and_a_quarter_of_an_hour_at_least() -> None:
    brief = GasCourse("n2o", 50.0, (Release(0.01, 600.0), Release(0.01, 660.0)), 0.0, 0.0, 1.0)
    # from 600 s to 1500 s: 60 s at 0.02/100, the rest at twice that
    assert brief.mean_in_use() == near((60.0 * 0.0002 + 840.0 * 0.0004) / 900.0)
    long = GasCourse("n2o", 50.0, (Release(0.05, 0.0, 7200.0), Release(0.0, 600.0)), 0.0, 0.0, 1.0)
    assert long.mean_in_use() == near(0.0005)
    assert GasCourse("n2o", 50.0, (Release(0.0),), 1.0, 0.0, 1.0).mean_in_use() == 0.0


def test_each_limit_is_held_against_its_own_mean() -> None:
    one = course(2.0)
    rows = [{"kind": kind, "value": 5000, "unit": "ppm"} for kind in room_check.KINDS]
    found = {row.row["kind"]: row for row in room_check.against(one, rows)}
    assert list(found) == list(room_check.KINDS)
    expected = {
        "twa": one.mean(28800.0), "twa-in-use": one.mean_in_use(), "stel": one.mean(900.0),
        "danger": one.peak(), "alarm": one.peak(), "alarm-main": one.peak(),
    }  # fmt: skip
    assert len(set(expected.values())) == 4
    for kind, row in found.items():
        assert row.found == expected[kind]
        assert row.reached_s == one.reached_s(0.005)
        assert row.share == near(expected[kind] / 0.005)


def test_the_worst_of_some_kinds() -> None:
    found = [
        Against({"kind": kind, "value": 100, "unit": "ppm"}, share * 1e-4, None)
        for kind, share in (("twa", 0.5), ("twa", 2.0), ("stel", 3.0), ("danger", 0.1))
    ]
    assert room_check.worst(found, "twa") == near(2.0)
    assert room_check.worst(found, "twa", "stel") == near(3.0)
    assert room_check.worst(found, "alarm") == 0.0
    assert room_check.worst([], "twa") == 0.0


# what was said of it


def test_facts_of_what_was_said_by_hand() -> None:
    assert room.told_facts(asked()) == {
        "place": asked().place, "air_changes": None, "air_changes_told": 0.0,
        "air_not_counted": False, "cryogens": "",
        "cold": False, "end_not_told": False, "worst_corner": asked().worst_corner,
        "gases": frozenset({"co2"}), "gas_names": "carbon dioxide", "jurisdiction": "-",
        "jurisdiction_known": True, "jurisdictions": ", ".join(room_check.jurisdictions()),
        "assumed": "", "assumed_count": 0,
        "less_gas": "Take less gas or a larger room",
        "less_gas_or_air": "Take less gas, a larger room or more measured fresh air",
    }  # fmt: skip
    inputs = asked(
        release=["1 kg dry ice", "2 l liquid nitrogen", "1 kg dry ice"], rate="1 m3/h n2o",
        air_changes="4 /h ± 1 /h", place="cellar", worst_corner=3, jurisdiction="uk",
    )  # fmt: skip
    facts = room.told_facts(inputs)
    assert facts == {
        "place": "cellar", "air_changes": 3.0, "air_changes_told": 3.0,
        "air_not_counted": False,
        "cryogens": "dry ice and liquid nitrogen", "cold": True, "end_not_told": True,
        "worst_corner": 3.0, "gases": frozenset({"co2", "n2", "n2o"}),
        "gas_names": "carbon dioxide and nitrogen and nitrous oxide", "jurisdiction": "uk",
        "jurisdiction_known": True, "jurisdictions": ", ".join(room_check.jurisdictions()),
        "assumed": "", "assumed_count": 0,
        "less_gas": "Set none free in a cellar", "less_gas_or_air": "Set none free in a cellar",
    }  # fmt: skip
    for said, told in (("4 /h ± 5 /h", 0.0), (0, 0.0), ("4 /h", 4.0)):
        assert room.told_facts(asked(air_changes=said))["air_changes"] == told


@pytest.mark.parametrize("place", ["cold room", "lift", "car"])
def test_closed_boxes_have_no_air_whatever_was_said(place: str) -> None:
    facts = room.told_facts(asked(place=place, air_changes=6))
    assert (facts["air_changes"], facts["air_not_counted"]) == (0.0, True)
    for said in (0, None):
        facts = room.told_facts(asked(place=place, air_changes=said))
        assert (facts["air_changes"], facts["air_not_counted"]) == (0.0, False)


def test_a_plain_number_is_as_sure_as_it_stands() -> None:
    assert room_check.plus_minus(50.0) == 0.0


def test_a_rate_without_an_end_is_a_shift() -> None:
    open_end, told, inside = (
        asked(release=(), rate="1 m3/h n2o"),
        asked(release=(), rate="1 m3/h n2o", **{"for": "3 h"}),
        asked(release=(), rate="1 m3/h n2o for 2 h"),
    )  # fmt: skip
    assert [room.told_facts(one)["end_not_told"] for one in (open_end, told, inside)] == [
        True, False, False,
    ]  # fmt: skip
    assert [room.set_free_for_s(one) for one in (open_end, told)] == [28800.0, 10800.0]


def test_what_burns_is_refused_with_its_reason() -> None:
    assert room.refusal(asked()) == {}
    facts = room.refusal(asked(release=["1 kg propane", "2 kg propane", "1 kg co2"],
                                     rate="1 kg/h butane"))  # fmt: skip
    assert facts["refused_gas"] == "propane and butane"
    assert facts["refused_gas_count"] == 2
    assert facts["refused_gas_why"].count("explode") == len(facts["refused_gas_why"].split("; "))
    ammonia = room.refusal(asked(release=["1 kg propane", "1 kg ammonia"]))
    assert ammonia["refused_gas_why"] == (
        "it burns and explodes in a room, and it is no food; it is lighter than air and burns eyes "
        "and lungs"
    )


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("us", "US"), ("US", "US"), (" united   STATES ", "US"), ("usa", "US"), ("uk", "UK"),
        ("United Kingdom", "UK"), ("great britain", "UK"), ("GB", "UK"), ("germany", "DE"),
        ("de", "DE"), ("european union", "EU"), ("eu", "EU"), ("Atlantis", None), (None, None),
    ],
)  # fmt: skip
def test_a_jurisdiction_by_its_names(said: str | None, key: str | None) -> None:
    inputs = asked(jurisdiction=said)
    assert room.jurisdiction(inputs) == key
    facts = room.told_facts(inputs)
    assert facts["jurisdiction_known"] is (said is None or key is not None)


def test_net_volume_at_the_least_that_it_may_be() -> None:
    assert room.net_m3(asked(equipment="0 %")) == near(50.0)
    assert room.net_m3(asked(equipment="20 %")) == near(40.0)
    assert room.net_m3(asked(volume="50 m3 ± 5 m3", equipment="20 %")) == near(36.0)
    assert room.net_m3(asked(volume=None)) is None
    sides = {"volume": None, "length": "5 m", "width": "4 m", "height": "6 m", "equipment": "10 %"}
    assert room.net_m3(asked(**sides)) == near(108.0)
    # the published cap: gas below 3 m counts no higher air
    capped = room.net_m3(asked(**sides, cap_height=True))
    assert capped is not None
    assert capped < 108.0
    spread = {**sides, "length": "5 m ± 0.5 m", "height": "6 m ± 1 m"}
    assert room.net_m3(asked(**spread)) == near(4.5 * 4.0 * 5.0 * 0.9)
    nothing = room.net_m3(asked(**{**sides, "width": "0.5 m ± 0.6 m"}))
    assert nothing == near(5.0 * 0.05 * 6.0 * 0.9)


@pytest.mark.parametrize(
    ("more", "field", "says"),
    [
        ({"length": "5 m"}, "volume",
         "give --volume, or --length, --width and --height, and not both."),
        ({"volume": None, "length": "5 m", "width": "3 m"}, "length",
         "a room by its sides needs all of --length, --width and --height."),
        ({"volume": None, "height": "3 m"}, "length",
         "a room by its sides needs all of --length, --width and --height."),
        ({"volume": "1 m3 ± 0.995 m3"}, "volume",
         "--volume may be as little as 0.005 m3 by its ±; measure it better."),
    ],
)  # fmt: skip
def test_a_room_that_cannot_be_is_one_sentence(
    more: dict[str, Any], field: str, says: str
) -> None:  # fmt: skip
    with pytest.raises(BadInput) as wrong:
        room.net_m3(asked(**more))
    assert str(wrong.value) == says
    assert wrong.value.field == field
    assert room.net_m3(asked(volume="0.5 m3 ± 0.375 m3", equipment="0 %")) == near(0.125)
    assert room.net_m3(asked(volume="0.5 m3 ± 0.398 m3", equipment="0 %")) == near(0.102)
