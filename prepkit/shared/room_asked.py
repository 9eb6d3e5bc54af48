"""What was said of a room: its net volume, its air, the place, whose limits."""

from __future__ import annotations

from typing import Any

from prepkit.errors import BadInput, named
from prepkit.science import cryogen, room_sizes
from prepkit.shared import places, room_check
from prepkit.shared.release import Released

ASSUMED_H = 8.0  # of a rate for which nobody said how long: a shift
LEAST_M3 = 0.01
MOST_AIR_H = 20.0  # air changes an hour that are counted; more is asked to be measured: JUDGEMENT
_ALSO = {
    "usa": "US", "united states": "US", "america": "US", "new york": "US", "ny": "US",
    "united kingdom": "UK", "great britain": "UK", "gb": "UK", "britain": "UK", "england": "UK",
    "scotland": "UK", "wales": "UK", "northern ireland": "UK", "germany": "DE",
    "deutschland": "DE", "european union": "EU", "europe": "EU", "ie": "Ireland",
    "republic of ireland": "Ireland", "eire": "Ireland", "fr": "France", "nl": "Netherlands",
    "holland": "Netherlands", "se": "Sweden", "dk": "Denmark", "no": "Norway", "it": "Italy",
    "au": "Australia", "aus": "Australia", "nz": "New Zealand", "can": "Canada", "on": "Ontario",
    "bc": "British Columbia", "ab": "Alberta", "qc": "Quebec", "calif": "California",
    "cal": "California",
}  # fmt: skip


def facts(inputs: Any) -> dict[str, Any]:
    """Facts from what was said alone; air changes at the fewest that their ± leaves."""
    told = fresh_air(inputs.air_changes, net_m3(inputs))
    said = released(inputs)
    cryogens = [one.substance for one in said if one.substance in cryogen.CRYOGENS]
    open_end = any(one.steady and one.duration_s is None for one in said)
    gases_in = {one.gas for one in said}
    law = jurisdiction(inputs)
    return {
        "place": inputs.place,
        "air_changes": counted(told, inputs.place),
        "air_changes_told": told or 0.0,
        "air_not_counted": bool(told) and inputs.place in places.CLOSED,
        "cryogens": " and ".join(dict.fromkeys(cryogens)),
        "cold": bool(cryogens),
        "assumed": "; ".join(dict.fromkeys(one.assumed for one in written(inputs) if one.assumed)),
        "assumed_count": len([one for one in written(inputs) if one.assumed]),
        "end_not_told": open_end and inputs.for_ is None,
        "worst_corner": float(inputs.worst_corner),
        "gases": frozenset(gases_in),
        "gas_names": " and ".join(room_check.GAS_NAMES[gas] for gas in sorted(gases_in)),
        "jurisdiction": inputs.jurisdiction or "-",
        "jurisdiction_known": inputs.jurisdiction is None or law is not None,
        "jurisdictions": ", ".join(room_check.jurisdictions()),
    }


def refused(inputs: Any) -> dict[str, Any]:
    """Facts where something burns, explodes or poisons; empty where nothing does."""
    found = {one.substance: one.refused for one in written(inputs) if one.refused}
    if not found:
        return {}
    why = "; ".join(dict.fromkeys(found.values()))
    return {"refused_gas": " and ".join(found), "refused_gas_why": why,
            "refused_gas_count": len(found)}  # fmt: skip


def written(inputs: Any) -> tuple[Released, ...]:
    """What is set free, as it was written."""
    return (*inputs.release, *inputs.rate)


def released(inputs: Any) -> tuple[Released, ...]:
    """What is set free, each gas of a mixture by itself."""
    return tuple(gas for one in written(inputs) for gas in one.components)


def fresh_air(value: Any, room_m3: float | None) -> float | None:
    """Air changes an hour, at the fewest that their ± leaves; a flow is divided by the room.

    None where it was not told, or is a flow into a room of unknown size.
    """
    if value is None:
        return None
    least = max(float(value) - _plus_minus(value), 0.0)
    if getattr(value, "unit", "/h") == "/h":
        return least
    return None if room_m3 is None else least / room_m3


def counted(told: float | None, place: str) -> float | None:
    """Air changes that are counted: none in a closed box, 20 an hour at most elsewhere.

    >>> counted(50.0, "bar"), counted(50.0, "lift"), counted(None, "bar")
    (20.0, 0.0, None)
    """
    if place in places.CLOSED:
        return 0.0
    return None if told is None else min(told, MOST_AIR_H)


def jurisdiction(inputs: Any) -> str | None:
    """The jurisdiction by the key of the limits; None where none was said or it has none here."""
    said = " ".join((inputs.jurisdiction or "").lower().replace(".", "").split())
    if said == "ca":
        raise BadInput(
            f'{named("jurisdiction")} is "CA"; write California or Canada.', "jurisdiction"
        )
    known = {key.lower(): key for key in room_check.jurisdictions()}
    return known.get(_ALSO.get(said, said).lower())


def lasting_s(inputs: Any) -> float:
    """How long a rate goes on that does not say so itself."""
    told = inputs.for_
    return 3600.0 * (ASSUMED_H if told is None else float(told))


def _plus_minus(value: Any) -> float:
    return float(getattr(value, "plus_minus", 0.0))


def net_m3(inputs: Any) -> float | None:
    """Net volume, at the least that its ± leaves."""
    sides = [side for side in (inputs.length, inputs.width, inputs.height) if side is not None]
    if inputs.volume is not None:
        if sides:
            raise BadInput(
                f"give {named('volume')}, or {named('length')}, {named('width')} and "
                f"{named('height')}, and not both.",
                "volume",
            )
        least = float(inputs.volume) - _plus_minus(inputs.volume)
        if least < LEAST_M3:
            raise BadInput(
                f"{named('volume')} may be as little as {least:g} m3 by its ±; measure it better.",
                "volume",
            )
        return least * (1 - 0.01 * float(inputs.equipment))
    if not sides:
        return None
    if len(sides) < 3:
        raise BadInput(
            f"a room by its sides needs all of {named('length')}, {named('width')} and "
            f"{named('height')}.",
            "length",
        )
    cap = room_sizes.HEIGHT_CAP_M if inputs.cap_height else None
    length, width, height = (max(float(side) - _plus_minus(side), 0.05) for side in sides)
    return room_sizes.net_room_m3(length, width, height, 0.01 * float(inputs.equipment), cap)
