"""Published relations that no calculator needs: tests alone compare with them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from math import exp, expm1, log, pi, sqrt

from prepkit.errors import BadInput, UnknownIngredient, require
from prepkit.science import foam, food, gases
from prepkit.science.acid_equilibrium import ACIDS, PHOSPHORUS_G_MOL
from prepkit.science.acids import (
    PHOSPHORUS_ADI,
    TARTARIC_ADI,
    _lactic_bound_share,
    titratable_acidity_eq_kg,
)
from prepkit.science.ethanol import LB_PER_GALLON_WATER_AIR, specific_gravity_in_air
from prepkit.science.food import (
    AMYGDALIN_G_MOL,
    COLD_HIGH_FAT,
    COLD_KG_M3,
    COLD_LOW_FAT,
    COLD_PER_PERCENT_FAT,
    HYDROGEN_CYANIDE_G_MOL,
    cold_density_kg_m3,
)
from prepkit.science.gases import (
    CONSTANTS,
    GAS_CONSTANT_J_MOL_K,
    HIGH_C,
    KELVIN,
    LOW_C,
    STANDARD_PA,
    gas_volume_m3_kg,
    isotherm,
    known_gas,
    molar_mass_kg_mol,
)
from prepkit.science.room_air import (
    AIR_CHANGES_HIGH,
    BREATHED_M3_H,
    ETHANOL_G_MOL,
    MIXING_FACTOR_HIGH,
    MOLAR_L,
    OXYGEN,
    TAKEN_UP,
    require_room,
    steady_concentration,
)
from prepkit.science.solution import BAUME, SG_WATER_20_KG_M3
from prepkit.science.solvers import bracketed
from prepkit.science.sucrose import SOLUBILITY_HIGH_C, solubility_mass_fraction
from prepkit.science.tasting import MOST_SAMPLES, MOST_TASTERS, Rows, _checked, totals

# [PHIPPS-1969]: rho = a + b T + c T^2 - (d - e / T) X, X the mass fraction of fat.
HOT = (1038.2, -0.17, -0.003, 133.7, 475.5)
HOT_LOW_C, HOT_HIGH_C, HOT_HIGH_FAT = 40.0, 80.0, 0.40
OUTER_SHARE = 0.27  # [ITEM-ANALYSIS]: the groups that tell most at the least noise
SMALL_CLASS = 20  # [ITEM-ANALYSIS]: below it halves are compared
CO2_FAULT = 0.03  # the most accepted in a fault [BGN-ASI-6-80] (read)
_HOUR_S = 3600.0


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
    return 2.0 * food.QUININE_G_MOL / food.QUININE_SULFATE_DIHYDRATE_G_MOL


def quinine_in_hydrochloride(waters: int) -> float:
    """Quinine in one mass of quinine hydrochloride with so many waters of crystal, kg/kg.

    >>> round(quinine_in_hydrochloride(2), 4)
    0.8174

    Source: molar masses [IUPAC-WEIGHTS] (read).
    """
    return food.QUININE_G_MOL / (food.QUININE_G_MOL + 36.458 + 18.015 * waters)


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

    >>> from prepkit.science import foam as emulsion
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
    held = pounds * proof_gallons_per_pound(us_proof)
    return held / proof_gallons_per_pound(wanted_proof) - pounds


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


def hot_density_kg_m3(fat: float, temperature_c: float) -> float:
    """Density of hot milk or cream, kg/m3.

    fat: mass fraction, 0 to 0.40. temperature_c: 40 to 80 C. Error: 5 kg/m3, by the
    food-composition relation and the end of the dairy table; not checked against its own table.

    >>> round(hot_density_kg_m3(0.36, 60.0), 1)
    971.9

    Raises: OutOfRange. Source: [PHIPPS-1969] (memory).
    """
    require("fat", fat, 0.0, HOT_HIGH_FAT, "", "PHIPPS-1969")
    require("temperature_c", temperature_c, HOT_LOW_C, HOT_HIGH_C, "C", "PHIPPS-1969")
    a, b, c, d, e = HOT
    t = temperature_c
    return a + b * t + c * t * t - (d - e / t) * fat


def cold_fat_at_density(density_kg_m3: float) -> float:
    """Fat content (mass fraction) at which cold cream has a density, by `cold_density_kg_m3`.

    density_kg_m3: 992.73 to 1015.83. Error: as there, 3.6 % fat.

    >>> round(100 * cold_fat_at_density(1000.0), 1)
    40.6

    Raises: OutOfRange. Source: [CREAM-LOW-T] (read).
    """
    low, high = cold_density_kg_m3(COLD_HIGH_FAT), cold_density_kg_m3(COLD_LOW_FAT)
    require("density_kg_m3", density_kg_m3, low, high, "kg/m3", "CREAM-LOW-T")
    return (density_kg_m3 - COLD_KG_M3) / (100.0 * COLD_PER_PERCENT_FAT)


def mg_m3_from_ppm(gas: str, ppm: float, temperature_c: float = 25.0) -> float:
    """Milligrams per m3 of air from parts per million by volume, at 1 atm.

    >>> round(mg_m3_from_ppm("n2o", 25.0), 1)
    45.0

    Raises: OutOfRange, UnknownIngredient. Source: ideal gas, as occupational limits are defined.
    """
    require("ppm", ppm, 0.0, 1e6, "ppm", "by definition")
    require("temperature_c", temperature_c, LOW_C, HIGH_C, "C", "PREPKIT-GAS")
    molar_m3 = GAS_CONSTANT_J_MOL_K * (temperature_c + KELVIN) / STANDARD_PA
    return ppm * molar_mass_kg_mol(gas) / molar_m3


def gas_per_boiling_liquid(gas: str, temperature_c: float = 20.0) -> float:
    """Volumes of gas at 1 atm from one volume of liquid at its boiling point.

    Liquid nitrogen: 692 at 20 C, 645 at 0 C; printed guides round to 682-700. CO2 has no liquid at
    1 atm: refused.

    >>> round(gas_per_boiling_liquid("n2"), 0)
    692.0

    Raises: OutOfRange, UnknownIngredient, BadInput for CO2. Source: [GAS-EOS] (read).
    """
    liquid = CONSTANTS[known_gas(gas)].boiling_liquid_kg_m3
    if liquid is None:
        raise BadInput(f"{gas} is a solid, not a liquid, at 1 atm; ask by mass instead.", "gas")
    return liquid * gas_volume_m3_kg(gas, temperature_c)


def second_virial_m3_mol(gas: str, temperature_c: float) -> float:
    """Second virial coefficient B, m3/mol; -10 to 70 C.

    Within 4.2e-6 (N2O, CO2) or 1.1e-6 (others) of the table [CRC-VIRIAL] over 0-50 C.

    >>> round(second_virial_m3_mol("n2", 25.0) * 1e6, 2)
    -4.91

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed from [GAS-EOS]).
    """
    return isotherm(gas, temperature_c).b


def least_room_m3_kg(gas_m3_kg: float, limit: float = CO2_FAULT) -> float:
    """Least net room per kg of gas that may be set free at once, m3/kg.

    gas_m3_kg: volume of a kg as gas, 0.51 for CO2 at 0 C as the rule counts, 0.544 at 20 C.
    limit: fraction that must not be passed, 3 vol % for CO2.

    >>> round(least_room_m3_kg(0.51)), round(least_room_m3_kg(0.5437), 1)
    (17, 18.1)

    Raises: OutOfRange. Source: [BGN-DISPENSING] (read).
    """
    require("gas_m3_kg", gas_m3_kg, 1e-6, 100.0, "m3/kg")
    require("limit", limit, 1e-6, 1.0, "")
    return gas_m3_kg / limit


def largest_release_m3(room_m3: float, oxygen_floor: float, before: float = OXYGEN) -> float:
    """Most gas that a room stands, set free at once, before oxygen falls below a floor, m3.

    oxygen_floor: above 0, to `before`. By displacement, without ventilation.

    >>> round(largest_release_m3(50.0, 0.195), 2)
    3.46

    Raises: OutOfRange. Source: as `oxygen_fraction_after_release`.
    """
    require_room(room_m3)
    require("oxygen_floor", oxygen_floor, 1e-6, before, "")
    return room_m3 * (1.0 - oxygen_floor / before)


def saturation_temperature_c(mass_fraction: float) -> float:
    """Temperature at which a sucrose syrup is just saturated, C.

    mass_fraction: what `solubility_mass_fraction` gives between -5 and 100 C (0.641 to 0.822; the
    curve is flat below). Error: 2 K near 20 C.

    >>> round(saturation_temperature_c(0.70), 1)
    39.5

    Raises: OutOfRange.
    Source: [VAVRINECZ] (memory).
    """
    low, high = solubility_mass_fraction(-5.0), solubility_mass_fraction(SOLUBILITY_HIGH_C)
    require("mass_fraction", mass_fraction, low, high, "", "VAVRINECZ")
    return bracketed(
        lambda t: solubility_mass_fraction(t) - mass_fraction, -5.0, SOLUBILITY_HIGH_C, 1e-9
    )


def removal_time_s(efficiency: float, air_changes_h: float, mixing_factor: float = 1.0) -> float:
    """Time of ventilation that takes a share of a gas out of the room, s.

    efficiency: 0 to below 1. air_changes_h: above 0 to 1000. mixing_factor: 1 to 10.

    >>> round(removal_time_s(0.99, 6.0) / 60)
    46

    Raises: OutOfRange. Source: [MMWR-1994] Table S3-1 (read).
    """
    require("efficiency", efficiency, 0.0, 1.0 - 1e-12, "", "MMWR-1994")
    require("air_changes_h", air_changes_h, 1e-6, AIR_CHANGES_HIGH, "per h", "MMWR-1994")
    require("mixing_factor", mixing_factor, 1.0, MIXING_FACTOR_HIGH, "", "MMWR-1994")
    return mixing_factor * -log(1.0 - efficiency) / air_changes_h * _HOUR_S


def leak_concentration_supply(
    time_s: float, room_m3: float, leak_m3_h: float, air_changes_h: float
) -> float:
    """A steady leak where the air changes are a fixed supply flow: milder than `concentration`.

    Without ventilation it is plain displacement.

    >>> round(leak_concentration_supply(3600.0, 500.0, 5.0, 1.0), 5)
    0.00629

    Raises: OutOfRange. Source: [CO2-ROOM-HANDBOOK] (read).
    """
    require("time_s", time_s, 0.0, None, "s")
    end = steady_concentration(room_m3, leak_m3_h, air_changes_h, "supply")
    hours = time_s / _HOUR_S
    if not air_changes_h:
        return min(leak_m3_h * hours / room_m3, 1.0)
    return end * -expm1(-(air_changes_h + leak_m3_h / room_m3) * hours)


def liquid_kept_per_dry_kg(moisture: float, extracted: float) -> float:
    """Liquid that strained solids keep, kg per kg of the dry solid that went in.

    moisture: of the drained residue, wet basis, 0 to 0.95. extracted: share of the dry solid that
    dissolved, 0 to 0.9. Exact as a balance.

    >>> round(liquid_kept_per_dry_kg(0.80, 0.22), 2)
    3.12

    Raises: OutOfRange. Source: [DEFINITION] mass balance.
    """
    require("moisture", moisture, 0.0, 0.95, "", "DEFINITION")
    require("extracted", extracted, 0.0, 0.9, "", "DEFINITION")
    return (1.0 - extracted) * moisture / (1.0 - moisture)


def baume_from_density(density_kg_m3: float) -> float:
    """Degrees Baume (modulus 145) of a liquid heavier than water from its density at 20 C.

    density_kg_m3: 998.203 to 1500. Error: 0.03 degree.

    >>> round(baume_from_density(1288.7), 1)
    32.7

    Raises: OutOfRange. Source: [MOHOS-2010] (read), 145 - 145/SG with SG 20/20.
    """
    require("density_kg_m3", density_kg_m3, SG_WATER_20_KG_M3 - 1e-6, 1500.0, "kg/m3", "MOHOS-2010")
    return BAUME - BAUME * SG_WATER_20_KG_M3 / density_kg_m3


def ethanol_inhaled_g(air_g_m3: float, hours: float) -> float:
    """Ethanol that a person at rest takes up from air, g. For a danger only, never for a dose.

    air_g_m3 and hours from 0. Error: a factor of two by breathing alone.

    >>> round(ethanol_inhaled_g(1.9148, 1.0), 2)
    0.57

    Raises: OutOfRange. Source: [CLOUD-MEMORY] (memory).
    """
    require("air_g_m3", air_g_m3, 0.0, None, "g/m3")
    require("hours", hours, 0.0, 24.0, "h")
    return air_g_m3 * BREATHED_M3_H * TAKEN_UP * hours


def pressure_pa(gas: str, temperature_c: float, molar_density_mol_m3: float) -> float:
    """Pressure at a molar density, Pa absolute; -10 to 70 C, to 50 bar or saturation.

    Error as `molar_density_mol_m3`.

    >>> round(pressure_pa("co2", 20.0, 1000.0) / 1e5, 1)
    21.4

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed from [GAS-EOS]).
    """
    line = isotherm(gas, temperature_c)
    where = f"{gas}, {'saturation' if line.saturated else '50 bar'}, PREPKIT-GAS"
    require("molar_density_mol_m3", molar_density_mol_m3, 0.0, line.most_mol_m3, "mol/m3", where)
    return line.pressure(molar_density_mol_m3)


def beer_g_l(gauge_bar: float, temperature_c: float) -> float:
    """Carbon dioxide in beer, g/L, by the German brewers' form.

    gauge_bar: 0 to 6; temperature_c: 0 to 30. Error: within 0.8 % of `beer_gauge_psi` to 10 C, 3 %
    lower at 20 C.

    >>> round(beer_g_l(1.0, 5.0), 2)
    5.33

    Raises: OutOfRange. Source: [BEER-CO2-GERMAN] (read).
    """
    require("gauge_bar", gauge_bar, 0.0, 6.0, "bar", "BEER-CO2-GERMAN")
    require("temperature_c", temperature_c, 0.0, 30.0, "C", "BEER-CO2-GERMAN")
    return 10.0 * (gauge_bar + 1.013) * exp(-10.73797 + 2617.25 / (temperature_c + 273.15))


def straight_pa(co2_share: float, gauge_pa: float, ambient_pa: float) -> float:
    """Gauge pressure of pure carbon dioxide that holds as much gas in the drink as a mixture, Pa.

    co2_share: 0 to 1, of the gas. Below zero where the drink would hold less than in open gas.

    >>> round(straight_pa(0.7, 137895.1, 101325.0) / 6894.757, 1)
    9.6

    Raises: OutOfRange. Source: [DEFINITION] partial pressure.
    """
    require("co2_share", co2_share, 0.0, 1.0)
    require("gauge_pa", gauge_pa, 0.0, 60e5, "Pa")
    return co2_share * (gauge_pa + ambient_pa) - ambient_pa


def salt_density_kg_m3(mass_fraction: float) -> float:
    """Density of sodium chloride in water at 20 C, kg/m3.

    mass_fraction: 0 to 0.26. Error: 0.08 kg/m3.

    >>> round(salt_density_kg_m3(0.20), 1)
    1147.8

    Raises: OutOfRange. Source: fit to [CRC102] (computed).
    """
    require("mass_fraction", mass_fraction, 0.0, 0.26, "of salt", "CRC102")
    w = mass_fraction
    return 998.2 + w * (710.0 + w * (109.7 + w * 396.6))


def bicarbonate_density_kg_m3(mass_fraction: float) -> float:
    """Density of potassium bicarbonate in water at 20 C, kg/m3.

    mass_fraction: 0 to 0.24. Error: 0.21 kg/m3.

    >>> round(bicarbonate_density_kg_m3(0.10), 1)
    1065.0

    Raises: OutOfRange. Source: fit to [CRC102] (computed).
    """
    require("mass_fraction", mass_fraction, 0.0, 0.24, "of bicarbonate", "CRC102")
    w = mass_fraction
    return 998.2 + w * (656.3 + w * (38.3 + w * 770.2))


def citrate_density_kg_m3(mass_fraction: float) -> float:
    """Density of trisodium citrate in water at 20 C, kg/m3.

    mass_fraction: of the salt without its crystal water, 0 to 0.36; 1 g of dihydrate is 0.8775 g.
    Error: 0.64 kg/m3.

    >>> round(citrate_density_kg_m3(0.10), 1)
    1070.6

    Raises: OutOfRange. Source: fit to [CRC102] (computed).
    """
    require("mass_fraction", mass_fraction, 0.0, 0.36, "of citrate", "CRC102")
    w = mass_fraction
    return 998.2 + w * (690.9 + w * (351.4 - w * 183.7))


def first_order_time(share: float, rate: float) -> float:
    """Time until a share of the end is there, in the rate's own time; 0 to below 1.

    >>> round(first_order_time(0.9, 0.99), 2)
    2.33

    Raises: OutOfRange. Source: [TEA-1999] (abstract read), first order.
    """
    require("share", share, 0.0, 0.9999)
    require("rate", rate, 1e-9, None)
    return -log(1.0 - share) / rate


def activation_j_mol(cold_c: float, cold: float, hot_c: float, hot: float) -> float:
    """Activation energy of a rate or diffusivity at two temperatures, J/mol.

    >>> round(activation_j_mol(25.0, 3.9e-11, 90.0, 1.35e-10) / 1e3, 1)
    17.2

    Raises: OutOfRange. Source: Arrhenius' law.
    """
    require("cold_c", cold_c, 0.0, 100.0, "C")
    require("hot_c", hot_c, cold_c + 0.1, 100.0, "C")
    require("cold", cold, 1e-30, None)
    require("hot", hot, 1e-30, None)
    gap = 1.0 / (cold_c + KELVIN) - 1.0 / (hot_c + KELVIN)
    return GAS_CONSTANT_J_MOL_K * log(hot / cold) / gap


def hydrogen_cyanide_from_amygdalin() -> float:
    """Hydrogen cyanide that one mass of amygdalin can set free, kg/kg.

    >>> round(hydrogen_cyanide_from_amygdalin(), 5)
    0.05908

    Source: molar masses [IUPAC-WEIGHTS] (read), one to one.
    """
    return HYDROGEN_CYANIDE_G_MOL / AMYGDALIN_G_MOL


def proof_gallons_per_pound(us_proof: float) -> float:
    """Proof gallons (US gallons of 100 proof) in a pound of spirit weighed in air.

    us_proof: 0 to 200. Error: 0.0001.

    >>> round(proof_gallons_per_pound(190.0), 4)
    0.2797

    Raises: OutOfRange. Source: [27-CFR-30] 30.64 (read).
    """
    return us_proof / 100.0 / pounds_per_gallon(us_proof)


def least_significant_difference(tasters: int, samples: int) -> float:
    """Least difference of two rank sums of a pair that was named before the tasting, 5 %.

    >>> round(least_significant_difference(8, 5), 2)
    12.4

    Raises: OutOfRange as `friedman`.
    Source: [ISO-8587] (read, secondary).
    """
    require("samples", float(samples), 2.0, float(MOST_SAMPLES), "", "ranking")
    require("tasters", float(tasters), 1.0, float(MOST_TASTERS), "", "ranking")
    return 1.96 * sqrt(tasters * samples * (samples + 1) / 6.0)


def acceptable_daily_intake_kg(acid: str, body_kg: float) -> float:
    """Acceptable daily intake of tartaric or phosphoric acid for a person, kg per day.

    Phosphoric acid from the group figure for phosphorus, which other foods use up as well (children
    exceed it often). Citric, malic, lactic and acetic acid have no numerical figure.

    >>> round(1000 * acceptable_daily_intake_kg("tartaric", 70.0), 1)
    16.8

    Raises: OutOfRange for the body mass (1 to 300 kg), UnknownIngredient for another acid.
    Source: [EFSA-2020-TARTARIC], [EFSA-2019-PHOSPHATES] (read).
    """
    require("body_kg", body_kg, 1.0, 300.0, "kg")
    if acid == "tartaric":
        return TARTARIC_ADI * body_kg
    if acid == "phosphoric":
        return PHOSPHORUS_ADI * body_kg * ACIDS["phosphoric"].molar_mass_g_mol / PHOSPHORUS_G_MOL
    raise UnknownIngredient(
        f"{acid!r} has no numerical daily intake here; tartaric and phosphoric acid have.", "acid"
    )


def lactic_monomer(mass_fraction_label: float) -> float:
    """Mass fraction of true, unbound lactic acid in a lactic acid as sold.

    >>> round(lactic_monomer(0.80), 2)
    0.63

    Range, error and source as `lactic_acts_as`. Raises: OutOfRange.
    """
    return mass_fraction_label * (1.0 - _lactic_bound_share(mass_fraction_label)) ** 2


def acids_from_titration(
    titratable_eq_kg: float,
    mole_shares: Mapping[str, float],
    strong_cation_molality: float = 0.0,
    ph_end: float = 8.2,
    temperature_c: float = 25.0,
) -> dict[str, float]:
    """Total acid molalities of a liquid from its titration: TA and cations together.

    titratable_eq_kg: equivalents per kg water found by titration; mole_shares: acid name -> parts
    by moles. The strong cations are added to what was titrated, once: give the answer to `ph`
    with the same strong_cation_molality. Range and error as `titratable_acidity_eq_kg`.

    >>> acids = acids_from_titration(0.3, {"citric": 1.0}, strong_cation_molality=0.03)
    >>> round(acids["citric"], 2)
    0.11

    Raises: OutOfRange, UnknownIngredient, BadInput without a positive share.
    Source: [PREPKIT-ACID] (computed).
    """
    require("titratable_eq_kg", titratable_eq_kg, 0.0, None, "eq/kg water")
    require("strong_cation_molality", strong_cation_molality, None, None, "mol/kg water")
    parts = math.fsum(mole_shares.values())
    if not parts > 0.0:
        raise BadInput(
            "mole_shares must name at least one acid with a share above 0.", "mole_shares"
        )
    found = max(titratable_eq_kg + strong_cation_molality, 0.0)
    total = 0.5 * found
    # The protons per molecule depend a little on the strength in the flask: two or three passes.
    for _ in range(30):  # pragma: no branch (ends by its break; the cap is against a hang)
        shares = {name: total * share / parts for name, share in mole_shares.items()}
        taken = titratable_acidity_eq_kg(shares, 0.0, ph_end, temperature_c)
        if taken <= 0.0 or abs(taken - found) <= 1e-12 * found:
            break
        total *= found / taken
    return {name: total * share / parts for name, share in mole_shares.items()}


def pounds_per_gallon(us_proof: float) -> float:
    """Weight in air of one US gallon of spirit at 60 F, lb.

    us_proof: 0 to 200. Error: 0.001 lb.

    >>> round(10 * pounds_per_gallon(190.0), 1)
    67.9

    Raises: OutOfRange. Source: [27-CFR-30] (read).
    """
    return LB_PER_GALLON_WATER_AIR * specific_gravity_in_air(us_proof)


def ethanol_fraction(g_m3: float) -> float:
    """Ethanol in air by volume, as if all of it were vapour; g/m3 as of `ethanol_g_m3`.

    >>> round(ethanol_fraction(59.36), 4)
    0.031

    Raises: OutOfRange, also above the weight of the pure vapour. Source: [DEFINITION].
    """
    require("g_m3", g_m3, 0.0, 1000.0 * ETHANOL_G_MOL / MOLAR_L, "g/m3")
    return g_m3 * MOLAR_L / ETHANOL_G_MOL / 1000.0


def upper_less_lower(rows: Rows) -> tuple[float, ...]:
    """Share right in the best group less that in the weakest, for each question.

    The groups are 27 % of the people each, halves in a class under 20. People of one total at a
    group's edge count in part, so that no order of the papers changes it.

    >>> upper_less_lower([[True, True], [False, True]])
    (1.0, 0.0)

    Raises: BadInput as `totals`. Source: [ITEM-ANALYSIS].
    """
    people, _ = _checked(rows)
    size = people // 2 if people < SMALL_CLASS else max(1, round(OUTER_SHARE * people))
    return groups_apart(rows, size)


def groups_apart(rows: Rows, size: int) -> tuple[float, ...]:
    """As `upper_less_lower`, with groups of `size` people (1 to half of them).

    >>> groups_apart([[True], [True], [False], [False]], 1)
    (1.0,)

    Raises: BadInput as `totals`, and for a group larger than half. Source: [DEFINITION].
    """
    people, items = _checked(rows)
    if not 1 <= size <= people // 2:
        raise BadInput(f"a group of {size} is not from 1 to {people // 2} of {people}.", "size")
    scores = totals(rows)

    def weights(sign: int) -> list[float]:
        ranked = sorted((sign * one for one in scores), reverse=True)
        edge = ranked[size - 1]
        inside = sum(sign * one > edge for one in scores)
        at_edge = sum(sign * one == edge for one in scores)
        part = (size - inside) / at_edge
        return [1.0 if sign * one > edge else part if sign * one == edge else 0.0 for one in scores]

    upper, lower = weights(1), weights(-1)
    return tuple(
        math.fsum(
            (high - low) * row[item] for high, low, row in zip(upper, lower, rows, strict=True)
        )
        / size
        for item in range(items)
    )


def without_guessing(right: int, wrong: int, options: int) -> float:
    """Right answers less those that guessing gives: right - wrong/(options - 1).

    >>> without_guessing(32, 18, 4)
    26.0

    Raises: BadInput for fewer than two options or a negative count. Source: [DEFINITION].
    """
    if options < 2 or right < 0 or wrong < 0:
        raise BadInput(f"{right} right, {wrong} wrong of {options} options cannot be.", "options")
    return right - wrong / (options - 1)


def industrial_oil_share() -> float:
    """Oil and limonene that the industry recovers, as a share of the whole orange.

    >>> round(100 * industrial_oil_share(), 3)
    0.735

    Source: [CITRUS-INDUSTRY] (read): 0.3 kg from a box of 40.82 kg.
    """
    return 0.3 / 40.82
