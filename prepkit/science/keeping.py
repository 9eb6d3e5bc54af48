"""Keeping: salts, water activity, freezing point, and what the food tables say about them.

Sodium chloride has its own curves. Other salts are counted by their ions: the acid as the acid
itself, and each potassium or sodium as one more particle; where there is more of these than the
acids can hold, a bicarbonate ion comes with it.

Information, never a verdict on keeping: surface mould, yeasts that stand sugar, and pH decide too.

Nothing here declares a food fit to keep. A table answers whether it asks for time and temperature
control on pH and water activity alone; the authority, a laboratory and a calibrated meter decide.
"""

import math
from collections.abc import Mapping
from math import exp, log, sqrt
from types import MappingProxyType
from typing import Literal, NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science import ethanol, sucrose
from prepkit.science.sucrose import ICE_LN_A, ICE_LN_B, NORRISH_K
from prepkit.science.sucrose import MOLAR_MASS_G_MOL as SUCROSE_G_MOL
from prepkit.science.water import WATER_G_MOL

# ---- salt, citrates and bicarbonate in water ----

SALT_G_MOL, SODIUM_G_MOL, POTASSIUM_G_MOL = 58.443, 22.990, 39.098  # [IUPAC-WEIGHTS]
SALT_FRACTION_HIGH = 0.264  # of salt and water: saturated at 20 C (memory)
SALT_FREEZING_HIGH, SALT_ACTIVITY_HIGH = 5.12, 6.02  # mol per kg of water
IONS_HIGH, BICARBONATE_HIGH = 3.0, 1.63  # mol per kg of water, as far as [CRC102] goes
# K per mol/kg: fits to sodium citrate and potassium bicarbonate of [CRC102], 5 to 14 % by mass
ION_K, BICARBONATE_K = 0.90, 1.95
# equivalents of one mol, to about pH 8; phosphoric acid to its second
EQUIVALENTS = MappingProxyType(
    {"citric": (192.124, 3), "malic": (134.087, 2), "tartaric": (150.087, 2),
     "lactic": (90.078, 1), "acetic": (60.052, 1), "phosphoric": (97.994, 2),
     "succinic": (118.088, 2), "fumaric": (116.072, 2), "ascorbic": (176.124, 1)}
)  # fmt: skip
ERROR_SALT, ERROR_IONS = 0.002, 0.01
NAMES = ("salt", "sodium", "potassium")


def salt_freezing_depression_k(molality: float) -> float:
    """What sodium chloride lowers the freezing point of water by, K.

    molality: mol per kg of water, 0 to 5.12 (23 % by mass). Error: 0.02 K.

    >>> round(salt_freezing_depression_k(1.901), 2)
    6.58

    Raises: OutOfRange. Source: fit to [CRC102] (computed).
    """
    require("salt", molality, 0.0, SALT_FREEZING_HIGH, "mol per kg of water", "CRC102")
    return molality * (3.3493 + molality * (0.0110 + molality * 0.02457))


def salt_ln_water_activity(molality: float) -> float:
    """Logarithm of the water activity of sodium chloride in water at 25 C.

    molality: mol per kg of water, 0 to 6.02 (26 % by mass). Error: 0.002.

    >>> from math import exp
    >>> round(exp(salt_ln_water_activity(1.901)), 3)
    0.935

    Raises: OutOfRange. Source: fit to a Pitzer model [SALT-PITZER] (computed).
    """
    require("salt", molality, 0.0, SALT_ACTIVITY_HIGH, "mol per kg of water", "SALT-PITZER")
    return -molality * (0.03261 + molality * (0.001092 + molality * 0.0001916))


def ions_depression_k(masses_kg: Mapping[str, float]) -> float:
    """What the sodium and potassium of citrates, bicarbonates and foods lower freezing by, K.

    masses_kg: component -> kg, with "water"; the acids beside them are counted elsewhere. Ions to
    3 mol per kg of water, of them 1.63 without an acid. Error: 10 %; the table itself 5 %.

    >>> water, citrate = 0.9, 0.1 / 258.07
    >>> ions = {"water": water, "sodium": 3 * citrate * 22.990, "citric": citrate * 192.124}
    >>> round(ions_depression_k(ions), 2)
    1.16

    Raises: OutOfRange. Source: [CRC102] (read), split into ions (computed).
    """
    water_kg = masses_kg["water"]
    ions = (
        1000.0
        / water_kg
        * (
            masses_kg.get("sodium", 0.0) / SODIUM_G_MOL
            + masses_kg.get("potassium", 0.0) / POTASSIUM_G_MOL
        )
    )
    if not ions:
        return 0.0
    require("sodium and potassium", ions, 0.0, IONS_HIGH, "mol per kg of water", "CRC102")
    held = (
        1000.0
        / water_kg
        * math.fsum(
            number * masses_kg.get(acid, 0.0) / molar
            for acid, (molar, number) in EQUIVALENTS.items()
        )
    )
    alone = max(ions - held, 0.0)
    require("bicarbonate", alone, 0.0, BICARBONATE_HIGH, "mol per kg of water", "CRC102")
    return ION_K * ions + BICARBONATE_K * alone


def _salt_molality(masses_kg: Mapping[str, float]) -> float:
    return 1000.0 * masses_kg.get("salt", 0.0) / SALT_G_MOL / masses_kg["water"]


def depression_k(masses_kg: Mapping[str, float]) -> float:
    """Freezing depression by salt and ions together, K.

    masses_kg: component -> kg, with "water" above zero. Range and error as of
    `salt_freezing_depression_k` and `ions_depression_k`; added, which no measurement was found for.

    >>> round(depression_k({"water": 0.8, "salt": 0.2}), 1)
    16.5

    Raises: OutOfRange. Source: [CRC102] (read), added (computed).
    """
    molality = _salt_molality(masses_kg)
    alone = salt_freezing_depression_k(molality) if molality else 0.0
    return alone + ions_depression_k(masses_kg)


def ln_water_activity(masses_kg: Mapping[str, float]) -> tuple[float, float]:
    """Logarithm of the water activity of salt and ions at 25 C, and its error.

    masses_kg: component -> kg, with "water" above zero. Error: 0.002 with salt alone, 0.01 with
    other salts.

    >>> value, error = ln_water_activity({"water": 0.9, "salt": 0.1})
    >>> round(value, 3), error
    (-0.067, 0.002)

    Raises: OutOfRange.
    Source: salt by [SALT-PITZER]; ions by what they lower freezing by [CRC102] (computed).
    """
    molality = _salt_molality(masses_kg)
    value = salt_ln_water_activity(molality) if molality else 0.0
    ions_k = ions_depression_k(masses_kg)
    if not ions_k:
        return value, ERROR_SALT if molality else 0.0
    return value - ions_k * (ICE_LN_A + ICE_LN_B * ions_k), ERROR_IONS


# ---- water activity of sugars, acids, glycerol and ethanol in water, 25 C ----

# Molar mass in g/mol [IUPAC-WEIGHTS] and the constant K of Norrish's equation.
# sucrose, glucose, maltose [CHIRIFE-1980] (memory); fructose, glycerol [SCISUIT] (read). K = 0 is
# Raoult's law: acids below 10 %, and other dissolved solids, which count as a hexose (assumption).
SOLUTES = MappingProxyType(
    {
        "sucrose": (SUCROSE_G_MOL, NORRISH_K),
        "glucose": (180.156, 2.25),
        "fructose": (180.156, 2.15),
        "maltose": (342.297, 4.54),
        "lactose": (342.297, 4.54),
        "glycerol": (92.094, 1.16),
        "citric": (192.124, 0.0),
        "malic": (134.087, 0.0),
        "tartaric": (150.087, 0.0),
        "lactic": (90.078, 0.0),
        "acetic": (60.052, 0.0),
        "phosphoric": (97.994, 0.0),
        "succinic": (118.088, 0.0),
        "fumaric": (116.072, 0.0),
        "ascorbic": (176.124, 0.0),
        "other_solubles": (180.156, 0.0),
        # [ALDITOLS] (read); allulose as fructose, isomalt as maltose (assumption)
        "erythritol": (122.12, 1.34),
        "xylitol": (152.15, 1.66),
        "sorbitol": (182.17, 1.65),
        "allulose": (180.156, 2.15),
        "isomalt": (344.31, 4.54),
    }
)
_TERMS = {name: (1.0 / molar, sqrt(k)) for name, (molar, k) in SOLUTES.items()}

# Van Laar constants of water in ethanol and water, 25 C [PREPKIT-SPIRIT].
VAN_LAAR_A, VAN_LAAR_B = 1.54677, 0.95418

SOLIDS_WELL_TESTED, WATER_ACTIVITY_SOLIDS_HIGH = 0.70, 0.80
ERROR_SUCROSE, ERROR_MIXED, ERROR_RICH, ERROR_SPIRIT = 0.002, 0.01, 0.02, 0.015


def of_ethanol(mass_fraction: float) -> float:
    """Water activity of ethanol and water at 25 C.

    mass_fraction: of ethanol, 0 to 0.95. Error: 0.01 (the fit itself 0.0013).

    >>> round(of_ethanol(0.3330), 3)
    0.884

    Raises: OutOfRange.
    Source: van Laar fit [PREPKIT-SPIRIT] to a library's group-contribution values (computed);
    95 % vol as measured by [ALLAN-2019] (read).
    """
    require("mass_fraction", mass_fraction, 0.0, 0.95, "of ethanol", "PREPKIT-SPIRIT")
    spirit = mass_fraction / ethanol.MOLAR_MASS_G_MOL
    x = spirit / (spirit + (1.0 - mass_fraction) / WATER_G_MOL)
    share = VAN_LAAR_A * x / (VAN_LAAR_A * x + VAN_LAAR_B * (1.0 - x))
    return (1.0 - x) * exp(VAN_LAAR_B * share * share)


def ln_of_solids(masses_kg: Mapping[str, float]) -> float:
    """Logarithm of the water activity of all but ethanol and salts, each with all the water.

    masses_kg: component -> kg, with "water"; ethanol and salts are passed over. Solids to 0.80 of
    solids and water. Error: see `of_mixture`.

    >>> round(ln_of_solids({"water": 1.0, "sucrose": 1.0}), 4)
    -0.0675

    Raises: OutOfRange; BadInput for an unknown component or no water.
    Source: Norrish's equation for mixtures [CHIRIFE-1980] (memory).
    """
    water_kg = masses_kg.get("water", 0.0)
    if not water_kg > 0.0:
        raise BadInput("water activity needs water in the mixture; none was given.", "water")
    solutes = moles = weighted = 0.0
    for name, mass_kg in masses_kg.items():
        if not 0.0 <= mass_kg < 1e12:
            require(name, mass_kg, 0.0, 1e12, "kg")
        if name in _TERMS:
            per_g, root_k = _TERMS[name]
            amount = mass_kg * per_g
            solutes += mass_kg
            moles += amount
            weighted += root_k * amount
        elif name not in ("water", "ethanol", *NAMES):
            raise BadInput(
                f'"{name}" has no water activity constant; known are water, ethanol, '
                f"{', '.join(SOLUTES)}.",
                name,
            )
    if not moles:
        return 0.0
    share = solutes / (solutes + water_kg)
    require(
        "dissolved solids in solids and water",
        share,
        0.0,
        WATER_ACTIVITY_SOLIDS_HIGH,
        "",
        "CHIRIFE-1980",
    )
    total = moles + water_kg / WATER_G_MOL
    return log(1.0 - moles / total) - (weighted / total) ** 2


def of_mixture(masses_kg: Mapping[str, float]) -> tuple[float, float]:
    """Water activity of a mixture at 25 C, and its error, plus or minus.

    masses_kg: component -> kg, with "water" (any total). Solids to 0.80 of solids and water,
    ethanol to 0.95 of ethanol and water. Error: 0.002 for sucrose and water to 70 %, 0.01 with
    other solids, 0.02 above 70 % solids, 0.015 with ethanol and solids. Measured wines lie 0.01
    lower than such sums.

    >>> value, error = of_mixture({"water": 0.5, "sucrose": 0.5})
    >>> round(value, 3), error
    (0.935, 0.002)

    Raises: OutOfRange, BadInput.
    Source: Ross product of `of_ethanol`, the solids and `salts` (memory), no ternary measurement
    was read.
    """
    solids = exp(ln_of_solids(masses_kg))
    water_kg, spirit_kg = masses_kg["water"], masses_kg.get("ethanol", 0.0)
    dry_kg = math.fsum(masses_kg.get(name, 0.0) for name in _TERMS)
    value = solids
    error = ERROR_SUCROSE
    if dry_kg > masses_kg.get("sucrose", 0.0) + 1e-9 * water_kg:
        error = ERROR_MIXED
    if dry_kg > SOLIDS_WELL_TESTED * (dry_kg + water_kg):
        error = ERROR_RICH
    if spirit_kg:
        value *= of_ethanol(spirit_kg / (spirit_kg + water_kg))
        error = max(error, ERROR_SPIRIT if dry_kg else ERROR_MIXED)
    if any(masses_kg.get(name) for name in NAMES):
        by_salts, salt_error = ln_water_activity(masses_kg)
        value *= exp(by_salts)
        alone = not dry_kg and not spirit_kg
        error = max(salt_error if alone else ERROR_MIXED, error if not alone else 0.0)
    return value, error


# ---- freezing point of drinks and syrups ----

SOLIDS_HIGH = 0.625  # of solids and water: the ice-sucrose eutectic (memory)


def solids_depression_k(masses_kg: Mapping[str, float]) -> float:
    """Freezing depression by everything but ethanol and salts, K.

    masses_kg: component -> kg, with "water" (any total). Solids to 0.625 of solids and water.
    Error: 0.02 K for sucrose to 40 %, 5 % for other mixtures, 10 % with glycerol (two handbooks
    differ by that: 22.0 and 23.2 K at 50 %, here 21.4), not verified above 42 %.

    >>> round(solids_depression_k({"water": 0.8, "sucrose": 0.2}), 2)
    1.46

    Raises: OutOfRange; BadInput without water or for an unknown component.
    Source: sucrose by the fit to [CRC102] (read); other solutes add what Norrish's equation gives
    for them beside it (computed), glycerol held against [GLYCEROL-FREEZING] (read).
    """
    everything = ln_of_solids(masses_kg)
    water_kg, sugar_kg = masses_kg["water"], masses_kg.get("sucrose", 0.0)
    solids_kg = math.fsum(masses_kg.get(name, 0.0) for name in SOLUTES)
    share = solids_kg / (solids_kg + water_kg)
    require("dissolved solids in solids and water", share, 0.0, SOLIDS_HIGH, "", "CRC102")
    depression = sucrose.ice_depression_k(everything)
    if sugar_kg:
        alone = ln_of_solids({"water": water_kg, "sucrose": sugar_kg})
        fit = -sucrose.freezing_point_c(sugar_kg / (sugar_kg + water_kg))
        depression += fit - sucrose.ice_depression_k(alone)
    return depression


def of_mixture_c(masses_kg: Mapping[str, float]) -> float:
    """Freezing point of a mixture, C.

    masses_kg: component -> kg, with "water" (any total). Solids to 0.625 of solids and water,
    ethanol to 0.60 of ethanol and water. Error: for one solute as for its own relation; for
    mixtures the depressions are added, an approximation that no measurement was found for.

    >>> round(of_mixture_c({"water": 0.7, "sucrose": 0.2, "ethanol": 0.1}), 1)
    -7.5

    Raises: OutOfRange, BadInput.
    Source: additive depressions per kg water, [CRC102] (read) each.
    """
    depression = solids_depression_k(masses_kg)
    spirit_kg = masses_kg.get("ethanol", 0.0)
    if spirit_kg:
        molality = 1000.0 * spirit_kg / ethanol.MOLAR_MASS_G_MOL / masses_kg["water"]
        depression += ethanol.freezing_depression_k(molality)
    if any(masses_kg.get(name) for name in NAMES):
        depression += depression_k(masses_kg)
    return -depression


# ---- keeping ----

# [FOOD-CODE-TCS] tables (read in four state codes that agree). Columns are pH limits with
# whether the limit itself belongs to the milder column; rows are water activities from the dry end.
_Limits = tuple[tuple[float, bool], ...]
_Rows = tuple[tuple[tuple[float, bool], str], ...]
_PH_PACKAGED: _Limits = ((4.6, True), (5.6, True))
_ROWS_PACKAGED: _Rows = (
    ((0.92, True), "N N N"),
    ((0.95, True), "N N PA"),
    ((1.0, True), "N PA PA"),
)
_PH_OPEN: _Limits = ((4.2, False), (4.6, True), (5.0, True))
_ROWS_OPEN: _Rows = (
    ((0.88, False), "N N N N"),
    ((0.90, True), "N N N PA"),
    ((0.92, True), "N N PA PA"),
    ((1.0, True), "N PA PA PA"),
)

# 21 CFR 114.3 (read).
ACID_FOOD_PH = 4.6
COLD_HOLDING_C = 5.0  # cold food in the codes that were read, a refrigerator [FOOD-CODE-TIME]
ACIDIFIED_FOOD_WATER_ACTIVITY = 0.85


class GrowthLimit(NamedTuple):
    """What a kind of organism has been seen to need; `water_activity` is where it stops."""

    organism: str
    water_activity: tuple[float, float]
    note: str
    source: str


#: Where growth stops, by water activity (low, high). Information, never a verdict.
GROWTH_LIMITS = (
    GrowthLimit("most bacteria", (0.90, 0.91), "", "WATER-ACTIVITY-LIMITS"),
    GrowthLimit(
        "Clostridium botulinum type A",
        (0.93, 0.93),
        "pH 4.8 at the lowest",
        "WATER-ACTIVITY-LIMITS",
    ),
    GrowthLimit("Staphylococcus aureus", (0.83, 0.83), "", "WATER-ACTIVITY-LIMITS"),
    GrowthLimit("most yeasts", (0.87, 0.88), "", "WATER-ACTIVITY-LIMITS"),
    GrowthLimit("most moulds", (0.80, 0.80), "", "WATER-ACTIVITY-LIMITS"),
    GrowthLimit(
        "yeasts that like sugar",
        (0.60, 0.62),
        "grow at 60 to 70 % sucrose, from pH 2 to 7",
        "WATER-ACTIVITY-LIMITS",
    ),
)


def _column(value: float, limits: _Limits) -> int:
    """Number of limits that `value` has passed."""
    return sum(not (value < limit or (value == limit and within)) for limit, within in limits)


def time_temperature_control(
    ph: float, water_activity: float, heat_treated_and_packaged: bool
) -> Literal["N", "PA"]:
    """Ask the Food Code tables whether pH and water activity alone call for control.

    "N": the table asks for no time/temperature control on these two numbers. "PA": product
    assessment needed, so keep it as a food that needs control until somebody competent has shown
    otherwise. heat_treated_and_packaged: heated to kill vegetative cells and packaged afterwards.
    Use measured values and leave a margin; alcohol is no part of the tables. Edges are exact:
    pH 4.2 lies in the second column of the open table, 4.6 in the acid one of both, water activity
    0.92 in the row at or below 0.92.

    >>> time_temperature_control(4.1, 0.97, False), time_temperature_control(4.2, 0.97, False)
    ('N', 'PA')

    Raises: OutOfRange for pH outside 0 to 14 or water activity outside 0 to 1.
    Source: [FOOD-CODE-TCS] tables A and B (read).
    """
    require("ph", ph, 0.0, 14.0)
    require("water_activity", water_activity, 0.0, 1.0)
    if heat_treated_and_packaged:
        limits, rows = _PH_PACKAGED, _ROWS_PACKAGED
    else:
        limits, rows = _PH_OPEN, _ROWS_OPEN
    row = _column(water_activity, tuple(edge for edge, _ in rows))
    return "N" if rows[row][1].split()[_column(ph, limits)] == "N" else "PA"


def acidified_food_class(
    ph: float,
    water_activity: float,
    acid_was_added_to_low_acid_food: bool,
    alcoholic_beverage: bool = False,
) -> Literal["low-acid", "acid", "acidified", "outside"]:
    """Name the class of a shelf-stored food by the United States line of pH 4.6.

    ph: of the finished food at equilibrium, every piece of it. "low-acid": above 4.6 with a water
    activity above 0.85. "acidified": a low-acid food that added acid or acid food brought to 4.6
    or below: a regulated process. "acid": 4.6 or below by nature. "outside": dry enough, or an
    alcoholic beverage, neither of which this definition reaches. Carbonated drinks, jams and food
    that is kept refrigerated are outside the part as well. A class, not a permission.

    >>> acidified_food_class(4.6, 0.97, True), acidified_food_class(4.61, 0.97, True)
    ('acidified', 'low-acid')

    Raises: OutOfRange. Source: [CFR-21-114] (read).
    """
    require("ph", ph, 0.0, 14.0)
    require("water_activity", water_activity, 0.0, 1.0)
    if alcoholic_beverage or water_activity <= ACIDIFIED_FOOD_WATER_ACTIVITY:
        return "outside"
    if ph > ACID_FOOD_PH:
        return "low-acid"
    return "acidified" if acid_was_added_to_low_acid_food else "acid"
