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
    """What there is and what it is to become."""

    part: tuple[Part, ...] = parts(
        "the liquid",
        "What is to be adjusted; give the option once for each part of it.",
        "1 kg orange juice",
    )
    acid: tuple[Shelf, ...] = words_of(
        "the acids to add",
        "One acid off the shelf with its parts by mass; give the option once for each.",
        "2 parts citric acid",
        default=(),
        many=True,
        several=True,
    )
    target: Measured | None = quantity(
        ("% w/w", "g/l"),
        "titratable acidity wanted",
        "Written as citric acid, titrated to pH 8.2: grams in 100 g (% w/w, also meant by a bare "
        "%) or in a litre.",
        "6 % w/w",
        default=None,
        above=0,
    )
    like: Ingredient | None = ingredient(
        "a juice to be like",
        "Its titratable acidity and its acids are the aim.",
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
        "your own titration of the liquid",
        "Written as citric acid (a bare % is by weight); takes the place of the published acidity, "
        "in the same make-up.",
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
        "how to lower acidity",
        "What may be added where the aim lies below the present acidity.",
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
