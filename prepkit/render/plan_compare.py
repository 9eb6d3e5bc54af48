"""Plans of one recipe at several scales, side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from prepkit.clock import length_words
from prepkit.render.amounts import UNITS, amount, title_lines
from prepkit.render.grid import grid
from prepkit.render.plan_shop import money_words
from prepkit.render.prose import in_units
from prepkit.render.text import VERDICT_WORDS
from prepkit.sheet import ItemSheet, Money, PlanSheet, ShoppingRow, VesselSheet

Plans = Sequence[PlanSheet]


def compare_text(plans: Plans, system: str = "metric") -> str:
    """The scales side by side: verdicts, what is made, vessels, shopping, cost, times."""
    first = plans[0]
    scales = [f"{one['serves']} serves" for one in plans]
    g, _ = UNITS[system]
    out = [first["title"], "=" * len(first["title"]), f"{' and '.join(scales)}, {first['file']}"]
    for one, scale in zip(plans, scales, strict=True):
        out.append(f"Verdict at {scale}: {VERDICT_WORDS[one['verdict']]}")
        out += [f"  {stop['of']}: {in_units(stop['text'], system)}" for stop in one["stops"]]
    out.append("")
    heads = ["", *scales]
    right = "l" + "r" * len(plans)

    def table(title: str, rows: list[list[str]]) -> list[str]:
        return [*title_lines(title), grid(rows, heads, right), ""] if rows else []

    out += table(
        f"Amounts made, {g}",
        _by_name([{one["id"]: _made(one, system) for one in plan["items"]} for plan in plans]),
    )
    out += table(
        "Vessels",
        _by_name([{one["item"]: _filled(one) for one in plan["vessels"]} for plan in plans]),
    )
    gases = dict.fromkeys(gas for one in plans for gas in one["chargers"])
    out += table(
        "Chargers",
        [[gas, *(str(one["chargers"].get(gas, 0)) for one in plans)] for gas in gases],
    )
    out += table(
        f"Shopping, {g}",
        _by_name(
            [{one["name"]: _bought(one, system) for one in plan["shopping"]} for plan in plans]
        ),
    )
    out += table("Cost and time", _totals(plans))
    return "\n".join(out).rstrip() + "\n"


def _by_name(found: Sequence[Mapping[str, str]]) -> list[list[str]]:
    """One row for each name that any of the plans has, from what each shows of it."""
    names = dict.fromkeys(name for of in found for name in of)
    return [[name, *(of.get(name, "-") for of in found)] for name in names]


def _made(item: ItemSheet, system: str) -> str:
    if item["check"]:
        return str(item["verdict"])
    if "made_g" not in item:
        return "STOP" if item["verdict"] == "stop" else "held"
    return amount(item["made_g"], "g", system)


def _filled(one: VesselSheet) -> str:
    return f"{one['fills']} x {one['each_ml'] or 0.0:.0f} ml"


def _bought(row: ShoppingRow, system: str) -> str:
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


def _short(cost: Money | None) -> str:
    if cost is None:
        return "-"
    if cost["complete"]:
        return money_words(cost)
    return f"{cost['known']:.2f} {cost['currency']}".rstrip() + ", incomplete"
