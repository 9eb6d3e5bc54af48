"""chill: ice and melt to a temperature, the end of shaking, bottles."""

import math
from math import log
from typing import TypedDict

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, flag, parts, quantity, words
from prepkit.mixture import Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.record import Record
from prepkit.science import heat
from prepkit.shared import drink, room_check
from prepkit.shared import drink as shared_drink
from prepkit.shared.drink import (
    apart_specific_heat_j_kg_k,
    freezing_point_c,
    mixing_heat_j,
    specific_heat_j_kg_k,
)
from prepkit.units import parse_quantity

# ---- what chill is told ----

WAYS = ("stir", "shake", "no ice", "bottle", *heat.CRYOGENS)
PLACE_C = {"fridge": 4.0, "freezer": -18.0, "ice water": 0.0, "stirred ice water": 0.0}


class Inputs(BaseInputs):
    """The drink, and how it is made cold."""

    only_read = ("room_volume", "air_changes")
    groups = (
        ("Most needed", "part way target ice temperature bottle place"),
        ("Ice", "ice_temperature wet tin dilute_like"),
        ("Conditions", "part_temperature premixed place_temperature room_volume air_changes"),
    )
    takes = (("part_temperature", "temperature"),)

    part: tuple[Part, ...] = parts(
        "drink",
        "An amount of one ingredient, before any ice, with its own temperature if known. One "
        "entry for each.",
        "60 ml spirit 40 %",
        at=True,
    )
    way: str = choice(
        WAYS, "way of chilling",
        "Stir goes to a temperature, shake to the freezing point. No ice means water in its "
        "place. Bottle means a cold place. Cryogens are the last resort.",
        default="stir",
    )  # fmt: skip
    target: float | None = quantity(
        "C", "temperature wanted", "For stir, no ice, bottle and the cryogens.", "-2 C",
        default=None, low=-40, high=40, because="colder is not drinkable",
    )  # fmt: skip
    temperature: float = quantity(
        "C", "temperature at the start", "Of all parts, unless each is given its own.", "20 C",
        default=20.0, low=-25, high=95, because="a liquid drink",
    )  # fmt: skip
    part_temperature: tuple[str, ...] = words(
        "temperature of each part", "Once for each part, in the same order.", "-18 C",
        default=(), many=True,
    )  # fmt: skip
    premixed: bool = flag(
        "mixed before", "The parts were mixed earlier and their heat of mixing has gone."
    )
    ice: float | None = quantity(
        "g", "ice", "In the tin or glass. Without it, as much as the drink weighs.",
        "120 g", default=None, low=0, extensive=True,
    )  # fmt: skip
    ice_temperature: float = quantity(
        "C", "temperature of the ice", "Well ice is wet and at 0 °C, freezer ice at -18 °C.", "0 C",
        default=0.0, low=-40, high=0, because="ice is at or below 0 °C",
    )  # fmt: skip
    wet: float = quantity(
        "%", "water on the ice", "Of the ice's weight; it comes in as dilution.", "3 %",
        default=0.0, low=0, high=50, because="more is water",
    )  # fmt: skip
    tin: float = quantity(
        "g", "steel chilled with it", "Weight of a tin that was not cold before.", "250 g",
        default=0.0, low=0, extensive=True,
    )  # fmt: skip
    dilute_like: float | None = quantity(
        "C", "dilution as if stirred to", "For no ice. Without it, the target.", "-2 C",
        default=None, low=-15, high=40, because="ice brings no drink lower",
    )  # fmt: skip
    place: str = choice(tuple(PLACE_C), "cold place", "Where the bottle is kept.", default="fridge")
    place_temperature: float | None = quantity(
        "C", "temperature of that place",
        "4 °C in a fridge, -18 °C in a freezer, 0 °C in ice water where it is not given.", "4 C",
        default=None, low=-40, high=20, because="a cold place",
    )  # fmt: skip
    bottle: float = quantity(
        "ml", "size of one bottle", "Of glass.", "700 ml",
        default=700.0, low=50, high=5000, because="a bottle",
    )  # fmt: skip
    room_volume: float | None = quantity(
        "m3", "net volume of the room", "Needed for a cryogen; never assumed.", "40 m3",
        default=None, low=0.02, high=1e6, because="a fridge to a hall",
    )  # fmt: skip
    air_changes: float | None = quantity(
        ("/h", "m3/h"), "fresh air of the room",
        "Needed for a cryogen: measured air changes an hour, or a flow such as 50 l/s.",
        "4 /h", default=None, low=0, bare=True,
    )  # fmt: skip


# ---- a drink on ice ----

LEAST_KG = 1e-4
STEEL_J_KG_K = 500.0  # [STEEL-HEAT] memory


class UnchilledDrink(Record):
    """The parts together before chilling."""

    mixture: Mixture
    parts: tuple[Mixture, ...]  # what mixes on the way and sets heat free
    start_c: float
    tin_j_k: float


#: What only some ways use; with another it contradicts what was asked.
_USED_BY = {
    "ice": ("stir", "shake"), "wet": ("stir", "shake"), "dilute_like": ("no ice",),
    "place_temperature": ("bottle",),
}  # fmt: skip


def refuse_unused(inputs: Inputs) -> None:
    """One sentence for an amount or temperature that this way does not use."""
    for name, ways in _USED_BY.items():
        if getattr(inputs, name) and inputs.way not in ways:
            raise BadInput(
                f"{named(name)} is not used by {named('way', f'{inputs.way}')}, "
                "only by "
                f"{' and '.join(ways)}; leave it out or take that way.",
                name,
            )


def drink_of(inputs: Inputs, wet_kg: float) -> UnchilledDrink:
    """The parts together with the water on the ice, at one temperature."""
    mixtures = [part.mixture for part in inputs.part]
    own = drink.own(inputs.part)
    if inputs.part_temperature and any(value is not None for value in own):
        raise BadInput(
            f"{named('part_temperature')} is given and a part says its own temperature; keep the "
            "parts' own.",
            "part_temperature",
        )
    temperatures = drink.each_c(
        inputs.part, float(inputs.temperature), "part", inputs.spec("temperature")
    )
    if inputs.premixed and len(set(temperatures)) > 1:
        raise BadInput(
            f"{named('premixed')} parts have one temperature, and these say several; give it once "
            "for all.",
            "premixed",
        )
    if inputs.part_temperature:
        if len(inputs.part_temperature) != len(mixtures):
            raise BadInput(
                f"{named('part_temperature')} is given {len(inputs.part_temperature)} times for "
                f"{len(mixtures)} parts; give it once for each, in the same order.",
                "part_temperature",
            )
        temperatures = [
            float(parse_quantity(text, ("C",), named("part_temperature")))
            for text in inputs.part_temperature
        ]
    whole = Mixture.total(mixtures)
    if whole.mass_kg <= 0:
        raise BadInput("the parts weigh nothing; give an amount above 0.", "part")
    if whole.mass_kg < LEAST_KG:
        raise BadInput(
            f"the parts weigh {1000 * whole.mass_kg:.2g} g together, too little to chill; give "
            f"{1000 * LEAST_KG:g} g or more.",
            "part",
        )
    apart = (whole,) if inputs.premixed else tuple(mixtures)
    if wet_kg:
        mixtures.append(Mixture({"water": wet_kg}))
        temperatures.append(0.0)
        whole, apart = whole + mixtures[-1], (*apart, mixtures[-1])
    start_c = heat.mixing_temperature_c(
        [mixture.mass_kg for mixture in mixtures],
        [specific_heat_j_kg_k(m, t, t) for m, t in zip(mixtures, temperatures, strict=True)],
        temperatures,
    )
    return UnchilledDrink(whole, apart, start_c, 1e-3 * inputs.tin * STEEL_J_KG_K)


def ice_given_kg(inputs: Inputs) -> float:
    """The ice that was given, or as much as the drink weighs."""
    given = inputs.ice
    return math.fsum(p.mass_kg for p in inputs.part) if given is None else 1e-3 * float(given)


def end_of(inputs: Inputs) -> tuple[UnchilledDrink, heat.EndPoint]:
    """Where it goes with all the ice."""
    ice_kg = ice_given_kg(inputs)
    wet_kg = 0.01 * float(inputs.wet) * ice_kg
    drink = drink_of(inputs, wet_kg)
    water = Mixture({"water": 1.0})
    end = heat.end_point(
        drink.mixture.mass_kg,
        lambda end_c: apart_specific_heat_j_kg_k(drink.parts, drink.start_c, end_c),
        drink.start_c,
        ice_kg - wet_kg,
        lambda melt: (drink.mixture + water.scaled(melt)).freezing_point_c,
        float(inputs.ice_temperature),
        lambda melt, at_c: mixing_heat_j(drink.parts, at_c, melt),
        drink.tin_j_k,
        float(inputs.temperature),
    )
    return drink, end


def melt_kg(inputs: Inputs, drink: UnchilledDrink, to_c: float) -> float:
    """Ice that melts, or water in its place, down to a temperature."""
    return heat.melt_to_kg(
        drink.mixture.mass_kg,
        apart_specific_heat_j_kg_k(drink.parts, drink.start_c, to_c),
        drink.start_c,
        to_c,
        float(inputs.ice_temperature),
        lambda melt: mixing_heat_j(drink.parts, to_c, melt),
        drink.tin_j_k,
        max(float(inputs.temperature), to_c),
    )


def coldest_without_ice_c(inputs: Inputs, drink: UnchilledDrink, target_c: float) -> float:
    """Coldest that a drink with water in place of the melt stays liquid.

    With the water of a fixed temperature that is its freezing line; otherwise colder asks for more
    water, and it is where the two meet.
    """
    water = Mixture({"water": 1.0})

    def point(like_c: float) -> float:
        melt = melt_kg(inputs, drink, min(like_c, drink.start_c))
        found = freezing_point_c(drink.mixture + water.scaled(melt))
        return -99.0 if found is None else found

    if inputs.dilute_like is not None:
        return point(float(inputs.dilute_like))
    low, high = target_c, drink.start_c
    for _ in range(48):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if middle < point(middle) else (low, middle)
    return high


def steps(
    inputs: Inputs, drink: UnchilledDrink, melt: float, end_c: float, mixing: float
) -> tuple[Step, ...]:
    """The balance as on a board."""
    cp = apart_specific_heat_j_kg_k(drink.parts, drink.start_c, end_c)
    given = drink.mixture.mass_kg * cp * (drink.start_c - end_c)
    taken = heat.heat_taken_by_melt_j_kg(end_c, float(inputs.ice_temperature))
    return (
        Step(
            "heat of the drink",
            f"{1000 * drink.mixture.mass_kg:.1f} g x {cp / 1000:.3f} J/(g K) x "
            f"({drink.start_c:.1f} - {end_c:.1f}) K",
            given,
            "J",
            "PREPKIT-SPIRIT",
        ),
        Step("heat of mixing", "spirit meets juice, syrup and melt", mixing, "J", "PREPKIT-HEAT"),
        Step(
            "a gram of ice takes",
            f"{float(inputs.ice_temperature):g} °C ice to water of {end_c:.1f} °C",
            taken / 1000,
            "J/g",
            "ICE-APPENDIX",
        ),
        Step("melt", "the balance of these, and of the ice that stays", 1000 * melt, "g"),
    )


# ---- chill ----

EXAMPLE = (
    'prepkit chill --part "60 ml spirit 40 %" --part "22 ml lemon juice" '
    '--part "22 ml simple syrup 50 Bx" --way shake'
)
MIXING_ERROR = 0.15  # of the heat of mixing
TIME_FACTOR = 2.0  # either way


class Result(BaseResult):
    """How cold, and what it costs in water."""

    screen = Screen(
        headline=(
            "Ends at {end_temperature}: {volume} at {abv}, {water_in} of water added.",
            "Ends at {end_temperature}: {volume}, {water_in} of water added.",
            "Ends at {end_temperature}: {volume} at {abv}.",
            "{volume} at {abv}.",
            "{cryogen_least} to {cryogen_most} of {way}.",
        ),
        primary=(
            Figure("end temperature", "end_temperature"),
            Figure("water from melt", "water_in"),
            Figure("strength", "abv"),
            Figure("volume", "volume"),
            Figure("sugars", "sugar"),
            Figure("acidity, as citric", "acidity"),
            "slush",
            Figure("cold enough after", "minutes_soon", "minutes_late"),
            Figure("cryogen needed", "cryogen_least", "cryogen_most"),
            "gas",
            "freezing_point",
        ),
        check=("mass", "coldest"),
        do_this=("Way: {way}. Melted ice: {melt}. Ice left: {ice_left}.",),
    )

    end_temperature: float | None = output("end temperature", "C", 1)
    melt: float | None = output("melted ice", "g", 1, extensive=True)
    water_in: float | None = output("water added by dilution", "g", 1, extensive=True)
    water_in_volume: float | None = output("volume of added water (20 °C)", "ml", 1, extensive=True)
    of_start_volume: float | None = output("dilution, of the start volume", "%", 1)
    of_start_mass: float | None = output("dilution, of the start mass", "%", 1)
    of_final_volume: float | None = output("dilution, of the final volume", "%", 1)
    mass: float | None = output("mass after", "g", 1, extensive=True)
    volume: float | None = output("volume after, at 20 °C", "ml", 1, extensive=True)
    abv: float | None = output("strength at 20 °C", "% vol", 2)
    sugar: float | None = output("sugars", "% w/w", 2)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    ice_left: float | None = output("ice left", "g", 1, extensive=True)
    freezing_point: float | None = output("freezing point", "C", 1)
    coldest: float | None = output("lowest temperature possible", "C", 1, limit="most")
    slush: float | None = output("share frozen at that place", "% w/w", 0)
    minutes_soon: float | None = output("time, earliest", "min", 0, limit="most")
    minutes_late: float | None = output("time, latest", "min", 0, limit="least")
    cryogen_least: float | None = output(
        "cryogen needed, lower bound", "g", 0, extensive=True, limit="most"
    )
    cryogen_most: float | None = output(
        "cryogen needed, upper bound", "g", 0, extensive=True, limit="least"
    )
    gas: float | None = output("gas released, upper bound", "l", 0, extensive=True, limit="least")


def compute(inputs: Inputs) -> Result:
    """One way of chilling."""
    refuse_unused(inputs)
    if inputs.way == "shake":
        return _shaken(inputs)
    if inputs.way == "bottle":
        return _bottled(inputs)
    if inputs.target is None:
        raise BadInput(
            f"chill {named('way', f'{inputs.way}')} needs {named('target')}, the temperature "
            "wanted: for example "
            f"{named('target', '-2 C')}.",
            "target",
        )
    drink = drink_of(inputs, 0.0)
    if float(inputs.target) > drink.start_c:
        raise BadInput(
            f"{named('target')} is {float(inputs.target):g} °C and the parts together are at "
            f"{drink.start_c:.1f} °C; chilling only cools.",
            "target",
        )
    if inputs.way in heat.CRYOGENS:
        return _by_cryogen(inputs, drink, float(inputs.target))
    return _to_target(inputs, float(inputs.target))


def _shaken(inputs: Inputs) -> Result:
    if inputs.target is not None:
        raise BadInput(
            f"{named('target')} is for stirring; long shaking ends on the freezing line of the "
            "drink, "
            f"wherever that is, so leave {named('target')} out or write {named('way')} stir.",
            "target",
        )
    drink, end = end_of(inputs)
    ice_kg = ice_given_kg(inputs)
    wet_kg = 0.01 * float(inputs.wet) * ice_kg
    shown, errors = _watered(inputs, end.melt_kg + wet_kg, end.temperature_c)
    mixing = shared_drink.mixing_heat_j(drink.parts, end.temperature_c, end.melt_kg)
    errors["end_temperature"] = 0.5
    errors["melt"] = 1000 * (0.03 * end.melt_kg + MIXING_ERROR * abs(mixing) / heat.MELTING_J_KG)
    facts: Facts = {
        "all_melted": end.all_melted,
        "ice_share": ice_kg / drink.mixture.mass_kg,
        **_facts(shown, end.temperature_c),
    }
    return Result(
        **shown,
        melt=1000 * end.melt_kg,
        ice_left=1000 * (ice_kg - wet_kg - end.melt_kg),
        coldest=end.temperature_c,
        facts=facts,
        model_error=errors,
        working=steps(inputs, drink, end.melt_kg, end.temperature_c, mixing),
        tables=(_band(inputs),),
    )


# what a bar's ice and tin bring, where nothing was weighed (practice)
BAR_WET_PERCENT, BAR_TIN_G = 3.0, 250.0


def _band(inputs: Inputs) -> Table:
    """Dilution by the ice and the tin: what is published for shaking lies between the ends."""
    rows: list[tuple[str | float | None, ...]] = []
    for words_, wet, tin in (
        ("ice without water on it, cold tin", 0.0, 0.0),
        (f"{BAR_WET_PERCENT:g} % water on the ice, cold tin", BAR_WET_PERCENT, 0.0),
        (f"the same, {BAR_TIN_G:g} g of warm steel", BAR_WET_PERCENT, BAR_TIN_G),
    ):
        one = inputs.replaced(wet=wet, tin=tin)
        _, end = end_of(one)
        water_kg = end.melt_kg + 0.01 * wet * ice_given_kg(one)
        shown, _ = _watered(one, water_kg, end.temperature_c)
        rows.append((words_, shown["of_start_volume"], shown["of_final_volume"], shown["abv"]))
    columns = (
        Column("ice and tin"), Column("water, of the start volume", "%", 0),
        Column("of the final volume", "%", 0), Column("strength", "% vol", 1),
    )  # fmt: skip
    return Table("band", "dilution by the ice and the tin", columns, tuple(rows))


def _to_target(inputs: Inputs, target: float) -> Result:
    """Ice, or water in its place, to a temperature: by energy, where ice can bring it there."""
    with_ice = inputs.way == "stir"
    wet_kg = 0.01 * float(inputs.wet) * ice_given_kg(inputs) if with_ice else 0.0
    drink = drink_of(inputs, wet_kg)
    like = target if with_ice or inputs.dilute_like is None else float(inputs.dilute_like)
    melt = melt_kg(inputs, drink, min(like, drink.start_c))
    shown, errors = _watered(inputs, melt + wet_kg, target)
    point = shown["freezing_point"]
    if point is not None and target < point - 1e-9:
        coldest = (
            end_of(inputs)[1].temperature_c
            if with_ice
            else coldest_without_ice_c(inputs, drink, target)
        )
        return Result(
            coldest=coldest,
            facts={"below_freezing_k": point - target, "target_c": target, "coldest_c": coldest,
                   "way": inputs.way},
        )  # fmt: skip
    if with_ice and inputs.ice is not None and melt > 1e-3 * float(inputs.ice) - wet_kg:
        raise BadInput(
            f"{named('ice')} is {float(inputs.ice):g} g and {1000 * melt:.0f} g of it would have "
            "to melt "
            f"for {target:g} °C; take at least {2000 * melt:.0f} g.",
            "ice",
        )
    mixing = shared_drink.mixing_heat_j(drink.parts, like, melt)
    spread = 1000 * (0.03 * melt + MIXING_ERROR * abs(mixing) / heat.MELTING_J_KG)
    errors["melt" if with_ice else "water_in"] = spread
    return Result(
        **shown,
        melt=1000 * melt if with_ice else None,
        ice_left=1000 * (ice_given_kg(inputs) - wet_kg - melt) if with_ice and inputs.ice else None,
        facts={"under_iced_c": target if with_ice else -99.0, "below_freezing_k": 0.0,
               "way": inputs.way, **_facts(shown, target)},
        model_error=errors,
        working=steps(inputs, drink, melt, like, mixing),
    )  # fmt: skip


class Watered(TypedDict):
    """Values of the result on the drink with water in it."""

    product: Mixture
    end_temperature: float
    water_in: float
    water_in_volume: float
    of_start_volume: float
    of_start_mass: float
    of_final_volume: float
    mass: float
    volume: float
    freezing_point: float | None
    abv: float | None
    sugar: float | None
    acidity: float | None


def _watered(inputs: Inputs, water_kg: float, end_c: float) -> tuple[Watered, dict[str, float]]:
    """The values of the drink with so much water in it, and their stated errors."""
    start = Mixture.total(part.mixture for part in inputs.part)
    water = Mixture({"water": water_kg})
    product = start + water
    shown, errors = derived.of(product, "abv", "sugar", "acidity")
    start_ml, after_ml = (1e6 * m.volume_20_m3 for m in (start, product))
    water_ml = 1e6 * water.volume_20_m3
    values: Watered = {
        "product": product,
        "end_temperature": end_c,
        "water_in": 1000 * water_kg,
        "water_in_volume": water_ml,
        "of_start_volume": 100 * water_ml / start_ml,
        "of_start_mass": 100 * water_kg / start.mass_kg,
        "of_final_volume": 100 * water_ml / after_ml,
        "mass": 1000 * product.mass_kg,
        "volume": after_ml,
        "freezing_point": shared_drink.freezing_point_c(product),
        "abv": shown["abv"],
        "sugar": shown["sugar"],
        "acidity": shown["acidity"],
    }
    return values, errors


def _facts(shown: Watered, end_c: float) -> Facts:
    return {
        "end_c": end_c,
        "of_start_percent": shown["of_start_volume"],
        **derived.facts(shown["product"]),
    }


def _bottled(inputs: Inputs) -> Result:
    """Minutes as a wide range, and what freezes."""
    drink = drink_of(inputs, 0.0)
    place_c = PLACE_C[inputs.place]
    if inputs.place_temperature is not None:
        place_c = float(inputs.place_temperature)
    target = float(inputs.target) if inputs.target is not None else place_c + 1.0
    if not place_c < target <= drink.start_c:
        raise BadInput(
            f"A bottle goes from {drink.start_c:.1f} °C to {place_c:g} °C in a {inputs.place}. "
            f"{named('target')} is {target:g} °C; it must be between the two.",
            "target",
        )
    mixture = drink.mixture
    point = shared_drink.freezing_point_c(mixture)
    volume_ml = 1e6 * mixture.volume_20_m3
    ice_kg = shared_drink.ice_kg(mixture, place_c)
    slush = 100 * ice_kg / mixture.mass_kg
    if inputs.target is not None and point is not None and target < point - 1e-9:
        return Result(
            coldest=point,
            slush=slush,
            facts={"bottle_below_freezing_k": point - target, "target_c": target,
                   "freezing_c": point, "place_c": place_c, "slush_percent": slush},
        )  # fmt: skip
    litres = inputs.bottle / 1000.0
    rate = heat.bottle_rate_per_min(
        litres * mixture.density_kg_m3(20.0) / 1000.0,
        shared_drink.specific_heat_j_kg_k(mixture, drink.start_c, target),
        heat.BOTTLE_KG_PER_L * litres,
        heat.BOTTLE_M2_700_ML * (inputs.bottle / 700.0) ** (2.0 / 3.0),
        inputs.place,
    )
    stops_c = target if point is None else max(target, point)
    minutes = (
        log((drink.start_c - place_c) / (stops_c - place_c)) / rate if stops_c > place_c else 0
    )
    shown, errors = derived.of(mixture, "abv", "sugar", "acidity")
    return Result(
        product=mixture,
        end_temperature=stops_c,
        mass=1000 * mixture.mass_kg,
        volume=volume_ml,
        abv=shown["abv"],
        sugar=shown["sugar"],
        acidity=shown["acidity"],
        freezing_point=point,
        slush=slush if ice_kg else None,
        minutes_soon=minutes / TIME_FACTOR,
        minutes_late=minutes * TIME_FACTOR,
        facts={
            "place": inputs.place,
            "place_c": place_c,
            "freezing_c": point if point is not None else -99.0,
            "slush_percent": slush,
            "freezing_margin_k": place_c - point if point is not None else 99.0,
            **derived.facts(mixture),
        },
        model_error=errors,
        working=(
            Step(
                "time constant",
                f"heat of liquid and glass over {heat.BATHS_W_M2_K[inputs.place]:g} W/(m2 K) "
                f"assumed and the bottle's surface",
                1 / rate,
                "min",
                "PREPKIT-HEAT",
            ),
        ),
    )


def _by_cryogen(inputs: Inputs, drink: UnchilledDrink, target: float) -> Result:
    """Least and most of a cryogen, and the room; nothing without the room."""
    facts: Facts = {
        "cryogen": inputs.way,
        "product_c": target,
        "served_with_cryogen": inputs.way,
        **room_check.less("room", cold=True),
        **room_check.cold_facts(inputs.room_volume, heat.CRYOGENS[inputs.way].gas, 0.0),
    }
    if inputs.room_volume is None:
        return Result(product=drink.mixture, facts=facts)
    joules, _ = shared_drink.heat_to_remove_j(drink.mixture, drink.start_c, target)
    least, most = heat.needed_range_kg(inputs.way, joules, target)
    gas_m3 = heat.gas_m3(inputs.way, most)
    room_m3, gas = float(inputs.room_volume), heat.CRYOGENS[inputs.way].gas
    facts |= room_check.cold_facts(room_m3, gas, gas_m3)
    told = room_check.changes_h(inputs.air_changes, room_m3)
    counted = room_check.counted(told, "room")
    facts |= {"air_changes": counted, "air_changes_told": told or 0.0}
    if gas == "co2":
        facts |= room_check.at_once(None, room_m3, gas_m3, counted or 0.0)[1]
    goes_ahead = not room_check.stops(facts) and not room_check.too_little_for_cold(counted)
    return Result(
        product=drink.mixture,
        end_temperature=target if goes_ahead else None,
        cryogen_least=1000 * least if goes_ahead else None,
        cryogen_most=1000 * most if goes_ahead else None,
        freezing_point=shared_drink.freezing_point_c(drink.mixture) if goes_ahead else None,
        gas=1000 * gas_m3,
        facts=facts,
        working=(
            Step("heat to remove", f"{drink.start_c:.1f} to {target:g} °C, ice included", joules,
                 "J", "PREPKIT-HEAT"),
            Step("upper bound", "by the heat of boiling off alone", 1000 * most, "g",
                 "DRY-ICE-HEAT" if inputs.way == "dry ice" else "GAS-EOS"),
        ),
        tables=(
            Table(
                "air",
                "air of the room, all at once, no ventilation counted",
                (Column("gas"), Column("oxygen left", "%", 1), Column("carbon dioxide", "%", 2)),
                ((facts["gas_name"], facts["oxygen_percent"], facts["co2_percent"]),),
            ),
        ),
    )  # fmt: skip
