"""Cold mixtures: heat, heat of mixing, ice that freezes out, for the chill and cryogen work."""

from __future__ import annotations

from collections.abc import Iterable

from prepkit.errors import OutOfRange
from prepkit.mixture import Mixture
from prepkit.science import heat
from prepkit.science.ice import MELTING_J_KG

CP_LOW_C, CP_HIGH_C = -10.0, 40.0  # where the specific heat of spirit and water is known


def specific_heat_j_kg_k(mixture: Mixture, from_c: float, to_c: float) -> float:
    """Specific heat at the middle of the way, taken at -10 or 40 C where that lies outside."""
    middle = min(max(0.5 * (from_c + to_c), CP_LOW_C), CP_HIGH_C)
    return mixture.specific_heat_j_kg_k(middle)


def mixing_heat_j(parts: Iterable[Mixture], temperature_c: float, melt_kg: float = 0.0) -> float:
    """Heat that parts (and melted ice) set free on becoming one, taken within -30 to 40 C."""
    pairs = [(part.of("ethanol"), part.of("water")) for part in parts]
    pairs.append((0.0, melt_kg))
    at_c = min(max(temperature_c, heat.MIXING_COLD_C), CP_HIGH_C)
    return heat.mixing_heat_j(pairs, at_c)


def freezing_point_c(mixture: Mixture) -> float | None:
    """Freezing point; None where it is not known (strong or thick) or there is no water.

    Such a mixture freezes colder than what is known of weaker ones.
    """
    try:
        return mixture.freezing_point_c if mixture.of("water") > 0 else None
    except OutOfRange:
        return None


def ice_kg(mixture: Mixture, temperature_c: float) -> float:
    """Ice that has frozen out of a mixture at rest at a temperature, kg: its whole water at most.

    By the freezing line of what stays liquid; where that ends the ice is what it has come to.
    """

    def frozen(kg: float) -> bool:
        """Whether more ice than that stands at the temperature."""
        point = freezing_point_c(mixture.without({"water": kg}))
        return point is not None and point > temperature_c

    if not frozen(0.0):
        return 0.0
    low, high = 0.0, mixture.of("water") * 0.999999
    for _ in range(48):
        middle = 0.5 * (low + high)
        if frozen(middle):
            low = middle
        else:
            high = middle
    return low


def heat_to_remove_j(mixture: Mixture, start_c: float, end_c: float) -> tuple[float, float]:
    """Heat to take out down to a temperature, J, and the ice that forms on the way, kg."""
    ice = ice_kg(mixture, end_c)
    sensible = mixture.mass_kg * specific_heat_j_kg_k(mixture, start_c, end_c) * (start_c - end_c)
    return sensible + MELTING_J_KG * ice, ice
