"""What the command line does to the stock, and the text that answers it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import NamedTuple

from prepkit import registry
from prepkit.errors import BadInput, UnknownIngredient, named
from prepkit.mixture import Mixture
from prepkit.numbers import Moment, nearest, parse_number
from prepkit.plan import house_file
from prepkit.plan.house import House, house_in
from prepkit.registry import CHARGED
from prepkit.stock import Ledger, actions, cell_words, open_ledger
from prepkit.stock.actions import (
    Amount,
    KnownItems,
    Where,
    begins_with_number,
    day,
    density_words,
    known_of,
    read_amount,
    use_by,
)
from prepkit.stock.events import Event, amount_words, later, not_ahead, now
from prepkit.units import parse_quantity, split_amount

# ---- the words of one command line about the stock, the house, and its ledger ----

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


class StockLine(NamedTuple):
    """The house, and where its ledger and its things are."""

    house: House
    ledger: str
    site: str

    def open(self, *, create: bool = False) -> Ledger:
        """Its ledger."""
        return open_ledger(self.ledger, create=create)


def desk(said: Said) -> StockLine:
    """The house and its ledger; BadInput where no ledger is named."""
    house = house_in(registry.folder(said.house))
    place = said.ledger or house.stock.ledger
    if not place:
        raise BadInput(
            f"no ledger is named. Give {named('ledger', 'house.db')}, or write it in the house "
            f'file: [stock] and ledger = "house.db".',
            "ledger",
        )
    return StockLine(house, place, said.site or house.stock.site)


def where_of(said: Said, at: StockLine) -> Where:
    return Where(at.site, said.place, said.batch, said.bottle)


def known_here(ledger: Ledger, said: Said) -> KnownItems:
    """The items of the ledger and of the recipe that was named, with their densities."""
    products: dict[str, Mixture] = {}
    if said.recipe is not None:
        from prepkit.plan.plan import load_recipe
        from prepkit.plan.prepare import prepare

        products = dict(prepare(load_recipe(said.recipe, house=said.house)).products)
    return known_of(ledger.densities(), products)


def amount_of(said: Said, at: StockLine, ledger: Ledger) -> Amount:
    return read_amount(
        said.words,
        at.house.pantry,
        known_here(ledger, said),
        density=said.density,
        new=said.new,
    )


def in_stock(said: Said, at: StockLine, ledger: Ledger) -> Amount:
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
    for text in (name, name.lower()):
        if text in known:
            return text
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


# ---- what was read of a batch, told on the command line ----

_MOST_READING = {"brix": 95, "abv_percent": 100, "acidity_percent": 100, "ph": 14}


def measure(said: Said) -> str:
    """What was read of a batch; its last day is never made later than it was told."""
    at = desk(said)
    with at.open() as ledger:
        item = item_of(said.words, ledger)
        batch = _one_batch(said, at, ledger, item)
        known = ledger.batch(item, batch)
        when = time_of(said)
        data = {
            name: float(parse_quantity(words, (unit,), named(field), bare=not unit))
            if unit
            else _ph(words)
            for field, name, unit, words in (
                ("brix", "brix", "Bx", said.brix),
                ("abv", "abv_percent", "% vol", said.abv),
                ("acidity", "acidity_percent", "% w/w", said.acidity),
                ("ph", "ph", "", said.ph),
            )
            if words is not None
        }
        for name, value in data.items():
            if not 0 <= value <= _MOST_READING[name]:
                raise BadInput(f"{name} is {value:g}; it must be from 0 to {_MOST_READING[name]}.")
        last = use_by(said.use_by, known.made_on or when.astimezone().date())
        bottle = _bottle(said, at, ledger, item, batch)
        if not data and last is None and said.density is None and not bottle:
            raise BadInput(
                f"what was measured? Add {named('brix', '61.5 Bx')}, "
                f"{named('density', '1.2 g/ml')} or {named('use_by', '5 d')}.",
                "brix",
            )
        if last is not None and later(last, known.use_by):
            raise BadInput(
                f"its last day is {known.use_by} and is never made later. If that was wrong, undo "
                f"the event and add it again.",
                "use_by",
            )
        (done,) = ledger.append(
            Event(
                kind="measured", item=item, batch=batch, site=at.site, at=when, data=data,
                use_by=last, who=said.who or "", note=said.note or "",
                density_g_m3=None if said.density is None else density_words(said.density),
                bottle=bottle, charged=said.charged if bottle else None,
            )
        )  # fmt: skip
    gas = "" if not bottle else f" bottle {bottle} {'under gas' if said.charged else 'still'}"
    return f'measured: {item} "{batch}"{gas} (event {done.id})\n'


def _bottle(said: Said, at: StockLine, ledger: Ledger, item: str, batch: str) -> str:
    """The bottle that is said to be under gas or still; "" where neither is said."""
    if not said.charged and not said.still:
        if said.bottle is not None:
            raise BadInput(
                f"is bottle {said.bottle} under gas? Add {named('charged')} or {named('still')}.",
                "charged",
            )
        return ""
    if said.charged and said.still:
        raise BadInput(
            f"{named('charged')} does not go with {named('still')}; give one of them.", "charged"
        )
    stand = [
        holding.cell.bottle
        for holding in ledger.stock_at(site=at.site, item=item)
        if holding.cell.batch == batch and holding.cell.bottle
    ]
    if said.bottle in stand:
        return said.bottle
    names = ", ".join(stand[:8]) or "none stands here"
    raise BadInput(f'which bottle of {item} "{batch}"? Add {named("bottle")}: {names}.', "bottle")


def _ph(words: str) -> float:
    value, rest = parse_number(words, named("ph"))
    if rest:
        raise BadInput(f'{named("ph")} is "{words}"; write a bare number, such as 3.1.', "ph")
    return value


def _one_batch(said: Said, at: StockLine, ledger: Ledger, item: str) -> str:
    """The batch that is meant: the one that was named, or the only one that stands."""
    if said.batch is not None:
        if said.batch not in ledger.batches(item):
            raise BadInput(
                f'{item} has no batch "{said.batch}"; {nearest(said.batch, ledger.batches(item))}.',
                "batch",
            )
        return said.batch
    stand = sorted({holding.cell.batch for holding in ledger.stock_at(site=at.site, item=item)})
    if len(stand) != 1:
        names = ", ".join(f'"{one}"' for one in stand[:8]) or "none stands here"
        raise BadInput(f"which batch of {item}? Add {named('batch')}: {names}.", "batch")
    return stand[0]


# ---- what the command line does to the stock, and the text that answers it ----

# adding


def add(said: Said) -> str:
    """A batch is added, and filled into containers where they are named."""
    at = desk(said)
    if not said.into and (said.frozen or said.charged or said.still or said.pour):
        raise BadInput(
            f"what is frozen, under gas, still or poured must be in containers; add "
            f"{named('into', 'bottle')}.",
            "into",
        )
    pour_ml = _pour_ml(said, at)
    with at.open(create=True) as ledger:
        found = amount_of(said, at, ledger)
        said = _under_gas(said, found.item, ledger)
        event = _new_batch(said, at, found, "bought" if found.pantry else "made")
        if event.use_by is None:
            raise BadInput(
                f"until when does {found.item} keep? Add {named('use_by', '5 d')}, a day, or none.",
                "use_by",
            )
        fills = _fills(said, at, found) if said.into else None
        stands = actions.add(
            ledger, event, _filled(fills, found) if fills else (), charged=_charged(said, fills)
        )
        out = [f"added: {of_event(ledger, stands)}"]
        if fills:
            out += _bottled(said, pour_ml, fills, 1)
    return lines_of(out)


def _new_batch(said: Said, at: StockLine, found: Amount, kind: str) -> Event:
    """The event that a batch begins with."""
    when = time_of(said)
    here = when.astimezone().date()
    made_on = day(said.made_on, "made_on", here) if said.made_on else here
    return Event(
        kind=kind,
        item=found.item,
        batch=said.batch or made_on.isoformat(),
        change_mg=found.mg,
        site=at.site,
        place=said.place if said.place is not None else at.house.stock.place,
        at=when,
        density_g_m3=found.density_g_m3,
        made_on=made_on,
        use_by=use_by(said.use_by, made_on, found.keeps),
        who=said.who or "",
        note=said.note or "",
    )


def _fills(said: Said, at: StockLine, found: Amount) -> house_file.Division:
    """The containers that an amount is divided over."""
    if found.density_g_m3 is None:
        raise BadInput(
            f"a container holds a volume, and the density of {found.item} is not known; add "
            f"{named('density', '1.05 g/ml')}.",
            "density",
        )
    names = [word for word in (said.into or "").split(",") if word.strip()]
    known = at.house.stock.containers
    return house_file.divide(
        1e3 * found.mg / found.density_g_m3,
        [house_file.container_of(name, known) for name in names],
        frozen=said.frozen,
        charged=said.charged,
    )


def _under_gas(said: Said, item: str, ledger: Ledger) -> Said:
    """The same, charged where the recipe that was named says that the item is under gas."""
    product = known_here(ledger, said).products.get(item)
    gassy = product is not None and CHARGED in product.tags
    if said.still and (said.charged or gassy):
        raise BadInput(
            f"{named('still')} does not go with {named('charged')}; give one of them."
            if said.charged
            else f"{item} is under gas by its recipe; leave {named('still')} out.",
            "still",
        )
    return said._replace(charged=said.charged or gassy)


def _charged(said: Said, division: house_file.Division | None) -> bool | None:
    """Whether what is filled is under gas; None where it could be and nobody entered it."""
    if said.charged or said.still or division is None:
        return said.charged
    can_be = any(one.container.rated_bar is not None for one in division.fills)
    return None if can_be else False


def _filled(division: house_file.Division, found: Amount) -> tuple[tuple[str, int], ...]:
    """The mass in each container: whole mg, and all of the batch together."""
    assert found.density_g_m3 is not None
    each = [round(one.ml * found.density_g_m3 / 1e3) for one in division.fills]
    each[-1] += found.mg - sum(each)
    return tuple(
        (one.container.name, mg) for one, mg in zip(division.fills, each, strict=True) if mg > 0
    )


def _pour_ml(said: Said, at: StockLine) -> float | None:
    """The pour that was asked for, ml; read before anything is written."""
    if not said.pour:
        return None
    pour_ml = float(parse_quantity(said.pour, ("ml",), named("pour"), example="60 ml",
                                   measures=at.house.pantry.measures))  # fmt: skip
    house_file.pours(0.0, pour_ml)  # which refuses a pour of nothing
    return pour_ml


def _bottled(
    said: Said, pour_ml: float | None, division: house_file.Division, first: int
) -> list[str]:
    """What was filled, in words."""
    from prepkit.cautions import page_line

    last = first + len(division.fills) - 1
    numbers = f"number {first}" if last == first else f"numbers {first} to {last}"
    out = [f"filled: {division.words} ({numbers})"]
    if pour_ml is not None:
        sizes = dict.fromkeys(one.ml for one in division.fills)
        told = ", ".join(f"{house_file.pours(ml, pour_ml)} in {ml:.0f} ml" for ml in sizes)
        out.append(f"pours of {pour_ml:g} ml: {told}")
    if said.charged:
        out.append(f"CARE  {page_line('bottles-charged')}")
    elif _charged(said, division) is None:
        out.append(
            "NOTE  nobody told whether this is under gas, so no plan uses it. Tell it with stock "
            "measure."
        )
    if said.frozen:
        out.append(f"CARE  {page_line('bottles-frozen')}")
    return out


def fill(said: Said) -> str:
    """What stands loose of a batch is filled into containers."""
    at = desk(said)
    pour_ml = _pour_ml(said, at)
    with at.open() as ledger:
        item = item_of(said.words, ledger)
        where = where_of(said, at)._replace(bottle="")
        loose = where.of(ledger, item)
        if not loose:
            raise BadInput(f"nothing of {where.words(item)} stands outside of bottles.", "item")
        one = loose[0]
        if len({each.cell.batch for each in loose}) > 1 and said.batch is None:
            names = ", ".join(f'"{each.cell.batch}"' for each in loose[:8])
            raise BadInput(f"which batch of {item}? Add {named('batch')}: {names}.", "batch")
        found = Amount(item, one.mg, one.batch.density_g_m3)
        said = _under_gas(said, item, ledger)
        division = _fills(said, at, found)
        first = actions.fill_bottles(
            ledger,
            one,
            _filled(division, found),
            who=said.who or "",
            charged=_charged(said, division),
        )[0]
        return lines_of(_bottled(said, pour_ml, division, int(first.to_bottle or 1)))


# changing


def take(said: Said) -> str:
    """An amount is taken."""
    return _gone(said, "taken")


def serve(said: Said) -> str:
    """An amount is served."""
    return _gone(said, "served")


def discard(said: Said) -> str:
    """An amount is thrown away."""
    return _gone(said, "discarded")


def _gone(said: Said, kind: str) -> str:
    if kind == "discarded" and not (said.reason or "").strip():
        raise BadInput(f"why is it thrown away? Add {named('reason', 'spilt')}.", "reason")
    at = desk(said)
    with at.open() as ledger:
        found = in_stock(said, at, ledger)
        where = where_of(said, at)
        done = actions.take(
            ledger,
            found.item,
            found.mg,
            where,
            kind=kind,
            reason=said.reason or "",
            who=said.who or "",
            note=said.note or "",
            at=time_of(said),
        )
        out = [f"{kind}: {of_event(ledger, one)}" for one in done]
        out += _gas_lines(ledger, done)
        return lines_of([*out, _left(ledger, found.item, at.site)])


def count(said: Said) -> str:
    """What was counted is what stands."""
    at = desk(said)
    with at.open(create=True) as ledger:
        found = amount_of(said, at, ledger)
        where = where_of(said, at)
        opening, stands = None, where.of(ledger, found.item)
        told = next((name for name in ("use_by", "made_on") if getattr(said, name)), None)
        if stands and told:
            raise BadInput(
                f"{named(told)} is for what is new here, and {where.words(found.item)} stands "
                f"already; tell its last day with prepkit stock measure.",
                told,
            )
        if found.mg > 0:
            opening = _new_batch(said, at, found, "counted")
            if opening.use_by is None and not stands and not said.batch:
                raise BadInput(
                    f"{found.item} is new here. Until when does it keep? Add "
                    f"{named('use_by', '5 d')}, a day, or none.",
                    "use_by",
                )
        done = actions.count(
            ledger,
            found.item,
            found.mg,
            where,
            who=said.who or "",
            note=said.note or "",
            at=time_of(said),
            opening=opening,
        )
        change = sum(event.change_mg for event in done)
        density = ledger.batch(found.item, done[0].batch).density_g_m3
        more = "as the ledger says" if not change else (
            f"{amount_words(abs(change), density)} {'more' if change > 0 else 'less'} than the "
            f"ledger said"
        )  # fmt: skip
        return lines_of([f"counted: {more} (event {', '.join(str(one.id) for one in done)})",
                       _left(ledger, found.item, at.site)])  # fmt: skip


def move(said: Said) -> str:
    """An amount, or all of an item, goes elsewhere."""
    if (said.to is None) == (said.to_site is None):
        raise BadInput(
            f"where does it go? Give {named('to', 'fridge')} or {named('to_site', 'north bar')}.",
            "to",
        )
    at = desk(said)
    with at.open() as ledger:
        item, mg = _some_or_all(said, at, ledger)
        where, who, note = where_of(said, at), said.who or "", said.note or ""
        if said.to_site is not None:
            done = actions.send(ledger, item, mg, where, said.to_site, who=who, note=note)
            out = [f"sent to {said.to_site}: {of_event(ledger, one)}" for one in done]
            return lines_of([*out, *_gas_lines(ledger, done)])
        done = actions.move(ledger, item, mg, where, said.to or "", who=who, note=note)
        out = [f"moved to {said.to}: {of_event(ledger, one)}" for one in done]
        return lines_of([*out, *_gas_lines(ledger, done)])


def receive(said: Said) -> str:
    """What another house has sent arrives."""
    at = desk(said)
    with at.open() as ledger:
        item, mg = _some_or_all(said, at, ledger)
        where = where_of(said, at)
        if where.place is None:
            where = where._replace(place=at.house.stock.place)
        done = actions.receive(ledger, item, mg, where, who=said.who or "", note=said.note or "")
        out = [f"received: {of_event(ledger, one)}" for one in done]
        return lines_of([*out, *_gas_lines(ledger, done)])


def _gas_lines(ledger: Ledger, done: Iterable[Event]) -> list[str]:
    """What is said of a bottle under gas that is opened or carried."""
    from prepkit.cautions import page_line

    gassy = any(
        event.bottle and ledger.batch(event.item, event.batch).charged.get(event.bottle)
        for event in done
    )
    return [f"CARE  {page_line('bottles-under-gas')}"] if gassy else []


def _some_or_all(said: Said, at: StockLine, ledger: Ledger) -> tuple[str, int | None]:
    """An item with an amount, or by its name alone: all of it."""
    name = " ".join(said.words.split())
    if name in ledger.items() or not begins_with_number(name):
        return item_of(name, ledger), None
    found = in_stock(said, at, ledger)
    return found.item, found.mg


def undo(said: Said) -> str:
    """An event is taken back."""
    number = said.words.strip()
    if not number.isascii() or not number.isdigit() or len(number) > 9:
        raise BadInput(
            f'"{said.words}" is not the number of an event; prepkit stock events shows them.',
            "number",
        )
    at = desk(said)
    with at.open() as ledger:
        found = ledger.event(int(number))
        if found is None:
            raise BadInput(f"the ledger has no event {int(number)}; see prepkit stock events.")
        back = ledger.undo(found, who=said.who or "", note=said.note or "")
        return lines_of([f"undone by event {back.id}: {found.kind} {of_event(ledger, found)}"])


def of_event(ledger: Ledger, one: Event) -> str:
    """An event in words, with its number: 700 ml of peel-oleo "2026-11-29" in fridge (event 4).

    One that moves nothing, such as a measurement, has no amount.
    """
    cell = one.to_cell if one.kind == "received" and one.to_cell is not None else one.cell
    amount = amount_words(abs(one.change_mg), ledger.batch(one.item, one.batch).density_g_m3)
    of = f"{amount} of " if one.change_mg else ""
    return f"{of}{cell_words(cell)} (event {one.id})"


def _left(ledger: Ledger, item: str, site: str) -> str:
    """What is left of an item in a house."""
    found = ledger.stock_at(site=site, item=item)
    mg = sum(holding.mg for holding in found)
    densities = {holding.batch.density_g_m3 for holding in found}
    density = densities.pop() if len(densities) == 1 else None
    return f"left: {amount_words(mg, density)} of {item} at {site}" if mg else f"left: no {item}"
