"""The food acids as numbers: molar mass, dissociation constants and what they change with.

Constants only, each with its source key. `read`: read in a stored public copy. `memory`: known,
not readable when this was written. Values hold at 25 C and zero ionic strength.

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

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

GAS_CONSTANT = 8.31446  # J/(mol K)
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
