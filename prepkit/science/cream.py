"""Density of milk and cream without trapped gas: cold, warming and hot, each in its own range.

Cold milk fat is partly solid, so a cold cream is denser than a sum of its parts as plain food.
"""

from __future__ import annotations

from math import exp

from prepkit.errors import require
from prepkit.science import food, water

# [CREAM-LOW-T]: regression on 57 creams, F in % milk fat, printed temperature 9.85 C.
COLD_KG_M3, COLD_PER_PERCENT_FAT = 1031.23, -0.770
COLD_LOW_FAT, COLD_HIGH_FAT = 0.20, 0.50
TABLE_LOW_C, TABLE_HIGH_C = 4.0, 39.0
# [BAKSHI-SMITH-1984]: ln(mPa s) = a + b F + c / T, F in % fat, T in K. The abstract prints +8.9;
# its own span of 1 to 60 mPa s over 0 to 30 C and 0 to 30 % fat only holds with the minus.
VISCOSITY = (-8.9, 0.1, 2721.5)
VISCOSITY_LOW_C, VISCOSITY_HIGH_C, VISCOSITY_HIGH_FAT, VISCOSITY_ERROR = 0.0, 30.0, 0.30, 0.30
HIGH_FAT, LOW_SOLIDS, HIGH_SOLIDS = 0.50, 0.04, 0.11
ERROR_KG_M3, ERROR_ABOVE_TABLE_KG_M3, TABLE_HIGH_FAT = 1.4, 3.0, 0.37


def density_kg_m3(fat: float, solids_not_fat: float, temperature_c: float) -> float:
    """Density of milk or cream, kg/m3: the preferred relation.

    fat, solids_not_fat: mass fractions, 0 to 0.50 and 0.04 to 0.11. temperature_c: 4 to 39 C.
    Error: 1.4 kg/m3 within the table (to 36.6 % fat); above that 3, supported only near 10 C,
    where it meets `cold_density_kg_m3` within 2.3.

    >>> round(density_kg_m3(0.3608, 0.059, 5.0), 1)
    1009.8

    Raises: OutOfRange.
    Source: [GUELPH-MILK-DENSITY] table (read), fit made here to its 20 points: largest residual
    1.36 kg/m3, and 0.8 on 12 further points.
    """
    require("fat", fat, 0.0, HIGH_FAT, "", "GUELPH-MILK-DENSITY")
    require("solids_not_fat", solids_not_fat, LOW_SOLIDS, HIGH_SOLIDS, "", "GUELPH-MILK-DENSITY")
    require("temperature_c", temperature_c, TABLE_LOW_C, TABLE_HIGH_C, "C", "GUELPH-MILK-DENSITY")
    watery = 1.0 - fat - solids_not_fat
    volume = (
        watery / water.density_kg_m3(temperature_c)
        + fat * food.milk_fat_volume_m3_kg(temperature_c)
        + solids_not_fat * food.milk_solids_volume_m3_kg(temperature_c)
    )
    return 1.0 / volume


def density_error_kg_m3(fat: float) -> float:
    """Stated error of `density_kg_m3` at a fat content (mass fraction), kg/m3.

    >>> density_error_kg_m3(0.36), density_error_kg_m3(0.48)
    (1.4, 3.0)

    Raises: OutOfRange. Source: as `density_kg_m3`.
    """
    require("fat", fat, 0.0, HIGH_FAT, "", "GUELPH-MILK-DENSITY")
    return ERROR_KG_M3 if fat <= TABLE_HIGH_FAT else ERROR_ABOVE_TABLE_KG_M3


def viscosity_pa_s(fat: float, temperature_c: float) -> float:
    """Viscosity of milk, half cream and whipping cream at rest from whipping, Pa s.

    fat: mass fraction, 0 to 0.30. temperature_c: 0 to 30 C. Error: 30 % (age, shear and cold
    clumping of the fat matter).

    >>> [round(1000 * viscosity_pa_s(fat, 5.0), 1) for fat in (0.04, 0.20, 0.30)]
    [3.6, 17.9, 48.6]

    Raises: OutOfRange. Source: [BAKSHI-SMITH-1984] abstract (read), its sign mended.
    """
    require("fat", fat, 0.0, VISCOSITY_HIGH_FAT, "", "BAKSHI-SMITH-1984")
    require(
        "temperature_c", temperature_c, VISCOSITY_LOW_C, VISCOSITY_HIGH_C, "C", "BAKSHI-SMITH-1984"
    )
    start, by_fat, by_heat = VISCOSITY
    return 1e-3 * exp(start + by_fat * 100.0 * fat + by_heat / (temperature_c + 273.15))


def cold_density_kg_m3(fat: float) -> float:
    """Density of cold cream near 10 C, kg/m3, by a second, independent relation.

    fat: mass fraction, 0.20 to 0.50. Error: 2.8 kg/m3 against the cup weights of USDA-SR28; it
    lies 2.0 to 2.2 below `density_kg_m3` between 20 and 37 % fat.

    >>> round(cold_density_kg_m3(0.36), 1)
    1003.5

    Raises: OutOfRange. Source: [CREAM-LOW-T] regression in the abstract (read).
    """
    require("fat", fat, COLD_LOW_FAT, COLD_HIGH_FAT, "", "CREAM-LOW-T")
    return COLD_KG_M3 + COLD_PER_PERCENT_FAT * 100.0 * fat
