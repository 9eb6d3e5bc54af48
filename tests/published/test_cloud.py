"""Clouds against published values."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from science import beside

from prepkit.registry import run
from prepkit.science import room_air
from published.rows import Row, load

ROWS = load("cloud")


def _value(name: str, way: str, **more: Any) -> float:
    return float(run("cloud", {"way": way, **more}).values[name].value)


def _dome(name: str, space: str) -> float:
    return _value(name, "smoke dome", burnt="oak", fuel="0.5 g", space=space, face="at it",
                  room_volume="50 m3")  # fmt: skip


def _air_for(grams: float) -> float:
    """% of the flammable limit in air that gives so much in 40 minutes."""
    return 100 * room_air.flammable_share(grams / beside.ethanol_inhaled_g(1.0, 40 / 60))


def _sips() -> float:
    once = room_air.lung_oxygen(0.5, room_air.RESTING_L)
    return 100 * room_air.lung_oxygen(0.5, room_air.RESTING_L, once)


CHECKS: dict[str, Callable[[], float]] = {
    "CLD-01": lambda: _dome("co_face", "1 l"),
    "CLD-01b": lambda: _dome("co_face", "5 l"),
    "CLD-01c": lambda: _dome("co_room", "1 l"),
    "CLD-02": lambda: room_air.ethanol_g_m3(0.031),
    "CLD-03": lambda: _air_for(10.0),
    "CLD-03b": lambda: _air_for(14.0),
    "CLD-04": lambda: _value("lung_oxygen", "gas to breathe", gas="helium"),
    "CLD-04b": lambda: 100 * room_air.lung_oxygen(0.5, room_air.RESTING_L),
    "CLD-04c": _sips,
    "CLD-05": lambda: beside.ethanol_inhaled_g(room_air.ethanol_g_m3(1e-3), 1.0),
    "CLD-06a": lambda: room_air.charcoal_air_m3_h(3.0).low,
    "CLD-06b": lambda: room_air.charcoal_air_m3_h(3.0).high,
    "CLD-07": lambda: _value("flammable", "mist", liquid=["1 l spirit 40 %", "3 l water"],
                             rate="6.5 l/h", room_volume="50 m3", hours="1 h"),
}  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_published(row: Row) -> None:
    assert abs(CHECKS[row.id]() - row.value) <= row.tolerance


def test_every_row_is_checked() -> None:
    assert sorted(row.id for row in ROWS) == sorted(CHECKS)
