"""A batch by its containers: "1 tub my-cordial", "2 cases of bottles of my-oleo", "4 l my-base"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from prepkit.errors import BadInput, named
from prepkit.near import nearest
from prepkit.numbers import parse_number
from prepkit.plan.fields import Wrong
from prepkit.plan.items import has_volume
from prepkit.plan.prepare import Prepared
from prepkit.stock.bottles import Container, container_of, most_ml
from prepkit.under_gas import CHARGED
from prepkit.units import split_amount

_CASE = "case"
_MOST_KG = 1e5


class Asked(NamedTuple):
    """What is to be filled: the words, the item, how much of it."""

    words: str
    item: str
    kg: float


def to_fill(prepared: Prepared, words_of: Sequence[str]) -> tuple[Prepared, tuple[Asked, ...]]:
    """The recipe with what is to be filled wanted beside its serves.

    Raises BadInput for an item that the recipe does not make, for a container that the house has
    not named, and for one whose headspace or rating must be known and is not.
    """
    found = tuple(_asked(prepared, words) for words in words_of)
    kg: dict[str, float] = {}
    for one in found:
        kg[one.item] = kg.get(one.item, 0.0) + one.kg
    shelf = prepared.shelf._replace(asked_kg=kg)
    plain = prepared.plain._replace(shelf=shelf) if prepared.plain is not None else None
    return prepared._replace(shelf=shelf, plain=plain), found


def _asked(prepared: Prepared, words: str) -> Asked:
    known = prepared.recipe.house.stock.containers
    count, rest = parse_number(words.strip(), named("fill"))
    tokens = rest.split()
    one, times = _container(tokens, known, words)
    if one is None:
        return _of_amount(prepared, words)
    if not count > 0:
        raise BadInput(f'{named("fill")} is "{words}"; write how many, more than 0.', "fill")
    item = _item(prepared, " ".join(tokens).removeprefix("of "), words)
    product = prepared.products[item]
    charged = CHARGED in product.tags or prepared.ran[item][1] is None
    ml = most_ml(one, charged=charged) * times * count
    try:
        kg = ml * 1e-6 * product.density_kg_m3(20.0)
    except BadInput as error:
        raise BadInput(
            f'{named("fill")} "{words}": {item} has no volume that is known; write its weight.',
            "fill",
        ) from error
    return _sane(Asked(words, item, kg))


def _container(
    tokens: list[str], known: Mapping[str, Container], words: str
) -> tuple[Container | None, int]:
    """The container that words begin with, and how many in its case; these words are taken off."""
    if not tokens:
        raise BadInput(
            f'{named("fill")} is "{words}"; write {named("fill", "1 tub my-base")}.', "fill"
        )
    if tokens[0].lower() in (_CASE, f"{_CASE}s"):
        tokens.pop(0)
        if tokens[:1] == ["of"]:
            tokens.pop(0)
        one = _known(tokens[0], known) if tokens else None
        cased = [each for each in known.values() if each.case is not None]
        if one is not None:
            tokens.pop(0)
        elif len(cased) == 1:
            one = cased[0]
        if one is None or one.case is None:
            raise BadInput(
                f'{named("fill")} "{words}": a case of which container? Write "1 case of '
                f'bottles my-base", and its case = 12 under [containers.bottle] in the house file.',
                "fill",
            )
        return one, one.case
    one = _known(tokens[0], known)
    if one is not None:
        tokens.pop(0)
    return one, 1


def _known(word: str, known: Mapping[str, Container]) -> Container | None:
    return known.get(word) or known.get(word.removesuffix("s"))


def _item(prepared: Prepared, name: str, words: str) -> str:
    tidy = " ".join(name.split())
    if tidy in prepared.products:
        return tidy
    raise BadInput(
        f'{named("fill")} "{words}": {prepared.recipe.file} makes no "{tidy}"; '
        f"{nearest(tidy, prepared.products)}.",
        "fill",
    )


def _of_amount(prepared: Prepared, words: str) -> Asked:
    """An amount in a unit: "4 l my-base"."""
    recipe = prepared.recipe
    amount, rest = split_amount(words, named("fill"), recipe.house.measures)
    first, _, name = rest.partition(" ")
    if amount.unit == "piece" and " ".join(name.split()) in prepared.products:
        container_of(first, recipe.house.stock.containers)  # refuses it, with the nearest
    try:
        has_volume(recipe, "fill", words, prepared.products)
        part = recipe.house.pantry.with_items(prepared.products).part(words, named("fill"))
    except Wrong as error:
        raise BadInput(f"{named('fill')} {error.sentence}", "fill") from error
    return _sane(Asked(words, _item(prepared, part.name, words), part.mass_kg))


def _sane(asked: Asked) -> Asked:
    if not 0 < asked.kg <= _MOST_KG:
        raise BadInput(
            f'{named("fill")} "{asked.words}" is {asked.kg:.3g} kg; it must be more than 0 and at '
            f"most 100 tonnes.",
            "fill",
        )
    return asked
