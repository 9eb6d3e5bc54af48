"""reduce: water boiled or frozen out of a liquid until a Brix, a volume or a weight is reached."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.mixture import NOTHING, SUGARS, Mixture
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.model import choice, number, output, parts, quantity
from prepkit.pantry import Pantry, Part
from prepkit.shared import botanicals, reduce_show, reduction, straining, syrup
from prepkit.shared.reduction import Left
from prepkit.units import Measured

EXAMPLE = 'prepkit reduce --liquid "1 l orange juice" --brix 45'
MOST_SPIRIT_BOILED = 0.30  # strength by volume from which nothing is worked out (judgement)
_SHOWN: tuple[derived.Name, ...] = (
    "density", "abv", "ethanol", "sugar", "dissolved_solids", "refractometer", "ph",
    "water_activity", "freezing_point", "sugar_acid_ratio",
)  # fmt: skip


class Inputs(BaseInputs):
    """What goes into the pan or the freezer, and what is wanted."""

    liquid: tuple[Part, ...] = parts(
        "the liquid", "Juice, syrup, wine and what is dissolved in it; once for each.",
        "1 l orange juice",
    )  # fmt: skip
    method: str = choice(
        ("boil", "freeze"), "how", "Water boiled off in an open pan, or frozen out and the ice "
        "drained.", default="boil",
    )  # fmt: skip
    brix: Measured | None = quantity(
        "Bx", "wanted: true dissolved solids", "By weight of the liquid part; what a refractometer "
        "shows there is worked out.", "45", default=None, above=0, high=85,
        because="no syrup is richer", bare=True,
    )  # fmt: skip
    volume: Measured | None = quantity(
        "ml", "wanted: volume", "What is left, measured at 20 C and not hot.", "400 ml",
        default=None, above=0, high=1e7, because="a batch of at most ten cubic metres",
        extensive=True,
    )  # fmt: skip
    mass: Measured | None = quantity(
        "g", "wanted: weight", "What is left: weigh the pan before and after.", "450 g",
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
        "C", "temperature on the heat", "For the same; the published rate ends at 100 C.", "95 C",
        default=100.0, low=20, high=100, because="the published rate ends there",
    )  # fmt: skip
    measured_ph: float | None = number(
        "measured pH", "pH of the liquid before, with a calibrated meter; replaces the calculated "
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
    def before_reading(cls, said: dict[str, Any], pantry: Pantry) -> dict[str, Any]:
        """Hook of the base: refused plants."""
        return botanicals.spotted(said, ("liquid",))


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """What has to go, and what is left then."""

    to_boil_off: float | None = output("water to boil off", "g", 0, extensive=True)
    to_freeze_off: float | None = output("ice to drain off", "g", 0, extensive=True)
    to_leave: float | None = output("water and alcohol to boil off", "g", 0, extensive=True)
    lost_in_ice: float | None = output("liquid lost with the ice", "g", 1, extensive=True)
    mass: float | None = output("what is left, by weight", "g", 1, extensive=True)
    volume: float | None = output("volume at 20 C", "ml", 1, extensive=True)
    left_share: float | None = output("left, of the weight put in", "%", 1)
    dissolved_solids: float | None = output("true dissolved solids", "Bx", 2)
    refractometer: float | None = output("refractometer shows, cooled to 20 C", "Bx", 1)
    sugar: float | None = output("sugars", "% w/w", 2)
    sugar_g_l: float | None = output("sugars in the volume", "g/l", 0)
    acidity_before: float | None = output("titratable acidity before, as citric", "% w/w", 2)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    acidity_g_l: float | None = output("titratable acidity, as citric", "g/l", 1)
    sugar_acid_ratio: float | None = output("sugar to acid", "", 1)
    ph: float | None = output("pH", "", 2)
    abv: float | None = output("strength at 20 C", "% vol", 2)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    density: float | None = output("density at 20 C", "kg/m3", 1)
    supersaturation_fridge: float | None = output(
        "sucrose as a share of what stays dissolved, fridge", "", 2
    )
    supersaturation_room: float | None = output(
        "sucrose as a share of what stays dissolved, room", "", 2
    )
    viscosity_fridge: float | None = output("thickness in the fridge", "mPa s", 0)
    water_activity: float | None = output("water activity at 25 C", "", 3)
    freezing_point: float | None = output("ice begins at", "C", 1)
    inverted: float | None = output("sucrose split on the heat, at least", "%", 1)
    inverted_most: float | None = output("sucrose split on the heat, at most", "%", 1)


def compute(inputs: Any) -> Result:
    """Refuse, or find the water that must go; then what is left."""
    refusal = botanicals.refusal(inputs.liquid)
    if refusal:
        return Result(facts=refusal)
    start = Mixture.total(part.mixture for part in inputs.liquid)
    _check(inputs, start)
    if inputs.method == "boil" and start.ethanol_kg:
        if start.abv >= MOST_SPIRIT_BOILED:
            return Result(facts={"boil_abv": 100 * start.abv})
        return _with_alcohol(inputs, start)
    ice_solids = float(inputs.ice_brix) / 100 if inputs.ice_brix is not None else 0.0
    left = reduction.less_water(start, _water_kg(inputs, start, ice_solids), ice_solids)
    if not left.product.mass_kg:
        raise BadInput(
            f"{named('ice_brix')} is {float(inputs.ice_brix):g} Bx: so much clings to the ice that "
            "nothing "
            f"is left; drain it better, or freeze less out.",
            "ice_brix",
        )
    return _result(inputs, start, left)


def _wanted(inputs: Any) -> tuple[str, float]:
    """The one target: its name, and in kg, m3 or as a share."""
    given = [name for name in ("brix", "volume", "mass") if getattr(inputs, name) is not None]
    if len(given) != 1:
        said = " and ".join(f"--{name}" for name in given) or "none"
        raise BadInput(
            f"reduce needs one of {named('brix')}, {named('volume')} and {named('mass')}, and "
            f"{said} is given; write for "
            f"example {named('brix')} 45.",
            given[0] if given else "brix",
        )
    name = given[0]
    return name, float(getattr(inputs, name)) * {"brix": 1e-2, "volume": 1e-6, "mass": 1e-3}[name]


def _check(inputs: Any, start: Mixture) -> None:
    for part in inputs.liquid:
        if straining.is_strained(part):
            raise BadInput(
                f"{named('liquid', f'{part.words}')} is a plant; strain it off first and reduce "
                "the liquid.",
                "liquid",
            )
    if not start.of("water"):
        raise BadInput(
            f"{named('liquid')} holds no water that could go; write for example 1 l juice."
        )
    name, wanted = _wanted(inputs)
    if name == "brix":
        has = start.dissolved_solids
        if has < NOTHING:
            raise BadInput(
                f"{named('brix')}: nothing is dissolved in it, so no Brix is ever reached; give "
                f"{named('mass')}.",
                "brix",
            )
        if wanted <= has * (1.0 + NOTHING):
            raise BadInput(
                f"{named('brix')} is {100 * wanted:g} Bx, and the liquid is at {100 * has:.1f} Bx "
                "already; "
                f"reducing only goes up: ask for more, or thin it with blend.",
                "brix",
            )
    else:
        has, unit, scale = (
            (start.mass_kg, "g", 1e3) if name == "mass" else (start.volume_20_m3, "ml", 1e6)
        )
        if wanted >= has * (1.0 - NOTHING):
            raise BadInput(
                f"--{name} is {scale * wanted:g} {unit}, and there are only {scale * has:.1f} "
                f"{unit} to begin with; what is left must be less.",
                name,
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
                "before "
                f"({100 * start.dissolved_solids:.1f} Bx); drain the ice and read it again.",
                "ice_brix",
            )
    if inputs.time is not None and inputs.method != "boil":
        raise BadInput(
            f"{named('time')} is the time on the heat; leave it out when freezing.", "time"
        )


def _water_kg(inputs: Any, start: Mixture, ice_solids: float) -> float:
    """Water that must go; BadInput where the target lies beyond what can be worked out."""
    freeze = inputs.method == "freeze"
    name, wanted = _wanted(inputs)
    most = reduction.most_water_kg(start, freeze)
    water: float | None
    if name == "brix":
        water = reduction.water_to_brix_kg(start, wanted)
    else:
        water = reduction.water_until_kg(
            start,
            (lambda m: m.mass_kg) if name == "mass" else (lambda m: m.volume_20_m3),
            wanted, freeze, ice_solids,
        )  # fmt: skip
    if water is None or water > most:
        rich = 100 * (reduction.MOST_SOLIDS_FROZEN if freeze else reduction.MOST_SOLIDS_BOILED)
        until = f"{rich:g} % solids in solids and water"
        if freeze:
            until += f", or {100 * reduction.MOST_SPIRIT_FROZEN:g} % ethanol in ethanol and water"
        raise BadInput(
            f"--{name} {getattr(inputs, name).words()} cannot be reached: {1000 * most:.0f} g of "
            f"water at most can go, to {until}; ask for less.",
            name,
        )
    return water


def _result(inputs: Any, start: Mixture, left: Left) -> Result:
    boil = inputs.method == "boil"
    product = reduction.heated(left.product) if boil else left.product
    shown, error = derived.of(product, *_SHOWN)
    volume_m3 = product.volume_20_m3
    places = {"fridge": float(inputs.fridge), "room": float(inputs.room)}
    over: dict[str, Any] = {  # Any: fields of Result differ in type
        f"supersaturation_{at}": syrup.supersaturation(product, t) for at, t in places.items()
    }
    split = reduce_show.split_percent(inputs, start) if boil else (None, None)
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
        **over,
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
        viscosity_fridge=syrup.viscosity_mpa_s(product, places["fridge"]),
        inverted=split[0],
        inverted_most=split[1],
        model_error=error,
        facts=reduce_show.facts(inputs, start, product, over, split),
        working=tuple(reduce_show.steps(inputs, start, left)),
        tables=(reduce_show.on_the_way(start, left),),
    )


def _with_alcohol(inputs: Any, start: Mixture) -> Result:
    """Boiled with alcohol in it: the weight to stop at, and nothing that hangs on the alcohol."""
    name, wanted = _wanted(inputs)
    if name == "volume":
        raise BadInput(
            f"{named('volume')}: how much alcohol leaves is not known, and the volume hangs on it; "
            "give "
            f"{named('mass')} and weigh the pan, or {named('brix')}.",
            "volume",
        )
    solids = reduction.solids_kg(start)
    kept_out = start.mass_kg - start.solution_kg
    mass = wanted if name == "mass" else solids / wanted + kept_out
    least = solids / reduction.MOST_SOLIDS_BOILED + kept_out
    if mass <= least or mass <= 0.0:
        raise BadInput(
            f"--{name} {getattr(inputs, name).words()} cannot be reached: at {1000 * least:.0f} g "
            f"it would be all solids and hardly any water; ask for less.",
            name,
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
        facts=reduce_show.facts_with_alcohol(start, solids / (mass - kept_out)),
        working=tuple(reduce_show.steps_with_alcohol(start, mass, solids)),
        tables=(reduce_show.retained(),),
    )
