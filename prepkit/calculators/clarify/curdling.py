"""Whether milk curdles in a punch: the pH with milk, and what is known of that pH."""

from __future__ import annotations

from typing import NamedTuple

from prepkit.calculators.clarify.inputs import Inputs
from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.model import Step
from prepkit.science import acids, curd

MOST_PROTEIN = 0.01  # above it protein of other parts takes up acid that no model here counts


class Sour(NamedTuple):
    """pH with milk: likely, and the ends of its band."""

    value: float
    low: float
    high: float


def ph_with(inputs: Inputs, poured: Mixture, milk: Mixture) -> Sour | None:
    """pH of punch and milk: as measured, or by the acids less what milk takes; None if unknown."""
    if inputs.measured_ph is not None:
        return Sour(*(float(inputs.measured_ph),) * 3)
    whole = poured + milk
    if poured.fraction("protein") > MOST_PROTEIN:
        return None
    molal, water = poured.acid_molalities, poured.of("water")
    if not molal:
        return Sour(curd.MILK_PH, 6.5, curd.MILK_PH)
    solvent = whole.of("water", "ethanol")
    try:
        acids.require_medium(min(whole.sugar, 1.0), whole.abv)
        shift = acids.food_acid_pk_shift(whole.ethanol_kg / solvent)
        molal = {name: one * water / solvent for name, one in molal.items()}
        least, point, most = (one * water / solvent for one in poured.strong_cation_molality)
        litres = 1000 * milk.volume_20_m3 / solvent
        value = curd.ph_with_milk(molal, point, litres, shift.point)
        off = curd.uptake_error(value)
        low = curd.ph_with_milk(molal, least, litres, shift.low, 1 - off)
        high = curd.ph_with_milk(molal, most, litres, shift.high, 1 + off)
        _, ionic = acids.equilibrium(molal, point, pk_shift=shift.point)
    except BadInput:
        return None
    own = acids.ph_error(ionic, max(molal.values()))
    return Sour(value, min(low, value) - own, max(high, value) + own)


def verdict(inputs: Inputs, found: Sour | None, whole: Mixture) -> tuple[str, str]:
    """Whether it curdles ("yes", "perhaps", "no"), and why."""
    cold = float(inputs.temperature) < curd.COLD_C
    alone, surely = curd.SPIRIT_ALONE_ABV
    if found is None:
        return "perhaps", "its pH could not be worked out, so measure it with a meter"
    if cold and found.low <= curd.curd_seen_ph(curd.COLD_C):
        return "perhaps", f"below {curd.COLD_C:g} °C milk may not clot, however sour"
    if found.high <= curd.ISOELECTRIC_PH:
        return "yes", ""
    seen = curd.curd_seen_ph(max(float(inputs.temperature), curd.COLD_C))
    if found.low <= seen + curd.SEEN_ERROR:
        return "perhaps", f"pH {found.value:.1f} may end above 4.6, where curd is complete"
    if whole.abv >= alone:
        word = "most" if whole.abv >= surely else "some"
        return "perhaps", f"{100 * whole.abv:.0f} % vol curdles {word} milk without acid"
    return "no", f"pH {found.value:.1f} with milk, and curd needs {seen:.1f} at this warmth"


def steps(found: Sour | None, inputs: Inputs, milk: Mixture) -> list[Step]:
    seen = curd.curd_seen_ph(max(float(inputs.temperature), curd.COLD_C))
    said = f"at {float(inputs.temperature):g} °C; curd is complete below {curd.ISOELECTRIC_PH:g}"
    known = [Step("curd below pH", said, seen, "", "CURD-MEMORY")]
    if found is None:
        return [*known, Step("pH with milk", "not worked out: measure it", source="DEFINITION")]
    if inputs.measured_ph is not None:
        return [*known, Step("pH with milk", "as measured", found.value, "", "DEFINITION")]
    litres = 1000 * milk.volume_20_m3
    said = (
        f"acids of the punch less what {litres:.3f} l of milk takes up: "
        f"between {found.low:.1f} and {found.high:.1f}"
    )
    return [*known, Step("pH with milk", said, found.value, "", "MILK-ACID-MODEL")]
