"""The words of one command line about the stock, the house, and its ledger."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import NamedTuple

from prepkit import house_place
from prepkit.clock import Moment
from prepkit.errors import BadInput, UnknownIngredient, named
from prepkit.mixture import Mixture
from prepkit.near import nearest
from prepkit.plan.house import House, house_in
from prepkit.stock.actions import Where
from prepkit.stock.amounts import Amount, Known, known_of, read_amount
from prepkit.stock.events import not_ahead, now
from prepkit.stock.ledger import Ledger, open_ledger
from prepkit.units import split_amount

_FIRST_YEAR, _LAST_YEAR = 2000, 9000


class Said(NamedTuple):
    """The words of one command line; None and False where they were not given."""

    words: str = ""
    ledger: str | None = None
    site: str | None = None
    house: str | None = None
    place: str | None = None
    batch: str | None = None
    bottle: str | None = None
    at: str | None = None
    made_on: str | None = None
    use_by: str | None = None
    density: str | None = None
    recipe: str | None = None
    new: bool = False
    who: str | None = None
    note: str | None = None
    reason: str | None = None
    into: str | None = None
    frozen: bool = False
    charged: bool = False
    still: bool = False
    all_sites: bool = False
    pour: str | None = None
    to: str | None = None
    to_site: str | None = None
    most: str = "20"
    as_json: bool = False
    rebuild: bool = False
    damaged: bool = False
    brix: str | None = None
    abv: str | None = None
    acidity: str | None = None
    ph: str | None = None


class Desk(NamedTuple):
    """The house, and where its ledger and its things are."""

    house: House
    ledger: str
    site: str

    def open(self, *, create: bool = False) -> Ledger:
        """Its ledger."""
        return open_ledger(self.ledger, create=create)


def desk(said: Said) -> Desk:
    """The house and its ledger; BadInput where no ledger is named."""
    house = house_in(house_place.folder(said.house))
    place = said.ledger or house.stock.ledger
    if not place:
        raise BadInput(
            f"no ledger is named. Give {named('ledger', 'house.db')}, or write it in the house "
            f'file: [stock] and ledger = "house.db".',
            "ledger",
        )
    return Desk(house, place, said.site or house.stock.site)


def where_of(said: Said, at: Desk) -> Where:
    return Where(at.site, said.place, said.batch, said.bottle)


def known_here(ledger: Ledger, said: Said) -> Known:
    """The items of the ledger and of the recipe that was named, with their densities."""
    products: dict[str, Mixture] = {}
    if said.recipe is not None:
        from prepkit.plan.prepare import prepare
        from prepkit.plan.recipe import load_recipe

        products = dict(prepare(load_recipe(said.recipe, house=said.house)).products)
    return known_of(ledger.densities(), products)


def amount_of(said: Said, at: Desk, ledger: Ledger) -> Amount:
    return read_amount(
        said.words,
        at.house.pantry,
        known_here(ledger, said),
        density=said.density,
        new=said.new,
    )


def in_stock(said: Said, at: Desk, ledger: Ledger) -> Amount:
    """An amount of something that the ledger has; BadInput with the nearest names otherwise."""
    try:
        found = amount_of(said, at, ledger)
    except UnknownIngredient as error:
        if error.exit_status != UnknownIngredient.exit_status:
            raise  # a danger that is known by name
        _, name = split_amount(said.words, "amount", at.house.pantry.measures)
        item_of(" ".join(name.split()).removeprefix("of "), ledger)  # which refuses it
        raise
    return found._replace(item=item_of(found.item, ledger))


def item_of(name: str, ledger: Ledger) -> str:
    """The name of an item of the ledger; BadInput with the nearest."""
    known = ledger.items()
    for one in (name, name.lower()):
        if one in known:
            return one
    hint = nearest(name, known) if known else "the ledger is empty"
    raise BadInput(f'no "{name}" is in the ledger; {hint}.', "item")


def time_of(said: Said) -> datetime:
    """When it happened: a time of day is of today."""
    if said.at is None:
        return now()
    moment = Moment.read(said.at, named("at"))
    here = moment.at
    if not moment.dated:
        here = datetime.combine(date.today(), moment.at.time())
    if not _FIRST_YEAR <= here.year < _LAST_YEAR:
        raise BadInput(
            f'{named("at")} is "{said.at}"; write a time from {_FIRST_YEAR} on that has passed.',
            "at",
        )
    return not_ahead(here.astimezone())


def lines_of(lines: Iterable[str]) -> str:
    return "\n".join(lines) + "\n"


def json_of(thing: object) -> str:
    import json

    return json.dumps(thing, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
