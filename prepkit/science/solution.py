"""Water with sugars, ethanol, acids and glycerol: what instruments show, and back from their
readings.

`mass_fractions` maps a component to kg per kg solution; water is what is left. The volume is that
of the water and ethanol by the international formula, and of every other solute by an apparent
specific volume that depends on its share of (solutes + water); refraction adds the same way
(Lorentz-Lorenz). Ethanol goes by its share of the solvent: counting it among the solutes would be
wrong by 3 to 12 kg/m3 in a liqueur.

Components without constants of their own: maltose and lactose count as glucose, allulose as
fructose, isomalt as sucrose; malic, tartaric,
succinic, fumaric and ascorbic acid as citric acid; other dissolved solids as sucrose.
For malic acid that is within 1.5 kg/m3 to 10 % and 6 kg/m3 too heavy at 20 % [LANGE-SINKS-1930];
for the others it is an assumption. No refractive index of these acids was read, nor one of
phosphoric acid: what they add to a reading is borrowed from citric acid and has an error of its
own, and beyond 1 % of phosphoric acid no reading is given.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Mapping
from math import sqrt
from types import MappingProxyType

from prepkit.errors import BadInput, OutOfRange, require
from prepkit.science import ethanol, sucrose, water

# ---- water with sugars, ethanol, acids and glycerol ----

# [PREPKIT-SOLUTION] apparent specific volume (mL/g) by powers of x, and apparent specific
# refraction (mL/g) by powers of x; x = share of all solutes but ethanol in (them + water).
SOLUTES = MappingProxyType(
    {
        "sucrose": (
            (0.615196, 0.013854, 0.005186, 0.009959, 0.0), (0.206726, -0.001700, -0.001029),
        ),
        "glucose": ((0.619584, 0.025344, 0.0, 0.0, 0.0), (0.207402, -0.002942, 0.0)),
        "fructose": ((0.609370, 0.030766, 0.0, 0.0, 0.0), (0.204899, -0.001731, 0.0)),
        "glycerol": ((0.774551, -0.015275, 0.033679, 0.0, 0.0), (0.223622, -0.001032, 0.0)),
        "citric": ((0.594133, 0.020264, 0.0, 0.0, 0.0), (0.192975, -0.007520, 0.0)),
        # 10 and 40 % [CRC102] within 0.02 kg/m3, 75 and 85 % [LALIBERTE-2009] within 0.5;
        # refraction as of citric acid, no table was read
        "phosphoric": ((0.476930, 0.024321, 0.030528, 0.0, 0.0), (0.192975, -0.007520, 0.0)),
        # 1 to 60 % of [CRC102]: within 0.06 kg/m3 and 0.5e-4
        "acetic": ((0.859519, 0.049534, 0.030353, 0.0, 0.0), (0.217837, -0.000918, 0.0)),
        # 1 to 80 % of [CRC102], within 0.03 kg/m3; its indices below 14 % are a straight line in
        # print and were given little weight
        "lactic": (
            (0.807090, -0.276109, 1.022749, -1.415843, 0.704906), (0.215266, -0.002134, 0.0),
        ),
        # 1 to 26 % of [CRC102] within 0.06 kg/m3
        "salt": ((0.288875, 0.405575, -0.645262, 0.610736, 0.0), (0.158350, -0.002946, -0.011841)),
        # what they add beside the acid: trisodium citrate 1 to 36 % within 0.7 kg/m3, potassium
        # bicarbonate to 24 % within 0.6 kg/m3, both [CRC102]
        "sodium": ((-0.460191, 0.513727, 0.558637, 0.0, 0.0), (0.070382, -0.001086, 0.0)),
        "potassium": ((-0.043013, 0.369501, 0.0, 0.0, 0.0), (0.021497, 0.0, 0.0)),
        # molar volumes at infinite dilution, 25 C [ALDITOLS]; refraction by atoms (memory)
        "erythritol": ((0.7110, 0.0, 0.0, 0.0, 0.0), (0.2192, 0.0, 0.0)),
        "xylitol": ((0.6712, 0.0, 0.0, 0.0, 0.0), (0.2163, 0.0, 0.0)),
        "sorbitol": ((0.6521, 0.0, 0.0, 0.0, 0.0), (0.2144, 0.0, 0.0)),
    }
)  # fmt: skip
# apparent specific refraction of ethanol, x = its share of (ethanol + water): 1 to 100 % of
# [CRC102] within 0.6e-4
ETHANOL_REFRACTION = (0.277601, -0.002478, 0.014457, -0.008963)
STAND_INS = MappingProxyType(
    {
        "maltose": "glucose",
        "lactose": "glucose",
        "allulose": "fructose",
        "isomalt": "sucrose",
        "malic": "citric",
        "tartaric": "citric",
        "succinic": "citric",
        "fumaric": "citric",
        "ascorbic": "citric",
        "other_solubles": "sucrose",
    }
)
COMPONENTS = ("water", *SOLUTES, "ethanol", *STAND_INS)
ACIDS = frozenset(
    ("citric", "acetic", "lactic", "malic", "tartaric", "succinic", "fumaric", "ascorbic",
     "phosphoric")
)  # fmt: skip

# Refraction borrowed from citric acid: how wrong the Bx that 1 kg/kg adds may be. Judged: a tenth
# of it for acids of carbon, half for phosphoric acid (from memory 10 % reads near 6 Bx, not 12).
REFRACTION_ERROR_BX = MappingProxyType(
    {"malic": 10.0, "tartaric": 10.0, "succinic": 10.0, "fumaric": 10.0, "ascorbic": 10.0,
     "phosphoric": 60.0, "erythritol": 3.0, "xylitol": 3.0, "sorbitol": 3.0, "isomalt": 5.0,
     "allulose": 3.0, "potassium": 20.0, "sodium": 5.0}
)  # fmt: skip
# How wrong the density that 1 kg/kg adds may be, kg/m3, beside what its class says (judged):
# alditols by their volume in much water, potassium of a citrate by that of a bicarbonate.
DENSITY_ERROR_KG_M3 = MappingProxyType(
    {"erythritol": 15.0, "xylitol": 15.0, "sorbitol": 15.0, "isomalt": 25.0, "allulose": 15.0,
     "potassium": 130.0, "sodium": 30.0, "salt": 2.0}
)  # fmt: skip
SALT_HIGH = 0.264  # of salt and water: saturated at 20 C (memory)
PHOSPHORIC_READING_HIGH = 0.01

_BORROWED = tuple(name for name, other in STAND_INS.items() if other == "citric")

SOLIDS_HIGH = 0.85  # share x of solutes other than glycerol, which is fitted to 1
SOLIDS_COLD_LOW_C = -10.0
READINGS_ETHANOL_HIGH = 0.30
_ROWS = {
    name: SOLUTES[STAND_INS.get(name, name)] for name in (*SOLUTES, *STAND_INS)
}  # fmt: skip
_SOURCE = "PREPKIT-SOLUTION"
_WATER_20 = ethanol.density_kg_m3(0.0, 20.0)
_SUGAR_WATER_20 = water.density_kg_m3(20.0)
# so that plain water reads 0 with either equation of its density
_WATER_REFRACTION = water.REFRACTION_20_ML_G * _SUGAR_WATER_20 / _WATER_20
_HEAVIEST_20 = sucrose.density_kg_m3(sucrose.MASS_FRACTION_HIGH, 20.0)


def _parts(mass_fractions: Mapping[str, float]) -> tuple[float, float, float, float]:
    """Check the fractions; (water, ethanol, solutes, x = solutes / (solutes + water))."""
    spirit = solids = glycerol = 0.0
    for name, value in mass_fractions.items():
        if not 0.0 <= value <= 1.0:
            require(name, value, 0.0, 1.0, "as a mass fraction", _SOURCE)
        if name == "ethanol":
            spirit = value
        elif name in _ROWS:
            solids += value
            if name == "glycerol":
                glycerol = value
        elif name != "water":
            raise BadInput(
                f'"{name}" is not a component of a solution; they are {", ".join(COMPONENTS)}.',
                name,
            )
    left = 1.0 - spirit - solids
    salt = mass_fractions.get("salt", 0.0)
    if salt > SALT_HIGH * (salt + max(left, 0.0)) + 1e-9:
        raise OutOfRange(
            "salt in salt and water", salt / (salt + max(left, 0.0)), 0.0, SALT_HIGH, "by mass",
            "saturated at 20 °C",
        )  # fmt: skip
    if left < 0.0:
        if left < -1e-9:
            raise OutOfRange("sum of mass_fractions", spirit + solids, 0.0, 1.0, "", _SOURCE)
        left = 0.0
    x = solids / (solids + left) if solids else 0.0
    if x > SOLIDS_HIGH:
        high = SOLIDS_HIGH + (1.0 - SOLIDS_HIGH) * glycerol / solids
        if x > high + 1e-9:
            raise OutOfRange(
                "dissolved solids in solids and water", x, 0.0, high, "by mass", _SOURCE
            )
    return left, spirit, solids, x


def density_kg_m3(mass_fractions: Mapping[str, float], temperature_c: float = 20.0) -> float:
    """Density of the solution, kg/m3.

    temperature_c: 0 to 80 C without ethanol; with ethanol -20 to 40 C, with ethanol and solids
    -10 to 40 C. Solids without glycerol to 0.85 of solids and water.
    Away from 20 C dissolved solids change their volume as the same mass of sucrose does in a
    syrup of the same share x (below 0 C by the slope between 0 and 5 C): exact for sucrose,
    up to 0.2 kg/m3 per K off for 60 % glycerol, not verified for others. At 20 C see
    `density_error_kg_m3`.

    >>> round(density_kg_m3({"sucrose": 0.25, "ethanol": 0.15}), 1)
    1076.1

    Raises: OutOfRange; BadInput for an unknown component.
    Source: [PREPKIT-SOLUTION] fits to [CRC102] and [SPS-4] (computed), [OIML-R22], [SPS-4].
    """
    return 1000.0 / _volume_ml_g(mass_fractions, temperature_c, _parts(mass_fractions))


def _volume_ml_g(
    mass_fractions: Mapping[str, float], t: float, parts: tuple[float, float, float, float]
) -> float:
    """Specific volume of the solution, mL/g."""
    left, spirit, solids, x = parts
    solvent = left + spirit
    if spirit:
        volume = 1000.0 * solvent / ethanol.density_kg_m3(spirit / solvent, t)
    elif t == 20.0:
        volume = 1000.0 * left / _WATER_20
    elif 0.0 <= t <= ethanol.DENSITY_HIGH_C:
        volume = 1000.0 * left / ethanol.density_kg_m3(0.0, t)
    else:
        volume = 1000.0 * left / water.density_kg_m3(t)
    if not solids:
        return volume
    rows = _ROWS
    for name, value in mass_fractions.items():
        if name in rows and value:
            v0, v1, v2, v3, v4 = rows[name][0]
            volume += value * (v0 + x * (v1 + x * (v2 + x * (v3 + x * v4))))
    if t != 20.0:
        volume += (solids + left) * _warming_ml_g(min(x, SOLIDS_HIGH), t)
    return volume


def _warming_ml_g(x: float, t: float) -> float:
    """Change of the solids' own volume from 20 C to t, mL per g of (solids + water)."""
    if t < 0.0:
        require("temperature_c", t, SOLIDS_COLD_LOW_C, None, "C with dissolved solids", _SOURCE)
        cold = _warming_ml_g(x, 0.0)
        return cold + 0.2 * t * (_warming_ml_g(x, 5.0) - cold)
    there = 1.0 / sucrose.density_kg_m3(x, t) - 1.0 / sucrose.density_kg_m3(x, 20.0)
    return 1000.0 * (there - (1.0 - x) * (1.0 / water.density_kg_m3(t) - 1.0 / _SUGAR_WATER_20))


def density_error_kg_m3(mass_fractions: Mapping[str, float]) -> float:
    """Stated error of `density_kg_m3` at 20 C, plus or minus kg/m3 (judged, not measured).

    Water and ethanol alone 0.2; sucrose and water alone 0.5 to 70 %. Otherwise 0.5 to 40 % solids
    with 10 % ethanol and 6 % acid by mass, 1.5 to 25 % ethanol or in richer syrup, 10 to 40 %
    ethanol, beyond 30 % acid, or beyond 10 % of an acid that citric acid stands in for. Salts and
    sugar alcohols add DENSITY_ERROR_KG_M3.

    >>> density_error_kg_m3({"sucrose": 0.2, "ethanol": 0.3})
    10.0

    Raises: OutOfRange for dissolved solids in more than 40 % ethanol by mass, and for more than
    25 % of a stand-in acid: weigh instead.
    Source: [PREPKIT-SOLUTION] comparisons with published mixtures (computed).
    """
    own = math.fsum(
        error * mass_fractions.get(name, 0.0) for name, error in DENSITY_ERROR_KG_M3.items()
    )
    return _by_class(mass_fractions, 0.2, 0.5, 1.5, 10.0) + own


def refractometer_error_bx(mass_fractions: Mapping[str, float]) -> float:
    """Stated error of `refractometer_brix`, plus or minus Bx, by the classes of density.

    0.1, 0.25 and 1 Bx, and for acids whose index was not read REFRACTION_ERROR_BX on top (judged).

    >>> refractometer_error_bx({"sucrose": 0.2, "ethanol": 0.05})
    0.1
    >>> round(refractometer_error_bx({"malic": 0.02}), 2)
    0.3

    Raises: OutOfRange as `density_error_kg_m3`, and above 1 % phosphoric acid.
    Source: [PREPKIT-SOLUTION] (computed).
    """
    _require_known_refraction(mass_fractions)
    borrowed = math.fsum(
        error * mass_fractions.get(name, 0.0) for name, error in REFRACTION_ERROR_BX.items()
    )
    return _by_class(mass_fractions, 0.1, 0.1, 0.25, 1.0) + borrowed


def _require_known_refraction(mass_fractions: Mapping[str, float]) -> None:
    phosphoric = mass_fractions.get("phosphoric", 0.0)
    if phosphoric > PHOSPHORIC_READING_HIGH:
        raise OutOfRange(
            "phosphoric acid in a refractometer reading", phosphoric, 0.0, PHOSPHORIC_READING_HIGH,
            "by mass", "no refractive index of it was read"
        )  # fmt: skip


def _by_class(
    mass_fractions: Mapping[str, float], binary: float, good: float, fair: float, rough: float
) -> float:
    _, spirit, solids, _ = _parts(mass_fractions)
    acid = math.fsum(value for name, value in mass_fractions.items() if name in ACIDS)
    if solids < 1e-4:
        return binary
    plain = not spirit and mass_fractions.get("sucrose", 0.0) >= solids - 1e-4
    if (plain and solids <= 0.70) or (spirit <= 0.10 and solids <= 0.40 and acid <= 0.06):
        return good
    borrowed = math.fsum(mass_fractions.get(name, 0.0) for name in _BORROWED)
    if spirit <= 0.25 and acid <= 0.30 and borrowed <= 0.10:
        return fair
    require("acids without constants of their own", borrowed, 0.0, 0.25, "by mass", _SOURCE)
    require("ethanol", spirit, 0.0, 0.40, "by mass with dissolved solids", _SOURCE)
    return rough


def refractive_index(mass_fractions: Mapping[str, float]) -> float:
    """Refractive index against air at 589 nm and 20 C.

    Range as for density, phosphoric acid to 1 %. Error: 1.5e-4 to 5e-4, see
    `refractometer_error_bx`.

    >>> round(refractive_index({"citric": 0.10}), 3)
    1.346

    Raises: OutOfRange, BadInput.
    Source: [PREPKIT-SOLUTION] additive specific refraction, fits to [CRC102] (computed).
    """
    parts = left, spirit, solids, x = _parts(mass_fractions)
    _require_known_refraction(mass_fractions)
    volume = _volume_ml_g(mass_fractions, 20.0, parts)
    refraction = left * _WATER_REFRACTION
    if spirit:
        e = spirit / (spirit + left)
        f0, f1, f2, f3 = ETHANOL_REFRACTION
        refraction += spirit * (f0 + e * (f1 + e * (f2 + e * f3)))
    if solids:
        rows = _ROWS
        for name, value in mass_fractions.items():
            if name in rows and value:
                f0, f1, f2 = rows[name][1]
                refraction += value * (f0 + x * (f1 + x * f2))
    q = refraction / volume
    return sqrt((1.0 + 2.0 * q) / (1.0 - q))


def refractometer_brix(mass_fractions: Mapping[str, float]) -> float:
    """What a refractometer on the sucrose scale shows at 20 C, Bx: a reading, not the sugar.

    Range as for density, reading to 85 Bx. Error: `refractometer_error_bx`.

    >>> round(refractometer_brix({"sucrose": 0.20, "ethanol": 0.10}), 1)
    24.0

    Raises: OutOfRange, BadInput. Source: [PREPKIT-SOLUTION], [PREPKIT-BRIX] (computed).
    """
    brix = sucrose.brix_from_index_20(refractive_index(mass_fractions))
    require("refractometer reading", brix, -0.05, 85.0, "Bx", "the sugar scale")
    return max(brix, 0.0)


def hydrometer_brix(mass_fractions: Mapping[str, float]) -> float:
    """What a hydrometer on the sucrose scale shows at 20 C, Bx: a reading, not the sugar.

    Range as for density, in a solution heavier than water. Error: 0.25 Bx per kg/m3 of
    `density_error_kg_m3`.

    >>> round(hydrometer_brix({"sucrose": 0.20, "ethanol": 0.10}), 1)
    15.7

    Raises: OutOfRange (also for a liquid lighter than water, where the scale has no number).
    Source: [PREPKIT-SOLUTION], [SPS-4] (computed).
    """
    density = density_kg_m3(mass_fractions)
    if density < _WATER_20 + 0.05:  # the two equations of water differ by 0.002
        require("density", density, _WATER_20 - 0.05, None, "kg/m3", "the sugar scale")
        return max(0.0, (density - _WATER_20) / 3.85)
    density = min(density, max(_HEAVIEST_20, density - 0.05))
    return 100.0 * sucrose.mass_fraction_from_density(density, 20.0)


def sucrose_and_ethanol_from_readings(
    refractometer_brix: float,
    density_kg_m3: float,
    acid_mass_fraction: float = 0.0,
    acid: str = "citric",
) -> tuple[float, float]:
    """Mass fractions of sugar (as sucrose) and ethanol from two readings at 20 C.

    refractometer_brix: 0 to 85 Bx. acid_mass_fraction: from the recipe or a titration, 0 to 0.10;
    two readings never tell acid from sugar (1 % ignored makes 1 % too much sugar). In practice
    1 Bx and 2 % vol, whatever the digits say: not for a label.

    >>> sugar, spirit = sucrose_and_ethanol_from_readings(24.05, 1062.6)
    >>> round(sugar, 2), round(spirit, 2)
    (0.2, 0.1)

    Raises: OutOfRange, above 30 % ethanol by mass too, and where no mixture gives the readings.
    Source: [PREPKIT-SOLUTION] solved; practical error [MIXTURE-REGRESSION] (abstract read).
    """
    require("refractometer_brix", refractometer_brix, 0.0, 85.0, "Bx", _SOURCE)
    require("density_kg_m3", density_kg_m3, 780.0, 1450.0, "kg/m3", _SOURCE)
    require("acid_mass_fraction", acid_mass_fraction, 0.0, 0.10, "", _SOURCE)
    if acid not in ACIDS:
        raise BadInput(
            f'"{acid}" is not an acid of a solution; they are {", ".join(sorted(ACIDS))}.'
        )
    heavy = (density_kg_m3 - _WATER_20) / 4.3  # roughly the other reading: only a start
    s = max(0.005 * (refractometer_brix + heavy) - 0.9 * acid_mass_fraction, 0.0)
    e = max(0.0100 * (refractometer_brix - heavy), 0.0)
    e = min(e, 0.5)
    s = min(s, 0.84 - e)
    step_s = step_e = 1.0
    for _ in range(40):  # pragma: no branch (ends by its break; the cap is against a hang)
        r0, d0 = _readings(s, e, acid, acid_mass_fraction)
        r1, d1 = _readings(s + 1e-5, e, acid, acid_mass_fraction)
        r2, d2 = _readings(s, e + 1e-5, acid, acid_mass_fraction)
        a, b, c, d = (r1 - r0) * 1e5, (r2 - r0) * 1e5, (d1 - d0) * 1e5, (d2 - d0) * 1e5
        f, g = refractometer_brix - r0, density_kg_m3 - d0
        whole = a * d - b * c
        step_s, step_e = (f * d - b * g) / whole, (a * g - f * c) / whole
        cut = max(1.0, abs(step_s) / 0.1, abs(step_e) / 0.1)
        s, e = max(s + step_s / cut, -0.01), max(e + step_e / cut, -0.01)
        if s + e > 0.9:
            s, e = 0.9 * s / (s + e), 0.9 * e / (s + e)
        if abs(step_s) < 1e-9 and abs(step_e) < 1e-9:
            break
    require("ethanol in the sample", e, -0.003, READINGS_ETHANOL_HIGH, "by mass", _SOURCE)
    require("sugar in the sample", s, -0.003, SOLIDS_HIGH, "by mass", _SOURCE)
    # not met by 25,000 random pairs; it stands against a search that gives up without a word
    if abs(step_s) > 1e-6 or abs(step_e) > 1e-6:  # pragma: no cover
        raise BadInput("no mixture of sugar, ethanol and water gives these two readings.")
    return max(s, 0.0), max(e, 0.0)


def _readings(s: float, e: float, acid: str, acid_fraction: float) -> tuple[float, float]:
    """Refractometer Bx and density; below zero the mirror image, so that a search can pass."""
    if s < 0.0 or e < 0.0:
        at = _readings(max(s, 0.0), max(e, 0.0), acid, acid_fraction)
        mirror = _readings(abs(s), abs(e), acid, acid_fraction)
        return 2.0 * at[0] - mirror[0], 2.0 * at[1] - mirror[1]
    mix = {"sucrose": s, "ethanol": e, acid: acid_fraction}
    return sucrose.brix_from_index_20(refractive_index(mix)), density_kg_m3(mix)


# ---- from what an instrument shows to what is there ----

SG_WATER_20_KG_M3 = 998.203
BAUME = 145.0  # [MOHOS-2010]
# [ACID-CORRECTION]: anhydrous citric acid % w/w -> Bx to add on the juice trade's scale.
JUICE_CORRECTION = (
    (0.0, 0.0), (1.0, 0.20), (2.0, 0.39), (4.0, 0.78), (5.0, 0.97), (6.0, 1.15), (8.0, 1.54),
    (10.0, 1.91), (15.0, 2.81), (20.0, 3.70),
)  # fmt: skip
CITRIC_BX_PER_PERCENT = 0.88  # [PREPKIT-SOLUTION]: what 1 % citric acid adds to the reading
INVERT_BX_PER_PERCENT = 0.020  # between [CRC102] 0.018, [HONEY-INDEX] 0.021 and trade 0.022
OIV_FACTOR = 1.00180  # [OIV-AS2-03B]
# [PREPKIT-SPIRIT] fit to [CRC102]: sucrose g/L by powers of (relative density - 1).
EXTRACT = (2585.06, 242.82, 217.22)


def density_from_baume(baume: float) -> float:
    """Density at 20 C, kg/m3, from degrees Baume (modulus 145), 0 to 48. Error: 0.2 kg/m3.

    >>> round(density_from_baume(4.0), 1)
    1026.5

    Raises: OutOfRange. Source: [MOHOS-2010] (read).
    """
    require("baume", baume, 0.0, 48.0, "degrees", "MOHOS-2010")
    return BAUME * SG_WATER_20_KG_M3 / (BAUME - baume)


def juice_acid_correction_bx(citric_percent: float) -> float:
    """Bx that the juice trade adds to a refractometer reading for its acid.

    citric_percent: anhydrous citric acid, % w/w, 0 to 20. Error: 0.01. It leads to total soluble
    solids on the trade's scale. For the sugar alone subtract instead: `sugar_from_reading`.

    >>> juice_acid_correction_bx(5.0)
    0.97

    Raises: OutOfRange. Source: [ACID-CORRECTION] (read), straight lines between its rows.
    """
    require("citric_percent", citric_percent, 0.0, 20.0, "% w/w", "ACID-CORRECTION")
    rows = JUICE_CORRECTION
    at = min(bisect_right(rows, (citric_percent, 1e9)) - 1, len(rows) - 2)
    (x0, y0), (x1, y1) = rows[at], rows[at + 1]
    return y0 + (y1 - y0) * (citric_percent - x0) / (x1 - x0)


def sugar_from_reading(reading_brix: float, citric_percent: float = 0.0) -> float:
    """Sugar, % w/w, from a 20 C refractometer reading without alcohol, the acid being known.

    reading_brix: 0 to 85. citric_percent: 0 to 10, from a recipe or titration. Error: 0.3.

    >>> round(sugar_from_reading(61.07, 3.85), 1)
    57.7

    Raises: OutOfRange, also where the acid alone would read more.
    Source: [PREPKIT-SOLUTION]: 0.88 Bx for each % citric acid (computed).
    """
    require("reading_brix", reading_brix, 0.0, 85.0, "Bx")
    require("citric_percent", citric_percent, 0.0, 10.0, "% w/w", "PREPKIT-SOLUTION")
    sugar = reading_brix - CITRIC_BX_PER_PERCENT * citric_percent
    require("sugar after the acid correction", sugar, 0.0, 85.0, "% w/w")
    return sugar


def solids_with_invert(reading_brix: float, invert_percent: float) -> float:
    """True solids, % w/w, from a 20 C refractometer reading of a syrup that holds invert sugar.

    reading_brix: 0 to 85. invert_percent: glucose and fructose, % w/w, 0 to 85. Error: 0.2.

    >>> round(solids_with_invert(78.4, 80.0), 1)
    80.0

    Raises: OutOfRange. Source: [CRC102] and [HONEY-INDEX] (read); the trade's factor is 0.022.
    """
    require("reading_brix", reading_brix, 0.0, 85.0, "Bx")
    require("invert_percent", invert_percent, 0.0, 85.0, "% w/w")
    return reading_brix + INVERT_BX_PER_PERCENT * invert_percent


def sugar_and_strength_quick(
    refractometer_brix: float, hydrometer_brix: float
) -> tuple[float, float]:
    """Sugar (% w/w) and strength (% vol) of an acid-free mix by the two-reading rule of thumb.

    refractometer_brix: 0 to 60. hydrometer_brix: 0 to the refractometer's. Error: 0.4 for 5 to
    40 % sugar and 15 % ethanol by mass; in practice 1 Bx and 2 % vol. Not for labels.

    >>> [round(one, 1) for one in sugar_and_strength_quick(24.0, 15.8)]
    [19.9, 13.2]

    Raises: OutOfRange.
    Source: [POBEREZHETS] (abstract read) for the mean, [PREPKIT-SOLUTION] (computed).
    """
    require("refractometer_brix", refractometer_brix, 0.0, 60.0, "Bx", "POBEREZHETS")
    require("hydrometer_brix", hydrometer_brix, 0.0, refractometer_brix, "Bx", "POBEREZHETS")
    sugar = 0.5 * (refractometer_brix + hydrometer_brix)
    return sugar, (refractometer_brix - hydrometer_brix) / (0.703 - 0.0042 * sugar)


def relative_density_without_alcohol(density_kg_m3: float, abv: float) -> float:
    """Relative density 20/20 that the drink would have with its alcohol taken out.

    density_kg_m3 at 20 C: 780 to 1400. abv: fraction by volume, 0 to 0.60.

    >>> round(relative_density_without_alcohol(1030.0, 0.12), 5)
    1.04773

    Raises: OutOfRange. Source: Tabarie's rule as in [OIV-AS2-03B] (read).
    """
    require("density_kg_m3", density_kg_m3, 780.0, 1400.0, "kg/m3", "OIV-AS2-03B")
    require("abv", abv, 0.0, 0.60, "as a fraction by volume", "OIV-AS2-03B")
    spirit = ethanol.density_kg_m3(ethanol.mass_fraction_from_abv(abv), 20.0)
    return OIV_FACTOR * (density_kg_m3 - spirit) / 1000.0 + 1.0


def extract_g_l(density_kg_m3: float, abv: float) -> float:
    """Sugar, g/L, of a sweet drink from its density at 20 C and its known strength.

    Error: 3 g/L below 20 % vol, at least 3 % of the sugar above, where it was not verified: weigh
    the sugar in instead. Ranges as for `relative_density_without_alcohol`, result 0 to 772.

    >>> round(extract_g_l(1030.0, 0.12), 1)
    124.0

    Raises: OutOfRange, also where the strength given leaves less than no sugar.
    Source: [OIV-AS2-03B] (read), inverted by a fit to [CRC102] (computed).
    """
    x = relative_density_without_alcohol(density_kg_m3, abv) - 1.0
    a, b, c = EXTRACT
    found = x * (a + x * (b + x * c))
    require("sugar by density and strength", found, 0.0, 772.0, "g/L", "OIV-AS2-03B")
    return found


def delle_units(sugar_g_l: float, abv: float) -> float:
    """Sugar in g per 100 mL plus 4.5 times % vol: an index of wine yeast, never a verdict.

    sugar_g_l: 0 to 900. abv: fraction by volume, 0 to 1. About 78 stops wine yeast; it says nothing
    of yeasts that stand sugar, of mould on the surface, or of juice solids.

    >>> delle_units(200.0, 0.15)
    87.5

    Raises: OutOfRange. Source: [KUNKEE-AMERINE-1968] (read).
    """
    require("sugar_g_l", sugar_g_l, 0.0, 900.0, "g/L", "KUNKEE-AMERINE-1968")
    require("abv", abv, 0.0, 1.0, "as a fraction by volume", "KUNKEE-AMERINE-1968")
    return sugar_g_l / 10.0 + 4.5 * 100.0 * abv


def specific_gravity(density_kg_m3: float) -> float:
    """Relative density 20/20 from the density at 20 C, kg/m3.

    >>> round(specific_gravity(1229.65), 4)
    1.2319

    Raises: OutOfRange. Source: division by 998.203 kg/m3 [SPS-4].
    """
    require("density_kg_m3", density_kg_m3, 600.0, 2000.0, "kg/m3")
    return density_kg_m3 / SG_WATER_20_KG_M3


# ---- coffee ----

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
