"""A paper: questions from a seed, the same facts the same paper.

A class has the same questions in the same order, each person with numbers of their own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from prepkit.cautions import page_line
from prepkit.draws import generator, shuffled
from prepkit.drill.questions import GAUGE, Choice, Question, make
from prepkit.drill.templates import Template, templates
from prepkit.inputs import Json
from prepkit.language import ENGLISH, _, checked, said, turned

MOST_QUESTIONS = 100
LARGEST_SEED = 999_999_999
LONGEST_ANSWER = 200  # characters
LONGEST_NAME = 60
_TRIES_FOR_A_NEW_ONE = 12
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

    @property
    def levels(self) -> str:
        """The levels in words."""
        return _("levels 1 to 3") if self.level is None else _("level {n}", n=self.level)

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
            "questions": [_question(question) for question in self.questions],
            "answer_file": self.blank_answers,
        }
        if key:
            said["key"] = [key_of(question) for question in self.questions]
        return said


def make_paper(
    topic: str,
    count: int,
    seed: int,
    level: int | None = None,
    name: str = "",
    language: str = ENGLISH,
) -> Paper:
    """`count` questions; a longer paper of the same seed begins with the shorter one.

    No template comes twice before each has come once. Papers that differ in `name` alone ask the
    same in the same order, with other numbers.
    """
    whose = (name,) if name else ()
    every = templates(topic)
    pool = [one for one in every if level is None or one.level == level]
    order = generator("order", topic, seed, level)
    left: list[Template] = []
    made: list[Question] = []
    seen: set[str] = set()
    for number in range(1, count + 1):
        left = left or shuffled(order, pool)
        question = _new(left.pop(0), (topic, seed, level, number, *whose), number, every, seen)
        seen.add(_same(question))
        made.append(question)
    return in_language(Paper(topic, count, seed, level, tuple(made), name), language)


def in_language(paper: Paper, language: str) -> Paper:
    """The same paper in a language: the same numbers, letters and key, other words.

    Raises: BadInput where there is no catalogue of the language.
    """
    if checked(language) == paper.language:
        return paper
    questions = tuple(_in_language(one, language) for one in paper.questions)
    return replace(paper, questions=questions, language=language)


def _in_language(question: Question, language: str) -> Question:
    template = question.template

    def words(text: str) -> str:
        return turned(text, language, template.topic)

    def asked() -> str:
        """The question filled again, so that no drawn words need to be found in it."""
        values = {} if question.answer is None else question.answer.values
        known: dict[str, object] = {name: one.value for name, one in values.items()}
        known |= {name: words(v) if isinstance(v, str) else v for name, v in question.drawn.items()}
        return said(template.text, language, template.topic, **known)

    def line(value: str) -> str:
        bare = value.removesuffix(GAUGE.format(value=""))
        return words(value) if bare == value else said(GAUGE, language, "paper", value=words(bare))

    def rows(of: tuple[tuple[str, str], ...]) -> tuple[tuple[str, str], ...]:
        return tuple((said(label, language, "paper"), line(value)) for label, value in of)

    ask = question.kind == "ask"  # its values are its words
    taught = question.taught
    return replace(
        question,
        language=language,
        text=asked(),
        right=words(str(question.right)) if ask else question.right,
        choices=tuple(
            replace(
                one,
                words=words(one.words),
                value=words(str(one.value)) if ask else one.value,
                done=words(one.done),
                instead=words(one.instead),
            )
            for one in question.choices
        ),
        misses=tuple(
            replace(one, done=words(one.done), instead=words(one.instead))
            for one in question.misses
        ),
        taught=replace(
            taught,
            text=turned(taught.text, language, "cautions"),
            action=turned(taught.action, language, "cautions"),
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
    parts: tuple[object, ...],
    number: int,
    every: tuple[Template, ...],
    seen: set[str],
) -> Question:
    """A question that the paper has not yet, as far as the data has one."""
    others = [one for one in every if one.fault and one.id != template.id]
    rng = generator("numbers", *parts)
    question = make(template, rng, number, others)
    for _more in range(_TRIES_FOR_A_NEW_ONE):
        if _same(question) not in seen:
            break
        question = make(template, rng, number, others)
    return question


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
