"""Milk curdled by acid, and fat beside spirit: what goes where."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from prepkit.errors import require
from prepkit.science import acids
from prepkit.science.solvers import between, bracketed

# ---- milk that is curdled by acid ----

MILK_PH = 6.7  # [DAIRY-CHEMISTRY]: 6.5 to 6.7 at 25 C
# [MILK-ACID-MODEL] (computed): pH, mmol of strong acid per litre from pH 6.7, charge of citric acid
_UPTAKE = (
    (3.5, 78.0, 0.90), (3.8, 73.0, 1.10), (4.0, 69.0, 1.24), (4.2, 64.0, 1.39), (4.4, 59.0, 1.54),
    (4.6, 54.0, 1.69), (4.8, 48.0, 1.83), (5.0, 42.0, 1.96), (5.2, 35.0, 2.10), (5.5, 26.0, 2.30),
    (5.7, 20.0, 2.44), (6.0, 13.0, 2.63), (6.4, 5.0, 2.81), (6.7, 0.0, 2.90),
)  # fmt: skip
PROTEIN_IN_CURD, FAT_IN_CURD = 0.80, 0.95  # [DAIRY-WHEY] (read): caseins; fat [PRACTICE]
# moisture of the curd: left to drip [USDA-SR28] with the trade's range; pressed (practice)
DRAINED, PRESSED = (0.75, 0.82), (0.55, 0.65)
ISOELECTRIC_PH = 4.6  # [CURD-MEMORY]
# [CURD-MEMORY]: pH from which curd is seen, by temperature
COLD_C = 10.0  # colder it may not clot at all [CURD-MEMORY] (judgement between 4 and 20 C)
_SEEN = ((COLD_C, 4.9), (40.0, 5.2), (75.0, 5.5))
SEEN_ERROR = 0.2  # [CURD-MEMORY]
SPIRIT_ALONE_ABV = (0.33, 0.42)  # [MILK-SPIRIT] (read): of the mix; single cows from, herd milk to
_STANDARD_GRAVITY_CM = 1.118e-5  # (2 pi / 60 s)^2 of 1 cm over 980.665 cm/s2 [DEFINITION]


def acid_uptake_mol_l(ph: float) -> float:
    """Strong acid that a litre of milk takes up from pH 6.7 down to a pH, mol.

    ph: 0 to 14. Error: 20 %, 30 % below pH 3.5, where the value of 3.5 stands; 0 above 6.7.

    >>> round(acid_uptake_mol_l(5.0), 3)
    0.042

    Raises: OutOfRange. Source: [MILK-ACID-MODEL] (computed), its peak at [MILK-BUFFER] (read).
    """
    return _taken(ph, 1) / 1000


def uptake_error(ph: float) -> float:
    """Share by which `acid_uptake_mol_l` may be off. Source: [MILK-ACID-MODEL]."""
    return 0.2 if ph >= _UPTAKE[0][0] else 0.3


def citric_taken_kg_l(ph: float) -> float:
    """Anhydrous citric acid that brings a litre of milk to a pH, kg; least below pH 3.5.

    ph: 0 to 14. Error: as `acid_uptake_mol_l`.

    >>> round(1000 * citric_taken_kg_l(4.6), 1)
    6.1

    Raises: OutOfRange. Source: [MILK-ACID-MODEL] (computed).
    """
    return acid_uptake_mol_l(ph) * acids.MOLAR_MASS_KG_MOL["citric"] / _taken(ph, 2)


def _taken(ph: float, column: int) -> float:
    require("ph", ph, 0.0, 14.0, "", "MILK-ACID-MODEL")
    return between([(row[0], row[column]) for row in _UPTAKE], ph)


def ph_with_milk(
    molalities: Mapping[str, float], cations: float, milk_l_kg: float, pk_shift: float = 0.0,
    uptake: float = 1.0,
) -> float:  # fmt: skip
    """pH of acids once milk has taken up its part, by charge balance.

    molalities and cations: mol and equivalents per kg of solvent, of all but the milk. milk_l_kg:
    litres of milk per kg of solvent. uptake: factor on the acid taken up, 0.7 to 1.3. Error: that
    of the acid model; the band comes from the factor. 6.7 where the acids are too few to count.

    >>> ph_with_milk({"citric": 0.05}, 0.0, 0.2) > ph_with_milk({"citric": 0.05}, 0.0, 0.1)
    True

    Raises: OutOfRange, UnknownIngredient. Source: [MILK-ACID-MODEL], [PREPKIT-ACID] (computed).
    """

    def off(ph: float) -> float:
        taken = uptake * acid_uptake_mol_l(ph) * milk_l_kg
        return acids.equilibrium(molalities, cations + taken, pk_shift=pk_shift).ph - ph

    if off(MILK_PH) >= 0.0:
        return MILK_PH
    return bracketed(off, 0.5, MILK_PH, 1e-6)


def curd_seen_ph(temperature_c: float) -> float:
    """The pH at and below which curd is seen; fully curdled at `ISOELECTRIC_PH`.

    temperature_c: 10 to 80; colder milk may not clot at all. Error: `SEEN_ERROR`, 0.2.

    >>> round(curd_seen_ph(40.0), 2)
    5.2

    Raises: OutOfRange. Source: [CURD-MEMORY] (memory).
    """
    require("temperature_c", temperature_c, COLD_C, 80.0, "C", "CURD-MEMORY")
    return between(_SEEN, temperature_c)


def dry_curd_kg(protein_kg: float, fat_kg: float) -> float:
    """Dry curd of milk with so much protein and fat, kg.

    Range: any. Error: a tenth (the share of fat is practice).

    >>> round(1000 * dry_curd_kg(1.03 * 0.0315, 1.03 * 0.0325))
    58

    Source: [DAIRY-WHEY] (read) for casein, [PRACTICE] for fat.
    """
    return PROTEIN_IN_CURD * protein_kg + FAT_IN_CURD * fat_kg


def liquid_in_curd_kg(dry_kg: float, moisture: float) -> float:
    """Liquid that curd of so much dry matter holds, kg; of the strength of the filtrate.

    moisture: mass fraction 0 to 0.9. Error: no measurement of spirit held by curd was found.

    >>> round(1000 * liquid_in_curd_kg(0.058, 0.75))
    174

    Raises: OutOfRange. Source: [DEFINITION]; moisture of drained curd [USDA-SR28].
    """
    require("moisture", moisture, 0.0, 0.9, "", "USDA-SR28")
    return dry_kg * moisture / (1.0 - moisture)


def spin_g(radius_cm: float, turns_per_min: float) -> float:
    """Acceleration in a centrifuge as a multiple of gravity.

    radius_cm: to the liquid, 0 to 50. turns_per_min: 0 to 100 000. Error: exact.

    >>> round(spin_g(10.0, 4000.0))
    1789

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("radius_cm", radius_cm, 0.0, 50.0, "cm", "DEFINITION")
    require("turns_per_min", turns_per_min, 0.0, 1e5, "/min", "DEFINITION")
    return _STANDARD_GRAVITY_CM * radius_cm * turns_per_min**2


# ---- fat beside spirit ----


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
