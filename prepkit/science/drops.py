"""Drops: what one weighs as it falls from a tip, and how fast small ones rise in a liquid."""

from __future__ import annotations

from itertools import pairwise
from math import pi

from prepkit.errors import OutOfRange, require
from prepkit.science.roots import bracketed

GRAVITY_M_S2 = 9.80665
# [HARKINS-BROWN] correction f(r / V^(1/3)) as a published polynomial, powers of x from 0.
CORRECTION = (1.0, -0.9121, -2.109, 13.38, -27.29, 27.53, -13.58, 2.593)
X_LOW, X_HIGH = 0.30, 1.20
# [PREPKIT-FOAM] surface tension at 20 C, N/m: ethanol in water by mass fraction, from memory.
ETHANOL_WATER_N_M = {
    0.0: 0.0728, 0.10: 0.0481, 0.20: 0.0386, 0.30: 0.0335, 0.40: 0.0307, 0.50: 0.0285, 1.0: 0.0223,
}  # fmt: skip
LIMONENE_N_M, LIMONENE_KG_M3 = 0.0275, 841.1
# [MILK-TENSION-1983] N/m of skimmed and whole milk by C: constant, per C, per C squared.
MILK_N_M = (55.6e-3, -0.163e-3, 1.8e-7)
MILK_LOW_C, MILK_HIGH_C, MILK_HIGH_FAT, MILK_ERROR_N_M = 18.0, 135.0, 0.045, 2.1e-3
# [ESSENTIAL-OIL-DROPS] a drop from the insert of an oil bottle: mean of studies and spread.
BOTTLE_INSERT_KG, BOTTLE_INSERT_SPREAD_KG = 33e-6, 10e-6
# [USP-DROPPER] a drop of water from the standard tip of 3 mm.
STANDARD_TIP_RADIUS_M = 1.5e-3


def harkins_brown_factor(x: float) -> float:
    """Share of the ideal weight that a falling drop carries off, at x = r / V^(1/3).

    x: 0.30 to 1.20. Error: 0.0035 against the table from 0.40 to 1.15, 0.009 at 0.30.

    >>> round(harkins_brown_factor(0.5), 3)
    0.652

    Raises: OutOfRange. Source: [HARKINS-BROWN] polynomial (memory).
    """
    require("x", x, X_LOW, X_HIGH, "", "HARKINS-BROWN")
    total = 0.0
    for a in reversed(CORRECTION):
        total = total * x + a
    return total


def drop_mass_kg(tip_radius_m: float, surface_tension_n_m: float, density_kg_m3: float) -> float:
    """Mass of a drop that falls slowly from a wetted tip, kg.

    tip_radius_m: outer radius, 0.3 to 5 mm. surface_tension_n_m: 0.015 to 0.080.
    density_kg_m3: 600 to 1500. Error: 3 % for slow dripping from a clean, level tip.

    >>> round(1e6 * drop_mass_kg(1.5e-3, 0.07274, 998.2))
    48

    Viscosity stands in neither part of it: a thick liquid drips slower, not heavier. A review
    [DROP-WEIGHT-2008] holds the curve unproven for thick liquids, so those are best weighed.

    Raises: OutOfRange, also where the drop's r / V^(1/3) leaves 0.30 to 1.20.
    Source: [HARKINS-BROWN] (memory): m g = 2 pi r sigma f(x).
    """
    require("tip_radius_m", tip_radius_m, 0.3e-3, 5e-3, "m", "HARKINS-BROWN")
    require("surface_tension_n_m", surface_tension_n_m, 0.015, 0.080, "N/m", "HARKINS-BROWN")
    require("density_kg_m3", density_kg_m3, 600.0, 1500.0, "kg/m3", "HARKINS-BROWN")
    ideal_kg = 2.0 * pi * tip_radius_m * surface_tension_n_m / GRAVITY_M_S2

    def excess(x: float) -> float:  # of the mass that has this x over the mass that falls at it
        return density_kg_m3 * (tip_radius_m / x) ** 3 / ideal_kg - harkins_brown_factor(x)

    for edge, outside in ((X_LOW, excess(X_LOW) < 0.0), (X_HIGH, excess(X_HIGH) > 0.0)):
        if outside:  # the x that this weight would have with the factor of the nearer edge
            volume = ideal_kg * harkins_brown_factor(edge) / density_kg_m3
            x = tip_radius_m / volume ** (1.0 / 3.0)
            raise OutOfRange("r / V^(1/3) of the drop", x, X_LOW, X_HIGH, "", "HARKINS-BROWN")
    x = bracketed(excess, X_LOW, X_HIGH, 1e-10)
    return density_kg_m3 * (tip_radius_m / x) ** 3


def ethanol_water_surface_tension_n_m(mass_fraction: float) -> float:
    """Surface tension of ethanol in water at 20 C, N/m, between the points of a table.

    mass_fraction: 0 to 1. Error: exact at the points; up to 15 % too high between 0 and 0.10,
    where the curve bends most, 3 % between 0.10 and 0.50, 5 % above.

    >>> round(ethanol_water_surface_tension_n_m(0.4), 4)
    0.0307

    Raises: OutOfRange. Source: [VAZQUEZ-1995] (memory).
    """
    require("mass_fraction", mass_fraction, 0.0, 1.0, "", "VAZQUEZ-1995")
    (low, at_low), (high, at_high) = next(
        piece for piece in pairwise(ETHANOL_WATER_N_M.items()) if mass_fraction <= piece[1][0]
    )
    return at_low + (at_high - at_low) * (mass_fraction - low) / (high - low)


def milk_surface_tension_n_m(temperature_c: float) -> float:
    """Surface tension of skimmed and whole milk, N/m; cream has less, and no table was read.

    temperature_c: 18 to 135 C. Error: 0.0021 N/m (residual of 66 values).

    >>> round(milk_surface_tension_n_m(20.0), 4)
    0.0524

    Raises: OutOfRange. Source: [MILK-TENSION-1983] (read, abstract).
    """
    require("temperature_c", temperature_c, MILK_LOW_C, MILK_HIGH_C, "C", "MILK-TENSION-1983")
    start, slope, bend = MILK_N_M
    return start + slope * temperature_c + bend * temperature_c**2


def creaming_velocity_m_s(
    diameter_m: float, liquid_kg_m3: float, drop_kg_m3: float, viscosity_pa_s: float
) -> float:
    """Speed at which a small drop rises in a liquid, m/s; negative where it sinks.

    diameter_m: 0.01 to 100 um. viscosity_pa_s: 1e-4 to 100. Error: the form is exact for lone
    round drops far below a Reynolds number of 1; a crowd of drops is slower.

    >>> round(8.64e7 * creaming_velocity_m_s(1e-6, 998.2, 850.0, 1.002e-3), 2)
    6.96

    Raises: OutOfRange. Source: [STOKES] (memory): v = d^2 (difference of density) g / (18 mu).
    """
    require("diameter_m", diameter_m, 1e-8, 1e-4, "m", "STOKES")
    require("liquid_kg_m3", liquid_kg_m3, 600.0, 1600.0, "kg/m3", "STOKES")
    require("drop_kg_m3", drop_kg_m3, 600.0, 1600.0, "kg/m3", "STOKES")
    require("viscosity_pa_s", viscosity_pa_s, 1e-4, 100.0, "Pa s", "STOKES")
    return diameter_m**2 * (liquid_kg_m3 - drop_kg_m3) * GRAVITY_M_S2 / (18.0 * viscosity_pa_s)
