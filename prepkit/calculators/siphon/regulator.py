"""Gas out of a cylinder through a regulator: into a siphon, or into a keg to be carbonated."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isfinite

from prepkit.calculators.siphon import checks, filling
from prepkit.calculators.siphon import load as vessel_load
from prepkit.calculators.siphon.inputs import Inputs
from prepkit.facts import Facts
from prepkit.mixture import Mixture
from prepkit.model import Step
from prepkit.science import charged_vessel, dissolved_gas, gases
from prepkit.units import rounded_down

BAR = 1e5
KEG_PARTS = {
    "rated": "the rating of the keg",
    "line_rated": "the rating of the lines",
    "regulator_rated": "the rating of the regulator",
}


@dataclass(frozen=True)
class Regulated:
    """What a regulator does: its facts, its values by name of the Result, the working."""

    facts: Facts
    values: dict[str, float]
    steps: tuple[Step, ...]


def always(inputs: Inputs) -> Facts:
    """What is said of every regulator, whatever else is known."""
    rated = None if inputs.rated is None else checks.lower_end(inputs, "rated")
    below = f"{rounded_down(rated):g} bar" if rated else "the rating of the weakest part"
    return {
        "through_regulator": True,
        "regulator_missing": inputs.mode != "keg" and inputs.regulator is None,
        "relief_words": below,
    }


def of_siphon(
    inputs: Inputs, mixture: Mixture, charger_g: float, warmest_c: float, max_fill_m3: float
) -> Regulated:
    """A vessel that is filled at the set pressure, shut, and comes to stand at its warmest."""
    from prepkit.calculators.siphon import facts as load_facts

    load = filling.load(inputs, mixture, (True,), charger_g, warmest_c)
    bounds = vessel_load.bounds(load)
    rated_bar = checks.lower_end(inputs, "rated")
    set_bar = checks.upper_end(inputs, "regulator")
    facts = load_facts.of_pressure(load, bounds, rated_bar, max_fill_m3)
    facts |= _against({"rated": rated_bar}, set_bar)
    values = {"fill": 1e6 * load.liquid_m3, "headspace": 1e6 * load.headspace_m3}
    values["set_pressure"] = float(checks.told(inputs.regulator))
    if isfinite(bounds.highest):
        values |= {"bound": bounds.highest / BAR, "margin": rated_bar - bounds.highest / BAR}
    step = Step(
        "upper bound of the pressure, gauge",
        f"set to {set_bar:g} bar. Gas taken up at {load.temperature_c:g} °C comes out "
        f"at {warmest_c:g} °C. Vapour of the contents {load.vapour_pa / BAR:.3f} bar",
        bounds.highest / BAR if isfinite(bounds.highest) else None,
        "bar",
        "PREPKIT-GAS",
    )
    return Regulated(facts, values, (step,))


def of_keg(inputs: Inputs, mixture: Mixture, warmest_c: float) -> Regulated:
    """The set pressure that gives the volumes wanted, and what the shut keg comes to when warm.

    The keg is taken as full: what is dissolved stays so, and its pressure rises the most.
    """
    temperature_c = float(inputs.temperature)
    there = vessel_load.solubility(inputs.gas, max(1.0, temperature_c), mixture)
    warm = vessel_load.solubility(inputs.gas, max(1.0, warmest_c), mixture)
    wanted = float(checks.told(inputs.target_volumes))
    per_mol = dissolved_gas.volumes(inputs.gas, 1.0)  # volumes for 1 mol/m3
    dissolved = wanted / per_mol
    ambient = gases.ambient_pressure_pa(float(inputs.altitude))
    thin = gases.ambient_pressure_pa(checks.upper_end(inputs, "altitude"))

    def over(found: dissolved_gas.Solubility | None, at_c: float, low: bool) -> float:
        if found is None:
            return inf
        henry = found.low if low else found.middle
        return charged_vessel.pressure_over_pa(inputs.gas, at_c, dissolved, henry)

    likely = max(0.0, over(there, temperature_c, low=False) - ambient) / BAR
    most = max(0.0, over(there, temperature_c, low=True) - thin) / BAR
    vapour = vessel_load.vapour_bound_pa(mixture, warmest_c)
    hot = over(warm, warmest_c, low=True) * (1.0 + charged_vessel.MODEL_MARGIN)
    bound = max(most, (hot + vapour - thin) / BAR)
    missing = [words for name, words in KEG_PARTS.items() if getattr(inputs, name) is None]
    facts: Facts = {
        "keg_not_known": bool(missing),
        "keg_missing": " and ".join(missing),
        "bound_known": isfinite(bound),
        "still_known": isfinite(bound),
    }
    if missing or not isfinite(bound):
        return Regulated(facts, {}, ())
    ratings = {name: checks.lower_end(inputs, name) for name in KEG_PARTS}
    facts |= _against(ratings, most)
    shut_in = min(ratings["rated"], ratings["line_rated"])  # the weaker of what the gas stands in
    facts |= {
        "rated_bar": shut_in,
        "bound_bar": bound,
        "bound_over_rating": bound / shut_in,
        "gas_total_g": 1e3 * dissolved * gases.molar_mass_kg_mol(inputs.gas) * mixture.volume_20_m3,
    }
    values = {
        "set_pressure": likely,
        "bound": bound,
        "margin": shut_in - bound,
        "volumes": wanted,
        "dissolved": dissolved * gases.molar_mass_kg_mol(inputs.gas),
    }
    assert there is not None
    steps = (
        Step("gas wanted", f"{wanted:g} volumes / {per_mol:.5f} volumes per mol/m3", dissolved,
             "mol/m3"),
        Step("set pressure, gauge",
             f"{dissolved:.1f} mol/m3 over {1e4 * there.middle:.3f}e-4 mol/(m3 Pa), by fugacity, "
             f"less {ambient / BAR:.3f} bar outside", likely, "bar", "PREPKIT-GAS"),
        Step("upper bound of the shut keg, gauge",
             f"the same gas at {warmest_c:g} °C in a full keg, lowest solubility, 1 % over, "
             f"vapour {vapour / BAR:.3f} bar", bound, "bar", "PREPKIT-GAS"),
    )  # fmt: skip
    return Regulated(facts, values, steps)


def _against(ratings: dict[str, float], set_bar: float) -> Facts:
    weakest = min(ratings.values())
    return {
        "set_bar": set_bar,
        "weakest_bar": weakest,
        "set_over_rating": set_bar / weakest,
        "relief_words": f"{rounded_down(weakest):g} bar",
    }
