"""Grams of ethanol in the units that countries and bodies count drinks in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypedDict, cast

from prepkit import blocks


class DrinkUnit(TypedDict):
    """A row of drink_units.toml."""

    id: str
    name: str
    plural: str
    ethanol_g: float
    source: str
    obtained: str


def units() -> Mapping[str, DrinkUnit]:
    """Every unit by its id: us, uk, who; each with its name, grams and source."""
    rows = cast("list[DrinkUnit]", list(blocks.blocks("drink_units.toml", "unit")))
    return {row["id"]: row for row in rows}


def us_drinks(ethanol_g: float) -> float:
    """Grams of ethanol in US standard drinks of 14 g [STANDARD-DRINKS].

    >>> us_drinks(56.0)
    4.0
    """
    return ethanol_g / float(units()["us"]["ethanol_g"])
