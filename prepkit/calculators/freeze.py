"""freeze: freezer bottles, slush and frozen tubs: ice, strength, water, and room to grow."""

from __future__ import annotations

import math
from typing import NamedTuple

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, parts, quantity
from prepkit.mixture import Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import heat
from prepkit.shared import drink, syrup
from prepkit.shared.syrup import Target
from prepkit.units import Measured

__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]

EXAMPLE = (
    'prepkit freeze --part "500 ml spirit 43 %" --part "250 ml dry vermouth" --dilute-like "-2 C" '
    '--container "1 l"'
)
#: Where each way of freezing is worked, C: a freezer, slush as it is drawn (practice)
USUAL_C = {"bottle": -18.0, "slush": -5.0, "spin": -18.0}
# Ice as a share of the weight (practice): up to POURS it runs, up to SYRUPY slowly; slush is drawn
# between SLUSH and MOST_SLUSH.
POURS, SYRUPY, SLUSH, MOST_SLUSH = 0.05, 0.15, 0.25, 0.45
SPOONABLE = 0.70  # of the water, frozen: ice cream as it is served [ICE-CREAM-WINDOW]
ADDED, ADDED_GLYCEROL = 0.05, 0.10  # of the depression: how sure the sum of several is
MIXING_ERROR, MELT_ERROR = 0.15, 0.03  # of the heat of mixing, and of the melt
KNOWN_K = 0.05  # nearer than that the ice is found, not where a table ends
SWING_K = 5.0  # colder than it is set a freezer may run (JUDGEMENT)
UNMIXED = 0.02  # of the volume, where spirit stays without its water (JUDGEMENT)
_ALCOHOLIC = 0.005
_GUESTS = ("adults", "11 to 17", "7 to 10", "under 7")
_SHOWN_C = tuple(-2.0 * step for step in range(1, 13))


class Inputs(BaseInputs):
    """The mix, how it is frozen, what it is frozen in, and for whom."""

    groups = (
        ("Most needed", "part way temperature dilute_like abv container filled guests"),
        ("Conditions", "start"),
    )

    part: tuple[Part, ...] = parts(
        "the mix", "All that goes in before it is frozen. One entry for each.",
        "500 ml spirit 43 %",
    )  # fmt: skip
    way: str = choice(
        tuple(USUAL_C), "way of freezing",
        "A bottle in the freezer, a slush machine, or a tub that is frozen hard and then spun.",
        default="bottle",
    )  # fmt: skip
    temperature: Measured | None = quantity(
        "C", "temperature it is frozen to",
        "-18 °C in a bottle or tub and -5 °C as slush where it is not given.", "-18 C",
        default=None, low=-40, high=0, because="ice forms at or below 0 °C",
    )  # fmt: skip
    dilute_like: Measured | None = quantity(
        "C", "dilution as if stirred to", "Adds the water that stirring with ice would bring.",
        "-2 C", default=None, low=-15, high=15, because="where a stirred drink ends",
    )  # fmt: skip
    abv: Measured | None = quantity(
        "% vol", "strength wanted", "Adds water until the whole mix has this strength.",
        "26 % vol", default=None, above=0, high=60, because="a drink", bare=True,
    )  # fmt: skip
    container: Measured | None = quantity(
        "ml", "inside volume of a container", "One bottle or tub, to the brim: fill it with water "
        "and weigh it.", "700 ml",
        default=None, above=0, high=100_000, because="a bottle to a tank",
    )  # fmt: skip
    filled: Measured | None = quantity(
        "ml", "liquid in a container", "As you mean to fill it, at room temperature.", "600 ml",
        default=None, above=0, high=100_000, because="a bottle to a tank",
    )  # fmt: skip
    guests: str | None = choice(_GUESTS, "youngest guest", "Age in years.", default=None)
    start: Measured = quantity(
        "C", "temperature before stirring", "For the dilution as if stirred.", "20 C",
        default=20.0, low=-10, high=40, because="a drink before ice",
    )  # fmt: skip


class Result(BaseResult):
    """How much of it is ice, how strong it is, and how full a container may be."""

    screen = Screen(
        headline=(
            "{ice} of its weight is ice at {at}; {abv} after {water_to_add} of water.",
            "{ice} of its weight is ice at {at}, at {abv}.",
            "{ice} of its weight is ice at {at}.",
            "How much of it freezes is not known here. Try a glass.",
        ),
        primary=(
            Figure("ice, of the weight", "ice"),
            Figure("water to add", "water_to_add"),
            Figure("strength of the mix", "abv"),
            Figure("strength between the ice", "liquid_abv"),
            Figure("pours down to", "pours_to"),
            Figure("slush between", "slush_cold", "slush_warm"),
            Figure("fill a container to", "fill_most"),
            "containers",
        ),
        check=(Figure("freezing point", "freezing_point"), "volume", "dissolved_solids"),
        do_this=("Fill each container to {fill_most} at most, {containers} in all.",),
        weigh="weigh",
    )

    at: float | None = output("frozen to", "C", 1)
    ice: float | None = output("ice, of the weight", "%", 0)
    ice_of_water: float | None = output("ice, of the water", "%", 0)
    liquid_abv: float | None = output("strength between the ice", "% vol", 1)
    freezing_point: float | None = output("freezing point", "C", 1)
    pours_to: float | None = output("coldest that pours", "C", 1, limit="least")
    slush_warm: float | None = output("slush from", "C", 1)
    slush_cold: float | None = output("slush down to", "C", 1)
    water_to_add: float | None = output("water to add", "g", 1, extensive=True)
    mass: float | None = output("weight of the mix", "g", 1, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 0, extensive=True)
    abv: float | None = output("strength at 20 °C", "% vol", 1)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    dissolved_solids: float | None = output("true dissolved solids", "Bx", 1)
    growth: float | None = output("growth as it freezes", "%", 1)
    fill_most: float | None = output("most in a container", "ml", 0, limit="most")
    containers: float | None = output("containers", "", 0)


class Frozen(NamedTuple):
    """A mix at a temperature: its ice, kg, and what stays liquid."""

    ice_kg: float
    liquid: Mixture
    known: bool  # whether published freezing points reach so far; else there is more ice


def compute(inputs: Inputs) -> Result:
    """Add the water, then ice, bands, what stays liquid, and the room that ice needs."""
    start = Mixture.total(part.mixture for part in inputs.part)
    if not start.mass_kg:
        raise BadInput(
            f"{named('part')} amounts to 0; write for example 500 ml spirit 43 %.", "part"
        )
    water_kg, spread_kg = _water_kg(inputs, start)
    product = start + Mixture({"water": water_kg})
    at_c = USUAL_C[inputs.way] if inputs.temperature is None else float(inputs.temperature)
    shown, error = derived.of(product, "volume", "abv", "ethanol", "dissolved_solids")
    if spread_kg:
        error["water_to_add"] = error["mass"] = 1000 * spread_kg
        error["volume"] = 1000 * spread_kg
        if shown["abv"] and shown["volume"]:
            error["abv"] = shown["abv"] * 1000 * spread_kg / shown["volume"]
    point = drink.freezing_point_c(product)
    known = point is not None
    frozen = _frozen(product, at_c) if known else None
    grown = _growth(product, at_c)
    room = _room(inputs, grown, shown["volume"])
    facts: Facts = {
        **derived.facts(product),
        "ph": derived.facts(product).get("ph"),
        **_facts(inputs, product, at_c, frozen, room),
    }
    young = inputs.guests not in (None, "adults")
    if (young and product.abv >= _ALCOHOLIC) or (
        inputs.guests == "under 7" and facts["freeze_glycerol_percent"]
    ):
        return Result(product=product, facts=facts)
    if frozen is None:
        return Result(
            product=product, at=at_c, mass=1000 * product.mass_kg, volume=shown["volume"],
            abv=shown["abv"], ethanol=shown["ethanol"], dissolved_solids=shown["dissolved_solids"],
            water_to_add=1000 * water_kg or None, facts=facts, tables=(_weigh(inputs, water_kg),),
            working=(Step("ice", "not shown: no freezing point is known for this mix"),),
            model_error=error,
        )  # fmt: skip
    share, of_water = _shares(product, frozen)
    error["ice"] = 100 * _spread(product, at_c)
    if of_water:
        error["ice_of_water"] = error["ice"] * of_water / max(share, 1e-9)
    bands = {limit: _temperature_c(product, limit) for limit in (SYRUPY, SLUSH, MOST_SLUSH)}
    sure = ADDED_GLYCEROL if product.of("glycerol") else ADDED
    for name, limit in (("pours_to", SYRUPY), ("slush_warm", SLUSH), ("slush_cold", MOST_SLUSH)):
        found = bands[limit]
        if found is not None:
            error[name] = sure * abs(found)
    error["freezing_point"] = sure * abs(point or 0.0)
    return Result(
        product=product,
        at=at_c,
        ice=100 * share,
        ice_of_water=100 * of_water,
        liquid_abv=_abv(frozen.liquid) if frozen.ice_kg else None,
        freezing_point=point,
        pours_to=bands[SYRUPY],
        slush_warm=bands[SLUSH] if inputs.way == "slush" else None,
        slush_cold=bands[MOST_SLUSH] if inputs.way == "slush" else None,
        water_to_add=1000 * water_kg or None,
        mass=1000 * product.mass_kg,
        volume=shown["volume"],
        abv=shown["abv"],
        ethanol=shown["ethanol"],
        dissolved_solids=shown["dissolved_solids"],
        growth=100 * grown or None,
        fill_most=room.most_ml,
        containers=room.number,
        facts=facts,
        tables=(_weigh(inputs, water_kg), _window(product)),
        working=tuple(_steps(inputs, product, water_kg, frozen, at_c, grown)),
        model_error=error,
    )


def _water_kg(inputs: Inputs, start: Mixture) -> tuple[float, float]:
    """Water to add, kg, and its +/-; nothing where none was asked for."""
    if inputs.abv is not None and inputs.dilute_like is not None:
        raise BadInput(
            f"{named('abv')} and {named('dilute_like')} each say how much water; give one of them.",
            "abv",
        )
    if inputs.abv is not None and float(inputs.abv) > 100 * start.abv:
        raise BadInput(
            f"{named('abv')} is {float(inputs.abv):g} % vol, and the parts have "
            f"{100 * start.abv:.1f}; water only weakens, so ask for less or add spirit.",
            "abv",
        )
    if inputs.abv is not None:
        words = f"{float(inputs.abv):g} % vol"
        wanted = Target("strength", float(inputs.abv) / 100, True, "abv", words)
        amounts, water = syrup.solve(start, [wanted], [None])
        return amounts[0] + water, 0.0
    if inputs.dilute_like is None:
        return 0.0, 0.0
    to_c, from_c = float(inputs.dilute_like), float(inputs.start)
    if to_c > from_c:
        raise BadInput(
            f"{named('dilute_like')} is {to_c:g} °C, warmer than the {from_c:g} °C before "
            "stirring; ice only cools.",
            "dilute_like",
        )
    apart = [part.mixture for part in inputs.part if part.mass_kg]
    melt = heat.melt_to_kg(
        start.mass_kg, drink.apart_specific_heat_j_kg_k(apart, from_c, to_c), from_c, to_c, 0.0,
        lambda kg: drink.mixing_heat_j(apart, to_c, kg),
    )  # fmt: skip
    heat_j = abs(drink.mixing_heat_j(apart, to_c, melt))
    return melt, MELT_ERROR * melt + MIXING_ERROR * heat_j / heat.MELTING_J_KG


# what freezes


def _frozen(mixture: Mixture, at_c: float) -> Frozen:
    ice_kg = drink.ice_kg(mixture, at_c)
    liquid = mixture.without({"water": ice_kg})
    point = drink.freezing_point_c(liquid)
    return Frozen(ice_kg, liquid, not ice_kg or (point is not None and point < at_c + KNOWN_K))


def _shares(mixture: Mixture, frozen: Frozen) -> tuple[float, float]:
    """Ice of the weight and of the water."""
    water_kg = mixture.of("water")
    return frozen.ice_kg / mixture.mass_kg, frozen.ice_kg / water_kg if water_kg else 0.0


def _spread(mixture: Mixture, at_c: float) -> float:
    """How unsure the share of ice is, from how unsure the sum of depressions is."""
    sure = ADDED_GLYCEROL if mixture.of("glycerol") else ADDED
    ends = [drink.ice_kg(mixture, at_c * (1 + side * sure)) for side in (-1, 1)]
    return 0.5 * (ends[1] - ends[0]) / mixture.mass_kg


def _temperature_c(mixture: Mixture, share: float) -> float | None:
    """Where so much of its weight is ice; None past all water, or past what is known."""
    ice_kg = share * mixture.mass_kg
    if ice_kg >= mixture.of("water"):
        return None
    return drink.freezing_point_c(mixture.without({"water": ice_kg}))


def _abv(mixture: Mixture) -> float | None:
    return derived.of(mixture, "abv")[0]["abv"]


def _growth(mixture: Mixture, at_c: float) -> float:
    """How much room it may need beyond its volume at 20 C, as a share of it.

    By the ice of a freezer that runs 5 K colder than it is set, and what spirit takes up more once
    it is left alone; all of it as water, which grows most, where that ice is not known.
    """
    point = drink.freezing_point_c(mixture)
    if point is None:
        return heat.GROWTH
    colder = _frozen(mixture, at_c - SWING_K)
    if not colder.known:
        return heat.GROWTH
    if not colder.ice_kg:
        return 0.0
    share = colder.ice_kg / mixture.mass_kg + _spread(mixture, at_c - SWING_K)
    return min(heat.GROWTH, heat.GROWTH * share + (UNMIXED if mixture.ethanol_kg else 0.0))


class ContainerRoom(NamedTuple):
    """A container: the most that goes in, how many are needed, how far one is over it."""

    most_ml: float | None = None
    number: float | None = None
    over_ml: float | None = None
    grown_ml: float | None = None


def _room(inputs: Inputs, grown: float, volume_ml: float | None) -> ContainerRoom:
    if inputs.container is None:
        if inputs.filled is not None:
            raise BadInput(
                f"{named('filled')} needs {named('container')}, the inside volume of one "
                "container.",
                "container",
            )
        return ContainerRoom()
    inside = float(inputs.container)
    most = inside / (1 + grown)
    each = most if inputs.filled is None else float(inputs.filled)
    if each > inside:
        raise BadInput(
            f"{named('filled')} is {each:g} ml, and the container holds {inside:g} ml.", "filled"
        )
    count = None if volume_ml is None else float(max(1, math.ceil(volume_ml / each - 1e-6)))
    over = None if inputs.filled is None else max(0.0, each - most)
    return ContainerRoom(most, count, over, each * (1 + grown))


# what is judged and shown


def _facts(
    inputs: Inputs, product: Mixture, at_c: float, frozen: Frozen | None, room: ContainerRoom
) -> Facts:
    share, of_water = _shares(product, frozen) if frozen else (None, None)
    alcoholic = product.abv >= _ALCOHOLIC
    liquid_abv = None if frozen is None else _abv(frozen.liquid)
    if liquid_abv is None and alcoholic:
        liquid_abv = 100 * product.abv
    return {
        "freeze_way": inputs.way,
        "freeze_c": at_c,
        "freeze_ice_percent": None if share is None else 100 * share,
        "freeze_at_least": 0.0 if frozen is None or frozen.known else 1.0,
        "freeze_of_water_percent": 100 * (of_water or 0.0),
        "freeze_grows_percent": 100 * _growth(product, at_c),
        "freeze_abv_percent": 100 * product.abv,
        "freeze_liquid_abv": liquid_abv or 0.0,
        "freeze_stronger_points": (liquid_abv or 0.0) - 100 * product.abv if alcoholic else 0.0,
        "freeze_solids_percent": 100 * product.dissolved_solids,
        "freeze_glycerol_percent": 0.0 if alcoholic else 100 * product.fraction("glycerol"),
        "freeze_guests": inputs.guests or "not told",
        "freeze_room_told": None if inputs.filled is None else 1.0,
        "freeze_over_ml": room.over_ml or 0.0,
        "freeze_grown_ml": room.grown_ml or 0.0,
        "freeze_container_ml": float(inputs.container) if inputs.container is not None else 0.0,
    }


def _weigh(inputs: Inputs, water_kg: float) -> Table:
    rows: list[tuple[str | float | None, ...]] = [
        (part.name, 1000 * part.mass_kg, derived.volume_ml(part.mixture)) for part in inputs.part
    ]
    if water_kg:
        rows.append(("water", 1000 * water_kg, derived.volume_ml(Mixture({"water": water_kg}))))
    columns = (Column("part"), Column("mass", "g", 1), Column("volume at 20 °C", "ml", 1))
    return Table("weigh", "weigh", columns, tuple(rows))


def _texture(share: float, of_water: float) -> str:
    """How it is, by the trade's bands."""
    if share <= 0.0:
        return "liquid"
    for limit, word in ((POURS, "pours"), (SYRUPY, "pours slowly"), (SLUSH, "thin slush"),
                        (MOST_SLUSH, "slush")):  # fmt: skip
        if share <= limit:
            return word
    return "spoon" if of_water <= SPOONABLE else "hard"


def _window(product: Mixture) -> Table:
    rows: list[tuple[str | float | None, ...]] = []
    for at_c in _SHOWN_C:
        frozen = _frozen(product, at_c)
        share, of_water = _shares(product, frozen)
        if not frozen.known:
            break
        rows.append(
            (at_c, 100 * share, 100 * of_water, _abv(frozen.liquid), _texture(share, of_water))
        )
    columns = (
        Column("at", "C", 0), Column("ice, of the weight", "%", 0),
        Column("of the water", "%", 0), Column("strength between the ice", "% vol", 0),
        Column("by the trade's bands"),
    )  # fmt: skip
    return Table("window", "ice by temperature, at rest", columns, tuple(rows))


def _steps(
    inputs: Inputs, product: Mixture, water_kg: float, frozen: Frozen, at_c: float, grown: float
) -> list[Step]:
    """The working, as on a board."""
    found = []
    if inputs.dilute_like is not None:
        found.append(Step("water to add", f"what ice at 0 °C gives while it is stirred from "
                          f"{float(inputs.start):g} to {float(inputs.dilute_like):g} °C",
                          1000 * water_kg, "g", "ICE-APPENDIX"))  # fmt: skip
    elif inputs.abv is not None:
        found.append(Step("water to add", f"until it is {float(inputs.abv):g} % vol",
                          1000 * water_kg, "g", "DEFINITION"))  # fmt: skip
    share, _ = _shares(product, frozen)
    found += [
        Step("ice", f"water leaves as ice until the rest freezes at {at_c:g} °C: "
             f"{1000 * frozen.ice_kg:.1f} g of {1000 * product.mass_kg:.1f} g", 100 * share, "%",
             "PREPKIT-FREEZING"),
        Step("bands", "pours to 5 % ice, slowly to 15 %, slush 25 to 45 %, by weight",
             source="FREEZE-PRACTICE"),
    ]  # fmt: skip
    if grown:
        found.append(
            Step("growth", f"by the ice of a freezer {SWING_K:g} K colder, with spirit "
                 f"{100 * UNMIXED:g} % more, at most as water",
                 100 * grown, "%", "ICE-DENSITY")
        )  # fmt: skip
    return found
