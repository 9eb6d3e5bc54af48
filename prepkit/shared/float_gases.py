"""Gases by name for the float calculator (data/float_gases.toml), and those that are refused."""

from __future__ import annotations

from typing import Any, NamedTuple

from prepkit import blocks, hazard_names, spelling, unlisted
from prepkit.errors import UnknownIngredient, named
from prepkit.science import gases


class Gas(NamedTuple):
    """A gas that may be asked about, or one that is refused (`why` says the reason)."""

    name: str
    molar_mass_kg_mol: float = 0.0
    asphyxiant: bool = False
    oxidiser: bool = False
    why: str = ""


def _rows(header: str) -> tuple[dict[str, Any], ...]:  # Any: rows of a TOML file of ours
    return tuple(blocks.blocks("float_gases.toml", header))


def gas_named(words: str) -> Gas:
    """The gas of a name or a usual other name; UnknownIngredient with the nearest names.

    >>> gas_named("He").name, bool(gas_named("hydrogen").why)
    ('helium', True)
    """
    tidy = " ".join(words.lower().split())
    for row in _rows("gas"):
        if tidy in (row["name"], *row["also"]):
            mass = gases.molar_mass_kg_mol(row["gas"]) if "gas" in row else row["molar_mass"] / 1000
            return Gas(row["name"], mass, row["asphyxiant"], row.get("oxidiser", False))
    for row in _rows("refused"):
        if tidy in (row["name"], *row["also"]):
            return Gas(row["name"] if tidy == row["name"] else tidy, why=row["why"])
    names = [name for kind in ("gas", "refused") for row in _rows(kind) for name in
             (row["name"], *row["also"])]  # fmt: skip
    hazard = hazard_names.find(words)
    if hazard is not None and hazard.kind != "gas":
        raise unlisted.named(words, f"{named('gas')}", hazard)
    meant = spelling.close(tidy, names)
    hint = f"if it is misspelt, write {' or '.join(meant)}" if meant else "write for example helium"
    raise UnknownIngredient(f"{named('gas', f'{words}')} is not a gas known here; {hint}.", "gas")
