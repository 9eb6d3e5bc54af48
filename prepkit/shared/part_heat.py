"""Parts that say their own temperature: each one's, and the temperature of all of them together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from prepkit.errors import BadInput, OutOfRange, named
from prepkit.pantry import Part
from prepkit.science import heat
from prepkit.shared import cold
from prepkit.spec import Spec

_SAME_K = 0.05


def own(parts: Iterable[Part]) -> list[float | None]:
    """The temperature that each part says, None where it says none."""
    return [one.temperature_c for one in parts]


def each_c(parts: Iterable[Part], default_c: float, field: str, spec: Spec) -> list[float]:
    """The temperature of each part: its own, or the one for all. OutOfRange by the field's limits.

    `spec` is the field that gives the temperature for all, since its limits hold for each.
    """
    found = []
    for one in parts:
        at_c = default_c if one.temperature_c is None else one.temperature_c
        low, high = spec.low, spec.high
        if one.temperature_c is not None and (
            (low is not None and at_c < low) or (high is not None and at_c > high)
        ):
            raise OutOfRange(
                f'temperature of {named(field)} "{one.words}"', at_c, low, high, "C", spec.because
            )
        found.append(at_c)
    return found


def together_c(parts: Sequence[Part], temperatures: Sequence[float]) -> float:
    """The temperature of parts put together, C: a balance of heat, nothing lost.

    Raises BadInput where a specific heat is not known.
    """
    warm = [(p.mixture, t) for p, t in zip(parts, temperatures, strict=True) if p.mass_kg > 0]
    if len({t for _, t in warm}) < 2:
        return warm[0][1] if warm else temperatures[0]
    return heat.mixing_temperature_c(
        [one.mass_kg for one, _ in warm],
        [cold.specific_heat_j_kg_k(one, t, t) for one, t in warm],
        [t for _, t in warm],
    )


def agreed_c(
    parts: Sequence[Part], given_c: float | None, fields: tuple[str, str], spec: Spec
) -> float | None:
    """The temperature of all, from the parts' own and the one given for those without.

    None where neither says it. Raises BadInput where every part has its own and the given one
    is another, since one of them would be lost.
    """
    field, for_all = fields
    said = own(parts)
    if given_c is None and None in said:
        return None
    found = together_c(parts, each_c(parts, given_c or 0.0, field, spec))
    if given_c is not None and None not in said and abs(found - given_c) > _SAME_K:
        raise BadInput(
            f"{named(field)} is at {found:.1f} °C by its own words, and {named(for_all)} says "
            f"{given_c:g} °C; leave one of the two out.",
            for_all,
        )
    return found
