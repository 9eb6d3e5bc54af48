"""Monte Carlo of one calculation: the same compute, its uncertain inputs drawn at random.

What is sampled is what the +/- of an input says (DEVELOPERS.md): any value from the given one less
its +/- to the given one and its +/-, each as likely as the next, inputs independent, no further
than the input can go. The spread of a value is then the square root of three times its standard
deviation: the half-width again for a value that follows one input in a straight line, and for
several it adds in quadrature. Errors of the bell shape are the second reading: the +/- is then two
standard deviations of an input, and so is that of a value.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from scipy.stats import qmc

from prepkit.errors import PrepkitError
from prepkit.ingredient import Part
from prepkit.inputs import Inputs, Spec
from prepkit.model import Result
from prepkit.units import Measured

SEED = 20261126
Compute = Callable[[Any], Result]


@dataclass(frozen=True)
class Sampled:
    """What sampling gave for one value: its spread, and the share of draws in which it was."""

    spread: float
    there: float


def _moved(value: Any, spec: Spec, by: float, certain: bool) -> Any:
    """A value moved `by` of its +/-; without its +/- where `certain`. None where it cannot be."""
    if isinstance(value, Part):
        share = value.amount.plus_minus / float(value.amount)
        moved = value.scaled(max(1.0 + by * share, 0.0))
        amount = Measured(float(moved.amount), moved.amount.unit)
        return moved.replaced(amount=amount) if certain else moved
    at = float(value) + by * value.plus_minus
    if spec.above is not None and at <= spec.above:
        return None
    at = max(at, spec.low if spec.low is not None else -math.inf)
    at = min(at, spec.high if spec.high is not None else math.inf)
    return Measured(at, value.unit, 0.0 if certain else value.plus_minus)


def uncertain(inputs: Inputs) -> list[tuple[str, int | None]]:
    """Which inputs carry a +/-: the field, and the place where it takes many."""

    def loose(value: Any) -> bool:
        amount = value.amount if isinstance(value, Part) else value
        return isinstance(amount, Measured) and amount.plus_minus > 0

    found: list[tuple[str, int | None]] = []
    for name in inputs.specs():
        held = getattr(inputs, name)
        if isinstance(held, tuple):
            found += [(name, place) for place, one in enumerate(held) if loose(one)]
        elif loose(held):
            found.append((name, None))
    return found


def _drawn(inputs: Inputs, bys: Mapping[tuple[str, int | None], float], certain: bool) -> Any:
    """The inputs of one draw; None where one of them cannot be.

    `certain` takes the +/- off what the calculator judges at its own end and is moved towards it.
    """
    update: dict[str, Any] = {}
    for (name, place), by in bys.items():
        held = update.get(name, getattr(inputs, name))
        off = certain and inputs.judged_at_end.get(name, 0) * by > 0
        moved = _moved(held if place is None else held[place], inputs.spec(name), by, off)
        if moved is None:
            return None
        if place is None:
            update[name] = moved
        else:
            update[name] = (*held[:place], moved, *held[place + 1 :])
    return inputs.replaced(**update)


def _numbers(compute: Compute, inputs: Any) -> dict[str, float]:
    if inputs is None:
        return {}
    try:
        return compute(inputs).numbers()
    except PrepkitError:
        return {}


def _draws(places: int, count: int, shape: str) -> Iterator[list[float]]:
    """Moves of each input in its +/-, by a scrambled low-discrepancy sequence."""
    for row in qmc.Sobol(places, seed=SEED).random(count):
        if shape == "even":
            yield [2.0 * float(one) - 1.0 for one in row]
        else:
            yield [0.5 * statistics.NormalDist().inv_cdf(float(one)) for one in row]


def sample(compute: Compute, inputs: Inputs, count: int, shape: str = "even") -> dict[str, Sampled]:
    """The spread of each value that the inputs as given have, over `count` draws."""
    places = uncertain(inputs)
    base = compute(inputs).numbers()
    found: dict[str, list[float]] = {name: [] for name in base}
    for moves in _draws(len(places), count, shape):
        bys = dict(zip(places, moves, strict=True))
        numbers = _numbers(compute, _drawn(inputs, bys, certain=False))
        if inputs.judged_at_end and not base.keys() <= numbers.keys():
            numbers = {**_numbers(compute, _drawn(inputs, bys, certain=True)), **numbers}
        for name, values in found.items():
            if name in numbers:
                values.append(numbers[name])
    width = math.sqrt(3.0) if shape == "even" else 2.0
    return {
        name: Sampled(width * statistics.pstdev(values) if values else 0.0, len(values) / count)
        for name, values in found.items()
    }
