"""What passes between a liquid and what stands in it: plants, peel beside sugar, curd, fat.

No published pair of constants was found for a plant in spirit: what is published is of tea,
hibiscus and seeds in water or weak spirit: the form of the curves, and how heat changes them.
"""

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise
from math import exp, pi, sqrt
from types import MappingProxyType
from typing import NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science import acids
from prepkit.science.gases import GAS_CONSTANT_J_MOL_K, KELVIN
from prepkit.science.solvers import between, bracketed

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


# ---- milk curdled by acid, and fat beside spirit ----

# ---- milk that is curdled by acid ----

MILK_PH = 6.7  # [DAIRY-CHEMISTRY]: 6.5 to 6.7 at 25 C
# [MILK-ACID-MODEL] (computed): pH, mmol of strong acid per litre from pH 6.7, charge of citric acid
_UPTAKE = (
    (3.5, 78.0, 0.90), (3.8, 73.0, 1.10), (4.0, 69.0, 1.24), (4.2, 64.0, 1.39), (4.4, 59.0, 1.54),
    (4.6, 54.0, 1.69), (4.8, 48.0, 1.83), (5.0, 42.0, 1.96), (5.2, 35.0, 2.10), (5.5, 26.0, 2.30),
    (5.7, 20.0, 2.44), (6.0, 13.0, 2.63), (6.4, 5.0, 2.81), (6.7, 0.0, 2.90),
)  # fmt: skip
PROTEIN_IN_CURD, FAT_IN_CURD = 0.80, 0.95  # [DAIRY-WHEY] (read): caseins; fat [PRACTICE]
# moisture of the curd: left to drip [USDA-SR28] with the trade's range; pressed (practice)
DRAINED, PRESSED = (0.75, 0.82), (0.55, 0.65)
ISOELECTRIC_PH = 4.6  # [CURD-MEMORY]
# [CURD-MEMORY]: pH from which curd is seen, by temperature
COLD_C = 10.0  # colder it may not clot at all [CURD-MEMORY] (judgement between 4 and 20 C)
_SEEN = ((COLD_C, 4.9), (40.0, 5.2), (75.0, 5.5))
SEEN_ERROR = 0.2  # [CURD-MEMORY]
SPIRIT_ALONE_ABV = (0.33, 0.42)  # [MILK-SPIRIT] (read): of the mix; single cows from, herd milk to
_STANDARD_GRAVITY_CM = 1.118e-5  # (2 pi / 60 s)^2 of 1 cm over 980.665 cm/s2 [DEFINITION]


def acid_uptake_mol_l(ph: float) -> float:
    """Strong acid that a litre of milk takes up from pH 6.7 down to a pH, mol.

    ph: 0 to 14. Error: 20 %, 30 % below pH 3.5, where the value of 3.5 stands; 0 above 6.7.

    >>> round(acid_uptake_mol_l(5.0), 3)
    0.042

    Raises: OutOfRange. Source: [MILK-ACID-MODEL] (computed), its peak at [MILK-BUFFER] (read).
    """
    return _taken(ph, 1) / 1000


def uptake_error(ph: float) -> float:
    """Share by which `acid_uptake_mol_l` may be off. Source: [MILK-ACID-MODEL]."""
    return 0.2 if ph >= _UPTAKE[0][0] else 0.3


def citric_taken_kg_l(ph: float) -> float:
    """Anhydrous citric acid that brings a litre of milk to a pH, kg; least below pH 3.5.

    ph: 0 to 14. Error: as `acid_uptake_mol_l`.

    >>> round(1000 * citric_taken_kg_l(4.6), 1)
    6.1

    Raises: OutOfRange. Source: [MILK-ACID-MODEL] (computed).
    """
    return acid_uptake_mol_l(ph) * acids.MOLAR_MASS_KG_MOL["citric"] / _taken(ph, 2)


def _taken(ph: float, column: int) -> float:
    require("ph", ph, 0.0, 14.0, "", "MILK-ACID-MODEL")
    return between([(row[0], row[column]) for row in _UPTAKE], ph)


def ph_with_milk(
    molalities: Mapping[str, float], cations: float, milk_l_kg: float, pk_shift: float = 0.0,
    uptake: float = 1.0,
) -> float:  # fmt: skip
    """pH of acids once milk has taken up its part, by charge balance.

    molalities and cations: mol and equivalents per kg of solvent, of all but the milk. milk_l_kg:
    litres of milk per kg of solvent. uptake: factor on the acid taken up, 0.7 to 1.3. Error: that
    of the acid model; the band comes from the factor. 6.7 where the acids are too few to count.

    >>> ph_with_milk({"citric": 0.05}, 0.0, 0.2) > ph_with_milk({"citric": 0.05}, 0.0, 0.1)
    True

    Raises: OutOfRange, UnknownIngredient. Source: [MILK-ACID-MODEL], [PREPKIT-ACID] (computed).
    """

    def off(ph: float) -> float:
        taken = uptake * acid_uptake_mol_l(ph) * milk_l_kg
        return acids.equilibrium(molalities, cations + taken, pk_shift=pk_shift).ph - ph

    if off(MILK_PH) >= 0.0:
        return MILK_PH
    return bracketed(off, 0.5, MILK_PH, 1e-6)


def curd_seen_ph(temperature_c: float) -> float:
    """The pH at and below which curd is seen; fully curdled at `ISOELECTRIC_PH`.

    temperature_c: 10 to 80; colder milk may not clot at all. Error: `SEEN_ERROR`, 0.2.

    >>> round(curd_seen_ph(40.0), 2)
    5.2

    Raises: OutOfRange. Source: [CURD-MEMORY] (memory).
    """
    require("temperature_c", temperature_c, COLD_C, 80.0, "C", "CURD-MEMORY")
    return between(_SEEN, temperature_c)


def dry_curd_kg(protein_kg: float, fat_kg: float) -> float:
    """Dry curd of milk with so much protein and fat, kg.

    Range: any. Error: a tenth (the share of fat is practice).

    >>> round(1000 * dry_curd_kg(1.03 * 0.0315, 1.03 * 0.0325))
    58

    Source: [DAIRY-WHEY] (read) for casein, [PRACTICE] for fat.
    """
    return PROTEIN_IN_CURD * protein_kg + FAT_IN_CURD * fat_kg


def liquid_in_curd_kg(dry_kg: float, moisture: float) -> float:
    """Liquid that curd of so much dry matter holds, kg; of the strength of the filtrate.

    moisture: mass fraction 0 to 0.9. Error: no measurement of spirit held by curd was found.

    >>> round(1000 * liquid_in_curd_kg(0.058, 0.75))
    174

    Raises: OutOfRange. Source: [DEFINITION]; moisture of drained curd [USDA-SR28].
    """
    require("moisture", moisture, 0.0, 0.9, "", "USDA-SR28")
    return dry_kg * moisture / (1.0 - moisture)


def spin_g(radius_cm: float, turns_per_min: float) -> float:
    """Acceleration in a centrifuge as a multiple of gravity.

    radius_cm: to the liquid, 0 to 50. turns_per_min: 0 to 100 000. Error: exact.

    >>> round(spin_g(10.0, 4000.0))
    1789

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("radius_cm", radius_cm, 0.0, 50.0, "cm", "DEFINITION")
    require("turns_per_min", turns_per_min, 0.0, 1e5, "/min", "DEFINITION")
    return _STANDARD_GRAVITY_CM * radius_cm * turns_per_min**2


# ---- fat beside spirit ----


class Ends(NamedTuple):
    """The least and the most of a figure that is known as a band."""

    low: float
    high: float


TEMPERATURES_C = (5.0, 25.0, 40.0, 60.0)
#: Ethanol in triolein over ethanol in the spirit, by mass fractions: at each strength, a band for
#: each of the temperatures [OIL-ETHANOL-MODELS]
_PARTITION: Mapping[float, tuple[tuple[float, float], ...]] = {
    0.20: ((0.034, 0.073), (0.047, 0.083), (0.058, 0.090), (0.075, 0.100)),
    0.40: ((0.031, 0.054), (0.042, 0.063), (0.051, 0.070), (0.064, 0.079)),
    0.60: ((0.029, 0.044), (0.038, 0.052), (0.045, 0.058), (0.056, 0.067)),
    0.96: ((0.040, 0.064), (0.050, 0.077), (0.060, 0.087), (0.076, 0.102)),
}
LEAST_PARTITION = 0.025  # colder than the table; olive oil over water has 0.026 at 3 C (memory)
LEAST_ABV, MOST_ABV = 0.20, 0.96
COLDEST_C, HOTTEST_C = -40.0, 60.0

SPREAD = 0.05  # of the solid shares from memory
#: Solid share of a fat at a temperature, warmer and warmer [FAT-SOLID-MEMORY]
_SOLID: Mapping[str, tuple[tuple[float, float], ...]] = {
    "milk": ((10.0, 0.53), (15.0, 0.37), (20.0, 0.20), (30.0, 0.05), (35.0, 0.01)),
    "coconut": ((10.0, 0.82), (20.0, 0.37), (25.0, 0.01)),
    "lard": ((10.0, 0.27), (20.0, 0.19), (30.0, 0.05)),
}
#: From here on nothing of it is solid: fluid, or the end of its melting range [FAT-SOLID-MEMORY]
_ALL_MELTED_C: Mapping[str, float] = {"milk": 36.0, "coconut": 28.0, "lard": 50.0}
MILK_MOST_AT_0_C = 0.704  # the highest of 22 butters [MILK-FAT-NIR]

#: Share of the spirit's volume that stays in the fat and on the walls [FAT-WASH-PRACTICE]
KEPT_BY_FAT = Ends(0.03, 0.10)
KEPT_BY_SOLIDS = Ends(0.10, 0.20)  # nut butters and what brings solids
KEPT_BY_EMULSION = Ends(0.03, 0.20)  # cream and coconut milk: the whole range


def partition(abv: float, temperature_c: float) -> Ends:
    """Mass fraction of ethanol in liquid fat over that in the spirit beside it, as a band.

    abv: 0.20 to 0.96. temperature_c: -40 to 60; under 5 C the low end is 0.025. Straight lines
    between the values of three models of triolein, which no measurement confirms here.

    >>> partition(0.40, 25.0)
    Ends(low=0.042, high=0.063)

    Raises: OutOfRange. Source: [OIL-ETHANOL-MODELS] (computed by models).
    """
    require("abv", abv, LEAST_ABV, MOST_ABV, "", "OIL-ETHANOL-MODELS")
    require("temperature_c", temperature_c, COLDEST_C, HOTTEST_C, "C", "OIL-ETHANOL-MODELS")
    found = []
    for end in (0, 1):
        at_strengths = tuple(
            (strength, between(tuple((at, band[end]) for at, band in
                                      zip(TEMPERATURES_C, bands, strict=True)), temperature_c))
            for strength, bands in _PARTITION.items()
        )  # fmt: skip
        found.append(between(at_strengths, abv))
    low = LEAST_PARTITION if temperature_c < TEMPERATURES_C[0] else found[0]
    return Ends(low, found[1])


def solid_share(kind: str, temperature_c: float) -> Ends:
    """Share of a fat that is solid at rest at a temperature, 0 to 1, as a band.

    kind: milk, coconut or lard. temperature_c: -40 to 60. Colder than the coldest value known the
    low end is held there, and the high end is all of it: colder fat is never less solid.

    >>> [round(one, 2) for one in solid_share("milk", 20.0)]
    [0.15, 0.25]
    >>> [round(one, 2) for one in solid_share("milk", -18.0)]
    [0.48, 1.0]

    Raises: OutOfRange. Source: [FAT-SOLID-MEMORY] (memory), [MILK-FAT-NIR] (read).
    """
    require("temperature_c", temperature_c, COLDEST_C, HOTTEST_C, "C", "FAT-SOLID-MEMORY")
    points = _SOLID[kind]
    first_c, first = points[0]
    if temperature_c >= _ALL_MELTED_C[kind]:
        return Ends(0.0, 0.0)
    middle = between(points, temperature_c)
    high = min(1.0, middle + SPREAD)
    if temperature_c < first_c:
        high = 1.0
        if kind == "milk" and temperature_c >= 0.0:
            high = between(((0.0, MILK_MOST_AT_0_C), (first_c, first + SPREAD)), temperature_c)
    low = middle - SPREAD if temperature_c <= points[-1][0] else 0.0
    return Ends(max(0.0, low), high)


def ethanol_in_fat_kg(liquid_fat_kg: float, ethanol_fraction: float, ratio: float) -> float:
    """Ethanol in a liquid fat at rest beside spirit, kg: ratio x fraction x mass of the fat.

    ethanol_fraction: mass fraction in the spirit, 0 to 1. ratio: from `partition`, 0 to 1.

    >>> round(1000 * ethanol_in_fat_kg(0.08111, 0.3330, 0.042), 2)
    1.13

    Raises: OutOfRange. Source: [DEFINITION] of the ratio.
    """
    require("liquid_fat_kg", liquid_fat_kg, 0.0, 1e7, "kg", "DEFINITION")
    require("ethanol_fraction", ethanol_fraction, 0.0, 1.0, "", "DEFINITION")
    require("ratio", ratio, 0.0, 1.0, "", "DEFINITION")
    return ratio * ethanol_fraction * liquid_fat_kg
