"""What is seen at once when things are put together: fat that floats, milk that curdles."""

from __future__ import annotations

from typing import Any

from prepkit.mixture import Mixture
from prepkit.pantry import FREE_FAT

LEAST_SOUR = 0.002  # acids as citric from which milk is taken to curdle (JUDGEMENT)
_LEAST_WET = 0.05  # water and ethanol: with less there is nothing for the fat to part from
_SOURS = frozenset(
    ("citric-powder", "malic-powder", "tartaric-powder", "fumaric-powder", "succinic-powder",
     "corrosive-acid", "raw-juice")
)  # fmt: skip


def curdles(mixture: Mixture) -> bool:
    """Whether milk or cream stands together with juice, or with acid that was added.

    >>> milk = Mixture({"water": 0.9, "citric": 0.01}, keeps=frozenset({"dairy", "juice"}))
    >>> curdles(milk), curdles(Mixture({"water": 1.0}, keeps=frozenset({"dairy"})))
    (True, False)
    """
    milk = "dairy" in mixture.tags or "dairy" in mixture.keeps
    sour = "juice" in mixture.keeps or not _SOURS.isdisjoint(mixture.tags)
    return milk and sour and mixture.acidity_as_citric >= LEAST_SOUR


def free_fat_percent(mixture: Mixture) -> float:
    """Fat where oil, butter or another plain fat went in and there is water or spirit too, %."""
    wet = mixture.fraction("water", "ethanol") >= _LEAST_WET
    if FREE_FAT not in mixture.tags or not wet:
        return 0.0
    return 100.0 * mixture.fraction("fat", "milk_fat")


def of(mixture: Mixture) -> dict[str, Any]:
    """Facts of every product."""
    return {"curdles": curdles(mixture), "free_fat_percent": free_fat_percent(mixture)}
