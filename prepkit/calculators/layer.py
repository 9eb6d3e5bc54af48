"""layer: what lies on what, each at its own temperature, and what makes a cream float."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from itertools import pairwise
from typing import NamedTuple

from prepkit.errors import BadInput, OutOfRange, named
from prepkit.facts import Facts
from prepkit.ingredient import Part, together
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import quantity, words
from prepkit.mixture import Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import foam, food, solution, water
from prepkit.science.solvers import bracketed
from prepkit.shared import drink
from prepkit.units import Measured, parse_quantity

EXAMPLE = (
    'prepkit layer --layer "120 ml filter coffee at 65 C" '
    '--layer "30 ml cream 36 % at 5 C whipped 20 %"'
)
ADVISED_POINTS = 0.02  # of overrun above the least: the models differ by 2 to 4 kg/m3
_MOST_LAYERS = 20
STAYS, CLOSE, TURNS = "stays", "too close to call", "turns over"
SPIRIT_MEASURED_TO_C, HOTTEST_C = 40.0, 80.0
HOT_SPIRIT_ERROR_KG_M3 = 40.0  # per unit of ethanol by mass, above 40 C: judged, not measured
COLD_CREAM_LOW_C, COLD_CREAM_HIGH_C = 4.0, 15.0  # where the second cold relation is shown
WHIPPING_FAT = 0.30
CREAM_FAT = 0.10  # the leanest that is sold as cream; below it overrun says nothing (practice)
_WHIPPED = re.compile(
    r"\s+(?:whipped(?:\s+to)?|overrun|with overrun)\s+(-?[0-9.,]+)\s*%(?=\s|$)", re.IGNORECASE
)


class Layer(str):
    """Words of one layer: amounts of what it is mixed of, its temperature, its overrun.

    Parts with temperatures of their own are mixed by a balance of heat, nothing lost.
    """

    part: Part
    temperature_c: float
    overrun: float

    @classmethod
    def read(cls, words: str, pantry: Pantry, default_c: float) -> Layer:
        """Read "30 ml cream 36 % at 5 C whipped 20 %"; BadInput otherwise."""
        self = cls(words)
        rest = f" {words.strip()}"
        whipped = _WHIPPED.search(rest)
        self.overrun = 0.0
        if whipped:
            percent = float(parse_quantity(f"{whipped[1]} %", ("%",), named("layer")))
            if not 0 <= percent <= 1000:
                raise BadInput(
                    f"{named('layer', words)}: an overrun of {percent:g} % cannot be; it is 100 x "
                    "(foam volume less liquid volume) over liquid volume, 0 to 1000.",
                    "layer",
                )
            self.overrun = percent / 100
            rest = rest.replace(whipped[0], " ", 1)
        self.part = together(pantry.parts(" ".join(rest.split()), named("layer")))
        each = [default_c if c is None else c for c in drink.own(self.part.each)]
        self.temperature_c = drink.together_c(self.part.each, each)
        if not 0 <= self.temperature_c <= HOTTEST_C:
            raise OutOfRange(
                f"temperature of {named('layer', words)}",
                self.temperature_c, 0.0, HOTTEST_C, "C",
                "published densities",
            )  # fmt: skip
        if self.part.mixture.mass_kg <= 0:
            raise BadInput(f'{named("layer", words)} has no amount; write for example "30 ml ...".')
        return self

    @property
    def mixture(self) -> Mixture:
        """What it is made of."""
        return self.part.mixture

    @property
    def name(self) -> str:
        """The ingredient's name."""
        return self.part.name

    def density(self, temperature_c: float | None = None) -> tuple[float, float]:
        """Density with its gas, and its error, kg/m3, at its own or another temperature."""
        t = self.temperature_c if temperature_c is None else temperature_c
        rho, error = liquid_density(self.mixture, t)
        share = foam.liquid_fraction(self.overrun)
        return rho * share, error * share


class Inputs(BaseInputs):
    """The layers from the bottom up."""

    groups = (("Most needed", "layer temperature glass"),)
    takes = (("layer", "amount"),)

    temperature: Measured = quantity(
        "C", "temperature of other layers",
        "Where a layer, or a part of a mixed one, does not say \"at 65 °C\".",
        "20 C", default=20.0, low=0, high=80, because="published densities",
    )  # fmt: skip
    layer: tuple[Layer, ...] = words(
        "a layer",
        'Amounts of what is in it, with "at 65 C" and "whipped 20 %" (overrun) if they apply. '
        "One entry for each layer, bottom first.",
        "30 ml cream 36 % at 5 C whipped 20 %",
        many=True,
    )
    glass: Measured | None = quantity(
        "mm", "inner width of the glass", "To show how high each layer stands.", "65 mm",
        default=None, low=10, high=500, because="a glass",
    )  # fmt: skip

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> object:
        """Hook of the base: the layers by their words."""
        if name != "layer" or not isinstance(value, tuple):
            return value
        if not 2 <= len(value) <= _MOST_LAYERS:
            raise BadInput(
                f"{named('layer')} names {len(value)} layer{'s' * (len(value) != 1)}; a stack has "
                f"2 to {_MOST_LAYERS}, so give it once for each, the bottom one first.",
                "layer",
            )
        said = so_far.get("temperature")
        default_c = float(said) if isinstance(said, float) else 20.0
        return tuple(Layer.read(one, pantry, default_c) for one in value)


class Result(BaseResult):
    """The tightest place of the stack, and what would make its top lie for certain."""

    screen = Screen(
        headline=("Smallest step in density {margin}.", "{volume} in the stack."),
        primary=(
            Figure("smallest step in density", "margin"),
            Figure("least overrun on top", "least_overrun"),
            Figure("overrun to aim for", "advised_overrun"),
            Figure("sugar in the layer below", "sugar_to_add"),
            "equal_temperature",
            Figure("volume", "volume"),
            "height",
        ),
        do_this=("Whip the cream on top to an overrun of at least {advised_overrun}.",),
    )

    margin: float | None = output("smallest step in density", "kg/m3", 1)
    least_overrun: float | None = output("least overrun on top", "%", 2, limit="least")
    advised_overrun: float | None = output("overrun to aim for", "%", 1)
    sugar_to_add: float | None = output("sugar needed in layer below", "g", 1, extensive=True)
    equal_temperature: float | None = output("temperature of equal density", "C", 1)
    volume: float | None = output("volume of the stack", "ml", 0, extensive=True)
    height: float | None = output("height in the glass", "mm", 0, extensive=True)


def compute(inputs: Inputs) -> Result:
    """Densities, neighbours, and the top layer on the one below it."""
    stack = inputs.layer
    found = pairs(stack)
    tight = min(found, key=lambda one: one.margin - one.error)
    lower, upper = stack[-2], stack[-1]
    ways = floating(lower, upper)
    least = max((way.least_overrun for way in ways), default=0.0)
    sugar = sugar_to_carry_kg(lower, upper)
    volumes = [1e6 * layer.mixture.mass_kg / layer.density()[0] for layer in stack]
    area = math.pi * float(inputs.glass) ** 2 / 400 if inputs.glass is not None else None  # cm2
    top = found[-1]
    return Result(
        product=Mixture.total(layer.mixture for layer in stack),
        margin=tight.margin,
        least_overrun=100 * least or None,
        advised_overrun=100 * (least + ADVISED_POINTS) if least else None,
        sugar_to_add=1000 * sugar if sugar else None,
        equal_temperature=top.turns_at_c,
        volume=math.fsum(volumes),
        height=10 * math.fsum(volumes) / area if area else None,
        facts=_facts(stack, found, least, top),
        working=tuple(_steps(stack, found, ways)),
        tables=(
            _stack_table(stack, volumes, area),
            _pairs_table(found),
            *_float_table(ways, least),
        ),
        model_error={"margin": tight.error},
    )


# densities, neighbours, what makes the top lie


class Pair(NamedTuple):
    """Two neighbours, the lower first: how they lie now and once they are equally warm."""

    lower: Layer
    upper: Layer
    margin: float  # lower less upper, kg/m3
    error: float
    later_margin: float
    later_error: float
    common_c: float
    turns_at_c: float | None  # the upper one's temperature, the lower staying as it is

    @property
    def now(self) -> str:
        """stays, too close to call, or turns over."""
        return word(self.margin, self.error)

    @property
    def later(self) -> str:
        """The same at their common temperature."""
        return word(self.later_margin, self.later_error)


def word(margin: float, error: float) -> str:
    """What a difference of density says against the errors of the two."""
    if margin > error:
        return STAYS
    return CLOSE if margin >= -error else TURNS


def liquid_density(mixture: Mixture, temperature_c: float) -> tuple[float, float]:
    """Density without gas and its stated error, kg/m3.

    Spirit above 40 C has no published table here: it is taken from 40 C on as expanding like
    water, which is too dense, and the error grows with the spirit. Cold plain cream is no surer
    than its two published relations agree.
    """
    try:
        error = solution.density_error_kg_m3(mixture.solution_fractions)
    except OutOfRange:
        error = 10.0
    milk_fat = mixture.fraction("milk_fat")
    rho_cold = _cold_cream_kg_m3(mixture, temperature_c)
    if milk_fat or "dairy" in mixture.tags:
        error += food.density_error_kg_m3(min(milk_fat, food.HIGH_FAT))
    error += 10.0 * mixture.fraction("fat", "fibre")
    hot = temperature_c > SPIRIT_MEASURED_TO_C and mixture.ethanol_kg > 0
    if not hot:
        rho = mixture.density_kg_m3(temperature_c)
        if rho_cold is not None:  # two published relations: no surer than they agree
            error = max(error, abs(rho - rho_cold))
        return rho, error
    at_40 = mixture.density_kg_m3(SPIRIT_MEASURED_TO_C)
    ratio = water.density_kg_m3(temperature_c) / water.density_kg_m3(SPIRIT_MEASURED_TO_C)
    return at_40 * ratio, error + HOT_SPIRIT_ERROR_KG_M3 * mixture.fraction("ethanol")


def _plain_dairy(mixture: Mixture) -> tuple[float, float] | None:
    """Fat and other solids of plain milk or cream, as its published relations take it, or None."""
    fat = mixture.fraction("milk_fat")
    solids = mixture.dissolved_solids * mixture.solution_kg / mixture.mass_kg
    solids += mixture.fraction("protein")
    plain = mixture.sugar < 0.05 and mixture.abv < 0.001 and 0 < fat <= food.HIGH_FAT
    return (fat, solids) if plain and food.LOW_SOLIDS <= solids <= food.HIGH_SOLIDS else None


def _cold_cream_kg_m3(mixture: Mixture, temperature_c: float) -> float | None:
    """Density of plain cold cream by the second relation; None where it does not apply."""
    plain = _plain_dairy(mixture)
    cold = COLD_CREAM_LOW_C <= temperature_c <= COLD_CREAM_HIGH_C
    if plain is None or not cold or not food.COLD_LOW_FAT <= plain[0] <= food.COLD_HIGH_FAT:
        return None
    return food.cold_density_kg_m3(plain[0])


def is_cream(mixture: Mixture) -> bool:
    """Whether it is a cream: what whipping and its overrun are about."""
    return mixture.fraction("milk_fat") >= CREAM_FAT


def cream_viscosity_mpa_s(one: Layer) -> float | None:
    """Viscosity of an unwhipped cream at its own temperature; None where none is published."""
    if not is_cream(one.mixture) or one.overrun or one.mixture.ethanol_kg:
        return None
    try:
        return 1e3 * food.viscosity_pa_s(one.mixture.fraction("milk_fat"), one.temperature_c)
    except OutOfRange:
        return None


def common_temperature_c(one: Layer, two: Layer) -> float:
    """Temperature that two layers reach together, by their heat contents."""
    heats = [
        layer.mixture.mass_kg * layer.mixture.specific_heat_j_kg_k(20.0) for layer in (one, two)
    ]
    warm = heats[0] * one.temperature_c + heats[1] * two.temperature_c
    return warm / (heats[0] + heats[1])


def pair(lower: Layer, upper: Layer) -> Pair:
    """Two neighbours weighed against each other."""
    (heavy, e_low), (light, e_up) = lower.density(), upper.density()
    common = common_temperature_c(lower, upper)
    (later_low, l_low), (later_up, l_up) = lower.density(common), upper.density(common)
    return Pair(
        lower, upper, heavy - light, e_low + e_up, later_low - later_up, l_low + l_up, common,
        _turning_c(upper, heavy, lower.temperature_c),
    )  # fmt: skip


def _turning_c(upper: Layer, lower_kg_m3: float, lower_c: float) -> float | None:
    """Temperature of the upper layer, on its way to the lower one's, where both weigh the same."""

    def margin(t: float) -> float:
        return lower_kg_m3 - upper.density(t)[0]

    low, high = sorted((upper.temperature_c, lower_c))
    if high - low < 0.1 or (margin(low) > 0) == (margin(high) > 0):
        return None
    return bracketed(margin, low, high, 1e-3)


def pairs(stack: tuple[Layer, ...]) -> list[Pair]:
    """Every two neighbours of a stack, given from the bottom up."""
    return [pair(lower, upper) for lower, upper in pairwise(stack)]


def by_density(stack: tuple[Layer, ...]) -> list[Layer]:
    """The stack in the order of its densities, the lightest first."""
    return sorted(stack, key=lambda layer: layer.density()[0])


class Floating(NamedTuple):
    """One relation's word on the least overrun of the top layer, as fractions."""

    relation: str
    density_kg_m3: float
    least_overrun: float
    source: str


def floating(lower: Layer, upper: Layer) -> list[Floating]:
    """Least overrun of a cream on the layer below it, by every relation that speaks of it.

    Nothing for what is no cream: it is not whipped.
    """
    if not is_cream(upper.mixture):
        return []
    drink, _ = lower.density()
    unwhipped, _ = liquid_density(upper.mixture, upper.temperature_c)
    found = [("as made of its parts", unwhipped, "GUELPH-MILK-DENSITY")]
    plain = _plain_dairy(upper.mixture)
    t = upper.temperature_c
    if plain is not None and food.TABLE_LOW_C <= t <= food.TABLE_HIGH_C:
        found.append((f"dairy table, {t:g} °C", food.cream_density_kg_m3(*plain, t), found[0][2]))
    cold = _cold_cream_kg_m3(upper.mixture, t)
    if cold is not None:
        found.append(("cold creams, about 10 °C", cold, "CREAM-LOW-T"))
    return [
        Floating(name, rho, foam.minimum_overrun_to_float(rho, drink), source)
        for name, rho, source in found
    ]


def sugar_to_carry_kg(lower: Layer, upper: Layer) -> float | None:
    """White sugar that the lower layer needs so that the upper one lies on it for certain, kg.

    0 where it does already; None where no sugar that dissolves is enough.
    """
    light, e_up = upper.density()

    def short(sugar_kg: float) -> float:
        sweet = lower.mixture + Mixture({"sucrose": sugar_kg})
        rho, error = liquid_density(sweet, lower.temperature_c)
        return rho * foam.liquid_fraction(lower.overrun) - light - error - e_up

    if short(0.0) >= 0:
        return 0.0
    most = 1.5 * lower.mixture.of("water")
    try:
        if short(most) < 0:
            return None
        return bracketed(short, 0.0, most, 1e-7)
    except OutOfRange:
        return None


# what is shown and judged


def _facts(stack: tuple[Layer, ...], found: list[Pair], least: float, top: Pair) -> Facts:
    def names(state: str) -> str:
        return "; ".join(f"{p.upper.name} on {p.lower.name}" for p in found if p.now == state)

    whipped = [layer for layer in stack if layer.overrun > 0 and layer.mixture.of("milk_fat")]
    order = by_density(stack)
    later = [p for p in found if p.now == STAYS and p.later != STAYS]
    return {
        "turning_count": sum(p.now == TURNS for p in found),
        "turning": names(TURNS),
        "close_count": sum(p.now == CLOSE for p in found),
        "close_layers": names(CLOSE),
        "order": ", ".join(layer.name for layer in reversed(order)),
        "least_overrun_percent": 100 * max(0.0, least - stack[-1].overrun),
        "overrun_needed": 100 * least,
        "overrun_advised": 100 * (least + ADVISED_POINTS),
        "top": top.upper.name,
        "below": top.lower.name,
        "later_count": len(later),
        "later": "; ".join(f"{p.upper.name} on {p.lower.name}" for p in later),
        "hottest_c": max(layer.temperature_c for layer in stack),
        "whipped_fat_percent": min(
            (round(100 * layer.mixture.fraction("milk_fat"), 6) for layer in whipped), default=None
        ),
        "hot_spirit": float(
            any(layer.mixture.ethanol_kg and layer.temperature_c > SPIRIT_MEASURED_TO_C
                for layer in stack)
        ),
    }  # fmt: skip


def _stack_table(stack: tuple[Layer, ...], volumes: list[float], area: float | None) -> Table:
    rows: list[tuple[str | float | None, ...]] = []
    thick = any(cream_viscosity_mpa_s(layer) is not None for layer in stack)
    for layer, volume in reversed(list(zip(stack, volumes, strict=True))):
        rho, error = layer.density()
        high = 10 * volume / area if area else None
        rows.append(
            (layer.name, layer.temperature_c, 100 * layer.overrun, rho, error, volume,
             1000 * layer.mixture.mass_kg, *((high,) if area else ()),
             *((cream_viscosity_mpa_s(layer),) if thick else ()))
        )  # fmt: skip
    columns = (
        Column("layer, top first"), Column("at", "C", 0), Column("overrun", "%", 0),
        Column("density", "kg/m3", 1), Column("±", "kg/m3", 1),
        Column("volume", "ml", 0), Column("mass", "g", 1),
        *((Column("height", "mm", 0),) if area else ()),
        *((Column("viscosity, ± 30 %", "mPa s", 0),) if thick else ()),
    )  # fmt: skip
    return Table("stack", "the stack", columns, tuple(rows))


def _pairs_table(found: list[Pair]) -> Table:
    rows: list[tuple[str | float | None, ...]] = [
        (f"{p.upper.name} on {p.lower.name}", p.margin, p.error, p.now, p.turns_at_c, p.common_c,
         p.later)
        for p in reversed(found)
    ]  # fmt: skip
    columns = (
        Column("upper on lower"), Column("lower less upper", "kg/m3", 1),
        Column("±", "kg/m3", 1), Column("now"),
        Column("same density when the upper is at", "C", 1), Column("equally warm at", "C", 1),
        Column("then"),
    )  # fmt: skip
    return Table("pairs", "neighbours", columns, tuple(rows))


def _float_table(ways: list[Floating], least: float) -> tuple[Table, ...]:
    if not least:
        return ()
    rows = tuple((way.relation, way.density_kg_m3, 100 * way.least_overrun) for way in ways)
    columns = (
        Column("density of the top layer by"), Column("unwhipped", "kg/m3", 1),
        Column("least overrun", "%", 2),
    )  # fmt: skip
    return (Table("float", "what makes the top layer float", columns, rows),)


def _steps(stack: tuple[Layer, ...], found: list[Pair], ways: list[Floating]) -> list[Step]:
    steps = []
    for layer in stack:
        rho, error = layer.density()
        source = "GUELPH-MILK-DENSITY" if layer.mixture.of("milk_fat") else "PREPKIT-SOLUTION"
        how = f"{1000 * layer.mixture.mass_kg:.1f} g at {layer.temperature_c:g} °C"
        if layer.overrun:
            how += f", x {foam.liquid_fraction(layer.overrun):.3f} liquid by volume"
        steps.append(Step(layer.name, f"{how} ± {error:.1f}", rho, "kg/m3", source))
    steps += [
        Step(f"{p.upper.name} on {p.lower.name}", f"{p.lower.density()[0]:.1f} - "
             f"{p.upper.density()[0]:.1f}, errors add to {p.error:.1f}: {p.now}", p.margin,
             "kg/m3", "DEFINITION")
        for p in found
    ]  # fmt: skip
    drink = stack[-2].density()[0]
    steps += [
        Step(f"least overrun, {way.relation}", f"100 x ({way.density_kg_m3:.1f} / {drink:.1f} - 1)",
             100 * way.least_overrun, "%", way.source)
        for way in ways
    ]  # fmt: skip
    return steps
