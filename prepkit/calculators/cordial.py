"""cordial: liquids, sugars, acids and plants to a syrup of wanted sugar, acid and strength."""

import math

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.ingredient import Ingredient, Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import ingredient, number, parts, quantity
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.record import Record
from prepkit.science import ethanol, sucrose
from prepkit.shared import acidity, syrup
from prepkit.shared.syrup import Addition, LiquidKept, Steeped, Target
from prepkit.units import Measured

EXAMPLE = (
    'prepkit cordial --part "1 kg grapefruit juice" --part "50 g dried hibiscus" '
    '--sweeten "white sugar" --brix 45 --acidity "1.2 %"'
)
_SHOWN: tuple[derived.Name, ...] = (
    "density", "abv", "ethanol", "sugar", "dissolved_solids", "refractometer", "acidity", "ph",
    "sugar_acid_ratio", "water_activity", "freezing_point",
)  # fmt: skip


class Inputs(BaseInputs):
    """The parts and the targets."""

    only_read = ("measured_ph",)
    groups = (
        ("Most needed", "part sweeten brix acidity sour spirit abv make"),
        ("Yield", "kept_by_solids"),
        ("Conditions", "measured_ph fridge room stored"),
    )

    part: tuple[Part, ...] = parts(
        "parts",
        "An amount of a liquid, sugar, acid or plant. One entry for each. Plants (peel, herb, "
        "spice, fruit, tea) are strained off again.",
        "1 kg grapefruit juice",
    )
    sweeten: Ingredient | None = ingredient(
        "sweetener",
        "The sweetener to add until the sugar target is met. Several by their parts.",
        "white sugar",
        default=None,
        several=True,
    )
    brix: Measured | None = quantity(
        ("Bx", "g/l"),
        "sugar target",
        "True dissolved solids by weight (Bx), or sugars in a litre at 20 °C (g/l). "
        "At most 85 Bx or 1200 g/l. Acid changes what a refractometer reads.",
        "45",
        default=None,
        above=0,
        bare=True,
    )
    sour: Ingredient | None = ingredient(
        "acid",
        "The acid to add. Citric acid if left out. Several by their parts.", "citric acid",
        default=None, several=True,
    )  # fmt: skip
    acidity: Measured | None = quantity(
        ("% w/w", "g/l"),
        "acidity target",
        "Titratable acidity as citric acid, by weight (a bare % too) or in a litre at 20 °C.",
        "1.2 %",
        default=None,
        above=0,
        high=500,
        because="no more dissolves",
    )
    spirit: Ingredient | None = ingredient(
        "spirit to add", "The spirit to add, with its strength.", "spirit 96 %", default=None
    )
    abv: Measured | None = quantity(
        "% vol", "strength target", "Strength of the finished cordial at 20 °C.", "18 % vol",
        default=None, above=0, high=60, because="not computed in stronger spirit", bare=True,
    )  # fmt: skip
    make: Measured | None = quantity(
        ("g", "ml"),
        "how much to make",
        "Strained cordial, by weight or by volume at 20 °C; all parts are scaled to it.",
        "2 l",
        default=None,
        above=0,
        high=1e7,
        because="a batch of at most ten tonnes",
        extensive=True,
    )
    kept_by_solids: float | None = number(
        "liquid lost in the plants",
        "Grams of liquid kept by 1 g of plant after draining, by your own weighing. Without "
        "it, the trade's range.",
        "3.5",
        default=None,
        low=0,
        high=20,
        because="nothing holds more than 20 times its weight",
    )
    measured_ph: float | None = number(
        "measured pH", "pH of the finished cordial, with a calibrated meter; replaces the "
        "calculated one for keeping and inversion.", "3.1", default=None, low=0.5, high=10,
    )  # fmt: skip
    fridge: Measured = quantity(
        "C", "temperature of the fridge", "For crystals, pouring and inversion.", "4 C",
        default=4.0, low=0, high=15, because="a fridge",
    )  # fmt: skip
    room: Measured = quantity(
        "C", "temperature of the room", "For crystals, pouring and inversion.", "20 C",
        default=20.0, low=10, high=40, because="a room",
    )  # fmt: skip
    stored: Measured = quantity(
        "d", "time stored", "For the inversion of sugar in acid.", "30 d",
        default=30.0, low=0, high=730, because="two years",
    )  # fmt: skip


class Result(BaseResult):
    """The strained cordial; what to weigh is in the table."""

    screen = Screen(
        headline=(
            "{volume} at {dissolved_solids}, {abv}.",
            "{volume} at {dissolved_solids}, {acidity} acidity as citric.",
            "{volume} at {dissolved_solids}.",
            "{mass} of strained cordial.",
        ),
        primary=(
            Figure("volume", "volume"),
            "mass",
            Figure("true dissolved solids", "dissolved_solids"),
            Figure("acidity, as citric", "acidity"),
            Figure("strength", "abv"),
            Figure("liquid lost in the plants", "kept_by_plants"),
            Figure("water activity", "water_activity"),
        ),
        check=(Figure("refractometer", "refractometer"), Figure("density", "density"), "ph"),
        weigh="weigh",
    )

    mass: float | None = output("strained cordial", "g", 1, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 1, extensive=True)
    sweetener_to_add: float | None = output("sweetener to add", "g", 1, extensive=True)
    sour_to_add: float | None = output("acid to add", "g", 2, extensive=True)
    spirit_to_add: float | None = output("spirit to add", "g", 1, extensive=True)
    water_to_add: float | None = output("water to add", "g", 1, extensive=True)
    kept_by_plants: float | None = output("liquid lost in the plants", "g", 0, extensive=True)
    dissolved_solids: float | None = output("true dissolved solids", "Bx", 2)
    refractometer: float | None = output("expected refractometer reading (20 °C)", "Bx", 1)
    sugar: float | None = output("sugars", "% w/w", 2)
    sugar_g_l: float | None = output("sugars in the volume", "g/l", 0)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    acidity_g_l: float | None = output("titratable acidity, as citric", "g/l", 1)
    ph: float | None = output("pH", "", 2)
    sugar_acid_ratio: float | None = output("sugar to acid", "", 1)
    sweetness: float | None = output("sweetness (fridge, as sucrose)", "% w/w", 1)
    sourness: float | None = output("sourness (to pH 4.4, as citric)", "% w/w", 2)
    abv: float | None = output("strength at 20 °C", "% vol", 2)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    yield_per_sweetener: float | None = output("yield per kg of sweetener", "l/kg", 4)
    water_activity: float | None = output("water activity at 25 °C", "", 3)
    supersaturation_fridge: float | None = output("sucrose saturation, fridge", "", 2)
    supersaturation_room: float | None = output("sucrose saturation, room", "", 2)
    viscosity_fridge: float | None = output("viscosity, fridge", "mPa s", 0)
    viscosity_room: float | None = output("viscosity, room", "mPa s", 0)
    freezing_point: float | None = output("freezing point", "C", 1)
    inverted_fridge: float | None = output(
        "sucrose split, fridge, lower bound", "%", 1, limit="most"
    )
    inverted_fridge_most: float | None = output(
        "sucrose split, fridge, upper bound", "%", 1, limit="least"
    )
    inverted_room: float | None = output("sucrose split, room, lower bound", "%", 1, limit="most")
    inverted_room_most: float | None = output(
        "sucrose split, room, upper bound", "%", 1, limit="least"
    )


def compute(inputs: Inputs) -> Result:
    """Steep, add, strain, scale; then everything that follows from what is in it."""
    plants = [syrup.steeped(part) for part in inputs.part if syrup.is_strained(part)]
    plain = [part for part in inputs.part if not syrup.is_strained(part)]
    base = Mixture.total([*(p.mixture for p in plain), *(p.liquid for p in plants)])
    wanted, additions = _targets(inputs)
    amounts, water = syrup.solve(base, wanted, additions)
    added = _added(inputs, wanted, additions, amounts, water)
    liquor = Mixture.total(
        [base, *(addition.unit.scaled(addition.kg) for addition in added if addition.kg)]
    )
    _require_syrup(liquor)
    kept = syrup.kept_kg(plants, inputs.kept_by_solids)
    if kept.taken_kg >= liquor.mass_kg:
        raise BadInput(
            f"the plants would keep {1000 * kept.taken_kg:.0f} g of the "
            f"{1000 * liquor.mass_kg:.0f} g of liquid. Take more liquid or fewer plants, or enter "
            f"{named('kept_by_solids')} from a weighing.",
            "kept_by_solids",
        )
    strained = liquor.of_mass(liquor.mass_kg - kept.taken_kg)
    scale = _scale(inputs.make, strained)
    product = strained.scaled(scale)
    return _result(inputs, product, added, kept, plants, scale)


def _targets(inputs: Inputs) -> tuple[list[Target], list[Addition | None]]:
    """The targets that were given, each with what may be added for it."""
    wanted: list[Target] = []
    additions: list[Addition | None] = []
    if inputs.brix is not None:
        syrup.sugar_in_range(inputs.brix, "brix")
        kind = "sugar" if inputs.brix.unit == "g/l" else "solids"
        wanted.append(_target(kind, inputs.brix, "brix"))
        additions.append(_addition(inputs.sweeten, "sweeten"))
    if inputs.acidity is not None:
        citric = Addition("citric acid", Mixture({"citric": 1.0}), "sour")
        wanted.append(_target("acidity", inputs.acidity, "acidity"))
        additions.append(_addition(inputs.sour, "sour") or citric)
    if inputs.abv is not None:
        wanted.append(_target("strength", inputs.abv, "abv"))
        additions.append(_addition(inputs.spirit, "spirit"))
    for adder, found, field, target in (
        ("sweeten", inputs.sweeten, "brix", inputs.brix),
        ("sour", inputs.sour, "acidity", inputs.acidity),
        ("spirit", inputs.spirit, "abv", inputs.abv),
    ):
        if found is not None and target is None:
            raise BadInput(
                f"{named(adder)} {found.name} needs {named(field)}, the target to add it to; or "
                f"give its amount as a {named('part')}.",
                field,
            )
    return wanted, additions


def _target(kind: str, value: Measured, field: str) -> Target:
    litre = value.unit == "g/l"
    level = float(value) if litre else float(value) / 100
    words = f"{float(value):g} {value.unit}"
    return Target(kind, level, litre or kind == "strength", field, words)


def _addition(found: Ingredient | None, adder: str) -> Addition | None:
    return Addition(found.name, found.mixture, adder) if found else None


class CordialAddition(Record):
    """What is added: the input that names it, or "water"; its name, 1 kg of it, kg."""

    role: str
    name: str
    unit: Mixture
    kg: float
    ingredient: Ingredient | None = None  # None: it was not named


def _added(
    inputs: Inputs,
    wanted: list[Target],
    additions: list[Addition | None],
    amounts: list[float],
    water_kg: float,
) -> list[CordialAddition]:
    """What is added for the targets, in their order, the water last."""
    ingredients = {"sweeten": inputs.sweeten, "sour": inputs.sour, "spirit": inputs.spirit}
    added: list[CordialAddition] = []
    for addition, kg in zip(additions, amounts, strict=True):
        if addition is None:
            water_kg += kg
            continue
        ingredient = ingredients[addition.field]
        unit = addition.unit
        if ingredient is None:
            unit = unit.marked(tags=("citric-powder", "chlorine-free"))
        added.append(CordialAddition(addition.field, addition.name, unit, kg, ingredient))
    if wanted and water_kg > 0.0:
        added.append(CordialAddition("water", "water", syrup.WATER, water_kg))
    return added


def _require_syrup(liquor: Mixture) -> None:
    solids_kg = liquor.dissolved_solids * liquor.solution_kg
    dry = solids_kg / (solids_kg + liquor.of("water")) if solids_kg else 0.0
    if dry > sucrose.MASS_FRACTION_HIGH:
        raise BadInput(
            f"it would be {100 * dry:.0f} % solids in solids and water, and no syrup is more than "
            f"{100 * sucrose.MASS_FRACTION_HIGH:.0f}. Add water or another liquid as a "
            f"{named('part')}, or lower the target.",
            "part",
        )


def _scale(make: Measured | None, strained: Mixture) -> float:
    if make is None:
        return 1.0
    if make.unit == "g":
        return float(make) / 1000 / strained.mass_kg
    return float(make) * 1e-6 / strained.volume_20_m3


def _result(
    inputs: Inputs,
    product: Mixture,
    added: list[CordialAddition],
    kept: LiquidKept,
    plants: list[Steeped],
    scale: float,
) -> Result:
    volume_m3 = product.volume_20_m3
    shown, error = derived.of(product, *_SHOWN)
    unknown = kept.most_kg > kept.least_kg
    if unknown:
        half = 0.5 * (kept.most_kg - kept.least_kg) * scale
        error |= {
            "mass": 1000 * half,
            "volume": 1e6 * half * volume_m3 / product.mass_kg,
            "kept_by_plants": 1000 * half,
        }
    ph = inputs.measured_ph if inputs.measured_ph is not None else shown["ph"]
    store = syrup.Store(
        float(inputs.fridge), float(inputs.room), float(inputs.stored), ph,
        inputs.measured_ph is not None,
    )  # fmt: skip
    stored = syrup.stored(product, store)
    grams = {addition.role: 1000 * addition.kg * scale for addition in added}
    sweetener_kg = scale * math.fsum(
        p.mass_kg for p in inputs.part if p.ingredient.group == "sweetener"
    ) + 1e-3 * grams.get("sweeten", 0.0)
    if inputs.measured_ph is not None:
        error.pop("ph", None)
    tastes = acidity.of(product, float(inputs.fridge))
    return Result(
        sweetness=tastes.sweetness,
        sourness=tastes.sourness,
        density=shown["density"],
        abv=shown["abv"],
        ethanol=shown["ethanol"],
        sugar=shown["sugar"],
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        acidity=shown["acidity"] or None,
        ph=ph,
        sugar_acid_ratio=shown["sugar_acid_ratio"],
        water_activity=shown["water_activity"],
        freezing_point=shown["freezing_point"],
        product=product,
        mass=1000 * product.mass_kg,
        volume=1e6 * volume_m3,
        sweetener_to_add=grams.get("sweeten"),
        sour_to_add=grams.get("sour"),
        spirit_to_add=grams.get("spirit"),
        water_to_add=grams.get("water"),
        kept_by_plants=1000 * kept.taken_kg * scale if plants else None,
        sugar_g_l=product.of(*SUGARS) / volume_m3,
        acidity_g_l=product.acidity_as_citric * product.mass_kg / volume_m3 or None,
        yield_per_sweetener=1000 * volume_m3 / sweetener_kg if sweetener_kg > 0 else None,
        supersaturation_fridge=stored.supersaturation["fridge"],
        supersaturation_room=stored.supersaturation["room"],
        viscosity_fridge=stored.viscosity["fridge"],
        viscosity_room=stored.viscosity["room"],
        inverted_fridge=stored.split["fridge"][0],
        inverted_fridge_most=stored.split["fridge"][1],
        inverted_room=stored.split["room"][0],
        inverted_room_most=stored.split["room"][1],
        model_error=error | tastes.errors,
        facts=syrup.facts(product, store, stored) | {"kept_unknown": unknown},
        tables=(_weigh(inputs, added, scale), *syrup.drift(product, store, stored)),
        working=(*_working(inputs, product, added, plants, scale), *tastes.steps),
    )


def _weigh(inputs: Inputs, added: list[CordialAddition], scale: float) -> Table:
    rows: list[tuple[str | float | None, ...]] = [
        (part.name, 1000 * scale * part.mass_kg, _scaled(derived.volume_ml(part.mixture), scale),
         "part, strained off" if syrup.is_strained(part) else "part")
        for part in inputs.part
    ]  # fmt: skip
    for one in added:
        rows += [
            (name, 1000 * scale * one.kg * share,
             derived.volume_ml(unit.scaled(scale * one.kg * share)) if one.kg else 0.0, "add")
            for name, unit, share in syrup.apart(one.ingredient, one.name, one.unit)
        ]  # fmt: skip
    columns = (
        Column("part"), Column("mass", "g", 2), Column("volume at 20 °C", "ml", 1), Column("what"),
    )  # fmt: skip
    return Table("weigh", "weigh", columns, tuple(rows))


def _scaled(value: float | None, scale: float) -> float | None:
    return None if value is None else value * scale


def _working(
    inputs: Inputs,
    product: Mixture,
    added: list[CordialAddition],
    plants: list[Steeped],
    scale: float,
) -> list[Step]:
    total = " + ".join(f"{1000 * p.mass_kg * scale:.1f} g {p.name}" for p in inputs.part)
    steps = [Step("parts", total, math.fsum(1000 * p.mass_kg * scale for p in inputs.part), "g")]
    steps += [Step("targets", said, source="DEFINITION") for said in _balances(inputs, product)]
    steps += [
        Step(
            f"{addition.name} to add",
            "so that the targets balance by mass",
            1000 * addition.kg * scale,
            "g",
        )
        for addition in added
    ]
    for plant in plants:
        low, high = plant.kept_range
        given = inputs.kept_by_solids
        rate = f"{given:g} g" if given is not None else f"{low:g} to {high:g} g"
        grams = 1000 * plant.part.mass_kg * scale
        kept_g = grams * (given if given is not None else 0.5 * (low + high))
        steps.append(
            Step(f"liquid kept by {plant.part.name}", f"{grams:.1f} g x {rate} for each g",
                 kept_g, "g", "SYRUP-TRADE")
        )  # fmt: skip
    steps.append(
        Step(
            "volume",
            f"{1000 * product.mass_kg:.1f} g / {product.density_kg_m3() / 1000:.4f} g/ml",
            1e6 * product.volume_20_m3,
            "ml",
            "PREPKIT-SOLUTION",
        )
    )
    steps += syrup.crystal_steps(product, inputs.fridge, inputs.room)
    refused = derived.refusals(product, "ph", "refractometer", "water_activity", "freezing_point")
    steps += [Step(name.replace("_", " "), f"not shown: {why}") for name, why in refused.items()]
    if product.abv > 0.01:
        steps.append(Step("viscosity", "not shown: no published viscosity of sugar with spirit"))
    return steps


def _balances(inputs: Inputs, product: Mixture) -> list[str]:
    """Each target as it comes out in the strained cordial, in numbers."""
    said = []
    litres, mass_g = 1000 * product.volume_20_m3, 1000 * product.mass_kg
    if inputs.brix is not None and inputs.brix.unit == "Bx":
        liquid = 1000 * product.solution_kg
        solids = product.dissolved_solids * liquid
        said.append(f"{solids:.1f} g solids / {liquid:.1f} g = {inputs.brix:g} %")
    elif inputs.brix is not None:
        said.append(f"{1000 * product.of(*SUGARS):.1f} g sugars / {litres:.4f} l")
    if inputs.acidity is not None:
        acid_g = product.acidity_as_citric * mass_g
        by_weight = f"{mass_g:.1f} g = {inputs.acidity:g} % w/w (a bare % is taken by weight)"
        over = by_weight if inputs.acidity.unit == "% w/w" else f"{litres:.4f} l"
        said.append(f"{acid_g:.2f} g acid as citric / {over}")
    if inputs.abv is not None:
        pure_l = 1000 * product.ethanol_kg / ethanol.PURE_KG_M3
        said.append(f"{pure_l:.4f} l ethanol / {litres:.4f} l = {inputs.abv:g} % vol")
    return said
