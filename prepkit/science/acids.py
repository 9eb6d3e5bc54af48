"""Food acids: the one door to pH, titratable acidity and acid stock.

| module behind it | subject |
|---|---|
| acid_data | molar masses and dissociation constants |
| acid_equilibrium | charge balance: pH, ionic strength, buffer capacity |
| acid_medium | strong cations from minerals; what sugar and alcohol do |
| titration | titratable acidity, equivalents, end points |
| acid_stock | solubility, density, concentrated lactic acid, cream of tartar |
| acid_limits | daily intake and product limits |
"""

from __future__ import annotations

from prepkit.science.acid_data import (
    ACIDS,
    EQUIVALENT_KG,
    FOOD_ACIDS,
    MOLAR_MASS_KG_MOL,
    STANDARDS_ONLY,
    Acid,
)
from prepkit.science.acid_equilibrium import (
    ERROR_JUICE_HIGH,
    ERROR_JUICE_LOW,
    IONIC_STRENGTH_HIGH,
    TESTED_ACID_MOLALITY,
    Equilibrium,
    activity_coefficient,
    at_fixed_ph,
    buffer_capacity,
    equilibrium,
    ionic_strength,
    mean_charge,
    ph,
    ph_error,
    pka,
    strong_cation_at_ph,
    undissociated,
)
from prepkit.science.acid_limits import (
    MINIMUM_BRIX_EU,
    PHOSPHORIC_IN_DRINKS_KG_M3,
    acceptable_daily_intake_kg,
)
from prepkit.science.acid_medium import (
    ABV_HIGH,
    KEEPING_ABV_HIGH,
    SUGAR_HIGH,
    Equivalents,
    Shift,
    ethanol_pk_shift,
    food_acid_pk_shift,
    meter_offset_ph,
    require_medium,
    strong_cations_mol,
)
from prepkit.science.acid_stock import (
    DENSITY_ERROR,
    MISCIBLE,
    cream_of_tartar_ratio,
    density_kg_m3,
    lactic_acts_as,
    lactic_monomer,
    solubility_mass_fraction,
    solubility_range_c,
)
from prepkit.science.titration import (
    CONVENTIONS,
    Convention,
    acids_from_titration,
    equivalent_factor,
    equivalent_weight_g_mol,
    protons_titrated,
    titratable_acidity_eq_kg,
)

__all__ = [
    "ABV_HIGH",
    "ACIDS",
    "CONVENTIONS",
    "DENSITY_ERROR",
    "EQUIVALENT_KG",
    "ERROR_JUICE_HIGH",
    "ERROR_JUICE_LOW",
    "FOOD_ACIDS",
    "IONIC_STRENGTH_HIGH",
    "KEEPING_ABV_HIGH",
    "MINIMUM_BRIX_EU",
    "MISCIBLE",
    "MOLAR_MASS_KG_MOL",
    "PHOSPHORIC_IN_DRINKS_KG_M3",
    "STANDARDS_ONLY",
    "SUGAR_HIGH",
    "TESTED_ACID_MOLALITY",
    "Acid",
    "Convention",
    "Equilibrium",
    "Equivalents",
    "Shift",
    "acceptable_daily_intake_kg",
    "acids_from_titration",
    "activity_coefficient",
    "at_fixed_ph",
    "buffer_capacity",
    "cream_of_tartar_ratio",
    "density_kg_m3",
    "equilibrium",
    "equivalent_factor",
    "equivalent_weight_g_mol",
    "ethanol_pk_shift",
    "food_acid_pk_shift",
    "ionic_strength",
    "lactic_acts_as",
    "lactic_monomer",
    "mean_charge",
    "meter_offset_ph",
    "ph",
    "ph_error",
    "pka",
    "protons_titrated",
    "require_medium",
    "solubility_mass_fraction",
    "solubility_range_c",
    "strong_cation_at_ph",
    "strong_cations_mol",
    "titratable_acidity_eq_kg",
    "undissociated",
]
