"""A filled-in paper marked: right within tolerance, or wrong and into which trap.

The answers file is JSON of our own: {"topic": "siphon", "seed": 7, "count": 5, "level": null,
"answers": {"1": "13.1 bar", "2": "B"}}. An answer is a number with its unit, a letter, a verdict,
or the id of a caution.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from prepkit.drill.paper import Paper, make_paper
from prepkit.drill.questions import Choice, Question
from prepkit.drill.traps import TRAPS
from prepkit.errors import BadInput, FileProblem, one_line
from prepkit.file_lines import place_of
from prepkit.model import Json
from prepkit.units import parse_number, parse_quantity

LARGEST_FILE = 1 << 20
# a reader may write the same scale in other words
_ALSO = {"% w/w": ("Bx", "%"), "Bx": ("% w/w", "%"), "%": ("% vol", "% w/w"), "% vol": ("%",)}
_IN_FRONT = re.compile(
    r"^(?:(?:about|around|approximately|approx\.?|ca\.?|circa|roughly)\s+|[~≈=]\s*)+"
)
_OTHER_WORDS = (
    (re.compile(r"\bminus\s+(?=[\d.,])", re.IGNORECASE), "-"),
    (re.compile(r"\bdegrees?\s+(?:of\s+)?brix\b", re.IGNORECASE), "Bx"),
    (re.compile(r"\b(?:ml|cm3|cc)\s*(?:/|per)\s*m(?:3|³)", re.IGNORECASE), "ppm"),
    (re.compile(r"\bparts\s+per\s+million\b", re.IGNORECASE), "ppm"),
    (re.compile(r"(?<=%)\s*(?:of\s+)?(?:oxygen|O2)$", re.IGNORECASE), ""),
)
_NOT = re.compile(r"\b(?:no|not|never|neither|nor|or|unless)\b|n't\b|/|\?", re.IGNORECASE)


@dataclass(frozen=True)
class Sheet:
    """An answers file: which paper it belongs to, and what was written."""

    topic: str
    seed: int
    count: int
    level: int | None
    answers: Mapping[int, str]
    name: str = ""


@dataclass(frozen=True)
class Mark:
    """How one answer was marked; `outcome` is right, wrong, blank or unreadable.

    What is unreadable is asked again, and neither its right answer nor its key is shown.
    """

    question: Question
    given: str
    outcome: str
    trap: str = ""
    note: str = ""


@dataclass(frozen=True)
class Marked:
    """A paper with its marks."""

    paper: Paper
    marks: tuple[Mark, ...]

    @property
    def right(self) -> int:
        """How many are right."""
        return sum(mark.outcome == "right" for mark in self.marks)

    @property
    def again(self) -> tuple[Mark, ...]:
        """What could not be read and is asked again."""
        return tuple(mark for mark in self.marks if mark.outcome == "unreadable")

    @property
    def traps(self) -> dict[str, int]:
        """The traps that were fallen into, most often first."""
        return dict(Counter(mark.trap for mark in self.marks if mark.trap).most_common())

    def to_dict(self) -> Json:
        """The JSON form."""
        return {
            "topic": self.paper.topic,
            "seed": self.paper.seed,
            "count": self.paper.count,
            "level": self.paper.level,
            **({"name": self.paper.name} if self.paper.name else {}),
            "right": self.right,
            "ask_again": [mark.question.number for mark in self.again],
            "traps": self.traps,
            "marks": [_mark(mark) for mark in self.marks],
        }


def _mark(mark: Mark) -> Json:
    trap = TRAPS.get(mark.trap)
    question = mark.question
    again = mark.outcome == "unreadable"
    return {
        "number": question.number,
        "given": mark.given,
        "outcome": mark.outcome,
        "right": "" if again else f"{question.letter}: {question.shown}",
        "accepted": "" if again else question.accepted,
        "trap": mark.trap,
        "done": trap.done if trap else "",
        "instead": trap.right if trap else "",
        "note": mark.note,
        "caution": question.taught.id,
        "decides": question.template.decides,
    }


# reading the file


def read_sheet(path: Path) -> Sheet:
    """The answers file; FileProblem with one sentence where it cannot be used."""
    try:
        with path.open("rb") as file:
            raw = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise FileProblem(f"{str(path)!r} cannot be read: {why}.") from error
    if len(raw) > LARGEST_FILE:
        raise FileProblem(f"{path} is larger than 1 MiB; an answers file is a few lines of JSON.")
    try:
        said = json.loads(raw.decode("utf-8-sig"), object_pairs_hook=_once)
    except UnicodeDecodeError as error:
        raise FileProblem(f"{path} is not UTF-8 text; an answers file is JSON.") from error
    except json.JSONDecodeError as error:
        raise FileProblem(
            f"{path} is no JSON: line {error.lineno}, column {error.colno}: {error.msg}."
        ) from error
    except (ValueError, RecursionError) as error:
        raise FileProblem(f"{path} is no answers file: {error}.") from error
    return _sheet(said, path)


def _once(pairs: list[tuple[str, object]]) -> Json:
    found = dict(pairs)
    if len(found) != len(pairs):
        twice = next(name for name, many in Counter(n for n, _ in pairs).items() if many > 1)
        raise ValueError(f'"{twice}" is written twice')
    return found


def _sheet(said: object, path: Path) -> Sheet:
    from prepkit.drill.answers_file import AnswersFile
    from prepkit.file_models import ValidationError, problems

    if not isinstance(said, dict):
        keys = " and ".join(f'"{key}"' for key in ("topic", "seed", "count", "answers"))
        raise FileProblem(f"{path}: an answers file is an object with {keys}.")
    try:
        read = AnswersFile.read(said)
    except ValidationError as error:
        first = problems(AnswersFile, error)[0]
        place = f"{place_of(first.path)}: " if first.path else ""
        raise FileProblem(f"{path}: {one_line(place)}{first.sentence}") from error
    return Sheet(read.topic, read.seed, read.count, read.level, read.answers, read.name or "")


# marking


def mark_paper(sheet: Sheet, paper: Paper | None = None) -> Marked:
    """Each answer marked; the paper is made again from its facts where it is not at hand."""
    paper = paper or make_paper(sheet.topic, sheet.count, sheet.seed, sheet.level, sheet.name)
    return Marked(
        paper, tuple(mark(one, sheet.answers.get(one.number, "")) for one in paper.questions)
    )


def mark(question: Question, given: str) -> Mark:
    """One answer marked.

    Read are a letter, the words of a choice, a number with its unit, and a letter with its choice.
    """
    tidy = " ".join(given.split())
    if not tidy:
        return Mark(question, "", "blank")
    choice = _whole(question, tidy)
    if choice is not None:
        return _chosen(question, tidy, choice)
    letter, rest = _letter_and_more(question, tidy)
    if letter is not None:
        return _both(question, tidy, letter, rest)
    choice = _by_letter(question, tidy) or _by_words(question, tidy)
    if choice is not None:
        return _chosen(question, tidy, choice)
    if question.kind != "number":
        letters = ", ".join(one.letter for one in question.choices)
        return Mark(question, tidy, "unreadable", note=f"Write one of the letters {letters}.")
    try:
        value = _value(question, tidy)
    except BadInput as error:
        return Mark(question, tidy, "unreadable", note=error.message)
    return _numbered(question, tidy, value)


def _whole(question: Question, given: str) -> Choice | None:
    """The choice whose very words these are; not for a number, which is read as one."""
    if question.kind == "number":
        return None
    said = given.casefold()
    return next((one for one in question.choices if one.words.casefold() == said), None)


def _by_letter(question: Question, given: str) -> Choice | None:
    letter = given.strip("()[].:!, ").upper()
    return next((one for one in question.choices if one.letter == letter), None)


def _letter_and_more(question: Question, given: str) -> tuple[Choice | None, str]:
    """The choice whose letter stands in front of more words, and those words."""
    found = re.match(r"[(\[]?([A-Za-z])(?:[)\].:]\s*|\s+(?:=\s*)?)(.+)", given)
    letter = None if found is None else _by_letter(question, found[1])
    # "a lot" begins with a letter too: what follows must be a number or the words of a choice
    return letter, found[2] if found is not None and letter is not None else ""


def _both(question: Question, given: str, letter: Choice, rest: str) -> Mark:
    """A letter and words beside it: right or wrong where the two say the same."""
    if question.kind == "number":
        try:
            value = _value(question, rest)
        except BadInput as error:
            return Mark(question, given, "unreadable", note=error.message)
        slack = max(question.tolerance, 0.5 * 10.0**-question.digits) * (1 + 1e-9)
        same = abs(value - float(letter.value)) <= slack
    else:
        same = _by_words(question, rest) == letter
    if same:
        return _chosen(question, given, letter)
    said = f"{letter.letter} is {letter.words}"
    return Mark(
        question, given, "unreadable", note=f"{said}, which is not {rest!r}. Write one of them."
    )


def _by_words(question: Question, given: str) -> Choice | None:
    """A choice by its words, its verdict or its caution; numbers are read as numbers."""
    if question.kind == "number":
        return None
    said = given.casefold().rstrip(".!;, ")
    if question.kind == "verdict":
        return _verdict(question, said)
    return next(
        (
            one
            for one in question.choices
            if said in (str(one.value).casefold(), one.words.casefold())
        ),
        None,
    )


def _verdict(question: Question, said: str) -> Choice | None:
    """The one verdict that the words name; none where they name two, or say what it is not."""
    if _NOT.search(said.partition(":")[0]):
        return _whole(question, said)
    words = set(re.findall(r"\w+", said.partition(":")[0]))
    named = [one for one in question.choices if str(one.value) in words]
    return named[0] if len(named) == 1 else None


def _chosen(question: Question, given: str, choice: Choice) -> Mark:
    if choice.right:
        return Mark(question, given, "right")
    return Mark(question, given, "wrong", choice.trap)


def _value(question: Question, given: str) -> float:
    """The answer in the question's unit; BadInput where it cannot be read."""
    field = f"answer {question.number}"
    said = _IN_FRONT.sub("", given).rstrip(".!; ")
    for words, plain in _OTHER_WORDS:
        said = words.sub(plain, said)
    if not question.unit:
        return _count(question, said, field)
    pressure = question.pressure
    try:
        return float(parse_quantity(said, (question.unit,), field, bare=True, pressure=pressure))
    except BadInput:
        for unit in _ALSO.get(question.unit, ()):
            try:
                return float(parse_quantity(said, (unit,), field))
            except BadInput:
                continue
        raise


def _count(question: Question, said: str, field: str) -> float:
    """A bare number; after it only words that the question counts in."""
    value, rest = parse_number(said, field)
    counted = re.findall(r"\w+", question.text.casefold())
    for word in re.findall(r"\w+", rest.casefold()):
        if any(one.isdigit() for one in word) or (
            word not in counted and f"{word}s" not in counted and word.rstrip("s") not in counted
        ):
            raise BadInput(f'{field} is "{said}"; write the number alone.', field)
    return value


def _numbered(question: Question, given: str, value: float) -> Mark:
    right = float(question.right)
    if abs(value - right) <= question.tolerance * (1 + 1e-9):
        return Mark(question, given, "right")
    near: list[tuple[float, str]] = []
    for miss in question.misses:
        off = abs(value - float(miss.value))
        wide = question.tolerance * (abs(float(miss.value) / right) if right else 1.0)
        if off <= max(wide, 0.5 * 10.0**-question.digits) * (1 + 1e-9):
            near.append((off, miss.trap))
    if near:
        return Mark(question, given, "wrong", min(near)[1])
    for power in (-3, -2, -1, 1, 2, 3):
        if abs(value * 10.0**power - right) <= question.tolerance:
            return Mark(
                question, given, "wrong",
                note="The figures are right, the decimal point or the unit is not.",
            )  # fmt: skip
    return Mark(question, given, "wrong")
