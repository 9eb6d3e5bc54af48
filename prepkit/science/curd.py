"""Milk that is curdled by acid: the acid it takes up, the curd, the liquid in it; and a spin."""

from __future__ import annotations

from collections.abc import Mapping

from prepkit.errors import require
from prepkit.science import acids
from prepkit.science.linear import between
from prepkit.science.roots import bracketed

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
