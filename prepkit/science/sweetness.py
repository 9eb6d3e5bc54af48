"""Sweet and sour: sugars beside sucrose by temperature, acids by their titre.

Estimates to aim by, never a substitute for tasting: acid hides sweetness, sugar hides sourness,
spirit changes both, and none of that is counted.
"""

import math
from collections.abc import Mapping
from itertools import pairwise
from types import MappingProxyType
from typing import NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science.acid_equilibrium import ACIDS, FOOD_ACIDS, at_fixed_ph, known_acid
from prepkit.science.acids import FLASK_MOLALITY, equivalent_weight_g_mol

# ---- sweet and sour ----

# Relative sweetness by mass, sucrose 1: low and high of [SWEETNESS-TABLES].
SWEETNESS = MappingProxyType(
    {
        "sucrose": (1.0, 1.0), "glucose": (0.7, 0.8), "maltose": (0.3, 0.5), "lactose": (0.16, 0.2),
        "glycerol": (0.6, 0.7),
        # from memory, see [SWEETNESS-MEMORY]
        "allulose": (0.65, 0.75), "erythritol": (0.6, 0.75), "xylitol": (0.95, 1.05),
        "sorbitol": (0.5, 0.65), "isomalt": (0.45, 0.65),
    }
)  # fmt: skip
# [FRUCTOSE-SWEETNESS] (read): C, sweetness of 5 % fructose, sucrose 1
FRUCTOSE = ((5.0, 1.47), (18.0, 1.285), (40.0, 1.00), (60.0, 0.795))
SWEET_LOW_C, SWEET_HIGH_C = 0.0, 60.0
SWEETNESS_ERROR = 0.20  # of all that is not sucrose (judgement)
PERSON_ERROR = 0.20  # of any figure of taste, for one person (judgement)
SOUR_PH = 4.4  # [SOUR-TITRATION] (read)
# [SOUR-CHART] (read, weak): equal masses at pH 3.0 and 0.1 % w/v, citric 1; +/-5 % to read
SOUR_CHART = MappingProxyType(
    {"fumaric": 1.22, "malic": 1.17, "lactic": 1.11, "citric": 1.0, "tartaric": 0.97,
     "phosphoric": 0.75}
)  # fmt: skip


class Taste(NamedTuple):
    """A value with its stated error."""

    value: float
    plus_minus: float


def fructose_sweetness(temperature_c: float) -> float:
    """Sweetness of fructose beside the same mass of sucrose.

    temperature_c: 0 to 60 C; between 0 and 5 C as at 5 C. Error: 20 %.

    >>> fructose_sweetness(5.0), fructose_sweetness(40.0)
    (1.47, 1.0)

    Raises: OutOfRange. Source: [FRUCTOSE-SWEETNESS] (read, second hand), straight between its four
    temperatures.
    """
    require("temperature_c", temperature_c, SWEET_LOW_C, SWEET_HIGH_C, "C", "FRUCTOSE-SWEETNESS")
    for (t0, s0), (t1, s1) in pairwise(FRUCTOSE):
        if temperature_c <= t1:
            return s0 + (s1 - s0) * max(temperature_c - t0, 0.0) / (t1 - t0)
    raise AssertionError  # pragma: no cover (60 C is the last row and the limit)


def sweetness(mass_fractions: Mapping[str, float], temperature_c: float) -> Taste:
    """Sweetness of 1 kg as kg of sucrose, at the temperature at which it is drunk.

    mass_fractions: component to kg per kg; what is not sweet is not counted. temperature_c: 0 to
    60 C. Fructose goes by the temperature, the rest is taken not to. Error: 20 % of all that is
    not sucrose, or the span of the tables where that is more.

    >>> half = {"glucose": 0.05, "fructose": 0.05}
    >>> [round(sweetness(half, t).value, 3) for t in (5.0, 60.0)]
    [0.111, 0.077]

    Raises: OutOfRange. Source: [SWEETNESS-TABLES], [FRUCTOSE-SWEETNESS] (read), sugar alcohols and
    allulose [SWEETNESS-MEMORY].
    """
    fructose = mass_fractions.get("fructose", 0.0) * fructose_sweetness(temperature_c)
    values, errors = [fructose], [SWEETNESS_ERROR * fructose]
    for name, (low, high) in SWEETNESS.items():
        share = mass_fractions.get(name, 0.0)
        middle = 0.5 * (low + high)
        values.append(share * middle)
        if name != "sucrose":
            errors.append(share * max(SWEETNESS_ERROR * middle, 0.5 * (high - low)))
    return Taste(math.fsum(values), math.fsum(errors))


def sour_eq_kg(molalities: Mapping[str, float], strong_cation_molality: float = 0.0) -> float:
    """Base that a titration to pH 4.4 takes, equivalents per kg of water.

    It ranks acids as tongues do.

    molalities: acid name -> mol per kg water, acid with its salts. strong_cation_molality:
    equivalents per kg water. 0 where the liquid is at pH 4.4 or above already. Error: 2 % of the
    titration; how sour that tastes is a rank, not a scale.

    >>> round(sour_eq_kg({"citric": 0.05}), 3)
    0.07

    Raises: OutOfRange, UnknownIngredient. Source: end point [SOUR-TITRATION] (read), charge balance
    [PREPKIT-ACID] (computed).
    """
    require("strong_cation_molality", strong_cation_molality, None, None, "mol/kg water")
    for name, molality in molalities.items():
        require(f"molality of {name} acid", molality, 0.0, None, "mol/kg water")
    whole = math.fsum(molalities.values())
    dilution = FLASK_MOLALITY / whole if whole > FLASK_MOLALITY else 1.0
    flask = {name: molality * dilution for name, molality in molalities.items()}
    taken = at_fixed_ph(flask, SOUR_PH).acid_charge / dilution
    return max(0.0, taken - strong_cation_molality)


def sour_eq_mol(acid: str, flask_molality: float = FLASK_MOLALITY) -> float:
    """Base per mol of a plain acid in a titration to pH 4.4.

    flask_molality: mol of the acid per kg of water in the flask, 1e-6 to 0.02.

    >>> round(sour_eq_mol("citric"), 2)
    1.4

    Raises: OutOfRange, UnknownIngredient. Source: as `sour_eq_kg`.
    """
    require("flask_molality", flask_molality, 1e-6, FLASK_MOLALITY, "mol/kg water")
    return sour_eq_kg({known_acid(acid): flask_molality}) / flask_molality


def as_sour_as_citric(acid: str, flask_molality: float = FLASK_MOLALITY) -> float:
    """Mass of an acid that takes the base of one mass of citric acid to pH 4.4, kg/kg.

    flask_molality: mol of the acid per kg of water in the flask, 1e-6 to 0.02. Thinner flasks give
    less of the others (malic 8.3, lactic 7.6 for 10 of citric) since salt lowers citric acid's
    second constant most.

    >>> round(10 * as_sour_as_citric("malic"), 1), round(10 * as_sour_as_citric("malic", 1e-6), 1)
    (8.5, 8.3)

    Error: 10 % (flask); taste it. Raises: OutOfRange, UnknownIngredient. Source: as `sour_eq_kg`.
    """
    citric = sour_eq_mol("citric", flask_molality) / ACIDS["citric"].molar_mass_g_mol
    return citric / (sour_eq_mol(acid, flask_molality) / ACIDS[acid].molar_mass_g_mol)


class Swap(NamedTuple):
    """Masses of an acid that stand for one mass of citric acid, by four rules that disagree."""

    acid: str
    moles: float  # as many molecules: answers of tasters of wine followed these
    sour: float  # base to pH 4.4
    titrated: float  # base to pH 8.2
    chart: float | None  # bars of one supplier's chart

    @property
    def range(self) -> tuple[float, float]:
        """The lowest and the highest of the rules."""
        known = [value for value in self[1:] if isinstance(value, float)]
        return min(known), max(known)


def swaps() -> tuple[Swap, ...]:
    """The food acids for 1 kg of citric acid: by moles, to pH 4.4, by all its acid, by a chart.

    >>> round(10 * swaps()[0].sour, 1), swaps()[0].acid
    (10.0, 'citric')

    >>> [round(10 * one, 1) for one in swaps()[1].range], swaps()[1].acid
    ([7.0, 10.5], 'malic')

    Source: molar masses; `as_sour_as_citric`; equivalent weights; [SOUR-CHART] (read, weak).
    """
    citric = equivalent_weight_g_mol("citric")
    return tuple(
        Swap(
            acid,
            ACIDS[acid].molar_mass_g_mol / ACIDS["citric"].molar_mass_g_mol,
            as_sour_as_citric(acid),
            equivalent_weight_g_mol(acid) / citric,
            1.0 / SOUR_CHART[acid] if acid in SOUR_CHART else None,
        )
        for acid in FOOD_ACIDS
    )


# ---- relative sweetness of one sugar ----


def relative_sweetness(sugar: str, temperature_c: float) -> float:
    """Sweetness of a sugar beside the same mass of sucrose, which is 1.

    sugar: a component name such as fructose, glucose, lactose. temperature_c: 0 to 60 C; only
    fructose is known to go by it. Error: 20 % or more, `taste.sweetness` has it.

    >>> relative_sweetness("fructose", 5.0), relative_sweetness("sucrose", 20.0)
    (1.47, 1.0)

    Raises: OutOfRange; BadInput for what is no sugar known here.
    Source: [SWEETNESS-TABLES], [FRUCTOSE-SWEETNESS] (read).
    """
    if sugar == "fructose":
        return fructose_sweetness(temperature_c)
    if sugar not in SWEETNESS:
        known = ", ".join(("fructose", *SWEETNESS))
        raise BadInput(f'"{sugar}" has no sweetness here; they are {known}.', "sugar")
    return sweetness({sugar: 1.0}, temperature_c).value
