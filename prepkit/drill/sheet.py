"""Papers, keys and marks as text to print."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from prepkit import sources
from prepkit.drill.marking import Mark, Marked
from prepkit.drill.paper import REMINDER, Paper
from prepkit.drill.questions import Question
from prepkit.drill.traps import TRAPS
from prepkit.drill.whole_class import Results
from prepkit.render.grid import grid
from prepkit.render.text import VERDICT_WORDS, caution_text, step_text
from prepkit.width import columns

PAGE = "\f"
HOW = (
    "Give a number with its unit, or the letter. prepkit can mark it. Fill in the answers "
    "file that --format json prints, then run: prepkit drill --check answers.json"
)
NOT_COMPARED = (
    "The questions are not compared: it takes two papers or more that ask the same. Make the "
    "papers of a class in one go, with --names."
)
ABOUT_ITEMS = (
    "discr.: how far a question tells the able from the others, -1 to 1. 0.3 or more is good. "
    "Below 0, check its key. From {many} people: the fewer, the less it tells."
)


def _fill(text: str, first: str = "", rest: str = "") -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def _title(paper: Paper, word: str, whose: bool = True) -> str:
    name = f" of {paper.name}" if paper.name and whose else ""
    facts = f"seed {paper.seed}, {paper.count} questions, {paper.levels}"
    return f"{word}{name}: {paper.topic}, {facts}"


def paper_text(paper: Paper, key: bool = False, long_key: bool = False) -> str:
    """The questions and the mark sheet; each key on a page of its own where it is asked for."""
    name = paper.name or "_" * 30
    out = [
        _title(paper, "Drill"),
        "",
        f"Name  {name:<30}   Date  ______________   Marked by  ________________",
        "",
        _fill(HOW),
        "",
    ]
    for question in paper.questions:
        out += [*question_lines(question), ""]
    out += ["-" * columns(), *mark_sheet(paper)]
    pages = ["\n".join(out).rstrip() + "\n"]
    pages += [short_key_text(paper)] if key else []
    pages += [key_text(paper)] if long_key else []
    return PAGE.join(pages)


def class_text(papers: Sequence[Paper], key: bool = False, long_key: bool = False) -> str:
    """A paper for each of a class; then one key for all, and each long key."""
    pages = [paper_text(one) for one in papers]
    pages += [class_key_text(papers)] if key else []
    pages += [key_text(one) for one in papers] if long_key else []
    return PAGE.join(pages)


def short_key_text(paper: Paper) -> str:
    """The key on one page: letter, answer and what counts as right, a line each."""
    lines = [f"{one.number:>3}  {one.letter}  {_right(one)}" for one in paper.questions]
    return "\n".join([_title(paper, "Key"), "", *lines, "", _fill(REMINDER)]) + "\n"


def _right(question: Question) -> str:
    said = str(_word(question))
    return f"{said}   (right: {question.accepted})" if question.kind == "number" else said


def _word(question: Question) -> float | str:
    return question.right if question.kind == "verdict" else question.shown


def class_key_text(papers: Sequence[Paper]) -> str:
    """One key for a class: who has which letters, then what is right, a line for each paper."""
    numbers = [str(one.number) for one in papers[0].questions]
    letters = [(one.name, *(q.letter for q in one.questions)) for one in papers]
    out = [_title(papers[0], "Key of the class", whose=False), ""]
    out += [grid(letters, ("name", *numbers), "l" + "r" * len(numbers)), ""]
    for place, first in enumerate(papers[0].questions):
        same = first.kind != "number"
        said = [
            _word(one.questions[place]) if same else one.questions[place].shown for one in papers
        ]
        if len(set(said)) == 1:
            out.append(_fill(f"{first.number}. {said[0]}", "", "   "))
            continue
        each = "; ".join(f"{one.name} {words}" for one, words in zip(papers, said, strict=True))
        out.append(_fill(f"{first.number}. {each}", "", "   "))
    return "\n".join([*out, "", _fill(REMINDER)]) + "\n"


def question_lines(question: Question) -> list[str]:
    """A question as it is printed on the paper."""
    head = f"{question.number}. [level {question.template.level}] "
    out = [_fill(head + question.text, "", "   ")]
    for title, rows in (("The plate", question.plate), ("The job", question.job)):
        if rows:
            out += [f"   {title}", grid(rows, right="ll", indent="     ")]
    out += [f"     {choice.letter}  {choice.words}" for choice in question.choices]
    out.append(f"   Answer: ____________________ {question.unit}".rstrip())
    return out


def mark_sheet(paper: Paper) -> list[str]:
    """The sheet to be filled in by the marker."""
    rows = [
        (str(one.number), str(one.template.level), "____________________", "____", "__________")
        for one in paper.questions
    ]
    return [
        _title(paper, "Mark sheet"),
        "",
        grid(rows, ("no.", "level", "answer", "right", "trap"), "rrlll"),
        "",
        f"Right: ____ of {paper.count}    Go over again  ______________________________",
    ]


def key_text(paper: Paper) -> str:
    """The long key: right answer, working, traps, lesson, sources, who decides."""
    out = [_title(paper, "Long key"), "", _fill(REMINDER), ""]
    for question in paper.questions:
        out += [*key_lines(question), ""]
    return "\n".join(out).rstrip() + "\n"


def key_lines(question: Question) -> list[str]:
    """The key of one question; who decides is its last line."""
    answer = question.answer
    obtained = {source.key: source.obtained for source in answer.sources}
    out = [
        f"{question.number}. {question.letter}: {question.shown}   (right: {question.accepted})",
        _fill(question.text, "   ", "   "),
    ]
    if answer.verdict != "clear":
        out.append(f"   Verdict of the calculator: {VERDICT_WORDS[answer.verdict]}")
    if answer.working:
        out += [
            "   Working",
            *(_in(step_text(s, obtained.get(s.source, ""))) for s in answer.working),
        ]
    wrong = [choice for choice in question.choices if not choice.right and choice.trap]
    if wrong:
        out.append("   Wrong answers")
    for choice in wrong:
        trap = TRAPS[choice.trap]
        out.append(
            _fill(
                f"{choice.letter}: {choice.words}. {trap.done} {trap.right} ({trap.name})",
                "     ", "        ",
            )
        )  # fmt: skip
    here = "" if question.triggered else ", though this case does not call for it"
    out += [f"   It teaches{here}", _in(caution_text(question.taught))]
    out += ["   Sources", *(_fill(_source(one), "     ", "       ") for one in question.sources)]
    out.append(_fill(f"The same numbers: {question.command}", "   ", "     "))
    out.append(_fill(f"Who decides: {question.template.decides}", "   ", "     "))
    return out


def _in(text: str) -> str:
    return textwrap.indent(text, "   ")


def _source(key: str) -> str:
    found = sources.find(key)
    return f"{key} [{found.obtained}]: {found.title}" if found is not None else key


def marked_text(marked: Marked) -> str:
    """A paper with its marks: what was right, which traps, what to go over."""
    paper = marked.paper
    blank = sum(mark.outcome == "blank" for mark in marked.marks)
    left = f", {blank} not answered" if blank else ""
    left += f", {len(marked.again)} to be asked again" if marked.again else ""
    out = [
        _title(paper, "Marked"),
        f"{marked.right} of {paper.count} right{left}",
        "",
    ]
    for mark in marked.marks:
        out += _mark_lines(mark)
    if marked.traps:
        fallen = ", ".join(f"{name} ({times})" for name, times in marked.traps.items())
        out += ["", _fill(f"Traps: {fallen}.", "", "  ")]
    out += ["", *deciders([mark.question for mark in marked.marks]), _fill(REMINDER)]
    return "\n".join(out).rstrip() + "\n"


def deciders(questions: Sequence[Question]) -> list[str]:
    """Who decides in the matters of these questions, once each."""
    said = dict.fromkeys(question.template.decides for question in questions)
    return [_fill(f"Who decides: {one}", "", "  ") for one in said]


def _mark_lines(mark: Mark) -> list[str]:
    question = mark.question
    number = f"{question.number:>3}. "
    if mark.outcome == "right":
        return [f"{number}right    {mark.given}"]
    if mark.outcome == "unreadable":  # asked again: its key stays unsaid
        said = f"{number}again    {mark.given};  this cannot be read. {mark.note}"
        return [_fill(said, "", " " * 14)]
    word = {"wrong": "wrong", "blank": "blank"}[mark.outcome]
    given = f"{mark.given};  " if mark.given else ""
    right = f"{question.letter}: {question.shown} (right: {question.accepted})"
    out = [_fill(f"{number}{word:<8} {given}it is {right}", "", " " * 14)]
    trap = TRAPS.get(mark.trap)
    if trap is not None:
        out.append(_fill(f"{trap.done} {trap.right} ({trap.name})", " " * 14, " " * 14))
    if mark.note:
        out.append(_fill(mark.note, " " * 14, " " * 14))
    taught = question.taught
    out.append(_fill(f"Go over: {taught.text} ({taught.id})", " " * 14, " " * 14))
    return out


def results_text(found: Results) -> str:
    """A class marked: what to teach again first, each person, each question, with how many."""
    many = len(found.people)
    out = [f"Class: {found.topic}, {found.count} questions, {many} people", ""]
    if found.needed is not None:
        passed = sum(one.passed is True for one in found.people)
        out += [f"{passed} of {many} passed ({found.needed} of {found.count} right needed).", ""]
    if found.again:
        line = f"{found.again} answers are to be asked again; the figures change with them."
        out += [_fill(line), ""]
    if found.teach_again:
        out.append("Teach again first")
        for one in found.teach_again:
            line = f"{one.number}. {_of(one.share_right, many)} right. {one.about.text}"
            out.append(_fill(line, "  ", "     "))
        out.append("")
    marks = {None: "", True: "passed", False: "not passed"}
    rows = [
        (one.name, f"{one.right} of {found.count}", marks[one.passed], str(one.blank or ""),
         " ".join(str(number) for number in one.again))
        for one in found.people
    ]  # fmt: skip
    out += [grid(rows, ("name", "right", "", "blank", "ask again"), "lrlrl"), ""]
    if not found.items:
        return "\n".join([*out, _fill(NOT_COMPARED), "", _fill(REMINDER)]) + "\n"
    items = [
        (str(one.number), _of(one.share_right, many),
         "" if one.discrimination is None else f"{one.discrimination:.2f}",
         f"{one.mistake} ({one.fell})" if one.mistake else "", one.doubt)
        for one in found.items
    ]  # fmt: skip
    out.append(grid(items, ("no.", "right", "discr.", "most common mistake", "look at"), "rrrll"))
    out += ["", _fill(ABOUT_ITEMS.format(many=many))]
    if found.reliability is not None and found.standard_error is not None:
        out.append(
            _fill(
                f"Reliability of the total {found.reliability:.2f}; one person's total is sure to "
                f"about ± {found.standard_error:.1f} questions ({many} people)."
            )
        )
    return "\n".join([*out, "", _fill(REMINDER)]) + "\n"


def _of(share: float, many: int) -> str:
    return f"{round(share * many)} of {many}"
