"""The bias of an instrument, from checks against what is known.

Only instruments of yield and recipe are learnt. What a verdict on safety rests on (a pressure
gauge, a thermometer, a pH meter, an oxygen meter) is never corrected by a bias.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple

from prepkit.errors import BadInput, named
from prepkit.learn.batches import Measurement
from prepkit.science import own_loss
from prepkit.science.own_loss import ENOUGH_CHECKS, Bias
from prepkit.stock.events import Event, now

if TYPE_CHECKING:
    from prepkit.stock.ledger import Ledger

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


class Checked(NamedTuple):
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

        >>> Checked("refractometer", Bias(0.42, 0.04, 6)).words()
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


def checked(source: Ledger | Iterable[Measurement]) -> list[Checked]:
    """The instruments with checks in a ledger, or in measurements; in the order of INSTRUMENTS.

    Raises BadInput for a check whose figures are no numbers.
    """
    rows = source if isinstance(source, Iterable) else source.measured()
    off: dict[str, list[float]] = {}
    for one in rows:
        name = one.item.removeprefix(ITEM)
        if one.item.startswith(ITEM) and name in INSTRUMENTS:
            known, read = _number(one, "known"), _number(one, "read")
            off.setdefault(name, []).append(_off(INSTRUMENTS[name], known, read))
    return [
        Checked(name, _bias(INSTRUMENTS[name], off[name])) for name in INSTRUMENTS if name in off
    ]


def _off(of: Instrument, known: float, read: float) -> float:
    return 100.0 * (read - known) / known if of.relative else read - known


def _bias(of: Instrument, off: list[float]) -> Bias:
    """The bias; checks that scatter more than is usual count for less."""
    scatter = of.scatter
    if len(off) >= ENOUGH_CHECKS:
        mean = math.fsum(off) / len(off)
        own = math.sqrt(math.fsum((one - mean) ** 2 for one in off) / (len(off) - 1))
        scatter = max(scatter, own)
    return own_loss.instrument_bias(off, scatter, of.usual)


def _number(one: Measurement, name: str) -> float:
    value = one.data.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise BadInput(
            f"{name} of a {one.item} is {value!r} in the ledger; it must be a number. Take that "
            f"event back and check again.",
            name,
        )
    return float(value)
