"""Papers measure: letters, ranks and verdicts are even, a guesser by pattern scores at chance."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Sequence
from functools import cache
from itertools import combinations
from typing import Any, NamedTuple

import pytest

from prepkit.draws import generator
from prepkit.drill.choices import TRAPS, AnswerScale, Deal, Miss, _sound_of, numbers
from prepkit.drill.command import AnswerSheet, mark_paper
from prepkit.drill.paper import Question, _plan, make_paper
from prepkit.drill.templates import GROUPS, LEVELS, PAPERS, TOPICS, Template, groups, templates
from prepkit.errors import BadInput

SEEDS = 200
SEALED = "a paper that nobody has seen"  # seeds that no sample uses
#: [SAF-409] 5 % points of chi-square by degrees of freedom
CHI_SQUARE = {1: 3.84, 2: 5.99, 3: 7.81, 4: 9.49}


def chi_square(counted: Counter[Any], items: Sequence[Any]) -> float:
    """How far counts are from even."""
    even = sum(counted[one] for one in items) / len(items)
    return math.fsum((counted[one] - even) ** 2 / even for one in items)


def test_chi_square_as_it_is_published() -> None:
    found = chi_square(Counter({"A": 14, "B": 9, "C": 8, "D": 9}), "ABCD")
    assert round(found, 1) == 2.2  # [SAF-409]


def even(counted: Counter[Any], items: Sequence[Any]) -> None:
    assert chi_square(counted, items) <= CHI_SQUARE[len(items) - 1], dict(counted)


# the plan of 200 papers, which costs nothing


@pytest.mark.parametrize("topic", TOPICS)
def test_verdicts_are_even_over_200_seeds(topic: str) -> None:
    planned = [one for seed in range(SEEDS) for one in _plan(topic, 12, seed, None)]
    asked = Counter(one.verdict for one in planned if one.verdict)
    even(asked, ("clear", "care", "stop"))
    assert min(asked.values()) >= 0.25 * asked.total(), dict(asked)


def test_nothing_is_wrong_in_one_of_five_loads() -> None:
    planned = [one for seed in range(SEEDS) for one in _plan("siphon", 20, seed, None)]
    sound = Counter(one.sound for one in planned if one.template.kind == "fault")
    assert 0.15 <= sound[True] / sound.total() <= 0.25, dict(sound)


def test_kinds_and_topics_are_spread_over_a_paper() -> None:
    for topic in PAPERS:
        kinds = Counter(one.template.kind for one in _plan(topic, 10, 3, None))
        pool = Counter(one.kind for one in templates(topic)) if topic in TOPICS else Counter()
        for kind, many in pool.items():
            share = 10 * many / pool.total()
            assert abs(kinds[kind] - share) <= 2, (topic, kind)
    for group in GROUPS:
        planned = [one.template for one in _plan(group, 24, 3, None)]
        topics = Counter(one.topic for one in planned)
        assert max(topics.values()) <= 7, (group, topics)
        assert len(topics) == len(groups()[group].topics), (group, topics)


def test_a_class_is_asked_the_same_with_the_same_verdicts() -> None:
    for one, other in zip(
        make_paper("room", 8, 5, name="Asha").questions,
        make_paper("room", 8, 5, name="Bo").questions,
        strict=True,
    ):
        assert one.template == other.template
        if one.kind == "verdict" and one.template.verdicts:
            assert one.right == other.right


def test_what_follows_asks_other_things() -> None:
    for topic in ("siphon", "mixed"):
        first = {one.template.id for one in make_paper(topic, 8, 7).questions}
        later = make_paper(topic, 8, 7, after=8)
        assert not first & {one.template.id for one in later.questions}
        assert later.blank_answers["after"] == 8
        letters = {one.number: one.letter for one in later.questions}
        assert mark_paper(AnswerSheet(topic, 7, 8, None, letters, after=8)).right == 8
        assert [one.number for one in later.questions] == list(range(1, 9))


def test_no_two_questions_in_words_teach_the_same_where_others_are_left() -> None:
    for topic in PAPERS:
        for seed in range(10):
            asks = [one.template for one in _plan(topic, 10, seed, None)
                    if one.template.kind == "ask"]  # fmt: skip
            assert len({one.caution for one in asks}) == len(asks), (topic, seed)


def test_a_count_may_be_wrong_by_one() -> None:
    scale = AnswerScale(5.0, "drops", 0, 0.5)
    made = numbers(scale, [Miss("fewer", 4.0, "F.", "f.")], (3,), generator("drops"), False)
    assert made is not None
    assert "4 drops" in [one.words for one in made]
    assert all(float(one.value).is_integer() for one in made)


def test_too_many_different_questions_are_refused() -> None:
    for level in (None, *LEVELS):
        with pytest.raises(BadInput, match="different questions") as refused:
            make_paper("keg", 5000, 1, level)
        most = int(re.findall(r"has (\d+) different", refused.value.message)[0])
        assert len(_plan("keg", min(most, 100), 1, level)) == min(most, 100)


def test_a_deal_is_even_and_keeps_what_waits() -> None:
    deal = Deal(generator("deal"), "abcd")
    for _ in range(7):
        deal.took("a")
    dealt = []
    for _ in range(21):
        dealt.append(deal.wanted()[0])
        deal.took(dealt[-1])
    assert Counter(dealt) == {"b": 7, "c": 7, "d": 7}


# papers that are made: each topic by turns


@cache
def sample() -> tuple[Question, ...]:
    """Questions of 200 papers: seeds of no other test, each topic and group by turns."""
    found: list[Question] = []
    for number in range(SEEDS):
        seed = int(generator(SEALED, number).random() * 999_999_999)
        found += make_paper(PAPERS[number % len(PAPERS)], 10, seed).questions
    return tuple(found)


def test_the_place_of_the_right_answer_is_even() -> None:
    for kinds in (("number",), ("ask", "fault"), ("number", "ask", "fault")):
        asked = [one for one in sample() if one.kind in kinds]
        four = [one for one in asked if len(one.choices) == 4]
        assert len(four) >= 0.98 * len(asked), kinds
        even(Counter(one.place for one in four), range(4))
    verdicts = [one for one in sample() if one.kind == "verdict" and one.template.verdicts]
    many = Counter(str(one.right) for one in verdicts)
    least = len(verdicts) / 3 - 3 * math.sqrt(len(verdicts) * 2 / 9)
    assert min(many[one] for one in ("clear", "care", "stop")) >= least, many


def test_numbers_stand_in_order_and_outside_the_accepted_band() -> None:
    for one in sample():
        if one.kind == "number":
            values = [float(choice.value) for choice in one.choices]
            assert values == sorted(values), one.text
            assert len({choice.words for choice in one.choices}) == len(values)
            for value in values:
                off = abs(value - float(one.right))
                assert value == one.right or off > one.tolerance, one.text
        assert all(choice.done for choice in one.choices if not choice.right) or (
            one.kind == "verdict" and not one.template.why
        )


Guess = Callable[[Question], str | None]
_WARY = re.compile(
    r"\b(?:never|nobody|not|stop|leave|out|alarm|call|wait|ask|check|first|help|away|keep|slowly|"
    r"before|only|safe|danger|everybody|close|open|until)\b",
    re.IGNORECASE,
)
_NEAT = (2.0, 3.0, 4.0, 5.0, 8.0, 10.0, 100.0, 1000.0)


def _best(question: Question, score: Callable[[int], float]) -> str:
    scores = [score(place) for place in range(len(question.choices))]
    return question.choices[scores.index(max(scores))].letter


def _related(question: Question) -> str | None:
    """The number that stands in neat ratios to the most others."""
    if question.kind != "number":
        return None
    values = [float(one.value) for one in question.choices]

    def neat(place: int) -> float:
        others = [v for i, v in enumerate(values) if i != place and v and values[place]]
        ratios = [max(abs(v / values[place]), abs(values[place] / v)) for v in others]
        return sum(any(abs(r / n - 1) < 0.01 for n in _NEAT) for r in ratios)

    return _best(question, neat)


def _word(question: Question, word: str, kind: str) -> str | None:
    if question.kind != kind:
        return None
    return next((one.letter for one in question.choices if str(one.value) == word), None)


def _in_words(score: Callable[[str], float]) -> Guess:
    def guess(question: Question) -> str | None:
        if question.kind not in ("ask", "fault"):
            return None
        return _best(question, lambda place: score(question.choices[place].words))

    return guess


def _middle(question: Question) -> str | None:
    if question.kind != "number":
        return None
    values = [float(one.value) for one in question.choices]
    mean = math.exp(math.fsum(math.log(abs(v) + 1e-9) for v in values) / len(values))
    return _best(question, lambda place: -abs(math.log((abs(values[place]) + 1e-9) / mean)))


def _of_number(place: int) -> Guess:
    return lambda one: one.choices[place].letter if one.kind == "number" else None


def always_careful(one: Template) -> bool:
    """Whether the right answer of an ask alone has words of warning, whatever it stands beside."""
    return one.kind == "ask" and all(
        _sound_of(right, [wrong.words for wrong in three])[1] > 0.5
        for right in one.right
        for three in combinations(one.wrong, 3)
    )


def _of_length(place: int) -> Guess:
    """The choice in words at a place by length."""

    def guess(question: Question) -> str | None:
        if question.kind != "ask":
            return None
        return sorted(question.choices, key=lambda one: len(one.words))[place].letter

    return guess


GUESSERS: dict[str, Guess] = {
    "second by length": _of_length(1),
    "third by length": _of_length(2),
    "longest": _in_words(len),
    "shortest": _in_words(lambda words: -len(words)),
    "most careful": _in_words(lambda words: len(_WARY.findall(words))),
    "least careful": _in_words(lambda words: -len(_WARY.findall(words))),
    "middle": _middle,
    "smallest": _of_number(0),
    "second": _of_number(1),
    "third": _of_number(2),
    "largest": _of_number(-1),
    "related": _related,
    "always stop": lambda one: _word(one, "stop", "verdict"),
    "always care": lambda one: _word(one, "care", "verdict"),
    "always clear": lambda one: _word(one, "clear", "verdict"),
    "always nothing": lambda one: _word(one, "nothing", "fault"),
    "first letter": lambda one: one.choices[0].letter,
    "last letter": lambda one: one.choices[-1].letter,
    "always b": lambda one: "B",
}


class Scored(NamedTuple):
    """What a guesser came to: how many were right, by chance, and over it in standard errors."""

    many: int
    hits: int
    chance: float
    over: float


def scored(name: str, asked: Sequence[Question]) -> Scored:
    hits, chance, spread, many = 0, 0.0, 0.0, 0
    for one in asked:
        letter = GUESSERS[name](one)
        if letter is not None:
            share = 1 / len(one.choices)
            hits += letter == one.letter
            many, chance, spread = many + 1, chance + share, spread + share * (1 - share)
    return Scored(many, hits, chance, (hits - chance) / math.sqrt(spread) if spread else 0.0)


@pytest.mark.parametrize("name", GUESSERS)
def test_a_guesser_by_pattern_scores_at_chance(name: str) -> None:
    """At most chance and three standard errors; in one topic, where fewer are asked, four."""
    whole = scored(name, sample())
    assert whole.many >= 60, f"{name} guessed {whole.many} times"
    assert whole.over <= 3, whole
    for topic in TOPICS:
        asked = scored(name, [one for one in sample() if one.template.topic == topic])
        assert asked.over <= 4, (topic, asked)


def test_every_set_of_numbers_is_two_mistakes_each_made_or_not() -> None:
    scale = AnswerScale(10.0, "g", 1, 0.1)
    misses = [Miss("more", 13.0, "M.", "m."), Miss("less", 7.0, "L.", "l.")]
    for place in range(4):
        made = numbers(scale, misses, (place,), generator("four", place), any_will_do=False)
        assert made is not None
        values = [float(one.value) for one in made]
        assert values.index(10.0) == place
        low, second, third, high = values
        assert low * high == pytest.approx(second * third), values
        both = next(one for one in made if "+" in one.trap)
        assert both.done.count("\n") == 1


def test_few_right_answers_always_sound_the_most_careful() -> None:
    asks = [one for topic in TOPICS for one in templates(topic) if one.kind == "ask"]
    found = [one.id for one in asks if always_careful(one)]
    assert len(found) <= 0.1 * len(asks), f"give a wrong answer words of warning too: {found}"


# a learner of form alone, tried on questions that it has not seen

_SMALL_WORDS = (
    "a an and any as at be been before but by can do each for from if in into is it its never no",
    "nobody not nothing of off on once one only or out over so still than that the them then there",
    "they this to two until up which while who with would you",
)
_FORM = frozenset(word for line in _SMALL_WORDS for word in line.split())
_FOLDS = 8


def _form(words: str, others: Sequence[str]) -> dict[str, float]:
    """What is left of an option without its meaning: length, marks, small words."""
    lengths = [len(one) for one in others]
    found = {
        "length": (len(words) - math.fsum(lengths) / len(lengths)) / 20,
        "longest": float(len(words) == max(lengths)),
        "shortest": float(len(words) == min(lengths)),
        "figures": float(any(one.isdigit() for one in words)),
        **{mark: float(words.count(mark)) for mark in ".,:;"},
    }
    return found | dict.fromkeys(_FORM & set(re.findall(r"[a-z]+", words.lower())), 1.0)


def _learnt(table: Any, right: Any, weights: Any) -> Any:  # Any: arrays of numpy
    """The weight of each feature that tells the right option of these questions best."""
    import numpy as np
    from scipy.optimize import minimize

    def loss(told: Any) -> tuple[float, Any]:
        score = table @ told
        share = np.exp(score - score.max(1, keepdims=True))
        share /= share.sum(1, keepdims=True)
        missed = (share - np.eye(table.shape[1])[right]) * weights[:, None]
        likely = np.log(share[np.arange(len(right)), right])
        return float(told @ told - weights @ likely), np.einsum(
            "ij,ijk->k", missed, table
        ) + 2 * told

    return minimize(loss, np.zeros(table.shape[2]), jac=True, method="L-BFGS-B").x


def test_who_learns_the_form_of_other_questions_scores_near_chance() -> None:
    """Rules of length, marks and small words, learnt on other keys, tell no right answer."""
    np = pytest.importorskip("numpy", reason="it comes with scipy, which the test extra installs")
    asks = [one for one in sample() if one.kind == "ask"]
    many = Counter(one.template.id for one in asks)
    names = sorted(many)
    fold = np.array([names.index(one.template.id) % _FOLDS for one in asks])
    rows = [
        [_form(choice.words, [other.words for other in one.choices]) for choice in one.choices]
        for one in asks
    ]
    features = sorted({name for row in rows for option in row for name in option})
    table = np.array([[[o.get(name, 0.0) for name in features] for o in row] for row in rows])
    right = np.array([[c.right for c in one.choices].index(True) for one in asks])
    weights = np.array([1.0 / many[one.template.id] for one in asks])
    hits = 0.0
    for held in range(_FOLDS):
        seen, new = fold != held, fold == held
        told = (table[new] @ _learnt(table[seen], right[seen], weights[seen])).argmax(1)
        hits += float(weights[new] @ (told == right[new]))
    limit = 0.25 + 3 * math.sqrt(0.25 * 0.75 / len(names))
    assert hits / len(names) <= limit, f"{hits:.0f} of {len(names)} asks are told by their form"


@pytest.mark.parametrize("name", TRAPS)
def test_trap_has_its_words(name: str) -> None:
    trap = TRAPS[name]
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", name)
    assert trap.done.endswith(".")
    assert trap.right.endswith(".")
    assert trap.done != trap.right


def test_every_trap_is_set_by_a_question_and_every_one_set_exists() -> None:
    set_by: Any = {b.trap for topic in TOPICS for t in templates(topic) for b in t.traps}
    assert set_by >= set(TRAPS)  # those of the topic files come beside
