"""From what an instrument shows to what is there: acid, invert sugar, spirit, Baume."""

from __future__ import annotations

from bisect import bisect_right

from prepkit.errors import require
from prepkit.science import ethanol

SG_WATER_20_KG_M3 = 998.203
BAUME = 145.0  # [MOHOS-2010]
# [ACID-CORRECTION]: anhydrous citric acid % w/w -> Bx to add on the juice trade's scale.
JUICE_CORRECTION = (
    (0.0, 0.0), (1.0, 0.20), (2.0, 0.39), (4.0, 0.78), (5.0, 0.97), (6.0, 1.15), (8.0, 1.54),
    (10.0, 1.91), (15.0, 2.81), (20.0, 3.70),
)  # fmt: skip
CITRIC_BX_PER_PERCENT = 0.88  # [PREPKIT-SOLUTION]: what 1 % citric acid adds to the reading
INVERT_BX_PER_PERCENT = 0.020  # between [CRC102] 0.018, [HONEY-INDEX] 0.021 and trade 0.022
OIV_FACTOR = 1.00180  # [OIV-AS2-03B]
# [PREPKIT-SPIRIT] fit to [CRC102]: sucrose g/L by powers of (relative density - 1).
EXTRACT = (2585.06, 242.82, 217.22)


def density_from_baume(baume: float) -> float:
    """Density at 20 C, kg/m3, from degrees Baume (modulus 145), 0 to 48. Error: 0.2 kg/m3.

    >>> round(density_from_baume(4.0), 1)
    1026.5

    Raises: OutOfRange. Source: [MOHOS-2010] (read).
    """
    require("baume", baume, 0.0, 48.0, "degrees", "MOHOS-2010")
    return BAUME * SG_WATER_20_KG_M3 / (BAUME - baume)


def juice_acid_correction_bx(citric_percent: float) -> float:
    """Bx that the juice trade adds to a refractometer reading for its acid.

    citric_percent: anhydrous citric acid, % w/w, 0 to 20. Error: 0.01. It leads to total soluble
    solids on the trade's scale. For the sugar alone subtract instead: `sugar_from_reading`.

    >>> juice_acid_correction_bx(5.0)
    0.97

    Raises: OutOfRange. Source: [ACID-CORRECTION] (read), straight lines between its rows.
    """
    require("citric_percent", citric_percent, 0.0, 20.0, "% w/w", "ACID-CORRECTION")
    rows = JUICE_CORRECTION
    at = min(bisect_right(rows, (citric_percent, 1e9)) - 1, len(rows) - 2)
    (x0, y0), (x1, y1) = rows[at], rows[at + 1]
    return y0 + (y1 - y0) * (citric_percent - x0) / (x1 - x0)


def sugar_from_reading(reading_brix: float, citric_percent: float = 0.0) -> float:
    """Sugar, % w/w, from a 20 C refractometer reading without alcohol, the acid being known.

    reading_brix: 0 to 85. citric_percent: 0 to 10, from a recipe or titration. Error: 0.3.

    >>> round(sugar_from_reading(61.07, 3.85), 1)
    57.7

    Raises: OutOfRange, also where the acid alone would read more.
    Source: [PREPKIT-SOLUTION]: 0.88 Bx for each % citric acid (computed).
    """
    require("reading_brix", reading_brix, 0.0, 85.0, "Bx")
    require("citric_percent", citric_percent, 0.0, 10.0, "% w/w", "PREPKIT-SOLUTION")
    sugar = reading_brix - CITRIC_BX_PER_PERCENT * citric_percent
    require("sugar after the acid correction", sugar, 0.0, 85.0, "% w/w")
    return sugar


def solids_with_invert(reading_brix: float, invert_percent: float) -> float:
    """True solids, % w/w, from a 20 C refractometer reading of a syrup that holds invert sugar.

    reading_brix: 0 to 85. invert_percent: glucose and fructose, % w/w, 0 to 85. Error: 0.2.

    >>> round(solids_with_invert(78.4, 80.0), 1)
    80.0

    Raises: OutOfRange. Source: [CRC102] and [HONEY-INDEX] (read); the trade's factor is 0.022.
    """
    require("reading_brix", reading_brix, 0.0, 85.0, "Bx")
    require("invert_percent", invert_percent, 0.0, 85.0, "% w/w")
    return reading_brix + INVERT_BX_PER_PERCENT * invert_percent


def sugar_and_strength_quick(
    refractometer_brix: float, hydrometer_brix: float
) -> tuple[float, float]:
    """Sugar (% w/w) and strength (% vol) of an acid-free mix by the two-reading rule of thumb.

    refractometer_brix: 0 to 60. hydrometer_brix: 0 to the refractometer's. Error: 0.4 for 5 to
    40 % sugar and 15 % ethanol by mass; in practice 1 Bx and 2 % vol. Not for labels.

    >>> [round(one, 1) for one in sugar_and_strength_quick(24.0, 15.8)]
    [19.9, 13.2]

    Raises: OutOfRange.
    Source: [POBEREZHETS] (abstract read) for the mean, [PREPKIT-SOLUTION] (computed).
    """
    require("refractometer_brix", refractometer_brix, 0.0, 60.0, "Bx", "POBEREZHETS")
    require("hydrometer_brix", hydrometer_brix, 0.0, refractometer_brix, "Bx", "POBEREZHETS")
    sugar = 0.5 * (refractometer_brix + hydrometer_brix)
    return sugar, (refractometer_brix - hydrometer_brix) / (0.703 - 0.0042 * sugar)


def relative_density_without_alcohol(density_kg_m3: float, abv: float) -> float:
    """Relative density 20/20 that the drink would have with its alcohol taken out.

    density_kg_m3 at 20 C: 780 to 1400. abv: fraction by volume, 0 to 0.60.

    >>> round(relative_density_without_alcohol(1030.0, 0.12), 5)
    1.04773

    Raises: OutOfRange. Source: Tabarie's rule as in [OIV-AS2-03B] (read).
    """
    require("density_kg_m3", density_kg_m3, 780.0, 1400.0, "kg/m3", "OIV-AS2-03B")
    require("abv", abv, 0.0, 0.60, "as a fraction by volume", "OIV-AS2-03B")
    spirit = ethanol.density_kg_m3(ethanol.mass_fraction_from_abv(abv), 20.0)
    return OIV_FACTOR * (density_kg_m3 - spirit) / 1000.0 + 1.0


def extract_g_l(density_kg_m3: float, abv: float) -> float:
    """Sugar, g/L, of a sweet drink from its density at 20 C and its known strength.

    Error: 3 g/L below 20 % vol, at least 3 % of the sugar above, where it was not verified: weigh
    the sugar in instead. Ranges as for `relative_density_without_alcohol`, result 0 to 772.

    >>> round(extract_g_l(1030.0, 0.12), 1)
    124.0

    Raises: OutOfRange, also where the strength given leaves less than no sugar.
    Source: [OIV-AS2-03B] (read), inverted by a fit to [CRC102] (computed).
    """
    x = relative_density_without_alcohol(density_kg_m3, abv) - 1.0
    a, b, c = EXTRACT
    found = x * (a + x * (b + x * c))
    require("sugar by density and strength", found, 0.0, 772.0, "g/L", "OIV-AS2-03B")
    return found


def delle_units(sugar_g_l: float, abv: float) -> float:
    """Sugar in g per 100 mL plus 4.5 times % vol: an index of wine yeast, never a verdict.

    sugar_g_l: 0 to 900. abv: fraction by volume, 0 to 1. About 78 stops wine yeast; it says nothing
    of yeasts that stand sugar, of mould on the surface, or of juice solids.

    >>> delle_units(200.0, 0.15)
    87.5

    Raises: OutOfRange. Source: [KUNKEE-AMERINE-1968] (read).
    """
    require("sugar_g_l", sugar_g_l, 0.0, 900.0, "g/L", "KUNKEE-AMERINE-1968")
    require("abv", abv, 0.0, 1.0, "as a fraction by volume", "KUNKEE-AMERINE-1968")
    return sugar_g_l / 10.0 + 4.5 * 100.0 * abv


def specific_gravity(density_kg_m3: float) -> float:
    """Relative density 20/20 from the density at 20 C, kg/m3.

    >>> round(specific_gravity(1229.65), 4)
    1.2319

    Raises: OutOfRange. Source: division by 998.203 kg/m3 [SPS-4].
    """
    require("density_kg_m3", density_kg_m3, 600.0, 2000.0, "kg/m3")
    return density_kg_m3 / SG_WATER_20_KG_M3
