"""Tables of a file as pydantic models: strict, frozen, closed, refused in the trade's words.

A field says how it is read by one of the kinds below, in `Annotated`. Only a module that reads a
file imports this one: a calculation in words needs no models.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, NamedTuple

from pydantic import (
    BaseModel,
    ConfigDict,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    ValidationError,
)
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from prepkit import file_values
from prepkit.errors import BadInput, BadRecipe, by_key
from prepkit.file_values import shown
from prepkit.near import nearest
from prepkit.units import Measured, parse_quantity

_WORDS: JsonSchemaValue = {"type": "string", "minLength": 1}


class FileModel(BaseModel):
    """A table with a closed set of keys, which does not change once it is read."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", strict=True, defer_build=True, allow_inf_nan=False,
        arbitrary_types_allowed=True,
    )  # fmt: skip


@dataclass(frozen=True)
class Kind:
    """How a value of a file is read; `read` raises BadInput with its sentence."""

    about: str

    def read(self, value: object) -> object:
        """The value as the program has it."""
        raise NotImplementedError

    def form(self) -> JsonSchemaValue:
        """What an editor may take for it."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(
        self,
        source: Any,  # Any: pydantic's own type for a type
        handler: GetCoreSchemaHandler,
    ) -> core_schema.CoreSchema:
        """Read by `read`, whatever the value."""
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Its form with what it is."""
        return {"description": self.about, **self.form()}


@dataclass(frozen=True)
class Quantity(Kind):
    """Words with a unit, or a number where its scale is its unit (`bare`); from low to high."""

    units: tuple[str, ...]
    low: float
    high: float
    bare: bool = False
    what: str = "it must be"

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
                f'it is {shown(value)}; write it with its unit, such as "1 {self.units[0]}".'
            )
        else:
            read = parse_quantity(file_values.text(value), self.units, "the value")
        if not self.low <= read <= self.high:
            of = f" {read.unit}" if read.unit else ""
            raise BadRecipe(
                f"it is {read:g}{of}; {self.what} from {self.low:g} to {self.high:.10g}{of}."
            )
        return read

    def form(self) -> JsonSchemaValue:
        """Words, a number within its limits, or either."""
        number = {"type": "number", "minimum": self.low, "maximum": self.high}
        kinds = [number] if self.bare else []
        return {"anyOf": [*kinds, _WORDS] if self.units else kinds}


@dataclass(frozen=True)
class Flag(Kind):
    """True or false, and nothing that stands for it."""

    def read(self, value: object) -> bool:
        """The value itself."""
        if not isinstance(value, bool):
            raise BadRecipe(f"it is {shown(value)}; write true or false.")
        return value

    def form(self) -> JsonSchemaValue:
        """A boolean."""
        return {"type": "boolean"}


@dataclass(frozen=True)
class Note(Kind):
    """Words for the person, which may have several lines; a day as words."""

    def read(self, value: object) -> str:
        """The words, without control characters."""
        if isinstance(value, date) and not isinstance(value, datetime):
            return value.isoformat()
        return file_values.text(value, needed=False)

    def form(self) -> JsonSchemaValue:
        """Words."""
        return {"type": "string"}


@dataclass(frozen=True)
class Input(Kind):
    """An input of a calculator, which reads its words later."""

    def read(self, value: object) -> file_values.Input:
        """Words, a number, a list of words; a day as words."""
        return file_values.input_of(value)

    def form(self) -> JsonSchemaValue:
        """Words, a number, yes or no, or a list of words."""
        return {"anyOf": [_WORDS, {"type": ["number", "boolean"]},
                          {"type": "array", "items": _WORDS, "minItems": 1}]}  # fmt: skip


class Problem(NamedTuple):
    """One thing that is wrong with a table: its keys from outside in, and its sentence."""

    path: tuple[str | int, ...]
    sentence: str


def problems(model: type[BaseModel], error: ValidationError) -> Iterator[Problem]:
    """Everything that a model refuses, each in a sentence; keys that are not known come first."""
    found = error.errors(include_url=False)
    for one in sorted(found, key=lambda one: one["type"] != "extra_forbidden"):
        yield Problem(one["loc"], _sentence(model, one["type"], one))


def _sentence(model: type[BaseModel], kind: str, one: Any) -> str:  # Any: an error of pydantic
    cause = one.get("ctx", {}).get("error")
    if isinstance(cause, BadInput):
        return by_key(cause.wording)
    if kind == "extra_forbidden":
        key = str(one["loc"][-1])[:60]
        return f'the key "{key}" is not known here; {nearest(key, model.model_fields)}.'
    if kind == "missing":
        return "it is missing."
    if kind == "model_type":
        return f"it is {shown(one['input'])}; it must be a table."
    said = str(cause if isinstance(cause, ValueError) else one["msg"]).rstrip(".")
    return f"it is {shown(one['input'])}; {said[:1].lower()}{said[1:]}."


class _Form(GenerateJsonSchema):
    """Draft 7 without what an editor has no use for: titles of fields, defaults that are none."""

    def field_title_should_be_set(self, schema: Any) -> bool:  # Any: pydantic's own schemas
        """A key is its own title."""
        return False

    def default_schema(self, schema: core_schema.WithDefaultSchema) -> JsonSchemaValue:
        """What is left out is no value."""
        return self.generate_inner(schema["schema"])


def form(model: type[BaseModel]) -> dict[str, Any]:  # Any: JSON
    """The JSON Schema of a model, with the first paragraph of its docstring, without a title."""
    found = model.model_json_schema(schema_generator=_Form, ref_template="#/definitions/{model}")
    found.pop("title", None)
    return found
