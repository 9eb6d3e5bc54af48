"""What a plant's poison comes to by molar mass: quinine in its salt, cyanide from amygdalin."""

from __future__ import annotations

QUININE_G_MOL, QUININE_SULFATE_DIHYDRATE_G_MOL = 324.42, 782.94  # two quinine in one salt
HYDROGEN_CYANIDE_G_MOL, AMYGDALIN_G_MOL = 27.025, 457.43


def hydrogen_cyanide_from_amygdalin() -> float:
    """Hydrogen cyanide that one mass of amygdalin can set free, kg/kg.

    >>> round(hydrogen_cyanide_from_amygdalin(), 5)
    0.05908

    Source: molar masses [IUPAC-WEIGHTS] (read), one to one.
    """
    return HYDROGEN_CYANIDE_G_MOL / AMYGDALIN_G_MOL
