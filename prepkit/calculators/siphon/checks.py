"""Checks of what was asked and of what is in the vessel."""

from __future__ import annotations

import math
import re
from math import ceil, floor
from typing import TypeVar

from prepkit import derived
from prepkit.calculators.siphon.inputs import Inputs
from prepkit.errors import BadInput, OutOfRange, named
from prepkit.facts import Facts
from prepkit.ingredient import Part
from prepkit.mixture import (
    CARBONATE,
    FERMENTING,
    GASSY,
    SETS_COLD,
    SETS_HOT,
    SOLID_FAT,
    SUGARS,
    Mixture,
)
from prepkit.model import Step
from prepkit.science import dissolved_gas, ethanol, food
from prepkit.science.charged_vessel import MOST_PORTIONS
from prepkit.shared.drink import ROUNDING, too_many

# ---- what a siphon may be asked for ----

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


# ---- what is in the siphon ----

# Per cent from which one acid alone makes a mixture corrosive to skin and eyes [CLP-ACIDS].
CORROSIVE_FROM_PERCENT = {"lactic": 5.0, "phosphoric": 25.0, "acetic": 25.0}
EYE_DAMAGE = ("tartaric", "succinic", "lactic")  # [CLP-ACIDS]
# [JUDGEMENT]: with less water and spirit than this, and not an oil, it does not flow; a fruit with
# less water is dried.
LEAST_FLUID, LEAST_OIL, LEAST_FRUIT_WATER = 0.10, 0.50, 0.70
LEAST_FIBRE = 0.001  # [JUDGEMENT]: an unstrained juice holds 0.1 to 1.6 %
PULPY_GROUPS = frozenset(("juice", "fruit"))
SOLID_GROUPS = frozenset(("peel", "herb", "flower", "spice", "nut", "coffee", "tea"))
LEAST_BURNING_ABV = 0.005  # [JUDGEMENT]: sold as free of alcohol; below it no vapour is counted
# [JUDGEMENT], mass fractions: sugar from which a syrup hardly runs, and does not in the cold; solid
# fat from which it is a block; gelatine by custom in siphons is 0.5 to 1.5 % [SIPHON-PRACTICE].
THICK_SUGAR, STIFF_SUGAR = 0.60, 0.75
BLOCK_FAT, MOST_GELATINE = 0.10, 0.015
PLAIN_CREAM_SUGAR = 0.10  # [JUDGEMENT]: more thickens a cream past what is published
# C [JUDGEMENT]: honey runs from here; a hard fat has melted; cold gels melt; hot gels have set
RUNS_C, MELTED_C, GEL_MELTS_C, GEL_SETS_C = 40.0, 38.0, 85.0, 45.0
PASTE = 0.05  # protein and fibre in an oil with hardly any water: a paste, not an oil


def unfit(contents: Part) -> Facts:
    """What must not be put under gas at all: facts of the contents alone, without a volume."""
    mixture = contents.mixture
    return {
        "contents": contents.name,
        "corrosive_share": math.fsum(
            100 * mixture.fraction(acid) / limit for acid, limit in CORROSIVE_FROM_PERCENT.items()
        ),
        "acid_citric_percent": 100 * derived.acid_as_citric(mixture),
        "oil_percent": 100 * mixture.fraction("essential_oil"),
        "no_liquid": _no_liquid(contents),
        **own_gas(contents),
    }


def own_gas(contents: Part) -> Facts:
    """Gas that the contents hold or make, in whatever share: by the marks that travel with them."""
    found = contents.mixture.tags
    carbonates = [one.mixture for one in contents.each if CARBONATE in one.mixture.tags]
    freed_kg = math.fsum(
        dissolved_gas.carbonate_gas_kg(one.of("sodium"), one.of("potassium")) for one in carbonates
    )
    return {
        "already_gassy": GASSY in found,
        "fermenting": FERMENTING in found,
        "carbonate": CARBONATE in found,
        "carbonate_co2_g_kg": 1e3 * freed_kg / max(contents.mass_kg, 1e-9),
    }


def _no_liquid(contents: Part) -> bool:
    mixture, kind = contents.mixture, contents.ingredient
    if kind.form != "liquid":
        return kind.group != "fruit" or mixture.fraction("water") < LEAST_FRUIT_WATER
    oily = mixture.fraction("milk_fat", "fat", "essential_oil") >= LEAST_OIL
    paste = mixture.fraction("protein", "fibre") >= PASTE
    return mixture.fraction("water", "ethanol") < LEAST_FLUID and (paste or not oily)


def clogs(contents: Part, mixture: Mixture) -> bool:
    """Whether it holds, or by its kind may hold, what blocks a valve."""
    return (
        bool({"pulp", "raw-juice"} & mixture.tags)
        or bool({"juice", "fruit"} & mixture.keeps)
        or any(
            one.ingredient.group in PULPY_GROUPS
            or (one.ingredient.group in SOLID_GROUPS and one.ingredient.form != "liquid")
            for one in contents.each
        )
        or mixture.fraction("fibre") >= LEAST_FIBRE
    )


def of_contents(inputs: Inputs, mixture: Mixture, warmest_c: float) -> Facts:
    """Fat under carbon dioxide, spirit under an oxidiser, pulp in the valve, acid in milk."""
    fat = 100 * mixture.fraction("milk_fat", "fat")
    gas = inputs.gas
    return {
        "co2_with_fat_percent": fat if gas == "co2" else 0.0,
        "n2_with_fat_percent": fat if gas == "n2" else 0.0,
        "eye_damage_percent": 100 * mixture.fraction(*EYE_DAMAGE),
        "clogs": clogs(inputs.contents, mixture) and not inputs.strained,
        "curdles": derived.curdles(mixture, charged=True),
        "overrun_cap_percent": 0.0,  # until the dissolved gas is known
        **of_plugging(inputs.contents, float(inputs.temperature), warmest_c),
        **({"oxidiser_with_abv": 100 * mixture.abv} if gas == "n2o" else {}),
        **_burning(mixture.abv, warmest_c),
    }


def _burning(abv: float, warmest_c: float) -> Facts:
    """How far the warmest is above the flash point less its error; a weaker drink as one of 5 %."""
    if abv < LEAST_BURNING_ABV:
        return {}
    flash_c = ethanol.flash_point_c(min(1.0, max(abv, ethanol.FLASH_TABLE[0][0])))
    error_k = ethanol.FLASH_ERROR_K if abv >= 0.10 else ethanol.FLASH_ERROR_WEAK_K
    limit_c = flash_c - error_k
    return {"flash_c": flash_c, "flash_limit_c": limit_c, "over_flash_c": warmest_c - limit_c}


def of_plugging(contents: Part, temperature_c: float, warmest_c: float) -> Facts:
    """What can plug the valve, and whether it does at the temperatures that were told."""
    may, does = plugs(contents, temperature_c, warmest_c)
    return {
        "plug_words": " and ".join(does or may),
        "may_plug": bool(may),
        "does_plug": bool(does),
    }


def plugs(contents: Part, temperature_c: float, warmest_c: float) -> tuple[list[str], list[str]]:
    """What can plug the valve, and what of it is set or solid at the temperatures that were told.

    A sieve does not help against any of it.
    """
    mixture = contents.mixture
    sugar = mixture.fraction(*SUGARS, "other_solubles")
    fat = mixture.fraction("milk_fat", "fat")
    may: list[str] = []
    does: list[str] = []
    if SETS_COLD in mixture.tags:
        may.append("a gelling agent")
        if temperature_c < GEL_MELTS_C and not _little_gelatine(contents):
            does.append("a set gel")
    if SETS_HOT in mixture.tags:
        may.append("a heat-setting gelling agent")
        if warmest_c >= GEL_SETS_C:
            does.append("a gel set by heat")
    if SOLID_FAT in mixture.tags:
        may.append("fat that sets")
        if fat >= BLOCK_FAT and temperature_c < MELTED_C:
            does.append("solid fat")
    if sugar >= THICK_SUGAR:
        may.append("thick syrup or honey")
        if sugar >= STIFF_SUGAR and temperature_c < RUNS_C:
            does.append("stiff syrup or honey")
    return may, does


def _little_gelatine(contents: Part) -> bool:
    """Whether all that sets is gelatine, as much as custom puts into a siphon, and known."""
    setting = [one for one in contents.each if SETS_COLD in one.mixture.tags]
    grams = math.fsum(one.mass_kg for one in setting)
    names = all("gelatine" in one.ingredient.name for one in setting)
    return names and grams <= MOST_GELATINE * contents.mass_kg


def cream_steps(mixture: Mixture, temperature_c: float) -> tuple[Step, ...]:
    """How thick plain milk or cream is as it is poured; none where no relation was published.

    Above 30 % fat that of 30 % is its lower bound: more fat is thicker. It slows a pour; pressure
    and portions do not ask for it. Error: 30 %.
    """
    fat = mixture.fraction("milk_fat")
    sugar = math.fsum(mixture.fraction(name) for name in ("sucrose", "glucose", "fructose"))
    if not fat or mixture.ethanol_kg or mixture.tags != {"dairy"} or sugar > PLAIN_CREAM_SUGAR:
        return ()
    try:
        most = min(fat, food.VISCOSITY_HIGH_FAT)
        thickness = 1e3 * food.viscosity_pa_s(most, temperature_c)
    except OutOfRange:
        return ()
    bound = ", lower bound" if fat > food.VISCOSITY_HIGH_FAT else ""
    return (
        Step(
            f"viscosity before foaming{bound}",
            f"{100 * most:.3g} % milk fat at {temperature_c:g} °C, ± 30 %; it slows the pour and "
            "changes no pressure and no count of portions",
            thickness,
            "mPa s",
            "BAKSHI-SMITH-1984",
        ),
    )
