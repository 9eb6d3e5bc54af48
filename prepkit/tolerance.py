"""The +/- of any result from the +/- of its inputs, for any calculator.

Linear propagation by central differences: each input that carries a +/- is moved up and down by
it, the calculator is run again, and half the change of every value is its share; shares are
independent and add in quadrature, with the model's own stated error where the result gives one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

from prepkit.errors import PrepkitError
from prepkit.model import Inputs, Result
from prepkit.pantry import Part
from prepkit.units import Measured

Compute = Callable[[Any], Result]


def _moved(value: Any, sign: int) -> Any:
    if isinstance(value, Part):
        return value.scaled(1.0 + sign * value.amount.plus_minus / float(value.amount))
    return Measured(float(value) + sign * value.plus_minus, value.unit, value.plus_minus)


def _uncertain(value: Any) -> bool:
    if isinstance(value, Part):
        return value.amount.plus_minus > 0 and float(value.amount) > 0
    return isinstance(value, Measured) and value.plus_minus > 0


def _variations(inputs: Inputs) -> Iterator[tuple[str, Inputs, Inputs]]:
    """Each uncertain input by name, with the inputs moved up and moved down by its +/-."""
    for name in type(inputs).model_fields:
        value = getattr(inputs, name)
        if _uncertain(value):
            up, down = ({name: _moved(value, sign)} for sign in (1, -1))
            yield name, inputs.model_copy(update=up), inputs.model_copy(update=down)
        elif isinstance(value, tuple):
            for place, one in enumerate(value):
                if not _uncertain(one):
                    continue
                before, after = value[:place], value[place + 1 :]
                up, down = ({name: (*before, _moved(one, sign), *after)} for sign in (1, -1))
                yield (
                    f"{name} {place + 1}",
                    inputs.model_copy(update=up),
                    inputs.model_copy(update=down),
                )


def shares(compute: Compute, inputs: Inputs, result: Result) -> dict[str, dict[str, float]]:
    """For each value the +/- that each uncertain input brings to it, by input name.

    Where a moved input is refused by the calculator, the one-sided change is used.
    """
    base = result.numbers()
    found: dict[str, dict[str, float]] = {name: {} for name in base}
    for name, up_inputs, down_inputs in _variations(inputs):
        sides = []
        for moved in (up_inputs, down_inputs):
            try:
                sides.append(compute(moved).numbers())
            except PrepkitError:
                sides.append(base)
        one_sided = sides[0] is base or sides[1] is base
        for value_name, value in base.items():
            up, down = sides[0].get(value_name, value), sides[1].get(value_name, value)
            change = abs(up - down) if one_sided else 0.5 * abs(up - down)
            found[value_name][name] = change
    return found


def plus_minus(compute: Compute, inputs: Inputs, result: Result) -> dict[str, float]:
    """The +/- of each value that has one, in the value's own unit."""
    if not result.model_error and not any(True for _ in _variations(inputs)):
        return {}
    spread = {
        name: math.hypot(result.model_error.get(name, 0.0), *of_input.values())
        for name, of_input in shares(compute, inputs, result).items()
    }
    return {name: value for name, value in spread.items() if value > 0}
