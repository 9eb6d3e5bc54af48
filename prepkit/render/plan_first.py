"""The first page of a plan, enough to work from.

Verdict and reasons, when to start, what to make in order with the amounts that the scales can
weigh, vessels, serves, what to buy. Made from the plan's JSON form alone; nothing is worked out
here but how it is said.

What does not fit is said more closely, and then left to the whole sheet, always with a word that it
is there. A reason to stop, an amount to weigh and a vessel are never left out.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Literal

from prepkit.numbers import length_words
from prepkit.record import Record
from prepkit.render.plan_lists import (
    MOST_ROWS,
    UNITS,
    amount,
    fruit_words,
    hands_words,
    listed,
    made_for,
    moment,
    money_words,
    moved_words,
    pour_words,
    scale_marks,
    step_words,
    sure_words,
    weighing,
)
from prepkit.render.plan_text import (
    NO_ALLERGENS,
    each_words,
    from_words,
    held_words,
    must_not_all,
    routine_lines,
    shared_words,
    short_keeps,
)
from prepkit.render.text import in_units
from prepkit.stdout import screen

if TYPE_CHECKING:
    from prepkit.sheet import ItemSheet, LineSheet, PlanSheet, ServeSheet, VesselSheet

# ---- the first page of a plan, enough to work from ----

NO_SCALE = "no scale is named, so nothing is rounded to one"
AT_20 = " at 20 °C"
HEADERS = ("make, in this order", "{g}", "{ml}" + AT_20, "start by", "shelf life", "verdict")
READINGS = "See the account of the readings."
ALWAYS: tuple[Literal["pressure", "cryogen", "inhalation"], ...] = (
    "pressure", "cryogen", "inhalation",
)  # fmt: skip
MOST_NAMED = 4
_DAY_MIN = 1440


class PlanWarning(Record):
    """A reason to stop or take care: of what, by name and in words, what can happen, what to do."""

    names: Sequence[str]
    of: str
    text: str
    action: str


class AmountCell(Record):
    """An amount and its name; `more` is what else is said of it."""

    amount: str
    name: str
    more: str = ""


class Served(Record):
    """A serve: what goes into it, or why it is not served."""

    name: str
    parts: Sequence[str]
    out: str
    allergens: str


class Make(Record):
    """An item in its place: what is made, when, how long it keeps, and what is weighed for it."""

    place: int
    id: str
    mass: str
    volume: str
    start: str
    keeps: str
    verdict: str
    why: str  # the deciding figure, or by what it is held
    weigh: Sequence[AmountCell]
    marks: Sequence[str]  # what the scale cannot weigh well, and what to do about it

    def facts(self, headers: Sequence[str]) -> list[str]:
        """What is made, when and how long it keeps, each with its header."""
        _, g, ml, start, keeps, _ = headers
        amounts = [f"{self.mass} {g}", f"{self.volume} {ml}" if self.volume else ""]
        whole = ", ".join(filter(None, amounts)) if self.mass else ""
        told = [whole, f"{start} {self.start}" if self.start else ""]
        return list(filter(None, [*told, f"{keeps}: {self.keeps}" if self.keeps else ""]))


class _Evening(Record):
    """What of the whole plan an item's row needs: by item its start and the recipe's own limit.

    `out` are the names of what must not be made or served.
    """

    starts: Mapping[str, str]
    within_min: Mapping[str, float | None]
    out: frozenset[str]
    system: str


class FirstPage(Record):
    """All of it, in the order in which it is read."""

    title: str
    made: str  # for how many, and from which file
    verdict: str
    verdict_words: str
    stops: Sequence[PlanWarning]
    cares: Sequence[PlanWarning]
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
    buy: Sequence[AmountCell]
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
        [header.format(g=g, ml=ml) for header in HEADERS],
        f"{decisive['name']} for {decisive['item']}" if decisive else "",
        pour_words(said),
        sure_words(said),
        [learnt["words"] for learnt in said.get("learnt", ()) if learnt["used"]],
        routine_lines(said),
        said["not_made"],
        [_vessel(vessel, system) for vessel in said["vessels"]],
        [_serve(serve, said["serves"] is None) for serve in said["serve"]],
        f"in all {money_words(said['cost'])}" if said["cost"] else "",
        list(_buy(said, system)),
        [(kind, in_units(said["always"][kind], system)) for kind in ALWAYS],
        list(_more(said)),
    )


# verdict


def _verdict_words(said: PlanSheet, cares: Sequence[PlanWarning]) -> str:
    """What the verdict means here; one that no item has is that of the readings."""
    if said["verdict"] == "stop":
        of = list(dict.fromkeys(stop["of"] for stop in said["stops"]))
        rest = f" and {len(of) - MOST_NAMED} more" if len(of) > MOST_NAMED else ""
        is_ = "is" if len(of) == 1 else "are"
        return f"{listed(of[:MOST_NAMED])}{rest} {is_} stopped." if of else READINGS
    if said["verdict"] == "care":
        if not cares and "sites" in said:
            return "A site's own plan has points to take care of; read it there."
        points = "the point" if len(cares) == 1 else f"the {len(cares)} points"
        return f"Go ahead only if you do {points} below." if cares else READINGS
    return "No problem found in what you entered."


def _stops(said: PlanSheet, system: str) -> list[PlanWarning]:
    """Each reason to stop once, with all that it stops."""
    found: dict[tuple[str, str], dict[str, list[str]]] = {}
    for stop in said["stops"]:
        alike = found.setdefault((stop["text"], stop["action"]), {})
        alike.setdefault(stop["not"], []).append(stop["of"])
    return [
        PlanWarning(
            [name for names in of.values() for name in names],
            "; ".join(must_not_all(names, what) for what, names in of.items()),
            in_units(text, system),
            in_units(action, system),
        )
        for (text, action), of in found.items()
    ]


def _cares(said: PlanSheet, system: str) -> list[PlanWarning]:
    """Each point to take care of, as it is said of each item or of one serve."""
    return [
        PlanWarning(
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
    first = min(table["steps"], key=lambda step: step["start_min"])
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
    steps = sorted(table["steps"] if table else (), key=lambda step: step["number"])
    out = [item["id"] for item in said["items"] if "weigh" not in item]
    out += [serve["name"] for serve in said["serve"] if "parts" not in serve]
    return _Evening(
        {step["item"]: moment(step["start"], step["start_min"]) for step in reversed(steps)},
        {step["item"]: step["stands_at_most_min"] for step in steps},
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
    steps = sorted({hand["step_g"] for hand in hands if hand is not None})
    if not steps:
        return NO_SCALE if hands else ""
    told = " and ".join(step_words(step, system) for step in steps)
    return f"rounded to what your scale{'s' * (len(steps) > 1)} can weigh, {told}"


def _weigh(line: LineSheet, system: str) -> AmountCell:
    g, _ = UNITS[system]
    drops = f"{line['drops']:.0f} drops" if line["drops"] is not None else ""
    return AmountCell(f"{weighing(line, system)} {g}", line["name"], drops)


# vessels, serves, and what to buy


def _vessel(vessel: VesselSheet, system: str) -> str:
    """How many vessels, what goes into each by the scale, and its chargers."""
    g, ml = UNITS[system]
    each = each_words(vessel, system)
    volume, most = (amount(vessel[key], "ml", system) for key in ("each_ml", "most_ml"))
    told = [
        f"{vessel['fills']} x {vessel['vessel']}, {each} {g} each ({volume} of at most {most} {ml})"
    ]
    if vessel["chargers"] is not None:
        plural = "" if vessel["chargers_each"] == 1 else "s"
        gas = f"{vessel['gas']} " if vessel["gas"] else ""
        told.append(
            f"{vessel['chargers_each']} {gas}charger{plural} each, {vessel['chargers']} in all"
        )
    has = vessel["house_has"]
    if has is not None and vessel["rounds"] > 1:
        told.append(f"you have {has}{shared_words(vessel)}, so {vessel['rounds']} rounds")
    return f"{vessel['item']}: {'; '.join(told)}"


def _serve(serve: ServeSheet, count: bool) -> Served:
    """A serve; `count`: with how many, where that is not the same of each."""
    allergens = f"allergens: {listed(serve['allergens']) or NO_ALLERGENS}"
    name = f"{serve['name']} ({serve['serves']} of them)" if count else serve["name"]
    if "parts" not in serve:
        out = held_words(serve).rstrip(".") if serve["held_by"] else "NOT TO BE SERVED"
        return Served(name, (), out, allergens)
    parts = [one["words"] for one in (*serve["parts"], *serve["garnish"])]
    return Served(name, parts, "", allergens)


def _buy(said: PlanSheet, system: str) -> Iterator[AmountCell]:
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
        yield AmountCell(shown, row["name"], listed(more))
    for pack in said["charger_packs"]:
        packs = f"{pack['packs']} x {pack['pack']}" if pack["packs"] is not None else ""
        yield AmountCell(
            str(pack["count"]), f"{pack['gas']} charger{'s' * (pack['count'] != 1)}", packs
        )


# the rest


def _more(said: PlanSheet) -> Iterator[str]:
    """What the whole sheet holds beside this page."""
    yield "items"
    if said["timetable"] is not None:
        yield f"{len(said['timetable']['steps'])} steps"
    if said["leftovers"]:
        yield "leftovers"
    notes = [caution for caution in said["cautions"] if caution["severity"] == "note"]
    yield f"{len(notes) + len(said['standing'])} notes"


# ---- the first page of a plan as text ----

LINES, ITEMS, LINES_OF_ONE = 60, 8, 6  # so many lines for so many items, and for one more
_SHARE = 2  # cells in one line


def most_lines(items: int) -> int:
    """The lines of a first page for so many items.

    >>> most_lines(3), most_lines(8), most_lines(10)
    (60, 60, 72)
    """
    return LINES + LINES_OF_ONE * max(0, items - ITEMS)


def first_text(said: PlanSheet, system: str = "metric") -> str:
    """The first page, as open as its lines allow."""
    page = first_page(said, system)
    most = most_lines(len(page.make))
    sections: list[list[str]] = []
    for close in range(len(_CLOSER) + 1):
        sections = _sections(page, frozenset(_CLOSER[:close]))
        if sum(map(len, sections)) <= most:
            break
    return "\n".join(_parted(sections, most)).rstrip() + "\n"


# in the order in which room is made
_CLOSER = (
    "learnt",
    "money",
    "sure",
    "decisive",
    "serves",
    "buy",
    "weigh",
    "cares",
    "buy less",
    "cares less",
    "stops",
)
# before which section a line is left free first: what to make, to buy, always, vessels, ...
_FREE = (2, 5, 6, 3, 1, 4, 7)


def _sections(page: FirstPage, close: frozenset[str]) -> list[list[str]]:
    return [
        _head(page, close),
        _plan_first_text_start(page),
        _plan_first_text_make(page, close),
        _vessels(page),
        _serves(page, close),
        _plan_first_text_buy(page, close),
        _always(page),
        _plan_first_text_more(page),
    ]


def _parted(sections: Sequence[Sequence[str]], most: int) -> list[str]:
    """The sections with free lines between as many of them as there is room for."""
    room = max(0, most - sum(map(len, sections)))
    free = [place for place in _FREE if sections[place]][:room]
    out: list[str] = []
    for place, section in enumerate(sections):
        out += ["", *section] if place in free else section
    return out


def _fill(text: str, first: str = "", rest: str = "  ") -> list[str]:
    return textwrap.wrap(
        text, screen(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


# verdict


def _head(page: FirstPage, close: frozenset[str]) -> list[str]:
    out = _fill(f"plan: {page.verdict.upper()}  {page.verdict_words}", "", "      ")
    out += [*_fill(page.title), *_fill(page.made)]
    for line in page.have:
        out += _fill(line)
    for stop in page.stops:
        out += _warned("STOP", stop, action="stops" not in close)
    if "cares less" in close and page.cares:
        of = listed(dict.fromkeys(name for warning in page.cares for name in warning.names))
        points = "1 point" if len(page.cares) == 1 else f"{len(page.cares)} points"
        return [*out, *_fill(f"{points}, of {of}: see --full", "CARE  ", "      ")]
    for warning in page.cares:
        out += _warned("CARE", warning, action="cares" not in close)
    return out


def _warned(signal: str, warning: PlanWarning, action: bool) -> list[str]:
    out = _fill(f"{warning.of}: {warning.text}", f"{signal}  ", "      ")
    return out + (_fill(f"-> {warning.action}", "      ", "         ") if action else [])


def _plan_first_text_start(page: FirstPage) -> list[str]:
    return _fill(page.start, "Start  ", "       ") if page.start else []


# what to make


def _plan_first_text_make(page: FirstPage, close: frozenset[str]) -> list[str]:
    out = _fill(f"Make, in this order; {page.scales}" if page.scales else "Make, in this order")
    rows = [_row(make) for make in page.make]
    headers = ["", *page.headers[1:]]
    if not any(make.start for make in page.make):
        rows, headers = [[*row[:3], *row[4:]] for row in rows], [*headers[:3], *headers[4:]]
    if not _side_by_side([headers, *rows]):
        headers = [text.removesuffix(AT_20) for text in headers]
    header, *lines = _columns([headers, *rows])
    out += header
    for line, make in zip(lines, page.make, strict=True):
        out += _with_reason(line, make)
        out += _cells(make.weigh, close="weigh" in close)
        if make.marks:
            out += _fill(" ".join(make.marks), "  !  ", "     ")
    if page.decisive and "decisive" not in close:
        out += _fill(f"Weigh most carefully: {page.decisive}.")
    if page.learnt and "learnt" in close:
        out += _fill("Learnt from your own batches: see --full.")
    for words in () if "learnt" in close else page.learnt:
        out += _fill(f"Learnt: {words}.")
    if page.money and "money" not in close:
        out += _fill(page.money)
    if page.sure and "sure" not in close:
        out += _fill(page.sure)
    for words in page.routines:
        out += _fill(words)
    if page.not_made:
        out += _fill(f"Not made, because nothing uses it: {listed(page.not_made)}")
    return out


def _with_reason(lines: list[str], one: Make) -> list[str]:
    """The row of an item, and what decided: beside it where nothing is weighed and it fits."""
    if not one.why:
        return lines
    beside = f"{lines[-1]}  {one.why}"
    if not one.weigh and len(beside) <= screen():
        return [*lines[:-1], beside]
    return [*lines, *_fill(one.why, "     ", "     ")]


def _row(one: Make) -> list[str]:
    return [f"{one.place} {one.id}", one.mass, one.volume, one.start, one.keeps, one.verdict]


def _side_by_side(rows: Sequence[Sequence[str]]) -> bool:
    """Whether every row stands in one line."""
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return math.fsum(wide) + 2 * (len(wide) - 1) <= screen()


def _columns(rows: Sequence[Sequence[str]]) -> list[list[str]]:
    """Each row as a line; one that is too wide as two or more."""
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    room = screen() - sum(2 + number for number in wide[1:])
    first = max((len(row[0]) for row in rows if len(row[0]) <= room), default=0)
    out = []
    for row in rows:
        rest = "  ".join(
            cell.rjust(width) if place < 2 else cell.ljust(width)
            for place, (cell, width) in enumerate(zip(row[1:], wide[1:], strict=True))
        )
        line = f"{row[0].ljust(first)}  {rest}".rstrip()
        told = "; ".join(cell for cell in row[1:] if cell)
        if len(line) <= screen() and len(row[0]) <= first:
            out.append([line])
        else:
            out.append(_fill(f"{row[0]}  {told}", "", "     "))
    return out


def _cells(cells: Sequence[AmountCell], close: bool) -> list[str]:
    """Amounts and names, two in a line where both fit; run together where room is short."""
    if close:
        run = "; ".join(f"{cell.amount} {_name(cell)}" for cell in cells)
        return _fill(run, "     ", "     ") if cells else []
    digits = max((len(cell.amount) for cell in cells), default=0)
    told = [f"{cell.amount.rjust(digits)} {_name(cell)}" for cell in cells]
    share = (screen() - 5) // _SHARE
    out: list[str] = []
    waiting = ""
    for text in told:
        if len(text) > share - 2:
            out += [waiting] if waiting else []
            out += _fill(text, "     ", " " * (digits + 6))
            waiting = ""
        elif waiting:
            out.append(f"{waiting.ljust(5 + share)}{text}")
            waiting = ""
        else:
            waiting = f"     {text}"
    return [*out, waiting] if waiting else out


def _name(cell: AmountCell) -> str:
    return f"{cell.name} ({cell.more})" if cell.more else cell.name


# vessels, serves, what to buy


def _vessels(page: FirstPage) -> list[str]:
    if not page.vessels:
        return []
    return ["Vessels", *(line for vessel in page.vessels for line in _fill(vessel, "  ", "     "))]


def _serves(page: FirstPage, close: frozenset[str]) -> list[str]:
    out = []
    for serve in page.serves:
        parts = [] if "serves" in close else serve.parts
        told = "; ".join(filter(None, (serve.out, *parts, serve.allergens)))
        out += _fill(f"Each {serve.name}: {told}")
    return out


def _plan_first_text_buy(page: FirstPage, close: frozenset[str]) -> list[str]:
    if not page.buy:
        return []
    title = f"Buy; {page.bought}" if page.bought else "Buy"
    if "buy less" in close:
        return _fill(f"{title}: {len(page.buy)} to buy, see --full")
    return [*_fill(title), *_cells(page.buy, close="buy" in close)]


def _always(page: FirstPage) -> list[str]:
    return [line for kind, text in page.always for line in _fill(text, f"{kind:<12}", " " * 12)]


def _plan_first_text_more(page: FirstPage) -> list[str]:
    return _fill(f"More: --full ({listed(page.more)}), --working (sums, sources)")
