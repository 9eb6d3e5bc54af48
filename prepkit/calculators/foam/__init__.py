"""foam: foamer by dose, liquid by its window, how much foam, how long."""

from collections.abc import Mapping
from math import fsum, sqrt
from typing import Any, TypedDict

from prepkit import derived
from prepkit.calculators.foam import inputs
from prepkit.calculators.foam import inputs as foam_inputs
from prepkit.calculators.foam.inputs import (
    WHERE,
    FoamerWords,
    FoamMethod,
    Inputs,
    Measure,
    window_facts,
)
from prepkit.errors import BadInput, OutOfRange, named
from prepkit.facts import Facts
from prepkit.ingredient import Ingredient
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.record import Record
from prepkit.science import foam, food, gases, sucrose, water
from prepkit.units import Measured

# ---- how much foam, how heavy, how long it stands, what a scoop is ----

_ROOM_C = 20.0
PLAIN_SUGAR = 0.10  # more thickens a cream further than what is published (judgement)
WET_FRACTION_HIGH = 0.36  # the drainage relation is for drier foams [KOEHLER-1999]
# [FOAM-TIMES] what is in print, s; the middle of a range on the scale of factors
_IN_PRINT_S = {
    "lecithin air": foam.LECITHIN_AIR_S,
    "dispensed cream": sqrt(foam.DISPENSED_CREAM_S[0] * foam.DISPENSED_CREAM_S[1]),
}


class LiquidShare(Record):
    """Liquid in the foam, least and most as fractions of its volume, and where that is from."""

    low: float
    high: float
    measured: bool
    how: str
    source: str

    @property
    def middle(self) -> float:
        """The middle on the scale of factors."""
        return sqrt(self.low * self.high)


class Volumes(TypedDict, total=False):
    """Values of the result on the foam as a whole."""

    foam_low: float
    foam_high: float
    liquid_fraction_low: float
    liquid_fraction_high: float
    overrun_low: float
    overrun_high: float
    density_low: float
    density_high: float


class FoamServe(TypedDict, total=False):
    """Values of the result on one serve."""

    per_serve: float
    scoop_low: float
    scoop_high: float
    scoops_low: float
    scoops_high: float
    needed: float
    ethanol_per_serve: float


class FoamMinutes(TypedDict, total=False):
    """Values of the result on how long the foam stands, min."""

    standing_low: float
    standing_high: float
    drained_low: float
    drained_high: float


class FoamTimes(Record):
    """Standing and drainage in minutes, with what they were worked from."""

    values: FoamMinutes
    viscosity_ratio: float | None = None
    in_print: str = ""
    velocity_m_s: float | None = None
    bubble_mm: float = 0.0
    held: float = 0.0  # liquid fraction that the drainage starts from


def foam_share(inputs: Inputs, way: FoamMethod | None) -> LiquidShare | None:
    """Liquid fraction as it was measured, or the usual range; None where neither is known."""
    cups = (inputs.cup_liquid, inputs.cup_foam)
    if (cups[0] is None) != (cups[1] is None):
        raise BadInput(
            f"{named('cup_liquid')} and {named('cup_foam')} go together: the same cup weighed full "
            "of each.",
            "cup_foam",
        )
    given = [
        name
        for name, value in (
            ("expansion", inputs.expansion),
            ("overrun", inputs.overrun),
            ("cup_foam", inputs.cup_foam),
        )
        if value is not None
    ]
    if len(given) > 1:
        raise BadInput(
            f"{' and '.join(map(named, given))} say the same thing; give the one that was "
            "measured.",
            given[1],
        )
    if inputs.expansion is not None:
        return _measured(float(inputs.expansion) - 1.0, f"expansion {inputs.expansion:g}")
    if inputs.overrun is not None:
        return _measured(float(inputs.overrun) / 100.0, f"overrun {float(inputs.overrun):g} %")
    if cups[0] is not None and cups[1] is not None:
        liquid, foamed = float(cups[0]), float(cups[1])
        if foamed > liquid:
            raise BadInput(
                f"{named('cup_foam')} is {foamed:g} g and {named('cup_liquid')} {liquid:g} g; a "
                "cup of foam weighs "
                f"no more than the same cup of liquid.",
                "cup_foam",
            )
        taken = foam.overrun_from_weighing(1e-3 * liquid, 1e-3 * foamed)
        return _measured(taken, f"overrun ({liquid:g} - {foamed:g}) / {foamed:g}")
    if way is None:
        return None
    how = f"usual {way.low:g} to {way.high:g} % of liquid ({way.way}, {way.obtained})"
    return LiquidShare(way.low / 100.0, way.high / 100.0, False, how, way.source)


def films_break(
    windows: Mapping[str, Any],  # Any: words and numbers, which are compared here
    found: LiquidShare | None,
) -> str:
    """Why the usual range of the foamer says nothing of this liquid; empty where it does.

    Spirit, fat and, in cream, the want of fat break the films. What was measured stands.
    """
    if found is None or found.measured:
        return ""
    why = [
        f"{windows[f'{name}_value']:.1f} {words} where the window is {windows[f'{name}_window']} "
        f"({windows[f'{name}_why']})"
        for name, words in (("strength", "% vol"), ("fat", "% fat"))
        if max(windows.get(f"{name}_{side}_window", 0.0) for side in ("above", "below")) > 0
    ]
    return "; ".join(why)


def _measured(overrun: float, how: str) -> LiquidShare:
    fraction = foam.liquid_fraction(overrun)
    return LiquidShare(fraction, fraction, True, f"measured: {how}", "DEFINITION")


def foam_volumes(found: LiquidShare | None, product: Mixture, method: str) -> Volumes:
    """Litres, overrun and density of the foam as results' values."""
    if found is None:
        return {}
    litres = 1e3 * product.volume_20_m3
    liquid_kg_m3 = product.density_kg_m3(_ROOM_C)
    gas = gases.molar_mass_kg_mol("n2o") if method == "siphon" else water.DRY_AIR_KG_MOL
    gas_kg_m3 = water.moist_gas_density_kg_m3(gas, _ROOM_C, water.STANDARD_PA, 1.0)
    return {
        "foam_low": litres * foam.expansion(found.high),
        "foam_high": litres * foam.expansion(found.low),
        "liquid_fraction_low": 100.0 * found.low,
        "liquid_fraction_high": 100.0 * found.high,
        "overrun_low": 100.0 * foam.overrun_from_liquid_fraction(found.high),
        "overrun_high": 100.0 * foam.overrun_from_liquid_fraction(found.low),
        "density_low": foam.density_kg_m3(found.low, liquid_kg_m3, gas_kg_m3),
        "density_high": foam.density_kg_m3(found.high, liquid_kg_m3, gas_kg_m3),
    }


def viscosity_pa_s(inputs: Inputs, liquid: Mixture) -> float | None:
    """As given, of plain milk or cream, or of a sugar solution; None where that says nothing."""
    if inputs.thickness is not None:
        return float(inputs.thickness) * sucrose.viscosity_pa_s(0.0, _ROOM_C)
    temperature_c = _ROOM_C if inputs.temperature is None else float(inputs.temperature)
    try:
        if inputs.foamer.row.role == "liquid":  # fat globules thicken more than their solids do
            return _dairy_pa_s(liquid, temperature_c)
        return sucrose.viscosity_pa_s(liquid.dissolved_solids, temperature_c)
    except OutOfRange:
        return None


def _dairy_pa_s(liquid: Mixture, temperature_c: float) -> float | None:
    """Of milk or cream with little else in it, to 30 % fat and 30 C; None for any other liquid."""
    fat = liquid.fraction("milk_fat")
    sugar = fsum(liquid.fraction(name) for name in ("sucrose", "glucose", "fructose"))
    if fat <= 0.0 or liquid.ethanol_kg or sugar > PLAIN_SUGAR:
        return None
    return food.viscosity_pa_s(fat, temperature_c)


def foam_times(
    inputs: Inputs, liquid: Mixture, way: FoamMethod | None, found: LiquidShare | None
) -> FoamTimes:
    """Minutes by what is in print and by drainage, each within a factor of three."""
    values: FoamMinutes = {}
    viscosity = viscosity_pa_s(inputs, liquid)
    thicker = None if viscosity is None else viscosity / sucrose.viscosity_pa_s(0.0, _ROOM_C)
    in_print = way.stands if way else ""
    if in_print:
        minutes = _IN_PRINT_S[in_print] / 60.0
        values["standing_low"] = minutes / foam.STANDING_TIME_FACTOR
        values["standing_high"] = minutes * foam.STANDING_TIME_FACTOR
    bubble_mm = float(inputs.bubble) if inputs.bubble is not None else way.bubble_mm if way else 0.0
    held = found.middle if found is not None else 0.0
    if viscosity is None or not bubble_mm or not 0.0 < held <= WET_FRACTION_HIGH:
        return FoamTimes(values, thicker, in_print)
    velocity = foam.drainage_velocity_rigid_m_s(
        1e-3 * bubble_mm, held, viscosity, liquid.density_kg_m3(_ROOM_C)
    )
    low, high = foam.standing_time_range_s(1e-3 * float(inputs.height), velocity)
    values["drained_low"], values["drained_high"] = low / 60.0, high / 60.0
    return FoamTimes(values, thicker, in_print, velocity, bubble_mm, held)


def foam_served(inputs: Inputs, product: Mixture, found: LiquidShare | None) -> FoamServe:
    """Scoops and serves as results' values; a scoop weighs the liquid in it."""
    values: FoamServe = {}
    grams = 1000.0 * product.mass_kg
    if inputs.serves is not None:
        values["per_serve"] = grams / inputs.serves
    if inputs.scoop is not None:
        scoop = _scoop_g(inputs.scoop, product, found)
        if scoop is not None:
            low, high = scoop
            values["scoop_low"], values["scoop_high"] = low, high
            values["scoops_low"], values["scoops_high"] = grams / high, grams / low
            if inputs.serves is not None:
                values["needed"] = inputs.serves * high
    most = values.get("scoop_high", values.get("per_serve"))
    if most is not None and product.ethanol_kg:
        values["ethanol_per_serve"] = most * product.fraction("ethanol")
    return values


def _scoop_g(
    scoop: Measured, product: Mixture, found: LiquidShare | None
) -> tuple[float, float] | None:
    if scoop.unit == "g":
        return float(scoop), float(scoop)
    if found is None:
        return None
    per_ml = 1e-3 * product.density_kg_m3(_ROOM_C)
    return float(scoop) * found.low * per_ml, float(scoop) * found.high * per_ml


# ---- a batch of foam before it is foamed ----

# [EFSA-QUILLAIA] saponins in the usual extract, for the question alone, never for a verdict.
USUAL_SAPONINS = 0.20
_WATERY = 0.2  # less water and spirit than this is no liquid to foam


class FoamAgent(Record):
    """What goes into the liquid: as foamer or stabiliser, what, kg."""

    role: str
    ingredient: Ingredient
    kg: float


class FoamBatch(Record):
    """The liquid, what is weighed into it, and the sum."""

    liquid: Mixture
    weighed: tuple[FoamAgent, ...]
    product: Mixture

    def grams(self, role: str) -> float | None:
        """Grams of the foamer or the stabiliser; None where there is none."""
        return next((1000.0 * agent.kg for agent in self.weighed if agent.role == role), None)

    def percent(self, role: str) -> float | None:
        """The same per cent of the liquid by mass."""
        grams = self.grams(role)
        return None if grams is None else grams / (10.0 * self.liquid.mass_kg)

    @property
    def foamer_mg_kg(self) -> float:
        """Foamer in the whole batch, mg/kg."""
        return 1e3 * (self.grams("foamer") or 0.0) / self.product.mass_kg


def made(inputs: Inputs) -> FoamBatch:
    """The batch of the inputs; BadInput where it cannot be one."""
    liquid = _liquid(inputs)
    row = inputs.foamer.row
    ingredient = inputs.foamer.ingredient(inputs.egg)
    weighed: list[FoamAgent] = []
    if ingredient is None:
        if inputs.dose is not None:
            raise BadInput(
                f"{named('dose')} is {inputs.dose.words()}, but {row.name} foams by itself; leave "
                "it out.",
                "dose",
            )
    elif inputs.dose is None:
        known = f" ({row.dose.obtained})" if row.dose else ""
        raise BadInput(
            f"foam needs {named('dose')} for {row.name}, per cent of the liquid by mass; usual is "
            f"{row.usual}{known}.",
            "dose",
        )
    else:
        weighed.append(FoamAgent("foamer", ingredient, _dose_kg(inputs.dose, liquid)))
    if (inputs.stabiliser is None) != (inputs.stabiliser_dose is None):
        raise BadInput(
            f"{named('stabiliser')} and {named('stabiliser_dose')} go together, such as "
            f"{named('stabiliser')} xanthan "
            f"{named('stabiliser_dose', '0.1 %')}.",
            "stabiliser",
        )
    if inputs.stabiliser is not None and inputs.stabiliser_dose is not None:
        extra = inputs.stabiliser.ingredient(None)
        if extra is None:
            raise BadInput(
                f"{named('stabiliser')} is {inputs.stabiliser}, which is not weighed.", "stabiliser"
            )
        weighed.append(FoamAgent("stabiliser", extra, _dose_kg(inputs.stabiliser_dose, liquid)))
    parts = [agent.ingredient.mixture.of_mass(agent.kg) for agent in weighed]
    return FoamBatch(liquid, tuple(weighed), Mixture.total([liquid, *parts]))


def _liquid(inputs: Inputs) -> Mixture:
    liquid = Mixture.total(part.mixture for part in inputs.liquid)
    if not liquid.mass_kg > 0.0:
        raise BadInput(
            f"{named('liquid')} amounts to 0. Write for example 400 ml lemon juice.",
            "liquid",
        )
    watery = liquid.fraction("water", "ethanol")
    if watery < _WATERY:
        raise BadInput(
            f"{named('liquid')} is {100.0 * watery:.0f} % water and spirit, and a foam needs a "
            "watery "
            f"liquid of at least {100.0 * _WATERY:.0f} %; dissolve or dilute it first.",
            "liquid",
        )
    return liquid


def _dose_kg(dose: Measured, liquid: Mixture) -> float:
    if dose.unit == "g":
        return float(dose) / 1000.0
    if dose.unit == "g/l":
        return float(dose) * liquid.volume_20_m3
    return float(dose) / 100.0 * liquid.mass_kg


def measures(inputs: Inputs, liquid: Mixture) -> dict[str, Measure]:
    """The numbers of the liquid that the windows ask for; pH only where there is acid."""
    temperature = None if inputs.temperature is None else float(inputs.temperature)
    found = {
        "strength": Measure(_percent(liquid.abv)),
        "fat": Measure(_percent(liquid.fraction("fat", "milk_fat", "essential_oil"))),
        "sugar": Measure(_percent(liquid.dissolved_solids)),
        "temperature": Measure(temperature),
    }
    if inputs.ph is not None:
        found["ph"] = Measure(float(inputs.ph))
    elif liquid.acid_molalities:
        try:
            found["ph"] = Measure(liquid.ph.value, liquid.ph.plus_minus)
        except BadInput:
            found["ph"] = Measure(None)
    return found


def _percent(fraction: float) -> float:
    """Free of float dust, so that a cream of 30 % is not below 30 %."""
    return float(f"{100.0 * fraction:.9g}")


# facts for the caution rules


def saponins_mg_kg(inputs: Inputs, batch: FoamBatch) -> float | None:
    """Saponins in the batch by the product's own content; None if not entered."""
    if not inputs.foamer.row.saponins or inputs.saponins is None:
        return None
    return batch.foamer_mg_kg * float(inputs.saponins) / 100.0


def dose_facts(inputs: Inputs, batch: FoamBatch) -> Facts:
    """Both doses against their usual ranges."""
    facts: Facts = {}
    dose, extra = batch.percent("foamer"), batch.percent("stabiliser")
    if dose is not None:
        facts |= foam_inputs.dose_facts(
            inputs.foamer.row, dose, liquid_g=1000.0 * batch.liquid.mass_kg
        )
    if extra is not None and inputs.stabiliser is not None:
        facts |= foam_inputs.dose_facts(inputs.stabiliser.row, extra, "stabiliser")
    return facts


def law_facts(inputs: Inputs, batch: FoamBatch) -> Facts:
    """The law's limits on the batch, and what has to be asked to judge them."""
    row = inputs.foamer.row
    saponins = saponins_mg_kg(inputs, batch)
    facts = foam_inputs.law_facts(row, inputs.jurisdiction, batch.foamer_mg_kg, saponins)
    if row.saponins:
        facts |= {
            "saponins_mg_kg": saponins,
            "saponins_if_usual_mg_kg": USUAL_SAPONINS * batch.foamer_mg_kg,
            "saponins_under_eu": float(inputs.jurisdiction in (None, "eu")),
        }
    return facts


def said_facts(
    inputs: Inputs, batch: FoamBatch, way: FoamMethod | None, share: LiquidShare | None
) -> Facts:
    """What was said or left unsaid: foamer, way, foam range, fruit that spoils a gel."""
    row = inputs.foamer.row
    names = " ".join(part.name.lower() for part in inputs.liquid)
    facts: Facts = {
        "foamer": row.name,
        "foamer_role": row.role,
        "method": inputs.method or (way.way if way else ""),
        "foam_range": None if share is None and row.role != "stabiliser" else 1.0,
    }
    fruit = [enzyme for enzyme in row.enzymes if enzyme in names]
    if fruit:
        facts["enzyme_fruit"] = ", ".join(fruit)
        facts["enzyme_fruits"] = len(fruit)
    if share is not None and share.measured and way is not None:
        facts |= {
            "measured_expansion": 1.0 / share.low,
            "drier_than_usual": way.low / 100.0 / share.low,
            "wetter_than_usual": share.high / (way.high / 100.0),
            "usual_expansion": f"{100.0 / way.high:.3g} to {100.0 / way.low:.3g}",
        }
    return facts


# ---- what the foam calculator shows beside its values ----

_Row = tuple[str | float | None, ...]


def weigh(inputs: Inputs, batch: FoamBatch) -> Table:
    """Liquid and foamer, to weigh."""
    rows: list[_Row] = [
        (part.name, 1000.0 * part.mass_kg, derived.volume_ml(part.mixture))
        for part in inputs.liquid
    ]
    rows += [(agent.ingredient.name, 1000.0 * agent.kg, None) for agent in batch.weighed]
    columns = (Column("what"), Column("mass", "g", 2, figures=3),
               Column("volume at 20 °C", "ml", 1, figures=3))  # fmt: skip
    return Table("weigh", "weigh", columns, tuple(rows))


def checks(chosen: FoamerWords, liquid: dict[str, Measure]) -> Table:
    """The liquid's own numbers beside what the foamer wants."""
    columns = (
        Column("check"), Column("this liquid"), Column("wanted"), Column("known from"),
        Column("why"),
    )  # fmt: skip
    rows = inputs.window_rows(chosen.row, liquid)
    return Table("checks", f"the liquid for {chosen.row.name}", columns, rows)


def about(chosen: FoamerWords, way: FoamMethod | None, jurisdiction: str | None) -> Table:
    """The row of the foamer: dose, hydration, foam, allergen, law."""
    row = chosen.row
    rows: list[_Row] = [("what it is", row.what, "")]
    if row.role != "liquid":
        rows.append(("usual dose", row.usual, row.dose.obtained if row.dose else "practice"))
    if row.dose and row.dose.start:
        rows.append(("start at", f"{row.dose.start:g} % w/w", "practice"))
    rows.append(("how", row.hydration, row.hydration_obtained))
    if way is not None:
        rows.append((f"foam by {way.way}", f"{way.low:g} to {way.high:g} % liquid", way.obtained))
    rows.append(("allergen", row.allergen, ""))
    rows += [
        (f"law of {WHERE[rule.where]}", _rule_words(rule), rule.obtained)
        for rule in inputs.law(row, jurisdiction)
    ]
    columns = (Column("about"), Column(row.name), Column("known from"))
    return Table("foamer", "the foamer", columns, tuple(rows))


def _rule_words(rule: inputs.FoamRule) -> str:
    return rule.text if rule.mg_kg is None else f"{rule.text}: at most {rule.mg_kg:g} mg/kg"


def carries(inputs: Inputs, product: Mixture, served: FoamServe) -> Table:
    """What the foam brings into the glass."""
    serve_g = served.get("scoop_high", served.get("per_serve"))
    rows: list[_Row] = [
        (
            name,
            1000.0 * product.of(*components),
            None if serve_g is None else serve_g * product.fraction(*components),
            100.0 * product.fraction(*components),
        )
        for name, components in (("ethanol", ("ethanol",)), ("sugars", SUGARS))
    ]
    names = ", ".join(sorted(product.allergens)) or "none listed"
    rows.append(("allergens", names, None, None))
    columns = (
        Column("what"), Column("in the batch", "g", 1), Column("in one serve", "g", 2),
        Column("in 100 g", "g", 1),
    )  # fmt: skip
    return Table("carries", "what the foam carries", columns, tuple(rows))


def steps(
    inputs: Inputs,
    batch: FoamBatch,
    way: FoamMethod | None,
    share: LiquidShare | None,
    times: FoamTimes,
) -> tuple[Step, ...]:
    """The working: doses, foam, times."""
    liquid_g = 1000.0 * batch.liquid.mass_kg
    names = " + ".join(f"{1000 * part.mass_kg:.1f} g {part.name}" for part in inputs.liquid)
    found = [Step("liquid", names, liquid_g, "g")]
    for agent in batch.weighed:
        dose = inputs.dose if agent.role == "foamer" else inputs.stabiliser_dose
        if dose is None:
            continue
        of = (
            f"{float(dose):g} % w/w of {liquid_g:.1f} g of liquid"
            if dose.unit == "% w/w"
            else f"{float(dose):g} g/l x {1e3 * batch.liquid.volume_20_m3:.4f} l of liquid at 20 °C"
        )
        found.append(Step(agent.ingredient.name, of, 1000.0 * agent.kg, "g", "DEFINITION"))
    if share is not None:
        litres = 1e3 * batch.product.volume_20_m3
        found += [
            Step("liquid in the foam", share.how, 100.0 * share.low, "% at least", share.source),
            Step(
                "foam",
                f"{litres:.3f} l / {100.0 * share.high:.3g} % to / {100.0 * share.low:.3g} %",
                litres / share.low,
                "l at most",
                "DEFINITION",
            ),
        ]
    return (*found, *_time_steps(inputs, times))


def _time_steps(inputs: Inputs, times: FoamTimes) -> list[Step]:
    found: list[Step] = []
    factor = foam.STANDING_TIME_FACTOR
    if times.viscosity_ratio is not None:
        source = "BUBNIK-1995"
        if inputs.thickness is not None:
            how = "as given, against water at 20 °C"
        elif inputs.foamer.row.role == "liquid":
            how, source = "of milk or cream by its fat and temperature", "BAKSHI-SMITH-1984"
        else:
            how = (
                "of sugar in water at the same dissolved solids and temperature; spirit and gum "
                "not counted"
            )
        found.append(Step("times as thick as water", how, times.viscosity_ratio, "", source))
    if "standing_low" in times.values:
        found.append(
            Step(
                "has collapsed",
                f"{times.in_print} in print, within a factor of {factor:g}: "
                f"{times.values['standing_low']:.0f} to",
                times.values["standing_high"],
                "min",
                "FOAM-TIMES",
            )
        )
    if times.velocity_m_s is not None:
        found += [
            Step(
                "liquid runs down",
                f"K rho g L^2 x fraction / viscosity, bubbles {times.bubble_mm:g} mm, "
                f"{100.0 * times.held:.2g} % liquid",
                1e3 * times.velocity_m_s,
                "mm/s",
                "KOEHLER-1999-MEMORY",
            ),
            Step(
                "most liquid has run out",
                f"{float(inputs.height):g} mm over that speed, within a factor of {factor:g}: "
                f"{times.values['drained_low']:.2g} to",
                times.values["drained_high"],
                "min",
                "PREPKIT-FOAM",
            ),
        ]
    return found


# ---- foam ----

EXAMPLE = 'prepkit foam --liquid "400 ml lemon juice" --foamer "soy lecithin" --dose "0.6 %"'


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

    foamer: float | None = output("foamer to weigh", "g", 2, extensive=True, figures=3)
    stabiliser: float | None = output("stabiliser to weigh", "g", 2, extensive=True, figures=3)
    dose: float | None = output("dose by mass of liquid", "% w/w", 2)
    mass: float | None = output("liquid with the foamer", "g", 1, extensive=True)
    volume: float | None = output("volume with foamer (20 °C)", "ml", 0, extensive=True)
    abv: float | None = output("strength at 20 °C", "% vol", 1)
    ethanol: float | None = output("ethanol in the foam", "g", 1, extensive=True)
    saponins: float | None = output("saponins", "mg/kg", 0)
    foam_low: float | None = output(
        "foam volume, lower bound", "l", 1, extensive=True, limit="most"
    )
    foam_high: float | None = output(
        "foam volume, upper bound", "l", 1, extensive=True, limit="least"
    )
    liquid_fraction_low: float | None = output("liquid fraction, lower bound", "%", 1, limit="most")
    liquid_fraction_high: float | None = output(
        "liquid fraction, upper bound", "%", 1, limit="least"
    )
    overrun_low: float | None = output("overrun, lower bound", "%", 0, limit="most")
    overrun_high: float | None = output("overrun, upper bound", "%", 0, limit="least")
    density_low: float | None = output("foam density, lower bound", "kg/m3", 0, limit="most")
    density_high: float | None = output("foam density, upper bound", "kg/m3", 0, limit="least")
    standing_low: float | None = output(
        "collapse, earliest (published times)", "min", 0, limit="most"
    )
    standing_high: float | None = output(
        "collapse, latest (published times)", "min", 0, limit="least"
    )
    drained_low: float | None = output("most liquid drained, earliest", "min", 1, limit="most")
    drained_high: float | None = output("most liquid drained, latest", "min", 1, limit="least")
    per_serve: float | None = output("batch for one serve", "g", 1)
    scoop_low: float | None = output("scoop weight, lower bound", "g", 1, limit="most")
    scoop_high: float | None = output("scoop weight, upper bound", "g", 1, limit="least")
    scoops_low: float | None = output("scoops, lower bound", "", 0, extensive=True, limit="most")
    scoops_high: float | None = output("scoops, upper bound", "", 0, extensive=True, limit="least")
    needed: float | None = output(
        "batch needed, upper bound", "g", 1, extensive=True, limit="least"
    )
    ethanol_per_serve: float | None = output(
        "ethanol per serve, upper bound", "g", 2, limit="least"
    )


def compute(inputs: Inputs) -> Result:
    """Weigh-out by the dose, checks of the liquid, foam by expansion, time by drainage."""
    chosen: FoamerWords = inputs.foamer
    row = chosen.row
    batch = made(inputs)
    product = batch.product
    liquid = measures(inputs, batch.liquid)
    way = row.way(inputs.method)
    share = foam_share(inputs, way)
    windows = window_facts(row, liquid)
    broken = films_break(windows, share)
    if broken:
        share = None
    volumes = foam_volumes(share, product, inputs.method or (way.way if way else "air"))
    times = foam_times(inputs, batch.liquid, None if broken else way, share)
    served = foam_served(inputs, product, share)
    facts: Facts = {
        **windows,
        **dose_facts(inputs, batch),
        **law_facts(inputs, batch),
        **said_facts(inputs, batch, way, share),
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
        saponins=saponins_mg_kg(inputs, batch),
        facts=facts,
        working=steps(inputs, batch, way, share, times),
        tables=(
            weigh(inputs, batch),
            checks(chosen, liquid),
            about(chosen, way, inputs.jurisdiction),
            carries(inputs, product, served),
        ),
        **volumes,
        **times.values,
        **served,
    )
