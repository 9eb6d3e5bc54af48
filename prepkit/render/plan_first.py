"""The first page of a plan, enough to work from: what text and page alike show of it.

Verdict and reasons, when to start, what to make in order with the amounts that the scales can
weigh, vessels, serves, what to buy. Made from the plan's JSON form alone; nothing is worked out
here but how it is said.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Literal, NamedTuple

from prepkit.clock import length_words
from prepkit.render.amounts import (
    UNITS,
    amount,
    listed,
    made_for,
    step_words,
    weighing,
)
from prepkit.render.plan_money import pour_words
from prepkit.render.plan_scale import scale_marks
from prepkit.render.plan_shop import fruit_words, money_words
from prepkit.render.plan_stock import MOST_ROWS
from prepkit.render.plan_sure import sure_words
from prepkit.render.plan_text import (
    NO_ALLERGENS,
    each_words,
    from_words,
    held_words,
    must_not_all,
    shared_words,
    short_keeps,
)
from prepkit.render.plan_time import hands_words, moment, moved_words
from prepkit.render.prose import in_units
from prepkit.render.routine import routine_lines
from prepkit.sheet import (
    ItemSheet,
    LineSheet,
    PlanSheet,
    ServeSheet,
    VesselSheet,
)

NO_SCALE = "no scale is named, so nothing is rounded to one"
AT_20 = " at 20 °C"
HEADERS = ("make, in this order", "{g}", "{ml}" + AT_20, "start by", "shelf life", "verdict")
READINGS = "See the account of the readings."
ALWAYS: tuple[Literal["pressure", "cryogen", "inhalation"], ...] = (
    "pressure", "cryogen", "inhalation",
)  # fmt: skip
MOST_NAMED = 4
_DAY_MIN = 1440


class Warned(NamedTuple):
    """A reason to stop or take care: of what, by name and in words, what can happen, what to do."""

    names: Sequence[str]
    of: str
    text: str
    action: str


class Cell(NamedTuple):
    """An amount and its name; `more` is what else is said of it."""

    amount: str
    name: str
    more: str = ""


class Served(NamedTuple):
    """A serve: what goes into it, or why it is not served."""

    name: str
    parts: Sequence[str]
    out: str
    allergens: str


class Make(NamedTuple):
    """An item in its place: what is made, when, how long it keeps, and what is weighed for it."""

    place: int
    id: str
    mass: str
    volume: str
    start: str
    keeps: str
    verdict: str
    why: str  # the deciding figure, or by what it is held
    weigh: Sequence[Cell]
    marks: Sequence[str]  # what the scale cannot weigh well, and what to do about it

    def facts(self, headers: Sequence[str]) -> list[str]:
        """What is made, when and how long it keeps, each with its header."""
        _, g, ml, start, keeps, _ = headers
        amounts = [f"{self.mass} {g}", f"{self.volume} {ml}" if self.volume else ""]
        whole = ", ".join(filter(None, amounts)) if self.mass else ""
        told = [whole, f"{start} {self.start}" if self.start else ""]
        return list(filter(None, [*told, f"{keeps}: {self.keeps}" if self.keeps else ""]))


class _Evening(NamedTuple):
    """What of the whole plan an item's row needs: by item its start and the recipe's own limit.

    `out` are the names of what must not be made or served.
    """

    starts: Mapping[str, str]
    within_min: Mapping[str, float | None]
    out: frozenset[str]
    system: str


class FirstPage(NamedTuple):
    """All of it, in the order in which it is read."""

    title: str
    made: str  # for how many, and from which file
    verdict: str
    verdict_words: str
    stops: Sequence[Warned]
    cares: Sequence[Warned]
    have: Sequence[str]
    start: str
    scales: str
    make: Sequence[Make]
    headers: Sequence[str]
    decisive: str  # the weighing that matters most
    money: str  # pour cost of the drinks that have a price
    sure: str  # what is made more so that it is enough
    learnt: Sequence[str]  # what the plan took from the bar's own batches
    routines: Sequence[str]  # each in time or over, in a sentence
    not_made: Sequence[str]
    vessels: Sequence[str]
    serves: Sequence[Served]
    bought: str
    buy: Sequence[Cell]
    always: Sequence[tuple[str, str]]  # the kind of danger, and what always holds
    more: Sequence[str]  # what there is beside it


def first_page(said: PlanSheet, system: str = "metric") -> FirstPage:
    """The first page of a plan."""
    g, ml = UNITS[system]
    evening = _evening(said, system)
    make = [_make(place, item, evening) for place, item in enumerate(said["items"], 1)]
    stops, cares = _stops(said, system), _cares(said, system)
    decisive = said["decisive"]
    return FirstPage(
        said["title"],
        f"{made_for(said)}, from {said['file']}",
        said["verdict"],
        _verdict_words(said, cares),
        stops,
        cares,
        from_words(said, system, MOST_ROWS),
        _start(said),
        _scales(said, system),
        make,
        [one.format(g=g, ml=ml) for one in HEADERS],
        f"{decisive['name']} for {decisive['item']}" if decisive else "",
        pour_words(said),
        sure_words(said),
        [one["words"] for one in said.get("learnt", ()) if one["used"]],
        routine_lines(said),
        said["not_made"],
        [_vessel(one, system) for one in said["vessels"]],
        [_serve(one, said["serves"] is None) for one in said["serve"]],
        f"in all {money_words(said['cost'])}" if said["cost"] else "",
        list(_buy(said, system)),
        [(kind, in_units(said["always"][kind], system)) for kind in ALWAYS],
        list(_more(said)),
    )


# verdict


def _verdict_words(said: PlanSheet, cares: Sequence[Warned]) -> str:
    """What the verdict means here; one that no item has is that of the readings."""
    if said["verdict"] == "stop":
        of = list(dict.fromkeys(one["of"] for one in said["stops"]))
        rest = f" and {len(of) - MOST_NAMED} more" if len(of) > MOST_NAMED else ""
        is_ = "is" if len(of) == 1 else "are"
        return f"{listed(of[:MOST_NAMED])}{rest} {is_} stopped." if of else READINGS
    if said["verdict"] == "care":
        if not cares and "sites" in said:
            return "A site's own plan has points to take care of; read it there."
        points = "the point" if len(cares) == 1 else f"the {len(cares)} points"
        return f"Go ahead only if you do {points} below." if cares else READINGS
    return "No problem found in what you entered."


def _stops(said: PlanSheet, system: str) -> list[Warned]:
    """Each reason to stop once, with all that it stops."""
    found: dict[tuple[str, str], dict[str, list[str]]] = {}
    for stop in said["stops"]:
        alike = found.setdefault((stop["text"], stop["action"]), {})
        alike.setdefault(stop["not"], []).append(stop["of"])
    return [
        Warned(
            [name for names in of.values() for name in names],
            "; ".join(must_not_all(names, what) for what, names in of.items()),
            in_units(text, system),
            in_units(action, system),
        )
        for (text, action), of in found.items()
    ]


def _cares(said: PlanSheet, system: str) -> list[Warned]:
    """Each point to take care of, as it is said of each item or of one serve."""
    return [
        Warned(
            told["of"],
            f"one {listed(told['of'])}" if caution["per_serve"] else listed(told["of"]),
            in_units(told["text"], system),
            in_units(told["action"], system),
        )
        for caution in said["cautions"]
        if caution["severity"] == "care"
        for told in caution["said"]
    ]


# when


def _start(said: PlanSheet) -> str:
    """What is started first and when, and how much work it is."""
    table = said["timetable"]
    if table is None or not table["steps"]:
        return ""
    first = min(table["steps"], key=lambda one: one["start_min"])
    when = first["start"] or f"{length_words(-first['start_min'])} before service"
    if abs(first["start_min"]) < 0.5 and first["start"] is None:
        when = "at service"
    of_service = f", service {table['service']}" if table["service"] else ""
    moved = moved_words(table)
    hours = f"; {moved}, house hours {'-'.join(table['hours'] or ())}" if moved else ""
    return f"{first['item']} first, {when}{of_service}; {hands_words(table)}{hours}"


def _evening(said: PlanSheet, system: str) -> _Evening:
    """The first start of each item, how long it may stand after its last step, what is out."""
    table = said["timetable"]
    steps = sorted(table["steps"] if table else (), key=lambda one: one["number"])
    out = [one["id"] for one in said["items"] if "weigh" not in one]
    out += [one["name"] for one in said["serve"] if "parts" not in one]
    return _Evening(
        {one["item"]: moment(one["start"], one["start_min"]) for one in reversed(steps)},
        {one["item"]: one["stands_at_most_min"] for one in steps},
        frozenset(out),
        system,
    )


# what to make


def _make(place: int, item: ItemSheet, evening: _Evening) -> Make:
    system = evening.system
    verdict = {"clear": "clear", "care": "CARE", "stop": "STOP"}[item["verdict"]]
    why = in_units(item["deciding"], system)
    name = f"{item['id']} (check)" if item["check"] else item["id"]
    if item["held_by"]:
        verdict = "STOP" if item["verdict"] == "stop" else "HELD"
        why = held_words(item)
    if "weigh" not in item:
        return Make(place, name, "", "", "", "", verdict, why, (), ())
    made_g, made_ml = item.get("made_g"), item.get("made_ml")
    return Make(
        place,
        name,
        "" if made_g is None else amount(made_g, "g", system),
        "" if made_ml is None else amount(made_ml, "ml", system),
        evening.starts.get(item["id"], ""),
        _keeps(item, evening),
        verdict,
        " ".join(filter(None, (why, _for_nothing(item, evening)))),
        [_weigh(line, system) for line in item["weigh"]],
        list(scale_marks(item, system)),
    )


def _for_nothing(item: ItemSheet, evening: _Evening) -> str:
    """By name what an item would go into and is stopped or held."""
    names = [to["name"] for to in item.get("goes_to", ()) if to["name"] in evening.out]
    return f"It is for {listed(names)}, which must not be made as planned." if names else ""


def _keeps(item: ItemSheet, evening: _Evening) -> str:
    """How long it may be kept, by the recipe or by the rules, whichever is stricter."""
    keeps, within_min = item.get("keeps"), evening.within_min.get(item["id"])
    days = keeps["days"] if keeps else None
    if within_min is not None and (days is None or within_min <= _DAY_MIN * days):
        return f"{length_words(within_min)}, recipe"
    return "" if keeps is None else short_keeps(keeps)


def _scales(said: PlanSheet, system: str) -> str:
    """The steps that the amounts are rounded to."""
    hands = [line["hand"] for item in said["items"] for line in item.get("weigh", ())]
    steps = sorted({one["step_g"] for one in hands if one is not None})
    if not steps:
        return NO_SCALE if hands else ""
    told = " and ".join(step_words(one, system) for one in steps)
    return f"rounded to what your scale{'s' * (len(steps) > 1)} can weigh, {told}"


def _weigh(line: LineSheet, system: str) -> Cell:
    g, _ = UNITS[system]
    drops = f"{line['drops']:.0f} drops" if line["drops"] is not None else ""
    return Cell(f"{weighing(line, system)} {g}", line["name"], drops)


# vessels, serves, and what to buy


def _vessel(one: VesselSheet, system: str) -> str:
    """How many vessels, what goes into each by the scale, and its chargers."""
    g, ml = UNITS[system]
    each = each_words(one, system)
    volume, most = (amount(one[key], "ml", system) for key in ("each_ml", "most_ml"))
    told = [f"{one['fills']} x {one['vessel']}, {each} {g} each ({volume} of at most {most} {ml})"]
    if one["chargers"] is not None:
        plural = "" if one["chargers_each"] == 1 else "s"
        gas = f"{one['gas']} " if one["gas"] else ""
        told.append(f"{one['chargers_each']} {gas}charger{plural} each, {one['chargers']} in all")
    has = one["house_has"]
    if has is not None and one["rounds"] > 1:
        told.append(f"you have {has}{shared_words(one)}, so {one['rounds']} rounds")
    return f"{one['item']}: {'; '.join(told)}"


def _serve(serve: ServeSheet, count: bool) -> Served:
    """A serve; `count`: with how many, where that is not the same of each."""
    allergens = f"allergens: {listed(serve['allergens']) or NO_ALLERGENS}"
    name = f"{serve['name']} ({serve['serves']} of them)" if count else serve["name"]
    if "parts" not in serve:
        out = held_words(serve).rstrip(".") if serve["held_by"] else "NOT TO BE SERVED"
        return Served(name, (), out, allergens)
    parts = [one["words"] for one in (*serve["parts"], *serve["garnish"])]
    return Served(name, parts, "", allergens)


def _buy(said: PlanSheet, system: str) -> Iterator[Cell]:
    g, ml = UNITS[system]
    for row in said["shopping"]:
        if row["name"] == "water":
            continue
        more = [f"{row['packs']} x {row['pack']}"] if row["packs"] is not None else []
        if row["pieces"]:
            more.append(f"about {math.ceil(row['pieces'] - 1e-9)}")
        if row["fruit"] is not None:
            more.append(f"or {fruit_words(row['fruit'])}")
        volume = row["ml"] if row["form"] == "liquid" else None
        shown = f"{amount(row['g'], 'g', system)} {g}"
        if volume is not None:
            shown = f"{amount(volume, 'ml', system)} {ml}"
        yield Cell(shown, row["name"], listed(more))
    for pack in said["charger_packs"]:
        packs = f"{pack['packs']} x {pack['pack']}" if pack["packs"] is not None else ""
        yield Cell(str(pack["count"]), f"{pack['gas']} charger{'s' * (pack['count'] != 1)}", packs)


# the rest


def _more(said: PlanSheet) -> Iterator[str]:
    """What the whole sheet holds beside this page."""
    yield "items"
    if said["timetable"] is not None:
        yield f"{len(said['timetable']['steps'])} steps"
    if said["leftovers"]:
        yield "leftovers"
    notes = [one for one in said["cautions"] if one["severity"] == "note"]
    yield f"{len(notes) + len(said['standing'])} notes"
