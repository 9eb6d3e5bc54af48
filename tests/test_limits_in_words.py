"""A limit that a caution names in its words is the limit that is judged on, wherever it stands."""

from __future__ import annotations

import re

import pytest

from prepkit import caution_rows
from prepkit.caution_rows import Row
from prepkit.shared import room_check

AIR = ("room", "cryogen", "chill", "float", "siphon")
# figure in words to the constant that the rooms are judged by
FIGURES = {
    r"19\.5 %": room_check.OXYGEN_STOP,
    r"23\.5 %": room_check.OXYGEN_ENRICHED,
    r"10,?000 ppm": room_check.N2O_STOP_PPM,
}
ROWS = [row for row in caution_rows.read_files() if set(row.calculators) & set(AIR)]
# facts that a limit of the air is compared with, and the constant that it must be
JUDGED = {
    ("oxygen_percent", "below"): room_check.OXYGEN_STOP,
    ("oxygen_high_percent", "above"): room_check.OXYGEN_ENRICHED,
    ("n2o_ppm", "at_least"): room_check.N2O_STOP_PPM,
}


def stops() -> list[Row]:
    return [row for row in ROWS if row.severity == "stop"]


@pytest.mark.parametrize("row", stops(), ids=lambda row: row.id)
def test_a_stop_of_the_air_is_judged_by_the_one_limit(row: Row) -> None:
    for one in row.when:
        if (one.fact, one.rule) in JUDGED:
            assert one.limit == JUDGED[one.fact, one.rule]
        if one.fact == "co2_percent" and one.rule in ("above", "at_least"):
            assert one.limit == room_check.CO2_STOP


def test_the_figures_in_words_are_those_of_the_limits() -> None:
    for pattern, limit in FIGURES.items():
        figure = float(re.sub(r"[^\d.]", "", pattern.replace("\\", "")))
        assert figure == limit, pattern
    for row in ROWS:
        for said in re.findall(r"([\d.]+) % oxygen", f"{row.text} {row.action} {row.more}"):
            assert float(said) in (18.0, room_check.OXYGEN_STOP, room_check.OXYGEN_ENRICHED, 20.9)


@pytest.mark.parametrize("gas", room_check.GAS_NAMES)
def test_a_sensor_hangs_where_its_gas_is_in_every_sentence(gas: str) -> None:
    low = "30 cm above the floor" in room_check.SENSORS[gas]
    assert low == (gas in ("co2", "n2o", "ar"))
    for row in ROWS:
        text = f"{row.text} {row.action} {row.more}"
        for sentence in re.split(r"(?<=[.;])\s", text):
            if "sensor" in sentence.lower() and room_check.GAS_NAMES[gas] in sentence.lower():
                assert ("floor" in sentence or "low" in sentence or "for" in sentence) == low or (
                    "height" in sentence
                )
