"""Record: what is made of declared fields and does not change; Inputs, Result, Part are.

A class says its fields as a dataclass does, and a type checker reads them alike:

    class Shelf(Record):
        name: str
        depth_mm: float = 300.0

A dataclass compiles six methods for each class, 0.6 to 2 ms of every command; here they stand once.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, ClassVar, NamedTuple, Self, dataclass_transform

Declared = Any  # Any: what declares a field stands for its value, as dataclasses.field does
FieldValue = Any  # Any: a value of any field of any record

EMPTY: Mapping[str, Any] = MappingProxyType({})  # Any: a mapping of whatever the field holds


class Field(NamedTuple):
    """One field with more to say of it: how it is asked for or shown, and its default."""

    about: object  # Spec of an input, Output of a value; None: nothing is said of it
    default: FieldValue  # of the field's own type; ... where it is needed


def _of_the_class(kind: object) -> bool:
    """Whether an annotation, or its text, is that of a ClassVar."""
    if isinstance(kind, str):
        return "ClassVar" in kind
    return getattr(kind, "__origin__", kind) is ClassVar


@dataclass_transform(frozen_default=True)
class Record:
    """Base of what is made of declared fields: frozen, closed, equal where all its values are.

    Fields are annotated, in the order in which they are told, those of the base first; a value
    makes one optional. Raises TypeError for a field that is unknown, missing or told twice.

    >>> class Shelf(Record):
    ...     name: str
    ...     depth_mm: float = 300.0
    >>> Shelf("north").replaced(depth_mm=450.0)
    Shelf(name='north', depth_mm=450.0)
    >>> Shelf(depth=450.0)
    Traceback (most recent call last):
    TypeError: Shelf: name is missing, depth is unknown; it takes name, depth_mm
    """

    _declared: ClassVar[dict[str, Any]] = {}  # Any: what is said of a field, Spec or Output
    _defaults: ClassVar[dict[str, FieldValue]] = {}

    def __init_subclass__(cls) -> None:
        """Gather the declared fields."""
        fields, defaults = dict(cls._declared), dict(cls._defaults)
        for name, kind in cls.__annotations__.items():
            if _of_the_class(kind):
                continue
            said = vars(cls).get(name, ...)
            if said is not ...:
                delattr(cls, name)
            fields[name], default = said if isinstance(said, Field) else (None, said)
            if default is not ...:
                defaults[name] = default
        cls._declared, cls._defaults = fields, defaults

    def __init__(self, *values: FieldValue, **named: FieldValue) -> None:
        if values:
            placed = dict(zip(self._declared, values, strict=False))
            if len(placed) < len(values):
                raise TypeError(f"{type(self).__name__} takes {len(placed)} fields at most")
            if twice := [name for name in named if name in placed]:
                raise TypeError(f"{type(self).__name__}: {', '.join(twice)} is told twice")
            named = placed | named
        made = {**self._defaults, **named}
        if made.keys() != self._declared.keys():
            raise self._unfit_for(made)
        self.__dict__.update(made)

    @classmethod
    def _unfit_for(cls, said: Mapping[str, FieldValue], *, whole: bool = True) -> TypeError:
        """What is wrong with the fields that are said."""
        missing = [f"{name} is missing" for name in cls._declared if whole and name not in said]
        unknown = [f"{name} is unknown" for name in said if name not in cls._declared]
        wrong = ", ".join(missing + unknown)
        return TypeError(f"{cls.__name__}: {wrong}; it takes {', '.join(cls._declared)}")

    @classmethod
    def _made(cls, values: Mapping[str, FieldValue]) -> Self:
        """From values of known fields; the others are the defaults."""
        self = object.__new__(cls)
        self.__dict__.update({**cls._defaults, **values})
        return self

    def _values(self) -> dict[str, FieldValue]:
        """The value of each field, without what was worked out since."""
        held = self.__dict__
        return {name: held[name] for name in self._declared}

    def replaced(self, **values: FieldValue) -> Self:
        """The same with other values. Raises TypeError for a field that is unknown."""
        if not values.keys() <= self._declared.keys():
            raise self._unfit_for(values, whole=False)
        return self._made({**self._values(), **values})

    def __setattr__(self, name: str, value: object) -> None:
        """A record does not change; `replaced` makes another."""
        raise AttributeError(f"{type(self).__name__} is frozen: {name} cannot be set")

    def __delattr__(self, name: str) -> None:
        """A record does not change."""
        raise AttributeError(f"{type(self).__name__} is frozen: {name} cannot be deleted")

    def __eq__(self, other: object) -> bool:
        """Equal where the class and all values are."""
        return type(self) is type(other) and self._values() == other._values()

    def __hash__(self) -> int:
        """By the class and all values; TypeError where one of them has no hash."""
        return hash((type(self), *self._values().values()))

    def __repr__(self) -> str:
        """The class with its values, those that are as by default left out."""
        shown = (
            f"{name}={value!r}"
            for name, value in self._values().items()
            if name not in self._defaults or value != self._defaults[name]
        )
        return f"{type(self).__name__}({', '.join(shown)})"
