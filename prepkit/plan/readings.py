"""A file of readings: what was measured of the items of a recipe.

[flower-cordial]
mass = "640 g"
refractometer = "48.2 Bx"
temperature = "24 C"
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Annotated

from prepkit.file_kinds import Flag, Quantity
from prepkit.file_lines import line_of, lines, place_of
from prepkit.file_models import FileModel, ValidationError, problems
from prepkit.file_values import shown
from prepkit.near import nearest
from prepkit.plan.fields import Wrong
from prepkit.plan.files import read_text, tables_of
from prepkit.units import Measured

_IS = "a reading is"
_MASS = Quantity("How much was made. [g]", ("g",), 0.01, 1e6, what=_IS)
_REFRACTOMETER = Quantity(
    "As read on the refractometer. [Bx]", ("Bx",), 0.0, 95.0, bare=True, what=_IS
)
_DENSITY = Quantity("As the hydrometer shows it. [kg/m3]", ("kg/m3",), 500.0, 2000.0, what=_IS)
_ACIDITY = Quantity(
    "From a titration, as citric acid. [% w/w or g/l]", ("% w/w", "g/l"), 0.0, 300.0, what=_IS
)
_ABV = Quantity(
    "Strength, from a distillation or an alcoholometer. [% vol]", ("% vol",), 0.0, 100.0, what=_IS
)
_PH = Quantity(
    "As the meter shows it, after 24 hours. [a bare number]", (), 0.0, 14.0, bare=True, what=_IS
)
_PRESSURE = Quantity("On the gauge of the charged vessel. [bar]", ("bar",), 0.0, 100.0, what=_IS)
_TEMPERATURE = Quantity("Of the sample; 20 °C if left out. [C]", ("C",), -20.0, 100.0, what=_IS)
_ATC = Flag("The refractometer corrects for temperature.")


class Readings(FileModel):
    """What was read of one item."""

    mass: Annotated[Measured | None, _MASS] = None
    refractometer: Annotated[Measured | None, _REFRACTOMETER] = None
    density: Annotated[Measured | None, _DENSITY] = None
    acidity: Annotated[Measured | None, _ACIDITY] = None
    abv: Annotated[Measured | None, _ABV] = None
    ph: Annotated[Measured | None, _PH] = None
    pressure: Annotated[Measured | None, _PRESSURE] = None
    temperature: Annotated[Measured | None, _TEMPERATURE] = None
    atc: Annotated[bool, _ATC] = False

    @property
    def values(self) -> Mapping[str, Measured]:
        """The quantities that were read, by what was read."""
        return {key: value for key in KEYS if (value := getattr(self, key)) is not None}

    @property
    def compensated(self) -> bool:
        """Whether the refractometer corrects for temperature."""
        return self.atc


# what can be read: its units; none for a bare number
KEYS: dict[str, tuple[str, ...]] = {
    key: kind.units for key, kind in Readings.kinds().items() if isinstance(kind, Quantity)
}


def load_readings(path: str | Path, items: Collection[str]) -> dict[str, Readings]:
    """The readings of a file by item; FileProblem or BadRecipe in one sentence otherwise."""
    file = str(path)
    return read_readings(read_text(path, "readings"), items, file)


def read_readings(text: str, items: Collection[str], file: str = "readings") -> dict[str, Readings]:
    """The readings that a text is; `items` are those of the recipe by id."""
    return readings_of(tables_of(text, file, "readings"), items, file, text)


def readings_of(
    tables: Mapping[str, object], items: Collection[str], file: str = "readings", text: str = ""
) -> dict[str, Readings]:
    """The readings that tables by item are, as a file or a form has them. Raises BadRecipe.

    `text` is that of the file, where there is one: the error then has the line.
    """

    def wrong(path: tuple[str | int, ...], sentence: str) -> Wrong:
        return Wrong(
            file, place_of(path), sentence, line_of(lines(text), path) if path and text else None
        )

    if not tables:
        raise wrong((), "it has no readings; write a table for each item, such as [my-mix].")
    found = {}
    for id_, table in tables.items():
        if id_ not in items:
            raise wrong((id_,), f'the recipe has no item "{id_[:60]}"; {nearest(id_, items)}.')
        if not isinstance(table, dict):
            raise wrong((id_,), f"it is {shown(table)}; write a table, [{id_}].")
        try:
            read = Readings.read(table)
        except ValidationError as error:
            problem = problems(Readings, error)[0]
            raise wrong((id_, *problem.path), problem.sentence) from error
        if not read.values.keys() - {"temperature"}:
            choice = ", ".join(key for key in KEYS if key != "temperature")
            raise wrong((id_,), f"it has nothing to compare; write one of {choice}.")
        found[id_] = read
    return found
