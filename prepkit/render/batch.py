"""What the bench works by: the batch sheet, and what was measured beside it.

Made from the plan's JSON form alone. What must not be made has nothing to do in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from prepkit.model import rounded
from prepkit.render.html import Cells, Warned
from prepkit.render.plan_lists import (
    UNITS,
    amount,
    digits_of,
    fill,
    listed,
    moment,
    scale_marks,
    timed_step_words,
    title_lines,
    weighing,
)
from prepkit.render.plan_text import (
    SHORT_VERDICT,
    head_text,
    held_words,
    not_stops,
    vessel_words,
    wall_text,
)
from prepkit.render.text import grid, in_units, source_words
from prepkit.sheet import (
    AccountCaution,
    AccountSheet,
    CorrectionCaution,
    CorrectionSheet,
    ItemSheet,
    PhSheet,
    PlacedStep,
    PlanSheet,
    ShortSheet,
)
from prepkit.units import shown_in

# ---- the batch sheet before it is laid out ----

_PRESSURES = ("settled",)  # what a gauge on the vessel shows
_NOT_READ = ("dissolved_solids",)  # worked out, not read


class Weighing(NamedTuple):
    """One thing to weigh; `off` is how far the weighing may be off, or empty."""

    name: str
    amount: str
    off: str
    unit: str
    how: str


class BatchStep(NamedTuple):
    """One step of making an item, and when."""

    number: int
    when: str
    words: str
    text: str  # as the recipe has it
    takes_min: float


class Expected(NamedTuple):
    """One reading beside what it should be; `what` is its key in a file of readings."""

    what: str
    label: str
    value: str
    off: str
    unit: str


class ItemRows(NamedTuple):
    """One item of the sheet; empty lists where it must not be made or is held."""

    place: int
    id: str
    verdict: str
    item: ItemSheet
    weigh: Sequence[Weighing] = ()
    tasks: Sequence[BatchStep] = ()
    expected: Sequence[Expected] = ()

    @property
    def go(self) -> bool:
        """Whether it may be made."""
        return self.verdict != "stop" and not self.item["held_by"]

    @property
    def fills(self) -> int:
        """How many vessels are charged."""
        filling = self.item["filling"] if self.go else None
        return int(filling["fills"]) if filling else 0


def batches(said: PlanSheet, system: str = "metric") -> list[ItemRows]:
    """Every item of the plan that makes something, in making order."""
    steps: dict[str, list[PlacedStep]] = {}
    for step in (said["timetable"] or {"steps": ()})["steps"]:
        steps.setdefault(step["item"], []).append(step)
    found = []
    for place, item in enumerate(said["items"], 1):
        if not item["makes"]:
            continue
        one = ItemRows(place, item["id"], item["verdict"], item)
        if one.go:
            one = one._replace(
                weigh=_weigh(item, system),
                tasks=_tasks(steps.get(item["id"], ())),
                expected=_expected(item, system),
            )
        found.append(one)
    return found


def _tasks(steps: Sequence[PlacedStep]) -> list[BatchStep]:
    return [
        BatchStep(
            step["number"],
            moment(step["start"], step["start_min"]),
            timed_step_words(step),
            step["text"],
            step["takes_min"],
        )
        for step in sorted(steps, key=lambda one: int(one["number"]))
    ]


def _weigh(item: ItemSheet, system: str) -> list[Weighing]:
    g, _ = UNITS[system]
    return [
        Weighing(
            line["name"],
            weighing(line, system),
            _off(line["plus_minus_g"], line["g"], system),
            g,
            line["how"],
        )
        for line in item["weigh"]
    ]


def _off(off: float | None, value: float, system: str) -> str:
    """A ± in g, with the digits of what it belongs to and as many more as it needs."""
    if not off:
        return ""
    shown = shown_in(off, "g", system)[0]
    digits = digits_of(value, "g", system)
    while digits < 4 and shown < 0.95 * 10**-digits:
        digits += 1
    return rounded(shown, digits)


def _expected(item: ItemSheet, system: str) -> list[Expected]:
    """What is expected, and how far it may be off."""
    made_g = item["made_g"]
    assert made_g is not None  # of an item that makes something
    digits = digits_of(made_g, "g", system)
    rows = [_row("mass", "yield", made_g, item["made_g_plus_minus"], "g", digits, system)]
    rows += [
        _row(one["name"], one["label"], one["value"], one["tolerance"], one["unit"],
             one["digits"], system)
        for one in item["readings"]
        if one["name"] not in _NOT_READ
    ]  # fmt: skip
    rows += [
        _row("pressure", value["label"], value["value"], value["tolerance"], value["unit"],
             value["digits"], system)
        for value in item["values"]
        if value["name"] in _PRESSURES and item["filling"]
    ]  # fmt: skip
    return rows


def _row(
    what: str, label: str, value: float, off: float | None, unit: str, digits: int, system: str
) -> Expected:
    shown, shown_unit = shown_in(value, unit, system)
    zero = shown_in(0.0, unit, system)[0]
    places = digits if unit in (shown_unit, "g") else max(digits, 2)
    spread = ""
    if off:  # never less than what the digits of the value leave open
        size = max(abs(shown_in(off, unit, system)[0] - zero), 10**-places)
        spread = rounded(size, places)
    return Expected(what, label, rounded(shown, places), spread, shown_unit)


# ---- the batch sheet as text ----

BOX = "[ ]"
ROOM = "_" * 12


def batch_text(said: PlanSheet, system: str = "metric") -> str:
    """The whole batch sheet."""
    out = [*head_text(said, system), f"Made on {ROOM}  by {ROOM}  read by {ROOM}", ""]
    for batch in batches(said, system):
        out += _item(batch, system)
    out += wall_text("Cautions for the wall", not_stops(said["cautions"]), system)
    out += wall_text("Always", said["standing"], system)
    return "\n".join(out).rstrip() + "\n"


def _item(item_rows: ItemRows, system: str) -> list[str]:
    item = item_rows.item
    out = title_lines(f"{item_rows.place}. {item_rows.id}: {SHORT_VERDICT[item_rows.verdict]}")
    if item_rows.verdict == "stop":
        return [
            *out,
            *(fill(in_units(f"NOT TO BE MADE: {stop['text']}", system)) for stop in item["stops"]),
            "",
        ]
    if item["held_by"]:
        return [*out, fill(held_words(item)), ""]
    out += [_batch_text_weigh(item_rows, system)]
    out += [fill(line) for line in scale_marks(item, system)]
    filling = item["filling"]
    if item_rows.fills and filling:
        out.append(fill(vessel_words({"item": "fill", **filling}, system)))
        boxes = "  ".join(f"{BOX} {n}" for n in range(1, item_rows.fills + 1))
        out.append(fill(f"charged and shaken: {boxes}", "  ", "      "))
    out += [fill(f"{BOX} {task.when}  {task.words}", "  ", "      ") for task in item_rows.tasks]
    out += ["", _batch_text_expected(item_rows)]
    if item["cautions"]:
        out.append(fill(f"cautions on the wall: {', '.join(map(str, item['cautions']))}"))
    return [*out, ""]


def _batch_text_weigh(item_rows: ItemRows, system: str) -> str:
    g, _ = UNITS[system]
    rows = [[BOX, line.name, line.amount, line.off, ROOM, line.how] for line in item_rows.weigh]
    headers = ["", "weigh", g, "±", f"weighed, {g}", "how"]
    if not any(row[5] for row in rows):
        rows, headers = [row[:5] for row in rows], headers[:5]
    return grid(rows, headers, "llrrll"[: len(headers)], "  ")


def _batch_text_expected(item_rows: ItemRows) -> str:
    """What is expected, how far it may be off, and room for what was measured."""
    rows = [[row.label, row.value, row.off, row.unit, ROOM] for row in item_rows.expected]
    return grid(rows, ["check", "expected", "may be off by", "", "measured"], "lrrll", "  ")


# ---- what was measured beside what was planned, what to add, and what changes after it ----

NOTHING_DRIFTED = "Nothing drifted beyond its tolerance: go on as planned."
GO_ON = "To go on without correcting, these change"
READING_HEADERS, READING_LETTERS = (
    ("item", "what", "planned", "±", "measured", "off by", "", ""),
    "llrrrrll",
)
CHANGE_HEADERS, CHANGE_LETTERS = ("item", "what", "planned", "now", ""), "llrrl"
HEADS = {"stop": "STOP", "care": "CARE", "note": "note"}


def measured_text(account: AccountSheet, system: str = "metric") -> str:
    """The account of the readings; the plan that follows from them is printed after it."""
    out = [*title_lines(f"Measured: {account['file']}")]
    for one in account["cautions"]:
        out.append(
            fill(f"{HEADS[one['severity']]}, {one['item']}: {in_units(one['text'], system)}")
        )
        out.append(fill(f"-> {in_units(one['action'], system)}", "    ", "       "))
        out.append(fill(f"({one['id']}; {source_words(one['source'])})", "    ", "     "))
    out += [grid(reading_rows(account, system), READING_HEADERS, READING_LETTERS), ""]
    if not account["beyond"] and not account["short"] and not account["unread"]:
        out += [NOTHING_DRIFTED, ""]
    for correction in account["corrections"]:
        out.append(fill(correction_words(correction, system), "", "  "))
        out += [
            fill(f"[{told['severity']}] {told['text']} -> {told['action']} ({told['id']})")
            for told in cautions_of(correction)
        ]
    for line in (
        *(short_words(shortage, system) for shortage in account["short"]),
        *(line for ph_reading in account["ph"] for line in ph_lines(ph_reading, account["file"])),
        *unstated_lines(account),
    ):
        out.append(fill(line, "", "  "))
    if account["downstream"]:
        changes = grid(change_rows(account, system), CHANGE_HEADERS, CHANGE_LETTERS)
        out += ["", *title_lines(GO_ON), changes]
    return "\n".join(out).rstrip() + "\n\n"


def reading_rows(account: AccountSheet, system: str = "metric") -> list[list[str]]:
    """Each reading beside what was planned, and whether it drifted or is not enough."""
    short = {shortage["item"] for shortage in account["short"]}
    rows = []
    for reading in account["readings"]:
        shown = [
            _value(reading[key], reading["unit"], reading["digits"], system)
            for key in ("expected", "measured")
        ]
        zero = shown_in(0.0, reading["unit"], system)[0]
        unit = shown_in(0.0, reading["unit"], system)[1]
        places = _places(reading["unit"], reading["digits"], system)
        off = shown_in(reading["off"], reading["unit"], system)[0] - zero
        spread = rounded(shown_in(reading["may_be_off"], reading["unit"], system)[0] - zero, places)
        verdict = "BEYOND" if reading["beyond"] else "as planned"
        if reading["what"] == "mass" and reading["item"] in short:
            verdict = "SHORT"
        rows.append([reading["item"], reading["label"], shown[0], spread, shown[1],
                     f"{'+' if off > 0 else ''}{rounded(off, places)}", unit, verdict])  # fmt: skip
    return rows


def _places(unit: str, digits: int, system: str) -> int:
    return digits if shown_in(0.0, unit, system)[1] == unit else max(digits, 2)


def _value(value: float, unit: str, digits: int, system: str) -> str:
    return rounded(shown_in(value, unit, system)[0], _places(unit, digits, system))


def correction_words(one: CorrectionSheet, system: str = "metric") -> str:
    """What to add to one item, or why there is nothing to add."""
    g, ml = UNITS[system]
    if one["refused"]:
        head = "must not be corrected" if one["verdict"] == "stop" else "no correction"
        return f"{one['item']}: {head}: {one['refused']}"
    adds = []
    for row in one["add"]:
        volume = f" = {amount(row['ml'], 'ml', system)} {ml}" if row["ml"] else ""
        adds.append(f"{amount(row['g'], 'g', system)} {g} {row['name']}{volume}")
    return (
        f"To correct {one['item']}: add {', '.join(adds)}. It becomes "
        f"{amount(one['becomes_g'], 'g', system)} {g}{_strength(one)}, and the rest stays as "
        f"first planned."
    )


def cautions_of(correction_sheet: CorrectionSheet) -> list[CorrectionCaution]:
    """What a correction asks to be careful with."""
    told = () if correction_sheet["refused"] else correction_sheet["cautions"]
    return [caution for caution in told if caution["severity"] != "note"]


def _strength(correction_sheet: CorrectionSheet) -> str:
    return (
        f" at {correction_sheet['becomes_abv']:.1f} % vol"
        if correction_sheet["becomes_abv"]
        else ""
    )


def short_words(one: ShortSheet, system: str = "metric") -> str:
    """Of what there is too little, how much more to make, and for how many serves it is enough."""
    g, _ = UNITS[system]
    have, needed, more = (amount(one[key], "g", system) for key in ("have_g", "needed_g", "more_g"))
    drinks = [f"{each['serves']} of {each['planned']} {each['name']}" for each in one["drinks"]]
    enough = f"serve {listed(drinks)}" if one["serves"] else "it is not enough for one serve"
    return (
        f"{one['item']} falls short: {have} {g} of the {needed} {g} that are needed. Make {more} "
        f"{g} more, or {enough}."
    )


def ph_lines(one: PhSheet, file: str) -> list[str]:
    """What becomes of a measured pH, and why nothing to add follows from it."""
    found = []
    if one["given_to"]:
        found.append(
            f"The pH of {one['item']}, {rounded(one['measured'], 2)} as measured, is given to "
            f"{listed(one['given_to'])}: judged again by it below."
        )
    if one["titrate"]:
        found.append(
            f"No correction of {one['item']} is worked out from its pH. Minerals and salts hold a "
            f"pH up or down at the same acid. Titrate it and write acidity beside ph in {file}. "
            f"Items made from it have another pH than planned too: measure them."
        )
    return found


def unstated_lines(account: AccountSheet) -> list[str]:
    """Which instruments have no ± in the house."""
    if not account["unstated"]:
        return []
    names = listed(name.replace("_", " ") for name in account["unstated"])
    return [
        f"The house states no ± of its {names}. Its readings are compared as if they were "
        f"exact. Write it under [bench]."
    ]


def change_rows(account: AccountSheet, system: str = "metric") -> list[list[str]]:
    """What is weighed or read differently after what drifted."""
    g, _ = UNITS[system]
    rows = []
    for item in account["downstream"]:
        if item["verdict"] == "stop" or item["held_by"]:
            rows.append([item["item"], "must not be made", "", "STOP", ""])
        for line in item["lines"]:
            before, after = (amount(line[key], "g", system) for key in ("before_g", "after_g"))
            rows.append([item["item"], f"weigh {line['name']}", before, after, g])
        for read in item["readings"]:
            shown = [
                _value(read[key], read["unit"], read["digits"], system)
                for key in ("before", "after")
            ]
            unit = shown_in(0.0, read["unit"], system)[1]
            rows.append([item["item"], read["label"], *shown, unit])
    return rows


# ---- the account of the readings as a card shows it, made from its JSON form ----


def measured_parts(account: AccountSheet | None, system: str) -> dict[str, object] | None:
    """What a card shows of the readings; None where there are none."""
    if account is None:
        return None
    lines = [] if account["beyond"] or account["unread"] else [NOTHING_DRIFTED]
    lines += [correction_words(correction, system) for correction in account["corrections"]]
    lines += [short_words(shortage, system) for shortage in account["short"]]
    lines += [
        line for ph_reading in account["ph"] for line in ph_lines(ph_reading, account["file"])
    ]
    told = [*account["cautions"]]
    told += [
        AccountCaution(**caution, item=correction["item"], kind="correction")
        for correction in account["corrections"]
        for caution in cautions_of(correction)
    ]
    return {
        "file": account["file"],
        "cautions": [_warned(caution, system) for caution in told],
        "readings": Cells(
            "what was read",
            [*READING_HEADERS[:-2], "unit", "so it is"],
            READING_LETTERS,
            reading_rows(account, system),
        ),
        "lines": [*lines, *unstated_lines(account)],
        "changes": Cells(
            GO_ON, [*CHANGE_HEADERS[:-1], "unit"], CHANGE_LETTERS, change_rows(account, system)
        )
        if account["downstream"]
        else None,
    }


def of_item(account: AccountSheet, item: str) -> AccountSheet:
    """The account with what concerns one item."""
    return {
        **account,
        "readings": [reading for reading in account["readings"] if reading["item"] == item],
        "cautions": [caution for caution in account["cautions"] if caution["item"] == item],
        "corrections": [
            correction for correction in account["corrections"] if correction["item"] == item
        ],
        "short": [shortage for shortage in account["short"] if shortage["item"] == item],
        "ph": [ph_reading for ph_reading in account["ph"] if ph_reading["item"] == item],
        "downstream": [
            changed_item for changed_item in account["downstream"] if changed_item["item"] == item
        ],
        "beyond": [text for text in account["beyond"] if text == item],
        "unread": [text for text in account["unread"] if text == item],
    }


def _warned(caution: AccountCaution, system: str) -> Warned:
    return Warned(
        caution["id"],
        caution["severity"],
        caution["kind"],
        [(caution["item"], in_units(caution["text"], system), in_units(caution["action"], system))],
        "",
        source_words(caution["source"]),
    )
