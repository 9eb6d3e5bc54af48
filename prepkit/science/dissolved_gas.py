"""Gas in a drink: Henry's law in water, with sugar, ethanol and fat; carbonation.

c = H f exp(-v (p - 1 atm) / R T): c in mol/m3, f the fugacity of the gas, p the total pressure.
With the pressure in place of the fugacity the answer is 22 to 27 % too high at 29 bar. Sugar and
ethanol factors were measured for CO2 and are carried over to the other gases; in spirit the upper
end of the band is by gas.

The pressure for a drink of its own sugar and strength is by `dissolved_gas`; the two brewers' forms
here are for beer, and are fits of one older table and of one equation.
"""

import math
from itertools import pairwise
from math import exp, log
from typing import NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science import gases, keeping, water
from prepkit.science.gases import GAS_CONSTANT_J_MOL_K, KELVIN, STANDARD_PA

# ---- gas in a drink ----

WATER_KG_MOL = 0.0180153

PARTIAL_MOLAR_M3_MOL = 34e-6  # of a dissolved gas; 32 to 35e-6 (memory)
HIGH_C = 60.0

# ln(H) = a + b (100/T) + c ln(T/100); H in mol/(m3 Pa) for the fits, mol/(L atm) for the K0.
WEISS_PRICE_N2O = (-62.7062, 97.3066, 24.1406)
WEISS_CO2 = (-58.0931, 90.5069, 22.2940)
PER_LITRE_ATM = 1000.0 / STANDARD_PA
# [CARROLL-1991]: ln(h/MPa) by powers of 1/T; h is fugacity over mole fraction.
CARROLL_CO2 = (-6.8346, 1.2817e4, -3.7668e6, 2.997e8)
# [PREPKIT-GAS] refit of [IAPWS-G7]: ln H in mol/(m3 Pa), 1-60 C, residual 0.053 %.
IAPWS_FIT = {
    "n2": (-59.6494, 74.3788, 20.8286),
    "o2": (-58.7325, 75.1786, 20.3604),
    "he": (-37.4714, 35.8358, 11.8933),
    "ar": (-55.9483, 71.1901, 19.1240),
}
LOW_C = {"n2o": -1.0, "co2": 0.0, "n2": 1.0, "o2": 1.0, "he": 1.0, "ar": 1.0}

SUGAR_M3_KG = 0.00144  # [EU-2676-90], as an exponential
SUGAR_HIGH_KG_M3 = 600.0
SUGAR_ERROR_FULL_KG_M3, SUGAR_ERROR = 300.0, 0.20
ETHANOL_SLOPE = 1.16  # [EU-2676-90]: 0.01/0.86 per % vol
ETHANOL_SLOPE_HIGH_ABV, ETHANOL_SLOPE_ERROR = 0.15, 0.08
ETHANOL_HIGH_ABV, ETHANOL_BAND = 0.60, (0.75, 1.10)
# High end of the band above 15 % vol, to 45 and to 60 % vol: scaled from pure ethanol, where
# nitrous oxide is favoured 1.37 times and nitrogen 2.3 times as much as carbon dioxide.
ETHANOL_MIDDLE_ABV = 0.45
ETHANOL_BAND_HIGH = {"co2": (1.10, 1.20), "n2o": (1.20, 1.35)}
ETHANOL_BAND_HIGH_OTHER = (1.50, 2.00)

# [FOOD-CHEM-2017-FAT]: ln of CO2 in anhydrous milk fat, mol/(kg Pa), by powers of t; 4-35 C.
FAT_CURVE = (-16.25605, 0.08108109, -0.00077607)
FAT_LOW_C, FAT_HIGH_C = 4.0, 35.0
N2O_TO_CO2_IN_FAT, N2O_FAT_ERROR = 1.05, 0.35
CREAM_ERROR = 0.25

# Pressure above which a gas hydrate may form at rest: (C, bar) pairs of a line in ln(p).
# CO2 [CO2-HYDRATE-2023], [TAKENOUCHI-KENNEDY-1965] (read); N2O [N2O-HYDRATE-MEMORY].
HYDRATE = {
    "co2": ((-1.55, 10.44), (10.0, 45.0)),
    "n2o": ((0.0, 10.0), (10.0, 33.0)),
}
HYDRATE_LOW_C, HYDRATE_HIGH_C = 0.0, 10.0


class GasSolubility(NamedTuple):
    """Henry constant of a liquid, mol/(m3 Pa): what decides safety (low), the likely one, high."""

    low: float
    middle: float
    high: float


def _fit(row: tuple[float, float, float], kelvin: float) -> float:
    return exp(row[0] + row[1] * 100.0 / kelvin + row[2] * log(kelvin / 100.0))


def weiss_co2_mol_m3_pa(temperature_c: float) -> float:
    """Henry constant of CO2 in water, mol/(m3 Pa), first of two; 0-60 C, +/-2.5 %.

    >>> round(weiss_co2_mol_m3_pa(25.0) * 1e4, 2)
    3.35

    Raises: OutOfRange. Source: [WEISS-1974] (read in public code).
    """
    require("temperature_c", temperature_c, LOW_C["co2"], HIGH_C, "C", "WEISS-1974")
    return _fit(WEISS_CO2, temperature_c + KELVIN) * PER_LITRE_ATM


def carroll_co2_mol_m3_pa(temperature_c: float) -> float:
    """Henry constant of CO2 in water, mol/(m3 Pa), second of two; 0-60 C, +/-3.5 %.

    >>> round(carroll_co2_mol_m3_pa(20.0) * 1e4, 2)
    3.92

    Raises: OutOfRange. Source: [CARROLL-1991] (abstract read).
    """
    require("temperature_c", temperature_c, LOW_C["co2"], HIGH_C, "C", "CARROLL-1991")
    inverse = 1.0 / (temperature_c + KELVIN)
    a, b, c, d = CARROLL_CO2
    h_pa = 1e6 * exp(a + inverse * (b + inverse * (c + inverse * d)))
    return water.density_kg_m3(temperature_c) / WATER_KG_MOL / h_pa


def henry_mol_m3_pa(gas: str, temperature_c: float) -> float:
    """Henry constant in pure water, mol/(m3 Pa), on fugacity; from about 0 to 60 C.

    N2O -1 to 60 C: +/-3 % at 1 atm to 40 C, +/-6 % above 40 C or at pressure (by analogy with CO2:
    no pressure series was found). CO2 0-60 C: the lower of two constants, +/-3 %, +/-4 % below
    15 C above 5 bar. N2 1-60 C within 1.5 %; O2, He, Ar 1-60 C within 3 %.

    >>> round(henry_mol_m3_pa("n2o", 5.0) * 1e4, 3)
    4.782

    Raises: OutOfRange, UnknownIngredient, BadInput for air (a mixture: ask for n2 and o2).
    Source: [WEISS-PRICE-1980], [WEISS-1974], [CARROLL-1991], [IAPWS-G7] (read).
    """
    gases.known_gas(gas)
    if gas == "co2":
        return min(weiss_co2_mol_m3_pa(temperature_c), carroll_co2_mol_m3_pa(temperature_c))
    if gas == "n2o":
        require("temperature_c", temperature_c, LOW_C[gas], HIGH_C, "C", "WEISS-PRICE-1980")
        return _fit(WEISS_PRICE_N2O, temperature_c + KELVIN) * PER_LITRE_ATM
    if gas not in IAPWS_FIT:
        raise BadInput("air is a mixture; its solubility is that of n2 and of o2 apart.", "gas")
    require("temperature_c", temperature_c, LOW_C[gas], HIGH_C, "C", "IAPWS-G7")
    return _fit(IAPWS_FIT[gas], temperature_c + KELVIN)


def henry_relative_error(gas: str, temperature_c: float, absolute_pa: float = STANDARD_PA) -> float:
    """Stated error of the dissolved gas in water, as a fraction of it.

    >>> henry_relative_error("n2o", 5.0, 15e5)
    0.06

    Raises: OutOfRange, UnknownIngredient. Source: spread of the sources of `henry_mol_m3_pa`.
    """
    gases.known_gas(gas)
    require("temperature_c", temperature_c, -1.0, HIGH_C, "C", "PREPKIT-GAS")
    require("absolute_pa", absolute_pa, 0.0, gases.VIRIAL_HIGH_PA, "Pa", "PREPKIT-GAS")
    if gas == "n2o":
        return 0.06 if temperature_c > 40.0 or absolute_pa > 2e5 else 0.03
    if gas == "co2":
        return 0.04 if temperature_c < 15.0 and absolute_pa > 5e5 else 0.03
    return 0.015 if gas == "n2" else 0.03


def pressure_factor(temperature_c: float, total_pa: float) -> float:
    """exp(-v (p - 1 atm) / R T): what total pressure takes from the solubility.

    >>> round(pressure_factor(20.0, 30e5), 3)
    0.96

    Raises: OutOfRange. Source: [PARTIAL-VOLUME] (memory); checked on CO2 at 20 C and N2 at 25 C.
    """
    require("temperature_c", temperature_c, gases.LOW_C, gases.HIGH_C, "C", "PREPKIT-GAS")
    require("total_pa", total_pa, 0.0, 120e5, "Pa", "PARTIAL-VOLUME")
    rt = GAS_CONSTANT_J_MOL_K * (temperature_c + KELVIN)
    return exp(-PARTIAL_MOLAR_M3_MOL * (total_pa - STANDARD_PA) / rt)


def dissolved_mol_m3(
    gas: str, temperature_c: float, gas_pa: float, henry: float, total_pa: float | None = None
) -> float:
    """Dissolved gas at equilibrium, mol/m3 of liquid; total pressure: the gas's own if unsaid.

    >>> round(dissolved_mol_m3("co2", 20.0, 30e5, henry_mol_m3_pa("co2", 20.0)))
    940

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed).
    """
    require("henry", henry, 0.0, None, "mol/(m3 Pa)")
    phi = gases.fugacity_coefficient(gas, temperature_c, gas_pa)
    total = gas_pa if total_pa is None else total_pa
    return henry * phi * gas_pa * pressure_factor(temperature_c, total)


def mole_fraction(dissolved_mol_m3: float, temperature_c: float) -> float:
    """Mole fraction of a gas in water from its concentration on the litre of water.

    >>> round(mole_fraction(39.5, 20.0) * 1e3, 3)
    0.712

    Raises: OutOfRange. Source: by definition.
    """
    require("dissolved_mol_m3", dissolved_mol_m3, 0.0, None, "mol/m3")
    return dissolved_mol_m3 / (dissolved_mol_m3 + water.density_kg_m3(temperature_c) / WATER_KG_MOL)


def volumes(gas: str, dissolved_mol_m3: float) -> float:
    """Volumes of gas, at 0 C and 1 atm, in one volume of liquid.

    At 1 atm of the gas this is the Bunsen coefficient; for CO2 the trade's "volumes".

    >>> round(volumes("co2", 1000.0 * 7.85 / 44.0098), 2)
    3.97

    Raises: OutOfRange, UnknownIngredient. Source: by definition; molar volume from [PREPKIT-GAS].
    """
    require("dissolved_mol_m3", dissolved_mol_m3, 0.0, None, "mol/m3")
    return dissolved_mol_m3 / gases.molar_density_mol_m3(gas, 0.0, STANDARD_PA)


def gas_to_leave_m3_m3(
    gas: str,
    temperature_c: float,
    dissolved_kg_m3: float,
    henry_mol_m3_pa: float,
    ambient_pa: float = STANDARD_PA,
) -> float:
    """Gas that leaves the liquid on its way to ambient pressure, m3 (there) per m3 of liquid.

    What stays is the equilibrium under one atmosphere of the gas itself. An upper bound on overrun
    from dissolved gas (1.0 is 100 %): the film that holds the bubbles decides how much is kept.

    >>> round(gas_to_leave_m3_m3("n2o", 5.0, 8.6, 3.2e-4), 1)
    3.7

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed).
    """
    require("dissolved_kg_m3", dissolved_kg_m3, 0.0, 500.0, "kg/m3")
    require("henry_mol_m3_pa", henry_mol_m3_pa, 0.0, 1.0, "mol/(m3 Pa)")
    stays = henry_mol_m3_pa * ambient_pa * gases.molar_mass_kg_mol(gas)
    return max(0.0, dissolved_kg_m3 - stays) * gases.gas_volume_m3_kg(
        gas, temperature_c, ambient_pa
    )


def sugar_factor(sugar_kg_m3: float) -> float:
    """Share of the solubility that is left with sugar in the water; 0-600 kg/m3 (g/L).

    Measured for CO2 to about 100 g/L; beyond it is extrapolation, +/-20 % from 300 g/L on.

    >>> round(sugar_factor(100.0), 3)
    0.866

    Raises: OutOfRange. Source: [EU-2676-90] (read), as an exponential.
    """
    require("sugar_kg_m3", sugar_kg_m3, 0.0, SUGAR_HIGH_KG_M3, "kg/m3", "EU-2676-90")
    return exp(-SUGAR_M3_KG * sugar_kg_m3)


def ethanol_factor(abv: float, gas: str = "co2") -> tuple[float, float, float]:
    """Low, middle and high share of the solubility that is left with ethanol; abv 0-0.60.

    To 15 % vol the wine formula, +/-8 %; above it the sources disagree and a band is all that can
    be said: from 0.75, which decides safety, to 1.1 and 1.2 (above 45 % vol) for carbon dioxide,
    1.2 and 1.35 for nitrous oxide, 1.5 and 2 for any other gas. The upper ends are scaled from
    pure ethanol; no mixture was measured.

    >>> [round(value, 3) for value in ethanol_factor(0.12)]
    [0.792, 0.861, 0.93]

    >>> ethanol_factor(0.40, "n2o")[2], ethanol_factor(0.50, "n2")[2]
    (1.2, 2.0)

    Raises: OutOfRange. Source: [EU-2676-90] (read), [POSTIGO-KATZ-1987] (read), [MUELLER-1889]
    (memory), [BUNSEN-ALCOHOL] (read).
    """
    require("abv", abv, 0.0, ETHANOL_HIGH_ABV, "", "MUELLER-1889")
    if abv > ETHANOL_SLOPE_HIGH_ABV:
        low, usual = ETHANOL_BAND
        ends = ETHANOL_BAND_HIGH.get(gas, ETHANOL_BAND_HIGH_OTHER)
        return low, 0.5 * (low + usual), ends[abv > ETHANOL_MIDDLE_ABV]
    middle = 1.0 - ETHANOL_SLOPE * abv
    error = ETHANOL_SLOPE_ERROR * min(1.0, abv / 0.05)
    return middle * (1.0 - error), middle, middle * (1.0 + error)


def milk_fat_mol_kg_pa(gas: str, temperature_c: float) -> float:
    """Gas taken up by milk fat as it is at a temperature, mol/(kg Pa); CO2 and N2O.

    Cold fat is mostly solid and takes up little. CO2: a curve through three points, held constant
    outside 4-35 C. N2O: 1.05 times CO2, +/-35 %: no measurement in milk fat was found.

    >>> round(milk_fat_mol_kg_pa("co2", 24.0) * 1e7, 2)
    3.9

    Raises: OutOfRange, UnknownIngredient, BadInput for a gas without a figure.
    Source: [FOOD-CHEM-2017-FAT] (abstract read); the ratio is computed.
    """
    gases.known_gas(gas)
    require("temperature_c", temperature_c, gases.LOW_C, gases.HIGH_C, "C", "FOOD-CHEM-2017-FAT")
    if gas not in HYDRATE:
        raise BadInput(f"no figure was found for {gas} in milk fat.", "gas")
    t = min(max(temperature_c, FAT_LOW_C), FAT_HIGH_C)
    a, b, c = FAT_CURVE
    return exp(a + t * (b + t * c)) * (N2O_TO_CO2_IN_FAT if gas == "n2o" else 1.0)


def henry_in_liquid(
    gas: str,
    temperature_c: float,
    aqueous_fraction: float = 1.0,
    sugar_kg_m3: float = 0.0,
    abv: float = 0.0,
    fat_kg_m3: float = 0.0,
) -> GasSolubility:
    """Henry constant of a drink, mol/(m3 Pa): water phase by volume plus fat by mass.

    aqueous_fraction: m3 of water phase (sugar and ethanol in it) per m3 of liquid. sugar_kg_m3 and
    abv: of that phase. fat_kg_m3: per m3 of liquid. `low` takes the stated errors down and the fat
    as it is at 4 C, whatever the temperature: a warm, melting fat must not make a verdict milder;
    `high` takes the fat as liquid. A gas without a figure for fat counts none in it.

    >>> cream = henry_in_liquid("n2o", 5.0, 0.61, 45.0, 0.0, 350.0)
    >>> [round(value * 1e4, 1) for value in (cream.middle, cream.high)]
    [3.2, 5.8]

    Raises: OutOfRange, UnknownIngredient, BadInput.
    Source: [PREPKIT-GAS] (computed from [EU-2676-90] and [FOOD-CHEM-2017-FAT]); in cream +/-25 %.
    """
    require("aqueous_fraction", aqueous_fraction, 0.0, 1.0)
    require("fat_kg_m3", fat_kg_m3, 0.0, 1000.0, "kg/m3")
    henry = henry_mol_m3_pa(gas, temperature_c) * aqueous_fraction
    error = henry_relative_error(gas, temperature_c, gases.VIRIAL_HIGH_PA)
    sugar = sugar_factor(sugar_kg_m3)
    sugar_error = SUGAR_ERROR * min(1.0, sugar_kg_m3 / SUGAR_ERROR_FULL_KG_M3)
    low, middle, high = ethanol_factor(abv, gas)
    low *= (1.0 - error) * (1.0 - sugar_error)
    high *= (1.0 + error) * (1.0 + sugar_error)
    water_phase = henry * sugar
    fat_low = fat_middle = fat_high = 0.0
    if fat_kg_m3 > 0.0 and gas in HYDRATE:
        spread = N2O_FAT_ERROR if gas == "n2o" else 0.0
        fat_low = fat_kg_m3 * milk_fat_mol_kg_pa(gas, FAT_LOW_C) * (1.0 - spread)
        fat_middle = fat_kg_m3 * milk_fat_mol_kg_pa(gas, temperature_c)
        fat_high = fat_kg_m3 * milk_fat_mol_kg_pa(gas, FAT_HIGH_C) * (1.0 + spread)
    return GasSolubility(
        water_phase * low + fat_low,
        water_phase * middle + fat_middle,
        water_phase * high + fat_high,
    )


def hydrate_pa(gas: str, temperature_c: float) -> float:
    """Pressure above which a solid gas hydrate may form in water at rest, Pa; CO2 and N2O, 0-10 C.

    Sugar, alcohol and fat move the line to colder. A caution only (it can block a valve); it does
    not raise the pressure.

    >>> round(hydrate_pa("n2o", 5.0) / 1e5)
    18

    Raises: OutOfRange, UnknownIngredient, BadInput for other gases.
    Source: [CO2-HYDRATE-2023], [TAKENOUCHI-KENNEDY-1965] (abstracts read), [N2O-HYDRATE-MEMORY].
    """
    gases.known_gas(gas)
    if gas not in HYDRATE:
        raise BadInput(f"no hydrate line is known here for {gas}.", "gas")
    require("temperature_c", temperature_c, HYDRATE_LOW_C, HYDRATE_HIGH_C, "C", "CO2-HYDRATE-2023")
    (t0, p0), (t1, p1) = HYDRATE[gas]
    return 1e5 * exp(log(p0) + (temperature_c - t0) / (t1 - t0) * log(p1 / p0))


def carbonate_gas_kg(sodium_kg: float, potassium_kg: float) -> float:
    """Most carbon dioxide that the bicarbonate of this much sodium and potassium can free, kg.

    One mole for each mole of the metal, with acid enough; a carbonate frees half as much.

    >>> round(1e3 * carbonate_gas_kg(0.01369, 0.0), 1)  # 50 g of baking soda
    26.2

    Raises: OutOfRange. Source: by definition, NaHCO3 and KHCO3.
    """
    require("sodium_kg", sodium_kg, 0.0, 1e6, "kg")
    require("potassium_kg", potassium_kg, 0.0, 1e6, "kg")
    moles = 1e3 * (sodium_kg / keeping.SODIUM_G_MOL + potassium_kg / keeping.POTASSIUM_G_MOL)
    return moles * gases.molar_mass_kg_mol("co2")


# ---- carbon dioxide in a keg, a bottle, a beer line and a glass ----

PSI_PA = 6894.757
BEER_PA_S = 1.7e-3  # of cold beer
LAMINAR_RE, TURBULENT_RE = 2300.0, 4000.0
#: Trade pour, m3/s: two US fluid ounces a second [DRAUGHT-MANUALS]
POUR_M3_S = 59.1e-6
#: Bore of a line in mm, and the published least and most drop at the trade pour, psi per foot
#: [DRAUGHT-MANUALS]; the upper figures hold foam, fittings and age.
LINES = (
    (4.7625, 1.8, 3.0),
    (6.35, 0.40, 0.85),
    (7.9375, 0.10, 0.20),
    (9.525, 0.09, 0.15),
    (12.7, 0.025, 0.03),
)
PSI_FT_PA_M = PSI_PA / 0.3048
#: Carbon dioxide that sparkling wine lost on pouring, g/L at C: into the glass, down the wall
#: [CHAMPAGNE-POUR-2010].
POURED = ((4.0, 3.0, 1.6), (12.0, 3.3, 2.0), (18.0, 4.0, 3.7))
#: Days until a still keg, and one at high pressure at first, hold their gas (informal)
STANDING_D, HIGH_FIRST_D = (7.0, 28.0), (1.0, 3.0)


class PressureDrop(NamedTuple):
    """Pressure that a line takes, Pa per m: least, by the smooth-pipe relation, most."""

    low: float
    smooth: float
    high: float


def beer_gauge_psi(temperature_f: float, volumes: float) -> float:
    """Pressure over beer for so many volumes of carbon dioxide, psi gauge: the brewers' fit.

    temperature_f: 32 to 80; volumes: 2 to 3. Above 61 F it overtakes pure water. Error: 0.1 psi of
    the table that it fits.

    >>> round(beer_gauge_psi(32.0, 2.5), 1)
    8.2

    Raises: OutOfRange. Source: [BEER-CO2-FIT] (read).
    """
    require("temperature_f", temperature_f, 32.0, 80.0, "F", "BEER-CO2-FIT")
    require("volumes", volumes, 2.0, 3.0, "", "BEER-CO2-FIT")
    f, v = temperature_f, volumes
    return (
        -16.6999 - 0.0101059 * f + 0.00116512 * f * f
        + 0.173354 * f * v + 4.24267 * v - 0.0684226 * v * v
    )  # fmt: skip


def mixture_gauge_pa(co2_share: float, co2_pa: float, ambient_pa: float) -> float:
    """Gauge pressure of a mixture whose carbon dioxide has a partial pressure, Pa; the way back.

    >>> round(mixture_gauge_pa(0.7, 24.287 * PSI_PA, 14.696 * PSI_PA) / PSI_PA, 1)
    20.0

    Raises: OutOfRange. Source: [DEFINITION] partial pressure.
    """
    require("co2_share", co2_share, 0.01, 1.0)
    require("co2_pa", co2_pa, 0.0, 60e5, "Pa")
    return co2_pa / co2_share - ambient_pa


def lift_pa(height_m: float, density_kg_m3: float) -> float:
    """Pressure that a rise takes, Pa.

    >>> round(lift_pa(3.5, 1010.0) / 1e3, 1)
    34.7

    Raises: OutOfRange. Source: [DEFINITION] hydrostatics.
    """
    require("height_m", height_m, -30.0, 30.0, "m")
    require("density_kg_m3", density_kg_m3, 700.0, 1500.0, "kg/m3")
    return density_kg_m3 * water.GRAVITY_M_S2 * height_m


def reynolds(bore_m: float, flow_m3_s: float, density_kg_m3: float, viscosity_pa_s: float) -> float:
    """Reynolds number in a round line: below 2300 the flow is smooth, above 4000 turbulent.

    >>> round(reynolds(0.0047625, 59.1e-6, 1010.0, 1.7e-3), -2)
    9400.0

    Raises: OutOfRange. Source: [PIPE-FLOW] (memory).
    """
    require("bore_m", bore_m, 1e-3, 0.05, "m", "PIPE-FLOW")
    require("flow_m3_s", flow_m3_s, 1e-8, 1e-3, "m3/s", "PIPE-FLOW")
    require("viscosity_pa_s", viscosity_pa_s, 5e-4, 1.0, "Pa s", "PIPE-FLOW")
    return 4.0 * density_kg_m3 * flow_m3_s / (math.pi * bore_m * viscosity_pa_s)


def laminar_pa_m(bore_m: float, flow_m3_s: float, viscosity_pa_s: float) -> float:
    """Pressure that a smooth flow takes, Pa per m; a beer line flows faster than that.

    >>> round(laminar_pa_m(0.006, 5e-6, 1.7e-3) / 1e3, 3)
    0.267

    Raises: OutOfRange. Source: [PIPE-FLOW] (memory), Poiseuille's law.
    """
    reynolds(bore_m, flow_m3_s, 1000.0, viscosity_pa_s)
    return float(128.0 * viscosity_pa_s * flow_m3_s / (math.pi * bore_m**4))


def turbulent_pa_m(
    bore_m: float, flow_m3_s: float, density_kg_m3: float, viscosity_pa_s: float
) -> float:
    """Pressure that a turbulent flow takes in a smooth pipe, Pa per m.

    >>> round(turbulent_pa_m(0.0047625, 59.1e-6, 1010.0, 1.7e-3) / 1e3, 1)
    37.5

    Raises: OutOfRange. Source: [PIPE-FLOW] (memory), Blasius' friction factor.
    """
    re = reynolds(bore_m, flow_m3_s, density_kg_m3, viscosity_pa_s)
    speed = flow_m3_s / (math.pi * bore_m**2 / 4.0)
    return float(0.316 * re**-0.25 * density_kg_m3 * speed * speed / (2.0 * bore_m))


def line_pa_m(
    bore_m: float, flow_m3_s: float, density_kg_m3: float, viscosity_pa_s: float = BEER_PA_S
) -> PressureDrop:
    """What a drink line takes, Pa per m, with the band of the published figures.

    bore_m: 0.003 to 0.016. Smooth below a Reynolds number of 2300, turbulent above 4000; between
    them both ends count. The published figures of the next bores, scaled by the flow, widen the
    band: foam, fittings and age.

    >>> drop = line_pa_m(0.0047625, POUR_M3_S, 1010.0)
    >>> [round(one / PSI_FT_PA_M, 2) for one in drop]
    [1.66, 1.66, 3.0]

    Raises: OutOfRange. Source: [DRAUGHT-MANUALS] (read), [PIPE-FLOW] (memory).
    """
    require("bore_m", bore_m, 3e-3, 16e-3, "m", "DRAUGHT-MANUALS")
    re = reynolds(bore_m, flow_m3_s, density_kg_m3, viscosity_pa_s)
    slow = laminar_pa_m(bore_m, flow_m3_s, viscosity_pa_s)
    if re < LAMINAR_RE:
        return PressureDrop(slow, slow, slow * max(high / low for _, low, high in LINES))
    fast = turbulent_pa_m(bore_m, flow_m3_s, density_kg_m3, viscosity_pa_s)
    low, high = _published(1e3 * bore_m)
    scale = (flow_m3_s / POUR_M3_S) ** 1.75
    least = min(fast, low * scale)
    if re < TURBULENT_RE:
        least = min(least, slow)
    return PressureDrop(least, fast, max(fast, high * scale))


def _published(bore_mm: float) -> tuple[float, float]:
    """Least and most drop at the trade pour, Pa per m, between the printed bores by powers."""
    at = next((i for i, row in enumerate(LINES[1:], 1) if bore_mm <= row[0]), len(LINES) - 1)
    (d0, low0, high0), (d1, low1, high1) = LINES[at - 1], LINES[at]
    share = math.log(bore_mm / d0) / math.log(d1 / d0)
    return (
        PSI_FT_PA_M * low0 * (low1 / low0) ** share,
        PSI_FT_PA_M * high0 * (high1 / high0) ** share,
    )


def poured_loss_kg_m3(temperature_c: float, down_the_wall: bool) -> float:
    """Carbon dioxide that sparkling wine loses as it is poured into a flute, kg/m3 (g/L).

    temperature_c: 0 to 25, held at the ends of the 4 to 18 C that were measured. A drink with less
    gas loses less: an upper bound for soda, cordial and beer.

    >>> poured_loss_kg_m3(12.0, False), poured_loss_kg_m3(12.0, True)
    (3.3, 2.0)

    Raises: OutOfRange. Source: [CHAMPAGNE-POUR-2010] (read in a report).
    """
    require("temperature_c", temperature_c, 0.0, 25.0, "C", "CHAMPAGNE-POUR-2010")
    at = min(max(temperature_c, POURED[0][0]), POURED[-1][0])
    column = 2 if down_the_wall else 1
    for cold, warm in pairwise(POURED):
        if at <= warm[0]:
            share = (at - cold[0]) / (warm[0] - cold[0])
            return cold[column] + share * (warm[column] - cold[column])
    return POURED[-1][column]  # pragma: no cover - `at` is held within the table


def headspace_kg_m3(density_mol_m3: float, molar_mass_kg_mol: float, headspace: float) -> float:
    """Gas of the headspace that is lost each time a vessel is opened, kg per m3 of liquid.

    headspace: share of the vessel that is empty, 0 to 0.99.

    >>> round(headspace_kg_m3(150.0, 0.0440098, 0.05), 2)
    0.35

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("headspace", headspace, 0.0, 0.99)
    require("density_mol_m3", density_mol_m3, 0.0, 1e4, "mol/m3")
    return density_mol_m3 * molar_mass_kg_mol * headspace / (1.0 - headspace)


def celsius_to_f(temperature_c: float) -> float:
    """Degrees Fahrenheit.

    >>> celsius_to_f(5.0)
    41.0

    Source: [DEFINITION].
    """
    return 1.8 * temperature_c + 32.0
