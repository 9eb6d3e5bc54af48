"""The vessel as it is filled: from the words of the siphon calculator to one load in numbers."""

from __future__ import annotations

from typing import Any

from prepkit.mixture import Mixture
from prepkit.science import charger, gases
from prepkit.shared import siphon_asked, siphon_load
from prepkit.shared.siphon_load import Load

LEAST_HEADSPACE_M3 = 1e-6


def batch(inputs: Any) -> tuple[int, Mixture, Mixture]:
    """Vessels, what is in the fullest of them, and what is in all of them."""
    mixture = inputs.contents.mixture
    if inputs.mode != "plan" or not inputs.max_fill:
        return 1, mixture, mixture
    vessel_count, in_one = siphon_asked.shared_out(inputs)
    portion = mixture.scaled(1e-6 * float(inputs.portion_size) / mixture.volume_20_m3)
    return vessel_count, portion.scaled(in_one), portion.scaled(inputs.portions)


def load(
    inputs: Any, mixture: Mixture, marks: tuple[bool, ...], charger_g: float, warmest_c: float
) -> Load:
    """The vessel in plain numbers; what carries a +/- is taken at its worse end for the bound."""
    temperature_c = float(inputs.temperature)
    more = siphon_asked.share_over(inputs)
    vessel_m3 = 1e-3 * float(inputs.vessel_volume)
    smaller_m3 = vessel_m3 - 1e-3 * siphon_asked.lower_end(inputs, "vessel_volume")
    # a volume is taken as measured where it is filled, a mass grows with its temperature
    by_mass = inputs.contents.amount.unit == "g" and inputs.mode != "plan"
    liquid_m3 = siphon_load.volume_m3(mixture, temperature_c) if by_mass else mixture.volume_20_m3
    siphon_asked.room_for_gas(liquid_m3, vessel_m3, LEAST_HEADSPACE_M3)
    cold_m3 = siphon_load.cold_volumes_m3(mixture)
    hot_m3 = siphon_load.hot_volume_m3(mixture, warmest_c, cold_m3)
    spread = 0.0
    if inputs.charger_gas_mass is not None:
        spread = 1.0 - siphon_asked.lower_end(inputs, "charger_gas_mass") / charger_g
    over = max(0.01 * siphon_asked.upper_end(inputs, "charger_tolerance"), spread)
    lowest = siphon_load.solubility(inputs.gas, max(1.0, warmest_c), mixture)
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    # no more bulb is counted on for the bound than so much gas must at least have
    bulb_m3 = 1e-6 * float(inputs.charger_volume)
    least_kg = 1e-3 * charger_g * (1.0 - spread)
    return Load(
        gas=inputs.gas,
        temperature_c=temperature_c,
        warmest_c=warmest_c,
        charges_kg=(charger_g / 1e3,) * len(marks),
        shaken=marks,
        vessel_m3=vessel_m3,
        liquid_m3=liquid_m3,
        liquid_most_m3=liquid_m3 * (1.0 + more),
        cold_m3=cold_m3,
        hot_m3=hot_m3,
        liquid_hot_m3=hot_m3 * (1.0 + more) + smaller_m3,
        bulb_m3=bulb_m3,
        smallest_bulb_m3=min(bulb_m3, charger.smallest_bulb_m3(inputs.gas, max(0.0, least_kg))),
        tolerance=over,
        air_pa=0.0 if inputs.purged else ambient_pa,
        ambient_pa=ambient_pa,
        thinnest_pa=gases.ambient_pressure_pa(siphon_asked.upper_end(inputs, "altitude")),
        solubility=siphon_load.solubility(inputs.gas, max(1.0, temperature_c), mixture),
        lowest_hot=lowest.low if lowest else 0.0,
    )
