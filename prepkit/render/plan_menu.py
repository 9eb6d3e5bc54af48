"""Tables over all drinks of a plan: which drink has which allergen."""

from __future__ import annotations

from prepkit.render.amounts import fill, title_lines
from prepkit.render.grid import grid
from prepkit.sheet import PlanSheet

YES = "contains"
NO_ALLERGENS = "none in what the pantry knows of it"


def allergen_rows(said: PlanSheet) -> tuple[list[str], list[list[str]]]:
    """Headers and rows, a drink in each row and an allergen in each column; none of one drink."""
    if len(said["serve"]) < 2:
        return [], []
    names = sorted({name for one in said["serve"] for name in one["allergens"]})
    rows = [
        [one["name"], *(YES if name in one["allergens"] else "" for name in names)]
        for one in said["serve"]
    ]
    return ["drink", *names], rows


def allergens_text(said: PlanSheet) -> list[str]:
    """The table with what an empty cell means, or nothing where there is one drink."""
    headers, rows = allergen_rows(said)
    if not rows:
        return []
    if len(headers) == 1:
        return [*title_lines("Allergens"), fill(f"In every drink: {NO_ALLERGENS}."), ""]
    out = [*title_lines("Allergens"), grid(rows, headers, "l" * len(headers))]
    return [*out, fill(f"An empty cell: {NO_ALLERGENS}."), ""]
