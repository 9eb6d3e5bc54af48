"""What was read of a batch, told on the command line."""

from __future__ import annotations

from prepkit.errors import BadInput, named
from prepkit.near import nearest
from prepkit.numbers import parse_number
from prepkit.stock.amounts import density_words, use_by
from prepkit.stock.events import Event
from prepkit.stock.holding import later
from prepkit.stock.ledger import Ledger
from prepkit.units import parse_quantity
from prepkit.workflows.stock_desk import Desk, Said, desk, item_of, time_of

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


def _bottle(said: Said, at: Desk, ledger: Ledger, item: str, batch: str) -> str:
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
        one.cell.bottle
        for one in ledger.stock_at(site=at.site, item=item)
        if one.cell.batch == batch and one.cell.bottle
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


def _one_batch(said: Said, at: Desk, ledger: Ledger, item: str) -> str:
    """The batch that is meant: the one that was named, or the only one that stands."""
    if said.batch is not None:
        if said.batch not in ledger.batches(item):
            raise BadInput(
                f'{item} has no batch "{said.batch}"; {nearest(said.batch, ledger.batches(item))}.',
                "batch",
            )
        return said.batch
    stand = sorted({one.cell.batch for one in ledger.stock_at(site=at.site, item=item)})
    if len(stand) != 1:
        names = ", ".join(f'"{one}"' for one in stand[:8]) or "none stands here"
        raise BadInput(f"which batch of {item}? Add {named('batch')}: {names}.", "batch")
    return stand[0]
