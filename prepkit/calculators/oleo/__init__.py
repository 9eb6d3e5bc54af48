"""oleo: peel and sugar, or essential oil in syrup."""

import math
from collections.abc import Callable, Mapping, Sequence

from prepkit import derived, jurisdictions
from prepkit.calculators.oleo import peel
from prepkit.calculators.oleo.peel import (
    Drops,
    Exchange,
    Inputs,
    KeptSyrup,
    Peel,
    Syrup,
    check,
    check_oil,
)
from prepkit.errors import BadInput, OutOfRange, named
from prepkit.facts import Facts
from prepkit.ingredient import REFUSED_GROUP, Part
from prepkit.mixture import ESSENTIAL_OIL_KG_M3, Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.record import Record
from prepkit.science import foam, infusion, sucrose, water
from prepkit.shared import botanicals, syrup
from prepkit.units import Measured

__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]


# ---- essential oil in a syrup and in the drink ----

_TIP_SPREAD_KG = 1e-6
_MM_DAY = 8.64e7
_ALCOHOLIC_FROM = 0.5  # % vol from which a drink counts as alcoholic here


class Oil(Record):
    """One oil of a batch, kg: least and most."""

    name: str
    low_kg: float
    high_kg: float
    how: str

    @property
    def middle_kg(self) -> float:
        """The middle of its range, kg."""
        return 0.5 * (self.low_kg + self.high_kg)


def drop_kg(dropper: str) -> tuple[float, float]:
    """Mass of one drop of citrus oil from a dropper, kg, and its spread."""
    if dropper == "bottle insert":
        return foam.BOTTLE_INSERT_KG, foam.BOTTLE_INSERT_SPREAD_KG
    mass = foam.drop_mass_kg(foam.STANDARD_TIP_RADIUS_M, foam.LIMONENE_N_M, foam.LIMONENE_KG_M3)
    return mass, _TIP_SPREAD_KG


def _weighed(parts: Sequence[Part], counted: Sequence[Drops], dropper: str) -> list[Oil]:
    """Oils added by weight or volume, and by the drop."""
    found = []
    for part in parts:
        check_oil(part.ingredient, part.words, "oil")
        found.append(Oil(part.name, part.mass_kg, part.mass_kg, "weighed"))
    one, spread = drop_kg(dropper)
    for drop in counted:
        low, high = drop.number * (one - spread), drop.number * (one + spread)
        how = f"{drop.number:g} drops of {1e6 * one:.0f} mg ± {1e6 * spread:.0f}"
        found.append(Oil(drop.ingredient.name, low, high, how))
    return found


def marks(counted: Sequence[Drops], dropper: str) -> Mixture:
    """Oil by the drop as a mixture, at the mean drop."""
    one, _ = drop_kg(dropper)
    return Mixture.total(drop.ingredient.mixture.scaled(drop.number * one) for drop in counted)


def _use_level(name: str) -> tuple[float, float] | None:
    """Usual level in alcohol-free drinks, kg/kg, least and most, from memory; None if unknown."""
    level = foam.USE_LEVEL_KG_KG.get(name)
    if level is None:
        return None
    return level * (1 - foam.USE_LEVEL_SPREAD), level * (1 + foam.USE_LEVEL_SPREAD)


def _oils_table(oils: Sequence[Oil], syrup_kg: float, in_drink: float | None) -> Table:
    """Each oil in the batch, the syrup and the drink beside its usual level."""
    rows: list[tuple[str | float | None, ...]] = []
    for oil in oils:
        level = _use_level(oil.name)
        usual = f"{1e6 * level[0]:.0f} to {1e6 * level[1]:.0f} (memory)" if level else "not known"
        load = [1e6 * kg / syrup_kg for kg in (oil.low_kg, oil.high_kg)]
        drink = [x * in_drink for x in load] if in_drink else []
        rows.append((oil.name, oil.how, 1000 * oil.middle_kg, *load, *drink, usual))
    names = ("syrup", "drink") if in_drink else ("syrup",)
    columns = (
        Column("oil"), Column("how"), Column("mass", "g", 3),
        *(Column(f"{name}, {end}", "mg/kg", 0) for name in names for end in ("least", "most")),
        Column("usual in a drink, mg/kg"),
    )  # fmt: skip
    return Table("oils", "essential oil, as a range", columns, tuple(rows))


def _settling_table(product: Mixture, droplet_m: float | None) -> Table | None:
    """How far a droplet rises in a day, in this syrup and in a thin drink; None if unknown."""
    viscosity = syrup.viscosity_mpa_s(product, 20.0)
    try:
        density = product.density_kg_m3(20.0)
    except BadInput:
        return None
    sizes = [
        ("studied, 10 % gum arabic", foam.DROP_GUM_ARABIC_M),
        ("studied, 1 % polysorbate 80", foam.DROP_POLYSORBATE_M),
    ]
    if droplet_m is not None:
        sizes.insert(0, ("yours", droplet_m))
    rows: list[tuple[str | float | None, ...]] = []
    for name, size in sizes:
        thin = foam.creaming_velocity_m_s(
            size, water.density_kg_m3(20.0), ESSENTIAL_OIL_KG_M3, 1.002e-3
        )
        thick = None
        if viscosity:
            thick = _MM_DAY * foam.creaming_velocity_m_s(
                size, density, ESSENTIAL_OIL_KG_M3, viscosity / 1000
            )
        rows.append((name, 1e6 * size, thick, _MM_DAY * thin))
    columns = (
        Column("droplets"), Column("size", "um", 1), Column("rise in this syrup", "mm/d", 1),
        Column("rise in a thin drink", "mm/d", 0),
    )  # fmt: skip
    return Table("settling", "how fast an emulsion creams, at 20 °C", columns, tuple(rows))


def applicable(substance: str, jurisdiction: str, alcoholic: bool) -> jurisdictions.Limit | None:
    """The limit that holds in a drink of its class: of the place, else Codex, else the strictest.

    Where no figure of that class was read, the other class's stands in, and its row says which.
    """
    rows = [row for row in jurisdictions.of(substance) if "drinks" in row.product]
    rows = [row for row in rows if "semi-frozen" not in row.product]
    own_class = [row for row in rows if _of_class(row.product, alcoholic)]
    rows = own_class or rows
    key = jurisdictions.key_of(jurisdiction)
    for place in jurisdictions.chain(key) if key is not None else ():
        own = [row for row in rows if row.jurisdiction == place]
        if own:
            exact = [row for row in own if row.product.startswith("alcohol")]
            return (exact or own)[0]
    if key is not None and key != "US":  # no numbers of its own were read
        rows = [row for row in rows if row.jurisdiction == "Codex"] or rows
    return min(rows, key=lambda row: row.value, default=None)


def _of_class(product: str, alcoholic: bool) -> bool:
    """Whether a product of the limits takes in a drink with, or without, alcohol."""
    if product.startswith("alcoholic"):
        return alcoholic
    return not (alcoholic and product in ("alcohol-free drinks", "drinks and drink bases"))


_LIMITED = ("gum arabic", "ester gum", "sucrose acetate isobutyrate", "quillaia saponins")


def _limits_table(jurisdiction: str, alcoholic: bool) -> Table:
    """What may go into the finished drink to hold up an oil."""
    rows: list[tuple[str | float | None, ...]] = []
    for substance in _LIMITED:
        row = applicable(substance, jurisdiction, alcoholic)
        if row is None:
            rows.append((substance, None, "", "no number read"))
        else:
            rows.append((substance, row.value, row.unit, f"{row.jurisdiction}, {row.product}"))
    columns = (Column("what"), Column("most", "", 1), Column("unit"), Column("under"))
    return Table("limits", "most in the finished drink", columns, tuple(rows))


def _emulsifier_facts(
    part: Part | None, in_drink_kg_kg: float | None, jurisdiction: str, strength: float | None
) -> Facts:
    """An emulsifier against its limit in the finished drink; `in_drink_kg_kg` is of the part."""
    if part is None:
        return {}
    is_gum = "gum arabic" in part.name
    is_quillaja = "quillaja" in part.name
    substance = "gum arabic" if is_gum else "quillaia saponins" if is_quillaja else ""
    facts: Facts = {"emulsifier": part.name}
    if not substance or in_drink_kg_kg is None:
        return facts
    row = applicable(substance, jurisdiction, (strength or 0.0) > _ALCOHOLIC_FROM)
    if row is None:
        return facts
    share = part.mixture.fraction("foamer") if is_quillaja else 1.0
    amount = in_drink_kg_kg * share * (100 if row.unit == "%" else 1e6)
    facts |= {
        "emulsifier_over_limit": amount / row.value,
        "emulsifier_amount": f"{amount:.2f} {row.unit}" if is_gum else f"{amount:.0f} {row.unit}",
        "emulsifier_limit": f"{row.value:g} {row.unit} of {substance} ({row.jurisdiction})",
        "emulsifier_most_g": 1000 * part.mass_kg * row.value / amount if amount else None,
    }
    return facts


def _share_in_drink(per_drink: Measured, drink: Measured, product: Mixture) -> float:
    """kg of syrup in 1 kg of the finished drink; a drink of unknown density counts 1 g/ml."""
    grams = float(per_drink)
    if per_drink.unit != "g":
        grams *= product.density_kg_m3(20.0) / 1000
    share = grams / float(drink)
    if share > 1:
        raise OutOfRange(named("per_drink"), grams, 0.0, float(drink), "g", "the finished drink")
    return share


# what the syrup and the drink hold


def of_batch(inputs: Inputs, batch: Peel | None) -> list[Oil]:
    """Oil of the peel as published, and what is added."""
    found = _weighed(inputs.oil, inputs.drops, inputs.dropper)
    own = []
    for one in batch.each if batch else ():
        if one.fruit is None:
            continue
        low, high = one.fruit.oil
        how = f"all of {100 * low:g} to {100 * high:g} % of the peel; how much is released is open"
        own.append(
            Oil(f"{one.ingredient.name}, its own", one.mass_kg * low, one.mass_kg * high, how)
        )
    return own + found


def _oil_load(oils: list[Oil], least_kg: float, most_kg: float) -> tuple[float, float]:
    return math.fsum(oil.low_kg for oil in oils) / most_kg, math.fsum(
        oil.high_kg for oil in oils
    ) / least_kg


def _in_drink(inputs: Inputs, product: Mixture) -> float | None:
    if inputs.drink is None or inputs.per_drink is None or not product.mass_kg:
        return None
    return _share_in_drink(inputs.per_drink, inputs.drink, product)


class OilLoad(Record):
    """Oil in syrup and drink, mg/kg, and the gum arabic that holds it, g; None without oil."""

    least: float | None = None
    most: float | None = None
    times_soluble: float | None = None  # the least over what dissolves
    drink_least: float | None = None
    drink_most: float | None = None
    gum_least: float | None = None
    gum_most: float | None = None


def oil_load(
    inputs: Inputs, oils: list[Oil], least_kg: float, most_kg: float, product: Mixture
) -> OilLoad:
    """The oil of the batch in its syrup, from `least_kg` to `most_kg` of it."""
    if not oils or least_kg <= 0:
        return OilLoad()
    low, high = _oil_load(oils, least_kg, most_kg)
    share = _in_drink(inputs, product)
    gum_low = foam.gum_arabic_needed_kg(math.fsum(oil.low_kg for oil in oils))[0]
    gum_high = foam.gum_arabic_needed_kg(math.fsum(oil.high_kg for oil in oils))[1]
    return OilLoad(
        1e6 * low,
        1e6 * high,
        foam.times_over_solubility(low),
        1e6 * low * share if share else None,
        1e6 * high * share if share else None,
        1000 * gum_low,
        1000 * gum_high,
    )


def _range(low: float, high: float) -> str:
    """Two ends as words, to two digits, one number where they are shown alike.

    >>> _range(10432.0, 17593.0), _range(8.04, 7.96)
    ('10000 to 18000', '8')
    """
    ends = f"{float(f'{low:.2g}'):.6g}", f"{float(f'{high:.2g}'):.6g}"
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def facts(
    inputs: Inputs, oils: list[Oil], least_kg: float, most_kg: float, product: Mixture
) -> Facts:
    """What the caution rules judge of the oil and of what holds it up; empty without oil."""
    if not oils or least_kg <= 0:
        return {}
    low, high = _oil_load(oils, least_kg, most_kg)
    share = _in_drink(inputs, product)
    strength = float(inputs.drink_strength) if inputs.drink_strength is not None else None
    found: Facts = {
        "oil_low_mg_kg": 1e6 * low,
        "oil_high_mg_kg": 1e6 * high,
        "oil_range": _range(1e6 * low, 1e6 * high),
        "drink_strength_percent": strength or 0.0,
        "emulsified": 1.0 if inputs.emulsifier else 0.0,
    }
    added = [oil for oil in oils if "its own" not in oil.name]
    levels = [
        oil.high_kg / most_kg * share / level[1]
        for oil in added
        if share and (level := _use_level(oil.name))
    ]
    if levels:
        found["over_use_level"] = max(levels)
    part_share = (
        inputs.emulsifier.mass_kg / most_kg * share if inputs.emulsifier and share else None
    )
    return found | _emulsifier_facts(inputs.emulsifier, part_share, inputs.jurisdiction, strength)


def tables(inputs: Inputs, oils: list[Oil], syrup_kg: float, product: Mixture) -> tuple[Table, ...]:
    """The oils, how an emulsion of them creams, and the limits of what holds it; () without."""
    if not oils or syrup_kg <= 0:
        return ()
    droplet = float(inputs.droplet) * 1e-6 if inputs.droplet is not None else None
    settling = _settling_table(product, droplet)
    alcoholic = inputs.drink_strength is not None and float(inputs.drink_strength) > 0.5
    found = (
        _oils_table(oils, syrup_kg, _in_drink(inputs, product)),
        settling,
        _limits_table(inputs.jurisdiction, alcoholic),
    )
    return tuple(table for table in found if table is not None)


# ---- oleo ----

EXAMPLE = (
    'prepkit oleo --peel "100 g lemon peel" --sugar "100 g" --water-loss 0.40 --solids-gain 0.08'
)
# sugar in over water out: 0.035 to 0.106 of orange pieces [ORANGE-OSMOSIS]
_GAIN_OF_LOSS = infusion.LOW_ANCHOR_SOLIDS_GAIN / infusion.LOW_ANCHOR_WATER_LOSS
_TENTH = math.sqrt(0.2)  # of the way from an end to the likeliest, below which lies a tenth
_SHOWN: tuple[derived.Name, ...] = (
    "volume",
    "density",
    "dissolved_solids",
    "refractometer",
    "acidity",
    "ph",
)


class Result(BaseResult):
    """The strained syrup where it can be known, otherwise what it must lie between."""

    screen = Screen(
        headline=(
            "{mass} of strained syrup at {dissolved_solids}.",
            "{likely_syrup} of syrup is most likely. Plan on {plan_on} until you weigh.",
            "{drink_oil_least} to {drink_oil_most} of oil in the drink.",
            "{oil_least} to {oil_most} of oil in the syrup.",
        ),
        primary=(
            Figure("strained syrup", "mass"),
            Figure("strained syrup, most likely", "likely_syrup"),
            Figure("plan on", "plan_on"),
            Figure("syrup before straining", "anchor_syrup", "ceiling_syrup"),
            "undissolved",
            Figure("undissolved sugar", "anchor_undissolved", "ceiling_undissolved"),
            Figure("true dissolved solids", "dissolved_solids"),
            Figure("oil in the syrup", "oil_least", "oil_most"),
            Figure("oil in the drink", "drink_oil_least", "drink_oil_most"),
            Figure("acidity, as citric", "acidity"),
        ),
        check=(
            Figure("refractometer", "refractometer"),
            Figure("density", "density"),
            "peel_after",
            "ph",
        ),
        do_this=("Gum arabic to hold the oil: {gum_least} to {gum_most}.",),
        weigh="weigh",
    )

    mass: float | None = output("strained syrup", "g", 1, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 1, extensive=True)
    undissolved: float | None = output("undissolved sugar", "g", 1, extensive=True)
    dissolved_solids: float | None = output("true dissolved solids", "Bx", 2)
    refractometer: float | None = output("expected refractometer reading (20 °C)", "Bx", 1)
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    ph: float | None = output("pH", "", 2)
    peel_mass: float | None = output("fresh peel", "g", 1, extensive=True)
    water_loss: float | None = output("water loss of the peel", "kg/kg", 3)
    solids_gain: float | None = output("solids gain of the peel", "kg/kg", 3)
    water_from_peel: float | None = output("water from the peel", "g", 1, extensive=True)
    sugar_in_peel: float | None = output("sugar in the peel", "g", 1, extensive=True)
    peel_after: float | None = output("peel afterwards", "g", 1, extensive=True)
    peel_volume: float | None = output("volume of the fresh peel", "ml", 0, extensive=True)
    kept: float | None = output("syrup kept by the peel", "g", 1, extensive=True)
    likely_syrup: float | None = output("syrup, most likely", "g", 0, extensive=True)
    plan_on: float | None = output("amount to plan on", "g", 0, extensive=True, limit="most")
    anchor_syrup: float | None = output("syrup, low anchor", "g", 0, extensive=True)
    ceiling_syrup: float | None = output("syrup, ceiling", "g", 0, extensive=True)
    anchor_undissolved: float | None = output(
        "undissolved sugar, low anchor", "g", 0, extensive=True
    )
    ceiling_undissolved: float | None = output("undissolved sugar, ceiling", "g", 0, extensive=True)
    done_slow: float | None = output("exchange, lower bound (other fruits)", "%", 0, limit="most")
    done_middle: float | None = output("exchange, middle (other fruits)", "%", 0)
    done_fast: float | None = output("exchange, upper bound (other fruits)", "%", 0, limit="least")
    nearly_done_fast: float | None = output(
        "90 % done, earliest (other fruits)", "h", 1, limit="most"
    )
    nearly_done_slow: float | None = output(
        "90 % done, latest (other fruits)", "h", 1, limit="least"
    )
    oil_least: float | None = output("oil in syrup, lower bound", "mg/kg", 0, limit="most")
    oil_most: float | None = output("oil in syrup, upper bound", "mg/kg", 0, limit="least")
    oil_times_soluble: float | None = output(
        "undissolved oil, lower bound", "times", 0, limit="most"
    )
    drink_oil_least: float | None = output("oil in drink, lower bound", "mg/kg", 0, limit="most")
    drink_oil_most: float | None = output("oil in drink, upper bound", "mg/kg", 0, limit="least")
    gum_least: float | None = output(
        "gum arabic, lower bound", "g", 1, extensive=True, limit="most"
    )
    gum_most: float | None = output(
        "gum arabic, upper bound", "g", 1, extensive=True, limit="least"
    )


def compute(inputs: Inputs) -> Result:
    """Refuse, or balance peel, sugar and liquid, then the oil."""
    refusal = botanicals.refusal(
        inputs.peel.each if inputs.peel else (),
        [drop for drop in inputs.drops if drop.ingredient.group == REFUSED_GROUP],
        botanicals.place_of(inputs.jurisdiction),
    )
    if refusal:
        return Result(facts=refusal)
    check(inputs)
    batch = peel.peel_of(inputs.peel, inputs.peeled) if inputs.peel else None
    soluble = sucrose.solubility_mass_fraction(float(inputs.temperature))
    exchange = peel.known_exchange(inputs, batch, soluble)
    if batch and exchange is None:
        return _between(inputs, batch, soluble)
    return _known(inputs, batch, exchange, soluble)


def _sum(inputs: Inputs) -> tuple[Mixture, Mixture]:
    """The sugar, and all liquid."""
    sugar = inputs.sugar.mixture if inputs.sugar else Mixture({})
    return sugar, Mixture.total(part.mixture for part in inputs.liquid)


def _known(inputs: Inputs, batch: Peel | None, exchange: Exchange | None, soluble: float) -> Result:
    """The batch where the exchange is known, or where there is no peel."""
    sugar, liquid = _sum(inputs)
    made = peel.syrup(batch, sugar, liquid, exchange, soluble)
    own = peel.own_numbers(inputs, batch) if batch else {}
    kept = peel.kept_syrup(
        made.peel_after_kg if batch else 0.0,
        peel.kept_share(inputs, batch, own, exchange),
        batch.mass_kg if batch and inputs.vacuum else 0.0,
    )
    added = Mixture.total(
        [part.mixture for part in inputs.oil]
        + ([inputs.emulsifier.mixture] if inputs.emulsifier else [])
    ) + marks(inputs.drops, inputs.dropper)
    before_kg = made.mixture.mass_kg + added.mass_kg
    if before_kg <= 0:
        raise BadInput(
            f"The peel gave no water, so no syrup forms. Add a {named('liquid')}.", "liquid"
        )
    whole = made.mixture + added
    kept_kg = min(kept.mass_kg, before_kg)
    product = whole.scaled(1 - kept_kg / before_kg)
    shown, errors = derived.of(product, *_SHOWN)
    errors["mass"] = errors["kept"] = 1000 * kept.error_kg
    if shown["density"]:
        errors["volume"] = 1e6 * kept.error_kg / shown["density"]
    oils = of_batch(inputs, batch)
    oil_facts = facts(inputs, oils, before_kg, before_kg, product)
    over_limit = oil_facts.get("emulsifier_over_limit")
    if isinstance(over_limit, float) and over_limit > 1:
        return Result(facts=oil_facts)
    load = oil_load(inputs, oils, before_kg, before_kg, product)
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
        kept=1000 * kept_kg if batch else None,
        facts={
            **_facts(inputs, batch),
            **derived.facts(product),
            "all_kept": float(kept.mass_kg >= before_kg),
            "undissolved_g": 1000 * made.undissolved_kg,
            "undissolved_percent": _percent(made.undissolved_kg, sugar.mass_kg),
            "rinse_g": 1000 * made.undissolved_kg * infusion.water_to_dissolve(soluble),
            **oil_facts,
        },
        working=tuple(
            _steps(inputs, batch, exchange, made, soluble, KeptSyrup(kept_kg, kept.error_kg))
        ),
        tables=(_weigh(inputs, batch), *tables(inputs, oils, before_kg, product)),
        model_error=errors,
        volume=shown["volume"],
        density=shown["density"],
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        acidity=shown["acidity"] or None,  # nothing to show where no acid went in
        ph=shown["ph"],
        oil_least=load.least,
        oil_most=load.most,
        oil_times_soluble=load.times_soluble,
        drink_oil_least=load.drink_least,
        drink_oil_most=load.drink_most,
        gum_least=load.gum_least,
        gum_most=load.gum_most,
    )


def _room_ml(batch: Peel) -> float:
    return 1e6 * batch.mass_kg / infusion.apparent_peel_density_kg_m3()


def _percent(part_kg: float, whole_kg: float) -> float:
    return 100 * part_kg / whole_kg if whole_kg else 0.0


def _between(inputs: Inputs, batch: Peel, soluble: float) -> Result:
    """No exchange is known: what the outcome must lie between, and how fast others went."""
    sugar, liquid = _sum(inputs)
    own = peel.own_numbers(inputs, batch)
    low, likely, high = _exchanges(batch, own, sugar.mass_kg / batch.mass_kg)
    expected = _expected(inputs, batch, own, (low, likely, high), soluble)
    ends = [peel.syrup(batch, sugar, liquid, exchange, soluble) for exchange in (low, high)]
    least, most = sorted(end.mixture.mass_kg for end in ends)
    dry_kg = min(end.undissolved_kg for end in ends)
    rows = tuple(
        (exchange.how, exchange.water_loss, exchange.solids_gain, 1000 * made.mixture.mass_kg,
         100 * made.mixture.dissolved_solids, 1000 * made.undissolved_kg)
        for exchange, made in zip((low, high), ends, strict=True)
    )  # fmt: skip
    columns = (
        Column("what if"), Column("water loss", "kg/kg", 3), Column("solids gain", "kg/kg", 3),
        Column("syrup", "g", 0), Column("true solids", "Bx", 1), Column("undissolved", "g", 0),
    )  # fmt: skip
    oils = of_batch(inputs, batch)
    load = oil_load(inputs, oils, least, most, ends[1].mixture)
    band = _band(inputs)
    product = expected.mixture.of_mass(expected.plan_kg) if expected.plan_kg > 0 else None
    return Result(
        product=product,
        likely_syrup=1000 * expected.likely_kg,
        plan_on=1000 * expected.plan_kg,
        model_error={"likely_syrup": 1000 * expected.half_kg},
        anchor_syrup=1000 * ends[0].mixture.mass_kg,
        ceiling_syrup=1000 * ends[1].mixture.mass_kg,
        anchor_undissolved=1000 * ends[0].undissolved_kg,
        ceiling_undissolved=1000 * ends[1].undissolved_kg,
        peel_mass=1000 * batch.mass_kg,
        peel_volume=_room_ml(batch),
        facts={
            **_facts(inputs, batch),
            **(derived.facts(product) if product is not None else {}),
            "water_loss": None,
            "thickness_mm": float(inputs.thickness) if inputs.thickness is not None else None,
            "tags": batch.ingredient.mixture.tags,
            "undissolved_percent": _percent(dry_kg, sugar.mass_kg),
            "undissolved_g": 1000 * dry_kg,
            "rinse_g": 1000 * dry_kg * infusion.water_to_dissolve(soluble),
            **facts(inputs, oils, least, most, ends[1].mixture),
        },
        working=(
            Step("low anchor", f"{1000 * batch.mass_kg:.1f} g peel x {low.water_loss:g} kg/kg",
                 1000 * ends[0].water_kg, "g water", "ORANGE-OSMOSIS"),
            Step("ceiling", f"{1000 * batch.mass_kg:.1f} g peel x {batch.water:.3f} water",
                 1000 * ends[1].water_kg, "g water", batch.ingredient.source),
            Step("most likely", "halfway between the two ends, less what the peel keeps",
                 1000 * expected.likely_kg, "g", "OLEO-LIKELY"),
            Step("plan on", "what nine in ten batches reach if the middle is the likeliest",
                 1000 * expected.plan_kg, "g", "OLEO-LIKELY"),
            *_solubility_steps(inputs, soluble),
            *_band_steps(inputs, band),
        ),
        tables=(
            _weigh(inputs, batch),
            Table("between", "what it must lie between", columns, rows),
            *tables(inputs, oils, least, ends[1].mixture),
        ),
        done_slow=band.done_slow,
        done_middle=band.done_middle,
        done_fast=band.done_fast,
        nearly_done_fast=band.nearly_done_fast,
        nearly_done_slow=band.nearly_done_slow,
        oil_least=load.least,
        oil_most=load.most,
        oil_times_soluble=load.times_soluble,
        drink_oil_least=load.drink_least,
        drink_oil_most=load.drink_most,
        gum_least=load.gum_least,
        gum_most=load.gum_most,
    )  # fmt: skip


def _exchanges(
    batch: Peel, own: Mapping[str, peel.Own], sugar_kg_kg: float
) -> tuple[Exchange, Exchange, Exchange]:
    """The low anchor, what most likely comes, and the ceiling; own numbers where they are known."""

    def each(water: Callable[[Peel], float], gain: Callable[[float], float]) -> Exchange:
        def of(one: Peel) -> Exchange:
            known = own.get(one.ingredient.name)
            if known is not None:
                return known.exchange
            loss = water(one)
            return Exchange(loss, min(gain(loss), sugar_kg_kg), "", "")

        return peel.of_jar(batch, of, "", "")

    anchor, ratio = infusion.LOW_ANCHOR_WATER_LOSS, _GAIN_OF_LOSS
    found = (
        each(lambda one: min(anchor, one.water), lambda loss: ratio * loss),
        each(lambda one: 0.5 * (min(anchor, one.water) + one.water), lambda loss: ratio * loss),
        each(lambda one: one.water, lambda _: 0.0),
    )
    named_how = (
        ("orange pieces, 90 min (fruit, not peel), the low anchor", "ORANGE-OSMOSIS"),
        ("halfway between them, the most likely", "OLEO-LIKELY"),
        ("all water of the peel: the ceiling", "USDA-SR28"),
    )
    low, likely, high = (
        exchange.replaced(how=how, source=source)
        for exchange, (how, source) in zip(found, named_how, strict=True)
    )
    return low, likely, high


class ExpectedSyrup(Record):
    """Strained syrup before any weighing, kg: likeliest, a lower amount to plan on, half range."""

    mixture: Mixture
    likely_kg: float
    plan_kg: float
    half_kg: float


def _expected(
    inputs: Inputs,
    batch: Peel,
    own: Mapping[str, peel.Own],
    ends: tuple[Exchange, Exchange, Exchange],
    soluble: float,
) -> ExpectedSyrup:
    """What drains off, with the middle as the likeliest and nothing beyond the ends.

    One in ten of such a spread lies under the plan, of the water lost and of the syrup kept alike.
    """
    sugar, liquid = _sum(inputs)
    vacuum_kg = batch.mass_kg if inputs.vacuum else 0.0

    def strained(exchange: Exchange) -> tuple[Mixture, float, float]:
        made = peel.syrup(batch, sugar, liquid, exchange, soluble)
        share = peel.kept_share(inputs, batch, own, exchange)
        kept = peel.kept_syrup(made.peel_after_kg, share, vacuum_kg)
        return made.mixture, max(0.0, made.mixture.mass_kg - kept.mass_kg), kept.error_kg

    low, likely, high = ends
    tenth = low.replaced(
        water_loss=low.water_loss + _TENTH * (likely.water_loss - low.water_loss),
        solids_gain=low.solids_gain + _TENTH * (likely.solids_gain - low.solids_gain),
    )
    mixture, likely_kg, kept_kg = strained(likely)
    under = max(0.0, likely_kg - strained(tenth)[1])
    plan_kg = max(0.0, likely_kg - math.hypot(under, (1 - _TENTH) * kept_kg))
    half = 0.5 * (strained(high)[1] - strained(low)[1])
    return ExpectedSyrup(mixture, likely_kg, plan_kg, math.hypot(max(half, 0.0), kept_kg))


# what is judged and shown


def _facts(inputs: Inputs, batch: Peel | None) -> Facts:
    """What the caution rules judge of peel, warmth and drops."""
    counted = batch is not None and batch.low_kg != batch.high_kg
    return {
        "peel_g": 1000 * batch.mass_kg if batch else 0.0,
        "peel_counted": float(counted),
        "temperature_c": float(inputs.temperature),
        "drop_count": float(sum(drop.number for drop in inputs.drops)),
        "dropper": inputs.dropper,
    }


def _weigh(inputs: Inputs, batch: Peel | None) -> Table:
    rows: list[tuple[str | float | None, ...]] = []
    for each in batch.each if batch else ():
        rows.append((each.ingredient.name, 1000 * each.mass_kg, None))
    sugars = inputs.sugar.each if inputs.sugar else ()
    for part in (*sugars, *inputs.liquid, *inputs.oil, inputs.emulsifier):
        if part is not None:
            rows.append((part.name, 1000 * part.mass_kg, derived.volume_ml(part.mixture)))
    one_drop, _ = drop_kg(inputs.dropper)
    rows += [(f"{d} (drops)", 1000 * d.number * one_drop, None) for d in inputs.drops]
    columns = (Column("part"), Column("mass", "g", 2), Column("volume at 20 °C", "ml", 1))
    return Table("weigh", "weigh", columns, tuple(rows))


def _solubility_steps(inputs: Inputs, soluble: float) -> list[Step]:
    return [
        Step("water for 1 g of sugar", f"(1 - {soluble:.4f}) / {soluble:.4f} at "
             f"{float(inputs.temperature):g} °C", infusion.water_to_dissolve(soluble), "g",
             "VAVRINECZ"),
    ]  # fmt: skip


def _band_steps(inputs: Inputs, band: "FruitBand") -> list[Step]:
    if inputs.thickness is None:
        return []
    return [
        Step("diffusion band", f"strip of {float(inputs.thickness):g} mm, other fruits: "
             f"{infusion.DIFFUSIVITY_LOW_M2_S:g} to {infusion.DIFFUSIVITY_HIGH_M2_S:g} m2/s",
             None, "", "OSMOTIC-DIFFUSIVITY"),
        Step("90 % done", "0.848 x depth^2 / D, fast end to slow end "
             f"{band.nearly_done_fast:.1f} to {band.nearly_done_slow:.1f} h",
             None, "", "SLAB-DIFFUSION"),
    ]  # fmt: skip


def _steps(
    inputs: Inputs, batch: Peel | None, exchange: Exchange | None, made: Syrup, soluble: float,
    kept: KeptSyrup,
) -> list[Step]:  # fmt: skip
    steps: list[Step] = []
    for one in batch.each if batch else ():
        if one.fruits and one.fruit:
            steps.append(
                Step("peel of the fruit", f"{one.fruits:.2f} {one.fruit.name} "
                     f"by {inputs.peeled}: {1000 * (one.low_kg or 0):.0f} to "
                     f"{1000 * (one.high_kg or 0):.0f} g", 1000 * one.mass_kg, "g",
                     "USDA-SR28" if inputs.peeled == "whole peel" else "PEEL-PRACTICE")
            )  # fmt: skip
    if batch and exchange:
        steps += [
            Step("water from the peel", f"{1000 * batch.mass_kg:.1f} g x "
                 f"{exchange.water_loss:.3f} ({exchange.how})", 1000 * made.water_kg, "g",
                 exchange.source),
            Step("sugar into the peel", f"{1000 * batch.mass_kg:.1f} g x "
                 f"{exchange.solids_gain:.3f}", 1000 * made.sugar_in_peel_kg, "g",
                 exchange.source),
        ]  # fmt: skip
    if batch and exchange and inputs.weighing and len(batch.each) == 1:
        numbers = f"water {exchange.water_loss:.3f}, sugar {exchange.solids_gain:.3f}"
        steps.append(
            Step("its own numbers, for a jar of several", f"{batch.ingredient.name}: {numbers}")
        )
    steps += _solubility_steps(inputs, soluble)
    steps += [
        Step("sugar dissolved", "the smaller of what is left and what the water holds",
             1000 * made.dissolved_kg, "g", "DEFINITION"),
        Step("undissolved sugar", "sugar less what went into the peel less what dissolved",
             1000 * made.undissolved_kg, "g", "DEFINITION"),
    ]  # fmt: skip
    if batch:
        how = (
            "as weighed"
            if inputs.kept is not None
            else "of the drained peel, 20 to 60 % or its own"
        )
        steps.append(
            Step("syrup kept by the peel", f"{how} ± {1000 * kept.error_kg:.1f} g",
                 1000 * kept.mass_kg, "g", "PEEL-PRACTICE")
        )  # fmt: skip
        own = batch.ingredient.mixture.sugar
        steps.append(
            Step("not counted", f"the peel's own sugars, {1000 * own * batch.mass_kg:.1f} g at "
                 f"most, its acid and its oil in the syrup's mass", None, "",
                 batch.ingredient.source)
        )  # fmt: skip
    return steps


class FruitBand(Record):
    """How far other fruits would be, %, and when 90 % is done, h; None where it is not known."""

    nearly_done_fast: float | None = None
    nearly_done_slow: float | None = None
    done_slow: float | None = None
    done_middle: float | None = None
    done_fast: float | None = None


def _band(inputs: Inputs) -> FruitBand:
    """By diffusion into strips of the thickness that was given."""
    if inputs.thickness is None:
        return FruitBand()
    thick_m = float(inputs.thickness) / 1000
    fast, slow = (
        infusion.diffusion_time_h(0.9, thick_m, diffusivity, inputs.one_face)
        for diffusivity in (infusion.DIFFUSIVITY_HIGH_M2_S, infusion.DIFFUSIVITY_LOW_M2_S)
    )
    if inputs.time is None:
        return FruitBand(fast, slow)
    shares = infusion.diffusion_band(float(inputs.time), thick_m, inputs.one_face)
    return FruitBand(fast, slow, *(100 * share for share in shares))
