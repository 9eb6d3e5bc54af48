"""Which item uses which, and the order in which they can be made."""

from __future__ import annotations

import heapq
import re
from collections.abc import Collection, Mapping

from prepkit import grammar
from prepkit.errors import BadInput
from prepkit.plan.recipe_types import Item, Recipe
from prepkit.spec import Spec
from prepkit.units import without_amount


def named(words: str, ids: Collection[str]) -> str | None:
    """The item that ingredient words name: an amount and an id, and nothing after it.

    >>> named("300 ml cold-base", {"cold-base"}), named("300 ml cold water", {"cold-base"})
    ('cold-base', None)
    """
    try:
        said, _ = grammar.temperature(words, "")
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
    for one in grammar.split(words):
        id_ = named(one, ids)
        if id_ is not None:
            found.append(id_)
            continue
        try:
            rest = without_amount(grammar.temperature(one, "")[0])
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
        mix = grammar.mixed(tidy, "")
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
        return [id_ for one in grammar.split(words) for id_ in mixed_named(one, ids)]
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
