"""Relative sweetness of one sugar: what `taste` adds up for a drink, for a single one."""

from __future__ import annotations

from prepkit.errors import BadInput
from prepkit.science.taste import SWEETNESS, fructose_sweetness, sweetness

__all__ = ["relative_sweetness"]


def relative_sweetness(sugar: str, temperature_c: float) -> float:
    """Sweetness of a sugar beside the same mass of sucrose, which is 1.

    sugar: a component name such as fructose, glucose, lactose. temperature_c: 0 to 60 C; only
    fructose is known to go by it. Error: 20 % or more, `taste.sweetness` has it.

    >>> relative_sweetness("fructose", 5.0), relative_sweetness("sucrose", 20.0)
    (1.47, 1.0)

    Raises: OutOfRange; BadInput for what is no sugar known here.
    Source: [SWEETNESS-TABLES], [FRUCTOSE-SWEETNESS] (read).
    """
    if sugar == "fructose":
        return fructose_sweetness(temperature_c)
    if sugar not in SWEETNESS:
        known = ", ".join(("fructose", *SWEETNESS))
        raise BadInput(f'"{sugar}" has no sweetness here; they are {known}.', "sugar")
    return sweetness({sugar: 1.0}, temperature_c).value
