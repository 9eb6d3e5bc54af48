"""The published sums of vinegar syrups, where acetic acid alone makes them sour."""

from __future__ import annotations

import math

from prepkit.mixture import ACIDS, Mixture
from prepkit.model import Column, Table
from prepkit.science import acetic_index

_OTHER_ACIDS = 0.02  # of the acetic acid: more, and the sums are not for it (JUDGEMENT)
_PROTEIN, _ABV = 0.005, 0.005  # of the whole: more, and they are not for it (JUDGEMENT)


def of(mixture: Mixture | None, measured_ph: float | None) -> tuple[float, float] | None:
    """Safety and stability index; None where they are not made for it.

    They take a measured pH between 2.5 and 4.0, acetic acid with hardly any other acid, no protein
    and no alcohol.
    """
    if mixture is None or measured_ph is None or not mixture.of("acetic"):
        return None
    low, high = acetic_index.PH_RANGE
    acetic = mixture.of("acetic")
    others = math.fsum(mixture.of(acid) for acid in ACIDS if acid != "acetic")
    if not low <= measured_ph <= high or others > _OTHER_ACIDS * acetic:
        return None
    if mixture.fraction("protein") > _PROTEIN or mixture.abv > _ABV:
        return None
    phase = mixture.mass_kg - mixture.of("fat", "milk_fat", "fibre", "protein", "essential_oil")
    said = (
        100.0 * acetic / phase,
        100.0 * mixture.of("salt") / phase,
        100.0 * mixture.of("glucose", "fructose") / phase,
        100.0 * mixture.of("sucrose", "maltose", "lactose") / phase,
        measured_ph,
    )
    return acetic_index.safety_index(*said), acetic_index.stability_index(*said)


def table(found: tuple[float, float] | None) -> Table | None:
    """Both sums beside their limits; they decide nothing here."""
    if found is None:
        return None
    rows = (
        ("E. coli falls a thousandfold in 72 h", found[0], acetic_index.SAFE),
        ("nothing grows at room temperature", found[1], acetic_index.STABLE),
    )
    columns = (Column("asked"), Column("index", "", 0), Column("must be above", "", 0))
    return Table("vinegar", "information only: published sums for vinegar products", columns, rows)
