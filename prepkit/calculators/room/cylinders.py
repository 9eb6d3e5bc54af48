"""Cylinders in words: by the weight on the label, or by size and fill pressure.

10 kg co2 cylinder; 2 co2 cylinders of 10 kg; 50 l cylinder of nitrogen at 200 bar;
50 l co2 cylinder                 liquid inside: the most that its size may hold
20 l cylinder of 70 % nitrogen and 30 % co2 at 200 bar
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from prepkit.calculators.room import gas_words
from prepkit.errors import BadInput, UnknownIngredient
from prepkit.science import cryogen, gases
from prepkit.units import convert, parse_number

# [ADR-P200] (memory): kg per litre at the highest test pressure of the list
FILL_KG_L = {"co2": 0.76, "n2o": 0.75}
# least compressibility factor at 15 C to 300 bar [CYLINDER-FILL]: what a cylinder holds at most
LEAST_Z = {"n2": 0.99, "he": 1.0, "ar": 0.93, "o2": 0.92}
_MOST_LIQUEFIED, _Z_LOST = 0.75, 0.75  # a share of co2 up to that takes as much of the factor
FILLED_C, MOST_BAR = 15.0, 350.0
_R = 8.314462618
_NOUN = re.compile(r"\b(?:cylinders?|tanks?|bottles?|flasks?)\b")
_AT = re.compile(
    r"(?:\s+(?:at|filled\s+to|with)|\s*,)\s*([0-9.,]+)\s*(bar|barg|psi|psig|kpa|mpa)\b(?:\s+gauge)?"
)
_SIZE = re.compile(
    r"(?<![0-9.,/:])([0-9.,]+)\s*(kilos?|kilograms?|kg|grams?|g|lbs?|pounds?|oz|litres?|liters?|ltr|l)\b"
)
_AROUND = ("full", "of", "with", "a", "an", "each", ",")
_MASS = {"k": "kg", "g": "g", "p": "lb", "o": "oz"}
_COUNT = re.compile(r"^(?:([0-9]+)\s*(?:[x×]\s*)?|(?:an?|one)\s+)(?![0-9]*\s*[%/:])")


class Content(NamedTuple):
    """What one kind of cylinder holds: how many, kg of each gas in one, and what was assumed."""

    times: int
    kg: dict[str, float]
    refused: str
    assumed: str


def is_cylinder(words: str) -> bool:
    """Whether words speak of a cylinder.

    >>> is_cylinder("10 kg CO2 cylinder"), is_cylinder("10 kg co2")
    (True, False)
    """
    return bool(_NOUN.search(words.lower()))


def read(words: str, said: str, field: str) -> Content:
    """A cylinder's content from its words; BadInput where something that decides is missing.

    >>> round(read("50 l nitrogen cylinder at 200 bar", "", "").kg["n2"], 1)
    11.9
    """
    text = re.sub(r"([0-9])-(?=[a-z])", r"\1 ", " ".join(words.lower().split()))
    bar, text = _pressure(text, said, field)
    sizes = _SIZE.findall(text)
    rest = " ".join(_NOUN.sub(" ", _SIZE.sub(" ", text)).split())
    times = 1
    if count := _COUNT.match(rest):
        times, rest = int(count[1] or 1), rest[count.end() :]
    words_left = rest.split()
    while words_left and words_left[0] in _AROUND:
        words_left.pop(0)
    while words_left and words_left[-1] in _AROUND:
        words_left.pop()
    name = " ".join(words_left)
    refused_name, why = gas_words.refused(name)
    if why:
        return Content(max(times, 1), {refused_name: 1.0}, why, "")
    mix = _gases(name, said, field)
    if len(sizes) != 1:
        raise BadInput(
            f'{field} is "{said}"; write what one holds, by the weight on its label, such as '
            f"1 co2 cylinder of 10 kg, or by its size and fill pressure.",
            "release",
        )
    number, unit = parse_number(" ".join(sizes[0]), field)
    if number <= 0 or times < 1:
        raise BadInput(
            f'{field} is "{said}"; amounts and times must be more than nothing.', "release"
        )
    if unit.startswith(("l", "L")) and not unit.startswith("lb"):
        held, assumed = _by_size(number, mix, bar, said, field)
        return Content(times, held, "", assumed)
    if bar is not None:
        raise BadInput(
            f'{field} is "{said}"; give the weight of the gas, or the size with the fill '
            f"pressure, and not both.",
            "release",
        )
    kg = convert(number, "lb" if unit.startswith("lb") else _MASS[unit[0]], "kg")
    return Content(times, by_mass(kg, mix), "", "")


def by_mass(kg: float, mix: dict[str, float]) -> dict[str, float]:
    """A mass of a mixture as the mass of each of its gases.

    >>> by_mass(1.0, {"n2": 1.0})
    {'n2': 1.0}
    """
    weights = {gas: x * gases.molar_mass_kg_mol(gas) for gas, x in mix.items()}
    return {gas: kg * weight / math.fsum(weights.values()) for gas, weight in weights.items()}


def _gases(name: str, said: str, field: str) -> dict[str, float]:
    if gas_words.is_mixture(name):
        return gas_words.shares(name, said, field)
    gas = gas_words.NAMES.get(name.removesuffix(" gas"))
    if gas in cryogen.CRYOGENS:
        raise BadInput(
            f'{field} is "{said}"; leave the vessel out and write how much {gas} is in it, such as '
            f"5 {'kg' if gas == 'dry ice' else 'l'} {gas}.",
            "release",
        )
    if gas is None:
        shown = f'no gas "{name}"' if name else "which gas is in it"
        raise UnknownIngredient(
            f'{field} is "{said}": {shown}; those known are {", ".join(gas_words.GASES)}.',
            "release",
        )
    return {gas: 1.0}


def _pressure(text: str, said: str, field: str) -> tuple[float | None, str]:
    found = _AT.search(text)
    if not found:
        return None, text
    value, _ = parse_number(found[1], field)
    unit = {"barg": "bar", "psig": "psi", "kpa": "kPa", "mpa": "MPa"}.get(found[2], found[2])
    bar = convert(value, unit, "bar")
    if not 0 < bar <= MOST_BAR:
        raise BadInput(
            f'{field} is "{said}"; a fill pressure is between 0 and {MOST_BAR:g} bar.', "release"
        )
    return bar, f"{text[: found.start()]} {text[found.end() :]}"


def _by_size(
    litres: float, mix: dict[str, float], bar: float | None, said: str, field: str
) -> tuple[dict[str, float], str]:
    """Kg of each gas at most, and what was assumed."""
    (first, share), *others = mix.items()
    if not others and first in FILL_KG_L:
        if bar is not None:
            raise BadInput(
                f'{field} is "{said}"; its pressure does not tell how much is in it, because most '
                f"is liquid. Give the weight on its label, or leave the pressure out.",
                "release",
            )
        kg = FILL_KG_L[first] * litres * share
        return {first: kg}, f'"{said}" is counted as {kg:.3g} kg in each, the most for its size'
    if bar is None:
        raise BadInput(
            f'{field} is "{said}": filled to which pressure? Its label or stamp says so. Not '
            f'known: write "at 300 bar", the highest in common use.',
            "release",
        )
    liquefied = math.fsum(x for gas, x in mix.items() if gas in FILL_KG_L)
    if liquefied > _MOST_LIQUEFIED:
        raise BadInput(
            f'{field} is "{said}"; with so much carbon dioxide or nitrous oxide its pressure does '
            f"not tell how much is in it. Give the weight on its label.",
            "release",
        )
    least = math.fsum(x * LEAST_Z[gas] for gas, x in mix.items() if gas in LEAST_Z)
    factor = least + liquefied * (1.0 - _Z_LOST)
    pa = bar * 1e5 + gases.STANDARD_PA
    mol = pa * litres * 1e-3 / (_R * (FILLED_C + 273.15) * factor)
    kg_each = {gas: x * mol * gases.molar_mass_kg_mol(gas) for gas, x in mix.items()}
    kg = math.fsum(kg_each.values())
    held = " and ".join(f"{100 * x:.3g} % {gas}" for gas, x in mix.items()) if others else first
    return kg_each, f'"{said}" is counted as at most {kg:.3g} kg in each, {held}'
