"""prepkit drill: papers made, filled in and marked.

Only `marking` reads one.

The answers file is JSON of our own: {"topic": "siphon", "seed": 7, "count": 5, "level": null,
"answers": {"1": "13.1 bar", "2": "B"}}. An answer is a number with its unit, a letter, a verdict,
or the id of a caution.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Annotated

import click

from prepkit.cli import Command, FileName, WholeNumber
from prepkit.drill.choices import VERDICTS, Miss
from prepkit.drill.choices import Choice as PaperChoice
from prepkit.drill.paper import (
    LARGEST_SEED,
    LONGEST_ANSWER,
    LONGEST_NAME,
    MOST_QUESTIONS,
    Paper,
    Question,
    in_language,
    make_paper,
)
from prepkit.drill.templates import LEVELS, PAPERS
from prepkit.errors import BadInput, BadRecipe, FileProblem, named, one_line
from prepkit.file_models import Before, Beside, FileModel, Form, Integer, Text, WordChoice
from prepkit.files import place_of
from prepkit.inputs import Json
from prepkit.language import ENGLISH, _, in_figures, languages, speaking, spoken, understood
from prepkit.units import BY_WORD, UNITS, parse_number, parse_quantity

# ---- what an answers file of a paper may hold ----


class PaperLevel(Integer):
    """The level of a paper; null for all of them."""

    def _taken(self, value: object) -> object:
        return None if value is None else super()._taken(value)


class Name(Text):
    """Whose paper it is: a name on one line."""

    def read(self, value: object) -> str:
        """The name as the paper was made for it."""
        name = " ".join(super().read(value).split())
        if len(name) > LONGEST_NAME:
            raise BadRecipe(f"it has {len(name)} characters; write at most {LONGEST_NAME}.")
        return name


class NumberedAnswers(Beside):
    """The answers by the number of their question."""

    missing = 'it is missing. Write it as {"1": "13.1 bar", "2": "B"}.'

    def read_beside(self, value: object, before: Before) -> dict[int, str]:
        """The words that were written, on one line each."""
        if not isinstance(value, dict):
            raise BadRecipe(self.missing)
        count = before.get("count", MOST_QUESTIONS)
        found: dict[int, str] = {}
        for name, given in value.items():
            if not (name.isascii() and name.isdigit() and name == str(int(name[:9]))):
                raise BadRecipe(
                    f'{ascii(name)[:60]} is not the number of a question. Write "1", "2" and so on.'
                )
            if not 1 <= int(name) <= count:
                raise BadRecipe(f"there is no question {name}; the paper has {count}.")
            if not isinstance(given, str) or len(given) > LONGEST_ANSWER:
                raise BadRecipe(f'the answer to {name} must be text of a line, such as "13.1 bar".')
            found[int(name)] = "".join(text if text.isprintable() else " " for text in given)
        return found

    def form(self) -> Form:
        """Words by number."""
        return {
            "type": "object",
            "propertyNames": {"pattern": "^[1-9][0-9]*$"},
            "additionalProperties": {"type": "string", "maxLength": LONGEST_ANSWER},
        }


class AnswersFile(FileModel, called="answers"):
    """Which paper it belongs to, and what was written."""

    topic: Annotated[str, WordChoice("The subject of the paper.", PAPERS)]
    seed: Annotated[int, Integer("The number that its questions follow from.", 0, LARGEST_SEED)]
    count: Annotated[int, Integer("How many questions it has.", 1, MOST_QUESTIONS)]
    level: Annotated[int | None, PaperLevel("Its level.", LEVELS[0], LEVELS[-1])] = None
    name: Annotated[str | None, Name("Whose paper it is, in a class.", "Asha")] = None
    language: Annotated[str, WordChoice("The language of its words.", languages())] = ENGLISH
    after: Annotated[
        int, Integer("Questions of its seed that another paper asked before.", 0, MOST_QUESTIONS)
    ] = 0
    answers: Annotated[Mapping[int, str], NumberedAnswers("The answers written, by question.")]


# ---- a filled-in paper marked ----

LARGEST_FILE = 1 << 20
# a bare % is of the kind that is asked for; another kind of % is another number
_ALSO = {"% w/w": ("%",), "Bx": ("% w/w", "%"), "% vol": ("%",)}
_DEGREES_BRIX = ("sugar", "dissolved solids")  # by weight, so that Bx is the same scale
_IN_FRONT = re.compile(
    r"^(?:(?:about|around|approximately|approx\.?|ca\.?|circa|roughly)\s+|[~≈=]\s*)+"
)
_OTHER_WORDS = (
    (re.compile(r"\bminus\s+(?=[\d.,])", re.IGNORECASE), "-"),
    (re.compile(r"\bdegrees?\s+(?:of\s+)?brix\b", re.IGNORECASE), "Bx"),
    (re.compile(r"\b(?:ml|cm3|cc)\s*(?:/|per)\s*m(?:3|³)", re.IGNORECASE), "ppm"),
    (re.compile(r"\bparts\s+per\s+million\b", re.IGNORECASE), "ppm"),
    (re.compile(r"(?<=[a-z])\s*(?:/|\bper\b)\s*(?=[a-z])", re.IGNORECASE), "/"),
)
# a gas behind its share is read where that gas is asked for
_GASES = {
    "oxygen": "oxygen|O2",
    "carbon dioxide": "carbon dioxide|CO2",
    "nitrous oxide": "nitrous oxide|N2O",
    "carbon monoxide": "carbon monoxide|CO",
}
_PH = re.compile(r"^pH\b\s*[=:]?\s*", re.IGNORECASE)
_THOUSANDS = re.compile(r"\d\.\d{3}(?!\d)")  # a dot that another language writes for thousands
# what makes an answer another one, or one on a condition
_NOT = re.compile(
    r"\b(?:no|not|non|never|neither|nor|or|unless|if|when|but|without|except|far from|"
    r"instead of|rather than|dont|isnt|wrong|hardly)\b|n['’]t\b|/|\?",
    re.IGNORECASE,
)
_CALLED = re.compile(
    r"^(?:(?:the|my)\s+)?(?:answer|letter|choice)\b(?:\s+is\b|\s*[:=])?\s*", re.IGNORECASE
)
# words that change nothing about the verdict beside them; others could deny or limit it
_PLAIN_WORDS = """
1 a ahead all an answer clearly definitely go here i is it its my s say so that the this
verdict with
"""
_PLAIN = frozenset(_PLAIN_WORDS.split())


@dataclass(frozen=True)
class AnswerSheet:
    """An answers file: which paper it belongs to, and what was written."""

    topic: str
    seed: int
    count: int
    level: int | None
    answers: Mapping[int, str]
    name: str = ""
    language: str = ENGLISH
    after: int = 0


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
    done: str = ""
    instead: str = ""


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

    @property
    def fallen(self) -> tuple[tuple[Mark, int], ...]:
        """An answer for each trap that was fallen into, and how often, most often first."""
        first = {mark.trap: mark for mark in reversed(self.marks) if mark.trap}
        return tuple((first[name], times) for name, times in self.traps.items())

    def in_language(self, language: str) -> Marked:
        """The marks with questions and mistakes in a language; a note stays as it was said."""
        paper = in_language(self.paper, language)
        pairs = zip(self.marks, paper.questions, strict=True)
        return Marked(paper, tuple(_in_language(mark, question) for mark, question in pairs))

    def to_dict(self) -> Json:
        """The JSON form."""
        return {
            "topic": self.paper.topic,
            "seed": self.paper.seed,
            "count": self.paper.count,
            "level": self.paper.level,
            **({"name": self.paper.name} if self.paper.name else {}),
            **self.paper.in_other_words,
            "right": self.right,
            "ask_again": [mark.question.number for mark in self.again],
            "traps": self.traps,
            "marks": [_mark(mark) for mark in self.marks],
        }


def _in_language(mark: Mark, question: Question) -> Mark:
    if not mark.trap:
        return replace(mark, question=question)
    every: tuple[PaperChoice | Miss, ...] = (*question.choices, *question.misses)
    of = next(one for one in every if one.trap == mark.trap)
    return replace(mark, question=question, done=of.done, instead=of.instead)


def _mark(mark: Mark) -> Json:
    question = mark.question
    again = mark.outcome == "unreadable"
    return {
        "number": question.number,
        "given": mark.given,
        "outcome": mark.outcome,
        "right": "" if again else f"{question.letter}: {question.shown}",
        "accepted": "" if again else question.accepted,
        "trap": mark.trap,
        "done": mark.done,
        "instead": mark.instead,
        "note": mark.note,
        "caution": question.taught.id,
        "decides": question.template.decides,
    }


# reading the file


def read_sheet(path: Path) -> AnswerSheet:
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
    except RecursionError as error:
        raise FileProblem(f"{path} is no answers file: its brackets go too deep.") from error
    except ValueError as error:
        raise FileProblem(f"{path} is no answers file: {error}.") from error
    return _sheet(said, path)


def _once(pairs: list[tuple[str, object]]) -> Json:
    found = dict(pairs)
    if len(found) != len(pairs):
        twice = next(name for name, many in Counter(n for n, _ in pairs).items() if many > 1)
        raise ValueError(f'"{twice}" is written twice')
    return found


def _sheet(said: object, path: Path) -> AnswerSheet:
    from pydantic_core import ValidationError

    from prepkit.file_models import problems

    if not isinstance(said, dict):
        keys = " and ".join(f'"{key}"' for key in ("topic", "seed", "count", "answers"))
        raise FileProblem(f"{path}: an answers file is an object with {keys}.")
    try:
        read = AnswersFile.read(said)
    except ValidationError as error:
        first = problems(AnswersFile, error)[0]
        place = f"{place_of(first.path)}: " if first.path else ""
        raise FileProblem(f"{path}: {one_line(place)}{first.sentence}") from error
    return AnswerSheet(
        read.topic, read.seed, read.count, read.level, read.answers, read.name or "",
        read.language, read.after,
    )  # fmt: skip


# marking


def mark_paper(sheet: AnswerSheet, paper: Paper | None = None) -> Marked:
    """Each answer marked; the paper is made again from its facts where it is not at hand."""
    paper = paper or make_paper(
        sheet.topic, sheet.count, sheet.seed, sheet.level, sheet.name, sheet.language, sheet.after
    )
    with spoken(paper.language):
        return Marked(
            paper,
            tuple(
                mark(question, sheet.answers.get(question.number, ""))
                for question in paper.questions
            ),
        )


def mark(question: Question, given: str) -> Mark:
    """One answer marked.

    Read are a letter, the words of a choice, a number with its unit, and a letter with its choice,
    in the words of any language that has a catalogue.
    """
    tidy = " ".join(given.split())
    if not tidy:
        return Mark(question, "", "blank")
    choice = _whole(question, tidy)
    if choice is None and question.kind in ("fault", "ask"):  # its words stand as they are
        choice = _by_words(question, tidy)
    if choice is not None:
        return _chosen(question, tidy, choice)
    if question.kind in ("fault", "ask") and (own := _read(question, tidy)).outcome != "unreadable":
        return own
    return replace(_read(question, understood(tidy)), given=tidy)


def _read(question: Question, tidy: str) -> Mark:
    said = _CALLED.sub("", tidy)
    letter, rest = _letter_and_more(question, said)
    if letter is not None:
        return _both(question, tidy, letter, rest)
    choice = _by_letter(question, said) or _by_words(question, said)
    if choice is not None:
        return _chosen(question, tidy, choice)
    if question.kind != "number":
        letters = ", ".join(one.letter for one in question.choices)
        note = _("Write one of the letters {letters}.", letters=letters)
        return Mark(question, tidy, "unreadable", note=note)
    try:
        value = _value(question, said)
    except BadInput as error:
        return Mark(question, tidy, "unreadable", note=_note(question, error))
    return _numbered(question, tidy, value)


def _note(question: Question, error: BadInput) -> str:
    """Why a number cannot be read; in another language, how one is written."""
    if question.language == ENGLISH:
        return error.message
    example = in_figures(f"13.1 {_(question.unit)}".rstrip(), question.language)
    return _('Write a number such as "{example}", or a letter.', example=example)


def _whole(question: Question, given: str) -> PaperChoice | None:
    """The choice whose very words these are, alone or behind its letter; not for a number."""
    if question.kind == "number":
        return None
    letter, rest = _letter_and_more(question, given)
    for choice in question.choices:
        if _bare(choice.words) in (_bare(given), _bare(rest) if choice == letter else ""):
            return choice
    return None


def _bare(given: str) -> str:
    """Words without capitals and without the mark at their end."""
    return given.casefold().rstrip(".!;, ")


def _by_letter(question: Question, given: str) -> PaperChoice | None:
    letter = given.strip("()[].:!, ").upper()
    return next((choice for choice in question.choices if choice.letter == letter), None)


def _letter_and_more(question: Question, given: str) -> tuple[PaperChoice | None, str]:
    """The choice whose letter stands in front of more words, and those words."""
    found = re.match(r"[(\[]?([A-Za-z])(?:[)\].:,;]\s*|\s+(?:=\s*)?)(.+)", given)
    letter = None if found is None else _by_letter(question, found[1])
    # "a lot" begins with a letter too: what follows must be a number or the words of a choice
    return letter, found[2] if found is not None and letter is not None else ""


def _both(question: Question, given: str, letter: PaperChoice, rest: str) -> Mark:
    """A letter and words beside it: right or wrong where the two say the same."""
    if question.kind == "number":
        try:
            value = _value(question, rest)
        except BadInput as error:
            return Mark(question, given, "unreadable", note=_note(question, error))
        slack = max(question.tolerance, 0.5 * 10.0**-question.digits) * (1 + 1e-9)
        same = abs(value - float(letter.value)) <= slack
    else:
        same = _by_words(question, rest) == letter
    if same:
        return _chosen(question, given, letter)
    note = _(
        "{letter} is {words}, which is not {rest}. Write one of them.",
        letter=letter.letter, words=letter.words, rest=repr(rest),
    )  # fmt: skip
    return Mark(question, given, "unreadable", note=note)


def _by_words(question: Question, given: str) -> PaperChoice | None:
    """A choice by its words, its verdict or its caution; numbers are read as numbers."""
    if question.kind == "number":
        return None
    said = _bare(given)
    if question.kind == "verdict":
        return _verdict(question, said)
    return next(
        (
            choice
            for choice in question.choices
            if said in (str(choice.value).casefold(), _bare(choice.words))
        ),
        None,
    )


def _verdict(question: Question, said: str) -> PaperChoice | None:
    """The one verdict that the words name; none where another word could turn it or limit it."""
    in_full = [choice for choice in question.choices if said == VERDICTS[str(choice.value)]]
    if in_full or _NOT.search(said):
        return in_full[0] if in_full else _whole(question, said)
    verdicts = {str(choice.value) for choice in question.choices}
    head, _colon, reason = said.partition(":")  # "stop: too full"
    if set(re.findall(r"\w+", head)) - _PLAIN - verdicts:
        return _whole(question, said)
    words = set(re.findall(r"\w+", f"{head} {reason}"))
    named = [choice for choice in question.choices if str(choice.value) in words]
    return named[0] if len(named) == 1 else None


def _chosen(question: Question, given: str, choice: PaperChoice) -> Mark:
    if choice.right:
        return Mark(question, given, "right")
    return Mark(question, given, "wrong", choice.trap, "", choice.done, choice.instead)


def _value(question: Question, given: str) -> float:
    """The answer in the question's unit; BadInput where it cannot be read."""
    field = f"answer {question.number}"
    if question.language != ENGLISH and _THOUSANDS.search(given):
        raise BadInput(f'{field} is "{given}"; a dot there could set thousands apart.', field)
    said = _IN_FRONT.sub("", given).rstrip(".!; ")
    for words, plain in _OTHER_WORDS:
        said = words.sub(plain, said)
    for gas, names in _GASES.items():
        if gas in question.label:
            said = re.sub(rf"(?<=%|m)\s*(?:of\s+)?(?:{names})$", "", said, flags=re.IGNORECASE)
    if question.unit not in UNITS:  # drops, serves: things that are counted
        return _count(question, said, field)
    pressure = question.pressure
    try:
        return float(parse_quantity(said, (question.unit,), field, bare=True, pressure=pressure))
    except BadInput:
        for unit in _also(question):
            try:
                return float(parse_quantity(said, (unit,), field))
            except BadInput:
                continue
        raise


def _also(question: Question) -> tuple[str, ...]:
    """Other units that say the same as the one asked for."""
    also = _ALSO.get(question.unit, ())
    if question.unit == "% w/w" and any(text in question.label for text in _DEGREES_BRIX):
        return (*also, "Bx")
    if question.unit == "%" and any(gas in question.label for gas in _GASES):
        return ("% vol",)  # the share of a gas in air is by volume
    return also


def _count(question: Question, said: str, field: str) -> float:
    """A bare number, or pH and a number; after it only words that the question counts in."""
    said = _PH.sub("", said) if question.label == "pH" else said
    value, rest = parse_number(said, field)
    counted = {question.unit, *re.findall(r"[^\W\d]+", question.text.casefold())}
    counted |= {f"{one}s" for one in counted} | {one.rstrip("s") for one in counted}
    counted -= set(BY_WORD) - {question.unit, question.unit.rstrip("s")}  # "3 ml" is no count
    if not set(re.findall(r"[^\W\d]+|\S", rest.casefold())) <= counted or _NOT.search(rest):
        raise BadInput(f'{field} is "{said}"; write the number alone.', field)
    return value


def _numbered(question: Question, given: str, value: float) -> Mark:
    right = float(question.right)
    if abs(value - right) <= question.tolerance * (1 + 1e-9):
        return Mark(question, given, "right")
    near: list[tuple[float, Miss]] = []
    for miss in question.misses:
        off = abs(value - float(miss.value))
        wide = question.tolerance * (abs(float(miss.value) / right) if right else 1.0)
        if off <= max(wide, 0.5 * 10.0**-question.digits) * (1 + 1e-9):
            near.append((off, miss))
    if near:
        miss = min(near, key=lambda one: one[0])[1]
        return Mark(question, given, "wrong", miss.trap, "", miss.done, miss.instead)
    for power in (-3, -2, -1, 1, 2, 3):
        if abs(value * 10.0**power - right) <= question.tolerance:
            return Mark(
                question, given, "wrong",
                note=_("The figures are right, the decimal point or the unit is not."),
            )  # fmt: skip
    return Mark(question, given, "wrong")


# ---- prepkit drill ----


@click.command(
    cls=Command,
    name="drill",
    help="Questions with realistic numbers from the calculators, with a mark sheet. The key is one "
    "page of letters and values. The long key has the working, each wrong answer's trap, the "
    "caution it teaches and who decides. The same topic, level and seed give the same "
    "paper. In a class everyone gets the same questions with different numbers."
    "\n\n\b\nExamples:\n"
    "  prepkit drill --topic siphon --count 5 --seed 7 --sheet\n"
    "  prepkit drill --topic siphon --count 5 --seed 7 --format html --key --out drill.html\n"
    '  prepkit drill --topic room --names "Asha, Bo" --key\n'
    "  prepkit drill --check answers.json\n"
    '  prepkit drill --check asha.json --check bo.json --pass-mark "70 %"\n\n'
    "--format json prints an empty answers file. Filled in, it is "
    '{"topic": "siphon", "seed": 7, "count": 5, "level": null, "answers": '
    '{"1": "13.1 bar", "2": "B"}}.',
    short_help="Questions with an answer key, made from the calculators; marks papers.",
)
@click.option("--topic", type=click.Choice(PAPERS), help="Subject of the questions.")
@click.option("--count", type=WholeNumber(1, MOST_QUESTIONS), help="How many questions [10].")
@click.option("--seed", type=WholeNumber(0, LARGEST_SEED), help="Which paper [1].")
@click.option(
    "--level", type=WholeNumber(LEVELS[0], LEVELS[-1]), help="One level only [all three]."
)
@click.option(
    "--language",
    type=click.Choice(languages()),
    help="Language of the words, or of a class that is marked [en].",
)
@click.option("--names", metavar="NAMES", help="A paper for each name, or for so many people.")
@click.option(
    "--after", type=WholeNumber(0, MOST_QUESTIONS), help="Leave out as many of its first questions."
)
@click.option("--sheet", is_flag=True, help="Add the data sheet: constants with their sources.")
@click.option("--key", is_flag=True, help="Add the key, on one page of its own.")
@click.option("--long-key", is_flag=True, help="Add the key with all working, on its own pages.")
@click.option(
    "--format",
    "shape",
    type=click.Choice(["text", "json", "html"]),
    default="text",
    show_default=True,
    help="How it is printed.",
)
@click.option(
    "--check",
    metavar="FILE",
    type=FileName(),
    multiple=True,
    help="Mark a filled-in answers file; several are a class.",
)
@click.option("--pass-mark", metavar="MARK", help='Marks to pass: "70 %", or how many questions.')
@click.option(
    "--out", metavar="FILE", type=FileName(), help="Write to this file instead of standard output."
)
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
def command(
    topic: str | None,
    count: int | None,
    seed: int | None,
    level: int | None,
    language: str | None,
    names: str | None,
    after: int | None,
    sheet: bool,
    key: bool,
    long_key: bool,
    shape: str,
    check: tuple[str, ...],
    pass_mark: str | None,
    out: str | None,
    force: bool,
) -> None:
    """Make a paper or those of a class, or mark them."""
    from prepkit.workflows import put

    if check:
        if (
            key
            or long_key
            or sheet
            or any(value is not None for value in (topic, count, seed, level, names, after))
        ):
            raise BadInput(
                "--check goes alone: topic, count, seed, level and name are in the answers file.",
                "check",
            )
        put(_marked(check, shape, pass_mark, language), out, force, exact=shape != "text")
        return
    if pass_mark is not None:
        raise BadInput("--pass-mark goes with --check, which marks papers.", "pass_mark")
    if topic is None:
        raise BadInput(
            f"drill needs --topic, one of {', '.join(PAPERS)}, or --check with an answers file.",
            "topic",
        )

    count, seed = 10 if count is None else count, 1 if seed is None else seed
    language = language or ENGLISH
    if names is None:
        paper = make_paper(topic, count, seed, level, "", language, after or 0)
        said = printed(paper, shape, key, long_key, sheet)
    else:
        from prepkit.drill.sheet import make_class, people

        papers = make_class(people(names), topic, count, seed, level, language, after or 0)
        said = printed_class(papers, shape, key, long_key, sheet)
    put(said, out, force, exact=shape != "text")


def printed(
    paper: Paper, shape: str, key: bool, long_key: bool = False, sheet: bool = False
) -> str:
    """A paper as text, json or html, with its data sheet and keys where they are asked for."""
    if shape == "json":
        with spoken(paper.language):
            return _json(paper.to_dict(key or long_key))
    if shape == "html":
        from prepkit.drill.sheet import paper_html

        return paper_html([paper], key, long_key, sheet)
    from prepkit.drill.sheet import paper_text

    return paper_text(paper, key, long_key, sheet)


def printed_class(
    papers: Sequence[Paper], shape: str, key: bool, long_key: bool, sheet: bool = False
) -> str:
    """The papers of a class as text, json or html."""
    if shape == "json":
        with spoken(papers[0].language):
            return _json({"papers": [paper.to_dict(key or long_key) for paper in papers]})
    if shape == "html":
        from prepkit.drill.sheet import paper_html

        return paper_html(papers, key, long_key, sheet)
    from prepkit.drill.sheet import class_text

    return class_text(papers, key, long_key, sheet)


def _marked(files: Sequence[str], shape: str, pass_mark: str | None, language: str | None) -> str:
    from prepkit.drill.sheet import marked_text, results_text

    if shape == "html":
        raise BadInput("a marked paper is printed with --format text or json.", "format")
    marked = [mark_paper(read_sheet(Path(file))) for file in files]
    every = list(dict.fromkeys(marked_answer.paper.language for marked_answer in marked))
    if len(marked) == 1 and pass_mark is None:
        if language not in (None, *every):
            raise BadInput(
                f'{named("language")} is "{language}", and this paper is in "{every[0]}"; leave it '
                f"out. It goes with the papers of a class.",
                "language",
            )
        with spoken(every[0]):
            return _json(marked[0].to_dict()) if shape == "json" else marked_text(marked[0])
    from prepkit.drill.sheet import results

    with spoken(language or (every[0] if len(every) == 1 else ENGLISH)):
        found = results(marked, pass_mark, speaking())
        return _json(found.to_dict()) if shape == "json" else results_text(found)


def _json(said: object) -> str:

    return json.dumps(said, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
