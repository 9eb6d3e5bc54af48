"""Where the house is: the folder that was named, or the one that prepkit.toml names here."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from prepkit.errors import BadRecipe

if TYPE_CHECKING:
    from prepkit.pantry import Pantry

SETTINGS = "prepkit.toml"  # in the folder where prepkit is started: house = "FOLDER"


def folder(named: str | os.PathLike[str] | None = None) -> Path | None:
    """The folder of the house file; None where none was named and there is no prepkit.toml.

    Raises FileProblem, and BadRecipe in one sentence where prepkit.toml says anything else.
    """
    if named is not None and str(named).strip():
        return Path(named)
    if not os.path.exists(SETTINGS):
        return None
    from prepkit.plan.files import read_text, tables_of

    said = tables_of(read_text(SETTINGS, "settings"), SETTINGS, "settings")
    wrong = next((key for key in said if key != "house"), None)
    if wrong is not None:
        raise BadRecipe(f'{SETTINGS}: the key "{wrong}" is not known; it takes house.', "settings")
    place = said.get("house")
    if not isinstance(place, str) or not place.strip():
        raise BadRecipe(
            f'{SETTINGS}: house must be the folder of the house file, as in house = "bar".', "house"
        )
    return Path(place)


def pantry(named: str | os.PathLike[str] | None = None) -> Pantry | None:
    """The ingredients and measures of the house; None where there is no house.

    Raises FileProblem where the house file cannot be read, BadRecipe where it is wrong.
    """
    place = folder(named)
    if place is None:
        return None
    from prepkit.plan.fields import Reader
    from prepkit.plan.house import FILE, read_house

    return read_house(Reader(FILE), None, place, place).pantry
