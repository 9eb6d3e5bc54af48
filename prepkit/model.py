"""What every calculator is made of: Inputs (`prepkit.inputs`), Result, and the parts of an answer.

A Result class declares its values with `output`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cache, cached_property
from types import MappingProxyType
from typing import Any, ClassVar, NamedTuple, Self, overload

from prepkit import always
from prepkit.first_screen import MOST_STEPS, Figure, Limit, Screen, filled, value_names
from prepkit.inputs import (
    Declared,
    Field,
    FieldValue,
    Inputs,
    Json,
    choice,
    count,
    flag,
    held,
    ingredient,
    number,
    part,
    parts,
    quantity,
    words,
)
from prepkit.mixture import Mixture

__all__ = (
    "Answer", "Caution", "Column", "Compared", "Deciding", "Declared", "Field", "FieldValue",
    "Inputs", "Json", "Judge", "Later", "Output", "OwnInputs", "Result", "Source", "Step",
    "Table", "Value", "Way", "choice", "count", "flag", "held", "ingredient", "number",
    "output", "part", "parts", "quantity", "words",
)  # fmt: skip


OwnInputs = Any  # Any: the Inputs of one calculator, whose functions take them by their own type


class Step(NamedTuple):
    """One line of the working, as on a board: label, formula with numbers, value, source key."""

    label: str
    formula: str
    value: float | None = None
    unit: str = ""
    source: str = ""


class Column(NamedTuple):
    """A column of a table; text where `unit` and `digits` are not given.

    A `limit` is shown rounded to its strict side.
    """

    label: str
    unit: str = ""
    digits: int | None = None
    limit: Limit = ""


class Table(NamedTuple):
    """Rows that belong together (weigh-outs, layers, charges); numbers in the column's unit."""

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str | float | None, ...], ...]


class Output(NamedTuple):
    """How one value of a Result is shown."""

    label: str
    unit: str
    digits: int
    extensive: bool = False
    help: str = ""
    figures: int | None = None
    worst: bool = False
    limit: Limit = ""

    def shown_digits(self, value: float) -> int:
        """Decimals of a value: `digits`, and fewer where they would say more than `figures`.

        >>> [Output("carbon dioxide", "%", 3, figures=3).shown_digits(v) for v in (0.312, 14.54)]
        [3, 1]
        """
        if self.figures is None or not value:
            return self.digits
        return max(0, min(self.digits, self.figures - 1 - math.floor(math.log10(abs(value)))))


def output(
    label: str, unit: str = "", digits: int = 1, *, extensive: bool = False, help: str = "",
    figures: int | None = None, worst: bool = False, limit: Limit = "",
) -> Declared:  # fmt: skip
    """Declare a value of a Result: its name, its unit, its shown decimals.

    figures: significant figures at most, where the value is known no better. worst: it holds at the
    worse end of every +/- that is `judged_at_end`, and has none of its own from those. limit: it is
    the most or the least that may be, never shown milder than it is.
    """
    one = Output(label, unit, digits, extensive, help, figures, worst, limit)
    return field(default=None, metadata={"output": one})


class Compared(NamedTuple):
    """A figure beside the most that it may be, in one unit; `digits` are those that are shown."""

    value: float
    limit: float
    unit: str
    digits: int


class Deciding(NamedTuple):
    """The sentence with what decides; `compared` is its figure where that has an upper limit."""

    words: str
    compared: Compared | None = None


class Way(NamedTuple):
    """A way out of a stop that was worked out and judged: what to do, its verdict, its figure.

    `inputs` are the words of those inputs that differ from the load's own; None where one of them
    is not given any more.
    """

    label: str
    verdict: str
    figure: str
    inputs: Mapping[str, Any] = MappingProxyType({})  # Any: words, or a list of words

    def beside(self, load: Mapping[str, Any]) -> Way:  # Any: as above
        """The way with the inputs that differ from those of a load, in words.

        >>> Way("1 charger", "care", "", {"chargers": 1, "gas": "n2o"}).beside(
        ...     {"chargers": 2, "gas": "n2o", "sequence": "charge charge shake"}).inputs
        {'chargers': 1, 'sequence': None}
        """
        keys = [*self.inputs, *(key for key in load if key not in self.inputs)]
        changed = {
            key: self.inputs.get(key) for key in keys if self.inputs.get(key) != load.get(key)
        }
        return self._replace(inputs=changed)


class Later(Sequence[Table]):
    """Tables that are made when they are first looked at: what is only judged needs none."""

    def __init__(self, make: Callable[[], tuple[Table, ...]]) -> None:
        self._make = make

    @cached_property
    def _made(self) -> tuple[Table, ...]:
        return self._make()

    def __len__(self) -> int:
        return len(self._made)

    @overload
    def __getitem__(self, place: int) -> Table: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[Table, ...]: ...
    def __getitem__(self, place: int | slice) -> Table | tuple[Table, ...]:
        return self._made[place]


@dataclass(frozen=True, kw_only=True)
class Result:
    """Base of every calculator's result: pure numbers, before verdict and cautions.

    A value that was not computed is None. `facts` are what the caution rules judge;
    `model_error` holds the stated error of a value where its relation has one. `deciding` is a
    sentence with the figure that decides and its limit, `compared` that figure and that limit as
    numbers where it is an upper one; `ways_out` of a stop are judged one by one.

    What stands on the first screen is data of the class (`first_screen`).
    """

    screen: ClassVar[Screen]

    product: Mixture | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)  # Any: of the kind that facts.py names
    working: tuple[Step, ...] = ()
    tables: Sequence[Table] = ()
    model_error: Mapping[str, float] = field(default_factory=dict)
    deciding: str = ""
    compared: Compared | None = None
    ways_out: tuple[Way, ...] = ()

    @classmethod
    @cache
    def outputs(cls) -> Mapping[str, Output]:
        """The declared values by name, in order."""
        return {f.name: f.metadata["output"] for f in fields(cls) if "output" in f.metadata}

    def beside_stop(self) -> Self:
        """Hook: the result where it is judged a stop, without a number to go ahead with."""
        return self

    def carried_bar(self, read_bar: float, read_c: float | None) -> float | None:
        """Hook: what a gauge reading comes to where it is warmest; None where nothing is charged.

        Both bar, gauge; read_c: temperature of the vessel when it was read, None where not told.
        """
        return None

    def only(self, names: Collection[str]) -> Self:
        """The result with these of its values and no other."""
        gone: dict[str, Any] = {  # Any: replace takes one kind of value for all keywords
            name: None for name in self.outputs() if name not in names
        }
        return replace(self, **gone)

    def with_cautions(self, found: tuple[Caution, ...]) -> Self:
        """Hook: the result once it was judged, where one of its tables repeats a caution."""
        return self

    def numbers(self) -> dict[str, float]:
        """The values that were computed."""
        return {
            name: float(value)
            for name in self.outputs()
            if (value := getattr(self, name)) is not None
        }


_SHARES = frozenset(("% w/w", "% vol"))
_NEVER_BELOW_ZERO = _SHARES | {"g", "kg", "mg", "ml", "l", "g/l", "mg/kg", "Bx", "kcal", "kJ",
                               "drops", "serves"}  # fmt: skip


@dataclass(frozen=True)
class Value:
    """A value of an answer with its unit and, where known, its +/-."""

    value: float
    unit: str
    plus_minus: float | None
    label: str
    digits: int
    non_linear: bool = False  # the +/- is the larger side, or there is no value at one end
    limit: Limit = ""

    @property
    def bounds(self) -> tuple[float, float] | None:
        """The ends of the +/-, no further than the quantity can go; None without one.

        >>> Value(235.0, "g", 350.0, "yield", 0).bounds, Value(-2.0, "C", 1.0, "t", 0).bounds
        ((0.0, 585.0), (-3.0, -1.0))
        """
        if self.plus_minus is None:
            return None
        low, high = self.value - self.plus_minus, self.value + self.plus_minus
        if self.unit in _NEVER_BELOW_ZERO and self.value >= 0.0:
            low = max(low, 0.0)
        if self.unit in _SHARES and self.value <= 100.0:
            high = min(high, 100.0)
        return low, high

    @property
    def at_limit(self) -> bool:
        """Whether the +/- would go further than the quantity can."""
        if self.plus_minus is None or self.bounds is None:
            return False
        low, high = self.bounds
        return low > self.value - self.plus_minus or high < self.value + self.plus_minus


@dataclass(frozen=True)
class Caution:
    """A caution that stands or was triggered; severity is note, care or stop."""

    id: str
    kind: str
    severity: str
    text: str
    action: str
    source: str
    standing: bool = False
    more: str = ""  # what else helps, beyond the hazard and the action

    @property
    def advice(self) -> str:
        """What to do, with all that is said of it."""
        return f"{self.action} {self.more}".rstrip()


class Source(NamedTuple):
    """Where a fact comes from and how it was obtained (read, memory, practice, computed)."""

    key: str
    title: str
    obtained: str
    note: str = ""


@dataclass(frozen=True)
class Answer:
    """A complete answer, the same for every front end."""

    calculator: str
    inputs: Mapping[str, Any]  # Any: of the kind of each input
    values: Mapping[str, Value]
    verdict: str
    cautions: tuple[Caution, ...]
    working: tuple[Step, ...]
    tables: Sequence[Table]
    sources: tuple[Source, ...]
    result: Result

    @property
    def product(self) -> Mixture | None:
        """The mixture that was made, where the calculator makes one."""
        return self.result.product

    def headline(self, system: str = "metric") -> str:
        """A sentence with the figure that decides, where the calculator states no limit."""
        if self.verdict == "stop":
            return ""
        found = filled(self.result.screen.headline, self.values, self._told(), system)
        return found[0] if found else ""

    def do_this(self, system: str = "metric") -> tuple[str, ...]:
        """What to do or set beyond weighing; nothing beside a stop."""
        if self.verdict == "stop":
            return ()
        found = filled(self.result.screen.do_this, self.values, self._told(), system)
        return tuple(found[:MOST_STEPS])

    def _told(self) -> dict[str, Any]:  # Any: the inputs in words, facts that are words
        """What the names of a sentence stand for beside the values: inputs, then facts."""
        facts = {key: fact for key, fact in self.result.facts.items() if isinstance(fact, str)}
        return {**facts, **self.inputs}

    def to_dict(self) -> Json:
        """The JSON form: plain numbers, words, lists.

        A value has `non_linear`, true, only where its +/- does not hold evenly both ways.
        """
        obtained = {source.key: source.obtained for source in self.sources}
        return {
            "calculator": self.calculator,
            "inputs": dict(self.inputs),
            "values": {
                name: {"value": v.value, "unit": v.unit, "plus_minus": v.plus_minus,
                       **({"non_linear": True} if v.non_linear else {})}
                for name, v in self.values.items()
            },
            "verdict": self.verdict,
            "deciding": self.result.deciding,
            "headline": self.headline(),
            "do_this": list(self.do_this()),
            "key_figures": _named(self.result.screen.primary, self.values),
            "check": _named(self.result.screen.check, self.values),
            "always": always.lines(self.calculator)._asdict(),
            "ways_out": [
                {**way._asdict(), "inputs": dict(way.inputs)} for way in self.result.ways_out
            ],
            "cautions": [
                {"id": c.id, "kind": c.kind, "severity": c.severity, "text": c.text,
                 "action": c.action, "source": c.source,
                 **({"more": c.more} if c.more else {})}
                for c in self.cautions
            ],
            "tables": [
                {"name": t.name, "title": t.title,
                 "columns": [{"label": c.label, "unit": c.unit} for c in t.columns],
                 "rows": [list(row) for row in t.rows]}
                for t in self.tables
            ],
            "working": [
                {"label": s.label, "formula": s.formula, "value": s.value, "unit": s.unit,
                 "source": s.source, "obtained": obtained.get(s.source, "computed")}
                for s in self.working
            ],
            "sources": [
                {"key": s.key, "title": s.title, "obtained": s.obtained, "note": s.note}
                for s in self.sources
            ],
        }  # fmt: skip


def _named(figures: tuple[str | Figure, ...], values: Mapping[str, Value]) -> list[str]:
    """The names of those figures that have a value."""
    return [name for name in value_names(figures) if name in values]


class Judge(NamedTuple):
    """How a way out is judged: `quick` for a search, and `full` for all that a person sees."""

    quick: Callable[[OwnInputs], str]
    full: Callable[[OwnInputs], Answer]
