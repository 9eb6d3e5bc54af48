"""blend: parts put together by mass, to a strength, sugar or acidity; bottles, serves, cost."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from prepkit import derived
from prepkit.calculators.blend import balance
from prepkit.calculators.blend.balance import Bottled, Line, Taken
from prepkit.calculators.blend.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.first_screen import Figure, Screen
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Output, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import ethanol
from prepkit.shared import one_serve, price
from prepkit.shared.measuring import round_steps
from prepkit.shared.price import Cost
from prepkit.shared.targets import Target

__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]

EXAMPLE = 'prepkit blend --part "700 ml spirit 43 %" --part "300 ml water"'
_WARM_C = 30.0  # a bottle left out on a warm day


@dataclass(frozen=True, kw_only=True)
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
    at = balance.temperatures(inputs.measured_at, list(dict.fromkeys(names)))
    balance.refuse_both(inputs)
    going_in = balance.lines(inputs, at)
    if not any(line.mixture.mass_kg for line in going_in):
        raise BadInput(f"{named('part')} amounts to 0; give an amount above 0.", "part")
    wanted = balance.target(inputs)
    added = _added(inputs, going_in, wanted, at)
    going_in += [added] if added else []
    mixture = Mixture.total(line.mixture for line in going_in)
    temperature_c = float(inputs.temperature)
    volume_ml = 1e6 * mixture.volume_m3(temperature_c)
    volumes = [line.volume_ml(temperature_c) for line in going_in]
    apart_ml = math.fsum(one for one in volumes if one is not None)
    contracts = mixture.ethanol_kg and None not in volumes
    shown, error = derived.of(mixture, "abv", "dissolved_solids", "refractometer", "acidity", "ph")
    steps = round_steps(inputs.round_to)
    taken = balance.rounded(going_in, steps) if steps else []
    cost = price.cost([(line.name, line.mixture.mass_kg) for line in going_in], inputs.price)
    bottles = _bottles(inputs, volume_ml)
    warmed = bool(inputs.measured_at) or any(p.temperature_c is not None for p in inputs.part)
    mixed_c = balance.mixed_c(going_in) if warmed else None
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
            **(one_serve.facts(mixture.scaled(share)) if inputs.serves else {}),
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
    inputs: Inputs, fixed: Sequence[Line], wanted: Target | None, at: dict[str, float]
) -> Line | None:
    if inputs.free is None or wanted is None:
        return None
    free = inputs.free
    kg = balance.free_kg(fixed, free, wanted)
    liquid = free.form == "liquid"
    name, mixture = free.name, free.mixture
    if liquid:
        balance.density(name, mixture, at[name])
    return Line(name, mixture.scaled(kg), liquid, at[name], by_volume=liquid)


def _bottles(inputs: Inputs, volume_ml: float) -> Bottled | None:
    if inputs.bottle is None:
        if inputs.hold_up is not None:
            raise BadInput(
                f"{named('hold_up')} needs {named('bottle')}, what it is left behind in, such as "
                f"{named('bottle', '700 ml')}.",
                "bottle",
            )
        return None
    return balance.bottled(volume_ml, float(inputs.bottle), float(inputs.hold_up or 0.0))


def _facts(
    inputs: Inputs, going_in: Sequence[Line], mixture: Mixture, taken: Sequence[Taken]
) -> dict[str, object]:
    facts: dict[str, object] = {
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


# tables and working

Row = tuple[str | float | None, ...]
_ROUNDED: tuple[derived.Name, ...] = ("abv", "sugar", "acidity", "ph", "mass", "volume")


def _weigh(going_in: Sequence[Line], cost: Cost, measured: bool, priced: bool) -> Table:
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
    going_in: Sequence[Line], taken: Sequence[Taken], exact: Mixture, outputs: Mapping[str, Output]
) -> list[Table]:
    """What to measure instead, and what that changes."""
    if not taken:
        return []
    instead = Mixture.total(one.line.mixture for one in taken)
    rows: list[Row] = []
    for line, one in zip(going_in, taken, strict=True):
        was, now = line.mixture.mass_kg, one.line.mixture.mass_kg
        rows.append((line.name, one.ml, one.grams, 100 * (now / was - 1) if was else 0.0))
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


def _allergens(going_in: Sequence[Line]) -> list[Table]:
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
    going_in: Sequence[Line],
    mixture: Mixture,
    wanted: Target | None,
    mixed_c: float | None,
    cost: Cost,
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
        known = " + ".join(f"{one:.2f}" for one in cost.of_part if one is not None)
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
