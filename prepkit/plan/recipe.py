"""A recipe file: TOML to a checked Recipe. Every error is one sentence with file, item and field.

Checked here is what needs no calculator: the shape of the file, the names that it uses, its limits.
The words of each item are read by its calculator when the plan is made.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from prepkit import grammar
from prepkit.errors import BadInput
from prepkit.file_values import shown
from prepkit.index import CALCULATORS
from prepkit.near import nearest
from prepkit.plan.fields import (
    MOST_SERVES,
    NO_ROWS,
    NO_TABLES,
    Reader,
    Table,
    Wrong,
    whole_serves,
)
from prepkit.plan.files import MOST_BYTES, read_text, tables_of
from prepkit.plan.house import House, PackPrice, Vessel, read_house, read_prices, read_vessel
from prepkit.plan.variant import applied
from prepkit.units import Measured

__all__ = ["MOST_BYTES", "MOST_SERVES", "load_recipe", "read_recipe"]
MOST_ITEMS = 1000
MOST_SERVE_KINDS = 1000  # a menu of a large house; the size of a file bounds it too
MOST_STEPS = 50  # of one item
MOST_LOSS = 90.0  # per cent
MOST_MINUTES = 60 * 24 * 60.0  # of one step

TOP = ("title", "serves", "note", "house", "vessels", "items", "serve", "price")
ITEM_OWN = ("calculator", "title", "vessel", "loss", "least", "check", "note", "step")
SERVE_OWN = ("name", "part", "garnish", "note")
STEP_KEYS = ("text", "takes", "hands_on", "before", "within", "each")


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
    return recipe_of(tables_of(text, file), Reader(file), house=house, variant=variant)


def recipe_of(
    tables: Table,
    reader: Reader,
    *,
    house: str | Path | None = None,
    variant: str | None = None,
) -> Recipe:
    """The recipe that the tables of a file are."""
    file = reader.file
    said = applied(reader, tables, variant)
    reader.only("", said, (*TOP, "variant"))
    given = None if house is None else Path(house)
    place = reader.take(House(), read_house, reader, said.get("house"), Path(file).parent, given)
    items = _items(reader, said)
    vessels = dict(place.vessels)
    for id_, table in reader.take(
        NO_TABLES, reader.tables, "vessels", said.get("vessels", {})
    ).items():
        vessels[id_] = read_vessel(reader, id_, table)
    for item in items.values():
        reader.take(None, _vessel_known, reader, item, vessels)
    return Recipe(
        file,
        reader.take("", reader.text, "title", said.get("title"), "Tonight"),
        reader.take(1, _whole, reader, said),
        items,
        _serves(reader, said.get("serve")),
        vessels,
        place,
        reader.note("", said),
        read_prices(reader, said.get("price")),
        variant,
    )


# the parts of the file


def _whole(reader: Reader, said: Table) -> int:
    if "serves" not in said:
        raise reader.wrong("serves", "it is missing; write how many serves, such as serves = 8.")
    if isinstance(said["serves"], str):
        raise reader.wrong("serves", "it is in quotes; write a bare number, such as serves = 8.")
    try:
        return whole_serves(said["serves"], "it")
    except BadInput as error:
        raise reader.wrong("serves", error.message) from error


def _vessel_known(reader: Reader, item: Item, vessels: Mapping[str, Vessel]) -> None:
    if item.vessel not in (None, *vessels) and "vessel_register" not in item.inputs:
        hint = nearest(str(item.vessel), vessels) or "the recipe has no [vessels]"
        raise reader.wrong(f"items.{item.id}.vessel", f'no vessel "{item.vessel}"; {hint}.')


def _items(reader: Reader, said: Table) -> dict[str, Item]:
    tables = reader.take(
        NO_TABLES, reader.tables, "items", said.get("items"), required=True, most=MOST_ITEMS
    )
    found = {}
    alike: dict[str, str] = {}
    for id_, table in tables.items():
        other = alike.setdefault(id_.casefold().replace("_", "-"), id_)
        if other != id_:
            reader.take(None, _too_alike, reader, id_, other)
        item = reader.take(None, _item, reader, id_, table)
        if item is not None:
            found[id_] = item
    return found


def _too_alike(reader: Reader, id_: str, other: str) -> None:
    raise reader.wrong(
        f"items.{id_}",
        f'"{id_}" and "{other}" read as one id on the sheet. Give each of the items an '
        f"id of its own.",
    )


def _item(reader: Reader, id_: str, table: Table) -> Item:
    where = f"items.{id_}"
    calculator = reader.text(f"{where}.calculator", table.get("calculator"), "blend")
    if calculator not in CALCULATORS:
        raise reader.wrong(
            f"{where}.calculator",
            f'no calculator "{calculator}"; {nearest(calculator, CALCULATORS)}.',
        )
    vessel = None
    if "vessel" in table:
        vessel = reader.take(None, reader.text, f"{where}.vessel", table["vessel"], "north")
    return Item(
        id_,
        calculator,
        reader.inputs(where, table, ITEM_OWN),
        vessel,
        reader.take(0.0, _loss, reader, f"{where}.loss", table.get("loss")),
        reader.take(None, _least, reader, f"{where}.least", table.get("least")),
        reader.take(False, reader.flag, f"{where}.check", table.get("check", False)),
        reader.note(where, table),
        reader.take((), _steps, reader, where, table.get("step")),
        reader.take("", reader.text, f"{where}.title", table.get("title", ""), "", needed=False),
    )


def _loss(reader: Reader, where: str, value: object) -> float:
    """A loss as a fraction of what is made."""
    if value is None:
        return 0.0
    if not isinstance(value, str):
        raise reader.wrong(where, f'it is {shown(value)}; write a per cent, such as loss = "3 %".')
    percent = reader.quantity(where, value, "%")
    if not 0 <= percent <= MOST_LOSS:
        raise reader.wrong(where, f"it is {percent:g} %; it must be from 0 to {MOST_LOSS:g} %.")
    return percent / 100


def _least(reader: Reader, where: str, value: object) -> Measured | None:
    """The smallest batch worth making."""
    if value is None:
        return None
    if not isinstance(value, str):
        raise reader.wrong(
            where, f'it is {shown(value)}; write an amount, such as least = "100 ml".'
        )
    least = reader.quantity(where, value, "g", "ml")
    if not least > 0:
        raise reader.wrong(where, f"it is {least.words()}; it must be more than nothing.")
    return least


def _steps(reader: Reader, where: str, value: object) -> tuple[Task, ...]:
    """The [[items.ID.step]] of an item, in the order in which they are done."""
    if value is None:
        return ()
    rows = reader.rows(f"{where}.step", value, f"[[{where}.step]]", MOST_STEPS)
    found = []
    for number, row in enumerate(rows, 1):
        task = reader.take(None, _step, reader, f"{where}.step {number}", row)
        if task is not None:
            found.append(task)
    return tuple(found)


def _step(reader: Reader, where: str, row: Table) -> Task:
    tidy = {key.replace("-", "_"): value for key, value in row.items()}
    reader.only(where, tidy, STEP_KEYS)
    text = reader.text(f"{where}.text", tidy.get("text"), "Strain through a cloth")
    minutes = {
        key: reader.take(None, _minutes, reader, f"{where}.{key}", tidy[key])
        for key in ("takes", "hands_on", "before", "within")
        if key in tidy
    }
    each = "each" in tidy and reader.words_in(f"{where}.each", tidy["each"], ("vessel",)) != ""
    takes = minutes.get("takes") or 0.0
    hands_on, before = minutes.get("hands_on"), minutes.get("before") or 0.0
    within = minutes.get("within")
    if hands_on is not None and hands_on > takes:
        raise reader.wrong(
            f"{where}.hands_on",
            f"it is {hands_on:g} min, longer than the {takes:g} min that the step takes; correct "
            f"takes or hands_on.",
        )
    if within is not None and within < before:
        raise reader.wrong(
            f"{where}.within",
            f"it is {within:g} min, shorter than before = {before:g} min. The first is the longest "
            f"and the second the shortest wait.",
        )
    return Task(text, takes, takes if hands_on is None else hands_on, before, within, each)


def _minutes(reader: Reader, where: str, value: object) -> float:
    minutes = float(reader.quantity(where, value, "min"))
    if not 0 <= minutes <= MOST_MINUTES:
        raise reader.wrong(
            where, f"it is {minutes:g} min; it must be from 0 to {MOST_MINUTES / 1440:g} d."
        )
    return minutes


def _serves(reader: Reader, value: object) -> tuple[Serve, ...]:
    if value is None or value == []:
        return reader.take((), _no_serve, reader)
    rows = reader.take(
        NO_ROWS,
        reader.rows,
        "serve",
        value,
        "[[serve]], once for each kind of drink",
        MOST_SERVE_KINDS,
    )
    found: list[Serve] = []
    for number, table in enumerate(rows, 1):
        serve = reader.take(None, _serve, reader, f"serve {number}", table, found)
        if serve is not None:
            found.append(serve)
    return tuple(found)


def _no_serve(reader: Reader) -> tuple[Serve, ...]:
    raise reader.wrong(
        "serve", 'there is none; write [[serve]] with its name and part = ["90 ml my-base"].'
    )


def _apart(words: tuple[str, ...]) -> tuple[str, ...]:
    """Each amount on its own, where several stand in one text."""
    return tuple(one for said in words for one in grammar.split(said))


def _serve(reader: Reader, where: str, table: Table, before: list[Serve]) -> Serve:
    reader.only(where, table, SERVE_OWN)
    name = reader.text(f"{where}.name", table.get("name"), "Night Tide")
    if name in {one.name for one in before}:
        raise reader.wrong(f"{where}.name", f'"{name}" is taken; give each serve its own name.')
    part = table.get("part")
    if part is None or part == []:
        raise reader.wrong(
            f"{where}.part",
            'it uses nothing; write what goes into one, such as part = ["90 ml my-base"].',
        )
    return Serve(
        name,
        _apart(reader.listing(f"{where}.part", part)),
        _apart(reader.take((), reader.listing, f"{where}.garnish", table.get("garnish", []))),
        reader.note(where, table),
    )
