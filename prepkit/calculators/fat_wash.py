"""fat-wash: fat shaken into spirit, set by cold, taken off: strength, yield, what stays behind."""

from __future__ import annotations

import math
from typing import NamedTuple

from prepkit import cautions, derived
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.ingredient import FREE_FAT, Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, flag, parts, quantity
from prepkit.mixture import Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import ethanol, infusion
from prepkit.science.infusion import Ends
from prepkit.shared.syrup import INSOLUBLE
from prepkit.units import Measured

__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]

EXAMPLE = (
    'prepkit fat-wash --spirit "700 ml spirit 40 %" --fat "100 g butter" --temperature "-18 C"'
)
_FAT = ("fat", "milk_fat")
LEAST_FAT = 0.03  # of the fat's weight: with less there is nothing to wash with
WET = 0.30  # water from here on: cream or coconut milk, an emulsion
SOLID_PROTEIN = 0.05  # protein and fibre from here on: a nut butter, which holds more spirit
#: Fats whose setting is known, by what their names hold; milk fat is known by itself
_KINDS = (("coconut", "coconut"), ("lard", "lard"), ("bacon", "lard"))
_PORK = ("lard", "bacon", "pork")
_RANCID_SOON = ("nuts", "peanuts", "sesame")  # by allergen; sunflower has none
# if not entered: the most ethanol goes into the fat, the most vapour off
_MIXED_C = infusion.HOTTEST_C


class Inputs(BaseInputs):
    """What is washed with what, how cold it is set, and what was weighed."""

    groups = (
        ("Most needed", "spirit fat temperature washed fat_out"),
        ("Conditions", "mixed_at browned gas"),
    )

    spirit: tuple[Part, ...] = parts(
        "the spirit", "Rum, gin, whisky. One entry for each.", "700 ml spirit 40 %"
    )
    fat: tuple[Part, ...] = parts(
        "the fat", "Butter, oil, bacon fat, nut butter, cream, coconut milk; as bought.",
        "100 g butter",
    )  # fmt: skip
    temperature: Measured = quantity(
        "C", "temperature of setting", "How cold it is when the fat is taken off.", "-18 C",
        low=-40, high=30, because="a freezer, a refrigerator or a cool room",
    )  # fmt: skip
    mixed_at: Measured | None = quantity(
        "C", "temperature as mixed", "Spirit and fat together. 60 °C is counted if left out.",
        "35 C", default=None, low=0, high=60, because="hotter spirit gives off too much vapour",
    )  # fmt: skip
    washed: Measured | None = quantity(
        "g", "washed spirit, weighed", "All that ran through the filter: the surest figure.",
        "600 g", default=None, above=0, high=1e7, because="a batch of at most ten tonnes",
        extensive=True,
    )  # fmt: skip
    fat_out: Measured | None = quantity(
        "g", "fat taken off, weighed", "The fat with what it holds, from jar and filter.",
        "110 g", default=None, above=0, high=1e7, because="a batch of at most ten tonnes",
        extensive=True,
    )  # fmt: skip
    browned: bool = flag("browned", "The fat was cooked first until all of its water was gone.")
    gas: str | None = choice(("n2o", "co2"), "gas", "Refused: no fat goes under gas.", default=None)


class Result(BaseResult):
    """The washed spirit, what the fat holds back, and how well the fat sets."""

    screen = Screen(
        headline=("{volume} at {abv} after the wash.", "{mass} after the wash."),
        primary=(
            "volume",
            "abv",
            Figure("spirit lost in the fat", "lost"),
            Figure("water from the fat", "water"),
            Figure("ethanol left in the fat", "ethanol_low", "ethanol_high"),
            Figure("fat that is solid", "solid_low", "solid_high"),
        ),
        check=("mass", Figure("density", "density")),
        do_this=("Filter it cold. Weigh what runs through.",),
        weigh="weigh",
    )

    mass: float | None = output("washed spirit", "g", 0, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 0, extensive=True)
    abv: float | None = output("strength (20 °C)", "% vol", 1)
    abv_low: float | None = output("least strength", "% vol", 1, limit="most")
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    lost: float | None = output("spirit lost in the fat", "g", 0, extensive=True)
    lost_share: float | None = output("spirit lost, share", "%", 0)
    water: float | None = output("water from the fat", "g", 1, extensive=True)
    fat_in: float | None = output("fat put in", "g", 1, extensive=True)
    off: float | None = output("fat taken off", "g", 0, extensive=True)
    ethanol_low: float | None = output(
        "fat ethanol, lower bound", "g", 1, extensive=True, limit="most"
    )
    ethanol_high: float | None = output(
        "fat ethanol, upper bound", "g", 1, extensive=True, limit="least"
    )
    solid_low: float | None = output("solid share, lower bound", "%", 0, limit="most")
    solid_high: float | None = output("solid share, upper bound", "%", 0, limit="least")
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    freezing_point: float | None = output("freezing point", "C", 1)


class _Wash(NamedTuple):
    """The balance before anything is lost."""

    poured: Mixture
    fat: Mixture  # as it goes in, after browning
    boiled_kg: float
    out: Mixture  # what the filter holds of it
    liquid: Mixture  # what could run through
    solid: Ends | None  # share of the fat; None where it is not known
    ethanol_kg: Ends | None


def compute(inputs: Inputs) -> Result:
    """Refuse gas, mix, set, strain; then what ran through and what it cost."""
    if inputs.gas is not None:
        name = "nitrous oxide" if inputs.gas == "n2o" else "carbon dioxide"
        whole = Mixture.total(part.mixture for part in (*inputs.spirit, *inputs.fat))
        return Result(facts={**cautions.about(whole), "wash_gas": name, "wash_gas_count": 1})
    _check(inputs)
    wash = _wash(inputs)
    kept = _kept_kg(inputs, wash)
    taken_kg = 0.5 * (kept.low + kept.high)
    product = wash.liquid.of_mass(wash.liquid.mass_kg - taken_kg)
    shown, error = derived.of(product, "volume", "abv", "ethanol", "density", "freezing_point")
    abv_low = None
    if wash.ethanol_kg is not None:
        drawn = wash.liquid.without({"ethanol": wash.ethanol_kg.high})
        abv_low = derived.of(drawn, "abv")[0]["abv"]
    half_kg = 0.5 * (kept.high - kept.low)
    if half_kg:
        share = half_kg / product.mass_kg
        error |= {"mass": 1000 * half_kg, "lost": 1000 * half_kg, "off": 1000 * half_kg,
                  "lost_share": 100 * half_kg / wash.liquid.mass_kg}  # fmt: skip
        if shown["volume"] is not None:
            error["volume"] = shown["volume"] * share
        if shown["ethanol"] is not None:
            error["ethanol"] = shown["ethanol"] * share
    if abv_low is not None and shown["abv"] is not None:
        error["abv"] = max(0.0, shown["abv"] - abv_low)
    solid, drawn_kg = wash.solid, wash.ethanol_kg
    return Result(
        product=product,
        mass=1000 * product.mass_kg,
        volume=shown["volume"],
        abv=shown["abv"],
        abv_low=abv_low,
        ethanol=shown["ethanol"],
        lost=1000 * taken_kg,
        lost_share=100 * taken_kg / wash.liquid.mass_kg,
        water=1000 * (wash.fat.of("water") - wash.out.of("water")),
        fat_in=1000 * wash.fat.of(*_FAT),
        off=1000 * (wash.out.mass_kg + taken_kg),
        ethanol_low=None if drawn_kg is None else 1000 * drawn_kg.low,
        ethanol_high=None if drawn_kg is None else 1000 * drawn_kg.high,
        solid_low=None if solid is None else 100 * solid.low,
        solid_high=None if solid is None else 100 * solid.high,
        density=shown["density"],
        freezing_point=shown["freezing_point"],
        model_error=error,
        facts={
            **_facts(inputs, wash, product, shown["freezing_point"]),
            "wash_weakest_percent": shown["abv"] if abv_low is None else abv_low,
        },
        tables=(_weigh(inputs),),
        working=tuple(_steps(inputs, wash, product, kept)),
    )


def _check(inputs: Inputs) -> None:
    """BadInput for what contradicts itself, and where there is nothing to wash or to wash with."""
    poured = Mixture.total(part.mixture for part in inputs.spirit)
    if not poured.mass_kg:
        raise BadInput(
            f"{named('spirit')} amounts to 0; write for example 700 ml spirit 40 %.", "spirit"
        )
    if FREE_FAT in poured.tags or poured.fraction("ethanol") < 0.004:
        raise BadInput(
            f"{named('spirit')} is no spirit; give it with its strength, such as 700 ml spirit "
            "40 %, and the fat by itself.",
            "spirit",
        )
    if not math.fsum(part.mass_kg for part in inputs.fat):
        raise BadInput(f"{named('fat')} amounts to 0; write for example 100 g butter.", "fat")
    for one in inputs.fat:
        if one.mass_kg and one.mixture.fraction(*_FAT) < LEAST_FAT:
            raise BadInput(
                f"{named('fat', one.words)} is {100 * one.mixture.fraction(*_FAT):.1f} % fat; give "
                f"what is at least {100 * LEAST_FAT:g} % fat, such as 100 g butter.",
                "fat",
            )
    if inputs.washed is not None and inputs.fat_out is not None:
        raise BadInput(
            f"{named('washed')} and {named('fat_out')} each give the loss; give one of them.",
            "washed",
        )
    mixed = inputs.mixed_at
    if mixed is not None and float(mixed) < float(inputs.temperature):
        raise BadInput(
            f"{named('mixed_at')} is {float(mixed):g} C, colder than the "
            f"{float(inputs.temperature):g} C at which it sets; fat is mixed in warm and set cold.",
            "mixed_at",
        )


def _wash(inputs: Inputs) -> _Wash:
    poured = Mixture.total(part.mixture for part in inputs.spirit)
    bought = Mixture.total(part.mixture for part in inputs.fat)
    boiled_kg = bought.of("water") if inputs.browned else 0.0
    put_in = bought.without({"water": boiled_kg})
    gone = {name: put_in.of(name) for name in put_in.masses_kg if name in INSOLUBLE}
    if inputs.browned:  # without its water all the rest is brown and insoluble
        gone = dict(put_in.masses_kg)
    out = Mixture(gone, put_in.allergens, put_in.tags, put_in.keeps)
    liquid = poured + put_in.without(gone)
    solid = _solid(inputs)
    ends = None
    strength = (derived.of(liquid, "abv")[0]["abv"] or 0.0) / 100
    if infusion.LEAST_ABV <= strength <= infusion.MOST_ABV:
        fraction, fat_kg = liquid.fraction("ethanol"), put_in.of(*_FAT)
        mixed_c = _mixed_c(inputs)
        cold, warm = (
            infusion.partition(strength, at) for at in (float(inputs.temperature), mixed_c)
        )
        least_liquid = 0.0 if solid is None else 1.0 - solid.high
        ends = Ends(
            infusion.ethanol_in_fat_kg(fat_kg * least_liquid, fraction, cold.low),
            # all of it was liquid, and what it took up may freeze in
            infusion.ethanol_in_fat_kg(fat_kg, fraction, max(cold.high, warm.high)),
        )
    return _Wash(poured, put_in, boiled_kg, out, liquid, solid, ends)


def _mixed_c(inputs: Inputs) -> float:
    return _MIXED_C if inputs.mixed_at is None else float(inputs.mixed_at)


def _rancid_soon(part: Part) -> bool:
    """An oil of nuts or seeds, by its allergen or its name."""
    kinds = {allergen.partition(":")[0] for allergen in part.mixture.allergens}
    return not kinds.isdisjoint(_RANCID_SOON) or "sunflower" in part.name.lower()


def _kind(part: Part) -> str | None:
    """Whose setting it has, or None where that is not known."""
    if part.mixture.of("milk_fat") > 0.5 * part.mixture.of(*_FAT):
        return "milk"
    return next((kind for word, kind in _KINDS if word in part.name.lower()), None)


def _solid(inputs: Inputs) -> Ends | None:
    """Solid share of all the fat, each kind by itself; None where one kind is not known."""
    low = high = total = 0.0
    for part in inputs.fat:
        fat_kg, kind = part.mixture.of(*_FAT), _kind(part)
        if not fat_kg:
            continue
        if kind is None:
            return None
        ends = infusion.solid_share(kind, float(inputs.temperature))
        low, high, total = low + fat_kg * ends.low, high + fat_kg * ends.high, total + fat_kg
    return Ends(low / total, high / total)


def _band(inputs: Inputs) -> Ends:
    """The trade's band of what is held back, by the worst of what went in."""
    bands = [infusion.KEPT_BY_FAT]
    for part in inputs.fat:
        mixture = part.mixture
        if not mixture.mass_kg:
            continue
        if mixture.fraction("water") >= WET:
            bands.append(infusion.KEPT_BY_EMULSION)
        elif mixture.fraction("protein", "fibre") >= SOLID_PROTEIN:
            bands.append(infusion.KEPT_BY_SOLIDS)
    if infusion.KEPT_BY_EMULSION in bands:
        return infusion.KEPT_BY_EMULSION
    return bands[-1]


def _kept_kg(inputs: Inputs, wash: _Wash) -> Ends:
    """Spirit that stays in the fat and on the walls: weighed, or the trade's band."""
    liquid_g = 1000 * wash.liquid.mass_kg
    if inputs.washed is not None:
        washed_g = float(inputs.washed)
        if washed_g > liquid_g:
            raise BadInput(
                f"{named('washed')} is {washed_g:g} g; spirit and water of the fat are "
                f"{liquid_g:.1f} g, and no more can run through.",
                "washed",
            )
        return Ends(*(2 * ((liquid_g - washed_g) / 1000,)))
    if inputs.fat_out is not None:
        fat_out_g, out_g = float(inputs.fat_out), 1000 * wash.out.mass_kg
        if not out_g <= fat_out_g < out_g + liquid_g:
            raise BadInput(
                f"{named('fat_out')} is {fat_out_g:g} g; fat and solids alone are {out_g:.1f} g, "
                f"and all together is {out_g + liquid_g:.1f} g; weigh all of the fat again.",
                "fat_out",
            )
        return Ends(*(2 * ((fat_out_g - out_g) / 1000,)))
    band = _band(inputs)
    return Ends(band.low * wash.liquid.mass_kg, band.high * wash.liquid.mass_kg)


def _facts(inputs: Inputs, wash: _Wash, product: Mixture, freezing_c: float | None) -> Facts:
    """What the caution rules judge."""
    names = " ".join(part.name.lower() for part in inputs.fat if part.mass_kg)
    cold_c = float(inputs.temperature)
    weighed = inputs.washed is not None or inputs.fat_out is not None
    band = _band(inputs)
    found: Facts = {
        **derived.facts(product),
        "ph": derived.facts(product).get("ph"),
        "poured_abv": 100 * wash.poured.abv,
        "mix_c": _mixed_c(inputs),
        "over_flash_k": ethanol.over_flash_k(wash.poured.abv, _mixed_c(inputs)),
        "wash_cold_c": cold_c,
        "wash_solid_percent": None if wash.solid is None else 100 * wash.solid.high,
        "wash_weighed": 1 if weighed else None,
        "wash_least_percent": 100 * band.low,
        "wash_most_percent": 100 * band.high,
        "wash_water_g": 1000 * (wash.fat.of("water") - wash.out.of("water")),
        "wash_abv_percent": derived.of(product, "abv")[0]["abv"],
        "wash_allergen_count": len(wash.out.allergens),
        "wash_allergens": cautions.about(wash.fat)["allergen_list"],
        "wash_emulsion_count": sum(part.mixture.fraction("water") >= WET for part in inputs.fat),
        "wash_pork_count": sum(word in names for word in _PORK),
        "wash_rancid_count": len(
            [part for part in inputs.fat if part.mass_kg and _rancid_soon(part)]
        ),
    }
    if freezing_c is not None:
        found["wash_frozen_k"] = freezing_c - cold_c
    return found


def _weigh(inputs: Inputs) -> Table:
    rows: list[tuple[str | float | None, ...]] = [
        (part.name, 1000 * part.mass_kg, derived.volume_ml(part.mixture), "washed")
        for part in inputs.spirit
    ]
    how = "browned until dry, taken off cold" if inputs.browned else "taken off cold"
    rows += [(part.name, 1000 * part.mass_kg, None, how) for part in inputs.fat]
    columns = (
        Column("part"), Column("mass", "g", 1), Column("volume at 20 °C", "ml", 0), Column("what"),
    )  # fmt: skip
    return Table("weigh", "weigh", columns, tuple(rows))


def _steps(inputs: Inputs, wash: _Wash, product: Mixture, kept: Ends) -> list[Step]:
    """The working, as on a board."""
    fat_g = 1000 * wash.fat.of(*_FAT)
    liquid_g, taken_g = 1000 * wash.liquid.mass_kg, 500 * (kept.low + kept.high)
    into_g = liquid_g - 1000 * wash.poured.mass_kg
    found = [
        Step("fat put in", " + ".join(f"{1000 * one.mass_kg:.1f} g {one.name}, "
             f"{100 * one.mixture.fraction(*_FAT):.1f} % fat" for one in inputs.fat), fat_g, "g",
             inputs.fat[0].ingredient.source),
    ]  # fmt: skip
    if inputs.browned:
        found.append(Step("boiled off", "all the water of the fat", 1000 * wash.boiled_kg, "g",
                          "DEFINITION"))  # fmt: skip
    found += [
        Step("from the fat into the spirit", f"its water "
             f"{1000 * (wash.fat.of('water') - wash.out.of('water')):.1f} g and what dissolves "
             "in it", into_g, "g", "DEFINITION"),
        Step("stays in the filter", "fat, protein and fibre", 1000 * wash.out.mass_kg, "g",
             "DEFINITION"),
    ]  # fmt: skip
    if inputs.washed is not None:
        found.append(Step("spirit lost", f"{liquid_g:.1f} g - {float(inputs.washed):g} g weighed",
                          taken_g, "g", "DEFINITION"))  # fmt: skip
    elif inputs.fat_out is not None:
        said = f"{float(inputs.fat_out):g} g weighed - {1000 * wash.out.mass_kg:.1f} g"
        found.append(Step("spirit lost", said, taken_g, "g", "DEFINITION"))
    else:
        band = _band(inputs)
        found.append(Step("spirit lost", f"{liquid_g:.1f} g x {100 * band.low:g} to "
                          f"{100 * band.high:g} %, the middle", taken_g, "g",
                          "FAT-WASH-PRACTICE"))  # fmt: skip
    found += [
        Step("washed spirit", f"{liquid_g:.1f} g - {taken_g:.1f} g", 1000 * product.mass_kg, "g",
             "DEFINITION"),
        Step("strength", f"{1000 * product.ethanol_kg:.1f} g / {ethanol.PURE_G_ML_WORDS} / "
             f"{derived.volume_ml(product) or 0.0:.1f} ml; no ethanol in the fat",
             derived.of(product, "abv")[0]["abv"], "% vol", "PREPKIT-SOLUTION"),
        Step("fat dissolved in the spirit", "next to none in 40 % vol; what clouds it is droplets",
             source="OILS-IN-ALCOHOL-1959"),
    ]  # fmt: skip
    if wash.solid is not None:
        found.append(Step("solid share of the fat", f"{100 * wash.solid.low:.0f} to "
                          f"{100 * wash.solid.high:.0f} % at {float(inputs.temperature):g} C",
                          source="FAT-SOLID-MEMORY"))  # fmt: skip
    if wash.ethanol_kg is not None:
        found.append(
            Step("ethanol in the fat", f"{100 * wash.liquid.fraction('ethanol'):.1f} % w/w x "
                 f"{fat_g:.1f} g of fat x share taken up: least in what is liquid cold, most in "
                 "all of it as mixed", 1000 * wash.ethanol_kg.high, "g", "OIL-ETHANOL-MODELS")
        )  # fmt: skip
    else:
        found.append(Step("ethanol in the fat", "not shown: known from 20 to 96 % vol"))
    return found
