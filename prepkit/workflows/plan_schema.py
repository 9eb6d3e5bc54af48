"""The JSON Schema of what plan --json prints, made of the types of a plan's sheet."""

from __future__ import annotations

from types import NoneType, UnionType
from typing import (
    TYPE_CHECKING,
    Any,
    Literal,
    NotRequired,
    Union,
    get_args,
    get_origin,
    get_type_hints,
    is_typeddict,
)

from prepkit.formats import VERSIONS
from prepkit.sheet import PlanSheet

if TYPE_CHECKING:
    from prepkit.model import Json

_PLAIN = {str: "string", float: "number", int: "integer", bool: "boolean", NoneType: "null"}


def schema() -> Json:
    """Draft 7, one definition for each kind of row."""
    definitions: Json = {}
    _form(PlanSheet, definitions)
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "prepkit plan",
        **definitions.pop(PlanSheet.__name__),
        "description": f"Output of plan with --json. Version {VERSIONS['plan']}.",
        "definitions": definitions,
    }


def _form(
    kind: Any,  # Any: a type, or what typing makes of types
    definitions: Json,
) -> Json:
    """The schema of one type; a type that JSON has no word for is a defect of ours."""
    if kind is Any:
        return {}
    if kind in _PLAIN:
        return {"type": _PLAIN[kind]}
    if is_typeddict(kind):
        if kind.__name__ not in definitions:
            definitions[kind.__name__] = {}  # so that a row can hold rows of its own kind
            definitions[kind.__name__] = _rows(kind, definitions)
        return {"$ref": f"#/definitions/{kind.__name__}"}
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Literal:
        return {"enum": list(inner)}
    if origin is list:
        return {"type": "array", "items": _form(inner[0], definitions)}
    if origin is dict:
        return {"type": "object", "additionalProperties": _form(inner[1], definitions)}
    if origin in (Union, UnionType):
        return {"anyOf": [_form(one, definitions) for one in inner]}
    raise TypeError(f"{kind!r} is no type of a sheet")


def _rows(
    kind: type[Any],  # Any: a typed dict
    definitions: Json,
) -> Json:
    hints = get_type_hints(kind, include_extras=True)
    free = {key for key, hint in hints.items() if get_origin(hint) is NotRequired}
    found: Json = {
        "type": "object",
        "properties": {
            key: _form(get_args(hint)[0] if key in free else hint, definitions)
            for key, hint in hints.items()
        },
        "required": [key for key in hints if key not in free],
    }
    said = " ".join((kind.__doc__ or "").split())
    return {"description": said, **found} if said and not said.startswith("dict(") else found
