"""How much diluent and sweetener bring a batch to a strength, a sugar level or a share of water."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from prepkit.errors import BadInput, OutOfRange, named
from prepkit.mixture import NOTHING, Mixture, something
from prepkit.science import ethanol
from prepkit.science.roots import bracketed
from prepkit.units import Measured

BASES = ("start volume", "start mass", "final volume", "final mass")


def amounts(
    inputs: Any, start: Mixture, diluent: Mixture, sweetener: Mixture
) -> tuple[float, float]:
    """kg of diluent and of sweetener that meet what is wanted."""
    aims = [n for n in ("to_strength", "to_proof", "dilution") if getattr(inputs, n) is not None]
    if len(aims) > 1 or (inputs.to_sugar is not None and "dilution" in aims):
        raise BadInput(
            f"dilute takes one of {named('to_strength')}, {named('to_proof')} and "
            f"{named('dilution')}; the first two also "
            f"together with {named('to_sugar')}.",
            "to_strength",
        )
    if not aims and inputs.to_sugar is None:
        raise BadInput(
            f"dilute needs an aim: {named('to_strength')}, {named('to_proof')}, "
            f"{named('to_sugar')} or {named('dilution')}.",
            "to_strength",
        )
    if inputs.dilution is not None:
        return _by_share(inputs, start, diluent), 0.0
    if not aims:
        return _to_sugar(inputs.to_sugar, start, diluent, sweetener)
    wanted = (
        0.01 * inputs.to_strength
        if inputs.to_strength is not None
        else ethanol.abv_from_us_proof(inputs.to_proof)
    )
    _strong_enough(inputs, start, wanted, aims[0])
    if inputs.to_sugar is None:
        return _water_to(start, diluent, lambda m: m.abv - wanted), 0.0

    def sugared(sugar_kg: float) -> tuple[Mixture, float]:
        sweet = start + sweetener.scaled(sugar_kg)
        kg = _water_to(sweet, diluent, lambda m: m.abv - wanted)
        return sweet + diluent.scaled(kg), kg

    def missing(sugar_kg: float) -> float:
        return _sugar(sugared(sugar_kg)[0], inputs.to_sugar.unit) - float(inputs.to_sugar)

    if missing(0.0) > NOTHING * float(inputs.to_sugar):
        raise BadInput(
            f"{named('to_sugar')} is {float(inputs.to_sugar):g} {inputs.to_sugar.unit}, and at the "
            "strength "
            f"wanted the parts already hold {_sugar(sugared(0.0)[0], inputs.to_sugar.unit):.3g}; "
            f"ask for more sugar or for less strength.",
            "to_sugar",
        )
    sugar_kg = _root(
        missing, start.mass_kg, f"{named('to_sugar')} cannot be reached at that strength"
    )
    return sugared(sugar_kg)[1], sugar_kg


def _strong_enough(inputs: Any, start: Mixture, wanted: float, name: str) -> None:
    if start.abv >= wanted * (1.0 - NOTHING):
        return
    strongest = max(inputs.part, key=lambda part: float(part.mixture.abv))
    top = max(strongest.mixture.abv, start.abv)
    option = "--" + name.replace("_", "-")
    if top < wanted:
        raise BadInput(
            f"{option} asks for {100 * wanted:.4g} % vol, and the strongest part, "
            f"{strongest.name}, has {100 * top:.4g} % vol; nothing added can raise it.",
            name,
        )
    raise BadInput(
        f"{option} asks for {100 * wanted:.4g} % vol, and the parts together have "
        f"{100 * start.abv:.4g} % vol; take more of {strongest.name}.",
        name,
    )


def _sugar(mixture: Mixture, unit: str) -> float:
    if unit == "g/l":
        return mixture.sugar * mixture.density_kg_m3(20.0)
    return 100 * mixture.sugar


def _to_sugar(
    wanted: Measured, start: Mixture, diluent: Mixture, sweetener: Mixture
) -> tuple[float, float]:
    if float(wanted) <= _sugar(start, wanted.unit):
        if not wanted > 0.0 and start.sugar:
            raise BadInput(
                f"{named('to_sugar')} is 0; no amount of water takes all sugar out, so ask for a "
                "level "
                "above 0.",
                "to_sugar",
            )
        return _water_to(start, diluent, lambda m: _sugar(m, wanted.unit) - float(wanted)), 0.0

    def missing(sugar_kg: float) -> float:
        return _sugar(start + sweetener.scaled(sugar_kg), wanted.unit) - float(wanted)

    return 0.0, _root(
        missing, start.mass_kg, f"{named('to_sugar')} is more than the sweetener can bring"
    )


def _by_share(inputs: Any, start: Mixture, diluent: Mixture) -> float:
    """kg of diluent for a share of it."""
    if inputs.base is None:
        choices = " or ".join(f'"{one}"' for one in BASES)
        raise BadInput(
            f"{named('dilution')} is {float(inputs.dilution):g} %: of what? give {named('base')} "
            f"{choices}.",
            "base",
        )
    share = 0.01 * float(inputs.dilution)
    if inputs.base == "start mass":
        return float(share * start.mass_kg)
    if inputs.base == "start volume":
        return float(share * start.volume_20_m3 * diluent.density_kg_m3(20.0))
    if share >= 0.99:
        raise BadInput(
            f"{named('dilution')} is {float(inputs.dilution):g} % of the {inputs.base}; it must be "
            "less "
            f"than 99 %.",
            "dilution",
        )
    if inputs.base == "final mass":
        return float(share / (1 - share) * start.mass_kg)
    per_kg = diluent.volume_20_m3

    def missing(kg: float) -> float:
        return kg * per_kg - share * (start + diluent.scaled(kg)).volume_20_m3

    return _root(missing, start.mass_kg, f"{named('dilution')} cannot be reached") if share else 0.0


def _water_to(start: Mixture, diluent: Mixture, above: Callable[[Mixture], float]) -> float:
    """kg of diluent until `above` falls to zero."""
    return _root(
        lambda kg: -above(start + diluent.scaled(kg)),
        start.mass_kg,
        "the diluent holds too much itself to bring it there",
    )


def _root(missing: Callable[[float], float], scale_kg: float, why: str) -> float:
    """kg at which something no longer misses, growing the bracket from the batch's own mass.

    Where nothing added is outside the range of the relations (a thick or strong start), the search
    begins at the first amount that they know.
    """
    low, problem = 0.0, None
    steps = [0.0, *(scale_kg * 1e-3 * 1.4**power for power in range(48))]
    for kg in steps:
        try:
            found = missing(kg)
        except OutOfRange as error:
            problem = error
            continue
        if found < 0.0:
            low, problem = kg, None
        elif problem is None or kg == 0.0:
            found_kg = bracketed(missing, low, kg, 1e-12 * max(kg, 1.0)) if kg else 0.0
            return something(found_kg, scale_kg)
        else:
            break
    raise BadInput(f"{why}: {problem.wording}" if problem else f"{why}.")
