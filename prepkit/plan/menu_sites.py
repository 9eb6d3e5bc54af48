"""The sites of a production kitchen as its menu file names them, each with a menu and a house."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from prepkit import registry
from prepkit.errors import FileProblem
from prepkit.numbers import nearest
from prepkit.plan import recipe_types
from prepkit.plan.files import Enough, Named, Reader, Table, below, read_text, tables_of
from prepkit.plan.house import House, read_house
from prepkit.plan.menu import Read, Row, counted, merged, row_of
from prepkit.plan.recipe_file import MenuFile, MenuSite
from prepkit.plan.recipe_types import Recipe, Serve, Site


class _Said(NamedTuple):
    """The menu of a site as it was read: its recipes, and all of it in the site's own house."""

    rows: tuple[tuple[tuple[str, str | None], Row], ...]  # by file and variant
    recipe: Recipe


def kitchen_menu(tables: Table, reader: Reader, read: Read, house: Named | None = None) -> Recipe:
    """The recipes of all sites of a kitchen as one. Raises Wrong, or gathers where `reader` does.

    `read` reads the recipe that tables are.
    """
    if reader.variant is not None:
        raise reader.wrong((), "a menu names the variant at each of its [[recipe]].")
    for key in ("items", "recipe"):
        if key in tables:
            reader.tell(
                reader.wrong(
                    (key,), "a kitchen's sites have their own menus; name recipes there, not here."
                )
            )
    if reader.found:
        raise Enough
    menu = reader.model(MenuFile, tables)
    folder, given = Path(reader.file).parent, None if house is None else Path(house)
    base = reader.take(House(), read_house, reader, menu.house, folder, given)
    for number, one in enumerate(menu.serve):
        if one.serves is not None:
            reader.tell(
                reader.wrong(
                    ("serve", number, "serves"),
                    "each site has its own number; write it in the menu of the site.",
                )
            )
    if reader.found:
        raise Enough
    found = reader.take(None, _whole, reader, menu, base, read)
    priced = None if found is None else reader.take(None, counted, reader, found, menu)
    if priced is None or reader.found:
        raise Enough
    return priced


def _whole(reader: Reader, menu: MenuFile, base: House, read: Read) -> Recipe:
    """The recipes of all sites as one, in the kitchen's house, with the sites.

    Raises Wrong where a site is named twice or as the kitchen, or its menu cannot be.
    """
    known: dict[tuple[str, str], _Said] = {}
    names: dict[str, str] = {base.stock.site.casefold(): ""}
    said: list[tuple[MenuSite, _Said]] = []
    for number, one in enumerate(menu.site):
        where = ("site", number)
        if one.name.casefold() in names:
            what = names[one.name.casefold()] or "the kitchen itself"
            raise reader.wrong(
                (*where, "name"), f'"{one.name}" is {what}; give each site a name of its own.'
            )
        names[one.name.casefold()] = "another site already"
        key = (one.menu, one.house or "")
        if key not in known:
            known[key] = _read(reader, read, number, one)
        said.append((one, known[key]))
    rows: dict[tuple[str, str | None], Row] = {}
    vessels = set(base.vessels)
    for _, one_menu in said:
        for key_of, row in one_menu.rows:
            if key_of not in rows:
                rows[key_of] = _in_kitchen(row, base if menu.house is not None else None, vessels)
            rows[key_of] = rows[key_of]._replace(own=row.own | rows[key_of].own)
    whole = merged(list(rows.values()), reader.file, menu.title, base, note=menu.note)
    for number, one in enumerate(menu.site):
        if one.name in whole.items:  # who wants how much of an item is told by name
            raise reader.wrong(
                ("site", number, "name"),
                f'"{one.name}" is an item of the menus too; give the site a name of its own.',
            )
    uses = _uses(whole)
    by_name = {one.name: one for one in whole.serve}
    parts: dict[int, Recipe] = {}
    sites: list[Site] = []
    for number, (one, one_menu) in enumerate(said):
        if id(one_menu) not in parts:
            parts[id(one_menu)] = _own_part(whole, uses, by_name, one_menu.recipe)
        recipe = parts[id(one_menu)]
        counts = _counts(one, one_menu.recipe, menu.serves)
        for item in one.makes:
            if item not in recipe.items:
                raise reader.wrong(
                    ("site", number, "makes"),
                    f'the menu of {one.name} has no item "{item}"; {nearest(item, recipe.items)}.',
                )
        sites.append(Site(one.name, recipe, counts, frozenset(one.makes)))
    totals = {name: sum(one.counts.get(name, 0) for one in sites) for name in by_name}
    serve = tuple(one._replace(serves=totals[one.name]) for one in whole.serve)
    return whole._replace(
        serve=serve, serves=max(totals.values()), sites=tuple(sites),
        files=tuple(dict.fromkeys((*whole.files, *(one.recipe.file for one in sites)))),
    )  # fmt: skip


def _in_kitchen(row: Row, base: House | None, vessels: set[str]) -> Row:
    """A recipe as the kitchen makes it: where the kitchen has a house, no other says anything.

    Of vessels, in which nothing is made here, the first of each id is kept.
    """
    if base is None:
        return row
    new = {id_: one for id_, one in row.recipe.vessels.items() if id_ not in vessels}
    vessels.update(new)
    return row._replace(recipe=row.recipe._replace(house=House(), vessels=new))


def _read(reader: Reader, read: Read, number: int, one: MenuSite) -> _Said:
    """The menu of a site."""
    folder = Path(reader.file).parent
    paths: dict[str, str] = {}
    for key, name in (("menu", one.menu), ("house", one.house)):
        if name and below(folder, name) is None:
            raise reader.wrong(
                ("site", number, key),
                f'"{name}" lies outside the folder of this file. Put it there or below.',
            )
        paths[key] = str(folder / name) if name else ""
    file = paths["menu"]
    try:
        text = read_text(file)
    except FileProblem as error:
        raise reader.wrong(("site", number, "menu"), error.message) from error
    tables = tables_of(text, file)
    if "site" in tables:
        raise reader.wrong(
            ("site", number, "menu"), f'"{one.menu}" has sites of its own; name a menu or a recipe.'
        )
    inside = Reader(file, text, gather=reader.gather)
    try:
        recipe = read(tables, inside, house=paths["house"] or None)
        return _Said(tuple(_rows(inside, read, tables, paths["house"] or None)), recipe)
    finally:
        reader.found += inside.found


def _rows(
    reader: Reader, read: Read, tables: Table, house: str | None
) -> Iterable[tuple[tuple[str, str | None], Row]]:
    """The recipes of a menu, or the one that it is, as they are written."""
    if "recipe" not in tables:
        yield (str(Path(reader.file).resolve()), None), Row(read(tables, reader, house=house))
        return
    for number, one in enumerate(reader.model(MenuFile, tables).recipe):
        path = str((Path(reader.file).parent / one.file).resolve())
        yield (path, one.variant), row_of(reader, read, number, one, house)._replace(serves=None)


def _uses(recipe: Recipe) -> dict[str, tuple[str, ...]]:
    specs = {
        name: registry.load(name).inputs.specs()
        for name in {item.calculator for item in recipe.items.values()}
    }
    return {
        id_: recipe_types.references(item, specs[item.calculator], recipe.items)
        for id_, item in recipe.items.items()
    }


def _own_part(
    whole: Recipe, uses: Mapping[str, Sequence[str]], by_name: Mapping[str, Serve], menu: Recipe
) -> Recipe:
    """What a site's drinks are made of, by the kitchen's names, in the site's house.

    With all that stands in its recipes, so that their checks are looked at too.
    """
    serve = tuple(by_name[one.name]._replace(price=one.price) for one in menu.serve)
    left = [
        id_ for one in serve for words in (*one.part, *one.garnish)
        if (id_ := recipe_types.item_of(words, whole.items)) is not None
    ]  # fmt: skip
    files = {str(Path(name).resolve()) for name in menu.files or (menu.file,)}
    left += [id_ for id_, one in whole.items.items() if str(Path(one.file).resolve()) in files]
    found: set[str] = set()
    while left:
        id_ = left.pop()
        if id_ not in found:
            found.add(id_)
            left += uses[id_]
    items = {id_: one for id_, one in whole.items.items() if id_ in found}
    vessels = {**whole.vessels, **menu.vessels}
    return menu._replace(items=items, serve=serve, vessels=vessels)


def _counts(one: MenuSite, menu: Recipe, serves: int | None) -> dict[str, int]:
    """How many of each drink at a site: as it says, else as its menu says."""
    said = one.serves if one.serves is not None else serves
    return menu.counts(said)
