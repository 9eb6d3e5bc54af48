"""What was said of a room: its net volume, its air, the place, whose limits."""

from __future__ import annotations

from typing import Any

from prepkit.craft import room_check
from prepkit.errors import BadInput
from prepkit.science import cryogen, room_sizes

CLOSED = ("cold room", "lift", "car")  # no fresh air is counted in them, whatever was said
ASSUMED_H = 8.0  # of a rate for which nobody said how long: a shift
LEAST_M3 = 0.1
_COUNTRIES = {
    "usa": "us", "united states": "us", "united kingdom": "uk", "great britain": "uk", "gb": "uk",
    "germany": "de", "european union": "eu",
}  # fmt: skip


def facts(inputs: Any) -> dict[str, Any]:
    """Facts from what was said alone; air changes at the fewest that their ± leaves."""
    told = None
    if inputs.air_changes is not None:
        told = max(float(inputs.air_changes) - _plus_minus(inputs.air_changes), 0.0)
    said = (*inputs.release, *inputs.rate)
    cryogens = [one.substance for one in said if one.substance in cryogen.CRYOGENS]
    open_end = any(one.steady and one.duration_s is None for one in said)
    gases_in = {one.gas for one in said}
    law = jurisdiction(inputs)
    return {
        "place": inputs.place,
        "air_changes": 0.0 if inputs.place in CLOSED else told,
        "air_not_counted": bool(told) and inputs.place in CLOSED,
        "cryogens": " and ".join(dict.fromkeys(cryogens)),
        "cold": bool(cryogens),
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
    found = {one.substance: one.refused for one in (*inputs.release, *inputs.rate) if one.refused}
    if not found:
        return {}
    why = "; ".join(dict.fromkeys(found.values()))
    return {"refused_gas": " and ".join(found), "refused_gas_why": why,
            "refused_gas_count": len(found)}  # fmt: skip


def jurisdiction(inputs: Any) -> str | None:
    """The jurisdiction by the key of the limits; None where none was said or it has none here."""
    said = " ".join((inputs.jurisdiction or "").lower().split())
    said = _COUNTRIES.get(said, said).upper()
    return said if said in room_check.jurisdictions() else None


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
                "give --volume, or --length, --width and --height, and not both.", "volume"
            )
        least = float(inputs.volume) - _plus_minus(inputs.volume)
        if least < LEAST_M3:
            raise BadInput(
                f"--volume may be as little as {least:g} m3 by its ±; measure it better.", "volume"
            )
        return least * (1 - 0.01 * float(inputs.equipment))
    if not sides:
        return None
    if len(sides) < 3:
        raise BadInput("a room by its sides needs all of --length, --width and --height.", "length")
    cap = room_sizes.HEIGHT_CAP_M if inputs.cap_height else None
    length, width, height = (max(float(side) - _plus_minus(side), 0.05) for side in sides)
    return room_sizes.net_room_m3(length, width, height, 0.01 * float(inputs.equipment), cap)
