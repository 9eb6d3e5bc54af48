"""The balance of a brew: what ran out, how strong it is, its caffeine, the mixture that it is."""

from __future__ import annotations

import math
from typing import NamedTuple

from prepkit.calculators.coffee.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.science import coffee
from prepkit.shared import instruments

_WATER_G_ML = 0.9982  # at 20 C
LEAST_ESPRESSO = 0.04  # weaker is another drink; a food table's "espresso" has 2.2 % (JUDGEMENT)
MOST_SOLIDS = 0.20  # of any brew (JUDGEMENT)


class Band(NamedTuple):
    """What is taken, and from where to where it may be."""

    value: float
    low: float
    high: float
    source: str


def _exact(value: float) -> Band:
    """What was told, with no band."""
    return Band(value, value, value, "DEFINITION")


class Brew(NamedTuple):
    """One way of brewing: its entry in the pantry and what is taken where nothing is measured."""

    entry: str
    immersion: bool
    extraction: Band  # share of the dose
    held: Band  # g of water for each g of dose


_FILTER_HELD = Band(coffee.HELD_KG_KG, 2.0, 2.5, "COFFEE-KEPT")
_STEEPED_HELD = Band(2.5, 2.0, 3.0, "COFFEE-KEPT")
_RAN = Band(0.20, 0.14, 0.26, "JUDGEMENT")
BREWS = {
    "espresso": Brew("espresso", False, _RAN, _FILTER_HELD),
    "filter": Brew("filter coffee", False, _RAN, _FILTER_HELD),
    "steeped": Brew("filter coffee", True, Band(0.21, 0.17, 0.25, "JUDGEMENT"), _STEEPED_HELD),
    "cold brew": Brew(
        "cold brew coffee", True, Band(0.21, 0.15, 0.25, "JUDGEMENT"), _STEEPED_HELD
    ),
    "tea": Brew(
        "brewed black tea", True, Band(0.22, 0.12, 0.32, "JUDGEMENT"),
        Band(3.2, 2.0, 4.4, "TEA-RESIDUE"),
    ),
}  # fmt: skip
_NOT_TOLD = "not told"
_CONTENT = {  # caffeine, g in a g of the dry coffee or leaf [CAFFEINE-CONTENT-MEMORY] (memory)
    "arabica": (0.010, 0.013), "robusta": (0.018, 0.025), "blend": (0.010, 0.025),
    _NOT_TOLD: (0.010, 0.025), "tea": (0.020, 0.040),
}  # fmt: skip
READILY = 0.30  # caffeine comes out no slower than all that can dissolve, some 30 % (JUDGEMENT)
# caffeine by a food table, mg in 100 g: 14209, 14210, 14355, 14278 [USDA-SR28] (read)
TABLE = {"espresso": 212.0, "black": 20.0, "green": 12.0, "filter": 40.0, "steeped": 40.0}


class Made(NamedTuple):
    """The balance of a brew, g; shares as fractions."""

    dose_g: float
    water_g: float | None
    beverage_g: float
    beverage_error_g: float
    tds: Band
    extraction: float
    counted_g: float  # what the extraction counts: the beverage, or all of the liquid


def _water_g(inputs: Inputs) -> float | None:
    if inputs.water is None:
        return None
    return float(inputs.water) * (_WATER_G_ML if inputs.water.unit == "ml" else 1.0)


def brewed(inputs: Inputs, brew: Brew) -> Made:
    dose_g, water_g = float(inputs.dose), _water_g(inputs)
    beverage_g, beverage_error_g = _beverage_g(inputs, brew, dose_g, water_g)
    if water_g is None and inputs.held is not None:
        water_g = beverage_g + inputs.held * dose_g
    tds, share = _strength(inputs, brew, dose_g, water_g, beverage_g)
    counted_g = share * dose_g / tds.value
    return Made(dose_g, water_g, beverage_g, beverage_error_g, tds, share, counted_g)


def _beverage_g(
    inputs: Inputs, brew: Brew, dose_g: float, water_g: float | None
) -> tuple[float, float]:
    """What ran out and its error: weighed, or what was poured less what is held back."""
    if inputs.beverage is not None:
        beverage_g = float(inputs.beverage)
        if water_g is not None and beverage_g >= water_g:
            raise BadInput(
                f"{named('beverage')} is {beverage_g:g} g; it must be less than the {water_g:.1f} "
                "g of water, since the grounds hold some.",
                "beverage",
            )
        return beverage_g, 0.0
    held = brew.held if inputs.held is None else _exact(inputs.held)
    assert water_g is not None  # asked for by `_check`
    if water_g <= held.high * dose_g:
        raise BadInput(
            f"{named('water')} is {water_g:.1f} g; {dose_g:g} g can hold {held.high * dose_g:.1f} "
            "g of it, so nothing may run out. Take more water.",
            "water",
        )
    error = max(held.high - held.value, held.value - held.low) * dose_g
    return 1000 * coffee.beverage_kg(water_g / 1000, dose_g / 1000, held.value), error


def _strength(
    inputs: Inputs, brew: Brew, dose_g: float, water_g: float | None, beverage_g: float
) -> tuple[Band, float]:
    """Dissolved solids and the extraction, one from the other."""

    def solids(share: float) -> float:
        if brew.immersion and water_g is not None:
            return coffee.immersion_solids(share, water_g / 1000, dose_g / 1000)
        return share * dose_g / beverage_g

    field = "tds"
    if inputs.tds is not None:
        tds = _exact(float(inputs.tds) / 100)
    elif inputs.refractometer is not None:
        field = "refractometer"
        value = coffee.solids_from_brix(float(inputs.refractometer))
        off = math.hypot(0.005 * value, coffee.SOLIDS_PER_BRIX * instruments.READING_BX / 100)
        tds = Band(value, value - off, value + off, "COFFEE-BRIX")
    else:
        field = "extraction" if inputs.extraction is not None else "beverage"
        band = brew.extraction
        if inputs.extraction is not None:
            band = _exact(float(inputs.extraction) / 100)
        tds = Band(solids(band.value), solids(band.low), solids(band.high), band.source)
    if inputs.brew == "espresso" and tds.value < LEAST_ESPRESSO:
        raise BadInput(
            f"{100 * tds.value:.1f} % is no espresso; it has about 5 to 14 %. A food table's 2.2 % "
            f"is not a strength: measure it, or choose filter.",
            field,
        )
    if tds.value > MOST_SOLIDS:
        raise BadInput(
            f"{100 * tds.value:.0f} % dissolved solids is stronger than any brew; check "
            f"{named('dose')} and what ran out.",
            field,
        )
    if brew.immersion and water_g is not None:
        share = coffee.extraction_immersion(tds.value, water_g / 1000, dose_g / 1000)
    else:
        share = coffee.extraction_percolation(tds.value, beverage_g / 1000, dose_g / 1000)
    if share > coffee.MOST_EXTRACTED:
        raise BadInput(
            f"{100 * share:.0f} % of the dose is too much: coffee and tea give about 30 % at most; "
            f"check {named(field)} and the weights.",
            field,
        )
    return tds, share


def content(inputs: Inputs) -> tuple[float, float]:
    """Caffeine in a g of what was weighed in, least and most."""
    if inputs.caffeine is not None:
        told = float(inputs.caffeine) / 100
        return told, told
    return _CONTENT["tea" if inputs.brew == "tea" else inputs.bean or _NOT_TOLD]


def caffeine_of(inputs: Inputs, made: Made) -> tuple[float, float]:
    """Caffeine in the beverage: all of the dose's at most, and no less than solids come out."""
    least, most = content(inputs)
    share = min(1.0, made.beverage_g / made.counted_g)
    high = most * made.dose_g * share
    low = least * made.dose_g * share * min(1.0, made.extraction / READILY)
    solids_g = made.tds.high * made.beverage_g
    return min(low, solids_g), min(high, solids_g)


def product_of(inputs: Inputs, brew: Brew, made: Made, caffeine_g: float) -> Mixture:
    """The brew at its strength, with the most caffeine that it can hold."""
    entry = brew.entry
    if inputs.brew == "tea" and inputs.leaf == "green":
        entry = "brewed green tea"
    known = Pantry().ingredient(entry).mixture
    solids_kg = made.tds.value * made.beverage_g / 1000
    caffeine_kg = min(caffeine_g / 1000, solids_kg)
    rest = known.without({name: known.of(name) for name in ("water", "caffeine")})
    scale = (solids_kg - caffeine_kg) / rest.mass_kg
    masses = {name: kg * scale for name, kg in rest.masses_kg.items()}
    masses |= {"water": made.beverage_g / 1000 - solids_kg, "caffeine": caffeine_kg}
    return Mixture(masses, known.allergens, known.tags, known.keeps)
