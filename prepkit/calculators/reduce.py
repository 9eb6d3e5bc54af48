"""reduce: water to boil or freeze off.

Balances by mass: what is left keeps everything but water, except what clings to the drained ice.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from prepkit import cautions, derived
from prepkit.errors import BadInput, named
from prepkit.facts import Facts, checked
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, number, parts, quantity
from prepkit.mixture import NOTHING, SUGARS, Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import heat, keeping, solvers, sucrose
from prepkit.shared import botanicals, syrup
from prepkit.shared.syrup import Store
from prepkit.units import Measured

# ---- the inputs of reduce, the one target among them, and what of them cannot be ----


class Inputs(BaseInputs):
    """What goes into the pan or the freezer, and what is wanted."""

    only_read = ("measured_ph",)
    groups = (
        ("Most needed", "liquid method brix volume mass time heat"),
        ("Freezing", "ice_brix freezer"),
        ("Conditions", "measured_ph fridge room"),
    )

    liquid: tuple[Part, ...] = parts(
        "the liquid", "Juice, syrup or wine, and what is dissolved in it. One entry for each.",
        "1 l orange juice",
    )  # fmt: skip
    method: str = choice(
        ("boil", "freeze"), "how", "Water boiled off in an open pan, or frozen out and the ice "
        "drained.", default="boil",
    )  # fmt: skip
    brix: Measured | None = quantity(
        "Bx", "true dissolved solids wanted", "By weight of the liquid part. The expected "
                                               "refractometer reading follows.",
        "45", default=None, above=0, high=85,
        because="no syrup is richer", bare=True,
    )  # fmt: skip
    volume: Measured | None = quantity(
        "ml", "volume wanted", "The finished volume, measured at 20 °C and not hot.", "400 ml",
        default=None, above=0, high=1e7, because="a batch of at most ten cubic metres",
        extensive=True,
    )  # fmt: skip
    mass: Measured | None = quantity(
        "g", "weight wanted", "The finished weight: weigh the pan before and after.", "450 g",
        default=None, above=0, high=1e7, because="a batch of at most ten tonnes", extensive=True,
    )  # fmt: skip
    ice_brix: Measured | None = quantity(
        "Bx", "solids of the melted ice", "A reading of the drained ice, melted; to count what "
        "clings to it.", "3", default=None, low=0, high=60, because="ice, not syrup", bare=True,
    )  # fmt: skip
    freezer: Measured = quantity(
        "C", "temperature of the freezer", "For how far ice can form.", "-18 C", default=-18.0,
        low=-60, high=0, because="a freezer",
    )  # fmt: skip
    time: Measured | None = quantity(
        "min", "time on the heat", "For the sugar that acid splits meanwhile.", "20 min",
        default=None, above=0, high=1440, because="a day",
    )  # fmt: skip
    heat: Measured = quantity(
        "C", "temperature on the heat", "For the same; the published rate ends at 100 °C.", "95 C",
        default=100.0, low=20, high=100, because="the published rate ends there",
    )  # fmt: skip
    measured_ph: float | None = number(
        "measured pH", "pH of the liquid before, by a calibrated meter. It replaces the calculated "
        "one for the sugar that acid splits.", "3.4", default=None, low=0.5, high=10,
    )  # fmt: skip
    fridge: Measured = quantity(
        "C", "temperature of the fridge", "For crystals and pouring.", "4 C",
        default=4.0, low=0, high=15, because="a fridge",
    )  # fmt: skip
    room: Measured = quantity(
        "C", "temperature of the room", "For crystals.", "20 C",
        default=20.0, low=10, high=40, because="a room",
    )  # fmt: skip

    @classmethod
    def before_reading(cls, said: dict[str, object], pantry: Pantry) -> dict[str, object]:
        """Hook of the base: refused plants."""
        return botanicals.spotted(said, ("liquid",))


class ReductionTarget(NamedTuple):
    """The one target: the input that says it, as it was said, and in kg, m3 or as a share."""

    name: str
    said: Measured
    amount: float


def wanted(inputs: Inputs) -> ReductionTarget:
    """The one target; BadInput where there is none, or more than one."""
    targets = (("brix", inputs.brix, 1e-2), ("volume", inputs.volume, 1e-6),
               ("mass", inputs.mass, 1e-3))  # fmt: skip
    given = [
        ReductionTarget(name, said, scale * said)
        for name, said, scale in targets
        if said is not None
    ]
    if len(given) != 1:
        names = " and ".join(named(target.name) for target in given) or "none"
        raise BadInput(
            f"reduce needs one of {named('brix')}, {named('volume')} and {named('mass')}, and "
            f"{names} is given; write for example {named('brix')} 45.",
            given[0].name if given else "brix",
        )
    return given[0]


def check(inputs: Inputs, start: Mixture) -> None:
    """BadInput for a plant among the liquids, and for what reducing does not bring about."""
    for part in inputs.liquid:
        if syrup.is_strained(part):
            raise BadInput(
                f"{named('liquid', part.words)} is a plant; strain it off first and reduce the "
                "liquid.",
                "liquid",
            )
    if not start.of("water"):
        raise BadInput(
            f"{named('liquid')} holds no water that could go; write for example 1 l juice."
        )
    aim = wanted(inputs)
    if aim.name == "brix":
        has = start.dissolved_solids
        if has < NOTHING:
            raise BadInput(
                f"{named('brix')}: nothing is dissolved in it, so no Brix is ever reached; give "
                f"{named('mass')}.",
                "brix",
            )
        if aim.amount <= has * (1.0 + NOTHING):
            raise BadInput(
                f"{named('brix')} is {100 * aim.amount:g} Bx, and the liquid is at "
                f"{100 * has:.1f} Bx already; reducing only goes up: ask for more, or thin it "
                "with blend.",
                "brix",
            )
    else:
        has, unit, scale = (
            (start.mass_kg, "g", 1e3) if aim.name == "mass" else (start.volume_20_m3, "ml", 1e6)
        )
        if aim.amount >= has * (1.0 - NOTHING):
            raise BadInput(
                f"{named(aim.name)} is {scale * aim.amount:g} {unit}, and there are only "
                f"{scale * has:.1f} {unit} to begin with; what is left must be less.",
                aim.name,
            )
    if inputs.ice_brix is not None:
        if inputs.method != "freeze":
            raise BadInput(
                f"{named('ice_brix')} belongs to {named('method')} freeze; leave it out.",
                "ice_brix",
            )
        if float(inputs.ice_brix) / 100 >= start.dissolved_solids:
            raise BadInput(
                f"{named('ice_brix')} is {float(inputs.ice_brix):g} Bx, no weaker than the liquid "
                f"before ({100 * start.dissolved_solids:.1f} Bx); drain the ice and read it again.",
                "ice_brix",
            )
    if inputs.time is not None and inputs.method != "boil":
        raise BadInput(
            f"{named('time')} is the time on the heat; leave it out when freezing.", "time"
        )


# ---- reduction ----

MOST_SOLIDS_BOILED = sucrose.MASS_FRACTION_HIGH  # of solids and water, no syrup is richer
MOST_SOLIDS_FROZEN = keeping.SOLIDS_HIGH  # beyond it sugar freezes out with the ice
MOST_SPIRIT_FROZEN = 0.60  # of ethanol and water: the end of the freezing table


class Remainder(NamedTuple):
    """What is left, the pure water that went, and what was lost with drained ice."""

    product: Mixture
    water_kg: float
    lost: Mixture

    @property
    def removed_kg(self) -> float:
        """Steam, or drained ice with what clings to it, kg."""
        return self.water_kg + self.lost.mass_kg


def solids_kg(mixture: Mixture) -> float:
    """Dissolved solids, ethanol not counted, kg."""
    return mixture.dissolved_solids * mixture.solution_kg


def most_water_kg(start: Mixture, freeze: bool) -> float:
    """The most water that can go before the relations end, kg."""
    most = MOST_SOLIDS_FROZEN if freeze else MOST_SOLIDS_BOILED
    stays = solids_kg(start) * (1.0 - most) / most
    if freeze:
        stays = max(stays, start.ethanol_kg * (1.0 - MOST_SPIRIT_FROZEN) / MOST_SPIRIT_FROZEN)
    return max(0.0, (start.of("water") - stays) * (1.0 - 1e-9))


def less_water(start: Mixture, water_kg: float, ice_solids: float = 0.0) -> Remainder:
    """The liquid after so much pure water has left it.

    ice_solids: true solids of the drained ice when it is melted, from 0 to below those of the
    start. What clings to the ice is taken as the liquid that is left: ice with a share s of solids
    holds s over the solids of that liquid, by mass.

    >>> juice = Mixture({"water": 0.9, "sucrose": 0.1})
    >>> left = less_water(juice, 0.5, 0.02)
    >>> round(left.product.dissolved_solids, 3), round(left.removed_kg, 4)
    (0.2, 0.5556)
    """
    whole = start.without({"water": water_kg})
    if not ice_solids:
        return Remainder(whole, water_kg, Mixture({}))
    clings = ice_solids / whole.dissolved_solids
    lost = min(1.0, water_kg * clings / (1.0 - clings) / whole.solution_kg)
    return Remainder(whole.scaled(1.0 - lost), water_kg, whole.scaled(lost))


def heated(mixture: Mixture) -> Mixture:
    """The same after it has boiled: no longer raw juice, with every other mark kept."""
    return Mixture(
        mixture.masses_kg, mixture.allergens, mixture.tags - {"raw-juice"}, mixture.keeps
    )


def _water_until_kg(
    start: Mixture,
    size: Callable[[Mixture], float],
    wanted: float,
    freeze: bool,
    ice_solids: float,
) -> float | None:
    """Water that must go until `size` of what is left is `wanted`; None where it never is.

    `wanted` below the size of the start.
    """

    def over(water_kg: float) -> float:
        return size(less_water(start, water_kg, ice_solids).product) - wanted

    most = most_water_kg(start, freeze)
    if over(most) > 0.0:
        return None
    return solvers.bracketed(over, 0.0, most, tolerance=1e-12 * start.mass_kg)


def water_to_go_kg(inputs: Inputs, start: Mixture, ice_solids: float) -> float:
    """Water that must go; BadInput where the target lies beyond what can be worked out."""
    freeze = inputs.method == "freeze"
    aim = wanted(inputs)
    most = most_water_kg(start, freeze)
    water: float | None
    if aim.name == "brix":
        water = start.solution_kg - solids_kg(start) / aim.amount
    else:
        water = _water_until_kg(
            start,
            (lambda m: m.mass_kg) if aim.name == "mass" else (lambda m: m.volume_20_m3),
            aim.amount, freeze, ice_solids,
        )  # fmt: skip
    if water is None or water > most:
        rich = 100 * (MOST_SOLIDS_FROZEN if freeze else MOST_SOLIDS_BOILED)
        until = f"{rich:g} % solids in solids and water"
        if freeze:
            until += f", or {100 * MOST_SPIRIT_FROZEN:g} % ethanol in ethanol and water"
        raise BadInput(
            f"{named(aim.name)} {aim.said.words()} cannot be reached: {1000 * most:.0f} g of "
            f"water at most can go, to {until}; ask for less.",
            aim.name,
        )
    return water


# ---- reduce ----

EXAMPLE = 'prepkit reduce --liquid "1 l orange juice" --brix 45'
MOST_SPIRIT_BOILED = 0.30  # strength by volume from which nothing is worked out (judgement)
_SHOWN: tuple[derived.Name, ...] = (
    "density", "abv", "ethanol", "sugar", "dissolved_solids", "refractometer", "ph",
    "water_activity", "freezing_point", "sugar_acid_ratio",
)  # fmt: skip


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
    inverted: float | None = output("sucrose split, lower bound", "%", 1, limit="most")
    inverted_most: float | None = output("sucrose split, upper bound", "%", 1, limit="least")


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
    left = less_water(start, water_to_go_kg(inputs, start, ice_solids), ice_solids)
    if not left.product.mass_kg:
        raise BadInput(
            f"{named('ice_brix')} is {100 * ice_solids:g} Bx: so much clings to the ice that "
            "nothing is left; drain it better, or freeze less out.",
            "ice_brix",
        )
    return _result(inputs, start, left)


def _result(inputs: Inputs, start: Mixture, left: Remainder) -> Result:
    boil = inputs.method == "boil"
    product = heated(left.product) if boil else left.product
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
    solids = solids_kg(start)
    kept_out = start.mass_kg - start.solution_kg
    mass = aim.amount if aim.name == "mass" else solids / aim.amount + kept_out
    least = solids / MOST_SOLIDS_BOILED + kept_out
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
) -> Facts:
    """For the caution rules; `over`: supersaturation in the fridge and in the room."""
    solids = 100 * product.dissolved_solids
    known: Facts = {
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
    return checked({k: v for k, v in known.items() if v is not None or k == "ice_brix"})


def _facts_with_alcohol(start: Mixture, solids: float) -> Facts:
    """The facts of a boil with alcohol: what the start brings, and no strength of what is left."""
    known = {k: v for k, v in cautions.about(start).items() if k not in _OF_ALCOHOL}
    return {
        **checked(known),
        "boil_abv": 100 * start.abv,
        "boil_solids": 100 * solids,
        "boil_keeps": start.keeps,
        "boil_tags": start.tags,
    }


def _times(start: Mixture, product: Mixture) -> float:
    before = start.acidity_as_citric
    return product.acidity_as_citric / before if before > 1e-4 else 1.0


def _on_the_way(start: Mixture, left: Remainder) -> Table:
    """Readings between start and end, to see how far it is."""
    rows: list[tuple[str | float | None, ...]] = []
    for quarter in range(5):
        share = quarter / 4
        ice = left.lost.mass_kg / left.product.mass_kg if left.product.mass_kg else 0.0
        now = less_water(start, share * left.water_kg).product
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
    rows = tuple((how, 100 * share) for how, share in heat.RETAINED.items())
    columns = (Column("how it was cooked"), Column("alcohol left", "%", 0))
    return Table("retained", "alcohol left in other dishes, for orientation", columns, rows)


def _steps(inputs: Inputs, start: Mixture, left: Remainder) -> list[Step]:
    """The working, as on a board."""
    product = left.product
    solids_g, liquid_g = 1000 * solids_kg(start), 1000 * start.solution_kg
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
