"""Several recipes as one: items made once, and their one house; menus of a kitchen's sites.

Two recipes share an item where it has the same id and the same definition in both, or the same
definition under two ids. The same id with another definition is refused with what differs, unless
the menu says that it is that recipe's own; it then gets an id of its own, and so does what is made
from it. So does an item that a variant of the same file changes.

The menu file of a production kitchen names its sites, each with a menu and a house.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple, Protocol, TypeVar

from prepkit import registry
from prepkit.errors import FileProblem
from prepkit.numbers import nearest
from prepkit.pantry import Pantry
from prepkit.plan import recipe_types
from prepkit.plan.files import Enough, Named, Reader, Table, Wrong, below, read_text, tables_of
from prepkit.plan.house import House, HouseVessel, read_house
from prepkit.plan.house_file import HouseStock
from prepkit.plan.recipe_file import MenuFile, MenuRecipe, MenuSite
from prepkit.plan.recipe_types import Item, Recipe, Serve, Site
from prepkit.plan.routine import routines_of
from prepkit.units import Measured, Measures

# ---- the one house that the recipes of a menu are made in ----

T = TypeVar("T")
_ONE = "a menu is made in one house"


class _Said(NamedTuple):
    """What one file says of the house."""

    file: str
    house: House


def one_house(
    file: str, base: House, recipes: Sequence[Recipe]
) -> tuple[House, dict[str, HouseVessel]]:
    """The house of a menu and all vessels. `base` is the menu's own, which its facts win from.

    Raises Wrong where two recipes, or a recipe and the house of the menu, say different things.
    """
    every = [_Said(file, base), *(_Said(recipe.file, recipe.house) for recipe in recipes)]
    facts: dict[str, object] = {}
    said_in: dict[str, str] = {}
    for key in dict.fromkeys(key for house_file in every for key in house_file.house.facts):
        told = [
            (house_file.house.said_in.get(key, house_file.file), house_file.house.facts[key])
            for house_file in every
            if key in house_file.house.facts
        ]
        own = [fact for where, fact in told if where == file]
        facts[key] = own[0] if own else _same(f"house.{key}", told)
        said_in[key] = file if own else told[0][0]
    prices = {
        (p.ingredient, p.pack, p.cost): p for house_file in every for p in house_file.house.prices
    }
    measures = _measures(file, every)
    house = House(
        facts,
        _bench(base, every),
        {},
        tuple(prices.values()),
        _word(
            file, "currency", [(house_file.file, house_file.house.currency) for house_file in every]
        )
        or "",
        _word(file, "units", [(house_file.file, house_file.house.units) for house_file in every]),
        _hands(base, every),
        _pantry(every).with_measures(measures),
        tuple(dict.fromkeys(name for house_file in every for name in house_file.house.files)),
        said_in,
        measures,
        _once(
            "working hours",
            base.hours,
            None,
            [(house_file.file, house_file.house.hours) for house_file in every],
        ),
        _once(
            "stock",
            base.stock,
            HouseStock(),
            [(house_file.file, house_file.house.stock) for house_file in every],
        ),
        _once(
            "tax", base.tax, None, [(house_file.file, house_file.house.tax) for house_file in every]
        ),
        sure=_once(
            "sure",
            base.sure,
            None,
            [(house_file.file, house_file.house.sure) for house_file in every],
        ),
    )
    return house, _vessels(base, recipes)


def _same(where: str, told: Sequence[tuple[str, object]]) -> object:
    """What all say alike; Wrong with the two that differ first."""
    first_file, first = told[0]
    for other_file, other in told[1:]:
        if _tidy_house(other) != _tidy_house(first):
            key = where.rpartition(".")[2]
            raise Wrong(
                other_file, where,
                f"it is {_shown(other)}, and {_shown(first)} in {first_file}: {_ONE}. Write {key} "
                f"once, under [house] of a menu file.",
            )  # fmt: skip
    return first


def _tidy_house(fact: object) -> str:
    return " ".join(str(fact).split()).casefold()


def _shown(fact: object) -> str:
    return f'"{fact}"' if isinstance(fact, str) else f"{fact}"


def _bench(base: House, every: Sequence[_Said]) -> dict[str, Measured]:
    """The instruments: those of the menu's house, and of the others what it does not tell."""
    found = dict(base.bench)
    for key in dict.fromkeys(
        key for house_file in every for key in house_file.house.bench if key not in found
    ):
        told = [
            (house_file.file, house_file.house.bench[key])
            for house_file in every
            if key in house_file.house.bench
        ]
        _same(f"house.bench.{key}", [(where, value.words()) for where, value in told])
        found[key] = told[0][1]
    return found


def _word(file: str, key: str, told: Sequence[tuple[str, str | None]]) -> str | None:
    """A word of the house that is said once, or alike; the menu's own wins."""
    said = [(where, word) for where, word in told if word]
    if not said or said[0][0] == file:
        return said[0][1] if said else None
    return str(_same(f"house.{key}", said))


def _hands(base: House, every: Sequence[_Said]) -> int:
    """How many people work; one is what a file has that says nothing."""
    if base.hands != 1 or base.files:
        return base.hands
    said = [
        (house_file.file, house_file.house.hands)
        for house_file in every
        if house_file.house.hands != 1
    ]
    found = _same("house.hands", said) if said else 1
    assert isinstance(found, int)
    return found


def _once(what: str, own: T, none: T, told: Sequence[tuple[str, T]]) -> T:
    """What only one house file says, or all alike; that of the menu's own house wins."""
    if own != none:
        return own
    said = [(where, element) for where, element in told if element != none]
    for where, element in said[1:]:
        if element != said[0][1]:
            raise Wrong(where, "house", f"it has other {what} than {said[0][0]}: {_ONE}.")
    return said[0][1] if said else none


def _measures(file: str, every: Sequence[_Said]) -> Measures:
    """What a cup, a shot or a bottle is: alike in all that tell it."""
    found, first = Measures(), file
    for house_file in every:
        measures = house_file.house.measures
        for name, mine, other in _told(found, measures):
            if mine != other:
                raise Wrong(
                    house_file.file, f"house.{name}",
                    f"it is {other}, and {mine} in {first}: {_ONE}. Write it alike in both.",
                )  # fmt: skip
        if measures != Measures():
            found, first = found.over(measures), house_file.file
    return found


def _told(mine: Measures, other: Measures) -> Iterator[tuple[str, object, object]]:
    """What both tell, one by one."""
    if mine.system and other.system:
        yield "measures", mine.system, other.system
    if mine.case_bottles is not None and other.case_bottles is not None:
        yield "sizes.case", mine.case_bottles, other.case_bottles
    for of, also in ((mine.sizes_ml, other.sizes_ml), (mine.bottles_ml, other.bottles_ml)):
        for name in of.keys() & also.keys():
            yield f"sizes.{name}", f"{of[name]:g} ml", f"{also[name]:g} ml"


def _pantry(every: Sequence[_Said]) -> Pantry:
    """The one pantry with the house's own ingredients; Wrong where there are two."""
    found: dict[Path, tuple[str, Pantry]] = {}
    for house_file in every:
        for name in house_file.house.files[1:]:  # a house file, and the pantry that it names
            found.setdefault(Path(name).resolve(), (name, house_file.house.pantry))
    if len(found) > 1:
        (first, _), (second, _) = list(found.values())[:2]
        raise Wrong(
            second, "", f"it is another pantry than {first}: {_ONE}. Put all of it in one file."
        )
    return next((pantry for _, pantry in found.values()), Pantry())


def _vessels(base: House, recipes: Sequence[Recipe]) -> dict[str, HouseVessel]:
    """All vessels by id; Wrong where an id is two different ones."""
    found: dict[str, HouseVessel] = dict(base.vessels)
    for recipe in recipes:
        for id_, vessel in recipe.vessels.items():
            known = found.setdefault(id_, vessel)
            if known.facts == vessel.facts and known.count == vessel.count:
                continue
            key, one, other = next(_unlike(known, vessel))
            raise recipe.wrong_in(
                vessel.file or recipe.file, f"vessels.{id_}.{key}",
                f"it is {other}, and {one} in {known.file}. Give another vessel another id, or "
                f"write the same plate in both.",
            )  # fmt: skip
    return found


def _unlike(one: HouseVessel, other: HouseVessel) -> Iterator[tuple[str, str, str]]:
    both: tuple[Mapping[str, object], Mapping[str, object]] = (
        {**one.facts, "count": one.count}, {**other.facts, "count": other.count},
    )  # fmt: skip
    for key in dict.fromkeys((*both[0], *both[1])):
        mine, others = (_shown(of[key]) if of.get(key) is not None else "left out" for of in both)
        if mine != others:
            yield key, mine, others


# ---- a menu ----

MOST_MENU_ITEMS = 10_000
REGISTER = "vessel_register"  # the input that names a file


class Read(Protocol):
    """Reads the recipe that the tables of a file are."""

    def __call__(self, tables: Table, reader: Reader, *, house: Named | None = None) -> Recipe: ...


class MenuRow(NamedTuple):
    """A recipe of a menu, and what the menu says of it."""

    recipe: Recipe
    own: frozenset[str] = frozenset()
    serves: int | None = None


def menu_of(tables: Table, reader: Reader, read: Read, house: Named | None = None) -> Recipe:
    """The recipes of a menu file as one recipe. Raises Wrong, or gathers where `reader` does.

    `read` reads the recipe that tables are.
    """
    if reader.variant is not None:
        raise reader.wrong((), "a menu names the variant at each of its [[recipe]].")
    if "items" in tables:
        raise reader.wrong(
            ("items",), "a menu names recipes and has no items of its own; keep them in a recipe."
        )
    menu = reader.model(MenuFile, tables)
    folder, given = Path(reader.file).parent, None if house is None else Path(house)
    base = reader.take(House(), read_house, reader, menu.house, folder, given)
    rows = [
        reader.take(None, row_of, reader, read, number, recipe, house)
        for number, recipe in enumerate(menu.recipe)
        if recipe.file
    ]
    if reader.found:
        raise Enough
    found = reader.take(
        None, merged, [row for row in rows if row is not None], reader.file, menu.title, base,
        note=menu.note, serves=menu.serves,
    )  # fmt: skip
    whole = None if found is None else reader.take(None, counted, reader, found, menu)
    if whole is None:
        raise Enough
    return whole


def menu_of_files(recipes: Sequence[Recipe]) -> Recipe:
    """Several recipes, or menus, as one recipe, as they stand on a command line."""
    for recipe in recipes:
        if recipe.sites:
            raise recipe.wrong(
                "", "it has sites of its own, and is planned alone; leave the other files out."
            )
    title = ", ".join(dict.fromkeys(recipe.title for recipe in recipes))
    return merged(
        [MenuRow(recipe) for recipe in recipes],
        ", ".join(recipe.file for recipe in recipes),
        title,
        House(),
    )


def row_of(
    reader: Reader, read: Read, number: int, menu_recipe: MenuRecipe, house: Named | None
) -> MenuRow:
    """One recipe of a menu. Raises Wrong where it cannot be read or is a menu itself."""
    where = ("recipe", number, "file")
    path = below(Path(reader.file).parent, menu_recipe.file)
    if path is None:
        raise reader.wrong(
            where,
            f'"{menu_recipe.file}" lies outside the folder of the menu. Put it there or below.',
        )
    file = str(Path(reader.file).parent / menu_recipe.file)
    try:
        text = read_text(file)
    except FileProblem as error:
        raise reader.wrong(where, error.message) from error
    tables = tables_of(text, file)
    if "recipe" in tables:
        raise reader.wrong(where, f'"{menu_recipe.file}" is a menu itself; name its recipes here.')
    inside = Reader(file, text, variant=menu_recipe.variant, gather=reader.gather)
    try:
        recipe = read(tables, inside, house=house)
    finally:
        reader.found += inside.found
    for id_ in menu_recipe.own:
        if id_ not in recipe.items:
            raise reader.wrong(
                ("recipe", number, "own"),
                f'{menu_recipe.file} has no item "{id_}"; {nearest(id_, recipe.items)}.',
            )
    return MenuRow(recipe, frozenset(menu_recipe.own), menu_recipe.serves)


def merged(
    rows: Sequence[MenuRow], file: str, title: str, base: House, *, note: str = "",
    serves: int | None = None,
) -> Recipe:  # fmt: skip
    """Recipes as one, in their order. Raises Wrong with the first thing in which they differ."""
    recipes = [menu_row.recipe for menu_row in rows]
    _each_once(file, recipes)
    house, vessels = one_house(file, base, recipes)
    items: dict[str, Item] = {}
    drinks: dict[str, Serve] = {}
    known = _Known()
    names: dict[str, str] = {}  # of drinks, by how they read
    for row in rows:
        ids = known.placed(row, items)
        if len(items) > MOST_MENU_ITEMS:
            raise Wrong(file, "", f"a menu has at most {MOST_MENU_ITEMS} items, and this has more.")
        counts = row.recipe.counts()
        for serve in row.recipe.serve:
            _drink_once(serve.name, drinks, names, row.recipe)
            drinks[serve.name] = serve._replace(
                part=_renamed_all(serve.part, ids),
                garnish=_renamed_all(serve.garnish, ids),
                serves=row.serves or serves or counts[serve.name],
                file=serve.file or row.recipe.file,
            )
    prices = dict.fromkeys(
        (p.ingredient, p.pack, p.cost) for recipe in recipes for p in recipe.prices
    )
    every = {
        (p.ingredient, p.pack, p.cost): p for recipe in recipes for p in reversed(recipe.prices)
    }
    notes = [f"{recipe.title}: {recipe.note}" for recipe in recipes if recipe.note]
    return Recipe(
        file,
        title,
        max(drink.serves or 1 for drink in drinks.values()),
        items,
        tuple(drinks.values()),
        vessels,
        house,
        "\n\n".join(filter(None, (note, *notes))),
        tuple(every[price] for price in prices),
        routines=tuple(own for recipe in recipes for own in recipe.routines),
        files=tuple(
            dict.fromkeys(name for recipe in recipes for name in recipe.files or (recipe.file,))
        ),
    )


def _each_once(file: str, recipes: Iterable[Recipe]) -> None:
    seen: dict[tuple[str, str | None], str] = {}
    for recipe in recipes:
        for name in recipe.files or (recipe.file,):  # those of a menu are in it already
            key = (str(Path(name).resolve()), recipe.variant)
            if key in seen:
                of = f" with its variant {recipe.variant}" if recipe.variant else ""
                raise Wrong(
                    file, "",
                    f"{name}{of} is in the menu twice; name it once, with the number of serves.",
                )  # fmt: skip
            seen[key] = name


def _drink_once(
    name: str, drinks: Mapping[str, Serve], names: dict[str, str], recipe: Recipe
) -> None:
    known = names.setdefault(name.casefold(), name)
    if known in drinks:
        raise recipe.wrong_in(
            recipe.file, f'serve "{name}".name',
            f'"{known}" of {drinks[known].file} has the same name. Give each drink of a menu '
            f"its own.",
        )  # fmt: skip


# items


class _Known:
    """The items of a menu so far, by what they are and by how their ids read."""

    def __init__(self) -> None:
        self.by_definition: dict[object, str] = {}
        self.alike: dict[str, str] = {}

    def placed(self, row: MenuRow, items: dict[str, Item]) -> Mapping[str, str]:
        """Put the items of a recipe among those of the menu; their ids there where they differ."""
        recipe = row.recipe
        specs = {
            name: registry.load(name).inputs.specs()
            for name in {item.calculator for item in recipe.items.values()}
        }
        uses = {
            id_: recipe_types.references(item, specs[item.calculator], recipe.items)
            for id_, item in recipe.items.items()
        }
        ids: dict[str, str] = {}  # in the menu, where it is another
        definitions: dict[object, str] = {}
        for id_ in recipe_types.making_order(recipe, uses):
            written = recipe.items[id_]
            item = written = written._replace(file=written.file or recipe.file)
            moved = [text for text in uses[id_] if text in ids]
            if moved:
                item = item._replace(inputs=_inputs_renamed(item.inputs, ids, moved))
            key = _definition(item)
            if id_ not in row.own:
                if id_ in items and _definition(items[id_]) == key:
                    continue
                if id_ in items:
                    _refuse_another(recipe, items[id_], written)
                elif key in self.by_definition:
                    ids[id_] = self.by_definition[key]
                    continue
            if id_ in items or id_ in row.own:
                ids[id_] = _new_id(id_, recipe, {*items, *recipe.items})
            else:
                definitions.setdefault(key, id_)
            name = ids.get(id_, id_)
            _refuse_alike(recipe, id_, self.alike.setdefault(_reads(name), name), name)
            items[name] = item._replace(id=name)
        self.by_definition |= definitions
        return ids


def _reads(id_: str) -> str:
    return id_.casefold().replace("_", "-")


def _refuse_alike(recipe: Recipe, id_: str, known: str, name: str) -> None:
    if known != name:
        raise recipe.wrong(
            f"items.{id_}",
            f'"{id_}" and "{known}" of another recipe read as one id on the sheet. Write both '
            f"alike, or give one another id.",
        )


def _refuse_another(recipe: Recipe, first: Item, item: Item) -> None:
    """Refuse an item that another recipe has otherwise under the same id.

    Not where one of them is a variant's of the same file, nor where they are written alike and
    only what they are made from differs: it then gets an id of its own.
    """
    if first.file != recipe.file and _definition(first) != _definition(item):
        raise _differ(recipe, first, item)


def _definition(item: Item) -> object:
    """What an item is, whatever it is called."""
    inputs = tuple(sorted((name, _tidy(value)) for name, value in item.inputs.items()))
    least = None if item.least is None else (float(item.least), item.least.unit)
    loss = (item.loss, item.loss_off)
    return (item.calculator, inputs, _register(item), item.vessel, loss, least, item.check,
            item.note, item.steps)  # fmt: skip


def _register(item: Item) -> str:
    """The register that its vessel stands in: one name is another file in another folder."""
    name = item.inputs.get(REGISTER)
    return "" if name is None else str(Path(item.file).parent.resolve() / str(name))


def _tidy(value: object) -> str:
    """A value of a recipe as text; spaces do not matter, and one word is as a list of it."""
    found = value if isinstance(value, list) else [value]
    return repr([" ".join(one.split()) if isinstance(one, str) else one for one in found])


def _differ(recipe: Recipe, first: Item, item: Item) -> Wrong:
    """The first thing in which two items of one id differ, with both."""
    name, one, other = next(_differences(first, item))
    return recipe.wrong(
        f"items.{item.id}.{name}",
        f"it is {other}, and {one} in {first.file}. Write both alike, or give one another id.",
    )


def _differences(first: Item, item: Item) -> Iterator[tuple[str, str, str]]:
    said, also = ({**one.inputs} for one in (first, item))
    if first.calculator != item.calculator:
        yield "calculator", first.calculator, item.calculator
    for name in dict.fromkeys((*said, *also)):
        if name not in said or name not in also or _tidy(said[name]) != _tidy(also[name]):
            yield name, _said(said.get(name)), _said(also.get(name))
    if _register(first) != _register(item):
        yield REGISTER, _said(_register(first)), _said(_register(item))
    for name, one, other in (
        ("vessel", first.vessel, item.vessel),
        ("loss", _loss(first), _loss(item)),
        ("least", first.least, item.least), ("check", first.check, item.check),
        ("note", first.note, item.note),
    ):  # fmt: skip
        if one != other:
            yield name, _said(one), _said(other)
    yield "step", f"{len(first.steps)} other steps", f"{len(item.steps)} steps"


def _loss(item: Item) -> str:
    off = f" ± {100 * item.loss_off:g} %" if item.loss_off else ""
    return f"{100 * item.loss:g} %{off}"


def _said(value: object) -> str:
    if value is None or value == "":
        return "left out"
    words = value.words() if hasattr(value, "words") else value
    many = words if isinstance(words, list) else [words]
    return ", ".join(f'"{one}"' if isinstance(one, str) else f"{one}" for one in many)[:120]


def _new_id(id_: str, recipe: Recipe, taken: Collection[str]) -> str:
    """An id that nothing has: with the variant or the recipe's file, and a number if need be."""
    stem = "-".join(re.findall(r"[A-Za-z0-9]+", recipe.variant or Path(recipe.file).stem))
    found, number = f"{id_}-{stem or 'own'}", 2
    while found in taken:
        found, number = f"{id_}-{stem}-{number}", number + 1
    return found


def _inputs_renamed(
    inputs: Mapping[str, object], ids: Mapping[str, str], moved: Iterable[str]
) -> Mapping[str, object]:
    """Inputs with the items that moved by their ids of the menu."""
    names = {text: ids[text] for text in moved}

    def renamed(value: object) -> object:
        if isinstance(value, str):
            return _renamed(value, names)
        return [renamed(one) for one in value] if isinstance(value, list) else value

    return {name: renamed(value) for name, value in inputs.items()}


def _renamed(words: str, ids: Mapping[str, str]) -> str:
    """Words with the ids of a recipe as those of the menu.

    >>> _renamed("3 g base, 2 g base-2", {"base": "base-b"})
    '3 g base-b, 2 g base-2'
    """
    if not any(id_ in words for id_ in ids):
        return words
    every = "|".join(sorted(map(re.escape, ids), key=len, reverse=True))
    return re.sub(rf"(?<![\w-])(?:{every})(?![\w-])", lambda match: ids[match[0]], words)


def _renamed_all(words_of: tuple[str, ...], ids: Mapping[str, str]) -> tuple[str, ...]:
    """Words of a serve with the items that they name by their ids of the menu."""
    found = []
    for words in words_of:
        id_ = recipe_types.item_of(words, ids) if ids else None
        found.append(words if id_ is None else _renamed(words, {id_: ids[id_]}))
    return tuple(found)


# how many of each drink


def counted(reader: Reader, recipe: Recipe, menu: MenuFile) -> Recipe:
    """The drinks with what the menu itself says of each."""
    names = {one.name: place for place, one in enumerate(recipe.serve)}
    serve = list(recipe.serve)
    seen: set[str] = set()
    for number, one in enumerate(menu.serve):
        if one.name not in names:
            raise reader.wrong(
                ("serve", number, "name"),
                f'no recipe of the menu has a drink "{one.name}"; {nearest(one.name, names)}.',
            )
        if one.name in seen:
            raise reader.wrong(("serve", number, "name"), f'"{one.name}" is written twice.')
        seen.add(one.name)
        place = names[one.name]
        if one.serves is not None:
            serve[place] = serve[place]._replace(serves=one.serves)
        if one.price is not None:
            serve[place] = serve[place]._replace(price=one.price)
    known = recipe.routines
    own = routines_of(reader, menu.routine, list(names), [routine.name for routine in known])
    return recipe._replace(
        serve=tuple(serve),
        serves=max(one.serves or 1 for one in serve),
        routines=(*known, *own),
    )


# ---- the sites of a production kitchen, each with a menu and a house ----


class _SiteSaid(NamedTuple):
    """The menu of a site as it was read: its recipes, and all of it in the site's own house."""

    rows: tuple[tuple[tuple[str, str | None], MenuRow], ...]  # by file and variant
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
    for number, serve in enumerate(menu.serve):
        if serve.serves is not None:
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
    known: dict[tuple[str, str], _SiteSaid] = {}
    names: dict[str, str] = {base.stock.site.casefold(): ""}
    said: list[tuple[MenuSite, _SiteSaid]] = []
    for number, site in enumerate(menu.site):
        where = ("site", number)
        if site.name.casefold() in names:
            what = names[site.name.casefold()] or "the kitchen itself"
            raise reader.wrong(
                (*where, "name"), f'"{site.name}" is {what}; give each site a name of its own.'
            )
        names[site.name.casefold()] = "another site already"
        key = (site.menu, site.house or "")
        if key not in known:
            known[key] = _read(reader, read, number, site)
        said.append((site, known[key]))
    rows: dict[tuple[str, str | None], MenuRow] = {}
    vessels = set(base.vessels)
    for _, one_menu in said:
        for key_of, row in one_menu.rows:
            if key_of not in rows:
                rows[key_of] = _in_kitchen(row, base if menu.house is not None else None, vessels)
            rows[key_of] = rows[key_of]._replace(own=row.own | rows[key_of].own)
    whole = merged(list(rows.values()), reader.file, menu.title, base, note=menu.note)
    for number, site in enumerate(menu.site):
        if site.name in whole.items:  # who wants how much of an item is told by name
            raise reader.wrong(
                ("site", number, "name"),
                f'"{site.name}" is an item of the menus too; give the site a name of its own.',
            )
    uses = _uses(whole)
    by_name = {one.name: one for one in whole.serve}
    parts: dict[int, Recipe] = {}
    sites: list[Site] = []
    for number, (site, one_menu) in enumerate(said):
        if id(one_menu) not in parts:
            parts[id(one_menu)] = _own_part(whole, uses, by_name, one_menu.recipe)
        recipe = parts[id(one_menu)]
        counts = _counts(site, one_menu.recipe, menu.serves)
        for item in site.makes:
            if item not in recipe.items:
                raise reader.wrong(
                    ("site", number, "makes"),
                    f'the menu of {site.name} has no item "{item}"; {nearest(item, recipe.items)}.',
                )
        sites.append(Site(site.name, recipe, counts, frozenset(site.makes)))
    totals = {name: sum(site.counts.get(name, 0) for site in sites) for name in by_name}
    serve = tuple(one._replace(serves=totals[one.name]) for one in whole.serve)
    return whole._replace(
        serve=serve, serves=max(totals.values()), sites=tuple(sites),
        files=tuple(dict.fromkeys((*whole.files, *(site.recipe.file for site in sites)))),
    )  # fmt: skip


def _in_kitchen(row: MenuRow, base: House | None, vessels: set[str]) -> MenuRow:
    """A recipe as the kitchen makes it: where the kitchen has a house, no other says anything.

    Of vessels, in which nothing is made here, the first of each id is kept.
    """
    if base is None:
        return row
    new = {id_: vessel for id_, vessel in row.recipe.vessels.items() if id_ not in vessels}
    vessels.update(new)
    return row._replace(recipe=row.recipe._replace(house=House(), vessels=new))


def _read(reader: Reader, read: Read, number: int, site: MenuSite) -> _SiteSaid:
    """The menu of a site."""
    folder = Path(reader.file).parent
    paths: dict[str, str] = {}
    for key, name in (("menu", site.menu), ("house", site.house)):
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
            ("site", number, "menu"),
            f'"{site.menu}" has sites of its own; name a menu or a recipe.',
        )
    inside = Reader(file, text, gather=reader.gather)
    try:
        recipe = read(tables, inside, house=paths["house"] or None)
        return _SiteSaid(tuple(_rows(inside, read, tables, paths["house"] or None)), recipe)
    finally:
        reader.found += inside.found


def _rows(
    reader: Reader, read: Read, tables: Table, house: str | None
) -> Iterable[tuple[tuple[str, str | None], MenuRow]]:
    """The recipes of a menu, or the one that it is, as they are written."""
    if "recipe" not in tables:
        yield (str(Path(reader.file).resolve()), None), MenuRow(read(tables, reader, house=house))
        return
    for number, recipe in enumerate(reader.model(MenuFile, tables).recipe):
        path = str((Path(reader.file).parent / recipe.file).resolve())
        yield (
            (path, recipe.variant),
            row_of(reader, read, number, recipe, house)._replace(serves=None),
        )


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
    left += [id_ for id_, item in whole.items.items() if str(Path(item.file).resolve()) in files]
    found: set[str] = set()
    while left:
        id_ = left.pop()
        if id_ not in found:
            found.add(id_)
            left += uses[id_]
    items = {id_: item for id_, item in whole.items.items() if id_ in found}
    vessels = {**whole.vessels, **menu.vessels}
    return menu._replace(items=items, serve=serve, vessels=vessels)


def _counts(site: MenuSite, menu: Recipe, serves: int | None) -> dict[str, int]:
    """How many of each drink at a site: as it says, else as its menu says."""
    said = site.serves if site.serves is not None else serves
    return menu.counts(said)
