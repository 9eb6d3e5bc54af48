"""What a release of gas does to a room: facts for cautions, limits and effects from data."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from math import ceil, floor
from typing import Any, NotRequired, TypedDict, cast

from prepkit import blocks
from prepkit import jurisdictions as places_of_rules
from prepkit.science import gases, room_air

GAS_NAMES = gases.GAS_NAMES
#: Where an alarm's sensor hangs: carbon dioxide within 305 mm of the floor [IFC-2018-5307] (read).
SENSORS = {
    "co2": "carbon dioxide, about 30 cm above the floor",
    "n2o": "nitrous oxide, about 30 cm above the floor",
    "ar": "oxygen, about 30 cm above the floor",
    "he": "oxygen, at breathing height and under the ceiling",
    "n2": "oxygen, at breathing height",
    "o2": "oxygen, at breathing height", "air": "oxygen, at breathing height",
}  # fmt: skip
COLLECTS = {
    "n2o": "low", "co2": "low", "ar": "low", "he": "high", "n2": "low while it is cold",
    "o2": "everywhere", "air": "everywhere",
}  # fmt: skip


class Limit(TypedDict):
    """A row of exposure_limits.toml."""

    id: str
    gas: str
    kind: str
    value: float
    unit: str
    jurisdiction: str
    body: str
    binding: bool
    source: str
    obtained: str
    year: NotRequired[int]  # of the list; not there where it is not known
    note: NotRequired[str]


class Effect(TypedDict):
    """A row of air_effects.toml."""

    gas: str
    low: float
    high: float
    text: str
    source: str
    obtained: str


@cache
def limits(gas: str) -> tuple[Limit, ...]:
    """The published limits of a gas."""
    rows = blocks.blocks("exposure_limits.toml", "limit", (f'gas = "{gas}"',))
    return cast("tuple[Limit, ...]", tuple(rows))


def whose(limit: Limit) -> str:
    """Whose limit it is, where, and of which year where that is known."""
    year = f", {limit['year']}" if "year" in limit else ""
    return f"{limit['body']} ({limit['jurisdiction']}{year})"


@cache
def jurisdictions() -> tuple[str, ...]:
    """Those that the limits know."""
    rows = blocks.blocks("exposure_limits.toml", "limit")
    return tuple(sorted({row["jurisdiction"] for row in rows}))


def jurisdiction(name: str | None) -> str | None:
    """The jurisdiction by the key of the limits; None where none was said or it has none here."""
    key = places_of_rules.key_of(name or "")
    held = jurisdictions()
    found = places_of_rules.chain(key) if key is not None else ()
    return next((place for place in found if place in held), None)


@cache
def _effects(gas: str) -> tuple[Effect, ...]:
    rows = blocks.blocks("air_effects.toml", "effect", (f'gas = "{gas}"',))
    return cast("tuple[Effect, ...]", tuple(rows))


def effect(gas: str, percent: float) -> Effect:
    """What is published of air with so much oxygen or carbon dioxide (a lower bound included)."""
    rows = _effects(gas)
    if gas == "o2":  # at the very limit the milder line holds, as "19.5: least permitted"
        return next(row for row in reversed(rows) if percent >= row["low"])
    return next(row for row in rows if percent <= row["high"])


def ppm(row: Limit) -> float:
    """A limit's value as a fraction by volume."""
    return float(row["value"]) * (1e-6 if row["unit"] == "ppm" else 1e-2)


def cold_facts(
    room_m3: float | None, gas: str, gas_m3: float, before: float = room_air.OXYGEN
) -> dict[str, Any]:  # Any: words and numbers, compared with limits
    """Facts of one release at once, without ventilation; None where the room was not entered.

    More gas than room leaves no oxygen.
    """
    if room_m3 is None:
        return {"room_m3": None}
    gas_fraction = min(gas_m3 / room_m3, 1.0)
    outside = OUTSIDE_CO2 if gas_m3 else 0.0
    return {
        "room_m3": room_m3,
        "gas_m3": gas_m3,
        "gas_name": GAS_NAMES[gas],
        "oxygen_percent": 100 * room_air.oxygen_fraction(gas_fraction, before),
        "oxygen_effect": effect("o2", 100 * room_air.oxygen_fraction(gas_fraction, before))["text"],
        "co2_percent": 100 * min(gas_fraction + outside, 1.0) if gas == "co2" else 0.0,
    }


OUTSIDE_CO2 = 400e-6  # [CO2-ROOM-HANDBOOK]
OXYGEN_STOP, CO2_STOP = 19.5, 3.0  # % by volume: OSHA-1910-146, BGN-ASI-6-80
OXYGEN_ENRICHED = 23.5  # OSHA-ENRICHED
SHIFT_STOP = 3.0  # times a limit of 8 hours: JUDGEMENT
N2O_STOP_PPM = 10000.0  # a hundred times the limit of a shift in most places: JUDGEMENT
LEAST_ROOM_M3 = 0.5  # smaller is no room
_INWARD = 1e-9  # of a threshold, so that its own rounding does not pass it


def shares(caps: Mapping[str, float] | None = None) -> dict[str, float]:
    """Fraction of each gas, set free at once by itself in fresh air, at which the answer is stop.

    caps: fractions from limits at work, in a room without fresh air.

    >>> round(shares()["co2"], 4), round(shares()["n2"], 4)
    (0.0296, 0.0692)
    """
    inert = 1.0 - 0.01 * OXYGEN_STOP / room_air.OXYGEN
    found = dict.fromkeys(("n2", "he", "ar"), inert)
    found["co2"] = min(inert, 0.01 * CO2_STOP - OUTSIDE_CO2)
    found["n2o"] = min(inert, 1e-6 * N2O_STOP_PPM)
    for gas, cap in (caps or {}).items():
        found[gas] = min(found[gas], cap)
    found["o2"] = (0.01 * OXYGEN_ENRICHED - room_air.OXYGEN) / (1.0 - room_air.OXYGEN)
    return found


def least_room_m3(
    amounts_m3: Mapping[str, float], caps: Mapping[str, float] | None = None
) -> float:
    """Least room that takes those gases all at once without a stop, rounded up to 0.1 m3.

    >>> least_room_m3({"n2o": 0.01304})
    1.4
    """
    limits = shares(caps)
    inert = math.fsum(m3 for gas, m3 in amounts_m3.items() if gas != "o2")
    needed = max(inert / limits["n2"], *(m3 / limits[gas] for gas, m3 in amounts_m3.items()))
    return max(ceil(10.0 * needed * (1.0 + _INWARD)) / 10.0, LEAST_ROOM_M3)


def largest_kg(
    gas: str,
    room_m3: float,
    m3_kg: float,
    digits: int = 3,
    caps: Mapping[str, float] | None = None,
) -> float:
    """Most of a gas that a room takes at once without a stop, rounded down to so many digits.

    >>> largest_kg("co2", 30.0, 0.5437)
    1.633
    """
    ten: float = 10.0**digits
    return floor(ten * shares(caps)[gas] * room_m3 / m3_kg * (1.0 - _INWARD)) / ten


def stops(facts: Mapping[str, Any]) -> bool:  # Any: words and numbers, compared here
    """Whether the air alone forbids it (the caution rows say why)."""
    return bool(
        facts.get("room_m3") is None
        or facts["oxygen_percent"] < OXYGEN_STOP
        or facts["co2_percent"] > CO2_STOP
        or facts.get("short_share", 0.0) > 1.0
        or facts.get("co2_shift_share", 0.0) >= SHIFT_STOP
    )
