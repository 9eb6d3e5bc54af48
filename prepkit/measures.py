"""What a house means by a cup, a shot or a bottle: words of amounts that differ from bar to bar."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from prepkit.errors import BadQuantity
from prepkit.numbers import plain

SYSTEMS = ("us", "metric", "imperial")
# the unit that a bare word is in each system; where a system has none, the word is asked back
_OF_SYSTEM: dict[str, dict[str, str]] = {
    "cup": {"us": "US cup", "metric": "metric cup"},
    "tbsp": {"us": "US tbsp", "metric": "metric tbsp", "imperial": "metric tbsp"},
    "tsp": {"us": "US tsp", "metric": "metric tsp", "imperial": "metric tsp"},
    "pint": {"us": "US pint", "imperial": "imp pint"},
    "quart": {"us": "US quart", "imperial": "imp quart"},
    "gal": {"us": "US gal", "imperial": "imp gal"},
    "fl oz": {"": "US fl oz", "us": "US fl oz", "metric": "US fl oz", "imperial": "imp fl oz"},
}
_CHOICES = {
    "cup": 'write "US cup" (237 ml) or "metric cup" (250 ml)',
    "tbsp": 'write "US tbsp" (14.8 ml) or "metric tbsp" (15 ml)',
    "tsp": 'write "US tsp" (4.93 ml) or "metric tsp" (5 ml)',
    "pint": 'write "US pint" (473 ml) or "imp pint" (568 ml)',
    "quart": 'write "US quart" (946 ml) or "imp quart" (1137 ml)',
    "gal": 'write "US gal" (3.785 l) or "imp gal" (4.546 l)',
}
# fmt: off
_SPELLINGS = {
    "cups": "cup", "tablespoon": "tbsp", "tablespoons": "tbsp", "tbsps": "tbsp", "tbs": "tbsp",
    "teaspoon": "tsp", "teaspoons": "tsp", "tsps": "tsp", "pints": "pint", "pt": "pint",
    "pts": "pint", "quarts": "quart", "qt": "quart", "qts": "quart", "gallon": "gal",
    "gallons": "gal", "gals": "gal", "fl. oz": "fl oz", "fl. oz.": "fl oz", "floz": "fl oz",
    "fluid ounce": "fl oz", "fluid ounces": "fl oz",
}
_SIZED = {
    "jigger": "jigger", "jiggers": "jigger", "shot": "shot", "shots": "shot", "part": "part",
    "parts": "part", "bottle": "bottle", "bottles": "bottle", "case": "case", "cases": "case",
}
# fmt: on
SIZES = ("jigger", "shot", "part", "bottle")  # of which a house may tell the size
BY_SYSTEM = frozenset(_OF_SYSTEM) | frozenset(_SPELLINGS)
SIZED = frozenset(_SIZED)


class Measures(NamedTuple):
    """How a house measures; nothing told is nothing known, and then the word is asked back.

    system: one of SYSTEMS, or empty. sizes_ml: size of a word of SIZES, ml. case_bottles: bottles
    in a case. bottles_ml: size of the bottle by ingredient, ml, as the price list says.
    """

    system: str = ""
    sizes_ml: Mapping[str, float] = MappingProxyType({})
    case_bottles: int | None = None
    bottles_ml: Mapping[str, float] = MappingProxyType({})

    def unit(self, word: str, field: str) -> str | None:
        """The unit that a word such as "cup" is here; None where it is no such word.

        Raises BadQuantity with the choices where the house has not told its system.

        >>> Measures("us").unit("pints", "--part"), Measures().unit("ml", "--part")
        ('US pint', None)
        """
        tidy = " ".join(plain(word).split()).lower()
        tidy = tidy if tidy in BY_SYSTEM else tidy.rstrip(".")
        name = _SPELLINGS.get(tidy, tidy)
        if name not in _OF_SYSTEM:
            return None
        unit = _OF_SYSTEM[name].get(self.system)
        if unit is None:
            raise BadQuantity(
                f'{field}: "{word}" is not the same everywhere; {_CHOICES[name]}, or set measures '
                f'in the house file to "us", "metric" or "imperial".',
                field,
            )
        return unit

    def sized_ml(self, word: str, name: str, field: str) -> float | None:
        """Size in ml of a word such as "shot" or "bottle"; None where it is no such word.

        `name` is the ingredient: its bottle may stand in the price list. Raises BadQuantity where
        the house has not told the size.
        """
        size = _SIZED.get(" ".join(word.split()).lower())
        if size is None:
            return None
        if size == "case":
            if self.case_bottles is None:
                raise _ask(word, "case = 6", field, "how many bottles a case holds")
            return self.case_bottles * self._bottle_ml("bottle", name, field)
        if size == "bottle":
            return self._bottle_ml(word, name, field)
        if size not in self.sizes_ml:
            raise _ask(word, f'{size} = "..."', field, f"how much a {size} holds")
        return self.sizes_ml[size]

    def knows_bottle(self, word: str, name: str) -> bool:
        """Whether a word is a bottle whose size is told, for this ingredient or for all."""
        if _SIZED.get(word) != "bottle":
            return False
        return "bottle" in self.sizes_ml or self._listed_ml(name) is not None

    def _listed_ml(self, name: str) -> float | None:
        tidy = " ".join(name.lower().split()).removeprefix("of ")
        for known, ml in self.bottles_ml.items():
            if tidy == known or tidy.startswith(f"{known} "):
                return ml
        return None

    def _bottle_ml(self, word: str, name: str, field: str) -> float:
        listed = self._listed_ml(name)
        if listed is not None:
            return listed
        if "bottle" not in self.sizes_ml:
            raise _ask(word, 'bottle = "..."', field, "how much a bottle holds")
        return self.sizes_ml["bottle"]

    def over(self, other: Measures) -> Measures:
        """What is told here, and of `other` what is not told here."""
        return Measures(
            self.system or other.system,
            {**other.sizes_ml, **self.sizes_ml},
            self.case_bottles if self.case_bottles is not None else other.case_bottles,
            {**other.bottles_ml, **self.bottles_ml},
        )


def _ask(word: str, key: str, field: str, unknown: str) -> BadQuantity:
    return BadQuantity(
        f'{field}: "{word}": {unknown} is not known here; write the amount in ml, or set '
        f"{key} under [sizes] in the house file.",
        field,
    )
