"""What correct is told."""

from __future__ import annotations

from prepkit.calculators.correct import balance
from prepkit.errors import named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import flag, ingredient, part, quantity
from prepkit.pantry import Ingredient, Pantry, Part
from prepkit.shared import instruments
from prepkit.units import Measured

_DEFAULTS = {"to_brix": ("sweeten", "white sugar"), "to_acidity": ("sour", "citric acid")}


class Inputs(BaseInputs):
    """The batch as measured, its targets, and what may be added."""

    groups = (
        ("Most needed", "batch refractometer brix acidity abv to_brix to_acidity to_abv"),
        ("Instruments", "hydrometer temperature atc scale"),
        ("Additions", "sweeten sour spirit"),
        ("Conditions", "fridge"),
    )

    batch: Part = part(
        "batch",
        "Its amount, by weight or by volume at 20 °C, and its name. A known name brings its "
        "allergens. Its make-up is as measured.",
        "2 kg cordial",
    )
    brix: Measured | None = quantity(
        "Bx", "true dissolved solids", "Sugar and acid by weight, not a reading.",
        "43", default=None, low=0, high=85, because="no syrup holds more", bare=True,
    )  # fmt: skip
    refractometer: Measured | None = quantity(
        "Bx", "refractometer reading", "As read. The share of acid and alcohol is "
                                                    "subtracted.",
        "44.1", default=None, low=0, high=95, because="the sugar scale", bare=True,
    )  # fmt: skip
    hydrometer: Measured | None = quantity(
        ("Bx", "kg/m3"), "hydrometer reading",
        f"With {named('refractometer')} it tells the strength; alone it needs {named('abv')}.",
        "15.8 Bx", default=None, low=0,
    )  # fmt: skip
    temperature: Measured = quantity(
        "C", "temperature of the sample", "When it was read.", "24 C", default=20.0,
        low=instruments.LOW_C, high=instruments.HIGH_C,
        because="no correction is known outside; bring the sample to 20 °C",
    )  # fmt: skip
    atc: bool = flag(
        "the refractometer corrects for temperature", "Its reading is then taken as at 20 °C."
    )
    scale: Measured | None = quantity(
        "Bx", "highest mark of the refractometer", "A reading there is over range.", "62",
        default=None, above=0, high=100, because="the sugar scale", bare=True,
    )  # fmt: skip
    acidity: Measured | None = quantity(
        ("% w/w", "g/l"), "acidity of the batch", "From a titration, as citric acid.", "1.1 %",
        default=None, low=0, high=300, because="no more is drunk",
    )  # fmt: skip
    abv: Measured | None = quantity(
        "% vol", "strength of the batch", "From the recipe or distillation; 0 where there is none.",
        "12 % vol", default=None, low=0, high=60, because="not computed in stronger liquids",
        bare=True,
    )  # fmt: skip
    to_brix: Measured | None = quantity(
        ("Bx", "g/l"), "sugar target", "True dissolved solids by weight (Bx), or sugars in a litre "
        "at 20 °C.", "45", default=None, above=0, bare=True,
    )  # fmt: skip
    to_acidity: Measured | None = quantity(
        ("% w/w", "g/l"), "acidity target", "As citric acid, by weight or in a litre at 20 °C.",
        "1.3 %", default=None, above=0, high=500, because="no more dissolves",
    )  # fmt: skip
    to_abv: Measured | None = quantity(
        "% vol", "strength target", "At 20 °C.", "14 % vol", default=None, above=0, high=60,
        because="not computed in stronger liquids", bare=True,
    )  # fmt: skip
    sweeten: Ingredient | None = ingredient(
        "sweetener",
        "White sugar if left out. Several by their parts.",
        "white sugar",
        default=None,
        several=True,
    )
    sour: Ingredient | None = ingredient(
        "acid",
        "Citric acid if left out. Several by their parts.",
        "citric acid",
        default=None,
        several=True,
    )
    spirit: Ingredient | None = ingredient(
        "spirit", "A spirit with its own strength; none is added without it.",
        "spirit 40 %", default=None,
    )  # fmt: skip
    fridge: Measured = quantity(
        "C", "temperature of the fridge", "Where crystals are judged.", "4 C", default=4.0,
        low=0, high=15, because="a fridge",
    )  # fmt: skip

    @classmethod
    def before_reading(cls, said: dict[str, object], pantry: Pantry) -> dict[str, object]:
        """Hook of the base: the usual addition to each target, and a batch of any name."""
        for target, (adder, usual) in _DEFAULTS.items():
            if said.get(target) is not None and said.get(adder) is None:
                said[adder] = usual
        batch = said.get("batch")
        if isinstance(batch, str):
            said["batch"] = balance.batch_of_any_name(batch, pantry)
        return said
