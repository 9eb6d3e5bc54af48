"""What the pantry knows, for who types an ingredient: its strength or Brix beside its name."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from prepkit import blocks
from prepkit.errors import PrepkitError
from prepkit.pantry import REFUSED_GROUP, Pantry
from prepkit.workflows.pantry_command import looked_up

_LEAST_BRIX = 0.5


def rows(pantry: Pantry) -> list[tuple[str, str, str]]:
    """Each ingredient: its name, the strength to write after it or "", what is known of it."""
    own = [_row(pantry, str(entry["name"])) for entry in pantry.own_entries()]
    return [*filter(None, own), *_shipped()]


@cache
def _shipped() -> tuple[tuple[str, str, str], ...]:
    """The package's own, read once."""
    pantry = Pantry()
    entries: list[Mapping[str, Any]] = [  # Any: what a TOML table holds
        entry for path in blocks.names("pantry") for entry in blocks.blocks(path, "ingredient")
    ]
    found = (_row(pantry, entry["name"]) for entry in entries if entry["group"] != REFUSED_GROUP)
    return tuple(sorted(filter(None, found)))


def _row(pantry: Pantry, name: str) -> tuple[str, str, str] | None:
    try:
        found = looked_up(name, pantry)
    except PrepkitError:  # what cannot be looked up is not offered
        return None
    if "ingredient" not in found:
        return None
    strength = found.get("strength")
    if strength:
        usual = strength["usual"]
        after = f"{usual:g} {strength['unit']}" if usual is not None else ""
        span = f"{strength['low']:g} to {strength['high']:g} {strength['unit']}"
        return name, after, f"{strength['meaning']}, {span}"
    brix = found.get("values", {}).get("dissolved_solids", 0.0)
    return name, "", f"{brix:.0f} Bx" if found["form"] == "liquid" and brix >= _LEAST_BRIX else ""
