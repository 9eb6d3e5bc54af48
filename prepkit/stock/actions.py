"""Words of stock, and what a person does with it: add, take, discard, count, move, send.

Words become an item, an amount and dates: "2 l peel-oleo", "5 d", "2026-12-03".

Each act is one transaction. What is chosen (which batch goes first, what a count changes) is chosen
inside it, so that two people at once never take the same thing twice.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import NamedTuple

from prepkit import numbers
from prepkit.errors import BadInput, UnknownIngredient, named
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.plan.house_file import MOST_BOTTLES
from prepkit.stock import Ledger, cell_words, correction
from prepkit.stock.engine import writing
from prepkit.stock.events import (
    NO_DATE,
    ON_THE_WAY,
    OUT,
    Cell,
    Event,
    Holding,
    Share,
    amount_words,
    now,
    oldest_first,
    shares,
    two_amounts,
)
from prepkit.units import Measured, parse_number, parse_quantity, sized, split_amount

# ---- words of stock ----

_KEEPS = ("dry", "spirit")  # words of the pantry for what has no last day
_MOST_DAYS = 3650


class KnownItems(NamedTuple):
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


NOTHING = KnownItems()


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
    known: KnownItems = NOTHING,
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
) -> KnownItems:
    """What a ledger and a recipe know."""
    return KnownItems(dict(items), products or {})


# ---- what a person does with stock ----


class StockChanged(BadInput):
    """The stock is not what the one who acts has seen: mg by cell, as it is now."""

    def __init__(self, wording: str, stands: Mapping[Cell, int] | None = None) -> None:
        super().__init__(wording, "amount")
        self.stands = dict(stands or {})


class Counted(NamedTuple):
    """One cell as it was counted; `seen_mg` is what the ledger showed to who counted, or None."""

    cell: Cell
    mg: int
    seen_mg: int | None


class Where(NamedTuple):
    """Which part of the stock is meant: a site, and what of it was named."""

    site: str = "house"
    place: str | None = None
    batch: str | None = None
    bottle: str | None = None

    def of(self, ledger: Ledger, item: str) -> list[Holding]:
        """What stands there of an item, the oldest first; what is on the way only by name."""
        found = ledger.stock_at(site=self.site, item=item, place=self.place)
        return oldest_first(
            holding
            for holding in found
            if (self.batch is None or holding.cell.batch == self.batch)
            and (self.bottle is None or holding.cell.bottle == self.bottle)
            and (self.place is not None or holding.cell.place != ON_THE_WAY)
        )

    def words(self, item: str) -> str:
        """As a sentence names it."""
        batch = f' "{self.batch}"' if self.batch else ""
        bottle = f" bottle {self.bottle}" if self.bottle else ""
        place = f" in {self.place}" if self.place else ""
        return f"{item}{batch}{bottle}{place} at {self.site}"


def add(
    ledger: Ledger,
    event: Event,
    fills: Iterable[tuple[str, int]] = (),
    *,
    charged: bool | None = None,
) -> Event:
    """Append what was made or bought as a batch of its own, and fill bottles (container, mg) of it.

    `charged` says whether the bottles are under gas; None is not told.
    A batch of that name is there already: -2, -3 is put after its name.
    """
    with writing(ledger.engine):
        stands = ledger.put(replace(event, batch=free_batch(ledger, event.item, event.batch)))
        for bottle in _into_bottles(ledger, stands.cell, list(fills), stands.who, charged):
            ledger.put(bottle)
        return stands


def free_batch(ledger: Ledger, item: str, batch: str) -> str:
    """The name of a batch, with -2, -3 after it where there is one of that name already."""
    taken = set(ledger.batches(item))
    return next(
        name for name in (batch, *(f"{batch}-{n}" for n in range(2, len(taken) + 3)))
        if name not in taken
    )  # fmt: skip


def take(
    ledger: Ledger,
    item: str,
    mg: int,
    where: Where,
    *,
    kind: str = "taken",
    on: date | None = None,
    reason: str = "",
    who: str = "",
    note: str = "",
    at: datetime | None = None,
) -> tuple[Event, ...]:
    """Take, serve or discard an amount: the oldest first, and nothing past its date.

    What is past its date, or has none, can be discarded, and what has none be taken where its batch
    is named. Raises BadInput where there is not enough, saying how much there is.
    """
    if kind not in OUT or mg <= 0:
        raise BadInput(
            f"the amount of {item} is {mg / 1000:g} g; it must be more than 0.", "amount"
        )
    at = at or now()
    day = on or at.astimezone().date()
    with writing(ledger.engine):
        found = where.of(ledger, item)
        good = (
            found
            if kind == "discarded"
            else [holding for holding in found if _usable(holding, day, where)]
        )
        taken, lacking = shares(good, mg)
        if lacking:
            raise BadInput(_lacking(item, mg, where, found, good), "amount")
        return tuple(
            ledger.put(_from(share, kind, at=at, reason=reason, who=who, note=note))
            for share in taken
        )


def _usable(one: Holding, day: date, where: Where) -> bool:
    return one.keeps_on(day) or (one.batch.use_by is None and where.batch is not None)


def _from(
    share: Share,
    kind: str,
    *,
    to: tuple[str, str] | None = None,
    at: datetime | None = None,
    reason: str = "",
    who: str = "",
    note: str = "",
) -> Event:
    """The event that takes a share from where it stands, to a site and place where one is told."""
    cell = share.holding.cell
    to_site, to_place = to or (None, None)
    return Event(
        **cell._asdict(), kind=kind, change_mg=-share.mg, at=at or now(), to_site=to_site,
        to_place=to_place, to_bottle=None if to is None else cell.bottle, reason=reason, who=who,
        note=note,
    )  # fmt: skip


def _lacking(item: str, mg: int, where: Where, found: list[Holding], good: list[Holding]) -> str:
    """Why an amount cannot be taken, in one sentence."""
    density = found[0].batch.density_g_m3 if found else None
    have = sum(holding.mg for holding in good)
    stands, wanted = two_amounts(have, mg, density)
    words = (
        f"{wanted} of {where.words(item)} cannot be taken: there is {stands if have else 'none'}"
    )
    past = sum(holding.mg for holding in found) - have
    if past:
        words += (
            f". {amount_words(past, density)} is past its date or has no date; discard it or "
            f"name its batch"
        )
    return f"{words}."


def count(
    ledger: Ledger,
    item: str,
    mg: int,
    where: Where,
    *,
    who: str = "",
    note: str = "",
    at: datetime | None = None,
    opening: Event | None = None,
) -> tuple[Event, ...]:
    """Set what stands of an item in a place to what was counted.

    Less than the ledger says: the oldest is taken to have gone. More: it must be said of which
    batch, unless there is one. None there: `opening` is the event that puts it there.
    """
    if mg < 0:
        raise BadInput(f"{mg / 1000:g} g cannot be counted; write 0 or more.", "amount")
    at = at or now()
    with writing(ledger.engine):
        found = where.of(ledger, item)
        if not found:
            if opening is None or mg == 0:
                raise BadInput(f"there is no {where.words(item)} in the ledger.", "item")
            known = ledger.batches(item)
            batch = where.batch or free_batch(ledger, item, opening.batch)
            again = batch in known
            event = replace(
                opening,
                kind="counted",
                batch=batch,
                change_mg=mg,
                data={"counted_mg": mg},
                density_g_m3=None if again else opening.density_g_m3,
                made_on=None if again else opening.made_on,
            )
            return (ledger.put(event),)
        over = mg - sum(holding.mg for holding in found)
        if over > 0 and len(found) > 1:
            raise BadInput(
                f"{amount_words(over, found[0].batch.density_g_m3)} more was counted than the "
                f"{len(found)} batches of {where.words(item)} in the ledger; count each of them.",
                "batch",
            )
        gone = (
            {share.holding.cell: share.mg for share in shares(found, -over)[0]} if over < 0 else {}
        )
        done = []
        for one in found:
            change = over if over > 0 else -gone.get(one.cell, 0)
            event = Event(
                **one.cell._asdict(), kind="counted", change_mg=change, at=at, who=who, note=note,
                data={"counted_mg": one.mg + change},
            )  # fmt: skip
            done.append(ledger.put(event))
        return tuple(done)


def count_each(
    ledger: Ledger,
    counted: Iterable[Counted],
    *,
    who: str = "",
    at: datetime | None = None,
) -> tuple[Event, ...]:
    """Set what stands in each cell to what was counted in it: all of them, or none.

    Raises StockChanged, with every such cell, where another has changed what was seen.
    """
    wanted, at = list(counted), at or now()
    for one in wanted:
        if one.mg < 0:
            raise BadInput(f"{one.mg / 1000:g} g cannot be counted; write 0 or more.", "amount")
    with writing(ledger.engine):
        stands = {
            held.cell: held.mg
            for site, item in {(one.cell.site, one.cell.item) for one in wanted}
            for held in ledger.stock_at(site=site, item=item)
        }
        have = {one.cell: stands.get(one.cell, 0) for one in wanted}
        changed = {one.cell: have[one.cell] for one in wanted if one.seen_mg != have[one.cell]}
        if changed:
            raise StockChanged("what stands has changed since it was shown.", changed)
        return tuple(
            ledger.put(
                Event(
                    **one.cell._asdict(), kind="counted", change_mg=one.mg - have[one.cell], at=at,
                    who=who, data={"counted_mg": one.mg},
                )
            )
            for one in wanted
        )  # fmt: skip


def last_event(ledger: Ledger, site: str) -> Event | None:
    """The newest event of a site that stands; None where there is none."""
    return next(ledger.events(site=site, standing=True, newest_first=True, most=1), None)


def undo_last(ledger: Ledger, site: str, mark: str, *, who: str = "") -> Event:
    """Take back the newest event of a site; StockChanged where it is not the one of that mark."""
    with writing(ledger.engine):
        last = last_event(ledger, site)
        if last is None or last.mark != mark:
            raise StockChanged("another event is the last one now; look at it before you undo it.")
        return ledger.put(correction(last, who=who))


def move(
    ledger: Ledger,
    item: str,
    mg: int | None,
    where: Where,
    to_place: str,
    *,
    who: str = "",
    note: str = "",
) -> tuple[Event, ...]:
    """Move an amount of an item, or all of it (None), to another place of the site."""
    return _between(ledger, item, mg, where, "moved", where.site, to_place, who, note)


def send(
    ledger: Ledger,
    item: str,
    mg: int | None,
    where: Where,
    to_site: str,
    *,
    who: str = "",
    note: str = "",
) -> tuple[Event, ...]:
    """Send an amount of an item, or all of it, to another site; it is on the way until received."""
    if to_site == where.site:
        raise BadInput(f"{item} is at {to_site} already; name another site.", "to_site")
    return _between(ledger, item, mg, where, "sent", to_site, ON_THE_WAY, who, note)


def receive(
    ledger: Ledger,
    item: str,
    mg: int | None,
    where: Where,
    *,
    who: str = "",
    note: str = "",
) -> tuple[Event, ...]:
    """Receive what was sent to a site, into a place of it; None is all that is on the way.

    What does not arrive stays on the way until it is received or discarded.
    """
    there = where._replace(place=ON_THE_WAY)
    to_place = where.place or ""
    return _between(ledger, item, mg, there, "received", where.site, to_place, who, note)


def _between(
    ledger: Ledger,
    item: str,
    mg: int | None,
    where: Where,
    kind: str,
    to_site: str,
    to_place: str,
    who: str,
    note: str,
) -> tuple[Event, ...]:
    if mg is not None and mg <= 0:
        raise BadInput(
            f"the amount of {item} is {mg / 1000:g} g; it must be more than 0.", "amount"
        )
    with writing(ledger.engine):
        found = [
            holding
            for holding in where.of(ledger, item)
            if (holding.cell.site, holding.cell.place) != (to_site, to_place)
        ]
        have = sum(holding.mg for holding in found)
        if not found or (mg is not None and mg > have):
            none = f"there is no {where.words(item)} to be {kind}."
            raise BadInput(_lacking(item, mg, where, found, found) if mg else none, "amount")
        chosen, _ = shares(found, have if mg is None else mg)
        return tuple(
            ledger.put(_from(share, kind, to=(to_site, to_place), who=who, note=note))
            for share in chosen
        )


def fill_bottles(
    ledger: Ledger,
    holding: Holding,
    fills: Iterable[tuple[str, int]],
    *,
    who: str = "",
    charged: bool | None = None,
) -> tuple[Event, ...]:
    """Fill bottles (container, mg) from what stands loose of a batch; they are numbered on from it.

    `charged` says whether they are under gas; None is not told.
    Raises BadInput where a bottle is larger than what is left of the batch.
    """
    cell = holding.cell
    wanted = list(fills)
    if cell.bottle:
        raise BadInput(f"{cell_words(cell)} is a bottle already.", "bottle")
    if not 0 < len(wanted) <= MOST_BOTTLES:
        raise BadInput(f"{len(wanted)} bottles; fill 1 to {MOST_BOTTLES} at once.", "bottle")
    with writing(ledger.engine):
        return tuple(
            ledger.put(bottle) for bottle in _into_bottles(ledger, cell, wanted, who, charged)
        )


def _into_bottles(
    ledger: Ledger, cell: Cell, wanted: list[tuple[str, int]], who: str, charged: bool | None
) -> list[Event]:
    """The events that fill bottles from what is loose, numbered on from those of the batch."""
    known = ledger.batch(cell.item, cell.batch).containers
    first = 1 + max((int(text) for text in known if text.isdigit()), default=0)
    return [
        Event(
            **cell._asdict(), kind="moved", change_mg=-mg, to_site=cell.site, to_place=cell.place,
            to_bottle=str(number), container=container, who=who, charged=charged,
        )
        for number, (container, mg) in enumerate(wanted, first)
    ]  # fmt: skip
