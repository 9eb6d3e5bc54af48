"""Air and other gases that carry water vapour: vapour pressure of water, density."""

from __future__ import annotations

import math
from math import exp

from prepkit.errors import require

GAS_CONSTANT_J_MOL_K = 8.314462618
KELVIN = 273.15
WATER_KG_MOL = 18.015268e-3
DRY_AIR_KG_MOL = 28.96546e-3
LOW_C, HIGH_C = 0.0, 100.0
LOW_PA, HIGH_PA = 50e3, 120e3
# [WAGNER-PRUSS] ln(p/pc) = Tc/T (a1 v + a2 v^1.5 + a3 v^3 + a4 v^3.5 + a5 v^4 + a6 v^7.5)
CRITICAL_K, CRITICAL_PA = 647.096, 22.064e6
VAPOUR = (
    (-7.85951783, 1.0), (1.84408259, 1.5), (-11.7866497, 3.0),
    (22.6807411, 3.5), (-15.9618719, 4.0), (1.80122502, 7.5),
)  # fmt: skip


def saturation_pressure_pa(temperature_c: float) -> float:
    """Vapour pressure of water over liquid, Pa.

    temperature_c: 0 to 100 C. Error: 0.05 %.

    >>> round(saturation_pressure_pa(20.0))
    2339

    Raises: OutOfRange.
    Source: [WAGNER-PRUSS] (memory), checked against [COOLPROP].
    """
    require("temperature_c", temperature_c, LOW_C, HIGH_C, "C", "WAGNER-PRUSS")
    kelvin = temperature_c + KELVIN
    v = 1.0 - kelvin / CRITICAL_K
    return CRITICAL_PA * exp(CRITICAL_K / kelvin * math.fsum(a * v**n for a, n in VAPOUR))


def moist_gas_density_kg_m3(
    molar_mass_kg_mol: float, temperature_c: float, absolute_pa: float, relative_humidity: float
) -> float:
    """Density of a gas carrying water vapour, kg/m3, as an ideal mixture.

    temperature_c: 0 to 100 C. absolute_pa: 50 to 120 kPa. relative_humidity: 0 to 1 (1 inside a
    bubble). Error: 0.1 % (air, helium, nitrogen), 0.7 % (nitrous oxide, carbon dioxide).

    >>> round(moist_gas_density_kg_m3(4.0026e-3, 20.0, 101325.0, 1.0), 4)
    0.1798

    Raises: OutOfRange. Source: [DEFINITION] ideal gas; vapour by [WAGNER-PRUSS].
    """
    require("relative_humidity", relative_humidity, 0.0, 1.0, "", "DEFINITION")
    require("absolute_pa", absolute_pa, LOW_PA, HIGH_PA, "Pa", "DEFINITION")
    require("molar_mass_kg_mol", molar_mass_kg_mol, 1e-3, 0.2, "kg/mol", "DEFINITION")
    vapour_pa = relative_humidity * saturation_pressure_pa(temperature_c)
    require("vapour pressure", vapour_pa, 0.0, absolute_pa, "Pa", "WAGNER-PRUSS")
    moles = 1.0 / (GAS_CONSTANT_J_MOL_K * (temperature_c + KELVIN))
    return moles * ((absolute_pa - vapour_pa) * molar_mass_kg_mol + vapour_pa * WATER_KG_MOL)


def air_density_kg_m3(
    temperature_c: float, absolute_pa: float = 101325.0, relative_humidity: float = 0.5
) -> float:
    """Density of room air, kg/m3.

    Arguments and range as `moist_gas_density_kg_m3`. Error: 0.1 %.

    >>> round(air_density_kg_m3(20.0), 3)
    1.199

    Raises: OutOfRange. Source: as `moist_gas_density_kg_m3`.
    """
    return moist_gas_density_kg_m3(DRY_AIR_KG_MOL, temperature_c, absolute_pa, relative_humidity)
