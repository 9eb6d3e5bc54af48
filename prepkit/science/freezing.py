"""Freezing point of drinks and syrups."""

from __future__ import annotations

import math
from collections.abc import Mapping

from prepkit.errors import require
from prepkit.science import ethanol, salts, sucrose, water_activity

SOLIDS_HIGH = 0.625  # of solids and water: the ice-sucrose eutectic (memory)


def solids_depression_k(masses_kg: Mapping[str, float]) -> float:
    """Freezing depression by everything but ethanol and salts, K.

    masses_kg: component -> kg, with "water" (any total). Solids to 0.625 of solids and water.
    Error: 0.02 K for sucrose to 40 %, 5 % for other mixtures, 10 % with glycerol (two handbooks
    differ by that: 22.0 and 23.2 K at 50 %, here 21.4), not verified above 42 %.

    >>> round(solids_depression_k({"water": 0.8, "sucrose": 0.2}), 2)
    1.46

    Raises: OutOfRange; BadInput without water or for an unknown component.
    Source: sucrose by the fit to [CRC102] (read); other solutes add what Norrish's equation gives
    for them beside it (computed), glycerol held against [GLYCEROL-FREEZING] (read).
    """
    everything = water_activity.ln_of_solids(masses_kg)
    water_kg, sugar_kg = masses_kg["water"], masses_kg.get("sucrose", 0.0)
    solids_kg = math.fsum(masses_kg.get(name, 0.0) for name in water_activity.SOLUTES)
    share = solids_kg / (solids_kg + water_kg)
    require("dissolved solids in solids and water", share, 0.0, SOLIDS_HIGH, "", "CRC102")
    depression = sucrose.ice_depression_k(everything)
    if sugar_kg:
        alone = water_activity.ln_of_solids({"water": water_kg, "sucrose": sugar_kg})
        fit = -sucrose.freezing_point_c(sugar_kg / (sugar_kg + water_kg))
        depression += fit - sucrose.ice_depression_k(alone)
    return depression


def of_mixture_c(masses_kg: Mapping[str, float]) -> float:
    """Freezing point of a mixture, C.

    masses_kg: component -> kg, with "water" (any total). Solids to 0.625 of solids and water,
    ethanol to 0.60 of ethanol and water. Error: for one solute as for its own relation; for
    mixtures the depressions are added, an approximation that no measurement was found for.

    >>> round(of_mixture_c({"water": 0.7, "sucrose": 0.2, "ethanol": 0.1}), 1)
    -7.5

    Raises: OutOfRange, BadInput.
    Source: additive depressions per kg water, [CRC102] (read) each.
    """
    depression = solids_depression_k(masses_kg)
    spirit_kg = masses_kg.get("ethanol", 0.0)
    if spirit_kg:
        molality = 1000.0 * spirit_kg / ethanol.MOLAR_MASS_G_MOL / masses_kg["water"]
        depression += ethanol.freezing_depression_k(molality)
    if any(masses_kg.get(name) for name in salts.NAMES):
        depression += salts.depression_k(masses_kg)
    return -depression
