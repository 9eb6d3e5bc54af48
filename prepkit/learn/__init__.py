"""The bench learns: measured batches in the ledger, and what they tell of an item's loss.

`using` gives the next plan what was learnt, holds a reading against its limits, and finds the bias
of an instrument. Nothing here is an input of a pressure, a fill, the air or a date.

What drained solids keep is worked out from the mass that was made: the calculator is run at two
values of what is kept, between which both are straight lines. What else is lost is a share of what
was to be made. These inputs and the share are all that learning ever sets.

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

from prepkit import registry
from prepkit.errors import BadInput, PrepkitError
from prepkit.ingredient import Part
from prepkit.inputs import Inputs
from prepkit.model import Answer
from prepkit.plan.files import MOST_LOSS, Wrong
from prepkit.plan.filling import Made, Planned
from prepkit.plan.labels import last_day
from prepkit.plan.measured import compared
from prepkit.plan.plan import Plan
from prepkit.plan.prepare import Kind, Prepared
from prepkit.plan.sites import behind
from prepkit.science import control_chart
from prepkit.science.control_chart import Belief
from prepkit.stock.actions import density_of
from prepkit.stock.engine import writing
from prepkit.stock.events import NO_DATE, Event, now

if TYPE_CHECKING:
    from prepkit.plan.recipe_file import Readings
    from prepkit.stock import Ledger


# ---- which loss an item of a plan has, its usual range, and what a measured batch says of it ----


class Solids(NamedTuple):
    """A calculator whose solids keep liquid: the input that says how much, and its outputs."""

    kind: Kind
    parts: str  # the input of the solids
    field: str  # the input of what they keep
    kept: str  # the output, g
    unit: str
    at: tuple[float, float]  # two small values of the field, for the straight line
    most: float  # of the field
    instead: tuple[str, ...] = ()  # inputs that say the same thing


# the only inputs that learning may set, by calculator
SOLIDS: Mapping[str, Solids] = {
    "oleo": Solids("peel", "peel", "kept", "kept", "%", (1.0, 2.0), 150.0),
    "infuse": Solids("plants", "botanical", "kept", "kept", "g/g", (0.01, 0.02), 20.0,
                     ("drained",)),
    "cordial": Solids("plants", "part", "kept_by_solids", "kept_by_plants", "g/g", (0.01, 0.02),
                      20.0),
}  # fmt: skip
LOSS = "loss"  # of an item, the share lost on the way
# between which every usual range of solids lies: oleo's of drained peel, the table of infuse with
# the plant's own water on top [PEEL-PRACTICE, INFUSION-TRADE]
WIDEST: Mapping[Kind, tuple[float, float]] = {"peel": (20.0, 60.0), "plants": (0.1, 13.0)}
# no published figure: what is usual by the trade's practice, share of what is made [PRACTICE]
USUAL: Mapping[Kind, tuple[float, float]] = {"straining": (0.005, 0.08), "vessel": (0.02, 0.15)}

_FELT = 0.01  # of the mass, that half of the usual range must move it by


class Loss(NamedTuple):
    """One loss: which kind, of what, in which unit, and its usual range in that unit."""

    kind: Kind
    of: str
    field: str
    unit: str
    usual: tuple[float, float]
    practice: bool

    @property
    def key(self) -> tuple[Kind, str]:
        """What batches of the same loss share."""
        return self.kind, self.of

    def prior(self) -> Belief:
        """What is known before any own batch, on the scale of `unit`."""
        if self.unit == "%":
            return control_chart.share_prior(*(min(value / 100, 1.0) for value in self.usual))
        return control_chart.ratio_prior(*self.usual)

    def learnt(self, values: Iterable[float], prior: Belief | None = None) -> Belief:
        """The prior, or another, narrowed by own batches, in `unit`."""
        return control_chart.learnt(prior or self.prior(), self.plain(values))

    def plain(self, values: Iterable[float]) -> list[float]:
        """Values in `unit` as shares or ratios, none above what can be."""
        times = 100.0 if self.unit == "%" else 1.0
        most = 1.0 if self.unit == "%" else math.inf
        return [min(value / times, most) for value in values]


def keys(prepared: Prepared, id_: str) -> tuple[tuple[Kind, str], ...]:
    """The keys that batches of an item may be recorded under; nothing is run for it."""
    item = prepared.recipe.items[id_]
    if id_ not in prepared.products:
        return ()
    inputs, answer = prepared.ran[id_]
    found: list[tuple[Kind, str]] = []
    solids = SOLIDS.get(item.calculator)
    worked_out = solids is not None and answer is not None and solids.kept in answer.values
    if solids is not None and worked_out and (names := _names(inputs, solids)):
        found.append((solids.kind, names))
    vessel = answer is None or item.vessel is not None
    return (*found, ("vessel" if vessel else "straining", id_))


def loss_of(prepared: Prepared, id_: str) -> Loss | None:
    """The loss of an item: what its solids keep where that is felt, else what is lost on the way.

    None of a check and of an item that makes nothing.
    """
    item = prepared.recipe.items[id_]
    found = keys(prepared, id_)
    if not found:
        return None
    if len(found) > 1:
        solids = SOLIDS[item.calculator]
        usual = _usual(item.calculator, prepared.ran[id_][0], solids)
        if usual is not None:
            return Loss(*found[0], solids.field, solids.unit, usual, practice=False)
    kind, of = found[-1]
    low, high = USUAL[kind]
    return Loss(kind, of, LOSS, "%", (100 * low, 100 * high), practice=True)


def measured(plan: Planned, made: Made, loss: Loss, mass_g: float) -> float | None:
    """What a batch says of its loss, in the loss's unit, from the mass that was made.

    None where the mass tells nothing of it: more than all that went in, or less than all kept.
    """
    assert made.product is not None
    expected_g = 1000 * made.product.mass_kg
    if loss.field == LOSS:
        share = max(0.0, 1.0 - mass_g / expected_g)
        return 100 * share if 100 * share <= MOST_LOSS else None
    inputs, _ = plan.prepared.ran[made.item.id]
    solids = SOLIDS[made.item.calculator]
    ends = _ends(made.item.calculator, inputs, solids)
    if ends is None or not made.demand.scale > 0:
        return None
    (x0, mass0, _), (x1, mass1, _) = ends
    if mass0 == mass1:
        return None
    found = x0 + (mass_g / made.demand.scale - mass0) * (x1 - x0) / (mass1 - mass0)
    return found if 0.0 <= found <= solids.most else None


def own_says(prepared: Prepared, id_: str, loss: Loss) -> str:
    """What the recipe itself says of a loss; nothing where it says nothing."""
    item = prepared.recipe.items[id_]
    if loss.field == LOSS:
        return f"{100 * item.loss:g} %" if item.loss else ""
    for name in (loss.field, *SOLIDS[item.calculator].instead):
        if name in item.inputs:
            return f"{name} = {item.inputs[name]}"
    return ""


def _ends(
    calculator: str, inputs: Inputs, solids: Solids
) -> tuple[tuple[float, float, float], tuple[float, float, float]] | None:
    """Two points (what is kept in the field's unit, mass made, g kept), where there are such."""
    none = dict.fromkeys(solids.instead)
    found = []
    for at in solids.at:
        answer = _answer(calculator, inputs.replaced(**{**none, solids.field: at}))
        mass, kept = (None if answer is None else _number(answer, name)
                      for name in ("mass", solids.kept))  # fmt: skip
        if mass is None or kept is None:
            return None
        found.append((at, mass, kept))
    return found[0], found[1]


def _usual(calculator: str, inputs: Inputs, solids: Solids) -> tuple[float, float] | None:
    """The published range of what the solids keep, in the field's unit; None where it is not felt.

    A pinch of spice keeps less than a pan loses by steam: the mass then tells nothing of it.
    """
    if registry.not_run(calculator, inputs):
        return None
    none = dict.fromkeys(solids.instead)
    answer = _answer(calculator, inputs.replaced(**{**none, solids.field: None}))
    ends = _ends(calculator, inputs, solids)
    if answer is None or ends is None or solids.kept not in answer.values:
        return None
    kept = answer.values[solids.kept]
    (x0, mass0, kept0), (x1, _, kept1) = ends
    off = kept.plus_minus or 0.0
    if kept1 <= kept0 or off < _FELT * mass0:
        return None
    low, high = (
        round(x0 + (kept.value + sign * off - kept0) * (x1 - x0) / (kept1 - kept0), 6)
        for sign in (-1, 1)
    )
    return (low, high) if 0.0 < low < high else None


def _answer(calculator: str, inputs: Inputs) -> Answer | None:
    try:
        return registry.answer(calculator, inputs)
    except PrepkitError:
        return None


def _number(answer: Answer, name: str) -> float | None:
    found = answer.values.get(name)
    return None if found is None else found.value


def _names(inputs: Inputs, solids: Solids) -> str:
    """The solids by name, whatever their order: what batches of the same have in common."""
    said = getattr(inputs, solids.parts)
    each: list[Part] = []
    for one in said if isinstance(said, tuple) else (said,):
        each += list(one.each) if isinstance(one, Part) else []
    names = sorted({part.ingredient.name for part in each if _is_solid(part, solids)})
    return " and ".join(names)


def _is_solid(part: Part, solids: Solids) -> bool:
    from prepkit.shared import syrup  # read where a batch is looked at

    return solids.parts != "part" or syrup.is_strained(part)


# ---- measured batches ----

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


class LearntBatch(NamedTuple):
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


def read_batches(
    source: Ledger | Iterable[Measurement], item: str | None = None
) -> list[LearntBatch]:
    """The measured batches in the order of their first measurement.

    `source` is an open ledger, or measurements in order.
    """
    found: dict[tuple[str, str], LearntBatch] = {}
    for measurement in _measurements(source, item):
        key = (measurement.item, measurement.batch)
        first = found.get(key)
        if first is None:
            found[key] = LearntBatch(
                measurement.item, measurement.batch, measurement.at, dict(measurement.data)
            )
        else:
            found[key] = first._replace(data={**first.data, **measurement.data})
    return sorted(found.values(), key=lambda one: one.at)


def _measurements(
    source: Ledger | Iterable[Measurement], item: str | None
) -> Iterator[Measurement]:
    if isinstance(source, Iterable):
        return (measurement for measurement in source if item is None or measurement.item == item)
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
    made = {item.item.id: item for item in plan.made}
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
    loss = loss_of(plan.prepared, id_)
    made = next(item for item in plan.made if item.item.id == id_)
    value = None if loss is None else measured(plan, made, loss, mass_g)
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
        return tuple(ledger.put(event) for event in events)


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
    made = {item.item.id: item for item in plan.made}
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
        known = [event for event in ledger.measured(id_) if event.batch == batch][-1:]
        if any(dict(event.data) == own for event in known):
            continue
        events.append(
            Event(kind="measured", item=id_, batch=batch, site=site, place=place, at=at, who=who,
                  data=own)
        )  # fmt: skip
    return events


def _use_by(ledger: Ledger, plan: Plan, made_item: Made, day: date, site: str) -> date | str | None:
    """The last day of a batch by the keeping rules and its recipe; None where none knows it.

    What it is made from may be of any batch that stands and keeps: the days count from the oldest.
    """
    parts = [
        held.batch.made_on
        for id_ in behind(plan.prepared, made_item.item.id)
        for held in ledger.stock_at(site=site, item=id_)
        if held.batch.made_on is not None and held.batch.made_on < day and held.keeps_on(day)
    ]
    rule = last_day(made_item, day, min(parts, default=None))
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
