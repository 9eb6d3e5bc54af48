"""What one person gets in one serve: everyday things that poison by the spoon.

The same facts and limits for every calculator that knows what one serve is; the words stand in
data/cautions/serve.toml. A serve at a limit shows nothing that reads like a go-ahead.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from prepkit import derived
from prepkit.mixture import Mixture
from prepkit.pantry import Part
from prepkit.shared import drink_units

SODIUM_IN_SALT = 0.393  # g in 1 g of salt [WHO-SALT]
NUTMEG_DOSE_G = 5.0  # the least that was taken for effect [NUTMEG-DOSES]
MEASURE_ML = 60.0  # a generous measure of an infusion, judged as one serve (JUDGEMENT)
NUTMEG = "nutmeg"  # tag of nutmeg and mace
_DRY = 0.2  # of a spice is water at most: what holds more is made with it, and is not it
POWDERS = frozenset(
    ("citric-powder", "malic-powder", "tartaric-powder", "fumaric-powder", "succinic-powder",
     "corrosive-acid")
)  # fmt: skip
#: Fact to the figure from which one serve is a stop.
STOPS: Mapping[str, float] = {
    "serve_ethanol_g": 56.0,  # four US standard drinks in about two hours [NIAAA-BINGE]
    "serve_salt_g": 5.0,  # a whole day's salt, and sodium counted as salt [WHO-SALT]
    "serve_potassium_g": 3.0,  # a day's supplement without harm in adults [EFSA-2005-POTASSIUM]
    "serve_nutmeg_g": NUTMEG_DOSE_G / 5.0,  # a fifth of the least dose (JUDGEMENT)
    "serve_stock_percent": 6.0,  # as citric, where acid was added: lemon juice (JUDGEMENT)
    "serve_acid_g": 15.0,  # as citric: a quarter of a litre of lemon juice (JUDGEMENT)
}


def nutmeg_g(parts: Iterable[Part]) -> float:
    """Nutmeg and mace among the parts, g, each at the upper end of its ±: the one count of it.

    What was made with them is not counted here: how much of it is nutmeg its mixture cannot say.
    """
    return math.fsum(
        1000.0
        * one.mass_kg
        * (1.0 + (one.amount.plus_minus / float(one.amount) if one.amount else 0.0))
        for part in parts
        for one in part.each
        if _is_nutmeg(one)
    )


def _is_nutmeg(part: Part) -> bool:
    mixture = part.ingredient.mixture
    itself = part.ingredient.group == "spice" or mixture.fraction("water") < _DRY
    return NUTMEG in mixture.tags and itself


def nutmeg_in_a_measure_g(plants: Iterable[Part], liquids: Iterable[Part]) -> float:
    """Nutmeg put in for a measure of 60 ml of the liquid, g; with no liquid all of it."""
    found = nutmeg_g(plants)
    if not found:
        return 0.0
    poured = Mixture.total(part.mixture for part in liquids)
    ml = derived.volume_ml(poured) or 1000.0 * poured.mass_kg
    return found * min(MEASURE_ML / ml, 1.0) if ml > 0.0 else found


def facts(one: Mixture, nutmeg: float = 0.0) -> dict[str, float]:
    """What one serve holds, g; `nutmeg` is that of one serve, g."""
    sodium_g = 1000.0 * (one.of("sodium") + SODIUM_IN_SALT * one.of("salt"))
    citric = one.acidity_as_citric
    ethanol_g = 1000.0 * one.ethanol_kg
    return {
        "serve_ethanol_g": ethanol_g,
        "serve_us_drinks": drink_units.us_drinks(ethanol_g),
        "serve_salt_g": sodium_g / SODIUM_IN_SALT,
        "serve_potassium_g": 1000.0 * one.of("potassium"),
        "serve_nutmeg_g": nutmeg,
        "serve_acid_g": 1000.0 * citric * one.mass_kg,
        "serve_stock_percent": 0.0 if POWDERS.isdisjoint(one.tags) else 100.0 * citric,
    }


def stops(found: Mapping[str, float]) -> frozenset[str]:
    """The facts that are at or past their figure."""
    return frozenset(name for name, limit in STOPS.items() if found[name] >= limit)
