"""The closed list of units, and what a house means by a cup, a shot or a bottle."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from prepkit.errors import BadQuantity
from prepkit.numbers import plain
from prepkit.unit_table import EXACT

# ---- the closed list of unit words ----


class Unit(NamedTuple):
    """A unit word: its kind, the word shown, and its size in the base unit of the kind.

    A number v of it is (v - zero) * factor / per of the base unit. Where `factor` is None the size
    comes from the units library, by the name `foreign` of data/units.txt.
    """

    kind: str
    name: str
    factor: float | None
    foreign: str = ""
    zero: float = 0.0
    per: float = 1.0


def _metric() -> dict[str, Unit]:
    kinds: dict[str, dict[str, float]] = {
        "mass": {"kg": 1.0, "g": 1e-3, "mg": 1e-6, "ug": 1e-9},
        "volume": {
            "m3": 1.0,
            "l": 1e-3,
            "dl": 1e-4,
            "cl": 1e-5,
            "ml": 1e-6,
            "ul": 1e-9,
            "metric cup": 250e-6,
            "metric tbsp": 15e-6,
            "metric tsp": 5e-6,
            # practice: no standard fixes these; weigh where the dose matters
            "barspoon": 5e-6,
            "dash": 0.9e-6,
            "splash": 7.5e-6,
            "drop": 0.05e-6,
        },
        "length": {"m": 1.0, "cm": 1e-2, "mm": 1e-3, "um": 1e-6},
        "pressure": {"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "mbar": 1e2, "bar": 1e5},
        "time": {"s": 1.0, "min": 60.0, "h": 3600.0, "d": 86400.0},
        "fraction": {"%": 1e-2, "‰": 1e-3, "ppm": 1e-6, "mg/kg": 1e-6, "g/kg": 1e-3},
        "mass fraction": {"% w/w": 1e-2},
        "mass per volume": {"g/l": 1.0, "mg/l": 1e-3, "g/ml": 1e3, "kg/m3": 1.0},
        "mass in volume": {"% w/v": 1e-2},
        "sugar scale": {"Bx": 1e-2},
        "strength": {"% vol": 1e-2},
        "mass rate": {
            "kg/s": 1.0,
            "g/s": 1e-3,
            "kg/h": 1 / 3600,
            "g/h": 1e-3 / 3600,
            "g/min": 1e-3 / 60,
            "kg/d": 1 / 86400,
        },
        "flow": {
            "m3/s": 1.0,
            "m3/h": 1 / 3600,
            "l/min": 1e-3 / 60,
            "l/s": 1e-3,
            "l/h": 1e-3 / 3600,
            "l/d": 1e-3 / 86400,
            "m3/min": 1 / 60,
            "cfm": 0.3048**3 / 60,  # cubic feet a minute; the foot is exact
        },
        "per time": {"/h": 1 / 3600},
        "equivalents": {"meq/l": 1e-3, "meq/kg": 1e-3},
        "area": {"m2": 1.0, "cm2": 1e-4},
    }
    return {
        word: Unit(kind, word, factor) for kind, of in kinds.items() for word, factor in of.items()
    }


_FOREIGN = {  # rare: for these the units library is loaded
    "st": ("mass", "stone"),
    "yd": ("length", "yard"),
    "mi": ("length", "mile"),
    "in3": ("volume", "cubic_inch"),
    "yd3": ("volume", "cubic_yard"),
    "torr": ("pressure", "torr"),
    "inHg": ("pressure", "inch_of_mercury"),
}
_TEMPERATURES = {
    "C": Unit("temperature", "C", 1.0),
    "F": Unit("temperature", "F", 5.0, zero=32.0, per=9.0),
    "K": Unit("temperature", "K", 1.0, zero=273.15),
}
UNITS: dict[str, Unit] = (
    _metric()
    | _TEMPERATURES
    | {word: Unit(kind, word, factor) for word, (kind, factor) in EXACT.items()}
    | {word: Unit(kind, word, None, foreign) for word, (kind, foreign) in _FOREIGN.items()}
)
# half the width of what bars pour by these words, in the unit itself; practice, no standard
BANDS = {"dash": 0.4 / 0.9, "splash": 2.5 / 7.5}
# other spellings of the same words, all lower case
# fmt: off
_ALSO = {
    "kilo": "kg", "kilos": "kg", "gram": "g", "grams": "g", "gr": "g", "litre": "l",
    "litres": "l", "liter": "l", "liters": "l", "ltr": "l", "millilitre": "ml",
    "millilitres": "ml", "milliliter": "ml", "milliliters": "ml", "cc": "ml", "centilitre": "cl",
    "centilitres": "cl", "μm": "um", "ounce": "oz", "ounces": "oz", "oz wt": "oz", "pound": "lb",
    "pounds": "lb", "lbs": "lb", "us floz": "US fl oz", "uk fl oz": "imp fl oz",
    "imperial fl oz": "imp fl oz", "us qt": "US quart", "barspoons": "barspoon",
    "bar spoon": "barspoon", "dashes": "dash", "drops": "drop", "°c": "C", "degc": "C",
    "deg c": "C", "celsius": "C", "°f": "F", "degf": "F", "deg f": "F", "fahrenheit": "F",
    "kelvin": "K", "percent": "%", "per cent": "%", "pct": "%", "per mille": "‰", "%w/w": "% w/w",
    "% m/m": "% w/w", "%w/v": "% w/v", "% m/v": "% w/v", "% by weight": "% w/w",
    "% by mass": "% w/w", "%vol": "% vol", "% v/v": "% vol", "% abv": "% vol", "%abv": "% vol",
    "abv": "% vol", "vol %": "% vol", "vol": "% vol", "brix": "Bx", "°bx": "Bx", "°brix": "Bx",
    "deg bx": "Bx", "sec": "s", "second": "s", "seconds": "s", "minute": "min", "minutes": "min",
    "mins": "min", "hour": "h", "hours": "h", "hr": "h", "hrs": "h", "day": "d", "days": "d",
    "inch": "in", "inches": "in", "foot": "ft", "feet": "ft", "kg/hour": "kg/h", "g per l": "g/l",
    "grams per litre": "g/l", "per h": "/h", "1/h": "/h", "ach": "/h", "per hour": "/h",
    "l/day": "l/d", "kg/day": "kg/d", "l per min": "l/min", "kg per h": "kg/h",
    "us fluid ounce": "US fl oz", "us fluid ounces": "US fl oz", "us cups": "US cup",
    "us tablespoon": "US tbsp", "us tablespoons": "US tbsp", "us teaspoon": "US tsp",
    "us tsps": "US tsp", "us tbsps": "US tbsp", "metric tsps": "metric tsp",
    "metric tbsps": "metric tbsp", "us teaspoons": "US tsp",
    "us pints": "US pint", "us pt": "US pint", "us quarts": "US quart",
    "us gallon": "US gal", "us gallons": "US gal", "uk floz": "imp fl oz",
    "imp floz": "imp fl oz", "imperial fluid ounce": "imp fl oz",
    "imperial fluid ounces": "imp fl oz", "uk fluid ounce": "imp fl oz",
    "uk fluid ounces": "imp fl oz", "imp pints": "imp pint", "imp pt": "imp pint",
    "uk pint": "imp pint", "uk pints": "imp pint", "imperial pint": "imp pint",
    "imperial pints": "imp pint", "imp qt": "imp quart", "imp quarts": "imp quart",
    "imperial quart": "imp quart", "imperial quarts": "imp quart", "uk quart": "imp quart",
    "imp gallon": "imp gal", "imp gallons": "imp gal", "imperial gallon": "imp gal",
    "imperial gallons": "imp gal", "uk gal": "imp gal", "uk gallon": "imp gal",
    "uk gallons": "imp gal", "metric cups": "metric cup", "metric tablespoon": "metric tbsp",
    "metric tablespoons": "metric tbsp", "metric teaspoon": "metric tsp",
    "metric teaspoons": "metric tsp", "grammes": "g", "gramme": "g", "kilogram": "kg",
    "kilograms": "kg", "milligram": "mg", "milligrams": "mg", "microgram": "ug",
    "micrograms": "ug", "mcg": "ug", "deciliter": "dl", "decilitre": "dl", "decilitres": "dl",
    "deciliters": "dl", "centiliter": "cl", "centiliters": "cl", "microlitre": "ul",
    "microlitres": "ul", "microliter": "ul", "microliters": "ul", "μl": "ul", "μg": "ug",
    "ounces wt": "oz", "ounce wt": "oz", "oz by weight": "oz", "oz weight": "oz",
    "bar spoons": "barspoon", "barspoonful": "barspoon", "splashes": "splash", "° c": "C",
    "° f": "F", "degrees c": "C", "degrees f": "F", "degrees celsius": "C",
    "degrees fahrenheit": "F", "degree c": "C", "degree f": "F", "°celsius": "C",
    "% by volume": "% vol", "%v/v": "% vol", "cubic feet": "ft3", "cubic foot": "ft3",
    "cu ft": "ft3", "cubic metre": "m3", "cubic metres": "m3", "cubic meter": "m3",
    "cubic meters": "m3", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "mmhg": "torr", "mm hg": "torr", "inhg": "inHg", "in hg": "inHg", "yards": "yd", "yard": "yd",
    "miles": "mi", "mile": "mi", "cubic inch": "in3", "cubic inches": "in3", "cubic yard": "yd3",
    "cubic yards": "yd3",
    "m3/hr": "m3/h", "m3/hour": "m3/h",
    "m3 per h": "m3/h", "cmh": "m3/h", "lps": "l/s", "l/sec": "l/s",
    "litres/s": "l/s", "l per s": "l/s", "ft3/min": "cfm", "cu ft/min": "cfm",
    "air changes/h": "/h", "air changes per hour": "/h", "air changes": "/h",
    "air changes an hour": "/h",
}
# fmt: on
BY_WORD = {word.lower(): unit for word, unit in UNITS.items()} | {
    word: UNITS[of] for word, of in _ALSO.items()
}
# a pressure that says itself what it counts from: the unit, and the word of a field's label
PRESSURES = {
    "barg": ("bar", "gauge"),
    "bar g": ("bar", "gauge"),
    "bar(g)": ("bar", "gauge"),
    "bar gauge": ("bar", "gauge"),
    "psig": ("psi", "gauge"),
    "psi g": ("psi", "gauge"),
    "psi gauge": ("psi", "gauge"),
    "bara": ("bar", "absolute"),
    "bar a": ("bar", "absolute"),
    "bar(a)": ("bar", "absolute"),
    "bar abs": ("bar", "absolute"),
    "bar absolute": ("bar", "absolute"),
    "psia": ("psi", "absolute"),
    "psi abs": ("psi", "absolute"),
    "psi absolute": ("psi", "absolute"),
}
PIECE = frozenset({"piece", "pieces", "pc", "pcs", "x", "×", "whole"})


# ---- what a house means by a cup, a shot or a bottle ----

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

    def over(self, other: "Measures") -> "Measures":
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
