"""routine: who does what and when, the critical path, each drink beside its window, bad input."""

from __future__ import annotations

import json
import random
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.cli import cli
from prepkit.errors import BadInput, BadRecipe
from prepkit.plan.plan import load_recipe, make_plan, read_recipe
from prepkit.plan.recipe_types import Routine, RoutineDrink, RoutineStep
from prepkit.plan.routine import ENDS, Timed, critical, drunk, timed
from prepkit.units import Measured

DEMO = Path(__file__).parents[2] / "recipes"
HEAD = """
title = "Trial"
serves = 2
[items.base]
calculator = "blend"
part = ["60 ml spirit 43 %", "90 ml water"]
[items.hot-base]
calculator = "blend"
part = ["300 ml filter coffee", "30 ml syrup 65 Bx"]
[[serve]]
name = "Night Tide"
part = ["150 ml base"]
[[serve]]
name = "Ember"
part = ["200 ml hot-base"]
"""
COLD = """
[[routine.drink]]
name = "Night Tide"
serves = 2
temperature = "0 C"
ice = "120 g"
room = "22 C"
want = ["temperature=at most 6 C", "dilution=at most 20 %"]
sips = "3 min ± 30 s"
"""
HOT = """
[[routine.drink]]
name = "Ember"
temperature = "58 C"
room = "22 C"
want = ["temperature=45 C to 60 C"]
"""
STEPS = """
[[routine.step]]
text = "Brew"
drink = "Ember"
takes = "60 s ± 5 s"
hands = 0
[[routine.step]]
text = "Shake with ice"
drink = "Night Tide"
takes = "15 s ± 3 s"
[[routine.step]]
text = "Pour and ice"
drink = "Night Tide"
takes = "10 s ± 2 s"
each = true
pour = true
[[routine.step]]
text = "Pour the coffee"
drink = "Ember"
takes = "15 s ± 3 s"
pour = true
[[routine.step]]
text = "Carry"
takes = "20 s ± 5 s"
"""


def routine_text(
    clock: str = 'clock = "3 min"', drinks: str = COLD + HOT, steps: str = STEPS
) -> str:
    return f'{HEAD}[[routine]]\nname = "Stage"\n{clock}\n{drinks}{steps}'


def said(text: str) -> Any:
    """The routine as the plan of a recipe says it."""
    return make_plan(read_recipe(text, "trial.toml")).to_dict()["routines"][0]


def ran(*words: str) -> Any:
    return CliRunner().invoke(cli, ["routine", *words])


def test_the_worked_routine() -> None:
    # by hand: the brew runs alone to 60 s; hands shake to 15, pour to 25 and 35, wait, pour the
    # coffee from 60 to 75, carry to 95. Longest: 65 + 18 + 25 = 108; shortest: 55 + 12 + 15 = 82.
    one = said(routine_text())
    assert one["end_s"] == pytest.approx([82, 95, 108])
    assert one["in_time"] == "sure"
    assert one["headline"] == "In time by 1 min 12 s for sure, likely by 1 min 25 s."
    assert one["critical"] == "Brew 1 min; Pour the coffee 15 s; Carry 20 s"
    tide, ember = one["drinks"]
    # the first glass stands from 25 s, the second from 35 s, both are set down at 95 s
    assert tide["first_sip_min"][1:3] == pytest.approx([60 / 60, 70 / 60])
    assert tide["inside"] == ember["inside"] == "sure"
    # the earliest: 17 % less of what lies between; never outside these
    assert tide["first_sip_min"][0] <= 1.0 <= 70 / 60 <= tide["first_sip_min"][3]


@pytest.mark.parametrize(
    ("clock", "word", "words"),
    [
        ("", "", "Done after 1 min 35 s, 1 min 22 s to 1 min 48 s."),
        ("clock = 100", "likely", "In time by 5 s, likely. Over by 8 s if all steps take longest."),
        ("clock = 90", "over", "Over by 5 s, likely."),
        ('clock = "1 min"', "over", "Over by 35 s, by 22 s even at its best."),
    ],
)
def test_in_time_or_over(clock: str, word: str, words: str) -> None:
    one = said(routine_text(clock))
    assert (one["in_time"], one["headline"]) == (word, words)


def test_without_a_spread_nothing_is_sure() -> None:
    one = said(routine_text(steps=STEPS.replace('"15 s ± 3 s"', "15", 1)))
    assert one["in_time"] == "likely"
    assert 'Not sure: "Shake with ice" has no ±.' in one["headline"]
    assert {drink["inside"] for drink in one["drinks"]} == {"likely"}


def test_more_hands_are_said_only_where_they_save_time() -> None:
    assert said(routine_text())["more_hands"] == ""
    alone = STEPS.replace("hands = 0\n", "")
    assert (
        "With 2 pairs of hands it ends 35 s sooner" in said(routine_text(steps=alone))["more_hands"]
    )


def test_late_early_and_never() -> None:
    late = routine_text(steps=STEPS.replace('"20 s ± 5 s"', '"20 min ± 5 s"'))
    tide = said(late)["drinks"][0]
    assert tide["inside"] == "out"
    assert re.fullmatch(r"too late by .* s; the dilution ends its window", tide["words"])
    assert "Night Tide and Ember: drunk outside the window." in said(late)["headline"]
    early = routine_text(drinks=COLD + HOT.replace("45 C to 60 C", "30 C to 45 C"))
    assert said(early)["drinks"][1]["words"].startswith("too early by")
    never = COLD.replace('"dilution=at most 20 %"', '"dilution=at least 90 %"')
    assert said(routine_text(drinks=never + HOT))["drinks"][0]["words"].startswith("at no time")


def test_a_hot_drink_is_judged_at_its_first_sip() -> None:
    # its window begins later, when it is cooler; it is drunk at once, at 75 C
    hot = HOT.replace("58 C", "75 C")
    one = said(routine_text(drinks=COLD + hot))
    assert one["verdict"] == "stop"
    assert one["headline"] == "Ember must not be served."
    assert (one["end_s"], one["steps"], one["critical"]) == ([], [], "")
    assert not any(drink["first_sip_min"] or drink["window"] for drink in one["drinks"])
    plan = make_plan(read_recipe(routine_text(drinks=COLD + hot), "trial.toml"))
    assert plan.verdict == "stop"
    assert "parts" not in plan.to_dict()["serve"][1]


def test_what_is_stopped_behind_a_drink_stops_its_routine() -> None:
    bad = routine_text().replace("300 ml filter coffee", '300 ml filter coffee", "5 g foxglove')
    one = said(bad)
    assert one["verdict"] == "stop"
    assert one["cautions"][0]["severity"] == "stop"


def test_two_at_once_two_hands_and_beside() -> None:
    both = said(routine_text(steps="""
[[routine.step]]
text = "Lift the block"
takes = "10 s ± 1 s"
hands = 2
[[routine.step]]
text = "Brew"
takes = "40 s ± 1 s"
drink = "Ember"
hands = 0
[[routine.step]]
text = "Chill the glass"
takes = "20 s ± 1 s"
drink = "Ember"
beside = true
[[routine.step]]
text = "Pour"
takes = "10 s ± 1 s"
pour = true
""").replace('name = "Stage"', 'name = "Stage"\nhands = 2'))  # fmt: skip
    rows = {one["text"]: (one["start_s"], one["end_s"], one["people"]) for one in both["steps"]}
    assert rows["Lift the block"] == (0, 10, [1, 2])
    assert rows["Brew"][:2] == (10, 50)
    assert rows["Chill the glass"][:2] == (10, 30)
    assert rows["Pour"][:2] == (50, 60)  # after both


def test_what_waits_for_two_hands_is_not_overtaken() -> None:
    step = [RoutineStep("a", Measured(10, "s", 1), ("A",)),
            RoutineStep("b", Measured(5, "s", 1), ("B",), hands=2),
            RoutineStep("c", Measured(30, "s", 1), ("C",))]  # fmt: skip
    one = timed(made(step, hands=2))
    assert [times.start for times in one.times[1]] == [0, 10, 15]


def made(steps: list[RoutineStep], hands: int = 1, serves: int = 1) -> Routine:
    names = sorted({name for step in steps for name in step.drinks})
    drinks = tuple(RoutineDrink(name, serves, Measured(0, "s"), {}) for name in names)
    return Routine("R", hands, None, drinks, tuple(steps), "r.toml", 1)


@st.composite
def routines(draw: st.DrawFn) -> Routine:
    names = ("A", "B", "C")[: draw(st.integers(1, 3))]
    hands = draw(st.integers(1, 3))
    steps = []
    for _ in range(draw(st.integers(1, 7))):
        seconds = draw(st.integers(0, 60))
        steps.append(
            RoutineStep(
                "step", Measured(seconds, "s", draw(st.integers(0, seconds))),
                tuple(draw(st.sets(st.sampled_from(names), min_size=1))),
                draw(st.integers(0, hands)), draw(st.booleans()), False, draw(st.booleans()),
            )
        )  # fmt: skip
    last = [RoutineStep("pour", Measured(5, "s", 1), (name,), 1, True, True) for name in names]
    end = RoutineStep("carry", Measured(5, "s", 2), names, 1)
    return made([*steps, *last, end], hands, draw(st.integers(1, 3)))


def at(one: Timed, seconds: list[float]) -> list[float]:
    """The ends of all tasks with these lengths, in the order that is settled."""
    ends = [0.0] * len(one.tasks)
    for task in one.order:
        ends[task] = max((ends[before] for before in one.before[task]), default=0.0) + seconds[task]
    return ends


@settings(deadline=None, max_examples=60)
@given(routine=routines(), seed=st.integers(0, 10_000))
def test_any_times_within_their_spreads_lie_within_the_bounds(routine: Routine, seed: int) -> None:
    one = timed(routine)
    draw = random.Random(seed)
    steps = [routine.steps[task.step].takes for task in one.tasks]
    seconds = [draw.uniform(step - step.plus_minus, step + step.plus_minus) for step in steps]
    ends = at(one, seconds)
    fast, _, slow = (max(times.end for times in each) for each in one.times)
    assert fast - 1e-6 <= max(ends) <= slow + 1e-6
    for drink in routine.drinks:
        when = drunk(one, drink)
        assert when is not None
        for glass in range(1, drink.serves + 1):
            own = [n for n, task in enumerate(one.tasks)
                   if drink.name in task.drinks and task.glass in (0, glass)]  # fmt: skip
            pour = next(n for n in own if routine.steps[one.tasks[n].step].pour)
            age = (max(ends[n] for n in own if n >= pour) - ends[pour]) / 60
            assert when.first[0] - 1e-9 <= age <= when.first[3] + 1e-9


@settings(deadline=None, max_examples=60)
@given(routine=routines())
def test_a_pair_of_hands_does_one_thing_at_a_time_in_order(routine: Routine) -> None:
    one = timed(routine)
    assert sorted(one.order) == list(range(len(one.tasks)))
    for each, end in zip(one.times, ENDS, strict=True):
        assert end in ENDS
        for person in range(1, routine.hands + 1):
            busy = sorted(each[n] for n, people in enumerate(one.people) if person in people)
            assert all(first.end <= then.start + 1e-9 for first, then in pairwise(busy))
        for n, task in enumerate(one.tasks):
            assert len(one.people[n]) == routine.steps[task.step].hands
            assert all(each[before].end <= each[n].start + 1e-9 for before in task.after)
    path = critical(one)
    likely = one.times[1]
    assert likely[path[0]].start == 0
    assert likely[path[-1]].end == one.end_s[1]
    assert all(likely[a].end == likely[b].start for a, b in pairwise(path))  # no time is lost on it


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('name = "Ember"\ntemp', 'name = "Embers"\ntemp', 'no serve here is "Embers"'),
        ('name = "Ember"\ntemp', 'name = "Night Tide"\ntemp', '"Night Tide" is written twice'),
        ('drink = "Ember"', 'drink = "Amber"', 'no [[routine.drink]] is "Amber"'),
        ('takes = "60 s ± 5 s"', 'takes = "60 g"', "routine 1.step 1.takes"),
        ('takes = "60 s ± 5 s"', 'takes = "5 s ± 60 s"', "the ± is at most the time itself"),
        ('takes = "60 s ± 5 s"\n', "", "it is missing; write how long"),
        ("hands = 0", "hands = 3", "it is 3, and the routine has 1"),
        ("hands = 0", "beside = true", 'no step before "Brew" is of the same drink'),
        ("pour = true", "", 'no step of "Night Tide" has pour = true'),
        ('takes = "20 s ± 5 s"', "takes = 20\npour = true", "has 2 steps with pour = true"),
        ("serves = 2\ntemp", "serves = 201\ntemp", "a whole number from 1 to 200"),
        ('ice = "120 g"', 'part = "1 l water"', "stands in its [[serve]]"),
        ('ice = "120 g"', "first_sip = 3", "the first sip follows from the steps"),
        ('ice = "120 g"', 'icy = "120 g"', "icy"),
        ("dilution=at most 20 %", "froth=yes", "routine 1.drink 1.want"),
        ('clock = "3 min"', 'clock = "0 s"', "it must be from 1 to 14400 s"),
        ('clock = "3 min"', 'clok = "3 min"', 'the key "clok" is not known here'),
    ],
)
def test_bad_input_is_one_sentence_at_its_place(old: str, new: str, words: str) -> None:
    text = routine_text()
    assert old in text
    with pytest.raises(BadRecipe) as error:
        make_plan(read_recipe(text.replace(old, new, 1), "trial.toml"))
    told = error.value.message
    assert words in told
    assert told.startswith("trial.toml:")
    assert "\n" not in told


def test_no_drink_no_step_a_name_twice_and_too_much() -> None:
    for text, words in (
        (routine_text(drinks=""), "there is none; write [[routine.drink]]"),
        (routine_text(steps=""), "there is none; write [[routine.step]]"),
        (routine_text() + '[[routine]]\nname = "Stage"\n' + COLD + STEPS, '"Stage" is taken'),
        (routine_text(drinks=COLD + HOT + '[[routine.drink]]\nname = "Ember"\n'), "twice"),
        (routine_text(steps=STEPS.replace('"20 s ± 5 s"', "5\neach = true")
                      .replace('"15 s ± 3 s"', "5\neach = true", 1))
         .replace("serves = 2\ntemp", "serves = 200\ntemp"), "at most 600 are timed"),
    ):  # fmt: skip
        with pytest.raises(BadRecipe, match=re.escape(words)):
            make_plan(read_recipe(text, "trial.toml"))


def test_the_command_in_each_form(tmp_path: Path) -> None:
    file = tmp_path / "trial.toml"
    file.write_text(routine_text(), encoding="utf-8")
    text = ran(str(file)).output
    assert text.startswith("routine: CLEAR   Stage. In time by 1 min 12 s for sure")
    assert max(map(len, text.splitlines())) <= 80
    assert "Runs by itself" in text
    found = json.loads(ran(str(file), "--json").output)["routines"][0]
    assert found == json.loads(ran(str(file), "--format", "json").output)["routines"][0]
    assert found["end_s"] == pytest.approx([82, 95, 108])
    drawn = ran(str(file), "--format", "svg").output
    assert drawn.startswith("<svg")
    assert "Night Tide: inside its window for sure" in drawn
    page = ran(str(file), "--format", "html").output
    assert "<script" not in page
    assert "Runs by itself" in page
    assert "<svg" in page
    more = ran(str(file), "--serves", "Night Tide=6, Ember=2", "--hands", "2").output
    assert "Night Tide, 6 glasses" in more
    assert "Hands 2" in more


@pytest.mark.parametrize(
    ("words", "said_"),
    [
        (("--name", "Stagg"), "the nearest are Stage"),
        (("--hands", "many"), "give a whole number from 1 to 8"),
        (("--serves", "0"), "from 1 to"),
        (("--serves", "Night Tide=300, Ember=2"), "a routine has 1 to 200"),
        (("--serves", "Night Tide=3"), "Ember"),
    ],
)
def test_bad_options(tmp_path: Path, words: tuple[str, ...], said_: str) -> None:
    file = tmp_path / "trial.toml"
    file.write_text(routine_text(), encoding="utf-8")
    found = ran(str(file), *words)
    assert isinstance(found.exception, BadInput)
    assert said_ in str(found.exception)


def test_a_stop_is_exit_3_and_has_no_picture(tmp_path: Path) -> None:
    file = tmp_path / "trial.toml"
    file.write_text(routine_text(drinks=COLD + HOT.replace("58 C", "75 C")), encoding="utf-8")
    found = ran(str(file))
    assert found.exit_code == 3
    assert found.output.startswith("routine: STOP   Stage. Ember must not be served.")
    assert "min:s" not in found.output
    drawn = ran(str(file), "--format", "svg")
    assert drawn.exit_code == 3
    assert "svg" not in drawn.output


def test_a_recipe_without_one_says_so() -> None:
    found = ran(str(DEMO / "free-otter.toml"))
    assert isinstance(found.exception, BadRecipe)
    assert "it has no routine; write [[routine]]" in str(found.exception)


def test_a_menu_has_those_of_its_recipes_and_its_own() -> None:
    recipe = load_recipe(DEMO / "menu.toml")
    assert [one.name for one in recipe.routines] == ["Two at the bar", "Table of four"]
    plan = make_plan(recipe).to_dict()
    assert [one["in_time"] for one in plan["routines"]] == ["sure", "sure"]
    assert {one["inside"] for one in plan["routines"][1]["drinks"]} <= {"sure", "likely"}


def test_a_variant_without_the_drink_has_no_routine_of_it() -> None:
    other = (
        routine_text()
        + """
[variant.dry]
[[variant.dry.serve]]
name = "Other"
part = ["150 ml base"]
"""
    )
    assert read_recipe(other, "trial.toml", variant="dry").routines == ()
    assert read_recipe(other, "trial.toml").routines
