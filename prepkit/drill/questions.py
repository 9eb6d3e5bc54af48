"""A template and a generator to a question with its answer, its choices and its traps.

Every right answer of a number, a verdict or a fault is what the registry answers to the same words
on the command line.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random
from string import Formatter
from typing import Any

from prepkit import cautions
from prepkit.draws import draw, filled, shuffled, words
from prepkit.drill.choices import (
    MOST_CHOICES,
    TRAPS,
    Choice,
    Miss,
    Scale,
    Wanted,
    numbers,
    placed,
    verdicts,
    worded,
)  # fmt: skip
from prepkit.drill.templates import PLATE, Binding, Template
from prepkit.errors import by_option, named
from prepkit.inputs import Json
from prepkit.language import ENGLISH, Filled, in_figures, said
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
        shown = (in_figures(rounded(one, digits, self.unit), self.language) for one in ends)
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
    return as_printed(" ".join(one for one in every if OPEN_FIGURE not in one))


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
    known |= {one.id: one.value for one in template.constants}
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
    wanted: Wanted | None = None,
) -> Question:
    """One question; numbers are drawn again where two answers could not be told apart.

    `others` are the faults that could have been planted. `wanted` is held to as far as the data
    goes.
    """
    wanted = wanted or Wanted()
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
    wanted: Wanted,
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
        why = {one: filled(words_, told) for one, words_ in template.why.items()}
        choices = verdicts(right, misses, why)
    else:
        name = asked if isinstance(asked, str) else ""
        scale = Scale(right, unit, digits, tolerance, name, template.between, template.zero)
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
    template: Template, drawn: Mapping[str, object], rng: Random, place: int, wanted: Wanted
) -> Question:
    told = words(drawn)
    wrong = tuple(
        Miss(f"{template.id}-{number}", filled(one.words, told), filled(one.why, told))
        for number, one in enumerate(template.wrong, 1)
    )
    choices = worded([filled(one, told) for one in template.right], wrong, wanted, rng)
    right = next(one.words for one in choices if one.right)
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
    wanted: Wanted,
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
    misses = tuple(Miss(one.trap, one.value, one.done, one.instead) for one in choices if one.trap)
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
