"""The steps in which a bar can measure and weigh."""

from __future__ import annotations

from collections.abc import Sequence

from prepkit.errors import BadInput, named
from prepkit.units import parse_quantity


def round_steps(said: Sequence[str]) -> dict[str, float]:
    """What the bar can measure and weigh, by unit: "5 ml" for liquids, "1 g" for the rest.

    Raises BadInput for a step that is not above 0, and for two in one unit.

    >>> round_steps(["5 ml", "0.1 g"])
    {'ml': 5.0, 'g': 0.1}
    """
    steps: dict[str, float] = {}
    for words in said:
        step = parse_quantity(words, ("ml", "g"), named("round_to"))
        if not 0 < step <= 1e6:
            raise BadInput(
                f'{named("round_to", words)} is not a step above 0. Write one such as "5 ml".',
                "round_to",
            )
        if step.unit in steps:
            raise BadInput(
                f"{named('round_to')} has two steps in {step.unit}; give one in ml and one in g "
                "at most.",
                "round_to",
            )
        steps[step.unit] = float(step)
    return steps
