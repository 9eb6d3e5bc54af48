"""A class: papers with different numbers and one key, and what its answers say.

Everybody gets the same questions in the same order, with numbers of their own; so the questions
can be compared over the class, and no neighbour's answer is right.
"""

from __future__ import annotations

import math
import unicodedata
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from prepkit.drill.marking import Mark, Marked
from prepkit.drill.paper import LONGEST_NAME, Paper, make_paper
from prepkit.drill.traps import TRAPS
from prepkit.errors import BadInput, named
from prepkit.model import Caution, Json
from prepkit.numbers import parse_number, whole
from prepkit.science import item_analysis

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

    Raises: BadInput for nobody, too many, a name twice, too long or with what is no letter.
    """
    field = named("names")
    if said.strip().isascii() and said.strip().isdigit():
        count = whole(said, 1, MOST_PEOPLE)
        if count is None:
            raise BadInput(
                f"{field} is {said.strip()[:20]}; it must be 1 to {MOST_PEOPLE}.", "names"
            )
        return tuple(str(number) for number in range(1, count + 1))
    found = tuple(" ".join(one.split()) for one in said.split(",") if one.strip())
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
    names: Sequence[str], topic: str, count: int, seed: int, level: int | None = None
) -> tuple[Paper, ...]:
    """A paper for each name: the same questions, other numbers."""
    return tuple(make_paper(topic, count, seed, level, name) for name in names)


@dataclass(frozen=True)
class Person:
    """How one person did; `passed` is None where no pass mark is set."""

    name: str
    right: int
    blank: int
    again: tuple[int, ...]
    passed: bool | None


@dataclass(frozen=True)
class Item:
    """How one question did over the class.

    `share_right` is 0-1; `discrimination` -1 to 1, None where all did alike; `mistake` the trap
    that most fell into, "" for none, and how many did.
    """

    number: int
    about: Caution
    share_right: float
    discrimination: float | None
    mistake: str
    fell: int

    @property
    def doubt(self) -> str:
        """What the figures say against the question itself; "" for nothing."""
        if self.discrimination is None or self.discrimination >= POOR_DISCRIMINATION:
            return ""
        if self.discrimination < 0.0:
            return "the weaker had it right more often: check its key"
        return "tells the able from the others poorly"


@dataclass(frozen=True)
class Results:
    """A class marked. `items` is empty where its papers do not ask the same questions."""

    topic: str
    count: int
    needed: int | None  # right answers that pass, where a pass mark is set
    people: tuple[Person, ...]
    items: tuple[Item, ...]
    reliability: float | None
    standard_error: float | None
    traps: dict[str, int]

    @property
    def again(self) -> int:
        """How many answers could not be read and are asked again."""
        return sum(len(one.again) for one in self.people)

    @property
    def teach_again(self) -> tuple[Item, ...]:
        """The questions that too few have right, the worst first."""
        low = [one for one in self.items if one.share_right < TEACH_AGAIN_BELOW]
        return tuple(sorted(low, key=lambda one: (one.share_right, one.number)))

    def to_dict(self) -> Json:
        """The JSON form."""
        return {
            "topic": self.topic,
            "count": self.count,
            "needed": self.needed,
            "people": [
                {
                    "name": one.name,
                    "right": one.right,
                    "blank": one.blank,
                    "ask_again": list(one.again),
                    "passed": one.passed,
                }
                for one in self.people
            ],
            "questions": [
                {
                    "number": one.number,
                    "share_right": one.share_right,
                    "discrimination": one.discrimination,
                    "trap": one.mistake,
                    "fell": one.fell,
                    "doubt": one.doubt,
                    "caution": one.about.id,
                }
                for one in self.items
            ],
            "teach_again": [one.number for one in self.teach_again],
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
    raise BadInput(
        f'{field} is "{said}"; write per cent such as "70 %", or 1 to {count} questions.',
        "pass_mark",
    )


def results(papers: Sequence[Marked], pass_mark: str | None = None) -> Results:
    """The class as a whole: each person, each question, what to teach again first.

    Raises: BadInput where one paper is there twice, or the papers are of unlike topic or length.
    """
    first = papers[0].paper
    names: set[str] = set()
    for one in papers:
        paper = one.paper
        if (paper.topic, paper.count) != (first.topic, first.count):
            raise BadInput(
                f"one paper is {first.topic} with {first.count} questions, another {paper.topic} "
                f"with {paper.count}. Mark a class with papers of one kind.",
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
    for one in papers:
        traps.update(one.traps)
    rows = [[mark.outcome == "right" for mark in one.marks] for one in papers]
    asked = {tuple(q.template.id for q in one.paper.questions) for one in papers}
    same = len(asked) == 1 and len(papers) >= FEWEST_FOR_FIGURES
    return Results(
        first.topic,
        first.count,
        least,
        tuple(_person(one, least) for one in papers),
        _items(papers, rows) if same else (),
        item_analysis.kuder_richardson_20(rows) if same else None,
        item_analysis.standard_error(rows) if same else None,
        dict(traps.most_common()),
    )


def _person(one: Marked, least: int | None) -> Person:
    return Person(
        one.paper.name or f"seed {one.paper.seed}",
        one.right,
        sum(mark.outcome == "blank" for mark in one.marks),
        tuple(mark.question.number for mark in one.again),
        None if least is None else one.right >= least,
    )


def _items(papers: Sequence[Marked], rows: Sequence[Sequence[bool]]) -> tuple[Item, ...]:
    shares = item_analysis.share_right(rows)
    apart = item_analysis.discrimination(rows)
    return tuple(
        _item([one.marks[place] for one in papers], shares[place], apart[place])
        for place in range(len(shares))
    )


def _item(marks: Sequence[Mark], share: float, apart: float | None) -> Item:
    fallen = Counter(mark.trap for mark in marks if mark.trap in TRAPS)
    trap, fell = fallen.most_common(1)[0] if fallen else ("", 0)
    question = marks[0].question
    return Item(question.number, question.taught, share, apart, trap, fell)
