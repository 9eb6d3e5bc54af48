"""How one input is asked for, read and checked; Inputs of a calculator.

An Inputs class declares its fields with the helpers below (`quantity`, `count`, `number`, `choice`,
`part`, `parts`, `ingredient`, `words`, `flag`); the same declaration makes the command line's
options, the form, the recipe's keys and the checks.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any, ClassVar, NamedTuple, Self, dataclass_transform

from prepkit import ingredient as grammar
from prepkit.errors import BadInput, OutOfRange, PrepkitError, named, unseen
from prepkit.ingredient import REFUSED_GROUP, Ingredient, Part, together
from prepkit.numbers import close_names
from prepkit.pantry import Pantry
from prepkit.record import Declared, Field, FieldValue, Record
from prepkit.units import SPREAD, Measured, in_figures, parse_number, parse_quantity, parse_spread

# ---- how one input is asked for, read and checked ----

MOST_LETTERS = 1000  # of one input
MOST_WORDS = 200  # of one input that takes several
MOST_WHOLE = 10**300
ALL_PERCENT = 100.0
AT_LIMIT = 1e-12  # of the limit: what is left of rounding when a unit is converted
_KINDS_OF_UNIT = {
    "C": "temperature", "bar": "pressure", "mbar": "pressure", "g": "weight", "kg": "weight",
    "ml": "volume", "l": "volume", "m3": "volume", "mm": "length", "um": "length", "m": "length",
    "h": "time", "min": "time", "d": "time", "/h": "rate", "l/d": "rate", "% vol": "strength",
    "%": "share", "% w/w": "share", "g/l": "share", "Bx": "brix",
}  # fmt: skip
_KINDS_OF_SPEC = {
    "part": "amount", "parts": "amount", "ingredient": "ingredient", "words": "words",
    "many words": "words",
}  # fmt: skip

Json = dict[str, Any]  # Any: what JSON holds


class Spec(NamedTuple):
    """How one input is asked for, read and checked."""

    kind: str  # quantity count number choice part parts ingredient ingredients words flag
    label: str
    help: str
    example: str
    units: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    above: float | None = None  # an exclusive lower limit
    because: str = ""  # the reason of the limits
    choices: tuple[str, ...] = ()
    required: bool = True
    bare: bool = False
    extensive: bool = False  # scales with the batch
    several: bool = False  # of a part or an ingredient: several may be said, and are one together
    at: bool = False  # of parts: each may have its own temperature
    group: str = "Options"  # where it stands in the help of the command
    takes: str = ""  # what free words are: date, name, gas ...

    @property
    def value_kind(self) -> str:
        """What kind of thing the value is, in one word or two.

        >>> Spec("quantity", "rated pressure", "", "17 bar", ("bar",)).value_kind
        'pressure'
        >>> Spec("words", "made on", "", "2026-11-25", takes="date").value_kind
        'date'
        """
        if self.takes:
            return self.takes
        if self.kind == "quantity":
            return _KINDS_OF_UNIT.get(self.units[0], "number")
        return _KINDS_OF_SPEC.get(self.kind, self.kind)


def read(spec: Spec, value: FieldValue, name: str, pantry: Pantry) -> FieldValue:
    """One input's words or number as the value that the calculator gets."""
    if value is None and not spec.required:
        return None
    field_name = named(name)
    _bounded(value, field_name)
    _once(spec, value, field_name)
    if spec.kind == "quantity":
        got = parse_quantity(
            value, spec.units, field_name, spec.bare,
            example=spec.example, measures=pantry.measures, pressure=pressure_of(spec),
        )  # fmt: skip
        got = _at_limit(spec, got)
        _check(spec, float(got), field_name, got.unit)
        return got
    if spec.kind in ("part", "parts", "ingredient", "ingredients", "many words"):
        return _read_words(spec, value, field_name, pantry)
    if spec.kind in ("count", "number"):
        return _read_bare(spec, value, field_name)
    if spec.kind == "choice":
        word = str(value).strip().lower()
        if word not in spec.choices:
            near = close_names(word, spec.choices, n=1)
            hint = f"did you mean {near[0]}? " if near else ""
            raise BadInput(
                f'{field_name} is "{value}"; {hint}it must be one of {", ".join(spec.choices)}.',
                name,
            )
        return word
    if spec.kind == "flag":
        if isinstance(value, bool):
            return value
        word = str(value).strip().lower()
        if word not in ("yes", "no", "true", "false"):
            raise BadInput(f'{field_name} is "{value}"; write yes or no.', name)
        return word in ("yes", "true")
    if not isinstance(value, str) or not value.strip():
        raise BadInput(f"{field_name} is {value!r}; write words such as {spec.example}.", name)
    return _without_spread(value, field_name)


MANY = ("parts", "many words", "ingredients")


def _once(spec: Spec, value: FieldValue, field_name: str) -> None:
    """Refuse several values where one is taken."""
    if spec.kind in MANY or spec.several or not isinstance(value, list | tuple) or len(value) < 2:
        return
    times = {2: "twice"}.get(len(value), f"{len(value)} times")
    raise BadInput(f"{field_name} is given {times}, and it takes one. Keep the one that you mean.")


def pressure_of(spec: Spec) -> str:
    """What a field of a pressure counts from, by its label: "gauge", "absolute" or nothing."""
    words = spec.label.replace(",", " ").split()
    return next((name for name in ("gauge", "absolute") if name in words), "")


def _at_limit(spec: Spec, got: Measured) -> Measured:
    """A quantity that passes a limit by no more than a conversion can, at the limit itself."""
    for limit in (spec.low, spec.high):
        if limit is not None and got != limit and abs(got - limit) <= AT_LIMIT * abs(limit):
            return Measured(limit, got.unit, got.plus_minus)
    return got


def _bounded(value: FieldValue, field_name: str) -> None:
    """Refuse what nobody writes, before time is spent on it."""
    if isinstance(value, str) and len(value) > MOST_LETTERS:
        raise BadInput(
            f"{field_name} has {len(value)} characters; at most {MOST_LETTERS} are taken."
        )
    if isinstance(value, str) and unseen(value.strip()):
        raise BadInput(
            f'{field_name} is "{value}", which has a character in it that cannot be seen; write '
            f"plain text on one line."
        )
    if isinstance(value, int) and abs(value) > MOST_WHOLE:
        raise BadInput(f"{field_name} is too large to be a number.")
    if isinstance(value, list | tuple):
        if len(value) > MOST_WORDS:
            raise BadInput(f"{field_name} is given {len(value)} times; at most {MOST_WORDS}.")
        for one in value:
            _bounded(one, field_name)


def _read_words(spec: Spec, value: FieldValue, field_name: str, pantry: Pantry) -> FieldValue:
    if spec.kind == "part":
        given = value if isinstance(value, list | tuple) else (value,)
        if spec.several:
            found = _something(given, field_name, pantry)
        else:
            found = tuple(
                one if isinstance(one, Part) else pantry.part(one, field_name, at=True)
                for one in given
            )
            found = _something(found, field_name, pantry)
        if not found:
            raise BadInput(f"{field_name} is empty; write for example {spec.example}.")
        return _at_known(spec, (together(found),), field_name)[0]
    if spec.kind == "ingredient":
        if isinstance(value, list | tuple) and spec.several and len(value) > 1:
            return pantry.ingredient(_joined(value, spec, field_name), field_name)
        one = value[0] if isinstance(value, list | tuple) and len(value) == 1 else value
        if not isinstance(one, str):
            raise BadInput(f"{field_name} is {value!r}; write a name such as {spec.example}.")
        return pantry.ingredient(one, field_name)
    many = [value] if isinstance(value, str | Part) else value
    if not isinstance(many, list | tuple):
        raise BadInput(f"{field_name} is {value!r}; write words such as {spec.example}.")
    if spec.kind == "many words":
        for one in many:
            if not isinstance(one, str):
                raise BadInput(f"{field_name} is {one!r}; write words such as {spec.example}.")
            if not one.strip():
                raise BadInput(f"{field_name} is empty; write words such as {spec.example}.")
        split = grammar.split if spec.several else lambda words: [words]
        apart = [word for words in many for word in split(words)]
        return tuple(_without_spread(text, field_name) for text in apart)
    if spec.required and not many:
        raise BadInput(f"{field_name} is empty; write for example {spec.example}.")
    return _at_known(spec, _something(many, field_name, pantry), field_name)


def _joined(many: Iterable[FieldValue], spec: Spec, field_name: str) -> str:
    """Several ingredients with their parts as the words of one mixture."""
    for one in many:
        if not isinstance(one, str):
            raise BadInput(f"{field_name} is {one!r}; write a name such as {spec.example}.")
        if " part" not in one.lower():
            raise BadInput(
                f'{field_name} is given more than once, and "{one}" has no share; write the parts '
                f'of each by weight, such as "1 part {spec.example} by weight".'
            )
    return " and ".join(one.strip() for one in many)


def _at_known(spec: Spec, parts: tuple[Part, ...], field_name: str) -> tuple[Part, ...]:
    """The parts; BadInput for a temperature that the calculator would not use."""
    if not spec.at:
        for part in parts:
            for one in part.each:
                if one.temperature_c is not None:
                    raise BadInput(
                        f'{field_name} "{one.words}": the temperature of a part is not used here; '
                        f'leave "at {one.temperature_c:g} C" out.'
                    )
    return parts


def _without_spread(words: str, field_name: str) -> str:
    """Words that a calculator reads itself, in which a ± would be lost."""
    if SPREAD.search(words):
        raise BadInput(
            f'{field_name} is "{words}" and takes no ±; write the figure that is worse for what '
            f"you ask, or ask once with the lowest and once with the highest."
        )
    return words.strip()


def _something(many: Iterable[FieldValue], field_name: str, pantry: Pantry) -> tuple[Part, ...]:
    """Parts that are some mass together, or none at all; a refused plant has no mass to give."""
    found = tuple(
        part
        for one in many
        for part in ((one,) if isinstance(one, Part) else pantry.parts(one, field_name))
    )
    if len(found) > MOST_WORDS:
        raise BadInput(f"{field_name} names {len(found)} parts; at most {MOST_WORDS} are taken.")
    refused = any(one.ingredient.group == REFUSED_GROUP for one in found)
    if found and not refused and not math.fsum(one.mass_kg for one in found) > 0:
        raise BadInput(
            f'{field_name} "{found[0].words}" amounts to 0; write an amount of it, more than '
            f"0, or leave it out."
        )
    return found


def _read_bare(spec: Spec, value: FieldValue, field_name: str) -> float | int:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise BadInput(f"{field_name} is {value!r}; write a number such as {spec.example}.")
    spread = getattr(value, "plus_minus", 0.0)
    if isinstance(value, str):
        got, rest = parse_number(in_figures(value), field_name)
        if spec.kind == "number" and SPREAD.match(rest):
            spread, rest = parse_spread(rest, got, field_name)
        if rest:
            raise BadInput(f'{field_name} is "{value}"; write a bare number: {spec.example}.')
    else:
        got = float(value)
    _check(spec, got, field_name, "")
    if spread:
        return Measured(got, "", spread)
    if spec.kind == "count":
        if got != int(got):
            raise BadInput(f"{field_name} is {got:g}; it must be a whole number.")
        return int(got)
    return got


def _check(spec: Spec, value: float, field_name: str, unit: str) -> None:
    if spec.above is not None and not value > spec.above:
        of_unit = f" {unit}" if unit else ""
        reason = f" ({spec.because})" if spec.because else ""
        raise BadInput(
            f"{field_name} is {value:g}{of_unit}; it must be more than {spec.above:g}{of_unit}"
            f"{reason}."
        )
    low, high, because = spec.low, spec.high, spec.because
    if unit == "% w/w" and high is not None and high > ALL_PERCENT:  # the limit of g/l
        high, because = ALL_PERCENT, "that would be all of it"
    if (
        not math.isfinite(value)
        or (low is not None and value < low)
        or (high is not None and value > high)
    ):
        raise OutOfRange(field_name, value, low, high, unit, because)


# ---- inputs of a calculator ----


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


def _value_of(name: str) -> "Callable[[Inputs], FieldValue]":
    return lambda inputs: vars(inputs)[name]


def _without_underscore(fields: Mapping[str, FieldValue]) -> dict[str, FieldValue]:
    return {name.removesuffix("_"): field for name, field in fields.items()}


@dataclass_transform(
    kw_only_default=True,
    frozen_default=True,
    field_specifiers=(
        quantity, number, count, choice, part, parts, ingredient, words, flag, held
    ),
)  # fmt: skip
class Inputs(Record):
    """Base of every calculator's inputs: frozen, closed; words and Python go the same way in.

    A field is declared with one of the helpers above; one whose name is a word of Python is
    declared with an underscore at its end. `from_words` tells everything that is wrong; the
    constructor takes the same words or numbers as keywords and raises BadInput with the first.

    A calculator that reads more than its fields say overrides one of the hooks `before_reading`,
    `tidy_field`, `read_field` and `after_reading`. Each may raise BadInput.
    """

    # inputs whose +/- the calculator itself judges at its upper (1) or lower (-1) end
    judged_at_end: ClassVar[Mapping[str, int]] = {}
    # inputs that only the vessel's plate, a manual, the room or a meter tells: never solved for
    only_read: ClassVar[tuple[str, ...]] = ()
    # inputs whose words are "name=from to": the names that they can have with a label, none for any
    bounded: ClassVar[Mapping[str, Mapping[str, str]]] = {}
    # groups of the command's help with the names of inputs in order, those most needed first
    groups: ClassVar[tuple[tuple[str, str], ...]] = ()
    # what the free words of an input are: "date", "name" ...
    takes: ClassVar[tuple[tuple[str, str], ...]] = ()
    _specs: ClassVar[dict[str, Spec]] = {}

    def __init_subclass__(cls) -> None:
        """Gather the declared fields, those of the base first."""
        super().__init_subclass__()
        for name in [text for text in cls._declared if text.endswith("_")]:
            setattr(cls, name, property(_value_of(name.removesuffix("_"))))
        fields = _without_underscore(cls._declared)
        cls._defaults = _without_underscore(cls._defaults)
        specs = {name: spec for name, spec in fields.items() if spec is not None}
        for group, names in cls.groups:
            specs |= {name: specs[name]._replace(group=group) for name in names.split()}
        specs |= {name: specs[name]._replace(takes=kind) for name, kind in cls.takes}
        cls._specs, cls._declared = specs, fields | specs

    def __init__(self, **said: Any) -> None:  # Any: words, numbers or values of any field
        """The same reading and refusals as from words; BadInput with the first thing wrong."""
        made, problems = type(self).from_words(
            {name.removesuffix("_"): value for name, value in said.items()}, Pantry()
        )
        if made is None:
            field_name, problem = next(iter(problems.items()))
            raise problem if isinstance(problem, PrepkitError) else self._unfit(field_name)
        self.__dict__.update(vars(made))

    @classmethod
    def _unfit(cls, name: str) -> BadInput:
        spec = cls._specs.get(name)
        if spec is not None:
            return BadInput(f'{name} is needed, {spec.label}: for example "{spec.example}".', name)
        return BadInput(f"there is no {name}; it takes {', '.join(cls._specs)}.", name)

    @classmethod
    def stopped(cls, values: Mapping[str, Any]) -> Self:  # Any: values of any field
        """Inputs that are answered with a stop and never computed; what was not read is None."""
        missing = {name: None for name in cls._specs if name not in cls._defaults}
        return cls._made({**missing, **values})

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
