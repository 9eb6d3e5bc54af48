"""How much of a stock goes into a drink: said in drops, measures or grams, or found for an aim."""

from __future__ import annotations

from prepkit.calculators.dose import dropper
from prepkit.calculators.dose.dropper import Drop
from prepkit.calculators.dose.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.science.roots import bracketed
from prepkit.shared import acidity
from prepkit.shared.acidity import acidity_as_citric, known_ph, require_ph
from prepkit.units import Measured, parse_number, parse_quantity

_BY_COUNT = ("dash", "dashes", "barspoon", "barspoons")
# What a dasher or spoon gives, ml, from memory of the trade; a drop comes from the dropper.
_MEASURE_ML = {"dash": 0.9, "barspoon": 5.0}
_MOST_SHARE = 0.5  # of the drink
_MOST_DROPS = 1000
_UNIT_DROPS = ("drop", "drops")


def drop_of(
    stock: Mixture,
    weighed_drops: int | None,
    weighed: Measured | None,
    tip: Measured | None,
    scale: Measured,
) -> Drop | None:
    """A drop of the stock; None where it was not weighed and cannot be worked out."""
    if (weighed is None) != (weighed_drops is None):
        raise BadInput(
            f"a calibration needs both {named('weighed_drops')} and {named('weighed')}, such as 20 "
            "drops and 1.1 g.",
            "weighed",
        )
    if weighed is not None and weighed_drops is not None:
        return dropper.weighed(weighed_drops, weighed, scale)
    try:
        return dropper.from_tip(stock, tip)
    except BadInput:
        return None


def no_drop(stock: Mixture, tip: Measured | None) -> str:
    """Why a drop cannot be worked out."""
    try:
        dropper.from_tip(stock, tip)
    except BadInput as error:
        return error.wording.rstrip(".")
    return ""


def dose_kg(
    stock: Mixture, drink: Mixture, drop: Drop | None, density: float | None, inputs: Inputs
) -> float:
    """Kg of stock for one serve."""
    aims = [name for name in ("amount", "target", "target_ph") if getattr(inputs, name) is not None]
    if len(aims) != 1:
        raise BadInput(
            f"dose needs one of {named('amount')}, {named('target')} or {named('target_ph')}; it "
            "was given "
            f"{' and '.join(aims) if aims else 'none'}.",
            "amount",
        )
    if inputs.amount is not None:
        return said_kg(inputs.amount, stock, drop, density, inputs.tip, drink.mass_kg)

    def miss(kg: float) -> float:
        after = drink + stock.scaled(kg)
        if inputs.target is not None:
            return acidity_as_citric(after, inputs.target.unit) - float(inputs.target)
        return (inputs.target_ph or 0.0) - known_ph(after)

    start = miss(1e-9 * drink.mass_kg)
    high = _MOST_SHARE * drink.mass_kg
    if start >= 0.0:
        raise BadInput(
            "the drink is as sour as that already without the dose; leave it out, or dilute the "
            "drink.",
            aims[0],
        )
    if miss(high) <= 0.0:
        raise BadInput(
            "the drink would need more than half its own weight of this stock. Take a stronger "
            "stock or ask for less.",
            aims[0],
        )
    kg = bracketed(miss, 1e-9 * drink.mass_kg, high, 1e-15)
    if inputs.target_ph is not None:
        less = max(kg - 1e-6 * drink.mass_kg, 0.0)
        require_ph(inputs.target_ph, drink + stock.scaled(kg), drink + stock.scaled(less))
    return kg


def said_kg(
    said: str,
    stock: Mixture,
    drop: Drop | None,
    density: float | None,
    tip: Measured | None,
    drink_kg: float,
) -> float:
    """Kg of stock by words such as "4 drops", "2 dashes", "0.3 ml" or "1 g"; BadInput otherwise."""
    value, unit = parse_number(said, named("amount"))
    if not value > 0.0:
        raise BadInput(f'{named("amount")} is "{said}"; it must be more than 0.', "amount")
    if unit.lower() in _UNIT_DROPS:
        if value > _MOST_DROPS:
            raise BadInput(
                f"{named('amount', f'{said}')}: nobody counts more than {_MOST_DROPS} drops; give "
                "it in g or "
                f"ml.",
                "amount",
            )
        if drop is None:
            raise BadInput(
                f"{named('amount', f'{said}')}: a drop of this stock cannot be worked out "
                f"({no_drop(stock, tip)}); weigh 20 drops and give {named('weighed_drops')} and "
                f"{named('weighed')}, or dose it in g.",
                "amount",
            )
        return value * drop.kg
    if unit.lower() in _BY_COUNT:
        ml = value * _MEASURE_ML["dash" if unit.lower().startswith("dash") else "barspoon"]
    else:
        amount = parse_quantity(said, ("g", "ml", "% w/w"), named("amount"))
        if amount.unit == "g":
            return 1e-3 * float(amount)
        if amount.unit == "% w/w":
            return 1e-2 * float(amount) * drink_kg
        ml = float(amount)
    if density is None:
        raise BadInput(
            f"{named('amount', f'{said}')}: no density is known for this stock; give the amount in "
            "g.",
            "amount",
        )
    return 1e-6 * ml * density


def drop_errors(
    stock: Mixture, drink: Mixture, dose_kg: float, drop: Drop, by_drops: bool, serves: int
) -> dict[str, float]:
    """What the range of a drop makes of the other values: the larger side of each."""
    errors = {"drop_mass": 1e6 * drop.spread_kg}
    if not by_drops:
        if drop.least_kg > 0.0:
            errors["dose_drops"] = dose_kg / drop.least_kg - dose_kg / drop.kg
        return errors
    share = drop.spread_kg / drop.kg
    density = acidity.density_or_none(stock)
    errors |= {
        "dose": 1000.0 * dose_kg * share,
        "dose_batch": 1000.0 * dose_kg * share * serves,
        "dose_ml": (millilitres(dose_kg, density) or 0.0) * share,
    }
    here = drink + stock.scaled(dose_kg)
    ends = [drink + stock.scaled(dose_kg * kg / drop.kg) for kg in (drop.least_kg, drop.most_kg)]
    errors["acidity"] = max(
        abs(acidity_as_citric(end, "% w/w") - acidity_as_citric(here, "% w/w")) for end in ends
    )
    known = [found for found in (acidity.ph_facts(m)[0] for m in (here, *ends)) if found]
    if len(known) == 3:
        errors["ph"] = max(abs(known[1] - known[0]), abs(known[2] - known[0]))
    return errors


def millilitres(mass_kg: float, density: float | None) -> float | None:
    """Volume at 20 C, None where no density is known."""
    return 1e6 * mass_kg / density if density else None
