"""Foam: how much gas it holds, what it weighs, whether it floats, how fast it drains.

All volume fractions are of the foam. Overrun is a fraction of the liquid's volume: an overrun of
1 (100 %) is half gas.
"""

from __future__ import annotations

from math import pi, sqrt

from prepkit.errors import require

GRAVITY_M_S2 = 9.80665
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
