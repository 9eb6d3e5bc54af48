"""reading: what an instrument shows, turned into what is in the liquid."""

from __future__ import annotations

from prepkit.calculators.reading import drink, plain
from prepkit.calculators.reading.inputs import Inputs
from prepkit.calculators.reading.result import Result
from prepkit.errors import BadInput, named
from prepkit.shared import instruments
from prepkit.units import Measured

EXAMPLE = 'prepkit reading --refractometer 24 --hydrometer "15.8 Bx" --acid "0.5 %"'
_COFFEE_ONLY = ("tds", "brew", "dose", "water", "beverage")
_DRINK_ONLY = (
    "hydrometer", "specific_gravity", "baume", "alcoholometer", "acid", "abv", "solids", "invert",
)  # fmt: skip
_FLOATS = ("hydrometer", "specific_gravity", "baume")


def compute(inputs: Inputs) -> Result:
    """By what was read: coffee, plain spirit, one instrument, or two."""
    _check(inputs)
    if inputs.refractometer is not None:
        scale = instruments.Scale(
            named("refractometer"), "Bx", _float(inputs.scale), _float(inputs.scale_from)
        )
        scale.check(float(inputs.refractometer))
    if inputs.liquid == "coffee":
        return plain.coffee(inputs)
    if inputs.alcoholometer is not None:
        return plain.spirit(inputs)
    if inputs.invert is not None or inputs.liquid == "honey":
        return plain.inverted(inputs)
    return drink.drink(inputs, drink.float_mark(inputs))


def _float(value: Measured | None) -> float | None:
    return None if value is None else float(value)


def _said(inputs: Inputs, names: tuple[str, ...]) -> list[str]:
    return [name for name in names if getattr(inputs, name) is not None]


def _check(inputs: Inputs) -> None:
    """Refuse readings that do not go together."""
    if inputs.liquid == "coffee":
        _refuse(_said(inputs, _DRINK_ONLY), "does not fit black coffee; leave it out")
    else:
        _refuse(
            _said(inputs, _COFFEE_ONLY),
            f"is for coffee; add {named('liquid')} coffee or leave it out",
        )
    floats = _said(inputs, _FLOATS)
    if len(floats) > 1:
        raise BadInput(
            f"{' and '.join(map(named, floats))} are readings of the same float; give one.",
            "hydrometer",
        )
    single = inputs.invert is not None or inputs.liquid == "honey"
    if single and (floats or inputs.alcoholometer is not None or inputs.abv):
        raise BadInput(
            f"the correction for invert sugar is known for {named('refractometer')} alone, without "
            "alcohol; "
            "leave out the other readings.",
            "invert",
        )
    if inputs.alcoholometer is not None:
        others = [*floats, *_said(inputs, ("acid", "abv"))]
        _refuse(
            others,
            f"does not go with {named('alcoholometer')}, which is for plain spirit; leave it out",
        )
        if inputs.thinned:
            raise BadInput(
                f"{named('thinned')} does not go with {named('alcoholometer')}: spirit and water "
                "contract; read the "
                "spirit as it is.",
                "thinned",
            )
    elif inputs.solids is not None:
        raise BadInput(
            f"{named('solids')} is for {named('alcoholometer')}; give that reading too.", "solids"
        )
    if inputs.refractometer is not None and floats and inputs.abv is not None:
        raise BadInput(
            f"{named('abv')} is not needed where {named('refractometer')} and a float are both "
            "read: the strength is "
            "what they give; leave it out.",
            "abv",
        )
    if not floats and not _said(inputs, ("refractometer", "tds", "alcoholometer")):
        raise BadInput(
            f"reading needs what an instrument showed: {named('refractometer')}, "
            f"{named('hydrometer')} or "
            f"{named('alcoholometer')}.",
            "refractometer",
        )
    if inputs.refractometer is None and single:
        raise BadInput(
            f"the correction for invert sugar needs {named('refractometer')}, the reading.",
            "refractometer",
        )


def _refuse(given: list[str], why: str) -> None:
    if given:
        raise BadInput(f"{named(given[0])} {why}.", given[0])
