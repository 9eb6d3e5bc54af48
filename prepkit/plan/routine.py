"""A routine: timed steps of some drinks, some pairs of hands, and when each step is done.

A step waits for the step before it of the same drink. A free pair of hands takes the first step, in
the order written, that is ready. Who does what, and in which order, is settled at the likely times
and kept at all others: each time is then later where any step is longer, so that the shortest and
the longest of all steps give bounds of every time.
"""

import heapq
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from prepkit.errors import BadInput, named
from prepkit.numbers import nearest
from prepkit.plan.files import Reader
from prepkit.plan.recipe_types import Routine, RoutineDrink, RoutineStep
from prepkit.record import Record

if TYPE_CHECKING:
    from prepkit.plan.recipe_file import RoutineStepTable, RoutineTable

MOST_TASKS = 600
MOST_HANDS = 8  # pairs of hands
MOST_GLASSES = 200  # of one drink
ENDS = (-1, 0, 1)  # the shortest, the likely and the longest of each step

# reading


def routines_of(
    reader: Reader,
    rows: "Sequence[RoutineTable]",
    serves: Collection[str],
    taken: Iterable[str] = (),
) -> tuple[Routine, ...]:
    """The routines of a file; `serves` are the drinks that there are. Raises or tells Wrong."""
    names_taken = set(taken)
    found = []
    for place, said in enumerate(rows):
        if not said.name or not said.drink or not said.step:  # what was refused has been told
            continue
        if said.name in names_taken:
            reader.tell(
                reader.wrong(
                    ("routine", place, "name"),
                    f'"{said.name}" is taken; give each routine its own name.',
                )
            )
            continue
        names_taken.add(said.name)
        one = reader.take(None, _routine, reader, place, said, serves)
        if one is not None:
            found.append(one)
    return tuple(found)


def _routine(
    reader: Reader, place: int, said: "RoutineTable", serves: Collection[str]
) -> Routine | None:
    drinks: dict[str, RoutineDrink] = {}
    for number, drink in enumerate(said.drink):
        where = ("routine", place, "drink", number)
        if drink.name not in serves and reader.variant is not None:
            return None  # a routine of drinks that this variant does not have
        if drink.name not in serves:
            raise reader.wrong(
                (*where, "name"), f'no serve here is "{drink.name}"; {nearest(drink.name, serves)}.'
            )
        if drink.name in drinks:
            raise reader.wrong(
                (*where, "name"),
                f'"{drink.name}" is written twice; write serves = 2 for two of it.',
            )
        for key, why in (
            ("part", "what is in the glass stands in its [[serve]]"),
            ("first_sip", "the first sip follows from the steps"),
        ):
            if key in drink.others:
                raise reader.wrong((*where, key), f"{why}; leave it out.")
        drinks[drink.name] = RoutineDrink(drink.name, drink.serves, drink.sips, drink.others)
    steps = [
        _step(reader, ("routine", place, "step", number), step, said, tuple(drinks))
        for number, step in enumerate(said.step)
    ]
    _whole(reader, place, tuple(drinks.values()), steps)
    return Routine(
        said.name, said.hands, said.clock, tuple(drinks.values()), tuple(steps), reader.file,
        place + 1,
    )  # fmt: skip


def _step(
    reader: Reader, where: tuple[str | int, ...], one: "RoutineStepTable", said: "RoutineTable",
    drinks: tuple[str, ...],
) -> RoutineStep:  # fmt: skip
    for name in one.drink:
        if name not in drinks:
            raise reader.wrong(
                (*where, "drink"),
                f'no [[routine.drink]] is "{name}"; {nearest(name, drinks)}.',
            )
    if one.hands > said.hands:
        raise reader.wrong(
            (*where, "hands"),
            f"it is {one.hands}, and the routine has {said.hands}; correct one of the two.",
        )
    of = tuple(dict.fromkeys(one.drink)) or drinks
    return RoutineStep(one.text, one.takes, of, one.hands, one.each, one.pour, one.beside)


def _whole(
    reader: Reader, place: int, drinks: Sequence[RoutineDrink], steps: Sequence[RoutineStep]
) -> None:
    """Each drink has steps and, where a window is asked for, one pour. Raises Wrong."""
    started: set[str] = set()
    for number, step in enumerate(steps):
        if step.beside and not started.issuperset(step.drinks):
            raise reader.wrong(
                ("routine", place, "step", number, "beside"),
                f'no step before "{step.text}" is of the same drink; leave beside out.',
            )
        started |= set(step.drinks)
    if (tasks := _done(drinks, steps)) > MOST_TASKS:
        raise reader.wrong(
            ("routine", place),
            f"its steps are done {tasks} times in all; at most {MOST_TASKS} are timed. Time a part "
            "of the pass.",
        )
    for number, drink in enumerate(drinks):
        where = ("routine", place, "drink", number)
        pours = [step for step in steps if step.pour and drink.name in step.drinks]
        if drink.name not in started:
            raise reader.wrong(where, f'no step is for "{drink.name}"; write its steps.')
        if len(pours) > 1:
            raise reader.wrong(
                where, f'"{drink.name}" has {len(pours)} steps with pour = true; leave the one '
                "after which it is in its glass.",
            )  # fmt: skip
        if drink.window and not pours:
            raise reader.wrong(
                where, f'no step of "{drink.name}" has pour = true. Mark the one after which it is '
                "in its glass. Its minutes count from there.",
            )  # fmt: skip


# who does what, when


class Task(Record):
    """A step done once: for all glasses of its drinks, or for one glass (from 1) of one drink."""

    step: int
    drinks: tuple[str, ...]
    glass: int  # 0 for all
    after: tuple[int, ...]  # tasks that are done before it


class Times(NamedTuple):
    """When a task begins and ends, s from the start."""

    start: float
    end: float


class Timed(Record):
    """A routine with the hands and times of each task, at the shortest, likely and longest."""

    routine: Routine
    tasks: tuple[Task, ...]
    people: tuple[tuple[int, ...], ...]  # the pairs of hands of each task, from 1
    order: tuple[int, ...]  # in which they begin
    before: tuple[tuple[int, ...], ...]  # all tasks that each waits for, those of its hands too
    times: tuple[tuple[Times, ...], ...]  # by ENDS

    @property
    def end_s(self) -> tuple[float, float, float]:
        """When all is done: earliest, likely, latest."""
        fast, likely, slow = (max(times.end for times in each) for each in self.times)
        return fast, likely, slow

    @property
    def sure(self) -> bool:
        """Whether each step that takes time has a ±: without one nothing is sure."""
        return all(step.takes.plus_minus for step in self.routine.steps if step.takes)


def timed(routine: Routine) -> Timed:
    """The routine with who does what and when."""
    tasks = _tasks(routine)
    people, order = _people(routine, tasks)
    last: dict[int, int] = {}
    before: list[tuple[int, ...]] = [()] * len(tasks)
    for at in order:
        held = [last[number] for number in people[at] if number in last]
        before[at] = tuple(dict.fromkeys((*tasks[at].after, *held)))
        last |= dict.fromkeys(people[at], at)
    times = tuple(_times(routine, tasks, before, order, end) for end in ENDS)
    return Timed(routine, tasks, people, tuple(order), tuple(before), times)


def _tasks(routine: Routine) -> tuple[Task, ...]:
    glasses = {drink.name: drink.serves for drink in routine.drinks}
    done: dict[tuple[str, int], tuple[tuple[int, ...], tuple[int, ...]]] = {
        (name, glass): ((), ()) for name, many in glasses.items() for glass in range(1, many + 1)
    }  # of each glass: what the running group waits for, and the group
    found: list[Task] = []

    def add(step: int, drinks: tuple[str, ...], glass: int, of: list[tuple[str, int]]) -> None:
        beside = routine.steps[step].beside
        waits = [at for pair in of for at in done[pair][0 if beside else 1]]
        found.append(Task(step, drinks, glass, tuple(dict.fromkeys(waits))))
        new = len(found) - 1
        for pair in of:
            first, group = done[pair]
            done[pair] = (first, (*group, new)) if beside else (group, (new,))

    for number, step in enumerate(routine.steps):
        every = [(name, at) for name in step.drinks for at in range(1, glasses[name] + 1)]
        if step.each:
            for name, glass in every:
                add(number, (name,), glass, [(name, glass)])
        else:
            add(number, step.drinks, 0, every)
    return tuple(found)


def _seconds(step: RoutineStep, end: int) -> float:
    return max(0.0, float(step.takes) + end * (step.takes.plus_minus or 0.0))


def _people(
    routine: Routine, tasks: Sequence[Task]
) -> tuple[tuple[tuple[int, ...], ...], list[int]]:
    """The pairs of hands of each task, and the order in which tasks begin, at likely times."""
    waiting = [len(task.after) for task in tasks]
    users: list[list[int]] = [[] for _ in tasks]
    for at, task in enumerate(tasks):
        for before in task.after:
            users[before].append(at)
    by_hand: list[int] = []  # ready, the first written first
    alone: list[int] = []  # ready, and no hands needed

    def add(at: int) -> None:
        heapq.heappush(by_hand if routine.steps[tasks[at].step].hands else alone, at)

    for at, count in enumerate(waiting):
        if not count:
            add(at)
    free = set(range(1, routine.hands + 1))
    people: list[tuple[int, ...]] = [()] * len(tasks)
    running: list[tuple[float, int]] = []
    order: list[int] = []
    now = 0.0

    def begin(at: int, hands: int) -> None:
        own = [number for before in tasks[at].after for number in people[before]]
        people[at] = tuple(sorted(sorted(free, key=lambda one: (one not in own, one))[:hands]))
        free.difference_update(people[at])
        order.append(at)
        heapq.heappush(running, (now + _seconds(routine.steps[tasks[at].step], 0), at))

    while by_hand or alone or running:
        while alone:
            begin(heapq.heappop(alone), 0)
        # one that waits for hands is not overtaken by what is written after it
        while by_hand and (hands := routine.steps[tasks[by_hand[0]].step].hands) <= len(free):
            begin(heapq.heappop(by_hand), hands)
        now = running[0][0]
        while running and running[0][0] <= now:
            _, at = heapq.heappop(running)
            free |= set(people[at])
            for user in users[at]:
                waiting[user] -= 1
                if not waiting[user]:
                    add(user)
    return tuple(people), order


def _times(
    routine: Routine, tasks: Sequence[Task], before: Sequence[tuple[int, ...]],
    order: Iterable[int], end: int,
) -> tuple[Times, ...]:  # fmt: skip
    found = [Times(0.0, 0.0)] * len(tasks)
    for at in order:
        start = max((found[number].end for number in before[at]), default=0.0)
        found[at] = Times(start, start + _seconds(routine.steps[tasks[at].step], end))
    return tuple(found)


# what follows from it


def critical(timed_task: Timed) -> tuple[int, ...]:
    """The tasks that the end waits for, first to last, at the likely times."""
    likely = timed_task.times[1]
    at = max(range(len(likely)), key=lambda task: (likely[task].end, -task))
    path = [at]
    while timed_task.before[at]:
        at = max(
            timed_task.before[at],
            key=lambda task: (likely[task].end, task in timed_task.tasks[path[-1]].after),
        )
        path.append(at)
    return tuple(reversed(path))


class Drunk(Record):
    """Minutes from the glass to the first and to the last sip, over all glasses of a drink."""

    first: tuple[float, float, float, float]  # least, likely of the soonest and latest glass, most
    last: tuple[float, float, float, float]


def drunk(timed_task: Timed, drink: RoutineDrink) -> Drunk | None:
    """When a drink is drunk, min after it is in its glass; None where no step pours it.

    The first sip is at the end of the last step of the glass.
    """
    ages: dict[tuple[int, ...], tuple[float, float, float]] = {}
    for glass in range(1, drink.serves + 1):
        own = tuple(
            at
            for at, task in enumerate(timed_task.tasks)
            if drink.name in task.drinks and task.glass in (0, glass)
        )
        pours = [at for at in own if timed_task.routine.steps[timed_task.tasks[at].step].pour]
        if not pours:
            return None
        if own not in ages:
            ages[own] = _age(timed_task, pours[0], own)
    first = list(ages.values())
    sips, off = float(drink.sips), drink.sips.plus_minus or 0.0
    least, most = min(age[0] for age in first), max(age[2] for age in first)
    likely = [age[1] for age in first]
    seconds = (least, min(likely), max(likely), most)
    last = (least + sips - off, min(likely) + sips, max(likely) + sips, most + sips + off)
    return Drunk(_minutes(seconds), _minutes(last))


def _minutes(seconds: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    a, b, c, d = (second / 60 for second in seconds)
    return a, b, c, d


def _age(timed_task: Timed, pour: int, own: Sequence[int]) -> tuple[float, float, float]:
    """s from the end of the pour to the end of the glass's last task: least, likely, most."""
    fast, likely, _ = timed_task.times
    ends = [at for at in own if at >= pour]
    least, most = _after(timed_task, pour, -1), _after(timed_task, pour, 1)
    # what does not wait for the pour: at its latest, and the pour at its earliest
    around = _without(timed_task, pour)
    beside = [around[at] - fast[pour].end for at in ends if at in around]
    return (
        max(least.get(at, 0.0) for at in ends),
        max(likely[at].end for at in ends) - likely[pour].end,
        max([*(most.get(at, 0.0) for at in ends), *beside]),
    )


def _after(timed_task: Timed, pour: int, end: int) -> Mapping[int, float]:
    """s from the end of a task to that of each task that waits for it."""
    found = {pour: 0.0}
    for at in timed_task.order:
        waits = [found[before] for before in timed_task.before[at] if before in found]
        if waits:
            found[at] = max(waits) + _seconds(
                timed_task.routine.steps[timed_task.tasks[at].step], end
            )
    return found


def _without(timed_task: Timed, pour: int) -> Mapping[int, float]:
    """The latest end of each task over the ways to it that do not go through one task."""
    found: dict[int, float] = {}
    for at in timed_task.order:
        known = [found[before] for before in timed_task.before[at] if before in found]
        if at != pour and (known or not timed_task.before[at]):
            longest = _seconds(timed_task.routine.steps[timed_task.tasks[at].step], 1)
            found[at] = max(known, default=0.0) + longest
    return found


def changed(
    routine: Routine, serves: Mapping[str, int] | None = None, hands: int | None = None
) -> Routine:
    """The routine with other numbers of glasses or pairs of hands; BadInput beyond its limits."""
    drinks = routine.drinks
    if serves is not None:
        for one in drinks:
            many = serves[one.name]
            if not 1 <= many <= MOST_GLASSES:
                raise BadInput(
                    f"{named('serves')}: {many} of {one.name}; a routine has 1 to {MOST_GLASSES}.",
                    "serves",
                )
        drinks = tuple(drink._replace(serves=serves[drink.name]) for drink in drinks)
    most = max(step.hands for step in routine.steps)
    if hands is not None and not most <= hands <= MOST_HANDS:
        raise BadInput(
            f"{named('hands')} is {hands}; {routine.name} needs from {most} to {MOST_HANDS}.",
            "hands",
        )
    if _done(drinks, routine.steps) > MOST_TASKS:
        raise BadInput(
            f"{named('serves')}: the steps of {routine.name} would be done more than {MOST_TASKS} "
            "times; time a part of the pass.",
            "serves",
        )
    return routine._replace(drinks=drinks, hands=routine.hands if hands is None else hands)


def _done(drinks: Iterable[RoutineDrink], steps: Iterable[RoutineStep]) -> int:
    """How many times steps are done in all."""
    glasses = {drink.name: drink.serves for drink in drinks}
    return sum(sum(glasses[drink] for drink in step.drinks) if step.each else 1 for step in steps)
