"""float: can this foam or bubble rise in air, what would it take, and what gas that needs."""

from __future__ import annotations

from math import isnan, nan

from prepkit.errors import BadInput, OutOfRange, named
from prepkit.facts import Facts
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import count, number, parts, quantity, words
from prepkit.mixture import Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import foam, room_air, water
from prepkit.shared import room_check
from prepkit.units import Measured

EXAMPLE = 'prepkit float --gas helium --liquid-fraction "2 %" --bubble "3 mm" --height "50 mm"'
PRACTICE_AIR = (0.01, 0.05)  # liquid in a drained lecithin air, FOAM-PRACTICE
SURE_BELOW = 0.9  # of the largest liquid fraction: within it the answer is yes


class Inputs(BaseInputs):
    """The gas, the foam, the air around it, and how much is made."""

    only_read = ("room_volume",)
    groups = (
        ("Most needed", "gas liquid_fraction bubble height foam_volume serves room_volume"),
        ("Foam", "liquid film surface_tension"),
        ("Gas", "lost price"),
        ("Conditions", "temperature pressure humidity"),
    )
    takes = (("gas", "gas"),)

    gas: str = words("gas", "The gas in the bubbles.", "helium")
    liquid: tuple[Part, ...] = parts(
        "liquid", "The liquid of the films. Water if left out.", "300 ml lemon juice",
        default=None,
    )  # fmt: skip
    liquid_fraction: Measured | None = quantity(
        "%", "liquid in the foam", "By volume, as weighed in a cup: 100 x foam weight over "
                                   "liquid weight. Without it, 1 to 5 %, as usual.", "2 %",
        default=None, above=0, high=100, because="a share of the foam's volume",
    )  # fmt: skip
    bubble: Measured | None = quantity(
        "mm", "size of the bubbles", "Across; foam or lone bubble.", "3 mm",
        default=None, above=0.01, high=300, because="a bubble",
    )  # fmt: skip
    height: Measured | None = quantity(
        "mm", "height above the free liquid", "To which the foam has drained in time.", "50 mm",
        default=None, low=1, high=1000, because="a foam in a vessel",
    )  # fmt: skip
    film: Measured = quantity(
        "um", "thickness of the films", "An assumption: films drain from some um to below 1 um "
        "until they break.", "1 um", default=1.0, low=0.01, high=50, because="a soap film",
    )  # fmt: skip
    surface_tension: float = number(
        "surface tension", "Of the foamed liquid, mN/m: 30 assumed, good saponins 37 to 42.",
        "30", default=30.0, low=15, high=75, because="a liquid with a foamer",
    )  # fmt: skip
    temperature: Measured = quantity(
        "C", "temperature of the room", "Of the air, the gas and the foam.", "20 C",
        default=20.0, low=5, high=40, because="a room",
    )  # fmt: skip
    pressure: Measured = quantity(
        "mbar", "air pressure, absolute", "At the place, not reduced to sea level.", "1013 mbar",
        default=1013.25, low=600, high=1100, because="air where people live",
    )  # fmt: skip
    humidity: Measured = quantity(
        "%", "relative humidity", "Of the room's air.", "50 %",
        default=50.0, low=0, high=100, because="a share of saturation",
    )  # fmt: skip
    foam_volume: Measured | None = quantity(
        "ml", "foam in one serve", "To work out the gas.", "150 ml",
        default=None, above=0, high=1e5, because="one serve",
    )  # fmt: skip
    serves: int = count("serves", "In the whole service.", "40", default=1, low=1, high=100000,
                        extensive=True)  # fmt: skip
    lost: Measured = quantity(
        "%", "gas lost past the foam", "Share of what leaves the cylinder.", "50 %",
        default=0.0, low=0, high=99, because="a share of the gas",
    )  # fmt: skip
    room_volume: Measured | None = quantity(
        "m3", "volume of the room, net", "Without furniture and people; the room calculator says "
        "more.", "60 m3", default=None, above=0, high=1e6, because="a room",
    )  # fmt: skip
    price: float | None = number(
        "price of the gas", "For 1 m3 at room pressure, in your money.", "25",
        default=None, low=0, because="a price",
    )  # fmt: skip


class Result(BaseResult):
    """Density beside density, what would float, and what it needs."""

    screen = Screen(
        headline=("A foam floats in this air up to {largest_liquid} of liquid.",),
        primary=(
            Figure("most liquid that floats", "largest_liquid"),
            "least_expansion",
            Figure("liquid after draining", "drained_liquid"),
            Figure("too wet by", "too_wet_least", "too_wet_most"),
            Figure("smallest lone bubble", "smallest_bubble"),
            "gas_in_all",
            "room_share",
        ),
        check=(Figure("density of this foam", "foam_density_least", "foam_density_most"),),
    )

    air_density: float | None = output("air of the room", "kg/m3", 4)
    gas_density: float | None = output("gas in a wet bubble", "kg/m3", 4)
    largest_liquid: float | None = output(
        "largest liquid fraction that floats", "% by volume", 4, limit="most"
    )
    least_expansion: float | None = output("expansion that takes", "times", 0, limit="least")
    foam_density_least: float | None = output("foam weight, lower bound", "kg/m3", 2, limit="most")
    foam_density_most: float | None = output("foam weight, upper bound", "kg/m3", 2, limit="least")
    too_wet_least: float | None = output("excess liquid, lower bound", "times", 1, limit="most")
    too_wet_most: float | None = output("excess liquid, upper bound", "times", 1, limit="least")
    drained_liquid: float | None = output("liquid after draining", "%", 3)
    smallest_foam_bubble: float | None = output(
        "smallest foam bubble that floats", "mm", 2, limit="least"
    )
    smallest_bubble: float | None = output(
        "smallest lone bubble that floats", "mm", 2, limit="least"
    )
    bubble_lift: float | None = output("lift of a lone bubble", "mg", 3)
    lift_per_litre: float | None = output("lift per litre of gas", "g", 3)
    gas_per_serve: float | None = output("gas in one serve", "l", 3)
    gas_in_all: float | None = output("gas for the service", "l", 1, extensive=True)
    room_share: float | None = output("share of the room's air", "%", 2, extensive=True)
    cost: float | None = output("cost of the gas", "money", 2, extensive=True)


def compute(inputs: Inputs) -> Result:
    """Refuse, or weigh the foam against the air."""
    gas = room_check.gas_named(inputs.gas)
    if gas.why:
        return Result(facts={"refused_gas_count": 1, "refused_gas": gas.name,
                             "refused_gas_why": gas.why})  # fmt: skip
    celsius, pa = float(inputs.temperature), 100 * float(inputs.pressure)
    air = water.air_density_kg_m3(celsius, pa, float(inputs.humidity) / 100)
    inside = water.moist_gas_density_kg_m3(gas.molar_mass_kg_mol, celsius, pa, 1.0)
    mixture = Mixture.total(part.mixture for part in inputs.liquid)
    liquid = mixture.density_kg_m3(celsius) if inputs.liquid else water.density_kg_m3(celsius)
    largest = foam.largest_liquid_fraction_that_floats(air, inside, liquid)
    cases = _cases(inputs, liquid)
    needed = _gas_m3(inputs, cases)
    facts = _facts(inputs, gas, largest, cases, needed, mixture)
    oxygen = facts["oxygen_percent"]
    if isinstance(oxygen, float) and oxygen < room_check.OXYGEN_STOP:
        return Result(facts=facts)
    _, low, high = cases[0]
    can = largest > 0
    film = float(inputs.film) * 1e-6
    lone = foam.smallest_bubble_m(film, largest) if can else None
    shared = foam.smallest_bubble_m(film, largest, alone=False) if can else None
    lift = None
    if inputs.bubble is not None:
        size = float(inputs.bubble) / 1000
        lift = 1e6 * foam.bubble_lift_kg(size, film, air, inside, liquid)
    drained = next((100 * top for name, _, top in cases if name == _DRAINED), None)
    return Result(
        product=mixture if inputs.liquid else None,
        deciding=_deciding(facts, low),
        air_density=air,
        gas_density=inside,
        largest_liquid=100 * largest if can else None,
        least_expansion=1 / largest if can else None,
        foam_density_least=foam.density_kg_m3(low, liquid, inside),
        foam_density_most=foam.density_kg_m3(high, liquid, inside),
        too_wet_least=low / largest if can else None,
        too_wet_most=high / largest if can else None,
        drained_liquid=None if drained is None or isnan(drained) else drained,
        smallest_bubble=1000 * lone if lone else None,
        smallest_foam_bubble=1000 * shared if shared else None,
        bubble_lift=lift,
        lift_per_litre=air - inside,
        gas_per_serve=1000 * needed / inputs.serves if needed else None,
        gas_in_all=1000 * needed if needed else None,
        room_share=100 * needed / float(inputs.room_volume) if needed and inputs.room_volume
        else None,
        cost=needed * inputs.price if needed and inputs.price is not None else None,
        facts=facts,
        working=tuple(_steps(inputs, gas, air, inside, liquid, largest, needed)),
        tables=(_answers(cases, largest, liquid, inside, air),),
        model_error={"air_density": 0.001 * air, "gas_density": _gas_error(gas) * inside},
    )  # fmt: skip


def _gas_error(gas: room_check.Gas) -> float:
    """Stated error of the ideal mixture: the heavy gases are the less ideal ones."""
    return 0.007 if gas.molar_mass_kg_mol > 0.042 else 0.001


_DRAINED = "drained at that height, estimated"
_USUAL = "a lecithin air as usual (practice)"


def _cases(inputs: Inputs, liquid_kg_m3: float) -> list[tuple[str, float, float]]:
    """Liquid fractions to judge: as given or as usual, then what drainage would leave."""
    if inputs.liquid_fraction is not None:
        given = float(inputs.liquid_fraction) / 100
        found = [("as given", given, given)]
    else:
        found = [(_USUAL, *PRACTICE_AIR)]
    if (inputs.height is None) != (inputs.bubble is None) and inputs.height is not None:
        raise BadInput(
            f"{named('height')} needs {named('bubble')} as well: how far a foam drains depends on "
            "both; write for "
            f"example {named('bubble', '3 mm')}.",
            "bubble",
        )
    if inputs.height is not None and inputs.bubble is not None:
        bubble, film = float(inputs.bubble) / 1000, float(inputs.film) * 1e-6
        try:
            channels = foam.equilibrium_liquid_fraction(
                bubble, float(inputs.height) / 1000, inputs.surface_tension / 1000, liquid_kg_m3
            )
        except OutOfRange:
            channels = nan  # above 1 %: too wet for the relation, and for floating
        films = 3.0 * film / bubble
        found.append((_DRAINED, channels, channels + films))
    return found


def _word(low: float, high: float, largest: float) -> str:
    """The answer in a word; nan stands for more than 1 % liquid."""
    if largest <= 0:
        return "no, never with this gas"
    if isnan(high) or low > largest:
        return "no, too wet"
    if high <= SURE_BELOW * largest:
        return "yes, by these numbers"
    return "too close to call"


def _answers(
    cases: list[tuple[str, float, float]], largest: float, liquid: float, inside: float, air: float
) -> Table:
    rows: list[tuple[str | float | None, ...]] = []
    for name, low, high in cases:
        if isnan(high):
            rows.append((name, None, None, None, _word(low, high, largest)))
            continue
        heavy = foam.density_kg_m3(high, liquid, inside)
        rows.append((name, 100 * low, 100 * high, heavy / air, _word(low, high, largest)))
    columns = (
        Column("foam"), Column("liquid, least", "%", 3), Column("liquid, most", "%", 3),
        Column("weight over air's", "times", 1), Column("does it rise"),
    )  # fmt: skip
    return Table("answer", "does it rise in this air", columns, tuple(rows))


def _gas_m3(inputs: Inputs, cases: list[tuple[str, float, float]]) -> float:
    """Gas for the whole service, m3 at the room's pressure, with what is lost beside the foam."""
    if inputs.foam_volume is None:
        return 0.0
    _, low, _ = cases[0]
    each: float = 1e-6 * float(inputs.foam_volume) * (1 - low)
    return each * int(inputs.serves) / (1 - float(inputs.lost) / 100)


def _deciding(facts: Facts, least: float) -> str:
    """That it does not float, where that is sure; least: the least liquid fraction it may have."""
    if facts["never_floats"]:
        return f"It does not float: {facts['gas']} is no lighter than this air."
    if facts["too_wet"]:
        most = facts["largest_percent"]
        return (
            f"It does not float: {100 * least:.2g} % liquid or more, and at most {most:.2g} % "
            "would float."
        )
    return ""


def _facts(
    inputs: Inputs, gas: room_check.Gas, largest: float, cases: list[tuple[str, float, float]],
    needed_m3: float, mixture: Mixture,
) -> Facts:  # fmt: skip
    words = [_word(low, high, largest) for _, low, high in cases]
    facts: Facts = {
        "gas": gas.name,
        "asphyxiant": float(gas.asphyxiant),
        "oxidiser": float(gas.oxidiser),
        "never_floats": float(largest <= 0),
        "too_wet": float(words[0] == "no, too wet"),
        "close": float("too close to call" in words),
        "says_yes": float("yes, by these numbers" in words),
        "largest_percent": max(100 * largest, 0.0),
        "least_expansion": 1 / largest if largest > 0 else 0.0,
        "wet_percent": 100 * cases[0][1],
        "foam_abv_percent": 100 * mixture.abv if inputs.liquid else 0.0,
        "oxygen_percent": None,
        "room_share_percent": 0.0,
    }
    if largest > 0:
        film = float(inputs.film) * 1e-6
        facts["bubble_mm"] = 1000 * foam.smallest_bubble_m(film, largest, alone=False)
    if needed_m3 and gas.asphyxiant:
        facts["room_m3"] = float(inputs.room_volume) if inputs.room_volume is not None else None
        if inputs.room_volume is not None:
            room = float(inputs.room_volume)
            facts["room_share_percent"] = 100 * needed_m3 / room
            left = room_air.oxygen_fraction_after_release(room, min(needed_m3, room))
            facts["oxygen_percent"] = 100 * left
    return facts


def _steps(
    inputs: Inputs, gas: room_check.Gas, air: float, inside: float, liquid: float, largest: float,
    needed_m3: float,
) -> list[Step]:  # fmt: skip
    place = f"{float(inputs.temperature):g} °C, {float(inputs.pressure):g} mbar"
    steps = [
        Step("air", f"{place}, {float(inputs.humidity):g} % humidity, ideal mixture", air,
             "kg/m3", "WAGNER-PRUSS"),
        Step("gas in a bubble", f"{gas.name}, saturated with water vapour, {place}", inside,
             "kg/m3", "WAGNER-PRUSS"),
        Step("largest liquid fraction that floats",
             f"({air:.4f} - {inside:.4f}) / ({liquid:.1f} - {inside:.4f})", 100 * largest,
             "% by volume", "DEFINITION"),
    ]  # fmt: skip
    if largest > 0:
        steps.append(
            Step("smallest bubble in a foam", f"3 x {float(inputs.film):g} um / {largest:.3g}",
                 3e-3 * float(inputs.film) / largest, "mm", "DEFINITION")
        )  # fmt: skip
    if inputs.height is not None:
        steps.append(
            Step("liquid left by drainage", f"0.171 x (sigma / (rho g z L))^2 + 3 h / d with sigma "
                 f"{inputs.surface_tension:g} mN/m, z {float(inputs.height):g} mm",
                 None, "", "KOEHLER-2000")
        )  # fmt: skip
    if needed_m3 and inputs.foam_volume is not None:
        steps.append(
            Step("gas for the service", f"{inputs.serves} x {float(inputs.foam_volume):g} ml x "
                 f"share of gas / (1 - {float(inputs.lost):g} % lost)", 1000 * needed_m3, "l",
                 "DEFINITION")
        )  # fmt: skip
    return steps
