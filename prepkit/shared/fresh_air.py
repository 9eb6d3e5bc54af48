"""Fresh air of a room: what was told, at the fewest that its ± leaves, and what is counted."""

from __future__ import annotations

from prepkit.shared import places

USUAL_AIR_H = 4.0  # air changes an hour that a way out asks for where none are told
MOST_AIR_H = 20.0  # air changes an hour that are counted; more is asked to be measured: JUDGEMENT

# Least air changes an hour beside dry ice or liquid nitrogen. JUDGEMENT: below what a published
# working for stored dewars counts on, 0.4 in a room of 36 m3 [OXFORD-S4-03] (read), a room counts
# as shut. No published least for cryogens was read.
LEAST_COLD_AIR_H = 0.4


def changes_h(value: float | None, room_m3: float | None) -> float | None:
    """Air changes an hour, at the fewest that their ± leaves; a flow is divided by the room.

    None where it was not entered, or is a flow into a room of unknown size.
    """
    if value is None:
        return None
    least = max(float(value) - plus_minus(value), 0.0)
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


def too_little_for_cold(changes: float | None) -> bool:
    """Whether dry ice or liquid nitrogen must stop: too little fresh air, or none that is known.

    >>> [too_little_for_cold(changes) for changes in (None, 0.0, 0.39, 0.4)]
    [True, True, True, False]
    """
    # to twelve digits, as the caution rows are judged: 14.4 m3/h into 36 m3 are 0.4
    return changes is None or float(f"{changes:.12g}") < LEAST_COLD_AIR_H


def plus_minus(value: float) -> float:
    """The ± of a number that carries one; 0 of a plain number."""
    return float(getattr(value, "plus_minus", 0.0))
