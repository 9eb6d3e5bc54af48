"""Where the house is: the folder that was named, or the one that prepkit.toml names here."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from prepkit.pantry import Pantry

SETTINGS = "prepkit.toml"  # in the folder where prepkit is started: house = "FOLDER"


def folder(named: str | os.PathLike[str] | None = None) -> Path | None:
    """The folder of the house file; None where none was named and there is no prepkit.toml.

    Raises FileProblem, and BadRecipe in one sentence where prepkit.toml says anything else.
    """
    wanted = named is not None and str(named).strip()
    if not wanted and not os.path.exists(SETTINGS):
        return None
    from pathlib import Path  # here, so that a calculation without a house starts faster

    if named is not None and wanted:
        return Path(named)
    from prepkit.plan.fields import Reader
    from prepkit.plan.files import read_text, tables_of
    from prepkit.plan.house_file import SettingsFile

    text = read_text(SETTINGS, "settings")
    reader = Reader(SETTINGS, text)
    return Path(reader.model(SettingsFile, tables_of(text, SETTINGS, "settings")).house)


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
