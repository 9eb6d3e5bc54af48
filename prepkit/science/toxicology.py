"""What a plant's poison comes to by molar mass: quinine in its salt, cyanide from amygdalin."""

from __future__ import annotations

from prepkit.errors import require

QUININE_G_MOL, QUININE_SULFATE_DIHYDRATE_G_MOL = 324.42, 782.94  # two quinine in one salt
HYDROGEN_CYANIDE_G_MOL, AMYGDALIN_G_MOL = 27.025, 457.43


def quinine_in_sulfate_dihydrate() -> float:
    """Quinine in one mass of quinine sulfate dihydrate, kg/kg.

    >>> round(quinine_in_sulfate_dihydrate(), 4)
    0.8287

    Source: molar masses [IUPAC-WEIGHTS] (read).
    """
    return 2.0 * QUININE_G_MOL / QUININE_SULFATE_DIHYDRATE_G_MOL


def hydrogen_cyanide_from_amygdalin() -> float:
    """Hydrogen cyanide that one mass of amygdalin can set free, kg/kg.

    >>> round(hydrogen_cyanide_from_amygdalin(), 5)
    0.05908

    Source: molar masses [IUPAC-WEIGHTS] (read), one to one.
    """
    return HYDROGEN_CYANIDE_G_MOL / AMYGDALIN_G_MOL


def kernel_at_dose_kg(amygdalin: float, dose_kg_kg: float, body_kg: float) -> float:
    """Mass of raw kernel that can set free a dose of hydrogen cyanide, kg.

    amygdalin: mass fraction in the kernel, 1e-4 to 0.1. dose_kg_kg: kg per kg of body, 0 to 1e-5.
    body_kg: 1 to 300. Error: the kernel's content varies a hundredfold; never a recipe.

    >>> round(1000 * kernel_at_dose_kg(0.055, 20e-9, 70.0), 2)
    0.43

    Raises: OutOfRange. Source: [EFSA-2016-CYANIDE] (read) dose; [FEMENIA-1995] (read) content.
    """
    require("amygdalin", amygdalin, 1e-4, 0.1, "", "FEMENIA-1995")
    require("dose_kg_kg", dose_kg_kg, 0.0, 1e-5, "", "EFSA-2016-CYANIDE")
    require("body_kg", body_kg, 1.0, 300.0, "kg", "EFSA-2016-CYANIDE")
    return dose_kg_kg * body_kg / (amygdalin * hydrogen_cyanide_from_amygdalin())
