"""What is shown of a blend beside its values: weigh-out, rounding, bottles, allergens, working."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from prepkit import derived
from prepkit.mixture import Mixture
from prepkit.model import Column, Output, Step, Table
from prepkit.science import ethanol
from prepkit.shared.blending import Bottled, Line, Taken
from prepkit.shared.prices import Cost
from prepkit.shared.targets import Target

Row = tuple[str | float | None, ...]
_ROUNDED: tuple[derived.Name, ...] = ("abv", "sugar", "acidity", "ph", "mass", "volume")


def weigh(going_in: Sequence[Line], cost: Cost, measured: bool, priced: bool) -> Table:
    """All that is weighed; volumes as measured and costs where they were asked for."""
    columns = [Column("part"), Column("mass", "g", 1), Column("volume at 20 C", "ml", 1)]
    columns += [Column("volume as measured", "ml", 1), Column("at", "C", 0)] if measured else []
    columns += [Column(" ".join(filter(None, ("cost", cost.currency))), "", 2)] if priced else []
    rows: list[Row] = []
    for line, money in zip(going_in, cost.of_part, strict=True):
        row: list[str | float | None] = [line.name, 1000 * line.mixture.mass_kg, line.volume_ml(20)]
        row += [line.volume_ml(), line.at_c] if measured else []
        rows.append((*row, money) if priced else tuple(row))
    return Table("weigh", "weigh", tuple(columns), tuple(rows))


def rounding(
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
        Table("rounded", "rounded to what can be measured", measured, tuple(rows)),
        Table("rounding", "what the rounding changes, at 20 C", compared, tuple(effect)),
    ]


def bottles(bottled: Bottled | None) -> list[Table]:
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


def allergens(going_in: Sequence[Line]) -> list[Table]:
    """What a menu must name, and which part brings it."""
    found: dict[str, list[str]] = {}
    for line in going_in:
        for allergen in line.mixture.allergens:
            found.setdefault(allergen.replace(":", ": "), []).append(line.name)
    rows = tuple((name, ", ".join(of)) for name, of in sorted(found.items()))
    columns = (Column("allergen"), Column("comes with"))
    return [Table("allergens", "to declare", columns, rows)] if rows else []


def working(
    inputs: Any,
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
            label = f"{line.name} at {line.at_c:g} C"
            steps.append(Step(label, formula, grams, "g", _source(line.mixture)))
    said = " + ".join(f"{1000 * line.mixture.mass_kg:.1f} g {line.name}" for line in going_in)
    steps.append(Step("mass", said, mass_g, "g"))
    formula = f"{mass_g:.1f} g / {mass_g / volume_ml:.4f} g/ml at {at_c:g} C"
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
        lacking = f"; no price: {', '.join(cost.unpriced)}" if cost.unpriced else ""
        steps.append(Step("cost", f"{known}{lacking}", cost.known, cost.currency))
    refused = derived.refusals(mixture, "ph", "refractometer")
    return steps + [Step(name, f"not shown: {why}") for name, why in refused.items()]


def _source(mixture: Mixture) -> str:
    """Where the density of a mixture comes from."""
    known = {name for name, kg in mixture.masses_kg.items() if kg > 0}
    if known <= {"water", "ethanol"}:
        return "OIML-R22"
    return "SPS-4" if known <= {"water", "sucrose"} else "PREPKIT-SOLUTION"
