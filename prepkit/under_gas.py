"""What was charged, or met dry ice or liquid nitrogen, holds more than its mixture says.

Gas and cryogen are no component of a mixture: weight, volume, strength and pressure that are worked
out from it would leave them out. So what a siphon, a keg or a cryogen has touched is marked, the
marks travel with every mixture made from it, and only the works that are done last take it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from prepkit.mixture import Mixture
from prepkit.model import Inputs
from prepkit.pantry import Part
from prepkit.shared.tags import GASSY

CHARGED, MET_CRYOGEN = "charged", "met-cryogen"
MARKS = frozenset((CHARGED, MET_CRYOGEN))
COLD = ("liquid nitrogen", "dry ice")
#: The works that take what has met gas or a cryogen.
LAST = ("layer", "serve", "keep", "window")


def mark(name: str, inputs: Inputs, product: Mixture) -> Mixture:
    """The product of a calculator with the marks of what it does to it."""
    if name == "siphon":
        return product.marked(tags=(CHARGED,))
    if name == "carbonate":
        return product.marked(tags=(CHARGED, GASSY))
    if name == "cryogen" or getattr(inputs, "way", None) in COLD:
        return product.marked(tags=(MET_CRYOGEN,))
    return product


def facts(name: str, inputs: Inputs) -> dict[str, Any]:
    """The facts of parts that no such work can be done with; empty where there is none."""
    if name in LAST:
        return {}
    met = [one for part in parts(inputs) for one in part.each if one.mixture.tags & MARKS]
    if not met:
        return {}
    cold = any(MET_CRYOGEN in one.mixture.tags for one in met)
    return {
        "met_gas_count": len(met),
        "met_gas_names": " and ".join(dict.fromkeys(one.name for one in met)),
        "met_gas_what": "dry ice or liquid nitrogen"
        if cold
        else "the gas of a charger or cylinder",
    }


def parts(inputs: Inputs) -> Iterator[Part]:
    """Every part among the inputs of a calculator."""
    for name in inputs.specs():
        value = getattr(inputs, name)
        held: Iterable[Any] = value if isinstance(value, tuple) else (value,)
        yield from (one for one in held if isinstance(one, Part))
