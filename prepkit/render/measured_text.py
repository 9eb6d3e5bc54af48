"""What was measured beside what was planned, what to add, and what changes after it."""

from __future__ import annotations

from prepkit.first_screen import number
from prepkit.render.amounts import UNITS, amount, fill, listed, title_lines
from prepkit.render.grid import grid
from prepkit.render.prose import in_units
from prepkit.render.text import source_words
from prepkit.sheet import AccountSheet, CorrectionCaution, CorrectionSheet, PhSheet, ShortSheet
from prepkit.units import shown_in

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
        *(short_words(one, system) for one in account["short"]),
        *(line for one in account["ph"] for line in ph_lines(one, account["file"])),
        *unstated_lines(account),
    ):
        out.append(fill(line, "", "  "))
    if account["downstream"]:
        changes = grid(change_rows(account, system), CHANGE_HEADERS, CHANGE_LETTERS)
        out += ["", *title_lines(GO_ON), changes]
    return "\n".join(out).rstrip() + "\n\n"


def reading_rows(account: AccountSheet, system: str = "metric") -> list[list[str]]:
    """Each reading beside what was planned, and whether it drifted or is not enough."""
    short = {one["item"] for one in account["short"]}
    rows = []
    for one in account["readings"]:
        shown = [
            _value(one[key], one["unit"], one["digits"], system) for key in ("expected", "measured")
        ]
        zero = shown_in(0.0, one["unit"], system)[0]
        unit = shown_in(0.0, one["unit"], system)[1]
        places = _places(one["unit"], one["digits"], system)
        off = shown_in(one["off"], one["unit"], system)[0] - zero
        spread = number(shown_in(one["may_be_off"], one["unit"], system)[0] - zero, places)
        verdict = "BEYOND" if one["beyond"] else "as planned"
        if one["what"] == "mass" and one["item"] in short:
            verdict = "SHORT"
        rows.append([one["item"], one["label"], shown[0], spread, shown[1],
                     f"{'+' if off > 0 else ''}{number(off, places)}", unit, verdict])  # fmt: skip
    return rows


def _places(unit: str, digits: int, system: str) -> int:
    return digits if shown_in(0.0, unit, system)[1] == unit else max(digits, 2)


def _value(value: float, unit: str, digits: int, system: str) -> str:
    return number(shown_in(value, unit, system)[0], _places(unit, digits, system))


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


def cautions_of(one: CorrectionSheet) -> list[CorrectionCaution]:
    """What a correction asks to be careful with."""
    told = () if one["refused"] else one["cautions"]
    return [caution for caution in told if caution["severity"] != "note"]


def _strength(one: CorrectionSheet) -> str:
    return f" at {one['becomes_abv']:.1f} % vol" if one["becomes_abv"] else ""


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
            f"The pH of {one['item']}, {number(one['measured'], 2)} as measured, is given to "
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
    for one in account["downstream"]:
        if one["verdict"] == "stop" or one["held_by"]:
            rows.append([one["item"], "must not be made", "", "STOP", ""])
        for line in one["lines"]:
            before, after = (amount(line[key], "g", system) for key in ("before_g", "after_g"))
            rows.append([one["item"], f"weigh {line['name']}", before, after, g])
        for read in one["readings"]:
            shown = [
                _value(read[key], read["unit"], read["digits"], system)
                for key in ("before", "after")
            ]
            unit = shown_in(0.0, read["unit"], system)[1]
            rows.append([one["item"], read["label"], *shown, unit])
    return rows
