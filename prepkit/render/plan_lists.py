"""Lines and rows of a plan: amounts, scales, shopping, stock, times, drinks, money."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from prepkit.model import rounded
from prepkit.numbers import length_words
from prepkit.render.text import grid
from prepkit.stdout import columns
from prepkit.units import shown_in

if TYPE_CHECKING:
    from prepkit.sheet import (
        ChargerPack,
        DrinkMoney,
        FruitSheet,
        ItemSheet,
        LineSheet,
        Money,
        MoneySheet,
        PlacedStep,
        PlanSheet,
        ShelfBatch,
        ShelfRow,
        ShoppingRow,
        SiteSheet,
        StockSheet,
        TimetableSheet,
    )

# ---- amounts, lines and titles of printed sheets ----

_FEW_DRINKS = 3
_FIGURES = 6  # decimals of a step, at most
UNITS = {"metric": ("g", "ml"), "us": ("oz", "US fl oz")}


def amount(value: float | None, unit: str, system: str = "metric") -> str:
    """An amount with the digits that can be weighed or measured.

    >>> [amount(g, "g") for g in (1234.5, 45.678, 3.4567, 0.0321, None)]
    ['1234', '45.7', '3.46', '0.032', '-']
    """
    if value is None:
        return "-"
    shown, _ = shown_in(value, unit, system)
    return rounded(shown, digits_of(value, unit, system))


def digits_of(value: float, unit: str, system: str) -> int:
    """The digits of an amount that can be weighed; its last bit does not say how many.

    >>> [digits_of(g, "g", "metric") for g in (100.0, 100 - 1e-13, 99.99)]
    [0, 0, 1]
    """
    shown, shown_unit = shown_in(value, unit, system)
    size = float(f"{abs(shown):.9g}")
    steps = (100.0, 10.0, 0.1) if shown_unit == unit else (1000.0, 100.0, 1.0)
    return sum(size < step for step in steps)


def step_words(step_g: float, system: str) -> str:
    """A step of a scale as it is written on it: in g, unless it is round in ounces alone.

    >>> [step_words(one, "metric") for one in (0.1, 1.0, 0.05)]
    ['0.1 g', '1 g', '0.05 g']
    >>> [step_words(one, "us") for one in (0.1, 2.8349523125)]
    ['0.1 g', '0.1 oz']
    """
    shown, _ = shown_in(step_g, "g", system)
    if system != "metric" and not _round(step_g) and _round(shown):
        return f"{shown:.3g} {UNITS[system][0]}"
    return f"{float(f'{step_g:.3g}'):g} g"


def _round(step: float) -> bool:
    """Whether two digits say a step."""
    return math.isclose(step, float(f"{step:.2g}"), rel_tol=1e-6)


def in_steps(value_g: float, step_g: float, system: str) -> str:
    """A weight with the digits of a step.

    >>> in_steps(5.0, 0.1, "metric"), in_steps(2.5, 0.25, "metric"), in_steps(1942.0, 2.0, "metric")
    ('5.0', '2.50', '1942')
    >>> in_steps(439.0, 1.0, "us")
    '15.49'
    """
    shown, _ = shown_in(value_g, "g", system)
    step, _ = shown_in(step_g, "g", system)
    digits = next((d for d in range(_FIGURES) if step >= 0.999 * 10**-d), _FIGURES)
    if _round(step) and not math.isclose(step, round(step, digits), rel_tol=1e-6):  # 0.25
        digits = min(digits + 1, _FIGURES)
    return rounded(shown, digits)


def weighing(line: LineSheet, system: str) -> str:
    """What is weighed, as its scale shows it.

    As it was worked out where no scale is named, and under ten steps of one: rounded to a step such
    a weighing could be far from what was judged.
    """
    hand = line["hand"]
    if hand is None or hand["too_few"]:
        return amount(line["g"], "g", system)
    return in_steps(hand["g"], hand["step_g"], system)


def serves_words(serves: int) -> str:
    """A number of serves.

    >>> serves_words(1), serves_words(40)
    ('1 serve', '40 serves')
    """
    return f"{serves} serve{'s' * (serves != 1)}"


def made_for(said: PlanSheet) -> str:
    """How many of each drink a plan is for, and the containers it fills."""
    to_fill = said.get("fill")
    if to_fill:
        also = f" and {_drinks(said)}" if said["serves"] != 0 else ""
        return f"{listed(to_fill)}{also}"
    return _drinks(said)


def _drinks(said: PlanSheet) -> str:
    if said["serves"] is None:
        each = [(serve["serves"], serve["name"]) for serve in said["serve"]]
        if len(each) > _FEW_DRINKS:
            return f"{serves_words(sum(n for n, _ in each))} of {len(each)} drinks"
        return listed(f"{count} {name}" for count, name in each)
    return serves_words(said["serves"]) + " of each drink" * (len(said["serve"]) > 1)


def written_for(said: PlanSheet) -> str:
    """The same with what the recipe is written for, where that is one number."""
    written = said["written_for"]
    return made_for(said) + (f" (written for {written})" if written is not None else "")


def from_file(said: PlanSheet) -> str:
    """The same with the file that it is from."""
    written = said["written_for"]
    also = f" (written for {written})" if written is not None else ""
    return f"{made_for(said)}, from {said['file']}{also}"


def fill(text: str, first: str = "  ", rest: str = "    ") -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def title_lines(text: str) -> list[str]:
    return [text, "-" * len(text)]


def listed(names: Iterable[str]) -> str:
    return ", ".join(names)


# ---- what the scales of a house cannot weigh well, item by item, and what would do instead ----


def scale_marks(item: ItemSheet, system: str) -> Iterator[str]:
    """What is under ten steps of its scale, what would do instead, and what it cannot hold."""
    yield from _too_few(item, system)
    names = [
        line["name"]
        for line in item.get("weigh", ())
        if line["hand"] is not None and line["hand"]["finer_than_scale"]
    ]
    if names:
        yield f"The recipe asks for a ± finer than your scale shows: {listed(names)}."


def _too_few(item: ItemSheet, system: str) -> Iterator[str]:
    """What is under ten steps of its scale, the batch that would do, and the stocks."""
    g, _ = UNITS[system]
    few = [
        (line, hand)
        for line in item.get("weigh", ())
        if (hand := line["hand"]) is not None and hand["too_few"]
    ]
    for step_g in sorted({hand["step_g"] for _, hand in few}):
        names = [line["name"] for line, hand in few if hand["step_g"] == step_g]
        yield (f"Under 10 steps of your {step_words(step_g, system)} scale: {listed(names)}.")
    batches = [hand["batch_g"] for _, hand in few if hand["batch_g"] is not None]
    if batches:
        yield f"Smallest batch that would do: {_at_least(max(batches), system)} {g}."
    for line, hand in few:
        if hand["stock"] is not None:
            yield scale_stock_words(line["name"], hand["stock"], system)


def _at_least(value_g: float, system: str) -> str:
    """An amount as it is shown, rounded up.

    >>> _at_least(200.2, "metric"), _at_least(12.34, "metric")
    ('201', '12.4')
    """
    shown, _ = shown_in(value_g, "g", system)
    digits = digits_of(value_g, "g", system)
    return rounded(math.ceil(shown * 10**digits - 1e-6) / 10**digits, digits)


def scale_stock_words(name: str, stock: StockSheet, system: str) -> str:
    """How a stock solution is made and how much of it is taken."""
    g, _ = UNITS[system]
    step_g = stock["solid_g"] / 10
    solid, water, take, less = (
        in_steps(stock[key], step_g, system)
        for key in ("solid_g", "water_g", "take_g", "less_water_g")
    )
    return (
        f"Or a stock of {name}: {solid} {g} in {water} {g} water ({stock['percent']:g} %). "
        f"Take {take} {g} of it, and {less} {g} less water."
    )


# ---- the shopping list of a sheet ----


def shopping_text(said: PlanSheet, system: str) -> list[str]:
    """The shopping list, or nothing where nothing is bought."""
    if not said["shopping"]:
        return []
    headers, letters, rows = shopping_rows(said, system, 24 if said["cost"] else 44)
    out = [*title_lines("Shopping list"), grid(rows, headers, letters)]
    if any("weigh" not in item for item in said["items"]):
        out.append("Without what is stopped or held.")
    out += [fill(line, "", "  ") for line in shopping_lines(said, system)]
    return [*out, ""]


def shopping_rows(
    said: PlanSheet, system: str, width: int = 1000
) -> tuple[list[str], str, list[list[str]]]:
    """Headers, the letters l or r for each column, and rows; packs where there are prices."""
    g, ml = UNITS[system]
    rows = [
        [
            row["name"],
            amount(row["g"], "g", system),
            amount(row["ml"], "ml", system) if row["ml"] is not None else "",
            f"{math.ceil(row['pieces'] - 1e-9)}" if row["pieces"] else "",
            *_packs(row, said),
            textwrap.shorten(listed(row["for"]), width, placeholder=" ..."),
        ]
        for row in said["shopping"]
    ]
    headers, letters = ["what", g, ml, "pieces, about", "for"], "lrrrl"
    if said["cost"]:
        money = f"cost ({said['cost']['currency']})" if said["cost"]["currency"] else "cost"
        headers[4:4], letters = ["packs", money], "lrrrlrl"
        rows += [
            [f"{pack['gas']} charger", "", "", f"{pack['count']}", *_packs(pack, said), "charging"]
            for pack in said["charger_packs"]
        ]
    return headers, letters, rows


def shopping_lines(said: PlanSheet, system: str) -> list[str]:
    """What all of it costs, and what is left over."""
    cost = [f"all that is bought: {money_words(said['cost'])}"] if said["cost"] else []
    return [*cost, *_fruits(said), *_leftovers(said, system)]


def _fruits(said: PlanSheet) -> list[str]:
    """Juice in fruit: as many as it takes, from juicy ones to dry ones."""
    told = []
    for row in said["shopping"]:
        fruit = row["fruit"]
        if fruit is not None:
            told.append(f"{row['name']} from {fruit_words(fruit)} ({fruit['source']})")
    return [f"if you press it yourself: {', '.join(told)}"] if told else []


def fruit_words(fruit: FruitSheet) -> str:
    """How many fruits an amount of juice takes.

    >>> fruit_words({"name": "lemon", "least": 3, "usual": 3, "most": 4, "juice_g": 48.0,
    ...              "source": "X"})
    '3 to 4 fruits'
    """
    few, many = fruit["least"], fruit["most"]
    return f"{few} to {many} fruits" if few < many else f"{few} fruit{'s' * (few > 1)}"


def _packs(row: ShoppingRow | ChargerPack, said: PlanSheet) -> list[str]:
    """Packs and their cost, where there are prices at all."""
    if not said["cost"]:
        return []
    if row["packs"] is None:
        return ["", "" if row.get("name") == "water" else "no price"]
    return [f"{row['packs']} x {row['pack']}", f"{row['cost']:.2f}"]


def money_words(cost: Money) -> str:
    """A cost; what has no price is named, so that it is not read as nothing.

    >>> money_words({"known": 1.5, "unpriced": ["mint"], "currency": "EUR"})
    '1.50 EUR and what mint costs: incomplete, it has no price'
    """
    text = f"{cost['known']:.2f} {cost['currency']}".rstrip()
    if not cost["unpriced"]:
        return text
    many = len(cost["unpriced"]) > 1
    return (
        f"{text} and what {listed(cost['unpriced'])} cost{'' if many else 's'}: incomplete, "
        f"{'they have' if many else 'it has'} no price"
    )


def _leftovers(said: PlanSheet, system: str) -> list[str]:
    """What is left of preparations and in packs."""
    g, ml = UNITS[system]
    told: dict[str, list[str]] = {"made": [], "pack": []}
    for leftover in said["leftovers"]:
        volume = f" = {amount(leftover['ml'], 'ml', system)} {ml}" if leftover["ml"] else ""
        told[leftover["of"]].append(
            f"{leftover['name']} {amount(leftover['g'], 'g', system)} {g}{volume}"
        )
    told["pack"] += [
        f"{pack['left']} {pack['gas']} chargers" for pack in said["charger_packs"] if pack["left"]
    ]
    words = {"made": "left over of what is made", "pack": "left over in packs"}
    return [f"{words[of]}: {'; '.join(each)}" for of, each in told.items() if each]


# ---- what a plan uses of the stock, in lines ----

MOST_ROWS = 6
NOTE = "Stock counts as made by this recipe: read the label of each before you use it."


def stock_words(said: PlanSheet, system: str, most: int | None = None) -> list[str]:
    """A line for each item of the stock: what is used, what is left, what is still to be made."""
    stock = said.get("stock")
    if stock is None:
        return []
    rows, out = stock["rows"], []
    shown = rows if most is None else rows[:most]
    used = any(row["used_g"] for row in rows)
    if not used:
        out.append(f"From stock ({stock['site']}): nothing that this plan can use.")
    out += [_row(row, system, full=most is None) for row in shown]
    if len(shown) < len(rows):
        out.append(f"and {len(rows) - len(shown)} more from stock: see --full")
    for one in stock["not_used"][: most or None]:
        g = f"{amount(one['g'], 'g', system)} {UNITS[system][0]}"
        out.append(f"not used: {g} {one['name']} {one['batch']}, {one['why']}")
    if used:
        took = "It is taken from" if stock["taken"] else "Nothing is taken yet from"
        out.append(f"{NOTE} {took} the ledger.")
    return out


def _row(row: ShelfRow, system: str, *, full: bool) -> str:
    g, _ = UNITS[system]

    def said(value: float) -> str:
        return f"{amount(value, 'g', system)} {g}"

    told = []
    if row["used_g"]:
        batches = listed(
            dict.fromkeys(_named(batch) if full else batch["batch"] for batch in row["batches"])
        )
        told.append(f"from stock {said(row['used_g'])} {row['name']} ({batches})")
        told.append(f"{said(row['left_g'])} left" if row["left_g"] >= 0.001 else "none left")
    else:
        told.append(f"{row['name']}: none in stock")
    if row["make_g"] > 0:
        told.append(f"{'make' if row['made_here'] else 'buy'} {said(row['make_g'])}")
    if row["par_g"] is not None:
        told.append(f"par {said(row['par_g'])}")
    return "; ".join(told)


def _named(batch: ShelfBatch) -> str:
    bottle = f" bottle {batch['bottle']}" if batch["bottle"] else ""
    place = f" in {batch['place']}" if batch["place"] else ""
    use_by = f", use by {batch['use_by']}" if batch["use_by"] not in (None, "none") else ""
    return f"{batch['batch']}{bottle}{place}{use_by}"


# ---- in words ----

_SEEN = 0.5  # per cent more, below which it is not worth a word
_MOST = 3  # items that are named on the first page


def sure_words(said: PlanSheet) -> str:
    """One sentence of what is made more; empty where that is nothing to speak of.

    >>> sure_words({"sure": {"percent": 95, "more": [{"item": "a", "g": 9.0, "percent": 6.2}],
    ...                      "unsure": [], "unstated": []}})
    'Made 6 % more a so that it is enough on 95 nights of 100.'
    """
    more = sorted(_worth(said), key=lambda one: -one[1])
    told = [f"{percent:.0f} % more {item}" for item, percent in more[:_MOST]]
    if len(more) > _MOST:
        rest = len(more) - _MOST
        told.append(f"more of {rest} other{'s' * (rest > 1)}")
    unsure = said["sure"]["unsure"]
    found = []
    if told:
        nights = _nights(said["sure"]["percent"])
        found.append(f"Made {listed(told)} so that it is enough on {nights}.")
    if unsure:
        found.append(f"Not sure to be enough: {listed(unsure)}. Make it first and weigh it.")
    return " ".join(found)


def sure_lines(said: PlanSheet, system: str) -> list[str]:
    """The same with the amounts, and whose loss was taken as exact."""
    g, _ = UNITS[system]
    worth = {item for item, _ in _worth(said)}
    each = [
        f"{amount(addition['g'], 'g', system)} {g} {addition['item']}"
        for addition in said["sure"]["more"]
        if addition["item"] in worth
    ]
    found = [line for line in (sure_words(said),) if line]
    if each:
        found[0] += f" That is {listed(each)}."
    if said["sure"]["unstated"]:
        found.append(
            f"Loss taken as exact, because it has no ±: {listed(said['sure']['unstated'])}. Write "
            f'it with one, such as loss = "4 % ± 2 %".'
        )
    return found


def _worth(said: PlanSheet) -> list[tuple[str, float]]:
    """The items of which more is made, by name and per cent."""
    return [
        (addition["item"], addition["percent"])
        for addition in said["sure"]["more"]
        if addition["percent"] >= _SEEN
    ]


def _nights(percent: float) -> str:
    """A chance as nights that go well, never more of them than it says.

    >>> _nights(95.0), _nights(99.5), _nights(97.58)
    ('95 nights of 100', '995 nights of 1000', '975 nights of 1000')
    """
    whole = percent == round(percent)
    if whole:
        return f"{percent:.0f} nights of 100"
    return f"{math.floor(round(10 * percent, 6))} nights of 1000"


# ---- the timetable of a sheet ----

TIME_HEADERS, TIME_LETTERS = ("start by", "done", "hands on", "what", "how"), "llrll"


def timetable_text(said: PlanSheet) -> list[str]:
    """The timetable, or nothing where the recipe has no steps."""
    table = said["timetable"]
    if table is None:
        return []
    out = [
        *title_lines(time_title(table)),
        hands_words(table),
        grid(time_rows(table), TIME_HEADERS, TIME_LETTERS),
    ]
    out += [fill(line) for line in time_lines(table)]
    return [*out, ""]


def time_title(table: TimetableSheet) -> str:
    """From when the times count."""
    when = f"back from service at {table['service']}" if table["service"] else "before service"
    return f"Timetable, {when}"


def hands_words(table: TimetableSheet) -> str:
    """Whose hands, and how long they are needed."""
    hands = "one person" if table["hands"] == 1 else f"{table['hands']} people"
    return f"{hands}, {length_words(table['hands_on_min'])} of work with the hands"


def time_rows(table: TimetableSheet) -> list[list[str]]:
    """The steps in the order in which they start."""
    return [
        [
            moment(step["start"], step["start_min"]),
            moment(step["end"], step["end_min"]),
            length_words(step["hands_on_min"]) if step["hands_on_min"] else "-",
            step["item"],
            timed_step_words(step),
        ]
        for step in table["steps"]
    ]


def time_lines(table: TimetableSheet) -> list[str]:
    """How long things stand, where that is too long, and what is charged last."""
    out = hours_lines(table)
    for one in table["stands"]:
        keeping = f"; for how it keeps see {listed(map(str, one['keeping']))} on the wall"
        out.append(
            f"{one['item']} stands {length_words(one['min'])} until {one['for']}"
            f"{keeping if one['keeping'] else ''}"
        )
    out += [
        f"TOO LONG: {step['item']} would stand {length_words(step['stands_min'])} after "
        f'"{step["text"]}", and {length_words(step["stands_at_most_min"])} is the most. It '
        f"needs another pair of hands, {'other working hours, ' if table['hours'] else ''}or "
        f"shorter steps after it."
        for step in table["steps"]
        if step["stands_too_long"] and step["stands_at_most_min"] is not None
    ]
    for wait in table["later"]:
        many = "1 more load" if wait["loads"] == 1 else f"{wait['loads']} more loads"
        out.append(
            f"{wait['item']}: {many} during service, as vessels come free: "
            f"{length_words(wait['min'])} each, {length_words(wait['hands_on_min'])} of it with "
            f"the hands"
        )
    if table["charged_last"]:
        others = table["charged"][:-1]
        first = f", after {listed(others)}" if others else ""
        out.append(f"charged last: {table['charged_last']}{first}")
    return out


def hours_lines(table: TimetableSheet) -> list[str]:
    """What the working hours of the house move, and what they cannot hold."""
    if table["hours"] is None:
        return []
    hours = " to ".join(table["hours"])
    out = []
    for days in sorted({step["moved_days"] for step in table["steps"] if step["moved_days"] > 0}):
        moved = [
            f"{step['item']} ({step['text']})"
            for step in table["steps"]
            if step["moved_days"] == days
        ]
        to = "the day before" if days == 1 else f"{days} days before"
        out.append(f"Moved to {to}, because house hours are {hours}: {listed(moved)}")
    out += [
        f"OUTSIDE HOURS: {step['item']} ({step['text']}) needs hands for "
        f"{length_words(step['hands_on_min'])}, more than the working day of {hours}."
        for step in table["steps"]
        if step["outside_hours"]
    ]
    return out


def moved_words(table: TimetableSheet) -> str:
    """How many jobs the working hours move to an earlier day; "" where none."""
    moved = [step for step in table["steps"] if step["moved_days"] > 0]
    if not moved:
        return ""
    to = "the day before" if all(step["moved_days"] == 1 for step in moved) else "earlier days"
    return f"{len(moved)} job{'' if len(moved) == 1 else 's'} moved to {to}"


def moment(time: str | None, minutes: float) -> str:
    """A time of day where service has one, else how long before service."""
    if time is not None:
        return time
    if abs(minutes) < 0.5:
        return "service"
    return f"-{length_words(-minutes)}"


def timed_step_words(step: PlacedStep) -> str:
    """What is done in a step, and for how many vessels."""
    return f"{step['text']} ({step['times']} times)" if step["times"] > 1 else str(step["text"])


# ---- tables over all drinks of a plan ----

YES = "contains"
NO_ALLERGENS = "none in what the pantry knows of it"


def allergen_rows(said: PlanSheet) -> tuple[list[str], list[list[str]]]:
    """Headers and rows, a drink in each row and an allergen in each column; none of one drink."""
    drinks = [([serve["name"]], serve["allergens"]) for serve in said["serve"]]
    if "sites" in said:
        drinks = [
            ([site["site"], drink["name"]], drink["allergens"])
            for site in said["sites"]
            for drink in site["drinks"]
        ]
    if len(drinks) < 2:
        return [], []
    names = sorted({name for _, every in drinks for name in every})
    rows = [[*which, *(YES if name in every else "" for name in names)] for which, every in drinks]
    return [*(["site"] if "sites" in said else []), "drink", *names], rows


def sends(said: PlanSheet) -> dict[str, dict[str, float]]:
    """What a kitchen sends, g by item and site; only what is to be sent."""
    found: dict[str, dict[str, float]] = {}
    for site in said.get("sites", ()):
        for sending in site["sends"]:
            if sending["send_g"] > 0:
                found.setdefault(sending["item"], {})[site["site"]] = sending["send_g"]
    return found


def site_words(said: PlanSheet, system: str, most: int | None = None) -> list[str]:
    """A line for each site of a kitchen: its verdict, what it is sent, what it makes itself."""
    sites = said.get("sites", [])
    shown = sites if most is None else sites[:most]
    out = [_site(site, system) for site in shown]
    if len(shown) < len(sites):
        out.append(f"and {len(sites) - len(shown)} more sites: see --full")
    return out


def _site(site: SiteSheet, system: str) -> str:
    verdict = site["verdict"].upper() if site["verdict"] != "clear" else "clear"
    name = f"{site['site']}: {verdict} in its own house"
    if site["verdict"] == "stop":
        return f"{name}, so nothing is made for it. Plan {site['menu']} to see why."
    told = [f"{_g(sending['send_g'], system)} {sending['item']}" for sending in site["sends"]
            if sending["send_g"] > 0] or ["nothing"]  # fmt: skip
    there = [f"{_g(one['stands_g'] + one['on_the_way_g'], system)} {one['item']}"
             for one in site["sends"] if one["stands_g"] + one["on_the_way_g"] > 0]  # fmt: skip
    out = [f"{name}; send {listed(told)}"]
    if there:
        out.append(f"there or on the way: {listed(there)}")
    if site["held"]:
        out.append(f"not sent, because it must not be made: {listed(site['held'])}")
    if site["makes"]:
        out.append(f"it makes {listed(site['makes'])} itself")
    return "; ".join(out)


def _g(value: float, system: str) -> str:
    return f"{amount(value, 'g', system)} {UNITS[system][0]}"


def sites_text(said: PlanSheet, system: str) -> list[str]:
    """What each site needs, what stands there and is on the way, what is sent; or nothing."""
    rows = [
        [site["site"], one["item"],
         *(amount(g, "g", system) for g in (one["need_g"], one["stands_g"], one["on_the_way_g"],
                                            one["send_g"])),
         "" if one["par_g"] is None else amount(one["par_g"], "g", system)]
        for site in said.get("sites", ())
        for one in site["sends"]
    ]  # fmt: skip
    if not rows:
        return []
    what = ("needs", "there", "on the way", "send", "par")
    headers = ["site", "item", *(f"{one} {UNITS[system][0]}" for one in what)]
    used = [at for at in range(len(headers)) if any(row[at] for row in rows)]
    out = [*title_lines("Sent to the sites")]
    out.append(grid([[row[at] for at in used] for row in rows], [headers[at] for at in used],
                    "".join("l" if at < 2 else "r" for at in used)))  # fmt: skip
    return [*out, *map(fill, _not_used(said, system)), ""]


def _not_used(said: PlanSheet, system: str) -> Iterator[str]:
    for site in said.get("sites", ()):
        for one in site["not_used"]:
            g = _g(one["g"], system)
            yield f"not used at {site['site']}: {g} {one['name']} {one['batch']}, {one['why']}"


def allergens_text(said: PlanSheet) -> list[str]:
    """The table with what an empty cell means, or nothing where there is one drink."""
    headers, rows = allergen_rows(said)
    if not rows:
        return []
    if len(headers) == (2 if "sites" in said else 1):
        return [*title_lines("Allergens"), fill(f"In every drink: {NO_ALLERGENS}."), ""]
    out = [*title_lines("Allergens"), grid(rows, headers, "l" * len(headers))]
    return [*out, fill(f"An empty cell: {NO_ALLERGENS}."), ""]


# ---- what an evening costs and brings, in words and rows ----

UNKNOWN = "not known"
_MOST_MONEY = 6  # drinks whose pour cost is on the first page


def money_rows(said: MoneySheet) -> tuple[list[str], str, list[list[str]]]:
    """Headers, the letters l or r for each column, and a row for each drink."""
    money = f" ({said['currency']})" if said["currency"] else ""
    headers = ["drink", "serves", f"price{money}", "without tax", "cost", "pour cost", "margin"]
    rows = [_money_row(drink) for drink in said["drinks"]]
    if not said["sold_tax_percent"]:
        headers.pop(3)
        for row in rows:
            row.pop(3)
    return headers, "lrrrrrr"[: len(headers)], rows


def _money_row(one: DrinkMoney) -> list[str]:
    return [
        one["name"], f"{one['serves']}", _amount(one["price"], "no price"),
        _amount(one["price_net"], ""), _cost(one["cost"]), _percent(one["pour_cost_percent"]),
        _amount(one["margin"], UNKNOWN),
    ]  # fmt: skip


def _amount(value: float | None, without: str) -> str:
    return without if value is None else f"{value:.2f}"


def _percent(value: float | None) -> str:
    return UNKNOWN if value is None else f"{value:.1f} %"


def _cost(cost: Money) -> str:
    return f"{cost['known']:.2f}" if cost["complete"] else f"over {cost['known']:.2f}"


def money_lines(said: MoneySheet) -> list[str]:
    """All drinks together, waste, what is bought and not used, and what about tax is known."""
    found = []
    if said["sales"] is not None:
        found.append(
            f"all drinks: sales {said['sales']:.2f} {said['currency']}".rstrip()
            + f", pour cost {_percent(said['pour_cost_percent'])}, margin "
            + _amount(said["margin"], UNKNOWN)
        )
    elif said["unsold"] and len(said["unsold"]) < len(said["drinks"]):
        found.append(f"all drinks: sales not known, because {listed(said['unsold'])} has no price")
    found.append(f"cost of all that is served: {money_words(said['served'])}")
    found.append(f"of that lost on the way: {money_words(said['lost'])}")
    found.append(f"made and left over, in no drink: {money_words(said['left_made'])}")
    found.append(f"bought and not used, left in packs: {money_words(said['left_packs'])}")
    if any(drink["price"] is not None for drink in said["drinks"]):
        found.append(tax_words(said))
    return found


def tax_words(said: MoneySheet) -> str:
    """What tax is taken out."""
    if not said["tax_said"]:
        return (
            "The house does not say whether tax is in its prices, so they are compared as they are "
            "written. Write [tax] in its file."
        )
    sold, packs = said["sold_tax_percent"], said["packs_tax_percent"]
    told = [f"{sold:g} % in menu prices"] if sold else []
    told += [f"{packs:g} % in prices of packs"] if packs else []
    return (
        f"Pour cost and margin are without tax: {listed(told)} taken out."
        if told
        else ("Pour cost and margin are without tax, as all prices are written.")
    )


def pour_words(said: PlanSheet) -> str:
    """The pour cost of each drink that has a price; empty where none has."""
    money = said["money"]
    sold = [drink for drink in money["drinks"] if drink["price"] is not None] if money else []
    if money is None or not sold:
        return ""
    found = [f"{one['name']} {_percent(one['pour_cost_percent'])}" for one in sold]
    if len(found) > _MOST_MONEY:
        found = [*found[:_MOST_MONEY], f"{len(found) - _MOST_MONEY} more in --full"]
    out = f"Pour cost: {listed(found)}"
    if money["sales"] is not None:
        return f"{out}; all drinks {_percent(money['pour_cost_percent'])}."
    return f"{out}. No price: {listed(money['unsold'])}."


def money_text(said: PlanSheet) -> list[str]:
    """The table of money with its lines, or nothing where nothing has a price."""
    money = said["money"]
    if money is None:
        return []
    headers, letters, rows = money_rows(money)
    out = [*title_lines("Money")]
    out += [grid(rows, headers, letters)] if rows else []
    return [*out, *(fill(line, "", "  ") for line in money_lines(money)), ""]
