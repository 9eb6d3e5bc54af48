"""Titratable acidity: what a burette finds, and the ways in which trades write it down.

Chromatography and recipes count an acid with its salts; a titration finds only the part that
potassium and the like have not neutralised already: TA = sum m n - strong cations.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from prepkit.errors import BadInput, UnknownIngredient, require
from prepkit.science.acid_data import ACIDS, FOOD_ACIDS, WEIGHED_FORMS
from prepkit.science.acid_equilibrium import at_fixed_ph, known_acid

# A titration flask holds the sample diluted: mol of acid per kg of water in it.
FLASK_MOLALITY = 0.02
PH_END_LOW, PH_END_HIGH = 6.5, 9.0


class Convention(NamedTuple):
    """A way to titrate: end point, the acids it is written as, who says so."""

    ph_end: float
    written_as: tuple[str, ...]
    source: str


#: End points in use. IFU titrates malic and tartaric juices to 7.0, citric juices to 8.1.
CONVENTIONS = {
    "wine": Convention(7.0, ("tartaric", "sulfuric"), "OIV-AS313-01"),  # [OIV-AS313-01-MEMORY]
    "juice": Convention(8.1, ("citric", "malic", "tartaric"), "IFU-3"),
    "fruit products": Convention(
        8.1, ("citric_monohydrate", "malic", "tartaric", "acetic"), "AOAC-942-MEMORY"
    ),
    "dairy": Convention(8.3, ("lactic",), "PREPKIT-TRADE-ACID"),
}


def equivalent_weight_g_mol(acid: str) -> float:
    """Grams of an acid per equivalent, i.e. per mol of protons that a titration takes.

    Also knows `citric_monohydrate` and `sulfuric`. Phosphoric acid counts two protons, ascorbic
    acid one.

    >>> round(equivalent_weight_g_mol("citric"), 3)
    64.041

    Raises: UnknownIngredient.
    Source: molar masses (IUPAC weights); factors of [AOAC-942] (read).
    """
    if acid in WEIGHED_FORMS:
        molar_mass, protons = WEIGHED_FORMS[acid]
        return molar_mass / protons
    if acid not in ACIDS:
        names = ", ".join((*FOOD_ACIDS, *WEIGHED_FORMS))
        raise UnknownIngredient(
            f"{acid!r} has no equivalent weight here; known are {names}.", "acid"
        )
    row = ACIDS[acid]
    return row.molar_mass_g_mol / row.equivalents


def equivalent_factor(acid: str, as_acid: str) -> float:
    """Grams of `as_acid` that neutralise as much base as one gram of `acid`.

    >>> round(10.0 * equivalent_factor("tartaric", "citric"), 3)
    8.534

    Raises: UnknownIngredient. Source: as `equivalent_weight_g_mol`; exact but for phosphoric acid,
    which gives up 1.5 protons to pH 7 and 1.95 to pH 8.2 (see `protons_titrated`).
    """
    return equivalent_weight_g_mol(as_acid) / equivalent_weight_g_mol(acid)


def protons_titrated(
    acid: str,
    ph_end: float,
    flask_molality: float = FLASK_MOLALITY,
    temperature_c: float = 25.0,
) -> float:
    """Protons per molecule that a titration takes from an acid up to an end point.

    flask_molality: mol of the acid per kg of water in the flask, to 0.1. Range: end point
    pH 6.5 to 9, 0 to 50 C. Error: 0.01, phosphoric acid 0.03.

    >>> round(protons_titrated("phosphoric", 7.0), 1)
    1.5

    Raises: OutOfRange, UnknownIngredient. Source: charge balance, [PREPKIT-ACID] (computed).
    """
    require("flask_molality", flask_molality, 1e-6, 0.1, "mol/kg water")
    taken = _taken({known_acid(acid): flask_molality}, ph_end, temperature_c)
    return taken / flask_molality


def _taken(molalities: Mapping[str, float], ph_end: float, temperature_c: float) -> float:
    """Equivalents that all acids of a flask have lost at the end point."""
    require("ph_end", ph_end, PH_END_LOW, PH_END_HIGH, "pH")
    return at_fixed_ph(molalities, ph_end, temperature_c).acid_charge


def titratable_acidity_eq_kg(
    molalities: Mapping[str, float],
    strong_cation_molality: float = 0.0,
    ph_end: float = 8.2,
    temperature_c: float = 25.0,
) -> float:
    """Titratable acidity in equivalents per kg of water: acids less the strong cations.

    molalities: acid name -> total mol per kg water (acid with its salts);
    strong_cation_molality: equivalents per kg water, negative for strong anions. A negative answer
    means that the liquid stands above the end point already. Range: end point pH 6.5 to 9,
    0 to 50 C. Error: 1 %, phosphoric acid 2 %.

    >>> round(titratable_acidity_eq_kg({"citric": 0.1}), 2)
    0.3

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-ACID] (computed); end point 8.2 is
    the phenolphthalein colour change (practice).
    """
    require("strong_cation_molality", strong_cation_molality, None, None, "mol/kg water")
    for name, molality in molalities.items():
        require(f"molality of {name} acid", molality, 0.0, None, "mol/kg water")
    whole = math.fsum(molalities.values())
    dilution = FLASK_MOLALITY / whole if whole > FLASK_MOLALITY else 1.0
    flask = {name: molality * dilution for name, molality in molalities.items()}
    return _taken(flask, ph_end, temperature_c) / dilution - strong_cation_molality


def acids_from_titration(
    titratable_eq_kg: float,
    mole_shares: Mapping[str, float],
    strong_cation_molality: float = 0.0,
    ph_end: float = 8.2,
    temperature_c: float = 25.0,
) -> dict[str, float]:
    """Total acid molalities of a liquid from its titration: TA and cations together.

    titratable_eq_kg: equivalents per kg water found by titration; mole_shares: acid name -> parts
    by moles. The strong cations are added to what was titrated, once: give the answer to `ph`
    with the same strong_cation_molality. Range and error as `titratable_acidity_eq_kg`.

    >>> acids = acids_from_titration(0.3, {"citric": 1.0}, strong_cation_molality=0.03)
    >>> round(acids["citric"], 2)
    0.11

    Raises: OutOfRange, UnknownIngredient, BadInput without a positive share.
    Source: [PREPKIT-ACID] (computed).
    """
    require("titratable_eq_kg", titratable_eq_kg, 0.0, None, "eq/kg water")
    require("strong_cation_molality", strong_cation_molality, None, None, "mol/kg water")
    parts = math.fsum(mole_shares.values())
    if not parts > 0.0:
        raise BadInput(
            "mole_shares must name at least one acid with a share above 0.", "mole_shares"
        )
    found = max(titratable_eq_kg + strong_cation_molality, 0.0)
    total = 0.5 * found
    # The protons per molecule depend a little on the strength in the flask: two or three passes.
    for _ in range(30):  # pragma: no branch (ends by its break; the cap is against a hang)
        shares = {name: total * share / parts for name, share in mole_shares.items()}
        taken = titratable_acidity_eq_kg(shares, 0.0, ph_end, temperature_c)
        if taken <= 0.0 or abs(taken - found) <= 1e-12 * found:
            break
        total *= found / taken
    return {name: total * share / parts for name, share in mole_shares.items()}


__all__ = [
    "CONVENTIONS",
    "Convention",
    "acids_from_titration",
    "equivalent_factor",
    "equivalent_weight_g_mol",
    "protons_titrated",
    "titratable_acidity_eq_kg",
]
