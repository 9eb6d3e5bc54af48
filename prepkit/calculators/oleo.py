"""oleo: peel and sugar, or essential oil in a syrup: yield, sugar left over, oil as a range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from prepkit import derived, grammar
from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.model import (
    Column,
    Step,
    Table,
    choice,
    flag,
    number,
    output,
    part,
    parts,
    quantity,
    words,
)  # fmt: skip
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.pantry import REFUSED_GROUP, Pantry, Part
from prepkit.science import osmosis, sucrose
from prepkit.shared import botanicals, citrus_oil, oleo_show
from prepkit.shared import peel as peels
from prepkit.shared.citrus_oil import Drops
from prepkit.shared.peel import Exchange, Peel
from prepkit.units import Measured, without_amount

EXAMPLE = (
    'prepkit oleo --peel "100 g lemon peel" --sugar "100 g" --water-loss 0.40 --solids-gain 0.08'
)
_SHOWN: tuple[derived.Name, ...] = (
    "volume",
    "density",
    "dissolved_solids",
    "refractometer",
    "acidity",
    "ph",
)


class Inputs(BaseInputs):
    """What goes in, and what is known of how far it went."""

    peel: Part | None = part(
        "the peel",
        "Fresh peel by weight, or whole fruit by number or weight together with "
        f"{named('peeled')}; once "
        "for each fruit.",
        "300 g lemon peel",
        default=None,
        several=True,
    )
    peeled: str = choice(
        peels.PEELED,
        "how whole fruit is peeled",
        "Only for whole fruit: all of its peel, strips with little white, or grated zest.",
        default="as given",
    )
    sugar: Part | None = part(
        "the sugar",
        "Dry sugar; white sugar unless another is named. Honey and syrups beside it count as "
        "liquid.",
        "300 g",
        default=None,
        several=True,
    )
    liquid: tuple[Part, ...] = parts(
        "liquid that is added",
        "Juice, water or syrup that rinses the peel or carries the oil; once for each.",
        "200 ml lemon juice",
        default=None,
    )
    water_loss: float | None = number(
        "water loss", "Water that left the peel, kg per kg of fresh peel, by your own weighing.",
        "0.40", default=None, low=0, high=1, because="a share of the peel's mass",
    )  # fmt: skip
    solids_gain: float | None = number(
        "solids gain", "Sugar that went into the peel, kg per kg of fresh peel.",
        "0.08", default=None, low=0, high=1, because="a share of the peel's mass",
    )  # fmt: skip
    weighing: tuple[str, ...] = words(
        "a weighing",
        "At a time: the peel wiped clean, and the sugar left or the Bx of the syrup. One gives "
        "that moment, two at about 1 and 4 h give the curve.",
        "2 h: peel 84 g, undissolved 20 g",
        default=(),
        many=True,
    )
    time: Measured | None = quantity(
        "h", "time on the sugar", "For the curve through two weighings, or the diffusion band.",
        "6 h", default=None, above=0, high=1000, because="six weeks",
    )  # fmt: skip
    thickness: Measured | None = quantity(
        "mm", "thickness of the strips", "Zest and white together, as cut.",
        "2 mm", default=None, low=0.2, high=20, because="a strip of peel",
    )  # fmt: skip
    one_face: bool = flag("one face", "The sugar reaches the strips from one face only.")
    temperature: Measured = quantity(
        "C", "temperature", "Where it stands; what dissolves is taken there.", "20 C",
        default=20.0, low=0, high=60, because="a kitchen, not a boiling syrup",
    )  # fmt: skip
    vacuum: bool = flag("vacuum", "Sealed under vacuum: the peel then binds more liquid.")
    kept: Measured | None = quantity(
        "%", "syrup kept by the drained peel",
        "Share of the drained peel's weight, by weighing; else the trade's 20 to 60 %.",
        "30 %", default=None, low=0, high=150, because="peel holds no more",
    )  # fmt: skip
    oil: tuple[Part, ...] = parts(
        "essential oil", "By weight or volume; once for each oil.", "0.5 g lemon oil",
        default=None,
    )  # fmt: skip
    drops: tuple[str, ...] = words(
        "essential oil by the drop", "A number of drops and the oil; once for each oil.",
        "12 lemon oil", default=(), many=True,
    )  # fmt: skip
    dropper: str = choice(
        citrus_oil.DROPPERS, "the dropper", "What the drops fall from.", default="bottle insert"
    )
    emulsifier: Part | None = part(
        "emulsifier", "What holds the oil up, if any.", "5 g gum arabic", default=None
    )
    droplet: Measured | None = quantity(
        "um", "size of the oil droplets", "If your homogeniser's is known.", "5 um",
        default=None, above=0.01, high=100, because="an emulsion",
    )  # fmt: skip
    per_drink: Measured | None = quantity(
        ("ml", "g"), "syrup in one drink", "To show oil and limits in the drink.", "20 ml",
        default=None, above=0, high=1000, because="one serve",
    )  # fmt: skip
    drink: Measured | None = quantity(
        ("ml", "g"), "the finished drink", "With all that it is diluted by.", "150 ml",
        default=None, above=0, high=5000, because="one serve",
    )  # fmt: skip
    drink_strength: Measured | None = quantity(
        "% vol", "strength of the finished drink", "Some limits differ for alcoholic drinks.",
        "12 % vol", default=None, low=0, high=100, because="a strength", bare=True,
    )  # fmt: skip
    jurisdiction: str = choice(
        ("strictest", "us", "eu"), "whose rules", "For limits and refused plants; the strictest "
        "of those read unless said.", default="strictest",
    )  # fmt: skip

    @classmethod
    def before_reading(cls, said: dict[str, Any], pantry: Pantry) -> dict[str, Any]:
        """Hook of the base: refused plants, plain sugar, no drops as an amount."""
        found = _dry_apart(botanicals.spotted(said, ("peel",)), pantry)
        oil = found.get("oil")
        given = (oil,) if isinstance(oil, str) else oil if isinstance(oil, list | tuple) else ()
        by_drop = [one for one in given if isinstance(one, str) and " drop" in one.lower()]
        if by_drop:
            raise BadInput(
                f"{named('oil', f'{by_drop[0]}')}: a drop is no measure, it weighs 17 to 33 mg by "
                "the "
                f"dropper; weigh the oil, or write {named('drops', '12 lemon oil')} with "
                f"{named('dropper')}.",
                "oil",
            )
        return found

    @classmethod
    def read_field(cls, name: str, value: Any, pantry: Pantry, so_far: Mapping[str, Any]) -> Any:
        """Hook of the base: drops by their words."""
        return tuple(Drops.read(one, pantry) for one in value) if name == "drops" else value


def _dry_apart(said: dict[str, Any], pantry: Pantry) -> dict[str, Any]:
    """The words with white sugar named, and with what is no dry sugar among it as a liquid."""
    given = said.get("sugar")
    many: list[Any] = []
    for one in given if isinstance(given, list | tuple) else [given]:
        many += grammar.split(one) if isinstance(one, str) else [one]
    dry: list[Any] = []
    wet: list[Any] = []
    for said_one in many:
        if not isinstance(said_one, str) or not said_one.strip():
            dry.append(said_one)
            continue
        if not without_amount(said_one, named("sugar")):
            dry.append(f"{said_one.strip()} white sugar")
            continue
        for part_of in pantry.parts(said_one, named("sugar")):
            (wet if part_of.ingredient.form == "liquid" else dry).append(part_of.words)
    if not wet or (len(wet) == 1 and not dry):
        return {**said, "sugar": dry if len(dry) > 1 else dry[0]} if dry else said
    liquid = said.get("liquid") or []
    liquid = list(liquid) if isinstance(liquid, list | tuple) else [liquid]
    found = {**said, "liquid": [*wet, *liquid]}
    found.pop("sugar")
    return {**found, "sugar": dry if len(dry) > 1 else dry[0]} if dry else found


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """The strained syrup where it can be known, otherwise what it must lie between."""

    mass: float | None = output("strained syrup", "g", 1, extensive=True)
    volume: float | None = output("volume at 20 C", "ml", 1, extensive=True)
    undissolved: float | None = output("undissolved sugar", "g", 1, extensive=True)
    dissolved_solids: float | None = output("true dissolved solids", "Bx", 2)
    refractometer: float | None = output("refractometer shows, at 20 C", "Bx", 1)
    density: float | None = output("density at 20 C", "kg/m3", 1)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    ph: float | None = output("pH", "", 2)
    peel_mass: float | None = output("fresh peel", "g", 1, extensive=True)
    water_loss: float | None = output("water loss of the peel", "kg/kg", 3)
    solids_gain: float | None = output("solids gain of the peel", "kg/kg", 3)
    water_from_peel: float | None = output("water from the peel", "g", 1, extensive=True)
    sugar_in_peel: float | None = output("sugar in the peel", "g", 1, extensive=True)
    peel_after: float | None = output("peel afterwards", "g", 1, extensive=True)
    peel_volume: float | None = output("room the fresh peel takes", "ml", 0, extensive=True)
    kept: float | None = output("syrup kept by the peel", "g", 1, extensive=True)
    anchor_syrup: float | None = output("syrup at the low anchor", "g", 0, extensive=True)
    ceiling_syrup: float | None = output("syrup at the ceiling", "g", 0, extensive=True)
    anchor_undissolved: float | None = output(
        "undissolved sugar at the low anchor", "g", 0, extensive=True
    )
    ceiling_undissolved: float | None = output(
        "undissolved sugar at the ceiling", "g", 0, extensive=True
    )
    done_slow: float | None = output("exchange done, slow end (other fruits)", "%", 0)
    done_middle: float | None = output("exchange done, middle (other fruits)", "%", 0)
    done_fast: float | None = output("exchange done, fast end (other fruits)", "%", 0)
    nearly_done_fast: float | None = output("90 % done, fast end (other fruits)", "h", 1)
    nearly_done_slow: float | None = output("90 % done, slow end (other fruits)", "h", 1)
    oil_least: float | None = output("oil in the syrup, least", "mg/kg", 0)
    oil_most: float | None = output("oil in the syrup, most", "mg/kg", 0)
    oil_times_soluble: float | None = output("least oil over what dissolves", "times", 0)
    drink_oil_least: float | None = output("oil in the drink, least", "mg/kg", 0)
    drink_oil_most: float | None = output("oil in the drink, most", "mg/kg", 0)
    gum_least: float | None = output("gum arabic to hold it, least", "g", 1, extensive=True)
    gum_most: float | None = output("gum arabic to hold it, most", "g", 1, extensive=True)


def compute(inputs: Any) -> Result:
    """Refuse, or balance peel, sugar and liquid, then the oil."""
    refusal = botanicals.refusal(
        inputs.peel.each if inputs.peel else (),
        [one for one in inputs.drops if one.ingredient.group == REFUSED_GROUP],
        _rules(inputs.jurisdiction),
    )
    if refusal:
        return Result(facts=refusal)
    _check(inputs)
    batch = peels.peel_of(inputs.peel, inputs.peeled) if inputs.peel else None
    soluble = sucrose.solubility_mass_fraction(float(inputs.temperature))
    exchange = _exchange(inputs, batch, soluble)
    if batch and exchange is None:
        return _between(inputs, batch, soluble)
    return _known(inputs, batch, exchange, soluble)


def _rules(jurisdiction: str) -> str:
    return "" if jurisdiction == "strictest" else jurisdiction.upper()


def _check(inputs: Any) -> None:
    if inputs.peel and not inputs.peel.mass_kg:
        raise BadInput(
            f'{named("peel")} comes to nothing; write for example "300 g lemon peel".', "peel"
        )
    if inputs.peel is None and not inputs.oil and not inputs.drops:
        raise BadInput(
            f"oleo needs {named('peel')}, for example {named('peel', '300 g lemon peel')}, or an "
            "essential oil, for "
            f"example {named('oil', '0.5 g lemon oil')} with {named('sugar')} and "
            f"{named('liquid')}.",
            "peel",
        )
    if inputs.sugar is not None:
        peels.check_sugar(inputs.sugar)
    elif inputs.peel is not None:
        raise BadInput(
            f"oleo from peel needs {named('sugar')}, for example {named('sugar', '300 g')}.",
            "sugar",
        )
    elif not inputs.liquid:
        raise BadInput(
            f'oleo from oil needs {named("liquid")}, such as "500 g syrup 65 Bx".', "liquid"
        )
    if (inputs.water_loss is None) != (inputs.solids_gain is None):
        missing = named("solids_gain") if inputs.solids_gain is None else named("water_loss")
        raise BadInput(
            f"{named('water_loss')} and {named('solids_gain')} belong together, and {missing} is "
            "not given; weigh "
            f'both, or write a {named("weighing")} such as "2 h: peel 84 g, undissolved 20 g".',
            missing.lstrip("-").replace("-", "_"),
        )
    if len(inputs.weighing) > 2 or (inputs.weighing and inputs.water_loss is not None):
        raise BadInput(
            f"{named('weighing')} is taken once or twice, and not together with "
            f"{named('water_loss')}.",
            "weighing",
        )
    if (inputs.drink is None) != (inputs.per_drink is None):
        raise BadInput(
            f"{named('drink')} and {named('per_drink')} belong together: the finished drink, and "
            "the syrup in it.",
            "drink",
        )


def _exchange(inputs: Any, batch: Peel | None, soluble: float) -> Exchange | None:
    """What the peel gave and took, where the person knows it."""
    if batch is None:
        return None
    if inputs.water_loss is not None:
        if inputs.water_loss > batch.water + 1e-9:
            raise BadInput(
                f"{named('water_loss')} is {inputs.water_loss:g}; {batch.ingredient.name} holds "
                "only "
                f"{batch.water:.3f} kg of water in a kg.",
                "water_loss",
            )
        return Exchange(inputs.water_loss, inputs.solids_gain, "as given", "DEFINITION")
    if not inputs.weighing:
        return None
    hours = float(inputs.time) if inputs.time is not None else None
    found = [
        peels.read_weighing(one, batch.mass_kg, inputs.sugar.mass_kg, soluble, batch.water)
        for one in inputs.weighing
    ]
    return peels.from_weighings(found, hours, batch.mass_kg)


def _sum(inputs: Any) -> tuple[Mixture, Mixture]:
    """The sugar, and all liquid."""
    sugar = inputs.sugar.mixture if inputs.sugar else Mixture({})
    return sugar, Mixture.total(one.mixture for one in inputs.liquid)


def _known(inputs: Any, batch: Peel | None, exchange: Exchange | None, soluble: float) -> Result:
    """The batch where the exchange is known, or where there is no peel."""
    sugar, liquid = _sum(inputs)
    made = peels.syrup(batch, sugar, liquid, exchange, soluble)
    kept, kept_error = peels.kept_kg(
        made.peel_after_kg if batch else 0.0,
        float(inputs.kept) / 100 if inputs.kept is not None else None,
        batch.mass_kg if batch and inputs.vacuum else 0.0,
    )
    added = Mixture.total(
        [one.mixture for one in inputs.oil]
        + ([inputs.emulsifier.mixture] if inputs.emulsifier else [])
    ) + citrus_oil.marks(inputs.drops, inputs.dropper)
    before_kg = made.mixture.mass_kg + added.mass_kg
    if before_kg <= 0:
        raise BadInput(
            f"there is no syrup: the peel gave no water; add a {named('liquid')}.", "liquid"
        )
    whole = made.mixture + added
    kept, drained = min(kept, before_kg), kept < before_kg
    product = whole.scaled(1 - kept / before_kg)
    shown, errors = derived.of(product, *_SHOWN)
    errors["mass"] = errors["kept"] = 1000 * kept_error
    if shown["density"]:
        errors["volume"] = 1e6 * kept_error / shown["density"]
    oils = oleo_show.oils(inputs, batch)
    oil_facts = oleo_show.oil_facts(inputs, oils, before_kg, before_kg, product)
    if oil_facts.get("emulsifier_over_limit", 0.0) > 1:
        return Result(facts=oil_facts)
    return Result(
        product=product if product.mass_kg > 0 else None,
        mass=1000 * product.mass_kg,
        undissolved=1000 * made.undissolved_kg,
        peel_mass=1000 * batch.mass_kg if batch else None,
        peel_volume=_room_ml(batch) if batch else None,
        water_loss=exchange.water_loss if exchange else None,
        solids_gain=exchange.solids_gain if exchange else None,
        water_from_peel=1000 * made.water_kg if batch else None,
        sugar_in_peel=1000 * made.sugar_in_peel_kg if batch else None,
        peel_after=1000 * made.peel_after_kg if batch else None,
        kept=1000 * kept if batch else None,
        facts={
            **oleo_show.facts(inputs, batch),
            **derived.facts(product),
            "all_kept": float(not drained),
            "undissolved_g": 1000 * made.undissolved_kg,
            "undissolved_percent": _percent(made.undissolved_kg, sugar.mass_kg),
            "rinse_g": 1000 * made.undissolved_kg * osmosis.water_to_dissolve(soluble),
            **oil_facts,
        },
        working=tuple(oleo_show.steps(inputs, batch, exchange, made, soluble, kept, kept_error)),
        tables=oleo_show.tables(inputs, batch, oils, before_kg, product),
        model_error=errors,
        volume=shown["volume"],
        density=shown["density"],
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        acidity=shown["acidity"] or None,  # nothing to show where no acid went in
        ph=shown["ph"],
        **oleo_show.oil_values(inputs, oils, before_kg, before_kg, product),
    )


def _room_ml(batch: Peel) -> float:
    return 1e6 * batch.mass_kg / osmosis.apparent_peel_density_kg_m3()


def _percent(part_kg: float, whole_kg: float) -> float:
    return 100 * part_kg / whole_kg if whole_kg else 0.0


def _between(inputs: Any, batch: Peel, soluble: float) -> Result:
    """No exchange is known: what the outcome must lie between, and how fast others went."""
    sugar, liquid = _sum(inputs)
    low = Exchange(
        osmosis.LOW_ANCHOR_WATER_LOSS,
        min(osmosis.LOW_ANCHOR_SOLIDS_GAIN, sugar.mass_kg / batch.mass_kg),
        "orange pieces, 90 min: fruit, not peel; the low anchor",
        "ORANGE-OSMOSIS",
    )
    high = Exchange(batch.water, 0.0, "all water of the peel: the ceiling", "USDA-SR28")
    ends = [peels.syrup(batch, sugar, liquid, one, soluble) for one in (low, high)]
    least, most = sorted(one.mixture.mass_kg for one in ends)
    dry_kg = min(one.undissolved_kg for one in ends)
    rows = tuple(
        (one.how, one.water_loss, one.solids_gain, 1000 * made.mixture.mass_kg,
         100 * made.mixture.dissolved_solids, 1000 * made.undissolved_kg)
        for one, made in zip((low, high), ends, strict=True)
    )  # fmt: skip
    columns = (
        Column("what if"), Column("water loss", "kg/kg", 3), Column("solids gain", "kg/kg", 3),
        Column("syrup", "g", 0), Column("true solids", "Bx", 1), Column("undissolved", "g", 0),
    )  # fmt: skip
    oils = oleo_show.oils(inputs, batch)
    band = oleo_show.band(inputs)
    return Result(
        anchor_syrup=1000 * ends[0].mixture.mass_kg,
        ceiling_syrup=1000 * ends[1].mixture.mass_kg,
        anchor_undissolved=1000 * ends[0].undissolved_kg,
        ceiling_undissolved=1000 * ends[1].undissolved_kg,
        peel_mass=1000 * batch.mass_kg,
        peel_volume=_room_ml(batch),
        facts={
            **oleo_show.facts(inputs, batch),
            "water_loss": None,
            "thickness_mm": float(inputs.thickness) if inputs.thickness is not None else None,
            "tags": batch.ingredient.mixture.tags,
            "undissolved_percent": _percent(dry_kg, sugar.mass_kg),
            "undissolved_g": 1000 * dry_kg,
            "rinse_g": 1000 * dry_kg * osmosis.water_to_dissolve(soluble),
            **oleo_show.oil_facts(inputs, oils, least, most, ends[1].mixture),
        },
        working=(
            Step("low anchor", f"{1000 * batch.mass_kg:.1f} g peel x {low.water_loss:g} kg/kg",
                 1000 * ends[0].water_kg, "g water", "ORANGE-OSMOSIS"),
            Step("ceiling", f"{1000 * batch.mass_kg:.1f} g peel x {batch.water:.3f} water",
                 1000 * ends[1].water_kg, "g water", batch.ingredient.source),
            *oleo_show.solubility_steps(inputs, soluble),
            *oleo_show.band_steps(inputs, band),
        ),
        tables=(
            oleo_show.weigh(inputs, batch),
            Table("between", "what it must lie between", columns, rows),
            *oleo_show.oil_tables(inputs, oils, least, ends[1].mixture),
        ),
        **band,
        **oleo_show.oil_values(inputs, oils, least, most, ends[1].mixture),
    )  # fmt: skip
