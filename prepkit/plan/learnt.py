"""What a bar's own batches told of a loss, as a plan takes it and shows it."""

from __future__ import annotations

from typing import Literal, NamedTuple

from prepkit.science.own_loss import FEW_DEGREES
from prepkit.sheet import LearntSheet

Kind = Literal["peel", "plants", "straining", "vessel"]
LABELS: dict[Kind, str] = {
    "peel": "liquid kept by {of}",
    "plants": "liquid kept by {of}",
    "straining": "lost on the way, {of}",
    "vessel": "left in the vessel, {of}",
}
_EVEN = 0.1  # of the width, up to which the two sides of an interval are called equal


class LearntLoss(NamedTuple):
    """The loss of the next batch of an item: middle and 95 % interval, in `unit`.

    `field` is the input that takes it, or "loss", the share lost on the way. `upper` is what the
    next batch stays below with 95 %, for a plan that must be enough. `published` is the usual
    range, of a book or of the trade's practice. `own_says` is what the recipe itself says, which
    goes before what was learnt.
    """

    item: str
    kind: Kind
    of: str
    field: str
    unit: str
    low: float
    middle: float
    high: float
    upper: float
    batches: int
    published: tuple[float, float]
    practice: bool = False  # the usual range is no published one
    own_says: str = ""
    degrees: float = FEW_DEGREES  # of Student's t for the next batch; as here, those of a prior
    others: int = 0  # of its kind, whose mean it was drawn toward

    @property
    def used(self) -> bool:
        """Whether the plan takes it: not where the recipe says its own."""
        return not self.own_says

    @property
    def digits(self) -> int:
        """The digits that its interval allows."""
        wide = self.high - self.low
        return 0 if wide >= 4 else 1 if wide >= 0.4 else 2

    def to_dict(self) -> LearntSheet:
        """The JSON form."""
        return {
            "item": self.item, "kind": self.kind, "of": self.of, "field": self.field,
            "unit": self.unit, "low": self.low, "middle": self.middle, "high": self.high,
            "upper": self.upper, "batches": self.batches, "usual_low": self.published[0],
            "usual_high": self.published[1], "practice": self.practice, "used": self.used,
            "words": self.words(),
        }  # fmt: skip

    def words(self) -> str:
        """As one line.

        >>> LearntLoss("oleo", "peel", "peel", "kept", "%", 19.7, 31.3, 42.9, 40.8, 7,
        ...            (20.0, 60.0)).words()
        'liquid kept by peel: 31 % ± 12 % in the next batch, 7 batches here; published 20 to 60 %'
        """
        d = self.digits
        unit = f" {self.unit}"
        middle, low, high = (f"{one:.{d}f}" for one in (self.middle, self.low, self.high))
        half, skew = 0.5 * (self.high - self.low), 0.5 * (self.high + self.low) - self.middle
        if abs(skew) <= _EVEN * half:
            said = f"{middle}{unit} ± {half:.{d}f}{unit} in the next batch"
        else:
            said = f"{middle}{unit}, in the next batch {low} to {high}{unit}"
        count = "1 batch" if self.batches == 1 else f"{self.batches} batches"
        usual = "usual" if self.practice else "published"
        alike = f", drawn toward {self.others} others" if self.others else ""
        line = (
            f"{LABELS[self.kind].format(of=self.of)}: {said}, {count} here{alike}; {usual} "
            f"{self.published[0]:.3g} to {self.published[1]:.3g}{unit}"
        )
        if self.own_says:
            line += f". Not used: the recipe says {self.own_says}"
        return line
