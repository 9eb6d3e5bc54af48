"""Sucrose in water: density, refraction, solubility, crystals, inversion.

`mass_fraction` is kg sucrose per kg solution (0.5 = 50 Brix). Everything here is true of sucrose
and water only; `prepkit.science.solution` is for mixtures.

Split sugar weighs more (it takes up water), reads higher, lowers the water activity and
crystallises less; a syrup that inverts has not lost water.
"""

from __future__ import annotations

from math import exp, expm1, log, log1p, sqrt

from prepkit.errors import require
from prepkit.science import water
from prepkit.science.solvers import bracketed
from prepkit.science.water import GAS_CONSTANT_J_MOL_K, WATER_G_MOL

# ---- sucrose in water ----

MOLAR_MASS_G_MOL = 342.297  # [IUPAC-WEIGHTS] (read)
MASS_FRACTION_HIGH = 0.85
DENSITY_LOW_C, DENSITY_HIGH_C = 0.0, 80.0

# [SPS-4]: rows by powers of (t - 20)/100, columns by powers of the mass fraction from 1.
DENSITY = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)
# [PREPKIT-BRIX]: refractive index at 20 C by powers of Brix.
INDEX = (1.33298875, 1.42670772e-3, 5.54002833e-6, 1.00342687e-8, 1.59453598e-10, -1.08003187e-12)
# [PREPKIT-BRIX]: drift of the specific refraction of dissolved sucrose, mL/g per K.
REFRACTION_DRIFT_ML_G_K = 1.50e-5
# [PREPKIT-BRIX]: correction of a reading, by powers of the reading: times d, d^2, d^3; d = t - 20.
CORRECTION = (
    (0.0619114, 6.06167e-4, -5.38628e-6),
    (1.247595e-3, -2.200711e-5, 9.542e-8),
    (-4.60199e-6,),
)
READING_HIGH_BX = 75.0
READING_LOW_C, READING_HIGH_C = 5.0, 40.0
# [VAVRINECZ]: % w/w by powers of t.
SOLUBILITY = (64.447, 0.08222, 1.6169e-3, -1.558e-6, -4.63e-8)
SOLUBILITY_LOW_C, SOLUBILITY_HIGH_C = -13.0, 100.0
SOLUBILITY_ERROR = 0.004  # spread between the tables in print, mass fraction
NORRISH_K = 6.47  # [CHIRIFE-1980]
WATER_ACTIVITY_HIGH = 0.70
ICE_LN_A, ICE_LN_B = 9.6918e-3, 4.955e-6  # -ln of the activity of ice, per K and per K2
# [CRC102] fit: freezing depression by powers of mol per kg water, to 2.1 mol/kg.
FREEZING = (1.83435, 0.22992)
FREEZING_FIT_MOLALITY = 2.1
FREEZING_HIGH = 0.625  # ice and sugar freeze out together beyond (memory)


def _fraction(mass_fraction: float, high: float, source: str) -> None:
    if not 0.0 <= mass_fraction <= high:
        require("mass_fraction", mass_fraction, 0.0, high, "", source)


def _density(w: float, t: float) -> float:
    """The equation itself, without its limits."""
    tau = (t - 20.0) / 100.0
    (a1, a2, a3, a4, a5, a6), (b1, b2, b3, b4, b5), (c1, c2, c3, c4), (d1, d2, d3), (e1, e2) = (
        DENSITY
    )
    row = a1 + w * (a2 + w * (a3 + w * (a4 + w * (a5 + w * a6))))
    if tau != 0.0:
        row += tau * (
            b1 + w * (b2 + w * (b3 + w * (b4 + w * b5)))
            + tau * (
                c1 + w * (c2 + w * (c3 + w * c4))
                + tau * (d1 + w * (d2 + w * d3) + tau * (e1 + w * e2))
            )
        )  # fmt: skip
    return water.density_kg_m3(t) + w * row


def density_kg_m3(mass_fraction: float, temperature_c: float) -> float:
    """Density of sucrose in water, kg/m3.

    mass_fraction: 0 to 0.85. temperature_c: 0 to 80 C.
    Error: 0.3 kg/m3 for 15 to 55 C and 50 %, 1 kg/m3 elsewhere. Tables on the scale before 1990
    are lower by 0.15 at 50 % and 0.5 at 80 %.

    >>> round(density_kg_m3(0.5, 20.0), 2)
    1229.65

    Raises: OutOfRange.
    Source: [SPS-4] (read in copies), checked against [CRC102] and [LALIBERTE] (read).
    """
    _fraction(mass_fraction, MASS_FRACTION_HIGH, "SPS-4")
    if not DENSITY_LOW_C <= temperature_c <= DENSITY_HIGH_C:
        require("temperature_c", temperature_c, DENSITY_LOW_C, DENSITY_HIGH_C, "C", "SPS-4")
    return _density(mass_fraction, temperature_c)


def mass_fraction_from_density(density_kg_m3: float, temperature_c: float) -> float:
    """Mass fraction of sucrose from the density at a temperature.

    Inverse of `density_kg_m3`, to 1e-9; density between those of water and of 85 % at the
    temperature, 0 to 80 C. Error: 0.001 (0.1 Bx) below 50 %, 0.002 above.

    >>> round(mass_fraction_from_density(1229.64, 20.0), 4)
    0.5

    Raises: OutOfRange.
    Source: [SPS-4].
    """
    t = temperature_c
    require("temperature_c", t, DENSITY_LOW_C, DENSITY_HIGH_C, "C", "SPS-4")
    low, high = water.density_kg_m3(t), _density(MASS_FRACTION_HIGH, t)
    require("density_kg_m3", density_kg_m3, low - 1e-6, high + 1e-6, "kg/m3", "SPS-4")
    # Newton from a chord; the curve is convex and smooth, a few steps do.
    w = MASS_FRACTION_HIGH * (density_kg_m3 - low) / (high - low)
    for _ in range(8):  # pragma: no branch (ends by its break; the cap is against a hang)
        here = _density(w, t)
        slope = (_density(w + 1e-5, t) - here) / 1e-5
        step = (density_kg_m3 - here) / slope
        w += step
        if -1e-10 < step < 1e-10:
            break
    return min(max(w, 0.0), MASS_FRACTION_HIGH)


def _index_20(brix: float) -> float:
    a0, a1, a2, a3, a4, a5 = INDEX
    return a0 + brix * (a1 + brix * (a2 + brix * (a3 + brix * (a4 + brix * a5))))


def brix_from_index_20(index: float) -> float:
    """Brix of the 20 C scale by index, from a little below water (negative) to 85 Bx.

    index: 1.32 to 1.51 (the ends of the Newton search, not of the scale). Error: 0.03 Bx.

    >>> round(brix_from_index_20(1.39986), 2)
    40.0

    Raises: OutOfRange. Source: [PREPKIT-BRIX].
    """
    if not 1.32 <= index <= 1.51:
        require("index", index, 1.32, 1.51, "", "PREPKIT-BRIX")
    a0, a1, a2, a3, a4, a5 = INDEX
    brix = (index - a0) / 1.9e-3
    for _ in range(12):  # pragma: no branch (ends by its break; the cap is against a hang)
        slope = a1 + brix * (2 * a2 + brix * (3 * a3 + brix * (4 * a4 + brix * 5 * a5)))
        step = (index - _index_20(brix)) / slope
        brix += step
        if -1e-9 < step < 1e-9:
            break
    return brix


def refractive_index(mass_fraction: float, temperature_c: float = 20.0) -> float:
    """Refractive index of sucrose in water against air, 589 nm.

    mass_fraction: 0 to 0.85. temperature_c: 0 to 80 C. Error: 2e-5 at 20 C (to 75 %); away from
    20 C 1e-4 between 5 and 45 C, not verified outside.

    >>> round(refractive_index(0.2, 20.0), 5)
    1.36384

    Raises: OutOfRange.
    Source: [PREPKIT-BRIX], at 20 C a fit to the international sugar scale (memory) that meets
    [CRC102] (read); elsewhere Lorentz-Lorenz with [SPS-4] density and one fitted drift (computed).
    """
    _fraction(mass_fraction, MASS_FRACTION_HIGH, "PREPKIT-BRIX")
    index = _index_20(100.0 * mass_fraction)
    if temperature_c == 20.0:
        return index
    density = density_kg_m3(mass_fraction, temperature_c)
    square = index * index
    refraction = (square - 1.0) / (square + 2.0) * 1000.0 / _density(mass_fraction, 20.0)
    refraction += (1.0 - mass_fraction) * (
        water.specific_refraction_ml_g(temperature_c) - water.REFRACTION_20_ML_G
    ) + mass_fraction * REFRACTION_DRIFT_ML_G_K * (temperature_c - 20.0)
    x = refraction * density * 1e-3
    return sqrt((1.0 + 2.0 * x) / (1.0 - x))


def mass_fraction_from_refractive_index(index: float, temperature_c: float = 20.0) -> float:
    """Mass fraction of sucrose from a refractive index at a temperature.

    Inverse of `refractive_index`; index between those of water and of 85 % there. Error: 0.0003
    (0.03 Bx) at 20 C, 0.001 between 5 and 45 C.

    >>> round(mass_fraction_from_refractive_index(1.36384, 20.0), 4)
    0.2

    Raises: OutOfRange.
    Source: [PREPKIT-BRIX].
    """
    low = refractive_index(0.0, temperature_c)
    high = refractive_index(MASS_FRACTION_HIGH, temperature_c)
    if not low < index < high:  # a rounding error beyond an end is that end
        require("index", index, low - 1e-9, high + 1e-9, "", "PREPKIT-BRIX")
        return 0.0 if index <= low else MASS_FRACTION_HIGH
    if temperature_c == 20.0:
        return brix_from_index_20(index) / 100.0
    return bracketed(
        lambda w: refractive_index(w, temperature_c) - index, 0.0, MASS_FRACTION_HIGH, 1e-10
    )


def temperature_correction_bx(reading_brix: float, temperature_c: float) -> float:
    """What to add to a refractometer reading taken at a temperature, Bx.

    reading_brix: 0 to 75. temperature_c: 5 to 40 C. Error: 0.03 Bx for 10 to 30 C, 0.07 below 10,
    0.05 above 30. Old handbook tables differ by 0.03 to 0.12.

    >>> round(temperature_correction_bx(20.0, 10.0), 2)
    -0.63

    Raises: OutOfRange.
    Source: [PREPKIT-BRIX], checked against [OIV-AS2-02], [GOST-REFRACTOMETER], [ISO-1743] (read).
    """
    require("reading_brix", reading_brix, 0.0, READING_HIGH_BX, "Bx", "PREPKIT-BRIX")
    require("temperature_c", temperature_c, READING_LOW_C, READING_HIGH_C, "C", "PREPKIT-BRIX")
    d = temperature_c - 20.0
    (a0, a1, a2), (b0, b1, b2), (c0,) = CORRECTION
    r = reading_brix
    return d * (a0 + r * (a1 + r * a2) + d * (b0 + r * (b1 + r * b2) + d * c0))


def brix_at_20_c(reading_brix: float, temperature_c: float) -> float:
    """Refractometer reading as it would be at 20 C, Bx (not for an instrument that corrects).

    Range and error as for `temperature_correction_bx`. A warm sample reads low.

    >>> round(brix_at_20_c(50.0, 30.0), 2)
    50.82

    Raises: OutOfRange.
    Source: [PREPKIT-BRIX].
    """
    return reading_brix + temperature_correction_bx(reading_brix, temperature_c)


def solubility_mass_fraction(temperature_c: float) -> float:
    """Sucrose in its saturated solution in pure water, mass fraction.

    temperature_c: -13 to 100 C. Error: 0.004 (the spread of printed tables).

    >>> round(solubility_mass_fraction(20.0), 4)
    0.6672

    Raises: OutOfRange.
    Source: [VAVRINECZ] (memory), checked at 0, 20, 25 and 40 C against tables that were read.
    """
    t = temperature_c
    require("temperature_c", t, SOLUBILITY_LOW_C, SOLUBILITY_HIGH_C, "C", "VAVRINECZ")
    a0, a1, a2, a3, a4 = SOLUBILITY
    return 0.01 * (a0 + t * (a1 + t * (a2 + t * (a3 + t * a4))))


def molality(mass_fraction: float) -> float:
    """Mol sucrose per kg water.

    mass_fraction: 0 to 0.85.

    >>> round(molality(0.5066), 2)
    3.0

    Raises: OutOfRange.
    """
    _fraction(mass_fraction, MASS_FRACTION_HIGH, "molality")
    return 1000.0 * mass_fraction / (MOLAR_MASS_G_MOL * (1.0 - mass_fraction))


def water_activity(mass_fraction: float) -> float:
    """Water activity of sucrose in water at 25 C.

    mass_fraction: 0 to 0.70. Error: 0.002. Never a verdict on keeping by itself.

    >>> round(water_activity(0.5), 3)
    0.935

    Raises: OutOfRange.
    Source: Norrish's equation with K = 6.47 [CHIRIFE-1980] (memory), checked against ice points of
    [CRC102] (read) and osmotic coefficients of [ROBINSON-STOKES] (memory).
    """
    _fraction(mass_fraction, WATER_ACTIVITY_HIGH, "CHIRIFE-1980")
    sugar = mass_fraction / MOLAR_MASS_G_MOL
    x = sugar / (sugar + (1.0 - mass_fraction) / WATER_G_MOL)
    return (1.0 - x) * exp(-NORRISH_K * x * x)


def freezing_point_c(mass_fraction: float) -> float:
    """Freezing point of a sucrose syrup, C.

    mass_fraction: 0 to 0.625. Error: 0.02 K to 40 %; above 42 % not verified, the depression may be
    5 % larger.

    >>> round(freezing_point_c(0.3), 2)
    -2.66

    Raises: OutOfRange.
    Source: fit to [CRC102] (read) to 2.1 mol/kg; above, ice activity with `water_activity` scaled
    to join it (computed).
    """
    _fraction(mass_fraction, FREEZING_HIGH, "CRC102 and the ice-sugar eutectic")
    return -_depression_k(molality(mass_fraction))


def _depression_k(m: float) -> float:
    """Freezing depression at m mol sucrose per kg water, without limits."""
    if m <= FREEZING_FIT_MOLALITY:
        return m * (FREEZING[0] + FREEZING[1] * m)
    join = FREEZING_FIT_MOLALITY
    fit = join * (FREEZING[0] + FREEZING[1] * join)
    return fit * _norrish_depression_k(m) / _norrish_depression_k(join)


def _norrish_depression_k(m: float) -> float:
    x = m / (m + 1000.0 / WATER_G_MOL)
    return ice_depression_k(log1p(-x) - NORRISH_K * x * x)


def ice_depression_k(ln_water_activity: float) -> float:
    """Freezing depression of a solution with this logarithm of its water activity, K.

    ln_water_activity: -0.25 to 0 (depression to about 23 K). Error: 0.0003 of the logarithm.

    >>> round(ice_depression_k(-0.0097), 2)
    1.0

    Raises: OutOfRange.
    Source: ice activity by heat of fusion, -ln aw = 9.6918e-3 K + 4.955e-6 K^2 (computed).
    """
    require("ln_water_activity", ln_water_activity, -0.25, 0.0, "", "ice activity")
    a, b = ICE_LN_A, ICE_LN_B
    return (sqrt(a * a - 4.0 * b * ln_water_activity) - a) / (2.0 * b)


def viscosity_pa_s(mass_fraction: float, temperature_c: float) -> float:
    """Viscosity of sucrose in water, Pa s.

    mass_fraction: 0 to 0.75. temperature_c: 0 to 80 C. Error: 5 % at 20 to 35 C, 9 % at 35 to
    50 C, 15 % below 15 C, not verified above 50 C.

    >>> round(1000 * viscosity_pa_s(0.5, 20.0), 1)
    15.8

    Raises: OutOfRange.
    Source: [BUBNIK-1995] (read in a copy), checked against [CRC102], [CRC-OLD] and
    [RIYAZUDDEEN-2014] (read).
    """
    _fraction(mass_fraction, 0.75, "BUBNIK-1995")
    require("temperature_c", temperature_c, 0.0, 80.0, "C", "BUBNIK-1995")
    brix = 100.0 * mass_fraction
    x = brix / (1900.0 - 18.0 * brix)
    warmth = (30.0 - temperature_c) / (91.0 + temperature_c)
    return float(1e-3 * 10.0 ** (22.46 * x - 0.114 + warmth * (1.1 + 43.1 * x**1.25)))


def specific_heat_j_kg_k(mass_fraction: float, temperature_c: float) -> float:
    """Specific heat of sucrose in water, J/(kg K).

    mass_fraction: 0 to 0.85. temperature_c: 0 to 80 C. Error: about 2 % (weakly verified).

    >>> round(specific_heat_j_kg_k(0.5, 20.0))
    3004

    Raises: OutOfRange.
    Source: [LLANO-2005] for pure sucrose (read in a copy).
    """
    _fraction(mass_fraction, MASS_FRACTION_HIGH, "LLANO-2005")
    require("temperature_c", temperature_c, 0.0, 80.0, "C", "LLANO-2005")
    return 4184.0 - 2511.0 * mass_fraction + 7.5 * mass_fraction * temperature_c


# ---- will sugar crystallise ----

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
    s = solubility_mass_fraction(temperature_c)
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


# ---- inversion ----

ACTIVATION_J_MOL = 109_200.0  # [TOMBARI-2007]
PER_DAY_AT_PH_0 = 10.0  # [GUGGENHEIM-WISEMAN-1950] at 24.7 C, per 10^-pH
REFERENCE_K = 297.85
PER_G_L = 0.00136  # [GUGGENHEIM-WISEMAN-1950]: faster in rich syrup, at a pH that was calculated
HEXOSE_PER_SUCROSE = 1.0526  # g glucose + fructose from 1 g sucrose
PH_LOW, PH_HIGH = 2.0, 5.0
RANGE_FACTOR = 2.0  # show the rate as a range from once to twice


def rate_per_day(ph: float, temperature_c: float, sucrose_g_l: float = 0.0) -> float:
    """Rate constant of inversion, 1/day.

    ph: 2 to 5. temperature_c: 0 to 100 C. sucrose_g_l: give it where the pH was calculated from a
    recipe, leave it 0 where the pH was measured in that very syrup; 0 to 950. Error: a factor
    from 1 to 2 (RANGE_FACTOR), catalysis by citric acid itself is left out.

    >>> round(0.6931 / rate_per_day(2.5, 20.0))
    44

    Raises: OutOfRange.
    Source: [GUGGENHEIM-WISEMAN-1950] (read) with the activation energy of [TOMBARI-2007] (read).
    """
    require("ph", ph, PH_LOW, PH_HIGH, "", "GUGGENHEIM-WISEMAN-1950")
    require("temperature_c", temperature_c, 0.0, 100.0, "C", "TOMBARI-2007")
    require("sucrose_g_l", sucrose_g_l, 0.0, 950.0, "g/L", "GUGGENHEIM-WISEMAN-1950")
    warmth = ACTIVATION_J_MOL / GAS_CONSTANT_J_MOL_K
    warmth *= 1.0 / REFERENCE_K - 1.0 / (temperature_c + water.KELVIN)
    return float(PER_DAY_AT_PH_0 * 10.0**-ph * exp(warmth) * (1.0 + PER_G_L * sucrose_g_l))


def inverted_share(ph: float, temperature_c: float, days: float, sucrose_g_l: float = 0.0) -> float:
    """Share of the sucrose that is split after a time, 0 to 1.

    Ranges and error of the rate as for `rate_per_day`; days: 0 to 3650.

    >>> round(inverted_share(2.5, 20.0, 30.0), 2)
    0.37

    Raises: OutOfRange. Source: first order with `rate_per_day`.
    """
    require("days", days, 0.0, 3650.0, "d")
    return -expm1(-rate_per_day(ph, temperature_c, sucrose_g_l) * days)


def half_life_days(ph: float, temperature_c: float, sucrose_g_l: float = 0.0) -> float:
    """Days until half of the sucrose is split.

    Ranges and error as for `rate_per_day`.

    >>> round(half_life_days(3.0, 30.0))
    32

    Raises: OutOfRange. Source: first order with `rate_per_day`.
    """
    return log(2.0) / rate_per_day(ph, temperature_c, sucrose_g_l)


def after(sucrose_kg: float, share: float) -> tuple[float, float, float, float]:
    """Sucrose left, glucose and fructose formed, water taken up, all kg.

    sucrose_kg: from 0. share inverted: 0 to 1. Mass is kept: the four add up to sucrose_kg less
    twice the water taken up.

    >>> [round(one, 4) for one in after(1.0, 1.0)]
    [0.0, 0.5263, 0.5263, 0.0526]

    Raises: OutOfRange. Source: stoichiometry, 1 g sucrose to 1.0526 g hexose.
    """
    require("sucrose_kg", sucrose_kg, 0.0, None, "kg")
    require("share", share, 0.0, 1.0)
    split = sucrose_kg * share
    each = 0.5 * HEXOSE_PER_SUCROSE * split
    return sucrose_kg - split, each, each, (HEXOSE_PER_SUCROSE - 1.0) * split
