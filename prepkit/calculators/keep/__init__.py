"""keep: pH, water activity, what is in it and its dates, against the tables of the food codes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from prepkit import derived, jurisdictions
from prepkit.calculators.keep import show, vinegar
from prepkit.calculators.keep.inputs import Inputs, checked
from prepkit.calculators.keep.show import Figures
from prepkit.errors import BadInput, named
from prepkit.first_screen import Figure, Screen
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Result as BaseResult
from prepkit.model import output
from prepkit.science import acids, inversion, readings
from prepkit.shared import holding, keeping_rules, syrup, use_by
from prepkit.shared.keeping_rules import Days, Judged

EXAMPLE = (
    'prepkit keep --part "1 kg lemon juice" --part "600 g white sugar" --ph 2.6 '
    "--made 2026-11-25 --today 2026-11-28"
)
_ROOM_C, _COLD_ROOM_C = 20.0, 4.0
_FOREVER_D = 1e6  # a half-life beyond this says nothing


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """Figures side by side as information; the decision is in the first table, in words."""

    screen = Screen(
        headline=("The codes say: {result}.",),
        primary=(
            Figure("days left, with today", "days_left"),
            Figure("days at most", "days_allowed"),
            Figure("hours left out of the cold", "hours_left"),
            "ph",
            Figure("water activity", "water_activity"),
            Figure("strength", "abv"),
            Figure("sugars", "sugar_g_l"),
            Figure("Delle units", "delle_units"),
        ),
    )

    ph: float | None = output("pH", "", 2)
    water_activity: float | None = output("water activity at 25 °C", "", 3)
    abv: float | None = output("strength at 20 °C", "% vol", 1)
    sugar_g_l: float | None = output("sugars in the volume", "g/l", 0)
    delle_units: float | None = output("Delle units (wine yeast only)", "", 1)
    half_life_cold: float | None = output("half the sucrose split, earliest (4 °C)", "d", 0)
    half_life_cold_most: float | None = output("half the sucrose split, latest (4 °C)", "d", 0)
    half_life_room: float | None = output("half the sucrose split, earliest (20 °C)", "d", 0)
    half_life_room_most: float | None = output("half the sucrose split, latest (20 °C)", "d", 0)
    days_allowed: float | None = output("days allowed (day made = 1)", "d", 0)
    days_left: float | None = output("days left (today counted)", "d", 0)
    hours_left: float | None = output("hours left uncooled", "h", 1)


def compute(inputs: Inputs) -> Result:
    """Figures, the decision, the days."""
    mixture = Mixture.total(one.mixture for one in inputs.part) if inputs.part else None
    checked(inputs, mixture)
    dated = inputs._dated
    product = dated if mixture is None else mixture + dated
    holds = keeping_rules.held(inputs.contains, product)
    figures = _figures(inputs, mixture)
    rule = _rule(mixture, product, holds)
    judged = _judged(inputs, figures, holds, rule)
    allowed = keeping_rules.DAYS if rule.days is None else rule.days
    days = None if rule.exempt else _days(inputs, allowed)
    today = keeping_rules.read_date(inputs.today, named("today")) if inputs.today else None
    facts = _facts(inputs, judged, holds, figures, days, today)
    if mixture is not None:
        cold_c = max(0.0, _COLD_ROOM_C if inputs.fridge is None else float(inputs.fridge))
        facts |= {"supersaturation": syrup.supersaturation(mixture, cold_c), "cold_c": cold_c}
        facts |= {"solids_percent": 100.0 * mixture.dissolved_solids}
    acetic = vinegar.of(mixture, inputs.ph)
    if acetic is not None:
        facts |= {"acetic_index": acetic[0], "acetic_stability": acetic[1]}
    if mixture is None:
        facts |= keeping_rules.brought(dated)
    stopped = facts["past_days"] > 0 or facts["hours_over"] > 0 or facts["too_warm_k"] > 0
    counted = not (stopped or rule.exempt or facts["days_too_warm"])  # days hold at 5 C or colder
    cold = _half_life(inputs, figures, _COLD_ROOM_C)
    room = _half_life(inputs, figures, _ROOM_C)
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
        half_life_cold=cold[0],
        half_life_cold_most=cold[1],
        half_life_room=room[0],
        half_life_room_most=room[1],
        days_allowed=float(allowed) if counted else None,
        days_left=float(days.left(today))
        if counted and days is not None and today is not None
        else None,
        hours_left=None if stopped or inputs.out_of_cold is None else facts["hours_left"],
        facts=facts,
        tables=tuple(
            table
            for table in (
                show.decision(inputs, judged, figures),
                None
                if stopped or not counted or days is None
                else show.dates(inputs, days, judged),
                holding.table(jurisdictions.of_choice(inputs.jurisdiction)),
                vinegar.table(acetic),
                show.growth(figures),
            )
            if table is not None
        ),
        deciding=_deciding(facts),
        working=tuple(show.working(inputs, judged, figures, days, delle)),
        model_error={name: value for name, value in error.items() if value},
    )


def _deciding(facts: dict[str, Any]) -> str:  # Any: facts differ in type
    """The figure that stops it, with its limit; else nothing."""
    if facts["past_days"] > 0:
        return f"Last day {facts['last_day']}, {facts['past_days']} days ago."
    if facts["hours_over"] > 0:
        hours = facts["hours_over"] + facts["hours_limit"]
        return f"{hours:.1f} h out of the cold. Limit: {facts['hours_limit']:.0f} h."
    if facts["too_warm_k"] > 0:
        return (
            f"Kept at {facts['kept_c']:.1f} °C. Limit: {facts['cold_limit_c']:.0f} °C "
            f"({facts['holding_place']})."
        )
    return ""


def _rule(mixture: Mixture | None, product: Mixture, holds: frozenset[str]) -> use_by.Rule:
    """The rule of days that labels go by too; what was only named is judged by its kind alone."""
    if mixture is None or not mixture.mass_kg:
        none_told = {"abv_percent": 0.0, "wet_percent": 100.0}
        return use_by.chosen({"holds": holds, **none_told})
    return use_by.chosen({**use_by.facts(product), "holds": holds})


def _judged(inputs: Inputs, figures: Figures, holds: frozenset[str], rule: use_by.Rule) -> Judged:
    if rule.exempt:
        return Judged(keeping_rules.EXEMPT, (rule.why,), None, False, False)
    ph = keeping_rules.for_tables(inputs.ph, figures.abv)
    packaged = inputs.treatment == keeping_rules.PACKAGED
    found = keeping_rules.judged(ph, inputs.water_activity, packaged, holds)
    if ph is None and inputs.ph is not None:
        why = "the tables do not read a pH measured above 20 % vol"
        found = found._replace(reasons=(*found.reasons, why))
    return found


def _days(inputs: Inputs, allowed: int) -> Days | None:
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


def _figures(inputs: Inputs, mixture: Mixture | None) -> Figures:
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


def _half_life(
    inputs: Inputs, figures: Figures, temperature_c: float
) -> tuple[float | None, float | None]:
    """Days until half the sucrose is split, soonest and latest."""
    spirit = figures.abv is not None and figures.abv > 100.0 * acids.KEEPING_ABV_HIGH
    ph = None if spirit else figures.ph  # the rate is of water
    if ph is None or not figures.sucrose:
        return None, None
    g_l = 0.0 if inputs.ph is not None else min(figures.sugar_g_l or 0.0, 950.0)
    half = _or_none(partial(inversion.half_life_days, ph, temperature_c, g_l))
    if half is None or half > _FOREVER_D:
        return None, None
    return half / inversion.RANGE_FACTOR, half


def _or_none(call: Callable[[], float]) -> float | None:
    try:
        return call()
    except BadInput:
        return None


def _facts(
    inputs: Inputs,
    judged: Judged,
    holds: frozenset[str],
    figures: Figures,
    days: Days | None,
    today: date | None,
) -> dict[str, Any]:  # Any: facts differ in type
    exempt = judged.result == keeping_rules.EXEMPT
    control = judged.result not in (keeping_rules.COLD, keeping_rules.EXEMPT)
    hours, warmest = inputs.out_of_cold, inputs.warmest
    fridge = None if inputs.fridge is None else float(inputs.fridge)
    limit = keeping_rules.hours_allowed(holds, fridge, None if warmest is None else float(warmest))
    over = 0.0 if hours is None else float(hours) - limit
    place = jurisdictions.of_choice(inputs.jurisdiction)
    law = holding.of(place)
    warm_k = 0.0 if fridge is None else fridge - law.cold_c
    late = 0 if days is None or today is None else 1 - days.left(today)
    return {
        "result": judged.result,
        "reasons": "; ".join(judged.reasons),
        "holds": holds,
        "undecided": judged.table is None and not exempt,
        "close_ph": judged.close_ph,
        "close_aw": judged.close_aw,
        "names_not_known": 0 if inputs.contains else len(inputs._unknown),
        "not_known": ", ".join(inputs._unknown),
        "european": place is not None and "EU" in jurisdictions.chain(place),
        "cold_limit_c": float(law.cold_c),
        "hot_limit_c": float(law.hot_c),
        "holding_place": holding.where(law),
        "holding_source": law.source,
        "days_too_warm": fridge is not None
        and not exempt
        and keeping_rules.COLD_C < fridge <= law.cold_c,
        "acidified": inputs.acidified,
        "packaged": inputs.treatment == keeping_rules.PACKAGED,
        "heated": inputs.treatment != "none",
        "hours_limit": limit,
        "hours_left": max(-over, 0.0),
        "hours_over": max(over, 0.0) if control else 0.0,
        "cold_hours_over": 0.0 if control or exempt else max(over, 0.0),
        "kept_c": fridge,
        "too_warm_k": max(warm_k, 0.0) if control else 0.0,
        "cold_too_warm_k": 0.0 if control or exempt else max(warm_k, 0.0),
        "past_days": max(late, 0),
        "last_day": "" if days is None else days.last.isoformat(),
        "strength_percent": figures.abv,
        "measured_ph": inputs.ph,
        "measured_water_activity": inputs.water_activity,
    }


__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]
