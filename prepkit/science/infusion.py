"""Steeping over time: curves through own readings, speed by temperature, which liquid takes what.

No published pair of constants was found for a plant in spirit: what is published is of tea,
hibiscus and seeds in water or weak spirit: the form of the curves, and how heat changes them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science.gases import GAS_CONSTANT_J_MOL_K, KELVIN

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


def first_order_time(share: float, rate: float) -> float:
    """Time until a share of the end is there, in the rate's own time; 0 to below 1.

    >>> round(first_order_time(0.9, 0.99), 2)
    2.33

    Raises: OutOfRange. Source: [TEA-1999] (abstract read), first order.
    """
    require("share", share, 0.0, 0.9999)
    require("rate", rate, 1e-9, None)
    return -math.log(1.0 - share) / rate


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


def activation_j_mol(cold_c: float, cold: float, hot_c: float, hot: float) -> float:
    """Activation energy of a rate or diffusivity at two temperatures, J/mol.

    >>> round(activation_j_mol(25.0, 3.9e-11, 90.0, 1.35e-10) / 1e3, 1)
    17.2

    Raises: OutOfRange. Source: Arrhenius' law.
    """
    require("cold_c", cold_c, 0.0, 100.0, "C")
    require("hot_c", hot_c, cold_c + 0.1, 100.0, "C")
    require("cold", cold, 1e-30, None)
    require("hot", hot, 1e-30, None)
    gap = 1.0 / (cold_c + KELVIN) - 1.0 / (hot_c + KELVIN)
    return GAS_CONSTANT_J_MOL_K * math.log(hot / cold) / gap


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
