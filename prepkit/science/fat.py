"""Fat beside spirit: how much of a fat is solid, what ethanol it takes up, what it holds back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from prepkit.errors import require
from prepkit.science.linear import between


class Ends(NamedTuple):
    """The least and the most of a figure that is known as a band."""

    low: float
    high: float


TEMPERATURES_C = (5.0, 25.0, 40.0, 60.0)
#: Ethanol in triolein over ethanol in the spirit, by mass fractions: at each strength, a band for
#: each of the temperatures [OIL-ETHANOL-MODELS]
_PARTITION: Mapping[float, tuple[tuple[float, float], ...]] = {
    0.20: ((0.034, 0.073), (0.047, 0.083), (0.058, 0.090), (0.075, 0.100)),
    0.40: ((0.031, 0.054), (0.042, 0.063), (0.051, 0.070), (0.064, 0.079)),
    0.60: ((0.029, 0.044), (0.038, 0.052), (0.045, 0.058), (0.056, 0.067)),
    0.96: ((0.040, 0.064), (0.050, 0.077), (0.060, 0.087), (0.076, 0.102)),
}
LEAST_PARTITION = 0.025  # colder than the table; olive oil over water has 0.026 at 3 C (memory)
LEAST_ABV, MOST_ABV = 0.20, 0.96
COLDEST_C, HOTTEST_C = -40.0, 60.0

SPREAD = 0.05  # of the solid shares from memory
#: Solid share of a fat at a temperature, warmer and warmer [FAT-SOLID-MEMORY]
_SOLID: Mapping[str, tuple[tuple[float, float], ...]] = {
    "milk": ((10.0, 0.53), (15.0, 0.37), (20.0, 0.20), (30.0, 0.05), (35.0, 0.01)),
    "coconut": ((10.0, 0.82), (20.0, 0.37), (25.0, 0.01)),
    "lard": ((10.0, 0.27), (20.0, 0.19), (30.0, 0.05)),
}
#: From here on nothing of it is solid: fluid, or the end of its melting range [FAT-SOLID-MEMORY]
_ALL_MELTED_C: Mapping[str, float] = {"milk": 36.0, "coconut": 28.0, "lard": 50.0}
MILK_MOST_AT_0_C = 0.704  # the highest of 22 butters [MILK-FAT-NIR]

#: Share of the spirit's volume that stays in the fat and on the walls [FAT-WASH-PRACTICE]
KEPT_BY_FAT = Ends(0.03, 0.10)
KEPT_BY_SOLIDS = Ends(0.10, 0.20)  # nut butters and what brings solids
KEPT_BY_EMULSION = Ends(0.03, 0.20)  # cream and coconut milk: the whole range


def partition(abv: float, temperature_c: float) -> Ends:
    """Mass fraction of ethanol in liquid fat over that in the spirit beside it, as a band.

    abv: 0.20 to 0.96. temperature_c: -40 to 60; under 5 C the low end is 0.025. Straight lines
    between the values of three models of triolein, which no measurement confirms here.

    >>> partition(0.40, 25.0)
    Ends(low=0.042, high=0.063)

    Raises: OutOfRange. Source: [OIL-ETHANOL-MODELS] (computed by models).
    """
    require("abv", abv, LEAST_ABV, MOST_ABV, "", "OIL-ETHANOL-MODELS")
    require("temperature_c", temperature_c, COLDEST_C, HOTTEST_C, "C", "OIL-ETHANOL-MODELS")
    found = []
    for end in (0, 1):
        at_strengths = tuple(
            (strength, between(tuple((at, band[end]) for at, band in
                                      zip(TEMPERATURES_C, bands, strict=True)), temperature_c))
            for strength, bands in _PARTITION.items()
        )  # fmt: skip
        found.append(between(at_strengths, abv))
    low = LEAST_PARTITION if temperature_c < TEMPERATURES_C[0] else found[0]
    return Ends(low, found[1])


def solid_share(kind: str, temperature_c: float) -> Ends:
    """Share of a fat that is solid at rest at a temperature, 0 to 1, as a band.

    kind: milk, coconut or lard. temperature_c: -40 to 60. Colder than the coldest value known the
    low end is held there, and the high end is all of it: colder fat is never less solid.

    >>> [round(one, 2) for one in solid_share("milk", 20.0)]
    [0.15, 0.25]
    >>> [round(one, 2) for one in solid_share("milk", -18.0)]
    [0.48, 1.0]

    Raises: OutOfRange. Source: [FAT-SOLID-MEMORY] (memory), [MILK-FAT-NIR] (read).
    """
    require("temperature_c", temperature_c, COLDEST_C, HOTTEST_C, "C", "FAT-SOLID-MEMORY")
    points = _SOLID[kind]
    first_c, first = points[0]
    if temperature_c >= _ALL_MELTED_C[kind]:
        return Ends(0.0, 0.0)
    middle = between(points, temperature_c)
    high = min(1.0, middle + SPREAD)
    if temperature_c < first_c:
        high = 1.0
        if kind == "milk" and temperature_c >= 0.0:
            high = between(((0.0, MILK_MOST_AT_0_C), (first_c, first + SPREAD)), temperature_c)
    low = middle - SPREAD if temperature_c <= points[-1][0] else 0.0
    return Ends(max(0.0, low), high)


def ethanol_in_fat_kg(liquid_fat_kg: float, ethanol_fraction: float, ratio: float) -> float:
    """Ethanol in a liquid fat at rest beside spirit, kg: ratio x fraction x mass of the fat.

    ethanol_fraction: mass fraction in the spirit, 0 to 1. ratio: from `partition`, 0 to 1.

    >>> round(1000 * ethanol_in_fat_kg(0.08111, 0.3330, 0.042), 2)
    1.13

    Raises: OutOfRange. Source: [DEFINITION] of the ratio.
    """
    require("liquid_fat_kg", liquid_fat_kg, 0.0, 1e7, "kg", "DEFINITION")
    require("ethanol_fraction", ethanol_fraction, 0.0, 1.0, "", "DEFINITION")
    require("ratio", ratio, 0.0, 1.0, "", "DEFINITION")
    return ratio * ethanol_fraction * liquid_fat_kg
