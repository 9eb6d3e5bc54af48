"""Questions made of templates and a generator, and the paper that they are put together to.

Every right answer of a number, a verdict or a fault is what the registry answers to the same words
on the command line. The same facts make the same paper. A class has the same questions in the same
order, each person with numbers of their own.
"""

from __future__ import annotations

import math
import re
import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from random import Random
from string import Formatter
from typing import Any

from prepkit import cautions
from prepkit.cautions import page_line
from prepkit.draws import draw, filled, generator, shuffled, words
from prepkit.drill.choices import (
    MOST_CHOICES,
    TRAPS,
    AnswerScale,
    Choice,
    Deal,
    Miss,
    QuestionWanted,
    numbers,
    placed,
    sounds,
    verdicts,
    worded,
)  # fmt: skip
from prepkit.drill.templates import (
    PLATE,
    VERDICTS,
    Binding,
    Constant,
    Template,
    placeholders,
    templates,
    topics_of,
)  # fmt: skip
from prepkit.errors import BadInput, by_option, named
from prepkit.inputs import Json
from prepkit.language import ENGLISH, Filled, checked, in_figures, in_words, said, turned
from prepkit.model import Answer, Caution, rounded
from prepkit.registry import house_pantry, load, validate, without_ways
from prepkit.render.short import as_printed
from prepkit.render.wall import plain
from prepkit.units import rounded_down, rounded_up

TRIES = 60
OTHER_PLACES_AFTER = 3  # tries of other numbers for the place that is wanted
VERDICT_TRIES = 150
OPEN_FIGURE = "…"  # where a caution that was not triggered has no figure
NOTHING = "nothing is wrong with it"
_WORN = "worn away, cannot be read"
GAUGE = "{value}, gauge"


@dataclass(frozen=True)
class Question:
    """A question, its right answer, and everything that its key prints."""

    number: int
    template: Template
    text: str
    said: Mapping[str, Any]  # Any: words, or a list of them
    drawn: Mapping[str, object]
    answer: Answer | None  # what the calculator answered; None where there is nothing to work out
    right: float | str
    unit: str
    digits: int
    tolerance: float
    choices: tuple[Choice, ...]
    misses: tuple[Miss, ...]
    taught: Caution
    plate: tuple[tuple[str, str], ...] = ()
    job: tuple[tuple[str, str], ...] = ()
    language: str = ENGLISH  # that its words are in

    @property
    def kind(self) -> str:
        """number, verdict, fault or ask."""
        return self.template.kind

    @property
    def place(self) -> int:
        """The place of the right choice, from 0."""
        return next(place for place, choice in enumerate(self.choices) if choice.right)

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
        """What counts as right, in the language of the question."""

        def say(text: str, **figures: object) -> str:
            return said(text, self.language, "paper", **figures)

        if self.kind in ("fault", "ask"):  # the choice says it in words
            return say("{letter}, or its words", letter=self.letter)
        if self.kind == "verdict":
            return say("{letter}, or {word}", letter=self.letter, word=say(str(self.right)))
        low, high = float(self.right) - self.tolerance, float(self.right) + self.tolerance
        digits = self.digits if self.tolerance >= 10.0**-self.digits else self.digits + 1
        if not self.tolerance:  # a number of things
            return in_figures(f"{rounded(low, 0)} {say(self.unit)}".rstrip(), self.language)
        ends = (rounded_up(low, digits), rounded_down(high, digits))  # both count as right
        shown = (in_figures(rounded(end, digits, self.unit), self.language) for end in ends)
        least, most = shown
        return say("{least} to {most} {unit}", least=least, most=most, unit=say(self.unit)).rstrip()

    @property
    def label(self) -> str:
        """What the calculator calls the value that is asked for; "" where it has none."""
        wanted = self.template.answer
        if not isinstance(wanted, str):
            return wanted.get("column", "")
        values = {} if self.answer is None else self.answer.values
        return values[wanted].label if wanted in values else ""

    @property
    def pressure(self) -> str:
        """ "gauge" or "absolute" where the answer is a pressure of that kind, else nothing."""
        return next((kind for kind in ("gauge", "absolute") if kind in self.label), "")

    @property
    def teaches(self) -> Caution:
        """The caution that it teaches, as it is printed: no sentence with a figure that is open."""
        row = self.taught
        action, more = _closed_sentences(row.action), _closed_sentences(row.more)
        text = _closed_sentences(row.text) or action or row.text
        return row.replaced(text=text, action=action or more or row.action, more=more)

    @property
    def triggered(self) -> bool:
        """Whether the caution that it teaches is among those of its answer, if it has one."""
        return self.answer is None or any(
            caution.id == self.taught.id for caution in self.answer.cautions
        )

    @property
    def command(self) -> str:
        """The command line that gives the same numbers; "" where nothing is worked out."""
        if self.answer is None:
            return ""
        parts = ["prepkit", self.template.calculator]
        specs = load(self.template.calculator).inputs.specs()
        for name, value in self.said.items():
            if specs[name].kind == "flag":
                parts += [by_option(named(name))] if value == "yes" else []
                continue
            for one in value if isinstance(value, list) else [value]:
                parts += [by_option(named(name)), shlex.quote(one)]
        return " ".join(parts)

    @property
    def by_hand(self) -> tuple[HandLine, ...]:
        """The work by hand with the numbers put in; the last line gives the answer."""
        values = {} if self.answer is None else _values(self.answer)
        return worked_by_hand(self.template, self.drawn, values)

    @property
    def sources(self) -> tuple[str, ...]:
        """The keys that the answer and the lesson rest on."""
        return tuple(dict.fromkeys((*self.template.sources, self.taught.source)))


def _closed_sentences(words: str) -> str:
    """The sentences in which every figure is filled in, with their temperatures as printed."""
    every = re.split(r"(?<=[.!?])\s+", words)
    return as_printed(" ".join(value for value in every if OPEN_FIGURE not in value))


@dataclass(frozen=True)
class HandLine:
    """A line of the work by hand: as it is written, with the numbers put in, and its result."""

    name: str
    sum: str
    numbers: str
    value: float


def worked_by_hand(
    template: Template, drawn: Mapping[str, object], values: Mapping[str, float]
) -> tuple[HandLine, ...]:
    """The lines with what the question says and the data sheet gives, and nothing else."""
    known = {name: float(value) for name, value in drawn.items() if isinstance(value, int | float)}
    known |= {constant.id: constant.value for constant in template.constants}
    for _text, name, digits, _as in Formatter().parse(template.text):
        if name and name in values and name not in known:  # as the question shows it
            known[name] = float(format(values[name], digits or "g"))
    found: list[HandLine] = []
    for step in template.by_hand:
        value = step.sum.value(known)
        found.append(HandLine(step.name, step.sum.text, step.sum.filled(known), value))
        if step.name:
            known[step.name] = value
    return tuple(found)


def make(
    template: Template,
    rng: Random,
    place: int,
    others: Sequence[Template] = (),
    wanted: QuestionWanted | None = None,
) -> Question:
    """One question; numbers are drawn again where two answers could not be told apart.

    `others` are the faults that could have been planted. `wanted` is held to as far as the data
    goes.
    """
    wanted = wanted or QuestionWanted()
    if not wanted.places:
        wanted = replace(wanted, places=tuple(shuffled(rng, range(MOST_CHOICES))))
    for tried in range(VERDICT_TRIES if wanted.verdict else TRIES):
        drawn = draw(rng, template.sound_draw if wanted.sound else template.draw)
        if template.answer == "ask":
            return _ask(template, drawn, rng, place, wanted)
        made = (
            _fault(template, drawn, rng, place, others, wanted)
            if template.answer == "fault"
            else _asked(template, drawn, rng, place, wanted, tried)
        )
        if made is not None:
            return made
    if wanted.verdict:
        return make(template, rng, place, others, replace(wanted, verdict=""))
    raise AssertionError(f"{template.id}: no numbers were found that make a fair question")


def _said(template: Template, drawn: Mapping[str, object]) -> Json:
    return _filled(template.inputs, drawn)


def _filled(inputs: Mapping[str, object], drawn: Mapping[str, object]) -> Json:
    """The inputs with the drawn words in them; what is drawn as nothing is left out."""
    texts = words(drawn)
    found: Json = {}
    for name, value in inputs.items():
        said = filled(value, texts)
        said = [one for one in said if one] if isinstance(said, list) else said
        if said not in ("", []):
            found[name] = said
    return found


def answered(calculator: str, said: Json) -> Answer:
    """What the calculator answers to these words, without the ways out of a stop."""
    return without_ways(calculator, validate(calculator, said, house_pantry()))


def taught(answer: Answer | None, caution_id: str) -> Caution:
    """The caution as the answer triggered it, or its plain row where it did not."""
    for caution in answer.cautions if answer is not None else ():
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
    template: Template,
    drawn: Mapping[str, object],
    rng: Random,
    place: int,
    wanted: QuestionWanted,
    tried: int,
) -> Question | None:
    said = _said(template, drawn)
    answer = answered(template.calculator, said)
    asked = filled_answer(template, drawn)
    found = _right(asked, answer)
    if found is None or wanted.verdict not in ("", found[0]):
        return None
    right, unit, digits = found
    digits = digits if template.digits is None else template.digits
    tolerance = _tolerance(template, right, digits)
    misses = _misses(template, drawn, answer, right)
    told = words({**_values(answer), **drawn})
    if isinstance(right, str):
        why = {key: filled(words_, told) for key, words_ in template.why.items()}
        choices = verdicts(right, misses, why)
    else:
        name = asked if isinstance(asked, str) else ""
        scale = AnswerScale(right, unit, digits, tolerance, name, template.between, template.zero)
        tolerance = 0.0 if scale.counts else tolerance  # half a vessel is none
        places = wanted.places if tried >= OTHER_PLACES_AFTER else wanted.places[:1]
        choices = numbers(scale, misses, places, rng, tried > TRIES // 4)
    if choices is None:
        return None
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
            of = binding.of
            found.append(Miss(of.name, of.gives(**given), of.done, of.right))
    return tuple(found)


def _given(binding: Binding, known: Mapping[str, float]) -> dict[str, float] | None:
    """The trap's arguments; None where the answer does not hold one of them."""
    given: dict[str, float] = {}
    for argument in binding.of.arguments:
        name, factor = binding.arguments.get(argument, (argument, 1.0))
        if name not in known:
            return None
        given[argument] = known[name] * factor
    return given


# questions in words


def _ask(
    template: Template, drawn: Mapping[str, object], rng: Random, place: int, wanted: QuestionWanted
) -> Question:
    told = words(drawn)
    wrong = tuple(
        Miss(
            f"{template.id}-{number}",
            filled(wrong_words.words, told),
            filled(wrong_words.why, told),
        )
        for number, wrong_words in enumerate(template.wrong, 1)
    )
    choices = worded([filled(text, told) for text in template.right], wrong, wanted, rng)
    right = next(choice.words for choice in choices if choice.right)
    lesson = taught(None, filled(template.caution, told))
    return Question(
        place, template, filled(template.text, told), {}, drawn, None, right, "", 0, 0.0, choices,
        wrong, lesson,
    )  # fmt: skip


# a load with one planted fault


def _fault(
    template: Template,
    drawn: Mapping[str, object],
    rng: Random,
    place: int,
    others: Sequence[Template],
    wanted: QuestionWanted,
) -> Question | None:
    said = _filled(template.sound, drawn) if wanted.sound else _said(template, drawn)
    answer = answered("siphon", said)
    triggered = {c.id for c in answer.cautions if not c.standing and c.severity != "note"}
    if triggered if wanted.sound else template.caution not in triggered:
        return None
    seen, missed = TRAPS["fault-not-there"], TRAPS["nothing-seen"]
    instead = template.nothing if wanted.sound and template.nothing else seen.right
    could_be = [one for one in others if one.id != template.id and one.caution not in triggered]
    could_be = shuffled(rng, could_be)
    if wanted.sound:  # what would have been planted is as likely as the others
        could_be.insert(0, template)
    wrong = [
        (one.fault, Miss(seen.name, one.caution, seen.done, instead))
        for one in could_be[: MOST_CHOICES - 1]
    ]
    nothing = (NOTHING, Miss(missed.name, "nothing", missed.done, missed.right))
    if wanted.sound:
        right = (NOTHING, "nothing")
    else:
        right = (template.fault, template.caution)
        wrong = [*wrong[: MOST_CHOICES - 2], nothing]
    choices = placed(right, shuffled(rng, wrong), wanted, rng)
    misses = tuple(
        Miss(choice.trap, choice.value, choice.done, choice.instead)
        for choice in choices
        if choice.trap
    )
    return Question(
        place, template, filled(template.text, words(drawn)), said, drawn, answer,
        right[1], "", 0, 0.0, choices, misses, taught(answer, template.caution),
        _plate(said), _job(said),
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


def _shown(value: object) -> str:
    if isinstance(value, list) and len(value) > 1:
        named = {f"part{number}": one for number, one in enumerate(value, 1)}
        return Filled(" ".join(f"{{{name}}}" for name in named), named)
    one = value[0] if isinstance(value, list) else value
    return one if isinstance(one, str) else str(one)


def _plate(said: Mapping[str, object]) -> tuple[tuple[str, str], ...]:
    """What the plate shows: every line of a plate, so that none tells by its absence.

    A line that the load does not have cannot be read.
    """
    rows: list[tuple[str, str]] = []
    for name in PLATE:
        shown = _shown(said[name]) if name in said else _WORN
        shown = Filled(GAUGE, {"value": shown}) if name == "rated" and name in said else shown
        rows.append((_PLATE_WORDS[name], shown))
    return tuple(rows)


def _job(said: Mapping[str, object]) -> tuple[tuple[str, str], ...]:
    return tuple((label, _shown(said[name])) for name, label in _JOB_WORDS.items() if name in said)


# ---- a paper: questions from a seed ----


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
                {
                    "words": constant.words,
                    "value": constant.value,
                    "unit": constant.unit,
                    "source": constant.source,
                }
                for constant in self.sheet
            ],
            "answer_file": self.blank_answers,
        }
        if key:
            said["key"] = [key_of(question) for question in self.questions]
        return said


def data_sheet(topic: str, language: str = ENGLISH) -> tuple[Constant, ...]:
    """Every constant that a question of a topic or a group can need, in order of their words."""
    found = {
        constant.id: replace(constant, words=in_words(constant.words, language, of))
        for of in topics_of(topic)
        for template in templates(of)
        for constant in template.constants
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
    faults = tuple(template for template in templates("siphon") if template.kind == "fault")
    made: list[Question] = []
    seen: set[str] = set()
    for number, plan in enumerate(planned, 1):
        kind = plan.template.kind
        places = dealt["number" if kind == "number" else "word"]
        wanted = QuestionWanted(
            places.wanted(), dealt["length"].wanted(), careful.wanted()[0], plan.verdict, plan.sound
        )
        rng = generator("numbers", topic, seed, level, after + number, *whose)
        question = _new(plan.template, rng, number, faults, wanted, seen)
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
    questions = tuple(_in_language(question, language) for question in english.questions)
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
                choice,
                words=words(choice.words),
                value=value(choice.value),
                done=each(choice.done),
                instead=each(choice.instead),
            )
            for choice in question.choices
        ),
        misses=tuple(
            replace(miss, done=each(miss.done), instead=each(miss.instead))
            for miss in question.misses
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
            constants=tuple(
                replace(constant, words=words(constant.words)) for constant in template.constants
            ),
        ),
    )


def _same(question: Question) -> str:
    return repr((question.text, question.plate, question.job))


def _new(
    template: Template,
    rng: Random,
    number: int,
    faults: tuple[Template, ...],
    wanted: QuestionWanted,
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
class QuestionPlan:
    """What a question is to be: its template, the verdict it comes to, whether nothing is wrong."""

    template: Template
    verdict: str = ""
    sound: bool = False


@cache
def _pool(topic: str, level: int | None) -> tuple[tuple[Template, ...], Mapping[str, int]]:
    """The templates of a topic or a group, and how many different questions each is good for."""
    pool = tuple(
        template for of in topics_of(topic) for template in templates(of)
        if level is None or template.level == level
    )  # fmt: skip
    return pool, {template.id: different(template) for template in pool}


@cache
def _sound_loads(topic: str, level: int | None) -> Mapping[str, int]:
    """How many different loads with nothing wrong there are, by the load."""
    return {
        template.load: _many(template.sound, template.sound_draw)
        for template in _pool(topic, level)[0]
    }


@lru_cache(maxsize=64)
def _plan(topic: str, count: int, seed: int, level: int | None) -> tuple[QuestionPlan, ...]:
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
    planned: list[QuestionPlan] = []
    taught: set[str] = set()
    turn: list[Template] = []
    while len(planned) < count:
        turn = turn or _spread([template for template in pool if left[template.id]], rng)
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
        planned.append(QuestionPlan(one, verdict, as_it_is))
    return tuple(planned)


def _dealt(deal: Deal[bool]) -> bool:
    found = deal.wanted()[0]
    deal.took(found)
    return found


def _with_verdict(turn: Sequence[Template], verdicts: Deal[str]) -> tuple[Template, str]:
    """The next template that can come to the verdict that is wanted, and that verdict."""
    here = [template for template in turn if template.kind == "verdict"]
    if not here[0].verdicts:
        return here[0], ""
    wanted = verdicts.wanted()
    near = here[:_NEAR]
    verdict = next(text for text in wanted if any(text in of.verdicts for of in near))
    verdicts.took(verdict)
    return next(of for of in near if verdict in of.verdicts), verdict


def _spread(pool: Sequence[Template], rng: Random) -> list[Template]:
    """The templates in a new order, in which kinds and topics are spread evenly."""
    kinds: dict[str, dict[str, list[Template]]] = {}
    for template in pool:
        kinds.setdefault(template.kind, {}).setdefault(template.topic, []).append(template)
    found: list[tuple[float, Template]] = []
    for topics in kinds.values():
        spread = [
            (place + rng.random(), template)  # a turn of each topic, then the next turn
            for of in topics.values()
            for place, template in enumerate(shuffled(rng, of))
        ]
        found += _placed([template for _, template in sorted(spread, key=_first)], rng)
    return [template for _, template in sorted(found, key=_first)]


def _placed(of: Sequence[Template], rng: Random) -> list[tuple[float, Template]]:
    """Places from 0 to 1 at even distances, each within its own share."""
    return [((place + rng.random()) / len(of), template) for place, template in enumerate(of)]


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
        for one in value if isinstance(value, list) else [value]:
            shown |= set(placeholders(str(one)))
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
