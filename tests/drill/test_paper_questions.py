"""Every template makes fair questions: one right answer, wrong ones that are told apart."""

from __future__ import annotations

import re
from random import Random
from typing import Any

import pytest

from prepkit import cautions, sources
from prepkit.draws import below, draw, generator, one_of, shuffled
from prepkit.drill.paper import NOTHING, VERDICTS, Question, make
from prepkit.drill.templates import LEVELS, TOPICS, Template, templates
from prepkit.drill.traps import TRAPS
from prepkit.registry import load, run

SEEDS = range(6)
ALL = [(topic, one) for topic in TOPICS for one in templates(topic)]
IDS = [one.id for _, one in ALL]
FAULTS = [one for one in templates("siphon") if one.answer == "fault"]


def made(template: Template, seed: int) -> Question:
    """One question of a template."""
    return make(template, generator("test", template.id, seed), 1, FAULTS)


# draws


class Scripted(Random):
    """A generator that gives out what it is told and may be asked for nothing else."""

    def __init__(self, *values: float) -> None:
        self._values = list(values)
        super().__init__(0)

    def random(self) -> float:
        return self._values.pop(0)

    def getrandbits(self, _bits: int) -> int:
        raise AssertionError("only random() gives the same run of numbers everywhere")


def test_a_draw_uses_one_number_for_each_name() -> None:
    spec: dict[str, Any] = {
        "fill": {"from": 400, "to": 500, "step": 25},
        "share": {"from": 0.5, "to": 1.5, "step": 0.1},
        "gas": ["n2o", "co2"],
        "vessel": [{"a": 1, "b": 2}, {"a": 3, "b": 4}],
    }
    assert draw(Scripted(0.0, 0.999, 0.5, 0.0), spec) == {
        "fill": 400, "share": 1.5, "gas": "co2", "a": 1, "b": 2,
    }  # fmt: skip


def test_below_stays_below() -> None:
    assert below(Scripted(0.999999999999), 3) == 2
    assert below(Scripted(0.0), 3) == 0
    assert one_of(Scripted(0.7), ["a", "b"]) == "b"


def test_shuffled_keeps_every_item() -> None:
    assert sorted(shuffled(generator("x"), range(20))) == list(range(20))


# the data


def test_every_topic_has_each_level() -> None:
    for topic in TOPICS:
        assert {one.level for one in templates(topic)} == set(LEVELS), topic


def test_ids_are_unique() -> None:
    assert len(IDS) == len(set(IDS))


@pytest.mark.parametrize(("topic", "template"), ALL, ids=IDS)
def test_template_is_whole(topic: str, template: Template) -> None:
    assert template.id.startswith(f"{topic}-") or template.id.startswith("fault-")
    assert template.level in LEVELS
    assert set(template.inputs) <= set(load(template.calculator).inputs.specs())
    assert template.traps
    assert {one.trap for one in template.traps} <= set(TRAPS)
    assert template.sources
    for key in template.sources:
        assert sources.find(key) is not None, key
    assert template.text.endswith((".", "?", ".)"))
    # who decides is a person or an authority, and the paper is none
    assert re.search(r"decides?\b", template.decides)
    if topic in ("siphon", "room", "cryogen"):
        assert "no leave to" in template.decides
        assert "competent person" in template.decides


@pytest.mark.parametrize(("topic", "template"), ALL, ids=IDS)
def test_question_is_fair(topic: str, template: Template) -> None:
    for seed in SEEDS:
        question = made(template, seed)
        assert sum(choice.right for choice in question.choices) == 1
        assert len({choice.words for choice in question.choices}) == len(question.choices)
        assert len(question.choices) >= 3
        assert "{" not in question.text
        assert question.taught.id in {row.id for row in cautions.rows()}
        for choice in question.choices:
            if choice.right:
                assert choice.trap == ""
            elif question.kind == "number":
                assert choice.trap in {one.trap for one in template.traps}
                off = abs(float(choice.value) - float(question.right))
                assert off > question.tolerance, choice


@pytest.mark.parametrize(("topic", "template"), ALL, ids=IDS)
def test_the_right_answer_is_the_calculators(topic: str, template: Template) -> None:
    question = made(template, 3)
    again = run(template.calculator, question.said)
    if question.kind == "verdict":
        assert question.right == again.verdict
    elif question.kind == "fault":
        assert question.right in {caution.id for caution in again.cautions}
    elif isinstance(template.answer, str):
        assert question.right == again.values[template.answer].value
        assert question.unit == again.values[template.answer].unit
    else:
        cells = [cell for table in again.tables for row in table.rows for cell in row]
        assert question.right in cells


@pytest.mark.parametrize(("topic", "template"), ALL, ids=IDS)
def test_every_trap_of_a_question_can_be_fallen_into(topic: str, template: Template) -> None:
    seen: set[str] = set()
    for seed in range(40):
        question = made(template, seed)
        seen |= {choice.trap for choice in question.choices}
        if seen >= {one.trap for one in template.traps}:
            return
    missing = {one.trap for one in template.traps} - seen
    # a verdict's trap may share its wrong verdict with another; it is marked all the same
    assert template.answer == "verdict", missing
    assert seen - {""}


@pytest.mark.parametrize(
    "template", [one for _, one in ALL if one.answer == "verdict"], ids=lambda one: one.id
)
def test_verdict_questions_of_gas_and_pressure_never_end_in_clear(template: Template) -> None:
    for seed in range(12):
        question = made(template, seed)
        assert [choice.words for choice in question.choices] == list(VERDICTS.values())
        assert any(miss.value != question.right for miss in question.misses)
        if template.calculator in ("siphon", "room", "cryogen"):
            assert question.right != "clear"


# the planted fault


@pytest.mark.parametrize("template", FAULTS, ids=lambda one: one.id)
def test_one_fault_is_planted_and_it_is_the_gravest(template: Template) -> None:
    for seed in SEEDS:
        question = made(template, seed)
        triggered = [c for c in question.answer.cautions if not c.standing and c.severity != "note"]
        stops = [c.id for c in triggered if c.severity == "stop"]
        assert template.caution in {c.id for c in triggered}
        if question.answer.verdict == "stop":
            assert stops == [template.caution]
        named = {str(choice.value) for choice in question.choices if not choice.right}
        assert not named & {c.id for c in triggered}, "a wrong choice must not be true as well"
        assert question.choices[-1].words == NOTHING


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
    labels = [label for label, _ in question.plate]
    assert labels[:3] == ["total volume", "maximum fill", "working pressure"]


def test_the_sound_loads_are_sound() -> None:
    """Without its planted fault each load of the data is clear."""
    import tomllib

    from prepkit import blocks
    from prepkit.draws import filled, words

    loads = tomllib.loads(blocks.read("drills/siphon.toml"))["load"]
    for name, load_ in loads.items():
        for seed in range(12):
            texts = words(draw(generator(name, seed), load_["draw"]))
            said = {key: filled(value, texts) for key, value in load_["inputs"].items()}
            assert run("siphon", said).verdict == "clear", (name, said)
