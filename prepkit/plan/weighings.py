"""What is weighed by hand: each weighing as a scale of the house shows it, and which are too small.

A scale weighs whole steps. Below ten of them half a step is over a twentieth of what is weighed, so
such a weighing is marked, with the smallest batch that would do and, where that is known to
dissolve, with a stock solution that is weighed in its place.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from prepkit.errors import PrepkitError
from prepkit.mixture import ACIDS, Mixture
from prepkit.plan.scaling import Weigh
from prepkit.science import acid_stock, sucrose
from prepkit.sheet import HandSheet, StockSheet

FEWEST_STEPS = 10  # of the scale, in a weighing (practice)
DUST = 1e-9  # relative rounding that must not cost a step
WATER = "water"
_TIMES = (10, 100)  # what a stock weighs to 1 of what is in it
_ROOM_C = 20.0
_FOREIGN = 0.01  # mass fraction of anything else in what is called pure


class Scale(NamedTuple):
    """A scale of the house: its word in the bench, its smallest step and the most that it takes."""

    name: str
    step_g: float
    most_g: float | None


def scale_for(bench: Mapping[str, float], g: float) -> Scale | None:
    """The finest scale that takes so much as it is shown; None where none is named."""
    most = bench.get("fine_scale_most")
    fine = bench.get("fine_scale")
    if most is not None and fine is not None and g <= most >= steps_of(g, fine) * fine:
        return Scale("fine_scale", float(fine), float(most))
    step = bench.get("scale")
    return None if step is None else Scale("scale", float(step), None)


def scale_step_kg(bench: Mapping[str, float], kg: float) -> float | None:
    """What a weighing is off by: one step of the finest scale that takes so much."""
    most = bench.get("fine_scale_most")
    fine = most is not None and 1000 * kg <= most
    step = bench.get("fine_scale" if fine else "scale")
    return None if step is None else float(step) / 1000


def steps_of(g: float, step_g: float) -> int:
    """The whole steps nearest to a weight.

    >>> steps_of(5.96, 0.1), steps_of(0.04, 0.1), steps_of(2136.4, 1.0)
    (60, 0, 2136)
    """
    return round(g / step_g)


def whole(steps: int, step_g: float) -> float:
    """So many steps in g, without the dust of binary fractions.

    >>> whole(1942, 0.1)
    194.2
    """
    return float(f"{steps * step_g:.12g}")


def too_few(g: float, step_g: float) -> bool:
    """Whether a weighing is under ten steps of its scale."""
    return g < FEWEST_STEPS * step_g * (1.0 - DUST)


def weighed_by_hand(
    line: Weigh,
    bench: Mapping[str, float],
    plus_minus_g: float | None,
    made_g: float | None,
    stock: StockSheet | None = None,
) -> HandSheet | None:
    """A line as it is weighed; None where the house names no scale for it.

    plus_minus_g: what the line itself may be off by. made_g: all that is made of the item, which
    the smallest batch goes by.
    """
    scale = scale_for(bench, line.mass_g)
    if scale is None or not line.mass_g > 0.0:
        return None
    steps = steps_of(line.mass_g, scale.step_g)
    few = too_few(line.mass_g, scale.step_g)
    batch = None
    if few and made_g is not None:
        batch = made_g * FEWEST_STEPS * scale.step_g / line.mass_g
    return {
        "g": whole(steps, scale.step_g),
        "step_g": scale.step_g,
        "steps": steps,
        "scale": scale.name,
        "too_few": few,
        "batch_g": batch,
        "finer_than_scale": plus_minus_g is not None and plus_minus_g < 0.5 * scale.step_g,
        "stock": stock if few else None,
    }


def rounded_down(g: float, scale: Scale) -> float:
    """A load as the scale shows it, never above what was worked out.

    >>> rounded_down(914.9, Scale("scale", 1.0, None))
    914.0
    """
    return whole(math.floor(g / scale.step_g * (1.0 + DUST)), scale.step_g)


def stocks(
    lines: Sequence[Weigh], bench: Mapping[str, float], known: Mapping[str, Mixture]
) -> dict[str, StockSheet]:
    """By name, the stock solution in water that stands for a weighing under ten steps.

    Only of a solid that is known to dissolve, for an item that weighs water itself: what the stock
    brings of it is left out there, and it must be enough for all of them together. `known`: what
    1 kg of each solid is made of.
    """
    left_g = math.fsum(line.mass_g for line in lines if line.name == WATER)
    found = {}
    for line in lines:
        scale = scale_for(bench, line.mass_g)
        if scale is None or not line.mass_g > 0.0 or not too_few(line.mass_g, scale.step_g):
            continue
        of = known.get(line.name)
        one = None if of is None else _stock(line, scale, _dissolves(of), bench)
        if one is not None and one["less_water_g"] <= left_g:
            left_g -= one["less_water_g"]
            found[line.name] = one
    return found


def _stock(
    line: Weigh, scale: Scale, most_fraction: float, bench: Mapping[str, float]
) -> StockSheet | None:
    """The strongest stock of which so little is ten steps, and how it is made."""
    for times in _TIMES:
        taken = scale_for(bench, line.mass_g * times)
        if taken is None or too_few(line.mass_g * times, taken.step_g):
            continue
        if 1.0 / times > most_fraction:
            continue
        solid = whole(FEWEST_STEPS, scale.step_g)
        return {
            "percent": 100.0 / times,
            "solid_g": solid,
            "water_g": whole((times - 1) * FEWEST_STEPS, scale.step_g),
            "take_g": whole(steps_of(line.mass_g * times, taken.step_g), taken.step_g),
            "less_water_g": line.mass_g * (times - 1),
        }
    return None


def _dissolves(of: Mixture) -> float:
    """The most of a solid that is known to dissolve at room temperature, kg per kg of solution."""
    if not of.mass_kg:
        return 0.0
    parts = [name for name, kg in of.masses_kg.items() if kg > _FOREIGN * of.mass_kg]
    solids = [name for name in parts if name != WATER]
    if len(solids) != 1:
        return 0.0
    (name,) = solids
    if name == "sucrose":
        return sucrose.solubility_mass_fraction(_ROOM_C)
    if name not in ACIDS:
        return 0.0
    try:
        return acid_stock.solubility_mass_fraction(name, _ROOM_C)
    except PrepkitError:  # not known at that temperature: no stock is offered
        return 0.0
