"""JSON Schemas of recipe, house, pantry and readings files, made from their models and the inputs.

An editor that is given it completes keys, shows what each one is, and marks what is wrong while it
is typed. It is the looser of the two: what it refuses `plan --check` refuses too, and the words of
amounts are read by the calculators alone.
"""

from __future__ import annotations

from collections.abc import Callable

from prepkit import registry
from prepkit.file_kinds import Form
from prepkit.file_models import FileModel, form, inside
from prepkit.index import CALCULATORS
from prepkit.pantry_file import PantryFile
from prepkit.plan.house import HOUSE
from prepkit.plan.house_file import HouseFile, Id, VesselTable
from prepkit.plan.items import VESSEL_INPUTS
from prepkit.plan.menu_file import MenuFile
from prepkit.plan.readings import Readings
from prepkit.plan.recipe_file import ItemTable, RecipeFile
from prepkit.spec import Spec

DRAFT = "http://json-schema.org/draft-07/schema#"
_HYPHENED = "^[a-z0-9]+(-[a-z0-9]+)+$"  # a key may be written with hyphens too
_HOUSE_GIVES = frozenset(name for _, names in HOUSE.values() for name in names)


def recipe_schema() -> Form:
    """The schema of a recipe file."""
    return _schema("prepkit recipe", RecipeFile) | {
        "definitions": {
            **_definitions(RecipeFile),
            **_definitions(HouseFile),
            "house_file": _form(HouseFile),
            "item": _item(),
            **{f"calculator-{name}": _calculator(name) for name in CALCULATORS},
        },
    }


def house_schema() -> Form:
    """The schema of a house file."""
    return _schema("prepkit house", HouseFile) | {"definitions": _definitions(HouseFile)}


def pantry_schema() -> Form:
    """The schema of a file of the house's own ingredients."""
    return _schema("prepkit pantry", PantryFile) | {"definitions": _definitions(PantryFile)}


def readings_schema() -> Form:
    """The schema of a file of readings."""
    return {
        "$schema": DRAFT,
        "title": "prepkit readings",
        "type": "object",
        "description": "Readings of the items of a recipe; read by plan --measured.",
        "propertyNames": Id("").form(),
        "minProperties": 1,
        "additionalProperties": {"$ref": "#/definitions/readings"},
        "definitions": {"readings": form(Readings) | {"minProperties": 1}},
    }


def menu_schema() -> Form:
    """The schema of a menu file."""
    return _schema("prepkit menu", MenuFile) | {"definitions": _definitions(MenuFile)}


SCHEMAS: dict[str, Callable[[], Form]] = {
    "recipe": recipe_schema,
    "house": house_schema,
    "menu": menu_schema,
    "pantry": pantry_schema,
    "readings": readings_schema,
}


def _schema(title: str, model: type[FileModel]) -> Form:
    return {"$schema": DRAFT, "title": title, **_form(model)}


def _definitions(model: type[FileModel]) -> Form:
    """The forms of the tables inside a file, by name."""
    return {name: _form(one) for name, one in inside(model).items()}


def _form(model: type[FileModel]) -> Form:
    """The form of one table; a vessel has the inputs of every calculator that fills vessels."""
    found = form(model)
    if model.hyphens:
        found["patternProperties"] = {_HYPHENED: {}}
    if model is VesselTable:
        inputs: Form = {}
        for name in CALCULATORS:
            specs = registry.load(name).inputs.specs()
            if set(specs) >= VESSEL_INPUTS:
                inputs |= {field: _input(spec) for field, spec in specs.items()}
        found["properties"] = inputs | found["properties"]
        found["additionalProperties"] = False
    return found


def _item() -> Form:
    """An item: its calculator, and what an item of that calculator has."""
    return {
        "type": "object",
        "properties": {"calculator": ItemTable.kinds()["calculator"].described()},
        "required": ["calculator"],
        "allOf": [
            {
                "if": {"properties": {"calculator": {"const": name}}, "required": ["calculator"]},
                "then": {"$ref": f"#/definitions/calculator-{name}"},
            }
            for name in CALCULATORS
        ],
    }


def _calculator(name: str) -> Form:
    """An item of one calculator: the recipe's own keys and that calculator's inputs."""
    calculator = registry.load(name)
    specs = calculator.inputs.specs()
    inputs = {field: _input(spec) for field, spec in specs.items()}
    needed = [field for field, spec in specs.items() if spec.required]
    if set(specs) >= VESSEL_INPUTS:  # its vessel may say the rest
        needed = ["contents"]
    own = _form(ItemTable)
    return own | {
        "description": calculator.summary,
        "properties": {**inputs, **own["properties"]},
        "required": [field for field in needed if field not in _HOUSE_GIVES and "_" not in field],
        "additionalProperties": False,
    }


def _input(spec: Spec) -> Form:
    """One input, by its declaration."""
    about: Form = {"description": _about(spec)}
    if spec.example:
        about["examples"] = [spec.example]
    words = {"type": "string", "minLength": 1}
    if spec.kind == "choice":
        return about | {"type": "string", "enum": list(spec.choices)}
    if spec.kind == "flag":
        return about | {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no"]}]}
    if spec.kind in ("count", "number"):
        return about | _bare(spec, "integer" if spec.kind == "count" else "number")
    if spec.kind == "quantity" and spec.bare:
        return about | {"type": ["string", "number"]}
    if spec.kind in ("parts", "ingredients", "many words"):
        return about | {"anyOf": [words, {"type": "array", "items": words, "minItems": 1}]}
    return about | words


def _bare(spec: Spec, kind: str) -> Form:
    limits = {"minimum": spec.low, "maximum": spec.high, "exclusiveMinimum": spec.above}
    return {"type": [kind, "string"]} | {k: v for k, v in limits.items() if v is not None}


def _about(spec: Spec) -> str:
    """What an input is, its unit and its limits with their reason."""
    said = f"{spec.label[:1].upper()}{spec.label[1:]}. {spec.help}".rstrip()
    limits = [
        f"{word} {limit:g}"
        for word, limit in (("more than", spec.above), ("from", spec.low), ("to", spec.high))
        if limit is not None
    ]
    unit = " or ".join(spec.units)
    bounds = " ".join(limits)
    reason = f" ({spec.because})" if spec.because and limits else ""
    tail = f"{unit}{': ' if unit and bounds else ''}{bounds}{reason}"
    return f"{said} [{tail}]" if tail else said
