"""keep: pH, water activity and dates against the food codes."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date
from functools import partial
from typing import NamedTuple

from prepkit import derived, jurisdictions
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, count, flag, held, number, parts, quantity
from prepkit.inputs import words as words_of
from prepkit.mixture import ACIDS, SUGARS, Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import acids, solution, sucrose
from prepkit.science.keeping import GROWTH_LIMITS, acidified_food_class
from prepkit.shared import keeping, syrup
from prepkit.shared.keeping import Days, Judged
from prepkit.units import Measured

# ---- what keep is told ----


class Inputs(BaseInputs):
    """What it is, what was measured, and its days."""

    only_read = ("ph", "water_activity", "fridge", "out_of_cold", "warmest")
    groups = (
        ("Most needed", "part ph made today treatment contains"),
        ("Measured", "water_activity abv sugar"),
        ("Dates", "ingredient_date use_by frozen"),
        ("Conditions", "acidified fridge out_of_cold warmest jurisdiction"),
    )
    takes = (
        ("contains", "name"),
        ("made", "date"),
        ("ingredient_date", "date"),
        ("use_by", "date"),
        ("today", "date"),
    )

    # what the ingredients that are named with a day bring along; they are in it
    _dated: Mixture = held(Mixture({}))
    _unknown: tuple[str, ...] = held(())

    part: tuple[Part, ...] = parts(
        "what is in it", "For its alcohol, sugar, milk, egg and plants. Figures computed from it "
        "are shown and never clear it.", "1 kg lemon juice", default=None,
    )  # fmt: skip
    ph: float | None = number(
        "measured pH", "With a calibrated meter, at equilibrium: after 24 hours and blended where "
        "there are pieces.", "3.9", default=None, low=0, high=14, because="the pH scale",
    )  # fmt: skip
    water_activity: float | None = number(
        "measured water activity", "With a meter, at 25 °C.", "0.93", default=None, low=0, high=1,
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
        "foods under special rules", "Dairy, egg, raw egg, garlic in oil, herb in oil, low-acid "
                                    "plant, fresh juice. One entry for each.",
        "dairy", default=(), many=True,
    )  # fmt: skip
    treatment: str = choice(
        ("none", "heated", keeping.PACKAGED),
        "heat treatment",
        "Heated: enough to kill vegetative germs, and handled afterwards. Heated and packaged: "
        "closed in its package after that heat.",
        default="none",
    )
    acidified: bool = flag(
        "acid added for keeping", "A regulated act, other than acid for flavour."
    )
    made: str | None = words_of(
        "day of making", "It is day 1. Year, month, day.", "2026-11-25", default=None
    )
    ingredient_date: tuple[str, ...] = words_of(
        "days of ingredients", "Name and day on which it was itself made or opened; the oldest "
        "sets day 1. Everything named here counts as being in it.", "cream 2026-11-22",
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
        "C", "temperature it is kept at", "As measured in the food; the days hold at 5 °C or "
        "colder.", "4 C", default=None, low=-30, high=40, because="keeping cold; hot holding is "
        "at 57 °C or above and by the hour",
    )  # fmt: skip
    out_of_cold: Measured | None = quantity(
        "h", "hours out of the cold", "In all, since it was made.", "2 h", default=None, low=0,
        high=1000, because="a day is the most",
    )  # fmt: skip
    warmest: Measured | None = quantity(
        "C", "warmest it became", "In the food, while it was out.", "18 C", default=None, low=-30,
        high=100, because="a food",
    )  # fmt: skip
    jurisdiction: str = choice(
        jurisdictions.CHOICES, "jurisdiction", "The place whose rules count. Without it, the "
                                              "strictest.", default="strictest",
    )  # fmt: skip

    tidy_field = staticmethod(jurisdictions.tidied)  # a place by any of its names

    def after_reading(self, pantry: Pantry) -> None:
        """Hook of the base: what is named with a day."""
        dated, unknown = keeping.dated((*self.ingredient_date, *self.use_by), pantry)
        self.hold("_dated", dated)
        self.hold("_unknown", unknown)


def checked(inputs: Inputs, mixture: Mixture | None) -> None:
    """What cannot be judged together is refused. Raises BadInput."""
    known = (inputs.ph, inputs.water_activity, inputs.made, inputs.abv, inputs.sugar)
    if mixture is None and not inputs.contains and all(value is None for value in known):
        raise BadInput(
            f"keep needs something to judge. Enter {named('ph')} and {named('water_activity')} as "
            f"measured, {named('part')} or "
            f"{named('contains')} for what is in it, or {named('made')} for days.",
            "ph",
        )
    for name in ("abv", "sugar"):
        if mixture is not None and getattr(inputs, name) is not None:
            raise BadInput(
                f"{named(name)} follows from the parts; leave it out, or leave out "
                f"{named('part')}.",
                name,
            )
    for name in ("ingredient_date", "use_by", "today"):
        if getattr(inputs, name) and inputs.made is None:
            raise BadInput(
                f"{named(name)} needs {named('made')}, the day of making, such as 2026-11-25.",
                "made",
            )
    if inputs.frozen and inputs.made is None:
        raise BadInput(f"{named('frozen')} needs {named('made')}, the day of making.", "made")


# ---- how the keep calculator shows its decision, dates, limits of growth and working ----


class Figures(NamedTuple):
    """What is known of the food; computed values apart from measured ones."""

    ph: float | None
    ph_error: float
    water_activity: float | None
    water_activity_error: float
    abv: float | None
    sugar_g_l: float | None
    sucrose: bool


_LETTERS = {
    "N": "N: on the numbers measured it asks for nothing more",
    "PA": "PA: product assessment needed",
    None: "not decided",
    "exempt": "not asked: no food that the tables are about",
}


def _places(inputs: Inputs) -> tuple[str, ...]:
    """The place that was asked for and what it lies in; all where none was."""
    key = jurisdictions.of_choice(inputs.jurisdiction)
    return ("US", "EU") if key is None else jurisdictions.chain(key)


def _american(inputs: Inputs) -> bool:
    return "US" in _places(inputs)


def _european(inputs: Inputs) -> bool:
    return not {"EU", "UK"}.isdisjoint(_places(inputs))


def decision(inputs: Inputs, judged: Judged, figures: Figures) -> Table:
    """The result in words, with its reasons and what other rules say."""
    packaged = inputs.treatment == keeping.PACKAGED
    rows: list[tuple[str, str]] = [
        ("result", judged.result),
        ("because", "; ".join(judged.reasons)),
        ("table", "A: heated, then packaged" if packaged else "B: not heated, or not packaged"),
        (
            "the table on measured numbers",
            _LETTERS["exempt" if judged.result == keeping.EXEMPT else judged.table],
        ),
    ]
    ph = keeping.for_tables(inputs.ph, figures.abv)
    aw = inputs.water_activity
    if _american(inputs) and ph is not None:
        name = acidified_food_class(ph, 1.0 if aw is None else aw, inputs.acidified)
        rows.append(("if packed to stand unrefrigerated, United States", f"{name} food"))
    if _european(inputs) and ph is not None:
        listeria = keeping.listeria_words(ph, 1.0 if aw is None else aw)
        rows.append(("listeria by the European criteria (memory)", listeria))
    if figures.abv is not None:
        rows.append(("alcohol", keeping.alcohol_words(figures.abv)))
    return Table(
        "result", "verdict of the food codes", (Column("what"), Column("answer")), tuple(rows)
    )


def dates(inputs: Inputs, days: Days, judged: Judged) -> Table:
    """Day 1 and the last day, and how binding it is."""
    rule = "the US rule"
    if judged.result == keeping.COLD:
        rule = "no rule applies; a cautious date"
    elif not _american(inputs):
        rule = "the US rule; here the maker sets and proves the days"
    rows = (
        ("day 1", days.first.isoformat(), days.first_by),
        ("last day", days.last.isoformat(), f"{days.last_by} ({rule})"),
    )
    columns = (Column("what"), Column("date"), Column("set by"))
    return Table("dates", "dates, at 5 °C or colder", columns, rows)


def growth(figures: Figures) -> Table:
    """Where growth stops, beside this food's own water activity."""
    own = figures.water_activity
    rows = tuple(
        (limit.organism, limit.water_activity[0], limit.water_activity[1], own, limit.note)
        for limit in GROWTH_LIMITS
    )
    columns = (Column("growth of"), Column("from", "", 2),
               Column("to", "", 2), Column("this food", "", 3), Column("note"))  # fmt: skip
    return Table("growth", "information only: the water activity where growth stops", columns, rows)


def working(
    inputs: Inputs, judged: Judged, figures: Figures, days: Days | None, delle: float | None
) -> list[Step]:
    """The steps with their sources."""

    def said(value: float | None, unknown: str) -> str:
        return unknown if value is None else f"{value:g} measured"

    steps = [
        Step(
            "table",
            f"pH {said(inputs.ph, 'not measured: taken at its worst')}, water activity "
            f"{said(inputs.water_activity, 'not measured: taken as 1')}: "
            f"{judged.table or 'not decided'}",
            source="FOOD-CODE-TCS",
        )
    ]
    for name, measured, value, error in (
        ("pH", inputs.ph, figures.ph, figures.ph_error),
        ("water activity", inputs.water_activity, figures.water_activity,
         figures.water_activity_error),
    ):  # fmt: skip
        if measured is None and value is not None:
            source = "PREPKIT-ACID" if name == "pH" else "CHIRIFE-1980"
            how = f"computed from the parts, +/- {error:.2g}; clears nothing"
            steps.append(Step(name, how, value, "", source))
    if days is not None:
        oil = "GARLIC-OIL-ADVICE"
        source = oil if days.allowed == keeping.OIL_DAYS else "FOOD-CODE-TIME"
        said_days = f"day 1 is {days.first} ({days.first_by}), the last day {days.last} "
        steps.append(Step("days", f"{said_days}({days.last_by})", source=source))
    if delle is not None:
        steps.append(
            Step("Delle units", f"{figures.sugar_g_l:.0f} / 10 + 4.5 x {figures.abv:.1f}", delle,
                 "", "KUNKEE-AMERINE-1968")
        )  # fmt: skip
    if figures.sucrose and figures.ph is not None:
        steps.append(Step("splitting of sucrose", "first order in acid, shown from once to twice "
                          "the rate", source="GUGGENHEIM-WISEMAN-1950"))  # fmt: skip
    return steps


# ---- the published sums of vinegar syrups, where acetic acid alone makes them sour ----

_OTHER_ACIDS = 0.02  # of the acetic acid: more, and the sums are not for it (JUDGEMENT)
_PROTEIN, _ABV = 0.005, 0.005  # of the whole: more, and they are not for it (JUDGEMENT)


def of(mixture: Mixture | None, measured_ph: float | None) -> tuple[float, float] | None:
    """Safety and stability index; None where they are not made for it.

    They take a measured pH between 2.5 and 4.0, acetic acid with hardly any other acid, no protein
    and no alcohol.
    """
    if mixture is None or measured_ph is None or not mixture.of("acetic"):
        return None
    low, high = acids.PH_RANGE
    acetic = mixture.of("acetic")
    others = math.fsum(mixture.of(acid) for acid in ACIDS if acid != "acetic")
    if not low <= measured_ph <= high or others > _OTHER_ACIDS * acetic:
        return None
    if mixture.fraction("protein") > _PROTEIN or mixture.abv > _ABV:
        return None
    phase = mixture.mass_kg - mixture.of("fat", "milk_fat", "fibre", "protein", "essential_oil")
    said = (
        100.0 * acetic / phase,
        100.0 * mixture.of("salt") / phase,
        100.0 * mixture.of("glucose", "fructose") / phase,
        100.0 * mixture.of("sucrose", "maltose", "lactose") / phase,
        measured_ph,
    )
    return acids.safety_index(*said), acids.stability_index(*said)


def table(found: tuple[float, float] | None) -> Table | None:
    """Both sums beside their limits; they decide nothing here."""
    if found is None:
        return None
    rows = (
        ("E. coli falls a thousandfold in 72 h", found[0], acids.SAFE),
        ("nothing grows at room temperature", found[1], acids.STABLE),
    )
    columns = (Column("asked"), Column("index", "", 0), Column("must be above", "", 0))
    return Table("vinegar", "information only: published sums for vinegar products", columns, rows)


# ---- keep ----

EXAMPLE = (
    'prepkit keep --part "1 kg lemon juice" --part "600 g white sugar" --ph 2.6 '
    "--made 2026-11-25 --today 2026-11-28"
)
_ROOM_C, _COLD_ROOM_C = 20.0, 4.0
_FOREVER_D = 1e6  # a half-life beyond this says nothing


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
    half_life_cold: float | None = output(
        "half the sucrose split, earliest (4 °C)", "d", 0, limit="most"
    )
    half_life_cold_most: float | None = output(
        "half the sucrose split, latest (4 °C)", "d", 0, limit="least"
    )
    half_life_room: float | None = output(
        "half the sucrose split, earliest (20 °C)", "d", 0, limit="most"
    )
    half_life_room_most: float | None = output(
        "half the sucrose split, latest (20 °C)", "d", 0, limit="least"
    )
    days_allowed: float | None = output("days allowed (day made = 1)", "d", 0)
    days_left: float | None = output("days left (today counted)", "d", 0)
    hours_left: float | None = output("hours left uncooled", "h", 1, limit="most")


def compute(inputs: Inputs) -> Result:
    """Figures, the decision, the days."""
    mixture = Mixture.total(part.mixture for part in inputs.part) if inputs.part else None
    checked(inputs, mixture)
    dated = inputs._dated
    product = dated if mixture is None else mixture + dated
    holds = keeping.held(inputs.contains, product)
    figures = _figures(inputs, mixture)
    rule = _rule(inputs, mixture, product, holds)
    judged = _judged(inputs, figures, holds, rule)
    allowed = keeping.DAYS if rule.days is None else rule.days
    days = _days(inputs, allowed)
    if rule.exempt:
        days = _makers_own(inputs, days)
    today = keeping.read_date(inputs.today, named("today")) if inputs.today else None
    facts = _facts(inputs, judged, holds, figures, days, today)
    if facts["past_days"] and _by_habit(inputs, judged, rule, holds):
        facts |= {"past_days": 0, "habit_past_days": facts["past_days"]}
    if mixture is not None:
        cold_c = max(0.0, _COLD_ROOM_C if inputs.fridge is None else float(inputs.fridge))
        facts |= {"supersaturation": syrup.supersaturation(mixture, cold_c), "cold_c": cold_c}
        facts |= {"solids_percent": 100.0 * mixture.dissolved_solids}
    acetic = of(mixture, inputs.ph)
    if acetic is not None:
        facts |= {"acetic_index": acetic[0], "acetic_stability": acetic[1]}
    if mixture is None:
        facts |= keeping.brought(dated)
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
        delle = solution.delle_units(sugar, strength / 100.0)
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
        if counted and days and today is not None and "habit_past_days" not in facts
        else None,
        hours_left=None
        if stopped or rule.exempt or inputs.out_of_cold is None
        else facts["hours_left"],
        facts=facts,
        tables=tuple(
            table
            for table in (
                decision(inputs, judged, figures),
                None if stopped or not counted or days is None else dates(inputs, days, judged),
                keeping.table(jurisdictions.of_choice(inputs.jurisdiction)),
                table(acetic),
                growth(figures),
            )
            if table is not None
        ),
        deciding=_deciding(facts),
        working=tuple(working(inputs, judged, figures, days, delle)),
        model_error={name: value for name, value in error.items() if value},
    )


def _deciding(facts: Facts) -> str:
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


def _rule(
    inputs: Inputs, mixture: Mixture | None, product: Mixture, holds: frozenset[str]
) -> keeping.Rule:
    """The rule of days that labels go by too; what was only named is judged by its kind alone.

    A name that is not known counts as a food under special rules; a measured pH as the pH.
    """
    told: Facts = {"holds": holds | frozenset(inputs._unknown)}
    if mixture is None or not mixture.mass_kg:
        return keeping.chosen({**told, "abv_percent": 0.0, "wet_percent": 100.0})
    measured: Facts = {} if inputs.ph is None else {"ph": inputs.ph}
    return keeping.chosen({**keeping.facts(product), **measured, **told})


def _by_habit(inputs: Inputs, judged: Judged, rule: keeping.Rule, holds: frozenset[str]) -> bool:
    """Whether a last day is the trade's habit, and no rule of safety sets it.

    Only where the tables ask for nothing more on what was measured with a margin, all that is in
    it is entered, none of it is under special rules, and no maker's own day counts.
    """
    told = bool(inputs.part) and not (inputs._unknown or inputs.use_by or holds)
    measured = judged.result == keeping.COLD and judged.table == "N"
    sure = measured and not (judged.close_ph or judged.close_aw)
    return told and sure and (rule.days is None or keeping.is_habit(rule.source))


def _judged(inputs: Inputs, figures: Figures, holds: frozenset[str], rule: keeping.Rule) -> Judged:
    if rule.exempt:
        return Judged(keeping.EXEMPT, (rule.why,), None, False, False)
    ph = keeping.for_tables(inputs.ph, figures.abv)
    packaged = inputs.treatment == keeping.PACKAGED
    found = keeping.judged(ph, inputs.water_activity, packaged, holds)
    if ph is None and inputs.ph is not None:
        why = "the tables do not read a pH measured above 20 % vol"
        found = found.replaced(reasons=(*found.reasons, why))
    return found


def _days(inputs: Inputs, allowed: int) -> Days | None:
    if inputs.made is None:
        return None
    made = keeping.read_date(inputs.made, named("made"))
    if inputs.today:
        today = keeping.read_date(inputs.today, named("today"))
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
    return keeping.count_days(
        made,
        [
            keeping.read_named_date(text, named("ingredient_date"))
            for text in inputs.ingredient_date
        ],
        [keeping.read_named_date(text, named("use_by")) for text in inputs.use_by],
        allowed,
        inputs.frozen,
    )


def _makers_own(inputs: Inputs, days: Days | None) -> Days | None:
    """Of a food that no rule gives days: only a last day that its maker gives."""
    own = [keeping.read_named_date(text, named("use_by")) for text in inputs.use_by]
    if days is None or not own:
        return None
    name, last = min(own, key=lambda one: one[1])
    return days.replaced(last=last, last_by=f"the maker's own last day of {name}")


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
    half = _or_none(partial(sucrose.half_life_days, ph, temperature_c, g_l))
    if half is None or half > _FOREVER_D:
        return None, None
    return half / sucrose.RANGE_FACTOR, half


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
) -> Facts:
    exempt = judged.result == keeping.EXEMPT
    control = judged.result not in (keeping.COLD, keeping.EXEMPT)
    hours, warmest = inputs.out_of_cold, inputs.warmest
    fridge = None if inputs.fridge is None else float(inputs.fridge)
    limit = keeping.hours_allowed(holds, fridge, None if warmest is None else float(warmest))
    over = 0.0 if hours is None else float(hours) - limit
    place = jurisdictions.of_choice(inputs.jurisdiction)
    law = keeping.of(place)
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
        "holding_place": keeping.where(law),
        "holding_source": law.source,
        "days_too_warm": fridge is not None
        and not exempt
        and keeping.COLD_C < fridge <= law.cold_c,
        "acidified": inputs.acidified,
        "packaged": inputs.treatment == keeping.PACKAGED,
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
