"""Tables over all drinks of a plan: which has which allergen; what a kitchen sends to its sites."""

from __future__ import annotations

from collections.abc import Iterator

from prepkit.render.amounts import UNITS, amount, fill, listed, title_lines
from prepkit.render.grid import grid
from prepkit.sheet import PlanSheet, SiteSheet

YES = "contains"
NO_ALLERGENS = "none in what the pantry knows of it"


def allergen_rows(said: PlanSheet) -> tuple[list[str], list[list[str]]]:
    """Headers and rows, a drink in each row and an allergen in each column; none of one drink."""
    drinks = [([one["name"]], one["allergens"]) for one in said["serve"]]
    if "sites" in said:
        drinks = [
            ([site["site"], one["name"]], one["allergens"])
            for site in said["sites"]
            for one in site["drinks"]
        ]
    if len(drinks) < 2:
        return [], []
    names = sorted({name for _, every in drinks for name in every})
    rows = [[*which, *(YES if name in every else "" for name in names)] for which, every in drinks]
    return [*(["site"] if "sites" in said else []), "drink", *names], rows


def sends(said: PlanSheet) -> dict[str, dict[str, float]]:
    """What a kitchen sends, g by item and site; only what is to be sent."""
    found: dict[str, dict[str, float]] = {}
    for site in said.get("sites", ()):
        for one in site["sends"]:
            if one["send_g"] > 0:
                found.setdefault(one["item"], {})[site["site"]] = one["send_g"]
    return found


def site_words(said: PlanSheet, system: str, most: int | None = None) -> list[str]:
    """A line for each site of a kitchen: its verdict, what it is sent, what it makes itself."""
    sites = said.get("sites", [])
    shown = sites if most is None else sites[:most]
    out = [_site(one, system) for one in shown]
    if len(shown) < len(sites):
        out.append(f"and {len(sites) - len(shown)} more sites: see --full")
    return out


def _site(site: SiteSheet, system: str) -> str:
    verdict = site["verdict"].upper() if site["verdict"] != "clear" else "clear"
    name = f"{site['site']}: {verdict} in its own house"
    if site["verdict"] == "stop":
        return f"{name}, so nothing is made for it. Plan {site['menu']} to see why."
    told = [f"{_g(one['send_g'], system)} {one['item']}" for one in site["sends"]
            if one["send_g"] > 0] or ["nothing"]  # fmt: skip
    there = [f"{_g(one['stands_g'] + one['on_the_way_g'], system)} {one['item']}"
             for one in site["sends"] if one["stands_g"] + one["on_the_way_g"] > 0]  # fmt: skip
    out = [f"{name}; send {listed(told)}"]
    if there:
        out.append(f"there or on the way: {listed(there)}")
    if site["held"]:
        out.append(f"not sent, because it must not be made: {listed(site['held'])}")
    if site["makes"]:
        out.append(f"it makes {listed(site['makes'])} itself")
    return "; ".join(out)


def _g(value: float, system: str) -> str:
    return f"{amount(value, 'g', system)} {UNITS[system][0]}"


def sites_text(said: PlanSheet, system: str) -> list[str]:
    """What each site needs, what stands there and is on the way, what is sent; or nothing."""
    rows = [
        [site["site"], one["item"],
         *(amount(g, "g", system) for g in (one["need_g"], one["stands_g"], one["on_the_way_g"],
                                            one["send_g"])),
         "" if one["par_g"] is None else amount(one["par_g"], "g", system)]
        for site in said.get("sites", ())
        for one in site["sends"]
    ]  # fmt: skip
    if not rows:
        return []
    what = ("needs", "there", "on the way", "send", "par")
    headers = ["site", "item", *(f"{one} {UNITS[system][0]}" for one in what)]
    used = [at for at in range(len(headers)) if any(row[at] for row in rows)]
    out = [*title_lines("Sent to the sites")]
    out.append(grid([[row[at] for at in used] for row in rows], [headers[at] for at in used],
                    "".join("l" if at < 2 else "r" for at in used)))  # fmt: skip
    return [*out, *map(fill, _not_used(said, system)), ""]


def _not_used(said: PlanSheet, system: str) -> Iterator[str]:
    for site in said.get("sites", ()):
        for one in site["not_used"]:
            g = _g(one["g"], system)
            yield f"not used at {site['site']}: {g} {one['name']} {one['batch']}, {one['why']}"


def allergens_text(said: PlanSheet) -> list[str]:
    """The table with what an empty cell means, or nothing where there is one drink."""
    headers, rows = allergen_rows(said)
    if not rows:
        return []
    if len(headers) == (2 if "sites" in said else 1):
        return [*title_lines("Allergens"), fill(f"In every drink: {NO_ALLERGENS}."), ""]
    out = [*title_lines("Allergens"), grid(rows, headers, "l" * len(headers))]
    return [*out, fill(f"An empty cell: {NO_ALLERGENS}."), ""]
