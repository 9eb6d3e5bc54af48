"""correct: a batch as measured, and the least to add to bring sugar, acidity and strength right."""

from __future__ import annotations

import math
from dataclasses import dataclass

from prepkit import derived
from prepkit.calculators.correct import balance as correction
from prepkit.calculators.correct.balance import Added, Batch
from prepkit.calculators.correct.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.first_screen import Figure, Screen
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.shared import acidity, instruments, syrup, targets
from prepkit.shared.targets import Addition, Target

EXAMPLE = (
    'prepkit correct --batch "2 kg cordial" --refractometer 44.1 --acidity "1.1 %" --abv 0 '
    '--to-brix 45 --to-acidity "1.3 %"'
)
_SHOWN: tuple[derived.Name, ...] = (
    "density", "abv", "ethanol", "sugar", "dissolved_solids", "refractometer", "hydrometer",
    "acidity", "sugar_acid_ratio",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """What to add, and the batch after it."""

    screen = Screen(
        headline=(
            "Add {added} in all: {mass} at {dissolved_solids}, {acidity} acidity.",
            "Add {added} in all: {mass} at {dissolved_solids}.",
            "Add {added} in all: {mass}.",
        ),
        primary=(
            "mass",
            Figure("volume", "volume"),
            Figure("true dissolved solids", "dissolved_solids"),
            Figure("acidity, as citric", "acidity"),
            Figure("strength", "abv"),
            Figure("sugar to acid", "sugar_acid_ratio"),
            Figure("sugars", "sugar"),
        ),
        check=(
            Figure("refractometer", "refractometer"),
            Figure("sugar hydrometer", "hydrometer"),
            Figure("density", "density"),
        ),
        weigh="add",
    )

    water_to_add: float | None = output("water to add", "g", 1, extensive=True)
    sweetener_to_add: float | None = output("sweetener to add", "g", 1, extensive=True)
    sour_to_add: float | None = output("acid to add", "g", 2, extensive=True)
    spirit_to_add: float | None = output("spirit to add", "g", 1, extensive=True)
    added: float | None = output("added in all", "g", 1, extensive=True)
    mass_before: float | None = output("batch before", "g", 1, extensive=True)
    mass: float | None = output("new yield", "g", 1, extensive=True)
    volume: float | None = output("new volume at 20 °C", "ml", 0, extensive=True)
    dissolved_solids: float | None = output("true dissolved solids after", "Bx", 2)
    sugar: float | None = output("sugars after", "% w/w", 2)
    sugar_g_l: float | None = output("sugars in the volume after", "g/l", 0)
    refractometer: float | None = output("expected refractometer reading (20 °C)", "Bx", 1)
    hydrometer: float | None = output("expected hydrometer reading (20 °C)", "Bx", 1)
    density: float | None = output("density after, at 20 °C", "kg/m3", 1)
    acidity: float | None = output("titratable acidity after, as citric", "% w/w", 2)
    acidity_g_l: float | None = output("titratable acidity after, as citric", "g/l", 1)
    sugar_acid_ratio: float | None = output("sugar to acid after", "", 1)
    abv: float | None = output("strength after, at 20 °C", "% vol", 2)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)


def compute(inputs: Inputs) -> Result:
    """The batch per kg, the least additions per kg, then all of it."""
    if inputs.refractometer is not None and inputs.scale is not None:
        instruments.Scale(named("refractometer"), "Bx", float(inputs.scale)).check(
            float(inputs.refractometer)
        )
    if not inputs.batch.amount > 0.0:
        raise BadInput(
            f'{named("batch")} is "{inputs.batch.words}"; it must be more than 0, such as 2 kg.',
            "batch",
        )
    wanted, additions = _targets(inputs)
    batch = correction.measured(inputs)
    base = batch.mixture()
    added = correction.least(base, wanted, additions)
    if added is None:
        raise correction.unreachable(base, wanted, additions)
    corrected = correction.total(base, additions, added)
    correction.require_dissolved(corrected, named("to_acidity"))
    amount = inputs.batch.amount
    kg = float(amount) / 1000.0
    if amount.unit == "ml":
        kg *= base.density_kg_m3(20.0) / 1000.0
    errors = correction.spread(batch, wanted, additions, added)
    return _answer(inputs, batch, corrected, added, errors, wanted, additions, kg)


def _targets(inputs: Inputs) -> tuple[list[Target], list[Addition | None]]:
    wanted: list[Target] = []
    additions: list[Addition | None] = []

    def want(kind: str, name: str, level: float, by_volume: bool, adder: str) -> None:
        value, found = getattr(inputs, name), getattr(inputs, adder)
        words = f"{float(value):g} {value.unit}"
        wanted.append(Target(kind, level, by_volume, name, words))
        additions.append(Addition(found.name, found.mixture, adder) if found else None)

    if inputs.to_brix is not None:
        level, by_volume = float(inputs.to_brix), inputs.to_brix.unit == "g/l"
        targets.sugar_in_range(inputs.to_brix, "to_brix")
        kind = "sugar" if by_volume else "solids"
        want(kind, "to_brix", level if by_volume else level / 100.0, by_volume, "sweeten")
    if inputs.to_acidity is not None:
        level, by_volume = float(inputs.to_acidity), inputs.to_acidity.unit == "g/l"
        want("acidity", "to_acidity", level if by_volume else level / 100.0, by_volume, "sour")
    if inputs.to_abv is not None:
        want("strength", "to_abv", float(inputs.to_abv) / 100.0, True, "spirit")
    if not wanted:
        raise BadInput(
            f"correct needs a target: {named('to_brix')}, {named('to_acidity')} or "
            f"{named('to_abv')}, one or all.",
            "to_brix",
        )
    for adder, target in (("sweeten", "to_brix"), ("sour", "to_acidity"), ("spirit", "to_abv")):
        if getattr(inputs, adder) is not None and getattr(inputs, target) is None:
            raise BadInput(
                f"{named(adder)} {getattr(inputs, adder).name} needs {named(target)}, "
                f"the target to add it to.", target,
            )  # fmt: skip
    return wanted, additions


def _answer(
    inputs: Inputs,
    batch: Batch,
    one: Mixture,  # 1 kg of the batch with what was added
    added: Added,
    errors: dict[str, float],
    wanted: list[Target],
    additions: list[Addition | None],
    kg: float,
) -> Result:
    known = inputs.batch.ingredient
    mine = known.mixture
    one = one + Mixture({}, mine.allergens, mine.tags, mine.keeps)
    product = one.scaled(kg)
    shown, spread = derived.of(one, *_SHOWN)
    shown["ethanol"] = 1000.0 * product.ethanol_kg or None
    litre = 1e3 * one.volume_20_m3
    grams = {name: 1000.0 * kg * each for name, each in added.kg.items()}
    roles = {"water": "water_to_add", "sweeten": "sweetener_to_add", "sour": "sour_to_add",
             "spirit": "spirit_to_add"}  # fmt: skip
    for name, error in errors.items():
        spread[roles[name]] = 1000.0 * kg * error
    if batch.solids_error:
        spread["dissolved_solids"] = batch.solids_error
        spread["sugar"] = batch.solids_error
    if batch.abv_error:
        spread["abv"] = batch.abv_error
    facts = _facts(inputs, batch, product, added)
    return Result(
        density=shown["density"],
        abv=shown["abv"] or None,
        ethanol=shown["ethanol"],
        sugar=shown["sugar"],
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        hydrometer=shown["hydrometer"],
        acidity=shown["acidity"] or None,
        sugar_acid_ratio=shown["sugar_acid_ratio"],
        product=product,
        water_to_add=grams.get("water"),
        sweetener_to_add=grams.get("sweeten"),
        sour_to_add=grams.get("sour"),
        spirit_to_add=grams.get("spirit"),
        added=math.fsum(grams.values()),
        mass_before=1000.0 * kg,
        mass=1000.0 * product.mass_kg,
        volume=1e6 * product.volume_20_m3,
        sugar_g_l=1000.0 * one.of(*SUGARS) / litre,
        acidity_g_l=1000.0 * one.acidity_as_citric * one.mass_kg / litre or None,
        facts={name: value for name, value in facts.items() if value is not None},
        working=tuple(_working(batch, product, grams, wanted, additions)),
        tables=(_weigh(inputs, grams, additions), _levels(batch, product, wanted, kg)),
        model_error=spread,
    )


def _facts(inputs: Inputs, batch: Batch, product: Mixture, added: Added) -> dict[str, object]:
    fridge = float(inputs.fridge)
    return {
        **acidity.saturation_facts(product, fridge),
        "solids_percent": 100.0 * product.dissolved_solids,
        "two_readings": batch.both,
        "acid_not_given": inputs.acidity is None,
        "alcohol_not_given": inputs.abv is None and not batch.both,
        "name_known": bool(inputs.batch.ingredient.group),
        "usual_end": instruments.usual_end(float(inputs.refractometer))
        if inputs.refractometer is not None and inputs.scale is None
        else None,
        **_strength_in_the_name(inputs, batch),
        "fridge_c": fridge,
        "supersaturation_fridge": syrup.supersaturation(product, fridge),
        "added_percent": 100.0 * added.total_kg,
    }


def _strength_in_the_name(inputs: Inputs, batch: Batch) -> dict[str, object]:
    """How far the strength that the name says lies from the one that was counted, % vol."""
    known = inputs.batch.ingredient
    if not known.group:
        return {}
    try:
        additions = 100.0 * known.mixture.abv
    except BadInput:  # no volume, no strength
        return {}
    counted = 100.0 * instruments.abv_of(batch.mix)
    return {
        "named_percent": additions,
        "counted_percent": counted,
        "name_gap_percent": abs(additions - counted),
    }


def _weigh(inputs: Inputs, grams: dict[str, float], additions: list[Addition | None]) -> Table:
    units = {one.field: one for one in additions if one is not None}
    rows: list[tuple[str | float | None, ...]] = []
    for field in ("water", "spirit", "sweeten", "sour"):
        if not grams.get(field):
            continue
        unit = targets.WATER if field == "water" else units[field].unit
        name = "water" if field == "water" else units[field].name
        for one, mixture, share in targets.apart(getattr(inputs, field, None), name, unit):
            volume = derived.volume_ml(mixture.scaled(grams[field] / 1000.0 * share))
            rows.append((one, grams[field] * share, volume))
    columns = (Column("add"), Column("mass", "g", 2), Column("volume at 20 °C", "ml", 1))
    return Table("add", "add, by weight", columns, tuple(rows))


def _levels(batch: Batch, product: Mixture, wanted: list[Target], kg: float) -> Table:
    """Before, wanted, after."""
    before = batch.mixture().scaled(kg)
    aims = {target.kind: target.words for target in wanted}
    said: dict[derived.Name, tuple[str, str | None]] = {
        "dissolved_solids": ("true dissolved solids, Bx", aims.get("solids") or aims.get("sugar")),
        "refractometer": ("refractometer, Bx", None),
        "acidity": ("acidity as citric, % w/w", aims.get("acidity")),
        "abv": ("strength, % vol", aims.get("strength")),
        "density": ("density, kg/m3", None),
        "mass": ("mass, g", None),
        "volume": ("volume, ml", None),
    }
    old, new = derived.of(before, *said)[0], derived.of(product, *said)[0]
    rows = tuple(
        (label, old[name] or 0.0, aim or "", new[name] or 0.0)
        for name, (label, aim) in said.items()
        if old[name] is not None or new[name] is not None
    )
    columns = (Column("what"), Column("as measured", "", 2), Column("target"),
               Column("after", "", 2))  # fmt: skip
    return Table("levels", "before and after", columns, rows)


def _working(
    batch: Batch,
    product: Mixture,
    grams: dict[str, float],
    wanted: list[Target],
    additions: list[Addition | None],
) -> list[Step]:
    mix = batch.mix
    found = f"sugar {100.0 * mix['sucrose']:.2f} %, citric acid {100.0 * mix['citric']:.3f} %, "
    found += f"ethanol {100.0 * mix.get('ethanol', 0.0):.2f} % by weight"
    from_what = f"{batch.at_20:.2f} Bx at 20 °C" if batch.at_20 is not None else "as measured"
    names = {one.field: one.name for one in additions if one is not None} | {"water": "water"}
    steps = [Step("batch", f"{from_what}: {found}", source="PREPKIT-SOLUTION")]
    steps += [
        Step(f"{names[field]} to add", "smallest addition that meets all targets by mass", one, "g",
             "DEFINITION")
        for field, one in grams.items()
    ]  # fmt: skip
    steps += [
        Step(f"check {Inputs.spec(target.field).label}",
             f"{targets.shown(target, target.found(product))} after, {target.words} wanted")
        for target in wanted
    ]  # fmt: skip
    return steps


__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]
