"""Papers, keys and marks as text to print."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from prepkit import sources
from prepkit.drill.marking import Mark, Marked
from prepkit.drill.paper import REMINDER, Paper
from prepkit.drill.questions import Question
from prepkit.drill.traps import TRAPS
from prepkit.render.grid import grid
from prepkit.render.text import VERDICT_WORDS, caution_text, step_text
from prepkit.width import columns

PAGE = "\f"
HOW = (
    "Give a number with its unit, or the letter. prepkit can mark it. Fill in the answers "
    "file that --format json prints, then run: prepkit drill --check answers.json"
)


def _fill(text: str, first: str = "", rest: str = "") -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def _title(paper: Paper, word: str) -> str:
    return f"{word}: {paper.topic}, seed {paper.seed}, {paper.count} questions, {paper.levels}"


def paper_text(paper: Paper, key: bool = False) -> str:
    """The questions and the mark sheet; with the key on a page of its own where it is asked for."""
    out = [
        _title(paper, "Drill"),
        "",
        "Name  ______________________________   Date  ______________   Marked by  ________________",
        "",
        _fill(HOW),
        "",
    ]
    for question in paper.questions:
        out += [*question_lines(question), ""]
    out += ["-" * columns(), *mark_sheet(paper)]
    text = "\n".join(out).rstrip() + "\n"
    return f"{text}{PAGE}{key_text(paper)}" if key else text


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
    """The key: right answer, working, traps, lesson, sources, who decides."""
    out = [_title(paper, "Key"), "", _fill(REMINDER), ""]
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
