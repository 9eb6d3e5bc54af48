"""A routine as text and as a page to print: in time or over first, then drinks and timetable."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING

from prepkit import model
from prepkit.render.plan_lists import NO_ALLERGENS
from prepkit.stdout import columns

if TYPE_CHECKING:
    from prepkit.sheet import PlanSheet, RoutineDrinkSheet, RoutineSheet, RoutineStepSheet

WORDS = {"clear": "CLEAR", "care": "CARE", "stop": "STOP"}
HEADERS = ("start", "end", "ends between", "step", "of")


def clock(seconds: float) -> str:
    """Minutes and seconds from the start.

    >>> clock(150.4), clock(45)
    ('2:30', '0:45')
    """
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02}"


def always_lines() -> list[tuple[str, str]]:
    """The three lines that always hold for what stands in a glass."""
    return list(zip(model.Always._fields, model.lines("window"), strict=True))


def head(said: RoutineSheet) -> str:
    """The one line that decides."""
    return f"routine: {WORDS[said['verdict']]}   {said['name']}. {said['headline']}"


def drink_words(one: RoutineDrinkSheet) -> list[str]:
    """A drink beside its window, in sentences."""
    many = "" if one["serves"] == 1 else f", {one['serves']} glasses"
    sign = "" if one["verdict"] == "clear" else f"{WORDS[one['verdict']]}  "
    out = [f"{sign}{one['name']}{many}: {one['words']}."]
    out.append(f"Allergens: {', '.join(one['allergens']) or NO_ALLERGENS}.")
    first, last, window = one["first_sip_min"], one["last_sip_min"], one["window"]
    if first:
        sips = f"First sip {_span(first)} after the pour"
        out.append(f"{sips}, last {_span(last)}." if last != first else f"{sips}.")
    if window is not None and window["likely_min"]:
        low, high = window["likely_min"]
        sure = window["sure_min"]
        told = f"{sure[0]:.1f} to {sure[1]:.1f} min for sure" if sure else "no minute for sure"
        out.append(f"As wanted {told}, {low:.1f} to {high:.1f} min likely.")
    return out


def _span(ends: Sequence[float]) -> str:
    low, high = f"{ends[0]:.1f}", f"{ends[-1]:.1f}"
    return f"{low} min" if low == high else f"{low} to {high} min"


def tables(said: RoutineSheet) -> list[tuple[str, list[tuple[str, ...]]]]:
    """The timetable of each pair of hands, and of what runs by itself."""
    found = []
    for person in (*range(1, said["hands"] + 1), 0):
        rows = [
            _row(one)
            for one in said["steps"]
            if (person in one["people"] if person else not one["people"])
        ]
        if rows:
            name = "Hands" if said["hands"] == 1 else f"Hands {person}"
            found.append((name if person else "Runs by itself", rows))
    return found


def _line(start: str, end: str, between: str, step: str, of: str) -> str:
    """A row of the timetable; its words go on below themselves."""
    left = f"{start:>6} to {end:<6} ({between})"
    return _fill(f"{step}: {of}", f"{left:<32}", " " * 32)


def _row(one: RoutineStepSheet) -> tuple[str, ...]:
    glasses = one["glasses"]
    which = "" if not glasses else f" {glasses[0]}" if glasses[0] == glasses[1] else (
        f" {glasses[0]} to {glasses[1]}"
    )  # fmt: skip
    both = f"{clock(one['earliest_s'])} - {clock(one['latest_s'])}"
    mark = "* " if one["critical"] else ""
    of = ", ".join(one["drinks"]) + which
    return clock(one["start_s"]), clock(one["end_s"]), both, f"{mark}{one['text']}", of


def routine_body(said: RoutineSheet) -> list[str]:
    """The routine in lines, answer first."""
    out = [_fill(head(said), "", "  "), ""]
    for one in said["cautions"]:
        sign = WORDS[one["severity"]]
        out.append(_fill(f"{sign}  {', '.join(one['of'])}: {one['text']}", "", "      "))
        out.append(_fill(f"-> {one['action']}", "      ", "         "))
    out += [""] if said["cautions"] else []
    if said["critical"]:
        out.append(_fill(f"Critical path  {said['critical']}.", "", "  "))
        out += [_fill(said["more_hands"])] if said["more_hands"] else []
        out.append("")
    for drink in said["drinks"]:
        first, *rest = drink_words(drink)
        out += [_fill(first, "", "  "), *(_fill(line, "  ", "  ") for line in rest)]
    for name, rows in tables(said):
        out += ["", f"{name}, min:s from the start; * is on the critical path"]
        out += [_line(*row) for row in rows]
    return out


def routine_text(said: RoutineSheet) -> str:
    """The routine as one page of text."""
    out = [*routine_body(said), ""]
    out += [f"{kind:<12}{line}" for kind, line in always_lines()]
    return "\n".join(out) + "\n"


def routine_lines(said: PlanSheet) -> list[str]:
    """Each routine of a plan in one sentence."""
    return [f"Routine {one['name']}. {one['headline']}" for one in said.get("routines", ())]


def routine_svg(said: RoutineSheet, key: str = "routine") -> str | None:
    """The time line as a picture; None beside a stop."""
    from prepkit.render.time_line_svg import routine_line, time_line_svg  # text needs none

    line = routine_line(said)
    return None if line is None else time_line_svg(line, key)


def routine_views(routines: Sequence[RoutineSheet]) -> list[dict[str, object]]:
    """What a page shows of each routine."""
    from prepkit.render.html import SVG_SPACE, Cells  # a page alone needs them

    return [
        {
            "said": one,
            "head": head(one),
            "svg": (routine_svg(one, f"routine-{place}") or "").replace(SVG_SPACE, "", 1),
            "drinks": [drink_words(drink) for drink in one["drinks"]],
            "tables": [
                Cells(
                    f"{name}, min:s from the start; * is on the critical path",
                    HEADERS,
                    "rrlll",
                    rows,
                )
                for name, rows in tables(one)
            ],
            "words": WORDS,
        }
        for place, one in enumerate(routines, 1)
    ]


def routine_html(routines: Sequence[RoutineSheet]) -> str:
    """The routines as one document to print; no script in it."""
    from prepkit.render.html import document

    views = routine_views(routines)
    return document("routine.html", routines=views, always=always_lines())


def _fill(text: str, first: str = "", rest: str = "") -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
