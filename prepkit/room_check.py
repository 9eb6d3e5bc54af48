"""What a release of gas does to a room: facts for cautions, limits and effects from data."""

from __future__ import annotations

from functools import cache
from typing import Any

from prepkit import blocks
from prepkit.science import room_air

GAS_NAMES = {
    "n2o": "nitrous oxide", "co2": "carbon dioxide", "n2": "nitrogen", "he": "helium",
    "ar": "argon", "o2": "oxygen", "air": "air",
}  # fmt: skip
COLLECTS = {
    "n2o": "low", "co2": "low", "ar": "low", "he": "high", "n2": "low while it is cold",
    "o2": "everywhere", "air": "everywhere",
}  # fmt: skip


@cache
def limits(gas: str) -> tuple[dict[str, Any], ...]:
    """The published limits of a gas."""
    rows = blocks.blocks("exposure_limits.toml", "limit", (f'gas = "{gas}"',))
    return tuple(rows)


@cache
def jurisdictions() -> tuple[str, ...]:
    """Those that the limits know."""
    rows = blocks.blocks("exposure_limits.toml", "limit")
    return tuple(sorted({row["jurisdiction"] for row in rows}))


@cache
def _effects(gas: str) -> tuple[dict[str, Any], ...]:
    return tuple(blocks.blocks("air_effects.toml", "effect", (f'gas = "{gas}"',)))


def effect(gas: str, percent: float) -> dict[str, Any]:
    """What is published of air with so much oxygen or carbon dioxide (a lower bound included)."""
    rows = _effects(gas)
    if gas == "o2":  # at the very limit the milder line holds, as "19.5: least permitted"
        return next(row for row in reversed(rows) if percent >= row["low"])
    return next(row for row in rows if percent <= row["high"])


def ppm(row: dict[str, Any]) -> float:
    """A limit's value as a fraction by volume."""
    return float(row["value"]) * (1e-6 if row["unit"] == "ppm" else 1e-2)


def cold_facts(
    room_m3: float | None, gas: str, gas_m3: float, before: float = room_air.OXYGEN
) -> dict[str, Any]:
    """Facts of one release at once, without ventilation; None where the room was not told.

    More gas than room leaves no oxygen.
    """
    if room_m3 is None:
        return {"room_m3": None}
    gas_fraction = min(gas_m3 / room_m3, 1.0)
    return {
        "room_m3": room_m3,
        "gas_m3": gas_m3,
        "gas_name": GAS_NAMES[gas],
        "oxygen_percent": 100 * room_air.oxygen_fraction(gas_fraction, before),
        "oxygen_effect": effect("o2", 100 * room_air.oxygen_fraction(gas_fraction, before))["text"],
        "co2_percent": 100 * gas_fraction if gas == "co2" else 0.0,
    }


OXYGEN_STOP, CO2_STOP = 19.5, 3.0  # % by volume: OSHA-1910-146, BGN-ASI-6-80
OXYGEN_ENRICHED = 23.5  # OSHA-ENRICHED
N2O_STOP_PPM = 10000.0  # a hundred times the limit of a shift in most places: JUDGEMENT


def stops(facts: dict[str, Any]) -> bool:
    """Whether the air alone forbids it (the caution rows say why)."""
    return bool(
        facts.get("room_m3") is None
        or facts["oxygen_percent"] < OXYGEN_STOP
        or facts["co2_percent"] > CO2_STOP
    )
