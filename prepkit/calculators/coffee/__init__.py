"""coffee: espresso, filter, steeped, cold brew, tea: strength, yield, caffeine, what it melts."""

from __future__ import annotations

from dataclasses import dataclass

from prepkit import derived
from prepkit.calculators.coffee.brewing import (
    BREWS,
    READILY,
    TABLE,
    Brew,
    Made,
    brewed,
    caffeine_of,
    content,
    product_of,
)
from prepkit.calculators.coffee.inputs import Inputs, check
from prepkit.errors import BadInput, named
from prepkit.first_screen import Figure, Screen
from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import ice

__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]

EXAMPLE = (
    'prepkit coffee --brew espresso --dose "18 g" --beverage "36 g" --tds "9 %" --bean arabica'
)

# usual water at brewing, C: 88 +/- 2 [ESPRESSO-DEFINITION] (read), 93 +/- 3 [SCAA] (read)
_WATER_C = {"espresso": (86.0, 90.0), "filter": (90.0, 96.0)}


@dataclass(frozen=True, kw_only=True)
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
    caffeine_low: float | None = output("caffeine, lower bound", "mg", 0, extensive=True)
    caffeine_high: float | None = output("caffeine, upper bound", "mg", 0, extensive=True)
    caffeine_table: float | None = output("caffeine by a food table", "mg", 0, extensive=True)
    serve_caffeine_low: float | None = output("caffeine per serve, lower bound", "mg", 0)
    serve_caffeine_high: float | None = output("caffeine per serve, upper bound", "mg", 0)
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
    melted_kg = ice.melt_to_kg(product.mass_kg, cp, hot_c, 0.0)
    try:
        return product.density_kg_m3(hot_c), 1000 * melted_kg
    except BadInput:
        return None, 1000 * melted_kg


def _facts(
    inputs: Inputs, made: Made, product: Mixture, caffeine_g: tuple[float, float],
    serve_share: float | None,
) -> dict[str, object]:  # fmt: skip
    """What the caution rules judge."""
    measured = any(one is not None for one in (inputs.tds, inputs.refractometer, inputs.extraction))
    facts: dict[str, object] = {
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
        low, high = (1000 * one * serve_share for one in caffeine_g)
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


def _layer_words(inputs: Inputs, made: Made) -> str:
    """The brew as a part of a drink in layers, in the words of that calculator."""
    said = f"{made.beverage_g:.3g} g espresso {100 * made.tds.value:.3g} %"
    if inputs.served_at is not None:
        said += f" at {float(inputs.served_at):g} °C"
    if inputs.crema:
        foam = float(inputs.crema) / 100
        said += f" whipped {100 * foam / (1 - foam):.0f} %"
    return said


def _tables(inputs: Inputs, made: Made) -> tuple[Table, ...]:
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
    inputs: Inputs, brew: Brew, made: Made, caffeine_g: tuple[float, float],
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
    steps += [one._replace(source="DEFINITION") for one in bounds] if told else bounds
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
