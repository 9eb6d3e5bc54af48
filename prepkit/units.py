"""Words to numbers and back: the number is ours to parse, the unit comes from a closed list.

Decimal multiples of metric units are exact powers of ten and are kept here, so that the usual
words need no units library; every other unit goes through pint with our own definitions file
(data/units.txt). This is the only module that imports pint.
"""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterable
from difflib import get_close_matches
from functools import cache
from typing import Any, NamedTuple

from prepkit.errors import BadInput, BadQuantity


class Unit(NamedTuple):
    """A unit word: its kind, the word shown, and either its factor or its name in units.txt."""

    kind: str
    name: str
    factor: float | None
    foreign: str = ""


class Measured(float):
    """A number in a known unit, with the +/- it was given with; arithmetic gives plain floats."""

    unit: str
    plus_minus: float

    def __new__(cls, value: float, unit: str = "", plus_minus: float = 0.0) -> Measured:
        self = super().__new__(cls, value)
        self.unit = unit
        self.plus_minus = plus_minus
        return self

    def words(self) -> str:
        """The text that reads back as this very value.

        >>> Measured(0.5, "l", 0.01).words()
        '0.5 l ± 0.01 l'
        """
        unit = f" {self.unit}" if self.unit else ""
        spread = f" ± {self.plus_minus!r}{unit}" if self.plus_minus else ""
        return f"{float(self)!r}{unit}{spread}"


def _metric() -> dict[str, Unit]:
    kinds: dict[str, dict[str, float]] = {
        "mass": {"kg": 1.0, "g": 1e-3, "mg": 1e-6},
        "volume": {
            "m3": 1.0,
            "l": 1e-3,
            "dl": 1e-4,
            "cl": 1e-5,
            "ml": 1e-6,
            # practice: no standard fixes these; weigh where the dose matters
            "barspoon": 5e-6,
            "dash": 0.9e-6,
            "drop": 0.05e-6,
        },
        "length": {"m": 1.0, "cm": 1e-2, "mm": 1e-3, "um": 1e-6},
        "temperature": {"C": 1.0},
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


_FOREIGN = {
    "oz": ("mass", "ounce"),
    "lb": ("mass", "pound"),
    "US fl oz": ("volume", "us_fluid_ounce"),
    "imp fl oz": ("volume", "imperial_fluid_ounce"),
    "US cup": ("volume", "us_cup"),
    "US tbsp": ("volume", "us_tablespoon"),
    "US tsp": ("volume", "us_teaspoon"),
    "US pint": ("volume", "us_pint"),
    "US quart": ("volume", "us_quart"),
    "US gal": ("volume", "us_gallon"),
    "imp pint": ("volume", "imperial_pint"),
    "imp gal": ("volume", "imperial_gallon"),
    "ft3": ("volume", "cubic_foot"),
    "F": ("temperature", "degree_Fahrenheit"),
    "K": ("temperature", "kelvin"),
    "psi": ("pressure", "psi"),
    "atm": ("pressure", "standard_atmosphere"),
    "in": ("length", "inch"),
    "ft": ("length", "foot"),
}
UNITS: dict[str, Unit] = _metric() | {
    word: Unit(kind, word, None, foreign) for word, (kind, foreign) in _FOREIGN.items()
}
# other spellings of the same words, all lower case
# fmt: off
_ALSO = {
    "kilo": "kg", "kilos": "kg", "gram": "g", "grams": "g", "gr": "g", "litre": "l",
    "litres": "l", "liter": "l", "liters": "l", "ltr": "l", "millilitre": "ml",
    "millilitres": "ml", "milliliter": "ml", "milliliters": "ml", "cc": "ml", "centilitre": "cl",
    "centilitres": "cl", "m³": "m3", "ft³": "ft3", "m²": "m2", "µm": "um", "μm": "um",
    "ounce": "oz", "ounces": "oz", "oz wt": "oz", "pound": "lb", "pounds": "lb", "lbs": "lb",
    "fl oz": "US fl oz", "fl. oz": "US fl oz", "fl. oz.": "US fl oz", "floz": "US fl oz",
    "us floz": "US fl oz", "fluid ounce": "US fl oz", "fluid ounces": "US fl oz",
    "uk fl oz": "imp fl oz", "imperial fl oz": "imp fl oz", "cup": "US cup", "cups": "US cup",
    "tbsp": "US tbsp", "tablespoon": "US tbsp", "tablespoons": "US tbsp", "tsp": "US tsp",
    "teaspoon": "US tsp", "teaspoons": "US tsp", "quart": "US quart", "quarts": "US quart",
    "us qt": "US quart", "barspoons": "barspoon", "bar spoon": "barspoon", "dashes": "dash",
    "drops": "drop", "°c": "C", "degc": "C", "deg c": "C", "celsius": "C", "°f": "F", "degf": "F",
    "deg f": "F", "fahrenheit": "F", "kelvin": "K", "percent": "%", "per cent": "%", "pct": "%",
    "per mille": "‰", "%w/w": "% w/w", "% m/m": "% w/w", "%w/v": "% w/v", "% m/v": "% w/v",
    "% by weight": "% w/w", "% by mass": "% w/w", "%vol": "% vol", "% v/v": "% vol",
    "% abv": "% vol", "%abv": "% vol", "abv": "% vol", "vol %": "% vol", "vol": "% vol",
    "brix": "Bx", "°bx": "Bx", "°brix": "Bx", "deg bx": "Bx", "sec": "s", "second": "s",
    "seconds": "s", "minute": "min", "minutes": "min", "mins": "min", "hour": "h", "hours": "h",
    "hr": "h", "hrs": "h", "day": "d", "days": "d", "inch": "in", "inches": "in", "foot": "ft",
    "feet": "ft", "kg/hour": "kg/h", "g per l": "g/l", "grams per litre": "g/l", "per h": "/h",
    "1/h": "/h", "ach": "/h", "per hour": "/h", "l/day": "l/d", "kg/day": "kg/d",
    "l per min": "l/min", "kg per h": "kg/h", "m³/h": "m3/h", "m3/hr": "m3/h", "m3/hour": "m3/h",
    "m3 per h": "m3/h", "m³/min": "m3/min", "cmh": "m3/h", "lps": "l/s", "l/sec": "l/s",
    "litres/s": "l/s", "l per s": "l/s", "ft3/min": "cfm", "ft³/min": "cfm", "cu ft/min": "cfm",
    "air changes/h": "/h", "air changes per hour": "/h", "air changes": "/h",
    "air changes an hour": "/h",
}
# fmt: on
_BY_WORD = {word.lower(): unit for word, unit in UNITS.items()} | {
    word: UNITS[of] for word, of in _ALSO.items()
}
_AMBIGUOUS = {
    "pint": 'write "US pint" (473 ml) or "imp pint" (568 ml)',
    "pints": 'write "US pint" (473 ml) or "imp pint" (568 ml)',
    "gallon": 'write "US gal" (3.785 l) or "imp gal" (4.546 l)',
    "gal": 'write "US gal" (3.785 l) or "imp gal" (4.546 l)',
    "proof": 'write the strength as % vol, or "US proof" where the field takes it',
    "barg": 'write "bar"; the field says whether it is gauge or absolute',
    "bara": 'write "bar"; the field says whether it is gauge or absolute',
    "psig": 'write "psi"; the field says whether it is gauge or absolute',
    "psia": 'write "psi"; the field says whether it is gauge or absolute',
}
_NUMBER = re.compile(r"([+-]?(?:[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?)(?![0-9_])")
_FRACTION = re.compile(r"([0-9]{1,3})\s*/\s*([1-9][0-9]{0,2})(?![0-9/.,])")
SPREAD = re.compile(r"(?:±|\+/-|\+-)")


def parse_number(text: str, field: str = "the value") -> tuple[float, str]:
    """The number at the start of `text` and what follows it; a decimal comma is understood.

    Raises BadQuantity for no number, for nan and infinity, and for a comma that could mean
    thousands.

    >>> parse_number("1,5 l")
    (1.5, 'l')
    >>> parse_number("1,500 ml")
    Traceback (most recent call last):
    ...
    prepkit.errors.BadQuantity: the value "1,500 ml" could be 1.5 or 1500; write 1.5 or 1500.
    """
    shown = text.strip()
    if not shown:
        raise BadQuantity(f"{field} is empty; a number with its unit is needed.", field)
    start = re.match(r"([+-]?)(nan|inf)", shown, re.IGNORECASE)
    if start:
        raise BadQuantity(f'{field} "{shown}" is no finite number.', field)
    fraction = _FRACTION.match(shown)
    if fraction:
        value = int(fraction[1]) / int(fraction[2])
        return value, shown[fraction.end() :].strip()
    match = _NUMBER.match(shown)
    if not match or shown[match.end() : match.end() + 1] in ("_", "/", "*", "^"):
        raise BadQuantity(f'{field} "{shown}" does not start with a number such as 1.5.', field)
    digits = match[1]
    if digits.count(",") + digits.count(".") > 1:
        raise BadQuantity(
            f'{field} "{shown}" has more than one decimal mark; write it without thousands marks.',
            field,
        )
    if "," in digits:
        whole, _, rest = digits.partition(",")
        if len(re.split("[eE]", rest)[0]) == 3 and whole.lstrip("+-0"):
            raise BadQuantity(
                f'{field} "{shown}" could be {whole}.{rest.rstrip("0")} or {whole}{rest}; '
                f"write {whole}.{rest.rstrip('0')} or {whole}{rest}.",
                field,
            )
        digits = f"{whole}.{rest}"
    value = float(digits)
    if not math.isfinite(value):
        raise BadQuantity(f'{field} "{shown}" is too large to be a number.', field)
    return value, shown[match.end() :].strip()


def find_unit(
    word: str, field: str = "the value", kinds: Iterable[str] = ("mass", "volume")
) -> Unit:
    """The unit of a word, or BadQuantity naming the units of the `kinds` that would be right."""
    tidy = " ".join(word.split()).lower()
    unit = _BY_WORD.get(tidy) or _BY_WORD.get(tidy.rstrip("."))
    if unit is not None:
        return unit
    if tidy in _AMBIGUOUS:
        raise BadQuantity(f'{field}: "{word}" is ambiguous; {_AMBIGUOUS[tidy]}.', field)
    near = get_close_matches(tidy, _BY_WORD, n=3)
    if near:
        hint = "did you mean " + " or ".join(dict.fromkeys(_BY_WORD[n].name for n in near))
    else:
        hint = "write one of " + ", ".join(w for w, u in UNITS.items() if u.kind in kinds)
    raise BadQuantity(f'{field}: "{word}" is no unit known here; {hint}.', field)


@cache
def _registry() -> Any:
    import pint

    path = os.path.join(os.path.dirname(__file__), "data", "units.txt")
    return pint.UnitRegistry(path, autoconvert_offset_to_baseunit=False)


@cache
def _foreign_line(foreign: str, kind: str) -> tuple[float, float]:
    """Slope and offset from a foreign unit to the kind's base (offset only for temperature)."""
    base = {
        "mass": "kilogram",
        "volume": "meter ** 3",
        "temperature": "degree_Celsius",
        "pressure": "pascal",
        "length": "meter",
    }[kind]
    registry = _registry()
    zero = float(registry.Quantity(0.0, foreign).to(base).magnitude)
    one = float(registry.Quantity(1.0, foreign).to(base).magnitude)
    return one - zero, zero


def convert(value: float, unit: str, to: str) -> float:
    """`value` in one unit of the list as a number in another of the same kind.

    >>> convert(500.0, "ml", "l")
    0.5
    >>> round(convert(41.0, "F", "C"), 9)
    5.0
    """
    if unit == to:
        return value
    source, target = UNITS[unit], UNITS[to]
    if source.kind != target.kind:
        raise BadQuantity(f'"{unit}" ({source.kind}) cannot be given in "{to}" ({target.kind}).')
    if source.factor is not None and target.factor is not None:
        # by the whole ratio, free of float dust: 500 ml is 0.5 l and 1.5 l is 1500 ml to the digit
        if source.factor < target.factor:
            return value / _tidy(target.factor / source.factor)
        return value * _tidy(source.factor / target.factor)
    slope, offset = (
        (source.factor, 0.0)
        if source.factor is not None
        else _foreign_line(source.foreign, source.kind)
    )
    base = value * slope + offset
    slope, offset = (
        (target.factor, 0.0)
        if target.factor is not None
        else _foreign_line(target.foreign, target.kind)
    )
    return _tidy((base - offset) / slope)


def _tidy(value: float) -> float:
    return float(f"{value:.13g}")


def _slope(unit: str, to: str) -> float:
    return convert(1.0, unit, to) - convert(0.0, unit, to)


def parse_quantity(
    words: str | float,
    units: tuple[str, ...],
    field: str = "the value",
    bare: bool = False,
) -> Measured:
    """A quantity in one of the field's own units; other units of the same kind are converted.

    `units` are the field's own units: one for a plain quantity, several where the basis is part of
    the answer (% w/w or % w/v). The result is in the matching own unit. A bare number in words is
    taken only where `bare` is true (the scale is its own unit); a float from Python is in units[0].

    >>> parse_quantity("0.5 l", ("ml",))
    500.0
    >>> parse_quantity("400 g ± 2 g", ("g",)).plus_minus
    2.0
    >>> parse_quantity("6 %", ("% w/w", "% w/v"), "strength")
    Traceback (most recent call last):
    ...
    prepkit.errors.BadQuantity: strength "6 %": per cent of what? write "6 % w/w" or "6 % w/v".
    """
    if isinstance(words, Measured):
        return words
    if isinstance(words, bool) or not isinstance(words, str | int | float):
        raise BadQuantity(
            f'{field} is {words!r}; a number with its unit is needed, such as "1 {units[0]}".',
            field,
        )
    if not isinstance(words, str):
        if not math.isfinite(words):
            raise BadQuantity(f"{field} is {words!r}, which is no finite number.", field)
        return Measured(float(words), units[0])
    spread_at = SPREAD.search(words)
    main = words[: spread_at.start()] if spread_at else words
    value, unit_word = parse_number(main, field)
    if not unit_word:
        if not bare:
            raise BadQuantity(
                f'{field} "{words.strip()}" has no unit; write for example "{value:g} {units[0]}".',
                field,
            )
        own = units[0]
        result = value
    else:
        own, result, unit_word = _in_own_unit(value, unit_word, units, words.strip(), field)
    spread = 0.0
    if spread_at:
        spread = _spread(words[spread_at.end() :], result, own, unit_word, field)
    if not math.isfinite(result):
        raise BadQuantity(f'{field} "{words.strip()}" is too large to be a number.', field)
    return Measured(result, own, spread)


def parse_spread(words: str, value: float, field: str) -> tuple[float, str]:
    """The ± of a bare number, of the words from its sign on, and what follows it.

    >>> parse_spread("± 0.1", 3.9, "pH"), parse_spread("± 5 %", 40.0, "the ratio")
    ((0.1, ''), (2.0, ''))
    """
    amount, rest = parse_number(SPREAD.sub("", words, count=1), field)
    if amount < 0:
        raise BadQuantity(f"{field}: the ± must not be negative, and it is {amount:g}.", field)
    if rest.startswith("%"):
        return abs(value) * amount / 100, rest[1:].strip()
    return amount, rest


def _spread(words: str, result: float, own: str, given_as: str, field: str) -> float:
    """The ± of a quantity in the field's own unit."""
    amount, word = parse_number(words, field)
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


def _in_own_unit(
    value: float, unit_word: str, units: tuple[str, ...], words: str, field: str
) -> tuple[str, float, str]:
    unit = find_unit(unit_word, field, [UNITS[own].kind for own in units])
    if unit.name == "%":
        percents = [own for own in units if own.startswith("%") or own == "Bx"]
        if len(percents) > 1:
            choices = " or ".join(f'"{value:g} {own}"' for own in percents)
            raise BadQuantity(f'{field} "{words}": per cent of what? write {choices}.', field)
        if len(percents) == 1:
            return percents[0], value, percents[0]
    for own in units:
        if UNITS[own].kind == unit.kind:
            return own, convert(value, unit.name, own), unit.name
    wanted = " or ".join(dict.fromkeys(UNITS[own].kind for own in units))
    example = " or ".join(f'"{value:g} {own}"' for own in units)
    raise BadQuantity(
        f'{field} "{words}" is a {unit.kind}; a {wanted} is needed, such as {example}.', field
    )


def split_amount(words: str, field: str = "the ingredient") -> tuple[Measured, str]:
    """The amount at the start of ingredient words and the rest: "700 ml spirit 43 %".

    The amount is in g (mass), ml (volume) or "piece". Raises BadQuantity where no unit is found
    or where "oz" could be weight or fluid.

    >>> amount, rest = split_amount("1,5 l lemon juice")
    >>> float(amount), amount.unit, rest
    (1500.0, 'ml', 'lemon juice')
    """
    value, rest = parse_number(words, field)
    tokens = rest.split()
    spread: tuple[float, str] | None = None
    for count in (3, 2, 1):
        word = " ".join(tokens[:count]).lower()
        if count > len(tokens) or (word not in _BY_WORD and word not in _AMBIGUOUS):
            continue
        if word in ("oz", "ounce", "ounces"):
            raise BadQuantity(
                f'{field} "{words}": is "oz" weight or fluid? write "{value:g} oz wt" or '
                f'"{value:g} fl oz".',
                field,
            )
        unit = find_unit(word, field)
        if unit.kind not in ("mass", "volume"):
            break
        tail = " ".join(tokens[count:])
        if SPREAD.match(tail):
            amount, after = parse_number(SPREAD.sub("", tail, count=1), field)
            if amount < 0:
                raise BadQuantity(
                    f'{field} "{words}": the ± must not be negative, and it is {amount:g}.', field
                )
            first, _, remaining = after.partition(" ")
            spread, tail = (amount, first), remaining
        own = "g" if unit.kind == "mass" else "ml"
        size = convert(value, unit.name, own)
        plus_minus = 0.0
        if spread:
            amount, spread_word = spread
            plus_minus = (
                abs(size) * amount / 100
                if spread_word == "%"
                else amount * _slope(find_unit(spread_word, field).name, own)
            )
        if size < 0:
            raise BadQuantity(f'{field} "{words}": an amount must not be negative.', field)
        return Measured(size, own, plus_minus), tail
    if tokens and tokens[0].lower() in ("piece", "pieces", "pc", "pcs", "x", "×", "whole"):
        return Measured(value, "piece"), " ".join(tokens[1:])
    return Measured(value, "piece"), rest


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
