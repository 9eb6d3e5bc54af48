"""A paper: questions from a seed, the same facts the same paper.

A class has the same questions in the same order, each person with numbers of their own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from random import Random

from prepkit.cautions import page_line
from prepkit.draws import generator, shuffled
from prepkit.drill.choices import MOST_CHOICES, Choice, Deal, Wanted, sounds
from prepkit.drill.questions import Question, make
from prepkit.drill.templates import (
    VERDICTS,
    Constant,
    Template,
    placeholders,
    templates,
    topics_of,
)  # fmt: skip
from prepkit.errors import BadInput, named
from prepkit.inputs import Json
from prepkit.language import ENGLISH, checked, in_figures, in_words, said, turned

MOST_QUESTIONS = 100
LARGEST_SEED = 999_999_999
LONGEST_ANSWER = 200  # characters
LONGEST_NAME = 60
_TRIES_FOR_A_NEW_ONE = 40
_COUNTED_ON = 0.6  # of a template's different numbers: not all of them make a fair question
_SOUND_IN = 5  # in one of so many loads nothing is wrong
_CAREFUL = (1.0, *[0.0] * 7)  # as often as it sounds the most careful; else it may sound so too
_NEAR = 4  # verdict questions that may change places, so that each verdict comes in its turn
REMINDER = page_line("drill")


@dataclass(frozen=True)
class Paper:
    """The questions, and what makes them: the same facts make the same paper.

    `name` is whose paper it is, where a class has one each; else "".
    """

    topic: str
    count: int
    seed: int
    level: int | None
    questions: tuple[Question, ...]
    name: str = ""
    language: str = ENGLISH
    after: int = 0  # questions of the same seed that another paper has asked before
    english: Paper | None = field(default=None, repr=False, compare=False)  # as it was made

    @property
    def sheet(self) -> tuple[Constant, ...]:
        """The data sheet: every constant that the topic could need, not only this paper."""
        return data_sheet(self.topic, self.language)

    @property
    def levels(self) -> str:
        """The levels in words."""
        if self.level is None:
            return said("levels 1 to 3", self.language, "paper")
        return said("level {n}", self.language, "paper", n=self.level)

    @property
    def in_other_words(self) -> Json:
        """The language, where it is not English."""
        return {} if self.language == ENGLISH else {"language": self.language}

    @property
    def blank_answers(self) -> Json:
        """An answers file with nothing filled in."""
        return {
            "topic": self.topic,
            "seed": self.seed,
            "count": self.count,
            "level": self.level,
            **({"name": self.name} if self.name else {}),
            **self.in_other_words,
            **({"after": self.after} if self.after else {}),
            "answers": {str(question.number): "" for question in self.questions},
        }

    def to_dict(self, key: bool = False) -> Json:
        """The JSON form; the key only where it is asked for."""
        said: Json = {
            "topic": self.topic,
            "seed": self.seed,
            "count": self.count,
            "level": self.level,
            **({"name": self.name} if self.name else {}),
            **self.in_other_words,
            **({"after": self.after} if self.after else {}),
            "questions": [_question(question) for question in self.questions],
            "sheet": [
                {"words": one.words, "value": one.value, "unit": one.unit, "source": one.source}
                for one in self.sheet
            ],
            "answer_file": self.blank_answers,
        }
        if key:
            said["key"] = [key_of(question) for question in self.questions]
        return said


def data_sheet(topic: str, language: str = ENGLISH) -> tuple[Constant, ...]:
    """Every constant that a question of a topic or a group can need, in order of their words."""
    found = {
        one.id: replace(one, words=in_words(one.words, language, of))
        for of in topics_of(topic)
        for template in templates(of)
        for one in template.constants
    }
    return tuple(sorted(found.values(), key=lambda one: one.words.casefold()))


def make_paper(
    topic: str,
    count: int,
    seed: int,
    level: int | None = None,
    name: str = "",
    language: str = ENGLISH,
    after: int = 0,
) -> Paper:
    """`count` questions on a topic or a group; a longer paper of the same seed begins with them.

    No template comes twice before each has come once. Papers that differ in `name` alone ask the
    same in the same order, with other numbers. `after` leaves out as many questions at the front,
    so that a paper follows one of that length and asks other things as far as there are any.

    Raises: BadInput where the topic has not as many different questions.
    """
    planned = _plan(topic, count + after, seed, level)[after:]
    whose = (name,) if name else ()
    facts = (topic, seed, level, *whose, *((after,) if after else ()))
    dealt: dict[str, Deal[int]] = {kind: Deal(generator(f"{kind}s", *facts), range(MOST_CHOICES))
             for kind in ("number", "word", "length")}  # fmt: skip
    careful = Deal(generator("careful", *facts), _CAREFUL)
    faults = tuple(one for one in templates("siphon") if one.kind == "fault")
    made: list[Question] = []
    seen: set[str] = set()
    for number, one in enumerate(planned, 1):
        kind = one.template.kind
        places = dealt["number" if kind == "number" else "word"]
        wanted = Wanted(
            places.wanted(), dealt["length"].wanted(), careful.wanted()[0], one.verdict, one.sound
        )
        rng = generator("numbers", topic, seed, level, after + number, *whose)
        question = _new(one.template, rng, number, faults, wanted, seen)
        if kind != "verdict":
            places.took(question.place)
        if kind == "ask":
            length, share = sounds(question.choices)
            dealt["length"].took(length)
            careful.took(1.0 if share > 0.5 else 0.0)
        seen.add(_same(question))
        made.append(question)
    return in_language(Paper(topic, count, seed, level, tuple(made), name, after=after), language)


def in_language(paper: Paper, language: str) -> Paper:
    """The same paper in a language: the same numbers, letters and key, other words.

    Raises: BadInput where there is no catalogue of the language.
    """
    if checked(language) == paper.language:
        return paper
    english = paper.english or paper
    if language == ENGLISH:
        return english
    questions = tuple(_in_language(one, language) for one in english.questions)
    return replace(english, questions=questions, language=language, english=english)


def _in_language(question: Question, language: str) -> Question:
    template = question.template

    unit = question.unit

    def words(text: str) -> str:
        if question.kind == "number" and unit and text.endswith(f" {unit}"):  # 12 drops
            told = said(unit, language, "paper")
            return f"{in_figures(text.removesuffix(unit), language)}{told}"
        return in_words(text, language, template.topic)

    def value(of: float | str) -> float | str:
        return words(of) if ask and isinstance(of, str) else of

    def each(mistakes: str) -> str:
        several = mistakes.split("\n")  # two mistakes together, each a message
        return "\n".join(map(words, several)) if len(several) > 1 else words(mistakes)

    def rows(of: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
        return tuple((said(label, language, "paper"), words(shown)) for label, shown in of)

    ask = question.kind == "ask"  # its values are its words
    taught = question.taught
    return replace(
        question,
        language=language,
        text=words(question.text),
        right=value(question.right),
        choices=tuple(
            replace(
                one,
                words=words(one.words),
                value=value(one.value),
                done=each(one.done),
                instead=each(one.instead),
            )
            for one in question.choices
        ),
        misses=tuple(
            replace(one, done=each(one.done), instead=each(one.instead)) for one in question.misses
        ),
        taught=taught.replaced(
            text=turned(taught.text, language),
            action=turned(taught.action, language),
            more="",
        ),
        plate=rows(question.plate),
        job=rows(question.job),
        template=replace(
            template,
            decides=words(template.decides),
            constants=tuple(replace(one, words=words(one.words)) for one in template.constants),
        ),
    )


def _same(question: Question) -> str:
    return repr((question.text, question.plate, question.job))


def _new(
    template: Template,
    rng: Random,
    number: int,
    faults: tuple[Template, ...],
    wanted: Wanted,
    seen: set[str],
) -> Question:
    """A question that the paper has not yet."""
    for tried in range(_TRIES_FOR_A_NEW_ONE):
        if tried == _TRIES_FOR_A_NEW_ONE // 2:
            wanted = replace(wanted, verdict="", sound=False)
        question = make(template, rng, number, faults, wanted)
        if _same(question) not in seen:
            return question
    raise BadInput(
        f"Question {number} cannot be made so that no other is the same. Ask for fewer questions, "
        f"or take another seed.",
        "count",
    )


# ---- which questions, in which order ----


@dataclass(frozen=True)
class Planned:
    """What a question is to be: its template, the verdict it comes to, whether nothing is wrong."""

    template: Template
    verdict: str = ""
    sound: bool = False


@cache
def _pool(topic: str, level: int | None) -> tuple[tuple[Template, ...], Mapping[str, int]]:
    """The templates of a topic or a group, and how many different questions each is good for."""
    pool = tuple(
        one for of in topics_of(topic) for one in templates(of)
        if level is None or one.level == level
    )  # fmt: skip
    return pool, {one.id: different(one) for one in pool}


@cache
def _sound_loads(topic: str, level: int | None) -> Mapping[str, int]:
    """How many different loads with nothing wrong there are, by the load."""
    return {one.load: _many(one.sound, one.sound_draw) for one in _pool(topic, level)[0]}


@lru_cache(maxsize=64)
def _plan(topic: str, count: int, seed: int, level: int | None) -> tuple[Planned, ...]:
    """The questions of every paper of these facts, alike for each name."""
    pool, most = _pool(topic, level)
    left = dict(most)
    if sum(left.values()) < count:
        levels = "" if level is None else f" at level {level}"
        raise BadInput(
            f"{named('count')} is too high: {topic}{levels} has {sum(left.values())} different "
            f"questions, and {count} would be needed. Ask for fewer.",
            "count",
        )
    loads = dict(_sound_loads(topic, level))
    rng = generator("order", topic, seed, level)
    verdicts = Deal(generator("verdicts", topic, seed, level), VERDICTS)
    sound = Deal(generator("sound", topic, seed, level), (True, *[False] * (_SOUND_IN - 1)))
    planned: list[Planned] = []
    taught: set[str] = set()
    turn: list[Template] = []
    while len(planned) < count:
        turn = turn or _spread([one for one in pool if left[one.id]], rng)
        one = turn[0]
        verdict = ""
        if one.kind == "verdict":
            one, verdict = _with_verdict(turn, verdicts)
        elif one.kind == "ask":  # two lessons before the same one twice
            asks = (other for other in turn if other.kind == "ask")
            one = next((other for other in asks if other.caution not in taught), one)
            taught.add(one.caution)
        turn[turn.index(one)] = turn[0]  # they change places, so that kinds stay spread
        turn.pop(0)
        left[one.id] -= 1
        as_it_is = one.kind == "fault" and _dealt(sound) and loads[one.load] > 0
        loads[one.load] -= as_it_is
        planned.append(Planned(one, verdict, as_it_is))
    return tuple(planned)


def _dealt(deal: Deal[bool]) -> bool:
    found = deal.wanted()[0]
    deal.took(found)
    return found


def _with_verdict(turn: Sequence[Template], verdicts: Deal[str]) -> tuple[Template, str]:
    """The next template that can come to the verdict that is wanted, and that verdict."""
    here = [one for one in turn if one.kind == "verdict"]
    if not here[0].verdicts:
        return here[0], ""
    wanted = verdicts.wanted()
    near = here[:_NEAR]
    verdict = next(one for one in wanted if any(one in of.verdicts for of in near))
    verdicts.took(verdict)
    return next(of for of in near if verdict in of.verdicts), verdict


def _spread(pool: Sequence[Template], rng: Random) -> list[Template]:
    """The templates in a new order, in which kinds and topics are spread evenly."""
    kinds: dict[str, dict[str, list[Template]]] = {}
    for one in pool:
        kinds.setdefault(one.kind, {}).setdefault(one.topic, []).append(one)
    found: list[tuple[float, Template]] = []
    for topics in kinds.values():
        spread = [
            (place + rng.random(), one)  # a turn of each topic, then the next turn
            for of in topics.values()
            for place, one in enumerate(shuffled(rng, of))
        ]
        found += _placed([one for _, one in sorted(spread, key=_first)], rng)
    return [one for _, one in sorted(found, key=_first)]


def _placed(of: Sequence[Template], rng: Random) -> list[tuple[float, Template]]:
    """Places from 0 to 1 at even distances, each within its own share."""
    return [((place + rng.random()) / len(of), one) for place, one in enumerate(of)]


def _first(pair: tuple[float, Template]) -> float:
    return pair[0]


def different(template: Template) -> int:
    """How many different questions a template is good for; not quite all are counted on."""
    told = template.inputs if template.kind == "fault" else {"text": template.text}
    return _many(told, template.draw, 1.0 if template.kind == "ask" else _COUNTED_ON)


def _many(
    told: Mapping[str, object], spec: Mapping[str, object], counted_on: float = _COUNTED_ON
) -> int:
    """How many different texts draws make."""
    shown: set[str] = set()
    for value in told.values():
        for words in value if isinstance(value, list) else [value]:
            shown |= set(placeholders(str(words)))
    many = 1
    for name, choice in spec.items():
        if isinstance(choice, Mapping):
            steps = round((choice["to"] - choice["from"]) / choice["step"]) + 1
            many *= steps if name in shown else 1
        elif isinstance(choice, list):
            rows = [one if isinstance(one, Mapping) else {name: one} for one in choice]
            many *= len({repr([row[key] for key in row if key in shown]) for row in rows})
    return math.ceil(counted_on * many)


def _question(question: Question) -> Json:
    return {
        "number": question.number,
        "level": question.template.level,
        "kind": question.kind,
        "text": question.text,
        "plate": dict(question.plate),
        "job": dict(question.job),
        "unit": question.unit,
        "choices": {choice.letter: choice.words for choice in question.choices},
    }


def key_of(question: Question) -> Json:
    """The key of one question in its JSON form."""
    taught = question.taught
    answer = question.answer
    return {
        "number": question.number,
        "id": question.template.id,
        "letter": question.letter,
        "right": question.shown,
        "value": question.right,
        "unit": question.unit,
        "accepted": question.accepted,
        "verdict": "" if answer is None else answer.verdict,
        "wrong": [wrong_of(choice) for choice in question.choices if not choice.right],
        "by_hand": [{"name": one.name, "sum": one.sum, "numbers": one.numbers, "value": one.value}
                    for one in question.by_hand],
        "working": [] if answer is None else answer.to_dict()["working"],
        "command": question.command,
        "caution": {"id": taught.id, "kind": taught.kind, "severity": taught.severity,
                    "text": taught.text, "action": taught.action, "source": taught.source},
        "sources": list(question.sources),
        "decides": question.template.decides,
    }  # fmt: skip


def wrong_of(choice: Choice) -> Mapping[str, str]:
    """A wrong choice with the mistake that leads to it."""
    return {
        "letter": choice.letter,
        "words": choice.words,
        "trap": choice.trap,
        "done": choice.done,
        "instead": choice.instead,
    }
