"""chill: with ice to a temperature or to the end, without ice, in a bottle, or with a cryogen."""

from __future__ import annotations

from dataclasses import dataclass
from math import log
from typing import TypedDict

from prepkit import derived
from prepkit.calculators.chill.balance import (
    Drink,
    coldest_without_ice_c,
    drink_of,
    end_of,
    ice_given_kg,
    melt_kg,
    refuse_unused,
    steps,
)
from prepkit.calculators.chill.inputs import PLACE_C, Inputs
from prepkit.errors import BadInput, named
from prepkit.first_screen import Figure, Screen
from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import cryogen, cup, ice
from prepkit.shared import cold, fresh_air, places, room_check, room_limits

EXAMPLE = (
    'prepkit chill --part "60 ml spirit 40 %" --part "22 ml lemon juice" '
    '--part "22 ml simple syrup 50 Bx" --way shake'
)
MIXING_ERROR = 0.15  # of the heat of mixing
TIME_FACTOR = 2.0  # either way


@dataclass(frozen=True, kw_only=True)
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
    coldest: float | None = output("lowest temperature possible", "C", 1)
    slush: float | None = output("share frozen at that place", "% w/w", 0)
    minutes_soon: float | None = output("time, earliest", "min", 0)
    minutes_late: float | None = output("time, latest", "min", 0)
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
    if inputs.way in cryogen.CRYOGENS:
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
    mixing = cold.mixing_heat_j(drink.parts, end.temperature_c, end.melt_kg)
    errors["end_temperature"] = 0.5
    errors["melt"] = 1000 * (0.03 * end.melt_kg + MIXING_ERROR * abs(mixing) / ice.MELTING_J_KG)
    facts = {
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
    for words, wet, tin in (
        ("ice without water on it, cold tin", 0.0, 0.0),
        (f"{BAR_WET_PERCENT:g} % water on the ice, cold tin", BAR_WET_PERCENT, 0.0),
        (f"the same, {BAR_TIN_G:g} g of warm steel", BAR_WET_PERCENT, BAR_TIN_G),
    ):
        one = inputs.replaced(wet=wet, tin=tin)
        _, end = end_of(one)
        water_kg = end.melt_kg + 0.01 * wet * ice_given_kg(one)
        shown, _ = _watered(one, water_kg, end.temperature_c)
        rows.append((words, shown["of_start_volume"], shown["of_final_volume"], shown["abv"]))
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
    mixing = cold.mixing_heat_j(drink.parts, like, melt)
    spread = 1000 * (0.03 * melt + MIXING_ERROR * abs(mixing) / ice.MELTING_J_KG)
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
        "freezing_point": cold.freezing_point_c(product),
        "abv": shown["abv"],
        "sugar": shown["sugar"],
        "acidity": shown["acidity"],
    }
    return values, errors


def _facts(shown: Watered, end_c: float) -> dict[str, object]:
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
    point = cold.freezing_point_c(mixture)
    volume_ml = 1e6 * mixture.volume_20_m3
    ice_kg = cold.ice_kg(mixture, place_c)
    slush = 100 * ice_kg / mixture.mass_kg
    if inputs.target is not None and point is not None and target < point - 1e-9:
        return Result(
            coldest=point,
            slush=slush,
            facts={"bottle_below_freezing_k": point - target, "target_c": target,
                   "freezing_c": point, "place_c": place_c, "slush_percent": slush},
        )  # fmt: skip
    litres = inputs.bottle / 1000.0
    rate = cup.bottle_rate_per_min(
        litres * mixture.density_kg_m3(20.0) / 1000.0,
        cold.specific_heat_j_kg_k(mixture, drink.start_c, target),
        cup.BOTTLE_KG_PER_L * litres,
        cup.BOTTLE_M2_700_ML * (inputs.bottle / 700.0) ** (2.0 / 3.0),
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
                f"heat of liquid and glass over {cup.BATHS_W_M2_K[inputs.place]:g} W/(m2 K) "
                f"assumed and the bottle's surface",
                1 / rate,
                "min",
                "PREPKIT-HEAT",
            ),
        ),
    )


def _by_cryogen(inputs: Inputs, drink: Drink, target: float) -> Result:
    """Least and most of a cryogen, and the room; nothing without the room."""
    facts = {
        "cryogen": inputs.way,
        "product_c": target,
        "served_with_cryogen": inputs.way,
        **places.less("room", cold=True),
        **room_check.cold_facts(inputs.room_volume, cryogen.CRYOGENS[inputs.way].gas, 0.0),
    }
    if inputs.room_volume is None:
        return Result(product=drink.mixture, facts=facts)
    joules, _ = cold.heat_to_remove_j(drink.mixture, drink.start_c, target)
    least, most = cryogen.needed_range_kg(inputs.way, joules, target)
    gas_m3 = cryogen.gas_m3(inputs.way, most)
    room_m3, gas = float(inputs.room_volume), cryogen.CRYOGENS[inputs.way].gas
    facts |= room_check.cold_facts(room_m3, gas, gas_m3)
    told = fresh_air.changes_h(inputs.air_changes, room_m3)
    counted = fresh_air.counted(told, "room")
    facts |= {"air_changes": counted, "air_changes_told": told or 0.0}
    if gas == "co2":
        facts |= room_limits.at_once(None, room_m3, gas_m3, counted or 0.0)[1]
    goes_ahead = not room_check.stops(facts) and not fresh_air.too_little_for_cold(counted)
    return Result(
        product=drink.mixture,
        end_temperature=target if goes_ahead else None,
        cryogen_least=1000 * least if goes_ahead else None,
        cryogen_most=1000 * most if goes_ahead else None,
        freezing_point=cold.freezing_point_c(drink.mixture) if goes_ahead else None,
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
