"""The vessel as it is filled: from the words of the siphon calculator to one load in numbers."""

from __future__ import annotations

from prepkit.calculators.siphon import checks
from prepkit.calculators.siphon import load as vessel_load
from prepkit.calculators.siphon.inputs import Inputs
from prepkit.calculators.siphon.load import Load
from prepkit.mixture import Mixture
from prepkit.science import charger, gases

LEAST_HEADSPACE_M3 = 1e-6


def batch(inputs: Inputs) -> tuple[int, Mixture, Mixture]:
    """Vessels, what is in the fullest of them, and what is in all of them."""
    mixture = inputs.contents.mixture
    if inputs.mode != "plan" or not inputs.max_fill:
        return 1, mixture, mixture
    vessel_count, in_one = checks.shared_out(inputs)
    portion = mixture.scaled(1e-6 * float(checks.told(inputs.portion_size)) / mixture.volume_20_m3)
    return vessel_count, portion.scaled(in_one), portion.scaled(checks.told(inputs.portions))


def load(
    inputs: Inputs, mixture: Mixture, marks: tuple[bool, ...], charger_g: float, warmest_c: float
) -> Load:
    """The vessel in plain numbers; what carries a +/- is taken at its worse end for the bound."""
    temperature_c = float(inputs.temperature)
    more = checks.share_over(inputs)
    vessel_m3 = 1e-3 * float(checks.told(inputs.vessel_volume))
    smaller_m3 = vessel_m3 - 1e-3 * checks.lower_end(inputs, "vessel_volume")
    # a volume is taken as measured where it is filled, a mass grows with its temperature
    by_mass = inputs.contents.amount.unit == "g" and inputs.mode != "plan"
    liquid_m3 = vessel_load.volume_m3(mixture, temperature_c) if by_mass else mixture.volume_20_m3
    checks.room_for_gas(liquid_m3, vessel_m3, LEAST_HEADSPACE_M3)
    cold_m3 = vessel_load.cold_volumes_m3(mixture)
    hot_m3 = vessel_load.hot_volume_m3(mixture, warmest_c, cold_m3)
    spread = 0.0
    if inputs.charger_gas_mass is not None:
        spread = 1.0 - checks.lower_end(inputs, "charger_gas_mass") / charger_g
    over = max(0.01 * checks.upper_end(inputs, "charger_tolerance"), spread)
    lowest = vessel_load.solubility(inputs.gas, max(1.0, warmest_c), mixture)
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
        thinnest_pa=gases.ambient_pressure_pa(checks.upper_end(inputs, "altitude")),
        set_pa=_upper_pa(inputs, "regulator"),
        before_pa=_upper_pa(inputs, "pressure_before") or 0.0,
        vapour_pa=vessel_load.vapour_bound_pa(mixture, warmest_c),
        solubility=vessel_load.solubility(inputs.gas, max(1.0, temperature_c), mixture),
        lowest_hot=lowest.low if lowest else 0.0,
    )


def _upper_pa(inputs: Inputs, name: str) -> float | None:
    return None if getattr(inputs, name) is None else 1e5 * checks.upper_end(inputs, name)
