"""The inputs of blend, with the words of a price and of a temperature of its parts."""

from __future__ import annotations

from collections.abc import Mapping

from prepkit.errors import OutOfRange, named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import count, ingredient, parts, quantity, words
from prepkit.pantry import Ingredient, Pantry, Part
from prepkit.shared.price import Price
from prepkit.units import Measured, parse_quantity

LOWEST_C, HIGHEST_C = -20.0, 80.0  # of a part as it is measured: no density outside


class MeasuredAt(str):
    """The words of a temperature of all parts ("4 C") or of one ("spirit 43 %=-18 °C")."""

    name: str  # empty: all that are not named
    temperature_c: float

    @classmethod
    def read(cls, words: str, pantry: Pantry, field: str = named("measured_at")) -> MeasuredAt:
        """Read the words; BadInput where they are neither."""
        named, equals, rest = (one.strip() for one in words.rpartition("="))
        self = cls(words)
        self.temperature_c = float(parse_quantity(rest, ("C",), field))
        if not LOWEST_C <= self.temperature_c <= HIGHEST_C:
            raise OutOfRange(
                field, self.temperature_c, LOWEST_C, HIGHEST_C, "C", "no density outside"
            )
        self.name = pantry.ingredient(named, field).name if equals else ""
        return self


class Inputs(BaseInputs):
    """The parts, the targets, and how the bar measures and keeps it."""

    groups = (
        ("Most needed", "part free abv sugar acidity serves bottle temperature"),
        ("Cost and amounts", "price hold_up round_to"),
        ("Conditions", "measured_at"),
    )
    takes = (
        ("measured_at", "temperature"),
        ("price", "price"),
        ("round_to", "amount"),
    )

    part: tuple[Part, ...] = parts(
        "parts",
        "An amount of one ingredient, with its temperature if not 20 °C. One entry for each.",
        "700 ml spirit 43 %",
        at=True,
    )
    measured_at: tuple[MeasuredAt, ...] = words(
        "temperature of the parts",
        "When the volumes were measured; 20 °C if left out. For all parts, or for one by its name.",
        "spirit 43 %=-18 °C",
        default=(),
        many=True,
    )
    temperature: float = quantity(
        "C",
        "temperature of the blend",
        "For the volume, density and bottles shown. Strengths stay at 20 °C.",
        "20 C",
        default=20.0,
        low=-20,
        high=40,
        because="the density of spirit is published from -20 to 40 °C",
    )
    free: Ingredient | None = ingredient(
        "free part",
        "Its amount follows from the one target given.",
        "spirit 43 %",
        default=None,
    )
    abv: Measured | None = quantity(
        "% vol", "strength wanted", f"By volume at 20 °C; needs {named('free')}.", "20 % vol",
        default=None, above=0, high=96, because="stronger is not distilled", bare=True,
    )  # fmt: skip
    sugar: Measured | None = quantity(
        ("% w/w", "g/l"), "sugars wanted",
        f"By weight, or in a litre at 20 °C; needs {named('free')}.",
        "120 g/l", default=None, above=0, high=1200, because="no syrup holds more",
    )  # fmt: skip
    acidity: Measured | None = quantity(
        ("% w/w", "g/l"), "acidity wanted",
        f"Titratable, as citric acid, by weight or in a litre at 20 °C; needs {named('free')}.",
        "0.8 % w/w", default=None, above=0, high=500, because="no more dissolves",
    )  # fmt: skip
    serves: int | None = count(
        "serves", "How many glasses the batch is poured into.", "12",
        default=None, low=1, high=1_000_000, extensive=True,
    )  # fmt: skip
    price: tuple[Price, ...] = words(
        "prices",
        "Ingredient=money per amount, one entry for each. The currency may follow the number.",
        "rum 40 %=18 per 700 ml",
        default=(),
        many=True,
    )
    bottle: float | None = quantity(
        "ml", "bottle size", "Volume filled into one bottle.", "700 ml",
        default=None, above=0, high=1e6, because="at most a cubic metre",
    )  # fmt: skip
    hold_up: float | None = quantity(
        "ml", "left in each bottle", "Volume that stays behind after pouring.", "10 ml",
        default=None, low=0, high=1e6, because="at most a cubic metre",
    )  # fmt: skip
    round_to: tuple[str, ...] = words(
        "steps of your measures",
        "The smallest step of the jigger (ml) and of the scale (g). Shown beside the exact "
        "amounts.",
        "5 ml",
        default=(),
        many=True,
    )

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> object:
        """Hook of the base: prices and temperatures by their words."""
        readers = {"price": Price.read, "measured_at": MeasuredAt.read}
        if name not in readers or not isinstance(value, tuple):
            return value
        return tuple(readers[name](one, pantry) for one in value)
