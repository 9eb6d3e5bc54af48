"""Pure water: density, specific heat, refractive index; gases that carry its vapour."""

from __future__ import annotations

import math
from math import exp, sqrt

from prepkit.errors import require

# ---- what several relations count with ----

GAS_CONSTANT_J_MOL_K = 8.314462618
KELVIN = 273.15
STANDARD_PA = 101325.0
GRAVITY_M_S2 = 9.80665
WATER_G_MOL = 18.015

# ---- pure water ----

# [SPS-4], density of water: numerator by powers of t, and the one term of the denominator.
DENSITY = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)
DENSITY_DENOMINATOR = 16.887236e-3
DENSITY_LOW_C, DENSITY_HIGH_C = 0.0, 100.0

# Fit to the IAPWS-95 values of [COOLPROP] at 0 to 99.9 C, powers of t/100; largest residual 0.2.
SPECIFIC_HEAT = (
    4219.28842, -334.829489, 1120.40196, -2044.46536, 2274.5063, -1364.25394, 345.105648,
)  # fmt: skip

# Specific refraction (n^2-1)/(n^2+2)/rho at 20 C in mL/g, from n = 1.33298875 of the Brix scale,
# and its drift with t - 20, fitted to the IAPWS index of [CHEMICALS] over air, 0 to 80 C.
REFRACTION_20_ML_G = 0.20605943699639
REFRACTION_DRIFT = (-3.878496148e-5, 5.885538620e-7, -2.601223233e-9)
INDEX_LOW_C, INDEX_HIGH_C = 0.0, 80.0


def density_kg_m3(temperature_c: float) -> float:
    """Density of air-free water at 1 atm, kg/m3.

    temperature_c: 0 to 100 C. Error: 0.01 kg/m3.

    >>> round(density_kg_m3(20.0), 3)
    998.203

    Raises: OutOfRange.
    Source: [SPS-4] equation for water (read).
    """
    t = temperature_c
    if not DENSITY_LOW_C <= t <= DENSITY_HIGH_C:
        require("temperature_c", t, DENSITY_LOW_C, DENSITY_HIGH_C, "C", "SPS-4")
    a0, a1, a2, a3, a4, a5 = DENSITY
    top = a0 + t * (a1 + t * (a2 + t * (a3 + t * (a4 + t * a5))))
    return top / (1.0 + DENSITY_DENOMINATOR * t)


def specific_heat_j_kg_k(temperature_c: float) -> float:
    """Specific heat of liquid water at 1 atm, J/(kg K).

    temperature_c: 0 to 100 C. Error: 1 J/(kg K).

    >>> round(specific_heat_j_kg_k(20.0))
    4184

    Raises: OutOfRange.
    Source: fit to [COOLPROP] (IAPWS-95) values (computed).
    """
    require("temperature_c", temperature_c, 0.0, 100.0, "C", "COOLPROP")
    x = temperature_c / 100.0
    total = 0.0
    for a in reversed(SPECIFIC_HEAT):
        total = total * x + a
    return total


def specific_refraction_ml_g(temperature_c: float) -> float:
    """(n^2-1)/(n^2+2)/rho of water at 589 nm, mL/g.

    temperature_c: 0 to 80 C. Error: 1e-5 of its value.

    >>> round(specific_refraction_ml_g(20.0), 5)
    0.20606

    Raises: OutOfRange.
    Source: fit to [CHEMICALS] (IAPWS 1997 index, divided by 1.000272 for air) (computed).
    """
    require("temperature_c", temperature_c, INDEX_LOW_C, INDEX_HIGH_C, "C", "CHEMICALS")
    d = temperature_c - 20.0
    b1, b2, b3 = REFRACTION_DRIFT
    return REFRACTION_20_ML_G * (1.0 + d * (b1 + d * (b2 + d * b3)))


def refractive_index(temperature_c: float) -> float:
    """Refractive index of water against air at 589 nm.

    temperature_c: 0 to 80 C. Error: 5e-5 (1e-5 at 20 C).

    >>> round(refractive_index(20.0), 5)
    1.33299

    Raises: OutOfRange.
    Source: Lorentz-Lorenz with `specific_refraction_ml_g` and [SPS-4] density; meets the water
    row of [ISO-1743] (read) at 20, 30, 45 and 60 C.
    """
    x = specific_refraction_ml_g(temperature_c) * density_kg_m3(temperature_c) * 1e-3
    return sqrt((1.0 + 2.0 * x) / (1.0 - x))


# ---- air and other gases that carry water vapour ----

WATER_KG_MOL = 18.015268e-3
DRY_AIR_KG_MOL = 28.96546e-3
LOW_C, HIGH_C = 0.0, 100.0
LOW_PA, HIGH_PA = 50e3, 120e3
# [WAGNER-PRUSS] ln(p/pc) = Tc/T (a1 v + a2 v^1.5 + a3 v^3 + a4 v^3.5 + a5 v^4 + a6 v^7.5)
CRITICAL_K, CRITICAL_PA = 647.096, 22.064e6
VAPOUR = (
    (-7.85951783, 1.0), (1.84408259, 1.5), (-11.7866497, 3.0),
    (22.6807411, 3.5), (-15.9618719, 4.0), (1.80122502, 7.5),
)  # fmt: skip


def saturation_pressure_pa(temperature_c: float) -> float:
    """Vapour pressure of water over liquid, Pa.

    temperature_c: 0 to 100 C. Error: 0.05 %.

    >>> round(saturation_pressure_pa(20.0))
    2339

    Raises: OutOfRange.
    Source: [WAGNER-PRUSS] (memory), checked against [COOLPROP].
    """
    require("temperature_c", temperature_c, LOW_C, HIGH_C, "C", "WAGNER-PRUSS")
    kelvin = temperature_c + KELVIN
    v = 1.0 - kelvin / CRITICAL_K
    return CRITICAL_PA * exp(CRITICAL_K / kelvin * math.fsum(a * v**n for a, n in VAPOUR))


def moist_gas_density_kg_m3(
    molar_mass_kg_mol: float, temperature_c: float, absolute_pa: float, relative_humidity: float
) -> float:
    """Density of a gas carrying water vapour, kg/m3, as an ideal mixture.

    temperature_c: 0 to 100 C. absolute_pa: 50 to 120 kPa. relative_humidity: 0 to 1 (1 inside a
    bubble). Error: 0.1 % (air, helium, nitrogen), 0.7 % (nitrous oxide, carbon dioxide).

    >>> round(moist_gas_density_kg_m3(4.0026e-3, 20.0, 101325.0, 1.0), 4)
    0.1798

    Raises: OutOfRange. Source: [DEFINITION] ideal gas; vapour by [WAGNER-PRUSS].
    """
    require("relative_humidity", relative_humidity, 0.0, 1.0, "", "DEFINITION")
    require("absolute_pa", absolute_pa, LOW_PA, HIGH_PA, "Pa", "DEFINITION")
    require("molar_mass_kg_mol", molar_mass_kg_mol, 1e-3, 0.2, "kg/mol", "DEFINITION")
    vapour_pa = relative_humidity * saturation_pressure_pa(temperature_c)
    require("vapour pressure", vapour_pa, 0.0, absolute_pa, "Pa", "WAGNER-PRUSS")
    moles = 1.0 / (GAS_CONSTANT_J_MOL_K * (temperature_c + KELVIN))
    return moles * ((absolute_pa - vapour_pa) * molar_mass_kg_mol + vapour_pa * WATER_KG_MOL)


def air_density_kg_m3(
    temperature_c: float, absolute_pa: float = 101325.0, relative_humidity: float = 0.5
) -> float:
    """Density of room air, kg/m3.

    Arguments and range as `moist_gas_density_kg_m3`. Error: 0.1 %.

    >>> round(air_density_kg_m3(20.0), 3)
    1.199

    Raises: OutOfRange. Source: as `moist_gas_density_kg_m3`.
    """
    return moist_gas_density_kg_m3(DRY_AIR_KG_MOL, temperature_c, absolute_pa, relative_humidity)
