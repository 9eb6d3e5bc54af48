"""What acid-match is told."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from prepkit.errors import BadInput, named
from prepkit.mixture import MINERALS, Mixture
from prepkit.model import Inputs as BaseInputs
from prepkit.model import ingredient, number, quantity, words
from prepkit.pantry import Ingredient, Pantry
from prepkit.science import acids
from prepkit.science.least_squares import MOST_UNKNOWNS
from prepkit.shared import acidity
from prepkit.units import Measured


class Bottle(str):
    """The words of one acid or acid salt off the shelf, with what it is."""

    ingredient: Ingredient
    mixture: Mixture  # of 1 kg, as it ends up in the liquid

    @classmethod
    def read(cls, said: str, pantry: Pantry) -> Bottle:
        """Read "malic acid" or "tripotassium citrate"; BadInput otherwise."""
        if said[:1].isdigit():
            raise BadInput(
                f"{named('acid', f'{said}')}: acid-match finds the amounts itself; write the name "
                "alone.",
                "acid",
            )
        found = pantry.ingredient(said, named("acid"))
        own = found.mixture
        if not own.of(*acids.FOOD_ACIDS, *MINERALS) or own.of("sucrose", "glucose", "fructose"):
            raise BadInput(
                f"{named('acid', f'{said}')}: {found.name} is not an acid or an acid salt.", "acid"
            )
        self = cls(said)
        self.ingredient, self.mixture = found, acidity.in_acid(found)
        return self


class Inputs(BaseInputs):
    """The acids in the house and the juice to match."""

    groups = (
        ("Most needed", "like acid make"),
        ("Target", "acidity ph"),
    )
    takes = (("acid", "acid"),)

    acid: tuple[Bottle, ...] = words(
        "acids and salts at hand",
        "An acid, or a salt such as trisodium citrate in place of a juice's potassium. One "
        "entry for each.",
        "citric acid",
        many=True,
        several=True,
    )
    like: Ingredient | None = ingredient(
        "juice to match",
        "Its published acids and minerals give the acidity, pH and make-up.",
        "lime juice",
        default=None,
    )
    acidity: Measured | None = quantity(
        ("% w/w", "g/l"),
        "titratable acidity to match",
        "Your own titration, as citric acid (a bare % is by weight). Replaces the published "
        "acidity.",
        "5.5 % w/w",
        default=None,
        above=0,
        high=300,
    )
    ph: float | None = number(
        "pH to match", "Your own reading. Replaces the computed one.", "2.3",
        default=None, low=1.0, high=7.0, because="no juice lies outside",
    )  # fmt: skip
    make: Measured = quantity(
        ("ml", "g"),
        "how much to make",
        "The finished liquid, by volume at 20 °C or by mass.",
        "1 l",
        default=1000.0,
        above=0,
        high=1e6,
        because="a batch of at most a tonne",
        extensive=True,
    )

    @classmethod
    def read_field(
        cls,
        name: str,
        value: Any,  # Any: as the base declares it, a value of any field
        pantry: Pantry,
        so_far: Mapping[str, object],
    ) -> object:
        """Hook of the base: the bottles on the shelf."""
        if name != "acid":
            return value
        if not 1 <= len(value) <= MOST_UNKNOWNS:
            raise BadInput(
                f"{named('acid')} names {len(value)} things; acid-match takes 1 to "
                f"{MOST_UNKNOWNS}, such as "
                f"{named('acid', 'citric acid')} {named('acid', 'malic acid')}.",
                "acid",
            )
        return tuple(Bottle.read(one, pantry) for one in value)

    def words(self) -> dict[str, object]:
        """The inputs as words that read back as the same inputs."""
        said = super().words()
        return said if self.like is None else {**said, "like": self.like.name}
