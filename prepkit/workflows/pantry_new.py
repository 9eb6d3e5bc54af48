"""prepkit pantry --new: an entry from a packet's label, printed or added to the house's pantry."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from prepkit import house_place, label_entry
from prepkit.console import Chosen
from prepkit.errors import BadInput, FileProblem
from prepkit.pantry_file import house_entries
from prepkit.plan.files import below, read_text, tables_of
from prepkit.plan.house import FILE
from prepkit.stdout import put_error, put_text
from prepkit.units import parse_quantity
from prepkit.workflows.out import write_whole

if TYPE_CHECKING:
    from prepkit.model import Json

_ASKED = ("label", "allergens", "keeps", "caffeine", "group", "form")


def new(name: str, said: Mapping[str, object], house: str | None) -> None:
    """Print the entry of a label, or add it to the pantry file of the house."""
    text = label_entry.toml(_row(name, said))
    if said["add"]:
        file = _file(house)
        before = read_text(file, "pantry") if file.exists() else ""
        write_whole(file, _added(before, text, str(file)), force=True)
        put_error(f"prepkit: added to {file}.\n")
    else:
        put_text(text)


def _row(name: str, said: Mapping[str, Chosen]) -> Json:
    for key in _ASKED:
        if not said[key]:
            raise BadInput(
                f'--new needs --{key}; for example prepkit pantry --new "rum syrup" --label '
                f'"{label_entry.EXAMPLE}" --allergens none --keeps syrup --caffeine "0 mg" '
                f"--group syrup --form liquid.",
                key,
            )
    if not name:
        raise BadInput('--new needs a name, as in prepkit pantry --new "rum syrup".', "name")
    density, strength = said["density"], said["strength"]
    allergens = str(said["allergens"]).strip().lower()
    listed = [] if allergens == "none" else [one.strip() for one in allergens.split(",")]
    caffeine = float(parse_quantity(said["caffeine"], ("g",), "--caffeine"))
    if not 0.0 <= caffeine <= 10.0:
        raise BadInput(
            f'--caffeine is "{said["caffeine"]}"; write that of 100 g or 100 ml, 0 mg to 10 g.',
            "caffeine",
        )
    return label_entry.entry(
        name,
        str(said["group"]).strip().lower(),
        said["form"],
        label_entry.read(said["label"]),
        listed,
        keeps=str(said["keeps"]).strip().lower(),
        caffeine_mg=1000 * caffeine,
        per_ml=said["per_ml"],
        density_g_ml=float(parse_quantity(density, ("g/ml",), "--density")) if density else None,
        abv=float(parse_quantity(strength, ("% vol",), "--strength")) if strength else 0.0,
    )


def _file(house: str | None) -> Path:
    """The pantry file that the house names."""
    folder = house_place.folder(house)
    if folder is None:
        raise BadInput("--add writes into the house's pantry; name its folder with --house.", "add")
    file = folder / FILE
    named = tables_of(read_text(file, "house file"), str(file), "house file").get("pantry")
    if not isinstance(named, str):
        raise FileProblem(f'{file} names no pantry; write pantry = "pantry.toml" in it first.')
    place = below(folder, named)
    if place is None:
        raise FileProblem(f'{file}: pantry "{named}" lies outside its folder; keep it below.')
    return place


def _added(before: str, entry: str, file: str) -> str:
    """The whole text of the file with one entry more; every entry of it is read and checked."""
    text = before if not before or before.endswith("\n") else f"{before}\n"
    text += f"\n{entry}" if text else entry
    house_entries(tables_of(text, file, "pantry"))
    return text
