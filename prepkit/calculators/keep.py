"""keep: pH, water activity, what is in it and its dates, against the tables of the food codes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.model import choice, count, flag, held, number, output, parts, quantity
from prepkit.model import words as words_of
from prepkit.pantry import Pantry, Part
from prepkit.science import acids, inversion, readings
from prepkit.shared import keep_show, keeping_rules, syrup
from prepkit.shared.keep_show import Figures
from prepkit.shared.keeping_rules import Days, Judged
from prepkit.units import Measured

EXAMPLE = (
    'prepkit keep --part "1 kg lemon juice" --part "600 g white sugar" --ph 2.6 '
    "--made 2026-11-25 --today 2026-11-28"
)
_ROOM_C, _COLD_ROOM_C = 20.0, 4.0
_FOREVER_D = 1e6  # a half-life beyond this says nothing


class Inputs(BaseInputs):
    """What it is, what was measured, and its days."""

    # what the ingredients that are named with a day bring along; they are in it
    _dated: Mixture = held(Mixture({}))
    _unknown: tuple[str, ...] = held(())

    part: tuple[Part, ...] = parts(
        "what is in it", "For its alcohol, sugar, milk, egg and plants; what is computed from it "
        "is shown and never clears it.", "1 kg lemon juice", default=None,
    )  # fmt: skip
    ph: float | None = number(
        "measured pH", "With a calibrated meter, at equilibrium: after 24 hours and blended where "
        "there are pieces.", "3.9", default=None, low=0, high=14, because="the pH scale",
    )  # fmt: skip
    water_activity: float | None = number(
        "measured water activity", "With a meter, at 25 C.", "0.93", default=None, low=0, high=1,
        because="pure water has 1",
    )  # fmt: skip
    abv: Measured | None = quantity(
        "% vol", "strength", "Where no parts are given.", "18 % vol", default=None, low=0, high=100,
        because="a strength", bare=True,
    )  # fmt: skip
    sugar: Measured | None = quantity(
        "g/l", "sugar", "Where no parts are given.", "300 g/l", default=None, low=0, high=900,
        because="no syrup holds more",
    )  # fmt: skip
    contains: tuple[str, ...] = words_of(
        "what the rules ask after", "Dairy, egg, raw egg, garlic in oil, herb in oil, low-acid "
        "plant, fresh juice; give the option once for each.", "dairy", default=(), many=True,
    )  # fmt: skip
    treatment: str = choice(
        ("none", "heated", keeping_rules.PACKAGED),
        "heat treatment",
        "Heated: enough to kill vegetative germs, and handled afterwards. Heated and packaged: "
        "closed in its package after that heat.",
        default="none",
    )
    acidified: bool = flag(
        "acid was added to make it keep", "A regulated act, other than acid for flavour."
    )
    made: str | None = words_of(
        "day of making", "It is day 1. Year, month, day.", "2026-11-25", default=None
    )
    ingredient_date: tuple[str, ...] = words_of(
        "days of ingredients", "Name and day on which it was itself made or opened; the oldest "
        "sets day 1. What is named here counts as being in it.", "cream 2026-11-22",
        default=(), many=True,
    )  # fmt: skip
    use_by: tuple[str, ...] = words_of(
        "makers' last days", "Name and last day on the package.", "cream 2026-11-29", default=(),
        many=True,
    )  # fmt: skip
    frozen: int = count(
        "days frozen", "Whole days at freezing, which stop the count.", "3", default=0, high=365
    )
    today: str | None = words_of("today", "To see what is left.", "2026-11-28", default=None)
    fridge: Measured | None = quantity(
        "C", "temperature it is kept at", "As measured in the food; the days hold at 5 C or "
        "colder.", "4 C", default=None, low=-30, high=40, because="keeping cold; hot holding is "
        "at 57 C or above and by the hour",
    )  # fmt: skip
    out_of_cold: Measured | None = quantity(
        "h", "hours out of the cold", "In all, since it was made.", "2 h", default=None, low=0,
        high=1000, because="after that nobody asks",
    )  # fmt: skip
    warmest: Measured | None = quantity(
        "C", "warmest it became", "In the food, while it was out.", "18 C", default=None, low=-30,
        high=100, because="a food",
    )  # fmt: skip
    jurisdiction: str = choice(
        ("strictest", "us", "eu"), "whose rules", "Where rules differ; the strictest of those read "
        "unless said.", default="strictest",
    )  # fmt: skip

    def after_reading(self, pantry: Pantry) -> None:
        """Hook of the base: what is named with a day."""
        dated, unknown = keeping_rules.dated((*self.ingredient_date, *self.use_by), pantry)
        self.hold("_dated", dated)
        self.hold("_unknown", unknown)


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """Figures side by side as information; the decision is in the first table, in words."""

    ph: float | None = output("pH", "", 2)
    water_activity: float | None = output("water activity at 25 C", "", 3)
    abv: float | None = output("strength at 20 C", "% vol", 1)
    sugar_g_l: float | None = output("sugars in the volume", "g/l", 0)
    delle_units: float | None = output("Delle units (wine yeast only)", "", 1)
    half_life_cold: float | None = output("half of the sucrose split at 4 C, soonest", "d", 0)
    half_life_cold_most: float | None = output("half of the sucrose split at 4 C, latest", "d", 0)
    half_life_room: float | None = output("half of the sucrose split at 20 C, soonest", "d", 0)
    half_life_room_most: float | None = output("half of the sucrose split at 20 C, latest", "d", 0)
    days_allowed: float | None = output("days at most, day of making being 1", "d", 0)
    days_left: float | None = output("days left, today among them", "d", 0)
    hours_left: float | None = output("hours left out of the cold", "h", 1)


def compute(inputs: Any) -> Result:
    """Figures, the decision, the days."""
    mixture = Mixture.total(one.mixture for one in inputs.part) if inputs.part else None
    _check(inputs, mixture)
    dated = inputs._dated
    product = dated if mixture is None else mixture + dated
    holds = keeping_rules.held(inputs.contains, product)
    figures = _figures(inputs, mixture)
    judged = keeping_rules.judged(
        inputs.ph, inputs.water_activity, inputs.treatment == keeping_rules.PACKAGED, holds
    )
    allowed = keeping_rules.OIL_DAYS if "in-oil" in holds else keeping_rules.DAYS
    days = _days(inputs, allowed)
    today = keeping_rules.read_date(inputs.today, named("today")) if inputs.today else None
    facts = _facts(inputs, judged, holds, figures, days, today)
    if mixture is not None:
        cold_c = max(0.0, _COLD_ROOM_C if inputs.fridge is None else float(inputs.fridge))
        facts |= {"supersaturation": syrup.supersaturation(mixture, cold_c), "cold_c": cold_c}
    if mixture is None:
        facts |= keeping_rules.brought(dated)
    stopped = facts["past_days"] > 0 or facts["hours_over"] > 0 or facts["too_warm_k"] > 0
    halves = _half_lives(inputs, figures)
    error = {
        "ph": figures.ph_error, "water_activity": figures.water_activity_error,
    }  # fmt: skip
    strength, sugar = figures.abv, figures.sugar_g_l
    delle = None
    if strength is not None and sugar is not None and sugar <= 900.0:
        delle = readings.delle_units(sugar, strength / 100.0)
    return Result(
        product=None if mixture is None else product,
        ph=figures.ph,
        water_activity=figures.water_activity,
        abv=strength,
        sugar_g_l=sugar,
        delle_units=delle,
        **halves,
        days_allowed=None if stopped else float(allowed),
        days_left=None if stopped or days is None or today is None else float(days.left(today)),
        hours_left=None if stopped or inputs.out_of_cold is None else facts["hours_left"],
        facts=facts,
        tables=tuple(
            table
            for table in (
                keep_show.decision(inputs, judged, figures),
                None if stopped or days is None else keep_show.dates(inputs, days, judged),
                keep_show.growth(figures),
            )
            if table is not None
        ),
        working=tuple(keep_show.working(inputs, judged, figures, days, delle)),
        model_error={name: value for name, value in error.items() if value},
    )


def _check(inputs: Any, mixture: Mixture | None) -> None:
    known = (inputs.ph, inputs.water_activity, inputs.made, inputs.abv, inputs.sugar)
    if mixture is None and not inputs.contains and all(one is None for one in known):
        raise BadInput(
            f"keep needs something to judge: {named('ph')} and {named('water_activity')} as "
            f"measured, {named('part')} or "
            f"{named('contains')} for what is in it, or {named('made')} for its days.",
            "ph",
        )
    for name in ("abv", "sugar"):
        if mixture is not None and getattr(inputs, name) is not None:
            raise BadInput(
                f"--{name} follows from the parts; leave it out, or leave out {named('part')}.",
                name,
            )
    for name in ("ingredient_date", "use_by", "today"):
        if getattr(inputs, name) and inputs.made is None:
            raise BadInput(
                f"--{name.replace('_', '-')} needs {named('made')}, the day of making, such as "
                "2026-11-25.",
                "made",
            )
    if inputs.frozen and inputs.made is None:
        raise BadInput(f"{named('frozen')} needs {named('made')}, the day of making.", "made")


def _days(inputs: Any, allowed: int) -> Days | None:
    if inputs.made is None:
        return None
    made = keeping_rules.read_date(inputs.made, named("made"))
    if inputs.today:
        today = keeping_rules.read_date(inputs.today, named("today"))
        if today < made:
            raise BadInput(
                f"{named('today')} is {today}, before {named('made')} {made}; check the dates.",
                "today",
            )
        if inputs.frozen > (today - made).days:
            raise BadInput(
                f"{named('frozen')} is {inputs.frozen} days, and it was made only "
                f"{(today - made).days} "
                f"d ago; check it.",
                "frozen",
            )
    return keeping_rules.count_days(
        made,
        [
            keeping_rules.read_named_date(one, named("ingredient_date"))
            for one in inputs.ingredient_date
        ],
        [keeping_rules.read_named_date(one, named("use_by")) for one in inputs.use_by],
        allowed,
        inputs.frozen,
    )


def _figures(inputs: Any, mixture: Mixture | None) -> Figures:
    if mixture is None:
        abv = None if inputs.abv is None else float(inputs.abv)
        sugar = None if inputs.sugar is None else float(inputs.sugar)
        return Figures(inputs.ph, 0.0, inputs.water_activity, 0.0, abv, sugar, bool(sugar))
    shown, errors = derived.of(mixture, "ph", "water_activity")
    volume_ml = derived.volume_ml(mixture)
    sugar = None if not volume_ml else 1e6 * mixture.of(*SUGARS) / volume_ml
    return Figures(
        inputs.ph if inputs.ph is not None else shown["ph"],
        errors.get("ph", 0.0) if inputs.ph is None else 0.0,
        inputs.water_activity if inputs.water_activity is not None else shown["water_activity"],
        errors.get("water_activity", 0.0) if inputs.water_activity is None else 0.0,
        100.0 * mixture.abv if volume_ml else None,
        sugar,
        mixture.fraction("sucrose") > 0.02,
    )


def _half_lives(
    inputs: Any, figures: Figures
) -> dict[str, Any]:  # Any: fields of Result differ in type
    """Days until half the sucrose is split, soonest and latest, cold and in the room."""
    spirit = figures.abv is not None and figures.abv > 100.0 * acids.KEEPING_ABV_HIGH
    ph = None if spirit else figures.ph  # the rate is of water
    found: dict[str, Any] = {}
    for place, temperature_c in (("cold", _COLD_ROOM_C), ("room", _ROOM_C)):
        half = None
        if ph is not None and figures.sucrose:
            g_l = 0.0 if inputs.ph is not None else min(figures.sugar_g_l or 0.0, 950.0)
            half = _or_none(partial(inversion.half_life_days, ph, temperature_c, g_l))
        if half is not None and half > _FOREVER_D:
            half = None
        found[f"half_life_{place}"] = None if half is None else half / inversion.RANGE_FACTOR
        found[f"half_life_{place}_most"] = half
    return found


def _or_none(call: Callable[[], float]) -> float | None:
    try:
        return call()
    except BadInput:
        return None


def _facts(
    inputs: Any,
    judged: Judged,
    holds: frozenset[str],
    figures: Figures,
    days: Days | None,
    today: date | None,
) -> dict[str, Any]:
    control = judged.result != keeping_rules.COLD
    hours, warmest = inputs.out_of_cold, inputs.warmest
    fridge = None if inputs.fridge is None else float(inputs.fridge)
    limit = keeping_rules.hours_allowed(holds, fridge, None if warmest is None else float(warmest))
    over = 0.0 if hours is None else float(hours) - limit
    warm_k = 0.0 if fridge is None else fridge - keeping_rules.COLD_C
    late = 0 if days is None or today is None else 1 - days.left(today)
    return {
        "result": judged.result,
        "reasons": "; ".join(judged.reasons),
        "holds": holds,
        "undecided": judged.table is None,
        "close_ph": judged.close_ph,
        "close_aw": judged.close_aw,
        "names_not_known": 0 if inputs.contains else len(inputs._unknown),
        "not_known": ", ".join(inputs._unknown),
        "european": inputs.jurisdiction == "eu",
        "acidified": inputs.acidified,
        "packaged": inputs.treatment == keeping_rules.PACKAGED,
        "heated": inputs.treatment != "none",
        "hours_limit": limit,
        "hours_left": max(-over, 0.0),
        "hours_over": max(over, 0.0) if control else 0.0,
        "cold_hours_over": 0.0 if control else max(over, 0.0),
        "kept_c": fridge,
        "too_warm_k": max(warm_k, 0.0) if control else 0.0,
        "cold_too_warm_k": 0.0 if control else max(warm_k, 0.0),
        "past_days": max(late, 0),
        "last_day": "" if days is None else days.last.isoformat(),
        "strength_percent": figures.abv,
        "measured_ph": inputs.ph,
        "measured_water_activity": inputs.water_activity,
    }


__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]
