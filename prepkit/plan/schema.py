"""JSON Schemas of recipe, house and readings files, made from the inputs and the files' own keys.

An editor that is given it completes keys, shows what each one is, and marks what is wrong while it
is typed. It is the looser of the two: what it refuses `plan --check` refuses too, and the words of
amounts are read by the calculators alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from prepkit import registry
from prepkit.file_values import MOST_WORDS
from prepkit.index import CALCULATORS
from prepkit.measures import SIZES, SYSTEMS
from prepkit.plan.fields import MOST_SERVES
from prepkit.plan.house import BENCH, FILE, HOUSE, MOST_HANDS, MOST_PRICES, UNITS
from prepkit.plan.house_measures import MOST_IN_CASE
from prepkit.plan.house_stock import MOST_IN_CASE as MOST_CASE
from prepkit.plan.items import VESSEL_INPUTS
from prepkit.plan.recipe import MOST_ITEMS, MOST_SERVE_KINDS, MOST_STEPS
from prepkit.spec import Spec

Schema = dict[str, object]
DRAFT = "http://json-schema.org/draft-07/schema#"
ID = "^[A-Za-z][A-Za-z0-9]*([-_][A-Za-z0-9]+)*$"
_HYPHENED = "^[a-z0-9]+(-[a-z0-9]+)+$"  # an input may be written with hyphens too
_HOUSE_GIVES = frozenset(name for _, names in HOUSE.values() for name in names)
_FACTS = {
    "room_volume": ("Volume of the room.", "85 m3"),
    "air_changes": ("Fresh air of the room, times its volume.", "3 /h"),
    "room_temperature": ("Temperature of the room; charged vessels are judged at it.", "22 C"),
    "fridge_temperature": ("Temperature of the fridge.", "4 C"),
    "altitude": ("Height above the sea.", "120 m"),
    "jurisdiction": ("Whose limits and labels hold.", "eu"),
}


def recipe_schema() -> Schema:
    """The schema of a recipe file."""
    return {
        "$schema": DRAFT,
        "title": "prepkit recipe",
        "description": "The items, their ingredients and the serves; read by prepkit plan.",
        "type": "object",
        "properties": _top(),
        "required": ["title", "serves", "items", "serve"],
        "additionalProperties": False,
        "definitions": {
            "item": _item(),
            "step": _step(),
            "serve": _serve(),
            "vessel": _vessel(),
            "container": _container(),
            "price": _price(),
            "bench": _bench(),
            "house": _house(),
            "house_file": _house_file(),
            "variant": _variant(),
            **{f"calculator-{name}": _calculator(name) for name in CALCULATORS},
        },
    }


def house_schema() -> Schema:
    """The schema of a house file."""
    return {
        "$schema": DRAFT,
        "title": "prepkit house",
        **_house_file(),
        "definitions": {
            "vessel": _vessel(),
            "container": _container(),
            "price": _price(),
            "bench": _bench(),
        },
    }


def readings_schema() -> Schema:
    """The schema of a file of readings."""
    return {
        "$schema": DRAFT,
        "title": "prepkit readings",
        "type": "object",
        "description": "Readings of the items of a recipe; read by plan --measured.",
        "propertyNames": {"pattern": ID, "maxLength": 60},
        "minProperties": 1,
        "additionalProperties": {"$ref": "#/definitions/readings"},
        "definitions": {"readings": _readings()},
    }


SCHEMAS: dict[str, Callable[[], Schema]] = {
    "recipe": recipe_schema,
    "house": house_schema,
    "readings": readings_schema,
}


def _readings() -> Schema:
    """What can be read of one item."""
    from prepkit.file_models import form
    from prepkit.plan.readings import Readings

    return form(Readings) | {"minProperties": 1}


def _text(description: str, *examples: str) -> Schema:
    found: Schema = {"type": "string", "maxLength": MOST_WORDS, "description": description}
    return found | ({"examples": list(examples)} if examples else {})


def _closed(description: str, properties: Schema, required: Iterable[str] = ()) -> Schema:
    return {
        "type": "object",
        "description": description,
        "properties": properties,
        "required": list(required),
        "additionalProperties": False,
    }


def _many(item: Schema, description: str, most: int | None = None) -> Schema:
    """One of a thing or a list of it."""
    several: Schema = {"type": "array", "items": item, "minItems": 1}
    if most is not None:
        several["maxItems"] = most
    return {"description": description, "anyOf": [item, several]}


def _rows(name: str, description: str, most: int) -> Schema:
    return {
        "type": "array",
        "description": description,
        "items": {"$ref": f"#/definitions/{name}"},
        "maxItems": most,
    }


def _by_id(name: str, description: str) -> Schema:
    return {
        "type": "object",
        "description": description,
        "propertyNames": {"pattern": ID, "maxLength": 60},
        "additionalProperties": {"$ref": f"#/definitions/{name}"},
    }


def _top() -> Schema:
    items = _by_id("item", "The preparations by id; one may use another by an amount and its id.")
    return {
        "title": _text("Heading of the sheet."),
        "serves": {
            "type": "integer", "minimum": 1, "maximum": MOST_SERVES,
            "description": "How many of each serve the recipe is written for.",
        },
        "note": _text("For the maker; a blank line parts paragraphs."),
        "house": {
            "description": "Facts of the house, or the name of its file.",
            "anyOf": [_text("A house file.", FILE), {"$ref": "#/definitions/house"}],
        },
        "vessels": _by_id("vessel", "Charged vessels by id, from their plates and manuals."),
        "items": items | {"minProperties": 1, "maxProperties": MOST_ITEMS},
        "serve": _rows("serve", "The parts of one portion of each drink.", MOST_SERVE_KINDS)
        | {"minItems": 1},
        "price": _rows("price", "Prices of packs.", MOST_PRICES),
        "variant": _by_id("variant", "The same recipe with some of it replaced."),
    }  # fmt: skip


def _item() -> Schema:
    return {
        "type": "object",
        "properties": {
            "calculator": {
                "enum": list(CALCULATORS),
                "description": "How it is made: one of prepkit's calculators.",
            }
        },
        "required": ["calculator"],
        "allOf": [
            {
                "if": {"properties": {"calculator": {"const": name}}, "required": ["calculator"]},
                "then": {"$ref": f"#/definitions/calculator-{name}"},
            }
            for name in CALCULATORS
        ],
    }


def _item_own() -> Schema:
    return {
        "calculator": {"type": "string"},
        "title": _text("Its name on the label.", "Rum syrup"),
        "vessel": _text("Id of the vessel that it is charged in.", "north"),
        "loss": _text("Loss on the way, as a share of what is made.", "3 %"),
        "least": _text("The smallest batch worth making.", "100 ml"),
        "check": {"type": "boolean", "description": "Looked at and judged, not made."},
        "note": _text("For the maker."),
        "step": _rows("step", "The steps, in order, with their times.", MOST_STEPS),
    }


def _calculator(name: str) -> Schema:
    """An item of one calculator: the recipe's own keys and that calculator's inputs."""
    calculator = registry.load(name)
    specs = calculator.inputs.specs()
    inputs = {field: _input(spec) for field, spec in specs.items()}
    needed = [field for field, spec in specs.items() if spec.required]
    if set(specs) >= VESSEL_INPUTS:  # its vessel may say the rest
        needed = ["contents"]
    return {
        "description": calculator.summary,
        "type": "object",
        "properties": {**inputs, **_item_own()},
        "patternProperties": {_HYPHENED: {}},
        "required": [field for field in needed if field not in _HOUSE_GIVES and "_" not in field],
        "additionalProperties": False,
    }


def _input(spec: Spec) -> Schema:
    """One input, by its declaration."""
    about: Schema = {"description": _about(spec)}
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


def _bare(spec: Spec, kind: str) -> Schema:
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


def _step() -> Schema:
    return _closed(
        "One step of making an item.",
        {
            "text": _text("The work of the step.", "Strain through a cloth"),
            "takes": _text("How long it takes.", "8 h"),
            "hands_on": _text("How much of that needs a person; all of it if left out.", "10 min"),
            "before": _text("Done at least so long before what comes next.", "1 h"),
            "within": _text("Done at most so long before what comes next.", "20 min"),
            "each": {
                "enum": ["vessel"],
                "description": "The times are those of one vessel, and each vessel takes them.",
            },
        },
        ["text"],
    ) | {"patternProperties": {_HYPHENED: {}}}


def _serve() -> Schema:
    words = {"type": "string", "minLength": 1}
    return _closed(
        "One kind of drink.",
        {
            "name": _text("Its name."),
            "part": _many(words, "A part of one, such as 90 ml my-base."),
            "garnish": {
                "description": "Bought and declared, but not counted as part of the liquid.",
                "anyOf": [words, {"type": "array", "items": words}],
            },
            "note": _text("How it is served."),
        },
        ["name", "part"],
    )


def _vessel() -> Schema:
    """The inputs of every calculator that fills vessels."""
    inputs: Schema = {}
    for name in CALCULATORS:
        specs = registry.load(name).inputs.specs()
        if set(specs) >= VESSEL_INPUTS:
            inputs |= {field: _input(spec) for field, spec in specs.items()}
    return {
        "type": "object",
        "description": "A vessel, from its plate and manual; never a guess.",
        "properties": {
            **inputs,
            "count": {"type": "integer", "minimum": 1, "maximum": 1000,
                      "description": "How many there are."},
            "note": _text("Where it is kept, when it was looked at."),
        },
        "patternProperties": {_HYPHENED: {}},
        "additionalProperties": False,
    }  # fmt: skip


def _price() -> Schema:
    return _closed(
        "Price of a pack of an ingredient.",
        {
            "ingredient": _text("Its name, with its strength.", "rum 43 %"),
            "pack": _text("Contents of a pack.", "700 ml"),
            "cost": {"type": "number", "minimum": 0, "description": "In the house's currency."},
            "note": _text("From whom, and when."),
        },
        ["ingredient", "pack", "cost"],
    )


def _bench() -> Schema:
    return _closed(
        "The ± of each instrument.",
        {
            name: _text(f"The {words}.", f"1 {unit}") if unit
            else {"type": "number", "exclusiveMinimum": 0, "description": f"The {words}."}
            for name, (unit, _, words) in BENCH.items()
        },
    )  # fmt: skip


def _facts() -> Schema:
    return {
        **{key: _text(*_FACTS[key]) for key in HOUSE},
        "bench": {"$ref": "#/definitions/bench"},
        "currency": _text("Currency of the prices.", "EUR"),
        "units": {"enum": list(UNITS), "description": "Units of the printed sheet."},
        "measures": {"enum": list(SYSTEMS),
                     "description": "Size of a cup, a spoon, a pint and a gallon here."},
        "sizes": _closed(
            "Volume of each of these words here.",
            {
                **{key: _text(f"A {key}.", "700 ml" if key == "bottle" else "30 ml")
                   for key in SIZES},
                "case": {"type": "integer", "minimum": 1, "maximum": MOST_IN_CASE,
                         "description": "Bottles in a case."},
            },
        ),
        "hands": {"type": "integer", "minimum": 1, "maximum": MOST_HANDS,
                  "description": "How many people make it."},
        "earliest_start": _text("Start of the working day.", "10:00"),
        "latest_finish": _text("End of the working day; before its start if after midnight.",
                               "22:00"),
        "note": _text("For readers of the file."),
    }  # fmt: skip


def _house() -> Schema:
    facts = {**_facts(), "file": _text("A house file; what is said here wins.", FILE)}
    return _closed("Facts of the house.", facts)


def _house_file() -> Schema:
    return _closed(
        "A house file.",
        {
            **_facts(),
            "vessels": _by_id("vessel", "Charged vessels by id."),
            "price": _rows("price", "Prices of packs.", MOST_PRICES),
            "pantry": _text("A file of the house's own ingredients.", "pantry.toml"),
            **_stock(),
        },
    )


def _stock() -> Schema:
    return {
        "stock": _closed(
            "The ledger of the stock.",
            {
                "ledger": _text("Its file, or the address of a PostgreSQL ledger.", "house.db"),
                "site": _text("This house in a ledger of several.", "north bar"),
                "place": _text("Where things stand unless another place is said.", "fridge"),
            },
        ),
        "par": {
            "type": "object",
            "description": "Levels that a plan makes up to, by item.",
            "additionalProperties": {"type": "string", "minLength": 1},
        },
        "containers": _by_id("container", "What is filled: bottles, kegs, bags, jars."),
    }


def _container() -> Schema:
    return _closed(
        "A container.",
        {
            "volume": _text("All that it holds.", "770 ml"),
            "headspace": _text("What is left empty in it.", "20 ml"),
            "rated": _text("Gauge pressure that its maker allows.", "6 bar"),
            "case": {"type": "integer", "minimum": 1, "maximum": MOST_CASE,
                     "description": "How many are in a case."},
            "note": _text("What it is."),
        },
        ["volume"],
    )  # fmt: skip


def _variant() -> Schema:
    top = _top()
    return _closed(
        "The changes of this variant.",
        {
            **{key: top[key] for key in ("title", "serves", "note", "serve")},
            "items": {
                "type": "object",
                "description": "Keys that replace those of an item, or a whole item with its "
                "calculator.",
                "propertyNames": {"pattern": ID},
                "additionalProperties": {"type": "object"},
            },
        },
    )
