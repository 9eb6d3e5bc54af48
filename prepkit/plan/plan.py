"""A recipe file to a checked Recipe, and with a number of serves to a Plan.

    [variant.alcohol-free.items.my-base]
    part = ["500 ml brewed black tea", "500 g cold brew coffee"]

A key that a variant gives an item replaces that key; a variant that names another calculator
replaces the whole item. Its [[variant.NAME.serve]] replace all serves.

Every error is one sentence with file, item and field. What needs no calculator is checked as the
file is read: its shape, the names that it uses, its limits. The words of each item are read by its
calculator when the plan is made.

Each item's calculator runs once, at the amounts of the recipe; what is extensive is multiplied.
An item in a vessel runs again on the load that really goes into each vessel, and that run's verdict
counts. What must not be made gets no amounts, and neither does what would be made from it.

A number of serves may also follow from an amount that there is, or from containers.
"""

import math
import os
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING

from prepkit import cautions, ingredient, registry
from prepkit.errors import BadInput, named
from prepkit.facts import Facts, checked
from prepkit.files import shown
from prepkit.ingredient import Part
from prepkit.inputs import Inputs
from prepkit.mixture import Mixture
from prepkit.model import Answer, Caution
from prepkit.numbers import Moment, nearest, parse_number
from prepkit.plan import sheet
from prepkit.plan.files import (
    MOST_BYTES,
    MOST_SERVES,
    Named,
    Reader,
    Table,
    Wrong,
    read_text,
    tables_of,
    whole_serves,
)
from prepkit.plan.filling import Made, Planned, Stocked, over_vessels
from prepkit.plan.house import House, prices_of, read_house, vessels_of
from prepkit.plan.house_file import Container, container_of, most_ml
from prepkit.plan.items import FOAMS, Demand, Weigh, has_volume
from prepkit.plan.prepare import Prepared, prepare
from prepkit.plan.recipe_types import Item, Recipe, RecipeStep, Serve, in_proportion
from prepkit.plan.routine import routines_of
from prepkit.record import Record
from prepkit.registry import CHARGED
from prepkit.shared import drink
from prepkit.units import split_amount

if TYPE_CHECKING:
    from prepkit.plan.recipe_file import ItemTable, ServeTable, StepTable
    from prepkit.sheet import AllowedSheet, PlanSheet

__all__ = [
    "MOST_BYTES",
    "MOST_SERVES",
    "Item",
    "Recipe",
    "RecipeStep",
    "Serve",
    "load_menu",
    "load_recipe",
    "read_recipe",
]


# ---- variants of a recipe ----

_WHOLE = ("title", "serves", "note", "serve")


def applied(reader: Reader, said: Table, name: str | None) -> Table:
    """The tables of a file as one variant has them (None: as they stand)."""
    if name is None:
        return said
    found = said.get("variant")
    if not isinstance(found, dict) or name not in found:
        hint = nearest(name, found) if isinstance(found, dict) else ""
        raise reader.wrong(
            ("variant",),
            f'there is no variant "{name}"; {hint or "this recipe has none"}.',
        )
    table = found[name]
    if not isinstance(table, dict):  # the model of the file says so
        return said
    whole = {**said, **{key: table[key] for key in _WHOLE if key in table}}
    if "title" not in table and isinstance(said.get("title"), str):
        whole["title"] = f"{said['title']} ({name})"
    if "items" in table:
        whole["items"] = reader.take(
            said.get("items"), _variant_items, reader, name, said, table["items"]
        )
    return whole


def _variant_items(reader: Reader, name: str, said: Table, changes: object) -> object:
    where = ("variant", name, "items")
    items = said.get("items")
    if not isinstance(changes, dict) or not isinstance(items, dict):
        raise reader.wrong(where, f"it is {shown(changes)}; write [variant.{name}.items.my-base].")
    merged: dict[str, object] = dict(items)
    for id_, table in changes.items():
        if not isinstance(table, dict):
            raise reader.wrong((*where, id_), f"it is {shown(table)}; it must be a table.")
        old = items.get(id_, {})
        new = not isinstance(old, dict) or "calculator" in table
        merged[id_] = table if new else {**old, **table}
    return merged


# ---- a recipe file ----


def load_recipe(path: Named, *, house: Named | None = None, variant: str | None = None) -> "Recipe":
    """The recipe of a file; FileProblem where it cannot be read, BadRecipe where it is wrong.

    `house` names the folder that the house file is read from instead of the recipe's own.
    """
    return read_recipe(read_text(path), str(path), house=house, variant=variant)


def read_recipe(
    text: str,
    file: str = "recipe",
    *,
    house: Named | None = None,
    variant: str | None = None,
) -> "Recipe":
    """The recipe that a text is; `file` is the name that errors speak of."""
    reader = Reader(file, text, variant=variant)
    return recipe_of(tables_of(text, file), reader, house=house)


def recipe_of(tables: Table, reader: Reader, *, house: Named | None = None) -> "Recipe":
    """The recipe that the tables of a file are, in the variant of its reader.

    Those of a menu, or of a kitchen's sites, are all its recipes in one.
    """
    from prepkit.plan.recipe_file import RecipeFile

    if "site" in tables:
        from prepkit.plan.menu import kitchen_menu

        return kitchen_menu(tables, reader, recipe_of, house)
    if "recipe" in tables:
        from prepkit.plan.menu import menu_of

        return menu_of(tables, reader, recipe_of, house)

    said = reader.model(RecipeFile, applied(reader, tables, reader.variant))
    file = reader.file
    place = reader.take(House(), read_house, reader, said.house, os.path.dirname(file), house)
    items = _items(reader, said.items)
    vessels = {**place.vessels, **vessels_of(file, said.vessels)}
    for item in items.values():
        if item.vessel not in (None, *vessels) and "vessel_register" not in item.inputs:
            hint = nearest(str(item.vessel), vessels) or "the recipe has no [vessels]"
            reader.tell(
                reader.wrong(("items", item.id, "vessel"), f'no vessel "{item.vessel}"; {hint}.')
            )
    serves = _serves(reader, said.serve)
    return Recipe(
        file,
        said.title,
        said.serves,
        items,
        serves,
        vessels,
        place,
        said.note,
        prices_of(file, said.price),
        reader.variant,
        routines=routines_of(reader, said.routine, [serve.name for serve in serves]),
        texts={**place.texts, file: reader.text},
    )


def load_menu(paths: "Sequence[str]", *, house: Named | None = None) -> "Recipe":
    """Several recipe files, or menus, as one recipe; FileProblem or BadRecipe otherwise."""
    from prepkit.plan.menu import menu_of_files

    return menu_of_files([load_recipe(path, house=house) for path in paths])


# the parts of the file


def _items(reader: Reader, tables: "Mapping[str, ItemTable]") -> "dict[str, Item]":
    found = {}
    alike: dict[str, str] = {}
    for id_, said in tables.items():
        other = alike.setdefault(id_.casefold().replace("_", "-"), id_)
        if other != id_:
            reader.tell(
                reader.wrong(
                    ("items", id_),
                    f'"{id_}" and "{other}" read as one id on the sheet. Give each of the items '
                    f"an id of its own.",
                )
            )
        if said.calculator:  # what was refused has been told
            found[id_] = _item_of(id_, said)
    return found


def _item_of(id_: str, said: "ItemTable") -> "Item":
    return Item(
        id_, said.calculator, said.others, said.vessel, float(said.loss), said.least, said.check,
        said.note, tuple(_step(step) for step in said.step if step.text), said.title,
        loss_off=getattr(said.loss, "plus_minus", None) or 0.0,
    )  # fmt: skip


def _step(said: "StepTable") -> RecipeStep:
    hands_on = said.takes if said.hands_on is None else said.hands_on
    return RecipeStep(said.text, said.takes, hands_on, said.before, said.within, said.each != "")


def _serves(reader: Reader, rows: "tuple[ServeTable, ...]") -> tuple[Serve, ...]:
    found: dict[str, Serve] = {}
    for number, said in enumerate(rows):
        if said.name in found:
            reader.tell(
                reader.wrong(
                    ("serve", number, "name"),
                    f'"{said.name}" is taken; give each serve its own name.',
                )
            )
        elif said.name and said.part:  # what was refused has been told
            found[said.name] = Serve(
                said.name,
                _apart(said.part),
                _apart(said.garnish),
                said.note,
                said.serves,
                said.price,
            )
    return tuple(found.values())


def _apart(words: tuple[str, ...]) -> tuple[str, ...]:
    """Each amount on its own, where several stand in one text."""
    return tuple(word for said in words for word in ingredient.split(said))


# ---- worked back from what there is ----

_DUST = 1e-9


class Allowed(Record):
    """One thing that there is, how many serves it allows, and what is left at the number made."""

    words: str
    name: str
    have_kg: float
    serves: int
    need_kg: float = 0.0
    limits: bool = False

    def to_dict(self) -> "AllowedSheet":
        """The JSON form."""
        return {
            "words": self.words, "name": self.name, "have_g": 1000 * self.have_kg,
            "need_g": 1000 * self.need_kg, "left_g": 1000 * (self.have_kg - self.need_kg),
            "serves": self.serves, "limits": self.limits,
        }  # fmt: skip


def serves_from(prepared: Prepared, words_of: Sequence[str]) -> tuple[int, tuple[Allowed, ...]]:
    """The most serves that everything named allows, and what each of them would allow.

    Where the drinks of a recipe have numbers of their own, the serves are those of the drink of
    which there are most, and the others follow in proportion.

    BadInput where a thing is not used, or is not enough for one serve.
    """
    written = prepared.recipe.counts()
    found = []
    for words in words_of:
        part = _part(prepared, words)
        have = part.mass_kg
        of_one = need_kg(prepared, part.name, dict.fromkeys(written, 1))
        if of_one > have * (1 + _DUST):
            raise BadInput(
                f'{named("from")} "{words}": for one serve {1000 * of_one:.4g} g of it '
                "are needed, and that "
                f"is {1000 * have:.4g} g.",
                "from",
            )
        found.append(
            Allowed(words, part.name, have, enough_for(prepared, part.name, have, written))
        )
    serves = min(allowed.serves for allowed in found)
    return serves, tuple(
        Allowed(
            allowed.words,
            allowed.name,
            allowed.have_kg,
            allowed.serves,
            need_kg(prepared, allowed.name, in_proportion(written, serves)),
            allowed.serves == serves,
        )
        for allowed in found
    )


def enough_for(prepared: Prepared, name: str, kg: float, written: Mapping[str, int]) -> int:
    """The most serves that so much of an ingredient or item is enough for; 0 for none.

    They are those of the drink that has most of `written`; the others follow in proportion.
    """
    low, high = 0, MOST_SERVES + 1  # enough, and too many or not planned
    while high - low > 1:
        middle = (low + high) // 2
        enough = need_kg(prepared, name, in_proportion(written, middle)) <= kg * (1 + _DUST)
        low, high = (middle, high) if enough else (low, middle)
    return low


def need_kg(prepared: Prepared, name: str, counts: Mapping[str, int]) -> float:
    """kg of an ingredient or item that numbers of serves take; infinite beyond all reason."""
    try:
        demands = prepared.demands(counts)
    except Wrong:
        return math.inf
    if name in demands:
        return demands[name].needed_kg + demands[name].lost_kg
    of_items = math.fsum(
        line.mass_g / 1000 * demands[id_].scale
        for id_, lines in prepared.weigh.items()
        for line in lines
        if line.name == name
    )
    in_glass = math.fsum(
        part.mass_kg * counts[portion.serve.name]
        for portion in prepared.portions
        for part in portion.all_parts
        if part.name == name
    )
    return of_items + in_glass


def _part(prepared: Prepared, words: str) -> Part:
    """What is named, which must be something that the recipe takes."""
    recipe = prepared.recipe
    try:
        has_volume(recipe, "from", words, prepared.products)
        part = recipe.house.pantry.with_items(prepared.products).part(words, named("from"))
    except Wrong as error:
        raise BadInput(f"{named('from')} {error.sentence}", "from") from error
    if not need_kg(prepared, part.name, prepared.recipe.counts(1)) > 0:
        used = [name for name in (*prepared.pantry, *prepared.order) if _used(prepared, name)]
        raise BadInput(
            f'{named("from")} "{words}": {recipe.file} uses no {part.name}; '
            f"{nearest(part.name, used)}.",
            "from",
        )
    return part


def _used(prepared: Prepared, name: str) -> bool:
    return need_kg(prepared, name, prepared.recipe.counts(1)) > 0


# ---- a batch by its containers ----

_CASE = "case"
_MOST_KG = 1e5


class FillRequest(Record):
    """What is to be filled: the words, the item, how much of it."""

    words: str
    item: str
    kg: float


def to_fill(
    prepared: Prepared, words_of: Sequence[str]
) -> tuple[Prepared, tuple[FillRequest, ...]]:
    """The recipe with what is to be filled wanted beside its serves.

    Raises BadInput for an item that the recipe does not make, for a container that the house has
    not named, and for one whose headspace or rating must be known and is not.
    """
    found = tuple(_asked(prepared, words) for words in words_of)
    kg: dict[str, float] = {}
    for request in found:
        kg[request.item] = kg.get(request.item, 0.0) + request.kg
    shelf = prepared.shelf.replaced(asked_kg=kg)
    plain = prepared.plain.replaced(shelf=shelf) if prepared.plain is not None else None
    return prepared.replaced(shelf=shelf, plain=plain), found


def _asked(prepared: Prepared, words: str) -> FillRequest:
    known = prepared.recipe.house.stock.containers
    count, rest = parse_number(words.strip(), named("fill"))
    tokens = rest.split()
    one, times = _container(tokens, known, words)
    if one is None:
        return _of_amount(prepared, words)
    if not count > 0:
        raise BadInput(f'{named("fill")} is "{words}"; write how many, more than 0.', "fill")
    item = _item(prepared, " ".join(tokens).removeprefix("of "), words)
    product = prepared.products[item]
    charged = CHARGED in product.tags or prepared.ran[item][1] is None
    ml = most_ml(one, charged=charged) * times * count
    try:
        kg = ml * 1e-6 * product.density_kg_m3(20.0)
    except BadInput as error:
        raise BadInput(
            f'{named("fill")} "{words}": {item} has no volume that is known; write its weight.',
            "fill",
        ) from error
    return _sane(FillRequest(words, item, kg))


def _container(
    tokens: list[str], known: Mapping[str, Container], words: str
) -> tuple[Container | None, int]:
    """The container that words begin with, and how many in its case; these words are taken off."""
    if not tokens:
        raise BadInput(
            f'{named("fill")} is "{words}"; write {named("fill", "1 tub my-base")}.', "fill"
        )
    if tokens[0].lower() in (_CASE, f"{_CASE}s"):
        tokens.pop(0)
        if tokens[:1] == ["of"]:
            tokens.pop(0)
        one = _known(tokens[0], known) if tokens else None
        cased = [each for each in known.values() if each.case is not None]
        if one is not None:
            tokens.pop(0)
        elif len(cased) == 1:
            one = cased[0]
        if one is None or one.case is None:
            raise BadInput(
                f'{named("fill")} "{words}": a case of which container? Write "1 case of '
                f'bottles my-base", and its case = 12 under [containers.bottle] in the house file.',
                "fill",
            )
        return one, one.case
    one = _known(tokens[0], known)
    if one is not None:
        tokens.pop(0)
    return one, 1


def _known(word: str, known: Mapping[str, Container]) -> Container | None:
    return known.get(word) or known.get(word.removesuffix("s"))


def _item(prepared: Prepared, name: str, words: str) -> str:
    tidy = " ".join(name.split())
    if tidy in prepared.products:
        return tidy
    raise BadInput(
        f'{named("fill")} "{words}": {prepared.recipe.file} makes no "{tidy}"; '
        f"{nearest(tidy, prepared.products)}.",
        "fill",
    )


def _of_amount(prepared: Prepared, words: str) -> FillRequest:
    """An amount in a unit: "4 l my-base"."""
    recipe = prepared.recipe
    amount, rest = split_amount(words, named("fill"), recipe.house.measures)
    first, _, name = rest.partition(" ")
    if amount.unit == "piece" and " ".join(name.split()) in prepared.products:
        container_of(first, recipe.house.stock.containers)  # refuses it, with the nearest
    try:
        has_volume(recipe, "fill", words, prepared.products)
        part = recipe.house.pantry.with_items(prepared.products).part(words, named("fill"))
    except Wrong as error:
        raise BadInput(f"{named('fill')} {error.sentence}", "fill") from error
    return _sane(FillRequest(words, _item(prepared, part.name, words), part.mass_kg))


def _sane(asked: FillRequest) -> FillRequest:
    if not 0 < asked.kg <= _MOST_KG:
        raise BadInput(
            f'{named("fill")} "{asked.words}" is {asked.kg:.3g} kg; it must be more than 0 and at '
            f"most 100 tonnes.",
            "fill",
        )
    return asked


# ---- a recipe and a number of serves to a Plan ----

_PER_GUEST = frozenset({"caffeine_mg"})  # judged on one serve, not on a batch
# of the vessel that was worked out: they grow with the chargers
_WITH_CHARGERS = ("room_gas_g", "room_gas_percent", "least_room_m3", "room_over_least")


class Plan(Planned):
    """A planned recipe with its JSON form."""

    __slots__ = ()

    def to_dict(self, service: Moment | None = None) -> "PlanSheet":
        """The JSON form; the printed sheet is made from it."""
        return sheet.said(self, service)

    def answers(self) -> dict[str, Answer]:
        """The answer of each item that may be made."""
        return {item.item.id: item.answer for item in self.made if item.go}

    def rests_on(self) -> dict[str, object]:
        """All that it rests on: the words of the recipe, the serves, what each item was given."""
        recipe = self.recipe
        return {
            "title": recipe.title,
            "serves": self.serves if len(set(self.counts.values())) == 1 else dict(self.counts),
            "variant": recipe.variant,
            "items": {
                id_: {
                    "calculator": item.calculator,
                    "inputs": dict(item.inputs),
                    "loss": item.loss,
                    "vessel": item.vessel,
                }
                for id_, item in recipe.items.items()
            },
            "house": {
                "facts": {name: str(fact) for name, fact in recipe.house.facts.items()},
                "bench": {name: measured.words() for name, measured in recipe.house.bench.items()},
            },
            "serve": [[serve.name, *serve.part, *serve.garnish] for serve in recipe.serve],
            "given": {item.item.id: dict(item.answer.inputs) for item in self.made},
        }


def make_plan(recipe: Recipe, serves: int | float | str | None = None) -> Plan:
    """The plan of a recipe for `serves` of each of its serves (the file's own number, if None)."""
    wanted = None if serves is None else whole_serves(serves, "serves")
    return plan_of(prepare(recipe), recipe.counts(wanted))


def plan_of(
    prepared: Prepared,
    serves: Mapping[str, int] | int,
    also: Mapping[str, tuple[Caution, ...]] | None = None,
) -> Plan:
    """The plan of a prepared recipe for a number of each serve; one of which are 0 is left off.

    `also` holds, by item, cautions of what was found when it was made, which count as its own.
    Where losses were learnt, what the plan without them stops or warns of stands in it too.
    """
    counts = prepared.recipe.counts(serves) if isinstance(serves, int) else serves
    plan = _plan_of(prepared, counts, also)
    if prepared.plain is None:
        return plan
    before = _plan_of(prepared.plain, counts, also)
    made = {item.item.id: item for item in plan.made}  # the stock may cover more or less of them
    lacking = {
        old.item.id: _lacking(old.found, made[old.item.id].found)
        for old in before.made
        if old.item.id in made
    }
    if any(lacking.values()):
        whole = {id_: (*found, *(also or {}).get(id_, ())) for id_, found in lacking.items()}
        plan = _plan_of(prepared, counts, {**(also or {}), **whole})
    portions = tuple(
        new.replaced(found=(*new.found, *_lacking(old.found, new.found)))
        for old, new in zip(before.portions, plan.portions, strict=True)
    )
    return plan.replaced(portions=portions)


def _lacking(before: Iterable[Caution], now: Iterable[Caution]) -> tuple[Caution, ...]:
    """The stops and warnings that were there before and are not there now as severe."""
    order = cautions.SEVERITIES.index
    known = {caution.id: caution.severity for caution in now}
    return tuple(
        caution
        for caution in before
        if caution.severity != "note"
        and not (caution.id in known and order(known[caution.id]) <= order(caution.severity))
    )


def _plan_of(
    prepared: Prepared, counts: Mapping[str, int], also: Mapping[str, tuple[Caution, ...]] | None
) -> Plan:
    recipe, products, uses = prepared.recipe, prepared.products, prepared.uses
    found = prepared.demands(counts)
    looked_at = _behind([id_ for id_ in prepared.order if id_ not in products], uses)
    failed = _failed_checks(prepared)
    made: dict[str, Made] = {}
    for id_ in prepared.order:
        checks = id_ not in products
        demand = found[id_]
        if not demand.needed_kg > 0 and registry.not_run(
            recipe.items[id_].calculator, prepared.ran[id_][0]
        ):
            checks, demand = True, demand.replaced(scale=1.0)  # a stop, wanted by a serve or not
        if checks or demand.needed_kg > 0:
            made[id_] = _made(
                prepared,
                recipe.items[id_],
                demand,
                tuple(dict.fromkeys((*failed.get(id_, ()), *_held(uses[id_], made)))),
                (also or {}).get(id_, ()),
            )
    stocked = tuple(
        _stocked(prepared, recipe.items[id_], found[id_])
        for id_ in prepared.order
        if id_ not in made and found[id_].stock_kg > 0
    )
    bad = {one.item.id for one in stocked if cautions.verdict(one.found) == "stop"}
    if bad:  # so much of it says stop: planned as if there were none, so that the stop stands
        kg = {name: kg for name, kg in prepared.shelf.kg.items() if name not in bad}
        shelf = prepared.shelf.replaced(kg=kg)
        return _plan_of(prepared.replaced(shelf=shelf), counts, also)
    return Plan(
        recipe,
        counts,
        tuple(made.values()),
        tuple(
            id_
            for id_ in prepared.order
            if id_ not in made and id_ not in looked_at and not found[id_].stock_kg
        ),
        tuple(
            portion.replaced(held_by=_held([part.name for part in portion.all_parts], made))
            for portion in prepared.portions
            if counts[portion.serve.name]
        ),
        prepared,
        stocked,
    )


def _stocked(prepared: Prepared, item: Item, demand: Demand) -> Stocked:
    """What is said of an item that comes from stock, as of so much that is made."""
    inputs, answer = prepared.ran[item.id]
    assert answer is not None  # what fills vessels is never taken from stock
    product = prepared.products[item.id].of_mass(demand.stock_kg)
    found = _judged(item, inputs, answer, product, None)
    found = (*found, *_of_ends(item.calculator, answer, found))
    told = tuple(
        caution
        for caution in found
        if not caution.standing and caution.severity in ("stop", "care")
    )
    return Stocked(item, cautions.consistent(cautions.ordered(told)))


@cache
def _of_a_guest(calculator: str) -> frozenset[str]:
    """Cautions that speak of what one guest takes in."""
    return frozenset(
        row.id
        for row in cautions.candidates(calculator)
        if any(condition.fact in _PER_GUEST for condition in row.when)
    )


def _of_ends(calculator: str, answer: Answer, found: Iterable[Caution]) -> tuple[Caution, ...]:
    """What an answer says of the ends of a ± alone: it holds for what is made of it too."""
    known = {caution.id for caution in found} | _of_a_guest(calculator)
    return tuple(
        caution
        for caution in answer.cautions
        if caution.text.startswith(registry.WITHIN) and caution.id not in known
    )


def _judged(
    item: Item, inputs: Inputs, answer: Answer, product: Mixture | None, chargers: int | None
) -> tuple[Caution, ...]:
    """The cautions of an item on all of what is made of it, and on all chargers of the evening."""
    of_glass = drink.glass_facts(item.calculator, inputs, answer.result.product)
    facts: Facts = {
        **cautions.told(inputs), **cautions.about(product), **of_glass, **answer.result.facts,
    }  # fmt: skip
    if chargers is not None:
        facts["chargers_in_all"] = chargers
        known: cautions.Known = facts
        facts |= checked({
            name: known[name] * (chargers / known["chargers_all"])
            for name in _WITH_CHARGERS if name in known
        })  # fmt: skip
    skip = _of_a_guest(item.calculator)
    return tuple(c for c in cautions.judge(item.calculator, facts) if c.id not in skip)


def _measured_right(prepared: Prepared, weigh: tuple[Weigh, ...]) -> tuple[Weigh, ...]:
    """Weigh-outs without the volumes of what no jug measures: powders, plants, foams."""
    items = prepared.recipe.items
    found = []
    for line in weigh:
        one = prepared.pantry.get(line.name)
        dry = one is not None and one.form != "liquid"
        foam = line.name in items and items[line.name].calculator in FOAMS
        found.append(line._replace(volume_ml=None) if dry or foam else line)
    return tuple(found)


def _behind(ids: Iterable[str], uses: Mapping[str, tuple[str, ...]]) -> set[str]:
    """All items that the named ones use, and what those use."""
    found: set[str] = set()
    left = list(ids)
    while left:
        for used in uses[left.pop()]:
            if used not in found:
                found.add(used)
                left.append(used)
    return found


def _failed_checks(prepared: Prepared) -> dict[str, list[str]]:
    """For each item the checks of it that say stop: it is held until they do not."""
    found: dict[str, list[str]] = {}
    for id_ in prepared.order:
        answer = prepared.ran[id_][1]
        if id_ not in prepared.products and answer is not None and answer.verdict == "stop":
            for used in prepared.uses[id_]:
                found.setdefault(used, []).append(id_)
    return found


def _held(uses: Iterable[str], made: Mapping[str, Made]) -> tuple[str, ...]:
    """The stopped items among what is used, and behind it."""
    found: dict[str, None] = {}
    for id_ in uses:
        one = made.get(id_)
        if one is None:
            continue
        if one.verdict == "stop":
            found[id_] = None
        found |= dict.fromkeys(one.held_by)
    return tuple(found)


def _made(
    prepared: Prepared,
    item: Item,
    demand: Demand,
    held_by: tuple[str, ...],
    also: tuple[Caution, ...],
) -> Made:
    inputs, answer = prepared.ran[item.id]
    own = prepared.products.get(item.id)
    filling = None
    if own is None:  # a check: it makes nothing, and its verdict stands as it is
        product, each, lines = None, None, tuple[Weigh, ...]()
    else:
        product = each = own.scaled(demand.scale)
        weigh = _measured_right(prepared, prepared.weigh[item.id])
        lines = tuple(line.scaled(demand.scale) for line in weigh)
        if answer is None:
            filling = over_vessels(prepared.recipe, item, inputs, product)
            each, answer = filling.each, filling.answer
    assert answer is not None
    if own is None:
        found = answer.cautions
    else:
        found = _judged(item, inputs, answer, each, filling.chargers if filling else None)
        found = (*found, *_of_ends(item.calculator, answer, found))
    also = (*also, *(filling.also if filling else ()))
    found = cautions.consistent(cautions.ordered((*found, *also)))
    return Made(item, answer, demand, product, lines, filling, found, held_by)
