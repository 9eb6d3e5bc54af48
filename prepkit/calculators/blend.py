"""blend: parts put together."""

import math
from collections.abc import Iterable, Mapping, Sequence

from prepkit import derived
from prepkit.errors import BadInput, OutOfRange, named
from prepkit.facts import Facts
from prepkit.ingredient import Ingredient, Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import count, ingredient, parts, quantity, words
from prepkit.mixture import SUGARS, Mixture, something
from prepkit.model import Column, Figure, Output, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.record import Record
from prepkit.science import ethanol, heat
from prepkit.science.solvers import bracketed
from prepkit.shared import drink, syrup
from prepkit.shared.drink import DrinkCost, Price, round_steps
from prepkit.shared.syrup import Target
from prepkit.units import Measured, parse_quantity

# ---- the inputs of blend, with the words of a price and of a temperature of its parts ----

LOWEST_C, HIGHEST_C = -20.0, 80.0  # of a part as it is measured: no density outside


class MeasuredAt(str):
    """The words of a temperature of all parts ("4 C") or of one ("spirit 43 %=-18 °C")."""

    name: str  # empty: all that are not named
    temperature_c: float

    @classmethod
    def read(cls, words: str, pantry: Pantry, field: str = named("measured_at")) -> "MeasuredAt":
        """Read the words; BadInput where they are neither."""
        named, equals, rest = (text.strip() for text in words.rpartition("="))
        self = cls(words)
        self.temperature_c = float(parse_quantity(rest, ("C",), field))
        if not LOWEST_C <= self.temperature_c <= HIGHEST_C:
            raise OutOfRange(
                field, self.temperature_c, LOWEST_C, HIGHEST_C, "C", "no density outside"
            )
        self.name = pantry.ingredient(named, field).name if equals else ""
        return self


class Inputs(BaseInputs):
    """The parts, the targets, and how the bar measures and keeps it."""

    groups = (
        ("Most needed", "part free abv sugar acidity serves bottle temperature"),
        ("Cost and amounts", "price hold_up round_to"),
        ("Conditions", "measured_at"),
    )
    takes = (
        ("measured_at", "temperature"),
        ("price", "price"),
        ("round_to", "amount"),
    )

    part: tuple[Part, ...] = parts(
        "parts",
        "An amount of one ingredient, with its temperature if not 20 °C. One entry for each.",
        "700 ml spirit 43 %",
        at=True,
    )
    measured_at: tuple[MeasuredAt, ...] = words(
        "temperature of the parts",
        "When the volumes were measured; 20 °C if left out. For all parts, or for one by its name.",
        "spirit 43 %=-18 °C",
        default=(),
        many=True,
    )
    temperature: float = quantity(
        "C",
        "temperature of the blend",
        "For the volume, density and bottles shown. Strengths stay at 20 °C.",
        "20 C",
        default=20.0,
        low=-20,
        high=40,
        because="the density of spirit is published from -20 to 40 °C",
    )
    free: Ingredient | None = ingredient(
        "free part",
        "Its amount follows from the one target given.",
        "spirit 43 %",
        default=None,
    )
    abv: Measured | None = quantity(
        "% vol", "strength wanted", f"By volume at 20 °C; needs {named('free')}.", "20 % vol",
        default=None, above=0, high=96, because="stronger is not distilled", bare=True,
    )  # fmt: skip
    sugar: Measured | None = quantity(
        ("% w/w", "g/l"), "sugars wanted",
        f"By weight, or in a litre at 20 °C; needs {named('free')}.",
        "120 g/l", default=None, above=0, high=1200, because="no syrup holds more",
    )  # fmt: skip
    acidity: Measured | None = quantity(
        ("% w/w", "g/l"), "acidity wanted",
        f"Titratable, as citric acid, by weight or in a litre at 20 °C; needs {named('free')}.",
        "0.8 % w/w", default=None, above=0, high=500, because="no more dissolves",
    )  # fmt: skip
    serves: int | None = count(
        "serves", "How many glasses the batch is poured into.", "12",
        default=None, low=1, high=1_000_000, extensive=True,
    )  # fmt: skip
    price: tuple[Price, ...] = words(
        "prices",
        "Ingredient=money per amount, one entry for each. The currency may follow the number.",
        "rum 40 %=18 per 700 ml",
        default=(),
        many=True,
    )
    bottle: float | None = quantity(
        "ml", "bottle size", "Volume filled into one bottle.", "700 ml",
        default=None, above=0, high=1e6, because="at most a cubic metre",
    )  # fmt: skip
    hold_up: float | None = quantity(
        "ml", "left in each bottle", "Volume that stays behind after pouring.", "10 ml",
        default=None, low=0, high=1e6, because="at most a cubic metre",
    )  # fmt: skip
    round_to: tuple[str, ...] = words(
        "steps of your measures",
        "The smallest step of the jigger (ml) and of the scale (g). Shown beside the exact "
        "amounts.",
        "5 ml",
        default=(),
        many=True,
    )

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> object:
        """Hook of the base: prices and temperatures by their words."""
        readers = {"price": Price.read, "measured_at": MeasuredAt.read}
        if name not in readers or not isinstance(value, tuple):
            return value
        return tuple(readers[name](one, pantry) for one in value)


# ---- the parts of a blend as they go in ----

_EXTREME = {
    "strength": ("strongest", "weakest"),
    "sugar": ("sweetest", "least sweet"),
    "acidity": ("sourest", "least sour"),
}
_TOO_DRY_KG_M3 = 1500.0


class BlendLine(Record):
    """One part as it goes in: how much of what, and the temperature that it is measured at."""

    name: str
    mixture: Mixture
    liquid: bool
    at_c: float = 20.0
    by_volume: bool = False

    def volume_ml(self, temperature_c: float | None = None) -> float | None:
        """Volume at a temperature (its own, if None); None where there is none to be measured."""
        at_c = self.at_c if temperature_c is None else temperature_c
        return derived.volume_ml(self.mixture, at_c)


# parts at other temperatures than 20 C


def temperatures(said: Iterable[MeasuredAt], names: Sequence[str]) -> dict[str, float]:
    """The temperature that each part is measured at, 20 C where nothing is said."""
    found: dict[str, float] = {}
    for one in said:
        if one.name and one.name not in names:
            raise BadInput(
                f"{named('measured_at', one)}: there is no part {one.name}; the parts are "
                f"{', '.join(names)}.",
                "measured_at",
            )
        if one.name in found:
            raise BadInput(
                f"{named('measured_at')} is given twice for {one.name or 'all parts'}; "
                "give it once.",
                "measured_at",
            )
        found[one.name] = one.temperature_c
    rest = found.get("", 20.0)
    return {name: found.get(name, rest) for name in names}


def refuse_both(inputs: Inputs) -> None:
    """BadInput where a part says its own temperature and `measured_at` names it too."""
    for one in inputs.measured_at:
        for part in inputs.part:
            if one.name == part.name and part.temperature_c is not None:
                raise BadInput(
                    f"{named('measured_at', one)} and {named('part', part.words)} both give a "
                    f"temperature for {part.name}. Leave one out.",
                    "measured_at",
                )


def lines(inputs: Inputs, at: Mapping[str, float]) -> list[BlendLine]:
    """The fixed parts. A volume is of the part as warm as it was measured, a mass is a mass."""
    found = []
    for part in inputs.part:
        mixture = part.mixture
        at_c = at[part.name] if part.temperature_c is None else part.temperature_c
        if part.temperature_c is not None and not LOWEST_C <= at_c <= HIGHEST_C:
            raise OutOfRange(
                f"temperature of {named('part', part.words)}", at_c, LOWEST_C, HIGHEST_C, "C",
                "no density outside",
            )  # fmt: skip
        by_volume = part.amount.unit == "ml"
        if by_volume and at_c != 20.0 and part.mass_kg:
            there = density(part.name, mixture, at_c)
            mixture = mixture.scaled(there / mixture.density_kg_m3(20.0))
        liquid = part.ingredient.form == "liquid"
        found.append(BlendLine(part.name, mixture, liquid, at_c, by_volume))
    return found


def density(name: str, mixture: Mixture, at_c: float) -> float:
    """kg/m3 of a part at the temperature that it is measured at."""
    try:
        return mixture.density_kg_m3(at_c)
    except OutOfRange as error:
        raise BadInput(
            f"{named('measured_at')} {at_c:g} °C: the density of {name} is not known there, "
            f"{error.wording.rstrip('.')}; weigh it instead.",
            "measured_at",
        ) from error


def mixing_c(parts: Sequence[BlendLine]) -> float | None:
    """Temperature of the liquids just put together, with their heat of mixing, nothing lost.

    None where a dry part has to dissolve first, and where a specific heat is not known.
    """
    parts = [part for part in parts if part.mixture.mass_kg > 0]
    if not all(part.liquid for part in parts):
        return None
    masses, own = [part.mixture.mass_kg for part in parts], [part.at_c for part in parts]
    pairs = [(part.mixture.of("ethanol"), part.mixture.of("water")) for part in parts]
    mixed = math.fsum(m * t for m, t in zip(masses, own, strict=True)) / math.fsum(masses)
    try:
        for _ in range(3):  # specific heats at the middle of each part's way
            heats = [part.mixture.specific_heat_j_kg_k(0.5 * (part.at_c + mixed)) for part in parts]
            released = heat.mixing_heat_j(pairs, mixed)
            mixed = heat.mixing_temperature_c(masses, heats, own, released_j=released)
    except BadInput:
        return None
    return mixed


# the free part


def target(inputs: Inputs) -> Target | None:
    """The one target that the free part is to meet; None where there is no free part."""
    asked = (
        ("abv", "strength", inputs.abv),
        ("sugar", "sugar", inputs.sugar),
        ("acidity", "acidity", inputs.acidity),
    )
    given = [(name, kind, value) for name, kind, value in asked if value is not None]
    if inputs.free is None:
        if given:
            raise BadInput(
                f"{named(given[0][0])} needs {named('free')}, the part that may vary, such as "
                f"{named('free', 'spirit 43 %')}.",
                "free",
            )
        return None
    if len(given) != 1:
        raise BadInput(
            f"{named('free')} {inputs.free.name} can meet one target, and {len(given)} were "
            f"given. Keep one of {named('abv')}, {named('sugar')} and {named('acidity')}.",
            "free",
        )
    name, kind, value = given[0]
    by_volume = value.unit in ("g/l", "% vol")
    level = float(value) if value.unit == "g/l" else 0.01 * float(value)
    words = f"{float(value):g} {value.unit}"
    return Target(kind, level, by_volume, name, words)


def free_kg(parts: Sequence[BlendLine], free: Ingredient, wanted: Target) -> float:
    """kg of the free ingredient with which the parts meet the target."""
    base = Mixture.total(part.mixture for part in parts)
    unit = free.mixture.scaled(base.mass_kg)
    here, own = _level(wanted, base), _level(wanted, unit)
    if math.isclose(here, wanted.level, rel_tol=1e-12):
        return 0.0
    if not (here < wanted.level < own or own < wanted.level < here):
        raise _out_of_reach(parts, free, wanted, base)

    def whole(share: float) -> Mixture:
        return base.scaled(1.0 - share) + unit.scaled(share)

    def gap(share: float) -> float:
        return min(_level(wanted, whole(share)), 3.0 * wanted.level) - wanted.level

    share = something(bracketed(gap, 0.0, 1.0, 1e-16), 1.0)
    if not _meets(wanted, whole(share)):
        raise BadInput(
            f"{named(wanted.field)} {wanted.words} would be thicker than any syrup whose density "
            "is published; ask for less.",
            wanted.field,
        )
    return base.mass_kg * share / (1.0 - share)


def _level(wanted: Target, mixture: Mixture) -> float:
    """The level of a mixture, so that it can be searched from end to end.

    A dry acid counts as it does once it is dissolved. What is too dry for a published volume
    counts as 1500 kg/m3, only to tell the search on which side of the target it lies.
    """
    if wanted.kind == "acidity" and not mixture.of("water"):
        wet = mixture + syrup.WATER.scaled(mixture.mass_kg)
        by_weight = 2.0 * wanted.replaced(by_volume=False).found(wet)
        return _TOO_DRY_KG_M3 * by_weight if wanted.by_volume else by_weight
    try:
        return wanted.found(mixture)
    except OutOfRange:
        return _TOO_DRY_KG_M3 * wanted.replaced(by_volume=False).found(mixture)


def _meets(wanted: Target, mixture: Mixture) -> bool:
    try:
        return math.isclose(wanted.found(mixture), wanted.level, rel_tol=1e-8)
    except OutOfRange:
        return False


def _out_of_reach(
    parts: Sequence[BlendLine], free: Ingredient, wanted: Target, base: Mixture
) -> BadInput:
    """Why the target does not lie between the fixed parts and the free one."""
    up = wanted.level > _level(wanted, base)
    choices = [(part.name, part.mixture) for part in parts if part.mixture.mass_kg]
    choices.append((free.name, free.mixture))
    name, most = (max if up else min)(choices, key=lambda one: _level(wanted, one[1]))
    asked = f"{named(wanted.field)} {wanted.words}"
    level = _level(wanted, most)
    if wanted.level >= level if up else wanted.level <= level:
        extreme = _EXTREME[wanted.kind][0 if up else 1]
        return BadInput(
            f"{asked} is {'above' if up else 'below'} the {extreme} part, {name} with "
            f"{_said(wanted, most)}; blending cannot reach it.",
            wanted.field,
        )
    return BadInput(
        f"{asked}: the other parts have {_said(wanted, base)}, and {free.name} with "
        f"{_said(wanted, free.mixture)} takes them no nearer; name {name} with {named('free')}.",
        wanted.field,
    )


def _said(wanted: Target, mixture: Mixture) -> str:
    """The level of a mixture in words."""
    try:
        _ = mixture.volume_20_m3 if wanted.by_volume else 0.0
    except OutOfRange:
        return "no water of its own"
    return syrup.shown(wanted, _level(wanted, mixture))


# rounding


class MeasuredPart(Record):
    """A part as it can be measured: one of g and ml (both None: as it is), and what that is."""

    line: BlendLine
    grams: float | None = None
    ml: float | None = None


def rounded(parts: Sequence[BlendLine], steps: Mapping[str, float]) -> list[MeasuredPart]:
    """Each part to the nearest step: liquids by volume where a step in ml is given."""
    found = []
    for part in parts:
        volume = part.volume_ml() if part.liquid else None
        unit = "ml" if volume and "ml" in steps else "g"
        exact = volume if unit == "ml" else 1000 * part.mixture.mass_kg
        if unit not in steps or not exact:
            found.append(MeasuredPart(part))
            continue
        took = steps[unit] * math.floor(exact / steps[unit] + 0.5)
        if not took:
            raise BadInput(
                f"{named('round_to')} {steps[unit]:g} {unit} leaves nothing of {part.name} "
                f"({exact:.3g} {unit}); take a finer step or a larger batch.",
                "round_to",
            )
        line = part.replaced(mixture=part.mixture.scaled(took / exact))
        found.append(
            MeasuredPart(line, ml=took) if unit == "ml" else MeasuredPart(line, grams=took)
        )
    return found


# bottles


class Bottled(Record):
    """A batch in bottles: how many are begun, what the last holds, what stays behind, in ml."""

    begun: int
    full: int
    last_ml: float
    left_ml: float
    poured_ml: float


def bottled(volume_ml: float, bottle_ml: float, hold_up_ml: float) -> Bottled:
    """A volume into bottles, each of which keeps the hold-up (or the little that is in it).

    >>> bottled(1500.0, 700.0, 10.0)
    Bottled(begun=3, full=2, last_ml=100.0, left_ml=30.0, poured_ml=1470.0)
    """
    if hold_up_ml >= bottle_ml:
        raise BadInput(
            f"{named('hold_up')} {hold_up_ml:g} ml is all of a {bottle_ml:g} ml bottle. Enter "
            "what stays behind in one.",
            "hold_up",
        )
    begun = max(1, math.ceil(volume_ml / bottle_ml * (1 - 1e-12)))
    last = min(volume_ml - (begun - 1) * bottle_ml, bottle_ml)
    full = begun if math.isclose(last, bottle_ml, rel_tol=1e-9) else begun - 1
    left = (begun - 1) * hold_up_ml + min(hold_up_ml, last)
    return Bottled(begun, full, last, left, volume_ml - left)


# ---- blend ----

EXAMPLE = 'prepkit blend --part "700 ml spirit 43 %" --part "300 ml water"'
_WARM_C = 30.0  # a bottle left out on a warm day


class Result(BaseResult):
    """What comes out."""

    screen = Screen(
        headline=(
            "{volume} at {abv} ({mass}).",
            "{volume} at {dissolved_solids} ({mass}).",
            "{volume} ({mass}).",
        ),
        primary=(
            Figure("volume", "volume"),
            Figure("strength", "abv"),
            "ethanol",
            Figure("sugars", "sugar"),
            Figure("acidity, as citric", "acidity"),
            "bottles",
            "ethanol_per_serve",
            "contraction",
        ),
        check=(Figure("refractometer", "refractometer"), Figure("density", "density"), "ph"),
        weigh="weigh",
    )

    free_mass: float | None = output("free part to add", "g", 1, extensive=True)
    free_volume: float | None = output("free part, as measured", "ml", 1, extensive=True)
    mass: float | None = output("mass", "g", 1, extensive=True)
    volume: float | None = output("volume", "ml", 0, extensive=True)
    density: float | None = output("density", "kg/m3", 1)
    abv: float | None = output("strength at 20 °C", "% vol", 2)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    sugar: float | None = output("sugars", "% w/w", 2)
    sugar_g_l: float | None = output("sugars in the volume", "g/l", 0)
    dissolved_solids: float | None = output("true dissolved solids", "% w/w", 2)
    refractometer: float | None = output("expected refractometer reading (20 °C)", "Bx", 1)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    acidity_g_l: float | None = output("acidity per volume, as citric", "g/l", 2)
    ph: float | None = output("pH", "", 2)
    contraction: float | None = output("contraction loss", "ml", 1, extensive=True)
    mixed_temperature: float | None = output("temperature just mixed", "C", 1)
    bottles: float | None = output("bottles filled", "", 2, extensive=True)
    serve_volume: float | None = output("one serve", "ml", 1)
    ethanol_per_serve: float | None = output("ethanol in one serve", "g", 2)
    sugar_per_serve: float | None = output("sugars in one serve", "g", 1)
    cost: float | None = output("cost", "", 2, extensive=True)
    cost_per_serve: float | None = output("cost of one serve", "", 2)
    cost_so_far: float | None = output("cost, incomplete: prices missing", "", 2, extensive=True)


def compute(inputs: Inputs) -> Result:
    """Masses add; everything else follows from the sum."""
    names = [part.name for part in inputs.part] + ([inputs.free.name] if inputs.free else [])
    at = temperatures(inputs.measured_at, list(dict.fromkeys(names)))
    refuse_both(inputs)
    going_in = lines(inputs, at)
    if not any(line.mixture.mass_kg for line in going_in):
        raise BadInput(f"{named('part')} amounts to 0; give an amount above 0.", "part")
    wanted = target(inputs)
    added = _added(inputs, going_in, wanted, at)
    going_in += [added] if added else []
    mixture = Mixture.total(line.mixture for line in going_in)
    temperature_c = float(inputs.temperature)
    volume_ml = 1e6 * mixture.volume_m3(temperature_c)
    volumes = [line.volume_ml(temperature_c) for line in going_in]
    apart_ml = math.fsum(volume for volume in volumes if volume is not None)
    contracts = mixture.ethanol_kg and None not in volumes
    shown, error = derived.of(mixture, "abv", "dissolved_solids", "refractometer", "acidity", "ph")
    steps = round_steps(inputs.round_to)
    taken = rounded(going_in, steps) if steps else []
    cost = drink.cost([(line.name, line.mixture.mass_kg) for line in going_in], inputs.price)
    bottles = _bottles(inputs, volume_ml)
    warmed = bool(inputs.measured_at) or any(p.temperature_c is not None for p in inputs.part)
    mixed_c = mixing_c(going_in) if warmed else None
    share = (bottles.poured_ml / volume_ml if bottles else 1.0) / (inputs.serves or 1)
    sugar_kg = mixture.of(*SUGARS)
    cost_of_all = cost.whole if inputs.price else None
    tables = [_weigh(going_in, cost, warmed, bool(inputs.price))]
    tables += _rounding(going_in, taken, mixture, Result.outputs())
    tables += _bottle_table(bottles) + _allergens(going_in)
    return Result(
        product=mixture,
        free_mass=1000 * added.mixture.mass_kg if added else None,
        free_volume=added.volume_ml() if added and added.liquid else None,
        mass=1000 * mixture.mass_kg,
        volume=volume_ml,
        density=mixture.density_kg_m3(temperature_c),
        abv=shown["abv"],
        ethanol=1000 * mixture.ethanol_kg or None,
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        acidity=shown["acidity"],
        ph=shown["ph"],
        sugar=100 * mixture.sugar,
        sugar_g_l=sugar_kg / mixture.volume_20_m3,
        acidity_g_l=mixture.acidity_as_citric * mixture.mass_kg / mixture.volume_20_m3 or None,
        contraction=apart_ml - volume_ml if contracts else None,
        mixed_temperature=mixed_c,
        bottles=volume_ml / inputs.bottle if inputs.bottle else None,
        facts={
            **_facts(inputs, going_in, mixture, taken),
            **(drink.serve_facts(mixture.scaled(share)) if inputs.serves else {}),
        },
        working=tuple(_working(inputs, going_in, mixture, wanted, mixed_c, cost, bottles)),
        tables=tuple(tables),
        model_error=error,
        serve_volume=volume_ml * share if inputs.serves else None,
        ethanol_per_serve=1000 * mixture.ethanol_kg * share or None if inputs.serves else None,
        sugar_per_serve=1000 * sugar_kg * share if inputs.serves else None,
        cost=cost_of_all,
        cost_per_serve=cost_of_all / inputs.serves
        if inputs.serves and cost_of_all is not None
        else None,
        cost_so_far=cost.known if inputs.price and cost.unpriced else None,
    )


def _added(
    inputs: Inputs, fixed: Sequence[BlendLine], wanted: Target | None, at: dict[str, float]
) -> BlendLine | None:
    if inputs.free is None or wanted is None:
        return None
    free = inputs.free
    kg = free_kg(fixed, free, wanted)
    liquid = free.form == "liquid"
    name, mixture = free.name, free.mixture
    if liquid:
        density(name, mixture, at[name])
    return BlendLine(name, mixture.scaled(kg), liquid, at[name], by_volume=liquid)


def _bottles(inputs: Inputs, volume_ml: float) -> Bottled | None:
    if inputs.bottle is None:
        if inputs.hold_up is not None:
            raise BadInput(
                f"{named('hold_up')} needs {named('bottle')}, what it is left behind in, such as "
                f"{named('bottle', '700 ml')}.",
                "bottle",
            )
        return None
    return bottled(volume_ml, float(inputs.bottle), float(inputs.hold_up or 0.0))


def _facts(
    inputs: Inputs, going_in: Sequence[BlendLine], mixture: Mixture, taken: Sequence[MeasuredPart]
) -> Facts:
    facts: Facts = {
        "temperature_c": float(inputs.temperature),
        "strongest_percent": max(round(100 * line.mixture.abv, 6) for line in going_in),
        **derived.facts(mixture),
    }
    if inputs.bottle is not None and (warm := derived.volume_ml(mixture, _WARM_C)):
        facts["growth_percent"] = 100 * (1e-6 * warm / mixture.volume_m3(inputs.temperature) - 1)
    if taken:
        instead = Mixture.total(part.line.mixture for part in taken)
        facts["rounding_strength"] = 100 * abs(instead.abv - mixture.abv)
    return facts


# tables and working

Row = tuple[str | float | None, ...]
_ROUNDED: tuple[derived.Name, ...] = ("abv", "sugar", "acidity", "ph", "mass", "volume")


def _weigh(going_in: Sequence[BlendLine], cost: DrinkCost, measured: bool, priced: bool) -> Table:
    """All that is weighed; volumes as measured and costs where they were asked for."""
    columns = [Column("part"), Column("mass", "g", 1), Column("volume at 20 °C", "ml", 1)]
    columns += [Column("volume as measured", "ml", 1), Column("at", "C", 0)] if measured else []
    columns += [Column(" ".join(filter(None, ("cost", cost.currency))), "", 2)] if priced else []
    rows: list[Row] = []
    for line, money in zip(going_in, cost.of_part, strict=True):
        row: list[str | float | None] = [line.name, 1000 * line.mixture.mass_kg, line.volume_ml(20)]
        row += [line.volume_ml(), line.at_c] if measured else []
        rows.append((*row, money) if priced else tuple(row))
    return Table("weigh", "weigh", tuple(columns), tuple(rows))


def _rounding(
    going_in: Sequence[BlendLine],
    taken: Sequence[MeasuredPart],
    exact: Mixture,
    outputs: Mapping[str, Output],
) -> list[Table]:
    """What to measure instead, and what that changes."""
    if not taken:
        return []
    instead = Mixture.total(part.line.mixture for part in taken)
    rows: list[Row] = []
    for line, part in zip(going_in, taken, strict=True):
        was, now = line.mixture.mass_kg, part.line.mixture.mass_kg
        rows.append((line.name, part.ml, part.grams, 100 * (now / was - 1) if was else 0.0))
    effect: list[Row] = []
    for name in _ROUNDED:
        before, after = (derived.of(mixture, name)[0][name] for mixture in (exact, instead))
        if before:
            change = None if after is None else after - before
            effect.append((outputs[name].label, outputs[name].unit, before, after, change))
    measured = (
        Column("part"), Column("measure", "ml", 2), Column("weigh", "g", 2),
        Column("more or less", "%", 2),
    )  # fmt: skip
    compared = (
        Column("what"), Column("unit"), Column("exact", "", 2), Column("rounded", "", 2),
        Column("change", "", 2),
    )  # fmt: skip
    return [
        Table("rounded", "rounded to your measures", measured, tuple(rows)),
        Table("rounding", "effect of rounding, at 20 °C", compared, tuple(effect)),
    ]


def _bottle_table(bottled: Bottled | None) -> list[Table]:
    """How many are begun and what stays behind in them."""
    if bottled is None:
        return []
    columns = (
        Column("bottles begun", "", 0), Column("full", "", 0), Column("in the last", "ml", 0),
        Column("left behind in all", "ml", 0), Column("poured out", "ml", 0),
    )  # fmt: skip
    begun, full = float(bottled.begun), float(bottled.full)
    row: Row = (begun, full, bottled.last_ml, bottled.left_ml, bottled.poured_ml)
    return [Table("bottles", "bottles", columns, (row,))]


def _allergens(going_in: Sequence[BlendLine]) -> list[Table]:
    """What a menu must name, and which part brings it."""
    found: dict[str, list[str]] = {}
    for line in going_in:
        for allergen in line.mixture.allergens:
            found.setdefault(allergen.replace(":", ": "), []).append(line.name)
    rows = tuple((name, ", ".join(of)) for name, of in sorted(found.items()))
    columns = (Column("allergen"), Column("comes with"))
    return [Table("allergens", "to declare", columns, rows)] if rows else []


def _working(
    inputs: Inputs,
    going_in: Sequence[BlendLine],
    mixture: Mixture,
    wanted: Target | None,
    mixed_c: float | None,
    cost: DrinkCost,
    bottled: Bottled | None,
) -> list[Step]:
    """The steps as on a board."""
    mass_g, at_c = 1000 * mixture.mass_kg, float(inputs.temperature)
    volume_ml = 1e6 * mixture.volume_m3(at_c)
    steps = []
    if wanted is not None:
        free = going_in[-1]
        formula = f"until the whole has {wanted.words}"
        steps.append(
            Step(f"{free.name} to add", formula, 1000 * free.mixture.mass_kg, "g", "DEFINITION")
        )
    for line in going_in:
        if line.by_volume and line.at_c != 20.0 and line.mixture.mass_kg:
            grams, ml = 1000 * line.mixture.mass_kg, line.volume_ml() or 0.0
            formula = f"{ml:.1f} ml x {grams / ml:.4f} g/ml"
            label = f"{line.name} at {line.at_c:g} °C"
            steps.append(Step(label, formula, grams, "g", _source(line.mixture)))
    said = " + ".join(f"{1000 * line.mixture.mass_kg:.1f} g {line.name}" for line in going_in)
    steps.append(Step("mass", said, mass_g, "g"))
    formula = f"{mass_g:.1f} g / {mass_g / volume_ml:.4f} g/ml at {at_c:g} °C"
    steps.append(Step("volume", formula, volume_ml, "ml", _source(mixture)))
    if mixture.ethanol_kg:
        formula = (
            f"{1000 * mixture.ethanol_kg:.1f} g ethanol / {ethanol.PURE_G_ML_WORDS} / "
            f"{1e6 * mixture.volume_20_m3:.1f} ml"
        )
        steps.append(Step("strength", formula, 100 * mixture.abv, "% vol", "OIML-R22"))
    if mixed_c is not None:
        formula = "heat in the parts and heat of mixing, over their heat capacity"
        steps.append(Step("just mixed", formula, mixed_c, "C", "PREPKIT-HEAT"))
    if bottled is not None:
        formula = f"{volume_ml:.1f} ml - {bottled.left_ml:.1f} ml left in {bottled.begun} bottles"
        steps.append(Step("poured out", formula, bottled.poured_ml, "ml"))
    if inputs.price:
        known = " + ".join(f"{value:.2f}" for value in cost.of_part if value is not None)
        lacking = f"; no price for {', '.join(cost.unpriced)}" if cost.unpriced else ""
        steps.append(Step("cost", f"{known}{lacking}", cost.known, cost.currency))
    refused = derived.refusals(mixture, "ph", "refractometer")
    return steps + [Step(name, f"not shown: {why}") for name, why in refused.items()]


def _source(mixture: Mixture) -> str:
    """Where the density of a mixture comes from."""
    known = {name for name, kg in mixture.masses_kg.items() if kg > 0}
    if known <= {"water", "ethanol"}:
        return "OIML-R22"
    return "SPS-4" if known <= {"water", "sucrose"} else "PREPKIT-SOLUTION"
