"""A recipe as one form, its items the forms of their calculators; the form of a menu.

What was typed is compared with the recipe's file, and only what differs is changed in its text; so
comments, steps, vessels and whatever a form does not show stay as they are.

A menu says which recipes, how many of each drink, and what is made once for several.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as AnyResponse

from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.index import CALCULATORS
from prepkit.inputs import Spec
from prepkit.numbers import whole
from prepkit.page import forms, recipe_folder
from prepkit.page.recipe_folder import NEW, READ_ONLY, RecipeFolder, version_of
from prepkit.page.requests import NOT_PLANNED, Carried, desk
from prepkit.plan.check import Problem
from prepkit.plan.files import (
    MOST_SERVES,
    Add,
    AsText,
    Change,
    Set,
    TableDrop,
    changed,
    read_text,
    tables_of,
    value_words,
)
from prepkit.plan.items import VESSEL_INPUTS
from prepkit.plan.recipe_file import MOST_RECIPES, ItemTable

ITEM_OWN = frozenset(ItemTable.__annotations__)  # keys of an item that are no inputs
MOST_BITS = 40
TOO_MANY = f"It has more than {MOST_BITS} items, too many for a form. Change its text instead."
# what the file's own keys are told as, by a form
IN_FORM = {
    "serves": "Serves it is written for: write a whole number, such as 8.",
    "serve": "One serve: write the name of a drink and its parts.",
}
WAS = "was"  # marks what the file had when the form was opened
OWN = ("note", "loss", "vessel")  # of an item, whatever its calculator
_BIT = re.compile(r"i(\d{1,3})\.calculator")
_NUMBER = re.compile(r"[0-9][0-9.,]*")
_SERVE = re.compile(r"s(\d{1,3})\.(?:name|part)")

Args = MultiDict[str, str]


@dataclass
class Bit:
    """One item as it was typed: its id, its calculator, what stood in each field."""

    number: int
    id: str
    calculator: str
    args: Args
    new: bool = False
    drop: bool = False
    added: str = ""  # the field that a row was asked for
    problems: dict[str, str] = field(default_factory=dict)

    @property
    def prefix(self) -> str:
        """What the names of its fields begin with."""
        return f"i{self.number}."

    @property
    def words(self) -> dict[str, object]:
        """Its inputs in words, by their names."""
        specs = shown_inputs(self.calculator)
        said = forms.said(self.calculator, self.args)
        return {
            key: value if specs[key].kind in forms.MANY or isinstance(value, str) else value[-1]
            for key, value in said.items()
            if key in specs
        }

    def own(self, key: str) -> str:
        """What was typed of it that is no input."""
        return " ".join(self.args.get(f"own.{key}", "").split())

    @property
    def in_vessel(self) -> bool:
        """Whether it is made in a vessel of the house."""
        return set(forms.inputs(self.calculator)) >= VESSEL_INPUTS

    @property
    def summary(self) -> str:
        """Its parts in a few words."""
        said = [text for value in self.words.values() for text in _listed(value)]
        return ", ".join(said[:4]) + (" ..." if len(said) > 4 else "")

    def fields(self) -> list[forms.FormField]:
        """Those that are usually needed, and the others where something stands in them."""
        args = MultiDict(list(self.args.items(multi=True)))
        if self.added:
            args.add(forms.MORE, self.added)
        made = forms.form(self.calculator, args)
        specs = shown_inputs(self.calculator)
        wanted = [
            *made.main,
            *(
                form_field
                for form_field in made.more
                if form_field.filled or form_field.name in self.problems
            ),
        ]
        return [
            replace(
                form_field,
                name=self.prefix + form_field.name,
                problem=self.problems.get(form_field.name, ""),
            )
            for form_field in wanted
            if form_field.name in specs
        ]

    def others(self) -> list[tuple[str, str]]:
        """The settings that can be added, by name and label."""
        there = {form_field.name.removeprefix(self.prefix) for form_field in self.fields()}
        specs = shown_inputs(self.calculator)
        return [(key, spec.label) for key, spec in specs.items() if key not in there]


@dataclass
class PortionForm:
    """One kind of serve as it was typed."""

    number: int
    name: str
    parts: list[str]
    garnish: list[str]
    new: bool = False
    drop: bool = False
    problems: list[str] = field(default_factory=list)


@dataclass
class TypedForm:
    """The whole form as it was typed."""

    title: str
    serves: str
    note: str
    bits: list[Bit]
    portions: list[PortionForm]
    problems: list[str] = field(default_factory=list)

    @property
    def made(self) -> list[str]:
        """The ids that a part may name."""
        return [bit.id for bit in self.bits if bit.id and not bit.drop]


def shown_inputs(calculator: str) -> dict[str, Spec]:
    """The inputs of a calculator that stand in the form of a recipe."""
    return {key: spec for key, spec in forms.inputs(calculator).items() if key not in ITEM_OWN}


def _listed(value: object) -> list[str]:
    """A value of a file, or typed words, as the texts that stand in its rows."""
    if isinstance(value, list | tuple):
        return [str(one) for one in value]
    if isinstance(value, bool):
        return ["yes"] if value else []
    return [str(value)] if value not in (None, "") else []


# from a file


def of_file(tables: Mapping[str, object]) -> TypedForm:
    """The form of what a file holds; BadInput where a form cannot show it."""
    items, serves = tables.get("items"), tables.get("serve", [])
    if not isinstance(items, dict) or not isinstance(serves, list):
        raise AsText("This recipe has no items that a form could show. Change its text instead.")
    if len(items) > MOST_BITS or len(serves) > MOST_BITS:
        raise AsText(TOO_MANY)
    bits = []
    for number, (id_, table) in enumerate(items.items()):
        name = table.get("calculator") if isinstance(table, dict) else None
        if name not in CALCULATORS:
            raise AsText(f"{id_}: its calculator is not one of the list. Change its text instead.")
        pairs = [
            (key.replace("-", "_"), text)
            for key, value in table.items()
            if _shown(name, key, value)
            for text in _listed(value)
        ]
        pairs += [(f"own.{key}", str(table[key])) for key in OWN if isinstance(table.get(key), str)]
        bits.append(Bit(number, id_, name, MultiDict(pairs)))
    portions = [
        PortionForm(number, str(serve.get("name", "")), _listed(serve.get("part")),
                _listed(serve.get("garnish")))
        for number, serve in enumerate(serves) if isinstance(serve, dict)
    ]  # fmt: skip
    return TypedForm(
        str(tables.get("title", "")), str(tables.get("serves", "")), str(tables.get("note", "")),
        bits, portions,
    )  # fmt: skip


def _shown(calculator: str, key: str, value: object) -> bool:
    """Whether a value of a file stands in the form; the others are left as they are."""
    spec = shown_inputs(calculator).get(key.replace("-", "_"))
    if spec is None:
        return False
    if isinstance(value, list):
        return spec.kind in forms.MANY and all(isinstance(one, str) for one in value)
    return isinstance(value, str | int | float)


# from what was sent


def of_args(args: Args, known: Collection[str] = (), serves: int = 0) -> TypedForm:
    """The form as it was sent; the file has the items `known` and a number of `serves`.

    What was the file's own when the form was opened, and is so no more, is new: another has
    taken it out meanwhile.
    """
    numbers = sorted({int(m[1]) for key in args if (m := _BIT.fullmatch(key))})
    rows = sorted({int(m[1]) for key in args if (m := _SERVE.fullmatch(key))})
    if len(numbers) > MOST_BITS or len(rows) > MOST_BITS:
        raise BadInput(TOO_MANY)
    bits = []
    for number in numbers:
        prefix = f"i{number}."
        own = MultiDict(
            (key.removeprefix(prefix), value)
            for key, value in args.items(multi=True)
            if key.startswith(prefix)
        )
        name = own.get("calculator", "")
        if name not in CALCULATORS:
            raise BadInput(f'"{name[:40]}" is no work that an item could be.')
        more = own.get("other", "")
        if more in shown_inputs(name) and own.get("other-words", "").strip():
            own.add(more, own["other-words"])
        added, id_ = args.get(forms.MORE, ""), own.get("id", "").strip()[:60]
        bits.append(
            Bit(number, id_, name, own, WAS not in own or id_ not in known, "drop" in own,
                added.removeprefix(prefix) if added.startswith(prefix) else "")
        )  # fmt: skip
    portions = [
        PortionForm(
            number, " ".join(args.get(f"s{number}.name", "").split()),
            _rows(args, f"s{number}.part"), _rows(args, f"s{number}.garnish"),
            f"s{number}.{WAS}" not in args or number >= serves,
            f"s{number}.drop" in args,
        )
        for number in rows
    ]  # fmt: skip
    return TypedForm(
        " ".join(args.get("title", "").split()), args.get("serves", "").strip(),
        " ".join(args.get("note", "").split()), bits, portions,
    )  # fmt: skip


def _rows(args: Args, name: str) -> list[str]:
    """The lines of one or several fields."""
    return [
        " ".join(line.split()) for said in args.getlist(name) for line in said.splitlines()
        if line.strip()
    ]  # fmt: skip


def free_id(typed: TypedForm, calculator: str) -> str:
    """An id for a new item that no other has."""
    taken, number = {bit.id for bit in typed.bits}, 2
    name = f"my-{calculator}"
    while name in taken:
        name, number = f"my-{calculator}-{number}", number + 1
    return name


def add(
    typed: TypedForm, calculator: str, words: Mapping[str, object] | None = None, id_: str = ""
) -> None:
    """Put a new item at the end of the form."""
    number = 1 + max((bit.number for bit in typed.bits), default=-1)
    pairs = [(key, text) for key, value in (words or {}).items() for text in _listed(value)]
    typed.bits.append(
        Bit(number, id_ or free_id(typed, calculator), calculator, MultiDict(pairs), new=True)
    )


def query(
    name: str, words: Mapping[str, object], carried: Sequence[Carried]
) -> list[tuple[str, str]]:
    """An answer's calculation, and what was carried into it, as new items of an address."""
    found: list[tuple[str, str]] = []
    every = [(one.name, one.calculator, one.words) for one in carried]
    for number, (id_, calculator, said) in enumerate([*every, (f"my-{name}", name, words)], 900):
        found += [(f"i{number}.id", id_), (f"i{number}.calculator", calculator)]
        found += [
            (f"i{number}.{key}", text)
            for key, value in said.items() if key in shown_inputs(calculator)
            for text in _listed(value)
        ]  # fmt: skip
    return found


# to a file


def text_of(typed: TypedForm, text: str) -> str:
    """The text of the file with what was typed; AsText where it cannot be changed in place."""
    tables = tomllib.loads(text)
    return changed(text, list(_changes(typed, tables)))


def new_text(typed: TypedForm) -> str:
    """The text of a new recipe."""
    head = f"title = {value_words(typed.title)}\nserves = {value_words(_serves(typed))}\n"
    return text_of(typed, head)


def _serves(typed: TypedForm) -> int | str:
    found = whole(typed.serves, 1, MOST_SERVES)
    return typed.serves if found is None else found


def _changes(
    typed: TypedForm,
    tables: Mapping[str, Any],  # Any: what TOML tables hold
) -> Iterator[Change]:
    yield from _set((), "title", tables.get("title"), typed.title)
    yield from _set((), "serves", tables.get("serves"), _serves(typed))
    yield from _set((), "note", tables.get("note"), typed.note or None)
    items, serves = tables.get("items", {}), tables.get("serve", [])
    for bit in typed.bits:
        if not bit.new and not bit.drop:
            yield from _item(bit, items[bit.id])
    for portion in typed.portions:
        if not portion.new and not portion.drop:
            old, at = serves[portion.number], ("serve", portion.number)
            yield from _set(at, "name", old.get("name"), portion.name)
            yield from _set(at, "part", old.get("part"), portion.parts)
            yield from _set(at, "garnish", old.get("garnish"), portion.garnish or None)
    for portion in reversed(typed.portions):
        if portion.drop and not portion.new:
            yield TableDrop(("serve", portion.number))
    for bit in typed.bits:
        if bit.drop and not bit.new:
            yield TableDrop(("items", bit.id))
        elif bit.new and not bit.drop:
            if bit.id in items or not bit.id:
                raise BadInput(f'"{bit.id}" is the name of another item; write one of its own.')
            yield Add(("items", bit.id), False, _table(bit))
    for portion in typed.portions:
        if portion.new and not portion.drop and (portion.name or portion.parts):
            said = {"name": portion.name, "part": portion.parts, "garnish": portion.garnish}
            yield Add(("serve",), True, {key: value for key, value in said.items() if value})


def _set(table: tuple[str | int, ...], key: str, old: object, new: object) -> Iterator[Set]:
    """A change, where what was typed differs from what the file has."""
    if _listed(old) != _listed(new):
        yield Set(table, key, None if new in (None, "", []) else new)


def _item(bit: Bit, old: Mapping[str, object]) -> Iterator[Change]:
    keys = {key.replace("-", "_"): key for key in old}
    words, specs = bit.words, shown_inputs(bit.calculator)
    for name, spec in specs.items():
        key = keys.get(name, name)
        if key in old and not _shown(bit.calculator, key, old[key]):
            continue  # not in the form
        if name in words and _listed(old.get(key)) == _listed(words[name]):
            continue
        new = _value(spec, words[name]) if name in words else None
        yield from _set(("items", bit.id), key, old.get(key), new)
    for key in OWN:
        if key not in old or isinstance(old[key], str):
            yield from _set(("items", bit.id), key, old.get(key), bit.own(key) or None)


def _table(bit: Bit) -> dict[str, object]:
    """A new item as a table."""
    specs = shown_inputs(bit.calculator)
    said: dict[str, object] = {"calculator": bit.calculator}
    said |= {key: _value(specs[key], value) for key, value in bit.words.items()}
    return said | {key: bit.own(key) for key in OWN if bit.own(key)}


def _value(spec: Spec, words: object) -> object:
    """Typed words as a value of a file."""
    if isinstance(words, list):
        return words[0] if len(words) == 1 else words
    text = str(words)
    if spec.kind == "flag":
        return text.lower() in ("yes", "true")
    if spec.kind in ("count", "number"):
        if re.fullmatch(r"-?\d{1,9}", text):
            return int(text)
        if re.fullmatch(r"-?\d{1,9}\.\d{1,9}", text):
            return float(text)
    if spec.kind == "quantity" and spec.units and _NUMBER.fullmatch(text):
        return f"{text} {spec.units[0]}".strip()  # its field says the unit beside it
    return text


# what is wrong


def put_problems(typed: TypedForm, found: Sequence[tuple[str, Problem]]) -> None:
    """Put each problem of the text beside the field that it is about, the others on top."""
    by_id = {one.id: one for one in typed.bits}
    for file, problem in found:
        bit = by_id.get(problem.item or "")
        name = (problem.field or "").replace("-", "_")
        text = f"{problem.text[:1].upper()}{problem.text[1:]}"
        if bit is not None and (name in shown_inputs(bit.calculator) or name in OWN):
            bit.problems.setdefault(name, text)
            continue
        own = IN_FORM.get(problem.field or "") if problem.item is None else None
        if own is not None and (problem.field == "serve" or not typed.serves.isdecimal()):
            typed.problems.append(own)
            continue
        portion = _portion(typed, problem.item or "")
        if portion is not None:
            portion.problems.append(text)
            continue
        where = ", ".join(filter(None, (problem.item, problem.field)))
        line = f"{file}, " if problem.line is not None and not where else ""
        typed.problems.append(f"{line}{where}: {text}" if where else f"{line}{text}")


def _portion(typed: TypedForm, item: str) -> PortionForm | None:
    """The portion that a problem names by its name or its number."""
    here = [
        portion
        for portion in typed.portions
        if not portion.drop and (portion.name or portion.parts)
    ]
    called = re.fullmatch(r'serve "(.*)"', item)
    if called:
        return next((form for form in here if form.name == called[1]), None)
    number = re.fullmatch(r"serve (\d+)", item)
    place = int(number[1]) - 1 if number else -1
    return here[place] if 0 <= place < len(here) else None


# ---- the form of a menu ----

blueprint = Blueprint("menu", __name__)
Tables = Mapping[str, Any]  # Any: what TOML tables hold


@dataclass
class MenuDrink:
    """A drink of a recipe, and what the menu says of it."""

    name: str
    serves: str = ""
    price: str = ""


@dataclass
class RecipeRow:
    """A recipe that the menu has, or could have; `was` is its place in the file."""

    file: str
    title: str
    variants: Sequence[str] = ()
    items: Sequence[str] = ()
    drinks: list[MenuDrink] = field(default_factory=list)
    was: int | None = None
    on: bool = False
    variant: str = ""
    serves: str = ""
    own: str = ""  # items that are made for it alone


@dataclass
class Menu:
    """What the form of a menu holds."""

    title: str = ""
    note: str = ""
    serves: str = ""
    house: str = ""
    rows: list[RecipeRow] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)

    @property
    def shared(self) -> list[tuple[str, str]]:
        """The items that several recipes of the menu have by one name, with their recipes."""
        of: dict[str, list[str]] = {}
        for row in self.rows:
            for item in row.items if row.on else ():
                if item not in row.own.split():
                    of.setdefault(item, []).append(row.title)
        return [(item, " and ".join(titles)) for item, titles in of.items() if len(titles) > 1]


def is_menu(tables: Tables) -> bool:
    """Whether the tables of a file are those of a menu."""
    return "recipe" in tables and "items" not in tables


# from files and forms


def _available(book: RecipeFolder, folder: Path) -> list[RecipeRow]:
    """Every recipe beside the menu or below it."""
    found = []
    for entry in book.entries():
        path = book.path(entry.name)
        try:
            file = path.relative_to(folder).as_posix()
            tables = {} if entry.problem else tables_of(read_text(path), str(path))
        except (ValueError, PrepkitError):
            continue
        items = tables.get("items")
        if isinstance(items, dict):
            drinks = [table.get("name") for table in _tables(tables, "serve")]
            names = [
                MenuDrink(fromkey) for fromkey in dict.fromkeys(drinks) if isinstance(fromkey, str)
            ]
            found.append(RecipeRow(file, entry.title, entry.variants, tuple(items), names))
    return found[:MOST_RECIPES]


def _tables(tables: Tables, key: str) -> list[Tables]:
    """The tables of a list; none where it is something else, which the plan tells."""
    said = tables.get(key)
    return [one for one in said if isinstance(one, dict)] if isinstance(said, list) else []


def menu_of_file(tables: Tables, rows: list[RecipeRow]) -> Menu:
    """The form of a menu's tables; AsText where a form cannot show them."""
    known = {row.file: row for row in rows}
    menu = Menu(_words(tables.get("title")), _words(tables.get("note")),
                _words(tables.get("serves")))  # fmt: skip
    house = tables.get("house")
    menu.house = _words(house.get("file") if isinstance(house, dict) else house)
    _as_written(tables)
    said = {one.get("name"): one for one in tables.get("serve", [])}
    for place, one in enumerate(tables["recipe"]):
        if one.get("file") not in known:
            raise AsText(
                f"Recipe {place + 1} of the menu is not in this folder. Change its text instead."
            )
        of = known.pop(one["file"])
        of.was, of.on = place, True
        of.variant, of.serves = _words(one.get("variant")), _words(one.get("serves"))
        of.own = " ".join(map(str, one.get("own", ())))
        menu.rows.append(of)
    menu.rows += known.values()
    for row in menu.rows:
        for drink in row.drinks:
            told = said.get(drink.name, {})
            drink.serves, drink.price = _words(told.get("serves")), _words(told.get("price"))
    return menu


def _as_written(tables: Tables) -> None:
    """Raise AsText where a table is not what the form writes."""
    for key in ("recipe", "serve"):
        if _tables(tables, key) != tables.get(key, []):
            raise AsText(f"{key} is no list of tables. Change the text of the menu instead.")
    names = [one.get("file") for one in tables["recipe"]]
    names += [one.get("name") for one in tables.get("serve", [])]
    own = [one.get("own", []) for one in tables["recipe"]]
    if not all(isinstance(name, str) for name in names) or not all(
        isinstance(x, list) for x in own
    ):
        raise AsText("A name or a list of the menu is something else. Change its text instead.")


def _typed(menu: Menu) -> None:
    """Put what the form was sent with into a menu."""
    args = request.form
    menu.title, menu.note = _tidy(args.get("title")), _tidy(args.get("note"))
    menu.serves, menu.house = _tidy(args.get("serves")), _tidy(args.get("house"))
    for row in menu.rows:
        at = f"{row.file}:"
        row.on = f"{at}on" in args
        row.variant, row.serves = _tidy(args.get(f"{at}variant")), _tidy(args.get(f"{at}serves"))
        row.own = _tidy(args.get(f"{at}own")).replace(",", " ")
        for drink in row.drinks:  # by name: their order may have changed meanwhile
            drink.serves = _tidy(args.get(f"{at}{drink.name}.serves"))
            drink.price = _tidy(args.get(f"{at}{drink.name}.price"))


def _tidy(text: str | None) -> str:
    return " ".join((text or "").split())[:500]


def _words(value: object) -> str:
    return "" if value is None else str(value)


# to a file


def _whole(text: str) -> object:
    """A number of serves as a file has it; what is none stays as it was typed, to be told."""
    if not text:
        return None
    return int(text) if text.isdecimal() and len(text) <= len(str(MOST_SERVES)) else text


def _money(text: str) -> object:
    try:
        return float(text.replace(",", ".")) if text else None
    except ValueError:
        return text


def changes(menu: Menu, tables: Tables) -> Iterator[Change]:
    """What differs from a file, in an order in which the places of its tables hold."""
    heads = {"title": menu.title, "note": menu.note or None, "serves": _whole(menu.serves)}
    for key, value in heads.items():
        yield from _set_menu((), key, tables, value)
    house = tables.get("house")
    if isinstance(house, dict):
        yield from _set_menu(("house",), "file", house, menu.house or None)
    else:
        yield from _set_menu((), "house", tables, menu.house or None)
    recipes, serves = tables.get("recipe", []), tables.get("serve", [])
    for row in menu.rows:
        if row.on and row.was is not None:
            for key, value in _row(row).items():
                yield from _set_menu(("recipe", row.was), key, recipes[row.was], value)
    told = {drink.name: (row.on, drink) for row in menu.rows for drink in row.drinks}
    gone = []
    for place, serve in enumerate(serves):
        if serve.get("name") not in told:
            continue
        there, drink = told.pop(serve["name"])
        if not there or not (drink.serves or drink.price):
            gone.append(place)
            continue
        yield from _set_menu(("serve", place), "serves", serve, _whole(drink.serves))
        yield from _set_menu(("serve", place), "price", serve, _money(drink.price))
    yield from (TableDrop(("serve", place)) for place in reversed(gone))
    dropped = (row.was for row in menu.rows if row.was is not None and not row.on)
    yield from (TableDrop(("recipe", place)) for place in sorted(dropped, reverse=True))
    for row in menu.rows:
        if row.on and row.was is None:
            holds = {"file": row.file, **_row(row)}
            yield Add(("recipe",), True, {key: one for key, one in holds.items() if one})
    for there, drink in told.values():
        holds = {"name": drink.name, "serves": _whole(drink.serves), "price": _money(drink.price)}
        if there and (drink.serves or drink.price):
            yield Add(("serve",), True, {k: one for k, one in holds.items() if one is not None})


def _row(row: RecipeRow) -> dict[str, object]:
    return {
        "variant": row.variant or None, "serves": _whole(row.serves), "own": row.own.split() or None
    }  # fmt: skip


def _set_menu(table: tuple[str | int, ...], key: str, old: Tables, new: object) -> Iterator[Set]:
    if old.get(key) != new:
        yield Set(table, key, new)


# the addresses


@blueprint.get("/new-menu")
def new() -> str:
    """The form of a new menu."""
    return _page(None, Menu(rows=_available(desk().book, desk().book.folder)), NEW)


@blueprint.post("/new-menu")
def make() -> AnyResponse | tuple[str, int]:
    """Save a new menu, or show the form again."""
    book = desk().book
    menu = Menu(rows=_available(book, book.folder))
    return _sent(None, menu, "")


@blueprint.get("/<name>/menu")
def change(name: str) -> AnyResponse | str:
    """The form of a menu; its text where a form cannot show it."""
    text = desk().book.text(name)
    try:
        return _page(name, _opened(name, text), version_of(text))
    except (AsText, PrepkitError) as error:
        if isinstance(error, FileProblem):
            raise
        return redirect(url_for("recipes.text", name=name), 303)


@blueprint.post("/<name>/menu")
def save(name: str) -> AnyResponse | tuple[str, int]:
    """Save what was changed of a menu, or show the form again."""
    text = desk().book.text(name)
    return _sent(name, _opened(name, text), text)


def _opened(name: str, text: str) -> Menu:
    book, tables = desk().book, tables_of(text, name)
    if not is_menu(tables):
        raise AsText("This is no menu. Change its text instead.")
    return menu_of_file(tables, _available(book, book.path(name).parent))


def _sent(name: str | None, menu: Menu, text: str) -> AnyResponse | tuple[str, int]:
    book, seen, do = desk().book, request.form.get("seen", ""), request.form.get("do", "")
    _typed(menu)
    if do == "show":
        return _page(name, menu, seen), 200
    try:
        if not any(row.on for row in menu.rows):
            raise BadInput("The menu has no recipe. Put at least one on it.")
        head = text or f"title = {value_words(menu.title)}\n"
        made = changed(head, list(changes(menu, tomllib.loads(head))))
        found = recipe_folder.checked(book, name, menu.title, "menu", made)
    except PrepkitError as error:
        menu.problems.append(error.message)
        return _page(name, menu, seen), NOT_PLANNED
    for file, problem in book.problems(found):
        where = ", ".join(filter(None, (problem.item, problem.field)))
        menu.problems.append(
            f"{file}: {where}: {problem.text}" if where else f"{file}: {problem.text}"
        )
    if do == "live":
        return render_template("recipes/menu_live.html", menu=menu), 200
    if menu.problems or do != "save":
        told = "" if menu.problems else "No problem was found; nothing is saved yet."
        return _page(name, menu, seen, told), NOT_PLANNED if menu.problems else 200
    return _saved(name, menu, made, seen)


def _saved(name: str | None, menu: Menu, made: str, seen: str) -> AnyResponse | tuple[str, int]:
    """Write it; what stands in the way is told, and nothing that was typed is lost."""
    note = request.form.get("why", "")
    done = recipe_folder.keep(desk().book, name, menu.title, "menu", made, seen, note)
    if done.status != 303:
        menu.problems += done.problems
        return _page(done.name, menu, done.seen), done.status
    return redirect(url_for("recipes.view", name=done.name, saved="1"), 303)


def _page(name: str | None, menu: Menu, seen: str, told: str = "") -> str:
    action = (
        url_for("recipes.menu.make") if name is None else url_for("recipes.menu.save", name=name)
    )
    return render_template(
        "recipes/menu.html", name=name, menu=menu, seen=seen, told=told, action=action,
        sent=request.method == "POST", write=desk().book.write, read_only=READ_ONLY,
        why=request.form.get("why", ""),
    )  # fmt: skip
