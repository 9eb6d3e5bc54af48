"""What to add so that a liquid meets its targets: solids, sugar, acidity, strength, all at once.

The unknowns are masses of what is added; each target is a balance of mass (so much of this in so
much of that), which every addition moves. Newton's method on the balances; water is added only as
far as it must be, so that no other addition comes out negative.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from prepkit.errors import BadInput, named
from prepkit.mixture import NOTHING, SUGARS, Mixture, something
from prepkit.pantry import Ingredient
from prepkit.science import acids, ethanol, linear
from prepkit.units import Measured

WATER = Mixture({"water": 1.0})
_MOST_PASSES = 60
_ENOUGH = 1e-13

_HELD: Mapping[str, Callable[[Mixture], float]] = {
    "solids": lambda m: m.dissolved_solids * m.solution_kg,
    "sugar": lambda m: m.of(*SUGARS),
    "acidity": lambda m: m.net_acidity_eq_kg * acids.EQUIVALENT_KG["citric"] * m.mass_kg,
    "strength": lambda m: m.ethanol_kg / ethanol.PURE_KG_M3,
}


_MOST_SUGAR = {"Bx": 85.0, "g/l": 1200.0}


def sugar_in_range(level: Measured, field: str) -> None:
    """BadInput for more sugar than a syrup holds, each unit (Bx, g/l) against its own limit."""
    most = _MOST_SUGAR[level.unit]
    if level > most:
        said = f"{named(field)} is {float(level):g} {level.unit}"
        raise BadInput(f"{said}; a syrup is at most {most:g} {level.unit}.", field)


@dataclass(frozen=True)
class Target:
    """A level to reach: kg per kg, or per m3 of the liquid at 20 C where `by_volume`.

    kind: solids (true dissolved solids of the water phase), sugar, acidity (as citric), strength
    (fraction by volume). `field` is the input that it came from, `words` as they were given.
    """

    kind: str
    level: float
    by_volume: bool
    field: str
    words: str

    def found(self, mixture: Mixture) -> float:
        """The level that a mixture has."""
        return _HELD[self.kind](mixture) / self._basis(mixture)

    def gap(self, mixture: Mixture) -> float:
        """How much is there beyond the target, in kg (m3 for strength); negative where it lacks."""
        return _HELD[self.kind](mixture) - self.level * self._basis(mixture)

    def _basis(self, mixture: Mixture) -> float:
        if self.by_volume:
            return mixture.volume_20_m3
        return mixture.solution_kg if self.kind == "solids" else mixture.mass_kg


class Addition(NamedTuple):
    """Something that may be added: 1 kg of it, its name and the input that named it."""

    name: str
    unit: Mixture
    field: str


def apart(found: Ingredient | None, name: str, unit: Mixture) -> list[tuple[str, Mixture, float]]:
    """What is weighed for an addition: name, 1 kg of it, and its share of the addition's mass."""
    if found is None or not found.blend:
        return [(name, unit, 1.0)]
    return [(one.name, one.mixture, share) for share, one in found.blend]


def solve(
    base: Mixture, targets: Sequence[Target], additions: Sequence[Addition | None]
) -> tuple[list[float], float]:
    """Kg of each addition, and kg of water, with which `base` meets all the targets.

    additions[i] serves targets[i]; None where nothing was named for it, which one target may have:
    it is then met by water. Less than 1e-6 of the whole is nothing. Raises BadInput where the
    targets cannot be met by adding.

    >>> juice = Mixture({"water": 0.9, "sucrose": 0.1})
    >>> sugar = Addition("sugar", Mixture({"sucrose": 1.0}), "sweeten")
    >>> amounts, water = solve(juice, [Target("solids", 0.5, False, "brix", "50 Bx")], [sugar])
    >>> round(amounts[0], 6), water
    (0.8, 0.0)
    """
    if not targets:
        return [], 0.0
    unserved = [target for target, one in zip(targets, additions, strict=True) if one is None]
    if len(unserved) > 1:
        names = " and ".join(named(target.field) for target in unserved)
        raise BadInput(
            f"{names} cannot both be met with water alone; name what may be added for one of them.",
            unserved[1].field,
        )
    if not base.solution_kg > 0:
        raise BadInput(
            "no part holds water or anything that dissolves, so nothing can take up the "
            "sugar, acid or alcohol. Add water or juice to them.",
            "part",
        )
    units = [WATER if one is None else one.unit for one in additions]
    free_water = not unserved
    amounts, water = [0.0] * len(targets), 0.0
    scale = base.mass_kg
    for _ in range(_MOST_PASSES):
        mixture = _sum(base, units, amounts, water)
        jacobian, by_water, gaps = _linear(mixture, targets, units)
        at_no_water = linear.solve(jacobian, [
            -gap + water * slope for gap, slope in zip(gaps, by_water, strict=True)
        ])  # fmt: skip
        per_water = linear.solve(jacobian, [-slope for slope in by_water])
        if at_no_water is None or per_water is None:
            raise _unreachable(base, targets, additions)
        start = [old + change for old, change in zip(amounts, at_no_water, strict=True)]
        new_water = _least_water(start, per_water, scale) if free_water else 0.0
        if new_water is None:
            raise _unreachable(base, targets, additions)
        fresh = [one + new_water * each for one, each in zip(start, per_water, strict=True)]
        clamped = [max(one, 0.0) for one in fresh]
        moved = max(
            abs(new_water - water), *(abs(a - b) for a, b in zip(clamped, amounts, strict=True))
        )
        below = min(fresh) < -NOTHING * scale
        amounts, water = clamped, new_water
        if moved <= _ENOUGH * (scale + water + math.fsum(amounts)):
            if below:
                raise _unreachable(base, targets, additions)
            whole = scale + water + math.fsum(amounts)
            return [something(one, whole) for one in amounts], something(water, whole)
        if water + math.fsum(amounts) > 1e4 * scale:
            break
    raise _unreachable(base, targets, additions)


def _sum(
    base: Mixture, units: Sequence[Mixture], amounts: Sequence[float], water: float
) -> Mixture:
    parts = [unit.scaled(one) for unit, one in zip(units, amounts, strict=True) if one]
    if water:
        parts.append(WATER.scaled(water))
    return Mixture.total((base, *parts))


def _linear(
    mixture: Mixture, targets: Sequence[Target], units: Sequence[Mixture]
) -> tuple[list[list[float]], list[float], list[float]]:
    """Slopes of every gap by every addition and by water, and the gaps themselves."""
    gaps = [target.gap(mixture) for target in targets]
    step = 1e-5 * mixture.mass_kg
    columns = []
    for unit in (*units, WATER):
        more = mixture + unit.scaled(step)
        columns.append(
            [(target.gap(more) - gap) / step for target, gap in zip(targets, gaps, strict=True)]
        )
    jacobian = [[column[row] for column in columns[:-1]] for row in range(len(targets))]
    return jacobian, columns[-1], gaps


def _least_water(start: Sequence[float], per_water: Sequence[float], scale: float) -> float | None:
    """The least water with which no addition is negative; None where water does not help."""
    water = 0.0
    for one, each in zip(start, per_water, strict=True):
        if one < -NOTHING * scale:
            if each <= 1e-9:
                return None
            water = max(water, -one / each)
    return water


def _unreachable(
    base: Mixture, targets: Sequence[Target], additions: Sequence[Addition | None]
) -> BadInput:
    """Why the targets cannot be met, as far as one target tells."""
    for target, addition in zip(targets, additions, strict=True):
        here = target.found(base)
        if addition is None and here < target.level:
            need = {"solids": "sweeten", "sugar": "sweeten", "acidity": "sour"}
            return BadInput(
                f"{named(target.field)} {target.words} is more than the parts have "
                f"({shown(target, here)}); name what to add with "
                f"{named(need.get(target.kind, 'spirit'))}.",
                target.field,
            )
        if addition is not None and here < target.level:
            rich = Mixture.total((base.scaled(1e-3 / base.mass_kg), addition.unit))
            try:
                most = target.found(rich)
            except BadInput:
                continue
            if most <= target.level:
                return BadInput(
                    f"{named(target.field)} {target.words} cannot be reached with {addition.name}, "
                    f"which brings it to {shown(target, most)} at most; take a stronger one or a "
                    f"lower target.",
                    target.field,
                )
    asked = ", ".join(f"{named(target.field)} {target.words}" for target in targets)
    return BadInput(
        f"the targets ({asked}) cannot all be met by adding to these parts. Blend with a weaker or "
        f"stronger batch, or change a target.",
        targets[0].field if targets else None,
    )


def shown(target: Target, level: float) -> str:
    """A level of a target in its own unit."""
    if target.kind == "strength":
        return f"{100 * level:.1f} % vol"
    if target.by_volume:
        return f"{level:.1f} g/l"
    return f"{100 * level:.2f} {'Bx' if target.kind == 'solids' else '% w/w'}"
