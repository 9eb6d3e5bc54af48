"""What oleo shows beside its balance: tables, working, and the facts that cautions judge."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from prepkit import derived
from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table
from prepkit.science import emulsion, osmosis
from prepkit.shared import citrus_oil
from prepkit.shared.citrus_oil import Oil
from prepkit.shared.peel import Exchange, Peel, Syrup


def oils(inputs: Any, batch: Peel | None) -> list[Oil]:
    """Oil of the peel as published, and what is added."""
    found = citrus_oil.weighed(inputs.oil, inputs.drops, inputs.dropper)
    own = []
    for one in batch.each if batch else ():
        if one.fruit is None:
            continue
        low, high = one.fruit.oil
        how = f"all of {100 * low:g} to {100 * high:g} % of the peel; how much is released is open"
        own.append(
            Oil(f"{one.ingredient.name}, its own", one.mass_kg * low, one.mass_kg * high, how)
        )
    return own + found


def _oil_load(oils: list[Oil], least_kg: float, most_kg: float) -> tuple[float, float]:
    return math.fsum(oil.low_kg for oil in oils) / most_kg, math.fsum(
        oil.high_kg for oil in oils
    ) / least_kg


def _in_drink(inputs: Any, product: Mixture) -> float | None:
    if inputs.drink is None or not product.mass_kg:
        return None
    drink, per = inputs.drink, inputs.per_drink
    return citrus_oil.share_in_drink((float(per), per.unit), (float(drink), drink.unit), product)


def oil_values(
    inputs: Any, oils: list[Oil], least_kg: float, most_kg: float, product: Mixture
) -> dict[str, Any]:
    if not oils or least_kg <= 0:
        return {}
    low, high = _oil_load(oils, least_kg, most_kg)
    share = _in_drink(inputs, product)
    gum_low = emulsion.gum_arabic_needed_kg(math.fsum(oil.low_kg for oil in oils))[0]
    gum_high = emulsion.gum_arabic_needed_kg(math.fsum(oil.high_kg for oil in oils))[1]
    return {
        "oil_least": 1e6 * low,
        "oil_most": 1e6 * high,
        "oil_times_soluble": emulsion.times_over_solubility(low),
        "drink_oil_least": 1e6 * low * share if share else None,
        "drink_oil_most": 1e6 * high * share if share else None,
        "gum_least": 1000 * gum_low,
        "gum_most": 1000 * gum_high,
    }


def facts(inputs: Any, batch: Peel | None) -> dict[str, Any]:
    counted = batch is not None and batch.low_kg != batch.high_kg
    return {
        "peel_g": 1000 * batch.mass_kg if batch else 0.0,
        "peel_counted": float(counted),
        "temperature_c": float(inputs.temperature),
        "drop_count": float(sum(one.number for one in inputs.drops)),
        "dropper": inputs.dropper,
    }


def _range(low: float, high: float) -> str:
    """Two ends as words, to two digits, one number where they are shown alike.

    >>> _range(10432.0, 17593.0), _range(8.04, 7.96)
    ('10000 to 18000', '8')
    """
    ends = f"{float(f'{low:.2g}'):.6g}", f"{float(f'{high:.2g}'):.6g}"
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def oil_facts(
    inputs: Any, oils: list[Oil], least_kg: float, most_kg: float, product: Mixture
) -> dict[str, Any]:
    if not oils or least_kg <= 0:
        return {}
    low, high = _oil_load(oils, least_kg, most_kg)
    share = _in_drink(inputs, product)
    strength = float(inputs.drink_strength) if inputs.drink_strength is not None else None
    facts: dict[str, Any] = {
        "oil_low_mg_kg": 1e6 * low,
        "oil_high_mg_kg": 1e6 * high,
        "oil_range": _range(1e6 * low, 1e6 * high),
        "drink_strength_percent": strength or 0.0,
        "emulsified": 1.0 if inputs.emulsifier else 0.0,
    }
    added = [oil for oil in oils if "its own" not in oil.name]
    levels = [
        oil.high_kg / most_kg * share / level[1]
        for oil in added
        if share and (level := citrus_oil.use_level(oil.name))
    ]
    if levels:
        facts["over_use_level"] = max(levels)
    part_share = (
        inputs.emulsifier.mass_kg / most_kg * share if inputs.emulsifier and share else None
    )
    return facts | citrus_oil.emulsifier_facts(
        inputs.emulsifier, part_share, inputs.jurisdiction, strength
    )


def weigh(inputs: Any, batch: Peel | None) -> Table:
    rows: list[tuple[str | float | None, ...]] = []
    for peel in batch.each if batch else ():
        rows.append((peel.ingredient.name, 1000 * peel.mass_kg, None))
    sugars = inputs.sugar.each if inputs.sugar else ()
    for one in (*sugars, *inputs.liquid, *inputs.oil, inputs.emulsifier):
        if one is not None:
            rows.append((one.name, 1000 * one.mass_kg, derived.volume_ml(one.mixture)))
    one_drop, _ = citrus_oil.drop_kg(inputs.dropper)
    rows += [(f"{d} (drops)", 1000 * d.number * one_drop, None) for d in inputs.drops]
    columns = (Column("part"), Column("mass", "g", 2), Column("volume at 20 C", "ml", 1))
    return Table("weigh", "weigh", columns, tuple(rows))


def tables(
    inputs: Any, batch: Peel | None, oils: list[Oil], syrup_kg: float, product: Mixture
) -> tuple[Table, ...]:
    return (weigh(inputs, batch), *oil_tables(inputs, oils, syrup_kg, product))


def oil_tables(
    inputs: Any, oils: list[Oil], syrup_kg: float, product: Mixture
) -> tuple[Table, ...]:
    if not oils or syrup_kg <= 0:
        return ()
    droplet = float(inputs.droplet) * 1e-6 if inputs.droplet is not None else None
    settling = citrus_oil.settling_table(product, droplet)
    alcoholic = inputs.drink_strength is not None and float(inputs.drink_strength) > 0.5
    tables = (
        citrus_oil.oils_table(oils, syrup_kg, _in_drink(inputs, product)),
        settling,
        citrus_oil.limits_table(inputs.jurisdiction, alcoholic),
    )
    return tuple(table for table in tables if table is not None)


def solubility_steps(inputs: Any, soluble: float) -> list[Step]:
    return [
        Step("water for 1 g of sugar", f"(1 - {soluble:.4f}) / {soluble:.4f} at "
             f"{float(inputs.temperature):g} C", osmosis.water_to_dissolve(soluble), "g",
             "VAVRINECZ"),
    ]  # fmt: skip


def band_steps(inputs: Any, band: Mapping[str, Any]) -> list[Step]:
    if not band:
        return []
    return [
        Step("diffusion band", f"strip of {float(inputs.thickness):g} mm, other fruits: "
             f"{osmosis.DIFFUSIVITY_LOW_M2_S:g} to {osmosis.DIFFUSIVITY_HIGH_M2_S:g} m2/s",
             None, "", "OSMOTIC-DIFFUSIVITY"),
        Step("90 % done", "0.848 x depth^2 / D, fast end to slow end "
             f"{band['nearly_done_fast']:.1f} to {band['nearly_done_slow']:.1f} h",
             None, "", "SLAB-DIFFUSION"),
    ]  # fmt: skip


def steps(
    inputs: Any, batch: Peel | None, exchange: Exchange | None, made: Syrup, soluble: float,
    kept_kg: float, kept_error_kg: float,
) -> list[Step]:  # fmt: skip
    steps: list[Step] = []
    for one in batch.each if batch else ():
        if one.fruits and one.fruit:
            steps.append(
                Step("peel of the fruit", f"{one.fruits:.2f} {one.fruit.name} "
                     f"by {inputs.peeled}: {1000 * (one.low_kg or 0):.0f} to "
                     f"{1000 * (one.high_kg or 0):.0f} g", 1000 * one.mass_kg, "g",
                     "USDA-SR28" if inputs.peeled == "whole peel" else "PEEL-PRACTICE")
            )  # fmt: skip
    if batch and exchange:
        steps += [
            Step("water from the peel", f"{1000 * batch.mass_kg:.1f} g x "
                 f"{exchange.water_loss:.3f} ({exchange.how})", 1000 * made.water_kg, "g",
                 exchange.source),
            Step("sugar into the peel", f"{1000 * batch.mass_kg:.1f} g x "
                 f"{exchange.solids_gain:.3f}", 1000 * made.sugar_in_peel_kg, "g",
                 exchange.source),
        ]  # fmt: skip
    steps += solubility_steps(inputs, soluble)
    steps += [
        Step("sugar dissolved", "the smaller of what is left and what the water holds",
             1000 * made.dissolved_kg, "g", "DEFINITION"),
        Step("undissolved sugar", "sugar less what went into the peel less what dissolved",
             1000 * made.undissolved_kg, "g", "DEFINITION"),
    ]  # fmt: skip
    if batch:
        how = "as weighed" if inputs.kept is not None else "20 to 60 % of the drained peel"
        steps.append(
            Step("syrup kept by the peel", f"{how}, give or take {1000 * kept_error_kg:.1f} g",
                 1000 * kept_kg, "g", "PEEL-PRACTICE")
        )  # fmt: skip
        own = batch.ingredient.mixture.sugar
        steps.append(
            Step("not counted", f"the peel's own sugars, {1000 * own * batch.mass_kg:.1f} g at "
                 f"most, its acid and its oil in the syrup's mass", None, "",
                 batch.ingredient.source)
        )  # fmt: skip
    return steps


def band(inputs: Any) -> dict[str, Any]:
    """How far other fruits would be, where the thickness is known."""
    if inputs.thickness is None:
        return {}
    thick = float(inputs.thickness) / 1000
    found = {
        "nearly_done_fast": osmosis.diffusion_time_h(
            0.9, thick, osmosis.DIFFUSIVITY_HIGH_M2_S, inputs.one_face
        ),
        "nearly_done_slow": osmosis.diffusion_time_h(
            0.9, thick, osmosis.DIFFUSIVITY_LOW_M2_S, inputs.one_face
        ),
    }
    if inputs.time is not None:
        shares = osmosis.diffusion_band(float(inputs.time), thick, inputs.one_face)
        names = ("done_slow", "done_middle", "done_fast")
        found |= {name: 100 * share for name, share in zip(names, shares, strict=True)}
    return found
