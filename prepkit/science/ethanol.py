"""Ethanol and water: density by the international formula, strengths, heat; US gauging.

`mass_fraction` is kg ethanol per kg of ethanol and water; `abv` is the fraction by volume at 20 C
(0.40 = 40 % vol). The two are not the same: 0.40 by volume is 0.333 by mass.
"""

from __future__ import annotations

from bisect import bisect_right
from math import fsum, inf

from prepkit.errors import require
from prepkit.science import water
from prepkit.science.solvers import bracketed

# ---- ethanol and water ----

MOLAR_MASS_G_MOL = 46.069
PROOF_C = (60.0 - 32.0) / 1.8  # 60 F, the temperature of US proof
DENSITY_LOW_C, DENSITY_HIGH_C = -20.0, 40.0
TWO_ROOTS_BELOW_C = 4.0

# [OIML-R22]: by powers of the mass fraction, by powers of t - 20, and of both.
MIXING = (
    9.982012300e2, -1.929769495e2, 3.891238958e2, -1.668103923e3, 1.352215441e4, -8.829278388e4,
    3.062874042e5, -6.138381234e5, 7.470172998e5, -5.478461354e5, 2.234460334e5, -3.903285426e4,
)  # fmt: skip
PURE_KG_M3 = fsum(MIXING)  # pure ethanol at 20 C: what % vol is counted in
PURE_G_ML_WORDS = f"{PURE_KG_M3 / 1000:.5f} g/ml"  # as working shows it
THERMAL = (
    -2.0618513e-1, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.1693540e-9, -9.9739231e-11,
)  # fmt: skip
BOTH = (
    (
        1.693443461530087e-1, -1.046914743455169e1, 7.196353469546523e1, -7.047478054272792e2,
        3.924090430035045e3, -1.210164659068747e4, 2.248646550400788e4, -2.605562982188164e4,
        1.852373922069467e4, -7.420201433430137e3, 1.285617841998974e3,
    ),
    (
        -1.193013005057010e-2, 2.517399633803461e-1, -2.170575700536993e0, 1.353034988843029e1,
        -5.029988758547014e1, 1.096355666577570e2, -1.422753946421155e2, 1.080435942856230e2,
        -4.414153236817392e1, 7.442971530188783e0,
    ),
    (
        -6.802995733503803e-4, 1.876837790289664e-2, -2.002561813734156e-1, 1.022992966719220e0,
        -2.895696483903638e0, 4.810060584300675e0, -4.672147440794683e0, 2.458043105903461e0,
        -5.411227621436812e-1,
    ),
    (4.075376675622027e-6, -8.763058573471110e-6, 6.515031360099368e-6, -1.515784836987210e-6),
    (-2.788074354782409e-8, 1.345612883493354e-8),
)  # fmt: skip

# Cubic expansion of soda-lime glass, per K [GLASS-EXPANSION]: it shrinks with its liquid.
GLASS_PER_K = 25e-6

# [PREPKIT-SPIRIT] fit: kJ/(kg K) by powers of the mass fraction, constant and per 100 C.
SPECIFIC_HEAT = (4.203062, 3.696904, -19.669352, 28.209803, -18.971523, 4.755336)
SPECIFIC_HEAT_PER_100_C = (-0.083114, -7.411938, 53.935972, -109.273604, 90.499680, -26.775155)

# [CRC102] fit: freezing depression by powers of mol per kg water, to 20 % by mass ...
FREEZING = (1.80390, 0.0094876, 0.0053859)
# ... and the table itself above: mass fraction, depression in K (the first, 10.92, by the fit).
FREEZING_TABLE = (
    (0.20, 10.9292), (0.22, 12.60), (0.26, 16.41), (0.28, 18.43), (0.30, 20.47), (0.32, 22.44),
    (0.36, 25.98), (0.40, 29.26), (0.44, 32.68), (0.50, 37.67), (0.60, 44.93),
)  # fmt: skip
FREEZING_FIT_HIGH = 0.20

# Public tables of flash points (read), against the fraction by volume; the last is pure ethanol.
FLASH_TABLE = (
    (0.05, 62.0), (0.10, 49.0), (0.20, 36.0), (0.30, 29.0), (0.40, 26.0), (0.50, 24.0),
    (0.60, 22.0), (0.70, 21.0), (0.80, 20.0), (0.96, 17.0), (1.00, 13.0),
)  # fmt: skip
FLASH_ERROR_K = 4.0
FLASH_ERROR_WEAK_K = 6.0  # below 10 % vol, where the table is steep
# [ETHANOL-ANTOINE] log10 of mmHg; its error; activity at infinite dilution
ANTOINE, MMHG_PA, ETHANOL_HIGH, MOST_ACTIVITY = (8.20417, 1642.89, 230.3), 133.322, 1.02, 6.0
# [49-CFR-173] 173.150(d): drinks up to this are outside US transport rules; no flash point.
TRANSPORT_EXEMPT_ABV = 0.24


def density_kg_m3(mass_fraction: float, temperature_c: float) -> float:
    """Density of ethanol and water, kg/m3 (true mass, not weight in air).

    mass_fraction: 0 to 1. temperature_c: -20 to 40 C, liquid only: below the freezing point the
    formula still returns a number. Error: 0.1 kg/m3, 0.2 near 80 % by mass.

    >>> round(density_kg_m3(0.4, 20.0), 1)
    935.1

    Raises: OutOfRange.
    Source: [OIML-R22] general formula (read), checked against [CRC102] and [LANGE-10] (read).
    """
    p, t = mass_fraction, temperature_c
    if not 0.0 <= p <= 1.0:
        require("mass_fraction", p, 0.0, 1.0, "", "OIML-R22")
    if not DENSITY_LOW_C <= t <= DENSITY_HIGH_C:
        require("temperature_c", t, DENSITY_LOW_C, DENSITY_HIGH_C, "C", "OIML-R22")
    a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12 = MIXING
    density = a1 + p * (a2 + p * (a3 + p * (a4 + p * (a5 + p * (a6 + p * (a7 + p * (
        a8 + p * (a9 + p * (a10 + p * (a11 + p * a12))))))))))  # fmt: skip
    d = t - 20.0
    if d == 0.0:
        return density
    b1, b2, b3, b4, b5, b6 = THERMAL
    density += d * (b1 + d * (b2 + d * (b3 + d * (b4 + d * (b5 + d * b6)))))
    if p == 0.0:
        return density
    row1, row2, row3, (e1, e2, e3, e4), (f1, f2) = BOTH
    c1, c2, c3, c4, c5, c6, c7, c8, c9, c10, c11 = row1
    one = c1 + p * (c2 + p * (c3 + p * (c4 + p * (c5 + p * (c6 + p * (c7 + p * (
        c8 + p * (c9 + p * (c10 + p * c11)))))))))  # fmt: skip
    c1, c2, c3, c4, c5, c6, c7, c8, c9, c10 = row2
    two = c1 + p * (c2 + p * (c3 + p * (c4 + p * (c5 + p * (c6 + p * (c7 + p * (
        c8 + p * (c9 + p * c10))))))))  # fmt: skip
    c1, c2, c3, c4, c5, c6, c7, c8, c9 = row3
    three = c1 + p * (c2 + p * (c3 + p * (c4 + p * (c5 + p * (c6 + p * (c7 + p * (
        c8 + p * c9)))))))  # fmt: skip
    four = e1 + p * (e2 + p * (e3 + p * e4))
    five = f1 + p * f2
    return density + p * d * (one + d * (two + d * (three + d * (four + d * five))))


_density = density_kg_m3  # for functions with an argument of that name


def mass_fraction_from_density(density_kg_m3: float, temperature_c: float) -> float:
    """Mass fraction of ethanol from the density of a mixture that holds nothing else.

    density_kg_m3: between those of pure ethanol and of water at the temperature.
    temperature_c: 4 to 40 C; below 4 C weak mixtures have two answers. Error: 0.0005.

    >>> round(mass_fraction_from_density(935.2, 20.0), 3)
    0.4

    Raises: OutOfRange.
    Source: [OIML-R22] solved.
    """
    t = temperature_c
    require("temperature_c", t, TWO_ROOTS_BELOW_C, DENSITY_HIGH_C, "C", "OIML-R22: one answer only")
    low, high = _density(1.0, t), _density(0.0, t)
    if not low < density_kg_m3 < high:  # a rounding error beyond an end is that end
        require("density_kg_m3", density_kg_m3, low - 1e-6, high + 1e-6, "kg/m3", "OIML-R22")
        return 1.0 if density_kg_m3 <= low else 0.0
    return bracketed(lambda p: _density(p, t) - density_kg_m3, 0.0, 1.0, 1e-10)


def abv_from_mass_fraction(mass_fraction: float) -> float:
    """Fraction by volume at 20 C from the mass fraction.

    mass_fraction: 0 to 1. Error: 0.0001.

    >>> round(abv_from_mass_fraction(0.3330), 4)
    0.4

    Raises: OutOfRange.
    Source: [OIML-R22]: volume of pure ethanol over volume of the whole, both at 20 C.
    """
    return min(mass_fraction * density_kg_m3(mass_fraction, 20.0) / PURE_KG_M3, 1.0)


def mass_fraction_from_abv(abv: float) -> float:
    """Mass fraction from the fraction by volume at 20 C.

    abv: 0 to 1. Error: 0.0001.

    >>> round(mass_fraction_from_abv(0.40), 4)
    0.333

    Raises: OutOfRange.
    Source: [OIML-R22] solved.
    """
    require("abv", abv, 0.0, 1.0, "as a fraction by volume", "OIML-R22")
    return _mass_fraction_at(abv, 20.0)


def _mass_fraction_at(volume_fraction: float, temperature_c: float) -> float:
    """Mass fraction of a strength by volume that is defined at a temperature."""
    if volume_fraction in (0.0, 1.0):
        return volume_fraction
    pure = density_kg_m3(1.0, temperature_c)
    p = volume_fraction * (0.79 + 0.21 * volume_fraction**2)
    # Newton with a numerical slope
    for _ in range(30):  # pragma: no branch (ends by its break; the cap is against a hang)
        excess = p * density_kg_m3(p, temperature_c) / pure - volume_fraction
        slope = (
            (p + 1e-6) * density_kg_m3(min(p + 1e-6, 1.0), temperature_c) / pure
            - volume_fraction - excess
        ) / 1e-6  # fmt: skip
        step = excess / slope
        p = min(max(p - step, 0.0), 1.0)
        if abs(step) < 1e-12:
            break
    return p


def us_proof_from_abv(abv: float) -> float:
    """US proof (twice the percent by volume at 60 F) from the fraction by volume at 20 C.

    abv: 0 to 1. Error: 0.02.

    >>> round(us_proof_from_abv(0.40), 2)
    79.86

    Raises: OutOfRange.
    Source: [OIML-R22] at 15.56 C; the definition is that of [27-CFR-30].
    """
    p = mass_fraction_from_abv(abv)
    return 200.0 * p * density_kg_m3(p, PROOF_C) / density_kg_m3(1.0, PROOF_C)


def mass_fraction_from_us_proof(us_proof: float) -> float:
    """Mass fraction from US proof, 0 to 200. Error: 0.0001.

    >>> round(mass_fraction_from_us_proof(40.0), 4)
    0.1627

    Raises: OutOfRange. Source: [OIML-R22] at 15.56 C, [27-CFR-30].
    """
    require("us_proof", us_proof, 0.0, 200.0, "proof", "27-CFR-30")
    return _mass_fraction_at(us_proof / 200.0, PROOF_C)


def abv_from_us_proof(us_proof: float) -> float:
    """Fraction by volume at 20 C from US proof, 0 to 200. Error: 0.0001.

    >>> round(abv_from_us_proof(80.0), 4)
    0.4007

    Raises: OutOfRange. Source: [OIML-R22], [27-CFR-30].
    """
    return min(abv_from_mass_fraction(mass_fraction_from_us_proof(us_proof)), 1.0)


def abv_from_alcoholometer(reading_abv: float, temperature_c: float) -> float:
    """True fraction by volume at 20 C from a glass alcoholometer graduated at 20 C.

    reading_abv: 0 to 1. temperature_c of the sample: 4 to 40 C. Only for spirit with at most 4 g/L
    of solids (as in US gauging). Error: 0.0005 and that of the reading.

    >>> round(abv_from_alcoholometer(0.40, 25.0), 3)
    0.38

    Raises: OutOfRange, also where the corrected reading falls off the scale.
    Source: [OIML-R22] (read) with [GLASS-EXPANSION] (memory), checked on one row of [27-CFR-30].
    """
    p = mass_fraction_from_abv(reading_abv)
    seen = density_kg_m3(p, 20.0) * (1.0 - GLASS_PER_K * (temperature_c - 20.0))
    return abv_from_mass_fraction(mass_fraction_from_density(seen, temperature_c))


def specific_heat_j_kg_k(mass_fraction: float, temperature_c: float) -> float:
    """Specific heat of ethanol and water, J/(kg K). Up to 30 % by mass it is above that of water.

    mass_fraction: 0 to 1. temperature_c: -10 to 41 C. Error: 2 %.

    >>> round(specific_heat_j_kg_k(0.15, 20.0), -1)
    4340.0

    Raises: OutOfRange.
    Source: [PREPKIT-SPIRIT] fit to [COOLPROP] and [PERRY-7] (computed).
    """
    require("mass_fraction", mass_fraction, 0.0, 1.0, "", "PREPKIT-SPIRIT")
    require("temperature_c", temperature_c, -10.0, 41.0, "C", "PREPKIT-SPIRIT")
    total, x = 0.0, temperature_c / 100.0
    for i in range(5, -1, -1):
        total = total * mass_fraction + SPECIFIC_HEAT[i] + SPECIFIC_HEAT_PER_100_C[i] * x
    return 1000.0 * total


def freezing_point_c(mass_fraction: float) -> float:
    """Freezing point of ethanol and water, C.

    mass_fraction: 0 to 0.60. Error: 0.02 K to 20 % by mass, 0.3 K above; other tables are up to
    1.5 K warmer near 30 %.

    >>> round(freezing_point_c(0.10), 2)
    -4.48

    Raises: OutOfRange.
    Source: [CRC102] (read): a fit to 20 %, above it the table joined by monotone cubics.
    """
    require("mass_fraction", mass_fraction, 0.0, FREEZING_TABLE[-1][0], "", "CRC102")
    return -freezing_depression_k(1000.0 * mass_fraction / MOLAR_MASS_G_MOL / (1 - mass_fraction))


def freezing_depression_k(molality: float) -> float:
    """Freezing depression by mol ethanol per kg water, K. Range and error of `freezing_point_c`.

    >>> round(freezing_depression_k(2.412), 2)
    4.48

    Raises: OutOfRange. Source: [CRC102] (read).
    """
    grams = molality * MOLAR_MASS_G_MOL
    p = grams / (1000.0 + grams)
    highest = FREEZING_TABLE[-1][0]
    require("mass_fraction", p, 0.0, highest + 1e-12, "of ethanol in the water", "CRC102")
    if p <= FREEZING_FIT_HIGH:
        a, b, c = FREEZING
        return molality * (a + molality * (b + molality * c))
    return _monotone(FREEZING_TABLE, min(p, highest))


def _monotone(table: tuple[tuple[float, float], ...], x: float) -> float:
    """Value of a table at x by monotone cubic pieces (harmonic-mean slopes).

    The table goes one way all along, so no two chords that meet differ in sign.
    """
    at = min(max(bisect_right(table, (x, inf)) - 1, 0), len(table) - 2)
    (x0, y0), (x1, y1) = table[at], table[at + 1]
    h = x1 - x0
    chord = (y1 - y0) / h
    m0 = _slope(table, at)
    m1 = _slope(table, at + 1)
    s = (x - x0) / h
    return y0 + (x - x0) * (m0 + s * ((3.0 * chord - 2.0 * m0 - m1) + s * (m0 + m1 - 2.0 * chord)))


def _slope(table: tuple[tuple[float, float], ...], at: int) -> float:
    def chord(i: int) -> float:
        return (table[i + 1][1] - table[i][1]) / (table[i + 1][0] - table[i][0])

    if at == 0:
        return chord(0)
    if at == len(table) - 1:
        return chord(at - 1)
    before, after = chord(at - 1), chord(at)
    left, right = table[at][0] - table[at - 1][0], table[at + 1][0] - table[at][0]
    w1, w2 = 2.0 * right + left, right + 2.0 * left
    return (w1 + w2) / (w1 / before + w2 / after)


def flash_point_c(abv: float) -> float:
    """Temperature at which the vapour over ethanol and water can be lit, closed cup, C.

    abv: fraction by volume 0.05 to 1. Error: 4 K, 6 K below 0.10 (FLASH_ERROR_K, _WEAK_K); the
    tables all copy one ancestor. Warmer liquid than this minus the error must be taken as able to
    burn.

    >>> round(flash_point_c(0.40))
    26

    Raises: OutOfRange (weaker drinks: no table, which does not mean that hot vapour cannot burn).
    Source: [FLASH-TABLE] (read), pure ethanol [CHEMICALS] (read).
    """
    require("abv", abv, FLASH_TABLE[0][0], 1.0, "as a fraction by volume", "FLASH-TABLE")
    return _monotone(FLASH_TABLE, abv)


def over_flash_k(abv: float, temperature_c: float) -> float:
    """How far a drink is above its flash point less the error of that, K; from 0 it can burn.

    abv: fraction by volume 0 to 1; -999 below 0.05, which has no table. Error: within.

    >>> over_flash_k(0.40, 22.0)
    0.0

    Raises: OutOfRange. Source: [FLASH-TABLE] (read).
    """
    if abv < FLASH_TABLE[0][0]:
        return -999.0
    error_k = FLASH_ERROR_K if abv >= 0.10 else FLASH_ERROR_WEAK_K
    return temperature_c - (flash_point_c(abv) - error_k)


def vapour_pressure_pa(temperature_c: float) -> float:
    """Vapour pressure of pure ethanol, Pa; 0 to 100 C. Error: 2 % (1 % from 10 to 90 C).

    >>> round(vapour_pressure_pa(20.0), -2)
    5800.0

    Raises: OutOfRange. Source: [ETHANOL-ANTOINE] (memory), checked against [COOLPROP].
    """
    require("temperature_c", temperature_c, 0.0, 100.0, "C", "ETHANOL-ANTOINE")
    a, b, c = ANTOINE
    return float(MMHG_PA * 10.0 ** (a - b / (temperature_c + c)))


def most_vapour_pa(mole_fraction: float, temperature_c: float) -> float:
    """Upper bound of the vapour pressure over ethanol and water, Pa; 0 to 100 C.

    mole_fraction: of ethanol in both, 0 to 1. Water as if pure; ethanol at its activity at infinite
    dilution (6), no more than pure. Up to twice the true pressure, never below it.

    >>> round(most_vapour_pa(0.0, 20.0)), round(most_vapour_pa(1.0, 20.0), -2)
    (2339, 8300.0)

    Raises: OutOfRange. Source: [WAGNER-PRUSS], [ETHANOL-ANTOINE] (memory), [JUDGEMENT].
    """
    require("mole_fraction", mole_fraction, 0.0, 1.0)
    water_pa = water.saturation_pressure_pa(temperature_c)
    share = min(1.0, MOST_ACTIVITY * mole_fraction)
    return water_pa + share * ETHANOL_HIGH * vapour_pressure_pa(temperature_c)


# ---- US gauging of plain spirit ----

WATER_60F_KG_M3 = 999.01
AIR_KG_M3 = 1.222  # memory
LB_PER_GALLON_WATER_AIR = 8.32823  # [27-CFR-30] section 21.161 (read)
# [27-CFR-30] 30.31 and 30.32: solids in mg per 100 mL.
NO_OBSCURATION_MG_100_ML, DISTIL_ABOVE_MG_100_ML = 400.0, 600.0
PROOF_PER_MG_100_ML = 0.4 / 100.0


def _mass_fraction_and_density(us_proof: float) -> tuple[float, float]:
    p = mass_fraction_from_us_proof(us_proof)
    return p, density_kg_m3(p, PROOF_C)


def water_parts(us_proof: float) -> float:
    """Parts of water by volume in 100 parts of spirit at 60 F (more than the gap: it contracts).

    us_proof: 0 to 200. Error: 0.01 parts.

    >>> round(water_parts(100.0), 2)
    53.74

    Raises: OutOfRange. Source: [27-CFR-30] 30.66 and Table 6 (read), by [OIML-R22].
    """
    p, density = _mass_fraction_and_density(us_proof)
    return 100.0 * (1.0 - p) * density / WATER_60F_KG_M3


def water_to_reduce_per_100(us_proof: float, wanted_proof: float) -> float:
    """Volumes of water at 60 F for 100 volumes of spirit, to bring it to a lower proof.

    us_proof: 0 to 200. wanted_proof: above 0, to us_proof. Error: 0.03.

    >>> round(water_to_reduce_per_100(112.0, 100.0), 2)
    12.43

    Raises: OutOfRange. Source: [27-CFR-30] 30.66 (read).
    """
    require("us_proof", us_proof, 0.0, 200.0, "proof", "27-CFR-30")
    require("wanted_proof", wanted_proof, 1e-6, us_proof, "proof", "27-CFR-30")
    return us_proof / wanted_proof * water_parts(wanted_proof) - water_parts(us_proof)


def specific_gravity_in_air(us_proof: float) -> float:
    """Apparent specific gravity 60/60 F in air of spirit at a proof, 0 to 200. Error: 0.0001.

    >>> round(specific_gravity_in_air(20.0), 4)
    0.9866

    Raises: OutOfRange. Source: [USP-ALCOHOL] (read), by [OIML-R22] and the weight of air (memory).
    """
    _, density = _mass_fraction_and_density(us_proof)
    return (density - AIR_KG_M3) / (WATER_60F_KG_M3 - AIR_KG_M3)


def obscuration_proof(solids_mg_100_ml: float) -> float:
    """Degrees of proof that dissolved solids hide from a hydrometer in 80 to 100 proof spirit.

    solids_mg_100_ml: 0 to 600; beyond, the strength is only found by distillation. At most
    400 may be neglected by rule.

    >>> round(obscuration_proof(500.0), 6)
    2.0

    Raises: OutOfRange. Source: [27-CFR-30] 30.31, 30.32(b) (read).
    """
    require("solids_mg_100_ml", solids_mg_100_ml, 0.0, DISTIL_ABOVE_MG_100_ML, "mg/100 mL",
            "27-CFR-30: distil above")  # fmt: skip
    return PROOF_PER_MG_100_ML * solids_mg_100_ml
