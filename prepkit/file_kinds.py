"""Kinds of values in a file that a person wrote: how one is read, and what an editor may take.

A field of a `FileModel` is annotated with one of them. What is wrong is a BadInput with the
sentence alone; the model adds the place.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, datetime
from typing import Any

from pydantic_core import CoreSchema, core_schema

from prepkit import file_values
from prepkit.errors import BadRecipe
from prepkit.file_values import shown
from prepkit.units import Measured, parse_quantity

Form = dict[str, Any]  # Any: JSON Schema
Before = Mapping[str, Any]  # Any: the values of the fields before a field
WORDS: Form = {"type": "string", "minLength": 1, "maxLength": file_values.MOST_WORDS}
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
        return file_values.text(value, self.sample, needed=self.needed)

    def form(self) -> Form:
        """Words of a bounded length."""
        return (
            dict(WORDS) if self.needed else {"type": "string", "maxLength": file_values.MOST_WORDS}
        )


class Note(Text):
    """Words for the person, which may have several lines; a day as words."""

    def __init__(self, about: str) -> None:
        super().__init__(about, needed=False)

    def read(self, value: object) -> str:
        """The words, without control characters."""
        day = isinstance(value, date) and not isinstance(value, datetime)
        return str(value) if day else super().read(value)


class Choice(Text):
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


class Whole(Kind):
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


class Number(Kind):
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
            read = parse_quantity(file_values.text(value), self.units, "the value")
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
        file_values.short(many)
        return tuple(file_values.text(one) for one in many)

    def form(self) -> Form:
        """Words, or a list of them."""
        least = {"minItems": 1} if self.empty else {}
        return {"anyOf": [WORDS, {"type": "array", "items": WORDS, **least}]}


class Input(Kind):
    """An input of a calculator, which reads its words later."""

    def read(self, value: object) -> file_values.Input:
        """Words, a number, a list of words; a day as words."""
        if value is TWICE:
            raise BadRecipe("it is written twice, with a hyphen and with an underscore.")
        return file_values.input_of(value)

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
