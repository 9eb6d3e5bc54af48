"""Gases by the words that people use, alone or as a mixture with the share of each."""

from __future__ import annotations

import math
import re

from prepkit.errors import BadInput, UnknownIngredient
from prepkit.shared import float_gases

NAMES = {
    "n2o": "n2o", "nitrous oxide": "n2o", "nitrous": "n2o", "laughing gas": "n2o",
    "co2": "co2", "carbon dioxide": "co2", "carbonic acid gas": "co2",
    "n2": "n2", "nitrogen": "n2", "he": "he", "helium": "he", "ar": "ar", "argon": "ar",
    "o2": "o2", "oxygen": "o2",
    "dry ice": "dry ice", "solid co2": "dry ice", "co2 snow": "dry ice",
    "liquid nitrogen": "liquid nitrogen", "ln2": "liquid nitrogen",
}  # fmt: skip
GASES = ("n2o", "co2", "n2", "he", "ar", "o2")
_NO_GASES = frozenset(("air", "hot", "flame", "candle", "steam"))
_MIXED = re.compile(r"\b(?:mix(?:ture|ed)?|blend|beer gas)\b|[0-9]\s*[/:]\s*[0-9]|%")
_SHARE = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_NAME = re.compile(
    r"\b(" + "|".join(sorted((n for n, g in NAMES.items() if g in GASES), key=len, reverse=True))
    + r")\b"
)  # fmt: skip
_BETWEEN = re.compile(
    r"[\s%/:,+-]|\b(?:and|of|with|in|by|vol|volume|mix|mixture|mixed|blend|beer|gas)\b"
)
_WHOLE, _ROUNDING = 100.0, 0.5


def is_mixture(words: str) -> bool:
    """Whether words name a mixture of gases, with its shares or without.

    >>> is_mixture("70/30 nitrogen and co2"), is_mixture("beer gas"), is_mixture("nitrous oxide")
    (True, True, False)
    """
    return bool(_MIXED.search(words)) or len(_names(words)) > 1


def shares(words: str, said: str, field: str) -> dict[str, float]:
    """Share of each gas by volume, in the order of the words; BadInput where it is not told.

    >>> shares("70/30 nitrogen and carbon dioxide", "", "")
    {'n2': 0.7, 'co2': 0.3}
    >>> shares("60 % co2 and 40 % nitrogen", "", "")
    {'co2': 0.6, 'n2': 0.4}
    """
    names = _names(words)
    plain = re.sub(r"\b[a-z]+2o?\b", "", words) if names else words  # co2 and n2o hold a figure
    numbers = [float(one.replace(",", ".")) for one in _SHARE.findall(plain)]
    left = _BETWEEN.sub("", _SHARE.sub("", _NAME.sub("", words))).strip()
    if left:
        raise UnknownIngredient(
            f'{field} is "{said}": "{left}" is not a gas known here; write a mixture such as '
            f"70 % nitrogen and 30 % co2.",
            "release",
        )
    if len(names) < 2 or len(set(names)) < len(names) or len(numbers) != len(names):
        asked = "write each gas with its share, such as 60 % co2 and 40 % nitrogen"
        if len(numbers) == 2:
            one, two = (f"{number:g}" for number in numbers)
            asked = (
                f"suppliers differ in which gas they name first. Write "
                f"{one} % co2 and {two} % nitrogen, or {two} % co2 and {one} % nitrogen"
            )
        raise BadInput(f'{field} is "{said}": which gas is which share? {asked}.', "release")
    if abs(math.fsum(numbers) - _WHOLE) > _ROUNDING or min(numbers) <= 0:
        raise BadInput(
            f'{field} is "{said}"; its shares make {math.fsum(numbers):g} % and must make 100 %.',
            "release",
        )
    return {name: number / math.fsum(numbers) for name, number in zip(names, numbers, strict=True)}


def _names(words: str) -> list[str]:
    return [NAMES[one] for one in _NAME.findall(words)]


def refused(name: str) -> tuple[str, str]:
    """Name of a gas with which nothing is worked out, and why; no reason for any other.

    >>> refused("propane gas")[0], refused("helium")[1]
    ('propane', '')
    """
    for words in (name, name.removesuffix(" gas"), name.removeprefix("liquid ")):
        if words in NAMES or not _NO_GASES.isdisjoint(words.split()):
            continue
        try:
            found = float_gases.gas_named(words)
        except UnknownIngredient:
            continue
        if found.why:
            return found.name, found.why
    return name, ""
