"""Inputs of a calculator: typed fields, declared once, for words and for Python alike.

An Inputs class declares its fields with the helpers below (`quantity`, `count`, `number`, `choice`,
`part`, `parts`, `ingredient`, `words`, `flag`); the same declaration makes the command line's
options, the form, the recipe's keys and the checks.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, ClassVar, NamedTuple, Self, dataclass_transform

from prepkit.errors import BadInput, PrepkitError
from prepkit.pantry import Ingredient, Pantry, Part
from prepkit.spec import Spec, read
from prepkit.units import Measured

Json = dict[str, Any]  # Any: what JSON holds
Declared = Any  # Any: what declares a field stands for its value, as dataclasses.field does
FieldValue = Any  # Any: a value of any field of any calculator


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
    # inputs that only the vessel's plate, a manual, the room or a meter tells: never solved for
    only_read: ClassVar[tuple[str, ...]] = ()
    # inputs whose words are "name=from to": the names that they can have with a label, none for any
    bounded: ClassVar[Mapping[str, Mapping[str, str]]] = {}
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
