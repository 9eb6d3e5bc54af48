"""acid-adjust: a juice, cordial or drink brought to an acidity, or stretched while holding it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture, something
from prepkit.model import Column, Step, Table, choice, ingredient, number, output, parts, quantity
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.model import words as words_of
from prepkit.pantry import Ingredient, Pantry, Part
from prepkit.science import acids
from prepkit.shared import acidity
from prepkit.shared.acid_changes import (
    AIMS,
    Change,
    acidity_as_citric,
    adjusted,
    as_measured,
    stretched,
)
from prepkit.shared.acidity import Shelf
from prepkit.units import Measured

EXAMPLE = (
    'prepkit acid-adjust --part "1 kg orange juice" --acid "2 parts citric acid" '
    '--acid "1 part malic acid" --target "6 % w/w"'
)

BENCH_C = 20.0  # where what dissolves is judged


class Inputs(BaseInputs):
    """What there is and what it is to become."""

    part: tuple[Part, ...] = parts(
        "the liquid",
        "What is to be adjusted; give the option once for each part of it.",
        "1 kg orange juice",
    )
    acid: tuple[Shelf, ...] = words_of(
        "the acids to add",
        "One acid off the shelf with its parts by mass; give the option once for each.",
        "2 parts citric acid",
        default=(),
        many=True,
        several=True,
    )
    target: Measured | None = quantity(
        ("% w/w", "g/l"),
        "titratable acidity wanted",
        "Written as citric acid, titrated to pH 8.2: grams in 100 g (% w/w, also meant by a bare "
        "%) or in a litre.",
        "6 % w/w",
        default=None,
        above=0,
    )
    like: Ingredient | None = ingredient(
        "a juice to be like",
        "Its titratable acidity and its acids are the aim.",
        "lemon juice",
        default=None,
    )
    target_ph: float | None = number(
        "pH wanted",
        f"Reached by acid, or upwards as {named('lower')} says; to pH 5 at most.", "3.2",
        default=None, low=1.0, high=14.0, because="no liquid lies outside",
    )  # fmt: skip
    measured: Measured | None = quantity(
        ("% w/w", "g/l"),
        "your own titration of the liquid",
        "Written as citric acid (a bare % is by weight); takes the place of the published acidity, "
        "in the same make-up.",
        "0.95 % w/w",
        default=None,
        above=0,
    )
    stretch_to: Measured | None = quantity(
        ("ml", "g"),
        "yield to stretch to",
        "Water, sugar and acid are added up to this, holding sugar and acidity.",
        "2 l",
        default=None,
        above=0,
        extensive=True,
    )
    lower: str = choice(
        ("refuse", "water", "potassium bicarbonate", "sodium bicarbonate"),
        "how to lower acidity",
        "What may be added where the aim lies below the present acidity.",
        default="refuse",
    )

    @classmethod
    def read_field(cls, name: str, value: Any, pantry: Pantry, so_far: Mapping[str, Any]) -> Any:
        """Hook of the base: the acids by their words."""
        if name != "acid":
            return value
        return tuple(Shelf.read(one, pantry, named("acid")) for one in value)

    def words(self) -> dict[str, Any]:
        """The inputs as words that read back as the same inputs."""
        said = super().words()
        return said if self.like is None else {**said, "like": self.like.name}


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """What to add, and the liquid after it."""

    acid_added: float | None = output("acid to add", "g", 2, extensive=True)
    sugar_added: float | None = output("sugar to add", "g", 1, extensive=True)
    water_added: float | None = output("water to add", "g", 1, extensive=True)
    base_added: float | None = output("base to add", "g", 2, extensive=True)
    mass: float | None = output("mass after", "g", 1, extensive=True)
    volume: float | None = output("volume after, at 20 C", "ml", 1, extensive=True)
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
            f"acid-adjust needs one aim: {named('target')}, {named('like')} or "
            f"{named('target_ph')}, or {named('stretch_to')} alone; "
            f"it was given {' and '.join(aims) if aims else 'none'}.",
            "target",
        )
    change = (adjusted if inputs.stretch_to is None else stretched)(liquid, inputs)
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
        ("volume at 20 C, ml", 1e6 * liquid.volume_20_m3, 1e6 * after.volume_20_m3),
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
