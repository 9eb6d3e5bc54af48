"""What every calculator is made of: Inputs, Result, and the parts of an answer.

An Inputs class declares its fields with the helpers below (`quantity`, `count`, `number`, `choice`,
`part`, `parts`, `ingredient`, `words`, `flag`); the same declaration makes the command line's
options, the form, the recipe's keys and the checks. A Result class declares its values with
`output`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cache, cached_property
from types import MappingProxyType
from typing import Any, ClassVar, NamedTuple, Self, dataclass_transform, overload

from prepkit import always
from prepkit.errors import BadInput, PrepkitError
from prepkit.first_screen import MOST_STEPS, Figure, Screen, filled, value_names
from prepkit.mixture import Mixture
from prepkit.pantry import Ingredient, Pantry, Part
from prepkit.spec import Spec, read
from prepkit.units import Measured

Json = dict[str, Any]  # Any: what JSON holds
Declared = Any  # Any: what declares a field stands for its value, as dataclasses.field does
FieldValue = Any  # Any: a value of any field of any calculator
OwnInputs = Any  # Any: the Inputs of one calculator, whose functions take them by their own type


class Field(NamedTuple):
    """One declared input: how it is asked for, and its value where nothing was given."""

    spec: Spec | None  # None: held beside the inputs, never asked for
    default: FieldValue  # of the field's own type; ... where it is needed


def _field(spec: Spec, default: Declared) -> Declared:
    return Field(spec, default)


def held(default: Declared) -> Declared:
    """What `after_reading` works out and `hold`s beside the inputs; no option, no key."""
    return Field(None, default)


def quantity(
    unit: str | tuple[str, ...],
    label: str,
    help: str,
    example: str,
    *,
    default: Declared = ...,
    low: float | None = None,
    high: float | None = None,
    above: float | None = None,
    because: str = "",
    bare: bool = False,
    extensive: bool = False,
) -> Declared:
    """A number with a unit; several units where the basis is part of the answer."""
    units = (unit,) if isinstance(unit, str) else unit
    if isinstance(default, int | float) and not isinstance(default, bool):
        default = Measured(default, units[0])
    spec = Spec("quantity", label, help, example, units, low, high, above, because,
                required=default is ..., bare=bare, extensive=extensive)  # fmt: skip
    return _field(spec, default)


def number(
    label: str, help: str, example: str, *, default: Declared = ..., low: float | None = None,
    high: float | None = None, above: float | None = None, because: str = "",
) -> Declared:  # fmt: skip
    """A bare number without a unit (pH, a factor, a ratio)."""
    spec = Spec("number", label, help, example, (), low, high, above, because,
                required=default is ...)  # fmt: skip
    return _field(spec, default)


def count(
    label: str, help: str, example: str, *, default: Declared = ..., low: int = 0,
    high: int | None = None, extensive: bool = False,
) -> Declared:  # fmt: skip
    """A whole number of things."""
    spec = Spec("count", label, help, example, (), low, high, required=default is ...,
                extensive=extensive)  # fmt: skip
    return _field(spec, default)


def choice(
    choices: tuple[str, ...], label: str, help: str, *, default: Declared = ...
) -> Declared:  # fmt: skip
    """One word of a closed list."""
    spec = Spec("choice", label, help, choices[0], choices=choices, required=default is ...)
    return _field(spec, default)


def part(
    label: str, help: str, example: str, *, default: Declared = ..., extensive: bool = True,
    several: bool = False, at: bool = False,
) -> Declared:  # fmt: skip
    """An amount of one ingredient: "500 ml cream 35 %"; of several together where `several`.

    `at`: a part may say its temperature ("at 5 C"), which the calculator uses; else it is refused.
    """
    spec = Spec("part", label, help, example, required=default is ..., extensive=extensive,
                several=several, at=at)  # fmt: skip
    return _field(spec, default)


def parts(
    label: str, help: str, example: str, *, default: Declared = ..., extensive: bool = True,
    at: bool = False,
) -> Declared:  # fmt: skip
    """Any number of amounts of ingredients; each may say its temperature where `at`."""
    spec = Spec("parts", label, help, example, required=default is ..., extensive=extensive, at=at)
    return _field(spec, () if default is None else default)


def ingredient(
    label: str, help: str, example: str, *, default: Declared = ..., several: bool = False
) -> Declared:
    """An ingredient by name, without an amount; of several by their parts where `several`."""
    spec = Spec("ingredient", label, help, example, required=default is ..., several=several)
    return _field(spec, default)


def words(
    label: str, help: str, example: str, *, default: Declared = ..., many: bool = False,
    several: bool = False,
) -> Declared:  # fmt: skip
    """Free words that the calculator reads itself; a list where `many`.

    `several`: each of them may be several amounts or parts joined by commas or "and".
    """
    spec = Spec("many words" if many else "words", label, help, example, required=default is ...,
                several=several)  # fmt: skip
    return _field(spec, default)


def flag(label: str, help: str) -> Declared:
    """Yes or no; no if left out."""
    spec = Spec("flag", label, help, "", required=False)
    return _field(spec, False)


def _value_of(name: str) -> Callable[[Inputs], object]:
    return lambda inputs: vars(inputs)[name]


@dataclass_transform(
    kw_only_default=True,
    frozen_default=True,
    field_specifiers=(
        quantity, number, count, choice, part, parts, ingredient, words, flag, held
    ),
)  # fmt: skip
class Inputs:
    """Base of every calculator's inputs: frozen, closed; words and Python go the same way in.

    A field is declared with one of the helpers above; one whose name is a word of Python is
    declared with an underscore at its end. `from_words` tells everything that is wrong; the
    constructor takes the same words or numbers as keywords and raises BadInput with the first.

    A calculator that reads more than its fields say overrides one of the hooks `before_reading`,
    `tidy_field`, `read_field` and `after_reading`. Each may raise BadInput.
    """

    # inputs whose +/- the calculator itself judges at its upper (1) or lower (-1) end
    judged_at_end: ClassVar[Mapping[str, int]] = {}
    # inputs that stand on a plate, a charger or in a manual: read there, never solved for
    only_read: ClassVar[tuple[str, ...]] = ()
    # groups of the command's help with the names of inputs in order, those most needed first
    groups: ClassVar[tuple[tuple[str, str], ...]] = ()
    # what the free words of an input are: "date", "name" ...
    takes: ClassVar[tuple[tuple[str, str], ...]] = ()
    _specs: ClassVar[dict[str, Spec]] = {}
    _defaults: ClassVar[dict[str, FieldValue]] = {}

    def __init_subclass__(cls) -> None:
        """Gather the declared fields, those of the base first."""
        specs, defaults = dict(cls._specs), dict(cls._defaults)
        for attribute, declared in tuple(vars(cls).items()):
            if not isinstance(declared, Field):
                continue
            name = attribute.removesuffix("_")
            delattr(cls, attribute)
            if name != attribute:
                setattr(cls, attribute, property(_value_of(name)))
            if declared.spec is not None:
                specs[name] = declared.spec
            if declared.default is not ...:
                defaults[name] = declared.default
        for group, names in cls.groups:
            specs |= {name: specs[name]._replace(group=group) for name in names.split()}
        specs |= {name: specs[name]._replace(takes=kind) for name, kind in cls.takes}
        cls._specs, cls._defaults = specs, defaults

    def __init__(self, **said: Any) -> None:  # Any: words, numbers or values of any field
        """The same reading and refusals as from words; BadInput with the first thing wrong."""
        made, problems = type(self).from_words(
            {name.removesuffix("_"): value for name, value in said.items()}, Pantry()
        )
        if made is None:
            field_name, problem = next(iter(problems.items()))
            raise problem if isinstance(problem, PrepkitError) else self._unfit(field_name)
        vars(self).update(vars(made))

    @classmethod
    def _unfit(cls, name: str) -> BadInput:
        spec = cls._specs.get(name)
        if spec is not None:
            return BadInput(f'{name} is needed, {spec.label}: for example "{spec.example}".', name)
        return BadInput(f"there is no {name}; it takes {', '.join(cls._specs)}.", name)

    @classmethod
    def _made(cls, values: Mapping[str, object]) -> Self:
        """From values that were read and checked; the others are the defaults."""
        self = object.__new__(cls)
        vars(self).update({**cls._defaults, **values})
        return self

    @classmethod
    def stopped(cls, values: Mapping[str, Any]) -> Self:  # Any: values of any field
        """Inputs that are answered with a stop and never computed; what was not read is None."""
        missing = {name: None for name in cls._specs if name not in cls._defaults}
        return cls._made({**missing, **values})

    def __setattr__(self, name: str, value: object) -> None:
        """Inputs do not change; `replaced` makes others."""
        raise AttributeError(f"inputs are frozen: {name} cannot be set")

    def __delattr__(self, name: str) -> None:
        """Inputs do not change."""
        raise AttributeError(f"inputs are frozen: {name} cannot be deleted")

    def __eq__(self, other: object) -> bool:
        """Equal where the class and all values are."""
        return type(self) is type(other) and vars(self) == vars(other)

    def __hash__(self) -> int:
        """By the class and the values that it was made of."""
        return hash((type(self), *vars(self).items()))

    def __repr__(self) -> str:
        """The class with its values, those that are as by default left out."""
        shown = (
            f"{name}={vars(self)[name]!r}"
            for name in self._specs
            if vars(self)[name] != self._defaults.get(name, ...)
        )
        return f"{type(self).__name__}({', '.join(shown)})"

    def replaced(self, **values: Any) -> Self:  # Any: values of any field
        """The same with other values, which were read and checked already."""
        return self._made({**vars(self), **values})

    def hold(self, name: str, value: object) -> None:
        """Keep what `after_reading` worked out, for a field that was declared with `held`."""
        if name in self._specs or name not in self._defaults:
            raise AttributeError(f"{name} is not declared as held")
        vars(self)[name] = value

    @classmethod
    def from_words(
        cls, said: Mapping[str, object], pantry: Pantry
    ) -> tuple[Self | None, dict[str, Exception]]:
        """The inputs from words or numbers, or None with everything that is wrong, by input name.

        A field that is not known or missing is a KeyError for the caller to put into words.
        """
        try:
            given = cls.before_reading(
                {name: value for name, value in said.items() if value is not None}, pantry
            )
        except PrepkitError as error:
            return None, {getattr(error, "field", None) or "": error}
        problems: dict[str, Exception] = {}
        values: dict[str, FieldValue] = {}
        for name, spec in cls.specs().items():
            if name not in given:
                if spec.required:
                    problems[name] = KeyError("missing")
                continue
            try:
                value = read(spec, cls.tidy_field(name, given[name]), name, pantry)
                values[name] = cls.read_field(name, value, pantry, values)
            except PrepkitError as error:
                problems[name] = error
        problems |= {name: KeyError("unknown") for name in given if name not in cls._specs}
        if problems:
            return None, problems
        made = cls._made(values)
        try:
            made.after_reading(pantry)
        except PrepkitError as error:
            return None, {getattr(error, "field", None) or "": error}
        return made, {}

    @classmethod
    def before_reading(cls, said: dict[str, FieldValue], pantry: Pantry) -> dict[str, FieldValue]:
        """Hook: all words, before any is read."""
        return said

    @classmethod
    def tidy_field(cls, name: str, said: FieldValue) -> FieldValue:
        """Hook: the words of one field, before they are read."""
        return said

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> FieldValue:
        """Hook: the value of one field that was read, with the fields read before it."""
        return value

    def after_reading(self, pantry: Pantry) -> None:
        """Hook: all fields are read."""

    @classmethod
    def spec(cls, name: str) -> Spec:
        """The declaration of one input."""
        return cls._specs[name]

    @classmethod
    def specs(cls) -> Mapping[str, Spec]:
        """All inputs by name, in order."""
        return cls._specs

    @classmethod
    def default(cls, name: str) -> FieldValue:
        """The value of one input where nothing is given; ... where it is needed."""
        return cls._defaults.get(name, ...)

    def words(self) -> Json:
        """The inputs as words that read back as the same inputs."""
        said: Json = {}
        for name in self._specs:
            value = getattr(self, name)
            if value is None or value == ():
                continue
            said[name] = _said(value)
        return said


def _said(value: object) -> Declared:
    if isinstance(value, Measured):
        return value.words()
    if isinstance(value, Part):
        return value.words
    if isinstance(value, Ingredient):
        return value.name
    if isinstance(value, tuple):
        return [_said(one) for one in value]
    return value


# what comes back


class Step(NamedTuple):
    """One line of the working, as on a board: label, formula with numbers, value, source key."""

    label: str
    formula: str
    value: float | None = None
    unit: str = ""
    source: str = ""


class Column(NamedTuple):
    """A column of a table; text where `unit` and `digits` are not given."""

    label: str
    unit: str = ""
    digits: int | None = None


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
    figures: int | None = None, worst: bool = False,
) -> Declared:  # fmt: skip
    """Declare a value of a Result: its name, its unit, its shown decimals.

    figures: significant figures at most, where the value is known no better. worst: it holds at the
    worse end of every +/- that is `judged_at_end`, and has none of its own from those.
    """
    one = Output(label, unit, digits, extensive, help, figures, worst)
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
    tables: tuple[Table, ...]
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
