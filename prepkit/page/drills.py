"""The trainer's papers on a screen: a paper by its address, answered, marked, and its key apart.

Questions, answers and marks are the drill's own; the address holds what makes the paper, so that a
class has the same one, and, once it is marked, the answers.
"""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from urllib.parse import urlencode

from flask import Blueprint, Response, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.datastructures import MultiDict
from werkzeug.wrappers import Response as AnyResponse

from prepkit.drill.command import printed
from prepkit.drill.marking import Marked, Sheet, mark_paper
from prepkit.drill.page import asked_html, keyed_html, paper_html
from prepkit.drill.paper import (
    LARGEST_SEED,
    LONGEST_ANSWER,
    MOST_QUESTIONS,
    REMINDER,
    Paper,
    make_paper,
)
from prepkit.drill.templates import LEVELS, TOPICS
from prepkit.drill.traps import TRAPS
from prepkit.errors import BadInput
from prepkit.numbers import whole
from prepkit.page import guard, refusals

blueprint = Blueprint("drills", __name__, url_prefix="/drills")
NOT_MADE = 422
QUESTIONS, FIRST_SEED = 10, 1000
WORDS = {"right": "right", "wrong": "wrong", "blank": "not answered", "unreadable": "asked again"}
_KEPT = 16


@dataclass(frozen=True)
class Asked:
    """What makes a paper."""

    topic: str
    count: int
    seed: int
    level: int | None

    @property
    def pairs(self) -> list[tuple[str, str]]:
        """The same as the end of an address."""
        found = [("topic", self.topic), ("count", str(self.count)), ("seed", str(self.seed))]
        return found if self.level is None else [*found, ("level", str(self.level))]

    @property
    def query(self) -> str:
        """The same, written out."""
        return urlencode(self.pairs)


@lru_cache(maxsize=_KEPT)
def paper_of(asked: Asked) -> Paper:
    """The paper; the last ones are kept."""
    return make_paper(asked.topic, asked.count, asked.seed, asked.level)


def asked(args: Mapping[str, str]) -> Asked:
    """What an address asks; BadInput with the field where it cannot be made."""
    topic = args.get("topic", "").strip()
    if topic not in TOPICS:
        raise BadInput(f'Topic is "{topic[:40]}"; it must be one of {", ".join(TOPICS)}.', "topic")
    count = _whole(args, "count", "Questions", 1, MOST_QUESTIONS, QUESTIONS)
    seed = _whole(args, "seed", "Paper number", 0, LARGEST_SEED, 1)
    level = _whole(args, "level", "Level", LEVELS[0], LEVELS[-1], 0)
    return Asked(topic, count, seed, level or None)


def _whole(
    args: Mapping[str, str], name: str, label: str, low: int, high: int, otherwise: int
) -> int:
    said = args.get(name, "").strip()
    if not said:
        return otherwise
    found = whole(said, low, high)
    if found is None:
        raise BadInput(
            f'{label} is "{said[:40]}"; it must be a whole number from {low} to {high}.', name
        )
    return found


@blueprint.get("/")
def index() -> AnyResponse | tuple[str, int]:
    """The form that asks for a paper; without a number a new paper is drawn."""
    problem: BadInput | None = None
    if request.args:
        try:
            made = asked(request.args)
        except BadInput as error:
            problem = error
        else:
            if not request.args.get("seed", "").strip():
                made = Asked(made.topic, made.count, _drawn(), made.level)
            return redirect(f"{url_for('drills.paper')}?{made.query}", 303)
    return render_template(
        "drills/index.html",
        topics=TOPICS,
        levels=LEVELS,
        args=request.args,
        problem=problem,
        count=QUESTIONS,
        most=MOST_QUESTIONS,
        reminder=REMINDER,
    ), 200 if problem is None else NOT_MADE


def _drawn() -> int:
    """The number of a new paper, short enough to be called out in a class."""
    return FIRST_SEED + secrets.randbelow(9 * FIRST_SEED)


@blueprint.get("/paper")
def paper() -> str:
    """A paper to be filled in."""
    made = asked(request.args)
    return render_template(
        "drills/paper.html",
        asked=made,
        paper=paper_of(made),
        given=answers_of(request.args, made.count),
        question=lambda one: Markup(asked_html(one)),
        longest=LONGEST_ANSWER,
    )


def answers_of(values: MultiDict[str, str], count: int) -> dict[int, str]:
    """The answers that were sent, by question: what was typed, else the letter that was chosen.

    BadInput where one is too long.
    """
    found = {}
    for number in range(1, count + 1):
        said = [one.strip() for one in values.getlist(f"a{number}") if one.strip()]
        if said:
            if len(said[-1]) > LONGEST_ANSWER:
                raise BadInput(
                    f"Answer {number} has {len(said[-1])} characters; write a number with its "
                    f"unit, or the letter.",
                    f"a{number}",
                )
            found[number] = "".join(c if c.isprintable() else " " for c in said[-1])
    return found


@blueprint.get("/marked")
def marked() -> str:
    """A filled-in paper with its marks, the working, and what to go over."""
    made = asked(request.args)
    given = answers_of(request.args, made.count)
    sheet = Sheet(made.topic, made.seed, made.count, made.level, given)
    found = mark_paper(sheet, paper_of(made))
    again = urlencode([*made.pairs, *((f"a{number}", said) for number, said in given.items())])
    return render_template("drills/marked.html", again=again, **shown_marks(made, found))


def shown_marks(made: Asked, found: Marked) -> dict[str, object]:
    """What `drills/marked.html` shows of a paper with its marks."""
    return {
        "asked": made,
        "marked": found,
        "traps": TRAPS,
        "words": WORDS,
        "question": lambda one: Markup(asked_html(one)),
        "key": lambda one: Markup(keyed_html(one)),
        "deciders": dict.fromkeys(mark.question.template.decides for mark in found.marks),
        "reminder": REMINDER,
    }


@blueprint.get("/key")
def key() -> str:
    """The key of a paper, for the marker."""
    made = asked(request.args)
    return render_template(
        "drills/key.html",
        asked=made,
        paper=paper_of(made),
        key=lambda one: Markup(keyed_html(one)),
        reminder=REMINDER,
    )


@blueprint.get("/print")
def to_print() -> AnyResponse:
    """The paper as a document to print, with its key on a page of its own where it is asked for."""
    made = asked(request.args)
    return guard.document(paper_html([paper_of(made)], keyed := "key" in request.args, keyed))


@blueprint.get("/paper.json")
def as_json() -> AnyResponse:
    """The paper letter by letter as the command line prints it with --format json."""
    text = printed(paper_of(asked(request.args)), "json", "key" in request.args)
    return Response(text, mimetype="application/json")


@blueprint.errorhandler(BadInput)
def _not_made(error: BadInput) -> tuple[str | Response, int]:
    if request.path.endswith(".json"):
        return refusals.as_json(error.message), NOT_MADE
    return render_template(
        "error.html",
        title="There is no such paper",
        why=error.message,
        what="Go back, look at what was entered, and send it again.",
        status=NOT_MADE,
    ), NOT_MADE
