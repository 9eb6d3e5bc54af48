"""What a siphon may be asked for: what each mode needs, what cannot be together, the worse end."""

from __future__ import annotations

import re
from math import ceil, floor
from typing import Any

from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.science.charged_vessel import MOST_PORTIONS

NEEDS = {
    "check": ("chargers",),
    "dispense": ("chargers", "portion_size"),
    "plan": ("portions", "portion_size", "style"),
    "targets": (),
}
ROUNDING = 1e-9


# what carries a +/- is taken at the end that is worse for the vessel


def plus_minus(value: Any) -> float:
    """The +/- that a value was given with; 0 where it has none."""
    return float(getattr(value, "plus_minus", 0.0))


def lower_end(inputs: Any, name: str) -> float:
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


def upper_end(inputs: Any, name: str) -> float:
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


def warmest_c(inputs: Any) -> float:
    """The warmest that the vessel was said to be: filled, or where it stands."""
    filled = upper_end(inputs, "temperature")
    return filled if inputs.warmest is None else max(filled, upper_end(inputs, "warmest"))


def share_over(inputs: Any) -> float:
    """By how much more than told a vessel may be filled, as a share of the fill."""
    if inputs.mode == "plan":
        return 1.0 - lower_end(inputs, "portion_size") / float(inputs.portion_size)
    amount = inputs.contents.amount
    return plus_minus(amount) / float(amount)


# what can be asked


def asked_well(inputs: Any) -> None:
    """BadInput where the inputs of a mode are missing or cannot be together."""
    for name in NEEDS[inputs.mode]:
        if getattr(inputs, name) is None and not (name == "chargers" and inputs.sequence):
            spec = inputs.spec(name)
            raise BadInput(
                f"siphon {inputs.mode} needs {named(name)}, {spec.label}: for example "
                f"{named(name, spec.example)}.",
                name,
            )
    targets = (inputs.target_dissolved, inputs.target_volumes, inputs.target_overrun)
    if inputs.mode == "targets" and sum(one is not None for one in targets) != 1:
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
            f"{named('temperature')} is {float(inputs.temperature):g} C and the contents freeze at "
            "about "
            f"{freezing:.1f} C; charge them liquid.",
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


def marks(inputs: Any) -> tuple[bool, ...] | None:
    """For each charger whether it is shaken after it; None where the count is asked for."""
    if inputs.mode in ("plan", "targets"):
        if inputs.sequence is not None or inputs.chargers is not None:
            name = "sequence" if inputs.sequence is not None else "chargers"
            raise BadInput(
                f"siphon {inputs.mode} works out the chargers itself; leave --{name} out.", name
            )
        return None
    if inputs.sequence is None:
        return tuple(place == inputs.chargers - 1 for place in range(inputs.chargers))
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
    if len(found) > most:
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


MOST_FILLS = 1000  # of one load: more is a wrong unit, and no list of boxes to tick


def too_many(wanted: float, most_each: float, each: str) -> str | None:
    """Why so much is not shared out over vessels; None where it is at most 1000 of them."""
    if wanted <= MOST_FILLS * most_each * (1.0 + ROUNDING):
        return None
    return (
        f"{each} would need more than {MOST_FILLS} vessels of one load; check the number and the "
        f"unit of the largest fill."
    )


def shared_out(inputs: Any) -> tuple[int, int]:
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
    if why := too_many(inputs.portions, most, f"{inputs.portions} portions of {portion_ml:g} ml"):
        raise BadInput(f"{named('max_fill')} is {most_l:g} l: {why}", "max_fill")
    vessel_count = ceil(inputs.portions / most)
    return vessel_count, ceil(inputs.portions / vessel_count)


def portion_fits(inputs: Any, liquid_m3: float) -> None:
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
            f"{named('contents')} comes to nothing; give the liquid, such as 500 ml cream 35 %.",
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
