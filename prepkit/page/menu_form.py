"""The form of a menu: which recipes, how many of each drink, what is made once for several.

Its text is changed in place (`plan.toml_edit`); what the form does not show stays as it is.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.page import recipe_folder
from prepkit.page.recipe_folder import NEW, READ_ONLY, RecipeFolder
from prepkit.page.sheets import NOT_PLANNED, desk
from prepkit.page.versions import version_of
from prepkit.plan.files import (
    MOST_SERVES,
    Add,
    AsText,
    Change,
    Drop,
    Set,
    changed,
    read_text,
    tables_of,
    value_words,
)
from prepkit.plan.recipe_file import MOST_RECIPES

blueprint = Blueprint("menu", __name__)
Tables = Mapping[str, Any]  # Any: what TOML tables hold


@dataclass
class Drink:
    """A drink of a recipe, and what the menu says of it."""

    name: str
    serves: str = ""
    price: str = ""


@dataclass
class Row:
    """A recipe that the menu has, or could have; `was` is its place in the file."""

    file: str
    title: str
    variants: Sequence[str] = ()
    items: Sequence[str] = ()
    drinks: list[Drink] = field(default_factory=list)
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
    rows: list[Row] = field(default_factory=list)
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


def _available(book: RecipeFolder, folder: Path) -> list[Row]:
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
            drinks = [one.get("name") for one in _tables(tables, "serve")]
            names = [Drink(one) for one in dict.fromkeys(drinks) if isinstance(one, str)]
            found.append(Row(file, entry.title, entry.variants, tuple(items), names))
    return found[:MOST_RECIPES]


def _tables(tables: Tables, key: str) -> list[Tables]:
    """The tables of a list; none where it is something else, which the plan tells."""
    said = tables.get(key)
    return [one for one in said if isinstance(one, dict)] if isinstance(said, list) else []


def of_file(tables: Tables, rows: list[Row]) -> Menu:
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
    if not all(isinstance(one, str) for one in names) or not all(isinstance(x, list) for x in own):
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
        yield from _set((), key, tables, value)
    house = tables.get("house")
    if isinstance(house, dict):
        yield from _set(("house",), "file", house, menu.house or None)
    else:
        yield from _set((), "house", tables, menu.house or None)
    recipes, serves = tables.get("recipe", []), tables.get("serve", [])
    for row in menu.rows:
        if row.on and row.was is not None:
            for key, value in _row(row).items():
                yield from _set(("recipe", row.was), key, recipes[row.was], value)
    told = {drink.name: (row.on, drink) for row in menu.rows for drink in row.drinks}
    gone = []
    for place, one in enumerate(serves):
        if one.get("name") not in told:
            continue
        there, drink = told.pop(one["name"])
        if not there or not (drink.serves or drink.price):
            gone.append(place)
            continue
        yield from _set(("serve", place), "serves", one, _whole(drink.serves))
        yield from _set(("serve", place), "price", one, _money(drink.price))
    yield from (Drop(("serve", place)) for place in reversed(gone))
    dropped = (row.was for row in menu.rows if row.was is not None and not row.on)
    yield from (Drop(("recipe", place)) for place in sorted(dropped, reverse=True))
    for row in menu.rows:
        if row.on and row.was is None:
            holds = {"file": row.file, **_row(row)}
            yield Add(("recipe",), True, {key: one for key, one in holds.items() if one})
    for there, drink in told.values():
        holds = {"name": drink.name, "serves": _whole(drink.serves), "price": _money(drink.price)}
        if there and (drink.serves or drink.price):
            yield Add(("serve",), True, {k: one for k, one in holds.items() if one is not None})


def _row(row: Row) -> dict[str, object]:
    return {
        "variant": row.variant or None, "serves": _whole(row.serves), "own": row.own.split() or None
    }  # fmt: skip


def _set(table: tuple[str | int, ...], key: str, old: Tables, new: object) -> Iterator[Set]:
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
    return of_file(tables, _available(book, book.path(name).parent))


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
    for file, one in book.problems(found):
        where = ", ".join(filter(None, (one.item, one.field)))
        menu.problems.append(f"{file}: {where}: {one.text}" if where else f"{file}: {one.text}")
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
