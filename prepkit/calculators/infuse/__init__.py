"""infuse: plants in spirit."""

import math
from typing import Self

from prepkit import cautions, derived
from prepkit.calculators.infuse import steeping
from prepkit.calculators.infuse.steeping import Inputs, Solid, Strained, check
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.record import Record
from prepkit.science import ethanol
from prepkit.shared import botanicals, drink
from prepkit.shared.syrup import LiquidKept

__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]


# ---- the working of an infusion, as on a board ----


class Balance(Record):
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
    for solid in balance.solids:
        found += _solid_steps(solid, float(inputs.water_lost))
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


def _solid_steps(solid: Solid, lost_percent: float) -> list[Step]:
    name, grams = solid.part.name, 1000 * solid.put_in.mass_kg
    found = []
    if lost_percent:
        found.append(
            Step(f"{name}, put in", f"{1000 * solid.part.mass_kg:.1f} g fresh x (1 - "
                 f"{lost_percent:g} %)", grams, "g", "DEFINITION")
        )  # fmt: skip
    water_g = 1000 * solid.juice.of("water")
    found.append(
        Step(f"water of {name}", f"{grams:.1f} g x {water_g / grams:.4f}", water_g, "g",
             solid.part.ingredient.source)
    )  # fmt: skip
    solids_g = 1000 * solid.juice.mass_kg - water_g
    if solid.extraction is not None:
        said = f"{grams:.1f} g x {100 * solid.extraction.share:g} % ({solid.extraction.of})"
        source = solid.extraction.source
    else:
        said = f"{grams:.1f} g x {solids_g / grams:.4f}: all but fat, protein and fibre"
        source = solid.part.ingredient.source
    found.append(Step(f"dissolves of {name}", said, solids_g, "g", source))
    return found


def _kept_steps(inputs: Inputs, balance: Balance) -> list[Step]:
    kept_g = 1000 * balance.kept.taken_kg
    if inputs.drained is not None:
        left_g = 1000 * math.fsum(solid.left_kg for solid in balance.solids)
        said = f"{float(inputs.drained):g} g drained - {left_g:.1f} g that cannot dissolve"
        return [Step("liquid kept, as weighed", said, kept_g, "g", "DEFINITION")]
    found = []
    for solid in balance.solids:
        grams = 1000 * solid.put_in.mass_kg
        if inputs.kept is not None:
            found.append(
                Step(f"liquid kept by {solid.part.name}", f"{grams:.1f} g x {inputs.kept:g} g/g as "
                     f"weighed", grams * inputs.kept, "g", "DEFINITION")
            )  # fmt: skip
            continue
        kept = solid.kept
        how = ", a third of it after pressing" if inputs.pressed else ""
        if inputs.pressed and kept.kind == "tea leaf":
            how = ", pressed"
        found.append(
            Step(f"liquid kept by {solid.part.name}", f"{grams:.1f} g x {kept.low:.2f} to "
                 f"{kept.high:.2f} g/g ({kept.kind}{how}), the middle",
                 grams * 0.5 * (kept.low + kept.high), "g", kept.source)
        )  # fmt: skip
    return found


# ---- infuse ----

EXAMPLE = 'prepkit infuse --liquid "700 ml spirit 43 %" --botanical "300 g strawberries"'
MOSTLY_FAT = 0.5  # of the liquid: what plants hold does not mix into it
ALKALOID_LIMIT_MG_KG = 83.0  # in the finished drink [CFR-21-172-QUININE]
_SHOWN: tuple[derived.Name, ...] = (
    "abv", "ethanol", "sugar", "dissolved_solids", "refractometer", "acidity", "ph", "density",
    "water_activity", "freezing_point",
)  # fmt: skip


class Result(BaseResult):
    """The strained infusion at full equilibrium, and how far it may be from there."""

    screen = Screen(
        headline=(
            "{volume} at {abv} once fully exchanged; {abv_none} at the start.",
            "{volume} strained.",
        ),
        primary=(
            Figure("volume", "volume"),
            Figure("strength", "abv"),
            Figure("strength at the start", "abv_none"),
            Figure("strength by then", "abv_at_least", "abv_at_most"),
            Figure("done by then", "share_low", "share_high"),
            Figure("nine tenths after", "ninety_low", "ninety_high"),
            "ninety_time",
            "faster",
            Figure("liquid lost in the plants", "kept"),
            Figure("sugars", "sugar"),
            "dilute_to",
            "caffeine",
        ),
        check=("mass", Figure("refractometer", "refractometer"), Figure("density", "density")),
        weigh="weigh",
    )

    mass: float | None = output("strained infusion", "g", 0, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 0, extensive=True)
    abv: float | None = output("strength at full exchange (20 °C)", "% vol", 2)
    abv_none: float | None = output("strength without exchange", "% vol", 2)
    strength_lost: float | None = output("strength lost, at full exchange", "% vol", 2)
    ethanol: float | None = output("ethanol, at full exchange", "g", 1, extensive=True)
    ethanol_kept: float | None = output("ethanol lost in the plants", "g", 1, extensive=True)
    ethanol_kept_share: float | None = output("ethanol lost, share", "%", 1)
    poured_lost: float | None = output("ethanol lost, as poured liquid", "ml", 0, extensive=True)
    kept: float | None = output("liquid lost in the plants", "g", 0, extensive=True)
    kept_per_gram: float | None = output("liquid lost per gram", "g/g", 2)
    yield_volume: float | None = output("volume strained, share of poured", "%", 0)
    plants_put_in: float | None = output("plants as put in", "g", 1, extensive=True)
    water_from_plants: float | None = output("water of the plants", "g", 1, extensive=True)
    dissolved: float | None = output("dissolved from the plants", "g", 1, extensive=True)
    sugar: float | None = output("sugars", "% w/w", 2)
    sugar_g_l: float | None = output("sugars in the volume", "g/l", 0)
    dissolved_solids: float | None = output("true dissolved solids", "Bx", 2)
    refractometer: float | None = output("expected refractometer reading (20 °C)", "Bx", 1)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    ph: float | None = output("pH", "", 2)
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    water_activity: float | None = output("water activity at 25 °C", "", 3)
    freezing_point: float | None = output("freezing point", "C", 1)
    caffeine: float | None = output("caffeine, upper bound", "mg", 0, extensive=True, limit="least")
    caffeine_per_100_ml: float | None = output(
        "caffeine, upper bound (100 ml)", "mg", 0, limit="least"
    )
    alkaloids: float | None = output("alkaloids of bark, upper bound", "mg/kg", 0, limit="least")
    dilute_to: float | None = output("least drink per gram", "g/g", 1, limit="least")
    fill: float | None = output("fill, liquid and plants", "ml", 0, extensive=True)
    share: float | None = output("done by then, likely", "%", 0)
    share_low: float | None = output("done by then, lower bound", "%", 0, limit="most")
    share_high: float | None = output("done by then, upper bound", "%", 0, limit="least")
    half_time: float | None = output("half of it after", "h", 1)
    ninety_time: float | None = output("nine tenths of it after", "h", 1)
    ninety_low: float | None = output(
        "nine tenths after, lower bound", "h", 1, figures=2, limit="most"
    )
    ninety_high: float | None = output(
        "nine tenths after, upper bound", "h", 0, figures=2, limit="least"
    )
    speed_low: float | None = output("faster by heat, lower bound", "", 2, limit="most")
    speed_high: float | None = output("faster by heat, upper bound", "", 2, limit="least")
    faster: float | None = output("faster under gas, your own", "", 0)
    abv_at: float | None = output("strength by then, likely", "% vol", 1)
    abv_at_least: float | None = output("strength by then, lower bound", "% vol", 1, limit="most")
    abv_at_most: float | None = output("strength by then, upper bound", "% vol", 1, limit="least")
    sugar_at: float | None = output("sugars by then, likely", "g/l", 0)

    def beside_stop(self) -> Self:
        """Hook of the base: no figure to go ahead with."""
        return self.only(()).replaced(tables=(), model_error={})


def compute(inputs: Inputs) -> Result:
    """Refuse, or pour, mix, strain; then what it became and what it cost."""
    refusal = botanicals.refusal(
        (*inputs.botanical, *inputs.liquid), jurisdiction=botanicals.place_of(inputs.jurisdiction)
    )
    if refusal:
        return Result(facts=refusal)
    if inputs.gas == "co2":
        return Result(facts={"carbonating_gas": "carbon dioxide", "carbonating_count": 1})
    nutmeg_g = drink.nutmeg_in_a_measure_g(inputs.botanical, inputs.liquid)
    if nutmeg_g >= drink.STOPS["serve_nutmeg_g"]:
        return Result(facts={"serve_nutmeg_g": nutmeg_g})
    check(inputs)
    steeping.check_course(inputs)
    # what weighs nothing, as an end of a ± may, is not there
    inputs = inputs.replaced(
        liquid=tuple(part for part in inputs.liquid if part.mass_kg > 0.0),
        botanical=tuple(part for part in inputs.botanical if part.mass_kg > 0.0),
    )
    poured = Mixture.total(part.mixture for part in inputs.liquid)
    if poured.fraction("fat", "milk_fat") > MOSTLY_FAT:
        return _in_fat(inputs, poured)
    bark_kg = math.fsum(
        part.mass_kg for part in inputs.botanical if "quinine" in part.ingredient.mixture.tags
    )
    if bark_kg and inputs.alkaloids is None:
        return Result(facts={"alkaloids_percent": None})
    if inputs.alkaloids is not None and not bark_kg:
        raise BadInput(
            f"{named('alkaloids')} is the assay of cinchona bark, and no bark is among the "
            "plants; leave it out.",
            "alkaloids",
        )
    solids = [
        steeping.solid(
            part,
            float(inputs.water_lost) / 100,
            float(inputs.extraction) / 100 if inputs.extraction is not None else None,
            inputs.pressed,
        )
        for part in inputs.botanical
    ]
    kept = _kept(inputs, poured, solids)
    return _result(inputs, poured, solids, kept, bark_kg)


def _kept(inputs: Inputs, poured: Mixture, solids: list[Solid]) -> LiquidKept:
    drained_kg = float(inputs.drained) / 1000 if inputs.drained is not None else None
    kept = steeping.kept_kg(solids, inputs.kept, drained_kg)
    if kept.least_kg < -1e-12 and inputs.drained is not None:
        left_g = 1000 * math.fsum(solid.left_kg for solid in solids)
        raise BadInput(
            f"{named('drained')} is {float(inputs.drained):g} g; what cannot dissolve of the "
            f"plants alone is about {left_g:.1f} g; weigh all of them, drained and not dried.",
            "drained",
        )
    liquor_kg = poured.mass_kg + math.fsum(solid.juice.mass_kg for solid in solids)
    if kept.taken_kg >= liquor_kg:
        raise BadInput(
            f"the plants would keep {1000 * kept.taken_kg:.0f} g of the {1000 * liquor_kg:.0f} g "
            "of liquid and nothing would run off. Take more liquid or fewer plants.",
            "botanical",
        )
    return kept


def _result(
    inputs: Inputs,
    poured: Mixture,
    solids: list[Solid],
    kept: LiquidKept,
    bark_kg: float,
) -> Result:
    juice = Mixture.total(solid.juice for solid in solids)
    full = steeping.strained(poured, juice, kept.taken_kg, 1.0)
    product = full.liquid
    none = steeping.strained(
        poured, juice, min(kept.most_kg, 0.999 * (poured.mass_kg + juice.mass_kg)), 0.0
    )
    put_in_kg = math.fsum(solid.put_in.mass_kg for solid in solids)
    volume_m3, poured_m3 = product.volume_20_m3, poured.volume_20_m3
    shown, error = derived.of(product, *_SHOWN)
    half = 0.5 * (kept.most_kg - kept.least_kg)
    of_density = error.get("density", 0.0) / shown["density"] if shown["density"] else 0.0
    of_volume = math.hypot(of_density, half / product.mass_kg)
    error |= {
        "mass": 1000 * half,
        "volume": 1e6 * volume_m3 * of_volume,
        "yield_volume": 100 * volume_m3 / poured_m3 * of_volume,
        "kept": 1000 * half,
        "kept_per_gram": half / put_in_kg,
    }
    if inputs.kept is not None:  # what the given ratio may be wrong by is not known
        for name in (
            "mass",
            "volume",
            "yield_volume",
            "kept",
            "kept_per_gram",
        ):
            error.pop(name)
    spirit = bool(poured.ethanol_kg)
    kept_kg = full.kept.ethanol_kg
    kept_percent = 100 * kept_kg / poured.ethanol_kg if spirit else 0.0
    poured_lost_ml = 1e6 * poured_m3 * kept_kg / poured.ethanol_kg if spirit else 0.0
    if spirit:
        scale = half / full.kept.mass_kg if full.kept.mass_kg else 0.0
        error |= {
            "ethanol": 1000 * kept_kg * scale,
            "ethanol_kept": 1000 * kept_kg * scale,
            "ethanol_kept_share": kept_percent * scale,
            "poured_lost": poured_lost_ml * scale,
        }
        # no error of the strength: how far the exchange went is not known, see the table
    caffeine_mg = 1e6 * product.of("caffeine")
    alkaloids = None
    if bark_kg and inputs.alkaloids is not None:
        alkaloids = 1e4 * float(inputs.alkaloids) * bark_kg / (poured.mass_kg + juice.mass_kg)
    pressure = inputs.method == "pressure" or inputs.gas is not None
    fill_ml = 1e6 * poured_m3 + 1e6 * put_in_kg / LIGHTEST_KG_M3 if pressure else None
    balance = Balance(poured, solids, juice, kept, full, none, pressure, fill_ml)
    put_in = Mixture.total(solid.put_in for solid in solids)
    course = steeping.of(inputs, poured, put_in, product)
    at = None
    if course.exchange and course.likely is not None:
        low, likely, high = (
            steeping.strained(poured, juice, kept.taken_kg, share or 0.0).liquid
            for share in (course.low, course.likely, course.high)
        )
        at = low, likely, high
    return Result(
        **steeping.values(inputs, course, at),
        abv=shown["abv"],
        ethanol=shown["ethanol"],
        sugar=shown["sugar"],
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        acidity=shown["acidity"] or None,
        ph=shown["ph"],
        density=shown["density"],
        water_activity=shown["water_activity"],
        freezing_point=shown["freezing_point"],
        abv_none=100 * none.liquid.abv if spirit else None,
        strength_lost=100 * (poured.abv - product.abv) if spirit else None,
        ethanol_kept=1000 * kept_kg if spirit else None,
        ethanol_kept_share=kept_percent if spirit else None,
        poured_lost=poured_lost_ml if spirit else None,
        product=product,
        mass=1000 * product.mass_kg,
        volume=1e6 * volume_m3,
        kept=1000 * kept.taken_kg,
        kept_per_gram=kept.taken_kg / put_in_kg,
        yield_volume=100 * volume_m3 / poured_m3,
        plants_put_in=1000 * put_in_kg,
        water_from_plants=1000 * juice.of("water"),
        dissolved=1000 * (juice.mass_kg - juice.of("water")),
        sugar_g_l=product.of(*SUGARS) / volume_m3,
        caffeine=caffeine_mg or None,
        caffeine_per_100_ml=1e-4 * caffeine_mg / volume_m3 or None,
        alkaloids=alkaloids,
        dilute_to=max(1.0, alkaloids / ALKALOID_LIMIT_MG_KG) if alkaloids else None,
        fill=fill_ml,
        model_error=error,
        facts=_facts(inputs, product, balance)
        | {"alkaloids_mg_kg": alkaloids or 0.0, "yield_percent": 100 * volume_m3 / poured_m3}
        | steeping.facts(inputs, poured, product, course),
        working=(*steps(inputs, product, balance), *steeping.steps(inputs, course, poured)),
        tables=(
            _weigh(inputs, solids),
            _reach(balance),
            *steeping.table(inputs, course, poured, juice, kept.taken_kg, product),
        ),
    )


# what is judged and shown

LIGHTEST_KG_M3 = 1000.0  # room that plants take in a vessel: no less than as water (judgement)


def _facts(inputs: Inputs, product: Mixture, balance: Balance) -> Facts:
    """What the caution rules judge."""
    found: Facts = {
        **derived.facts(product),
        "yield_spread_percent": 50
        * (balance.kept.most_kg - balance.kept.least_kg)
        / product.mass_kg,
        "fresh_plant": any(not solid.dry for solid in balance.solids),
        "published_share": any(
            solid.extraction is not None and solid.extraction.source != "DEFINITION"
            for solid in balance.solids
        ),
        "water_lost_percent": float(inputs.water_lost),
        "poured_abv": 100 * balance.poured.abv,
    }
    if balance.poured.ethanol_kg:
        found |= {
            "abv_none": 100 * balance.none.liquid.abv,
            "abv_full": 100 * product.abv,
            "abv_band": 100 * abs(balance.none.liquid.abv - product.abv),
        }
    if balance.pressure and balance.fill_ml is not None:
        found |= {"fill_ml": balance.fill_ml, "pressure_abv": 100 * balance.poured.abv}
    return found


def _in_fat(inputs: Inputs, poured: Mixture) -> Result:
    """The result in a liquid that is mostly fat: what is weighed, and nothing of a mixture.

    The water that plants hold and the fat stay two liquids, so no yield, strength, Brix, density,
    water activity or ice is worked out.
    """
    solids = [steeping.solid(part, 0.0, None, inputs.pressed) for part in inputs.botanical]
    put_in = Mixture.total(solid.put_in for solid in solids)
    said = cautions.about(poured + put_in)
    course = steeping.of(inputs, poured, put_in, poured)
    return Result(
        **steeping.values(inputs, course, None),
        plants_put_in=1000 * put_in.mass_kg,
        facts={
            "allergens": said["allergens"],
            "allergen_list": said["allergen_list"],
            "tags": said["tags"],
            "keeps": said["keeps"],
            "fat_percent": 100 * poured.fraction("fat", "milk_fat"),
            "poured_fat_percent": 100 * poured.fraction("fat", "milk_fat"),
            "plant_water_g": 1000 * put_in.of("water"),
            **steeping.facts(inputs, poured, poured, course),
        },
        tables=(_weigh(inputs, solids), *steeping.aroma_table(inputs)),
        working=(
            Step("water of the plants", f"in {1000 * put_in.mass_kg:.1f} g; it does not mix with "
                                        "fat", 1000 * put_in.of("water"), "g", "DEFINITION"),
        ),
    )  # fmt: skip


def _weigh(inputs: Inputs, solids: list[Solid]) -> Table:
    """All that is weighed, plants as bought."""
    rows: list[tuple[str | float | None, ...]] = [
        (part.name, 1000 * part.mass_kg, derived.volume_ml(part.mixture), "poured on")
        for part in inputs.liquid
    ]
    lost = float(inputs.water_lost)
    how = "strained off" if not lost else f"fresh, {lost:g} % of it dried off first, strained off"
    rows += [(solid.part.name, 1000 * solid.part.mass_kg, None, how) for solid in solids]
    columns = (
        Column("part"), Column("mass", "g", 1), Column("volume at 20 °C", "ml", 0), Column("what"),
    )  # fmt: skip
    return Table("weigh", "weigh", columns, tuple(rows))


def _reach(balance: Balance) -> Table:
    """From nothing exchanged to all mixed, and what the range of the loss does to it."""
    least, taken, most = balance.kept
    cases = [
        ("nothing exchanged", balance.none),
        ("half", steeping.strained(balance.poured, balance.juice, taken, 0.5)),
        ("all mixed", balance.full),
    ]
    if most > least:
        liquor_kg = balance.poured.mass_kg + balance.juice.mass_kg
        for words, kg in (("all mixed, least kept", least), ("all mixed, most kept", most)):
            if kg < liquor_kg:
                cases.append((words, steeping.strained(balance.poured, balance.juice, kg, 1.0)))
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
        Column("volume at 20 °C", "ml", 0), Column("strength", "% vol", 2),
        Column("sugars", "g/l", 0), Column("ethanol", "g", 1),
    )  # fmt: skip
    if not balance.poured.ethanol_kg:  # no strength to speak of
        spared = ("strength", "ethanol")
        shown = [at for at, column in enumerate(columns) if column.label not in spared]
        columns = tuple(columns[at] for at in shown)
        rows = [tuple(row[at] for at in shown) for row in rows]
    return Table("reach", "from nothing exchanged to all mixed", columns, tuple(rows))
