"""What the cautions of a siphon load are judged on, and the customs of the trade beside it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import ceil, isfinite
from typing import Any

from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.science import charger, dissolved_gas
from prepkit.science.gases import STANDARD_PA
from prepkit.siphon_load import Bounds, Load

GAS_NAMES = {"n2o": "nitrous oxide", "co2": "carbon dioxide", "n2": "nitrogen"}
# [CHARGER-PAGES], customs: grams in one charger. Nitrogen bulbs hold 2.0 to 2.4 g: the heavier.
CHARGER_G = {"n2o": 8.0, "co2": 8.0, "n2": 2.4}
BULB_ML = 10.0
# A ratio or pressure that has no bound is shown and judged as this.
NO_BOUND = 999.0
BAR = 1e5
ROUNDING = 1e-9  # equal shares of a batch must not count as overfilled


@dataclass(frozen=True)
class Style:
    """A use of the siphon: its gases, chargers per litre by custom, least pressure to pour at."""

    gases: tuple[str, ...]
    chargers_per_l: float
    least_bar: float


# [SIPHON-PRACTICE] for the chargers; the least pressures are this tool's own judgement.
STYLES = {
    "whipped-cream": Style(("n2o",), 2.0, 1.0),
    "cold-foam": Style(("n2o",), 2.0, 1.0),
    "nitro": Style(("n2",), 2.0, 1.0),
    "soda": Style(("co2",), 1.0, 0.5),
    "infusion": Style(("n2o", "co2"), 2.0, 0.0),
}


def practice_count(style: str, fill_m3: float) -> int:
    """Chargers that custom puts into one vessel.

    >>> practice_count("whipped-cream", 0.5e-3), practice_count("soda", 1.0e-3)
    (1, 1)
    """
    return max(1, ceil(STYLES[style].chargers_per_l * fill_m3 * 1e3 - 1e-6))


def missing(inputs: Any) -> dict[str, Any]:
    """The three facts without which nothing is said; None where one was not told."""
    return {
        "rated_bar": None if inputs.rated is None else float(inputs.rated),
        "vessel_l": None if inputs.vessel_volume is None else float(inputs.vessel_volume),
        "max_fill_l": None if inputs.max_fill is None else float(inputs.max_fill),
    }


def gas_is_allowed(inputs: Any) -> bool | None:
    """Whether the vessel's manual was said to allow the gas; None where nothing was said."""
    return inputs.gas in inputs.allowed_gas if inputs.allowed_gas else None


def of_vessel(inputs: Any, chargers: int, charger_g: float, warmest_c: float) -> dict[str, Any]:
    """The load against what the vessel's plate and manual say."""
    allowed = gas_is_allowed(inputs)
    facts: dict[str, Any] = {
        "gas": inputs.gas,
        "gas_name": GAS_NAMES[inputs.gas],
        "gas_allowed": allowed,
        "chargers": chargers,
        "charger_g": charger_g,
        "warmest_c": warmest_c,
        "plastic_head_not_cleared": inputs.head == "plastic" and allowed is not True,
        "plastic_head": inputs.head == "plastic",
        "not_told": ", ".join(_not_told(inputs)),
        "something_not_told": bool(_not_told(inputs)),
    }
    if inputs.allowed_charger is not None:
        facts["charger_over_allowed"] = charger_g / float(inputs.allowed_charger)
        facts["allowed_charger_g"] = float(inputs.allowed_charger)
    if inputs.most_chargers is not None:
        facts["over_most_chargers"] = chargers - inputs.most_chargers
        facts["most_chargers"] = inputs.most_chargers
    if inputs.hottest is not None:
        facts["over_hottest_c"] = warmest_c - float(inputs.hottest)
        facts["hottest_c"] = float(inputs.hottest)
    else:
        facts["warm_without_limit_c"] = warmest_c
    if inputs.inspection_due is not None:
        facts["days_overdue"] = (_day(inputs.date) - _day(inputs.inspection_due)).days
        facts["inspection_due"] = inputs.inspection_due
    return facts


def _not_told(inputs: Any) -> list[str]:
    told = {
        "gases that it may be used with": inputs.allowed_gas,
        "charger size": inputs.allowed_charger,
        "most chargers": inputs.most_chargers,
        "highest temperature": inputs.hottest,
        "date of the next inspection": inputs.inspection_due,
        "material of the head": inputs.head,
    }
    return [name for name, value in told.items() if not value]


def _day(words: str) -> date:
    try:
        return date.fromisoformat(words)
    except ValueError:
        raise BadInput(
            f'"{words}" is no date; write year, month and day such as 2027-03-01.'
        ) from None


def of_charger(inputs: Any, charger_g: float) -> dict[str, Any]:
    """The bulb itself: heat, being full of liquid, size; BadInput for a bulb that cannot be."""
    facts: dict[str, Any] = {"charger_mass_assumed": inputs.charger_gas_mass is None}
    bulb_m3 = float(inputs.charger_volume) * 1e-6
    if bulb_m3 > 0:
        filling = charger.filling_kg_m3(charger_g / 1e3, bulb_m3)
        most = charger.most_filling_kg_m3(inputs.gas)
        if filling > most * (1 + 1e-9):
            raise BadInput(
                f"{charger_g:g} g of {inputs.gas} in a bulb of {bulb_m3 * 1e6:g} ml is "
                f"{filling:.0f} g/l, more than the {most:.0f} g/l that can be in one; check "
                f"--charger-gas-mass and --charger-volume.",
                "charger_gas_mass",
            )
        facts.update(_full_from(inputs.gas, filling))
    if inputs.charger_temperature is not None:
        at_c = float(inputs.charger_temperature)
        facts["charger_c"] = at_c
        facts["charger_over_storage_c"] = at_c - charger.HOTTEST_STORAGE_C
        if "charger_full_c" in facts:
            facts["charger_above_full_c"] = at_c - facts["charger_full_c"]
    return facts


def _full_from(gas: str, filling: float) -> dict[str, Any]:
    try:
        facts: dict[str, Any] = {"charger_full_c": charger.liquid_full_from_c(gas, filling)}
    except BadInput:
        return {}
    try:
        facts["charger_at_50_c_bar"] = charger.charger_pressure_pa(gas, 50.0, filling) / BAR
    except BadInput:
        del facts["charger_full_c"]
    return facts


def of_contents(inputs: Any, mixture: Mixture) -> dict[str, Any]:
    """What is in it: fat under carbon dioxide, spirit under an oxidiser, pulp in the valve."""
    fat = 100 * mixture.fraction("milk_fat", "fat")
    gas = inputs.gas
    return {
        "co2_with_fat_percent": fat if gas == "co2" else 0.0,
        "n2_with_fat_percent": fat if gas == "n2" else 0.0,
        "oxidiser_with_abv": 100 * mixture.abv if gas == "n2o" else 0.0,
        "clogs": "pulp" in mixture.tags and not inputs.strained,
        "style_wants_other_gas": inputs.style is not None and gas not in STYLES[inputs.style].gases,
        "overrun_cap_percent": 0.0,  # until the dissolved gas is known
        "style": inputs.style or "",
        "style_gases": " or ".join(STYLES[inputs.style].gases) if inputs.style else "",
    }


def of_pressure(load: Load, bounds: Bounds, rated_bar: float, max_fill_m3: float) -> dict[str, Any]:
    """The bounds against the plate. Ratios and pressures without a bound are NO_BOUND."""

    def bar(pascal: float) -> float:
        return pascal / BAR if isfinite(pascal) else NO_BOUND

    bound, still = bar(bounds.highest), bar(bounds.highest_unshaken)
    facts: dict[str, Any] = {
        "bound_bar": bound,
        "bound_known": isfinite(bounds.highest),
        "bound_over_rating": bound / rated_bar,
        "still_bar": still,
        "shaking_saves": still / rated_bar if still > bound else 0.0,
        "still_known": isfinite(bounds.highest_unshaken),
        "fill_over_max": load.liquid_m3 / max_fill_m3 * (1 - ROUNDING),
        "fill_ml": load.liquid_m3 * 1e6,
        "gas_total_g": load.gas_kg * 1e3,
        "solubility_unknown": load.solubility is None,
    }
    return facts


def of_hydrate(load: Load, settled_pa: float | None) -> dict[str, Any]:
    """Settled pressure over the line where a gas hydrate may form; nothing above 10 C."""
    if settled_pa is None or load.gas not in dissolved_gas.HYDRATE:
        return {}
    try:
        line = dissolved_gas.hydrate_pa(load.gas, max(0.0, load.temperature_c))
    except BadInput:
        return {}
    return {"over_hydrate_line": settled_pa / line, "hydrate_bar": (line - STANDARD_PA) / BAR}
