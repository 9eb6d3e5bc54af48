"""Foam, drops and emulsions: gas held, weight, floating, drainage, creaming.

All volume fractions are of the foam. Overrun is a fraction of the liquid's volume: an overrun of
1 (100 %) is half gas.

Published contents of oil in peel differ by a factor of ten: a load is always a range.
"""

from __future__ import annotations

from itertools import pairwise
from math import pi, sqrt

from prepkit.errors import OutOfRange, require
from prepkit.science.solvers import bracketed
from prepkit.science.water import GRAVITY_M_S2

# ---- foam ----

# [KOEHLER-2000] Kelvin cell: V = 8 sqrt(2) L^3, liquid fraction 0.171 (r / L)^2.
CELL_VOLUME = 8.0 * sqrt(2.0)
DELTA_AREA, DELTA_FRACTION, DELTA_VISCOUS = 0.161, 0.171, 49.7
PERMEABILITY_RIGID = DELTA_AREA / (3.0 * DELTA_FRACTION * DELTA_VISCOUS)
PERMEABILITY_MOBILE = 2.3e-3
DRY_FRACTION_HIGH = 0.01  # where the channels no longer stay thin against the bubble
# [PREPKIT-FOAM] a predicted standing time is good to this factor either way.
STANDING_TIME_FACTOR = 3.0
# [SAPONIN-2016] lowest surface tension of good saponins, quillaja among them, N/m.
SAPONIN_TENSION_N_M = (0.037, 0.042)
# [FOAM-TIMES] published anchors, s: beer head by its standard test, aerated lecithin liquid until
# it dries, cream from a pressure dispenser until it is liquid again.
BEER_HEAD_S = (206.0, 300.0)
LECITHIN_AIR_S = 1800.0
DISPENSED_CREAM_S = (1800.0, 3600.0)


def overrun(liquid_m3: float, foam_m3: float) -> float:
    """Gas taken in over the volume of the liquid it was made of (1 is 100 %).

    Exact.

    >>> overrun(1.0, 2.0)
    1.0

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("liquid_m3", liquid_m3, 1e-12, None, "m3", "DEFINITION")
    require("foam_m3", foam_m3, liquid_m3, None, "m3", "DEFINITION")
    return (foam_m3 - liquid_m3) / liquid_m3


def overrun_from_weighing(liquid_kg: float, foam_kg: float) -> float:
    """Overrun from the mass of one cup filled with liquid, then with foam (gas without mass).

    Exact but for the mass of the gas, 0.2 % of it at most.

    >>> round(overrun_from_weighing(0.238, 0.120), 3)
    0.983

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("foam_kg", foam_kg, 1e-9, None, "kg", "DEFINITION")
    require("liquid_kg", liquid_kg, foam_kg, None, "kg", "DEFINITION")
    return (liquid_kg - foam_kg) / foam_kg


def gas_fraction(overrun: float) -> float:
    """Share of the foam's volume that is gas.

    overrun: 0 or more. Exact.

    >>> gas_fraction(1.0), gas_fraction(3.0)
    (0.5, 0.75)

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("overrun", overrun, 0.0, None, "", "DEFINITION")
    return overrun / (1.0 + overrun)


def liquid_fraction(overrun: float) -> float:
    """Share of the foam's volume that is liquid; one over the expansion.

    >>> liquid_fraction(3.0)
    0.25

    Raises: OutOfRange. Source: [DEFINITION].
    """
    return 1.0 - gas_fraction(overrun)


def overrun_from_liquid_fraction(liquid_fraction: float) -> float:
    """Overrun of a foam with a liquid fraction (above 0, to 1).

    >>> overrun_from_liquid_fraction(0.25)
    3.0

    Raises: OutOfRange. Source: [DEFINITION].
    """
    return expansion(liquid_fraction) - 1.0


def expansion(liquid_fraction: float) -> float:
    """Volume of foam from one volume of liquid.

    >>> expansion(0.02)
    50.0

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("liquid_fraction", liquid_fraction, 1e-9, 1.0, "", "DEFINITION")
    return 1.0 / liquid_fraction


def density_kg_m3(liquid_fraction: float, liquid_kg_m3: float, gas_kg_m3: float = 0.0) -> float:
    """Density of a foam, kg/m3.

    liquid_fraction: 0 to 1. liquid_kg_m3 and gas_kg_m3: 0 or more. Exact.

    >>> round(density_kg_m3(1 / 1000, 998.207, 0.16631), 3)
    1.164

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("liquid_fraction", liquid_fraction, 0.0, 1.0, "", "DEFINITION")
    require("liquid_kg_m3", liquid_kg_m3, 0.0, None, "kg/m3", "DEFINITION")
    require("gas_kg_m3", gas_kg_m3, 0.0, None, "kg/m3", "DEFINITION")
    return liquid_fraction * liquid_kg_m3 + (1.0 - liquid_fraction) * gas_kg_m3


def minimum_overrun_to_float(layer_kg_m3: float, drink_kg_m3: float) -> float:
    """Least overrun at which a layer is as light as the drink below; 0 where it already is.

    Both in kg/m3, above 0, each at its own temperature. Error: that of the two densities; 2 kg/m3
    is 0.2 % overrun.

    >>> round(100 * minimum_overrun_to_float(1003.51, 983.20), 2)
    2.07

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("layer_kg_m3", layer_kg_m3, 1.0, None, "kg/m3", "DEFINITION")
    require("drink_kg_m3", drink_kg_m3, 1.0, None, "kg/m3", "DEFINITION")
    return max(0.0, layer_kg_m3 / drink_kg_m3 - 1.0)


def largest_liquid_fraction_that_floats(
    air_kg_m3: float, gas_kg_m3: float, liquid_kg_m3: float
) -> float:
    """Liquid fraction at which a foam in air is as heavy as the air; zero or less: never floats.

    air_kg_m3, gas_kg_m3: 0 to 20. liquid_kg_m3: 500 to 2000. The gas in a bubble is wet and the
    air outside is humid: give those densities. Exact.

    >>> round(largest_liquid_fraction_that_floats(1.20458, 0.16631, 998.207), 6)
    0.00104
    >>> largest_liquid_fraction_that_floats(1.20458, 1.84028, 998.207) < 0
    True

    Raises: OutOfRange. Source: [DEFINITION], Archimedes.
    """
    require("air_kg_m3", air_kg_m3, 0.0, 20.0, "kg/m3", "DEFINITION")
    require("gas_kg_m3", gas_kg_m3, 0.0, 20.0, "kg/m3", "DEFINITION")
    require("liquid_kg_m3", liquid_kg_m3, 500.0, 2000.0, "kg/m3", "DEFINITION")
    return (air_kg_m3 - gas_kg_m3) / (liquid_kg_m3 - gas_kg_m3)


def smallest_bubble_m(film_m: float, liquid_fraction: float, alone: bool = True) -> float:
    """Smallest bubble, m across, that holds no more than a liquid fraction in its films.

    film_m: 1 nm to 0.1 mm. liquid_fraction: above 0. A bubble alone (thin shell, 6 h/d) or in a
    foam, where two bubbles share a film (3 h/d); channels between bubbles come on top. Exact for
    films much thinner than the bubble.

    >>> round(1e3 * smallest_bubble_m(1e-6, 1.040e-3), 2)
    5.77

    Raises: OutOfRange. Source: [DEFINITION], geometry.
    """
    require("film_m", film_m, 1e-9, 1e-4, "m", "DEFINITION")
    require("liquid_fraction", liquid_fraction, 1e-9, 1.0, "", "DEFINITION")
    return (6.0 if alone else 3.0) * film_m / liquid_fraction


def shell_mass_kg(diameter_m: float, film_m: float, liquid_kg_m3: float) -> float:
    """Mass of the skin of a lone bubble, kg.

    diameter_m: 0.01 mm to 1 m. film_m: 1 nm to 0.1 mm. Exact for thin films.

    >>> round(1e6 * shell_mass_kg(0.030, 1e-6, 1000.0), 2)
    2.83

    Raises: OutOfRange. Source: [DEFINITION], geometry.
    """
    require("diameter_m", diameter_m, 1e-5, 1.0, "m", "DEFINITION")
    require("film_m", film_m, 1e-9, 1e-4, "m", "DEFINITION")
    require("liquid_kg_m3", liquid_kg_m3, 500.0, 2000.0, "kg/m3", "DEFINITION")
    return pi * diameter_m**2 * film_m * liquid_kg_m3


def bubble_lift_kg(
    diameter_m: float, film_m: float, air_kg_m3: float, gas_kg_m3: float, liquid_kg_m3: float
) -> float:
    """Net lift of a lone bubble in air as a mass, kg; negative where it sinks.

    Arguments as in `shell_mass_kg` and `largest_liquid_fraction_that_floats`. Exact for thin films.

    >>> round(1e6 * bubble_lift_kg(0.010, 1e-6, 1.20458, 0.16631, 998.207), 3)
    0.23

    Raises: OutOfRange. Source: [DEFINITION], Archimedes.
    """
    require("air_kg_m3", air_kg_m3, 0.0, 20.0, "kg/m3", "DEFINITION")
    require("gas_kg_m3", gas_kg_m3, 0.0, 20.0, "kg/m3", "DEFINITION")
    shell = shell_mass_kg(diameter_m, film_m, liquid_kg_m3)
    return pi * diameter_m**3 / 6.0 * (air_kg_m3 - gas_kg_m3) - shell


def edge_length_m(bubble_diameter_m: float) -> float:
    """Length of a channel between bubbles of a dry foam, m.

    bubble_diameter_m: of the sphere of the same volume, 0.01 to 50 mm. Error: exact for equal
    cells with fourteen faces.

    >>> round(1e3 * edge_length_m(1e-3), 4)
    0.359

    Raises: OutOfRange. Source: [KOEHLER-2000] V = 8 sqrt(2) L^3 (memory).
    """
    require("bubble_diameter_m", bubble_diameter_m, 1e-5, 5e-2, "m", "KOEHLER-2000")
    volume: float = pi * bubble_diameter_m**3 / 6.0 / CELL_VOLUME
    length: float = volume ** (1.0 / 3.0)
    return length


def equilibrium_liquid_fraction(
    bubble_diameter_m: float, height_m: float, surface_tension_n_m: float, liquid_kg_m3: float
) -> float:
    """Liquid fraction that drainage leaves at a height above the free liquid.

    bubble_diameter_m: as in `edge_length_m`. height_m: 1 mm to 5 m. surface_tension_n_m: 0.005 to
    0.080. liquid_kg_m3: 500 to 2000. Dry foam only: raises where the answer would be above 1 %.
    Error: order of magnitude; films come on top.

    >>> round(100 * equilibrium_liquid_fraction(3e-3, 0.050, 0.030, 1000.0), 3)
    0.055

    Raises: OutOfRange. Source: [KOEHLER-2000] constants (memory), capillary balance derived here.
    """
    require("height_m", height_m, 1e-3, 5.0, "m", "KOEHLER-2000")
    require("surface_tension_n_m", surface_tension_n_m, 0.005, 0.080, "N/m", "KOEHLER-2000")
    require("liquid_kg_m3", liquid_kg_m3, 500.0, 2000.0, "kg/m3", "KOEHLER-2000")
    channel_m = surface_tension_n_m / (liquid_kg_m3 * GRAVITY_M_S2 * height_m)
    fraction = DELTA_FRACTION * (channel_m / edge_length_m(bubble_diameter_m)) ** 2
    require("liquid fraction", fraction, 0.0, DRY_FRACTION_HIGH, "", "KOEHLER-2000")
    return fraction


def _drainage_scale_m_s(
    bubble_diameter_m: float, liquid_fraction: float, viscosity_pa_s: float, liquid_kg_m3: float
) -> float:
    require("liquid_fraction", liquid_fraction, 0.0, 0.36, "", "KOEHLER-1999")
    require("viscosity_pa_s", viscosity_pa_s, 1e-4, 100.0, "Pa s", "KOEHLER-1999")
    require("liquid_kg_m3", liquid_kg_m3, 500.0, 2000.0, "kg/m3", "KOEHLER-1999")
    edge = edge_length_m(bubble_diameter_m)
    return liquid_kg_m3 * GRAVITY_M_S2 * edge**2 / viscosity_pa_s


def drainage_velocity_rigid_m_s(
    bubble_diameter_m: float, liquid_fraction: float, viscosity_pa_s: float, liquid_kg_m3: float
) -> float:
    """Speed at which liquid runs down through a foam with stiff surfaces (proteins), m/s.

    liquid_fraction: 0 to 0.36. viscosity_pa_s: 1e-4 to 100. Error: order of magnitude.

    >>> round(1e3 * drainage_velocity_rigid_m_s(1e-3, 0.02, 1e-3, 1000.0), 2)
    0.16

    Raises: OutOfRange. Source: [KOEHLER-1999] form (read), constants (memory).
    """
    scale = _drainage_scale_m_s(bubble_diameter_m, liquid_fraction, viscosity_pa_s, liquid_kg_m3)
    return PERMEABILITY_RIGID * scale * liquid_fraction


def standing_time_range_s(height_m: float, drainage_velocity_m_s: float) -> tuple[float, float]:
    """Shortest and longest likely time until a foam has run out over its height, s.

    height_m: 1 mm to 1 m. drainage_velocity_m_s: above 0. Error: the range is a factor of three
    either way about height over velocity, and drying or collapse may come first: time your own.

    >>> [round(t) for t in standing_time_range_s(0.03, 1.6e-4)]
    [62, 562]

    Raises: OutOfRange. Source: [KOEHLER-1999] (read in part); factor [PREPKIT-FOAM].
    """
    require("height_m", height_m, 1e-3, 1.0, "m", "PREPKIT-FOAM")
    require("drainage_velocity_m_s", drainage_velocity_m_s, 1e-12, None, "m/s", "PREPKIT-FOAM")
    time = height_m / drainage_velocity_m_s
    return time / STANDING_TIME_FACTOR, time * STANDING_TIME_FACTOR


# ---- drops ----

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


# ---- citrus oil in a drink ----

# [LIMONENE-SOLUBILITY] at 25 C, kg per m3 of water; oxygenated part [TERPENE-SOLUBILITY] as citral.
LIMONENE_SOLUBLE_KG_M3 = 7.57e-3
OXYGENATED_SOLUBLE_KG_M3 = (0.30, 3.0)
# [JUDGEMENT] from this much oil on, and below this strength, an emulsifier is asked for.
NEEDS_HELP_KG_KG, NEEDS_HELP_BELOW_ABV = 10e-6, 0.40
# [ORANGE-EMULSION-2008] gum arabic over oil, by mass, as studied.
GUM_PER_OIL = (0.93, 2.0)
# [ORANGE-EMULSION-2017] drop diameters, m: 10 % gum arabic, 1 % polysorbate 80.
DROP_GUM_ARABIC_M, DROP_POLYSORBATE_M = 4.10e-6, 1.88e-6
DROP_BLENDER_M = 20e-6  # [PREPKIT-FOAM] a bar blender without an emulsifier, a guess: 10 to 50 um
# [EMULSION-DOSE] one bought emulsion: shares of oil and ester gum, usual dose in a litre of drink.
BOUGHT_OIL, BOUGHT_ESTER_GUM = 0.2612, 0.2388
BOUGHT_DOSE_KG_M3 = (1.0, 2.0)
# [BERGAMOT-1993] bergapten in bergamot oil, mass fraction.
BERGAPTEN_IN_BERGAMOT = (0.0011, 0.0032)
# [FEMA-USE-1965] use level in alcohol-free drinks, kg/kg, from memory, give or take a half.
USE_LEVEL_KG_KG = {"lemon oil": 230e-6, "orange oil": 210e-6}
USE_LEVEL_SPREAD = 0.5


def times_over_solubility(oil_kg_kg: float, liquid_kg_m3: float = 998.2) -> float:
    """How many times more oil there is than limonene dissolves in water.

    oil_kg_kg: of syrup without the oil, 0 or more. Error: a factor of two, from the published
    solubilities; sugar lowers it, alcohol raises it.

    >>> round(times_over_solubility(9130e-6), -2)
    1200.0

    Raises: OutOfRange. Source: [LIMONENE-SOLUBILITY] (read).
    """
    require("oil_kg_kg", oil_kg_kg, 0.0, None, "", "LIMONENE-SOLUBILITY")
    require("liquid_kg_m3", liquid_kg_m3, 500.0, 2000.0, "kg/m3", "LIMONENE-SOLUBILITY")
    return oil_kg_kg * liquid_kg_m3 / LIMONENE_SOLUBLE_KG_M3


def gum_arabic_needed_kg(oil_kg: float) -> tuple[float, float]:
    """Gum arabic for an oil, kg: least and most of the studied emulsions.

    >>> [round(g, 2) for g in gum_arabic_needed_kg(1.0)]
    [0.93, 2.0]

    Raises: OutOfRange. Source: [ORANGE-EMULSION-2008] (read).
    """
    require("oil_kg", oil_kg, 0.0, None, "kg", "ORANGE-EMULSION-2008")
    return oil_kg * GUM_PER_OIL[0], oil_kg * GUM_PER_OIL[1]
