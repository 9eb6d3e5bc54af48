"""What follows of a mixture: the values that many calculators show, its facts for the caution
rows.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Literal

from prepkit.errors import BadInput, OutOfRange
from prepkit.facts import Facts, checked, known_only
from prepkit.ingredient import FREE_FAT
from prepkit.mixture import ACIDS, Mixture
from prepkit.model import Output, Step
from prepkit.science import acids, solution, sucrose
from prepkit.science.acid_medium import KEEPING_ABV_HIGH, meter_offset_ph

# ---- the values that many calculators show of a mixture, each only where its relation holds ----

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
    return sucrose.supersaturation(
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


def facts(mixture: Mixture) -> Facts:
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
    return known_only(named)


# ---- what the acids of any product say to the caution rules ----

NAMED = ("citric", "lactic", "phosphoric", "acetic", "tartaric", "malic", "succinic", "fumaric")
BENCH_C = 20.0
# A pH that is not known is taken as this, where a rule asks whether there is acid enough.
_NO_ACID_PH = 14.0


def of_acids(mixture: Mixture) -> Facts:
    """Facts of every product, always all of them.

    `<acid>_percent` by weight; `acid_percent` of all acids; `stock_citric_percent` titratable as
    citric; `eye_irritant_percent` and `eye_damage_percent` by hazard class; `phosphoric_mg_l`;
    `undissolved` (the acid that is worst dissolved, over what its water dissolves at 20 C) with
    its name, its most and the temperature of that; `ph_at_most`, asked of garlic and its kin
    alone: the pH with its error, 14 where it is not known.
    """
    held = mixture.masses_kg
    percent = {acid: 100.0 * mixture.fraction(acid) if acid in held else 0.0 for acid in ACIDS}
    return {
        **checked({f"{acid}_percent": percent[acid] for acid in NAMED}),
        "acid_percent": math.fsum(percent.values()),
        "stock_citric_percent": 100.0 * mixture.acidity_as_citric,
        "eye_irritant_percent": percent["citric"] + percent["malic"] + percent["fumaric"],
        "eye_damage_percent": percent["tartaric"] + percent["succinic"],
        "phosphoric_mg_l": _phosphoric_mg_l(mixture),
        "ph_at_most": ph_at_most(mixture) if "garlic-family" in mixture.tags else None,
        **_undissolved(mixture),
    }


def saturation(mixture: Mixture, temperature_c: float) -> dict[str, tuple[float, bool, float]]:
    """How near each acid stands to saturation in the water that is there.

    Acid -> (acid per water over what dissolves, whether that is known at this temperature, the
    temperature at which it is known). Below the known temperatures the lowest known one is used.
    """
    found = {}
    water_kg = mixture.of("water")
    for acid in ACIDS:
        mass = mixture.masses_kg.get(acid, 0.0)
        if mass <= 0.0 or acid in acids.MISCIBLE:
            continue
        low, high = acids.solubility_range_c(acid)
        known_at = min(max(temperature_c, low), high)
        most = acids.solubility_mass_fraction(acid, known_at)
        per_water = mass / water_kg if water_kg > 0.0 else float("inf")
        # Warmer than the highest known temperature more dissolves: that figure holds as well.
        found[acid] = (per_water * (1.0 - most) / most, temperature_c >= low, known_at)
    return found


def _undissolved(mixture: Mixture) -> Facts:
    # a dry powder is no solution, and nothing is said of it
    by_acid = saturation(mixture, BENCH_C) if mixture.of("water") > 0.0 else {}
    if not by_acid:
        return {
            "undissolved": None, "undissolved_acid": None, "undissolved_most_percent": None,
            "undissolved_known_c": None,
        }  # fmt: skip
    worst = max(by_acid, key=lambda acid: by_acid[acid][0])
    ratio, _, known_at = by_acid[worst]
    return {
        "undissolved": ratio,
        "undissolved_acid": f"{worst} acid",
        "undissolved_most_percent": 100.0 * acids.solubility_mass_fraction(worst, known_at),
        "undissolved_known_c": known_at,
    }


def _phosphoric_mg_l(mixture: Mixture) -> float:
    mass_kg = mixture.of("phosphoric")
    if not mass_kg:
        return 0.0
    try:
        litres = 1000.0 * mixture.volume_20_m3
    except BadInput:  # a concentrate whose density is not published: as if it weighed 1 kg/l
        litres = mixture.mass_kg
    return 1e6 * mass_kg / litres


def ph_at_most(mixture: Mixture) -> float:
    """Upper bound of the pH of a mixture; that of no acid at all where none is known."""
    try:
        return mixture.ph.value + mixture.ph.plus_minus
    except BadInput:
        return _NO_ACID_PH


# ---- what is seen at once when things are put together ----

# As citric, from which milk is taken to curdle (JUDGEMENT): where acid or juice was added, and
# where any acid stands beside milk, as in wine and strong espresso.
LEAST_SOUR, LEAST_OTHER_SOUR = 0.002, 0.003
_LEAST_WET = 0.05  # water and ethanol: with less there is nothing for the fat to part from
_SOURS = frozenset(
    ("citric-powder", "malic-powder", "tartaric-powder", "fumaric-powder", "succinic-powder",
     "corrosive-acid", "raw-juice")
)  # fmt: skip


def acid_as_citric(mixture: Mixture) -> float:
    """All acids as citric acid by their equivalents, mass fraction; no mineral counted against."""
    held = [acid for acid in ACIDS if acid in mixture.masses_kg]
    equivalents = math.fsum(mixture.fraction(acid) / acids.EQUIVALENT_KG[acid] for acid in held)
    return equivalents * acids.EQUIVALENT_KG["citric"]


def curdles(mixture: Mixture, *, charged: bool = False) -> bool:
    """Whether milk or cream stands together with juice, with added acid, or with any sour part.

    The one rule, for every calculator. Acid is what can be titrated; in a vessel that is
    `charged`, where curds plug the valve, minerals that bind acid, as in coffee, do not count.

    >>> milk = Mixture({"water": 0.9, "citric": 0.01}, keeps=frozenset({"dairy", "juice"}))
    >>> curdles(milk), curdles(Mixture({"water": 1.0}, keeps=frozenset({"dairy"})))
    (True, False)
    """
    if "dairy" not in mixture.tags and "dairy" not in mixture.keeps:
        return False
    sour = acid_as_citric(mixture) if charged else mixture.acidity_as_citric
    added = not _SOURS.isdisjoint(mixture.tags) and sour >= LEAST_SOUR
    return "juice" in mixture.keeps or added or sour >= LEAST_OTHER_SOUR


def free_fat_percent(mixture: Mixture) -> float:
    """Fat where oil, butter or another plain fat went in and there is water or spirit too, %."""
    wet = mixture.fraction("water", "ethanol") >= _LEAST_WET
    if FREE_FAT not in mixture.tags or not wet:
        return 0.0
    return 100.0 * mixture.fraction("fat", "milk_fat")


def seen_at_once(mixture: Mixture) -> Facts:
    """Facts of every product."""
    return {"curdles": curdles(mixture), "free_fat_percent": free_fat_percent(mixture)}
