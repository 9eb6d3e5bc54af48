"""The stock and its events as tables and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from prepkit.errors import one_line
from prepkit.render.grid import grid
from prepkit.stock.events import NO_DATE, Event
from prepkit.stock.holding import Holding, oldest_first
from prepkit.stock.words import amount_words

# of an event, beside what was read: what a batch was planned as, and what it says of a loss
NOT_READ = frozenset((
    "counted_mg", "recipe", "calculator", "serves", "expected_g", "weighed_g", "minutes", "loss",
    "loss_kind", "loss_of", "loss_unit", "loss_low", "loss_high", "loss_practice",
))  # fmt: skip
_UNITS = {
    "brix": " Bx", "abv": " % vol", "acidity": " % w/w", "density": " kg/m3",
    "acidity_percent": " % w/w", "abv_percent": " % vol", "density_kg_m3": " kg/m3",
    "yield_g": " g made", "temperature_c": " °C", "pressure_bar": " bar",
}  # fmt: skip


def table(
    found: Iterable[Holding], site: str, today: date, low: Sequence[tuple[str, str, str]] = ()
) -> str:
    """What stands: what is past its date and what is low first, then all by item, oldest first."""
    stock = sorted(oldest_first(found), key=lambda one: one.cell.item)
    if not stock and not low:
        return f"nothing stands at {site}.\n"
    items = len({one.cell.item for one in stock})
    out = [f"{items} {'item' if items == 1 else 'items'} at {site}, {today.isoformat()}"]
    expired = [one for one in stock if past(one, today)]
    undated = [one for one in stock if one.batch.use_by is None]
    for one in expired:
        out.append(f"CARE  past its date: {_named(one)}. Discard it.")
    if undated:
        names = ", ".join(dict.fromkeys(one.cell.item for one in undated))
        out.append(f"NOTE  no use by is known of {names}; a plan does not use it.")
    out += [f"NOTE  below par: {name}, {have} (par {par})" for name, have, par in low]
    rows = [
        [
            one.cell.item,
            one.cell.batch,
            one.cell.place,
            " ".join(filter(None, (one.cell.bottle, one.container or "", gas_words(one)))),
            amount_words(one.mg, one.batch.density_g_m3),
            day_words(one.batch.made_on),
            f"{day_words(one.batch.use_by)}{' past' if past(one, today) else ''}",
            reading_words(one.batch.reading),
        ]
        for one in stock
    ]
    headers = ["item", "batch", "place", "bottle", "amount", "made", "use by", "reading"]
    used = [place for place in range(len(headers)) if any(row[place] for row in rows)]
    if rows:
        out += [
            "",
            grid(
                [[row[place] for place in used] for row in rows],
                [headers[place] for place in used],
                "".join("r" if headers[place] == "amount" else "l" for place in used),
            ),
        ]
    return "\n".join(out) + "\n"


def sums_table(found: Iterable[Holding], today: date) -> str:
    """What stands at all sites: each item in all, and at each site; on the way is counted there."""
    items: dict[str, dict[str, list[Holding]]] = {}
    for one in sorted(oldest_first(found), key=lambda held: (held.cell.item, held.cell.site)):
        items.setdefault(one.cell.item, {}).setdefault(one.cell.site, []).append(one)
    if not items:
        return "nothing stands at any site.\n"
    sites = {site for of in items.values() for site in of}
    rows = []
    for item, of in items.items():
        every = [one for some in of.values() for one in some]
        gone = [one for one in every if past(one, today)]
        rows.append(
            [
                item,
                _sum_words(every),
                ", ".join(f"{site} {_sum_words(some)}" for site, some in of.items()),
                _sum_words(gone) if gone else "",
            ]
        )
    headers = ["item", "in all", "at each site", "of it past its date"]
    used = 4 if any(row[3] for row in rows) else 3
    title = f"{len(items)} {'item' if len(items) == 1 else 'items'} at {len(sites)} sites"
    table_ = grid([row[:used] for row in rows], headers[:used], "lrlr"[:used])
    return f"{title}, {today.isoformat()}\n\n{table_}\n"


def _sum_words(held: Sequence[Holding]) -> str:
    """How much of one item; in g where its batches have several densities."""
    densities = {one.batch.density_g_m3 for one in held}
    return amount_words(
        sum(one.mg for one in held), densities.pop() if len(densities) == 1 else None
    )


def as_json(found: Iterable[Holding], site: str | None, today: date) -> dict[str, object]:
    """What stands, for a program; `site` is None where it is all of them."""
    return {
        "site": site,
        "on": today.isoformat(),
        "stock": [
            {
                **one.cell._asdict(),
                "container": one.container,
                "charged": one.charged,
                "g": one.mg / 1000,
                "ml": one.ml,
                "made_on": day_words(one.batch.made_on) or None,
                "use_by": day_words(one.batch.use_by) or None,
                "past": past(one, today),
                "reading": dict(one.batch.reading),
            }
            for one in found
        ],
    }


def events_table(found: Iterable[Event], densities: Mapping[tuple[str, str], int | None]) -> str:
    """The events, one in a line."""
    rows = []
    for one in found:
        amount = ""
        if one.change_mg:
            words = amount_words(abs(one.change_mg), densities.get((one.item, one.batch)))
            amount = f"{'-' if one.change_mg < 0 else '+'}{words} "
        told = (
            f"{amount}{one.item} {one.batch}", _went(one), reading_words(one.data), one.reason,
            one.note, one.who,
        )  # fmt: skip
        when = f"{one.at.astimezone():%Y-%m-%d %H:%M}"
        rows.append([str(one.id), when, one.kind, "; ".join(filter(None, told))])
    if not rows:
        return "the ledger has no such event.\n"
    return grid(rows, ["no", "when", "what", "of"], "rlll") + "\n"


def _went(one: Event) -> str:
    """Where it happened, or where it went from there."""
    to = one.to_cell
    if to is None:
        return " ".join(filter(None, (one.place, one.bottle and f"bottle {one.bottle}")))
    site = to.site if to.site != one.site else ""
    bottle = f"bottle {to.bottle}" if to.bottle != one.bottle else ""
    return " ".join(filter(None, ("to", site, to.place, bottle)))


def events_as_json(found: Iterable[Event]) -> dict[str, object]:
    """The events, for a program."""
    return {
        "events": [
            {
                "id": one.id,
                "mark": one.mark,
                "kind": one.kind,
                "at": one.at.isoformat(),
                **one.cell._asdict(),
                "change_g": one.change_mg / 1000,
                "to": None if one.to_cell is None else one.to_cell._asdict(),
                "corrects": one.corrects,
                "reason": one.reason,
                "who": one.who,
                "note": one.note,
                "data": dict(one.data),
            }
            for one in found
        ]
    }


def reading_words(data: Mapping[str, object]) -> str:
    """Figures that were measured, in words."""
    told = (
        f"{value:g}{_UNITS[name]}" if name in _UNITS and isinstance(value, int | float)
        else f"{name.replace('_', ' ')} {value}"
        for name, value in data.items()
        if name not in NOT_READ
    )  # fmt: skip
    return one_line(", ".join(told))


def gas_words(one: Holding) -> str:
    """Of a bottle under gas, that it is; of one of which nobody told, that nobody did."""
    return {True: "under gas", False: "", None: "gas not told"}[one.charged]


def past(one: Holding, today: date) -> bool:
    return isinstance(one.batch.use_by, date) and one.batch.use_by < today


def day_words(day: date | str | None) -> str:
    if isinstance(day, date):
        return day.isoformat()
    return NO_DATE if day == NO_DATE else ""


def _named(one: Holding) -> str:
    bottle = f" bottle {one.cell.bottle}" if one.cell.bottle else ""
    amount = amount_words(one.mg, one.batch.density_g_m3)
    return f"{amount} of {one.cell.item} {one.cell.batch}{bottle}"
