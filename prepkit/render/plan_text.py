"""A plan as text: verdict first, tonight in one look, shopping, each item, each serve, the wall.

Made from the plan's JSON form alone, so that every number on the sheet is in the JSON.

A routine as text and as a page to print: in time or over first, then drinks and timetable.
"""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING

from prepkit import model
from prepkit.model import Column, Step, Table, Value, rounded
from prepkit.render.plan_lists import (
    NO_ALLERGENS,
    UNITS,
    allergens_text,
    amount,
    digits_of,
    fill,
    from_file,
    in_steps,
    listed,
    money_text,
    money_words,
    scale_marks,
    serves_words,
    shopping_text,
    site_words,
    sites_text,
    stock_words,
    sure_lines,
    timetable_text,
    title_lines,
)
from prepkit.render.text import (
    UNEVEN_WORDS,
    VERDICT_WORDS,
    advice,
    grid,
    in_units,
    source_words,
    step_text,
    table_text,
    value_words,
)
from prepkit.science.gases import GAS_NAMES
from prepkit.stdout import columns
from prepkit.units import shown_in

if TYPE_CHECKING:
    from prepkit.sheet import (
        CautionSheet,
        DecisiveSheet,
        ItemSheet,
        ItemValue,
        KeepsSheet,
        PlanSheet,
        RoutineDrinkSheet,
        RoutineSheet,
        RoutineStepSheet,
        ServeSheet,
        Stop,
        ValueSheet,
        VesselSheet,
    )

__all__ = ["NO_ALLERGENS", "UNITS", "amount", "plan_text"]
SHORT_VERDICT = {"clear": "clear", "care": "CARE", "stop": "STOP"}


def plan_text(said: PlanSheet, working: bool = False, system: str = "metric") -> str:
    """The whole sheet."""
    out = [*head_text(said, system), *_one_look(said, system), *shopping_text(said, system)]
    out += money_text(said)
    out += timetable_text(said)
    for routine in said.get("routines", ()):
        out += [*title_lines(f"Routine: {routine['name']}"), *routine_body(routine), ""]
    for place, item in enumerate(said["items"], 1):
        out += _item(place, item, system, working, said)
    for serve in said["serve"]:
        out += _serve(serve, system)
    out += sites_text(said, system)
    out += allergens_text(said)
    out += wall_text("Cautions for the wall", not_stops(said["cautions"]), system)
    out += wall_text("Always", said["standing"], system)
    if working:
        out += _sources(said)
    return "\n".join(out).rstrip() + "\n"


def _note(text: str, indent: str) -> list[str]:
    """A note of the recipe; a blank line parts its paragraphs."""
    return [fill(" ".join(word.split()), indent, indent) for word in text.split("\n\n") if word]


# the head


def head_text(said: PlanSheet, system: str) -> list[str]:
    out = [said["title"], "=" * len(said["title"])]
    out.append(from_file(said))
    out += [fill(line, "", "  ") for line in from_words(said, system)]
    words = VERDICT_WORDS[said["verdict"]]
    if said["verdict"] == "stop":
        words = "STOP   something below must not be made"
    elif said["care"]:
        words += f": {listed(map(str, said['care']))} on the wall"
    out += ["", f"Verdict: {words}"]
    out += [
        fill(in_units(f"{must_not(stop)}: {stop['text']} Do this: {advice(stop)}", system))
        for stop in said["stops"]
    ]
    if said["decisive"]:
        out += ["", fill(decisive_words(said["decisive"], system), "", "  ")]
    learnt = [f"Learnt: {one['words']}." for one in said.get("learnt", ())]
    out += ["", *(fill(line, "", "  ") for line in learnt)] if learnt else []
    sure = sure_lines(said, system)
    out += ["", *(fill(line, "", "  ") for line in sure)] if sure else []
    if said["note"]:
        out += ["", *_note(said["note"], "")]
    return [*out, ""]


def decisive_words(one: DecisiveSheet, system: str = "metric") -> str:
    """The weighing that matters most, and what it does."""
    g, _ = UNITS[system]
    digits = digits_of(one["g"], "g", system)
    off = rounded(shown_in(one["plus_minus_g"], "g", system)[0], digits)
    moves = _few_digits(one["moves"], one["digits"])
    return (
        f"The weighing that matters most is {one['name']} for {one['item']}, "
        f"{amount(one['g'], 'g', system)} ± {off} {g}. It moves {one['label']} of {one['serve']} "
        f"by {moves} {one['unit']}, {one['percent']:.2g} % of it."
    )


def _few_digits(value: float, digits: int) -> str:
    """A small number with as many digits as it takes to be seen.

    >>> _few_digits(0.0314, 1), _few_digits(0.00042, 2), _few_digits(0.0, 2)
    ('0.03', '0.0004', '0.000')
    """
    places = digits + 1
    while value and places < 9 and value < 0.95 * 10**-places:
        places += 1
    return rounded(value, places)


def from_words(said: PlanSheet, system: str, most: int | None = None) -> list[str]:
    """What there is, and what is left of it; of the stock at most so many lines."""
    g, _ = UNITS[system]
    found = []
    for allowed in said.get("from", ()):
        allows = (
            "as many as it allows"
            if allowed["limits"]
            else f"enough for {serves_words(allowed['serves'])}"
        )
        needed, left = (amount(allowed[key], "g", system) for key in ("need_g", "left_g"))
        found.append(f"from {allowed['words']}, {allows}: {needed} {g} needed, {left} {g} left")
    return [*found, *site_words(said, system, most), *stock_words(said, system, most)]


def _one_look(said: PlanSheet, system: str) -> list[str]:
    g, ml = UNITS[system]
    out = [*title_lines("Tonight in one look")]
    rows = []
    for item in said["items"]:
        if not item["makes"]:
            continue
        if "made_g" not in item:
            rows.append([item["id"], *_no_go(item)])
        else:
            volume = amount(item["made_ml"], "ml", system)
            mass = amount(item["made_g"], "g", system)
            rows.append([item["id"], mass, volume, SHORT_VERDICT[item["verdict"]]])
    out += [grid(rows, ["make, in this order", g, f"{ml} at 20 °C", "verdict"], "lrrl"), ""]
    if said["vessels"]:
        out += ["Vessels and chargers"]
        out += [
            line
            for vessel in said["vessels"]
            for line in [fill(vessel_words({**vessel, "item": f"{vessel['item']}:"}, system))]
        ]
        total = listed(
            f"{count} of {GAS_NAMES.get(gas, gas)}" for gas, count in said["chargers"].items()
        )
        out += [f"  chargers in all: {total or 'none'}", ""]
    if said["not_made"]:
        out += [f"Not made tonight, because nothing uses it: {listed(said['not_made'])}", ""]
    return out


def _no_go(item: ItemSheet) -> list[str]:
    if item["verdict"] == "stop":
        return ["-", "-", "STOP, not to be made"]
    return ["-", "-", f"held by {listed(item['held_by'])}"]


def each_words(vessel: VesselSheet, system: str) -> str:
    """What one vessel gets, as the scale shows it and never above what was worked out."""
    if vessel["each_hand_g"] is None or vessel["each_step_g"] is None:
        return amount(vessel["each_g"], "g", system)
    return in_steps(vessel["each_hand_g"], vessel["each_step_g"], system)


def vessel_words(vessel: VesselSheet, system: str) -> str:
    """How the load of an item is shared out over vessels, and its chargers."""
    g, ml = UNITS[system]
    text = (
        f"{vessel['item']} {vessel['fills']} x vessel {vessel['vessel']}, each with "
        f"{each_words(vessel, system)} {g} = {amount(vessel['each_ml'], 'ml', system)} {ml} "
        f"(at most {amount(vessel['most_ml'], 'ml', system)} {ml})"
    )
    if vessel["chargers"] is not None:
        text += (
            f", {vessel['chargers_each']} {vessel['gas'] or ''} charger"
            f"{'s' if vessel['chargers_each'] != 1 else ''} in each, {vessel['chargers']} in all"
        )
    has = vessel["house_has"]
    if has is not None and vessel["rounds"] > 1:
        text += f"; the house has {has}{shared_words(vessel)}, so {vessel['rounds']} rounds"
    return text


def shared_words(vessel: VesselSheet) -> str:
    """With what an item shares its vessels, and how many loads all of it is."""
    if not vessel["others"]:
        return ""
    return f" for {vessel['loads']} loads, with {listed(vessel['others'])}"


# items


def _item(place: int, item: ItemSheet, system: str, working: bool, said: PlanSheet) -> list[str]:
    kind = ", a check" if item["check"] else ""
    verdict = SHORT_VERDICT[item["verdict"]]
    out = title_lines(f"{place}. {item['id']} ({item['calculator']}{kind}): {verdict}")
    if item["note"]:
        out += _note(item["note"], "  ")
    if item["verdict"] == "stop":
        head = "STOP" if item["check"] else "NOT TO BE MADE"
        out += [fill(f"{head}: {in_units(stop['text'], system)}") for stop in item["stops"]]
        return [*out, ""]
    if item["held_by"]:
        out.append(fill(held_words(item)))
        return [*out, ""]
    if item["makes"]:
        out += _weigh(item, system)
        out += [fill(line) for line in scale_marks(item, system)]
        out.append(fill(yield_words(item, system, said)))
        if item["keeps"]:
            out.append(fill(f"shelf life: {keeps_words(item['keeps'])}"))
    rows = [[v["label"], *shown_value(v, system)] for v in item["readings"]]
    if rows:
        when = ", as it was measured" if item["as_measured"] else ""
        if item["family"] == "gas":
            when = ", before it is charged" if item["filling"] else ", before it is foamed"
        out += [f"  check{when}", grid(rows, right="lrl", indent="    ")]
    out += [
        fill(f"{'pH' if name == 'ph' else name} is not shown: {_end(why)}")
        for name, why in item["not_shown"].items()
    ]
    out += _others(item, system, working)
    if uneven(item):
        out.append(fill(f"{UNEVEN_WORDS}."))
    for table in item["tables"]:
        columns = tuple(Column(**column) for column in table["columns"])
        rows_of = tuple(tuple(row) for row in table["rows"])
        shown = Table(table["name"], table["title"], columns, rows_of)
        out += ["", table_text(shown, system, "  ")]
    if item["cautions"]:
        out.append(fill(f"cautions on the wall: {listed(map(str, item['cautions']))}"))
    if working and item["working"]:
        scaled = item["makes"] and not item["filling"]
        out.append("  working, at the recipe's own amounts" if scaled else "  working")
        obtained = {source["key"]: source["obtained"] for source in said["sources"]}
        out += [
            textwrap.indent(step_text(Step(**step), obtained.get(step["source"], "")), "  ")
            for step in item["working"]
        ]
    return [*out, ""]


def _others(item: ItemSheet, system: str, working: bool) -> list[str]:
    """The calculator's other values: those of gas and of the batch, all of them on demand."""
    shown = other_values(item, working)
    if item["filling"]:
        rows = [[v["label"], *shown_value(v, system)] for v in shown]
        return ["  in each vessel", grid(rows, right="lrl", indent="    ")]
    words = "; ".join(f"{v['label']} {' '.join(shown_value(v, system)).strip()}" for v in shown)
    return [fill(f"also: {words}")] if words else []


def other_values(item: ItemSheet, working: bool) -> list[ItemValue]:
    """The values beside the readings that a sheet shows."""
    everything = working or item["family"] == "gas" or not item["makes"]
    return [v for v in item["values"] if everything or v["of_batch"]]


def keeps_words(keeps: KeepsSheet) -> str:
    """A shelf life, what sets it and on what that rests."""
    days = short_keeps(keeps)
    if keeps["days"] is not None:
        days += ", counted from the day of its oldest part"
    return f"{days} ({keeps['why']}; {source_words(keeps['source'])})"


def short_keeps(keeps: KeepsSheet) -> str:
    """A shelf life in a word or two.

    >>> short_keeps({"days": 7, "exempt": False, "habit": True, "why": "", "source": ""})
    '7 days, habit'
    >>> short_keeps({"days": None, "exempt": False, "habit": False, "why": "", "source": ""})
    'days not known'
    """
    if keeps["days"] is None:
        return "no date needed" if keeps["exempt"] else "days not known"
    days = "1 day" if keeps["days"] == 1 else f"{keeps['days']} days"
    return f"{days}, habit" if keeps["habit"] else days


def uneven(item: ItemSheet) -> bool:
    """Whether a value of an item has a ± that is not the same both ways."""
    return any(text.get("non_linear") for text in (*item["readings"], *item["values"]))


def must_not(stop: Stop) -> str:
    """What a reason to stop is about."""
    return must_not_all([stop["of"]], stop["not"])


def must_not_all(names: Sequence[str], what: str) -> str:
    """What a reason to stop is about, for all that it stops alike.

    >>> must_not_all(["a", "b"], "made"), must_not_all(["look"], "passed")
    ('a, b must not be made', 'look says stop')
    """
    if what == "passed":
        return f"{listed(names)} {'says' if len(names) == 1 else 'say'} stop"
    return f"{listed(names)} must not be {what}"


def held_words(item_sheet: ItemSheet | ServeSheet) -> str:
    """By what an item or a serve is held."""
    return f"HELD: not before {listed(item_sheet['held_by'])} is no longer a stop."


def _end(sentence: str) -> str:
    return f"{sentence.rstrip('.')}."


def shown_value(value: ValueSheet, system: str) -> tuple[str, str]:
    """A value of the plan with its +/-, and its unit.

    A +/- is never less than one of the value's last digit, and not shown where it is far less.
    """
    spread, last = value["plus_minus"], 10.0 ** -value["digits"]
    if spread is not None:
        spread = None if spread < 0.1 * last else max(spread, last)
    shown = Value(
        value["value"],
        value["unit"],
        spread,
        value["label"],
        value["digits"],
        spread is not None and value.get("non_linear", False),
        value.get("limit", ""),
    )
    return value_words(shown, system)


def _weigh(item: ItemSheet, system: str) -> list[str]:
    g, ml = UNITS[system]
    rows = []
    for line in item["weigh"]:
        volume = amount(line["ml"], "ml", system) if line["ml"] is not None else ""
        if line["drops"] is not None:
            volume += f" ({line['drops']:.0f} drops)"
        rows.append([line["name"], amount(line["g"], "g", system), volume, line["how"]])
    headers, letters = ["weigh", g, f"{ml} at 20 °C", "how"], "lrrl"
    if not any(row[3] for row in rows):
        rows, headers, letters = [row[:3] for row in rows], headers[:3], letters[:3]
    out = [grid(rows, headers, letters, "  ")]
    filling = item["filling"]
    if filling:
        out.append(fill(vessel_words({"item": "fill", **filling}, system)))
    return out


def yield_words(item: ItemSheet, system: str, said: PlanSheet) -> str:
    """What an item gives, and where that goes."""
    g, ml = UNITS[system]
    volume = f", {amount(item['made_ml'], 'ml', system)} {ml} at 20 °C" if item["made_ml"] else ""
    spread, made_g = item["made_g_plus_minus"], item["made_g"]
    within = ""
    if spread and made_g is not None:  # with the digits of what it belongs to, and never nothing
        digits = digits_of(made_g, "g", system)
        within = f" ± {rounded(max(shown_in(spread, 'g', system)[0], 10.0**-digits), digits)}"
    text = f"yields {amount(item['made_g'], 'g', system)}{within} {g}{volume}"
    goes = [f"{amount(to['g'], 'g', system)} {g} for {to['name']}" for to in item["goes_to"]]
    if item["lost_g"] > 0:
        goes.append(f"{amount(item['lost_g'], 'g', system)} {g} counted as lost")
    if item["left_g"] > 0.005:
        goes.append(f"{amount(item['left_g'], 'g', system)} {g} left over")
    stopped = [
        item_sheet["id"]
        for item_sheet in said["items"]
        if "weigh" not in item_sheet and item_sheet["id"] in {to["name"] for to in item["goes_to"]}
    ]
    if stopped:
        goes.append(f"but {listed(stopped)} must not be made as planned")
    return f"{text}: {'; '.join(goes)}"


# serves


def _serve(serve: ServeSheet, system: str) -> list[str]:
    g, ml = UNITS[system]
    out = title_lines(f"Each serve: {serve['name']} ({serve['serves']} of them)")
    if serve["note"]:
        out += _note(serve["note"], "  ")
    allergens = listed(serve["allergens"]) or NO_ALLERGENS
    if "parts" not in serve:
        why = held_words(serve) if serve["held_by"] else "NOT TO BE SERVED: see the verdict."
        return [*out, fill(why), fill(f"allergens: {allergens}"), ""]
    rows = [
        [
            part["words"],
            amount(part["g"], "g", system),
            amount(part["ml"], "ml", system) if part["ml"] is not None else "",
        ]
        for part in serve["parts"]
    ]
    rows.append(["in all", amount(serve["g"], "g", system), amount(serve["ml"], "ml", system)])
    out.append(grid(rows, ["portion", g, f"{ml}, no gas"], "lrr", "  "))
    if serve["garnish"]:
        garnish = listed(
            f"{one['words']} ({amount(one['g'], 'g', system)} {g})" for one in serve["garnish"]
        )
        out.append(fill(f"garnish, not counted in what follows: {garnish}"))
    facts = "; ".join(serve_facts(serve, system))
    return [*out, fill(facts), fill(f"allergens: {allergens}"), ""]


def serve_facts(serve: ServeSheet, system: str) -> list[str]:
    """What is in one serve, in words."""
    facts = [f"{v['label']} {' '.join(shown_value(v, system)).strip()}" for v in serve["readings"]]
    if not any(v["name"] == "abv" for v in serve["readings"]):
        facts.insert(0, "no alcohol in its ingredients")
    if serve["cost"]:
        facts.append(f"costs {money_words(serve['cost'])}")
    if serve["caffeine_mg"]:
        facts.append(f"caffeine about {serve['caffeine_mg']:.0f} mg")
    return facts


# the wall


def not_stops(cautions: Sequence[CautionSheet]) -> list[CautionSheet]:
    """A stop stands at the top of the sheet and at its item, not among what goes on the wall."""
    return [caution for caution in cautions if caution["severity"] != "stop"]


def wall_text(title: str, cautions: Sequence[CautionSheet], system: str = "metric") -> list[str]:
    if not cautions:
        return []
    out = title_lines(title)
    for caution in cautions:
        number = caution.get("number")
        head = f"{f'{number}. ' if number else ''}[{caution['severity']}, {caution['kind']}] "
        told = caution["said"]
        for place, each in enumerate(told):
            of = ""
            if caution["per_serve"]:
                of = f"One {listed(each['of'])}: "
            elif len(told) > 1:
                of = f"{listed(each['of'])}: "
            first = place == 0
            out.append(
                fill(
                    f"{head if first else ''}{of}{in_units(each['text'], system)}",
                    "  " if first else "    ",
                )
            )
            if place == len(told) - 1 or advice(each) != advice(told[place + 1]):
                out.append(fill(f"-> {in_units(advice(each), system)}", "    ", "       "))
        where = "" if caution["standing"] else f"; {listed(caution['of'])}"
        rests_on = source_words(caution["source"])
        out.append(fill(f"({caution['id']}; {rests_on}{where})", "    ", "     "))
    return [*out, ""]


def _sources(said: PlanSheet) -> list[str]:
    out = title_lines("Sources")
    for source in said["sources"]:
        note = f" ({source['note']})" if source["note"] else ""
        out.append(fill(f"{source['key']} [{source['obtained']}]: {source['title']}{note}"))
    return out


# ---- a routine ----

WORDS = {"clear": "CLEAR", "care": "CARE", "stop": "STOP"}
HEADERS = ("start", "end", "ends between", "step", "of")


def clock(seconds: float) -> str:
    """Minutes and seconds from the start.

    >>> clock(150.4), clock(45)
    ('2:30', '0:45')
    """
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02}"


def always_lines() -> list[tuple[str, str]]:
    """The three lines that always hold for what stands in a glass."""
    return list(zip(model.Always._fields, model.lines("window"), strict=True))


def head(said: RoutineSheet) -> str:
    """The one line that decides."""
    return f"routine: {WORDS[said['verdict']]}   {said['name']}. {said['headline']}"


def drink_words(routine_drink: RoutineDrinkSheet) -> list[str]:
    """A drink beside its window, in sentences."""
    many = "" if routine_drink["serves"] == 1 else f", {routine_drink['serves']} glasses"
    sign = "" if routine_drink["verdict"] == "clear" else f"{WORDS[routine_drink['verdict']]}  "
    out = [f"{sign}{routine_drink['name']}{many}: {routine_drink['words']}."]
    out.append(f"Allergens: {', '.join(routine_drink['allergens']) or NO_ALLERGENS}.")
    first, last, window = (
        routine_drink["first_sip_min"],
        routine_drink["last_sip_min"],
        routine_drink["window"],
    )
    if first:
        sips = f"First sip {_span(first)} after the pour"
        out.append(f"{sips}, last {_span(last)}." if last != first else f"{sips}.")
    if window is not None and window["likely_min"]:
        low, high = window["likely_min"]
        sure = window["sure_min"]
        told = f"{sure[0]:.1f} to {sure[1]:.1f} min for sure" if sure else "no minute for sure"
        out.append(f"As wanted {told}, {low:.1f} to {high:.1f} min likely.")
    return out


def _span(ends: Sequence[float]) -> str:
    low, high = f"{ends[0]:.1f}", f"{ends[-1]:.1f}"
    return f"{low} min" if low == high else f"{low} to {high} min"


def tables(said: RoutineSheet) -> list[tuple[str, list[tuple[str, ...]]]]:
    """The timetable of each pair of hands, and of what runs by itself."""
    found = []
    for person in (*range(1, said["hands"] + 1), 0):
        rows = [
            _row(step)
            for step in said["steps"]
            if (person in step["people"] if person else not step["people"])
        ]
        if rows:
            name = "Hands" if said["hands"] == 1 else f"Hands {person}"
            found.append((name if person else "Runs by itself", rows))
    return found


def _line(start: str, end: str, between: str, step: str, of: str) -> str:
    """A row of the timetable; its words go on below themselves."""
    left = f"{start:>6} to {end:<6} ({between})"
    return _fill(f"{step}: {of}", f"{left:<32}", " " * 32)


def _row(routine_step: RoutineStepSheet) -> tuple[str, ...]:
    glasses = routine_step["glasses"]
    which = "" if not glasses else f" {glasses[0]}" if glasses[0] == glasses[1] else (
        f" {glasses[0]} to {glasses[1]}"
    )  # fmt: skip
    both = f"{clock(routine_step['earliest_s'])} - {clock(routine_step['latest_s'])}"
    mark = "* " if routine_step["critical"] else ""
    of = ", ".join(routine_step["drinks"]) + which
    return (
        clock(routine_step["start_s"]),
        clock(routine_step["end_s"]),
        both,
        f"{mark}{routine_step['text']}",
        of,
    )


def routine_body(said: RoutineSheet) -> list[str]:
    """The routine in lines, answer first."""
    out = [_fill(head(said), "", "  "), ""]
    for caution in said["cautions"]:
        sign = WORDS[caution["severity"]]
        out.append(_fill(f"{sign}  {', '.join(caution['of'])}: {caution['text']}", "", "      "))
        out.append(_fill(f"-> {caution['action']}", "      ", "         "))
    out += [""] if said["cautions"] else []
    if said["critical"]:
        out.append(_fill(f"Critical path  {said['critical']}.", "", "  "))
        out += [_fill(said["more_hands"])] if said["more_hands"] else []
        out.append("")
    for drink in said["drinks"]:
        first, *rest = drink_words(drink)
        out += [_fill(first, "", "  "), *(_fill(line, "  ", "  ") for line in rest)]
    for name, rows in tables(said):
        out += ["", f"{name}, min:s from the start; * is on the critical path"]
        out += [_line(*row) for row in rows]
    return out


def routine_text(said: RoutineSheet) -> str:
    """The routine as one page of text."""
    out = [*routine_body(said), ""]
    out += [f"{kind:<12}{line}" for kind, line in always_lines()]
    return "\n".join(out) + "\n"


def routine_lines(said: PlanSheet) -> list[str]:
    """Each routine of a plan in one sentence."""
    return [
        f"Routine {routine['name']}. {routine['headline']}" for routine in said.get("routines", ())
    ]


def routine_svg(said: RoutineSheet, key: str = "routine") -> str | None:
    """The time line as a picture; None beside a stop."""
    from prepkit.render.charts import routine_line, time_line_svg  # text needs none

    line = routine_line(said)
    return None if line is None else time_line_svg(line, key)


def routine_views(routines: Sequence[RoutineSheet]) -> list[dict[str, object]]:
    """What a page shows of each routine."""
    from prepkit.render.html import SVG_SPACE, Cells  # a page alone needs them

    return [
        {
            "said": routine,
            "head": head(routine),
            "svg": (routine_svg(routine, f"routine-{place}") or "").replace(SVG_SPACE, "", 1),
            "drinks": [drink_words(drink) for drink in routine["drinks"]],
            "tables": [
                Cells(
                    f"{name}, min:s from the start; * is on the critical path",
                    HEADERS,
                    "rrlll",
                    rows,
                )
                for name, rows in tables(routine)
            ],
            "words": WORDS,
        }
        for place, routine in enumerate(routines, 1)
    ]


def routine_html(routines: Sequence[RoutineSheet]) -> str:
    """The routines as one document to print; no script in it."""
    from prepkit.render.html import document

    views = routine_views(routines)
    return document("routine.html", routines=views, always=always_lines())


def _fill(text: str, first: str = "", rest: str = "") -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
