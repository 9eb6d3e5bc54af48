"""The limits of room air are the same wherever they stand: rows, data, code."""

from __future__ import annotations

import re

import pytest

from prepkit import blocks, cautions
from prepkit.calculators import cryogen, infuse, serve
from prepkit.errors import FileProblem
from prepkit.science import heat, keeping
from prepkit.shared import room_check

LIMITS = {row["id"]: row["value"] for row in blocks.blocks("exposure_limits.toml", "limit")}
OF_FACT = {  # a stop on the fact stands at this limit
    "oxygen_percent": room_check.OXYGEN_STOP,
    "oxygen_at_once_percent": room_check.OXYGEN_STOP,
    "oxygen_high_percent": room_check.OXYGEN_ENRICHED,
    "co2_percent": room_check.CO2_STOP,
    "n2o_ppm": room_check.N2O_STOP_PPM,
    "air_changes": room_check.LEAST_COLD_AIR_H,
    "steady_co2_ppm": cryogen.STORE_STOP_PPM,
}


@pytest.mark.parametrize("fact", OF_FACT)
def test_a_stop_stands_at_the_limit(fact: str) -> None:
    found = [
        (row.id, one.limit)
        for row in cautions.rows()
        if row.severity == "stop"
        for one in row.when
        if one.fact == fact and one.rule != cautions.MISSING
    ]
    assert {limit for _, limit in found} <= {OF_FACT[fact]}, found


def test_the_data_say_the_same() -> None:
    assert LIMITS["oxygen-osha-low"] == LIMITS["oxygen-eiga-low"] == room_check.OXYGEN_STOP
    assert LIMITS["oxygen-osha-high"] == room_check.OXYGEN_ENRICHED


def test_a_store_stops_at_so_many_limits_of_a_shift() -> None:
    shift = {
        row["value"] for row in blocks.blocks("exposure_limits.toml", "limit")
        if row["gas"] == "co2" and row["kind"] == "twa" and row["unit"] == "ppm"
    }  # fmt: skip
    assert min(shift) == cryogen.STORE_CARE_PPM
    assert cryogen.STORE_STOP_PPM == room_check.SHIFT_STOP * cryogen.STORE_CARE_PPM


# Limits that are a published relation of `science`, and what the rows judge by them.
OF_SCIENCE = {
    "ph": ("above", {keeping.ACID_FOOD_PH}),
    "water_activity": ("above", {0, keeping.ACIDIFIED_FOOD_WATER_ACTIVITY}),
    "served_c": ("above", {60, heat.VERY_HOT_C}),
    "serve_caffeine_mg": ("above", {serve.CAFFEINE_DOSE_MG, serve.CAFFEINE_DAY_MG}),
    "alkaloids_mg_kg": ("above", {infuse.ALKALOID_LIMIT_MG_KG}),
    "warmest_c": ("above", {keeping.COLD_HOLDING_C, 30}),
}


@pytest.mark.parametrize("fact", OF_SCIENCE)
def test_other_limits_stand_in_the_rows_as_in_the_code(fact: str) -> None:
    rule, limits = OF_SCIENCE[fact]
    found = {
        one.limit
        for row in cautions.rows()
        if row.severity in ("stop", "care")
        for one in row.when
        if (one.fact, one.rule) == (fact, rule)
    }
    assert found
    assert found <= limits


def test_a_limit_is_shown_with_its_year_and_none_where_it_is_not_known() -> None:
    rows = {row["id"]: row for row in room_check.limits("n2o")}
    assert room_check.whose(rows["n2o-eh40-twa"]) == "EH40 (UK, 2000)"
    assert room_check.whose(rows["n2o-denmark-twa"]) == "national list (Denmark)"


def test_where_a_list_that_was_read_is_milder_the_stricter_limit_stands() -> None:
    # EV3-100: 100 ppm in six countries about 2000, read; Denmark and Norway are held at 50
    rows = {row["id"]: row for row in room_check.limits("n2o")}
    for place in ("sweden", "italy"):
        assert rows[f"n2o-{place}-twa"]["value"] == 100
    for place in ("denmark", "norway"):
        assert rows[f"n2o-{place}-twa"]["value"] == 50
        assert "100 ppm" in rows[f"n2o-{place}-twa"]["note"]


def test_a_name_that_is_no_limit_is_refused() -> None:
    row = {
        "id": "x", "kind": "inhalation", "severity": "stop", "text": "Below @oxygen_low %.",
        "action": "Leave.", "source": "JUDGEMENT", "calculators": ["room"],
        "when": [{"fact": "oxygen_percent", "rule": "below", "limit": "@oxygen_low"}],
    }  # fmt: skip
    read = cautions.row(row)
    assert (read.text, read.when[0].limit) == ("Below 19.5 %.", room_check.OXYGEN_STOP)
    for broken in (
        {"text": "Below @oxygen %."},
        {"when": [{"fact": "oxygen_percent", "rule": "below", "limit": "@oxygen"}]},
    ):
        with pytest.raises(FileProblem, match="oxygen"):
            cautions.row({**row, **broken})


def test_the_rows_take_each_limit_by_its_name() -> None:
    # a figure that stands in the files of the rows instead would not move with the limit
    for path in blocks.names(cautions.FOLDER):
        text = blocks.read(path)
        assert not re.search(r'"oxygen\w*_percent", rule = "\w+", limit = (19|23)\.5', text), path
        assert not re.search(r"\b(19|23)\.5 %", text), path


def test_what_is_taught_and_hung_up_says_the_same() -> None:
    for path in ("wall_sheets.toml", "lessons/demonstrations.toml"):
        said = re.findall(r"(?:Under|Below) ([\d.]+) % oxygen", blocks.read(path))
        assert said, path
        assert set(map(float, said)) == {room_check.OXYGEN_STOP}, path
