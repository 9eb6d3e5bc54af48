"""The papers of a lesson: its test and its refresher, from the drills of the audience."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping

from markupsafe import Markup

from prepkit.drill.paper import Paper, make_paper
from prepkit.drill.questions import Question
from prepkit.drill.sheet import asked_html, keyed_html, why
from prepkit.language import in_figures, spoken
from prepkit.lesson.model import Facts, table

# questions of the test, and its level; None is all of them. Two minutes each, less at level 1
TEST: dict[int, tuple[int, int | None]] = {30: (6, 1), 60: (6, None), 120: (10, None)}
REFRESHER = 10

Head = Callable[..., Markup]


def test_paper(facts: Facts) -> Paper:
    """The test at the end of the lesson."""
    count, level = TEST[facts.minutes]
    return make_paper(facts.audience, count, facts.seed, level, language=facts.language)


def refresher_paper(facts: Facts) -> Paper:
    """Ten questions for the month after, other ones than those of the test."""
    count, level = TEST[facts.minutes]
    return make_paper(
        facts.audience, REFRESHER, facts.seed, level, language=facts.language, after=count
    )


def answers_file(paper: Paper) -> str:
    """A paper with nothing filled in, for `prepkit drill --check`."""
    return json.dumps(paper.blank_answers, indent=2, ensure_ascii=False) + "\n"


def sheets(facts: Facts, sheet: Head) -> dict[str, Markup]:
    """The sheets of both papers by name; `sheet` makes one of its name and what it says."""
    with spoken(facts.language):
        return _sheets(facts, sheet)


def _sheets(facts: Facts, sheet: Head) -> dict[str, Markup]:
    test, later = test_paper(facts), refresher_paper(facts)
    made: dict[str, Markup] = {}
    for name, paper in (("test", test), ("refresher", later)):
        made[name] = sheet(facts, name, macro_="paper", **_asked(facts, paper, name))
        made[f"{name}-key"] = sheet(facts, f"{name}-key", macro_="key", **_key(facts, paper))
    made["test-data"] = sheet(facts, "test-data", macro_="data", **_data(facts, test))
    made["test-long-key"] = sheet(
        facts,
        "test-long-key",
        macro_="long_key",
        seed=_seed(facts, test),
        answered=[
            {"head": _right(one), "body": Markup(keyed_html(one, 3))} for one in test.questions
        ],
    )
    return made


def _seed(facts: Facts, paper: Paper) -> str:
    """What makes the paper again."""
    count = facts.say("{count} questions", count=paper.count)
    return f"{facts.say('seed {seed}', seed=str(paper.seed))}, {count}, {paper.levels}"


def _asked(facts: Facts, paper: Paper, name: str) -> Mapping[str, object]:
    return {
        "seed": _seed(facts, paper),
        "name": facts.say("Name"),
        "on": facts.say("Date"),
        "answer": facts.say("Answer"),
        "right": facts.say("Right"),
        "about": [
            facts.say(row["text"]) for row in table("sheets")["paper"] if row["name"] == name
        ],
        "questions": [
            {"body": Markup(asked_html(one, 2)), "choices": one.choices, "unit": one.unit}
            for one in paper.questions
        ],
    }


def _right(one: Question) -> str:
    shown = one.shown if one.kind == "number" else str(one.shown).partition(":")[0]
    return f"{one.number}. {one.letter}: {shown}"


def _key(facts: Facts, paper: Paper) -> Mapping[str, object]:
    """Letter, answer, what counts as right and the likeliest mistake: a line each."""
    return {
        "seed": _seed(facts, paper),
        "headers": [
            facts.say("no."), facts.say("letter"), facts.say("answer"), facts.say("accepted"),
            facts.say("the usual mistake"),
        ],
        "rows": [
            (
                str(one.number),
                one.letter,
                one.shown,
                one.accepted if one.kind == "number" else "",
                _mistake(one),
            )
            for one in paper.questions
        ],
    }  # fmt: skip


def _mistake(one: Question) -> str:
    """A mistake in words; where STOP was wrong, why, so that no careful answer is left alone."""
    wrong = [choice for choice in one.choices if not choice.right and why(choice)]
    wrong.sort(key=lambda choice: choice.value != "stop")
    found = wrong[0] if wrong else None
    return "" if found is None else f"{found.letter}: {why(found)}"


def _data(facts: Facts, paper: Paper) -> Mapping[str, object]:
    """Every constant that a paper of the audience can need."""
    return {
        "about": [facts.say(row["text"]) for row in table("sheets")["data"]],
        "headers": [facts.say("constant"), facts.say("value"), facts.say("unit")],
        "rows": [
            (facts.say(one.words), in_figures(_plain(one.value), facts.language), one.unit)
            for one in paper.sheet
        ],
    }


def _plain(value: float) -> str:
    """A number as people write it.

    >>> _plain(543.7), _plain(1.118e-5)
    ('543.7', '1.118 × 10^-5')
    """
    number, power, exponent = f"{value:g}".partition("e")
    return f"{number} × 10^{int(exponent)}" if power else number
