"""What a siphon may be asked for: what each mode needs, what cannot be together, the worse end."""

from __future__ import annotations

import re
from math import ceil, floor
from typing import TypeVar

from prepkit.calculators.siphon.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.science.charged_vessel import MOST_PORTIONS
from prepkit.shared.vessel_count import ROUNDING, too_many

T = TypeVar("T")
LEAST_WARM_C = 20.0  # [JUDGEMENT]: untold, a vessel comes to stand in a room
NEEDS = {
    "check": ("chargers",),
    "dispense": ("chargers", "portion_size"),
    "plan": ("portions", "portion_size", "style"),
    "targets": (),
    "keg": ("target_volumes",),
}


def told(value: T | None) -> T:
    """A value without which `asked_well` has refused."""
    assert value is not None
    return value


# what carries a +/- is taken at the end that is worse for the vessel


def plus_minus(value: object) -> float:
    """The +/- that a value was given with; 0 where it has none."""
    return float(getattr(value, "plus_minus", 0.0))


def lower_end(inputs: Inputs, name: str) -> float:
    """A value less its +/-; BadInput where nothing is left that could be."""
    value = getattr(inputs, name)
    spread = plus_minus(value)
    if spread:
        spec = inputs.spec(name)
        least = spec.above if spec.above is not None else spec.low
        if least is not None and value - spread <= least:
            raise BadInput(
                f"{named(name)} is {value.words()}; its lower end must be more than {least:g} "
                f"{value.unit}.",
                name,
            )
    return float(value) - spread


def upper_end(inputs: Inputs, name: str) -> float:
    """A value with its +/- on top; BadInput where that is past the limit of the option."""
    value = getattr(inputs, name)
    spread = plus_minus(value)
    if spread:
        most = inputs.spec(name).high
        if most is not None and value + spread > most:
            raise BadInput(
                f"{named(name)} is {value.words()}; its upper end must be at most {most:g} "
                f"{value.unit} ({inputs.spec(name).because}).",
                name,
            )
    return float(value) + spread


def warmest_c(inputs: Inputs) -> float:
    """The warmest that the vessel will be: filled, where it stands, or untold at least 20 C."""
    filled = upper_end(inputs, "temperature")
    if inputs.warmest is not None:
        return max(filled, upper_end(inputs, "warmest"))
    return max(filled, LEAST_WARM_C)


def share_over(inputs: Inputs) -> float:
    """By how much more than told a vessel may be filled, as a share of the fill."""
    if inputs.mode == "plan":
        return 1.0 - lower_end(inputs, "portion_size") / float(told(inputs.portion_size))
    amount = inputs.contents.amount
    return plus_minus(amount) / float(amount)


def through_regulator(inputs: Inputs) -> bool:
    """Whether gas comes from a cylinder through a regulator, and not out of chargers."""
    return inputs.mode == "keg" or inputs.regulator is not None or inputs.charger_volume == 0


# what can be asked


def asked_well(inputs: Inputs) -> None:
    """BadInput where the inputs of a mode are missing or cannot be together."""
    for name in NEEDS[inputs.mode]:
        regulated = through_regulator(inputs) or inputs.sequence
        if getattr(inputs, name) is None and not (name == "chargers" and regulated):
            spec = inputs.spec(name)
            raise BadInput(
                f"siphon {inputs.mode} needs {named(name)}, {spec.label}: for example "
                f"{named(name, spec.example)}.",
                name,
            )
    if inputs.regulator is not None and (
        inputs.chargers is not None or inputs.sequence is not None or inputs.mode != "check"
    ):
        raise BadInput(
            f"{named('regulator')} is for gas out of a cylinder in one check; leave out "
            f"{named('chargers')}, {named('sequence')} and {named('mode')}.",
            "regulator",
        )
    targets = (inputs.target_dissolved, inputs.target_volumes, inputs.target_overrun)
    if inputs.mode == "targets" and targets.count(None) != len(targets) - 1:
        raise BadInput(
            f"siphon targets needs one of {named('target_dissolved')}, {named('target_volumes')}, "
            f"{named('target_overrun')}.",
            "target_dissolved",
        )
    mixture = inputs.contents.mixture
    try:
        freezing = mixture.freezing_point_c if mixture.of("water") else -5.0
    except BadInput:
        freezing = -5.0
    if float(inputs.temperature) < freezing - 0.1:
        raise BadInput(
            f"{named('temperature')} is {float(inputs.temperature):g} °C, and the contents freeze "
            f"at about {freezing:.1f} °C. Charge them liquid.",
            "temperature",
        )
    fill, inside = inputs.max_fill, inputs.vessel_volume
    if fill is not None and inside is not None and float(fill) >= float(inside):
        raise BadInput(
            f"{named('max_fill')} is {float(fill):g} l and {named('vessel_volume')} "
            f"{float(inside):g} l; the inside "
            f"volume must be larger, or no room is left for the gas.",
            "max_fill",
        )


def marks(inputs: Inputs) -> tuple[bool, ...] | None:
    """For each charger whether it is shaken after it; None where the count is asked for."""
    if inputs.mode in ("plan", "targets"):
        if inputs.sequence is not None or inputs.chargers is not None:
            name = "sequence" if inputs.sequence is not None else "chargers"
            raise BadInput(
                f"siphon {inputs.mode} works out the chargers itself; leave {named(name)} out.",
                name,
            )
        return None
    if inputs.sequence is None:
        count = 1 if inputs.chargers is None else inputs.chargers
        return tuple(place == count - 1 for place in range(count))
    found: list[bool] = []
    for word in re.split(r"[\s,;>+-]+", inputs.sequence.lower().strip()):
        if word == "charge":
            found.append(False)
        elif word == "shake" and found:
            found[-1] = True
        else:
            raise BadInput(
                f'{named("sequence")} is "{inputs.sequence}"; write the words charge and shake in '
                f"their order, beginning with charge.",
                "sequence",
            )
    most = inputs.spec("chargers").high
    if most is not None and len(found) > most:
        raise BadInput(
            f"{named('sequence')} has {len(found)} charges; it must have at most {most:g}.",
            "sequence",
        )
    if inputs.chargers is not None and inputs.chargers != len(found):
        raise BadInput(
            f"{named('chargers')} is {inputs.chargers} and {named('sequence')} has {len(found)}; "
            "they must agree.",
            "sequence",
        )
    return tuple(found)


def shared_out(inputs: Inputs) -> tuple[int, int]:
    """Vessels for the portions wanted, and the portions in the fullest of them."""
    most_l = lower_end(inputs, "max_fill")
    portion_ml = upper_end(inputs, "portion_size")
    most = floor(1e3 * most_l / portion_ml + ROUNDING)
    if most < 1:
        raise BadInput(
            f"{named('portion_size')} is {portion_ml:g} ml and a vessel takes {1e3 * most_l:g} ml; "
            "a "
            f"portion must fit into one vessel.",
            "portion_size",
        )
    portions = told(inputs.portions)
    if why := too_many(portions, most, f"{inputs.portions} portions of {portion_ml:g} ml"):
        raise BadInput(f"{named('max_fill')} is {most_l:g} l: {why}", "max_fill")
    vessel_count = ceil(portions / most)
    return vessel_count, ceil(portions / vessel_count)


def portion_fits(inputs: Inputs, liquid_m3: float) -> None:
    """BadInput for a portion larger than what is in the vessel, or too small to count out."""
    if inputs.portion_size is None or inputs.mode == "targets":
        return
    portion_ml, liquid_ml = float(inputs.portion_size), 1e6 * liquid_m3
    if portion_ml > liquid_ml * (1.0 + ROUNDING):
        raise BadInput(
            f"{named('portion_size')} is {portion_ml:g} ml and {liquid_ml:.0f} ml are in the "
            "vessel; a "
            f"portion can be no more than that.",
            "portion_size",
        )
    if portion_ml * MOST_PORTIONS < liquid_ml * (1.0 - ROUNDING):
        raise BadInput(
            f"{named('portion_size')} is {portion_ml:g} ml and {liquid_ml:.0f} ml are in the "
            "vessel; that "
            f"is more than {MOST_PORTIONS} portions, and it must be at least "
            f"{liquid_ml / MOST_PORTIONS:g} ml.",
            "portion_size",
        )


def something(mixture: Mixture) -> None:
    """BadInput where there is nothing in the vessel."""
    if mixture.mass_kg <= 0.0:
        raise BadInput(
            f"{named('contents')} amounts to 0; give the liquid, such as 500 ml cream 35 %.",
            "contents",
        )


def room_for_gas(liquid_m3: float, vessel_m3: float, least_m3: float) -> None:
    """BadInput where the liquid leaves no room for the gas."""
    if liquid_m3 > vessel_m3 - least_m3:
        raise BadInput(
            f"{named('contents')} take {1e6 * liquid_m3:.0f} ml and the vessel holds "
            f"{1e6 * vessel_m3:.0f} "
            f"ml in all; no room is left for the gas.",
            "contents",
        )
