"""Everything of a recipe that does not depend on how many are served; how much more is made to
be sure.

What an item yields is off by what its calculator states of it and by the ± of its loss on the way.
A ± is 1.73 standard deviations (`tolerance`). An item is made once for all that share it, so that
it counts once; its users weigh what they take, so that a good yield of one does not make up for a
poor one of another. Whatever ties their yields together, the chance that any of them runs short is
at most the sum of the chances that each does: each gets an equal part of it. The bound is
one-sided, and by Student's t where the scatter is learnt from few batches. Steps of the scale are
left out: what a scale shows is topped up at once.

Source: practice: what is needed over one less an upper bound of the loss. That chances of misses
add up at most is Boole's inequality, memory.

Each item's calculator runs at the amounts of the recipe; from that any number of serves is only
arithmetic, so that two scales, or the scale that an ingredient allows, cost no second run.
"""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Literal

from prepkit import cautions, derived, jurisdictions, registry
from prepkit.errors import BadInput, named
from prepkit.ingredient import ITEM_GROUP, Ingredient, Part
from prepkit.inputs import Inputs
from prepkit.mixture import Mixture
from prepkit.model import Answer, Caution
from prepkit.numbers import parse_number
from prepkit.plan import items, recipe_types
from prepkit.plan.files import LEAST_SURE, MOST_SURE
from prepkit.plan.items import (
    NO_SHELF,
    Demand,
    ForSites,
    Shelf,
    Weigh,
    has_volume,
    pantry_names,
    product_of,
    refuse_volumes,
    run,
    sentence,
)
from prepkit.plan.items import windows as routine_windows
from prepkit.plan.recipe_types import Item, Recipe, Serve
from prepkit.record import Record
from prepkit.science.control_chart import FEW_DEGREES, normal_quantile, t_quantile
from prepkit.shared import drink

if TYPE_CHECKING:
    from prepkit.sheet import LearntSheet

# ---- what a bar's own batches told of a loss, as a plan takes it and shows it ----

Kind = Literal["peel", "plants", "straining", "vessel"]
LABELS: dict[Kind, str] = {
    "peel": "liquid kept by {of}",
    "plants": "liquid kept by {of}",
    "straining": "lost on the way, {of}",
    "vessel": "left in the vessel, {of}",
}
_EVEN = 0.1  # of the width, up to which the two sides of an interval are called equal


class LearntLoss(Record):
    """The loss of the next batch of an item: middle and 95 % interval, in `unit`.

    `field` is the input that takes it, or "loss", the share lost on the way. `upper` is what the
    next batch stays below with 95 %, for a plan that must be enough. `published` is the usual
    range, of a book or of the trade's practice. `own_says` is what the recipe itself says, which
    goes before what was learnt.
    """

    item: str
    kind: Kind
    of: str
    field: str
    unit: str
    low: float
    middle: float
    high: float
    upper: float
    batches: int
    published: tuple[float, float]
    practice: bool = False  # the usual range is no published one
    own_says: str = ""
    degrees: float = FEW_DEGREES  # of Student's t for the next batch; as here, those of a prior
    others: int = 0  # of its kind, whose mean it was drawn toward

    @property
    def used(self) -> bool:
        """Whether the plan takes it: not where the recipe says its own."""
        return not self.own_says

    @property
    def digits(self) -> int:
        """The digits that its interval allows."""
        wide = self.high - self.low
        return 0 if wide >= 4 else 1 if wide >= 0.4 else 2

    def to_dict(self) -> "LearntSheet":
        """The JSON form."""
        return {
            "item": self.item, "kind": self.kind, "of": self.of, "field": self.field,
            "unit": self.unit, "low": self.low, "middle": self.middle, "high": self.high,
            "upper": self.upper, "batches": self.batches, "usual_low": self.published[0],
            "usual_high": self.published[1], "practice": self.practice, "used": self.used,
            "words": self.words(),
        }  # fmt: skip

    def words(self) -> str:
        """As one line.

        >>> LearntLoss("oleo", "peel", "peel", "kept", "%", 19.7, 31.3, 42.9, 40.8, 7,
        ...            (20.0, 60.0)).words()
        'liquid kept by peel: 31 % ± 12 % in the next batch, 7 batches here; published 20 to 60 %'
        """
        d = self.digits
        unit = f" {self.unit}"
        middle, low, high = (f"{one:.{d}f}" for one in (self.middle, self.low, self.high))
        half, skew = 0.5 * (self.high - self.low), 0.5 * (self.high + self.low) - self.middle
        if abs(skew) <= _EVEN * half:
            said = f"{middle}{unit} ± {half:.{d}f}{unit} in the next batch"
        else:
            said = f"{middle}{unit}, in the next batch {low} to {high}{unit}"
        count = "1 batch" if self.batches == 1 else f"{self.batches} batches"
        usual = "usual" if self.practice else "published"
        alike = f", drawn toward {self.others} others" if self.others else ""
        line = (
            f"{LABELS[self.kind].format(of=self.of)}: {said}, {count} here{alike}; {usual} "
            f"{self.published[0]:.3g} to {self.published[1]:.3g}{unit}"
        )
        if self.own_says:
            line += f". Not used: the recipe says {self.own_says}"
        return line


# ---- enough for sure ----

SURE = 0.95  # the chance that a plan covers its serves, unless another is asked for
_DEVIATIONS = math.sqrt(3.0)  # of a ±, any figure between its ends as likely as the next
_WIDEST = 0.5  # of the yield: beyond it no amount is made for sure, and that is said
_UPPER = 0.95  # the chance that the next batch loses no more than the upper end of a learnt loss


def chance_said(words: str | None, field: str = "sure", house: float | None = None) -> float:
    """A chance in per cent, such as "95" or "99 %", as a share.

    Where None is said it is that of the `house`, else SURE.

    50 asks for no more than what is worked out. Raises BadInput outside 50 to 99.9 %.

    >>> chance_said("99 %"), chance_said(None)
    (0.99, 0.95)
    """
    if words is None:
        return SURE if house is None else house
    number, rest = parse_number(words, named(field))
    chance = number / 100
    if rest not in ("", "%") or not LEAST_SURE <= chance <= MOST_SURE:
        raise BadInput(
            f'{named(field)} is "{words}"; write the chance that it is enough, from '
            f"{100 * LEAST_SURE:g} to {100 * MOST_SURE:g} %, such as {100 * SURE:g}.",
            field,
        )
    return chance


class Deviation(Record):
    """One standard deviation of a yield as a share of it, and how well that itself is known.

    `degrees` are those of Student's t; infinite where the deviation is stated and not learnt.
    """

    share: float
    degrees: float = math.inf

    def upper(self, chance: float) -> float:
        """What a yield falls short by, as a share of it, no oftener than told; 0.5 to below 1."""
        if self.degrees == math.inf:
            return normal_quantile(chance) * self.share
        return t_quantile(chance, self.degrees) * self.share


def yield_deviation(item: Item, answer: Answer | None, learnt: LearntLoss | None) -> Deviation:
    """How far what an item yields for use may be off."""
    mass = None if answer is None else answer.values.get("mass")
    made = 0.0
    if mass is not None and mass.unit == "g" and mass.plus_minus and mass.value > 0:
        made = mass.plus_minus / mass.value / _DEVIATIONS
    lost, degrees = item.loss_off / _DEVIATIONS, math.inf
    if learnt is not None and learnt.used and learnt.field == "loss":
        own = 0.01 * (learnt.upper - learnt.middle) / t_quantile(_UPPER, learnt.degrees)
        lost, degrees = max(lost, own), learnt.degrees
    return Deviation(math.hypot(made, lost / (1.0 - item.loss)), degrees)


class Sure(Record):
    """What is made more of each item, as a factor; `unsure` are those that no factor covers."""

    chance: float
    factors: Mapping[str, float] = {}
    unsure: tuple[str, ...] = ()


def sure(chance: float, deviations: Mapping[str, Deviation]) -> Sure:
    """The factors for a chance that none of the items runs short.

    `deviations` are those of the items that are needed. A yield that may be half away is not
    covered by any factor.

    >>> round(sure(0.95, {"a": Deviation(0.03)}).factors["a"], 4)
    1.0519
    """
    spread = {id_: deviation for id_, deviation in deviations.items() if deviation.share > 0.0}
    if chance <= LEAST_SURE or not spread:
        return Sure(chance)
    each = 1.0 - (1.0 - chance) / len(spread)
    short = {id_: deviation.upper(each) for id_, deviation in spread.items()}
    return Sure(
        chance,
        {id_: 1.0 / (1.0 - value) for id_, value in short.items() if value <= _WIDEST},
        tuple(id_ for id_, value in short.items() if value > _WIDEST),
    )


# ---- everything of a recipe that does not depend on how many are served, computed once ----

WATER = Mixture({"water": 1.0})
MOST_KG = 1e6


class ServeContents(Record):
    """What one serve holds; the mixture is of its parts, without the garnish."""

    serve: Serve
    parts: tuple[Part, ...]
    garnish: tuple[Part, ...]
    mixture: Mixture
    found: tuple[Caution, ...]
    held_by: tuple[str, ...] = ()

    @property
    def all_parts(self) -> tuple[Part, ...]:
        """Parts and garnish."""
        return (*self.parts, *self.garnish)

    @property
    def verdict(self) -> str:
        """The verdict on one serve."""
        return cautions.verdict(self.found)


class Prepared(Record):
    """A recipe with every item run at its own amounts; all by the item's id."""

    recipe: Recipe
    order: tuple[str, ...]  # in which they are made
    uses: Mapping[str, tuple[str, ...]]
    ran: Mapping[str, tuple[Inputs, Answer | None]]
    products: Mapping[str, Mixture]  # of those that make something
    weigh: Mapping[str, tuple[Weigh, ...]]
    taken: Mapping[str, Mapping[str, float]]  # kg of other items
    least_kg: Mapping[str, float]
    portions: tuple[ServeContents, ...]
    pantry: Mapping[str, Ingredient | None]  # by name; None: a calculator's own name
    corrected: frozenset[str] = frozenset()
    learnt: tuple[LearntLoss, ...] = ()  # losses of the bar's own batches
    plain: "Prepared | None" = None  # the same without them, which verdicts never fall behind
    shelf: Shelf = NO_SHELF
    chance: float = SURE  # that it covers its serves
    windows: Mapping[tuple[str, str], Answer] = {}  # by routine and drink
    sites: ForSites | None = None  # of a production kitchen

    def for_sure(self, chance: float) -> "Prepared":
        """The same with another chance that its plans cover their serves."""
        plain = None if self.plain is None else self.plain.replaced(chance=chance)
        return self.replaced(chance=chance, plain=plain)

    def sure(self, counts: Mapping[str, int]) -> Sure:
        """What is made more of each item for a number of each serve, to be enough for sure."""
        learnt = {loss.item: loss for loss in self.learnt}
        items = self.recipe.items
        deviations = {
            id_: yield_deviation(items[id_], self.ran[id_][1], learnt.get(id_))
            for id_ in self.products
        }
        if not any(deviation.share for deviation in deviations.values()):
            return Sure(self.chance)
        made: dict[str, Deviation] = {}
        found = Sure(self.chance)
        while True:  # what stock just covers is made where more of what uses it is
            needed = self._demands(counts, found.factors)
            more = {
                id_: deviation for id_, deviation in deviations.items() if needed[id_].needed_kg > 0
            }
            if more.keys() <= made.keys():
                return found
            made |= more
            found = sure(self.chance, made)
            if not self.shelf.kg:
                return found

    def demands(self, counts: Mapping[str, int]) -> dict[str, Demand]:
        """What must be made of each item for a number of each serve, enough for sure."""
        return self._demands(counts, self.sure(counts).factors)

    def _demands(
        self, counts: Mapping[str, int], factors: Mapping[str, float] | None = None
    ) -> dict[str, Demand]:
        found = items.demands(
            self.order,
            {
                portion.serve.name: _items_of(portion, counts[portion.serve.name])
                for portion in self.portions
            }
            if self.sites is None
            else self.sites.sent_kg,
            self.taken,
            {
                id_: self.products[id_].mass_kg if id_ in self.products else 0.0
                for id_ in self.order
            },
            {id_: self.recipe.items[id_].loss for id_ in self.order},
            self.least_kg,
            self.shelf,
            factors,
        )
        for id_ in reversed(self.order):
            _sane(self.recipe, id_, found[id_])
        return found


def prepare(
    recipe: Recipe,
    corrected: Mapping[str, Mixture] | None = None,
    before: Prepared | None = None,
) -> Prepared:
    """Run every item of a recipe once.

    `corrected` holds what an item was found to be instead of what it was worked out to be; what is
    made from it is worked out from that. `before` is nearly the same recipe in the same house: an
    item whose words, and all that it is made from, are as they were there is not run again.
    """
    specs = {
        name: registry.load(name).inputs.specs()
        for name in {item.calculator for item in recipe.items.values()}
    }
    for problem in pantry_names(recipe):
        raise problem
    uses = {
        id_: recipe_types.references(item, specs[item.calculator], recipe.items)
        for id_, item in recipe.items.items()
    }
    order = recipe_types.making_order(recipe, uses)
    ran: dict[str, tuple[Inputs, Answer | None]] = {}
    products: dict[str, Mixture] = {}
    weigh: dict[str, tuple[Weigh, ...]] = {}
    for id_ in order:
        item = recipe.items[id_]
        if before is not None and not corrected and _as_before(before, item, uses[id_], products):
            ran[id_], weigh[id_] = before.ran[id_], before.weigh[id_]
            if id_ in before.products:
                products[id_] = before.products[id_]
            continue
        refuse_volumes(recipe, item, specs[item.calculator], products)
        ran[id_] = run(recipe, item, specs[item.calculator], uses[id_], products)
        product = product_of(item, *ran[id_])
        weigh[id_] = ()
        if product is not None:
            weigh[id_] = weighed(recipe, item, ran[id_], uses[id_])
            products[id_] = (corrected or {}).get(id_, product)
    spice = _nutmeg_shares(order, ran, weigh, products, recipe)
    portions = tuple(_portion(recipe, serve, products, spice) for serve in recipe.serve)
    windows: Mapping[tuple[str, str], Answer] = {}
    if recipe.routines:
        windows = routine_windows(recipe, products)
        portions = _with_windows(portions, windows)
    return Prepared(
        recipe,
        order,
        uses,
        ran,
        products,
        weigh,
        {id_: _taken(ran[id_][0], weigh[id_], uses[id_]) for id_ in order},
        {id_: _least_kg(recipe, recipe.items[id_], products.get(id_)) for id_ in order},
        portions,
        _ingredients(ran, weigh, portions, recipe),
        frozenset(corrected or ()),
        windows=windows,
    )


def _as_before(
    before: Prepared, item: Item, uses: tuple[str, ...], products: Mapping[str, Mixture]
) -> bool:
    """Whether an item, and all that it is made from, was run just so before."""
    was = before.recipe.items.get(item.id)
    return (
        was is not None
        and was._replace(loss=item.loss) == item
        and all(products.get(used) is before.products.get(used) for used in uses)
    )


# serves


def _nutmeg_shares(
    order: tuple[str, ...],
    ran: Mapping[str, tuple[Inputs, Answer | None]],
    weigh: Mapping[str, tuple[Weigh, ...]],
    products: Mapping[str, Mixture],
    recipe: Recipe,
) -> dict[str, float]:
    """kg of nutmeg and mace in 1 kg of each product, as if none of it were strained out."""
    found: dict[str, float] = {}
    for id_ in order:
        if id_ not in products or not products[id_].mass_kg:
            continue
        here = 1e-3 * drink.nutmeg_g(items.parts(ran[id_][0]))
        named = math.fsum(
            line.mass_g / 1000 * found[line.name]
            for line in weigh[id_]
            if line.name in recipe.items and line.name in found
        )
        found[id_] = (here + named) / products[id_].mass_kg
    return found


def _portion(
    recipe: Recipe, serve: Serve, products: Mapping[str, Mixture], spice: Mapping[str, float]
) -> ServeContents:
    where = f'serve "{serve.name}"'
    parts = _parts(recipe, f"{where}.part", serve.part, products)
    garnish = _parts(recipe, f"{where}.garnish", serve.garnish, products)
    mixture = Mixture.total(part.mixture for part in parts)
    if not mixture.mass_kg > 0:
        raise recipe.wrong(f"{where}.part", "it uses nothing; write what goes into one.")
    around = Mixture.total(part.mixture for part in garnish)
    whole = mixture.marked(tags=around.tags, allergens=around.allergens)
    every = (*parts, *garnish)
    held = math.fsum(part.mass_kg * spice.get(part.name, 0.0) for part in every)
    said = recipe.house.facts.get("jurisdiction")
    facts = {
        "law_place": jurisdictions.key_of(said) if isinstance(said, str) else None,
        **cautions.about(whole),
        **drink.of_glass(1e-3 * drink.nutmeg_g(every) + held, whole),
        **derived.facts(whole),
        "serve_ethanol_g": 1000 * whole.ethanol_kg,
        "serve_us_drinks": drink.us_drinks(1000 * whole.ethanol_kg),
        "serve_caffeine_mg": 1e6 * whole.of("caffeine"),
    }
    # a guest drinks it: judged as the serve that it is
    found = tuple(caution for caution in cautions.judge("serve", facts) if not caution.standing)
    return ServeContents(serve, parts, garnish, whole, found)


def _with_windows(
    portions: Iterable[ServeContents], found: Mapping[tuple[str, str], Answer]
) -> tuple[ServeContents, ...]:
    """Serves with what a routine's window of them stops or warns of, as their own."""
    out = []
    for portion in portions:
        known = {caution.id for caution in portion.found}
        new: dict[str, Caution] = {}
        for (_, name), answer in found.items():
            for caution in answer.cautions:
                serious = caution.severity != "note" and not caution.standing
                if name == portion.serve.name and serious and caution.id not in known:
                    new.setdefault(caution.id, caution)
        if new:
            every = cautions.ordered((*portion.found, *new.values()))
            out.append(portion.replaced(found=cautions.consistent(every)))
        else:
            out.append(portion)
    return tuple(out)


def _parts(
    recipe: Recipe, where: str, words_of: tuple[str, ...], products: Mapping[str, Mixture]
) -> tuple[Part, ...]:
    return tuple(part_of(recipe, where, words, products) for words in words_of)


def part_of(recipe: Recipe, where: str, words: str, products: Mapping[str, Mixture]) -> Part:
    """One part of a serve: an amount of an item or of an ingredient."""
    field = where.rpartition(".")[2]
    has_volume(recipe, where, words, products)
    id_ = recipe_types.item_of(words, products)
    pantry = recipe.house.pantry.with_items({id_: products[id_]} if id_ else {})
    try:
        return pantry.part(words, field)
    except BadInput as error:
        raise recipe.wrong(where, sentence(recipe, error, words, field)) from error


def _items_of(portion: ServeContents, serves: int) -> dict[str, float]:
    """kg of each item that all the serves take."""
    taken: dict[str, float] = {}
    for part in portion.all_parts:
        if part.ingredient.group == ITEM_GROUP:
            taken[part.name] = taken.get(part.name, 0.0) + part.mass_kg * serves
    return taken


# amounts


def weighed(
    recipe: Recipe, item: Item, ran: tuple[Inputs, Answer | None], uses: tuple[str, ...]
) -> tuple[Weigh, ...]:
    """All that an item weighs out at its own amounts, so that nothing is made of nothing.

    A calculator may take something without listing it, as a dose does with its stock and a
    dilution with its water: what the product holds beyond the weigh-out is then that.
    """
    lines = items.weigh_outs(*ran)
    answer = ran[1]
    if answer is None or answer.product is None:
        return lines
    made_g = 1000 * answer.product.mass_kg
    lacking_g = made_g - math.fsum(line.mass_g for line in lines)
    if lacking_g <= 1e-6 * made_g:
        return lines
    unlisted = [id_ for id_ in uses if id_ not in {line.name for line in lines}]
    if not unlisted:
        parts = Mixture.total(part.mixture for part in items.parts(ran[0]))
        water_g = 1000 * (answer.product.of("water") - parts.of("water"))
        if abs(water_g - lacking_g) <= 1e-6 * made_g:
            return (
                *lines,
                Weigh(
                    "water", lacking_g, derived.volume_ml(WATER.of_mass(lacking_g / 1000)), "to add"
                ),
            )
    if len(unlisted) != 1:
        raise recipe.wrong(
            f"items.{item.id}",
            f"{lacking_g:.3g} g of what it makes is in no weigh-out; make that, such as a stock, "
            f"an item of its own and name it here.",
        )
    return (*lines, Weigh(unlisted[0], lacking_g))


def _taken(inputs: Inputs, weigh: tuple[Weigh, ...], uses: tuple[str, ...]) -> dict[str, float]:
    """kg of other items that an item takes at its own amounts."""
    taken: dict[str, float] = {}
    for line in weigh:
        if line.name in uses:
            taken[line.name] = taken.get(line.name, 0.0) + line.mass_g / 1000
    by_part: dict[str, float] = {}
    for part in items.parts(inputs):
        if part.ingredient.group == ITEM_GROUP:
            by_part[part.name] = by_part.get(part.name, 0.0) + part.mass_kg
    return {**by_part, **taken}


def _least_kg(recipe: Recipe, item: Item, product: Mixture | None) -> float:
    """The smallest batch of an item, kg."""
    if item.least is None or product is None:
        return 0.0
    if item.least.unit == "g":
        return float(item.least) / 1000
    has_volume(
        recipe, f"items.{item.id}.least", f"{item.least.words()} {item.id}", {item.id: product}
    )
    return float(item.least) * 1e-6 * product.density_kg_m3(20.0)


def _ingredients(
    ran: Mapping[str, tuple[Inputs, Answer | None]],
    weigh: Mapping[str, tuple[Weigh, ...]],
    portions: tuple[ServeContents, ...],
    recipe: Recipe,
) -> dict[str, Ingredient | None]:
    """Every pantry ingredient that is weighed."""
    found: dict[str, Ingredient | None] = {}
    all_parts = [part for inputs, _ in ran.values() for part in items.parts(inputs)]
    for part in [*all_parts, *(part for portion in portions for part in portion.all_parts)]:
        if part.ingredient.group != ITEM_GROUP:
            found[part.name] = part.ingredient
    for lines in weigh.values():
        for line in lines:
            if line.name not in found and line.name not in recipe.items:
                try:
                    found[line.name] = recipe.house.pantry.ingredient(line.name)
                except BadInput:  # a name of the calculator's own, such as "your own juice"
                    found[line.name] = None
    return found


def _sane(recipe: Recipe, id_: str, demand: Demand) -> None:
    if not math.isfinite(demand.made_kg) or demand.made_kg > MOST_KG or demand.scale > 1e12:
        raise recipe.wrong(
            f"items.{id_}",
            f"{demand.made_kg:.3g} kg of it would have to be made, {demand.scale:.3g} times what "
            f"is written; check the amounts of its users and of the serves.",
        )
