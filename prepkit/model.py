"""Result, Answer, their values and their first screen: what every calculator is made of.

They are data (`data/always.toml`), one table for each calculator, each line made for its work. The
standing cautions say the same at length.

A Result class says it once, by `screen = Screen(...)`; what draws the answer chooses nothing.

A Result class declares its values with `output`.
"""

import math
import string
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from functools import cache, cached_property
from types import MappingProxyType
from typing import (
    Any,
    ClassVar,
    Literal,
    NamedTuple,
    Protocol,
    Self,
    TypeVar,
    cast,
    dataclass_transform,
    overload,
)

from prepkit import blocks
from prepkit.blocks import Entry
from prepkit.errors import FileProblem
from prepkit.facts import Facts
from prepkit.inputs import (
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
from prepkit.record import EMPTY, Declared, Field, FieldValue, Record
from prepkit.units import rounded_down, rounded_up, shown_digits, shown_in

__all__ = [
    "Answer",
    "Caution",
    "Column",
    "Compared",
    "Deciding",
    "Declared",
    "Field",
    "FieldValue",
    "Inputs",
    "Json",
    "Judge",
    "MadeLater",
    "Output",
    "OwnInputs",
    "Result",
    "Source",
    "Step",
    "Table",
    "Value",
    "Way",
    "choice",
    "count",
    "flag",
    "held",
    "ingredient",
    "number",
    "output",
    "part",
    "parts",
    "quantity",
    "words",
]


# ---- the three lines that stand under every short answer ----

FILE = "always.toml"
MOST_WORDS = 12


class Always(NamedTuple):
    """The three lines of one calculator, in the order in which they are shown."""

    pressure: str
    cryogen: str
    inhalation: str


def lines(calculator: str) -> Always:
    """The three lines of a calculator. Raises FileProblem unless all three stand, each short.

    >>> lines("siphon").inhalation
    'Vent in moving air. Never breathe the gas.'
    """
    table = blocks.table(FILE, calculator) or {}
    if table.keys() != set(Always._fields):
        raise FileProblem(
            f"{FILE} must have one line each for {', '.join(Always._fields)} under [{calculator}], "
            f"and has {', '.join(table) or 'none'}."
        )
    for kind, line in table.items():
        if not isinstance(line, str) or not 0 < len(line.split()) <= MOST_WORDS:
            raise FileProblem(
                f"{FILE}: {kind} of {calculator} must be one to {MOST_WORDS} words: {line!r}."
            )
    return Always(**table)


# ---- what stands on the first screen of an answer, as data of its calculator ----

Limit = Literal["", "most", "least"]

THOUSANDTHS = 3  # decimals
MOST_STEPS = 3
_DEGREES = {"C": "°C", "F": "°F"}


class Figure(NamedTuple):
    """A figure under a label of its own: one value of the Result, or a range between two."""

    label: str
    low: str
    high: str = ""


class Screen(NamedTuple):
    """The first screen of a calculator; {names} in sentences are values, then inputs, then facts.

    headline: sentences with the figure that decides; the first whose names are all known is shown.
    do_this: lines of what to do or set; those whose names are all known are shown, three at most.
    primary: the figures that decide, most important first; check: the readings to check by.
    weigh: the table of what to weigh.
    """

    headline: tuple[str, ...]
    primary: tuple[str | Figure, ...]
    check: tuple[str | Figure, ...] = ()
    do_this: tuple[str, ...] = ()
    weigh: str = ""


def value_names(figures: Iterable[str | Figure]) -> list[str]:
    """Every value that figures name, in order."""
    out: list[str] = []
    for one in figures:
        out += [one] if isinstance(one, str) else filter(None, (one.low, one.high))
    return out


class Valued(Protocol):
    """A value as an answer holds it."""

    @property
    def value(self) -> float:
        """The number."""

    @property
    def unit(self) -> str:
        """Its unit."""

    @property
    def digits(self) -> int:
        """The most decimals that are shown."""

    @property
    def plus_minus(self) -> float | None:
        """Its ±; None without one."""

    @property
    def limit(self) -> Limit:
        """Whether it is the most or the least that may be."""


def spread_of(value: Valued, system: str) -> float:
    """The ± of a value in the unit that is shown; 0 without one."""
    zero, _ = shown_in(0.0, value.unit, system)
    return abs(shown_in(value.plus_minus or 0.0, value.unit, system)[0] - zero)


def decimals(value: Valued, system: str) -> int:
    """The decimals that a value is shown with: its own, or as few as two figures of its ± have."""
    digits, spread = shown_digits(value.digits, value.unit, system), spread_of(value, system)
    if not 0.0 < spread < math.inf:
        return digits
    return min(digits, max(0, 1 - math.floor(math.log10(spread))))


def rounded(value: float | None, digits: int, unit: str = "") -> str:
    """A value at its shown digits; a dash where there is none.

    Before g and ml three decimals could be read as thousands, so that a fourth is written.

    >>> rounded(1234.5678, 1), rounded(None, 1), rounded(-0.001, 1)
    ('1234.6', '-', '0.0')
    >>> rounded(1.4242, 3, "g"), rounded(0.4242, 3, "g"), rounded(1.4242, 3, "kg")
    ('1.4242', '0.424', '1.424')
    """
    if value is None:
        return "-"
    shown = f"{value:.{digits}f}"
    if digits == THOUSANDTHS and unit in ("g", "ml") and shown.lstrip("-")[0] != "0":
        shown = f"{value:.{digits + 1}f}"
    return shown[1:] if shown.startswith("-") and not shown.strip("-0.") else shown


def amount(value: Valued, system: str) -> str:
    """A value with its unit, without its ±, in metric or US units."""
    text, unit = figure(value, system)
    return f"{text} {degrees(unit)}".rstrip()


def figure(value: Valued, system: str) -> tuple[str, str]:
    """A value at its shown digits, and its unit; a limit is rounded to its strict side."""
    shown, unit = shown_in(value.value, value.unit, system)
    digits = decimals(value, system)
    return rounded(strictly(shown, digits, value.limit), digits, unit), unit


def strictly(value: float, digits: int, limit: Limit) -> float:
    """A figure rounded to the strict side where it is a limit, else as it is.

    >>> strictly(8.338, 1, "least"), strictly(8.662, 1, "most"), strictly(8.338, 1, "")
    (8.4, 8.6, 8.338)
    """
    if not limit:
        return value
    return (rounded_down if limit == "most" else rounded_up)(value, digits)


def degrees(unit: str) -> str:
    """A unit as it is printed.

    >>> degrees("C"), degrees("bar")
    ('°C', 'bar')
    """
    return _DEGREES.get(unit, unit)


@cache
def names_in(sentence: str) -> tuple[str, ...]:
    """The {names} of a sentence."""
    return tuple(name for _, name, _, _ in string.Formatter().parse(sentence) if name)


def filled(
    sentences: Iterable[str],
    values: Mapping[str, Valued],
    said: Mapping[str, Any],  # Any: the inputs in words, facts of any kind
    system: str,
) -> list[str]:
    """The sentences whose names are all known, with what the names stand for."""
    out: list[str] = []
    for sentence in sentences:
        known: dict[str, str] = {}
        for name in names_in(sentence):
            if name in values:
                known[name] = amount(values[name], system)
            elif (words := _in_words(said.get(name))) is not None:
                known[name] = words
        if len(known) == len(names_in(sentence)):
            out.append(sentence.format_map(known))
    return out


def _in_words(said: Any) -> str | None:  # Any: an input in words or a fact
    if isinstance(said, list) and said:
        return " + ".join(str(one) for one in said)
    if isinstance(said, str | int) and not isinstance(said, bool) and str(said):
        return str(said)
    return None


# ---- what every calculator is made of ----

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

    A `limit` is shown rounded to its strict side; `figures` are the significant ones at most.
    """

    label: str
    unit: str = ""
    digits: int | None = None
    limit: Limit = ""
    figures: int | None = None


def fewer_digits(value: float, digits: int, figures: int | None) -> int:
    """Decimals of a value: `digits`, and fewer where they would say more than `figures`.

    >>> [fewer_digits(value, 2, 3) for value in (412.26, 22.95, 2.468, 0.0)]
    [0, 1, 2, 2]
    """
    if figures is None or not value:
        return digits
    return max(0, min(digits, figures - 1 - math.floor(math.log10(abs(value)))))


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
        return fewer_digits(value, self.digits, self.figures)


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
    return Field(one, None)


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

    def beside(self, load: Mapping[str, Any]) -> "Way":  # Any: as above
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


_Kept = TypeVar("_Kept")


class MadeLater(Sequence[_Kept]):
    """Tables or steps that are made when first looked at: what is only judged needs none."""

    def __init__(self, make: Callable[[], tuple[_Kept, ...]]) -> None:
        self._make = make

    @cached_property
    def _made(self) -> tuple[_Kept, ...]:
        return self._make()

    def __len__(self) -> int:
        return len(self._made)

    @overload
    def __getitem__(self, place: int) -> _Kept: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[_Kept, ...]: ...
    def __getitem__(self, place: int | slice) -> _Kept | tuple[_Kept, ...]:
        return self._made[place]

    def __eq__(self, other: object) -> bool:
        """Whether they hold the same, made at once or later."""
        return isinstance(other, MadeLater | tuple) and self._made == tuple(other)

    def __hash__(self) -> int:
        return hash(len(self._made))


@dataclass_transform(kw_only_default=True, frozen_default=True)
class Result(Record):
    """Base of every calculator's result: pure numbers, before verdict and cautions.

    A value that was not computed is None. `facts` are what the caution rules judge;
    `model_error` holds the stated error of a value where its relation has one. `deciding` is a
    sentence with the figure that decides and its limit, `compared` that figure and that limit as
    numbers where it is an upper one; `ways_out` of a stop are judged one by one.

    What stands on the first screen is data of the class (`first_screen`).
    """

    screen: ClassVar[Screen]

    product: Mixture | None = None
    facts: Facts = cast("Facts", EMPTY)
    working: Sequence[Step] = ()
    tables: Sequence[Table] = ()
    model_error: Mapping[str, float] = EMPTY
    deciding: str = ""
    compared: Compared | None = None
    ways_out: tuple[Way, ...] = ()

    def __init__(self, **values: FieldValue) -> None:
        super().__init__(**values)

    @classmethod
    @cache
    def outputs(cls) -> Mapping[str, Output]:
        """The declared values by name, in order."""
        return {name: one for name, one in cls._declared.items() if one is not None}

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
        return self.replaced(**{name: None for name in self.outputs() if name not in names})

    def with_cautions(self, found: "tuple[Caution, ...]") -> Self:
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


class Value(Record):
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


class Caution(Record):
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


class Answer(Record):
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
            "always": lines(self.calculator)._asdict(),
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


# ---- sources: what a figure rests on, and how it was obtained ----

OBTAINED = ("read", "memory", "practice", "computed")
WEAK = ("memory", "practice")


@cache
def source_of(key: str) -> Source | None:
    """The source of a key, or None where no file has it.

    What was worked out from something remembered or customary says so: "computed, in part from
    memory".
    """
    row = _source_row(key)
    if row is None:
        return None
    return Source(key, row["title"], _obtained(row), row.get("note", ""))


def rests_on(key: str) -> tuple[str, ...]:
    """The keys that a source of this project was made from."""
    return tuple((_source_row(key) or {}).get("rests_on", ()))


@cache
def _source_files() -> dict[str, str]:
    """The file of each key."""
    return {key: path for path, key in reversed(_source_file_keys())}


@cache
def _source_file_keys() -> tuple[tuple[str, str], ...]:
    return tuple((path, key) for path in blocks.names("sources") for key in blocks.keys(path))


def _source_row(key: str) -> Entry | None:
    path = _source_files().get(key)
    return None if path is None else blocks.table(path, key)


def _obtained(row: Entry) -> str:
    below = [source.obtained for source in cited(row.get("rests_on", ()))]
    weak = [word for word in WEAK if any(word in text for text in below)]
    obtained: str = row["obtained"]
    return f"{obtained}, in part from {' and '.join(weak)}" if weak else obtained


def source_keys() -> list[str]:
    """Every source key, in file order."""
    return [key for _, key in _source_file_keys()]


def cited(wanted: Iterable[str]) -> tuple[Source, ...]:
    """The sources of the keys, once each; keys without an entry are left out."""
    found = (source_of(key) for key in dict.fromkeys(wanted) if key)
    return tuple(source for source in found if source is not None)
