"""foam: a foamer by its dose, whether the liquid suits it, how much foam, how long it stands."""

from __future__ import annotations

from dataclasses import dataclass

from prepkit import derived
from prepkit.calculators.foam import batch as batches
from prepkit.calculators.foam import estimate, foamers, report
from prepkit.calculators.foam.foamers import Chosen
from prepkit.calculators.foam.inputs import Inputs
from prepkit.first_screen import Figure, Screen
from prepkit.model import Result as BaseResult
from prepkit.model import output

EXAMPLE = 'prepkit foam --liquid "400 ml lemon juice" --foamer lecithin --dose "0.6 %"'


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """What to weigh, what foam it gives, how long it stands, what one serve is."""

    screen = Screen(
        headline=(
            "{foamer} of foamer for {volume}: {foam_low} to {foam_high} of foam.",
            "{foam_low} to {foam_high} of foam.",
            "{mass} of liquid with the foamer.",
        ),
        primary=(
            Figure("foam", "foam_low", "foam_high"),
            Figure("liquid in the foam", "liquid_fraction_low", "liquid_fraction_high"),
            Figure("collapsed after", "standing_low", "standing_high"),
            Figure("most has drained after", "drained_low", "drained_high"),
            "needed",
            "per_serve",
            "dose",
            "ethanol_per_serve",
            Figure("strength", "abv"),
            "mass",
        ),
        check=(Figure("density of the foam", "density_low", "density_high"),),
        do_this=("Stabiliser to weigh: {stabiliser}.",),
        weigh="weigh",
    )

    foamer: float | None = output("foamer to weigh", "g", 2, extensive=True)
    stabiliser: float | None = output("stabiliser to weigh", "g", 2, extensive=True)
    dose: float | None = output("dose by mass of liquid", "% w/w", 2)
    mass: float | None = output("liquid with the foamer", "g", 1, extensive=True)
    volume: float | None = output("volume with foamer (20 °C)", "ml", 0, extensive=True)
    abv: float | None = output("strength at 20 °C", "% vol", 1)
    ethanol: float | None = output("ethanol in the foam", "g", 1, extensive=True)
    saponins: float | None = output("saponins", "mg/kg", 0)
    foam_low: float | None = output("foam volume, lower bound", "l", 1, extensive=True)
    foam_high: float | None = output("foam volume, upper bound", "l", 1, extensive=True)
    liquid_fraction_low: float | None = output("liquid fraction, lower bound", "%", 1)
    liquid_fraction_high: float | None = output("liquid fraction, upper bound", "%", 1)
    overrun_low: float | None = output("overrun, lower bound", "%", 0)
    overrun_high: float | None = output("overrun, upper bound", "%", 0)
    density_low: float | None = output("foam density, lower bound", "kg/m3", 0)
    density_high: float | None = output("foam density, upper bound", "kg/m3", 0)
    standing_low: float | None = output("collapse, earliest (published times)", "min", 0)
    standing_high: float | None = output("collapse, latest (published times)", "min", 0)
    drained_low: float | None = output("most liquid drained, earliest", "min", 1)
    drained_high: float | None = output("most liquid drained, latest", "min", 1)
    per_serve: float | None = output("batch for one serve", "g", 1)
    scoop_low: float | None = output("scoop weight, lower bound", "g", 1)
    scoop_high: float | None = output("scoop weight, upper bound", "g", 1)
    scoops_low: float | None = output("scoops, lower bound", "", 0, extensive=True)
    scoops_high: float | None = output("scoops, upper bound", "", 0, extensive=True)
    needed: float | None = output("batch needed, upper bound", "g", 1, extensive=True)
    ethanol_per_serve: float | None = output("ethanol per serve, upper bound", "g", 2)


def compute(inputs: Inputs) -> Result:
    """Weigh-out by the dose, checks of the liquid, foam by expansion, time by drainage."""
    chosen: Chosen = inputs.foamer
    row = chosen.row
    batch = batches.made(inputs)
    product = batch.product
    liquid = batches.measures(inputs, batch.liquid)
    way = row.way(inputs.method)
    share = estimate.share(inputs, way)
    windows = foamers.window_facts(row, liquid)
    broken = estimate.films_break(windows, share)
    if broken:
        share = None
    volumes = estimate.volumes(share, product, inputs.method or (way.way if way else "air"))
    times = estimate.times(inputs, batch.liquid, None if broken else way, share)
    served = estimate.served(inputs, product, share)
    facts = {
        **windows,
        **batches.dose_facts(inputs, batch),
        **batches.law_facts(inputs, batch),
        **batches.said_facts(inputs, batch, way, share),
        **derived.facts(product),
    }
    if broken:
        facts |= {"films_break": broken, "films_break_count": 1, "foam_range": 1.0}
    if "needed" in served:
        facts["needed_share"] = served["needed"] / (1000.0 * product.mass_kg)
    return Result(
        product=product,
        foamer=batch.grams("foamer"),
        stabiliser=batch.grams("stabiliser"),
        dose=batch.percent("foamer"),
        mass=1000.0 * product.mass_kg,
        volume=1e6 * product.volume_20_m3,
        abv=100.0 * product.abv or None,
        ethanol=1000.0 * product.ethanol_kg or None,
        saponins=batches.saponins_mg_kg(inputs, batch),
        facts=facts,
        working=report.steps(inputs, batch, way, share, times),
        tables=(
            report.weigh(inputs, batch),
            report.checks(chosen, liquid),
            report.about(chosen, way, inputs.jurisdiction),
            report.carries(inputs, product, served),
        ),
        **volumes,
        **times.values,
        **served,
    )
