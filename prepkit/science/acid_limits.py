"""What authorities say about acids: daily intake, drinks, minimum Brix of juice."""

from __future__ import annotations

from prepkit.errors import UnknownIngredient, require
from prepkit.science.acid_data import ACIDS, PHOSPHORUS_G_MOL

# Acceptable daily intake in kg per kg of body.
TARTARIC_ADI = 240e-6  # L(+)-tartaric acid and its salts as acid, [EFSA-2020-TARTARIC] (read)
PHOSPHORUS_ADI = 40e-6  # as phosphorus, all phosphates together, [EFSA-2019-PHOSPHATES] (read)
# Phosphoric acid in flavoured drinks, EU: 700 mg/L as P2O5, [EU-1333-2008] (memory).
PHOSPHORIC_IN_DRINKS_KG_M3 = 0.966
# Titratable acidity of lemon juice from concentrate, as anhydrous citric acid (older US rule).
LEMON_FROM_CONCENTRATE_ACIDITY = 0.045
#: Least Brix of juice made from concentrate, [EU-2001-112] as amended (read).
MINIMUM_BRIX_EU = {
    "lemon": 8.0,
    "orange": 11.2,
    "grapefruit": 10.0,
    "mandarin": 11.2,
    "pineapple": 12.8,
    "apple": 11.2,
    "passion fruit": 12.0,
    "blackcurrant": 11.0,
    "grape": 15.9,
    "sour cherry": 13.5,
    "strawberry": 7.0,
    "raspberry": 7.0,
}


def acceptable_daily_intake_kg(acid: str, body_kg: float) -> float:
    """Acceptable daily intake of tartaric or phosphoric acid for a person, kg per day.

    Phosphoric acid from the group figure for phosphorus, which other foods use up as well (children
    exceed it often). Citric, malic, lactic and acetic acid have no numerical figure.

    >>> round(1000 * acceptable_daily_intake_kg("tartaric", 70.0), 1)
    16.8

    Raises: OutOfRange for the body mass (1 to 300 kg), UnknownIngredient for another acid.
    Source: [EFSA-2020-TARTARIC], [EFSA-2019-PHOSPHATES] (read).
    """
    require("body_kg", body_kg, 1.0, 300.0, "kg")
    if acid == "tartaric":
        return TARTARIC_ADI * body_kg
    if acid == "phosphoric":
        return PHOSPHORUS_ADI * body_kg * ACIDS["phosphoric"].molar_mass_g_mol / PHOSPHORUS_G_MOL
    raise UnknownIngredient(
        f"{acid!r} has no numerical daily intake here; tartaric and phosphoric acid have.", "acid"
    )


__all__ = [
    "LEMON_FROM_CONCENTRATE_ACIDITY",
    "MINIMUM_BRIX_EU",
    "PHOSPHORIC_IN_DRINKS_KG_M3",
    "PHOSPHORUS_ADI",
    "TARTARIC_ADI",
    "acceptable_daily_intake_kg",
]
