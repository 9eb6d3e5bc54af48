"""What one guest gets of spices and oils that a pinch makes pleasant and a spoon makes poison.

Asked for every calculator whose answer is drunk as it is, and for the serves of a recipe.
"""

from __future__ import annotations

from prepkit.mixture import Mixture
from prepkit.model import Inputs
from prepkit.pantry import Part
from prepkit.shared import one_serve

# calculators whose product is drunk, and the input that says how many glasses it fills
_SERVES = {"serve": "serves", "blend": "serves", "dose": "serves"}
_ONE = frozenset(("chill", "layer", "warm"))


def _parts(inputs: Inputs) -> list[Part]:
    found: list[Part] = []
    for field in inputs.specs():
        value = getattr(inputs, field)
        for one in value if isinstance(value, tuple | list) else (value,):
            part = getattr(one, "part", one)  # a layer holds its part
            found += [part] if isinstance(part, Part) else []
    return found


def facts(name: str, inputs: Inputs, product: Mixture | None) -> dict[str, float]:
    """Facts of one glass for the caution rows; empty where the answer is not drunk as it is."""
    if name in _ONE:
        serves = 1
    elif name in _SERVES and getattr(inputs, _SERVES[name]):
        serves = getattr(inputs, _SERVES[name])
    else:
        return {}
    into_each = name == "dose"  # its parts are of one serve
    nutmeg_kg = 1e-3 * one_serve.nutmeg_g(_parts(inputs))
    return of_glass(nutmeg_kg / (1 if into_each else serves), product)


def of_glass(nutmeg: float, product: Mixture | None) -> dict[str, float]:
    """The facts of a glass with so many kg of nutmeg, and of this mixture."""
    found: dict[str, float] = {"nutmeg_each_g": 1000.0 * nutmeg}
    if product is not None and product.mass_kg:
        found["glass_oil_percent"] = 100.0 * product.fraction("essential_oil")
    return found
