"""What an evening costs and brings, in words and rows."""

from __future__ import annotations

from prepkit.render.amounts import fill, listed, title_lines
from prepkit.render.grid import grid
from prepkit.render.plan_shop import money_words
from prepkit.sheet import DrinkMoney, Money, MoneySheet, PlanSheet

UNKNOWN = "not known"
_MOST = 6  # drinks whose pour cost is on the first page


def money_rows(said: MoneySheet) -> tuple[list[str], str, list[list[str]]]:
    """Headers, the letters l or r for each column, and a row for each drink."""
    money = f" ({said['currency']})" if said["currency"] else ""
    headers = ["drink", "serves", f"price{money}", "without tax", "cost", "pour cost", "margin"]
    rows = [_row(one) for one in said["drinks"]]
    if not said["sold_tax_percent"]:
        headers.pop(3)
        for row in rows:
            row.pop(3)
    return headers, "lrrrrrr"[: len(headers)], rows


def _row(one: DrinkMoney) -> list[str]:
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
    if any(one["price"] is not None for one in said["drinks"]):
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
    sold = [one for one in money["drinks"] if one["price"] is not None] if money else []
    if money is None or not sold:
        return ""
    found = [f"{one['name']} {_percent(one['pour_cost_percent'])}" for one in sold]
    if len(found) > _MOST:
        found = [*found[:_MOST], f"{len(found) - _MOST} more in --full"]
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
