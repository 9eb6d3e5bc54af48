"""Water activity of sugars, acids, glycerol and ethanol in water, 25 C.

Information, never a verdict on keeping: surface mould, yeasts that stand sugar, and pH decide too.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from math import exp, log, sqrt
from types import MappingProxyType

from prepkit.errors import BadInput, require
from prepkit.science import ethanol, salts
from prepkit.science.sucrose import MOLAR_MASS_G_MOL as SUCROSE_G_MOL
from prepkit.science.sucrose import NORRISH_K, WATER_G_MOL

# Molar mass in g/mol [IUPAC-WEIGHTS] and the constant K of Norrish's equation.
# sucrose, glucose, maltose [CHIRIFE-1980] (memory); fructose, glycerol [SCISUIT] (read). K = 0 is
# Raoult's law: acids below 10 %, and other dissolved solids, which count as a hexose (assumption).
SOLUTES = MappingProxyType(
    {
        "sucrose": (SUCROSE_G_MOL, NORRISH_K),
        "glucose": (180.156, 2.25),
        "fructose": (180.156, 2.15),
        "maltose": (342.297, 4.54),
        "lactose": (342.297, 4.54),
        "glycerol": (92.094, 1.16),
        "citric": (192.124, 0.0),
        "malic": (134.087, 0.0),
        "tartaric": (150.087, 0.0),
        "lactic": (90.078, 0.0),
        "acetic": (60.052, 0.0),
        "phosphoric": (97.994, 0.0),
        "succinic": (118.088, 0.0),
        "fumaric": (116.072, 0.0),
        "ascorbic": (176.124, 0.0),
        "other_solubles": (180.156, 0.0),
        # [ALDITOLS] (read); allulose as fructose, isomalt as maltose (assumption)
        "erythritol": (122.12, 1.34),
        "xylitol": (152.15, 1.66),
        "sorbitol": (182.17, 1.65),
        "allulose": (180.156, 2.15),
        "isomalt": (344.31, 4.54),
    }
)
_TERMS = {name: (1.0 / molar, sqrt(k)) for name, (molar, k) in SOLUTES.items()}

# Van Laar constants of water in ethanol and water, 25 C [PREPKIT-SPIRIT].
VAN_LAAR_A, VAN_LAAR_B = 1.54677, 0.95418

SOLIDS_WELL_TESTED, SOLIDS_HIGH = 0.70, 0.80
ERROR_SUCROSE, ERROR_MIXED, ERROR_RICH, ERROR_SPIRIT = 0.002, 0.01, 0.02, 0.015


def of_ethanol(mass_fraction: float) -> float:
    """Water activity of ethanol and water at 25 C.

    mass_fraction: of ethanol, 0 to 0.95. Error: 0.01 (the fit itself 0.0013).

    >>> round(of_ethanol(0.3330), 3)
    0.884

    Raises: OutOfRange.
    Source: van Laar fit [PREPKIT-SPIRIT] to a library's group-contribution values (computed);
    95 % vol as measured by [ALLAN-2019] (read).
    """
    require("mass_fraction", mass_fraction, 0.0, 0.95, "of ethanol", "PREPKIT-SPIRIT")
    spirit = mass_fraction / ethanol.MOLAR_MASS_G_MOL
    x = spirit / (spirit + (1.0 - mass_fraction) / WATER_G_MOL)
    share = VAN_LAAR_A * x / (VAN_LAAR_A * x + VAN_LAAR_B * (1.0 - x))
    return (1.0 - x) * exp(VAN_LAAR_B * share * share)


def ln_of_solids(masses_kg: Mapping[str, float]) -> float:
    """Logarithm of the water activity of all but ethanol and salts, each with all the water.

    masses_kg: component -> kg, with "water"; ethanol and salts are passed over. Solids to 0.80 of
    solids and water. Error: see `of_mixture`.

    >>> round(ln_of_solids({"water": 1.0, "sucrose": 1.0}), 4)
    -0.0675

    Raises: OutOfRange; BadInput for an unknown component or no water.
    Source: Norrish's equation for mixtures [CHIRIFE-1980] (memory).
    """
    water_kg = masses_kg.get("water", 0.0)
    if not water_kg > 0.0:
        raise BadInput("water activity needs water in the mixture; none was given.", "water")
    solutes = moles = weighted = 0.0
    for name, mass_kg in masses_kg.items():
        if not 0.0 <= mass_kg < 1e12:
            require(name, mass_kg, 0.0, 1e12, "kg")
        if name in _TERMS:
            per_g, root_k = _TERMS[name]
            amount = mass_kg * per_g
            solutes += mass_kg
            moles += amount
            weighted += root_k * amount
        elif name not in ("water", "ethanol", *salts.NAMES):
            raise BadInput(
                f'"{name}" has no water activity constant; known are water, ethanol, '
                f"{', '.join(SOLUTES)}.",
                name,
            )
    if not moles:
        return 0.0
    share = solutes / (solutes + water_kg)
    require("dissolved solids in solids and water", share, 0.0, SOLIDS_HIGH, "", "CHIRIFE-1980")
    total = moles + water_kg / WATER_G_MOL
    return log(1.0 - moles / total) - (weighted / total) ** 2


def of_mixture(masses_kg: Mapping[str, float]) -> tuple[float, float]:
    """Water activity of a mixture at 25 C, and its error, plus or minus.

    masses_kg: component -> kg, with "water" (any total). Solids to 0.80 of solids and water,
    ethanol to 0.95 of ethanol and water. Error: 0.002 for sucrose and water to 70 %, 0.01 with
    other solids, 0.02 above 70 % solids, 0.015 with ethanol and solids. Measured wines lie 0.01
    lower than such sums.

    >>> value, error = of_mixture({"water": 0.5, "sucrose": 0.5})
    >>> round(value, 3), error
    (0.935, 0.002)

    Raises: OutOfRange, BadInput.
    Source: Ross product of `of_ethanol`, the solids and `salts` (memory), no ternary measurement
    was read.
    """
    solids = exp(ln_of_solids(masses_kg))
    water_kg, spirit_kg = masses_kg["water"], masses_kg.get("ethanol", 0.0)
    dry_kg = math.fsum(masses_kg.get(name, 0.0) for name in _TERMS)
    value = solids
    error = ERROR_SUCROSE
    if dry_kg > masses_kg.get("sucrose", 0.0) + 1e-9 * water_kg:
        error = ERROR_MIXED
    if dry_kg > SOLIDS_WELL_TESTED * (dry_kg + water_kg):
        error = ERROR_RICH
    if spirit_kg:
        value *= of_ethanol(spirit_kg / (spirit_kg + water_kg))
        error = max(error, ERROR_SPIRIT if dry_kg else ERROR_MIXED)
    if any(masses_kg.get(name) for name in salts.NAMES):
        by_salts, salt_error = salts.ln_water_activity(masses_kg)
        value *= exp(by_salts)
        alone = not dry_kg and not spirit_kg
        error = max(salt_error if alone else ERROR_MIXED, error if not alone else 0.0)
    return value, error
