"""What infuse shows beside its balance: tables, working, and the facts that cautions judge."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from prepkit import cautions, derived
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Step, Table
from prepkit.science import ethanol
from prepkit.shared import steep
from prepkit.shared.steep import Solid, Strained

LIGHTEST_KG_M3 = 1000.0  # room that plants take in a vessel: no less than as water (judgement)


class Seen(NamedTuple):
    """The balance as it was worked out; `kept` in kg: least, taken, most."""

    poured: Mixture
    solids: list[Solid]
    juice: Mixture
    kept: tuple[float, float, float]
    full: Strained
    none: Strained
    pressure: bool
    fill_ml: float | None


def facts(inputs: Any, product: Mixture, seen: Seen) -> dict[str, Any]:
    """What the caution rules judge."""
    found: dict[str, Any] = {
        **derived.facts(product),
        "yield_spread_percent": 50 * (seen.kept[2] - seen.kept[0]) / product.mass_kg,
        "fresh_plant": any(not one.dry for one in seen.solids),
        "published_share": any(
            one.extraction is not None and one.extraction.source != "DEFINITION"
            for one in seen.solids
        ),
        "water_lost_percent": float(inputs.water_lost),
        "poured_abv": 100 * seen.poured.abv,
    }
    if seen.poured.ethanol_kg:
        found |= {
            "abv_none": 100 * seen.none.liquid.abv,
            "abv_full": 100 * product.abv,
            "abv_band": 100 * abs(seen.none.liquid.abv - product.abv),
        }
    if seen.pressure and seen.fill_ml is not None:
        found |= {"fill_ml": seen.fill_ml, "pressure_abv": 100 * seen.poured.abv}
    return found


def in_fat(inputs: Any, poured: Mixture) -> dict[str, Any]:
    """The result in a liquid that is mostly fat: what is weighed, and nothing of a mixture.

    The water that plants hold and the fat stay two liquids, so no yield, strength, Brix, density,
    water activity or ice is worked out.
    """
    solids = [steep.solid(part, 0.0, None, inputs.pressed) for part in inputs.botanical]
    put_in = Mixture.total(one.put_in for one in solids)
    said = cautions.about(poured + put_in)
    named = ("allergens", "allergen_list", "tags", "keeps")
    return {
        "plants_put_in": 1000 * put_in.mass_kg,
        "facts": {
            **{name: said[name] for name in named},
            "fat_percent": 100 * poured.fraction("fat", "milk_fat"),
            "poured_fat_percent": 100 * poured.fraction("fat", "milk_fat"),
            "plant_water_g": 1000 * put_in.of("water"),
        },
        "tables": (weigh(inputs, solids),),
        "working": (
            Step("water of the plants", f"in {1000 * put_in.mass_kg:.1f} g; it does not mix with "
                 "fat", 1000 * put_in.of("water"), "g", "DEFINITION"),
        ),
    }  # fmt: skip


def weigh(inputs: Any, solids: list[Solid]) -> Table:
    """All that is weighed, plants as bought."""
    rows: list[tuple[str | float | None, ...]] = [
        (part.name, 1000 * part.mass_kg, derived.volume_ml(part.mixture), "poured on")
        for part in inputs.liquid
    ]
    lost = float(inputs.water_lost)
    how = "strained off" if not lost else f"fresh, {lost:g} % of it dried off first, strained off"
    rows += [(one.part.name, 1000 * one.part.mass_kg, None, how) for one in solids]
    columns = (
        Column("part"), Column("mass", "g", 1), Column("volume at 20 C", "ml", 0), Column("what"),
    )  # fmt: skip
    return Table("weigh", "weigh", columns, tuple(rows))


def reach(seen: Seen) -> Table:
    """From nothing exchanged to all mixed, and what the range of the loss does to it."""
    least, taken, most = seen.kept
    cases = [
        ("nothing exchanged", seen.none),
        ("half", steep.strained(seen.poured, seen.juice, taken, 0.5)),
        ("all mixed", seen.full),
    ]
    if most > least:
        liquor_kg = seen.poured.mass_kg + seen.juice.mass_kg
        for words, kg in (("all mixed, least kept", least), ("all mixed, most kept", most)):
            if kg < liquor_kg:
                cases.append((words, steep.strained(seen.poured, seen.juice, kg, 1.0)))
    rows: list[tuple[str | float | None, ...]] = []
    for words, case in cases:
        liquid = case.liquid
        volume = derived.volume_ml(liquid)
        rows.append(
            (words, 1000 * case.kept.mass_kg, 1000 * liquid.mass_kg,
             volume, 100 * liquid.abv,
             1e6 * liquid.of(*SUGARS) / volume if volume else None, 1000 * liquid.ethanol_kg)
        )  # fmt: skip
    columns: tuple[Column, ...] = (
        Column("exchange"), Column("kept", "g", 0), Column("strained", "g", 0),
        Column("volume at 20 C", "ml", 0), Column("strength", "% vol", 2),
        Column("sugars", "g/l", 0), Column("ethanol", "g", 1),
    )  # fmt: skip
    if not seen.poured.ethanol_kg:  # no strength to speak of
        spared = ("strength", "ethanol")
        shown = [at for at, one in enumerate(columns) if one.label not in spared]
        columns = tuple(columns[at] for at in shown)
        rows = [tuple(row[at] for at in shown) for row in rows]
    return Table("reach", "from nothing exchanged to all mixed", columns, tuple(rows))


def steps(inputs: Any, product: Mixture, seen: Seen) -> list[Step]:
    """The working, as on a board."""
    poured, juice, kept = seen.poured, seen.juice, seen.kept
    total = " + ".join(f"{1000 * part.mass_kg:.1f} g {part.name}" for part in inputs.liquid)
    found = [Step("poured", total, 1000 * poured.mass_kg, "g")]
    for one in seen.solids:
        found += _solid_steps(one, float(inputs.water_lost))
    found += _kept_steps(inputs, seen)
    liquor_kg = poured.mass_kg + juice.mass_kg
    found.append(
        Step("runs off", f"{1000 * poured.mass_kg:.1f} g + {1000 * juice.mass_kg:.1f} g "
             f"- {1000 * kept[1]:.1f} g, however far it mixed", 1000 * product.mass_kg, "g",
             "DEFINITION")
    )  # fmt: skip
    if poured.ethanol_kg:
        found += [
            Step("ethanol in all", f"{1000 * poured.ethanol_kg:.1f} g / {1000 * liquor_kg:.1f} g, "
                 f"all mixed (assumed: full equilibrium)", 100 * product.fraction("ethanol"),
                 "% w/w", "DEFINITION"),
            Step("strength", f"{1000 * product.ethanol_kg:.1f} g / {ethanol.PURE_G_ML_WORDS} / "
                 f"{1e6 * product.volume_20_m3:.1f} ml", 100 * product.abv, "% vol",
                 "PREPKIT-SOLUTION"),
            Step("ethanol kept", f"{1000 * kept[1]:.1f} g x "
                 f"{product.fraction('ethanol'):.4f}", 1000 * seen.full.kept.ethanol_kg, "g",
                 "DEFINITION"),
            Step("reach", f"from {100 * seen.none.liquid.abv:.2f} % vol (nothing exchanged) to "
                 f"{100 * product.abv:.2f} % vol (all mixed)"),
        ]  # fmt: skip
    if seen.fill_ml is not None:
        found.append(
            Step("for the siphon calculator", f"{1e6 * poured.volume_20_m3:.0f} ml liquid + plants "
                 f"at 1 ml per g: {seen.fill_ml:.0f} ml of this liquid as the contents, "
                 "nitrous oxide and the facts of the vessel", seen.fill_ml, "ml", "JUDGEMENT")
        )  # fmt: skip
    refused = derived.refusals(
        product, "density", "ph", "refractometer", "water_activity", "freezing_point"
    )
    found += [Step(name.replace("_", " "), f"not shown: {why}") for name, why in refused.items()]
    return found


def _solid_steps(one: Solid, lost_percent: float) -> list[Step]:
    name, grams = one.part.name, 1000 * one.put_in.mass_kg
    found = []
    if lost_percent:
        found.append(
            Step(f"{name}, put in", f"{1000 * one.part.mass_kg:.1f} g fresh x (1 - "
                 f"{lost_percent:g} %)", grams, "g", "DEFINITION")
        )  # fmt: skip
    water_g = 1000 * one.juice.of("water")
    found.append(
        Step(f"water of {name}", f"{grams:.1f} g x {water_g / grams:.4f}", water_g, "g",
             one.part.ingredient.source)
    )  # fmt: skip
    solids_g = 1000 * one.juice.mass_kg - water_g
    if one.extraction is not None:
        said = f"{grams:.1f} g x {100 * one.extraction.share:g} % ({one.extraction.of})"
        source = one.extraction.source
    else:
        said = f"{grams:.1f} g x {solids_g / grams:.4f}: all but fat, protein and fibre"
        source = one.part.ingredient.source
    found.append(Step(f"dissolves of {name}", said, solids_g, "g", source))
    return found


def _kept_steps(inputs: Any, seen: Seen) -> list[Step]:
    kept_g = 1000 * seen.kept[1]
    if inputs.drained is not None:
        left_g = 1000 * math.fsum(one.left_kg for one in seen.solids)
        said = f"{float(inputs.drained):g} g drained - {left_g:.1f} g that cannot dissolve"
        return [Step("liquid kept, as weighed", said, kept_g, "g", "DEFINITION")]
    found = []
    for one in seen.solids:
        grams = 1000 * one.put_in.mass_kg
        if inputs.kept is not None:
            found.append(
                Step(f"liquid kept by {one.part.name}", f"{grams:.1f} g x {inputs.kept:g} g/g as "
                     f"weighed", grams * inputs.kept, "g", "DEFINITION")
            )  # fmt: skip
            continue
        kept = one.kept
        how = ", a third of it after pressing" if inputs.pressed else ""
        if inputs.pressed and kept.kind == "tea leaf":
            how = ", pressed"
        found.append(
            Step(f"liquid kept by {one.part.name}", f"{grams:.1f} g x {kept.low:.2f} to "
                 f"{kept.high:.2f} g/g ({kept.kind}{how}), the middle",
                 grams * 0.5 * (kept.low + kept.high), "g", kept.source)
        )  # fmt: skip
    return found
