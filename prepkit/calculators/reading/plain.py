"""Readings of black coffee, plain spirit, and syrup that holds invert sugar."""

from __future__ import annotations

from math import hypot

from prepkit.calculators.reading.drink import acid_of, facts_of, refractometer
from prepkit.calculators.reading.inputs import Inputs
from prepkit.calculators.reading.result import Result
from prepkit.errors import BadInput, named
from prepkit.model import Step
from prepkit.science import coffee as coffees
from prepkit.science import ethanol, readings, us_gauging
from prepkit.shared import instruments

SWEET_BX = 0.7  # over plain spirit: more than 4 g/l of solids and the readings' own error
_MOST_HIDDEN = us_gauging.obscuration_proof(us_gauging.DISTIL_ABOVE_MG_100_ML) / 200.0
_RULE_PROOF = (80.0, 100.0)  # 27 CFR 30.32(b)


def inverted(inputs: Inputs) -> Result:
    """A syrup that holds invert sugar, or honey, by a refractometer alone."""
    steps: list[Step] = []
    at_20 = refractometer(inputs, steps)
    water = float(inputs.thinned)
    acid = acid_of(inputs)
    if acid.by_volume:
        raise BadInput(
            f"{named('acid')} in g/l needs a density, which is not computed beside invert sugar; "
            "give it in "
            "% w/w.",
            "acid",
        )
    plain = readings.sugar_from_reading(at_20, 100.0 * acid.level / (1.0 + water))
    if inputs.liquid == "honey" and inputs.invert is None:
        share = plain / (1.0 - readings.INVERT_BX_PER_PERCENT)
    else:
        if inputs.invert is None:
            raise BadInput(f"{named('invert')} is needed, the invert sugar by weight.", "invert")
        share = float(inputs.invert) / (1.0 + water)
    sugar = readings.solids_with_invert(plain, share)
    if share > sugar + 1e-9:
        raise BadInput(
            f"{named('invert')} is {share * (1.0 + water):g} % w/w, more than the "
            f"{sugar * (1.0 + water):.1f} % w/w of sugar that the reading leaves; check it.",
            "invert",
        )
    whole = sugar * (1.0 + water)
    if whole + 100.0 * acid.level > 100.0:
        raise BadInput(
            f"{named('thinned')} {water:g} would make {whole:.0f} % sugar in the sample; check the "
            "weights.",
            "thinned",
        )
    steps.append(
        Step(
            "sugar",
            f"{plain:.2f} + {readings.INVERT_BX_PER_PERCENT:g} x {share:.1f}",
            sugar,
            "% w/w",
            "HONEY-INDEX",
        )
    )
    error = (1.0 + water) * hypot(0.2, 0.3 if acid.level else 0.0)
    if inputs.acid is None and inputs.liquid != "honey":
        error = max(error, (1.0 + water) * instruments.TRAINED_SUGAR)
    return Result(
        sugar=whole,
        dissolved_solids=whole + 100.0 * acid.level,
        refractometer_20=at_20,
        model_error={"sugar": error, "dissolved_solids": error},
        working=tuple(steps),
        facts=facts_of(inputs)
        | {"acid_not_given": inputs.acid is None and inputs.liquid != "honey"},
    )


def spirit(inputs: Inputs) -> Result:
    """Plain spirit by an alcoholometer; refused where the liquid is sweet."""
    if inputs.alcoholometer is None:
        raise BadInput(f"{named('alcoholometer')} is needed, what it shows.", "alcoholometer")
    reading, t = float(inputs.alcoholometer) / 100.0, float(inputs.temperature)
    apparent = ethanol.abv_from_alcoholometer(reading, t)
    proof = ethanol.us_proof_from_abv(apparent)
    steps = [
        Step(
            "alcoholometer at 20 °C",
            f"{100.0 * reading:g} % vol read at {t:g} °C",
            100.0 * apparent,
            "% vol",
            "OIML-R22",
        )
    ]
    mark = ethanol.density_kg_m3(ethanol.mass_fraction_from_abv(reading), 20.0)
    if t != 20.0:
        glass = f"{mark:.2f} kg/m3 at the mark, glass at {t:g} °C"
        seen = instruments.seen_density(mark, t)
        steps.insert(0, Step("density as read", glass, seen, "kg/m3", "GLASS-EXPANSION"))
    facts = facts_of(inputs)
    if inputs.refractometer is not None:
        _require_plain(inputs, apparent, mark, steps)
    solids = None if inputs.solids is None else float(inputs.solids)
    hidden = None
    if solids is not None:
        hidden = _hidden_abv(solids, proof, mark, steps)
        facts["hidden_percent"] = 100.0 * hidden
        facts["solids_g_l"] = solids
    elif inputs.refractometer is None:
        facts["solids_g_l"] = None
    counted = hidden if hidden and solids is not None and solids > 4.0 else 0.0
    true = apparent + counted
    # solids that were not told may hide as much as the most that the rule takes
    ignored = _MOST_HIDDEN if hidden is None else hidden - counted
    error = 100.0 * hypot(0.0005, ignored)
    weight = ethanol.mass_fraction_from_abv(true)
    by_weight = abs(weight - ethanol.mass_fraction_from_abv(max(true - error / 100.0, 0.0)))
    return Result(
        abv=100.0 * true,
        ethanol=100.0 * weight,
        apparent_abv=100.0 * apparent,
        obscuration=100.0 * hidden if hidden is not None else None,
        us_proof=ethanol.us_proof_from_abv(true),
        model_error={
            "abv": error,
            "ethanol": 100.0 * by_weight,
            "apparent_abv": 0.05,
            "us_proof": 2.0 * error,
        },
        working=tuple(steps),
        facts=facts | {"alcoholometer_percent": 100.0 * true},
    )


def _both_instead(mark: float) -> str:
    return (
        f"leave out {named('alcoholometer')} and give both {named('refractometer')} and the "
        "float's mark as "
        f"density, {named('hydrometer', f'{mark:.1f} kg/m3')}, or have it distilled"
    )


def _require_plain(inputs: Inputs, apparent: float, mark: float, steps: list[Step]) -> None:
    """Refuse a sweet liquid, which a refractometer beside the float shows."""
    at_20 = refractometer(inputs, steps)
    instruments.require_near_20(20.0 if inputs.atc else float(inputs.temperature), apparent)
    over = instruments.beyond_plain_spirit_bx(at_20, apparent)
    if over > SWEET_BX:
        raise BadInput(
            f"{named('alcoholometer')} does not show the strength of a sweet liquid: the "
            "refractometer "
            f"stands {over:.1f} Bx over plain spirit of {100.0 * apparent:.1f} % vol; "
            f"{_both_instead(mark)}.",
            "alcoholometer",
        )
    if over < -SWEET_BX:
        raise BadInput(
            f"{named('refractometer')} stands {-over:.1f} Bx under plain spirit of "
            f"{100.0 * apparent:.1f} "
            f"% vol, which nothing in it can do; read both again at 20 °C.",
            "refractometer",
        )
    steps.append(Step("over plain spirit", "no sugar to see", over, "Bx", "PREPKIT-REFRACTION"))


def _hidden_abv(solids_g_l: float, proof: float, mark: float, steps: list[Step]) -> float:
    """Strength that the solids hide, fraction by volume, by the US rule."""
    mg_100_ml = 100.0 * solids_g_l
    if mg_100_ml > us_gauging.DISTIL_ABOVE_MG_100_ML:
        raise BadInput(
            f"{named('alcoholometer')} does not show the strength of a liquid with {solids_g_l:g} "
            "g/l of "
            f"solids (6 g/l is the most for the rule); {_both_instead(mark)}.",
            "solids",
        )
    low, high = _RULE_PROOF
    if mg_100_ml > us_gauging.NO_OBSCURATION_MG_100_ML and not low <= proof <= high:
        raise BadInput(
            f"the rule for hidden strength holds from {low:g} to {high:g} proof, and this reads "
            f"{proof:.1f}; {_both_instead(mark)}.",
            "alcoholometer",
        )
    hidden = us_gauging.obscuration_proof(mg_100_ml)
    added = mg_100_ml > us_gauging.NO_OBSCURATION_MG_100_ML
    steps.append(
        Step(
            "hidden by the solids",
            f"0.4 proof x {mg_100_ml:.0f} / 100 mg per 100 ml, "
            + ("added" if added else "left out, as the rule allows to 400 mg"),
            hidden,
            "proof",
            "27-CFR-30",
        )
    )
    return hidden / 200.0


def coffee(inputs: Inputs) -> Result:
    """Dissolved solids and extraction of black coffee."""
    steps: list[Step] = []
    if inputs.tds is not None and inputs.refractometer is not None:
        raise BadInput(
            f"{named('tds')} and {named('refractometer')} are the same reading; give one.", "tds"
        )
    at_20 = None
    error = 0.0
    if inputs.tds is not None:
        tds = float(inputs.tds) / 100.0
    else:
        at_20 = refractometer(inputs, steps)
        if inputs.thinned:
            raise BadInput(f"{named('thinned')} is not for coffee; read it as it is.", "thinned")
        tds = coffees.solids_from_brix(at_20)
        error = hypot(0.005 * tds, coffees.SOLIDS_PER_BRIX * instruments.READING_BX / 100.0)
        steps.append(Step("dissolved solids", f"0.85 x {at_20:.2f} Bx", 100.0 * tds, "% w/w",
                          "COFFEE-BRIX"))  # fmt: skip
    share, beverage = _extraction(inputs, tds, steps)
    errors = {"tds": 100.0 * error} if error else {}
    if error and share is not None:
        errors["extraction"] = 100.0 * error * share / tds if tds else 0.0
    return Result(
        tds=100.0 * tds,
        extraction=None if share is None else 100.0 * share,
        beverage_mass=beverage,
        refractometer_20=at_20,
        model_error=errors,
        working=tuple(steps),
        facts=facts_of(inputs) | {"coffee": True}
        | ({} if share is None else {"extraction_percent": 100.0 * share}),
    )  # fmt: skip


def _extraction(inputs: Inputs, tds: float, steps: list[Step]) -> tuple[float | None, float | None]:
    """Share of the dose extracted, and g that ran out where that had to be worked out."""
    if inputs.brew is None:
        for name in ("dose", "water", "beverage"):
            if getattr(inputs, name) is not None:
                raise BadInput(
                    f"{named(name)} is for the extraction, which needs "
                    f"{named('brew')} percolation or {named('brew')} immersion.",
                    "brew",
                )
        return None, None
    if inputs.dose is None:
        raise BadInput(
            f"the extraction needs {named('dose')}, the dry coffee, such as {named('dose')} 18g.",
            "dose",
        )
    dose = float(inputs.dose)
    if inputs.brew == "immersion":
        if inputs.water is None:
            raise BadInput(
                f"immersion needs {named('water')}, all that was poured on the grounds.", "water"
            )
        share = coffees.extraction_immersion(tds, float(inputs.water) / 1e3, dose / 1e3)
        said = f"{tds:.4f} / (1 - {tds:.4f}) x {float(inputs.water):g} g / {dose:g} g"
        beverage = None
    else:
        if inputs.beverage is not None:
            ran_out, beverage = float(inputs.beverage), None
        elif inputs.water is not None:
            beverage = ran_out = 1e3 * coffees.beverage_kg(float(inputs.water) / 1e3, dose / 1e3)
            steps.append(Step("coffee that ran out", f"{float(inputs.water):g} g - "
                              f"{coffees.HELD_KG_KG:g} x {dose:g} g", ran_out, "g",
                              "PRACTICE"))  # fmt: skip
        else:
            raise BadInput(
                f"percolation needs {named('beverage')}, what ran out, or {named('water')}, what "
                "was poured.",
                "beverage",
            )
        share = coffees.extraction_percolation(tds, ran_out / 1e3, dose / 1e3)
        said = f"{tds:.4f} x {ran_out:g} g / {dose:g} g"
    if share > coffees.MOST_EXTRACTED:
        raise BadInput(
            f"that would be {100.0 * share:.0f} % of the dose, and coffee gives about 30 % at "
            f"most. Check the reading, the weights and {named('brew')}.",
            "dose",
        )
    steps.append(Step("extraction", said, 100.0 * share, "%", "COFFEE-TRAINING"))
    return share, beverage
