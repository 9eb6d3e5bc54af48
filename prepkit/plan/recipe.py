"""A recipe file and its variants to a checked Recipe.

    [variant.alcohol-free.items.my-base]
    part = ["500 ml brewed black tea", "500 g cold brew coffee"]

A key that a variant gives an item replaces that key; a variant that names another calculator
replaces the whole item. Its [[variant.NAME.serve]] replace all serves.

Every error is one sentence with file, item and field.

Checked here is what needs no calculator: the shape of the file, the names that it uses, its limits.
The words of each item are read by its calculator when the plan is made.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from prepkit import grammar
from prepkit.files import shown
from prepkit.numbers import nearest
from prepkit.plan.files import MOST_BYTES, MOST_SERVES, Named, Reader, Table, read_text, tables_of
from prepkit.plan.house import House, prices_of, read_house, vessels_of
from prepkit.plan.recipe_types import Item, Recipe, RecipeStep, Serve
from prepkit.plan.routine import routines_of

if TYPE_CHECKING:
    from prepkit.plan.recipe_file import ItemTable, ServeTable, StepTable

__all__ = [
    "MOST_BYTES",
    "MOST_SERVES",
    "Item",
    "Recipe",
    "RecipeStep",
    "Serve",
    "load_menu",
    "load_recipe",
    "read_recipe",
]


# ---- variants of a recipe ----

_WHOLE = ("title", "serves", "note", "serve")


def applied(reader: Reader, said: Table, name: str | None) -> Table:
    """The tables of a file as one variant has them (None: as they stand)."""
    if name is None:
        return said
    found = said.get("variant")
    if not isinstance(found, dict) or name not in found:
        hint = nearest(name, found) if isinstance(found, dict) else ""
        raise reader.wrong(
            ("variant",),
            f'there is no variant "{name}"; {hint or "this recipe has none"}.',
        )
    table = found[name]
    if not isinstance(table, dict):  # the model of the file says so
        return said
    whole = {**said, **{key: table[key] for key in _WHOLE if key in table}}
    if "title" not in table and isinstance(said.get("title"), str):
        whole["title"] = f"{said['title']} ({name})"
    if "items" in table:
        whole["items"] = reader.take(
            said.get("items"), _variant_items, reader, name, said, table["items"]
        )
    return whole


def _variant_items(reader: Reader, name: str, said: Table, changes: object) -> object:
    where = ("variant", name, "items")
    items = said.get("items")
    if not isinstance(changes, dict) or not isinstance(items, dict):
        raise reader.wrong(where, f"it is {shown(changes)}; write [variant.{name}.items.my-base].")
    merged: dict[str, object] = dict(items)
    for id_, table in changes.items():
        if not isinstance(table, dict):
            raise reader.wrong((*where, id_), f"it is {shown(table)}; it must be a table.")
        old = items.get(id_, {})
        new = not isinstance(old, dict) or "calculator" in table
        merged[id_] = table if new else {**old, **table}
    return merged


# ---- a recipe file ----


def load_recipe(path: Named, *, house: Named | None = None, variant: str | None = None) -> Recipe:
    """The recipe of a file; FileProblem where it cannot be read, BadRecipe where it is wrong.

    `house` names the folder that the house file is read from instead of the recipe's own.
    """
    return read_recipe(read_text(path), str(path), house=house, variant=variant)


def read_recipe(
    text: str,
    file: str = "recipe",
    *,
    house: Named | None = None,
    variant: str | None = None,
) -> Recipe:
    """The recipe that a text is; `file` is the name that errors speak of."""
    reader = Reader(file, text, variant=variant)
    return recipe_of(tables_of(text, file), reader, house=house)


def recipe_of(tables: Table, reader: Reader, *, house: Named | None = None) -> Recipe:
    """The recipe that the tables of a file are, in the variant of its reader.

    Those of a menu, or of a kitchen's sites, are all its recipes in one.
    """
    from prepkit.plan.recipe_file import RecipeFile

    if "site" in tables:
        from prepkit.plan.menu_sites import kitchen_menu

        return kitchen_menu(tables, reader, recipe_of, house)
    if "recipe" in tables:
        from prepkit.plan.menu import menu_of

        return menu_of(tables, reader, recipe_of, house)

    said = reader.model(RecipeFile, applied(reader, tables, reader.variant))
    file = reader.file
    place = reader.take(House(), read_house, reader, said.house, os.path.dirname(file), house)
    items = _items(reader, said.items)
    vessels = {**place.vessels, **vessels_of(file, said.vessels)}
    for item in items.values():
        if item.vessel not in (None, *vessels) and "vessel_register" not in item.inputs:
            hint = nearest(str(item.vessel), vessels) or "the recipe has no [vessels]"
            reader.tell(
                reader.wrong(("items", item.id, "vessel"), f'no vessel "{item.vessel}"; {hint}.')
            )
    serves = _serves(reader, said.serve)
    return Recipe(
        file,
        said.title,
        said.serves,
        items,
        serves,
        vessels,
        place,
        said.note,
        prices_of(file, said.price),
        reader.variant,
        routines=routines_of(reader, said.routine, [one.name for one in serves]),
        texts={**place.texts, file: reader.text},
    )


def load_menu(paths: Sequence[str], *, house: Named | None = None) -> Recipe:
    """Several recipe files, or menus, as one recipe; FileProblem or BadRecipe otherwise."""
    from prepkit.plan.menu import menu_of_files

    return menu_of_files([load_recipe(path, house=house) for path in paths])


# the parts of the file


def _items(reader: Reader, tables: Mapping[str, ItemTable]) -> dict[str, Item]:
    found = {}
    alike: dict[str, str] = {}
    for id_, said in tables.items():
        other = alike.setdefault(id_.casefold().replace("_", "-"), id_)
        if other != id_:
            reader.tell(
                reader.wrong(
                    ("items", id_),
                    f'"{id_}" and "{other}" read as one id on the sheet. Give each of the items '
                    f"an id of its own.",
                )
            )
        if said.calculator:  # what was refused has been told
            found[id_] = _item(id_, said)
    return found


def _item(id_: str, said: ItemTable) -> Item:
    return Item(
        id_, said.calculator, said.others, said.vessel, float(said.loss), said.least, said.check,
        said.note, tuple(_step(one) for one in said.step if one.text), said.title,
        loss_off=getattr(said.loss, "plus_minus", None) or 0.0,
    )  # fmt: skip


def _step(said: StepTable) -> RecipeStep:
    hands_on = said.takes if said.hands_on is None else said.hands_on
    return RecipeStep(said.text, said.takes, hands_on, said.before, said.within, said.each != "")


def _serves(reader: Reader, rows: tuple[ServeTable, ...]) -> tuple[Serve, ...]:
    found: dict[str, Serve] = {}
    for number, said in enumerate(rows):
        if said.name in found:
            reader.tell(
                reader.wrong(
                    ("serve", number, "name"),
                    f'"{said.name}" is taken; give each serve its own name.',
                )
            )
        elif said.name and said.part:  # what was refused has been told
            found[said.name] = Serve(
                said.name,
                _apart(said.part),
                _apart(said.garnish),
                said.note,
                said.serves,
                said.price,
            )
    return tuple(found.values())


def _apart(words: tuple[str, ...]) -> tuple[str, ...]:
    """Each amount on its own, where several stand in one text."""
    return tuple(one for said in words for one in grammar.split(said))
