"""The inputs of infuse, and what of them cannot be together."""

from __future__ import annotations

import math
import re
from typing import Any

from prepkit import jurisdictions
from prepkit.calculators.infuse import steeping
from prepkit.errors import BadInput, named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, flag, number, parts, quantity, words
from prepkit.pantry import Pantry, Part
from prepkit.shared import botanicals, straining
from prepkit.units import Measured

_PER_GRAM = re.compile(r"\s*(?:g/g|kg/kg|g per g)\s*$", re.IGNORECASE)


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
        steeping.require_solid(part, "botanical")
    for part in inputs.liquid:
        if straining.is_strained(part):
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
        part.ingredient.group in steeping.EXTRACTED_GROUPS for part in inputs.botanical
    ):
        raise BadInput(
            f"{named('extraction')} is for coffee and tea, and neither is among the plants; "
            "leave it out.",
            "extraction",
        )
