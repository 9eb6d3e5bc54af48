"""What is seen at once when things are put together: fat that floats, milk that curdles."""

from __future__ import annotations

import math
from typing import Any

from prepkit.mixture import ACIDS, Mixture
from prepkit.pantry import FREE_FAT
from prepkit.science import acids

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
    equivalents = math.fsum(mixture.fraction(acid) / acids.EQUIVALENT_KG[acid] for acid in ACIDS)
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


def of(mixture: Mixture) -> dict[str, Any]:
    """Facts of every product."""
    return {"curdles": curdles(mixture), "free_fat_percent": free_fat_percent(mixture)}
