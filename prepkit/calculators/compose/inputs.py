"""What compose is told: the parts on the shelf, how much of each at most, and what is wanted."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import ClassVar

from prepkit import ingredient
from prepkit.errors import BadInput, named
from prepkit.ingredient import Ingredient
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, quantity, words
from prepkit.pantry import Pantry
from prepkit.shared.drink import Price, by_part
from prepkit.units import Measured, parse_number, parse_quantity

MOST_PARTS = 16
MOST_WANTED = 12
#: What can be wanted: its units, what it is called.
WANTED: Mapping[str, tuple[tuple[str, ...], str]] = {
    "strength": (("% vol",), "strength"),
    "sugar": (("% w/w", "g/l"), "sugars"),
    "acidity": (("% w/w", "g/l"), "acidity, as citric"),
    "ph": ((), "pH"),
    "ratio": ((), "sugar to acid"),
    "ethanol": (("g",), "ethanol"),
    "caffeine": (("mg",), "caffeine"),
    "energy": ((), "energy, kcal"),
    "density": (("kg/m3",), "density at 20 °C"),
    "cost": ((), "cost"),
    "temperature": (("C",), "temperature, all ice melted"),
}
ICE = "ice"
ICE_C = 0.0  # of ice that says no temperature: wet ice
_RANGE = re.compile(r"^(?P<low>.+?)\s+to\s+(?P<high>.+)$")
_SIDE = re.compile(r"^at (?P<side>least|most)\s+(?P<value>.+)$", re.IGNORECASE)
COLDEST_C, HOTTEST_C = -30.0, 95.0  # of a part
PH_WIDTH = 0.05  # a single pH means so much either way


def _ends(said: str) -> tuple[str | None, str | None]:
    """Words of the lower and the upper end; None for an end that is open."""
    if side := _SIDE.match(said):
        return (side["value"], None) if side["side"].lower() == "least" else (None, side["value"])
    if both := _RANGE.match(said):
        return both["low"], both["high"]
    return said, said


class ShelfPart(str):
    """The words of a part on the shelf: an ingredient, and from how much to how much of it."""

    ingredient: Ingredient
    temperature_c: float | None
    low: Measured | None
    high: Measured | None

    @classmethod
    def read(cls, said: str, pantry: Pantry) -> ShelfPart:
        """Read "spirit 43 %=30 ml to 60 ml"; BadInput otherwise."""
        name, equals, limits = (text.strip() for text in said.partition("="))
        if said[:1].isdigit():
            raise BadInput(
                f"{named('shelf', said)}: the amounts are worked out. Write the name, and limits "
                f"if there are any, as in {named('shelf', 'spirit 43 %=30 ml to 60 ml')}.",
                "shelf",
            )
        self = cls(said)
        name, self.temperature_c = ingredient.temperature(name, named("shelf"))
        self.ingredient = pantry.ingredient(name, named("shelf"))
        if self.is_ice:
            self.temperature_c = ICE_C if self.temperature_c is None else self.temperature_c
        at_c = self.temperature_c
        if at_c is not None and not COLDEST_C <= at_c <= (ICE_C if self.is_ice else HOTTEST_C):
            most = ICE_C if self.is_ice else HOTTEST_C
            raise BadInput(
                f"{named('shelf', said)}: {self.name} at {at_c:g} °C; it must be from "
                f"{COLDEST_C:g} to {most:g} °C.",
                "shelf",
            )
        self.low = self.high = None
        if equals:
            low, high = _ends(limits)
            self.low, self.high = (
                None if text is None else _amount(text, said) for text in (low, high)
            )
            if self.low is not None and self.high is not None and self.low > self.high:
                raise BadInput(f"{named('shelf', said)}: write the lower amount first.", "shelf")
        return self

    @property
    def name(self) -> str:
        """The ingredient's plain name."""
        return self.ingredient.name

    @property
    def is_ice(self) -> bool:
        """Whether it is ice, which melts into the drink."""
        return self.ingredient.name == ICE

    def kg(self, amount: Measured) -> float:
        """An amount of it, in kg."""
        if amount.unit == "g":
            return float(amount) / 1000
        return float(amount) * 1e-6 * self.ingredient.mixture.density_kg_m3(20.0)


def _amount(words_: str, said: str) -> Measured:
    found = parse_quantity(words_, ("ml", "g"), named("shelf"))
    if found < 0:
        raise BadInput(f"{named('shelf', said)}: an amount is not negative.", "shelf")
    return found


class TargetWords(str):
    """The words of one thing that is wanted of the drink: what, from where to where."""

    kind: str
    unit: str
    low: float | None
    high: float | None

    @classmethod
    def read(cls, said: str, field: str = "target") -> TargetWords:
        """Read "strength=18 % to 22 %", "acidity=at least 0.6 %" or "ph=3.2"."""
        name, equals, value = (text.strip() for text in said.partition("="))
        kind = name.lower()
        if not equals or kind not in WANTED or not value:
            raise BadInput(
                f"{named(field, said)}: write what is wanted as one of {', '.join(WANTED)}, such "
                f"as {named(field, 'strength=18 % to 22 %')}.",
                field,
            )
        self = cls(said)
        self.kind = kind
        units = WANTED[kind][0]
        ends: list[Measured | None] = []
        for end in _ends(value):
            if end is None:
                ends.append(None)
            elif units:
                ends.append(parse_quantity(end, units, named(field), True))
            else:
                bare = end.removesuffix("kcal") if kind == "energy" else end
                ends.append(Measured(parse_number(bare.strip(), named(field))[0], ""))
        low, high = ends
        if low is not None and high is not None and (low.unit != high.unit or low > high):
            raise BadInput(
                f"{named(field, said)}: write the lower end first, both in one unit.", field
            )
        self.unit = next(end.unit for end in ends if end is not None)
        self.low, self.high = (None if end is None else float(end) for end in ends)
        least = COLDEST_C if kind == "temperature" else 0.0
        if any(number is not None and number < least for number in (self.low, self.high)):
            if kind == "temperature":
                raise BadInput(f"{named(field, said)}: at least {COLDEST_C:g} °C is taken.", field)
            raise BadInput(f"{named(field, said)}: nothing below 0 can be wanted.", field)
        if kind == "ph" and self.low == self.high and self.low is not None:
            self.low, self.high = self.low - PH_WIDTH, self.low + PH_WIDTH
        return self

    @property
    def label(self) -> str:
        """What it is called."""
        return WANTED[self.kind][1]

    def shown(self, value: float | None) -> str:
        """A value of it in its unit; nothing where it has none."""
        return "" if value is None else f"{value:.3g} {self.unit}".strip()


class Inputs(BaseInputs):
    """The shelf, the drink that is wanted, and how it is measured."""

    groups = (
        ("Most needed", "shelf target volume make round_to price"),
        ("Choice", "prefer shelf_temperature"),
    )
    takes = (("shelf", "ingredient"), ("target", "target"), ("price", "price"),
             ("round_to", "amount"))  # fmt: skip
    bounded: ClassVar[Mapping[str, Mapping[str, str]]] = {
        "shelf": {},
        "target": {
            kind: f"{label} ({' or '.join(units)})" if units else label
            for kind, (units, label) in WANTED.items()
        },
    }

    shelf: tuple[ShelfPart, ...] = words(
        "parts on the shelf",
        "An ingredient, with the least and the most of it in the drink if you want. One entry "
        "for each.",
        "spirit 43 %=30 ml to 60 ml",
        many=True,
    )
    target: tuple[TargetWords, ...] = words(
        "what is wanted",
        "One entry for each: a value, a range, at least or at most. Strength, sugar, acidity, ph, "
        "ratio (sugar to acid), ethanol or caffeine. Also energy, density, cost or temperature "
        "(ice on the shelf).",
        "strength=18 % to 22 %",
        many=True,
    )
    volume: Measured = quantity(
        "ml", "volume of the drink", "Of one drink at 20 °C. Limits and amounts are of it.",
        "120 ml", above=0, high=1e6, because="at most a cubic metre",
    )  # fmt: skip
    make: Measured | None = quantity(
        "ml", "how much to make", "One drink if left out.", "1.2 l",
        default=None, above=0, high=1e6, because="at most a cubic metre", extensive=True,
    )  # fmt: skip
    shelf_temperature: Measured | None = quantity(
        "C", "temperature of the parts", "For parts without one of their own; lemon "
        "juice at 4 °C has one. Ice without one is at 0 °C.", "20 C",
        default=None, low=COLDEST_C, high=HOTTEST_C, because="what is poured at a bar",
    )  # fmt: skip
    prefer: str = choice(
        ("middle", "cheapest"),
        "what to prefer",
        "Where the targets leave a choice: the middle of what is wanted, or the least cost.",
        default="middle",
    )
    price: tuple[Price, ...] = words(
        "prices",
        "Ingredient=money per amount, one entry for each. The currency may follow the number.",
        "rum 40 %=18 per 700 ml",
        default=(),
        many=True,
    )
    round_to: tuple[str, ...] = words(
        "step of your measure",
        "The smallest step of the jigger (ml) or of the scale (g), for one drink.",
        "5 ml",
        default=(),
        many=True,
    )

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> object:
        """Hook of the base: parts, targets and prices by their words."""
        if not isinstance(value, tuple):
            return value
        if name == "shelf":
            return _told_once([ShelfPart.read(one, pantry) for one in value], MOST_PARTS)
        if name == "target":
            found = tuple(TargetWords.read(one) for one in value)
            kinds = [target.kind for target in found]
            twice = next((kind for kind in kinds if kinds.count(kind) > 1), None)
            if twice is not None:
                raise BadInput(
                    f"{named('target')} has {twice} twice; say it once, as a range.", "target"
                )
            return found
        if name == "price":
            return tuple(Price.read(one, pantry) for one in value)
        return value

    def after_reading(self, pantry: Pantry) -> None:
        """Hook of the base: each price is of a part, and what needs prices has them all."""
        if not any(part.ingredient.mixture.of("water") for part in self.shelf):
            raise BadInput(
                f"{named('shelf')} has no liquid; a drink needs one, such as "
                f"{named('shelf', 'water')}.",
                "shelf",
            )
        bare = [part.name for part in self.shelf if part.temperature_c is None]
        wanted = any(target.kind == "temperature" for target in self.target)
        if wanted and bare and self.shelf_temperature is None:
            raise BadInput(
                f"a temperature is wanted, and {bare[0]} has none; write "
                f"{named('shelf', f'{bare[0]} at 4 °C')}, or {named('shelf_temperature', '20 °C')} "
                "for all.",
                "shelf_temperature",
            )
        priced = by_part([part.name for part in self.shelf], self.price)
        unpriced = [part.name for part in self.shelf if part.name not in priced]
        needs = self.prefer == "cheapest" or any(target.kind == "cost" for target in self.target)
        if needs and unpriced:
            raise BadInput(
                f"the cost is wanted, and {unpriced[0]} has no price; give it with "
                f"{named('price', f'{unpriced[0]}=18 per 700 ml')}.",
                "price",
            )


def _told_once(found: list[ShelfPart], most: int) -> tuple[ShelfPart, ...]:
    names = [part.name for part in found]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise BadInput(f"{named('shelf')} has {twice} twice; write it once.", "shelf")
    if len(found) > most:
        raise BadInput(f"{named('shelf')} has {len(found)} parts; at most {most}.", "shelf")
    return tuple(found)
