"""What the acids of any product say to the caution rules: strength, limits, what dissolves."""

from __future__ import annotations

import math
from typing import Any

from prepkit.errors import BadInput
from prepkit.mixture import ACIDS, Mixture
from prepkit.science import acids

NAMED = ("citric", "lactic", "phosphoric", "acetic", "tartaric", "malic", "succinic", "fumaric")
BENCH_C = 20.0
# A pH that is not known is taken as this, where a rule asks whether there is acid enough.
_NO_ACID_PH = 14.0


def of(mixture: Mixture) -> dict[str, Any]:  # Any: facts are numbers, words or flags
    """Facts of every product, always all of them.

    `<acid>_percent` by weight; `acid_percent` of all acids; `stock_citric_percent` titratable as
    citric; `eye_irritant_percent` and `eye_damage_percent` by hazard class; `phosphoric_mg_l`;
    `undissolved` (the acid that is worst dissolved, over what its water dissolves at 20 C) with
    its name, its most and the temperature of that; `ph_at_most`, asked of garlic and its kin
    alone: the pH with its error, 14 where it is not known.
    """
    held = mixture.masses_kg
    percent = {acid: 100.0 * mixture.fraction(acid) if acid in held else 0.0 for acid in ACIDS}
    return {
        **{f"{acid}_percent": percent[acid] for acid in NAMED},
        "acid_percent": math.fsum(percent.values()),
        "stock_citric_percent": 100.0 * mixture.acidity_as_citric,
        "eye_irritant_percent": percent["citric"] + percent["malic"] + percent["fumaric"],
        "eye_damage_percent": percent["tartaric"] + percent["succinic"],
        "phosphoric_mg_l": _phosphoric_mg_l(mixture),
        "ph_at_most": ph_at_most(mixture) if "garlic-family" in mixture.tags else None,
        **_undissolved(mixture),
    }


def saturation(mixture: Mixture, temperature_c: float) -> dict[str, tuple[float, bool, float]]:
    """How near each acid stands to saturation in the water that is there.

    Acid -> (acid per water over what dissolves, whether that is known at this temperature, the
    temperature at which it is known). Below the known temperatures the lowest known one is used.
    """
    found = {}
    water_kg = mixture.of("water")
    for acid in ACIDS:
        mass = mixture.of(acid)
        if mass <= 0.0 or acid in acids.MISCIBLE:
            continue
        low, high = acids.solubility_range_c(acid)
        known_at = min(max(temperature_c, low), high)
        most = acids.solubility_mass_fraction(acid, known_at)
        per_water = mass / water_kg if water_kg > 0.0 else float("inf")
        # Warmer than the highest known temperature more dissolves: that figure holds as well.
        found[acid] = (per_water * (1.0 - most) / most, temperature_c >= low, known_at)
    return found


def _undissolved(mixture: Mixture) -> dict[str, Any]:  # Any: as in `of`
    # a dry powder is no solution, and nothing is said of it
    by_acid = saturation(mixture, BENCH_C) if mixture.of("water") > 0.0 else {}
    if not by_acid:
        return dict.fromkeys(
            ("undissolved", "undissolved_acid", "undissolved_most_percent", "undissolved_known_c")
        )
    worst = max(by_acid, key=lambda acid: by_acid[acid][0])
    ratio, _, known_at = by_acid[worst]
    return {
        "undissolved": ratio,
        "undissolved_acid": f"{worst} acid",
        "undissolved_most_percent": 100.0 * acids.solubility_mass_fraction(worst, known_at),
        "undissolved_known_c": known_at,
    }


def _phosphoric_mg_l(mixture: Mixture) -> float:
    mass_kg = mixture.of("phosphoric")
    if not mass_kg:
        return 0.0
    try:
        litres = 1000.0 * mixture.volume_20_m3
    except BadInput:  # a concentrate whose density is not published: as if it weighed 1 kg/l
        litres = mixture.mass_kg
    return 1e6 * mass_kg / litres


def ph_at_most(mixture: Mixture) -> float:
    """Upper bound of the pH of a mixture; that of no acid at all where none is known."""
    try:
        return mixture.ph.value + mixture.ph.plus_minus
    except BadInput:
        return _NO_ACID_PH
