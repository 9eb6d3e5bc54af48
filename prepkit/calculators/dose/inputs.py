"""What dose is told."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from prepkit.errors import BadInput, named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import count, number, parts, quantity
from prepkit.model import words as words_of
from prepkit.pantry import Ingredient, Pantry, Part
from prepkit.shared import acidity
from prepkit.shared.acidity import PH_AIM_HIGH
from prepkit.units import Measured


class Named(str):
    """The words of a stock, with the ingredient and its parts."""

    ingredient: Ingredient
    parts: float

    @classmethod
    def read(cls, said: str, pantry: Pantry) -> Named:
        """Read "lactic acid 80 %" or "2 parts citric acid"."""
        self = cls(said)
        self.parts, name = acidity.read_parts(said, named("stock"))
        self.ingredient = pantry.ingredient(name, named("stock"))
        return self


class Inputs(BaseInputs):
    """The stock, what it goes into, and how much or how sour."""

    groups = (
        ("Most needed", "stock strength into amount target target_ph serves"),
        ("Dropper", "weighed_drops weighed tip"),
        ("Scale", "scale within"),
        ("Conditions", "storage"),
    )
    takes = (
        ("stock", "acid"),
        ("amount", "amount"),
    )

    stock: tuple[Named, ...] = words_of(
        "stock",
        "A liquid by name, such as lactic acid 80 %. Or its acids in parts, with "
        f"{named('strength')}. One entry for each.",
        "2 parts citric acid",
        many=True,
        several=True,
    )
    strength: Measured | None = quantity(
        ("% w/w", "% w/v"),
        "strength of the stock",
        "Pure acid in 100 g (% w/w) or 100 ml (% w/v), if you name its acids.",
        "20 % w/w",
        default=None,
        above=0,
        high=100,
    )
    into: tuple[Part, ...] = parts(
        "drink",
        "One serve. One entry for each part.",
        "120 ml water",
        extensive=False,
    )
    amount: str | None = words_of(
        "dose",
        "Drops, dashes, barspoons, ml or g for one serve, or % w/w of what it goes into.",
        "10 drops",
        default=None,
    )
    target: Measured | None = quantity(
        ("% w/w", "g/l"),
        "titratable acidity wanted",
        "Written as citric acid (a bare % is by weight); the amount is found.",
        "0.8 % w/w",
        default=None,
        above=0,
    )
    target_ph: float | None = number(
        "pH wanted", "The amount is found.", "3.0",
        default=None, low=1.0, high=PH_AIM_HIGH,
        because="above it minerals and proteins decide: follow a meter",
    )  # fmt: skip
    weighed_drops: int | None = count(
        "drops counted onto the scale", "Your own calibration: how many drops were weighed.", "20",
        default=None, low=1, high=1000,
    )  # fmt: skip
    weighed: Measured | None = quantity(
        "g", "weight of those drops", "Of this stock, from this dropper.", "1.1 g",
        default=None, above=0, high=1000,
    )  # fmt: skip
    tip: Measured | None = quantity(
        "mm",
        "outer width of dropper tip",
        "Where no drops were weighed. Without it, 3 mm: a drop may then be half or twice as heavy.",
        "3 mm",
        default=None,
        low=0.6,
        high=10,
        because="the law of drops was tried from 0.3 to 5 mm of radius",
    )
    storage: Measured = quantity(
        "C", "storage temperature of the stock", "Solubility is checked there.",
        "4 C", default=4.0, low=0, high=50, because="no solubility is known outside",
    )  # fmt: skip
    scale: Measured = quantity(
        "g", "step of the scale", "Its last digit.", "0.1 g",
        default=0.1, low=0.0001, high=100,
    )  # fmt: skip
    within: Measured = quantity(
        "%", "error allowed in the dose", "As a share of the dose, either way.", "5 %",
        default=5.0, low=0.1, high=50,
    )  # fmt: skip
    serves: int = count(
        "serves to dose", "The dose for this many serves is weighed at once.", "1",
        default=1, low=1, high=100_000, extensive=True,
    )  # fmt: skip

    @classmethod
    def read_field(
        cls,
        name: str,
        value: Any,  # Any: as the base declares it, a value of any field
        pantry: Pantry,
        so_far: Mapping[str, object],
    ) -> object:
        """Hook of the base: the stocks by their words."""
        if name != "stock":
            return value
        if not value:
            raise BadInput(
                f'{named("stock")} is empty; write for example "lactic acid 80 %".', "stock"
            )
        return tuple(Named.read(one, pantry) for one in value)
