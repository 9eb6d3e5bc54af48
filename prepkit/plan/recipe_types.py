"""What a recipe is once it is read: its items with their steps, its serves, its house."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import NamedTuple

from prepkit import file_lines
from prepkit.errors import one_line
from prepkit.plan.fields import Wrong
from prepkit.plan.house import House, PackPrice, Vessel
from prepkit.units import Measured


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
    recipe: Recipe
    counts: Mapping[str, int]
    makes: frozenset[str] = frozenset()


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
            path = file_lines.path_of(where, tuple(one.name for one in self.serve))
            known, sentence = file_lines.lines(text), one_line(sentence)
            line = file_lines.line_said(text, known, path, self.variant, sentence)
        return Wrong(file, where, sentence, line)

    def file_of(self, where: str) -> str:
        """The file of a place: in a menu that of the recipe that the item or serve is from."""
        if not self.files:
            return self.file
        table, _, rest = where.partition(".")
        item = self.items.get(rest.partition(".")[0]) if table == "items" else None
        if item is not None:
            return item.file or self.file
        found = [one.file for one in self.serve if where.startswith(f'serve "{one.name}"')]
        return found[0] if found and found[0] else self.file

    def counts(self, serves: int | None = None) -> dict[str, int]:
        """How many of each serve: the same of all, or each its own number where None is given."""
        return {
            one.name: serves if serves is not None else self.serves if one.serves is None
            else one.serves
            for one in self.serve
        }  # fmt: skip
