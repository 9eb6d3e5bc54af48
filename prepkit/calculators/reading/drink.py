"""Readings of a drink: sugar, known acid and alcohol, by one instrument or two."""

from __future__ import annotations

from math import hypot

from prepkit.calculators.reading.inputs import Inputs
from prepkit.calculators.reading.result import Result
from prepkit.errors import BadInput, named
from prepkit.model import Step
from prepkit.science import ethanol, readings, solution, sucrose
from prepkit.shared import instruments
from prepkit.shared.instruments import Acid, Fractions
from prepkit.units import Measured

_WINE_RULE_G_L, _STRONG_SHARE, _STRONG_ABV = 3.0, 0.03, 0.20  # [OIV-AS2-03B] and its limits


def acid_of(inputs: Inputs) -> Acid:
    """The acid as it was given; none where it was not."""
    if inputs.acid is None:
        return Acid(inputs.acid_kind)
    if inputs.acid.unit == "g/l":
        return Acid(inputs.acid_kind, float(inputs.acid), by_volume=True)
    return Acid(inputs.acid_kind, float(inputs.acid) / 100.0)


def float_mark(inputs: Inputs) -> float | None:
    """Density at the mark of the float that was read, kg/m3; None without one."""
    if inputs.hydrometer is not None:
        return hydrometer_mark(inputs.hydrometer, inputs.hydrometer_scale)
    if inputs.specific_gravity is not None:
        return float(inputs.specific_gravity) * readings.SG_WATER_20_KG_M3
    return None if inputs.baume is None else readings.density_from_baume(float(inputs.baume))


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
        instruments.Scale(named("hydrometer"), unit, float(top)).check(reading)
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
        read_acid = Acid(acid.kind, sample[acid.kind])
        errors = instruments.error_of_two(at_20, seen, t, read_acid, sample)
        sugar_error, abv_error = ((1.0 + water) * one for one in errors)
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
    at_20: float | None, seen: float | None, t: float, abv: float, acid: Acid, water: float = 0.0
) -> dict[str, float]:
    """The mix from one instrument, strength and acid being known."""
    if at_20 is not None:
        words = (f"{named('refractometer')}, at 20 °C,", "Bx", "refractometer")
        return instruments.from_one(instruments.refractometer_of, at_20, words, abv, acid, water)
    words = (f"the density at {t:g} °C", "kg/m3", "hydrometer")
    return instruments.from_one(
        lambda one: solution.density_kg_m3(one, t), seen or 0.0, words, abv, acid, water
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


def error_of_one(at_20: float | None, t: float, sample: Fractions, acid: Acid) -> float:
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
        sugar, strength = readings.sugar_and_strength_quick(at_20, hydrometer)
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
    at_20: float | None, mix: Fractions, abv: float, acid: Acid, water: float
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
            found = readings.extract_g_l(density, abv)
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
        juice = at_20 + readings.juice_acid_correction_bx(100.0 * acid) if acid else None
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


def facts_of(inputs: Inputs) -> dict[str, object]:
    """The facts about the instrument and how it was used."""
    facts: dict[str, object] = {"sample_c": float(inputs.temperature)}
    if inputs.atc:
        facts["atc_c"] = float(inputs.temperature)
    if inputs.refractometer is not None and inputs.scale is None:
        end = instruments.usual_end(float(inputs.refractometer))
        facts |= {} if end is None else {"usual_end": end}
    return facts
