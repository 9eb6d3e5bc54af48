"""Grams of ethanol in the units that countries and bodies count drinks in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from prepkit import blocks


def units() -> Mapping[str, Mapping[str, Any]]:
    """Every unit by its id: us, uk, who; each with its name, grams and source."""
    return {row["id"]: row for row in blocks.blocks("drink_units.toml", "unit")}


def us_drinks(ethanol_g: float) -> float:
    """Grams of ethanol in US standard drinks of 14 g [STANDARD-DRINKS].

    >>> us_drinks(56.0)
    4.0
    """
    return ethanol_g / float(units()["us"]["ethanol_g"])
