"""What is in the siphon: what must never be charged, what clogs, curdles, burns or turns sour."""

from __future__ import annotations

import math

from prepkit import mixing_facts
from prepkit.calculators.siphon.inputs import Inputs
from prepkit.errors import OutOfRange
from prepkit.facts import Facts
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Step
from prepkit.pantry import Part
from prepkit.science import cream, dissolved_gas, ethanol
from prepkit.shared import tags

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
        "acid_citric_percent": 100 * mixing_facts.acid_as_citric(mixture),
        "oil_percent": 100 * mixture.fraction("essential_oil"),
        "no_liquid": _no_liquid(contents),
        **own_gas(contents),
    }


def own_gas(contents: Part) -> Facts:
    """Gas that the contents hold or make, in whatever share: by the marks that travel with them."""
    found = contents.mixture.tags
    carbonates = [one.mixture for one in contents.each if tags.CARBONATE in one.mixture.tags]
    freed_kg = math.fsum(
        dissolved_gas.carbonate_gas_kg(one.of("sodium"), one.of("potassium")) for one in carbonates
    )
    return {
        "already_gassy": tags.GASSY in found,
        "fermenting": tags.FERMENTING in found,
        "carbonate": tags.CARBONATE in found,
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
        "curdles": mixing_facts.curdles(mixture, charged=True),
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
    if tags.SETS_COLD in mixture.tags:
        may.append("a gelling agent")
        if temperature_c < GEL_MELTS_C and not _little_gelatine(contents):
            does.append("a set gel")
    if tags.SETS_HOT in mixture.tags:
        may.append("a heat-setting gelling agent")
        if warmest_c >= GEL_SETS_C:
            does.append("a gel set by heat")
    if tags.SOLID_FAT in mixture.tags:
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
    setting = [one for one in contents.each if tags.SETS_COLD in one.mixture.tags]
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
        most = min(fat, cream.VISCOSITY_HIGH_FAT)
        thickness = 1e3 * cream.viscosity_pa_s(most, temperature_c)
    except OutOfRange:
        return ()
    bound = ", lower bound" if fat > cream.VISCOSITY_HIGH_FAT else ""
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
