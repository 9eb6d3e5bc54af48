"""Time, tap and glass: how long it takes, the line that balances it, what is left of the gas."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from prepkit.calculators.carbonate.gas import BAR, Held, first_pa, ph_with, taken_up, warmest_c
from prepkit.calculators.carbonate.inputs import Inputs
from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table
from prepkit.science import acids, carbonation, dissolved_gas, gases, glass_time

Shown = dict[str, Any]  # Any: a figure or None; the Result takes many kinds of keywords
CO2_KG_MOL = gases.molar_mass_kg_mol("co2")


def shown_of(inputs: Inputs, mixture: Mixture, gas: Held, ambient_pa: float) -> Shown:
    """All that is shown beside the bound."""
    at_c = float(inputs.temperature)
    per_mol = dissolved_gas.volumes("co2", 1.0)
    co2 = gas.dissolved * CO2_KG_MOL  # kg/m3, which is g/L
    still, ph, _ = ph_with(mixture, gas.dissolved)
    found: Shown = {
        "set_pressure": gas.set_pa / BAR,
        "set_low": gas.set_low_pa / BAR,
        "set_high": gas.set_high_pa / BAR,
        "volumes": gas.dissolved * per_mol,
        "volumes_low": gas.least * per_mol,
        "volumes_high": gas.most * per_mol,
        "co2": co2,
        "co2_mass": 1e3 * co2 * mixture.volume_20_m3,
        "ph_still": still,
        "ph": ph,
        "titration_adds": 100 * gas.dissolved * mixture.volume_20_m3 / mixture.mass_kg
        * acids.EQUIVALENT_KG["citric"],
        **_time(inputs),
        **_read(inputs, gas, ambient_pa),
        **_poured(inputs, gas, ambient_pa),
        **_line(inputs, mixture, gas),
        "lost_opening": None,
    }  # fmt: skip
    if inputs.headspace is not None and gas.set_pa > 0.0:
        co2_pa = inputs.gas.share * (gas.set_pa + ambient_pa)
        rho = gases.molar_density_mol_m3("co2", at_c, co2_pa)
        share = min(0.99, float(inputs.headspace) / 100)
        found["lost_opening"] = carbonation.headspace_kg_m3(rho, CO2_KG_MOL, share)
    return found


def _time(inputs: Inputs) -> Shown:
    """Your own time, or the band of the trade; shaking takes minutes, for which none is known."""
    if inputs.own_time is not None:
        per_day = {"d": 1.0, "h": 24.0, "min": 1440.0}[inputs.own_time.unit]
        return {"days_low": None, "days_high": None, "own_days": float(inputs.own_time) / per_day}
    bands = {"stand": carbonation.STANDING_D, "high-then-low": carbonation.HIGH_FIRST_D}
    low, high = bands.get(inputs.how, (None, None))
    return {"days_low": low, "days_high": high, "own_days": None}


def _read(inputs: Inputs, gas: Held, ambient_pa: float) -> Shown:
    """What is in it now, by the pressure at rest."""
    if inputs.read_pressure is None:
        return {"volumes_now": None, "reached": None}
    total_pa = BAR * float(inputs.read_pressure) + ambient_pa
    at_c = float(inputs.temperature)
    now = taken_up(at_c, inputs.gas.share * total_pa, gas.there.middle, total_pa)
    return {
        "volumes_now": now * dissolved_gas.volumes("co2", 1.0),
        "reached": 100 * now / gas.dissolved,
    }


def _poured(inputs: Inputs, gas: Held, ambient_pa: float) -> Shown:
    """Gas left in the glass: no more leaves at once than what open gas would not hold."""
    at_c = min(25.0, float(inputs.temperature))
    co2 = gas.dissolved * CO2_KG_MOL
    stays = min(co2, taken_up(float(inputs.temperature), ambient_pa, gas.there.middle, ambient_pa)
                * CO2_KG_MOL)  # fmt: skip
    into, wall = (
        max(stays, co2 - carbonation.poured_loss_kg_m3(at_c, down)) for down in (False, True)
    )
    later = into * math.exp(-10.0 * glass_time.GAS_PER_MIN[1])
    return {"left": into, "left_wall": wall, "left_ten": later}


def _density(mixture: Mixture) -> float:
    return mixture.mass_kg / mixture.volume_20_m3


def _flow_m3_s(inputs: Inputs) -> float:
    if inputs.pour_rate is None:
        return carbonation.POUR_M3_S
    return float(inputs.pour_rate) / 6e4


def _line(inputs: Inputs, mixture: Mixture, gas: Held) -> Shown:
    """The length of line that takes what the rise leaves of the set pressure."""
    names = ("lift_pressure", "drop_low", "drop_high", "line_low", "line_high")
    if inputs.bore is None:
        return dict.fromkeys(names)
    density = _density(mixture)
    rise = carbonation.lift_pa(float(inputs.lift), density)
    drop = carbonation.line_pa_m(float(inputs.bore) / 1e3, _flow_m3_s(inputs), density)
    spare = gas.set_pa - rise
    lengths = (spare / drop.high, spare / drop.low) if spare > 0.0 else (None, None)
    return dict(zip(names, (rise / BAR, drop.low / BAR, drop.high / BAR, *lengths), strict=True))


def tables(inputs: Inputs, shown: Shown) -> tuple[Table, ...]:
    """The gas from vessel to glass."""
    rows = [
        ("in keg or bottle", shown["co2"]),
        ("poured down the wall, at least", shown["left_wall"]),
        ("poured into the glass, at least", shown["left"]),
        ("after 10 min in the glass, at least", shown["left_ten"]),
    ]
    return (
        Table("gas", "from keg to glass", (Column("where"), Column("carbon dioxide", "g/l", 1)),
              tuple(rows)),
    )  # fmt: skip


def steps(
    inputs: Inputs, mixture: Mixture, gas: Held, shown: Shown, bound_bar: float
) -> Iterator[Step]:
    """The working, as on a board."""
    at_c, share = float(inputs.temperature), inputs.gas.share
    per_mol = dissolved_gas.volumes("co2", 1.0)
    if inputs.volumes is not None:
        yield Step("gas wanted", f"{float(inputs.volumes):g} volumes / {per_mol:.5f} volumes per "
                   "mol/m3", gas.dissolved, "mol/m3", "DEFINITION")  # fmt: skip
        yield Step("regulator, gauge", f"{gas.dissolved:.1f} mol/m3 over "
                   f"{1e4 * gas.there.middle:.3f}e-4 mol/(m3 Pa) by fugacity, / {share:g} of the "
                   "gas, less the air outside", gas.set_pa / BAR, "bar",
                   "PREPKIT-DISSOLVED")  # fmt: skip
    else:
        yield Step("gas taken up", f"{share:g} of the gas at {gas.set_pa / BAR:g} bar gauge x "
                   f"{1e4 * gas.there.middle:.3f}e-4 mol/(m3 Pa) by fugacity", gas.dissolved,
                   "mol/m3", "PREPKIT-DISSOLVED")  # fmt: skip
    volumes = gas.dissolved * per_mol
    if 2.0 <= volumes <= 3.0 and at_c <= 16.0 and mixture.abv <= 0.08 and share == 1.0:
        psi = carbonation.beer_gauge_psi(carbonation.celsius_to_f(at_c), volumes)
        yield Step("the same by the beer table, gauge", f"brewers' fit at {at_c:g} °C for "
                   f"{volumes:.2f} volumes", psi * carbonation.PSI_PA / BAR, "bar",
                   "BEER-CO2-FIT")  # fmt: skip
    yield Step("upper bound of the shut vessel, gauge", f"all the gas of "
               f"{max(gas.set_high_pa, first_pa(inputs)) / BAR:.2f} bar, the highest setting. "
               f"Full, at {warmest_c(inputs):g} °C, with its vapour",
               bound_bar if bound_bar < 999.0 else None, "bar", "PREPKIT-GAS")  # fmt: skip
    if shown["days_low"] is not None:
        yield Step("time", f"{shown['days_low']:g} to {shown['days_high']:g} days by custom; no "
                   "published course was found. Read the pressure at rest",
                   source="KEG-TIME-INFORMAL")  # fmt: skip
    elif inputs.own_time is not None:
        yield Step("time", "your own keg, as measured", shown["own_days"], "d", "DEFINITION")
    if shown["volumes_now"] is not None:
        yield Step("gas in it now", f"{float(inputs.read_pressure or 0.0):g} bar at rest, at "
                   f"{at_c:g} C", shown["volumes_now"], "volumes", "PREPKIT-DISSOLVED")  # fmt: skip
    if shown["ph"] is not None:
        yield Step("pH with its gas", f"{gas.dissolved:.0f} mmol/l of carbonic acid, pK 6.35, "
                   "beside the acids of the drink", shown["ph"], "", "CARBONIC-PKA")  # fmt: skip
    yield Step("left after pouring", f"{shown['co2']:.2f} g/l less what sparkling wine lost, never "
               "below what open gas holds", shown["left"], "g/l",
               "CHAMPAGNE-POUR-2010")  # fmt: skip
    yield Step("after 10 min", "a glass keeps 42 to 66 %", shown["left_ten"], "g/l",
               "GLASS-GAS-2019")  # fmt: skip
    if inputs.bore is not None:
        bore_m, flow = float(inputs.bore) / 1e3, _flow_m3_s(inputs)
        re_number = carbonation.reynolds(bore_m, flow, _density(mixture), carbonation.BEER_PA_S)
        slow = carbonation.laminar_pa_m(bore_m, flow, carbonation.BEER_PA_S) / BAR
        yield Step("Reynolds number in the line", "4 rho Q / (pi d mu), viscosity as cold beer; "
                   "turbulent from 4000", re_number, "", "PIPE-FLOW")  # fmt: skip
        yield Step("line loss per metre", f"Blasius and the published band; Poiseuille alone would "
                   f"say {slow:.3f} bar", shown["drop_high"], "bar", "DRAUGHT-MANUALS")  # fmt: skip
        yield Step("balanced length", f"({gas.set_pa / BAR:.2f} bar - rise "
                   f"{shown['lift_pressure']:.2f} bar) / loss per metre", shown["line_high"], "m",
                   "DEFINITION")  # fmt: skip
