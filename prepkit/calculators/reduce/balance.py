"""Reduction: water boiled off or frozen out of a liquid until it is what is wanted.

Balances by mass: what is left keeps everything but water, except what clings to the drained ice.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from prepkit.calculators.reduce.inputs import Inputs, wanted
from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.science import freezing, roots, sucrose

MOST_SOLIDS_BOILED = sucrose.MASS_FRACTION_HIGH  # of solids and water, no syrup is richer
MOST_SOLIDS_FROZEN = freezing.SOLIDS_HIGH  # beyond it sugar freezes out with the ice
MOST_SPIRIT_FROZEN = 0.60  # of ethanol and water: the end of the freezing table


class Left(NamedTuple):
    """What is left, the pure water that went, and what was lost with drained ice."""

    product: Mixture
    water_kg: float
    lost: Mixture

    @property
    def removed_kg(self) -> float:
        """Steam, or drained ice with what clings to it, kg."""
        return self.water_kg + self.lost.mass_kg


def solids_kg(mixture: Mixture) -> float:
    """Dissolved solids, ethanol not counted, kg."""
    return mixture.dissolved_solids * mixture.solution_kg


def most_water_kg(start: Mixture, freeze: bool) -> float:
    """The most water that can go before the relations end, kg."""
    most = MOST_SOLIDS_FROZEN if freeze else MOST_SOLIDS_BOILED
    stays = solids_kg(start) * (1.0 - most) / most
    if freeze:
        stays = max(stays, start.ethanol_kg * (1.0 - MOST_SPIRIT_FROZEN) / MOST_SPIRIT_FROZEN)
    return max(0.0, (start.of("water") - stays) * (1.0 - 1e-9))


def less_water(start: Mixture, water_kg: float, ice_solids: float = 0.0) -> Left:
    """The liquid after so much pure water has left it.

    ice_solids: true solids of the drained ice when it is melted, from 0 to below those of the
    start. What clings to the ice is taken as the liquid that is left: ice with a share s of solids
    holds s over the solids of that liquid, by mass.

    >>> juice = Mixture({"water": 0.9, "sucrose": 0.1})
    >>> left = less_water(juice, 0.5, 0.02)
    >>> round(left.product.dissolved_solids, 3), round(left.removed_kg, 4)
    (0.2, 0.5556)
    """
    whole = start.without({"water": water_kg})
    if not ice_solids:
        return Left(whole, water_kg, Mixture({}))
    clings = ice_solids / whole.dissolved_solids
    lost = min(1.0, water_kg * clings / (1.0 - clings) / whole.solution_kg)
    return Left(whole.scaled(1.0 - lost), water_kg, whole.scaled(lost))


def heated(mixture: Mixture) -> Mixture:
    """The same after it has boiled: no longer raw juice, with every other mark kept."""
    return Mixture(
        mixture.masses_kg, mixture.allergens, mixture.tags - {"raw-juice"}, mixture.keeps
    )


def _water_until_kg(
    start: Mixture,
    size: Callable[[Mixture], float],
    wanted: float,
    freeze: bool,
    ice_solids: float,
) -> float | None:
    """Water that must go until `size` of what is left is `wanted`; None where it never is.

    `wanted` below the size of the start.
    """

    def over(water_kg: float) -> float:
        return size(less_water(start, water_kg, ice_solids).product) - wanted

    most = most_water_kg(start, freeze)
    if over(most) > 0.0:
        return None
    return roots.bracketed(over, 0.0, most, tolerance=1e-12 * start.mass_kg)


def water_to_go_kg(inputs: Inputs, start: Mixture, ice_solids: float) -> float:
    """Water that must go; BadInput where the target lies beyond what can be worked out."""
    freeze = inputs.method == "freeze"
    aim = wanted(inputs)
    most = most_water_kg(start, freeze)
    water: float | None
    if aim.name == "brix":
        water = start.solution_kg - solids_kg(start) / aim.amount
    else:
        water = _water_until_kg(
            start,
            (lambda m: m.mass_kg) if aim.name == "mass" else (lambda m: m.volume_20_m3),
            aim.amount, freeze, ice_solids,
        )  # fmt: skip
    if water is None or water > most:
        rich = 100 * (MOST_SOLIDS_FROZEN if freeze else MOST_SOLIDS_BOILED)
        until = f"{rich:g} % solids in solids and water"
        if freeze:
            until += f", or {100 * MOST_SPIRIT_FROZEN:g} % ethanol in ethanol and water"
        raise BadInput(
            f"{named(aim.name)} {aim.said.words()} cannot be reached: {1000 * most:.0f} g of "
            f"water at most can go, to {until}; ask for less.",
            aim.name,
        )
    return water
