"""Will sugar crystallise: supersaturation of a syrup, with invert sugar and ethanol."""

from __future__ import annotations

from prepkit.errors import require
from prepkit.science import sucrose

# [BROADFOOT-STEINDL]: saturated sucrose per water falls by this for each kg invert per kg water.
INVERT_FACTOR = 0.088
INVERT_HIGH = 1.5
# [SCHREFELD] fit: saturated sucrose per water against pure water, by powers of the share p of
# ethanol in ethanol and water.
ETHANOL_FACTOR = (1.0, -0.70, 1.75, -3.50)
ETHANOL_HIGH = 0.60
# Our own words on y, no published source: below the first stays clear, above the second seeds.
CLEAR_BELOW, SEEDS_ABOVE = 0.97, 1.05


def ethanol_factor(ethanol_share: float) -> float:
    """How much sucrose a kg of water holds beside ethanol, against without.

    ethanol_share: ethanol in ethanol and water by mass, 0 to 0.60. Error: 0.05 to 0.4, more above.

    >>> round(ethanol_factor(0.5), 2)
    0.65

    Raises: OutOfRange.
    Source: fit to the 14 C table of [SCHREFELD] (memory); one factor for all temperatures is an
    assumption.
    """
    require("ethanol_share", ethanol_share, 0.0, ETHANOL_HIGH, "by mass", "SCHREFELD")
    a, b, c, d = ETHANOL_FACTOR
    p = ethanol_share
    return a + p * (b + p * (c + p * d))


def invert_factor(invert_per_water: float) -> float:
    """How much sucrose a kg of water holds beside invert sugar and glucose, against without.

    invert_per_water: kg dry per kg water, 0 to 1.5. Error: keep 0.05 (advisory).

    >>> round(invert_factor(1.0), 3)
    0.912

    Raises: OutOfRange. Source: cane-sugar practice [BROADFOOT-STEINDL] (memory).
    """
    require("invert_per_water", invert_per_water, 0.0, INVERT_HIGH, "kg/kg", "BROADFOOT-STEINDL")
    return 1.0 - INVERT_FACTOR * invert_per_water


def saturated_kg_per_kg_water(
    temperature_c: float, invert_per_water: float = 0.0, ethanol_share: float = 0.0
) -> float:
    """Sucrose that 1 kg of water holds at saturation, kg.

    temperature_c: -13 to 100 C. Error: 2 % with water alone, 5 % with invert or ethanol.

    >>> round(saturated_kg_per_kg_water(20.0), 2)
    2.0

    Raises: OutOfRange. Source: [VAVRINECZ] (memory) with the two factors.
    """
    s = sucrose.solubility_mass_fraction(temperature_c)
    return s / (1.0 - s) * invert_factor(invert_per_water) * ethanol_factor(ethanol_share)


def supersaturation(
    sucrose_kg: float,
    water_kg: float,
    temperature_c: float,
    invert_kg: float = 0.0,
    ethanol_kg: float = 0.0,
) -> float:
    """Sucrose present over sucrose that would saturate the same water; above 1 it can crystallise.

    Only sucrose and water count; invert (with glucose, dry) and ethanol change what the water
    holds. Ranges and errors as for `saturated_kg_per_kg_water`.

    >>> round(supersaturation(2.0, 1.0, 4.0), 3)
    1.086

    Raises: OutOfRange. Source: [VAVRINECZ], [BROADFOOT-STEINDL], [SCHREFELD] (memory).
    """
    require("sucrose_kg", sucrose_kg, 0.0, None, "kg")
    require("invert_kg", invert_kg, 0.0, None, "kg")
    require("ethanol_kg", ethanol_kg, 0.0, None, "kg")
    require("water_kg", water_kg, 1e-12, None, "kg")
    holds = saturated_kg_per_kg_water(
        temperature_c, invert_kg / water_kg, ethanol_kg / (ethanol_kg + water_kg)
    )
    return sucrose_kg / water_kg / holds
