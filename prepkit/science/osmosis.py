"""Peel and sugar: who gets the water, how much sugar that dissolves, and how long it takes."""

from __future__ import annotations

from math import exp, pi, sqrt
from typing import NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science.roots import bracketed

# [OSMOTIC-DIFFUSIVITY] effective diffusivity in sucrose, m2/s: other fruits, none is citrus peel.
DIFFUSIVITY_M2_S = 1e-10
DIFFUSIVITY_LOW_M2_S, DIFFUSIVITY_HIGH_M2_S = 2e-11, 1e-9
SERIES_TERMS = 60
# [ORANGE-OSMOSIS] orange pieces (fruit, not peel), 60 % sucrose, 1 to 3 by mass, 90 min.
LOW_ANCHOR_WATER_LOSS, LOW_ANCHOR_SOLIDS_GAIN = 0.106, 0.035
# [ORANGE-VACUUM] what a vacuum draws into orange peel: share of its volume, of its mass.
VACUUM_UPTAKE_VOLUME, VACUUM_UPTAKE_VOLUME_SPREAD = 0.081, 0.009
VACUUM_UPTAKE_MASS, VACUUM_UPTAKE_MASS_SPREAD = 0.085, 0.012
VACUUM_LIQUID_KG_M3 = 1005.0  # assumed for the isotonic liquid


class PeelBalance(NamedTuple):
    """Masses after water left the peel and sugar entered it, kg."""

    peel_kg: float
    water_to_syrup_kg: float
    sugar_to_peel_kg: float
    dissolved_sugar_kg: float
    undissolved_sugar_kg: float
    syrup_kg: float


def water_to_dissolve(solubility_mass_fraction: float) -> float:
    """Water that dissolves one mass of sugar to saturation, kg per kg.

    solubility_mass_fraction: 0.01 to 0.99. Exact.

    >>> round(water_to_dissolve(0.666), 4)
    0.5015

    Raises: OutOfRange. Source: [DEFINITION] k = (1 - s) / s.
    """
    s = solubility_mass_fraction
    require("solubility_mass_fraction", s, 0.01, 0.99, "", "DEFINITION")
    return (1.0 - s) / s


def peel_balance(
    peel_kg: float,
    sugar_kg: float,
    water_loss: float,
    solids_gain: float,
    solubility_mass_fraction: float,
) -> PeelBalance:
    """Where water and sugar of a peel-and-sugar batch end up, kg.

    peel_kg, sugar_kg: 0 or more. water_loss, solids_gain: kg per kg of fresh peel, 0 to 1 and 0
    to 1; the sugar taken up cannot exceed the sugar given. solubility_mass_fraction: of sucrose in
    water at the temperature of the batch. Error: exact as a balance.

    >>> round(1000 * peel_balance(0.1, 0.1, 0.40, 0.08, 0.666).undissolved_sugar_kg, 1)
    12.2

    Raises: OutOfRange. Source: [DEFINITION] mass balance.
    """
    require("peel_kg", peel_kg, 0.0, None, "kg", "DEFINITION")
    require("sugar_kg", sugar_kg, 0.0, None, "kg", "DEFINITION")
    require("water_loss", water_loss, 0.0, 1.0, "kg/kg", "DEFINITION")
    require("solids_gain", solids_gain, 0.0, 1.0, "kg/kg", "DEFINITION")
    water_kg, taken_kg = peel_kg * water_loss, peel_kg * solids_gain
    require("sugar taken up by the peel", taken_kg, 0.0, sugar_kg, "kg", "DEFINITION")
    left_kg = sugar_kg - taken_kg
    dissolved_kg = min(left_kg, water_kg / water_to_dissolve(solubility_mass_fraction))
    return PeelBalance(
        peel_kg - water_kg + taken_kg,
        water_kg,
        taken_kg,
        dissolved_kg,
        left_kg - dissolved_kg,
        water_kg + dissolved_kg,
    )


def azuara(time_h: float, rate_per_h: float, final: float) -> float:
    """Water loss or solids gain after a time, kg/kg, by the two-parameter curve.

    time_h: 0 or more. rate_per_h: S, above 0. final: at infinite time. Error: that of the fit.

    >>> round(azuara(4.0, 0.5, 0.45), 6)
    0.3

    Raises: OutOfRange. Source: [AZUARA] (memory): S t final / (1 + S t).
    """
    require("time_h", time_h, 0.0, None, "h", "AZUARA")
    require("rate_per_h", rate_per_h, 0.0, None, "1/h", "AZUARA")
    require("final", final, 0.0, 2.0, "kg/kg", "AZUARA")
    return rate_per_h * time_h * final / (1.0 + rate_per_h * time_h)


def fit(first: tuple[float, float], second: tuple[float, float]) -> tuple[float, float]:
    """Rate (1/h) and final value of `azuara` through two weighings (hours, kg/kg).

    The later weighing must show more, but less than in proportion to time. Error: it doubles or
    worse where the two times are close; weigh at about one and at about four times the first.

    >>> rate, final = fit((1.0, 0.15), (4.0, 0.30))
    >>> round(rate, 3), round(final, 3)
    (0.5, 0.45)

    Raises: OutOfRange; BadInput where no rising, levelling curve passes through both.
    Source: [AZUARA] (memory).
    """
    (t1, y1), (t2, y2) = sorted((first, second))
    require("first time_h", t1, 1e-6, None, "h", "AZUARA")
    require("second time_h", t2, t1 * 1.0001, None, "h", "AZUARA")
    require("first weighing", y1, 1e-9, 1.0, "kg/kg", "AZUARA")
    require("second weighing", y2, 1e-9, 1.0, "kg/kg", "AZUARA")
    k2 = (t2 / y2 - t1 / y1) / (t2 - t1)
    k1 = t1 / y1 - k2 * t1
    if k1 <= 0.0 or k2 <= 0.0:
        raise BadInput(
            f"{y1:g} at {t1:g} h and {y2:g} at {t2:g} h lie on no curve that rises "
            f"and levels off. The second weighing must lie above {y1:g} and below {y1 * t2 / t1:g}."
        )
    return k2 / k1, 1.0 / k2


def diffusion_share(
    time_h: float, thickness_m: float, diffusivity_m2_s: float, one_face: bool = False
) -> float:
    """Share (0-1) of the final exchange of a flat strip that is done after a time.

    thickness_m: whole thickness, 0.1 to 50 mm; wetted on both faces, or on one where `one_face`
    (whole skin on). diffusivity_m2_s: 1e-12 to 1e-8. Error: the form is exact for a slab in
    plenty of syrup; the diffusivity is known to a factor of five either way.

    >>> round(diffusion_share(1.0, 2e-3, 1e-10), 3)
    0.667

    Raises: OutOfRange. Source: [SLAB-DIFFUSION] series (memory); diffusivity
    [OSMOTIC-DIFFUSIVITY] (read, other fruits).
    """
    require("time_h", time_h, 0.0, None, "h", "SLAB-DIFFUSION")
    require("thickness_m", thickness_m, 1e-4, 5e-2, "m", "SLAB-DIFFUSION")
    require("diffusivity_m2_s", diffusivity_m2_s, 1e-12, 1e-8, "m2/s", "SLAB-DIFFUSION")
    depth = thickness_m if one_face else 0.5 * thickness_m
    fourier = diffusivity_m2_s * time_h * 3600.0 / depth**2
    if fourier < 0.02:  # early: the square-root law, exact to seven digits here
        return 2.0 * sqrt(fourier / pi)
    total = 0.0
    for n in range(SERIES_TERMS):
        odd = 2 * n + 1
        total += exp(-odd * odd * pi * pi * fourier / 4.0) / (odd * odd)
    return 1.0 - 8.0 / (pi * pi) * total


def diffusion_time_h(
    share: float, thickness_m: float, diffusivity_m2_s: float, one_face: bool = False
) -> float:
    """Hours until a share (0-1) of the final exchange is done, as `diffusion_share`.

    share: 0.01 to 0.999.

    >>> round(diffusion_time_h(0.5, 2e-3, 1e-10), 3)
    0.546

    Raises: OutOfRange. Source: [SLAB-DIFFUSION] (memory): 0.1967 and 0.8481 depth^2/D at 50, 90 %.
    """
    require("share", share, 0.01, 0.999, "", "SLAB-DIFFUSION")
    depth = thickness_m if one_face else 0.5 * thickness_m
    scale_h = depth**2 / diffusivity_m2_s / 3600.0
    return scale_h * bracketed(
        lambda x: diffusion_share(x * scale_h, thickness_m, diffusivity_m2_s, one_face) - share,
        0.0,
        4.0,
        1e-9,
    )


def diffusion_band(
    time_h: float, thickness_m: float, one_face: bool = False
) -> tuple[float, float, float]:
    """Share done after a time: slow end, middle and fast end of the published diffusivities.

    >>> [round(x, 2) for x in diffusion_band(1.0, 2e-3)]
    [0.3, 0.67, 1.0]

    Raises: OutOfRange. Source: [OSMOTIC-DIFFUSIVITY] (read, other fruits: label it so).
    """
    low, middle, high = (
        diffusion_share(time_h, thickness_m, d, one_face)
        for d in (DIFFUSIVITY_LOW_M2_S, DIFFUSIVITY_M2_S, DIFFUSIVITY_HIGH_M2_S)
    )
    return low, middle, high


def vacuum_uptake_kg(peel_kg: float) -> tuple[float, float]:
    """Liquid that a vacuum draws into fresh orange peel, kg: mean and spread.

    peel_kg: 0 or more. Error: measured on orange peel only, 5 min vacuum and 10 min at pressure.

    >>> [round(1000 * x, 1) for x in vacuum_uptake_kg(1.0)]
    [85.0, 12.0]

    Raises: OutOfRange. Source: [ORANGE-VACUUM] (read).
    """
    require("peel_kg", peel_kg, 0.0, None, "kg", "ORANGE-VACUUM")
    return peel_kg * VACUUM_UPTAKE_MASS, peel_kg * VACUUM_UPTAKE_MASS_SPREAD


def apparent_peel_density_kg_m3() -> float:
    """Density of fresh orange peel with the air in its pores, kg/m3, for jar and bag volume.

    Error: 15 %, from the spread of the two uptakes.

    >>> round(apparent_peel_density_kg_m3(), -1)
    960.0

    Source: [ORANGE-VACUUM] uptakes (read) and a liquid of 1005 kg/m3 (assumed).
    """
    return VACUUM_LIQUID_KG_M3 * VACUUM_UPTAKE_VOLUME / VACUUM_UPTAKE_MASS


def exchange_from_weighing(
    peel_kg: float,
    sugar_kg: float,
    drained_peel_kg: float,
    undissolved_kg: float,
    syrup_mass_fraction: float,
) -> tuple[float, float]:
    """Water loss and solids gain, kg/kg of fresh peel, from what was weighed.

    peel_kg, sugar_kg: what went in, above 0. drained_peel_kg: the peel wiped clean. undissolved_kg:
    the sugar left. syrup_mass_fraction: sugar in the syrup, 0.05 to 0.85 (its solubility, where
    sugar is left). Error: 1 g of peel in 100 g is 0.01 in both; the peel's own sugars and what
    stays on tools are not counted. An answer below 0 means that the weighings do not fit together.

    >>> [round(x, 3) for x in exchange_from_weighing(0.100, 0.100, 0.068, 0.0122, 0.666)]
    [0.4, 0.08]

    Raises: OutOfRange. Source: [DEFINITION] mass balance of sugar, water and peel.
    """
    require("peel_kg", peel_kg, 1e-9, None, "kg", "DEFINITION")
    require("sugar_kg", sugar_kg, 1e-9, None, "kg", "DEFINITION")
    require("drained_peel_kg", drained_peel_kg, 0.0, peel_kg + sugar_kg, "kg", "DEFINITION")
    require("undissolved_kg", undissolved_kg, 0.0, sugar_kg, "kg", "DEFINITION")
    require("syrup_mass_fraction", syrup_mass_fraction, 0.05, 0.85, "", "DEFINITION")
    syrup_kg = peel_kg + sugar_kg - drained_peel_kg - undissolved_kg
    water_loss = (1.0 - syrup_mass_fraction) * syrup_kg / peel_kg
    return water_loss, water_loss - 1.0 + drained_peel_kg / peel_kg
