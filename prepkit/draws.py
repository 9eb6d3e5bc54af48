"""Numbers drawn for a question: only `Random.random` is used, so that a seed means one paper.

That method alone is promised to give the same run of numbers on every platform and version.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from random import Random
from typing import Any, TypeVar

from prepkit.language import Filled

Drawn = dict[str, Any]  # Any: numbers, words, lists of words
OneDrawn = Any  # Any: words, a number, a list or a table of them
One = TypeVar("One")


def generator(*parts: object) -> Random:
    """A generator that depends on the parts alone, not on the hash seed of the process."""
    return Random("/".join(str(part) for part in parts))


def below(rng: Random, count: int) -> int:
    """A whole number from 0 to count - 1."""
    return min(int(rng.random() * count), count - 1)


def one_of(rng: Random, items: Sequence[One]) -> One:
    """One of the items."""
    return items[below(rng, len(items))]


def shuffled(rng: Random, items: Sequence[One]) -> list[One]:
    """The items in another order."""
    left, out = list(items), []
    while left:
        out.append(left.pop(below(rng, len(left))))
    return out


def draw(rng: Random, spec: Mapping[str, OneDrawn]) -> Drawn:
    """One value for each name: a step of a range, one of a list, or one row of several names.

    >>> draw(generator("a"), {"fill": {"from": 400, "to": 500, "step": 25}})["fill"] % 25
    0
    >>> sorted(draw(generator("a"), {"pair": [{"x": 1, "y": 2}, {"x": 3, "y": 4}]}))
    ['x', 'y']
    """
    drawn: Drawn = {}
    for name, choice in spec.items():
        if isinstance(choice, Mapping):
            low, high, step = choice["from"], choice["to"], choice["step"]
            steps = round((high - low) / step)
            value = low + below(rng, steps + 1) * step
            drawn[name] = value if isinstance(value, int) else round(value, 9)
            continue
        picked = one_of(rng, choice)
        if isinstance(picked, Mapping):
            drawn.update(picked)
        else:
            drawn[name] = picked
    return drawn


class GivenNumber(float):
    """A number as a question writes it: 0.5, 17, 1200, or with the digits that are asked for.

    >>> "{a} and {a:.1f}".format(a=GivenNumber(17.25))
    '17.25 and 17.2'
    """

    def __format__(self, spec: str) -> str:
        return format(float(self), spec or "g")


def words(drawn: Mapping[str, OneDrawn]) -> Drawn:
    """The drawn values as they are written into words."""
    return {
        name: GivenNumber(value) if isinstance(value, int | float) else value
        for name, value in drawn.items()
    }


def filled(pattern: OneDrawn, said: Mapping[str, OneDrawn]) -> OneDrawn:
    """The pattern, a text or a list of texts, with the drawn words in it; it knows its message."""
    if isinstance(pattern, str):
        return Filled(pattern, said)
    if isinstance(pattern, list):
        return [filled(one, said) for one in pattern]
    return pattern
