"""The food acids as numbers, and their pH with strong cations by the charge balance.

All concentrations are molalities, mol per kg of WATER (not per litre, not per kg of drink): sugar
added to a juice then leaves its pH where it was, as was measured up to 50 % sucrose.

The model: dissociation constants by Clarke and Glew's equation; ion activity by the extended
Debye-Hueckel form log10 gamma = -A z^2 sqrt(I) / (1 + 1.5 sqrt(I)); uncharged molecules ideal;
the ionic strength I solved together with pH. Strong ions count as univalent.

Of each acid: molar mass, dissociation constants and what they change with, each with its source
key. `read`: read in a stored public copy. `memory`: known, not readable when this was written.
Values hold at 25 C and zero ionic strength.

| acids | sources |
|---|---|
| citric | pKa [CITRIC-NACL] [CITRIC-NACL-KCL] (read); the rest [GOLDBERG-2002] (memory) |
| tartaric | [GOLDBERG-2002] (memory; tested by the hydrogen tartrate standard) |
| malic | [EDEN-BATES-1959] (read, 0 to 50 C; refitted here, largest residual 0.004) |
| fumaric | [DAHLGREN-LONG-1960] (read); temperature terms memory, none of heat capacity |
| lactic, formic | [ORGANIC-PKA] (read); temperature terms memory |
| acetic | [MARTELL-SMITH-1976] (read); temperature terms [GOLDBERG-2002] (memory) |
| phosphoric, succinic | [GOLDBERG-2002] beside a public table (pKa read, the rest memory) |
| checked, not taken from | [SERJEANT-1979] (read): succinic, acetic, citric in salt |
| ascorbic | [CRC102] and memory; no temperature terms known |
| phthalic | [GOLDBERG-2002] beside a library's database (read); for buffer standards only |
| carbonic | pKa [CARBONIC-PKA] (read), by dissolved carbon dioxide; temperature terms memory |
"""

import math
from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import NamedTuple

from prepkit.errors import UnknownIngredient, require
from prepkit.science.solvers import bracketed
from prepkit.science.water import GAS_CONSTANT_J_MOL_K

# ---- the food acids as numbers ----

REFERENCE_K = 298.15
ZERO_C_K = 273.15


class Acid(NamedTuple):
    """One acid: molar mass in g/mol, pKa steps, enthalpy J/mol and heat capacity J/(mol K) each."""

    name: str
    molar_mass_g_mol: float
    pka: tuple[float, ...]
    enthalpy_j_mol: tuple[float, ...]
    heat_capacity_j_mol_k: tuple[float, ...]
    equivalents: int
    obtained: str


_ROWS = (
    Acid(
        "citric",
        192.124,
        (3.128, 4.761, 6.396),
        (4070.0, 2230.0, -3380.0),
        (-131.0, -178.0, -254.0),
        3,
        "read",
    ),
    Acid("malic", 134.087, (3.4598, 5.0956), (2930.0, -1212.0), (-155.0, -215.0), 2, "read"),
    Acid("tartaric", 150.087, (3.036, 4.366), (3190.0, 930.0), (-147.0, -218.0), 2, "memory"),
    Acid("lactic", 90.078, (3.86,), (-400.0,), (-150.0,), 1, "read"),
    Acid("acetic", 60.052, (4.756,), (-410.0,), (-142.0,), 1, "read"),
    # Phosphoric acid counts two protons: the third is out of reach of any titration in use.
    Acid(
        "phosphoric",
        97.994,
        (2.148, 7.198, 12.35),
        (-8000.0, 3600.0, 16000.0),
        (-141.0, -230.0, -242.0),
        2,
        "read",
    ),
    Acid("succinic", 118.088, (4.207, 5.636), (3000.0, -500.0), (-121.0, -217.0), 2, "read"),
    Acid("fumaric", 116.072, (3.095, 4.602), (0.0, -2000.0), (0.0, 0.0), 2, "read"),
    Acid("ascorbic", 176.124, (4.10, 11.7), (0.0, 0.0), (0.0, 0.0), 1, "memory"),
    Acid("phthalic", 166.13, (2.950, 5.408), (-2700.0, -2170.0), (-91.0, -295.0), 2, "read"),
    Acid("formic", 46.025, (3.752,), (0.0,), (-170.0,), 1, "read"),
    Acid("carbonic", 44.0098, (6.35, 10.33), (9150.0, 14700.0), (-371.0, -249.0), 1, "read"),
)

#: Every acid that the equilibrium knows, by name.
ACIDS = MappingProxyType({row.name: row for row in _ROWS})

#: Acids that are no part of a mixture: of the buffer standards, and dissolved carbon dioxide.
STANDARDS_ONLY = frozenset({"phthalic", "formic", "carbonic"})

#: The acids of food and drink, in the order in which tables show them.
FOOD_ACIDS = tuple(name for name in ACIDS if name not in STANDARDS_ONLY)

#: Molar mass in kg/mol and mass in kg per equivalent (per mol of titrated protons).
MOLAR_MASS_KG_MOL = MappingProxyType({name: 1e-3 * a.molar_mass_g_mol for name, a in ACIDS.items()})
EQUIVALENT_KG = MappingProxyType(
    {name: 1e-3 * a.molar_mass_g_mol / a.equivalents for name, a in ACIDS.items()}
)

#: Forms that are weighed or quoted but are no component of their own: g/mol and protons.
WEIGHED_FORMS = MappingProxyType({"citric_monohydrate": (210.139, 3), "sulfuric": (98.078, 2)})

# Molar masses of what brings strong cations or phosphate, g/mol [IUPAC-WEIGHTS].
POTASSIUM_G_MOL = 39.098
SODIUM_G_MOL = 22.990
CALCIUM_G_MOL = 40.078
MAGNESIUM_G_MOL = 24.305
PHOSPHORUS_G_MOL = 30.974


# ---- pH by the charge balance ----

# Debye-Hueckel slope, log10 and molal, 0 to 50 C: a fit of ours to textbook values (memory).
SLOPE = (0.4913, 6.08e-4, 4.9e-6)
ION_SIZE = 1.5
# Ion product of water, [HARNED-HAMER-1933] (memory): pKw = a/T + b + c T.
WATER_ION_PRODUCT = (4470.99, -6.0875, 0.01706)

TEMPERATURE_LOW_C, TEMPERATURE_HIGH_C = 0.0, 50.0
IONIC_STRENGTH_HIGH = 0.5
# Above these no published pH was there to check the model against: citric 0.3 mol/kg by the
# library SIT, acetic 1 mol/L by a laboratory table.
WELL_TESTED_ACID_MOLALITY, TESTED_ACID_MOLALITY = 0.3, 1.0
ERROR_DILUTE, ERROR_STRONG = 0.05, 0.1
# Juice from a composition table: its minerals are not this juice's minerals.
ERROR_JUICE_LOW, ERROR_JUICE_HIGH = 0.2, 0.4

_MODEL = "ion activity model of PREPKIT-ACID"
_LN10 = math.log(10.0)
_PH_LOW, _PH_HIGH = -1.0, 14.0
_MOST_PASSES = 40


class Equilibrium(NamedTuple):
    """A solved solution: its pH and its ionic strength in mol/kg water."""

    ph: float
    ionic_strength: float


def _require_temperature(temperature_c: float) -> None:
    require("temperature_c", temperature_c, TEMPERATURE_LOW_C, TEMPERATURE_HIGH_C, "C", _MODEL)


def known_acid(name: str) -> str:
    """Give `name` back if it is an acid of this model, else raise.

    >>> known_acid("citric")
    'citric'

    Raises: UnknownIngredient naming the food acids.
    """
    if name not in ACIDS:
        raise UnknownIngredient(
            f"{name!r} is not an acid of this model; it knows {', '.join(FOOD_ACIDS)}.", "acid"
        )
    return name


@lru_cache(maxsize=512)
def pka(acid: str, temperature_c: float = 25.0) -> tuple[float, ...]:
    """Dissociation constants pKa of an acid, one per proton, at zero ionic strength.

    Range: 0 to 50 C. Error: 0.01 for citric, malic, tartaric, acetic and phosphoric acid; fumaric
    and ascorbic acid have no known temperature terms of heat capacity and are within 0.1.

    >>> [round(value, 3) for value in pka("citric")]
    [3.128, 4.761, 6.396]

    Raises: OutOfRange for the temperature, UnknownIngredient for the name.
    Source: Clarke and Glew's equation with the constants of [GOLDBERG-2002] (memory), of which
    those of citric acid were checked against [CITRIC-NACL] and [CITRIC-NACL-KCL] (read); malic
    [EDEN-BATES-1959], fumaric [DAHLGREN-LONG-1960] (read).
    """
    row = ACIDS[known_acid(acid)]
    _require_temperature(temperature_c)
    t = temperature_c + ZERO_C_K
    per_t = 1.0 / t - 1.0 / REFERENCE_K
    bend = 1.0 - REFERENCE_K / t - math.log(t / REFERENCE_K)
    scale = GAS_CONSTANT_J_MOL_K * _LN10
    return tuple(
        pk + (h * per_t + cp * bend) / scale
        for pk, h, cp in zip(row.pka, row.enthalpy_j_mol, row.heat_capacity_j_mol_k, strict=True)
    )


@lru_cache(maxsize=512)
def _products(acid: str, temperature_c: float, pk_shift: float) -> tuple[float, float, float]:
    """K1, K1 K2, K1 K2 K3 (zero where the acid has no such proton)."""
    total, products = 0.0, []
    for value in pka(acid, temperature_c):
        total += value + pk_shift
        products.append(10.0**-total)
    first, second, third = (*products, 0.0, 0.0)[:3]
    return first, second, third


@lru_cache(maxsize=128)
def _slope_and_water(temperature_c: float) -> tuple[float, float]:
    """Debye-Hueckel slope times ln 10, and the ion product of water."""
    _require_temperature(temperature_c)
    a, b, c = SLOPE
    t = temperature_c + ZERO_C_K
    kw_a, kw_b, kw_c = WATER_ION_PRODUCT
    slope = a + b * temperature_c + c * temperature_c**2
    return slope * _LN10, 10.0 ** -(kw_a / t + kw_b + kw_c * t)


def _rows(
    molalities: Mapping[str, float], temperature_c: float, pk_shift: float = 0.0
) -> list[tuple[float, float, float, float]]:
    rows = []
    for name, molality in molalities.items():
        if not 0.0 <= molality < math.inf:
            require(f"molality of {name} acid", molality, 0.0, None, "mol/kg water")
        products = _products(known_acid(name), temperature_c, pk_shift)
        if molality > 0.0:
            rows.append((molality, *products))
    return rows


def _charges(
    rows: list[tuple[float, float, float, float]], h: float, g: float
) -> tuple[float, float, float, float]:
    """Sums over the acids: m z and m z^2, then how fast each rises with ln(1/h).

    h is the activity of the hydrogen ion, g is 1/gamma of a univalent ion.
    """
    u1 = g / h
    g4 = g * g * g * g
    u2 = g4 / (h * h)
    u3 = g4 * g4 * g / (h * h * h)
    charge = square = charge_rise = square_rise = 0.0
    for molality, k1, k2, k3 in rows:
        x1, x2, x3 = k1 * u1, k2 * u2, k3 * u3
        share = molality / (1.0 + x1 + x2 + x3)
        first = (x1 + 2.0 * x2 + 3.0 * x3) * share
        second = (x1 + 4.0 * x2 + 9.0 * x3) * share
        charge += first
        square += second
        mean = first / molality
        charge_rise += second - mean * first
        square_rise += (x1 + 8.0 * x2 + 27.0 * x3) * share - mean * second
    return charge, square, charge_rise, square_rise


def _inverse_gamma(slope: float, ionic: float) -> float:
    root = math.sqrt(ionic)
    return math.exp(slope * root / (1.0 + ION_SIZE * root))


def equilibrium(
    molalities: Mapping[str, float],
    strong_cation_molality: float = 0.0,
    temperature_c: float = 25.0,
    pk_shift: float = 0.0,
) -> Equilibrium:
    """pH and ionic strength of acids and strong cations in water.

    molalities: acid name -> total mol per kg water (acid and its salts together).
    strong_cation_molality: equivalents of K, Na, 2 Ca, 2 Mg less strong anions (Cl), per kg
    water; negative where strong anions prevail. pk_shift: rise of every pKa by the medium, 0 to 2
    (`acid_medium.food_acid_pk_shift`); molalities are then per kg of the solvent. Range and error:
    see `ph`.

    >>> solved = equilibrium({"citric": 0.05}, 0.05)
    >>> round(solved.ph, 2), round(solved.ionic_strength, 3)
    (3.77, 0.057)

    Raises: OutOfRange, UnknownIngredient.
    Source: charge balance with extended Debye-Hueckel activities, [PREPKIT-ACID] (computed).
    """
    require("strong_cation_molality", strong_cation_molality, None, None, "mol/kg water")
    slope, kw = _slope_and_water(temperature_c)
    require("pk_shift", pk_shift, 0.0, 2.0)
    rows = _rows(molalities, temperature_c, pk_shift)
    plus = max(strong_cation_molality, 0.0)
    minus = max(-strong_cation_molality, 0.0)
    # Newton on ln h with the logarithm of positive over negative charge, which is nearly straight;
    # the ionic strength follows along in the same loop.
    strong = plus + minus
    ionic = 0.5 * strong + 0.01
    if ionic > 4.0 * IONIC_STRENGTH_HIGH:
        require("ionic strength", ionic, 0.0, IONIC_STRENGTH_HIGH, "mol/kg water", _MODEL)
    g = _inverse_gamma(slope, ionic)
    x = -5.5  # ln h, pH 2.4: a drink
    for _ in range(_MOST_PASSES):
        h = math.exp(x)
        hydrogen, hydroxide = h * g, kw * g / h
        charge, square, charge_rise, square_rise = _charges(rows, h, g)
        positive, negative = hydrogen + plus, hydroxide + minus + charge
        step = math.log(negative / positive) / (
            hydrogen / positive + (hydroxide + charge_rise) / negative
        )
        step = max(-3.0, min(3.0, step))
        was = ionic
        ionic = 0.5 * (hydrogen + hydroxide + strong + square)
        if -1.0 < step < 1.0:  # what it will be where the step leads to
            ionic = max(ionic + 0.5 * (hydrogen - hydroxide - square_rise) * step, 0.0)
        g = _inverse_gamma(slope, ionic)
        x = max(-32.5, min(2.5, x + step))
        if -1e-5 < step < 1e-5 and -1e-7 < ionic - was < 1e-7:
            break
    else:
        x, ionic = _solve_slowly(rows, strong_cation_molality, slope, kw)
    if not ionic <= IONIC_STRENGTH_HIGH:
        require("ionic strength", ionic, 0.0, IONIC_STRENGTH_HIGH, "mol/kg water", _MODEL)
    return Equilibrium(-x / _LN10, ionic)


def _solve_slowly(
    rows: list[tuple[float, float, float, float]], strong: float, slope: float, kw: float
) -> tuple[float, float]:
    """The same balance with a bracketed root inside a damped loop on the ionic strength."""
    ionic, x = 0.5 * abs(strong), 0.0
    for _ in range(200):  # pragma: no branch (ends by its break; the cap is against a hang)
        g = _inverse_gamma(slope, ionic)

        def excess(ln_h: float, g: float = g) -> float:
            h = math.exp(ln_h)
            return h * g + strong - kw * g / h - _charges(rows, h, g)[0]

        most = -_PH_LOW * _LN10
        if excess(most) < 0.0:  # more acid than any water holds: its ions alone are past the range
            held = 0.5 * (math.exp(most) + _charges(rows, math.exp(most), g)[1])
            require("ionic strength", held, 0.0, IONIC_STRENGTH_HIGH, "mol/kg water", _MODEL)
        least = -_PH_HIGH * _LN10
        if excess(least) > 0.0:  # more alkali than acid and water hold at the highest pH
            require("alkali", strong, None, strong - excess(least), "mol/kg water", _MODEL)
        x = bracketed(excess, least, most)
        h = math.exp(x)
        fresh = 0.5 * (h * g + kw * g / h + abs(strong) + _charges(rows, h, g)[1])
        if abs(fresh - ionic) < 1e-9:
            break
        ionic = 0.5 * (ionic + fresh)
    return x, ionic


def ph(
    molalities: Mapping[str, float],
    strong_cation_molality: float = 0.0,
    temperature_c: float = 25.0,
) -> float:
    """pH of acids and strong cations in water (arguments as for `equilibrium`).

    Range: ionic strength to 0.5 mol/kg, 0 to 50 C; sugar to 50 % w/w; no alcohol (see
    `equilibrium`). Error: 0.05 below an ionic strength of 0.1, 0.1 up to 0.5, see `ph_error`.
    Above 1 mol/kg of acid (16 % citric) no published pH checks it: `ph_error` raises there. Alkali
    metal pairs with phosphate are left out: 0.2 mol/kg of phosphate may be 0.14 high.

    >>> round(ph({"citric": 0.1}), 2)
    2.08

    Raises: OutOfRange, UnknownIngredient.
    Source: [PREPKIT-ACID] (computed), tested by the standards of [STAPLES-BATES-1969],
    [HETZER-1977], [HAMER-1946] and [JIS-Z8802] (read).
    """
    return equilibrium(molalities, strong_cation_molality, temperature_c).ph


def ionic_strength(
    molalities: Mapping[str, float],
    strong_cation_molality: float = 0.0,
    temperature_c: float = 25.0,
) -> float:
    """Ionic strength in mol/kg water at equilibrium (arguments and range as for `equilibrium`).

    >>> round(ionic_strength({"phosphoric": 0.05}, 0.075), 3)
    0.1

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-ACID] (computed).
    """
    return equilibrium(molalities, strong_cation_molality, temperature_c).ionic_strength


def ph_error(ionic_strength: float, acid_molality: float = 0.0) -> float:
    """Stated error of `ph`, plus or minus, for a solution whose composition is known.

    ionic_strength and acid_molality (all acids together) in mol/kg water. 0.05 below an ionic
    strength of 0.1 and 0.3 mol/kg of acid, 0.1 up to 0.5 and 1 mol/kg. A juice taken from a
    composition table has 0.2 to 0.4 instead (ERROR_JUICE_LOW, ERROR_JUICE_HIGH).

    >>> ph_error(0.05), ph_error(0.3)
    (0.05, 0.1)

    Raises: OutOfRange where no published value checks the model.
    Source: residuals against buffer standards and the McIlvaine table, [PREPKIT-ACID] (computed).
    """
    require("ionic_strength", ionic_strength, 0.0, IONIC_STRENGTH_HIGH, "mol/kg water", _MODEL)
    require("acid_molality", acid_molality, 0.0, TESTED_ACID_MOLALITY, "mol/kg water", _MODEL)
    if ionic_strength < 0.1 and acid_molality <= WELL_TESTED_ACID_MOLALITY:
        return ERROR_DILUTE
    return ERROR_STRONG


def buffer_capacity(
    molalities: Mapping[str, float],
    strong_cation_molality: float = 0.0,
    temperature_c: float = 25.0,
) -> float:
    """Strong base per kg water that raises the pH by 1, mol/(kg pH), at this composition.

    Taken over 0.05 pH to either side, with the ionic strength that the added base brings.
    Range as for `ph`, at 0.05 pH to either side too. Error: about 5 %.

    >>> round(buffer_capacity({"acetic": 0.2}, 0.1), 2)
    0.12

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-ACID] (computed).
    """
    here = ph(molalities, strong_cation_molality, temperature_c)
    more = strong_cation_at_ph(molalities, here + 0.05, temperature_c)
    less = strong_cation_at_ph(molalities, here - 0.05, temperature_c)
    return (more - less) / 0.1


def strong_cation_at_ph(
    molalities: Mapping[str, float], ph: float, temperature_c: float = 25.0
) -> float:
    """Net strong cations, mol/kg water, that these acids need to stand at a pH.

    Negative where strong anions would be needed. The inverse of `ph`. Range: pH 0 to 13, ionic
    strength to 0.5 mol/kg, 0 to 50 C. Error: `buffer_capacity` times the error of `ph`.

    >>> round(strong_cation_at_ph({"acetic": 0.2}, 4.65), 2)
    0.1

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-ACID] (computed).
    """
    strong, _, ionic = at_fixed_ph(molalities, ph, temperature_c)
    require("ionic strength", ionic, 0.0, IONIC_STRENGTH_HIGH, "mol/kg water", _MODEL)
    return strong


class FixedPh(NamedTuple):
    """A solution held at a pH: net strong cations, charge of the acids, ionic strength."""

    strong_cation: float
    acid_charge: float
    ionic_strength: float


def at_fixed_ph(molalities: Mapping[str, float], ph: float, temperature_c: float = 25.0) -> FixedPh:
    """Charge balance of acids held at a pH by strong base or acid, in mol/kg water.

    No limit is put on the ionic strength here: the callers have their own. 0 to 50 C.

    >>> round(at_fixed_ph({"acetic": 0.1}, 8.1).acid_charge, 3)
    0.1

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-ACID] (computed).
    """
    return _at_fixed_ph(tuple(molalities.items()), ph, temperature_c)


@lru_cache(maxsize=512)  # the acids stay as they are where sugar or spirit change
def _at_fixed_ph(
    molalities: tuple[tuple[str, float], ...], ph: float, temperature_c: float
) -> FixedPh:
    require("ph", ph, 0.0, 13.0)
    slope, kw = _slope_and_water(temperature_c)
    rows = _rows(dict(molalities), temperature_c)
    h = 10.0**-ph
    ionic, strong, charge = 0.05, 0.0, 0.0
    for _ in range(200):  # pragma: no branch (ends by its break; the cap is against a hang)
        g = _inverse_gamma(slope, ionic)
        charge, square, _, _ = _charges(rows, h, g)
        strong = charge + kw * g / h - h * g
        fresh = 0.5 * (h * g + kw * g / h + abs(strong) + square)
        if abs(fresh - ionic) < 1e-12:
            break
        ionic = fresh
    return FixedPh(strong, charge, ionic)


def mean_charge(acid: str, ph: float, ionic_strength: float, temperature_c: float = 25.0) -> float:
    """Protons that a molecule of an acid has lost on average at a pH and an ionic strength.

    Range: pH 0 to 13, ionic strength to 0.5 mol/kg, 0 to 50 C. Error: 0.03.

    >>> round(mean_charge("acetic", 4.65, 0.1), 2)
    0.5

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-ACID] (computed).
    """
    require("ph", ph, 0.0, 13.0)
    require("ionic_strength", ionic_strength, 0.0, IONIC_STRENGTH_HIGH, "mol/kg water", _MODEL)
    slope, _ = _slope_and_water(temperature_c)
    rows = _rows({acid: 1.0}, temperature_c)
    return _charges(rows, 10.0**-ph, _inverse_gamma(slope, ionic_strength))[0]


def undissociated(
    molalities: Mapping[str, float],
    strong_cation_molality: float = 0.0,
    temperature_c: float = 25.0,
) -> dict[str, tuple[float, ...]]:
    """Molality of each acid by protons lost: (uncharged, 1-, 2-, 3-), in mol/kg water.

    Range and error as for `ph`.

    >>> shares = undissociated({"acetic": 0.2}, 0.1)["acetic"]
    >>> [round(share, 3) for share in shares]
    [0.1, 0.1]

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-ACID] (computed).
    """
    here = equilibrium(molalities, strong_cation_molality, temperature_c)
    slope, _ = _slope_and_water(temperature_c)
    g = _inverse_gamma(slope, here.ionic_strength)
    found = {}
    for name, molality in molalities.items():
        terms, total = [1.0], 0.0
        for step, value in enumerate(pka(name, temperature_c), start=1):
            total += value
            terms.append(10.0 ** (step * here.ph - total) * g ** (step * step))
        whole = math.fsum(terms)
        found[name] = tuple(molality * term / whole for term in terms)
    return found


def activity_coefficient(charge: int, ionic_strength: float, temperature_c: float = 25.0) -> float:
    """Activity coefficient of an ion of that charge (molal, extended Debye-Hueckel).

    Range: ionic strength to 0.5 mol/kg, 0 to 50 C. Error: about 3 % for univalent ions.

    >>> round(activity_coefficient(1, 0.1), 3)
    0.778

    Raises: OutOfRange. Source: [PREPKIT-ACID] (computed; slope from memory).
    """
    require("ionic_strength", ionic_strength, 0.0, IONIC_STRENGTH_HIGH, "mol/kg water", _MODEL)
    slope, _ = _slope_and_water(temperature_c)
    return float(_inverse_gamma(slope, ionic_strength) ** -(charge * charge))


__all__ = [
    "Equilibrium",
    "FixedPh",
    "activity_coefficient",
    "at_fixed_ph",
    "buffer_capacity",
    "equilibrium",
    "ionic_strength",
    "known_acid",
    "mean_charge",
    "ph",
    "ph_error",
    "pka",
    "strong_cation_at_ph",
    "undissociated",
]
