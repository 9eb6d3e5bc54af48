"""A tasting as text and as pages to print: plan, pouring list, a sheet for each taster."""

from __future__ import annotations

import os
import textwrap
from collections.abc import Mapping
from typing import Any

from prepkit import render
from prepkit.render.grid import grid
from prepkit.science import tasting as statistics
from prepkit.tasting.design import (
    ALPHA,
    DISTANCES,
    REFERENCE,
    TESTS,
    Tasting,
    imbalance,
    lines,
    most_glasses,
    needed,
    orders,
    proposed,
    sheets,
)
from prepkit.tasting.judge import BY_CHANCE, Judged
from prepkit.units import rounded_up
from prepkit.width import columns

PAGE = "\f"
NO_GOING_BACK = "A guess counts. Do not go back to an earlier glass once you have answered."
NEVER = "For who pours. Keep it from the tasters until all have answered."


def plan_text(one: Tasting) -> str:
    """The test, how many tasters it takes, the alcohol, what to pour."""
    out = [f"{one.kind.name.capitalize()}: {one.title}", one.question, ""]
    out.append("Before the first glass")
    out.append(_fill(f"Allergens: {', '.join(one.allergens) or 'none'}.", "  ", "    "))
    out.append(_fill(alcohol(one), "  ", "    "))
    out.append(_fill(glasses(one), "  ", "    "))
    out += [_fill(line.text, "  ", "    ") for line in lines()]
    out += ["", *(_fill(sentence) for sentence in sizes(one))]
    out += ["", grid(_size_rows(one), ("difference", *_methods(one)), "lrrrr"), ""]
    out += ["Pour in all", grid(
        [(name, f"{ml:g}") for name, ml in one.volume_ml.items()], ("glass", "ml"), "lr", "  "
    )]  # fmt: skip
    return "\n".join(out) + "\n"


def sizes(one: Tasting) -> list[str]:
    """What this panel can find, in words."""
    out = []
    known = one.expected is not None
    best = proposed(len(one.glasses), one.taste, known)
    if one.test == "ranking":
        words = "Page's test, since the order is known" if one.in_order else "Friedman's test"
        out.append(f"{one.tasters} tasters rank {len(one.glasses)} glasses; judged by {words}.")
    else:
        alpha = 0.5 * ALPHA if one.two_sided else ALPHA
        least = statistics.least_correct(one.tasters, one.kind.chance, alpha)
        alike = "choices for one glass" if one.two_sided else "right answers"
        if least is None:
            out.append(f"{one.tasters} tasters are too few: even all of one mind prove nothing.")
        else:
            out.append(f"{least} of {one.tasters} {alike} are enough: {BY_CHANCE}.")
        if best != one.test and best in ("three", "pair"):
            out.append(f"A {TESTS[best].name} would need fewer tasters here.")
    if one.taste is None:
        out.append("Name the taste that should differ, and far fewer tasters are enough.")
    if imbalance(one):
        out.append(
            f"A number of tasters that divides by {len(orders(one))} has every order equally often."
        )
    out.append("Tasters who find it 8 times in 10, by how far apart the drinks taste:")
    return out


def _methods(one: Tasting) -> tuple[str, ...]:
    return (
        ("triangle",)
        if one.test == "ranking"
        else tuple(dict.fromkeys((one.test, "three", "pair", "triangle", "duo-trio")))[:4]
    )


def _size_rows(one: Tasting) -> list[tuple[str, ...]]:
    """Tasters for 8 finds in 10, by how far apart the drinks are."""
    rows = []
    for word, distance in DISTANCES:
        found = (
            needed(test, distance, one.two_sided and test == one.test) for test in _methods(one)
        )
        rows.append((word, *(str(size.stable) if size else "over 1000" for size in found)))
    return rows


def alcohol(one: Tasting) -> str:
    """The alcohol of one taster, in words."""
    if not one.abv_percent:
        return "No alcohol in these glasses."
    return (
        f"Alcohol: at most {rounded_up(one.alcohol_g, 1):.1f} g for each person who swallows all "
        f"{one.glasses_each} glasses."
    )


def glasses(one: Tasting) -> str:
    """How many glasses each person tastes, and how many one may, in words."""
    most = most_glasses(one.abv_percent)
    return f"Glasses: {one.glasses_each} for each person. At most {most} at a time (our judgement)."


def pour_text(one: Tasting) -> str:
    """Which drink goes into which code, taster by taster."""
    out = [f"Pouring list: {one.title}", _fill(NEVER)]
    out += [_fill(f"Allergens: {', '.join(one.allergens) or 'none'}."), ""]
    rows = [
        (str(sheet.taster), *(f"{pour.code}: {one.glasses[pour.glass]}" for pour in sheet.pours))
        for sheet in sheets(one)
    ]
    places = [f"glass {at}" for at in range(1, one.glasses_each + 1)]
    out.append(grid(rows, ("taster", *places), "r" + "l" * one.glasses_each))
    return "\n".join(out) + "\n"


def sheets_text(one: Tasting) -> str:
    """One page for each taster: codes from left to right, no key."""
    return PAGE.join(_sheet_text(one, sheet.taster) for sheet in sheets(one))


def _sheet_text(one: Tasting, taster: int) -> str:
    sheet = sheets(one)[taster - 1]
    out = [f"{one.title}   taster {taster}   Name ____________________", ""]
    out += [_fill(f"Allergens: {', '.join(one.allergens) or 'none'}."), _fill(alcohol(one)), ""]
    out += [_fill(one.question), "", "   ".join(pour.code for pour in sheet.pours), ""]
    out += [f"Answer: {answer_blanks(one)}", "", _fill(NO_GOING_BACK)]
    return "\n".join(out) + "\n"


def answer_blanks(one: Tasting) -> str:
    """Where the answer is written."""
    return "  ".join(["______"] * (len(one.glasses) if one.test == "ranking" else 1))


def sheets_html(one: Tasting) -> str:
    """The tasters' sheets as one document to print; no script in it."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    folder = os.path.join(os.path.dirname(render.__file__), "templates")
    made = Environment(
        loader=FileSystemLoader(folder), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    return made.get_template("tasting.html").render(
        one=one, sheets=sheets(one), alcohol=alcohol(one), lines=list(lines()), last=NO_GOING_BACK,
        ranked=one.test == "ranking", reference=REFERENCE,
    )  # fmt: skip


def judged_text(one: Tasting, judged: Judged) -> str:
    """The result, answer first."""
    return "\n".join([f"{one.kind.name.capitalize()}: {one.title}",
                      *(_fill(sentence) for sentence in judged.sentences)]) + "\n"  # fmt: skip


def plan_dict(one: Tasting) -> dict[str, Any]:  # Any: JSON
    """The plan as JSON has it."""
    size_rows = {row[0]: dict(zip(_methods(one), row[1:], strict=True)) for row in _size_rows(one)}
    return {
        "title": one.title, "test": one.test, "question": one.question,
        "glasses": list(one.glasses), "tasters": one.tasters, "seed": one.seed,
        "glasses_each": one.glasses_each, "alcohol_g_each": rounded_up(one.alcohol_g),
        "allergens": list(one.allergens),
        "most_glasses_each": most_glasses(one.abv_percent), "pour_ml": one.volume_ml,
        "sentences": sizes(one),
        "tasters_needed": size_rows,
        "cautions": [{"text": line.text, "source": line.source} for line in lines()],
    }  # fmt: skip


def judged_dict(one: Tasting, judged: Judged) -> Mapping[str, Any]:  # Any: JSON
    """The result as JSON has it."""
    return {"title": one.title, "test": one.test, "found": judged.found,
            "sentences": list(judged.sentences), "figures": dict(judged.figures)}  # fmt: skip


def _fill(text: str, first: str = "", rest: str = "") -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
