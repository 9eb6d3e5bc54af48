"""The timetable of a sheet: what starts when, how long things stand, what is charged last."""

from __future__ import annotations

from prepkit.plan.clock import length_words
from prepkit.render.amounts import Said, fill, listed, title_lines
from prepkit.render.text import grid


def timetable_text(said: Said) -> list[str]:
    """The timetable, or nothing where the recipe has no steps."""
    table = said["timetable"]
    if table is None:
        return []
    when = f"back from service at {table['service']}" if table["service"] else "before service"
    hands = "one person" if table["hands"] == 1 else f"{table['hands']} people"
    rows = [
        [
            moment(step["start"], step["start_min"]),
            moment(step["end"], step["end_min"]),
            length_words(step["hands_on_min"]) if step["hands_on_min"] else "-",
            step["item"],
            step_words(step),
        ]
        for step in table["steps"]
    ]
    out = [
        *title_lines(f"Timetable, {when}"),
        f"{hands}, {length_words(table['hands_on_min'])} of work with the hands",
        grid(rows, ["start", "done", "hands on", "what", "how"], "llrll"),
    ]
    for one in table["stands"]:
        keeping = f"; how it keeps: {listed(map(str, one['keeping']))} on the wall"
        out.append(
            fill(
                f"{one['item']} stands {length_words(one['min'])} until {one['for']}"
                f"{keeping if one['keeping'] else ''}"
            )
        )
    out += [
        fill(
            f"TOO LONG: {step['item']} would stand {length_words(step['stands_min'])} after "
            f'"{step["text"]}", and {length_words(step["stands_at_most_min"])} is the most: it '
            f"needs another pair of hands, or shorter steps after it."
        )
        for step in table["steps"]
        if step["stands_too_long"]
    ]
    if table["charged_last"]:
        others = table["charged"][:-1]
        first = f", after {listed(others)}" if others else ""
        out.append(fill(f"charged last: {table['charged_last']}{first}"))
    return [*out, ""]


def moment(time: str | None, minutes: float) -> str:
    """A time of day where service has one, else how long before service."""
    if time is not None:
        return time
    if abs(minutes) < 0.5:
        return "service"
    return f"-{length_words(-minutes)}"


def step_words(step: Said) -> str:
    """What is done in a step, and for how many vessels."""
    return f"{step['text']} ({step['times']} times)" if step["times"] > 1 else str(step["text"])
