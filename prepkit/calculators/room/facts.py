"""What was said of a room and of what is set free in it, and the facts of that alone."""

from __future__ import annotations

from typing import Any

from prepkit.calculators.room.inputs import Inputs
from prepkit.calculators.room.release import Released
from prepkit.errors import BadInput, named
from prepkit.science import cryogen, room_sizes
from prepkit.shared import fresh_air, places, room_check
from prepkit.shared.fresh_air import plus_minus

ASSUMED_H = 8.0  # of a rate whose end is not entered: a shift
LEAST_M3 = 0.01


def facts(inputs: Inputs) -> dict[str, Any]:  # Any: words and numbers, compared with limits
    """Facts from what was said alone; air changes at the fewest that their ± leaves."""
    told = fresh_air.changes_h(inputs.air_changes, net_m3(inputs))
    said = released(inputs)
    cryogens = [one.substance for one in said if one.substance in cryogen.CRYOGENS]
    open_end = any(one.steady and one.duration_s is None for one in said)
    gases_in = {one.gas for one in said}
    law = jurisdiction(inputs)
    return {
        "place": inputs.place,
        **places.less(inputs.place, bool(cryogens)),
        "air_changes": fresh_air.counted(told, inputs.place),
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


def refused(inputs: Inputs) -> dict[str, object]:
    """Facts where something burns, explodes or poisons; empty where nothing does."""
    found = {one.substance: one.refused for one in written(inputs) if one.refused}
    if not found:
        return {}
    why = "; ".join(dict.fromkeys(found.values()))
    return {"refused_gas": " and ".join(found), "refused_gas_why": why,
            "refused_gas_count": len(found)}  # fmt: skip


def written(inputs: Inputs) -> tuple[Released, ...]:
    """What is set free, as it was written."""
    return (*inputs.release, *inputs.rate)


def released(inputs: Inputs) -> tuple[Released, ...]:
    """What is set free, each gas of a mixture by itself."""
    return tuple(gas for one in written(inputs) for gas in one.components)


def jurisdiction(inputs: Inputs) -> str | None:
    """Whose limits hold, by the key of the limits; None where none was said or it has none."""
    return room_check.jurisdiction(inputs.jurisdiction)


def lasting_s(inputs: Inputs) -> float:
    """How long a rate goes on that does not say so itself."""
    told = inputs.for_
    return 3600.0 * (ASSUMED_H if told is None else float(told))


def net_m3(inputs: Inputs) -> float | None:
    """Net volume, at the low end of its ±."""
    sides = [side for side in (inputs.length, inputs.width, inputs.height) if side is not None]
    if inputs.volume is not None:
        if sides:
            raise BadInput(
                f"give {named('volume')}, or {named('length')}, {named('width')} and "
                f"{named('height')}, and not both.",
                "volume",
            )
        least = float(inputs.volume) - plus_minus(inputs.volume)
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
    length, width, height = (max(float(side) - plus_minus(side), 0.05) for side in sides)
    return room_sizes.net_room_m3(length, width, height, 0.01 * float(inputs.equipment), cap)
