"""A file of readings: what was measured of the items of a recipe.

[flower-cordial]
mass = "640 g"
refractometer = "48.2 Bx"
temperature = "24 C"
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from prepkit.near import nearest
from prepkit.plan.fields import Reader, Table, shown
from prepkit.plan.files import read_text, tables_of
from prepkit.units import Measured

# what can be read: its units; none for a bare number
KEYS: dict[str, tuple[str, ...]] = {
    "mass": ("g",),
    "refractometer": ("Bx",),
    "density": ("kg/m3",),
    "acidity": ("% w/w", "g/l"),
    "abv": ("% vol",),
    "ph": (),
    "pressure": ("bar",),
    "temperature": ("C",),
}
LIMITS: dict[str, tuple[float, float]] = {
    "mass": (0.01, 1e6), "refractometer": (0.0, 95.0), "density": (500.0, 2000.0),
    "acidity": (0.0, 300.0), "abv": (0.0, 100.0), "ph": (0.0, 14.0), "pressure": (0.0, 100.0),
    "temperature": (-20.0, 100.0),
}  # fmt: skip
READ_OF = {
    "mass": "How much was made.",
    "refractometer": "As the refractometer shows it.",
    "density": "As the float shows it.",
    "acidity": "From a titration, as citric acid.",
    "abv": "Strength, from a distillation or an alcoholometer.",
    "ph": "As the meter shows it, after 24 hours.",
    "pressure": "On the gauge of the charged vessel.",
    "temperature": "Of the sample; 20 C unless said.",
}
BARE = ("refractometer", "ph")  # the scale is its own unit


@dataclass(frozen=True)
class Readings:
    """What was read of one item; `compensated`: the refractometer corrects for temperature."""

    values: Mapping[str, Measured] = field(default_factory=dict)
    compensated: bool = False


def load_readings(path: str | Path, items: Mapping[str, Any]) -> dict[str, Readings]:
    """The readings of a file by item; FileProblem or BadRecipe in one sentence otherwise."""
    file = str(path)
    return read_readings(read_text(path, "readings"), items, file)


def read_readings(
    text: str, items: Mapping[str, Any], file: str = "readings"
) -> dict[str, Readings]:
    """The readings that a text is; `items` are those of the recipe by id."""
    return readings_of(tables_of(text, file, "readings"), items, file)


def readings_of(
    tables: Mapping[str, Any], items: Mapping[str, Any], file: str = "readings"
) -> dict[str, Readings]:
    """The readings that tables by item are, as a file or a form has them. Raises BadRecipe."""
    reader = Reader(file)
    if not tables:
        raise reader.wrong("", "it has no readings; write a table for each item, such as [my-mix].")
    found = {}
    for id_, table in tables.items():
        if id_ not in items:
            raise reader.wrong(
                id_[:60], f'the recipe has no item "{id_[:60]}"; {nearest(id_, items)}.'
            )
        if not isinstance(table, dict):
            raise reader.wrong(id_, f"it is {shown(table)}; write a table, [{id_}].")
        found[id_] = _of_item(reader, id_, table)
    return found


def _of_item(reader: Reader, id_: str, table: Table) -> Readings:
    reader.only(id_, table, (*KEYS, "atc"))
    values = {
        key: _value(reader, f"{id_}.{key}", key, value)
        for key, value in table.items()
        if key in KEYS
    }
    if not set(values) - {"temperature"}:
        raise reader.wrong(
            id_,
            f"it has nothing to compare; write one of "
            f"{', '.join(key for key in KEYS if key != 'temperature')}.",
        )
    return Readings(values, "atc" in table and reader.flag(f"{id_}.atc", table["atc"]))


def _value(reader: Reader, where: str, key: str, value: Any) -> Measured:
    units = KEYS[key]
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if number and key in BARE:
        read = Measured(float(value), units[0] if units else "")
    elif not units:
        raise reader.wrong(where, f"it is {shown(value)}; write a bare number, such as 3.1.")
    else:
        read = reader.quantity(where, value, *units)
    low, high = LIMITS[key]
    if not low <= read <= high:
        of = f" {read.unit}" if read.unit else ""
        raise reader.wrong(
            where, f"it is {read:g}{of}; a reading is from {low:g} to {high:.10g}{of}."
        )
    return read
