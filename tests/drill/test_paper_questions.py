"""Every template makes fair questions: one right answer, wrong ones that are told apart."""

from __future__ import annotations

import pytest

from prepkit.draws import generator
from prepkit.drill.choices import QuestionWanted
from prepkit.drill.paper import _PLATE_WORDS, _WORN, NOTHING, Question, make
from prepkit.drill.templates import PLATE, TOPICS, Template, templates

SEEDS = range(6)
ALL = [(topic, one) for topic in TOPICS for one in templates(topic)]
IDS = [one.id for _, one in ALL]
FAULTS = [one for one in templates("siphon") if one.answer == "fault"]


def made(template: Template, seed: int) -> Question:
    """One question of a template."""
    return make(template, generator("test", template.id, seed), 1, FAULTS)


# draws


# the planted fault


@pytest.mark.parametrize("template", FAULTS, ids=lambda one: one.id)
def test_one_fault_is_planted_and_it_is_the_gravest(template: Template) -> None:
    for seed in SEEDS:
        question = made(template, seed)
        assert question.answer is not None
        triggered = [c for c in question.answer.cautions if not c.standing and c.severity != "note"]
        stops = [c.id for c in triggered if c.severity == "stop"]
        assert template.caution in {c.id for c in triggered}
        if question.answer.verdict == "stop":
            assert stops == [template.caution]
        named = {str(choice.value) for choice in question.choices if not choice.right}
        assert not named & {c.id for c in triggered}, "a wrong choice must not be true as well"
        assert NOTHING in [choice.words for choice in question.choices]


@pytest.mark.parametrize("template", FAULTS, ids=lambda one: one.id)
def test_plate_and_job_hold_all_that_the_fault_rests_on(template: Template) -> None:
    question = made(template, 1)
    shown = " ".join(value for _, value in (*question.plate, *question.job))
    for name, value in question.said.items():
        if name != "charger_volume":
            for one in value if isinstance(value, list) else [value]:
                assert one in shown, name
    for name in template.unreadable:
        assert name not in question.said
    sound = make(template, generator("plate", template.id), 1, FAULTS, QuestionWanted(sound=True))
    for one in (question, sound):  # no line tells by its absence
        assert [label for label, _ in one.plate] == [_PLATE_WORDS[name] for name in PLATE]
        worn = [name for name, (_, value) in zip(PLATE, one.plate, strict=True) if value == _WORN]
        assert worn == [name for name in PLATE if name not in one.said]


@pytest.mark.parametrize("template", FAULTS, ids=lambda one: one.id)
def test_a_load_without_its_fault_is_sound(template: Template) -> None:
    for seed in SEEDS[:3]:
        rng = generator("sound", template.id, seed)
        question = make(template, rng, 1, FAULTS, QuestionWanted(places=(seed,), sound=True))
        assert question.shown == NOTHING
        assert question.place == seed
        assert question.answer is not None
        assert question.answer.verdict == "clear"
        assert all(choice.done for choice in question.choices if not choice.right)
