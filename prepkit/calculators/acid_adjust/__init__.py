"""acid-adjust: a juice, cordial or drink brought to an acidity, or stretched while holding it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from prepkit import derived
from prepkit.calculators.acid_adjust.changes import (
    Change,
    adjusted,
    as_measured,
    stretched,
)
from prepkit.calculators.acid_adjust.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.first_screen import Figure, Screen
from prepkit.mixture import Mixture, something
from prepkit.model import Column, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import acids
from prepkit.shared import acidity
from prepkit.shared.acidity import acidity_as_citric

EXAMPLE = (
    'prepkit acid-adjust --part "1 kg orange juice" --acid "2 parts citric acid" '
    '--acid "1 part malic acid" --target "6 % w/w"'
)

AIMS = ("target", "like", "target_ph")
BENCH_C = 20.0  # where what dissolves is judged


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """What to add, and the liquid after it."""

    screen = Screen(
        headline=("{acidity} titratable acidity as citric, in {volume}.", "{volume} after."),
        primary=(
            Figure("acidity, as citric", "acidity"),
            Figure("volume", "volume"),
            "mass",
            Figure("sugars", "sugar"),
            Figure("sugar to acid", "sugar_acid_ratio"),
            "volume_change",
        ),
        check=(Figure("pH", "ph"), Figure("refractometer", "refractometer")),
        do_this=("Water to add: {water_added}.", "Base to add: {base_added}."),
        weigh="add",
    )

    acid_added: float | None = output("acid to add", "g", 2, extensive=True)
    sugar_added: float | None = output("sugar to add", "g", 1, extensive=True)
    water_added: float | None = output("water to add", "g", 1, extensive=True)
    base_added: float | None = output("base to add", "g", 2, extensive=True)
    mass: float | None = output("mass after", "g", 1, extensive=True)
    volume: float | None = output("volume after, at 20 °C", "ml", 1, extensive=True)
    volume_change: float | None = output("change of volume", "ml", 1, extensive=True)
    acidity: float | None = output("titratable acidity after, as citric", "% w/w", 2)
    acidity_g_l: float | None = output("titratable acidity after, as citric", "g/l", 1)
    ph: float | None = output("pH after", "", 2)
    ph_before: float | None = output("pH before", "", 2)
    sugar: float | None = output("sugars after", "% w/w", 2)
    dissolved_solids: float | None = output("true dissolved solids after", "% w/w", 2)
    refractometer: float | None = output("expected refractometer reading after", "Bx", 1)
    sugar_acid_ratio: float | None = output("sugar to acid after", "", 1)


def compute(inputs: Inputs) -> Result:
    """Find how much to add, then compose the liquid again and look at it."""
    liquid = Mixture.total(part.mixture for part in inputs.part)
    if inputs.measured is not None:
        liquid = as_measured(liquid, inputs.measured)
    aims = [name for name in AIMS if getattr(inputs, name) is not None]
    if len(aims) > 1 or not (aims or inputs.stretch_to is not None):
        raise BadInput(
            "acid-adjust takes one target, and it was given "
            f"{' and '.join(map(named, aims)) or 'none'}. Write {named('target')}, "
            f"{named('like')} or {named('target_ph')}, or {named('stretch_to')} alone.",
            "target",
        )
    to = inputs.stretch_to
    change = adjusted(liquid, inputs) if to is None else stretched(liquid, inputs, to)
    return _answer(liquid, change.weighable(), inputs)


# what is shown


def _answer(liquid: Mixture, change: Change, inputs: Inputs) -> Result:
    after = change.after
    ph, ph_error, facts = acidity.ph_facts(after)
    before_ph, before_error, _ = acidity.ph_facts(liquid)
    shown, errors = derived.of(after, "dissolved_solids", "refractometer", "sugar_acid_ratio")
    was, _ = derived.of(liquid, "dissolved_solids", "refractometer", "sugar_acid_ratio")
    if ph is not None:
        errors["ph"] = ph_error
    if before_ph is not None:
        errors["ph_before"] = before_error
    acid_kg = math.fsum(kg for _, kg in change.acids)
    grades = {one.acid: one.purity for one in inputs.acid}
    facts |= acidity.shelf_facts(
        (a, grades.get(a, 1.0))
        for a in acids.FOOD_ACIDS
        if something(after.of(a) - liquid.of(a), after.mass_kg)
    )
    facts |= acidity.tartar_facts(after)
    facts |= acidity.saturation_facts(after, BENCH_C)
    facts["acid_added_g"] = 1000.0 * acid_kg
    facts["co2_l"] = acidity.CO2_L_KG * change.co2
    if ph is not None and before_ph is not None:
        facts |= {"ph_before": before_ph, "ph_rise": ph - before_ph}
    if facts.get("saturation", 0.0) > 1.0:
        return Result(facts=facts, working=_steps(liquid, change, inputs))
    rows = (
        ("mass, g", 1000.0 * liquid.mass_kg, 1000.0 * after.mass_kg),
        ("volume at 20 °C, ml", 1e6 * liquid.volume_20_m3, 1e6 * after.volume_20_m3),
        ("titratable acidity as citric, % w/w", _sour(liquid, "% w/w"), _sour(after, "% w/w")),
        ("titratable acidity as citric, g/l", _sour(liquid, "g/l"), _sour(after, "g/l")),
        ("pH", before_ph, ph),
        ("sugars, % w/w", 100.0 * liquid.sugar, 100.0 * after.sugar),
        ("true dissolved solids, % w/w", was["dissolved_solids"], shown["dissolved_solids"]),
        ("refractometer reading, Bx", was["refractometer"], shown["refractometer"]),
        ("sugar to acid", was["sugar_acid_ratio"], shown["sugar_acid_ratio"]),
    )  # fmt: skip
    return Result(
        product=after,
        acid_added=1000.0 * acid_kg or None,
        sugar_added=1000.0 * change.sugar or None,
        water_added=1000.0 * change.water or None,
        base_added=1000.0 * change.base or None,
        mass=1000.0 * after.mass_kg,
        volume=1e6 * after.volume_20_m3,
        volume_change=1e6 * (after.volume_20_m3 - liquid.volume_20_m3),
        acidity=_sour(after, "% w/w"),
        acidity_g_l=_sour(after, "g/l"),
        ph=ph,
        ph_before=before_ph,
        sugar=100.0 * after.sugar,
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        sugar_acid_ratio=shown["sugar_acid_ratio"],
        facts=facts,
        working=_steps(liquid, change, inputs),
        tables=(
            Table(
                "add",
                "add",
                (Column("what"), Column("mass", "g", 2)),
                _additions(change, inputs),
            ),
            Table(
                "before-and-after",
                "before and after",
                (Column(""), Column("before", "", 2), Column("after", "", 2)),
                rows,
            ),
        ),
        model_error=errors,
    )


def _additions(change: Change, inputs: Inputs) -> tuple[tuple[str | float | None, ...], ...]:
    rows = [(name, 1000.0 * kg) for name, kg in change.acids]
    rows += [("white sugar", 1000.0 * change.sugar)] if change.sugar else []
    rows += [("water", 1000.0 * change.water)] if change.water else []
    rows += [(inputs.lower, 1000.0 * change.base)] if change.base else []
    return tuple(rows)


def _sour(mixture: Mixture, unit: str) -> float | None:
    """Titratable acidity as citric; None where minerals outweigh the acids."""
    found = acidity_as_citric(mixture, unit)
    return found if found > 0.0 else None


def _steps(liquid: Mixture, change: Change, inputs: Inputs) -> tuple[Step, ...]:
    before, after = liquid.titratable_acidity_eq_kg, change.after.titratable_acidity_eq_kg
    refused = derived.refusals(change.after, "refractometer")
    return (
        *acidity.aim_step(inputs.target),
        Step(
            "acidity before",
            f"protons to pH 8.2 less potassium and other cations in {liquid.mass_kg:.4f} kg",
            1000.0 * before * liquid.mass_kg,
            "meq",
            "PREPKIT-ACID",
        ),
        Step(
            "acidity after",
            f"the same in {change.after.mass_kg:.4f} kg",
            1000.0 * after * change.after.mass_kg,
            "meq",
            "PREPKIT-ACID",
        ),
        Step(
            "as citric",
            f"{1000.0 * after:.2f} meq/kg x 0.064041 g/meq / 10",
            100.0 * after * acids.EQUIVALENT_KG["citric"],
            "% w/w",
            "DEFINITION",
        ),
        *(Step(name, f"not shown: {why}") for name, why in refused.items()),
    )
