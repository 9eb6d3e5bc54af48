"""A plan as CSV, and plans of one recipe at several scales side by side.

A text that a spreadsheet would take for a formula gets an apostrophe before it, so that a title or
a name cannot become one.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence

from prepkit.numbers import length_words
from prepkit.render.plan_lists import UNITS, amount, money_words, title_lines
from prepkit.render.text import VERDICT_WORDS, advice, grid, in_units
from prepkit.sheet import (
    ItemSheet,
    Money,
    MoneySheet,
    PlanSheet,
    ServeSheet,
    ShoppingRow,
    VesselSheet,
)

# ---- a plan as CSV for a spreadsheet ----

HEADER = ("section", "of", "what", "value", "unit", "plus_minus", "note")
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
Row = tuple[str, str, str, float | int | str | None, str, float | None, str]


def guarded(cell: object) -> object:
    """A cell that no spreadsheet takes for a formula; numbers stay numbers.

    >>> guarded("=1+1"), guarded(-1.5), guarded(" @x")
    ("'=1+1", -1.5, "' @x")
    """
    if isinstance(cell, str):
        start = cell.lstrip(" ")
        return f"'{cell}" if start.startswith(_FORMULA) else cell
    return "" if cell is None else cell


def plan_csv(said: PlanSheet, system: str = "metric") -> str:
    """The whole plan as CSV: its sentences in the units asked for, its figures always metric."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADER)
    for row in _rows(said, system):
        writer.writerow([guarded(cell) for cell in row])
    return out.getvalue()


def _rows(said: PlanSheet, system: str) -> Iterator[Row]:
    yield ("plan", said["title"], "serves", said["serves"], "", None, said["variant"] or "")
    if said["serves"] is None:
        for drink in said["serve"]:
            yield ("plan", drink["name"], "serves", drink["serves"], "", None, "")
    yield ("plan", said["title"], "verdict", said["verdict"], "", None, "")
    yield ("plan", said["title"], "chance of enough", said["sure"]["percent"], "%", None, "")
    for stop in said["stops"]:
        text, action = in_units(stop["text"], system), in_units(advice(stop), system)
        yield ("stop", stop["of"], stop["id"], text, "", None, action)
    for vessel in said["vessels"]:
        yield (
            "vessel",
            vessel["item"],
            f"fills of {vessel['vessel']}",
            vessel["fills"],
            "",
            None,
            "",
        )
        yield ("vessel", vessel["item"], "in each", vessel["each_g"], "g", None, "")
        yield ("vessel", vessel["item"], "in each at 20 °C", vessel["each_ml"], "ml", None, "")
    for gas, count in said["chargers"].items():
        yield ("charger", gas, "chargers", count, "", None, "")
    yield from _shopping(said)
    for site in said.get("sites", ()):
        yield ("site", site["site"], "verdict", site["verdict"], "", None, site["menu"])
        for sold in site["drinks"]:
            told = ", ".join(sold["allergens"])
            yield ("site", site["site"], f"serves of {sold['name']}", sold["serves"], "", None,
                   told)  # fmt: skip
        for one_sent in site["sends"]:
            of, send_g = one_sent["item"], one_sent["send_g"]
            yield ("site", site["site"], f"send {of}", send_g, "g", None, "")
    yield from _evening(said["money"])
    for step in (said["timetable"] or {"steps": ()})["steps"]:
        yield (
            "step", step["item"], step["text"], step["start_min"], "min from service", None,
            step["start"] or "",
        )  # fmt: skip
    for item in said["items"]:
        yield from _item(item)
    for serve in said["serve"]:
        yield from _serve(serve)
    for caution in said["cautions"]:
        of = ", ".join(caution["of"])
        for each in caution["said"]:
            text, action = in_units(each["text"], system), in_units(advice(each), system)
            yield ("caution", of, caution["id"], text, caution["severity"], None, action)


def _shopping(said: PlanSheet) -> Iterator[Row]:
    for row in said["shopping"]:
        where = ", ".join(row["for"])
        yield ("shopping", row["name"], "needed", row["g"], "g", None, where)
        if row["ml"] is not None:
            yield ("shopping", row["name"], "needed at 20 °C", row["ml"], "ml", None, where)
        if row["packs"] is not None:
            yield ("shopping", row["name"], f"packs of {row['pack']}", row["packs"], "", None, "")
            currency = said["house"]["currency"]
            yield ("shopping", row["name"], "cost of the packs", row["cost"], currency, None, "")
    cost = said["cost"]
    if cost:
        yield ("cost", "all that is bought", "cost", *_money(cost))


def _evening(money: MoneySheet | None) -> Iterator[Row]:
    """What each drink is sold at and costs, and what all of it comes to, without tax."""
    if money is None:
        return
    currency = money["currency"]
    for drink in money["drinks"]:
        yield ("money", drink["name"], "price", drink["price"], currency, None, "")
        yield ("money", drink["name"], "price without tax", drink["price_net"], currency, None, "")
        yield ("money", drink["name"], "cost without tax", *_money(drink["cost"]))
        yield ("money", drink["name"], "pour cost", drink["pour_cost_percent"], "%", None, "")
        yield ("money", drink["name"], "margin", drink["margin"], currency, None, "")
    missing = f"no price: {', '.join(money['unsold'])}" if money["unsold"] else ""
    yield ("money", "all drinks", "sales without tax", money["sales"], currency, None, missing)
    yield ("money", "all drinks", "cost without tax", *_money(money["served"]))
    yield ("money", "all drinks", "pour cost", money["pour_cost_percent"], "%", None, "")
    yield ("money", "all drinks", "margin", money["margin"], currency, None, "")
    yield ("money", "lost on the way", "cost without tax", *_money(money["lost"]))
    yield ("money", "made and left over", "cost without tax", *_money(money["left_made"]))
    yield ("money", "left in packs", "cost without tax", *_money(money["left_packs"]))


def _money(cost: Money) -> tuple[float | None, str, None, str]:
    """The value only where it is whole; else what is known of it stands in the note."""
    if cost["complete"]:
        return (cost["value"], cost["currency"], None, "")
    unpriced = ", ".join(cost["unpriced"])
    note = f"incomplete: {cost['known']:.2f} without the price of {unpriced}"
    return (None, cost["currency"], None, note)


def _item(item: ItemSheet) -> Iterator[Row]:
    of = item["id"]
    held = ", ".join(item["held_by"])
    yield ("item", of, "verdict", item["verdict"], "", None, f"held by {held}" if held else "")
    if "weigh" not in item:
        return
    for line in item["weigh"]:
        yield ("weigh", of, line["name"], line["g"], "g", line.get("plus_minus_g"), line["how"])
    if item["makes"]:
        yield ("yield", of, "made", item["made_g"], "g", item["made_g_plus_minus"], "")
        yield ("yield", of, "counted as lost", item["lost_g"], "g", None, "")
        if item["more_g"]:
            yield ("yield", of, "made more to be sure", item["more_g"], "g", None, "")
        yield ("yield", of, "left over", item["left_g"], "g", None, "")
        if item["made_ml"] is not None:
            yield ("yield", of, "made at 20 °C", item["made_ml"], "ml", None, "")
    for text in (*item["readings"], *item["values"]):
        yield ("check", of, text["label"], text["value"], text["unit"], text["plus_minus"], "")


def _serve(serve: ServeSheet) -> Iterator[Row]:
    of = serve["name"]
    yield ("serve", of, "allergens", ", ".join(serve["allergens"]), "", None, "")
    if "parts" not in serve:
        yield ("serve", of, "verdict", serve["verdict"], "", None, "held or stopped")
        return
    for part in serve["parts"]:
        yield ("portion", of, part["name"], part["g"], "g", None, part["words"])
    for on_it in serve["garnish"]:
        yield ("garnish", of, on_it["name"], on_it["g"], "g", None, on_it["words"])
    for reading in serve["readings"]:
        yield (
            "serve",
            of,
            reading["label"],
            reading["value"],
            reading["unit"],
            reading["plus_minus"],
            "",
        )
    if serve["cost"]:
        yield ("serve", of, "cost", *_money(serve["cost"]))


# ---- plans of one recipe at several scales, side by side ----

Plans = Sequence[PlanSheet]


def compare_text(plans: Plans, system: str = "metric") -> str:
    """The scales side by side: verdicts, what is made, vessels, shopping, cost, times."""
    first = plans[0]
    scales = [f"{plan['serves']} serves" for plan in plans]
    g, _ = UNITS[system]
    out = [first["title"], "=" * len(first["title"]), f"{' and '.join(scales)}, {first['file']}"]
    for plan, scale in zip(plans, scales, strict=True):
        out.append(f"Verdict at {scale}: {VERDICT_WORDS[plan['verdict']]}")
        out += [f"  {stop['of']}: {in_units(stop['text'], system)}" for stop in plan["stops"]]
    out.append("")
    heads = ["", *scales]
    right = "l" + "r" * len(plans)

    def table(title: str, rows: list[list[str]]) -> list[str]:
        return [*title_lines(title), grid(rows, heads, right), ""] if rows else []

    out += table(
        f"Amounts made, {g}",
        _by_name([{item["id"]: _made(item, system) for item in plan["items"]} for plan in plans]),
    )
    out += table(
        "Vessels",
        _by_name(
            [{vessel["item"]: _filled(vessel) for vessel in plan["vessels"]} for plan in plans]
        ),
    )
    gases = dict.fromkeys(gas for plan in plans for gas in plan["chargers"])
    out += table(
        "Chargers",
        [[gas, *(str(plan["chargers"].get(gas, 0)) for plan in plans)] for gas in gases],
    )
    out += table(
        f"Shopping, {g}",
        _by_name(
            [
                {shopping["name"]: _bought(shopping, system) for shopping in plan["shopping"]}
                for plan in plans
            ]
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


def _filled(vessel: VesselSheet) -> str:
    return f"{vessel['fills']} x {vessel['each_ml'] or 0.0:.0f} ml"


def _bought(row: ShoppingRow, system: str) -> str:
    packs = f" ({row['packs']} x {row['pack']})" if row["packs"] is not None else ""
    return f"{amount(row['g'], 'g', system)}{packs}"


def _totals(plans: Plans) -> list[list[str]]:
    rows = []
    if plans[0]["cost"]:
        rows.append(["all that is bought", *(_short(plan["cost"]) for plan in plans)])
        for place, serve in enumerate(plans[0]["serve"]):
            rows.append(
                [f"one {serve['name']}", *(_short(plan["serve"][place]["cost"]) for plan in plans)]
            )
    if any(plan["timetable"] for plan in plans):
        rows.append(
            ["work with the hands",
             *(length_words(plan["timetable"]["hands_on_min"]) if plan["timetable"] else "-"
               for plan in plans)]
        )  # fmt: skip
        rows.append(
            ["first step before service",
             *(length_words(-plan["timetable"]["start_min"]) if plan["timetable"] else "-"
               for plan in plans)]
        )  # fmt: skip
    return rows


def _short(cost: Money | None) -> str:
    if cost is None:
        return "-"
    if cost["complete"]:
        return money_words(cost)
    return f"{cost['known']:.2f} {cost['currency']}".rstrip() + ", incomplete"
