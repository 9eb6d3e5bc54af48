"""A template and a seed to questions, and a paper of them.

Every right answer is what the registry answers to the same words on the command line.

A class has the same questions in the same order, each person with numbers of their own.
"""

from __future__ import annotations

import math
import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from random import Random
from typing import Any

from prepkit import cautions
from prepkit.cautions import page_line
from prepkit.draws import draw, filled, generator, shuffled, words
from prepkit.drill.templates import PLATE, Binding, Template, templates
from prepkit.drill.traps import TRAPS
from prepkit.errors import by_option, named
from prepkit.inputs import Json
from prepkit.model import Answer, Caution, rounded
from prepkit.registry import run
from prepkit.render.wall import plain

# ---- a template and a generator to a question with its answer, its choices and its traps ----

LETTERS = "ABCDEFGH"
MOST_CHOICES = 4
FEWEST_WRONG = 2
TRIES = 60
VERDICTS = {
    "clear": "clear: no problem found in what you entered",
    "care": "care: go ahead only if you do what it says",
    "stop": "stop: do not do this",
}
NOTHING = "nothing is wrong with it"
_WORN = "worn away, cannot be read"


@dataclass(frozen=True)
class Miss:
    """A wrong answer that a trap gives: a number or a word."""

    trap: str
    value: float | str


@dataclass(frozen=True)
class Choice:
    """One of the answers on the paper; `trap` is empty for the right one and for a plain guess."""

    letter: str
    words: str
    value: float | str
    right: bool
    trap: str = ""


@dataclass(frozen=True)
class Question:
    """A question, its right answer, and everything that its key prints."""

    number: int
    template: Template
    text: str
    said: Mapping[str, Any]  # Any: words, or a list of them
    drawn: Mapping[str, object]
    answer: Answer
    right: float | str
    unit: str
    digits: int
    tolerance: float
    choices: tuple[Choice, ...]
    misses: tuple[Miss, ...]
    taught: Caution
    plate: tuple[tuple[str, str], ...] = ()
    job: tuple[tuple[str, str], ...] = ()

    @property
    def kind(self) -> str:
        """number, verdict or fault."""
        answer = self.template.answer
        return answer if isinstance(answer, str) and answer in ("verdict", "fault") else "number"

    @property
    def letter(self) -> str:
        """The letter of the right choice."""
        return next(choice.letter for choice in self.choices if choice.right)

    @property
    def shown(self) -> str:
        """The right answer in words."""
        return next(choice.words for choice in self.choices if choice.right)

    @property
    def accepted(self) -> str:
        """What counts as right."""
        if self.kind == "fault":  # its right answer is an id, which the choice says in words
            return f"{self.letter}, or its words"
        if self.kind == "verdict":
            return f"{self.letter}, or {self.right}"
        low, high = float(self.right) - self.tolerance, float(self.right) + self.tolerance
        digits = self.digits if self.tolerance >= 10.0**-self.digits else self.digits + 1
        return (
            f"{rounded(low, digits, self.unit)} to {rounded(high, digits, self.unit)} {self.unit}"
        ).rstrip()

    @property
    def pressure(self) -> str:
        """ "gauge" or "absolute" where the answer is a pressure of that kind, else nothing."""
        wanted = self.template.answer
        label = (
            wanted.get("column", "")
            if not isinstance(wanted, str)
            else self.answer.values[wanted].label
            if wanted in self.answer.values
            else ""
        )
        return next((kind for kind in ("gauge", "absolute") if kind in label), "")

    @property
    def triggered(self) -> bool:
        """Whether the caution that it teaches is among those of its answer."""
        return any(caution.id == self.taught.id for caution in self.answer.cautions)

    @property
    def command(self) -> str:
        """The command line that gives the same numbers."""
        parts = ["prepkit", self.template.calculator]
        for name, value in self.said.items():
            for one in value if isinstance(value, list) else [value]:
                parts += [by_option(named(name)), shlex.quote(one)]
        return " ".join(parts)

    @property
    def sources(self) -> tuple[str, ...]:
        """The keys that the answer and the lesson rest on."""
        return tuple(dict.fromkeys((*self.template.sources, self.taught.source)))


def make(template: Template, rng: Random, place: int, others: Sequence[Template] = ()) -> Question:
    """One question; numbers are drawn again where two answers could not be told apart."""
    for _ in range(TRIES):
        drawn = draw(rng, template.draw)
        made = (
            _fault(template, drawn, rng, place, others)
            if template.answer == "fault"
            else _asked(template, drawn, rng, place)
        )
        if made is not None:
            return made
    raise AssertionError(f"{template.id}: no numbers were found that make a fair question")


def _said(template: Template, drawn: Mapping[str, object]) -> Json:
    texts = words(drawn)
    return {name: filled(value, texts) for name, value in template.inputs.items()}


def taught(answer: Answer, caution_id: str) -> Caution:
    """The caution as the answer triggered it, or its plain row where it did not."""
    for caution in answer.cautions:
        if caution.id == caution_id:
            return caution
    row = next((row for row in cautions.rows() if row.id == caution_id), None)
    if row is None:
        raise AssertionError(f"no caution has the id {caution_id}")
    return Caution(
        row.id, row.kind, row.severity, plain(row.text), plain(row.action),
        row.source, row.standing,
    )  # fmt: skip


# questions for a value or a verdict


def _asked(
    template: Template, drawn: Mapping[str, object], rng: Random, place: int
) -> Question | None:
    said = _said(template, drawn)
    answer = run(template.calculator, said)
    found = _right(filled_answer(template, drawn), answer)
    if found is None:
        return None
    right, unit, digits = found
    digits = digits if template.digits is None else template.digits
    tolerance = _tolerance(template, right, digits)
    misses = _misses(template, drawn, answer, right)
    choices = (
        _verdicts(right, misses)
        if isinstance(right, str)
        else _numbers(right, unit, digits, tolerance, misses, rng)
    )
    if choices is None:
        return None
    told = words({**_values(answer), **drawn})
    lesson = taught(answer, filled(template.caution, told))
    return Question(
        place, template, filled(template.text, told), said, drawn, answer, right, unit, digits,
        tolerance, choices, misses, lesson,
    )  # fmt: skip


def filled_answer(template: Template, drawn: Mapping[str, object]) -> str | dict[str, str]:
    """What is asked for, with the drawn words in it."""
    wanted = template.answer
    if isinstance(wanted, str):
        return wanted
    texts = words(drawn)
    return {name: filled(value, texts) for name, value in wanted.items()}


def _right(wanted: str | Mapping[str, str], answer: Answer) -> tuple[float | str, str, int] | None:
    if wanted == "verdict":
        return answer.verdict, "", 0
    if isinstance(wanted, str):
        value = answer.values.get(wanted)
        return None if value is None else (value.value, value.unit, value.digits)
    table = next((one for one in answer.tables if one.name == wanted["table"]), None)
    if table is None:
        return None
    place = next(i for i, c in enumerate(table.columns) if c.label == wanted["column"])
    column = table.columns[place]
    for row in table.rows:
        cell = row[place]
        if wanted["row"] in row and isinstance(cell, float):
            return cell, column.unit, column.digits or 0
    return None


def _tolerance(template: Template, right: float | str, digits: int) -> float:
    if isinstance(right, str):
        return 0.0
    stated = template.tolerance
    wide = stated.get("absolute", abs(right) * stated.get("percent", 0.0) / 100)
    return max(float(wide), 0.5 * 10.0**-digits)


def _values(answer: Answer) -> dict[str, float]:
    return {name: value.value for name, value in answer.values.items()}


def _numbers_by_name(
    drawn: Mapping[str, object], answer: Answer, right: float | str
) -> dict[str, float]:
    """Every number that a trap may take: drawn, answered, of the working, and the right one."""
    known = _values(answer)
    known |= {f"step {s.label}": s.value for s in answer.working if s.value is not None}
    known |= {name: value for name, value in drawn.items() if isinstance(value, int | float)}
    if isinstance(right, float):
        known["right"] = right
    return known


def _misses(
    template: Template, drawn: Mapping[str, object], answer: Answer, right: float | str
) -> tuple[Miss, ...]:
    known = _numbers_by_name(drawn, answer, right)
    found: list[Miss] = []
    for binding in template.traps:
        given = _given(binding, known)
        if given is not None:
            found.append(Miss(binding.trap, TRAPS[binding.trap].gives(**given)))
    return tuple(found)


def _given(binding: Binding, known: Mapping[str, float]) -> dict[str, float] | None:
    """The trap's arguments; None where the answer does not hold one of them."""
    given: dict[str, float] = {}
    for argument in TRAPS[binding.trap].arguments:
        name, factor = binding.arguments.get(argument, (argument, 1.0))
        if name not in known:
            return None
        given[argument] = known[name] * factor
    return given


def _numbers(
    right: float, unit: str, digits: int, tolerance: float, misses: Sequence[Miss], rng: Random
) -> tuple[Choice, ...] | None:
    """The right answer among those of the traps, no two alike; None where too few are left."""

    def said(value: float) -> str:
        return f"{rounded(value, digits, unit)} {unit}".rstrip()

    wrong: dict[str, Miss] = {}
    near = tolerance + 0.5 * 10.0**-digits  # as it is shown it must be wrong too
    for miss in misses:
        value = float(miss.value)
        if not math.isfinite(value) or value < 0 or abs(value - right) <= near:
            continue
        if said(value) != said(right):
            wrong.setdefault(said(value), miss)
    if len(wrong) < FEWEST_WRONG:
        return None
    kept = shuffled(rng, list(wrong.items()))[: MOST_CHOICES - 1]
    mixed = shuffled(rng, [(said(right), None), *kept])
    return tuple(
        Choice(letter, shown, right if miss is None else miss.value, miss is None,
               "" if miss is None else miss.trap)
        for letter, (shown, miss) in zip(LETTERS, mixed, strict=False)
    )  # fmt: skip


def _verdicts(right: str, misses: Sequence[Miss]) -> tuple[Choice, ...] | None:
    """The three verdicts; None where no trap leads to a wrong one."""
    if all(miss.value == right for miss in misses):
        return None
    by_word = {str(miss.value): miss.trap for miss in reversed(misses)}
    return tuple(
        Choice(letter, shown, verdict, verdict == right,
               "" if verdict == right else by_word.get(verdict, ""))
        for letter, (verdict, shown) in zip(LETTERS, VERDICTS.items(), strict=False)
    )  # fmt: skip


# a load with one planted fault


def _fault(
    template: Template,
    drawn: Mapping[str, object],
    rng: Random,
    place: int,
    others: Sequence[Template],
) -> Question | None:
    said = _said(template, drawn)
    answer = run("siphon", said)
    triggered = {c.id for c in answer.cautions if not c.standing and c.severity != "note"}
    if template.caution not in triggered:
        return None
    elsewhere = [one for one in others if one.caution not in triggered]
    wrong = [
        (one.fault, one.caution, "fault-not-there")
        for one in shuffled(rng, elsewhere)[: MOST_CHOICES - 1]
    ]
    mixed = shuffled(rng, [(template.fault, template.caution, ""), *wrong])
    mixed.append((NOTHING, "nothing", "nothing-seen"))
    choices = tuple(
        Choice(letter, shown, value, value == template.caution, trap)
        for letter, (shown, value, trap) in zip(LETTERS, mixed, strict=False)
    )
    misses = tuple(Miss(one.trap, one.value) for one in choices if one.trap)
    return Question(
        place, template, filled(template.text, words(drawn)), said, drawn, answer,
        template.caution, "", 0, 0.0, choices, misses, taught(answer, template.caution),
        _plate(said, template), _job(said),
    )  # fmt: skip


_PLATE_WORDS = {
    "vessel_volume": "total volume",
    "max_fill": "maximum fill",
    "rated": "working pressure",
    "allowed_gas": "for gas",
    "allowed_charger": "charger",
    "most_chargers": "most chargers",
    "hottest": "highest temperature",
    "head": "head",
    "inspection_due": "next inspection",
}
_JOB_WORDS = {
    "contents": "goes in",
    "strained": "strained",
    "temperature": "at",
    "gas": "gas of the chargers",
    "charger_gas_mass": "gas in one charger",
    "chargers": "chargers",
    "charger_temperature": "chargers lay at",
    "sequence": "order",
    "warmest": "warmest it will stand",
    "date": "day of use",
}
_ALWAYS_ON = ("vessel_volume", "max_fill", "rated")


def _shown(value: object) -> str:
    return " ".join(value) if isinstance(value, list) else str(value)


def _plate(said: Mapping[str, object], template: Template) -> tuple[tuple[str, str], ...]:
    """What the plate shows; a line that must be on it and cannot be read says so."""
    rows: list[tuple[str, str]] = []
    for name in PLATE:
        if name in said:
            gauge = ", gauge" if name == "rated" else ""
            rows.append((_PLATE_WORDS[name], _shown(said[name]) + gauge))
        elif name in template.unreadable and name in _ALWAYS_ON:
            rows.append((_PLATE_WORDS[name], _WORN))
    return tuple(rows)


def _job(said: Mapping[str, object]) -> tuple[tuple[str, str], ...]:
    return tuple((label, _shown(said[name])) for name, label in _JOB_WORDS.items() if name in said)


# ---- a paper ----

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

    @property
    def levels(self) -> str:
        """The levels in words."""
        return f"level {self.level}" if self.level is not None else "levels 1 to 3"

    @property
    def blank_answers(self) -> Json:
        """An answers file with nothing filled in."""
        return {
            "topic": self.topic,
            "seed": self.seed,
            "count": self.count,
            "level": self.level,
            **({"name": self.name} if self.name else {}),
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
            "questions": [_question(question) for question in self.questions],
            "answer_file": self.blank_answers,
        }
        if key:
            said["key"] = [key_of(question) for question in self.questions]
        return said


def make_paper(
    topic: str, count: int, seed: int, level: int | None = None, name: str = ""
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
    return Paper(topic, count, seed, level, tuple(made), name)


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
    for _ in range(_TRIES_FOR_A_NEW_ONE):
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
    answer = question.answer.to_dict()
    taught = question.taught
    return {
        "number": question.number,
        "id": question.template.id,
        "letter": question.letter,
        "right": question.shown,
        "value": question.right,
        "unit": question.unit,
        "accepted": question.accepted,
        "verdict": question.answer.verdict,
        "wrong": [wrong_of(choice.letter, choice.words, choice.trap)
                  for choice in question.choices if not choice.right],
        "working": answer["working"],
        "command": question.command,
        "caution": {"id": taught.id, "kind": taught.kind, "severity": taught.severity,
                    "text": taught.text, "action": taught.action, "source": taught.source},
        "sources": list(question.sources),
        "decides": question.template.decides,
    }  # fmt: skip


def wrong_of(letter: str, words: str, trap: str) -> Mapping[str, str]:
    """A wrong choice with the mistake that leads to it."""
    found = TRAPS.get(trap)
    return {
        "letter": letter,
        "words": words,
        "trap": trap,
        "done": found.done if found else "",
        "instead": found.right if found else "",
    }
