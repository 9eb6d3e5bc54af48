"""Pure water: density, specific heat, refractive index."""

from __future__ import annotations

from math import sqrt

from prepkit.errors import require

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
