"""Acids in the bottle: how much dissolves, how dense the solution is, what its label means."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Mapping
from typing import NamedTuple

from prepkit.errors import UnknownIngredient, require
from prepkit.science import solution
from prepkit.science.acid_data import ACIDS, ZERO_C_K
from prepkit.science.acid_equilibrium import activity_coefficient, equilibrium, undissociated


class Solubility(NamedTuple):
    """Saturated mass fractions by temperature, with where they come from."""

    points: tuple[tuple[float, float], ...]
    source: str
    obtained: str


# Saturation, C -> kg acid per kg solution, anhydrous.
SOLUBILITY: dict[str, Solubility] = {
    "citric": Solubility(
        # 382.48 g in 100 ml of water at 80 C; at 100 C the lower of two, 84 % and 547.79 g.
        (
            (10.0, 0.540),
            (20.0, 0.592),
            (30.0, 0.643),
            (40.0, 0.686),
            (80.0, 382.48 / 482.48),
            (100.0, 0.840),
        ),
        "CITRIC-SOLUBILITY",
        "read",
    ),
    # L- or D-tartaric acid, 139 g in 100 g water; the racemic acid only 21 g.
    "tartaric": Solubility(((20.0, 139.0 / 239.0),), "TARTARIC-SOLUBILITY", "read"),
    # 1 g in 159 ml of water at 25 C (997.05 g/L).
    "fumaric": Solubility(((25.0, 1.0 / (1.0 + 159.0 * 0.99705)),), "FUMARIC-SUPPLIER", "read"),
    # Taken at the low end of 6 to 8 g, and at 33 g, in 100 ml of water.
    "succinic": Solubility(
        ((20.0, 6.0 / 106.0), (25.0, 6.0 / 106.0)), "ACID-SOLUBILITY-MEMORY", "memory"
    ),
    "ascorbic": Solubility(
        ((20.0, 33.0 / 133.0), (25.0, 33.0 / 133.0)), "ACID-SOLUBILITY-MEMORY", "memory"
    ),
}
# Malic acid, L or DL: ln m = a + b/T + c ln T, m in mol/kg water.
MALIC_SOLUBILITY = (-113.096, 3707.6, 18.075)
MALIC_LOW_C, MALIC_HIGH_C = 0.0, 50.0
MISCIBLE = frozenset({"lactic", "acetic", "phosphoric"})

# Density of the solution at 20 C, kg acid per kg solution -> kg/m3.
WATER_20_C = 998.2
DENSITY: dict[str, tuple[tuple[float, float], ...]] = {
    "citric": (
        (0.0, WATER_20_C),
        (0.01, 1002.2),
        (0.05, 1018.9),
        (0.10, 1040.2),
        (0.20, 1085.8),
        (0.30, 1134.6),
    ),
    "lactic": (
        (0.0, WATER_20_C),
        (0.01, 1000.2),
        (0.05, 1008.6),
        (0.10, 1019.9),
        (0.20, 1043.9),
        (0.40, 1091.5),
        (0.60, 1139.2),
        (0.80, 1184.8),
    ),
    "acetic": (
        (0.0, WATER_20_C),
        (0.01, 999.6),
        (0.05, 1005.2),
        (0.10, 1012.1),
        (0.20, 1025.0),
        (0.40, 1047.4),
        (0.60, 1062.9),
    ),
    # Specific gravity 20/4 times the density of water at 4 C.
    "malic": (
        (0.0, WATER_20_C),
        (0.05, 1.019 * 999.97),
        (0.10, 1.039 * 999.97),
        (0.20, 1.080 * 999.97),
        (0.30, 1.123 * 999.97),
        (0.40, 1.169 * 999.97),
    ),
}
# Specific volume is nearly straight between the rows: what the straight line misses.
DENSITY_ERROR = {"citric": 0.5, "lactic": 1.0, "acetic": 1.5, "malic": 1.0, "phosphoric": 1.5}
PHOSPHORIC_HIGH = 0.85

# Lactic acid esterifies with itself: equilibrium constant of the dimer chain.
LACTIC_CONSTANT = 0.2023
WATER_G_MOL = 18.015

# Ion product of potassium hydrogen tartrate at saturation, 25 C, with activity coefficients: from
# the buffer standard saturated at 25 C (0.0341 mol/kg, pH 3.557).
CREAM_OF_TARTAR_ION_PRODUCT = 5.33e-4


def solubility_range_c(acid: str) -> tuple[float, float]:
    """Temperatures between which the solubility of an acid is known, C.

    >>> solubility_range_c("citric")
    (10.0, 100.0)

    Raises: UnknownIngredient for an acid without a published figure.
    Source: as `solubility_mass_fraction`.
    """
    if acid in MISCIBLE or acid == "malic":
        return MALIC_LOW_C, MALIC_HIGH_C
    if acid not in SOLUBILITY:
        names = ", ".join(sorted({*SOLUBILITY, *MISCIBLE, "malic"}))
        raise UnknownIngredient(f"no solubility is known for {acid!r}; known are {names}.", "acid")
    points = SOLUBILITY[acid].points
    return points[0][0], points[-1][0]


def solubility_mass_fraction(acid: str, temperature_c: float) -> float:
    """Most of an acid that stays dissolved in water, kg per kg solution (anhydrous basis).

    Straight lines between published rows, for malic acid a published equation (0 to 50 C). Citric
    acid 10 to 100 C, tartaric 20 C, fumaric 25 C, succinic and ascorbic 20 to 25 C. Lactic, acetic
    and phosphoric acid mix in every proportion: 1.0. Error: 1 % of the solution for read rows;
    succinic and ascorbic acid are rough.

    >>> round(solubility_mass_fraction("malic", 20.0), 3)
    0.555

    Raises: OutOfRange outside those temperatures, UnknownIngredient.
    Source: [CITRIC-SOLUBILITY], [APELBLAT-1995], [TARTARIC-SOLUBILITY], [FUMARIC-SUPPLIER] (read);
    the rest memory.
    """
    low, high = solubility_range_c(acid)
    source = SOLUBILITY[acid].source if acid in SOLUBILITY else "APELBLAT-1995"
    require("temperature_c", temperature_c, low, high, "C", source)
    if acid in MISCIBLE:
        return 1.0
    if acid == "malic":
        t = temperature_c + ZERO_C_K
        a, b, c = MALIC_SOLUBILITY
        grams = math.exp(a + b / t + c * math.log(t)) * ACIDS["malic"].molar_mass_g_mol
        return grams / (1000.0 + grams)
    return _between(SOLUBILITY[acid].points, temperature_c)


def _between(points: tuple[tuple[float, float], ...], x: float) -> float:
    place = bisect_left(points, (x,))
    if place < len(points) and points[place][0] == x:
        return points[place][1]
    (x0, y0), (x1, y1) = points[place - 1], points[place]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def density_kg_m3(acid: str, mass_fraction: float) -> float:
    """Density of an acid in water at 20 C, kg/m3.

    Straight in specific volume between published rows: citric to 0.30, malic to 0.40, lactic to
    0.80, acetic to 0.60. Phosphoric acid, to 0.85, as in `solution.density_kg_m3`, whose fit bends
    with its few rows. Error: DENSITY_ERROR (0.5 to 1.5 kg/m3).

    >>> round(density_kg_m3("citric", 0.06))
    1023

    Raises: OutOfRange, UnknownIngredient for an acid without published rows.
    Source: [CRC102], [LANGE-SINKS-1930], phosphoric 0.75 and 0.85 [LALIBERTE-2009] (read), 0.50
    within 1.33 to 1.34 [ECHA-PHOSPHORIC] (read).
    """
    if acid == "phosphoric":
        require("mass_fraction", mass_fraction, 0.0, PHOSPHORIC_HIGH, "kg/kg", "LALIBERTE-2009")
        return solution.density_kg_m3({acid: mass_fraction})
    if acid not in DENSITY:
        names = ", ".join(sorted((*DENSITY, "phosphoric")))
        raise UnknownIngredient(
            f"no density rows are known for {acid!r}; known are {names}.", "acid"
        )
    rows = DENSITY[acid]
    require("mass_fraction", mass_fraction, 0.0, rows[-1][0], "kg/kg", "CRC102")
    return 1.0 / _between(tuple((w, 1.0 / rho) for w, rho in rows), mass_fraction)


def _lactic_bound_share(mass_fraction_label: float) -> float:
    require("mass_fraction_label", mass_fraction_label, 0.0, 0.95, "kg/kg", "VU-2005")
    lactic = mass_fraction_label / ACIDS["lactic"].molar_mass_g_mol
    water = (1.0 - mass_fraction_label) / WATER_G_MOL
    # p (water + p lactic) = K lactic (1 - p)^2, a quadratic in the share p of bound ends
    a = lactic * (1.0 - LACTIC_CONSTANT)
    b = water + 2.0 * LACTIC_CONSTANT * lactic
    c = -LACTIC_CONSTANT * lactic
    return -2.0 * c / (b + math.sqrt(b * b - 4.0 * a * c))


def lactic_acts_as(mass_fraction_label: float) -> float:
    """Mass fraction as which a lactic acid titrates cold and at once after dilution.

    mass_fraction_label: as sold, 0 to 0.95, all lactic acid counted as monomer. In strong acid
    part is bound as an ester of itself; it comes back in hours to weeks after dilution below 30 %,
    faster warm. Error: 0.02 of the label.

    >>> round(lactic_acts_as(0.88), 2)
    0.73

    Raises: OutOfRange. Source: [VU-2005] constant and equations (read), figures computed.
    """
    return mass_fraction_label * (1.0 - _lactic_bound_share(mass_fraction_label))


def lactic_monomer(mass_fraction_label: float) -> float:
    """Mass fraction of true, unbound lactic acid in a lactic acid as sold.

    >>> round(lactic_monomer(0.80), 2)
    0.63

    Range, error and source as `lactic_acts_as`. Raises: OutOfRange.
    """
    return mass_fraction_label * (1.0 - _lactic_bound_share(mass_fraction_label)) ** 2


def cream_of_tartar_ratio(
    molalities: Mapping[str, float],
    potassium_molality: float,
    strong_cation_molality: float | None = None,
) -> float:
    """How near potassium and tartaric acid stand to dropping cream of tartar, at 25 C.

    Ion product over its value at saturation: above 1 potassium hydrogen tartrate can crystallise,
    in days perhaps, and the more so cold or with alcohol; colder limits were not verified.
    molalities as for `ph`, with `tartaric`; potassium and strong cations in mol and equivalents
    per kg water (strong cations: potassium alone when not given). Error: 15 %.

    >>> round(cream_of_tartar_ratio({"tartaric": 0.0341}, 0.0341), 2)
    1.0

    Raises: OutOfRange, UnknownIngredient.
    Source: from the hydrogen tartrate pH standard, [IUPAC-2002] (memory).
    """
    require("potassium_molality", potassium_molality, 0.0, None, "mol/kg water")
    strong = potassium_molality if strong_cation_molality is None else strong_cation_molality
    shares = undissociated(molalities, strong).get("tartaric")
    if shares is None:
        return 0.0
    gamma = activity_coefficient(1, equilibrium(molalities, strong).ionic_strength)
    return potassium_molality * shares[1] * gamma**2 / CREAM_OF_TARTAR_ION_PRODUCT


__all__ = [
    "DENSITY_ERROR",
    "MISCIBLE",
    "cream_of_tartar_ratio",
    "density_kg_m3",
    "lactic_acts_as",
    "lactic_monomer",
    "solubility_mass_fraction",
    "solubility_range_c",
]
