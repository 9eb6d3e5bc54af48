"""Words to quantities and back: the number is ours to parse, the unit comes from a closed list.

Metric units are exact powers of ten, kitchen and US units stand in a table of exact sizes; only a
rare one goes through pint with our own definitions file (data/units.txt). This is the only module
that imports pint.

Also what a house means by a cup, a shot or a bottle.
"""

import math
import os
import re
from collections.abc import Iterable, Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, NamedTuple

from prepkit.errors import BadInput, BadQuantity, later
from prepkit.numbers import (
    SPREAD,
    close_names,
    in_figures,
    parse_number,
    parse_spread,
    plain,
    written,
)
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


# ---- words to quantities and back ----

__all__ = [
    "SPREAD", "UNITS", "Measured", "Measures", "convert", "find_unit", "in_figures", "is_unit",
    "parse_number",
    "parse_quantity", "parse_spread", "plain", "shown_in", "split_amount", "without_amount",
]  # fmt: skip

NOT_TOLD = Measures()
# scales that are their own unit: nobody takes a bare number there for another one
OWN_SCALE = ("Bx", "%", "% vol", "/h")
_PROOF = frozenset({"us proof", "proof us"})
_ASKED = {
    "proof": 'write "% vol", or "US proof"; proof is not the same in every country',
    "uk proof": 'write "% vol" or "US proof"',
}
_OUNCE = frozenset({"oz", "ounce", "ounces", "oz."})
_TIMES = later(r"^(?:x|×|times)\s*(?=[0-9])", re.IGNORECASE, within=("x", "×", "times"))


class Measured(float):
    """A number in a known unit, with the +/- it was given with; arithmetic gives plain floats."""

    unit: str
    plus_minus: float

    def __new__(cls, value: float, unit: str = "", plus_minus: float = 0.0) -> "Measured":
        self = super().__new__(cls, value)
        self.unit = unit
        self.plus_minus = plus_minus
        return self

    def words(self) -> str:
        """The text that reads back as this very value.

        >>> Measured(0.5, "l", 0.01).words(), Measured(1.125, "g").words()
        ('0.5 l ± 0.01 l', '1.1250 g')
        """
        unit = f" {self.unit}" if self.unit else ""
        spread = ""
        if self.plus_minus:
            spread = f" ± {written(self.plus_minus, self.unit)}{unit}"
        return f"{written(self, self.unit)}{unit}{spread}"


# units


def find_unit(
    word: str,
    field: str = "the value",
    kinds: Iterable[str] = ("mass", "volume"),
    measures: Measures = NOT_TOLD,
) -> Unit:
    """The unit of a word, or BadQuantity naming the units of the `kinds` that would be right.

    `measures` is what the house means by a cup, a spoon, a pint, a quart or a gallon.
    """
    tidy = " ".join(plain(word).split()).lower()
    unit = BY_WORD.get(tidy) or BY_WORD.get(tidy.rstrip("."))
    if unit is not None:
        return unit
    of_house = measures.unit(tidy, field)
    if of_house is not None:
        return UNITS[of_house]
    if tidy in _ASKED:
        raise BadQuantity(f'{field}: "{word}" is ambiguous; {_ASKED[tidy]}.', field)
    if tidy in PRESSURES:
        raise BadQuantity(
            f'{field}: "{word}" is ambiguous here; write "{PRESSURES[tidy][0]}".', field
        )
    kinds = tuple(kinds)
    of_kinds = {said: one for said, one in BY_WORD.items() if one.kind in kinds}
    near = close_names(tidy, of_kinds, n=3)
    if near:
        hint = "did you mean " + " or ".join(dict.fromkeys(of_kinds[n].name for n in near)) + "?"
    else:
        hint = f"write one of {', '.join(w for w, u in UNITS.items() if u.kind in kinds)}."
    raise BadQuantity(f'{field}: "{word}" is not a unit known here; {hint}', field)


def is_unit(word: str) -> bool:
    """Whether `find_unit` knows a word, be it that it asks back which one is meant.

    >>> is_unit("drops"), is_unit("Cup"), is_unit("psig"), is_unit("my-drops")
    (True, True, True, False)
    """
    tidy = " ".join(plain(word).split()).lower()
    every = (BY_WORD, BY_SYSTEM, _ASKED, PRESSURES)
    return any(text in known for known in every for text in (tidy, tidy.rstrip(".")))


@cache
def _registry() -> Any:  # Any: pint is loaded here alone, and only when it is asked
    import pint

    path = os.path.join(os.path.dirname(__file__), "data", "units.txt")
    return pint.UnitRegistry(path, autoconvert_offset_to_baseunit=False)


@cache
def _foreign_factor(foreign: str, kind: str) -> float:
    """Size of a unit of data/units.txt in the base unit of its kind."""
    base = {"mass": "kilogram", "volume": "meter ** 3", "pressure": "pascal", "length": "meter"}
    return float(_registry().Quantity(1.0, foreign).to(base[kind]).magnitude)


def _factor(unit: Unit) -> float:
    return unit.factor if unit.factor is not None else _foreign_factor(unit.foreign, unit.kind)


def convert(value: float, unit: str, to: str) -> float:
    """`value` in one unit of the list as a number in another of the same kind.

    >>> convert(500.0, "ml", "l"), convert(50.0, "F", "C"), convert(32.0, "F", "C")
    (0.5, 10.0, 0.0)
    """
    if unit == to:
        return value
    source, target = UNITS[unit], UNITS[to]
    if source.kind != target.kind:
        raise BadQuantity(f'"{unit}" ({source.kind}) cannot be given in "{to}" ({target.kind}).')
    if source.kind == "temperature":  # exact where it is a whole number of degrees
        base = (value - source.zero) * _factor(source) / source.per
        return _tidy(base * target.per / _factor(target) + target.zero)
    # by the whole ratio, free of float dust: 500 ml is 0.5 l and 1.5 l is 1500 ml to the digit
    above, below = _factor(source), _factor(target)
    times = _tidy(below / above)
    return value / times if times > 1.0 and times.is_integer() else value * _tidy(above / below)


def _tidy(value: float) -> float:
    return float(f"{value:.14g}")


def _slope(unit: str, to: str) -> float:
    """Size of a difference: 9 F are 5 C."""
    source, target = UNITS[unit], UNITS[to]
    if source.kind != "temperature":
        return convert(1.0, unit, to)
    return _factor(source) / source.per * target.per / _factor(target)


# one quantity


class Asked(NamedTuple):
    """What a field takes, for the one place that reads a quantity."""

    units: tuple[str, ...]
    field: str = "the value"
    bare: bool = False
    example: str = ""
    measures: Measures = NOT_TOLD
    pressure: str = ""  # "gauge" or "absolute" where the field's label says so

    def right(self, value: float | None = None) -> str:
        """What would be right: the field's own example, or its units.

        The example is left out where its number happens to be the one that was given: it would be
        the same number with another unit.
        """
        if self.example:
            try:
                number, _ = parse_number(self.example)
            except BadQuantity:
                number = value if value is not None else 0.0
            if value is None or number != value:
                return f'such as "{self.example}"'
        return f"in {' or '.join(self.units)}"


def parse_quantity(
    words: str | float,
    units: tuple[str, ...],
    field: str = "the value",
    bare: bool = False,
    *,
    example: str = "",
    measures: Measures = NOT_TOLD,
    pressure: str = "",
) -> Measured:
    """A quantity in one of the field's own units; other units of the same kind are converted.

    `units` are the field's own units: one for a plain quantity, several where the basis is part of
    the answer (% w/w or % w/v). The result is in the matching own unit. A bare number in words is
    taken where the field's one unit is a scale of its own (Bx, %, % vol, /h), or where `bare` is
    true; a float from Python is in units[0]. `example` is the field's own, for what is refused.

    >>> parse_quantity("0.5 l", ("ml",))
    500.0
    >>> parse_quantity("400 g ± 2 g", ("g",)).plus_minus
    2.0
    >>> parse_quantity("6 %", ("% w/w", "% w/v"), "strength")
    Traceback (most recent call last):
    ...
    prepkit.errors.BadQuantity: strength "6 %": per cent of what? write "% w/w" or "% w/v" after it.
    """
    if isinstance(words, Measured):
        return words
    own_scale = len(units) == 1 and units[0] in OWN_SCALE
    asked = Asked(units, field, bare or own_scale, example, measures, pressure)
    if isinstance(words, bool) or not isinstance(words, str | int | float):
        raise BadQuantity(
            f"{field} is {words!r}; write a number with its unit, {asked.right()}.", field
        )
    if not isinstance(words, str):
        if not math.isfinite(words):
            raise BadQuantity(f"{field} is {words!r}, which is not a finite number.", field)
        return Measured(float(words), units[0])
    words = plain(words)
    spread_at = SPREAD.search(words)
    main = words[: spread_at.start()] if spread_at else words
    value, unit_word = parse_number(main, field)
    unit_said, band = unit_word.lower(), 0.0
    if not unit_word:
        if not asked.bare:
            raise BadQuantity(
                f'{field} "{words.strip()}" has no unit; write it with its unit, '
                f"{asked.right(value)}.",
                field,
            )
        own, result = units[0], value
    else:
        own, result, unit_word = _in_own_unit(value, unit_word, asked, words.strip())
        band = abs(result) * BANDS.get(unit_word, 0.0)
    if spread_at:
        if unit_said in SIZED and not parse_number(words[spread_at.end() :], field)[1]:
            raise BadQuantity(f'{field} "{words.strip()}": write the unit of the ± too.', field)
        band = _spread(words[spread_at.end() :], result, own, unit_word, field)
    if not math.isfinite(result):
        raise BadQuantity(f'{field} "{words.strip()}" is too large to be a number.', field)
    return Measured(result, own, band)


def _spread(words: str, result: float, own: str, given_as: str, field: str) -> float:
    """The ± of a quantity in the field's own unit."""
    amount, word = parse_number(words, field)
    word = PRESSURES.get(word.lower(), (word,))[0]
    if amount < 0:
        raise BadQuantity(f"{field}: the ± must not be negative, and it is {amount:g}.", field)
    if word == "%" and not own.startswith("%"):
        return abs(result) * amount / 100
    given = find_unit(word, field, [UNITS[own].kind]).name if word else (given_as or own)
    if given == "%" and own.startswith("%"):
        given = own
    if UNITS[given].kind != UNITS[own].kind:
        raise BadQuantity(f"{field}: the ± is in {given}, the value in {own}.", field)
    return amount * _slope(given, own)


def _in_own_unit(value: float, unit_word: str, asked: Asked, words: str) -> tuple[str, float, str]:
    """The own unit that fits, the number in it, and the unit that was written."""
    units, field = asked.units, asked.field
    tidy = " ".join(unit_word.split()).lower()
    if "% vol" in units and (tidy in _PROOF or (tidy == "proof" and asked.measures.system == "us")):
        return "% vol", _of_proof(value), "% vol"
    if tidy in PRESSURES and "pressure" in (UNITS[own].kind for own in units):
        unit_word, basis = PRESSURES[tidy]
        if basis != asked.pressure:
            wanted = f"{asked.pressure} pressure" if asked.pressure else f'"{unit_word}"'
            raise BadQuantity(
                f'{field} "{words}" is {basis} pressure; write {wanted}, {asked.right(value)}.',
                field,
            )
    of_size = asked.measures.sized_ml(tidy, "", field) if tidy in SIZED else None
    if of_size is not None:
        value, unit_word = value * of_size, "ml"
    unit = find_unit(unit_word, field, [UNITS[own].kind for own in units], asked.measures)
    if unit.name == "%":
        percents = [own for own in units if own.startswith("%") or own == "Bx"]
        if len(percents) > 1:
            choices = " or ".join(f'"{own}"' for own in percents)
            raise BadQuantity(
                f'{field} "{words}": per cent of what? write {choices} after it.', field
            )
        if len(percents) == 1:
            return percents[0], value, percents[0]
    for own in units:
        if UNITS[own].kind == unit.kind:
            return own, convert(value, unit.name, own), unit.name
    wanted = " or ".join(dict.fromkeys(_named(UNITS[own].kind) for own in units))
    raise BadQuantity(
        f'{field} "{words}" is {_named(unit.kind)}; {wanted} is needed, {asked.right(value)}.',
        field,
    )


def _named(kind: str) -> str:
    """A kind with its article, as a sentence names it."""
    said = {
        "equivalents": "an amount of acid", "per time": "a number per hour", "fraction": "a share",
        "mass fraction": "a share by weight", "area": "an area",
    }  # fmt: skip
    return said.get(kind, f"a {kind}")


def _of_proof(value: float) -> float:
    """Per cent by volume at 20 C of US proof."""
    from prepkit.science import ethanol

    return _tidy(100.0 * ethanol.abv_from_us_proof(value))


# an amount of an ingredient


class _Split(NamedTuple):
    """An amount as it was written: the number, its unit word, its ±, and the words after it."""

    value: float
    unit: str
    spread: str
    rest: str


def _split(words: str, field: str, *, sized: bool = False) -> _Split:
    """An amount taken apart, before anything is known of sizes.

    Words such as "bottle" are left to the name unless they are asked for.
    """
    tidy = plain(words).strip()
    value, rest = parse_number(tidy, field)
    times = _TIMES.match(rest)
    if times is not None:
        each, rest = parse_number(rest[times.end() :], field)
        value *= each
    tokens = rest.split()
    if tokens and tokens[0].lower() in PIECE:
        return _Split(value, "piece", "", " ".join(tokens[1:]))
    count, word = _unit_at(tokens, sized)
    if not count:
        return _Split(value, "piece", "", rest)
    tail = " ".join(tokens[count:])
    if not SPREAD.match(tail):
        return _Split(value, word, "", tail)
    amount, after = parse_number(SPREAD.sub("", tail, count=1), field)
    if amount < 0:
        raise BadQuantity(
            f'{field} "{words}": the ± must not be negative, and it is {amount:g}.', field
        )
    tokens = after.split()
    count, spread_word = (1, "%") if tokens[:1] == ["%"] else _unit_at(tokens, sized)
    if not count:
        count, spread_word = 1, " ".join(tokens[:1])
    return _Split(
        value, word, f"{written(amount, spread_word)} {spread_word}", " ".join(tokens[count:])
    )


def _unit_at(tokens: list[str], sized: bool) -> tuple[int, str]:
    """How many words at the start are a unit of an amount, and the unit word; 0 where none is."""
    for count in range(min(3, len(tokens)), 0, -1):
        said = " ".join(tokens[:count]).lower()
        for word in (said, said.rstrip(".")):
            unit = BY_WORD.get(word)
            if unit is not None:
                return (count, word) if unit.kind in ("mass", "volume") else (0, "")
            if word in BY_SYSTEM or word in _ASKED:
                return count, word
            if sized and count < len(tokens) and word in SIZED:
                return count, word
    return 0, ""


def without_amount(words: str, field: str = "the ingredient") -> str:
    """The ingredient words after the amount, whatever a bottle or a cup may hold.

    >>> without_amount("1 bottle of prosecco"), without_amount("2 cups cold-base")
    ('prosecco', 'cold-base')
    """
    return _split(words, field, sized=True).rest.removeprefix("of ")


def split_amount(
    words: str, field: str = "the ingredient", measures: Measures = NOT_TOLD
) -> tuple[Measured, str]:
    """The amount at the start of ingredient words and the rest: "700 ml spirit 43 %".

    The amount is in g (mass), ml (volume) or "piece"; words such as "2 shots gin" are pieces until
    `sized` is asked for the size. `measures` is what the house means by a cup, a spoon or a pint.
    A dash or a splash carries the ± of practice. Raises BadQuantity where no unit is found, where
    "oz" could be weight or fluid, and where a cup is not the same everywhere.

    >>> amount, rest = split_amount("1,5 l lemon juice")
    >>> float(amount), amount.unit, rest
    (1500.0, 'ml', 'lemon juice')
    """
    value, word, spread, rest = _split(words, field)
    if word == "piece":
        return Measured(value, "piece"), rest
    if word in _OUNCE:
        raise BadQuantity(
            f'{field} "{words}": is "oz" weight or fluid? write "oz wt" or "fl oz" instead of '
            f'"{word}".',
            field,
        )
    unit = find_unit(word, field, measures=measures)
    own = "g" if unit.kind == "mass" else "ml"
    size = convert(value, unit.name, own)
    band = size * BANDS.get(unit.name, 0.0)
    if spread:
        amount, spread_word = parse_number(spread, field)
        if spread_word == "%":
            band = abs(size) * amount / 100
        else:
            band = amount * _slope(find_unit(spread_word, field, measures=measures).name, own)
    if value < 0:
        raise BadQuantity(f'{field} "{words}": an amount must not be negative.', field)
    return Measured(size, own, band), rest


def sized(
    amount: Measured, rest: str, measures: Measures, field: str
) -> tuple[Measured, str] | None:
    """Counted words such as "bottle of prosecco" as ml and the name; None for any other words.

    Raises BadQuantity where the house has not told the size.

    >>> sized(Measured(2, "piece"), "shots gin", Measures(sizes_ml={"shot": 40.0}), "--part")
    (80.0, 'gin')
    """
    word, _, name = rest.strip().partition(" ")
    name = name.strip().removeprefix("of ").strip()
    if amount.unit != "piece" or not name:
        return None
    size = measures.sized_ml(word, name, field)
    if size is None:
        return None
    if amount < 0:
        raise BadQuantity(f"{field}: an amount must not be negative, and it is {amount:g}.", field)
    return Measured(amount * size, "ml"), name


# showing

US_SHOWN = {
    "g": "oz", "kg": "lb", "ml": "US fl oz", "l": "US quart", "C": "F", "bar": "psi",
    "m3": "ft3", "mm": "in", "m": "ft",
}  # fmt: skip


def shown_in(value: float, unit: str, system: str) -> tuple[float, str]:
    """The value and unit to show in "metric" or "us"; a unit without a US habit stays."""
    if system == "us" and unit in US_SHOWN:
        return convert(value, unit, US_SHOWN[unit]), US_SHOWN[unit]
    if system not in ("metric", "us"):
        raise BadInput(f'units "{system}" is not known; write metric or us.', "units")
    return value, unit


def rounded_down(value: float, digits: int = 2) -> float:
    """A limit as it may be shown: never more than it is, and no more decimals than these.

    >>> rounded_down(16.8922), rounded_down(17.0), rounded_down(8.2), rounded_down(-8.2)
    (16.89, 17.0, 8.2, -8.2)
    """
    scale = 10.0**digits
    return math.floor(value * scale + abs(value * scale) * 1e-12) / scale


def rounded_up(value: float, digits: int = 2) -> float:
    """A least as it may be shown: never less than it is.

    >>> rounded_up(453.1, 0), rounded_up(17.0), rounded_up(8.2), rounded_up(-8.2)
    (454.0, 17.0, 8.2, -8.2)
    """
    scale = 10.0**digits
    return math.ceil(value * scale - abs(value * scale) * 1e-12) / scale


def shown_digits(digits: int, unit: str, system: str) -> int:
    """The decimals of a figure with `digits` of them in its own unit, once it is shown.

    >>> shown_digits(1, "bar", "us"), shown_digits(0, "ml", "us"), shown_digits(1, "C", "us")
    (1, 2, 1)
    >>> shown_digits(0, "m3", "us"), shown_digits(1, "g", "metric"), shown_digits(3, "g", "us")
    (1, 1, 3)
    """
    if system == "metric" or unit not in US_SHOWN or unit == "C":
        return digits
    larger = abs(convert(1.0, unit, US_SHOWN[unit]))
    return max(digits, 1 if larger > 10 else 2)
