"""Each topic's rows: sources, work by hand, verdicts, explanations. `pytest -k room` for one."""

from __future__ import annotations

import math
import re
import tomllib
from collections import Counter
from collections.abc import Callable, Iterable
from itertools import combinations
from statistics import mean

import pytest

from prepkit import cautions, model
from prepkit.draws import draw, filled, generator, words
from prepkit.drill.choices import BadSum, Sum
from prepkit.drill.paper import Question, make
from prepkit.drill.templates import (
    LEVELS,
    TOPICS,
    VERDICTS,
    BadRow,
    Template,
    _Reader,
    constants,
    groups,
    templates,
)  # fmt: skip
from prepkit.registry import load, run

SEEDS = 20
MOST_WORDS = 12
TEMPLATES_EACH = 12
CAUTIONS = {row.id for row in cautions.rows()}
FAULTS = [one for one in templates("siphon") if one.kind == "fault"]


_MADE: dict[str, tuple[Question, ...]] = {}


def made(template: Template) -> tuple[Question, ...]:
    """Questions of a template, made once for all the tests."""
    if template.id not in _MADE:
        _MADE[template.id] = tuple(
            make(template, generator("test", template.id, seed), 1, FAULTS) for seed in range(SEEDS)
        )
    return _MADE[template.id]


def for_all(rows: Iterable[Template], test: Callable[[Template], None]) -> None:
    """Every row is tested, and each fault told by the row's id."""
    faults = []
    for one in rows:
        try:
            test(one)
        except Exception as error:  # one row must not hide the next
            said = str(error).partition("\nassert")[0]
            faults.append(f"{one.id}: {type(error).__name__}: {said}")
    assert not faults, "\n".join(faults)


def too_long(text: str) -> list[str]:
    """The sentences of more than twelve words; a figure and its unit are one word."""
    plain = re.sub(r"\{[^{}]*\}", "9", text)
    plain = re.sub(r"(?<![\w.,])([\d.,]*\d) (?=[^\W\d]|[%°‰])", r"\1", plain)
    found = re.split(r"(?<=[.?!:;])\s+", plain)
    return [one for one in found if len(one.split()) > MOST_WORDS]


def test_a_figure_and_its_unit_are_one_word() -> None:
    assert too_long("One two three four five six seven eight nine ten 2.5 kg.") == []
    assert too_long("One two three four five six seven eight nine ten 2.5 kg more now.") != []
    assert too_long("{a} {b} c d e f g h i j k l m n") != []


# rows


def test_ids_are_unique_over_all_topics() -> None:
    many = Counter(one.id for topic in TOPICS for one in templates(topic))
    assert [name for name, times in many.items() if times > 1] == []


def test_no_two_questions_of_a_paper_about_several_topics_read_the_same() -> None:
    """Such a paper could not be made where it came to both."""
    every = [one.text for topic in TOPICS for one in templates(topic) if not one.fault]
    assert not [text for text, times in Counter(every).items() if times > 1]


def test_a_constant_is_the_same_in_every_topic() -> None:
    seen: dict[str, tuple[object, ...]] = {}
    for topic in TOPICS:
        for one in constants(topic):
            said = (one.words, one.value, one.unit)
            assert seen.setdefault(one.id, said) == said, one.id


def test_a_group_holds_topics_and_is_none() -> None:
    assert {"bar", "kitchen", "mixed"} <= set(groups())
    assert set(groups()["mixed"].topics) == set(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_sources_and_cautions_exist(topic: str) -> None:
    for one in constants(topic):
        assert model.source_of(one.source) is not None, (one.id, one.source)

    def holds(one: Template) -> None:
        for key in one.sources:
            assert model.source_of(key) is not None, f"no source is called {key}"
        for question in made(one):
            assert question.taught.id in CAUTIONS
        assert re.search(r"decides?\b", one.decides)
        if one.calculator:
            assert set(one.inputs) <= set(load(one.calculator).inputs.specs())
        if topic in ("siphon", "room", "cryogen"):
            assert "no leave to" in one.decides
            assert "competent person" in one.decides

    for_all(templates(topic), holds)


@pytest.mark.parametrize("topic", TOPICS)
def test_id_begins_with_its_topic(topic: str) -> None:
    for one in templates(topic):
        assert one.id.startswith((f"{topic}-", "fault-")), one.id


# fair questions


@pytest.mark.parametrize("topic", TOPICS)
def test_question_is_fair(topic: str) -> None:
    def holds(one: Template) -> None:
        seen: set[str] = set()
        for question in made(one):
            assert sum(choice.right for choice in question.choices) == 1
            assert len({choice.words for choice in question.choices}) == len(question.choices)
            assert len(question.choices) == (3 if question.kind == "verdict" else 4)
            assert "{" not in question.text
            for choice in question.choices:
                assert "{" not in choice.words + choice.done + choice.instead
                assert (choice.trap == "") == choice.right, f"{choice.words} is not explained"
                assert bool(choice.done) != choice.right
                if question.kind == "number" and not choice.right:
                    off = abs(float(choice.value) - float(question.right))
                    assert off > question.tolerance, choice
            seen |= {miss.trap for miss in question.misses}
        if one.kind == "number":
            missing = {bound.trap for bound in one.traps} - seen
            assert not missing, f"nothing gives the traps {missing}"

    for_all(templates(topic), holds)


@pytest.mark.parametrize("topic", TOPICS)
def test_the_right_answer_is_the_calculators(topic: str) -> None:
    def holds(one: Template) -> None:
        question = made(one)[3]
        again = run(one.calculator, question.said)
        if question.kind == "verdict":
            assert question.right == again.verdict
        elif question.kind == "fault":
            assert question.right in {caution.id for caution in again.cautions}
        elif isinstance(one.answer, str):
            assert question.right == again.values[one.answer].value
            assert question.unit == again.values[one.answer].unit
        else:
            cells = [cell for table in again.tables for row in table.rows for cell in row]
            assert question.right in cells

    for_all((one for one in templates(topic) if one.kind != "ask"), holds)


# what a whole topic has


@pytest.mark.parametrize("topic", TOPICS)
def test_twelve_templates_of_each_level(topic: str) -> None:
    many = Counter(one.level for one in templates(topic))
    assert {level: many[level] for level in LEVELS if many[level] < TEMPLATES_EACH} == {}


@pytest.mark.parametrize("topic", TOPICS)
def test_every_number_can_be_worked_by_hand(topic: str) -> None:
    def holds(one: Template) -> None:
        assert one.by_hand, "it has no by_hand"
        for question in made(one):
            found = question.by_hand[-1].value
            off = abs(found - float(question.right))
            assert off <= question.tolerance * (1 + 1e-9), (
                f"by hand {found:g}, right is {question.right:g} ± {question.tolerance:g}; "
                f"drawn {question.drawn}"
            )

    for_all((one for one in templates(topic) if one.kind == "number"), holds)


@pytest.mark.parametrize("topic", TOPICS)
def test_every_verdict_can_come_and_each_wrong_one_is_explained(topic: str) -> None:
    def holds(one: Template) -> None:
        assert one.verdicts, "it has no verdicts"
        assert any(verdict in one.text for verdict in ("verdict", "Verdict"))
        many = Counter(question.right for question in made(one))
        assert set(many) == set(one.verdicts), f"its draws give {dict(many)}"
        for verdict in VERDICTS:
            if set(one.verdicts) - {verdict}:
                assert verdict in one.why, f"why.{verdict} is missing"

    asked = [one for one in templates(topic) if one.kind == "verdict"]
    for_all(asked, holds)
    for level in LEVELS:
        can = {v for one in asked if one.level == level for v in one.verdicts}
        assert can == set(VERDICTS), f"level {level} gives {sorted(can)} alone"


@pytest.mark.parametrize("topic", TOPICS)
def test_sentences_are_short(topic: str) -> None:
    def holds(one: Template) -> None:
        said = [one.text, one.fault, one.nothing, *one.right, *one.why.values()]
        said += [words for wrong in one.wrong for words in (wrong.words, wrong.why)]
        said += [words for bound in one.traps for words in (bound.of.done, bound.of.right)]
        long = [sentence for words in said for sentence in too_long(words)]
        assert not long, f"over {MOST_WORDS} words: {long}"

    for_all(templates(topic), holds)


@pytest.mark.parametrize("topic", TOPICS)
def test_the_length_of_an_answer_in_words_does_not_give_it_away(topic: str) -> None:
    asks = [one for one in templates(topic) if one.kind == "ask"]
    assert len(asks) >= 12
    longest, shortest = [], []
    for one in asks:
        sets = [
            [len(right), *map(len, wrong)]
            for right in one.right
            for wrong in combinations([wrong.words for wrong in one.wrong], 3)
        ]
        longest.append(mean(max(lengths) == lengths[0] for lengths in sets))
        shortest.append(mean(min(lengths) == lengths[0] for lengths in sets))
    for name, shares in (("longest", longest), ("shortest", shortest)):
        often = [one.id for one, share in zip(asks, shares, strict=True) if share > 0.5]
        assert mean(shares) <= 1 / 3, f"the right one is {name} in {mean(shares):.2f}: {often}"


# the planted fault


def test_the_sound_loads_are_sound() -> None:
    """Without its planted fault each load of the data is clear, and says what that rests on."""
    for name, sound in _Reader("siphon").data["load"].items():
        for seed in range(12):
            texts = words(draw(generator(name, seed), sound["draw"]))
            said = {key: filled(value, texts) for key, value in sound["inputs"].items()}
            answer = run("siphon", said)
            assert answer.verdict == "clear", (name, said)
            assert not [c.id for c in answer.cautions if not c.standing and c.severity != "note"]
        assert sound.get("nothing"), f"load.{name} needs `nothing`"


# arithmetic, and rows that cannot be used


def test_nothing_but_arithmetic_is_worked_out() -> None:
    for bad in (
        "", "x.y", "x[0]", "f(x)", "__import__('os')", "lambda: 1", "x if y else z", "x and y",
        "True", "x = 2", "[1]", "1; 2", "x < y", "log10(x, y)", "min(x)", "log10", "1e999",
        "f'{x}'", "'a'",
        "(x := 2)", "x @ y", "~x", "log10(*x)", "x" * 301, "1j", "abs(x=1)",
        "0x" + "F" * 290, "x % 2", "x // 2", "9 << 9",
    ):  # fmt: skip
        with pytest.raises(BadSum):
            Sum.read(bad)
    for bad, known in (
        ("1 / x", 0.0), ("log10(x)", -1.0), ("x ** 60", 2.0), ("x ** 0.5", -1.0),
        ("x ** 9 ** 9", 9.0), ("(x ** 50) ** 50", 9.0), ("min(1, x)", math.nan),
        ("1 / x", math.inf), ("max(1, x * 10 - x * 10)", 1e308), ("round(x, -10 ** 9)", math.inf),
    ):  # fmt: skip
        with pytest.raises(BadSum):
            Sum.read(bad).value({"x": known})
    assert Sum.read("round(5, -10 ** 9)").value({}) == 0.0  # at once: no whole number grows
    with pytest.raises(BadSum, match="y is not known"):
        Sum.read("y").value({"x": 1.0})
    assert Sum.read("-2 ** 2 + max(1, x) * round(2.5, 0)").value({"x": 3.0}) == 2.0
    assert Sum.read("log10(a) - a * (b - 1)").filled({"a": 0.5, "b": -2.0}) == (
        "log10(0.5) - 0.5 * (-2 - 1)"
    )


GOOD = """
decides = "The plate decides."
[[constant]]
id = "molar"
words = "molar mass"
value = 44
unit = "g/mol"
source = "DEFINITION"
[[question]]
id = "room-x"
level = 1
calculator = "room"
text = "{a} m3?"
answer = "co2"
caution = "room-co2-too-high"
sources = ["DEFINITION"]
by_hand = ["b = a * 2", "b / molar"]
[question.draw]
a = [1, 2]
[question.inputs]
volume = "{a} m3"
[[question.trap]]
name = "new-one"
done = "It was doubled."
right = "It is single."
gives = "a * 2"
[[ask]]
id = "room-ask"
level = 1
text = "Who?"
right = ["Nobody."]
wrong = [{words = "A", why = "a"}, {words = "B", why = "b"}, {words = "C", why = "c"},
  {words = "D", why = "d"}]
caution = "room-co2-too-high"
sources = ["DEFINITION"]
"""


def test_a_row_that_cannot_be_used_is_told_by_its_id(monkeypatch: pytest.MonkeyPatch) -> None:
    def read(text: str) -> tuple[Template, ...]:
        monkeypatch.setattr("prepkit.blocks.document", lambda _path: tomllib.loads(text))
        return _Reader("room").read()[0]

    assert [one.id for one in read(GOOD)] == ["room-x", "room-ask"]
    for old, new, said in (
        ("b / molar", "b / mole", "mole is not drawn"),
        ("b = a * 2", "a = a * 2", "a is no new name"),
        ("b = a * 2", "a * 2", "gives its result no name"),
        ('"b / molar"', '"b.x"', "no arithmetic"),
        ('name = "new-one"', 'name = "harmless-gas"', "twice"),
        ("level = 1", "level = 4", "must be 1, 2 or 3"),
        ("sources =", "source =", 'the key "source" is not known'),
        ("value = 44", 'value = "44"', "must be a number"),
        ('id = "molar"', 'id = "log"', "one name"),
        ('text = "Who?"', 'text = "{who}?"', "{who} is not drawn"),
        ('words = "D"', 'words = "A"', "two of its answers"),
        (', {words = "C", why = "c"}', "", "at least 4"),
        ('id = "room-ask"', 'id = "room-x"', "twice"),
        ("a = [1, 2]", "a = []", "list or a range"),
        ("a = [1, 2]", "a = [{a = 1}, {b = 2}]", "unlike names"),
        ('right = ["Nobody."]', "right = []", "no right answer"),
    ):
        assert old in GOOD, old
        with pytest.raises(BadRow, match=re.escape(said)) as raised:
            read(GOOD.replace(old, new))
        assert "drills/room.toml, " in str(raised.value)
