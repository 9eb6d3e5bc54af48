"""Worked back from what there is: how many serves an ingredient, or a finished item, allows."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from prepkit.errors import BadInput, named
from prepkit.near import nearest
from prepkit.pantry import Part
from prepkit.plan.fields import MOST_SERVES, Wrong
from prepkit.plan.items import has_volume
from prepkit.plan.prepare import Prepared
from prepkit.plan.serves_said import in_proportion
from prepkit.sheet import AllowedSheet

_DUST = 1e-9


@dataclass(frozen=True)
class Allowed:
    """One thing that there is, how many serves it allows, and what is left at the number made."""

    words: str
    name: str
    have_kg: float
    serves: int
    need_kg: float = 0.0
    limits: bool = False

    def to_dict(self) -> AllowedSheet:
        """The JSON form."""
        return {
            "words": self.words, "name": self.name, "have_g": 1000 * self.have_kg,
            "need_g": 1000 * self.need_kg, "left_g": 1000 * (self.have_kg - self.need_kg),
            "serves": self.serves, "limits": self.limits,
        }  # fmt: skip


def serves_from(prepared: Prepared, words_of: Sequence[str]) -> tuple[int, tuple[Allowed, ...]]:
    """The most serves that everything named allows, and what each of them would allow.

    Where the drinks of a recipe have numbers of their own, the serves are those of the drink of
    which there are most, and the others follow in proportion.

    BadInput where a thing is not used, or is not enough for one serve.
    """
    written = prepared.recipe.counts()
    found = []
    for words in words_of:
        part = _part(prepared, words)
        have = part.mass_kg
        of_one = need_kg(prepared, part.name, dict.fromkeys(written, 1))
        if of_one > have * (1 + _DUST):
            raise BadInput(
                f'{named("from")} "{words}": for one serve {1000 * of_one:.4g} g of it '
                "are needed, and that "
                f"is {1000 * have:.4g} g.",
                "from",
            )
        found.append(
            Allowed(words, part.name, have, enough_for(prepared, part.name, have, written))
        )
    serves = min(one.serves for one in found)
    return serves, tuple(
        Allowed(
            one.words,
            one.name,
            one.have_kg,
            one.serves,
            need_kg(prepared, one.name, in_proportion(written, serves)),
            one.serves == serves,
        )
        for one in found
    )


def enough_for(prepared: Prepared, name: str, kg: float, written: Mapping[str, int]) -> int:
    """The most serves that so much of an ingredient or item is enough for; 0 for none.

    They are those of the drink that has most of `written`; the others follow in proportion.
    """
    low, high = 0, MOST_SERVES + 1  # enough, and too many or not planned
    while high - low > 1:
        middle = (low + high) // 2
        enough = need_kg(prepared, name, in_proportion(written, middle)) <= kg * (1 + _DUST)
        low, high = (middle, high) if enough else (low, middle)
    return low


def need_kg(prepared: Prepared, name: str, counts: Mapping[str, int]) -> float:
    """kg of an ingredient or item that numbers of serves take; infinite beyond all reason."""
    try:
        demands = prepared.demands(counts)
    except Wrong:
        return math.inf
    if name in demands:
        return demands[name].needed_kg + demands[name].lost_kg
    of_items = math.fsum(
        line.mass_g / 1000 * demands[id_].scale
        for id_, lines in prepared.weigh.items()
        for line in lines
        if line.name == name
    )
    in_glass = math.fsum(
        part.mass_kg * counts[one.serve.name]
        for one in prepared.portions
        for part in one.all_parts
        if part.name == name
    )
    return of_items + in_glass


def _part(prepared: Prepared, words: str) -> Part:
    """What is named, which must be something that the recipe takes."""
    recipe = prepared.recipe
    try:
        has_volume(recipe, "from", words, prepared.products)
        part = recipe.house.pantry.with_items(prepared.products).part(words, named("from"))
    except Wrong as error:
        raise BadInput(f"{named('from')} {error.sentence}", "from") from error
    if not need_kg(prepared, part.name, prepared.recipe.counts(1)) > 0:
        used = [name for name in (*prepared.pantry, *prepared.order) if _used(prepared, name)]
        raise BadInput(
            f'{named("from")} "{words}": {recipe.file} uses no {part.name}; '
            f"{nearest(part.name, used)}.",
            "from",
        )
    return part


def _used(prepared: Prepared, name: str) -> bool:
    return need_kg(prepared, name, prepared.recipe.counts(1)) > 0
