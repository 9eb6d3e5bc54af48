"""Words of stock to an item, an amount and dates: "2 l peel-oleo", "5 d", "2026-12-03"."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import NamedTuple

from prepkit import numbers
from prepkit.errors import BadInput, UnknownIngredient, named
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.stock.events import NO_DATE
from prepkit.units import Measured, parse_number, parse_quantity, sized, split_amount

_KEEPS = ("dry", "spirit")  # words of the pantry for what has no last day
_MOST_DAYS = 3650


class Known(NamedTuple):
    """The items that a name can mean, beside the pantry: density in g/m3 where it is known."""

    items: Mapping[str, int | None] = {}
    products: Mapping[str, Mixture] = {}  # of a recipe, by item

    def density(self, item: str) -> int | None:
        """The density of an item, g/m3: of its recipe, else as it was told last."""
        product = self.products.get(item)
        if product is not None:
            return density_of(product)
        return self.items.get(item)

    def names(self) -> list[str]:
        """All of them."""
        return sorted({*self.items, *self.products})


NOTHING = Known()


class Amount(NamedTuple):
    """So much of an item; `pantry` says that it is an ingredient that is bought."""

    item: str
    mg: int
    density_g_m3: int | None
    pantry: bool = False
    keeps: str = ""  # as the pantry says


def density_of(mixture: Mixture) -> int | None:
    """Density at 20 C, whole g/m3; None where it has none."""
    try:
        return round(1000 * mixture.density_kg_m3(20.0))
    except BadInput:
        return None


def read_amount(
    words: str,
    pantry: Pantry,
    known: Known = NOTHING,
    *,
    density: str | None = None,
    new: bool = False,
    field: str = "amount",
) -> Amount:
    """An amount of an item of the stock, of a recipe, or of the pantry.

    `density` is told in words where volume and mass meet and nobody else knows it; `new` takes a
    name that is known nowhere. Raises BadInput with the nearest names, or asks for the density.
    """
    told = None if density is None else density_words(density)
    amount, item = _split(words, pantry, field)
    for name in (item, item.lower()):
        if name in known.products or (name in known.items and not _bought(pantry, name)):
            return _of_item(amount, name, told or known.density(name), words)
    try:
        part = pantry.part(words, field)
    except UnknownIngredient as error:
        if error.exit_status != UnknownIngredient.exit_status:
            raise  # a danger that is known by name
        if new:
            return _of_item(amount, _new_name(item), told, words)
        near = numbers.close(item, known.names(), 3)
        if not near:
            raise UnknownIngredient(
                f"{error.wording} To keep something new of that name, add {named('new')}.", field
            ) from error
        raise UnknownIngredient(
            f'no "{item}" is in the stock or the pantry; the nearest is {" or ".join(near)}. '
            f"For something new, add {named('new')}.",
            field,
        ) from error
    return Amount(
        part.name,
        round(1e6 * part.mass_kg),
        told or (density_of(part.mixture) if part.ingredient.form == "liquid" else None),
        True,
        _keeps(pantry, part.name),
    )


def _split(words: str, pantry: Pantry, field: str) -> tuple[Measured, str]:
    """The amount and the name, as they were written."""
    amount, rest = split_amount(words, field, pantry.measures)
    found = sized(amount, rest, pantry.measures, field)
    if found is not None:
        amount, rest = found
    item = " ".join(rest.split()).removeprefix("of ")
    if not item:
        raise BadInput(
            f'"{words}" names nothing; write an amount of it, such as "2 l syrup".', field
        )
    return amount, item


def _new_name(item: str) -> str:
    if begins_with_number(item):
        raise BadInput(f'"{item}" begins with a number; a name begins with a letter.', "amount")
    return item


def begins_with_number(item: str) -> bool:
    """Whether a name begins with a number, and would be read as an amount.

    >>> begins_with_number("7 spices"), begins_with_number("spices")
    (True, False)
    """
    try:
        parse_number(item)
    except BadInput:
        return False
    return True


def _of_item(amount: Measured, item: str, density_g_m3: int | None, words: str) -> Amount:
    if amount.unit == "g":
        mg = round(1000 * float(amount))
    elif amount.unit == "ml" and density_g_m3:
        mg = round(float(amount) * density_g_m3 / 1000)
    elif amount.unit == "ml":
        raise BadInput(
            f'"{words}" is a volume, and the density of {item} is not known. Write its weight, or '
            f"add {named('density', '1.05 g/ml')}.",
            "density",
        )
    else:
        raise BadInput(f'"{words}" is a number of pieces; write a weight or a volume.', "amount")
    return Amount(item, mg, density_g_m3)


def density_words(words: str) -> int:
    """A density in words as whole g/m3; BadInput outside 0.2 to 3 kg/l."""
    field = named("density")
    kg_m3 = float(parse_quantity(words, ("kg/m3",), field, example="1.05 g/ml"))
    if not 200.0 <= kg_m3 <= 3000.0:
        raise BadInput(f'{field} is "{words}"; a liquid or powder has 0.2 to 3 g/ml.', "density")
    return round(1000 * kg_m3)


def _bought(pantry: Pantry, name: str) -> bool:
    """Whether a name is that of an ingredient of the pantry."""
    try:
        return pantry.ingredient(name).name == name
    except BadInput:
        return False


def _keeps(pantry: Pantry, name: str) -> str:
    """The word of the pantry for how an ingredient keeps; empty where it has none."""
    words = name.split()
    for count in range(len(words), 0, -1):
        try:
            return str(pantry.entry(" ".join(words[:count])).get("keeps") or "")
        except BadInput:
            continue
    return ""


# days


def day(words: str, field: str, today: date) -> date:
    """A day: 2026-12-03, today, yesterday or tomorrow."""
    tidy = words.strip().lower()
    near = {"today": 0, "yesterday": -1, "tomorrow": 1}
    if tidy in near:
        return today + timedelta(days=near[tidy])
    try:
        return date.fromisoformat(tidy)
    except ValueError as error:
        raise BadInput(
            f'{named(field)} is "{words}"; write a day, such as {named(field, today.isoformat())}.',
            field,
        ) from error


def use_by(words: str | None, made_on: date, keeps: str = "") -> date | str | None:
    """The last day on which something may be used: a day, "5 d" after it was made, or none.

    What is dry or a spirit, by the pantry's word `keeps`, has none unless it is told. None where
    nobody told it.
    """
    if words is None:
        return NO_DATE if keeps in _KEEPS else None
    tidy = words.strip().lower()
    if tidy == NO_DATE:
        return NO_DATE
    try:
        days = parse_quantity(tidy, ("d",), named("use_by"))
    except BadInput:
        last = day(words, "use_by", date.today())
    else:
        if not 0 <= days <= _MOST_DAYS:
            raise BadInput(
                f'{named("use_by")} is "{words}"; write 0 to {_MOST_DAYS} days.', "use_by"
            )
        last = made_on + timedelta(days=int(days))  # a part of a day does not count
    if last < made_on:
        raise BadInput(
            f"{named('use_by')} is {last.isoformat()}, before it was made on "
            f"{made_on.isoformat()}.",
            "use_by",
        )
    return last


def known_of(
    items: Iterable[tuple[str, int | None]], products: Mapping[str, Mixture] | None = None
) -> Known:
    """What a ledger and a recipe know."""
    return Known(dict(items), products or {})
