"""warm: a hot part, cold parts and a cup: how hot it is handed over, and when it can be drunk."""

from __future__ import annotations

from typing import TypedDict

from prepkit import derived, jurisdictions
from prepkit.errors import BadInput, named
from prepkit.facts import Facts, checked
from prepkit.ingredient import Ingredient, Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, flag, ingredient, part, parts, quantity
from prepkit.mixture import Mixture
from prepkit.model import Column, Compared, Deciding, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import ethanol, heat
from prepkit.shared import drink, keeping

EXAMPLE = (
    'prepkit warm --hot "120 g filter coffee" --hot-temperature "78 C" --part "40 ml spirit 40 %" '
    '--part "15 g syrup 50 Bx"'
)
FLASH_LOW_ABV = 0.05
USUAL_ML = (150.0, 300.0)  # cups, where the size was not told
_HOT_FROM_C = 30.0  # the low end of the hot part's temperature
COOL_C = 53.0  # where the standing times of hot drinks were counted to


class Inputs(BaseInputs):
    """What is hot, what is not, and the cup."""

    groups = (
        ("Most needed", "hot hot_temperature part target drunk_at cup"),
        ("Hot part", "hot_ingredient"),
        ("Cup", "cup_temperature lidded cream_on_top serve"),
        ("Conditions", "temperature room_temperature evaporated held jurisdiction"),
    )

    hot: Part | None = part(
        "hot part",
        "With its amount if known, and its own temperature. One entry for each.",
        "120 g filter coffee at 78 C",
        default=None,
        several=True,
        at=True,
    )
    hot_ingredient: Ingredient | None = ingredient(
        "hot part, amount wanted", f"With {named('target')}: how much of it is needed.",
        "filter coffee", default=None,
    )  # fmt: skip
    hot_temperature: float | None = quantity(
        "C", "temperature of the hot part",
        "As it is poured, by a thermometer, where the hot part does not say its own.", "85 C",
        default=None, low=30, high=100, because="a hot liquid in a cup",
    )  # fmt: skip
    part: tuple[Part, ...] = parts(
        "other parts",
        "Spirit, syrup, milk. One entry for each. Write the temperature of a hot one.",
        "40 ml spirit 40 %", default=None, at=True,
    )  # fmt: skip
    temperature: float = quantity(
        "C", "temperature of the other parts", "As they are poured, without their own.", "20 C",
        default=20.0, low=-20, high=60, because="colder than the hot part",
    )  # fmt: skip
    target: float | None = quantity(
        "C", "temperature wanted", f"With {named('hot_ingredient')}.", "60 C",
        default=None, low=25, high=95, because="a warm drink",
    )  # fmt: skip
    drunk_at: float | None = quantity(
        "C", "drinking temperature", "For the minutes until then.", "55 C",
        default=None, low=20, high=75, because="a warm drink in the mouth",
    )  # fmt: skip
    cup: float | None = quantity(
        "g", "weight of the cup", "Of ceramic or glass; none is counted where it is not given.",
        "250 g", default=None, low=0, high=5000, because="a cup", extensive=True,
    )  # fmt: skip
    cup_temperature: float = quantity(
        "C", "temperature of the cup", "At room temperature if it was not preheated.", "20 C",
        default=20.0, low=0, high=95, because="a cup",
    )  # fmt: skip
    room_temperature: float = quantity(
        "C", "temperature of the room", "For the time it takes to cool.", "20 C",
        default=20.0, low=-10, high=40, because="a room with people",
    )  # fmt: skip
    serve: float | None = quantity(
        "ml", "volume of one cup", "For its cooling; 150 to 300 ml where it is not given.",
        "180 ml", default=None, low=60, high=600, because="cups that were measured",
    )  # fmt: skip
    lidded: bool = flag("lidded cup", "A takeaway cup with its lid on.")
    cream_on_top: bool = flag("cream on top", "A float of cream; see the layer calculator.")
    evaporated: float | None = quantity(
        "%", "water that evaporated", "Of the water's weight, by weighing the open cup.", "1 %",
        default=None, low=0, high=20, because="the estimate ends there",
    )  # fmt: skip
    held: float | None = quantity(
        "C", "hot-holding temperature",
        "Of the finished drink where it waits, such as in an urn. The rule of the place judges it.",
        "65 C", default=None, low=20, high=100, because="a hot drink that waits",
    )  # fmt: skip
    jurisdiction: str = choice(
        jurisdictions.CHOICES, "jurisdiction", "The place whose rules for hot holding count. "
                                              "Without it, the strictest.",
        default=jurisdictions.STRICTEST,
    )  # fmt: skip

    tidy_field = staticmethod(jurisdictions.tidied)  # a place by any of its names


class Result(BaseResult):
    """How hot, how long, how strong."""

    screen = Screen(
        headline=(
            "{in_cup} in the cup, {abv}.",
            "{temperature} as mixed, {abv}.",
            "{in_cup} in the cup.",
            "{temperature} as mixed.",
        ),
        primary=(
            Figure("in the cup", "in_cup"),
            Figure("as mixed", "temperature"),
            Figure("below 60 °C after", "minutes_60_soon", "minutes_60_late"),
            Figure("below 53 °C after", "minutes_53_soon", "minutes_53_late"),
            Figure("as cool as wanted after", "minutes_drunk_soon", "minutes_drunk_late"),
            Figure("strength", "abv"),
            Figure("flash point", "flash_point"),
            "ethanol",
            Figure("volume", "volume"),
        ),
        check=("mass",),
        do_this=("Hot part needed: {hot_needed} ({hot_needed_volume}), at {hot_temperature}.",),
    )

    hot_needed: float | None = output("hot part needed", "g", 1, extensive=True)
    hot_needed_volume: float | None = output("hot part, volume (20 °C)", "ml", 1, extensive=True)
    temperature: float | None = output("temperature without the cup", "C", 1)
    in_cup: float | None = output("temperature in the cup, first", "C", 1)
    in_cup_low: float | None = output("temperature in the cup, coldest", "C", 1, limit="most")
    minutes_60_soon: float | None = output("below 60 °C, earliest", "min", 0, limit="most")
    minutes_60_late: float | None = output("below 60 °C, latest", "min", 0, limit="least")
    minutes_53_soon: float | None = output("below 53 °C, earliest", "min", 0, limit="most")
    minutes_53_late: float | None = output("below 53 °C, latest", "min", 0, limit="least")
    minutes_drunk_soon: float | None = output("as cool as wanted, earliest", "min", 0, limit="most")
    minutes_drunk_late: float | None = output("as cool as wanted, latest", "min", 0, limit="least")
    mass: float | None = output("mass", "g", 1, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 0, extensive=True)
    abv: float | None = output("strength at 20 °C", "% vol", 2)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    ethanol_left: float | None = output("ethanol left, standing open", "g", 1, extensive=True)
    sugar: float | None = output("sugars", "% w/w", 2)
    flash_point: float | None = output("flash point of that strength", "C", 0)


#: What may stand beside a stop: how hot it is and when it would do.
REASONS = frozenset((
    "temperature", "in_cup", "in_cup_low", "minutes_60_soon", "minutes_60_late",
    "minutes_53_soon", "minutes_53_late", "minutes_drunk_soon", "minutes_drunk_late",
))  # fmt: skip


def compute(inputs: Inputs) -> Result:
    """The balance of heat, then the cup, then the clock."""
    poured = _poured(inputs)
    going_in = [mixture for mixture, _ in poured]
    temperatures = [at_c for _, at_c in poured]
    masses = [mixture.mass_kg for mixture in going_in]
    heats = [_cp(m, t) for m, t in poured]
    mixed_c = heat.mixing_temperature_c(masses, heats, temperatures)
    product = Mixture.total(going_in)
    hot = going_in[0]
    in_cup = _in_cup(inputs, masses, heats, temperatures)
    served_c = in_cup[0] if in_cup else mixed_c
    hottest_c = mixed_c
    if inputs.held is not None:  # it is handed over as hot as it waits
        served_c = max(served_c, float(inputs.held))
        hottest_c = max(mixed_c, float(inputs.held))
    place = jurisdictions.of_choice(inputs.jurisdiction)
    waits = {} if inputs.held is None else keeping.hot_facts(inputs.held, product, place)
    shown, errors = derived.of(product, "mass", "volume", "abv", "ethanol", "sugar")
    times, rates = _times(inputs, served_c)
    abv = product.abv
    flash_c = ethanol.flash_point_c(abv) if abv >= FLASH_LOW_ABV else None
    left = (
        heat.ethanol_remaining(0.01 * inputs.evaporated) if inputs.evaporated is not None else 1.0
    )
    errors["temperature"] = 1.0  # heat to the air of pouring is not counted
    decides = _deciding(served_c, waits)
    found = Result(
        product=product,
        facts={
            **checked(heat.facts(served_c)),
            "cup_known": inputs.cup is not None,
            "lidded": inputs.lidded,
            "cream_on_top": inputs.cream_on_top,
            "over_flash_k": max(
                ethanol.over_flash_k(m.abv, t) for m, t in ((product, hottest_c), *poured)
            ),
            "colder_than_drunk_k": float(inputs.drunk_at) - served_c
            if inputs.drunk_at is not None
            else 0.0,
            "drunk_at_c": float(inputs.drunk_at or 0.0),
            **waits,
            **derived.facts(product),
        },
        deciding=decides.words,
        compared=decides.compared,
        working=_steps(masses, heats, temperatures, mixed_c, rates, served_c),
        tables=(
            _cooling(inputs, served_c, rates),
            *(() if inputs.held is None else (keeping.table(place),)),
        ),
        model_error=errors,
        hot_needed=1000 * hot.mass_kg if inputs.hot_ingredient else None,
        hot_needed_volume=1e6 * hot.volume_20_m3 if inputs.hot_ingredient else None,
        temperature=mixed_c,
        in_cup=in_cup[0] if in_cup else None,
        in_cup_low=in_cup[1] if in_cup else None,
        ethanol_left=shown["ethanol"] * left
        if shown["ethanol"] and inputs.evaporated is not None
        else None,
        flash_point=flash_c,
        **times,
        mass=shown["mass"],
        volume=shown["volume"],
        abv=shown["abv"],
        ethanol=shown["ethanol"],
        sugar=shown["sugar"],
    )
    stopped = served_c > heat.VERY_HOT_C or waits.get("held_short_k", 0.0) > 0
    return found.only(REASONS) if stopped else found


def _deciding(served_c: float, waits: Facts) -> Deciding:
    """What decides where a limit of heat is passed, with the limit; else nothing."""
    served = Deciding(
        f"{served_c:.0f} °C when it is handed over. Limit: {heat.VERY_HOT_C:.0f} °C.",
        Compared(served_c, heat.VERY_HOT_C, "C", 0),
    )
    if served_c > heat.VERY_HOT_C:
        return served
    if waits.get("held_short_k", 0.0) > 0:
        return Deciding(
            f"Held at {waits['held_c']:.0f} °C. Least: {waits['hot_limit_c']:.0f} °C "
            f"({waits['holding_place']})."
        )
    return served if served_c > heat.WARN_C else Deciding("")


def _poured(inputs: Inputs) -> list[tuple[Mixture, float]]:
    """What goes into the cup, each with its temperature, the hot part first."""
    others = tuple(inputs.part or ())
    cold_c = drink.each_c(
        others, float(inputs.temperature), "part", inputs.spec("hot_temperature")._replace(low=-20)
    )
    cold_parts = [(one.mixture, at_c) for one, at_c in zip(others, cold_c, strict=True)]
    hot_among = any(
        one.temperature_c is not None and one.temperature_c >= _HOT_FROM_C for one in others
    )
    ways = (inputs.hot is not None) + (inputs.hot_ingredient is not None)
    if ways > 1 or not (ways or hot_among):
        raise BadInput(
            f"warm needs {named('hot')} with its amount, such as "
            f"{named('hot', '120 g filter coffee at 78 C')}, or "
            f"{named('hot_ingredient')} with {named('target')} to be told how much.",
            "hot",
        )
    hot = tuple(inputs.hot.each) if inputs.hot is not None else ()
    unsaid = inputs.hot_ingredient is not None or None in drink.own(hot)
    if unsaid and inputs.hot_temperature is None:
        raise BadInput(
            "warm needs the temperature of the hot part. Write it in its words, such as "
            f"{named('hot')} "
            f'"120 g filter coffee at 78 C", or enter {named("hot_temperature")}.',
            "hot_temperature",
        )
    if not unsaid and inputs.hot_temperature is not None:
        raise BadInput(
            f"{named('hot_temperature')} is {float(inputs.hot_temperature):g} °C and there is no "
            "hot part "
            f"without its own temperature; leave it out.",
            "hot_temperature",
        )
    if inputs.hot_ingredient is None and inputs.target is not None:
        target, hottest = float(inputs.target), max(c for _, c in _hot(inputs, cold_parts))
        raise BadInput(
            f"{named('target')} is {target:g} °C and the hot part is at {hottest:g} °C; it must be "
            "hotter "
            f"than what is wanted."
            if target >= hottest
            else f"{named('target')} goes with {named('hot_ingredient')}, which asks how much is "
            "needed. With the amount given, leave one of the two out; for the time to cool write "
            f"{named('drunk_at')}.",
            "target",
        )
    if inputs.hot_ingredient is not None:
        hot_c = _hot_c(inputs)
        needed = _needed(inputs, inputs.hot_ingredient.mixture, hot_c, cold_parts)
        return [(needed, hot_c), *cold_parts]
    return _hot(inputs, cold_parts)


def _hot(inputs: Inputs, cold_parts: list[tuple[Mixture, float]]) -> list[tuple[Mixture, float]]:
    """All that is poured, the hot parts first, where their amounts are given."""
    hot = inputs.hot.each if inputs.hot is not None else ()
    hot_c = float(inputs.hot_temperature) if inputs.hot_temperature is not None else 0.0
    at = drink.each_c(hot, hot_c, "hot", inputs.spec("hot_temperature"))
    return [*((one.mixture, c) for one, c in zip(hot, at, strict=True)), *cold_parts]


def _cp(mixture: Mixture, at_c: float) -> float:
    return drink.specific_heat_j_kg_k(mixture, at_c, at_c)


def _hot_c(inputs: Inputs) -> float:
    if inputs.hot_temperature is None:
        raise BadInput(
            f"{named('hot_ingredient')} needs {named('hot_temperature')}, how hot it is poured.",
            "hot_temperature",
        )
    return float(inputs.hot_temperature)


def _needed(
    inputs: Inputs, per_kg: Mixture, hot_c: float, cold_parts: list[tuple[Mixture, float]]
) -> Mixture:
    """The hot part that brings the cold ones, and half of the cup's heat, to the target."""
    if inputs.target is None or not cold_parts:
        raise BadInput(
            f"{named('hot_ingredient')} asks how much is needed; give {named('target')} and at "
            f"least one {named('part')}.",
            "target",
        )
    target = float(inputs.target)
    masses = [mixture.mass_kg for mixture, _ in cold_parts]
    heats = [_cp(mixture, at_c) for mixture, at_c in cold_parts]
    temperatures = [at_c for _, at_c in cold_parts]
    if not target < hot_c:
        raise BadInput(
            f"{named('target')} is {target:g} °C and the hot part is at {hot_c:g} °C; it must be "
            "hotter than "
            f"what is wanted.",
            "target",
        )
    capacity, cup_c = _cup_j_k(inputs), float(inputs.cup_temperature)
    own_c = heat.mixing_temperature_c(
        masses,
        heats,
        temperatures,
        heat.CUP_SHARE_FIRST_MINUTES * capacity,
        cup_c,
    )
    if target < own_c:
        raise BadInput(
            f"The cold parts in the cup are at {own_c:.1f} °C already, and {named('target')} is "
            f"{target:g} °C. Nothing hot is needed.",
            "target",
        )
    kg = heat.hot_part_needed_kg(
        masses,
        heats,
        temperatures,
        _cp(per_kg, hot_c),
        hot_c,
        target,
        heat.CUP_SHARE_FIRST_MINUTES * capacity,
        cup_c,
    )
    needed: Mixture = per_kg.scaled(kg)
    return needed


def _cup_j_k(inputs: Inputs) -> float:
    return 1e-3 * float(inputs.cup or 0.0) * heat.CERAMIC_J_KG_K


def _in_cup(
    inputs: Inputs, masses: list[float], heats: list[float], temperatures: list[float]
) -> tuple[float, float] | None:
    """With half of the cup's heat, and with all of it."""
    if inputs.cup is None:
        return None
    capacity, cup_c = _cup_j_k(inputs), float(inputs.cup_temperature)
    half, full = (
        heat.mixing_temperature_c(masses, heats, temperatures, share * capacity, cup_c)
        for share in (heat.CUP_SHARE_FIRST_MINUTES, 1.0)
    )
    return half, full


class CoolingMinutes(TypedDict, total=False):
    """Values of the result on the time it takes to cool, min."""

    minutes_60_soon: float
    minutes_60_late: float
    minutes_53_soon: float
    minutes_53_late: float
    minutes_drunk_soon: float
    minutes_drunk_late: float


def _times(inputs: Inputs, served_c: float) -> tuple[CoolingMinutes, tuple[float, float]]:
    """Minutes until 60 and 53 C, soonest and latest, and the slowest and fastest rate."""
    sizes = USUAL_ML if inputs.serve is None else (float(inputs.serve),) * 2
    slow = heat.cooling_rates_per_min(sizes[1], inputs.lidded)[0]
    fast = heat.cooling_rates_per_min(sizes[0], inputs.lidded)[1]
    found: CoolingMinutes = {}
    room_c = float(inputs.room_temperature)

    def until(to_c: float) -> tuple[float, float]:
        minutes = (heat.minutes_until(served_c, to_c, room_c, rate) for rate in (fast, slow))
        return next(minutes), next(minutes)

    if served_c > heat.WARN_C:
        found["minutes_60_soon"], found["minutes_60_late"] = until(heat.WARN_C)
    if served_c > COOL_C:
        found["minutes_53_soon"], found["minutes_53_late"] = until(COOL_C)
    drunk_c = inputs.drunk_at
    if drunk_c is not None and inputs.room_temperature < drunk_c < served_c:
        found["minutes_drunk_soon"], found["minutes_drunk_late"] = until(float(drunk_c))
    return found, (slow, fast)


def _cooling(inputs: Inputs, served_c: float, rates: tuple[float, float]) -> Table:
    room_c = float(inputs.room_temperature)
    rows: list[tuple[str | float | None, ...]] = []
    for minutes in (0, 5, 10, 15, 20, 30):
        slow, fast = (heat.temperature_after_c(served_c, room_c, minutes, rate) for rate in rates)
        rows.append((f"{minutes} min", fast, slow))
    return Table(
        "cooling",
        "standing in the cup, order of magnitude",
        (Column("after"), Column("at the coldest", "C", 0), Column("at the hottest", "C", 0)),
        tuple(rows),
    )


def _steps(
    masses: list[float],
    heats: list[float],
    temperatures: list[float],
    mixed_c: float,
    rates: tuple[float, float],
    served_c: float,
) -> tuple[Step, ...]:
    terms = [
        f"{1000 * m:.1f} g x {cp / 1000:.2f} J/(g K) at {t:g} °C"
        for m, cp, t in zip(masses, heats, temperatures, strict=True)
    ]
    return (
        Step("as mixed", f"the balance of {' and '.join(terms)}", mixed_c, "C", "PREPKIT-SPIRIT"),
        Step(
            "cooling",
            f"to the room by {rates[0]:.3f} to {rates[1]:.3f} per min, from",
            served_c,
            "C",
            "MUG-COOLING",
        ),
    )
