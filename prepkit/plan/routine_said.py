"""A routine as it is said: in time or over, its critical path, each drink beside its window.

A drink that is a stop, or is held by one, gets no times. Neither does its routine.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Literal

from prepkit import cautions
from prepkit.model import Answer, Caution
from prepkit.plan.filling import Planned
from prepkit.plan.prepare import Portion
from prepkit.plan.recipe_types import Routine, RoutineDrink
from prepkit.plan.routine import Drunk, Timed, critical, drunk, timed

if TYPE_CHECKING:
    from prepkit.sheet import (
        RoutineCaution,
        RoutineDrinkSheet,
        RoutineSheet,
        RoutineStepSheet,
        WindowSheet,
    )

MOST_HANDS_TRIED = 3
MOST_ON_PATH = 9  # steps of the critical path that are named
Inside = Literal["sure", "likely", "out"]


# words


def seconds_words(seconds: float) -> str:
    """A length in whole seconds.

    >>> seconds_words(48.2), seconds_words(150), seconds_words(3600)
    ('48 s', '2 min 30 s', '60 min')
    """
    whole = round(seconds)
    minutes, rest = divmod(whole, 60)
    if not minutes:
        return f"{rest} s"
    return f"{minutes} min {rest} s" if rest else f"{minutes} min"


def _between(ends: Sequence[float]) -> str:
    low, high = math.floor(ends[0] + 1e-6), math.ceil(ends[-1] - 1e-6)
    return f"{seconds_words(low)} to {seconds_words(high)}"


def _down(seconds: float) -> str:
    return seconds_words(math.floor(seconds + 1e-6))


def _up(seconds: float) -> str:
    return seconds_words(math.ceil(seconds - 1e-6))


def _headline(one: Timed) -> tuple[str, str]:
    """In time or over, as a word and as a sentence."""
    fast, likely, slow = one.end_s
    clock = one.routine.clock
    untimed = next((s.text for s in one.routine.steps if s.takes and not s.takes.plus_minus), None)
    unsure = f'Not sure: "{untimed}" has no ±.' if untimed else ""
    if clock is None:
        return "", f"Done after {seconds_words(likely)}, {_between(one.end_s)}. {unsure}".rstrip()
    if likely > clock:
        if fast > clock and not untimed:
            return (
                "over",
                f"Over by {_up(likely - clock)}, by {_up(fast - clock)} even at its best.",
            )
        return "over", f"Over by {_up(likely - clock)}, likely. {unsure}".rstrip()
    if untimed:
        return "likely", f"In time by {_down(clock - likely)}, likely. {unsure}"
    if slow <= clock:
        return "sure", (
            f"In time by {_down(clock - slow)} for sure, likely by {_down(clock - likely)}."
        )
    return "likely", (
        f"In time by {_down(clock - likely)}, likely. Over by {_up(slow - clock)} if all steps "
        "take longest."
    )


def _path_words(one: Timed) -> str:
    """The critical path, step by step."""
    path = critical(one)
    steps = one.routine.steps
    told: list[tuple[float, str]] = []
    before: int | None = None
    for step, group in groupby(path, key=lambda at: one.tasks[at].step):
        many = list(group)
        seconds = math.fsum(one.times[1][at].end - one.times[1][at].start for at in many)
        waits = before is not None and before not in one.tasks[many[0]].after
        times = f", {len(many)} times" if len(many) > 1 else ""
        hands = ", once hands are free" if waits else ""
        told.append((seconds, f"{steps[step].text}{times} {seconds_words(seconds)}{hands}"))
        before = many[-1]
    if len(told) > MOST_ON_PATH:
        least = sorted(seconds for seconds, _ in told)[-MOST_ON_PATH]
        named = [one for one in told if one[0] >= least][:MOST_ON_PATH]
        rest = math.fsum(seconds for seconds, _ in told) - math.fsum(s for s, _ in named)
        few = len(told) - len(named)
        told = [*named, (rest, f"{few} shorter steps {seconds_words(rest)}")]
    return "; ".join(words for _, words in told)


def _more_hands(one: Timed) -> str:
    """What another pair of hands would save; empty where it saves nothing."""
    routine = one.routine
    if routine.hands >= MOST_HANDS_TRIED:
        return ""
    other = timed(routine._replace(hands=routine.hands + 1)).end_s[1]
    if other > one.end_s[1] - 1:
        return ""
    saved = one.end_s[1] - other
    return f"With {routine.hands + 1} pairs of hands it ends {_down(saved)} sooner, likely."


# the sheet


def routines(plan: Planned) -> list[RoutineSheet]:
    """Each routine whose drinks are all planned."""
    planned = {one.serve.name: one for one in plan.portions}
    return [
        _said(plan, one, planned)
        for one in plan.recipe.routines
        if all(drink.name in planned for drink in one.drinks)
    ]


def _said(plan: Planned, routine: Routine, planned: Mapping[str, Portion]) -> RoutineSheet:
    found = {one.name: _found(plan, planned[one.name]) for one in routine.drinks}
    verdicts = {name: _verdict(planned[name], each) for name, each in found.items()}
    verdict = max(verdicts.values(), key=cautions.VERDICTS.index)
    whole: RoutineSheet = {
        "name": routine.name,
        "file": routine.file,
        "verdict": verdict,
        "hands": routine.hands,
        "clock_s": None if routine.clock is None else float(routine.clock),
        "in_time": "",
        "headline": "",
        "critical": "",
        "more_hands": "",
        "end_s": [],
        "cautions": _told(found),
        "drinks": [],
        "steps": [],
    }
    one = None if verdict == "stop" else timed(routine)
    whole["drinks"] = [
        _drink(plan, one, drink, planned[drink.name], verdicts[drink.name], routine)
        for drink in routine.drinks
    ]
    if one is None:
        names = [name for name, each in verdicts.items() if each == "stop"]
        return {**whole, "headline": f"{' and '.join(names)} must not be served."}
    in_time, headline = _headline(one)
    missed = [each["name"] for each in whole["drinks"] if each["inside"] == "out"]
    if missed:
        headline += f" {' and '.join(missed)}: drunk outside the window."
    return {
        **whole,
        "in_time": in_time,
        "headline": headline,
        "critical": _path_words(one),
        "more_hands": _more_hands(one),
        "end_s": list(one.end_s),
        "steps": _steps(one),
    }


def _found(plan: Planned, portion: Portion) -> tuple[Caution, ...]:
    """The stops and warnings of a serve and of all that is made for it."""
    behind = dict.fromkeys(portion.held_by)
    seen: set[str] = set()
    left = [part.name for part in portion.all_parts]
    while left:
        id_ = left.pop()
        if id_ in plan.prepared.uses and id_ not in seen:
            seen.add(id_)
            behind[id_] = None
            left += plan.prepared.uses[id_]
    said = [*portion.found]
    said += [caution for made in plan.made if made.item.id in behind for caution in made.found]
    said += [caution for one in plan.stocked if one.item.id in behind for caution in one.found]
    once = {one.id: one for one in said if one.severity != "note" and not one.standing}
    return cautions.ordered(once.values())


def _verdict(portion: Portion, found: Iterable[Caution]) -> str:
    return "stop" if portion.held_by else cautions.verdict(found)


def _told(found: Mapping[str, Iterable[Caution]]) -> list[RoutineCaution]:
    """Each stop and warning once, with the drinks that it is of; the stops first."""
    told: dict[tuple[str, str], RoutineCaution] = {}
    for name, each in found.items():
        for one in each:
            row = told.setdefault((one.id, one.text), {
                "id": one.id, "severity": one.severity, "text": one.text, "action": one.action,
                "more": one.more, "of": [],
            })  # fmt: skip
            row["of"].append(name)
    return sorted(told.values(), key=lambda row: cautions.SEVERITIES.index(row["severity"]))


def _drink(
    plan: Planned, one: Timed | None, drink: RoutineDrink, portion: Portion, verdict: str,
    routine: Routine,
) -> RoutineDrinkSheet:  # fmt: skip
    answer = plan.prepared.windows.get((routine.name, drink.name))
    when = None if one is None else drunk(one, drink)
    window = None if answer is None or one is None else _window_said(answer)
    inside: Inside | Literal[""] = ""
    words = "nothing is wanted of it"
    if one is None:
        words = "must not be served" if verdict == "stop" else "waits for the others"
    if one is not None and window is not None and when is not None:
        known = one.sure and bool(drink.sips.plus_minus or not drink.sips)
        inside, words = _inside(window, when, known)
    return {
        "name": drink.name,
        "serves": drink.serves,
        "verdict": verdict,
        "allergens": sorted(name.replace(":", ": ") for name in portion.mixture.allergens),
        "window": window,
        "first_sip_min": [] if when is None else list(when.first),
        "last_sip_min": [] if when is None else list(when.last),
        "inside": inside,
        "words": words,
    }


def _window_said(answer: Answer) -> WindowSheet:
    values = {name: float(one.value) for name, one in answer.values.items()}
    spans = [
        [values[f"{kind}_from"], values[f"{kind}_to"]] if f"{kind}_from" in values else []
        for kind in ("sure", "likely")
    ]
    unmet = str(answer.result.facts.get("window_unmet") or "")
    return {"sure_min": spans[0], "likely_min": spans[1], "ends": _ends(answer), "unmet": unmet}


def _ends(answer: Answer) -> str:
    """What leaves its band first, likely."""
    rows = next(table.rows for table in answer.tables if table.name == "bands")
    known = [(row[3], str(row[0])) for row in rows if isinstance(row[3], int | float)]
    return min(known)[1].split()[0] if len(known) == len(rows) else ""


def _inside(window: WindowSheet, when: Drunk, known: bool) -> tuple[Inside, str]:
    """Whether it is drunk inside its window, in words too."""
    sure, likely = window["sure_min"], window["likely_min"]
    if not likely:
        return "out", f"at no time as wanted: {window['unmet']}"
    late, early = when.last[2] - likely[1], likely[0] - when.first[1]
    if late > 0:
        return "out", f"too late by {_up(60 * late)}; the {window['ends']} ends its window"
    if early > 0:
        return "out", f"too early by {_up(60 * early)}"
    if known and sure and when.first[0] >= sure[0] and when.last[3] <= sure[1]:
        return "sure", "inside its window for sure"
    return "likely", "inside its window, likely"


def _steps(one: Timed) -> list[RoutineStepSheet]:
    """The tasks by their likely start; the same step for glass after glass is one line."""
    fast, likely, slow = one.times
    path = set(critical(one))
    glasses = {drink.name: drink.serves for drink in one.routine.drinks}
    out: list[RoutineStepSheet] = []
    last: dict[tuple[int, ...], tuple[int, int]] = {}  # by hands: the line, and its last task
    for at in one.order:
        task = one.tasks[at]
        people = one.people[at]
        line, before = last.get(people, (0, -1))
        if (
            people and before >= 0 and one.tasks[before].step == task.step
            and one.tasks[before].drinks == task.drinks
            and task.glass == one.tasks[before].glass + 1
            and likely[at].start - likely[before].end < 0.5
        ):  # fmt: skip
            row = out[line]
            row["end_s"], row["earliest_s"] = likely[at].end, fast[at].end
            row["latest_s"] = slow[at].end
            row["glasses"][1] = task.glass
            row["critical"] = row["critical"] or at in path
            last[people] = (line, at)
            continue
        step = one.routine.steps[task.step]
        counted = task.glass and glasses[task.drinks[0]] > 1
        out.append(
            {
                "text": step.text,
                "drinks": list(task.drinks),
                "glasses": [task.glass, task.glass] if counted else [],
                "people": list(people),
                "start_s": likely[at].start,
                "end_s": likely[at].end,
                "earliest_s": fast[at].end,
                "latest_s": slow[at].end,
                "critical": at in path,
            }
        )
        last[people] = (len(out) - 1, at)
    return out
