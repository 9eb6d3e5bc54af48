"""What reduce shows beside its balance: tables, working, and the facts that cautions judge."""

from __future__ import annotations

from typing import Any

from prepkit import cautions, derived
from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table
from prepkit.science import cup
from prepkit.shared import reduction, syrup
from prepkit.shared.reduction import Left
from prepkit.shared.syrup import Store

_OF_ALCOHOL = ("abv_percent", "ethanol_g")


def _ph(inputs: Any, start: Mixture) -> float | None:
    if inputs.measured_ph is not None:
        return float(inputs.measured_ph)
    try:
        return start.ph.value
    except BadInput:
        return None


def split_percent(inputs: Any, start: Mixture) -> tuple[float | None, float | None]:
    """Sucrose that acid splits on the heat, %: least and most; as rich and sour as at the start."""
    if inputs.time is None:
        return None, None
    days = float(inputs.time) / 1440
    ph = _ph(inputs, start)
    store = Store(
        float(inputs.fridge), float(inputs.room), days, ph, inputs.measured_ph is not None
    )
    return syrup.split_percent(start, store, float(inputs.heat))


def facts(
    inputs: Any,
    start: Mixture,
    product: Mixture,
    over: dict[str, float | None],
    split: tuple[float | None, float | None],
) -> dict[str, Any]:
    """What the caution rules judge."""
    solids = 100 * product.dissolved_solids
    known: dict[str, Any] = {
        **derived.facts(product),
        **over,
        "fridge_c": float(inputs.fridge),
        "room_c": float(inputs.room),
        "crystals_estimated": product.of("glucose", "fructose", "maltose", "other_solubles",
                                         "ethanol") > 0.01 * product.of("sucrose"),
        "acidity_times": _times(start, product),
        "acidity_percent": 100 * product.acidity_as_citric,
    }  # fmt: skip
    if inputs.method == "boil":
        known |= {
            "boil_solids": solids,
            "boil_keeps": product.keeps,
            "boil_tags": product.tags,
            "inverted_least": split[0],
            "inverted_most": split[1],
        }
        if inputs.time is not None:
            known |= {"boiled_min": float(inputs.time), "boiled_c": float(inputs.heat)}
    else:
        known |= {"frozen_abv": 100 * product.abv, "frozen_abv_before": 100 * start.abv}
        if inputs.ice_brix is None:
            known["ice_brix"] = None
        point = derived.of(product, "freezing_point")[0]["freezing_point"]
        if point is not None:
            known |= {
                "ice_ends_c": point,
                "freezer_c": float(inputs.freezer),
                "freezer_short_k": float(inputs.freezer) - point,
            }
    return {k: v for k, v in known.items() if v is not None or k == "ice_brix"}


def facts_with_alcohol(start: Mixture, solids: float) -> dict[str, Any]:
    """The facts of a boil with alcohol: what the start brings, and no strength of what is left."""
    known = {k: v for k, v in cautions.about(start).items() if k not in _OF_ALCOHOL}
    return known | {
        "boil_abv": 100 * start.abv,
        "boil_solids": 100 * solids,
        "boil_keeps": start.keeps,
        "boil_tags": start.tags,
    }


def _times(start: Mixture, product: Mixture) -> float:
    before = start.acidity_as_citric
    return product.acidity_as_citric / before if before > 1e-4 else 1.0


def on_the_way(start: Mixture, left: Left) -> Table:
    """Readings between start and end, to see how far it is."""
    rows: list[tuple[str | float | None, ...]] = []
    for quarter in range(5):
        share = quarter / 4
        ice = left.lost.mass_kg / left.product.mass_kg if left.product.mass_kg else 0.0
        now = reduction.less_water(start, share * left.water_kg).product
        now = now.scaled(1.0 - share * ice / (1.0 + ice))
        seen, _ = derived.of(now, "volume", "dissolved_solids", "refractometer", "acidity", "abv")
        rows.append((f"{100 * share:g} % of the water gone", 1000 * now.mass_kg, *seen.values()))
    columns = [
        Column("how far"), Column("left", "g", 0), Column("volume at 20 C", "ml", 0),
        Column("true solids", "Bx", 1), Column("refractometer", "Bx", 1),
        Column("acidity", "% w/w", 2), Column("strength", "% vol", 1),
    ]  # fmt: skip
    if not start.ethanol_kg:
        columns, rows = columns[:-1], [row[:-1] for row in rows]
    return Table("way", "on the way there", tuple(columns), tuple(rows))


def retained() -> Table:
    """Published shares of alcohol that were left in cooked dishes: for orientation only."""
    rows = tuple((how, 100 * share) for how, share in cup.RETAINED.items())
    columns = (Column("how it was cooked"), Column("alcohol left", "%", 0))
    return Table("retained", "alcohol left in other dishes, for orientation", columns, rows)


def steps(inputs: Any, start: Mixture, left: Left) -> list[Step]:
    """The working, as on a board."""
    product = left.product
    solids_g, liquid_g = 1000 * reduction.solids_kg(start), 1000 * start.solution_kg
    total = " + ".join(f"{1000 * part.mass_kg:.1f} g {part.name}" for part in inputs.liquid)
    found = [
        Step("liquid", total, 1000 * start.mass_kg, "g"),
        Step("dissolved solids", f"{solids_g:.2f} g in {liquid_g:.1f} g",
             100 * start.dissolved_solids, "Bx", "DEFINITION"),
    ]  # fmt: skip
    if inputs.brix is not None:
        found.append(
            Step("water to go", f"{liquid_g:.1f} g - {solids_g:.2f} g / {float(inputs.brix):g} %",
                 1000 * left.water_kg, "g", "DEFINITION")
        )  # fmt: skip
    else:
        said = "so that the weight" if inputs.mass is not None else "so that the volume at 20 C"
        found.append(
            Step("water to go", f"{said} of what is left is as wanted", 1000 * left.water_kg, "g",
                 "DEFINITION")
        )  # fmt: skip
    if left.lost.mass_kg:
        clings = float(inputs.ice_brix) / (100 * product.dissolved_solids)
        found.append(
            Step("clings to the ice", f"{float(inputs.ice_brix):g} / "
                 f"{100 * product.dissolved_solids:.2f} Bx of {1000 * left.removed_kg:.1f} g ice, "
                 f"taken as the liquid that is left: {100 * clings:.1f} %",
                 1000 * left.lost.mass_kg, "g", "DEFINITION")
        )  # fmt: skip
    found.append(
        Step("volume", f"{1000 * product.mass_kg:.1f} g / "
             f"{product.density_kg_m3() / 1000:.4f} g/ml", 1e6 * product.volume_20_m3, "ml",
             "PREPKIT-SOLUTION")
    )  # fmt: skip
    if start.acidity_as_citric > 1e-5:
        found.append(
            Step("acidity", f"all acid stays: {100 * start.acidity_as_citric:.3f} % x "
                 f"{1000 * start.mass_kg:.1f} g / {1000 * product.mass_kg:.1f} g",
                 100 * product.acidity_as_citric, "% w/w", "DEFINITION")
        )  # fmt: skip
    found += syrup.crystal_steps(product, inputs.fridge, inputs.room)
    if inputs.time is not None and split_percent(inputs, start)[0] is None:
        found.append(
            Step("sugar split by acid", "not shown: it needs sucrose and a pH from 2 to 5")
        )
    refused = derived.refusals(
        product, "density", "ph", "refractometer", "water_activity", "freezing_point"
    )
    return found + [Step(k.replace("_", " "), f"not shown: {why}") for k, why in refused.items()]


def steps_with_alcohol(start: Mixture, mass_kg: float, solids_kg: float) -> list[Step]:
    """The working where the alcohol that is left is not known."""
    out_kg = start.mass_kg - start.solution_kg
    return [
        Step("dissolved solids", f"{1000 * solids_kg:.2f} g in {1000 * start.solution_kg:.1f} g",
             100 * start.dissolved_solids, "Bx", "DEFINITION"),
        Step("weight to stop at", f"{1000 * solids_kg:.2f} g / "
             f"{100 * solids_kg / (mass_kg - out_kg):.2f} %, whatever of it is alcohol",
             1000 * mass_kg, "g", "DEFINITION"),
        Step("strength, volume, density, readings, crystals",
             "not shown: they hang on the alcohol that is left, which cannot be worked out"),
        Step("alcohol left in other dishes", "5 to 85 % by how they were cooked: for orientation, "
             "a pan of another shape leaves another share", None, "", "USDA-RETENTION-6"),
    ]  # fmt: skip
