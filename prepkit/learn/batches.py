"""Measured batches: written into the ledger from a plan and its readings, and read back.

    record(ledger, plan, readings, batch="2026-11-29", who="AB")    ->  the events written
    batches(ledger)  or  batches(ledger, "peel-oleo")               ->  Batch by Batch, oldest first

The figures of a batch stand in `Event.data` by name with their unit in it:

    yield_g expected_g brix density_kg_m3 acidity_percent abv_percent ph pressure_bar
    temperature_c minutes serves      what was read, as at 20 C where the sample was not
    weighed_g                         what was weighed in, by name
    recipe calculator                 where it belongs
    loss loss_kind loss_of loss_unit loss_low loss_high loss_practice
                                      what the batch says of a loss, and its usual range

A measurement with only some of them, such as `yield_g` and `brix`, is read as well.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING, NamedTuple, Protocol

from prepkit.errors import BadInput
from prepkit.learn import losses
from prepkit.plan.fields import Wrong
from prepkit.plan.from_stock import behind
from prepkit.plan.labels import last_day
from prepkit.plan.made import Made
from prepkit.plan.measured import compared
from prepkit.plan.plan import Plan
from prepkit.stock.amounts import density_of
from prepkit.stock.engine import writing
from prepkit.stock.events import NO_DATE, Event, now

if TYPE_CHECKING:
    from prepkit.plan.readings import Readings
    from prepkit.stock.ledger import Ledger

# figure by what is read: name in the ledger
FIGURES: Mapping[str, str] = {
    "mass": "yield_g", "refractometer": "brix", "density": "density_kg_m3",
    "acidity": "acidity_percent", "abv": "abv_percent", "ph": "ph", "pressure": "pressure_bar",
}  # fmt: skip


_MOST_OF_PUT_IN = 1.5  # a batch weighs, melt of ice among it, of all that was weighed in


class Measurement(Protocol):
    """What is asked of an event of the ledger."""

    @property
    def item(self) -> str:
        """The item that was measured."""

    @property
    def batch(self) -> str:
        """Its batch."""

    @property
    def at(self) -> datetime:
        """When."""

    @property
    def data(self) -> Mapping[str, object]:
        """The figures by name."""


class Batch(NamedTuple):
    """A measured batch: later readings of it go before earlier ones."""

    item: str
    batch: str
    at: datetime  # of its first measurement
    data: Mapping[str, object]

    @property
    def day(self) -> date:
        """The day that it is named after, else that of its first measurement."""
        return _day(self.batch, self.at)

    def figure(self, name: str) -> float | None:
        """A figure by name, None where it was not measured; BadInput for anything but a number."""
        value = self.data.get(name)
        if value is None:
            return None
        if (
            isinstance(value, bool)
            or not isinstance(value, int | float)
            or not math.isfinite(value)
        ):
            raise BadInput(
                f'{name} of {self.item} "{self.batch}" is {value!r} in the ledger; it must be a '
                f"number. Take that event back and measure again.",
                name,
            )
        return float(value)

    def text(self, name: str) -> str:
        """A word by name, empty where there is none."""
        value = self.data.get(name, "")
        return value if isinstance(value, str) else ""


def batches(source: Ledger | Iterable[Measurement], item: str | None = None) -> list[Batch]:
    """The measured batches in the order of their first measurement.

    `source` is an open ledger, or measurements in order.
    """
    found: dict[tuple[str, str], Batch] = {}
    for one in _measurements(source, item):
        key = (one.item, one.batch)
        first = found.get(key)
        if first is None:
            found[key] = Batch(one.item, one.batch, one.at, dict(one.data))
        else:
            found[key] = first._replace(data={**first.data, **one.data})
    return sorted(found.values(), key=lambda one: one.at)


def _measurements(
    source: Ledger | Iterable[Measurement], item: str | None
) -> Iterator[Measurement]:
    if isinstance(source, Iterable):
        return (one for one in source if item is None or one.item == item)
    return iter(source.measured(item))


def figures(
    plan: Plan,
    read: Mapping[str, Readings],
    file: str,
    weighed: Mapping[str, Mapping[str, float]] | None = None,
) -> dict[str, dict[str, object]]:
    """The figures of each item that was read, by item, as they go into the ledger.

    `weighed`: by item and name the grams that were really weighed in, where that was noted; what is
    expected of a batch follows where all of it was. Raises BadRecipe, with its place in the
    readings, for one that cannot be compared.
    """
    made = {one.item.id: one for one in plan.made}
    found: dict[str, dict[str, object]] = {}
    for drift in compared(plan, plan.to_dict()["items"], read, file).found:
        name = FIGURES[drift.what]
        found.setdefault(drift.item, {})[name] = drift.measured
    for id_, own in found.items():
        one = made[id_]
        assert one.product is not None  # a check has been refused by now
        planned = {line.name: line.mass_g for line in one.weigh}
        noted = {name: g for name, g in (weighed or {}).get(id_, {}).items() if name in planned}
        whole = math.fsum(planned.values())
        times = 1.0  # so many times the plan was really weighed in
        if noted.keys() == planned.keys() and whole > 0:
            times = math.fsum(noted.values()) / whole
        temperature = read[id_].values.get("temperature")
        own.update(
            {
                "recipe": plan.recipe.title,
                "calculator": one.item.calculator,
                "serves": plan.serves,
                "expected_g": round(1000 * one.product.mass_kg * times, 3),
                "weighed_g": {name: round(g, 3) for name, g in {**planned, **noted}.items()},
            }
        )
        if temperature is not None:
            own["temperature_c"] = float(temperature)
        mass_g = own.get("yield_g")
        if isinstance(mass_g, float) and mass_g > _MOST_OF_PUT_IN * whole * times > 0:
            raise Wrong(
                file, f"{id_}.mass",
                f"{mass_g:.0f} g cannot come of the {whole * times:.0f} g that went in for "
                f"{plan.serves} serves. Say for how many serves it was made, or weigh again.",
            )  # fmt: skip
        if isinstance(mass_g, float) and times > 0:
            own.update(_loss(plan, id_, mass_g / times))
    return found


def _loss(plan: Plan, id_: str, mass_g: float) -> dict[str, object]:
    loss = losses.loss_of(plan.prepared, id_)
    made = next(one for one in plan.made if one.item.id == id_)
    value = None if loss is None else losses.measured(plan, made, loss, mass_g)
    if loss is None or value is None:
        return {}
    return {
        "loss": round(value, 6), "loss_kind": loss.kind, "loss_of": loss.of,
        "loss_unit": loss.unit, "loss_low": loss.usual[0], "loss_high": loss.usual[1],
        "loss_practice": loss.practice,
    }  # fmt: skip


def record(
    ledger: Ledger,
    plan: Plan,
    read: Mapping[str, Readings],
    *,
    batch: str,
    file: str = "readings",
    site: str = "house",
    place: str = "",
    who: str = "",
    at: datetime | None = None,
    minutes: Mapping[str, float] | None = None,
    weighed: Mapping[str, Mapping[str, float]] | None = None,
) -> tuple[Event, ...]:
    """Write what was read of a plan's items into the ledger, in one transaction.

    A batch that the ledger does not know yet is written as made, so much as was weighed or, where
    it was not, as planned. `minutes`: how long each item took; `weighed`: what was really weighed
    in, see `figures`. What the ledger has of a batch just
    so already is not written again. Raises BadRecipe, BadInput, FileProblem; nothing is written
    then.
    """
    at = at or now()
    _not_ahead(batch, at)
    found = figures(plan, read, file, weighed)
    for id_, own in found.items():
        if minutes and id_ in minutes:
            own["minutes"] = float(minutes[id_])
    with writing(ledger.engine):  # looked up inside it: two at once never make one batch twice
        events = _events(ledger, plan, found, batch, site, place, who, at)
        return tuple(ledger.put(one) for one in events)


def _events(
    ledger: Ledger,
    plan: Plan,
    found: Mapping[str, dict[str, object]],
    batch: str,
    site: str,
    place: str,
    who: str,
    at: datetime,
) -> list[Event]:
    """The events of what was read that the ledger does not have just so already."""
    made = {one.item.id: one for one in plan.made}
    events: list[Event] = []
    for id_, own in found.items():
        if batch not in ledger.batches(id_):
            product = made[id_].product
            assert product is not None
            grams = own.get("yield_g", own["expected_g"])
            assert isinstance(grams, float)
            events.append(
                Event(
                    kind="made", item=id_, batch=batch, change_mg=round(1000 * grams), site=site,
                    place=place, at=at, who=who, made_on=_day(batch, at),
                    use_by=_use_by(ledger, plan, made[id_], _day(batch, at), site),
                    density_g_m3=_density_g_m3(plan, id_, own), note="recorded with its readings",
                )
            )  # fmt: skip
        known = ledger.events(kind="measured", item=id_, batch=batch, standing=True,
                              newest_first=True, most=1)  # fmt: skip
        if any(dict(one.data) == own for one in known):
            continue
        events.append(
            Event(kind="measured", item=id_, batch=batch, site=site, place=place, at=at, who=who,
                  data=own)
        )  # fmt: skip
    return events


def _use_by(ledger: Ledger, plan: Plan, one: Made, day: date, site: str) -> date | str | None:
    """The last day of a batch by the keeping rules and its recipe; None where none knows it.

    What it is made from may be of any batch that stands and keeps: the days count from the oldest.
    """
    parts = [
        held.batch.made_on
        for id_ in behind(plan.prepared, one.item.id)
        for held in ledger.stock_at(site=site, item=id_)
        if held.batch.made_on is not None and held.batch.made_on < day and held.keeps_on(day)
    ]
    rule = last_day(one, day, min(parts, default=None))
    if rule.exempt:
        return NO_DATE
    return None if rule.last is None else max(rule.last, day)


def _named_day(batch: str) -> date | None:
    """The day that a batch is named after, if it is."""
    try:
        return date.fromisoformat(batch[:10])
    except ValueError:
        return None


def _not_ahead(batch: str, at: datetime) -> None:
    """Refuse a batch of a day that is still to come."""
    day = _named_day(batch)
    if day is not None and day > at.astimezone().date():
        raise BadInput(
            f"the batch is of {day.isoformat()}, which is in the future. Write the day of making.",
            "batch",
        )


def _density_g_m3(plan: Plan, id_: str, own: Mapping[str, object]) -> int | None:
    """The density of a batch as it was read, else as it was planned."""
    read = own.get("density_kg_m3")
    if isinstance(read, float):
        return round(1000 * read)
    product = plan.prepared.products.get(id_)
    return None if product is None else density_of(product)


def _day(batch: str, at: datetime) -> date:
    """The day that a batch is named after, else that of the measurement."""
    return _named_day(batch) or at.astimezone().date()
