"""blend: parts put together, by mass, and what comes of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.model import count, ingredient, output, parts, quantity, words
from prepkit.pantry import Ingredient, Pantry, Part
from prepkit.shared import blend_show, blending, prices
from prepkit.shared.blending import Bottled, Line, MeasuredAt, Taken
from prepkit.shared.prices import Price
from prepkit.shared.targets import Target

EXAMPLE = 'prepkit blend --part "700 ml spirit 43 %" --part "300 ml water"'
_WARM_C = 30.0  # a bottle left out on a warm day


class Inputs(BaseInputs):
    """What goes in, what it is to meet, and what the bar has to measure and keep it with."""

    part: tuple[Part, ...] = parts(
        "the parts",
        "An amount of one ingredient, with the temperature that it is measured at where that is "
        "not 20 C; give the option once for each.",
        "700 ml spirit 43 %",
        at=True,
    )
    measured_at: tuple[str, ...] = words(
        "temperature of the parts",
        "At which volumes were measured, 20 C unless said: of all parts without their own, or of "
        "one with its name.",
        "spirit 43 %=-18 C",
        default=(),
        many=True,
    )
    temperature: float = quantity(
        "C",
        "temperature of the blend",
        "At which the volume and density are shown and bottles are filled; strengths stay at 20 C.",
        "20 C",
        default=20.0,
        low=-20,
        high=40,
        because="the density of spirit is published from -20 to 40 C",
    )
    free: Ingredient | None = ingredient(
        "the free part",
        "How much of it to add is worked out from the one target given.",
        "spirit 43 %",
        default=None,
    )
    abv: float | None = quantity(
        "% vol", "strength wanted", f"By volume at 20 C; needs {named('free')}.", "20 % vol",
        default=None, above=0, high=96, because="stronger is not distilled", bare=True,
    )  # fmt: skip
    sugar: float | None = quantity(
        ("% w/w", "g/l"), "sugars wanted",
        f"By weight, or in a litre at 20 C; needs {named('free')}.",
        "120 g/l", default=None, above=0, high=1200, because="no syrup holds more",
    )  # fmt: skip
    acidity: float | None = quantity(
        ("% w/w", "g/l"), "acidity wanted",
        f"Titratable, as citric acid, by weight or in a litre at 20 C; needs {named('free')}.",
        "0.8 % w/w", default=None, above=0, high=500, because="no more dissolves",
    )  # fmt: skip
    serves: int | None = count(
        "serves", "How many glasses the batch is poured into.", "12",
        default=None, low=1, high=1_000_000, extensive=True,
    )  # fmt: skip
    price: tuple[str, ...] = words(
        "prices",
        "Ingredient=money per amount, once for each; the currency may follow the number.",
        "rum 40 %=18 per 700 ml",
        default=(),
        many=True,
    )
    bottle: float | None = quantity(
        "ml", "bottle size", "What one bottle is filled with.", "700 ml",
        default=None, above=0, high=1e6, because="at most a cubic metre",
    )  # fmt: skip
    hold_up: float | None = quantity(
        "ml", "left behind in each bottle", "What cannot be poured out of one.", "10 ml",
        default=None, low=0, high=1e6, because="at most a cubic metre",
    )  # fmt: skip
    round_to: tuple[str, ...] = words(
        "what can be measured",
        "The smallest step of the jigger (ml, for liquids) and of the balance (g); shown beside "
        "the exact amounts.",
        "5 ml",
        default=(),
        many=True,
    )

    @classmethod
    def read_field(cls, name: str, value: Any, pantry: Pantry, so_far: Mapping[str, Any]) -> Any:
        """Hook of the base: prices and temperatures by their words."""
        if name == "price":
            return tuple(Price.read(one, pantry) for one in value)
        if name == "measured_at":
            return tuple(MeasuredAt.read(one, pantry) for one in value)
        return value


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """What comes out."""

    free_mass: float | None = output("free part to add", "g", 1, extensive=True)
    free_volume: float | None = output("free part, as measured", "ml", 1, extensive=True)
    mass: float | None = output("mass", "g", 1, extensive=True)
    volume: float | None = output("volume", "ml", 0, extensive=True)
    density: float | None = output("density", "kg/m3", 1)
    abv: float | None = output("strength at 20 C", "% vol", 2)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    sugar: float | None = output("sugars", "% w/w", 2)
    sugar_g_l: float | None = output("sugars in the volume", "g/l", 0)
    dissolved_solids: float | None = output("true dissolved solids", "% w/w", 2)
    refractometer: float | None = output("refractometer shows, at 20 C", "Bx", 1)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    acidity_g_l: float | None = output("acidity in the volume, as citric", "g/l", 2)
    ph: float | None = output("pH", "", 2)
    contraction: float | None = output("lost by contraction", "ml", 1, extensive=True)
    mixed_temperature: float | None = output("just mixed, nothing lost", "C", 1)
    bottles: float | None = output("bottles it fills", "", 2, extensive=True)
    serve_volume: float | None = output("one serve", "ml", 1)
    ethanol_per_serve: float | None = output("ethanol in one serve", "g", 2)
    sugar_per_serve: float | None = output("sugars in one serve", "g", 1)
    cost: float | None = output("cost", "", 2, extensive=True)
    cost_per_serve: float | None = output("cost of one serve", "", 2)
    cost_so_far: float | None = output("cost, incomplete: prices missing", "", 2, extensive=True)


def compute(inputs: Any) -> Result:
    """Masses add; everything else follows from the sum."""
    names = [part.name for part in inputs.part] + ([inputs.free.name] if inputs.free else [])
    at = blending.temperatures(inputs.measured_at, list(dict.fromkeys(names)))
    blending.refuse_both(inputs)
    going_in = blending.lines(inputs, at)
    if not any(line.mixture.mass_kg for line in going_in):
        raise BadInput(f"{named('part')} comes to nothing; give an amount above 0.", "part")
    wanted = blending.target(inputs)
    added = _added(inputs, going_in, wanted, at)
    going_in += [added] if added else []
    mixture = Mixture.total(line.mixture for line in going_in)
    temperature_c = float(inputs.temperature)
    volume_ml = 1e6 * mixture.volume_m3(temperature_c)
    volumes = [line.volume_ml(temperature_c) for line in going_in]
    apart_ml = math.fsum(one for one in volumes if one is not None)
    contracts = mixture.ethanol_kg and None not in volumes
    shown, error = derived.of(mixture, "abv", "dissolved_solids", "refractometer", "acidity", "ph")
    steps = blending.round_steps(inputs.round_to)
    taken = blending.rounded(going_in, steps) if steps else []
    cost = prices.cost([(line.name, line.mixture.mass_kg) for line in going_in], inputs.price)
    bottles = _bottles(inputs, volume_ml)
    warmed = bool(inputs.measured_at) or any(p.temperature_c is not None for p in inputs.part)
    mixed_c = blending.mixed_c(going_in) if warmed else None
    share = (bottles.poured_ml / volume_ml if bottles else 1.0) / (inputs.serves or 1)
    sugar_kg = mixture.of(*SUGARS)
    per_serve: dict[str, Any] = {}  # Any: fields of Result differ in type
    if inputs.serves:
        per_serve = {
            "serve_volume": volume_ml * share,
            "ethanol_per_serve": 1000 * mixture.ethanol_kg * share or None,
            "sugar_per_serve": 1000 * sugar_kg * share,
        }
    if inputs.price:
        per_serve |= {
            "cost": cost.whole,
            "cost_per_serve": cost.whole / inputs.serves
            if inputs.serves and cost.whole is not None
            else None,
            "cost_so_far": cost.known if cost.unpriced else None,
        }
    tables = [blend_show.weigh(going_in, cost, warmed, bool(inputs.price))]
    tables += blend_show.rounding(going_in, taken, mixture, Result.outputs())
    tables += blend_show.bottles(bottles) + blend_show.allergens(going_in)
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
        facts=_facts(inputs, going_in, mixture, taken),
        working=tuple(
            blend_show.working(inputs, going_in, mixture, wanted, mixed_c, cost, bottles)
        ),
        tables=tuple(tables),
        model_error=error,
        **per_serve,
    )


def _added(
    inputs: Any, fixed: Sequence[Line], wanted: Target | None, at: dict[str, float]
) -> Line | None:
    if wanted is None:
        return None
    kg = blending.free_kg(fixed, inputs.free, wanted)
    liquid = inputs.free.form == "liquid"
    name, mixture = inputs.free.name, inputs.free.mixture
    if liquid:
        blending.density(name, mixture, at[name])
    return Line(name, mixture.scaled(kg), liquid, at[name], by_volume=liquid)


def _bottles(inputs: Any, volume_ml: float) -> Bottled | None:
    if inputs.bottle is None:
        if inputs.hold_up is not None:
            raise BadInput(
                f"{named('hold_up')} needs {named('bottle')}, what it is left behind in, such as "
                f"{named('bottle', '700 ml')}.",
                "bottle",
            )
        return None
    return blending.bottled(volume_ml, float(inputs.bottle), float(inputs.hold_up or 0.0))


def _facts(
    inputs: Any, going_in: Sequence[Line], mixture: Mixture, taken: Sequence[Taken]
) -> dict[str, Any]:
    facts: dict[str, Any] = {
        "temperature_c": float(inputs.temperature),
        "strongest_percent": max(round(100 * line.mixture.abv, 6) for line in going_in),
        **derived.facts(mixture),
    }
    if inputs.bottle is not None and (warm := derived.volume_ml(mixture, _WARM_C)):
        facts["growth_percent"] = 100 * (1e-6 * warm / mixture.volume_m3(inputs.temperature) - 1)
    if taken:
        instead = Mixture.total(one.line.mixture for one in taken)
        facts["rounding_strength"] = 100 * abs(instead.abv - mixture.abv)
    return facts
