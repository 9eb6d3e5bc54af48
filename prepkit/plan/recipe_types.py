"""What a recipe is once it is read, the order of its items, how many serves are said."""

import heapq
import re
from collections.abc import Collection, Mapping
from typing import NamedTuple

from prepkit import files, ingredient
from prepkit.errors import BadInput, later, named, one_line
from prepkit.inputs import Spec
from prepkit.numbers import nearest, parse_number
from prepkit.plan.files import MOST_SERVES, Wrong, whole_serves
from prepkit.plan.house import House, HouseVessel, PackPrice
from prepkit.units import Measured, without_amount

# ---- what a recipe is once it is read ----


class RecipeStep(NamedTuple):
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
    steps: tuple[RecipeStep, ...] = ()
    title: str = ""  # as a person calls it, for labels
    file: str = ""  # of a menu: the recipe that it is from
    loss_off: float = 0.0  # how far the loss may be off, the ± that the recipe says

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
    serves: int | None = None  # its own number, where it has one
    price: float | None = None  # that one is sold at
    file: str = ""  # of a menu: the recipe that it is from


class RoutineStep(NamedTuple):
    """One step of a routine, in seconds; its ± is None where nobody has timed it."""

    text: str
    takes: Measured
    drinks: tuple[str, ...]
    hands: int = 1  # pairs of hands that it keeps busy
    each: bool = False  # once for each glass, and not once for all
    pour: bool = False  # at its end the drink is in its glass
    beside: bool = False  # it may run beside the step before it


class RoutineDrink(NamedTuple):
    """One drink of a routine; `window` holds the inputs of window, none where nothing is wanted."""

    name: str
    serves: int
    sips: Measured  # s from the first sip to the last
    window: Mapping[str, object]


class Routine(NamedTuple):
    """Steps in seconds that make some drinks at once."""

    name: str
    hands: int  # pairs of hands
    clock: Measured | None  # s that there are
    drinks: tuple[RoutineDrink, ...]
    steps: tuple[RoutineStep, ...]
    file: str
    number: int  # its place in that file, from 1


class Site(NamedTuple):
    """A bar that a kitchen makes for: its drinks in its own house, and how many of each.

    `makes` are the items that it makes itself.
    """

    name: str
    recipe: "Recipe"
    counts: Mapping[str, int]
    makes: frozenset[str] = frozenset()


class Recipe(NamedTuple):
    """A recipe file, read and checked, with the house that it is made in."""

    file: str
    title: str
    serves: int
    items: Mapping[str, Item]
    serve: tuple[Serve, ...]
    vessels: Mapping[str, HouseVessel]
    house: House
    note: str = ""
    prices: tuple[PackPrice, ...] = ()  # its own, before those of the house
    variant: str | None = None
    files: tuple[str, ...] = ()  # of a menu: the recipes that it is made of
    routines: tuple[Routine, ...] = ()
    texts: Mapping[str, str] = {}  # of its file and those of its house; none of a menu
    sites: tuple[Site, ...] = ()  # of a kitchen: those that it makes for

    def wrong(self, where: str, sentence: str) -> Wrong:
        """An error of this recipe, with the file and the place in it."""
        return self.wrong_in(self.file_of(where), where, sentence)

    def wrong_in(self, file: str, where: str, sentence: str) -> Wrong:
        """An error of its file or one of its house's, with the place and, where known, the line."""
        text, line = self.texts.get(file), None
        if text and where:
            path = files.path_of(where, tuple(serve.name for serve in self.serve))
            known, sentence = files.lines(text), one_line(sentence)
            line = files.line_said(text, known, path, self.variant, sentence)
        return Wrong(file, where, sentence, line)

    def file_of(self, where: str) -> str:
        """The file of a place: in a menu that of the recipe that the item or serve is from."""
        if not self.files:
            return self.file
        table, _, rest = where.partition(".")
        item = self.items.get(rest.partition(".")[0]) if table == "items" else None
        if item is not None:
            return item.file or self.file
        found = [serve.file for serve in self.serve if where.startswith(f'serve "{serve.name}"')]
        return found[0] if found and found[0] else self.file

    def counts(self, serves: int | None = None) -> dict[str, int]:
        """How many of each serve: the same of all, or each its own number where None is given."""
        return {
            serve.name: serves if serves is not None else self.serves if serve.serves is None
            else serve.serves
            for serve in self.serve
        }  # fmt: skip


# ---- which item uses which, and the order in which they can be made ----


def item_of(words: str, ids: Collection[str]) -> str | None:
    """The item that ingredient words name: an amount and an id, and nothing after it.

    >>> item_of("300 ml cold-base", {"cold-base"}), item_of("300 ml cold water", {"cold-base"})
    ('cold-base', None)
    """
    try:
        said, _ = ingredient.temperature(words, "")
        rest = without_amount(said)
    except BadInput:
        return None
    rest = " ".join(rest.removeprefix("of ").split())
    return rest if rest in ids else None


def all_named(words: str, ids: Collection[str]) -> list[str]:
    """The items that words of several amounts name, with those inside a mixture.

    >>> all_named("300 ml base at 5 C and 5 g tea and mix 1:1 by weight", {"base", "mix"})
    ['base', 'mix']
    """
    found = []
    for word in ingredient.split(words):
        id_ = item_of(word, ids)
        if id_ is not None:
            found.append(id_)
            continue
        try:
            rest = without_amount(ingredient.temperature(word, "")[0])
        except BadInput:
            continue
        found += mixed_named(rest.removeprefix("of ").strip(), ids)
    return found


def mixed_named(words: str, ids: Collection[str]) -> list[str]:
    """The items that ingredient words without an amount name, alone or in a mixture."""
    tidy = " ".join(words.split())
    if tidy in ids:
        return [tidy]
    try:
        mix = ingredient.mixed(tidy, "")
    except BadInput:
        return []
    return [name for name in mix.names if name in ids] if mix is not None else []


def references(item: Item, specs: Mapping[str, Spec], ids: Collection[str]) -> tuple[str, ...]:
    """The items that an item's inputs name, once each, as they are written."""
    found: dict[str, None] = {}
    for name, value in item.inputs.items():
        spec = specs.get(name)
        if spec is None:
            continue  # the calculator will say that it takes no such input
        for one in value if isinstance(value, list) else [value]:
            found |= dict.fromkeys(_references(one, spec.kind, ids))
    return tuple(found)


def _references(words: object, kind: str, ids: Collection[str]) -> list[str]:
    if not isinstance(words, str):
        return []
    if kind in ("part", "parts"):
        return all_named(words, ids)
    if kind in ("ingredient", "ingredients"):
        return [id_ for word in ingredient.split(words) for id_ in mixed_named(word, ids)]
    if kind in ("words", "many words"):  # such as "2 parts my-stock", "30 ml my-cream at 5 C"
        return [word for word in re.split(r"[\s,;]+", words) if word in ids]
    return []


def making_order(recipe: Recipe, uses: Mapping[str, Collection[str]]) -> tuple[str, ...]:
    """The items so that each comes after those that it uses; else in the order of the file.

    Raises BadRecipe with the round that they make where items use each other in a circle.
    """
    place = {id_: number for number, id_ in enumerate(recipe.items)}
    names = list(place)
    waits = {id_: len(uses[id_]) for id_ in names}
    users: dict[str, list[str]] = {id_: [] for id_ in names}
    for id_ in names:
        for used in uses[id_]:
            users[used].append(id_)
    ready = [place[id_] for id_ in names if not waits[id_]]
    order: list[str] = []
    while ready:
        id_ = names[heapq.heappop(ready)]
        order.append(id_)
        for user in users[id_]:
            waits[user] -= 1
            if not waits[user]:
                heapq.heappush(ready, place[user])
    if len(order) < len(names):
        left = [id_ for id_ in names if waits[id_]]
        raise recipe.wrong(f"items.{left[0]}", _round_words(left, uses))
    return tuple(order)


def _round_words(left: list[str], uses: Mapping[str, Collection[str]]) -> str:
    """The circle in words, found by walking from user to used until one comes again."""
    among = set(left)
    walk: list[str] = []
    id_ = left[0]
    while id_ not in walk:
        walk.append(id_)
        id_ = next(used for used in uses[id_] if used in among)
    circle = walk[walk.index(id_) :]
    if len(circle) == 1:
        return f"{id_} uses itself; an item can use only what is made before it."
    shown = [*circle[:6], "..."] if len(circle) > 6 else circle
    return (
        f"the items use each other in a circle: {' uses '.join([*shown, id_])}. One of them must "
        f"be made without the others."
    )


# ---- how many of each drink, as a command line or a form says it ----

_ONE = later(r"\s*([^=]+?)\s*=\s*([^=,;]*?)\s*(?:[,;]|$)")


def counts_said(words: str | None, recipe: Recipe, field: str = "serves") -> dict[str, int]:
    """How many of each drink of a recipe or menu; its own numbers where None is said.

    A bare number holds for every drink. By drink each must be named; 0 leaves it off. Raises
    BadInput where a drink is not known, is named twice or not at all, or none is left.
    """
    if words is None:
        return recipe.counts()
    if "=" not in words:
        return recipe.counts(whole_serves(words, named(field)))
    found: dict[str, int] = {}
    names = {serve.name.casefold(): serve.name for serve in recipe.serve}
    place = 0
    while place < len(words):
        match = _ONE.match(words, place)
        if match is None:
            raise BadInput(
                f'{named(field)} is "{words}"; write a number for each drink, such as '
                f'"{_sample(names)}".',
                field,
            )
        place = match.end()
        name = names.get(match[1].casefold())
        if name is None:
            raise BadInput(
                f'{named(field)}: no recipe here has a drink "{match[1]}"; '
                f"{nearest(match[1], names.values())}.",
                field,
            )
        if name in found:
            raise BadInput(f"{named(field)}: {name} is told twice; give it one number.", field)
        found[name] = _number(match[2], name, field)
    missing = [name for name in names.values() if name not in found]
    if missing:
        raise BadInput(
            f'{named(field)} does not say how many of {missing[0]}; write "{missing[0]}=..." too, '
            f"with 0 to leave it off.",
            field,
        )
    if not any(found.values()):
        raise BadInput(f"{named(field)} leaves no drink; write at least one of one.", field)
    return {name: found[name] for name in names.values()}


def _sample(names: Mapping[str, str]) -> str:
    return ", ".join(
        f"{name}={number}" for name, number in zip(names.values(), (60, 35), strict=False)
    )


def _number(words: str, name: str, field: str) -> int:
    right = f"it must be a whole number from 0 to {MOST_SERVES}"
    number, rest = parse_number(words, named(field)) if words else (-1.0, "")
    if rest or not 0 <= number <= MOST_SERVES or number != int(number):
        raise BadInput(f'{named(field)}: {name} is "{words}"; {right}.', field)
    return int(number)


def in_proportion(counts: Mapping[str, int], most: int) -> dict[str, int]:
    """So many of the drink that has most, and of each other its share, rounded down.

    >>> in_proportion({"a": 60, "b": 35}, 30)
    {'a': 30, 'b': 17}
    """
    largest = max(counts.values())
    return {name: count * most // largest for name, count in counts.items()}
