"""How much foam, how heavy, how long it stands, what a scoop is: estimates as ranges."""

from __future__ import annotations

from collections.abc import Mapping
from math import fsum, sqrt
from typing import Any, NamedTuple, TypedDict

from prepkit.calculators.foam.foamers import Way
from prepkit.calculators.foam.inputs import Inputs
from prepkit.errors import BadInput, OutOfRange, named
from prepkit.mixture import Mixture
from prepkit.science import cream, foam, gases, humid_air, sucrose
from prepkit.units import Measured

_ATMOSPHERE_PA = 101325.0
_ROOM_C = 20.0
PLAIN_SUGAR = 0.10  # more thickens a cream further than what is published (judgement)
WET_FRACTION_HIGH = 0.36  # the drainage relation is for drier foams [KOEHLER-1999]
# [FOAM-TIMES] what is in print, s; the middle of a range on the scale of factors
_IN_PRINT_S = {
    "lecithin air": foam.LECITHIN_AIR_S,
    "dispensed cream": sqrt(foam.DISPENSED_CREAM_S[0] * foam.DISPENSED_CREAM_S[1]),
}


class Share(NamedTuple):
    """Liquid in the foam, least and most as fractions of its volume, and where that is from."""

    low: float
    high: float
    measured: bool
    how: str
    source: str

    @property
    def middle(self) -> float:
        """The middle on the scale of factors."""
        return sqrt(self.low * self.high)


class Volumes(TypedDict, total=False):
    """Values of the result on the foam as a whole."""

    foam_low: float
    foam_high: float
    liquid_fraction_low: float
    liquid_fraction_high: float
    overrun_low: float
    overrun_high: float
    density_low: float
    density_high: float


class Served(TypedDict, total=False):
    """Values of the result on one serve."""

    per_serve: float
    scoop_low: float
    scoop_high: float
    scoops_low: float
    scoops_high: float
    needed: float
    ethanol_per_serve: float


class Minutes(TypedDict, total=False):
    """Values of the result on how long the foam stands, min."""

    standing_low: float
    standing_high: float
    drained_low: float
    drained_high: float


class Times(NamedTuple):
    """Standing and drainage in minutes, with what they were worked from."""

    values: Minutes
    viscosity_ratio: float | None = None
    in_print: str = ""
    velocity_m_s: float | None = None
    bubble_mm: float = 0.0
    held: float = 0.0  # liquid fraction that the drainage starts from


def share(inputs: Inputs, way: Way | None) -> Share | None:
    """Liquid fraction as it was measured, or the usual range; None where neither is known."""
    cups = (inputs.cup_liquid, inputs.cup_foam)
    if (cups[0] is None) != (cups[1] is None):
        raise BadInput(
            f"{named('cup_liquid')} and {named('cup_foam')} go together: the same cup weighed full "
            "of each.",
            "cup_foam",
        )
    given = [
        name
        for name, value in (
            ("expansion", inputs.expansion),
            ("overrun", inputs.overrun),
            ("cup_foam", inputs.cup_foam),
        )
        if value is not None
    ]
    if len(given) > 1:
        raise BadInput(
            f"{' and '.join(map(named, given))} say the same thing; give the one that was "
            "measured.",
            given[1],
        )
    if inputs.expansion is not None:
        return _measured(float(inputs.expansion) - 1.0, f"expansion {inputs.expansion:g}")
    if inputs.overrun is not None:
        return _measured(float(inputs.overrun) / 100.0, f"overrun {float(inputs.overrun):g} %")
    if cups[0] is not None and cups[1] is not None:
        liquid, foamed = float(cups[0]), float(cups[1])
        if foamed > liquid:
            raise BadInput(
                f"{named('cup_foam')} is {foamed:g} g and {named('cup_liquid')} {liquid:g} g; a "
                "cup of foam weighs "
                f"no more than the same cup of liquid.",
                "cup_foam",
            )
        taken = foam.overrun_from_weighing(1e-3 * liquid, 1e-3 * foamed)
        return _measured(taken, f"overrun ({liquid:g} - {foamed:g}) / {foamed:g}")
    if way is None:
        return None
    how = f"usual {way.low:g} to {way.high:g} % of liquid ({way.way}, {way.obtained})"
    return Share(way.low / 100.0, way.high / 100.0, False, how, way.source)


def films_break(
    windows: Mapping[str, Any],  # Any: words and numbers, which are compared here
    found: Share | None,
) -> str:
    """Why the usual range of the foamer says nothing of this liquid; empty where it does.

    Spirit, fat and, in cream, the want of fat break the films. What was measured stands.
    """
    if found is None or found.measured:
        return ""
    why = [
        f"{windows[f'{name}_value']:.1f} {words} where the window is {windows[f'{name}_window']} "
        f"({windows[f'{name}_why']})"
        for name, words in (("strength", "% vol"), ("fat", "% fat"))
        if max(windows.get(f"{name}_{side}_window", 0.0) for side in ("above", "below")) > 0
    ]
    return "; ".join(why)


def _measured(overrun: float, how: str) -> Share:
    fraction = foam.liquid_fraction(overrun)
    return Share(fraction, fraction, True, f"measured: {how}", "DEFINITION")


def volumes(found: Share | None, product: Mixture, method: str) -> Volumes:
    """Litres, overrun and density of the foam as results' values."""
    if found is None:
        return {}
    litres = 1e3 * product.volume_20_m3
    liquid_kg_m3 = product.density_kg_m3(_ROOM_C)
    gas = gases.molar_mass_kg_mol("n2o") if method == "siphon" else humid_air.DRY_AIR_KG_MOL
    gas_kg_m3 = humid_air.moist_gas_density_kg_m3(gas, _ROOM_C, _ATMOSPHERE_PA, 1.0)
    return {
        "foam_low": litres * foam.expansion(found.high),
        "foam_high": litres * foam.expansion(found.low),
        "liquid_fraction_low": 100.0 * found.low,
        "liquid_fraction_high": 100.0 * found.high,
        "overrun_low": 100.0 * foam.overrun_from_liquid_fraction(found.high),
        "overrun_high": 100.0 * foam.overrun_from_liquid_fraction(found.low),
        "density_low": foam.density_kg_m3(found.low, liquid_kg_m3, gas_kg_m3),
        "density_high": foam.density_kg_m3(found.high, liquid_kg_m3, gas_kg_m3),
    }


def viscosity_pa_s(inputs: Inputs, liquid: Mixture) -> float | None:
    """As given, of plain milk or cream, or of a sugar solution; None where that says nothing."""
    if inputs.thickness is not None:
        return float(inputs.thickness) * sucrose.viscosity_pa_s(0.0, _ROOM_C)
    temperature_c = _ROOM_C if inputs.temperature is None else float(inputs.temperature)
    try:
        if inputs.foamer.row.role == "liquid":  # fat globules thicken more than their solids do
            return _dairy_pa_s(liquid, temperature_c)
        return sucrose.viscosity_pa_s(liquid.dissolved_solids, temperature_c)
    except OutOfRange:
        return None


def _dairy_pa_s(liquid: Mixture, temperature_c: float) -> float | None:
    """Of milk or cream with little else in it, to 30 % fat and 30 C; None for any other liquid."""
    fat = liquid.fraction("milk_fat")
    sugar = fsum(liquid.fraction(name) for name in ("sucrose", "glucose", "fructose"))
    if fat <= 0.0 or liquid.ethanol_kg or sugar > PLAIN_SUGAR:
        return None
    return cream.viscosity_pa_s(fat, temperature_c)


def times(inputs: Inputs, liquid: Mixture, way: Way | None, found: Share | None) -> Times:
    """Minutes by what is in print and by drainage, each within a factor of three."""
    values: Minutes = {}
    viscosity = viscosity_pa_s(inputs, liquid)
    thicker = None if viscosity is None else viscosity / sucrose.viscosity_pa_s(0.0, _ROOM_C)
    in_print = way.stands if way else ""
    if in_print:
        minutes = _IN_PRINT_S[in_print] / 60.0
        values["standing_low"] = minutes / foam.STANDING_TIME_FACTOR
        values["standing_high"] = minutes * foam.STANDING_TIME_FACTOR
    bubble_mm = float(inputs.bubble) if inputs.bubble is not None else way.bubble_mm if way else 0.0
    held = found.middle if found is not None else 0.0
    if viscosity is None or not bubble_mm or not 0.0 < held <= WET_FRACTION_HIGH:
        return Times(values, thicker, in_print)
    velocity = foam.drainage_velocity_rigid_m_s(
        1e-3 * bubble_mm, held, viscosity, liquid.density_kg_m3(_ROOM_C)
    )
    low, high = foam.standing_time_range_s(1e-3 * float(inputs.height), velocity)
    values["drained_low"], values["drained_high"] = low / 60.0, high / 60.0
    return Times(values, thicker, in_print, velocity, bubble_mm, held)


def served(inputs: Inputs, product: Mixture, found: Share | None) -> Served:
    """Scoops and serves as results' values; a scoop weighs the liquid in it."""
    values: Served = {}
    grams = 1000.0 * product.mass_kg
    if inputs.serves is not None:
        values["per_serve"] = grams / inputs.serves
    if inputs.scoop is not None:
        scoop = _scoop_g(inputs.scoop, product, found)
        if scoop is not None:
            low, high = scoop
            values["scoop_low"], values["scoop_high"] = low, high
            values["scoops_low"], values["scoops_high"] = grams / high, grams / low
            if inputs.serves is not None:
                values["needed"] = inputs.serves * high
    most = values.get("scoop_high", values.get("per_serve"))
    if most is not None and product.ethanol_kg:
        values["ethanol_per_serve"] = most * product.fraction("ethanol")
    return values


def _scoop_g(scoop: Measured, product: Mixture, found: Share | None) -> tuple[float, float] | None:
    if scoop.unit == "g":
        return float(scoop), float(scoop)
    if found is None:
        return None
    per_ml = 1e-3 * product.density_kg_m3(_ROOM_C)
    return float(scoop) * found.low * per_ml, float(scoop) * found.high * per_ml
