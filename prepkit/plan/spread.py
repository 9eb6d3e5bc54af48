"""The ± of weighing, carried through the whole plan: what each weighing does to what is made.

Things are weighed as planned and come out as weighed. Each weighing is off by its own ±: what the
recipe says of it, else one step of the scale. To first order a weighing changes what is made by
its own make-up, less the share of each component that the preparation does not keep (peel, plants,
what sticks); that change goes on into all that is made from it, and weighings are independent, so
that their effects add in quadrature. The calculators' own stated errors come on top elsewhere.
"""

import math
from collections.abc import Callable, Mapping
from functools import lru_cache

from prepkit import derived
from prepkit.errors import BadInput
from prepkit.ingredient import Part
from prepkit.mixture import ACIDS, MINERALS, SUGARS, Mixture
from prepkit.plan import items
from prepkit.plan.filling import Made, Planned, scale_step_kg
from prepkit.plan.prepare import Prepared
from prepkit.record import Record
from prepkit.science import acids
from prepkit.tolerance import UNEVEN

Weighing = tuple[str, str]  # the item that it is for, and what is weighed
Change = dict[str, float]  # kg by component
COARSE = 0.05  # of what is weighed, from which it is looked at whether its ± is even
MOST_WEIGHINGS = 40  # followed one by one through an item; smaller ones are taken together
_STEP = 1e-4  # kg to 1 kg, for slopes
_STEP_SHARE = 1e-3  # and no more than this of what is there: a trace mineral bends the pH sooner
_TRACE = 1e-2  # of what moves most, below which a trace does not matter
_ALWAYS = frozenset((*SUGARS, *ACIDS, *MINERALS, "water", "ethanol"))
_OF_AMOUNT = ("ethanol", "energy")  # values of all that there is, not of its make-up
# below it a drink is not about that value
_WORTH: dict[derived.Name, float] = {"abv": 0.5, "sugar": 0.5, "acidity": 0.05}


class Spread(Record):
    """What the weighings do to one preparation, and the ± of each weighing, in kg."""

    changes: Mapping[Weighing, Change]
    mass_kg: float

    def total_kg(self) -> float:
        """± of the whole mass."""
        return math.hypot(*(math.fsum(one.values()) for one in self.changes.values()))


class Spreads(Record):
    """The weighings of a plan and what they do to each item and serve."""

    weighed_kg: Mapping[Weighing, tuple[float, float]]  # how much, and its ±
    items: Mapping[str, Spread]
    serves: Mapping[str, Spread]


def spreads(plan: Planned) -> Spreads | None:
    """Follow every weighing through the plan; None where nothing says how well it is weighed."""
    weighed: dict[Weighing, tuple[float, float]] = {}
    found: dict[str, Spread] = {}
    for made in plan.made:
        if made.product is None or not made.go:
            continue
        found[made.item.id] = _of_item(plan.prepared, made, found, weighed)
    if not weighed:
        return None
    serves = {}
    for portion in plan.portions:
        changes: dict[Weighing, Change] = {}
        for part in portion.parts:
            if part.name in found:
                _pass_on(changes, found[part.name], plan.prepared.products[part.name],
                         part.mass_kg, None)  # fmt: skip
        serves[portion.serve.name] = Spread(changes, portion.mixture.mass_kg)
    return Spreads(weighed, found, serves)


def _of_item(
    prepared: Prepared,
    made: Made,
    found: Mapping[str, Spread],
    weighed: dict[Weighing, tuple[float, float]],
) -> Spread:
    """What the weighings of an item, and those behind it, do to it."""
    assert made.product is not None
    own = _own_spreads(prepared, made)
    lines = [(line.name, line.mass_g / 1000, _make_up(prepared, line.name)) for line in made.weigh]
    kept = _kept(made.product, [(kg, of) for _, kg, of in lines if of is not None])
    changes: dict[Weighing, Change] = {}
    for name, kg, of in lines:
        off = own.get(name, 0.0) * kg or scale_step_kg(prepared.recipe.house.bench, kg)
        if off:
            key = (made.item.id, name)
            weighed[key] = (weighed.get(key, (0.0, 0.0))[0] + kg, off)
            if of is not None:
                _add(changes, key, {c: off * share * kept.get(c, 0.0) for c, share in of.items()})
        if name in found and of is not None:
            _pass_on(changes, found[name], prepared.products[name], kg, kept)
    return Spread(_largest(changes, made.item.id), made.product.mass_kg)


def _own_spreads(prepared: Prepared, made: Made) -> dict[str, float]:
    """Relative ± by ingredient, where the recipe itself says one."""
    parts: tuple[Part, ...] = items.parts(prepared.ran[made.item.id][0])
    return {
        part.name: part.amount.plus_minus / float(part.amount)
        for part in parts
        if part.amount.plus_minus and float(part.amount) > 0
    }


def _make_up(prepared: Prepared, name: str) -> Mapping[str, float] | None:
    """Mass fractions of what is weighed; None of what only the calculator knows."""
    mixture: Mixture | None = prepared.products.get(name)
    if mixture is None:
        ingredient = prepared.pantry.get(name)
        mixture = ingredient.mixture if ingredient is not None else None
    if mixture is None or not mixture.mass_kg:
        return None
    return {c: kg / mixture.mass_kg for c, kg in mixture.masses_kg.items() if kg > 0}


def _kept(product: Mixture, lines: list[tuple[float, Mapping[str, float]]]) -> dict[str, float]:
    """The share of each component that was weighed in and is still there."""
    put_in: dict[str, float] = {}
    for kg, of in lines:
        for component, share in of.items():
            put_in[component] = put_in.get(component, 0.0) + kg * share
    return {
        component: min(1.0, product.of(component) / kg)
        for component, kg in put_in.items()
        if kg > 0
    }


def _add(changes: dict[Weighing, Change], key: Weighing, change: Mapping[str, float]) -> None:
    into = changes.setdefault(key, {})
    for component, kg in change.items():
        if kg:
            into[component] = into.get(component, 0.0) + kg


def _pass_on(
    changes: dict[Weighing, Change],
    behind: Spread,
    product: Mixture,
    kg: float,
    kept: Mapping[str, float] | None,
) -> None:
    """What the weighings behind an item do, through `kg` of it, to what it goes into.

    Only the make-up of the item matters: so much of it is weighed whatever there is of it.
    """
    if not behind.mass_kg:
        return
    share = {c: mass / product.mass_kg for c, mass in product.masses_kg.items() if mass > 0}
    for key, change in behind.changes.items():
        whole = math.fsum(change.values())
        moved = {
            c: kg * (change.get(c, 0.0) - share.get(c, 0.0) * whole) / behind.mass_kg
            for c in {**share, **change}
        }
        if kept is not None:
            moved = {c: one * kept.get(c, 0.0) for c, one in moved.items()}
        _add(changes, key, moved)


def _largest(changes: dict[Weighing, Change], item: str) -> dict[Weighing, Change]:
    """The weighings that do most, one by one; the rest together, as if they were one."""
    if len(changes) <= MOST_WEIGHINGS:
        return changes
    size = {key: math.hypot(*one.values()) for key, one in changes.items()}
    order = sorted(changes, key=lambda key: -size[key])
    rest: Change = {}
    for key in order[MOST_WEIGHINGS:]:
        for component, kg in changes[key].items():
            rest[component] = math.hypot(rest.get(component, 0.0), kg)
    return {**{key: changes[key] for key in order[:MOST_WEIGHINGS]}, (item, ""): rest}


def effects(
    mixture: Mixture, spread: Spread, names: tuple[str, ...]
) -> dict[str, dict[Weighing, float]]:
    """What each weighing does to each named value of a mixture, in the value's unit.

    `spread` is of as much as its own mass says; the mixture may be any amount of the same.
    """
    if not spread.changes or not mixture.mass_kg or not spread.mass_kg:
        return {}
    share = {c: round(kg / mixture.mass_kg, 12) for c, kg in mixture.masses_kg.items() if kg > 0}
    slopes = _slopes(tuple(sorted(share.items())), mixture.tags, _moving(spread), names)
    found = {}
    for name, slope in slopes:
        times = (mixture.mass_kg if name in _OF_AMOUNT else 1.0) / spread.mass_kg
        found[name] = {
            key: times * math.fsum([slope[c] * kg for c, kg in change.items() if c in slope])
            for key, change in spread.changes.items()
        }
    return found


def uneven(
    mixture: Mixture, found: Spreads, spread: Spread, name: str, of: Mapping[Weighing, float]
) -> float | None:
    """The ± of the weighings together, where the one that does most does not do it evenly.

    None where it does: `of` is what each does to the value to first order, which holds for all but
    coarse weighings. Off by all of its ±, the one is taken at the side where it does more.
    """
    most = max(of, key=lambda key: abs(of[key]), default=None)
    if most is None or most not in found.weighed_kg:
        return None
    weighed_kg, off_kg = found.weighed_kg[most]
    if off_kg < COARSE * weighed_kg:
        return None
    whole = mixture.scaled(spread.mass_kg / mixture.mass_kg)
    base = _values(whole, (name,)).get(name)
    sides = []
    for sign in (1, -1):
        masses = dict(whole.masses_kg)
        for component, kg in spread.changes[most].items():
            masses[component] = max(masses.get(component, 0.0) + sign * kg, 0.0)
        side = _values(Mixture(masses, tags=mixture.tags), (name,)).get(name)
        if base is not None and side is not None:
            sides.append(abs(side - base))
    even = together(of)
    larger = math.hypot(max(sides, default=0.0), together({**of, most: 0.0}))
    return larger if len(sides) < 2 or larger > (1.0 + UNEVEN) * even else None


def _moving(spread: Spread) -> tuple[str, ...]:
    """The components that move: all that make a drink what it is, others where they matter."""
    size: dict[str, float] = {}
    for change in spread.changes.values():
        for component, kg in change.items():
            size[component] = max(size.get(component, 0.0), abs(kg))
    least = _TRACE * max(size.values(), default=0.0)
    return tuple(sorted(c for c, kg in size.items() if kg > least or c in _ALWAYS))


@lru_cache(maxsize=128)
def _slopes(
    share: tuple[tuple[str, float], ...],
    tags: frozenset[str],
    components: tuple[str, ...],
    names: tuple[str, ...],
) -> tuple[tuple[str, dict[str, float]], ...]:
    """The change of each value of 1 kg with kg of each component; of none that has no value."""
    base = _values(Mixture(dict(share), tags=tags), names)
    slopes: dict[str, dict[str, float]] = {name: {} for name in base}
    for component in components:
        masses = dict(share)
        there = masses.get(component, 0.0)
        step = min(_STEP, _STEP_SHARE * there) if there > 1e-9 else _STEP
        masses[component] = there + step
        moved = _values(Mixture(masses, tags=tags), tuple(base))
        for name, value in moved.items():
            slopes[name][component] = (value - base[name]) / step
    return tuple((name, slope) for name, slope in slopes.items() if slope)


def _ph(mixture: Mixture) -> float:
    """pH without the shift by alcohol, which a weighing does not move."""
    return _ph_of(tuple(mixture.acid_molalities.items()), mixture.strong_cation_molality[1])


@lru_cache(maxsize=128)  # sugar and spirit leave it as it is
def _ph_of(molalities: tuple[tuple[str, float], ...], strong_cations: float) -> float:
    return acids.ph(dict(molalities), strong_cations)


_OF: dict[str, Callable[[Mixture], float]] = {
    "refractometer": lambda m: m.refractometer_brix,
    "dissolved_solids": lambda m: 100 * m.dissolved_solids,
    "sugar": lambda m: 100 * m.sugar,
    "acidity": lambda m: 100 * m.acidity_as_citric,
    "abv": lambda m: 100 * m.abv,
    "ethanol": lambda m: 1000 * m.ethanol_kg,
    "density": lambda m: m.density_kg_m3(20.0),
    "ph": _ph,
    "energy": lambda m: m.energy_kcal,
}


def _values(mixture: Mixture, names: tuple[str, ...]) -> dict[str, float]:
    """The values of a mixture that its relations give."""
    found = {}
    for name in names:
        try:
            found[name] = _OF[name](mixture)
        except BadInput:
            continue
    return found


def together(of_weighings: Mapping[Weighing, float]) -> float:
    """The ± of independent weighings together."""
    return math.hypot(*of_weighings.values())


class Decisive(Record):
    """The weighing that moves a value of a serve most, for its size."""

    item: str
    name: str
    weighed_g: float
    plus_minus_g: float
    serve: str
    value: derived.Name  # which value it moves
    moves: float  # in the value's unit
    share: float  # of the value


def decisive(plan: Planned, found: Spreads, names: tuple[derived.Name, ...]) -> Decisive | None:
    """The one weighing that matters most for what is served; `names` are the values of a serve."""
    best: Decisive | None = None
    for portion in plan.portions:
        spread = found.serves[portion.serve.name]
        if portion.held_by or portion.verdict == "stop" or not spread.changes:
            continue
        base, _ = derived.of(portion.mixture, *names)
        moved = effects(portion.mixture, spread, names)
        for value, worth in _WORTH.items():
            size = abs(base.get(value) or 0.0)
            if size < worth:
                continue
            for key, moves in moved.get(value, {}).items():
                share = abs(moves) / size
                if key in found.weighed_kg and (best is None or share > best.share):
                    kg, off = found.weighed_kg[key]
                    best = Decisive(
                        *key, 1000 * kg, 1000 * off, portion.serve.name, value, abs(moves), share
                    )
    return best
