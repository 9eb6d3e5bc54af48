"""Food acids: pH, titratable acidity, acids in the bottle, what authorities say, sums for
vinegar.

Chromatography and recipes count an acid with its salts; a titration finds only the part that
potassium and the like have not neutralised already: TA = sum m n - strong cations.

| module behind it | subject |
|---|---|
| acid_equilibrium | charge balance: pH, ionic strength, buffer capacity |
| acid_medium | strong cations from minerals; what sugar and alcohol do |
| titration | titratable acidity, equivalents, end points |
| acid_stock | solubility, density, concentrated lactic acid, cream of tartar |
| acid_limits | daily intake and product limits |
"""

import math
from bisect import bisect_left
from collections.abc import Mapping
from typing import NamedTuple

from prepkit.errors import UnknownIngredient, require
from prepkit.science import solution
from prepkit.science.acid_equilibrium import (
    ACIDS,
    EQUIVALENT_KG,
    ERROR_JUICE_HIGH,
    ERROR_JUICE_LOW,
    FOOD_ACIDS,
    IONIC_STRENGTH_HIGH,
    MOLAR_MASS_KG_MOL,
    STANDARDS_ONLY,
    TESTED_ACID_MOLALITY,
    WEIGHED_FORMS,
    ZERO_C_K,
    Acid,
    Equilibrium,
    activity_coefficient,
    at_fixed_ph,
    buffer_capacity,
    equilibrium,
    ionic_strength,
    known_acid,
    mean_charge,
    ph,
    ph_error,
    pka,
    strong_cation_at_ph,
    undissociated,
)
from prepkit.science.acid_medium import (
    ABV_HIGH,
    KEEPING_ABV_HIGH,
    SUGAR_HIGH,
    Equivalents,
    Shift,
    ethanol_pk_shift,
    food_acid_pk_shift,
    meter_offset_ph,
    require_medium,
    strong_cations_mol,
)
from prepkit.science.water import WATER_G_MOL

__all__ = [
    "ABV_HIGH",
    "ACIDS",
    "CONVENTIONS",
    "DENSITY_ERROR",
    "EQUIVALENT_KG",
    "ERROR_JUICE_HIGH",
    "ERROR_JUICE_LOW",
    "FOOD_ACIDS",
    "IONIC_STRENGTH_HIGH",
    "KEEPING_ABV_HIGH",
    "MINIMUM_BRIX_EU",
    "MISCIBLE",
    "MOLAR_MASS_KG_MOL",
    "PHOSPHORIC_IN_DRINKS_KG_M3",
    "STANDARDS_ONLY",
    "SUGAR_HIGH",
    "TESTED_ACID_MOLALITY",
    "Acid",
    "Convention",
    "Equilibrium",
    "Equivalents",
    "Shift",
    "activity_coefficient",
    "at_fixed_ph",
    "buffer_capacity",
    "cream_of_tartar_ratio",
    "density_kg_m3",
    "equilibrium",
    "equivalent_factor",
    "equivalent_weight_g_mol",
    "ethanol_pk_shift",
    "food_acid_pk_shift",
    "ionic_strength",
    "lactic_acts_as",
    "mean_charge",
    "meter_offset_ph",
    "ph",
    "ph_error",
    "pka",
    "protons_titrated",
    "require_medium",
    "solubility_mass_fraction",
    "solubility_range_c",
    "strong_cation_at_ph",
    "strong_cations_mol",
    "titratable_acidity_eq_kg",
    "undissociated",
]


# ---- two published sums for vinegar products ----

PKA_ACETIC = 4.756  # in water at 25 C [PREPKIT-ACID]
SAFE, STABLE = 63.0, 63.0  # the sums must be above these [CIMSCEE-1992]
PH_RANGE = (2.5, 4.0)  # of the products it is used for here: JUDGEMENT


def undissociated_fraction(ph: float) -> float:
    """Share of acetic acid that is not split.

    >>> round(undissociated_fraction(4.756), 3)
    0.5

    Raises: OutOfRange. Source: [CIMSCEE-1992] (read).
    """
    require("ph", ph, 0.0, 14.0)
    return float(1.0 / (1.0 + 10.0 ** (ph - PKA_ACETIC)))


def stability_index(
    acetic_percent: float, salt_percent: float, hexose_percent: float, disaccharide_percent: float,
    ph: float,
) -> float:  # fmt: skip
    """Above 63 no growth at room temperature is expected; no unit.

    S = 15.75 (1 - a) A + 3.08 salt + hexose + 0.5 disaccharide, each in % of the water phase, with
    a the split share of the acetic acid A.

    acetic_percent, salt_percent, hexose_percent, disaccharide_percent: % of the water phase by
    weight. ph: 2.5 to 4.0. It can be wrong, with other acids and with protein above all.

    >>> round(stability_index(2.0, 0.0, 0.0, 40.0, 3.0), 1)
    51.0

    Raises: OutOfRange. Source: [CIMSCEE-1992] (read).
    """
    require("ph", ph, *PH_RANGE)
    for name, value in (
        ("acetic_percent", acetic_percent), ("salt_percent", salt_percent),
        ("hexose_percent", hexose_percent), ("disaccharide_percent", disaccharide_percent),
    ):  # fmt: skip
        require(name, value, 0.0, 100.0)
    acid = 15.75 * undissociated_fraction(ph) * acetic_percent
    return acid + 3.08 * salt_percent + hexose_percent + 0.5 * disaccharide_percent


def safety_index(
    acetic_percent: float, salt_percent: float, hexose_percent: float, disaccharide_percent: float,
    ph: float,
) -> float:  # fmt: skip
    """Above 63 E. coli falls a thousandfold in less than 72 hours; no unit.

    The stability index with 40 (4 - pH) added, same arguments and range.

    >>> round(safety_index(2.0, 0.0, 0.0, 40.0, 3.0), 1)
    91.0

    Raises: OutOfRange. Source: [CIMSCEE-1992] (read).
    """
    stable = stability_index(
        acetic_percent, salt_percent, hexose_percent, disaccharide_percent, ph
    )  # fmt: skip
    return stable + 40.0 * (4.0 - ph)


# ---- what authorities say about acids ----

# Acceptable daily intake in kg per kg of body.
TARTARIC_ADI = 240e-6  # L(+)-tartaric acid and its salts as acid, [EFSA-2020-TARTARIC] (read)
PHOSPHORUS_ADI = 40e-6  # as phosphorus, all phosphates together, [EFSA-2019-PHOSPHATES] (read)
# Phosphoric acid in flavoured drinks, EU: 700 mg/L as P2O5, [EU-1333-2008] (memory).
PHOSPHORIC_IN_DRINKS_KG_M3 = 0.966
# Titratable acidity of lemon juice from concentrate, as anhydrous citric acid (older US rule).
LEMON_FROM_CONCENTRATE_ACIDITY = 0.045
#: Least Brix of juice made from concentrate, [EU-2001-112] as amended (read).
MINIMUM_BRIX_EU = {
    "lemon": 8.0,
    "orange": 11.2,
    "grapefruit": 10.0,
    "mandarin": 11.2,
    "pineapple": 12.8,
    "apple": 11.2,
    "passion fruit": 12.0,
    "blackcurrant": 11.0,
    "grape": 15.9,
    "sour cherry": 13.5,
    "strawberry": 7.0,
    "raspberry": 7.0,
}


# ---- titratable acidity ----

# A titration flask holds the sample diluted: mol of acid per kg of water in it.
FLASK_MOLALITY = 0.02
PH_END_LOW, PH_END_HIGH = 6.5, 9.0


class Convention(NamedTuple):
    """A way to titrate: end point, the acids it is written as, who says so."""

    ph_end: float
    written_as: tuple[str, ...]
    source: str


#: End points in use. IFU titrates malic and tartaric juices to 7.0, citric juices to 8.1.
CONVENTIONS = {
    "wine": Convention(7.0, ("tartaric", "sulfuric"), "OIV-AS313-01"),  # [OIV-AS313-01-MEMORY]
    "juice": Convention(8.1, ("citric", "malic", "tartaric"), "IFU-3"),
    "fruit products": Convention(
        8.1, ("citric_monohydrate", "malic", "tartaric", "acetic"), "AOAC-942-MEMORY"
    ),
    "dairy": Convention(8.3, ("lactic",), "PREPKIT-TRADE-ACID"),
}


def equivalent_weight_g_mol(acid: str) -> float:
    """Grams of an acid per equivalent, i.e. per mol of protons that a titration takes.

    Also knows `citric_monohydrate` and `sulfuric`. Phosphoric acid counts two protons, ascorbic
    acid one.

    >>> round(equivalent_weight_g_mol("citric"), 3)
    64.041

    Raises: UnknownIngredient.
    Source: molar masses (IUPAC weights); factors of [AOAC-942] (read).
    """
    if acid in WEIGHED_FORMS:
        molar_mass, protons = WEIGHED_FORMS[acid]
        return molar_mass / protons
    if acid not in ACIDS:
        names = ", ".join((*FOOD_ACIDS, *WEIGHED_FORMS))
        raise UnknownIngredient(
            f"{acid!r} has no equivalent weight here; known are {names}.", "acid"
        )
    row = ACIDS[acid]
    return row.molar_mass_g_mol / row.equivalents


def equivalent_factor(acid: str, as_acid: str) -> float:
    """Grams of `as_acid` that neutralise as much base as one gram of `acid`.

    >>> round(10.0 * equivalent_factor("tartaric", "citric"), 3)
    8.534

    Raises: UnknownIngredient. Source: as `equivalent_weight_g_mol`; exact but for phosphoric acid,
    which gives up 1.5 protons to pH 7 and 1.95 to pH 8.2 (see `protons_titrated`).
    """
    return equivalent_weight_g_mol(as_acid) / equivalent_weight_g_mol(acid)


def protons_titrated(
    acid: str,
    ph_end: float,
    flask_molality: float = FLASK_MOLALITY,
    temperature_c: float = 25.0,
) -> float:
    """Protons per molecule that a titration takes from an acid up to an end point.

    flask_molality: mol of the acid per kg of water in the flask, to 0.1. Range: end point
    pH 6.5 to 9, 0 to 50 C. Error: 0.01, phosphoric acid 0.03.

    >>> round(protons_titrated("phosphoric", 7.0), 1)
    1.5

    Raises: OutOfRange, UnknownIngredient. Source: charge balance, [PREPKIT-ACID] (computed).
    """
    require("flask_molality", flask_molality, 1e-6, 0.1, "mol/kg water")
    taken = _taken({known_acid(acid): flask_molality}, ph_end, temperature_c)
    return taken / flask_molality


def _taken(molalities: Mapping[str, float], ph_end: float, temperature_c: float) -> float:
    """Equivalents that all acids of a flask have lost at the end point."""
    require("ph_end", ph_end, PH_END_LOW, PH_END_HIGH, "pH")
    return at_fixed_ph(molalities, ph_end, temperature_c).acid_charge


def titratable_acidity_eq_kg(
    molalities: Mapping[str, float],
    strong_cation_molality: float = 0.0,
    ph_end: float = 8.2,
    temperature_c: float = 25.0,
) -> float:
    """Titratable acidity in equivalents per kg of water: acids less the strong cations.

    molalities: acid name -> total mol per kg water (acid with its salts);
    strong_cation_molality: equivalents per kg water, negative for strong anions. A negative answer
    means that the liquid stands above the end point already. Range: end point pH 6.5 to 9,
    0 to 50 C. Error: 1 %, phosphoric acid 2 %.

    >>> round(titratable_acidity_eq_kg({"citric": 0.1}), 2)
    0.3

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-ACID] (computed); end point 8.2 is
    the phenolphthalein colour change (practice).
    """
    require("strong_cation_molality", strong_cation_molality, None, None, "mol/kg water")
    for name, molality in molalities.items():
        require(f"molality of {name} acid", molality, 0.0, None, "mol/kg water")
    whole = math.fsum(molalities.values())
    dilution = FLASK_MOLALITY / whole if whole > FLASK_MOLALITY else 1.0
    flask = {name: molality * dilution for name, molality in molalities.items()}
    return _taken(flask, ph_end, temperature_c) / dilution - strong_cation_molality


# ---- acids in the bottle ----


class Solubility(NamedTuple):
    """Saturated mass fractions by temperature, with where they come from."""

    points: tuple[tuple[float, float], ...]
    source: str
    obtained: str


# Saturation, C -> kg acid per kg solution, anhydrous.
SOLUBILITY: dict[str, Solubility] = {
    "citric": Solubility(
        # 382.48 g in 100 ml of water at 80 C; at 100 C the lower of two, 84 % and 547.79 g.
        (
            (10.0, 0.540),
            (20.0, 0.592),
            (30.0, 0.643),
            (40.0, 0.686),
            (80.0, 382.48 / 482.48),
            (100.0, 0.840),
        ),
        "CITRIC-SOLUBILITY",
        "read",
    ),
    # L- or D-tartaric acid, 139 g in 100 g water; the racemic acid only 21 g.
    "tartaric": Solubility(((20.0, 139.0 / 239.0),), "TARTARIC-SOLUBILITY", "read"),
    # 1 g in 159 ml of water at 25 C (997.05 g/L).
    "fumaric": Solubility(((25.0, 1.0 / (1.0 + 159.0 * 0.99705)),), "FUMARIC-SUPPLIER", "read"),
    # Taken at the low end of 6 to 8 g, and at 33 g, in 100 ml of water.
    "succinic": Solubility(
        ((20.0, 6.0 / 106.0), (25.0, 6.0 / 106.0)), "ACID-SOLUBILITY-MEMORY", "memory"
    ),
    "ascorbic": Solubility(
        ((20.0, 33.0 / 133.0), (25.0, 33.0 / 133.0)), "ACID-SOLUBILITY-MEMORY", "memory"
    ),
}
# Malic acid, L or DL: ln m = a + b/T + c ln T, m in mol/kg water.
MALIC_SOLUBILITY = (-113.096, 3707.6, 18.075)
MALIC_LOW_C, MALIC_HIGH_C = 0.0, 50.0
MISCIBLE = frozenset({"lactic", "acetic", "phosphoric"})

# Density of the solution at 20 C, kg acid per kg solution -> kg/m3.
WATER_20_C = 998.2
DENSITY: dict[str, tuple[tuple[float, float], ...]] = {
    "citric": (
        (0.0, WATER_20_C),
        (0.01, 1002.2),
        (0.05, 1018.9),
        (0.10, 1040.2),
        (0.20, 1085.8),
        (0.30, 1134.6),
    ),
    "lactic": (
        (0.0, WATER_20_C),
        (0.01, 1000.2),
        (0.05, 1008.6),
        (0.10, 1019.9),
        (0.20, 1043.9),
        (0.40, 1091.5),
        (0.60, 1139.2),
        (0.80, 1184.8),
    ),
    "acetic": (
        (0.0, WATER_20_C),
        (0.01, 999.6),
        (0.05, 1005.2),
        (0.10, 1012.1),
        (0.20, 1025.0),
        (0.40, 1047.4),
        (0.60, 1062.9),
    ),
    # Specific gravity 20/4 times the density of water at 4 C.
    "malic": (
        (0.0, WATER_20_C),
        (0.05, 1.019 * 999.97),
        (0.10, 1.039 * 999.97),
        (0.20, 1.080 * 999.97),
        (0.30, 1.123 * 999.97),
        (0.40, 1.169 * 999.97),
    ),
}
# Specific volume is nearly straight between the rows: what the straight line misses.
DENSITY_ERROR = {"citric": 0.5, "lactic": 1.0, "acetic": 1.5, "malic": 1.0, "phosphoric": 1.5}
PHOSPHORIC_HIGH = 0.85

# Lactic acid esterifies with itself: equilibrium constant of the dimer chain.
LACTIC_CONSTANT = 0.2023

# Ion product of potassium hydrogen tartrate at saturation, 25 C, with activity coefficients: from
# the buffer standard saturated at 25 C (0.0341 mol/kg, pH 3.557).
CREAM_OF_TARTAR_ION_PRODUCT = 5.33e-4


def solubility_range_c(acid: str) -> tuple[float, float]:
    """Temperatures between which the solubility of an acid is known, C.

    >>> solubility_range_c("citric")
    (10.0, 100.0)

    Raises: UnknownIngredient for an acid without a published figure.
    Source: as `solubility_mass_fraction`.
    """
    if acid in MISCIBLE or acid == "malic":
        return MALIC_LOW_C, MALIC_HIGH_C
    if acid not in SOLUBILITY:
        names = ", ".join(sorted({*SOLUBILITY, *MISCIBLE, "malic"}))
        raise UnknownIngredient(f"no solubility is known for {acid!r}; known are {names}.", "acid")
    points = SOLUBILITY[acid].points
    return points[0][0], points[-1][0]


def solubility_mass_fraction(acid: str, temperature_c: float) -> float:
    """Most of an acid that stays dissolved in water, kg per kg solution (anhydrous basis).

    Straight lines between published rows, for malic acid a published equation (0 to 50 C). Citric
    acid 10 to 100 C, tartaric 20 C, fumaric 25 C, succinic and ascorbic 20 to 25 C. Lactic, acetic
    and phosphoric acid mix in every proportion: 1.0. Error: 1 % of the solution for read rows;
    succinic and ascorbic acid are rough.

    >>> round(solubility_mass_fraction("malic", 20.0), 3)
    0.555

    Raises: OutOfRange outside those temperatures, UnknownIngredient.
    Source: [CITRIC-SOLUBILITY], [APELBLAT-1995], [TARTARIC-SOLUBILITY], [FUMARIC-SUPPLIER] (read);
    the rest memory.
    """
    low, high = solubility_range_c(acid)
    source = SOLUBILITY[acid].source if acid in SOLUBILITY else "APELBLAT-1995"
    require("temperature_c", temperature_c, low, high, "C", source)
    if acid in MISCIBLE:
        return 1.0
    if acid == "malic":
        t = temperature_c + ZERO_C_K
        a, b, c = MALIC_SOLUBILITY
        grams = math.exp(a + b / t + c * math.log(t)) * ACIDS["malic"].molar_mass_g_mol
        return grams / (1000.0 + grams)
    return _between(SOLUBILITY[acid].points, temperature_c)


def _between(points: tuple[tuple[float, float], ...], x: float) -> float:
    place = bisect_left(points, (x,))
    if place < len(points) and points[place][0] == x:
        return points[place][1]
    (x0, y0), (x1, y1) = points[place - 1], points[place]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def density_kg_m3(acid: str, mass_fraction: float) -> float:
    """Density of an acid in water at 20 C, kg/m3.

    Straight in specific volume between published rows: citric to 0.30, malic to 0.40, lactic to
    0.80, acetic to 0.60. Phosphoric acid, to 0.85, as in `solution.density_kg_m3`, whose fit bends
    with its few rows. Error: DENSITY_ERROR (0.5 to 1.5 kg/m3).

    >>> round(density_kg_m3("citric", 0.06))
    1023

    Raises: OutOfRange, UnknownIngredient for an acid without published rows.
    Source: [CRC102], [LANGE-SINKS-1930], phosphoric 0.75 and 0.85 [LALIBERTE-2009] (read), 0.50
    within 1.33 to 1.34 [ECHA-PHOSPHORIC] (read).
    """
    if acid == "phosphoric":
        require("mass_fraction", mass_fraction, 0.0, PHOSPHORIC_HIGH, "kg/kg", "LALIBERTE-2009")
        return solution.density_kg_m3({acid: mass_fraction})
    if acid not in DENSITY:
        names = ", ".join(sorted((*DENSITY, "phosphoric")))
        raise UnknownIngredient(
            f"no density rows are known for {acid!r}; known are {names}.", "acid"
        )
    rows = DENSITY[acid]
    require("mass_fraction", mass_fraction, 0.0, rows[-1][0], "kg/kg", "CRC102")
    return 1.0 / _between(tuple((w, 1.0 / rho) for w, rho in rows), mass_fraction)


def _lactic_bound_share(mass_fraction_label: float) -> float:
    require("mass_fraction_label", mass_fraction_label, 0.0, 0.95, "kg/kg", "VU-2005")
    lactic = mass_fraction_label / ACIDS["lactic"].molar_mass_g_mol
    water = (1.0 - mass_fraction_label) / WATER_G_MOL
    # p (water + p lactic) = K lactic (1 - p)^2, a quadratic in the share p of bound ends
    a = lactic * (1.0 - LACTIC_CONSTANT)
    b = water + 2.0 * LACTIC_CONSTANT * lactic
    c = -LACTIC_CONSTANT * lactic
    return -2.0 * c / (b + math.sqrt(b * b - 4.0 * a * c))


def lactic_acts_as(mass_fraction_label: float) -> float:
    """Mass fraction as which a lactic acid titrates cold and at once after dilution.

    mass_fraction_label: as sold, 0 to 0.95, all lactic acid counted as monomer. In strong acid
    part is bound as an ester of itself; it comes back in hours to weeks after dilution below 30 %,
    faster warm. Error: 0.02 of the label.

    >>> round(lactic_acts_as(0.88), 2)
    0.73

    Raises: OutOfRange. Source: [VU-2005] constant and equations (read), figures computed.
    """
    return mass_fraction_label * (1.0 - _lactic_bound_share(mass_fraction_label))


def cream_of_tartar_ratio(
    molalities: Mapping[str, float],
    potassium_molality: float,
    strong_cation_molality: float | None = None,
) -> float:
    """How near potassium and tartaric acid stand to dropping cream of tartar, at 25 C.

    Ion product over its value at saturation: above 1 potassium hydrogen tartrate can crystallise,
    in days perhaps, and the more so cold or with alcohol; colder limits were not verified.
    molalities as for `ph`, with `tartaric`; potassium and strong cations in mol and equivalents
    per kg water (strong cations: potassium alone when not given). Error: 15 %.

    >>> round(cream_of_tartar_ratio({"tartaric": 0.0341}, 0.0341), 2)
    1.0

    Raises: OutOfRange, UnknownIngredient.
    Source: from the hydrogen tartrate pH standard, [IUPAC-2002] (memory).
    """
    require("potassium_molality", potassium_molality, 0.0, None, "mol/kg water")
    strong = potassium_molality if strong_cation_molality is None else strong_cation_molality
    shares = undissociated(molalities, strong).get("tartaric")
    if shares is None:
        return 0.0
    gamma = activity_coefficient(1, equilibrium(molalities, strong).ionic_strength)
    return potassium_molality * shares[1] * gamma**2 / CREAM_OF_TARTAR_ION_PRODUCT
