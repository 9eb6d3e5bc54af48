"""Coffee: extraction yield, and dissolved solids from a refractometer."""

from __future__ import annotations

from prepkit.errors import require

SOLIDS_PER_BRIX = 0.85  # [COFFEE-BRIX] 0.849 +/- 0.004 (read)
HELD_KG_KG = 2.05  # water held by a filter bed per dose, 2.0 to 2.1 (practice)
# [SCAA] (read): dose per litre of water, +/- 10 %, and water temperature
GOLDEN_CUP_G_L, GOLDEN_CUP_SPREAD, BREW_C, BREW_SPREAD_C = 55.0, 0.10, 93.0, 3.0
SPECIFIC_HEAT_J_KG_K = 4190.0  # as water
MOST_EXTRACTED = 0.35  # beyond what any coffee or tea gives: a slip in the weights (JUDGEMENT)


def extraction_percolation(solids: float, beverage_kg: float, dose_kg: float) -> float:
    """Share of the dose that is in the cup: espresso and filter, the liquid in the bed not counted.

    solids: dissolved solids of the beverage as a fraction by mass, 0 to 0.3. beverage_kg: what runs
    out, not what was poured. Error: that of the readings.

    >>> round(extraction_percolation(0.09, 0.036, 0.018), 4)
    0.18

    Raises: OutOfRange. Source: [COFFEE-TRAINING] (read).
    """
    require("solids", solids, 0.0, 0.3, "")
    require("dose_kg", dose_kg, 1e-9, None, "kg")
    require("beverage_kg", beverage_kg, 0.0, None, "kg")
    return solids * beverage_kg / dose_kg


def extraction_immersion(solids: float, water_kg: float, dose_kg: float) -> float:
    """Share of the dose that is dissolved: full immersion, all the water counted.

    solids: 0 to 0.3. water_kg: what was poured on; what the grounds hold has the same solids.

    >>> round(extraction_immersion(0.0135, 0.30, 0.02), 4)
    0.2053

    Raises: OutOfRange. Source: [COFFEE-TRAINING] (read).
    """
    require("solids", solids, 0.0, 0.3, "")
    require("dose_kg", dose_kg, 1e-9, None, "kg")
    require("water_kg", water_kg, 0.0, None, "kg")
    return solids / (1.0 - solids) * water_kg / dose_kg


def beverage_kg(water_kg: float, dose_kg: float, held_kg_kg: float = HELD_KG_KG) -> float:
    """Mass that runs out of a filter, kg: what was poured less what the bed holds.

    held_kg_kg: 2.0 to 2.1 for filter (practice), 0 to 5 taken.

    >>> round(beverage_kg(0.32, 0.02), 3)
    0.279

    Raises: OutOfRange, also where the bed holds all. Source: [PRACTICE].
    """
    require("dose_kg", dose_kg, 0.0, None, "kg")
    require("held_kg_kg", held_kg_kg, 0.0, 5.0, "kg/kg")
    require("water_kg", water_kg, held_kg_kg * dose_kg, None, "kg", "the bed holds the rest")
    return water_kg - held_kg_kg * dose_kg


def solids_from_brix(reading_brix: float) -> float:
    """Dissolved solids of coffee, fraction by mass, from a refractometer on the sucrose scale.

    reading_brix: 0 to 20. Error: 0.5 % of the value, and that of the reading. Filtered coffee
    only: fines read high, milk and sugar make it meaningless.

    >>> round(solids_from_brix(1.6), 4)
    0.0136

    Raises: OutOfRange. Source: [COFFEE-BRIX] (read).
    """
    require("reading_brix", reading_brix, 0.0, 20.0, "Bx", "COFFEE-BRIX")
    return SOLIDS_PER_BRIX * reading_brix / 100.0


def dose_kg(
    water_kg: float, solids: float, extraction: float, held_kg_kg: float = HELD_KG_KG
) -> float:
    """Dry coffee for a filter brew of a strength at an extraction, kg; all by the water poured.

    solids: 0 to 0.3 of the beverage. extraction: share of the dose that dissolves, above 0 to 0.35.
    held_kg_kg: water that each kg of coffee holds back, 0 to 5.

    >>> round(1000 * dose_kg(1.0, 0.0125, 0.20, 2.0), 1)
    55.6

    Raises: OutOfRange. Source: [DEFINITION], `extraction_percolation` and `beverage_kg` as one.
    """
    require("water_kg", water_kg, 0.0, None, "kg")
    require("solids", solids, 0.0, 0.3, "")
    require("extraction", extraction, 1e-9, MOST_EXTRACTED, "")
    require("held_kg_kg", held_kg_kg, 0.0, 5.0, "kg/kg")
    return solids * water_kg / (extraction + solids * held_kg_kg)


def immersion_solids(extraction: float, water_kg: float, dose_kg: float) -> float:
    """Dissolved solids of a full immersion, fraction by mass; `extraction_immersion` turned round.

    extraction: 0 to 0.35 of the dose.

    >>> round(immersion_solids(0.21, 0.30, 0.02), 4)
    0.0138

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("extraction", extraction, 0.0, MOST_EXTRACTED, "")
    require("water_kg", water_kg, 1e-9, None, "kg")
    require("dose_kg", dose_kg, 0.0, None, "kg")
    dissolved_kg = extraction * dose_kg
    return dissolved_kg / (dissolved_kg + water_kg)
