"""Sweet liquids and plants: crystals, viscosity, what straining leaves, what to add to meet
targets.

The unknowns are masses of what is added; each target is a balance of mass (so much of this in so
much of that), which every addition moves. Newton's method on the balances; water is added only as
far as it must be, so that no other addition comes out negative.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Literal, NamedTuple

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.facts import Facts, known_only
from prepkit.ingredient import Ingredient, Part
from prepkit.mixture import NOTHING, SUGARS, Mixture, something
from prepkit.model import Column, Step, Table
from prepkit.record import Record
from prepkit.science import acids, ethanol, keeping, solvers, sucrose
from prepkit.science.acid_medium import KEEPING_ABV_HIGH
from prepkit.units import Measured

# ---- a sweet liquid that stands ----

_TOO_LITTLE_SUCROSE = 0.02  # its inversion then changes nothing that can be read
_HOLDS_SPIRIT = 0.01  # fraction by volume above which the viscosity of syrup says nothing


Place = Literal["fridge", "room"]


class Store(Record):
    """Where it stands, how long, and its pH (None where it is not known)."""

    fridge_c: float
    room_c: float
    days: float
    ph: float | None
    ph_measured: bool

    def places(self) -> tuple[tuple[Place, float], tuple[Place, float]]:
        """Fridge and room with their temperatures."""
        return ("fridge", self.fridge_c), ("room", self.room_c)


def _is_spirit(product: Mixture) -> bool:
    """Whether it is too strong for what a pH in water says: of keeping, of splitting sucrose."""
    return product.abv > KEEPING_ABV_HIGH


class Stored(Record):
    """What was found, by place; None where a relation does not hold for this mixture."""

    supersaturation: dict[Place, float | None]
    viscosity: dict[Place, float | None]  # mPa s
    split: dict[Place, tuple[float | None, float | None]]  # %, least and most


def _or_none(call: Callable[[], float]) -> float | None:
    """A value, or None where its relation refuses the mixture."""
    try:
        return call()
    except BadInput:
        return None


def stored(product: Mixture, store: Store) -> Stored:
    """Crystals, viscosity and inversion in the fridge and in the room."""
    return Stored(
        {place: supersaturation(product, t) for place, t in store.places()},
        {place: viscosity_mpa_s(product, t) for place, t in store.places()},
        {place: split_percent(product, store, t) for place, t in store.places()},
    )


def supersaturation(product: Mixture, temperature_c: float) -> float | None:
    """Sucrose over what its water can hold; glucose, fructose and ethanol change what it holds."""
    return derived.sucrose_saturation(product, temperature_c)


def viscosity_mpa_s(product: Mixture, temperature_c: float) -> float | None:
    """As of a sucrose syrup of the same solids; not with spirit, which thickens too."""
    if product.abv > _HOLDS_SPIRIT:
        return None
    return _or_none(lambda: 1000 * sucrose.viscosity_pa_s(product.dissolved_solids, temperature_c))


def split_percent(
    product: Mixture, store: Store, temperature_c: float
) -> tuple[float | None, float | None]:
    """Sucrose split by acid in the time stored, %: least and most of the stated range.

    A rich syrup goes faster; that counts only where the pH was calculated, since a meter in the
    syrup has it already.
    """
    ph, sucrose_kg = store.ph, product.of("sucrose")
    if ph is None or product.fraction("sucrose") < _TOO_LITTLE_SUCROSE or _is_spirit(product):
        return None, None
    g_l = 0.0 if store.ph_measured else sucrose_kg / product.volume_20_m3

    def share(factor: float) -> float | None:
        return _or_none(
            lambda: 100 * sucrose.inverted_share(ph, temperature_c, factor * store.days, g_l)
        )

    return share(1.0), share(sucrose.RANGE_FACTOR)


def inverted(product: Mixture, share: float) -> Mixture:
    """The same with a share of its sucrose split, which takes up water."""
    left, glucose, fructose, water = sucrose.after(product.of("sucrose"), share)
    masses = dict(product.masses_kg)
    masses["sucrose"] = left
    masses["glucose"] = masses.get("glucose", 0.0) + glucose
    masses["fructose"] = masses.get("fructose", 0.0) + fructose
    masses["water"] = masses.get("water", 0.0) - water
    return Mixture(masses, product.allergens, product.tags, product.keeps)


def drift(product: Mixture, store: Store, found: Stored) -> tuple[Table, ...]:
    """What inversion does to the readings in the time stored."""
    rows: list[tuple[str | float | None, ...]] = []
    for place, temperature_c in store.places():
        for word, share in zip(("least", "most"), found.split[place], strict=True):
            if share is not None:
                later, _ = derived.of(
                    inverted(product, share / 100), "dissolved_solids", "refractometer",
                    "density", "water_activity",
                )  # fmt: skip
                where = f"{place}, {temperature_c:g} °C, {word}"
                rows.append((where, share, *later.values()))
    if not rows:
        return ()
    columns = (
        Column(f"after {store.days:g} d"), Column("sucrose split", "%", 1),
        Column("true solids", "Bx", 2), Column("refractometer", "Bx", 1),
        Column("density", "kg/m3", 1), Column("water activity", "", 3),
    )  # fmt: skip
    return (Table("drift", "what acid does to the sugar", columns, tuple(rows)),)


def crystal_steps(product: Mixture, *temperatures_c: float) -> list[Step]:
    """The working of the supersaturation at each temperature, or why it is not shown."""
    if not product.of("sucrose") or not product.of("water"):
        return []
    steps = []
    has = product.of("sucrose") / product.of("water")
    for temperature_c in temperatures_c:
        label = f"crystals at {temperature_c:g} °C"
        try:
            y = derived.supersaturation(product, temperature_c)
        except BadInput as error:
            steps.append(Step(label, f"not shown: {error.message}"))
            continue
        said = f"{has:.3f} g sucrose per g water / {has / y:.3f} saturated"
        steps.append(Step(label, said, y, "", "VAVRINECZ"))
    return steps


def facts(product: Mixture, store: Store, found: Stored) -> Facts:
    """What the caution rules judge of a sweet liquid that stands."""
    known = derived.facts(product)
    ph_known = store.ph is not None and not _is_spirit(product)
    if ph_known:
        known["ph"] = store.ph
    others = product.of("glucose", "fructose", "maltose", "other_solubles", "ethanol")
    known |= {
        "supersaturation_fridge": found.supersaturation["fridge"],
        "supersaturation_room": found.supersaturation["room"],
        "crystals_estimated": others > 0.01 * product.of("sucrose"),
        "viscosity_fridge": found.viscosity["fridge"],
        "inverted_room": found.split["room"][0],
        "inverted_room_most": found.split["room"][1],
        "fridge_c": store.fridge_c,
        "room_c": store.room_c,
        "stored_d": store.days,
        "sucrose_percent": 100 * product.fraction("sucrose"),
        "acid_without_ph": not ph_known and product.acidity_as_citric > 1e-4,
    }
    ph, water_activity = known.get("ph"), known.get("water_activity")
    if isinstance(ph, float) and isinstance(water_activity, float):
        known["food_code"] = keeping.time_temperature_control(ph, water_activity, False)
    return known_only(known)


# ---- straining ----

STRAINED_GROUPS = frozenset(("peel", "herb", "flower", "spice", "fruit", "tea", "coffee"))
STAYS_IN = frozenset(("instant coffee", "matcha"))  # powders that go into the drink whole
INSOLUBLE = ("fat", "milk_fat", "protein", "fibre")
DRY_BELOW = 0.25  # water by mass: a dried plant

# Liquid kept per g of plant as weighed: trade figures [SYRUP-TRADE], wide; weigh instead.
KEPT_BY_NAME = {"dried hibiscus": (3.0, 6.0)}
KEPT_DRY = {
    "flower": (4.0, 8.0),
    "tea": (2.0, 4.0),
    "fruit": (0.5, 1.5),
    "spice": (0.2, 0.8),
    "coffee": (2.0, 3.0),
}
KEPT_FRESH = {"peel": (0.1, 0.4), "herb": (0.3, 1.0)}
KEPT_OTHERWISE = (0.3, 1.0)  # our judgement, after fresh herbs


class Steeped(Record):
    """A plant in the liquid: what of it goes into the liquid, and what is strained off."""

    part: Part
    liquid: Mixture
    solids_kg: float
    kept_range: tuple[float, float]  # g liquid per g of plant as weighed, practice


class LiquidKept(NamedTuple):
    """Liquid that the drained plants keep, kg: the least, what is taken, the most."""

    least_kg: float
    taken_kg: float
    most_kg: float


def is_strained(part: Part) -> bool:
    """Whether a part is a plant that is strained off again."""
    ingredient = part.ingredient
    return (
        ingredient.group in STRAINED_GROUPS
        and ingredient.form != "liquid"
        and ingredient.name not in STAYS_IN
    )


def steeped(part: Part) -> Steeped:
    """A plant with all that dissolves gone evenly into the liquid (its equilibrium)."""
    mixture = part.mixture
    solids = {name: mixture.of(name) for name in INSOLUBLE if mixture.of(name)}
    return Steeped(part, mixture.without(solids), math.fsum(solids.values()), kept_range(part))


def kept_range(part: Part) -> tuple[float, float]:
    """The trade's range of liquid kept, g per g of the plant as weighed."""
    ingredient = part.ingredient
    if ingredient.name in KEPT_BY_NAME:
        return KEPT_BY_NAME[ingredient.name]
    dry = ingredient.mixture.fraction("water") < DRY_BELOW
    table = KEPT_DRY if dry else KEPT_FRESH
    return table.get(ingredient.group, KEPT_OTHERWISE)


def kept_kg(plants: Iterable[Steeped], given: float | None) -> LiquidKept:
    """Liquid that the drained plants keep. `given` is g per g."""
    least = most = 0.0
    for plant in plants:
        low, high = (given, given) if given is not None else plant.kept_range
        least += low * plant.part.mass_kg
        most += high * plant.part.mass_kg
    return LiquidKept(least, 0.5 * (least + most), most)


# ---- what to add so that a liquid meets its targets ----

WATER = Mixture({"water": 1.0})
_MOST_PASSES = 60
_ENOUGH = 1e-13

_HELD: Mapping[str, Callable[[Mixture], float]] = {
    "solids": lambda m: m.dissolved_solids * m.solution_kg,
    "sugar": lambda m: m.of(*SUGARS),
    "acidity": lambda m: m.net_acidity_eq_kg * acids.EQUIVALENT_KG["citric"] * m.mass_kg,
    "strength": lambda m: m.ethanol_kg / ethanol.PURE_KG_M3,
}


_MOST_SUGAR = {"Bx": 85.0, "g/l": 1200.0}


def sugar_in_range(level: Measured, field: str) -> None:
    """BadInput for more sugar than a syrup holds, each unit (Bx, g/l) against its own limit."""
    most = _MOST_SUGAR[level.unit]
    if level > most:
        said = f"{named(field)} is {float(level):g} {level.unit}"
        raise BadInput(f"{said}; a syrup is at most {most:g} {level.unit}.", field)


class Target(Record):
    """A level to reach: kg per kg, or per m3 of the liquid at 20 C where `by_volume`.

    kind: solids (true dissolved solids of the water phase), sugar, acidity (as citric), strength
    (fraction by volume). `field` is the input that it came from, `words` as they were given.
    """

    kind: str
    level: float
    by_volume: bool
    field: str
    words: str

    def found(self, mixture: Mixture) -> float:
        """The level that a mixture has."""
        return _HELD[self.kind](mixture) / self._basis(mixture)

    def gap(self, mixture: Mixture) -> float:
        """How much is there beyond the target, in kg (m3 for strength); negative where it lacks."""
        return _HELD[self.kind](mixture) - self.level * self._basis(mixture)

    def _basis(self, mixture: Mixture) -> float:
        if self.by_volume:
            return mixture.volume_20_m3
        return mixture.solution_kg if self.kind == "solids" else mixture.mass_kg


class Addition(Record):
    """Something that may be added: 1 kg of it, its name and the input that named it."""

    name: str
    unit: Mixture
    field: str


def apart(found: Ingredient | None, name: str, unit: Mixture) -> list[tuple[str, Mixture, float]]:
    """What is weighed for an addition: name, 1 kg of it, and its share of the addition's mass."""
    if found is None or not found.blend:
        return [(name, unit, 1.0)]
    return [(ingredient.name, ingredient.mixture, share) for share, ingredient in found.blend]


def solve(
    base: Mixture, targets: Sequence[Target], additions: Sequence[Addition | None]
) -> tuple[list[float], float]:
    """Kg of each addition, and kg of water, with which `base` meets all the targets.

    additions[i] serves targets[i]; None where nothing was named for it, which one target may have:
    it is then met by water. Less than 1e-6 of the whole is nothing. Raises BadInput where the
    targets cannot be met by adding.

    >>> juice = Mixture({"water": 0.9, "sucrose": 0.1})
    >>> sugar = Addition("sugar", Mixture({"sucrose": 1.0}), "sweeten")
    >>> amounts, water = solve(juice, [Target("solids", 0.5, False, "brix", "50 Bx")], [sugar])
    >>> round(amounts[0], 6), water
    (0.8, 0.0)
    """
    if not targets:
        return [], 0.0
    unserved = [
        target for target, addition in zip(targets, additions, strict=True) if addition is None
    ]
    if len(unserved) > 1:
        names = " and ".join(named(target.field) for target in unserved)
        raise BadInput(
            f"{names} cannot both be met with water alone; name what may be added for one of them.",
            unserved[1].field,
        )
    if not base.solution_kg > 0:
        raise BadInput(
            "no part holds water or anything that dissolves, so nothing can take up the "
            "sugar, acid or alcohol. Add water or juice to them.",
            "part",
        )
    units = [WATER if addition is None else addition.unit for addition in additions]
    free_water = not unserved
    amounts, water = [0.0] * len(targets), 0.0
    scale = base.mass_kg
    for _ in range(_MOST_PASSES):
        mixture = _sum(base, units, amounts, water)
        jacobian, by_water, gaps = _linear(mixture, targets, units)
        at_no_water = solvers.solve(jacobian, [
            -gap + water * slope for gap, slope in zip(gaps, by_water, strict=True)
        ])  # fmt: skip
        per_water = solvers.solve(jacobian, [-slope for slope in by_water])
        if at_no_water is None or per_water is None:
            raise _unreachable(base, targets, additions)
        start = [old + change for old, change in zip(amounts, at_no_water, strict=True)]
        new_water = _least_water(start, per_water, scale) if free_water else 0.0
        if new_water is None:
            raise _unreachable(base, targets, additions)
        fresh = [value + new_water * each for value, each in zip(start, per_water, strict=True)]
        clamped = [max(value, 0.0) for value in fresh]
        moved = max(
            abs(new_water - water), *(abs(a - b) for a, b in zip(clamped, amounts, strict=True))
        )
        below = min(fresh) < -NOTHING * scale
        amounts, water = clamped, new_water
        if moved <= _ENOUGH * (scale + water + math.fsum(amounts)):
            if below:
                raise _unreachable(base, targets, additions)
            whole = scale + water + math.fsum(amounts)
            return [something(amount, whole) for amount in amounts], something(water, whole)
        if water + math.fsum(amounts) > 1e4 * scale:
            break
    raise _unreachable(base, targets, additions)


def _sum(
    base: Mixture, units: Sequence[Mixture], amounts: Sequence[float], water: float
) -> Mixture:
    parts = [unit.scaled(amount) for unit, amount in zip(units, amounts, strict=True) if amount]
    if water:
        parts.append(WATER.scaled(water))
    return Mixture.total((base, *parts))


def _linear(
    mixture: Mixture, targets: Sequence[Target], units: Sequence[Mixture]
) -> tuple[list[list[float]], list[float], list[float]]:
    """Slopes of every gap by every addition and by water, and the gaps themselves."""
    gaps = [target.gap(mixture) for target in targets]
    step = 1e-5 * mixture.mass_kg
    columns = []
    for unit in (*units, WATER):
        more = mixture + unit.scaled(step)
        columns.append(
            [(target.gap(more) - gap) / step for target, gap in zip(targets, gaps, strict=True)]
        )
    jacobian = [[column[row] for column in columns[:-1]] for row in range(len(targets))]
    return jacobian, columns[-1], gaps


def _least_water(start: Sequence[float], per_water: Sequence[float], scale: float) -> float | None:
    """The least water with which no addition is negative; None where water does not help."""
    water = 0.0
    for value, each in zip(start, per_water, strict=True):
        if value < -NOTHING * scale:
            if each <= 1e-9:
                return None
            water = max(water, -value / each)
    return water


def _unreachable(
    base: Mixture, targets: Sequence[Target], additions: Sequence[Addition | None]
) -> BadInput:
    """Why the targets cannot be met, as far as one target tells."""
    for target, addition in zip(targets, additions, strict=True):
        here = target.found(base)
        if addition is None and here < target.level:
            need = {"solids": "sweeten", "sugar": "sweeten", "acidity": "sour"}
            return BadInput(
                f"{named(target.field)} {target.words} is more than the parts have "
                f"({shown(target, here)}); name what to add with "
                f"{named(need.get(target.kind, 'spirit'))}.",
                target.field,
            )
        if addition is not None and here < target.level:
            rich = Mixture.total((base.scaled(1e-3 / base.mass_kg), addition.unit))
            try:
                most = target.found(rich)
            except BadInput:
                continue
            if most <= target.level:
                return BadInput(
                    f"{named(target.field)} {target.words} cannot be reached with {addition.name}, "
                    f"which brings it to {shown(target, most)} at most; take a stronger one or a "
                    f"lower target.",
                    target.field,
                )
    asked = ", ".join(f"{named(target.field)} {target.words}" for target in targets)
    return BadInput(
        f"the targets ({asked}) cannot all be met by adding to these parts. Blend with a weaker or "
        f"stronger batch, or change a target.",
        targets[0].field if targets else None,
    )


def shown(target: Target, level: float) -> str:
    """A level of a target in its own unit."""
    if target.kind == "strength":
        return f"{100 * level:.1f} % vol"
    if target.by_volume:
        return f"{level:.1f} g/l"
    return f"{100 * level:.2f} {'Bx' if target.kind == 'solids' else '% w/w'}"
