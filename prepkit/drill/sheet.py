"""Papers, keys and marks as text and to print; a whole class.

Everybody gets the same questions in the same order, with numbers of their own; so the questions
can be compared over the class, and no neighbour's answer is right.
"""

from __future__ import annotations

import math
import os
import textwrap
import unicodedata
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import zip_longest
from typing import TYPE_CHECKING, Any

from prepkit import model, render
from prepkit.drill.choices import Choice
from prepkit.drill.command import Mark, Marked
from prepkit.drill.paper import LONGEST_NAME, REMINDER, Paper, Question, make_paper
from prepkit.drill.templates import Constant
from prepkit.errors import BadInput, named
from prepkit.inputs import Json
from prepkit.language import ENGLISH, _, in_figures, said, speak, speaking, spoken
from prepkit.model import Caution
from prepkit.numbers import parse_number, whole
from prepkit.render import signs
from prepkit.render.signs import plate_svg
from prepkit.render.text import VERDICT_WORDS, caution_text, grid, step_text
from prepkit.science import tasting
from prepkit.stdout import columns

if TYPE_CHECKING:
    from jinja2 import Environment


# ---- a class ----

MOST_PEOPLE = 60
FEWEST_FOR_FIGURES = 2
#: [ITEM-ANALYSIS]: below this discrimination a question is looked at, below 0 its key is checked.
POOR_DISCRIMINATION = 0.20
TEACH_AGAIN_BELOW = 0.70  # [JUDGEMENT]: a question that fewer have right is taught again


def alike(name: str) -> str:
    """A name as two people would take it for the same."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def people(said: str) -> tuple[str, ...]:
    """Names with commas between them, or how many people: "1", "2" and so on.

    >>> people("Asha, Bo"), people("3")
    (('Asha', 'Bo'), ('1', '2', '3'))

    Raises: BadInput for nobody, too many, a name twice, too long or without a letter, and for what
    cannot be printed.
    """
    field = named("names")
    if said.strip().isascii() and said.strip().isdigit():
        count = whole(said, 1, MOST_PEOPLE)
        if count is None:
            raise BadInput(
                f"{field} is {said.strip()[:20]}; it must be 1 to {MOST_PEOPLE}.", "names"
            )
        return tuple(str(number) for number in range(1, count + 1))
    found = tuple(" ".join(word.split()) for word in said.split(",") if word.strip())
    if not found:
        raise BadInput(f'{field} names nobody; write such as "Asha, Bo", or how many.', "names")
    if len(found) > MOST_PEOPLE:
        raise BadInput(
            f"{field} has {len(found)} names; a class has at most {MOST_PEOPLE}.", "names"
        )
    seen: set[str] = set()
    for name in found:
        if not name.isprintable():
            raise BadInput(
                f"{field} has a sign in {name!r} that cannot be printed; leave it out.", "names"
            )
        number = name.isascii() and name.isdigit()
        if not number and not any(text.isalpha() for text in name):
            raise BadInput(
                f'{field} has "{name[:LONGEST_NAME]}", which is no name; write such as "Asha, Bo", '
                f"or how many, 1 to {MOST_PEOPLE}.",
                "names",
            )
        if len(name) > LONGEST_NAME:
            raise BadInput(
                f"{field} has a name of {len(name)} letters; write at most {LONGEST_NAME}.",
                "names",
            )
        if alike(name) in seen:
            raise BadInput(f'{field} has "{name}" twice; add a letter to one of them.', "names")
        seen.add(alike(name))
    return found


def make_class(
    names: Sequence[str],
    topic: str,
    count: int,
    seed: int,
    level: int | None = None,
    language: str = ENGLISH,
    after: int = 0,
) -> tuple[Paper, ...]:
    """A paper for each name: the same questions, other numbers."""
    return tuple(make_paper(topic, count, seed, level, name, language, after) for name in names)


@dataclass(frozen=True)
class Person:
    """How one person did; `passed` is None where no pass mark is set."""

    name: str
    right: int
    blank: int
    again: tuple[int, ...]
    passed: bool | None


@dataclass(frozen=True)
class ItemAnalysis:
    """How one question did over the class.

    `share_right` is 0-1; `discrimination` -1 to 1, None where all did alike; `mistake` the trap
    that most fell into, "" for none, how many did, and `why` it is one. `prudent` says why a
    careful answer is wrong, where one is.
    """

    number: int
    about: Caution
    share_right: float
    discrimination: float | None
    mistake: str
    fell: int
    why: str = ""
    prudent: str = ""

    @property
    def doubt(self) -> str:
        """What the figures say against the question itself; "" for nothing."""
        if self.discrimination is None or self.discrimination >= POOR_DISCRIMINATION:
            return ""
        if self.discrimination < 0.0:
            return _("the weaker had it right more often: check its key")
        return _("tells the able from the others poorly")


@dataclass(frozen=True)
class Results:
    """A class marked. `items` is empty where its papers do not ask the same questions."""

    topic: str
    count: int
    needed: int | None  # right answers that pass, where a pass mark is set
    people: tuple[Person, ...]
    items: tuple[ItemAnalysis, ...]
    reliability: float | None
    standard_error: float | None
    traps: dict[str, int]
    language: str = ENGLISH

    @property
    def again(self) -> int:
        """How many answers could not be read and are asked again."""
        return sum(len(person.again) for person in self.people)

    @property
    def teach_again(self) -> tuple[ItemAnalysis, ...]:
        """The questions that too few have right, the worst first."""
        low = [item for item in self.items if item.share_right < TEACH_AGAIN_BELOW]
        return tuple(sorted(low, key=lambda one: (one.share_right, one.number)))

    def to_dict(self) -> Json:
        """The JSON form."""
        return {
            "topic": self.topic,
            "count": self.count,
            "needed": self.needed,
            "people": [
                {
                    "name": person.name,
                    "right": person.right,
                    "blank": person.blank,
                    "ask_again": list(person.again),
                    "passed": person.passed,
                }
                for person in self.people
            ],
            "questions": [
                {
                    "number": item.number,
                    "share_right": item.share_right,
                    "discrimination": item.discrimination,
                    "trap": item.mistake,
                    "fell": item.fell,
                    "why": item.why,
                    "not_stop": item.prudent,
                    "doubt": item.doubt,
                    "caution": item.about.id,
                }
                for item in self.items
            ],
            "teach_again": [analysis.number for analysis in self.teach_again],
            "reliability": self.reliability,
            "standard_error": self.standard_error,
            "traps": self.traps,
        }


def needed(said: str, count: int) -> int:
    """How many right answers pass: "70 %" of the questions, rounded up, or a number of them.

    >>> needed("70 %", 5), needed("4", 5)
    (4, 4)

    Raises: BadInput where it is neither, or more than there are.
    """
    field = named("pass_mark")
    value, rest = parse_number(said, field)
    if rest == "%" and 0 < value <= 100:
        # the rounding of 0.7 * 10 must not ask for an eighth
        return max(1, math.ceil(value * count / 100.0 - 1e-9))
    if not rest and value == int(value) and 1 <= value <= count:
        return int(value)
    of = f"1 to {count} questions" if count > 1 else "1 for the one question"
    raise BadInput(
        f'{field} is "{said}"; write per cent such as "70 %", or {of}.',
        "pass_mark",
    )


def results(
    papers: Sequence[Marked], pass_mark: str | None = None, language: str = ENGLISH
) -> Results:
    """The class as a whole: each person, each question, what to teach again first.

    It is said in the trainer's language, whatever the papers are in.

    Raises: BadInput where one paper is there twice, or the papers are of unlike topic or length.
    """
    with spoken(language):
        return _results([paper.in_language(language) for paper in papers], pass_mark, language)


def _results(papers: Sequence[Marked], pass_mark: str | None, language: str) -> Results:
    first = papers[0].paper
    names: set[str] = set()
    for marked_answer in papers:
        paper = marked_answer.paper
        if (paper.topic, paper.count) != (first.topic, first.count):
            raise BadInput(
                f"the papers are not of one kind: {first.topic} of {first.count}, {paper.topic} of "
                f"{paper.count}. Mark a class with papers of one subject and length.",
                "check",
            )
        whose = alike(paper.name) or f"seed {paper.seed}"
        if whose in names:
            raise BadInput(
                f'the paper of "{paper.name or whose}" is here twice; give each person once.',
                "check",
            )
        names.add(whose)
    least = None if pass_mark is None else needed(pass_mark, first.count)
    traps: Counter[str] = Counter()
    for marked_answer in papers:
        traps.update(marked_answer.traps)
    rows = [[mark.outcome == "right" for mark in marked_answer.marks] for marked_answer in papers]
    asked = {
        tuple(q.template.id for q in marked_answer.paper.questions) for marked_answer in papers
    }
    same = len(asked) == 1 and len(papers) >= FEWEST_FOR_FIGURES
    return Results(
        first.topic,
        first.count,
        least,
        tuple(_person(marked_answer, least) for marked_answer in papers),
        _items(papers, rows) if same else (),
        tasting.kuder_richardson_20(rows) if same else None,
        tasting.standard_error(rows) if same else None,
        dict(traps.most_common()),
        language,
    )


def _person(marked_answer: Marked, least: int | None) -> Person:
    return Person(
        marked_answer.paper.name or _("seed {seed}", seed=str(marked_answer.paper.seed)),
        marked_answer.right,
        sum(mark.outcome == "blank" for mark in marked_answer.marks),
        tuple(mark.question.number for mark in marked_answer.again),
        None if least is None else marked_answer.right >= least,
    )


def _items(papers: Sequence[Marked], rows: Sequence[Sequence[bool]]) -> tuple[ItemAnalysis, ...]:
    shares = tasting.share_right(rows)
    apart = tasting.discrimination(rows)
    return tuple(
        _item([paper.marks[place] for paper in papers], shares[place], apart[place])
        for place in range(len(shares))
    )


def _item(marks: Sequence[Mark], share: float, apart: float | None) -> ItemAnalysis:
    fallen = Counter(mark.trap for mark in marks if mark.trap)
    trap, fell = fallen.most_common(1)[0] if fallen else ("", 0)
    first = next((mark for mark in marks if mark.trap == trap), None) if trap else None
    question = marks[0].question
    return ItemAnalysis(
        question.number, question.teaches, share, apart, trap, fell,
        "" if first is None else why(first), prudent(question),
    )  # fmt: skip


# ---- papers, keys and marks as text to print ----

PAGE = "\f"
HOW = (
    "Give a number with its unit, or the letter. prepkit can mark it. Fill in the answers "
    "file that --format json prints, then run: prepkit drill --check answers.json"
)
WORKING_IN_ENGLISH = (
    "The working and the sources are printed in English, as the calculators give them."
)
NOT_CALLED_FOR = "It teaches, though this case does not call for it"
NOT_COMPARED = (
    "The questions are not compared: it takes two papers or more that ask the same. Make the "
    "papers of a class in one go, with --names."
)
ABOUT_SHEET = "For all questions on this subject. A paper needs only some of these."
ABOUT_ITEMS = (
    "discr.: how far a question tells the able from the others, -1 to 1. 0.3 or more is good. "
    "Below 0, check its key. From {many} people: the fewer, the less it tells."
)


def _fill(text: str, first: str = "", rest: str = "") -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def questions_said(count: int) -> str:
    """How many questions, in the language that is spoken."""
    return _("1 question") if count == 1 else _("{n} questions", n=count)


def _people_said(many: int) -> str:
    return _("1 person") if many == 1 else _("{n} people", n=many)


def _title(paper: Paper, word: str, whose: bool = True) -> str:
    topic = _(paper.topic)
    facts = f"{_('seed {seed}', seed=str(paper.seed))}, {questions_said(paper.count)}"
    if paper.name and whose:
        word = _("{sheet} of {name}", sheet=word, name=paper.name)
    return f"{word}: {topic}, {facts}, {paper.levels}"


def paper_text(paper: Paper, key: bool = False, long_key: bool = False, sheet: bool = False) -> str:
    """The questions and the mark sheet; data sheet and keys on pages of their own where asked."""
    name = f"{paper.name or '_' * 30:<30}"
    with spoken(paper.language):
        blanks = f"{_('Date')}  ______________   {_('Marked by')}  ________________"
        out = [
            _title(paper, _("Drill")),
            "",
            f"{_('Name')}  {name}   {blanks}",
            "",
            _fill(_(HOW)),
            "",
        ]
        for question in paper.questions:
            out += [*question_lines(question), ""]
        out += ["-" * columns(), *mark_sheet(paper)]
        pages = ["\n".join(out).rstrip() + "\n"]
        pages += [sheet_text(paper)] if sheet else []
        pages += [short_key_text(paper)] if key else []
        pages += [key_text(paper)] if long_key else []
    return PAGE.join(pages)


def sheet_text(paper: Paper) -> str:
    """The data sheet: every constant that a question of the subject can need."""
    with spoken(paper.language):
        rows = [
            (constant.words, figure(constant), _(constant.unit), f"[{constant.source}]")
            for constant in paper.sheet
        ]
        out = [_("Data sheet: {topic}", topic=_(paper.topic)), "", _fill(_(ABOUT_SHEET)), ""]
        out.append(grid(rows, (_("constant"), _("value"), _("unit"), _("source")), "lrll"))
    return "\n".join(out) + "\n"


def figure(constant: Constant) -> str:
    """The value of a constant as it is printed, with every digit that it has."""
    return in_figures(f"{constant.value:.10g}", speaking())


def class_text(
    papers: Sequence[Paper], key: bool = False, long_key: bool = False, sheet: bool = False
) -> str:
    """A paper for each of a class, with a data sheet; then one key for all, and each long key."""
    pages = [paper_text(paper, sheet=sheet) for paper in papers]
    with spoken(papers[0].language):
        pages += [class_key_text(papers)] if key else []
        pages += [key_text(paper) for paper in papers] if long_key else []
    return PAGE.join(pages)


def short_key_text(paper: Paper) -> str:
    """The key on one page: letter, answer and what counts as right, a line each."""
    lines = [
        f"{question.number:>3}  {question.letter}  {_right(question)}"
        for question in paper.questions
    ]
    return "\n".join([_title(paper, _("Key")), "", *lines, "", _fill(_(REMINDER))]) + "\n"


def _right(question: Question) -> str:
    said = str(_word(question))
    if question.kind == "number":
        right = _("right: {what}", what=question.accepted)
        return f"{said}   ({right})"
    return f"{said}. {prudent(question)}" if prudent(question) else said


def prudent(question: Question) -> str:
    """Why a careful answer is wrong here: a STOP, or a fault seen in a sound load; else ""."""
    if question.kind == "fault" and question.right == "nothing":
        return next((choice.instead for choice in question.choices if not choice.right), "")
    if question.kind != "verdict" or question.right == "stop":
        return ""
    stop = next((choice for choice in question.choices if choice.value == "stop"), None)
    of = "" if stop is None else why(stop)
    return said("Not STOP: {why}", question.language, "paper", why=of) if of else ""


def _word(question: Question) -> float | str:
    return _(str(question.right)) if question.kind == "verdict" else question.shown


def class_key_text(papers: Sequence[Paper]) -> str:
    """One key for a class: who has which letters, then what is right, a line for each paper."""
    numbers = [str(question.number) for question in papers[0].questions]
    letters = [(paper.name, *(q.letter for q in paper.questions)) for paper in papers]
    out = [_title(papers[0], _("Key of the class"), whose=False), ""]
    out += [grid(letters, (_("name"), *numbers), "l" + "r" * len(numbers)), ""]
    for place, first in enumerate(papers[0].questions):
        same = first.kind != "number"
        said = [
            _word(paper.questions[place]) if same else paper.questions[place].shown
            for paper in papers
        ]
        if len(set(said)) == 1:
            line = f"{first.number}. {said[0]}"
            line += f". {prudent(first)}" if prudent(first) else ""
            out.append(_fill(line, "", "   "))
            continue
        each = "; ".join(f"{paper.name} {words}" for paper, words in zip(papers, said, strict=True))
        out.append(_fill(f"{first.number}. {each}", "", "   "))
    return "\n".join([*out, "", _fill(_(REMINDER))]) + "\n"


def question_lines(question: Question) -> list[str]:
    """A question as it is printed on the paper."""
    head = f"{question.number}. [{_('level {n}', n=question.template.level)}] "
    out = [_fill(head + question.text, "", "   ")]
    for title, rows in ((_("The plate"), question.plate), (_("The job"), question.job)):
        if rows:
            out += [f"   {title}", grid(rows, right="ll", indent="     ")]
    named = (signs.picture(name) for name in question.template.signs)
    dangers = [
        said(picture.meaning, speaking(), "signs") for picture in named if picture.kind == "hazard"
    ]
    out += [_fill(_("Sign: {meaning}", meaning=danger), "   ", "     ") for danger in dangers]
    out += [f"     {choice.letter}  {choice.words}" for choice in question.choices]
    out.append(f"   {_('Answer')}: ____________________ {_(question.unit)}".rstrip())
    return out


def mark_sheet(paper: Paper) -> list[str]:
    """The sheet to be filled in by the marker."""
    rows = [
        (
            str(question.number),
            str(question.template.level),
            "____________________",
            "____",
            "__________",
        )
        for question in paper.questions
    ]
    return [
        _title(paper, _("Mark sheet")),
        "",
        grid(rows, (_("no."), _("level"), _("answer"), _("right"), _("trap")), "rrlll"),
        "",
        f"{_('Right: {blank} of {count}', blank='____', count=paper.count)}    "
        f"{_('Go over again')}  ______________________________",
    ]


def key_text(paper: Paper) -> str:
    """The long key: right answer, working, traps, lesson, sources, who decides."""
    out = [_title(paper, _("Long key")), "", _fill(_(REMINDER)), ""]
    if speaking() != ENGLISH:
        out += [_fill(_(WORKING_IN_ENGLISH)), ""]
    for question in paper.questions:
        out += [*key_lines(question), ""]
    return "\n".join(out).rstrip() + "\n"


def key_lines(question: Question) -> list[str]:
    """The key of one question; who decides is its last line."""
    answer = question.answer
    out = [
        f"{question.number}. {question.letter}: {question.shown}   "
        f"({_('right: {what}', what=question.accepted)})",
        _fill(question.text, "   ", "   "),
    ]
    if answer is not None and answer.verdict != "clear":
        word = VERDICT_WORDS[answer.verdict] if speaking() == ENGLISH else _(answer.verdict)
        out.append(f"   {_('Verdict of the calculator')}: {word}")
    by_hand = hand_lines(question)
    if by_hand:
        out += [f"   {_('By hand')}", *(_fill(text, "     ", "       ") for text in by_hand)]
    if answer is not None and answer.working:
        obtained = {source.key: source.obtained for source in answer.sources}
        out += [
            f"   {_('Working')}",
            *(_in(step_text(s, obtained.get(s.source, ""))) for s in answer.working),
        ]
    wrong = [choice for choice in question.choices if not choice.right and choice.trap]
    if wrong:
        out.append(f"   {_('Wrong answers')}")
    for choice in wrong:
        said = f"{choice.letter}: {choice.words.rstrip('.')}. {why(choice)} ({choice.trap})"
        out.append(_fill(said, "     ", "        "))
    teaches = _("It teaches") if question.triggered else _(NOT_CALLED_FOR)
    head = f"{_(question.taught.severity)}, {_kind(question.taught.kind)}"
    out += [f"   {teaches}", _in(caution_text(question.teaches, head=head))]
    out += [
        f"   {_('Sources')}",
        *(_fill(_source(source), "     ", "       ") for source in question.sources),
    ]
    if question.command:
        out.append(_fill(f"{_('The same numbers')}: {question.command}", "   ", "     "))
    out.append(_fill(f"{_('Who decides')}: {question.template.decides}", "   ", "     "))
    return out


def why(of: Choice | Mark) -> str:
    """What was done wrong and what is right, in one line."""
    each = zip_longest(of.done.split("\n"), of.instead.split("\n"), fillvalue="")
    return " ".join(f"{done} {right}" for done, right in each).strip()


def hand_lines(question: Question) -> list[str]:
    """The work by hand with its numbers, a line each."""
    unit = f" {_(question.unit)}".rstrip()
    last = len(question.by_hand) - 1
    lines = [
        f"{one.name or _('answer')} = {one.sum} = {one.numbers} = {one.value:.5g}"
        + (unit if place == last else "")
        for place, one in enumerate(question.by_hand)
    ]
    if speaking() == ENGLISH:
        return lines
    return [in_figures(line.replace(", ", "; "), speaking()) for line in lines]


def _kind(kind: str) -> str:
    """The kind of a caution; a topic of papers may have the same name in English."""
    return said(kind, speaking(), "cautions")


def _in(text: str) -> str:
    return textwrap.indent(text, "   ")


def _source(key: str) -> str:
    found = model.source_of(key)
    return f"{key} [{found.obtained}]: {found.title}" if found is not None else key


def marked_text(marked: Marked) -> str:
    """A paper with its marks: what was right, which traps, what to go over."""
    with spoken(marked.paper.language):
        return _marked_text(marked)


def _marked_text(marked: Marked) -> str:
    paper = marked.paper
    blank = sum(mark.outcome == "blank" for mark in marked.marks)
    score = [_("{right} of {count} right", right=marked.right, count=paper.count)]
    score += [_("{n} not answered", n=blank)] if blank else []
    score += [_("{n} to be asked again", n=len(marked.again))] if marked.again else []
    out = [_title(paper, _("Marked")), ", ".join(score), ""]
    for mark in marked.marks:
        out += _mark_lines(mark)
    if marked.traps:
        fallen = ", ".join(f"{name} ({times})" for name, times in marked.traps.items())
        out += ["", _fill(f"{_('Traps')}: {fallen}.", "", "  ")]
    out += ["", *deciders([mark.question for mark in marked.marks]), _fill(_(REMINDER))]
    return "\n".join(out).rstrip() + "\n"


def deciders(questions: Sequence[Question]) -> list[str]:
    """Who decides in the matters of these questions, once each."""
    said = dict.fromkeys(question.template.decides for question in questions)
    return [_fill(f"{_('Who decides')}: {one}", "", "  ") for one in said]


def _mark_lines(mark: Mark) -> list[str]:
    question = mark.question
    number = f"{question.number:>3}. "
    if mark.outcome == "right":
        return [f"{number}{_('right'):<8} {mark.given}"]
    if mark.outcome == "unreadable":  # asked again: its key stays unsaid
        said = f"{number}{_('again'):<8} {mark.given};  {_('this cannot be read.')} {mark.note}"
        return [_fill(said, "", " " * 14)]
    word = _("wrong") if mark.outcome == "wrong" else _("blank")
    given = f"{mark.given};  " if mark.given else ""
    right = f"{question.letter}: {question.shown} ({_('right: {what}', what=question.accepted)})"
    out = [_fill(f"{number}{word:<8} {given}{_('it is')} {right}", "", " " * 14)]
    if mark.trap:
        out.append(_fill(f"{why(mark)} ({mark.trap})", " " * 14, " " * 14))
    if mark.note:
        out.append(_fill(mark.note, " " * 14, " " * 14))
    taught = question.teaches
    out.append(_fill(f"{_('Go over')}: {taught.text} ({taught.id})", " " * 14, " " * 14))
    return out


def results_text(found: Results) -> str:
    """A class marked: what to teach again first, each person, each question, with how many."""
    with spoken(found.language):
        return _results_text(found)


def _results_text(found: Results) -> str:
    many = len(found.people)
    about = f"{questions_said(found.count)}, {_people_said(many)}"
    out = [f"{_('Class')}: {_(found.topic)}, {about}", ""]
    if found.needed is not None:
        passed = sum(person.passed is True for person in found.people)
        line = _(
            "{n} of {many} passed ({needed} of {count} right needed).",
            n=passed, many=many, needed=found.needed, count=found.count,
        )  # fmt: skip
        out += [line, ""]
    if found.again:
        line = (
            _("1 answer is to be asked again; the figures change with it.")
            if found.again == 1
            else _(
                "{n} answers are to be asked again; the figures change with them.", n=found.again
            )
        )
        out += [_fill(line), ""]
    if found.teach_again:
        out.append(_("Teach again first"))
        for analysis in found.teach_again:
            right = _(
                "{right} of {count} right", right=round(analysis.share_right * many), count=many
            )
            out.append(_fill(f"{analysis.number}. {right}. {analysis.about.text}", "  ", "     "))
        out.append("")
    marks = {None: "", True: _("passed"), False: _("not passed")}
    rows = [
        (person.name, _("{n} of {many}", n=person.right, many=found.count), marks[person.passed],
         str(person.blank or ""), " ".join(str(number) for number in person.again))
        for person in found.people
    ]  # fmt: skip
    out += [grid(rows, (_("name"), _("right"), "", _("blank"), _("ask again")), "lrlrl"), ""]
    if not found.items:
        return "\n".join([*out, _fill(_(NOT_COMPARED)), "", _fill(_(REMINDER))]) + "\n"
    items = [
        (str(item.number), _of(item.share_right, many),
         "" if item.discrimination is None else _figure(item.discrimination, 2),
         f"{item.mistake} ({item.fell})" if item.mistake else "", item.doubt)
        for item in found.items
    ]  # fmt: skip
    heads = (_("no."), _("right"), _("discr."), _("most common mistake"), _("look at"))
    out.append(grid(items, heads, "rrrll"))
    out += ["", _fill(_(ABOUT_ITEMS, many=many))]
    if found.reliability is not None and found.standard_error is not None:
        out.append(
            _fill(
                _(
                    "Reliability of the total {sure}; one person's total is sure to about ± {off} "
                    "questions ({many} people).",
                    sure=_figure(found.reliability, 2),
                    off=_figure(found.standard_error, 1),
                    many=many,
                )
            )
        )
    return "\n".join([*out, "", _fill(_(REMINDER))]) + "\n"


def _of(share: float, many: int) -> str:
    return _("{n} of {many}", n=round(share * many), many=many)


def _figure(value: float, digits: int) -> str:
    return in_figures(f"{value:.{digits}f}", speaking())


# ---- a paper as one HTML document to print, the key on a page of its own ----


def paper_html(
    papers: Sequence[Paper],
    key: bool = False,
    long_key: bool = False,
    sheet: bool = False,
    *,
    seed: bool = True,
) -> str:
    """Each paper's questions, data sheet and mark sheet; keys where they are asked for.

    seed: whether the papers tell their seed, which with prepkit gives the key of the whole class.
    """
    made = _templates().get_template("drill.html")
    with spoken(papers[0].language):
        return made.render(
            language=speaking(), papers=papers, key=key, long_key=long_key, with_sheet=sheet,
            how=HOW, reminder=REMINDER, with_seed=seed, in_english=WORKING_IN_ENGLISH, speak=_speak,
        )  # fmt: skip


def _speak(language: str) -> str:
    """Say what follows in a paper's own language; nothing is printed for it."""
    speak(language)
    return ""


def asked_html(question: Question, level: int = 2) -> str:
    """One question without its choices, to stand within a page; `level` is that of its heading."""
    return str(_parts().asked(question, level))


def sheet_html(paper: Paper, level: int = 2) -> str:
    """The data sheet of a paper, to stand within a page; `level` is that of its heading."""
    with spoken(paper.language):
        return str(_parts().sheet(paper, level))


def keyed_html(question: Question, level: int = 3) -> str:
    """The key of one question, to stand within a page; `level` is that of its headings."""
    return str(_parts().keyed(question, level))


def _parts() -> Any:  # Any: the macros of a template, whose names jinja2 does not know
    return _templates().get_template("drill_parts.html").module


def _steps(question: Question) -> list[str]:
    if question.answer is None:
        return []
    obtained = {source.key: source.obtained for source in question.answer.sources}
    return [
        " ".join(step_text(s, obtained.get(s.source, "")).split()) for s in question.answer.working
    ]


def _sources(question: Question) -> list[str]:
    found = ((key, model.source_of(key)) for key in question.sources)
    return [f"{key} ({s.obtained}) {s.title}" if s is not None else key for key, s in found]


SIGN_PX = 56  # of the pictures beside a question


def _pictures(question: Question, kind: str = "") -> list[str]:
    """The signs of a question, drawn; of a kind alone, so that no act tells what is right."""
    from markupsafe import Markup

    found = [signs.picture(name) for name in question.template.signs]
    return [
        Markup(signs.drawn(picture.name, said(picture.meaning, speaking(), "signs"), SIGN_PX))
        for picture in found
        if kind in ("", picture.kind)
    ]


@cache
def _templates() -> Environment:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    folder = os.path.join(os.path.dirname(render.__file__), "templates")
    made = Environment(
        loader=FileSystemLoader(folder), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    made.filters["plate"] = lambda one: Markup(plate_svg(one.plate, one.number))
    made.filters["pictures"] = _pictures
    made.filters["steps"] = _steps
    made.globals |= {"_": _}
    made.filters["by_hand"] = hand_lines
    made.filters["why"] = why
    made.filters["figure"] = figure
    made.filters["prudent"] = prudent
    made.filters["kind"] = _kind
    made.filters["sources"] = _sources
    return made
