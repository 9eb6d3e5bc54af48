"""How large a room must be, and how much gas it stands: net volume, largest release, vents, dewars.

Concentrations over time are in `room_air`.
"""

from __future__ import annotations

from prepkit.errors import require

DEWAR_FACTOR = 2.0  # allowance for ageing insulation [OXFORD-S4-03] (read)
HEIGHT_CAP_M = 2.0  # one guide counts no height above it [UK-SHE-DEWAR-2014] (read)
VENT_OF_FLOOR = 0.01  # [BGN-ASI-6-80] (read)
# [BGN-DISPENSING] (read): with a cylinder in less room than that, ventilation per hour always,
# or from the first alarm on
VENTILATION_H, VENTILATION_ON_ALARM_H = 2.0, 10.0


def net_room_m3(
    length_m: float,
    width_m: float,
    height_m: float,
    equipment: float = 0.0,
    height_cap_m: float | None = None,
) -> float:
    """Net volume of a room, m3: less the share that equipment takes, height capped where asked.

    equipment: 0 to 0.95. height_cap_m: 2 m in one guide, since cold gas lies low.

    >>> net_room_m3(10.0, 10.0, 3.0, 0.1, 2.0)
    180.0

    Raises: OutOfRange. Source: [UK-SHE-DEWAR-2014] Appendix 3 (read).
    """
    for name, value in (("length_m", length_m), ("width_m", width_m), ("height_m", height_m)):
        require(name, value, 0.05, 1000.0, "m")
    require("equipment", equipment, 0.0, 0.95, "")
    height = height_m if height_cap_m is None else min(height_m, height_cap_m)
    return length_m * width_m * height * (1.0 - equipment)


def vent_opening_m2(floor_m2: float) -> float:
    """Area of the opening that a room with a CO2 cylinder needs for natural ventilation, m2.

    floor_m2: above 0, to 10000.

    >>> vent_opening_m2(12.5)
    0.125

    Raises: OutOfRange. Source: [BGN-ASI-6-80] Annex 4 (read): 1/100 of the floor.
    """
    require("floor_m2", floor_m2, 1e-6, 10000.0, "m2", "BGN-ASI-6-80")
    return VENT_OF_FLOOR * floor_m2


def dewar_gas_m3_h(
    litres_per_day: float, gas_ratio: float = 700.0, factor: float = DEWAR_FACTOR
) -> float:
    """Gas that evaporates from open dewars, m3/h.

    litres_per_day: of liquid, from 0, as the maker states it for all dewars together. gas_ratio:
    litres of gas per litre of liquid, 600 to 900. factor: 1 or more, for ageing insulation.

    >>> round(dewar_gas_m3_h(0.75), 4)
    0.0437

    Raises: OutOfRange. Source: [OXFORD-S4-03] Appendix 1 (read).
    """
    require("litres_per_day", litres_per_day, 0.0, None, "l/d")
    require("gas_ratio", gas_ratio, 600.0, 900.0, "")
    require("factor", factor, 1.0, 10.0, "")
    return factor * gas_ratio * litres_per_day / 24000.0
