"""When each step must start, worked back from service, as late as can be; a routine as said.

Each item is done before the first step of what uses it begins, and before service where it goes
into the glass. The part of a step that needs a person comes at its start, and no more people are
busy at once than the house has hands: a step that would need one more begins earlier. Where the
house has working hours and service has a time of day, a person works within these hours: what does
not fit is moved to the day before. Where what is served from vessels needs more of them than the
house has, as many as it has are ready at service, and the others follow as vessels come free.

Of a routine it is said whether it is in time, its critical path, each drink beside its window. A
drink that is a stop, or is held by one, gets no times. Neither does its routine.
"""

import heapq
import math
from bisect import bisect_left
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Literal

from prepkit import cautions
from prepkit.errors import BadInput, named
from prepkit.model import Answer, Caution
from prepkit.numbers import Moment, length_words
from prepkit.plan.filling import Made, Planned, vessel_rounds
from prepkit.plan.house_file import DAY_MIN, Hours
from prepkit.plan.prepare import ServeContents
from prepkit.plan.recipe_types import RecipeStep, Routine, RoutineDrink
from prepkit.plan.routine import Drunk, Timed, critical, drunk, timed
from prepkit.record import Record

if TYPE_CHECKING:
    from prepkit.sheet import (
        RoutineCaution,
        RoutineDrinkSheet,
        RoutineSheet,
        RoutineStepSheet,
        TimetableSheet,
        WindowSheet,
    )

_DUST = 1e-6


class Placed(Record):
    """A step in the timetable; times are minutes from service, before it negative."""

    item: str
    number: int
    task: RecipeStep
    times: int  # vessels that it is done for
    start: float
    end: float
    hands_on: float
    stands: float  # minutes until what comes next; after the last step until its last use
    person: int = 0  # who does it, from 1; 0 where nobody is needed
    moved_days: int = 0  # days that the working hours have moved it back
    outside: bool = False  # longer than a working day


class Needed(Record):
    """When an item must be done, minutes from service, and when and for what it is used last."""

    first: float
    last: float
    last_for: str


class WaitingLoads(Record):
    """Loads of an item that wait for a vessel to come free: minutes of one, and of its work."""

    item: str
    loads: int
    minutes: float
    hands_on: float


class Timetable(Record):
    """All steps by their start, and how long each item stands before it is used last."""

    steps: tuple[Placed, ...]
    stands: Mapping[str, tuple[float, str]]  # minutes, and what takes the last of it
    hands: int
    charged: tuple[str, ...]  # items in vessels, in the order of charging
    later: tuple[WaitingLoads, ...] = ()
    hours: Hours | None = None  # that it keeps to

    @property
    def start(self) -> float:
        """When the first step starts, minutes from service."""
        return min((step.start for step in self.steps), default=0.0)


def timetable(plan: Planned, service: Moment | None = None) -> Timetable | None:
    """The timetable of a plan; None where no item that is made has steps.

    It keeps to the working hours of the house where `service` is a time of day.
    """
    made = {item.item.id: item for item in plan.made if item.product is not None and item.go}
    if not any(item.item.steps for item in made.values()):
        return None
    users: dict[str, list[str]] = {id_: [] for id_ in made}
    for item in made.values():
        for used in plan.prepared.uses[item.item.id]:
            if used in users:
                users[used].append(item.item.id)
    at_once = {id_: rounds.at_once for id_, rounds in vessel_rounds(plan).items()}
    people, hours = plan.recipe.house.hands, plan.recipe.house.hours
    if service is None or hours is None:
        steps, needed = _all_placed(plan, made, users, at_once, _Hands(people))
        hours = None
    else:
        at_min = 60 * service.at.hour + service.at.minute
        free, _ = _all_placed(plan, made, users, at_once, _Hands(people))
        steps, needed = _all_placed(plan, made, users, at_once, _Hands(people, hours, at_min))
        steps = _compared(steps, free, hours, at_min)
    ends = {step.item: step.end for step in sorted(steps, key=lambda one: one.number)}
    steps = _shared_out(sorted(steps, key=_by_start))
    filled = [step.item for step in steps if made[step.item].filling]
    return Timetable(
        tuple(steps),
        {id_: (needed[id_].last - ends[id_], needed[id_].last_for) for id_ in made if id_ in ends},
        people,
        tuple(dict.fromkeys(filled)),
        tuple(
            _later(item, loads)
            for item in made.values()
            if (loads := _fills(item) - at_once.get(item.item.id, 1)) and item.item.steps
        ),
        hours,
    )


def _all_placed(
    plan: Planned,
    made: Mapping[str, Made],
    users: Mapping[str, list[str]],
    at_once: Mapping[str, int],
    hands: "_Hands",
) -> tuple[list[Placed], dict[str, Needed]]:
    """Every step of every item, and when and for what each item is needed."""
    needed: dict[str, Needed] = {}
    starts: dict[str, float] = {}
    served = {part.name for portion in plan.portions for part in portion.all_parts}
    waiting = {id_: len(of) for id_, of in users.items()}
    place = {id_: number for number, id_ in enumerate(made)}
    keeps = {id_: _keeps(item) for id_, item in made.items()}
    ready = [(0.0, keeps[id_], -place[id_], id_) for id_, count in waiting.items() if not count]
    heapq.heapify(ready)
    steps: list[Placed] = []
    while ready:  # whatever is needed latest, and keeps least, is placed first
        id_ = heapq.heappop(ready)[3]
        needed[id_] = _needed(id_, served, users[id_], starts, made)
        placed = _placed(made[id_], needed[id_], hands, at_once.get(id_, 1))
        steps += placed
        starts[id_] = placed[0].start if placed else needed[id_].first
        for used in plan.prepared.uses[id_]:
            if used in waiting:
                waiting[used] -= 1
                if not waiting[used]:
                    when = _needed(used, served, users[used], starts, made).first
                    heapq.heappush(ready, (-when, keeps[used], -place[used], used))
    return steps, needed


def _compared(steps: list[Placed], free: list[Placed], hours: Hours, at_min: int) -> list[Placed]:
    """The steps with the days that the hours moved them by, beside those of a house without."""
    before = {(placed.item, placed.number): _day(placed.start, at_min) for placed in free}
    return [
        step.replaced(
            moved_days=before[step.item, step.number] - _day(step.start, at_min),
            outside=not hours.fits(at_min + step.start, step.hands_on),
        )
        for step in steps
    ]


def _day(start: float, at_min: int) -> int:
    """The day of a start, to the minute: 0 that of service, before it negative."""
    return math.floor((at_min + round(start)) / DAY_MIN)


def _shared_out(steps: list[Placed]) -> list[Placed]:
    """The steps, by their start, with who does each: the person who is free first."""
    free_at: list[float] = []
    found = []
    for step in steps:
        if step.hands_on > 0:
            who = next((n for n, at in enumerate(free_at) if at <= step.start + _DUST), None)
            if who is None:
                who = len(free_at)
                free_at.append(0.0)
            free_at[who] = step.start + step.hands_on
            found.append(step.replaced(person=who + 1))
        else:
            found.append(step)
    return found


def by_start(plan: Planned, table: Timetable | None) -> tuple[Made, ...]:
    """All items as they are started, each after those that it uses; without a timetable as made.

    One without steps has the place of the first that uses it, and one that nothing waits for is
    last, such as a check.
    """
    starts: dict[str, float] = {}
    for step in table.steps if table is not None else ():
        starts[step.item] = min(step.start, starts.get(step.item, math.inf))
    if not starts:
        return plan.made
    for made in reversed(plan.made):
        start = starts.setdefault(made.item.id, math.inf)
        for used in plan.prepared.uses[made.item.id]:
            starts[used] = min(start, starts.get(used, math.inf))
    return tuple(sorted(plan.made, key=lambda made: starts[made.item.id]))


def _fills(made: Made) -> int:
    return made.filling.count if made.filling else 1


def _later(made: Made, loads: int) -> WaitingLoads:
    """What one load takes, from the first step that each vessel needs."""
    steps = made.item.steps
    first = next((n for n, step in enumerate(steps) if step.each_vessel), 0)
    again = steps[first:]
    return WaitingLoads(
        made.item.id,
        loads,
        sum(step.takes for step in again) + sum(one.before for one in again[:-1]),
        sum(step.hands_on for step in again),
    )


def _keeps(made: Made) -> float:
    """How long an item may stand when it is done, minutes."""
    within = made.item.steps[-1].within if made.item.steps else None
    return float("inf") if within is None else within


def _by_start(one: Placed) -> tuple[float, float, str]:
    return (one.start, one.end, one.item)


def _needed(
    id_: str,
    served: Collection[str],
    users: list[str],
    starts: Mapping[str, float],
    made: Mapping[str, Made],
) -> Needed:
    """When an item must be done, and what needs it last; a check without steps waits for none."""
    found = [(starts[user], user) for user in users]
    if id_ in served:
        found.append((0.0, "service"))
    waiting = [
        pair
        for pair in found
        if pair[1] not in made or made[pair[1]].item.steps or not made[pair[1]].item.check
    ]
    return Needed(
        min(found, default=(0.0, ""))[0], *max(waiting or found, default=(0.0, "service"))
    )


def _placed(made: Made, needed: Needed, hands: "_Hands", fills: int) -> list[Placed]:
    """The steps of an item, the last one done when it is first needed."""
    found: list[Placed] = []
    following, until = needed.first, needed.last
    for number in range(len(made.item.steps), 0, -1):
        task = made.item.steps[number - 1]
        times = fills if task.each_vessel else 1
        takes, hands_on = task.takes * times, task.hands_on * times
        start = hands.latest(following - task.before - takes, hands_on)
        end = start + takes
        found.append(Placed(made.item.id, number, task, times, start, end, hands_on, until - end))
        following = until = start
    return found[::-1]


class _Hands:
    """How many are busy when: a profile over time that work is put into, as late as it fits.

    `hours` are those in which they work, and `at_min` is service, minutes after midnight.
    """

    def __init__(self, most: int, hours: Hours | None = None, at_min: int = 0) -> None:
        self.most, self.hours, self.at_min = most, hours, at_min
        self.times: list[float] = []  # where the number changes
        self.busy: list[int] = []  # from each of these times on

    def latest(self, start: float, length: float) -> float:
        """Put in work of a length that starts at `start` or earlier; when it starts."""
        if length <= 0:
            return start
        while True:
            within = self._in_hours(start, length)
            start = self._free(within, length)
            if start >= within - _DUST:
                break
        self._add(start, start + length)
        return start

    def _in_hours(self, start: float, length: float) -> float:
        """The latest start within working hours; as asked where there are none."""
        if self.hours is None:
            return start
        return self.hours.latest(self.at_min + start, length) - self.at_min

    def _free(self, start: float, length: float) -> float:
        """The latest start at which somebody is free for all of it."""
        end = start + length
        place = bisect_left(self.times, end - _DUST) - 1
        while place >= 0:
            until = self.times[place + 1] if place + 1 < len(self.times) else end
            if until <= end - length + _DUST:
                break  # the work ends up before anything that is in the way
            if self.busy[place] >= self.most and until > self.times[place]:
                end = min(end, self.times[place])
            place -= 1
        return end - length

    def _add(self, start: float, end: float) -> None:
        first, last = self._at(start), self._at(end)
        for place in range(first, last):
            self.busy[place] += 1
        for place in (last, first):  # no boundary where the number stays the same
            if place and self.busy[place] == self.busy[place - 1]:
                del self.times[place], self.busy[place]

    def _at(self, time: float) -> int:
        """The place of a time in the profile, made where there is none."""
        place = bisect_left(self.times, time - _DUST)
        if place < len(self.times) and abs(self.times[place] - time) <= _DUST:
            return place
        self.times.insert(place, time)
        self.busy.insert(place, self.busy[place - 1] if place else 0)
        return place


# against the clock


def refuse_late(table: Timetable, service: Moment, now: Moment) -> None:
    """BadInput where something had to start before now, with what and since when."""
    left = service.minutes_since(now)
    if left <= 0:
        raise BadInput(
            f"{named('service')} {service.words()} is not after {named('now')} "
            f"{now.words()}; give a later time of "
            f"service.",
            "service",
        )
    late: dict[str, float] = {}
    for step in table.steps:
        if step.start < -left - _DUST:
            late[step.item] = min(late.get(step.item, 0.0), step.start)
    if not late:
        return
    said = [
        f"{item} had to start at {service.before(-start)}"
        for item, start in sorted(late.items(), key=lambda one: one[1])
    ]
    left_out = len(said) - 4
    more = f", and {left_out} more item{'s' if left_out > 1 else ''}" if left_out > 0 else ""
    over = -table.start - left
    raise BadInput(
        f"service at {service.words()} cannot be reached from {now.words()}: "
        f"{', '.join(said[:4])}{more}. The earliest service is {service.before(-over)}, "
        f"{length_words(over)} later.",
        "service",
    )


def to_dict(
    plan: Planned, table: Timetable, service: Moment | None, numbers: Mapping[str, int]
) -> "TimetableSheet":
    """The JSON form; `numbers` are those of the cautions on the wall."""
    keeping = {
        made.item.id: sorted(
            numbers[caution.id]
            for caution in made.found
            if caution.kind == "keeping" and caution.id in numbers
        )
        for made in plan.made
    }

    def at(minutes: float) -> str | None:
        return None if service is None else service.before(-minutes)

    return {
        "service": None if service is None else service.words(),
        "hands": table.hands,
        "hours": None if table.hours is None else list(table.hours.words()),
        "hands_on_min": sum(step.hands_on for step in table.steps),
        "start_min": table.start,
        "start": at(table.start),
        "steps": [
            {
                "item": one.item, "number": one.number, "text": one.task.text, "times": one.times,
                "start_min": one.start, "end_min": one.end, "start": at(one.start),
                "end": at(one.end), "takes_min": one.end - one.start,
                "hands_on_min": one.hands_on, "stands_min": one.stands,
                "stands_at_most_min": one.task.within,
                "stands_too_long": one.task.within is not None
                and one.stands > one.task.within + _DUST,
                "person": one.person, "moved_days": one.moved_days, "outside_hours": one.outside,
            }
            for one in table.steps
        ],
        "stands": [
            {"item": id_, "min": minutes, "for": what, "keeping": keeping.get(id_, [])}
            for id_, (minutes, what) in table.stands.items()
            if minutes > _DUST
        ],
        "later": [
            {"item": loads.item, "loads": loads.loads, "min": loads.minutes,
             "hands_on_min": loads.hands_on}
            for loads in table.later
        ],
        "charged": list(table.charged),
        "charged_last": table.charged[-1] if table.charged else None,
    }  # fmt: skip


# ---- a routine as it is said ----

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


def _headline(timed_task: Timed) -> tuple[str, str]:
    """In time or over, as a word and as a sentence."""
    fast, likely, slow = timed_task.end_s
    clock = timed_task.routine.clock
    untimed = next(
        (s.text for s in timed_task.routine.steps if s.takes and not s.takes.plus_minus), None
    )
    unsure = f'Not sure: "{untimed}" has no ±.' if untimed else ""
    if clock is None:
        return (
            "",
            f"Done after {seconds_words(likely)}, {_between(timed_task.end_s)}. {unsure}".rstrip(),
        )
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


def _path_words(timed_task: Timed) -> str:
    """The critical path, step by step."""
    path = critical(timed_task)
    steps = timed_task.routine.steps
    told: list[tuple[float, str]] = []
    before: int | None = None
    for step, group in groupby(path, key=lambda at: timed_task.tasks[at].step):
        many = list(group)
        seconds = math.fsum(
            timed_task.times[1][at].end - timed_task.times[1][at].start for at in many
        )
        waits = before is not None and before not in timed_task.tasks[many[0]].after
        times = f", {len(many)} times" if len(many) > 1 else ""
        hands = ", once hands are free" if waits else ""
        told.append((seconds, f"{steps[step].text}{times} {seconds_words(seconds)}{hands}"))
        before = many[-1]
    if len(told) > MOST_ON_PATH:
        least = sorted(seconds for seconds, _ in told)[-MOST_ON_PATH]
        named = [pair for pair in told if pair[0] >= least][:MOST_ON_PATH]
        rest = math.fsum(seconds for seconds, _ in told) - math.fsum(s for s, _ in named)
        few = len(told) - len(named)
        told = [*named, (rest, f"{few} shorter steps {seconds_words(rest)}")]
    return "; ".join(words for _, words in told)


def _more_hands(timed_task: Timed) -> str:
    """What another pair of hands would save; empty where it saves nothing."""
    routine = timed_task.routine
    if routine.hands >= MOST_HANDS_TRIED:
        return ""
    other = timed(routine._replace(hands=routine.hands + 1)).end_s[1]
    if other > timed_task.end_s[1] - 1:
        return ""
    saved = timed_task.end_s[1] - other
    return f"With {routine.hands + 1} pairs of hands it ends {_down(saved)} sooner, likely."


# the sheet


def routines(plan: Planned) -> "list[RoutineSheet]":
    """Each routine whose drinks are all planned."""
    planned = {portion.serve.name: portion for portion in plan.portions}
    return [
        _said(plan, routine, planned)
        for routine in plan.recipe.routines
        if all(drink.name in planned for drink in routine.drinks)
    ]


def _said(plan: Planned, routine: Routine, planned: Mapping[str, ServeContents]) -> "RoutineSheet":
    found = {drink.name: _found(plan, planned[drink.name]) for drink in routine.drinks}
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


def _found(plan: Planned, portion: ServeContents) -> tuple[Caution, ...]:
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
    said += [
        caution
        for stocked in plan.stocked
        if stocked.item.id in behind
        for caution in stocked.found
    ]
    once = {
        caution.id: caution
        for caution in said
        if caution.severity != "note" and not caution.standing
    }
    return cautions.ordered(once.values())


def _verdict(portion: ServeContents, found: Iterable[Caution]) -> str:
    return "stop" if portion.held_by else cautions.verdict(found)


def _told(found: Mapping[str, Iterable[Caution]]) -> "list[RoutineCaution]":
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
    plan: Planned, one: Timed | None, drink: RoutineDrink, portion: ServeContents, verdict: str,
    routine: Routine,
) -> "RoutineDrinkSheet":  # fmt: skip
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


def _window_said(answer: Answer) -> "WindowSheet":
    values = {name: float(value.value) for name, value in answer.values.items()}
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


def _inside(window: "WindowSheet", when: Drunk, known: bool) -> tuple[Inside, str]:
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


def _steps(timed_task: Timed) -> "list[RoutineStepSheet]":
    """The tasks by their likely start; the same step for glass after glass is one line."""
    fast, likely, slow = timed_task.times
    path = set(critical(timed_task))
    glasses = {drink.name: drink.serves for drink in timed_task.routine.drinks}
    out: list[RoutineStepSheet] = []
    last: dict[tuple[int, ...], tuple[int, int]] = {}  # by hands: the line, and its last task
    for at in timed_task.order:
        task = timed_task.tasks[at]
        people = timed_task.people[at]
        line, before = last.get(people, (0, -1))
        if (
            people and before >= 0 and timed_task.tasks[before].step == task.step
            and timed_task.tasks[before].drinks == task.drinks
            and task.glass == timed_task.tasks[before].glass + 1
            and likely[at].start - likely[before].end < 0.5
        ):  # fmt: skip
            row = out[line]
            row["end_s"], row["earliest_s"] = likely[at].end, fast[at].end
            row["latest_s"] = slow[at].end
            row["glasses"][1] = task.glass
            row["critical"] = row["critical"] or at in path
            last[people] = (line, at)
            continue
        step = timed_task.routine.steps[task.step]
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
