'''Tables of a file as models that pydantic's core reads, the kinds of their fields; their JSON
Schema.

A field of a `FileModel` is annotated with one of them. What is wrong is a BadInput with the
sentence alone; the model adds the place.

    class Step(FileModel, called="step"):
        """One step of making an item."""

        text: Annotated[str, Text("The work of the step.", "Strain through a cloth")]
        check: Annotated[bool, Flag("Whether somebody looks at it.")] = False

A model is declared as pydantic's are: each field is annotated with its type and one of the kinds of
`file_kinds`, which says how its value is read and what an editor may take for it. The engine is
pydantic's own (`pydantic_core`): it goes through nested tables, finds all problems at once and says
the place of each. Pydantic's class layer is not loaded: to import it and to build these models with
it takes 120 ms of processor time (2.3 times `import click`), the core 24 ms. Only a module that
reads a file imports this one.
'''

from __future__ import annotations

import copy
from collections.abc import Callable, Collection, Iterator, Mapping
from datetime import date, datetime
from inspect import get_annotations
from typing import Any, ClassVar, NamedTuple, Self, TypeVar, dataclass_transform

from pydantic_core import CoreSchema, SchemaValidator, ValidationError, core_schema

from prepkit import files
from prepkit.errors import BadInput, BadRecipe, by_key
from prepkit.files import KeyPath, place_of, shown
from prepkit.numbers import nearest
from prepkit.units import Measured, parse_quantity

# ---- kinds of values in a file that a person wrote ----

Form = dict[str, Any]  # Any: JSON Schema
Before = Mapping[str, Any]  # Any: the values of the fields before a field
WORDS: Form = {"type": "string", "minLength": 1, "maxLength": files.MOST_WORDS}
STAND_IN = object()  # in the place of a value that was refused, where all problems are gathered
TWICE = object()  # in the place of a value that is written twice


class Kind:
    """How a value of a file is read.

    about: what it is, for an editor. examples: what could be written. `read` gives the value as the
    program has it, or raises BadInput with its sentence; in that {key} stands for its key and
    {place} for its whole place. `missing` is the sentence where a needed one is left out. `instead`
    is harmless, for a reader that goes on after a problem.
    """

    instead: object = None
    missing = "it is missing."

    def __init__(self, about: str, *examples: str) -> None:
        self.about, self.examples = about, examples

    def read(self, value: object) -> object:
        """The value as the program has it."""
        raise NotImplementedError

    def form(self) -> Form:
        """What an editor may take for it."""
        raise NotImplementedError

    def described(self) -> Form:
        """Its form with what it is."""
        examples = {"examples": list(self.examples)} if self.examples else {}
        return {**({"description": self.about} if self.about else {}), **self.form(), **examples}

    def schema(self) -> CoreSchema:
        """How pydantic's core reads it."""
        return core_schema.no_info_plain_validator_function(self._taken)

    def _taken(self, value: object) -> object:
        return self.instead if value is STAND_IN else self.read(value)


class Beside(Kind):
    """A value that is judged beside those of the fields before it, where these could be read."""

    def read_beside(self, value: object, before: Before) -> object:
        """The value as the program has it."""
        raise NotImplementedError

    def schema(self) -> CoreSchema:
        """How pydantic's core reads it."""

        def read(value: object, info: core_schema.ValidationInfo) -> object:
            return self.instead if value is STAND_IN else self.read_beside(value, info.data)

        return core_schema.with_info_plain_validator_function(read)


class Text(Kind):
    """Text on one line; where it is not `needed` it may be empty, and may have several lines."""

    def __init__(self, about: str, *examples: str, needed: bool = True) -> None:
        super().__init__(about, *examples)
        self.needed, self.instead = needed, ""
        self.sample = f', such as {{key}} = "{examples[0]}"' if examples and needed else ""
        self.missing = f"it is missing; write text{self.sample}."

    def read(self, value: object) -> str:
        """The words, without control characters."""
        return files.text(value, self.sample, needed=self.needed)

    def form(self) -> Form:
        """Words of a bounded length."""
        return dict(WORDS) if self.needed else {"type": "string", "maxLength": files.MOST_WORDS}


class Note(Text):
    """Words for the person, which may have several lines; a day as words."""

    def __init__(self, about: str) -> None:
        super().__init__(about, needed=False)

    def read(self, value: object) -> str:
        """The words, without control characters."""
        day = isinstance(value, date) and not isinstance(value, datetime)
        return str(value) if day else super().read(value)


class WordChoice(Text):
    """One word of a closed list."""

    def __init__(self, about: str, choices: Collection[str]) -> None:
        super().__init__(about, next(iter(choices)))
        self.choices, self.examples = tuple(choices), ()

    def read(self, value: object) -> str:
        """The word itself."""
        word = super().read(value)
        if word not in self.choices:
            raise BadRecipe(f'it is "{word}"; it must be one of {", ".join(self.choices)}.')
        return word

    def form(self) -> Form:
        """The words of the list."""
        return {"enum": list(self.choices)}


class Count(Kind):
    """How many there are of something: a whole number from 1 to `most`."""

    instead = 1

    def __init__(self, about: str, most: int) -> None:
        super().__init__(about)
        self.most = most

    def read(self, value: object) -> int:
        """The number itself."""
        if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= self.most:
            raise BadRecipe(
                f"it is {shown(value)}; write how many there are, from 1 to {self.most}."
            )
        return value

    def form(self) -> Form:
        """A whole number within its limits."""
        return {"type": "integer", "minimum": 1, "maximum": self.most}


class Integer(Kind):
    """A whole number from `low` to `high`, written as a bare number."""

    def __init__(self, about: str, low: int, high: int) -> None:
        super().__init__(about)
        self.low, self.high, self.instead = low, high, low
        self.missing = f"it is missing; it must be {self._right}."

    @property
    def _right(self) -> str:
        return f"a whole number from {self.low} to {self.high}"

    def read(self, value: object) -> int:
        """The number itself."""
        if (
            isinstance(value, int)
            and not isinstance(value, bool)
            and (self.low <= value <= self.high)
        ):
            return value
        raise BadRecipe(f"it is {shown(value)}; it must be {self._right}.")

    def form(self) -> Form:
        """A whole number within its limits."""
        return {"type": "integer", "minimum": self.low, "maximum": self.high}


class Flag(Kind):
    """True or false, and nothing that stands for it."""

    instead = False

    def read(self, value: object) -> bool:
        """The value itself."""
        if not isinstance(value, bool):
            raise BadRecipe(f"it is {shown(value)}; write true or false.")
        return value

    def form(self) -> Form:
        """A boolean."""
        return {"type": "boolean"}


class Quantity(Kind):
    """Words with a unit, or a number where its scale is its unit (`bare`); from low to high."""

    def __init__(
        self, about: str, units: tuple[str, ...], low: float, high: float, *,
        bare: bool = False, what: str = "it must be", example: str = "",
    ) -> None:  # fmt: skip
        super().__init__(about, *([example] if example else []))
        self.units, self.low, self.high, self.bare, self.what = units, low, high, bare, what
        self.example = example or (f"1 {units[0]}" if units else "")

    def read(self, value: object) -> Measured:
        """The quantity in the first of its units, or in that of several that it was given in."""
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if number and self.bare:
            assert isinstance(value, int | float)
            read = Measured(float(value), self.units[0] if self.units else "")
        elif not self.units:
            raise BadRecipe(f"it is {shown(value)}; write a bare number, such as 3.1.")
        elif not isinstance(value, str):
            raise BadRecipe(
                f'it is {shown(value)}; write it with its unit, such as "{self.example}".'
            )
        else:
            read = parse_quantity(files.text(value), self.units, "the value")
        self.within(read)
        return read

    def within(self, read: Measured) -> None:
        """BadRecipe outside its limits."""
        if not self.low <= read <= self.high:
            of = f" {read.unit}" if read.unit else ""
            raise BadRecipe(
                f"it is {read:g}{of}; {self.what} from {self.low:g} to {self.high:.10g}{of}."
            )

    def form(self) -> Form:
        """Words, a number within its limits, or either."""
        number: Form = {"type": "number", "minimum": self.low, "maximum": self.high}
        if not self.units:
            return number
        return {"anyOf": [number, WORDS]} if self.bare else dict(WORDS)


class Listing(Kind):
    """One text or a list of texts; `empty` is the sentence where there is none."""

    instead: object = ()

    def __init__(self, about: str, empty: str = "") -> None:
        super().__init__(about)
        self.empty = empty
        self.missing = empty or self.missing

    def read(self, value: object) -> tuple[str, ...]:
        """The texts."""
        if self.empty and value == []:
            raise BadRecipe(self.empty)
        many = value if isinstance(value, list) else [value]
        files.short(many)
        return tuple(files.text(one) for one in many)

    def form(self) -> Form:
        """Words, or a list of them."""
        least = {"minItems": 1} if self.empty else {}
        return {"anyOf": [WORDS, {"type": "array", "items": WORDS, **least}]}


class Input(Kind):
    """An input of a calculator, which reads its words later."""

    def read(self, value: object) -> files.Input:
        """Words, a number, a list of words; a day as words."""
        if value is TWICE:
            raise BadRecipe("it is written twice, with a hyphen and with an underscore.")
        return files.input_of(value)

    def form(self) -> Form:
        """Words, a number, yes or no, or a list of words."""
        return {"anyOf": [WORDS, {"type": ["number", "boolean"]},
                          {"type": "array", "items": WORDS, "minItems": 1}]}  # fmt: skip


class Later(Kind):
    """What is read later, as another kind: that of what it will be put in the place of."""

    def __init__(self, kind: Kind) -> None:
        super().__init__(kind.about)
        self.kind = kind

    def read(self, value: object) -> object:
        """The value as it is written."""
        return value

    def form(self) -> Form:
        """That of the other kind."""
        return self.kind.described()


# ---- tables of a file as models ----

M = TypeVar("M", bound="FileModel")
MOST_KEYS = 200  # of one table
_MOST_PASSES = 20  # in which a table is mended

# kinds of tables


class Nested(Kind):
    """Tables inside a table; `many` where each has a key or a number of its own."""

    many = True

    def __init__(self, about: str, model: type[FileModel]) -> None:
        super().__init__(about)
        self.model = model

    def reference(self) -> Form:
        """Where the form of its tables stands."""
        return {"$ref": f"#/definitions/{self.model.called}"}


class NestedTable(Nested):
    """One table; `name` may stand for it, as the value of that key alone."""

    many = False

    def __init__(
        self, about: str, model: type[FileModel], name: str = "", sample: str = ""
    ) -> None:
        super().__init__(about, model)
        self.name, self.sample = name, sample

    def read(self, value: object) -> object:
        """The table, which its model then reads."""
        if self.name and isinstance(value, str):
            return {self.name: files.text(value, f', such as {{key}} = "{self.sample}"')}
        if value is not STAND_IN and not isinstance(value, dict):
            instead = f', or {{key}} = "{self.sample}"' if self.name else ""
            raise BadRecipe(f"it is {shown(value)}; write a table, [{{place}}]{instead}.")
        return {} if value is STAND_IN else value

    def form(self) -> Form:
        """The table, or the word for it."""
        if not self.name:
            return self.reference()
        return {"anyOf": [self.model.kinds()[self.name].described(), self.reference()]}

    def schema(self) -> CoreSchema:
        """How pydantic's core reads it."""
        return core_schema.no_info_before_validator_function(self.read, self.model.schema())


class ById(Nested):
    """Tables by id; `id_kind` reads an id, and `empty` is the sentence where there are none."""

    def __init__(
        self, about: str, model: type[FileModel], id_kind: Kind, most: int, empty: str = ""
    ) -> None:
        super().__init__(about, model)
        self.id_kind, self.most, self.empty = id_kind, most, empty
        self.missing = empty or self.missing

    def read(self, value: object) -> object:
        """The tables, which their model then reads."""
        if value is STAND_IN:
            return {}
        if not isinstance(value, dict):
            raise BadRecipe(f"it is {shown(value)}; write a table, such as [{{place}}.north].")
        if self.empty and not value:
            raise BadRecipe(self.empty)
        if len(value) > self.most:
            raise BadRecipe(f"there are {len(value)}; at most {self.most} are taken.")
        return value

    def form(self) -> Form:
        """Tables by id."""
        least = {"minProperties": 1} if self.empty else {}
        return {
            "type": "object",
            "propertyNames": self.id_kind.form(),
            "additionalProperties": self.reference(),
            "maxProperties": self.most,
            **least,
        }

    def schema(self) -> CoreSchema:
        """How pydantic's core reads it."""
        tables = core_schema.dict_schema(self.id_kind.schema(), self.model.schema())
        return core_schema.no_info_before_validator_function(self.read, tables)


class Rows(Nested):
    """The tables of a [[header]], in order; `empty` is the sentence where there are none."""

    def __init__(
        self, about: str, model: type[FileModel], most: int, empty: str = "", header: str = ""
    ) -> None:
        super().__init__(about, model)
        self.most, self.empty = most, empty
        self.header = header or "[[{place}]]"
        self.missing = empty or self.missing

    def read(self, value: object) -> object:
        """The tables, which their model then reads."""
        if value is STAND_IN:
            return ()
        if self.empty and value == []:
            raise BadRecipe(self.empty)
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            raise BadRecipe(f"it must be written as {self.header}.")
        if len(value) > self.most:
            raise BadRecipe(f"there are {len(value)}; at most {self.most} are taken.")
        return tuple(value)

    def form(self) -> Form:
        """A list of tables."""
        least = {"minItems": 1} if self.empty else {}
        return {"type": "array", "items": self.reference(), "maxItems": self.most, **least}

    def schema(self) -> CoreSchema:
        """How pydantic's core reads it."""
        rows = core_schema.tuple_variable_schema(self.model.schema())
        return core_schema.no_info_before_validator_function(self.read, rows)


# models


@dataclass_transform(frozen_default=True, kw_only_default=True)
class FileModel:
    """A table with a closed set of keys, which does not change once it is read.

    called: its name in a schema. hyphens: its keys may be written with hyphens for underscores.
    others: how the values of all other keys are read; without it another key is refused. most_keys:
    how many keys it may have.
    """

    __slots__ = ("__dict__", "__pydantic_extra__", "__pydantic_fields_set__",
                 "__pydantic_private__")  # fmt: skip
    called: ClassVar[str] = ""
    hyphens: ClassVar[bool] = False
    others_kind: ClassVar[Kind | None] = None
    most_keys: ClassVar[int] = MOST_KEYS
    _kinds: ClassVar[dict[str, Kind]]
    _built: ClassVar[SchemaValidator]
    __pydantic_extra__: dict[str, Any] | None  # Any: what the kind of the others reads

    def __init_subclass__(
        cls, called: str = "", hyphens: bool = False, others: Kind | None = None, most_keys: int = 0
    ) -> None:
        cls.called = called or cls.__name__.lower()
        cls.hyphens = hyphens or cls.hyphens
        cls.others_kind = others or cls.others_kind
        cls.most_keys = most_keys or cls.most_keys

    def __init__(self, **said: object) -> None:
        self._validator().validate_python(said, self_instance=self)

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"{type(self).__name__} does not change once it is read")

    def __eq__(self, other: object) -> bool:
        return isinstance(other, type(self)) and self._values() == other._values()

    def __hash__(self) -> int:
        return hash(repr(self))

    def __repr__(self) -> str:
        said = ", ".join(f"{key}={value!r}" for key, value in self._values().items())
        return f"{type(self).__name__}({said})"

    def _values(self) -> dict[str, object]:
        return {**self.__dict__, **self.others}

    @property
    def others(self) -> dict[str, Any]:  # Any: what the kind of the others reads
        """The values of the keys that it has not named itself."""
        return self.__pydantic_extra__ or {}

    @classmethod
    def read(cls, table: object) -> Self:
        """The model of a table; ValidationError with all that is wrong (`problems` words it)."""
        read: Self = cls._validator().validate_python(table)
        return read

    @classmethod
    def kinds(cls) -> dict[str, Kind]:
        """How each of its fields is read."""
        if "_kinds" not in cls.__dict__:
            cls._kinds = {
                key: hint.__metadata__[0]
                for model in reversed(tuple(cls._own()))
                for key, hint in get_annotations(model, eval_str=True).items()
            }
        return cls._kinds

    @classmethod
    def _own(cls) -> Iterator[type[FileModel]]:
        """The class and those that it comes from, below this one."""
        return (
            kind for kind in cls.__mro__ if issubclass(kind, FileModel) and kind is not FileModel
        )

    @classmethod
    def defaults(cls) -> dict[str, object]:
        """What each field is where it is left out; the others are needed."""
        own = tuple(cls._own())
        return {
            key: model.__dict__[key]
            for key in cls.kinds()
            for model in own
            if key in model.__dict__
        }

    @classmethod
    def schema(cls) -> CoreSchema:
        """How pydantic's core reads it."""
        fields, defaults = {}, cls.defaults()
        for key, kind in cls.kinds().items():
            read = kind.schema()
            if key in defaults:
                read = core_schema.with_default_schema(read, default=defaults[key])
            fields[key] = core_schema.model_field(read)
        others = cls.others_kind
        table = core_schema.model_fields_schema(
            fields,
            extra_behavior="allow" if others else "forbid",
            extras_schema=others.schema() if others else None,
        )
        model = core_schema.model_schema(cls, table)
        return core_schema.no_info_before_validator_function(cls._tidied, model)

    @classmethod
    def _validator(cls) -> SchemaValidator:
        if "_built" not in cls.__dict__:
            cls._built = SchemaValidator(cls.schema())
        return cls._built

    @classmethod
    def _tidied(cls, table: object) -> object:
        """A table that is not too long, with underscores for hyphens where both are taken."""
        if not isinstance(table, dict):
            return table
        if len(table) > cls.most_keys:
            raise BadRecipe(f"it has {len(table)} keys; at most {cls.most_keys} are taken.")
        if not cls.hyphens or not any("-" in key for key in table):
            return table
        tidy: dict[str, object] = {}
        for key, value in table.items():
            name = key.replace("-", "_")
            tidy[name] = TWICE if name in tidy else value
        return tidy


# what is wrong


class TableProblem(NamedTuple):
    """One thing that is wrong with a table: its keys from outside in, and its sentence."""

    path: KeyPath
    sentence: str


def problems(model: type[FileModel], error: ValidationError) -> list[TableProblem]:
    """Everything that a model refuses, each in a sentence; keys that are not known come first."""
    found = error.errors(include_url=False)
    found.sort(key=lambda detail: detail["type"] != "extra_forbidden")
    told = []
    for detail in found:
        path = tuple(key for key in detail["loc"] if key != "[key]")
        key = str(path[-1]) if path else ""
        sentence = _sentence(model, path, detail).replace("{key}", key)
        told.append(TableProblem(path, sentence.replace("{place}", place_of(path))))
    return told


def _sentence(model: type[FileModel], path: KeyPath, one: Any) -> str:  # Any: an error of pydantic
    cause = one.get("ctx", {}).get("error")
    if isinstance(cause, BadInput):
        return by_key(cause.wording)
    if one["type"] == "extra_forbidden":
        around, _ = _at(model, path[:-1])
        key = str(path[-1])[:60]
        return f'the key "{key}" is not known here; {nearest(key, around.kinds())}.'
    if one["type"] == "missing":
        _, kind = _at(model, path)
        return kind.missing if kind else Kind.missing
    if one["type"] in ("invalid_key", "string_unicode"):
        return f"the key {shown(one['input'])} cannot be read; write plain text."
    if one["type"] == "model_type":
        return f"it is {shown(one['input'])}; it must be a table."
    said = str(cause if isinstance(cause, ValueError) else one["msg"]).rstrip(".")
    return f"it is {shown(one['input'])}; {said[:1].lower()}{said[1:]}."


def _at(model: type[FileModel], path: KeyPath) -> tuple[type[FileModel], Kind | None]:
    """The innermost model on the way to a place, and the kind of the field that the place is."""
    at, kind, passing = model, None, False
    for key in path:
        if passing:  # the id or the number of a table
            kind, passing = None, False
            continue
        kind = at.kinds().get(str(key))
        if isinstance(kind, Nested):
            at, passing = kind.model, kind.many
    return at, kind


def mended(
    model: type[M], table: Mapping[str, object], tell: Callable[[TableProblem], None]
) -> M | None:
    """The model of a table with everything harmless in it that is refused; each problem is told.

    None where that does not help.
    """
    mending: object = table
    for _ in range(_MOST_PASSES):
        try:
            return model.read(mending)
        except ValidationError as error:
            mending = copy.deepcopy(mending) if mending is table else mending
            for problem in problems(model, error):
                tell(problem)
                if not problem.path:
                    return None
                _mend(model, mending, problem.path)
    return None


def _mend(model: type[FileModel], table: Any, path: KeyPath) -> None:  # Any: tables of a file
    """Something harmless in a place, or nothing, where that is an entry of its own."""
    for key in path[:-1]:
        table = table[_written(table, key)]
        if table is STAND_IN:  # what holds the place is mended already
            return
    key = _written(table, path[-1])
    if _at(model, path)[1] is None:
        del table[key]
    else:
        table[key] = STAND_IN


def _written(table: Any, key: str | int) -> Any:  # Any: tables of a file
    """A key as it is written, perhaps with a hyphen."""
    if isinstance(table, dict) and key not in table:
        return next((one for one in table if one.replace("-", "_") == key), key)
    return key


# forms


def form(model: type[FileModel]) -> Form:
    """The JSON Schema of a model, with the first paragraph of its docstring."""
    others = model.others_kind
    return {
        "type": "object",
        "description": " ".join((model.__doc__ or "").partition("\n\n")[0].split()),
        "properties": {key: kind.described() for key, kind in model.kinds().items()},
        "required": [key for key in model.kinds() if key not in model.defaults()],
        "additionalProperties": others.described() if others else False,
    }


def inside(model: type[FileModel]) -> dict[str, type[FileModel]]:
    """The models inside a model by their names in a schema, whatever their depth."""
    found: dict[str, type[FileModel]] = {}
    for declared in model.kinds().values():
        kind = declared.kind if isinstance(declared, Later) else declared
        if isinstance(kind, Nested):
            found[kind.model.called] = kind.model
            found |= inside(kind.model)
    return found
