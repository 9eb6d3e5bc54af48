"""Published relations that no calculator needs: tests alone compare with them."""

from __future__ import annotations

from math import pi, sqrt

from prepkit.errors import require
from prepkit.science import foam, gases, toxicology, us_gauging
from prepkit.science.gases import GAS_CONSTANT_J_MOL_K, KELVIN


def filling_kg_m3(gas_kg: float, bulb_m3: float) -> float:
    """Mass of gas per volume of the bulb, kg/m3.

    >>> round(filling_kg_m3(0.008, 10e-6), 6)
    800.0

    Raises: OutOfRange. Source: by definition.
    """
    require("gas_kg", gas_kg, 0.0, 10.0, "kg")
    require("bulb_m3", bulb_m3, 1e-7, 0.1, "m3")
    return gas_kg / bulb_m3


def bubbles_per_m3(gas_fraction: float, bubble_diameter_m: float) -> float:
    """Number of equal bubbles in a cubic metre of foam.

    gas_fraction: 0 to 1. bubble_diameter_m: 0.001 mm to 50 mm. Exact.

    >>> f"{bubbles_per_m3(0.5, 1e-3):.3g}"
    '9.55e+08'

    Raises: OutOfRange. Source: [DEFINITION], geometry; range of foods [FOAM-LECTURE] (read).
    """
    require("gas_fraction", gas_fraction, 0.0, 1.0, "", "DEFINITION")
    require("bubble_diameter_m", bubble_diameter_m, 1e-6, 5e-2, "m", "DEFINITION")
    count: float = 6.0 * gas_fraction / (pi * bubble_diameter_m**3)
    return count


def bubble_surface_m2_m3(gas_fraction: float, bubble_diameter_m: float) -> float:
    """Surface of all bubbles in a cubic metre of foam, m2 (1 m2/m3 is 1e-6 m2/ml).

    Arguments as in `bubbles_per_m3`. Exact.

    >>> round(bubble_surface_m2_m3(0.5, 1e-3))
    3000

    Raises: OutOfRange. Source: [DEFINITION], geometry.
    """
    require("gas_fraction", gas_fraction, 0.0, 1.0, "", "DEFINITION")
    require("bubble_diameter_m", bubble_diameter_m, 1e-6, 5e-2, "m", "DEFINITION")
    return 6.0 * gas_fraction / bubble_diameter_m


def drainage_velocity_mobile_m_s(
    bubble_diameter_m: float, liquid_fraction: float, viscosity_pa_s: float, liquid_kg_m3: float
) -> float:
    """Speed at which liquid runs down through a foam with sliding surfaces, m/s.

    Arguments as in `drainage_velocity_rigid_m_s`. Error: order of magnitude.

    >>> round(1e3 * drainage_velocity_mobile_m_s(1e-3, 0.02, 1e-3, 1000.0), 2)
    0.41

    Raises: OutOfRange. Source: [KOEHLER-2000] (memory).
    """
    scale = foam._drainage_scale_m_s(
        bubble_diameter_m, liquid_fraction, viscosity_pa_s, liquid_kg_m3
    )
    return foam.PERMEABILITY_MOBILE * scale * sqrt(liquid_fraction)


def peleg(time_h: float, k1: float, k2: float) -> float:
    """The same curve in the other usual form, t / (k1 + k2 t).

    >>> round(peleg(4.0, *peleg_constants(0.5, 0.45)), 6)
    0.3

    Raises: OutOfRange. Source: [AZUARA] (memory).
    """
    require("time_h", time_h, 0.0, None, "h", "AZUARA")
    require("k1", k1, 1e-12, None, "h", "AZUARA")
    require("k2", k2, 0.0, None, "", "AZUARA")
    return time_h / (k1 + k2 * time_h)


def peleg_constants(rate_per_h: float, final: float) -> tuple[float, float]:
    """k1 (h) and k2 of `peleg` from the rate and the final value of `azuara`.

    >>> [round(k, 4) for k in peleg_constants(0.5, 0.45)]
    [4.4444, 2.2222]

    Raises: OutOfRange. Source: [AZUARA] (memory): k1 = 1/(S final), k2 = 1/final.
    """
    require("rate_per_h", rate_per_h, 1e-9, None, "1/h", "AZUARA")
    require("final", final, 1e-9, 2.0, "kg/kg", "AZUARA")
    return 1.0 / (rate_per_h * final), 1.0 / final


def water_removed_kg(mass_kg: float, moisture_before: float, moisture_after: float) -> float:
    """Water that must leave to bring a wet solid from one moisture to another, kg.

    moisture_before, moisture_after: wet basis, 0 to 1, the second not above the first and below
    1. Exact.

    >>> round(water_removed_kg(1000.0, 0.796, 0.10), 1)
    773.3

    Raises: OutOfRange. Source: [DEFINITION] dry mass is kept; [MAREY-2016] worked figures (read).
    """
    require("mass_kg", mass_kg, 0.0, None, "kg", "DEFINITION")
    require("moisture_before", moisture_before, 0.0, 1.0, "", "DEFINITION")
    require("moisture_after", moisture_after, 0.0, min(moisture_before, 0.999), "", "DEFINITION")
    return mass_kg * (moisture_before - moisture_after) / (1.0 - moisture_after)


def quinine_in_sulfate_dihydrate() -> float:
    """Quinine in one mass of quinine sulfate dihydrate, kg/kg.

    >>> round(quinine_in_sulfate_dihydrate(), 4)
    0.8287

    Source: molar masses [IUPAC-WEIGHTS] (read).
    """
    return 2.0 * toxicology.QUININE_G_MOL / toxicology.QUININE_SULFATE_DIHYDRATE_G_MOL


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
    return dose_kg_kg * body_kg / (amygdalin * toxicology.hydrogen_cyanide_from_amygdalin())


def oil_load(peel_kg: float, oil: float, syrup_kg: float) -> float:
    """Oil in a syrup if the peel gave all of its oil to it, kg/kg of syrup without the oil.

    peel_kg: 0 or more. oil: mass fraction of the peel, 0 to 0.1. syrup_kg: above 0. Error: a
    ceiling; how much is released is not published.

    >>> round(1e6 * oil_load(0.100, 0.0137, 0.150))
    9133

    Raises: OutOfRange. Source: [DEFINITION]; contents as the caller gives them.
    """
    require("peel_kg", peel_kg, 0.0, None, "kg", "DEFINITION")
    require("oil", oil, 0.0, 0.1, "", "DEFINITION")
    require("syrup_kg", syrup_kg, 1e-9, None, "kg", "DEFINITION")
    return peel_kg * oil / syrup_kg


def largest_dose(limit: float, share: float) -> float:
    """Most of a product in a drink where a limit holds for one substance in it; units of limit.

    limit: 0 or more. share: of the substance in the product, 1e-6 to 1. Exact.

    >>> from prepkit.science import emulsion
    >>> round(largest_dose(0.100, emulsion.BOUGHT_ESTER_GUM), 3)  # g/l of drink at 100 mg/l
    0.419

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("limit", limit, 0.0, None, "", "DEFINITION")
    require("share", share, 1e-6, 1.0, "", "DEFINITION")
    return limit / share


def pounds_of_water_to_reduce(pounds: float, us_proof: float, wanted_proof: float) -> float:
    """Pounds of water to add to pounds of spirit (in air), to bring it to a lower proof.

    pounds: from 0. Error: 0.02 % of the spirit.

    >>> round(pounds_of_water_to_reduce(1000.0, 200.0, 190.0), 1)
    82.1

    Raises: OutOfRange. Source: [27-CFR-30] 30.64 (read).
    """
    require("pounds", pounds, 0.0, None, "lb")
    require("wanted_proof", wanted_proof, 1e-6, us_proof, "proof", "27-CFR-30")
    held = pounds * us_gauging.proof_gallons_per_pound(us_proof)
    return held / us_gauging.proof_gallons_per_pound(wanted_proof) - pounds


def rate_in_strong_acid_per_min(acid_mol_l: float) -> float:
    """Rate constant in dilute sugar at 24.7 C by molarity of a strong acid, 1/min.

    acid_mol_l: 0 to 4. Error: 2 %.

    >>> round(1e4 * rate_in_strong_acid_per_min(0.1), 2)
    7.41

    Raises: OutOfRange. Source: [GUGGENHEIM-WISEMAN-1950] (read).
    """
    require("acid_mol_l", acid_mol_l, 0.0, 4.0, "mol/L", "GUGGENHEIM-WISEMAN-1950")
    return float(6.95e-3 * acid_mol_l * 10.0 ** (0.28 * acid_mol_l))


def ostwald_coefficient(henry: float, temperature_c: float) -> float:
    """Volume of gas, at the liquid's temperature, in one volume of liquid (ideal gas).

    >>> from prepkit.science import dissolved_gas
    >>> round(ostwald_coefficient(dissolved_gas.henry_mol_m3_pa("n2o", 37.0), 37.0), 2)
    0.46

    Raises: OutOfRange. Source: by definition.
    """
    require("henry", henry, 0.0, None, "mol/(m3 Pa)")
    require("temperature_c", temperature_c, gases.LOW_C, gases.HIGH_C, "C")
    return henry * GAS_CONSTANT_J_MOL_K * (temperature_c + KELVIN)
