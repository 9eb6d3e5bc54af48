"""One item at the amounts of its recipe, and what it takes to make what is wanted of it.

An item is linear: so many times its own amounts. Only the filling of vessels is not, because a
vessel is filled whole or in equal shares, and never above its most.

Errors of a calculator come back with the file, the item and the field, in the words of the file.
"""

import math
import os
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from prepkit import derived, ingredient, registry
from prepkit.errors import BadInput, UnknownIngredient, by_key, later
from prepkit.ingredient import Part
from prepkit.inputs import Inputs, Spec
from prepkit.mixture import Mixture
from prepkit.model import Answer, Table
from prepkit.numbers import NEAR, nearest
from prepkit.plan import recipe_types
from prepkit.plan.files import Wrong, below
from prepkit.plan.house import HOUSE, VESSELS
from prepkit.plan.recipe_types import Item, Recipe, Routine, Serve
from prepkit.plan.routine import drunk, timed
from prepkit.record import Record
from prepkit.units import split_amount

# ---- from what is wanted to what is made ----

_ALL = ("weigh", "weigh_out", "weigh-out")  # a table of everything that is weighed
_MORE = ("add", "additions")  # a table of what is added to the parts
_NO_NAMES = ("", "order", "step")
ASKED = "the containers"  # by whom what is asked for beside the serves is wanted
PAR = "up to par"  # by whom what only fills up the shelf is wanted
DUST = 1e-12  # relative rounding that must not cost one vessel more


class Weigh(NamedTuple):
    """One line of a weigh-out; the volume is at 20 C, where it is a liquid that can be measured."""

    name: str
    mass_g: float
    volume_ml: float | None = None
    how: str = ""

    def scaled(self, factor: float) -> "Weigh":
        """`factor` times as much."""
        volume = None if self.volume_ml is None else self.volume_ml * factor
        return self._replace(mass_g=self.mass_g * factor, volume_ml=volume)


class Shelf(Record):
    """What stands in stock, by item or ingredient, and the levels to make up to; kg.

    `asked_kg` is wanted beside the serves, such as a tub of one item.
    """

    kg: Mapping[str, float] = {}
    par_kg: Mapping[str, float] = {}
    asked_kg: Mapping[str, float] = {}


NO_SHELF = Shelf()


class ForSites(Record):
    """What the sites of a production kitchen want of it, instead of serves of its own.

    `sent_kg` by site and item; `buys` is what they buy themselves, each with its site; `chargers`
    that they need, by gas.
    """

    sent_kg: Mapping[str, Mapping[str, float]]
    buys: tuple[tuple[Weigh, str], ...] = ()
    chargers: Mapping[str, int] = {}


class Demand(Record):
    """How much of an item must be made, by whom it is wanted, how many times its own amounts.

    What stock covers is not in `needed_kg`, which is what making must give after losses.
    """

    by: Mapping[str, float]  # kg by serve or item
    needed_kg: float
    lost_kg: float
    made_kg: float
    scale: float
    stock_kg: float = 0.0  # of what is wanted, from the shelf
    more_kg: float = 0.0  # made so that it is enough for sure

    @property
    def wanted_kg(self) -> float:
        """What serves and items take of it, whether it is made or stands in stock."""
        return math.fsum(kg for name, kg in self.by.items() if name != PAR)

    @property
    def left_kg(self) -> float:
        """What is left over, because less is not worth making."""
        return max(0.0, self.made_kg - self.needed_kg - self.lost_kg)


def of_part(part: Part) -> Weigh:
    """A part as a line of the weigh-out."""
    liquid = part.ingredient.form == "liquid"
    return Weigh(
        part.name, 1000 * part.mass_kg, derived.volume_ml(part.mixture) if liquid else None
    )


def weigh_outs(inputs: Inputs, answer: Answer | None) -> tuple[Weigh, ...]:
    """What an item asks to weigh, at its own amounts.

    The calculator's own table of all that is weighed where it has one (it may solve for amounts);
    else its parts, and its table of additions.
    """
    tables = answer.tables if answer is not None else ()
    for table in tables:
        if table.name in _ALL:
            return _lines(table)
    lines = [of_part(part) for part in parts(inputs)]
    for table in tables:
        if table.name in _MORE:
            lines += _lines(table)
    return tuple(lines)


def parts(inputs: Inputs) -> tuple[Part, ...]:
    """All amounts of ingredients among the inputs."""
    found: list[Part] = []
    for name, spec in type(inputs).specs().items():
        if spec.kind in ("part", "parts"):
            value = getattr(inputs, name)
            found += list(value.each) if isinstance(value, Part) else list(value or ())
    return tuple(found)


def _lines(table: Table) -> tuple[Weigh, ...]:
    """The rows of a weigh-out table: its first column of words names, its last says how."""
    texts = [
        place
        for place, column in enumerate(table.columns)
        if column.digits is None and column.label not in _NO_NAMES
    ]
    name, how = texts[0], texts[-1] if len(texts) > 1 else None
    units = {column.unit: place for place, column in reversed(list(enumerate(table.columns)))}
    found = []
    for row in table.rows:
        mass = row[units["g"]]
        volume = row[units["ml"]] if "ml" in units else None
        if isinstance(mass, int | float) and mass > 0:
            found.append(
                Weigh(
                    str(row[name]),
                    float(mass),
                    float(volume) if isinstance(volume, int | float) else None,
                    str(row[how] or "") if how is not None else "",
                )
            )
    return tuple(found)


def demands(
    order: Sequence[str],
    serve_use: Mapping[str, Mapping[str, float]],
    uses: Mapping[str, Mapping[str, float]],
    own_kg: Mapping[str, float],
    losses: Mapping[str, float],
    least_kg: Mapping[str, float],
    shelf: Shelf = NO_SHELF,
    factors: Mapping[str, float] | None = None,
) -> dict[str, Demand]:
    """What must be made of each item, worked back from the serves.

    `serve_use`: kg of each item by serve, for all serves together. `uses`: kg of other items that
    an item takes at its own amounts. `own_kg`: what it makes of them; an item that makes nothing
    (a check) asks for nothing. `losses`: share of what is made that is lost. `least_kg`: the
    smallest batch, where there is one. `shelf`: what stands in stock is used first, and made up to
    the par. `factors`: how many times what is needed is made, so that it is enough for sure.

    >>> found = demands(["a"], {"x": {"a": 3.0}}, {"a": {}}, {"a": 1.0}, {"a": 0.5}, {},
    ...                 Shelf({"a": 2.0}, {"a": 0.25}))
    >>> found["a"].stock_kg, found["a"].needed_kg, found["a"].made_kg
    (2.0, 1.25, 2.5)
    """
    wanted: dict[str, dict[str, float]] = {id_: {} for id_ in order}
    for serve, takes in serve_use.items():
        for id_, kg in takes.items():
            wanted[id_][serve] = wanted[id_].get(serve, 0.0) + kg
    for id_, kg in shelf.asked_kg.items():
        wanted[id_][ASKED] = kg
    found: dict[str, Demand] = {}
    for id_ in reversed(order):
        needed, stock = math.fsum(wanted[id_].values()), 0.0
        if id_ in shelf.kg or id_ in shelf.par_kg:
            have, par = shelf.kg.get(id_, 0.0), shelf.par_kg.get(id_, 0.0)
            stock = min(needed, have)
            up = max(0.0, par - (have - stock))
            if up > 0:
                wanted[id_][PAR] = up
            rest = needed - stock + up
            needed = rest if rest > 1e-9 * (needed + par) else 0.0
        just = needed / (1.0 - losses[id_])
        made = just * (factors or {}).get(id_, 1.0)
        if needed > 0:
            least = least_kg.get(id_, 0.0)
            made, just = max(made, least), max(just, least)
        scale = made / own_kg[id_] if own_kg[id_] > 0 else 0.0
        lost = needed * losses[id_] / (1.0 - losses[id_])
        found[id_] = Demand(wanted[id_], needed, lost, made, scale, stock, made - just)
        if scale > 0:
            for used, kg in uses[id_].items():
                wanted[used][id_] = wanted[used].get(id_, 0.0) + kg * scale
    return found


def fills(volume_ml: float, most_ml: float) -> int:
    """How many whole vessels a volume fills, none above its most.

    >>> fills(1000.0, 500.0), fills(1000.1, 500.0), fills(80.0, 500.0)
    (2, 3, 1)
    """
    return max(1, math.ceil(volume_ml / most_ml * (1.0 - DUST)))


# ---- one item at the amounts of its recipe ----

_FEW = 50
FOAMS = ("foam",)  # products whose volume is mostly gas
VESSEL_INPUTS = {"contents", "vessel_volume", "max_fill"}
_UNKNOWN = later(r'no ingredient "([^"]+)"')


def pantry_names(recipe: Recipe) -> list[Wrong]:
    """The items that would hide an ingredient of the same name."""
    pantry = recipe.house.pantry
    if len(recipe.items) <= _FEW and not any(map(pantry.mentions, recipe.items)):
        return []  # the names are many, and a look for a few is quicker
    known = set(pantry.names())
    return [
        recipe.wrong(
            f"items.{id_}",
            f'"{id_}" is an ingredient of the pantry; give the item a name of its own, such '
            f"as house-{id_.lower()}.",
        )
        for id_ in recipe.items
        if id_.lower() in known
    ]


def words_of(recipe: Recipe, item: Item, specs: Mapping[str, Spec]) -> dict[str, object]:
    """An item's inputs with the facts of its vessel and of the house."""
    said = {
        name: fact
        for key, fact in recipe.house.facts.items()
        for name in HOUSE[key][1]
        if name in specs and _fits(key, fact, specs[name])
    }
    if set(specs) >= VESSEL_INPUTS:
        facts = recipe.house.facts
        said |= {
            name: facts[key] for key, names in VESSELS.items() if key in facts for name in names
        }
    if item.vessel is not None:
        if not set(specs) >= VESSEL_INPUTS:
            raise recipe.wrong(
                f"items.{item.id}.vessel", f"{item.calculator} is made in no vessel; leave it out."
            )
        if "vessel_register" in item.inputs:
            said["vessel"] = item.vessel
        else:
            known = recipe.vessels.get(item.vessel)  # an unknown one has been refused by now
            facts = known.facts if known is not None else {}
            for key in facts:
                if key in item.inputs:
                    raise recipe.wrong(
                        f"items.{item.id}.{key}",
                        f"vessel {item.vessel} says it already; keep it in one place.",
                    )
            said |= facts
    said |= item.inputs
    if "vessel_register" in said and "vessel_register" in specs:
        said["vessel_register"] = _register(recipe, item, str(said["vessel_register"]))
    for key, value in said.items():
        # a bare number in the file is judged as words are: it needs its unit
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if number and key in specs and specs[key].kind not in ("count", "number"):
            said[key] = str(value)
    return said


def _fits(key: str, fact: object, spec: Spec) -> bool:
    """Whether an input takes a fact of the house: its unit, or one of its choices."""
    unit = HOUSE[key][0]
    if unit:
        return unit in spec.units
    return not spec.choices or str(fact).lower() in spec.choices


def _register(recipe: Recipe, item: Item, name: str) -> str:
    """The path of a vessel register, which lies with the recipe or below it."""
    folder = os.path.dirname(recipe.file_of(f"items.{item.id}"))
    if below(folder, name) is None:
        raise recipe.wrong(
            f"items.{item.id}.vessel_register",
            f'"{name}" lies outside the folder of the recipe; keep the register there or below.',
        )
    return os.path.join(folder, name)


def refuse_volumes(
    recipe: Recipe, item: Item, specs: Mapping[str, Spec], products: Mapping[str, Mixture]
) -> None:
    """Refuse volumes of items that have none."""
    for name, value in item.inputs.items():
        if name in specs and specs[name].kind in ("part", "parts"):
            for words in value if isinstance(value, list) else [value]:
                for word in ingredient.split(words) if isinstance(words, str) else ():
                    has_volume(recipe, f"items.{item.id}.{name}", word, products)


def has_volume(recipe: Recipe, where: str, words: str, products: Mapping[str, Mixture]) -> None:
    """Refuse words that ask for an item that makes nothing, or for a volume that is none."""
    id_ = recipe_types.item_of(words, recipe.items)
    if id_ is None:
        return
    if id_ not in products:
        raise recipe.wrong(
            where, f'"{words}": {id_} makes nothing that could be used. Take another item.'
        )
    if split_amount(words, where, recipe.house.measures)[0].unit != "ml":
        return
    if recipe.items[id_].calculator in FOAMS:
        raise recipe.wrong(
            where, f'"{words}": {id_} is a foam, and its volume is mostly gas. Give it in grams.'
        )
    try:
        products[id_].density_kg_m3(20.0)
    except BadInput as error:
        raise recipe.wrong(
            where,
            f'"{words}": the volume of {id_} cannot be worked out '
            f"({by_key(error.wording).rstrip('.')}). Give it in grams.",
        ) from error


def run(
    recipe: Recipe,
    item: Item,
    specs: Mapping[str, Spec],
    uses: tuple[str, ...],
    products: Mapping[str, Mixture],
) -> tuple[Inputs, Answer | None]:
    """An item's inputs, and its answer at the amounts of the recipe.

    No answer yet of a load that goes into vessels: it is computed for what each of them gets.
    """
    pantry = recipe.house.pantry.with_items({id_: products[id_] for id_ in uses if id_ in products})
    said = words_of(recipe, item, specs)
    try:
        inputs = registry.validate(item.calculator, said, pantry)
    except BadInput as error:
        wrong = registry.problems(item.calculator, said, pantry)
        field, first = next(iter(wrong.items()), ("", error))
        field = field or getattr(first, "field", None) or ""
        raise wrong_input(recipe, item, field, first, said.get(field)) from error
    if registry.not_run(item.calculator, inputs):  # a hazard by name: nothing else is asked
        return inputs, answered(recipe, item, inputs)
    if set(specs) >= VESSEL_INPUTS:
        if getattr(inputs, "mode", "") == "plan":
            raise recipe.wrong(
                f"items.{item.id}.mode",
                "in a recipe the vessels are counted from the serves; write check, dispense or "
                "targets.",
            )
        if not parts(inputs) or not math.fsum(part.mass_kg for part in parts(inputs)) > 0:
            raise recipe.wrong(
                f"items.{item.id}.contents", "it amounts to 0; write what is charged."
            )
        if getattr(inputs, "max_fill", None) and not item.check:
            return inputs, None
    return inputs, answered(recipe, item, inputs)


def answered(recipe: Recipe, item: Item, inputs: Inputs, how: str = "") -> Answer:
    """The answer to an item's inputs; BadRecipe where its calculator refuses them."""
    try:
        return registry.answer(item.calculator, inputs)
    except BadInput as error:
        field = error.field or ""
        known = field in inputs.specs()
        raise wrong_input(recipe, item, field if known else "", error, None, how) from error


def product_of(item: Item, inputs: Inputs, answer: Answer | None) -> Mixture | None:
    """What an item makes; None of a check. A load in vessels is its contents.

    A calculator that says stop may make nothing; what would have gone in then stands for it, so
    that the rest of the sheet can be worked out (nothing made from it is shown).
    """
    if item.check:
        return None
    if answer is not None and answer.product is not None:
        return answer.product if answer.product.mass_kg > 0 else None
    if answer is not None and answer.verdict != "stop":
        return None
    whole = Mixture.total(part.mixture for part in parts(inputs))
    whole = whole if whole.mass_kg > 0 else Mixture({"water": 1.0})
    return registry.mark(item.calculator, inputs, whole)


def wrong_input(
    recipe: Recipe, item: Item, field: str, error: Exception, value: object, how: str = ""
) -> Wrong:
    """A problem of an item's input, at the place where it was, or should be, written."""
    where = f"items.{item.id}.{field}".rstrip(".")
    file = recipe.file_of(where)
    if field and field not in item.inputs:
        vessel = recipe.vessels.get(item.vessel or "")
        facts = recipe.house.facts
        if vessel is not None and field in vessel.facts:
            file, where = vessel.file or file, f"vessels.{vessel.id}.{field}"
        else:
            for key, (_, names) in HOUSE.items():
                if key in facts and field in (*names, *VESSELS.get(key, ())):
                    file = recipe.house.said_in.get(key, file)
                    where = f"house.{key}" if file in (recipe.file, *recipe.files) else key
    # where the field is known the sentence need not name it again
    return recipe.wrong_in(file, where, how + sentence(recipe, error, value, "" if how else field))


def sentence(recipe: Recipe, error: Exception, value: object, field: str = "") -> str:
    """A calculator's or the pantry's error in the words of the file; near items are named."""
    message = by_key(error.wording if isinstance(error, BadInput) else str(error))
    message = message.removeprefix(f"{field}: ")
    unknown = _UNKNOWN.search(message)
    if not isinstance(error, UnknownIngredient) or not unknown:
        return message
    for words in value if isinstance(value, list | tuple) else [value]:
        first = unknown[1].partition(" ")[0]
        if first in recipe.items and unknown[1] in str(words):
            return f'"{words}": {first} is an item of this recipe. Write its id alone after it.'
    near = nearest(unknown[1], recipe.items)
    return f"{message.rstrip('.')}; of the items {near}." if near.startswith(NEAR) else message


# the windows of a routine's drinks, which do not depend on how many are made


def windows(recipe: Recipe, products: Mapping[str, Mixture]) -> dict[tuple[str, str], Answer]:
    """The window of each drink that a routine wants something of, by routine and drink."""
    serves = {serve.name: serve for serve in recipe.serve}
    return {
        (routine.name, drink.name): _window(recipe, routine, place, serves[drink.name], products)
        for routine in recipe.routines
        for place, drink in enumerate(routine.drinks, 1)
        if drink.window
    }


def _window(
    recipe: Recipe, routine: Routine, place: int, serve: Serve, products: Mapping[str, Mixture]
) -> Answer:
    where = f"routine {routine.number}.drink {place}"
    said_here = routine.drinks[place - 1].window
    specs = registry.load("window").inputs.specs()
    said = words_of(recipe, Item(serve.name, "window", said_here), specs)
    said["part"] = list(serve.part)
    when = drunk(timed(routine), routine.drinks[place - 1])
    if when is not None:  # as hot as it can be is at the soonest sip
        said["first_sip"] = f"{when.first[0]:.4f} min"
    used = {id_ for words in serve.part for id_ in recipe_types.all_named(words, products)}
    pantry = recipe.house.pantry.with_items({id_: products[id_] for id_ in used})
    try:
        return registry.answer("window", registry.validate("window", said, pantry))
    except BadInput as error:
        field = error.field or ""
        value = said.get(field)
        at = f"{where}.{field}".rstrip(".")
        raise recipe.wrong_in(
            routine.file, at, sentence(recipe, error, value, field if field in specs else "")
        ) from error
