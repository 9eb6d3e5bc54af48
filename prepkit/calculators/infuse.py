"""infuse: plants steeped in spirit or another liquid: strength, yield, and what it costs."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Any

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.model import choice, flag, number, output, parts, quantity
from prepkit.pantry import Pantry, Part
from prepkit.shared import botanicals, infuse_show, steep, straining
from prepkit.shared.steep import Solid
from prepkit.units import Measured

EXAMPLE = 'prepkit infuse --liquid "700 ml spirit 43 %" --botanical "300 g strawberries"'
MOSTLY_FAT = 0.5  # of the liquid: what plants hold does not mix into it
ALKALOID_LIMIT_MG_KG = 83.0  # in the finished drink [CFR-21-172-QUININE]
_SHOWN: tuple[derived.Name, ...] = (
    "abv", "ethanol", "sugar", "dissolved_solids", "refractometer", "acidity", "ph", "density",
    "water_activity", "freezing_point",
)  # fmt: skip
_PER_GRAM = re.compile(r"\s*(?:g/g|kg/kg|g per g)\s*$", re.IGNORECASE)


class Inputs(BaseInputs):
    """What is poured on what, and what was weighed."""

    liquid: tuple[Part, ...] = parts(
        "the liquid", "Spirit, wine, water, syrup, and what dissolves in it; once for each.",
        "700 ml spirit 43 %",
    )  # fmt: skip
    botanical: tuple[Part, ...] = parts(
        "the plants",
        "Fruit, peel, herb, coffee, tea, spice, nuts that are strained off again; once for each.",
        "300 g strawberries",
    )
    method: str | None = choice(
        ("maceration", "pressure"), "how", "Left to stand, or under gas in a siphon; maceration "
        "unless said.", default=None,
    )  # fmt: skip
    gas: str | None = choice(
        ("n2o", "co2"), "gas of a pressure infusion", "Nitrous oxide; carbon dioxide is refused.",
        default=None,
    )  # fmt: skip
    kept: float | None = number(
        "liquid kept by the drained plants",
        "g of liquid, own juice counted, that 1 g of plant as it was put in keeps, by your own "
        "weighing: 0.3 or 0.3 g/g; else the trade's range of its kind.",
        "0.3", default=None, low=0, high=20,
    )  # fmt: skip
    drained: Measured | None = quantity(
        "g", "the drained plants, weighed", "All of them together after straining: best of all.",
        "270 g", default=None, above=0, high=1e7, because="a batch of at most ten tonnes",
        extensive=True,
    )  # fmt: skip
    pressed: bool = flag("pressed", "The plants are squeezed or pressed out, not only drained.")
    water_lost: Measured = quantity(
        "%", "water lost before", "Roasted or dried before it is steeped: water that left the "
        "plants, of their fresh weight as written.", "20 %", default=0.0, low=0, high=95,
        because="no plant holds more",
    )  # fmt: skip
    extraction: Measured | None = quantity(
        "%", "extraction of coffee or tea", "Share of its weight as put in that dissolves, "
        "from a reading of the strained liquid; else the published share in water.", "21 %",
        default=None, low=0, high=45, because="no more of it dissolves",
    )  # fmt: skip
    alkaloids: Measured | None = quantity(
        "%", "assay of cinchona bark", "Total alkaloids of the bark by its certificate of "
        "analysis; without it nothing is worked out with bark.", "6 %",
        default=None, above=0, high=20, because="no bark holds more",
    )  # fmt: skip
    jurisdiction: str = choice(
        ("strictest", "us", "eu"), "whose rules", "For refused plants; the strictest of those read "
        "unless said.", default="strictest",
    )  # fmt: skip

    @classmethod
    def before_reading(cls, said: dict[str, Any], pantry: Pantry) -> dict[str, Any]:
        """Hook of the base: refused plants, and what is kept as a plain ratio."""
        found = botanicals.spotted(said, ("botanical", "liquid"))
        if isinstance(found.get("kept"), str):
            return {**found, "kept": _PER_GRAM.sub("", found["kept"])}
        return found


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """The strained infusion at full equilibrium, and how far it may be from there."""

    mass: float | None = output("strained infusion", "g", 0, extensive=True)
    volume: float | None = output("volume at 20 C", "ml", 0, extensive=True)
    abv: float | None = output("strength at 20 C, at full exchange", "% vol", 2)
    abv_none: float | None = output("strength if nothing was exchanged", "% vol", 2)
    strength_lost: float | None = output("strength lost, at full exchange", "% vol", 2)
    ethanol: float | None = output("ethanol, at full exchange", "g", 1, extensive=True)
    ethanol_kept: float | None = output("ethanol kept by the plants", "g", 1, extensive=True)
    ethanol_kept_share: float | None = output("ethanol kept, of what was poured", "%", 1)
    poured_lost: float | None = output("that much of the poured liquid", "ml", 0, extensive=True)
    kept: float | None = output("liquid kept by the plants", "g", 0, extensive=True)
    kept_per_gram: float | None = output("liquid kept for each g put in", "g/g", 2)
    yield_volume: float | None = output("yield, of the volume poured", "%", 0)
    plants_put_in: float | None = output("plants as put in", "g", 1, extensive=True)
    water_from_plants: float | None = output("water of the plants", "g", 1, extensive=True)
    dissolved: float | None = output("dissolved from the plants", "g", 1, extensive=True)
    sugar: float | None = output("sugars", "% w/w", 2)
    sugar_g_l: float | None = output("sugars in the volume", "g/l", 0)
    dissolved_solids: float | None = output("true dissolved solids", "Bx", 2)
    refractometer: float | None = output("refractometer shows, at 20 C", "Bx", 1)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    ph: float | None = output("pH", "", 2)
    density: float | None = output("density at 20 C", "kg/m3", 1)
    water_activity: float | None = output("water activity at 25 C", "", 3)
    freezing_point: float | None = output("ice begins at", "C", 1)
    caffeine: float | None = output("caffeine, at most", "mg", 0, extensive=True)
    caffeine_per_100_ml: float | None = output("caffeine in 100 ml, at most", "mg", 0)
    alkaloids: float | None = output("alkaloids of bark, at most", "mg/kg", 0)
    dilute_to: float | None = output("finished drink for each g of infusion, at least", "g/g", 1)
    fill: float | None = output("liquid and plants in the vessel", "ml", 0, extensive=True)


def compute(inputs: Any) -> Result:
    """Refuse, or pour, mix, strain; then what it became and what it cost."""
    refusal = botanicals.refusal(
        (*inputs.botanical, *inputs.liquid), jurisdiction=_rules(inputs.jurisdiction)
    )
    if refusal:
        return Result(facts=refusal)
    if inputs.gas == "co2":
        return Result(facts={"carbonating_gas": "carbon dioxide", "carbonating_count": 1})
    _check(inputs)
    # what weighs nothing, as an end of a ± may, is not there
    inputs = inputs.replaced(
        liquid=tuple(part for part in inputs.liquid if part.mass_kg > 0.0),
        botanical=tuple(part for part in inputs.botanical if part.mass_kg > 0.0),
    )
    poured = Mixture.total(part.mixture for part in inputs.liquid)
    if poured.fraction("fat", "milk_fat") > MOSTLY_FAT:
        return Result(**infuse_show.in_fat(inputs, poured))
    bark_kg = math.fsum(
        part.mass_kg for part in inputs.botanical if "quinine" in part.ingredient.mixture.tags
    )
    if bark_kg and inputs.alkaloids is None:
        return Result(facts={"alkaloids_percent": None})
    if inputs.alkaloids is not None and not bark_kg:
        raise BadInput(
            f"{named('alkaloids')} is the assay of cinchona bark, and no bark is among the plants; "
            "leave it "
            "out.", "alkaloids",
        )  # fmt: skip
    solids = [
        steep.solid(
            part,
            float(inputs.water_lost) / 100,
            float(inputs.extraction) / 100 if inputs.extraction is not None else None,
            inputs.pressed,
        )
        for part in inputs.botanical
    ]
    kept = _kept(inputs, poured, solids)
    return _result(inputs, poured, solids, kept, bark_kg)


def _rules(jurisdiction: str) -> str:
    return "" if jurisdiction == "strictest" else jurisdiction.upper()


def _check(inputs: Any) -> None:
    if inputs.method == "pressure" and inputs.gas is None:
        raise BadInput(
            f"{named('method')} pressure needs its gas: write {named('gas')} n2o for nitrous "
            "oxide; carbon dioxide "
            "is refused.", "gas",
        )  # fmt: skip
    if inputs.gas is not None and inputs.method == "maceration":
        raise BadInput(
            f"{named('gas')} {inputs.gas} belongs to {named('method')} pressure, and maceration "
            "needs no gas; leave "
            f"one of the two out.", "gas",
        )  # fmt: skip
    for part in inputs.botanical:
        steep.require_solid(part, "botanical")
    for part in inputs.liquid:
        if straining.is_strained(part):
            raise BadInput(
                f"{named('liquid', f'{part.words}')} is a plant that is strained off again; give "
                "it as "
                f"{named('botanical')}.", "liquid",
            )  # fmt: skip
    if not math.fsum(part.mass_kg for part in inputs.liquid) > 0:
        raise BadInput(
            f"{named('liquid')} comes to nothing; write for example 700 ml spirit 43 %.", "liquid"
        )
    if not math.fsum(part.mass_kg for part in inputs.botanical) > 0:
        raise BadInput(
            f"{named('botanical')} comes to nothing; write for example 300 g strawberries.",
            "botanical",
        )
    if inputs.kept is not None and inputs.drained is not None:
        raise BadInput(
            f"{named('kept')} and {named('drained')} say the same thing; give one of them.", "kept"
        )
    if inputs.extraction is not None and not any(
        part.ingredient.group in steep.EXTRACTED_GROUPS for part in inputs.botanical
    ):
        raise BadInput(
            f"{named('extraction')} is for coffee and tea, and neither is among the plants; leave "
            "it out.",
            "extraction",
        )


def _kept(inputs: Any, poured: Mixture, solids: list[Solid]) -> tuple[float, float, float]:
    drained_kg = float(inputs.drained) / 1000 if inputs.drained is not None else None
    kept = steep.kept_kg(solids, inputs.kept, drained_kg)
    if kept[0] < -1e-12:
        left_g = 1000 * math.fsum(one.left_kg for one in solids)
        raise BadInput(
            f"{named('drained')} is {float(inputs.drained):g} g; what cannot dissolve of the "
            "plants "
            f"alone is about {left_g:.1f} g; weigh all of them, drained and not dried.", "drained",
        )  # fmt: skip
    liquor_kg = poured.mass_kg + math.fsum(one.juice.mass_kg for one in solids)
    if kept[1] >= liquor_kg:
        raise BadInput(
            f"the plants would keep {1000 * kept[1]:.0f} g of the {1000 * liquor_kg:.0f} g of "
            f"liquid and nothing would run off; take more liquid or fewer plants.", "botanical",
        )  # fmt: skip
    return kept


def _result(
    inputs: Any,
    poured: Mixture,
    solids: list[Solid],
    kept: tuple[float, float, float],
    bark_kg: float,
) -> Result:
    juice = Mixture.total(one.juice for one in solids)
    full = steep.strained(poured, juice, kept[1], 1.0)
    product = full.liquid
    none = steep.strained(
        poured, juice, min(kept[2], 0.999 * (poured.mass_kg + juice.mass_kg)), 0.0
    )
    put_in_kg = math.fsum(one.put_in.mass_kg for one in solids)
    volume_m3, poured_m3 = product.volume_20_m3, poured.volume_20_m3
    shown, error = derived.of(product, *_SHOWN)
    half = 0.5 * (kept[2] - kept[0])
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
        for name in ("mass", "volume", "yield_volume", "kept", "kept_per_gram"):
            error.pop(name)
    values: dict[str, Any] = {}
    if poured.ethanol_kg:
        kept_kg = full.kept.ethanol_kg
        values = {
            "abv_none": 100 * none.liquid.abv,
            "strength_lost": 100 * (poured.abv - product.abv),
            "ethanol_kept": 1000 * kept_kg,
            "ethanol_kept_share": 100 * kept_kg / poured.ethanol_kg,
            "poured_lost": 1e6 * poured_m3 * kept_kg / poured.ethanol_kg,
        }
        scale = half / full.kept.mass_kg if full.kept.mass_kg else 0.0
        error |= {
            name: values[name] * scale
            for name in ("ethanol_kept", "ethanol_kept_share", "poured_lost")
        }
        error["ethanol"] = error["ethanol_kept"]
        # no error of the strength: how far the exchange went is not known, see the table
    caffeine_mg = 1e6 * product.of("caffeine")
    alkaloids = None
    if bark_kg:
        alkaloids = 1e4 * float(inputs.alkaloids) * bark_kg / (poured.mass_kg + juice.mass_kg)
    pressure = inputs.method == "pressure" or inputs.gas is not None
    fill_ml = 1e6 * poured_m3 + 1e6 * put_in_kg / infuse_show.LIGHTEST_KG_M3 if pressure else None
    seen = infuse_show.Seen(poured, solids, juice, kept, full, none, pressure, fill_ml)
    return Result(
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
        **values,
        product=product,
        mass=1000 * product.mass_kg,
        volume=1e6 * volume_m3,
        kept=1000 * kept[1],
        kept_per_gram=kept[1] / put_in_kg,
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
        facts=infuse_show.facts(inputs, product, seen)
        | {"alkaloids_mg_kg": alkaloids or 0.0, "yield_percent": 100 * volume_m3 / poured_m3},
        working=tuple(infuse_show.steps(inputs, product, seen)),
        tables=(infuse_show.weigh(inputs, solids), infuse_show.reach(seen)),
    )
