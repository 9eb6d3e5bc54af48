"""Density and specific heat of food components, and of food from its composition.

Peel, fruit, milk solids, melted fat; for syrup and spirit see `sucrose` and `ethanol`, for cold
cream `cream`.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import fsum

from prepkit.errors import BadInput, require

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
