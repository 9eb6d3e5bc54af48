"""The working of an infusion, as on a board."""

from __future__ import annotations

import math
from typing import NamedTuple

from prepkit import derived
from prepkit.calculators.infuse.inputs import Inputs
from prepkit.calculators.infuse.steeping import Solid, Strained
from prepkit.mixture import Mixture
from prepkit.model import Step
from prepkit.science import ethanol
from prepkit.shared.straining import LiquidKept


class Balance(NamedTuple):
    """The balance as it was worked out."""

    poured: Mixture
    solids: list[Solid]
    juice: Mixture
    kept: LiquidKept
    full: Strained
    none: Strained
    pressure: bool
    fill_ml: float | None


def steps(inputs: Inputs, product: Mixture, balance: Balance) -> list[Step]:
    """The working, as on a board."""
    poured, juice, kept = balance.poured, balance.juice, balance.kept
    total = " + ".join(f"{1000 * part.mass_kg:.1f} g {part.name}" for part in inputs.liquid)
    found = [Step("poured", total, 1000 * poured.mass_kg, "g")]
    for one in balance.solids:
        found += _solid_steps(one, float(inputs.water_lost))
    found += _kept_steps(inputs, balance)
    liquor_kg = poured.mass_kg + juice.mass_kg
    found.append(
        Step("runs off", f"{1000 * poured.mass_kg:.1f} g + {1000 * juice.mass_kg:.1f} g "
             f"- {1000 * kept.taken_kg:.1f} g, however far it mixed", 1000 * product.mass_kg, "g",
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
            Step("ethanol kept", f"{1000 * kept.taken_kg:.1f} g x "
                 f"{product.fraction('ethanol'):.4f}", 1000 * balance.full.kept.ethanol_kg, "g",
                 "DEFINITION"),
            Step("reach", f"from {100 * balance.none.liquid.abv:.2f} % vol (nothing exchanged) to "
                 f"{100 * product.abv:.2f} % vol (all mixed)"),
        ]  # fmt: skip
    if balance.fill_ml is not None:
        found.append(
            Step("for the siphon calculator", f"{1e6 * poured.volume_20_m3:.0f} ml liquid + plants "
                 f"at 1 ml per g: {balance.fill_ml:.0f} ml of this liquid as the contents, "
                 "nitrous oxide and the facts of the vessel", balance.fill_ml, "ml", "JUDGEMENT")
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


def _kept_steps(inputs: Inputs, balance: Balance) -> list[Step]:
    kept_g = 1000 * balance.kept.taken_kg
    if inputs.drained is not None:
        left_g = 1000 * math.fsum(one.left_kg for one in balance.solids)
        said = f"{float(inputs.drained):g} g drained - {left_g:.1f} g that cannot dissolve"
        return [Step("liquid kept, as weighed", said, kept_g, "g", "DEFINITION")]
    found = []
    for one in balance.solids:
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
