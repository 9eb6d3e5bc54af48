"""Inputs of infuse, and how far an infusion has come.

Balances by mass. Data in data/absorption.toml, with its sources.
"""

import math
import re
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from prepkit import blocks, jurisdictions
from prepkit.errors import BadInput, later, named
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, flag, number, parts, quantity, words
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.record import Record
from prepkit.shared import botanicals, syrup
from prepkit.shared.syrup import DRY_BELOW, INSOLUBLE, STAYS_IN, STRAINED_GROUPS, LiquidKept
from prepkit.units import Measured

# ---- steeping ----

STEEPED_GROUPS = STRAINED_GROUPS | {"nut", "other"}
LEFT_BY_PRESSING = 1.0 / 3.0  # pressing returns about two thirds [TEA-RESIDUE], of tea
EXTRACTED_GROUPS = ("coffee", "tea")


class Extraction(Record):
    """Share of coffee or tea that dissolves, of its mass as weighed."""

    share: float
    of: str
    source: str


class Kept(Record):
    """Liquid that a drained solid keeps, g per g as put in: least, most, and where that is from."""

    low: float
    high: float
    kind: str
    source: str


class Solid(Record):
    """A solid in the liquid: its own juice (what can mix with the liquid) and what cannot."""

    part: Part
    put_in: Mixture
    juice: Mixture
    dry: bool
    kept: Kept
    extraction: Extraction | None

    @property
    def left_kg(self) -> float:
        """What never leaves the solid, kg."""
        return self.put_in.mass_kg - self.juice.mass_kg


class Strained(Record):
    """The strained liquid and what the solids keep of it."""

    liquid: Mixture
    kept: Mixture


@cache
def _table() -> Mapping[str, Any]:  # Any: rows of a TOML file of ours
    return blocks.document("absorption.toml")


def published_extraction(group: str) -> Extraction | None:
    """The published share of coffee or tea that dissolves in water; None for other groups.

    >>> published_extraction("coffee").share
    0.21
    """
    for row in _table()["extraction"]:
        if row["group"] == group:
            return Extraction(row["percent"] / 100, row["of"], row["source"])
    return None


def is_dry(mixture: Mixture) -> bool:
    """Whether a solid holds less than a quarter water."""
    return mixture.fraction("water") < DRY_BELOW


def kept_by(part: Part, put_in: Mixture, juice: Mixture, pressed: bool = False) -> Kept:
    """The range of liquid that a solid of its kind keeps, own juice counted."""
    row = next(row for row in _table()["kind"] if _is_kind(row, part, is_dry(put_in)))
    low, high = row["kept"]
    if not row.get("own_counted", True):
        high += juice.mass_kg / put_in.mass_kg if put_in.mass_kg else 0.0
    source = row["source"]
    if pressed and "pressed" in row:
        low, high = row["pressed"]
    elif pressed:
        low, high = low * LEFT_BY_PRESSING, high * LEFT_BY_PRESSING
        source = "TEA-RESIDUE"
    return Kept(low, high, row["name"], source)


def _is_kind(row: Mapping[str, Any], part: Part, dry: bool) -> bool:  # Any: a row of `_table`
    ingredient = part.ingredient
    if "names" in row:
        return ingredient.name in row["names"]
    return (
        ingredient.group in row.get("groups", (ingredient.group,))
        and ingredient.form in row.get("forms", (ingredient.form,))
        and dry == row.get("dry", dry)
    )


def require_solid(part: Part, field: str) -> None:
    """Refuse what is no solid that is strained off again."""
    ingredient = part.ingredient
    if ingredient.form == "liquid":
        raise BadInput(
            f"{named(field, part.words)} is a liquid; give it as {named('liquid')}.", field
        )
    if ingredient.name in STAYS_IN or ingredient.group not in STEEPED_GROUPS:
        raise BadInput(
            f"{named(field, part.words)} is not strained off again: it stays in the liquid; give "
            f"it as {named('liquid')}.",
            field,
        )


def solid(
    part: Part, water_lost: float = 0.0, extraction: float | None = None, pressed: bool = False
) -> Solid:
    """A solid as it goes in: less the water it lost before, with what of it can dissolve.

    water_lost: share of its mass as written. extraction: share of coffee or tea that dissolves;
    without it the published one, where so much of it can dissolve: cocoa nibs, which stand beside
    coffee, hold less. Of other solids everything but fat, protein and fibre can.
    """
    own_kg = part.mixture.of("water")
    lost_kg = water_lost * part.mass_kg
    if lost_kg > own_kg * (1 + 1e-9):
        raise BadInput(
            f"{named('water_lost')} is {100 * water_lost:g} % of the fresh weight; {part.name} "
            f"holds only {100 * own_kg / part.mass_kg:.1f} % water.",
            "water_lost",
        )
    put_in = part.mixture.without({"water": min(lost_kg, own_kg)}) if lost_kg else part.mixture
    stays = {name: put_in.of(name) for name in INSOLUBLE if put_in.of(name)}
    juice = put_in.without(stays)
    share: Extraction | None = None
    if part.ingredient.group in EXTRACTED_GROUPS:
        share = published_extraction(part.ingredient.group)
        can_kg = juice.mass_kg - juice.of("water")
        if share is not None and share.share * put_in.mass_kg > can_kg:
            share = None
        if extraction is not None:
            share = Extraction(extraction, "as given", "DEFINITION")
        if share is not None:
            juice = _extracted(juice, share.share * put_in.mass_kg)
    return Solid(part, put_in, juice, is_dry(put_in), kept_by(part, put_in, juice, pressed), share)


def _extracted(juice: Mixture, wanted_kg: float) -> Mixture:
    """`wanted_kg` of dissolved solids in the proportions of the juice, all caffeine among them."""
    caffeine = juice.of("caffeine")
    others = {
        name: kg for name, kg in juice.masses_kg.items() if name not in ("water", "caffeine") and kg
    }
    total = math.fsum(others.values())
    if wanted_kg > (total + caffeine) * (1 + 1e-9):
        raise BadInput(
            f"{named('extraction')} would dissolve {1000 * wanted_kg:.1f} g, and only "
            f"{1000 * (total + caffeine):.1f} g of it can dissolve; give the share that a reading "
            f"of the strained liquid showed.",
            "extraction",
        )
    taken = min(caffeine, wanted_kg)
    scale = (wanted_kg - taken) / total if total else 0.0
    masses = {name: kg * scale for name, kg in others.items()}
    masses |= {"water": juice.of("water"), "caffeine": taken}
    return Mixture(masses, juice.allergens, juice.tags, juice.keeps)


def kept_kg(solids: Iterable[Solid], given: float | None, drained_kg: float | None) -> LiquidKept:
    """Liquid kept by all solids.

    given: g per g as put in. drained_kg: all drained solids as weighed, which goes before it.
    """
    solids = tuple(solids)
    if drained_kg is not None:
        kept = drained_kg - math.fsum(one.left_kg for one in solids)
        return LiquidKept(kept, kept, kept)
    least = math.fsum(
        (one.kept.low if given is None else given) * one.put_in.mass_kg for one in solids
    )
    most = math.fsum(
        (one.kept.high if given is None else given) * one.put_in.mass_kg for one in solids
    )
    return LiquidKept(least, 0.5 * (least + most), most)


def strained(poured: Mixture, juice: Mixture, kept: float, exchanged: float) -> Strained:
    """What runs off where the solids keep `kept` kg of liquid.

    exchanged: from 0 (the solids keep their own juice as far as what they keep allows) to 1 (all
    juice and all liquid are evenly mixed). The mass that runs off is the same in both.

    >>> water, spirit = Mixture({"water": 1.0}), Mixture({"ethanol": 1.0})
    >>> strained(spirit, water, 0.5, 1.0).liquid.fraction("water")
    0.5
    >>> strained(spirit, water, 1.0, 0.0).liquid.fraction("water")
    0.0
    """
    own_kg = juice.mass_kg
    unmixed_kg = (1.0 - exchanged) * min(own_kg, kept)
    unmixed = juice.scaled(unmixed_kg / own_kg) if own_kg else juice
    mixed = poured + juice.scaled(1.0 - unmixed_kg / own_kg) if own_kg else poured
    taken_kg = kept - unmixed_kg
    return Strained(
        mixed.scaled(1.0 - taken_kg / mixed.mass_kg),
        mixed.scaled(taken_kg / mixed.mass_kg) + unmixed,
    )


# ---- the inputs of infuse, and what of them cannot be together ----

_PER_GRAM = later(r"\s*(?:g/g|kg/kg|g per g)\s*$", re.IGNORECASE)


class Inputs(BaseInputs):
    """What is poured on what, and what was weighed."""

    takes = (("noted", "weighings"), ("aroma", "name"))
    groups = (
        ("Most needed", "liquid botanical method kept drained pressed"),
        ("Measured", "water_lost extraction"),
        ("Over time", "time noted thickness temperature noted_at aroma"),
        ("Heat and gas", "heated_in gas gas_time tastes_as"),
        ("Conditions", "alkaloids jurisdiction"),
    )

    liquid: tuple[Part, ...] = parts(
        "the liquid", "Spirit, wine, water, syrup, and what dissolves in it. One entry for each.",
        "700 ml spirit 43 %",
    )  # fmt: skip
    botanical: tuple[Part, ...] = parts(
        "the plants",
        "Fruit, peel, herb, coffee, tea, spice, nuts that are strained off again; once for each.",
        "300 g strawberries",
    )
    method: str | None = choice(
        ("maceration", "pressure", "heated"), "how",
        "Left to stand, under gas in a siphon, or in a warm water bath. Maceration if left out.",
        default=None,
    )  # fmt: skip
    time: Measured | None = quantity(
        "h", "time of steeping", "For how far it is by then.", "24 h",
        default=None, above=0, high=9000, because="a year",
    )  # fmt: skip
    noted: tuple[str, ...] = words(
        "what you noted",
        "Two or more of one kind: a score, drained plants in g, Bx without spirit, or strength.",
        "6 h: 4", many=True, default=(),
    )  # fmt: skip
    thickness: Measured | None = quantity(
        "mm", "thickness of the pieces", "For a band of time before you noted anything.", "3 mm",
        default=None, low=0.1, high=50, because="a piece of a plant",
    )  # fmt: skip
    temperature: Measured | None = quantity(
        "C", "temperature of steeping", "Of the liquid or the bath.", "55 C",
        default=None, low=0, high=100, because="boiling is another work",
    )  # fmt: skip
    noted_at: Measured | None = quantity(
        "C", "temperature where it was noted", "If the readings were taken at another one.", "20 C",
        default=None, low=0, high=100, because="boiling is another work",
    )  # fmt: skip
    aroma: tuple[str, ...] = words(
        "an aroma that is wanted", "Tells what goes into water, spirit or fat.", "vanillin",
        many=True, default=(),
    )  # fmt: skip
    heated_in: str | None = choice(
        ("bag", "open-pan", "closed-jar"), "heated in", "A sealed bag in a bath, an open pan.",
        default=None,
    )  # fmt: skip
    gas_time: Measured | None = quantity(
        "h", "your time under gas", "With the time without gas that tastes the same.", "3 min",
        default=None, above=0, high=100, because="a charge",
    )  # fmt: skip
    tastes_as: Measured | None = quantity(
        "h", "your time without gas", "That tastes the same as the time under gas.", "24 h",
        default=None, above=0, high=9000, because="a year",
    )  # fmt: skip
    gas: str | None = choice(
        ("n2o", "co2"), "gas of a pressure infusion", "Nitrous oxide. Carbon dioxide is refused.",
        default=None,
    )  # fmt: skip
    kept: float | None = number(
        "liquid lost in the plants",
        "Grams of liquid, own juice counted, kept by 1 g of plant, by your own weighing. "
        "Without it, the trade's range.",
        "0.3", default=None, low=0, high=20,
    )  # fmt: skip
    drained: Measured | None = quantity(
        "g", "the drained plants, weighed", "All of them together after straining: the surest "
                                            "figure.",
        "270 g", default=None, above=0, high=1e7, because="a batch of at most ten tonnes",
        extensive=True,
    )  # fmt: skip
    pressed: bool = flag("pressed", "The plants are squeezed or pressed out, not only drained.")
    water_lost: Measured = quantity(
        "%", "water lost before", "Roasted or dried before steeping: water lost, as a share of "
                                  "the fresh weight.", "20 %", default=0.0, low=0, high=95,
        because="no plant holds more",
    )  # fmt: skip
    extraction: Measured | None = quantity(
        "%", "extraction of coffee or tea", "Share of its weight that dissolves, from a reading "
                                            "of the strained liquid. Without it, the published "
                                            "share.", "21 %",
        default=None, low=0, high=45, because="no more of it dissolves",
    )  # fmt: skip
    alkaloids: Measured | None = quantity(
        "%", "assay of cinchona bark", "Total alkaloids by the certificate of analysis. Without "
                                       "it, nothing is worked out with bark.", "6 %",
        default=None, above=0, high=20, because="no bark holds more",
    )  # fmt: skip
    jurisdiction: str = choice(
        jurisdictions.CHOICES, "jurisdiction", "The place whose rules count for refused plants. "
                                              "Without it, the strictest.", default="strictest",
    )  # fmt: skip

    @classmethod
    def tidy_field(cls, name: str, said: Any) -> Any:  # Any: words of any field
        """Hook of the base: a place by any of its names."""
        known = name == "jurisdiction" and isinstance(said, str)
        return jurisdictions.choice_of(said) if known else said

    @classmethod
    def before_reading(cls, said: dict[str, object], pantry: Pantry) -> dict[str, object]:
        """Hook of the base: refused plants, and what is kept as a plain ratio."""
        found = botanicals.spotted(said, ("botanical", "liquid"))
        kept = found.get("kept")
        if isinstance(kept, str):
            return {**found, "kept": _PER_GRAM.sub("", kept)}
        return found


def check(inputs: Inputs) -> None:
    """BadInput for what contradicts itself, and where there is nothing to infuse."""
    if inputs.method == "pressure" and inputs.gas is None:
        raise BadInput(
            f"{named('method')} pressure needs its gas: write {named('gas')} n2o for nitrous "
            "oxide; carbon dioxide is refused.",
            "gas",
        )
    if inputs.gas is not None and inputs.method in ("maceration", "heated"):
        raise BadInput(
            f"{named('gas')} {inputs.gas} belongs to {named('method')} pressure, and "
            f"{inputs.method} needs no gas; leave one of the two out.",
            "gas",
        )
    for part in inputs.botanical:
        require_solid(part, "botanical")
    for part in inputs.liquid:
        if syrup.is_strained(part):
            raise BadInput(
                f"{named('liquid', part.words)} is a plant that is strained off again; give it as "
                f"{named('botanical')}.",
                "liquid",
            )
    if not math.fsum(part.mass_kg for part in inputs.liquid) > 0:
        raise BadInput(
            f"{named('liquid')} amounts to 0; write for example 700 ml spirit 43 %.", "liquid"
        )
    if not math.fsum(part.mass_kg for part in inputs.botanical) > 0:
        raise BadInput(
            f"{named('botanical')} amounts to 0; write for example 300 g strawberries.",
            "botanical",
        )
    if inputs.kept is not None and inputs.drained is not None:
        raise BadInput(
            f"{named('kept')} and {named('drained')} say the same thing; give one of them.", "kept"
        )
    if inputs.extraction is not None and not any(
        part.ingredient.group in EXTRACTED_GROUPS for part in inputs.botanical
    ):
        raise BadInput(
            f"{named('extraction')} is for coffee and tea, and neither is among the plants; "
            "leave it out.",
            "extraction",
        )
