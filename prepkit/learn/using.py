"""What was learnt, given to the next plan; run charts; the bias of instruments.

What a recipe says goes before what was learnt. A learnt loss is an amount of work, never of safety:
a plan that takes one is never judged milder than the same plan without it, and what the plan
without it warns of stands in both (`plan.plan_of` sees to that).

    chart(batches, "peel-oleo", "brix")  ->  RunChart

The limits say what the bench does. What the guest needs is another matter, and stands in the plan.

Only instruments of yield and recipe are learnt. What a verdict on safety rests on (a pressure
gauge, a thermometer, a pH meter, an oxygen meter) is never corrected by a bias.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from prepkit.errors import BadInput, named
from prepkit.learn import (
    LOSS,
    SOLIDS,
    USUAL,
    WIDEST,
    LearntBatch,
    Loss,
    Measurement,
    keys,
    loss_of,
    own_says,
    read_batches,
)
from prepkit.plan.files import MOST_LOSS
from prepkit.plan.prepare import Kind, LearntLoss, Prepared, prepare
from prepkit.plan.recipe_types import Item, Recipe
from prepkit.science import control_chart
from prepkit.science.control_chart import ENOUGH, ENOUGH_CHECKS, Bias, Interval, Limits, Rule
from prepkit.stock import open_ledger
from prepkit.stock.engine import is_server
from prepkit.stock.events import Event, now

if TYPE_CHECKING:
    from prepkit.stock import Ledger


# ---- what was learnt, given to the next plan ----

_DUST = 1e-6
_KINDS: tuple[Kind, ...] = ("peel", "plants", "straining", "vessel")


@dataclass(frozen=True)
class KnownLoss:
    """What the batches of a bar tell of one loss: its values, oldest first, and its usual range."""

    loss: Loss
    values: tuple[float, ...]
    prior: control_chart.Belief | None = None  # of the others of its kind, where there are enough
    others: int = 0  # how many those are

    def interval(self) -> Interval:
        """Where the next batch lies with 95 %, in the loss's unit."""
        return _times(self.loss, control_chart.next_interval(self._belief()))

    def mean(self) -> Interval:
        """Where the bar's own mean lies with 95 %, in the loss's unit."""
        return _times(self.loss, control_chart.mean_interval(self._belief()))

    def upper(self, confidence: float = control_chart.CONFIDENCE) -> float:
        """What the next batch stays below with a probability, in the loss's unit."""
        found = control_chart.next_upper(self._belief(), confidence)
        return 100 * found if self.loss.unit == "%" else found

    @property
    def degrees(self) -> float:
        """Those of Student's t, by which the next batch scatters."""
        return self._belief().degrees

    def _belief(self) -> control_chart.Belief:
        return self.loss.learnt(self.values, self.prior)


def known(batches: Iterable[LearntBatch]) -> dict[tuple[Kind, str], KnownLoss]:
    """All losses that measured batches tell of, by kind and of what.

    Raises BadInput for a batch whose figures are no numbers.
    """
    found: dict[tuple[Kind, str], KnownLoss] = {}
    for batch in batches:
        value = batch.figure("loss")
        loss = None if value is None else _loss(batch)
        if value is None or loss is None or value < 0:
            continue
        before = found.get(loss.key)
        values = before.values if before is not None and before.loss.unit == loss.unit else ()
        found[loss.key] = KnownLoss(loss, (*values, value))
    for kind in WIDEST:  # what is lost on the way is of each item alone
        found.update(
            _alike([known_loss for known_loss in found.values() if known_loss.loss.kind == kind])
        )
    return found


def _alike(group: list[KnownLoss]) -> Iterator[tuple[tuple[Kind, str], KnownLoss]]:
    """Losses of one kind, each drawn toward the mean of all, where there are enough of them."""
    scales = {(loss.loss.unit, loss.loss.prior().scale) for loss in group}
    if len(group) < control_chart.LEAST_KINDS or len(scales) > 1:
        return
    values = [loss.loss.plain(loss.values) for loss in group]
    for loss in group:
        prior = control_chart.like_others(values, loss.loss.prior())
        if prior is not None:
            yield loss.loss.key, replace(loss, prior=prior, others=len(group) - 1)


def _loss(batch: LearntBatch) -> Loss | None:
    """The loss that a batch was recorded with; None of one that is not ours."""
    kind = next((text for text in _KINDS if text == batch.text("loss_kind")), None)
    low, high = batch.figure("loss_low"), batch.figure("loss_high")
    of, unit = batch.text("loss_of"), batch.text("loss_unit")
    if kind is None or low is None or high is None or not of or unit not in ("%", "g/g"):
        return None
    top = 100.0 if unit == "%" else 1e3
    if not 0.0 < low < high <= top:
        return None
    if kind in USUAL:  # what a row of the ledger says of it does not count
        least, most = USUAL[kind]
        return Loss(kind, of, LOSS, "%", (100 * least, 100 * most), practice=True)
    least, most = WIDEST[kind]
    if not (least - _DUST <= low and high <= most + _DUST):
        raise BadInput(
            f"the usual range of what {of} keeps is {low:g} to {high:g} {unit} in {batch.item} "
            f'"{batch.batch}" of the ledger. It must lie between {least:g} and {most:g}. Take '
            f"that event back, and record the batch again.",
            "loss_low",
        )
    return Loss(kind, of, "", unit, (low, high), practice=False)


def learnt(
    prepared: Prepared, told: Mapping[tuple[Kind, str], KnownLoss]
) -> tuple[LearntLoss, ...]:
    """What was learnt of the items of a recipe, in the order they are made."""
    found = []
    for id_ in prepared.order:
        for key in keys(prepared, id_):
            if key in told:
                found.append(_of_item(prepared, id_, _as_published(prepared, id_, told[key])))
                break
    return tuple(found)


def _as_published(prepared: Prepared, id_: str, known_loss: KnownLoss) -> KnownLoss:
    """The same with the usual range of the item itself: no row of a ledger steers that."""
    own = loss_of(prepared, id_)
    same = own is not None and (own.key, own.unit) == (known_loss.loss.key, known_loss.loss.unit)
    return replace(known_loss, loss=own) if own is not None and same else known_loss


def _of_item(prepared: Prepared, id_: str, known_loss: KnownLoss) -> LearntLoss:
    field = known_loss.loss.field or SOLIDS[prepared.recipe.items[id_].calculator].field
    loss = known_loss.loss._replace(field=field)
    low, middle, high = known_loss.interval()
    return LearntLoss(
        id_, loss.kind, loss.of, field, loss.unit, low, middle, high, known_loss.upper(),
        len(known_loss.values), loss.usual, loss.practice, own_says(prepared, id_, loss),
        known_loss.degrees, known_loss.others,
    )  # fmt: skip


def taught(recipe: Recipe, batches: Iterable[LearntBatch]) -> Prepared:
    """The recipe prepared with what the bar's batches tell of its losses.

    Where they tell nothing of it, it is what `prepare` gives.
    """
    told = known(batches)
    plain = prepare(recipe)
    found = learnt(plain, told) if told else ()
    if not found:
        return plain
    items = dict(recipe.items)
    for loss in found:
        if loss.used:
            items[loss.item] = _with(items[loss.item], loss)
    again = prepare(recipe._replace(items=items), before=plain)
    return again.replaced(plain=plain, learnt=found)


def _with(item: Item, learnt_loss: LearntLoss) -> Item:
    """An item with its learnt loss: of solids with its ±, on the way as a share."""
    if learnt_loss.field == LOSS:
        return item._replace(loss=min(learnt_loss.middle, MOST_LOSS) / 100)
    solids = SOLIDS[item.calculator]
    half = min(0.5 * (learnt_loss.high - learnt_loss.low), learnt_loss.middle)
    unit = " %" if learnt_loss.unit == "%" else ""
    middle = min(learnt_loss.middle, solids.most)
    words = f"{middle:.6g}{unit} ± {half:.6g}{unit}"
    return item._replace(inputs={**item.inputs, learnt_loss.field: words})


def _times(loss: Loss, interval: Interval) -> Interval:
    if loss.unit != "%":
        return interval
    return Interval(*(100 * value for value in interval))


# ---- what the ledger of a house tells the next plan ----


def prepared(recipe: Recipe, today: date | None = None) -> Prepared:
    """The recipe prepared with what its house's ledger tells; without a ledger as written.

    Only batches of the house's own site count, and those of today from tomorrow on: a sheet does
    not change while it is worked from. Raises what `prepare` raises, and FileProblem for a
    ledger that cannot be read.
    """
    stock = recipe.house.stock
    if not stock.ledger or not (is_server(stock.ledger) or Path(stock.ledger).exists()):
        return prepare(recipe)
    with open_ledger(stock.ledger, check=False) as ledger:
        found = read_batches(ledger.measured(site=stock.site))
    today = today or date.today()
    return taught(recipe, [batch for batch in found if batch.day < today])


# ---- a run chart of one reading of an item ----


class Reading(NamedTuple):
    """A reading that a chart is made of: its name, its unit and its digits."""

    label: str
    unit: str
    digits: int


READINGS: Mapping[str, Reading] = {
    "brix": Reading("refractometer reading", "Bx", 1),
    "acidity": Reading("titratable acidity", "% w/w", 2),
    "strength": Reading("strength", "% vol", 1),
    "yield": Reading("yield, of what was planned", "%", 1),
}
_MOST_SAID = 4  # batches beyond the limits that are said one by one
_FIGURES = {"brix": "brix", "acidity": "acidity_percent", "strength": "abv_percent"}


class ChartPoint(NamedTuple):
    """One batch of a chart: its value, the limits it was held against, the rules it breaks."""

    batch: str
    at: datetime
    value: float
    limits: Limits | None
    breaks: tuple[Rule, ...] = ()


class RunChart(NamedTuple):
    """A chart with the limits of the next batch, None while there are too few batches."""

    item: str
    reading: str
    points: tuple[ChartPoint, ...]
    limits: Limits | None

    @property
    def of(self) -> Reading:
        """What is read: name, unit, digits."""
        return READINGS[self.reading]

    @property
    def few(self) -> bool:
        """Whether the limits are those of a few batches, by t."""
        return len(self.points) < ENOUGH

    @property
    def out(self) -> tuple[ChartPoint, ...]:
        """The batches that break a rule."""
        return tuple(point for point in self.points if point.breaks)

    def value(self, value: float) -> str:
        """A value with its unit."""
        return f"{value:.{self.of.digits}f} {self.of.unit}"

    def verdict(self) -> str:
        """In one line: is a batch out, and how many there are."""
        count = "1 batch" if len(self.points) == 1 else f"{len(self.points)} batches"
        if self.limits is None:
            return f"{count}; limits need 2 batches that differ."
        if not self.out:
            return f"no batch is out; {count}."
        return f"{len(self.out)} of {count} out."

    def sentences(self) -> list[str]:
        """Which batch was out by which rule, the latest first, and how sure the limits are."""
        out = [line for point in self.points for line in self._beyond(point)][::-1]
        said = out[:_MOST_SAID] + (
            [f"{len(out) - _MOST_SAID} more were out before that."] if len(out) > _MOST_SAID else []
        )
        said += list(self._runs())[::-1]
        if self.few and self.limits is not None:
            said.append(f"Limits still wide: {len(self.points)} of about {ENOUGH} batches.")
        return said

    def _beyond(self, point: ChartPoint) -> list[str]:
        if "beyond the limits" not in point.breaks or point.limits is None:
            return []
        low, _, high = point.limits
        side = f"above {self.value(high)}" if point.value > high else f"below {self.value(low)}"
        return [f"Batch {point.batch} was out: {self.value(point.value)}, {side}."]

    def _runs(self) -> Iterator[str]:
        """Each run on one side, once."""
        mean = control_chart.run_centre([point.value for point in self.points])
        above = [point.value > mean for point in self.points]
        ends = ["run of eight" in point.breaks for point in self.points]
        for place, one in enumerate(self.points):
            goes_on = ends[place + 1 : place + 2] == [True] and above[place + 1] == above[place]
            if not ends[place] or goes_on:
                continue
            first = place
            while first and above[first - 1] == above[place]:
                first -= 1
            side = "above" if above[place] else "below"
            yield (
                f"Batches {self.points[first].batch} to {one.batch}: {place - first + 1} in a row "
                f"{side} the mean of {self.value(mean)}. Something changed."
            )

    def to_dict(self) -> dict[str, object]:
        """The JSON form."""

        def ends(limits: Limits | None) -> dict[str, float] | None:
            return None if limits is None else limits._asdict()

        return {
            "item": self.item,
            "reading": self.reading,
            "label": self.of.label,
            "unit": self.of.unit,
            "digits": self.of.digits,
            "method": "t interval" if self.few else "moving range",
            "limits": ends(self.limits),
            "points": [
                {
                    "batch": point.batch, "at": point.at.isoformat(), "value": point.value,
                    "limits": ends(point.limits), "breaks": list(point.breaks),
                }
                for point in self.points
            ],
            "said": self.sentences(),
        }  # fmt: skip


def charts(batches: Iterable[LearntBatch], item: str) -> list[RunChart]:
    """A chart of each reading that batches of an item have, in the order of READINGS."""
    own = [batch for batch in batches if batch.item == item]
    found = []
    for reading in READINGS:
        read = [(batch, value) for batch in own if (value := _value(batch, reading)) is not None]
        if read:
            found.append(_chart(item, reading, read))
    return found


def chart(batches: Iterable[LearntBatch], item: str, reading: str) -> RunChart:
    """The chart of one reading of an item.

    Raises BadInput where no batch of it has that reading.
    """
    found = charts(batches, item)
    for run_chart in found:
        if run_chart.reading == reading:
            return run_chart
    have = ", ".join(run_chart.reading for run_chart in found) or "no readings"
    raise BadInput(f"no {reading} of {item} was measured; the ledger has {have} of it.", "reading")


def _value(batch: LearntBatch, reading: str) -> float | None:
    if reading in _FIGURES:
        return batch.figure(_FIGURES[reading])
    made, planned = batch.figure("yield_g"), batch.figure("expected_g")
    return 100 * made / planned if made is not None and planned else None


def _chart(item: str, reading: str, read: list[tuple[LearntBatch, float]]) -> RunChart:
    values = [value for _, value in read]
    held = control_chart.limits_at(values)
    breaks: dict[int, list[Rule]] = {}
    for one in control_chart.rule_breaks(values):
        breaks.setdefault(one.place, []).append(one.rule)
    points = tuple(
        ChartPoint(batch.batch, batch.at, value, held[place], tuple(breaks.get(place, ())))
        for place, (batch, value) in enumerate(read)
    )
    enough = len(values) >= 2 and min(values) < max(values)
    return RunChart(item, reading, points, control_chart.limits(values) if enough else None)


# ---- the bias of an instrument, from checks against what is known ----

ITEM, BATCH = "check of the ", "checks"  # as they stand in the ledger


class Instrument(NamedTuple):
    """What an instrument reads, what one reading scatters by, what such instruments are off by.

    The last two are practice; `relative`: per cent of what is known.
    """

    unit: str
    digits: int
    scatter: float
    usual: float
    example: str
    relative: bool = False


INSTRUMENTS: Mapping[str, Instrument] = {
    "refractometer": Instrument("Bx", 2, 0.1, 0.5, "20 Bx"),
    "hydrometer": Instrument("kg/m3", 1, 0.5, 2.0, "998.2 kg/m3"),
    "alcoholometer": Instrument("% vol", 2, 0.2, 0.5, "40 % vol"),
    "pipette": Instrument("ml", 2, 0.5, 2.0, "5 ml", relative=True),
    "jigger": Instrument("ml", 1, 2.0, 5.0, "45 ml", relative=True),
}
# a verdict on safety can rest on them
NEVER = ("gauge", "pressure gauge", "thermometer", "ph meter", "oxygen meter", "gas meter")


class CheckedInstrument(NamedTuple):
    """An instrument with what its checks tell."""

    name: str
    bias: Bias

    @property
    def of(self) -> Instrument:
        """What it reads."""
        return INSTRUMENTS[self.name]

    @property
    def unit(self) -> str:
        """The unit of the bias."""
        return "%" if self.of.relative else self.of.unit

    def words(self) -> str:
        """As one line: what to do first.

        >>> CheckedInstrument("refractometer", Bias(0.42, 0.04, 6)).words()
        'refractometer: take 0.42 Bx off each reading, ± 0.08 Bx; 6 checks'
        """
        count = "1 check" if self.bias.checks == 1 else f"{self.bias.checks} checks"
        low, mean, high = self.bias.interval()
        off = f"± {0.5 * (high - low):.{self.of.digits}f} {self.unit}"
        if self.bias.certain:
            much = f"{abs(mean):.{self.of.digits}f} {self.unit}"
            if self.of.relative:
                side = "more" if mean > 0 else "less"
                return f"{self.name}: it gives {much} {side} than it says, {off}; {count}"
            way = f"take {much} off" if mean > 0 else f"add {much} to"
            return f"{self.name}: {way} each reading, {off}; {count}"
        said = f"{mean:+.{self.of.digits}f} {self.unit} {off}"
        if self.bias.checks < ENOUGH_CHECKS:
            return (
                f"{self.name}: not sure yet after {self.bias.checks} of {ENOUGH_CHECKS} checks, "
                f"{said}"
            )
        return f"{self.name}: no bias found, {said}; {count}"

    def to_dict(self) -> dict[str, object]:
        """The JSON form."""
        low, mean, high = self.bias.interval()
        return {
            "instrument": self.name, "unit": self.unit, "bias": mean, "low": low, "high": high,
            "checks": self.bias.checks, "certain": self.bias.certain, "said": self.words(),
        }  # fmt: skip


def instrument(name: str) -> str:
    """The instrument of a name; BadInput for one that is not learnt."""
    tidy = " ".join(name.split()).casefold()
    if tidy in INSTRUMENTS:
        return tidy
    if tidy.replace("-", " ").replace("_", " ") in NEVER:
        raise BadInput(
            f'"{name}" is an instrument of safety: a bias is never taken off it. Have it checked, '
            f"and replace it where it is off.",
            "instrument",
        )
    raise BadInput(
        f'"{name[:40]}" is no instrument that is checked here; name one of '
        f"{', '.join(INSTRUMENTS)}.",
        "instrument",
    )


def record(
    ledger: Ledger,
    name: str,
    known: float,
    read: float,
    *,
    site: str = "house",
    who: str = "",
    at: datetime | None = None,
) -> Event:
    """Write one check into the ledger: what is known, and what the instrument read (or gave).

    Both are in the instrument's unit. Raises BadInput for an unknown instrument, or where the two
    are further apart than a bias can be.
    """
    name = instrument(name)
    of = INSTRUMENTS[name]
    if not (math.isfinite(known) and known >= 0 and math.isfinite(read)):
        raise BadInput(f"{named('known')} must be 0 or more, in {of.unit}.", "known")
    if of.relative and not known > 0:
        raise BadInput(f"{named('known')} is 0 {of.unit}; write what it should give.", "known")
    if abs(_off(of, known, read)) > 10 * of.usual:
        raise BadInput(
            f"{named('read')} is {read:g} {of.unit} where {known:g} {of.unit} is known: too far "
            f"apart for a bias. Check again.",
            "read",
        )
    item, at = f"{ITEM}{name}", at or now()
    events = []
    if BATCH not in ledger.batches(item):
        events.append(
            Event(kind="counted", item=item, batch=BATCH, site=site, at=at, who=who,
                  data={"counted_mg": 0})
        )  # fmt: skip
    data = {"known": known, "read": read, "unit": of.unit}
    events.append(
        Event(kind="measured", item=item, batch=BATCH, site=site, at=at, who=who, data=data)
    )
    return ledger.append(*events)[-1]


def checked(source: Ledger | Iterable[Measurement]) -> list[CheckedInstrument]:
    """The instruments with checks in a ledger, or in measurements; in the order of INSTRUMENTS.

    Raises BadInput for a check whose figures are no numbers.
    """
    rows = source if isinstance(source, Iterable) else source.measured()
    off: dict[str, list[float]] = {}
    for row in rows:
        name = row.item.removeprefix(ITEM)
        if row.item.startswith(ITEM) and name in INSTRUMENTS:
            known, read = _number(row, "known"), _number(row, "read")
            off.setdefault(name, []).append(_off(INSTRUMENTS[name], known, read))
    return [
        CheckedInstrument(name, _bias(INSTRUMENTS[name], off[name]))
        for name in INSTRUMENTS
        if name in off
    ]


def _off(of: Instrument, known: float, read: float) -> float:
    return 100.0 * (read - known) / known if of.relative else read - known


def _bias(of: Instrument, off: list[float]) -> Bias:
    """The bias; checks that scatter more than is usual count for less."""
    scatter = of.scatter
    if len(off) >= ENOUGH_CHECKS:
        mean = math.fsum(off) / len(off)
        own = math.sqrt(math.fsum((value - mean) ** 2 for value in off) / (len(off) - 1))
        scatter = max(scatter, own)
    return control_chart.instrument_bias(off, scatter, of.usual)


def _number(one: Measurement, name: str) -> float:
    value = one.data.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise BadInput(
            f"{name} of a {one.item} is {value!r} in the ledger; it must be a number. Take that "
            f"event back and check again.",
            name,
        )
    return float(value)
