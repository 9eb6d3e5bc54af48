"""coffee: espresso, filter, cold brew and tea: strength, yield, caffeine."""

from __future__ import annotations

import math
from typing import NamedTuple

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, number, quantity
from prepkit.mixture import Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import heat, solution
from prepkit.shared import instruments
from prepkit.units import Measured

# ---- what coffee is told, and what of it does not go together ----

MOST_SERVED_C = 100.0


class Inputs(BaseInputs):
    """What was brewed with what, what was weighed and read, and how it is served."""

    groups = (
        ("Most needed", "brew dose water beverage tds refractometer bean leaf serve"),
        ("Of your own", "extraction held caffeine crema"),
        ("Conditions", "time hours temperature served_at"),
    )

    brew: str = choice(
        ("espresso", "filter", "steeped", "cold brew", "tea"), "how it is brewed",
        "Steeped: all the water stays with the grounds, hot. Cold brew: the same, cold.",
    )  # fmt: skip
    dose: Measured = quantity(
        "g", "dry coffee or leaf", "As it is weighed in.", "18 g", above=0, high=1e6,
        because="a batch of at most a tonne", extensive=True,
    )  # fmt: skip
    water: Measured | None = quantity(
        ("g", "ml"), "water poured", "On to the grounds or the leaf.", "300 g", default=None,
        above=0, high=1e7, because="a batch of at most ten tonnes", extensive=True,
    )  # fmt: skip
    beverage: Measured | None = quantity(
        "g", "what ran out, weighed", "In the cup or jug. An espresso needs it.", "36 g",
        default=None, above=0, high=1e7, because="a batch of at most ten tonnes", extensive=True,
    )  # fmt: skip
    tds: Measured | None = quantity(
        "% w/w", "dissolved solids, measured", "From a coffee refractometer, filtered.", "9 %",
        default=None, above=0, high=30, because="no coffee or tea has more",
    )  # fmt: skip
    refractometer: Measured | None = quantity(
        "Bx", "refractometer, on the sugar scale", "Black filtered coffee, at 20 °C.", "10.5 Bx",
        default=None, above=0, high=20, because="black coffee", bare=True,
    )  # fmt: skip
    bean: str | None = choice(
        ("arabica", "robusta", "blend"), "which coffee", "It decides the caffeine.", default=None
    )
    leaf: str = choice(
        ("black", "green"), "which tea", "Oolong: green. Plants that are no tea: infuse.",
        default="black",
    )  # fmt: skip
    serve: Measured | None = quantity(
        ("g", "ml"), "in one serve", "The share of one guest.", "36 g", default=None, above=0,
        high=5000, because="one guest",
    )  # fmt: skip
    extraction: Measured | None = quantity(
        "%", "share that dissolves", "Of the dry weight, by your own readings.", "20 %",
        default=None, low=1, high=35, because="coffee gives about 30 % at most",
    )  # fmt: skip
    held: float | None = number(
        "water held back", "g for each g of dry coffee or leaf, by your own weighings.", "2.0",
        default=None, low=0, high=6,
    )  # fmt: skip
    caffeine: Measured | None = quantity(
        "%", "caffeine of the dry weight", "From the roaster or a laboratory; decaf too.",
        "1.2 %", default=None, low=0, high=5, because="no coffee or tea holds more",
    )  # fmt: skip
    crema: Measured | None = quantity(
        "%", "foam, share of volume", "Read in a narrow glass.", "20 %", default=None,
        low=0, high=80, because="a share of the cup",
    )  # fmt: skip
    time: Measured | None = quantity(
        "s", "time of an espresso", "From the pump's start to the end.", "25 s", default=None,
        above=0, high=600, because="an espresso",
    )  # fmt: skip
    hours: Measured | None = quantity(
        "h", "hours of cold brew", "Until it is strained.", "16 h", default=None, above=0,
        high=72, because="three days at most",
    )  # fmt: skip
    temperature: Measured | None = quantity(
        "C", "temperature of the water", "While it brews.", "93 C", default=None, low=0, high=100,
        because="water",
    )  # fmt: skip
    served_at: Measured | None = quantity(
        "C", "temperature as it is used", "As it goes into the drink.", "67 C", default=None,
        low=0, high=MOST_SERVED_C, because="water",
    )  # fmt: skip


def check(inputs: Inputs, immersion: bool) -> None:
    """BadInput for what contradicts itself or belongs to another way of brewing."""
    told = [name for name in ("tds", "refractometer", "extraction")
            if getattr(inputs, name) is not None]  # fmt: skip
    if len(told) > 1:
        raise BadInput(
            f"{named(told[0])} and {named(told[1])} each give the strength; give one of them.",
            told[1],
        )
    tea = inputs.brew == "tea"
    if tea and inputs.refractometer is not None:
        raise BadInput(
            f"{named('refractometer')} is known for coffee only; dry a weighed sample of the tea "
            f"and give {named('tds')}.",
            "refractometer",
        )
    for name, wrong in (("bean", tea), ("leaf", not tea and inputs.leaf != "black")):
        if wrong and getattr(inputs, name) is not None:
            raise BadInput(f"{named(name)} does not go with {inputs.brew}.", name)
    for name, brew in (("time", "espresso"), ("hours", "cold brew"), ("crema", "espresso")):
        if getattr(inputs, name) is not None and inputs.brew != brew:
            raise BadInput(f"{named(name)} is for {brew}, not for {inputs.brew}.", name)
    if inputs.held is not None and inputs.water is not None and inputs.beverage is not None:
        raise BadInput(
            f"{named('held')} follows from {named('water')} and {named('beverage')}; give two of "
            "the three.",
            "held",
        )
    if inputs.brew == "espresso" and inputs.beverage is None:
        raise BadInput(
            f"an espresso needs {named('beverage')}, its weight in the cup, such as 36 g.",
            "beverage",
        )
    if inputs.water is None and (immersion or inputs.beverage is None):
        raise BadInput(
            f"{inputs.brew} needs {named('water')}, all that is poured, such as 300 g.", "water"
        )


# ---- the balance of a brew ----

_WATER_G_ML = 0.9982  # at 20 C
LEAST_ESPRESSO = 0.04  # weaker is another drink; a food table's "espresso" has 2.2 % (JUDGEMENT)
MOST_SOLIDS = 0.20  # of any brew (JUDGEMENT)


class BrewBand(NamedTuple):
    """What is taken, and from where to where it may be."""

    value: float
    low: float
    high: float
    source: str


def _exact(value: float) -> BrewBand:
    """What was told, with no band."""
    return BrewBand(value, value, value, "DEFINITION")


class Brew(NamedTuple):
    """One way of brewing: its entry in the pantry and what is taken where nothing is measured."""

    entry: str
    immersion: bool
    extraction: BrewBand  # share of the dose
    held: BrewBand  # g of water for each g of dose


_FILTER_HELD = BrewBand(solution.HELD_KG_KG, 2.0, 2.5, "COFFEE-KEPT")
_STEEPED_HELD = BrewBand(2.5, 2.0, 3.0, "COFFEE-KEPT")
_RAN = BrewBand(0.20, 0.14, 0.26, "JUDGEMENT")
BREWS = {
    "espresso": Brew("espresso", False, _RAN, _FILTER_HELD),
    "filter": Brew("filter coffee", False, _RAN, _FILTER_HELD),
    "steeped": Brew("filter coffee", True, BrewBand(0.21, 0.17, 0.25, "JUDGEMENT"), _STEEPED_HELD),
    "cold brew": Brew(
        "cold brew coffee", True, BrewBand(0.21, 0.15, 0.25, "JUDGEMENT"), _STEEPED_HELD
    ),
    "tea": Brew(
        "brewed black tea", True, BrewBand(0.22, 0.12, 0.32, "JUDGEMENT"),
        BrewBand(3.2, 2.0, 4.4, "TEA-RESIDUE"),
    ),
}  # fmt: skip
_NOT_TOLD = "not told"
_CONTENT = {  # caffeine, g in a g of the dry coffee or leaf [CAFFEINE-CONTENT-MEMORY] (memory)
    "arabica": (0.010, 0.013), "robusta": (0.018, 0.025), "blend": (0.010, 0.025),
    _NOT_TOLD: (0.010, 0.025), "tea": (0.020, 0.040),
}  # fmt: skip
READILY = 0.30  # caffeine comes out no slower than all that can dissolve, some 30 % (JUDGEMENT)
# caffeine by a food table, mg in 100 g: 14209, 14210, 14355, 14278 [USDA-SR28] (read)
TABLE = {"espresso": 212.0, "black": 20.0, "green": 12.0, "filter": 40.0, "steeped": 40.0}


class BrewBalance(NamedTuple):
    """The balance of a brew, g; shares as fractions."""

    dose_g: float
    water_g: float | None
    beverage_g: float
    beverage_error_g: float
    tds: BrewBand
    extraction: float
    counted_g: float  # what the extraction counts: the beverage, or all of the liquid


def _water_g(inputs: Inputs) -> float | None:
    if inputs.water is None:
        return None
    return float(inputs.water) * (_WATER_G_ML if inputs.water.unit == "ml" else 1.0)


def brewed(inputs: Inputs, brew: Brew) -> BrewBalance:
    dose_g, water_g = float(inputs.dose), _water_g(inputs)
    beverage_g, beverage_error_g = _beverage_g(inputs, brew, dose_g, water_g)
    if water_g is None and inputs.held is not None:
        water_g = beverage_g + inputs.held * dose_g
    tds, share = _strength(inputs, brew, dose_g, water_g, beverage_g)
    counted_g = share * dose_g / tds.value
    return BrewBalance(dose_g, water_g, beverage_g, beverage_error_g, tds, share, counted_g)


def _beverage_g(
    inputs: Inputs, brew: Brew, dose_g: float, water_g: float | None
) -> tuple[float, float]:
    """What ran out and its error: weighed, or what was poured less what is held back."""
    if inputs.beverage is not None:
        beverage_g = float(inputs.beverage)
        if water_g is not None and beverage_g >= water_g:
            raise BadInput(
                f"{named('beverage')} is {beverage_g:g} g; it must be less than the {water_g:.1f} "
                "g of water, since the grounds hold some.",
                "beverage",
            )
        return beverage_g, 0.0
    held = brew.held if inputs.held is None else _exact(inputs.held)
    assert water_g is not None  # asked for by `_check`
    if water_g <= held.high * dose_g:
        raise BadInput(
            f"{named('water')} is {water_g:.1f} g; {dose_g:g} g can hold {held.high * dose_g:.1f} "
            "g of it, so nothing may run out. Take more water.",
            "water",
        )
    error = max(held.high - held.value, held.value - held.low) * dose_g
    return 1000 * solution.beverage_kg(water_g / 1000, dose_g / 1000, held.value), error


def _strength(
    inputs: Inputs, brew: Brew, dose_g: float, water_g: float | None, beverage_g: float
) -> tuple[BrewBand, float]:
    """Dissolved solids and the extraction, one from the other."""

    def solids(share: float) -> float:
        if brew.immersion and water_g is not None:
            return solution.immersion_solids(share, water_g / 1000, dose_g / 1000)
        return share * dose_g / beverage_g

    field = "tds"
    if inputs.tds is not None:
        tds = _exact(float(inputs.tds) / 100)
    elif inputs.refractometer is not None:
        field = "refractometer"
        value = solution.solids_from_brix(float(inputs.refractometer))
        off = math.hypot(0.005 * value, solution.SOLIDS_PER_BRIX * instruments.READING_BX / 100)
        tds = BrewBand(value, value - off, value + off, "COFFEE-BRIX")
    else:
        field = "extraction" if inputs.extraction is not None else "beverage"
        band = brew.extraction
        if inputs.extraction is not None:
            band = _exact(float(inputs.extraction) / 100)
        tds = BrewBand(solids(band.value), solids(band.low), solids(band.high), band.source)
    if inputs.brew == "espresso" and tds.value < LEAST_ESPRESSO:
        raise BadInput(
            f"{100 * tds.value:.1f} % is no espresso; it has about 5 to 14 %. A food table's 2.2 % "
            f"is not a strength: measure it, or choose filter.",
            field,
        )
    if tds.value > MOST_SOLIDS:
        raise BadInput(
            f"{100 * tds.value:.0f} % dissolved solids is stronger than any brew; check "
            f"{named('dose')} and what ran out.",
            field,
        )
    if brew.immersion and water_g is not None:
        share = solution.extraction_immersion(tds.value, water_g / 1000, dose_g / 1000)
    else:
        share = solution.extraction_percolation(tds.value, beverage_g / 1000, dose_g / 1000)
    if share > solution.MOST_EXTRACTED:
        raise BadInput(
            f"{100 * share:.0f} % of the dose is too much: coffee and tea give about 30 % at most; "
            f"check {named(field)} and the weights.",
            field,
        )
    return tds, share


def content(inputs: Inputs) -> tuple[float, float]:
    """Caffeine in a g of what was weighed in, least and most."""
    if inputs.caffeine is not None:
        told = float(inputs.caffeine) / 100
        return told, told
    return _CONTENT["tea" if inputs.brew == "tea" else inputs.bean or _NOT_TOLD]


def caffeine_of(inputs: Inputs, made: BrewBalance) -> tuple[float, float]:
    """Caffeine in the beverage: all of the dose's at most, and no less than solids come out."""
    least, most = content(inputs)
    share = min(1.0, made.beverage_g / made.counted_g)
    high = most * made.dose_g * share
    low = least * made.dose_g * share * min(1.0, made.extraction / READILY)
    solids_g = made.tds.high * made.beverage_g
    return min(low, solids_g), min(high, solids_g)


def product_of(inputs: Inputs, brew: Brew, made: BrewBalance, caffeine_g: float) -> Mixture:
    """The brew at its strength, with the most caffeine that it can hold."""
    entry = brew.entry
    if inputs.brew == "tea" and inputs.leaf == "green":
        entry = "brewed green tea"
    known = Pantry().ingredient(entry).mixture
    solids_kg = made.tds.value * made.beverage_g / 1000
    caffeine_kg = min(caffeine_g / 1000, solids_kg)
    rest = known.without({name: known.of(name) for name in ("water", "caffeine")})
    scale = (solids_kg - caffeine_kg) / rest.mass_kg
    masses = {name: kg * scale for name, kg in rest.masses_kg.items()}
    masses |= {"water": made.beverage_g / 1000 - solids_kg, "caffeine": caffeine_kg}
    return Mixture(masses, known.allergens, known.tags, known.keeps)


# ---- coffee ----

EXAMPLE = (
    'prepkit coffee --brew espresso --dose "18 g" --beverage "36 g" --tds "9 %" --bean arabica'
)

# usual water at brewing, C: 88 +/- 2 [ESPRESSO-DEFINITION] (read), 93 +/- 3 [SCAA] (read)
_WATER_C = {"espresso": (86.0, 90.0), "filter": (90.0, 96.0)}


class Result(BaseResult):
    """The brew, its balance, its caffeine, and what it does to ice and cream."""

    screen = Screen(
        headline=("{beverage} at {tds} dissolved solids, {extraction} of the dose extracted.",),
        primary=(
            "beverage",
            "tds",
            "extraction",
            Figure("caffeine in one serve", "serve_caffeine_low", "serve_caffeine_high"),
            Figure("caffeine in all", "caffeine_low", "caffeine_high"),
            "melt",
        ),
        check=("ratio", Figure("density", "density")),
        do_this=(
            "Read the solids filtered, black and at 20 °C.",
            "As a layer under cream: {layer_words}.",
        ),
        weigh="weigh",
    )

    beverage: float | None = output("brew that ran out", "g", 1, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 0, extensive=True)
    tds: float | None = output("dissolved solids", "% w/w", 2)
    extraction: float | None = output("extraction", "%", 1)
    ratio: float | None = output("brew per g of dose", "g", 2)
    dissolved: float | None = output("solids dissolved", "g", 2, extensive=True)
    water: float | None = output("water needed", "g", 1, extensive=True)
    retained: float | None = output("water held by the grounds", "g", 1, extensive=True)
    grounds: float | None = output("wet grounds", "g", 1, extensive=True)
    caffeine_low: float | None = output(
        "caffeine, lower bound", "mg", 0, extensive=True, limit="most"
    )
    caffeine_high: float | None = output(
        "caffeine, upper bound", "mg", 0, extensive=True, limit="least"
    )
    caffeine_table: float | None = output("caffeine by a food table", "mg", 0, extensive=True)
    serve_caffeine_low: float | None = output(
        "caffeine per serve, lower bound", "mg", 0, limit="most"
    )
    serve_caffeine_high: float | None = output(
        "caffeine per serve, upper bound", "mg", 0, limit="least"
    )
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    density_served: float | None = output("density as used", "kg/m3", 1)
    density_crema: float | None = output("density with its foam", "kg/m3", 0)
    melt: float | None = output("ice melted at 0 °C", "g", 1, extensive=True)
    tds_melted: float | None = output("solids after that melt", "% w/w", 2)


def compute(inputs: Inputs) -> Result:
    """Strength and yield from what was weighed and read; a band for what was not."""
    brew = BREWS[inputs.brew]
    check(inputs, brew.immersion)
    made = brewed(inputs, brew)
    low_g, high_g = caffeine_of(inputs, made)
    table = TABLE.get(inputs.leaf if inputs.brew == "tea" else inputs.brew)
    table_mg = None if table is None else table * made.beverage_g / 100
    # a published analysis below what dose and extraction give is the lower end
    least_mg = 1000 * low_g if table_mg is None else min(1000 * low_g, table_mg)
    product = product_of(inputs, brew, made, high_g)
    shown, error = derived.of(product, "volume", "density")
    mass_g = made.beverage_g
    serve_share = _serve_share(inputs, product)
    half = (made.tds.high - made.tds.low) / 2
    if half:
        error["tds"] = 100 * half
        error["extraction"] = 100 * half * made.extraction / made.tds.value
    if made.beverage_error_g:
        error["beverage"] = made.beverage_error_g
        error["retained"] = error["grounds"] = made.beverage_error_g
        error["ratio"] = made.beverage_error_g / made.dose_g
        error["volume"] = (shown["volume"] or 0.0) * made.beverage_error_g / mass_g
    hot, melted = _hot(inputs, product)
    foam = None if inputs.crema is None else float(inputs.crema) / 100
    base = hot if hot is not None else shown["density"]
    held_g = None if made.water_g is None else made.water_g - mass_g
    return Result(
        product=product,
        beverage=mass_g,
        volume=shown["volume"],
        tds=100 * made.tds.value,
        extraction=100 * made.extraction,
        ratio=mass_g / made.dose_g,
        dissolved=made.tds.value * made.counted_g,
        water=made.water_g,
        retained=held_g,
        grounds=None if held_g is None else made.dose_g + held_g,
        caffeine_low=least_mg,
        caffeine_high=1000 * high_g,
        caffeine_table=table_mg,
        serve_caffeine_low=None if serve_share is None else least_mg * serve_share,
        serve_caffeine_high=None if serve_share is None else 1000 * high_g * serve_share,
        density=shown["density"],
        density_served=hot,
        density_crema=None if foam is None or base is None else base * (1 - foam),
        melt=melted,
        tds_melted=None if melted is None else 100 * made.tds.value * mass_g / (mass_g + melted),
        model_error=error,
        facts=_facts(inputs, made, product, (low_g, high_g), serve_share),
        tables=_tables(inputs, made),
        working=tuple(_steps(inputs, brew, made, (low_g, high_g), melted, product)),
    )


def _serve_share(inputs: Inputs, product: Mixture) -> float | None:
    """One serve as a share of the beverage; BadInput for more than there is."""
    if inputs.serve is None:
        return None
    if inputs.serve.unit == "ml":
        share = float(inputs.serve) / (1e6 * product.volume_20_m3)
    else:
        share = float(inputs.serve) / (1000 * product.mass_kg)
    if share > 1 + 1e-9:
        raise BadInput(
            f"{named('serve')} is {float(inputs.serve):g} {inputs.serve.unit}, more than the "
            f"{1000 * product.mass_kg:.1f} g that ran out.",
            "serve",
        )
    return min(share, 1.0)


def _hot(inputs: Inputs, product: Mixture) -> tuple[float | None, float | None]:
    """Density as it is used, and the ice that it melts on its way to 0 C, g."""
    if inputs.served_at is None:
        return None, None
    hot_c = float(inputs.served_at)
    cp = product.specific_heat_j_kg_k(min(hot_c / 2, 40.0))
    melted_kg = heat.melt_to_kg(product.mass_kg, cp, hot_c, 0.0)
    try:
        return product.density_kg_m3(hot_c), 1000 * melted_kg
    except BadInput:
        return None, 1000 * melted_kg


def _facts(
    inputs: Inputs, made: BrewBalance, product: Mixture, caffeine_g: tuple[float, float],
    serve_share: float | None,
) -> Facts:  # fmt: skip
    """What the caution rules judge."""
    measured = any(one is not None for one in (inputs.tds, inputs.refractometer, inputs.extraction))
    facts: Facts = {
        **derived.facts(product),
        "ph": derived.facts(product).get("ph"),
        "coffee_measured": 1 if measured else None,
        "coffee_least_percent": 100 * made.tds.low,
        "coffee_most_percent": 100 * made.tds.high,
        "coffee_caffeine_told": 1 if inputs.caffeine is not None else None,
        "coffee_serve_low_mg": None,
        "coffee_serve_high_mg": None,
        "coffee_extraction_percent": 100 * made.extraction if measured else 20.0,
    }
    if inputs.brew in ("cold brew", "tea"):
        facts["coffee_steep_c"] = None if inputs.temperature is None else float(inputs.temperature)
    if inputs.brew == "cold brew":
        facts["coffee_cold_count"] = 1
        if inputs.hours is not None:
            facts["coffee_cold_h"] = float(inputs.hours)
    usual = _WATER_C.get(inputs.brew)
    if usual is not None and inputs.temperature is not None:
        facts["coffee_water_c"] = float(inputs.temperature)
        facts["coffee_water_least_c"], facts["coffee_water_most_c"] = usual
        facts["coffee_water_off_k"] = max(
            usual[0] - float(inputs.temperature), float(inputs.temperature) - usual[1]
        )
    if serve_share is not None:
        low, high = (1000 * value * serve_share for value in caffeine_g)
        facts |= {"coffee_serve_low_mg": low, "coffee_serve_high_mg": high}
    if inputs.brew != "tea" and inputs.bean is None:
        facts["coffee_bean_told"] = None if inputs.caffeine is None else 1
    if inputs.served_at is not None:
        facts["coffee_served_c"] = float(inputs.served_at)
    if inputs.brew == "espresso":
        facts |= {
            "espresso_count": 1,
            "espresso_s": 25.0 if inputs.time is None else float(inputs.time),
            "espresso_crema": None if inputs.crema is None else float(inputs.crema),
            "layer_words": _layer_words(inputs, made),
        }
    return facts


def _layer_words(inputs: Inputs, made: BrewBalance) -> str:
    """The brew as a part of a drink in layers, in the words of that calculator."""
    said = f"{made.beverage_g:.3g} g espresso {100 * made.tds.value:.3g} %"
    if inputs.served_at is not None:
        said += f" at {float(inputs.served_at):g} °C"
    if inputs.crema:
        foam = float(inputs.crema) / 100
        said += f" whipped {100 * foam / (1 - foam):.0f} %"
    return said


def _tables(inputs: Inputs, made: BrewBalance) -> tuple[Table, ...]:
    """What is weighed in; and the balance, where the water is known."""
    dry = f"{inputs.leaf} tea leaf" if inputs.brew == "tea" else "ground coffee"
    columns = (Column("part"), Column("mass", "g", 1), Column("what"))
    dissolved_g = made.tds.value * made.beverage_g
    water_g = made.beverage_g - dissolved_g if made.water_g is None else made.water_g
    said = "at least; the grounds hold more" if made.water_g is None else "poured"
    rows = ((dry, made.dose_g, "as weighed"), ("water", water_g, said))
    weigh = Table("weigh", "weigh", columns, rows)
    if made.water_g is None:
        return (weigh,)
    wet_g = made.dose_g + made.water_g - made.beverage_g
    balance = (
        ("dose and water", made.dose_g + made.water_g, "in"),
        (inputs.brew, made.beverage_g, "out"),
        ("wet grounds", wet_g, "out"),
    )
    return weigh, Table("balance", "mass balance", columns, balance)


def _steps(
    inputs: Inputs, brew: Brew, made: BrewBalance, caffeine_g: tuple[float, float],
    melted_g: float | None, product: Mixture,
) -> list[Step]:  # fmt: skip
    """The working, as on a board."""
    steps: list[Step] = []
    dose, tds, share = made.dose_g, made.tds, made.extraction
    if inputs.beverage is None and made.water_g is not None:
        held = (made.water_g - made.beverage_g) / dose
        source = "DEFINITION" if inputs.held is not None else brew.held.source
        steps.append(Step("brew that ran out", f"{made.water_g:.1f} g - {held:.2f} x {dose:g} g",
                          made.beverage_g, "g", source))  # fmt: skip
    if inputs.refractometer is not None:
        steps.append(Step("dissolved solids", f"0.85 x {float(inputs.refractometer):.2f} Bx",
                          100 * tds.value, "% w/w", "COFFEE-BRIX"))  # fmt: skip
    elif inputs.tds is None:
        over = (f"({share:.3f} x {dose:g} g + {made.water_g:.1f} g)"
                if brew.immersion and made.water_g else f"{made.beverage_g:.1f} g")  # fmt: skip
        steps.append(Step("dissolved solids", f"{share:.3f} x {dose:g} g / {over}",
                          100 * tds.value, "% w/w", tds.source))  # fmt: skip
    steps.append(Step("extraction", f"{tds.value:.4f} x {made.counted_g:.1f} g / {dose:g} g",
                      100 * share, "%", "COFFEE-TRAINING"))  # fmt: skip
    if inputs.brew in ("espresso", "filter"):
        steps.append(Step("usual window", "18 to 22 % extraction; 1.15 to 1.35 % in a filter cup",
                          source="BREWING-CHART-1957"))  # fmt: skip
    least, most = content(inputs)
    bounds = [
        Step("caffeine, most", f"{dose:g} g x {1000 * most:g} mg/g, all of it dissolved",
             1000 * caffeine_g[1], "mg", "CAFFEINE-CONTENT-MEMORY"),
        Step("caffeine by dose, least", f"{dose:g} g x {1000 * least:g} mg/g x {share:.3f} / "
             f"{READILY:g}", 1000 * caffeine_g[0], "mg", "CAFFEINE-CONTENT-MEMORY"),
    ]  # fmt: skip
    told = inputs.caffeine is not None
    steps += [bound._replace(source="DEFINITION") for bound in bounds] if told else bounds
    if inputs.brew in TABLE or inputs.brew == "tea":
        steps.append(Step("caffeine by a food table", "its mg in 100 g of the brew",
                          source="USDA-SR28"))  # fmt: skip
    if melted_g is not None and inputs.served_at is not None:
        steps.append(Step("ice that melts", f"{1000 * product.mass_kg:.1f} g cooled by "
                          f"{float(inputs.served_at):g} K to 0 °C", melted_g, "g",
                          "ICE-APPENDIX"))  # fmt: skip
    if inputs.crema is not None:
        steps.append(Step("density with its foam", "density x (1 - share of foam)",
                          source="DEFINITION"))  # fmt: skip
    return steps
