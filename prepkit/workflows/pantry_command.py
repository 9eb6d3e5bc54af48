"""prepkit pantry: what an ingredient is made of; an entry from a packet's label."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from prepkit import blocks, model, pantry_file, registry
from prepkit.cli import Chosen, Command, house_option
from prepkit.errors import BadInput, FileProblem
from prepkit.pantry_file import house_entries
from prepkit.plan.files import below, read_text, tables_of
from prepkit.plan.house import FILE as HOUSE_FILE
from prepkit.stdout import columns, put_error, put_exact, put_text
from prepkit.units import parse_quantity
from prepkit.workflows import write_whole

if TYPE_CHECKING:
    from prepkit.inputs import Json
    from prepkit.pantry import Pantry
    from prepkit.pantry_file import Entry

# ---- an entry from a packet's label ----

_ASKED = ("label", "allergens", "keeps", "caffeine", "group", "form")


def new(name: str, said: Mapping[str, object], house: str | None) -> None:
    """Print the entry of a label, or add it to the pantry file of the house."""
    text = pantry_file.toml(_row(name, said))
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
                f'"{pantry_file.EXAMPLE}" --allergens none --keeps syrup --caffeine "0 mg" '
                f"--group syrup --form liquid.",
                key,
            )
    if not name:
        raise BadInput('--new needs a name, as in prepkit pantry --new "rum syrup".', "name")
    density, strength = said["density"], said["strength"]
    allergens = str(said["allergens"]).strip().lower()
    listed = [] if allergens == "none" else [word.strip() for word in allergens.split(",")]
    caffeine = float(parse_quantity(said["caffeine"], ("g",), "--caffeine"))
    if not 0.0 <= caffeine <= 10.0:
        raise BadInput(
            f'--caffeine is "{said["caffeine"]}"; write that of 100 g or 100 ml, 0 mg to 10 g.',
            "caffeine",
        )
    return pantry_file.entry(
        name,
        str(said["group"]).strip().lower(),
        said["form"],
        pantry_file.read(said["label"]),
        listed,
        keeps=str(said["keeps"]).strip().lower(),
        caffeine_mg=1000 * caffeine,
        per_ml=said["per_ml"],
        density_g_ml=float(parse_quantity(density, ("g/ml",), "--density")) if density else None,
        abv=float(parse_quantity(strength, ("% vol",), "--strength")) if strength else 0.0,
    )


def _file(house: str | None) -> Path:
    """The pantry file that the house names."""
    folder = registry.folder(house)
    if folder is None:
        raise BadInput("--add writes into the house's pantry; name its folder with --house.", "add")
    file = folder / HOUSE_FILE
    named = tables_of(read_text(file, "house file"), str(file), "house file").get("pantry")
    if not isinstance(named, str):
        raise FileProblem(f'{file} names no pantry; write pantry = "pantry.toml" in it first.')
    place = below(folder, named)
    if place is None:
        raise FileProblem(f'{file}: pantry "{named}" lies outside its folder; keep it below.')
    return Path(place)


def _added(before: str, entry: str, file: str) -> str:
    """The whole text of the file with one entry more; every entry of it is read and checked."""
    text = before if not before or before.endswith("\n") else f"{before}\n"
    text += f"\n{entry}" if text else entry
    house_entries(tables_of(text, file, "pantry"))
    return text


# ---- what an ingredient is made of ----

_STRENGTHS = {
    "abv": ("% vol", "strength by volume"),
    "brix": ("Bx", "dissolved solids by weight"),
    "fat": ("%", "fat by weight"),
    "assay": ("%", "pure acid by weight"),
    "tds": ("%", "dissolved solids by weight"),
}
_MOST_LISTED = 40


@click.command(
    cls=Command,
    name="pantry",
    help="One ingredient: what 100 g of it holds, allergens, strength, source. Without words, or "
    "with a part of a name, the names.\n\n\b\nExamples:\n  prepkit pantry lemon juice\n"
    '  prepkit pantry "cream 35 %"\n  prepkit pantry juice',
    short_help="Composition, allergens and source of an ingredient; or the names.",
)
@click.argument("words", nargs=-1)
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
@click.option("--new", is_flag=True, help="Make an entry of that name from a packet's label.")
@click.option("--label", metavar="WORDS", help="The label, of 100 g: energy, fat, carbohydrate, "
              "sugars, protein, salt, polyols, fibre.")  # fmt: skip
@click.option("--per-ml", is_flag=True, help="The label is of 100 ml.")
@click.option("--density", metavar="WORDS", help="Density of it, where you know it: 1.23 g/ml.")
@click.option("--strength", metavar="WORDS", help="Strength on the label, such as 17 % vol.")
@click.option("--allergens", metavar="WORDS", help="Allergens on the label, or none.")
@click.option("--keeps", metavar="WORD", help="How it keeps: dairy, egg, juice, fruit, herb, "
              "cooked, syrup, spirit, dry, or none.")  # fmt: skip
@click.option("--caffeine", metavar="WORDS", help="Caffeine in 100 g or 100 ml, such as 32 mg.")
@click.option("--add", is_flag=True, help="Write it into the pantry file of the house.")
@click.option("--group", metavar="WORD", help="Kind of ingredient, such as syrup.")
@click.option("--form", type=click.Choice(["liquid", "solid", "powder"]), help="Its form.")
def command(words: tuple[str, ...], as_json: bool, house: str | None, **said: Chosen) -> None:
    """An ingredient in full, or the names that hold the words."""

    asked = " ".join(" ".join(words).split())
    if said.pop("new"):
        new(asked, said, house)
        return
    told = next((key for key, value in said.items() if value), None)
    if told is not None:
        raise BadInput(f"--{told.replace('_', '-')} goes with --new.", told)
    said = looked_up(asked, registry.house_pantry(house))
    if as_json:
        import json

        put_exact(json.dumps(said, indent=2, ensure_ascii=False, allow_nan=False) + "\n")
    elif "refused" in said:
        put_text(_refused_text(said) + "\n")
    elif "ingredient" in said:
        put_text(ingredient_text(said))
    else:
        put_text(names_text(said, asked))


command.params.append(
    house_option("Folder of the house file, whose own ingredients are known too.")
)


def looked_up(asked: str, pantry: Pantry | None = None) -> Json:
    """What was asked for: an ingredient, a refused plant, or the names that hold the words.

    `pantry` is a house's; the package's where none is given. Raises UnknownIngredient with the
    nearest names.
    """
    from prepkit.errors import NamedHazard, UnknownIngredient
    from prepkit.pantry import Pantry
    from prepkit.shared import botanicals

    pantry = pantry or Pantry()
    if not asked:
        return _names(pantry, "")
    plant = botanicals.refused(asked)
    if plant is not None and not pantry.mentions(asked):  # elderberries: refused raw, listed
        return _refused(plant)
    try:
        return _ingredient(pantry, asked)
    except NamedHazard as error:
        return _refused(error.hazard)
    except UnknownIngredient:
        found = _names(pantry, asked.lower())
        if found["names"]:
            return found
        raise


def _refused(hazard: object) -> Json:
    from prepkit.jurisdictions import Refused

    assert isinstance(hazard, Refused)
    return {
        "refused": hazard.name, "why": hazard.reason, "unless": hazard.unless,
        "source": hazard.source,
    }  # fmt: skip


def _names(pantry: Pantry, part: str) -> Json:
    from prepkit.pantry import found

    rows: dict[str, list[str]] = {}
    listed = [
        *pantry.own_entries(),
        *(entry for path in blocks.names("pantry") for entry in blocks.blocks(path, "ingredient")),
    ]
    for entry in found(listed, part):
        rows.setdefault(entry["group"], []).append(entry["name"])
    return {"names": {group: sorted(found) for group, found in sorted(rows.items())}}


def _entry(pantry: Pantry, asked: str) -> tuple[Entry, bool]:
    """The entry of the words, and whether a strength follows its name."""
    from prepkit.errors import NamedHazard, UnknownIngredient

    words = asked.split()
    for count in range(len(words), max(len(words) - 4, 0), -1):
        try:
            return pantry.entry(" ".join(words[:count]), "pantry"), count < len(words)
        except NamedHazard:
            raise
        except UnknownIngredient:
            continue
    return pantry.entry(asked, "pantry"), False


def _ingredient(pantry: Pantry, asked: str) -> Json:
    from prepkit import derived

    entry, told = _entry(pantry, asked)
    kind = entry.get("strength")
    strength = None
    if kind:
        unit, meaning = _STRENGTHS[kind]
        low, high = entry.get("strength_range", (0.0, 100.0))
        strength = {
            "unit": unit, "meaning": meaning, "low": low, "high": high,
            "usual": entry.get("strength_default"),
        }  # fmt: skip
    said: Json = {
        "ingredient": entry["name"],
        "also": list(entry.get("also", ())),
        "group": entry["group"],
        "form": entry["form"],
        "strength": strength,
        "per_100_g": None,
        "per_litre": dict(entry.get("per_litre", {})) or None,
        "allergens": sorted(entry.get("allergens", ())),
        "tags": sorted(entry.get("hazards", ())),
        "keeps": entry.get("keeps"),
        "piece_g": entry.get("piece_g"),
        "note": entry.get("note", ""),
        "source": entry["source"],
        "obtained": entry["obtained"],
    }
    source = model.source_of(entry["source"])
    said["source_title"] = source.title if source else ""
    if kind and not told and entry.get("strength_default") is None:
        return said  # what it holds depends on a strength that was not told
    made = pantry.ingredient(asked, "pantry")
    said["ingredient"] = made.name
    said["per_100_g"] = {
        component: 100 * fraction
        for component, fraction in sorted(made.mixture.masses_kg.items(), key=lambda item: -item[1])
    }
    values, _ = derived.of(
        made.mixture, "density", "abv", "sugar", "dissolved_solids", "acidity", "ph"
    )
    if made.form != "liquid":
        values["density"] = None
    said["values"] = {key: value for key, value in values.items() if value is not None}
    return said


VALUE_WORDS = {
    "density": ("density at 20 °C", "kg/m3", 1),
    "abv": ("strength at 20 °C", "% vol", 2),
    "sugar": ("sugars", "% w/w", 2),
    "dissolved_solids": ("true dissolved solids", "% w/w", 2),
    "acidity": ("titratable acidity, as citric", "% w/w", 2),
    "ph": ("pH", "", 2),
}


def ingredient_text(said: Json) -> str:
    """An ingredient as text."""
    from prepkit.cautions import page_line
    from prepkit.render.text import grid

    out = [f"{said['ingredient']} ({said['group']}, {said['form']})"]
    if said["also"]:
        out.append(_fill(f"also: {', '.join(said['also'])}"))
    if said["note"]:
        out.append(_fill(said["note"]))
    out.append("")
    if said["per_100_g"] is None:
        out += [*_needs_strength(said), ""]
    else:
        rows = [
            (name.replace("_", " "), f"{grams:.3f}", "g")
            for name, grams in said["per_100_g"].items()
            if grams >= 0.0005
        ]
        out += ["In 100 g", grid(rows, right="lrl"), ""]
        shown = [
            (label, f"{said['values'][key]:.{digits}f}", unit)
            for key, (label, unit, digits) in VALUE_WORDS.items()
            if key in said["values"]
        ]
        out += ["Which makes", grid(shown, right="lrl"), ""] if shown else []
    facts = [
        ("allergens", ", ".join(said["allergens"]).replace(":", ": ") or "none listed here"),
        ("to mind", ", ".join(said["tags"]) or "nothing listed here"),
        ("keeps as", said["keeps"] or "no class"),
    ]
    if said["strength"] is not None and said["per_100_g"] is not None:
        facts.append(("strength", strength_words(said["strength"])))
    if said["piece_g"] is not None:
        facts.append(("one piece", f"{said['piece_g']:g} g"))
    title = f": {said['source_title']}" if said["source_title"] else ""
    facts.append(("source", f"{said['source']} [{said['obtained']}]{title}"))
    out += [_fill(f"{label}: {words}") for label, words in facts]
    out += ["", _fill(page_line("pantry"))]
    return "\n".join(out) + "\n"


def strength_words(strength: Mapping[str, object]) -> str:
    usual = f", {strength['usual']:g} if left out" if strength["usual"] is not None else ""
    return (
        f"{strength['meaning']}, {strength['low']:g} to {strength['high']:g} "
        f"{strength['unit']}{usual}"
    )


def _needs_strength(said: Json) -> list[str]:
    strength = said["strength"]
    middle = (strength["low"] + strength["high"]) / 2
    example = f"{said['ingredient']} {middle:.0f} {strength['unit']}"
    out = [
        _fill(f"Its composition depends on its strength: {strength_words(strength)}."),
        _fill(f'Ask for example: prepkit pantry "{example}"'),
    ]
    if said["per_litre"]:
        solids = ", ".join(f"{k.replace('_', ' ')} {v:g} g" for k, v in said["per_litre"].items())
        out.append(_fill(f"dissolved in a litre: {solids}"))
    return out


def names_text(said: Json, asked: str) -> str:
    """The names by group."""
    names = said["names"]
    count = sum(len(found) for found in names.values())
    head = f'{count} ingredients with "{asked}"' if asked else f"{count} ingredients"
    out = [head, ""]
    out += [_fill(f"{group}: {', '.join(found)}", "", "  ") for group, found in names.items()]
    return "\n".join(out) + "\n"


def _refused_text(said: Mapping[str, object]) -> str:
    unless = f" It changes only if {said['unless']}." if said["unless"] else ""
    return _fill(
        f"{said['refused']} is refused by every calculator: {said['why']}.{unless} "
        f"[{said['source']}]",
        "",
        "",
    )


def _fill(text: str, first: str = "  ", rest: str = "    ") -> str:
    return textwrap.fill(text, columns(), initial_indent=first, subsequent_indent=rest,
                         break_on_hyphens=False)  # fmt: skip
