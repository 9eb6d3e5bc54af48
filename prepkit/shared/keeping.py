"""Keeping as a decision: rules by pH and water activity, the last day, hot and cold holding.

Nothing here clears a food. The words are three: keep refrigerated, product assessment needed, time
control needed, from the mildest to the strictest. A number that was worked out never makes it
milder; an unknown one counts as the worst there is.

A date here is the latest that the rules allow and never says that anything is good until then;
where they know none the answer is to ask.
"""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from functools import cache

from prepkit import blocks, cautions, derived, jurisdictions, model
from prepkit.errors import BadInput, FileProblem, later, named
from prepkit.facts import Facts
from prepkit.mixture import Mixture
from prepkit.model import Column, Table
from prepkit.numbers import close_names
from prepkit.pantry import Pantry
from prepkit.record import Record
from prepkit.science import keeping
from prepkit.science.acid_medium import KEEPING_ABV_HIGH

# ---- keeping as a decision ----

COLD, ASSESS, CONTROL = "keep refrigerated", "product assessment needed", "time control needed"
EXEMPT = "no last day by these rules"  # dry goods and strong spirit, with the reason
PACKAGED = "heated and packaged"
RESULTS = (COLD, ASSESS, CONTROL)
COLD_C, SPRING_C = keeping.COLD_HOLDING_C, 21.0  # [FOOD-CODE-TIME]
DAYS, OIL_DAYS = 7, 2  # day of making is day 1; the strictest published advice on plants in oil
HOURS, COOL_HOURS, OIL_HOURS = 4.0, 6.0, 2.0  # out of the cold
MARGIN_PH, MARGIN_AW = 0.2, 0.01  # "4.0 to claim below 4.2"; a meter's own error
GARLIC_OIL_FAT, PLANT_OIL_FAT = 0.20, 0.60  # from where a plant counts as lying in oil
# words that may be said of what is in it, with what they mean to the rules
CONTAINS: Mapping[str, str] = {
    "dairy": "dairy", "milk": "dairy", "cream": "dairy", "egg": "egg", "raw egg": "raw-egg",
    "garlic in oil": "in-oil", "herb in oil": "in-oil", "plant in oil": "in-oil",
    "low-acid plant": "low-acid-botanical", "herb": "low-acid-botanical",
    "vegetable": "low-acid-botanical", "nut": "low-acid-botanical", "fresh juice": "raw-juice",
}  # fmt: skip
# and what a name that the pantry does not know brings along where it has such a word in it
_BRINGS: Mapping[str, Mixture] = {
    "dairy": Mixture({}, frozenset({"milk"}), frozenset({"dairy"}), frozenset({"dairy"})),
    "egg": Mixture({}, frozenset({"eggs"}), frozenset({"raw-egg"}), frozenset({"egg"})),
    "low-acid-botanical": Mixture({}, frozenset(), frozenset({"low-acid-botanical"})),
    "raw-juice": Mixture({}, frozenset(), frozenset({"raw-juice"})),
}
_ANY_STRENGTH = "30 %"  # for a name that needs a fat or a strength: what it brings is the same
_ALWAYS_CONTROL = {
    "dairy": "holds milk or cream", "egg": "holds egg", "raw-egg": "holds raw egg",
    "in-oil": "garlic, herb or vegetable lies in oil",
}  # fmt: skip
# what alcohol is to germs, in words: no figure goes into the decision [ACHARYA-NUMMER-2022]
_ALCOHOL = (
    (10.0, "no hurdle to count on"),
    (40.0, "a hurdle to growth; what is there can survive"),
    (101.0, "a strong hurdle, and no part of the tables"),
)
_NO_ALCOHOL = 0.5
_DATE = later(r"\d{4}-\d{2}-\d{2}")


def held(contains: Iterable[str], mixture: Mixture | None) -> frozenset[str]:
    """What the rules must know of what is in it, from words and from the parts' own tags."""
    found = set()
    for words in contains:
        tidy = " ".join(words.lower().split())
        if tidy not in CONTAINS:
            near = close_names(tidy, CONTAINS, n=1)
            hint = f"did you mean {near[0]}" if near else f"they are {', '.join(CONTAINS)}"
            raise BadInput(
                f"{named('contains', f'{words}')} is not known here; {hint}.", "contains"
            )
        found.add(CONTAINS[tidy])
    if mixture is not None:
        found |= {"dairy", "egg"} & mixture.keeps
        found |= {"raw-egg", "low-acid-botanical", "raw-juice", "garlic-family"} & mixture.tags
    if mixture is not None and mixture.mass_kg:
        fat = mixture.fraction("fat", "milk_fat")
        garlic = "garlic-family" in mixture.tags and fat > GARLIC_OIL_FAT
        if garlic or ("low-acid-botanical" in mixture.tags and fat > PLANT_OIL_FAT):
            found.add("in-oil")
    return frozenset(found)


def dated(named: Iterable[str], pantry: Pantry) -> tuple[Mixture, tuple[str, ...]]:
    """What ingredients named with a day bring along, without mass, and the names not known.

    An ingredient whose day counts is in it, whether it stands among the parts or not.
    """
    found, unknown = Mixture({}), list[str]()
    for words in named:
        name = words.strip().rpartition(" ")[0].strip()
        if not name:
            continue  # refused where the day is read
        brings = _brings(name, pantry)
        if brings is None:
            unknown.append(name)
        else:
            found = found + Mixture({}, brings.allergens, brings.tags, brings.keeps)
    return found, tuple(unknown)


def _brings(name: str, pantry: Pantry) -> Mixture | None:
    for words in (name, f"{name} {_ANY_STRENGTH}"):
        try:
            return pantry.ingredient(words, named("ingredient_date")).mixture
        except BadInput:
            continue
    said = set(name.lower().split())
    held_words = {CONTAINS[text.rstrip("s")] for text in said if text.rstrip("s") in CONTAINS}
    known = [_BRINGS[word] for word in sorted(held_words) if word in _BRINGS]
    return Mixture.total(known) if known else None


def brought(found: Mixture) -> Facts:
    """The facts of what ingredients named with a day bring along where no parts were given."""
    facts: Facts = {}
    if found.allergens:
        facts["allergens"] = frozenset(name.partition(":")[0] for name in found.allergens)
        facts["allergen_list"] = ", ".join(
            sorted(allergen.replace(":", ": ") for allergen in found.allergens)
        )
    return facts | {"tags": found.tags, "keeps": found.keeps}


def for_tables(ph: float | None, abv_percent: float | None) -> float | None:
    """A pH that the tables may read: they are of water, and above 20 % vol none is read.

    >>> for_tables(3.9, 12.0), for_tables(3.9, 40.0)
    (3.9, None)
    """
    spirit = abv_percent is not None and abv_percent > 100.0 * KEEPING_ABV_HIGH
    return None if spirit else ph


class Judged(Record):
    """The result, its reasons, and what the table said on measured numbers (None: not measured)."""

    result: str
    reasons: tuple[str, ...]
    table: str | None
    close_ph: bool
    close_aw: bool


def judged(
    ph: float | None, water_activity: float | None, packaged: bool, holds: frozenset[str]
) -> Judged:
    """The strictest of the table on the numbers measured and of what is in it.

    ph, water_activity: as measured; None where they were not, and then the worst is taken.
    """
    result, reasons = COLD, list[str]()

    def at_least(word: str, reason: str) -> None:
        nonlocal result
        result = max(result, word, key=RESULTS.index)
        reasons.append(reason)

    worst_ph = 14.0 if ph is None else ph
    worst_aw = 1.0 if water_activity is None else water_activity
    table = keeping.time_temperature_control(worst_ph, worst_aw, packaged)
    decided = table == "N" or (ph is not None and water_activity is not None)
    if not decided:
        missing = " and ".join(
            name
            for name, value in (("pH", ph), ("water activity", water_activity))
            if value is None
        )
        at_least(CONTROL, f"{missing} not measured")
    elif table == "PA":
        at_least(ASSESS, "the table asks for it on the numbers measured")
    for what, reason in _ALWAYS_CONTROL.items():
        if what in holds:
            at_least(CONTROL, reason)
    near_ph = near_aw = False
    if decided and table == "N":
        if ph is not None:
            moved = keeping.time_temperature_control(min(ph + MARGIN_PH, 14.0), worst_aw, packaged)
            near_ph = moved != "N"
        if water_activity is not None:
            moved = keeping.time_temperature_control(
                worst_ph, min(water_activity + MARGIN_AW, 1.0), packaged
            )
            near_aw = moved != "N"
    if result == COLD:
        reasons.append("the table asks for nothing more on the numbers measured")
    return Judged(result, tuple(reasons), table if decided else None, near_ph, near_aw)


def alcohol_words(abv_percent: float) -> str:
    """What alcohol is to germs, in words."""
    if abv_percent < _NO_ALCOHOL:
        return "none"
    return next(words for high, words in _ALCOHOL if abv_percent < high)


def listeria_words(ph: float, water_activity: float) -> str:
    """Whether the European criteria count a ready-to-eat food as one where listeria can grow.

    [EU-2073-2005] (memory): not at pH 4.4 or below, water activity 0.92 or below, or pH 5.0 and
    0.94 together.
    """
    stops = ph <= 4.4 or water_activity <= 0.92 or (ph <= 5.0 and water_activity <= 0.94)
    return "counted as not letting listeria grow" if stops else "counted as letting listeria grow"


def hours_allowed(holds: frozenset[str], kept_c: float | None, warmest_c: float | None) -> float:
    """Hours out of the cold: 4, or 6 from 5 C or colder if it never passes 21 C; in oil 2."""
    if "in-oil" in holds:
        return OIL_HOURS
    if kept_c is None or warmest_c is None or kept_c > COLD_C or warmest_c > SPRING_C:
        return HOURS
    return COOL_HOURS


# days


def read_date(words: str, field: str) -> date:
    """A day written as year, month, day."""
    tidy = words.strip()
    if not _DATE.fullmatch(tidy):
        raise BadInput(f'{field} is "{words}"; write the date as 2026-11-25.', field.lstrip("-"))
    try:
        return date.fromisoformat(tidy)
    except ValueError:
        raise BadInput(
            f'{field} is "{words}", which is not a day of the calendar; write it as 2026-11-25.',
            field.lstrip("-"),
        ) from None


def read_named_date(words: str, field: str) -> tuple[str, date]:
    """ "cream 2026-11-22" as a name and a day."""
    name, _, day = words.strip().rpartition(" ")
    if not name.strip():
        raise BadInput(
            f'{field} is "{words}"; write a name and a date, such as "cream 2026-11-22".',
            field.lstrip("-"),
        )
    return name.strip(), read_date(day, field)


class Days(Record):
    """Day 1 and the last day, each with what sets it, and how many the rule allows."""

    allowed: int
    first: date
    first_by: str
    last: date
    last_by: str

    def left(self, today: date) -> int:
        """Days left, today among them; 0 or less where the last day has passed."""
        return (self.last - today).days + 1


def count_days(
    made: date,
    ingredients: Iterable[tuple[str, date]],
    use_by: Iterable[tuple[str, date]],
    allowed: int,
    frozen: int,
) -> Days:
    """Day 1 is the oldest of the day of making and the days of the ingredients.

    `frozen` days at freezing stop the count; a maker's own last day stands whatever was frozen.
    """
    first, first_by = made, "the day of making"
    for name, day in ingredients:
        if day > made:
            raise BadInput(
                f"{named('ingredient_date')} says {name} {day}, after it was used on {made}; check "
                "the "
                f"dates.",
                "ingredient_date",
            )
        if day < first:
            first, first_by = day, f"{name}, the oldest ingredient"
    try:
        last = first + timedelta(days=allowed - 1 + frozen)
    except OverflowError:
        raise BadInput(
            f"{named('made')} is {made}; that is too far in time to count days.", "made"
        ) from None
    last_by = f"day {allowed}" + (f", {frozen} d frozen not counted" if frozen else "")
    for name, day in use_by:
        if day < made:
            raise BadInput(
                f"{named('use_by')} says {name} {day}, before it was used on {made}; do not use "
                "it, and "
                f"discard what was made with it.",
                "use_by",
            )
        if day < last:
            last, last_by = day, f"the maker's own last day of {name}"
    return Days(allowed, first, first_by, last, last_by)


# ---- the last day on a label ----

FILE = "use_by.toml"


class UseBy(Record):
    """The last day, or None for ask, with what sets it and how it is stored until then."""

    last: date | None
    days: int | None
    first: date
    first_by: str
    rule: str
    why: str
    storage: str
    source: str
    exempt: bool = False  # the rules ask for no last day, and why says so


def is_habit(source: str) -> bool:
    """Whether what names this source rests on the trade's habit alone, or on nothing known.

    >>> is_habit("SYRUP-TRADE"), is_habit("FOOD-CODE-TIME")
    (True, False)
    """
    found = model.source_of(source)
    return found is None or found.obtained == "practice"


class Rule(Record):
    """A row of the file: the days it allows (None: it knows no date) where all of `when` hold."""

    id: str
    when: tuple[cautions.Condition, ...]
    why: str
    storage: str
    source: str
    days: int | None = None
    exempt: bool = False  # none is asked for, where no other rule holds
    plain: bool = False  # only where no food under special rules is in it


def facts(mixture: Mixture) -> Facts:
    """What the rules are judged on."""
    return {
        **cautions.about(mixture),
        **derived.facts(mixture),
        "sugar_percent": 100 * mixture.sugar,
        "water_percent": 100 * mixture.fraction("water"),
        "wet_percent": _wet_percent(mixture),
        "other_than_vinegar_percent": 100 * (1 - mixture.fraction("water", "acetic")),
        "holds": held((), mixture),
    }


def use_by(mixture: Mixture, made: date, oldest: date | None = None) -> UseBy:
    """The last day of a preparation; `oldest` is the day of its oldest part that had one.

    Raises BadInput where the oldest part is younger than what was made of it.
    """
    if oldest is not None and oldest > made:
        raise BadInput(
            f"{named('oldest')} is {oldest}, after the day of making, {made}; check the dates.",
            "oldest",
        )
    row = chosen(facts(mixture))
    days = row.days
    if days is None:
        return UseBy(None, None, oldest or made, "", row.id, row.why, row.storage,
                     row.source, row.exempt)  # fmt: skip
    parts = () if oldest is None else (("a part", oldest),)
    counted = count_days(made, parts, (), days, 0)
    by = "the day of making" if counted.first == made else "the day of the oldest part"
    return UseBy(counted.last, days, counted.first, by, row.id, row.why, row.storage,
                 row.source)  # fmt: skip


def chosen(known: Facts) -> Rule:
    """The strictest rule that holds: the fewest days, then "ask", then "exempt", then not known."""

    def order(rule: Rule) -> tuple[int, int]:
        return (
            (0, rule.days) if rule.days is not None else (1 + rule.exempt + 2 * (not rule.when), 0)
        )

    return min(_holding(known), key=order)


def _wet_percent(mixture: Mixture) -> float:
    """Water in what is not fat, %: what germs in it have; 0 in plain fat."""
    rest = 1.0 - mixture.fraction("fat", "milk_fat")
    return 100 * mixture.fraction("water") / rest if rest > 1e-6 else 0.0


@cache
def rules() -> tuple[Rule, ...]:
    """Every rule, in the order of the file. Raises FileProblem on one that cannot be used."""
    found = []
    for table in blocks.blocks(FILE, "rule"):
        try:
            when = tuple(map(cautions.condition, table["when"]))
            found.append(Rule(**{**table, "when": when}))
        except (KeyError, TypeError, ValueError) as error:
            name = table.get("id", "no id")
            raise FileProblem(f"the rule {name} in {FILE} cannot be used: {error}.") from error
    return tuple(found)


def _holding(known: Facts) -> list[Rule]:
    return [
        row
        for row in rules()
        if all(condition.holds(known) for condition in row.when)
        and not (row.plain and known.get("holds"))
    ]


# ---- how cold and how hot food is held, by place (data/holding.toml) ----

HOLDING_FILE = "holding.toml"


class HoldingPlace(Record):
    """One place: cold food at most `cold_c`, hot food at least `hot_c`, both in C."""

    jurisdiction: str
    cold_c: float
    hot_c: float
    more: str
    source: str
    obtained: str


@cache
def rows() -> tuple[HoldingPlace, ...]:
    """Every place, in file order."""
    return tuple(HoldingPlace(**row) for row in blocks.blocks(HOLDING_FILE, "holding"))


@cache
def of(key: str | None) -> HoldingPlace:
    """What holds in a place; the strictest of those read where it is None or has no figure.

    >>> of("UK").hot_c, of("California").hot_c, of("DE").hot_c
    (63, 57, 65)
    >>> of(None).cold_c, of(None).hot_c
    (5, 65)
    """
    for place in jurisdictions.chain(key) if key is not None else ():
        for row in rows():
            if row.jurisdiction == place:
                return row
    read = [row for row in rows() if row.obtained == "read"]
    coldest = min(read, key=lambda row: row.cold_c)
    return coldest.replaced(
        jurisdiction=jurisdictions.STRICTEST,
        hot_c=max(row.hot_c for row in read),
        more="The strictest of the figures that were read.",
    )


def hot_facts(held_c: float, product: Mixture, key: str | None) -> Facts:
    """Facts of a product kept hot at `held_c`, C, by the rule of a place.

    A ± of the temperature counts to the cold side. What needs no last day needs no heat.
    """
    law = of(key)
    least_c = float(held_c) - float(getattr(held_c, "plus_minus", 0.0))
    exempt = chosen(facts(product)).exempt
    return {
        "held_c": float(held_c),
        "held_short_k": 0.0 if exempt else max(law.hot_c - least_c, 0.0),
        "hot_limit_c": float(law.hot_c),
        "holding_place": where(law),
        "holding_source": law.source,
    }


def where(row: HoldingPlace) -> str:
    """The place as a sentence names it.

    >>> where(of("UK")), where(of(None))
    ('the UK', 'the strictest rule read')
    """
    if row.jurisdiction == jurisdictions.STRICTEST:
        return "the strictest rule read"
    return jurisdictions.name(row.jurisdiction)


def table(key: str | None) -> Table:
    """One place's holding, with how its figures were obtained."""
    row = of(key)
    memory = " (from memory)" if row.obtained == "memory" else ""
    columns = (Column("place"), Column("cold, at most", "C", 0), Column("hot, at least", "C", 0),
               Column("also"))  # fmt: skip
    line = (where(row) + memory, float(row.cold_c), float(row.hot_c), row.more)
    return Table("holding", "hot and cold holding", columns, (line,))
