"""A ladder as text: what to make first, what to weigh into each glass, what each glass is like."""

from __future__ import annotations

import math
import os
import textwrap
from typing import Any

from prepkit import render
from prepkit.model import Caution
from prepkit.render.grid import grid
from prepkit.render.text import caution_text
from prepkit.tasting.design import lines
from prepkit.tasting.ladder import Ladder, Step, properties
from prepkit.width import columns


def ladder_text(one: Ladder) -> str:
    """The bench sheet."""
    out = [f"Ladder of {len(one.glasses)} glasses of {one.volume_ml:g} ml", ""]
    out += [_fill(line) for line in stock_lines(one)]
    heads, rows = weigh_rows(one)
    out += ["Weigh into each glass, in g", grid(rows, heads, "l" + "r" * (len(heads) - 1)), ""]
    heads, rows = property_rows(one)
    out += ["Each glass", grid(rows, heads, "lrrrrr"), ""]
    out += ["In all", grid(totals(one), ("what", "g"), "lr", "  "), ""]
    out += [_fill(sentence) for sentence in notes(one)]
    out += ["", *(_fill(line.text, "  ", "    ") for line in lines())]
    out += ["", *(caution_text(caution) for caution in cautions(one))]
    return "\n".join(out).rstrip() + "\n"


def ladder_html(one: Ladder) -> str:
    """The bench sheet as one A4 to print; no script in it."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    folder = os.path.join(os.path.dirname(render.__file__), "templates")
    made = Environment(
        loader=FileSystemLoader(folder), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    return made.get_template("ladder.html").render(
        one=one, stocks=stock_lines(one), weigh=weigh_rows(one), properties=property_rows(one),
        totals=totals(one), notes=notes(one), lines=list(lines()), cautions=cautions(one),
    )  # fmt: skip


def stock_lines(one: Ladder) -> list[str]:
    """What to make first, where the scale cannot weigh an addition by itself."""
    return [
        f"First a stock: {grams:.2f} g {step.added} in {grams * (1.0 - share) / share:.0f} g of "
        "the base."
        for step, share, grams in zip(one.steps, one.stocks, one.added_g, strict=True)
        if share is not None
    ]


def weigh_rows(one: Ladder) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """What goes into each glass, in g: the heads and the rows of a table."""
    digits = len(f"{one.scale_g:.10g}".partition(".")[2])
    rows = [
        (
            glass.name,
            f"{w.base_g:.{digits}f}",
            *(f"{g:.{digits}f}" if g else "-" for g in w.added_g),
        )
        for glass, w in zip(one.glasses, one.weigh, strict=True)
    ]
    return ("glass", "base", *map(_added, one.steps, one.stocks)), rows


def property_rows(one: Ladder) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """What each glass is like: the heads and the rows of a table."""
    rows = [
        (str(row["glass"]), *(_number(row[key], digits) for key, digits, _ in _SHOWN))
        for row in properties(one)
    ]
    return ("glass", *(label for _, _, label in _SHOWN)), rows


_SHOWN = (("acidity", 2, "acidity %"), ("sugar", 1, "sugars %"), ("abv", 1, "% vol"),
          ("ph", 2, "pH"), ("refractometer", 1, "reads Bx"))  # fmt: skip


def _added(step: Step, share: float | None) -> str:
    return step.added or step.kind if share is None else f"stock of {step.added}"


def _number(value: object, digits: int) -> str:
    return f"{value:.{digits}f}" if isinstance(value, float) else "-"


def totals(one: Ladder) -> list[tuple[str, str]]:
    """All that is weighed, in g."""
    whole_kg = math.fsum(part.mass_kg for part in one.base)
    rows = [(part.name, f"{one.base_g * part.mass_kg / whole_kg:.1f}") for part in one.base]
    return rows + [
        (step.added, f"{grams:.2f}")
        for step, grams in zip(one.steps, one.added_g, strict=True) if step.added
    ]  # fmt: skip


def notes(one: Ladder) -> list[str]:
    """What must be known of this ladder, in words."""
    out = [f"Allergens: {', '.join(one.allergens) or 'none known of these parts'}."]
    for kind in one.too_close:
        out.append(f"The {kind} steps are closer than most people can tell; take fewer glasses.")
    if any(step.kind == "temperature" for step in one.steps):
        out.append("The colder, the sourer it tastes; by how much, nobody has published.")
    return out


def cautions(one: Ladder) -> list[Caution]:
    """The cautions of all glasses, once each, without those that only stand."""
    found: dict[str, Caution] = {}
    for glass in one.glasses:
        for caution in glass.answer.cautions:
            if caution.severity != "note":
                found.setdefault(caution.id, caution)
    return list(found.values())


def ladder_dict(one: Ladder) -> dict[str, Any]:  # Any: JSON
    """The ladder as JSON has it."""
    return {
        "glasses": [
            {**row, "base_g": weigh.base_g, "added_g": list(weigh.added_g)}
            for row, weigh in zip(properties(one), one.weigh, strict=True)
        ],
        "added": [
            {"what": step.added or step.kind, "stock_share": share, "total_g": grams}
            for step, share, grams in zip(one.steps, one.stocks, one.added_g, strict=True)
        ],
        "base_g": one.base_g, "volume_ml": one.volume_ml, "scale_g": one.scale_g,
        "allergens": list(one.allergens), "notes": notes(one),
        "cautions": [
            {"id": c.id, "severity": c.severity, "text": c.text, "action": c.action}
            for c in cautions(one)
        ],
    }  # fmt: skip


def _fill(text: str, first: str = "", rest: str = "") -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
