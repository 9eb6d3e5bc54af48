"""What a plan uses of the stock, in lines."""

from __future__ import annotations

from prepkit.render.amounts import UNITS, amount, listed
from prepkit.sheet import PlanSheet, ShelfBatch, ShelfRow

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
            dict.fromkeys(_named(one) if full else one["batch"] for one in row["batches"])
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


def _named(one: ShelfBatch) -> str:
    bottle = f" bottle {one['bottle']}" if one["bottle"] else ""
    place = f" in {one['place']}" if one["place"] else ""
    use_by = f", use by {one['use_by']}" if one["use_by"] not in (None, "none") else ""
    return f"{one['batch']}{bottle}{place}{use_by}"
