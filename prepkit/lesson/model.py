"""What a lesson is made of: its facts, and sentences with what each rests on.

Wherever a sentence stands in data/lessons it is a table with `text`, and with one of these:
`sources` (keys of `prepkit sources`), `caution` (its id), `first_aid` (the name of a case) or
`calculator` (its answer is what is said).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from prepkit import blocks, cautions, sources
from prepkit.errors import FileProblem
from prepkit.index import CALCULATORS
from prepkit.language import ENGLISH, said
from prepkit.plan.house import House
from prepkit.science import gases

if TYPE_CHECKING:
    from markupsafe import Markup

AUDIENCES = ("bar", "kitchen", "mixed")
LENGTHS_MIN = (30, 60, 120)
FOLDER = "lessons"
MOST_WORDS = 12  # of one sentence that is taught
RESTS = ("sources", "caution", "first_aid", "calculator")
# what may be written beside a sentence, or for itself, and says nothing that needs a source
PLAIN = (
    "audiences", "copies", "demonstrations", "id", "label", "lengths", "minutes", "name", "needs",
    "see", "signs", "title", "who",
)  # fmt: skip
_ENDS = re.compile(r"(?<=[.?!:])\s+")


@dataclass(frozen=True)
class Facts:
    """For whom, how long, from which seed; `house` is empty where none was named.

    `on` is the day that is printed; None leaves a line to write it on.
    """

    audience: str
    minutes: int
    seed: int
    language: str = "en"
    on: date | None = None
    house: House = field(default_factory=House)

    def say(self, text: str, **figures: object) -> str:
        """A text of the lesson in its language, with its figures."""
        return said(text, self.language, "lesson", **figures)


class Statement(NamedTuple):
    """What is said, where, and the keys of the sources that it rests on."""

    text: str
    file: str
    rests_on: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """One document of a lesson: its file's name, its title, for whom it is printed, its pages."""

    name: str
    title: str
    copies: str
    body: Markup


# ---- what is taught, with what it rests on ----


def table(file: str) -> Mapping[str, Any]:  # Any: values of a TOML file
    """A file of data/lessons."""
    return blocks.parsed(blocks.read(f"{FOLDER}/{file}.toml"))


@cache
def statements() -> tuple[Statement, ...]:
    """Every sentence of every lesson. Raises FileProblem for one without a source."""
    return tuple(
        one
        for path in blocks.names(FOLDER)
        for one in _found(blocks.parsed(blocks.read(path)), path)
    )


@cache
def traced() -> tuple[Statement, ...]:
    """Every statement that a lesson can print: its own, and those of signs, walls and questions.

    Raises: FileProblem for one without a source.
    """
    from prepkit.drill.templates import TOPICS, templates
    from prepkit.render import signs, wall

    found = [*statements()]
    for case in blocks.blocks("first_aid.toml", "case"):
        said = f"{case['name']}: {case['do']}"
        found.append(Statement(said, "first_aid.toml", "", (str(case["source"]),)))
    found += [
        Statement(one.meaning, "signs.toml", f"sign {one.name}", (one.source,))
        for one in signs.pictures().values()
    ]
    found += [
        Statement(line.text, wall.FILE, "", (line.source,))
        for sheet in wall.sheets()
        for line in sheet.lines
    ]
    found += [
        Statement(one.text, f"drills/{topic}.toml", f"question {one.id}", one.sources)
        for topic in TOPICS
        for one in templates(topic)
    ]
    for one in found:
        if not one.sources or any(sources.find(key) is None for key in one.sources):
            raise FileProblem(f'{one.file}: "{one.text}" rests on no source.')
    return tuple(found)


def _found(value: object, file: str, key: str = "") -> Iterator[Statement]:
    if isinstance(value, dict):
        if "text" in value:
            yield _statement(value, file)
        for name, one in value.items():
            if name not in ("text", *RESTS, *PLAIN):
                yield from _found(one, file, name)
    elif isinstance(value, list):
        for one in value:
            yield from _found(one, file, key)
    else:
        raise FileProblem(f'{file}: "{value}" ({key}) stands without a source.')


def _statement(row: Mapping[str, Any], file: str) -> Statement:  # Any: values of a TOML file
    text = said(str(row["text"]), ENGLISH, "lesson", **figures())
    given = [one for one in RESTS if one in row]
    if len(given) != 1:
        raise FileProblem(f'{file}: "{text}" rests on {len(given)} things; write one.')
    named = row[given[0]]
    keys, rests_on = _keys(given[0], named)
    if not keys or any(sources.find(key) is None for key in keys):
        raise FileProblem(f'{file}: "{text}" rests on what is not there: {named}.')
    return Statement(text, file, rests_on, keys)


def _keys(kind: str, named: Any) -> tuple[tuple[str, ...], str]:  # Any: values of a TOML file
    """The keys of the sources, and what stands between them and the sentence."""
    if kind == "sources":
        return tuple(named), ""
    if kind == "caution":
        keys = tuple(row.source for row in cautions.rows() if row.id == named)
        return keys, f"caution {named}"
    if kind == "first_aid":
        cases = blocks.blocks("first_aid.toml", "case")
        return tuple(str(c["source"]) for c in cases if c["name"] == named), f"first aid: {named}"
    from prepkit.workflows.reference import of_calculator

    return tuple(of_calculator(named)) if named in CALCULATORS else (), f"calculator {named}"


def figures() -> Mapping[str, float]:
    """The figures that a sentence may hold by their name, as the drills' data sheet has them."""
    return {"co2_l_kg": gases.data_sheet_l_kg("co2")}


def sentences(text: str) -> list[str]:
    """The sentences of a text.

    >>> sentences("Stay out. Who goes in? Nobody.")
    ['Stay out.', 'Who goes in?', 'Nobody.']
    """
    return [one for one in _ENDS.split(text.strip()) if one]
