"""layer: what lies on what, each at its own temperature, and what makes a cream float."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from math import pi
from typing import Any

from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table, output, quantity, words
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import foam
from prepkit.shared import layers
from prepkit.shared.layers import Floating, Layer, Pair
from prepkit.units import Measured

EXAMPLE = (
    'prepkit layer --layer "120 ml filter coffee at 65 C" '
    '--layer "30 ml cream 36 % at 5 C whipped 20 %"'
)
ADVISED_POINTS = 0.02  # of overrun above the least: the models differ by 2 to 4 kg/m3
_MOST_LAYERS = 20


class Inputs(BaseInputs):
    """The layers from the bottom up."""

    temperature: Measured = quantity(
        "C", "temperature of layers without their own", "Where a layer does not say \"at 65 C\".",
        "20 C", default=20.0, low=0, high=80, because="published densities",
    )  # fmt: skip
    layer: tuple[str, ...] = words(
        "a layer",
        'An amount of an ingredient, with "at 65 C" and "whipped 20 %" (its overrun) where they '
        "apply; give the option once for each, the bottom one first.",
        "30 ml cream 36 % at 5 C whipped 20 %",
        many=True,
    )
    glass: Measured | None = quantity(
        "mm", "inner width of the glass", "To show how high each layer stands.", "65 mm",
        default=None, low=10, high=500, because="a glass",
    )  # fmt: skip

    @classmethod
    def read_field(cls, name: str, value: Any, pantry: Pantry, so_far: Mapping[str, Any]) -> Any:
        """Hook of the base: the layers by their words."""
        if name != "layer":
            return value
        if not 2 <= len(value) <= _MOST_LAYERS:
            raise BadInput(
                f"{named('layer')} names {len(value)} layer{'s' * (len(value) != 1)}; a stack has "
                "2 to "
                f"{_MOST_LAYERS}, so give the option once for each, the bottom one first.",
                "layer",
            )
        default = float(so_far.get("temperature", 20.0))
        return tuple(Layer.read(one, pantry, default) for one in value)


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """The tightest place of the stack, and what would make its top lie for certain."""

    margin: float | None = output("smallest step in density, lower less upper", "kg/m3", 1)
    least_overrun: float | None = output("least overrun of the cream on top", "%", 2)
    advised_overrun: float | None = output("overrun to aim for, at least", "%", 1)
    sugar_to_add: float | None = output(
        "sugar in the layer below that carries it", "g", 1, extensive=True
    )
    equal_temperature: float | None = output("top as dense as the layer below at", "C", 1)
    volume: float | None = output("volume of the stack", "ml", 0, extensive=True)
    height: float | None = output("height in the glass", "mm", 0, extensive=True)


def compute(inputs: Any) -> Result:
    """Densities, neighbours, and the top layer on the one below it."""
    stack: tuple[Layer, ...] = inputs.layer
    found = layers.pairs(stack)
    tight = min(found, key=lambda one: one.margin - one.error)
    lower, upper = stack[-2], stack[-1]
    ways = layers.floating(lower, upper)
    least = max((one.least_overrun for one in ways), default=0.0)
    sugar = layers.sugar_to_carry_kg(lower, upper)
    volumes = [1e6 * one.mixture.mass_kg / one.density()[0] for one in stack]
    area = pi * float(inputs.glass) ** 2 / 400 if inputs.glass is not None else None  # cm2
    top = found[-1]
    return Result(
        product=Mixture.total(one.mixture for one in stack),
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


def _facts(stack: tuple[Layer, ...], found: list[Pair], least: float, top: Pair) -> dict[str, Any]:
    def names(state: str) -> str:
        return "; ".join(f"{p.upper.name} on {p.lower.name}" for p in found if p.now == state)

    whipped = [one for one in stack if one.overrun > 0 and one.mixture.of("milk_fat")]
    order = layers.by_density(stack)
    later = [p for p in found if p.now == layers.STAYS and p.later != layers.STAYS]
    return {
        "turning_count": sum(p.now == layers.TURNS for p in found),
        "turning": names(layers.TURNS),
        "close_count": sum(p.now == layers.CLOSE for p in found),
        "close_layers": names(layers.CLOSE),
        "order": ", ".join(one.name for one in reversed(order)),
        "least_overrun_percent": 100 * max(0.0, least - stack[-1].overrun),
        "overrun_needed": 100 * least,
        "overrun_advised": 100 * (least + ADVISED_POINTS),
        "top": top.upper.name,
        "below": top.lower.name,
        "later_count": len(later),
        "later": "; ".join(f"{p.upper.name} on {p.lower.name}" for p in later),
        "hottest_c": max(one.temperature_c for one in stack),
        "whipped_fat_percent": min(
            (round(100 * one.mixture.fraction("milk_fat"), 6) for one in whipped), default=None
        ),
        "hot_spirit": float(
            any(one.mixture.ethanol_kg and one.temperature_c > layers.SPIRIT_MEASURED_TO_C
                for one in stack)
        ),
    }  # fmt: skip


def _stack_table(stack: tuple[Layer, ...], volumes: list[float], area: float | None) -> Table:
    rows: list[tuple[str | float | None, ...]] = []
    for one, volume in reversed(list(zip(stack, volumes, strict=True))):
        rho, error = one.density()
        high = 10 * volume / area if area else None
        rows.append(
            (one.name, one.temperature_c, 100 * one.overrun, rho, error, volume,
             1000 * one.mixture.mass_kg, *((high,) if area else ()))
        )  # fmt: skip
    columns = (
        Column("layer, top first"), Column("at", "C", 0), Column("overrun", "%", 0),
        Column("density", "kg/m3", 1), Column("give or take", "kg/m3", 1),
        Column("volume", "ml", 0), Column("mass", "g", 1),
        *((Column("height", "mm", 0),) if area else ()),
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
        Column("give or take", "kg/m3", 1), Column("now"),
        Column("same density when the upper is at", "C", 1), Column("equally warm at", "C", 1),
        Column("then"),
    )  # fmt: skip
    return Table("pairs", "neighbours", columns, tuple(rows))


def _float_table(ways: list[Floating], least: float) -> tuple[Table, ...]:
    if not least:
        return ()
    rows = tuple((one.relation, one.density_kg_m3, 100 * one.least_overrun) for one in ways)
    columns = (
        Column("density of the top layer by"), Column("unwhipped", "kg/m3", 1),
        Column("least overrun", "%", 2),
    )  # fmt: skip
    return (Table("float", "what makes the top layer float", columns, rows),)


def _steps(stack: tuple[Layer, ...], found: list[Pair], ways: list[Floating]) -> list[Step]:
    steps = []
    for one in stack:
        rho, error = one.density()
        source = "GUELPH-MILK-DENSITY" if one.mixture.of("milk_fat") else "PREPKIT-SOLUTION"
        how = f"{1000 * one.mixture.mass_kg:.1f} g at {one.temperature_c:g} C"
        if one.overrun:
            how += f", x {foam.liquid_fraction(one.overrun):.3f} liquid by volume"
        steps.append(Step(one.name, f"{how}, give or take {error:.1f}", rho, "kg/m3", source))
    steps += [
        Step(f"{p.upper.name} on {p.lower.name}", f"{p.lower.density()[0]:.1f} - "
             f"{p.upper.density()[0]:.1f}, errors add to {p.error:.1f}: {p.now}", p.margin,
             "kg/m3", "DEFINITION")
        for p in found
    ]  # fmt: skip
    drink = stack[-2].density()[0]
    steps += [
        Step(f"least overrun, {one.relation}", f"100 x ({one.density_kg_m3:.1f} / {drink:.1f} - 1)",
             100 * one.least_overrun, "%", one.source)
        for one in ways
    ]  # fmt: skip
    return steps
