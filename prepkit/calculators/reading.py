"""reading: what an instrument shows, turned into what is in the liquid."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from prepkit.errors import BadInput, named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.model import choice, flag, number, output, quantity
from prepkit.shared import instruments, reading_drink, reading_plain
from prepkit.units import Measured

EXAMPLE = 'prepkit reading --refractometer 24 --hydrometer "15.8 Bx" --acid "0.5 %"'
_COFFEE_ONLY = ("tds", "brew", "dose", "water", "beverage")
_DRINK_ONLY = (
    "hydrometer", "specific_gravity", "baume", "alcoholometer", "acid", "abv", "solids", "invert",
)  # fmt: skip
_FLOATS = ("hydrometer", "specific_gravity", "baume")


class Inputs(BaseInputs):
    """What was read, on which instrument, and what is known of the liquid."""

    refractometer: Measured | None = quantity(
        "Bx", "refractometer reading", "As it stands on the scale, strained, zeroed on water.",
        "24", default=None, low=0, high=95, because="the sugar scale", bare=True,
    )  # fmt: skip
    hydrometer: Measured | None = quantity(
        ("Bx", "kg/m3"), "hydrometer reading", "On a sugar scale (Bx) or as a density; the float "
        "is made for 20 C.", "15.8 Bx", default=None, low=0,
    )  # fmt: skip
    specific_gravity: float | None = number(
        "specific gravity", "A float with a scale of relative density 20/20.", "1.064",
        default=None, low=0.78, high=1.45, because="no drink lies outside",
    )  # fmt: skip
    baume: float | None = number(
        "degrees Baume", "A float with a Baume scale (modulus 145).", "4.0",
        default=None, low=0, high=45, because="no syrup is denser",
    )  # fmt: skip
    alcoholometer: Measured | None = quantity(
        "% vol", "alcoholometer reading", "A spirit float made for 20 C; plain spirit only.",
        "43 % vol", default=None, low=0, high=100, because="a strength", bare=True,
    )  # fmt: skip
    temperature: Measured = quantity(
        "C", "temperature of the sample", "When it was read, on every instrument.", "24 C",
        default=20.0, low=instruments.LOW_C, high=instruments.HIGH_C,
        because="no correction is known outside; bring the sample to 20 C",
    )  # fmt: skip
    atc: bool = flag(
        "the refractometer corrects for temperature", "Its reading is then taken as at 20 C."
    )
    scale: Measured | None = quantity(
        "Bx", "highest mark of the refractometer", "A reading there is over range.", "32",
        default=None, above=0, high=100, because="the sugar scale", bare=True,
    )  # fmt: skip
    scale_from: Measured | None = quantity(
        "Bx", "lowest mark of the refractometer", "A reading there is under range.", "58",
        default=None, low=0, high=100, because="the sugar scale", bare=True,
    )  # fmt: skip
    hydrometer_scale: Measured | None = quantity(
        ("Bx", "kg/m3"), "highest mark of the hydrometer", "A reading there is over range.",
        "40 Bx", default=None, above=0,
    )  # fmt: skip
    acid: Measured | None = quantity(
        ("% w/w", "g/l"), "acid in the liquid", "From the recipe or a titration, as the acid "
        f"named by {named('acid_kind')}; no reading tells it from sugar.", "0.5 %",
        default=None, low=0,
        high=120, because="not computed beyond",
    )  # fmt: skip
    acid_kind: str = choice(
        ("citric", "malic", "tartaric", "lactic", "acetic"), "which acid",
        f"What {named('acid')} is written as and is.", default="citric",
    )  # fmt: skip
    abv: Measured | None = quantity(
        "% vol", "known strength", "From the recipe or the label, where one instrument is read; "
        "0 where there is none.", "12 % vol", default=None, low=0, high=60,
        because="not computed in stronger liquids", bare=True,
    )  # fmt: skip
    solids: Measured | None = quantity(
        "g/l", "solids in the spirit", "Weighed after drying off a measured volume; with "
        f"{named('alcoholometer')}.", "5 g/l",
        default=None, low=0, high=900, because="no more dissolves",
    )  # fmt: skip
    invert: Measured | None = quantity(
        "% w/w", "invert sugar", "Glucose and fructose in the syrup, by weight; with "
        f"{named('refractometer')} alone.", "20 %",
        default=None, low=0, high=85, because="no more dissolves",
    )  # fmt: skip
    thinned: float = number(
        "water added to the sample", "g of water weighed to each g of sample before reading.",
        "1", default=0.0, low=0, high=20, because="a thinner sample reads nothing",
    )  # fmt: skip
    liquid: str = choice(
        ("drink", "honey", "coffee"), "what was read", "Drink: anything of sugar, acid and "
        "alcohol. Honey: all its solids count as invert sugar. Coffee: black, filtered.",
        default="drink",
    )  # fmt: skip
    tds: Measured | None = quantity(
        "% w/w", "dissolved solids of the coffee", "From a coffee refractometer, in place of "
        f"{named('refractometer')}.", "1.35 %",
        default=None, low=0, high=30, because="no coffee has more",
    )  # fmt: skip
    brew: str | None = choice(
        ("percolation", "immersion"), "how it was brewed", "Percolation: espresso, filter. "
        "Immersion: all the water stays with the grounds.", default=None,
    )  # fmt: skip
    dose: Measured | None = quantity(
        "g", "dry coffee", "What was ground.", "18 g", default=None, above=0, high=1e6,
        because="a batch", extensive=True,
    )  # fmt: skip
    water: Measured | None = quantity(
        "g", "water poured", "On to the grounds.", "300 g", default=None, above=0, high=1e7,
        because="a batch", extensive=True,
    )  # fmt: skip
    beverage: Measured | None = quantity(
        "g", "coffee that ran out", "Weighed in the cup or jug.", "36 g", default=None, above=0,
        high=1e7, because="a batch", extensive=True,
    )  # fmt: skip


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


def compute(inputs: Any) -> Result:
    """By what was read: coffee, plain spirit, one instrument, or two."""
    _check(inputs)
    if inputs.refractometer is not None:
        scale = instruments.Scale(
            named("refractometer"), "Bx", _float(inputs.scale), _float(inputs.scale_from)
        )
        scale.check(float(inputs.refractometer))
    if inputs.liquid == "coffee":
        return Result(**reading_plain.coffee(inputs))
    if inputs.alcoholometer is not None:
        return Result(**reading_plain.spirit(inputs))
    if inputs.invert is not None or inputs.liquid == "honey":
        return Result(**reading_plain.inverted(inputs))
    return Result(**reading_drink.drink(inputs, reading_drink.float_mark(inputs)))


def _float(value: Measured | None) -> float | None:
    return None if value is None else float(value)


def _said(inputs: Any, names: tuple[str, ...]) -> list[str]:
    return [f"--{name.replace('_', '-')}" for name in names if getattr(inputs, name) is not None]


def _check(inputs: Any) -> None:
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
            f"{' and '.join(floats)} are readings of the same float; give one.", "hydrometer"
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


def _refuse(options: list[str], why: str) -> None:
    if options:
        raise BadInput(f"{options[0]} {why}.", options[0].lstrip("-").replace("-", "_"))
