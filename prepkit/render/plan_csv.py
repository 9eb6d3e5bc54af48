"""A plan as CSV for a spreadsheet: one long table, always metric (RFC 4180).

A text that a spreadsheet would take for a formula gets an apostrophe before it, so that a title or
a name cannot become one.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from prepkit.render.prose import in_units
from prepkit.sheet import ItemSheet, Money, MoneySheet, PlanSheet, ServeSheet, advice

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
    for one in said["vessels"]:
        yield ("vessel", one["item"], f"fills of {one['vessel']}", one["fills"], "", None, "")
        yield ("vessel", one["item"], "in each", one["each_g"], "g", None, "")
        yield ("vessel", one["item"], "in each at 20 °C", one["each_ml"], "ml", None, "")
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
    for one in money["drinks"]:
        yield ("money", one["name"], "price", one["price"], currency, None, "")
        yield ("money", one["name"], "price without tax", one["price_net"], currency, None, "")
        yield ("money", one["name"], "cost without tax", *_money(one["cost"]))
        yield ("money", one["name"], "pour cost", one["pour_cost_percent"], "%", None, "")
        yield ("money", one["name"], "margin", one["margin"], currency, None, "")
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
    for one in (*item["readings"], *item["values"]):
        yield ("check", of, one["label"], one["value"], one["unit"], one["plus_minus"], "")


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
    for one in serve["readings"]:
        yield ("serve", of, one["label"], one["value"], one["unit"], one["plus_minus"], "")
    if serve["cost"]:
        yield ("serve", of, "cost", *_money(serve["cost"]))
