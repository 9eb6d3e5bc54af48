"""The parts of a drink other than its acids: mineral cations, sugar, alcohol."""

from itertools import pairwise
from typing import NamedTuple

from prepkit.errors import require
from prepkit.science.acid_equilibrium import (
    CALCIUM_G_MOL,
    MAGNESIUM_G_MOL,
    POTASSIUM_G_MOL,
    SODIUM_G_MOL,
)

SUGAR_HIGH = 0.50
ABV_HIGH = 0.50
#: Above it a pH, computed or measured, says nothing of keeping: the tables of food are of water.
KEEPING_ABV_HIGH = 0.20
# Rise of pKa of benzoic acid, ethanol by mass of ethanol and water: c1 w + c2 w^2 + c3 w^3.
BENZOIC_SHIFT = (1.536, 5.672, -5.066)
ETHANOL_MASS_FRACTION_HIGH = 0.648
# A food acid shifts by this share of it: wine acids at 12 % vol by 0.56 to 0.87.
FOOD_ACID_SHARE = (0.55, 0.8, 1.0)
# A meter set in buffers of water, less the pH on the scale of the mixture: w, difference.
METER_OFFSET = ((0.0, 0.0), (0.122, -0.02), (0.252, 0.03), (0.441, 0.14), (0.648, 0.21))


class Equivalents(NamedTuple):
    """Strong cations in mol of charge: the least, the best single guess, and the most."""

    low: float
    point: float
    high: float


def strong_cations_mol(
    potassium_kg: float = 0.0,
    sodium_kg: float = 0.0,
    calcium_kg: float = 0.0,
    magnesium_kg: float = 0.0,
) -> Equivalents:
    """Equivalents of strong cations in a juice, mol of charge, as (low, point, high).

    Low counts potassium and sodium; high adds all of calcium and magnesium; point adds half of
    them, since citrate holds part of both. Divide by the kg of water for `ph`.

    >>> lemon = strong_cations_mol(103e-6, 1e-6, 6e-6, 6e-6)
    >>> [round(1e3 * value, 2) for value in lemon]
    [2.68, 3.07, 3.47]

    Raises: OutOfRange for a negative mass.
    Source: charge over molar mass; the bracket is practice, checked against [FDA-PH] (read).
    """
    masses = {
        "potassium_kg": potassium_kg,
        "sodium_kg": sodium_kg,
        "calcium_kg": calcium_kg,
        "magnesium_kg": magnesium_kg,
    }
    for name, mass in masses.items():
        require(name, mass, 0.0, None, "kg")
    low = 1e3 * (potassium_kg / POTASSIUM_G_MOL + sodium_kg / SODIUM_G_MOL)
    hard = 1e3 * (2.0 * calcium_kg / CALCIUM_G_MOL + 2.0 * magnesium_kg / MAGNESIUM_G_MOL)
    return Equivalents(low, low + 0.5 * hard, low + hard)


class Shift(NamedTuple):
    """The rise of a food acid's pKa: the least, the best single guess, and the most."""

    low: float
    point: float
    high: float


def _require_ethanol(ethanol_mass_fraction: float) -> None:
    require(
        "ethanol_mass_fraction", ethanol_mass_fraction, 0.0, ETHANOL_MASS_FRACTION_HIGH, "",
        "NBS-BENZOIC-ETHANOL",
    )  # fmt: skip


def ethanol_pk_shift(ethanol_mass_fraction: float) -> float:
    """Rise of the pKa of benzoic acid by ethanol at 25 C, as measured.

    ethanol_mass_fraction: ethanol over ethanol and water by mass, 0 to 0.648 (72 % vol).
    Error: 0.014 from the five points; other aromatic acids of the same paper within 0.1.

    >>> [round(ethanol_pk_shift(w), 2) for w in (0.0, 0.122, 0.252, 0.441, 0.648)]
    [0.0, 0.26, 0.67, 1.35, 2.0]

    Raises: OutOfRange.
    Source: [NBS-BENZOIC-ETHANOL] table 1 (read); the curve through it was fitted here.
    """
    _require_ethanol(ethanol_mass_fraction)
    w = ethanol_mass_fraction
    first, second, third = BENZOIC_SHIFT
    return w * (first + w * (second + w * third))


def food_acid_pk_shift(ethanol_mass_fraction: float) -> Shift:
    """Rise of pKa per acid group of a food acid by ethanol: an estimate from one family of acids.

    ethanol_mass_fraction: ethanol over ethanol and water by mass, 0 to 0.648. The second and third
    group of an acid are taken to rise as the first.

    >>> [round(value, 2) for value in food_acid_pk_shift(0.0968)]  # 12 % vol
    [0.11, 0.16, 0.2]

    Raises: OutOfRange.
    Source: [NBS-BENZOIC-ETHANOL] (read), 0.55 to 1.0 of it by the wine acids of [PRENESTI-2012].
    """
    whole = ethanol_pk_shift(ethanol_mass_fraction)
    return Shift(*(share * whole for share in FOOD_ACID_SHARE))


def meter_offset_ph(ethanol_mass_fraction: float) -> float:
    """How much a pH meter set in buffers of water shows above the pH of the mixture's own scale.

    ethanol_mass_fraction: ethanol over ethanol and water by mass, 0 to 0.648. Error: 0.03.

    >>> round(meter_offset_ph(0.441), 2), round(meter_offset_ph(0.10), 2)
    (0.14, -0.02)

    Raises: OutOfRange.
    Source: [NBS-BENZOIC-ETHANOL] table 1 (read), straight lines between its five points.
    """
    _require_ethanol(ethanol_mass_fraction)
    for (w0, low), (w1, high) in pairwise(METER_OFFSET):
        if ethanol_mass_fraction <= w1:
            return low + (high - low) * (ethanol_mass_fraction - w0) / (w1 - w0)
    return METER_OFFSET[-1][1]  # pragma: no cover (the range ends at the last point)


def require_medium(sugar_mass_fraction: float = 0.0, abv: float = 0.0) -> None:
    """Raise unless `ph` holds in a drink with this sugar and alcohol.

    sugar_mass_fraction: kg sugar per kg of drink, to 0.50. abv: fraction by volume, to 0.50.

    >>> require_medium(sugar_mass_fraction=0.3)
    >>> require_medium(abv=0.6)
    Traceback (most recent call last):
    ...
    prepkit.errors.OutOfRange: abv is 0.6 as a fraction by volume; it must be between 0 and 0.5 ...

    Raises: OutOfRange.
    Source: [SINCLAIR-ENY-1946] for sugar, [NBS-BENZOIC-ETHANOL] for alcohol (read).
    """
    require("sugar_mass_fraction", sugar_mass_fraction, 0.0, SUGAR_HIGH, "", "SINCLAIR-ENY-1946")
    require("abv", abv, 0.0, ABV_HIGH, "as a fraction by volume", "NBS-BENZOIC-ETHANOL")


__all__ = [
    "ABV_HIGH",
    "KEEPING_ABV_HIGH",
    "SUGAR_HIGH",
    "Equivalents",
    "Shift",
    "ethanol_pk_shift",
    "food_acid_pk_shift",
    "meter_offset_ph",
    "require_medium",
    "strong_cations_mol",
]
