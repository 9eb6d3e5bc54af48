"""Every problem of a recipe file in one go; JSON Schemas of files and plans; a first recipe.

An editor that is given a schema completes keys, shows what each one is, and marks what is wrong
while it is typed. It is the looser of the two: what it refuses `plan --check` refuses too, and the
words of amounts are read by the calculators alone.

A first recipe file is made from a few questions, with comments that say what to change.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import NoneType, UnionType
from typing import (
    TYPE_CHECKING,
    Any,
    Literal,
    NotRequired,
    TypeVar,
    Union,
    get_args,
    get_origin,
    get_type_hints,
    is_typeddict,
)

import click

from prepkit import files, registry
from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.file_models import FileModel, Form, form, inside
from prepkit.index import CALCULATORS, VERSIONS
from prepkit.inputs import Spec
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.pantry_file import PantryFile
from prepkit.plan import recipe_types
from prepkit.plan.cost import read_prices
from prepkit.plan.files import (
    MOST_PROBLEMS,
    Enough,
    Named,
    Reader,
    Wrong,
    read_text,
    tables_of,
    value_words,
    whole_serves,
    write_new,
)
from prepkit.plan.house import HOUSE
from prepkit.plan.house_file import HouseFile, Id, VesselTable
from prepkit.plan.items import (
    VESSEL_INPUTS,
    pantry_names,
    product_of,
    refuse_volumes,
    run,
    words_of,
    wrong_input,
)
from prepkit.plan.plan import recipe_of
from prepkit.plan.prepare import part_of, weighed
from prepkit.plan.recipe_file import ItemTable, MenuFile, Readings, RecipeFile, variant_names
from prepkit.plan.recipe_types import Item, Recipe
from prepkit.sheet import PlanSheet
from prepkit.stdout import put_text
from prepkit.units import parse_quantity

if TYPE_CHECKING:
    from prepkit.inputs import Json

# ---- every problem of a recipe file in one go, each with its file, line, item and field ----

_LINE = re.compile(r"\bline (\d+)")
_ENOUGH = f"there are more than {MOST_PROBLEMS - 1} problems; mend these, then look again."
_STAND_IN = Mixture({"water": 0.7, "sucrose": 0.28, "citric": 0.02})  # for what has a problem


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong: where it stands and what it is, in a sentence."""

    file: str
    line: int | None
    item: str | None
    field: str | None
    text: str
    variant: str | None = None

    def to_dict(self) -> dict[str, object]:
        """The JSON form."""
        return {
            "file": self.file, "line": self.line, "item": self.item, "field": self.field,
            "variant": self.variant, "text": self.text,
        }  # fmt: skip

    def words(self) -> str:
        """One line: file, line, variant, item, field and the sentence."""
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        named = [
            f"variant {self.variant}" if self.variant else "",
            self.item or "",
            self.field or "",
        ]
        where = ", ".join(filter(None, named))
        return f"{place}: {where}: {self.text}" if where else f"{place}: {self.text}"


@dataclass(frozen=True)
class Checked:
    """What a file was found to hold, and what is wrong with it."""

    file: str
    items: int
    serves: int
    variants: tuple[str, ...]
    problems: tuple[Problem, ...]

    def to_dict(self) -> dict[str, object]:
        """The JSON form."""
        return {
            "file": self.file,
            "items": self.items,
            "serves": self.serves,
            "variants": list(self.variants),
            "problems": [problem.to_dict() for problem in self.problems],
        }

    def words(self) -> str:
        """One line for each problem, or one that says that there is none."""
        if self.problems:
            return "".join(f"{problem.words()}\n" for problem in self.problems)
        also = f"; variants {', '.join(self.variants)}" if self.variants else ""
        return (
            f"{self.file}: no problem found in how it is written (items: {self.items}; kinds of "
            f"serve: {self.serves}{also}). This is no verdict: that comes with the plan.\n"
        )


def check(path: str | Path, *, house: Named | None = None) -> Checked:
    """Read a recipe itself and in each of its variants, and gather what is wrong.

    FileProblem where the recipe itself cannot be read.
    """
    file = str(path)
    try:
        text = read_text(path)
    except Wrong as error:
        return _unread(file, error)
    return check_text(text, file, house=house)


def check_text(text: str, file: str, *, house: Named | None = None) -> Checked:
    """The same of a text that is, or is to be, in a file of that name."""
    try:
        said = tables_of(text, file)
    except Wrong as error:
        return _unread(file, error)
    names = variant_names(said.get("variant"))
    found: list[tuple[Wrong, str | None, tuple[str, ...]]] = []
    sizes = (0, 0)
    for variant in (None, *names):
        reader = Reader(file, text, variant=variant, gather=True)
        serves: tuple[str, ...] = ()
        try:
            recipe = recipe_of(said, reader, house=house)
            serves = tuple(serve.name for serve in recipe.serve)
            if variant is None:
                sizes = (len(recipe.items), len(recipe.serve))
            _made(recipe, reader)
        except Enough:
            pass  # those that were found are told
        before = {str(wrong) for wrong, _, _ in found}
        found += [(wrong, variant, serves) for wrong in reader.found if str(wrong) not in before]
        if len(found) >= MOST_PROBLEMS:
            break
    known = _Lines(file, text)
    problems = [_problem(*entry, known) for entry in found[:MOST_PROBLEMS]]
    problems.sort(key=lambda problem: (problem.file != file, problem.file, problem.line or 0))
    if len(found) >= MOST_PROBLEMS:
        problems.append(Problem(file, None, None, None, _ENOUGH))
    return Checked(file, *sizes, names, tuple(dict.fromkeys(problems)))


def _unread(file: str, error: Wrong) -> Checked:
    """What is no recipe at all."""
    line = _LINE.search(error.sentence)
    problem = Problem(file, int(line[1]) if line else None, None, None, error.sentence)
    return Checked(file, 0, 0, (), (problem,))


class _Lines:
    """The lines of each file that a problem is about, found when first asked for."""

    def __init__(self, file: str, text: str) -> None:
        self._texts: dict[str, str] = {file: text}
        self._of: dict[str, Mapping[files.KeyPath, int]] = {}

    def line(
        self, file: str, path: files.KeyPath, variant: str | None, sentence: str
    ) -> int | None:
        """The line of a place; in a value of many lines, that of the words the sentence quotes."""
        if file not in self._of:
            if file not in self._texts:
                try:
                    self._texts[file] = read_text(file)
                except PrepkitError:
                    self._texts[file] = ""
            self._of[file] = files.lines(self._texts[file])
        return files.line_said(self._texts[file], self._of[file], path, variant, sentence)


def _problem(error: Wrong, variant: str | None, serves: tuple[str, ...], known: _Lines) -> Problem:
    path = files.path_of(error.where, serves)
    line = known.line(error.file, path, variant, error.sentence)
    in_text = _LINE.search(error.sentence)
    if line is None and in_text:
        line = int(in_text[1])
    item, field = _item_and_field(error.where)
    return Problem(error.file, line, item, field, error.sentence, variant)


def _item_and_field(where: str) -> tuple[str | None, str | None]:
    """The item (or vessel, serve, price) and the field of a place."""
    named = re.match(r'(serve ".*"|(?:serve|price|ingredient) \d+)(?:\.(.+))?$', where)
    if named:
        return named[1], named[2]
    first, _, rest = where.partition(".")
    if first in ("items", "vessels") and rest:
        id_, _, field = rest.partition(".")
        return (id_ if first == "items" else f"vessel {id_}"), field or None
    return None, where or None


# what the calculators say of the words


def _made(recipe: Recipe, reader: Reader) -> None:
    """Tell `reader` what is wrong with the items and serves of a recipe whose shape it has read.

    An item with a problem gets a stand-in, so that what uses it can be read too; it is not
    computed, since that would blame the user of a fault that is not its own.
    """
    complete = not reader.found
    reader.tell(*pantry_names(recipe))
    specs = {
        name: registry.load(name).inputs.specs()
        for name in {item.calculator for item in recipe.items.values()}
    }
    uses = {
        id_: recipe_types.references(item, specs[item.calculator], recipe.items)
        for id_, item in recipe.items.items()
    }
    order: tuple[str, ...] = tuple(recipe.items)
    products: dict[str, Mixture] = {}
    try:
        order = recipe_types.making_order(recipe, uses)
    except Wrong as error:
        reader.tell(error)
        products = dict.fromkeys(order, _STAND_IN)
    failed: set[str] = set(products)
    for id_ in order:
        item = recipe.items[id_]
        wrong = _inputs(recipe, item, uses[id_], products)
        if not wrong and not failed & {id_, *uses[id_]}:
            try:
                ran = run(recipe, item, specs[item.calculator], uses[id_], products)
                product = product_of(item, *ran)
                if product is not None:
                    weighed(recipe, item, ran, uses[id_])
                    products[id_] = product
            except Wrong as error:
                wrong.append(error)
            else:
                continue
        failed.add(id_)
        products[id_] = _STAND_IN
        reader.tell(*wrong)
    for serve in recipe.serve:
        for field, words_of_field in (("part", serve.part), ("garnish", serve.garnish)):
            for words in words_of_field:
                try:
                    part_of(recipe, f'serve "{serve.name}".{field}', words, products)
                except Wrong as error:
                    reader.tell(error)
    wrong = []
    read_prices(recipe, wrong)
    reader.tell(*wrong)
    if complete and not reader.found:
        reader.tell(*_planned(recipe))


def _inputs(
    recipe: Recipe, item: Item, uses: tuple[str, ...], products: Mapping[str, Mixture]
) -> list[Wrong]:
    """What is wrong with the words of one item."""
    specs = registry.load(item.calculator).inputs.specs()
    pantry = recipe.house.pantry.with_items({id_: products[id_] for id_ in uses if id_ in products})
    found: list[Wrong] = []
    try:
        refuse_volumes(recipe, item, specs, products)
    except Wrong as error:
        found.append(error)
    try:
        said = words_of(recipe, item, specs)
        problems = registry.problems(item.calculator, said, pantry)
    except Wrong as error:
        return [*found, error]
    except PrepkitError as error:  # a register of vessels that cannot be read
        return [*found, recipe.wrong(f"items.{item.id}", error.message)]
    for field, problem in problems.items():
        name = field or getattr(problem, "field", None) or ""
        wrong = wrong_input(recipe, item, name, problem, said.get(name))
        if wrong.where not in {one.where for one in found}:
            found.append(wrong)
    return found


def _planned(recipe: Recipe) -> list[Wrong]:
    """What only the whole plan shows."""
    from prepkit.plan.plan import make_plan

    try:
        make_plan(recipe).to_dict()
    except Wrong as error:
        return [error]
    except BadInput as error:
        return [recipe.wrong(error.field or "", error.message)]
    return []


# ---- JSON Schemas of recipe, house, pantry and readings files ----

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


# ---- the JSON Schema of what plan --json prints, made of the types of a plan's sheet ----

_PLAIN = {str: "string", float: "number", int: "integer", bool: "boolean", NoneType: "null"}


def schema() -> Json:
    """Draft 7, one definition for each kind of row."""
    definitions: Json = {}
    _plan_schema_form(PlanSheet, definitions)
    return {
        "$schema": "http://json-schema.org/draft-07/schema#",
        "title": "prepkit plan",
        **definitions.pop(PlanSheet.__name__),
        "description": f"Output of plan with --json. Version {VERSIONS['plan']}.",
        "definitions": definitions,
    }


def _plan_schema_form(
    kind: Any,  # Any: a type, or what typing makes of types
    definitions: Json,
) -> Json:
    """The schema of one type; a type that JSON has no word for is a defect of ours."""
    if kind is Any:  # Any: itself
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
        return {"type": "array", "items": _plan_schema_form(inner[0], definitions)}
    if origin is dict:
        return {"type": "object", "additionalProperties": _plan_schema_form(inner[1], definitions)}
    if origin in (Union, UnionType):
        return {"anyOf": [_plan_schema_form(one, definitions) for one in inner]}
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
            key: _plan_schema_form(get_args(hint)[0] if key in free else hint, definitions)
            for key, hint in hints.items()
        },
        "required": [key for key in hints if key not in free],
    }
    said = " ".join((kind.__doc__ or "").split())
    return {"description": said, **found} if said and not said.startswith("dict(") else found


# ---- a first recipe file from a few questions ----

T = TypeVar("T")

GASES = ("none", "n2", "n2o", "co2")


@dataclass(frozen=True)
class Answers:
    """The answers, each as words that a recipe takes."""

    title: str
    serves: int
    base: str  # an ingredient with its strength; empty for none
    base_ml: str
    sweetener: str
    brix: str
    syrup_ml: str
    water_ml: str
    fridge: str
    gas: str
    plate: dict[str, str]  # vessel facts that were known


def new_recipe(path: str) -> str:
    """Ask, write the file, and say what comes next; FileProblem where it cannot be written."""
    _free(path)
    text = recipe_text(ask())
    write_new(path, text)
    return (
        f"{path} is written. Next: read it through, then\n"
        f"  prepkit plan {path} --check\n  prepkit plan {path}\n"
    )


def _free(path: str) -> None:
    """Refuse a file that is there, or a place where none can be, before anything is asked."""
    target = Path(path)
    if "\0" in path or not target.name:
        raise FileProblem(f"{path!r} cannot be written: it is no name of a file.")
    try:
        taken, folder = os.path.lexists(target), target.parent.is_dir()
    except OSError as error:
        raise FileProblem(f"{path} cannot be written: {error.strerror}.") from error
    if taken:
        raise FileProblem(f"{path} is there already and is not overwritten; name another file.")
    if not folder:
        raise FileProblem(f"{path} cannot be written: there is no folder {target.parent}.")


# the questions


def ask() -> Answers:
    """Each question until its answer can be used."""
    put_text("A few questions for a first recipe; Enter takes what stands in brackets.\n")
    title = _prompt("Name of the recipe", _title, "Tonight's drink")
    serves = _prompt("How many serves is it written for", _serves, "8")
    base = _prompt("Spirit or other base, with its strength (- for none)", _base, "spirit 40 %")
    base_ml = _prompt("How much of that in one serve", _volume, "40 ml") if base else ""
    sweetener = _prompt("Sweetener of the syrup", _sweetener, "white sugar")
    brix = _prompt("How strong the syrup is", _brix, "50 Bx")
    syrup_ml = _prompt("How much syrup in one serve", _volume, "20 ml")
    water_ml = _prompt("How much water in one serve", _volume, "40 ml")
    fridge = _prompt("Temperature of the fridge", _fridge, "4 C")
    gas = _prompt(f"Charged with a gas ({', '.join(GASES)})", _gas, "none")
    plate = _plate() if gas != "none" else {}
    return Answers(
        title, serves, base, base_ml, sweetener, brix, syrup_ml, water_ml, fridge, gas, plate
    )


def _plate() -> dict[str, str]:
    """What is known of the vessel; nothing is guessed."""
    put_text(
        "The vessel's facts, from its plate and its manual. Enter leaves one out: the plan then "
        "says what is missing, and stop until it is known.\n"
    )
    questions = {
        "vessel_volume": "Whole inside volume of the vessel",
        "max_fill": "Most that may be filled in",
        "rated": "Rated pressure, gauge",
        "charger_gas_mass": "Gas in one charger, as it is printed on it",
    }
    units = {"vessel_volume": "l", "max_fill": "l", "rated": "bar", "charger_gas_mass": "g"}
    found = {}
    for name, question in questions.items():
        answer = _prompt(question, _known(units[name]), "")
        if answer:
            found[name] = answer
    return found


def _prompt(question: str, read: Callable[[str], T], default: str) -> T:
    """Ask until the answer can be read; what is wrong is said in one sentence."""

    def value(words: str) -> T:
        try:
            return read(words.strip())
        except BadInput as error:
            raise click.UsageError(error.message) from error

    return click.prompt(question, default=default, value_proc=value, show_default=bool(default))


def _title(words: str) -> str:
    return files.text(words, ", such as Tonight")


def _serves(words: str) -> int:
    return whole_serves(words, "the answer")


def _base(words: str) -> str:
    if words in ("-", "none", ""):
        return ""
    if Pantry().ingredient(words, "the base").form != "liquid":
        raise BadInput(f'"{words}" is no liquid; name a liquid, such as rum 40 %.')
    return words


def _sweetener(words: str) -> str:
    found = Pantry().ingredient(words, "the sweetener")
    if not found.mixture.sugar > 0.5:
        raise BadInput(f'"{words}" is not mostly sugar; name a sweetener, such as white sugar.')
    return words


def _volume(words: str) -> str:
    amount = parse_quantity(words, ("ml",), "the answer")
    if not 0 < amount <= 1000:
        raise BadInput(f"it is {amount:g} ml; one serve takes more than 0 and at most 1000 ml.")
    return f"{float(amount):g} ml"


def _brix(words: str) -> str:
    level = parse_quantity(words, ("Bx",), "the answer", bare=True)
    if not 10 <= level <= 66:
        raise BadInput(f"it is {level:g} Bx; a syrup that stays clear is from 10 to 66 Bx.")
    return f"{float(level):g} Bx"


def _fridge(words: str) -> str:
    level = parse_quantity(words, ("C",), "the answer")
    if not 0 <= level <= 15:
        raise BadInput(f"it is {level:g} °C; a fridge is from 0 to 15 °C.")
    return f"{float(level):g} °C"


def _gas(words: str) -> str:
    if words.lower() not in GASES:
        raise BadInput(f'it is "{words}"; write one of {", ".join(GASES)}.')
    return words.lower()


def _known(unit: str) -> Callable[[str], str]:
    def read(words: str) -> str:
        if not words:
            return ""
        amount = parse_quantity(words, (unit,), "the answer")
        if not amount > 0:
            raise BadInput(f"it is {amount:g} {unit}; it must be more than 0.")
        return f"{float(amount):g} {unit}"

    return read


# the file


def recipe_text(said: Answers) -> str:
    """The recipe as TOML with comments."""
    made = "tonight-charged" if said.gas != "none" else "tonight-mix"
    parts = [f"{_times(said.syrup_ml, said.serves)} tonight-syrup",
             f"{_times(said.water_ml, said.serves)} water"]  # fmt: skip
    if said.base:
        parts.insert(0, f"{_times(said.base_ml, said.serves)} {said.base}")
    total = sum(_ml(text) for text in (said.base_ml, said.syrup_ml, said.water_ml) if text)
    blocks = [
        f"""# A recipe for prepkit plan. Amounts are words: a number, its unit, the ingredient
# and its strength. One item uses another by its id. For an editor, prepkit plan --schema prints
# all that can be written. prepkit plan FILE --check lists what is wrong.

title = {value_words(said.title)}
serves = {said.serves}
note = "Tell the maker here."

[house]  # or house = "house.toml", a file beside this one: bench, vessels, prices, room
fridge_temperature = "{said.fridge}"
""",
        f"""# An item: its calculator and that calculator's words.
[items.tonight-syrup]
calculator = "cordial"
part = "500 g water"
sweeten = {value_words(said.sweetener)}
brix = "{said.brix}"
loss = "2 %"  # what sticks to pots and cloths
note = "Stir until clear."

# Steps with their times make a timetable: prepkit plan FILE --service 18:00
[[items.tonight-syrup.step]]
text = "Weigh, stir until clear, bottle"
takes = "20 min"
hands_on = "15 min"
""",
        f"""[items.tonight-mix]
calculator = "blend"
part = {value_words(parts)}
note = "Stir, strain, into the fridge."
""",
    ]
    if said.gas != "none":
        blocks.insert(1, _vessel(said))
        blocks.append(_charged(said))
    blocks.append(
        f"""# The parts of one portion. Write [[serve]] once for each kind of drink.
[[serve]]
name = {value_words(said.title)}
part = "{total:g} ml {made}"
# garnish = "2 g mint"

# Prices of packs. Without prices there are no costs on the sheet.
# [[price]]
# ingredient = {value_words(said.sweetener)}
# pack = "1 kg"
# cost = 1.40
"""
    )
    return "\n".join(blocks)


def _vessel(said: Answers) -> str:
    lines = {
        "vessel_volume": "whole inside volume, to the closed head",
        "max_fill": "the mark, or the number in the manual",
        "rated": "working pressure above the air outside, never the test pressure",
    }
    shown = [
        f'{name} = "{said.plate[name]}"  # {what}'
        if name in said.plate
        else f'# {name} = ""  # FILL IN: {what}'
        for name, what in lines.items()
    ]
    return "\n".join(
        ["# From the vessel's own plate and manual, never a guess: the verdict rests on it.",
         "[vessels.first]", *shown, ""]
    )  # fmt: skip


def _charged(said: Answers) -> str:
    known = said.plate.get("charger_gas_mass")
    charger = f'charger_gas_mass = "{known}"' if known else '# charger_gas_mass = ""  # FILL IN:'
    return f"""[items.tonight-charged]
calculator = "siphon"
vessel = "first"
contents = "500 ml tonight-mix"
gas = "{said.gas}"
chargers = 1
{charger}{"  #" if known else ""} as it is printed on the charger
temperature = "{said.fridge}"
loss = "3 %"
note = "Charge cold, shake, keep cold."
"""


def _ml(words: str) -> float:
    return float(parse_quantity(words, ("ml",)))


def _times(words: str, serves: int) -> str:
    return f"{_ml(words) * serves:g} ml"
