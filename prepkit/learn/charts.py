"""A run chart of one reading of an item: each batch against its limits, and which was out.

    chart(batches, "peel-oleo", "brix")  ->  RunChart

The limits say what the bench does. What the guest needs is another matter, and stands in the plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import NamedTuple

from prepkit.errors import BadInput
from prepkit.learn.batches import Batch
from prepkit.science import control_chart
from prepkit.science.control_chart import ENOUGH, Limits, Rule


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


class Point(NamedTuple):
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
    points: tuple[Point, ...]
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
    def out(self) -> tuple[Point, ...]:
        """The batches that break a rule."""
        return tuple(one for one in self.points if one.breaks)

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
        out = [line for one in self.points for line in self._beyond(one)][::-1]
        said = out[:_MOST_SAID] + (
            [f"{len(out) - _MOST_SAID} more were out before that."] if len(out) > _MOST_SAID else []
        )
        said += list(self._runs())[::-1]
        if self.few and self.limits is not None:
            said.append(f"Limits still wide: {len(self.points)} of about {ENOUGH} batches.")
        return said

    def _beyond(self, one: Point) -> list[str]:
        if "beyond the limits" not in one.breaks or one.limits is None:
            return []
        low, _, high = one.limits
        side = f"above {self.value(high)}" if one.value > high else f"below {self.value(low)}"
        return [f"Batch {one.batch} was out: {self.value(one.value)}, {side}."]

    def _runs(self) -> Iterator[str]:
        """Each run on one side, once."""
        mean = control_chart.run_centre([one.value for one in self.points])
        above = [one.value > mean for one in self.points]
        ends = ["run of eight" in one.breaks for one in self.points]
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
                    "batch": one.batch, "at": one.at.isoformat(), "value": one.value,
                    "limits": ends(one.limits), "breaks": list(one.breaks),
                }
                for one in self.points
            ],
            "said": self.sentences(),
        }  # fmt: skip


def charts(batches: Iterable[Batch], item: str) -> list[RunChart]:
    """A chart of each reading that batches of an item have, in the order of READINGS."""
    own = [one for one in batches if one.item == item]
    found = []
    for reading in READINGS:
        read = [(one, value) for one in own if (value := _value(one, reading)) is not None]
        if read:
            found.append(_chart(item, reading, read))
    return found


def chart(batches: Iterable[Batch], item: str, reading: str) -> RunChart:
    """The chart of one reading of an item.

    Raises BadInput where no batch of it has that reading.
    """
    found = charts(batches, item)
    for one in found:
        if one.reading == reading:
            return one
    have = ", ".join(one.reading for one in found) or "no readings"
    raise BadInput(f"no {reading} of {item} was measured; the ledger has {have} of it.", "reading")


def _value(batch: Batch, reading: str) -> float | None:
    if reading in _FIGURES:
        return batch.figure(_FIGURES[reading])
    made, planned = batch.figure("yield_g"), batch.figure("expected_g")
    return 100 * made / planned if made is not None and planned else None


def _chart(item: str, reading: str, read: list[tuple[Batch, float]]) -> RunChart:
    values = [value for _, value in read]
    held = control_chart.limits_at(values)
    breaks: dict[int, list[Rule]] = {}
    for one in control_chart.rule_breaks(values):
        breaks.setdefault(one.place, []).append(one.rule)
    points = tuple(
        Point(batch.batch, batch.at, value, held[place], tuple(breaks.get(place, ())))
        for place, (batch, value) in enumerate(read)
    )
    enough = len(values) >= 2 and min(values) < max(values)
    return RunChart(item, reading, points, control_chart.limits(values) if enough else None)
