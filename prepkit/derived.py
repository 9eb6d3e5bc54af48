"""The values that many calculators show of a mixture, each only where its relation holds."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Literal

from prepkit.errors import BadInput, OutOfRange
from prepkit.mixture import Mixture
from prepkit.model import Output, Step
from prepkit.science import crystallisation, solution
from prepkit.science.acids import KEEPING_ABV_HIGH, meter_offset_ph

Name = Literal[
    "mass", "volume", "density", "abv", "ethanol", "sugar", "dissolved_solids", "refractometer",
    "hydrometer", "acidity", "ph", "water_activity", "freezing_point", "sugar_acid_ratio", "energy",
]  # fmt: skip


Shown = dict[Name, float | None]  # None where the relation refuses the mixture

_OF: dict[Name, Callable[[Mixture], tuple[float | None, float]]] = {
    "mass": lambda m: (1000 * m.mass_kg, 0.0),
    "volume": lambda m: (1e6 * m.volume_20_m3, 0.0),
    "density": lambda m: (
        m.density_kg_m3(20.0),
        solution.density_error_kg_m3(m.solution_fractions),
    ),
    "abv": lambda m: (100 * m.abv or None, 0.0),
    "ethanol": lambda m: (1000 * m.ethanol_kg or None, 0.0),
    "sugar": lambda m: (100 * m.sugar, 0.0),
    "dissolved_solids": lambda m: (100 * m.dissolved_solids, 0.0),
    "refractometer": lambda m: (
        m.refractometer_brix,
        solution.refractometer_error_bx(m.solution_fractions),
    ),
    "hydrometer": lambda m: (m.hydrometer_brix, 0.0),
    "acidity": lambda m: (100 * m.acidity_as_citric, 0.0),
    "ph": lambda m: (m.ph.value, m.ph.plus_minus),
    "water_activity": lambda m: (m.water_activity.value, m.water_activity.plus_minus),
    "freezing_point": lambda m: (m.freezing_point_c, 0.0),
    "sugar_acid_ratio": lambda m: (m.sugar_acid_ratio, 0.0),
    "energy": lambda m: (m.energy_kcal, 0.0),
}


# what a shown value rests on where no step of the working says so: label, how, source
RESTS = {
    "density": ("density", "volumes of water, spirit and solids, at 20 °C", "PREPKIT-SOLUTION"),
    "refractometer": (
        "refractometer", "refraction of all that is dissolved, on the sugar scale at 20 °C",
        "PREPKIT-REFRACTION",
    ),
    "hydrometer": ("hydrometer", "its density on the sugar scale", "PREPKIT-SOLUTION"),
    "acidity": ("acidity", "acids titrated to pH 8.2 less minerals, as citric", "PREPKIT-ACID"),
    "ph": ("pH", "charge balance per kg of water at 25 °C", "PREPKIT-ACID"),
    "water_activity": (
        "water activity", "Norrish's equation for what is dissolved, at 25 °C", "CHIRIFE-1980",
    ),
    "freezing_point": (
        "freezing point", "what spirit and solids lower it by, each per kg of water, added",
        "PREPKIT-FREEZING",
    ),
    "energy": (
        "energy", "4 kcal for a g of sugar or protein, 7 of ethanol, 9 of fat, 3 of acid",
        "ENERGY-FACTORS",
    ),
}  # fmt: skip


def steps(
    outputs: Mapping[str, Output],
    numbers: Mapping[str, float],
    working: Iterable[Step],
    given: Iterable[str],
) -> tuple[Step, ...]:
    """Steps for the shown values of `RESTS` that the working does not name yet.

    given: the inputs that were told; what was measured is not worked out.
    """
    said = " ".join(step.label.lower() for step in working)
    told = {word for name in given for word in (name, *name.split("_"))}
    return tuple(
        Step(label, how, numbers[name], outputs[name].unit, source)
        for name, (label, how, source) in RESTS.items()
        if name in numbers
        and name not in told
        and label.lower() not in said
        # the energy of a gas goes by the same name
        and (name != "energy" or outputs[name].unit == "kcal")
    )


def of(mixture: Mixture, *names: Name) -> tuple[Shown, dict[str, float]]:
    """The named values and their stated errors; None where the relation refuses the mixture.

    Units: mass g, volume ml (20 C), density kg/m3 (20 C), abv % vol, ethanol g, sugar and
    dissolved_solids and acidity (as citric) % w/w, refractometer and hydrometer Bx,
    freezing_point C, energy kcal; ph, water_activity and sugar_acid_ratio have none.
    """
    values: Shown = {}
    errors: dict[str, float] = {}
    for name in names:
        try:
            value, error = _OF[name](mixture)
        except BadInput:
            value, error = None, 0.0
        values[name] = value
        if value is not None and error:
            errors[name] = error
    return values, errors


def volume_ml(mixture: Mixture, temperature_c: float = 20.0) -> float | None:
    """Volume in ml, or None for a dry or oversaturated part, which has none that is published."""
    try:
        return 1e6 * mixture.volume_m3(temperature_c)
    except BadInput:
        return None


def refusals(mixture: Mixture, *names: Name) -> dict[str, str]:
    """Why a named value is not shown, in the relation's own sentence."""
    said: dict[str, str] = {}
    for name in names:
        try:
            _OF[name](mixture)
        except BadInput as error:
            said[name] = _in_percent(error)
    return said


_PERCENT_OF = {"abv": "% vol", "sugar_mass_fraction": "% sugar by weight"}


def _in_percent(error: BadInput) -> str:
    """A refusal with its fractions as a person says them."""
    if not isinstance(error, OutOfRange) or error.argument not in _PERCENT_OF:
        return error.message
    if error.low is None or error.high is None:
        return error.message
    return (
        f"it has {100 * error.value:.1f} {_PERCENT_OF[error.argument]}, and the relation holds "
        f"from {100 * error.low:g} to {100 * error.high:g} ({error.source})."
    )


METER_ABV = 0.30  # from here a meter set in water buffers shows 0.03 more, and rising


def _meter(mixture: Mixture, ph: float | None) -> dict[str, float | None]:
    """What a pH meter set in buffers of water shows in spirit, beside the pH of its own scale."""
    if ph is None or mixture.abv < METER_ABV:
        return {}
    solvent_kg = mixture.ethanol_kg + mixture.of("water")
    shows = ph + meter_offset_ph(mixture.ethanol_kg / solvent_kg)
    return {"meter_ph": shows, "spirit_ph": ph}


def supersaturation(mixture: Mixture, temperature_c: float) -> float:
    """Sucrose over what its water holds; above 1 it can crystallise.

    Glucose, fructose and ethanol change what the water holds. Raises OutOfRange beyond the
    published spirit and temperature.
    """
    return crystallisation.supersaturation(
        mixture.of("sucrose"),
        mixture.of("water"),
        temperature_c,
        mixture.of("glucose", "fructose"),
        mixture.ethanol_kg,
    )


def sucrose_saturation(mixture: Mixture, temperature_c: float) -> float | None:
    """`supersaturation`, or None without sucrose or where nothing is published."""
    if not mixture.of("sucrose") or not mixture.of("water"):
        return None
    try:
        return supersaturation(mixture, temperature_c)
    except BadInput:
        return None


def facts(mixture: Mixture) -> dict[str, object]:
    """Derived facts for the caution rules, where they can be had."""
    values, _ = of(mixture, "ph", "water_activity", "dissolved_solids")
    saturation = sucrose_saturation(mixture, 20.0)
    named = {
        **_meter(mixture, values["ph"]),
        # food's tables are of water: a pH in spirit must not clear anything
        "ph": values["ph"] if mixture.abv <= KEEPING_ABV_HIGH else None,
        "water_activity": values["water_activity"],
        "solids_percent": values["dissolved_solids"],
        "sucrose_saturation": saturation,
        "sucrose_saturation_unknown": True
        if saturation is None and mixture.fraction("sucrose") > 0.01
        else None,
    }
    return {name: value for name, value in named.items() if value is not None}
