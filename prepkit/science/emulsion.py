"""Citrus oil in a drink: how much there is, how little dissolves, what holds it up.

Published contents of oil in peel differ by a factor of ten: a load is always a range.
"""

from __future__ import annotations

from prepkit.errors import require

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
