"""Every problem of a recipe file in one go, each with its file, line, item and field."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from prepkit import file_lines, registry
from prepkit.errors import BadInput, PrepkitError
from prepkit.mixture import Mixture
from prepkit.plan import graph
from prepkit.plan.cost import read_prices
from prepkit.plan.fields import MOST_PROBLEMS, Enough, Reader, Wrong
from prepkit.plan.files import read_text, tables_of
from prepkit.plan.items import (
    pantry_names,
    product_of,
    refuse_volumes,
    run,
    words_of,
    wrong_input,
)
from prepkit.plan.prepare import part_of, weighed
from prepkit.plan.recipe import Item, Recipe, recipe_of
from prepkit.plan.recipe_file import variant_names

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
            "problems": [one.to_dict() for one in self.problems],
        }

    def words(self) -> str:
        """One line for each problem, or one that says that there is none."""
        if self.problems:
            return "".join(f"{one.words()}\n" for one in self.problems)
        also = f"; variants {', '.join(self.variants)}" if self.variants else ""
        return (
            f"{self.file}: no problem found in how it is written (items: {self.items}; kinds of "
            f"serve: {self.serves}{also}). This is no verdict: that comes with the plan.\n"
        )


def check(path: str | Path, *, house: str | Path | None = None) -> Checked:
    """Read a recipe itself and in each of its variants, and gather what is wrong.

    FileProblem where the recipe itself cannot be read.
    """
    file = str(path)
    try:
        text = read_text(path)
    except Wrong as error:
        return _unread(file, error)
    return check_text(text, file, house=house)


def check_text(text: str, file: str, *, house: str | Path | None = None) -> Checked:
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
        before = {str(one) for one, _, _ in found}
        found += [(one, variant, serves) for one in reader.found if str(one) not in before]
        if len(found) >= MOST_PROBLEMS:
            break
    known = _Lines(file, text)
    problems = [_problem(*one, known) for one in found[:MOST_PROBLEMS]]
    problems.sort(key=lambda one: (one.file != file, one.file, one.line or 0))
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
        self._of: dict[str, Mapping[file_lines.Path, int]] = {}

    def line(
        self, file: str, path: file_lines.Path, variant: str | None, sentence: str
    ) -> int | None:
        """The line of a place; in a value of many lines, that of the words the sentence quotes."""
        if file not in self._of:
            if file not in self._texts:
                try:
                    self._texts[file] = read_text(file)
                except PrepkitError:
                    self._texts[file] = ""
            self._of[file] = file_lines.lines(self._texts[file])
        return file_lines.line_said(self._texts[file], self._of[file], path, variant, sentence)


def _problem(error: Wrong, variant: str | None, serves: tuple[str, ...], known: _Lines) -> Problem:
    path = file_lines.path_of(error.where, serves)
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
        id_: graph.references(item, specs[item.calculator], recipe.items)
        for id_, item in recipe.items.items()
    }
    order: tuple[str, ...] = tuple(recipe.items)
    products: dict[str, Mixture] = {}
    try:
        order = graph.making_order(recipe, uses)
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
