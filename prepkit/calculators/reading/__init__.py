"""reading: what an instrument shows, turned into what is in the liquid."""

from __future__ import annotations

from dataclasses import dataclass

from prepkit.calculators.reading import drink, plain
from prepkit.calculators.reading.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.model import Result as BaseResult
from prepkit.model import output
from prepkit.shared import instruments
from prepkit.units import Measured

EXAMPLE = 'prepkit reading --refractometer 24 --hydrometer "15.8 Bx" --acid "0.5 %"'
_COFFEE_ONLY = ("tds", "brew", "dose", "water", "beverage")
_DRINK_ONLY = (
    "hydrometer", "specific_gravity", "baume", "alcoholometer", "acid", "abv", "solids", "invert",
)  # fmt: skip
_FLOATS = ("hydrometer", "specific_gravity", "baume")


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """What is in it, as far as the readings tell."""

    sugar: float | None = output("sugar", "% w/w", 1)
    sugar_g_l: float | None = output("sugar in the volume", "g/l", 0)
    dissolved_solids: float | None = output("true dissolved solids", "% w/w", 1)
    sugar_if_neither: float | None = output(
        "sugar, if it holds neither alcohol nor acid", "% w/w", 1
    )
    sugar_if_no_alcohol: float | None = output("sugar, if it holds no alcohol", "% w/w", 1)
    sugar_g_l_if: float | None = output("sugar in the volume, on the same terms", "g/l", 0)
    dissolved_solids_if: float | None = output(
        "true dissolved solids, on the same terms", "% w/w", 1
    )
    juice_brix: float | None = output("soluble solids on the juice trade's scale", "Bx", 1)
    abv: float | None = output("strength at 20 C", "% vol", 1)
    ethanol: float | None = output("ethanol by weight", "% w/w", 1)
    apparent_abv: float | None = output("alcoholometer at 20 C, before solids", "% vol", 2)
    obscuration: float | None = output("hidden by the solids", "% vol", 2)
    us_proof: float | None = output("US proof at 60 F", "proof", 1)
    refractometer_20: float | None = output("refractometer as at 20 C", "Bx", 2)
    hydrometer_20: float | None = output("sugar hydrometer as at 20 C", "Bx", 2)
    hydrometer_would_show: float | None = output("a sugar hydrometer would show, at 20 C", "Bx", 1)
    density: float | None = output("density at 20 C", "kg/m3", 1)
    tds: float | None = output("dissolved solids of the coffee", "% w/w", 2)
    extraction: float | None = output("extraction of the dose", "%", 1)
    beverage_mass: float | None = output("coffee that ran out", "g", 0, extensive=True)


def compute(inputs: Inputs) -> Result:
    """By what was read: coffee, plain spirit, one instrument, or two."""
    _check(inputs)
    if inputs.refractometer is not None:
        scale = instruments.Scale(
            named("refractometer"), "Bx", _float(inputs.scale), _float(inputs.scale_from)
        )
        scale.check(float(inputs.refractometer))
    if inputs.liquid == "coffee":
        return Result(**plain.coffee(inputs))
    if inputs.alcoholometer is not None:
        return Result(**plain.spirit(inputs))
    if inputs.invert is not None or inputs.liquid == "honey":
        return Result(**plain.inverted(inputs))
    return Result(**drink.drink(inputs, drink.float_mark(inputs)))


def _float(value: Measured | None) -> float | None:
    return None if value is None else float(value)


def _said(inputs: Inputs, names: tuple[str, ...]) -> list[str]:
    return [name for name in names if getattr(inputs, name) is not None]


def _check(inputs: Inputs) -> None:
    """Refuse readings that do not go together."""
    if inputs.liquid == "coffee":
        _refuse(_said(inputs, _DRINK_ONLY), "is no reading of black coffee; leave it out")
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
