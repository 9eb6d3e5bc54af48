"""reading: instrument readings to sugar, strength, coffee extraction."""

from __future__ import annotations

from math import hypot

from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, flag, number, quantity
from prepkit.model import Figure, Screen, Step, output
from prepkit.model import Result as BaseResult
from prepkit.science import ethanol, solution, sucrose
from prepkit.shared import instruments
from prepkit.shared.instruments import Fractions, SampleAcid
from prepkit.units import Measured

# ---- what reading is told ----


class Inputs(BaseInputs):
    """What was read, on which instrument, and what is known of the liquid."""

    groups = (
        (
            "Most needed",
            "refractometer hydrometer alcoholometer acid abv temperature tds brew dose ",
        ),
        ("Instruments", "atc scale scale_from hydrometer_scale specific_gravity baume"),
        ("Sample", "acid_kind solids invert thinned liquid"),
        ("Coffee", "water beverage"),
    )

    refractometer: Measured | None = quantity(
        "Bx", "refractometer reading", "As read on the scale, strained, zeroed on water.",
        "24", default=None, low=0, high=95, because="the sugar scale", bare=True,
    )  # fmt: skip
    hydrometer: Measured | None = quantity(
        ("Bx", "kg/m3"), "hydrometer reading", "On a sugar scale (Bx) or as a density; the float "
        "is made for 20 °C.", "15.8 Bx", default=None, low=0,
    )  # fmt: skip
    specific_gravity: float | None = number(
        "specific gravity", "A float with a scale of relative density 20/20.", "1.064",
        default=None, low=0.78, high=1.45, because="no drink lies outside",
    )  # fmt: skip
    baume: float | None = number(
        "degrees Baume", "A float with a Baume scale (modulus 145).", "4.0",
        default=None, low=0, high=45, because="no syrup is denser",
    )  # fmt: skip
    alcoholometer: Measured | None = quantity(
        "% vol", "alcoholometer reading", "A spirit float made for 20 °C; plain spirit only.",
        "43 % vol", default=None, low=0, high=100, because="a strength", bare=True,
    )  # fmt: skip
    temperature: Measured = quantity(
        "C", "temperature of the sample", "When it was read, on every instrument.", "24 C",
        default=20.0, low=instruments.LOW_C, high=instruments.HIGH_C,
        because="no correction is known outside; bring the sample to 20 °C",
    )  # fmt: skip
    atc: bool = flag(
        "the refractometer corrects for temperature", "Its reading is then taken as at 20 °C."
    )
    scale: Measured | None = quantity(
        "Bx", "highest mark of the refractometer", "A reading there is over range.", "32",
        default=None, above=0, high=100, because="the sugar scale", bare=True,
    )  # fmt: skip
    scale_from: Measured | None = quantity(
        "Bx", "lowest mark of the refractometer", "A reading there is under range.", "58",
        default=None, low=0, high=100, because="the sugar scale", bare=True,
    )  # fmt: skip
    hydrometer_scale: Measured | None = quantity(
        ("Bx", "kg/m3"), "highest mark of the hydrometer", "A reading there is over range.",
        "40 Bx", default=None, above=0,
    )  # fmt: skip
    acid: Measured | None = quantity(
        ("% w/w", "g/l"), "acid in the liquid", "From the recipe or a titration, as the acid "
                                                f"named by {named('acid_kind')}. No instrument "
                                                "can tell it from sugar.", "0.5 %",
        default=None, low=0,
        high=120, because="not computed beyond",
    )  # fmt: skip
    acid_kind: str = choice(
        ("citric", "malic", "tartaric", "lactic", "acetic"), "which acid",
        f"The acid that {named('acid')} is written as.", default="citric",
    )  # fmt: skip
    abv: Measured | None = quantity(
        "% vol", "known strength", "From the recipe or the label, where one instrument is read; "
        "0 where there is none.", "12 % vol", default=None, low=0, high=60,
        because="not computed in stronger liquids", bare=True,
    )  # fmt: skip
    solids: Measured | None = quantity(
        "g/l", "solids in the spirit", "Weighed after drying off a measured volume; with "
        f"{named('alcoholometer')}.", "5 g/l",
        default=None, low=0, high=900, because="no more dissolves",
    )  # fmt: skip
    invert: Measured | None = quantity(
        "% w/w", "invert sugar", "Glucose and fructose in the syrup, by weight; with "
        f"{named('refractometer')} alone.", "20 %",
        default=None, low=0, high=85, because="no more dissolves",
    )  # fmt: skip
    thinned: float = number(
        "water added to the sample", "g of water weighed to each g of sample before reading.",
        "1", default=0.0, low=0, high=20, because="a thinner sample reads nothing",
    )  # fmt: skip
    liquid: str = choice(
        ("drink", "honey", "coffee"), "what was read", "Drink: anything of sugar, acid and "
        "alcohol. Honey: all its solids count as invert sugar. Coffee: black, filtered.",
        default="drink",
    )  # fmt: skip
    tds: Measured | None = quantity(
        "% w/w", "dissolved solids of the coffee", "From a coffee refractometer, in place of "
        f"{named('refractometer')}.", "1.35 %",
        default=None, low=0, high=30, because="no coffee has more",
    )  # fmt: skip
    brew: str | None = choice(
        ("percolation", "immersion"), "how it was brewed", "Percolation: espresso, filter. "
        "Immersion: all the water stays with the grounds.", default=None,
    )  # fmt: skip
    dose: Measured | None = quantity(
        "g", "dry coffee", "Coffee that was ground.", "18 g", default=None, above=0, high=1e6,
        because="a batch", extensive=True,
    )  # fmt: skip
    water: Measured | None = quantity(
        "g", "water poured", "On to the grounds.", "300 g", default=None, above=0, high=1e7,
        because="a batch", extensive=True,
    )  # fmt: skip
    beverage: Measured | None = quantity(
        "g", "coffee that ran out", "Weighed in the cup or jug.", "36 g", default=None, above=0,
        high=1e7, because="a batch", extensive=True,
    )  # fmt: skip


# ---- what reading answers ----


class Result(BaseResult):
    """What is in it, as far as the readings tell."""

    screen = Screen(
        headline=(
            "{sugar} sugar and {abv}.",
            "{sugar} sugar.",
            "{extraction} extraction, {tds} dissolved.",
            "{tds} dissolved.",
            "{abv} strength.",
            "{sugar_if_neither} sugar, if it holds neither alcohol nor acid.",
            "{sugar_if_no_alcohol} sugar, if it holds no alcohol.",
            "{apparent_abv} by the alcoholometer, before solids.",
            "{juice_brix} on the juice trade's scale.",
            "Density {density} at 20 °C.",
        ),
        primary=(
            "sugar",
            "sugar_if_neither",
            "sugar_if_no_alcohol",
            Figure("true dissolved solids", "dissolved_solids"),
            "dissolved_solids_if",
            "sugar_g_l",
            "sugar_g_l_if",
            Figure("strength", "abv"),
            "apparent_abv",
            "obscuration",
            "ethanol",
            "tds",
            "extraction",
            "beverage_mass",
            "juice_brix",
        ),
        check=(
            "refractometer_20",
            "hydrometer_20",
            "hydrometer_would_show",
            Figure("density", "density"),
        ),
    )

    sugar: float | None = output("sugar", "% w/w", 1)
    sugar_g_l: float | None = output("sugar in the volume", "g/l", 0)
    dissolved_solids: float | None = output("true dissolved solids", "% w/w", 1)
    sugar_if_neither: float | None = output("sugar (if no alcohol or acid)", "% w/w", 1)
    sugar_if_no_alcohol: float | None = output("sugar (if no alcohol)", "% w/w", 1)
    sugar_g_l_if: float | None = output("sugars per litre (if no alcohol)", "g/l", 0)
    dissolved_solids_if: float | None = output("true dissolved solids (if no alcohol)", "% w/w", 1)
    juice_brix: float | None = output("soluble solids, juice scale", "Bx", 1)
    abv: float | None = output("strength at 20 °C", "% vol", 1)
    ethanol: float | None = output("ethanol by weight", "% w/w", 1)
    apparent_abv: float | None = output("alcoholometer reading, uncorrected (20 °C)", "% vol", 2)
    obscuration: float | None = output("strength hidden by solids", "% vol", 2)
    us_proof: float | None = output("US proof (60 °F)", "proof", 1)
    refractometer_20: float | None = output("refractometer reading (20 °C)", "Bx", 2)
    hydrometer_20: float | None = output("sugar hydrometer reading (20 °C)", "Bx", 2)
    hydrometer_would_show: float | None = output(
        "expected sugar hydrometer reading (20 °C)", "Bx", 1
    )
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    tds: float | None = output("dissolved solids of the coffee", "% w/w", 2)
    extraction: float | None = output("extraction of the dose", "%", 1)
    beverage_mass: float | None = output("coffee that ran out", "g", 0, extensive=True)


# ---- readings of a drink ----

_WINE_RULE_G_L, _STRONG_SHARE, _STRONG_ABV = 3.0, 0.03, 0.20  # [OIV-AS2-03B] and its limits


def acid_of(inputs: Inputs) -> SampleAcid:
    """The acid as it was given; none where it was not."""
    if inputs.acid is None:
        return SampleAcid(inputs.acid_kind)
    if inputs.acid.unit == "g/l":
        return SampleAcid(inputs.acid_kind, float(inputs.acid), by_volume=True)
    return SampleAcid(inputs.acid_kind, float(inputs.acid) / 100.0)


def float_mark(inputs: Inputs) -> float | None:
    """Density at the mark of the float that was read, kg/m3; None without one."""
    if inputs.hydrometer is not None:
        return hydrometer_mark(inputs.hydrometer, inputs.hydrometer_scale)
    if inputs.specific_gravity is not None:
        return float(inputs.specific_gravity) * solution.SG_WATER_20_KG_M3
    return None if inputs.baume is None else solution.density_from_baume(float(inputs.baume))


def hydrometer_mark(shown: Measured, top: Measured | None = None) -> float:
    """Density at a mark on the sugar scale or in kg/m3; `top` is the highest mark."""
    reading, unit = float(shown), shown.unit
    if top is not None:
        if top.unit != unit:
            raise BadInput(
                f"{named('hydrometer_scale')} is in {top.unit} and the reading in {unit}; give "
                "both on "
                f"the same scale.",
                "hydrometer_scale",
            )
        instruments.Graduations(named("hydrometer"), unit, float(top)).check(reading)
    if unit == "kg/m3":
        if reading < 780.0:
            raise BadInput(
                f"{named('hydrometer')} is {reading:g} kg/m3, and nothing that is drunk is lighter "
                "than "
                f"780; check the reading.",
                "hydrometer",
            )
        if reading > instruments.FLOAT_HIGH_KG_M3:
            raise BadInput(
                f"{named('hydrometer')} is {reading:g} kg/m3, and no syrup is denser than "
                f"{instruments.FLOAT_HIGH_KG_M3:g}; check the reading.",
                "hydrometer",
            )
        return reading
    if reading > 85.0:
        raise BadInput(
            f"{named('hydrometer')} is {reading:g} Bx, and the sugar scale ends at 85; a density "
            "has "
            f'its unit, such as "1064 kg/m3".',
            "hydrometer",
        )
    return sucrose.density_kg_m3(reading / 100.0, 20.0)


def drink(inputs: Inputs, mark: float | None) -> Result:
    """A liquid of sugar, known acid and alcohol, by one instrument or both."""
    acid, water, t = acid_of(inputs), float(inputs.thinned), float(inputs.temperature)
    abv = 0.0 if inputs.abv is None else float(inputs.abv) / 100.0
    steps: list[Step] = []
    at_20 = None
    if inputs.refractometer is not None:
        at_20 = refractometer(inputs, steps)
    seen = None if mark is None else instruments.seen_density(mark, t)
    if seen is not None:
        glass = f"{mark:.2f} kg/m3 at the mark, glass at {t:g} °C"
        source = "GLASS-EXPANSION" if t != 20.0 else "DEFINITION"
        steps.append(Step("density as read", glass, seen, "kg/m3", source))
    if at_20 is not None and seen is not None:
        mix = instruments.from_two(at_20, seen, t, acid, water)
        sample = instruments.thinned(mix, water)
        read_acid = SampleAcid(acid.kind, sample[acid.kind])
        errors = instruments.error_of_two(at_20, seen, t, read_acid, sample)
        sugar_error, abv_error = ((1.0 + water) * error for error in errors)
        steps += _two_steps(at_20, sample, mix)
    else:
        mix = from_one(at_20, seen, t, abv, acid, water)
        sample = instruments.thinned(mix, water)
        sugar_error, abv_error = error_of_one(at_20, t, sample, acid), 0.0
        if inputs.abv is None or inputs.acid is None:
            sugar_error = max(sugar_error, instruments.TRAINED_SUGAR)
        sugar_error *= 1.0 + water
        if at_20 is None and abv:
            sugar_error = max(sugar_error, _wine_rule_error(mix))
        steps += _one_steps(at_20, mix, abv, acid, water)
    instruments.require_near_20(
        20.0 if at_20 is None or inputs.atc else t, sample.get("ethanol", 0.0)
    )
    both = at_20 is not None and seen is not None
    return _of_mix(inputs, mix, at_20, steps, both, sugar_error, abv_error)


def from_one(
    at_20: float | None,
    seen: float | None,
    t: float,
    abv: float,
    acid: SampleAcid,
    water: float = 0.0,
) -> dict[str, float]:
    """The mix from one instrument, strength and acid being known."""
    if at_20 is not None:
        words = (f"{named('refractometer')}, at 20 °C,", "Bx", "refractometer")
        return instruments.from_one(instruments.refractometer_of, at_20, words, abv, acid, water)
    words = (f"the density at {t:g} °C", "kg/m3", "hydrometer")
    return instruments.from_one(
        lambda amounts: solution.density_kg_m3(amounts, t), seen or 0.0, words, abv, acid, water
    )


def _wine_rule_error(mix: Fractions) -> float:
    """What sugar by density and strength is good for, % w/w; rough above 20 % vol."""
    density = solution.density_kg_m3(mix)
    g_l = _WINE_RULE_G_L
    if instruments.abv_of(mix) > _STRONG_ABV:
        g_l = max(g_l, _STRONG_SHARE * mix["sucrose"] * density)
    return 100.0 * g_l / density


def refractometer(inputs: Inputs, steps: list[Step]) -> float:
    """The reading as at 20 C, with its step."""
    if inputs.refractometer is None:
        raise BadInput(f"{named('refractometer')} is needed, what it shows.", "refractometer")
    reading, t = float(inputs.refractometer), float(inputs.temperature)
    at_20 = instruments.refractometer_at_20(reading, t, inputs.atc)
    said = f"{reading:g} Bx read at {t:g} °C"
    how = "corrected by the instrument" if inputs.atc else f"{at_20 - reading:+.2f} Bx"
    steps.append(Step("refractometer at 20 °C", f"{said}, {how}", at_20, "Bx", "PREPKIT-BRIX"))
    return at_20


def error_of_one(at_20: float | None, t: float, sample: Fractions, acid: SampleAcid) -> float:
    """Stated error of the sugar from one instrument, % w/w of the sample."""
    if at_20 is None:
        return hypot(instruments.READING_KG_M3, solution.density_error_kg_m3(sample)) / 3.85
    model = solution.refractometer_error_bx(sample) + (0.1 if acid.level else 0.0)
    warmth = 0.07 if t < 10.0 else (0.05 if t > 30.0 else 0.03)
    return hypot(instruments.READING_BX, model, warmth if t != 20.0 else 0.0)


def _two_steps(at_20: float, sample: Fractions, mix: Fractions) -> list[Step]:
    density = solution.density_kg_m3(sample)
    steps = [
        Step("density at 20 °C", "of the sample found", density, "kg/m3", "PREPKIT-SOLUTION"),
        Step(
            "sugar",
            f"the mix that reads {at_20:.2f} Bx and weighs {density:.1f} kg/m3",
            100.0 * mix["sucrose"],
            "% w/w",
            "PREPKIT-REFRACTION",
        ),
        Step("strength", "of the same mix", 100.0 * instruments.abv_of(mix), "% vol", "OIML-R22"),
    ]
    try:
        hydrometer = solution.hydrometer_brix(sample)
        sugar, strength = solution.sugar_and_strength_quick(at_20, hydrometer)
    except BadInput:
        return steps
    return [
        *steps,
        Step(
            "rule of thumb, sugar with acid",
            f"({at_20:.1f} + {hydrometer:.1f}) / 2",
            sugar,
            "% w/w",
            "POBEREZHETS",
        ),
        Step(
            "rule of thumb, strength without acid",
            f"({at_20:.1f} - {hydrometer:.1f}) / (0.703 - 0.0042 x {sugar:.1f})",
            strength,
            "% vol",
            "PREPKIT-REFRACTION",
        ),
    ]


def _one_steps(
    at_20: float | None, mix: Fractions, abv: float, acid: SampleAcid, water: float
) -> list[Step]:
    known = f"acid {100.0 * mix[acid.kind]:.2f} % w/w, strength {100.0 * abv:g} % vol"
    steps = [
        Step("sugar", f"the mix with {known} that reads so", 100.0 * mix["sucrose"], "% w/w",
             "PREPKIT-SOLUTION" if at_20 is None else "PREPKIT-REFRACTION"),
    ]  # fmt: skip
    if at_20 is not None and acid.level and not abv and not water and acid.kind == "citric":
        percent = 100.0 * mix["citric"]
        steps.append(
            Step("rule of thumb", f"{at_20:.2f} - 0.88 x {percent:.2f}", at_20 - 0.88 * percent,
                 "% w/w", "PREPKIT-REFRACTION")
        )  # fmt: skip
    if at_20 is None and abv and not acid.level and not water:
        density = solution.density_kg_m3(mix)
        try:
            found = solution.extract_g_l(density, abv)
        except BadInput:
            return steps
        steps.append(
            Step("sugar by the wine rule", f"{density:.1f} kg/m3 less the spirit's own", found,
                 "g/l", "OIV-AS2-03B")
        )  # fmt: skip
    return steps


def _of_mix(
    inputs: Inputs,
    mix: Fractions,
    at_20: float | None,
    steps: list[Step],
    both: bool,
    sugar_error: float,
    abv_error: float,
) -> Result:
    density = solution.density_kg_m3(mix)
    spirit, sugar = mix.get("ethanol", 0.0), mix["sucrose"]
    acid = mix.get(inputs.acid_kind, 0.0)
    errors = {
        "sugar": sugar_error,
        "sugar_g_l": sugar_error * density / 100.0,
        "dissolved_solids": sugar_error,
        "density": hypot(instruments.READING_KG_M3, solution.density_error_kg_m3(mix)),
    }
    told = both or inputs.abv is not None
    if at_20 is not None and not both and not (told and inputs.acid is not None):
        # what was not told moves the density as the sugar does
        errors["density"] = hypot(errors["density"], instruments.KG_M3_PER_BX * sugar_error)
    if not told:
        errors |= {f"{name}_if": errors[name] for name in ("sugar_g_l", "dissolved_solids")}
    terms = _terms(inputs, told)
    errors[terms] = sugar_error
    hydrometer = _hydrometer(instruments.thinned(mix, float(inputs.thinned)))
    read = both or at_20 is None
    if not read:
        errors["hydrometer_would_show"] = errors["density"] / instruments.KG_M3_PER_BX
    if abv_error:
        errors |= {"abv": abv_error, "ethanol": abv_error * ethanol.PURE_KG_M3 / density}
    juice = None
    if at_20 is not None and not spirit and not inputs.thinned and inputs.acid_kind == "citric":
        juice = at_20 + solution.juice_acid_correction_bx(100.0 * acid) if acid else None
    return Result(
        sugar=100.0 * sugar if terms == "sugar" else None,
        sugar_if_neither=100.0 * sugar if terms == "sugar_if_neither" else None,
        sugar_if_no_alcohol=100.0 * sugar if terms == "sugar_if_no_alcohol" else None,
        sugar_g_l=sugar * density if told else None,
        sugar_g_l_if=None if told else sugar * density,
        dissolved_solids=100.0 * (sugar + acid) if told else None,
        dissolved_solids_if=None if told else 100.0 * (sugar + acid),
        juice_brix=juice,
        abv=100.0 * instruments.abv_of(mix) if both else None,
        ethanol=100.0 * spirit if both else None,
        refractometer_20=at_20,
        hydrometer_20=hydrometer if read else None,
        hydrometer_would_show=None if read else hydrometer,
        density=density,
        model_error=errors,
        working=tuple(steps),
        facts=facts_of(inputs)
        | {
            "two_readings": both,
            "ethanol_percent": 100.0 * spirit,
            "acid_not_given": inputs.acid is None,
            "alcohol_not_given": not told,
            "warm_alcohol_k": abs(float(inputs.temperature) - 20.0)
            if spirit > instruments.PLAIN_ALCOHOL and at_20 is not None
            else 0.0,
        },
    )


def _terms(inputs: Inputs, told: bool) -> str:
    """The output that the sugar goes to: it holds only on terms if no alcohol was entered."""
    if told:
        return "sugar"
    return "sugar_if_neither" if inputs.acid is None else "sugar_if_no_alcohol"


def _hydrometer(sample: Fractions) -> float | None:
    """What a sugar float shows in the sample; None where it would sink below its scale."""
    try:
        return solution.hydrometer_brix(sample)
    except BadInput:
        return None


def facts_of(inputs: Inputs) -> Facts:
    """The facts about the instrument and how it was used."""
    facts: Facts = {"sample_c": float(inputs.temperature)}
    if inputs.atc:
        facts["atc_c"] = float(inputs.temperature)
    if inputs.refractometer is not None and inputs.scale is None:
        end = instruments.usual_end(float(inputs.refractometer))
        facts |= {} if end is None else {"usual_end": end}
    return facts


# ---- readings of black coffee, plain spirit, and syrup that holds invert sugar ----

SWEET_BX = 0.7  # over plain spirit: more than 4 g/l of solids and the readings' own error
_MOST_HIDDEN = ethanol.obscuration_proof(ethanol.DISTIL_ABOVE_MG_100_ML) / 200.0
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
    plain = solution.sugar_from_reading(at_20, 100.0 * acid.level / (1.0 + water))
    if inputs.liquid == "honey" and inputs.invert is None:
        share = plain / (1.0 - solution.INVERT_BX_PER_PERCENT)
    else:
        if inputs.invert is None:
            raise BadInput(f"{named('invert')} is needed, the invert sugar by weight.", "invert")
        share = float(inputs.invert) / (1.0 + water)
    sugar = solution.solids_with_invert(plain, share)
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
            f"{plain:.2f} + {solution.INVERT_BX_PER_PERCENT:g} x {share:.1f}",
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
    if mg_100_ml > ethanol.DISTIL_ABOVE_MG_100_ML:
        raise BadInput(
            f"{named('alcoholometer')} does not show the strength of a liquid with {solids_g_l:g} "
            "g/l of "
            f"solids (6 g/l is the most for the rule); {_both_instead(mark)}.",
            "solids",
        )
    low, high = _RULE_PROOF
    if mg_100_ml > ethanol.NO_OBSCURATION_MG_100_ML and not low <= proof <= high:
        raise BadInput(
            f"the rule for hidden strength holds from {low:g} to {high:g} proof, and this reads "
            f"{proof:.1f}; {_both_instead(mark)}.",
            "alcoholometer",
        )
    hidden = ethanol.obscuration_proof(mg_100_ml)
    added = mg_100_ml > ethanol.NO_OBSCURATION_MG_100_ML
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
        tds = solution.solids_from_brix(at_20)
        error = hypot(0.005 * tds, solution.SOLIDS_PER_BRIX * instruments.READING_BX / 100.0)
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
        share = solution.extraction_immersion(tds, float(inputs.water) / 1e3, dose / 1e3)
        said = f"{tds:.4f} / (1 - {tds:.4f}) x {float(inputs.water):g} g / {dose:g} g"
        beverage = None
    else:
        if inputs.beverage is not None:
            ran_out, beverage = float(inputs.beverage), None
        elif inputs.water is not None:
            beverage = ran_out = 1e3 * solution.beverage_kg(float(inputs.water) / 1e3, dose / 1e3)
            steps.append(Step("coffee that ran out", f"{float(inputs.water):g} g - "
                              f"{solution.HELD_KG_KG:g} x {dose:g} g", ran_out, "g",
                              "PRACTICE"))  # fmt: skip
        else:
            raise BadInput(
                f"percolation needs {named('beverage')}, what ran out, or {named('water')}, what "
                "was poured.",
                "beverage",
            )
        share = solution.extraction_percolation(tds, ran_out / 1e3, dose / 1e3)
        said = f"{tds:.4f} x {ran_out:g} g / {dose:g} g"
    if share > solution.MOST_EXTRACTED:
        raise BadInput(
            f"that would be {100.0 * share:.0f} % of the dose, and coffee gives about 30 % at "
            f"most. Check the reading, the weights and {named('brew')}.",
            "dose",
        )
    steps.append(Step("extraction", said, 100.0 * share, "%", "COFFEE-TRAINING"))
    return share, beverage


# ---- reading ----

EXAMPLE = 'prepkit reading --refractometer 24 --hydrometer "15.8 Bx" --acid "0.5 %"'
_COFFEE_ONLY = ("tds", "brew", "dose", "water", "beverage")
_DRINK_ONLY = (
    "hydrometer", "specific_gravity", "baume", "alcoholometer", "acid", "abv", "solids", "invert",
)  # fmt: skip
_FLOATS = ("hydrometer", "specific_gravity", "baume")


def compute(inputs: Inputs) -> Result:
    """By what was read: coffee, plain spirit, one instrument, or two."""
    _check(inputs)
    if inputs.refractometer is not None:
        scale = instruments.Graduations(
            named("refractometer"), "Bx", _float(inputs.scale), _float(inputs.scale_from)
        )
        scale.check(float(inputs.refractometer))
    if inputs.liquid == "coffee":
        return coffee(inputs)
    if inputs.alcoholometer is not None:
        return spirit(inputs)
    if inputs.invert is not None or inputs.liquid == "honey":
        return inverted(inputs)
    return drink(inputs, float_mark(inputs))


def _float(value: Measured | None) -> float | None:
    return None if value is None else float(value)


def _said(inputs: Inputs, names: tuple[str, ...]) -> list[str]:
    return [name for name in names if getattr(inputs, name) is not None]


def _check(inputs: Inputs) -> None:
    """Refuse readings that do not go together."""
    if inputs.liquid == "coffee":
        _refuse(_said(inputs, _DRINK_ONLY), "does not fit black coffee; leave it out")
    else:
        _refuse(
            _said(inputs, _COFFEE_ONLY),
            f"is for coffee; add {named('liquid')} coffee or leave it out",
        )
    floats = _said(inputs, _FLOATS)
    if len(floats) > 1:
        raise BadInput(
            f"{' and '.join(map(named, floats))} are readings of the same float; give one.",
            "hydrometer",
        )
    single = inputs.invert is not None or inputs.liquid == "honey"
    if single and (floats or inputs.alcoholometer is not None or inputs.abv):
        raise BadInput(
            f"the correction for invert sugar is known for {named('refractometer')} alone, without "
            "alcohol; "
            "leave out the other readings.",
            "invert",
        )
    if inputs.alcoholometer is not None:
        others = [*floats, *_said(inputs, ("acid", "abv"))]
        _refuse(
            others,
            f"does not go with {named('alcoholometer')}, which is for plain spirit; leave it out",
        )
        if inputs.thinned:
            raise BadInput(
                f"{named('thinned')} does not go with {named('alcoholometer')}: spirit and water "
                "contract; read the "
                "spirit as it is.",
                "thinned",
            )
    elif inputs.solids is not None:
        raise BadInput(
            f"{named('solids')} is for {named('alcoholometer')}; give that reading too.", "solids"
        )
    if inputs.refractometer is not None and floats and inputs.abv is not None:
        raise BadInput(
            f"{named('abv')} is not needed where {named('refractometer')} and a float are both "
            "read: the strength is "
            "what they give; leave it out.",
            "abv",
        )
    if not floats and not _said(inputs, ("refractometer", "tds", "alcoholometer")):
        raise BadInput(
            f"reading needs what an instrument showed: {named('refractometer')}, "
            f"{named('hydrometer')} or "
            f"{named('alcoholometer')}.",
            "refractometer",
        )
    if inputs.refractometer is None and single:
        raise BadInput(
            f"the correction for invert sugar needs {named('refractometer')}, the reading.",
            "refractometer",
        )


def _refuse(given: list[str], why: str) -> None:
    if given:
        raise BadInput(f"{named(given[0])} {why}.", given[0])
