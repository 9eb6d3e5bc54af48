"""What a drink brings along besides its acids: mineral cations, sugar, alcohol."""

from __future__ import annotations

from typing import NamedTuple

from prepkit.errors import require
from prepkit.science.acid_data import (
    CALCIUM_G_MOL,
    MAGNESIUM_G_MOL,
    POTASSIUM_G_MOL,
    SODIUM_G_MOL,
)

SUGAR_HIGH = 0.50
ABV_HIGH = 0.20
# Rise of pKa per acid group and fraction of ethanol by volume: +0.11 to +0.17 at 12 % vol.
ETHANOL_SHIFT_LOW, ETHANOL_SHIFT_HIGH = 0.11 / 0.12, 0.17 / 0.12


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


def ethanol_pk_shift(abv: float) -> tuple[float, float]:
    """Least and greatest rise of pKa per acid group that alcohol causes.

    abv as a fraction by volume, 0 to 0.20; above that nothing was verified.

    >>> [round(value, 2) for value in ethanol_pk_shift(0.12)]
    [0.11, 0.17]

    Raises: OutOfRange.
    Source: [PRENESTI-2012] table 4 (read): lactic and succinic acid at 12 % vol, taken linear.
    """
    require("abv", abv, 0.0, ABV_HIGH, "as a fraction by volume", "PRENESTI-2012")
    return ETHANOL_SHIFT_LOW * abv, ETHANOL_SHIFT_HIGH * abv


def ethanol_ph_shift(abv: float) -> tuple[float, float]:
    """Least and greatest rise of pH that alcohol causes above the pH computed without it.

    The full shift of pKa shows in a buffered juice, half of it in plain acid: the range holds
    both. abv as a fraction by volume, 0 to 0.20.

    >>> [round(value, 3) for value in ethanol_ph_shift(0.12)]
    [0.055, 0.17]

    Raises: OutOfRange. Source: [PRENESTI-2012] (read) through the charge balance (computed).
    """
    low, high = ethanol_pk_shift(abv)
    return 0.5 * low, high


def require_medium(sugar_mass_fraction: float = 0.0, abv: float = 0.0) -> None:
    """Raise unless `ph` holds in a drink with this sugar and alcohol.

    sugar_mass_fraction: kg sugar per kg of drink, to 0.50. abv: fraction by volume, to 0.20.

    >>> require_medium(sugar_mass_fraction=0.3)
    >>> require_medium(abv=0.4)
    Traceback (most recent call last):
    ...
    prepkit.errors.OutOfRange: abv is 0.4 as a fraction by volume; it must be between 0 and 0.2 ...

    Raises: OutOfRange. Source: [SINCLAIR-ENY-1946] for sugar, [PRENESTI-2012] for alcohol (read).
    """
    require("sugar_mass_fraction", sugar_mass_fraction, 0.0, SUGAR_HIGH, "", "SINCLAIR-ENY-1946")
    require("abv", abv, 0.0, ABV_HIGH, "as a fraction by volume", "PRENESTI-2012")


__all__ = [
    "ABV_HIGH",
    "SUGAR_HIGH",
    "Equivalents",
    "ethanol_ph_shift",
    "ethanol_pk_shift",
    "require_medium",
    "strong_cations_mol",
]
