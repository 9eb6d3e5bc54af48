"""A batch of foam before it is foamed: liquid, foamer and stabiliser by their doses, its facts."""

from __future__ import annotations

from typing import NamedTuple

from prepkit.calculators.foam import foamers
from prepkit.calculators.foam.estimate import Share
from prepkit.calculators.foam.foamers import Measure, Way
from prepkit.calculators.foam.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.pantry import Ingredient
from prepkit.units import Measured

# [EFSA-QUILLAIA] saponins in the usual extract, for the question alone, never for a verdict.
USUAL_SAPONINS = 0.20
_WATERY = 0.2  # less water and spirit than this is no liquid to foam


class Weighed(NamedTuple):
    """What goes into the liquid: as foamer or stabiliser, what, kg."""

    role: str
    ingredient: Ingredient
    kg: float


class Batch(NamedTuple):
    """The liquid, what is weighed into it, and the sum."""

    liquid: Mixture
    weighed: tuple[Weighed, ...]
    product: Mixture

    def grams(self, role: str) -> float | None:
        """Grams of the foamer or the stabiliser; None where there is none."""
        return next((1000.0 * one.kg for one in self.weighed if one.role == role), None)

    def percent(self, role: str) -> float | None:
        """The same per cent of the liquid by mass."""
        grams = self.grams(role)
        return None if grams is None else grams / (10.0 * self.liquid.mass_kg)

    @property
    def foamer_mg_kg(self) -> float:
        """Foamer in the whole batch, mg/kg."""
        return 1e3 * (self.grams("foamer") or 0.0) / self.product.mass_kg


def made(inputs: Inputs) -> Batch:
    """The batch of the inputs; BadInput where it cannot be one."""
    liquid = _liquid(inputs)
    row = inputs.foamer.row
    ingredient = inputs.foamer.ingredient(inputs.egg)
    weighed: list[Weighed] = []
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
        weighed.append(Weighed("foamer", ingredient, _dose_kg(inputs.dose, liquid)))
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
        weighed.append(Weighed("stabiliser", extra, _dose_kg(inputs.stabiliser_dose, liquid)))
    parts = [one.ingredient.mixture.of_mass(one.kg) for one in weighed]
    return Batch(liquid, tuple(weighed), Mixture.total([liquid, *parts]))


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


def saponins_mg_kg(inputs: Inputs, batch: Batch) -> float | None:
    """Saponins in the batch by the product's own content; None if not entered."""
    if not inputs.foamer.row.saponins or inputs.saponins is None:
        return None
    return batch.foamer_mg_kg * float(inputs.saponins) / 100.0


def dose_facts(inputs: Inputs, batch: Batch) -> dict[str, object]:
    """Both doses against their usual ranges."""
    facts: dict[str, object] = {}
    dose, extra = batch.percent("foamer"), batch.percent("stabiliser")
    if dose is not None:
        facts |= foamers.dose_facts(inputs.foamer.row, dose, liquid_g=1000.0 * batch.liquid.mass_kg)
    if extra is not None and inputs.stabiliser is not None:
        facts |= foamers.dose_facts(inputs.stabiliser.row, extra, "stabiliser")
    return facts


def law_facts(inputs: Inputs, batch: Batch) -> dict[str, object]:
    """The law's limits on the batch, and what has to be asked to judge them."""
    row = inputs.foamer.row
    saponins = saponins_mg_kg(inputs, batch)
    facts = foamers.law_facts(row, inputs.jurisdiction, batch.foamer_mg_kg, saponins)
    if row.saponins:
        facts |= {
            "saponins_mg_kg": saponins,
            "saponins_if_usual_mg_kg": USUAL_SAPONINS * batch.foamer_mg_kg,
            "saponins_under_eu": float(inputs.jurisdiction in (None, "eu")),
        }
    return facts


def said_facts(
    inputs: Inputs, batch: Batch, way: Way | None, share: Share | None
) -> dict[str, object]:
    """What was said or left unsaid: foamer, way, foam range, fruit that spoils a gel."""
    row = inputs.foamer.row
    names = " ".join(part.name.lower() for part in inputs.liquid)
    facts: dict[str, object] = {
        "foamer": row.name,
        "foamer_role": row.role,
        "method": inputs.method or (way.way if way else ""),
        "foam_range": None if share is None and row.role != "stabiliser" else 1.0,
    }
    if row.name == "lecithin" and "soy" not in inputs.foamer.lower():
        facts["lecithin_of"] = "not said"
    fruit = [one for one in row.enzymes if one in names]
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
