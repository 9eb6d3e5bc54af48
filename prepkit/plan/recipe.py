"""A recipe file: TOML to a checked Recipe. Every error is one sentence with file, item and field.

Checked here is what needs no calculator: the shape of the file, the names that it uses, its limits.
The words of each item are read by its calculator when the plan is made.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from prepkit import grammar
from prepkit.near import nearest
from prepkit.plan.fields import MOST_SERVES, Reader, Table, Wrong
from prepkit.plan.files import MOST_BYTES, read_text, tables_of
from prepkit.plan.house import House, PackPrice, Vessel, prices_of, read_house, vessels_of
from prepkit.plan.variant import applied
from prepkit.units import Measured

if TYPE_CHECKING:
    from prepkit.plan.recipe_file import ItemTable, ServeTable, StepTable

__all__ = ["MOST_BYTES", "MOST_SERVES", "load_recipe", "read_recipe"]


class Task(NamedTuple):
    """One step of making an item, in minutes; `before` is its least rest, `within` its most."""

    text: str
    takes: float = 0.0
    hands_on: float = 0.0
    before: float = 0.0  # done at least so long before what comes next
    within: float | None = None  # and at most so long
    each_vessel: bool = False  # its times hold for one vessel and are taken once for each


class Item(NamedTuple):
    """One preparation: its calculator and that calculator's inputs, as words."""

    id: str
    calculator: str
    inputs: Mapping[str, object]
    vessel: str | None = None
    loss: float = 0.0  # share of what is made that is lost on the way
    least: Measured | None = None  # g or ml, below which it is not worth making
    check: bool = False  # looked at and judged, not made
    note: str = ""
    steps: tuple[Task, ...] = ()
    title: str = ""  # as a person calls it, for labels

    @property
    def called(self) -> str:
        """Its title; without one its id as words, such as "Flower cordial"."""
        words = " ".join(re.split(r"[-_ ]+", self.id)).strip() or self.id
        return self.title or words[:1].upper() + words[1:]


class Serve(NamedTuple):
    """One kind of portion: what goes into a single one."""

    name: str
    part: tuple[str, ...]
    garnish: tuple[str, ...] = ()  # bought and declared, but not counted as part of the liquid
    note: str = ""


class Recipe(NamedTuple):
    """A recipe file, read and checked, with the house that it is made in."""

    file: str
    title: str
    serves: int
    items: Mapping[str, Item]
    serve: tuple[Serve, ...]
    vessels: Mapping[str, Vessel]
    house: House
    note: str = ""
    prices: tuple[PackPrice, ...] = ()  # its own, before those of the house
    variant: str | None = None

    def wrong(self, where: str, sentence: str) -> Wrong:
        """An error of this recipe, with the file and the place in it."""
        return Wrong(self.file, where, sentence)


def load_recipe(
    path: str | Path, *, house: str | Path | None = None, variant: str | None = None
) -> Recipe:
    """The recipe of a file; FileProblem where it cannot be read, BadRecipe where it is wrong.

    `house` names the folder that the house file is read from instead of the recipe's own.
    """
    return read_recipe(read_text(path), str(path), house=house, variant=variant)


def read_recipe(
    text: str,
    file: str = "recipe",
    *,
    house: str | Path | None = None,
    variant: str | None = None,
) -> Recipe:
    """The recipe that a text is; `file` is the name that errors speak of."""
    reader = Reader(file, text, variant=variant)
    return recipe_of(tables_of(text, file), reader, house=house)


def recipe_of(tables: Table, reader: Reader, *, house: str | Path | None = None) -> Recipe:
    """The recipe that the tables of a file are, in the variant of its reader."""
    from prepkit.plan.recipe_file import RecipeFile

    said = reader.model(RecipeFile, applied(reader, tables, reader.variant))
    given = None if house is None else Path(house)
    file = reader.file
    place = reader.take(House(), read_house, reader, said.house, Path(file).parent, given)
    items = _items(reader, said.items)
    vessels = {**place.vessels, **vessels_of(file, said.vessels)}
    for item in items.values():
        if item.vessel not in (None, *vessels) and "vessel_register" not in item.inputs:
            hint = nearest(str(item.vessel), vessels) or "the recipe has no [vessels]"
            reader.tell(
                reader.wrong(("items", item.id, "vessel"), f'no vessel "{item.vessel}"; {hint}.')
            )
    return Recipe(
        file,
        said.title,
        said.serves,
        items,
        _serves(reader, said.serve),
        vessels,
        place,
        said.note,
        prices_of(file, said.price),
        reader.variant,
    )


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
        id_, said.calculator, said.others, said.vessel, said.loss, said.least, said.check,
        said.note, tuple(_step(one) for one in said.step if one.text), said.title,
    )  # fmt: skip


def _step(said: StepTable) -> Task:
    hands_on = said.takes if said.hands_on is None else said.hands_on
    return Task(said.text, said.takes, hands_on, said.before, said.within, said.each != "")


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
            found[said.name] = Serve(said.name, _apart(said.part), _apart(said.garnish), said.note)
    return tuple(found.values())


def _apart(words: tuple[str, ...]) -> tuple[str, ...]:
    """Each amount on its own, where several stand in one text."""
    return tuple(one for said in words for one in grammar.split(said))
