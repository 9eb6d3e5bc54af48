"""The limits of room air are the same wherever they stand: rows, data, code."""

from __future__ import annotations

import pytest

from prepkit import blocks, cautions
from prepkit.shared import room_check

LIMITS = {row["id"]: row["value"] for row in blocks.blocks("exposure_limits.toml", "limit")}
OF_FACT = {  # a stop on the fact stands at this limit
    "oxygen_percent": room_check.OXYGEN_STOP,
    "oxygen_at_once_percent": room_check.OXYGEN_STOP,
    "oxygen_high_percent": room_check.OXYGEN_ENRICHED,
    "co2_percent": room_check.CO2_STOP,
    "n2o_ppm": room_check.N2O_STOP_PPM,
}


@pytest.mark.parametrize("fact", OF_FACT)
def test_a_stop_stands_at_the_limit(fact: str) -> None:
    found = [
        (row.id, one.limit)
        for row in cautions.rows()
        if row.severity == "stop"
        for one in row.when
        if one.fact == fact
    ]
    assert {limit for _, limit in found} <= {OF_FACT[fact]}, found


def test_the_data_say_the_same() -> None:
    assert LIMITS["oxygen-osha-low"] == LIMITS["oxygen-eiga-low"] == room_check.OXYGEN_STOP
    assert LIMITS["oxygen-osha-high"] == room_check.OXYGEN_ENRICHED
