"""Water with sugars, ethanol, acids and glycerol: density and what instruments read in it.

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
from collections.abc import Mapping
from math import sqrt
from types import MappingProxyType

from prepkit.errors import BadInput, OutOfRange, require
from prepkit.science import ethanol, sucrose, water

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
