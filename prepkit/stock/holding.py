"""What stands: a part of the stock with what is known of its batch, and the oldest first."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from datetime import date
from typing import NamedTuple

from prepkit.stock.events import NO_DATE, Cell, Event


class Batch(NamedTuple):
    """What the standing events of one batch say of it."""

    made_on: date | None = None
    use_by: date | str | None = None
    density_g_m3: int | None = None
    reading: Mapping[str, object] = {}
    containers: Mapping[str, str] = {}  # by bottle
    charged: Mapping[str, bool] = {}  # whether it is under gas, by bottle, where that was told

    @classmethod
    def of(cls, events: Iterable[Event]) -> Batch:
        """The facts of all events of one batch in their order: the last that was told holds.

        Of several last days the earliest holds: none is made later but by taking its event back.
        """
        told = list(events)
        back = {one.corrects: one.mark for one in told if one.corrects is not None}
        found = cls()
        for one in told:
            if one.kind == "corrected" or not stands(one.mark, back):
                continue
            bottle = one.bottle if one.to_bottle is None else one.to_bottle
            found = cls(
                one.made_on or found.made_on,
                _earliest(found.use_by, one.use_by),
                one.density_g_m3 or found.density_g_m3,
                {**found.reading, **one.data} if one.kind == "measured" else found.reading,
                {**found.containers, bottle: one.container} if one.container else found.containers,
                found.charged if one.charged is None else {**found.charged, bottle: one.charged},
            )
        return found

    def row(self) -> tuple[str | None, str | None, int | None, str, str, str]:
        """Its row in the ledger, without item and batch."""
        use_by = self.use_by.isoformat() if isinstance(self.use_by, date) else self.use_by
        return (
            self.made_on.isoformat() if self.made_on else None,
            use_by,
            self.density_g_m3,
            json.dumps(dict(self.reading), sort_keys=True, ensure_ascii=False),
            json.dumps(dict(self.containers), sort_keys=True, ensure_ascii=False),
            json.dumps(dict(self.charged), sort_keys=True, ensure_ascii=False),
        )


def later(use_by: date | str, told: date | str | None) -> bool:
    """Whether a last day is later than the one that was told; NO_DATE is the latest."""
    return isinstance(told, date) and (not isinstance(use_by, date) or use_by > told)


def _earliest(told: date | str | None, use_by: date | str | None) -> date | str | None:
    return told if use_by is None or later(use_by, told) else use_by


def stands(mark: str, back: Mapping[str, str]) -> bool:
    """Whether an event holds: taken back once it does not, and that taken back it does again.

    back: by mark, the mark of the event that takes it back.
    """
    holds = True
    while mark in back:
        mark, holds = back[mark], not holds
    return holds


class Holding(NamedTuple):
    """A part of the stock: where it stands, how much it is, and what is known of its batch."""

    cell: Cell
    mg: int
    batch: Batch = Batch()

    @property
    def kg(self) -> float:
        """Mass, kg."""
        return self.mg / 1e6

    @property
    def ml(self) -> float | None:
        """Volume at the density of the batch; None where that is not known."""
        return 1e3 * self.mg / self.batch.density_g_m3 if self.batch.density_g_m3 else None

    @property
    def container(self) -> str | None:
        """The container that its bottle is."""
        return self.batch.containers.get(self.cell.bottle)

    @property
    def charged(self) -> bool | None:
        """Whether its bottle is under gas; None where nobody told. What stands loose is not."""
        return self.batch.charged.get(self.cell.bottle, None if self.cell.bottle else False)

    def keeps_on(self, day: date) -> bool:
        """Whether it may be used on a day; not where its date has passed or was never told."""
        use_by = self.batch.use_by
        return use_by == NO_DATE or (isinstance(use_by, date) and day <= use_by)


def oldest_first(holdings: Iterable[Holding]) -> list[Holding]:
    """The order in which stock is used: what must go first, then what was made first.

    What has no date goes last; open stock before bottles, and bottles by their number.
    """

    def order(one: Holding) -> tuple[object, ...]:
        use_by, made_on = one.batch.use_by, one.batch.made_on
        return (
            use_by if isinstance(use_by, date) else date.max,
            made_on or date.max,
            one.cell.batch,
            one.cell.place,
            len(one.cell.bottle),
            one.cell.bottle,
        )

    return sorted(holdings, key=order)


class Share(NamedTuple):
    """So much of one holding."""

    holding: Holding
    mg: int


def shares(holdings: Iterable[Holding], mg: int) -> tuple[tuple[Share, ...], int]:
    """At most `mg` out of holdings in their order, and what is lacking."""
    found: list[Share] = []
    for one in holdings:
        if mg <= 0:
            break
        take = min(one.mg, mg)
        found.append(Share(one, take))
        mg -= take
    return tuple(found), max(mg, 0)
