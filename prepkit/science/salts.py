"""Salt, citrates and bicarbonate in water: density, freezing point, water activity.

Sodium chloride has its own curves. Other salts are counted by their ions: the acid as the acid
itself, and each potassium or sodium as one more particle; where there is more of these than the
acids can hold, a bicarbonate ion comes with it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from prepkit.errors import require
from prepkit.science.sucrose import ICE_LN_A, ICE_LN_B

SALT_G_MOL, SODIUM_G_MOL, POTASSIUM_G_MOL = 58.443, 22.990, 39.098  # [IUPAC-WEIGHTS]
SALT_FRACTION_HIGH = 0.264  # of salt and water: saturated at 20 C (memory)
SALT_FREEZING_HIGH, SALT_ACTIVITY_HIGH = 5.12, 6.02  # mol per kg of water
IONS_HIGH, BICARBONATE_HIGH = 3.0, 1.63  # mol per kg of water, as far as [CRC102] goes
# K per mol/kg: fits to sodium citrate and potassium bicarbonate of [CRC102], 5 to 14 % by mass
ION_K, BICARBONATE_K = 0.90, 1.95
# equivalents of one mol, to about pH 8; phosphoric acid to its second
EQUIVALENTS = MappingProxyType(
    {"citric": (192.124, 3), "malic": (134.087, 2), "tartaric": (150.087, 2),
     "lactic": (90.078, 1), "acetic": (60.052, 1), "phosphoric": (97.994, 2),
     "succinic": (118.088, 2), "fumaric": (116.072, 2), "ascorbic": (176.124, 1)}
)  # fmt: skip
ERROR_SALT, ERROR_IONS = 0.002, 0.01
NAMES = ("salt", "sodium", "potassium")


def salt_density_kg_m3(mass_fraction: float) -> float:
    """Density of sodium chloride in water at 20 C, kg/m3.

    mass_fraction: 0 to 0.26. Error: 0.08 kg/m3.

    >>> round(salt_density_kg_m3(0.20), 1)
    1147.8

    Raises: OutOfRange. Source: fit to [CRC102] (computed).
    """
    require("mass_fraction", mass_fraction, 0.0, 0.26, "of salt", "CRC102")
    w = mass_fraction
    return 998.2 + w * (710.0 + w * (109.7 + w * 396.6))


def bicarbonate_density_kg_m3(mass_fraction: float) -> float:
    """Density of potassium bicarbonate in water at 20 C, kg/m3.

    mass_fraction: 0 to 0.24. Error: 0.21 kg/m3.

    >>> round(bicarbonate_density_kg_m3(0.10), 1)
    1065.0

    Raises: OutOfRange. Source: fit to [CRC102] (computed).
    """
    require("mass_fraction", mass_fraction, 0.0, 0.24, "of bicarbonate", "CRC102")
    w = mass_fraction
    return 998.2 + w * (656.3 + w * (38.3 + w * 770.2))


def citrate_density_kg_m3(mass_fraction: float) -> float:
    """Density of trisodium citrate in water at 20 C, kg/m3.

    mass_fraction: of the salt without its crystal water, 0 to 0.36; 1 g of dihydrate is 0.8775 g.
    Error: 0.64 kg/m3.

    >>> round(citrate_density_kg_m3(0.10), 1)
    1070.6

    Raises: OutOfRange. Source: fit to [CRC102] (computed).
    """
    require("mass_fraction", mass_fraction, 0.0, 0.36, "of citrate", "CRC102")
    w = mass_fraction
    return 998.2 + w * (690.9 + w * (351.4 - w * 183.7))


def salt_freezing_depression_k(molality: float) -> float:
    """What sodium chloride lowers the freezing point of water by, K.

    molality: mol per kg of water, 0 to 5.12 (23 % by mass). Error: 0.02 K.

    >>> round(salt_freezing_depression_k(1.901), 2)
    6.58

    Raises: OutOfRange. Source: fit to [CRC102] (computed).
    """
    require("salt", molality, 0.0, SALT_FREEZING_HIGH, "mol per kg of water", "CRC102")
    return molality * (3.3493 + molality * (0.0110 + molality * 0.02457))


def salt_ln_water_activity(molality: float) -> float:
    """Logarithm of the water activity of sodium chloride in water at 25 C.

    molality: mol per kg of water, 0 to 6.02 (26 % by mass). Error: 0.002.

    >>> from math import exp
    >>> round(exp(salt_ln_water_activity(1.901)), 3)
    0.935

    Raises: OutOfRange. Source: fit to a Pitzer model [SALT-PITZER] (computed).
    """
    require("salt", molality, 0.0, SALT_ACTIVITY_HIGH, "mol per kg of water", "SALT-PITZER")
    return -molality * (0.03261 + molality * (0.001092 + molality * 0.0001916))


def ions_depression_k(masses_kg: Mapping[str, float]) -> float:
    """What the sodium and potassium of citrates, bicarbonates and foods lower freezing by, K.

    masses_kg: component -> kg, with "water"; the acids beside them are counted elsewhere. Ions to
    3 mol per kg of water, of them 1.63 without an acid. Error: 10 %; the table itself 5 %.

    >>> water, citrate = 0.9, 0.1 / 258.07
    >>> ions = {"water": water, "sodium": 3 * citrate * 22.990, "citric": citrate * 192.124}
    >>> round(ions_depression_k(ions), 2)
    1.16

    Raises: OutOfRange. Source: [CRC102] (read), split into ions (computed).
    """
    water_kg = masses_kg["water"]
    ions = (
        1000.0
        / water_kg
        * (
            masses_kg.get("sodium", 0.0) / SODIUM_G_MOL
            + masses_kg.get("potassium", 0.0) / POTASSIUM_G_MOL
        )
    )
    if not ions:
        return 0.0
    require("sodium and potassium", ions, 0.0, IONS_HIGH, "mol per kg of water", "CRC102")
    held = (
        1000.0
        / water_kg
        * math.fsum(
            number * masses_kg.get(acid, 0.0) / molar
            for acid, (molar, number) in EQUIVALENTS.items()
        )
    )
    alone = max(ions - held, 0.0)
    require("bicarbonate", alone, 0.0, BICARBONATE_HIGH, "mol per kg of water", "CRC102")
    return ION_K * ions + BICARBONATE_K * alone


def _salt_molality(masses_kg: Mapping[str, float]) -> float:
    return 1000.0 * masses_kg.get("salt", 0.0) / SALT_G_MOL / masses_kg["water"]


def depression_k(masses_kg: Mapping[str, float]) -> float:
    """Freezing depression by salt and ions together, K.

    masses_kg: component -> kg, with "water" above zero. Range and error as of
    `salt_freezing_depression_k` and `ions_depression_k`; added, which no measurement was found for.

    >>> round(depression_k({"water": 0.8, "salt": 0.2}), 1)
    16.5

    Raises: OutOfRange. Source: [CRC102] (read), added (computed).
    """
    molality = _salt_molality(masses_kg)
    alone = salt_freezing_depression_k(molality) if molality else 0.0
    return alone + ions_depression_k(masses_kg)


def ln_water_activity(masses_kg: Mapping[str, float]) -> tuple[float, float]:
    """Logarithm of the water activity of salt and ions at 25 C, and its error.

    masses_kg: component -> kg, with "water" above zero. Error: 0.002 with salt alone, 0.01 with
    other salts.

    >>> value, error = ln_water_activity({"water": 0.9, "salt": 0.1})
    >>> round(value, 3), error
    (-0.067, 0.002)

    Raises: OutOfRange.
    Source: salt by [SALT-PITZER]; ions by what they lower freezing by [CRC102] (computed).
    """
    molality = _salt_molality(masses_kg)
    value = salt_ln_water_activity(molality) if molality else 0.0
    ions_k = ions_depression_k(masses_kg)
    if not ions_k:
        return value, ERROR_SALT if molality else 0.0
    return value - ions_k * (ICE_LN_A + ICE_LN_B * ions_k), ERROR_IONS
