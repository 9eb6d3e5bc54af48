"""What was measured beside what was planned, what to add, and what changes after it."""

from __future__ import annotations

from prepkit.render.amounts import UNITS, Said, amount, fill, title_lines
from prepkit.render.text import grid, number
from prepkit.units import shown_in


def measured_text(account: Said, system: str = "metric") -> str:
    """The account of the readings; the plan that follows from them is printed after it."""
    out = [*title_lines(f"Measured: {account['file']}")]
    for one in account["cautions"]:
        head = {"stop": "STOP", "care": "CARE", "note": "note"}[one["severity"]]
        out.append(fill(f"{head}, {one['item']}: {one['text']}"))
        out.append(fill(f"-> {one['action']}", "    ", "       "))
        out.append(fill(f"({one['id']}; {one['source']})", "    ", "     "))
    out += [_readings(account, system), ""]
    if not account["beyond"]:
        out += ["Nothing drifted beyond its tolerance: go on as planned.", ""]
    for one in account["corrections"]:
        out += _correction(one, system)
    for one in account["short"]:
        out.append(_short(one, system))
    if account["downstream"]:
        out += ["", *_downstream(account, system)]
    return "\n".join(out).rstrip() + "\n\n"


def _readings(account: Said, system: str) -> str:
    rows = []
    for one in account["readings"]:
        shown = [
            _value(one[key], one["unit"], one["digits"], system) for key in ("expected", "measured")
        ]
        zero = shown_in(0.0, one["unit"], system)[0]
        unit = shown_in(0.0, one["unit"], system)[1]
        places = _places(one["unit"], one["digits"], system)
        off = shown_in(one["off"], one["unit"], system)[0] - zero
        most = one["tolerance"]
        spread = number(shown_in(most, one["unit"], system)[0] - zero, places) if most else "?"
        verdict = "BEYOND" if one["beyond"] else "as planned"
        rows.append([one["item"], one["label"], shown[0], spread, shown[1],
                     f"{'+' if off > 0 else ''}{number(off, places)}", unit, verdict])  # fmt: skip
    headers = ["item", "what", "planned", "±", "measured", "off by", "", ""]
    return grid(rows, headers, "llrrrrll")


def _places(unit: str, digits: int, system: str) -> int:
    return digits if shown_in(0.0, unit, system)[1] == unit else max(digits, 2)


def _value(value: float, unit: str, digits: int, system: str) -> str:
    return number(shown_in(value, unit, system)[0], _places(unit, digits, system))


def _correction(one: Said, system: str) -> list[str]:
    g, ml = UNITS[system]
    if one["refused"]:
        head = "must not be corrected" if one["verdict"] == "stop" else "no correction"
        return [fill(f"{one['item']}: {head}: {one['refused']}", "", "  ")]
    adds = []
    for row in one["add"]:
        volume = f" = {amount(row['ml'], 'ml', system)} {ml}" if row["ml"] else ""
        adds.append(f"{amount(row['g'], 'g', system)} {g} {row['name']}{volume}")
    out = [
        fill(
            f"To correct {one['item']}: add {', '.join(adds)}; it becomes "
            f"{amount(one['becomes_g'], 'g', system)} {g}{_strength(one)}, and the rest stays as "
            f"first planned.",
            "", "  ",
        )
    ]  # fmt: skip
    out += [
        fill(f"[{caution['severity']}] {caution['text']} -> {caution['action']} ({caution['id']})")
        for caution in one["cautions"]
        if caution["severity"] != "note"
    ]
    return out


def _strength(one: Said) -> str:
    return f" at {one['becomes_abv']:.1f} % vol" if one["becomes_abv"] else ""


def _short(one: Said, system: str) -> str:
    g, _ = UNITS[system]
    have, needed = (amount(one[key], "g", system) for key in ("have_g", "needed_g"))
    enough = f"enough for {one['serves']} serves" if one["serves"] else "not enough for one serve"
    return fill(
        f"{one['item']} falls short: {have} {g} of the {needed} {g} that are needed, {enough}.",
        "", "  ",
    )  # fmt: skip


def _downstream(account: Said, system: str) -> list[str]:
    g, _ = UNITS[system]
    out = title_lines("To go on without correcting, these change")
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
    return [*out, grid(rows, ["item", "what", "planned", "now", ""], "llrrl")]
