"""The timetable of a sheet: what starts when, how long things stand, what is charged last."""

from __future__ import annotations

from prepkit.clock import length_words
from prepkit.render.amounts import fill, listed, title_lines
from prepkit.render.grid import grid
from prepkit.sheet import PlacedStep, PlanSheet, TimetableSheet

TIME_HEADERS, TIME_LETTERS = ("start by", "done", "hands on", "what", "how"), "llrll"


def timetable_text(said: PlanSheet) -> list[str]:
    """The timetable, or nothing where the recipe has no steps."""
    table = said["timetable"]
    if table is None:
        return []
    out = [
        *title_lines(time_title(table)),
        hands_words(table),
        grid(time_rows(table), TIME_HEADERS, TIME_LETTERS),
    ]
    out += [fill(line) for line in time_lines(table)]
    return [*out, ""]


def time_title(table: TimetableSheet) -> str:
    """From when the times count."""
    when = f"back from service at {table['service']}" if table["service"] else "before service"
    return f"Timetable, {when}"


def hands_words(table: TimetableSheet) -> str:
    """Whose hands, and how long they are needed."""
    hands = "one person" if table["hands"] == 1 else f"{table['hands']} people"
    return f"{hands}, {length_words(table['hands_on_min'])} of work with the hands"


def time_rows(table: TimetableSheet) -> list[list[str]]:
    """The steps in the order in which they start."""
    return [
        [
            moment(step["start"], step["start_min"]),
            moment(step["end"], step["end_min"]),
            length_words(step["hands_on_min"]) if step["hands_on_min"] else "-",
            step["item"],
            step_words(step),
        ]
        for step in table["steps"]
    ]


def time_lines(table: TimetableSheet) -> list[str]:
    """How long things stand, where that is too long, and what is charged last."""
    out = hours_lines(table)
    for one in table["stands"]:
        keeping = f"; for how it keeps see {listed(map(str, one['keeping']))} on the wall"
        out.append(
            f"{one['item']} stands {length_words(one['min'])} until {one['for']}"
            f"{keeping if one['keeping'] else ''}"
        )
    out += [
        f"TOO LONG: {step['item']} would stand {length_words(step['stands_min'])} after "
        f'"{step["text"]}", and {length_words(step["stands_at_most_min"])} is the most. It '
        f"needs another pair of hands, {'other working hours, ' if table['hours'] else ''}or "
        f"shorter steps after it."
        for step in table["steps"]
        if step["stands_too_long"] and step["stands_at_most_min"] is not None
    ]
    for wait in table["later"]:
        many = "1 more load" if wait["loads"] == 1 else f"{wait['loads']} more loads"
        out.append(
            f"{wait['item']}: {many} during service, as vessels come free: "
            f"{length_words(wait['min'])} each, {length_words(wait['hands_on_min'])} of it with "
            f"the hands"
        )
    if table["charged_last"]:
        others = table["charged"][:-1]
        first = f", after {listed(others)}" if others else ""
        out.append(f"charged last: {table['charged_last']}{first}")
    return out


def hours_lines(table: TimetableSheet) -> list[str]:
    """What the working hours of the house move, and what they cannot hold."""
    if table["hours"] is None:
        return []
    hours = " to ".join(table["hours"])
    out = []
    for days in sorted({step["moved_days"] for step in table["steps"] if step["moved_days"] > 0}):
        moved = [
            f"{step['item']} ({step['text']})"
            for step in table["steps"]
            if step["moved_days"] == days
        ]
        to = "the day before" if days == 1 else f"{days} days before"
        out.append(f"Moved to {to}, because house hours are {hours}: {listed(moved)}")
    out += [
        f"OUTSIDE HOURS: {step['item']} ({step['text']}) needs hands for "
        f"{length_words(step['hands_on_min'])}, more than the working day of {hours}."
        for step in table["steps"]
        if step["outside_hours"]
    ]
    return out


def moved_words(table: TimetableSheet) -> str:
    """How many jobs the working hours move to an earlier day; "" where none."""
    moved = [step for step in table["steps"] if step["moved_days"] > 0]
    if not moved:
        return ""
    to = "the day before" if all(step["moved_days"] == 1 for step in moved) else "earlier days"
    return f"{len(moved)} job{'' if len(moved) == 1 else 's'} moved to {to}"


def moment(time: str | None, minutes: float) -> str:
    """A time of day where service has one, else how long before service."""
    if time is not None:
        return time
    if abs(minutes) < 0.5:
        return "service"
    return f"-{length_words(-minutes)}"


def step_words(step: PlacedStep) -> str:
    """What is done in a step, and for how many vessels."""
    return f"{step['text']} ({step['times']} times)" if step["times"] > 1 else str(step["text"])
