"""How many of each drink, as a command line or a form says it: "40", or "Ledger=60, Soda=35"."""

from __future__ import annotations

import re
from collections.abc import Mapping

from prepkit.errors import BadInput, named
from prepkit.near import nearest
from prepkit.numbers import parse_number
from prepkit.plan.fields import MOST_SERVES, whole_serves
from prepkit.plan.recipe_types import Recipe

_ONE = re.compile(r"\s*([^=]+?)\s*=\s*([^=,;]*?)\s*(?:[,;]|$)")


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
    names = {one.name.casefold(): one.name for one in recipe.serve}
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
