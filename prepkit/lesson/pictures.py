"""Pages of a trainee: hazards in pictures, a page to take home, demonstrations, questions.

Words are those of signs (data/signs.toml), cautions and first-aid cases; a sign stands beside each,
so that a person who reads little follows. Each sheet is the inside of a document of a lesson.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from prepkit import blocks
from prepkit.errors import FileProblem
from prepkit.language import said
from prepkit.lesson.model import table
from prepkit.render import signs
from prepkit.render.html import macro

if TYPE_CHECKING:
    from markupsafe import Markup

Row = Mapping[str, Any]  # Any: values of a TOML file
THINGS, AID_LINES, QUESTIONS = 10, 5, 12
A_PAGE = 3  # demonstrations
_TEMPLATE, _DOMAIN = "lesson_pictures.html", "lesson"


class Shown(NamedTuple):
    """A sign, drawn, and what it means."""

    sign: Markup
    means: str


def hazards_sheet(language: str = "en") -> Markup:
    """Dangers on one page, each with what to do; the words are those of the signs."""
    say = _sayer(language)
    pairs = [
        {
            kind: [_shown(name, language) for name in row["signs"] if _kind(name) == kind]
            for kind in signs.KINDS
        }
        for row in table("hazards")["pair"]
    ]
    shapes = [
        {"sign": _shown(row["signs"][0], language).sign, "text": say(row["shows"]["text"])}
        for row in table("hazards")["shape"]
    ]
    return macro(
        _TEMPLATE,
        "hazards",
        {"title": say("Hazards in pictures"), "pairs": pairs, "shapes": shapes},
    )


def hand_out(language: str = "en", numbers: Mapping[str, str] | None = None) -> Markup:
    """The page to take home: ten things, the house's numbers, first aid in five lines.

    numbers: by their name in data/lessons/sheets.toml; one that is not told is a line to write on.
    """
    say, told = _sayer(language), numbers or {}
    read = table("hand_out")
    things = [
        {
            "title": say(row["title"]),
            "signs": [_shown(name, language).sign for name in row["signs"]],
            "texts": [say(row[key]["text"]) for key in ("says", "more") if key in row],
        }
        for row in read["thing"]
    ]
    lines = [
        {"label": say(row["label"]), "told": told.get(row["name"], "")}
        for row in table("sheets")["safety"]
    ]
    return macro(
        _TEMPLATE,
        "hand_out",
        {
            "title": say("Ten things to remember"),
            "things": things,
            "numbers_title": say("Numbers and places of this house"),
            "numbers": lines,
            "aid_title": say("First aid in five lines"),
            "aid": [_aid(row["first_aid"], language, say) for row in read["aid"]],
        },
    )


def demonstrations(language: str = "en") -> Markup:
    """The demonstrations with water and air only, three to a page."""
    say = _sayer(language)
    heads = {
        "bring": say("You need"), "do": say("Do this"), "seen": say("You see"),
        "shows": say("It shows"), "wrong": say("It can go wrong"),
    }  # fmt: skip
    made = [
        {
            "title": say(row["title"]),
            "minutes": say("{minutes} min", minutes=row["minutes"]),
            "sign": _shown(row["signs"][0], language).sign,
            "bring": [say(one["label"]) for one in row["bring"]],
            **{key: [say(one["text"]) for one in row[key]] for key in _SAID},
        }
        for row in offered()
    ]
    pages = [made[at : at + A_PAGE] for at in range(0, len(made), A_PAGE)]
    title = say("Demonstrations with water and air")
    return macro(_TEMPLATE, "demonstrations", {"title": title, "heads": heads, "pages": pages})


def forbidden(language: str = "en") -> Markup:
    """What must not be shown, why, and what is shown in its place: one page."""
    say = _sayer(language)
    titles = {row["id"]: say(row["title"]) for row in offered()}
    return macro(
        _TEMPLATE,
        "forbidden",
        {
            "title": say("Never show these"),
            "why": say("Why"),
            "instead": say("Instead"),
            "rows": [
                {
                    "title": say(row["title"]),
                    "sign": _shown(row["signs"][0], language).sign,
                    "why": [say(one["text"]) for one in row["why"]],
                    "instead": say(row["instead"]["text"]),
                    "see": titles[row["see"]],
                }
                for row in refused()
            ],
        },
    )


def twelve(language: str = "en") -> Markup:
    """Twelve questions that people really ask, each with its answer: one page."""
    say = _sayer(language)
    rows = [
        {
            "title": say(row["title"]),
            "sign": _shown(row["signs"][0], language).sign,
            "text": " ".join(say(one["text"]) for one in row["says"]),
        }
        for row in table("questions")["question"]
    ]
    return macro(_TEMPLATE, "twelve", {"title": say("Twelve questions people ask"), "rows": rows})


# ---- what the files hold ----

_SAID = ("do", "seen", "shows", "wrong")


def offered() -> list[Row]:
    """The demonstrations that may be shown."""
    return list(table("demonstrations")["demonstration"])


@cache
def refused() -> tuple[Row, ...]:
    """Those that must not be; FileProblem where one names no demonstration in its place."""
    there = {row["id"] for row in offered()}
    rows = tuple(table("demonstrations")["forbidden"])
    for row in rows:
        if row.get("see") not in there or not row.get("instead"):
            raise FileProblem(f'"{row["title"]}" names no demonstration that stands in its place.')
    return rows


def _sayer(language: str) -> Callable[..., str]:
    def say(text: str, **figures: object) -> str:
        return said(text, language, _DOMAIN, **figures)

    return say


def _shown(name: str, language: str) -> Shown:
    """A sign with its title; FileProblem where the closed list has none of that name."""
    from markupsafe import Markup

    means = said(signs.picture(name).meaning, language, "signs")
    return Shown(Markup(signs.drawn(name, means)), means)


def _kind(name: str) -> str:
    return signs.picture(name).kind


def _aid(name: str, language: str, say: Callable[..., str]) -> dict[str, object]:
    row = _case(blocks.blocks("first_aid.toml", "case"), name)
    sign = _shown(row["sign"], language).sign
    return {"sign": sign, "when": say(row["when"]), "text": say(row["minute"])}


def _case(rows: Iterable[Row], name: str) -> Row:
    for row in rows:
        if row["name"] == name and "minute" in row:
            return row
    raise FileProblem(f'first aid has no first act for "{name}".')
