"""The one house that the recipes of a menu are made in; where they name two, that is refused."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple, TypeVar

from prepkit.measures import Measures
from prepkit.pantry import Pantry
from prepkit.plan.fields import Wrong
from prepkit.plan.house import House, Vessel
from prepkit.plan.house_stock import HouseStock
from prepkit.plan.recipe_types import Recipe
from prepkit.units import Measured

T = TypeVar("T")
_ONE = "a menu is made in one house"


class _Said(NamedTuple):
    """What one file says of the house."""

    file: str
    house: House


def one_house(file: str, base: House, recipes: Sequence[Recipe]) -> tuple[House, dict[str, Vessel]]:
    """The house of a menu and all vessels. `base` is the menu's own, which its facts win from.

    Raises Wrong where two recipes, or a recipe and the house of the menu, say different things.
    """
    every = [_Said(file, base), *(_Said(one.file, one.house) for one in recipes)]
    facts: dict[str, object] = {}
    said_in: dict[str, str] = {}
    for key in dict.fromkeys(key for one in every for key in one.house.facts):
        told = [
            (one.house.said_in.get(key, one.file), one.house.facts[key])
            for one in every
            if key in one.house.facts
        ]
        own = [fact for where, fact in told if where == file]
        facts[key] = own[0] if own else _same(f"house.{key}", told)
        said_in[key] = file if own else told[0][0]
    prices = {(p.ingredient, p.pack, p.cost): p for one in every for p in one.house.prices}
    measures = _measures(file, every)
    house = House(
        facts,
        _bench(base, every),
        {},
        tuple(prices.values()),
        _word(file, "currency", [(one.file, one.house.currency) for one in every]) or "",
        _word(file, "units", [(one.file, one.house.units) for one in every]),
        _hands(base, every),
        _pantry(every).with_measures(measures),
        tuple(dict.fromkeys(name for one in every for name in one.house.files)),
        said_in,
        measures,
        _once("working hours", base.hours, None, [(one.file, one.house.hours) for one in every]),
        _once("stock", base.stock, HouseStock(), [(one.file, one.house.stock) for one in every]),
        _once("tax", base.tax, None, [(one.file, one.house.tax) for one in every]),
        sure=_once("sure", base.sure, None, [(one.file, one.house.sure) for one in every]),
    )
    return house, _vessels(base, recipes)


def _same(where: str, told: Sequence[tuple[str, object]]) -> object:
    """What all say alike; Wrong with the two that differ first."""
    first_file, first = told[0]
    for other_file, other in told[1:]:
        if _tidy(other) != _tidy(first):
            key = where.rpartition(".")[2]
            raise Wrong(
                other_file, where,
                f"it is {_shown(other)}, and {_shown(first)} in {first_file}: {_ONE}. Write {key} "
                f"once, under [house] of a menu file.",
            )  # fmt: skip
    return first


def _tidy(fact: object) -> str:
    return " ".join(str(fact).split()).casefold()


def _shown(fact: object) -> str:
    return f'"{fact}"' if isinstance(fact, str) else f"{fact}"


def _bench(base: House, every: Sequence[_Said]) -> dict[str, Measured]:
    """The instruments: those of the menu's house, and of the others what it does not tell."""
    found = dict(base.bench)
    for key in dict.fromkeys(key for one in every for key in one.house.bench if key not in found):
        told = [(one.file, one.house.bench[key]) for one in every if key in one.house.bench]
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
    said = [(one.file, one.house.hands) for one in every if one.house.hands != 1]
    found = _same("house.hands", said) if said else 1
    assert isinstance(found, int)
    return found


def _once(what: str, own: T, none: T, told: Sequence[tuple[str, T]]) -> T:
    """What only one house file says, or all alike; that of the menu's own house wins."""
    if own != none:
        return own
    said = [(where, one) for where, one in told if one != none]
    for where, one in said[1:]:
        if one != said[0][1]:
            raise Wrong(where, "house", f"it has other {what} than {said[0][0]}: {_ONE}.")
    return said[0][1] if said else none


def _measures(file: str, every: Sequence[_Said]) -> Measures:
    """What a cup, a shot or a bottle is: alike in all that tell it."""
    found, first = Measures(), file
    for one in every:
        measures = one.house.measures
        for name, mine, other in _told(found, measures):
            if mine != other:
                raise Wrong(
                    one.file, f"house.{name}",
                    f"it is {other}, and {mine} in {first}: {_ONE}. Write it alike in both.",
                )  # fmt: skip
        if measures != Measures():
            found, first = found.over(measures), one.file
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
    for one in every:
        for name in one.house.files[1:]:  # a house file, and the pantry that it names
            found.setdefault(Path(name).resolve(), (name, one.house.pantry))
    if len(found) > 1:
        (first, _), (second, _) = list(found.values())[:2]
        raise Wrong(
            second, "", f"it is another pantry than {first}: {_ONE}. Put all of it in one file."
        )
    return next((pantry for _, pantry in found.values()), Pantry())


def _vessels(base: House, recipes: Sequence[Recipe]) -> dict[str, Vessel]:
    """All vessels by id; Wrong where an id is two different ones."""
    found: dict[str, Vessel] = dict(base.vessels)
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


def _unlike(one: Vessel, other: Vessel) -> Iterator[tuple[str, str, str]]:
    both: tuple[Mapping[str, object], Mapping[str, object]] = (
        {**one.facts, "count": one.count}, {**other.facts, "count": other.count},
    )  # fmt: skip
    for key in dict.fromkeys((*both[0], *both[1])):
        mine, others = (_shown(of[key]) if of.get(key) is not None else "left out" for of in both)
        if mine != others:
            yield key, mine, others
