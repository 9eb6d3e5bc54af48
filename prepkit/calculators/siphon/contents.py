"""What is in the siphon: what must never be charged, what clogs, curdles, burns or turns sour."""

from __future__ import annotations

import math
import re

from prepkit.calculators.siphon.inputs import Inputs
from prepkit.facts import Facts
from prepkit.mixture import ACIDS, Mixture
from prepkit.pantry import Part
from prepkit.science import acids, ethanol

# Per cent from which one acid alone makes a mixture corrosive to skin and eyes [CLP-ACIDS].
CORROSIVE_FROM_PERCENT = {"lactic": 5.0, "phosphoric": 25.0, "acetic": 25.0}
EYE_DAMAGE = ("tartaric", "succinic", "lactic")  # [CLP-ACIDS]
# [JUDGEMENT]: with less water and spirit than this, and not an oil, it does not flow; a fruit with
# less water is dried.
LEAST_FLUID, LEAST_OIL, LEAST_FRUIT_WATER = 0.10, 0.50, 0.70
LEAST_FIBRE = 0.001  # [JUDGEMENT]: an unstrained juice holds 0.1 to 1.6 %
LEAST_SOUR = 0.003  # acids as citric [JUDGEMENT]: wine, diluted juice and strong espresso reach it
PULPY_GROUPS = frozenset(("juice", "fruit"))
FLASH_ERROR_WEAK_K = 6.0  # below 10 % vol, where the table of flash points is steep
GASSY = frozenset(
    (
        "sparkling water", "soda water", "tonic water", "ginger ale", "ginger beer", "cola",
        "lemonade", "sparkling wine", "beer", "cider",
    )
)  # fmt: skip
_STRENGTH = re.compile(r" [0-9.]+ (%|Bx)$")


def acid_as_citric(mixture: Mixture) -> float:
    """All acids as citric acid by their equivalents, mass fraction; no mineral counted against."""
    equivalents = math.fsum(mixture.fraction(acid) / acids.EQUIVALENT_KG[acid] for acid in ACIDS)
    return equivalents * acids.EQUIVALENT_KG["citric"]


def unfit(contents: Part) -> Facts:
    """What must not be put under gas at all: facts of the contents alone, without a volume."""
    mixture = contents.mixture
    return {
        "contents": contents.name,
        "corrosive_share": math.fsum(
            100 * mixture.fraction(acid) / limit for acid, limit in CORROSIVE_FROM_PERCENT.items()
        ),
        "acid_citric_percent": 100 * acid_as_citric(mixture),
        "oil_percent": 100 * mixture.fraction("essential_oil"),
        "no_liquid": _no_liquid(contents),
        "already_gassy": any(_STRENGTH.sub("", one.name) in GASSY for one in contents.each),
    }


def _no_liquid(contents: Part) -> bool:
    mixture, kind = contents.mixture, contents.ingredient
    if kind.form != "liquid":
        return kind.group != "fruit" or mixture.fraction("water") < LEAST_FRUIT_WATER
    oily = mixture.fraction("milk_fat", "fat", "essential_oil") >= LEAST_OIL
    return mixture.fraction("water", "ethanol") < LEAST_FLUID and not oily


def clogs(contents: Part, mixture: Mixture) -> bool:
    """Whether it holds, or by its kind may hold, what blocks a valve."""
    return (
        bool({"pulp", "raw-juice"} & mixture.tags)
        or bool({"juice", "fruit"} & mixture.keeps)
        or any(one.ingredient.group in PULPY_GROUPS for one in contents.each)
        or mixture.fraction("fibre") >= LEAST_FIBRE
    )


def curdles(mixture: Mixture) -> bool:
    """Whether milk stands together with acid or juice in it."""
    milk = "dairy" in mixture.tags or "dairy" in mixture.keeps
    return milk and ("juice" in mixture.keeps or acid_as_citric(mixture) >= LEAST_SOUR)


def of_contents(inputs: Inputs, mixture: Mixture, warmest_c: float) -> Facts:
    """Fat under carbon dioxide, spirit under an oxidiser, pulp in the valve, acid in milk."""
    fat = 100 * mixture.fraction("milk_fat", "fat")
    gas = inputs.gas
    return {
        "co2_with_fat_percent": fat if gas == "co2" else 0.0,
        "n2_with_fat_percent": fat if gas == "n2" else 0.0,
        "eye_damage_percent": 100 * mixture.fraction(*EYE_DAMAGE),
        "clogs": clogs(inputs.contents, mixture) and not inputs.strained,
        "curdles": curdles(mixture),
        "overrun_cap_percent": 0.0,  # until the dissolved gas is known
        **(_under_oxidiser(mixture.abv, warmest_c) if gas == "n2o" else {}),
    }


def _under_oxidiser(abv: float, warmest_c: float) -> Facts:
    """Strength, and how far the warmest is above the flash point less its error."""
    facts: Facts = {"oxidiser_with_abv": 100 * abv}
    least = ethanol.FLASH_TABLE[0][0]
    if abv >= least:
        flash_c = ethanol.flash_point_c(min(1.0, abv))
        error_k = ethanol.FLASH_ERROR_K if abv >= 0.10 else FLASH_ERROR_WEAK_K
        facts["flash_c"] = flash_c
        facts["over_flash_c"] = warmest_c - (flash_c - error_k)
    return facts
