"""The settled balance of a load as working: what is dissolved, what is above it, its pressure."""

from __future__ import annotations

from prepkit.calculators.siphon import load as vessel_load
from prepkit.calculators.siphon.facts import BAR
from prepkit.calculators.siphon.load import Load
from prepkit.model import Step
from prepkit.science import gases
from prepkit.science.charged_vessel import GAS


def steps(load: Load) -> list[Step]:
    """The likely settled state after the last charge, to follow with a calculator; or nothing."""
    if load.solubility is None:
        return []
    found = vessel_load.charges(load, load.solubility.middle)[-1].settled
    if found is None or found.state != GAS:
        return []
    room = load.headspace_m3 + load.bulb_m3
    molar_mass = gases.molar_mass_kg_mol(load.gas)
    line = gases.isotherm(load.gas, load.temperature_c)
    density = found.headspace_kg / molar_mass / room
    z = line.pressure(density) / (density * line.rt)
    lost_g = max(0.0, 1e3 * (load.gas_kg - found.dissolved_kg - found.headspace_kg))
    return [
        Step(
            "gas dissolved when settled",
            f"{found.dissolved_kg_m3:.3f} g/l x {1e3 * load.liquid_m3:.4f} l of liquid",
            1e3 * found.dissolved_kg,
            "g",
            "PREPKIT-GAS",
        ),
        Step(
            "gas in the headspace when settled",
            f"{1e3 * load.gas_kg:.3f} g of gas - {lost_g:.3f} g left in bulbs taken off before - "
            f"{1e3 * found.dissolved_kg:.3f} g dissolved",
            1e3 * found.headspace_kg,
            "g",
        ),
        Step(
            "settled pressure, gauge",
            f"Z R T n / V + {found.air_pa / BAR:.3f} of air - {load.ambient_pa / BAR:.3f} outside. "
            f"n = {1e3 * found.headspace_kg:.3f} g / {1e3 * molar_mass:.3f} g/mol. "
            f"V = {1e6 * room:.1f} ml, Z = {z:.4f}, R T = {line.rt:.1f} J/mol",
            (found.absolute_pa - load.ambient_pa) / BAR,
            "bar",
            "PREPKIT-GAS",
        ),
    ]
