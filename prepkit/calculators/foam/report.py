"""What the foam calculator shows beside its values: weigh-out, checks, the foamer, the working."""

from __future__ import annotations

from prepkit import derived
from prepkit.calculators.foam import foamers
from prepkit.calculators.foam.batch import Batch
from prepkit.calculators.foam.estimate import Served, Share, Times
from prepkit.calculators.foam.foamers import WHERE, Chosen, Measure, Way
from prepkit.calculators.foam.inputs import Inputs
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Step, Table
from prepkit.science import foam

_Row = tuple[str | float | None, ...]


def weigh(inputs: Inputs, batch: Batch) -> Table:
    """Liquid and foamer, to weigh."""
    rows: list[_Row] = [
        (part.name, 1000.0 * part.mass_kg, derived.volume_ml(part.mixture))
        for part in inputs.liquid
    ]
    rows += [(one.ingredient.name, 1000.0 * one.kg, None) for one in batch.weighed]
    columns = (Column("what"), Column("mass", "g", 2), Column("volume at 20 °C", "ml", 1))
    return Table("weigh", "weigh", columns, tuple(rows))


def checks(chosen: Chosen, liquid: dict[str, Measure]) -> Table:
    """The liquid's own numbers beside what the foamer wants."""
    columns = (
        Column("check"), Column("this liquid"), Column("wanted"), Column("known from"),
        Column("why"),
    )  # fmt: skip
    rows = foamers.window_rows(chosen.row, liquid)
    return Table("checks", f"the liquid for {chosen.row.name}", columns, rows)


def about(chosen: Chosen, way: Way | None, jurisdiction: str | None) -> Table:
    """The row of the foamer: dose, hydration, foam, allergen, law."""
    row = chosen.row
    rows: list[_Row] = [("what it is", row.what, "")]
    if row.role != "liquid":
        rows.append(("usual dose", row.usual, row.dose.obtained if row.dose else "practice"))
    if row.dose and row.dose.start:
        rows.append(("start at", f"{row.dose.start:g} % w/w", "practice"))
    rows.append(("how", row.hydration, row.hydration_obtained))
    if way is not None:
        rows.append((f"foam by {way.way}", f"{way.low:g} to {way.high:g} % liquid", way.obtained))
    rows.append(("allergen", row.allergen, ""))
    rows += [
        (f"law of {WHERE[rule.where]}", _rule_words(rule), rule.obtained)
        for rule in foamers.law(row, jurisdiction)
    ]
    columns = (Column("about"), Column(row.name), Column("known from"))
    return Table("foamer", "the foamer", columns, tuple(rows))


def _rule_words(rule: foamers.Rule) -> str:
    return rule.text if rule.mg_kg is None else f"{rule.text}: at most {rule.mg_kg:g} mg/kg"


def carries(inputs: Inputs, product: Mixture, served: Served) -> Table:
    """What the foam brings into the glass."""
    serve_g = served.get("scoop_high", served.get("per_serve"))
    rows: list[_Row] = [
        (
            name,
            1000.0 * product.of(*components),
            None if serve_g is None else serve_g * product.fraction(*components),
            100.0 * product.fraction(*components),
        )
        for name, components in (("ethanol", ("ethanol",)), ("sugars", SUGARS))
    ]
    names = ", ".join(sorted(product.allergens)) or "none listed"
    rows.append(("allergens", names, None, None))
    columns = (
        Column("what"), Column("in the batch", "g", 1), Column("in one serve", "g", 2),
        Column("in 100 g", "g", 1),
    )  # fmt: skip
    return Table("carries", "what the foam carries", columns, tuple(rows))


def steps(
    inputs: Inputs, batch: Batch, way: Way | None, share: Share | None, times: Times
) -> tuple[Step, ...]:
    """The working: doses, foam, times."""
    liquid_g = 1000.0 * batch.liquid.mass_kg
    names = " + ".join(f"{1000 * part.mass_kg:.1f} g {part.name}" for part in inputs.liquid)
    found = [Step("liquid", names, liquid_g, "g")]
    for one in batch.weighed:
        dose = inputs.dose if one.role == "foamer" else inputs.stabiliser_dose
        if dose is None:
            continue
        of = (
            f"{float(dose):g} % w/w of {liquid_g:.1f} g of liquid"
            if dose.unit == "% w/w"
            else f"{float(dose):g} g/l x {1e3 * batch.liquid.volume_20_m3:.4f} l of liquid at 20 °C"
        )
        found.append(Step(one.ingredient.name, of, 1000.0 * one.kg, "g", "DEFINITION"))
    if share is not None:
        litres = 1e3 * batch.product.volume_20_m3
        found += [
            Step("liquid in the foam", share.how, 100.0 * share.low, "% at least", share.source),
            Step(
                "foam",
                f"{litres:.3f} l / {100.0 * share.high:.3g} % to / {100.0 * share.low:.3g} %",
                litres / share.low,
                "l at most",
                "DEFINITION",
            ),
        ]
    return (*found, *_time_steps(inputs, times))


def _time_steps(inputs: Inputs, times: Times) -> list[Step]:
    found: list[Step] = []
    factor = foam.STANDING_TIME_FACTOR
    if times.viscosity_ratio is not None:
        source = "BUBNIK-1995"
        if inputs.thickness is not None:
            how = "as given, against water at 20 °C"
        elif inputs.foamer.row.role == "liquid":
            how, source = "of milk or cream by its fat and temperature", "BAKSHI-SMITH-1984"
        else:
            how = (
                "of sugar in water at the same dissolved solids and temperature; spirit and gum "
                "not counted"
            )
        found.append(Step("times as thick as water", how, times.viscosity_ratio, "", source))
    if "standing_low" in times.values:
        found.append(
            Step(
                "has collapsed",
                f"{times.in_print} in print, within a factor of {factor:g}: "
                f"{times.values['standing_low']:.0f} to",
                times.values["standing_high"],
                "min",
                "FOAM-TIMES",
            )
        )
    if times.velocity_m_s is not None:
        found += [
            Step(
                "liquid runs down",
                f"K rho g L^2 x fraction / viscosity, bubbles {times.bubble_mm:g} mm, "
                f"{100.0 * times.held:.2g} % liquid",
                1e3 * times.velocity_m_s,
                "mm/s",
                "KOEHLER-1999-MEMORY",
            ),
            Step(
                "most liquid has run out",
                f"{float(inputs.height):g} mm over that speed, within a factor of {factor:g}: "
                f"{times.values['drained_low']:.2g} to",
                times.values["drained_high"],
                "min",
                "PREPKIT-FOAM",
            ),
        ]
    return found
