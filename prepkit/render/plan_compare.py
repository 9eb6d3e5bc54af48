"""Plans of one recipe at several scales, side by side."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from prepkit.clock import length_words
from prepkit.render.amounts import UNITS, Said, amount, title_lines
from prepkit.render.grid import grid
from prepkit.render.plan_shop import money_words
from prepkit.render.text import VERDICT_WORDS

Plans = Sequence[Said]


def compare_text(plans: Plans, system: str = "metric") -> str:
    """The scales side by side: verdicts, what is made, vessels, shopping, cost, times."""
    first = plans[0]
    scales = [f"{one['serves']} serves" for one in plans]
    g, _ = UNITS[system]
    out = [first["title"], "=" * len(first["title"]), f"{' and '.join(scales)}, {first['file']}"]
    for one, scale in zip(plans, scales, strict=True):
        out.append(f"Verdict at {scale}: {VERDICT_WORDS[one['verdict']]}")
        out += [f"  {stop['of']}: {stop['text']}" for stop in one["stops"]]
    out.append("")
    heads = ["", *scales]
    right = "l" + "r" * len(plans)

    def table(title: str, rows: list[list[str]]) -> list[str]:
        return [*title_lines(title), grid(rows, heads, right), ""] if rows else []

    out += table(f"What is made, {g}", _by(plans, "items", "id", lambda one: _made(one, system)))
    out += table("Vessels", _by(plans, "vessels", "item", _filled))
    gases = dict.fromkeys(gas for one in plans for gas in one["chargers"])
    out += table(
        "Chargers",
        [[gas, *(str(one["chargers"].get(gas, 0)) for one in plans)] for gas in gases],
    )
    out += table(f"Shopping, {g}", _by(plans, "shopping", "name", lambda one: _bought(one, system)))
    out += table("Cost and time", _totals(plans))
    return "\n".join(out).rstrip() + "\n"


def _by(plans: Plans, key: str, name: str, shown: Callable[[Said], str]) -> list[list[str]]:
    """One row for each name that any of the plans has."""
    names = dict.fromkeys(one[name] for plan in plans for one in plan[key])
    found = [{one[name]: one for one in plan[key]} for plan in plans]
    return [[each, *(shown(of[each]) if each in of else "-" for of in found)] for each in names]


def _made(item: Said, system: str) -> str:
    if item["check"]:
        return str(item["verdict"])
    if "made_g" not in item:
        return "STOP" if item["verdict"] == "stop" else "held"
    return amount(item["made_g"], "g", system)


def _filled(one: Said) -> str:
    return f"{one['fills']} x {one['each_ml'] or 0.0:.0f} ml"


def _bought(row: Said, system: str) -> str:
    packs = f" ({row['packs']} x {row['pack']})" if row["packs"] is not None else ""
    return f"{amount(row['g'], 'g', system)}{packs}"


def _totals(plans: Plans) -> list[list[str]]:
    rows = []
    if plans[0]["cost"]:
        rows.append(["all that is bought", *(_short(one["cost"]) for one in plans)])
        for place, serve in enumerate(plans[0]["serve"]):
            rows.append(
                [f"one {serve['name']}", *(_short(one["serve"][place]["cost"]) for one in plans)]
            )
    if any(one["timetable"] for one in plans):
        rows.append(
            ["work with the hands",
             *(length_words(one["timetable"]["hands_on_min"]) if one["timetable"] else "-"
               for one in plans)]
        )  # fmt: skip
        rows.append(
            ["first step before service",
             *(length_words(-one["timetable"]["start_min"]) if one["timetable"] else "-"
               for one in plans)]
        )  # fmt: skip
    return rows


def _short(cost: Said | None) -> str:
    if cost is None:
        return "-"
    if cost["complete"]:
        return money_words(cost)
    return f"{cost['known']:.2f} {cost['currency']}".rstrip() + ", incomplete"
