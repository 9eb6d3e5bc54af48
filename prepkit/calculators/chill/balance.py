"""A drink on ice: its parts together, where shaking ends, what melts on the way down."""

from __future__ import annotations

import math
from typing import NamedTuple

from prepkit.calculators.chill.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.model import Step
from prepkit.science import heat, ice
from prepkit.shared import cold, part_heat
from prepkit.units import parse_quantity

LEAST_KG = 1e-4
STEEL_J_KG_K = 500.0  # [STEEL-HEAT] memory


class Drink(NamedTuple):
    """The parts together before chilling."""

    mixture: Mixture
    parts: tuple[Mixture, ...]  # what mixes on the way and sets heat free
    start_c: float
    tin_j_k: float


#: What only some ways use; with another it contradicts what was asked.
_USED_BY = {
    "ice": ("stir", "shake"), "wet": ("stir", "shake"), "dilute_like": ("no ice",),
    "place_temperature": ("bottle",),
}  # fmt: skip


def refuse_unused(inputs: Inputs) -> None:
    """One sentence for an amount or temperature that this way does not use."""
    for name, ways in _USED_BY.items():
        if getattr(inputs, name) and inputs.way not in ways:
            raise BadInput(
                f"{named(name)} is not used by {named('way', f'{inputs.way}')}, "
                "only by "
                f"{' and '.join(ways)}; leave it out or take that way.",
                name,
            )


def drink_of(inputs: Inputs, wet_kg: float) -> Drink:
    """The parts together with the water on the ice, at one temperature."""
    mixtures = [part.mixture for part in inputs.part]
    own = part_heat.own(inputs.part)
    if inputs.part_temperature and any(one is not None for one in own):
        raise BadInput(
            f"{named('part_temperature')} is given and a part says its own temperature; keep the "
            "parts' own.",
            "part_temperature",
        )
    temperatures = part_heat.each_c(
        inputs.part, float(inputs.temperature), "part", inputs.spec("temperature")
    )
    if inputs.premixed and len(set(temperatures)) > 1:
        raise BadInput(
            f"{named('premixed')} parts have one temperature, and these say several; give it once "
            "for all.",
            "premixed",
        )
    if inputs.part_temperature:
        if len(inputs.part_temperature) != len(mixtures):
            raise BadInput(
                f"{named('part_temperature')} is given {len(inputs.part_temperature)} times for "
                f"{len(mixtures)} parts; give it once for each, in the same order.",
                "part_temperature",
            )
        temperatures = [
            float(parse_quantity(one, ("C",), named("part_temperature")))
            for one in inputs.part_temperature
        ]
    whole = Mixture.total(mixtures)
    if whole.mass_kg <= 0:
        raise BadInput("the parts weigh nothing; give an amount above 0.", "part")
    if whole.mass_kg < LEAST_KG:
        raise BadInput(
            f"the parts weigh {1000 * whole.mass_kg:.2g} g together, too little to chill; give "
            f"{1000 * LEAST_KG:g} g or more.",
            "part",
        )
    apart = (whole,) if inputs.premixed else tuple(mixtures)
    if wet_kg:
        mixtures.append(Mixture({"water": wet_kg}))
        temperatures.append(0.0)
        whole, apart = whole + mixtures[-1], (*apart, mixtures[-1])
    start_c = heat.mixing_temperature_c(
        [one.mass_kg for one in mixtures],
        [cold.specific_heat_j_kg_k(m, t, t) for m, t in zip(mixtures, temperatures, strict=True)],
        temperatures,
    )
    return Drink(whole, apart, start_c, 1e-3 * inputs.tin * STEEL_J_KG_K)


def ice_given_kg(inputs: Inputs) -> float:
    """The ice that was given, or as much as the drink weighs."""
    given = inputs.ice
    return math.fsum(p.mass_kg for p in inputs.part) if given is None else 1e-3 * float(given)


def end_of(inputs: Inputs) -> tuple[Drink, ice.EndPoint]:
    """Where it goes with all the ice."""
    ice_kg = ice_given_kg(inputs)
    wet_kg = 0.01 * float(inputs.wet) * ice_kg
    drink = drink_of(inputs, wet_kg)
    water = Mixture({"water": 1.0})
    end = ice.end_point(
        drink.mixture.mass_kg,
        lambda end_c: cold.specific_heat_j_kg_k(drink.mixture, drink.start_c, end_c),
        drink.start_c,
        ice_kg - wet_kg,
        lambda melt: (drink.mixture + water.scaled(melt)).freezing_point_c,
        float(inputs.ice_temperature),
        lambda melt, at_c: cold.mixing_heat_j(drink.parts, at_c, melt),
        drink.tin_j_k,
        float(inputs.temperature),
    )
    return drink, end


def melt_kg(inputs: Inputs, drink: Drink, to_c: float) -> float:
    """Ice that melts, or water in its place, down to a temperature."""
    return ice.melt_to_kg(
        drink.mixture.mass_kg,
        cold.specific_heat_j_kg_k(drink.mixture, drink.start_c, to_c),
        drink.start_c,
        to_c,
        float(inputs.ice_temperature),
        lambda melt: cold.mixing_heat_j(drink.parts, to_c, melt),
        drink.tin_j_k,
        max(float(inputs.temperature), to_c),
    )


def coldest_without_ice_c(inputs: Inputs, drink: Drink, target_c: float) -> float:
    """Coldest that a drink with water in place of the melt stays liquid.

    With the water of a fixed temperature that is its freezing line; otherwise colder asks for more
    water, and it is where the two meet.
    """
    water = Mixture({"water": 1.0})

    def point(like_c: float) -> float:
        melt = melt_kg(inputs, drink, min(like_c, drink.start_c))
        found = cold.freezing_point_c(drink.mixture + water.scaled(melt))
        return -99.0 if found is None else found

    if inputs.dilute_like is not None:
        return point(float(inputs.dilute_like))
    low, high = target_c, drink.start_c
    for _ in range(48):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if middle < point(middle) else (low, middle)
    return high


def steps(
    inputs: Inputs, drink: Drink, melt: float, end_c: float, mixing: float
) -> tuple[Step, ...]:
    """The balance as on a board."""
    cp = cold.specific_heat_j_kg_k(drink.mixture, drink.start_c, end_c)
    given = drink.mixture.mass_kg * cp * (drink.start_c - end_c)
    taken = ice.heat_taken_by_melt_j_kg(end_c, float(inputs.ice_temperature))
    return (
        Step(
            "heat of the drink",
            f"{1000 * drink.mixture.mass_kg:.1f} g x {cp / 1000:.3f} J/(g K) x "
            f"({drink.start_c:.1f} - {end_c:.1f}) K",
            given,
            "J",
            "PREPKIT-SPIRIT",
        ),
        Step("heat of mixing", "spirit meets juice, syrup and melt", mixing, "J", "PREPKIT-HEAT"),
        Step(
            "a gram of ice takes",
            f"{float(inputs.ice_temperature):g} °C ice to water of {end_c:.1f} °C",
            taken / 1000,
            "J/g",
            "ICE-APPENDIX",
        ),
        Step("melt", "the balance of these, and of the ice that stays", 1000 * melt, "g"),
    )
