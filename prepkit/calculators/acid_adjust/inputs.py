"""What acid-adjust is told."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from prepkit.errors import named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, ingredient, number, parts, quantity
from prepkit.model import words as words_of
from prepkit.pantry import Ingredient, Pantry, Part
from prepkit.shared.acidity import Shelf
from prepkit.units import Measured


class Inputs(BaseInputs):
    """The batch as it is and as you want it."""

    groups = (
        ("Most needed", "part acid target like target_ph measured"),
        ("Stretch or lower", "stretch_to lower"),
    )
    takes = (("acid", "acid"),)

    part: tuple[Part, ...] = parts(
        "liquid",
        "The juice or drink to adjust. One entry for each part.",
        "1 kg orange juice",
    )
    acid: tuple[Shelf, ...] = words_of(
        "acids to add",
        "An acid with its parts by mass. One entry for each.",
        "2 parts citric acid",
        default=(),
        many=True,
        several=True,
    )
    target: Measured | None = quantity(
        ("% w/w", "g/l"),
        "titratable acidity wanted",
        "As citric acid, titrated to pH 8.2: % w/w (a bare % too) or grams in a litre.",
        "6 % w/w",
        default=None,
        above=0,
    )
    like: Ingredient | None = ingredient(
        "juice to match",
        "Its titratable acidity and its acids are the target.",
        "lemon juice",
        default=None,
    )
    target_ph: float | None = number(
        "pH wanted",
        f"Reached by acid, or upwards as {named('lower')} says; to pH 5 at most.", "3.2",
        default=None, low=1.0, high=14.0, because="no liquid lies outside",
    )  # fmt: skip
    measured: Measured | None = quantity(
        ("% w/w", "g/l"),
        "measured acidity of the liquid",
        "Your own titration, as citric acid (a bare % is by weight). Replaces the published "
        "acidity.",
        "0.95 % w/w",
        default=None,
        above=0,
    )
    stretch_to: Measured | None = quantity(
        ("ml", "g"),
        "yield to stretch to",
        "Water, sugar and acid are added up to this, holding sugar and acidity.",
        "2 l",
        default=None,
        above=0,
        extensive=True,
    )
    lower: str = choice(
        ("refuse", "water", "potassium bicarbonate", "sodium bicarbonate"),
        "acidity lowered by",
        "To add where the target is below the present acidity.",
        default="refuse",
    )

    @classmethod
    def read_field(
        cls,
        name: str,
        value: Any,  # Any: as the base declares it, a value of any field
        pantry: Pantry,
        so_far: Mapping[str, object],
    ) -> object:
        """Hook of the base: the acids by their words."""
        if name != "acid":
            return value
        return tuple(Shelf.read(one, pantry, named("acid")) for one in value)

    def words(self) -> dict[str, object]:
        """The inputs as words that read back as the same inputs."""
        said = super().words()
        return said if self.like is None else {**said, "like": self.like.name}
