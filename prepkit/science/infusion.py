"""What passes between a plant and a liquid: infusion, and peel beside sugar.

No published pair of constants was found for a plant in spirit: what is published is of tea,
hibiscus and seeds in water or weak spirit: the form of the curves, and how heat changes them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from math import exp, pi, sqrt
from types import MappingProxyType
from typing import NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science.gases import GAS_CONSTANT_J_MOL_K, KELVIN
from prepkit.science.solvers import bracketed

# ---- steeping over time ----

#: Diffusivity of what leaves a plant, m2/s: least, middle, most [INFUSION-DIFFUSIVITY]
DIFFUSIVITY_M2_S = (1e-11, 1e-10, 1e-9)
#: What heat does to the speed, J/mol: colour of hibiscus, and caffeine of tea, both in water
LEAST_EA_J_MOL, MOST_EA_J_MOL = 17_000.0, 40_300.0
#: Boiling points of ethanol and water at 1 atm, C, by mole fraction of ethanol [ETHANOL-BUBBLE]
_BUBBLE = (
    (0.0, 100.0), (0.019, 95.5), (0.0721, 89.0), (0.0966, 86.7), (0.1238, 85.3), (0.1661, 84.1),
    (0.2337, 82.7), (0.2608, 82.3), (0.3273, 81.5), (0.3965, 80.7), (0.5079, 79.8),
    (0.5732, 79.3), (0.6763, 78.7), (0.7472, 78.4), (0.8943, 78.1), (1.0, 78.2),
)  # fmt: skip
#: log10 of octanol over water of aromas at rest [LOGP]: an order, as octanol is no fat
LOG_P = MappingProxyType(
    {
        "acetic acid": -0.17, "maltol": 0.09, "furfural": 0.41, "ethyl acetate": 0.73,
        "butyric acid": 0.79, "isoamyl alcohol": 1.22, "vanillin": 1.21, "guaiacol": 1.32,
        "2-phenylethanol": 1.36, "hexanal": 1.78, "eugenol": 2.27, "gamma-decalactone": 2.72,
        "linalool": 2.97, "thymol": 3.3, "limonene": 4.57, "alpha-pinene": 4.83,
        "citric acid": -1.64, "diacetyl": -1.34, "caffeine": -0.07,
    }
)  # fmt: skip
WATER_BELOW, FAT_ABOVE = 0.5, 2.5  # of log P: what likes water, what likes fat (judgement)


class Curve(NamedTuple):
    """Peleg's curve y = t / (k1 + k2 t), t in h, and how far the worst reading lies off it."""

    k1: float
    k2: float
    worst: float  # share of the reading

    @property
    def final(self) -> float:
        """What it comes to in the end."""
        return 1.0 / self.k2

    def share(self, time_h: float) -> float:
        """Share of the end that is there after a time, 0 to 1."""
        return time_h / (self.k1 / self.k2 + time_h)

    def time_h(self, share: float) -> float:
        """Hours until a share of the end, 0 to below 1, is there."""
        return share / (1.0 - share) * self.k1 / self.k2


def peleg(readings: Sequence[tuple[float, float]]) -> Curve:
    """The rising, levelling curve through two or more readings (hours, change).

    Straight line of t/y over t by least squares. Error: that of the readings, many times over where
    the last time is not some four times the first; beyond the last it is a guess.

    >>> found = peleg([(1.0, 0.15), (4.0, 0.30)])
    >>> round(found.final, 3), round(found.time_h(0.5), 3), round(found.share(4.0), 4)
    (0.45, 2.0, 0.6667)

    Raises: OutOfRange; BadInput for fewer than two times, and where no such curve passes.
    Source: [PELEG] (memory), the same curve as [AZUARA].
    """
    for time_h, change in readings:
        require("time_h", time_h, 1e-6, None, "h", "PELEG")
        require("change", change, 1e-9, None, "", "PELEG")
    times = [time_h for time_h, _ in readings]
    if len(set(times)) < 2:
        raise BadInput("a curve needs readings at two times or more.")
    mean_t = math.fsum(times) / len(times)
    ratios = [time_h / change for time_h, change in readings]
    mean_r = math.fsum(ratios) / len(ratios)
    spread = math.fsum((t - mean_t) ** 2 for t in times)
    k2 = math.fsum((t - mean_t) * (r - mean_r) for t, r in zip(times, ratios, strict=True)) / spread
    k1 = mean_r - k2 * mean_t
    if k1 <= 0.0 or k2 <= 0.0:
        raise BadInput("the readings lie on no curve that rises and levels off.")
    worst = max(abs(t / (k1 + k2 * t) / y - 1.0) for t, y in readings)
    return Curve(k1, k2, worst)


def speed(from_c: float, to_c: float, ea_j_mol: float) -> float:
    """How many times faster at one temperature than at another; 0 to 100 C.

    ea_j_mol: 0 to 100,000. Error: that of the energy, which is of tea and hibiscus in water.

    >>> round(0.99 * speed(80.0, 60.0, 40_300.0), 3)
    0.434

    Raises: OutOfRange. Source: Arrhenius' law; energies [TEA-1999], [ROSELLE-2012] (abstracts).
    """
    require("from_c", from_c, 0.0, 100.0, "C")
    require("to_c", to_c, 0.0, 100.0, "C")
    require("ea_j_mol", ea_j_mol, 0.0, 100_000.0, "J/mol")
    gap = 1.0 / (from_c + KELVIN) - 1.0 / (to_c + KELVIN)
    return math.exp(ea_j_mol / GAS_CONSTANT_J_MOL_K * gap)


def bubble_point_c(mole_fraction: float) -> float:
    """Temperature at which ethanol and water boil at 1 atm, C; mole fraction of ethanol 0 to 1.

    Error: 0.5 K. Sugar raises it a little, height lowers it by 1 K in 300 m.

    >>> round(bubble_point_c(0.1661), 1), bubble_point_c(0.0)
    (84.1, 100.0)

    Raises: OutOfRange. Source: [ETHANOL-BUBBLE] (memory), a table of textbooks.
    """
    require("mole_fraction", mole_fraction, 0.0, 1.0, "", "ETHANOL-BUBBLE")
    for (x0, t0), (x1, t1) in pairwise(_BUBBLE):
        if mole_fraction <= x1:
            return t0 + (t1 - t0) * (mole_fraction - x0) / (x1 - x0)
    return _BUBBLE[-1][1]  # pragma: no cover - the table ends at 1


def likes(log_p: float) -> str:
    """Which liquid takes a substance, by its log P: water, both, or fat.

    >>> likes(-1.34), likes(1.21), likes(4.57)
    ('water', 'both', 'fat')

    Source: [LOGP] (read) for the figures; where the lines are drawn is a judgement.
    """
    if log_p < WATER_BELOW:
        return "water"
    return "fat" if log_p > FAT_ABOVE else "both"


# ---- peel and sugar ----

# [OSMOTIC-DIFFUSIVITY] effective diffusivity in sucrose, m2/s: other fruits, none is citrus peel.
OSMOSIS_DIFFUSIVITY_M2_S = 1e-10
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
        for d in (DIFFUSIVITY_LOW_M2_S, OSMOSIS_DIFFUSIVITY_M2_S, DIFFUSIVITY_HIGH_M2_S)
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
