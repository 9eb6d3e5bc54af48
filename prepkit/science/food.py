"""Density and specific heat of food from its composition; cream; poisons by molar mass.

Peel, fruit, milk solids, melted fat; for syrup and spirit see `sucrose` and `ethanol`, for cold
cream `cream`.

Cold milk fat is partly solid, so a cold cream is denser than a sum of its parts as plain food.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import exp, fsum

from prepkit.errors import BadInput, require
from prepkit.science import water

# ---- density and specific heat of food components, and of food from its composition ----

_SOURCE = "CHOI-OKOS-1986"
LOW_C, HIGH_C = -40.0, 150.0
# kg/m3: constant, per K, per K2; water only above freezing [CHOI-OKOS-1986] (read)
DENSITY = {
    "protein": (1329.9, -0.51840, 0.0),
    "fat": (925.59, -0.41757, 0.0),
    "carbohydrate": (1599.1, -0.31046, 0.0),
    "fibre": (1311.5, -0.36589, 0.0),
    "ash": (2423.8, -0.28063, 0.0),
    "water": (997.18, 3.1439e-3, -3.7574e-3),
}
# kJ/(kg K): constant, per K, per K2; the water constant of 1986, not the later reprint
SPECIFIC_HEAT = {
    "protein": (2.0082, 1.2089e-3, -1.3129e-6),
    "fat": (1.9842, 1.4733e-3, -4.8008e-6),
    "carbohydrate": (1.5488, 1.9625e-3, -5.9399e-6),
    "fibre": (1.8459, 1.8306e-3, -4.6509e-6),
    "ash": (1.0926, 1.8896e-3, -3.6817e-6),
    "water": (4.1762, -9.0864e-5, 5.4731e-6),
}


def _component(name: str, temperature_c: float) -> None:
    if name not in DENSITY:
        raise BadInput(f'"{name}" is no food component; they are {", ".join(DENSITY)}.', "name")
    low = 0.0 if name == "water" else LOW_C
    require("temperature_c", temperature_c, low, HIGH_C, "C", _SOURCE)


def component_density_kg_m3(name: str, temperature_c: float) -> float:
    """Density of one food component, kg/m3.

    name: protein, fat, carbohydrate (without fibre), fibre, ash, water. -40 to 150 C, water from 0.
    Error: water is up to 3 kg/m3 low near 5 to 10 C; cold milk fat is partly solid and denser.

    >>> round(component_density_kg_m3("protein", 20.0), 2)
    1319.53

    Raises: OutOfRange; BadInput for an unknown component. Source: [CHOI-OKOS-1986] (read).
    """
    _component(name, temperature_c)
    a, b, c = DENSITY[name]
    return a + b * temperature_c + c * temperature_c**2


def component_specific_heat_j_kg_k(name: str, temperature_c: float) -> float:
    """Specific heat of one food component, J/(kg K); names and range as for the density.

    >>> round(component_specific_heat_j_kg_k("fat", 20.0), 1)
    2011.7

    Raises: OutOfRange; BadInput. Source: [CHOI-OKOS-1986] (read).
    """
    _component(name, temperature_c)
    a, b, c = SPECIFIC_HEAT[name]
    return 1000.0 * (a + b * temperature_c + c * temperature_c**2)


def density_kg_m3(mass_fractions: Mapping[str, float], temperature_c: float) -> float:
    """Density of a food without trapped gas, kg/m3, from its composition (fractions sum to 1).

    Error: about 1 %; not for syrups (3 to 5 kg/m3 low) and not for cold cream (9 to 17 low).

    >>> round(density_kg_m3({"water": 1.0}, 20.0), 1)
    995.7

    Raises: OutOfRange, also where the fractions do not sum to 1. Source: [CHOI-OKOS-1986] (read).
    """
    _whole(mass_fractions)
    return 1.0 / fsum(
        x / component_density_kg_m3(name, temperature_c) for name, x in mass_fractions.items()
    )


def specific_heat_j_kg_k(mass_fractions: Mapping[str, float], temperature_c: float) -> float:
    """Specific heat of a food, J/(kg K), from its composition (fractions sum to 1).

    Error: up to 2.3 % low against measured vegetables.

    >>> lamb = {"water": 0.7342, "protein": 0.2029, "fat": 0.0525, "ash": 0.0106}
    >>> round(specific_heat_j_kg_k(lamb, 5.0))
    3591

    Raises: OutOfRange, also where the fractions do not sum to 1. Source: [CHOI-OKOS-1986] (read).
    """
    _whole(mass_fractions)
    return fsum(
        x * component_specific_heat_j_kg_k(name, temperature_c)
        for name, x in mass_fractions.items()
    )


def _whole(mass_fractions: Mapping[str, float]) -> None:
    for name, share in mass_fractions.items():
        require(f"fraction of {name}", share, 0.0, 1.0)
    require("sum of the fractions", fsum(mass_fractions.values()), 0.999, 1.001)


# Milk and cream from a table of five products at four temperatures, 20 points, fitted here:
# 1000/rho = 1000 w/rho_water + f (a) + s (b), f fat, s solids-not-fat, w water; cm3/g
_MILK_FAT = (1.0249, 0.00237, -7.9e-6)
_MILK_SOLIDS = (0.6085, 0.00077)
MILK_LOW_C, MILK_HIGH_C = 4.0, 39.0


def _as_food(name: str, at_c: float, temperature_c: float) -> float:
    """How much larger a component is at one temperature than at another, as plain food."""
    if at_c == temperature_c:
        return 1.0
    return component_density_kg_m3(name, at_c) / component_density_kg_m3(name, temperature_c)


def _in_milk(temperature_c: float) -> float:
    return min(max(temperature_c, MILK_LOW_C), MILK_HIGH_C)


def milk_fat_volume_m3_kg(temperature_c: float) -> float:
    """Volume that 1 kg of milk fat takes up in milk or cream, m3.

    4 to 39 C by a published table of milk and cream (largest residual 1.4 kg/m3 in the density of
    cream); outside, to -40 and 150 C, from the end of that table with the expansion of liquid food
    fat, which misses the further setting of fat below 4 C.

    >>> round(1e3 * milk_fat_volume_m3_kg(10.0), 4)
    1.0478

    Raises: OutOfRange. Source: [GUELPH-MILK-DENSITY] (read, fit ours); [CHOI-OKOS-1986] (read).
    """
    t = _in_milk(temperature_c)
    a, b, c = _MILK_FAT
    return 1e-3 * (a + b * t + c * t**2) * _as_food("fat", t, temperature_c)


def milk_solids_volume_m3_kg(temperature_c: float) -> float:
    """Volume that 1 kg of the solids-not-fat takes up in milk or cream, m3.

    4 to 39 C by the same table; outside, to -40 and 150 C, with the expansion of food protein.

    >>> round(1e3 * milk_solids_volume_m3_kg(20.0), 4)
    0.6239

    Raises: OutOfRange. Source: [GUELPH-MILK-DENSITY] (read, fit ours); [CHOI-OKOS-1986] (read).
    """
    t = _in_milk(temperature_c)
    a, b = _MILK_SOLIDS
    return 1e-3 * (a + b * t) * _as_food("protein", t, temperature_c)


# the solids-not-fat split by mass into lactose, protein, salts, as in skim milk [USDA-SR28] (read)
_MILK_SPLIT = {"lactose": 4.96, "protein": 3.37, "salts": 0.75}
_MILK_SUGAR_CM3_G, _MILK_SALTS_CM3_G = 0.620, 0.617  # as dissolved glucose and as other solids
_MILK_TOTAL = fsum(_MILK_SPLIT.values()) * 1e3
_MILK_SUGAR_CM3 = _MILK_SPLIT["lactose"] * _MILK_SUGAR_CM3_G
_MILK_SALTS_CM3 = _MILK_SPLIT["salts"] * _MILK_SALTS_CM3_G


def milk_protein_volume_m3_kg(temperature_c: float) -> float:
    """Volume that 1 kg of milk protein takes up in milk or cream, m3.

    What the published table of milk leaves for the protein once lactose and salts are counted as
    dissolved; 4 to 39 C, outside with the expansion of food protein. Reproduces the table within
    1.5 kg/m3.

    >>> round(1e3 * milk_protein_volume_m3_kg(20.0), 3)
    0.631

    Raises: OutOfRange. Source: [GUELPH-MILK-DENSITY] (read, fit ours); [CHOI-OKOS-1986] (read).
    """
    t = _in_milk(temperature_c)
    total = _MILK_TOTAL * milk_solids_volume_m3_kg(t)
    protein = 1e-3 * (total - _MILK_SUGAR_CM3 - _MILK_SALTS_CM3) / _MILK_SPLIT["protein"]
    return protein * _as_food("protein", t, temperature_c)


# ---- density of milk and cream without trapped gas ----

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


def cream_density_kg_m3(fat: float, solids_not_fat: float, temperature_c: float) -> float:
    """Density of milk or cream, kg/m3: the preferred relation.

    fat, solids_not_fat: mass fractions, 0 to 0.50 and 0.04 to 0.11. temperature_c: 4 to 39 C.
    Error: 1.4 kg/m3 within the table (to 36.6 % fat); above that 3, supported only near 10 C,
    where it meets `cold_density_kg_m3` within 2.3.

    >>> round(cream_density_kg_m3(0.3608, 0.059, 5.0), 1)
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
        + fat * milk_fat_volume_m3_kg(temperature_c)
        + solids_not_fat * milk_solids_volume_m3_kg(temperature_c)
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


# ---- what a plant's poison comes to by molar mass ----

QUININE_G_MOL, QUININE_SULFATE_DIHYDRATE_G_MOL = 324.42, 782.94  # two quinine in one salt
HYDROGEN_CYANIDE_G_MOL, AMYGDALIN_G_MOL = 27.025, 457.43
