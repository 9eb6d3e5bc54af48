"""reduce: water boiled or frozen out of a liquid until a Brix, a volume or a weight is reached."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from prepkit import cautions, derived
from prepkit.calculators.reduce import balance
from prepkit.calculators.reduce.balance import Left
from prepkit.calculators.reduce.inputs import Inputs, check, wanted
from prepkit.errors import BadInput, named
from prepkit.first_screen import Figure, Screen
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import cup
from prepkit.shared import botanicals, syrup
from prepkit.shared.syrup import Store

__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]

EXAMPLE = 'prepkit reduce --liquid "1 l orange juice" --brix 45'
MOST_SPIRIT_BOILED = 0.30  # strength by volume from which nothing is worked out (judgement)
_SHOWN: tuple[derived.Name, ...] = (
    "density", "abv", "ethanol", "sugar", "dissolved_solids", "refractometer", "ph",
    "water_activity", "freezing_point", "sugar_acid_ratio",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """The mass to boil off, and the mass left."""

    screen = Screen(
        headline=(
            "Reduce to {mass}: {volume} at {dissolved_solids}.",
            "Reduce to {mass}: {volume}.",
        ),
        primary=(
            "mass",
            Figure("volume", "volume"),
            Figure("true dissolved solids", "dissolved_solids"),
            Figure("acidity, as citric", "acidity"),
            Figure("strength", "abv"),
            "left_share",
            "lost_in_ice",
        ),
        check=(Figure("refractometer", "refractometer"), Figure("density", "density"), "ph"),
        do_this=(
            "Boil off {to_boil_off} of water, until {mass} is left in the pan.",
            "Drain off {to_freeze_off} of ice.",
            "Boil off {to_leave} of water and alcohol, until {mass} is left in the pan.",
        ),
    )

    to_boil_off: float | None = output("water to boil off", "g", 0, extensive=True)
    to_freeze_off: float | None = output("ice to drain off", "g", 0, extensive=True)
    to_leave: float | None = output("liquid to boil off", "g", 0, extensive=True)
    lost_in_ice: float | None = output("liquid lost with the ice", "g", 1, extensive=True)
    mass: float | None = output("mass left", "g", 1, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 1, extensive=True)
    left_share: float | None = output("share of weight left", "%", 1)
    dissolved_solids: float | None = output("true dissolved solids", "Bx", 2)
    refractometer: float | None = output("expected refractometer reading (20 °C)", "Bx", 1)
    sugar: float | None = output("sugars", "% w/w", 2)
    sugar_g_l: float | None = output("sugars in the volume", "g/l", 0)
    acidity_before: float | None = output("titratable acidity before, as citric", "% w/w", 2)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    acidity_g_l: float | None = output("titratable acidity, as citric", "g/l", 1)
    sugar_acid_ratio: float | None = output("sugar to acid", "", 1)
    ph: float | None = output("pH", "", 2)
    abv: float | None = output("strength at 20 °C", "% vol", 2)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    supersaturation_fridge: float | None = output("sucrose saturation, fridge", "", 2)
    supersaturation_room: float | None = output("sucrose saturation, room", "", 2)
    viscosity_fridge: float | None = output("viscosity, fridge", "mPa s", 0)
    water_activity: float | None = output("water activity at 25 °C", "", 3)
    freezing_point: float | None = output("freezing point", "C", 1)
    inverted: float | None = output("sucrose split, lower bound", "%", 1)
    inverted_most: float | None = output("sucrose split, upper bound", "%", 1)


def compute(inputs: Inputs) -> Result:
    """Refuse, or find the water that must go; then what is left."""
    refusal = botanicals.refusal(inputs.liquid)
    if refusal:
        return Result(facts=refusal)
    start = Mixture.total(part.mixture for part in inputs.liquid)
    check(inputs, start)
    if inputs.method == "boil" and start.ethanol_kg:
        if start.abv >= MOST_SPIRIT_BOILED:
            return Result(facts={"boil_abv": 100 * start.abv})
        return _with_alcohol(inputs, start)
    ice_solids = float(inputs.ice_brix) / 100 if inputs.ice_brix is not None else 0.0
    left = balance.less_water(start, balance.water_to_go_kg(inputs, start, ice_solids), ice_solids)
    if not left.product.mass_kg:
        raise BadInput(
            f"{named('ice_brix')} is {100 * ice_solids:g} Bx: so much clings to the ice that "
            "nothing is left; drain it better, or freeze less out.",
            "ice_brix",
        )
    return _result(inputs, start, left)


def _result(inputs: Inputs, start: Mixture, left: Left) -> Result:
    boil = inputs.method == "boil"
    product = balance.heated(left.product) if boil else left.product
    shown, error = derived.of(product, *_SHOWN)
    volume_m3 = product.volume_20_m3
    over_fridge = syrup.supersaturation(product, float(inputs.fridge))
    over_room = syrup.supersaturation(product, float(inputs.room))
    split = _split_percent(inputs, start) if boil else Split(None, None)
    return Result(
        density=shown["density"],
        abv=shown["abv"],
        ethanol=shown["ethanol"],
        sugar=shown["sugar"],
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        ph=shown["ph"],
        water_activity=shown["water_activity"],
        freezing_point=shown["freezing_point"],
        sugar_acid_ratio=shown["sugar_acid_ratio"],
        volume=1e6 * volume_m3,
        supersaturation_fridge=over_fridge,
        supersaturation_room=over_room,
        product=product,
        to_boil_off=1000 * left.water_kg if boil else None,
        to_freeze_off=None if boil else 1000 * left.removed_kg,
        lost_in_ice=1000 * left.lost.mass_kg if inputs.ice_brix is not None else None,
        mass=1000 * product.mass_kg,
        left_share=100 * product.mass_kg / start.mass_kg,
        sugar_g_l=product.of(*SUGARS) / volume_m3,
        acidity_before=100 * start.acidity_as_citric or None,
        acidity=100 * product.acidity_as_citric or None,
        acidity_g_l=product.acidity_as_citric * product.mass_kg / volume_m3 or None,
        viscosity_fridge=syrup.viscosity_mpa_s(product, float(inputs.fridge)),
        inverted=split.least,
        inverted_most=split.most,
        model_error=error,
        facts=_facts(inputs, start, product, (over_fridge, over_room), split),
        working=tuple(_steps(inputs, start, left)),
        tables=(_on_the_way(start, left),),
    )


def _with_alcohol(inputs: Inputs, start: Mixture) -> Result:
    """Boiled with alcohol in it: the weight to stop at, and nothing that depends on the alcohol."""
    aim = wanted(inputs)
    if aim.name == "volume":
        raise BadInput(
            f"{named('volume')} depends on the alcohol that boils off, which is not known. Give "
            f"{named('mass')} and weigh the pan, or {named('brix')}.",
            "volume",
        )
    solids = balance.solids_kg(start)
    kept_out = start.mass_kg - start.solution_kg
    mass = aim.amount if aim.name == "mass" else solids / aim.amount + kept_out
    least = solids / balance.MOST_SOLIDS_BOILED + kept_out
    if mass <= least or mass <= 0.0:
        raise BadInput(
            f"{named(aim.name)} {aim.said.words()} cannot be reached: at {1000 * least:.0f} g "
            f"it would be all solids and hardly any water; ask for less.",
            aim.name,
        )
    factor = start.mass_kg / mass
    return Result(
        to_leave=1000 * (start.mass_kg - mass),
        mass=1000 * mass,
        left_share=100 / factor,
        dissolved_solids=100 * solids / (mass - kept_out),
        sugar=100 * start.sugar * factor,
        acidity_before=100 * start.acidity_as_citric or None,
        acidity=100 * start.acidity_as_citric * factor or None,
        facts=_facts_with_alcohol(start, solids / (mass - kept_out)),
        working=tuple(_steps_with_alcohol(start, mass, solids)),
        tables=(_retained(),),
    )


# what is judged and shown

_OF_ALCOHOL = ("abv_percent", "ethanol_g")


def _ph(inputs: Inputs, start: Mixture) -> float | None:
    if inputs.measured_ph is not None:
        return float(inputs.measured_ph)
    try:
        return start.ph.value
    except BadInput:
        return None


class Split(NamedTuple):
    """Sucrose that acid splits on the heat, %: least and most; None where it is not known."""

    least: float | None
    most: float | None


def _split_percent(inputs: Inputs, start: Mixture) -> Split:
    """As rich and sour as at the start."""
    if inputs.time is None:
        return Split(None, None)
    days = float(inputs.time) / 1440
    ph = _ph(inputs, start)
    store = Store(
        float(inputs.fridge), float(inputs.room), days, ph, inputs.measured_ph is not None
    )
    return Split(*syrup.split_percent(start, store, float(inputs.heat)))


def _facts(
    inputs: Inputs,
    start: Mixture,
    product: Mixture,
    over: tuple[float | None, float | None],
    split: Split,
) -> dict[str, object]:
    """For the caution rules; `over`: supersaturation in the fridge and in the room."""
    solids = 100 * product.dissolved_solids
    known: dict[str, object] = {
        **derived.facts(product),
        "supersaturation_fridge": over[0],
        "supersaturation_room": over[1],
        "fridge_c": float(inputs.fridge),
        "room_c": float(inputs.room),
        "crystals_estimated": product.of("glucose", "fructose", "maltose", "other_solubles",
                                         "ethanol") > 0.01 * product.of("sucrose"),
        "acidity_times": _times(start, product),
        "acidity_percent": 100 * product.acidity_as_citric,
    }  # fmt: skip
    if inputs.method == "boil":
        known |= {
            "boil_solids": solids,
            "boil_keeps": product.keeps,
            "boil_tags": product.tags,
            "inverted_least": split.least,
            "inverted_most": split.most,
        }
        if inputs.time is not None:
            known |= {"boiled_min": float(inputs.time), "boiled_c": float(inputs.heat)}
    else:
        known |= {"frozen_abv": 100 * product.abv, "frozen_abv_before": 100 * start.abv}
        if inputs.ice_brix is None:
            known["ice_brix"] = None
        point = derived.of(product, "freezing_point")[0]["freezing_point"]
        if point is not None:
            known |= {
                "ice_ends_c": point,
                "freezer_c": float(inputs.freezer),
                "freezer_short_k": float(inputs.freezer) - point,
            }
    return {k: v for k, v in known.items() if v is not None or k == "ice_brix"}


def _facts_with_alcohol(start: Mixture, solids: float) -> dict[str, object]:
    """The facts of a boil with alcohol: what the start brings, and no strength of what is left."""
    known = {k: v for k, v in cautions.about(start).items() if k not in _OF_ALCOHOL}
    return known | {
        "boil_abv": 100 * start.abv,
        "boil_solids": 100 * solids,
        "boil_keeps": start.keeps,
        "boil_tags": start.tags,
    }


def _times(start: Mixture, product: Mixture) -> float:
    before = start.acidity_as_citric
    return product.acidity_as_citric / before if before > 1e-4 else 1.0


def _on_the_way(start: Mixture, left: Left) -> Table:
    """Readings between start and end, to see how far it is."""
    rows: list[tuple[str | float | None, ...]] = []
    for quarter in range(5):
        share = quarter / 4
        ice = left.lost.mass_kg / left.product.mass_kg if left.product.mass_kg else 0.0
        now = balance.less_water(start, share * left.water_kg).product
        now = now.scaled(1.0 - share * ice / (1.0 + ice))
        seen, _ = derived.of(now, "volume", "dissolved_solids", "refractometer", "acidity", "abv")
        rows.append((f"{100 * share:g} % of the water gone", 1000 * now.mass_kg, *seen.values()))
    columns = [
        Column("how far"), Column("left", "g", 0), Column("volume at 20 °C", "ml", 0),
        Column("true solids", "Bx", 1), Column("refractometer", "Bx", 1),
        Column("acidity", "% w/w", 2), Column("strength", "% vol", 1),
    ]  # fmt: skip
    if not start.ethanol_kg:
        columns, rows = columns[:-1], [row[:-1] for row in rows]
    return Table("way", "on the way there", tuple(columns), tuple(rows))


def _retained() -> Table:
    """Published shares of alcohol that were left in cooked dishes: for orientation only."""
    rows = tuple((how, 100 * share) for how, share in cup.RETAINED.items())
    columns = (Column("how it was cooked"), Column("alcohol left", "%", 0))
    return Table("retained", "alcohol left in other dishes, for orientation", columns, rows)


def _steps(inputs: Inputs, start: Mixture, left: Left) -> list[Step]:
    """The working, as on a board."""
    product = left.product
    solids_g, liquid_g = 1000 * balance.solids_kg(start), 1000 * start.solution_kg
    total = " + ".join(f"{1000 * part.mass_kg:.1f} g {part.name}" for part in inputs.liquid)
    found = [
        Step("liquid", total, 1000 * start.mass_kg, "g"),
        Step("dissolved solids", f"{solids_g:.2f} g in {liquid_g:.1f} g",
             100 * start.dissolved_solids, "Bx", "DEFINITION"),
    ]  # fmt: skip
    if inputs.brix is not None:
        found.append(
            Step("water to go", f"{liquid_g:.1f} g - {solids_g:.2f} g / {float(inputs.brix):g} %",
                 1000 * left.water_kg, "g", "DEFINITION")
        )  # fmt: skip
    else:
        said = "so that the weight" if inputs.mass is not None else "so that the volume at 20 °C"
        found.append(
            Step("water to go", f"{said} of what is left is as wanted", 1000 * left.water_kg, "g",
                 "DEFINITION")
        )  # fmt: skip
    if left.lost.mass_kg and inputs.ice_brix is not None:
        clings = float(inputs.ice_brix) / (100 * product.dissolved_solids)
        found.append(
            Step("clings to the ice", f"{float(inputs.ice_brix):g} / "
                 f"{100 * product.dissolved_solids:.2f} Bx of {1000 * left.removed_kg:.1f} g ice, "
                 f"taken as the liquid that is left: {100 * clings:.1f} %",
                 1000 * left.lost.mass_kg, "g", "DEFINITION")
        )  # fmt: skip
    found.append(
        Step("volume", f"{1000 * product.mass_kg:.1f} g / "
             f"{product.density_kg_m3() / 1000:.4f} g/ml", 1e6 * product.volume_20_m3, "ml",
             "PREPKIT-SOLUTION")
    )  # fmt: skip
    if start.acidity_as_citric > 1e-5:
        found.append(
            Step("acidity", f"all acid stays: {100 * start.acidity_as_citric:.3f} % x "
                 f"{1000 * start.mass_kg:.1f} g / {1000 * product.mass_kg:.1f} g",
                 100 * product.acidity_as_citric, "% w/w", "DEFINITION")
        )  # fmt: skip
    found += syrup.crystal_steps(product, inputs.fridge, inputs.room)
    if inputs.time is not None and _split_percent(inputs, start).least is None:
        found.append(
            Step("sugar split by acid", "not shown: it needs sucrose and a pH from 2 to 5")
        )
    refused = derived.refusals(
        product, "density", "ph", "refractometer", "water_activity", "freezing_point"
    )
    return found + [Step(k.replace("_", " "), f"not shown: {why}") for k, why in refused.items()]


def _steps_with_alcohol(start: Mixture, mass_kg: float, solids_kg: float) -> list[Step]:
    """The working where the alcohol that is left is not known."""
    out_kg = start.mass_kg - start.solution_kg
    return [
        Step("dissolved solids", f"{1000 * solids_kg:.2f} g in {1000 * start.solution_kg:.1f} g",
             100 * start.dissolved_solids, "Bx", "DEFINITION"),
        Step("weight to stop at", f"{1000 * solids_kg:.2f} g / "
             f"{100 * solids_kg / (mass_kg - out_kg):.2f} %, whatever of it is alcohol",
             1000 * mass_kg, "g", "DEFINITION"),
        Step("strength, volume, density, readings, crystals",
             "not shown: they depend on the alcohol left, which cannot be worked out"),
        Step("alcohol left in other dishes", "5 to 85 % by how they were cooked: for orientation, "
             "a pan of another shape leaves another share", None, "", "USDA-RETENTION-6"),
    ]  # fmt: skip
